//! Loads in words. Every figure is the library's own.

use crate::loads::site::{BasicWind, Stored};
use crate::loads::{Case, Check, Loaded, Loads, Outcome, Quantity, Site};
use crate::units::UnitSystem;
use crate::viewer::words::count;

/// A case with what it is by: `balanced snow, 20.0 psf ground`.
pub fn case(case: Case, site: &Site, units: UnitSystem) -> String {
    let by = match (case, site.stored) {
        (Case::Road, Stored::Hauled { speed }) => units.format_speed(speed),
        (Case::Road, _) => String::new(),
        (Case::WindUplift, _) => match site.wind {
            Some(BasicWind::Speed(speed)) => units.format_speed(speed),
            Some(BasicWind::Pressure(pressure)) => units.format_pressure(pressure),
            None => String::new(),
        },
        _ => site.snow.map_or_else(String::new, |snow| {
            format!("{} ground", units.format_pressure(snow.load))
        }),
    };
    if by.is_empty() {
        case.words().to_owned()
    } else {
        format!("{}, {by}", case.words())
    }
}

/// What the film does under a case, one item a line.
pub fn film(loaded: &Loaded, least: f64, units: UnitSystem) -> Vec<String> {
    let mut lines = Vec::new();
    match loaded.outcome {
        Outcome::Settles => {}
        Outcome::RunsAway => {
            lines.push("RUNS AWAY: the film yields while its hollows fill".to_owned())
        }
        Outcome::Unsolved => {
            lines.push("NOT SOLVED: the figures are those of the last step".to_owned());
        }
    }
    if !loaded.case.is_snow() {
        let across = loaded.edge.iter().map(|edge| edge.across);
        lines.push(format!(
            "lifted by {}; the edge is pulled by up to {}",
            units.format_force(loaded.total.abs()),
            units.format_tension(across.fold(0.0, f64::max))
        ));
        return lines;
    }
    lines.push(format!(
        "sags {}; least slope {}",
        units.format_length(loaded.max_sag),
        units.format_angle(loaded.least_slope)
    ));
    let holding = loaded.holding_area();
    let holds = if holding > 0.0 {
        format!(
            "{} flatter than {}",
            units.format_area(holding),
            units.format_angle(least)
        )
    } else {
        format!("nothing flatter than {}", units.format_angle(least))
    };
    lines.push(match loaded.ponds.len() {
        0 => format!("{holds}; no hollow"),
        hollows => format!(
            "{holds}; {} for {} of water",
            count(hollows, "hollow"),
            units.format_volume(loaded.pond_volume())
        ),
    });
    lines
}

/// Whether the cover stands, in a few words; `None` where nothing is checked.
pub fn standing(loads: &Loads) -> Option<String> {
    let worst = loads.governing()?;
    let failing = loads.checks.iter().filter(|check| !check.passes()).count();
    // What may not be asked for at all has no share.
    let share = if worst.ratio().is_finite() {
        format!(" at {}", ratio(worst))
    } else {
        String::new()
    };
    Some(if failing == 0 {
        format!("stands; nearest its limit: {}{share}", worst.name)
    } else {
        format!(
            "DOES NOT STAND: {failing} of {} fail; worst: {}{share}",
            count(loads.checks.len(), "check"),
            worst.name
        )
    })
}

/// Demand over capacity: `1.32`.
pub fn ratio(check: &Check) -> String {
    let ratio = check.ratio();
    if ratio.is_finite() {
        format!("{ratio:.2}")
    } else {
        "over".to_owned()
    }
}

/// What is asked and what can be done, under which case, and where that is from.
pub fn about(check: &Check, units: UnitSystem) -> String {
    let value = |value: f64| match check.quantity {
        Quantity::Force => units.format_force(value),
        Quantity::Stress | Quantity::Pressure => units.format_stress(value),
        Quantity::Length => units.format_length(value),
        Quantity::Volume => units.format_volume(value),
    };
    let case = check
        .case
        .map_or_else(String::new, |case| format!(" under {}", case.words()));
    format!(
        "asked {}{case}, can do {}\n{}",
        value(check.demand),
        value(check.capacity),
        check.source
    )
}

/// The checks, the one that is nearest to failing or fails by most first.
pub fn worst_first(loads: &Loads) -> Vec<&Check> {
    let mut checks: Vec<&Check> = loads.checks.iter().collect();
    checks.sort_by(|a, b| b.ratio().total_cmp(&a.ratio()));
    checks
}
