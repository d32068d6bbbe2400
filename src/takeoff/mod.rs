//! The take-off: lengths to cut, all materials, hours and the price.

mod materials;
mod money;
pub mod prices;
mod quote;
mod work;

#[cfg(test)]
mod tests;

pub use materials::{FilmPiece, Materials, PostPiece, StrapPiece, StrapUse, heat};
pub use money::{Currency, Money};
pub use prices::PriceBook;
pub use quote::{Line, PostKind, Quote, Unpriced, amount, use_words};
pub use work::{Hours, Learned, LearnedStep};

use crate::boat::{Boat, End, Rules};
use crate::cover::Cover;
use crate::film::Film;
use crate::fittings::Fittings;
use crate::frame::{Frame, Strap, StrapKind};
use crate::hull::Hull;

/// What the crew cuts before it goes to the boat.
#[derive(Debug, Clone, PartialEq)]
pub struct Takeoff {
    /// Posts in the frame's order.
    pub posts: Vec<CutPost>,
    /// Straps in the frame's order.
    pub straps: Vec<CutStrap>,
    /// Everything that the cover takes.
    pub materials: Materials,
}

/// A post as it is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct CutPost {
    /// Length to cut: from footing to cap, less both caps, m.
    pub cut: f64,
    /// Height of the cap over the sole, m.
    pub over_sole: f64,
    /// Height of the cap over the rub rail at its station, m.
    pub over_rub_rail: f64,
    /// Station from the bow, m.
    pub from_bow: f64,
}

/// A strap as it is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct CutStrap {
    /// Length between its anchors, m.
    pub length: f64,
    /// Length to cut, with its tails, m.
    pub cut: f64,
    /// Buckles on it.
    pub buckles: usize,
    /// The bridles that make it fast, a piece of strap each.
    pub bridles: Vec<CutBridle>,
}

/// A bridle as it is cut: from anchor to anchor through the knot in a ridge strap's end.
#[derive(Debug, Clone, PartialEq)]
pub struct CutBridle {
    /// The strap's number with `a` at the stern, `f` at the bow.
    pub id: String,
    /// Which end of the strap.
    pub end: End,
    /// Length between its anchors, m.
    pub length: f64,
    /// Length to cut, with its tails, m.
    pub cut: f64,
}

/// The bridles of a strap.
fn bridles(strap: &Strap, rules: &Rules) -> Vec<CutBridle> {
    let with_legs = strap.ends.iter().filter(|end| !end.legs.is_empty());
    with_legs
        .map(|fastening| {
            let letter = match fastening.end {
                End::Aft => 'a',
                End::Fore => 'f',
            };
            let length = fastening.bridle();
            CutBridle {
                id: format!("{}{letter}", strap.id),
                end: fastening.end,
                length,
                cut: length + 2.0 * rules.strap_tail,
            }
        })
        .collect()
}

/// Works out the lengths to cut and all materials.
pub fn take_off(
    (hull, boat, rules): (&Hull, &Boat, &Rules),
    frame: &Frame,
    cover: &Cover,
    film: &Film,
    fittings: &Fittings,
) -> Takeoff {
    let posts: Vec<CutPost> = frame
        .posts
        .iter()
        .map(|post| CutPost {
            cut: post.cap - post.base - rules.top_cap - rules.base_cap,
            over_sole: post.cap - boat.sole,
            over_rub_rail: post.cap - (hull.sheer_at(post.station) - boat.rub_rail),
            from_bow: hull.edge.ends()[1] - post.station,
        })
        .collect();
    let straps: Vec<CutStrap> = frame
        .straps
        .iter()
        .zip(&cover.straps)
        .map(|(strap, shape)| {
            let length = shape.length + strap.lead;
            CutStrap {
                length,
                cut: length + 2.0 * rules.strap_tail,
                buckles: match strap.kind {
                    StrapKind::Ridge => 2,
                    StrapKind::Side | StrapKind::Hip => 1,
                },
                bridles: bridles(strap, rules),
            }
        })
        .collect();
    let cut = (posts.as_slice(), straps.as_slice());
    Takeoff {
        materials: Materials::of(rules, frame, cover, film, fittings, cut),
        posts,
        straps,
    }
}
