//! The second page: sections at the posts, and the slopes of the cover from above.

use super::page::{Page, inside};
use super::scale::Scale;
use super::section::{OUTER, section, stops};
use super::{signs, slope_map};
use crate::plan::Plan;
use crate::sheet::cover_drawing::{View, reach};
use crate::sheet::drawing::Drawing;
use crate::sheet::flow::{Chapter, flow};
use crate::sheet::labels::Rectangle;
use crate::sheet::{Block, Paper, Point, legend, words};
use crate::units::UnitSystem;

/// Height of words, mm.
const WORDS: f64 = 2.6;
/// Heights that are tried for the words beside the map, mm.
const FACTS: [f64; 3] = [2.6, 2.4, 2.1];
/// Most of the page's height that the slope map may take.
const MAP_PART: f64 = 0.36;
/// Width that the bar of slopes and the words beside the map need, mm.
const BESIDE: f64 = 98.0;
/// White between parts, mm.
const GAP: f64 = 5.0;
/// Height of the bar of slopes, mm.
const BAR: f64 = 18.0;

/// The page.
pub(super) fn page(plan: &Plan, units: UnitSystem, paper: Paper) -> Page {
    let [left, top, right, bottom] = inside(paper);
    let room = [right - left - BESIDE - GAP, MAP_PART * (bottom - top)];
    let (map, map_scale) = map(plan, units, room);
    let bounds = map.bounds();
    let [wide, high] = [bounds[2] - bounds[0], bounds[3] - bounds[1]];
    // The strip with the map is at least as high as the words beside it want.
    let strip = high.max(STRIP);
    let upper = [left, top, right, bottom - strip - GAP];
    let (sections, scale) = sections(plan, units, upper);
    let mut page = Page::new(format!(
        "Sections at the posts, scale {}; slopes of the cover, scale {}",
        scale.name(),
        map_scale.name()
    ));
    page.drawing.put(sections, [0.0; 2]);
    let map_top = bottom - strip + 0.5 * (strip - high);
    page.drawing
        .put(map, [left - bounds[0], map_top - bounds[1]]);
    let beside = [left + wide + GAP, bottom - strip, right, bottom];
    told(&mut page.drawing, plan, units, beside);
    page
}

/// Least height of the strip with the map, mm.
const STRIP: f64 = 56.0;

/// The slope map at the largest scale that goes into a room.
fn map(plan: &Plan, units: UnitSystem, [wide, high]: [f64; 2]) -> (Drawing, &'static Scale) {
    let all = Scale::all(units);
    let mut last = (Drawing::part(), &all[all.len() - 1]);
    let [aft, fore] = plan.hull.edge.ends();
    for scale in all {
        if (fore - aft) * scale.paper() > wide {
            continue;
        }
        let mut part = Drawing::part();
        let view = View {
            scale: scale.paper(),
            from: reach(plan)[0],
            left: 0.0,
            axis: 0.0,
            words: WORDS,
        };
        let missed = slope_map::draw(&mut part, plan, units, view);
        let bounds = part.bounds();
        let fits = bounds[2] - bounds[0] <= wide && bounds[3] - bounds[1] <= high;
        last = (part, scale);
        if fits && missed == 0 {
            break;
        }
        if fits && scale.paper() < SMALL_SCALE {
            break;
        }
    }
    last
}

/// From this scale on names that find no room are let go, paper mm in a meter.
const SMALL_SCALE: f64 = 10.0;

/// Sections at the largest scale that goes into a rectangle, in rows.
fn sections(plan: &Plan, units: UnitSystem, room: Rectangle) -> (Drawing, &'static Scale) {
    let all = Scale::all(units);
    let skirted = plan.cover.with_skirt();
    let stops = stops(plan);
    let mut last = (Drawing::part(), &all[all.len() - 1]);
    for scale in all {
        let mut missed = 0;
        let parts: Vec<Drawing> = stops
            .iter()
            .map(|stop| {
                let (part, lost) = section(plan, &skirted, units, stop, scale.paper(), WORDS);
                missed += lost;
                part
            })
            .collect();
        let Some(rows) = rows(&parts, room) else {
            continue;
        };
        last = (placed(parts, &rows, room), scale);
        if missed == 0 || scale.paper() < SMALL_SCALE {
            break;
        }
    }
    last
}

/// How many parts stand in each row, or `None` where they do not fit.
fn rows(parts: &[Drawing], [left, top, right, bottom]: Rectangle) -> Option<Vec<usize>> {
    let mut rows = vec![0];
    let (mut x, mut high, mut total) = (0.0, 0.0f64, 0.0);
    for part in parts {
        let bounds = part.bounds();
        let wide = bounds[2] - bounds[0];
        if wide > right - left {
            return None;
        }
        if x > 0.0 && x + GAP + wide > right - left {
            total += high + GAP;
            (x, high) = (0.0, 0.0);
            rows.push(0);
        }
        x += wide + if x > 0.0 { GAP } else { 0.0 };
        high = high.max(bounds[3] - bounds[1]);
        *rows.last_mut()? += 1;
    }
    (total + high <= bottom - top).then_some(rows)
}

/// Parts in rows, spread over the width, standing on one line in each row.
fn placed(parts: Vec<Drawing>, rows: &[usize], [left, top, right, bottom]: Rectangle) -> Drawing {
    let mut all = Drawing::part();
    let mut parts = parts.into_iter();
    let rows: Vec<Vec<Drawing>> = rows
        .iter()
        .map(|count| parts.by_ref().take(*count).collect())
        .collect();
    let high = |row: &Vec<Drawing>| {
        row.iter()
            .map(|part| part.bounds()[3] - part.bounds()[1])
            .fold(0.0, f64::max)
    };
    let spare = bottom - top - rows.iter().map(high).sum::<f64>();
    let between = spare / rows.len() as f64;
    let mut y = top + 0.5 * between;
    for row in rows {
        let floor = y + high(&row);
        let wide: f64 = row
            .iter()
            .map(|part| part.bounds()[2] - part.bounds()[0])
            .sum();
        let gap = (right - left - wide) / row.len() as f64;
        let mut x = left + 0.5 * gap;
        for part in row {
            let bounds = part.bounds();
            all.put(part, [x - bounds[0], floor - bounds[3]]);
            x += bounds[2] - bounds[0] + gap;
        }
        y = floor + between;
    }
    all
}

/// Bar of slopes, signs, and what the map comes to.
fn told(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    [left, top, right, bottom]: Rectangle,
) {
    legend::slopes(drawing, units, plan.rules.min_slope, [left, top - 2.0]);
    let chapter = [Chapter {
        blocks: facts(plan, units),
        from: 0,
    }];
    for height in FACTS {
        let mut part = Drawing::part();
        let under = top + BAR;
        let middle = left + 0.42 * (right - left);
        let below = signs::legend(
            &mut part,
            signs::SECTION,
            [left, under, middle - GAP, bottom],
            1,
            height,
        );
        let column = [middle, under, right, bottom];
        if below <= bottom
            && let Some(set) = flow(&chapter, &[column], height)
        {
            drawing.put(part, [0.0; 2]);
            for part in set {
                drawing.put(part, [0.0; 2]);
            }
            return;
        }
    }
}

fn facts(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let cover = &plan.cover;
    let point = |mark: &str, text: String| Point {
        mark: mark.to_owned(),
        text,
    };
    let over = match cover.patches.first() {
        None => "none".to_owned(),
        Some(largest) => format!(
            "hatched: {}, the largest {} at {}",
            words::count(cover.patches.len(), "place"),
            units.format_area(largest.area),
            words::place(&largest.centroid, units)
        ),
    };
    let ponds = match cover.ponds.first() {
        None => "none".to_owned(),
        Some(largest) => format!(
            "crossed: {}, the largest at {}",
            words::count(cover.ponds.len(), "place"),
            words::place(&largest.deepest, units)
        ),
    };
    vec![Block::Points(vec![
        point("Sections", "seen from astern, port on the left".to_owned()),
        point(
            "Pitch",
            format!(
                "rise to 12, and degrees, athwart over the outer {} of the film",
                units.format_length(OUTER)
            ),
        ),
        point(
            "Map",
            "degrees of the film's own slope; bow right, port up".to_owned(),
        ),
        point("Holding patches", over),
        point("Ponds", ponds),
    ])]
}
