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
    /// The units that the file is written in, for lengths in messages.
    pub units: UnitSystem,
    /// What the file's heights have more than the boat's, m.
    pub datum: f64,
}

/// What a unit parser looks like.
type Parser = fn(&str) -> Result<f64, UnitError>;

impl<'a> Checker<'a> {
    pub fn new(places: &'a Places) -> Checker<'a> {
        Checker {
            places,
            problems: Vec::new(),
            units: UnitSystem::default(),
            datum: 0.0,
        }
    }

    /// A length in the file's units, as one types it.
    pub fn typed(&self, meters: f64) -> String {
        self.units.format_typed(meters)
    }

    /// Takes the units that a length of the file is written in for those of messages.
    pub fn units_of(&mut self, quantity: &Option<Quantity>) {
        if let Some(Quantity::Text(text)) = quantity {
            self.units = units_of(text);
        }
    }

    /// The first things of a list, no more than `max`; more are a problem.
    pub fn at_most<'f, T>(&mut self, path: &str, list: &'f [T], max: usize) -> &'f [T] {
        match list.get(..max) {
            Some(front) if list.len() > max => {
                self.problem(
                    path,
                    format!("{} entries, and {max} are the most", list.len()),
                    "leave out what the film and the posts do not meet, or measure several small things as one",
                );
                front
            }
            _ => list,
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
        typed: &str,
        range: &RangeInclusive<f64>,
        print: fn(f64, UnitSystem) -> String,
    ) -> Option<f64> {
        if range.contains(&value) {
            return Some(value);
        }
        self.problem(
            path,
            format!("{typed} is out of range"),
            format!(
                "it must lie between {} and {}",
                print(*range.start(), units_of(typed)),
                print(*range.end(), units_of(typed))
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
        print: fn(f64, UnitSystem) -> String,
    ) -> Option<f64> {
        let quantity = quantity.as_ref()?;
        let value = self.parse(path, quantity, parser)?;
        self.within(path, value, quantity.text().trim(), &range, print)
    }

    /// A length in m, or `None` where the file has none or a broken one.
    pub fn length(
        &mut self,
        path: &str,
        quantity: &Option<Quantity>,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        self.quantity(
            path,
            quantity,
            units::parse_length,
            range,
            |meters, system| system.format_typed(meters),
        )
    }

    /// A length in m within no range; `None` where the file has none or a broken one, which is noted.
    pub fn any_length(&mut self, path: &str, quantity: &Option<Quantity>) -> Option<f64> {
        self.parse(path, quantity.as_ref()?, units::parse_length)
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
        self.quantity(path, quantity, units::parse_angle, range, |radians, _| {
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
        self.quantity(path, quantity, units::parse_force, range, |newtons, _| {
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
        self.quantity(path, quantity, units::parse_tension, range, |value, _| {
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
        self.quantity(
            path,
            quantity,
            units::parse_pressure,
            range,
            |pascals, _| {
                format!(
                    "{} ({})",
                    UnitSystem::FeetInches.format_pressure(pascals),
                    UnitSystem::Metric.format_pressure(pascals)
                )
            },
        )
    }

    /// A stress or a modulus in Pa.
    pub fn stress(
        &mut self,
        path: &str,
        quantity: &Option<Quantity>,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        self.quantity(path, quantity, units::parse_stress, range, |pascals, _| {
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
        self.quantity(path, quantity, units::parse_speed, range, |speed, _| {
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
        self.quantity(path, &quantity, units::parse_area, range, |value, _| {
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
        self.quantity(
            path,
            quantity,
            units::parse_temperature,
            range,
            |value, _| {
                format!(
                    "{} ({})",
                    UnitSystem::FeetInches.format_temperature(value),
                    UnitSystem::Metric.format_temperature(value)
                )
            },
        )
    }

    /// A mass in kg.
    pub fn mass(
        &mut self,
        path: &str,
        quantity: &Option<Quantity>,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        self.quantity(path, quantity, units::parse_mass, range, |kilograms, _| {
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
        self.within(path, value, &value.to_string(), &range, |number, _| {
            format!("{number}")
        })
    }
}

/// The units that a length is written in: metric where it ends in a metric unit.
fn units_of(text: &str) -> UnitSystem {
    let text = text.trim().trim_end_matches('.').to_lowercase();
    let metric = ["m", "meter", "meters", "meter", "meters"];
    if metric.iter().any(|unit| text.ends_with(unit)) {
        UnitSystem::Metric
    } else {
        UnitSystem::FeetInches
    }
}
