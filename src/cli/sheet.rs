//! `hulltent sheet`: the job sheet of a boat to print, to read on a phone and to draw on.

use super::planning::Planning;
use super::report::Failure;
use super::values::Size;
use super::{Outcome, talk, values};
use crate::disk;
use crate::export;
use crate::plan::Plan;
use crate::units::UnitSystem;
use clap::Args;
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Write sheet.pdf, its pages as sheet-1.svg, sheet-2.svg and so on, sheet.html (for a phone) and
    /// frame.dxf (in millimeters) into this folder; it is made if need be. Pages that an earlier, longer
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

pub(super) fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let plan = arguments.planning.plan()?;
    let set = export::sheet_files(&plan, arguments.units, arguments.paper.into())
        .map_err(|error| Failure::plain(error.to_string(), "run `hulltent plan` for the text"))?;
    let (folder, files) = (&arguments.out, set.files);
    disk::write_all(folder, &files, &arguments.planning.inputs())?;
    let pages = export::sheet_pages(&files);
    for name in disk::remove_from(folder, export::sheet_page_name, pages + 1)? {
        talk::say(&format!("removed {name} of an earlier, longer sheet"));
    }
    talk::print(&listed(folder, &files))?;
    let boxes = talk::say_missing(&set.missing);
    talk::say(&next(&plan, &arguments.planning.boat, folder));
    Ok(if plan.is_good() && !boxes {
        Outcome::Good
    } else {
        Outcome::FallsShort
    })
}

/// The files that were written, one a line.
fn listed(folder: &Path, files: &[disk::Bytes]) -> String {
    files
        .iter()
        .map(|(name, _)| format!("{}\n", folder.join(name).display()))
        .collect()
}

/// What to do next, in one line.
fn next(plan: &Plan, boat: &str, folder: &Path) -> String {
    if plan.sheds() && !plan.is_good() {
        return super::loads_fail(boat);
    }
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
