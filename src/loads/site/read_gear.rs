//! The yard's gear from the site file, over the defaults.

use super::gear::{
    FilmStock, Gear, StrapStock, USUAL_BASE_CAP, USUAL_BELLY_BAND_PULL, USUAL_BUCKLE_RATING,
    USUAL_FILM_MARGIN, USUAL_FILM_MODULUS, USUAL_FILM_POISSON, USUAL_FILM_YIELD,
    USUAL_FOOTING_STIFFNESS, USUAL_STRAP_RATING, USUAL_STRAP_STIFFNESS, usual_post,
};
use crate::boat::{Checker, Problems, Quantity};
use crate::loads::lumber::{self, PostStock};
use serde::Deserialize;
use std::ops::RangeInclusive;

type Q = Option<Quantity>;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct GearFile {
    pub post: PostFile,
    pub base_cap: Option<String>,
    pub strap: StrapFile,
    pub film: FilmFile,
    pub belly_band_pull: Q,
    pub footing_stiffness: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct PostFile {
    pub size: Option<String>,
    pub grade: Option<String>,
    pub pieces: Option<f64>,
    pub braces: Option<f64>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct StrapFile {
    pub stiffness: Q,
    pub rating: Q,
    pub buckle: Q,
    pub band: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct FilmFile {
    pub modulus: Q,
    pub poisson: Option<f64>,
    pub yield_stress: Q,
    pub margin: Option<f64>,
}

/// Most pieces that are nailed side by side, and most braces of one post: beyond them it is another frame.
const PIECES: RangeInclusive<f64> = 1.0..=3.0;
const BRACES: RangeInclusive<f64> = 0.0..=3.0;
/// m2.
const BASE_CAPS: RangeInclusive<f64> = 0.001..=0.5;
/// N, of straps from garden twine to steel.
const STIFFNESSES: RangeInclusive<f64> = 1e3..=10e6;
/// N.
const RATINGS: RangeInclusive<f64> = 100.0..=100e3;
/// Pa.
const MODULI: RangeInclusive<f64> = 10e6..=5e9;
const YIELDS: RangeInclusive<f64> = 1e6..=200e6;
/// Below a half: no film grows when it is pulled.
const POISSONS: RangeInclusive<f64> = 0.0..=0.49;
const MARGINS: RangeInclusive<f64> = 1.0..=10.0;
/// N.
const PULLS: RangeInclusive<f64> = 0.0..=5e3;
/// N/m.
const FOOTINGS: RangeInclusive<f64> = 1e3..=1e9;

/// The gear; only an `Err` if the table of lumber in the program is broken.
pub(super) fn gear(file: GearFile, check: &mut Checker) -> Result<Gear, Problems> {
    let post = post(&file.post, check)?;
    let rating = check
        .force("gear.strap.rating", &file.strap.rating, RATINGS)
        .unwrap_or(USUAL_STRAP_RATING);
    Ok(Gear {
        post,
        base_cap: check
            .area("gear.base_cap", &file.base_cap, BASE_CAPS)
            .unwrap_or(USUAL_BASE_CAP),
        strap: StrapStock {
            stiffness: check
                .force("gear.strap.stiffness", &file.strap.stiffness, STIFFNESSES)
                .unwrap_or(USUAL_STRAP_STIFFNESS),
            rating,
            buckle: check
                .force("gear.strap.buckle", &file.strap.buckle, RATINGS)
                .unwrap_or(USUAL_BUCKLE_RATING),
            band: check
                .force("gear.strap.band", &file.strap.band, RATINGS)
                .unwrap_or(rating),
        },
        film: FilmStock {
            modulus: check
                .stress("gear.film.modulus", &file.film.modulus, MODULI)
                .unwrap_or(USUAL_FILM_MODULUS),
            poisson: check
                .fraction("gear.film.poisson", file.film.poisson, POISSONS)
                .unwrap_or(USUAL_FILM_POISSON),
            yield_stress: check
                .stress("gear.film.yield_stress", &file.film.yield_stress, YIELDS)
                .unwrap_or(USUAL_FILM_YIELD),
            margin: check
                .fraction("gear.film.margin", file.film.margin, MARGINS)
                .unwrap_or(USUAL_FILM_MARGIN),
        },
        belly_band_pull: check
            .force("gear.belly_band_pull", &file.belly_band_pull, PULLS)
            .unwrap_or(USUAL_BELLY_BAND_PULL),
        footing_stiffness: check
            .tension("gear.footing_stiffness", &file.footing_stiffness, FOOTINGS)
            .unwrap_or(USUAL_FOOTING_STIFFNESS),
    })
}

fn post(file: &PostFile, check: &mut Checker) -> Result<PostStock, Problems> {
    let stock = lumber::stock()?;
    let mut post = usual_post()?;
    if let Some(name) = &file.size {
        match stock.size(name) {
            Ok(size) => post.size = size.clone(),
            Err(hint) => check.problem("gear.post.size", format!("no lumber '{name}'"), hint),
        }
    }
    if let Some(name) = &file.grade {
        match stock.grade(name) {
            Ok(grade) => post.grade = grade.clone(),
            Err(hint) => check.problem("gear.post.grade", format!("no grade '{name}'"), hint),
        }
    }
    if let Some(pieces) = count(check, "gear.post.pieces", file.pieces, PIECES) {
        post.pieces = pieces;
    }
    if let Some(braces) = count(check, "gear.post.braces", file.braces, BRACES) {
        post.braces = braces;
    }
    Ok(post)
}

/// A whole number within a range.
fn count(
    check: &mut Checker,
    path: &str,
    value: Option<f64>,
    range: RangeInclusive<f64>,
) -> Option<u32> {
    let value = check.fraction(path, value, range)?;
    if value.fract() != 0.0 {
        check.problem(
            path,
            format!("{value} is not a whole number"),
            "write 1 or 2",
        );
        return None;
    }
    // Within the range, so that nothing is cut off.
    Some(value as u32)
}
