//! A cover as it was built: heights against the plan's, and what the film makes of the difference.

use super::{Block, Column, Point, Sheet, Table, cautions, cautions_heading};
use crate::plan::Plan;
use crate::season::{AsBuilt, CheckedAgain};
use crate::units::UnitSystem;

/// What was recorded at a boat, as a page.
#[must_use]
pub fn as_built_sheet(
    boat: &str,
    note: &AsBuilt,
    again: &CheckedAgain,
    units: UnitSystem,
) -> Sheet {
    let mut blocks = vec![
        Block::Heading("Posts: height of the cap over its footing".to_owned()),
        Block::Table(posts(again, units)),
        Block::Heading("The cover".to_owned()),
        Block::Table(covers(again, units)),
    ];
    let lacks = lacks(&again.built, units);
    blocks.push(if lacks.is_empty() {
        Block::Paragraph("As it was built the cover sheds everywhere.".to_owned())
    } else {
        Block::Points(lacks.into_iter().map(Point::dashed).collect())
    });
    if !note.taken.is_empty() {
        blocks.push(Block::Heading("Hours of one person".to_owned()));
        blocks.push(Block::Table(hours(note)));
    }
    if !note.note.is_empty() {
        blocks.push(Block::Paragraph(format!("Note: {}", note.note)));
    }
    blocks.push(cautions_heading());
    blocks.push(cautions());
    Sheet {
        title: format!("As built: {boat}"),
        blocks,
    }
}

fn posts(again: &CheckedAgain, units: UnitSystem) -> Table {
    let rows = again.posts.iter().map(|(post, planned, measured)| {
        let (found, difference) = match measured {
            None => ("not measured".to_owned(), String::new()),
            Some(found) => {
                let difference = found - planned;
                let sign = if difference > 0.0 { "+" } else { "" };
                (
                    units.format_length(*found),
                    format!("{sign}{}", units.format_length(difference)),
                )
            }
        };
        vec![
            post.clone(),
            units.format_length(*planned),
            found,
            difference,
        ]
    });
    Table {
        columns: vec![
            Column::words("Post"),
            Column::numbers("Planned"),
            Column::numbers("Measured"),
            Column::numbers("Difference"),
        ],
        rows: rows.collect(),
        by_hand: false,
    }
}

fn covers(again: &CheckedAgain, units: UnitSystem) -> Table {
    let largest = |plan: &Plan| plan.cover.patches.first().map_or(0.0, |patch| patch.area);
    let water = |plan: &Plan| plan.cover.ponds.iter().map(|pond| pond.volume).sum::<f64>();
    let row = |what: &str, of: &dyn Fn(&Plan) -> String| {
        vec![what.to_owned(), of(&again.planned), of(&again.built)]
    };
    Table {
        columns: vec![
            Column::words("What"),
            Column::numbers("As planned"),
            Column::numbers("As built"),
        ],
        rows: vec![
            row("least slope", &|plan| {
                units.format_angle(plan.cover.least_slope)
            }),
            row("largest holding patch", &|plan| {
                units.format_area(largest(plan))
            }),
            row("ponds", &|plan| plan.cover.ponds.len().to_string()),
            row("water in them", &|plan| units.format_volume(water(plan))),
            row("verdict", &|plan| {
                let good = if plan.sheds() { "sheds" } else { "falls short" };
                good.to_owned()
            }),
        ],
        by_hand: false,
    }
}

fn lacks(plan: &Plan, units: UnitSystem) -> Vec<String> {
    let found = plan.shortfalls.iter();
    found.map(|shortfall| shortfall.sentence(units)).collect()
}

fn hours(note: &AsBuilt) -> Table {
    let rows = note.taken.iter().map(|(step, taken)| {
        vec![
            step.word().to_owned(),
            format!("{:.2} h", note.by_book.of(*step)),
            format!("{taken:.2} h"),
        ]
    });
    Table {
        columns: vec![
            Column::words("Step"),
            Column::numbers("By the price book"),
            Column::numbers("Taken"),
        ],
        rows: rows.collect(),
        by_hand: false,
    }
}
