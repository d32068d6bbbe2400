//! Outside checks of the loaded film, and what loads do to boats.
//!
//! `loaded_film.json` was computed for this project by programs that share no code with it (scikit-fem, compas_fd, scipy);
//! `loaded_film.py` beside it makes it again.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::expect_used,
    reason = "a test stops at the first thing that is not as it should be"
)]

mod boats;
mod cables;
mod films;
mod mesh;

use serde_json::Value;

/// The numbers of the independent programs.
fn reference() -> Value {
    serde_json::from_str(include_str!("../references/loaded_film.json")).unwrap()
}

/// A number of a JSON value by its key.
fn number(value: &Value, key: &str) -> f64 {
    value[key]
        .as_f64()
        .unwrap_or_else(|| panic!("no number '{key}' in {value}"))
}

/// Holds two numbers together, by a part of the wanted one.
fn close(what: &str, found: f64, wanted: f64, part: f64) {
    assert!(
        (found - wanted).abs() <= part * wanted.abs(),
        "{what}: {found}, wanted {wanted}"
    );
}
