//! Where film holds: patches outlined and hatched, ponds filled.

use super::builder::{Builder, Strokes};
use super::film::{LIFT, lifted};
use super::paint::Paint;
use super::{Part, shape};
use crate::geom::mesh::Mesh as Solid;
use crate::geom::surface::{Patch, Pond, edge_neighbors};
use crate::plan::Plan;
use bevy::color::Color;
use nalgebra::Point3;

/// Distance between two lines of the hatch of a holding patch, m.
const HATCH: f64 = 0.15;

/// Colors of lines on the film.
const PATCH: Color = Color::srgb(0.60, 0.05, 0.05);
/// See [`PATCH`].
const TOLERATED: Color = Color::srgb(0.36, 0.30, 0.08);
/// See [`PATCH`].
const SHORE: Color = Color::srgb(0.05, 0.25, 0.50);

/// Patches and ponds; `full` ponds with the water that they can hold.
pub fn draw(builder: &mut Builder, plan: &Plan, full: bool) {
    holding(builder, plan);
    if full {
        ponds(builder, plan);
    }
}

/// Holding patches: those that the verdict counts are outlined and hatched, those that are tolerated outlined.
fn holding(builder: &mut Builder, plan: &Plan) {
    let mesh = &plan.cover.mesh;
    let neighbors = edge_neighbors(mesh);
    for (index, patch) in plan.cover.patches.iter().enumerate() {
        let counts = patch.area > plan.rules.holding_patch;
        let mut rim = Strokes::default();
        for pair in outline(mesh, &neighbors, patch) {
            let color = if counts { PATCH } else { TOLERATED };
            rim.line(pair.map(|p| lifted(&p)), color);
        }
        builder.lines(Part::Patch(index), &rim, if counts { 2.2 } else { 1.0 });
        if counts {
            let mut strokes = Strokes::default();
            for pair in hatch(mesh, patch) {
                strokes.line(pair.map(|p| lifted(&p)), PATCH);
            }
            builder.lines(Part::Patch(index), &strokes, 1.2);
        }
    }
}

/// The rim of a patch, edge by edge.
fn outline(mesh: &Solid, neighbors: &[[Option<u32>; 3]], patch: &Patch) -> Vec<[Point3<f64>; 2]> {
    let inside = |t: &u32| patch.triangles.binary_search(t).is_ok();
    let mut edges = Vec::new();
    for t in &patch.triangles {
        let corners = mesh.triangle(*t as usize);
        let across = neighbors.get(*t as usize).copied().unwrap_or([None; 3]);
        for (k, beyond) in across.iter().enumerate() {
            if !beyond.as_ref().is_some_and(inside) {
                edges.push([corners[k], corners[(k + 1) % 3]]);
            }
        }
    }
    edges
}

/// Lines aslant over a patch: where planes cut its triangles.
fn hatch(mesh: &Solid, patch: &Patch) -> Vec<[Point3<f64>; 2]> {
    let slant = |p: &Point3<f64>| (p.x + p.y) * std::f64::consts::FRAC_1_SQRT_2 / HATCH;
    let mut lines = Vec::new();
    for t in &patch.triangles {
        let corners = mesh.triangle(*t as usize);
        let levels = corners.map(|p| slant(&p));
        let low = levels.iter().copied().fold(f64::INFINITY, f64::min);
        let high = levels.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let mut level = low.ceil();
        while level < high {
            let mut cuts = Vec::new();
            for k in 0..3 {
                let (a, b) = (levels[k] - level, levels[(k + 1) % 3] - level);
                if (a < 0.0) != (b < 0.0) {
                    let (p, q) = (corners[k], corners[(k + 1) % 3]);
                    cuts.push(p + (q - p) * (a / (a - b)));
                }
            }
            if let [a, b] = cuts[..] {
                lines.push([a, b]);
            }
            level += 1.0;
        }
    }
    lines
}

/// Water stands in a pond up to its brim.
fn ponds(builder: &mut Builder, plan: &Plan) {
    for (index, pond) in plan.cover.ponds.iter().enumerate() {
        let mesh = &plan.cover.mesh;
        water(builder, Part::Pond(index), mesh, pond, pond.level);
    }
}

/// Water in a pond up to a level, m.
pub fn water(builder: &mut Builder, part: Part, mesh: &Solid, pond: &Pond, level: f64) {
    let (water, shore) = pond_surface(mesh, pond, level);
    builder.mesh(part, shape::sheet(&water, None), Paint::Pond);
    let mut strokes = Strokes::default();
    for pair in shore {
        strokes.line(pair.map(|p| lifted(&p)), SHORE);
    }
    builder.lines(part, &strokes, 2.0);
}

/// The water's surface, triangle by triangle cut at its level, and its shore.
fn pond_surface(mesh: &Solid, pond: &Pond, level: f64) -> (Solid, Vec<[Point3<f64>; 2]>) {
    let mut water = Solid::default();
    let mut shore = Vec::new();
    for (t, nodes) in mesh.triangles.iter().enumerate() {
        if !nodes
            .iter()
            .any(|node| pond.vertices.binary_search(node).is_ok())
        {
            continue;
        }
        let corners = mesh.triangle(t);
        let mut wet: Vec<Point3<f64>> = Vec::new();
        let mut cuts: Vec<Point3<f64>> = Vec::new();
        for k in 0..3 {
            let (p, q) = (corners[k], corners[(k + 1) % 3]);
            let (a, b) = (p.z - level, q.z - level);
            if a <= 0.0 {
                wet.push(p);
            }
            if a * b < 0.0 {
                let cut = p + (q - p) * (a / (a - b));
                wet.push(cut);
                cuts.push(cut);
            }
        }
        let start = u32::try_from(water.vertices.len()).unwrap_or(u32::MAX);
        let count = u32::try_from(wet.len()).unwrap_or(0);
        water
            .vertices
            .extend(wet.iter().map(|p| Point3::new(p.x, p.y, level + LIFT)));
        water
            .triangles
            .extend((2..count).map(|k| [start, start + k - 1, start + k]));
        if let [a, b] = cuts[..] {
            shore.push([a, b]);
        }
    }
    (water, shore)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use crate::plan::plan;

    /// The runabout under a frame that holds snow: two posts, both low.
    fn low() -> Plan {
        let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
        boat.wishes.only_pinned = true;
        boat.wishes.posts = [(0.9, 1.0), (3.0, 1.35)]
            .map(|(station, cap)| crate::boat::PinnedPost {
                station,
                cap: Some(cap),
                ..crate::boat::PinnedPost::default()
            })
            .to_vec();
        let rules = boat.rules.clone();
        plan(&boat, &rules).unwrap()
    }

    #[test]
    fn hatch_and_outline_stay_on_their_patch() {
        let plan = low();
        let mesh = &plan.cover.mesh;
        let neighbors = edge_neighbors(mesh);
        let patch = plan.cover.patches.first().expect("a low frame holds snow");
        assert!(patch.area > plan.rules.holding_patch);
        let lines = hatch(mesh, patch);
        // A hatch at a distance d over a plan area A has A / d of line in plan.
        let length: f64 = lines.iter().map(|[a, b]| (b - a).xy().norm()).sum();
        let plan_area: f64 = patch
            .triangles
            .iter()
            .map(|t| crate::geom::surface::plan_area(mesh, *t as usize))
            .sum();
        let ratio = length * HATCH / plan_area;
        assert!((0.9..1.1).contains(&ratio), "{ratio}");
        // The outline closes: every point is met an even number of times.
        let mut ends: Vec<[u64; 3]> = outline(mesh, &neighbors, patch)
            .iter()
            .flatten()
            .map(|p| [p.x, p.y, p.z].map(f64::to_bits))
            .collect();
        ends.sort_unstable();
        assert!(!ends.is_empty());
        assert!(ends.chunk_by(|a, b| a == b).all(|same| same.len() % 2 == 0));
    }

    #[test]
    fn water_is_as_wide_as_its_pond() {
        // A square funnel with a rim at two heights.
        let p = |x: f64, y: f64, z: f64| Point3::new(x, y, z);
        let mesh = Solid {
            vertices: vec![
                p(-1.0, -1.0, 1.0),
                p(1.0, -1.0, 1.0),
                p(1.0, 1.0, 1.0),
                p(-1.0, 1.0, 1.0),
                p(0.0, 0.0, 0.0),
            ],
            triangles: vec![[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]],
        };
        let pond = Pond {
            vertices: vec![4],
            level: 0.5,
            depth: 0.5,
            deepest: p(0.0, 0.0, 0.0),
            plan_area: 1.0,
            volume: 1.0 / 6.0,
        };
        let (water, shore) = pond_surface(&mesh, &pond, pond.level);
        assert!((water.area() - pond.plan_area).abs() < 1e-12);
        let round: f64 = shore.iter().map(|[a, b]| (b - a).norm()).sum();
        assert!((round - 4.0).abs() < 1e-12);
    }
}
