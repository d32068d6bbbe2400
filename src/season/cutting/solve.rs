//! The way from an order to a plan: bound, first plans, then which rolls may suffice and whether the pieces go into them.

use super::bound::{Row, by_length, by_width, feasible};
use super::columns::{Asked, Generated, generate};
use super::counts::{Counts, Question, cheapest};
use super::dive::{Dived, dive};
use super::gather::{Chance, Gathering};
use super::instance::{Costs, Instance, Pattern};
use super::moved::{cheapest_stock, moved, one_by_one};
use super::pool::Pool;
use super::search::search;
use super::{CuttingError, Effort, first_fit, greedy};
use std::collections::BTreeSet;

/// A plan, one pattern a roll, and what is known of it.
#[derive(Debug, Clone)]
pub(super) struct Solved {
    pub rolls: Vec<Pattern>,
    pub bound: u64,
    pub lp: f64,
    pub rounds: usize,
    pub patterns: usize,
}

/// Times that counts of rolls are asked for, each with a row more than the last.
const MAX_ROWS: usize = 24;

/// Programs that are solved for one answer about counts.
const COUNT_NODES: usize = 8000;

/// Rounds of column generation that look whether pieces go into given rolls.
const SHORTAGE_ROUNDS: usize = 16;

/// Pieces that do not go into given rolls by less length than this are rounding.
const SHORT: f64 = 1e-3;

/// Orders of so few pieces are searched as a whole, with so many nodes.
const FEW_PIECES: u64 = 24;
const NODES: usize = 4000;

/// Pairs, for each roll, by which room is brought together at last.
const GATHERING: usize = 20;

/// Most rolls whose room is brought together at last.
const MAX_GATHERED: usize = 4000;

/// An order on its way to a plan.
pub(super) struct Way<'a> {
    pub instance: &'a Instance,
    pub costs: Costs,
    pub demand: Vec<u32>,
    pub limits: Vec<Option<u32>>,
    pub pool: Pool,
    pub chance: Chance,
    pub best: Option<Vec<Pattern>>,
    pub bound: u64,
    pub effort: Effort,
}

/// Solves an order with at least one piece.
pub(super) fn solve(instance: &Instance, effort: Effort) -> Result<Solved, CuttingError> {
    let demand = instance.demand();
    let limits = instance.limits();
    let start = instance.cheaper(
        first_fit::packed(instance),
        greedy::packed(instance, &demand, &limits),
    );
    let mut way = Way {
        instance,
        costs: instance.costs(),
        pool: Pool::new(instance, start.as_deref().unwrap_or_default()),
        demand,
        limits,
        chance: Chance(0x9e37_79b9_7f4a_7c15),
        best: None,
        bound: 0,
        effort,
    };
    let step = way
        .costs
        .of_stock
        .iter()
        .fold(0, |all, price| super::counts::divisor(all, *price))
        .max(1);
    if let Some(start) = start {
        way.take(start);
    }
    let enough = way.best.as_ref().map_or(f64::INFINITY, |best| {
        instance.cost(best).saturating_sub(step) as f64 + ROUND_UP
    });
    let generated = generate(
        instance,
        Asked {
            costs: &way.costs,
            demand: &way.demand,
            limits: &way.limits,
            rounds: effort.rounds,
            guess: Some(&instance.by_length()),
            enough,
        },
        &mut way.pool,
    );
    way.bound = (generated.bound.ceil() as u64).div_ceil(step) * step;
    way.pool.keep(&generated.patterns);
    if !way.proved() {
        way.dive(&generated)?;
    }
    if !way.proved() {
        way.counts(&generated);
    }
    if !way.proved() {
        way.search(&generated);
    }
    way.gather();
    let rolls = way.best.unwrap_or_default();
    Ok(Solved {
        bound: way.bound.min(instance.cost(&rolls)),
        rolls,
        lp: generated.bound,
        rounds: generated.rounds,
        patterns: way.pool.found,
    })
}

/// A bound that is by this much over a cost rounds up to the next one.
const ROUND_UP: f64 = 1e-3;

impl Way<'_> {
    pub fn cost(&self) -> Option<u64> {
        self.best.as_ref().map(|best| self.instance.cost(best))
    }

    pub fn proved(&self) -> bool {
        self.cost().is_some_and(|cost| cost <= self.bound)
    }

    /// Takes a plan if it is the cheapest.
    pub fn take(&mut self, mut rolls: Vec<Pattern>) {
        cheapest_stock(self.instance, &mut rolls);
        if self
            .cost()
            .is_none_or(|cost| self.instance.cost(&rolls) < cost)
        {
            self.best = Some(rolls);
        }
    }

    /// A plan by a dive; an error where neither it nor anything before found room for all pieces.
    fn dive(&mut self, generated: &Generated) -> Result<(), CuttingError> {
        let Dived {
            mut rolls,
            left,
            limits,
        } = dive(
            self.instance,
            &self.costs,
            &self.demand,
            &self.limits,
            &mut self.pool,
            generated,
        );
        if let Some(rest) = greedy::packed(self.instance, &left, &limits) {
            rolls.extend(rest);
            self.take(rolls);
            return Ok(());
        }
        if self.best.is_some() {
            return Ok(());
        }
        // All limited stock that is left, as empty rolls, and pieces back and forth.
        let pieces: u32 = left.iter().sum();
        for (stock, limit) in limits.iter().enumerate() {
            let empty = Pattern {
                stock,
                pieces: Vec::new(),
            };
            rolls.extend(std::iter::repeat_n(
                empty,
                limit.unwrap_or(pieces).min(pieces) as usize,
            ));
        }
        let mut gathering = Gathering::new(self.instance, &rolls, one_by_one(&left));
        gathering.fill(self.effort.parts, &mut self.chance);
        if gathering.out.is_empty() {
            self.take(gathering.patterns());
            return Ok(());
        }
        Err(CuttingError::TooLittle(
            self.instance.pieces_of(&gathering.out),
        ))
    }

    /// Asks which rolls might do, and tries whether they do, until cost and bound meet or nothing helps.
    fn counts(&mut self, generated: &Generated) {
        let mut rows = by_length(self.instance);
        rows.extend(by_width(self.instance, &generated.values));
        let mut tried = BTreeSet::new();
        for _ in 0..MAX_ROWS {
            let answer = self.ask(&rows, &BTreeSet::new(), 1);
            self.bound = self.bound.max(answer.bound);
            let Some((_, counts)) = answer.found.into_iter().next() else {
                break;
            };
            tried.insert(counts.clone());
            if self.pack(&counts) {
                if self.proved() {
                    return;
                }
                continue;
            }
            match self.shortage(&counts) {
                Short::Row(row) => rows.push(row),
                Short::Packed => {}
                Short::Unknown => break,
            }
            if self.proved() {
                return;
            }
        }
        if !self.proved() {
            self.spare(&rows, tried);
        }
    }

    /// The cheapest counts at which rows hold, cheaper than the best plan and not among those that were tried.
    pub fn ask(&self, rows: &[Row], tried: &BTreeSet<Vec<u32>>, wanted: usize) -> Counts {
        let ceiling = self.cost().unwrap_or(u64::MAX).saturating_sub(1);
        let pieces: u64 = self.demand.iter().map(|count| u64::from(*count)).sum();
        let most: Vec<u32> = self
            .instance
            .stock
            .iter()
            .map(|stock| {
                let affordable = ceiling
                    .checked_div(stock.price)
                    .unwrap_or(u64::MAX)
                    .min(pieces);
                (affordable as u32).min(stock.at_most.unwrap_or(u32::MAX))
            })
            .collect();
        cheapest(Question {
            rows,
            prices: &self.costs.of_stock,
            most: &most,
            ceiling,
            wanted,
            tried,
            nodes: COUNT_NODES,
        })
    }

    /// Tries to put all pieces into so many rolls, from the best plan on.
    fn pack(&mut self, counts: &[u32]) -> bool {
        let Some(best) = &self.best else {
            return false;
        };
        let (rolls, out) = moved(self.instance, best, counts);
        self.fill(&rolls, out)
    }

    fn fill(&mut self, rolls: &[Pattern], out: Vec<usize>) -> bool {
        let mut gathering = Gathering::new(self.instance, rolls, out);
        gathering.fill(self.effort.parts, &mut self.chance);
        let done = gathering.out.is_empty();
        if done {
            self.take(gathering.patterns());
        }
        done
    }

    /// Whether pieces go into so many rolls at all, by the linear program; if they seem to, a dive.
    fn shortage(&mut self, counts: &[u32]) -> Short {
        let costs = self.instance.shortage();
        let limits: Vec<Option<u32>> = counts.iter().map(|count| Some(*count)).collect();
        let asked = Asked {
            costs: &costs,
            demand: &self.demand,
            limits: &limits,
            rounds: SHORTAGE_ROUNDS,
            guess: None,
            enough: SHORT,
        };
        let generated = generate(self.instance, asked, &mut self.pool);
        if generated.bound > 0.0 {
            let row = Row::new(self.instance, &generated.values);
            if !row.holds(counts) {
                return Short::Row(row);
            }
        }
        let Dived {
            mut rolls,
            left,
            limits,
        } = dive(
            self.instance,
            &costs,
            &self.demand,
            &limits,
            &mut self.pool,
            &generated,
        );
        for (stock, limit) in limits.iter().enumerate() {
            let empty = Pattern {
                stock,
                pieces: Vec::new(),
            };
            rolls.extend(std::iter::repeat_n(empty, limit.unwrap_or(0) as usize));
        }
        if self.fill(&rolls, one_by_one(&left)) {
            Short::Packed
        } else {
            Short::Unknown
        }
    }

    /// Looks at everything that is cheaper, where that is little.
    fn search(&mut self, generated: &Generated) {
        let pieces: u64 = self.demand.iter().map(|count| u64::from(*count)).sum();
        let Some(cost) = self.cost().filter(|_| pieces <= FEW_PIECES) else {
            return;
        };
        let prices = feasible(self.instance, &self.costs, &generated.prices);
        let found = search(
            self.instance,
            &prices,
            &self.demand,
            &self.limits,
            cost,
            NODES,
        );
        if let Some(better) = found.better {
            self.take(better);
        }
        if found.complete {
            self.bound = self.cost().unwrap_or(0);
        }
    }

    /// Brings the room that is left together, and takes shorter rolls where they then do.
    fn gather(&mut self) {
        let Some(best) = self.best.as_ref().filter(|best| best.len() <= MAX_GATHERED) else {
            return;
        };
        let mut gathering = Gathering::new(self.instance, best, Vec::new());
        gathering.gather(
            (self.effort.parts / 4).min(GATHERING * best.len()),
            &mut self.chance,
        );
        let mut rolls = gathering.patterns();
        cheapest_stock(self.instance, &mut rolls);
        if self
            .cost()
            .is_none_or(|cost| self.instance.cost(&rolls) <= cost)
        {
            self.best = Some(rolls);
        }
    }
}

/// What trying some counts of rolls came to.
enum Short {
    /// They cannot do, and this row says so.
    Row(Row),
    /// They do.
    Packed,
    /// They were not found to do.
    Unknown,
}
