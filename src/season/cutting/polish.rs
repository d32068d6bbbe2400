//! Better plans from a good one: each roll from the cheapest stock that holds its pieces, parts of the plan solved again.

use super::Rolls;
use super::instance::{Instance, Pattern};
use super::search::{Found, Prices, search};

/// Rolls in a part: few enough to be searched in a moment, many enough for pieces to change places.
const SIZES: [usize; 6] = [2, 3, 4, 5, 6, 4];

/// Nodes of the search of a part.
const NODES: usize = 300;

/// Nodes of the search of a whole plan, where that is small.
const ALL_NODES: usize = 20_000;

/// A plan of more rolls is not searched as a whole.
const SMALL: usize = 16;

/// Searches parts again until the cost is the bound or so many were tried. Whether the plan was then proved: all that
/// is cheaper was looked at.
pub(super) fn polish(
    instance: &Instance,
    rolls: &mut Rolls,
    prices: &Prices,
    bound: u64,
    parts: usize,
) -> bool {
    cheapest_stock(instance, rolls);
    let mut chance = Chance(0x9e37_79b9_7f4a_7c15);
    for round in 0..parts {
        if instance.cost(rolls) <= bound || rolls.len() < 2 {
            break;
        }
        let size = SIZES.get(round % SIZES.len()).copied().unwrap_or(4);
        if size >= rolls.len() {
            continue;
        }
        let chosen = part(instance, rolls, prices, size, round, &mut chance);
        if let Some(better) = again(instance, rolls, prices, &chosen, NODES).better {
            let mut index = 0;
            rolls.retain(|_| {
                index += 1;
                !chosen.contains(&(index - 1))
            });
            rolls.extend(better);
            cheapest_stock(instance, rolls);
        }
    }
    if instance.cost(rolls) <= bound || rolls.len() > SMALL {
        return false;
    }
    let all: Vec<usize> = (0..rolls.len()).collect();
    let found = again(instance, rolls, prices, &all, ALL_NODES);
    if let Some(better) = found.better {
        *rolls = better;
    }
    found.complete
}

/// Rolls that are solved again together: every other time one of the most wasteful, and others by chance.
fn part(
    instance: &Instance,
    rolls: &[Pattern],
    prices: &Prices,
    size: usize,
    round: usize,
    chance: &mut Chance,
) -> Vec<usize> {
    let mut chosen = Vec::new();
    if round.is_multiple_of(2) {
        let mut wasteful: Vec<(i64, usize)> = rolls
            .iter()
            .enumerate()
            .map(|(index, roll)| {
                let worth = |(kind, count): &(usize, u32)| {
                    prices.values.get(*kind).copied().unwrap_or(0) * i64::from(*count)
                };
                let price = i64::try_from(instance.price(roll.stock)).unwrap_or(0) * prices.grains;
                (price - roll.pieces.iter().map(worth).sum::<i64>(), index)
            })
            .collect();
        wasteful.sort_by(|a, b| b.cmp(a));
        let place = round / 2 % wasteful.len().max(1);
        chosen.extend(wasteful.get(place).map(|(_, index)| *index));
    }
    while chosen.len() < size {
        let index = chance.below(rolls.len());
        if !chosen.contains(&index) {
            chosen.push(index);
        }
    }
    chosen
}

/// Seeks a cheaper plan for the pieces of some rolls, out of the stock that the others leave.
fn again(
    instance: &Instance,
    rolls: &[Pattern],
    prices: &Prices,
    chosen: &[usize],
    nodes: usize,
) -> Found {
    let mut demand = vec![0; instance.kinds.len()];
    let mut limits = instance.limits();
    let mut cost = 0;
    for (index, roll) in rolls.iter().enumerate() {
        if chosen.contains(&index) {
            cost += instance.price(roll.stock);
            for (kind, count) in &roll.pieces {
                if let Some(demand) = demand.get_mut(*kind) {
                    *demand += count;
                }
            }
        } else if let Some(Some(limit)) = limits.get_mut(roll.stock) {
            *limit = limit.saturating_sub(1);
        }
    }
    search(instance, prices, &demand, &limits, cost, nodes)
}

/// Lets every roll be of the cheapest stock that holds its pieces and is left.
fn cheapest_stock(instance: &Instance, rolls: &mut [Pattern]) {
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

/// A xorshift generator (G. Marsaglia 2003): the same choices on every run.
struct Chance(u64);

impl Chance {
    fn below(&mut self, count: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % count.max(1) as u64) as usize
    }
}
