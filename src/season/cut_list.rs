//! Cut lists: which piece comes out of which roll or stick, bought or in stock.

use super::cutting::{self, CuttingError, Effort, Piece, Status, Stock};
use crate::takeoff::Money;
use std::collections::BTreeMap;

/// A piece that is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct WantedPiece {
    /// What it is for.
    pub label: String,
    /// Its job, by its place in the season.
    pub job: usize,
    /// Width, m; zero for posts.
    pub width: f64,
    /// Length, m.
    pub length: f64,
}

/// What pieces are cut from: something to buy, or something that is there.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// What it is called on the list; empty for what is bought.
    pub label: String,
    /// Width, m; zero for lumber.
    pub width: f64,
    /// Length, m.
    pub length: f64,
    /// Price of one; zero for what is there.
    pub price: Money,
    /// How many are there; `None` for what is bought.
    pub count: Option<u32>,
}

/// One roll or stick with what is cut from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// From which source, by its place in the list's sources.
    pub source: usize,
    /// Pieces, by their places in what was wanted, in the order in which they are cut.
    pub pieces: Vec<usize>,
    /// What is left of it, m.
    pub rest: f64,
}

/// A cut list.
#[derive(Debug, Clone, PartialEq)]
pub struct CutList {
    /// What was wanted.
    pub wanted: Vec<WantedPiece>,
    /// What it can be cut from.
    pub sources: Vec<Source>,
    /// Rolls or sticks in the order in which they are begun.
    pub cuts: Vec<Cut>,
    /// Pieces that are wider or longer than all there is, by their places in what was wanted.
    pub too_large: Vec<usize>,
    /// What is bought costs so much.
    pub cost: Money,
    /// No cutting of these pieces costs less: proved.
    pub bound: Money,
    /// Whether the cost is that bound.
    pub proved: bool,
}

/// How fine lengths are counted: pieces are rounded up to it, rolls and sticks down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grain {
    /// Of lengths, m.
    pub length: f64,
    /// What is lost at each cut, m.
    pub kerf: f64,
}

/// Widths are counted in millimeters, m.
const WIDTH_GRAIN: f64 = 1e-3;

/// Rounding of feet and inches in meters, parts of a grain: a 14 ft roll holds a 14 ft piece.
const HAIR: f64 = 1e-6;

/// Cuts pieces from the cheapest sources; those that nothing holds are told and left out.
///
/// # Errors
/// When the solver refuses: numbers beyond its range, or what is there does not suffice and nothing can be bought.
pub fn cut_list(
    wanted: Vec<WantedPiece>,
    sources: Vec<Source>,
    grain: Grain,
    effort: &Effort,
) -> Result<CutList, CuttingError> {
    let up = |value: f64, grain: f64| (value / grain - HAIR).ceil().max(0.0) as u32;
    let down = |value: f64, grain: f64| (value / grain + HAIR).floor().max(0.0) as u32;
    let size = |piece: &WantedPiece| (up(piece.width, WIDTH_GRAIN), up(piece.length, grain.length));
    let stock: Vec<Stock> = sources
        .iter()
        .map(|source| Stock {
            width: down(source.width, WIDTH_GRAIN),
            length: down(source.length, grain.length),
            price: u64::try_from(source.price.0).unwrap_or(0),
            at_most: source.count,
        })
        .collect();
    let holds = |(width, length)| {
        let bought = stock.iter().filter(|stock| stock.at_most.is_none());
        bought
            .into_iter()
            .any(|stock| stock.width >= width && stock.length >= length)
    };
    // Alike pieces are one kind; in the order of their jobs within it.
    let mut kinds: BTreeMap<(u32, u32), Vec<usize>> = BTreeMap::new();
    let mut too_large = Vec::new();
    for (index, piece) in wanted.iter().enumerate() {
        if holds(size(piece)) {
            kinds.entry(size(piece)).or_default().push(index);
        } else {
            too_large.push(index);
        }
    }
    let pieces: Vec<Piece> = kinds
        .iter()
        .map(|((width, length), of)| Piece {
            width: *width,
            length: *length,
            count: of.len() as u32,
        })
        .collect();
    let plan = cutting::cut(&cutting::Order {
        pieces: &pieces,
        stock: &stock,
        kerf: up(grain.kerf, grain.length),
        effort: *effort,
    })?;
    let mut left: Vec<std::vec::IntoIter<usize>> =
        kinds.into_values().map(Vec::into_iter).collect();
    let mut cuts = Vec::new();
    for cut in &plan.cuts {
        for _ in 0..cut.times {
            let mut pieces = Vec::new();
            for (kind, count) in &cut.pieces {
                if let Some(of) = left.get_mut(*kind) {
                    pieces.extend(of.take(*count as usize));
                }
            }
            pieces.sort_unstable();
            cuts.push((cut.stock, pieces));
        }
    }
    // What is needed first is begun first.
    cuts.sort_by_key(|(source, pieces)| (pieces.first().copied(), *source));
    let cuts = cuts
        .into_iter()
        .map(|(source, pieces)| Cut {
            rest: rest(&wanted, &sources, source, &pieces, grain.kerf),
            source,
            pieces,
        })
        .collect();
    Ok(CutList {
        cuts,
        too_large,
        cost: Money(i64::try_from(plan.cost).unwrap_or(i64::MAX)),
        bound: Money(i64::try_from(plan.bound).unwrap_or(i64::MAX)),
        proved: plan.status == Status::Proved,
        wanted,
        sources,
    })
}

fn rest(
    wanted: &[WantedPiece],
    sources: &[Source],
    source: usize,
    pieces: &[usize],
    kerf: f64,
) -> f64 {
    let whole = sources.get(source).map_or(0.0, |source| source.length);
    let cut = pieces.iter().filter_map(|piece| wanted.get(*piece));
    (whole - cut.map(|piece| piece.length + kerf).sum::<f64>()).max(0.0)
}

impl CutList {
    /// How far the cost may be over the least, part of the cost; zero where it is proved.
    #[must_use]
    pub fn gap(&self) -> f64 {
        if self.proved || self.cost <= Money::ZERO {
            0.0
        } else {
            (self.cost - self.bound).0 as f64 / self.cost.0 as f64
        }
    }

    /// For each source how many are used.
    #[must_use]
    pub fn used(&self) -> Vec<u32> {
        let mut used = vec![0; self.sources.len()];
        for cut in &self.cuts {
            if let Some(count) = used.get_mut(cut.source) {
                *count += 1;
            }
        }
        used
    }

    /// Sources that are bought, and how many of each.
    pub fn bought(&self) -> impl Iterator<Item = (&Source, u32)> {
        let used = self.sources.iter().zip(self.used());
        used.filter(|(source, count)| source.count.is_none() && *count > 0)
    }
}
