//! Fits against an independent library, closed forms, and the twin that must fail.

use super::*;
use proptest::prelude::*;
use serde_json::Value;

/// Parts by which a fit may differ from that of the independent library.
const SAME: f64 = 1e-6;

/// Standard errors by which a fit of data with slips may miss what they were made from.
const NEAR: f64 = 4.0;

/// Standard errors of the robust fit by which least squares misses it.
const FAR: f64 = 20.0;

struct Case {
    name: String,
    rows: Vec<Vec<f64>>,
    observed: Vec<f64>,
    value: Value,
}

fn numbers(value: &Value) -> Vec<f64> {
    value
        .as_array()
        .unwrap()
        .iter()
        .map(|value| value.as_f64().unwrap())
        .collect()
}

/// statsmodels' RLM: tests/references/robust_fit.py.
fn cases() -> Vec<Case> {
    let text = include_str!("../../../tests/references/robust_fit.json");
    let all: Value = serde_json::from_str(text).unwrap();
    let all = all.as_array().unwrap();
    assert!(all.len() >= 8);
    let case = |value: &Value| Case {
        name: value["name"].as_str().unwrap().to_owned(),
        rows: value["rows"]
            .as_array()
            .unwrap()
            .iter()
            .map(numbers)
            .collect(),
        observed: numbers(&value["observed"]),
        value: value.clone(),
    };
    all.iter().map(case).collect()
}

fn check(case: &Case, what: &str, found: &[f64], wanted: &[f64]) {
    assert_eq!(found.len(), wanted.len(), "{}: {what}", case.name);
    for (found, wanted) in found.iter().zip(wanted) {
        assert!(
            (found - wanted).abs() <= SAME * wanted.abs(),
            "{}: {what} {found} {wanted}",
            case.name
        );
    }
}

/// Plain least squares by its normal equations, apart from what is tested.
fn least_squares(rows: &[Vec<f64>], observed: &[f64]) -> Vec<f64> {
    let columns = rows[0].len();
    let sum = |i: usize, j: usize| rows.iter().map(|row| row[i] * row[j]).sum::<f64>();
    let normal = DMatrix::from_fn(columns, columns, sum);
    let right = |i: usize| {
        rows.iter()
            .zip(observed)
            .map(|(row, y)| row[i] * y)
            .sum::<f64>()
    };
    let right = DVector::from_fn(columns, |i, _| right(i));
    normal.lu().solve(&right).unwrap().as_slice().to_vec()
}

#[test]
fn fits_as_an_independent_library_does() {
    for case in cases() {
        let fit = robust_fit(&case.rows, &case.observed).unwrap();
        assert_eq!(
            fit.status,
            FitStatus::Converged,
            "{}: {}",
            case.name,
            fit.moved
        );
        check(
            &case,
            "coefficient",
            &fit.coefficients,
            &numbers(&case.value["coefficients"]),
        );
        check(
            &case,
            "standard error",
            &fit.errors,
            &numbers(&case.value["errors"]),
        );
        check(
            &case,
            "weight",
            &fit.weights,
            &numbers(&case.value["weights"]),
        );
        check(
            &case,
            "scale",
            &[fit.scale],
            &[case.value["scale"].as_f64().unwrap()],
        );
    }
}

#[test]
fn slips_carry_least_squares_away_and_not_the_robust_fit() {
    let mut gross = 0;
    for case in cases()
        .iter()
        .filter(|case| case.value["gross"].as_bool().unwrap())
    {
        let fit = robust_fit(&case.rows, &case.observed).unwrap();
        let plain = least_squares(&case.rows, &case.observed);
        check(
            case,
            "least squares",
            &plain,
            &numbers(&case.value["least_squares"]),
        );
        let misses = |found: &[f64]| {
            let truth = numbers(&case.value["truth"]);
            let errors = found.iter().zip(&truth).zip(&fit.errors);
            errors
                .map(|((found, truth), error)| (found - truth).abs() / error)
                .fold(0.0, f64::max)
        };
        let (robust, plain) = (misses(&fit.coefficients), misses(&plain));
        assert!(robust < NEAR, "{}: {robust}", case.name);
        // The twin that must fail.
        assert!(
            plain > FAR || case.rows[0].len() == 1 && plain > 0.4 * FAR,
            "{}: {plain}",
            case.name
        );
        gross += 1;
    }
    assert_eq!(gross, 3);
}

#[test]
fn a_line_is_found_exactly_and_slips_do_not_move_it() {
    let rows: Vec<Vec<f64>> = (0..12).map(|k| vec![1.0, f64::from(k)]).collect();
    let line: Vec<f64> = (0..12).map(|k| 2.0 - 0.5 * f64::from(k)).collect();
    for slips in [&[][..], &[3], &[3, 8], &[0, 6, 11], &[1, 2, 9, 10]] {
        let mut observed = line.clone();
        for (nth, slip) in slips.iter().enumerate() {
            observed[*slip] += if nth % 2 == 0 { 500.0 } else { -300.0 };
        }
        let fit = robust_fit(&rows, &observed).unwrap();
        assert_eq!(fit.status, FitStatus::Converged, "{slips:?}");
        assert!(
            (fit.coefficients[0] - 2.0).abs() < 1e-9,
            "{slips:?} {fit:?}"
        );
        assert!(
            (fit.coefficients[1] + 0.5).abs() < 1e-9,
            "{slips:?} {fit:?}"
        );
        assert!(
            fit.scale < 1e-9 && fit.errors.iter().all(|error| *error < 1e-9),
            "{slips:?} {fit:?}"
        );
        assert!(
            slips.iter().all(|slip| fit.weights[*slip] < 1e-6),
            "{slips:?} {fit:?}"
        );
    }
}

#[test]
fn nothing_at_all_is_fitted_by_nothing() {
    let rows: Vec<Vec<f64>> = (0..5).map(|k| vec![1.0, f64::from(k)]).collect();
    let fit = robust_fit(&rows, &[0.0; 5]).unwrap();
    assert_eq!((fit.status, fit.scale), (FitStatus::Converged, 0.0));
    assert!(fit.coefficients.iter().all(|value| *value == 0.0));
}

/// One column of ones: the root of Huber's equation, found by halving instead of by weights (closed form but for the root).
#[test]
fn a_mean_is_the_root_of_its_equation() {
    let observed = [1.0, 1.2, 0.9, 1.1, 1.4, 7.0, 0.8];
    let fit = robust_fit(&vec![vec![1.0]; observed.len()], &observed).unwrap();
    let score = |mean: f64| -> f64 {
        let threshold = TUNING * fit.scale;
        observed
            .iter()
            .map(|y| (y - mean).clamp(-threshold, threshold))
            .sum()
    };
    let (mut low, mut high) = (0.0, 10.0);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if score(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    assert!((fit.coefficients[0] - low).abs() < 1e-10, "{fit:?} {low}");
}

#[test]
fn what_cannot_be_fitted_is_told() {
    let one = |values: &[f64]| values.iter().map(|value| vec![*value]).collect::<Vec<_>>();
    let pairs = |second: fn(f64) -> f64| -> Vec<Vec<f64>> {
        (0..5).map(f64::from).map(|k| vec![k, second(k)]).collect()
    };
    let few = [0.0, 1.0, 2.0, 2.0, 4.0];
    let degenerate = [
        (Vec::new(), 0),
        (one(&[1.0]), 1),
        (pairs(|k| k * k)[..2].to_vec(), 2),
        (one(&[0.0; 5]), 5),
        (vec![Vec::new(); 5], 5),
        (pairs(|k| 2.0 * k), 5),
        (pairs(|k| 1e9 * k), 5),
    ];
    for (rows, count) in degenerate {
        let fit = robust_fit(&rows, &few[..count]).unwrap();
        assert_eq!(fit.status, FitStatus::Degenerate, "{rows:?}");
        assert!(fit.coefficients.is_empty());
    }
    let count = BrokenRows::Count {
        rows: 2,
        observed: 1,
    };
    assert_eq!(robust_fit(&one(&[1.0, 2.0]), &[1.0]), Err(count));
    assert_eq!(
        robust_fit(&one(&[1.0, f64::NAN]), &[1.0, 2.0]),
        Err(BrokenRows::Row(1))
    );
    assert_eq!(
        robust_fit(&one(&[1.0, 2.0]), &[1.0, f64::INFINITY]),
        Err(BrokenRows::Row(1))
    );
    assert_eq!(
        robust_fit(&[vec![1.0], vec![1.0, 2.0]], &[1.0, 2.0]),
        Err(BrokenRows::Row(1))
    );
    // Columns of very different size do not depend on each other by that.
    let fit = robust_fit(&pairs(|k| 1e15 * k * k), &few).unwrap();
    assert_eq!(fit.status, FitStatus::Converged);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Units of columns and observations, and a line added to all, change the fit as they must.
    #[test]
    fn a_fit_follows_its_units(
        points in prop::collection::vec((-5.0..5.0_f64, -1.0..1.0_f64), 8..30),
        unit in 0.01..100.0_f64, line in -3.0..3.0_f64,
    ) {
        let rows: Vec<Vec<f64>> = points.iter().map(|(x, _)| vec![1.0, *x]).collect();
        let observed: Vec<f64> = points.iter().map(|(x, y)| x + y * y * y).collect();
        let fit = robust_fit(&rows, &observed).unwrap();
        prop_assume!(fit.status == FitStatus::Converged);
        let rows: Vec<Vec<f64>> = points.iter().map(|(x, _)| vec![1.0, unit * x]).collect();
        let observed: Vec<f64> = points.iter().map(|(x, y)| unit * (x + y * y * y + line * x)).collect();
        let other = robust_fit(&rows, &observed).unwrap();
        prop_assume!(other.status == FitStatus::Converged);
        prop_assert!((other.coefficients[0] - unit * fit.coefficients[0]).abs() < 1e-6 * unit);
        prop_assert!((other.coefficients[1] - fit.coefficients[1] - line).abs() < 1e-6);
        prop_assert!((other.scale - unit * fit.scale).abs() < 1e-6 * unit);
    }
}
