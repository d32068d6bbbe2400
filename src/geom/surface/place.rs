//! Places in a triangle as it is seen from above.

use super::corners;
use crate::geom::mesh::Mesh;
use nalgebra::{Point2, Vector2};

/// Share of a triangle within which a point on its edge is taken to be at a corner, and a point inside
/// it to be on an edge: without it, rounding would let a line slip past the vertex that it runs into.
pub(super) const SNAP: f64 = 1e-9;

/// Twice the plan area over the longest side squared, under which a triangle has no slope to follow.
const SLIVER: f64 = 1e-14;

/// A point of a triangle by the weights of its corners; a weight of exactly 0 puts it on the opposite
/// edge, two of them in a corner.
#[derive(Clone, Copy)]
pub(super) struct Place {
    pub(super) t: usize,
    pub(super) weights: [f64; 3],
}

pub(super) enum Spot {
    Inside,
    /// On the edge of this number.
    Edge(usize),
    /// At the corner of this number.
    Corner(usize),
}

impl Place {
    /// Takes a point near an edge or a corner to be on it.
    pub(super) fn snapped(t: usize, weights: [f64; 3]) -> Self {
        let kept = weights.map(|w| if w < SNAP { 0.0 } else { w });
        let sum: f64 = kept.iter().sum();
        let weights = kept.map(|w| w / sum);
        Self { t, weights }
    }

    pub(super) fn corner(t: usize, k: usize) -> Self {
        let mut weights = [0.0; 3];
        weights[k] = 1.0;
        Self { t, weights }
    }

    pub(super) fn spot(&self) -> Spot {
        let off = self.weights.map(|w| w == 0.0);
        match off {
            [false, true, true] => Spot::Corner(0),
            [true, false, true] => Spot::Corner(1),
            [true, true, false] => Spot::Corner(2),
            [true, false, false] => Spot::Edge(1),
            [false, true, false] => Spot::Edge(2),
            [false, false, true] => Spot::Edge(0),
            _ => Spot::Inside,
        }
    }
}

/// A triangle seen from above.
pub(super) struct Plan {
    origin: Point2<f64>,
    b: Vector2<f64>,
    c: Vector2<f64>,
    doubled_area: f64,
}

impl Plan {
    /// `None` if the triangle is upright or without area, for then it has no gradient.
    pub(super) fn of(mesh: &Mesh, t: usize) -> Option<Self> {
        let [origin, b, c] = corners(mesh, t).map(|p| p.xy());
        let (b, c) = (b - origin, c - origin);
        let doubled_area = b.perp(&c);
        let longest = b.norm_squared().max(c.norm_squared());
        let longest = longest.max((c - b).norm_squared());
        (doubled_area.abs() > SLIVER * longest).then_some(Self {
            origin,
            b,
            c,
            doubled_area,
        })
    }

    /// Change of the corners' weights for a step in plan.
    pub(super) fn rates(&self, step: Vector2<f64>) -> [f64; 3] {
        let b = step.perp(&self.c) / self.doubled_area;
        let c = self.b.perp(&step) / self.doubled_area;
        [-b - c, b, c]
    }

    pub(super) fn weights(&self, point: Point2<f64>) -> [f64; 3] {
        let [a, b, c] = self.rates(point - self.origin);
        [1.0 + a, b, c]
    }

    pub(super) fn gradient(&self, z: [f64; 3]) -> Vector2<f64> {
        let (up_b, up_c) = (z[1] - z[0], z[2] - z[0]);
        Vector2::new(
            up_b * self.c.y - up_c * self.b.y,
            up_c * self.b.x - up_b * self.c.x,
        ) / self.doubled_area
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Point3;

    /// Rounding of a few products of numbers near one.
    const ROUNDING: f64 = 1e-14;

    fn triangle(points: [[f64; 3]; 3]) -> Mesh {
        Mesh {
            vertices: points.map(Point3::from).to_vec(),
            triangles: vec![[0, 1, 2]],
        }
    }

    #[test]
    fn weights_and_gradient_are_those_of_the_plane() {
        // z = 1 + 2 x - 3 y over (1, 1), (4, 2), (2, 5).
        let plane = |x: f64, y: f64| 1.0 + 2.0 * x - 3.0 * y;
        let points = [[1.0, 1.0], [4.0, 2.0], [2.0, 5.0]].map(|[x, y]| [x, y, plane(x, y)]);
        let plan = Plan::of(&triangle(points), 0).unwrap();
        let z = points.map(|p| p[2]);
        assert!((plan.gradient(z) - Vector2::new(2.0, -3.0)).norm() < ROUNDING);
        for [x, y] in [[1.0, 1.0], [2.0, 3.0], [-7.0, 0.5]] {
            let weights = plan.weights(Point2::new(x, y));
            let height: f64 = weights.iter().zip(z).map(|(w, z)| w * z).sum();
            assert!(
                (height - plane(x, y)).abs() < 10.0 * ROUNDING,
                "{weights:?}"
            );
        }
    }

    #[test]
    fn triangles_without_plan_have_no_gradient() {
        fn check(points: [[f64; 3]; 3], source: &str) {
            assert!(Plan::of(&triangle(points), 0).is_none(), "{source}");
        }
        check([[0.0; 3]; 3], "a point");
        check([[0.0; 3], [1.0, 1.0, 0.0], [3.0, 3.0, 1.0]], "upright");
        check([[0.0; 3], [1.0, 0.0, 0.0], [0.5, 1e-15, 0.0]], "a sliver");
    }

    #[test]
    fn snaps_to_edges_and_corners() {
        let spot = |weights| Place::snapped(0, weights).spot();
        assert!(matches!(spot([0.2, 0.3, 0.5]), Spot::Inside));
        assert!(matches!(spot([1e-12, 0.5, 0.5]), Spot::Edge(1)));
        assert!(matches!(spot([0.5, -1e-12, 0.5]), Spot::Edge(2)));
        assert!(matches!(spot([0.5, 0.5, 0.0]), Spot::Edge(0)));
        assert!(matches!(spot([0.0, 1e-12, 1.0]), Spot::Corner(2)));
        assert!(matches!(Place::corner(0, 1).spot(), Spot::Corner(1)));
    }
}
