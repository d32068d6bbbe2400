//! How many vents, and where: high, in pairs, spread along the boat, clear of everything.

use super::obstacles::Obstacles;
use super::{Vent, VentRule};
use crate::boat::{Hand, Rules};
use crate::hull::Hull;
use nalgebra::{Point2, Point3};

/// Plan area over net free area where nothing says that half the vents are high and half are low: the attic rule
/// (IRC R806.2), borrowed by analogy. Its milder 1/300 wants openings high and low, which a welded cover lacks.
pub const PLAN_PER_VENT_AREA: f64 = 150.0;

/// Distance of a vent's rim from straps, pleats, caps and collars, m; house rule, 4 in: a hand and tape.
pub const VENT_CLEAR: f64 = 0.1016;

/// Steps of the places that are tried, m: 3 in along the boat, 2 in athwart.
const ALONG: f64 = 0.0762;
const ATHWART: f64 = 0.0508;

/// Part of the pitch by which a pair may leave its even place, so that pairs stay apart.
const WINDOW: f64 = 0.35;

/// Height that is given up for staying nearer to the even place, part of the distance: 1 ft in 8.
const STAY: f64 = 0.125;

/// A sum of areas or lengths over a whole number by no more than this part is that number: rounding.
const SLACK: f64 = 1e-9;

/// What the vents must do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wanted {
    /// Net free area, m2.
    pub area: f64,
    /// How many, an even number.
    pub count: usize,
    /// What decides it.
    pub rule: VentRule,
}

/// How many vents a cover wants.
///
/// # Units
/// `plan_area` in square meters, `length` of the boat in meters.
pub(super) fn wanted(plan_area: f64, length: f64, rules: &Rules) -> Wanted {
    let area = plan_area / PLAN_PER_VENT_AREA;
    let pairs = |value: f64| (value - SLACK).ceil().max(1.0) as usize;
    let by_area = pairs(area / (2.0 * rules.vent_area));
    let by_practice = pairs(length / rules.vent_spacing);
    Wanted {
        area,
        count: 2 * by_area.max(by_practice),
        rule: if by_area > by_practice {
            VentRule::Area
        } else {
            VentRule::Practice
        },
    }
}

/// Half the diagonal of a square vent, m.
fn half_size(rules: &Rules) -> f64 {
    (0.5 * rules.vent_area).sqrt()
}

/// Distance of a vent's middle from straps, pleats, caps and collars, m.
pub(super) fn from_middle(rules: &Rules) -> f64 {
    half_size(rules) + VENT_CLEAR
}

/// A place on both sides.
struct Pair {
    station: f64,
    off: f64,
}

/// Looks for places on one film.
struct Search<'a> {
    obstacles: &'a Obstacles<'a>,
    hull: &'a Hull,
    clear: f64,
    size: f64,
}

impl Search<'_> {
    fn free(&self, p: Point2<f64>) -> bool {
        self.obstacles.near(p, self.clear).is_none() && self.obstacles.hangs_free(p, self.size)
    }

    /// The highest free offset of a station, common to the hands, and the lower height of them; `None` where none is
    /// higher than `over`.
    fn highest(&self, station: f64, hands: &[Hand], over: f64) -> Option<(f64, f64)> {
        let [starboard, port] = self.hull.edge.at_station(station)?;
        let breadth = port.y.max(-starboard.y);
        // Not so near to the centerline that the vents of a pair come together.
        let least = self.size + 0.5 * VENT_CLEAR;
        let steps = ((breadth - least) / ATHWART).max(0.0) as usize;
        let mut tried: Vec<(f64, f64)> = (0..=steps)
            .filter_map(|k| {
                let off = least + ATHWART * k as f64;
                let z = hands.iter().try_fold(f64::INFINITY, |least, hand| {
                    let p = Point2::new(station, hand.sign() * off);
                    Some(self.obstacles.film_at(p)?.min(least))
                })?;
                (z > over).then_some((off, z))
            })
            .collect();
        // A stable sort: of equal heights the inmost comes first.
        tried.sort_by(|a, b| b.1.total_cmp(&a.1));
        tried.into_iter().find(|(off, _)| {
            hands
                .iter()
                .all(|hand| self.free(Point2::new(station, hand.sign() * off)))
        })
    }

    /// The best station between two, near an even place and off the stations taken.
    fn best(
        &self,
        [from, to]: [f64; 2],
        even: f64,
        hands: &[Hand],
        taken: &[f64],
        gap: f64,
    ) -> Option<Pair> {
        let steps = ((to - from) / ALONG).max(0.0) as usize;
        let mut best: Option<(f64, Pair)> = None;
        for k in 0..=steps {
            let station = from + ALONG * k as f64;
            if taken.iter().any(|other| (other - station).abs() < gap) {
                continue;
            }
            let lost = STAY * (station - even).abs();
            let over = best
                .as_ref()
                .map_or(f64::NEG_INFINITY, |(most, _)| most + lost);
            if let Some((off, z)) = self.highest(station, hands, over) {
                best = Some((z - lost, Pair { station, off }));
            }
        }
        best.map(|(_, pair)| pair)
    }
}

/// Places vents on the film; fewer than wanted where there is no room.
pub(super) fn vents(
    obstacles: &Obstacles<'_>,
    rules: &Rules,
    count: usize,
    hull: &Hull,
) -> Vec<Vent> {
    let [aft, fore] = hull.edge.ends();
    let pairs = count / 2;
    let pitch = (fore - aft) / pairs.max(1) as f64;
    let search = Search {
        obstacles,
        hull,
        clear: from_middle(rules),
        size: half_size(rules),
    };
    let gap = (1.0 - 2.0 * WINDOW) * pitch;
    let mut taken: Vec<f64> = Vec::new();
    let mut places: Vec<(Point2<f64>, Hand)> = Vec::new();
    for i in 0..pairs {
        let even = aft + pitch * (i as f64 + 0.5);
        let near = [even - WINDOW * pitch, even + WINDOW * pitch];
        let mut put = |pair: &Pair, hand: Hand| {
            places.push((Point2::new(pair.station, hand.sign() * pair.off), hand));
        };
        // Beside its even place, else anywhere, else each side for itself.
        let pair = search
            .best(near, even, &Hand::BOTH, &taken, gap)
            .or_else(|| search.best([aft, fore], even, &Hand::BOTH, &taken, gap));
        if let Some(pair) = pair {
            Hand::BOTH.iter().for_each(|hand| put(&pair, *hand));
            taken.push(pair.station);
            continue;
        }
        let singles: Vec<(Pair, Hand)> = Hand::BOTH
            .into_iter()
            .filter_map(|hand| {
                let single = search.best([aft, fore], even, &[hand], &taken, gap)?;
                Some((single, hand))
            })
            .collect();
        for (single, hand) in &singles {
            put(single, *hand);
            taken.push(single.station);
        }
    }
    places.sort_by(|(p, _), (q, _)| p.x.total_cmp(&q.x).then(q.y.total_cmp(&p.y)));
    places
        .into_iter()
        .filter_map(|(p, hand)| Some((Point3::new(p.x, p.y, obstacles.film_at(p)?), hand)))
        .enumerate()
        .map(|(index, (at, hand))| Vent {
            id: format!("V{}", index + 1),
            at,
            hand,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const FOOT: f64 = 0.3048;
    const SQUARE_INCH: f64 = 0.0254 * 0.0254;

    fn check(plan: f64, length: f64, count: usize, rule: VentRule) {
        let found = wanted(plan * FOOT * FOOT, length * FOOT, &Rules::default());
        assert_eq!(
            (found.count, found.rule),
            (count, rule),
            "{plan} sq ft, {length} ft"
        );
    }

    #[test]
    fn numbers_of_vents() {
        // 1/150 of 200 sq ft is 192 sq in (IRC R806.2, the rule as applied in its examples).
        let area = wanted(200.0 * FOOT * FOOT, 18.0 * FOOT, &Rules::default()).area;
        assert!((area / SQUARE_INCH - 192.0).abs() < 1e-9, "{area}");
        // 30 sq in each: seven, in pairs eight.
        check(200.0, 18.0, 8, VentRule::Area);
        // Four on 18 ft: common practice.
        check(112.0, 18.0, 4, VentRule::Practice);
        check(60.0, 14.0, 4, VentRule::Practice);
        check(10.0, 8.0, 2, VentRule::Practice);
        check(125.0, 18.0, 4, VentRule::Practice);
        check(126.0, 18.0, 6, VentRule::Area);
    }
}
