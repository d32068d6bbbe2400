//! A page of the job sheet: paper on its side, margin, head.

use crate::sheet::Paper;
use crate::sheet::drawing::Drawing;
use crate::sheet::labels::Rectangle;
use crate::sheet::page_head::{HEAD, head};

pub(super) use crate::sheet::page_head::MARGIN;

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
        let counted = format!("job sheet, page {number} of {of}");
        head(&mut drawing, boat, &self.shows, &counted);
        drawing
    }
}

/// What is left of a page under its head.
pub(super) fn inside(paper: Paper) -> Rectangle {
    let [height, width] = paper.size_mm();
    [MARGIN, MARGIN + HEAD, width - MARGIN, height - MARGIN]
}
