//! How many rolls of each stock: the least cost at which every [`Row`] holds, by branch and bound. What it says is a lower
//! bound on every plan, and where a plan may be found that costs no more.

use super::bound::{ROUNDING, Row};
use super::relax::{Relaxed, Tableau};
use std::collections::{BTreeMap, BTreeSet};

/// How many of each stock may be.
#[derive(Debug, Clone, Copy)]
pub(super) struct Question<'a> {
    pub rows: &'a [Row],
    pub prices: &'a [u64],
    /// Most of each stock.
    pub most: &'a [u32],
    /// Counts that cost more are of no use.
    pub ceiling: u64,
    /// So many of the cheapest are wanted.
    pub wanted: usize,
    /// Counts that are not wanted again.
    pub tried: &'a BTreeSet<Vec<u32>>,
    /// Most programs that are solved.
    pub nodes: usize,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Counts {
    /// No counts that fulfil the rows cost less; one more than the ceiling where none do within it.
    pub bound: u64,
    /// The cheapest counts that were found, what they cost before them.
    pub found: Vec<(u64, Vec<u32>)>,
}

/// A box of counts.
#[derive(Debug, Clone)]
struct Node {
    least: Vec<u32>,
    most: Vec<u32>,
    relaxed: Vec<f64>,
}

/// Counts so near to whole numbers are whole.
const WHOLE: f64 = 1e-6;

/// The cheapest counts.
pub(super) fn cheapest(question: Question) -> Counts {
    let step = question
        .prices
        .iter()
        .fold(0, |all, price| divisor(all, *price))
        .max(1);
    let mut found: BTreeSet<(u64, Vec<u32>)> = BTreeSet::new();
    let mut ceiling = question.ceiling;
    let mut open: BTreeMap<(u64, usize), Node> = BTreeMap::new();
    let mut made = 0;
    let mut root = Tableau::new(question.rows, question.prices);
    root.solve(&vec![0; question.most.len()], question.most);
    let mut add = |least: Vec<u32>,
                   most: Vec<u32>,
                   open: &mut BTreeMap<(u64, usize), Node>,
                   found: &mut BTreeSet<(u64, Vec<u32>)>,
                   ceiling: &mut u64| {
        if !question.rows.iter().all(|row| row.holds(&most)) {
            return;
        }
        made += 1;
        let relaxed = root.clone().solve(&least, &most);
        let bound = (lower(question, &relaxed, &least, &most).ceil().max(0.0) as u64)
            .max(cost(question.prices, &least));
        let bound = bound.div_ceil(step) * step;
        if bound > *ceiling {
            return;
        }
        for mut counts in [up(&relaxed.counts, &least, &most), most.clone()] {
            if question.rows.iter().all(|row| row.holds(&counts)) {
                trim(question, &mut counts, &least);
                let cost = cost(question.prices, &counts);
                if cost <= *ceiling && !question.tried.contains(&counts) {
                    found.insert((cost, counts));
                    if found.len() > question.wanted {
                        found.pop_last();
                    }
                    if let Some((dearest, _)) =
                        found.last().filter(|_| found.len() == question.wanted)
                    {
                        *ceiling = dearest.saturating_sub(1);
                    }
                }
                break;
            }
        }
        open.insert(
            (bound, made),
            Node {
                least,
                most,
                relaxed: relaxed.counts,
            },
        );
    };
    add(
        vec![0; question.most.len()],
        question.most.to_vec(),
        &mut open,
        &mut found,
        &mut ceiling,
    );
    let mut nodes = 0;
    while let Some(((bound, made), node)) = open.pop_first() {
        if bound > ceiling {
            open.clear();
            break;
        }
        if nodes >= question.nodes {
            open.insert((bound, made), node);
            break;
        }
        nodes += 1;
        let parts = node
            .relaxed
            .iter()
            .zip(&node.least)
            .zip(&node.most)
            .enumerate();
        let split = parts
            .filter(|(_, ((_, least), most))| least < most)
            .map(|(stock, ((count, least), most))| {
                let down = (count + WHOLE)
                    .floor()
                    .clamp(f64::from(*least), f64::from(*most - 1));
                let apart = (count - count.round()).abs();
                (apart, stock, down as u32)
            })
            .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        let Some((_, stock, down)) = split else {
            continue;
        };
        let (mut most, mut least) = (node.most.clone(), node.least.clone());
        if let (Some(most), Some(least)) = (most.get_mut(stock), least.get_mut(stock)) {
            *most = down;
            *least = down + 1;
        }
        add(node.least, most, &mut open, &mut found, &mut ceiling);
        add(least, node.most, &mut open, &mut found, &mut ceiling);
    }
    // What is open may hold something cheaper; what was closed does not.
    let bound = open
        .keys()
        .next()
        .map_or(ceiling.saturating_add(1), |(bound, _)| *bound);
    Counts {
        bound: bound.min(ceiling.saturating_add(1)),
        found: found.into_iter().collect(),
    }
}

/// What so many of each stock cost.
pub(super) fn cost(prices: &[u64], counts: &[u32]) -> u64 {
    prices
        .iter()
        .zip(counts)
        .map(|(price, count)| price * u64::from(*count))
        .sum()
}

/// Counts that are not whole go up.
fn up(counts: &[f64], least: &[u32], most: &[u32]) -> Vec<u32> {
    counts
        .iter()
        .zip(least)
        .zip(most)
        .map(|((count, least), most)| ((count - WHOLE).ceil().max(0.0) as u32).clamp(*least, *most))
        .collect()
}

/// Takes off what is not needed, the dearest first.
fn trim(question: Question, counts: &mut [u32], least: &[u32]) {
    let mut order: Vec<usize> = (0..counts.len()).collect();
    order.sort_by_key(|stock| std::cmp::Reverse(question.prices.get(*stock).copied()));
    for stock in order {
        let kept = least.get(stock).copied().unwrap_or(0);
        while let Some(count) = counts.get_mut(stock).filter(|count| **count > kept) {
            *count -= 1;
            if question.rows.iter().all(|row| row.holds(counts)) {
                continue;
            }
            if let Some(count) = counts.get_mut(stock) {
                *count += 1;
            }
            break;
        }
    }
}

/// A lower bound on the cost within a box, from the multipliers alone: whatever they are, it holds (Lagrange).
fn lower(question: Question, relaxed: &Relaxed, least: &[u32], most: &[u32]) -> f64 {
    let mut given = vec![0.0; question.prices.len()];
    let (mut sum, mut size) = (0.0, 0.0);
    let needed = question.rows.iter().filter(|row| row.need > 0);
    for (row, multiplier) in needed.zip(&relaxed.multipliers) {
        sum += multiplier;
        let part = multiplier / row.need as f64;
        for (given, worth) in given.iter_mut().zip(&row.worth) {
            *given += part * *worth as f64;
        }
    }
    size += sum;
    for (((price, given), least), most) in question.prices.iter().zip(given).zip(least).zip(most) {
        let over = *price as f64 - given;
        let count = f64::from(if over > 0.0 { *least } else { *most });
        sum += count * over;
        size += count * (*price as f64 + given);
    }
    sum - ROUNDING * size
}

/// The greatest common divisor.
pub(super) fn divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { divisor(b, a % b) }
}
