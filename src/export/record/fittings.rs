//! What is fitted round and into the film, in the record.

use super::super::number::rounded;
use super::place;
use crate::boat::Hand;
use crate::fittings::{Door, DoorFit, Fittings, SupportsClear, VentRule};
use crate::plan::Plan;
use serde::Serialize;

/// The perimeter band.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BandRecord {
    /// Length round the boat.
    pub length_m: f64,
    /// Length to cut, tails included.
    pub cut_length_m: f64,
    /// Buckles on it.
    pub buckles: usize,
}

/// A looped drop strap.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DropStrapRecord {
    /// `D1` ... from the stern round by port.
    pub id: String,
    /// What it hangs from, in words.
    pub anchor: String,
    /// How far it is led along the edge from that.
    pub led_m: f64,
    /// Where it goes over the edge.
    pub top_m: [f64; 3],
    /// Where the band runs through its loop.
    pub foot_m: [f64; 3],
    /// `port`, `starboard`, or `center` across the stern and on the centerline.
    pub side: &'static str,
    /// Length of the loop with the single line that leads to it.
    pub length_m: f64,
    /// Length to cut, tail included.
    pub cut_length_m: f64,
}

/// A belly band.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BellyBandRecord {
    /// `B1` ... from the stern.
    pub id: String,
    /// Its station.
    pub station_m: f64,
    /// Length from slit to slit under the hull.
    pub length_m: f64,
    /// Length to cut, tails included.
    pub cut_length_m: f64,
    /// Its slits, port then starboard.
    pub slits_m: [[f64; 3]; 2],
    /// What it goes round, in words.
    pub goes: String,
    /// Whether it is clear of what the hull stands on.
    pub supports: SupportsClear,
    /// Buckles on it.
    pub buckles: usize,
}

/// A vent.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VentRecord {
    /// `V1` ... from the stern.
    pub id: String,
    /// Its station.
    pub station_m: f64,
    /// `port` or `starboard`.
    pub side: &'static str,
    /// Its height over the keel.
    pub z_m: f64,
    /// Its offset to port.
    pub offset_m: f64,
}

/// Air through the vents.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VentilationRecord {
    /// Net free area wanted.
    pub required_m2: f64,
    /// Net free area of the vents that are placed.
    pub provided_m2: f64,
    /// What decides the number of vents: `area` or `practice`.
    pub governed_by: VentRule,
    /// Volume under the film.
    pub volume_m3: f64,
    /// Flow by the stack effect at that temperature difference.
    pub flow_m3_per_s: f64,
    /// Temperature difference between inside and outside for it.
    pub difference_k: f64,
    /// Air changes in an hour.
    pub changes_per_hour: f64,
}

/// Whether the film drips.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CondensationRecord {
    /// Air temperature.
    pub air_c: f64,
    /// Relative humidity under the cover, part of one.
    pub humidity: f64,
    /// Temperature at which it condenses.
    pub dew_point_c: f64,
    /// Temperature of the film on a clear night.
    pub film_c: f64,
    /// Relative humidity from which that film is wet, part of one.
    pub wet_from: f64,
}

/// A door that was asked for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DoorRecord {
    /// Middle of its foot.
    pub foot_m: [f64; 3],
    /// Middle of its head.
    pub head_m: [f64; 3],
    /// Its width.
    pub width_m: f64,
    /// Its length up the film.
    pub length_m: f64,
    /// `port` or `starboard`.
    pub side: &'static str,
    /// Whether it fits there.
    pub fits: bool,
    /// The nearest station on that side where one fits; null where none does, or where it fits as asked.
    pub nearest_m: Option<f64>,
}

/// What a thing above the deck bears of the cover at rest.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BearingRecord {
    /// On what.
    pub on: String,
    /// The middle of the load.
    pub at_m: [f64; 3],
    /// All of it together.
    pub force_n: f64,
    /// What the thing is to bear in all.
    pub limit_n: f64,
    /// The most that it bears over a foot of its length.
    pub force_over_a_foot_n: f64,
    /// What it is to bear over a foot.
    pub limit_over_a_foot_n: f64,
    /// Whether the boat file states that; else it is a house rule by kind, unverified.
    pub limit_stated: bool,
    /// Whether it bears more.
    pub exceeded: bool,
}

/// A place that wants a pad.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PadRecord {
    /// Where.
    pub at_m: [f64; 3],
    /// What the film bears on.
    pub on: String,
    /// Force of film and straps on it.
    pub force_n: f64,
    /// What kind of pad, in words.
    pub kind: &'static str,
}

fn side(hand: Option<Hand>) -> &'static str {
    hand.map_or("center", Hand::word)
}

pub(super) fn band(fittings: &Fittings) -> BandRecord {
    let band = &fittings.band;
    BandRecord {
        length_m: rounded(band.length),
        cut_length_m: rounded(band.cut),
        buckles: band.buckles,
    }
}

pub(super) fn drop_straps(fittings: &Fittings) -> Vec<DropStrapRecord> {
    fittings
        .drop_straps
        .iter()
        .map(|strap| DropStrapRecord {
            id: strap.id.clone(),
            anchor: strap.anchor.clone(),
            led_m: rounded(strap.led),
            top_m: place(&strap.top),
            foot_m: place(&strap.foot),
            side: side(strap.hand),
            length_m: rounded(strap.length),
            cut_length_m: rounded(strap.cut),
        })
        .collect()
}

pub(super) fn belly_bands(fittings: &Fittings) -> Vec<BellyBandRecord> {
    fittings
        .belly_bands
        .iter()
        .map(|band| BellyBandRecord {
            id: band.id.clone(),
            station_m: rounded(band.station),
            length_m: rounded(band.length),
            cut_length_m: rounded(band.cut),
            slits_m: [place(&band.slits[0]), place(&band.slits[1])],
            goes: band.goes.clone(),
            supports: band.supports,
            buckles: band.buckles,
        })
        .collect()
}

pub(super) fn vents(fittings: &Fittings) -> Vec<VentRecord> {
    fittings
        .vents
        .iter()
        .map(|vent| VentRecord {
            id: vent.id.clone(),
            station_m: rounded(vent.at.x),
            side: vent.hand.word(),
            z_m: rounded(vent.at.z),
            offset_m: rounded(vent.at.y),
        })
        .collect()
}

pub(super) fn ventilation(fittings: &Fittings) -> VentilationRecord {
    let air = &fittings.ventilation;
    VentilationRecord {
        required_m2: rounded(air.required),
        provided_m2: rounded(air.provided),
        governed_by: air.governed_by,
        volume_m3: rounded(air.volume),
        flow_m3_per_s: rounded(air.flow),
        difference_k: rounded(air.difference),
        changes_per_hour: rounded(air.changes),
    }
}

pub(super) fn condensation(fittings: &Fittings) -> CondensationRecord {
    let air = &fittings.condensation;
    CondensationRecord {
        air_c: rounded(air.air),
        humidity: rounded(air.humidity),
        dew_point_c: rounded(air.dew_point),
        film_c: rounded(air.film),
        wet_from: rounded(air.wet_from),
    }
}

pub(super) fn door(door: &Door) -> DoorRecord {
    DoorRecord {
        foot_m: place(&door.foot),
        head_m: place(&door.head),
        width_m: rounded(door.width),
        length_m: rounded(door.length),
        side: door.hand.word(),
        fits: door.fit == DoorFit::Fits,
        nearest_m: door.nearest.map(rounded),
    }
}

pub(super) fn bearings(plan: &Plan) -> Vec<BearingRecord> {
    plan.bearings
        .iter()
        .map(|bearing| BearingRecord {
            on: bearing.thing.clone(),
            at_m: place(&bearing.at),
            force_n: rounded(bearing.force),
            limit_n: rounded(bearing.bears.in_all),
            force_over_a_foot_n: rounded(bearing.over_a_foot),
            limit_over_a_foot_n: rounded(bearing.bears.over_a_foot),
            limit_stated: bearing.bears.stated,
            exceeded: bearing.is_exceeded(),
        })
        .collect()
}

pub(super) fn pads(fittings: &Fittings) -> Vec<PadRecord> {
    fittings
        .pads
        .iter()
        .map(|pad| PadRecord {
            at_m: place(&pad.at),
            on: pad.on.clone(),
            force_n: rounded(pad.force),
            kind: pad.kind,
        })
        .collect()
}
