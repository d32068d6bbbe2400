//! A page of the job sheet: paper on its side, margin, head.

use crate::sheet::Paper;
use crate::sheet::drawing::{Align, Drawing, Pen};
use crate::sheet::labels::Rectangle;
use crate::sheet::text_width;

/// Margin round all that is drawn, mm; printers and clipboards take less.
pub(super) const MARGIN: f64 = 10.5;
/// Height of the head, mm.
const HEAD: f64 = 13.0;
/// Heights of the words in the head, mm.
const NAME: f64 = 5.0;
const WORDS: f64 = 2.8;

/// What stands on every page.
const CHECK: &str = "planning check only; local codes and licensed engineers decide";

/// What a page shows, before its number is known.
pub(super) struct Page {
    /// What it shows, with its scale if it has one.
    pub shows: String,
    /// What is drawn on it.
    pub drawing: Drawing,
}

impl Page {
    /// An empty page.
    pub fn new(shows: impl Into<String>) -> Page {
        Page {
            shows: shows.into(),
            drawing: Drawing::part(),
        }
    }

    /// The page with its head.
    pub fn headed(self, boat: &str, paper: Paper, number: usize, of: usize) -> Drawing {
        let [height, width] = paper.size_mm();
        let mut drawing = Drawing {
            title: format!("Job sheet of {boat}, page {number} of {of}"),
            size: [width, height],
            items: self.drawing.items,
        };
        let (left, right, top) = (MARGIN, width - MARGIN, MARGIN);
        let counted = format!("job sheet, page {number} of {of}");
        let room = right - left - text_width(&counted, WORDS, true) - 8.0;
        let name = fitted(boat, room, NAME);
        drawing.words([left, top + 4.2], name, NAME, Align::Start, true);
        drawing.words([right, top + 4.2], counted, WORDS, Align::End, true);
        let room = right - left - text_width(CHECK, WORDS, false) - 6.0;
        let shows = fitted(&self.shows, room, WORDS);
        drawing.words([left, top + 9.4], shows, WORDS, Align::Start, true);
        drawing.words([right, top + 9.4], CHECK, WORDS, Align::End, false);
        drawing.line(vec![[left, top + 11.2], [right, top + 11.2]], Pen::OUTLINE);
        drawing
    }
}

/// Bold words shortened to a width: names come from the user's file and may be of any length.
fn fitted(words: &str, width: f64, height: f64) -> String {
    if text_width(words, height, true) <= width {
        return words.to_owned();
    }
    let mut short = words.to_owned();
    while !short.is_empty() && text_width(&format!("{short}..."), height, true) > width {
        short.pop();
    }
    format!("{}...", short.trim_end())
}

/// What is left of a page under its head.
pub(super) fn inside(paper: Paper) -> Rectangle {
    let [height, width] = paper.size_mm();
    [MARGIN, MARGIN + HEAD, width - MARGIN, height - MARGIN]
}
