//! `hulltent plan`: from a boat to its frame, its cover, the verdict and the lengths to cut.

use super::planning::Planning;
use super::report::Failure;
use super::{COLUMNS, Outcome, talk, values};
use crate::disk;
use crate::export::{self, ExportError, Record};
use crate::plan::Plan;
use crate::sheet::plan_sheet;
use crate::units::UnitSystem;
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Write frame.csv, cautions.txt, plan.json, plan.ron, cover.svg, hull.stl, frame.stl, cover.stl and
    /// boat.glb into this folder; it is made if need be
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// What is printed
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// Units of text, CSV and drawing: ft (feet, inches, quarters) or m; JSON and RON are in SI
    #[arg(long, value_name = "ft|m", default_value = "ft", value_parser = values::units)]
    units: UnitSystem,
    #[command(flatten)]
    planning: Planning,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// The sheet for the crew
    Text,
    /// The record for other programs, SI
    Json,
    /// The dimensioned list
    Csv,
    /// The record in the language of boat files, SI
    Ron,
}

pub(super) fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let plan = arguments.planning.plan()?;
    let printed = printed(&plan, arguments).map_err(unwritten)?;
    if let Some(folder) = &arguments.out {
        let files = export::plan_files(&plan, arguments.units).map_err(unwritten)?;
        disk::write_all(folder, &files, &arguments.planning.inputs())?;
    }
    talk::print(&printed)?;
    talk::say(&next(
        &plan,
        &arguments.planning.boat,
        arguments.out.as_deref(),
    ));
    Ok(if plan.is_good() {
        Outcome::Good
    } else {
        Outcome::FallsShort
    })
}

fn printed(plan: &Plan, arguments: &Arguments) -> Result<String, ExportError> {
    match arguments.format {
        Format::Text => Ok(export::text(&plan_sheet(plan, arguments.units), COLUMNS)),
        Format::Json => export::json(&Record::new(plan)),
        Format::Csv => export::csv(plan, arguments.units),
        Format::Ron => export::ron(&Record::new(plan)),
    }
}

fn unwritten(error: ExportError) -> Failure {
    Failure::plain(error.to_string(), "try another --format")
}

/// What to do next, in one line.
fn next(plan: &Plan, boat: &str, out: Option<&Path>) -> String {
    if plan.sheds() && !plan.is_good() {
        return super::loads_fail(boat);
    }
    match (plan.sheds(), out) {
        (true, Some(folder)) => format!(
            "next: print {0}/cover.svg, cut by {0}/frame.csv, read {0}/cautions.txt to the crew",
            folder.display()
        ),
        (true, None) => format!(
            "next: `hulltent plan {boat} --out DIR` writes the list, the drawing and the meshes"
        ),
        (false, _) => {
            "next: mend what the verdict names in the boat file, or see whether --min-slope, \
                       --max-post or --max-span may give way"
                .to_owned()
        }
    }
}
