//! The frame: support posts, ridge, side and hip straps, and the reason for each.
//!
//! [`design`] asks the exact search of [`ridge`] for the fewest and lowest posts that a section model
//! allows, then hangs straps from their caps. What the film itself lacks beyond that model comes back as
//! [`Demand`]s, and the frame is designed anew under them.

mod design;
mod ends;
mod layout;
mod reason;
pub mod ridge;
mod sections;
mod straps;

pub use design::{Demand, HipWish, design};
pub use layout::{Ground, Layout, Place};
pub use reason::{Reason, Shortage};

use crate::boat::End;
use crate::units::UnitSystem;
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
    /// What it takes beyond the edge to its anchors or to its bridles' knots, both ends together, m; under zero where a
    /// ridge strap leaves its line in plan before the edge.
    pub lead: f64,
    /// How a ridge strap is made fast, stern first; other straps have none.
    pub ends: Vec<Fastening>,
    /// It was pinned beforehand: by the user, or by a plan that left it where it was.
    pub pinned: bool,
    /// Why it is there.
    pub reason: Reason,
}

/// How a ridge strap is made fast at one end.
#[derive(Debug, Clone, PartialEq)]
pub struct Fastening {
    /// Which end.
    pub end: End,
    /// What it is tied to, in words.
    pub to: String,
    /// Its course from where it leaves its line in plan to the anchor, or to the bridle's knot, m.
    pub course: Vec<Point3<f64>>,
    /// The two legs of a bridle, from the knot to the anchors, m; none where the strap itself is tied.
    pub legs: Vec<Vec<Point3<f64>>>,
    /// Tension of each leg, or of the strap where it is tied itself, N.
    pub tension: f64,
    /// There is an anchor; else it goes down to what the boat stands on, or under the hull.
    pub found: bool,
}

impl Fastening {
    /// Length of the bridle from anchor to anchor, m; zero without one.
    pub fn bridle(&self) -> f64 {
        self.legs.iter().map(|leg| ends::length(leg)).sum()
    }

    /// How it is made fast, in the user's units.
    pub fn sentence(&self, units: UnitSystem) -> String {
        let length = |meters: f64| units.format_length(meters);
        let end = match self.end {
            End::Aft => "stern",
            End::Fore => "bow",
        };
        let to = &self.to;
        match (self.legs.as_slice(), self.course.last()) {
            ([port, starboard], Some(knot)) => format!(
                "at the {end} a bridle to the {to}: legs of {} and {} from a knot at station {}, {} over the keel, {} in each",
                length(ends::length(port)),
                length(ends::length(starboard)),
                length(knot.x),
                length(knot.z),
                units.format_force(self.tension)
            ),
            _ if self.found => format!(
                "at the {end} to the {to}, the last {} of it",
                length(ends::length(&self.course))
            ),
            _ => format!(
                "no anchor holds it at the {end}: down to the {to}, {} from the edge",
                length(ends::length(&self.course))
            ),
        }
    }
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
}

impl Frame {
    /// Height of the ridge's straight profile at a station, m.
    ///
    /// # Units
    /// Meters.
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
