//! Closed forms for straps and bands: what a strap does under a load in its middle or along its length.
//!
//! A strap hangs between two points at one level; it carries no weight of its own, since snow, wind and film are
//! heavier by far.

/// Iterations after which a root is taken as found. Each at least halves the bracket; doubles have 53 bits, the rest
/// is room for brackets that are wide.
const ITERATIONS: usize = 200;

/// A strap under one load in the middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointSag {
    /// How far the middle goes down, m.
    pub sag: f64,
    /// Tension in the strap, N.
    pub tension: f64,
}

/// A strap or a cable under a load spread evenly over its span.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpreadSag {
    /// Horizontal part of the tension, the same everywhere, N.
    pub horizontal: f64,
    /// Greatest tension, at the ends, N.
    pub tension: f64,
    /// How far the middle goes down, m.
    pub sag: f64,
    /// Length of the bent line, m.
    pub length: f64,
}

/// An elastic strap drawn to a tension and then loaded in the middle of its span.
///
/// Exact, not for small sags alone: with the sag d the strap is s = sqrt(L^2 + 4 d^2) long, its tension is
/// T = T0 + EA (s - L)/L, and balance of the middle wants 4 T d = P s. The load rises with the sag, so there is one
/// answer, found by bisection. For small sags it becomes the cubic 8 EA d^3/L^3 + 4 T0 d/L = P.
///
/// # Units
/// `load` and `pretension` in N, `span` in m, `stiffness` EA in N. All above zero, but load and pretension may be zero.
#[must_use]
pub fn point_load(load: f64, span: f64, stiffness: f64, pretension: f64) -> PointSag {
    let tension = |sag: f64| {
        let bent = span.hypot(2.0 * sag);
        pretension + stiffness * (bent - span) / span
    };
    let carried = |sag: f64| 4.0 * tension(sag) * sag / span.hypot(2.0 * sag);
    let sag = root(span, |sag| carried(sag) - load);
    PointSag {
        sag,
        tension: tension(sag),
    }
}

/// An elastic strap drawn to a tension and then loaded evenly over its span, `load` per length of the span.
///
/// The strap is taken as a parabola that is flat enough for its stretch to be w^2 L^2/(24 H^2) and its tension to be
/// H all along: H^2 (H - T0) = EA w^2 L^2/24, one positive root, found by bisection. Its error is less than the square
/// of four times the sag over the span: under two per cent for a sag of a thirtieth of the span. The tension is told
/// too high, the sag too small by as much, since a real parabola is a little shorter and pulled harder at its ends.
///
/// # Units
/// `load` in N/m, `span` in m, `stiffness` EA and `pretension` in N. Load and pretension may be zero.
#[must_use]
pub fn spread_load(load: f64, span: f64, stiffness: f64, pretension: f64) -> SpreadSag {
    let right = stiffness * (load * span).powi(2) / 24.0;
    let above = root(right.cbrt().max(f64::MIN_POSITIVE), |above| {
        let horizontal = pretension + above;
        horizontal * horizontal * above - right
    });
    let horizontal = pretension + above;
    let sag = if horizontal > 0.0 {
        load * span * span / (8.0 * horizontal)
    } else {
        0.0
    };
    SpreadSag {
        horizontal,
        tension: horizontal.hypot(0.5 * load * span),
        sag,
        length: parabola_length(span, sag),
    }
}

/// A cable that hangs in a parabola of a given sag under a load spread evenly over its span; it does not stretch.
///
/// # Units
/// `load` in N/m of span, `span` and `sag` in m, `sag` above zero.
#[must_use]
pub fn parabola(load: f64, span: f64, sag: f64) -> SpreadSag {
    let horizontal = load * span * span / (8.0 * sag);
    SpreadSag {
        horizontal,
        tension: horizontal.hypot(0.5 * load * span),
        sag,
        length: parabola_length(span, sag),
    }
}

/// Length of a parabola with its ends at one level, exactly.
///
/// # Units
/// m.
#[must_use]
pub fn parabola_length(span: f64, sag: f64) -> f64 {
    // Slope at the ends.
    let slope = 4.0 * sag / span;
    if slope == 0.0 {
        return span;
    }
    0.5 * span * (slope.hypot(1.0) + slope.asinh() / slope)
}

/// The root of a function that rises from zero or less at nothing; `scale` is where the search begins.
fn root(scale: f64, rising: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, scale);
    for _ in 0..ITERATIONS {
        if rising(high) >= 0.0 {
            break;
        }
        (low, high) = (high, 2.0 * high);
    }
    for _ in 0..ITERATIONS {
        let middle = 0.5 * (low + high);
        if rising(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
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
    fn a_load_in_the_middle() {
        // Computed for this project: 200 N on a strap of 3 m, EA 40 kN, drawn to 500 N.
        let found = point_load(200.0, 3.0, 40e3, 500.0);
        check("sag", found.sag, 0.186_829, 5e-7);
        check("tension", found.tension, 809.075, 5e-4);
        // Not drawn and hardly bent: the cubic 8 EA d^3/L^3 = P.
        let slack = point_load(0.01, 2.0, 40e3, 0.0);
        check("slack", slack.sag, (0.01_f64 / 40e3).cbrt(), 1e-6);
        let idle = point_load(0.0, 3.0, 40e3, 500.0);
        check("idle sag", idle.sag, 0.0, 1e-12);
        check("idle tension", idle.tension, 500.0, 1e-9);
    }

    #[test]
    fn a_load_in_the_middle_balances() {
        for load in [1.0, 200.0, 5e3, 1e6] {
            for pretension in [0.0, 400.0, 5e3] {
                let found = point_load(load, 2.5, 40e3, pretension);
                let steepness = 2.0 * found.sag / 2.5_f64.hypot(2.0 * found.sag);
                let carried = 2.0 * found.tension * steepness;
                check("balance", carried, load, 1e-9 * load);
            }
        }
    }

    #[test]
    fn a_load_along_the_strap() {
        // The cubic's two ends: no pretension, H^3 = EA w^2 L^2/24; no stiffness, H = T0.
        let slack = spread_load(50.0, 3.0, 40e3, 0.0);
        let wanted = (40e3 * 150.0_f64.powi(2) / 24.0).cbrt();
        check("slack", slack.horizontal, wanted, 1e-9 * wanted);
        let soft = spread_load(50.0, 3.0, 1e-6, 500.0);
        check("soft", soft.horizontal, 500.0, 1e-6);
        check("soft sag", soft.sag, 50.0 * 9.0 / 4000.0, 1e-9);
        // By hand: w L = 480 N, T0 = 500 N, H = 800 N wants EA = 24 H^2 (H - T0)/(w L)^2 = 20 kN.
        let found = spread_load(160.0, 3.0, 20e3, 500.0);
        check("horizontal", found.horizontal, 800.0, 1e-9);
        check("tension", found.tension, 800.0_f64.hypot(240.0), 1e-9);
        check("sag", found.sag, 160.0 * 9.0 / 6400.0, 1e-12);
        let idle = spread_load(0.0, 3.0, 40e3, 0.0);
        check("idle", idle.horizontal.abs() + idle.sag, 0.0, 1e-12);
    }

    #[test]
    fn the_flat_parabola_is_near_the_bent_one() {
        // Twin: H = T0 + EA (s - L)/L with the parabola's exact length s, by its own bisection. The flat form must be
        // above it, and by no more than the square of four sags over the span.
        for load in [5.0, 50.0, 300.0] {
            let (span, stiffness, pretension) = (3.0, 40e3, 400.0);
            let flat = spread_load(load, span, stiffness, pretension);
            let (mut low, mut high) = (pretension, 1e6);
            for _ in 0..200 {
                let middle = 0.5 * (low + high);
                let sag = load * span * span / (8.0 * middle);
                let wanted = pretension + stiffness * (parabola_length(span, sag) - span) / span;
                if wanted > middle {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            let allowed = (4.0 * flat.sag / span).powi(2) * high;
            assert!(
                flat.horizontal >= high - 1e-6 && flat.horizontal <= high + allowed,
                "{load}: {} against {high}",
                flat.horizontal
            );
        }
    }

    #[test]
    fn a_parabola() {
        // The cable chapter of a statics text, seen: w 1000, L 100, f 10.
        let found = parabola(1000.0, 100.0, 10.0);
        check("H", found.horizontal, 125_000.0, 1e-6);
        check("T", found.tension, 134_629.12, 5e-3);
        check("length", found.length, 102.606_063, 5e-7);
        check("level", parabola_length(3.0, 0.0), 3.0, 0.0);
        // Four sags of the span: twice the sag and a little more.
        assert!(parabola_length(1.0, 4.0) > 8.0);
    }
}
