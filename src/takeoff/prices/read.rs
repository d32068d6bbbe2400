//! The price book: as it is written, and how it is read with all its problems at once.

use super::{
    Adjustable, Labour, Per, PostPrices, PriceBook, Roll, Step, StepTime, Stick, Supply, Unit, Use,
};
use crate::boat::{Checker, Problems, Quantity, read_file};
use crate::takeoff::{Currency, Money};
use serde::Deserialize;
use serde_aux::prelude::serde_introspect;
use std::collections::BTreeSet;
use std::ops::RangeInclusive;

type Q = Option<Quantity>;

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename = "PriceBook")]
struct PriceBookFile {
    note: Option<String>,
    currency: CurrencyFile,
    film: FilmFile,
    posts: PostsFile,
    supplies: Vec<SupplyFile>,
    gas_efficiency: Option<f64>,
    labour: LabourFile,
    mark_up: Option<f64>,
    tax: Option<f64>,
    minimum: Option<f64>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct CurrencyFile {
    code: Option<String>,
    decimals: Option<u32>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct FilmFile {
    rolls: Vec<RollFile>,
    waste: Option<f64>,
    cut_loss: Q,
    least_offcut: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct RollFile {
    width: Q,
    length: Q,
    price: Option<f64>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct PostsFile {
    size: Option<String>,
    stock: Vec<StickFile>,
    kerf: Q,
    waste: Option<f64>,
    winters: Option<u32>,
    adjustable: Vec<AdjustableFile>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct StickFile {
    length: Q,
    price: Option<f64>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct AdjustableFile {
    from: Q,
    to: Q,
    price: Option<f64>,
    winters: Option<u32>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct SupplyFile {
    name: Option<String>,
    uses: Vec<Use>,
    pack: Q,
    price: Option<f64>,
    waste: Option<f64>,
    winters: Option<u32>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct LabourFile {
    rate: Option<f64>,
    people: Option<u32>,
    day: Option<f64>,
    steps: Vec<StepFile>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct StepFile {
    step: Option<StepName>,
    start: Option<f64>,
    each: Vec<(Per, f64)>,
}

/// Steps as they are written in a price book: like all its names, with a capital.
#[derive(Debug, Clone, Copy, Deserialize)]
enum StepName {
    Survey,
    Frame,
    Band,
    Film,
    Shrink,
    Finish,
    Spring,
}

impl From<StepName> for Step {
    fn from(step: StepName) -> Step {
        match step {
            StepName::Survey => Step::Survey,
            StepName::Frame => Step::Frame,
            StepName::Band => Step::Band,
            StepName::Film => Step::Film,
            StepName::Shrink => Step::Shrink,
            StepName::Finish => Step::Finish,
            StepName::Spring => Step::Spring,
        }
    }
}

/// Where to see how a price book looks.
const EXAMPLE: &str = "see demo-prices.ron among the assets of hulltent";

/// How a price is written.
const PRICE: &str = "12.5, in the currency's main unit";

/// Prices, in the currency's main unit; the least is a hundredth.
const PRICES: RangeInclusive<f64> = 0.01..=1e7;
/// Waste, mark-up and the like.
const WASTE: RangeInclusive<f64> = 0.0..=0.9;
/// Mark-up, as a part of the cost; beyond ten times the cost it is taken for a slip of the pen.
const MARK_UPS: RangeInclusive<f64> = 0.0..=9.0;
/// Widths of film, m.
const WIDTHS: RangeInclusive<f64> = 0.5..=25.0;
/// Lengths of rolls, m.
const ROLL_LENGTHS: RangeInclusive<f64> = 2.0..=500.0;
/// Lengths of lumber and posts, m.
const POST_LENGTHS: RangeInclusive<f64> = 0.1..=12.0;
/// Winters that something lasts.
const WINTERS: RangeInclusive<u32> = 1..=50;
/// Times, min.
const MINUTES: RangeInclusive<f64> = 0.0..=6000.0;

/// Reads a price book.
///
/// # Errors
/// Every problem found, each with its place and a hint. Text that is not RON, or a value of a wrong kind, ends the
/// reading there.
pub fn read(text: &str) -> Result<PriceBook, Problems> {
    read_file::<PriceBookFile, _>(text, known_fields, EXAMPLE, |file, check, _| {
        interpret(file, check)
    })
}

fn known_fields(place: &str) -> Vec<&'static str> {
    match place {
        "" => serde_introspect::<PriceBookFile>().to_vec(),
        "currency" => serde_introspect::<CurrencyFile>().to_vec(),
        "film" => serde_introspect::<FilmFile>().to_vec(),
        "film.rolls" => serde_introspect::<RollFile>().to_vec(),
        "posts" => serde_introspect::<PostsFile>().to_vec(),
        "posts.stock" => serde_introspect::<StickFile>().to_vec(),
        "posts.adjustable" => serde_introspect::<AdjustableFile>().to_vec(),
        "supplies" => serde_introspect::<SupplyFile>().to_vec(),
        "labour" => serde_introspect::<LabourFile>().to_vec(),
        "labour.steps" => serde_introspect::<StepFile>().to_vec(),
        _ => Vec::new(),
    }
}

fn interpret(file: PriceBookFile, check: &mut Checker) -> PriceBook {
    let currency = currency(file.currency, check);
    PriceBook {
        note: check.words("note", file.note),
        rolls: rolls(&file.film.rolls, check, &currency),
        film_waste: check.number("film.waste", file.film.waste, WASTE, "0.04"),
        cut_loss: check.required_length("film.cut_loss", &file.film.cut_loss, 0.0..=1.0, 0.05),
        least_offcut: check.required_length(
            "film.least_offcut",
            &file.film.least_offcut,
            0.5..=30.0,
            4.0,
        ),
        posts: posts(file.posts, check, &currency),
        supplies: supplies(file.supplies, check, &currency),
        gas_efficiency: check.number("gas_efficiency", file.gas_efficiency, 0.001..=1.0, "0.02"),
        labour: labour(file.labour, check, &currency),
        mark_up: check.number("mark_up", file.mark_up, MARK_UPS, "0.3"),
        tax: check.number("tax", file.tax, WASTE, "0.07, or 0"),
        minimum: currency.coins(check.number("minimum", file.minimum, 0.0..=1e7, "250, or 0")),
        currency,
    }
}

fn currency(file: CurrencyFile, check: &mut Checker) -> Currency {
    let code = check.words("currency.code", file.code);
    let is_code = code.len() == 3 && code.chars().all(|c| c.is_ascii_uppercase());
    if !code.is_empty() && !is_code {
        check.problem(
            "currency.code",
            format!("'{code}' is no code of a currency"),
            "three capital letters by ISO 4217, as EUR or USD",
        );
    }
    let decimals = file.decimals.unwrap_or(2);
    if decimals > 4 {
        check.problem(
            "currency.decimals",
            format!("{decimals} places after the point"),
            "at most 4: most currencies have 2",
        );
    }
    Currency {
        code,
        decimals: decimals.min(4),
    }
}

/// A price that the book must give and that is not zero.
fn price(check: &mut Checker, path: &str, value: Option<f64>, currency: &Currency) -> Money {
    if value == Some(0.0) {
        check.problem(
            path,
            "a price of zero",
            "give what it costs; what is there already belongs into the stock list, not into the price book",
        );
        return Money::ZERO;
    }
    currency.coins(check.number(path, value, PRICES, PRICE))
}

fn winters(check: &mut Checker, path: &str, value: Option<u32>) -> u32 {
    let value = value.unwrap_or(1);
    if !WINTERS.contains(&value) {
        check.problem(
            path,
            format!("{value} winters"),
            format!(
                "it must lie between {} and {}",
                WINTERS.start(),
                WINTERS.end()
            ),
        );
    }
    value.max(1)
}

fn rolls(files: &[RollFile], check: &mut Checker, currency: &Currency) -> Vec<Roll> {
    let mut rolls: Vec<Roll> = Vec::new();
    for (index, file) in files.iter().enumerate() {
        let at = |field: &str| format!("film.rolls[{index}].{field}");
        let roll = Roll {
            width: check.required_length(&at("width"), &file.width, WIDTHS, 5.0),
            length: check.required_length(&at("length"), &file.length, ROLL_LENGTHS, 30.0),
            price: price(check, &at("price"), file.price, currency),
        };
        if rolls
            .iter()
            .any(|other| other.width == roll.width && other.length == roll.length)
        {
            check.problem(
                &at("width"),
                "there are two rolls of this width and length",
                "leave the cheaper one",
            );
        }
        rolls.push(roll);
    }
    if rolls.is_empty() {
        check.problem("film.rolls", "there are no rolls", EXAMPLE);
    }
    rolls
}

fn posts(file: PostsFile, check: &mut Checker, currency: &Currency) -> PostPrices {
    let mut stock: Vec<Stick> = Vec::new();
    for (index, stick) in file.stock.iter().enumerate() {
        let at = |field: &str| format!("posts.stock[{index}].{field}");
        let length = check.required_length(&at("length"), &stick.length, POST_LENGTHS, 3.0);
        if stock.iter().any(|other| other.length == length) {
            check.problem(
                &at("length"),
                "there are two of this length",
                "leave the cheaper one",
            );
        }
        let price = price(check, &at("price"), stick.price, currency);
        stock.push(Stick { length, price });
    }
    if stock.is_empty() {
        check.problem("posts.stock", "there is no lumber for posts", EXAMPLE);
    }
    let mut adjustable = Vec::new();
    for (index, post) in file.adjustable.iter().enumerate() {
        let at = |field: &str| format!("posts.adjustable[{index}].{field}");
        let from = check.required_length(&at("from"), &post.from, POST_LENGTHS, 1.0);
        let to = check.required_length(&at("to"), &post.to, POST_LENGTHS, 2.0);
        if to < from {
            check.problem(
                &at("to"),
                "it reaches less far than where it starts",
                "`from` is the lesser length",
            );
        }
        adjustable.push(Adjustable {
            from,
            to,
            price: price(check, &at("price"), post.price, currency),
            winters: winters(check, &at("winters"), post.winters),
        });
    }
    PostPrices {
        size: check.words("posts.size", file.size),
        stock,
        kerf: check.required_length("posts.kerf", &file.kerf, 0.0..=0.02, 0.003),
        waste: check.number("posts.waste", file.waste, WASTE, "0.05"),
        winters: winters(check, "posts.winters", file.winters),
        adjustable,
    }
}

fn supplies(files: Vec<SupplyFile>, check: &mut Checker, currency: &Currency) -> Vec<Supply> {
    let mut supplies: Vec<Supply> = Vec::new();
    let mut covered: BTreeSet<Use> = BTreeSet::new();
    for (index, file) in files.into_iter().enumerate() {
        let at = |field: &str| format!("supplies[{index}].{field}");
        let name = check.words(&at("name"), file.name);
        if supplies.iter().any(|other| other.name == name) {
            check.problem(
                &at("name"),
                format!("there are two '{name}'"),
                "rename one of them",
            );
        }
        let Some(unit) = file.uses.first().map(|first| first.unit()) else {
            check.missing(&at("uses"), "[Tape], or whatever it is used for");
            continue;
        };
        for used_for in &file.uses {
            if used_for.unit() != unit {
                check.problem(
                    &at("uses"),
                    format!("{used_for:?} is not counted like the uses before it"),
                    "give it a supply of its own",
                );
            }
            if !covered.insert(*used_for) {
                check.problem(
                    &at("uses"),
                    format!("{used_for:?} has a supply already"),
                    "leave it in one of them",
                );
            }
        }
        supplies.push(Supply {
            pack: pack(check, &at("pack"), &file.pack, unit),
            price: price(check, &at("price"), file.price, currency),
            waste: check.number(&at("waste"), file.waste, WASTE, "0.03, or 0"),
            winters: winters(check, &at("winters"), file.winters),
            uses: file.uses,
            name,
        });
    }
    let lacking: Vec<String> = Use::ALL
        .iter()
        .filter(|used_for| !covered.contains(used_for))
        .map(|used_for| format!("{used_for:?}"))
        .collect();
    if !lacking.is_empty() {
        let hint = if supplies.is_empty() {
            EXAMPLE.to_owned()
        } else {
            format!("add a supply with uses: [{}]", lacking.join(", "))
        };
        check.problem(
            "supplies",
            format!("nothing is there for {}", lacking.join(", ")),
            hint,
        );
    }
    supplies
}

/// What is in a pack: a number of pieces, a length, a mass.
fn pack(check: &mut Checker, path: &str, pack: &Q, unit: Unit) -> f64 {
    let example = match unit {
        Unit::Pieces => "\"25\"",
        Unit::Meters => "\"1500 ft\"",
        _ => "\"20 lb\"",
    };
    let Some(written) = pack else {
        check.missing(path, example);
        return 1.0;
    };
    let read = match unit {
        Unit::Pieces => {
            let text = written.text();
            let count = text.trim().parse::<u32>().ok().filter(|count| *count > 0);
            if count.is_none() {
                check.problem(
                    path,
                    format!("'{text}' is not a number of pieces"),
                    format!("write a whole number, as {example}"),
                );
            }
            count.map(f64::from)
        }
        Unit::Meters => check.length(path, pack, 0.01..=1e5),
        Unit::Kilograms | Unit::Hours => check.mass(path, pack, 0.01..=1e4),
    };
    read.unwrap_or(1.0)
}

fn labour(file: LabourFile, check: &mut Checker, currency: &Currency) -> Labour {
    let people = file.people.unwrap_or(2);
    if !(1..=20).contains(&people) {
        check.problem(
            "labour.people",
            format!("a crew of {people}"),
            "it must lie between 1 and 20",
        );
    }
    let mut steps: Vec<StepTime> = Vec::new();
    for (index, step) in file.steps.into_iter().enumerate() {
        let at = |field: &str| format!("labour.steps[{index}].{field}");
        let Some(name) = step.step.map(Step::from) else {
            check.missing(&at("step"), "Frame");
            continue;
        };
        if steps.iter().any(|other| other.step == name) {
            check.problem(
                &at("step"),
                format!("'{}' is there twice", name.word()),
                "put both into one",
            );
        }
        for (per, minutes) in &step.each {
            if !MINUTES.contains(minutes) {
                check.problem(
                    &at("each"),
                    format!("{minutes} minutes for each {per:?}"),
                    format!(
                        "it must lie between {} and {}",
                        MINUTES.start(),
                        MINUTES.end()
                    ),
                );
            }
        }
        steps.push(StepTime {
            step: name,
            start: check.number(&at("start"), step.start, MINUTES, "15, in minutes"),
            each: step.each,
        });
    }
    if !Step::AUTUMN
        .iter()
        .any(|wanted| steps.iter().any(|step| step.step == *wanted))
    {
        check.problem("labour.steps", "there are no times for the work", EXAMPLE);
    }
    steps.sort_by_key(|step| step.step);
    Labour {
        rate: price(check, "labour.rate", file.rate, currency),
        people: people.max(1),
        day: check.number("labour.day", file.day, 1.0..=16.0, "8, in hours"),
        steps,
    }
}
