//! First fit decreasing: the longest piece first, each into the first roll that has room. A first plan, and what a plan is
//! held against.

use super::instance::{Instance, Pattern};
use std::collections::BTreeMap;

/// Packs all pieces; a new roll is the one that costs least a length of those that hold the piece. `None` where limited
/// stock does not suffice.
pub(super) fn packed(instance: &Instance) -> Option<Vec<Pattern>> {
    struct Open {
        stock: usize,
        width: u32,
        room: u32,
        pieces: BTreeMap<usize, u32>,
    }
    let mut order: Vec<usize> = (0..instance.kinds.len()).collect();
    order.sort_by_key(|kind| (std::cmp::Reverse(instance.length(*kind)), *kind));
    let mut limits = instance.limits();
    let mut open: Vec<Open> = Vec::new();
    for index in order {
        let kind = instance.kinds.get(index)?;
        // Where one of a kind finds no room, none that comes later does.
        let mut first = 0;
        for _ in 0..kind.count {
            let fits = |roll: &Open| roll.room >= kind.length && roll.width >= kind.width;
            let place = match open.iter().skip(first).position(fits) {
                Some(place) => first + place,
                None => {
                    let dear = |price: u64, length: u32| price as f64 / f64::from(length);
                    let (stock, new) = instance
                        .stock
                        .iter()
                        .enumerate()
                        .filter(|(_, stock)| {
                            stock.length >= kind.length && stock.width >= kind.width
                        })
                        .filter(|(stock, _)| {
                            limits.get(*stock).is_some_and(|limit| *limit != Some(0))
                        })
                        .min_by(|(_, a), (_, b)| {
                            dear(a.price, a.length).total_cmp(&dear(b.price, b.length))
                        })?;
                    if let Some(Some(limit)) = limits.get_mut(stock) {
                        *limit -= 1;
                    }
                    open.push(Open {
                        stock,
                        width: new.width,
                        room: new.length,
                        pieces: BTreeMap::new(),
                    });
                    open.len() - 1
                }
            };
            first = place;
            let roll = open.get_mut(place)?;
            roll.room -= kind.length;
            *roll.pieces.entry(index).or_default() += 1;
        }
    }
    let rolls = open.into_iter().map(|roll| Pattern {
        stock: roll.stock,
        pieces: roll.pieces.into_iter().collect(),
    });
    Some(rolls.collect())
}
