//! The even lay: within the limits wherever that can be, and no film lost between sheet, boat, shrink and pleats.

use super::chains::{Case, Numbers};
use crate::boat::Hand;
use crate::film::side::{Laid, Side};

/// Rounding, m and parts.
const ROUNDING: f64 = 1e-8;

/// A side with no more than what the lay reads.
fn side(case: &Case) -> Side {
    Side {
        hand: Hand::Port,
        threads: Vec::new(),
        along: case.along.clone(),
        met: Vec::new(),
        rows: case.rows.clone(),
    }
}

/// What is wrong with a lay: film between any two threads of a row must be boat, shrink and pleats; no place may lie
/// farther from its thread than the slip.
pub fn sums(
    side: &Side,
    laid: &Laid,
    limits: crate::film::gather::Limits,
) -> Result<usize, String> {
    let mut seen = 0;
    for (r, row) in side.rows.iter().enumerate() {
        for (s, span) in row.spans.iter().enumerate() {
            let (places, shrinks) = (&laid.places[r][s], &laid.shrinks[r][s]);
            // Boat, shrink and pleats from the first thread of the span on.
            let mut behind = vec![[0.0; 3]];
            for (k, (width, shrink)) in span.widths.iter().zip(shrinks).enumerate() {
                let gap = span.threads[k]..span.threads[k + 1];
                let pleats = laid.gathers.pleats.iter().zip(&laid.gathers.depths[r][s]);
                let folded: f64 = pleats
                    .filter(|(p, _)| gap.contains(p))
                    .map(|(_, d)| d)
                    .sum();
                let [boat, shrunk, pleats] = behind[k];
                let shrunk = shrunk + width * shrink / (1.0 - shrink);
                behind.push([boat + width, shrunk, pleats + folded]);
            }
            for a in 0..span.threads.len() {
                let slip = places[a] - (1.0 + limits.ease) * side.along[span.threads[a]];
                if slip.abs() > limits.slip(row.run) + ROUNDING {
                    return Err(format!("row {r}: slip {slip} at {a}"));
                }
                for b in a + 1..span.threads.len() {
                    let sheet = places[b] - places[a];
                    let parts = [0, 1, 2].map(|part| behind[b][part] - behind[a][part]);
                    if (sheet - parts.iter().sum::<f64>()).abs() > ROUNDING {
                        return Err(format!(
                            "row {r}, {a} to {b}: sheet {sheet}, boat, shrink and pleats {parts:?}"
                        ));
                    }
                    seen += 1;
                }
            }
        }
    }
    Ok(seen)
}

#[test]
fn film_nowhere_stretches_nor_shrinks_over_the_limit() {
    let mut numbers = Numbers(7);
    let mut seen = 0;
    for number in 0..1000 {
        let Some(case) = Case::random(&mut numbers, number % 2 == 1) else {
            continue;
        };
        let laid = side(&case).lay(case.limits);
        for shrink in laid.shrinks.iter().flatten().flatten() {
            assert!(
                *shrink > -ROUNDING && *shrink < case.limits.shrink + ROUNDING,
                "case {number}: {shrink}, {case:?} {:?}",
                laid.gathers
            );
            seen += 1;
        }
    }
    assert!(seen > 5000, "{seen}");
}

#[test]
fn sheet_is_boat_and_shrink_and_pleats() {
    let mut numbers = Numbers(8);
    for number in 0..400 {
        let Some(case) = Case::random(&mut numbers, number % 2 == 1) else {
            continue;
        };
        let side = side(&case);
        let mut laid = side.lay(case.limits);
        assert!(
            sums(&side, &laid, case.limits).is_ok(),
            "{:?}",
            sums(&side, &laid, case.limits)
        );
        // Twin that must fail: a pleat that takes a millimeter more than it was laid with.
        let deep = laid
            .gathers
            .depths
            .iter_mut()
            .flatten()
            .flatten()
            .find(|depth| **depth > 0.0);
        if let Some(depth) = deep {
            *depth += 1e-3;
            assert!(sums(&side, &laid, case.limits).is_err(), "case {number}");
        }
    }
}
