//! The skirt: the ruled strip of film from the edge line down to the perimeter band.

use crate::boat::Rules;
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
    let (mut area, mut band_length) = (0.0, 0.0);
    for i in 0..edge.len() {
        let j = (i + 1) % edge.len();
        area += triangle(edge[i], edge[j], band[i]) + triangle(band[i], edge[j], band[j]);
        band_length += (band[j] - band[i]).norm();
    }
    Skirt {
        band,
        area,
        band_length,
    }
}

fn triangle(a: Point3<f64>, b: Point3<f64>, c: Point3<f64>) -> f64 {
    0.5 * (b - a).cross(&(c - a)).norm()
}
