//! The summary of a season: what it comes to, and what wants a look.

use super::calendar::late;
use super::charts::charts;
use super::cutting::cost_sentence;
use crate::season::{Covered, Season, boat_label, film_use};
use crate::sheet::list_pages::{headed, unheaded};
use crate::sheet::{Block, Column, Drawing, Paper, Point, Sheet, Table};
use crate::takeoff::prices::Step;
use crate::takeoff::{Money, PriceBook};
use crate::units::UnitSystem;

/// The summary as a page.
#[must_use]
pub fn summary_sheet(season: &Season, book: &PriceBook, units: UnitSystem) -> Sheet {
    let mut blocks = vec![
        Block::Heading("What the season comes to".to_owned()),
        Block::Table(totals(season, book, units)),
        Block::Heading("Film".to_owned()),
        Block::Paragraph(cost_sentence(&season.film, book)),
        Block::Heading("Posts".to_owned()),
        Block::Paragraph(cost_sentence(&season.posts.cut, book)),
    ];
    blocks.extend(watch(season, units));
    blocks.extend(learned(season));
    blocks.push(Block::Paragraph(format!("Prices: {}.", book.note)));
    blocks.push(Block::Paragraph(
        "Plans are a planning check only: local building and fire codes, the makers' instructions and licensed \
         engineers decide."
            .to_owned(),
    ));
    Sheet {
        title: "Season".to_owned(),
        blocks,
    }
}

/// The same on paper, with what it comes to week by week, by step and by cost as bars.
#[must_use]
pub fn summary_pages(
    season: &Season,
    book: &PriceBook,
    units: UnitSystem,
    paper: Paper,
) -> Vec<Drawing> {
    let sheet = summary_sheet(season, book, units);
    let mut pages = unheaded(&sheet, paper);
    charts(&mut pages, season, book, units, paper);
    headed(
        pages,
        &sheet.title,
        "What it comes to, and what wants a look",
        paper,
    )
}

fn totals(season: &Season, book: &PriceBook, units: UnitSystem) -> Table {
    let boats: u32 = season.covered.iter().map(|covered| covered.job.count).sum();
    let all = |of: &dyn Fn(&Covered) -> f64| -> f64 {
        season
            .covered
            .iter()
            .map(|covered| of(covered) * f64::from(covered.job.count))
            .sum()
    };
    let priced = season.covered.iter().filter_map(|covered| {
        let quote = covered.quote.as_ref().ok()?;
        Some(quote.net.times(u64::from(covered.job.count)))
    });
    let used = film_use(&season.film, book);
    let hours = all(&|covered| covered.hours.autumn());
    let money = |money: Money| book.money(money);
    let mut rows = vec![
        ["boats to cover".to_owned(), boats.to_string()],
        [
            "jobs that could not be planned".to_owned(),
            season.failed.len().to_string(),
        ],
        [
            "covers that shed".to_owned(),
            part_of(season, &|_| true, &|covered| {
                covered.planned.lacks.is_empty()
            }),
        ],
        [
            "covers that stand their site's loads".to_owned(),
            part_of(
                season,
                &|covered| covered.planned.loads.is_some(),
                &|covered| {
                    covered
                        .planned
                        .loads
                        .as_ref()
                        .is_some_and(|loads| loads.stands)
                },
            ),
        ],
        [
            "quotes together, before tax".to_owned(),
            money(priced.sum()),
        ],
        ["to buy".to_owned(), money(season.purchase.total)],
        ["film begun".to_owned(), units.format_area(used.begun)],
        [
            "film on the boats".to_owned(),
            units.format_area(all(&|c| c.planned.materials.covered)),
        ],
        [
            "film to bale in spring".to_owned(),
            units.format_mass(all(&|c| c.planned.materials.baled)),
        ],
        [
            "support posts".to_owned(),
            format!("{:.0}", all(&|c| c.planned.materials.posts.len() as f64)),
        ],
        [
            "vents".to_owned(),
            format!("{:.0}", all(&|c| c.planned.materials.vents as f64)),
        ],
        [
            "hours in autumn".to_owned(),
            format!(
                "{hours:.0} of one person, {:.0} of a crew of {}",
                hours / f64::from(book.labour.people.max(1)),
                book.labour.people
            ),
        ],
    ];
    if let Some(rota) = &season.rota {
        let first = rota.shifts.iter().map(|shift| shift.date).min();
        let last = rota.shifts.iter().map(|shift| shift.date).max();
        if let (Some(first), Some(last)) = (first, last) {
            rows.push([
                "first and last day".to_owned(),
                format!("{first} to {last}"),
            ]);
        }
        rows.push([
            "boats that are late".to_owned(),
            rota.late.len().to_string(),
        ]);
    }
    Table {
        columns: vec![Column::words("What"), Column::words("How much")],
        rows: rows.into_iter().map(Vec::from).collect(),
        by_hand: false,
    }
}

/// How many boats are so, of those that can be: `3 of 5`.
fn part_of(
    season: &Season,
    of: &dyn Fn(&Covered) -> bool,
    are: &dyn Fn(&Covered) -> bool,
) -> String {
    let count = |keep: &dyn Fn(&Covered) -> bool| -> u32 {
        let kept = season.covered.iter().filter(|covered| keep(covered));
        kept.map(|covered| covered.job.count).sum()
    };
    match count(of) {
        0 => "not checked: no job has a site".to_owned(),
        all => format!("{} of {all}", count(are)),
    }
}

/// What wants a look before the season starts.
fn watch(season: &Season, units: UnitSystem) -> Vec<Block> {
    let mut blocks = Vec::new();
    let mut add = |heading: &str, points: Vec<Point>| {
        if !points.is_empty() {
            blocks.push(Block::Heading(heading.to_owned()));
            blocks.push(Block::Points(points));
        }
    };
    let point = |mark: String, text: String| Point { mark, text };
    let failed = season.failed.iter();
    add(
        "Not planned",
        failed
            .map(|failed| {
                let mark = if failed.row > 0 {
                    format!("row {}", failed.row)
                } else {
                    "-".to_owned()
                };
                point(
                    mark,
                    format!("{}: {}", failed.name, failed.problems.join("; ")),
                )
            })
            .collect(),
    );
    let system = usize::from(units == UnitSystem::Metric);
    let short = season
        .covered
        .iter()
        .filter(|covered| !covered.planned.lacks.is_empty());
    add(
        "Covers that fall short: look at them with `hulltent plan`",
        short
            .map(|covered| {
                let lacks = covered.planned.lacks.iter();
                let told: Vec<&str> = lacks
                    .filter_map(|lack| lack.get(system).map(String::as_str))
                    .collect();
                point(covered.job.name.clone(), told.join("; "))
            })
            .collect(),
    );
    let loaded = season.covered.iter().filter_map(|covered| {
        let loads = covered.planned.loads.as_ref()?;
        (!loads.stands).then(|| {
            point(
                covered.job.name.clone(),
                format!(
                    "{}: demand is {:.2} of capacity",
                    loads.governing, loads.ratio
                ),
            )
        })
    });
    add(
        "Covers that do not stand their site's loads (a planning check)",
        loaded.collect(),
    );
    let unpriced = season.covered.iter().filter_map(|covered| {
        let error = covered.quote.as_ref().err()?;
        Some(point(covered.job.name.clone(), error.clone()))
    });
    add("Without a price", unpriced.collect());
    add(
        "Late",
        late(season).into_iter().map(Point::dashed).collect(),
    );
    let mut hardest: Vec<&Covered> = season.covered.iter().collect();
    hardest.sort_by(|a, b| b.hours.of(Step::Frame).total_cmp(&a.hours.of(Step::Frame)));
    add(
        "Hardest frames",
        hardest
            .into_iter()
            .take(5)
            .map(|covered| {
                point(
                    boat_label(&covered.job, 1),
                    format!(
                        "{} posts, {:.1} h of one person on the frame",
                        covered.planned.materials.posts.len(),
                        covered.hours.of(Step::Frame)
                    ),
                )
            })
            .collect(),
    );
    blocks
}

fn learned(season: &Season) -> Vec<Block> {
    let steps = &season.learned.steps;
    if steps.is_empty() {
        return vec![Block::Paragraph(
            "Hours are the price book's: fewer than three jobs were recorded.".to_owned(),
        )];
    }
    let rows = steps.iter().map(|(step, found)| {
        vec![
            step.word().to_owned(),
            format!("{:.2} +- {:.2}", found.factor, found.error),
            format!("{:.2} h", found.spread),
            found.jobs.to_string(),
        ]
    });
    vec![
        Block::Heading("Hours learned from recorded jobs".to_owned()),
        Block::Table(Table {
            columns: vec![
                Column::words("Step"),
                Column::numbers("Taken over price book"),
                Column::numbers("Spread of a job"),
                Column::numbers("Jobs"),
            ],
            rows: rows.collect(),
            by_hand: false,
        }),
    ]
}
