//! Straps by their whole length, supports and grips: what they pull.

use super::ElasticFilm;
use super::blocks::{Blocks, Places};
use super::parts::{Cable, Support};
use nalgebra::{Point3, Vector3};

pub(super) struct Cap {
    pub(super) node: u32,
    pub(super) stiffness: Vector3<f64>,
    pub(super) at_rest: Vector3<f64>,
}

pub(super) struct SlidingCable {
    pub(super) nodes: Vec<u32>,
    pub(super) stiffness: f64,
    pub(super) lead: f64,
    /// Length and tension at rest.
    pub(super) drawn: f64,
    pub(super) tension: f64,
    pub(super) places: Vec<[Places; 3]>,
}

impl Cap {
    pub(super) fn grip(&self, film: &ElasticFilm, points: &[Point3<f64>]) -> Vector3<f64> {
        let moved = points[self.node as usize] - film.points[self.node as usize];
        self.at_rest - self.stiffness.component_mul(&moved)
    }
}

impl Support {
    pub(super) fn push(&self, points: &[Point3<f64>]) -> f64 {
        let under = self.height - points[self.node as usize].z;
        self.stiffness * under.max(0.0)
    }
}

impl SlidingCable {
    pub(super) fn new(cable: &Cable, points: &[Point3<f64>], blocks: &Blocks) -> SlidingCable {
        let length = length_along(points, &cable.nodes) + cable.lead;
        SlidingCable {
            nodes: cable.nodes.clone(),
            stiffness: cable.stiffness,
            lead: cable.lead,
            drawn: length,
            tension: cable.tension,
            places: cable
                .nodes
                .windows(2)
                .filter_map(|pair| match *pair {
                    [a, b] => Some([(a, a), (b, b), (a, b)].map(|(a, b)| blocks.places(a, b))),
                    _ => None,
                })
                .collect(),
        }
    }

    pub(super) fn length(&self, points: &[Point3<f64>]) -> f64 {
        length_along(points, &self.nodes) + self.lead
    }

    pub(super) fn tension(&self, length: f64) -> f64 {
        (self.tension + self.stiffness * (length / self.drawn - 1.0)).max(0.0)
    }
}

pub(super) fn length_along(points: &[Point3<f64>], nodes: &[u32]) -> f64 {
    let steps = nodes.windows(2).map(|pair| match *pair {
        [a, b] => thick(points[b as usize] - points[a as usize]),
        _ => 0.0,
    });
    steps.sum()
}

/// Length of a piece of strap whose nodes may slide into each other where film has gone slack: never under its own
/// thickness, so that it has a direction.
pub(super) fn thick(run: Vector3<f64>) -> f64 {
    /// m; it makes a strap of 2 in pieces longer by two parts in ten thousand.
    const THICKNESS: f64 = 1e-3;
    (run.norm_squared() + THICKNESS * THICKNESS).sqrt()
}
