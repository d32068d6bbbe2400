//! Colors for the slope of a surface.

use colorgrad::{Color, Gradient, preset};
use std::f64::consts::{FRAC_PI_2, FRAC_PI_3};

/// From this slope on the color no longer changes, for a least slope of up to 30 deg: at 60 deg the
/// shape factor for snow has fallen to nothing (EN 1991-1-3), so that steeper makes no odds.
const STEEP: f64 = FRAC_PI_3;

/// Where on the map level ground lies: the bright end, since this is what must catch the eye.
const LEVEL_END: f64 = 1.0;

/// Where the slopes below the least end, and where those above it begin. The stretch left out between
/// them is the break: three tenths of the map, more than 20 units of lightness, so it shows in gray too.
const BELOW_LEAST: f64 = 0.70;
/// See [`BELOW_LEAST`].
const FROM_LEAST: f64 = 0.40;

/// Where on the map the steepest slopes lie: the dark end.
const STEEP_END: f64 = 0.0;

/// Color of a slope against the least slope wanted: linear red, green, blue and an alpha of 1, as glTF
/// wants for vertex colors.
///
/// Too flat runs from bright yellow (level) to olive, steep enough from slate to dark blue (60 deg and
/// more), with a break in lightness at the least slope itself, which counts as steep enough. The map is
/// cividis: even to the eye, read alike with and without color blindness (Nunez, Anderton and
/// Renslow 2018, from memory). A slope that is not a number counts as level, so that it is not overlooked.
///
/// # Units
/// Both slopes in radians from the horizontal; the colors 0 to 1.
pub fn slope_color(slope_rad: f64, least_rad: f64) -> [f32; 4] {
    color(slope_rad, least_rad).to_linear_rgba()
}

/// The same color for drawings: `#rrggbb` in sRGB.
///
/// # Units
/// Both slopes in radians from the horizontal.
pub fn slope_color_hex(slope_rad: f64, least_rad: f64) -> String {
    let [r, g, b] = slope_color_bytes(slope_rad, least_rad);
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// The same color as red, green and blue in sRGB.
pub(super) fn slope_color_bytes(slope_rad: f64, least_rad: f64) -> [u8; 3] {
    let [r, g, b, _] = color(slope_rad, least_rad).to_rgba8();
    [r, g, b]
}

fn color(slope: f64, least: f64) -> Color {
    let slope = if slope.is_nan() { 0.0 } else { slope.max(0.0) };
    let (from, to, share) = if slope < least {
        (LEVEL_END, BELOW_LEAST, slope / least)
    } else {
        // Never less than half of what lies above the least slope, for whoever wants it very steep.
        let room = STEEP.max((least + FRAC_PI_2) / 2.0) - least;
        let share = if room > 0.0 {
            (slope - least) / room
        } else {
            1.0
        };
        (FROM_LEAST, STEEP_END, share)
    };
    let at = from + (to - from) * share.clamp(0.0, 1.0);
    preset::cividis().at(at as f32)
}

#[cfg(test)]
mod tests {
    use super::*;

    const LEAST: f64 = 15.0;

    /// Lightness, green-red and blue-yellow of CIELAB; slopes in degrees.
    fn lab(slope: f64, least: f64) -> [f32; 3] {
        let [l, a, b, _] = color(slope.to_radians(), least.to_radians()).to_laba();
        [l, a, b]
    }

    #[test]
    fn colors_known_slopes() {
        fn check(slope: f64, least: f64, hex: &str, source: &str) {
            let [slope, least] = [slope, least].map(f64::to_radians);
            assert_eq!(slope_color_hex(slope, least), hex, "{source}");
            let linear = slope_color(slope, least);
            assert_eq!(linear[3], 1.0, "opaque: {source}");
            // sRGB transfer function, IEC 61966-2-1.
            for (k, linear) in linear.into_iter().take(3).enumerate() {
                let byte = u8::from_str_radix(&hex[1 + 2 * k..3 + 2 * k], 16).unwrap();
                let s = f32::from(byte) / 255.0;
                let want = if s <= 0.04045 {
                    s / 12.92
                } else {
                    ((s + 0.055) / 1.055).powf(2.4)
                };
                assert!((linear - want).abs() < 1e-5, "{linear} {want}: {source}");
            }
        }
        // The published ends are #fee838 and #00224e; the library fits a polynomial through the map.
        let [yellow, blue] = ["#fdea45", "#002051"];
        check(0.0, LEAST, yellow, "level: bright end of cividis");
        check(-1.0, LEAST, yellow, "below level is level");
        check(f64::NAN, LEAST, yellow, "not a number stands out");
        check(60.0, LEAST, blue, "dark end of cividis");
        check(90.0, LEAST, blue, "no change above 60 deg");
        check(
            75.0,
            60.0,
            blue,
            "a least slope of 60 deg: dark half way up",
        );
        check(90.0, 90.0, blue, "no room above the least slope");
        let first = slope_color_hex(LEAST.to_radians(), LEAST.to_radians());
        check(0.0, 0.0, &first, "no least slope: all is steep enough");
    }

    #[test]
    fn least_slope_is_a_break_in_lightness() {
        for least in [5.0, 11.0, LEAST, 26.565] {
            let below = lab(least - 1e-6, least)[0];
            let above = lab(least, least)[0];
            // A just noticeable difference is about 1 (CIE 1976); 20 is plain in any print.
            assert!(below - above > 20.0, "{below} to {above} at {least} deg");
        }
    }

    #[test]
    fn steps_are_even_and_darken() {
        for (from, to) in [(0.0, LEAST - 1e-6), (LEAST, 60.0)] {
            let at = |k: u32| lab(from + (to - from) * f64::from(k) / 8.0, LEAST);
            let steps: Vec<f32> = (0..8)
                .map(|k| {
                    let [p, q] = [at(k), at(k + 1)];
                    assert!(q[0] < p[0], "darker with each step");
                    let sum: f32 = p.iter().zip(q).map(|(p, q)| (p - q).powi(2)).sum();
                    sum.sqrt()
                })
                .collect();
            let least = steps.iter().copied().fold(f32::INFINITY, f32::min);
            let most = steps.iter().copied().fold(0.0, f32::max);
            assert!(most < 2.5 * least, "{steps:?}");
        }
    }
}
