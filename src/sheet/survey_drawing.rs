//! The survey sheet as one page to print: sketches with the letters of the dimensions, lines, tables.

use super::cautions::draw_cautions;
use super::drawing::{Align, Drawing, Fill, Item, Pen, Place};
use super::survey::{TableToFill, survey, tables};
use super::{Blank, Block};

/// Paper: A4 upright, mm.
const PAPER: [f64; 2] = [210.0, 297.0];
/// Rim left white, mm.
const RIM: f64 = 12.0;
/// Height of the words, mm.
const WORDS: f64 = 2.7;
/// Height of the words of the cautions, mm.
const CAUTION_WORDS: f64 = 1.9;
/// Height of a line to write on, mm.
const LINE: f64 = 5.0;
/// Longest question as a part of the line; the rest is for the answer.
const LONGEST_QUESTION: f64 = 0.7;
/// Length and beam of the sketched boat on paper, mm.
const SKETCH: [f64; 2] = [70.0, 25.0];

/// The blank survey sheet as a page.
pub fn survey_drawing() -> Drawing {
    let sheet = survey();
    let mut drawing = Drawing {
        title: sheet.title.clone(),
        size: PAPER,
        items: Vec::new(),
    };
    drawing.words(
        [RIM, RIM + 3.0],
        sheet.title.clone(),
        5.0,
        Align::Start,
        true,
    );
    drawing.words(
        [PAPER[0] - RIM, RIM + 3.0],
        "stations from the transom, offsets port and starboard, heights from one level",
        WORDS,
        Align::End,
        false,
    );
    side(&mut drawing, [RIM + 14.0, RIM + 38.0]);
    plan(&mut drawing, [RIM + 110.0, RIM + 27.0]);
    // The first two columns of lines, then the tables over the whole width.
    let (mut y, column) = (RIM + 59.0, 0.5 * (PAPER[0] - 2.0 * RIM) + 3.0);
    let mut groups: Vec<(&str, &[Blank])> = Vec::new();
    let mut heading = "";
    for block in &sheet.blocks {
        match block {
            Block::Heading(text) => heading = text,
            Block::Blanks(blanks) => groups.push((heading, blanks)),
            Block::Paragraph(_) | Block::Points(_) | Block::Table(_) => {}
        }
    }
    let last = groups.pop();
    let (mut left, mut right) = (y, y);
    for (index, (heading, blanks)) in groups.into_iter().enumerate() {
        // Stern and boat on the left, side, bow and deck on the right.
        if matches!(index, 0 | 1 | 3) {
            left = lines(&mut drawing, RIM, column - 6.0, left, heading, blanks);
        } else {
            right = lines(
                &mut drawing,
                RIM + column,
                column - 6.0,
                right,
                heading,
                blanks,
            );
        }
    }
    y = left.max(right);
    let (full, middle) = ([RIM, PAPER[0] - RIM], 0.5 * PAPER[0]);
    let [boxes, anchors, footings, no_post] = tables();
    y = table(&mut drawing, full, y, boxes);
    y = table(&mut drawing, full, y, anchors);
    let beside = table(&mut drawing, [middle + 3.0, full[1]], y, no_post);
    y = table(&mut drawing, [full[0], middle - 3.0], y, footings).max(beside);
    if let Some((heading, blanks)) = last {
        y = lines(&mut drawing, RIM, PAPER[0] - 2.0 * RIM, y, heading, blanks);
    }
    draw_cautions(&mut drawing, full, y - 3.0, CAUTION_WORDS);
    drawing
}

fn lines(
    drawing: &mut Drawing,
    x: f64,
    width: f64,
    mut y: f64,
    heading: &str,
    blanks: &[Blank],
) -> f64 {
    drawing.words([x, y], heading, 3.0, Align::Start, true);
    y += LINE - 1.0;
    for blank in blanks {
        if !blank.mark.is_empty() {
            drawing.words([x, y], blank.mark, 3.0, Align::Start, true);
        }
        // Long questions are cut at the first stop; the text sheet has them whole.
        let what = if super::labels::width(blank.what, WORDS) < LONGEST_QUESTION * width {
            blank.what
        } else {
            blank.what.split([':', ',']).next().unwrap_or(blank.what)
        };
        drawing.words([x + 5.0, y], what, WORDS, Align::Start, false);
        let from = x + 5.0 + super::labels::width(what, WORDS) + 1.0;
        drawing.line(vec![[from, y + 0.6], [x + width, y + 0.6]], Pen::DIMENSION);
        y += LINE;
    }
    y + 2.0
}

fn table(
    drawing: &mut Drawing,
    [left, right]: [f64; 2],
    y: f64,
    (heading, columns, rows): TableToFill,
) -> f64 {
    drawing.words([left, y], heading, 3.0, Align::Start, true);
    let top = y + 1.6;
    let height = 4.8;
    let bottom = top + height * (rows as f64 + 1.0);
    for row in 0..=rows + 1 {
        let y = top + height * row as f64;
        drawing.line(vec![[left, y], [right, y]], Pen::DIMENSION);
    }
    // The first column holds a name and is twice as wide as the others.
    let unit = (right - left) / (columns.len() as f64 + 1.0);
    let mut x = left;
    for (index, name) in columns.iter().enumerate() {
        drawing.line(vec![[x, top], [x, bottom]], Pen::DIMENSION);
        drawing.words([x + 1.0, top + 3.4], *name, 2.3, Align::Start, false);
        x += if index == 0 { 2.0 * unit } else { unit };
    }
    drawing.line(vec![[right, top], [right, bottom]], Pen::DIMENSION);
    bottom + 4.5
}

/// A point of the sketch: parts of the length from the transom and of the beam from the middle, on a paper
/// whose y goes down.
fn at([x, y]: Place, station: f64, value: f64) -> Place {
    [x + SKETCH[0] * station, y - SKETCH[1] * value]
}

fn letter(drawing: &mut Drawing, [x, y]: Place, mark: &str) {
    drawing.items.push(Item::Disc {
        center: [x, y],
        radius: 2.3,
        fill: Fill::Paper,
        pen: Pen::THING,
    });
    drawing.words([x, y + 1.1], mark, 3.2, Align::Middle, true);
}

/// A dimension line between two places with its letter at a part of the way.
fn dimension(drawing: &mut Drawing, from: Place, to: Place, part: f64, mark: &str) {
    drawing.line(vec![from, to], Pen::DIMENSION);
    let tick = if from[0] == to[0] {
        [1.2, 0.0]
    } else {
        [0.0, 1.2]
    };
    for [x, y] in [from, to] {
        drawing.line(
            vec![[x - tick[0], y - tick[1]], [x + tick[0], y + tick[1]]],
            Pen::DIMENSION,
        );
    }
    let on = |k: usize| from[k] + part * (to[k] - from[k]);
    letter(drawing, [on(0), on(1)], mark);
}

/// The boat from starboard, keel at the origin.
fn side(drawing: &mut Drawing, origin: Place) {
    let p = |station: f64, value: f64| at(origin, station, value);
    let ground = -0.28;
    drawing.line(vec![p(-0.12, ground), p(1.1, ground)], Pen::OUTLINE);
    let hull = vec![
        p(0.0, 0.05),
        p(0.02, 0.52),
        p(0.3, 0.53),
        p(0.55, 0.56),
        p(0.8, 0.62),
        p(1.0, 0.72),
        p(0.97, 0.5),
        p(0.9, 0.25),
        p(0.78, 0.08),
        p(0.6, 0.0),
        p(0.3, 0.0),
    ];
    drawing.outline(hull, Some(Fill::Gray(0.93)), Pen::OUTLINE);
    drawing.outline(
        vec![p(0.5, 0.55), p(0.53, 0.88), p(0.6, 0.88), p(0.68, 0.58)],
        Some(Fill::Paper),
        Pen::THING,
    );
    let rail = [
        (0.01, 0.46),
        (0.3, 0.47),
        (0.55, 0.5),
        (0.8, 0.56),
        (0.985, 0.65),
    ];
    drawing.line(rail.map(|(x, z)| p(x, z)).to_vec(), Pen::THING);
    drawing.line(vec![p(0.03, 0.2), p(0.8, 0.2)], Pen::LEVEL);
    dimension(drawing, p(-0.05, ground), p(-0.05, 0.0), 0.5, "A");
    drawing.line(vec![p(-0.07, 0.0), p(0.3, 0.0)], Pen::DIMENSION);
    dimension(drawing, p(-0.13, 0.0), p(-0.13, 0.52), 0.5, "B");
    drawing.line(vec![p(-0.15, 0.52), p(0.02, 0.52)], Pen::DIMENSION);
    dimension(drawing, p(0.3, 0.0), p(0.3, 0.53), 0.72, "G");
    dimension(drawing, p(0.2, 0.0), p(0.2, 0.2), 0.5, "L");
    dimension(drawing, p(0.42, 0.47), p(0.42, 0.54), 3.2, "H");
    dimension(drawing, p(1.12, 0.0), p(1.12, 0.72), 0.5, "I");
    drawing.line(vec![p(1.0, 0.72), p(1.14, 0.72)], Pen::DIMENSION);
    drawing.line(vec![p(0.6, 0.0), p(1.14, 0.0)], Pen::DIMENSION);
    dimension(drawing, p(1.04, 0.0), p(1.04, 0.4), 0.5, "J");
    drawing.line(vec![p(0.945, 0.4), p(1.06, 0.4)], Pen::DIMENSION);
    drawing.line(vec![p(1.0, 0.72), p(1.0, 0.95)], Pen::DIMENSION);
    drawing.line(vec![p(0.97, 0.5), p(1.028, 0.95)], Pen::DIMENSION);
    letter(drawing, p(1.055, 0.93), "K");
    dimension(drawing, p(0.0, -0.5), p(1.0, -0.5), 0.5, "E");
}

/// The boat from above, the middle of its transom at the origin.
fn plan(drawing: &mut Drawing, origin: Place) {
    let p = |station: f64, value: f64| at(origin, station, value);
    let half = [
        (0.0, 0.42),
        (0.25, 0.48),
        (0.45, 0.5),
        (0.65, 0.46),
        (0.82, 0.32),
        (0.93, 0.16),
        (1.0, 0.0),
    ];
    let port = half.iter().map(|(x, y)| p(*x, *y));
    let starboard = half.iter().rev().map(|(x, y)| p(*x, -y));
    drawing.outline(
        port.chain(starboard).collect(),
        Some(Fill::Gray(0.93)),
        Pen::OUTLINE,
    );
    drawing.line(vec![p(-0.03, 0.0), p(1.05, 0.0)], Pen::LEVEL);
    drawing.outline(
        vec![p(0.5, 0.36), p(0.64, 0.32), p(0.64, -0.32), p(0.5, -0.36)],
        Some(Fill::Paper),
        Pen::THING,
    );
    dimension(drawing, p(0.45, -0.5), p(0.45, 0.5), 0.25, "F");
    dimension(drawing, p(-0.06, -0.42), p(-0.06, 0.42), 0.5, "D");
    drawing.line(vec![p(-0.08, 0.42), p(0.0, 0.42)], Pen::DIMENSION);
    drawing.line(vec![p(-0.08, -0.42), p(0.0, -0.42)], Pen::DIMENSION);
    drawing.words(p(1.03, 0.1), "bow", WORDS, Align::Start, false);
    drawing.words(p(0.2, 0.56), "port", WORDS, Align::Middle, false);
    drawing.words(p(0.2, -0.63), "starboard", WORDS, Align::Middle, false);
    deadrise(drawing, p(0.85, -0.95));
}

/// The transom seen from astern with its deadrise.
fn deadrise(drawing: &mut Drawing, [x, y]: Place) {
    drawing.outline(
        vec![
            [x, y],
            [x + 8.0, y - 3.0],
            [x + 9.0, y - 10.0],
            [x - 9.0, y - 10.0],
            [x - 8.0, y - 3.0],
        ],
        Some(Fill::Gray(0.93)),
        Pen::OUTLINE,
    );
    drawing.line(vec![[x, y], [x + 12.0, y]], Pen::DIMENSION);
    letter(drawing, [x + 13.5, y - 2.6], "C");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_holds_everything() {
        let drawing = survey_drawing();
        for item in &drawing.items {
            let places: Vec<Place> = match item {
                Item::Line { points, .. } => points.clone(),
                Item::Disc { center, .. } => vec![*center],
                Item::Text { at, .. } => vec![*at],
                Item::Area { .. } => continue,
            };
            for [x, y] in places {
                assert!((4.0..=PAPER[0] - 4.0).contains(&x), "{item:?}");
                assert!((4.0..=PAPER[1] - 4.0).contains(&y), "{item:?}");
            }
        }
    }
}
