//! Depth-first search for a cheaper plan of few pieces, pruned by the linear program's prices.
//!
//! With prices at which no pattern is worth more than its roll, a plan costs what its pieces are worth and what each of
//! its patterns costs beyond its own: a plan that is cheaper than one that is known must stay within the difference. The
//! longest piece that is left goes into every pattern that this leaves, the nearest to its worth first.

use super::Rolls;
use super::greedy::take;
use super::instance::{Instance, Pattern};
use std::collections::BTreeMap;

/// Whole prices of pieces: no pattern of an unlimited stock is worth more than its roll.
#[derive(Debug, Clone)]
pub(super) struct Prices {
    /// Of each kind, in grains.
    pub values: Vec<i64>,
    /// What a pattern of each limited stock may be worth beyond its roll, in grains.
    pub over: Vec<i64>,
    /// Grains in a coin.
    pub grains: i64,
}

/// How a search ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Found {
    /// The cheapest plan that is cheaper than the one that was known.
    pub better: Option<Rolls>,
    /// Whether everything was looked at.
    pub complete: bool,
}

/// Patterns that are tried for one piece.
const MAX_PATTERNS: usize = 400;

struct Search<'a> {
    instance: &'a Instance,
    prices: &'a Prices,
    /// Kinds that are wanted, the longest first.
    kinds: Vec<usize>,
    /// For each width of stock what each length of it can be worth.
    worth: BTreeMap<u32, Vec<i64>>,
    left: Vec<u32>,
    limits: Vec<Option<u32>>,
    /// What plans may cost beyond their pieces' worth.
    budget: i64,
    nodes: usize,
    complete: bool,
    rolls: Rolls,
    best: Option<Rolls>,
}

/// Seeks a plan for some pieces that costs less than `cost`; `nodes` bounds the work.
pub(super) fn search(
    instance: &Instance,
    prices: &Prices,
    demand: &[u32],
    limits: &[Option<u32>],
    cost: u64,
    nodes: usize,
) -> Found {
    let mut kinds: Vec<usize> = (0..demand.len())
        .filter(|kind| demand.get(*kind).is_some_and(|count| *count > 0))
        .collect();
    kinds.sort_by_key(|kind| (std::cmp::Reverse(instance.length(*kind)), *kind));
    let worth_of = |kind: usize| prices.values.get(kind).copied().unwrap_or(0);
    let all: i64 = kinds
        .iter()
        .map(|kind| worth_of(*kind) * i64::from(demand.get(*kind).copied().unwrap_or(0)))
        .sum();
    let less = i64::try_from(cost).unwrap_or(i64::MAX / prices.grains) - 1;
    let mut search = Search {
        worth: tables(instance, &kinds, demand, &prices.values),
        instance,
        prices,
        kinds,
        left: demand.to_vec(),
        limits: limits.to_vec(),
        budget: less.saturating_mul(prices.grains).saturating_sub(all),
        nodes,
        complete: true,
        rolls: Vec::new(),
        best: None,
    };
    search.go(0);
    Found {
        better: search.best,
        complete: search.complete,
    }
}

/// For each width of stock what each length of it can be worth with the pieces that are wanted.
fn tables(
    instance: &Instance,
    kinds: &[usize],
    demand: &[u32],
    values: &[i64],
) -> BTreeMap<u32, Vec<i64>> {
    let mut rows: BTreeMap<u32, usize> = BTreeMap::new();
    for stock in &instance.stock {
        let rows = rows.entry(stock.width).or_default();
        *rows = (*rows).max(stock.length as usize + 1);
    }
    let longest = rows.values().copied().max().unwrap_or(0);
    // Kinds stand by width: each width's table goes on from that of the next narrower one.
    let mut by_width = kinds.to_vec();
    by_width.sort_unstable();
    let mut by_width = by_width.into_iter().peekable();
    let mut worth = vec![0i64; longest];
    rows.into_iter()
        .map(|(width, rows)| {
            let narrow = |kind: &usize| {
                instance
                    .kinds
                    .get(*kind)
                    .is_some_and(|own| own.width <= width)
            };
            while let Some(kind) = by_width.next_if(narrow) {
                let value = values.get(kind).copied().unwrap_or(0);
                let length = instance.length(kind) as usize;
                let most = (longest / length.max(1)) as u32;
                for _ in 0..demand.get(kind).copied().unwrap_or(0).min(most) {
                    raise(&mut worth, length, value);
                }
            }
            (width, worth.iter().take(rows).copied().collect())
        })
        .collect()
}

/// Each length is worth what it was, or what is left of it beside one more piece is with that piece.
fn raise(worth: &mut [i64], length: usize, value: i64) {
    for room in (length..worth.len()).rev() {
        let with = worth.get(room - length).copied().unwrap_or(0) + value;
        if let Some(now) = worth.get_mut(room) {
            *now = with.max(*now);
        }
    }
}

impl Search<'_> {
    /// What the limited stock that is left can still save, grains.
    fn savings(&self) -> i64 {
        self.limits
            .iter()
            .zip(&self.prices.over)
            .map(|(limit, over)| i64::from(limit.unwrap_or(0)) * over)
            .sum()
    }

    fn go(&mut self, spent: i64) {
        let kinds = self.kinds.iter();
        let first = kinds
            .clone()
            .position(|kind| self.left.get(*kind).is_some_and(|left| *left > 0));
        let Some(first) = first else {
            // Limited stock that is left over saved nothing. Whatever is cheaper than this one is sought from now on.
            if spent <= self.budget {
                self.budget = spent - self.prices.grains;
                self.best = Some(self.rolls.clone());
            }
            return;
        };
        if self.nodes == 0 {
            self.complete = false;
            return;
        }
        self.nodes -= 1;
        let room = self.budget - spent + self.savings();
        let mut patterns = self.patterns(first, room);
        patterns.sort();
        if patterns.len() > MAX_PATTERNS {
            patterns.truncate(MAX_PATTERNS);
            self.complete = false;
        }
        for (over, pattern) in patterns {
            let mut limits = self.limits.clone();
            let mut left = self.left.clone();
            take(&mut left, &mut limits, pattern.stock, &pattern.pieces);
            std::mem::swap(&mut self.left, &mut left);
            std::mem::swap(&mut self.limits, &mut limits);
            let total = spent + over;
            if total <= self.budget + self.savings() {
                self.rolls.push(pattern);
                self.go(total);
                self.rolls.pop();
            }
            self.left = left;
            self.limits = limits;
        }
    }

    /// Patterns with the first piece that is left whose cost beyond their worth stays within a room.
    fn patterns(&mut self, first: usize, room: i64) -> Vec<(i64, Pattern)> {
        let mut found = Vec::new();
        let Some(longest) = self.kinds.get(first).copied() else {
            return found;
        };
        let (length, width) = self
            .instance
            .kinds
            .get(longest)
            .map_or((0, 0), |kind| (kind.length, kind.width));
        for (place, stock) in self.instance.stock.iter().enumerate() {
            let there = self
                .limits
                .get(place)
                .is_some_and(|limit| *limit != Some(0));
            if !there || stock.width < width || stock.length < length {
                continue;
            }
            let most = (2 * MAX_PATTERNS).saturating_sub(found.len());
            let mut filling = Filling {
                search: self,
                stock: place,
                width: stock.width,
                // What the pieces must be worth.
                least: i64::try_from(stock.price).unwrap_or(i64::MAX / self.prices.grains)
                    * self.prices.grains
                    - room,
                price: i64::try_from(stock.price).unwrap_or(0) * self.prices.grains,
                taken: vec![(longest, 1)],
                found: &mut found,
                most,
                cut_short: false,
            };
            let worth = filling
                .search
                .prices
                .values
                .get(longest)
                .copied()
                .unwrap_or(0);
            filling.fill(first, stock.length - length, worth);
            if filling.cut_short {
                self.complete = false;
            }
        }
        found
    }
}

/// A roll that is being filled.
struct Filling<'a, 'b> {
    search: &'a Search<'b>,
    stock: usize,
    width: u32,
    least: i64,
    price: i64,
    taken: Vec<(usize, u32)>,
    found: &'a mut Vec<(i64, Pattern)>,
    most: usize,
    cut_short: bool,
}

impl Filling<'_, '_> {
    /// Adds pieces from a place of the kinds on.
    fn fill(&mut self, from: usize, room: u32, worth: i64) {
        let table = self.search.worth.get(&self.width);
        let can = table
            .and_then(|table| table.get(room as usize))
            .copied()
            .unwrap_or(0);
        if worth + can < self.least {
            return;
        }
        if self.most == 0 {
            self.cut_short = true;
            return;
        }
        let mut full = true;
        for place in from..self.search.kinds.len() {
            let Some(kind) = self.search.kinds.get(place).copied() else {
                break;
            };
            let taken = self
                .taken
                .iter()
                .find(|(other, _)| *other == kind)
                .map_or(0, |(_, count)| *count);
            let left = self.search.left.get(kind).copied().unwrap_or(0);
            let own = self.search.instance.kinds.get(kind);
            let Some(own) =
                own.filter(|own| taken < left && own.length <= room && own.width <= self.width)
            else {
                continue;
            };
            full = false;
            match self.taken.last_mut() {
                Some((last, count)) if *last == kind => *count += 1,
                _ => self.taken.push((kind, 1)),
            }
            let value = self.search.prices.values.get(kind).copied().unwrap_or(0);
            self.fill(place, room - own.length, worth + value);
            match self.taken.last_mut() {
                Some((_, count)) if *count > 1 => *count -= 1,
                _ => {
                    self.taken.pop();
                }
            }
        }
        // A roll into which a piece that is left would still go need not be looked at: taking it in costs nothing.
        if full && worth >= self.least && !self.takes_more(room) {
            self.most = self.most.saturating_sub(1);
            let mut pieces = self.taken.clone();
            pieces.sort_unstable();
            let stock = self.stock;
            self.found
                .push((self.price - worth, Pattern { stock, pieces }));
        }
    }

    /// Whether any piece that is left goes into a room; those before the last one taken too.
    fn takes_more(&self, room: u32) -> bool {
        self.search.kinds.iter().any(|kind| {
            let taken = self
                .taken
                .iter()
                .find(|(other, _)| other == kind)
                .map_or(0, |(_, count)| *count);
            let left = self.search.left.get(*kind).copied().unwrap_or(0);
            let own = self.search.instance.kinds.get(*kind);
            left > taken && own.is_some_and(|own| own.length <= room && own.width <= self.width)
        })
    }
}
