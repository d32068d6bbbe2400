//! The view of a cover from above: bow to the right, port up.

use super::cover_drawing::View;
use super::drawing::{Align, Drawing, Fill, Item, Pen, Place};
use super::labels::Labels;
use super::plan_labels::{note, ridge_labels, stations, strap_labels};
use super::text_width;
use super::{bands, legend, words};
use crate::boat::Hand;
use crate::frame::StrapKind;
use crate::plan::Plan;
use crate::units::UnitSystem;

/// Rows of strap labels beside the boat, and the room for them, mm.
const STRAP_ROWS: usize = 2;
const BESIDE: f64 = 18.0;
/// White under the stations, mm.
const UNDER_STATIONS: f64 = 4.0;
/// Room for one row of stations under the plan, mm.
const STATIONS: f64 = 16.0;
/// Smallest radius of a cap on paper, mm.
const MIN_CAP: f64 = 1.5;
/// Height of a post's name over that of other words.
const LARGER: f64 = 1.16;
/// Holding patches under this part of what is tolerated are drawn, but not named.
const NAMED: f64 = 0.15;

/// Draws it from `top` down and returns its bottom.
pub(super) fn draw(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    view: View,
    top: f64,
) -> f64 {
    let breadth = plan
        .hull
        .edge
        .points()
        .iter()
        .map(|p| p.y.abs())
        .fold(0.0, f64::max);
    let view = View {
        axis: top + BESIDE + breadth * view.scale,
        ..view
    };
    let mut labels = Labels::default();
    film(drawing, plan, view, &mut labels);
    boat(drawing, plan, view);
    straps(drawing, plan, view, &mut labels);
    let half = 0.5 * plan.boat.beam;
    let [_, port] = view.at(0.0, half);
    let [_, starboard] = view.at(0.0, -half);
    let x = view.left - 8.0;
    labels.take([x - 6.0, port, x + 2.0, starboard]);
    drawing.upright_dimension(
        x,
        port,
        starboard,
        format!("beam {}", units.format_length(plan.boat.beam)),
        view.words,
    );
    ridge_labels(drawing, plan, units, view, &mut labels);
    posts(drawing, plan, view, &mut labels);
    for hand in Hand::BOTH {
        strap_labels(drawing, plan, units, view, (hand, STRAP_ROWS), &mut labels);
    }
    marks(drawing, plan, units, view, &mut labels);
    let bottom = view.axis + breadth * view.scale + BESIDE;
    let mut row = Drawing::part();
    stations(&mut row, plan, units, view, bottom);
    let under = row.bounds()[3] + UNDER_STATIONS;
    drawing.put(row, [0.0; 2]);
    under.max(bottom + STATIONS)
}

pub(super) fn film(drawing: &mut Drawing, plan: &Plan, view: View, labels: &mut Labels) {
    let mesh = &plan.cover.mesh;
    let least = plan.rules.min_slope;
    let classes = bands::classes(least);
    let on_paper = |triangles: &[u32]| -> Vec<Vec<Place>> {
        bands::outlines(mesh, triangles)
            .iter()
            .map(|outline| {
                outline
                    .iter()
                    .filter_map(|v| mesh.vertices.get(*v as usize))
                    .map(|p| view.at(p.x, p.y))
                    .collect()
            })
            .collect()
    };
    for (class, triangles) in classes
        .iter()
        .zip(bands::sorted(&plan.cover.slopes, &classes))
    {
        if !triangles.is_empty() {
            drawing.items.push(Item::Area {
                loops: on_paper(&triangles),
                fill: Fill::Slope {
                    slope: 0.5 * (class[0] + class[1].min(class[0] + 0.2)),
                    least,
                },
            });
        }
    }
    for patch in &plan.cover.patches {
        drawing.items.push(Item::Area {
            loops: on_paper(&patch.triangles),
            fill: Fill::Hatch,
        });
    }
    let mut edge: Vec<Place> = plan
        .hull
        .edge
        .points()
        .iter()
        .map(|p| view.at(p.x, p.y))
        .collect();
    drawing.outline(edge.clone(), None, Pen::FILM);
    edge.extend(edge.first().copied());
    labels.keep_off(&edge);
}

/// What is under the film, by the lines along which the film may fold over it.
pub(super) fn boat(drawing: &mut Drawing, plan: &Plan, view: View) {
    for thing in &plan.hull.things {
        for line in thing.fold_lines() {
            drawing.line(line.iter().map(|p| view.at(p.x, p.y)).collect(), Pen::THING);
        }
    }
}

pub(super) fn straps(drawing: &mut Drawing, plan: &Plan, view: View, labels: &mut Labels) {
    for (strap, shape) in plan.frame.straps.iter().zip(&plan.cover.straps) {
        let points: Vec<Place> = shape
            .nodes
            .iter()
            .filter_map(|node| plan.cover.mesh.vertices.get(*node as usize))
            .map(|p| view.at(p.x, p.y))
            .collect();
        labels.keep_off(&points);
        let pen = match strap.kind {
            StrapKind::Ridge => Pen::RIDGE,
            StrapKind::Side | StrapKind::Hip => Pen::STRAP,
        };
        drawing.line(points, pen);
        for leg in strap.ends.iter().flat_map(|end| &end.legs) {
            let points: Vec<Place> = leg.iter().map(|p| view.at(p.x, p.y)).collect();
            labels.keep_off(&points);
            drawing.line(points, Pen::STRAP);
        }
    }
}

pub(super) fn posts(drawing: &mut Drawing, plan: &Plan, view: View, labels: &mut Labels) {
    let radius = (0.5 * plan.rules.cap_diameter * view.scale).max(MIN_CAP);
    for post in &plan.frame.posts {
        let [x, y] = view.at(post.station, post.offset);
        drawing.items.push(Item::Disc {
            center: [x, y],
            radius,
            fill: Fill::Paper,
            pen: Pen::OUTLINE,
        });
        labels.take([x - radius, y - radius, x + radius, y + radius]);
    }
    for post in &plan.frame.posts {
        let [x, y] = view.at(post.station, post.offset);
        let height = LARGER * view.words;
        let size = [text_width(&post.id, height, true), height];
        let near = radius + 0.8;
        let places = [
            [x + near, y - near - size[1]],
            [x + near, y + near],
            [x - near - size[0], y - near - size[1]],
            [x - near - size[0], y + near],
        ];
        if let Some([x, y]) = labels.place(size, places) {
            let middle = [x + 0.5 * size[0], y + size[1] - 0.8];
            drawing.words(middle, post.id.clone(), height, Align::Middle, true);
        }
    }
}

/// Pads, collars, ponds and the areas of holding patches.
fn marks(drawing: &mut Drawing, plan: &Plan, units: UnitSystem, view: View, labels: &mut Labels) {
    ponds(drawing, plan, units, view, labels);
    for pad in &plan.fittings.pads {
        let at = view.at(pad.at.x, pad.at.y);
        legend::pad(drawing, at);
        let text = format!("pad {}", units.format_force(pad.force));
        note(drawing, labels, view.words, at, text);
    }
    collars(drawing, plan, view, labels);
    patches(drawing, plan, units, view, labels);
}

/// Hollows that hold water. How many names found no room.
pub(super) fn ponds(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    view: View,
    labels: &mut Labels,
) -> usize {
    let mut missed = 0;
    for pond in &plan.cover.ponds {
        let at = view.at(pond.deepest.x, pond.deepest.y);
        drawing.items.push(Item::Disc {
            center: at,
            radius: ((pond.plan_area / std::f64::consts::PI).sqrt() * view.scale).max(MIN_CAP),
            fill: Fill::Cross,
            pen: Pen::OUTLINE,
        });
        let text = format!("pond {}", units.format_length(pond.depth));
        missed += usize::from(!note(drawing, labels, view.words, at, text));
    }
    missed
}

/// What stands through the film. How many names found no room.
pub(super) fn collars(
    drawing: &mut Drawing,
    plan: &Plan,
    view: View,
    labels: &mut Labels,
) -> usize {
    let mut missed = 0;
    for piercing in &plan.boat.piercings {
        let at = view.at(piercing.station, piercing.offset);
        let radius = (0.5 * piercing.diameter * view.scale).max(MIN_CAP);
        drawing.items.push(Item::Disc {
            center: at,
            radius,
            fill: Fill::Gray(0.6),
            pen: Pen::OUTLINE,
        });
        let text = format!("collar: {}", words::short(&piercing.name));
        missed += usize::from(!note(drawing, labels, view.words, at, text));
    }
    missed
}

/// Areas of the larger holding patches. How many found no room.
pub(super) fn patches(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    view: View,
    labels: &mut Labels,
) -> usize {
    let mut missed = 0;
    for patch in &plan.cover.patches {
        if patch.area > NAMED * plan.rules.holding_patch {
            let at = view.at(patch.centroid.x, patch.centroid.y);
            let text = units.format_area(patch.area);
            missed += usize::from(!note(drawing, labels, view.words, at, text));
        }
    }
    missed
}
