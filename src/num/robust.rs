//! Robust linear regression: Huber's M-estimator by iteratively reweighted least squares.
//!
//! P. J. Huber, Robust Statistics (1981), memory: a residual up to [`TUNING`] scales counts in full, a larger one by its sign
//! alone, so that one slip of the pen cannot carry the line away. The scale is the median of the residuals' sizes over that
//! of a normal variable, estimated anew in each round. Standard errors are asymptotic, with Huber's first correction (H1).
//! Rows that stand far out in a *column* are not guarded against: the estimator trusts the columns.

use nalgebra::{DMatrix, DVector};

#[cfg(test)]
mod tests;

/// Scales from which on a residual counts less. On normal data the estimate is then 95 % as good as least squares.
pub const TUNING: f64 = 1.345;

/// The median of the size of a normal variable of scale one.
const NORMAL_MEDIAN: f64 = 0.674_489_750_196_081_7;

/// Rounds until an answer that still moves is returned as it is. Heavy tails take some dozens.
const MAX_ROUNDS: usize = 500;

/// The answer stands where no coefficient moves by more than this part of the largest, both taken times their column's
/// length: well under what a table of hours can show, well over rounding.
const STEADY: f64 = 1e-12;

/// A scale below this part of the data's size is rounding: the fit is exact.
const EXACT: f64 = 1e-13;

/// Columns of length one whose least singular value is below this part of the largest depend on each other.
const DEPENDENT: f64 = 1e-10;

/// How a regression ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FitStatus {
    /// The coefficients stand.
    Converged,
    /// They still moved at the end.
    NotConverged,
    /// No more rows than columns, or columns that depend on each other: there are no coefficients.
    Degenerate,
}

/// A robust fit.
#[derive(Debug, Clone, PartialEq)]
pub struct RobustFit {
    /// One coefficient a column; none where the status is degenerate, as all below.
    pub coefficients: Vec<f64>,
    /// Their standard errors; zero for an exact fit.
    pub errors: Vec<f64>,
    /// Spread of a single observation about the fit, in its unit: the standard deviation, were it normal.
    pub scale: f64,
    /// Weight of each row, from 0 to 1: less than 1 for a residual over [`TUNING`] scales.
    pub weights: Vec<f64>,
    /// How it ended.
    pub status: FitStatus,
    /// Rounds that it took.
    pub iterations: usize,
    /// How far the coefficients still moved in the last round, as `STEADY` measures it.
    pub moved: f64,
}

/// Input that is no table of numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum BrokenRows {
    /// Not one observation a row.
    #[error("{rows} rows have {observed} observations")]
    Count {
        /// How many rows there are.
        rows: usize,
        /// How many observations.
        observed: usize,
    },
    /// A row of another length than the first, or a number in it or its observation that is not finite.
    #[error("row {0} has another length than the first, or a number that is not finite")]
    Row(usize),
}

/// Fits `observed` by a combination of the columns of `rows`; a constant is a column of ones.
///
/// # Errors
/// The first row that is broken, counted from 0.
pub fn robust_fit(rows: &[Vec<f64>], observed: &[f64]) -> Result<RobustFit, BrokenRows> {
    let columns = rows.first().map_or(0, Vec::len);
    if observed.len() != rows.len() {
        let (rows, observed) = (rows.len(), observed.len());
        return Err(BrokenRows::Count { rows, observed });
    }
    for (index, (row, observed)) in rows.iter().zip(observed).enumerate() {
        let finite = observed.is_finite() && row.iter().all(|value| value.is_finite());
        if row.len() != columns || !finite {
            return Err(BrokenRows::Row(index));
        }
    }
    let x = DMatrix::from_row_iterator(rows.len(), columns, rows.iter().flatten().copied());
    let y = DVector::from_column_slice(observed);
    Ok(fit(x, &y).unwrap_or_else(RobustFit::degenerate))
}

/// Fits what is sound; `None` where that is degenerate.
fn fit(mut x: DMatrix<f64>, y: &DVector<f64>) -> Option<RobustFit> {
    let (count, columns) = x.shape();
    if columns == 0 || count <= columns {
        return None;
    }
    // Columns of length one: their units then change neither rounding nor what counts as dependent.
    let lengths: Vec<f64> = x
        .column_iter()
        .map(|column| length(column.iter()))
        .collect();
    for (mut column, length) in x.column_iter_mut().zip(&lengths) {
        if *length <= 0.0 {
            return None;
        }
        column.unscale_mut(*length);
    }
    let singular = x.singular_values();
    if singular.min() <= DEPENDENT * singular.max() {
        return None;
    }
    let exact = EXACT * y.amax();
    let mut weights = DVector::from_element(count, 1.0);
    let mut found = weighted(&x, y, &weights)?;
    let mut residuals = y - &x * &found;
    let mut scale = scale_of(&residuals);
    let mut status = FitStatus::NotConverged;
    let mut iterations = 0;
    let mut moved = f64::INFINITY;
    while iterations < MAX_ROUNDS && scale > exact {
        iterations += 1;
        weights = residuals.map(|residual| (TUNING * scale / residual.abs()).min(1.0));
        let next = weighted(&x, y, &weights)?;
        moved = (&next - &found).amax() / next.amax().max(f64::MIN_POSITIVE);
        found = next;
        residuals = y - &x * &found;
        scale = scale_of(&residuals);
        if moved <= STEADY {
            status = FitStatus::Converged;
            break;
        }
    }
    let mut errors = vec![0.0; columns];
    if scale <= exact {
        // More than half of the rows lie on the fit: it stands, and the others' residuals have nothing to be measured by.
        (scale, status, moved) = (0.0, FitStatus::Converged, 0.0);
    } else {
        errors = standard_errors(&x, &residuals, scale)?;
    }
    let in_units = |values: &[f64]| {
        values
            .iter()
            .zip(&lengths)
            .map(|(v, length)| v / length)
            .collect()
    };
    Some(RobustFit {
        coefficients: in_units(found.as_slice()),
        errors: in_units(&errors),
        scale,
        weights: weights.as_slice().to_vec(),
        status,
        iterations,
        moved,
    })
}

impl RobustFit {
    fn degenerate() -> RobustFit {
        RobustFit {
            coefficients: Vec::new(),
            errors: Vec::new(),
            scale: 0.0,
            weights: Vec::new(),
            status: FitStatus::Degenerate,
            iterations: 0,
            moved: 0.0,
        }
    }
}

/// Length of a column that may hold large numbers.
fn length<'a>(column: impl Iterator<Item = &'a f64> + Clone) -> f64 {
    let largest = column
        .clone()
        .fold(0.0f64, |most, value| most.max(value.abs()));
    if largest > 0.0 {
        largest
            * column
                .map(|value| (value / largest).powi(2))
                .sum::<f64>()
                .sqrt()
    } else {
        0.0
    }
}

/// Least squares with weights.
fn weighted(x: &DMatrix<f64>, y: &DVector<f64>, weights: &DVector<f64>) -> Option<DVector<f64>> {
    let roots = weights.map(f64::sqrt);
    let mut rows = x.clone();
    for mut column in rows.column_iter_mut() {
        column.component_mul_assign(&roots);
    }
    let factored = rows.qr();
    let right = factored.q().tr_mul(&y.component_mul(&roots));
    factored.r().solve_upper_triangular(&right)
}

/// The scale of residuals: the median of their sizes over that of a normal variable.
fn scale_of(residuals: &DVector<f64>) -> f64 {
    let mut sizes: Vec<f64> = residuals.iter().map(|residual| residual.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    let at = |place: usize| sizes.get(place).copied().unwrap_or(0.0);
    let (below, above) = (sizes.len().saturating_sub(1) / 2, sizes.len() / 2);
    0.5 * (at(below) + at(above)) / NORMAL_MEDIAN
}

/// Standard errors with Huber's first correction.
fn standard_errors(x: &DMatrix<f64>, residuals: &DVector<f64>, scale: f64) -> Option<Vec<f64>> {
    let (count, columns) = (x.nrows() as f64, x.ncols() as f64);
    let inverse = x.tr_mul(x).cholesky()?.inverse();
    let (mut squares, mut within) = (0.0, 0.0);
    for residual in residuals {
        let size = residual.abs() / scale;
        squares += size.min(TUNING).powi(2);
        within += if size <= TUNING { 1.0 } else { 0.0 };
    }
    // The share of rows within the threshold is the mean slope of the score, and s (1 - s) its variance.
    let share = within / count;
    let correction = 1.0 + columns / count * share * (1.0 - share) / (share * share);
    let variance = squares * scale * scale / (count - columns) / (share * share);
    let factor = correction * correction * variance;
    let diagonal = inverse.diagonal();
    Some(
        diagonal
            .iter()
            .map(|entry| (factor * entry).max(0.0).sqrt())
            .collect(),
    )
}
