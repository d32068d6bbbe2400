//! Letters that no typeface of a page has: they stand on it as boxes, and are told.

use super::paint::printable;
use crate::sheet::{Drawing, Item, missing_letters};
use std::collections::BTreeSet;
use std::fmt;

/// Files to be written, and what of their words could not be set.
#[derive(Debug, Clone, PartialEq)]
pub struct FileSet {
    /// Names and bytes.
    pub files: Vec<(String, Vec<u8>)>,
    /// Words with letters that stand as boxes in one of them.
    pub missing: Vec<Missing>,
}

/// A line of words with letters that no typeface of the page has.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Missing {
    /// The file.
    pub file: String,
    /// The line.
    pub words: String,
    /// The letters.
    pub letters: BTreeSet<char>,
}

impl fmt::Display for Missing {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let letters: Vec<String> = self.letters.iter().map(|letter| told(*letter)).collect();
        write!(
            out,
            "{}: '{}' has letters that no typeface of the page has, they stand there as boxes: {}",
            self.file,
            self.words,
            letters.join(", ")
        )
    }
}

fn told(letter: char) -> String {
    format!("{letter} (U+{:04X})", u32::from(letter))
}

/// The lines of a PDF's pages that cannot be set whole, each once.
#[must_use]
pub fn missing_in(file: &str, pages: &[Drawing]) -> Vec<Missing> {
    let items = pages.iter().flat_map(|page| &page.items);
    let found: BTreeSet<Missing> = items
        .filter_map(|item| {
            let Item::Text { text, .. } = item else {
                return None;
            };
            let words: String = text.chars().map(printable).collect();
            let letters = missing_letters(&words);
            (!letters.is_empty()).then(|| Missing {
                file: file.to_owned(),
                words,
                letters,
            })
        })
        .collect();
    found.into_iter().collect()
}
