//! The purchase list: whole rolls, sticks and packs, less what is there.

use super::cut_list::CutList;
use super::stock_list::StockList;
use crate::takeoff::prices::{Adjustable, Unit};
use crate::takeoff::{Materials, Money, PostKind, PriceBook, amount};

/// What is bought, in the order of a yard's shelves: film, lumber, posts, supplies.
#[derive(Debug, Clone, PartialEq)]
pub struct PurchaseList {
    /// Its lines.
    pub lines: Vec<PurchaseLine>,
    /// What all of it costs.
    pub total: Money,
}

/// One line of a purchase list.
#[derive(Debug, Clone, PartialEq)]
pub struct PurchaseLine {
    /// What.
    pub what: Article,
    /// How much the season takes, in its unit, waste included.
    pub needed: f64,
    /// How much is there.
    pub there: f64,
    /// What it is counted in.
    pub unit: Unit,
    /// How much is in a pack: a roll's or stick's own length.
    pub pack: f64,
    /// Packs to buy.
    pub packs: u32,
    /// Price of a pack.
    pub price: Money,
    /// What they cost.
    pub cost: Money,
}

/// What a line is about.
#[derive(Debug, Clone, PartialEq)]
pub enum Article {
    /// Rolls of film, by width and length, m.
    Film {
        /// Width, m.
        width: f64,
        /// Length, m.
        length: f64,
    },
    /// Sticks of lumber.
    Lumber {
        /// `2x4`.
        size: String,
        /// Length, m.
        length: f64,
    },
    /// Posts that are set to their height.
    Adjustable {
        /// Least length, m.
        from: f64,
        /// Greatest length, m.
        to: f64,
    },
    /// Anything in packs.
    Supply(String),
}

/// What a season's covers take, each with how many and what its posts are made of.
pub type Covers<'a> = [(&'a Materials, u32, PostKind)];

/// Makes the list.
#[must_use]
pub fn purchase_list(
    covers: &Covers,
    film: &CutList,
    lumber: &CutList,
    book: &PriceBook,
    stock: &StockList,
) -> PurchaseList {
    let mut lines = cut_lines(film, |source| Article::Film {
        width: source.width,
        length: source.length,
    });
    lines.extend(cut_lines(lumber, |source| Article::Lumber {
        size: book.posts.size.clone(),
        length: source.length,
    }));
    lines.extend(adjustable_lines(covers, book, stock));
    for (place, supply) in book.supplies.iter().enumerate() {
        let of_one = |materials: &Materials| -> f64 {
            supply
                .uses
                .iter()
                .map(|used_for| amount(materials, *used_for, book))
                .sum()
        };
        let all: f64 = covers
            .iter()
            .map(|(materials, count, _)| of_one(materials) * f64::from(*count))
            .sum();
        let needed = all * (1.0 + supply.waste);
        // A part of a piece is a piece.
        let needed = if supply.unit() == Unit::Pieces {
            (needed - HAIR).ceil()
        } else {
            needed
        };
        let there = stock.of_supply(place);
        let packs = packs(needed - there, supply.pack);
        lines.push(PurchaseLine {
            what: Article::Supply(supply.name.clone()),
            needed,
            there,
            unit: supply.unit(),
            pack: supply.pack,
            packs,
            price: supply.price,
            cost: supply.price.times(u64::from(packs)),
        });
    }
    PurchaseList {
        total: lines.iter().map(|line| line.cost).sum(),
        lines,
    }
}

/// Sums of many pieces are rounded: a part of a piece less is none.
const HAIR: f64 = 1e-9;

/// Whole packs that hold an amount.
fn packs(amount: f64, pack: f64) -> u32 {
    (amount / pack - HAIR).ceil().max(0.0) as u32
}

fn cut_lines(
    list: &CutList,
    article: impl Fn(&super::cut_list::Source) -> Article,
) -> Vec<PurchaseLine> {
    let used = list.sources.iter().zip(list.used());
    let mut lines: Vec<PurchaseLine> = Vec::new();
    for (source, used) in used {
        let what = article(source);
        let (there, bought) = match source.count {
            Some(_) => (used, 0),
            None => (0, used),
        };
        // What is there of the same kind stands in the same line.
        let line = lines.iter_mut().find(|line| line.what == what);
        let line = match line {
            Some(line) => line,
            None => {
                lines.push(PurchaseLine {
                    what,
                    needed: 0.0,
                    there: 0.0,
                    unit: Unit::Pieces,
                    pack: 1.0,
                    packs: 0,
                    price: Money::ZERO,
                    cost: Money::ZERO,
                });
                match lines.last_mut() {
                    Some(line) => line,
                    None => continue,
                }
            }
        };
        line.needed += f64::from(used);
        line.there += f64::from(there);
        line.packs += bought;
        line.price = line.price.max(source.price);
        line.cost = line.cost + source.price.times(u64::from(bought));
    }
    lines.retain(|line| line.needed > 0.0);
    lines
}

/// Posts that are set to their height, by their kind.
fn adjustable_lines(covers: &Covers, book: &PriceBook, stock: &StockList) -> Vec<PurchaseLine> {
    let mut counts: Vec<(&Adjustable, u32)> = Vec::new();
    for (materials, count, kind) in covers {
        if *kind != PostKind::Adjustable {
            continue;
        }
        for post in materials
            .posts
            .iter()
            .filter_map(|post| book.adjustable(post.cut))
        {
            match counts.iter_mut().find(|(other, _)| *other == post) {
                Some((_, sum)) => *sum += count,
                None => counts.push((post, *count)),
            }
        }
    }
    counts.sort_by(|a, b| a.0.from.total_cmp(&b.0.from));
    let line = |(post, count): (&Adjustable, u32)| {
        let held = stock.adjustable.iter();
        let there: u32 = held
            .filter(|(length, _)| book.adjustable(*length) == Some(post))
            .map(|(_, count)| count)
            .sum();
        let packs = count.saturating_sub(there);
        PurchaseLine {
            what: Article::Adjustable {
                from: post.from,
                to: post.to,
            },
            needed: f64::from(count),
            there: f64::from(there),
            unit: Unit::Pieces,
            pack: 1.0,
            packs,
            price: post.price,
            cost: post.price.times(u64::from(packs)),
        }
    };
    counts.into_iter().map(line).collect()
}
