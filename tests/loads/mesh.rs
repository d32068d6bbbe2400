//! Plain meshes and films on them.

use hulltent::loads::{ElasticFilm, FilmLaw, LoadedShape, Parts};
use hulltent::num::bounded::Status;
use nalgebra::{Point2, Point3, Vector3};
use std::f64::consts::TAU;

/// Leaves nothing over in wrinkles: for films whose tension is small.
pub const NOTHING: f64 = 1e-8;

/// A flat mesh, and which of its nodes lie on its rim.
pub struct Flat {
    pub points: Vec<Point2<f64>>,
    pub triangles: Vec<[u32; 3]>,
    pub rim: Vec<bool>,
}

/// The square [-1, 1] x [-1, 1] in cells of which each is cut toward the middle.
pub fn square(cells: u32) -> Flat {
    let at = |k: u32| 2.0 * f64::from(k) / f64::from(cells) - 1.0;
    let mut flat = Flat {
        points: Vec::new(),
        triangles: Vec::new(),
        rim: Vec::new(),
    };
    for j in 0..=cells {
        for i in 0..=cells {
            flat.points.push(Point2::new(at(i), at(j)));
            flat.rim.push(i == 0 || j == 0 || i == cells || j == cells);
        }
    }
    for j in 0..cells {
        for i in 0..cells {
            let a = j * (cells + 1) + i;
            let [b, c, d] = [a + 1, a + cells + 2, a + cells + 1];
            flat.triangles
                .extend(if (i < cells / 2) == (j < cells / 2) {
                    [[a, b, c], [a, c, d]]
                } else {
                    [[a, b, d], [b, c, d]]
                });
        }
    }
    flat
}

/// The disk of radius 1 in rings.
pub fn disk(rings: u32) -> Flat {
    let mut flat = Flat {
        points: vec![Point2::origin()],
        triangles: Vec::new(),
        rim: vec![false],
    };
    let first = |ring: u32| {
        if ring == 0 {
            0
        } else {
            1 + 3 * ring * (ring - 1)
        }
    };
    for ring in 1..=rings {
        let radius = f64::from(ring) / f64::from(rings);
        for k in 0..6 * ring {
            let angle = TAU * f64::from(k) / f64::from(6 * ring);
            flat.points
                .push(Point2::new(radius * angle.cos(), radius * angle.sin()));
            flat.rim.push(ring == rings);
        }
    }
    // Six sextants: a ring has one node more in each than the one inside it.
    for ring in 1..=rings {
        for sextant in 0..6 {
            let outer = |k: u32| first(ring) + (sextant * ring + k) % (6 * ring);
            let inner = |k: u32| {
                let inside = ring - 1;
                first(inside)
                    + if inside == 0 {
                        0
                    } else {
                        (sextant * inside + k) % (6 * inside)
                    }
            };
            for k in 0..ring {
                flat.triangles.push([outer(k), outer(k + 1), inner(k)]);
                if k + 1 < ring {
                    flat.triangles.push([outer(k + 1), inner(k + 1), inner(k)]);
                }
            }
        }
    }
    flat
}

/// A film on a flat mesh at given heights, held along its rim and loaded evenly per plan area.
pub struct Laden {
    pub shape: LoadedShape,
    pub rest: Vec<Point3<f64>>,
    pub load: Vec<Vector3<f64>>,
}

impl Laden {
    /// Loads it; `pressure` in Pa downward.
    pub fn new(
        flat: &Flat,
        height: impl Fn(Point2<f64>) -> f64,
        law: FilmLaw,
        pressure: f64,
    ) -> Laden {
        let rest: Vec<Point3<f64>> = flat
            .points
            .iter()
            .map(|p| Point3::new(p.x, p.y, height(*p)))
            .collect();
        let mut load = vec![Vector3::zeros(); rest.len()];
        for triangle in &flat.triangles {
            let [a, b, c] = triangle.map(|node| flat.points[node as usize]);
            for node in triangle {
                load[*node as usize].z -= pressure * (b - a).perp(&(c - a)) / 6.0;
            }
        }
        let parts = Parts {
            points: &rest,
            triangles: &flat.triangles,
            fixed: &flat.rim,
            caps: &[],
            cables: &[],
            supports: &[],
        };
        let shape = ElasticFilm::new(parts, law).solve(&load, None);
        assert_eq!(shape.status, Status::Converged);
        let rounding = 1e-9;
        assert!(
            shape
                .energies
                .windows(2)
                .all(|pair| pair[1] <= pair[0] + rounding)
        );
        Laden { shape, rest, load }
    }

    /// How far the node nearest to a place went down, m.
    pub fn down(&self, at: Point2<f64>) -> f64 {
        let node = self.node(at);
        self.rest[node].z - self.shape.points[node].z
    }

    fn node(&self, at: Point2<f64>) -> usize {
        let distance = |node: &usize| (self.rest[*node].xy() - at).norm();
        (0..self.rest.len())
            .min_by(|a, b| distance(a).total_cmp(&distance(b)))
            .unwrap()
    }

    /// Principal pulls of the triangles about the node nearest to a place, their mean, N/m.
    pub fn pulls(&self, flat: &Flat, at: Point2<f64>) -> [f64; 2] {
        let node = self.node(at) as u32;
        let about: Vec<[f64; 2]> = flat
            .triangles
            .iter()
            .zip(&self.shape.pulls)
            .filter(|(triangle, _)| triangle.contains(&node))
            .map(|(_, pulls)| *pulls)
            .collect();
        [0, 1].map(|k| about.iter().map(|pulls| pulls[k]).sum::<f64>() / about.len() as f64)
    }

    /// What is left of load and reactions, N.
    pub fn left_over(&self) -> f64 {
        let held: Vector3<f64> = self.shape.reactions.iter().sum();
        let load: Vector3<f64> = self.load.iter().sum();
        (held + load).norm()
    }
}
