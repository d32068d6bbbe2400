//! Reads quantities and collects every problem on the way.

use super::places::Places;
use super::problem::{Problem, Problems};
use super::quantity::Quantity;
use crate::units::{self, UnitError, UnitSystem};
use std::ops::RangeInclusive;

/// Collects problems while a file is read; each value that cannot be read is replaced by a harmless
/// one, so that the rest is still checked.
pub(crate) struct Checker<'a> {
    places: &'a Places,
    problems: Vec<Problem>,
}

/// What a unit parser looks like.
type Parser = fn(&str) -> Result<f64, UnitError>;

impl<'a> Checker<'a> {
    pub fn new(places: &'a Places) -> Checker<'a> {
        Checker {
            places,
            problems: Vec::new(),
        }
    }

    /// Notes a problem at a path.
    pub fn problem(&mut self, path: &str, what: impl Into<String>, hint: impl Into<String>) {
        let place = self
            .places
            .find(path)
            .or_else(|| self.places.nearest(path))
            .map(|place| (place.line, place.column));
        self.problems.push(Problem {
            path: path.to_owned(),
            place,
            what: what.into(),
            hint: hint.into(),
        });
    }

    /// The result, or all problems in the order of the file.
    pub fn finish<T>(mut self, value: T) -> Result<T, Problems> {
        if self.problems.is_empty() {
            return Ok(value);
        }
        self.problems
            .sort_by_key(|problem| problem.place.unwrap_or((usize::MAX, 0)));
        Err(Problems {
            list: self.problems,
        })
    }

    fn parse(&mut self, path: &str, quantity: &Quantity, parser: Parser) -> Option<f64> {
        if let Quantity::Number(number) = quantity
            && !number.is_finite()
        {
            self.problem(path, "not a number", "give the measured value");
            return None;
        }
        match parser(&quantity.text()) {
            Ok(value) => Some(value),
            Err(error) => {
                self.problem(path, error.to_string(), error.hint());
                None
            }
        }
    }

    fn within(
        &mut self,
        path: &str,
        value: f64,
        range: &RangeInclusive<f64>,
        print: fn(f64) -> String,
    ) -> Option<f64> {
        if range.contains(&value) {
            return Some(value);
        }
        self.problem(
            path,
            format!("{} is out of range", print(value)),
            format!(
                "it must lie between {} and {}",
                print(*range.start()),
                print(*range.end())
            ),
        );
        // Not the nearest value in range: what follows from it would only be more noise.
        None
    }

    fn quantity(
        &mut self,
        path: &str,
        quantity: &Option<Quantity>,
        parser: Parser,
        range: RangeInclusive<f64>,
        print: fn(f64) -> String,
    ) -> Option<f64> {
        let value = self.parse(path, quantity.as_ref()?, parser)?;
        self.within(path, value, &range, print)
    }

    /// A length in m, or `None` where the file has none or a broken one.
    pub fn length(
        &mut self,
        path: &str,
        quantity: &Option<Quantity>,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        self.quantity(path, quantity, units::parse_length, range, |metres| {
            format!(
                "{} ({})",
                UnitSystem::FeetInches.format_length(metres),
                UnitSystem::Metric.format_length(metres)
            )
        })
    }

    /// A length in m that the file must give; `stand_in` replaces it after a problem.
    pub fn required_length(
        &mut self,
        path: &str,
        quantity: &Option<Quantity>,
        range: RangeInclusive<f64>,
        stand_in: f64,
    ) -> f64 {
        if quantity.is_none() {
            let field = path.rsplit('.').next().unwrap_or(path).to_owned();
            self.problem(
                path,
                format!("'{field}' is missing"),
                format!("add {field}: \"...\" as the tape shows it, with its unit"),
            );
        }
        self.length(path, quantity, range).unwrap_or(stand_in)
    }

    /// An angle in rad.
    pub fn angle(
        &mut self,
        path: &str,
        quantity: &Option<Quantity>,
        degrees: RangeInclusive<f64>,
    ) -> Option<f64> {
        let range = degrees.start().to_radians()..=degrees.end().to_radians();
        self.quantity(path, quantity, units::parse_angle, range, |radians| {
            UnitSystem::FeetInches.format_angle(radians)
        })
    }

    /// A force in N.
    pub fn force(
        &mut self,
        path: &str,
        quantity: &Option<Quantity>,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        self.quantity(path, quantity, units::parse_force, range, |newtons| {
            UnitSystem::Metric.format_force(newtons)
        })
    }

    /// A force per length in N/m.
    pub fn tension(
        &mut self,
        path: &str,
        quantity: &Option<Quantity>,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        self.quantity(path, quantity, units::parse_tension, range, |value| {
            format!("{value:.0} N/m")
        })
    }

    /// A pressure in Pa.
    pub fn pressure(
        &mut self,
        path: &str,
        quantity: &Option<Quantity>,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        self.quantity(path, quantity, units::parse_pressure, range, |pascals| {
            format!(
                "{} ({})",
                UnitSystem::FeetInches.format_pressure(pascals),
                UnitSystem::Metric.format_pressure(pascals)
            )
        })
    }

    /// A stress or a modulus in Pa.
    pub fn stress(
        &mut self,
        path: &str,
        quantity: &Option<Quantity>,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        self.quantity(path, quantity, units::parse_stress, range, |pascals| {
            format!(
                "{} ({})",
                UnitSystem::FeetInches.format_stress(pascals),
                UnitSystem::Metric.format_stress(pascals)
            )
        })
    }

    /// A speed in m/s.
    pub fn speed(
        &mut self,
        path: &str,
        quantity: &Option<Quantity>,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        self.quantity(path, quantity, units::parse_speed, range, |speed| {
            format!(
                "{} ({})",
                UnitSystem::FeetInches.format_speed(speed),
                UnitSystem::Metric.format_speed(speed)
            )
        })
    }

    /// An area in m2.
    pub fn area(
        &mut self,
        path: &str,
        text: &Option<String>,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        let quantity = text.clone().map(Quantity::Text);
        self.quantity(path, &quantity, units::parse_area, range, |value| {
            UnitSystem::FeetInches.format_area(value)
        })
    }

    /// A temperature in deg C.
    pub fn temperature(
        &mut self,
        path: &str,
        quantity: &Option<Quantity>,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        self.quantity(path, quantity, units::parse_temperature, range, |value| {
            format!(
                "{} ({})",
                UnitSystem::FeetInches.format_temperature(value),
                UnitSystem::Metric.format_temperature(value)
            )
        })
    }

    /// A mass in kg.
    pub fn mass(
        &mut self,
        path: &str,
        quantity: &Option<Quantity>,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        self.quantity(path, quantity, units::parse_mass, range, |kilograms| {
            format!(
                "{} ({})",
                UnitSystem::FeetInches.format_mass(kilograms),
                UnitSystem::Metric.format_mass(kilograms)
            )
        })
    }

    /// Notes that a field is not there; `example` is what one would write.
    pub fn missing(&mut self, path: &str, example: &str) {
        let field = path.rsplit('.').next().unwrap_or(path);
        self.problem(
            path,
            format!("'{field}' is missing"),
            format!("add {field}: {example}"),
        );
    }

    /// A text that the file must give.
    pub fn words(&mut self, path: &str, text: Option<String>) -> String {
        let text = text.unwrap_or_default();
        if text.trim().is_empty() {
            self.missing(path, "\"...\"");
        }
        text
    }

    /// A number that the file must give; zero after a problem.
    pub fn number(
        &mut self,
        path: &str,
        value: Option<f64>,
        range: RangeInclusive<f64>,
        example: &str,
    ) -> f64 {
        if value.is_none() {
            self.missing(path, example);
        }
        self.fraction(path, value, range).unwrap_or(0.0)
    }

    /// A bare fraction.
    pub fn fraction(
        &mut self,
        path: &str,
        value: Option<f64>,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        let value = value?;
        if !value.is_finite() {
            self.problem(path, "not a number", "give a number such as 0.5");
            return None;
        }
        self.within(path, value, &range, |number| format!("{number}"))
    }
}
