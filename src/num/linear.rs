//! Small linear programs, by an interior-point method (clarabel).

use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSettings, DefaultSolver, IPSolver, SolverStatus, SupportedConeT};

/// A row of factors and its right side: factors times variables are at most that.
pub type Row = (Vec<f64>, f64);

/// The answer to a linear program.
#[derive(Debug, Clone, PartialEq)]
pub struct Least {
    /// The variables.
    pub at: Vec<f64>,
    /// By how much soft rows are overstepped, all together.
    pub over: f64,
}

/// The variables between their bounds that make the least of a cost under some rows, where each row marked soft may be
/// overstepped at a price for each unit. `None` where the rows cannot all be kept, or the numbers are not finite.
///
/// # Units
/// Any; rows, bounds and cost should be of about the size of one.
pub fn least(
    cost: &[f64],
    bounds: &[[f64; 2]],
    hard: &[Row],
    soft: &[Row],
    price: f64,
) -> Option<Least> {
    let (count, slacks) = (cost.len(), soft.len());
    let mut columns: Vec<Vec<(usize, f64)>> = vec![Vec::new(); count + slacks];
    let mut right = Vec::new();
    let mut put = |factors: &[f64], slack: Option<usize>, limit: f64| {
        let row = right.len();
        for (column, factor) in columns.iter_mut().zip(factors) {
            if *factor != 0.0 {
                column.push((row, *factor));
            }
        }
        if let Some(slack) = slack {
            columns[count + slack].push((row, -1.0));
        }
        right.push(limit);
    };
    for (factors, limit) in hard {
        put(factors, None, *limit);
    }
    for (slack, (factors, limit)) in soft.iter().enumerate() {
        put(factors, Some(slack), *limit);
        put(&[], Some(slack), 0.0);
    }
    for (variable, [low, high]) in bounds.iter().enumerate() {
        let mut unit = vec![0.0; count];
        unit[variable] = 1.0;
        put(&unit, None, *high);
        unit[variable] = -1.0;
        put(&unit, None, -*low);
    }
    let mut goal = cost.to_vec();
    goal.resize(count + slacks, price);
    let (mut starts, mut rows, mut values) = (vec![0], Vec::new(), Vec::new());
    for column in &columns {
        rows.extend(column.iter().map(|(row, _)| *row));
        values.extend(column.iter().map(|(_, value)| *value));
        starts.push(rows.len());
    }
    let matrix = CscMatrix::new(right.len(), goal.len(), starts, rows, values);
    let settings = DefaultSettings::<f64> {
        verbose: false,
        presolve_enable: false,
        ..DefaultSettings::default()
    };
    let quadratic = CscMatrix::zeros((goal.len(), goal.len()));
    let cones = [SupportedConeT::NonnegativeConeT(right.len())];
    let mut solver =
        DefaultSolver::new(&quadratic, &goal, &matrix, &right, &cones, settings).ok()?;
    solver.solve();
    let solved = matches!(
        solver.solution.status,
        SolverStatus::Solved | SolverStatus::AlmostSolved
    );
    let found = &solver.solution.x;
    if !solved || found.iter().any(|value| !value.is_finite()) {
        return None;
    }
    let (at, over) = found.split_at_checked(count)?;
    Some(Least {
        at: at.to_vec(),
        over: over.iter().map(|slack| slack.max(0.0)).sum(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Production planning from a textbook of linear programming (Hillier and Lieberman, Wyndor Glass): 3x + 5y is most
    /// under x <= 4, 2y <= 12, 3x + 2y <= 18 at (2, 6), from memory.
    #[test]
    fn a_known_program() {
        let rows = [(vec![0.0, 2.0], 12.0), (vec![3.0, 2.0], 18.0)];
        let found = least(&[-3.0, -5.0], &[[0.0, 4.0], [0.0, 100.0]], &rows, &[], 1.0)
            .unwrap()
            .at;
        assert!(
            (found[0] - 2.0).abs() < 1e-5 && (found[1] - 6.0).abs() < 1e-5,
            "{found:?}"
        );
    }

    /// A row that cannot be kept is overstepped by as little as can be; a hard one is an error.
    #[test]
    fn soft_rows_give() {
        let row = [(vec![-1.0], -5.0)];
        let found = least(&[1.0], &[[0.0, 2.0]], &[], &row, 10.0).unwrap();
        assert!((found.at[0] - 2.0).abs() < 1e-5, "{found:?}");
        assert!((found.over - 3.0).abs() < 1e-4, "{found:?}");
        assert!(least(&[1.0], &[[0.0, 2.0]], &row, &[], 10.0).is_none());
    }
}
