//! A quote for other programs: CSV and JSON.

use super::ExportError;
use super::number::rounded;
use crate::plan::Plan;
use crate::takeoff::{Line, Money, Quote};
use serde::Serialize;

/// A quote's columns.
const COLUMNS: [&str; 8] = [
    "part", "what", "amount", "unit", "waste", "winters", "cost", "prices",
];

/// A quote's lines and sums as CSV, for the yard: one row a line, amounts in SI. The last column
/// says where the prices are from.
///
/// # Errors
/// When the writer refuses, which it does for no quote.
pub fn quote_csv(quote: &Quote) -> Result<String, ExportError> {
    let mut rows = Vec::new();
    for (part, lines) in [("materials", &quote.materials), ("labour", &quote.labour)] {
        rows.extend(lines.iter().map(|line| {
            [
                part.to_owned(),
                line.what.clone(),
                rounded(line.amount).to_string(),
                line.unit.sign().to_owned(),
                rounded(line.waste).to_string(),
                line.winters.to_string(),
                quote.currency.plain(line.cost),
                quote.note.clone(),
            ]
        }));
    }
    let unit = &quote.currency.code;
    for (what, money) in sums(quote) {
        let money = quote.currency.plain(money);
        rows.push([
            "price".to_owned(),
            what.to_owned(),
            String::new(),
            unit.clone(),
            String::new(),
            String::new(),
            money,
            quote.note.clone(),
        ]);
    }
    super::csv_table(&COLUMNS, rows)
}

fn sums(quote: &Quote) -> [(&'static str, Money); 7] {
    [
        ("materials", quote.materials_cost),
        ("labour", quote.labour_cost),
        ("mark-up", quote.mark_up),
        ("up to the least price", quote.to_minimum),
        ("before tax", quote.net),
        ("tax", quote.tax),
        ("to pay", quote.total),
    ]
}

/// A quote as a record.
#[derive(Debug, Serialize)]
struct QuoteRecord<'a> {
    /// The boat's name.
    boat: &'a str,
    /// Width of the roll that the film is priced from, m.
    roll: f64,
    /// What the price book says about itself.
    note: &'a str,
    /// By ISO 4217; all amounts of money are in its main unit.
    currency: &'a str,
    /// Whether the cover sheds, and stands its loads where it was planned for a site.
    good: bool,
    materials: Vec<LineRecord<'a>>,
    labour: Vec<LineRecord<'a>>,
    materials_cost: f64,
    labour_cost: f64,
    mark_up: f64,
    to_minimum: f64,
    net: f64,
    tax_rate: f64,
    tax: f64,
    total: f64,
    /// Of one person, all steps.
    hours: f64,
    /// Of one job about them, where hours were learned.
    hours_spread: Option<f64>,
    learned_from: usize,
    people: u32,
}

#[derive(Debug, Serialize)]
struct LineRecord<'a> {
    what: &'a str,
    amount: f64,
    unit: &'static str,
    waste: f64,
    winters: u32,
    cost: f64,
}

fn lines<'a>(lines: &'a [Line], money: &impl Fn(Money) -> f64) -> Vec<LineRecord<'a>> {
    let record = |line: &'a Line| LineRecord {
        what: &line.what,
        amount: rounded(line.amount),
        unit: line.unit.sign(),
        waste: rounded(line.waste),
        winters: line.winters,
        cost: money(line.cost),
    };
    lines.iter().map(record).collect()
}

/// A quote as JSON for other programs, amounts in SI.
///
/// # Errors
/// When the writer refuses, which it does for no quote.
pub fn quote_json(plan: &Plan, quote: &Quote) -> Result<String, ExportError> {
    let money = |money| rounded(quote.currency.amount(money));
    let record = QuoteRecord {
        boat: &plan.boat.name,
        roll: rounded(quote.roll),
        note: &quote.note,
        currency: &quote.currency.code,
        good: plan.is_good(),
        materials: lines(&quote.materials, &money),
        labour: lines(&quote.labour, &money),
        materials_cost: money(quote.materials_cost),
        labour_cost: money(quote.labour_cost),
        mark_up: money(quote.mark_up),
        to_minimum: money(quote.to_minimum),
        net: money(quote.net),
        tax_rate: rounded(quote.tax_rate),
        tax: money(quote.tax),
        total: money(quote.total),
        hours: rounded(quote.hours),
        hours_spread: quote.spread.map(rounded),
        learned_from: quote.learned_from,
        people: quote.people,
    };
    let mut text =
        serde_json::to_string_pretty(&record).map_err(|error| ExportError::new("JSON", error))?;
    text.push('\n');
    Ok(text)
}
