//! Angles and pitches.

use std::f64::consts::PI;

use super::reader::{Reader, look_up, tidy};
use super::{Quantity, UnitError};

/// Radians in a degree.
const DEGREE: f64 = PI / 180.0;

/// Spellings and radians in one of each.
const UNITS: &[(&str, f64)] = &[
    ("deg", DEGREE),
    ("rad", 1.0),
    ("°", DEGREE),
    ("degrees", DEGREE),
    ("degree", DEGREE),
    ("radians", 1.0),
    ("radian", 1.0),
];

/// Reads an angle: `15 deg`, `15°`, `0.26 rad`, or a pitch as rise to run, `3:12`. A number alone is in
/// degrees, since nobody measures a slope in anything else.
///
/// # Units
/// Returns radians.
///
/// # Errors
/// Anything that is not one angle; see [`UnitError`], whose hint says what to write.
pub fn parse_angle(text: &str) -> Result<f64, UnitError> {
    let tidied = tidy(Quantity::Angle, text)?;
    let mut reader = Reader::new(Quantity::Angle, &tidied);
    let sign = reader.sign()?;
    let first = reader.number()?;
    reader.skip_space();
    if reader.eat(':') {
        let run = reader.number()?;
        reader.finish()?;
        if run.value <= 0.0 {
            return Err(UnitError::NoRun { pitch: tidied });
        }
        return Ok(sign * first.value.atan2(run.value));
    }
    let radians = match reader.unit_word()? {
        Some(word) => look_up(Quantity::Angle, word, UNITS)?,
        None => DEGREE,
    };
    reader.finish()?;
    Ok(sign * first.value * radians)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Rounding of a product and an arc tangent.
    const CLOSE: f64 = 1e-12;

    fn check(text: &str, radians: f64) {
        match parse_angle(text) {
            Ok(found) => assert!(
                (found - radians).abs() <= CLOSE,
                "{text}: {found} is not {radians}"
            ),
            Err(error) => panic!("{text}: {error}"),
        }
    }

    fn check_error(text: &str, message: &str, hint: &str) {
        let error = parse_angle(text).expect_err(text);
        assert_eq!(error.to_string(), message, "{text}");
        assert!(
            error.hint().contains(hint),
            "{text}: hint is {}",
            error.hint()
        );
    }

    #[test]
    fn angles_are_read() {
        // 15 deg is pi / 12 by definition.
        for text in [
            "15 deg",
            "15deg",
            "15 deg.",
            "15°",
            "15 °",
            "15",
            "15.0",
            " 15 Degrees ",
        ] {
            check(text, PI / 12.0);
        }
        check("0.26 rad", 0.26);
        check("-7 1/2 deg", -PI / 24.0);
        check("12:12", PI / 4.0); // equal rise and run
        check("3:12", 0.25_f64.atan());
        check("3 : 12", 0.25_f64.atan());
        check("-3:12", -(0.25_f64.atan()));
        check("0:12", 0.0);
        // 6:12 is 26.565 deg and 7:12 is 30.256 deg (roofers' table, computed).
        check("6:12", 26.565_051_177_077_99_f64.to_radians());
        check("7:12", 30.256_437_163_529_263_f64.to_radians());
    }

    #[test]
    fn slips_are_named() {
        check_error("", "the angle is empty", "15 deg");
        check_error(
            "15 dge",
            "unknown unit 'dge' for an angle",
            "did you mean 'deg'?",
        );
        check_error("15 ft", "unknown unit 'ft' for an angle", "3:12");
        check_error("3:0", "the pitch '3:0' has no run", "3:12");
        check_error("3:", "no number in '3:'", "3:12");
        check_error("3:-12", "a sign in the wrong place in '3:-12'", "in front");
        check_error("3:12:1", "did not expect ':1' in an angle", "3:12");
        check_error("15,5 deg", "'15,5' has a comma in it", "\"15.5\"");
        check_error("15° 30'", "did not expect '30'' in an angle", "15°");
        check_error("nan", "'nan' is not a finite number", "plain number");
    }

    proptest! {
        #[test]
        fn any_text_is_survived(text in any::<String>()) {
            if let Ok(radians) = parse_angle(&text) {
                prop_assert!(radians.is_finite());
            }
        }
    }
}
