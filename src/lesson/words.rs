//! Texts of lessons with numbers to be filled in.

use super::change::Change;
use super::measure::{Measure, Measured, times};
use crate::boat::{Checker, suggest};
use crate::units::UnitSystem;

/// A text cut at its braces.
#[derive(Debug, PartialEq)]
enum Piece<'a> {
    Words(&'a str),
    Number(&'a str),
    Open,
}

fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut pieces = Vec::new();
    let mut rest = text;
    while let Some((words, after)) = rest.split_once('{') {
        pieces.push(Piece::Words(words));
        match after.split_once('}') {
            Some((name, after)) => {
                pieces.push(Piece::Number(name));
                rest = after;
            }
            None => {
                pieces.push(Piece::Open);
                return pieces;
            }
        }
    }
    pieces.push(Piece::Words(rest));
    pieces
}

/// Names of all numbers that a text of a lesson with these changes may have.
fn names(changes: &[Change]) -> Vec<String> {
    let mut names: Vec<String> = ["plan", "rival", "difference", "times", "snow", "min_slope"]
        .map(str::to_owned)
        .to_vec();
    if changes.iter().any(|change| change.by().is_some()) {
        names.push("by".to_owned());
    }
    for side in ["plan", "rival"] {
        names.extend(Measure::ALL.map(|measure| format!("{side}.{}", measure.name())));
    }
    names
}

/// Notes every brace in a text that names no number.
pub(super) fn check_text(check: &mut Checker, path: &str, text: &str, changes: &[Change]) {
    let names = names(changes);
    for piece in pieces(text) {
        match piece {
            Piece::Number(name) if !names.iter().any(|known| known == name) => {
                let hint = match suggest(name, names.iter().map(String::as_str)) {
                    Some(near) => format!("did you mean '{{{near}}}'?"),
                    None => format!("numbers are named {}", names.join(", ")),
                };
                check.problem(path, format!("no number is named '{{{name}}}'"), hint);
            }
            Piece::Open => check.problem(
                path,
                "a brace is not closed",
                "write a number's name between braces, as {plan}",
            ),
            _ => {}
        }
    }
}

/// What a text's numbers are filled in from.
pub(super) struct Numbers<'a> {
    pub measure: Measure,
    pub plan: &'a Measured,
    pub rival: &'a Measured,
    /// Depth of the snowfall, m.
    pub snow: f64,
    /// Least slope that the plan asks for, rad.
    pub min_slope: f64,
    pub changes: &'a [Change],
}

impl Numbers<'_> {
    /// The text with its numbers in the reader's units.
    pub fn fill(&self, text: &str, units: UnitSystem) -> String {
        pieces(text)
            .into_iter()
            .map(|piece| match piece {
                Piece::Words(words) => words.to_owned(),
                Piece::Number(name) => self.number(name, units).unwrap_or_default(),
                Piece::Open => String::new(),
            })
            .collect()
    }

    fn number(&self, name: &str, units: UnitSystem) -> Option<String> {
        let (plan, rival) = (self.plan.get(self.measure), self.rival.get(self.measure));
        let own = |value: f64| self.measure.format(value, units);
        Some(match name {
            "plan" => own(plan),
            "rival" => own(rival),
            "difference" => own((rival - plan).abs()),
            "times" => many(times(rival, plan)),
            "snow" => units.format_length_short(self.snow),
            "min_slope" => units.format_angle(self.min_slope),
            "by" => units.format_length_short(self.changes.iter().find_map(Change::by)?),
            _ => {
                let (side, name) = name.split_once('.')?;
                let measure = Measure::ALL
                    .into_iter()
                    .find(|measure| measure.name() == name)?;
                let side = if side == "plan" {
                    self.plan
                } else {
                    self.rival
                };
                measure.format(side.get(measure), units)
            }
        })
    }
}

/// From here on a multiple is given without decimals, and from there on only as many.
const WHOLE: f64 = 10.0;
const MANY: f64 = 100.0;

/// A multiple in words that stand before 'as much'.
fn many(times: f64) -> String {
    if times >= MANY {
        "over a hundred times".to_owned()
    } else if times >= WHOLE {
        format!("{times:.0} times")
    } else {
        format!("{times:.1} times")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn braces_are_numbers() {
        use Piece::{Number, Open, Words};
        let check = |text, want: &[Piece]| assert_eq!(pieces(text), want, "{text}");
        check("", &[Words("")]);
        check("no number", &[Words("no number")]);
        check(
            "{plan} and {rival.sag}.",
            &[
                Words(""),
                Number("plan"),
                Words(" and "),
                Number("rival.sag"),
                Words("."),
            ],
        );
        check("open {plan", &[Words("open "), Open]);
        check("{}", &[Words(""), Number(""), Words("")]);
    }

    #[test]
    fn multiples_are_words() {
        let check = |times, want: &str| assert_eq!(many(times), want);
        check(0.43, "0.4 times");
        check(2.0, "2.0 times");
        check(14.3, "14 times");
        check(f64::INFINITY, "over a hundred times");
        assert_eq!(times(1.0, 0.0), f64::INFINITY);
        assert_eq!(times(0.0, 0.0), 1.0);
        assert_eq!(times(3.0, 2.0), 1.5);
    }
}
