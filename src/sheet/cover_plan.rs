//! The view of a cover from above: bow to the right, port up.

use super::bands;
use super::cover_drawing::View;
use super::drawing::{Align, Drawing, Fill, Item, Pen, Place, SMALL};
use super::labels::{Labels, width, width_of_lines};
use super::{legend, pads};
use crate::boat::Hand;
use crate::frame::StrapKind;
use crate::plan::Plan;
use crate::units::UnitSystem;

/// Room for two rows of strap labels beside the boat, mm.
const BESIDE: f64 = 18.0;
/// Height of a row of words, mm.
const ROW: f64 = 4.0;
/// Room for the stations under the plan, mm.
const STATIONS: f64 = 16.0;
/// Smallest radius of a cap on paper, mm.
const LEAST_CAP: f64 = 1.5;
/// A strap that ends farther from the edge than this ends at another post, m.
const AT_EDGE: f64 = 0.05;
/// How far a strap's label may stand aside of the strap's end, in widths of the label.
const ASIDE: [f64; 15] = [
    0.0, 0.25, -0.25, 0.5, -0.5, 0.75, -0.75, 1.0, -1.0, 1.3, -1.3, 1.6, -1.6, 2.0, -2.0,
];
/// Where the edge's reach is looked for beyond its ends: this far inside them, m.
const INSIDE: f64 = 0.01;
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
    );
    ridge_labels(drawing, plan, units, view, &mut labels);
    posts(drawing, plan, view, &mut labels);
    for hand in Hand::BOTH {
        strap_labels(drawing, plan, units, view, hand, &mut labels);
    }
    marks(drawing, plan, units, view, &mut labels);
    let bottom = view.axis + breadth * view.scale + BESIDE;
    stations(drawing, plan, units, view, bottom);
    bottom + STATIONS
}

fn film(drawing: &mut Drawing, plan: &Plan, view: View, labels: &mut Labels) {
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
fn boat(drawing: &mut Drawing, plan: &Plan, view: View) {
    for thing in &plan.hull.things {
        for line in thing.fold_lines() {
            drawing.line(line.iter().map(|p| view.at(p.x, p.y)).collect(), Pen::THING);
        }
    }
}

fn straps(drawing: &mut Drawing, plan: &Plan, view: View, labels: &mut Labels) {
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
    }
}

fn posts(drawing: &mut Drawing, plan: &Plan, view: View, labels: &mut Labels) {
    let radius = (0.5 * plan.rules.cap_diameter * view.scale).max(LEAST_CAP);
    for post in &plan.frame.posts {
        let [x, y] = view.at(post.station, post.offset);
        drawing.items.push(Item::Disc {
            centre: [x, y],
            radius,
            fill: Fill::Paper,
            pen: Pen::OUTLINE,
        });
        labels.take([x - radius, y - radius, x + radius, y + radius]);
    }
    for post in &plan.frame.posts {
        let [x, y] = view.at(post.station, post.offset);
        let size = [width(&post.id, 3.6), 3.6];
        let near = radius + 0.8;
        let places = [
            [x + near, y - near - size[1]],
            [x + near, y + near],
            [x - near - size[0], y - near - size[1]],
            [x - near - size[0], y + near],
        ];
        if let Some([x, y]) = labels.place(size, places) {
            let middle = [x + 0.5 * size[0], y + size[1] - 0.8];
            drawing.words(middle, post.id.clone(), 3.6, Align::Middle, true);
        }
    }
}

/// Pads, collars, ponds and the areas of holding patches.
fn marks(drawing: &mut Drawing, plan: &Plan, units: UnitSystem, view: View, labels: &mut Labels) {
    for pond in &plan.cover.ponds {
        let [x, y] = view.at(pond.deepest.x, pond.deepest.y);
        drawing.items.push(Item::Disc {
            centre: [x, y],
            radius: ((pond.plan_area / std::f64::consts::PI).sqrt() * view.scale).max(LEAST_CAP),
            fill: Fill::Cross,
            pen: Pen::OUTLINE,
        });
        note(
            drawing,
            labels,
            [x, y],
            format!("pond {}", units.format_length(pond.depth)),
        );
    }
    for pad in pads(plan) {
        let at = view.at(pad.at.x, pad.at.y);
        legend::pad(drawing, at);
        note(
            drawing,
            labels,
            at,
            format!("pad {}", units.format_force(pad.force)),
        );
    }
    for piercing in &plan.boat.piercings {
        let [x, y] = view.at(piercing.station, piercing.offset);
        let radius = (0.5 * piercing.diameter * view.scale).max(LEAST_CAP);
        drawing.items.push(Item::Disc {
            centre: [x, y],
            radius,
            fill: Fill::Grey(0.6),
            pen: Pen::OUTLINE,
        });
        note(
            drawing,
            labels,
            [x, y],
            format!("collar: {}", piercing.name),
        );
    }
    for patch in &plan.cover.patches {
        if patch.area > NAMED * plan.rules.holding_patch {
            let at = view.at(patch.centroid.x, patch.centroid.y);
            note(drawing, labels, at, units.format_area(patch.area));
        }
    }
}

/// A word beside a place: near it, if need be over a line, before farther off.
fn note(drawing: &mut Drawing, labels: &mut Labels, [x, y]: Place, text: String) {
    let size = [width(&text, SMALL), SMALL];
    let around = |away: f64| {
        let (left, right) = (x - away - 0.8 - size[0], x + away + 0.8);
        let (above, below) = (y - away - size[1], y + away);
        [
            [right, above],
            [right, below],
            [left, above],
            [left, below],
            [right, y - 0.5 * size[1]],
            [left, y - 0.5 * size[1]],
            [x - 0.5 * size[0], above],
            [x - 0.5 * size[0], below],
        ]
    };
    let found = [[1.2, 3.0], [5.0, 7.0], [10.0, 14.0]]
        .into_iter()
        .find_map(|ring| labels.place(size, ring.into_iter().flat_map(around)));
    if let Some([x, y]) = found {
        drawing.text([x + 0.5 * size[0], y + size[1] - 0.7], text, Align::Middle);
    }
}

/// Number, anchor and length to cut of each strap, outside the edge where it ends.
fn strap_labels(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    view: View,
    hand: Hand,
    labels: &mut Labels,
) {
    let sign = hand.sign();
    // How far the edge reaches between two places of the paper, m.
    let [aft, fore] = plan.hull.edge.ends();
    let reach = |left: f64, right: f64| {
        let station =
            |x: f64| (view.from + (x - view.left) / view.scale).clamp(aft + INSIDE, fore - INSIDE);
        (0..=4)
            .map(|k| station(left + (right - left) * f64::from(k) / 4.0))
            .filter_map(|x| plan.hull.edge.at_station(x))
            .map(|[starboard, port]| match hand {
                Hand::Port => port.y,
                Hand::Starboard => -starboard.y,
            })
            .fold(0.0, f64::max)
    };
    let straps = plan.frame.straps.iter().zip(&plan.takeoff.straps);
    for (strap, cut) in straps.filter(|(strap, _)| strap.kind != StrapKind::Ridge) {
        let (Some(start), Some(end)) = (strap.plan.first(), strap.plan.last()) else {
            continue;
        };
        if (end.y - start.y) * sign <= 0.0 {
            continue;
        }
        let rim = plan.hull.edge.at(plan.hull.edge.nearest(*end));
        if (rim.xy() - end).norm() > AT_EDGE {
            // From cap to cap: named beside its middle.
            let middle = start + 0.5 * (end - start);
            let text = format!("{} cut {}", strap.id, units.format_length(cut.cut));
            note(drawing, labels, view.at(middle.x, middle.y), text);
            continue;
        }
        let anchor = strap.to.split(',').next().unwrap_or(&strap.to);
        let lines = [
            format!("{} {anchor}", strap.id),
            format!("cut {}", units.format_length(cut.cut)),
        ];
        let wide = width_of_lines(&lines, SMALL);
        let size = [wide, 2.0 * ROW];
        let foot = view.at(end.x, end.y);
        let places = [2.5, 2.5 + 2.0 * ROW].into_iter().flat_map(|away| {
            ASIDE.map(|aside| {
                let left = foot[0] + (aside - 0.5) * wide;
                let edge = reach(left, left + wide) * view.scale + away;
                let top = view.axis - sign * edge - if sign > 0.0 { size[1] } else { 0.0 };
                [left, top]
            })
        });
        let Some([left, top]) = labels.place(size, places) else {
            continue;
        };
        let middle = left + 0.5 * wide;
        let near = if sign > 0.0 { top + size[1] } else { top };
        drawing.line(
            vec![foot, [foot[0].clamp(left, left + wide), near]],
            Pen::DIMENSION,
        );
        for (row, line) in lines.into_iter().enumerate() {
            let baseline = top + ROW * (row as f64 + 1.0) - 1.0;
            drawing.words([middle, baseline], line, SMALL, Align::Middle, row == 0);
        }
    }
}

fn ridge_labels(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    view: View,
    labels: &mut Labels,
) {
    let straps = plan.frame.straps.iter().zip(&plan.takeoff.straps);
    for (strap, cut) in straps.filter(|(strap, _)| strap.kind == StrapKind::Ridge) {
        if let Some(end) = strap.plan.last() {
            let [_, y] = view.at(end.x, end.y);
            // Beside the foremost point, so that it stays clear of the edge of a blunt bow.
            let [x, _] = view.at(plan.hull.edge.ends()[1], 0.0);
            let x = x + 2.5;
            let name = format!("{} {}", strap.id, strap.to);
            labels.take([x - 2.5, y - ROW, x + width(&name, SMALL), y + ROW]);
            drawing.words([x, y - 0.6], name, SMALL, Align::Start, true);
            drawing.text(
                [x, y + ROW - 0.6],
                format!("cut {}", units.format_length(cut.cut)),
                Align::Start,
            );
        }
    }
}

/// Stations of the posts from the transom, as ticks on one line.
fn stations(drawing: &mut Drawing, plan: &Plan, units: UnitSystem, view: View, top: f64) {
    let mut stops: Vec<(f64, String)> = vec![
        (0.0, "transom".to_owned()),
        (plan.boat.length, "bow".to_owned()),
    ];
    for post in &plan.frame.posts {
        match stops
            .iter_mut()
            .find(|(station, _)| *station == post.station)
        {
            Some((_, name)) => {
                name.push_str(", ");
                name.push_str(&post.id);
            }
            None => stops.push((post.station, post.id.clone())),
        }
    }
    stops.sort_by(|a, b| a.0.total_cmp(&b.0));
    let line = top + 2.0;
    let ends = [view.at(0.0, 0.0)[0], view.at(plan.boat.length, 0.0)[0]];
    drawing.line(ends.map(|x| [x, line]).to_vec(), Pen::DIMENSION);
    let mut labels = Labels::default();
    for (station, name) in stops {
        let [x, _] = view.at(station, 0.0);
        let number = units.format_length(station);
        let lines = [name, number];
        let wide = width_of_lines(&lines, SMALL);
        let [name, number] = lines;
        let size = [wide, 2.0 * ROW];
        let places = [0.0, 0.3, -0.3, 0.5, -0.5, 0.8, -0.8]
            .map(|aside| [x + (aside - 0.5) * wide, line + 1.5]);
        let Some([left, top]) = labels.place(size, places) else {
            continue;
        };
        drawing.line(vec![[x, line - 2.0], [x, line + 1.2]], Pen::DIMENSION);
        let middle = left + 0.5 * wide;
        drawing.words([middle, top + ROW - 1.0], name, SMALL, Align::Middle, true);
        drawing.text([middle, top + 2.0 * ROW - 1.0], number, Align::Middle);
    }
}
