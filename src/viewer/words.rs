//! Places and numbers in the trade's words, for panels and labels.

use crate::boat::Hand;
use crate::units::UnitSystem;
use nalgebra::Point3;

/// Offsets under this are called the centerline, m.
pub const ON_CENTERLINE: f64 = 0.02;

/// A place: `station 4'2", 1'3" port`.
pub fn place(at: &Point3<f64>, units: UnitSystem) -> String {
    let station = units.format_length(at.x);
    if at.y.abs() < ON_CENTERLINE {
        return format!("station {station}, center");
    }
    let hand = if at.y > 0.0 {
        Hand::Port
    } else {
        Hand::Starboard
    };
    format!(
        "station {station}, {} {}",
        units.format_length(at.y.abs()),
        hand.word()
    )
}

/// A number with its noun: `2 posts`.
pub fn count(number: usize, noun: &str) -> String {
    match number {
        0 => format!("no {noun}s"),
        1 => format!("1 {noun}"),
        number => format!("{number} {noun}s"),
    }
}
