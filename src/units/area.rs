//! Areas.

use super::plain::parse;
use super::{METERS_PER_FOOT, METERS_PER_INCH, Quantity, UnitError};

const SQUARE_FOOT: f64 = METERS_PER_FOOT * METERS_PER_FOOT;
const SQUARE_INCH: f64 = METERS_PER_INCH * METERS_PER_INCH;

/// Spellings and square meters in one of each.
const UNITS: &[(&str, f64)] = &[
    ("sq ft", SQUARE_FOOT),
    ("m2", 1.0),
    ("sq in", SQUARE_INCH),
    ("cm2", 1e-4),
    ("ft2", SQUARE_FOOT),
    ("in2", SQUARE_INCH),
    ("square feet", SQUARE_FOOT),
    ("square foot", SQUARE_FOOT),
    ("square inches", SQUARE_INCH),
    ("sq m", 1.0),
    ("sqm", 1.0),
    ("square meters", 1.0),
    ("square meters", 1.0),
];

/// Reads an area: `1 sq ft`, `96 sq in`, `0.09 m²`, `0.09 m2`.
///
/// # Units
/// Returns square meters.
///
/// # Errors
/// Anything that is not one area with its unit; see [`UnitError`].
pub fn parse_area(text: &str) -> Result<f64, UnitError> {
    parse(Quantity::Area, text, UNITS)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::UnitSystem;

    /// Rounding of a few products.
    const CLOSE: f64 = 1e-12;

    fn check(text: &str, square_meters: f64) {
        match parse_area(text) {
            Ok(found) => assert!((found - square_meters).abs() <= CLOSE, "{text}: {found}"),
            Err(error) => panic!("{text}: {error}"),
        }
    }

    fn check_error(text: &str, message: &str, hint: &str) {
        let error = parse_area(text).expect_err(text);
        assert_eq!(error.to_string(), message, "{text}");
        assert!(
            error.hint().contains(hint),
            "{text}: hint is {}",
            error.hint()
        );
    }

    // Exact: a foot is 0.3048 m (international agreement of 1959).
    #[test]
    fn areas_are_read() {
        for text in [
            "1 sq ft",
            "1 sq. ft.",
            "1sqft",
            "1 ft²",
            "1 ft^2",
            "1 FT2",
            "144 sq in",
            "1 square foot",
        ] {
            check(text, 0.092_903_04);
        }
        for text in ["1.5 m²", "1.5 m2", "1 1/2 sq m", "15000 cm²"] {
            check(text, 1.5);
        }
    }

    #[test]
    fn slips_are_named() {
        check_error("1", "no unit after '1'", "\"1 sq ft\" or \"1 m2\"");
        check_error(
            "1 sq tf",
            "unknown unit 'sqtf' for an area",
            "did you mean 'sq ft'?",
        );
        check_error("1 acre", "unknown unit 'acre' for an area", "0.09 m2");
        check_error("", "the area is empty", "1 sq ft");
        check_error("0,5 m2", "'0,5' has a comma in it", "\"0.5\"");
    }

    proptest! {
        #[test]
        fn what_is_printed_is_read_back(area in 0.0..500.0_f64) {
            // Half a step of the last figure printed.
            for (system, half) in [(UnitSystem::FeetInches, 0.05 * SQUARE_FOOT), (UnitSystem::Metric, 0.005)] {
                let printed = system.format_area(area);
                let read = parse_area(&printed);
                prop_assert!(
                    read.as_ref().is_ok_and(|read| (read - area).abs() <= half + CLOSE),
                    "{area} -> {printed} -> {read:?}"
                );
            }
        }
    }
}
