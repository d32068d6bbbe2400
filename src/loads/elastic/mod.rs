//! The loaded film: elastic film of large displacement over elastic straps, above whatever it rests on.
//!
//! Each node may move in all three directions from where it hangs at rest. Energy: film as in [`FilmLaw`], straps by their
//! whole length (so that they slide without friction through whatever they are led over), rests that only push up, less the work
//! of the load, whose direction does not change. Every term is convex: one answer, whatever the start and the order of loading.

mod blocks;
mod energy;
mod parts;
mod strap;
mod stretch;

pub use parts::{Cable, Grip, LoadedShape, Parts, Support};

use super::law::{FilmLaw, State};
use crate::num::newton::{Settings, descend};
use crate::num::sparse::{Factor, SymmetricMatrix};
use blocks::{Blocks, number_unknowns, pattern};
use energy::Loaded;
use nalgebra::{Point3, Vector3};
use strap::{Cap, SlidingCable, thick};
use stretch::{Facet, Stretched, flat_facet};

/// An elastic film, ready to be loaded.
pub struct ElasticFilm {
    points: Vec<Point3<f64>>,
    law: FilmLaw,
    facets: Vec<Facet>,
    cables: Vec<SlidingCable>,
    supports: Vec<Support>,
    caps: Vec<Cap>,
    /// The unknowns of each node: how far it moves along x, y, z.
    unknowns_at: Vec<[u32; 3]>,
    unknowns: usize,
    pattern: SymmetricMatrix,
    factor: Option<Factor>,
    /// What an edge of the film pulls at rest, about, N.
    usual_force: f64,
}

/// Stands for a coupling with a fixed node.
const NONE: u32 = u32::MAX;

/// Local node pairs of the six couplings of a triangle.
const COUPLINGS: [(usize, usize); 6] = [(0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (2, 0)];

/// Residual force at which a film is solved, as a part of what a node carries, so that all of them together stay under that part
/// of the load, and of what an edge pulls.
const RESIDUAL: f64 = 1e-6;

/// No less is asked for, as a part of what an edge pulls: well over rounding.
const FINEST: f64 = 1e-8;

/// Newton steps given to a film; several times what a film needs.
const MAX_ITERATIONS: usize = 120;

/// Farthest that a node moves in one step, m: film under heavy load starts soft, and its first step would go through the floor.
const LONGEST_STEP: f64 = 0.3;

impl ElasticFilm {
    /// Prepares a film.
    pub fn new(parts: Parts, law: FilmLaw) -> ElasticFilm {
        let points = parts.points;
        let (unknowns_at, unknowns) = number_unknowns(&parts);
        let pattern = pattern(&unknowns_at, unknowns, &parts);
        let blocks = Blocks {
            unknowns_at: &unknowns_at,
            pattern: &pattern,
        };
        let shrink = 1.0 / law.rest_stretch();
        let facets: Vec<Facet> = parts
            .triangles
            .iter()
            .filter_map(|nodes| {
                let [a, b, c] = nodes.map(|node| points[node as usize]);
                let (hats, area) = flat_facet([a, b, c], shrink)?;
                let moves = nodes.map(|node| unknowns_at[node as usize]);
                Some(Facet {
                    nodes: *nodes,
                    hats,
                    area,
                    stiff: moves[0] == moves[1] && moves[1] == moves[2],
                    places: Box::new(COUPLINGS.map(|(i, j)| blocks.places(nodes[i], nodes[j]))),
                })
            })
            .collect();
        let cables = parts
            .cables
            .iter()
            .map(|cable| SlidingCable::new(cable, points, &blocks))
            .collect();
        let (pull, edge) = scale(&parts, &law);
        let mut film = ElasticFilm {
            points: points.to_vec(),
            law,
            facets,
            cables,
            supports: parts.supports.to_vec(),
            caps: Vec::new(),
            unknowns_at,
            unknowns,
            pattern,
            factor: None,
            usual_force: pull * edge,
        };
        film.caps = film.grip(parts.caps);
        film
    }

    /// The caps' grips, which hold at rest what pulls them sideways.
    fn grip(&self, caps: &[(Vec<u32>, Grip)]) -> Vec<Cap> {
        let mut forces = vec![Vector3::zeros(); self.points.len()];
        self.pull_on_nodes(&self.points, &mut forces);
        caps.iter()
            .filter_map(|(nodes, grip)| {
                let pull: Vector3<f64> = nodes.iter().map(|node| forces[*node as usize]).sum();
                let [x, y] = grip.stiffness;
                Some(Cap {
                    node: *nodes.first()?,
                    stiffness: Vector3::new(x, y, 0.0),
                    at_rest: Vector3::new(pull.x, pull.y, 0.0),
                })
            })
            .collect()
    }

    /// Where the film hangs at rest.
    pub fn points(&self) -> &[Point3<f64>] {
        &self.points
    }

    /// What each triangle pulls along its principal directions per unstressed width, the greater first, and what the film does
    /// there, when the nodes are at some places.
    ///
    /// # Units
    /// Points m, pulls N/m.
    pub fn pulls(&self, points: &[Point3<f64>]) -> Vec<([f64; 2], State)> {
        self.facets
            .iter()
            .map(|facet| {
                let response = self.law.respond(Stretched::of(facet, points).stretches);
                (response.pull, response.state)
            })
            .collect()
    }

    /// Solves the film under forces on its nodes, from rest or from a shape that it had under another load.
    ///
    /// # Units
    /// `load` in N.
    pub fn solve(&mut self, load: &[Vector3<f64>], from: Option<&[Point3<f64>]>) -> LoadedShape {
        let start = self.unknowns_of(from.unwrap_or(&self.points));
        let settings = Settings {
            tolerance: self.tolerance(load),
            most_iterations: MAX_ITERATIONS,
            longest_step: LONGEST_STEP,
        };
        let mut factor = self.factor.take();
        let lowest = descend(&Loaded { film: self, load }, &start, settings, &mut factor);
        self.factor = factor;
        let points = self.positions(&lowest.x);
        let mut forces = vec![Vector3::zeros(); points.len()];
        self.pull_on_nodes(&points, &mut forces);
        let reactions = forces
            .iter()
            .zip(load)
            .zip(&self.unknowns_at)
            .map(|((force, load), unknowns)| match unknowns {
                [NONE, ..] => force - load,
                _ => Vector3::zeros(),
            })
            .collect();
        let (pulls, states) = self.pulls(&points).into_iter().unzip();
        LoadedShape {
            pulls,
            states,
            cable_tensions: self
                .cables
                .iter()
                .map(|cable| cable.tension(cable.length(&points)))
                .collect(),
            pushes: self
                .supports
                .iter()
                .map(|support| support.push(&points))
                .collect(),
            grips: self
                .caps
                .iter()
                .map(|cap| cap.grip(self, &points))
                .collect(),
            reactions,
            energies: lowest.energies,
            status: lowest.status,
            residual: lowest.residual,
            points,
        }
    }

    /// Largest force that may be left over at a node, N: small beside what the film pulls and what a node carries.
    fn tolerance(&self, load: &[Vector3<f64>]) -> f64 {
        let carried: f64 = load.iter().map(|force| force.norm()).sum();
        let mean = carried / load.len().max(1) as f64;
        (RESIDUAL * mean).clamp(FINEST * self.usual_force, RESIDUAL * self.usual_force)
    }

    fn unknowns_of(&self, points: &[Point3<f64>]) -> Vec<f64> {
        let mut x = vec![0.0; self.unknowns];
        for ((point, rest), unknowns) in points.iter().zip(&self.points).zip(&self.unknowns_at) {
            for (unknown, moved) in unknowns.iter().zip((point - rest).iter()) {
                if *unknown != NONE {
                    x[*unknown as usize] = *moved;
                }
            }
        }
        x
    }

    fn positions(&self, x: &[f64]) -> Vec<Point3<f64>> {
        self.points
            .iter()
            .zip(&self.unknowns_at)
            .map(|(rest, unknowns)| match *unknowns {
                [NONE, ..] => *rest,
                unknowns => rest + Vector3::from(unknowns.map(|unknown| x[unknown as usize])),
            })
            .collect()
    }

    /// The gradient of the energy without the load, at every node.
    fn pull_on_nodes(&self, points: &[Point3<f64>], forces: &mut [Vector3<f64>]) {
        for facet in self.facets.iter().filter(|facet| !facet.stiff) {
            let stretched = Stretched::of(facet, points);
            let pull = self.law.respond(stretched.stretches).pull;
            for (k, node) in facet.nodes.iter().enumerate() {
                forces[*node as usize] +=
                    stretched.force(facet, pull, k) + self.left_over(facet, points, k);
            }
        }
        for cable in &self.cables {
            let tension = cable.tension(cable.length(points));
            for pair in cable.nodes.windows(2) {
                if let [a, b] = *pair {
                    let (a, b) = (a as usize, b as usize);
                    let run = points[b] - points[a];
                    let along = run * (tension / thick(run));
                    forces[a] -= along;
                    forces[b] += along;
                }
            }
        }
        for support in &self.supports {
            forces[support.node as usize].z -= support.push(points);
        }
        for cap in &self.caps {
            forces[cap.node as usize] -= cap.grip(self, points);
        }
    }

    /// Force on a corner of a facet from the stiffness that is left over.
    fn left_over(&self, facet: &Facet, points: &[Point3<f64>], corner: usize) -> Vector3<f64> {
        let weight = self.law.left_over * self.law.stiffness * facet.area;
        let mut force = Vector3::zeros();
        for (k, node) in facet.nodes.iter().enumerate() {
            let moved = points[*node as usize] - self.points[*node as usize];
            force += moved * (weight * facet.hats[k].dot(&facet.hats[corner]));
        }
        force
    }
}

/// A pull and a length that are usual in a film and its straps: what residuals are held against.
fn scale(parts: &Parts, law: &FilmLaw) -> (f64, f64) {
    let sides = parts.triangles.iter().map(|[a, b, _]| [*a, *b]);
    let pieces = parts.cables.iter().flat_map(|cable| {
        let pairs = cable.nodes.windows(2);
        pairs.filter_map(|pair| <[u32; 2]>::try_from(pair).ok())
    });
    let (count, sum) = sides
        .chain(pieces)
        .map(|[a, b]| (parts.points[b as usize] - parts.points[a as usize]).norm())
        .fold((0.0, 0.0), |(count, sum), length| {
            (count + 1.0, sum + length)
        });
    let pull = law.tension.max(MIN_STRAIN * law.stiffness);
    (pull, sum / f64::max(count, 1.0))
}

/// Film without tension at rest counts as if it had this strain.
const MIN_STRAIN: f64 = 1e-3;

#[cfg(test)]
mod tests;
