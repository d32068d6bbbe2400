//! Forces, film tensions and pressures.

use super::plain::parse;
use super::{
    METERS_PER_FOOT, METERS_PER_INCH, NEWTONS_PER_POUND, PASCALS_PER_PSF, PASCALS_PER_PSI,
    Quantity, UnitError,
};

/// Spellings and newtons in one of each. Pounds are pounds of force: no strap is rated in mass.
const FORCES: &[(&str, f64)] = &[
    ("lbf", NEWTONS_PER_POUND),
    ("N", 1.0),
    ("kN", 1000.0),
    ("lb", NEWTONS_PER_POUND),
    ("lbs", NEWTONS_PER_POUND),
    ("kip", 1000.0 * NEWTONS_PER_POUND),
];

const POUNDS_PER_INCH: f64 = NEWTONS_PER_POUND / METERS_PER_INCH;
const POUNDS_PER_FOOT: f64 = NEWTONS_PER_POUND / METERS_PER_FOOT;

/// Spellings and newtons per meter in one of each.
const TENSIONS: &[(&str, f64)] = &[
    ("N/m", 1.0),
    ("lbf/in", POUNDS_PER_INCH),
    ("lbf/ft", POUNDS_PER_FOOT),
    ("kN/m", 1000.0),
    ("N/mm", 1000.0),
    ("N/cm", 100.0),
    ("lb/in", POUNDS_PER_INCH),
    ("lb/ft", POUNDS_PER_FOOT),
    ("pli", POUNDS_PER_INCH),
    ("plf", POUNDS_PER_FOOT),
];

/// Spellings and pascals in one of each.
const PRESSURES: &[(&str, f64)] = &[
    ("psf", PASCALS_PER_PSF),
    ("kPa", 1000.0),
    ("Pa", 1.0),
    ("kN/m2", 1000.0),
    ("N/m2", 1.0),
    ("lbf/ft2", PASCALS_PER_PSF),
    ("lb/ft2", PASCALS_PER_PSF),
    ("hPa", 100.0),
    ("mbar", 100.0),
    ("psi", PASCALS_PER_PSI),
];

/// Reads a force: `180 lbf`, `800 N`, `0.8 kN`.
///
/// # Units
/// Returns newtons.
///
/// # Errors
/// Anything that is not one force with its unit; see [`UnitError`].
pub fn parse_force(text: &str) -> Result<f64, UnitError> {
    parse(Quantity::Force, text, FORCES)
}

/// Reads a film tension, force per width: `100 N/m`, `0.57 lbf/in`.
///
/// # Units
/// Returns newtons per meter.
///
/// # Errors
/// Anything that is not one tension with its unit; see [`UnitError`].
pub fn parse_tension(text: &str) -> Result<f64, UnitError> {
    parse(Quantity::Tension, text, TENSIONS)
}

/// Reads a pressure: `20 psf`, `0.96 kPa`, `960 Pa`, `0.96 kN/m²`.
///
/// # Units
/// Returns pascals.
///
/// # Errors
/// Anything that is not one pressure with its unit; see [`UnitError`].
pub fn parse_pressure(text: &str) -> Result<f64, UnitError> {
    parse(Quantity::Pressure, text, PRESSURES)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    type Parse = fn(&str) -> Result<f64, UnitError>;

    fn check(parse: Parse, text: &str, si: f64, within: f64) {
        match parse(text) {
            Ok(found) => assert!((found - si).abs() <= within, "{text}: {found} is not {si}"),
            Err(error) => panic!("{text}: {error}"),
        }
    }

    fn check_error(parse: Parse, text: &str, message: &str, hint: &str) {
        let error = parse(text).expect_err(text);
        assert_eq!(error.to_string(), message, "{text}");
        assert!(
            error.hint().contains(hint),
            "{text}: hint is {}",
            error.hint()
        );
    }

    // Conversion factors: NIST Special Publication 811, appendix B, from memory; `within` is half of the last
    // figure printed there, scaled.
    #[test]
    fn loads_are_read() {
        check(parse_force, "1 lbf", 4.448222, 5e-7);
        check(parse_force, "180 lbs", 180.0 * 4.448222, 180.0 * 5e-7);
        check(parse_force, "800 N", 800.0, 0.0);
        check(parse_force, "800n", 800.0, 0.0);
        check(parse_force, "0.8 kN", 800.0, 1e-12);
        check(parse_force, "-1 kip", -4448.222, 5e-4);
        check(parse_tension, "100 N/m", 100.0, 0.0);
        check(parse_tension, "1 lbf/in", 175.1268, 5e-5);
        check(parse_tension, "1 lbf / in.", 175.1268, 5e-5);
        check(parse_tension, "1 plf", 14.59390, 5e-6);
        check(parse_pressure, "1 psf", 47.88026, 5e-6);
        check(parse_pressure, "20 lbf/ft²", 20.0 * 47.88026, 20.0 * 5e-6);
        check(parse_pressure, "0.96 kPa", 960.0, 1e-12);
        check(parse_pressure, "960 Pa", 960.0, 0.0);
        check(parse_pressure, "0.96 kN/m^2", 960.0, 1e-12);
        check(parse_pressure, "1 psi", 6894.757, 5e-4);
    }

    #[test]
    fn slips_are_named() {
        check_error(
            parse_force,
            "180",
            "no unit after '180'",
            "\"180 lbf\" or \"180 N\"",
        );
        check_error(
            parse_force,
            "180 lfb",
            "unknown unit 'lfb' for a force",
            "'lbf'",
        );
        check_error(
            parse_force,
            "80 kg",
            "unknown unit 'kg' for a force",
            "did you mean",
        );
        check_error(
            parse_force,
            "1e3 N",
            "'1e3 N' is written with a power of ten",
            "1500",
        );
        check_error(
            parse_force,
            "180 lbf 3",
            "unknown unit 'lbf3' for a force",
            "'lbf'",
        );
        check_error(
            parse_tension,
            "100 N",
            "unknown unit 'N' for a film tension",
            "100 N/m",
        );
        check_error(parse_tension, "", "the film tension is empty", "N/m");
        check_error(
            parse_pressure,
            "20 pfs",
            "unknown unit 'pfs' for a pressure",
            "'psf'",
        );
        check_error(
            parse_pressure,
            "20",
            "no unit after '20'",
            "\"20 psf\" or \"20 kPa\"",
        );
        check_error(
            parse_pressure,
            "0,96 kPa",
            "'0,96' has a comma in it",
            "\"0.96\"",
        );
        check_error(
            parse_pressure,
            "inf Pa",
            "'inf' is not a finite number",
            "plain",
        );
        check_error(
            parse_pressure,
            "20 / psf",
            "did not expect '/ psf' in a pressure",
            "20 psf",
        );
    }

    proptest! {
        #[test]
        fn any_text_is_survived(text in any::<String>()) {
            for parse in [parse_force as Parse, parse_tension, parse_pressure] {
                if let Ok(si) = parse(&text) {
                    prop_assert!(si.is_finite());
                }
            }
        }
    }
}
