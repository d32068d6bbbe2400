//! The frame from above, with all that is fitted to the film.

use super::signs;
use crate::boat::Hand;
use crate::plan::Plan;
use crate::sheet::cover_drawing::View;
use crate::sheet::drawing::{Align, Drawing, Pen, Place};
use crate::sheet::labels::Labels;
use crate::sheet::plan_labels::{note, ridge_labels, stations, strap_labels};
use crate::sheet::text_width;
use crate::sheet::{cover_plan, legend};
use crate::units::UnitSystem;
use nalgebra::{Point2, Point3};

/// How far a drop strap's sign reaches in over the edge and out of it, mm.
const DROP: [f64; 2] = [0.9, 1.9];
/// Step along the edge by which its direction is found, m.
const STEP: f64 = 0.02;
/// White between the drawing and the row of stations, mm.
const GAP: f64 = 3.0;

/// Draws it with the boat's centerline at the view's axis, the names of straps in some rows beside it. How many
/// labels found no room.
pub(super) fn draw(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    view: View,
    rows: usize,
) -> usize {
    let mut labels = Labels::default();
    let edge: Vec<Place> = plan
        .hull
        .edge
        .points()
        .iter()
        .map(|p| view.at(p.x, p.y))
        .collect();
    drawing.outline(edge.clone(), Some(signs::BOAT), Pen::FILM);
    labels.keep_off(&edge);
    if let (Some(first), Some(last)) = (edge.first(), edge.last()) {
        labels.keep_off(&[*last, *first]);
    }
    cover_plan::boat(drawing, plan, view);
    band(drawing, plan, view);
    for pleat in &plan.film.pleats {
        let line: Vec<Place> = pleat.line.iter().map(|p| view.at(p.x, p.y)).collect();
        signs::pleat(drawing, &line);
        labels.keep_off(&line);
    }
    cover_plan::straps(drawing, plan, view, &mut labels);
    drop_straps(drawing, plan, view);
    buckle(drawing, plan, view, &mut labels);
    beam(drawing, plan, units, view, &mut labels);
    ridge_labels(drawing, plan, units, view, &mut labels);
    let named = fitted(drawing, plan, view, &mut labels);
    cover_plan::posts(drawing, plan, view, &mut labels);
    let mut missed = 0;
    for hand in Hand::BOTH {
        missed += strap_labels(drawing, plan, units, view, (hand, rows), &mut labels);
    }
    missed += named
        .into_iter()
        .filter(|(at, name)| !note(drawing, &mut labels, view.words, *at, name.clone()))
        .count();
    missed += cover_plan::collars(drawing, plan, view, &mut labels);
    missed += cover_plan::ponds(drawing, plan, units, view, &mut labels);
    drop_names(drawing, plan, view, &mut labels);
    let bottom = drawing.bounds()[3];
    stations(drawing, plan, units, view, bottom + GAP);
    missed
}

fn beam(drawing: &mut Drawing, plan: &Plan, units: UnitSystem, view: View, labels: &mut Labels) {
    let half = 0.5 * plan.boat.beam;
    let [_, port] = view.at(0.0, half);
    let [_, starboard] = view.at(0.0, -half);
    let x = view.left - 2.6 * view.words;
    let text = format!("beam {}", units.format_length(plan.boat.beam));
    let reach = 0.5 * text_width(&text, view.words, false);
    let middle = 0.5 * (port + starboard);
    labels.take([
        x - 2.0 - view.words,
        port.min(middle - reach),
        x + 2.0,
        starboard.max(middle + reach),
    ]);
    drawing.upright_dimension(x, port, starboard, text, view.words);
}

/// The buckle of the band: at the stern, beside the ridge strap.
fn buckle(drawing: &mut Drawing, plan: &Plan, view: View, labels: &mut Labels) {
    let course = &plan.fittings.band.course;
    let aftmost = course.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
    if aftmost.is_finite() {
        let at = view.at(aftmost, -BUCKLE * plan.boat.beam);
        signs::buckle(drawing, at);
        labels.take(around(at, 1.4));
    }
}

/// How far to starboard the buckle of the band is drawn, over the beam.
const BUCKLE: f64 = 0.12;

/// The band, and the belly bands with their slits.
fn band(drawing: &mut Drawing, plan: &Plan, view: View) {
    let fittings = &plan.fittings;
    let mut course: Vec<Place> = fittings
        .band
        .course
        .iter()
        .map(|p| view.at(p.x, p.y))
        .collect();
    course.extend(course.first().copied());
    drawing.line(course, Pen::BAND);
    for belly in &fittings.belly_bands {
        let ends = belly.slits.map(|p| view.at(p.x, p.y));
        drawing.line(ends.to_vec(), signs::BELLY);
        for end in ends {
            signs::slit(drawing, end);
        }
    }
}

/// The way out of the boat at a place of its edge, in plan.
fn outward(plan: &Plan, at: &Point3<f64>) -> Point2<f64> {
    let edge = &plan.hull.edge;
    let run = edge.nearest(at.xy());
    let along = edge.at(run + STEP).xy() - edge.at(run - STEP).xy();
    let length = along.norm().max(f64::MIN_POSITIVE);
    Point2::new(along.y / length, -along.x / length)
}

fn drop_straps(drawing: &mut Drawing, plan: &Plan, view: View) {
    for strap in &plan.fittings.drop_straps {
        let [x, y] = view.at(strap.top.x, strap.top.y);
        let way = outward(plan, &strap.top);
        let at = |far: f64| [x + far * way.x, y - far * way.y];
        drawing.line(vec![at(-DROP[0]), at(DROP[1])], signs::DROP);
    }
}

/// Names of drop straps beside their signs, where there is room: they are all alike, and the list has them all.
fn drop_names(drawing: &mut Drawing, plan: &Plan, view: View, labels: &mut Labels) {
    let height = 0.8 * view.words;
    for strap in &plan.fittings.drop_straps {
        let [x, y] = view.at(strap.top.x, strap.top.y);
        let way = outward(plan, &strap.top);
        let size = [text_width(&strap.id, height, false), height];
        let far = DROP[1] + 0.8;
        let middle = [
            x + way.x * (far + 0.5 * size[0]),
            y - way.y * (far + 0.5 * size[1]),
        ];
        let corner = [middle[0] - 0.5 * size[0], middle[1] - 0.5 * size[1]];
        if let Some([x, y]) = labels.place_off_lines(size, corner) {
            let base = [x + 0.5 * size[0], y + 0.77 * size[1]];
            drawing.words(base, strap.id.clone(), height, Align::Middle, false);
        }
    }
}

/// Vents, pads and door; their names and those of pleats and belly bands, with the places that they belong to.
fn fitted(
    drawing: &mut Drawing,
    plan: &Plan,
    view: View,
    labels: &mut Labels,
) -> Vec<(Place, String)> {
    let fittings = &plan.fittings;
    let mut named: Vec<(Place, String)> = Vec::new();
    for (index, pad) in fittings.pads.iter().enumerate() {
        let at = view.at(pad.at.x, pad.at.y);
        legend::pad(drawing, at);
        labels.take(around(at, 1.5));
        named.push((at, (index + 1).to_string()));
    }
    for vent in &fittings.vents {
        let at = view.at(vent.at.x, vent.at.y);
        signs::vent(drawing, at);
        labels.take(around(at, signs::VENT));
        named.push((at, vent.id.clone()));
    }
    if let Some(door) = &fittings.door {
        let corners = door_corners(door).map(|p| view.at(p.x, p.y));
        drawing.outline(corners.to_vec(), None, Pen::STRAP);
        let middle = nalgebra::center(&door.foot, &door.head);
        named.push((view.at(middle.x, middle.y), "door".to_owned()));
    }
    for pleat in &plan.film.pleats {
        if let Some(p) = pleat.line.get(pleat.line.len() / 2) {
            named.push((view.at(p.x, p.y), pleat.id.clone()));
        }
    }
    for belly in &fittings.belly_bands {
        let [port, _] = belly.slits;
        named.push((view.at(port.x, 0.6 * port.y), belly.id.clone()));
    }
    named
}

fn around([x, y]: Place, half: f64) -> [f64; 4] {
    [x - half, y - half, x + half, y + half]
}

/// Corners of a door, from its foot aft round.
pub(super) fn door_corners(door: &crate::fittings::Door) -> [Point3<f64>; 4] {
    let along = nalgebra::Vector3::new(0.5 * door.width, 0.0, 0.0);
    [
        door.foot - along,
        door.foot + along,
        door.head + along,
        door.head - along,
    ]
}
