//! Hours learned: what recorded jobs took against what the price book says, step by step.

use super::recorded::AsBuilt;
use crate::num::robust::{FitStatus, robust_fit};
use crate::takeoff::prices::Step;
use crate::takeoff::{Learned, LearnedStep};

/// Fewer jobs teach nothing: their spread cannot be told.
pub const MIN_JOBS: usize = 3;

/// Learns from recorded jobs: for each step the factor of a robust regression (Huber's, through the origin, so that one
/// day of rain or one slip of the pen does not move it) of the hours taken on the hours by the price book.
#[must_use]
pub fn learn(records: &[AsBuilt]) -> Learned {
    let mut learned = Learned::default();
    for step in Step::ALL {
        let (book, taken): (Vec<f64>, Vec<f64>) = records
            .iter()
            .filter_map(|record| {
                let taken = *record.taken.get(&step)?;
                Some((record.by_book.of(step), taken))
            })
            .filter(|(book, taken)| *book > 0.0 && *taken > 0.0)
            .unzip();
        if book.len() < MIN_JOBS {
            continue;
        }
        if let Some(found) = factor(&book, &taken) {
            learned.steps.insert(step, found);
        }
    }
    learned
}

/// The factor of one step; `None` where no fit is found.
fn factor(book: &[f64], taken: &[f64]) -> Option<LearnedStep> {
    let rows: Vec<Vec<f64>> = book.iter().map(|hours| vec![*hours]).collect();
    let fit = robust_fit(&rows, taken).ok()?;
    let (factor, error) = (*fit.coefficients.first()?, *fit.errors.first()?);
    let sound = fit.status == FitStatus::Converged && factor > 0.0;
    sound.then_some(LearnedStep {
        factor,
        error,
        spread: fit.scale,
        jobs: book.len(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::takeoff::Hours;
    use std::collections::BTreeMap;

    fn record(book: f64, taken: f64) -> AsBuilt {
        AsBuilt {
            by_book: Hours(BTreeMap::from([(Step::Frame, book)])),
            taken: BTreeMap::from([(Step::Frame, taken)]),
            ..AsBuilt::default()
        }
    }

    #[test]
    fn a_slow_crew_is_learned_and_a_slip_is_not() {
        let mut records: Vec<AsBuilt> = [1.0, 1.5, 2.0, 2.5, 3.0]
            .iter()
            .zip([0.02, -0.03, 0.01, 0.03, -0.02])
            .map(|(book, off)| record(*book, 1.4 * book + off))
            .collect();
        let honest = learn(&records).steps[&Step::Frame];
        assert!((honest.factor - 1.4).abs() < 0.02 && honest.jobs == 5);
        assert!(honest.spread > 0.0 && honest.spread < 0.1 && honest.error < honest.spread);
        // Forty hours for four.
        records.push(record(2.0, 28.0));
        let slipped = learn(&records).steps[&Step::Frame];
        assert!((slipped.factor - 1.4).abs() < 0.05, "{slipped:?}");
        assert!(!learn(&records).steps.contains_key(&Step::Film));
        assert!(learn(&records[..2]).steps.is_empty());
    }
}
