//! Snow on the cover by the site's code: flat, at a slope, and with one side bare.
//!
//! All loads are per area in plan. Two curves tell how snow thins with the slope. A film is slippery, but one that sags
//! between straps and is stopped at the rail is not *unobstructed*: the cover is checked by the curve for
//! [`Surface::Other`]; the slippery one is there to compare with, and gives the house's least slope of 15 deg.

use super::site::{Code, Exposure, GroundSnow, Site, Terrain};

/// What is not in these loads; to be told wherever they are shown.
pub const LEAVES_OUT: &str = "Left out: the least load for low slopes, rain on snow but in the NBCC, drifts against \
higher things, snow that slides down from roofs or is blown off trees.";

/// Thermal factor of unheated structures (ASCE 7-16 table 7.3-2, quoted; 7-22 memory).
const UNHEATED: f64 = 1.2;
/// From ground to flat roof (ASCE 7-16 eq. 7.3-1, quoted).
const FLAT: f64 = 0.7;
/// mu1 of a roof that is nearly flat (EN 1991-1-3 table 5.2, seen).
const NEARLY_FLAT: f64 = 0.8;
/// C_t where nothing melts (EN 1991-1-3 5.2(8), memory).
const NO_MELTING: f64 = 1.0;
/// Cb of a roof that is small: characteristic length up to 70 m/Cw^2 (NBCC 4.1.6.2.(2), quoted).
const SMALL_ROOF: f64 = 0.8;
/// Cw where wind blows over open terrain from all sides (NBCC 4.1.6.2.(4), quoted); 1 elsewhere.
const WINDSWEPT: f64 = 0.75;
/// Ca of the lee side of a gable over 20 deg (NBCC 4.1.6.9, quoted). From 15 to 20 deg the code rises to it, under 15 it
/// has no bare side: here it holds for all slopes, on the safe side.
const LEE: f64 = 1.25;
/// What lies on the lee side's mate beyond the slopes for which ASCE 7 has an unbalanced load, a part of the balanced
/// load; house rule, after the windward part in ASCE 7 for wide gables.
const WINDWARD: f64 = 0.3;
/// Steepest gable for which ASCE 7 has an unbalanced load: 7:12, deg (ASCE 7-16 7.6.1, quoted).
const STEEPEST_UNBALANCED: f64 = 30.2;
/// What lies on the drier side of a drifted gable, a part of mu1 (EN 1991-1-3 fig. 5.3, memory).
const DRIFTED: f64 = 0.5;

/// How snow comes off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Surface {
    /// Unobstructed and slippery: nothing holds snow, and there is room for it to fall.
    Slippery,
    /// All others; the cover is one.
    Other,
}

/// Snow per area in plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SnowLoad {
    /// Pa.
    pub pressure: f64,
    /// Where it is from.
    pub source: &'static str,
}

/// Snow per area in plan with one side nearly bare.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneSided {
    /// On the loaded side, Pa.
    pub loaded: f64,
    /// On the other side, Pa.
    pub other: f64,
    /// Where it is from.
    pub source: &'static str,
}

/// Snow on a flat roof; `None` where the site has no snow.
#[must_use]
pub fn flat_roof(site: &Site) -> Option<SnowLoad> {
    let snow = site.snow?;
    let source = match site.code {
        Code::Asce716 => "ASCE 7-16 eq. 7.3-1",
        Code::Asce722 => "ASCE 7-22 eq. 7.3-1",
        Code::En1991 => "EN 1991-1-3 eq. 5.1",
        Code::Nbcc => "NBCC 4.1.6.2",
    };
    Some(SnowLoad {
        pressure: sloped(site, snow, 1.0),
        source,
    })
}

/// Balanced snow at a slope; `None` where the site has no snow.
///
/// # Units
/// `slope` in rad from the horizontal, 0 to a right angle.
#[must_use]
pub fn balanced(site: &Site, slope: f64, surface: Surface) -> Option<SnowLoad> {
    let snow = site.snow?;
    let source = match (site.code, surface) {
        (Code::Asce716, Surface::Slippery) => "ASCE 7-16 eq. 7.4-1, Cs fig. 7.4-1c slippery",
        (Code::Asce716, Surface::Other) => "ASCE 7-16 eq. 7.4-1, Cs fig. 7.4-1c",
        (Code::Asce722, Surface::Slippery) => "ASCE 7-22 eq. 7.4-1, Cs fig. 7.4-1 slippery",
        (Code::Asce722, Surface::Other) => "ASCE 7-22 eq. 7.4-1, Cs fig. 7.4-1",
        (Code::En1991, _) => "EN 1991-1-3 eq. 5.1, mu1 table 5.2",
        (Code::Nbcc, Surface::Slippery) => "NBCC 4.1.6.2, Cs slippery",
        (Code::Nbcc, Surface::Other) => "NBCC 4.1.6.2",
    };
    Some(SnowLoad {
        pressure: sloped(site, snow, slope_factor(site.code, slope, surface)),
        source,
    })
}

/// Snow on one side, by the curve for other surfaces; `None` where the site has no snow.
///
/// ASCE 7 loads the lee side of a narrow gable (eave to ridge up to 20 ft) with the whole ground load for slopes from
/// 2.38 to 30.2 deg. House rules about it: the same holds for flatter slopes; the loaded side never has less than the
/// balanced load; and beyond 30.2 deg the balanced load lies on one side and 0.3 of it on the other, so that this check
/// does not vanish with the slope.
///
/// # Units
/// `slope` in rad from the horizontal, 0 to a right angle.
#[must_use]
pub fn one_sided(site: &Site, slope: f64) -> Option<OneSided> {
    let snow = site.snow?;
    let thinned = slope_factor(site.code, slope, Surface::Other);
    let even = sloped(site, snow, thinned);
    let steep = slope.to_degrees() > STEEPEST_UNBALANCED;
    let (loaded, other, source) = match site.code {
        Code::Asce716 | Code::Asce722 if steep => {
            (even, WINDWARD * even, "balanced and 0.3 of it, house rule")
        }
        Code::Asce716 => (
            even.max(site.importance * snow.load),
            0.0,
            "ASCE 7-16 7.6.1, narrow gable",
        ),
        Code::Asce722 => (even.max(snow.load), 0.0, "ASCE 7-22 7.6.1, narrow gable"),
        Code::En1991 => (even, DRIFTED * even, "EN 1991-1-3 fig. 5.3, drifted"),
        Code::Nbcc => (
            sloped(site, snow, LEE * thinned),
            0.0,
            "NBCC 4.1.6.9, Ca 1.25",
        ),
    };
    Some(OneSided {
        loaded,
        other,
        source,
    })
}

/// How snow thins with the slope, a part of what lies on the flat: Cs of a cold roof with Ct 1.2 (ASCE 7-16 fig. 7.4-1c,
/// quoted; 7-22 memory), mu1/0.8 (EN 1991-1-3 table 5.2, seen), Cs (NBCC 4.1.6.2.(5) and (6), memory).
///
/// EN 1991-1-3 has one curve for all surfaces, as long as nothing keeps snow from sliding off; where a fence or a
/// parapet does it asks for 0.8 throughout. The edge of a cover, where the film bends down over the rail, is none.
///
/// # Units
/// `slope` in rad from the horizontal.
#[must_use]
pub fn slope_factor(code: Code, slope: f64, surface: Surface) -> f64 {
    let (from, to) = match (code, surface) {
        (Code::Asce716 | Code::Asce722, Surface::Slippery) => (15.0, 70.0),
        (Code::Asce716 | Code::Asce722, Surface::Other) => (45.0, 70.0),
        (Code::En1991, _) => (30.0, 60.0),
        (Code::Nbcc, Surface::Slippery) => (15.0, 60.0),
        (Code::Nbcc, Surface::Other) => (30.0, 70.0),
    };
    let left: f64 = (to - slope.to_degrees()) / (to - from);
    left.clamp(0.0, 1.0)
}

/// The load where `thinned` of the flat roof's snow stays, Pa.
fn sloped(site: &Site, snow: GroundSnow, thinned: f64) -> f64 {
    let exposure = exposure_factor(site.code, site.terrain, site.exposure);
    match site.code {
        Code::Asce716 => FLAT * exposure * UNHEATED * site.importance * snow.load * thinned,
        Code::Asce722 => FLAT * exposure * UNHEATED * snow.load * thinned,
        Code::En1991 => NEARLY_FLAT * exposure * NO_MELTING * snow.load * thinned,
        Code::Nbcc => {
            let dry = snow.load * SMALL_ROOF * exposure * thinned;
            // No more rain than the snow can hold (NBCC 4.1.6.2.(1), quoted).
            site.importance * specified(dry, snow.rain.min(dry))
        }
    }
}

/// Snow and the rain in it, before importance (NBCC 4.1.6.2.(1)), Pa.
fn specified(snow: f64, rain: f64) -> f64 {
    snow + rain
}

/// Ce by terrain and exposure (ASCE 7-16 table 7.3-1, quoted, the same in 7-22, memory; EN 1991-1-3 table 5.1, memory) or
/// Cw (NBCC 4.1.6.2.(3) and (4), quoted).
#[must_use]
pub fn exposure_factor(code: Code, terrain: Terrain, exposure: Exposure) -> f64 {
    use Exposure::{Full, Partial, Sheltered};
    match code {
        Code::Asce716 | Code::Asce722 => match (terrain, exposure) {
            (Terrain::D, Full) => 0.8,
            (Terrain::D, Partial) => 0.9,
            (Terrain::D, Sheltered) => 1.0,
            (_, Full) => 0.9,
            (_, Partial) => 1.0,
            (Terrain::B, Sheltered) => 1.2,
            (_, Sheltered) => 1.1,
        },
        Code::En1991 => match exposure {
            Full => 0.8,
            Partial => 1.0,
            Sheltered => 1.2,
        },
        Code::Nbcc if terrain == Terrain::Open && exposure == Full => WINDSWEPT,
        Code::Nbcc => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::super::site::{self, SiteOptions};
    use super::*;
    use crate::units::PASCALS_PER_PSF;

    fn site(code: &str, snow: &str, rain: Option<&str>) -> Site {
        let text = |text: &str| Some(text.to_owned());
        site::from_options(&SiteOptions {
            code: text(code),
            snow: text(snow),
            rain: rain.map(str::to_owned),
            ..SiteOptions::default()
        })
        .expect("a good site")
    }

    fn check(name: &str, got: f64, wanted: f64, tolerance: f64) {
        assert!(
            (got - wanted).abs() <= tolerance,
            "{name}: {got} instead of {wanted}"
        );
    }

    fn psf(site: &Site, degrees: f64, surface: Surface) -> f64 {
        balanced(site, degrees.to_radians(), surface)
            .expect("snow")
            .pressure
            / PASCALS_PER_PSF
    }

    #[test]
    fn snow_by_asce_7_16() {
        // ASCE 7-16 ch. 7, quoted: pg 40 psf, Ce 1, Ct 1.2, Is 0.8. By default terrain C, partly exposed, Is 0.8.
        let site = site("asce7-16", "40 psf", None);
        let flat = flat_roof(&site).expect("snow").pressure / PASCALS_PER_PSF;
        check("pf", flat, 26.88, 1e-9);
        let degrees = 30.0_f64.to_radians();
        let factor = slope_factor(Code::Asce716, degrees, Surface::Slippery);
        check("Cs", factor, 0.727_273, 5e-7);
        check("30 deg", psf(&site, 30.0, Surface::Slippery), 19.549, 5e-4);
        check("20 deg", psf(&site, 20.0, Surface::Slippery), 24.436, 5e-4);
        // The curve of the cover: all of it up to 45 deg, none from 70 deg.
        check("45 deg", psf(&site, 45.0, Surface::Other), 26.88, 1e-9);
        check("57.5 deg", psf(&site, 57.5, Surface::Other), 13.44, 1e-9);
        check("70 deg", psf(&site, 70.0, Surface::Other), 0.0, 1e-9);
        let lee = one_sided(&site, 0.4).expect("snow");
        check("lee", lee.loaded / PASCALS_PER_PSF, 32.0, 1e-9);
        check("windward", lee.other, 0.0, 0.0);
        let steep = one_sided(&site, 31.0_f64.to_radians()).expect("snow");
        check("steep", steep.loaded / PASCALS_PER_PSF, 26.88, 1e-9);
        check("its mate", steep.other / PASCALS_PER_PSF, 0.3 * 26.88, 1e-9);
    }

    #[test]
    fn snow_by_asce_7_22() {
        // No Is: 0.7 x 1 x 1.2 x 40 = 33.6 psf.
        let site = site("asce7-22", "40 psf", None);
        check("pf", psf(&site, 0.0, Surface::Other), 33.6, 1e-9);
        let lee = one_sided(&site, 0.4).expect("snow");
        check("lee", lee.loaded / PASCALS_PER_PSF, 40.0, 1e-9);
        assert!(lee.source.contains("7-22"));
    }

    #[test]
    fn snow_by_en_1991() {
        // EN 1991-1-3; the example in Steel Buildings in Europe, SSB03 app. A, seen: mu1 0.8, s_k 0.65, s 0.52 kN/m2.
        let site = site("en1991", "0.65 kN/m2", None);
        let flat = flat_roof(&site).expect("snow").pressure;
        check("s", flat, 520.0, 1e-9);
        // mu1 0.4 at 45 deg.
        for (degrees, shape) in [
            (0.0, 0.8),
            (30.0, 0.8),
            (45.0, 0.4),
            (60.0, 0.0),
            (80.0, 0.0),
        ] {
            let factor = slope_factor(Code::En1991, f64::to_radians(degrees), Surface::Other);
            check("mu1", 0.8 * factor, shape, 1e-12);
        }
        let drifted = one_sided(&site, 45.0_f64.to_radians()).expect("snow");
        check("drifted", drifted.loaded, 260.0, 1e-9);
        check("drier", drifted.other, 130.0, 1e-9);
    }

    #[test]
    fn snow_by_the_nbcc() {
        // NBCC 4.1.6.2, example seen: Ss = Sr = 1 kPa, Cb 0.8, all else 1: 1.8 kPa. The example leaves the limit of the
        // rain out: 4.1.6.2.(1) lets no more of it than of the snow.
        check("formula", specified(0.8 * 1000.0, 1000.0), 1800.0, 1e-9);
        let wet = site("nbcc", "1 kPa", Some("1 kPa"));
        check(
            "limited",
            flat_roof(&wet).expect("snow").pressure,
            0.8 * 1600.0,
            1e-9,
        );
        let site = site("nbcc", "2 kPa", Some("0.4 kPa"));
        let load = |degrees: f64| {
            balanced(&site, degrees.to_radians(), Surface::Other)
                .expect("snow")
                .pressure
        };
        check("flat", load(0.0), 0.8 * (1600.0 + 400.0), 1e-9);
        check("50 deg", load(50.0), 0.8 * (800.0 + 400.0), 1e-9);
        check("65 deg", load(65.0), 0.8 * (200.0 + 200.0), 1e-9);
        let lee = one_sided(&site, 0.4).expect("snow");
        check("lee", lee.loaded, 0.8 * (2000.0 + 400.0), 1e-9);
    }

    #[test]
    fn wind_thins_snow() {
        for code in Code::ALL {
            for terrain in code.terrains() {
                let factor = |exposure| exposure_factor(code, *terrain, exposure);
                let (full, partial) = (factor(Exposure::Full), factor(Exposure::Partial));
                let sheltered = factor(Exposure::Sheltered);
                assert!(full <= partial && partial <= sheltered, "{code:?}");
                assert!((0.7..=1.2).contains(&full) && sheltered <= 1.2);
            }
        }
        // ASCE 7-16 table 7.3-1, quoted.
        let asce = |terrain, exposure| exposure_factor(Code::Asce716, terrain, exposure);
        assert_eq!(asce(Terrain::B, Exposure::Sheltered), 1.2);
        assert_eq!(asce(Terrain::C, Exposure::Sheltered), 1.1);
        assert_eq!(asce(Terrain::D, Exposure::Full), 0.8);
    }

    #[test]
    fn heavier_snow_is_never_lighter_and_steeper_never_more() {
        for code in Code::ALL {
            let rain = (code == Code::Nbcc).then_some("0.4 kPa");
            let loads = |site: &Site, degrees: u32| {
                let slope = f64::from(degrees).to_radians();
                let load = |surface| balanced(site, slope, surface).expect("snow").pressure;
                let side = one_sided(site, slope).expect("snow");
                [load(Surface::Slippery), load(Surface::Other), side.loaded]
            };
            let sites: Vec<Site> = [0, 5, 20, 40, 100]
                .iter()
                .map(|ground| site(code.key(), &format!("{ground} psf"), rain))
                .collect();
            for pair in sites.windows(2) {
                for degrees in 0..=90 {
                    let here = loads(&pair[0], degrees);
                    assert!(here[0] <= here[1] && here[2] >= 0.0, "{code:?} {degrees}");
                    let heavier = loads(&pair[1], degrees);
                    let steeper = loads(&pair[0], (degrees + 1).min(90));
                    for ((here, heavier), steeper) in here.iter().zip(heavier).zip(steeper) {
                        assert!(heavier >= *here, "{code:?} {degrees}");
                        assert!(steeper <= *here, "{code:?} {degrees}");
                    }
                }
            }
        }
    }

    #[test]
    fn the_loaded_side_has_most() {
        for code in Code::ALL {
            let rain = (code == Code::Nbcc).then_some("0.4 kPa");
            let site = site(code.key(), "30 psf", rain);
            for degrees in 0..=90 {
                let slope = f64::from(degrees).to_radians();
                let side = one_sided(&site, slope).expect("snow");
                let even = balanced(&site, slope, Surface::Other).expect("snow");
                assert!(side.loaded >= even.pressure && side.other <= even.pressure);
            }
        }
    }

    #[test]
    fn no_snow_no_load() {
        let bare = site::from_options(&SiteOptions::default()).expect("a bare site");
        assert_eq!(flat_roof(&bare), None);
        assert_eq!(balanced(&bare, 0.3, Surface::Other), None);
        assert_eq!(one_sided(&bare, 0.3), None);
        let none = site("asce7-16", "0 psf", None);
        check("0 psf", flat_roof(&none).expect("given").pressure, 0.0, 0.0);
    }
}
