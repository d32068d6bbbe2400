//! The third page with the flat film, and the words that flow from it over the fourth.

use super::page::{Page, inside};
use super::scale::Scale;
use super::{pattern, signs, steps, totals};
use crate::plan::Plan;
use crate::sheet::drawing::Drawing;
use crate::sheet::flow::{Chapter, flow};
use crate::sheet::labels::Rectangle;
use crate::sheet::{Block, CAUTIONS, Paper, Point, film_list, fittings_list, frame_list, verdict};
use crate::units::UnitSystem;

/// Heights of words and parts of the page's width and height for the flat film, as they are tried: from words
/// that read easily beside a large drawing to words that can just be read beside a small one.
const TRIES: [(f64, [f64; 2]); 15] = [
    (2.7, ROOMS[0]),
    (2.5, ROOMS[0]),
    (2.6, ROOMS[1]),
    (2.35, ROOMS[0]),
    (2.4, ROOMS[1]),
    (2.5, ROOMS[2]),
    (2.35, ROOMS[1]),
    (2.35, ROOMS[2]),
    (2.2, ROOMS[1]),
    (2.2, ROOMS[2]),
    (2.1, ROOMS[1]),
    (2.1, ROOMS[2]),
    (2.0, ROOMS[2]),
    (1.9, ROOMS[2]),
    (SMALLEST, ROOMS[2]),
];
/// The least height of words that can be read, mm.
const SMALLEST: f64 = 1.8;
/// Height of words in the drawing, mm.
const IN_DRAWING: f64 = 2.6;
/// Numbers of columns that are tried on the fourth page.
const COLUMNS: [usize; 2] = [3, 2];
/// Parts of the page's width and height that the flat film may take, the most first: it gives way where the
/// words need the room.
const ROOMS: [[f64; 2]; 3] = [[0.66, 0.86], [0.56, 0.62], [0.5, 0.48]];
/// White between columns and parts, mm.
const GAP: f64 = 6.0;
/// Least width of a column on the third page, mm.
const COLUMN: f64 = 76.0;
/// Least height of a column that is worth setting, mm.
const LOWEST: f64 = 24.0;

/// The third and the fourth page.
pub(super) fn pages(plan: &Plan, units: UnitSystem, paper: Paper) -> Vec<Page> {
    let film = film_words(plan, units);
    let frame = frame_words(plan, units);
    for (words, room) in TRIES {
        let Some((flat, scale, rest)) = film_page(plan, units, paper, room) else {
            continue;
        };
        for count in COLUMNS {
            let mut columns = rest.clone();
            columns.extend(split(inside(paper), count));
            // The frame's words start on their own page, or go on where the film's end.
            for from in [rest.len(), 0] {
                let chapters = [
                    Chapter {
                        blocks: film.clone(),
                        from: 0,
                    },
                    Chapter {
                        blocks: frame.clone(),
                        from,
                    },
                ];
                if let Some(set) = flow(&chapters, &columns, words) {
                    return bound(flat, scale, set, rest.len());
                }
            }
        }
    }
    // More than two pages hold: what fits, with a word on where the rest is.
    let (flat, scale, rest) = ROOMS
        .iter()
        .rev()
        .find_map(|room| film_page(plan, units, paper, *room))
        .unwrap_or_else(|| {
            (
                Drawing::part(),
                &Scale::all(units)[0],
                split(inside(paper), 2),
            )
        });
    let mut columns = rest.clone();
    columns.extend(split(inside(paper), 2));
    bound(flat, scale, cut_short(film, frame, &columns), rest.len())
}

/// As many parts as the columns hold, and a last line that says that there are more.
fn cut_short(film: Vec<Block>, frame: Vec<Block>, columns: &[Rectangle]) -> Vec<Drawing> {
    // What every boat has stands first, steps and cautions among it: no list may push that off the paper.
    let mut blocks: Vec<Block> = frame;
    blocks.extend(film);
    while !blocks.is_empty() {
        let mut all = blocks.clone();
        all.push(Block::Paragraph(
            "The paper is full: the rest of the lists stands in the plan's text.".to_owned(),
        ));
        let chapter = [Chapter {
            blocks: all,
            from: 0,
        }];
        if let Some(set) = flow(&chapter, columns, SMALLEST) {
            return set;
        }
        blocks.pop();
    }
    columns.iter().map(|_| Drawing::part()).collect()
}

/// The two pages with their words.
fn bound(flat: Drawing, scale: &Scale, set: Vec<Drawing>, on_first: usize) -> Vec<Page> {
    let mut first = Page::new(format!("Film laid flat, scale {}", scale.name()));
    first.drawing = flat;
    let mut second = Page::new("Lists, order of the work, cautions");
    for (index, part) in set.into_iter().enumerate() {
        let page = if index < on_first {
            &mut first
        } else {
            &mut second
        };
        page.drawing.put(part, [0.0; 2]);
    }
    vec![first, second]
}

fn film_words(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let mut blocks = film_list::film(plan, units);
    blocks.extend(film_list::pleats(plan, units));
    blocks.extend(fittings_list::belly_bands(plan, units));
    blocks.extend(fittings_list::air(plan, units));
    blocks.extend(fittings_list::pads(plan, units));
    blocks.extend(fittings_list::band(plan, units));
    blocks
}

fn frame_words(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let mut blocks = verdict::verdict(plan, units);
    blocks.extend(frame_list::post_list(plan, units));
    blocks.extend(frame_list::strap_list(plan, units));
    blocks.extend(frame_list::collars(plan, units));
    blocks.extend(totals::blocks(plan, units));
    blocks.extend(steps::blocks(plan, units));
    blocks.push(Block::Heading("Cautions".to_owned()));
    let cautions = CAUTIONS.iter().map(|caution| Point {
        mark: "!".to_owned(),
        text: (*caution).to_owned(),
    });
    blocks.push(Block::Points(cautions.collect()));
    blocks
}

/// Columns side by side in a rectangle.
fn split([left, top, right, bottom]: Rectangle, count: usize) -> Vec<Rectangle> {
    let wide = (right - left - GAP * (count - 1) as f64) / count as f64;
    (0..count)
        .map(|k| {
            let x = left + (wide + GAP) * k as f64;
            [x, top, x + wide, bottom]
        })
        .collect()
}

/// The flat film with its signs at the largest scale that goes into a part of the page; the columns that are
/// left for words; `None` where there is no room for it.
fn film_page(
    plan: &Plan,
    units: UnitSystem,
    paper: Paper,
    parts: [f64; 2],
) -> Option<(Drawing, &'static Scale, Vec<Rectangle>)> {
    let [left, top, right, bottom] = inside(paper);
    let room = [parts[0] * (right - left), parts[1] * (bottom - top)];
    let all = Scale::all(units);
    let mut best: Option<(usize, Drawing, &Scale)> = None;
    for scale in all {
        let [length, width] = plan.film.pattern.size;
        if length * scale.paper() > room[0] || width * scale.paper() > room[1] {
            continue;
        }
        let (part, missed) = flat(plan, units, scale, room[0]);
        let bounds = part.bounds();
        let fits = bounds[2] - bounds[0] <= room[0] && bounds[3] - bounds[1] <= room[1];
        if fits && best.as_ref().is_none_or(|(fewest, ..)| missed < *fewest) {
            best = Some((missed, part, scale));
        }
        if fits && missed == 0 {
            break;
        }
    }
    let (_, part, scale) = best?;
    let bounds = part.bounds();
    let [wide, high] = [bounds[2] - bounds[0], bounds[3] - bounds[1]];
    let mut page = Drawing::part();
    page.put(part, [left - bounds[0], top - bounds[1]]);
    let mut columns = Vec::new();
    let under = [left, top + high + GAP, left + wide, bottom];
    let beside = [left + wide + GAP, top, right, bottom];
    let count = |wide: f64| (((wide + GAP) / (COLUMN + GAP)).floor() as usize).max(1);
    if wide >= COLUMN && under[3] - under[1] > LOWEST {
        columns.extend(split(beside, count(beside[2] - beside[0])));
        columns.extend(split(under, count(wide)));
    } else {
        columns.extend(split(beside, count(beside[2] - beside[0])));
    }
    Some((page, scale, columns))
}

/// The flat film over its signs. How many labels found no room.
fn flat(plan: &Plan, units: UnitSystem, scale: &Scale, room: f64) -> (Drawing, usize) {
    let mut part = Drawing::part();
    let missed = pattern::draw(&mut part, plan, units, scale.paper(), IN_DRAWING);
    let bounds = part.bounds();
    let wide = (bounds[2] - bounds[0]).max(LEGEND.min(room - SLACK));
    let top = bounds[3] + 2.0;
    let right = bounds[0] + wide;
    let middle = right - 0.36 * wide;
    let below = [bounds[0], top, middle - GAP, top];
    let columns = ((middle - GAP - bounds[0]) / SIGN).floor().max(1.0) as usize;
    signs::legend(&mut part, signs::FLAT, below, columns, IN_DRAWING);
    let at = [middle, top + 1.0];
    pattern::legend(&mut part, plan, units, at, right - middle, IN_DRAWING);
    (part, missed)
}

/// Width that the legend under the flat film wants, and one sign with its name in it, mm.
const LEGEND: f64 = 150.0;
const SIGN: f64 = 38.0;
/// Room for the pens of its outlines, mm.
const SLACK: f64 = 1.0;
