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
mod counts;
mod dive;
mod first_fit;
mod gather;
mod greedy;
mod instance;
mod knapsack;
mod master;
mod moved;
mod pool;
mod relax;
mod search;
mod solve;
mod spare;
#[cfg(test)]
mod tests;

use instance::{Instance, Pattern};

type Rolls = Vec<Pattern>;

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
    /// Pairs of rolls that are filled anew for a set of rolls that is tried in full.
    pub parts: usize,
}

impl Default for Effort {
    fn default() -> Effort {
        Effort {
            rounds: 400,
            parts: 8000,
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
    /// The stock that is there does not suffice and no other can be had. Pieces for which no room was found, by their
    /// places, and how many of each.
    #[error("what is there does not suffice, and there is no other: {} kinds of pieces are left over", .0.len())]
    TooLittle(Vec<(usize, u32)>),
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
    let solved = solve::solve(&instance, order.effort)?;
    let cost = instance.cost(&solved.rolls);
    Ok(CuttingPlan {
        cuts: instance.cuts(&solved.rolls),
        cost,
        bound: solved.bound,
        lp: solved.lp,
        status: if cost <= solved.bound {
            Status::Proved
        } else {
            Status::Within
        },
        rounds: solved.rounds,
        patterns: solved.patterns,
    })
}
