//! What holds the cover down, keeps it from chafing and lets it breathe: band, drop straps, belly bands,
//! vents, door and pads.

//!
//! [`fit`] reads hull, frame, cover and film, and changes none of them. `rim` runs edge and band side by side,
//! `girth` goes under the hull, `obstacles` knows what vents and door keep off.

mod air;
mod band;
mod belly_bands;
mod door;
mod drop_straps;
mod girth;
mod moisture;
mod obstacles;
mod pads;
mod rim;
mod tape;
mod vents;

pub use air::WARMER_INSIDE;
pub use belly_bands::{SLIT_ABOVE_BAND, SUPPORT_CLEAR};
pub use door::{DOOR_LENGTH, DOOR_RISE, DOOR_WIDTH};
pub use moisture::{CLEAR_NIGHT, dew_point, saturation_pressure, wet_from};
pub use vents::{PLAN_PER_VENT_AREA, VENT_CLEAR};

use crate::boat::{Boat, Hand, Rules};
use crate::cover::Cover;
use crate::film::{Film, Pleat};
use crate::frame::Frame;
use crate::geom::sample::HeightField;
use crate::hull::Hull;
use nalgebra::Point3;
use obstacles::Obstacles;
use rim::Rim;
use serde::Serialize;

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
    /// A door, where one is asked for; whether it fits, it says itself.
    pub door: Option<Door>,
    /// Pads, the greatest force first.
    pub pads: Vec<Pad>,
    /// Tape over buckles, pleats, slits, vents and door, m.
    pub tape: f64,
}

/// The perimeter band, a closed curve on the hull and across its inward bends.
#[derive(Debug, Clone, Default, PartialEq)]
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
    /// What it hangs from, in words, also where that is not right there or where nothing is named.
    pub anchor: String,
    /// How far it is led along the edge from its anchor, m; zero where it hangs from the anchor itself.
    pub led: f64,
    /// Where it goes over the edge, m.
    pub top: Point3<f64>,
    /// Where the band runs through its loop, m.
    pub foot: Point3<f64>,
    /// On which side; `None` across the stern and on the centerline.
    pub hand: Option<Hand>,
    /// Length of the loop to the band and back, with the single line that leads to it along the edge, m.
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
    /// From slit to slit under the hull, drawn tight, m.
    pub length: f64,
    /// Length to cut, with its tails, m.
    pub cut: f64,
    /// The slits above the band, port then starboard, m.
    pub slits: [Point3<f64>; 2],
    /// Its course under the hull, from the port slit to the starboard one, m: round the hull at its station. The slits
    /// may stand a little beside that where the band leans.
    pub course: Vec<Point3<f64>>,
    /// What it goes round, in words: under the hull, or to the trailer's frame.
    pub goes: String,
    /// Whether it is clear of what the hull stands on.
    pub supports: SupportsClear,
    /// Buckles on it.
    pub buckles: usize,
}

/// Whether belly bands are clear of what the hull stands on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SupportsClear {
    /// Clear of every support that the boat file gives.
    Kept,
    /// The boat file gives no supports: it has to be moved clear of them at the boat.
    NotGiven,
    /// The supports leave no room for bands so near to each other: it has to be threaded between them at the boat.
    Impossible,
}

impl SupportsClear {
    /// What the crew has to know about it.
    pub fn sentence(self) -> &'static str {
        match self {
            SupportsClear::Kept => "clear of the supports in the boat file",
            SupportsClear::NotGiven => "move it clear of bunks, cradle or stands at the boat",
            SupportsClear::Impossible => {
                "the supports leave no clear place: thread it between them at the boat"
            }
        }
    }
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
    /// Vents wanted; fewer are placed where there is no room.
    pub wanted: usize,
    /// Net free area of the vents that are placed, m2.
    pub provided: f64,
    /// Why so many.
    pub governed_by: VentRule,
    /// Volume under the film, m3.
    pub volume: f64,
    /// Height that drives the flow, m: from the middle of the lower half of the vents to the level of no pressure,
    /// midway to the upper half.
    pub height: f64,
    /// Flow by the stack effect at the temperature difference named, in through the lower half of the vents and out
    /// through the upper, m3/s. Wind is left out.
    pub flow: f64,
    /// Temperature difference between inside and outside for that flow, K.
    pub difference: f64,
    /// Air changes in an hour.
    pub changes: f64,
}

/// What decides the number of vents.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
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

impl Condensation {
    /// Whether that film is wet in that air.
    pub fn wet(&self) -> bool {
        self.humidity >= self.wet_from
    }
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
    /// Length up the film from foot to head, m.
    pub length: f64,
    /// On which side.
    pub hand: Hand,
    /// Whether it fits there.
    pub fit: DoorFit,
    /// Where it does not: the nearest station on that side where one fits, m; `None` where none does.
    pub nearest: Option<f64>,
}

/// Whether a door fits.
#[derive(Debug, Clone, PartialEq)]
pub enum DoorFit {
    /// It fits.
    Fits,
    /// The film is too low there.
    TooLow {
        /// Rise of the film over the edge within a door's length, m.
        rise: f64,
        /// Rise that a door wants, m.
        wanted: f64,
    },
    /// Something lies across it or stands behind it.
    InTheWay {
        /// Strap, pleat, post, collar or thing on the boat.
        what: String,
    },
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
    /// What kind of pad: `over the corner`, `round the rail` ...
    pub kind: &'static str,
}

impl Fittings {
    /// Whether a door was asked for and fits.
    pub fn door_fits(&self) -> bool {
        self.door
            .as_ref()
            .is_some_and(|door| door.fit == DoorFit::Fits)
    }
}

/// Fits a cover: band, straps, vents, door, pads and tape. A cover without an edge gets nothing.
pub fn fit(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    frame: &Frame,
    cover: &Cover,
    film: &Film,
) -> Fittings {
    fit_round(hull, boat, rules, frame, cover, &film.pleats)
}

/// The same, round the pleats alone.
fn fit_round(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    frame: &Frame,
    cover: &Cover,
    pleats: &[Pleat],
) -> Fittings {
    let heights = HeightField::new(&cover.mesh);
    let mut obstacles = Obstacles::new(hull, boat, rules, frame, &heights, pleats);
    let rim = Rim::of(hull, cover);
    let rim = rim.as_ref();
    let band = rim.map_or_else(Band::default, |rim| band::band(rim, rules));
    let belly_bands = rim.map_or_else(Vec::new, |rim| {
        belly_bands::belly_bands(hull, boat, rules, rim, pleats)
    });
    let door = rim
        .zip(boat.door.as_ref())
        .and_then(|(rim, wish)| door::door(hull, rim, &obstacles, wish));
    if let Some(door) = door.as_ref().filter(|door| door.fit == DoorFit::Fits) {
        obstacles.add("door", [door.foot.xy(), door.head.xy()], 0.5 * door.width);
    }
    let wanted = vents::wanted(cover.plan_area, boat.length, rules);
    let vents = vents::vents(&obstacles, rules, wanted.count, hull);
    Fittings {
        drop_straps: rim.map_or_else(Vec::new, |rim| {
            drop_straps::drop_straps(hull, boat, rules, rim)
        }),
        ventilation: air::ventilation(hull, boat, rules, cover, &wanted, &vents),
        condensation: moisture::condensation(rules),
        pads: pads::pads(hull, boat, rules, cover),
        tape: tape::tape(
            rules,
            frame,
            &band,
            &belly_bands,
            &vents,
            door.as_ref(),
            pleats,
        ),
        band,
        belly_bands,
        vents,
        door,
    }
}

#[cfg(test)]
mod tests;
