//! The film in the record: width, roll, shrink, pleats.

use super::super::number::rounded;
use crate::film::PleatKind;
use crate::plan::Plan;
use serde::Serialize;

/// The flat sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FilmRecord {
    /// Width by the hand rule.
    pub hand_width_m: f64,
    /// Width by the true girth, with tucks.
    pub girth_width_m: f64,
    /// Station of the greatest girth.
    pub girth_station_m: f64,
    /// Least width that covers the boat.
    pub cut_width_m: f64,
    /// Length to cut.
    pub cut_length_m: f64,
    /// Width of the roll chosen.
    pub roll_width_m: f64,
    /// Sheets side by side.
    pub sheets: usize,
    /// Distances of seams from the centerline, to port.
    pub seams_m: Vec<f64>,
    /// Part of what is taken off the roll that is trimmed off.
    pub trim_fraction: f64,
    /// Greatest shrink that is left to the film, part of its length.
    pub max_shrink: f64,
    /// Part by which the sheet is laid longer than the ridge.
    pub ease: f64,
    /// Greatest stretch that even so would be needed, part of its length.
    pub stretch: f64,
    /// Mass of what is taken off the roll.
    pub mass_kg: f64,
    /// Mass of what stays on the boat, tucks included.
    pub mass_on_boat_kg: f64,
}

/// A pleat or closure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PleatRecord {
    /// `F1` ... from the stern, closures `C1` ...
    pub id: String,
    /// `pleat`, `stern_corner`, `bow_corner` or `stem`.
    pub kind: PleatKind,
    /// Station of its foot at the band.
    pub station_m: f64,
    /// `port`, `starboard` or `center`.
    pub side: &'static str,
    /// How far up it runs from the band.
    pub run_m: f64,
    /// Least film folded away at the band, with all the slip that the rules allow.
    pub depth_m: f64,
    /// Film folded away where the sheet does not slip.
    pub max_depth_m: f64,
    /// Folds side by side that it is laid in.
    pub folds: usize,
    /// Which way it opens: always aft, since a tow would tear one that opens forward.
    pub opens: &'static str,
}

pub(super) fn film(plan: &Plan) -> FilmRecord {
    let film = &plan.film;
    FilmRecord {
        hand_width_m: rounded(film.widths.hand),
        girth_width_m: rounded(film.widths.girth),
        girth_station_m: rounded(film.widths.girth_station),
        cut_width_m: rounded(film.cut.width),
        cut_length_m: rounded(film.cut.length),
        roll_width_m: rounded(film.cut.roll),
        sheets: film.cut.sheets,
        seams_m: film.cut.seams.iter().map(|y| rounded(*y)).collect(),
        trim_fraction: rounded(film.cut.trim / film.cut.taken),
        max_shrink: rounded(film.max_shrink),
        ease: rounded(film.ease),
        stretch: rounded(film.stretch),
        mass_kg: rounded(film.mass),
        mass_on_boat_kg: rounded(film.mass_on_boat),
    }
}

pub(super) fn pleats(plan: &Plan) -> Vec<PleatRecord> {
    plan.film
        .pleats
        .iter()
        .map(|pleat| PleatRecord {
            id: pleat.id.clone(),
            kind: pleat.kind,
            station_m: rounded(pleat.station),
            side: pleat.hand.map_or("center", |hand| hand.word()),
            run_m: rounded(pleat.run),
            depth_m: rounded(pleat.depth),
            max_depth_m: rounded(pleat.max_depth),
            folds: pleat.folds,
            opens: "aft",
        })
        .collect()
}
