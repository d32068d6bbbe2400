//! What holds the cover down, keeps it from chafing and lets it breathe: band, drop straps, belly bands,
//! vents, door and pads.

use crate::boat::Hand;
use nalgebra::Point3;

/// Everything that is fitted round and into the film.
#[derive(Debug, Clone, PartialEq)]
pub struct Fittings {
    /// The perimeter band.
    pub band: Band,
    /// Looped drop straps from the stern round by port.
    pub drop_straps: Vec<DropStrap>,
    /// Belly bands from the stern.
    pub belly_bands: Vec<BellyBand>,
    /// Vents from the stern.
    pub vents: Vec<Vent>,
    /// Net free area of the vents and the air that goes through them.
    pub ventilation: Ventilation,
    /// Whether the film will drip.
    pub condensation: Condensation,
    /// A door, where one is asked for.
    pub door: Option<Door>,
    /// Pads, the greatest force first.
    pub pads: Vec<Pad>,
    /// Tape over buckles, pleats, slits and door, m.
    pub tape: f64,
}

/// The perimeter band, a closed curve on the hull and across its inward bends.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Its course, closed, counter-clockwise from above, m.
    pub course: Vec<Point3<f64>>,
    /// Length round the boat, m.
    pub length: f64,
    /// Length to cut, with its tails, m.
    pub cut: f64,
    /// Buckles on it: one, at the stern.
    pub buckles: usize,
}

/// A looped drop strap that carries the band.
#[derive(Debug, Clone, PartialEq)]
pub struct DropStrap {
    /// `D1` ...
    pub id: String,
    /// What it hangs from.
    pub anchor: String,
    /// Where it goes over the edge, m.
    pub top: Point3<f64>,
    /// Where the band runs through its loop, m.
    pub foot: Point3<f64>,
    /// On which side; `None` across the stern.
    pub hand: Option<Hand>,
    /// Length of the loop, anchor to band and back, m.
    pub length: f64,
    /// Length to cut, with its tail, m.
    pub cut: f64,
}

/// A belly band under the hull: it keeps the shrinking film from pulling the band up.
#[derive(Debug, Clone, PartialEq)]
pub struct BellyBand {
    /// `B1` ...
    pub id: String,
    /// Station, m.
    pub station: f64,
    /// From slit to slit under the hull, or down to the trailer on both sides, m.
    pub length: f64,
    /// Length to cut, with its tails, m.
    pub cut: f64,
    /// The slits above the band, port then starboard, m.
    pub slits: [Point3<f64>; 2],
    /// What it goes round, in words: under the hull, or to the trailer's frame.
    pub goes: String,
}

/// A vent.
#[derive(Debug, Clone, PartialEq)]
pub struct Vent {
    /// `V1` ...
    pub id: String,
    /// Its middle on the film, m.
    pub at: Point3<f64>,
    /// On which side of the ridge.
    pub hand: Hand,
}

/// Air through the vents.
#[derive(Debug, Clone, PartialEq)]
pub struct Ventilation {
    /// Net free area wanted, m2.
    pub required: f64,
    /// Net free area of the vents, m2.
    pub provided: f64,
    /// Why so many, as a sentence without numbers in units: `area` or `practice`.
    pub governed_by: VentRule,
    /// Volume under the film, m3.
    pub volume: f64,
    /// Flow by the stack effect at the temperature difference named, m3/s.
    pub flow: f64,
    /// Temperature difference between inside and outside for that flow, K.
    pub difference: f64,
    /// Air changes in an hour.
    pub changes: f64,
}

/// What decides the number of vents.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VentRule {
    /// The net free area.
    Area,
    /// Practice: never fewer than a pair for each stretch of boat.
    Practice,
}

/// Whether moisture condenses on the film.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Condensation {
    /// Air temperature, deg C.
    pub air: f64,
    /// Relative humidity under the cover, part of one.
    pub humidity: f64,
    /// Temperature at which it condenses, deg C.
    pub dew_point: f64,
    /// Temperature of the film on a clear night, deg C.
    pub film: f64,
    /// Relative humidity from which that film is wet, part of one.
    pub wet_from: f64,
}

/// A door that is taped and zipped into the film.
#[derive(Debug, Clone, PartialEq)]
pub struct Door {
    /// Middle of its foot, m.
    pub foot: Point3<f64>,
    /// Middle of its head, m.
    pub head: Point3<f64>,
    /// Width along the boat, m.
    pub width: f64,
    /// On which side.
    pub hand: Hand,
}

/// A place where film bears on the boat hard enough to want a pad.
#[derive(Debug, Clone, PartialEq)]
pub struct Pad {
    /// What the film bears on.
    pub on: String,
    /// Middle of the contact, m.
    pub at: Point3<f64>,
    /// Force on it, N.
    pub force: f64,
    /// What kind of pad, in the trade's words.
    pub kind: &'static str,
}
