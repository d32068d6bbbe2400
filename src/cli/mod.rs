//! The command line: one file a command. Standard output is data, standard error is talk.
//!
//! Exit codes: 0 the cover sheds and stands its loads, 1 the plan was made but falls short, 2 the input is wrong.

mod completions;
mod loads;
mod plan;
mod planning;
mod presets;
mod pricing;
mod progress;
mod quote;
mod record;
mod report;
mod season;
mod sheet;
mod siting;
mod source;
mod spring;
mod store;
mod survey;
mod talk;
mod threads;
mod values;
mod view;

use crate::view::{Refusal, ViewRequest};
use clap::{Parser, Subcommand};
use std::process::ExitCode;

/// Columns of everything that is printed: a common terminal, and a sheet of paper.
const COLUMNS: usize = 80;

/// Plans the support frame and the shrink-film cover of a stored boat.
#[derive(Debug, Parser)]
#[command(name = "hulltent", version, arg_required_else_help = true)]
#[command(
    after_help = "Exit codes: 0 the cover sheds (and stands its loads where a site is given), 1 the plan was made but falls short, 2 the input is wrong.\n\
                        Start with: hulltent plan open-runabout-18"
)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Plan a boat: fewest posts, straps, taut cover, verdict, lengths to cut
    Plan(plan::Arguments),
    /// Write the job sheet of a boat to print, to read on a phone and to draw on
    Sheet(sheet::Arguments),
    /// Check a cover against snow, wind and road: demand, capacity, what gives first. A planning check
    Loads(loads::Arguments),
    /// Price a cover: materials, hours, mark-up, tax; a page for the customer and one for the yard
    Quote(quote::Arguments),
    /// Plan many boats: film plan, lumber plan, purchase list, calendar
    Season(season::Arguments),
    /// Note what a crew measured and how long it took; the cover is checked again with it
    Record(record::Arguments),
    /// Tell what went missing over the winter, and make next season's stock list
    Spring(spring::Arguments),
    /// Put a job list with its boat files into one SQLite file, or take them out again
    Store(store::Arguments),
    /// List the invented boats that come with hulltent, or show the boat file of one
    Presets(presets::Arguments),
    /// Print a blank survey sheet to take to the boat
    Survey(survey::Arguments),
    /// Look at a boat, its frame and its cover in 3D, in a window or as a picture
    View(view::Arguments),
    /// Print a script that completes hulltent's arguments in a shell
    Completions(completions::Arguments),
}

/// How a command ended, where it did not fail.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Outcome {
    /// All is good.
    Good,
    /// The plan was made but falls short.
    FallsShort,
}

/// What to do next where a cover sheds, but does not stand its loads.
fn loads_fail(boat: &str) -> String {
    format!(
        "the cover sheds, but does not stand its loads\n\
         next: `hulltent loads {boat}` with the same site tells what gives first; --strengthen looks for a frame that holds"
    )
}

/// Runs the command that the program was called with; `view` is what shows a boat in 3D.
pub fn run(view: impl FnOnce(ViewRequest) -> Result<Option<String>, Refusal>) -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // Nobody is left to tell where even this cannot be printed.
            let _ = error.print();
            return ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2));
        }
    };
    let outcome = match &arguments.command {
        Command::Plan(arguments) => plan::run(arguments),
        Command::Sheet(arguments) => sheet::run(arguments),
        Command::Loads(arguments) => loads::run(arguments),
        Command::Quote(arguments) => quote::run(arguments),
        Command::Season(arguments) => season::run(arguments),
        Command::Record(arguments) => record::run(arguments),
        Command::Spring(arguments) => spring::run(arguments),
        Command::Store(arguments) => store::run(arguments),
        Command::Presets(arguments) => presets::run(arguments),
        Command::Survey(arguments) => survey::run(arguments),
        Command::View(arguments) => view::run(arguments, view),
        Command::Completions(arguments) => completions::run(arguments),
    };
    match outcome {
        Ok(Outcome::Good) => ExitCode::SUCCESS,
        Ok(Outcome::FallsShort) => ExitCode::from(1),
        Err(failure) => {
            talk::say(&failure.to_string());
            ExitCode::from(2)
        }
    }
}
