//! Lower bounds that hold whatever was rounded.

use super::instance::{Costs, Instance};
use super::knapsack::Knapsack;
use super::search::Prices;

/// The dearest roll costs about so many grains: fine enough that rounding prices down loses nothing that counts, coarse
/// enough that sums of a pattern's are far from overflowing.
const DEAREST: u64 = 1 << 40;

/// Sums of so few floats are off by less than this part of their terms.
pub(super) const ROUNDING: f64 = 1e-11;

/// Grains in a coin: prices are counted in them, so that the knapsack is exact.
pub(super) fn grains_in_a_coin(costs: &Costs) -> i64 {
    1i64 << (DEAREST / costs.dearest()).max(1).ilog2()
}

/// Prices in whole grains, rounded down.
pub(super) fn grains(prices: &[f64], in_a_coin: i64) -> Vec<i64> {
    let scale = in_a_coin as f64;
    prices
        .iter()
        .map(|price| (price * scale).floor().max(0.0) as i64)
        .collect()
}

/// What every plan fulfils: with a price for each piece, rolls filled as dearly as can be are worth at least what all
/// pieces are. Whole numbers, so that nothing is rounded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Row {
    /// The most that each stock's patterns can be worth.
    pub worth: Vec<i64>,
    /// What all pieces are worth.
    pub need: i128,
}

impl Row {
    pub fn new(instance: &Instance, values: &[i64]) -> Row {
        let demand = instance.demand();
        Row {
            worth: Knapsack::solve(instance, &demand, values).values(),
            need: need(&demand, values),
        }
    }

    /// Whether so many of each stock may suffice.
    pub fn holds(&self, counts: &[u32]) -> bool {
        let all: i128 = self
            .worth
            .iter()
            .zip(counts)
            .map(|(worth, count)| i128::from(*worth) * i128::from(*count))
            .sum();
        all >= self.need
    }
}

/// What all pieces are worth.
fn need(demand: &[u32], values: &[i64]) -> i128 {
    demand
        .iter()
        .zip(values)
        .map(|(count, value)| i128::from(*count) * i128::from(*value))
        .sum()
}

/// Rows by length: of all pieces from some width up.
pub(super) fn by_length(instance: &Instance) -> Vec<Row> {
    let mut widths: Vec<u32> = instance.kinds.iter().map(|kind| kind.width).collect();
    widths.dedup();
    let length = |from: u32| {
        let kinds = instance.kinds.iter();
        kinds
            .map(move |kind| {
                if kind.width >= from {
                    i64::from(kind.length)
                } else {
                    0
                }
            })
            .collect::<Vec<i64>>()
    };
    widths
        .into_iter()
        .take(MAX_WIDTHS)
        .map(|from| Row::new(instance, &length(from)))
        .collect()
}

/// Widths that get a row of their own.
const MAX_WIDTHS: usize = 24;

/// The same prices, only for pieces from each width up: rows too.
pub(super) fn by_width(instance: &Instance, values: &[i64]) -> Vec<Row> {
    let mut widths: Vec<u32> = instance.kinds.iter().map(|kind| kind.width).collect();
    widths.dedup();
    let from = |from: u32| {
        let kinds = instance.kinds.iter().zip(values);
        kinds
            .map(move |(kind, value)| if kind.width >= from { *value } else { 0 })
            .collect::<Vec<i64>>()
    };
    widths
        .into_iter()
        .take(MAX_WIDTHS)
        .map(|width| Row::new(instance, &from(width)))
        .collect()
}

/// Prices at which no pattern of an unlimited stock is worth more than its roll, from prices that are nearly so.
pub(super) fn feasible(instance: &Instance, costs: &Costs, prices: &[f64]) -> Prices {
    let in_a_coin = grains_in_a_coin(costs);
    let mut values = grains(prices, in_a_coin);
    loop {
        let best = Knapsack::solve(instance, &instance.demand(), &values);
        let cost = |stock: u64| i64::try_from(stock).unwrap_or(0) * in_a_coin;
        let all = || instance.stock.iter().enumerate();
        let lowered = all()
            .filter(|(index, stock)| {
                stock.at_most.is_none() && best.value(*index) > cost(stock.price)
            })
            .map(|(index, stock)| cost(stock.price) as f64 / best.value(index) as f64)
            .fold(1.0, f64::min);
        if lowered >= 1.0 {
            return Prices {
                over: all()
                    .map(|(index, stock)| match stock.at_most {
                        Some(_) => (best.value(index) - cost(stock.price)).max(0),
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
    costs: &Costs,
    demand: &[u32],
    limits: &[Option<u32>],
    values: &[i64],
    worth: &[i64],
) -> f64 {
    let grain = 1.0 / grains_in_a_coin(costs) as f64;
    let stock = || costs.of_stock.iter().zip(limits).zip(worth);
    let lowered = stock()
        .filter(|((_, limit), _)| limit.is_none())
        .map(|((price, _), worth)| (*price as f64, *worth as f64 * grain))
        .filter(|(price, worth)| worth > price)
        .map(|(price, worth)| price / worth)
        .fold(1.0, f64::min);
    let all = need(demand, values) as f64 * grain;
    let over: f64 = stock()
        .filter_map(|((price, limit), worth)| {
            let worth = lowered * *worth as f64 * grain;
            Some(f64::from((*limit)?) * (worth - *price as f64).max(0.0))
        })
        .sum();
    (lowered * all - over - ROUNDING * (all + over)).max(0.0)
}
