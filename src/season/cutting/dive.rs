//! A dive: patterns with large weights are fixed, the program is solved anew for the rest.

use super::columns::{Asked, Generated, generate};
use super::greedy::take;
use super::instance::{Costs, Instance, Pattern};
use super::pool::Pool;

/// Rounds of column generation for what is left after each step.
const ROUNDS: usize = 3;

/// A pattern of such a weight counts as whole.
const AS_GOOD: f64 = 0.9;

/// Part of the weight that is fixed in a step at least: a step a roll would solve the program for each.
const PART: f64 = 0.1;

/// Where a dive came out.
#[derive(Debug, Clone)]
pub(super) struct Dived {
    pub rolls: Vec<Pattern>,
    /// What is in no roll.
    pub left: Vec<u32>,
    /// What stock is left.
    pub limits: Vec<Option<u32>>,
}

/// Goes down to whole rolls.
pub(super) fn dive(
    instance: &Instance,
    costs: &Costs,
    demand: &[u32],
    limits: &[Option<u32>],
    pool: &mut Pool,
    first: &Generated,
) -> Dived {
    let mut left = demand.to_vec();
    let mut limits = limits.to_vec();
    let mut rolls = Vec::new();
    let mut now = first.clone();
    loop {
        let fixed = fixed(&now, &left, &limits);
        let none = fixed.is_empty();
        for pattern in fixed {
            take(&mut left, &mut limits, pattern.stock, &pattern.pieces);
            rolls.push(pattern);
        }
        if none || left.iter().all(|count| *count == 0) {
            return Dived {
                rolls,
                left,
                limits,
            };
        }
        let asked = Asked {
            costs,
            demand: &left,
            limits: &limits,
            rounds: ROUNDS,
            guess: Some(&first.prices),
            enough: f64::INFINITY,
        };
        now = generate(instance, asked, pool);
    }
}

/// The patterns that are fixed now, each as often as it is: whole parts, what is nearly whole, the heaviest until a part of
/// all weight is fixed.
fn fixed(now: &Generated, left: &[u32], limits: &[Option<u32>]) -> Vec<Pattern> {
    let Some(solved) = &now.solved else {
        return Vec::new();
    };
    let mut weighed: Vec<(f64, &Pattern)> =
        solved.weights.iter().copied().zip(&now.patterns).collect();
    weighed.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    let all: f64 = solved.weights.iter().sum();
    let (mut left, mut limits) = (left.to_vec(), limits.to_vec());
    let mut found: Vec<Pattern> = Vec::new();
    for (weight, pattern) in weighed {
        let whole = (weight + 1.0 - AS_GOOD).floor().max(0.0) as u32;
        let more = (found.len() as f64) < PART * all && weight > LEAST;
        let times = if more { whole.max(1) } else { whole };
        if times == 0 {
            break;
        }
        for _ in 0..times {
            let wanted =
                |(kind, count): &(usize, u32)| left.get(*kind).is_some_and(|left| left >= count);
            let there = limits
                .get(pattern.stock)
                .is_some_and(|limit| *limit != Some(0));
            if !(there && pattern.pieces.iter().all(wanted)) {
                break;
            }
            take(&mut left, &mut limits, pattern.stock, &pattern.pieces);
            found.push(pattern.clone());
        }
    }
    found
}

/// Patterns of less weight than this are not in the solution: an interior point gives each some.
const LEAST: f64 = 1e-5;
