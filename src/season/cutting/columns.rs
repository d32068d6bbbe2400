//! Column generation: the linear program and the knapsack in turns.

use super::bound::{dual, grains, grains_in_a_coin};
use super::instance::{Costs, Instance, Pattern};
use super::knapsack::Knapsack;
use super::master::{Solved, solve};
use super::pool::Pool;
use std::collections::BTreeSet;

/// How a generation ended.
#[derive(Debug, Clone)]
pub(super) struct Generated {
    /// A lower bound on the cost of what is wanted.
    pub bound: f64,
    /// The prices of that bound, grains.
    pub values: Vec<i64>,
    /// The same, coins.
    pub prices: Vec<f64>,
    /// The last solution, over the patterns of [`Generated::patterns`].
    pub solved: Option<Solved>,
    /// Patterns that were in the last program.
    pub patterns: Vec<Pattern>,
    pub rounds: usize,
}

/// The bound is near enough to the program's value where it is within this part of it.
const NEAR: f64 = 1e-6;

/// A round that brings no better bound and lowers the program's value by less than this part helps nothing.
const STALLED: f64 = 1e-5;

/// So many rounds without a better bound, with a gap under such a part of the value, are enough: what is left is the
/// program's own value, not the bound.
const LONG: usize = 12;
const CLOSE: f64 = 0.01;

/// A pattern is worth its roll's price already where it is within this part of the dearest roll.
const WORTH: f64 = 1e-7;

/// Accuracy of a program, part of the gap that is left: prices from the middle of what is as good ask for better patterns
/// than those of a corner, and are cheaper.
const PART_OF_GAP: f64 = 0.1;
/// Finer by this where a round brought no better bound, and where it found no pattern.
const FINER: f64 = 0.3;
const FINER_AT_END: f64 = 0.01;
const COARSEST: f64 = 1e-2;
const FINEST: f64 = 1e-8;

/// New patterns of a round, for each kind that is wanted; never fewer than `FEW`.
const NEW: f64 = 0.7;
const FEW: usize = 20;

/// Patterns that stay in a program, for each kind that is wanted: those that cost most beyond their worth go first.
const MAX_PATTERNS: usize = 4;

/// What is asked for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked<'a> {
    pub costs: &'a Costs,
    /// How many of each kind are wanted.
    pub demand: &'a [u32],
    /// How many of each stock there are.
    pub limits: &'a [Option<u32>],
    /// Most rounds.
    pub rounds: usize,
    /// Prices that may be near the best ones.
    pub guess: Option<&'a [f64]>,
    /// A bound so great suffices.
    pub enough: f64,
}

/// Solves the linear program over all patterns there are, in effect: patterns that it lacks are sought until none is, or
/// so many rounds are done. New ones go into the pool.
pub(super) fn generate(instance: &Instance, asked: Asked, pool: &mut Pool) -> Generated {
    let Asked {
        costs,
        demand,
        limits,
        ..
    } = asked;
    let mut patterns = pool.for_demand(demand, limits);
    let mut known: BTreeSet<Pattern> = patterns.iter().cloned().collect();
    let mut bound = 0.0f64;
    let mut center: Option<(Vec<i64>, Vec<f64>)> = asked
        .guess
        .map(|guess| (grains(guess, grains_in_a_coin(costs)), guess.to_vec()));
    if let Some((values, _)) = &center {
        bound = dual(
            costs,
            demand,
            limits,
            values,
            &Knapsack::solve(instance, demand, values).values(),
        );
    }
    let mut solved = None;
    let mut done = 0;
    let mut accuracy = COARSEST;
    let mut room = MAX_PATTERNS;
    let mut least = f64::INFINITY;
    let mut since = 0;
    let scale = grains_in_a_coin(costs);
    while done < asked.rounds {
        done += 1;
        let Some(mut now) = solve(costs, demand, limits, &patterns, accuracy) else {
            break;
        };
        for (price, outside) in now.prices.iter_mut().zip(&costs.outside) {
            *price = price.min(*outside as f64);
        }
        let value = worth(demand, limits, costs, &now, &patterns);
        let own = grains(&now.prices, scale);
        let mut stalled = value > (1.0 - STALLED) * least;
        least = least.min(value);
        let mut new = Vec::new();
        let between = center
            .as_ref()
            .map(|(_, center)| mixed(center, &now.prices));
        // First between the best prices and the program's; where that finds nothing, at the program's.
        for prices in between.iter().chain([&now.prices]) {
            let values = grains(prices, scale);
            let best = Knapsack::solve(instance, demand, &values);
            let found = dual(costs, demand, limits, &values, &best.values());
            if found > bound || center.is_none() {
                stalled = false;
                since = done;
                bound = bound.max(found);
                center = Some((values, prices.clone()));
            }
            new = fresh(instance, asked, &now, &own, &best, &known);
            if !new.is_empty() {
                break;
            }
        }
        let none = new.is_empty();
        let gap = (value - bound) / value.max(f64::MIN_POSITIVE);
        if done >= since + LONG && gap < CLOSE {
            solved = Some(now);
            break;
        }
        let coarse = accuracy > 2.0 * FINEST;
        solved = Some(now);
        if bound >= asked.enough || gap <= NEAR && (none || !coarse) || none && !coarse {
            break;
        }
        let finer = if none {
            FINER_AT_END
        } else if stalled {
            FINER
        } else {
            1.0
        };
        accuracy = (PART_OF_GAP * gap)
            .min(finer * accuracy)
            .clamp(FINEST, COARSEST);
        // What was left out is asked for again where too few may stay.
        room += usize::from(stalled);
        if done == asked.rounds {
            break;
        }
        if let Some(solved) = &solved {
            prune(costs, demand, solved, room, &mut patterns, &mut known);
        }
        for pattern in new {
            known.insert(pattern.clone());
            patterns.push(pattern.clone());
            pool.add(pattern);
        }
    }
    let (values, prices) =
        center.unwrap_or_else(|| (vec![0; demand.len()], vec![0.0; demand.len()]));
    Generated {
        bound,
        values,
        prices,
        solved,
        patterns,
        rounds: done,
    }
}

/// How much of the best prices so far stays in those that the knapsack is asked with: the program's own jump from round to
/// round, and most of what they ask for is of no use.
const STEADY: f64 = 0.8;

/// Prices between the best ones so far and the program's.
fn mixed(center: &[f64], own: &[f64]) -> Vec<f64> {
    center
        .iter()
        .zip(own)
        .map(|(center, own)| STEADY * center + (1.0 - STEADY) * own)
        .collect()
}

/// The program's value by its weights: what the patterns cost and what is left out.
fn worth(
    demand: &[u32],
    limits: &[Option<u32>],
    costs: &Costs,
    solved: &Solved,
    patterns: &[Pattern],
) -> f64 {
    let mut left: Vec<f64> = demand.iter().map(|count| f64::from(*count)).collect();
    let mut used = vec![0.0; limits.len()];
    let mut cost = 0.0;
    for (weight, pattern) in solved.weights.iter().zip(patterns) {
        cost += weight * costs.of_stock.get(pattern.stock).copied().unwrap_or(0) as f64;
        if let Some(used) = used.get_mut(pattern.stock) {
            *used += weight;
        }
        for (kind, count) in &pattern.pieces {
            if let Some(left) = left.get_mut(*kind) {
                *left -= weight * f64::from(*count);
            }
        }
    }
    cost + left
        .iter()
        .zip(&costs.outside)
        .map(|(left, outside)| left.max(0.0) * *outside as f64)
        .sum::<f64>()
}

/// Patterns that are worth more than they cost: the best of every stock, and for every kind the best that holds it.
fn fresh(
    instance: &Instance,
    asked: Asked,
    now: &Solved,
    values: &[i64],
    best: &Knapsack,
    known: &BTreeSet<Pattern>,
) -> Vec<Pattern> {
    let scale = grains_in_a_coin(asked.costs);
    let least = (WORTH * asked.costs.dearest() as f64 * scale as f64) as i64;
    let price = |stock: usize| {
        let price = asked.costs.of_stock.get(stock).copied().unwrap_or(0);
        // Limited stock costs what one more of it would save, too.
        let saved = now.savings.get(stock).copied().unwrap_or(0.0) * scale as f64;
        i64::try_from(price).unwrap_or(0) * scale + saved as i64
    };
    let worth = |pieces: &[(usize, u32)]| -> i64 {
        pieces
            .iter()
            .map(|(kind, count)| values.get(*kind).unwrap_or(&0) * i64::from(*count))
            .sum()
    };
    let there = |stock: usize| asked.limits.get(stock).copied().flatten() != Some(0);
    let mut ranked: BTreeSet<(i64, Pattern)> = BTreeSet::new();
    let mut consider = |stock: usize, pieces: Vec<(usize, u32)>| {
        let over = worth(&pieces) - price(stock);
        let pattern = Pattern { stock, pieces };
        if over > least && !known.contains(&pattern) {
            ranked.insert((-over, pattern));
        }
    };
    for stock in (0..instance.stock.len()).filter(|stock| there(*stock)) {
        consider(stock, best.pieces(stock));
    }
    let few = instance.stock.len();
    let mut most = 0;
    for (kind, wanted) in asked.demand.iter().enumerate() {
        if *wanted == 0 {
            continue;
        }
        most += 1;
        let found = (0..instance.stock.len())
            .filter(|stock| there(*stock))
            .filter_map(|stock| Some((stock, best.holding(stock, kind)?)))
            .max_by_key(|(stock, pieces)| {
                (worth(pieces) - price(*stock), std::cmp::Reverse(*stock))
            });
        if let Some((stock, pieces)) = found {
            consider(stock, pieces);
        }
    }
    let most = ((NEW * most as f64) as usize).max(FEW) + few;
    ranked
        .into_iter()
        .take(most)
        .map(|(_, pattern)| pattern)
        .collect()
}

/// Leaves out patterns that cost far more than they are worth, once there are many.
fn prune(
    costs: &Costs,
    demand: &[u32],
    solved: &Solved,
    room: usize,
    patterns: &mut Vec<Pattern>,
    known: &mut BTreeSet<Pattern>,
) {
    let wanted = demand.iter().filter(|count| **count > 0).count();
    let most = room * wanted.max(FEW);
    if patterns.len() <= most {
        return;
    }
    let over = |pattern: &Pattern| {
        let worth = |(kind, count): &(usize, u32)| {
            solved.prices.get(*kind).unwrap_or(&0.0) * f64::from(*count)
        };
        let price = costs.of_stock.get(pattern.stock).copied().unwrap_or(0) as f64;
        let saved = solved.savings.get(pattern.stock).copied().unwrap_or(0.0);
        price + saved - pattern.pieces.iter().map(worth).sum::<f64>()
    };
    // Each kind alone stays: without it a price may have no end.
    let mut ranked: Vec<(f64, Pattern)> = patterns
        .drain(..)
        .map(|pattern| {
            (
                if pattern.pieces.len() == 1 {
                    f64::NEG_INFINITY
                } else {
                    over(&pattern)
                },
                pattern,
            )
        })
        .collect();
    ranked.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
    let alone = ranked
        .iter()
        .filter(|(over, _)| *over == f64::NEG_INFINITY)
        .count();
    for (_, pattern) in ranked.split_off((most / 2 + alone).min(ranked.len())) {
        known.remove(&pattern);
    }
    patterns.extend(ranked.into_iter().map(|(_, pattern)| pattern));
}
