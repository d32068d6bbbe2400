//! What a cover takes: everything that is bought, cut, used up or done for it.

use super::{CutPost, CutStrap};
use crate::boat::Rules;
use crate::cover::Cover;
use crate::film::{Film, PleatKind};
use crate::fittings::Fittings;
use crate::frame::{Frame, StrapKind};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A cover's materials. All that a quote and a season need of a plan: it can be stored and read back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Materials {
    /// The film.
    pub film: FilmPiece,
    /// Support posts from the stern.
    pub posts: Vec<PostPiece>,
    /// Straps of every kind.
    pub straps: Vec<StrapPiece>,
    /// Buckles on all of them.
    pub buckles: usize,
    /// Tape, m.
    pub tape: f64,
    /// Vents.
    pub vents: usize,
    /// Doors: one or none.
    pub doors: usize,
    /// Pads by what they are.
    pub pads: BTreeMap<String, usize>,
    /// Heat that the film takes up while it is shrunk, J; see [`heat`].
    pub heat: f64,
    /// Gathers on the sides.
    pub pleats: usize,
    /// Closures at the corners and the stem.
    pub closures: usize,
    /// Film over the boat with the skirt, m2.
    pub covered: f64,
    /// Mass of that film, which is baled in spring, kg.
    pub baled: f64,
}

/// The film that is cut from a roll.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FilmPiece {
    /// Least width that one sheet must have, m.
    pub width: f64,
    /// Width of the roll that the plan chose, m.
    pub roll: f64,
    /// Length to cut of each sheet, m.
    pub length: f64,
    /// Sheets side by side.
    pub sheets: usize,
    /// Seams between them, all together, m.
    pub seams: f64,
    /// Mass off the roll that the plan chose, kg.
    pub mass: f64,
}

/// A support post.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PostPiece {
    /// `P1` ...
    pub id: String,
    /// Length to cut, m.
    pub cut: f64,
    /// Height of the cap over the footing, m.
    pub height: f64,
}

/// What a strap is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StrapUse {
    /// Over the posts from bow to stern.
    Ridge,
    /// From a cap athwart.
    Side,
    /// From a cap to a corner.
    Hip,
    /// Loops that carry the perimeter band.
    Drop,
    /// Round the boat.
    Band,
    /// Under the hull.
    Belly,
}

impl StrapUse {
    /// All, in the order of the lists.
    pub const ALL: [StrapUse; 6] = [
        StrapUse::Ridge,
        StrapUse::Side,
        StrapUse::Hip,
        StrapUse::Drop,
        StrapUse::Band,
        StrapUse::Belly,
    ];

    /// The trade's word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            StrapUse::Ridge => "ridge strap",
            StrapUse::Side => "side strap",
            StrapUse::Hip => "hip strap",
            StrapUse::Drop => "drop strap",
            StrapUse::Band => "perimeter band",
            StrapUse::Belly => "belly band",
        }
    }
}

impl From<StrapKind> for StrapUse {
    fn from(kind: StrapKind) -> StrapUse {
        match kind {
            StrapKind::Ridge => StrapUse::Ridge,
            StrapKind::Side => StrapUse::Side,
            StrapKind::Hip => StrapUse::Hip,
        }
    }
}

/// A strap to cut.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct StrapPiece {
    /// What it is for.
    pub used_as: StrapUse,
    /// Length to cut, m.
    pub cut: f64,
}

/// Temperature that film is heated to, deg C; common practice for polyethylene.
const SHRINK_TEMPERATURE: f64 = 110.0;

/// Specific heat of polyethylene, J/(kg K); memory.
const SPECIFIC_HEAT: f64 = 2300.0;

/// Density of polyethylene film, kg/m3: 0.92 g/cm3.
const DENSITY: f64 = 920.0;

/// Heat that brings film from the air's temperature to where it shrinks, J.
///
/// # Units
/// `area` in m2, `thickness` in m, `air` in deg C.
#[must_use]
pub fn heat(area: f64, thickness: f64, air: f64) -> f64 {
    area * thickness * DENSITY * SPECIFIC_HEAT * (SHRINK_TEMPERATURE - air).max(0.0)
}

impl Materials {
    /// Straps of a use: how many, and their lengths to cut together, m.
    #[must_use]
    pub fn straps_of(&self, used_as: StrapUse) -> (usize, f64) {
        let of = |strap: &&StrapPiece| strap.used_as == used_as;
        let cuts = self.straps.iter().filter(of).map(|strap| strap.cut);
        (cuts.clone().count(), cuts.sum())
    }

    /// Lengths of the posts to cut together, m.
    #[must_use]
    pub fn posts_length(&self) -> f64 {
        self.posts.iter().map(|post| post.cut).sum()
    }

    /// Pads of all kinds.
    #[must_use]
    pub fn pad_count(&self) -> usize {
        self.pads.values().sum()
    }

    /// What a cover takes.
    pub(super) fn of(
        rules: &Rules,
        frame: &Frame,
        cover: &Cover,
        film: &Film,
        fittings: &Fittings,
        (posts, straps): (&[CutPost], &[CutStrap]),
    ) -> Materials {
        let posts = frame.posts.iter().zip(posts);
        let of_frame = frame.straps.iter().zip(straps);
        let mut pieces: Vec<StrapPiece> = of_frame
            .map(|(strap, cut)| StrapPiece {
                used_as: strap.kind.into(),
                cut: cut.cut,
            })
            .collect();
        let more = |used_as, cut| StrapPiece { used_as, cut };
        let bridles = straps.iter().flat_map(|strap| &strap.bridles);
        pieces.extend(bridles.map(|bridle| more(StrapUse::Ridge, bridle.cut)));
        let drops = fittings.drop_straps.iter();
        pieces.extend(drops.map(|drop| more(StrapUse::Drop, drop.cut)));
        if fittings.band.cut > 0.0 {
            pieces.push(more(StrapUse::Band, fittings.band.cut));
        }
        let bellies = fittings.belly_bands.iter();
        pieces.extend(bellies.map(|band| more(StrapUse::Belly, band.cut)));
        let mut pads: BTreeMap<String, usize> = BTreeMap::new();
        for pad in &fittings.pads {
            *pads.entry(pad.kind.to_owned()).or_default() += 1;
        }
        let on_straps: usize = straps.iter().map(|strap| strap.buckles).sum();
        let on_bellies: usize = fittings.belly_bands.iter().map(|band| band.buckles).sum();
        let gathers = film.pleats.iter();
        let pleats = gathers.filter(|pleat| pleat.kind == PleatKind::Pleat);
        let pleats = pleats.count();
        Materials {
            film: piece(rules, film),
            posts: posts
                .map(|(post, cut)| PostPiece {
                    id: post.id.clone(),
                    cut: cut.cut,
                    height: post.cap - post.base,
                })
                .collect(),
            straps: pieces,
            buckles: on_straps + fittings.band.buckles + on_bellies,
            tape: fittings.tape,
            vents: fittings.vents.len(),
            doors: usize::from(fittings.door_fits()),
            pads,
            heat: heat(cover.area, rules.film_thickness, rules.air_temperature),
            pleats,
            closures: film.pleats.len() - pleats,
            covered: cover.area,
            baled: cover.area * rules.film_thickness * DENSITY,
        }
    }
}

/// The film's sheets; those of a seamed film share its width evenly.
fn piece(rules: &Rules, film: &Film) -> FilmPiece {
    let cut = &film.cut;
    let sheets = cut.sheets.max(1) as f64;
    FilmPiece {
        width: ((cut.width + (sheets - 1.0) * rules.seam_lap) / sheets).min(cut.roll),
        roll: cut.roll,
        length: cut.length,
        sheets: cut.sheets,
        seams: cut.seams.len() as f64 * cut.length,
        mass: film.mass,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heat_of_film() {
        // 39.5 kJ/m2 for 7 mil from 5 C to 110 C at 2.3 kJ/kgK: computed for this project.
        let found = heat(1.0, 7.0e-3 * 0.0254, 5.0);
        assert!((found - 39_503.6).abs() < 0.1, "{found}");
        assert!((heat(30.0, 7.0e-3 * 0.0254, 5.0) / found - 30.0).abs() < 1e-12);
        assert_eq!(heat(1.0, 1e-4, 120.0), 0.0);
    }
}
