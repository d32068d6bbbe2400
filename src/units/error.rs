//! What can be wrong with a written quantity, and what to write instead.

use std::fmt;

use thiserror::Error;

/// The kinds of quantity that a person may write.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Quantity {
    /// A distance.
    Length,
    /// An angle or a pitch.
    Angle,
    /// A surface, as of film.
    Area,
    /// A force, as of a strap.
    Force,
    /// A force per width of film.
    Tension,
    /// A force per area, as of snow.
    Pressure,
    /// Of air or film.
    Temperature,
    /// Of wind or of a tow.
    Speed,
    /// In film or lumber, or a modulus.
    Stress,
    /// Of film or gas.
    Mass,
}

impl Quantity {
    /// The name with its article, for messages.
    fn with_article(self) -> String {
        match self {
            Self::Angle | Self::Area => format!("an {self}"),
            _ => format!("a {self}"),
        }
    }

    /// Good ways to write this quantity, as a list for a hint.
    #[must_use]
    pub fn examples(self) -> &'static str {
        match self {
            Self::Length => "18 ft 6 in, 18'6, 7 1/2 in, 5.64 m or 564 cm",
            Self::Angle => "15 deg, 15°, 0.26 rad or a pitch such as 3:12",
            Self::Area => "1 sq ft, 96 sq in or 0.09 m2",
            Self::Force => "180 lbf, 800 N or 0.8 kN",
            Self::Tension => "100 N/m, 0.57 lbf/in or 6.9 lbf/ft",
            Self::Pressure => "20 psf, 0.96 kPa or 960 Pa",
            Self::Temperature => "5 C, 41 F or 5 °C",
            Self::Speed => "110 mph, 26 m/s, 90 km/h or 35 kn",
            Self::Stress => "150 MPa, 1150 psi or 11 GPa",
            Self::Mass => "20 lb, 9 kg or 500 g",
        }
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Length => "length",
            Self::Angle => "angle",
            Self::Area => "area",
            Self::Force => "force",
            Self::Tension => "film tension",
            Self::Pressure => "pressure",
            Self::Temperature => "temperature",
            Self::Speed => "speed",
            Self::Stress => "stress",
            Self::Mass => "mass",
        })
    }
}

/// Why a written quantity could not be read. The message says what is wrong, [`UnitError::hint`] what
/// to write instead.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum UnitError {
    /// Nothing but blanks.
    #[error("the {quantity} is empty")]
    Empty {
        /// What was to be read.
        quantity: Quantity,
    },
    /// More characters than any sensible quantity has.
    #[error("the {quantity} has {length} characters, {limit} are the most")]
    TooLong {
        /// What was to be read.
        quantity: Quantity,
        /// Characters found.
        length: usize,
        /// Characters allowed.
        limit: usize,
    },
    /// A unit, or something else, where a number belongs.
    #[error("no number in '{text}'")]
    NoNumber {
        /// What was to be read.
        quantity: Quantity,
        /// The text in which the number is missing.
        text: String,
    },
    /// A number that nothing follows.
    #[error("no unit after '{number}'")]
    NoUnit {
        /// The number as written.
        number: String,
        /// The hint: the same number with units.
        example: String,
    },
    /// A unit that does not exist, or not for this quantity.
    #[error("unknown unit '{unit}' for {}", quantity.with_article())]
    UnknownUnit {
        /// What was to be read.
        quantity: Quantity,
        /// The unit as written.
        unit: String,
        /// A known unit that is spelt nearly so.
        nearest: Option<&'static str>,
    },
    /// A comma between digits.
    #[error("'{number}' has a comma in it")]
    DecimalComma {
        /// The number as written.
        number: String,
    },
    /// `nan`, `inf` and the like.
    #[error("'{word}' is not a finite number")]
    NotFinite {
        /// The word as written.
        word: String,
    },
    /// Two decimal points.
    #[error("'{number}' is not a number")]
    BadNumber {
        /// The number as written.
        number: String,
    },
    /// Powers of ten written with an e.
    #[error("'{text}' is written with a power of ten")]
    Exponent {
        /// The text as written.
        text: String,
    },
    /// A fraction over zero, of decimals, or of one whole or more behind a whole number.
    #[error("'{fraction}' is not a fraction that can be read")]
    BadFraction {
        /// The fraction as written.
        fraction: String,
    },
    /// A sign anywhere but once in front.
    #[error("a sign in the wrong place in '{text}'")]
    BadSign {
        /// The text as written.
        text: String,
    },
    /// A foot or more of inches behind feet.
    #[error("{inches} inches after {feet} feet make another foot")]
    InchesOverTwelve {
        /// Feet as written.
        feet: String,
        /// Inches as written.
        inches: String,
    },
    /// Inches behind feet that already have a fraction.
    #[error("'{feet}' feet have a fraction, and inches follow")]
    BrokenFeet {
        /// Feet as written.
        feet: String,
    },
    /// A pitch with no run.
    #[error("the pitch '{pitch}' has no run")]
    NoRun {
        /// The pitch as written.
        pitch: String,
    },
    /// Something after, or inside, an otherwise good quantity.
    #[error("did not expect '{found}' in {}", quantity.with_article())]
    Unexpected {
        /// What was to be read.
        quantity: Quantity,
        /// What stands there, to the end of the text.
        found: String,
    },
    /// Not the name of a [`UnitSystem`](super::UnitSystem).
    #[error("unknown unit system '{name}'")]
    UnknownSystem {
        /// The name as written.
        name: String,
    },
}

impl UnitError {
    /// What to write instead: one line, without a full stop.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::Empty { quantity }
            | Self::TooLong { quantity, .. }
            | Self::NoNumber { quantity, .. }
            | Self::Unexpected { quantity, .. }
            | Self::UnknownUnit {
                quantity,
                nearest: None,
                ..
            } => format!("write {}", quantity.examples()),
            Self::NoUnit { example, .. } => example.clone(),
            Self::UnknownUnit {
                nearest: Some(unit),
                ..
            } => format!("did you mean '{unit}'?"),
            Self::DecimalComma { number } => format!(
                "write \"{}\" if the comma begins the decimals, \"{}\" if it parts the thousands",
                number.replacen(',', ".", 1),
                number.replace(',', "")
            ),
            Self::NotFinite { .. } => "write a plain number such as 18.5".to_owned(),
            Self::BadNumber { .. } => "a number has one decimal point at most".to_owned(),
            Self::Exponent { .. } => "write all digits out, such as 1500".to_owned(),
            Self::BadFraction { .. } => {
                "write a fraction of whole numbers under one, such as 7 1/2 in".to_owned()
            }
            Self::BadSign { .. } => {
                "one minus may stand in front of the whole, such as -3 1/2 in".to_owned()
            }
            Self::InchesOverTwelve { .. } => {
                "after feet write less than 12 inches, or write it all in inches".to_owned()
            }
            Self::BrokenFeet { .. } => {
                "write whole feet and inches (18'6), or feet alone (18.5 ft)".to_owned()
            }
            Self::NoRun { .. } => {
                "write rise and run with a run above zero, such as 3:12".to_owned()
            }
            Self::UnknownSystem { .. } => "write ft or m".to_owned(),
        }
    }
}
