//! Cautions that stand on every paper that reaches a crew.

use super::drawing::{Align, Drawing};
use super::flow::wrapped;
use super::{Sheet, cautions, cautions_heading};

/// What to look out for on the job, and what the plan's loads are worth.
pub const CAUTIONS: &[&str] = &[
    "The heat tool burns gas, and hot film melts and drips: gloves, long sleeves, eyes covered, nothing \
     underneath that may catch fire. Keep an extinguisher at hand.",
    "Fuel vapor: open and ventilate the bilge before any flame, do not wrap over a leak, do not fuel nearby.",
    "Carbon monoxide gathers under the film: run no engine and no heater in there, open it before you go in.",
    "Dry film charges up and sparks: roll it out away from vapor.",
    "Ladders and wet decks: stand them on firm ground, have somebody hold them, keep one hand for yourself.",
    "A boat on stands: never tie a cover to its stands, never lean on them, never shift one.",
    "Knives: cut away from yourself and away from the hull, blade in when you put it down.",
    "Batteries off and shore power unplugged before you start.",
    "Nobody stays under a cover that carries snow or water.",
    "Loads are a planning check only: local building and fire codes, the makers' instructions and \
     licensed engineers decide.",
];

/// The cautions as a page of their own, beside lists that have no room for them.
#[must_use]
pub fn cautions_sheet() -> Sheet {
    Sheet {
        title: "Cautions".to_owned(),
        blocks: vec![cautions_heading(), cautions()],
    }
}

/// Height of a line over that of its words.
const LINE: f64 = 1.3;
/// White between the two columns, over the height of the words.
const BETWEEN: f64 = 2.0;

/// Draws the cautions in two columns between two sides, from `top` down, and returns their bottom.
///
/// # Units
/// Millimeters of paper.
pub(super) fn draw_cautions(
    drawing: &mut Drawing,
    [left, right]: [f64; 2],
    top: f64,
    words: f64,
) -> f64 {
    let base = top + words;
    drawing.words([left, base], "Cautions", words, Align::Start, true);
    let wide = 0.5 * (right - left - BETWEEN * words);
    let indent = 0.9 * words;
    let set: Vec<Vec<String>> = CAUTIONS
        .iter()
        .map(|caution| wrapped(caution, wide - indent, words, false))
        .collect();
    // The left column takes half of all lines, and no less.
    let half = set.iter().map(Vec::len).sum::<usize>().div_ceil(2);
    let start = base + LINE * words;
    let (mut x, mut y, mut bottom, mut taken) = (left, start, start, 0);
    for lines in &set {
        if taken >= half && x == left {
            (x, y) = (left + wide + BETWEEN * words, start);
        }
        drawing.words([x, y], "-", words, Align::Start, false);
        for line in lines {
            drawing.words([x + indent, y], line.clone(), words, Align::Start, false);
            y += LINE * words;
        }
        taken += lines.len();
        bottom = f64::max(bottom, y - (LINE - 0.3) * words);
    }
    bottom
}
