//! Lumber for posts: sizes, grades and what they cost, from the table that comes with hulltent.
//!
//! A [`Grade`] is either North American, with reference values for allowable stresses, or European, with
//! characteristic strengths: that decides how a post is checked (see [`super::column`]). The prices are invented.

mod read;

pub use read::read;

use crate::boat::{Problems, suggest};
use serde::Serialize;

/// The table that comes with hulltent.
static TABLE: &str = include_str!("../../assets/lumber.ron");

/// One size of stock, as measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Size {
    /// What the trade calls it, `2x4`.
    pub name: String,
    /// The lesser side, m.
    pub thickness: f64,
    /// The greater side, m.
    pub width: f64,
    /// Price of a meter, in no currency: invented.
    pub price_per_meter: f64,
    /// Where the sides are from.
    pub source: String,
}

impl Size {
    /// Whether it is sawn to whole millimeters; inches never are.
    #[must_use]
    pub fn is_metric(&self) -> bool {
        let millimeters = 1000.0 * self.thickness;
        (millimeters - millimeters.round()).abs() < TAPE
    }

    /// Area of the section, m2.
    #[must_use]
    pub fn area(&self) -> f64 {
        self.thickness * self.width
    }
}

/// One grade of lumber.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Grade {
    /// What the trade calls it, `SPF No.2`.
    pub name: String,
    /// Its strength, and with it the way that it is checked.
    pub strength: Strength,
    /// Where the values are from.
    pub source: String,
}

/// Strength of a grade, Pa.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub enum Strength {
    /// Reference values for allowable stresses (NDS).
    Reference {
        /// Fc, along the grain, before the size factor.
        compression: f64,
        /// CF: up to a width in m, the factor; the widths rise.
        size_factors: Vec<(f64, f64)>,
        /// Emin.
        buckling_modulus: f64,
        /// E.
        modulus: f64,
        /// Fc-perp, across the grain.
        across: f64,
    },
    /// Characteristic values (EN 338).
    Characteristic {
        /// fc,0,k, along the grain.
        compression: f64,
        /// E0,05.
        buckling_modulus: f64,
        /// E0,mean.
        modulus: f64,
        /// fc,90,k, across the grain.
        across: f64,
    },
}

impl Strength {
    /// The mean modulus of elasticity along the grain, Pa.
    #[must_use]
    pub fn modulus(&self) -> f64 {
        match self {
            Self::Reference { modulus, .. } | Self::Characteristic { modulus, .. } => *modulus,
        }
    }

    /// The size factor CF for a width; 1 where the grade has none. Beyond the widest in the table the last one holds,
    /// which the reader of the table does not let happen.
    ///
    /// # Units
    /// `width` in m.
    #[must_use]
    pub fn size_factor(&self, width: f64) -> f64 {
        match self {
            Self::Reference { size_factors, .. } => size_factors
                .iter()
                .find(|(up_to, _)| width <= up_to + TAPE)
                .or(size_factors.last())
                .map_or(1.0, |(_, factor)| *factor),
            Self::Characteristic { .. } => 1.0,
        }
    }
}

/// Widths that differ by less are the same, m: less than any saw holds to, more than rounding of inches.
const TAPE: f64 = 1e-6;

/// What a yard cuts its posts from, and how it holds them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PostStock {
    /// Size of one piece.
    pub size: Size,
    /// Grade of all pieces.
    pub grade: Grade,
    /// Pieces side by side in one post, at least one.
    pub pieces: u32,
    /// Braces that hold the post sideways both ways, evenly spaced over its length.
    pub braces: u32,
}

/// All lumber that is known, and what bracing and posts cost.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lumber {
    /// Says that the prices are invented.
    pub note: String,
    /// By name.
    pub sizes: Vec<Size>,
    /// By name.
    pub grades: Vec<Grade>,
    /// Cost of one brace, in no currency: invented.
    pub brace: f64,
    /// Cost of one more post without its lumber, in no currency: invented.
    pub post: f64,
}

/// The lumber that comes with hulltent.
///
/// # Errors
/// Never for the table in the program: a test reads it.
pub fn stock() -> Result<Lumber, Problems> {
    read(TABLE)
}

impl Lumber {
    /// The size of a name, whatever its capitals and blanks.
    ///
    /// # Errors
    /// The hint: a name that is spelt nearly so, or all names.
    pub fn size(&self, name: &str) -> Result<&Size, String> {
        find(&self.sizes, name, |size| &size.name)
    }

    /// The grade of a name, whatever its capitals and blanks.
    ///
    /// # Errors
    /// The hint: a name that is spelt nearly so, or all names.
    pub fn grade(&self, name: &str) -> Result<&Grade, String> {
        find(&self.grades, name, |grade| &grade.name)
    }
}

fn find<'a, T>(list: &'a [T], name: &str, of: fn(&T) -> &String) -> Result<&'a T, String> {
    let plain = |name: &str| name.replace(char::is_whitespace, "").to_lowercase();
    let wanted = plain(name);
    if let Some(found) = list.iter().find(|item| plain(of(item)) == wanted) {
        return Ok(found);
    }
    let names = || list.iter().map(|item| of(item).as_str());
    Err(match suggest(name, names()) {
        Some(near) => format!("did you mean '{near}'?"),
        None => format!("one of {}", names().collect::<Vec<_>>().join(", ")),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{METERS_PER_INCH, PASCALS_PER_PSI};

    #[test]
    fn the_table_is_read() {
        let lumber = stock().expect("the table that comes with the program");
        assert_eq!((lumber.sizes.len(), lumber.grades.len()), (9, 6));
        assert!(lumber.note.contains("invented"));
        let sourced = |source: &str| source.contains("quoted") || source.contains("memory");
        // American softwood lumber standard PS 20, dry, dressed on four sides, from memory: half an inch under the
        // name from 2 to 6 in, three quarters from 8 in on.
        let dressed = |nominal: f64| nominal - if nominal < 7.0 { 0.5 } else { 0.75 };
        let mut sides_checked = 0;
        for size in &lumber.sizes {
            assert!(sourced(&size.source), "{}", size.name);
            let sides = [size.thickness, size.width];
            let named: Vec<f64> = size
                .name
                .split(|c: char| !c.is_ascii_digit())
                .filter_map(|part| part.parse().ok())
                .collect();
            assert!(named.len() >= 2, "{}", size.name);
            for (named, side) in named.iter().zip(sides) {
                let wanted = if size.is_metric() {
                    named / 1000.0
                } else {
                    dressed(*named) * METERS_PER_INCH
                };
                assert!((side - wanted).abs() < 1e-6, "{}: {side}", size.name);
                sides_checked += 1;
            }
        }
        assert_eq!(sides_checked, 18);
        // Bounds of softwood from general tables of wood (memory): along the grain under 30 MPa in lumber grades,
        // across it a tenth to six tenths of that, mean moduli 6 to 16 GPa, the fifth percentile under the mean.
        for grade in &lumber.grades {
            let (along, across, least, mean) = match &grade.strength {
                Strength::Reference {
                    compression,
                    across,
                    buckling_modulus,
                    modulus,
                    ..
                } => (*compression, *across, *buckling_modulus, *modulus),
                Strength::Characteristic {
                    compression,
                    across,
                    buckling_modulus,
                    modulus,
                } => (*compression, *across, *buckling_modulus, *modulus),
            };
            let name = &grade.name;
            assert!(sourced(&grade.source), "{name}");
            assert!((5e6..30e6).contains(&along), "{name}: {along}");
            assert!(
                (0.1 * along..0.6 * along).contains(&across),
                "{name}: {across}"
            );
            assert!((2e9..mean).contains(&least), "{name}: {least}");
            assert!((6e9..16e9).contains(&mean), "{name}: {mean}");
        }
    }

    #[test]
    fn values_are_those_of_their_sources() {
        let lumber = stock().expect("the table");
        // NDS Supplement, SPF No.1/No.2, quoted: Fc 1150, E 1.4e6, Emin 510k, Fc-perp 425 psi; CF 1.15.
        let spf = &lumber.grade("SPF No.2").expect("a grade").strength;
        let Strength::Reference {
            compression,
            buckling_modulus,
            modulus,
            across,
            ..
        } = spf
        else {
            panic!("an American grade");
        };
        for (got, psi) in [
            (compression, 1150.0),
            (buckling_modulus, 510e3),
            (modulus, 1.4e6),
            (across, 425.0),
        ] {
            assert!((got / PASCALS_PER_PSI / psi - 1.0).abs() < 1e-12, "{psi}");
        }
        for (inches, factor) in [(1.5, 1.15), (3.5, 1.15), (5.5, 1.1)] {
            assert_eq!(spf.size_factor(inches * METERS_PER_INCH), factor);
        }
        // EN 338, quoted.
        for (name, along, fifth) in [("C16", 17e6, 5.4e9), ("C24", 21e6, 7.4e9)] {
            let strength = &lumber.grade(name).expect("a grade").strength;
            let Strength::Characteristic {
                compression,
                buckling_modulus,
                ..
            } = strength
            else {
                panic!("a European grade");
            };
            assert!((compression - along).abs() < 1.0 && (buckling_modulus - fifth).abs() < 10.0);
            assert_eq!(strength.size_factor(0.07), 1.0);
        }
    }

    #[test]
    fn names_are_found_or_suggested() {
        let lumber = stock().expect("the table");
        for name in ["2x4", "2X4", " 2 x 4 "] {
            assert_eq!(lumber.size(name).expect(name).name, "2x4");
        }
        assert_eq!(lumber.grade("spf no.2").expect("it").name, "SPF No.2");
        for (name, hint) in [
            ("SPF No2", "did you mean 'SPF No.2'?"),
            ("Hem Fir No.2", "did you mean 'Hem-Fir No.2'?"),
            ("C25", "did you mean 'C24'?"),
            ("balsa", "one of SPF No.2, Douglas"),
        ] {
            let found = lumber.grade(name).expect_err(name);
            assert!(found.contains(hint), "{name}: {found}");
        }
        assert!(lumber.size("2x5").expect_err("2x5").contains("2x"));
    }
}
