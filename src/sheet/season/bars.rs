//! Rolls and sticks as bars with their pieces in them, over as many pages as they take.

use crate::season::CutList;
use crate::sheet::drawing::{Align, Drawing, Fill, Pen};
use crate::sheet::list_pages::inside;
use crate::sheet::page_head::fitted;
use crate::sheet::{Paper, text_width};
use crate::units::UnitSystem;

/// Height of a bar, of what is written over it, and of the white under it, mm.
const BAR: f64 = 7.2;
const OVER: f64 = 3.9;
const UNDER: f64 = 2.4;

/// Heights of words in and over bars, mm; those in a bar shrink where its piece is short.
const WORDS: f64 = 2.5;
const MIN_WORDS: f64 = 1.5;

/// White between the edge of a piece and its words, mm.
const INSIDE: f64 = 0.7;

/// Pen round a piece.
const PIECE: Pen = Pen {
    width: 0.25,
    gray: 0.0,
    dash: None,
    rim: false,
};

/// What stands over a bar: what it is, and what becomes of its rest.
pub(super) struct Named {
    /// At the left.
    pub name: String,
    /// At the right.
    pub rest: String,
}

/// White between words and the bars under them, mm.
const UNDER_WORDS: f64 = 5.0;

/// Draws the bars of a cut list under what stands on the last page and on pages after it, all to one scale, in columns
/// of so many side by side; `name` says what stands over each.
pub(super) fn bars(
    pages: &mut Vec<Drawing>,
    list: &CutList,
    units: UnitSystem,
    paper: Paper,
    side_by_side: usize,
    name: impl Fn(usize) -> Named,
) {
    /// White between columns, mm.
    const BETWEEN: f64 = 6.0;
    let [left, top, right, bottom] = inside(paper);
    let columns = side_by_side.max(1) as f64;
    let wide = (right - left - BETWEEN * (columns - 1.0)) / columns;
    let longest = list
        .cuts
        .iter()
        .filter_map(|cut| list.sources.get(cut.source))
        .map(|source| source.length)
        .fold(0.0, f64::max);
    let scale = if longest > 0.0 { wide / longest } else { 0.0 };
    let high = OVER + BAR + UNDER;
    let rows_under = |top: f64| ((bottom - top) / high).floor().max(0.0) as usize;
    let mut start = match pages.last() {
        Some(page) => page.bounds()[3] + UNDER_WORDS,
        None => bottom,
    };
    let mut index = 0;
    while index < list.cuts.len() {
        let mut rows = rows_under(start);
        if rows == 0 {
            pages.push(Drawing::part());
            (start, rows) = (top, rows_under(top).max(1));
        }
        let Some(page) = pages.last_mut() else {
            return;
        };
        // The last page's columns are equally long.
        rows = rows.min((list.cuts.len() - index).div_ceil(side_by_side.max(1)));
        let here = (index..list.cuts.len()).take(rows * side_by_side.max(1));
        for (place, cut) in here.enumerate() {
            let at = [
                left + (place / rows) as f64 * (wide + BETWEEN),
                start + (place % rows) as f64 * high,
            ];
            bar(page, list, cut, at, wide, scale, units, &name(cut));
        }
        index += rows * side_by_side.max(1);
        start = bottom;
    }
}

#[allow(
    clippy::too_many_arguments,
    reason = "a bar is its list, its place and its scale"
)]
fn bar(
    page: &mut Drawing,
    list: &CutList,
    index: usize,
    [left, top]: [f64; 2],
    wide: f64,
    scale: f64,
    units: UnitSystem,
    named: &Named,
) {
    let Some(cut) = list.cuts.get(index) else {
        return;
    };
    let whole = list
        .sources
        .get(cut.source)
        .map_or(0.0, |source| source.length);
    let base = top + OVER - 1.0;
    let rest_room = text_width(&named.rest, WORDS, false) + 3.0;
    let name = fitted(&named.name, wide - rest_room, WORDS);
    page.words([left, base], name, WORDS, Align::Start, true);
    page.words(
        [left + wide, base],
        named.rest.clone(),
        WORDS,
        Align::End,
        false,
    );
    let [upper, lower] = [top + OVER, top + OVER + BAR];
    let frame = |from: f64, to: f64| vec![[from, upper], [to, upper], [to, lower], [from, lower]];
    page.outline(
        frame(left, left + scale * whole),
        Some(Fill::Gray(0.88)),
        PIECE,
    );
    let mut x = left;
    for piece in cut
        .pieces
        .iter()
        .filter_map(|piece| list.wanted.get(*piece))
    {
        let to = x + scale * piece.length;
        page.outline(frame(x, to), Some(Fill::Paper), PIECE);
        let room = to - x - 2.0 * INSIDE;
        let lines = [
            (piece.label.as_str(), true),
            (&units.format_length(piece.length), false),
        ];
        for ((words, bold), y) in lines.into_iter().zip([upper + 3.0, upper + 6.0]) {
            let full = text_width(words, WORDS, bold);
            let height = if full > room {
                (WORDS * room / full).max(MIN_WORDS)
            } else {
                WORDS
            };
            if text_width("0...", height, bold) <= room {
                let words = fitted(words, room, height);
                page.words([x + INSIDE, y], words, height, Align::Start, bold);
            }
        }
        x = to;
    }
}
