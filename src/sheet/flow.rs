//! Text flow: headings, paragraphs, points and tables as items in columns of paper.
//!
//! A column takes what fits into it, whole points and whole rows of tables; the next one goes on, the heading
//! of a broken table again at its top. A heading never stands last in its column.

use super::drawing::{Align, Drawing, Pen, Place};
use super::labels::Rectangle;
use super::text_width;
use super::{Block, Point, Table};
use std::cell::RefCell;
use std::rc::Rc;
use unicode_segmentation::UnicodeSegmentation;

/// Height of a line over that of its words.
const LINE: f64 = 1.3;
/// Baseline of a line under its top, over the height of its words.
const BASE: f64 = 0.95;
/// Height of a heading's words over that of the others.
const HEADING: f64 = 1.2;
/// White between parts, over the height of the words.
const GAP: f64 = 0.45;
/// White before a heading.
const BEFORE_HEADING: f64 = 0.8;
/// White between the columns of a table.
const BETWEEN: f64 = 0.9;
/// White under a row of a table.
const UNDER_ROW: f64 = 0.22;
/// Marks that are wider than this part of the column stand before their text like a word.
const WIDEST_MARK: f64 = 0.3;

/// Pen under the heading of a table, and the one between its rows.
const RULE: Pen = Pen {
    width: 0.25,
    gray: 0.0,
    dash: None,
    rim: false,
};
const ROW_RULE: Pen = Pen {
    width: 0.1,
    gray: 0.6,
    ..RULE
};

/// Text that starts in a column of its own or goes on where the last one ended.
pub(super) struct Chapter {
    /// Its parts.
    pub blocks: Vec<Block>,
    /// The first column that it may stand in.
    pub from: usize,
}

/// Sets chapters into columns (rectangles on the paper, mm) with words of one height: what goes into each
/// column, or `None` where they do not hold it.
pub(super) fn flow(
    chapters: &[Chapter],
    columns: &[Rectangle],
    height: f64,
) -> Option<Vec<Drawing>> {
    let mut set: Vec<Drawing> = columns.iter().map(|_| Drawing::part()).collect();
    let (mut column, mut y) = (0, None);
    for chapter in chapters {
        if column < chapter.from {
            (column, y) = (chapter.from, None);
        }
        let units = units(&chapter.blocks);
        let mut at = 0;
        while at < units.len() {
            let rectangle = columns.get(column)?;
            let top = y.unwrap_or(rectangle[1]);
            let fresh = y.is_none();
            match group(&units, at, rectangle, top, fresh, height) {
                Some((part, bottom, count)) => {
                    set.get_mut(column)?.put(part, [rectangle[0], 0.0]);
                    y = Some(bottom);
                    at += count;
                }
                None => (column, y) = (column + 1, None),
            }
        }
    }
    Some(set)
}

/// What is never broken.
enum Unit<'a> {
    Heading(&'a str),
    Paragraph(&'a str),
    /// A point with all marks of its list.
    Point(&'a Point, &'a [Point]),
    /// A row of a table.
    Row(&'a Table, usize, Measured),
}

/// The widths of a table's columns for the last width and height that were asked: they take a look at every row.
type Measured = Rc<RefCell<Option<([f64; 2], Option<[Vec<f64>; 2]>)>>>;

/// As [`widths`], measured once for each table and column.
fn measured_widths(
    table: &Table,
    measured: &Measured,
    width: f64,
    height: f64,
) -> Option<[Vec<f64>; 2]> {
    let mut held = measured.borrow_mut();
    match held.as_ref() {
        Some((of, widths)) if *of == [width, height] => widths.clone(),
        _ => {
            let widths = widths(table, width, height);
            *held = Some(([width, height], widths.clone()));
            widths
        }
    }
}

fn units(blocks: &[Block]) -> Vec<Unit<'_>> {
    let mut units = Vec::new();
    for block in blocks {
        match block {
            Block::Heading(text) => units.push(Unit::Heading(text)),
            Block::Paragraph(text) => units.push(Unit::Paragraph(text)),
            Block::Points(points) => {
                units.extend(points.iter().map(|point| Unit::Point(point, points)));
            }
            Block::Table(table) => {
                let measured = Measured::default();
                let rows = 0..table.rows.len();
                units.extend(rows.map(|row| Unit::Row(table, row, measured.clone())));
            }
            Block::Blanks(_) => {}
        }
    }
    units
}

/// A table narrower than its column stands in it as often as it goes, its rows from left to right; fewer rows
/// than these are not worth it.
const WORTH_FOLDING: usize = 6;
/// Rows that a table is not parted from at its start.
const ROWS_TOGETHER: usize = 3;
/// White between the folds of a table, over the height of the words.
const BETWEEN_FOLDS: f64 = 2.2;

/// Sets a unit, with those that it must not be parted from, at the top of what is left of a column: the part,
/// its bottom, how many units; `None` where it does not fit.
fn group(
    units: &[Unit],
    at: usize,
    rectangle: &Rectangle,
    top: f64,
    fresh: bool,
    height: f64,
) -> Option<(Drawing, f64, usize)> {
    let mut part = Drawing::part();
    let (mut y, mut count) = (top, 0);
    // How many sets of rows must follow before a break.
    let mut rows = 0;
    loop {
        let unit = units.get(at + count)?;
        let first = fresh && count == 0;
        let width = rectangle[2] - rectangle[0];
        let (bottom, taken) = set_unit(&mut part, unit, width, y, first, height)?;
        y = bottom;
        count += taken;
        let more = match unit {
            Unit::Heading(_) => true,
            // It announces what follows.
            Unit::Paragraph(text) => text.ends_with(':'),
            Unit::Row(_, 0, _) => {
                rows = ROWS_TOGETHER - 1;
                true
            }
            Unit::Row(..) if rows > 1 => {
                rows -= 1;
                true
            }
            // What is left of the table is one more set of rows: it does not stand alone.
            Unit::Row(table, row, _) => row + 2 * taken >= table.rows.len(),
            _ => false,
        };
        let next = units.get(at + count);
        let goes_on = match (unit, next) {
            (Unit::Heading(_) | Unit::Paragraph(_), Some(_)) => true,
            // A table of the same rows; another one starts for itself.
            (_, Some(Unit::Row(_, row, _))) => *row > 0,
            _ => false,
        };
        if !(more && goes_on) {
            break;
        }
    }
    (y <= rectangle[3]).then_some((part, y, count))
}

/// Sets one unit at a height: its bottom, and how many units that were.
fn set_unit(
    part: &mut Drawing,
    unit: &Unit,
    width: f64,
    y: f64,
    first: bool,
    height: f64,
) -> Option<(f64, usize)> {
    let gap = |size: f64| if first { 0.0 } else { size * height };
    let bottom = match unit {
        Unit::Heading(text) => {
            let size = HEADING * height;
            let lines = wrapped(text, width, size, true);
            set_lines(part, &lines, [0.0, y + gap(BEFORE_HEADING)], size, true)
        }
        Unit::Paragraph(text) => {
            let lines = wrapped(text, width, height, false);
            set_lines(part, &lines, [0.0, y + gap(GAP)], height, false)
        }
        Unit::Point(point, list) => set_point(part, point, list, width, y + gap(0.5 * GAP), height),
        Unit::Row(table, row, measured) => {
            let widths = measured_widths(table, measured, width, height)?;
            return set_rows(part, (table, widths), *row, width, y, first, height);
        }
    };
    Some((bottom, 1))
}

/// Sets a point, its text beside the marks of its list.
fn set_point(
    part: &mut Drawing,
    point: &Point,
    list: &[Point],
    width: f64,
    mut y: f64,
    height: f64,
) -> f64 {
    let wide = |point: &Point| text_width(&point.mark, height, true);
    let marks = list
        .iter()
        .map(wide)
        .filter(|wide| *wide <= WIDEST_MARK * width)
        .fold(0.0, f64::max);
    let indent = marks + 0.8 * height;
    if wide(point) <= marks {
        let base = [0.0, y + BASE * height];
        part.words(base, point.mark.clone(), height, Align::Start, true);
    } else {
        let mark = wrapped(&point.mark, width, height, true);
        y = set_lines(part, &mark, [0.0, y], height, true);
    }
    let lines = wrapped(&point.text, width - indent, height, false);
    set_lines(part, &lines, [indent, y], height, false)
}

/// Sets lines from a top left corner down and returns the bottom.
fn set_lines(
    part: &mut Drawing,
    lines: &[String],
    [x, mut y]: Place,
    height: f64,
    bold: bool,
) -> f64 {
    for line in lines {
        let base = [x, y + BASE * height];
        part.words(base, line.clone(), height, Align::Start, bold);
        y += LINE * height;
    }
    y
}

/// Sets rows that stand side by side; at the start of their table or of a column under its heading. Their
/// bottom and their number.
fn set_rows(
    part: &mut Drawing,
    (table, [least, roomy]): (&Table, [Vec<f64>; 2]),
    row: usize,
    width: f64,
    y: f64,
    first: bool,
    height: f64,
) -> Option<(f64, usize)> {
    let whole = |widths: &[f64]| {
        widths.iter().sum::<f64>() + BETWEEN * height * widths.len().saturating_sub(1) as f64
    };
    let between = BETWEEN_FOLDS * height;
    let folds = if table.rows.len() < WORTH_FOLDING {
        1
    } else {
        (((width + between) / (whole(&least) + between)).floor() as usize).max(1)
    };
    let widths = if folds == 1 { roomy } else { least };
    let step = whole(&widths) + between;
    let mut top = y;
    if row == 0 || first {
        top += if first { 0.0 } else { GAP * height };
        let heads: Vec<&str> = table.columns.iter().map(|c| c.heading).collect();
        let mut bottom = top;
        let folds = folds.min(table.rows.len() - row);
        for fold in 0..folds {
            let at = [step * fold as f64, top];
            bottom = set_cells(part, table, &heads, &widths, at, height, true);
        }
        for fold in 0..folds {
            let x = step * fold as f64;
            part.line(vec![[x, bottom], [x + whole(&widths), bottom]], RULE);
        }
        top = bottom + UNDER_ROW * height;
    }
    let rows = table.rows.iter().skip(row).take(folds);
    let (mut bottom, mut count) = (top, 0);
    for cells in rows {
        let cells: Vec<&str> = cells.iter().map(String::as_str).collect();
        let at = [step * count as f64, top];
        bottom = set_cells(part, table, &cells, &widths, at, height, false).max(bottom);
        count += 1;
    }
    for fold in 0..count {
        let x = step * fold as f64;
        part.line(vec![[x, bottom], [x + whole(&widths), bottom]], ROW_RULE);
    }
    Some((bottom + UNDER_ROW * height, count))
}

/// Sets the cells of a row from a top left corner to the right and returns its bottom.
fn set_cells(
    part: &mut Drawing,
    table: &Table,
    cells: &[&str],
    widths: &[f64],
    [mut x, y]: Place,
    height: f64,
    bold: bool,
) -> f64 {
    let mut bottom = y;
    for ((cell, wide), column) in cells.iter().zip(widths).zip(&table.columns) {
        let mut at = y;
        // A hair more than its width, so that what was measured to fit does fit.
        for line in wrapped(cell, wide + HAIR, height, bold) {
            let (x, align) = if column.numbers {
                (x + wide, Align::End)
            } else {
                (x, Align::Start)
            };
            part.words([x, at + BASE * height], line, height, align, bold);
            at += LINE * height;
        }
        bottom = bottom.max(at);
        x += wide + BETWEEN * height;
    }
    bottom + 0.5 * UNDER_ROW * height
}

/// Words in a table that are longer than this may be broken, over the height of the words.
const LONGEST_WORD: f64 = 8.0;

/// Rounding of sums of widths, mm.
const HAIR: f64 = 1e-6;

/// Widths of a table's columns: as wide as their cells want, else words are broken at blanks; and the same with
/// room for their headings, as far as there is. `None` where even the least is too wide.
fn widths(table: &Table, width: f64, height: f64) -> Option<[Vec<f64>; 2]> {
    let longest_word = |text: &str, bold: bool| {
        text.split(' ')
            .map(|word| text_width(word, height, bold))
            .fold(0.0, f64::max)
            .min(LONGEST_WORD * height)
    };
    // Least, wanted by the cells, wanted by the heading too.
    let mut wanted: Vec<[f64; 3]> = Vec::new();
    for (index, column) in table.columns.iter().enumerate() {
        let cells = || table.rows.iter().filter_map(|row| row.get(index));
        let widest = |width: &dyn Fn(&String) -> f64| cells().map(width).fold(0.0, f64::max);
        let full = widest(&|cell| text_width(cell, height, false));
        let least = if column.numbers {
            full
        } else {
            widest(&|cell| longest_word(cell, false))
        };
        let word = longest_word(column.heading, true);
        let head = text_width(column.heading, height, true);
        wanted.push([least.max(word), full.max(word), full.max(head)]);
    }
    let gaps = BETWEEN * height * table.columns.len().saturating_sub(1) as f64;
    let sum = |k: usize| wanted.iter().map(|w| w[k]).sum::<f64>() + gaps;
    if sum(0) > width {
        return None;
    }
    let between = |k: usize| -> Vec<f64> {
        let room = sum(k + 1) - sum(k);
        let part = if sum(k + 1) <= width || room <= 0.0 {
            1.0
        } else {
            ((width - sum(k)) / room).max(0.0)
        };
        wanted
            .iter()
            .map(|w| w[k] + part * (w[k + 1] - w[k]))
            .collect()
    };
    let tight = between(0);
    let roomy = if sum(1) <= width {
        between(1)
    } else {
        tight.clone()
    };
    Some([tight, roomy])
}

/// A text broken at blanks into lines no wider than a width; a longer word is broken where the line ends.
pub(super) fn wrapped(text: &str, width: f64, height: f64, bold: bool) -> Vec<String> {
    let fits = |line: &str| text_width(line, height, bold) <= width;
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let longer = if line.is_empty() {
            word.to_owned()
        } else {
            format!("{line} {word}")
        };
        if fits(&longer) {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        // By what a reader takes for one letter, which may be several to Unicode.
        for letter in word.graphemes(true) {
            let longer = format!("{line}{letter}");
            if !line.is_empty() && !fits(&longer) {
                lines.push(std::mem::replace(&mut line, letter.to_owned()));
            } else {
                line = longer;
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::super::{Column, Item};
    use super::*;

    fn table(rows: usize) -> Block {
        Block::Table(Table {
            columns: vec![Column::words("Strap"), Column::numbers("Cut length")],
            rows: (0..rows)
                .map(|k| vec![format!("S{k}"), "10'4 1/2\"".to_owned()])
                .collect(),
            by_hand: false,
        })
    }

    fn words(part: &Drawing) -> Vec<String> {
        part.items
            .iter()
            .filter_map(|item| match item {
                Item::Text { text, .. } => Some(text.clone()),
                _ => None,
            })
            .collect()
    }

    #[test]
    fn lines_are_no_wider_than_their_column() {
        for (text, lines) in [
            ("", 0),
            ("one", 1),
            ("support posts and straps", 2),
            ("unbreakableunbreakable", 2),
        ] {
            let found = wrapped(text, 26.0, 3.0, false);
            assert_eq!(found.len(), lines, "{found:?}");
            assert!(
                found
                    .iter()
                    .all(|line| text_width(line, 3.0, false) <= 26.0)
            );
            let (joined, all): (String, String) = (found.concat(), text.into());
            assert_eq!(joined.replace(' ', ""), all.replace(' ', ""));
        }
    }

    #[test]
    fn a_broken_table_has_its_heading_in_every_column() {
        let columns = [[0.0, 0.0, 40.0, 27.0], [50.0, 0.0, 90.0, 40.0]];
        let chapter = |rows| {
            [Chapter {
                blocks: vec![Block::Heading("Straps".to_owned()), table(rows)],
                from: 0,
            }]
        };
        let set = flow(&chapter(8), &columns, 2.5).unwrap();
        for part in &set {
            let found = words(part);
            assert!(found.contains(&"Strap".to_owned()), "{found:?}");
            assert!(found.iter().filter(|word| word.starts_with('S')).count() > 2);
        }
        let rows = |part: &Drawing| words(part).iter().filter(|w| w.contains('\'')).count();
        assert_eq!(set.iter().map(rows).sum::<usize>(), 8);
        for (part, column) in set.iter().zip(&columns) {
            let bounds = part.bounds();
            assert!(bounds[0] >= column[0] - 1.0 && bounds[2] <= column[2] + 1.0);
            assert!(bounds[1] >= column[1] && bounds[3] <= column[3] + 1.0);
        }
        assert!(flow(&chapter(60), &columns, 2.5).is_none());
    }

    #[test]
    fn a_heading_is_not_left_behind() {
        let paragraph = |text: &str| Block::Paragraph(text.to_owned());
        let chapters = [Chapter {
            blocks: vec![
                paragraph("one"),
                Block::Heading("two".to_owned()),
                paragraph("three"),
            ],
            from: 0,
        }];
        // Room for a paragraph and a heading, but not for what follows.
        let columns = [[0.0, 0.0, 40.0, 9.0], [50.0, 0.0, 90.0, 40.0]];
        let set = flow(&chapters, &columns, 2.5).unwrap();
        assert_eq!(words(&set[0]), ["one"]);
        assert_eq!(words(&set[1]), ["two", "three"]);
        let late = [Chapter {
            blocks: vec![paragraph("late")],
            from: 1,
        }];
        assert!(flow(&late, &columns, 2.5).unwrap()[0].items.is_empty());
    }
}
