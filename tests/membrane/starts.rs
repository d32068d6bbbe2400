//! The energy is convex: one answer, whatever the start, and none lower.

use crate::films::{Film, films};
use crate::sheet::Sheet;
use hulltent::num::bounded::Energy;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed, TestRunner};

/// Heights from any two starts agree to this, m.
const HEIGHTS: f64 = 1e-7;

/// Random starts a film.
const STARTS: u32 = 12;

/// The same cases in every run.
fn runner(cases: u32) -> TestRunner {
    TestRunner::new(Config {
        cases,
        rng_seed: RngSeed::Fixed(18),
        failure_persistence: None,
        ..Config::default()
    })
}

/// Random numbers in [-1, 1], one a node.
fn noise(sheet: &Sheet) -> impl Strategy<Value = Vec<f64>> {
    proptest::collection::vec(-1.0..1.0, sheet.points.len())
}

fn shifted(sheet: &Sheet, by: impl Fn(usize) -> f64) -> Vec<f64> {
    let mut start = sheet.start.clone();
    for (node, z) in start.iter_mut().enumerate() {
        if !sheet.fixed[node] {
            *z += by(node);
        }
    }
    start
}

fn apart(a: &[f64], b: &[f64]) -> f64 {
    a.iter()
        .zip(b)
        .map(|(a, b)| (a - b).abs())
        .fold(0.0, f64::max)
}

#[test]
fn the_answer_does_not_depend_on_the_start() {
    for Film { name, sheet } in films() {
        let answer = sheet.solve();
        let from = |start: Vec<f64>| {
            let mut other = sheet.clone();
            other.start = start;
            let found = other.solve();
            apart(&found.z, &answer.z)
        };
        for height in [-50.0, -1.0, 1.0, 50.0] {
            let apart = from(shifted(&sheet, |_| height));
            assert!(apart < HEIGHTS, "{name} from {height}: {apart:e}");
        }
        let random = (noise(&sheet), -2.0..1.0, -3.0..3.0);
        runner(STARTS)
            .run(&random, |(noise, power, level)| {
                let rough = 10_f64.powf(power);
                let apart = from(shifted(&sheet, |node| level + rough * noise[node]));
                prop_assert!(apart < HEIGHTS, "{}: {:e}", name, apart);
                Ok(())
            })
            .unwrap();
    }
}

#[test]
fn no_feasible_shape_near_or_far_has_less_energy() {
    for Film { name, sheet } in films() {
        let film = sheet.film();
        let answer = sheet.solve();
        let random = (noise(&sheet), -4.0..1.0);
        runner(64)
            .run(&random, |(noise, power)| {
                let size = 10_f64.powf(power);
                let moved: Vec<f64> = (0..noise.len())
                    .map(|node| {
                        if sheet.fixed[node] {
                            answer.z[node]
                        } else {
                            (answer.z[node] + size * noise[node]).max(sheet.lower[node])
                        }
                    })
                    .collect();
                let more = film.value(&moved) - answer.energy;
                prop_assert!(more > 0.0, "{} moved by {}: {:e}", name, size, more);
                Ok(())
            })
            .unwrap();
    }
}

/// Convex: half-way between two shapes there is no more energy than half of both together.
#[test]
fn the_energy_is_convex() {
    for Film { name, sheet } in films() {
        let film = sheet.film();
        runner(32)
            .run(&(noise(&sheet), noise(&sheet)), |(a, b)| {
                let half: Vec<f64> = a.iter().zip(&b).map(|(a, b)| 0.5 * (a + b)).collect();
                let chord = 0.5 * (film.value(&a) + film.value(&b));
                prop_assert!(film.value(&half) < chord, "{}", name);
                Ok(())
            })
            .unwrap();
    }
}
