//! What lies on the film: snow as deep as it is, water in the hollows as high as it stands.

use super::builder::Builder;
use super::paint::{Paint, Paints};
use super::{Half, Part, Stage, patches, shape};
use crate::geom::mesh::Mesh as Solid;
use crate::geom::surface::{Pond, edge_neighbors, plan_area};
use crate::viewer::display::Display;
use bevy::prelude::*;
use nalgebra::{Point3, Vector3};

/// What lies on the film of a stage. While a stage has it, its ponds hold only what this says.
#[derive(Component, Debug, Clone, Default, PartialEq)]
pub struct Lying {
    /// Depth of snow on each triangle of the film, plumb, m.
    pub snow: Vec<f64>,
    /// How full each pond is, from 0 to 1.
    pub full: Vec<f64>,
}

/// Snow thinner than this is not drawn, m: a dusting.
const LEAST: f64 = 0.01;

/// Snow is drawn this much over the film, m: over the lines on it.
const LIFT: f64 = 0.012;

#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
pub(super) fn draw(
    mut commands: Commands,
    stages: Query<(Entity, Ref<Stage>, Option<Ref<Lying>>, Option<&Children>)>,
    mut cleared: RemovedComponents<Lying>,
    halves: Query<&Half>,
    display: Res<Display>,
    paints: Res<Paints>,
    mut meshes: ResMut<Assets<Mesh>>,
    mut lines: ResMut<Assets<GizmoAsset>>,
) {
    let cleared: Vec<Entity> = cleared.read().collect();
    for (entity, stage, lying, children) in &stages {
        let changed = stage.is_changed()
            || display.is_changed()
            || cleared.contains(&entity)
            || lying.as_ref().is_some_and(|lying| lying.is_changed());
        if !changed {
            continue;
        }
        for child in children.into_iter().flatten() {
            if halves.get(*child) == Ok(&Half::Lying) {
                commands.entity(*child).despawn();
            }
        }
        let Some(lying) = lying.filter(|_| display.has_film()) else {
            continue;
        };
        let root = commands
            .spawn((
                Half::Lying,
                Transform::default(),
                Visibility::default(),
                ChildOf(entity),
            ))
            .id();
        let mut builder = Builder {
            commands: &mut commands,
            meshes: &mut meshes,
            lines: &mut lines,
            paints: &paints,
            root,
            layer: stage.layer,
        };
        let mesh = &stage.plan.cover.mesh;
        let snow = blanket(mesh, &lying.snow);
        if !snow.triangles.is_empty() {
            builder.mesh(Part::Snow, shape::sheet(&snow, None), Paint::Snow);
        }
        for ((index, pond), full) in stage.plan.cover.ponds.iter().enumerate().zip(&lying.full) {
            if *full > 0.0 {
                let level = level(mesh, pond, *full);
                patches::water(&mut builder, Part::Water(index), mesh, pond, level);
            }
        }
    }
}

/// How often depths are evened out between neighbors: snow slumps at its rim, over some cells.
const SLUMPS: usize = 4;

/// Depth at each vertex: the mean of the triangles about it, weighted by plan area, evened out a few times. What lies on
/// the whole of the film stays the same, since a triangle shares its snow among its corners alike.
fn slumped(mesh: &Solid, depths: &[f64]) -> Vec<f64> {
    let areas: Vec<f64> = (0..mesh.triangles.len())
        .map(|t| plan_area(mesh, t))
        .collect();
    let mut depths = depths.to_vec();
    let mut at = vec![0.0; mesh.vertices.len()];
    for turn in 0..SLUMPS {
        let mut sums = vec![(0.0, 0.0); mesh.vertices.len()];
        for ((corners, depth), weight) in mesh.triangles.iter().zip(&depths).zip(&areas) {
            for corner in corners {
                if let Some((weights, depths)) = sums.get_mut(*corner as usize) {
                    *weights += weight;
                    *depths += weight * depth;
                }
            }
        }
        for (at, (weight, depth)) in at.iter_mut().zip(sums) {
            *at = if weight > 0.0 { depth / weight } else { 0.0 };
        }
        if turn + 1 < SLUMPS {
            for (depth, corners) in depths.iter_mut().zip(&mesh.triangles) {
                let sum: f64 = corners.iter().filter_map(|v| at.get(*v as usize)).sum();
                *depth = sum / 3.0;
            }
        }
    }
    at
}

/// The snow as a body: its surface over the film, and walls down to the film where it ends at the edge line.
fn blanket(mesh: &Solid, depths: &[f64]) -> Solid {
    let depths = slumped(mesh, depths);
    let depth = |v: u32| depths.get(v as usize).copied().unwrap_or(0.0);
    let deep = |corners: &[u32; 3]| corners.iter().any(|v| depth(*v) > LEAST);
    let foot = |v: u32| mesh.vertices.get(v as usize).copied().unwrap_or_default();
    // Where there is none it dips under the film, so that its rim is a clean line.
    let up = |v: u32| {
        let lift = if depth(v) > LEAST { LIFT } else { -LIFT };
        foot(v) + Vector3::z() * (depth(v) + lift)
    };
    let mut body = Solid::default();
    let add = |body: &mut Solid, p: Point3<f64>| {
        body.vertices.push(p);
        u32::try_from(body.vertices.len() - 1).unwrap_or(u32::MAX)
    };
    let mut place: Vec<Option<u32>> = vec![None; mesh.vertices.len()];
    let neighbors = edge_neighbors(mesh);
    for (t, corners) in mesh.triangles.iter().enumerate() {
        if !deep(corners) {
            continue;
        }
        let tops = corners.map(|v| match place.get_mut(v as usize) {
            Some(place) => *place.get_or_insert_with(|| add(&mut body, up(v))),
            None => 0,
        });
        body.triangles.push(tops);
        let across = neighbors.get(t).copied().unwrap_or([None; 3]);
        for (k, beyond) in across.iter().enumerate() {
            if beyond.is_some() {
                continue;
            }
            let ends = [corners[k], corners[(k + 1) % 3]];
            let [a, b] = ends.map(|v| add(&mut body, up(v)));
            let [c, d] = ends.map(|v| add(&mut body, foot(v)));
            body.triangles.extend([[a, c, b], [b, c, d]]);
        }
    }
    body
}

/// Halvings in the search for a level: the pond's depth over a million.
const HALVINGS: usize = 20;

/// The level at which a pond holds a part of what it can, m.
fn level(mesh: &Solid, pond: &Pond, full: f64) -> f64 {
    let wanted = full.min(1.0) * volume(mesh, pond, pond.level);
    let (mut low, mut high) = (pond.level - pond.depth, pond.level);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if volume(mesh, pond, middle) < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

/// Water under a level in a pond, m3: over each triangle the depth at its wet part's middle times that part in plan,
/// exact for the linear depth over it.
fn volume(mesh: &Solid, pond: &Pond, level: f64) -> f64 {
    let mut sum = 0.0;
    for (t, nodes) in mesh.triangles.iter().enumerate() {
        if !nodes
            .iter()
            .any(|node| pond.vertices.binary_search(node).is_ok())
        {
            continue;
        }
        let corners = mesh.triangle(t);
        let mut wet: Vec<Point3<f64>> = Vec::new();
        for k in 0..3 {
            let (p, q) = (corners[k], corners[(k + 1) % 3]);
            let (a, b) = (level - p.z, level - q.z);
            if a >= 0.0 {
                wet.push(p);
            }
            if a * b < 0.0 {
                wet.push(p + (q - p) * (a / (a - b)));
            }
        }
        if let [first, rest @ ..] = wet.as_slice() {
            for pair in rest.windows(2) {
                let &[p, q] = pair else { continue };
                let area = 0.5 * (p - first).xy().perp(&(q - first).xy()).abs();
                sum += area * (level - (first.z + p.z + q.z) / 3.0);
            }
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: f64, y: f64, z: f64) -> Point3<f64> {
        Point3::new(x, y, z)
    }

    /// A sloping strip of squares, each cut aslant.
    fn strip(squares: u32) -> Solid {
        let mut mesh = Solid::default();
        for k in 0..=squares {
            let x = 0.1 * f64::from(k);
            mesh.vertices
                .extend([p(x, 0.0, 0.3 * x), p(x, 0.1, 0.3 * x)]);
        }
        for k in 0..squares {
            let a = 2 * k;
            mesh.triangles
                .extend([[a, a + 2, a + 1], [a + 1, a + 2, a + 3]]);
        }
        mesh
    }

    #[test]
    fn snow_is_as_much_as_the_storm_laid() {
        let check = |mesh: &Solid, depths: &[f64]| {
            let soft = slumped(mesh, depths);
            let mut sums = [0.0; 2];
            for (t, corners) in mesh.triangles.iter().enumerate() {
                let area = plan_area(mesh, t);
                sums[0] += area * depths[t];
                sums[1] += area * corners.iter().map(|v| soft[*v as usize]).sum::<f64>() / 3.0;
            }
            assert!(
                (sums[0] - sums[1]).abs() < 1e-12 * (1.0 + sums[0]),
                "{sums:?}"
            );
        };
        let mesh = strip(20);
        check(&mesh, &[0.0; 40]);
        check(&mesh, &[0.2; 40]);
        let heap: Vec<f64> = (0..40)
            .map(|t| if (16..20).contains(&t) { 0.3 } else { 0.0 })
            .collect();
        check(&mesh, &heap);
        let mut boat = crate::boat::preset("open-runabout-18")
            .unwrap()
            .boat()
            .unwrap();
        boat.rules.coarsen(3.0);
        let plan = crate::plan::plan(&boat, &boat.rules).unwrap();
        let rules = crate::lesson::storm::StormRules::of(&plan.rules);
        let mut storm = crate::lesson::storm::Storm::new(&plan.cover, rules);
        storm.step(5.0);
        let depths: Vec<f64> = (0..storm.masses().len()).map(|t| storm.depth(t)).collect();
        assert!(depths.iter().any(|depth| *depth > 0.05));
        check(&plan.cover.mesh, &depths);
    }

    #[test]
    fn snow_is_drawn_where_it_lies() {
        let mesh = strip(20);
        assert!(blanket(&mesh, &[0.0; 40]).triangles.is_empty());
        // Everywhere: a surface, and a wall of two at each edge of the rim.
        assert_eq!(blanket(&mesh, &[0.2; 40]).triangles.len(), 40 + 2 * 42);
        let heap: Vec<f64> = (0..40)
            .map(|t| if (16..20).contains(&t) { 0.3 } else { 0.0 })
            .collect();
        let body = blanket(&mesh, &heap);
        let top = body
            .vertices
            .iter()
            .map(|q| q.z - 0.3 * q.x)
            .fold(0.0, f64::max);
        assert!((0.1..0.32).contains(&top), "{top}");
        // About its heap, and not at the ends of the strip.
        let stations = || body.vertices.iter().map(|q| q.x);
        assert!(stations().all(|x| (0.2..1.7).contains(&x)));
        assert!(stations().any(|x| (0.8..=1.0).contains(&x)));
    }

    #[test]
    fn a_pond_fills_to_the_level_of_its_water() {
        // A funnel: volume grows with the cube of the depth.
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
        assert!((volume(&mesh, &pond, pond.level) - pond.volume).abs() < 1e-12);
        for full in [0.001, 0.125, 0.5, 1.0f64] {
            let found = level(&mesh, &pond, full);
            assert!((found - 0.5 * full.cbrt()).abs() < 1e-5, "{full}: {found}");
        }
    }
}
