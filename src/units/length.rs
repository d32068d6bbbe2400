//! Lengths as a tape or a drawing gives them.

use super::reader::{Number, Reader, look_up, tidy};
use super::{METERS_PER_FOOT, METERS_PER_INCH, Quantity, UnitError};

/// Inches in a foot: from here on, inches behind feet are taken for a slip.
const INCHES_PER_FOOT: f64 = 12.0;

/// A unit of length. Feet and inches stand apart, since only they may follow each other.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Unit {
    Feet,
    Inches,
    /// Meters in one of it.
    Metric(f64),
}

impl Unit {
    fn meters(self) -> f64 {
        match self {
            Self::Feet => METERS_PER_FOOT,
            Self::Inches => METERS_PER_INCH,
            Self::Metric(meters) => meters,
        }
    }
}

/// Spellings; the first of each is the one that hints use.
const UNITS: &[(&str, Unit)] = &[
    ("ft", Unit::Feet),
    ("in", Unit::Inches),
    ("m", Unit::Metric(1.0)),
    ("cm", Unit::Metric(0.01)),
    ("mm", Unit::Metric(0.001)),
    ("'", Unit::Feet),
    ("\"", Unit::Inches),
    ("feet", Unit::Feet),
    ("foot", Unit::Feet),
    ("inches", Unit::Inches),
    ("inch", Unit::Inches),
    ("meters", Unit::Metric(1.0)),
    ("meter", Unit::Metric(1.0)),
    ("meters", Unit::Metric(1.0)),
    ("meter", Unit::Metric(1.0)),
    ("centimeters", Unit::Metric(0.01)),
    ("centimeters", Unit::Metric(0.01)),
    ("millimeters", Unit::Metric(0.001)),
    ("millimeters", Unit::Metric(0.001)),
    // Thousandths of an inch, as film is sold by.
    ("mil", Unit::Metric(0.001 * METERS_PER_INCH)),
];

/// Reads a length: `18'6`, `18'6"`, `18 ft 6 in`, `18.5 ft`, `222"`, `7-1/2"`, `5.64 m`, `564 cm`, `5640 mm`. One
/// minus in front is good for offsets; a number without a unit is not good.
///
/// # Units
/// Returns meters.
///
/// # Errors
/// Anything that is not one length; see [`UnitError`], whose hint says what to write.
pub fn parse_length(text: &str) -> Result<f64, UnitError> {
    let tidied = tidy(Quantity::Length, text)?;
    let mut reader = Reader::new(Quantity::Length, &tidied);
    let sign = reader.sign()?;
    let first = reader.number()?;
    let marked = {
        let mut ahead = reader;
        ahead.skip_space();
        ahead.eat('\'')
    };
    let Some(unit) = read_unit(&mut reader)? else {
        return Err(no_unit(&first));
    };
    let spaced = reader.skip_space();
    if reader.at_end() || unit != Unit::Feet {
        reader.finish()?;
        return Ok(sign * first.value * unit.meters());
    }
    // `18'-6"` and `18' - 6"` are how drawings part feet from inches; `18' -6"` may mean a difference.
    if reader.eat('-') && reader.skip_space() != spaced {
        return Err(reader.bad_sign());
    }
    let second = reader.number()?;
    let after = reader;
    let unit = read_unit(&mut reader)?;
    if unit.is_some_and(|unit| unit != Unit::Inches) {
        return Err(after.unexpected());
    }
    reader.finish()?;
    if !first.whole {
        return Err(UnitError::BrokenFeet { feet: first.text });
    }
    if second.value >= INCHES_PER_FOOT {
        return Err(UnitError::InchesOverTwelve {
            feet: first.text,
            inches: second.text,
        });
    }
    // Behind the foot mark a number alone is inches: `18'6` needs no mark that would end a text in quotes.
    if unit.is_none() && !marked {
        return Err(UnitError::NoUnit {
            example: format!(
                "write {}'{} or {} ft {} in",
                first.text, second.text, first.text, second.text
            ),
            number: second.text,
        });
    }
    Ok(sign * (first.value * METERS_PER_FOOT + second.value * METERS_PER_INCH))
}

/// The unit that is next, or `None` at the end of the text.
fn read_unit(reader: &mut Reader<'_>) -> Result<Option<Unit>, UnitError> {
    match reader.unit_word()? {
        Some(word) => look_up(Quantity::Length, word, UNITS).map(Some),
        None => Ok(None),
    }
}

fn no_unit(number: &Number) -> UnitError {
    let number = number.text.clone();
    UnitError::NoUnit {
        example: format!("write \"{number} ft\", \"{number} in\" or \"{number} m\""),
        number,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Rounding of a handful of products, far under anything a tape can show.
    const CLOSE: f64 = 1e-12;

    fn check(text: &str, meters: f64) {
        match parse_length(text) {
            Ok(found) => assert!(
                (found - meters).abs() <= CLOSE,
                "{text}: {found} is not {meters}"
            ),
            Err(error) => panic!("{text}: {error}"),
        }
    }

    fn check_error(text: &str, message: &str, hint: &str) {
        let error = parse_length(text).expect_err(text);
        assert_eq!(error.to_string(), message, "{text}");
        assert!(
            error.hint().contains(hint),
            "{text}: hint is {}",
            error.hint()
        );
    }

    // Expected values are exact: an inch is 25.4 mm (international agreement of 1959).
    #[test]
    fn lengths_are_read() {
        let boat = 5.6388; // 222 in
        for text in [
            "18'6",
            "18' 6",
            "18'-6",
            "18′6",
            "18'6\"",
            "18' 6\"",
            "18'-6\"",
            "18' - 6\"",
            "18ft 6in",
            "18ft6in",
            "18 ft 6 in",
            "18 ft. 6 in.",
            "18 feet 6 inches",
            "18.5 ft",
            "18 1/2 ft",
            "222in",
            "222\"",
            "222''",
            "18′6″",
            "18’6”",
            "18'6''",
            "  18 FT 6 IN  ",
            "18\u{a0}ft\u{2009}6 in",
            "+18'6\"",
            "5.6388 m",
            "563.88 cm",
            "5638.8 mm",
        ] {
            check(text, boat);
        }
        check("7 1/2 in", 0.1905);
        check("7-1/2\"", 0.1905);
        check("7½ in", 0.1905);
        check("1/2 in", 0.0127);
        check("½\"", 0.0127);
        check("3'4 1/2\"", 1.0287);
        check("3'4 1/2", 1.0287);
        check("-3'2", -0.9652);
        check("3'4-1/2\"", 1.0287);
        check("3' 1/2\"", 0.9271);
        check("-3 1/2 in", -0.0889);
        check("−0.5 m", -0.5);
        check("-3'2\"", -0.9652);
        check("0'0\"", 0.0);
        check(".5 m", 0.5);
        check("5. m", 5.0);
        check("5.64 meters", 5.64);
        check("1 foot 11.75 inches", 0.60325);
    }

    #[test]
    fn slips_are_named() {
        check_error("", "the length is empty", "18 ft 6 in");
        check_error(" \t ", "the length is empty", "18 ft 6 in");
        check_error("18", "no unit after '18'", "write \"18 ft\"");
        check_error("7 1/2", "no unit after '7 1/2'", "\"7 1/2 in\"");
        check_error(
            "18'14",
            "14 inches after 18 feet make another foot",
            "less than 12",
        );
        check_error("18 ft x", "did not expect 'x' in a length", "18 ft 6 in");
        check_error("-ft", "did not expect 'ft' in a length", "18 ft 6 in");
        check_error("18 ft 6", "no unit after '6'", "write 18'6 or 18 ft 6 in");
        check_error("5,64 m", "'5,64' has a comma in it", "\"5.64\"");
        check_error("1,234.5 mm", "'1,234.5' has a comma in it", "\"1234.5\"");
        check_error(
            "18'14\"",
            "14 inches after 18 feet make another foot",
            "less than 12",
        );
        check_error(
            "18'12\"",
            "12 inches after 18 feet make another foot",
            "less than 12",
        );
        check_error(
            "18.5'6\"",
            "'18.5' feet have a fraction, and inches follow",
            "18.5 ft",
        );
        check_error(
            "18 tf",
            "unknown unit 'tf' for a length",
            "did you mean 'ft'?",
        );
        check_error(
            "18 fet",
            "unknown unit 'fet' for a length",
            "did you mean 'ft'?",
        );
        check_error("18 inchs", "unknown unit 'inchs' for a length", "'inches'");
        check_error("5 km", "unknown unit 'km' for a length", "did you mean");
        check_error(
            "18 psf",
            "unknown unit 'psf' for a length",
            "write 18 ft 6 in",
        );
        check_error("18 x", "unknown unit 'x' for a length", "write 18 ft 6 in");
        check_error("ft", "no number in 'ft'", "18 ft 6 in");
        check_error("NaN m", "'NaN' is not a finite number", "plain number");
        check_error("-inf ft", "'inf' is not a finite number", "plain number");
        check_error("∞ m", "'∞' is not a finite number", "plain number");
        check_error(
            "--3 in",
            "a sign in the wrong place in '--3 in'",
            "in front",
        );
        check_error(
            "- -3 in",
            "a sign in the wrong place in '- -3 in'",
            "in front",
        );
        check_error(
            "3' -2\"",
            "a sign in the wrong place in '3' -2\"'",
            "in front",
        );
        check_error(
            "3'--2\"",
            "a sign in the wrong place in '3'--2\"'",
            "in front",
        );
        check_error(
            "3-4 ft",
            "a sign in the wrong place in '3-4 ft'",
            "in front",
        );
        check_error("1.2.3 m", "'1.2.3' is not a number", "one decimal point");
        check_error(". m", "'.' is not a number", "one decimal point");
        check_error(
            "1e3 mm",
            "'1e3 mm' is written with a power of ten",
            "digits out",
        );
        check_error(
            "1/0 in",
            "'1/0' is not a fraction that can be read",
            "7 1/2 in",
        );
        check_error(
            "7 3/2 in",
            "'7 3/2' is not a fraction that can be read",
            "7 1/2 in",
        );
        check_error(
            "7.5 1/2 in",
            "'7.5 1/2' is not a fraction that can be read",
            "7 1/2 in",
        );
        check_error(
            "7/ in",
            "'7/' is not a fraction that can be read",
            "7 1/2 in",
        );
        check_error("5 m 64 cm", "did not expect '64 cm' in a length", "5.64 m");
        check_error(
            "18 ft 20 cm",
            "did not expect 'cm' in a length",
            "18 ft 6 in",
        );
        check_error(
            "18 ft, 6 in",
            "did not expect ', 6 in' in a length",
            "18 ft 6 in",
        );
        check_error(
            "6 in 18 ft",
            "did not expect '18 ft' in a length",
            "18 ft 6 in",
        );
        check_error(
            "1 2 3 ft",
            "did not expect '2 3 ft' in a length",
            "18 ft 6 in",
        );
        check_error("3:12", "did not expect ':12' in a length", "18 ft 6 in");
        check_error(
            &"9".repeat(65),
            "the length has 65 characters, 64 are the most",
            "18 ft 6 in",
        );
    }

    proptest! {
        #[test]
        fn any_text_is_survived(text in any::<String>()) {
            if let Ok(meters) = parse_length(&text) {
                prop_assert!(meters.is_finite());
            }
        }

        #[test]
        fn near_lengths_are_survived(text in "[-+0-9./,'\" a-z½″]{0,20}") {
            match parse_length(&text) {
                Ok(meters) => prop_assert!(meters.is_finite()),
                Err(error) => prop_assert!(!error.hint().is_empty() && !error.to_string().is_empty()),
            }
        }
    }
}
