//! Loads in the record: checks, the cover under each case, the greatest snow.

use super::super::number::{rounded, three_figures};
use crate::loads::{Case, Check, Loaded, Loads, Outcome};
use crate::plan::Plan;
use serde::Serialize;

/// Demand against capacity.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CheckRecord {
    /// What is checked.
    pub name: String,
    /// The case that asks most of it; null where no load is in it.
    pub case: Option<Case>,
    /// What is asked.
    pub demand: f64,
    /// What it can do; zero where nothing may be asked of it.
    pub capacity: f64,
    /// SI unit of both.
    pub unit: &'static str,
    /// Demand over capacity; null where the capacity is zero.
    pub ratio: Option<f64>,
    /// Whether it holds.
    pub passes: bool,
    /// Where the capacity is from.
    pub source: String,
}

/// The cover under one case.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LoadedRecord {
    /// The case.
    pub case: Case,
    /// How far the film hangs lower than taut at most.
    pub max_sag_m: f64,
    /// Least slope off the caps.
    pub min_slope_deg: f64,
    /// Area of all film flatter than wanted.
    pub holding_area_m2: f64,
    /// Water that its hollows hold.
    pub pond_volume_m3: f64,
    /// Greatest stress of the film.
    pub max_film_stress_pa: f64,
    /// Load of each post, in the order of `posts`.
    pub post_loads_n: Vec<f64>,
    /// Tension of each strap, in the order of `straps`; as drawn where the film is lifted off them.
    pub strap_tensions_n: Vec<f64>,
    /// Greatest pull of the film across the edge, N/m.
    pub max_edge_pull_n_per_m: f64,
    /// Whole load, downward.
    pub total_n: f64,
    /// What is left of all forces together.
    pub left_over_n: f64,
    /// `settles`, `runs_away` or `unsolved`.
    pub status: Outcome,
}

/// The greatest ground snow that the cover stands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SnowCapacityRecord {
    /// By the site's code.
    pub ground_pa: f64,
    /// What gives first beyond it; null where nothing was found to.
    pub governed_by: Option<String>,
    /// The case in which it does.
    pub case: Option<Case>,
}

pub(super) fn checks(plan: &Plan) -> Vec<CheckRecord> {
    let checks = plan.loads.iter().flat_map(|loads| &loads.checks);
    checks.map(check).collect()
}

fn check(check: &Check) -> CheckRecord {
    let ratio = check.ratio();
    CheckRecord {
        name: check.name.clone(),
        case: check.case,
        demand: rounded(check.demand),
        capacity: rounded(check.capacity),
        unit: check.quantity.unit(),
        ratio: ratio.is_finite().then(|| rounded(ratio)),
        passes: check.passes(),
        source: check.source.clone(),
    }
}

/// The case that the check nearest to failing stands under, or the first.
pub(super) fn governing_case(plan: &Plan) -> Option<LoadedRecord> {
    let loads = plan.loads.as_ref()?;
    let governing = loads.governing().and_then(|check| loads.under(check.case?));
    governing.or(loads.cases.first()).map(loaded)
}

pub(super) fn cases(plan: &Plan) -> Vec<LoadedRecord> {
    let cases = plan.loads.iter().flat_map(|loads| &loads.cases);
    cases.map(loaded).collect()
}

fn loaded(loaded: &Loaded) -> LoadedRecord {
    let pulls = loaded.edge.iter().map(|edge| edge.across);
    LoadedRecord {
        case: loaded.case,
        max_sag_m: rounded(loaded.max_sag),
        min_slope_deg: rounded(loaded.least_slope.to_degrees()),
        holding_area_m2: rounded(loaded.holding_area()),
        pond_volume_m3: rounded(loaded.pond_volume()),
        max_film_stress_pa: rounded(loaded.max_stress),
        post_loads_n: loaded
            .post_loads
            .iter()
            .map(|load| rounded(*load))
            .collect(),
        strap_tensions_n: loaded
            .strap_tensions
            .iter()
            .map(|pull| rounded(*pull))
            .collect(),
        max_edge_pull_n_per_m: rounded(pulls.fold(0.0, f64::max)),
        total_n: rounded(loaded.total),
        left_over_n: three_figures(loaded.left_over),
        status: loaded.outcome,
    }
}

pub(super) fn capacity(loads: &Loads) -> Option<SnowCapacityRecord> {
    let capacity = loads.capacity.as_ref()?;
    let first = capacity.governed_by.as_ref();
    Some(SnowCapacityRecord {
        ground_pa: rounded(capacity.ground),
        governed_by: first.map(|check| check.name.clone()),
        case: first.and_then(|check| check.case),
    })
}
