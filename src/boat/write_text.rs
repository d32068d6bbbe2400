//! Quantities as people write them in a boat file.
//!
//! A text is looked for that reads back to the very number, the plainest first: whole inches before quarters,
//! quarters before decimals. Where none does, one that reads back to it within what nobody can measure; then one in
//! the other units; where that fails too, all the digits that the number has.

use crate::units::{
    self, METERS_PER_FOOT, METERS_PER_INCH, NEWTONS_PER_POUND, UnitError, UnitSystem,
};

/// Kinds of quantities in a boat file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Length,
    Angle,
    Force,
    Tension,
    Pressure,
    Area,
    Temperature,
    Fraction,
}

impl Kind {
    /// Two numbers nearer than this are one, in the kind's SI unit: what is left of a sum of feet and inches by
    /// rounding is far under it, what a tape or a scale can show far over it.
    pub fn close(self) -> f64 {
        match self {
            Kind::Length | Kind::Area | Kind::Temperature => 1e-9,
            Kind::Angle => 1e-11,
            Kind::Force | Kind::Tension => 1e-7,
            Kind::Pressure => 1e-5,
            Kind::Fraction => 0.0,
        }
    }

    fn parse(self, text: &str) -> Result<f64, UnitError> {
        match self {
            Kind::Length => units::parse_length(text),
            Kind::Angle => units::parse_angle(text),
            Kind::Force => units::parse_force(text),
            Kind::Tension => units::parse_tension(text),
            Kind::Pressure => units::parse_pressure(text),
            Kind::Area => units::parse_area(text),
            Kind::Temperature => units::parse_temperature(text),
            Kind::Fraction => Ok(text.parse().unwrap_or(f64::NAN)),
        }
    }

    /// What all digits are written in: SI, so that reading multiplies by nothing.
    fn unit(self) -> &'static str {
        match self {
            Kind::Length => " m",
            Kind::Angle => " rad",
            Kind::Force => " N",
            Kind::Tension => " N/m",
            Kind::Pressure => " Pa",
            Kind::Area => " m2",
            Kind::Temperature => " C",
            Kind::Fraction => "",
        }
    }

    /// Texts that may do: in the units that are asked for, and in the others.
    fn candidates(self, value: f64, units: UnitSystem) -> [Vec<String>; 2] {
        let (imperial, metric) = match self {
            Kind::Length => (feet(value), meters(value)),
            Kind::Angle => {
                let degrees = decimals(value.to_degrees(), 0..=6, " deg");
                let both = [degrees, decimals(value, 0..=6, " rad")].concat();
                return [both, Vec::new()];
            }
            Kind::Force => (
                decimals(value / NEWTONS_PER_POUND, 0..=3, " lbf"),
                decimals(value, 0..=3, " N"),
            ),
            Kind::Tension => (
                decimals(
                    value / NEWTONS_PER_POUND * METERS_PER_INCH,
                    0..=3,
                    " lbf/in",
                ),
                decimals(value, 0..=3, " N/m"),
            ),
            Kind::Pressure => (
                decimals(
                    value / NEWTONS_PER_POUND * METERS_PER_INCH * METERS_PER_INCH,
                    0..=3,
                    " psi",
                ),
                decimals(value / 1000.0, 0..=3, " kPa"),
            ),
            Kind::Area => {
                let square_inches = value / (METERS_PER_INCH * METERS_PER_INCH);
                let square_feet = value / (METERS_PER_FOOT * METERS_PER_FOOT);
                (
                    [
                        decimals(square_feet, 0..=2, " sq ft"),
                        decimals(square_inches, 0..=2, " sq in"),
                    ]
                    .concat(),
                    decimals(value, 0..=8, " m2"),
                )
            }
            Kind::Temperature => (
                // By definition of the scale.
                decimals(1.8 * value + 32.0, 0..=2, " F"),
                decimals(value, 0..=2, " C"),
            ),
            Kind::Fraction => return [Vec::new(), Vec::new()],
        };
        match units {
            UnitSystem::FeetInches => [imperial, metric],
            UnitSystem::Metric => [metric, imperial],
        }
    }

    /// The text of a number, which reads back to it.
    ///
    /// # Units
    /// The kind's SI unit.
    pub fn text(self, value: f64, units: UnitSystem) -> String {
        if self == Kind::Fraction {
            // With its point, as decimals are written: 1.0, not 1.
            return format!("{value:?}");
        }
        let [own, other] = self.candidates(value, units);
        let off = |text: &String| {
            self.parse(text)
                .map_or(f64::INFINITY, |read| (read - value).abs())
        };
        let within =
            |texts: &[String], most: f64| texts.iter().find(|text| off(text) <= most).cloned();
        within(&own, 0.0)
            .or_else(|| within(&own, self.close()))
            .or_else(|| within(&other, 0.0))
            .or_else(|| within(&other, ROUNDING * self.close()))
            .unwrap_or_else(|| format!("{value}{}", self.unit()))
    }

    /// The number that the text of a number reads back to; itself where it can't be read at all.
    ///
    /// # Units
    /// The kind's SI unit.
    pub fn read_back(self, value: f64, units: UnitSystem) -> f64 {
        self.parse(&self.text(value, units)).unwrap_or(value)
    }
}

/// Of what is close: what is left of a sum by rounding, but no more, so that what is not in the units that are asked
/// for is not moved near to something that is.
const ROUNDING: f64 = 1e-3;

/// A length as a text whose quotient by another length is the very fraction, where there is one.
///
/// # Units
/// `whole` in meters.
pub(super) fn part_text(fraction: f64, whole: f64, units: UnitSystem) -> String {
    let value = fraction * whole;
    let [own, other] = Kind::Length.candidates(value, units);
    let read = |text: &String| Kind::Length.parse(text).unwrap_or(f64::NAN);
    let exact = |text: &&String| read(text) / whole == fraction;
    let close = |text: &&String| (read(text) - value).abs() <= Kind::Length.close();
    // The product is rounded, so that the quotient may be a neighbor of the fraction.
    let digits = [value, value.next_up(), value.next_down()].map(|value| format!("{value} m"));
    own.iter()
        .find(exact)
        .or_else(|| own.iter().find(close))
        .or_else(|| other.iter().find(exact))
        .or_else(|| digits.iter().find(exact))
        .or(digits.first())
        .cloned()
        .unwrap_or_default()
}

/// Finest parts of an inch that a tape shows.
const FINEST: u64 = 16;

/// No boat is as long in sixteenths of an inch; beyond, whole numbers are no longer told apart.
const LONGEST: f64 = 1e9;

/// Under this thickness, in inches, film is sold by thousandths of them.
const THIN: f64 = 0.02;

fn feet(value: f64) -> Vec<String> {
    let sign = if value < 0.0 { "-" } else { "" };
    let inches = value.abs() / METERS_PER_INCH;
    let mut texts = Vec::new();
    if inches.is_nan() || inches >= LONGEST {
        return texts;
    }
    let mut parts = 1;
    while parts <= FINEST {
        // Below LONGEST: a whole number that both types hold.
        let steps = (inches * parts as f64).round() as u64;
        texts.push(format!("{sign}{}", tape(steps, parts)));
        parts *= 2;
    }
    if inches < THIN {
        texts.extend(decimals(1000.0 * value / METERS_PER_INCH, 0..=3, " mil"));
        return texts;
    }
    let whole = (inches / 12.0).floor();
    for places in 1..=3 {
        let rest = format!("{:.places$}", inches - 12.0 * whole);
        // Rounding up may make a foot of it, which then is a text with fewer digits.
        if whole > 0.0 && rest.parse::<f64>().is_ok_and(|rest| rest < 12.0) {
            texts.push(format!("{sign}{whole:.0}'{rest}"));
        }
    }
    texts.extend(decimals(value / METERS_PER_INCH, 0..=3, " in"));
    texts.extend(decimals(value / METERS_PER_FOOT, 1..=2, " ft"));
    texts
}

/// A number of equal parts of an inch: `24 ft`, `4'10`, `7'4 1/4`, `3 in`, `1/2 in`.
fn tape(steps: u64, parts: u64) -> String {
    let (feet, rest) = (steps / (12 * parts), steps % (12 * parts));
    let (inches, part) = (rest / parts, rest % parts);
    match (feet, inches, part) {
        (0, inches, 0) => format!("{inches} in"),
        (0, 0, part) => format!("{part}/{parts} in"),
        (0, inches, part) => format!("{inches} {part}/{parts} in"),
        (feet, 0, 0) => format!("{feet} ft"),
        (feet, inches, 0) => format!("{feet}'{inches}"),
        (feet, inches, part) => format!("{feet}'{inches} {part}/{parts}"),
    }
}

/// Under this length millimeters are written, m.
const SMALL: f64 = 0.1;

fn meters(value: f64) -> Vec<String> {
    let millimeters = decimals(1000.0 * value, 0..=4, " mm");
    let meters = decimals(value, 0..=7, " m");
    let centimeters = decimals(100.0 * value, 0..=2, " cm");
    if value.abs() < SMALL && value != 0.0 {
        [millimeters, meters, centimeters].concat()
    } else {
        [meters, millimeters, centimeters].concat()
    }
}

fn decimals(value: f64, places: std::ops::RangeInclusive<usize>, unit: &str) -> Vec<String> {
    places
        .map(|places| format!("{value:.places$}{unit}"))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::UnitSystem::{FeetInches, Metric};
    use super::*;
    use proptest::prelude::*;

    fn check(kind: Kind, si: f64, imperial: &str, metric: &str) {
        assert_eq!(kind.text(si, FeetInches), imperial, "{si}");
        assert_eq!(kind.text(si, Metric), metric, "{si}");
    }

    #[test]
    fn people_could_have_written_it() {
        let inch = 0.0254;
        check(Kind::Length, 24.0 * 0.3048, "24 ft", "7.3152 m");
        check(Kind::Length, 4.0 * 0.3048 + 10.0 * inch, "4'10", "1.4732 m");
        check(
            Kind::Length,
            7.0 * 0.3048 + 4.25 * inch,
            "7'4 1/4",
            "2.24155 m",
        );
        check(
            Kind::Length,
            7.0 * 0.3048 + 0.5 * inch,
            "7'0 1/2",
            "2.1463 m",
        );
        check(Kind::Length, 0.0625 * inch, "1/16 in", "1.5875 mm");
        check(Kind::Length, -inch, "-1 in", "-25.4 mm");
        check(Kind::Length, 1.25 * inch, "1 1/4 in", "31.75 mm");
        check(Kind::Length, 0.0, "0 in", "0 m");
        check(Kind::Length, 5.64, "5.64 m", "5.64 m");
        check(
            Kind::Length,
            3.0 * 0.3048 + 3.7 * inch,
            "3'3.7",
            "1.00838 m",
        );
        check(Kind::Length, 7e-3 * inch, "7 mil", "0.1778 mm");
        // One rounding away from the sum of its feet and inches, as heights from the ground come out.
        check(Kind::Length, 1.473_200_000_000_000_3, "4'10", "1.4732 m");
        check(
            Kind::Length,
            1.0 / 3.0,
            "0.3333333333333333 m",
            "0.3333333333333333 m",
        );
        check(Kind::Length, f64::NAN, "NaN m", "NaN m");
        check(Kind::Angle, 16f64.to_radians(), "16 deg", "16 deg");
        check(Kind::Angle, 0.15, "0.15 rad", "0.15 rad");
        check(Kind::Force, 800.0, "800 N", "800 N");
        check(Kind::Force, 180.0 * NEWTONS_PER_POUND, "180 lbf", "180 lbf");
        check(Kind::Tension, 100.0, "100 N/m", "100 N/m");
        let psi = NEWTONS_PER_POUND / (inch * inch);
        check(Kind::Pressure, 40.0 * psi, "40 psi", "40 psi");
        check(Kind::Pressure, 150_000.0, "150 kPa", "150 kPa");
        check(Kind::Area, 0.3048 * 0.3048, "1 sq ft", "0.09290304 m2");
        check(Kind::Area, 30.0 * inch * inch, "30 sq in", "0.0193548 m2");
        check(Kind::Area, 0.25, "0.25 m2", "0.25 m2");
        check(Kind::Temperature, 5.0, "41 F", "5 C");
        check(Kind::Fraction, 0.4, "0.4", "0.4");
        check(Kind::Fraction, 1.0, "1.0", "1.0");
    }

    proptest! {
        #[test]
        fn any_length_is_read_back(meters in -60.0..60.0_f64, metric: bool) {
            let units = if metric { Metric } else { FeetInches };
            let back = Kind::Length.read_back(meters, units);
            prop_assert!((back - meters).abs() <= Kind::Length.close());
            // What was read back is written the same.
            prop_assert_eq!(Kind::Length.text(back, units), Kind::Length.text(meters, units));
        }

        #[test]
        fn tape_lengths_are_exact(sixteenths in -9000_i32..9000, metric: bool) {
            let units = if metric { Metric } else { FeetInches };
            let inches = f64::from(sixteenths.abs()) / 16.0;
            let feet = (inches / 12.0).floor();
            let meters = feet * METERS_PER_FOOT + (inches - 12.0 * feet) * METERS_PER_INCH;
            let meters = if sixteenths < 0 { -meters } else { meters };
            let back = Kind::Length.read_back(meters, FeetInches);
            prop_assert_eq!(back, meters);
            prop_assert!((Kind::Length.read_back(meters, units) - meters).abs() <= 1e-9);
        }

        #[test]
        fn other_kinds_are_read_back(value in -80.0..5000.0_f64, kind in 0..7_usize) {
            let kind = [Kind::Angle, Kind::Force, Kind::Tension, Kind::Pressure, Kind::Area, Kind::Temperature, Kind::Fraction][kind];
            for units in [FeetInches, Metric] {
                let back = kind.read_back(value, units);
                prop_assert!((back - value).abs() <= kind.close(), "{value} {kind:?} {back}");
                prop_assert_eq!(kind.text(back, units), kind.text(value, units));
            }
        }

        #[test]
        fn parts_of_a_length_are_exact_where_all_digits_are_written(
            fraction in 0.3..1.0_f64, whole in 0.5..15.0_f64,
        ) {
            let text = part_text(fraction, whole, FeetInches);
            let back = Kind::Length.parse(&text).unwrap_or(f64::NAN) / whole;
            prop_assert!((back - fraction).abs() <= 1e-9, "{fraction} {text}");
            prop_assert_eq!(part_text(back, whole, FeetInches), text);
        }
    }
}
