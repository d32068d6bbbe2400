//! Lower bounds that hold whatever was rounded.

use super::instance::{Instance, Kept};
use super::knapsack::Knapsack;
use super::search::Prices;

/// The dearest roll costs about so many grains: fine enough that rounding prices down loses nothing that counts, coarse
/// enough that sums of them are exact in floats.
const DEAREST: u64 = 1 << 40;

/// Grains in a coin: prices are counted in them, so that the knapsack is exact.
pub(super) fn grains_in_a_coin(instance: &Instance) -> i64 {
    let dearest = instance
        .stock
        .iter()
        .map(|stock| stock.price)
        .max()
        .unwrap_or(1)
        .max(1);
    1i64 << (DEAREST / dearest).max(1).ilog2()
}

/// Sums of whole numbers in floats are off by less than this part of themselves.
const ROUNDING: f64 = 1e-11;

/// Prices in whole grains, rounded down.
pub(super) fn grains(prices: &[f64], in_a_coin: i64) -> Vec<i64> {
    let scale = in_a_coin as f64;
    prices
        .iter()
        .map(|price| (price * scale).floor().max(0.0) as i64)
        .collect()
}

/// Prices at which no pattern of an unlimited stock is worth more than its roll, from prices that are nearly so.
pub(super) fn feasible(instance: &Instance, prices: &[f64]) -> Prices {
    let in_a_coin = grains_in_a_coin(instance);
    let mut values = grains(prices, in_a_coin);
    loop {
        let best = Knapsack::solve(instance, &instance.demand(), &values);
        let cost = |stock: u64| i64::try_from(stock).unwrap_or(0) * in_a_coin;
        let beyond = |index: usize, stock: &Kept| best.value(index) - cost(stock.price);
        let lowered = instance
            .stock
            .iter()
            .enumerate()
            .filter(|(index, stock)| stock.at_most.is_none() && beyond(*index, stock) > 0)
            .map(|(index, stock)| cost(stock.price) as f64 / best.value(index) as f64)
            .fold(1.0, f64::min);
        if lowered >= 1.0 {
            let over = instance.stock.iter().enumerate();
            return Prices {
                over: over
                    .map(|(index, stock)| match stock.at_most {
                        Some(_) => beyond(index, stock).max(0),
                        None => 0,
                    })
                    .collect(),
                values,
                grains: in_a_coin,
            };
        }
        for value in &mut values {
            // One grain more than the proportion, so that rounding cannot keep it above.
            *value = ((*value as f64 * lowered) as i64 - 1).max(0);
        }
    }
}

/// The dual bound of a price for each piece. Where a pattern is worth more than its roll, all prices are lowered in one
/// proportion until none of an unlimited stock is (A. A. Farley 1990, memory); what a limited stock's patterns are worth
/// beyond its price is taken off for each of it.
pub(super) fn dual(
    instance: &Instance,
    demand: &[u32],
    limits: &[Option<u32>],
    values: &[i64],
    best: &Knapsack,
) -> f64 {
    let grain = 1.0 / grains_in_a_coin(instance) as f64;
    let mut lowered: f64 = 1.0;
    for (index, stock) in instance.stock.iter().enumerate() {
        let worth = best.value(index) as f64 * grain;
        let unlimited = limits.get(index).copied().flatten().is_none();
        if unlimited && worth > stock.price as f64 {
            lowered = lowered.min(stock.price as f64 / worth);
        }
    }
    let all: f64 = demand
        .iter()
        .zip(values)
        .map(|(count, value)| f64::from(*count) * *value as f64)
        .sum::<f64>()
        * grain;
    let over: f64 = instance
        .stock
        .iter()
        .zip(limits)
        .enumerate()
        .filter_map(|(index, (stock, limit))| {
            let worth = lowered * best.value(index) as f64 * grain;
            Some(f64::from((*limit)?) * (worth - stock.price as f64).max(0.0))
        })
        .sum();
    let bound = lowered * all - over;
    (bound - ROUNDING * (all + over)).max(0.0)
}

/// Most costs that are looked at when a bound is raised to what whole rolls can cost.
const MOST_COSTS: u64 = 4_000_000;

/// The least cost of whole rolls that is no less than a bound and whose rolls, filled as far as these pieces can fill
/// them, hold all pieces. Limited stock with a price counts as unlimited: the bound stays one.
pub(super) fn whole(instance: &Instance, bound: f64) -> u64 {
    let least = (bound - ROUNDING * bound).ceil().max(0.0) as u64;
    let lengths: Vec<i64> = instance
        .kinds
        .iter()
        .map(|kind| i64::from(kind.length))
        .collect();
    let fill = Knapsack::solve(instance, &instance.demand(), &lengths);
    let wanted: u64 = instance
        .kinds
        .iter()
        .map(|kind| u64::from(kind.length) * u64::from(kind.count))
        .sum();
    let mut there = 0u64;
    let mut bought: Vec<(u64, u64)> = Vec::new();
    for (index, stock) in instance.stock.iter().enumerate() {
        let filled = u64::try_from(fill.value(index)).unwrap_or(0);
        match (stock.price, stock.at_most) {
            (0, Some(count)) => there += filled * u64::from(count),
            (price, _) => bought.push((price, filled)),
        }
    }
    let step = bought
        .iter()
        .fold(0, |all, (price, _)| divisor(all, *price));
    if step == 0 || wanted <= there {
        return least;
    }
    let wanted = wanted - there;
    let first = least.div_ceil(step);
    let dearest = bought
        .iter()
        .map(|(price, _)| price / step)
        .max()
        .unwrap_or(0);
    // Some combination lies within the dearest roll above the least cost, unless the pieces need more.
    let most = first + 4 * dearest + 1;
    if most > MOST_COSTS {
        return first * step;
    }
    // For each cost what rolls of just that cost hold at most; costs that no rolls make hold nothing.
    let mut holds: Vec<Option<u64>> = vec![None; most as usize + 1];
    if let Some(none) = holds.first_mut() {
        *none = Some(0);
    }
    for cost in 1..=most {
        let best = bought
            .iter()
            .filter_map(|(price, filled)| {
                let before = cost.checked_sub(price / step)?;
                Some(holds.get(before as usize).copied().flatten()? + filled)
            })
            .max();
        if let Some(slot) = holds.get_mut(cost as usize) {
            *slot = best;
        }
        if cost >= first && best.is_some_and(|best| best >= wanted) {
            return cost * step;
        }
    }
    first * step
}

/// The greatest common divisor.
fn divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { divisor(b, a % b) }
}
