//! Tests of the ridge search: helpers here, the comparison with trying every chain, cases
//! worked by hand, and how long it takes.

mod brute;
mod cases;
mod timing;

use super::table::NANO;
use super::*;

/// Fixed-seed numbers in [0, 1): Knuth's MMIX constants, from memory; any would do.
struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 40) as f64 / f64::from(1u32 << 24)
    }

    fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }

    fn below(&mut self, count: usize) -> usize {
        (self.next() * count as f64) as usize
    }

    fn chance(&mut self, of: f64) -> bool {
        self.next() < of
    }
}

fn rules() -> RidgeRules {
    RidgeRules {
        min_slope: 15f64.to_radians(),
        pull: 0.0,
        tension: 800.0,
        max_span: 100.0,
        least_gap: 0.3,
        height_step: 0.05,
        most_posts: 8,
        only_pinned: false,
        twin: false,
    }
}

fn site(station: f64, lowest: i64, highest: i64) -> PostSite {
    PostSite {
        station,
        base: 0.0,
        lowest,
        highest,
        footing: 0,
        pinned: None,
    }
}

fn section(station: f64, points: &[(f64, f64)]) -> Section {
    Section {
        station,
        points: points
            .iter()
            .enumerate()
            .map(|(k, (across, height))| Touch {
                across: *across,
                height: *height,
                thing: k as u32,
            })
            .collect(),
    }
}

/// A flat boat of the given length: anchors and edges at height 1, half-beam `half`.
fn low_boat(length: f64, half: f64) -> RidgeProblem {
    let stations = |step: f64| (0..).map(move |k| f64::from(k) * step);
    RidgeProblem {
        stern: Anchor {
            station: 0.0,
            height: 1.0,
        },
        bow: Anchor {
            station: length,
            height: 1.0,
        },
        sections: stations(0.25)
            .take_while(|x| *x <= length)
            .map(|x| section(x, &[(half, 1.0 - half * 15f64.to_radians().tan())]))
            .collect(),
        sites: stations(0.25)
            .skip(1)
            .take_while(|x| *x < length)
            .map(|x| site(x, 20, 60))
            .collect(),
        free: Vec::new(),
        rules: rules(),
    }
}

/// What an answer costs by its own report.
fn reported(answer: &RidgeAnswer) -> (f64, f64) {
    (
        answer.violation_m * NANO,
        (answer.post_height_m * 1e5).round(),
    )
}
