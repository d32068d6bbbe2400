//! Text in lists that a spreadsheet would take for a formula.
//!
//! A cell that begins with a sign of formulas gets an apostrophe in front, which spreadsheets show as text; reading takes it
//! off again. Source: OWASP, "CSV Injection" (quoted).

use std::borrow::Cow;

/// What a spreadsheet takes for the beginning of a formula, or passes over to look behind it.
const SIGNS: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// The guard.
const APOSTROPHE: char = '\'';

/// A cell as it is written: text with an apostrophe in front where it would be a formula. Numbers and lengths, as `-3.5`
/// or `-1'2 1/2"`, stay as they are.
#[must_use]
pub fn guarded(cell: &str) -> Cow<'_, str> {
    let is_formula = cell.starts_with(SIGNS) && !is_number(cell);
    if is_formula || has_guard(cell) {
        Cow::Owned(format!("{APOSTROPHE}{cell}"))
    } else {
        Cow::Borrowed(cell)
    }
}

/// A cell as it was before [`guarded`].
#[must_use]
pub(super) fn unguarded(cell: &str) -> &str {
    if has_guard(cell) {
        cell.strip_prefix(APOSTROPHE).unwrap_or(cell)
    } else {
        cell
    }
}

/// Whether it begins as guarded text does.
fn has_guard(cell: &str) -> bool {
    cell.strip_prefix(APOSTROPHE)
        .is_some_and(|rest| rest.starts_with(SIGNS) || rest.starts_with(APOSTROPHE))
}

/// A sign and digits, feet, inches and fractions: no letter, so no function and no other cell.
fn is_number(cell: &str) -> bool {
    let digits = cell.strip_prefix(['-', '+']).unwrap_or(cell);
    let is_part = |letter: char| {
        letter.is_ascii_digit() || matches!(letter, '.' | ' ' | '/' | APOSTROPHE | '"')
    };
    digits.starts_with(|letter: char| letter.is_ascii_digit()) && digits.chars().all(is_part)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_text_and_read_back() {
        for (cell, written) in [
            ("=1+1", "'=1+1"),
            ("+cmd|' /C calc'!A0", "'+cmd|' /C calc'!A0"),
            ("-1+cmd|' /C calc'!A0", "'-1+cmd|' /C calc'!A0"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("\t=1", "'\t=1"),
            ("\r=1", "'\r=1"),
            ("-", "'-"),
            ("'=1", "''=1"),
            ("''", "'''"),
            ("-3.5", "-3.5"),
            ("-1'2 1/2\"", "-1'2 1/2\""),
            ("+12", "+12"),
            ("'Twas", "'Twas"),
            ("Wren", "Wren"),
            ("", ""),
        ] {
            assert_eq!(guarded(cell), written);
            assert_eq!(unguarded(written), cell);
        }
    }
}
