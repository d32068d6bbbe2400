//! Quick good chains. They only give the exact search a first limit; it decides.

use super::search::Found;
use super::table::{Cost, SLOPE_EPS, Table, cost_of_violation};

/// Sweeps over a chain before the polishing stops: it has settled long before.
const MOST_SWEEPS: usize = 20;

impl Found {
    /// Takes a chain of supports if the search would.
    pub(super) fn of(table: &Table, steps: Vec<(usize, usize)>) -> Option<Self> {
        let cost = price(table, &steps)?;
        Some(Self { cost, steps })
    }
}

/// Cost of a chain; none unless it is concave, its posts apart, and no pinned post left out.
pub(super) fn price(table: &Table, steps: &[(usize, usize)]) -> Option<Cost> {
    let mut cost: Cost = 0;
    let mut before = f64::INFINITY;
    let mut last_post = 0;
    for pair in steps.windows(2) {
        let ((from, h), (to, g)) = (pair[0], pair[1]);
        let (slope, violation) = table.segment(from, h, to, g)?;
        if before + SLOPE_EPS < slope || !table.gap_is_enough(last_post, to) {
            return None;
        }
        before = slope;
        if table.nodes[to].is_post() {
            last_post = to;
        }
        cost += cost_of_violation(violation) + table.use_cost[table.nodes[to].first + g];
    }
    Some(cost)
}

/// Moves one post at a time to its best place and height until nothing gets better.
pub(super) fn polish(table: &Table, mut found: Found) -> Found {
    for _ in 0..MOST_SWEEPS {
        let before = found.cost;
        for k in 1..found.steps.len().saturating_sub(1) {
            let node = &table.nodes[found.steps[k].0];
            if !node.is_post() {
                continue;
            }
            let range = if node.pinned {
                found.steps[k].0..found.steps[k].0 + 1
            } else {
                found.steps[k - 1].0 + 1..found.steps[k + 1].0
            };
            for other in range {
                if !table.nodes[other].is_post() {
                    continue;
                }
                for level in 0..table.nodes[other].count {
                    let kept = std::mem::replace(&mut found.steps[k], (other, level));
                    match price(table, &found.steps) {
                        Some(cost) if cost < found.cost => found.cost = cost,
                        _ => found.steps[k] = kept,
                    }
                }
            }
        }
        if found.cost == before {
            break;
        }
    }
    found
}
