//! Printing: what the reader of a sheet or a screen sees.

use std::fmt;
use std::str::FromStr;

use super::{
    CUBIC_METERS_PER_GALLON, METERS_PER_FOOT, METERS_PER_INCH, NEWTONS_PER_POUND, PASCALS_PER_PSF,
    UnitError, temperature::fahrenheit,
};

/// Steps in an inch that a tape is read to.
const QUARTERS_PER_INCH: u64 = 4;
/// Quarters in a foot.
const QUARTERS_PER_FOOT: u64 = 12 * QUARTERS_PER_INCH;
/// Inches in a foot.
const INCHES_PER_FOOT: u64 = 12;
/// Added before rounding, in steps of the last figure, so that a tie such as 11 7/8 in, which meters hold
/// only nearly, always goes up.
const TIE: f64 = 1e-9;
/// The step of a printed metric length, m.
const MILLIMETER: f64 = 1e-3;
/// Part of a step that a length may be over a whole number of them before it is rounded up: a thousandth of a
/// millimeter or less.
const UP: f64 = 1e-4;
/// Printed for a value that is not finite: a sheet must not show a made-up number.
const NO_VALUE: &str = "n/a";

/// The units that people see. Files and screens in the trade's home market are in feet and inches.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum UnitSystem {
    /// Feet, inches and quarters; pounds; US gallons.
    #[default]
    FeetInches,
    /// Meters, newtons, litres.
    Metric,
}

impl UnitSystem {
    /// Prints a length to the quarter inch (`7'4 1/4"`, `10"`, `-3 1/2"`) or to the millimeter (`2.235 m`).
    ///
    /// # Units
    /// `meters` in meters.
    #[must_use]
    pub fn format_length(self, meters: f64) -> String {
        if !meters.is_finite() {
            return NO_VALUE.to_owned();
        }
        match self {
            Self::FeetInches => {
                let quarters = steps(meters, METERS_PER_INCH / QUARTERS_PER_INCH as f64);
                let whole_inches = quarters % QUARTERS_PER_FOOT / QUARTERS_PER_INCH;
                let fraction = match quarters % QUARTERS_PER_INCH {
                    0 => "",
                    1 => "1/4",
                    2 => "1/2",
                    _ => "3/4",
                };
                let feet = quarters / QUARTERS_PER_FOOT;
                let inches = match (feet, whole_inches, fraction) {
                    (_, inches, "") => inches.to_string(),
                    (0, 0, fraction) => fraction.to_owned(),
                    (_, inches, fraction) => format!("{inches} {fraction}"),
                };
                feet_and_inches(meters, quarters, feet, &inches)
            }
            Self::Metric => fixed(meters, 3, " m"),
        }
    }

    /// Prints a length as one types it into a file, to the quarter inch or the millimeter: `7'4 1/4`, `10 in`,
    /// `2.235 m`. No inch mark, which would end a text in quotes.
    ///
    /// # Units
    /// `meters` in meters.
    #[must_use]
    pub fn format_typed(self, meters: f64) -> String {
        let printed = self.format_length(meters);
        match printed.strip_suffix('"') {
            Some(text) if text.contains('\'') => text.to_owned(),
            Some(inches) => format!("{inches} in"),
            None => printed,
        }
    }

    /// Prints a length to cut where too short is worse than too long (straps, film, band): rounded up to the quarter
    /// inch or the millimeter.
    ///
    /// # Units
    /// `meters` in meters.
    #[must_use]
    pub fn format_length_up(self, meters: f64) -> String {
        let step = match self {
            Self::FeetInches => METERS_PER_INCH / QUARTERS_PER_INCH as f64,
            Self::Metric => MILLIMETER,
        };
        // What is a whole number of steps but for rounding stays so.
        self.format_length((meters / step - UP).ceil() * step)
    }

    /// Prints a length for a narrow table, to the inch (`7'4"`) or the centimeter (`2.24 m`). Never use it
    /// for a length that somebody cuts by.
    ///
    /// # Units
    /// `meters` in meters.
    #[must_use]
    pub fn format_length_short(self, meters: f64) -> String {
        if !meters.is_finite() {
            return NO_VALUE.to_owned();
        }
        match self {
            Self::FeetInches => {
                let inches = steps(meters, METERS_PER_INCH);
                let rest = (inches % INCHES_PER_FOOT).to_string();
                feet_and_inches(meters, inches, inches / INCHES_PER_FOOT, &rest)
            }
            Self::Metric => fixed(meters, 2, " m"),
        }
    }

    /// Prints an area: `182.4 sq ft` or `16.95 m²`.
    ///
    /// # Units
    /// `square_meters` in square meters.
    #[must_use]
    pub fn format_area(self, square_meters: f64) -> String {
        match self {
            Self::FeetInches => fixed(
                square_meters / (METERS_PER_FOOT * METERS_PER_FOOT),
                1,
                " sq ft",
            ),
            Self::Metric => fixed(square_meters, 2, " m²"),
        }
    }

    /// Prints a volume: `12.3 gal` (US) or `46.6 L`.
    ///
    /// # Units
    /// `cubic_meters` in cubic meters.
    #[must_use]
    pub fn format_volume(self, cubic_meters: f64) -> String {
        match self {
            Self::FeetInches => fixed(cubic_meters / CUBIC_METERS_PER_GALLON, 1, " gal"),
            Self::Metric => fixed(cubic_meters * 1000.0, 1, " L"),
        }
    }

    /// Prints a force: `180 lbf` or `800 N`.
    ///
    /// # Units
    /// `newtons` in newtons.
    #[must_use]
    pub fn format_force(self, newtons: f64) -> String {
        match self {
            Self::FeetInches => fixed(newtons / NEWTONS_PER_POUND, 0, " lbf"),
            Self::Metric => fixed(newtons, 0, " N"),
        }
    }

    /// Prints a film tension: `0.57 lbf/in` or `100 N/m`.
    ///
    /// # Units
    /// `newtons_per_meter` in newtons per meter.
    #[must_use]
    pub fn format_tension(self, newtons_per_meter: f64) -> String {
        match self {
            Self::FeetInches => fixed(
                newtons_per_meter / NEWTONS_PER_POUND * METERS_PER_INCH,
                2,
                " lbf/in",
            ),
            Self::Metric => fixed(newtons_per_meter, 0, " N/m"),
        }
    }

    /// Prints a pressure: `20.1 psf` or `0.96 kPa`.
    ///
    /// # Units
    /// `pascals` in pascals.
    #[must_use]
    pub fn format_pressure(self, pascals: f64) -> String {
        match self {
            Self::FeetInches => fixed(pascals / PASCALS_PER_PSF, 1, " psf"),
            Self::Metric => fixed(pascals / 1000.0, 2, " kPa"),
        }
    }

    /// Prints a temperature: `41 °F` or `5.0 °C`.
    ///
    /// # Units
    /// `celsius` in degrees Celsius.
    #[must_use]
    pub fn format_temperature(self, celsius: f64) -> String {
        match self {
            Self::FeetInches => fixed(fahrenheit(celsius), 0, " °F"),
            Self::Metric => fixed(celsius, 1, " °C"),
        }
    }

    /// Prints an angle in degrees, the same in both systems: `14.8°`.
    ///
    /// # Units
    /// `radians` in radians.
    #[must_use]
    pub fn format_angle(self, radians: f64) -> String {
        fixed(radians.to_degrees(), 1, "°")
    }
}

impl fmt::Display for UnitSystem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::FeetInches => "ft",
            Self::Metric => "m",
        })
    }
}

impl FromStr for UnitSystem {
    type Err = UnitError;

    /// Reads `ft`, `feet`, `imperial`, `m` or `metric`, whatever the capitals.
    fn from_str(text: &str) -> Result<Self, UnitError> {
        match text.trim().to_ascii_lowercase().as_str() {
            "ft" | "feet" | "imperial" => Ok(Self::FeetInches),
            "m" | "metric" => Ok(Self::Metric),
            _ => Err(UnitError::UnknownSystem {
                name: text.trim().to_owned(),
            }),
        }
    }
}

/// The number of whole steps nearest to the size of a finite value, ties up.
fn steps(value: f64, step: f64) -> u64 {
    // A float too large for the integer is cut to the largest, which is all that can be said of it.
    (value.abs() / step + TIE).round() as u64
}

/// Puts sign, feet and printed inches together; no feet are printed for under a foot, no sign for nothing.
fn feet_and_inches(signed: f64, steps: u64, feet: u64, inches: &str) -> String {
    let sign = if signed < 0.0 && steps > 0 { "-" } else { "" };
    match feet {
        0 => format!("{sign}{inches}\""),
        feet => format!("{sign}{feet}'{inches}\""),
    }
}

/// Prints with fixed decimals, without a sign in front of nothing.
pub(super) fn fixed(value: f64, decimals: usize, unit: &str) -> String {
    if !value.is_finite() {
        return NO_VALUE.to_owned();
    }
    let digits = format!("{:.decimals$}", value.abs());
    let nothing = digits.chars().all(|c| c == '0' || c == '.');
    let sign = if value < 0.0 && !nothing { "-" } else { "" };
    format!("{sign}{digits}{unit}")
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::UnitSystem::{FeetInches, Metric};
    use super::*;
    use crate::units::parse_length;

    type Format = fn(UnitSystem, f64) -> String;

    fn check(format: Format, si: f64, imperial: &str, metric: &str) {
        assert_eq!(format(FeetInches, si), imperial, "{si}");
        assert_eq!(format(Metric, si), metric, "{si}");
    }

    fn check_inches(inches: f64, long: &str, short: &str) {
        let meters = inches * METERS_PER_INCH;
        assert_eq!(FeetInches.format_length(meters), long, "{inches} in");
        assert_eq!(FeetInches.format_length_short(meters), short, "{inches} in");
    }

    // Worked by hand on a tape of quarters; ties go up.
    #[test]
    fn feet_and_inches_are_printed() {
        check_inches(88.25, "7'4 1/4\"", "7'4\"");
        check_inches(222.0, "18'6\"", "18'6\"");
        check_inches(10.0, "10\"", "10\"");
        check_inches(11.875, "1'0\"", "1'0\"");
        check_inches(11.75, "11 3/4\"", "1'0\"");
        check_inches(11.87, "11 3/4\"", "1'0\"");
        check_inches(23.9, "2'0\"", "2'0\"");
        check_inches(12.0, "1'0\"", "1'0\"");
        check_inches(84.0, "7'0\"", "7'0\"");
        check_inches(84.5, "7'0 1/2\"", "7'1\"");
        check_inches(0.25, "1/4\"", "0\"");
        check_inches(-3.5, "-3 1/2\"", "-4\"");
        check_inches(-40.75, "-3'4 3/4\"", "-3'5\"");
        check_inches(-0.1, "0\"", "0\"");
        check_inches(-0.0, "0\"", "0\"");
    }

    // By hand: lengths to cut never come out short.
    #[test]
    fn lengths_to_cut_are_rounded_up() {
        let up: Format = UnitSystem::format_length_up;
        let inches = |inches: f64| inches * METERS_PER_INCH;
        check(up, inches(88.01), "7'4 1/4\"", "2.236 m");
        check(up, inches(88.25), "7'4 1/4\"", "2.242 m");
        check(up, inches(95.76), "8'0\"", "2.433 m");
        check(up, 2.235, "7'4\"", "2.235 m");
        check(up, 0.0, "0\"", "0.000 m");
        check(up, f64::NAN, "n/a", "n/a");
    }

    #[test]
    fn quantities_are_printed() {
        let length: Format = UnitSystem::format_length;
        check(length, 2.235, "7'4\"", "2.235 m");
        check(length, -0.0004, "0\"", "0.000 m");
        check(length, f64::NAN, "n/a", "n/a");
        check(length, f64::INFINITY, "n/a", "n/a");
        check(UnitSystem::format_length_short, 2.236, "7'4\"", "2.24 m");
        check(UnitSystem::format_area, 16.95, "182.4 sq ft", "16.95 m²");
        check(UnitSystem::format_volume, 0.0466, "12.3 gal", "46.6 L");
        check(UnitSystem::format_force, 800.0, "180 lbf", "800 N");
        check(UnitSystem::format_force, -0.2, "0 lbf", "0 N");
        check(UnitSystem::format_force, f64::NAN, "n/a", "n/a");
        check(UnitSystem::format_tension, 100.0, "0.57 lbf/in", "100 N/m");
        check(UnitSystem::format_pressure, 960.0, "20.1 psf", "0.96 kPa");
        let temperature: Format = UnitSystem::format_temperature;
        check(temperature, 5.0, "41 °F", "5.0 °C");
        check(temperature, -40.0, "-40 °F", "-40.0 °C");
        check(temperature, -17.79, "0 °F", "-17.8 °C");
        check(temperature, f64::NAN, "n/a", "n/a");
        check(UnitSystem::format_angle, 0.2583, "14.8°", "14.8°");
        check(UnitSystem::format_angle, -0.2583, "-14.8°", "-14.8°");
    }

    #[test]
    fn systems_are_named() {
        for (name, system) in [
            ("ft", FeetInches),
            ("feet", FeetInches),
            (" Imperial ", FeetInches),
            ("m", Metric),
            ("METRIC", Metric),
        ] {
            assert_eq!(name.parse(), Ok(system), "{name}");
            assert_eq!(system.to_string().parse(), Ok(system), "{name}");
        }
        let error = "yards".parse::<UnitSystem>().expect_err("no such system");
        assert_eq!(error.to_string(), "unknown unit system 'yards'");
        assert_eq!(error.hint(), "write ft or m");
        assert_eq!(UnitSystem::default(), FeetInches);
    }

    proptest! {
        #[test]
        fn what_is_printed_is_read_back(meters in -60.0..60.0_f64) {
            // Half a step of the last figure, and the tie's allowance.
            for (system, half) in [(FeetInches, 0.003_175), (Metric, 0.000_5)] {
                let printed = system.format_length(meters);
                let read = parse_length(&printed);
                prop_assert!(
                    read.as_ref().is_ok_and(|read| (read - meters).abs() <= half + TIE),
                    "{meters} -> {printed} -> {read:?}"
                );
            }
        }

        #[test]
        fn any_number_is_printed(value in any::<f64>()) {
            for system in [FeetInches, Metric] {
                prop_assert!(!system.format_length(value).is_empty());
                prop_assert!(!system.format_area(value).is_empty());
            }
        }
    }
}
