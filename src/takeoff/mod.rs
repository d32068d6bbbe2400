//! Lengths to cut: posts after caps, straps with tails and buckles, drop straps, the band.

use crate::boat::{Boat, Rules};
use crate::cover::Cover;
use crate::frame::{Frame, StrapKind};
use crate::hull::Hull;

/// What the crew cuts before it goes to the boat.
#[derive(Debug, Clone, PartialEq)]
pub struct Takeoff {
    /// Posts in the frame's order.
    pub posts: Vec<CutPost>,
    /// Straps in the frame's order.
    pub straps: Vec<CutStrap>,
    /// Looped drop straps, all alike.
    pub drop_straps: DropStraps,
    /// The perimeter band.
    pub band: Band,
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
}

/// Looped drop straps that carry the band.
#[derive(Debug, Clone, PartialEq)]
pub struct DropStraps {
    /// How many.
    pub count: usize,
    /// Length to cut of each, m.
    pub cut: f64,
}

/// The perimeter band.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Length round the boat, m.
    pub length: f64,
    /// Length to cut, m.
    pub cut: f64,
    /// Buckles on it: one, at the stern.
    pub buckles: usize,
}

/// Works out the lengths to cut.
pub fn take_off(hull: &Hull, boat: &Boat, rules: &Rules, frame: &Frame, cover: &Cover) -> Takeoff {
    let posts = frame
        .posts
        .iter()
        .map(|post| CutPost {
            cut: post.cap - post.base - rules.top_cap - rules.base_cap,
            over_sole: post.cap - boat.sole,
            over_rub_rail: post.cap - (hull.sheer_at(post.station) - boat.rub_rail),
            from_bow: hull.edge.ends()[1] - post.station,
        })
        .collect();
    let straps = frame
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
            }
        })
        .collect();
    // A loop goes down to the band and back up.
    let drop = boat.rub_rail + rules.band_drop;
    let count = (hull.edge.length() / rules.drop_strap_spacing).ceil() as usize;
    Takeoff {
        posts,
        straps,
        drop_straps: DropStraps {
            count,
            cut: 2.0 * drop + rules.drop_strap_tail,
        },
        band: Band {
            length: cover.band_length,
            cut: cover.band_length + 2.0 * rules.strap_tail,
            buckles: 1,
        },
    }
}
