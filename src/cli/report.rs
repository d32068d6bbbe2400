//! What is wrong with the input, all of it, each with its place and what mends it.

use crate::boat::{Places, Problem};
use crate::disk::{Fault, Unread};
use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, NamedSource, SourceCode,
    ThemeCharacters, ThemeStyles,
};
use std::fmt;

/// Columns of a report.
const WIDTH: usize = 96;

/// Lines of a file that have more bytes are not shown: they are no boat file that somebody wrote.
const LONGEST_LINE: usize = 160;

/// Problems that are shown; a file with more is mended in rounds.
const MAX_SHOWN: usize = 40;

/// Why a command could not do its work.
#[derive(Debug)]
pub(super) struct Failure {
    /// Where the input came from; empty where it is not about a file.
    name: String,
    /// The text of the file, where it has one.
    text: Option<String>,
    problems: Vec<Problem>,
}

impl Failure {
    /// One thing that is wrong, with what mends it.
    pub fn plain(what: impl Into<String>, hint: impl Into<String>) -> Failure {
        Failure {
            name: String::new(),
            text: None,
            problems: vec![Problem {
                path: String::new(),
                place: None,
                what: what.into(),
                hint: hint.into(),
            }],
        }
    }

    /// Problems of a file. Those that name a field but no place get the place of that field.
    pub fn of_file(name: &str, text: Option<String>, mut problems: Vec<Problem>) -> Failure {
        if let Some(text) = &text
            && problems.iter().any(|problem| problem.place.is_none())
        {
            let places = Places::scan(text);
            let placeless =
                |problem: &&mut Problem| problem.place.is_none() && !problem.path.is_empty();
            for problem in problems.iter_mut().filter(placeless) {
                problem.place = places
                    .find(&problem.path)
                    .or_else(|| places.nearest(&problem.path))
                    .map(|place| (place.line, place.column));
            }
        }
        Failure {
            name: name.to_owned(),
            text,
            problems,
        }
    }
}

impl From<Fault> for Failure {
    fn from(fault: Fault) -> Failure {
        Failure::plain(fault.what, fault.hint)
    }
}

impl From<Unread> for Failure {
    fn from(unread: Unread) -> Failure {
        match unread {
            Unread::Fault(fault) => fault.into(),
            Unread::Problems { name, text, list } => Failure::of_file(&name, text, list),
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let handler = GraphicalReportHandler::new_themed(GraphicalTheme {
            characters: ThemeCharacters::unicode(),
            styles: ThemeStyles::none(),
        })
        .with_width(WIDTH)
        .with_context_lines(1)
        .without_cause_chain();
        for (index, problem) in self.problems.iter().take(MAX_SHOWN).enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            let mut report = String::new();
            handler.render_report(&mut report, &Entry::new(self, problem))?;
            // A file may hold anything: nothing in it may steer the terminal.
            report.retain(|letter| letter == '\n' || !letter.is_control());
            f.write_str(&report)?;
        }
        if self.name.is_empty() {
            return Ok(());
        }
        let number = match self.problems.len() {
            1 => "one problem".to_owned(),
            number => format!("{number} problems"),
        };
        if self.problems.len() > MAX_SHOWN {
            writeln!(f, "  and {} more", self.problems.len() - MAX_SHOWN)?;
        }
        writeln!(
            f,
            "\n{number} in {}: nothing was planned and nothing was written\nnext: mend it and run the same \
             command again",
            self.name
        )
    }
}

/// One problem in the form that the report wants.
#[derive(Debug)]
struct Entry {
    message: String,
    hint: String,
    shown: Option<(NamedSource<String>, LabeledSpan)>,
}

impl Entry {
    fn new(failure: &Failure, problem: &Problem) -> Entry {
        let shown = failure
            .text
            .as_ref()
            .zip(problem.place)
            .and_then(|(text, place)| {
                let (start, length) = span(text, place)?;
                let source = NamedSource::new(&failure.name, text.clone());
                Some((source, LabeledSpan::new(None, start, length)))
            });
        let mut message = String::new();
        if shown.is_none() && !failure.name.is_empty() {
            message.push_str(&failure.name);
            if let Some((line, column)) = problem.place {
                message.push_str(&format!(":{line}:{column}"));
            }
            message.push_str(": ");
        }
        if !problem.path.is_empty() {
            message.push_str(&problem.path);
            message.push_str(": ");
        }
        message.push_str(&problem.what);
        Entry {
            message,
            hint: problem.hint.clone(),
            shown,
        }
    }
}

/// Start and length in bytes of what stands at a line and a column, both from 1; `None` where there is
/// no such place, or its line is too long to be shown.
fn span(text: &str, (line, column): (usize, usize)) -> Option<(usize, usize)> {
    let start: usize = text
        .split_inclusive('\n')
        .take(line.checked_sub(1)?)
        .map(str::len)
        .sum();
    let row = text.get(start..)?.lines().next().unwrap_or_default();
    // The lines before and after are shown too.
    let mut around = text.lines().skip(line.saturating_sub(2)).take(3);
    if around.any(|line| line.len() > LONGEST_LINE) {
        return None;
    }
    let before: usize = row
        .chars()
        .take(column.checked_sub(1)?)
        .map(char::len_utf8)
        .sum();
    let rest = row.get(before..)?;
    // To the end of the field's name or of the quoted value.
    let mut quoted = false;
    let length: usize = rest
        .chars()
        .take_while(|letter| {
            quoted ^= *letter == '"';
            quoted || !matches!(letter, ',' | ')' | ']' | ' ')
        })
        .map(char::len_utf8)
        .sum();
    Some((start + before, length.max(1).min(rest.len().max(1))))
}

impl fmt::Display for Entry {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Entry {}

impl Diagnostic for Entry {
    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        if self.hint.is_empty() {
            None
        } else {
            Some(Box::new(&self.hint))
        }
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.shown
            .as_ref()
            .map(|(source, _)| source as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let (_, label) = self.shown.as_ref()?;
        Some(Box::new(std::iter::once(label.clone())))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_become_spans() {
        let text = "(\n  beam: \"7 fot\",\n  größe: 1\n)";
        for (place, wanted) in [
            ((2, 3), Some("beam:")),
            ((2, 9), Some("\"7 fot\"")),
            ((3, 3), Some("größe:")),
            ((3, 10), Some("1")),
            ((0, 1), None),
            ((2, 0), None),
        ] {
            let found = span(text, place).map(|(start, length)| &text[start..start + length]);
            assert_eq!(found, wanted, "{place:?}");
        }
        // Past the end of a line or of the file: shown at its end, or not at all, but never a panic.
        for place in [(1, 9), (9, 1), (4, 2)] {
            let _ = span(text, place);
        }
        assert_eq!(span(&"x".repeat(1000), (1, 1)), None);
    }

    #[test]
    fn nothing_steers_the_terminal() {
        let text = "(name: \"\u{1b}[2J\", beam: \"1\u{7}\")".to_owned();
        let problem = Problem {
            path: "beam".to_owned(),
            place: Some((1, 7)),
            what: "odd '\u{1b}[31m'".to_owned(),
            hint: "write \u{9b}plain".to_owned(),
        };
        let report = Failure::of_file("a.ron", Some(text), vec![problem]).to_string();
        assert!(
            report.chars().all(|c| c == '\n' || !c.is_control()),
            "{report:?}"
        );
        assert!(report.contains("a.ron"), "{report}");
    }
}
