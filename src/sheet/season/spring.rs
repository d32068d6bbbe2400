//! The spring list: what comes off, what is stored under which label, what went missing.

use crate::season::{Missing, SpringBoat, SpringList, SpringRow};
use crate::sheet::{Block, Column, Point, Sheet, Table, cautions, cautions_heading};
use crate::takeoff::prices::is_invented;
use crate::takeoff::{Money, PriceBook};
use crate::units::UnitSystem;

fn length(meters: f64, units: UnitSystem) -> String {
    match meters {
        0.0 => String::new(),
        meters => units.format_length(meters),
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
    let mut blocks = vec![
        Block::Heading("Film to bale".to_owned()),
        Block::Paragraph(format!(
            "{} of film come off {} covers: cut off straps, vents and tape, bale what is clean.",
            units.format_mass(list.baled),
            list.boats.len()
        )),
        Block::Heading("To label and store, by boat".to_owned()),
        Block::Paragraph(
            "Cross out what did not come back. Posts that are set to their height are marked *:"
                .to_owned(),
        ),
        Block::Table(Table {
            columns: vec![
                Column::words("Boat"),
                Column::words("Posts with their labels"),
                Column::words("Caps"),
                Column::words("All back"),
            ],
            rows: list
                .boats
                .iter()
                .flat_map(|boat| boat_rows(boat, units))
                .collect(),
            by_hand: false,
        }),
    ];
    if !list.offcuts.is_empty() {
        let rows = list.offcuts.iter().map(|offcut| {
            let [_, label, size, _] = row(offcut, units);
            vec![label, size, "____".to_owned()]
        });
        blocks.push(Block::Heading("Offcuts of film to store".to_owned()));
        blocks.push(Block::Table(Table {
            columns: vec![
                Column::words("Label"),
                Column::numbers("Width x length"),
                Column::words("There"),
            ],
            rows: rows.collect(),
            by_hand: false,
        }));
    }
    blocks.extend([
        Block::Paragraph(
            "Write what came back into the column `back` of spring.csv: `hulltent spring` tells what went missing \
             and makes next season's stock list of the rest."
                .to_owned(),
        ),
        cautions_heading(),
        cautions(),
    ]);
    Sheet {
        title: "Spring list".to_owned(),
        blocks,
    }
}

/// Posts that stand in one row of the list.
const POSTS_A_ROW: usize = 4;

/// A boat's rows: a few of its posts in each.
fn boat_rows(boat: &SpringBoat, units: UnitSystem) -> Vec<Vec<String>> {
    let post = |post: &SpringRow| {
        let id = post.label.strip_prefix(&boat.name).unwrap_or(&post.label);
        let star = if post.what == "adjustable" { "*" } else { "" };
        format!("{}{star} {}", id.trim(), length(post.length, units))
    };
    let caps: Vec<String> = boat
        .caps
        .iter()
        .map(|cap| format!("{} {}s", cap.amount, cap.what))
        .collect();
    let mut posts = boat.posts.chunks(POSTS_A_ROW).map(|posts| {
        let posts: Vec<String> = posts.iter().map(post).collect();
        posts.join(", ")
    });
    let mut rows = vec![vec![
        boat.name.clone(),
        posts.next().unwrap_or_else(|| "none".to_owned()),
        caps.join(", "),
        "____".to_owned(),
    ]];
    rows.extend(posts.map(|posts| vec![String::new(), posts, String::new(), String::new()]));
    rows
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
                Column::numbers(if is_invented(&book.note) {
                    "Cost anew (invented)"
                } else {
                    "Cost anew"
                }),
            ],
            rows: rows.collect(),
            by_hand: false,
        }));
        blocks.push(Block::Paragraph(format!(
            "Together: {}.",
            book.money(total)
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
