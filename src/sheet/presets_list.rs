//! The list of presets.

use super::{Block, Column, Sheet, Table};
use crate::boat::Boat;
use crate::units::UnitSystem;

/// Presets by name with length, beam and what they are.
pub fn presets_sheet(boats: &[(&str, Boat)], units: UnitSystem) -> Sheet {
    let rows = boats
        .iter()
        .map(|(name, boat)| {
            vec![
                (*name).to_owned(),
                units.format_length(boat.length),
                units.format_length(boat.beam),
                boat.note.clone(),
            ]
        })
        .collect();
    Sheet {
        title: "Presets".to_owned(),
        blocks: vec![Block::Table(Table {
            columns: vec![
                Column::words("Name"),
                Column::numbers("Length"),
                Column::numbers("Beam"),
                Column::words("What it is"),
            ],
            rows,
            by_hand: false,
        })],
    }
}
