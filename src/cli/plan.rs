//! `hulltent plan`: from a boat to its frame, its cover, the verdict and the lengths to cut.

use super::report::Failure;
use super::source::{Source, read_boat};
use super::{COLUMNS, Outcome, files, progress, talk, values};
use crate::boat::Boat;
use crate::export::{self, ExportError, Record};
use crate::plan::{Plan, plan};
use crate::sheet::{cover_drawing, plan_sheet};
use crate::units::UnitSystem;
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Boat file, name of a preset, or - for a boat file on standard input
    boat: String,
    /// Write frame.csv, plan.json, plan.ron, cover.svg, hull.stl, frame.stl, cover.stl and boat.glb into
    /// this folder; it is made if need be
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// What is printed
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// Units of text, CSV and drawing: ft (feet, inches, quarters) or m; JSON and RON are in SI
    #[arg(long, value_name = "ft|m", default_value = "ft", value_parser = values::units)]
    units: UnitSystem,
    /// Least slope of the film, as "15 deg" or "3:12" [default: the boat file's, else 15 deg]
    #[arg(long, value_name = "ANGLE", value_parser = values::min_slope)]
    min_slope: Option<f64>,
    /// Clearance of the ridge over windshield and console, where their own is not given
    /// [default: the boat file's, else 10 in]
    #[arg(long, value_name = "LENGTH", value_parser = values::clearance)]
    clearance: Option<f64>,
    /// Longest span of the ridge strap [default: the boat file's, else 8 ft]
    #[arg(long, value_name = "LENGTH", value_parser = values::max_span)]
    max_span: Option<f64>,
    /// Greatest height of a cap over its footing [default: the boat file's, else 8 ft]
    #[arg(long, value_name = "LENGTH", value_parser = values::max_post)]
    max_post: Option<f64>,
    /// Size of the cover's cells [default: the boat file's, else 2 in]
    #[arg(long, value_name = "LENGTH", value_parser = values::cell)]
    cell: Option<f64>,
    /// Most threads that may run side by side [default: one for each core]. A plan can use two, and
    /// comes out the same with any number
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    threads: Option<u16>,
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
    if let Some(threads) = arguments.threads {
        rayon::ThreadPoolBuilder::new()
            .num_threads(usize::from(threads))
            .build_global()
            .map_err(|error| {
                Failure::plain(
                    format!("the threads cannot be started: {error}"),
                    "ask for fewer",
                )
            })?;
    }
    let Source {
        name,
        text,
        mut boat,
    } = read_boat(&arguments.boat)?;
    overrule(&mut boat, arguments);
    let rules = boat.rules.clone();
    let plan = progress::while_working(&format!("planning {}", boat.name), || plan(&boat, &rules))
        .map_err(|problems| Failure::of_file(&name, Some(text), problems))?;
    let printed = printed(&plan, arguments).map_err(unwritten)?;
    if let Some(folder) = &arguments.out {
        files::write_all(
            folder,
            &all_files(&plan, arguments.units).map_err(unwritten)?,
        )?;
    }
    talk::print(&printed)?;
    talk::say(&next(&plan, &arguments.boat, arguments.out.as_deref()));
    Ok(if plan.sheds() {
        Outcome::Good
    } else {
        Outcome::FallsShort
    })
}

/// What the command line says goes over the file.
fn overrule(boat: &mut Boat, arguments: &Arguments) {
    let rules = &mut boat.rules;
    for (value, rule) in [
        (arguments.min_slope, &mut rules.min_slope),
        (arguments.clearance, &mut rules.clearance),
        (arguments.max_span, &mut rules.max_span),
        (arguments.max_post, &mut rules.max_post),
        (arguments.cell, &mut rules.cell),
    ] {
        if let Some(value) = value {
            *rule = value;
        }
    }
}

fn printed(plan: &Plan, arguments: &Arguments) -> Result<String, ExportError> {
    match arguments.format {
        Format::Text => Ok(export::text(&plan_sheet(plan, arguments.units), COLUMNS)),
        Format::Json => export::json(&Record::new(plan)),
        Format::Csv => export::csv(plan, arguments.units),
        Format::Ron => export::ron(&Record::new(plan)),
    }
}

fn all_files(plan: &Plan, units: UnitSystem) -> Result<Vec<files::Bytes>, ExportError> {
    let record = Record::new(plan);
    Ok(vec![
        ("frame.csv", export::csv(plan, units)?.into_bytes()),
        ("plan.json", export::json(&record)?.into_bytes()),
        ("plan.ron", export::ron(&record)?.into_bytes()),
        (
            "cover.svg",
            export::svg(&cover_drawing(plan, units)).into_bytes(),
        ),
        ("hull.stl", export::hull_stl(plan)),
        ("frame.stl", export::frame_stl(plan)),
        ("cover.stl", export::cover_stl(plan)),
        ("boat.glb", export::boat_glb(plan)),
    ])
}

fn unwritten(error: ExportError) -> Failure {
    Failure::plain(error.to_string(), "try another --format")
}

/// What to do next, in one line.
fn next(plan: &Plan, boat: &str, out: Option<&Path>) -> String {
    match (plan.sheds(), out) {
        (true, Some(folder)) => format!(
            "next: print {0}/cover.svg, cut by {0}/frame.csv",
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
