//! The summary's bars: boats and hours week by week, hours by step, what is bought by what it costs.

use super::purchase::article_words;
use crate::season::{Article, Season};
use crate::sheet::Paper;
use crate::sheet::drawing::{Align, Drawing, Fill, Pen};
use crate::sheet::list_pages::inside;
use crate::sheet::page_head::fitted;
use crate::takeoff::PriceBook;
use crate::takeoff::prices::Step;
use crate::units::UnitSystem;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Heights of words, of headings, of a row and of its bar, mm.
const WORDS: f64 = 2.7;
const HEADING: f64 = 3.3;
const ROW: f64 = 4.1;
const BAR: f64 = 3.0;

/// Room for what stands left of a bar and right of the longest one, and white before a heading, mm.
const LEFT: f64 = 44.0;
const RIGHT: f64 = 62.0;
const BEFORE: f64 = 4.0;

const PEN: Pen = Pen {
    width: 0.2,
    gray: 0.0,
    dash: None,
    rim: false,
};

/// A row of a chart: what it is of, how long its bar is, what stands at the bar's end.
struct Row {
    name: String,
    value: f64,
    told: String,
}

/// Draws the charts under what stands on the last page, each whole, on further pages where need be.
pub(super) fn charts(
    pages: &mut Vec<Drawing>,
    season: &Season,
    book: &PriceBook,
    units: UnitSystem,
    paper: Paper,
) {
    let all = [
        ("Week by week", weeks(season)),
        ("Hours of one person by step", steps(season)),
        ("What is bought, by cost", bought(season, book, units)),
    ];
    let [_, top, _, bottom] = inside(paper);
    let mut start = pages
        .last()
        .map_or(bottom, |page| page.bounds()[3] + BEFORE);
    for (title, rows) in all.into_iter().filter(|(_, rows)| !rows.is_empty()) {
        let high = HEADING + 1.5 + ROW * rows.len() as f64;
        if start + high > bottom || pages.is_empty() {
            pages.push(Drawing::part());
            start = top;
        }
        if let Some(page) = pages.last_mut() {
            chart(page, title, &rows, start, paper);
        }
        start += high + BEFORE;
    }
}

fn chart(page: &mut Drawing, title: &str, rows: &[Row], top: f64, paper: Paper) {
    let [left, _, right, _] = inside(paper);
    page.words([left, top + HEADING], title, HEADING, Align::Start, true);
    let most = rows.iter().map(|row| row.value).fold(0.0, f64::max);
    let room = right - left - LEFT - RIGHT;
    for (index, row) in rows.iter().enumerate() {
        let upper = top + HEADING + 1.5 + ROW * index as f64;
        let (lower, base) = (upper + BAR, upper + BAR - 0.4);
        let name = fitted(&row.name, LEFT - 2.0, WORDS);
        page.words([left, base], name, WORDS, Align::Start, false);
        let long = if most > 0.0 {
            room * row.value / most
        } else {
            0.0
        };
        let from = left + LEFT;
        let outline = vec![
            [from, upper],
            [from + long, upper],
            [from + long, lower],
            [from, lower],
        ];
        page.outline(outline, Some(Fill::Gray(0.72)), PEN);
        page.words(
            [from + long + 1.5, base],
            row.told.clone(),
            WORDS,
            Align::Start,
            false,
        );
    }
}

/// The Monday of a day's week.
fn monday(date: Date) -> Date {
    let back = i64::from(date.weekday().to_monday_zero_offset());
    date.checked_sub(jiff::Span::new().days(back))
        .unwrap_or(date)
}

/// Crew hours of each week, with the boats that are finished in it and those that are due.
fn weeks(season: &Season) -> Vec<Row> {
    #[derive(Default)]
    struct Week {
        hours: f64,
        done: usize,
        due: usize,
    }
    let Some(rota) = &season.rota else {
        return Vec::new();
    };
    let mut weeks: BTreeMap<Date, Week> = BTreeMap::new();
    for shift in &rota.shifts {
        let week = weeks.entry(monday(shift.date)).or_default();
        week.hours += shift.hours;
        week.done += usize::from(shift.part == shift.of);
    }
    for (job, _) in &season.works {
        let due = season.covered.get(*job).and_then(|covered| covered.job.due);
        if let Some(week) = due.and_then(|due| weeks.get_mut(&monday(due))) {
            week.due += 1;
        }
    }
    let row = |(monday, week): (Date, Week)| Row {
        name: format!("from {monday}"),
        value: week.hours,
        told: format!(
            "{:.0} crew hours, {} done, {} due",
            week.hours, week.done, week.due
        ),
    };
    weeks.into_iter().map(row).collect()
}

fn steps(season: &Season) -> Vec<Row> {
    let hours = |step: Step| -> f64 {
        let covered = season.covered.iter();
        covered
            .map(|covered| covered.hours.of(step) * f64::from(covered.job.count))
            .sum()
    };
    Step::ALL
        .into_iter()
        .map(|step| {
            let hours = hours(step);
            Row {
                name: step.word().to_owned(),
                value: hours,
                told: format!("{hours:.0} h"),
            }
        })
        .filter(|row| row.value > 0.0)
        .collect()
}

/// So many kinds of goods have a bar of their own.
const MAX_KINDS: usize = 5;

/// Costs of what is bought, film and posts as one each, the dearest first, the cheapest together.
fn bought(season: &Season, book: &PriceBook, units: UnitSystem) -> Vec<Row> {
    let mut costs: BTreeMap<String, i64> = BTreeMap::new();
    for line in &season.purchase.lines {
        let name = match &line.what {
            Article::Film { .. } => "film".to_owned(),
            Article::Lumber { size, .. } => format!("posts of {size}"),
            Article::Adjustable { .. } => "posts to set".to_owned(),
            supply @ Article::Supply(_) => article_words(supply, units),
        };
        *costs.entry(name).or_default() += line.cost.0;
    }
    let mut costs: Vec<_> = costs.into_iter().filter(|(_, cost)| *cost > 0).collect();
    costs.sort_by_key(|(_, cost)| std::cmp::Reverse(*cost));
    if costs.len() > MAX_KINDS + 1 {
        let rest: i64 = costs.drain(MAX_KINDS..).map(|(_, cost)| cost).sum();
        costs.push(("all else".to_owned(), rest));
    }
    let row = |(name, cost): (String, i64)| Row {
        name,
        value: cost as f64,
        told: book.money(crate::takeoff::Money(cost)),
    };
    costs.into_iter().map(row).collect()
}
