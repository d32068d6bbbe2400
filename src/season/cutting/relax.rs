//! The linear program over a box of counts: the cheapest counts, not yet whole, at which every row holds.
//!
//! A dual simplex method with bounded variables on a full tableau (textbook form): there are a few dozen of each, and a box is
//! solved from the tableau of the box that holds all others. What it says is used through its multipliers alone, which
//! give a bound whatever they are.

use super::bound::Row;

/// Counts and slacks, one row a [`Row`].
#[derive(Debug, Clone)]
pub(super) struct Tableau {
    stock: usize,
    /// By rows, one entry a variable: counts, then slacks; the constant last.
    rows: Vec<Vec<f64>>,
    /// Reduced costs, parts of the dearest roll.
    over: Vec<f64>,
    /// Which variable each row stands for.
    basic: Vec<usize>,
    /// Whether a variable that is in no row is at its upper bound.
    upper: Vec<bool>,
    dearest: f64,
}

/// The answer over a box.
#[derive(Debug, Clone)]
pub(super) struct Relaxed {
    pub counts: Vec<f64>,
    /// What each row's need is worth, coins.
    pub multipliers: Vec<f64>,
}

/// Bounds are kept to this, rolls.
const KEPT: f64 = 1e-9;

/// A smaller entry is no pivot.
const MIN_PIVOT: f64 = 1e-9;

/// Steps in one box: it takes a few dozen.
const MAX_STEPS: usize = 400;

impl Tableau {
    /// Every count at its least: prices are not negative, so that this is dual feasible.
    pub fn new(rows: &[Row], prices: &[u64]) -> Tableau {
        let stock = prices.len();
        let dearest = prices.iter().copied().max().unwrap_or(1).max(1) as f64;
        let needed: Vec<&Row> = rows.iter().filter(|row| row.need > 0).collect();
        let all = stock + needed.len();
        let line = |(place, row): (usize, &&Row)| {
            let mut line: Vec<f64> = row
                .worth
                .iter()
                .map(|worth| -(*worth as f64) / row.need as f64)
                .collect();
            line.resize(all + 1, 0.0);
            if let Some(slack) = line.get_mut(stock + place) {
                *slack = 1.0;
            }
            if let Some(constant) = line.last_mut() {
                *constant = -1.0;
            }
            line
        };
        let mut over: Vec<f64> = prices.iter().map(|price| *price as f64 / dearest).collect();
        over.resize(all, 0.0);
        Tableau {
            stock,
            rows: needed.iter().enumerate().map(line).collect(),
            over,
            basic: (stock..all).collect(),
            upper: vec![false; all],
            dearest,
        }
    }

    /// Goes to the best of a box, or near it.
    pub fn solve(&mut self, least: &[u32], most: &[u32]) -> Relaxed {
        let all = self.over.len();
        let bound = |bounds: &[u32], variable: usize, slack: f64| {
            bounds
                .get(variable)
                .map_or(slack, |count| f64::from(*count))
        };
        let lower: Vec<f64> = (0..all)
            .map(|variable| bound(least, variable, 0.0))
            .collect();
        let higher: Vec<f64> = (0..all)
            .map(|variable| bound(most, variable, f64::INFINITY))
            .collect();
        let mut within = vec![false; all];
        let mut values = vec![0.0; all];
        for _ in 0..MAX_STEPS {
            within.iter_mut().for_each(|basic| *basic = false);
            for variable in &self.basic {
                if let Some(basic) = within.get_mut(*variable) {
                    *basic = true;
                }
            }
            for (value, ((basic, upper), (low, high))) in values.iter_mut().zip(
                within
                    .iter()
                    .zip(&self.upper)
                    .zip(lower.iter().zip(&higher)),
            ) {
                *value = if *basic {
                    0.0
                } else if *upper {
                    *high
                } else {
                    *low
                };
            }
            // The row that is furthest out of its bounds, and whether it is below.
            let mut leaving: Option<(f64, usize, bool)> = None;
            let mut found = Vec::with_capacity(self.basic.len());
            for (place, (row, variable)) in self.rows.iter().zip(&self.basic).enumerate() {
                let held: f64 = row
                    .iter()
                    .zip(&values)
                    .map(|(entry, value)| entry * value)
                    .sum();
                let value = row.last().copied().unwrap_or(0.0) - held;
                found.push(value);
                let low = lower.get(*variable).copied().unwrap_or(0.0) - value;
                let high = value - higher.get(*variable).copied().unwrap_or(0.0);
                let out = low.max(high);
                if out > KEPT && leaving.is_none_or(|(most, _, _)| out > most) {
                    leaving = Some((out, place, low > high));
                }
            }
            let entering = leaving.and_then(|(_, place, below)| {
                Some((
                    place,
                    below,
                    self.entering(place, below, &within, &lower, &higher)?,
                ))
            });
            let Some((place, below, entering)) = entering else {
                for (variable, value) in self.basic.iter().zip(found) {
                    if let Some(slot) = values.get_mut(*variable) {
                        *slot = value;
                    }
                }
                break;
            };
            self.pivot(place, entering, below);
        }
        values.truncate(self.stock);
        Relaxed {
            counts: values,
            multipliers: self
                .over
                .iter()
                .skip(self.stock)
                .map(|over| over.max(0.0) * self.dearest)
                .collect(),
        }
    }

    /// The variable that enters for a row: the one whose reduced cost is used up first.
    fn entering(
        &self,
        place: usize,
        below: bool,
        within: &[bool],
        lower: &[f64],
        higher: &[f64],
    ) -> Option<usize> {
        let row = self.rows.get(place)?;
        let mut best: Option<(f64, f64, usize)> = None;
        for (variable, (entry, over)) in row.iter().zip(&self.over).enumerate() {
            let fixed = lower.get(variable) >= higher.get(variable);
            if fixed || within.get(variable).copied().unwrap_or(true) || entry.abs() < MIN_PIVOT {
                continue;
            }
            let upper = self.upper.get(variable).copied().unwrap_or(false);
            // What is at its lower bound can only rise, and raises the row where its entry is negative.
            let raises = (*entry < 0.0) != upper;
            if raises != below {
                continue;
            }
            let ratio = (over / entry).abs();
            if best.is_none_or(|(least, pivot, _)| {
                ratio < least || ratio <= least && entry.abs() > pivot
            }) {
                best = Some((ratio, entry.abs(), variable));
            }
        }
        best.map(|(_, _, variable)| variable)
    }

    fn pivot(&mut self, place: usize, entering: usize, below: bool) {
        let Some(mut row) = self.rows.get_mut(place).map(std::mem::take) else {
            return;
        };
        let pivot = row.get(entering).copied().unwrap_or(1.0);
        for entry in &mut row {
            *entry /= pivot;
        }
        let less = |line: &mut [f64], row: &[f64]| {
            let factor = line.get(entering).copied().unwrap_or(0.0);
            if factor != 0.0 {
                for (entry, own) in line.iter_mut().zip(row) {
                    *entry -= factor * own;
                }
            }
        };
        for line in &mut self.rows {
            less(line, &row);
        }
        less(&mut self.over, &row);
        if let (Some(slot), Some(basic)) = (self.rows.get_mut(place), self.basic.get_mut(place)) {
            *slot = row;
            let left = std::mem::replace(basic, entering);
            if let Some(upper) = self.upper.get_mut(left) {
                *upper = !below;
            }
        }
    }
}
