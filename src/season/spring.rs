//! Spring: what comes off the boats, what is stored under which label, what went missing.

use super::cells::{CellProblem, Cells};
use super::film::is_kept;
use super::{Covered, Season, boat_label};
use crate::takeoff::prices::Use;
use crate::takeoff::{Money, PostKind, PostPiece, PriceBook};
use crate::units::{UnitSystem, parse_length};

/// What should come back.
#[derive(Debug, Clone, PartialEq)]
pub struct SpringList {
    /// Boat by boat, in the order of the season.
    pub boats: Vec<SpringBoat>,
    /// Rests of rolls that were kept.
    pub offcuts: Vec<SpringRow>,
    /// Film to bale, kg.
    pub baled: f64,
}

/// What comes off one boat.
#[derive(Debug, Clone, PartialEq)]
pub struct SpringBoat {
    /// What the boat is called.
    pub name: String,
    /// Its posts, one a row, labeled with the boat and the post.
    pub posts: Vec<SpringRow>,
    /// Its caps, labeled with the boat.
    pub caps: Vec<SpringRow>,
}

/// One row: posts or caps of a boat, an offcut.
#[derive(Debug, Clone, PartialEq)]
pub struct SpringRow {
    /// As in a stock list: `post`, `film`, or the name of a supply.
    pub what: String,
    /// What is written on it.
    pub label: String,
    /// Width, m; zero where it has none.
    pub width: f64,
    /// Length, m; zero where it has none.
    pub length: f64,
    /// How many there should be.
    pub amount: u32,
    /// How many came back; `None` where nobody counted yet.
    pub back: Option<u32>,
}

/// What a season leaves for spring: posts of lumber and caps by boat, offcuts of film that are kept.
#[must_use]
pub fn spring_list(season: &Season, book: &PriceBook) -> SpringList {
    let mut boats = Vec::new();
    let mut baled = 0.0;
    let mut works: Vec<(usize, u32)> = season.works.clone();
    works.sort_unstable();
    for (job, copy) in &works {
        let Some(covered) = season.covered.get(*job) else {
            continue;
        };
        baled += covered.planned.materials.baled;
        boats.push(off_boat(covered, *copy, book));
    }
    SpringList {
        boats,
        offcuts: offcuts(season, book),
        baled,
    }
}

fn off_boat(covered: &Covered, copy: u32, book: &PriceBook) -> SpringBoat {
    let name = boat_label(&covered.job, copy);
    let posts = &covered.planned.materials.posts;
    let set = covered.job.posts == PostKind::Adjustable;
    let post = |post: &PostPiece| {
        let adjustable = set && book.adjustable(post.cut).is_some();
        SpringRow {
            what: if adjustable { "adjustable" } else { "post" }.to_owned(),
            label: format!("{name} {}", post.id),
            width: 0.0,
            length: post.cut,
            amount: 1,
            back: None,
        }
    };
    let caps = |used_for: Use| {
        let supply = book.supply(used_for).filter(|_| !posts.is_empty())?;
        Some(SpringRow {
            what: supply.name.clone(),
            label: name.clone(),
            width: 0.0,
            length: 0.0,
            amount: posts.len() as u32,
            back: None,
        })
    };
    SpringBoat {
        posts: posts.iter().map(post).collect(),
        caps: [Use::TopCap, Use::BaseCap]
            .into_iter()
            .filter_map(caps)
            .collect(),
        name,
    }
}

/// The rests of rolls that are worth keeping: `offcut 1` ...
fn offcuts(season: &Season, book: &PriceBook) -> Vec<SpringRow> {
    let kept = season.film.cuts.iter().filter(|cut| is_kept(cut, book));
    kept.enumerate()
        .filter_map(|(index, cut)| {
            Some(SpringRow {
                what: "film".to_owned(),
                label: format!("offcut {}", index + 1),
                width: season.film.sources.get(cut.source)?.width,
                length: cut.rest,
                amount: 1,
                back: None,
            })
        })
        .collect()
}

/// The columns of a spring list: those of a stock list, and what came back.
pub const SPRING_COLUMNS: [&str; 6] = ["what", "label", "width", "length", "amount", "back"];

impl SpringList {
    /// All its rows: boat by boat, then offcuts.
    pub fn rows(&self) -> impl Iterator<Item = &SpringRow> {
        let boats = self.boats.iter();
        let off = boats.flat_map(|boat| boat.posts.iter().chain(&boat.caps));
        off.chain(&self.offcuts)
    }

    /// The list as rows of cells under [`SPRING_COLUMNS`], to be filled in.
    #[must_use]
    pub fn cells(&self, units: UnitSystem) -> Vec<[String; 6]> {
        let length = |meters: f64| match meters {
            0.0 => String::new(),
            meters => units.format_length(meters),
        };
        let row = |row: &SpringRow| {
            [
                row.what.clone(),
                row.label.clone(),
                length(row.width),
                length(row.length),
                row.amount.to_string(),
                row.back.map_or_else(String::new, |back| back.to_string()),
            ]
        };
        self.rows().map(row).collect()
    }
}

/// Reads a spring list that was filled in: its rows, and what is wrong with others.
///
/// # Errors
/// The headings are not there.
pub fn read_spring(text: &str) -> Result<(Vec<SpringRow>, Vec<CellProblem>), Vec<CellProblem>> {
    let (list, mut problems) = Cells::read(text, &SPRING_COLUMNS, &SPRING_COLUMNS)?;
    let mut rows = Vec::new();
    for row in list.rows() {
        let mut own = Vec::new();
        let length = |column: &str, own: &mut Vec<CellProblem>| {
            row.read(column, own, |text| {
                parse_length(text).map_err(|error| (error.to_string(), error.hint()))
            })
            .unwrap_or(0.0)
        };
        let count = |column: &str, own: &mut Vec<CellProblem>| {
            row.read(column, own, |text| {
                text.parse::<u32>().map_err(|_| {
                    (
                        format!("'{text}' is no number of pieces"),
                        "a whole number".to_owned(),
                    )
                })
            })
        };
        let read = SpringRow {
            what: row.text("what").to_owned(),
            label: row.text("label").to_owned(),
            width: length("width", &mut own),
            length: length("length", &mut own),
            amount: count("amount", &mut own).unwrap_or(0),
            back: count("back", &mut own),
        };
        if own.is_empty() {
            rows.push(read);
        }
        problems.extend(own);
    }
    Ok((rows, problems))
}

/// What did not come back.
#[derive(Debug, Clone, PartialEq)]
pub struct Missing {
    /// The row.
    pub row: SpringRow,
    /// How many are missing.
    pub count: u32,
    /// What they cost anew; `None` where the price book has no price for them.
    pub cost: Option<Money>,
}

/// What went missing of a list that was filled in. A row that nobody counted is missing nothing: it is told apart by
/// [`uncounted`].
#[must_use]
pub fn missing(rows: &[SpringRow], book: &PriceBook) -> Vec<Missing> {
    rows.iter()
        .filter_map(|row| {
            let count = row.amount.saturating_sub(row.back?);
            (count > 0).then(|| Missing {
                cost: cost_anew(row, count, book),
                row: row.clone(),
                count,
            })
        })
        .collect()
}

/// Rows that nobody counted.
#[must_use]
pub fn uncounted(rows: &[SpringRow]) -> usize {
    rows.iter().filter(|row| row.back.is_none()).count()
}

fn cost_anew(row: &SpringRow, count: u32, book: &PriceBook) -> Option<Money> {
    let share = |price: Money, of: f64, whole: f64| price.part(of / whole);
    let one = match row.what.as_str() {
        "post" => {
            let stick = book.cheapest_stick(row.length)?;
            share(stick.price, row.length, stick.length)
        }
        "adjustable" => book.adjustable(row.length)?.price,
        "film" => {
            let roll = book.cheapest_roll(row.width)?;
            share(roll.price, row.length, roll.length)
        }
        name => {
            let supply = book.supplies.iter().find(|supply| supply.name == name)?;
            share(supply.price, 1.0, supply.pack)
        }
    };
    Some(one.times(u64::from(count)))
}

/// The stock list of next season: what came back, as rows under the columns of a stock list.
#[must_use]
pub fn next_stock(rows: &[SpringRow], units: UnitSystem) -> Vec<[String; 5]> {
    let length = |meters: f64| match meters {
        0.0 => String::new(),
        meters => units.format_length(meters),
    };
    rows.iter()
        .filter_map(|row| {
            let back = row.back.filter(|back| *back > 0)?;
            Some([
                row.what.clone(),
                row.label.clone(),
                length(row.width),
                length(row.length),
                back.to_string(),
            ])
        })
        .collect()
}
