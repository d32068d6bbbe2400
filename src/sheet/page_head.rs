//! The head of a printed page, and the room under it.

use super::drawing::{Align, Drawing, Pen};
use super::text_width;

/// Margin round all that is drawn, mm; printers and clipboards take less.
pub(super) const MARGIN: f64 = 10.5;
/// Height of the head, mm.
pub(super) const HEAD: f64 = 13.0;
/// Heights of the words in the head, mm.
const NAME: f64 = 5.0;
const WORDS: f64 = 2.8;

/// What stands on every page.
const CHECK: &str = "planning check only; local codes and licensed engineers decide";

/// Draws the head over the whole width of a page: what the page is of and which one, what it shows.
pub(super) fn head(drawing: &mut Drawing, name: &str, shows: &str, counted: &str) {
    let (left, right, top) = (MARGIN, drawing.size[0] - MARGIN, MARGIN);
    let room = right - left - text_width(counted, WORDS, true) - 8.0;
    let name = fitted(name, room, NAME);
    drawing.words([left, top + 4.2], name, NAME, Align::Start, true);
    drawing.words([right, top + 4.2], counted, WORDS, Align::End, true);
    let room = right - left - text_width(CHECK, WORDS, false) - 6.0;
    let shows = fitted(shows, room, WORDS);
    drawing.words([left, top + 9.4], shows, WORDS, Align::Start, true);
    drawing.words([right, top + 9.4], CHECK, WORDS, Align::End, false);
    drawing.line(vec![[left, top + 11.2], [right, top + 11.2]], Pen::OUTLINE);
}

/// Bold words shortened to a width: names come from the user's file and may be of any length.
pub(super) fn fitted(words: &str, width: f64, height: f64) -> String {
    if text_width(words, height, true) <= width {
        return words.to_owned();
    }
    let mut short = words.to_owned();
    while !short.is_empty() && text_width(&format!("{short}..."), height, true) > width {
        short.pop();
    }
    format!("{}...", short.trim_end())
}
