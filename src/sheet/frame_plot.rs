//! The plot of a frame: boat, edge, band, posts and straps where they are in space, from above; a view from
//! starboard beside it.

use super::cover_profile::groups;
use super::film_plot::add_film;
use super::flow::wrapped;
use super::labels::Labels;
use super::plot::{LETTERS, Layer, Piece, Plot, Shape, Spot};
use super::{Align, CAUTIONS, silhouette, text_width};
use crate::frame::{Post, StrapKind};
use crate::plan::Plan;
use crate::units::UnitSystem;
use nalgebra::Point3;

/// White between the views, m.
const BETWEEN: f64 = 1.5;

/// White between the boat and its dimensions, m.
const BESIDE: f64 = 0.5;

/// Height of a row of words over the height of a capital.
const ROW: f64 = 1.8;

/// Height of words over that of their capitals (DejaVu Sans, 2048 over 1493).
const WHOLE: f64 = 1.37;

/// Labels are laid out in these steps in a meter, for whoever keeps white round them.
const GRID: f64 = 100.0;

/// The plot of a plan's frame, in true place and size: station, offset to port, height over the keel. Posts
/// are lines from footing to cap top, straps run as they hang. Words are in the reader's units.
pub fn frame_plot(plan: &Plan, units: UnitSystem) -> Plot {
    let mut plot = Plot {
        title: format!("Frame of {}", plan.boat.name),
        marks: Vec::new(),
    };
    boat(&mut plot, plan);
    edge_and_band(&mut plot, plan);
    frame(&mut plot, plan, units);
    let breadth = breadth(plan);
    stations(&mut plot, plan, units, -breadth - 2.0 * BESIDE);
    profile(&mut plot, plan, units, breadth + BETWEEN);
    // The rows of stations stand between plan and film: one for each post at most.
    let rows = ROOM_FOR_ROW * plan.frame.posts.len() as f64;
    add_film(&mut plot, &plan.film, -breadth - BETWEEN - rows, units);
    cautions(&mut plot);
    plot
}

/// Width of the cautions, m.
const CAUTIONS_WIDE: f64 = 8.0;

/// The cautions under everything else, as words on the layer of labels.
fn cautions(plot: &mut Plot) {
    let (mut left, mut lowest) = (f64::MAX, f64::MAX);
    for mark in &plot.marks {
        let points = match &mark.shape {
            Shape::Line { points, .. } => points.as_slice(),
            Shape::Circle { center, .. } => std::slice::from_ref(center),
            Shape::Words { at, .. } => std::slice::from_ref(at),
        };
        for [x, y, _] in points {
            (left, lowest) = (left.min(*x), lowest.min(*y));
        }
    }
    let mut y = lowest - BETWEEN;
    for caution in std::iter::once(&"Cautions").chain(CAUTIONS) {
        for line in wrapped(caution, CAUTIONS_WIDE, WHOLE * LETTERS, false) {
            plot.words(Layer::Labels, [left, y, 0.0], line, Align::Start);
            y -= ROW * LETTERS;
        }
    }
}

/// Height of a row of stations under the plan, m.
const ROOM_FOR_ROW: f64 = 0.4;

/// Half of what the edge takes athwart, m.
pub(super) fn breadth(plan: &Plan) -> f64 {
    let offsets = plan.hull.edge.points().iter().map(|p| p.y.abs());
    offsets.fold(0.0, f64::max)
}

fn spot(p: &Point3<f64>) -> Spot {
    [p.x, p.y, p.z]
}

fn boat(plot: &mut Plot, plan: &Plan) {
    for body in &plan.hull.bodies {
        let outline = silhouette::along_x(&[body], 1);
        let points = outline.iter().map(|[x, y]| [*x, *y, 0.0]).collect();
        plot.line(Layer::Hull, points, true);
    }
    for hand in [1.0, -1.0] {
        let sheer = plan.hull.sheer.iter().map(|p| [p.x, hand * p.y, p.z]);
        plot.line(Layer::Hull, sheer.collect(), false);
    }
    for thing in &plan.hull.things {
        for line in thing.fold_lines() {
            let top = |p| thing.top_at(p).unwrap_or(0.0);
            let points = line.iter().map(|p| [p.x, p.y, top(*p)]).collect();
            plot.line(Layer::Things, points, false);
        }
    }
}

fn edge_and_band(plot: &mut Plot, plan: &Plan) {
    let edge = plan.hull.edge.points().iter().map(spot).collect();
    plot.line(Layer::Edge, edge, true);
    plot.line(
        Layer::Band,
        plan.cover.band.iter().map(spot).collect(),
        true,
    );
}

fn frame(plot: &mut Plot, plan: &Plan, units: UnitSystem) {
    let mut labels = Labels::default();
    for (post, cut) in plan.frame.posts.iter().zip(&plan.takeoff.posts) {
        let [x, y] = [post.station, post.offset];
        let piece = Piece {
            id: post.id.clone(),
            beyond: 0.0,
        };
        let points = vec![[x, y, post.base], [x, y, post.cap]];
        let line = Shape::Line {
            points,
            closed: false,
        };
        plot.add(Layer::Posts, Some(piece), line);
        let radius = 0.5 * plan.rules.cap_diameter;
        let cap = Shape::Circle {
            center: spot(&post.top()),
            radius,
        };
        plot.add(Layer::Posts, None, cap);
        let text = format!("{} cut {}", post.id, units.format_length(cut.cut));
        label(plot, &mut labels, [x + radius, y + radius], 1.0, text);
    }
    let straps = plan.frame.straps.iter().zip(&plan.takeoff.straps);
    for ((strap, cut), shape) in straps.zip(&plan.cover.straps) {
        let nodes = shape.nodes.iter();
        let points: Vec<Spot> = nodes
            .filter_map(|node| plan.cover.mesh.vertices.get(*node as usize))
            .map(spot)
            .collect();
        let Some(&[x, y, _]) = points.last() else {
            continue;
        };
        let piece = Piece {
            id: strap.id.clone(),
            beyond: strap.lead,
        };
        let line = Shape::Line {
            points,
            closed: false,
        };
        plot.add(Layer::Straps, Some(piece), line);
        let text = format!("{} cut {}", strap.id, units.format_length_up(cut.cut));
        let hand = if y < 0.0 { -1.0 } else { 1.0 };
        let caps = plan.frame.posts.iter().map(|post| post.top());
        let from_cap_to_cap = caps
            .map(|top| (top.x - x).hypot(top.y - y))
            .any(|away| away < plan.rules.cap_diameter);
        match strap.kind {
            StrapKind::Side | StrapKind::Hip if from_cap_to_cap => {
                label(plot, &mut labels, [x + LETTERS, 0.0], 1.0, text);
            }
            StrapKind::Ridge => label(plot, &mut labels, [x + LETTERS, y], 1.0, text),
            StrapKind::Side | StrapKind::Hip => {
                label(plot, &mut labels, [x, y + 2.0 * LETTERS * hand], hand, text);
            }
        }
    }
}

/// Words at a place in the view from above, moved outward row by row until they lie on no others.
fn label(plot: &mut Plot, labels: &mut Labels, [x, y]: [f64; 2], hand: f64, text: String) {
    let size = [text_width(&text, WHOLE * LETTERS, false), ROW * LETTERS];
    let rows = (0..8).map(|row| y + hand * ROW * LETTERS * f64::from(row));
    let places = rows.map(|y| [GRID * x, GRID * y]);
    let found = labels.place(size.map(|side| GRID * side), places);
    let y = found.map_or(y, |[_, y]| y / GRID);
    plot.words(Layer::Labels, [x, y, 0.0], text, Align::Start);
}

/// Names of posts behind each other, and one of them.
fn named<'a>(group: &[(usize, &'a Post)]) -> (String, Option<&'a Post>) {
    let names: Vec<&str> = group.iter().map(|(_, post)| post.id.as_str()).collect();
    (names.join(", "), group.first().map(|(_, post)| *post))
}

/// Stations of the posts and of the bow from the transom, each on a line of its own.
fn stations(plot: &mut Plot, plan: &Plan, units: UnitSystem, top: f64) {
    let mut ends: Vec<(f64, String)> = groups(&plan.frame.posts)
        .iter()
        .map(|group| named(group))
        .filter_map(|(names, post)| Some((post?.station, names)))
        .collect();
    ends.push((plan.boat.length, "bow".to_owned()));
    for (row, (station, name)) in ends.into_iter().enumerate() {
        let y = top - 3.0 * ROW * LETTERS * row as f64;
        let text = format!("{name} {}", units.format_length(station));
        plot.dimension([0.0, y], [station, y], text);
    }
    let x = plan.hull.edge.ends()[0] - BESIDE;
    let half = 0.5 * plan.boat.beam;
    let text = format!("beam {}", units.format_length(plan.boat.beam));
    plot.dimension([x, -half], [x, half], text);
}

/// The view from starboard, flat, its keel at an offset.
fn profile(plot: &mut Plot, plan: &Plan, units: UnitSystem, keel: f64) {
    let flat = |x: f64, z: f64| [x, keel + z, 0.0];
    for body in &plan.hull.bodies {
        let outline = silhouette::along_x(&[body], 2);
        let points = outline.iter().map(|[x, z]| flat(*x, *z)).collect();
        plot.line(Layer::Hull, points, true);
    }
    for thing in &plan.hull.things {
        let outline = silhouette::convex(&thing.mesh.vertices, 2);
        let points = outline.iter().map(|[x, z]| flat(*x, *z)).collect();
        plot.line(Layer::Things, points, true);
    }
    for (strap, shape) in plan.frame.straps.iter().zip(&plan.cover.straps) {
        // Those on the far side would lie on those on the near one.
        if strap.kind != StrapKind::Ridge && strap.plan.last().is_some_and(|end| end.y > 0.0) {
            continue;
        }
        let nodes = shape.nodes.iter();
        let points = nodes
            .filter_map(|node| plan.cover.mesh.vertices.get(*node as usize))
            .map(|p| flat(p.x, p.z))
            .collect();
        plot.line(Layer::Straps, points, false);
    }
    for group in groups(&plan.frame.posts) {
        let (names, post) = named(&group);
        let Some(post) = post else {
            continue;
        };
        let x = post.station;
        let foot_and_cap = vec![flat(x, post.base), flat(x, post.cap)];
        plot.line(Layer::Posts, foot_and_cap, false);
        let text = format!("{names} {}", units.format_length(post.cap - post.base));
        let at = x - 2.0 * LETTERS;
        plot.dimension([at, keel + post.base], [at, keel + post.cap], text);
    }
    let note = format!(
        "{}: drawn in millimeters; posts measured from footing to cap top",
        plot.title
    );
    plot.words(Layer::Labels, flat(0.0, -BESIDE), note, Align::Start);
    let sole = plan.boat.sole;
    let level = vec![flat(0.0, sole), flat(0.8 * plan.boat.length, sole)];
    plot.line(Layer::Dimensions, level, false);
    plot.words(Layer::Labels, flat(-LETTERS, sole), "sole", Align::End);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use crate::plan::plan;

    #[test]
    fn pieces_are_drawn_in_true_size() {
        for name in ["open-runabout-18", "pontoon-24"] {
            let mut boat = preset(name).unwrap().boat().unwrap();
            (boat.rules.cell, boat.rules.search_cell) = (0.15, 0.15);
            let plan = plan(&boat, &boat.rules).unwrap();
            let plot = frame_plot(&plan, UnitSystem::Metric);
            let length = |id: &str| {
                let found = plot.marks.iter().filter_map(|mark| {
                    let piece = mark.piece.as_ref().filter(|piece| piece.id == id)?;
                    let Shape::Line { points, .. } = &mark.shape else {
                        return None;
                    };
                    let pairs = points.windows(2);
                    let drawn = pairs.map(|p| {
                        (0..3)
                            .map(|k| (p[1][k] - p[0][k]).powi(2))
                            .sum::<f64>()
                            .sqrt()
                    });
                    Some(drawn.sum::<f64>() + piece.beyond)
                });
                let found: Vec<f64> = found.collect();
                assert_eq!(found.len(), 1, "{name}: {id}");
                found[0]
            };
            for post in &plan.frame.posts {
                let wanted = post.cap - post.base;
                assert!(
                    (length(&post.id) - wanted).abs() < 1e-9,
                    "{name}: {}",
                    post.id
                );
            }
            for (strap, cut) in plan.frame.straps.iter().zip(&plan.takeoff.straps) {
                assert!(
                    (length(&strap.id) - cut.length).abs() < 1e-9,
                    "{name}: {}",
                    strap.id
                );
            }
            let words = |part: &str| {
                plot.marks.iter().any(
                    |mark| matches!(&mark.shape, Shape::Words { text, .. } if text.contains(part)),
                )
            };
            for part in [
                "P1 cut ",
                "R1 cut ",
                "beam ",
                "bow ",
                "measured from footing to cap top",
            ] {
                assert!(words(part), "{name}: {part}");
            }
        }
    }
}
