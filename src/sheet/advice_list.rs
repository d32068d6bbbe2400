//! What another post or strap would buy, and what was changed for the loads' sake, in words.

use super::{Block, Column, Point, Table};
use crate::boat::End;
use crate::loads::{Loads, SnowCapacity};
use crate::plan::{Advice, Change, Plan};
use crate::units::UnitSystem;

/// What was tried for more snow, as blocks of a page of loads.
pub fn advice_sheet(plan: &Plan, advice: &Option<Advice>, units: UnitSystem) -> Vec<Block> {
    let Some(advice) = advice else {
        return Vec::new();
    };
    let mut blocks = vec![Block::Heading("What would take more snow".to_owned())];
    if advice.tried.is_empty() {
        blocks.push(Block::Paragraph(
            "Nothing: no span has room for another post, and hip straps are there.".to_owned(),
        ));
        return blocks;
    }
    let row = |what: String, capacity: &SnowCapacity| {
        vec![
            what,
            units.format_pressure(capacity.ground),
            gives(capacity),
        ]
    };
    let mut rows = vec![row("as it is".to_owned(), &advice.now)];
    rows.extend(
        advice
            .tried
            .iter()
            .map(|tried| row(change_words(&tried.change, units), &tried.capacity)),
    );
    blocks.push(Block::Table(Table {
        columns: vec![
            Column::words("Change"),
            Column::numbers("Ground snow"),
            Column::words("Then gives first"),
        ],
        rows,
        by_hand: false,
    }));
    let film = plan.cover.mesh.vertices.len();
    blocks.push(Block::Paragraph(format!(
        "Each was planned and loaded on a film coarser than the plan's own of {film} nodes: compare these rows with each \
         other."
    )));
    blocks
}

fn gives(capacity: &SnowCapacity) -> String {
    match &capacity.governed_by {
        Some(check) => check.name.clone(),
        None => "nothing".to_owned(),
    }
}

/// A change in the trade's words.
pub(super) fn change_words(change: &Change, units: UnitSystem) -> String {
    match change {
        Change::MorePosts {
            station,
            heights_anew,
        } => format!(
            "one more post at station {}{}",
            units.format_length(*station),
            if *heights_anew {
                ", all heights found anew"
            } else {
                ""
            }
        ),
        Change::HipStraps { end: End::Aft } => "hip straps to the stern corners".to_owned(),
        Change::HipStraps { end: End::Fore } => "hip straps to the bow corners".to_owned(),
        Change::Stock { stock } => {
            let pieces = match stock.pieces {
                1 => String::new(),
                pieces => format!("{pieces} pieces of "),
            };
            let braces = match stock.braces {
                0 => "not braced".to_owned(),
                1 => "braced once".to_owned(),
                braces => format!("braced {braces} times"),
            };
            format!(
                "posts of {pieces}{}, {}, {braces}",
                stock.size.name, stock.grade.name
            )
        }
    }
}

/// What was changed so that the cover stands its loads; nothing where nothing was.
pub(super) fn strengthening(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let Some(strengthening) = &plan.strengthening else {
        return Vec::new();
    };
    let changes: Vec<String> = strengthening
        .changes
        .iter()
        .map(|change| change_words(change, units))
        .collect();
    let text = if changes.is_empty() {
        format!("nothing of {} frames tried was better", strengthening.tried)
    } else {
        let [before, after] = strengthening.cost;
        format!(
            "{}; of {} frames tried {}: posts, lumber and braces cost {after:.0} instead of {before:.0} by invented prices",
            changes.join(", "),
            strengthening.tried,
            if plan.loads.as_ref().is_some_and(Loads::stands) {
                "the cheapest that stands"
            } else {
                "the one nearest to standing"
            }
        )
    };
    vec![Block::Points(vec![Point {
        mark: "Strengthened".to_owned(),
        text,
    }])]
}
