//! The skirt: the ruled strip of film from the edge line down to the perimeter band.

use crate::boat::Rules;
use crate::geom::mesh::{Mesh, index};
use crate::hull::Hull;
use nalgebra::{Point3, Vector3};

/// A skirt.
pub(super) struct Skirt {
    /// The point of the band under each point of the edge.
    pub band: Vec<Point3<f64>>,
    /// Its area, m2.
    pub area: f64,
    /// Length of the band along its lower edge, m.
    pub band_length: f64,
}

/// The skirt under an edge.
pub(super) fn skirt(hull: &Hull, rules: &Rules, edge: &[Point3<f64>]) -> Skirt {
    let band: Vec<Point3<f64>> = edge
        .iter()
        .map(|p| hull.band_point(p, rules.band_drop))
        .collect();
    let count = edge.len() as u32;
    let points: Vec<Point3<f64>> = edge.iter().chain(&band).copied().collect();
    let upper: Vec<u32> = (0..count).collect();
    let lower: Vec<u32> = (count..2 * count).collect();
    let strip = Mesh {
        triangles: strip(&points, &upper, &lower),
        vertices: points,
    };
    let band_length = band
        .iter()
        .zip(band.iter().cycle().skip(1))
        .map(|(a, b)| (b - a).norm())
        .sum();
    Skirt {
        area: strip.area(),
        band,
        band_length,
    }
}

/// The skirt in rows one under the other: each a part of the way from the edge down to the band, and how far it
/// stands off outward in plan, m.
pub(super) fn in_rows(ends: &[[Point3<f64>; 2]], rows: &[(f64, f64)]) -> Mesh {
    let count = ends.len();
    let mut skirt = Mesh::default();
    for (down, off) in rows {
        for (k, [top, foot]) in ends.iter().enumerate() {
            // Outward in plan: square to the way along the edge, which runs counter-clockwise.
            let beside = |step: usize| ends.get((k + step) % count).map_or(*top, |pair| pair[0]);
            let along = beside(1) - beside(count - 1);
            let out = Vector3::new(along.y, -along.x, 0.0)
                .try_normalize(NO_WAY)
                .unwrap_or_else(Vector3::zeros);
            skirt.vertices.push(top + (foot - top) * *down + out * *off);
        }
    }
    let row = |row: usize| -> Vec<u32> { (0..count).map(|k| index(row * count + k)).collect() };
    for lower in 1..rows.len() {
        let strip = strip(&skirt.vertices, &row(lower - 1), &row(lower));
        skirt.triangles.extend(strip);
    }
    skirt
}

/// Neighbors on the edge nearer than this give no way along it, m.
const NO_WAY: f64 = 1e-9;

/// The closed strip between two lines of as many nodes, the upper one counter-clockwise from above: triangles
/// facing out. Each four corners are cut along their shorter diagonal, so that a strip and its mirror image are
/// cut alike.
pub(super) fn strip(points: &[Point3<f64>], upper: &[u32], lower: &[u32]) -> Vec<[u32; 3]> {
    let count = upper.len().min(lower.len());
    let at = |node: u32| points.get(node as usize).copied().unwrap_or_default();
    (0..count)
        .flat_map(|i| {
            let j = (i + 1) % count;
            let (a, b, c, d) = (upper[i], upper[j], lower[i], lower[j]);
            if (at(a) - at(d)).norm() < (at(b) - at(c)).norm() {
                [[a, c, d], [a, d, b]]
            } else {
                [[a, c, b], [c, d, b]]
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square of 4 m whose band hangs 0.5 m lower and 0.3 m further out: by hand its four strips are trapeziums.
    #[test]
    fn a_skirt_in_rows_is_the_plain_strip_cut_up() {
        let corner = |x: f64, y: f64, out: f64, z: f64| Point3::new(x * out, y * out, z);
        let ends: Vec<[Point3<f64>; 2]> = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .iter()
            .map(|(x, y)| [corner(*x, *y, 2.0, 1.0), corner(*x, *y, 2.3, 0.5)])
            .collect();
        let area = 4.0 * 0.5 * (4.0 + 4.6) * 0.5f64.hypot(0.3);
        for rows in [
            &[(0.0, 0.0), (1.0, 0.0)][..],
            &[(0.0, 0.0), (0.4, 0.0), (1.0, 0.0)],
        ] {
            let mesh = in_rows(&ends, rows);
            assert_eq!(mesh.vertices.len(), 4 * rows.len());
            assert!((mesh.area() - area).abs() < 1e-12, "{}", mesh.area());
        }
        // What stands off does so outward, along the diagonal of a corner.
        let off = in_rows(&ends, &[(0.0, 0.1), (1.0, 0.0)]);
        for (p, [top, _]) in off.vertices.iter().zip(&ends) {
            assert!(((p - top).norm() - 0.1).abs() < 1e-12);
            assert!(p.coords.xy().norm() > top.coords.xy().norm());
        }
        assert!(in_rows(&[], &[(0.0, 0.0), (1.0, 0.0)]).triangles.is_empty());
    }
}
