//! Lengths to cut: posts after caps, straps with tails and buckles.

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
    Takeoff { posts, straps }
}
