//! The best pattern for every stock at once, by dynamic programming, and good ones that hold a given piece.

use super::instance::Instance;

/// A value for each kind of piece, and how many may be taken.
pub(super) struct Knapsack<'a> {
    instance: &'a Instance,
    items: Vec<Item>,
    /// For each item and each length whether it is taken.
    taken: Vec<bool>,
    /// Lengths that are counted.
    rows: usize,
    /// For each stock the items that are narrow enough (they come first), and its best value.
    best: Vec<(usize, i64)>,
}

/// Several pieces of a kind that are taken together: with items of 1, 2, 4 ... any number can be.
struct Item {
    kind: usize,
    count: u32,
    length: usize,
    value: i64,
}

impl<'a> Knapsack<'a> {
    /// Finds the best pattern for every stock. Values are whole, so that nothing is rounded.
    pub fn solve(instance: &'a Instance, demand: &[u32], values: &[i64]) -> Knapsack<'a> {
        let longest = instance.longest() as usize;
        let rows = longest + 1;
        let mut items = Vec::new();
        // Kinds stand by width: what fits a stock's width is a first part of the items.
        let mut until: Vec<(u32, usize)> = Vec::new();
        for (index, kind) in instance.kinds.iter().enumerate() {
            let value = values.get(index).copied().unwrap_or(0);
            let wanted = demand.get(index).copied().unwrap_or(0);
            let length = kind.length as usize;
            let mut left = wanted.min((longest / length.max(1)) as u32);
            let mut count = 1;
            while left > 0 && value > 0 {
                let now = count.min(left);
                items.push(Item {
                    kind: index,
                    count: now,
                    length: length * now as usize,
                    value: value * i64::from(now),
                });
                left -= now;
                count *= 2;
            }
            until.push((kind.width, items.len()));
        }
        let mut order: Vec<usize> = (0..instance.stock.len()).collect();
        order.sort_by_key(|stock| instance.stock.get(*stock).map(|stock| stock.width));
        let mut worth = vec![0i64; rows];
        let mut next = worth.clone();
        let mut taken = vec![false; rows * items.len()];
        let mut best = vec![(0, 0); instance.stock.len()];
        let mut done = 0;
        for index in order {
            let Some(stock) = instance.stock.get(index) else {
                continue;
            };
            let narrow = until.partition_point(|(width, _)| *width <= stock.width);
            let to = narrow
                .checked_sub(1)
                .and_then(|last| until.get(last))
                .map_or(0, |(_, to)| *to);
            for place in done..to {
                if let (Some(item), Some(row)) = (
                    items.get(place),
                    taken.get_mut(place * rows..(place + 1) * rows),
                ) {
                    add(item, &mut worth, &mut next, row);
                }
            }
            done = done.max(to);
            if let Some(slot) = best.get_mut(index) {
                *slot = (to, worth.get(stock.length as usize).copied().unwrap_or(0));
            }
        }
        Knapsack {
            instance,
            items,
            taken,
            rows,
            best,
        }
    }

    /// The best value of a stock's pattern.
    pub fn value(&self, stock: usize) -> i64 {
        self.best.get(stock).map_or(0, |(_, value)| *value)
    }

    /// The best values of all stocks' patterns.
    pub fn values(&self) -> Vec<i64> {
        self.best.iter().map(|(_, value)| *value).collect()
    }

    /// The best pattern's pieces of a stock.
    pub fn pieces(&self, stock: usize) -> Vec<(usize, u32)> {
        let room = self
            .instance
            .stock
            .get(stock)
            .map_or(0, |stock| stock.length as usize);
        self.back(stock, room, None)
    }

    /// A good pattern's pieces of a stock that hold a kind of piece: the best of what is beside one of it, less what
    /// would be too many.
    pub fn holding(&self, stock: usize, kind: usize) -> Option<Vec<(usize, u32)>> {
        let own = self.instance.kinds.get(kind)?;
        let there = self.instance.stock.get(stock)?;
        let room = there.length.checked_sub(own.length)?;
        (own.width <= there.width).then(|| self.back(stock, room as usize, Some(kind)))
    }

    /// The pieces that the best value of a length is made of; with one of `held` in place of any other of it.
    fn back(&self, stock: usize, mut room: usize, held: Option<usize>) -> Vec<(usize, u32)> {
        let (to, _) = self.best.get(stock).copied().unwrap_or((0, 0));
        let mut pieces: Vec<(usize, u32)> = Vec::new();
        for place in (0..to).rev() {
            let Some(item) = self.items.get(place) else {
                continue;
            };
            if self
                .taken
                .get(place * self.rows + room)
                .copied()
                .unwrap_or(false)
            {
                room -= item.length;
                match pieces.last_mut() {
                    _ if held == Some(item.kind) => {}
                    Some((kind, count)) if *kind == item.kind => *count += item.count,
                    _ => pieces.push((item.kind, item.count)),
                }
            }
        }
        pieces.extend(held.map(|kind| (kind, 1)));
        pieces.sort_unstable();
        pieces
    }
}

/// Adds an item: each length is worth more with it, or without.
fn add(item: &Item, worth: &mut Vec<i64>, next: &mut Vec<i64>, taken: &mut [bool]) {
    let Some(until) = worth.len().checked_sub(item.length) else {
        return;
    };
    next.copy_from_slice(worth);
    let before = worth.iter().take(until);
    let after = next.iter_mut().zip(taken).skip(item.length);
    for ((now, mark), before) in after.zip(before) {
        let with = before + item.value;
        *mark = with > *now;
        *now = with.max(*now);
    }
    std::mem::swap(worth, next);
}
