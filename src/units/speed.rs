//! Speeds of wind and of tows.

use super::plain::parse;
use super::system::fixed;
use super::{METERS_PER_SECOND_PER_MPH, Quantity, UnitError, UnitSystem};

/// Meters per second in a kilometer per hour.
const PER_KILOMETER_PER_HOUR: f64 = 1000.0 / 3600.0;
/// Meters per second in a knot (exact, a nautical mile of 1852 m an hour).
const PER_KNOT: f64 = 1852.0 / 3600.0;

/// Spellings and meters per second in one of each.
const SPEEDS: &[(&str, f64)] = &[
    ("mph", METERS_PER_SECOND_PER_MPH),
    ("m/s", 1.0),
    ("km/h", PER_KILOMETER_PER_HOUR),
    ("kn", PER_KNOT),
    ("mi/h", METERS_PER_SECOND_PER_MPH),
    ("kmh", PER_KILOMETER_PER_HOUR),
    ("kph", PER_KILOMETER_PER_HOUR),
    ("knots", PER_KNOT),
    ("kt", PER_KNOT),
];

/// Reads a speed: `110 mph`, `26 m/s`, `90 km/h`, `35 kn`.
///
/// # Units
/// Returns meters per second.
///
/// # Errors
/// Anything that is not one speed with its unit; see [`UnitError`].
pub fn parse_speed(text: &str) -> Result<f64, UnitError> {
    parse(Quantity::Speed, text, SPEEDS)
}

impl UnitSystem {
    /// Prints a speed: `110 mph` or `49.2 m/s`.
    ///
    /// # Units
    /// `speed` in meters per second.
    #[must_use]
    pub fn format_speed(self, speed: f64) -> String {
        match self {
            Self::FeetInches => fixed(speed / METERS_PER_SECOND_PER_MPH, 0, " mph"),
            Self::Metric => fixed(speed, 1, " m/s"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, wanted: f64) {
        match parse_speed(text) {
            Ok(found) => assert!(
                (found - wanted).abs() <= 1e-9,
                "{text}: {found} is not {wanted}"
            ),
            Err(error) => panic!("{text}: {error}"),
        }
    }

    fn check_error(text: &str, message: &str, hint: &str) {
        let error = parse_speed(text).expect_err(text);
        assert_eq!(error.to_string(), message, "{text}");
        assert!(error.hint().contains(hint), "{text}: {}", error.hint());
    }

    // NIST Special Publication 811, appendix B, memory: 1 mph = 0.44704 m/s, 1 knot = 0.514444 m/s, 1 km/h =
    // 0.277778 m/s, the first exact.
    #[test]
    fn speeds_are_read() {
        check("1 mph", 0.447_04);
        check("115 MPH", 51.409_6);
        check("26 m/s", 26.0);
        check("90 km/h", 25.0);
        check("36 kph", 10.0);
        check("18 kn", 9.26);
        check("18 knots", 9.26);
        check("0 mph", 0.0);
    }

    #[test]
    fn slips_are_named() {
        check_error("110", "no unit after '110'", "\"110 mph\" or \"110 m/s\"");
        check_error("110 mhp", "unknown unit 'mhp' for a speed", "'mph'");
        check_error("110 psf", "unknown unit 'psf' for a speed", "110 mph");
        check_error("", "the speed is empty", "26 m/s");
        check_error("nan mph", "'nan' is not a finite number", "plain number");
    }

    #[test]
    fn speeds_are_printed() {
        for (speed, imperial, metric) in [
            (49.1744, "110 mph", "49.2 m/s"),
            (26.0, "58 mph", "26.0 m/s"),
            (f64::NAN, "n/a", "n/a"),
        ] {
            assert_eq!(UnitSystem::FeetInches.format_speed(speed), imperial);
            assert_eq!(UnitSystem::Metric.format_speed(speed), metric);
        }
    }
}
