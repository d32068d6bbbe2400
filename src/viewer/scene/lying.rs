//! What lies on the film: snow as deep as it is, water in the hollows as high as it stands.

use super::builder::Builder;
use super::paint::{Paint, Paints};
use super::{Half, Part, Stage, film, shape};
use crate::geom::mesh::Mesh as Solid;
use crate::geom::surface::{Pond, edge_neighbours, plan_area};
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

/// Snow thinner than this is not drawn, m: less than a flake.
const LEAST: f64 = 0.002;

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
                film::water(&mut builder, Part::Water(index), mesh, pond, level);
            }
        }
    }
}

/// The snow as a body: its surface over the triangles that it lies on, as high at each vertex as it is deep about it on
/// average, and walls down to the film where it ends.
fn blanket(mesh: &Solid, depths: &[f64]) -> Solid {
    let deep = |t: usize| depths.get(t).copied().filter(|depth| *depth > LEAST);
    let mut sums = vec![(0.0, 0.0); mesh.vertices.len()];
    for (t, corners) in mesh.triangles.iter().enumerate() {
        let Some(depth) = deep(t) else { continue };
        let weight = plan_area(mesh, t);
        for corner in corners {
            if let Some((weights, depths)) = sums.get_mut(*corner as usize) {
                *weights += weight;
                *depths += weight * depth;
            }
        }
    }
    let up = |v: u32| {
        let (weight, depth) = sums.get(v as usize).copied().unwrap_or_default();
        let depth = if weight > 0.0 { depth / weight } else { 0.0 };
        let foot = mesh.vertices.get(v as usize).copied();
        foot.unwrap_or_else(Point3::origin) + Vector3::z() * (depth + LIFT)
    };
    let mut body = Solid::default();
    let mut place: Vec<Option<u32>> = vec![None; mesh.vertices.len()];
    let neighbours = edge_neighbours(mesh);
    let add = |body: &mut Solid, p: Point3<f64>| {
        body.vertices.push(p);
        u32::try_from(body.vertices.len() - 1).unwrap_or(u32::MAX)
    };
    for (t, corners) in mesh.triangles.iter().enumerate() {
        if deep(t).is_none() {
            continue;
        }
        let tops = corners.map(|v| match place.get_mut(v as usize) {
            Some(place) => *place.get_or_insert_with(|| add(&mut body, up(v))),
            None => 0,
        });
        body.triangles.push(tops);
        let across = neighbours.get(t).copied().unwrap_or([None; 3]);
        for (k, beyond) in across.iter().enumerate() {
            if beyond.is_some_and(|u| deep(u as usize).is_some()) {
                continue;
            }
            let ends = [corners[k], corners[(k + 1) % 3]];
            let [a, b] = ends.map(|v| add(&mut body, up(v)));
            let [c, d] = ends.map(|v| {
                let foot = mesh.vertices.get(v as usize).copied();
                add(&mut body, foot.unwrap_or_else(Point3::origin))
            });
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

    #[test]
    fn snow_is_as_much_as_it_is_deep() {
        // Four squares in a row, cut aslant; a slope, so that depths are plumb.
        let mut mesh = Solid::default();
        for k in 0..5 {
            let x = f64::from(k);
            mesh.vertices
                .extend([p(x, 0.0, 0.3 * x), p(x, 1.0, 0.3 * x)]);
        }
        for k in 0..4 {
            let a = 2 * k;
            mesh.triangles
                .extend([[a, a + 2, a + 1], [a + 1, a + 2, a + 3]]);
        }
        let check = |depths: [f64; 8], triangles: usize| {
            let body = blanket(&mesh, &depths);
            assert_eq!(body.triangles.len(), triangles, "{depths:?}");
            // Volume between surface and film, in plan.
            let mut volume = 0.0;
            for t in 0..body.triangles.len() {
                let corners = body.triangle(t);
                let depth = |q: &Point3<f64>| q.z - 0.3 * q.x - LIFT;
                let area = 0.5
                    * (corners[1] - corners[0])
                        .xy()
                        .perp(&(corners[2] - corners[0]).xy())
                        .abs();
                volume += area * corners.iter().map(depth).sum::<f64>() / 3.0;
            }
            let wanted: f64 = depths.iter().map(|depth| 0.5 * depth).sum();
            assert!((volume - wanted).abs() < 1e-12, "{volume} for {wanted}");
        };
        check([0.0; 8], 0);
        // All the same: a surface, and a wall of two at each of the ten edges of the rim.
        check([0.2; 8], 8 + 20);
        // One square: a surface of two, walls at its four sides.
        check([0.0, 0.0, 0.1, 0.1, 0.0, 0.0, 0.0, 0.0], 2 + 8);
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
