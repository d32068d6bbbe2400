//! A triangle of film: its unstressed shape, how it is stretched, and how its pull changes with that.

use super::super::law::Response;
use super::blocks::Places;
use nalgebra::{Matrix3, Point3, Vector2, Vector3};

/// A triangle: gradients of its hat functions over the unstressed film, its unstressed area, how far it is stretched at
/// rest, and where its couplings stand in the matrix.
pub(super) struct Facet {
    pub(super) nodes: [u32; 3],
    pub(super) hats: [Vector2<f64>; 3],
    pub(super) area: f64,
    /// It lies on a cap and is never stretched further.
    pub(super) stiff: bool,
    pub(super) places: Box<[Places; 6]>,
}

/// Hat gradients and area of the unstressed triangle; `None` where it has no area.
pub(super) fn flat_facet(
    [a, b, c]: [Point3<f64>; 3],
    shrink: f64,
) -> Option<([Vector2<f64>; 3], f64)> {
    let (ab, ac) = ((b - a) * shrink, (c - a) * shrink);
    let base = ab.norm();
    let along = ac.dot(&ab) / base;
    let doubled = ab.cross(&ac).norm();
    if doubled.is_nan() || doubled <= 0.0 {
        return None;
    }
    let high = doubled / base;
    let [p, q, r] = [
        Vector2::zeros(),
        Vector2::new(base, 0.0),
        Vector2::new(along, high),
    ];
    let hat = |p: Vector2<f64>, q: Vector2<f64>| Vector2::new(p.y - q.y, q.x - p.x) / doubled;
    Some(([hat(q, r), hat(r, p), hat(p, q)], 0.5 * doubled))
}

/// A facet as it is stretched: its principal stretches, and their directions in space and on the unstressed film.
pub(super) struct Stretched {
    pub(super) stretches: [f64; 2],
    /// First, second, upright on both.
    pub(super) space: [Vector3<f64>; 3],
    pub(super) film: [Vector2<f64>; 2],
}

impl Stretched {
    pub(super) fn of(facet: &Facet, points: &[Point3<f64>]) -> Stretched {
        let mut sides = [Vector3::zeros(); 2];
        for (node, hat) in facet.nodes.iter().zip(&facet.hats) {
            let point = points[*node as usize].coords;
            sides[0] += point * hat.x;
            sides[1] += point * hat.y;
        }
        let [p, q] = sides;
        let (a, b, c) = (p.norm_squared(), p.dot(&q), q.norm_squared());
        let (mean, half) = (0.5 * (a + c), 0.5 * (a - c));
        let radius = half.hypot(b);
        let turn = 0.5 * b.atan2(half);
        let film = [
            Vector2::new(turn.cos(), turn.sin()),
            Vector2::new(-turn.sin(), turn.cos()),
        ];
        let stretches = [(mean + radius).sqrt(), (mean - radius).max(0.0).sqrt()];
        let image = |v: Vector2<f64>| p * v.x + q * v.y;
        let first = image(film[0]) / stretches[0].max(NO_STRETCH);
        let second = if stretches[1] > NO_STRETCH {
            image(film[1]) / stretches[1]
        } else {
            // Crushed to a line: any direction square to it.
            let other = if first.z.abs() < 0.9 {
                Vector3::z()
            } else {
                Vector3::x()
            };
            first.cross(&other).normalize()
        };
        Stretched {
            stretches,
            space: [first, second, first.cross(&second)],
            film,
        }
    }

    /// Force on a corner, as the energy's gradient there.
    pub(super) fn force(&self, facet: &Facet, pull: [f64; 2], corner: usize) -> Vector3<f64> {
        let hat = facet.hats[corner];
        (self.space[0] * (pull[0] * self.film[0].dot(&hat))
            + self.space[1] * (pull[1] * self.film[1].dot(&hat)))
            * facet.area
    }
}

/// Second derivatives of a facet's energy by its deformation, in the frame of its principal directions: stretching
/// along each, their coupling, shear within the film, turning out of it.
pub(super) struct Tangent {
    pub(super) along: [f64; 2],
    pub(super) mixed: f64,
    /// Of a corner's shift along the one direction with the other's gradient: with itself, and crosswise.
    pub(super) shear: [f64; 2],
    pub(super) out: [f64; 2],
}

impl Tangent {
    pub(super) fn of(stretched: &Stretched, response: &Response) -> Tangent {
        let [first, second] = stretched.stretches;
        let [p, q] = response.pull;
        let [along, across, mixed] = response.stiffness;
        // Half of what pulls differ by over half of what stretches differ by; at equal stretches its limit.
        let apart = first - second;
        let differ = if apart > SAME_STRETCH {
            (p - q) / apart
        } else {
            along - mixed
        };
        let together = (p + q) / (first + second).max(NO_STRETCH);
        Tangent {
            along: [along, across],
            mixed,
            shear: [0.5 * (differ + together), 0.5 * (differ - together)],
            out: [p / first.max(NO_STRETCH), q / second.max(NO_STRETCH)],
        }
    }

    pub(super) fn block(
        &self,
        stretched: &Stretched,
        i: Vector2<f64>,
        j: Vector2<f64>,
    ) -> Matrix3<f64> {
        let [u, v, n] = stretched.space;
        let (a, b) = (stretched.film[0].dot(&i), stretched.film[1].dot(&i));
        let (c, d) = (stretched.film[0].dot(&j), stretched.film[1].dot(&j));
        let uu = self.along[0] * a * c + self.shear[0] * b * d;
        let vv = self.along[1] * b * d + self.shear[0] * a * c;
        let uv = self.mixed * a * d + self.shear[1] * b * c;
        let vu = self.mixed * b * c + self.shear[1] * a * d;
        let nn = self.out[0] * a * c + self.out[1] * b * d;
        u * (u.transpose() * uu + v.transpose() * uv)
            + v * (v.transpose() * vv + u.transpose() * vu)
            + n * (n.transpose() * nn)
    }
}

/// A stretch under this is none.
pub(super) const NO_STRETCH: f64 = 1e-9;

/// Stretches nearer to each other than this are taken as equal.
pub(super) const SAME_STRETCH: f64 = 1e-9;
