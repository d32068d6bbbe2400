//! The job sheet: what the crew takes to the boat.

use super::{Drawing, Paper, cover_drawing};
use crate::plan::Plan;
use crate::units::UnitSystem;

/// The pages of the job sheet. The drawing of the cover has its own size on any paper.
pub fn job_sheet(plan: &Plan, units: UnitSystem, _paper: Paper) -> Vec<Drawing> {
    vec![cover_drawing(plan, units)]
}
