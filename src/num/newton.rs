//! Least energy of a smooth convex function of many variables.
//!
//! Newton's method with a line search. The Hessian is a sparse matrix and a few terms of rank one: a strap that
//! slides couples all the places that it runs past, and a matrix with all those couplings would be full. The sparse part
//! is factored, the terms of rank one are brought in by the formula of Sherman, Morrison and Woodbury (from memory). Near the
//! answer the matrix changes little: an earlier factor then serves as preconditioner of conjugate gradients.

use super::bounded::Status;
use super::sparse::{Factor, SymmetricMatrix};
use nalgebra::{DMatrix, DVector, Dyn, LU};

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

/// Rounding of the energy, relative to the largest value that it had: decreases under it cannot be seen. A step that promises
/// less is taken as it is: the gradient tells whether it was right.
const ROUNDING: f64 = 1e-12;

/// A step is shortened by this.
const SHORTER: f64 = 0.5;

/// Shortenings of a step before it is given up.
const MAX_SHORTENINGS: usize = 30;

/// What is added to the diagonal, relative to its largest entry, where the matrix cannot be factored; times a
/// hundred until it can.
const FIRST_SHIFT: f64 = 1e-12;
const MAX_SHIFTS: usize = 5;

/// Steps by conjugate gradients are tried where the last step brought the gradient down by this factor at least.
const NEAR: f64 = 5.0;

/// Conjugate gradient steps after which a fresh factor is cheaper.
const MAX_INNER: usize = 6;

/// Relative error to which such a step is found.
const FORCING: f64 = 3e-3;

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
    let mut inverse: Option<Inverse> = None;
    for iteration in 0..=settings.most_iterations {
        let value = energy.derivatives(&x, &mut gradient, &mut hessian, &mut terms);
        energies.push(value);
        largest = largest.max(value.abs());
        let before = residual;
        residual = gradient.iter().fold(0.0f64, |most, g| most.max(g.abs()));
        if residual <= settings.tolerance {
            status = Status::Converged;
            break;
        }
        if iteration == settings.most_iterations {
            break;
        }
        let near = residual * NEAR < before && before.is_finite();
        let known = match (&mut inverse, near) {
            (Some(inverse), true) => inverse.conjugate_gradients(&hessian, &terms, &gradient),
            _ => None,
        };
        let step = match known {
            Some(step) => step,
            None => {
                // The old factor's memory serves the new one.
                let kept = inverse
                    .take()
                    .map(|inverse| inverse.factor)
                    .or(factor.take());
                let Some(mut fresh) = Inverse::new(&mut hessian, &terms, kept) else {
                    status = Status::Stalled;
                    break;
                };
                let mut step: Vec<f64> = gradient.iter().map(|g| -g).collect();
                fresh.apply(&mut step);
                inverse = Some(fresh);
                step
            }
        };
        let reach = step.iter().fold(0.0f64, |most, s| most.max(s.abs()));
        let slope = dot(&gradient, &step);
        let mut length = (settings.longest_step / reach).min(1.0);
        let unseen = -slope <= ROUNDING * largest;
        let mut lower = false;
        for _ in 0..MAX_SHORTENINGS {
            for ((trial, x), step) in trial.iter_mut().zip(&x).zip(&step) {
                *trial = x + length * step;
            }
            let there = if unseen { value } else { energy.value(&trial) };
            if unseen || there <= value + SUFFICIENT * length * slope.min(0.0) {
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
    if let Some(inverse) = inverse {
        *factor = Some(inverse.factor);
    }
    Lowest {
        x,
        energies,
        status,
        residual,
    }
}

/// The inverse of a Hessian: the factor of its sparse part, and the terms of rank one with their images.
struct Inverse {
    factor: Factor,
    terms: Vec<RankOne>,
    images: Vec<Vec<f64>>,
    small: Option<LU<f64, Dyn, Dyn>>,
}

impl Inverse {
    /// Factors a Hessian; `None` where that does not go whatever is added to its diagonal.
    fn new(
        hessian: &mut SymmetricMatrix,
        terms: &[RankOne],
        kept: Option<Factor>,
    ) -> Option<Inverse> {
        let mut factor = match kept {
            Some(factor) => factor,
            None => Factor::new(hessian)?,
        };
        let held = vec![false; hessian.size()];
        let mut factored = factor.refactor(hessian, &held);
        let diagonal = (0..hessian.size()).map(|row| hessian.diagonal(row));
        let mut shift = FIRST_SHIFT * diagonal.fold(0.0f64, f64::max);
        for _ in 0..MAX_SHIFTS {
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
        let terms: Vec<RankOne> = terms
            .iter()
            .filter(|term| term.weight > 0.0)
            .cloned()
            .collect();
        let size = hessian.size();
        let mut sides = vec![0.0; size * terms.len()];
        for (term, side) in terms.iter().zip(sides.chunks_mut(size.max(1))) {
            term.add_to(1.0, side);
        }
        if !terms.is_empty() {
            factor.solve_all(&mut sides, terms.len());
        }
        let images: Vec<Vec<f64>> = sides.chunks(size.max(1)).map(<[f64]>::to_vec).collect();
        let small = (!terms.is_empty()).then(|| {
            let entry = |i: usize, j: usize| {
                let own = if i == j { 1.0 / terms[i].weight } else { 0.0 };
                own + terms[i].along(&images[j])
            };
            DMatrix::from_fn(terms.len(), terms.len(), entry).lu()
        });
        Some(Inverse {
            factor,
            terms,
            images,
            small,
        })
    }

    /// Applies it in place.
    fn apply(&mut self, x: &mut [f64]) {
        self.factor.solve(x);
        let Some(small) = &self.small else { return };
        let right = DVector::from_iterator(self.terms.len(), self.terms.iter().map(|t| t.along(x)));
        if let Some(shares) = small.solve(&right) {
            for (share, image) in shares.iter().zip(&self.images) {
                for (x, image) in x.iter_mut().zip(image) {
                    *x -= share * image;
                }
            }
        }
    }

    /// Newton's step with a Hessian near to the one that was factored; `None` where that takes too long.
    fn conjugate_gradients(
        &mut self,
        hessian: &SymmetricMatrix,
        terms: &[RankOne],
        gradient: &[f64],
    ) -> Option<Vec<f64>> {
        let mut step = vec![0.0; gradient.len()];
        let mut left: Vec<f64> = gradient.iter().map(|g| -g).collect();
        let mut scaled = left.clone();
        self.apply(&mut scaled);
        let mut direction = scaled.clone();
        let mut image = vec![0.0; gradient.len()];
        let mut product = dot(&left, &scaled);
        let first = product;
        for _ in 0..MAX_INNER {
            hessian.multiply(&direction, &mut image);
            for term in terms {
                term.add_to(term.weight * term.along(&direction), &mut image);
            }
            let curvature = dot(&direction, &image);
            if curvature.is_nan() || curvature <= 0.0 {
                return None;
            }
            let length = product / curvature;
            for row in 0..step.len() {
                step[row] += length * direction[row];
                left[row] -= length * image[row];
            }
            scaled.copy_from_slice(&left);
            self.apply(&mut scaled);
            let next = dot(&left, &scaled);
            if next <= FORCING * FORCING * first {
                return Some(step);
            }
            for (direction, scaled) in direction.iter_mut().zip(&scaled) {
                *direction = scaled + next / product * *direction;
            }
            product = next;
        }
        None
    }
}

impl RankOne {
    /// Product of its vector with another.
    fn along(&self, x: &[f64]) -> f64 {
        let parts = self.entries.iter().map(|(i, value)| value * x[*i as usize]);
        parts.sum()
    }

    /// Adds so many of its vector to another.
    fn add_to(&self, times: f64, x: &mut [f64]) {
        for (i, value) in &self.entries {
            x[*i as usize] += times * value;
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
