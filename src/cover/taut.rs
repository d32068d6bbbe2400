//! The energy of a taut film and its straps as heights over the plan.
//!
//! E(z) = film tension x area + sum of strap tension x length + sum of load x height. As a height over the
//! plan each term is convex, so there is one answer whatever the start.

use crate::num::bounded::{Energy, Minimum, Newton, Settings, minimise};
use crate::num::sparse::SymmetricMatrix;
use nalgebra::Point2;

/// A piece of strap along an edge of the mesh.
#[derive(Debug, Clone, Copy)]
pub struct StrapEdge {
    /// Its two nodes.
    pub nodes: [u32; 2],
    /// Tension, N.
    pub tension: f64,
}

/// What the film is made of, ready to be solved.
pub struct TautFilm {
    facets: Vec<Facet>,
    straps: Vec<StrapPiece>,
    load: Vec<f64>,
    nodes: usize,
    unknowns: Vec<u32>,
    pattern: SymmetricMatrix,
}

/// One triangle: the gradients of its three hat functions, its tension times plan area, and where its
/// six couplings stand in the matrix.
struct Facet {
    nodes: [u32; 3],
    hats: [[f64; 2]; 3],
    weight: f64,
    entries: [u32; 6],
}

struct StrapPiece {
    nodes: [u32; 2],
    plan_squared: f64,
    tension: f64,
    entries: [u32; 3],
}

/// Stands for a coupling with a fixed node, which the matrix does not have.
const NONE: u32 = u32::MAX;

/// Local node pairs of the six couplings of a triangle.
const COUPLINGS: [(usize, usize); 6] = [(0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (2, 0)];

/// Residual force at which a film is solved, as a part of film tension times edge length: far under
/// anything that a post or pad could feel, well over rounding.
const RESIDUAL: f64 = 1e-8;

/// The same for a film that another one starts from.
const ROUGH_RESIDUAL: f64 = 1e-5;

/// Newton steps given to a film; thirty times what a film needs.
const MAX_ITERATIONS: usize = 200;

/// How near to rest a film is solved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Precision {
    /// As a start for another.
    Rough,
    /// To be read.
    Fine,
}

impl TautFilm {
    /// Prepares a film over a mesh.
    ///
    /// `fixed` marks the nodes that do not move (the rim); `load` is a vertical load per plan area.
    ///
    /// # Units
    /// Points m, film tension N/m, load N/m2 (positive downward).
    pub fn new(
        points: &[Point2<f64>],
        triangles: &[[u32; 3]],
        straps: &[StrapEdge],
        fixed: &[bool],
        film_tension: f64,
        load: f64,
    ) -> TautFilm {
        let mut row_of = vec![NONE; points.len()];
        let mut unknowns = Vec::new();
        for (node, fixed) in fixed.iter().enumerate() {
            if !fixed {
                row_of[node] = unknowns.len() as u32;
                unknowns.push(node as u32);
            }
        }
        let both_free = |[a, b]: [u32; 2]| {
            let pair = [row_of[a as usize], row_of[b as usize]];
            (pair[0] != NONE && pair[1] != NONE).then_some(pair)
        };
        let pairs: Vec<[u32; 2]> = triangles
            .iter()
            .flat_map(|[a, b, c]| [[*a, *b], [*b, *c], [*c, *a]])
            .chain(straps.iter().map(|strap| strap.nodes))
            .filter_map(both_free)
            .collect();
        let pattern = SymmetricMatrix::with_pattern(unknowns.len(), &pairs);
        let entry = |a: u32, b: u32| {
            both_free([a, b])
                .and_then(|[a, b]| pattern.entry(a, b))
                .map_or(NONE, |place| place as u32)
        };
        let mut node_load = vec![0.0; points.len()];
        let facets = triangles
            .iter()
            .map(|&nodes| {
                let [a, b, c] = nodes.map(|node| points[node as usize]);
                let doubled = (b - a).perp(&(c - a));
                let hat =
                    |p: Point2<f64>, q: Point2<f64>| [(p.y - q.y) / doubled, (q.x - p.x) / doubled];
                for node in nodes {
                    node_load[node as usize] += load * 0.5 * doubled / 3.0;
                }
                Facet {
                    nodes,
                    hats: [hat(b, c), hat(c, a), hat(a, b)],
                    weight: film_tension * 0.5 * doubled,
                    entries: COUPLINGS.map(|(i, j)| entry(nodes[i], nodes[j])),
                }
            })
            .collect();
        let straps = straps
            .iter()
            .map(|strap| {
                let [a, b] = strap.nodes;
                StrapPiece {
                    nodes: strap.nodes,
                    plan_squared: (points[b as usize] - points[a as usize]).norm_squared(),
                    tension: strap.tension,
                    entries: [entry(a, a), entry(b, b), entry(a, b)],
                }
            })
            .collect();
        TautFilm {
            facets,
            straps,
            load: node_load,
            nodes: points.len(),
            unknowns,
            pattern,
        }
    }

    /// The film's shape of least energy above `lower`, from any start. Fixed nodes keep their start.
    ///
    /// # Units
    /// Heights m; the result's gradient is in N.
    pub fn solve(&self, start: &[f64], lower: &[f64], tension: f64, cell: f64) -> Minimum {
        let scale = tension * cell;
        self.solve_again(start, lower, scale, Precision::Fine, &mut Newton::default())
    }

    /// The same with what a solution over other heights has left behind.
    ///
    /// # Units
    /// `scale` is the film's tension times the cell, N: what is left over is measured by it.
    pub fn solve_again(
        &self,
        start: &[f64],
        lower: &[f64],
        scale: f64,
        precision: Precision,
        newton: &mut Newton,
    ) -> Minimum {
        let residual = match precision {
            Precision::Rough => ROUGH_RESIDUAL,
            Precision::Fine => RESIDUAL,
        };
        let settings = Settings {
            tolerance: residual * scale,
            most_iterations: MAX_ITERATIONS,
        };
        minimise(self, start, lower, settings, newton)
    }
}

impl Facet {
    fn gradient(&self, z: &[f64]) -> [f64; 2] {
        let [a, b, c] = self.nodes.map(|node| z[node as usize]);
        [0, 1].map(|k| a * self.hats[0][k] + b * self.hats[1][k] + c * self.hats[2][k])
    }
}

impl Energy for TautFilm {
    fn nodes(&self) -> usize {
        self.nodes
    }

    fn unknowns(&self) -> &[u32] {
        &self.unknowns
    }

    fn pattern(&self) -> SymmetricMatrix {
        self.pattern.clone()
    }

    fn value(&self, z: &[f64]) -> f64 {
        let film: f64 = self
            .facets
            .iter()
            .map(|facet| {
                let [p, q] = facet.gradient(z);
                facet.weight * (1.0 + p * p + q * q).sqrt()
            })
            .sum();
        let straps: f64 = self
            .straps
            .iter()
            .map(|strap| {
                let rise = z[strap.nodes[1] as usize] - z[strap.nodes[0] as usize];
                strap.tension * (strap.plan_squared + rise * rise).sqrt()
            })
            .sum();
        let load: f64 = self.load.iter().zip(z).map(|(load, z)| load * z).sum();
        film + straps + load
    }

    fn derivatives(&self, z: &[f64], gradient: &mut [f64], hessian: &mut SymmetricMatrix) -> f64 {
        gradient.copy_from_slice(&self.load);
        hessian.values.fill(0.0);
        let mut energy: f64 = self.load.iter().zip(z).map(|(load, z)| load * z).sum();
        let values = &mut hessian.values;
        for facet in &self.facets {
            let [p, q] = facet.gradient(z);
            let stretch = (1.0 + p * p + q * q).sqrt();
            energy += facet.weight * stretch;
            let first = facet.weight / stretch;
            let second = first / (stretch * stretch);
            let along = facet.hats.map(|[x, y]| p * x + q * y);
            for (node, along) in facet.nodes.iter().zip(along) {
                gradient[*node as usize] += first * along;
            }
            for (&place, (i, j)) in facet.entries.iter().zip(COUPLINGS) {
                if place != NONE {
                    let ([ax, ay], [bx, by]) = (facet.hats[i], facet.hats[j]);
                    values[place as usize] +=
                        first * (ax * bx + ay * by) - second * along[i] * along[j];
                }
            }
        }
        for strap in &self.straps {
            let [a, b] = strap.nodes.map(|node| node as usize);
            let rise = z[b] - z[a];
            let length = (strap.plan_squared + rise * rise).sqrt();
            energy += strap.tension * length;
            let pull = strap.tension * rise / length;
            gradient[a] -= pull;
            gradient[b] += pull;
            let stiffness = strap.tension * strap.plan_squared / (length * length * length);
            for (place, sign) in strap.entries.iter().zip([1.0, 1.0, -1.0]) {
                if *place != NONE {
                    values[*place as usize] += sign * stiffness;
                }
            }
        }
        energy
    }
}
