//! The film: coloured by its slope or as it looks, holding patches, ponds, pleats, and what is fitted into it.

use super::Part;
use super::builder::{Builder, Strokes};
use super::paint::Paint;
use super::shape::{self, bar, block};
use crate::export::slope_colour;
use crate::film::{Pleat, PleatKind};
use crate::geom::mesh::Mesh as Solid;
use crate::geom::surface::{Patch, Pond, area, edge_neighbours};
use crate::plan::Plan;
use crate::viewer::convert;
use crate::viewer::display::{Display, FilmMode};
use bevy::color::Color;
use bevy::math::Vec3;
use nalgebra::{Point3, Vector3};

/// Where the light comes from that is worked into the film's own colours: ahead, above, to starboard.
const LIGHT: Vec3 = Vec3::new(0.35, 0.8, 0.5);

/// Darkest and lightest that the light makes a colour of the film: little enough to leave it as in the legend.
const SHADE: [f32; 2] = [0.78, 1.0];

/// Lines on the film lie this much over it, m.
const LIFT: f64 = 0.006;

/// Distance between two lines of the hatch of a holding patch, m.
const HATCH: f64 = 0.15;

/// Colours of lines on the film.
const PATCH: Color = Color::srgb(0.60, 0.05, 0.05);
/// See [`PATCH`].
const TOLERATED: Color = Color::srgb(0.36, 0.30, 0.08);
/// See [`PATCH`].
const PLEAT: Color = Color::srgb(0.25, 0.28, 0.36);
/// See [`PATCH`]; on film coloured by its slope.
const PLEAT_PALE: Color = Color::srgb(0.80, 0.84, 0.90);
/// See [`PATCH`].
const EDGE: Color = Color::srgb(0.20, 0.22, 0.26);
/// See [`PATCH`].
const SHORE: Color = Color::srgb(0.05, 0.25, 0.50);

/// Distance between two marks of a pleat's fold, and their length, m.
const MARKS: [f64; 2] = [0.12, 0.05];

/// The film and all on it; `full` ponds with the water that they can hold.
pub fn draw(builder: &mut Builder, plan: &Plan, display: &Display, full: bool) {
    if display.has_film() {
        sheet(builder, plan, display);
        edge(builder, plan);
        patches(builder, plan);
        if full {
            ponds(builder, plan);
        }
        pleats(builder, plan, display);
        pads_under(builder, plan);
    }
    fittings(builder, plan);
}

fn sheet(builder: &mut Builder, plan: &Plan, display: &Display) {
    let clear = display.film == FilmMode::Clear;
    let mesh = &plan.cover.mesh;
    if display.slope {
        let paint = if clear {
            Paint::SlopeClear
        } else {
            Paint::Slope
        };
        let colours = shaded(mesh, slope_colours(plan));
        builder.mesh(Part::Film, shape::sheet(mesh, Some(colours)), paint);
    } else {
        let paint = if clear { Paint::FilmClear } else { Paint::Film };
        builder.mesh(Part::Film, shape::sheet(mesh, None), paint);
    }
    let paint = if clear { Paint::FilmClear } else { Paint::Film };
    builder.mesh(Part::Skirt, shape::sheet(&skirt(plan), None), paint);
}

/// How far the drawn skirt stands off its strip in the middle, m: the hull's side, which it follows, is round and
/// drawn with flat faces of its own.
const SKIRT_OUT: f64 = 0.02;

/// Rows of the drawn skirt: part of the way down, part of the stand-off.
const SKIRT_ROWS: [(f64, f64); 4] = [(0.0, 0.1), (0.3, 1.0), (0.7, 1.0), (1.0, 0.5)];

/// The strip from the edge line down to the band, round the outside of the hull.
fn skirt(plan: &Plan) -> Solid {
    let cover = &plan.cover;
    let tops = cover
        .edge
        .iter()
        .filter_map(|node| cover.mesh.vertices.get(*node as usize));
    let ends: Vec<[Point3<f64>; 2]> = tops.zip(&cover.band).map(|(a, b)| [*a, *b]).collect();
    let count = ends.len();
    let mut skirt = Solid::default();
    for (down, off) in SKIRT_ROWS {
        for (k, [top, foot]) in ends.iter().enumerate() {
            // Outward in plan: square to the way along the edge, which runs counter-clockwise.
            let before = ends
                .get((k + count - 1) % count)
                .map_or(*top, |pair| pair[0]);
            let after = ends.get((k + 1) % count).map_or(*top, |pair| pair[0]);
            let along = after - before;
            let out = Vector3::new(along.y, -along.x, 0.0)
                .try_normalize(1e-9)
                .unwrap_or_else(Vector3::zeros);
            skirt
                .vertices
                .push(top + (foot - top) * down + out * (SKIRT_OUT * off));
        }
    }
    let index = |row: usize, k: usize| u32::try_from(row * count + k % count).unwrap_or(u32::MAX);
    for row in 1..SKIRT_ROWS.len() {
        for k in 0..count {
            let [a, b] = [index(row - 1, k), index(row - 1, k + 1)];
            let [c, d] = [index(row, k), index(row, k + 1)];
            skirt.triangles.extend([[a, c, b], [b, c, d]]);
        }
    }
    skirt
}

/// For each vertex of the film the colour of the mean slope about it, weighted by area.
fn slope_colours(plan: &Plan) -> Vec<[f32; 4]> {
    let mesh = &plan.cover.mesh;
    let mut sums = vec![(0.0, 0.0); mesh.vertices.len()];
    for (t, (corners, slope)) in mesh.triangles.iter().zip(&plan.cover.slopes).enumerate() {
        let weight = area(mesh, t);
        for corner in corners {
            if let Some((weights, slopes)) = sums.get_mut(*corner as usize) {
                *weights += weight;
                *slopes += weight * slope;
            }
        }
    }
    sums.into_iter()
        .map(|(weight, slope)| {
            let mean = if weight > 0.0 { slope / weight } else { 0.0 };
            slope_colour(mean, plan.rules.min_slope)
        })
        .collect()
}

/// Works a soft light into colours.
fn shaded(mesh: &Solid, mut colours: Vec<[f32; 4]>) -> Vec<[f32; 4]> {
    let light = LIGHT.normalize();
    for (colour, normal) in colours.iter_mut().zip(shape::vertex_normals(mesh)) {
        let towards = convert::vector(&normal).dot(light).max(0.0);
        let shade = SHADE[0] + (SHADE[1] - SHADE[0]) * towards;
        for part in colour.iter_mut().take(3) {
            *part *= shade;
        }
    }
    colours
}

fn lifted(p: &Point3<f64>) -> Point3<f64> {
    p + Vector3::z() * LIFT
}

fn edge(builder: &mut Builder, plan: &Plan) {
    let mut strokes = Strokes::default();
    let points = plan.cover.edge.iter().chain(plan.cover.edge.first());
    strokes.line(
        points
            .filter_map(|node| plan.cover.mesh.vertices.get(*node as usize))
            .map(lifted),
        EDGE,
    );
    builder.lines(Part::Film, &strokes, 1.2);
}

/// Holding patches: those that the verdict counts are outlined and hatched, those that are tolerated outlined.
fn patches(builder: &mut Builder, plan: &Plan) {
    let mesh = &plan.cover.mesh;
    let neighbours = edge_neighbours(mesh);
    for (index, patch) in plan.cover.patches.iter().enumerate() {
        let counts = patch.area > plan.rules.holding_patch;
        let mut rim = Strokes::default();
        for pair in outline(mesh, &neighbours, patch) {
            let colour = if counts { PATCH } else { TOLERATED };
            rim.line(pair.map(|p| lifted(&p)), colour);
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
fn outline(mesh: &Solid, neighbours: &[[Option<u32>; 3]], patch: &Patch) -> Vec<[Point3<f64>; 2]> {
    let inside = |t: &u32| patch.triangles.binary_search(t).is_ok();
    let mut edges = Vec::new();
    for t in &patch.triangles {
        let corners = mesh.triangle(*t as usize);
        let across = neighbours.get(*t as usize).copied().unwrap_or([None; 3]);
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
        water(
            builder,
            Part::Pond(index),
            &plan.cover.mesh,
            pond,
            pond.level,
        );
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

/// Lines of the pleats, with marks on the side to which the fold opens: aft.
fn pleats(builder: &mut Builder, plan: &Plan, display: &Display) {
    let over = if display.slope { PLEAT_PALE } else { PLEAT };
    for (index, pleat) in plan.film.pleats.iter().enumerate() {
        let mut strokes = Strokes::default();
        let outer: Vec<Point3<f64>> = pleat.line.iter().map(|p| outward(plan, p)).collect();
        // The skirt is never coloured: what lies on it is dark.
        for pair in outer.windows(2) {
            let &[a, b] = pair else { continue };
            strokes.line([a, b], on(plan, &a, over));
        }
        for mark in fold_marks(pleat) {
            let ends = mark.map(|p| outward(plan, &p));
            strokes.line(ends, on(plan, &ends[0], over));
        }
        builder.lines(Part::Pleat(index), &strokes, 1.8);
    }
}

/// The colour of a line at a point: one over the edge line, dark under it.
fn on(plan: &Plan, p: &Point3<f64>, over: Color) -> Color {
    let edge = plan.hull.edge.at(plan.hull.edge.nearest(p.xy()));
    if p.z < edge.z + 0.5 * SKIRT_OUT {
        PLEAT
    } else {
        over
    }
}

/// A point on the film or the skirt, moved out by a little.
fn outward(plan: &Plan, p: &Point3<f64>) -> Point3<f64> {
    let middle = 0.5 * (plan.hull.edge.ends()[0] + plan.hull.edge.ends()[1]);
    let aside = Vector3::new(0.2 * (p.x - middle), p.y, 0.0);
    let aside = aside.try_normalize(1e-9).unwrap_or_else(Vector3::zeros);
    p + (aside + Vector3::z()) * LIFT
}

/// Short strokes from a pleat's line aft and down, as barbs: the free lip of the fold looks aft.
fn fold_marks(pleat: &Pleat) -> Vec<[Point3<f64>; 2]> {
    // A closure at the stem folds to both sides alike.
    if pleat.kind == PleatKind::Stem || pleat.hand.is_none() {
        return Vec::new();
    }
    let [every, length] = MARKS;
    let mut marks = Vec::new();
    let mut next = 0.5 * every;
    for pair in pleat.line.windows(2) {
        let &[a, b] = pair else { continue };
        let along = b - a;
        let piece = along.norm();
        while next <= piece && piece > 0.0 {
            let p = a + along * (next / piece);
            // In the plane of the line and the boat's length, square to the line, toward the stern.
            let way = along / piece;
            let aft = -Vector3::x() + way * way.x;
            if let Some(aft) = aft.try_normalize(1e-6) {
                marks.push([p, p + (aft - way * 0.6) * length]);
            }
            next += every;
        }
        next -= piece;
    }
    marks
}

/// Pads where the film bears on the boat.
fn pads_under(builder: &mut Builder, plan: &Plan) {
    for (index, pad) in plan.fittings.pads.iter().enumerate() {
        let at = pad.at + Vector3::z() * LIFT;
        let half = 0.05;
        let mesh = block(
            [at.x - half, at.y - half, at.z],
            [at.x + half, at.y + half, at.z + 0.012],
        );
        builder.solid(Part::Pad(index), &mesh, Paint::Pad);
    }
}

/// What is fitted into the film: a function a kind, each drawing nothing while plans carry none.
fn fittings(builder: &mut Builder, plan: &Plan) {
    collars(builder, plan);
}

/// Collars round what stands through the film.
fn collars(builder: &mut Builder, plan: &Plan) {
    for piercing in &plan.boat.piercings {
        let (x, y) = (piercing.station, piercing.offset);
        let height = film_height(plan, x, y).unwrap_or_else(|| plan.hull.sheer_at(x));
        let foot = plan
            .hull
            .topmost([x, y].into())
            .map_or_else(|| plan.hull.sheer_at(x), |(_, z)| z);
        let at = |z: f64| Point3::new(x, y, z);
        let radius = 0.5 * piercing.diameter;
        let mast = bar(&[at(foot.min(height)), at(height + 1.2)], radius, 16);
        builder.solid(Part::Collar, &mast, Paint::Metal);
        let collar = bar(&[at(height - 0.05), at(height + 0.12)], radius + 0.03, 16);
        builder.solid(Part::Collar, &collar, Paint::Cap);
    }
}

/// Height of the film over a point of the plan.
fn film_height(plan: &Plan, x: f64, y: f64) -> Option<f64> {
    shape::underside(std::slice::from_ref(&plan.cover.mesh), x, y)
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
            })
            .to_vec();
        let rules = boat.rules.clone();
        plan(&boat, &rules).unwrap()
    }

    #[test]
    fn hatch_and_outline_stay_on_their_patch() {
        let plan = low();
        let mesh = &plan.cover.mesh;
        let neighbours = edge_neighbours(mesh);
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
        let mut ends: Vec<[u64; 3]> = outline(mesh, &neighbours, patch)
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

    #[test]
    fn folds_open_aft() {
        for name in ["open-runabout-18", "center-console-24"] {
            let mut boat = preset(name).unwrap().boat().unwrap();
            boat.rules.cell *= 2.0;
            let plan = plan(&boat, &boat.rules).unwrap();
            let [every, length] = MARKS;
            for pleat in &plan.film.pleats {
                let marks = fold_marks(pleat);
                for [root, tip] in &marks {
                    assert!(tip.x < root.x, "{name} {}: {root} {tip}", pleat.id);
                    assert!((tip - root).norm() < 2.0 * length);
                }
                // One mark for each stretch of a fold that has a side, none for one that has not.
                let course: f64 = pleat
                    .line
                    .windows(2)
                    .map(|pair| (pair[1] - pair[0]).norm())
                    .sum();
                let sided = pleat.hand.is_some() && pleat.kind != PleatKind::Stem;
                let wanted = if sided { (course / every).floor() } else { 0.0 };
                let off = (marks.len() as f64 - wanted).abs();
                assert!(off <= 1.0, "{name} {}: {} marks", pleat.id, marks.len());
            }
            assert!(plan.film.pleats.iter().any(|pleat| pleat.hand.is_some()));
        }
    }
}
