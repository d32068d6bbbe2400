//! What is read off a section: straight stretches, the flattest film, clearances, footings.

use super::cut::{Clearance, HAIR, Line, Plane, Stretch};
use crate::boat::Zone;
use crate::geom::slice::Cut;
use crate::plan::Plan;

/// A stretch of film is straight where it leaves its chord by no more than this, m: 1 in, what the eye sees on a
/// straightedge of a few feet.
pub const STRAIGHT: f64 = 0.0254;

/// Stretches shorter than this are not told of, m: 9 in. Film bends that much over a cap or a rail.
pub const SHORT: f64 = 0.2286;

/// Film this much outside a cap still lies on it, part of the cap's radius: its nodes are on the cap's rim.
const ON_CAP: f64 = 1.02;

/// The nearly straight stretches of a line: the fewest corners such that it leaves no chord by more than
/// [`STRAIGHT`] (Douglas and Peucker 1973, from memory), without the short ones.
///
/// # Units
/// Meters.
pub fn stretches(line: &[[f64; 2]]) -> Vec<Stretch> {
    let mut corners = Vec::new();
    if line.len() > 1 {
        corners.push(0);
        split(line, 0, line.len() - 1, &mut corners);
    }
    corners
        .windows(2)
        .filter_map(|pair| {
            let &[a, b] = pair else { return None };
            let ends = [*line.get(a)?, *line.get(b)?];
            let [run, rise] = [0, 1].map(|k| ends[1][k] - ends[0][k]);
            (run.hypot(rise) >= SHORT).then_some(Stretch {
                ends,
                slope: rise.abs().atan2(run.abs()),
            })
        })
        .collect()
}

fn split(line: &[[f64; 2]], from: usize, to: usize, corners: &mut Vec<usize>) {
    let (Some(a), Some(b)) = (line.get(from), line.get(to)) else {
        return;
    };
    let chord = [b[0] - a[0], b[1] - a[1]];
    let length = chord[0].hypot(chord[1]).max(f64::MIN_POSITIVE);
    let farthest = (from + 1..to)
        .filter_map(|k| {
            let p = line.get(k)?;
            let off = chord[0] * (p[1] - a[1]) - chord[1] * (p[0] - a[0]);
            Some((k, off.abs() / length))
        })
        .max_by(|a, b| a.1.total_cmp(&b.1));
    match farthest {
        Some((k, off)) if off > STRAIGHT => {
            split(line, from, k, corners);
            split(line, k, to, corners);
        }
        _ => corners.push(to),
    }
}

/// The film's own least slope in a section and where, and the runs of film under the rule; film on caps counts for
/// neither.
pub(super) fn flattest(plan: &Plan, film: &[Cut]) -> (Option<(f64, [f64; 2])>, Vec<Line>) {
    let mut least: Option<(f64, [f64; 2])> = None;
    let mut flat: Vec<Line> = Vec::new();
    for cut in film {
        let mut open = false;
        for (pair, t) in cut.points.windows(2).zip(&cut.triangles) {
            let &[a, b] = pair else { continue };
            let Some(slope) = plan.cover.slopes.get(*t as usize).copied() else {
                continue;
            };
            let middle = [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])];
            if on_cap(plan, *t) {
                open = false;
                continue;
            }
            if least.is_none_or(|(known, _)| slope < known) {
                least = Some((slope, middle));
            }
            if slope >= plan.rules.min_slope {
                open = false;
            } else if let (true, Some(run)) = (open, flat.last_mut()) {
                run.push(b);
            } else {
                flat.push(vec![a, b]);
                open = true;
            }
        }
    }
    (least, flat)
}

/// Whether a triangle of the film lies on a cap.
fn on_cap(plan: &Plan, t: u32) -> bool {
    let radius = 0.5 * plan.rules.cap_diameter * ON_CAP;
    let corners = plan.cover.mesh.triangle(t as usize);
    plan.frame.posts.iter().any(|post| {
        let top = post.top().xy();
        corners.iter().all(|p| (p.xy() - top).norm() <= radius)
    })
}

/// Height of the highest of some lines over a place along the section.
fn highest<'a>(lines: impl Iterator<Item = (&'a Line, bool)>, along: f64) -> Option<f64> {
    let mut found: Option<f64> = None;
    for (line, closed) in lines {
        let back = if closed { line.first() } else { None };
        let round: Vec<&[f64; 2]> = line.iter().chain(back).collect();
        for pair in round.windows(2) {
            let &[a, b] = pair else { continue };
            let (low, high) = (a[0].min(b[0]), a[0].max(b[0]));
            if along < low || along > high {
                continue;
            }
            let z = if high > low {
                a[1] + (b[1] - a[1]) * (along - a[0]) / (b[0] - a[0])
            } else {
                a[1].max(b[1])
            };
            found = Some(found.map_or(z, |known: f64| known.max(z)));
        }
    }
    found
}

/// Where the film comes nearest over each box that is cut. Both run straight between their corners, so that the
/// nearest place is at a corner of one of them.
pub(super) fn clearances(plan: &Plan, things: &[(usize, Line)], film: &[Cut]) -> Vec<Clearance> {
    let mut found: Vec<Clearance> = Vec::new();
    for index in 0..plan.boat.boxes.len() {
        let left_out = plan.hull.things.get(index).is_none_or(|t| t.left_out);
        let outlines: Vec<&Line> = things
            .iter()
            .filter(|(thing, _)| *thing == index)
            .map(|(_, line)| line)
            .collect();
        if left_out || outlines.is_empty() {
            continue;
        }
        let corners = outlines
            .iter()
            .flat_map(|line| line.iter())
            .chain(film.iter().flat_map(|cut| &cut.points));
        let nearest = corners
            .filter_map(|p| {
                let top = highest(outlines.iter().map(|line| (*line, true)), p[0])?;
                let film = highest(film.iter().map(|cut| (&cut.points, false)), p[0])?;
                Some(Clearance {
                    thing: index,
                    along: p[0],
                    top,
                    film,
                })
            })
            .min_by(|a, b| a.gap().total_cmp(&b.gap()));
        found.extend(nearest);
    }
    found
}

/// The sole and other footings, as far as the hull reaches at their height.
pub(super) fn footings(plan: &Plan, plane: Plane, hull: &[Line]) -> Vec<[[f64; 2]; 2]> {
    let mut found: Vec<[[f64; 2]; 2]> = Vec::new();
    let mut add = |[from, to]: [f64; 2], height: f64| {
        let line = [[from, height], [to, height]];
        if to - from > HAIR && !found.contains(&line) {
            found.push(line);
        }
    };
    for span in inside(hull, plan.boat.sole) {
        add(span, plan.boat.sole);
    }
    for footing in &plan.boat.footings {
        let Some([from, to]) = across(&footing.zone, plane) else {
            continue;
        };
        let spans = inside(hull, footing.height);
        if spans.is_empty() {
            // On deck, over the hull: as far as it is said to reach.
            add([from, to], footing.height);
        }
        for [low, high] in spans {
            add([from.max(low), to.min(high)], footing.height);
        }
    }
    found
}

/// How far a zone reaches along a section through it.
fn across(zone: &Zone, plane: Plane) -> Option<[f64; 2]> {
    let half = 0.5 * zone.width;
    match plane {
        Plane::Across(station) => (zone.from <= station && station <= zone.to)
            .then_some([zone.offset - half, zone.offset + half]),
        Plane::Along(offset) => {
            ((offset - zone.offset).abs() <= half).then_some([zone.from, zone.to])
        }
    }
}

/// Stretches inside closed outlines at a height.
fn inside(outlines: &[Line], height: f64) -> Vec<[f64; 2]> {
    let mut spans = Vec::new();
    for line in outlines {
        let mut crossed: Vec<f64> = line
            .iter()
            .zip(line.iter().cycle().skip(1))
            .filter(|(a, b)| (a[1] <= height) != (b[1] <= height))
            .map(|(a, b)| a[0] + (b[0] - a[0]) * (height - a[1]) / (b[1] - a[1]))
            .collect();
        crossed.sort_by(f64::total_cmp);
        spans.extend(crossed.chunks_exact(2).map(|pair| [pair[0], pair[1]]));
    }
    spans
}
