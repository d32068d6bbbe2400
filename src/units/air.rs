//! Printing of air, warmth, mass, shares and pitches.

use super::system::fixed;
use super::{KILOGRAMS_PER_POUND, METERS_PER_FOOT, METERS_PER_INCH, UnitSystem};

/// Kelvins in a degree Fahrenheit.
const KELVINS_PER_FAHRENHEIT: f64 = 5.0 / 9.0;
/// Run that a roofer's pitch is given over.
const PITCH_RUN: f64 = 12.0;

impl UnitSystem {
    /// Prints the free area of vents: `96 sq in` or `619 cm²`.
    ///
    /// # Units
    /// `square_meters` in square meters.
    #[must_use]
    pub fn format_opening(self, square_meters: f64) -> String {
        match self {
            Self::FeetInches => {
                let inch = METERS_PER_INCH * METERS_PER_INCH;
                fixed(square_meters / inch, 0, " sq in")
            }
            Self::Metric => fixed(square_meters * 1e4, 0, " cm²"),
        }
    }

    /// Prints room for air: `636 cu ft` or `18.0 m³`.
    ///
    /// # Units
    /// `cubic_meters` in cubic meters.
    #[must_use]
    pub fn format_room(self, cubic_meters: f64) -> String {
        match self {
            Self::FeetInches => fixed(cubic_meters / METERS_PER_FOOT.powi(3), 0, " cu ft"),
            Self::Metric => fixed(cubic_meters, 1, " m³"),
        }
    }

    /// Prints a flow of air: `44 cu ft/min` or `21 L/s`.
    ///
    /// # Units
    /// `flow` in cubic meters per second.
    #[must_use]
    pub fn format_air_flow(self, flow: f64) -> String {
        match self {
            Self::FeetInches => fixed(60.0 * flow / METERS_PER_FOOT.powi(3), 0, " cu ft/min"),
            Self::Metric => fixed(1000.0 * flow, 0, " L/s"),
        }
    }

    /// Prints a difference of temperature: `9 °F` or `5 °C`.
    ///
    /// # Units
    /// `kelvins` in kelvins.
    #[must_use]
    pub fn format_warmth(self, kelvins: f64) -> String {
        match self {
            Self::FeetInches => fixed(kelvins / KELVINS_PER_FAHRENHEIT, 0, " °F"),
            Self::Metric => fixed(kelvins, 0, " °C"),
        }
    }

    /// Prints a mass: `22 lb` or `10.0 kg`.
    ///
    /// # Units
    /// `kilograms` in kilograms.
    #[must_use]
    pub fn format_mass(self, kilograms: f64) -> String {
        match self {
            Self::FeetInches => fixed(kilograms / KILOGRAMS_PER_POUND, 0, " lb"),
            Self::Metric => fixed(kilograms, 1, " kg"),
        }
    }

    /// Prints a part of a whole in hundredths, the same in both systems: `24 %`.
    ///
    /// # Units
    /// `part` of one.
    #[must_use]
    pub fn format_share(self, part: f64) -> String {
        fixed(100.0 * part, 0, " %")
    }

    /// Prints an angle as a roofer's pitch, rise to a run of twelve, the same in both systems: `6.0:12`.
    ///
    /// # Units
    /// `radians` in radians, less than a right angle.
    #[must_use]
    pub fn format_pitch(self, radians: f64) -> String {
        fixed(PITCH_RUN * radians.tan(), 1, ":12")
    }
}

#[cfg(test)]
mod tests {
    use super::UnitSystem::{self, FeetInches, Metric};

    type Format = fn(UnitSystem, f64) -> String;

    fn check(format: Format, si: f64, imperial: &str, metric: &str) {
        assert_eq!(format(FeetInches, si), imperial, "{si}");
        assert_eq!(format(Metric, si), metric, "{si}");
    }

    #[test]
    fn air_and_warmth_are_printed() {
        // By hand: 96 sq in are 96 x 6.4516 cm2; 1 m3 is 35.3147 cu ft; 1 kg is 2.20462 lb.
        check(
            UnitSystem::format_opening,
            0.061_935_36,
            "96 sq in",
            "619 cm²",
        );
        check(UnitSystem::format_room, 18.0, "636 cu ft", "18.0 m³");
        check(
            UnitSystem::format_air_flow,
            0.046_850_2,
            "99 cu ft/min",
            "47 L/s",
        );
        check(UnitSystem::format_warmth, 5.0, "9 °F", "5 °C");
        check(UnitSystem::format_mass, 10.0, "22 lb", "10.0 kg");
        check(UnitSystem::format_share, 0.243, "24 %", "24 %");
        // 6:12 is 26.565 deg (roofers' table).
        let six = 26.565_051_177_077_99_f64.to_radians();
        check(UnitSystem::format_pitch, six, "6.0:12", "6.0:12");
        check(UnitSystem::format_mass, f64::NAN, "n/a", "n/a");
    }
}
