//! A mesh cut by an upright plane, athwart or along.

use crate::geom::mesh::Mesh;
use nalgebra::Point3;
use std::collections::BTreeMap;

/// Which coordinate is constant in the plane of a cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Axis {
    /// Constant x: the cut is seen along x, in (y, z).
    X,
    /// Constant y: the cut is seen along y, in (x, z).
    Y,
}

impl Axis {
    /// How far a point lies along it.
    pub fn along(self, p: &Point3<f64>) -> f64 {
        match self {
            Axis::X => p.x,
            Axis::Y => p.y,
        }
    }

    /// Where a point is seen in the plane: its other level coordinate, its height.
    pub fn seen(self, p: &Point3<f64>) -> [f64; 2] {
        match self {
            Axis::X => [p.y, p.z],
            Axis::Y => [p.x, p.z],
        }
    }
}

/// Where a mesh is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Corners of the line of the cut as [`Axis::seen`] gives them, m.
    pub points: Vec<[f64; 2]>,
    /// The triangle of the mesh in which each piece of the line lies; piece `k` starts at point `k`. A line that goes
    /// back to its start has as many pieces as points, another one piece less.
    pub triangles: Vec<u32>,
    /// Whether it goes back to its start.
    pub closed: bool,
}

/// The cut of a mesh at a constant x: closed loops through a closed mesh, open lines through a surface. A vertex
/// in the plane counts as behind it, so that every cut edge is cut once.
///
/// # Units
/// Meters.
pub fn slice(mesh: &Mesh, x: f64) -> Vec<Cut> {
    slice_across(mesh, Axis::X, x)
}

/// The same at a constant coordinate of either kind.
///
/// # Units
/// Meters.
pub fn slice_across(mesh: &Mesh, axis: Axis, at: f64) -> Vec<Cut> {
    type Edge = (u32, u32);
    let mut next: BTreeMap<Edge, (Edge, u32)> = BTreeMap::new();
    let mut before: BTreeMap<Edge, Edge> = BTreeMap::new();
    let behind = |v: u32| {
        let p = mesh.vertices.get(v as usize);
        p.is_none_or(|p| axis.along(p) <= at)
    };
    for (t, &[a, b, c]) in (0u32..).zip(&mesh.triangles) {
        let (mut out, mut into) = (None, None);
        for (from, to) in [(a, b), (b, c), (c, a)] {
            let edge = (from.min(to), from.max(to));
            match (behind(from), behind(to)) {
                (true, false) => out = Some(edge),
                (false, true) => into = Some(edge),
                _ => {}
            }
        }
        if let (Some(out), Some(into)) = (out, into) {
            next.insert(out, (into, t));
            before.insert(into, out);
        }
    }
    let point = |&(a, b): &Edge| {
        let (p, q) = (
            mesh.vertices.get(a as usize)?,
            mesh.vertices.get(b as usize)?,
        );
        let s = (at - axis.along(p)) / (axis.along(q) - axis.along(p));
        Some(axis.seen(&(p + (q - p) * s)))
    };
    let mut cuts = Vec::new();
    while let Some(&first) = next
        .keys()
        .find(|edge| !before.contains_key(edge))
        .or(next.keys().next())
    {
        let mut edges = vec![first];
        let mut triangles = Vec::new();
        let mut at = first;
        let mut closed = false;
        while let Some((to, triangle)) = next.remove(&at) {
            before.remove(&to);
            triangles.push(triangle);
            if to == first {
                closed = true;
                break;
            }
            edges.push(to);
            at = to;
        }
        cuts.push(Cut {
            points: edges.iter().filter_map(point).collect(),
            triangles,
            closed,
        });
    }
    cuts
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Point3;

    /// A box 2 long, 4 wide and 3 high: its cuts along are 2 by 3, athwart 4 by 3, and every piece lies in the triangle
    /// that is named for it.
    #[test]
    fn cuts_along_and_athwart() {
        let solid = Mesh::cuboid(Point3::new(0.0, -1.0, 0.0), Point3::new(2.0, 3.0, 3.0));
        for (axis, at, size) in [(Axis::X, 0.7, [4.0, 3.0]), (Axis::Y, 0.7, [2.0, 3.0])] {
            let cuts = slice_across(&solid, axis, at);
            assert_eq!(cuts.len(), 1);
            let cut = &cuts[0];
            assert_eq!((cut.closed, cut.triangles.len()), (true, cut.points.len()));
            for k in 0..2 {
                let reach = |pick: fn(f64, f64) -> f64, start: f64| {
                    cut.points.iter().map(|p| p[k]).fold(start, pick)
                };
                let span = reach(f64::max, f64::NEG_INFINITY) - reach(f64::min, f64::INFINITY);
                assert!((span - size[k]).abs() < 1e-12, "{axis:?} {span}");
            }
            for (k, t) in cut.triangles.iter().enumerate() {
                let corners = solid.triangle(*t as usize);
                let normal = (corners[1] - corners[0]).cross(&(corners[2] - corners[0]));
                for end in [cut.points[k], cut.points[(k + 1) % cut.points.len()]] {
                    let p = match axis {
                        Axis::X => Point3::new(at, end[0], end[1]),
                        Axis::Y => Point3::new(end[0], at, end[1]),
                    };
                    assert!((p - corners[0]).dot(&normal).abs() < 1e-12, "{axis:?} {p}");
                }
            }
        }
    }

    #[test]
    fn cuts_of_a_box_and_of_a_surface() {
        let solid = Mesh::cuboid(Point3::new(0.0, -1.0, 0.0), Point3::new(2.0, 1.0, 3.0));
        let mut open = solid.clone();
        // Without its floor: a surface whose cut does not come back.
        open.triangles.retain(|triangle| {
            let floor = |v: &u32| open.vertices[*v as usize].z == 0.0;
            !triangle.iter().all(floor)
        });
        for (mesh, x, closed, length) in [
            (&solid, 0.7, Some(true), 10.0),
            (&solid, 0.0, Some(true), 10.0),
            (&open, 0.7, Some(false), 8.0),
            (&solid, 2.0, None, 0.0),
            (&solid, -0.1, None, 0.0),
        ] {
            let cuts = slice(mesh, x);
            assert_eq!(cuts.first().map(|cut| cut.closed), closed, "{x}");
            assert!(cuts.len() < 2, "{x}: {cuts:?}");
            let found: f64 = cuts
                .iter()
                .map(|cut| {
                    let back = cut.closed.then_some(&cut.points[0]);
                    let round: Vec<_> = cut.points.iter().chain(back).collect();
                    round
                        .windows(2)
                        .map(|p| (p[1][0] - p[0][0]).hypot(p[1][1] - p[0][1]))
                        .sum::<f64>()
                })
                .sum();
            assert!((found - length).abs() < 1e-12, "{x}: {found}");
        }
    }
}
