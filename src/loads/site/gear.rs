//! What the yard builds covers with, and what it is good for.

use crate::boat::Problems;
use crate::loads::lumber::{self, PostStock};
use crate::units::UnitSystem;
use serde::Serialize;

/// What posts are cut from where the file does not say; demo values of the house.
pub const USUAL_SIZE: &str = "2x4";
/// See [`USUAL_SIZE`].
pub const USUAL_GRADE: &str = "SPF No.2";
/// Pieces side by side in a post.
pub const USUAL_PIECES: u32 = 1;
/// Braces of a post.
pub const USUAL_BRACES: u32 = 0;
/// A pad of 6 in by 6 in, m2; demo value of the house.
pub const USUAL_BASE_CAP: f64 = 0.1524 * 0.1524;
/// Stiffness EA of woven strap of 3/4 in: some 2 kN at 5 per cent, N; memory.
pub const USUAL_STRAP_STIFFNESS: f64 = 40e3;
/// Working rating of that strap, N; memory.
pub const USUAL_STRAP_RATING: f64 = 2200.0;
/// Working rating of its buckle, N; memory.
pub const USUAL_BUCKLE_RATING: f64 = 1800.0;
/// Modulus of polyethylene film that is loaded slowly in the cold, Pa; memory.
pub const USUAL_FILM_MODULUS: f64 = 150e6;
/// Poisson's ratio of polyethylene film; memory.
pub const USUAL_FILM_POISSON: f64 = 0.4;
/// Yield stress of polyethylene film, Pa; memory.
pub const USUAL_FILM_YIELD: f64 = 9e6;
/// By how much the film's stress stays under its yield stress; house rule.
pub const USUAL_FILM_MARGIN: f64 = 1.5;
/// Pull of a belly band that is drawn tight by hand, N; memory.
pub const USUAL_BELLY_BAND_PULL: f64 = 200.0;
/// Stiffness of a post with its caps and the deck under it, N/m; memory.
pub const USUAL_FOOTING_STIFFNESS: f64 = 200e3;

/// Straps, buckles and bands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StrapStock {
    /// EA of a strap, N.
    pub stiffness: f64,
    /// Working rating of a strap, N.
    pub rating: f64,
    /// Working rating of a buckle, N.
    pub buckle: f64,
    /// Working rating of the perimeter band and of belly bands, N; that of the strap where the file does not say.
    pub band: f64,
}

/// The film as a material.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FilmStock {
    /// Modulus of elasticity, Pa.
    pub modulus: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Yield stress, Pa.
    pub yield_stress: f64,
    /// The stress may be the yield stress over this.
    pub margin: f64,
}

impl FilmStock {
    /// Greatest stress that the film may have, Pa.
    #[must_use]
    pub fn allowable(&self) -> f64 {
        self.yield_stress / self.margin
    }
}

/// What the yard builds with. Where the file does not say, the demo values of the house: see the constants of this file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Gear {
    /// What posts are cut from.
    pub post: PostStock,
    /// Area of the base cap, or of the pad under it, that presses on the footing, m2.
    pub base_cap: f64,
    /// Straps, buckles and bands.
    pub strap: StrapStock,
    /// The film.
    pub film: FilmStock,
    /// Pull of a belly band that is drawn tight, N.
    pub belly_band_pull: f64,
    /// Force on a post over how far it goes down, N/m.
    pub footing_stiffness: f64,
}

impl Gear {
    /// The house's gear.
    ///
    /// # Errors
    /// Never, as long as the table of lumber in the program has the usual size and grade: a test reads them.
    pub fn usual() -> Result<Gear, Problems> {
        super::read("()").map(|site| site.gear)
    }

    /// The gear in words, one sentence an item.
    pub(super) fn describe(&self, units: UnitSystem) -> Vec<String> {
        let PostStock {
            size,
            grade,
            pieces,
            braces,
        } = &self.post;
        let pieces = match pieces {
            1 => String::new(),
            pieces => format!(", {pieces} pieces side by side"),
        };
        let braces = match braces {
            0 => "not braced".to_owned(),
            1 => "braced once".to_owned(),
            2 => "braced twice".to_owned(),
            braces => format!("braced {braces} times"),
        };
        vec![
            format!("Posts of {}, {}{pieces}, {braces}.", size.name, grade.name),
            format!(
                "Straps rated {}, buckles {}, bands {}.",
                units.format_force(self.strap.rating),
                units.format_force(self.strap.buckle),
                units.format_force(self.strap.band)
            ),
            format!(
                "Film yields at {} and may carry {}.",
                units.format_stress(self.film.yield_stress),
                units.format_stress(self.film.allowable())
            ),
        ]
    }
}

/// The usual lumber.
pub(super) fn usual_post() -> Result<PostStock, Problems> {
    let stock = lumber::stock()?;
    let missing = |hint: String| Problems {
        list: vec![crate::boat::Problem {
            path: "gear.post".to_owned(),
            place: None,
            what: "the usual lumber is not in the table".to_owned(),
            hint,
        }],
    };
    Ok(PostStock {
        size: stock.size(USUAL_SIZE).map_err(missing)?.clone(),
        grade: stock.grade(USUAL_GRADE).map_err(missing)?.clone(),
        pieces: USUAL_PIECES,
        braces: USUAL_BRACES,
    })
}
