//! A first plan: roll after roll, each the one that is filled for the least money.

use super::instance::{Instance, Pattern};
use super::knapsack::Knapsack;

/// Packs what is wanted; `None` where the stock that is left does not suffice.
pub(super) fn packed(
    instance: &Instance,
    demand: &[u32],
    limits: &[Option<u32>],
) -> Option<Vec<Pattern>> {
    let mut left = demand.to_vec();
    let mut limits = limits.to_vec();
    let mut rolls = Vec::new();
    while left.iter().any(|count| *count > 0) {
        // What fills a roll is area: narrow pieces leave wide rolls to wide ones.
        let values: Vec<i64> = instance
            .kinds
            .iter()
            .map(|kind| i64::from(kind.length) * (1 + i64::from(kind.width)))
            .collect();
        let best = Knapsack::solve(instance, &left, &values);
        let dear = |stock: usize| instance.price(stock) as f64 / best.value(stock) as f64;
        let stock = (0..instance.stock.len())
            .filter(|stock| limits.get(*stock).is_some_and(|limit| *limit != Some(0)))
            .filter(|stock| best.value(*stock) > 0)
            .min_by(|a, b| {
                dear(*a)
                    .total_cmp(&dear(*b))
                    .then(best.value(*b).cmp(&best.value(*a)))
            })?;
        let pieces = best.pieces(stock);
        // As often as it goes while all of it is wanted.
        let fits = |(kind, count): &(usize, u32)| left.get(*kind).map_or(0, |left| left / count);
        let often = pieces.iter().map(fits).min().unwrap_or(0);
        let often = limits
            .get(stock)
            .copied()
            .flatten()
            .map_or(often, |limit| often.min(limit));
        for _ in 0..often.max(1) {
            take(&mut left, &mut limits, stock, &pieces);
            rolls.push(Pattern {
                stock,
                pieces: pieces.clone(),
            });
        }
    }
    Some(rolls)
}

/// Takes a pattern off what is wanted and off what there is.
pub(super) fn take(
    left: &mut [u32],
    limits: &mut [Option<u32>],
    stock: usize,
    pieces: &[(usize, u32)],
) {
    for (kind, count) in pieces {
        if let Some(left) = left.get_mut(*kind) {
            *left = left.saturating_sub(*count);
        }
    }
    if let Some(Some(limit)) = limits.get_mut(stock) {
        *limit = limit.saturating_sub(1);
    }
}
