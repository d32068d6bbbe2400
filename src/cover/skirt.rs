//! The skirt: the ruled strip of film from the edge line down to the perimeter band.

use crate::boat::Rules;
use crate::geom::mesh::Mesh;
use crate::hull::Hull;
use nalgebra::Point3;

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
