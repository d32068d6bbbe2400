//! The purchase list.

use crate::season::{Article, PurchaseLine, Season};
use crate::sheet::quote_list::amount_words;
use crate::sheet::{Block, Column, Sheet, Table};
use crate::takeoff::prices::{Unit, is_invented};
use crate::takeoff::{Money, PriceBook};
use crate::units::UnitSystem;

/// What an article is called.
#[must_use]
pub fn article_words(article: &Article, units: UnitSystem) -> String {
    let length = |meters: f64| units.format_length_short(meters);
    match article {
        Article::Film {
            width,
            length: long,
        } => format!("film roll {} x {}", length(*width), length(*long)),
        Article::Lumber { size, length: long } => format!("{size}, {}", length(*long)),
        Article::Adjustable { from, to } => {
            format!("post to set, {} to {}", length(*from), length(*to))
        }
        Article::Supply(name) => name.clone(),
    }
}

/// The purchase list as a page: all that is taken, what is there, what is bought.
#[must_use]
pub fn purchase_sheet(season: &Season, book: &PriceBook, units: UnitSystem) -> Sheet {
    let list = &season.purchase;
    let rows = list.lines.iter().map(|line| row(line, book, units));
    let [price, cost] = if is_invented(&book.note) {
        ["Price (invented)", "Cost (invented)"]
    } else {
        ["Price", "Cost"]
    };
    Sheet {
        title: "Purchase list".to_owned(),
        blocks: vec![
            Block::Table(Table {
                columns: vec![
                    Column::words("What"),
                    Column::numbers("The season takes"),
                    Column::numbers("There"),
                    Column::numbers("Pack"),
                    Column::numbers("Buy"),
                    Column::numbers(price),
                    Column::numbers(cost),
                ],
                rows: rows.collect(),
                by_hand: false,
            }),
            Block::Paragraph(format!("Together: {}.", book.money(list.total))),
            Block::Paragraph(format!(
                "Waste allowances of the price book are in it. Prices before tax: {}.",
                book.note
            )),
        ],
    }
}

fn row(line: &PurchaseLine, book: &PriceBook, units: UnitSystem) -> Vec<String> {
    let amount = |amount: f64| amount_words(amount, line.unit, units);
    let pack = match (&line.what, line.unit) {
        (Article::Supply(_), _) => amount(line.pack),
        (_, Unit::Pieces) => "1".to_owned(),
        _ => amount(line.pack),
    };
    vec![
        article_words(&line.what, units),
        amount(line.needed),
        amount(line.there),
        pack,
        line.packs.to_string(),
        match line.price {
            Money::ZERO => String::new(),
            price => book.currency.plain(price),
        },
        book.currency.plain(line.cost),
    ]
}
