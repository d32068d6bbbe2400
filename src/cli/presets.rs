//! `hulltent presets`: the invented boats that come with the program.

use super::report::Failure;
use super::{COLUMNS, Outcome, source, talk};
use crate::boat::{preset, presets};
use crate::export;
use crate::sheet::presets_sheet;
use crate::units::UnitSystem;
use clap::Args;

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Print the boat file of this preset instead
    #[arg(long, value_name = "NAME")]
    show: Option<String>,
    /// Units of the list: ft or m
    #[arg(long, value_name = "ft|m", default_value = "ft", value_parser = super::values::units)]
    units: UnitSystem,
}

pub(super) fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    if let Some(name) = &arguments.show {
        let preset = preset(name).ok_or_else(|| source::unknown(name))?;
        talk::print(preset.text)?;
        talk::say(
            "next: save it as a .ron file, change what the tape shows, then `hulltent plan FILE`",
        );
        return Ok(Outcome::Good);
    }
    let mut rows = Vec::new();
    for preset in presets() {
        let boat = preset.boat().map_err(|problems| {
            Failure::of_file(preset.name, Some(preset.text.to_owned()), problems.list)
        })?;
        rows.push((preset.name, boat));
    }
    talk::print(&export::text(
        &presets_sheet(&rows, arguments.units),
        COLUMNS,
    ))?;
    talk::say(
        "next: `hulltent plan NAME` plans one, `hulltent presets --show NAME` prints its boat file",
    );
    Ok(Outcome::Good)
}
