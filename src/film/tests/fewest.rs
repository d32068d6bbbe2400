//! Fewest pleats and least ease against every set of pleats.

use super::chains::{Case, Depths, Numbers};
use crate::film::gather::{Limits, gather, least_ease};

/// Cases of each kind.
const CASES: usize = 400;

fn cases(seed: u64, smooth: bool) -> Vec<Case> {
    let mut numbers = Numbers(seed);
    let mut cases = Vec::new();
    while cases.len() < CASES {
        cases.extend(Case::random(&mut numbers, smooth));
    }
    cases
}

/// The fewest pleats of all sets of places that hold.
fn fewest(case: &Case) -> usize {
    let places = case.along.len() - 1;
    (0u32..1 << places)
        .filter(|set| {
            let pleats: Vec<usize> = (0..places).filter(|p| set & (1 << p) != 0).collect();
            case.holds(&pleats, Depths::Free)
        })
        .map(u32::count_ones)
        .min()
        .unwrap() as usize
}

#[test]
fn no_set_of_pleats_is_smaller() {
    let mut seen = [0; 8];
    for (number, case) in cases(1, false)
        .into_iter()
        .chain(cases(2, true))
        .enumerate()
    {
        let gathers = gather(&case.along, &case.rows, case.limits);
        let least = fewest(&case);
        assert_eq!(
            gathers.pleats.len(),
            least,
            "case {number}: {case:?} {gathers:?}"
        );
        assert!(
            case.holds(&gathers.pleats, Depths::Free),
            "case {number}: {gathers:?}"
        );
        // Bow for stern, the same number.
        let turned = case.turned();
        let other = gather(&turned.along, &turned.rows, turned.limits);
        assert_eq!(other.pleats.len(), least, "case {number}");
        seen[least] += 1;
    }
    // The cases are worth something: none, one, two and more pleats all come often.
    assert!(
        seen[0] > 20 && seen[1] > 50 && seen[2] > 50 && seen[3] > 20,
        "{seen:?}"
    );
}

#[test]
fn pleats_take_what_they_must_and_no_more() {
    for (number, case) in cases(3, false).into_iter().enumerate() {
        let gathers = gather(&case.along, &case.rows, case.limits);
        let (pleats, depths) = (&gathers.pleats, &gathers.depths);
        assert!(
            case.holds(pleats, Depths::Given(depths)),
            "case {number}: {case:?} {gathers:?}"
        );
        for row in 0..depths.len() {
            for span in 0..depths[row].len() {
                for pleat in 0..pleats.len() {
                    let mut less = depths.clone();
                    less[row][span][pleat] -= 1e-6;
                    let taken = depths[row][span][pleat];
                    assert!(
                        taken == 0.0 || !case.holds(pleats, Depths::Given(&less)),
                        "case {number}: {taken} in row {row} span {span} pleat {pleat}"
                    );
                }
            }
        }
    }
}

#[test]
fn pleats_that_are_folded_deeper_still_hold() {
    let mut deeper = 0;
    for (number, case) in cases(4, true).into_iter().enumerate() {
        let gathers = gather(&case.along, &case.rows, case.limits);
        let deepest = |pleat: usize| {
            let all = gathers.depths.iter().flatten().map(|taken| taken[pleat]);
            all.fold(0.0, f64::max)
        };
        let least = case.limits.smooth;
        let pleats = 0..gathers.pleats.len();
        deeper += pleats
            .filter(|p| (deepest(*p) - least).abs() < 1e-12)
            .count();
        assert!(
            case.holds(&gathers.pleats, Depths::Given(&gathers.depths)),
            "case {number}: {case:?} {gathers:?}"
        );
    }
    assert!(deeper > 20, "{deeper}");
}

#[test]
fn no_less_ease_will_do() {
    let mut eased = 0;
    for (number, case) in cases(5, true).into_iter().enumerate() {
        // Pleats everywhere leave only what stretches.
        let all: Vec<usize> = (0..case.along.len()).collect();
        assert!(case.holds(&all, Depths::Free), "case {number}: {case:?}");
        let limits = Limits {
            ease: 0.0,
            ..case.limits
        };
        let (ease, holds) = least_ease(&case.along, &case.rows, limits);
        assert!(holds && ease == case.limits.ease);
        if ease > 1e-5 {
            let mut less = case.clone();
            less.limits.ease = ease - 1e-5;
            assert!(!less.holds(&all, Depths::Free), "case {number}: {case:?}");
            eased += 1;
        }
    }
    assert!(eased > 20, "{eased}");
}

/// Twins that must fail: one pleat less than the fewest, and a limit that is not the case's.
#[test]
fn the_other_method_tells_cases_apart() {
    let (mut less, mut tighter) = (0, 0);
    for case in cases(6, false) {
        let gathers = gather(&case.along, &case.rows, case.limits);
        let Some((_, rest)) = gathers.pleats.split_last() else {
            continue;
        };
        assert!(!case.holds(rest, Depths::Free));
        less += 1;
        let mut tight = case.clone();
        tight.limits.shrink = 0.0;
        tight.limits.skew = 0.0;
        tighter += usize::from(!tight.holds(&gathers.pleats, Depths::Free));
    }
    assert!(less > 100 && tighter > 50, "{less} {tighter}");
}
