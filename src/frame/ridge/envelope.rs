//! How high the ridge must be at a section, as a function of the slope left over athwart.

use super::problem::{Section, Touch};

/// The points of one section that can ever decide: the upper envelope of the lines
/// `height + across * t` over `0 <= t <= t_most`.
#[derive(Debug, Clone)]
pub(super) struct Envelope {
    /// Distance forward of the transom (m).
    pub station: f64,
    /// The deciding points, `across` rising.
    pub points: Vec<Touch>,
}

impl Envelope {
    /// Ridge height needed at athwart slope `t`, and the mark of the thing that needs it.
    pub fn need(&self, t: f64) -> Option<(f64, u32)> {
        let mut best: Option<(f64, u32)> = None;
        for point in &self.points {
            let need = point.height + point.across * t;
            if best.is_none_or(|(most, _)| need > most) {
                best = Some((need, point.thing));
            }
        }
        best
    }
}

/// Slope that film must still have athwart when the ridge itself runs at slope `m`:
/// the two together make the total gradient.
pub(super) fn athwart(tan_min: f64, m: f64) -> f64 {
    (tan_min * tan_min - m * m).max(0.0).sqrt()
}

/// Envelopes of all sections that have points, by station.
pub(super) fn envelopes(sections: &[Section], t_most: f64) -> Vec<Envelope> {
    let mut all: Vec<Envelope> = sections
        .iter()
        .filter(|s| !s.points.is_empty())
        .map(|s| Envelope {
            station: s.station,
            points: upper(&s.points, t_most),
        })
        .collect();
    all.sort_by(|a, b| a.station.total_cmp(&b.station));
    all
}

fn upper(points: &[Touch], t_most: f64) -> Vec<Touch> {
    let mut sorted = points.to_vec();
    // Of points equally far out the highest comes last, and replaces those before it.
    sorted.sort_by(|a, b| {
        a.across
            .total_cmp(&b.across)
            .then(a.height.total_cmp(&b.height))
    });
    let mut hull: Vec<Touch> = Vec::new();
    for point in sorted {
        while let Some(&last) = hull.last() {
            let flat = point.across <= last.across;
            // Where the new line overtakes the last one.
            let meet = (last.height - point.height) / (point.across - last.across);
            let hidden = match hull.len().checked_sub(2).map(|k| hull[k]) {
                _ if flat => true,
                None => meet <= 0.0,
                Some(before) => {
                    meet <= (before.height - last.height) / (last.across - before.across)
                }
            };
            if !hidden {
                break;
            }
            hull.pop();
        }
        let late = hull.last().is_some_and(|last| {
            (last.height - point.height) > t_most * (point.across - last.across)
        });
        if !late {
            hull.push(point);
        }
    }
    hull
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The envelope must say what the plain maximum over all points says.
    #[test]
    fn envelope_is_the_plain_maximum() {
        let mut seed = 7u64;
        let mut random = move || {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (seed >> 40) as f64 / f64::from(1u32 << 24)
        };
        for _ in 0..500 {
            let count = 1 + (random() * 9.0) as u32;
            let points: Vec<Touch> = (0..count)
                .map(|thing| Touch {
                    across: (random() * 8.0).floor() * 0.25,
                    height: (random() * 8.0).floor() * 0.25,
                    thing,
                })
                .collect();
            let t_most = 0.1 + random();
            let section = Section {
                station: 0.0,
                points: points.clone(),
            };
            let envelope = &envelopes(&[section], t_most)[0];
            for k in 0..=20 {
                let t = t_most * f64::from(k) / 20.0;
                let plain = points
                    .iter()
                    .map(|p| p.height + p.across * t)
                    .fold(f64::NEG_INFINITY, f64::max);
                assert_eq!(envelope.need(t).unwrap().0, plain, "t = {t}, {points:?}");
            }
        }
    }
}
