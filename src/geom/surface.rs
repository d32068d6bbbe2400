//! Measures of a height field: z over the plan as a triangle mesh.
//!
//! Everything here takes a [`Mesh`] whose triangles run counter-clockwise when seen from above, with
//! every index in range and every coordinate finite. The *rim* is made of the edges that belong to one
//! triangle only; it is where the surface ends and where whatever runs down it leaves.

mod place;
mod ponds;
mod run_off;

pub use ponds::{Pond, drains_everywhere, ponds};
pub use run_off::{RunOff, RunOffEnd, run_off};

use crate::geom::mesh::Mesh;
use nalgebra::{Point3, Vector3};

/// Angle of triangle `t` from the horizontal: 0 when level, a right angle when upright.
///
/// A triangle without area has no slope of its own and counts as level.
///
/// # Units
/// Coordinates in any one length; the answer in radians, 0 to pi/2.
pub fn slope(mesh: &Mesh, t: usize) -> f64 {
    let normal = doubled_normal(mesh, t);
    normal.x.hypot(normal.y).atan2(normal.z.abs())
}

/// Area of triangle `t` in space.
///
/// # Units
/// Square meters for coordinates in meters.
pub fn area(mesh: &Mesh, t: usize) -> f64 {
    doubled_normal(mesh, t).norm() / 2.0
}

/// Area of triangle `t` as seen from straight above.
///
/// # Units
/// Square meters for coordinates in meters.
pub fn plan_area(mesh: &Mesh, t: usize) -> f64 {
    doubled_normal(mesh, t).z.abs() / 2.0
}

/// For each triangle, the triangle across each of its edges; edge `k` runs from corner `k` to corner
/// `(k + 1) % 3`.
///
/// `None` marks the rim. An edge shared by three or more triangles cannot lie in a height field and is
/// treated as rim too, so that nothing crosses it. The cost is that of one sort of the edges.
pub fn edge_neighbors(mesh: &Mesh) -> Vec<[Option<u32>; 3]> {
    // Edges sorted by their lower vertex by counting, then within its few edges.
    let mut starts = vec![0_usize; mesh.vertices.len() + 1];
    let ends = |corners: &[u32; 3], k: usize| {
        let (a, b) = (corners[k], corners[(k + 1) % 3]);
        (a.min(b), a.max(b))
    };
    for corners in &mesh.triangles {
        for k in 0..3 {
            starts[ends(corners, k).0 as usize + 1] += 1;
        }
    }
    for v in 0..mesh.vertices.len() {
        starts[v + 1] += starts[v];
    }
    let mut next = starts.clone();
    let mut edges = vec![(0_u32, 0_u32, 0_usize); 3 * mesh.triangles.len()];
    for (t, corners) in (0_u32..).zip(&mesh.triangles) {
        for k in 0..3 {
            let (low, high) = ends(corners, k);
            edges[next[low as usize]] = (high, t, k);
            next[low as usize] += 1;
        }
    }
    let mut neighbors = vec![[None; 3]; mesh.triangles.len()];
    for v in 0..mesh.vertices.len() {
        let here = &mut edges[starts[v]..starts[v + 1]];
        here.sort_unstable();
        for shared in here.chunk_by(|p, q| p.0 == q.0) {
            if let [(_, t, k), (_, u, m)] = *shared {
                neighbors[t as usize][k] = Some(u);
                neighbors[u as usize][m] = Some(t);
            }
        }
    }
    neighbors
}

/// The vertices on the rim, ascending, each once. `neighbors` comes from [`edge_neighbors`].
pub fn rim_vertices(mesh: &Mesh, neighbors: &[[Option<u32>; 3]]) -> Vec<u32> {
    let mut rim = Vec::new();
    for (corners, across) in mesh.triangles.iter().zip(neighbors) {
        for k in 0..3 {
            if across[k].is_none() {
                rim.extend([corners[k], corners[(k + 1) % 3]]);
            }
        }
    }
    rim.sort_unstable();
    rim.dedup();
    rim
}

/// A set of triangles joined through their edges.
///
/// # Units
/// Meters, square meters and radians, for coordinates in meters.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    /// Its triangles, ascending.
    pub triangles: Vec<u32>,
    /// Area in space.
    pub area: f64,
    /// Center of that area; it need not lie on the surface.
    pub centroid: Point3<f64>,
    /// Its least slope: of its flattest triangle, where whoever reads a film does not say otherwise.
    pub least_slope: f64,
}

/// The connected components, over edges, of the triangles that `select` accepts: largest area first,
/// equal areas by their first triangle.
///
/// Triangles that meet in a vertex alone belong to different patches. `neighbors` comes from
/// [`edge_neighbors`]; `select` is asked once for each triangle.
pub fn patches(
    mesh: &Mesh,
    neighbors: &[[Option<u32>; 3]],
    select: impl Fn(usize) -> bool,
) -> Vec<Patch> {
    let mut wanted: Vec<bool> = (0..mesh.triangles.len()).map(select).collect();
    let mut found = Vec::new();
    for (t, first) in (0_u32..).take(wanted.len()).enumerate() {
        if !std::mem::take(&mut wanted[t]) {
            continue;
        }
        let mut triangles = vec![first];
        let mut reached = 0;
        while let Some(&u) = triangles.get(reached) {
            for next in neighbors[u as usize].into_iter().flatten() {
                if std::mem::take(&mut wanted[next as usize]) {
                    triangles.push(next);
                }
            }
            reached += 1;
        }
        triangles.sort_unstable();
        found.push(measure(mesh, triangles));
    }
    // A stable sort of patches found in the order of their first triangles settles equal areas.
    found.sort_by(|p, q| q.area.total_cmp(&p.area));
    found
}

fn measure(mesh: &Mesh, triangles: Vec<u32>) -> Patch {
    let mut total = 0.0;
    let mut moment = Vector3::zeros();
    let mut mean = Vector3::zeros();
    let mut least_slope = f64::INFINITY;
    for &t in &triangles {
        let part = area(mesh, t as usize);
        let [a, b, c] = corners(mesh, t as usize);
        let middle = (a.coords + b.coords + c.coords) / 3.0;
        total += part;
        moment += middle * part;
        mean += middle / triangles.len() as f64;
        least_slope = least_slope.min(slope(mesh, t as usize));
    }
    // Triangles without any area still have a place.
    let centroid = if total > 0.0 { moment / total } else { mean };
    Patch {
        triangles,
        area: total,
        centroid: Point3::from(centroid),
        least_slope,
    }
}

fn corners(mesh: &Mesh, t: usize) -> [Point3<f64>; 3] {
    mesh.triangles[t].map(|v| mesh.vertices[v as usize])
}

/// Normal whose length is twice the area, upward for a counter-clockwise triangle.
fn doubled_normal(mesh: &Mesh, t: usize) -> Vector3<f64> {
    let [a, b, c] = corners(mesh, t);
    (b - a).cross(&(c - a))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_4;

    /// Rounding of a few hundred sums of numbers near one.
    const ROUNDING: f64 = 1e-12;

    /// Square grid over [-width, width] x [-depth, depth] with the heights `z(x, y)`. Each cell is cut
    /// towards the middle of the square nearest to it, so that pyramids are met exactly.
    pub(super) fn grid(
        [width, depth]: [f64; 2],
        [nx, ny]: [u32; 2],
        z: impl Fn(f64, f64) -> f64,
    ) -> Mesh {
        let mut mesh = Mesh::default();
        for j in 0..=ny {
            for i in 0..=nx {
                let x = width * (f64::from(i) / f64::from(nx) * 2.0 - 1.0);
                let y = depth * (f64::from(j) / f64::from(ny) * 2.0 - 1.0);
                mesh.vertices.push(Point3::new(x, y, z(x, y)));
            }
        }
        let squares = (width / depth).round().max(1.0) as u32;
        for j in 0..ny {
            for i in 0..nx {
                let a = j * (nx + 1) + i;
                let [b, c, d] = [a + 1, a + nx + 2, a + nx + 1];
                let half = nx / squares;
                let rising = ((i % half) < half / 2) == (j < ny / 2);
                mesh.triangles.extend(if rising {
                    [[a, b, c], [a, c, d]]
                } else {
                    [[a, b, d], [b, c, d]]
                });
            }
        }
        mesh
    }

    /// The four faces of a square pyramid of base 2 and the given height (a hollow if negative).
    pub(super) fn pyramid(height: f64) -> Mesh {
        let base = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]];
        let mut vertices: Vec<_> = base.iter().map(|&[x, y]| Point3::new(x, y, 0.0)).collect();
        vertices.push(Point3::new(0.0, 0.0, height));
        Mesh {
            vertices,
            triangles: vec![[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]],
        }
    }

    /// Disk of radius `radius` in `rings` rings, with the heights `z(r)`.
    pub(super) fn disk(radius: f64, rings: u32, z: impl Fn(f64) -> f64) -> Mesh {
        let sectors = 6 * rings;
        let mut mesh = Mesh {
            vertices: vec![Point3::new(0.0, 0.0, z(0.0))],
            triangles: Vec::new(),
        };
        for ring in 1..=rings {
            let r = radius * f64::from(ring) / f64::from(rings);
            for s in 0..sectors {
                let angle = std::f64::consts::TAU * f64::from(s) / f64::from(sectors);
                mesh.vertices
                    .push(Point3::new(r * angle.cos(), r * angle.sin(), z(r)));
            }
        }
        for ring in 0..rings {
            for s in 0..sectors {
                let outer = 1 + ring * sectors;
                let [b, c] = [outer + s, outer + (s + 1) % sectors];
                if ring == 0 {
                    mesh.triangles.push([0, b, c]);
                } else {
                    let [a, d] = [b - sectors, c - sectors];
                    mesh.triangles.extend([[a, b, c], [a, c, d]]);
                }
            }
        }
        mesh
    }

    #[test]
    fn measures_a_triangle() {
        fn check(z: [f64; 3], want: [f64; 3], source: &str) {
            let mesh = Mesh {
                vertices: vec![
                    Point3::new(0.0, 0.0, z[0]),
                    Point3::new(1.0, 0.0, z[1]),
                    Point3::new(0.0, 1.0, z[2]),
                ],
                triangles: vec![[0, 1, 2]],
            };
            let got = [slope(&mesh, 0), area(&mesh, 0), plan_area(&mesh, 0)];
            for (got, want) in got.into_iter().zip(want) {
                assert!((got - want).abs() < ROUNDING, "{got} for {want}: {source}");
            }
        }
        check([0.0; 3], [0.0, 0.5, 0.5], "level right triangle");
        check([7.0; 3], [0.0, 0.5, 0.5], "the same, lifted");
        check(
            [0.0, 1.0, 0.0],
            [FRAC_PI_4, 0.5_f64.sqrt(), 0.5],
            "z = x rises one in one",
        );
        check(
            [0.0, 3.0, 4.0],
            [5.0_f64.atan(), 26.0_f64.sqrt() / 2.0, 0.5],
            "z = 3x + 4y has gradient 5",
        );
    }

    #[test]
    fn finds_neighbors_and_rim() {
        fn check(mesh: &Mesh, rim_edges: usize, rim: usize, source: &str) {
            let neighbors = edge_neighbors(mesh);
            let open = neighbors.iter().flatten().filter(|n| n.is_none()).count();
            assert_eq!(open, rim_edges, "rim edges: {source}");
            assert_eq!(rim_vertices(mesh, &neighbors).len(), rim, "rim: {source}");
            for (t, across) in neighbors.iter().enumerate() {
                for (k, &u) in across.iter().enumerate() {
                    let Some(u) = u else { continue };
                    let ends = [mesh.triangles[t][k], mesh.triangles[t][(k + 1) % 3]];
                    let other = mesh.triangles[u as usize];
                    assert!(ends.iter().all(|v| other.contains(v)), "{source}");
                    assert!(neighbors[u as usize].contains(&Some(t as u32)), "{source}");
                }
            }
        }
        let flat = |_: f64, _: f64| 0.0;
        check(&Mesh::default(), 0, 0, "nothing");
        check(&pyramid(1.0), 4, 4, "four sides, four corners");
        check(&grid([1.0, 1.0], [4, 6], flat), 20, 20, "2 (4 + 6) sides");
        check(&disk(1.0, 3, |_| 0.0), 18, 18, "18 sectors");
        let fan = Mesh {
            vertices: vec![Point3::origin(); 5],
            triangles: vec![[0, 1, 2], [1, 0, 3], [0, 1, 4]],
        };
        check(&fan, 9, 5, "an edge of three triangles is crossed by none");
    }

    #[test]
    fn gathers_patches() {
        fn check(select: &dyn Fn(usize) -> bool, want: &[(&[u32], [f64; 3])], source: &str) {
            let mesh = pyramid(1.0);
            let got = patches(&mesh, &edge_neighbors(&mesh), select);
            assert_eq!(got.len(), want.len(), "{source}");
            for (got, (triangles, centroid)) in got.iter().zip(want) {
                assert_eq!(got.triangles, *triangles, "{source}");
                let away = (got.centroid - Point3::from(*centroid)).norm();
                assert!(away < ROUNDING, "{:?}: {source}", got.centroid);
                let area = 2.0_f64.sqrt() * triangles.len() as f64;
                assert!((got.area - area).abs() < ROUNDING, "{source}");
                assert!((got.least_slope - FRAC_PI_4).abs() < ROUNDING, "{source}");
            }
        }
        // Base 2, height 1: each face rises at 45 degrees, has the area sqrt 2 and its center a third
        // of the way up, over two thirds of the way out.
        let third = 1.0 / 3.0;
        check(&|_| false, &[], "none");
        check(&|_| true, &[(&[0, 1, 2, 3], [0.0, 0.0, third])], "all");
        check(
            &|t| t % 2 == 0,
            &[
                (&[0], [0.0, -2.0 * third, third]),
                (&[2], [0.0, 2.0 * third, third]),
            ],
            "opposite faces meet in a vertex only; equal areas by first triangle",
        );
        check(
            &|t| t != 1,
            &[(&[0, 2, 3], [-2.0 * third * third, 0.0, third])],
            "three faces joined round the back",
        );
    }

    #[test]
    fn sorts_patches_by_area() {
        let mut mesh = grid([1.0, 1.0], [4, 4], |_, _| 0.0);
        mesh.vertices[24].z = 1.0; // a corner, which lifts the triangles about it
        let found = patches(&mesh, &edge_neighbors(&mesh), |t| !(2..=27).contains(&t));
        assert_eq!(found.len(), 2);
        assert!(found[0].area > found[1].area);
        assert_eq!(found[1].triangles, [0, 1]);
        assert_eq!(found[0].least_slope, 0.0);
    }
}
