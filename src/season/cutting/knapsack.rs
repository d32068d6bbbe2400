//! The best pattern for every stock at once, by dynamic programming.

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
        let longest = instance
            .stock
            .iter()
            .map(|stock| stock.length)
            .max()
            .unwrap_or(0) as usize;
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
                    add(item, &mut worth, row);
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

    /// The best pattern's pieces of a stock.
    pub fn pieces(&self, stock: usize) -> Vec<(usize, u32)> {
        let (to, _) = self.best.get(stock).copied().unwrap_or((0, 0));
        let mut room = self
            .instance
            .stock
            .get(stock)
            .map_or(0, |stock| stock.length as usize);
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
                    Some((kind, count)) if *kind == item.kind => *count += item.count,
                    _ => pieces.push((item.kind, item.count)),
                }
            }
        }
        pieces.reverse();
        pieces
    }
}

/// Adds an item: each length is worth more with it, or without.
fn add(item: &Item, worth: &mut [i64], taken: &mut [bool]) {
    let rows = worth.len();
    if item.length >= rows {
        return;
    }
    for room in (item.length..rows).rev() {
        let with = worth.get(room - item.length).copied().unwrap_or(0) + item.value;
        if let (Some(now), Some(mark)) = (worth.get_mut(room), taken.get_mut(room))
            && with > *now
        {
            *now = with;
            *mark = true;
        }
    }
}
