//! Meshes of the boat as meshes of the screen: normals, colors, tubes, lines on a surface.

use crate::geom::mesh::Mesh as Solid;
use crate::viewer::convert;
use bevy::asset::RenderAssetUsages;
use bevy::mesh::{Indices, Mesh, PrimitiveTopology};
use nalgebra::{Point3, Vector3};

/// Faces that meet at less than this are drawn as one smooth surface, rad: 35 deg, so that chines and the
/// sides of boxes stay sharp.
const CREASE: f64 = 0.61;

/// For each triangle its normal, of unit length, and the angles at its corners: normals of vertices are means by
/// angle, which do not depend on how a flat face is cut into triangles.
fn faces(mesh: &Solid) -> Vec<(Vector3<f64>, [f64; 3])> {
    mesh.corners()
        .map(|corners| {
            let [a, b, c] = corners;
            let normal = (b - a).cross(&(c - a)).try_normalize(0.0);
            let angle = |k: usize| {
                let [p, q, r] = [0, 1, 2].map(|step| corners[(k + step) % 3]);
                (q - p).angle(&(r - p))
            };
            (
                normal.unwrap_or_else(Vector3::zeros),
                [angle(0), angle(1), angle(2)],
            )
        })
        .collect()
}

/// A mesh with soft faces and sharp edges.
pub fn solid(mesh: &Solid) -> Mesh {
    let faces = faces(mesh);
    let mut around: Vec<Vec<(Vector3<f64>, f64)>> = vec![Vec::new(); mesh.vertices.len()];
    for (corners, (normal, angles)) in mesh.triangles.iter().zip(&faces) {
        for (corner, angle) in corners.iter().zip(angles) {
            if let Some(around) = around.get_mut(*corner as usize) {
                around.push((*normal, *angle));
            }
        }
    }
    let smooth = CREASE.cos();
    let (mut positions, mut normals) = (Vec::new(), Vec::new());
    for ((face, corners), (own, _)) in mesh.triangles.iter().enumerate().zip(&faces) {
        for (corner, p) in corners.iter().zip(mesh.triangle(face)) {
            let mut sum = Vector3::zeros();
            for (other, angle) in around.get(*corner as usize).into_iter().flatten() {
                if own.dot(other) >= smooth {
                    sum += other * *angle;
                }
            }
            positions.push(convert::point(&p).to_array());
            normals.push(convert::vector(&unit(sum)).to_array());
        }
    }
    build(positions, normals, None, None)
}

/// A smooth sheet with one color for each vertex, linear red, green, blue, alpha.
pub fn sheet(mesh: &Solid, colors: Option<Vec<[f32; 4]>>) -> Mesh {
    let normals = vertex_normals(mesh);
    build(
        mesh.vertices
            .iter()
            .map(|p| convert::point(p).to_array())
            .collect(),
        normals
            .iter()
            .map(|normal| convert::vector(normal).to_array())
            .collect(),
        colors,
        Some(mesh.triangles.iter().flatten().copied().collect()),
    )
}

/// The mean of the faces about each vertex, weighted by angle, of unit length.
pub fn vertex_normals(mesh: &Solid) -> Vec<Vector3<f64>> {
    let mut sums = vec![Vector3::zeros(); mesh.vertices.len()];
    for (corners, (normal, angles)) in mesh.triangles.iter().zip(faces(mesh)) {
        for (corner, angle) in corners.iter().zip(angles) {
            if let Some(sum) = sums.get_mut(*corner as usize) {
                *sum += normal * angle;
            }
        }
    }
    sums.into_iter().map(unit).collect()
}

fn unit(v: Vector3<f64>) -> Vector3<f64> {
    v.try_normalize(0.0).unwrap_or_else(Vector3::z)
}

fn build(
    positions: Vec<[f32; 3]>,
    normals: Vec<[f32; 3]>,
    colors: Option<Vec<[f32; 4]>>,
    indices: Option<Vec<u32>>,
) -> Mesh {
    let mut mesh = Mesh::new(
        PrimitiveTopology::TriangleList,
        RenderAssetUsages::RENDER_WORLD | RenderAssetUsages::MAIN_WORLD,
    )
    .with_inserted_attribute(Mesh::ATTRIBUTE_POSITION, positions)
    .with_inserted_attribute(Mesh::ATTRIBUTE_NORMAL, normals);
    if let Some(colors) = colors {
        mesh.insert_attribute(Mesh::ATTRIBUTE_COLOR, colors);
    }
    if let Some(indices) = indices {
        mesh.insert_indices(Indices::U32(indices));
    }
    mesh
}

/// A round bar along a line, in pieces where it bends too sharply to be swept in one.
pub fn bar(points: &[Point3<f64>], radius: f64, sides: usize) -> Solid {
    if let Ok(tube) = Solid::swept_tube(points, radius, sides) {
        return tube;
    }
    let mut all = Solid::default();
    for pair in points.windows(2) {
        if let Ok(tube) = Solid::swept_tube(pair, radius, sides) {
            all.append(&tube);
        }
    }
    all
}

/// An upright or lying beam between two corners that need not be in order.
pub fn block(a: [f64; 3], b: [f64; 3]) -> Solid {
    let [low, high] = [f64::min as fn(f64, f64) -> f64, f64::max]
        .map(|pick| Point3::new(pick(a[0], b[0]), pick(a[1], b[1]), pick(a[2], b[2])));
    Solid::cuboid(low, high)
}

/// The lowest height of a body over a point of the plan, m; `None` beside it.
///
/// # Units
/// Meters.
pub fn underside(bodies: &[Solid], x: f64, y: f64) -> Option<f64> {
    let mut lowest: Option<f64> = None;
    for [a, b, c] in bodies.iter().flat_map(Solid::corners) {
        let side =
            |p: &Point3<f64>, q: &Point3<f64>| (q.x - p.x) * (y - p.y) - (q.y - p.y) * (x - p.x);
        let (u, v, w) = (side(&b, &c), side(&c, &a), side(&a, &b));
        let whole = u + v + w;
        if whole == 0.0 || [u, v, w].iter().any(|part| part * whole < 0.0) {
            continue;
        }
        let z = (u * a.z + v * b.z + w * c.z) / whole;
        lowest = Some(lowest.map_or(z, |lowest: f64| lowest.min(z)));
    }
    lowest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_underside_of_a_brick_is_its_floor() {
        let brick = [block([2.0, 1.0, 3.0], [0.0, -1.0, 0.5])];
        for (x, y, wanted) in [
            (1.0, 0.0, Some(0.5)),
            (0.1, -0.9, Some(0.5)),
            (2.1, 0.0, None),
            (1.0, 1.1, None),
        ] {
            assert_eq!(underside(&brick, x, y), wanted, "{x} {y}");
        }
    }

    #[test]
    fn boxes_keep_sharp_edges_and_tubes_are_smooth() {
        let normals = |mesh: &Solid| -> Vec<[f32; 3]> {
            match solid(mesh).attribute(Mesh::ATTRIBUTE_NORMAL) {
                Some(bevy::mesh::VertexAttributeValues::Float32x3(normals)) => normals.clone(),
                _ => panic!("no normals"),
            }
        };
        for normal in normals(&block([0.0; 3], [1.0; 3])) {
            let along = normal.iter().filter(|part| part.abs() > 1e-6).count();
            assert_eq!(along, 1, "a brick's normals lie along the axes: {normal:?}");
        }
        let tube = bar(&[Point3::origin(), Point3::new(0.0, 0.0, 1.0)], 0.5, 12);
        let mesh = solid(&tube);
        let Some(bevy::mesh::VertexAttributeValues::Float32x3(places)) =
            mesh.attribute(Mesh::ATTRIBUTE_POSITION)
        else {
            panic!("no places")
        };
        for (place, normal) in places.iter().zip(normals(&tube)) {
            // Up in the world is y; the side's normals point away from the axis.
            if normal[1].abs() < 0.5 {
                let outward = (place[0] * normal[0] + place[2] * normal[2]) / 0.5;
                assert!(outward > 0.999, "{place:?} {normal:?}");
            }
        }
    }
}
