//! The frame: support posts, ridge, side and hip straps, and the reason for each.
//!
//! [`design`] asks the exact search of [`ridge`] for the fewest and lowest posts that a section model
//! allows, then hangs straps from their caps. What the film itself lacks beyond that model comes back as
//! [`Demand`]s, and the frame is designed anew under them.

mod design;
mod reason;
pub mod ridge;
mod sections;
mod straps;

pub use design::{Demand, HipWish, design};
pub use reason::{Reason, Shortage};

use nalgebra::{Point2, Point3};
use serde::Serialize;

/// A support post.
#[derive(Debug, Clone, PartialEq)]
pub struct Post {
    /// Its name: that of its pin, else `P` and the lowest number that no other has, from the stern.
    pub id: String,
    /// Station, m.
    pub station: f64,
    /// Offset to port, m.
    pub offset: f64,
    /// What it stands on.
    pub footing: String,
    /// Height of the footing, m.
    pub base: f64,
    /// Height of the cap's top, m.
    pub cap: f64,
    /// It was pinned beforehand: by the user, or by a plan that left it where it was.
    pub pinned: bool,
    /// That pin was left by a plan and not set by the user.
    pub kept: bool,
    /// What its height is decided by.
    pub reason: Reason,
}

impl Post {
    /// Top of its cap.
    pub fn top(&self) -> Point3<f64> {
        Point3::new(self.station, self.offset, self.cap)
    }
}

/// Kind of strap in the frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StrapKind {
    /// From the bow to the stern over the top caps.
    Ridge,
    /// Athwart from a cap down to the edge.
    Side,
    /// From a cap to a corner.
    Hip,
}

impl StrapKind {
    /// The trade's word.
    pub fn word(self) -> &'static str {
        match self {
            StrapKind::Ridge => "ridge strap",
            StrapKind::Side => "side strap",
            StrapKind::Hip => "hip strap",
        }
    }
}

/// A strap of the frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Strap {
    /// `R1`, `S1`, `H1` ...
    pub id: String,
    /// Kind.
    pub kind: StrapKind,
    /// Where it starts, in words.
    pub from: String,
    /// Where it ends, in words.
    pub to: String,
    /// Its course in plan, from cap or stern edge to the edge, m.
    pub plan: Vec<Point2<f64>>,
    /// Tension, N.
    pub tension: f64,
    /// What it takes beyond the edge to its anchors, both ends together, m.
    pub lead: f64,
    /// It was pinned beforehand: by the user, or by a plan that left it where it was.
    pub pinned: bool,
    /// Why it is there.
    pub reason: Reason,
}

/// What one post less would do.
#[derive(Debug, Clone, PartialEq)]
pub struct FewerPosts {
    /// The best frame with one post less.
    pub frame: Box<Frame>,
    /// The stretch of the boat that forbids it, stations, m.
    pub stretch: [f64; 2],
    /// Why.
    pub cause: Reason,
}

/// A whole frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Frame {
    /// Posts from the stern; with twin ridges starboard before port.
    pub posts: Vec<Post>,
    /// Straps: ridges first, then by post.
    pub straps: Vec<Strap>,
    /// Offsets of the ridges: one, or two.
    pub ridges: Vec<f64>,
    /// The ridge in profile: (station, height) of anchors, caps and rests, m.
    pub profile: Vec<(f64, f64)>,
    /// What the section model itself could not satisfy.
    pub shortage: Option<Shortage>,
    /// The proof that one post less does not do; `None` where there can be none.
    pub fewer: Option<FewerPosts>,
}

impl Frame {
    /// Height of the ridge's straight profile at a station, m.
    ///
    /// # Units
    /// Metres.
    pub fn profile_at(&self, station: f64) -> f64 {
        let after = self.profile.partition_point(|(x, _)| *x < station);
        let last = self.profile.len().saturating_sub(1);
        match (
            self.profile.get(after.saturating_sub(1)),
            self.profile.get(after.min(last)),
        ) {
            (Some(&(xa, za)), Some(&(xb, zb))) if xb > xa => {
                za + (zb - za) * ((station - xa) / (xb - xa)).clamp(0.0, 1.0)
            }
            (Some(&(_, z)), _) => z,
            _ => 0.0,
        }
    }
}
