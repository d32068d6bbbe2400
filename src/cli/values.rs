//! Values of options: parsed with their units, held to what makes sense.

use crate::sheet::Paper;
use crate::units::{METERS_PER_FOOT, UnitError, UnitSystem, parse_angle, parse_length};
use clap::ValueEnum;
use std::ops::RangeInclusive;

fn told<T>(result: Result<T, UnitError>) -> Result<T, String> {
    result.map_err(|error| format!("{error}; {}", error.hint()))
}

fn within(
    value: f64,
    range: &RangeInclusive<f64>,
    print: impl Fn(f64) -> String,
) -> Result<f64, String> {
    if range.contains(&value) {
        Ok(value)
    } else {
        Err(format!(
            "it must lie between {} and {}",
            print(*range.start()),
            print(*range.end())
        ))
    }
}

fn length(text: &str, range: RangeInclusive<f64>) -> Result<f64, String> {
    let meters = told(parse_length(text))?;
    within(meters, &range, |meters| {
        format!(
            "{} ({})",
            UnitSystem::FeetInches.format_length(meters),
            UnitSystem::Metric.format_length(meters)
        )
    })
}

/// Least slope, rad.
pub(super) fn min_slope(text: &str) -> Result<f64, String> {
    let radians = told(parse_angle(text))?;
    within(
        radians,
        &(1f64.to_radians()..=60f64.to_radians()),
        |radians| UnitSystem::Metric.format_angle(radians),
    )
}

/// Clearance, m.
pub(super) fn clearance(text: &str) -> Result<f64, String> {
    length(text, 0.0..=1.5)
}

/// Longest span, m.
pub(super) fn max_span(text: &str) -> Result<f64, String> {
    length(text, 0.5..=10.0)
}

/// Greatest height of a post, m.
pub(super) fn max_post(text: &str) -> Result<f64, String> {
    length(text, METERS_PER_FOOT..=8.0)
}

/// Size of a cell, m.
pub(super) fn cell(text: &str) -> Result<f64, String> {
    length(text, 0.01..=0.5)
}

/// Paper that is printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Size {
    /// US letter, 8.5 x 11 in
    Letter,
    /// A4, 210 x 297 mm
    A4,
}

impl From<Size> for Paper {
    fn from(size: Size) -> Paper {
        match size {
            Size::Letter => Paper::Letter,
            Size::A4 => Paper::A4,
        }
    }
}

/// Sides of a picture, pixels: room for its words, and no more than any driver takes.
const PICTURE_SIDES: RangeInclusive<u32> = 320..=8192;

/// Width and height of a picture, pixels.
pub(super) fn picture_size(text: &str) -> Result<[u32; 2], String> {
    let sides = text.split_once(['x', 'X']).and_then(|(width, height)| {
        Some([width.trim().parse().ok()?, height.trim().parse().ok()?])
    });
    match sides {
        Some(sides) if sides.iter().all(|side| PICTURE_SIDES.contains(side)) => Ok(sides),
        Some(_) => Err(format!(
            "both sides must lie between {} and {} pixels",
            PICTURE_SIDES.start(),
            PICTURE_SIDES.end()
        )),
        None => Err("write width and height in pixels, as 1280x800".to_owned()),
    }
}

/// A system of units.
pub(super) fn units(text: &str) -> Result<UnitSystem, String> {
    told(text.parse())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(parse: fn(&str) -> Result<f64, String>, text: &str, wanted: Result<f64, &str>) {
        match (parse(text), wanted) {
            (Ok(found), Ok(wanted)) => assert!((found - wanted).abs() < 1e-12, "{text}: {found}"),
            (Err(found), Err(wanted)) => assert!(found.contains(wanted), "{text}: {found}"),
            (found, wanted) => panic!("{text}: {found:?} is not {wanted:?}"),
        }
    }

    #[test]
    fn values_are_held_to_their_ranges() {
        check(min_slope, "15 deg", Ok(15f64.to_radians()));
        check(min_slope, "3:12", Ok(0.25f64.atan()));
        check(min_slope, "75 deg", Err("between 1.0° and 60.0°"));
        check(min_slope, "15 ft", Err("unknown unit 'ft'"));
        check(max_span, "8 ft", Ok(2.4384));
        check(max_span, "-8 ft", Err("between"));
        check(max_post, "8 fot", Err("did you mean"));
        check(cell, "0 in", Err("between"));
        check(clearance, "nan m", Err("not a finite number"));
        assert_eq!(picture_size("1280x800"), Ok([1280, 800]));
        assert!(picture_size("1280").is_err_and(|error| error.contains("1280x800")));
        assert!(picture_size("10x10").is_err_and(|error| error.contains("between")));
        assert_eq!(units("metric"), Ok(UnitSystem::Metric));
        assert!(units("yd").is_err_and(|error| error.contains("write ft or m")));
    }
}
