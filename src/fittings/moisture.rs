//! Moisture: when the film sweats.

use super::Condensation;
use crate::boat::Rules;

/// By how much film cools below the air under a clear night sky, K; house rule.
pub const CLEAR_NIGHT: f64 = 5.0;

/// Freezing point of water, K; ice below it, water from it on.
const FREEZING: f64 = 273.15;

/// Coefficients of the logarithm of the saturation pressure in Pa over temperature in K, over ice from -100 to 0 C
/// and over water from 0 to 200 C (Hyland and Wexler 1983, in ASHRAE Fundamentals; values from memory, held to the
/// printed tables by the tests).
const ICE: [f64; 7] = [
    -5.674_535_9e3,
    6.392_524_7,
    -9.677_843_0e-3,
    6.221_570_1e-7,
    2.074_782_5e-9,
    -9.484_024_0e-13,
    4.163_501_9,
];
const WATER: [f64; 7] = [
    -5.800_220_6e3,
    1.391_499_3,
    -4.864_023_9e-2,
    4.176_476_8e-5,
    -1.445_209_3e-8,
    0.0,
    6.545_967_3,
];

/// Temperatures between which a dew point is looked for, deg C: those that the formula holds for.
const LOWEST: f64 = -100.0;
const HIGHEST: f64 = 200.0;

/// Halvings of that range: down to far less than a thousandth of a degree.
const HALVINGS: usize = 60;

/// Pressure of water vapor over water, below 0 C over ice, at saturation (Hyland and Wexler 1983).
///
/// # Units
/// `celsius` in deg C from -100 to 200; Pa.
pub fn saturation_pressure(celsius: f64) -> f64 {
    let kelvin = celsius + FREEZING;
    let [a, b, c, d, e, f, g] = if celsius < 0.0 { ICE } else { WATER };
    let series = b + kelvin * (c + kelvin * (d + kelvin * (e + kelvin * f)));
    (a / kelvin + series + g * kelvin.ln()).exp()
}

/// Temperature at which the vapor in air condenses, below 0 C freezes out.
///
/// # Units
/// `air` in deg C, `humidity` as a part of one; deg C.
pub fn dew_point(air: f64, humidity: f64) -> f64 {
    let pressure = humidity * saturation_pressure(air);
    let (mut low, mut high) = (LOWEST, HIGHEST);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if saturation_pressure(middle) < pressure {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Relative humidity of air from which a film is wet, a part of one; one where the film is no colder than the air.
///
/// # Units
/// Temperatures in deg C.
pub fn wet_from(air: f64, film: f64) -> f64 {
    (saturation_pressure(film) / saturation_pressure(air)).min(1.0)
}

/// Whether the film sweats on a clear night in the rules' air.
pub(super) fn condensation(rules: &Rules) -> Condensation {
    let (air, humidity) = (rules.air_temperature, rules.humidity);
    let film = air - CLEAR_NIGHT;
    Condensation {
        air,
        humidity,
        dew_point: dew_point(air, humidity),
        film,
        wet_from: wet_from(air, film),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(name: &str, got: f64, wanted: f64, tolerance: f64) {
        assert!(
            (got - wanted).abs() <= tolerance,
            "{name}: {got} instead of {wanted}"
        );
    }

    #[test]
    fn saturation_agrees_with_the_tables() {
        // ASHRAE Fundamentals, tables of moist air and of water at saturation, seen: half of the last figure.
        check("ice, -10 C", saturation_pressure(-10.0), 259.90, 0.005);
        // From memory: 611.2 Pa at 0 C, 2338.8 Pa at 20 C, 101.42 kPa at 100 C.
        check("0 C", saturation_pressure(0.0), 611.2, 0.05);
        check("20 C", saturation_pressure(20.0), 2338.8, 0.5);
        check("100 C", saturation_pressure(100.0), 101_418.0, 30.0);
        // Both branches meet at the freezing point, as closely as the formulas do: one part in ten thousand.
        check(
            "meeting",
            saturation_pressure(-1e-9),
            saturation_pressure(0.0),
            0.061,
        );
    }

    #[test]
    fn dew_points() {
        // 20 C, 50 %: 9.2724 C (from the ASHRAE tables, seen).
        check("20 C, 50 %", dew_point(20.0, 0.5), 9.2724, 5e-4);
        for air in [-20.0, -1.0, 0.0, 5.0, 30.0] {
            check("saturated air", dew_point(air, 1.0), air, 1e-6);
            for humidity in [0.1, 0.5, 0.9] {
                let dew = dew_point(air, humidity);
                assert!(dew < air);
                check(
                    "back",
                    saturation_pressure(dew),
                    humidity * saturation_pressure(air),
                    1e-6,
                );
            }
        }
    }

    #[test]
    fn film_is_wet_from() {
        // Air 5 C, film 0 C: from 70.05 % (from the ASHRAE tables, seen).
        check("5 C and 0 C", wet_from(5.0, 0.0), 0.7005, 5e-5);
        check("no colder", wet_from(5.0, 5.0), 1.0, 0.0);
        check("warmer", wet_from(5.0, 9.0), 1.0, 0.0);
        // The humidity at which the dew point is that of the film.
        let found = condensation(&Rules::default());
        check("film", found.film, 0.0, 1e-12);
        check("agree", dew_point(5.0, found.wet_from), found.film, 1e-6);
        assert!(found.wet(), "80 % is more than 70 %");
        let dry = condensation(&Rules {
            humidity: 0.6,
            ..Rules::default()
        });
        assert!(!dry.wet());
    }
}
