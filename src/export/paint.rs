//! How fills, pens and words look, the same in every writer of drawings.

use super::slope_color::slope_color_bytes;
use crate::sheet::Fill;

/// How much of a slope's color is kept against white, so that black lines and words stand out.
const STRENGTH: f64 = 0.78;

/// Width of the white rim round words and marked lines, both sides together, mm.
pub(super) const RIM: f64 = 0.7;

/// Width of the line in a slope's own color that closes the seams to its neighbors, mm.
pub(super) const SEAM: f64 = 0.12;

/// Paper millimeters are written to this many decimals: finer than any printer.
const DECIMALS: usize = 2;

/// What an area is filled with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Paint {
    /// One color: red, green, blue.
    Color([u8; 3]),
    /// Parallel lines.
    Lines(Lines),
}

/// A pattern of parallel lines, each black on a white rim, so that it shows on any ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lines {
    /// Distance between two, mm.
    pub pitch: f64,
    /// Width of the black, mm.
    pub ink: f64,
    /// Width of the white under it, mm.
    pub rim: f64,
    /// Upright and level lines; else one run of lines that rise to the right.
    pub crossed: bool,
}

/// A holding patch.
pub(super) const HATCH: Lines = Lines {
    pitch: 1.6,
    ink: 0.32,
    rim: 0.7,
    crossed: false,
};

/// A pond.
pub(super) const CROSS: Lines = Lines {
    pitch: 1.4,
    ink: 0.3,
    rim: 0.6,
    crossed: true,
};

/// What a filling looks like.
pub(super) fn paint(fill: Fill) -> Paint {
    match fill {
        Fill::Slope { slope, least } => Paint::Color(washed(slope_color_bytes(slope, least))),
        Fill::Hatch => Paint::Lines(HATCH),
        Fill::Cross => Paint::Lines(CROSS),
        Fill::Paper => Paint::Color([255; 3]),
        Fill::Gray(share) => Paint::Color([gray(share); 3]),
    }
}

/// A color mixed with white.
fn washed(color: [u8; 3]) -> [u8; 3] {
    color.map(|part| (255.0 + STRENGTH * (f64::from(part) - 255.0)).round() as u8)
}

/// A gray from 0 (black) to 1 (white) as a byte.
pub(super) fn gray(share: f64) -> u8 {
    (255.0 * share.clamp(0.0, 1.0)).round() as u8
}

/// A number on paper without needless zeros; zero for what is not finite.
pub(super) fn millimeters(value: f64) -> String {
    let value = if value.is_finite() { value } else { 0.0 };
    let text = format!("{value:.DECIMALS$}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    match text {
        "-0" | "" => "0".to_owned(),
        text => text.to_owned(),
    }
}

/// A letter that every format can hold: names come from the user's file and may have anything in them.
pub(super) fn printable(letter: char) -> char {
    if letter.is_control() || matches!(letter, '\u{fffe}' | '\u{ffff}') {
        ' '
    } else {
        letter
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_letters_and_colors_are_plain() {
        for (value, wanted) in [
            (1.0, "1"),
            (10.0, "10"),
            (-0.001, "0"),
            (0.254, "0.25"),
            (f64::NAN, "0"),
        ] {
            assert_eq!(millimeters(value), wanted);
        }
        for (letter, wanted) in [('a', 'a'), ('\u{1b}', ' '), ('\u{ffff}', ' '), ('°', '°')] {
            assert_eq!(printable(letter), wanted);
        }
        // A half of nothing is 255 (1 - 0.78) = 56.1.
        assert_eq!(washed([0, 255, 0]), [56, 255, 56]);
        for (share, wanted) in [(-1.0, 0), (0.35, 89), (2.0, 255)] {
            assert_eq!(gray(share), wanted);
        }
    }
}
