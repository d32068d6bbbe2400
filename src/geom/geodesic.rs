//! Straight lines on a surface: walked over the triangles of a mesh, unfolding each into the next.
//!
//! On a polyhedron the straightest line keeps its angle with every edge it crosses (Polthier and Schmies 1998,
//! from memory). Curvature sits in the vertices: lines that pass a vertex on either side draw together, or
//! apart, by its angle deficit, so that bundles of lines feel it as Jacobi's equation says.

use crate::geom::mesh::{Mesh, doubled_area};
use crate::geom::surface::edge_neighbors;
use nalgebra::{Point3, Vector3};

/// A mesh ready to be walked on.
pub struct Walker<'a> {
    mesh: &'a Mesh,
    neighbors: Vec<[Option<u32>; 3]>,
}

/// A line over a surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// Its corners: the start, every crossing of an edge, the end, m.
    pub points: Vec<Point3<f64>>,
    /// Length from the start to each, m.
    pub runs: Vec<f64>,
    /// Unit vectors in the surface to the right of the line, seen from outside, on the piece that ends at each
    /// corner (the first corner has that of the first piece).
    pub rights: Vec<Vector3<f64>>,
    /// The triangle of the piece that ends at each corner (the first corner has that of the first piece).
    pub triangles: Vec<u32>,
    /// Whether it came to the rim, rather than to its longest run.
    pub at_rim: bool,
}

/// Edges that a line may cross for each triangle of the mesh; a line that crosses more goes in circles.
const CROSSINGS: usize = 2;

/// A direction that falls on an edge by less than this, as the sine of the angle, does not cross it.
const GRAZING: f64 = 1e-12;

impl<'a> Walker<'a> {
    /// Gets a mesh ready; triangles must be counter-clockwise seen from outside, with every index in range.
    pub fn new(mesh: &'a Mesh) -> Walker<'a> {
        Walker {
            mesh,
            neighbors: edge_neighbors(mesh),
        }
    }

    /// The triangle across edge `k` (from corner `k` to the next) of triangle `t`.
    pub fn across(&self, t: u32, k: usize) -> Option<u32> {
        *self.neighbors.get(t as usize)?.get(k)?
    }

    /// Walks from a point of triangle `t` in a direction, until the rim or `longest`.
    ///
    /// # Units
    /// Meters; the direction may have any length, and is laid into the triangle's plane.
    pub fn walk(
        &self,
        t: u32,
        from: Point3<f64>,
        direction: Vector3<f64>,
        longest: f64,
    ) -> Option<Walk> {
        let mut t = t;
        let mut entered: Option<usize> = None;
        let mut at = from;
        let normal = self.normal(t)?;
        let mut heading = (direction - normal * normal.dot(&direction)).try_normalize(GRAZING)?;
        let mut walk = Walk {
            points: vec![from],
            runs: vec![0.0],
            rights: vec![heading.cross(&normal)],
            triangles: vec![t],
            at_rim: false,
        };
        let mut run = 0.0;
        for _ in 0..CROSSINGS * self.mesh.triangles.len() {
            let corners = self.mesh.triangle(t as usize);
            let normal = self.normal(t)?;
            let (k, far) = exit(&corners, normal, at, heading, entered)?;
            let right = heading.cross(&normal);
            let step = far.min(longest - run);
            at += heading * step;
            run += step;
            walk.points.push(at);
            walk.runs.push(run);
            walk.rights.push(right);
            walk.triangles.push(t);
            if run >= longest {
                return Some(walk);
            }
            let Some(next) = self.across(t, k) else {
                walk.at_rim = true;
                return Some(walk);
            };
            let (a, b) = (corners[k], corners[(k + 1) % 3]);
            let along = (b - a).try_normalize(0.0)?;
            let outward = along.cross(&normal);
            let next_normal = self.normal(next)?;
            // The neighbor runs along the shared edge the other way; its inward side is this.
            let inward = along.cross(&next_normal);
            heading = along * heading.dot(&along) + inward * heading.dot(&outward);
            let edge = [
                self.mesh.triangles[t as usize][k],
                self.mesh.triangles[t as usize][(k + 1) % 3],
            ];
            let nodes = self.mesh.triangles[next as usize];
            entered = (0..3).find(|&m| [nodes[(m + 1) % 3], nodes[m]] == edge);
            t = next;
        }
        None
    }

    fn normal(&self, t: u32) -> Option<Vector3<f64>> {
        doubled_area(&self.mesh.triangle(t as usize)).try_normalize(0.0)
    }
}

/// Which edge of a triangle a line leaves by, and after what distance.
fn exit(
    corners: &[Point3<f64>; 3],
    normal: Vector3<f64>,
    at: Point3<f64>,
    heading: Vector3<f64>,
    entered: Option<usize>,
) -> Option<(usize, f64)> {
    let mut best: Option<(usize, f64)> = None;
    for k in (0..3).filter(|k| Some(*k) != entered) {
        let (a, b) = (corners[k], corners[(k + 1) % 3]);
        let outward = (b - a).cross(&normal).try_normalize(0.0)?;
        let rate = heading.dot(&outward);
        if rate <= GRAZING {
            continue;
        }
        let far = (outward.dot(&(a - at)) / rate).max(0.0);
        if best.is_none_or(|(_, least)| far < least) {
            best = Some((k, far));
        }
    }
    best
}

impl Walk {
    /// Length of the whole line, m.
    pub fn length(&self) -> f64 {
        self.runs.last().copied().unwrap_or(0.0)
    }

    /// Its end.
    pub fn end(&self) -> Option<Point3<f64>> {
        self.points.last().copied()
    }

    /// The point after a run, and the unit vector to the right of the line there; runs beyond its ends give
    /// its ends.
    ///
    /// # Units
    /// Meters.
    pub fn at(&self, run: f64) -> Option<(Point3<f64>, Vector3<f64>)> {
        let after = self
            .runs
            .partition_point(|r| *r < run)
            .clamp(1, self.runs.len().max(2) - 1);
        let (a, b) = (*self.points.get(after - 1)?, *self.points.get(after)?);
        let (ra, rb) = (*self.runs.get(after - 1)?, *self.runs.get(after)?);
        let part = if rb > ra {
            ((run - ra) / (rb - ra)).clamp(0.0, 1.0)
        } else {
            0.0
        };
        Some((a + (b - a) * part, *self.rights.get(after)?))
    }
}
