//! Cutting stock: pieces out of rolls or sticks of several widths, lengths and prices, at the least cost.
//!
//! Column generation (P. C. Gilmore and R. E. Gomory 1961, memory): a linear program over patterns, whose dual prices go
//! into a knapsack that finds the patterns it lacks. Its value, made safe against rounding and raised to what whole rolls
//! can cost, is a proved lower bound. Whole rolls come from a dive (patterns with large weights are fixed, the rest is
//! solved anew) and from searching parts of the best plan again. Where cost and bound meet, or a search has looked at
//! all that is cheaper, the plan is proved.
//!
//! Lengths and widths are whole numbers in the caller's units; nothing in here knows what is cut.

mod bound;
mod columns;
mod dive;
mod greedy;
mod instance;
mod knapsack;
mod master;
mod polish;
mod search;
#[cfg(test)]
mod tests;

use instance::{Instance, Pattern};

/// A kind of piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Piece {
    /// It must come from stock at least so wide.
    pub width: u32,
    /// Its length.
    pub length: u32,
    /// How many are wanted.
    pub count: u32,
}

/// A kind of stock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stock {
    /// Its width.
    pub width: u32,
    /// Its length.
    pub length: u32,
    /// Its price in the smallest coin. Only limited stock may be free: it is there already.
    pub price: u64,
    /// How many there are; `None` for as many as one likes.
    pub at_most: Option<u32>,
}

/// What is to be cut from what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Order<'a> {
    /// Pieces.
    pub pieces: &'a [Piece],
    /// Stock.
    pub stock: &'a [Stock],
    /// What is lost at each cut.
    pub kerf: u32,
    /// How hard to try.
    pub effort: Effort,
}

/// How hard to try, in counts: the same order gives the same plan on every machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Rounds of column generation over the whole order.
    pub rounds: usize,
    /// Parts of the best plan that are solved again.
    pub parts: usize,
}

impl Default for Effort {
    fn default() -> Effort {
        Effort {
            rounds: 400,
            parts: 1200,
        }
    }
}

/// Stock that is cut in one way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cut {
    /// Which stock, by its place in the order.
    pub stock: usize,
    /// So many of it.
    pub times: u32,
    /// Which pieces come out of each, by their places in the order, and how many.
    pub pieces: Vec<(usize, u32)>,
}

/// Whether a plan is known to be the cheapest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// No plan costs less.
    Proved,
    /// A plan that costs less, but no less than the bound, may exist.
    Within,
}

/// How an order is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct CuttingPlan {
    /// Stock with its pieces.
    pub cuts: Vec<Cut>,
    /// What it costs.
    pub cost: u64,
    /// No plan costs less.
    pub bound: u64,
    /// The linear program's value, a lower bound too.
    pub lp: f64,
    /// Whether it is proved.
    pub status: Status,
    /// Rounds of column generation over the whole order.
    pub rounds: usize,
    /// Patterns that it found.
    pub patterns: usize,
}

impl CuttingPlan {
    /// How far the cost may be over the least, part of the cost.
    #[must_use]
    pub fn gap(&self) -> f64 {
        if self.cost == 0 {
            0.0
        } else {
            (self.cost - self.bound.min(self.cost)) as f64 / self.cost as f64
        }
    }
}

/// Why an order cannot be cut.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CuttingError {
    /// Pieces that fit into no stock, by their places.
    #[error("{} kinds of pieces fit into no stock", .0.len())]
    TooLarge(Vec<usize>),
    /// The stock that is there does not suffice and no other can be had.
    #[error("what is there does not suffice, and there is no other")]
    TooLittle,
    /// Stock that costs nothing and never ends.
    #[error("unlimited stock costs nothing")]
    Free(usize),
    /// Numbers beyond what can be counted.
    #[error("lengths, counts or prices are beyond what can be counted")]
    Beyond,
    /// A piece or stock without length.
    #[error("something has no length")]
    NoLength,
}

/// Cuts an order.
///
/// # Errors
/// Pieces that fit nowhere, limited stock that does not suffice, numbers out of range.
pub fn cut(order: &Order) -> Result<CuttingPlan, CuttingError> {
    let instance = Instance::new(order)?;
    if instance.kinds.is_empty() {
        return Ok(CuttingPlan {
            cuts: Vec::new(),
            cost: 0,
            bound: 0,
            lp: 0.0,
            status: Status::Proved,
            rounds: 0,
            patterns: 0,
        });
    }
    let demand = instance.demand();
    let start = greedy::packed(&instance, &demand, &instance.limits());
    let mut pool = columns::Pool::new(&instance, start.as_deref().unwrap_or_default());
    let generated = columns::generate(
        &instance,
        &demand,
        &instance.limits(),
        &mut pool,
        order.effort.rounds,
    );
    let bound = bound::whole(&instance, generated.bound);
    let mut best = start.clone();
    for as_good in DIVES {
        if best
            .as_ref()
            .is_some_and(|best| instance.cost(best) <= bound)
        {
            break;
        }
        let limits = instance.limits();
        let dived = dive::dive(&instance, &demand, &limits, &mut pool, &generated, as_good);
        best = instance.cheaper(best, dived);
    }
    let Some(mut best) = best else {
        return Err(CuttingError::TooLittle);
    };
    let prices = bound::feasible(&instance, &generated.prices);
    let proved = polish::polish(&instance, &mut best, &prices, bound, order.effort.parts);
    let cost = instance.cost(&best);
    let bound = if proved { cost } else { bound };
    Ok(CuttingPlan {
        cuts: instance.cuts(&best),
        cost,
        bound: bound.min(cost),
        lp: generated.bound,
        status: if cost <= bound {
            Status::Proved
        } else {
            Status::Within
        },
        rounds: generated.rounds,
        patterns: pool.patterns.len(),
    })
}

/// Weight from which a pattern counts as whole in each dive.
const DIVES: [f64; 1] = [0.8];

/// A plan as the solver holds it: one pattern a roll.
type Rolls = Vec<Pattern>;
