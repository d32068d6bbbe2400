//! What a post bears: as a column under its cap, and under its end across the grain.
//!
//! North American grades by NDS 2018 eq. 3.7-1 as allowable stresses, European ones by EN 1995-1-1 6.3.2 as design
//! values; [`super::level`] has the load that each is held against. The ends are taken as hinged: straps hold the cap
//! sideways, the base cap the foot. Lumber is dry in use, under a ventilated cover (NDS: at most 19 per cent of moisture;
//! EN 1995: service class 2).

use super::lumber::{PostStock, Strength};
use serde::Serialize;
use std::f64::consts::PI;

/// Greatest le/d of a column (NDS 2018 3.7.1.4). EN 1995-1-1 has no such limit: taken for it too, as a house rule.
pub const MAX_SLENDER: f64 = 50.0;

/// In FcE = 0.822 Emin/(le/d)^2 (NDS 2018 3.7.1.5).
const EULER_OF_REFERENCE: f64 = 0.822;
/// c of sawn lumber in the column stability factor (NDS 2018 3.7.1.5).
const SAWN: f64 = 0.8;
/// How crooked solid timber may be (EN 1995-1-1 eq. 6.29, memory).
const CROOKEDNESS: f64 = 0.2;
/// Relative slenderness under which a column does not buckle (EN 1995-1-1 6.3.2(2), memory).
const STOCKY: f64 = 0.3;
/// Partial factor of solid timber (EN 1995-1-1 table 2.3, memory).
const PARTIAL_FACTOR: f64 = 1.3;

/// How long the load lasts: lumber bears more for a while.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Duration {
    /// Years; whatever rests on the frame by itself.
    Lasting,
    /// Snow: two months in NDS, short-term in EN 1995.
    Snow,
    /// Gusts.
    Wind,
}

impl Duration {
    /// Load duration factor CD (NDS 2018 table 2.3.2).
    #[must_use]
    pub fn load_duration_factor(self) -> f64 {
        match self {
            Self::Lasting => 1.0,
            Self::Snow => 1.15,
            Self::Wind => 1.6,
        }
    }

    /// Modification factor k_mod of solid timber in service class 2 (EN 1995-1-1 table 3.1, memory): medium-term,
    /// short-term, instantaneous.
    #[must_use]
    pub fn modification_factor(self) -> f64 {
        match self {
            Self::Lasting => 0.8,
            Self::Snow => 0.9,
            Self::Wind => 1.1,
        }
    }
}

/// The side of the section over which a post buckles first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Axis {
    /// Over its thickness.
    Thin,
    /// Over its width.
    Wide,
}

/// Whether a column is one at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Standing {
    /// Its capacity holds.
    Column,
    /// Over the greatest le/d: no load may be put on it; its capacity is told as zero.
    TooSlender,
}

/// What a post bears along its length.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Capacity {
    /// Force, N: an allowable one or a design value, see [`Strength::method`]; zero if too slender.
    pub force: f64,
    /// Greatest le/d, of one piece.
    pub slenderness: f64,
    /// Where that is.
    pub axis: Axis,
    /// What buckling leaves of the strength, a part of one: Cp or k_c; zero if too slender.
    pub stability: f64,
    /// Whether `force` may be used.
    pub standing: Standing,
    /// Where the formula is from.
    pub source: &'static str,
}

/// What a post of some length bears.
///
/// Braces hold it both ways at even distances, so that the unbraced length is the length over braces + 1. Several pieces
/// bear as many times what one bears alone: nails that would make them one column are not counted on. That is on the
/// safe side.
///
/// # Units
/// `length` in m.
#[must_use]
pub fn capacity(stock: &PostStock, length: f64, duration: Duration) -> Capacity {
    let size = &stock.size;
    let unbraced = length / f64::from(stock.braces + 1);
    let thin = unbraced / size.thickness;
    let wide = unbraced / size.width;
    let (slenderness, axis) = if wide > thin {
        (wide, Axis::Wide)
    } else {
        (thin, Axis::Thin)
    };
    let (strength, stability, source) = match &stock.grade.strength {
        strength @ Strength::Reference {
            compression,
            buckling_modulus,
            ..
        } => {
            let factors = duration.load_duration_factor() * strength.size_factor(size.width);
            let unbuckled = compression * factors;
            let euler = EULER_OF_REFERENCE * buckling_modulus / slenderness.powi(2);
            let stability = stability_factor(euler / unbuckled, SAWN);
            (unbuckled, stability, "NDS 2018 eq. 3.7-1")
        }
        Strength::Characteristic {
            compression,
            buckling_modulus,
            ..
        } => {
            let design = compression * duration.modification_factor() / PARTIAL_FACTOR;
            // The radius of gyration of a rectangle is its side over the root of twelve.
            let relative =
                slenderness * 12.0_f64.sqrt() / PI * (compression / buckling_modulus).sqrt();
            let stability = instability_factor(relative);
            (design, stability, "EN 1995-1-1 eq. 6.23 to 6.29")
        }
    };
    if slenderness > MAX_SLENDER {
        return Capacity {
            force: 0.0,
            slenderness,
            axis,
            stability: 0.0,
            standing: Standing::TooSlender,
            source,
        };
    }
    Capacity {
        force: f64::from(stock.pieces) * size.area() * strength * stability,
        slenderness,
        axis,
        stability,
        standing: Standing::Column,
        source,
    }
}

/// Column stability factor Cp (NDS 2018 eq. 3.7-1): `ratio` is FcE/Fc*, `c` 0.8 for sawn lumber.
#[must_use]
pub fn stability_factor(ratio: f64, c: f64) -> f64 {
    let half = (1.0 + ratio) / (2.0 * c);
    // The root that is less; written so that a great ratio loses no digits.
    (ratio / c) / (half + (half * half - ratio / c).max(0.0).sqrt())
}

/// Instability factor k_c of solid timber (EN 1995-1-1 eq. 6.25 to 6.29, memory) at a relative slenderness.
#[must_use]
pub fn instability_factor(relative: f64) -> f64 {
    if relative <= STOCKY {
        return 1.0;
    }
    let k = 0.5 * (1.0 + CROOKEDNESS * (relative - STOCKY) + relative * relative);
    (1.0 / (k + (k * k - relative * relative).max(0.0).sqrt())).min(1.0)
}

/// What a piece of lumber bears across its grain under the end of a post: a wooden pad, sole or sill.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Bearing {
    /// Force, N: an allowable one or a design value, see [`Strength::method`].
    pub force: f64,
    /// Where the formula is from.
    pub source: &'static str,
}

/// What a pad of some lumber bears across its grain. The bearing area factor Cb and k_c,90 are taken as 1, on the safe
/// side; NDS lets no load duration factor in.
///
/// # Units
/// `contact` in m2, the end of the post on the pad.
#[must_use]
pub fn bearing(strength: &Strength, contact: f64, duration: Duration) -> Bearing {
    match strength {
        Strength::Reference { across, .. } => Bearing {
            force: across * contact,
            source: "NDS 2018 3.10.2",
        },
        Strength::Characteristic { across, .. } => Bearing {
            force: across * duration.modification_factor() / PARTIAL_FACTOR * contact,
            source: "EN 1995-1-1 eq. 6.3",
        },
    }
}

#[cfg(test)]
mod tests {
    use super::super::lumber::stock;
    use super::*;
    use crate::units::{METERS_PER_FOOT, METERS_PER_INCH, NEWTONS_PER_POUND, PASCALS_PER_PSI};

    fn post(size: &str, grade: &str, pieces: u32, braces: u32) -> PostStock {
        let lumber = stock().expect("the table");
        PostStock {
            size: lumber.size(size).expect(size).clone(),
            grade: lumber.grade(grade).expect(grade).clone(),
            pieces,
            braces,
        }
    }

    fn check(name: &str, got: f64, wanted: f64, tolerance: f64) {
        assert!(
            (got - wanted).abs() <= tolerance,
            "{name}: {got} instead of {wanted}"
        );
    }

    #[test]
    fn columns_of_a_textbook() {
        // Gere, Mechanics of Materials 7e, prob. 11.9-31, seen: 3.5 x 7.25 in, Fc 1000 psi, E 1.3e6 psi, c 0.8, FcE =
        // 0.3 E/(le/d)^2. Half of the last figure.
        for (feet, factor, kips) in [
            (6.0, 0.6621, 16.8),
            (8.0, 0.4464, 11.3),
            (10.0, 0.3050, 7.7),
        ] {
            let ratio = feet * 12.0 / 3.5;
            let found = stability_factor(0.3 * 1.3e6 / (ratio * ratio) / 1000.0, 0.8);
            check("Cp", found, factor, 5e-5);
            check("kips", found * 1000.0 * 3.5 * 7.25 / 1000.0, kips, 0.05);
        }
    }

    #[test]
    fn a_post_of_a_guide() {
        // HUD Residential Structural Design Guide 2e, example 5.6, quoted: 4x4 SPF No.2, 7.3 ft, CD 1.
        let found = capacity(
            &post("4x4", "SPF No.2", 1, 0),
            7.3 * METERS_PER_FOOT,
            Duration::Lasting,
        );
        check("le/d", found.slenderness, 25.0286, 5e-5);
        check("Cp", found.stability, 0.437_829_519, 5e-10);
        let area = (3.5 * METERS_PER_INCH).powi(2);
        check("Fc'", found.force / area / PASCALS_PER_PSI, 579.03, 5e-3);
        check(
            "FcE",
            0.822 * 510e3 / found.slenderness.powi(2),
            669.221,
            5e-3,
        );
        assert_eq!(found.standing, Standing::Column);
    }

    #[test]
    fn a_two_by_four() {
        // Computed for this project by NDS 3.7-1: 48 in, SPF No.2, CD 1.15: Cp 0.252176, 2013.5 lb.
        let one = post("2x4", "SPF No.2", 1, 0);
        let found = capacity(&one, 48.0 * METERS_PER_INCH, Duration::Snow);
        check("Cp", found.stability, 0.252_176, 5e-7);
        check("lb", found.force / NEWTONS_PER_POUND, 2013.5, 0.05);
        assert_eq!(found.axis, Axis::Thin);
        // 8 ft is refused: le/d 64 (NDS 2018 3.7.1.4).
        let refused = capacity(&one, 8.0 * METERS_PER_FOOT, Duration::Snow);
        check("le/d", refused.slenderness, 64.0, 1e-9);
        assert_eq!(
            (refused.standing, refused.force),
            (Standing::TooSlender, 0.0)
        );
        // One brace in the middle makes it the 48 in post; two pieces bear twice as much.
        let braced = post("2x4", "SPF No.2", 2, 1);
        let braced = capacity(&braced, 8.0 * METERS_PER_FOOT, Duration::Snow);
        check(
            "braced",
            braced.force,
            2.0 * found.force,
            1e-9 * found.force,
        );
    }

    #[test]
    fn european_posts() {
        // By hand from EN 1995-1-1 6.3.2: 70x70, C24, 2 m. le/d 28.5714, lambda 98.974, relative 1.67829, k 2.04616,
        // k_c 0.31088; 0.0049 m2 x 21 MPa x 0.9/1.3 x k_c = 22.147 kN.
        let found = capacity(&post("70x70", "C24", 1, 0), 2.0, Duration::Snow);
        check("le/d", found.slenderness, 28.5714, 5e-5);
        check("k_c", found.stability, 0.310_88, 5e-6);
        check("N", found.force, 22_146.7, 0.1);
        check("stocky", instability_factor(0.3), 1.0, 0.0);
        let slender = capacity(&post("45x95", "C24", 1, 0), 2.4, Duration::Snow);
        assert_eq!(slender.standing, Standing::TooSlender);
    }

    #[test]
    fn ends_of_the_stability_factors() {
        // Stocky: all of the strength. Slender: Euler's load is the limit; EN keeps a little under it.
        check("stocky", stability_factor(1e6, 0.8), 1.0, 1e-5);
        check("slender", stability_factor(1e-6, 0.8), 1e-6, 1e-11);
        check("Euler", instability_factor(100.0) * 1e4, 0.998, 1e-4);
    }

    #[test]
    fn longer_is_never_stronger_and_braces_never_weaken() {
        for (size, grade) in [
            ("2x4", "SPF No.2"),
            ("2x6", "Southern Pine No.2"),
            ("4x4", "Hem-Fir No.2"),
            ("45x95", "C16"),
            ("95x95", "C24"),
        ] {
            let [one, braced, two] =
                [(1, 0), (1, 1), (2, 0)].map(|(pieces, braces)| post(size, grade, pieces, braces));
            for duration in [Duration::Lasting, Duration::Snow, Duration::Wind] {
                let mut before = f64::INFINITY;
                for step in 1..80 {
                    let length = 0.05 * f64::from(step);
                    let force = |post| capacity(post, length, duration).force;
                    let bare = force(&one);
                    assert!(bare <= before, "{size} {grade} {length}");
                    assert!(force(&braced) >= bare && force(&two) >= bare);
                    before = bare;
                }
            }
        }
    }

    #[test]
    fn bearing_across_the_grain() {
        // NDS: Fc-perp 425 psi x 5.25 in2 = 2231.25 lb, whatever the duration.
        let lumber = stock().expect("the table");
        let spf = &lumber.grade("SPF No.2").expect("it").strength;
        let contact = 5.25 * METERS_PER_INCH * METERS_PER_INCH;
        for duration in [Duration::Snow, Duration::Wind] {
            let found = bearing(spf, contact, duration);
            check("lb", found.force / NEWTONS_PER_POUND, 2231.25, 1e-6);
        }
        // EN: 2.5 MPa x 0.9/1.3 x 0.0049 m2 = 8480.8 N.
        let c24 = &lumber.grade("C24").expect("it").strength;
        let found = bearing(c24, 0.0049, Duration::Snow);
        check("N", found.force, 8480.77, 5e-3);
    }
}
