//! The job list: one row a boat, or several alike.

use super::cells::{CellProblem, Cells, Row};
use crate::boat::{Boat, suggest};
use crate::takeoff::PostKind;
use crate::units::{UnitError, parse_angle, parse_length};
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::ops::RangeInclusive;

/// One row of a job list.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// The row as the spreadsheet counts it.
    pub row: usize,
    /// What the job is called; no two are alike.
    pub name: String,
    /// The boat.
    pub boat: BoatWanted,
    /// How many such boats.
    pub count: u32,
    /// When it must be covered.
    pub due: Option<Date>,
    /// Name of a site file beside the list.
    pub site: Option<String>,
    /// What its posts are made of.
    pub posts: PostKind,
    /// What goes over the boat's rules.
    pub options: JobOptions,
    /// The cells as they were written, by column, for the store.
    pub cells: Vec<(String, String)>,
}

/// Where a job's boat comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum BoatWanted {
    /// A boat file beside the list, or a preset.
    Named(String),
    /// Five numbers from the tape.
    Tape(Tape),
}

/// Five numbers from the tape, m; heights are over the hull's lowest point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tape {
    /// Length of the hull.
    pub length: f64,
    /// Greatest beam.
    pub beam: f64,
    /// Height of the sheer at the bow.
    pub bow: f64,
    /// Height of the sheer at the stern.
    pub stern: f64,
    /// Height of the windshield's top; `None` for an open boat.
    pub windshield: Option<f64>,
}

/// What a job changes of its boat's rules.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct JobOptions {
    /// Least slope, rad.
    pub min_slope: Option<f64>,
    /// Clearance of the ridge over windshield and console, m.
    pub clearance: Option<f64>,
    /// Longest span of the ridge strap, m.
    pub max_span: Option<f64>,
    /// Greatest height of a cap over its footing, m.
    pub max_post: Option<f64>,
}

impl JobOptions {
    /// Lays them over a boat's rules.
    pub fn lay_over(&self, boat: &mut Boat) {
        let rules = &mut boat.rules;
        for (value, rule) in [
            (self.min_slope, &mut rules.min_slope),
            (self.clearance, &mut rules.clearance),
            (self.max_span, &mut rules.max_span),
            (self.max_post, &mut rules.max_post),
        ] {
            if let Some(value) = value {
                *rule = value;
            }
        }
    }
}

/// The columns of a job list.
pub const COLUMNS: [&str; 16] = [
    "name",
    "boat",
    "length",
    "beam",
    "bow",
    "stern",
    "windshield",
    "count",
    "due",
    "site",
    "posts",
    "min_slope",
    "clearance",
    "max_span",
    "max_post",
    "note",
];

/// Most boats in one row.
const MAX_ALIKE: u32 = 500;

/// Longest name, characters: it stands in lists and on labels.
const LONGEST_NAME: usize = 40;

/// Reads a job list: the jobs that can be read, and what is wrong with the others.
///
/// # Errors
/// No job at all can be read: the headings are not there.
pub fn read_jobs(text: &str) -> Result<(Vec<Job>, Vec<CellProblem>), Vec<CellProblem>> {
    let (list, mut problems) = Cells::read(text, &COLUMNS, &["name"])?;
    let mut jobs = Vec::new();
    let mut names: BTreeMap<String, usize> = BTreeMap::new();
    for row in list.rows() {
        let mut own = Vec::new();
        let job = read_job(&row, &mut own);
        if let Some(first) = names.get(&job.name).filter(|_| !job.name.is_empty()) {
            own.push(row.problem(
                "name",
                format!("'{}' is the name of row {first} already", job.name),
                "give each job a name of its own, or raise the count of the first",
            ));
        } else {
            names.insert(job.name.clone(), row.number);
        }
        if own.is_empty() {
            jobs.push(job);
        }
        problems.extend(own);
    }
    problems.sort_by_key(|problem| problem.row);
    Ok((jobs, problems))
}

fn read_job(row: &Row, problems: &mut Vec<CellProblem>) -> Job {
    let name = row.text("name").to_owned();
    if name.is_empty() {
        problems.push(row.problem("name", "no name", "give the job a name"));
    } else if name.chars().any(char::is_control) || name.chars().count() > LONGEST_NAME {
        problems.push(row.problem(
            "name",
            "the name does not fit on a label",
            format!("use at most {LONGEST_NAME} plain characters on one line"),
        ));
    }
    let count = row.read("count", problems, |text| {
        match text
            .parse::<u32>()
            .ok()
            .filter(|count| (1..=MAX_ALIKE).contains(count))
        {
            Some(count) => Ok(count),
            None => Err((
                format!("'{text}' is no number of boats"),
                format!("a whole number from 1 to {MAX_ALIKE}"),
            )),
        }
    });
    let due = row.read("due", problems, |text| {
        text.parse::<Date>().map_err(|_| {
            (
                format!("'{text}' is no date"),
                "write year, month and day, as 2026-10-23".to_owned(),
            )
        })
    });
    let posts = row.read("posts", problems, |text| {
        match text.to_lowercase().as_str() {
            "lumber" => Ok(PostKind::Lumber),
            "adjustable" => Ok(PostKind::Adjustable),
            other => Err((
                format!("posts '{text}' are not known"),
                match suggest(other, ["lumber", "adjustable"]) {
                    Some(near) => format!("did you mean '{near}'?"),
                    None => "lumber or adjustable".to_owned(),
                },
            )),
        }
    });
    let degrees = 1f64.to_radians()..=60f64.to_radians();
    let options = JobOptions {
        min_slope: row.read("min_slope", problems, |text| {
            within(parse_angle(text), &degrees, "between 1 and 60 deg")
        }),
        clearance: length(row, "clearance", 0.0..=1.5, problems),
        max_span: length(row, "max_span", 0.5..=10.0, problems),
        max_post: length(row, "max_post", 0.3..=8.0, problems),
    };
    Job {
        row: row.number,
        boat: boat(row, problems),
        name,
        count: count.unwrap_or(1),
        due,
        site: row.given("site").map(str::to_owned),
        posts: posts.unwrap_or_default(),
        options,
        cells: COLUMNS
            .iter()
            .filter_map(|column| Some(((*column).to_owned(), row.given(column)?.to_owned())))
            .collect(),
    }
}

fn within(
    value: Result<f64, UnitError>,
    range: &RangeInclusive<f64>,
    hint: &str,
) -> Result<f64, (String, String)> {
    match value {
        Ok(value) if range.contains(&value) => Ok(value),
        Ok(_) => Err(("out of range".to_owned(), hint.to_owned())),
        Err(error) => Err((error.to_string(), error.hint())),
    }
}

fn length(
    row: &Row,
    column: &str,
    range: RangeInclusive<f64>,
    problems: &mut Vec<CellProblem>,
) -> Option<f64> {
    let hint = format!("between {} m and {} m", range.start(), range.end());
    row.read(column, problems, |text| {
        within(parse_length(text), &range, &hint)
    })
}

/// The boat by its name or by the tape; one of them must be there, and not both.
fn boat(row: &Row, problems: &mut Vec<CellProblem>) -> BoatWanted {
    const TAPE: [&str; 5] = ["length", "beam", "bow", "stern", "windshield"];
    let measured: Vec<&str> = TAPE
        .into_iter()
        .filter(|c| row.given(c).is_some())
        .collect();
    if let Some(name) = row.given("boat") {
        if let Some(first) = measured.first() {
            problems.push(row.problem(
                first,
                "the row has a boat and numbers from the tape",
                "leave the boat or the numbers",
            ));
        }
        return BoatWanted::Named(name.to_owned());
    }
    if measured.is_empty() {
        problems.push(row.problem(
            "boat",
            "no boat",
            "name a boat file or a preset, or fill in length, beam, bow, stern and windshield",
        ));
    }
    let mut needed = |column: &'static str, range: RangeInclusive<f64>| {
        if row.given(column).is_none() && !measured.is_empty() {
            problems.push(row.problem(
                column,
                format!("no {column}"),
                "as the tape shows it, with its unit",
            ));
        }
        length(row, column, range, problems).unwrap_or(1.0)
    };
    BoatWanted::Tape(Tape {
        length: needed("length", 2.5..=15.0),
        beam: needed("beam", 0.8..=5.0),
        bow: needed("bow", 0.3..=4.0),
        stern: needed("stern", 0.3..=4.0),
        windshield: length(row, "windshield", 0.4..=5.0, problems),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "name,boat,length,beam,bow,stern,windshield,count,due,posts,min_slope\n";

    #[test]
    fn rows_are_read() {
        let text = format!(
            "{HEAD}A,open-runabout-18,,,,,,3,2026-10-23,adjustable,17 deg\n\
             B,,18'6\",7'8\",3'8\",2'11\",,,,,\n"
        );
        let (jobs, problems) = read_jobs(&text).expect("a list");
        assert!(problems.is_empty(), "{problems:?}");
        assert_eq!(
            jobs[0].boat,
            BoatWanted::Named("open-runabout-18".to_owned())
        );
        assert_eq!((jobs[0].count, jobs[0].posts), (3, PostKind::Adjustable));
        assert_eq!(jobs[0].due, Some(jiff::civil::date(2026, 10, 23)));
        assert_eq!(jobs[0].options.min_slope, Some(17f64.to_radians()));
        assert_eq!(jobs[0].cells.len(), 6);
        let BoatWanted::Tape(tape) = jobs[1].boat else {
            panic!("{:?}", jobs[1]);
        };
        assert!((tape.length - 18.5 * 0.3048).abs() < 1e-12 && tape.windshield.is_none());
        assert_eq!((jobs[1].count, jobs[1].due), (1, None));
    }

    #[test]
    fn a_broken_row_is_told_and_the_rest_goes_on() {
        for (row, column, what, hint) in [
            (",jon-boat-16,,,,,,,,,", "name", "no name", "a name"),
            (
                "A,jon-boat-16,,,,,,0,,,",
                "count",
                "no number of boats",
                "from 1",
            ),
            (
                "A,jon-boat-16,,,,,,two,,,",
                "count",
                "no number of boats",
                "from 1",
            ),
            (
                "A,jon-boat-16,,,,,,,23.10.2026,,",
                "due",
                "no date",
                "2026-10-23",
            ),
            (
                "A,jon-boat-16,,,,,,,2026-02-30,,",
                "due",
                "no date",
                "2026-10-23",
            ),
            (
                "A,jon-boat-16,,,,,,,,lumbre,",
                "posts",
                "not known",
                "did you mean 'lumber'",
            ),
            (
                "A,jon-boat-16,,,,,,,,,75 deg",
                "min_slope",
                "out of range",
                "between",
            ),
            (
                "A,jon-boat-16,18 ft,,,,,,,,",
                "length",
                "a boat and numbers",
                "leave",
            ),
            (
                "A,,18 fot,7 ft,3 ft,3 ft,,,,,",
                "length",
                "unknown unit",
                "did you mean",
            ),
            ("A,,18,7 ft,3 ft,3 ft,,,,,", "length", "no unit", "18 ft"),
            ("A,,18 ft,,3 ft,3 ft,,,,,", "beam", "no beam", "tape"),
            (
                "A,,180 ft,7 ft,3 ft,3 ft,,,,,",
                "length",
                "out of range",
                "between",
            ),
            ("A,,,,,,,,,,", "boat", "no boat", "preset"),
            (
                "good,jon-boat-16,,,,,,,,,",
                "name",
                "row 2 already",
                "of its own",
            ),
        ] {
            let text =
                format!("{HEAD}good,jon-boat-16,,,,,,,,,\n{row}\nbetter,jon-boat-16,,,,,,,,,\n");
            let (jobs, problems) = read_jobs(&text).expect("a list");
            assert_eq!(jobs.len(), 2, "{row}");
            let found = problems.iter().find(|problem| problem.column == column);
            let found = found.unwrap_or_else(|| panic!("{row}: {problems:?}"));
            assert!(found.row == 3 && found.what.contains(what), "{found}");
            assert!(found.hint.contains(hint), "{found}");
        }
    }
}
