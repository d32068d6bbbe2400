//! Masses of film, gas and bales.

use super::plain::parse;
use super::{KILOGRAMS_PER_POUND, Quantity, UnitError};

/// Spellings and kilograms in one of each.
const MASSES: &[(&str, f64)] = &[
    ("lb", KILOGRAMS_PER_POUND),
    ("kg", 1.0),
    ("g", 1e-3),
    ("t", 1e3),
    ("oz", KILOGRAMS_PER_POUND / 16.0),
    ("lbs", KILOGRAMS_PER_POUND),
    ("pounds", KILOGRAMS_PER_POUND),
];

/// Reads a mass: `20 lb`, `9 kg`.
///
/// # Units
/// Returns kilograms.
///
/// # Errors
/// Anything that is not one mass with its unit; see [`UnitError`].
pub fn parse_mass(text: &str) -> Result<f64, UnitError> {
    parse(Quantity::Mass, text, MASSES)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn masses_are_read() {
        // Exact: a pound is 0.45359237 kg (international agreement of 1959).
        for (text, kilograms) in [
            ("20 lb", 9.071_847_4),
            ("20lbs", 9.071_847_4),
            ("9 kg", 9.0),
            ("500 g", 0.5),
            ("8 oz", 0.226_796_185),
            ("1.5 t", 1500.0),
        ] {
            let found = parse_mass(text).expect(text);
            assert!((found - kilograms).abs() < 1e-9, "{text}: {found}");
        }
        for (text, hint) in [("20", "20 lb"), ("20 lg", "did you mean"), ("", "20 lb")] {
            let error = parse_mass(text).expect_err(text);
            assert!(error.hint().contains(hint), "{text}: {}", error.hint());
        }
    }
}
