//! The greatest ground snow that a cover stands, and what gives first.

use super::check::{Check, governing};
use super::site::{GroundSnow, Site};
use super::stage::Stage;
use super::weigh::Winter;
use crate::boat::Hand;

/// The greatest ground snow that a cover stands.
#[derive(Debug, Clone, PartialEq)]
pub struct SnowCapacity {
    /// Ground snow by the site's code, Pa; zero where the cover does not stand without any.
    pub ground: f64,
    /// What gives first beyond it; `None` where nothing does up to [`MAX_SNOW`].
    pub governed_by: Option<Check>,
    /// Times that the cover was loaded.
    pub trials: usize,
}

/// No more snow is tried, Pa: more than the heaviest that codes map where boats are stored.
pub const MAX_SNOW: f64 = 20_000.0;

/// Less snow than this is none, Pa.
const MIN_SNOW: f64 = 10.0;

/// The search starts from here where the site itself has no snow, Pa.
const FIRST_SNOW: f64 = 1000.0;

/// The answer is exact to this part: what stands and what does not are nearer to each other.
const EXACT: f64 = 0.01;

/// Trials at most.
const MAX_TRIALS: usize = 16;

/// The greatest ground snow that a cover stands, by trying; `None` where the site has no snow. What the site's own snow is does
/// not matter.
pub fn snow_capacity(stage: &Stage, site: &Site) -> Option<SnowCapacity> {
    let own = site.snow?;
    let mut winter = Winter::new(stage, site);
    let mut trials = 0;
    let mut sides = Hand::BOTH.to_vec();
    let mut worst = |ground: f64, sides: &mut Vec<Hand>| -> Option<Check> {
        let heavier = Site {
            snow: Some(GroundSnow {
                load: ground,
                rain: own.rain
                    * if own.load > 0.0 {
                        ground / own.load
                    } else {
                        1.0
                    },
            }),
            ..site.clone()
        };
        trials += 1;
        let cases = winter.snow(&heavier, sides);
        let checks = winter.checks(&heavier, &cases);
        let most = governing(&checks).cloned();
        // From then on only the side that is worse need be tried.
        if sides.len() > 1
            && let Some(hand) = most.as_ref().and_then(|check| check.case?.drifted())
        {
            sides.retain(|side| *side == hand);
        }
        most
    };
    // What stands, with its ratio; what does not, with what gives.
    let mut stands: Option<(f64, f64)> = None;
    let mut gives: Option<(f64, Check)> = None;
    let mut ground = if own.load > MIN_SNOW {
        own.load
    } else {
        FIRST_SNOW
    };
    for _ in 0..MAX_TRIALS {
        let check = worst(ground, &mut sides)?;
        let ratio = check.ratio();
        if check.passes() {
            stands = Some((ground, ratio));
            if ground >= MAX_SNOW {
                break;
            }
        } else {
            gives = Some((ground, check));
            if ground <= MIN_SNOW {
                break;
            }
        }
        if let (Some((low, _)), Some((high, _))) = (&stands, &gives)
            && high - low <= EXACT * high
        {
            break;
        }
        ground = next(&stands, &gives);
    }
    Some(SnowCapacity {
        ground: stands.map_or(0.0, |(ground, _)| ground),
        governed_by: gives.map(|(_, check)| check),
        trials,
    })
}

/// The snow to try next: between what stands and what does not by their ratios, which rise about as a power of the snow;
/// beyond what is known by the same power that large sags have.
fn next(stands: &Option<(f64, f64)>, gives: &Option<(f64, Check)>) -> f64 {
    /// Stress of film that is taut by its load alone grows as this power of the load.
    const POWER: f64 = 2.0 / 3.0;
    /// Aims so far beyond or short of the limit that the other side of it is found too.
    const BESIDE: f64 = 0.4 * EXACT;
    match (stands, gives) {
        (Some((low, below)), Some((high, check))) => {
            let above = check.ratio();
            let middle = (low * high).sqrt();
            if !above.is_finite() || *below <= 0.0 || above <= *below {
                return middle;
            }
            let power = (above / below).ln() / (high / low).ln();
            let aimed = low * (1.0 / below).powf(1.0 / power);
            // From the farther side toward the nearer one, and never outside of a good part of the bracket.
            let aside = if aimed / low > high / aimed {
                1.0 - BESIDE
            } else {
                1.0 + BESIDE
            };
            let margin = (high / low).powf(0.03);
            (aimed * aside).clamp(low * margin, high / margin)
        }
        (Some((low, below)), None) => {
            let times = (1.0 / below.max(1e-3)).powf(1.0 / POWER) * (1.0 + BESIDE);
            (low * times.clamp(1.0 + EXACT, 8.0)).min(MAX_SNOW)
        }
        (None, Some((high, check))) => {
            let above = check.ratio();
            let times = if above.is_finite() {
                above.powf(-1.0 / POWER) * (1.0 - BESIDE)
            } else {
                0.25
            };
            (high * times.clamp(0.05, 1.0 - EXACT)).max(MIN_SNOW)
        }
        (None, None) => FIRST_SNOW,
    }
}

#[cfg(test)]
mod tests {
    use super::super::check::{Kind, Quantity};
    use super::*;

    /// The search alone, on a ratio that is known as a function of the snow.
    fn search(ratio: impl Fn(f64) -> f64, first: f64) -> (f64, usize) {
        let (mut stands, mut gives) = (None, None);
        let mut ground = first;
        for trial in 1..=MAX_TRIALS {
            let check = Check {
                kind: Kind::Film,
                name: String::new(),
                case: None,
                demand: ratio(ground),
                capacity: if ratio(ground).is_finite() { 1.0 } else { 0.0 },
                quantity: Quantity::Stress,
                source: String::new(),
                at: None,
            };
            if check.passes() {
                stands = Some((ground, check.ratio()));
            } else {
                gives = Some((ground, check));
            }
            if let (Some((low, _)), Some((high, _))) = (&stands, &gives)
                && high - low <= EXACT * high
            {
                return (*low, trial);
            }
            ground = next(&stands, &gives);
        }
        (stands.map_or(0.0, |(low, _)| low), MAX_TRIALS)
    }

    #[test]
    fn the_limit_is_found_in_few_trials() {
        for (power, limit) in [(0.667, 700.0), (0.5, 2500.0), (1.0, 90.0), (0.3, 1100.0)] {
            let (found, trials) = search(|ground| (ground / limit).powf(power), 960.0);
            assert!(
                found <= limit && found > limit * (1.0 - 1.5 * EXACT),
                "{found} {limit}"
            );
            assert!(trials <= 7, "{power} {limit}: {trials}");
        }
        // A limit at which something gives at once.
        let jump = |ground: f64| if ground > 333.0 { f64::INFINITY } else { 0.4 };
        let (found, trials) = search(jump, 960.0);
        assert!(
            found <= 333.0 && found > 333.0 * 0.98,
            "{found} in {trials}"
        );
    }
}
