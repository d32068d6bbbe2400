//! Temperatures.

use super::reader::{Reader, look_up, tidy};
use super::{Quantity, UnitError};

/// Degrees of a scale: its zero in degrees Celsius, and the size of its degree in kelvins.
type Scale = (f64, f64);

/// Kelvins of the freezing point of water on the Celsius scale (exact, SI).
const FREEZING: f64 = 273.15;

/// Kelvins in a degree Fahrenheit (exact).
const FAHRENHEIT_DEGREE: f64 = 5.0 / 9.0;

/// The freezing point on the Fahrenheit scale (exact).
const FAHRENHEIT_FREEZING: f64 = 32.0;

const CELSIUS: Scale = (0.0, 1.0);
const FAHRENHEIT: Scale = (-FAHRENHEIT_FREEZING * FAHRENHEIT_DEGREE, FAHRENHEIT_DEGREE);
const KELVIN: Scale = (-FREEZING, 1.0);

/// Spellings and their scales.
const UNITS: &[(&str, Scale)] = &[
    ("C", CELSIUS),
    ("F", FAHRENHEIT),
    ("°C", CELSIUS),
    ("°F", FAHRENHEIT),
    ("deg C", CELSIUS),
    ("deg F", FAHRENHEIT),
    ("celsius", CELSIUS),
    ("fahrenheit", FAHRENHEIT),
    ("degrees celsius", CELSIUS),
    ("degrees fahrenheit", FAHRENHEIT),
    ("K", KELVIN),
    ("kelvin", KELVIN),
];

/// Reads a temperature: `5 C`, `41 F`, `5 °C`, `-3 1/2 deg C`, `278 K`.
///
/// # Units
/// Returns degrees Celsius.
///
/// # Errors
/// Anything that is not one temperature with its unit; see [`UnitError`].
pub fn parse_temperature(text: &str) -> Result<f64, UnitError> {
    let tidied = tidy(Quantity::Temperature, text)?;
    let mut reader = Reader::new(Quantity::Temperature, &tidied);
    let sign = reader.sign()?;
    let number = reader.number()?;
    let Some(unit) = reader.unit_rest()? else {
        let number = number.text;
        return Err(UnitError::NoUnit {
            example: format!("write \"{number} C\" or \"{number} F\""),
            number,
        });
    };
    let (zero, degree) = look_up(Quantity::Temperature, &unit, UNITS)?;
    Ok(zero + sign * number.value * degree)
}

/// A temperature on the Fahrenheit scale.
///
/// # Units
/// From degrees Celsius to degrees Fahrenheit.
pub(super) fn fahrenheit(celsius: f64) -> f64 {
    FAHRENHEIT_FREEZING + celsius / FAHRENHEIT_DEGREE
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::UnitSystem;

    /// Rounding of a product and a sum.
    const CLOSE: f64 = 1e-10;

    fn check(text: &str, celsius: f64) {
        match parse_temperature(text) {
            Ok(found) => assert!((found - celsius).abs() <= CLOSE, "{text}: {found}"),
            Err(error) => panic!("{text}: {error}"),
        }
    }

    fn check_error(text: &str, message: &str, hint: &str) {
        let error = parse_temperature(text).expect_err(text);
        assert_eq!(error.to_string(), message, "{text}");
        assert!(
            error.hint().contains(hint),
            "{text}: hint is {}",
            error.hint()
        );
    }

    // By the definitions of the scales: 0 C is 32 F and 273.15 K, 100 C is 212 F, both meet at -40.
    #[test]
    fn temperatures_are_read() {
        for text in [
            "5 C",
            "5c",
            "5 °C",
            "5°C",
            "5 deg C",
            "5 Celsius",
            "41 F",
            "41 °F",
            "41 deg. F",
            "278.15 K",
        ] {
            check(text, 5.0);
        }
        check("-40 F", -40.0);
        check("-40 C", -40.0);
        check("212 F", 100.0);
        check("0 F", -160.0 / 9.0);
        check("−3 1/2 °C", -3.5);
    }

    #[test]
    fn slips_are_named() {
        check_error("5", "no unit after '5'", "\"5 C\" or \"5 F\"");
        check_error(
            "5 °",
            "unknown unit '°' for a temperature",
            "did you mean '°C'?",
        );
        check_error("5 m", "unknown unit 'm' for a temperature", "5 C, 41 F");
        check_error(
            "5 celsuis",
            "unknown unit 'celsuis' for a temperature",
            "did you mean 'celsius'?",
        );
        check_error("", "the temperature is empty", "41 F");
        check_error("warm", "no number in 'warm'", "5 C");
        check_error("0,5 C", "'0,5' has a comma in it", "\"0.5\"");
    }

    proptest! {
        #[test]
        fn what_is_printed_is_read_back(celsius in -60.0..60.0_f64) {
            // Half a step of the last figure printed.
            for (system, half) in [(UnitSystem::FeetInches, 0.5 * FAHRENHEIT_DEGREE), (UnitSystem::Metric, 0.05)] {
                let printed = system.format_temperature(celsius);
                let read = parse_temperature(&printed);
                prop_assert!(
                    read.as_ref().is_ok_and(|read| (read - celsius).abs() <= half + CLOSE),
                    "{celsius} -> {printed} -> {read:?}"
                );
            }
        }

        #[test]
        fn any_text_is_survived(text in any::<String>()) {
            if let Ok(celsius) = parse_temperature(&text) {
                prop_assert!(celsius.is_finite());
            }
        }
    }
}
