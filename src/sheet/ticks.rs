//! A row of ticks along a line, each with its name and its length under it.

use super::drawing::{Align, Drawing, Pen};
use super::labels::{Labels, width_of_lines};

/// Height of a row of words over that of the words.
const ROW: f64 = 1.29;
/// Rows of names under each other that are tried.
const ROWS: usize = 5;
/// How far a name may stand aside of its tick, in widths of the name.
const ASIDE: [f64; 7] = [0.0, 0.3, -0.3, 0.5, -0.5, 0.8, -0.8];
/// White between two names, over the height of the words.
const BETWEEN: f64 = 0.4;
/// How far a tick reaches over its line and under it, mm.
const OVER: f64 = 2.0;
const UNDER: f64 = 1.2;

/// A tick: where it stands on the line, mm, what is there, and how far along that is.
pub(super) struct Tick {
    /// Paper x, mm.
    pub x: f64,
    /// What is there.
    pub name: String,
    /// How far along, in words.
    pub length: String,
}

/// Draws ticks on a level line at a height of the paper; where names have no room beside each other, some stand
/// lower.
pub(super) fn ticks(
    drawing: &mut Drawing,
    mut ticks: Vec<Tick>,
    [from, to]: [f64; 2],
    line: f64,
    words: f64,
) {
    ticks.sort_by(|a, b| a.x.total_cmp(&b.x));
    drawing.line(vec![[from, line], [to, line]], Pen::DIMENSION);
    let row = ROW * words;
    let mut labels = Labels::default();
    let named: Vec<(f64, f64, [String; 2])> = ticks
        .into_iter()
        .map(|tick| {
            let lines = [tick.name, tick.length];
            let wide = width_of_lines(&lines, words) + BETWEEN * words;
            (tick.x, wide, lines)
        })
        .collect();
    let crowded = |a: usize, b: Option<usize>| {
        let (Some(a), Some(b)) = (named.get(a), b.and_then(|b| named.get(b))) else {
            return false;
        };
        (b.0 - a.0).abs() < 0.5 * (a.1 + b.1)
    };
    // Two that are close stand back from each other.
    let leans: Vec<f64> = (0..named.len())
        .map(
            |k| match (crowded(k, k.checked_sub(1)), crowded(k, Some(k + 1))) {
                (true, false) => 1.0,
                (false, true) => -1.0,
                _ => 0.0,
            },
        )
        .collect();
    for ((x, wide, lines), lean) in named.into_iter().zip(leans) {
        let level = |k: usize| line + UNDER + 0.3 + 2.0 * row * k as f64;
        let places = (0..ROWS).flat_map(|k| {
            ASIDE.map(|aside| {
                let aside = if lean == 0.0 {
                    aside
                } else {
                    lean * (0.5 - aside)
                };
                let left = x + (aside - 0.5) * wide;
                let end = [x, if k == 0 { line + UNDER } else { level(k) }];
                ([left, level(k)], [[x, line + UNDER], end])
            })
        });
        let Some(([left, top], leader)) = labels.place_led([wide, 2.0 * row], places) else {
            continue;
        };
        drawing.line(vec![[x, line - OVER], leader[1]], Pen::DIMENSION);
        for (index, text) in lines.into_iter().enumerate() {
            let base = [left + 0.5 * wide, top + row * (index as f64 + 0.75)];
            drawing.words(base, text, words, Align::Middle, index == 0);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Item;
    use super::*;

    #[test]
    fn every_tick_has_its_name() {
        // Close ones stand under each other, far ones side by side.
        for (apart, one_row) in [(30.0, true), (4.0, false)] {
            let mut drawing = Drawing::part();
            let all = (0..4)
                .map(|k| Tick {
                    x: apart * f64::from(k),
                    name: format!("P{k}"),
                    length: "12'6 1/4\"".to_owned(),
                })
                .collect();
            ticks(&mut drawing, all, [0.0, 90.0], 10.0, 3.0);
            let levels: Vec<f64> = drawing
                .items
                .iter()
                .filter_map(|item| match item {
                    Item::Text { at, bold: true, .. } => Some(at[1]),
                    _ => None,
                })
                .collect();
            assert_eq!(levels.len(), 4);
            assert_eq!(
                levels.iter().all(|y| *y == levels[0]),
                one_row,
                "{levels:?}"
            );
        }
    }
}
