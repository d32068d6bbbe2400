//! Stresses and moduli, of film and lumber.

use super::plain::parse;
use super::system::fixed;
use super::{PASCALS_PER_PSI, Quantity, UnitError, UnitSystem};

/// Spellings and pascals in one of each.
const STRESSES: &[(&str, f64)] = &[
    ("psi", PASCALS_PER_PSI),
    ("MPa", 1e6),
    ("GPa", 1e9),
    ("ksi", 1000.0 * PASCALS_PER_PSI),
    ("N/mm2", 1e6),
    ("kPa", 1000.0),
    ("Pa", 1.0),
];

/// Reads a stress or a modulus: `150 MPa`, `1150 psi`, `11 GPa`, `9 N/mm²`.
///
/// # Units
/// Returns pascals.
///
/// # Errors
/// Anything that is not one stress with its unit; see [`UnitError`].
pub fn parse_stress(text: &str) -> Result<f64, UnitError> {
    parse(Quantity::Stress, text, STRESSES)
}

impl UnitSystem {
    /// Prints a stress: `1150 psi` or `7.93 MPa`.
    ///
    /// # Units
    /// `pascals` in pascals.
    #[must_use]
    pub fn format_stress(self, pascals: f64) -> String {
        match self {
            Self::FeetInches => fixed(pascals / PASCALS_PER_PSI, 0, " psi"),
            Self::Metric => fixed(pascals / 1e6, 2, " MPa"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, wanted: f64, within: f64) {
        match parse_stress(text) {
            Ok(found) => assert!(
                (found - wanted).abs() <= within,
                "{text}: {found} is not {wanted}"
            ),
            Err(error) => panic!("{text}: {error}"),
        }
    }

    fn check_error(text: &str, message: &str, hint: &str) {
        let error = parse_stress(text).expect_err(text);
        assert_eq!(error.to_string(), message, "{text}");
        assert!(error.hint().contains(hint), "{text}: {}", error.hint());
    }

    // NIST Special Publication 811, appendix B, memory: 1 psi = 6894.757 Pa; `within` is half of its last figure.
    #[test]
    fn stresses_are_read() {
        check("1 psi", 6894.757, 5e-4);
        check("1400 ksi", 1.4e6 * 6894.757, 1.4e6 * 5e-4);
        check("150 MPa", 1.5e8, 0.0);
        check("11 GPa", 1.1e10, 0.0);
        check("9 N/mm²", 9e6, 0.0);
        check("200 kPa", 2e5, 1e-9);
    }

    #[test]
    fn slips_are_named() {
        check_error("150", "no unit after '150'", "\"150 psi\" or \"150 MPa\"");
        check_error("150 MPs", "unknown unit 'MPs' for a stress", "'MPa'");
        check_error("20 psf", "unknown unit 'psf' for a stress", "'psi'");
        check_error("", "the stress is empty", "1150 psi");
    }

    #[test]
    fn stresses_are_printed() {
        for (pascals, imperial, metric) in [
            (1150.0 * PASCALS_PER_PSI, "1150 psi", "7.93 MPa"),
            (9e6, "1305 psi", "9.00 MPa"),
            (f64::INFINITY, "n/a", "n/a"),
        ] {
            assert_eq!(UnitSystem::FeetInches.format_stress(pascals), imperial);
            assert_eq!(UnitSystem::Metric.format_stress(pascals), metric);
        }
    }
}
