//! `hulltent sheet`: the job sheet of a boat to print, to read on a phone and to draw on.

use super::planning::Planning;
use super::report::Failure;
use super::{Outcome, files, talk, values};
use crate::export::{self, ExportError};
use crate::plan::Plan;
use crate::sheet::{Paper, frame_plot, job_sheet, plan_sheet};
use crate::units::UnitSystem;
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Write sheet.pdf, its pages as sheet-1.svg, sheet-2.svg and so on, sheet.html (for a phone) and
    /// frame.dxf (in millimetres) into this folder; it is made if need be. Pages that an earlier, longer
    /// sheet left there are removed
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Paper of the pages
    #[arg(long, value_enum, default_value_t = Size::Letter)]
    paper: Size,
    /// Units of everything written: ft (feet, inches, quarters) or m
    #[arg(long, value_name = "ft|m", default_value = "ft", value_parser = values::units)]
    units: UnitSystem,
    #[command(flatten)]
    planning: Planning,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Size {
    /// US letter, 8.5 x 11 in
    Letter,
    /// A4, 210 x 297 mm
    A4,
}

impl From<Size> for Paper {
    fn from(size: Size) -> Paper {
        match size {
            Size::Letter => Paper::Letter,
            Size::A4 => Paper::A4,
        }
    }
}

pub(super) fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let plan = arguments.planning.plan()?;
    let files = all_files(&plan, arguments.units, arguments.paper.into())
        .map_err(|error| Failure::plain(error.to_string(), "run `hulltent plan` for the text"))?;
    let folder = &arguments.out;
    files::write_all(folder, &files)?;
    for name in files::remove_from(folder, page_name, pages(&files) + 1)? {
        talk::say(&format!("removed {name} of an earlier, longer sheet"));
    }
    talk::print(&listed(folder, &files))?;
    talk::say(&next(&plan, folder));
    Ok(if plan.sheds() {
        Outcome::Good
    } else {
        Outcome::FallsShort
    })
}

fn all_files(
    plan: &Plan,
    units: UnitSystem,
    paper: Paper,
) -> Result<Vec<files::Bytes>, ExportError> {
    let pages = job_sheet(plan, units, paper);
    let title = format!("Job sheet of {}", plan.boat.name);
    let plot = frame_plot(plan, units);
    let mut files = vec![
        ("sheet.pdf".to_owned(), export::pdf(&pages, &title)?),
        (
            "sheet.html".to_owned(),
            export::html(&title, &pages, &plan_sheet(plan, units)).into_bytes(),
        ),
        ("frame.dxf".to_owned(), export::dxf(&plot)?),
    ];
    files.extend(
        (1..)
            .zip(&pages)
            .map(|(number, page)| (page_name(number), export::svg(page).into_bytes())),
    );
    Ok(files)
}

/// How many of the files are pages.
fn pages(files: &[files::Bytes]) -> usize {
    (1..)
        .take_while(|number| files.iter().any(|(name, _)| *name == page_name(*number)))
        .count()
}

fn page_name(number: usize) -> String {
    format!("sheet-{number}.svg")
}

/// The files that were written, one a line.
fn listed(folder: &Path, files: &[files::Bytes]) -> String {
    files
        .iter()
        .map(|(name, _)| format!("{}\n", folder.join(name).display()))
        .collect()
}

/// What to do next, in one line.
fn next(plan: &Plan, folder: &Path) -> String {
    if plan.sheds() {
        return format!(
            "next: print {0}/sheet.pdf, or send {0}/sheet.html to a phone",
            folder.display()
        );
    }
    "the cover falls short, the sheet says where\n\
     next: mend what the verdict names in the boat file, or see whether --min-slope, --max-post or \
     --max-span may give way"
        .to_owned()
}
