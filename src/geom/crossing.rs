//! Triangles that run through one another.

use nalgebra::{Point3, Vector3};
use parry3d_f64::partitioning::{Bvh, BvhBuildStrategy};

use crate::geom::mesh::{Mesh, doubled_area};
use crate::geom::parry::bounding_box;

/// Share of the mesh's size by which a corner must stand off a plane to be on one side of it:
/// well over the rounding of a product of coordinates, far below what a builder could cut.
const TOUCH: f64 = 1e-9;

impl Mesh {
    /// How many pairs of triangles run through one another or lie over one another in one
    /// plane. What only touches, as neighbors do at their common edge or corner, does not
    /// count.
    pub fn crossings(&self) -> usize {
        let Some((low, high)) = self.bounds() else {
            return 0;
        };
        let touch = (high - low).norm() * TOUCH;
        let triangles: Vec<[Point3<f64>; 3]> = self.corners().collect();
        let boxes: Vec<_> = triangles
            .iter()
            .map(|corners| bounding_box(corners))
            .collect();
        let tree = Bvh::from_leaves(BvhBuildStrategy::Binned, &boxes);
        let mut count = 0;
        for (i, (own, bounds)) in triangles.iter().zip(&boxes).enumerate() {
            let later = tree
                .intersect_aabb(bounds)
                .map(|j| j as usize)
                .filter(|&j| j > i);
            count += later
                .filter_map(|j| triangles.get(j))
                .filter(|other| cross(own, other, touch))
                .count();
        }
        count
    }
}

/// Whether two triangles cross or overlap in one plane by more than `touch`.
fn cross(a: &[Point3<f64>; 3], b: &[Point3<f64>; 3], touch: f64) -> bool {
    let (Some(normal_a), Some(normal_b)) = (
        doubled_area(a).try_normalize(0.0),
        doubled_area(b).try_normalize(0.0),
    ) else {
        return false;
    };
    let from_a = b.map(|p| normal_a.dot(&(p - a[0])));
    let from_b = a.map(|p| normal_b.dot(&(p - b[0])));
    if from_a.iter().all(|d| d.abs() <= touch) {
        return overlap(a, &normal_a, b, touch);
    }
    pierces(b, &from_a, a, &normal_a, touch) || pierces(a, &from_b, b, &normal_b, touch)
}

/// Whether an edge of `edges`, whose corners stand `heights` over the plane of `face`, goes
/// through the inside of `face`.
fn pierces(
    edges: &[Point3<f64>; 3],
    heights: &[f64; 3],
    face: &[Point3<f64>; 3],
    normal: &Vector3<f64>,
    touch: f64,
) -> bool {
    (0..3).any(|k| {
        let (from, to) = (heights[k], heights[(k + 1) % 3]);
        let through = from.min(to) < -touch && from.max(to) > touch;
        through && {
            let share = from / (from - to);
            let at = edges[k] + (edges[(k + 1) % 3] - edges[k]) * share;
            sides(face, normal)
                .iter()
                .all(|(start, inward)| inward.dot(&(at - start)) > touch)
        }
    })
}

/// For each edge of a triangle its start and the unit vector in the plane pointing inward.
fn sides(face: &[Point3<f64>; 3], normal: &Vector3<f64>) -> [(Point3<f64>, Vector3<f64>); 3] {
    [0, 1, 2].map(|k| {
        let along = face[(k + 1) % 3] - face[k];
        (
            face[k],
            normal.cross(&along).try_normalize(0.0).unwrap_or_default(),
        )
    })
}

/// Whether two triangles of one plane share some inside: no edge of either parts them.
fn overlap(a: &[Point3<f64>; 3], normal: &Vector3<f64>, b: &[Point3<f64>; 3], touch: f64) -> bool {
    let turned = doubled_area(b).dot(normal) < 0.0;
    let normal_b = if turned { -normal } else { *normal };
    let parted = |face: &[Point3<f64>; 3], normal: &Vector3<f64>, other: &[Point3<f64>; 3]| {
        sides(face, normal)
            .iter()
            .any(|(start, inward)| other.iter().all(|p| inward.dot(&(p - start)) <= touch))
    };
    !parted(a, normal, b) && !parted(b, &normal_b, a)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cube_at(x: f64, y: f64, z: f64) -> Mesh {
        Mesh::cuboid(Point3::new(x, y, z), Point3::new(x + 1.0, y + 1.0, z + 1.0))
    }

    fn check(name: &str, second: Mesh, crosses: bool) {
        let mut both = cube_at(0.0, 0.0, 0.0);
        both.append(&second);
        assert_eq!(
            both.crossings() > 0,
            crosses,
            "{name}: {}",
            both.crossings()
        );
    }

    #[test]
    fn only_what_runs_through_counts() {
        // By hand: one cube at the origin, another beside, on, in or through it.
        check("apart", cube_at(3.0, 0.0, 0.0), false);
        check("corner to corner", cube_at(1.0, 1.0, 1.0), false);
        check("edge to edge", cube_at(1.0, 1.0, 0.0), false);
        check("through a corner", cube_at(0.6, 0.7, 0.8), true);
        check("through a face", cube_at(0.2, 0.3, 0.4), true);
        check("face on face overlaps", cube_at(1.0, 0.3, 0.2), true);
        check("the same again", cube_at(0.0, 0.0, 0.0), true);
        check(
            "inside",
            Mesh::cuboid(Point3::new(0.2, 0.2, 0.2), Point3::new(0.8, 0.8, 0.8)),
            false,
        );
        assert_eq!(Mesh::default().crossings(), 0);
    }

    #[test]
    fn one_pair_is_one_pair() {
        // One triangle through the middle of another: exactly one pair, seen from either.
        let p = Point3::new;
        let mut mesh = Mesh {
            vertices: vec![
                p(0.0, 0.0, 0.0),
                p(4.0, 0.0, 0.0),
                p(0.0, 4.0, 0.0),
                p(1.0, 1.0, -1.0),
                p(1.2, 1.0, 1.0),
                p(0.8, 1.1, 1.0),
            ],
            triangles: vec![[0, 1, 2], [3, 4, 5]],
        };
        assert_eq!(mesh.crossings(), 1);
        mesh.triangles.swap(0, 1);
        assert_eq!(mesh.crossings(), 1);
    }
}
