//! A dive: patterns with large weights are fixed, the program is solved anew for the rest.

use super::Rolls;
use super::columns::{Generated, Pool, generate};
use super::greedy::{packed, take};
use super::instance::{Instance, Pattern};

/// Rounds of column generation for what is left after each step.
const ROUNDS: usize = 12;

/// Goes down to whole rolls; a pattern of the weight `as_good` counts as whole. `None` where limited stock does not suffice.
pub(super) fn dive(
    instance: &Instance,
    demand: &[u32],
    limits: &[Option<u32>],
    pool: &mut Pool,
    first: &Generated,
    as_good: f64,
) -> Option<Rolls> {
    let mut left = demand.to_vec();
    let mut limits = limits.to_vec();
    let mut rolls: Rolls = Vec::new();
    let mut now = first.clone();
    loop {
        let fixed = fixed(&now, &left, &limits, as_good);
        if fixed.is_empty() {
            // The program gives nothing to go by.
            rolls.extend(packed(instance, &left, &limits)?);
            return Some(rolls);
        }
        for pattern in fixed {
            take(&mut left, &mut limits, pattern.stock, &pattern.pieces);
            rolls.push(pattern);
        }
        if left.iter().all(|count| *count == 0) {
            return Some(rolls);
        }
        now = generate(instance, &left, &limits, pool, ROUNDS);
    }
}

/// The patterns that are fixed now, each as often as it is: whole parts, what is nearly whole, else the heaviest.
fn fixed(now: &Generated, left: &[u32], limits: &[Option<u32>], as_good: f64) -> Vec<Pattern> {
    let Some(solved) = &now.solved else {
        return Vec::new();
    };
    let mut weighed: Vec<(f64, &Pattern)> =
        solved.weights.iter().copied().zip(&now.patterns).collect();
    weighed.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
    let (mut left, mut limits) = (left.to_vec(), limits.to_vec());
    let mut found: Vec<Pattern> = Vec::new();
    for (weight, pattern) in weighed {
        let whole = (weight + 1.0 - as_good).floor().max(0.0) as u32;
        let times = if found.is_empty() && weight > 0.0 {
            whole.max(1)
        } else {
            whole
        };
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
