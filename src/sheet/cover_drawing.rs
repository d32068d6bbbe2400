//! The drawing of a cover: plan and profile above each other at one scale, legend, scale bar.

use super::cautions::draw_cautions;
use super::drawing::{Align, Drawing, SMALL};
use super::verdict::allowed_flat;
use super::{cover_plan, cover_profile, legend, text_width, verdict_line, words};
use crate::plan::Plan;
use crate::units::UnitSystem;

/// Width of the paper, mm: an A4 sheet on its side less a printer's rim.
const WIDTH: f64 = 285.0;
/// Rim left white, mm.
pub(super) const RIM: f64 = 8.0;
/// Room left of the boat for the beam's dimension, mm.
const LEFT: f64 = 24.0;
/// Room right of the boat for the ridge strap's label, mm.
const RIGHT: f64 = 40.0;
/// Height of the words of the cautions, mm.
const CAUTION_WORDS: f64 = 2.2;
/// Room for the title, mm.
const TITLE: f64 = 14.0;

/// From boat to paper in one view.
#[derive(Debug, Clone, Copy)]
pub(super) struct View {
    /// Paper millimeters in a meter of boat.
    pub scale: f64,
    /// Station at the left end of the drawing, m.
    pub from: f64,
    /// Paper x of that station, mm.
    pub left: f64,
    /// Paper y of zero offset or height, mm.
    pub axis: f64,
    /// Height of words, mm.
    pub words: f64,
}

/// Height of a row of words over that of the words.
const ROW: f64 = 1.29;

impl View {
    /// A station and an offset or height on the paper.
    pub fn at(&self, station: f64, value: f64) -> [f64; 2] {
        [
            self.left + (station - self.from) * self.scale,
            self.axis - value * self.scale,
        ]
    }

    /// Height of a row of words, mm.
    pub fn row(&self) -> f64 {
        ROW * self.words
    }
}

/// Plan and profile of a cover: film colored by slope, holding patches hatched, straps, posts and their
/// dimensions.
pub fn cover_drawing(plan: &Plan, units: UnitSystem) -> Drawing {
    let mut drawing = Drawing {
        title: format!("Cover of {}", plan.boat.name),
        size: [WIDTH, 0.0],
        items: Vec::new(),
    };
    title(&mut drawing, plan, units);
    let [from, to] = reach(plan);
    let view = View {
        scale: (WIDTH - 2.0 * RIM - LEFT - RIGHT) / (to - from),
        from,
        left: RIM + LEFT,
        axis: 0.0,
        words: SMALL,
    };
    let bottom = cover_plan::draw(&mut drawing, plan, units, view, RIM + TITLE);
    let bottom = cover_profile::draw(&mut drawing, plan, units, view, bottom).bottom;
    let bottom = legend::draw(&mut drawing, plan, units, view.scale, bottom);
    let bottom = draw_cautions(&mut drawing, [RIM, WIDTH - RIM], bottom, CAUTION_WORDS);
    drawing.size[1] = bottom + RIM;
    drawing
}

/// Aft and fore end of all that is drawn, m.
pub(super) fn reach(plan: &Plan) -> [f64; 2] {
    let [mut aft, mut fore] = plan.hull.edge.ends();
    let things = plan.hull.things.iter().map(|thing| &thing.mesh);
    for p in plan
        .hull
        .bodies
        .iter()
        .chain(things)
        .flat_map(|mesh| &mesh.vertices)
    {
        aft = aft.min(p.x);
        fore = fore.max(p.x);
    }
    [aft, fore]
}

/// Between the boat's name and the verdict, mm.
const NAME_GAP: f64 = 5.0;

fn title(drawing: &mut Drawing, plan: &Plan, units: UnitSystem) {
    drawing.words(
        [RIM, RIM + 4.5],
        plan.boat.name.clone(),
        5.4,
        Align::Start,
        true,
    );
    let verdict = verdict_line(plan, plan.loads.as_ref());
    // Beside the boat's name, however long both are.
    let room = WIDTH - 2.0 * RIM - text_width(&plan.boat.name, 5.4, true) - NAME_GAP;
    let size = 4.2 * (room / text_width(&verdict, 4.2, true)).clamp(0.5, 1.0);
    drawing.words([WIDTH - RIM, RIM + 4.5], verdict, size, Align::End, true);
    let cover = &plan.cover;
    drawing.text(
        [RIM, RIM + 9.5],
        format!(
            "{}, {}; film {} down to the band; {}",
            words::count(plan.frame.posts.len(), "support post"),
            words::count(plan.frame.straps.len(), "strap"),
            units.format_area(cover.area),
            allowed_flat(plan, units).map_or_else(
                || format!("least slope {}", units.format_angle(cover.least_slope)),
                |flat| format!("{flat} flat, allowed")
            )
        ),
        Align::Start,
    );
    drawing.words(
        [WIDTH - RIM, RIM + 9.5],
        "planning check only; local codes and licensed engineers decide",
        SMALL,
        Align::End,
        false,
    );
}
