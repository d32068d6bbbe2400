//! The crew's job sheet: up to four pages, and one of loads where there is a site, from which alone a crew can build the frame and wrap the boat.
//!
//! Each page is laid out from parts that are drawn for themselves, measured, and given the largest named scale at
//! which they and all their labels fit. Words flow in columns; their height gives way before a list is cut.

mod film_page;
mod frame_page;
mod frame_plan;
mod frame_profile;
mod loads_page;
mod page;
mod pattern;
mod scale;
mod section;
mod section_page;
mod signs;
mod slope_map;
mod steps;
mod totals;

#[cfg(test)]
mod tests;

use super::{Drawing, Paper};
use crate::plan::Plan;
use crate::units::UnitSystem;

/// The job sheet's pages: frame; sections and slopes; film laid flat; lists, order of the work, cautions; loads.
///
/// # Units
/// Drawings are in millimeters of paper, lengths in words in the given units.
pub fn job_sheet(plan: &Plan, units: UnitSystem, paper: Paper) -> Vec<Drawing> {
    let mut pages = vec![
        frame_page::page(plan, units, paper),
        section_page::page(plan, units, paper),
    ];
    pages.extend(film_page::pages(plan, units, paper));
    pages.extend(loads_page::page(plan, units, paper));
    pages.retain(|page| !page.drawing.items.is_empty());
    let of = pages.len();
    pages
        .into_iter()
        .enumerate()
        .map(|(index, page)| page.headed(&plan.boat.name, paper, index + 1, of))
        .collect()
}
