//! What a thing above the deck is to bear of the cover.

use super::{BoxKind, DeckBox, Tube, TubeKind};
use crate::units::{METERS_PER_FOOT, NEWTONS_PER_POUND};
use nalgebra::Point3;

/// The greatest load that film and straps may put on a thing, over a winter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bears {
    /// All of it together, N.
    pub in_all: f64,
    /// Over a foot of length anywhere, N.
    pub over_a_foot: f64,
    /// The boat file states it; else it is a house rule by kind, unverified.
    pub stated: bool,
}

/// What each foot of a rail or of a roof's rim is to bear where all of it is loaded, N/m; 50 lbf/ft. House rule, after what
/// the top of a guard of a building must bear (ASCE 7-16, 4.5.1, quoted from memory).
const ALONG: f64 = 50.0 * NEWTONS_PER_POUND / METERS_PER_FOOT;

impl Bears {
    /// Of a thing by its kind: so much in one place, more all along it.
    fn new(stated: Option<f64>, pounds: f64, length: f64) -> Bears {
        let over_a_foot = pounds * NEWTONS_PER_POUND;
        Bears {
            in_all: stated.unwrap_or(over_a_foot.max(ALONG * length)),
            over_a_foot: stated.unwrap_or(over_a_foot),
            stated: stated.is_some(),
        }
    }

    /// What two halves of one thing are to bear together.
    pub(crate) fn joined(self, other: Bears) -> Bears {
        Bears {
            in_all: self.in_all + other.in_all,
            over_a_foot: self.over_a_foot.max(other.over_a_foot),
            stated: self.stated || other.stated,
        }
    }
}

impl DeckBox {
    /// What it is to bear: what the file states, else a house rule by its kind, unverified. A roof bears along its rim.
    ///
    /// # Units
    /// Newtons.
    pub fn bearing_limit(&self) -> Bears {
        let pounds = match self.kind {
            BoxKind::Windshield | BoxKind::Seat | BoxKind::Platform => 50.0,
            BoxKind::Console | BoxKind::Motor | BoxKind::Other => 100.0,
            BoxKind::Hardtop | BoxKind::Pulpit => 200.0,
            BoxKind::Cabin | BoxKind::Flybridge => 300.0,
        };
        let rim = match self.kind {
            BoxKind::Hardtop | BoxKind::Cabin | BoxKind::Flybridge => {
                2.0 * (self.to - self.from) + self.width + self.width_fore
            }
            _ => 0.0,
        };
        Bears::new(self.bears, pounds, rim)
    }
}

impl Tube {
    /// What it is to bear: what the file states, else a house rule by its kind, unverified. For a rail 200 lbf in one
    /// place, as guard rails of buildings (29 CFR 1910.29(b)(3), quoted from memory); a boat's rail may be made for less.
    ///
    /// # Units
    /// Newtons.
    pub fn bearing_limit(&self) -> Bears {
        let pounds = match self.kind {
            TubeKind::Rail => 200.0,
            TubeKind::Arch | TubeKind::Tower | TubeKind::Buoyancy => 300.0,
            TubeKind::Mast => 800.0,
        };
        let pairs = self.path.iter().zip(self.path.iter().skip(1));
        let length = pairs.map(|(a, b)| (Point3::from(*b) - Point3::from(*a)).norm());
        Bears::new(self.bears, pounds, length.sum())
    }
}
