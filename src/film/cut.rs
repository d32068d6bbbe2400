//! What is cut from the roll: width, length, roll, seams, trim.

use super::Cut;
use crate::boat::Rules;

/// Most sheets side by side: a boat that needs more is no boat.
const MAX_SHEETS: usize = 12;

/// Chooses a roll for a sheet of a width and length, over a cover that takes `covered` of it with its tucks.
///
/// # Units
/// Meters and square meters.
pub(super) fn cut(rules: &Rules, width: f64, length: f64, covered: f64) -> Cut {
    let one = rules.rolls.iter().copied().find(|roll| *roll >= width);
    let (roll, sheets) = match one {
        Some(roll) => (roll, 1),
        None => seamed(rules, width),
    };
    let laid = roll * sheets as f64 - rules.seam_lap * (sheets as f64 - 1.0);
    let seams = (1..sheets)
        .map(|k| {
            // The middle of each overlap, from the port edge.
            let from_port = k as f64 * (roll - rules.seam_lap) + 0.5 * rules.seam_lap;
            0.5 * laid - from_port
        })
        .collect();
    let taken = roll * sheets as f64 * length;
    Cut {
        width,
        length,
        roll,
        sheets,
        seams,
        taken,
        trim: (taken - covered).max(0.0),
    }
}

/// The fewest sheets, then the narrowest roll that does with so many.
fn seamed(rules: &Rules, width: f64) -> (f64, usize) {
    for sheets in 2..=MAX_SHEETS {
        let does =
            |roll: &f64| roll * sheets as f64 - rules.seam_lap * (sheets as f64 - 1.0) >= width;
        if let Some(roll) = rules.rolls.iter().copied().find(does) {
            return (roll, sheets);
        }
    }
    (rules.rolls.last().copied().unwrap_or(width), MAX_SHEETS)
}

#[cfg(test)]
mod tests {
    use super::*;

    const FOOT: f64 = 0.3048;

    fn check(rolls: &[f64], width: f64, roll: f64, sheets: usize, seams: &[f64]) {
        let rules = Rules {
            rolls: rolls.iter().map(|feet| feet * FOOT).collect(),
            seam_lap: 0.5 * FOOT,
            ..Rules::default()
        };
        let cut = cut(&rules, width * FOOT, 10.0, 20.0);
        assert!((cut.roll / FOOT - roll).abs() < 1e-9, "{cut:?}");
        assert_eq!(cut.sheets, sheets, "{cut:?}");
        let found: Vec<f64> = cut.seams.iter().map(|y| y / FOOT).collect();
        assert_eq!(found.len(), seams.len());
        for (a, b) in found.iter().zip(seams) {
            assert!((a - b).abs() < 1e-9, "{found:?}");
        }
        assert!((cut.taken - cut.trim - 20.0).abs() < 1e-9);
    }

    #[test]
    fn the_narrowest_roll_that_does() {
        // Counted by hand: two sheets of 14 ft with half a foot of lap cover 27.5 ft.
        check(&[12.0, 14.0, 20.0], 13.0, 14.0, 1, &[]);
        check(&[12.0, 14.0, 20.0], 20.0, 20.0, 1, &[]);
        check(&[12.0, 14.0, 20.0], 27.0, 14.0, 2, &[0.0]);
        check(&[12.0], 30.0, 12.0, 3, &[5.75, -5.75]);
    }
}
