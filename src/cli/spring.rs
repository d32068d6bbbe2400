//! `hulltent spring`: what went missing over the winter, and next season's stock list.

use super::pricing::Pricing;
use super::report::Failure;
use super::season::tell;
use super::{COLUMNS, Outcome, talk, values};
use crate::disk;
use crate::export;
use crate::season::{STOCK_COLUMNS, missing, next_stock, read_spring, uncounted};
use crate::sheet::missing_sheet;
use crate::units::UnitSystem;
use clap::Args;
use std::path::PathBuf;

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The season's spring.csv with its column `back` filled in
    list: PathBuf,
    /// Write stock.csv, next season's stock list, into this folder; it is made if need be
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Units of the text and of stock.csv: ft (feet, inches, quarters) or m
    #[arg(long, value_name = "ft|m", default_value = "ft", value_parser = values::units)]
    units: UnitSystem,
    #[command(flatten)]
    pricing: Pricing,
}

pub(super) fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let book = arguments.pricing.book()?;
    let text = disk::read_text(&arguments.list)?;
    let (rows, problems) = read_spring(&text).map_err(|problems| {
        tell(&arguments.list, &problems);
        Failure::plain(
            format!("{} is no spring list", arguments.list.display()),
            "fill in spring.csv among the season's files",
        )
    })?;
    tell(&arguments.list, &problems);
    let gone = missing(&rows, &book);
    let left = uncounted(&rows);
    if let Some(folder) = &arguments.out {
        let stock = export::csv_table(&STOCK_COLUMNS, next_stock(&rows, arguments.units))
            .map_err(|error| Failure::plain(error.to_string(), "check the list"))?;
        let mut inputs = vec![arguments.list.clone()];
        inputs.extend(arguments.pricing.input());
        let files = [("stock.csv".to_owned(), stock.into_bytes())];
        disk::write_all(folder, &files, &inputs)?;
    }
    talk::print(&export::text(
        &missing_sheet(&gone, left, &book, arguments.units),
        COLUMNS,
    ))?;
    talk::say(&match &arguments.out {
        Some(folder) => format!(
            "next: add supplies that are left to {0}/stock.csv; `hulltent season JOBS --stock {0}/stock.csv` counts with it",
            folder.display()
        ),
        None => "next: --out DIR writes next season's stock list".to_owned(),
    });
    Ok(if gone.is_empty() && left == 0 && problems.is_empty() {
        Outcome::Good
    } else {
        Outcome::FallsShort
    })
}
