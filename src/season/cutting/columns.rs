//! Column generation: the linear program and the knapsack in turns.

use super::bound::{dual, grains, grains_in_a_coin};
use super::instance::{Instance, Pattern};
use super::knapsack::Knapsack;
use super::master::{Solved, solve};
use std::collections::BTreeSet;

/// Patterns that are known, each once.
#[derive(Debug, Clone)]
pub(super) struct Pool {
    pub patterns: Vec<Pattern>,
    known: BTreeSet<Pattern>,
}

/// How a generation ended.
#[derive(Debug, Clone)]
pub(super) struct Generated {
    /// A lower bound on the cost of what is wanted.
    pub bound: f64,
    /// The prices of that bound.
    pub prices: Vec<f64>,
    /// The last solution, over the patterns of [`Generated::patterns`].
    pub solved: Option<Solved>,
    /// Patterns that were in the last program.
    pub patterns: Vec<Pattern>,
    pub rounds: usize,
}

/// The bound is near enough to the program's value where it is within this part of it.
const NEAR: f64 = 1e-6;

/// A pattern is worth its roll's price already where it is within this part of it.
const WORTH: f64 = 1e-7;

/// How much of the best prices so far stays in those that the knapsack is asked with: between two optima of the program
/// prices jump, and most of what they ask for is of no use.
const STEADY: f64 = 0.5;

impl Pool {
    /// Some patterns, and each kind of piece alone.
    pub fn new(instance: &Instance, start: &[Pattern]) -> Pool {
        let mut pool = Pool {
            patterns: Vec::new(),
            known: BTreeSet::new(),
        };
        for pattern in start {
            pool.add(pattern.clone());
        }
        for (index, kind) in instance.kinds.iter().enumerate() {
            let alone = instance
                .stock
                .iter()
                .enumerate()
                .filter(|(_, stock)| stock.width >= kind.width && stock.length >= kind.length)
                .map(|(place, stock)| {
                    (
                        place,
                        stock,
                        (stock.length / kind.length.max(1)).min(kind.count),
                    )
                })
                // What never ends comes first: the program must always have a way out.
                .min_by_key(|(_, stock, count)| {
                    (
                        stock.at_most.is_some(),
                        stock.price / u64::from((*count).max(1)),
                    )
                });
            if let Some((stock, _, count)) = alone {
                pool.add(Pattern {
                    stock,
                    pieces: vec![(index, count)],
                });
            }
        }
        pool
    }

    /// Adds a pattern; whether it is new.
    pub fn add(&mut self, pattern: Pattern) -> bool {
        let new = !pattern.pieces.is_empty() && self.known.insert(pattern.clone());
        if new {
            self.patterns.push(pattern);
        }
        new
    }

    /// The patterns cut down to what is wanted, each once.
    fn for_demand(&self, demand: &[u32]) -> Vec<Pattern> {
        let mut seen = BTreeSet::new();
        let mut found = Vec::new();
        for pattern in &self.patterns {
            let pieces: Vec<(usize, u32)> = pattern
                .pieces
                .iter()
                .map(|(kind, count)| (*kind, demand.get(*kind).copied().unwrap_or(0).min(*count)))
                .filter(|(_, count)| *count > 0)
                .collect();
            let pattern = Pattern {
                stock: pattern.stock,
                pieces,
            };
            if !pattern.pieces.is_empty() && seen.insert(pattern.clone()) {
                found.push(pattern);
            }
        }
        found
    }
}

/// Patterns that may stand in the program, over what is wanted: those that cost most beyond their worth are left out.
const MOST_PATTERNS: usize = 6;

/// Solves the linear program over all patterns there are, in effect: patterns that it lacks are sought until none is, or
/// so many rounds are done. New ones go into the pool.
pub(super) fn generate(
    instance: &Instance,
    demand: &[u32],
    limits: &[Option<u32>],
    pool: &mut Pool,
    rounds: usize,
) -> Generated {
    let mut patterns = pool.for_demand(demand);
    let mut known: BTreeSet<Pattern> = patterns.iter().cloned().collect();
    let mut bound = 0.0f64;
    let mut centre: Option<Vec<f64>> = None;
    let mut solved = None;
    let mut done = 0;
    while done < rounds {
        done += 1;
        let Some(now) = solve(instance, demand, limits, &patterns) else {
            break;
        };
        let value: f64 = demand
            .iter()
            .zip(&now.prices)
            .map(|(count, price)| f64::from(*count) * price)
            .sum();
        let asked: Vec<f64> = match &centre {
            Some(centre) => {
                let both = centre.iter().zip(&now.prices);
                both.map(|(old, new)| STEADY * old + (1.0 - STEADY) * new)
                    .collect()
            }
            None => now.prices.clone(),
        };
        let mut added = false;
        // First between the best prices and the new ones, then, where that finds nothing, at the new ones.
        for prices in [&asked, &now.prices] {
            let values = grains(prices, grains_in_a_coin(instance));
            let best = Knapsack::solve(instance, demand, &values);
            let found = dual(instance, demand, limits, &values, &best);
            if found > bound || centre.is_none() {
                bound = bound.max(found);
                centre = Some(prices.clone());
            }
            for (stock, kept) in instance.stock.iter().enumerate() {
                if limits.get(stock).copied().flatten() == Some(0) {
                    continue;
                }
                let pieces = best.pieces(stock);
                let worth: f64 = pieces
                    .iter()
                    .map(|(kind, count)| now.prices.get(*kind).unwrap_or(&0.0) * f64::from(*count))
                    .sum();
                let price = kept.price as f64;
                if worth <= price + WORTH * price {
                    continue;
                }
                let pattern = Pattern { stock, pieces };
                if known.insert(pattern.clone()) {
                    patterns.push(pattern.clone());
                    pool.add(pattern);
                    added = true;
                }
            }
            if added {
                break;
            }
        }
        solved = Some(now);
        if !added || value - bound <= NEAR * value {
            break;
        }
        if let Some(solved) = &solved {
            prune(instance, demand, solved, &mut patterns, &mut known);
        }
    }
    // The last patterns were not in the program that was solved.
    if let Some(solved) = &mut solved {
        solved.weights.resize(patterns.len(), 0.0);
    }
    Generated {
        bound,
        prices: centre.unwrap_or_else(|| vec![0.0; demand.len()]),
        solved,
        patterns,
        rounds: done,
    }
}

/// Leaves out patterns that cost far more than they are worth, once there are many.
fn prune(
    instance: &Instance,
    demand: &[u32],
    solved: &Solved,
    patterns: &mut Vec<Pattern>,
    known: &mut BTreeSet<Pattern>,
) {
    let wanted = demand.iter().filter(|count| **count > 0).count();
    let most = MOST_PATTERNS * wanted.max(20);
    if patterns.len() <= most {
        return;
    }
    let over = |pattern: &Pattern| {
        let worth: f64 = pattern
            .pieces
            .iter()
            .map(|(kind, count)| solved.prices.get(*kind).unwrap_or(&0.0) * f64::from(*count))
            .sum();
        instance.price(pattern.stock) as f64 - worth
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
    ranked.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let keep = most / 2
        + ranked
            .iter()
            .filter(|(over, _)| *over == f64::NEG_INFINITY)
            .count();
    for (_, pattern) in ranked.split_off(keep.min(ranked.len())) {
        known.remove(&pattern);
    }
    patterns.extend(ranked.into_iter().map(|(_, pattern)| pattern));
}
