//! Robust linear regression: Huber's M-estimator by iteratively reweighted least squares.
//!
//! P. J. Huber, Robust Statistics (1981), memory: residuals up to [`TUNING`] scales count in full, larger ones by their
//! sign alone, so that one slip of the pen cannot carry the line away. The scale is the median of the residuals'
//! sizes over 0.6745, estimated anew in each round; standard errors by Huber's first correction (H1).

use nalgebra::{DMatrix, DVector};

/// Scales from which a residual counts less; 95 % as good as least squares on normal data.
pub const TUNING: f64 = 1.345;

/// The median of the size of a normal variable of scale one.
const NORMAL_MEDIAN: f64 = 0.6744897501960817;

/// Rounds until an answer that still moves is returned as it is.
const MOST_ROUNDS: usize = 200;

/// The answer stands where no coefficient moves by more than this part of the largest.
const STEADY: f64 = 1e-12;

/// A scale below this part of the data's size is that of an exact fit.
const EXACT: f64 = 1e-13;

/// How a regression ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FitStatus {
    /// The coefficients stand.
    Converged,
    /// They still moved at the end.
    NotConverged,
}

/// A robust fit.
#[derive(Debug, Clone, PartialEq)]
pub struct RobustFit {
    /// One coefficient a column.
    pub coefficients: Vec<f64>,
    /// Their standard errors; zero for an exact fit.
    pub errors: Vec<f64>,
    /// Spread of a single observation about the line.
    pub scale: f64,
    /// Weight of each observation, from 0 to 1.
    pub weights: Vec<f64>,
    /// How it ended.
    pub status: FitStatus,
    /// Rounds that it took.
    pub rounds: usize,
}

/// Why there is no fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Unfit {
    /// No more observations than coefficients.
    #[error("too few observations")]
    TooFew,
    /// A row of another length, a number that is not finite.
    #[error("a row is broken")]
    Broken,
    /// The columns depend on each other.
    #[error("the columns depend on each other")]
    Dependent,
}

/// Fits `observed` by a combination of the columns of `rows`.
///
/// # Errors
/// Too few rows, broken ones, columns that depend on each other.
pub fn robust_fit(rows: &[Vec<f64>], observed: &[f64]) -> Result<RobustFit, Unfit> {
    let columns = rows.first().map_or(0, Vec::len);
    let count = rows.len();
    let finite = |values: &[f64]| values.iter().all(|value| value.is_finite());
    if observed.len() != count || !finite(observed) {
        return Err(Unfit::Broken);
    }
    if rows.iter().any(|row| row.len() != columns || !finite(row)) {
        return Err(Unfit::Broken);
    }
    if columns == 0 || count <= columns {
        return Err(Unfit::TooFew);
    }
    let x = DMatrix::from_fn(count, columns, |i, j| {
        rows.get(i)
            .and_then(|row| row.get(j))
            .copied()
            .unwrap_or(0.0)
    });
    let y = DVector::from_column_slice(observed);
    let size = y.amax().max(f64::MIN_POSITIVE);
    let mut weights = DVector::from_element(count, 1.0);
    let mut found = weighted(&x, &y, &weights)?;
    let mut status = FitStatus::NotConverged;
    let mut rounds = 0;
    let mut scale = scale_of(&(&y - &x * &found));
    while rounds < MOST_ROUNDS {
        rounds += 1;
        let residuals = &y - &x * &found;
        scale = scale_of(&residuals);
        if scale <= EXACT * size {
            return Ok(exact(found, weights, rounds));
        }
        weights = residuals.map(|residual| (TUNING * scale / residual.abs()).min(1.0));
        let next = weighted(&x, &y, &weights)?;
        let moved = (&next - &found).amax();
        found = next;
        if moved <= STEADY * found.amax() {
            status = FitStatus::Converged;
            break;
        }
    }
    let errors = errors(&x, &(&y - &x * &found), scale)?;
    Ok(RobustFit {
        coefficients: found.iter().copied().collect(),
        errors,
        scale,
        weights: weights.iter().copied().collect(),
        status,
        rounds,
    })
}

/// Most observations lie on the line: there is no scale to weigh by.
fn exact(found: DVector<f64>, weights: DVector<f64>, rounds: usize) -> RobustFit {
    RobustFit {
        errors: vec![0.0; found.len()],
        coefficients: found.iter().copied().collect(),
        scale: 0.0,
        weights: weights.iter().copied().collect(),
        status: FitStatus::Converged,
        rounds,
    }
}

/// Least squares with weights.
fn weighted(
    x: &DMatrix<f64>,
    y: &DVector<f64>,
    weights: &DVector<f64>,
) -> Result<DVector<f64>, Unfit> {
    let roots = weights.map(f64::sqrt);
    let rows = DMatrix::from_fn(x.nrows(), x.ncols(), |i, j| x[(i, j)] * roots[i]);
    let solved = rows.svd(true, true);
    let largest = solved.singular_values.max();
    if solved.singular_values.min() <= DEPENDENT * largest {
        return Err(Unfit::Dependent);
    }
    solved
        .solve(&y.component_mul(&roots), 0.0)
        .map_err(|_| Unfit::Dependent)
}

/// Columns whose least singular value is below this part of the largest depend on each other.
const DEPENDENT: f64 = 1e-12;

/// The scale of residuals: the median of their sizes over that of a normal variable.
fn scale_of(residuals: &DVector<f64>) -> f64 {
    let mut sizes: Vec<f64> = residuals.iter().map(|residual| residual.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    let middle = sizes.len() / 2;
    let at = |place: usize| sizes.get(place).copied().unwrap_or(0.0);
    let median = if sizes.len().is_multiple_of(2) {
        0.5 * (at(middle.saturating_sub(1)) + at(middle))
    } else {
        at(middle)
    };
    median / NORMAL_MEDIAN
}

/// Standard errors by Huber's first correction.
fn errors(x: &DMatrix<f64>, residuals: &DVector<f64>, scale: f64) -> Result<Vec<f64>, Unfit> {
    let (count, columns) = (x.nrows() as f64, x.ncols() as f64);
    let inverse = (x.transpose() * x).try_inverse().ok_or(Unfit::Dependent)?;
    let squares: f64 = residuals
        .iter()
        .map(|residual| (residual / scale).clamp(-TUNING, TUNING).powi(2))
        .sum();
    let full: Vec<f64> = residuals
        .iter()
        .map(|residual| {
            if (residual / scale).abs() <= TUNING {
                1.0
            } else {
                0.0
            }
        })
        .collect();
    let mean = full.iter().sum::<f64>() / count;
    let variance = full.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / count;
    let correction = 1.0 + columns / count * variance / (mean * mean);
    let spread = squares * scale * scale / (count - columns) / (mean * mean);
    let factor = correction * correction * spread;
    Ok((0..x.ncols())
        .map(|column| (factor * inverse[(column, column)]).max(0.0).sqrt())
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;

    #[derive(Deserialize)]
    struct Case {
        name: String,
        rows: Vec<Vec<f64>>,
        observed: Vec<f64>,
        coefficients: Vec<f64>,
        errors: Vec<f64>,
        scale: f64,
        least_squares: Vec<f64>,
    }

    /// statsmodels' RLM, an independent library: tests/references/robust_fit.py.
    #[test]
    fn as_an_independent_library_fits() {
        let text = include_str!("../../tests/references/robust_fit.json");
        let cases: Vec<Case> = serde_json::from_str(text).unwrap();
        assert!(cases.len() >= 3);
        for case in cases {
            let fit = robust_fit(&case.rows, &case.observed).unwrap();
            assert_eq!(fit.status, FitStatus::Converged, "{}", case.name);
            let close = |a: f64, b: f64, what: &str| {
                assert!(
                    (a - b).abs() <= 1e-6 * b.abs().max(1e-3),
                    "{} {what}: {a} {b}",
                    case.name
                );
            };
            for (found, wanted) in fit.coefficients.iter().zip(&case.coefficients) {
                close(*found, *wanted, "coefficient");
            }
            for (found, wanted) in fit.errors.iter().zip(&case.errors) {
                close(*found, *wanted, "error");
            }
            close(fit.scale, case.scale, "scale");
            // The twin that must fail: least squares on the same data goes with the outliers.
            if case.name.contains("outliers") {
                let slope = case.coefficients.last().unwrap();
                assert!((case.least_squares.last().unwrap() - slope).abs() > 0.1 * slope.abs());
            }
        }
    }

    #[test]
    fn a_line_is_found_exactly_and_slips_move_it_not() {
        let rows: Vec<Vec<f64>> = (0..12).map(|k| vec![1.0, f64::from(k)]).collect();
        let mut observed: Vec<f64> = (0..12).map(|k| 2.0 - 0.5 * f64::from(k)).collect();
        let fit = robust_fit(&rows, &observed).unwrap();
        assert!(
            (fit.coefficients[0] - 2.0).abs() < 1e-12 && (fit.coefficients[1] + 0.5).abs() < 1e-12
        );
        assert!(fit.scale < 1e-12);
        observed[3] = 500.0;
        let fit = robust_fit(&rows, &observed).unwrap();
        assert!((fit.coefficients[1] + 0.5).abs() < 1e-6, "{fit:?}");
    }

    #[test]
    fn what_cannot_be_fitted_is_told() {
        let one = |values: &[f64]| values.iter().map(|value| vec![*value]).collect::<Vec<_>>();
        assert_eq!(robust_fit(&[], &[]), Err(Unfit::TooFew));
        assert_eq!(robust_fit(&one(&[1.0]), &[1.0]), Err(Unfit::TooFew));
        assert_eq!(robust_fit(&one(&[1.0, 2.0]), &[1.0]), Err(Unfit::Broken));
        assert_eq!(
            robust_fit(&one(&[1.0, f64::NAN]), &[1.0, 2.0]),
            Err(Unfit::Broken)
        );
        assert_eq!(
            robust_fit(&one(&[0.0, 0.0]), &[1.0, 2.0]),
            Err(Unfit::Dependent)
        );
        let twice: Vec<Vec<f64>> = (0..5)
            .map(|k| vec![f64::from(k), 2.0 * f64::from(k)])
            .collect();
        assert_eq!(
            robust_fit(&twice, &[0.0, 1.0, 2.0, 2.0, 4.0]),
            Err(Unfit::Dependent)
        );
    }
}
