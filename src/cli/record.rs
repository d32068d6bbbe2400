//! `hulltent record`: what a crew measured and how long it took.

use super::pricing::Pricing;
use super::report::Failure;
use super::season::{Shelf, stored};
use super::{COLUMNS, Outcome, progress, talk, values};
use crate::boat::suggest;
use crate::export;
use crate::plan::plan;
use crate::season::store::Store;
use crate::season::{AsBuilt, Job, NotChecked, check_again};
use crate::sheet::as_built_sheet;
use crate::takeoff::Hours;
use crate::takeoff::prices::Step;
use crate::units::{UnitSystem, parse_length};
use clap::Args;
use std::path::PathBuf;

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Store of the season: season.sqlite among its files
    store: PathBuf,
    /// Name of the job
    job: String,
    /// Which of the job's boats
    #[arg(long, value_name = "N", default_value_t = 1)]
    boat: u32,
    /// Measured height of a post's cap over its footing, as P1="4'2 1/2\"" or P1=1.28m; may be given again
    #[arg(long = "post", value_name = "POST=HEIGHT", value_parser = height)]
    posts: Vec<(String, f64)>,
    /// Hours that a step took, of all people together, as frame=2.5; may be given again. Steps: survey, frame,
    /// band, film, shrink, finish, spring
    #[arg(long = "hours", value_name = "STEP=HOURS", value_parser = hours)]
    hours: Vec<(Step, f64)>,
    /// Free words
    #[arg(long, default_value = "")]
    note: String,
    /// Units of the text: ft (feet, inches, quarters) or m
    #[arg(long, value_name = "ft|m", default_value = "ft", value_parser = values::units)]
    units: UnitSystem,
    #[command(flatten)]
    pricing: Pricing,
}

pub(super) fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let book = arguments.pricing.book()?;
    let shelf = Shelf::open(&arguments.store)?;
    if !shelf.is_store_at(&arguments.store) {
        return Err(Failure::plain(
            format!("{} is not the store of a season", arguments.store.display()),
            "name season.sqlite among the files that `hulltent season` wrote",
        ));
    }
    if arguments.posts.is_empty() && arguments.hours.is_empty() && arguments.note.is_empty() {
        return Err(Failure::plain(
            "nothing to record",
            "give --post P1=HEIGHT, --hours frame=2.5 or --note \"...\"",
        ));
    }
    let (jobs, _) = shelf.jobs()?;
    let job = found(&jobs, &arguments.job)?;
    if arguments.boat == 0 || arguments.boat > job.count {
        return Err(Failure::plain(
            format!(
                "'{}' has {} of its kind, not {}",
                job.name, job.count, arguments.boat
            ),
            "count them from 1",
        ));
    }
    let wanted = shelf
        .wanted(job)
        .map_err(|problems| Failure::plain(problems.join("; "), "mend the boat file"))?;
    let boat = &wanted.boat;
    let about = format!("checking {} again", job.name);
    let again = progress::while_working(&about, || {
        let planned = plan(boat, &boat.rules).map_err(NotChecked::Unplanned)?;
        check_again(planned, &arguments.posts.iter().cloned().collect())
    })
    .map_err(|error| refused(&error))?;
    let note = AsBuilt {
        boat: arguments.boat,
        posts: arguments.posts.iter().cloned().collect(),
        taken: arguments.hours.iter().copied().collect(),
        by_book: Hours::by_book(&again.planned.takeoff.materials, &book.labour),
        note: arguments.note.clone(),
    };
    let text = serde_json::to_string(&note)
        .map_err(|error| Failure::plain(error.to_string(), "check the numbers"))?;
    let mut store = Store::open(&arguments.store).map_err(stored)?;
    let serial = store.note(&job.name, &text).map_err(stored)?;
    talk::print(&export::text(
        &as_built_sheet(&job.name, &note, &again, arguments.units),
        COLUMNS,
    ))?;
    talk::say(&format!(
        "kept as note {serial} of '{}'; next: the next `hulltent season` and `hulltent quote --learned {}` count with \
         the hours of all notes",
        job.name,
        arguments.store.display()
    ));
    Ok(if again.built.sheds() {
        Outcome::Good
    } else {
        Outcome::FallsShort
    })
}

fn found<'a>(jobs: &'a [Job], name: &str) -> Result<&'a Job, Failure> {
    jobs.iter().find(|job| job.name == name).ok_or_else(|| {
        let names = jobs.iter().map(|job| job.name.as_str());
        let hint = match suggest(name, names) {
            Some(near) => format!("did you mean '{near}'?"),
            None => "boats.csv among the season's files lists all jobs".to_owned(),
        };
        Failure::plain(format!("no job '{name}' in the store"), hint)
    })
}

fn refused(error: &NotChecked) -> Failure {
    let hint = match error {
        NotChecked::NoSuchPost { posts, .. } => format!("its posts are {}", posts.join(", ")),
        NotChecked::Unplanned(problems) => {
            let told: Vec<&str> = problems
                .iter()
                .map(|problem| problem.what.as_str())
                .collect();
            told.join("; ")
        }
    };
    Failure::plain(error.to_string(), hint)
}

/// A post with its height, m.
fn height(text: &str) -> Result<(String, f64), String> {
    let (post, height) = text
        .split_once('=')
        .ok_or("write the post and its height, as P1=1.28m")?;
    let meters = parse_length(height).map_err(|error| format!("{error}; {}", error.hint()))?;
    if !(0.05..=12.0).contains(&meters) {
        return Err("a height must lie between 2 in and 39 ft".to_owned());
    }
    Ok((post.trim().to_uppercase(), meters))
}

/// A step with its hours.
fn hours(text: &str) -> Result<(Step, f64), String> {
    let (name, hours) = text
        .split_once('=')
        .ok_or("write the step and its hours, as frame=2.5")?;
    let name = name.trim().to_lowercase();
    let step = Step::ALL.into_iter().find(|step| step.word() == name);
    let step = step.ok_or_else(|| {
        let words = Step::ALL.map(Step::word);
        match suggest(&name, words) {
            Some(near) => format!("no step '{name}'; did you mean '{near}'?"),
            None => format!("no step '{name}'; one of {}", words.join(", ")),
        }
    })?;
    match hours.trim().parse::<f64>() {
        Ok(hours) if hours > 0.0 && hours <= 1000.0 => Ok((step, hours)),
        _ => Err(format!("'{}' is no number of hours", hours.trim())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_recorded_is_read() {
        assert_eq!(height("p1=1.28 m"), Ok(("P1".to_owned(), 1.28)));
        assert!(height("P1=4'2\"").is_ok_and(|(_, meters)| (meters - 1.27).abs() < 1e-9));
        assert_eq!(hours("Frame=2.5"), Ok((Step::Frame, 2.5)));
        for (text, part) in [
            ("P1", "as P1=1.28m"),
            ("P1=4 fot", "did you mean"),
            ("P1=0 m", "between"),
        ] {
            assert!(
                height(text).is_err_and(|error| error.contains(part)),
                "{text}"
            );
        }
        for (text, part) in [
            ("fram=2", "did you mean 'frame'"),
            ("frame=two", "no number"),
            ("frame=-1", "no number"),
            ("frame", "as frame=2.5"),
        ] {
            assert!(
                hours(text).is_err_and(|error| error.contains(part)),
                "{text}"
            );
        }
    }
}
