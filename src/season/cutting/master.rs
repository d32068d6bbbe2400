//! The linear program over patterns, solved by an interior-point method (clarabel) in its dual form: a price for each
//! piece, so that no pattern is worth more than its roll costs.

use super::instance::{Costs, Pattern};
use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSettings, DefaultSolver, IPSolver, SolverStatus, SupportedConeT};

/// What the linear program says.
#[derive(Debug, Clone)]
pub(super) struct Solved {
    /// Price of each kind of piece; zero for those that are not wanted.
    pub prices: Vec<f64>,
    /// What one more of each limited stock saves; zero for the others.
    pub savings: Vec<f64>,
    /// How often each pattern is used, not yet whole.
    pub weights: Vec<f64>,
}

/// Solves the program for what is wanted over the patterns given, to an accuracy in parts of the dearest roll: prices only
/// steer the search, bounds are made safe elsewhere. `None` where the solver gives up.
pub(super) fn solve(
    costs: &Costs,
    demand: &[u32],
    limits: &[Option<u32>],
    patterns: &[Pattern],
    accuracy: f64,
) -> Option<Solved> {
    // Variables: a price for each kind that is wanted, then one for each limited stock.
    let mut kinds: Vec<Option<usize>> = Vec::new();
    let mut wanted = Vec::new();
    for count in demand {
        kinds.push((*count > 0).then_some(wanted.len()));
        if *count > 0 {
            wanted.push(f64::from(*count));
        }
    }
    if wanted.is_empty() {
        return None;
    }
    let mut variables = wanted.len();
    let mut held: Vec<Option<usize>> = Vec::new();
    let mut goal: Vec<f64> = wanted.iter().map(|count| -count).collect();
    for limit in limits {
        held.push(limit.map(|_| variables));
        if let Some(limit) = limit {
            goal.push(f64::from(*limit));
            variables += 1;
        }
    }
    let dearest = costs.dearest() as f64;
    let mut columns: Vec<Vec<(usize, f64)>> = vec![Vec::new(); variables];
    let mut right = Vec::new();
    let put = |columns: &mut Vec<Vec<(usize, f64)>>, variable: usize, row: usize, value: f64| {
        if let Some(column) = columns.get_mut(variable) {
            column.push((row, value));
        }
    };
    for (row, pattern) in patterns.iter().enumerate() {
        for (kind, count) in &pattern.pieces {
            if let Some(variable) = kinds.get(*kind).copied().flatten() {
                put(&mut columns, variable, row, f64::from(*count));
            }
        }
        if let Some(variable) = held.get(pattern.stock).copied().flatten() {
            put(&mut columns, variable, row, -1.0);
        }
        right.push(costs.of_stock.get(pattern.stock).copied().unwrap_or(0) as f64 / dearest);
    }
    // No price is below nothing, and none beyond what leaving the piece out costs.
    let mut row = patterns.len();
    for variable in 0..variables {
        put(&mut columns, variable, row, -1.0);
        right.push(0.0);
        row += 1;
    }
    for (outside, variable) in costs.outside.iter().zip(&kinds) {
        let Some(variable) = variable else {
            continue;
        };
        put(&mut columns, *variable, row, 1.0);
        right.push(*outside as f64 / dearest);
        row += 1;
    }
    let (mut starts, mut rows, mut values) = (vec![0], Vec::new(), Vec::new());
    for column in &columns {
        rows.extend(column.iter().map(|(row, _)| *row));
        values.extend(column.iter().map(|(_, value)| *value));
        starts.push(rows.len());
    }
    let matrix = CscMatrix::new(row, variables, starts, rows, values);
    let settings = DefaultSettings::<f64> {
        verbose: false,
        presolve_enable: false,
        max_iter: 100,
        tol_gap_abs: accuracy,
        tol_gap_rel: accuracy,
        tol_feas: accuracy,
        ..DefaultSettings::default()
    };
    let quadratic = CscMatrix::zeros((variables, variables));
    let cones = [SupportedConeT::NonnegativeConeT(row)];
    let mut solver =
        DefaultSolver::new(&quadratic, &goal, &matrix, &right, &cones, settings).ok()?;
    solver.solve();
    let usable = matches!(
        solver.solution.status,
        SolverStatus::Solved
            | SolverStatus::AlmostSolved
            | SolverStatus::InsufficientProgress
            | SolverStatus::MaxIterations
    );
    let (found, duals) = (&solver.solution.x, &solver.solution.z);
    if !usable || found.iter().chain(duals).any(|value| !value.is_finite()) {
        return None;
    }
    let price = |variable: Option<usize>| {
        let value = variable.and_then(|variable| found.get(variable)).copied();
        value.unwrap_or(0.0).max(0.0) * dearest
    };
    Some(Solved {
        prices: kinds.iter().map(|variable| price(*variable)).collect(),
        savings: held.iter().map(|variable| price(*variable)).collect(),
        weights: (0..patterns.len())
            .map(|place| duals.get(place).copied().unwrap_or(0.0).max(0.0))
            .collect(),
    })
}
