//! `hulltent survey`: a blank survey sheet.

use super::report::Failure;
use super::{COLUMNS, Outcome, talk};
use crate::export;
use crate::sheet::{survey, survey_drawing};
use clap::{Args, ValueEnum};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Text to read on a screen, or SVG with sketches to print on A4
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// Plain text
    Text,
    /// One page with sketches
    Svg,
}

pub(super) fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let page = match arguments.format {
        Format::Text => export::text(&survey(), COLUMNS),
        Format::Svg => export::svg(&survey_drawing()),
    };
    talk::print(&page)?;
    talk::say(
        "next: fill it in at the boat, then start from `hulltent presets --show open-runabout-18`",
    );
    Ok(Outcome::Good)
}
