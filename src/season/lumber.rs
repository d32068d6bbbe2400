//! Posts of a season: last year's by their label first, then what is there, then lumber that is bought.

use super::cut_list::{CutList, Grain, Source, WantedPiece, cut_list};
use super::cutting::{CuttingError, Effort};
use super::stock_list::StockList;
use crate::takeoff::{Money, PriceBook};

/// Where the posts of a season come from.
#[derive(Debug, Clone, PartialEq)]
pub struct PostPlan {
    /// Posts of last year that stand again where they stood.
    pub again: Vec<StandsAgain>,
    /// Those that are cut: from kept posts, from lumber that is there, from lumber that is bought.
    pub cut: CutList,
}

/// A kept post that stands again in the same place.
#[derive(Debug, Clone, PartialEq)]
pub struct StandsAgain {
    /// Job and post.
    pub label: String,
    /// Its job, by its place in the season.
    pub job: usize,
    /// Length that is wanted, m.
    pub wanted: f64,
    /// Length that it has, m.
    pub length: f64,
}

/// A kept post stands again where its length is so near to the wanted one, m: the tape's quarter of an inch.
const SAME_LENGTH: f64 = 0.25 * 0.0254;

/// Lumber is cut to the millimeter, m.
const GRAIN: f64 = 1e-3;

/// Finds where posts come from.
///
/// # Errors
/// As [`cut_list`].
pub fn post_plan(
    wanted: Vec<WantedPiece>,
    book: &PriceBook,
    stock: &StockList,
    effort: &Effort,
) -> Result<PostPlan, CuttingError> {
    let mut kept = stock.posts.clone();
    let mut again = Vec::new();
    let mut left = Vec::new();
    for piece in wanted {
        let same = kept.iter().position(|post| {
            post.label == piece.label && (post.length - piece.length).abs() <= SAME_LENGTH
        });
        match same {
            Some(place) => {
                let post = kept.remove(place);
                again.push(StandsAgain {
                    label: piece.label,
                    job: piece.job,
                    wanted: piece.length,
                    length: post.length,
                });
            }
            None => left.push(piece),
        }
    }
    let held = |label: String, length, count| Source {
        label,
        width: 0.0,
        length,
        price: Money::ZERO,
        count: Some(count),
    };
    let mut sources: Vec<Source> = kept
        .into_iter()
        .map(|post| {
            held(
                format!("kept post {}", post.label).trim().to_owned(),
                post.length,
                1,
            )
        })
        .collect();
    let lumber = stock.lumber.iter();
    sources.extend(lumber.map(|lumber| held("in stock".to_owned(), lumber.length, lumber.count)));
    sources.extend(book.posts.stock.iter().map(|stick| Source {
        label: String::new(),
        width: 0.0,
        length: stick.length,
        price: stick.price,
        count: None,
    }));
    let grain = Grain {
        length: GRAIN,
        kerf: book.posts.kerf,
    };
    Ok(PostPlan {
        again,
        cut: cut_list(left, sources, grain, effort)?,
    })
}
