//! Pieces of a plan in other rolls.

use super::instance::{Instance, Pattern};

/// Kinds one by one, as often as they are wanted.
pub(super) fn one_by_one(demand: &[u32]) -> Vec<usize> {
    let kinds = demand.iter().enumerate();
    kinds
        .flat_map(|(kind, count)| std::iter::repeat_n(kind, *count as usize))
        .collect()
}

/// So many rolls of each stock with what of a plan goes into them, and the pieces that are then left over.
pub(super) fn moved(
    instance: &Instance,
    plan: &[Pattern],
    counts: &[u32],
) -> (Vec<Pattern>, Vec<usize>) {
    let mut there = counts.to_vec();
    let mut rolls = Vec::new();
    let mut homeless: Vec<&Pattern> = Vec::new();
    for roll in plan {
        match there.get_mut(roll.stock) {
            Some(count) if *count > 0 => {
                *count -= 1;
                rolls.push(roll.clone());
            }
            _ => homeless.push(roll),
        }
    }
    homeless.sort_by_key(|roll| (std::cmp::Reverse(instance.taken(&roll.pieces)), *roll));
    let mut out = Vec::new();
    for roll in homeless {
        let (length, width) = instance.taken(&roll.pieces);
        let fits = instance.stock.iter().enumerate().filter(|(stock, own)| {
            own.length >= length
                && own.width >= width
                && there.get(*stock).is_some_and(|count| *count > 0)
        });
        match fits.min_by_key(|(_, own)| (own.width, own.length)) {
            Some((stock, _)) => {
                if let Some(count) = there.get_mut(stock) {
                    *count -= 1;
                }
                let pieces = roll.pieces.clone();
                rolls.push(Pattern { stock, pieces });
            }
            None => {
                let pieces = roll.pieces.iter();
                out.extend(
                    pieces.flat_map(|(kind, count)| std::iter::repeat_n(*kind, *count as usize)),
                );
            }
        }
    }
    for (stock, count) in there.iter().enumerate() {
        let empty = Pattern {
            stock,
            pieces: Vec::new(),
        };
        rolls.extend(std::iter::repeat_n(empty, *count as usize));
    }
    (rolls, out)
}

/// Lets every roll be of the cheapest stock that holds its pieces and is left.
pub(super) fn cheapest_stock(instance: &Instance, rolls: &mut [Pattern]) {
    let mut left = instance.limits();
    for roll in rolls.iter() {
        if let Some(Some(left)) = left.get_mut(roll.stock) {
            *left = left.saturating_sub(1);
        }
    }
    for roll in rolls {
        let (length, width) = instance.taken(&roll.pieces);
        let better = instance
            .stock
            .iter()
            .enumerate()
            .filter(|(_, stock)| stock.length >= length && stock.width >= width)
            .filter(|(index, _)| left.get(*index).is_some_and(|left| *left != Some(0)))
            .min_by_key(|(_, stock)| (stock.price, stock.length))
            .map(|(index, _)| index);
        if let Some(better) =
            better.filter(|better| instance.price(*better) < instance.price(roll.stock))
        {
            if let Some(Some(left)) = left.get_mut(roll.stock) {
                *left += 1;
            }
            if let Some(Some(left)) = left.get_mut(better) {
                *left = left.saturating_sub(1);
            }
            roll.stock = better;
        }
    }
}
