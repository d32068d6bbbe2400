//! What a yard has: rolls and their offcuts, lumber, last year's posts, supplies.

use super::cells::{CellProblem, Cells, Row};
use crate::boat::suggest;
use crate::takeoff::PriceBook;
use crate::takeoff::prices::{Supply, Unit};
use crate::units::{UnitError, parse_length, parse_mass};

/// What is there.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct StockList {
    /// Rolls and offcuts of film.
    pub film: Vec<HeldFilm>,
    /// Lumber that was not cut yet.
    pub lumber: Vec<HeldLumber>,
    /// Posts of last year.
    pub posts: Vec<HeldPost>,
    /// Posts that are set to their height: the length that one is set to, m, and how many.
    pub adjustable: Vec<(f64, u32)>,
    /// Supplies by their place in the price book, in their unit; several rows of one add up.
    pub supplies: Vec<(usize, f64)>,
}

/// Film that is there.
#[derive(Debug, Clone, PartialEq)]
pub struct HeldFilm {
    /// What is written on it.
    pub label: String,
    /// Width, m.
    pub width: f64,
    /// Length, m.
    pub length: f64,
    /// How many such.
    pub count: u32,
}

/// Lumber that is there.
#[derive(Debug, Clone, PartialEq)]
pub struct HeldLumber {
    /// Length, m.
    pub length: f64,
    /// How many.
    pub count: u32,
}

/// A post that was kept.
#[derive(Debug, Clone, PartialEq)]
pub struct HeldPost {
    /// What is written on it: job and post, as `Wren P1`.
    pub label: String,
    /// Length without its caps, m.
    pub length: f64,
}

/// The columns of a stock list.
pub const COLUMNS: [&str; 5] = ["what", "label", "width", "length", "amount"];

/// The same with `note`: free words that are not read.
const KNOWN: [&str; 6] = ["what", "label", "width", "length", "amount", "note"];

/// What is no supply of the price book.
const KINDS: [&str; 4] = ["film", "lumber", "post", "adjustable"];

/// Most rolls, sticks or posts in one row.
const MOST: u32 = 100_000;

/// Reads a stock list: what can be read, and what is wrong with the other rows.
///
/// # Errors
/// The headings are not there.
pub fn read_stock(
    text: &str,
    book: &PriceBook,
) -> Result<(StockList, Vec<CellProblem>), Vec<CellProblem>> {
    let (list, mut problems) = Cells::read(text, &KNOWN, &["what", "amount"])?;
    let mut stock = StockList::default();
    for row in list.rows() {
        let mut own = Vec::new();
        let what = row.text("what").to_lowercase();
        match what.as_str() {
            "film" => {
                let film = HeldFilm {
                    label: row.text("label").to_owned(),
                    width: length(&row, "width", &mut own),
                    length: length(&row, "length", &mut own),
                    count: count(&row, &mut own),
                };
                keep(&mut stock.film, film, &own);
            }
            "lumber" => {
                let lumber = HeldLumber {
                    length: length(&row, "length", &mut own),
                    count: count(&row, &mut own),
                };
                keep(&mut stock.lumber, lumber, &own);
            }
            "post" => {
                let post = HeldPost {
                    label: row.text("label").to_owned(),
                    length: length(&row, "length", &mut own),
                };
                let count = count(&row, &mut own);
                for _ in 0..count.min(MOST) {
                    keep(&mut stock.posts, post.clone(), &own);
                }
            }
            "adjustable" => {
                let set = (length(&row, "length", &mut own), count(&row, &mut own));
                keep(&mut stock.adjustable, set, &own);
            }
            _ => {
                if let Some((place, supply)) = supply(&row, book, &mut own) {
                    let amount = row.read("amount", &mut own, |text| amount(text, supply.unit()));
                    keep(&mut stock.supplies, (place, amount.unwrap_or(0.0)), &own);
                }
            }
        }
        problems.extend(own);
    }
    problems.sort_by_key(|problem| problem.row);
    Ok((stock, problems))
}

fn keep<T>(list: &mut Vec<T>, item: T, problems: &[CellProblem]) {
    if problems.is_empty() {
        list.push(item);
    }
}

fn length(row: &Row, column: &str, problems: &mut Vec<CellProblem>) -> f64 {
    if row.given(column).is_none() {
        let what = format!("no {column}");
        problems.push(row.problem(column, what, "as measured, with its unit"));
        return 0.0;
    }
    row.read(column, problems, |text| match parse_length(text) {
        Ok(length) if length > 0.0 && length < 1e4 => Ok(length),
        Ok(_) => Err(("out of range".to_owned(), "as measured".to_owned())),
        Err(error) => Err(told(&error)),
    })
    .unwrap_or(0.0)
}

fn told(error: &UnitError) -> (String, String) {
    (error.to_string(), error.hint())
}

/// A number of things; an empty cell is one.
fn count(row: &Row, problems: &mut Vec<CellProblem>) -> u32 {
    let read = row.read("amount", problems, |text| {
        match text.parse::<u32>().ok().filter(|count| *count <= MOST) {
            Some(count) => Ok(count),
            None => Err((
                format!("'{text}' is no number of pieces"),
                "a whole number".to_owned(),
            )),
        }
    });
    read.unwrap_or(1)
}

fn supply<'a>(
    row: &Row,
    book: &'a PriceBook,
    problems: &mut Vec<CellProblem>,
) -> Option<(usize, &'a Supply)> {
    let what = row.text("what");
    let named = |supply: &Supply| supply.name.to_lowercase() == what.to_lowercase();
    let found = book
        .supplies
        .iter()
        .enumerate()
        .find(|(_, supply)| named(supply));
    if found.is_none() {
        let names = book.supplies.iter().map(|supply| supply.name.as_str());
        let known: Vec<&str> = KINDS.into_iter().chain(names).collect();
        problems.push(row.problem(
            "what",
            format!("'{what}' is not in the price book"),
            match suggest(what, known.iter().copied()) {
                Some(near) => format!("did you mean '{near}'?"),
                None => format!("one of {}", known.join(", ")),
            },
        ));
    }
    found
}

/// An amount in a supply's unit.
fn amount(text: &str, unit: Unit) -> Result<f64, (String, String)> {
    let read = match unit {
        Unit::Meters => parse_length(text).map_err(|error| told(&error))?,
        Unit::Kilograms => parse_mass(text).map_err(|error| told(&error))?,
        Unit::Pieces | Unit::Hours => text.parse::<f64>().map_err(|_| {
            (
                format!("'{text}' is no number"),
                "a whole number".to_owned(),
            )
        })?,
    };
    if (0.0..1e9).contains(&read) {
        Ok(read)
    } else {
        Err((
            "out of range".to_owned(),
            "what is there, or nothing".to_owned(),
        ))
    }
}

impl StockList {
    /// How much of a supply is there, in its unit.
    #[must_use]
    pub fn of_supply(&self, place: usize) -> f64 {
        let of = |(supply, _): &&(usize, f64)| *supply == place;
        self.supplies
            .iter()
            .filter(of)
            .map(|(_, amount)| amount)
            .fold(0.0, |all, amount| all + amount)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stock_list_is_read_row_by_row() {
        let book = PriceBook::demo().unwrap();
        let text = "what,label,width,length,amount\n\
            film,offcut 3,16 ft,31 ft,1\n\
            Film,,14 ft,100 ft,2\n\
            lumber,,,8 ft,12\n\
            post,Wren P1,,4'2\",\n\
            vent,,,,35\n\
            Propane,,,,40 lb\n\
            woven strap 1/2 in,,,,900 ft\n\
            vent,,,,5\n\
            vnet,,,,5\n\
            film,,16 ft,,1\n\
            film,,16 furlongs,30 ft,1\n\
            film tape 4 in,,,,3\n\
            vent,,,,-3\n";
        let (stock, problems) = read_stock(text, &book).unwrap();
        assert_eq!(
            (stock.film.len(), stock.lumber.len(), stock.posts.len()),
            (2, 1, 1)
        );
        assert_eq!(stock.film[1].count, 2);
        let place = |name: &str| book.supplies.iter().position(|s| s.name == name).unwrap();
        assert_eq!(stock.of_supply(place("vent")), 40.0);
        assert!((stock.of_supply(place("propane")) - 18.143_694_8).abs() < 1e-6);
        assert!((stock.of_supply(place("woven strap 1/2 in")) - 274.32).abs() < 1e-9);
        let told: Vec<(usize, &str)> = problems
            .iter()
            .map(|problem| (problem.row, problem.column.as_str()))
            .collect();
        let wanted = [
            (10, "what"),
            (11, "length"),
            (12, "width"),
            (13, "amount"),
            (14, "amount"),
        ];
        assert_eq!(told, wanted);
        assert!(problems[0].hint.contains("did you mean 'vent'"));
        assert!(problems[3].what.contains("no unit"), "{}", problems[3]);
    }
}
