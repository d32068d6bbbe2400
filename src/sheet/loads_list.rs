//! Loads as tables: what is asked, what can be done, whether it holds, and where that is from.

use super::advice_list::strengthening;
use super::{Block, Column, Point, Table, words};
use crate::loads::{
    CAUTION, Case, Check, Kind, LEAVES_OUT, Loaded, Loads, MAX_SNOW, Outcome, Quantity,
    SnowCapacity, snow, sources as load_sources,
};
use crate::plan::Plan;
use crate::units::UnitSystem;

/// All of a plan's loads: the site, every check with its source, each case, the greatest snow. Nothing where the plan was
/// made for no site.
pub(super) fn blocks(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let Some(loads) = &plan.loads else {
        return Vec::new();
    };
    let mut blocks = verdict(loads, units);
    blocks.extend(strengthening(plan, units));
    if !loads.checks.is_empty() {
        blocks.push(Block::Heading("Checks".to_owned()));
        blocks.push(Block::Table(table(&loads.checks, units)));
        blocks.push(Block::Points(sources(&loads.checks)));
    }
    blocks.extend(cases(plan, loads, units));
    blocks.push(Block::Heading("Site".to_owned()));
    let mut site = loads.site.describe(units);
    site.extend(load_sources(&loads.site));
    blocks.push(Block::Points(site.into_iter().map(Point::dashed).collect()));
    blocks.extend(worth());
    blocks
}

/// What the figures are worth, with the caution.
pub(super) fn worth() -> Vec<Block> {
    let words = [CAUTION, LEAVES_OUT, snow::LEAVES_OUT];
    vec![
        Block::Heading("What this is worth".to_owned()),
        Block::Points(words.map(Point::dashed).to_vec()),
    ]
}

/// What each case does to the cover.
pub(super) fn under_load(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let loads = plan.loads.as_ref();
    loads.map_or_else(Vec::new, |loads| cases(plan, loads, units))
}

/// A short table for a job sheet: of each kind the check that is nearest to failing.
pub(super) fn short(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let Some(loads) = &plan.loads else {
        return Vec::new();
    };
    let worst: Vec<Check> = Kind::ALL
        .iter()
        .filter_map(|kind| {
            let of_kind = loads.checks.iter().filter(|check| check.kind == *kind);
            of_kind
                .max_by(|a, b| a.ratio().total_cmp(&b.ratio()))
                .cloned()
        })
        .collect();
    let mut blocks = verdict(loads, units);
    blocks.extend(strengthening(plan, units));
    if !worst.is_empty() {
        blocks.push(Block::Table(table(&worst, units)));
        blocks.push(Block::Points(sources(&worst)));
    }
    let site = loads.site.describe(units);
    blocks.push(Block::Paragraph(site.join(" ")));
    blocks.push(Block::Paragraph(CAUTION.to_owned()));
    blocks
}

/// Whether it stands, what gives first, how much snow it takes.
fn verdict(loads: &Loads, units: UnitSystem) -> Vec<Block> {
    let mut sentences = Vec::new();
    let failing = loads.checks.iter().filter(|check| !check.passes()).count();
    match loads.governing() {
        None => sentences.push("No load is given for this site: nothing is checked.".to_owned()),
        Some(worst) if failing == 0 => sentences.push(format!(
            "The cover stands by this check. Nearest to its limit is {}.",
            told(worst, units)
        )),
        Some(worst) => sentences.push(format!(
            "The cover does not stand: {} of {} fail. Worst is {}.",
            failing,
            words::count(loads.checks.len(), "check"),
            told(worst, units)
        )),
    }
    if let Some(capacity) = &loads.capacity {
        sentences.push(capacity_sentence(capacity, units));
    }
    vec![
        Block::Heading("Loads".to_owned()),
        Block::Paragraph(sentences.join(" ")),
    ]
}

/// A check with its place and case: `film at station 4'2", center under balanced snow, 112 % of what it may`.
fn told(check: &Check, units: UnitSystem) -> String {
    let place = match (&check.kind, check.at) {
        (Kind::Film | Kind::Pond | Kind::Band, Some(at)) => {
            format!(" at {}", words::place(&at, units))
        }
        _ => String::new(),
    };
    let case = match check.case {
        Some(Case::Road) => " on the road".to_owned(),
        Some(case) => format!(" under {}", case.words()),
        None => String::new(),
    };
    let share = share(check);
    format!("{}{place}{case}{share}", check.name)
}

fn share(check: &Check) -> String {
    let ratio = check.ratio();
    if ratio.is_finite() {
        format!(", {:.0} % of what it may", 100.0 * ratio)
    } else {
        format!(": {}", check.source)
    }
}

/// The greatest snow that a cover stands, as a sentence.
pub fn capacity_sentence(capacity: &SnowCapacity, units: UnitSystem) -> String {
    match &capacity.governed_by {
        None => format!(
            "It stands more than {} of ground snow.",
            units.format_pressure(MAX_SNOW)
        ),
        Some(first) if capacity.ground <= 0.0 => {
            format!("It stands no snow at all: {}.", told(first, units))
        }
        Some(first) => format!(
            "The greatest ground snow that it stands is {}; then the first to give is {}.",
            units.format_pressure(capacity.ground),
            told(first, units)
        ),
    }
}

fn value(quantity: Quantity, value: f64, units: UnitSystem) -> String {
    match quantity {
        Quantity::Force => units.format_force(value),
        Quantity::Stress | Quantity::Pressure => units.format_stress(value),
        Quantity::Length => units.format_length(value),
        Quantity::Volume => units.format_volume(value),
    }
}

fn table(checks: &[Check], units: UnitSystem) -> Table {
    let rows = checks.iter().map(|check| {
        let ratio = check.ratio();
        vec![
            check.name.clone(),
            check.case.map_or("-", Case::words).to_owned(),
            value(check.quantity, check.demand, units),
            value(check.quantity, check.capacity, units),
            if ratio.is_finite() {
                format!("{ratio:.2}")
            } else {
                "over".to_owned()
            },
            if check.passes() { "holds" } else { "FAILS" }.to_owned(),
        ]
    });
    Table {
        columns: vec![
            Column::words("What"),
            Column::words("Case"),
            Column::numbers("Demand"),
            Column::numbers("Capacity"),
            Column::numbers("Ratio"),
            Column::words("Verdict"),
        ],
        rows: rows.collect(),
        by_hand: false,
    }
}

/// Where capacities are from, one point for all checks with the same source.
fn sources(checks: &[Check]) -> Vec<Point> {
    let mut found: Vec<(&str, Vec<&str>)> = Vec::new();
    for check in checks {
        match found.iter_mut().find(|(source, _)| *source == check.source) {
            Some((_, names)) => names.push(&check.name),
            None => found.push((&check.source, vec![&check.name])),
        }
    }
    let points = found.into_iter();
    points
        .map(|(source, names)| Point::dashed(format!("{}: {source}", names.join(", "))))
        .collect()
}

/// Each case: sag, slopes, what holds, what stands in hollows.
fn cases(plan: &Plan, loads: &Loads, units: UnitSystem) -> Vec<Block> {
    if loads.cases.is_empty() {
        return Vec::new();
    }
    let points = loads.cases.iter().map(|loaded| Point {
        mark: "-".to_owned(),
        text: format!(
            "{}: {}",
            loaded.case.words(),
            case_sentence(plan, loaded, units)
        ),
    });
    vec![
        Block::Heading("Under load".to_owned()),
        Block::Points(points.collect()),
    ]
}

fn case_sentence(plan: &Plan, loaded: &Loaded, units: UnitSystem) -> String {
    let mut text = match loaded.outcome {
        Outcome::Settles => String::new(),
        Outcome::RunsAway => "RUNS AWAY: the film yields while its hollows still fill. ".to_owned(),
        Outcome::Unsolved => "NOT SOLVED: the figures are those of the last step. ".to_owned(),
    };
    let on = if loaded.total < 0.0 { "lift" } else { "load" };
    text.push_str(&format!(
        "{} {on} in all; ",
        units.format_force(loaded.total.abs())
    ));
    if loaded.case.is_snow() {
        text.push_str(&format!(
            "film sags {} at {}, least slope {}, {} flatter than {}",
            units.format_length(loaded.max_sag),
            words::place(&loaded.max_sag_at, units),
            units.format_angle(loaded.least_slope),
            units.format_area(loaded.holding_area()),
            units.format_angle(plan.rules.min_slope)
        ));
        text.push_str(&match loaded.ponds.first() {
            None => ", no hollow".to_owned(),
            Some(largest) => format!(
                ", {} with {} of water, the largest at {}",
                words::count(loaded.ponds.len(), "hollow"),
                units.format_volume(loaded.pond_volume()),
                words::place(&largest.deepest, units)
            ),
        });
    } else {
        let across = loaded
            .edge
            .iter()
            .map(|edge| edge.across)
            .fold(0.0, f64::max);
        text.push_str(&format!(
            "the edge is pulled by up to {}",
            units.format_tension(across)
        ));
    }
    for pressed in &loaded.pressed {
        if let Some(thing) = plan.hull.things.get(pressed.thing) {
            text.push_str(&format!(
                "; {} carries {}, up to {}",
                thing.name,
                units.format_force(pressed.force),
                units.format_stress(pressed.pressure)
            ));
        }
    }
    text.push('.');
    text
}
