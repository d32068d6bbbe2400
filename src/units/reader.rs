//! The small reader that all quantities share: signs, numbers, fractions, unit words.

use super::{Quantity, UnitError};

/// Longest text that is looked at, in characters: the longest sensible quantity has about thirty, and a
/// message must be able to repeat it on one line.
const LONGEST: usize = 64;

/// A number as written and as understood.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Number {
    /// As written.
    pub text: String,
    /// As understood.
    pub value: f64,
    /// Written without decimals and fraction.
    pub whole: bool,
}

/// Turns the many signs that keyboards and word processors offer for the same mark into one, and refuses
/// text that is empty or far too long.
pub(super) fn tidy(quantity: Quantity, text: &str) -> Result<String, UnitError> {
    if text.chars().nth(LONGEST).is_some() {
        return Err(UnitError::TooLong {
            quantity,
            length: text.chars().count(),
            limit: LONGEST,
        });
    }
    let mut tidied = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '′' | '’' | '‘' => tidied.push('\''),
            '″' | '”' | '“' => tidied.push('"'),
            '−' | '–' => tidied.push('-'),
            '⁄' => tidied.push('/'),
            '²' => tidied.push('2'),
            '½' => tidied.push_str(" 1/2"),
            '¼' => tidied.push_str(" 1/4"),
            '¾' => tidied.push_str(" 3/4"),
            '⅛' => tidied.push_str(" 1/8"),
            '⅜' => tidied.push_str(" 3/8"),
            '⅝' => tidied.push_str(" 5/8"),
            '⅞' => tidied.push_str(" 7/8"),
            c if c.is_whitespace() => tidied.push(' '),
            // Control characters would garble the terminal that shows the message.
            c if c.is_control() => tidied.push(char::REPLACEMENT_CHARACTER),
            c => tidied.push(c),
        }
    }
    let tidied = tidied.replace("''", "\"").trim().to_owned();
    if tidied.is_empty() {
        return Err(UnitError::Empty { quantity });
    }
    Ok(tidied)
}

/// A place in a tidied text.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reader<'a> {
    quantity: Quantity,
    whole: &'a str,
    rest: &'a str,
}

impl<'a> Reader<'a> {
    pub fn new(quantity: Quantity, text: &'a str) -> Self {
        Self {
            quantity,
            whole: text,
            rest: text,
        }
    }

    /// Steps over blanks; true if there were any.
    pub fn skip_space(&mut self) -> bool {
        let rest = self.rest.trim_start();
        let moved = rest.len() != self.rest.len();
        self.rest = rest;
        moved
    }

    /// True if only blanks are left; steps over them.
    pub fn at_end(&mut self) -> bool {
        self.skip_space();
        self.rest.is_empty()
    }

    /// Steps over one given character, if it is next.
    pub fn eat(&mut self, wanted: char) -> bool {
        match self.rest.strip_prefix(wanted) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }

    fn take_while(&mut self, wanted: impl Fn(char) -> bool) -> &'a str {
        let rest = self.rest.trim_start_matches(wanted);
        let end = self.rest.len() - rest.len();
        let (taken, rest) = self.rest.split_at_checked(end).unwrap_or((self.rest, ""));
        self.rest = rest;
        taken
    }

    /// Reads the sign in front: 1 or -1.
    pub fn sign(&mut self) -> Result<f64, UnitError> {
        self.skip_space();
        let sign = if self.eat('-') {
            -1.0
        } else {
            self.eat('+');
            1.0
        };
        self.skip_space();
        self.refuse_sign()?;
        Ok(sign)
    }

    /// An error if a sign is next.
    pub fn refuse_sign(&self) -> Result<(), UnitError> {
        if self.rest.starts_with(['-', '+']) {
            return Err(self.bad_sign());
        }
        Ok(())
    }

    /// The error for a sign in a wrong place.
    pub fn bad_sign(&self) -> UnitError {
        UnitError::BadSign {
            text: self.whole.to_owned(),
        }
    }

    /// The error for whatever is next.
    pub fn unexpected(&self) -> UnitError {
        match self.refuse_sign() {
            Err(error) => error,
            Ok(()) => UnitError::Unexpected {
                quantity: self.quantity,
                found: self.rest.trim().to_owned(),
            },
        }
    }

    /// Reads digits with at most one decimal point, if they are next.
    fn digits(&mut self) -> Result<Option<Number>, UnitError> {
        if !self
            .rest
            .starts_with(|c: char| c.is_ascii_digit() || c == '.')
        {
            return Ok(None);
        }
        let text = self.take_while(|c| c.is_ascii_digit() || c == '.');
        if let Some(behind) = self.rest.strip_prefix(',')
            && behind.starts_with(|c: char| c.is_ascii_digit())
        {
            let tail = self.take_while(|c| c.is_ascii_digit() || c == '.' || c == ',');
            return Err(UnitError::DecimalComma {
                number: format!("{text}{tail}").trim_end_matches(',').to_owned(),
            });
        }
        match text.parse::<f64>() {
            Ok(value) if value.is_finite() => Ok(Some(Number {
                text: text.to_owned(),
                value,
                whole: !text.contains('.'),
            })),
            _ => Err(UnitError::BadNumber {
                number: text.to_owned(),
            }),
        }
    }

    /// Reads a number without a sign: `7`, `7.5`, `1/2`, `7 1/2` or `7-1/2`.
    pub fn number(&mut self) -> Result<Number, UnitError> {
        self.skip_space();
        self.refuse_sign()?;
        let start = self.rest;
        let Some(first) = self.digits()? else {
            let mut ahead = *self;
            let word = ahead.take_while(|c| c.is_alphabetic() || c == '∞');
            return Err(match word.to_ascii_lowercase().as_str() {
                "nan" | "inf" | "infinity" | "∞" => UnitError::NotFinite {
                    word: word.to_owned(),
                },
                _ if !start.is_empty() && start.len() < self.whole.len() => self.unexpected(),
                _ => UnitError::NoNumber {
                    quantity: self.quantity,
                    text: self.whole.to_owned(),
                },
            });
        };
        if self.eat('/') {
            return self.fraction(start, None, &first);
        }
        // A dash joins only when it touches both: `7-1/2`, while `7 -1/2` may have meant a difference.
        let mut ahead = *self;
        if ahead.eat('-') || ahead.skip_space() {
            let above = ahead.digits()?;
            if let Some(above) = above
                && ahead.eat('/')
            {
                *self = ahead;
                return self.fraction(start, Some(&first), &above);
            }
        }
        Ok(first)
    }

    /// Reads what is below the fraction stroke and puts the number together.
    fn fraction(
        &mut self,
        start: &str,
        before: Option<&Number>,
        above: &Number,
    ) -> Result<Number, UnitError> {
        let below = self.digits()?;
        let text = start
            .get(..start.len() - self.rest.len())
            .unwrap_or(start)
            .to_owned();
        let Some(below) = below.filter(|below| below.whole && below.value > 0.0) else {
            return Err(UnitError::BadFraction { fraction: text });
        };
        let proper = before.is_none_or(|before| before.whole && above.value < below.value);
        if !above.whole || !proper {
            return Err(UnitError::BadFraction { fraction: text });
        }
        Ok(Number {
            text,
            value: before.map_or(0.0, |before| before.value) + above.value / below.value,
            whole: false,
        })
    }

    /// Reads one unit word or mark; an abbreviation's full stop goes with it. `None` at the end of the text.
    pub fn unit_word(&mut self) -> Result<Option<&'a str>, UnitError> {
        if self.at_end() {
            return Ok(None);
        }
        for mark in ["'", "\"", "°"] {
            if let Some(rest) = self.rest.strip_prefix(mark) {
                self.rest = rest;
                return Ok(Some(mark));
            }
        }
        let start = *self;
        let word = self.take_while(char::is_alphabetic);
        if word.is_empty() {
            return Err(self.unexpected());
        }
        if word.eq_ignore_ascii_case("e")
            && self.rest.starts_with(|c: char| "+-0123456789".contains(c))
        {
            return Err(start.exponent());
        }
        self.eat('.');
        Ok(Some(word))
    }

    /// Reads all that is left as one unit, such as `lbf / in`. `None` at the end of the text.
    pub fn unit_rest(&mut self) -> Result<Option<String>, UnitError> {
        if self.at_end() {
            return Ok(None);
        }
        let mut ahead = *self;
        ahead.unit_word()?;
        let unit = self.rest.replace([' ', '^', '.'], "");
        self.rest = "";
        Ok(Some(unit))
    }

    fn exponent(&self) -> UnitError {
        UnitError::Exponent {
            text: self.whole.to_owned(),
        }
    }

    /// An error unless only blanks are left.
    pub fn finish(mut self) -> Result<(), UnitError> {
        if self.at_end() {
            Ok(())
        } else {
            Err(self.unexpected())
        }
    }
}

/// Finds a unit, written without blanks, in a table, whatever its capitals; a near miss is named in the error.
pub(super) fn look_up<T: Copy>(
    quantity: Quantity,
    unit: &str,
    table: &[(&'static str, T)],
) -> Result<T, UnitError> {
    table
        .iter()
        .find(|(name, _)| name.replace(' ', "").eq_ignore_ascii_case(unit))
        .map(|(_, value)| *value)
        .ok_or_else(|| UnitError::UnknownUnit {
            quantity,
            unit: unit.to_owned(),
            nearest: nearest(unit, table.iter().map(|(name, _)| *name)),
        })
}

/// The first name that one slip of the fingers turns into `unit`: two letters swapped, one wrong, one
/// missing or one too many, in this order, since units are too short for more.
fn nearest(unit: &str, names: impl Iterator<Item = &'static str>) -> Option<&'static str> {
    let unit: Vec<char> = unit.to_lowercase().chars().collect();
    names
        .filter_map(|name| {
            let letters: Vec<char> = name.replace(' ', "").to_lowercase().chars().collect();
            slip(&unit, &letters).map(|rank| (rank, name))
        })
        .min_by_key(|(rank, _)| *rank)
        .map(|(_, name)| name)
}

/// The rank of the one slip between two words, or `None` if they are further apart.
fn slip(a: &[char], b: &[char]) -> Option<u8> {
    let same_front = a.iter().zip(b).take_while(|(x, y)| x == y).count();
    let (_, a) = a.split_at_checked(same_front)?;
    let (_, b) = b.split_at_checked(same_front)?;
    let same_back = a
        .iter()
        .rev()
        .zip(b.iter().rev())
        .take_while(|(x, y)| x == y)
        .count();
    let (a, _) = a.split_at_checked(a.len() - same_back)?;
    let (b, _) = b.split_at_checked(b.len() - same_back)?;
    let shared = same_front + same_back > 0;
    match (a, b) {
        ([p, q], [r, s]) if p == s && q == r => Some(0),
        ([_], [_]) if shared => Some(1),
        ([], [_]) | ([_], []) if shared => Some(2),
        _ => None,
    }
}
