//! The deck's edge in plan and its height, as a boat file gives them: what things on deck are checked against.

use super::{Boat, HullForm};

/// Place of the greatest beam, as a share of the length from the transom.
const WIDEST: f64 = 0.4;

/// Half breadth of a single hull's sheer at a share of its length from the transom, over half its beam.
///
/// `transom_beam_fraction` and `fullness` are those of [`super::MonoForm`].
pub(crate) fn half_breadth_share(share: f64, transom_beam_fraction: f64, fullness: f64) -> f64 {
    if share <= WIDEST {
        let aft = 1.0 - share / WIDEST;
        return 1.0 - (1.0 - transom_beam_fraction) * aft * aft;
    }
    let fore = (share - WIDEST) / (1.0 - WIDEST);
    let bend = 1.5 + 1.5 * fullness;
    (1.0 - fore.powf(bend)).max(0.0).powf(1.0 - 0.5 * fullness)
}

/// Height of the sheer at a share of the length: the parabola through its heights at stern, middle and bow.
///
/// # Units
/// Those of `sheer`.
pub(crate) fn sheer_height([stern, middle, bow]: [f64; 3], share: f64) -> f64 {
    stern * (1.0 - share) * (1.0 - 2.0 * share)
        + middle * 4.0 * share * (1.0 - share)
        + bow * share * (2.0 * share - 1.0)
}

/// Stations at which a stretch of the boat is looked at.
const LOOKS: u32 = 8;

impl Boat {
    /// Half the breadth of the deck's edge at a station, m; stations beyond the ends count as the ends.
    fn half_breadth(&self, station: f64) -> f64 {
        match &self.hull {
            HullForm::Mono(mono) => {
                let share = (station / self.length).clamp(0.0, 1.0);
                let part = half_breadth_share(share, mono.transom_beam_fraction, mono.fullness);
                0.5 * self.beam * part
            }
            HullForm::Tubes { .. } | HullForm::Catamaran { .. } => 0.5 * self.beam,
            HullForm::Offsets { sections, .. } => {
                let half = |points: &[(f64, f64)]| points.iter().map(|p| p.0).fold(0.0, f64::max);
                let inside = sections.windows(2).find_map(|pair| {
                    let [aft, fore] = pair else { return None };
                    let share = (station - aft.station) / (fore.station - aft.station);
                    (share <= 1.0).then(|| {
                        let (a, b) = (half(&aft.points), half(&fore.points));
                        a + (b - a) * share.max(0.0)
                    })
                });
                inside
                    .or_else(|| sections.last().map(|last| half(&last.points)))
                    .unwrap_or(0.5 * self.beam)
            }
        }
    }

    /// The greatest half breadth between two stations, m.
    pub(super) fn widest_between(&self, from: f64, to: f64) -> f64 {
        between(from, to)
            .map(|station| self.half_breadth(station))
            .fold(0.0, f64::max)
    }

    /// The lowest and the highest sheer between two stations, m.
    pub(super) fn sheer_between(&self, from: f64, to: f64) -> [f64; 2] {
        between(from, to)
            .map(|station| sheer_height(self.sheer, (station / self.length).clamp(0.0, 1.0)))
            .fold([f64::INFINITY, 0.0], |[low, high], z| {
                [z.min(low), z.max(high)]
            })
    }

    /// How far the foot of a box stands outside the deck's edge at worst, m: less than zero where it is inside. Only
    /// what lies between the hull's ends counts.
    pub(super) fn outside(&self, from: f64, to: f64, offset: f64, widths: [f64; 2]) -> f64 {
        let span = (to - from).max(f64::MIN_POSITIVE);
        between(from, to)
            .filter(|station| (0.0..=self.length).contains(station))
            .map(|station| {
                let share = (station - from) / span;
                let width = widths[0] + (widths[1] - widths[0]) * share;
                offset.abs() + 0.5 * width - self.half_breadth(station)
            })
            .fold(f64::NEG_INFINITY, f64::max)
    }
}

fn between(from: f64, to: f64) -> impl Iterator<Item = f64> {
    (0..=LOOKS).map(move |k| from + (to - from) * f64::from(k) / f64::from(LOOKS))
}
