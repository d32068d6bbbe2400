//! Triangle meshes and their measures.

use nalgebra::{Point3, Vector3};

pub use crate::geom::sanity::{MeshFault, SLIVER};

/// A triangle mesh, triangles counterclockwise seen from outside.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Mesh {
    /// Corner points (m).
    pub vertices: Vec<Point3<f64>>,
    /// Three indices into `vertices` for each triangle.
    pub triangles: Vec<[u32; 3]>,
}

/// A vertex number as a mesh index; a number beyond the index range becomes one that
/// `sanity_check` rejects.
pub(crate) fn index(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// Twice the area of a triangle, as a vector along its normal.
pub(crate) fn doubled_area(corners: &[Point3<f64>; 3]) -> Vector3<f64> {
    (corners[1] - corners[0]).cross(&(corners[2] - corners[0]))
}

/// Height of a triangle over its longest edge, as a share of that edge.
pub(crate) fn thickness(corners: &[Point3<f64>; 3]) -> f64 {
    let [a, b, c] = corners;
    let longest = (b - a)
        .norm_squared()
        .max((c - b).norm_squared())
        .max((a - c).norm_squared());
    if longest > 0.0 {
        doubled_area(corners).norm() / longest
    } else {
        0.0
    }
}

impl Mesh {
    /// The three corners of triangle `i`; corners that do not exist are not-a-number points,
    /// which every check rejects.
    ///
    /// # Units
    /// Meters.
    pub fn triangle(&self, i: usize) -> [Point3<f64>; 3] {
        self.corners_of(self.triangles.get(i).copied().unwrap_or([u32::MAX; 3]))
    }

    /// The corners of every triangle in order.
    ///
    /// # Units
    /// Meters.
    pub fn corners(&self) -> impl Iterator<Item = [Point3<f64>; 3]> + '_ {
        self.triangles
            .iter()
            .map(|&triangle| self.corners_of(triangle))
    }

    fn corners_of(&self, triangle: [u32; 3]) -> [Point3<f64>; 3] {
        let missing = Point3::new(f64::NAN, f64::NAN, f64::NAN);
        triangle.map(|at| self.vertices.get(at as usize).copied().unwrap_or(missing))
    }

    /// Sum of the triangle areas.
    ///
    /// # Units
    /// Square meters.
    pub fn area(&self) -> f64 {
        self.corners()
            .map(|corners| doubled_area(&corners).norm() / 2.0)
            .sum()
    }

    /// Signed enclosed volume by the divergence theorem: positive when the triangles face out.
    /// Means something for closed meshes only.
    ///
    /// # Units
    /// Cubic meters.
    pub fn volume(&self) -> f64 {
        // Taken about a point of the mesh, so that a body far from the origin loses no digits.
        let Some(origin) = self.vertices.first() else {
            return 0.0;
        };
        let six: f64 = self
            .corners()
            .map(|[a, b, c]| (a - origin).dot(&(b - origin).cross(&(c - origin))))
            .sum();
        six / 6.0
    }

    /// Adds the vertices and triangles of another mesh; nothing is welded.
    pub fn append(&mut self, other: &Mesh) {
        let shift = index(self.vertices.len());
        self.vertices.extend_from_slice(&other.vertices);
        let shifted = other
            .triangles
            .iter()
            .map(|t| t.map(|at| at.saturating_add(shift)));
        self.triangles.extend(shifted);
    }

    /// The same mesh moved by a vector.
    ///
    /// # Units
    /// Meters.
    pub fn moved(&self, by: Vector3<f64>) -> Mesh {
        Mesh {
            vertices: self.vertices.iter().map(|p| p + by).collect(),
            triangles: self.triangles.clone(),
        }
    }

    /// Lowest and highest corner of the box round all vertices; none without vertices.
    ///
    /// # Units
    /// Meters.
    pub fn bounds(&self) -> Option<(Point3<f64>, Point3<f64>)> {
        let first = self.vertices.first()?;
        Some(
            self.vertices
                .iter()
                .fold((*first, *first), |(low, high), p| (low.inf(p), high.sup(p))),
        )
    }

    /// What is missing to a full turn at each vertex: `2 pi` less the angles of the triangles
    /// that meet there. On a closed body of the topology of a ball the sum is `4 pi` (Descartes).
    ///
    /// # Units
    /// Radians.
    pub fn angle_deficits(&self) -> Vec<f64> {
        let mut deficits = vec![std::f64::consts::TAU; self.vertices.len()];
        for (triangle, corners) in self.triangles.iter().zip(self.corners()) {
            for k in 0..3 {
                let (at, next, last) = (corners[k], corners[(k + 1) % 3], corners[(k + 2) % 3]);
                if let Some(deficit) = deficits.get_mut(triangle[k] as usize) {
                    let (u, v) = (next - at, last - at);
                    // The arc tangent keeps its digits where an arc cosine would lose them.
                    *deficit -= u.cross(&v).norm().atan2(u.dot(&v));
                }
            }
        }
        deficits
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_2, PI};

    fn unit_cube() -> Mesh {
        Mesh::cuboid(Point3::origin(), Point3::new(1.0, 1.0, 1.0))
    }

    /// A ball of radius 1: an octahedron split four times, corners pushed out to the ball.
    fn ball() -> Mesh {
        let point = |x, y, z| Point3::new(x, y, z);
        let mut mesh = Mesh {
            vertices: vec![
                point(1.0, 0.0, 0.0),
                point(0.0, 1.0, 0.0),
                point(-1.0, 0.0, 0.0),
                point(0.0, -1.0, 0.0),
                point(0.0, 0.0, 1.0),
                point(0.0, 0.0, -1.0),
            ],
            triangles: (0..4)
                .flat_map(|k| [[k, (k + 1) % 4, 4], [(k + 1) % 4, k, 5]])
                .collect(),
        };
        for _ in 0..4 {
            let mut finer = Mesh::default();
            for [a, b, c] in mesh.corners() {
                let half = |p: Point3<f64>, q: Point3<f64>| {
                    Point3::from(nalgebra::center(&p, &q).coords.normalize())
                };
                let (d, e, f) = (half(a, b), half(b, c), half(c, a));
                for [p, q, r] in [[a, d, f], [d, b, e], [f, e, c], [d, e, f]] {
                    let at = index(finer.vertices.len());
                    finer.vertices.extend([p, q, r]);
                    finer.triangles.push([at, at + 1, at + 2]);
                }
            }
            finer.weld(1e-9);
            mesh = finer;
        }
        mesh
    }

    fn check(name: &str, got: f64, wanted: f64, tolerance: f64) {
        assert!(
            (got - wanted).abs() <= tolerance,
            "{name}: {got} instead of {wanted}"
        );
    }

    #[test]
    fn measures_of_known_bodies() {
        let brick = Mesh::cuboid(Point3::new(9.0, 9.0, 9.0), Point3::new(11.0, 12.0, 13.0));
        check("brick area", brick.area(), 52.0, 1e-12); // 2 (2x3 + 3x4 + 2x4)
        check("brick volume", brick.volume(), 24.0, 1e-12);
        let ball = ball();
        assert_eq!(ball.vertices.len(), 1026); // 4^(n+1) + 2 on a split octahedron
        check("ball area", ball.area(), 4.0 * PI, 0.05);
        check("ball volume", ball.volume(), 4.0 / 3.0 * PI, 0.03);
        assert_eq!(ball.sanity_check(), Ok(()));
        assert_eq!(ball.crossings(), 0);
    }

    #[test]
    fn the_ball_is_approached_with_second_order() {
        // Chords of a split octahedron: the error falls by four with each split.
        let fine = 4.0 * PI - ball().area();
        let mut coarse = ball();
        let (mut twice, mut errors) = (Mesh::default(), Vec::new());
        for _ in 0..2 {
            // Every fourth triangle of a split is its middle: its corners are edge middles.
            for middle in coarse.triangles.chunks(4) {
                let corner = |k: usize, at: usize| coarse.vertices[middle[k][at] as usize];
                let start = index(twice.vertices.len());
                twice
                    .vertices
                    .extend([corner(0, 0), corner(1, 1), corner(2, 2)]);
                twice.triangles.push([start, start + 1, start + 2]);
            }
            errors.push(4.0 * PI - twice.area());
            coarse = std::mem::take(&mut twice);
        }
        check("order", (errors[0] / fine).log2(), 2.0, 0.02);
        check("order", (errors[1] / errors[0]).log2(), 2.0, 0.05);
    }

    #[test]
    fn angle_deficits_follow_descartes() {
        // Closed ball mesh 4 pi, cube 8 x pi/2 (Descartes' theorem).
        let cube = unit_cube().angle_deficits();
        assert_eq!(cube.len(), 8);
        for deficit in &cube {
            check("cube corner", *deficit, FRAC_PI_2, 1e-12);
        }
        check("ball", ball().angle_deficits().iter().sum(), 4.0 * PI, 1e-9);
    }

    #[test]
    fn wigley_grid() {
        // y = B/2 (1-(2x/L)^2)(1-(z/T)^2), L 8, B 0.8, T 0.5, 40 cells along x, 20 along z, all
        // cells halved the same way: S 9.521898, V 1.420445, computed independently.
        let (cells, rows, length, beam, draught) = (40, 20, 8.0, 0.8, 0.5);
        let at = |i: usize, j: usize, side: f64| {
            let (u, w) = (
                2.0 * i as f64 / cells as f64 - 1.0,
                j as f64 / rows as f64 - 1.0,
            );
            let y = beam / 2.0 * (1.0 - u * u) * (1.0 - w * w);
            Point3::new(u * length / 2.0, side * y, w * draught)
        };
        let (mut shells, mut deck) = (Mesh::default(), Mesh::default());
        let add = |mesh: &mut Mesh, quad: [Point3<f64>; 4]| {
            let k = index(mesh.vertices.len());
            mesh.vertices.extend(quad);
            mesh.triangles
                .extend([[k, k + 1, k + 2], [k, k + 2, k + 3]]);
        };
        for i in 0..cells {
            for j in 0..rows {
                let corners = |s| {
                    [
                        at(i, j, s),
                        at(i + 1, j, s),
                        at(i + 1, j + 1, s),
                        at(i, j + 1, s),
                    ]
                };
                add(&mut shells, corners(-1.0));
                let [a, b, c, d] = corners(1.0);
                add(&mut shells, [a, d, c, b]);
                let k = shells.triangles.len() - 2;
                // The port side halved by the same diagonal as the starboard one.
                assert_eq!(shells.triangle(k)[0], a);
                assert_eq!(shells.triangle(k)[2], c);
            }
            let (aft, fore) = (|s| at(i, rows, s), |s| at(i + 1, rows, s));
            add(&mut deck, [aft(-1.0), fore(-1.0), fore(1.0), aft(1.0)]);
        }
        check("S", shells.area(), 9.521898, 1e-6);
        shells.append(&deck);
        check("V", shells.volume(), 1.420445, 1e-6);
    }
}
