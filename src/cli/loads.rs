//! `hulltent loads`: will the cover stand the snow, the wind and the road here.

use super::planning::Planning;
use super::report::Failure;
use super::{COLUMNS, Outcome, progress, talk, values};
use crate::export::{self, ExportError, Record};
use crate::plan::{Plan, advise};
use crate::sheet::{advice_sheet, loads_sheet};
use crate::units::UnitSystem;
use clap::{Args, ValueEnum};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// What is printed
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// Units of the text: ft (feet, inches, quarters) or m; JSON is in SI
    #[arg(long, value_name = "ft|m", default_value = "ft", value_parser = values::units)]
    units: UnitSystem,
    /// Leave out what another post or strap would buy, which takes some seconds to try
    #[arg(long)]
    no_advice: bool,
    #[command(flatten)]
    planning: Planning,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// Tables and sentences
    Text,
    /// The plan's record for other programs, SI
    Json,
}

pub(super) fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let plan = arguments.planning.plan()?;
    if plan.loads.is_none() {
        return Err(Failure::plain(
            "nothing is said about the site",
            "give --snow \"20 psf\" --code asce7-16, or --site FILE; assets/demo-site.ron is an example",
        ));
    }
    let printed = printed(&plan, arguments)
        .map_err(|error| Failure::plain(error.to_string(), "try another --format"))?;
    talk::print(&printed)?;
    talk::say(&next(&plan, &arguments.planning.boat));
    Ok(if plan.is_good() {
        Outcome::Good
    } else {
        Outcome::FallsShort
    })
}

fn printed(plan: &Plan, arguments: &Arguments) -> Result<String, ExportError> {
    match arguments.format {
        Format::Json => export::json(&Record::new(plan)),
        Format::Text => {
            let mut sheet = loads_sheet(plan, arguments.units);
            if !arguments.no_advice {
                let about = format!("trying other frames for {}", plan.boat.name);
                let advice = progress::while_working(&about, || advise(plan));
                let from_end = sheet.blocks.len().saturating_sub(2);
                let blocks = advice_sheet(plan, &advice, arguments.units);
                sheet.blocks.splice(from_end..from_end, blocks);
            }
            Ok(export::text(&sheet, COLUMNS))
        }
    }
}

/// What to do next, in one line.
fn next(plan: &Plan, boat: &str) -> String {
    let stands = plan.loads.as_ref().is_some_and(|loads| loads.stands());
    if stands {
        return format!(
            "next: `hulltent sheet {boat} --out DIR` with the same site writes the job sheet with a table of checks"
        );
    }
    "next: try --strengthen, which looks for the cheapest frame that holds, or a site file with other gear"
        .to_owned()
}
