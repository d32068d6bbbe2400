//! The first page: the frame in plan and profile at a named scale, signs, what the job comes to.

use super::page::{Page, inside};
use super::scale::Scale;
use super::{frame_plan, frame_profile, signs};
use crate::plan::Plan;
use crate::sheet::cover_drawing::{View, reach};
use crate::sheet::drawing::Drawing;
use crate::sheet::flow::{Chapter, flow};
use crate::sheet::labels::Rectangle;
use crate::sheet::{Block, Paper, Point, legend, verdict_line, words};
use crate::units::UnitSystem;

/// Heights of words, mm, and rows of strap labels beside the boat that are tried.
const WORDS: [(f64, usize); 4] = [(2.9, 2), (2.5, 2), (2.9, 3), (2.5, 3)];
/// Width of the column beside the drawing, and height of the strip under it, mm.
const COLUMN: f64 = 50.0;
const STRIP: f64 = 36.0;
/// White between drawing and words, mm.
const GAP: f64 = 5.0;
/// Least and most white between plan and profile, mm.
const BETWEEN: [f64; 2] = [2.0, 14.0];
/// Heights of the words of signs and facts, mm.
const FACTS: [f64; 4] = [2.7, 2.5, 2.3, 2.1];
/// Room for the scale bar, mm.
const BAR: f64 = 16.0;

/// The page.
pub(super) fn page(plan: &Plan, units: UnitSystem, paper: Paper) -> Page {
    let inside = inside(paper);
    let mut least: Option<(usize, Page)> = None;
    for scale in Scale::all(units) {
        for beside in [true, false] {
            for (words, rows) in WORDS {
                let how = How { scale, words, rows };
                let Some((missed, drawn)) = laid(plan, units, inside, how, beside) else {
                    continue;
                };
                if missed == 0 {
                    return drawn;
                }
                if least.as_ref().is_none_or(|(fewest, _)| missed < *fewest) {
                    least = Some((missed, drawn));
                }
            }
        }
    }
    least.map_or_else(|| Page::new("frame"), |(_, page)| page)
}

/// How plan and profile are drawn.
#[derive(Clone, Copy)]
struct How {
    scale: &'static Scale,
    words: f64,
    rows: usize,
}

/// The page at a scale, and how many labels found no room; `None` where it does not fit.
fn laid(
    plan: &Plan,
    units: UnitSystem,
    [left, top, right, bottom]: Rectangle,
    how: How,
    beside: bool,
) -> Option<(usize, Page)> {
    let scale = how.scale;
    let [room, facts] = if beside {
        let parted = right - COLUMN;
        [
            [left, top, parted - GAP, bottom],
            [parted, top, right, bottom],
        ]
    } else {
        let parted = bottom - STRIP;
        [
            [left, top, right, parted - GAP],
            [left, parted, right, bottom],
        ]
    };
    let [aft, fore] = reach(plan);
    if (fore - aft) * scale.paper() > room[2] - room[0] {
        return None;
    }
    let (part, _) = views(plan, units, how, BETWEEN[0]);
    let bounds = part.bounds();
    let [wide, high] = [bounds[2] - bounds[0], bounds[3] - bounds[1]];
    if wide > room[2] - room[0] || high > room[3] - room[1] {
        return None;
    }
    let spare = room[3] - room[1] - high;
    let between = (BETWEEN[0] + 0.5 * spare).min(BETWEEN[1]);
    let (part, missed) = views(plan, units, how, between);
    let bounds = part.bounds();
    let mut page = Page::new(format!("Frame: plan and profile, scale {}", scale.name()));
    let spare = 0.5 * (room[2] - room[0] - wide);
    page.drawing
        .put(part, [room[0] + spare - bounds[0], room[1] - bounds[1]]);
    told(&mut page.drawing, plan, units, scale, facts, beside)?;
    Some((missed, page))
}

/// Plan over profile. How many labels found no room.
fn views(plan: &Plan, units: UnitSystem, how: How, between: f64) -> (Drawing, usize) {
    let mut part = Drawing::part();
    let view = View {
        scale: how.scale.paper(),
        from: reach(plan)[0],
        left: 0.0,
        axis: 0.0,
        words: how.words,
    };
    let mut missed = frame_plan::draw(&mut part, plan, units, view, how.rows);
    let under = part.bounds()[3] + between;
    missed += frame_profile::draw(&mut part, plan, units, view, under);
    (part, missed)
}

/// Signs, scale bar and facts; `None` where they do not fit.
fn told(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    scale: &Scale,
    [left, top, right, bottom]: Rectangle,
    beside: bool,
) -> Option<()> {
    let chapter = [Chapter {
        blocks: facts(plan, units),
        from: 0,
    }];
    for height in FACTS {
        let mut part = Drawing::part();
        let columns = if beside {
            let under = signs::legend(
                &mut part,
                signs::FRAME,
                [left, top, right, bottom],
                1,
                height,
            );
            legend::scale_bar(&mut part, units, scale.paper(), [right, under - 4.0]);
            vec![[left, under + BAR - 2.0, right, bottom]]
        } else {
            let middle = left + 0.42 * (right - left);
            let room = [left, top, middle - GAP, bottom];
            let under = signs::legend(&mut part, signs::FRAME, room, 2, height);
            legend::scale_bar(&mut part, units, scale.paper(), [middle - GAP, under - 7.0]);
            let halfway = 0.5 * (middle + right);
            vec![
                [middle, top, halfway - 0.5 * GAP, bottom],
                [halfway + 0.5 * GAP, top, right, bottom],
            ]
        };
        if let Some(set) = flow(&chapter, &columns, height) {
            drawing.put(part, [0.0; 2]);
            for part in set {
                drawing.put(part, [0.0; 2]);
            }
            return Some(());
        }
    }
    None
}

/// What the job comes to, on one glance.
fn facts(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let (film, fittings) = (&plan.film, &plan.fittings);
    let length = |meters: f64| units.format_length(meters);
    let point = |mark: &str, text: String| Point {
        mark: mark.to_owned(),
        text,
    };
    let mut verdict = verdict_line(plan, plan.loads.as_ref());
    if !plan.is_good() {
        verdict.push_str("; see the verdict");
    }
    vec![Block::Points(vec![
        point("Plan", verdict),
        point(
            "Film",
            format!(
                "{} x {} off the {} roll",
                units.format_length_up(film.cut.length),
                units.format_length_up(film.cut.width),
                length(film.cut.roll)
            ),
        ),
        point(
            "Band",
            format!(
                "cut {}, {} below the rub rail, {}",
                units.format_length_up(fittings.band.cut),
                length(plan.rules.band_drop),
                words::count(fittings.drop_straps.len(), "drop strap")
            ),
        ),
        point(
            "Also",
            format!(
                "{}, {}, {}, {}",
                words::count(fittings.belly_bands.len(), "belly band"),
                words::count(film.pleats.len(), "pleat"),
                words::count(fittings.vents.len(), "vent"),
                words::count(fittings.pads.len(), "pad")
            ),
        ),
        point(
            "Measure",
            "stations from the transom forward, heights of caps over the sole".to_owned(),
        ),
    ])]
}
