//! Least energy of a smooth convex function of many variables.
//!
//! Newton's method with a line search. The Hessian is a sparse matrix and a few terms of rank one: a strap that
//! slides couples all the places that it runs past, and a matrix with all those couplings would be full. The sparse part
//! is factored, the terms of rank one are brought in by the formula of Sherman, Morrison and Woodbury (from memory).

use super::bounded::Status;
use super::sparse::{Factor, SymmetricMatrix};
use nalgebra::{DMatrix, DVector};

/// A term of rank one of a Hessian: `weight` times the outer product of a sparse vector with itself.
#[derive(Debug, Clone, Default)]
pub struct RankOne {
    /// Its factor, not negative.
    pub weight: f64,
    /// The vector's entries: unknown and value.
    pub entries: Vec<(u32, f64)>,
}

/// A smooth convex energy.
pub trait Smooth {
    /// Number of unknowns.
    fn unknowns(&self) -> usize;
    /// A zero matrix of the sparse Hessian's pattern.
    fn pattern(&self) -> SymmetricMatrix;
    /// The energy alone.
    fn value(&self, x: &[f64]) -> f64;
    /// The energy, its gradient, the sparse part of its Hessian and the terms of rank one.
    fn derivatives(
        &self,
        x: &[f64],
        gradient: &mut [f64],
        hessian: &mut SymmetricMatrix,
        terms: &mut Vec<RankOne>,
    ) -> f64;
}

/// When to stop.
#[derive(Debug, Clone, Copy)]
pub struct Settings {
    /// Largest gradient left at any unknown.
    pub tolerance: f64,
    /// Most Newton steps.
    pub most_iterations: usize,
    /// Longest step that any unknown takes at once, in units of the unknowns.
    pub longest_step: f64,
}

/// Where the energy is least.
#[derive(Debug, Clone)]
pub struct Lowest {
    /// The unknowns.
    pub x: Vec<f64>,
    /// Energy at the start and after each step.
    pub energies: Vec<f64>,
    /// How it ended.
    pub status: Status,
    /// Largest gradient left.
    pub residual: f64,
}

/// Part of the predicted decrease that a step must reach (Armijo).
const SUFFICIENT: f64 = 1e-4;

/// Rounding of the energy, relative to the largest value that it had: decreases under it cannot be seen.
const ROUNDING: f64 = 1e-13;

/// A step is shortened by this.
const SHORTER: f64 = 0.5;

/// Shortenings of a step before it is given up.
const MOST_SHORTENINGS: usize = 30;

/// What is added to the diagonal, relative to its largest entry, where the matrix cannot be factored; times a
/// hundred until it can.
const FIRST_SHIFT: f64 = 1e-12;
const MOST_SHIFTS: usize = 5;

/// Minimises the energy from `start`. `factor` keeps what was found about the pattern between calls for energies of
/// one pattern.
pub fn descend(
    energy: &impl Smooth,
    start: &[f64],
    settings: Settings,
    factor: &mut Option<Factor>,
) -> Lowest {
    let mut x = start.to_vec();
    let mut trial = x.clone();
    let mut gradient = vec![0.0; energy.unknowns()];
    let mut hessian = energy.pattern();
    let mut terms = Vec::new();
    let mut energies = Vec::new();
    let mut largest = 0.0f64;
    let mut residual = f64::INFINITY;
    let mut status = Status::IterationLimit;
    for iteration in 0..=settings.most_iterations {
        let value = energy.derivatives(&x, &mut gradient, &mut hessian, &mut terms);
        energies.push(value);
        largest = largest.max(value.abs());
        residual = gradient.iter().fold(0.0f64, |most, g| most.max(g.abs()));
        if residual <= settings.tolerance {
            status = Status::Converged;
            break;
        }
        if iteration == settings.most_iterations {
            break;
        }
        let Some(step) = step(&mut hessian, &terms, &gradient, factor) else {
            status = Status::Stalled;
            break;
        };
        let reach = step.iter().fold(0.0f64, |most, s| most.max(s.abs()));
        let slope = dot(&gradient, &step);
        let mut length = (settings.longest_step / reach).min(1.0);
        let mut lower = false;
        for _ in 0..MOST_SHORTENINGS {
            for ((trial, x), step) in trial.iter_mut().zip(&x).zip(&step) {
                *trial = x + length * step;
            }
            let there = energy.value(&trial);
            if there <= value + SUFFICIENT * length * slope.min(0.0) + ROUNDING * largest {
                lower = true;
                break;
            }
            length *= SHORTER;
        }
        if !lower {
            status = Status::Stalled;
            break;
        }
        std::mem::swap(&mut x, &mut trial);
    }
    Lowest {
        x,
        energies,
        status,
        residual,
    }
}

/// Newton's step; `None` where the matrix cannot be factored whatever is added.
fn step(
    hessian: &mut SymmetricMatrix,
    terms: &[RankOne],
    gradient: &[f64],
    factor: &mut Option<Factor>,
) -> Option<Vec<f64>> {
    if factor.is_none() {
        *factor = Factor::new(hessian);
    }
    let factor = factor.as_mut()?;
    let held = vec![false; gradient.len()];
    let mut factored = factor.refactor(hessian, &held);
    let largest = (0..hessian.size()).fold(0.0f64, |most, row| most.max(hessian.diagonal(row)));
    let mut shift = FIRST_SHIFT * largest;
    for _ in 0..MOST_SHIFTS {
        if factored {
            break;
        }
        hessian.add_to_diagonal(shift);
        factored = factor.refactor(hessian, &held);
        shift *= 100.0;
    }
    if !factored {
        return None;
    }
    let mut step: Vec<f64> = gradient.iter().map(|g| -g).collect();
    factor.solve(&mut step);
    bring_in(terms, factor, &mut step);
    Some(step)
}

/// Turns the solution with the sparse part into the one with the terms of rank one.
fn bring_in(terms: &[RankOne], factor: &mut Factor, step: &mut [f64]) {
    let active: Vec<&RankOne> = terms.iter().filter(|term| term.weight > 0.0).collect();
    if active.is_empty() {
        return;
    }
    let images: Vec<Vec<f64>> = active
        .iter()
        .map(|term| {
            let mut image = vec![0.0; step.len()];
            for (unknown, value) in &term.entries {
                image[*unknown as usize] += value;
            }
            factor.solve(&mut image);
            image
        })
        .collect();
    let along = |term: &RankOne, x: &[f64]| -> f64 {
        let parts = term.entries.iter().map(|(i, value)| value * x[*i as usize]);
        parts.sum()
    };
    let count = active.len();
    let small = DMatrix::from_fn(count, count, |i, j| {
        let own = if i == j { 1.0 / active[i].weight } else { 0.0 };
        own + along(active[i], &images[j])
    });
    let right = DVector::from_fn(count, |i, _| along(active[i], step));
    if let Some(shares) = small.lu().solve(&right) {
        for (share, image) in shares.iter().zip(&images) {
            for (step, image) in step.iter_mut().zip(image) {
                *step -= share * image;
            }
        }
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A quadratic with a tridiagonal part and two terms of rank one, and a quartic that makes it stiffer.
    struct Chain {
        size: usize,
        quartic: f64,
    }

    impl Chain {
        fn terms(&self) -> [RankOne; 2] {
            let all = (0..self.size as u32).map(|i| (i, 1.0)).collect();
            let some = (0..self.size as u32)
                .step_by(3)
                .map(|i| (i, 0.5 - f64::from(i % 2)))
                .collect();
            [(3.0, all), (100.0, some)].map(|(weight, entries)| RankOne { weight, entries })
        }
    }

    impl Smooth for Chain {
        fn unknowns(&self) -> usize {
            self.size
        }

        fn pattern(&self) -> SymmetricMatrix {
            let pairs: Vec<[u32; 2]> = (1..self.size as u32).map(|i| [i - 1, i]).collect();
            SymmetricMatrix::with_pattern(self.size, &pairs)
        }

        fn value(&self, x: &[f64]) -> f64 {
            let own = x
                .iter()
                .map(|x| x * x - x + self.quartic * x.powi(4))
                .sum::<f64>();
            let steps = x
                .windows(2)
                .map(|pair| 0.5 * (pair[1] - pair[0]).powi(2))
                .sum::<f64>();
            let far = self.terms().into_iter().map(|term| {
                let along: f64 = term.entries.iter().map(|(i, v)| v * x[*i as usize]).sum();
                0.5 * term.weight * along * along
            });
            own + steps + far.sum::<f64>()
        }

        fn derivatives(
            &self,
            x: &[f64],
            gradient: &mut [f64],
            hessian: &mut SymmetricMatrix,
            terms: &mut Vec<RankOne>,
        ) -> f64 {
            hessian.values.fill(0.0);
            let add = |matrix: &mut SymmetricMatrix, a: usize, b: usize, value: f64| {
                let at = matrix.entry(a as u32, b as u32).unwrap();
                matrix.values[at] += value;
            };
            for (i, x) in x.iter().enumerate() {
                gradient[i] = 2.0 * x - 1.0 + 4.0 * self.quartic * x.powi(3);
                add(hessian, i, i, 2.0 + 12.0 * self.quartic * x * x);
            }
            for i in 1..self.size {
                let step = x[i] - x[i - 1];
                gradient[i] += step;
                gradient[i - 1] -= step;
                add(hessian, i, i, 1.0);
                add(hessian, i - 1, i - 1, 1.0);
                add(hessian, i - 1, i, -1.0);
            }
            *terms = self.terms().to_vec();
            for term in terms.iter() {
                let along: f64 = term.entries.iter().map(|(i, v)| v * x[*i as usize]).sum();
                for (i, v) in &term.entries {
                    gradient[*i as usize] += term.weight * along * v;
                }
            }
            self.value(x)
        }
    }

    fn solve(chain: &Chain) -> Lowest {
        let settings = Settings {
            tolerance: 1e-11,
            most_iterations: 60,
            longest_step: 1e3,
        };
        descend(chain, &vec![5.0; chain.size], settings, &mut None)
    }

    #[test]
    fn a_quadratic_takes_one_step_whatever_its_terms_of_rank_one() {
        let chain = Chain {
            size: 40,
            quartic: 0.0,
        };
        let lowest = solve(&chain);
        assert_eq!(lowest.status, Status::Converged);
        assert!(lowest.energies.len() <= 3, "{}", lowest.energies.len());
        // The same by a full matrix.
        let full = DMatrix::from_fn(40, 40, |i, j| {
            let near = match i.abs_diff(j) {
                0 if i == 0 || i == 39 => 3.0,
                0 => 4.0,
                1 => -1.0,
                _ => 0.0,
            };
            let far = chain.terms().into_iter().map(|term| {
                let at = |k: usize| -> f64 {
                    let here = term.entries.iter().filter(|(i, _)| *i as usize == k);
                    here.map(|(_, value)| value).sum()
                };
                term.weight * at(i) * at(j)
            });
            near + far.sum::<f64>()
        });
        let exact = full.lu().solve(&DVector::from_element(40, 1.0)).unwrap();
        for (x, wanted) in lowest.x.iter().zip(exact.iter()) {
            assert!((x - wanted).abs() < 1e-10, "{x} {wanted}");
        }
    }

    #[test]
    fn energy_falls_at_each_step() {
        let lowest = solve(&Chain {
            size: 40,
            quartic: 50.0,
        });
        assert_eq!(lowest.status, Status::Converged);
        assert!(lowest.energies.len() > 4);
        assert!(
            lowest
                .energies
                .windows(2)
                .all(|pair| pair[1] <= pair[0] + 1e-9)
        );
    }

    #[test]
    fn steps_that_run_out_are_told() {
        let chain = Chain {
            size: 10,
            quartic: 50.0,
        };
        let settings = Settings {
            tolerance: 1e-11,
            most_iterations: 2,
            longest_step: 1e3,
        };
        let lowest = descend(&chain, &[5.0; 10], settings, &mut None);
        assert_eq!(lowest.status, Status::IterationLimit);
        assert!(lowest.residual > 1e-11);
    }
}
