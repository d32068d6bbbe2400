//! `hulltent quote`: what a cover costs, for the customer and for the yard.

use super::planning::Planning;
use super::pricing::{Posts, Pricing};
use super::report::Failure;
use super::season::{notes, whole_store};
use super::values::Size;
use super::{COLUMNS, Outcome, talk, values};
use crate::disk;
use crate::export::{self, ExportError, FileSet};
use crate::plan::Plan;
use crate::season::{MIN_JOBS, learn};
use crate::sheet::{Audience, quote_pages, quote_sheet};
use crate::takeoff::{Learned, Quote, Unpriced};
use crate::units::UnitSystem;
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Write quote.pdf (for the customer: no inner costs), quote-yard.pdf, quote.csv and quote.json into this
    /// folder; it is made if need be
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// What is printed
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// Whom the text is for
    #[arg(long = "for", value_enum, default_value_t = Reader::Yard)]
    reader: Reader,
    /// What its posts are made of
    #[arg(long, value_enum, default_value_t = Posts::Lumber)]
    posts: Posts,
    /// Store of a season (season.sqlite): hours are corrected by what was recorded in it
    #[arg(long, value_name = "STORE")]
    learned: Option<PathBuf>,
    /// Paper of the pages
    #[arg(long, value_enum, default_value_t = Size::Letter)]
    paper: Size,
    /// Units of text and pages: ft (feet, inches, quarters) or m; CSV and JSON are in SI
    #[arg(long, value_name = "ft|m", default_value = "ft", value_parser = values::units)]
    units: UnitSystem,
    #[command(flatten)]
    pricing: Pricing,
    #[command(flatten)]
    planning: Planning,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// The page as text
    Text,
    /// Lines and sums, SI; inner costs are in it
    Csv,
    /// The record for other programs, SI; inner costs are in it
    Json,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Reader {
    /// Without inner costs
    Customer,
    /// With all of them
    Yard,
}

pub(super) fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let book = arguments.pricing.book()?;
    let plan = arguments.planning.plan()?;
    let learned = learned(arguments.learned.as_deref())?;
    let materials = &plan.takeoff.materials;
    let quote = Quote::new(materials, arguments.posts.into(), &book, &learned)
        .map_err(|error| unpriced(&error, arguments.units))?;
    let printed = printed(&plan, &quote, arguments).map_err(unwritten)?;
    let mut missing = Vec::new();
    if let Some(folder) = &arguments.out {
        let set = files(&plan, &quote, arguments).map_err(unwritten)?;
        let mut inputs = arguments.planning.inputs();
        inputs.extend(arguments.pricing.input());
        inputs.extend(arguments.learned.clone());
        disk::write_all(folder, &set.files, &inputs)?;
        missing = set.missing;
    }
    talk::print(&printed)?;
    let boxes = talk::say_missing(&missing);
    let boat = &arguments.planning.boat;
    talk::say(&match &arguments.out {
        Some(folder) => format!(
            "next: look at {0}/quote.pdf before you send it",
            folder.display()
        ),
        None => format!(
            "next: `hulltent quote {boat} --out DIR` writes the pages for customer and yard"
        ),
    });
    Ok(if plan.is_good() && !boxes {
        Outcome::Good
    } else {
        Outcome::FallsShort
    })
}

/// What a store's notes say about hours.
fn learned(store: Option<&Path>) -> Result<Learned, Failure> {
    let Some(path) = store else {
        return Ok(Learned::default());
    };
    let store = whole_store(path)?;
    let learned = learn(&notes(&store)?);
    if learned.steps.is_empty() {
        talk::say(&format!(
            "fewer than {MIN_JOBS} jobs with hours are recorded in {}: the price book's times are used",
            path.display()
        ));
    }
    Ok(learned)
}

fn printed(plan: &Plan, quote: &Quote, arguments: &Arguments) -> Result<String, ExportError> {
    match arguments.format {
        Format::Text => {
            let audience = match arguments.reader {
                Reader::Customer => Audience::Customer,
                Reader::Yard => Audience::Yard,
            };
            Ok(export::text(
                &quote_sheet(plan, quote, audience, arguments.units),
                COLUMNS,
            ))
        }
        Format::Csv => export::quote_csv(quote),
        Format::Json => export::quote_json(plan, quote),
    }
}

fn files(plan: &Plan, quote: &Quote, arguments: &Arguments) -> Result<FileSet, ExportError> {
    let mut missing = Vec::new();
    let mut page = |name: &str, audience| {
        let paper = arguments.paper.into();
        let pages = quote_pages(plan, quote, audience, arguments.units, paper);
        let title = format!("Winter cover of {}", plan.boat.name);
        missing.extend(export::missing_in(name, &pages));
        Ok((name.to_owned(), export::pdf(&pages, &title)?))
    };
    let files = vec![
        page("quote.pdf", Audience::Customer)?,
        page("quote-yard.pdf", Audience::Yard)?,
        (
            "quote.csv".to_owned(),
            export::quote_csv(quote)?.into_bytes(),
        ),
        (
            "quote.json".to_owned(),
            export::quote_json(plan, quote)?.into_bytes(),
        ),
    ];
    Ok(FileSet { files, missing })
}

fn unwritten(error: ExportError) -> Failure {
    Failure::plain(error.to_string(), "try another --format")
}

fn unpriced(error: &Unpriced, units: UnitSystem) -> Failure {
    let length = |meters: f64| units.format_length(meters);
    let hint = match error {
        Unpriced::NoRoll { width, widest } => format!(
            "one sheet must be {} wide, the widest roll is {}: add a wider one to film.rolls",
            length(*width),
            length(*widest)
        ),
        Unpriced::NoLumber {
            length: cut,
            longest,
            ..
        } => format!(
            "it is cut {} long, the longest lumber is {}: add longer lumber to posts.stock",
            length(*cut),
            length(*longest)
        ),
    };
    Failure::plain(error.to_string(), hint)
}
