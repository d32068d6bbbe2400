//! The taut string through a tube: the shortest path between two ends that stays within bounds at each stop.
//!
//! Of all paths through the tube it has at once the least greatest slope and the greatest least slope, and the
//! least sum of any convex function of its slopes, each weighed by its step (Barlow, Bartholomew, Bremner and
//! Brunk, Statistical Inference under Order Restrictions, 1972, from memory).

/// The heights at each stop of the shortest path from `from` to `to`; bounds at the first and last stop are not
/// looked at. `None` where stops do not advance, lists do not match, or a lower bound lies over its upper one.
///
/// # Units
/// Stops in any unit, heights and bounds in one other.
pub fn taut_string(
    stops: &[f64],
    lower: &[f64],
    upper: &[f64],
    from: f64,
    to: f64,
) -> Option<Vec<f64>> {
    let count = stops.len();
    if count < 2 || lower.len() != count || upper.len() != count {
        return None;
    }
    if stops.windows(2).any(|pair| pair[1] <= pair[0]) {
        return None;
    }
    let inside = 1..count - 1;
    if inside.clone().any(|i| lower[i] > upper[i]) {
        return None;
    }
    let bounds = |i: usize| {
        if i + 1 == count {
            [to, to]
        } else {
            [lower[i], upper[i]]
        }
    };
    let mut path = vec![from; count];
    // From each bend the string sees a wedge of the tube; it goes straight until the wedge closes, and bends
    // where the side that closed it was last narrowed.
    let (mut bend, mut height) = (0, from);
    while bend + 1 < count {
        let (mut least, mut most) = (f64::NEG_INFINITY, f64::INFINITY);
        let (mut least_at, mut most_at) = (bend, bend);
        let mut next = None;
        for (i, stop) in stops.iter().enumerate().skip(bend + 1) {
            let run = stop - stops[bend];
            let [low, high] = bounds(i);
            let (low, high) = ((low - height) / run, (high - height) / run);
            if low > most {
                next = Some((most_at, most));
                break;
            }
            if high < least {
                next = Some((least_at, least));
                break;
            }
            if low >= least {
                (least, least_at) = (low, i);
            }
            if high <= most {
                (most, most_at) = (high, i);
            }
        }
        // At the last stop both sides of the wedge are its height.
        let (to_stop, slope) = next.unwrap_or((count - 1, least));
        for i in bend + 1..=to_stop {
            path[i] = height + slope * (stops[i] - stops[bend]);
        }
        height = path[to_stop];
        bend = to_stop;
    }
    Some(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of a few sums.
    const CLOSE: f64 = 1e-12;

    fn check(lower: &[f64], upper: &[f64], from: f64, to: f64, wanted: &[f64]) {
        let stops: Vec<f64> = (0..lower.len()).map(|i| i as f64).collect();
        let found = taut_string(&stops, lower, upper, from, to).unwrap();
        for (a, b) in found.iter().zip(wanted) {
            assert!((a - b).abs() < CLOSE, "{found:?} is not {wanted:?}");
        }
    }

    #[test]
    fn strings_bend_at_the_bounds_alone() {
        let (far, near) = (9.0, -9.0);
        check(&[near; 4], &[far; 4], 0.0, 3.0, &[0.0, 1.0, 2.0, 3.0]);
        // Round a corner from above and one from below.
        check(
            &[near, 2.0, near, near],
            &[far; 4],
            0.0,
            0.0,
            &[0.0, 2.0, 1.0, 0.0],
        );
        check(
            &[near; 4],
            &[far, far, -1.0, far],
            0.0,
            0.0,
            &[0.0, -0.5, -1.0, 0.0],
        );
        check(
            &[near, 1.0, near, 1.0, near],
            &[far, far, 0.0, far, far],
            0.0,
            0.0,
            &[0.0, 1.0, 0.0, 1.0, 0.0],
        );
        assert!(taut_string(&[0.0, 0.0], &[0.0; 2], &[0.0; 2], 0.0, 0.0).is_none());
        assert!(taut_string(&[0.0, 1.0, 2.0], &[0.0, 1.0, 0.0], &[0.0; 3], 0.0, 0.0).is_none());
    }

    #[test]
    fn no_other_path_is_shorter_or_less_steep() {
        // A tube made by a simple congruence, against paths that are the string moved at one stop.
        let mut state = 7u64;
        let mut random = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (state >> 33) as f64 / (1u64 << 31) as f64
        };
        for _ in 0..200 {
            let count = 12;
            let mut stops = vec![0.0];
            for i in 1..count {
                stops.push(stops[i - 1] + 0.2 + random());
            }
            let lower: Vec<f64> = (0..count).map(|_| 2.0 * random() - 1.0).collect();
            let upper: Vec<f64> = lower.iter().map(|low| low + random()).collect();
            let path = taut_string(&stops, &lower, &upper, 0.0, 0.3).unwrap();
            let length = |path: &[f64]| -> f64 {
                (1..count)
                    .map(|i| (stops[i] - stops[i - 1]).hypot(path[i] - path[i - 1]))
                    .sum()
            };
            let steepest = |path: &[f64]| {
                (1..count)
                    .map(|i| (path[i] - path[i - 1]) / (stops[i] - stops[i - 1]))
                    .fold(f64::NEG_INFINITY, f64::max)
            };
            for i in 1..count - 1 {
                assert!(path[i] > lower[i] - CLOSE && path[i] < upper[i] + CLOSE);
                for moved in [lower[i], upper[i], 0.5 * (lower[i] + upper[i])] {
                    let mut other = path.clone();
                    other[i] = moved;
                    assert!(length(&other) > length(&path) - CLOSE);
                }
            }
            // A path that follows the middle of the tube is never less steep at its steepest.
            let mut middle: Vec<f64> = (0..count).map(|i| 0.5 * (lower[i] + upper[i])).collect();
            (middle[0], middle[count - 1]) = (0.0, 0.3);
            assert!(steepest(&middle) > steepest(&path) - CLOSE);
        }
    }
}
