//! Harder boats early in a crew's row, as far as no boat becomes late or later.
//!
//! The row is filled from its end: the last place goes to the easiest boat that may end there, then the last but one, and so
//! on (Lawler's rule for a least greatest cost, memory). So no row that keeps the same bounds has an easier boat last, or,
//! with the same one, last but one. That is exact where no two boats are as hard and no rest of a day stays idle. Where one
//! does, boats that it makes late are given tighter bounds; where that does not help in a few rounds, the row is put in order
//! in parts, and what still does not go stays as it was.

use super::yard::Yard;
use std::collections::{BTreeMap, BinaryHeap};
use std::ops::Range;

/// Rounds of tighter bounds.
const MAX_ROUNDS: usize = 12;

/// How often a row, or a part of it, that cannot be put in order as a whole is halved.
const MAX_HALVINGS: u32 = 4;

/// Puts a crew's row in order. Every boat ends by the day that it was due or on which it ended before.
pub(super) fn forward(yard: &Yard, row: &mut Vec<usize>) {
    let day = yard.calendar.day;
    // A late boat may end at any time of the day on which it ended.
    let bound = |work: usize, end: u64| {
        yard.boat(work)
            .due
            .unwrap_or(0)
            .max(end.div_ceil(day) * day)
    };
    let ends = row.iter().zip(yard.ends(row));
    let bounds: BTreeMap<usize, u64> = ends
        .map(|(work, (end, _))| (*work, bound(*work, end)))
        .collect();
    let whole = 0..row.len();
    forward_part(yard, row, &bounds, whole, MAX_HALVINGS);
}

/// Puts a part of a row in order, or as much of it as can be.
fn forward_part(
    yard: &Yard,
    row: &mut Vec<usize>,
    bounds: &BTreeMap<usize, u64>,
    part: Range<usize>,
    halvings: u32,
) {
    let (before, rest) = row.split_at(part.start.min(row.len()));
    let (inside, behind) = rest.split_at(part.len().min(rest.len()));
    let (begin, waited) = yard.ends(before).last().copied().unwrap_or_default();
    let of = |work: &usize| Some((*work, *bounds.get(work)?));
    let mut tighter: BTreeMap<usize, u64> = inside.iter().filter_map(of).collect();
    for _ in 0..MAX_ROUNDS {
        let trial = [before, &filled(yard, &tighter, begin), behind].concat();
        let mut holds = true;
        for (work, (end, idle)) in trial.iter().zip(yard.ends(&trial)) {
            let Some(excess) = bounds
                .get(work)
                .and_then(|bound| end.checked_sub(*bound))
                .filter(|e| *e > 0)
            else {
                continue;
            };
            holds = false;
            if let Some(tighter) = tighter.get_mut(work) {
                *tighter = (end - excess - (idle - waited)).min(tighter.saturating_sub(excess));
            }
        }
        if holds {
            *row = trial;
            return;
        }
    }
    let middle = part.start + part.len() / 2;
    if halvings > 0 && middle > part.start {
        forward_part(yard, row, bounds, part.start..middle, halvings - 1);
        forward_part(yard, row, bounds, middle..part.end, halvings - 1);
    }
}

/// Boats by their bounds from a moment on, filled from the end.
fn filled(yard: &Yard, bounds: &BTreeMap<usize, u64>, begin: u64) -> Vec<usize> {
    let mut by_bound: Vec<(u64, usize, usize)> = bounds
        .iter()
        .map(|(work, bound)| (*bound, yard.boat(*work).rank, *work))
        .collect();
    by_bound.sort_unstable();
    let work: u64 = by_bound
        .iter()
        .map(|(_, _, work)| yard.boat(*work).ticks)
        .sum();
    let mut end = begin + work;
    // Easiest on top.
    let mut may = BinaryHeap::new();
    let mut row = Vec::with_capacity(by_bound.len());
    while row.len() < bounds.len() {
        while by_bound.last().is_some_and(|(bound, _, _)| *bound >= end) {
            may.extend(
                by_bound
                    .pop()
                    .map(|(bound, _, work)| Easiest::new(yard, work, bound)),
            );
        }
        // Bounds that are too tight leave none: the one with the most time is then the least harm.
        let next = may
            .pop()
            .map(|easiest| easiest.work)
            .or_else(|| by_bound.pop().map(|(_, _, work)| work));
        let Some(work) = next else { break };
        end = end.saturating_sub(yard.boat(work).ticks);
        row.push(work);
    }
    row.reverse();
    row
}

/// A boat, the greater the easier; of equals the one that has the most time.
#[derive(Debug, Clone, Copy)]
struct Easiest {
    hardness: f64,
    bound: u64,
    ticks: u64,
    rank: usize,
    work: usize,
}

impl Easiest {
    fn new(yard: &Yard, work: usize, bound: u64) -> Easiest {
        let boat = yard.boat(work);
        Easiest {
            hardness: boat.hardness,
            bound,
            ticks: boat.ticks,
            rank: boat.rank,
            work,
        }
    }
}

impl Ord for Easiest {
    fn cmp(&self, other: &Easiest) -> std::cmp::Ordering {
        let hardness = other.hardness.total_cmp(&self.hardness);
        let time = (self.bound, other.ticks, self.rank).cmp(&(other.bound, self.ticks, other.rank));
        hardness.then(time)
    }
}

impl PartialOrd for Easiest {
    fn partial_cmp(&self, other: &Easiest) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Easiest {
    fn eq(&self, other: &Easiest) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Easiest {}
