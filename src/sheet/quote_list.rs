//! A quote as a page: for the customer without inner costs, for the yard with all of them.

use super::{Block, Column, Point, Sheet, Table, cautions, cautions_heading};
use crate::plan::Plan;
use crate::takeoff::prices::{Unit, is_invented, money_words};
use crate::takeoff::{Line, Money, Quote};
use crate::units::UnitSystem;

/// Who reads a quote.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Audience {
    /// What is done and what it costs.
    Customer,
    /// Every line with its cost, hours, mark-up.
    Yard,
}

/// A quote as one page.
#[must_use]
pub fn quote_sheet(plan: &Plan, quote: &Quote, audience: Audience, units: UnitSystem) -> Sheet {
    let blocks = match audience {
        Audience::Customer => for_customer(plan, quote, units),
        Audience::Yard => for_yard(plan, quote, units),
    };
    Sheet {
        title: format!("Winter cover of {}", plan.boat.name),
        blocks,
    }
}

fn heading(words: &str) -> Block {
    Block::Heading(words.to_owned())
}

fn for_customer(plan: &Plan, quote: &Quote, units: UnitSystem) -> Vec<Block> {
    let materials = &plan.takeoff.materials;
    let mut done = vec![
        format!(
            "The boat: {} long, {} wide.",
            units.format_length_short(plan.boat.length),
            units.format_length_short(plan.boat.beam)
        ),
        format!(
            "A cover of heat-shrunk film, {} in all, over {}, drawn tight round a perimeter band.",
            units.format_area(materials.covered),
            match materials.posts.len() {
                0 => "a ridge strap".to_owned(),
                1 => "a frame with one support post".to_owned(),
                number => format!("a frame with {number} support posts"),
            }
        ),
    ];
    if materials.vents > 0 {
        done.push(format!("{} vents, set high.", materials.vents));
    }
    if materials.doors > 0 {
        done.push("A door, so that you can get in.".to_owned());
    }
    if materials.pad_count() > 0 {
        done.push(format!(
            "Pads at {} places where film bears on the boat.",
            materials.pad_count()
        ));
    }
    let taken_off = quote.labour.iter().any(|line| line.what == "spring");
    if taken_off {
        done.push(
            "In spring the cover is taken off and its clean film baled for recycling.".to_owned(),
        );
    }
    let mut know = vec![
        "The price is for the boat as it was measured. What has to come down first (antennas, outriggers, canvas, \
         rods) is yours to take down unless agreed otherwise."
            .to_owned(),
        "Batteries off, shore power unplugged, no fuel leak: the heat tool burns gas.".to_owned(),
        "Nobody stays under a cover that carries snow or water.".to_owned(),
        "Loads are a planning check only: local building and fire codes, the makers' instructions and licensed \
         engineers decide."
            .to_owned(),
    ];
    if !plan.is_good() {
        know.push(
            "The cover as planned falls short of what we hold to; we talk it over before we start."
                .to_owned(),
        );
    }
    let points = |texts: Vec<String>| Block::Points(texts.into_iter().map(Point::dashed).collect());
    vec![
        heading("What we do"),
        points(done),
        heading("Price"),
        Block::Table(sums(quote, customers_sums(quote))),
        heading("What to know"),
        points(know),
        Block::Paragraph(format!("Prices: {}.", quote.note)),
    ]
}

fn customers_sums(quote: &Quote) -> Vec<(String, Money)> {
    vec![
        ("winter cover".to_owned(), quote.net),
        (tax_words(quote), quote.tax),
        ("to pay".to_owned(), quote.total),
    ]
}

fn tax_words(quote: &Quote) -> String {
    // Rates are written with a few places at most; ten thousandths of a percent are rounding.
    let percent = (quote.tax_rate * 1e6).round() / 1e4;
    format!("tax, {percent} %")
}

fn for_yard(plan: &Plan, quote: &Quote, units: UnitSystem) -> Vec<Block> {
    let mut costs = vec![
        ("materials".to_owned(), quote.materials_cost),
        ("labour".to_owned(), quote.labour_cost),
        ("mark-up".to_owned(), quote.mark_up),
    ];
    if quote.to_minimum > Money::ZERO {
        costs.push(("up to the least price".to_owned(), quote.to_minimum));
    }
    let price = vec![
        ("price before tax".to_owned(), quote.net),
        (tax_words(quote), quote.tax),
        ("to pay".to_owned(), quote.total),
    ];
    let mut blocks = vec![
        heading("Materials"),
        Block::Table(lines(&quote.materials, quote, units)),
        heading("Hours of one person"),
        Block::Table(lines(&quote.labour, quote, units)),
        Block::Paragraph(hours_sentence(quote)),
        heading("Costs"),
        Block::Table(sums(quote, costs)),
        heading("Price"),
        Block::Table(sums(quote, price)),
    ];
    if !plan.is_good() {
        blocks.push(Block::Paragraph(
            "The cover falls short: see `hulltent plan` for what it lacks before you send this out.".to_owned(),
        ));
    }
    blocks.push(Block::Paragraph(format!("Prices: {}.", quote.note)));
    blocks.push(cautions_heading());
    blocks.push(cautions());
    blocks
}

fn hours_sentence(quote: &Quote) -> String {
    let crew = quote.hours / f64::from(quote.people.max(1));
    let alone = format!(
        "{:.1} h of one person, {crew:.1} h of a crew of {}.",
        quote.hours, quote.people
    );
    match quote.spread {
        Some(spread) => format!(
            "{alone} Learned from {} recorded {}; one job in three is off by more than {spread:.1} h.",
            quote.learned_from,
            if quote.learned_from == 1 {
                "job"
            } else {
                "jobs"
            },
        ),
        None => format!("{alone} By the price book's times: no jobs were recorded yet."),
    }
}

/// An amount in its unit.
#[must_use]
pub(super) fn amount_words(amount: f64, unit: Unit, units: UnitSystem) -> String {
    match unit {
        Unit::Pieces => format!("{amount:.0}"),
        Unit::Meters => units.format_length_short(amount),
        Unit::Kilograms => match units {
            // Gas for one boat is little: a tenth of a pound counts.
            UnitSystem::FeetInches => {
                format!("{:.1} lb", amount / crate::units::KILOGRAMS_PER_POUND)
            }
            UnitSystem::Metric => units.format_mass(amount),
        },
        Unit::Hours => format!("{amount:.2} h"),
    }
}

fn lines(lines: &[Line], quote: &Quote, units: UnitSystem) -> Table {
    let share = |line: &Line| match line.winters {
        0 | 1 => String::new(),
        winters => format!("1/{winters}"),
    };
    let waste = |line: &Line| match line.waste {
        0.0 => String::new(),
        waste => units.format_share(waste),
    };
    let hours = lines.iter().all(|line| line.unit == Unit::Hours);
    let mut columns = vec![Column::words("What"), Column::numbers("Amount")];
    if !hours {
        columns.extend([Column::numbers("Waste"), Column::numbers("Charged")]);
    }
    columns.push(Column::numbers(if is_invented(&quote.note) {
        "Cost (invented)"
    } else {
        "Cost"
    }));
    let rows = lines.iter().map(|line| {
        let what = match line.what.as_str() {
            "film" if line.unit == Unit::Meters => {
                format!("film, {} wide", units.format_length_short(quote.roll))
            }
            what => what.to_owned(),
        };
        let mut row = vec![what, amount_words(line.amount, line.unit, units)];
        if !hours {
            row.extend([waste(line), share(line)]);
        }
        row.push(quote.currency.plain(line.cost));
        row
    });
    Table {
        rows: rows.collect(),
        columns,
        by_hand: false,
    }
}

fn sums(quote: &Quote, sums: Vec<(String, Money)>) -> Table {
    Table {
        columns: vec![Column::words("What"), Column::numbers("Amount")],
        rows: sums
            .into_iter()
            .map(|(what, money)| vec![what, money_words(&quote.currency, &quote.note, money)])
            .collect(),
        by_hand: false,
    }
}
