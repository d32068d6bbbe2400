//! A season: many boats, what they take together, what is bought, who covers which of them when.
//!
//! [`read_jobs`] reads the job list, [`plan_all`] plans the boats, [`season`] puts them together. Nothing in here touches
//! files but [`store`], which keeps a season in an SQLite file.

mod cells;
pub mod crews;
mod cut_list;
pub mod cutting;
mod film;
mod formula;
mod job;
mod learn;
mod lumber;
mod open_quotes;
mod planned;
mod purchase;
mod recorded;
mod spring;
mod stock_list;
pub mod store;
mod typical;

pub use cells::CellProblem;
pub use cut_list::{Cut, CutList, Grain, Source, WantedPiece, cut_list};
pub use film::{FilmUse, film_plan, film_use, is_kept};
pub use formula::guarded;
pub use job::{BoatWanted, COLUMNS as JOB_COLUMNS, Job, JobOptions, Tape, read_jobs};
pub use learn::{MIN_JOBS, learn};
pub use lumber::{PostPlan, StandsAgain, post_plan};
pub use planned::{Planned, Standing, Wanted, plan_all};
pub use purchase::{Article, PurchaseLine, PurchaseList, purchase_list};
pub use recorded::{AsBuilt, CheckedAgain, NotChecked, check_again};
pub use spring::{
    Missing, SPRING_COLUMNS, SpringBoat, SpringList, SpringRow, missing, next_stock, read_spring,
    spring_list, uncounted,
};
pub use stock_list::{
    COLUMNS as STOCK_COLUMNS, HeldFilm, HeldLumber, HeldPost, StockList, read_stock,
};
pub use typical::boat_file;

use crate::takeoff::prices::Step;
use crate::takeoff::{Hours, Learned, PriceBook, Quote};
use crews::{Crews, Rota, Work, schedule};
use cutting::Effort;

/// A job that was planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Covered {
    /// The job.
    pub job: Job,
    /// The plan of its boat.
    pub planned: Planned,
    /// The price of one such cover; what keeps it from being priced otherwise.
    pub quote: Result<Quote, String>,
    /// Hours of one person for one such cover, with what was learned.
    pub hours: Hours,
}

/// A job that could not be planned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failed {
    /// The row of the job list.
    pub row: usize,
    /// The job's name.
    pub name: String,
    /// What is wrong, each with what mends it.
    pub problems: Vec<String>,
}

/// A whole season.
#[derive(Debug, Clone)]
pub struct Season {
    /// The jobs that were planned, in the order in which crews come to them.
    pub covered: Vec<Covered>,
    /// The jobs that could not be planned, by row.
    pub failed: Vec<Failed>,
    /// Which sheet comes out of which roll.
    pub film: CutList,
    /// Where the posts come from.
    pub posts: PostPlan,
    /// What is bought.
    pub purchase: PurchaseList,
    /// Who covers which boat when, by the places of [`Season::works`]; `None` where no day is given to start on.
    pub rota: Option<Rota>,
    /// Boats one by one: the job by its place, and which of its boats, from 1.
    pub works: Vec<(usize, u32)>,
    /// What recorded jobs say about hours.
    pub learned: Learned,
}

/// What a season is made from.
#[derive(Debug, Clone)]
pub struct SeasonInput<'a> {
    /// Jobs with the plans of their boats.
    pub planned: Vec<(Job, Planned)>,
    /// Jobs that could not be planned.
    pub failed: Vec<Failed>,
    /// Prices.
    pub book: &'a PriceBook,
    /// What is there.
    pub stock: &'a StockList,
    /// Who works when; `None` leaves the calendar out.
    pub crews: Option<&'a Crews>,
    /// What recorded jobs say about hours.
    pub learned: Learned,
}

/// Why a season cannot be put together.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SeasonError {
    /// The crews' days do not work out.
    #[error("the calendar cannot be made: {0}")]
    Crews(String),
    /// Film or lumber cannot be cut.
    #[error("{what} cannot be cut: {why}")]
    Cutting {
        /// Film or posts.
        what: &'static str,
        /// What the solver says.
        why: String,
    },
}

/// Puts a season together.
///
/// # Errors
/// Crews that never work, numbers beyond what the solver takes.
pub fn season(input: SeasonInput) -> Result<Season, SeasonError> {
    let SeasonInput {
        planned,
        mut failed,
        book,
        stock,
        crews,
        learned,
    } = input;
    let mut covered: Vec<Covered> = planned
        .into_iter()
        .map(|(job, planned)| {
            let materials = &planned.materials;
            let quote = Quote::new(materials, job.posts, book, &learned);
            Covered {
                quote: quote.map_err(|error| error.to_string()),
                hours: Hours::by_book(materials, &book.labour).learned(&learned),
                job,
                planned,
            }
        })
        .collect();
    failed.sort_by_key(|failed| failed.row);
    let by_row = works(&covered);
    let rota = match crews {
        Some(crews) if !by_row.is_empty() => Some(rota(&covered, &by_row, crews, book)?),
        _ => None,
    };
    // From here on jobs stand in the order in which crews come to them.
    let order = order(&covered, &by_row, rota.as_ref());
    let place_of = inverse(&order);
    covered = order
        .iter()
        .filter_map(|old| covered.get(*old).cloned())
        .collect();
    let moved = |(job, copy): &(usize, u32)| (place_of.get(*job).copied().unwrap_or(0), *copy);
    let works: Vec<(usize, u32)> = by_row.iter().map(moved).collect();
    let effort = Effort::default();
    let cannot = |what| {
        move |error: cutting::CuttingError| SeasonError::Cutting {
            what,
            why: error.to_string(),
        }
    };
    let (film, posts) = rayon::join(
        || film_plan(sheets(&covered), book, stock, &effort).map_err(cannot("film")),
        || post_plan(posts(&covered, book), book, stock, &effort).map_err(cannot("posts")),
    );
    let (film, posts) = (film?, posts?);
    let covers: Vec<_> = covered
        .iter()
        .map(|covered| {
            (
                &covered.planned.materials,
                covered.job.count,
                covered.job.posts,
            )
        })
        .collect();
    let purchase = purchase_list(&covers, &film, &posts.cut, book, stock);
    Ok(Season {
        film,
        posts,
        purchase,
        rota,
        works,
        learned,
        failed,
        covered,
    })
}

/// Boats one by one: job by its place, and which of its boats.
fn works(covered: &[Covered]) -> Vec<(usize, u32)> {
    let jobs = covered.iter().enumerate();
    jobs.flat_map(|(job, covered)| (1..=covered.job.count).map(move |copy| (job, copy)))
        .collect()
}

/// What a boat of a job is called: its job's name, with its number where there are several.
#[must_use]
pub fn boat_label(job: &Job, copy: u32) -> String {
    if job.count == 1 {
        job.name.clone()
    } else {
        format!("{} {copy}/{}", job.name, job.count)
    }
}

/// A boat is the harder the longer its frame takes: posts and straps are what goes wrong.
fn rota(
    covered: &[Covered],
    works: &[(usize, u32)],
    crews: &Crews,
    book: &PriceBook,
) -> Result<Rota, SeasonError> {
    let people = f64::from(book.labour.people.max(1));
    let list: Vec<Work> = works
        .iter()
        .filter_map(|(job, copy)| {
            let covered = covered.get(*job)?;
            Some(Work {
                name: boat_label(&covered.job, *copy),
                // Whole minutes: no crew comes back for seconds.
                hours: (covered.hours.autumn() / people * 60.0).ceil() / 60.0,
                due: covered.job.due,
                hardness: covered.hours.of(Step::Frame),
            })
        })
        .collect();
    schedule(&list, crews).map_err(|errors| {
        let told: Vec<String> = errors.iter().map(ToString::to_string).collect();
        SeasonError::Crews(told.join("; "))
    })
}

/// Jobs in the order of their first day; without a calendar by due date, then by row.
fn order(covered: &[Covered], works: &[(usize, u32)], rota: Option<&Rota>) -> Vec<usize> {
    let mut order: Vec<usize> = (0..covered.len()).collect();
    match rota {
        Some(rota) => {
            let mut first = vec![usize::MAX; covered.len()];
            for (place, shift) in rota.shifts.iter().enumerate() {
                let job = works.get(shift.work).map_or(0, |(job, _)| *job);
                if let Some(first) = first.get_mut(job) {
                    *first = (*first).min(place);
                }
            }
            order.sort_by_key(|job| first.get(*job).copied());
        }
        None => order.sort_by_key(|job| {
            let due = covered.get(*job).and_then(|covered| covered.job.due);
            (due.is_none(), due)
        }),
    }
    order
}

fn inverse(order: &[usize]) -> Vec<usize> {
    let mut place_of = vec![0; order.len()];
    for (place, old) in order.iter().enumerate() {
        if let Some(slot) = place_of.get_mut(*old) {
            *slot = place;
        }
    }
    place_of
}

/// Every sheet of film that is wanted, in the order of the jobs.
fn sheets(covered: &[Covered]) -> Vec<WantedPiece> {
    let mut pieces = Vec::new();
    for (job, copy) in works(covered) {
        let Some(covered) = covered.get(job) else {
            continue;
        };
        let film = &covered.planned.materials.film;
        for sheet in 1..=film.sheets {
            let label = boat_label(&covered.job, copy);
            pieces.push(WantedPiece {
                label: if film.sheets == 1 {
                    label
                } else {
                    format!("{label}, sheet {sheet} of {}", film.sheets)
                },
                job,
                width: film.width,
                length: film.length,
            });
        }
    }
    pieces
}

/// Every post that is cut, in the order of the jobs: those that are set to their height are not.
fn posts(covered: &[Covered], book: &PriceBook) -> Vec<WantedPiece> {
    let mut pieces = Vec::new();
    for (job, copy) in works(covered) {
        let Some(covered) = covered.get(job) else {
            continue;
        };
        let set = covered.job.posts == crate::takeoff::PostKind::Adjustable;
        let cut = covered.planned.materials.posts.iter();
        for post in cut.filter(|post| !(set && book.adjustable(post.cut).is_some())) {
            pieces.push(WantedPiece {
                label: format!("{} {}", boat_label(&covered.job, copy), post.id),
                job,
                width: 0.0,
                length: post.cut,
            });
        }
    }
    pieces
}
