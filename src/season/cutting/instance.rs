//! The order as the solver sees it: alike pieces are one kind, kinds stand by width, the kerf is in the lengths.

use super::{Cut, CuttingError, Order};
use std::collections::BTreeMap;

/// Largest length that is counted: the knapsack's table has a row for each.
const LONGEST: u32 = 1 << 20;
/// Most pieces.
const MAX_PIECES: u64 = 1 << 20;
/// Greatest price: a plan's cost stays exact in a float.
const DEAREST: u64 = 1 << 36;

/// What a piece costs that no pattern holds, dearest rolls.
const OUTSIDE: u64 = 8;
/// Cells of the knapsack's table.
const MAX_CELLS: u64 = 1 << 27;

/// Pieces of one width and length.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Kind {
    pub width: u32,
    /// With the kerf.
    pub length: u32,
    /// All of this kind.
    pub count: u32,
    /// The caller's pieces and how many of each.
    pub of: Vec<(usize, u32)>,
}

/// Stock of one kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Kept {
    /// Its place in the order.
    pub place: usize,
    pub width: u32,
    /// With a kerf, since the last piece needs none.
    pub length: u32,
    pub price: u64,
    pub at_most: Option<u32>,
}

/// A roll with its pieces: kinds and how many of each.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Pattern {
    pub stock: usize,
    pub pieces: Vec<(usize, u32)>,
}

/// What a linear program minimises.
#[derive(Debug, Clone)]
pub(super) struct Costs {
    /// Of a roll of each stock.
    pub of_stock: Vec<u64>,
    /// Of leaving out a piece of each kind.
    pub outside: Vec<u64>,
}

impl Costs {
    /// What the pieces of a dear roll cost, at least one.
    pub fn dearest(&self) -> u64 {
        let priced = self.of_stock.iter().copied().max().unwrap_or(0);
        if priced > 0 {
            priced
        } else {
            self.outside.iter().copied().max().unwrap_or(1).max(1)
        }
    }
}

#[derive(Debug, Clone)]
pub(super) struct Instance {
    /// By width, the narrow ones first.
    pub kinds: Vec<Kind>,
    pub stock: Vec<Kept>,
}

impl Instance {
    pub fn new(order: &Order) -> Result<Instance, CuttingError> {
        let wanted = || {
            order
                .pieces
                .iter()
                .enumerate()
                .filter(|(_, piece)| piece.count > 0)
        };
        if wanted().any(|(_, piece)| piece.length == 0) || order.stock.iter().any(|s| s.length == 0)
        {
            return Err(CuttingError::NoLength);
        }
        let all: u64 = wanted().map(|(_, piece)| u64::from(piece.count)).sum();
        let long = order.stock.iter().any(|stock| stock.length > LONGEST) || order.kerf > LONGEST;
        let dear = order.stock.iter().any(|stock| stock.price > DEAREST);
        if all > MAX_PIECES || long || dear {
            return Err(CuttingError::Beyond);
        }
        let free = |stock: &super::Stock| stock.price == 0 && stock.at_most.is_none();
        if let Some(place) = order.stock.iter().position(free) {
            return Err(CuttingError::Free(place));
        }
        let too_large: Vec<usize> = wanted()
            .filter(|(_, piece)| {
                let holds = |stock: &super::Stock| {
                    stock.width >= piece.width
                        && stock.length >= piece.length
                        && stock.at_most != Some(0)
                };
                !order.stock.iter().any(holds)
            })
            .map(|(place, _)| place)
            .collect();
        if !too_large.is_empty() {
            return Err(CuttingError::TooLarge(too_large));
        }
        let mut kinds: BTreeMap<(u32, u32), Vec<(usize, u32)>> = BTreeMap::new();
        for (place, piece) in wanted() {
            kinds
                .entry((piece.width, piece.length))
                .or_default()
                .push((place, piece.count));
        }
        let longest = order
            .stock
            .iter()
            .map(|stock| u64::from(stock.length) + 1)
            .max()
            .unwrap_or(0);
        // At most twenty items a kind: each twice as many pieces as the last.
        let items: u64 = kinds
            .iter()
            .map(|((_, length), of)| {
                let count: u64 = of.iter().map(|(_, count)| u64::from(*count)).sum();
                u64::from(count.min(longest / u64::from(*length) + 1).ilog2()) + 1
            })
            .sum();
        if items * longest > MAX_CELLS {
            return Err(CuttingError::Beyond);
        }
        Ok(Instance {
            kinds: kinds
                .into_iter()
                .map(|((width, length), of)| Kind {
                    width,
                    length: length + order.kerf,
                    count: of.iter().map(|(_, count)| count).sum(),
                    of,
                })
                .collect(),
            stock: order
                .stock
                .iter()
                .enumerate()
                .filter(|(_, stock)| stock.at_most != Some(0))
                .map(|(place, stock)| Kept {
                    place,
                    width: stock.width,
                    length: stock.length + order.kerf,
                    price: stock.price,
                    at_most: stock.at_most,
                })
                .collect(),
        })
    }

    /// How many of each kind are wanted.
    pub fn demand(&self) -> Vec<u32> {
        self.kinds.iter().map(|kind| kind.count).collect()
    }

    /// How many of each stock there are.
    pub fn limits(&self) -> Vec<Option<u32>> {
        self.stock.iter().map(|stock| stock.at_most).collect()
    }

    /// What rolls cost. A piece that is left out costs more than any roll: that keeps the program bounded.
    pub fn costs(&self) -> Costs {
        let of_stock: Vec<u64> = self.stock.iter().map(|stock| stock.price).collect();
        let dearest = of_stock.iter().copied().max().unwrap_or(1).max(1);
        Costs {
            of_stock,
            outside: vec![OUTSIDE * dearest; self.kinds.len()],
        }
    }

    /// What does not go into given rolls, by length.
    pub fn shortage(&self) -> Costs {
        Costs {
            of_stock: vec![0; self.stock.len()],
            outside: self
                .kinds
                .iter()
                .map(|kind| u64::from(kind.length))
                .collect(),
        }
    }

    pub fn length(&self, kind: usize) -> u32 {
        self.kinds.get(kind).map_or(0, |kind| kind.length)
    }

    pub fn price(&self, stock: usize) -> u64 {
        self.stock.get(stock).map_or(0, |stock| stock.price)
    }

    /// What a pattern takes of its roll, and the width that it needs.
    pub fn taken(&self, pieces: &[(usize, u32)]) -> (u32, u32) {
        pieces
            .iter()
            .fold((0, 0), |(length, width), (kind, count)| {
                let own = self.kinds.get(*kind).map_or(0, |kind| kind.width);
                (length + count * self.length(*kind), width.max(own))
            })
    }

    /// Prices of pieces by their length, at what a length costs in the cheapest stock that never ends and is wide enough: near
    /// the best ones where rolls are filled well.
    pub fn by_length(&self) -> Vec<f64> {
        let dear = |kind: &Kind| {
            let fits = self.stock.iter().filter(|stock| {
                stock.at_most.is_none() && stock.width >= kind.width && stock.length >= kind.length
            });
            let dear = fits
                .map(|stock| stock.price as f64 / f64::from(stock.length))
                .fold(f64::INFINITY, f64::min);
            if dear.is_finite() {
                dear * f64::from(kind.length)
            } else {
                0.0
            }
        };
        self.kinds.iter().map(dear).collect()
    }

    /// The longest stock, with a kerf.
    pub fn longest(&self) -> u32 {
        self.stock
            .iter()
            .map(|stock| stock.length)
            .max()
            .unwrap_or(0)
    }

    pub fn cost(&self, rolls: &[Pattern]) -> u64 {
        rolls.iter().map(|roll| self.price(roll.stock)).sum()
    }

    /// The cheaper of two plans.
    pub fn cheaper(
        &self,
        one: Option<Vec<Pattern>>,
        other: Option<Vec<Pattern>>,
    ) -> Option<Vec<Pattern>> {
        match (one, other) {
            (Some(one), Some(other)) if self.cost(&other) < self.cost(&one) => Some(other),
            (one, other) => one.or(other),
        }
    }

    /// Pieces of kinds given one by one, in the caller's terms.
    pub fn pieces_of(&self, kinds: &[usize]) -> Vec<(usize, u32)> {
        let mut left: Vec<Vec<(usize, u32)>> =
            self.kinds.iter().map(|kind| kind.of.clone()).collect();
        let mut pieces: BTreeMap<usize, u32> = BTreeMap::new();
        for kind in kinds {
            let of = left.get_mut(*kind).into_iter().flatten();
            if let Some((place, there)) = of.into_iter().find(|(_, there)| *there > 0) {
                *there -= 1;
                *pieces.entry(*place).or_default() += 1;
            }
        }
        pieces.into_iter().collect()
    }

    /// A plan in the caller's terms, alike rolls together, in a fixed order.
    pub fn cuts(&self, rolls: &[Pattern]) -> Vec<Cut> {
        let mut left: Vec<Vec<(usize, u32)>> =
            self.kinds.iter().map(|kind| kind.of.clone()).collect();
        let mut sorted: Vec<&Pattern> = rolls.iter().collect();
        sorted.sort();
        let mut cuts: Vec<Cut> = Vec::new();
        for roll in sorted {
            let mut pieces: BTreeMap<usize, u32> = BTreeMap::new();
            for (kind, count) in &roll.pieces {
                let mut wanted = *count;
                for (place, there) in left.get_mut(*kind).into_iter().flatten() {
                    let now = wanted.min(*there);
                    if now > 0 {
                        *pieces.entry(*place).or_default() += now;
                        *there -= now;
                        wanted -= now;
                    }
                }
            }
            let pieces: Vec<(usize, u32)> = pieces.into_iter().collect();
            let stock = self.stock.get(roll.stock).map_or(0, |stock| stock.place);
            match cuts.last_mut() {
                Some(last) if last.stock == stock && last.pieces == pieces => last.times += 1,
                _ => cuts.push(Cut {
                    stock,
                    times: 1,
                    pieces,
                }),
            }
        }
        cuts
    }
}
