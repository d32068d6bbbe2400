//! Numbers as they are written into records.

/// Finest step that is written, m, N, deg: far under what a tape shows. Digits beyond it would differ
/// between machines, since their mathematical functions do.
const STEP: f64 = 1e6;

/// A number rounded to what is worth writing; what is not finite becomes zero, so that no reader meets
/// a word where it wants a number.
pub(super) fn rounded(value: f64) -> f64 {
    let rounded = (value * STEP).round() / STEP;
    // Adding zero turns a negative zero into a plain one.
    if rounded.is_finite() {
        rounded + 0.0
    } else {
        0.0
    }
}

/// A number to three figures: for residuals, whose size is all that counts.
pub(super) fn three_figures(value: f64) -> f64 {
    format!("{value:.2e}")
        .parse()
        .ok()
        .filter(|value: &f64| value.is_finite())
        .unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_number_is_finite() {
        for (value, wanted) in [
            (1.0 / 3.0, 0.333_333),
            (-1e-9, 0.0),
            (f64::NAN, 0.0),
            (f64::INFINITY, 0.0),
            (1e300, 1e300),
        ] {
            let found = rounded(value);
            assert!(
                found == wanted || value == 1e300 && found.is_finite(),
                "{value}: {found}"
            );
            assert!(found.is_sign_positive());
        }
        assert_eq!(three_figures(1.23456e-9), 1.23e-9);
        assert_eq!(three_figures(f64::NAN), 0.0);
    }
}
