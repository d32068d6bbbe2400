//! What a thing above the deck is to bear of the cover.

use super::{BoxKind, DeckBox, Tube, TubeKind};
use crate::units::NEWTONS_PER_POUND;

/// The greatest load that film and straps may put on a thing, over a winter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bears {
    /// All of it together, N.
    pub limit: f64,
    /// The boat file states it; else it is a house rule by kind, unverified.
    pub stated: bool,
}

impl Bears {
    fn new(stated: Option<f64>, pounds: f64) -> Bears {
        Bears {
            limit: stated.unwrap_or(pounds * NEWTONS_PER_POUND),
            stated: stated.is_some(),
        }
    }
}

impl DeckBox {
    /// What it is to bear: what the file states, else a house rule by its kind, unverified.
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
        Bears::new(self.bears, pounds)
    }
}

impl Tube {
    /// What it is to bear: what the file states, else a house rule by its kind, unverified. For a rail 200 lbf, which
    /// guard rails of buildings must withstand at any point (29 CFR 1910.29(b)(3), quoted from memory); a boat's rail
    /// may be made for less.
    ///
    /// # Units
    /// Newtons.
    pub fn bearing_limit(&self) -> Bears {
        let pounds = match self.kind {
            TubeKind::Rail => 200.0,
            TubeKind::Arch | TubeKind::Tower | TubeKind::Buoyancy => 300.0,
            TubeKind::Mast => 800.0,
        };
        Bears::new(self.bears, pounds)
    }
}
