//! Levels of load: a code's load times what the way of checking asks for.
//!
//! ASCE 7-16 gives snow for allowable stresses and wind for strength, ASCE 7-22 both for strength, EN 1991 and the NBCC
//! characteristic loads. A check by allowable stresses (NDS, working ratings of straps and buckles) wants one level, a
//! check by limit states (EN 1995) another. Factors for one load alone; the cover's own weight is a trifle.

use super::lumber::Strength;
use super::site::Code;

/// A way of checking.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// The safety is in the allowable stress or the working rating.
    AllowableStress,
    /// The safety is in factors on the load and on the strength.
    LimitState,
}

impl Strength {
    /// The way that lumber with this strength is checked.
    #[must_use]
    pub fn method(&self) -> Method {
        match self {
            Self::Reference { .. } => Method::AllowableStress,
            Self::Characteristic { .. } => Method::LimitState,
        }
    }
}

/// A factor on a load, with its source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// Times the code's load.
    pub factor: f64,
    /// Where it is from.
    pub source: &'static str,
}

/// By what a code's snow is multiplied.
#[must_use]
pub fn snow(code: Code, method: Method) -> Level {
    use Method::{AllowableStress, LimitState};
    let (factor, source) = match (code, method) {
        (Code::Asce716, AllowableStress) => (1.0, "ASCE 7-16 2.4.1, memory"),
        (Code::Asce716, LimitState) => (1.6, "ASCE 7-16 2.3.1, memory"),
        (Code::Asce722, AllowableStress) => (0.7, "ASCE 7-22 2.4.1, memory"),
        (Code::Asce722, LimitState) => (1.0, "ASCE 7-22 2.3.1, memory"),
        (Code::En1991 | Code::Nbcc, AllowableStress) => (
            1.0,
            "characteristic load taken as the allowable level, house rule",
        ),
        (Code::En1991, LimitState) => (1.5, "EN 1990 table A1.2(B), memory"),
        (Code::Nbcc, LimitState) => (1.5, "NBCC table 4.1.3.2.-A, memory"),
    };
    Level { factor, source }
}

/// By what a code's wind is multiplied.
#[must_use]
pub fn wind(code: Code, method: Method) -> Level {
    use Method::{AllowableStress, LimitState};
    let (factor, source) = match (code, method) {
        (Code::Asce716, AllowableStress) => (0.6, "ASCE 7-16 2.4.1, quoted"),
        (Code::Asce722, AllowableStress) => (0.6, "ASCE 7-22 2.4.1, quoted"),
        (Code::Asce716, LimitState) => (1.0, "ASCE 7-16 2.3.1, quoted"),
        (Code::Asce722, LimitState) => (1.0, "ASCE 7-22 2.3.1, quoted"),
        (Code::En1991 | Code::Nbcc, AllowableStress) => (
            1.0,
            "characteristic load taken as the allowable level, house rule",
        ),
        (Code::En1991, LimitState) => (1.5, "EN 1990 table A1.2(B), memory"),
        (Code::Nbcc, LimitState) => (1.4, "NBCC table 4.1.3.2.-A, memory"),
    };
    Level { factor, source }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limit_states_carry_more_load() {
        for code in Code::ALL {
            for (name, level) in [("snow", snow as fn(Code, Method) -> Level), ("wind", wind)] {
                let allowable = level(code, Method::AllowableStress);
                let limit = level(code, Method::LimitState);
                assert!(allowable.factor < limit.factor, "{name} {code:?}");
                assert!(!allowable.source.is_empty() && !limit.source.is_empty());
            }
        }
    }

    #[test]
    fn factors_are_those_of_the_combinations() {
        // ASCE 7-16 and 7-22 2.4.1: 0.6 W, quoted. 7-22 took its snow to strength: 0.7 S, memory.
        assert_eq!(wind(Code::Asce716, Method::AllowableStress).factor, 0.6);
        assert_eq!(wind(Code::Asce722, Method::AllowableStress).factor, 0.6);
        assert_eq!(snow(Code::Asce716, Method::AllowableStress).factor, 1.0);
        assert_eq!(snow(Code::Asce722, Method::AllowableStress).factor, 0.7);
        assert_eq!(snow(Code::En1991, Method::LimitState).factor, 1.5);
    }
}
