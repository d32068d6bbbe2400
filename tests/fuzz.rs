//! Whatever bytes come in, a boat file is read or refused with its problems, and what is read is planned or refused:
//! nothing panics.
//!
//! `cargo test` tries a few hundred; `cargo bolero test --test fuzz NAME` goes on under a fuzzer for as long as wanted.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first thing that is not as it should be"
)]

use bolero::check;
use hulltent::boat::{self, Boat, Preset, Rules, presets, read_bytes};
use hulltent::plan::plan;

/// Inputs that `cargo test` tries: bytes are read in no time, planning takes some.
const BYTES: usize = 20_000;
const BOATS: usize = 400;

/// Cells and steps along and up a boat: coarse, so that planning is fast; the code is the same.
const CELLS: f64 = 16.0;
const STEPS: f64 = 40.0;
const HEIGHTS: f64 = 30.0;

fn companion(name: &str) -> Result<String, String> {
    Err(format!("no table '{name}'"))
}

/// Rules of the same boat that cost little.
fn coarse(boat: &Boat) -> Rules {
    Rules {
        cell: boat.rules.cell.max(boat.length / CELLS),
        search_cell: boat.rules.search_cell.max(boat.length / CELLS),
        station_step: boat.rules.station_step.max(boat.length / STEPS),
        height_step: boat.rules.height_step.max(boat.rules.max_post / HEIGHTS),
        max_span: boat.rules.max_span.max(boat.length / 8.0),
        ..boat.rules.clone()
    }
}

/// Reads, and plans what could be read.
fn survives(bytes: &[u8], companion: &dyn Fn(&str) -> Result<String, String>) {
    match read_bytes(bytes, companion) {
        Ok(boat) => match plan(&boat, &coarse(&boat)) {
            Ok(plan) => {
                let finite = |p: &nalgebra::Point3<f64>| p.coords.iter().all(|c| c.is_finite());
                assert!(plan.cover.mesh.vertices.iter().all(finite));
            }
            Err(problems) => assert!(!problems.is_empty()),
        },
        Err(problems) => {
            assert!(!problems.list.is_empty());
            for problem in &problems.list {
                assert!(
                    !problem.what.is_empty() && !problem.hint.is_empty(),
                    "{problem}"
                );
            }
        }
    }
}

#[test]
fn any_bytes_are_survived() {
    check!()
        .with_iterations(BYTES)
        .with_max_len(512)
        .for_each(|bytes: &[u8]| survives(bytes, &companion));
}

/// Hands out bytes as decisions; when they run out, zero.
struct Decisions<'a> {
    bytes: &'a [u8],
}

impl Decisions<'_> {
    fn next(&mut self) -> usize {
        match self.bytes.split_first() {
            Some((first, rest)) => {
                self.bytes = rest;
                usize::from(*first)
            }
            None => 0,
        }
    }

    /// One of many: two bytes, since a boat file has more than 256 tokens.
    fn below(&mut self, count: usize) -> usize {
        (256 * self.next() + self.next()) % count.max(1)
    }
}

/// A boat file in pieces: names, numbers with their unit, signs, the rest between them.
fn tokens(text: &str) -> Vec<String> {
    let mut tokens: Vec<String> = Vec::new();
    let mut quoted = false;
    for c in text.chars() {
        let grows = tokens
            .last()
            .and_then(|token| token.chars().last())
            .is_some_and(|last| {
                let of_word = |c: char| c.is_alphanumeric() || c == '_' || c == '.';
                quoted || (of_word(last) && of_word(c))
            });
        if grows {
            tokens.last_mut().unwrap().push(c);
        } else {
            tokens.push(c.to_string());
        }
        if c == '"' {
            quoted = !quoted;
        }
    }
    tokens
}

/// What a number, or a quoted dimension, is replaced by.
const EXTREME: &[&str] = &[
    "0",
    "-1",
    "1e308",
    "-1e308",
    "1e-308",
    "NaN",
    "inf",
    "-inf",
    "9999999999999999999",
    "\"0 in\"",
    "\"-3 ft\"",
    "\"1e300 m\"",
    "\"1e-300 m\"",
    "\"NaN m\"",
    "\"40 m\"",
    "\"1.5 m\"",
    "\"0.02 m\"",
    "\"90 deg\"",
    "\"89.9 deg\"",
    "\"-10 deg\"",
    "\"60 deg\"",
    "\"\"",
    "\"in\"",
    "\"5'\"",
    "\"18'6\\\"\"",
    "\"1 lbf\"",
    "\"50 kN\"",
    "1.0",
    "0.5",
    "true",
    "None",
    "[]",
    "()",
    "{}",
    "\"\u{2032}\u{2033}\"",
    "\"10 ft\"",
    "\"3 ft\"",
    "\"6 in\"",
    "\"2 m\"",
];

/// A preset with a few of its tokens deleted, doubled, swapped or replaced.
fn mutated(preset: &Preset, decisions: &mut Decisions) -> String {
    let mut tokens = tokens(preset.text);
    let changes = 1 + decisions.next() % 6;
    for _ in 0..changes {
        if tokens.is_empty() {
            break;
        }
        let at = decisions.below(tokens.len());
        let dimensions: Vec<usize> = (0..tokens.len())
            .filter(|i| tokens[*i].starts_with(|c: char| c.is_ascii_digit() || c == '"'))
            .collect();
        match decisions.next() % 8 {
            0 => {
                tokens.remove(at);
            }
            1 => tokens.insert(at, tokens[at].clone()),
            2 => {
                let other = decisions.below(tokens.len());
                tokens.swap(at, other);
            }
            3 => tokens.truncate(at),
            // Most often a dimension changes, so that many files can still be read.
            4 | 5 if !dimensions.is_empty() => {
                let at = dimensions[decisions.below(dimensions.len())];
                tokens[at] = EXTREME[decisions.below(EXTREME.len())].to_owned();
            }
            _ if !dimensions.is_empty() => {
                let at = dimensions[decisions.below(dimensions.len())];
                let other = dimensions[decisions.below(dimensions.len())];
                tokens[at] = tokens[other].clone();
            }
            _ => {}
        }
    }
    tokens.concat()
}

#[test]
fn mutated_presets_are_survived() {
    check!()
        .with_iterations(BOATS)
        .with_max_len(64)
        .for_each(|bytes: &[u8]| {
            let mut decisions = Decisions { bytes };
            let preset = &presets()[decisions.below(presets().len())];
            let text = mutated(preset, &mut decisions);
            survives(text.as_bytes(), &companion);
        });
}

#[test]
fn mutated_tables_of_offsets_are_survived() {
    const TABLE: &str = include_str!("../hull-presets/rowing-dinghy-12.csv");
    let dinghy = boat::preset("rowing-dinghy-12").unwrap();
    check!()
        .with_iterations(BOATS)
        .with_max_len(64)
        .for_each(|bytes: &[u8]| {
            let mut decisions = Decisions { bytes };
            let table = mutated(
                &Preset {
                    name: "table",
                    text: TABLE,
                },
                &mut decisions,
            );
            survives(dinghy.text.as_bytes(), &|_| Ok(table.clone()));
        });
}

#[test]
fn tokens_are_names_numbers_and_quoted_dimensions() {
    // By hand.
    let text = "(a_1: \"2 ft\", b: [-3.5, Some(x)])";
    let wanted = [
        "(", "a_1", ":", " ", "\"2 ft\"", ",", " ", "b", ":", " ", "[", "-", "3.5", ",", " ",
        "Some", "(", "x", ")", "]", ")",
    ];
    assert_eq!(tokens(text), wanted);
}

#[test]
fn mutations_reach_the_reader_and_the_planner() {
    // Else what is survived would be the same refusal, or the preset itself, over and over.
    let (mut same, mut read, mut refused) = (0, 0, std::collections::BTreeSet::new());
    let mut state = 1_u64;
    for _ in 0..BOATS {
        let bytes: Vec<u8> = (0..64)
            .map(|_| {
                // A linear congruential generator, Knuth's MMIX constants.
                state = state
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1_442_695_040_888_963_407);
                (state >> 56) as u8
            })
            .collect();
        let mut decisions = Decisions { bytes: &bytes };
        let preset = &presets()[decisions.below(presets().len())];
        let text = mutated(preset, &mut decisions);
        if text == preset.text {
            same += 1;
            continue;
        }
        match read_bytes(text.as_bytes(), &companion) {
            Ok(_) => read += 1,
            Err(problems) => {
                refused.extend(problems.list.into_iter().map(|problem| problem.what));
            }
        }
    }
    assert!(same < BOATS / 4, "{same} of {BOATS} are as they were");
    assert!(read > BOATS / 20, "{read} of {BOATS} can be read");
    assert!(refused.len() > 50, "{} reasons of refusal", refused.len());
}
