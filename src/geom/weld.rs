//! Welding: corners that coincide become one.

use std::collections::BTreeMap;

use nalgebra::Point3;

use crate::geom::mesh::{Mesh, index};

/// Smallest welding distance in meters: below it the grid of the weld would run out of
/// whole numbers on a body of boat size.
const WELD_FLOOR: f64 = 1e-12;

/// Welding cells are this many welding distances wide, so that nearly every vertex looks
/// into one cell only.
const CELL_WIDTH: f64 = 64.0;

impl Mesh {
    /// Merges vertices that lie within `tolerance` of an earlier one, drops triangles that
    /// lose a corner by it, and vertices that no triangle uses. Returns, for each triangle
    /// that stays, its number before. Cost grows as n log n; the order of vertices decides
    /// which one stays, so the result is the same on every run.
    ///
    /// # Units
    /// Tolerance in meters.
    pub fn weld(&mut self, tolerance: f64) -> Vec<usize> {
        let renamed = self.coincident(tolerance.max(WELD_FLOOR));
        let mut kept = Vec::new();
        let mut triangles = Vec::new();
        for (number, triangle) in self.triangles.iter().enumerate() {
            let [a, b, c] = triangle.map(|at| renamed.get(at as usize).copied().unwrap_or(at));
            if a != b && b != c && c != a {
                kept.push(number);
                triangles.push([a, b, c]);
            }
        }
        self.triangles = triangles;
        self.drop_unused();
        kept
    }

    /// For each vertex the lowest-numbered vertex within `tolerance` that stays.
    fn coincident(&self, tolerance: f64) -> Vec<u32> {
        let width = tolerance * CELL_WIDTH;
        let cell = |c: f64| (c / width).floor() as i64;
        let mut grid: BTreeMap<[i64; 3], Vec<(u32, Point3<f64>)>> = BTreeMap::new();
        let mut renamed = Vec::with_capacity(self.vertices.len());
        for (number, p) in self.vertices.iter().enumerate() {
            let span = |c: f64| cell(c - tolerance)..=cell(c + tolerance);
            let mut found: Option<u32> = None;
            for i in span(p.x) {
                for j in span(p.y) {
                    for k in span(p.z) {
                        for (earlier, q) in grid.get(&[i, j, k]).into_iter().flatten() {
                            if (q - p).norm() <= tolerance && found.is_none_or(|f| *earlier < f) {
                                found = Some(*earlier);
                            }
                        }
                    }
                }
            }
            let own = index(number);
            if found.is_none() {
                grid.entry([cell(p.x), cell(p.y), cell(p.z)])
                    .or_default()
                    .push((own, *p));
            }
            renamed.push(found.unwrap_or(own));
        }
        renamed
    }

    fn drop_unused(&mut self) {
        let mut used = vec![false; self.vertices.len()];
        for &at in self.triangles.iter().flatten() {
            if let Some(mark) = used.get_mut(at as usize) {
                *mark = true;
            }
        }
        let mut renamed = vec![u32::MAX; self.vertices.len()];
        let mut vertices = Vec::new();
        for ((p, name), _) in self
            .vertices
            .iter()
            .zip(&mut renamed)
            .zip(&used)
            .filter(|(_, u)| **u)
        {
            *name = index(vertices.len());
            vertices.push(*p);
        }
        self.vertices = vertices;
        for at in self.triangles.iter_mut().flatten() {
            *at = renamed.get(*at as usize).copied().unwrap_or(u32::MAX);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn welding_is_by_distance() {
        let square = |gap: f64| Mesh {
            vertices: [
                (0., 0.),
                (1., 0.),
                (1., 1.),
                (0., gap),
                (1., 1. + gap),
                (0., 1.),
                (5., 5.),
            ]
            .map(|(x, y)| Point3::new(x, y, 0.0))
            .to_vec(),
            triangles: vec![[0, 1, 2], [3, 4, 5], [0, 3, 1]],
        };
        for (gap, vertices, kept) in [
            (0.0, 4, vec![0, 1]),
            (9e-4, 4, vec![0, 1]),
            (2e-3, 6, vec![0, 1, 2]),
        ] {
            let mut mesh = square(gap);
            assert_eq!(mesh.weld(1e-3), kept, "gap {gap}");
            assert_eq!(mesh.vertices.len(), vertices, "gap {gap}");
            let again = mesh.clone();
            mesh.weld(1e-3);
            assert_eq!(mesh, again, "welding twice changes nothing");
        }
    }
}
