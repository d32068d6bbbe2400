//! `hulltent season`: from a job list to film plan, lumber plan, purchase list and calendar.

mod days;
mod progress;
mod shelf;

pub(super) use shelf::{Shelf, list_of, notes, stored, whole_store};

use super::pricing::Pricing;
use super::report::Failure;
use super::values::Size;
use super::{COLUMNS, Outcome, talk, threads, values};
use crate::boat::Problem;
use crate::disk;
use crate::export;
use crate::season::store::Store;
use crate::season::{
    self, CellProblem, Covered, Failed, Job, Planned, Season, SeasonInput, StockList, Wanted,
    learn, plan_all, read_stock,
};
use crate::sheet::summary_sheet;
use crate::takeoff::PriceBook;
use crate::units::UnitSystem;
use clap::Args;
use days::Days;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Job list (CSV, its columns in the README), a folder of boat files, or the store of a season
    /// (season.sqlite)
    jobs: PathBuf,
    /// Write the season's files into this folder; it is made if need be. Plans are kept in season.sqlite
    /// there: a run that was broken off goes on, a changed list plans only what changed
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// What is there already: rolls and offcuts, lumber, last year's posts, supplies (CSV)
    #[arg(long, value_name = "FILE")]
    stock: Option<PathBuf>,
    /// Plan every boat anew, also those whose plans were kept
    #[arg(long)]
    anew: bool,
    /// Paper of the pages
    #[arg(long, value_enum, default_value_t = Size::Letter)]
    paper: Size,
    /// Units of everything written: ft (feet, inches, quarters) or m
    #[arg(long, value_name = "ft|m", default_value = "ft", value_parser = values::units)]
    units: UnitSystem,
    /// Most threads that may run side by side [default: one for each core]. The season comes out the same
    /// with any number
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    threads: Option<u16>,
    #[command(flatten)]
    pricing: Pricing,
    #[command(flatten)]
    days: Days,
}

impl Arguments {
    /// The files that are read.
    fn inputs(&self) -> Vec<PathBuf> {
        let also = [self.stock.clone(), self.pricing.input()];
        std::iter::once(self.jobs.clone())
            .chain(also.into_iter().flatten())
            .collect()
    }
}

/// The store that lies among a season's files.
const STORE: &str = "season.sqlite";

pub(super) fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    threads::limit(arguments.threads)?;
    let book = arguments.pricing.book()?;
    let stock = stock(arguments.stock.as_deref(), &book)?;
    let shelf = Shelf::open(&arguments.jobs)?;
    let (jobs, problems) = shelf.jobs()?;
    tell(&arguments.jobs, &problems);
    if jobs.is_empty() {
        return Err(Failure::plain(
            format!(
                "{} holds no job that can be planned",
                arguments.jobs.display()
            ),
            "mend what was told, or see assets/demo-season/jobs.csv for how a list looks",
        ));
    }
    let has_calendar = arguments.days.has_start() || jobs.iter().any(|job| job.due.is_some());
    disk::check_outputs(
        &arguments.out,
        export::season_names(has_calendar),
        &arguments.inputs(),
    )?;
    disk::make_folder(&arguments.out)?;
    let _claim = disk::claim(&arguments.out)?;
    let many = if jobs.len() == 1 { "job" } else { "jobs" };
    talk::say(&format!("{} {many}: reading their boats", jobs.len()));
    let mut store = store(&arguments.out, &shelf)?;
    shelf.keep_in(&jobs, &mut store)?;
    let (wanted, mut failed) = boats(&shelf, jobs);
    failed.extend(rows(&problems));
    let planned = planned(wanted, &mut failed, store, arguments.anew)?;
    if planned.0.is_empty() {
        for failed in &failed {
            talk::say(&format!("{}: {}", failed.name, failed.problems.join("; ")));
        }
        return Err(Failure::plain(
            "no boat of the list could be planned",
            "plan one of them with `hulltent plan` to see what is wrong",
        ));
    }
    let (planned, store) = planned;
    let notes = shelf::notes(&store)?;
    let crews = arguments.days.crews(&planned, &book)?;
    talk::say("all plans are made: cutting film and posts, writing the pages");
    let season = season::season(SeasonInput {
        planned,
        failed,
        book: &book,
        stock: &stock,
        crews: crews.as_ref(),
        learned: learn(&notes),
    })
    .map_err(|error| {
        Failure::plain(error.to_string(), "check the price book and the stock list")
    })?;
    let boxes = write(&season, &book, arguments)?;
    Ok(if boxes {
        Outcome::FallsShort
    } else {
        outcome(&season)
    })
}

/// Writes the season's files and says what it comes to; whether some words stand as boxes in them.
fn write(season: &Season, book: &PriceBook, arguments: &Arguments) -> Result<bool, Failure> {
    let (units, folder) = (arguments.units, &arguments.out);
    let set = export::season_files(season, book, units, arguments.paper.into())
        .map_err(|error| Failure::plain(error.to_string(), "tell the developers"))?;
    disk::write_all(folder, &set.files, &arguments.inputs())?;
    talk::print(&export::text(&summary_sheet(season, book, units), COLUMNS))?;
    if season.rota.is_none() {
        talk::say("no calendar: give --start, or due dates in the list");
    }
    let boxes = talk::say_missing(&set.missing);
    talk::say(&format!(
        "next: look at {0}/summary.pdf, buy by {0}/purchase.pdf, cut by {0}/film.pdf and {0}/posts.pdf",
        folder.display()
    ));
    Ok(boxes)
}

fn outcome(season: &Season) -> Outcome {
    let good = |covered: &Covered| covered.planned.is_good() && covered.quote.is_ok();
    let all_cut = season.film.too_large.is_empty() && season.posts.cut.too_large.is_empty();
    if season.failed.is_empty() && season.covered.iter().all(good) && all_cut {
        Outcome::Good
    } else {
        Outcome::FallsShort
    }
}

/// Says what is wrong with a list, row by row.
pub(super) fn tell(list: &Path, problems: &[CellProblem]) {
    for problem in problems {
        talk::say(&format!("{}: {problem}", list.display()));
    }
}

/// Rows that were left out, as jobs that could not be planned.
fn rows(problems: &[CellProblem]) -> Vec<Failed> {
    let mut failed: Vec<Failed> = Vec::new();
    // What is wrong with the headings costs no job.
    for problem in problems.iter().filter(|problem| problem.row > 1) {
        let told = format!("{}; {}", problem.what, problem.hint);
        match failed.last_mut().filter(|failed| failed.row == problem.row) {
            Some(failed) => failed.problems.push(told),
            None => failed.push(Failed {
                row: problem.row,
                name: problem.at(),
                problems: vec![told],
            }),
        }
    }
    failed
}

fn stock(path: Option<&Path>, book: &PriceBook) -> Result<StockList, Failure> {
    let Some(path) = path else {
        return Ok(StockList::default());
    };
    let text = disk::read_text(path)?;
    match read_stock(&text, book) {
        Ok((stock, problems)) => {
            tell(path, &problems);
            Ok(stock)
        }
        Err(problems) => {
            tell(path, &problems);
            Err(Failure::plain(
                format!("{} is no stock list", path.display()),
                "see assets/demo-season/stock.csv for how one looks",
            ))
        }
    }
}

/// The boat and the site of each job; jobs without a sound boat are told.
fn boats(shelf: &Shelf, jobs: Vec<Job>) -> (Vec<(Job, Wanted)>, Vec<Failed>) {
    let (mut wanted, mut failed) = (Vec::new(), Vec::new());
    let all = shelf.all_wanted(&jobs);
    for (job, found) in jobs.into_iter().zip(all) {
        match found {
            Ok(found) => wanted.push((job, found)),
            Err(problems) => failed.push(Failed {
                row: job.row,
                name: job.name,
                problems,
            }),
        }
    }
    (wanted, failed)
}

/// Opens the store among the season's files; one that the jobs come from is left as it is.
fn store(folder: &Path, shelf: &Shelf) -> Result<Store, Failure> {
    disk::clear_parts(folder);
    let path = folder.join(STORE);
    if shelf.is_store_at(&path) {
        return whole_store(&path);
    }
    let store = Store::open_or_create(&path).map_err(stored)?;
    store.check().map_err(stored)?;
    Ok(store)
}

/// What a planning of many boats gives: the jobs with their plans, and the store back.
type AllPlanned = (Vec<(Job, Planned)>, Store);

/// Plans all boats that the store does not know yet, keeping each plan as soon as it is there.
fn planned(
    wanted: Vec<(Job, Wanted)>,
    failed: &mut Vec<Failed>,
    store: Store,
    anew: bool,
) -> Result<AllPlanned, Failure> {
    let (jobs, boats): (Vec<Job>, Vec<Wanted>) = wanted.into_iter().unzip();
    let bar = progress::Bar::new(boats.len());
    let store = Mutex::new((store, None));
    let is_changed = AtomicBool::new(false);
    let known = |key: &str| {
        let held = store.lock().ok()?;
        let text = held.0.plan(key).ok().flatten().filter(|_| !anew)?;
        // What cannot be read was written by another version: it is planned again.
        let planned: Planned = serde_json::from_str(&text).ok()?;
        bar.step();
        Some(planned)
    };
    let done = |key: &str, result: &Result<Planned, Vec<Problem>>| {
        bar.step();
        let text = result
            .as_ref()
            .ok()
            .and_then(|planned| serde_json::to_string(planned).ok());
        if let (Some(text), Ok(mut held)) = (text, store.lock()) {
            is_changed.store(true, Ordering::Relaxed);
            if let Err(error) = held.0.keep_plan(key, &text) {
                // The season goes on; it is told once that its plans are not kept.
                held.1.get_or_insert(error);
            }
        }
    };
    let plans = plan_all(&boats, &known, &done);
    bar.done();
    let (mut store, mut unkept) = store.into_inner().map_err(|_| {
        Failure::plain(
            "a thread failed while it kept a plan",
            "run the same command again",
        )
    })?;
    // In which order threads keep plans is chance; the file does not tell it.
    if unkept.is_none() && is_changed.into_inner() {
        unkept = store.compact().err();
    }
    if let Some(error) = unkept {
        talk::say(&format!("plans were not kept: {error}; {}", error.hint()));
    }
    let mut planned = Vec::new();
    for (job, plan) in jobs.into_iter().zip(plans) {
        match plan {
            Ok(plan) => planned.push((job, plan)),
            Err(problems) => failed.push(Failed {
                row: job.row,
                name: job.name,
                problems: problems.iter().map(shelf::told).collect(),
            }),
        }
    }
    Ok((planned, store))
}
