//! The spring list: what comes off, what is stored under which label, what went missing.

use crate::season::{Missing, SpringList, SpringRow};
use crate::sheet::{Block, Column, Point, Sheet, Table, cautions, cautions_heading};
use crate::takeoff::{Money, PriceBook};
use crate::units::UnitSystem;

fn length(metres: f64, units: UnitSystem) -> String {
    match metres {
        0.0 => String::new(),
        metres => units.format_length(metres),
    }
}

fn row(row: &SpringRow, units: UnitSystem) -> [String; 4] {
    [
        row.what.clone(),
        row.label.clone(),
        match row.width {
            0.0 => length(row.length, units),
            width => format!("{} x {}", length(width, units), length(row.length, units)),
        },
        row.amount.to_string(),
    ]
}

/// The list to take along in spring.
#[must_use]
pub fn spring_sheet(list: &SpringList, units: UnitSystem) -> Sheet {
    let rows = list.rows.iter().map(|line| {
        let mut cells = row(line, units).to_vec();
        cells.push("____".to_owned());
        cells
    });
    Sheet {
        title: "Spring list".to_owned(),
        blocks: vec![
            Block::Heading("Film to bale".to_owned()),
            Block::Paragraph(format!(
                "{} of film come off {} covers: cut off straps, vents and tape, bale what is clean.",
                units.format_mass(list.baled),
                list.covers
            )),
            Block::Heading("To label and store, by boat".to_owned()),
            Block::Table(Table {
                columns: vec![
                    Column::words("What"),
                    Column::words("Label"),
                    Column::numbers("Length"),
                    Column::numbers("How many"),
                    Column::words("Back"),
                ],
                rows: rows.collect(),
                by_hand: false,
            }),
            Block::Paragraph(
                "Write what came back into the column `back` of spring.csv: `hulltent spring` tells what went missing \
                 and makes next season's stock list of the rest."
                    .to_owned(),
            ),
            cautions_heading(),
            cautions(),
        ],
    }
}

/// What went missing, with what it costs anew.
#[must_use]
pub fn missing_sheet(
    missing: &[Missing],
    uncounted: usize,
    book: &PriceBook,
    units: UnitSystem,
) -> Sheet {
    let total: Money = missing.iter().filter_map(|line| line.cost).sum();
    let mut blocks = Vec::new();
    if missing.is_empty() {
        blocks.push(Block::Paragraph(
            "Nothing that was counted went missing.".to_owned(),
        ));
    } else {
        let rows = missing.iter().map(|line| {
            let [what, label, length, _] = row(&line.row, units);
            let cost = line
                .cost
                .map_or_else(|| "no price".to_owned(), |cost| book.currency.plain(cost));
            vec![what, label, length, line.count.to_string(), cost]
        });
        blocks.push(Block::Table(Table {
            columns: vec![
                Column::words("What"),
                Column::words("Label"),
                Column::numbers("Length"),
                Column::numbers("Missing"),
                Column::numbers("Cost anew"),
            ],
            rows: rows.collect(),
            by_hand: false,
        }));
        blocks.push(Block::Paragraph(format!(
            "Together: {}.",
            book.currency.format(total)
        )));
    }
    if uncounted > 0 {
        blocks.push(Block::Points(vec![Point::dashed(format!(
            "{uncounted} rows have nothing in `back`: they are neither missing nor in next season's stock list."
        ))]));
    }
    Sheet {
        title: "What went missing".to_owned(),
        blocks,
    }
}
