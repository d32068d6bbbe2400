//! Least energy of a convex function of many variables above lower bounds.
//!
//! A projected Newton method (Bertsekas 1982, from memory): variables that lie on their bound and are
//! pressed against it are held, the others take a Newton step, the step is cut back to the bounds and
//! shortened until the energy falls. Newton's equations are solved by conjugate gradients with an earlier
//! factor as preconditioner, and factored anew only when that gets slow: the Hessian of a film changes
//! little from step to step.

use super::sparse::{Factor, SymmetricMatrix};

/// A convex energy over all nodes; only the unknown ones move.
pub trait Energy {
    /// Number of nodes.
    fn nodes(&self) -> usize;
    /// The unknown nodes, in the order of the matrix rows.
    fn unknowns(&self) -> &[u32];
    /// A zero matrix of the Hessian's pattern.
    fn pattern(&self) -> SymmetricMatrix;
    /// The energy alone.
    fn value(&self, z: &[f64]) -> f64;
    /// The energy, its gradient over all nodes and its Hessian over the unknown ones.
    fn derivatives(&self, z: &[f64], gradient: &mut [f64], hessian: &mut SymmetricMatrix) -> f64;
}

/// When to stop.
#[derive(Debug, Clone, Copy)]
pub struct Settings {
    /// Largest force left on any free node, in units of the gradient.
    pub tolerance: f64,
    /// Most Newton steps.
    pub most_iterations: usize,
}

/// How a minimisation ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Status {
    /// The residual is under the tolerance.
    Converged,
    /// The steps ran out.
    IterationLimit,
    /// No step lowers the energy any more; the residual tells how far it is off.
    Stalled,
}

/// Where the energy is least.
#[derive(Debug, Clone)]
pub struct Minimum {
    /// Height of each node.
    pub z: Vec<f64>,
    /// Gradient at each node: at a held node the force of its support, at a fixed one the pull there.
    pub gradient: Vec<f64>,
    /// Whether a node rests on its bound.
    pub held: Vec<bool>,
    /// Energy there.
    pub energy: f64,
    /// How it ended.
    pub status: Status,
    /// Newton steps taken.
    pub iterations: usize,
    /// Largest force left on a free node.
    pub residual: f64,
}

/// Relative error to which Newton's equations are solved: small enough to keep the method fast, large
/// enough to save most of the conjugate gradient steps.
const FORCING: f64 = 1e-2;

/// Conjugate gradient steps after which a fresh factor is cheaper.
const MAX_INNER: usize = 14;

/// More conjugate gradient steps than this, and the next Newton step gets a fresh factor: it costs about as
/// much as a dozen of them, and saves most of them in each step that follows.
const STALE: usize = 5;

/// Part of the predicted decrease that a step must reach (Armijo).
const SUFFICIENT: f64 = 1e-4;

/// Rounding of the energy, relative: decreases under it cannot be seen.
const ROUNDING: f64 = 4e-14;

/// Halvings of a step before it is given up.
const MAX_HALVINGS: usize = 40;

/// Minimises the energy from `start`, node `i` never below `lower[i]`. Nodes that are not unknown stay.
///
/// `newton` serves for energies of one pattern: the factor that one minimisation leaves behind is a start for the next.
pub fn minimise(
    energy: &impl Energy,
    start: &[f64],
    lower: &[f64],
    settings: Settings,
    newton: &mut Newton,
) -> Minimum {
    let unknowns = energy.unknowns();
    let size = unknowns.len();
    let mut z = start.to_vec();
    for &node in unknowns {
        let node = node as usize;
        z[node] = z[node].max(lower[node]);
    }
    let mut hessian = energy.pattern();
    let mut gradient = vec![0.0; energy.nodes()];
    let mut held = vec![false; size];
    let mut trial = z.clone();
    newton.fit(size);
    let mut status = Status::IterationLimit;
    let mut value = 0.0;
    let mut residual = f64::INFINITY;
    let mut iterations = 0;
    while iterations <= settings.most_iterations {
        value = energy.derivatives(&z, &mut gradient, &mut hessian);
        residual = 0.0f64;
        for (row, &node) in unknowns.iter().enumerate() {
            let node = node as usize;
            held[row] = z[node] <= lower[node] && gradient[node] > 0.0;
            if !held[row] {
                residual = residual.max(gradient[node].abs());
            }
        }
        if residual <= settings.tolerance {
            status = Status::Converged;
            break;
        }
        if iterations == settings.most_iterations {
            break;
        }
        let step = newton.step(&hessian, &held, unknowns, &gradient);
        let mut length = 1.0;
        let mut accepted = false;
        for _ in 0..MAX_HALVINGS {
            let mut predicted = 0.0;
            for (row, &node) in unknowns.iter().enumerate() {
                let node = node as usize;
                if !held[row] {
                    trial[node] = (z[node] + length * step[row]).max(lower[node]);
                    predicted += gradient[node] * (trial[node] - z[node]);
                }
            }
            let there = energy.value(&trial);
            if there <= value + SUFFICIENT * predicted.min(0.0) + ROUNDING * value.abs() {
                accepted = true;
                break;
            }
            length *= 0.5;
        }
        if !accepted {
            status = Status::Stalled;
            break;
        }
        z.copy_from_slice(&trial);
        iterations += 1;
    }
    let mut held_nodes = vec![false; energy.nodes()];
    for (row, &node) in unknowns.iter().enumerate() {
        held_nodes[node as usize] = held[row];
    }
    Minimum {
        z,
        gradient,
        held: held_nodes,
        energy: value,
        status,
        iterations,
        residual,
    }
}

/// Solves Newton's equations on the rows that are not held, keeping its factor between steps.
#[derive(Default)]
pub struct Newton {
    factor: Option<Factor>,
    factored: bool,
    step: Vec<f64>,
    residual: Vec<f64>,
    scaled: Vec<f64>,
    direction: Vec<f64>,
    image: Vec<f64>,
}

impl Newton {
    /// Makes room for so many rows; a factor of another size is dropped.
    fn fit(&mut self, size: usize) {
        if self.step.len() == size {
            return;
        }
        let row = || vec![0.0; size];
        *self = Newton {
            factor: None,
            factored: false,
            step: row(),
            residual: row(),
            scaled: row(),
            direction: row(),
            image: row(),
        };
    }

    /// The factor of a Hessian with the held rows decoupled; `None` where it is not positive definite.
    pub fn factor(&mut self, hessian: &SymmetricMatrix, held: &[bool]) -> Option<&mut Factor> {
        self.fit(hessian.size());
        if self.factor.is_none() {
            self.factor = Factor::new(hessian);
        }
        let factor = self.factor.as_mut()?;
        self.factored = factor.refactor(hessian, held);
        self.factored.then_some(factor)
    }

    fn step(
        &mut self,
        hessian: &SymmetricMatrix,
        held: &[bool],
        unknowns: &[u32],
        gradient: &[f64],
    ) -> &[f64] {
        if self.factor.is_none() {
            self.factor = Factor::new(hessian);
        }
        if !(self.factored && self.conjugate_gradients(hessian, held, unknowns, gradient)) {
            self.factored = self
                .factor
                .as_mut()
                .is_some_and(|factor| factor.refactor(hessian, held));
            self.conjugate_gradients(hessian, held, unknowns, gradient);
        }
        &self.step
    }

    /// Preconditioned conjugate gradients; `false` if they did not get there in time.
    fn conjugate_gradients(
        &mut self,
        hessian: &SymmetricMatrix,
        held: &[bool],
        unknowns: &[u32],
        gradient: &[f64],
    ) -> bool {
        self.step.fill(0.0);
        for (row, &node) in unknowns.iter().enumerate() {
            self.residual[row] = if held[row] {
                0.0
            } else {
                -gradient[node as usize]
            };
        }
        let mut past = 0.0;
        let mut first = 0.0;
        for inner in 0..=MAX_INNER {
            self.precondition(hessian, held);
            let product = dot(&self.residual, &self.scaled);
            if inner == 0 {
                first = product;
            }
            if product <= FORCING * FORCING * first {
                self.factored = inner <= STALE;
                return true;
            }
            if inner == MAX_INNER {
                break;
            }
            let keep = if inner == 0 { 0.0 } else { product / past };
            for (direction, scaled) in self.direction.iter_mut().zip(&self.scaled) {
                *direction = scaled + keep * *direction;
            }
            hessian.multiply(&self.direction, &mut self.image);
            for (image, held) in self.image.iter_mut().zip(held) {
                if *held {
                    *image = 0.0;
                }
            }
            let curvature = dot(&self.direction, &self.image);
            if curvature <= 0.0 {
                return inner > 0;
            }
            let length = product / curvature;
            for row in 0..self.step.len() {
                self.step[row] += length * self.direction[row];
                self.residual[row] -= length * self.image[row];
            }
            past = product;
        }
        false
    }

    fn precondition(&mut self, hessian: &SymmetricMatrix, held: &[bool]) {
        self.scaled.copy_from_slice(&self.residual);
        match &mut self.factor {
            Some(factor) if self.factored => factor.solve(&mut self.scaled),
            _ => {
                for (row, scaled) in self.scaled.iter_mut().enumerate() {
                    *scaled /= hessian.diagonal(row);
                }
            }
        }
        for (scaled, held) in self.scaled.iter_mut().zip(held) {
            if *held {
                *scaled = 0.0;
            }
        }
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
