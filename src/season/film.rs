//! Film of a season: every sheet out of a roll at least as wide.

use super::cut_list::{Cut, CutList, Grain, Source, WantedPiece, cut_list};
use super::cutting::{CuttingError, Effort};
use super::stock_list::StockList;
use crate::takeoff::{Money, PriceBook};

/// Film is cut to the centimeter, m: no crew cuts finer.
const GRAIN: f64 = 1e-2;

/// Cuts sheets from what is there and from rolls that are bought.
///
/// # Errors
/// As [`cut_list`].
pub fn film_plan(
    wanted: Vec<WantedPiece>,
    book: &PriceBook,
    stock: &StockList,
    effort: &Effort,
) -> Result<CutList, CuttingError> {
    let held = stock.film.iter().map(|film| Source {
        label: if film.label.is_empty() {
            "in stock".to_owned()
        } else {
            film.label.clone()
        },
        width: film.width,
        length: film.length,
        price: Money::ZERO,
        count: Some(film.count),
    });
    let bought = book.rolls.iter().map(|roll| Source {
        label: String::new(),
        width: roll.width,
        length: roll.length,
        price: roll.price,
        count: None,
    });
    let grain = Grain {
        length: GRAIN,
        kerf: book.cut_loss,
    };
    cut_list(wanted, held.chain(bought).collect(), grain, effort)
}

/// What a film plan does with its film, m2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmUse {
    /// Of all rolls and offcuts that are begun.
    pub begun: f64,
    /// Of the sheets at their own least width, without what cuts and sides take.
    pub sheets: f64,
    /// Of the rests that are kept for small boats.
    pub kept: f64,
    /// Of the rests that are too short.
    pub short: f64,
}

/// Adds up a film plan.
#[must_use]
pub fn film_use(list: &CutList, book: &PriceBook) -> FilmUse {
    let mut used = FilmUse {
        begun: 0.0,
        sheets: 0.0,
        kept: 0.0,
        short: 0.0,
    };
    for cut in &list.cuts {
        let Some(source) = list.sources.get(cut.source) else {
            continue;
        };
        used.begun += source.width * source.length;
        let rest = source.width * cut.rest;
        if is_kept(cut, book) {
            used.kept += rest;
        } else {
            used.short += rest;
        }
        let pieces = cut
            .pieces
            .iter()
            .filter_map(|piece| list.wanted.get(*piece));
        used.sheets += pieces.map(|piece| piece.width * piece.length).sum::<f64>();
    }
    used
}

/// Whether the rest of a roll is kept as an offcut.
#[must_use]
pub fn is_kept(cut: &Cut, book: &PriceBook) -> bool {
    cut.rest >= book.least_offcut
}
