//! Looped drop straps that carry the band.
//!
//! A cleat that stands alone gets a strap of its own; the gaps between are then filled evenly, so that straps
//! are nowhere further apart than the rules' spacing. A strap in a gap hangs from a rail where one passes, else
//! its loop is tied to a single line that is led along the edge from the nearest anchor.

use super::DropStrap;
use super::rim::{Rim, Spot};
use crate::boat::{Anchor, Boat, Hand, Rules, Side};
use crate::hull::Hull;
use nalgebra::Point3;

/// A strap that has to be led no further than this hangs from its anchor itself, m.
const AT_ANCHOR: f64 = 0.05;

/// The buckle of the band stands this far clear of a drop strap at the stern, m; house rule, 6 in.
const BUCKLE_CLEAR: f64 = 0.1524;

/// Part of the spacing within which a second cleat of the same side gets no strap of its own.
const CLOSE: f64 = 0.5;

/// A gap longer than the spacing by no more than this is not divided once more, m: rounding.
const SLACK: f64 = 1e-6;

/// An edge no further forward of the transom than this is that of the stern, m.
const ACROSS_STERN: f64 = 0.05;

/// A strap no farther from the centerline than this hangs on it, m; 2 in.
const AT_CENTER: f64 = 0.05;

/// What a strap hangs from where the boat names nothing.
const NOTHING: &str = "nothing named: clamp or pad eye needed";

/// An anchor on one side: a cleat at one station, a rail over a stretch.
struct Offer<'a> {
    name: &'a str,
    hand: Hand,
    stretch: [f64; 2],
    below: f64,
    /// Where a cleat's strap goes over the edge; a rail's depends on the place.
    fixed: Option<Spot>,
}

impl Offer<'_> {
    fn is_rail(&self) -> bool {
        self.stretch[0] < self.stretch[1]
    }
}

fn offers<'a>(hull: &Hull, boat: &'a Boat, rim: &Rim) -> Vec<Offer<'a>> {
    let mut offers = Vec::new();
    for anchor in &boat.anchors {
        let (name, side, stretch, below) = match anchor {
            // Under the band, or inside the edge: nothing can hang from them.
            Anchor::BowEye { .. } | Anchor::SternEye { .. } | Anchor::SamsonPost { .. } => {
                continue;
            }
            Anchor::Cleat {
                name,
                station,
                side,
                below_sheer,
            } => (name, *side, [*station, *station], *below_sheer),
            Anchor::Rail {
                name,
                from,
                to,
                side,
                below_sheer,
            } => (name, *side, [*from, *to], *below_sheer),
        };
        let hands: &[Hand] = match side {
            Side::Port => &[Hand::Port],
            Side::Starboard => &[Hand::Starboard],
            Side::Both => &Hand::BOTH,
        };
        offers.extend(hands.iter().map(|hand| {
            Offer {
                name,
                hand: *hand,
                stretch,
                below,
                fixed: (stretch[0] == stretch[1])
                    .then(|| rim.at_station(hull, stretch[0], *hand))
                    .flatten(),
            }
        }));
    }
    offers
}

/// The straps from the stern round by port.
pub(super) fn drop_straps(hull: &Hull, boat: &Boat, rules: &Rules, rim: &Rim) -> Vec<DropStrap> {
    let offers = offers(hull, boat, rim);
    let mut straps: Vec<DropStrap> = places(rules, rim, &offers)
        .into_iter()
        .map(|run| hang(hull, rules, rim, &offers, rim.at(run)))
        .collect();
    for (index, strap) in straps.iter_mut().enumerate() {
        strap.id = format!("D{}", index + 1);
    }
    straps
}

/// Lengths along the edge at which straps hang, ascending.
fn places(rules: &Rules, rim: &Rim, offers: &[Offer<'_>]) -> Vec<f64> {
    let mut fixed: Vec<f64> = Vec::new();
    for hand in Hand::BOTH {
        let mut cleats: Vec<(f64, f64)> = offers
            .iter()
            .filter(|offer| offer.hand == hand)
            .filter_map(|offer| Some((offer.stretch[0], offer.fixed?.run)))
            .filter(|(station, _)| {
                !offers.iter().any(|rail| {
                    rail.hand == hand
                        && rail.is_rail()
                        && (rail.stretch[0]..=rail.stretch[1]).contains(station)
                })
            })
            .collect();
        cleats.sort_by(|a, b| a.0.total_cmp(&b.0));
        let close = CLOSE * rules.drop_strap_spacing;
        let mut last: Option<f64> = None;
        for (_, run) in cleats {
            if last.is_none_or(|last| rim.between(last, run) >= close) {
                fixed.push(run);
                last = Some(run);
            }
        }
    }
    fixed.sort_by(f64::total_cmp);
    let length = rim.length();
    let Some(&first) = fixed.first() else {
        // Half a step off the stern on both sides of the buckle.
        let count = pieces(length, rules);
        return (0..count)
            .map(|i| length * (i as f64 + 0.5) / count as f64)
            .collect();
    };
    let mut places = Vec::new();
    for (i, &from) in fixed.iter().enumerate() {
        let to = fixed.get(i + 1).copied().unwrap_or(first + length);
        let mut count = pieces(to - from, rules);
        let at_buckle = |count: usize| {
            (1..count).any(|k| {
                rim.between(from + (to - from) * k as f64 / count as f64, 0.0) < BUCKLE_CLEAR
            })
        };
        if at_buckle(count) && !at_buckle(count + 1) {
            count += 1;
        }
        places.extend(
            (0..count).map(|k| (from + (to - from) * k as f64 / count as f64).rem_euclid(length)),
        );
    }
    places.sort_by(f64::total_cmp);
    places
}

/// Pieces that a stretch of the edge is divided into.
fn pieces(stretch: f64, rules: &Rules) -> usize {
    ((stretch - SLACK) / rules.drop_strap_spacing)
        .ceil()
        .max(1.0) as usize
}

/// The strap at a place of the rim, from the anchor that needs the least leading.
fn hang(hull: &Hull, rules: &Rules, rim: &Rim, offers: &[Offer<'_>], spot: Spot) -> DropStrap {
    let mut best: Option<(f64, &Offer<'_>, Spot, f64)> = None;
    for offer in offers {
        let station = spot.top.x.clamp(offer.stretch[0], offer.stretch[1]);
        let Some(over) = offer
            .fixed
            .or_else(|| rim.at_station(hull, station, offer.hand))
        else {
            continue;
        };
        let led = rim.between(over.run, spot.run);
        if best.as_ref().is_none_or(|(least, ..)| led < least - SLACK) {
            best = Some((led, offer, over, station));
        }
    }
    let down = (spot.foot - spot.top).norm();
    // The loop goes to the band and back; what leads to it along the edge is a single line.
    let (anchor, led, length) = match best {
        None => (NOTHING.to_owned(), 0.0, 2.0 * down),
        Some((led, offer, over, station)) => {
            let name = format!("{}, {}", offer.name, offer.hand.word());
            let place = anchor_place(hull, offer, station, &over);
            if led > AT_ANCHOR {
                let single = (over.top - place).norm() + led;
                (
                    format!("{name}, led along the edge"),
                    led,
                    single + 2.0 * down,
                )
            } else if offer.below > 0.0 {
                // Outside under the edge: the loop hangs straight down from it.
                (name, 0.0, 2.0 * (spot.foot - place).norm())
            } else {
                (name, 0.0, 2.0 * ((spot.top - place).norm() + down))
            }
        }
    };
    let off_middle = spot.top.x > ACROSS_STERN && spot.top.y.abs() > AT_CENTER;
    DropStrap {
        id: String::new(),
        anchor,
        led,
        top: spot.top,
        foot: spot.foot,
        hand: off_middle.then_some(if spot.top.y > 0.0 {
            Hand::Port
        } else {
            Hand::Starboard
        }),
        length,
        cut: length + rules.drop_strap_tail,
    }
}

/// Where an anchor stands: at the sheer, or on the edge where the hull has no sheer at its station.
fn anchor_place(hull: &Hull, offer: &Offer<'_>, station: f64, over: &Spot) -> Point3<f64> {
    let after = hull.sheer.partition_point(|p| p.x <= station);
    let sheer = match (
        after.checked_sub(1).and_then(|i| hull.sheer.get(i)),
        hull.sheer.get(after),
    ) {
        (Some(a), Some(b)) => a + (b - a) * ((station - a.x) / (b.x - a.x)),
        (Some(a), None) if a.x == station => *a,
        _ => return Point3::new(over.top.x, over.top.y, over.top.z - offer.below),
    };
    Point3::new(station, offer.hand.sign() * sheer.y, sheer.z - offer.below)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{boxy, mirrored, planned, planned_text};
    use super::*;
    use crate::boat::presets;
    use crate::fittings::band::band;

    fn straps(boat: &Boat, plan: &crate::plan::Plan) -> Vec<DropStrap> {
        let rim = Rim::of(&plan.hull, &plan.cover).unwrap();
        drop_straps(&plan.hull, boat, &plan.rules, &rim)
    }

    /// Distance from a closed curve.
    fn off(course: &[Point3<f64>], p: &Point3<f64>) -> f64 {
        (0..course.len())
            .map(|i| {
                let (a, b) = (course[i], course[(i + 1) % course.len()]);
                let along = b - a;
                let s = ((p - a).dot(&along) / along.norm_squared().max(1e-18)).clamp(0.0, 1.0);
                (a + along * s - p).norm()
            })
            .fold(f64::INFINITY, f64::min)
    }

    #[test]
    fn straps_hang_on_the_band_no_further_apart_than_the_rule() {
        for preset in presets() {
            let (boat, plan) = planned(preset.name);
            let rim = Rim::of(&plan.hull, &plan.cover).unwrap();
            let course = band(&rim, &plan.rules).course;
            let straps = straps(&boat, &plan);
            assert!(!straps.is_empty());
            let runs: Vec<f64> = straps.iter().map(|s| rim.nearest(s.top.xy())).collect();
            for (i, strap) in straps.iter().enumerate() {
                assert_eq!(strap.id, format!("D{}", i + 1));
                assert!(
                    off(&course, &strap.foot) < 1e-9,
                    "{}: {strap:?}",
                    preset.name
                );
                let next = runs[(i + 1) % runs.len()];
                let gap = (next - runs[i]).rem_euclid(rim.length());
                assert!(
                    gap <= plan.rules.drop_strap_spacing + 1e-3,
                    "{}: {gap}",
                    preset.name
                );
                // A loop goes to the band and back.
                assert!(strap.length >= 2.0 * (strap.foot.z - strap.top.z).abs() - 2.0 * 0.3);
                assert!(strap.cut > strap.length);
                let known = boat.anchors.iter().any(|anchor| match anchor {
                    Anchor::Cleat { name, .. } | Anchor::Rail { name, .. } => {
                        strap.anchor.starts_with(name.as_str())
                    }
                    _ => false,
                });
                assert!(known, "{}: {}", preset.name, strap.anchor);
                assert_eq!(
                    strap.led > 0.0,
                    strap.anchor.ends_with("led along the edge")
                );
            }
            assert!(
                straps.iter().any(|s| s.hand.is_none()),
                "{}: across the stern",
                preset.name
            );
            if mirrored(&boat) {
                for strap in &straps {
                    let twin = straps.iter().any(|other| {
                        (other.top.x - strap.top.x).abs() < 0.01
                            && (other.top.y + strap.top.y).abs() < 0.01
                    });
                    assert!(twin, "{}: {strap:?}", preset.name);
                }
            }
        }
    }

    /// On a scow 4 m long with one pair of cleats at 2 m the strap at the cleat goes 8 in of girth down and back.
    #[test]
    fn lengths_of_a_scow() {
        let (boat, plan) = planned_text(&boxy("2 m"));
        let straps = straps(&boat, &plan);
        let at = straps
            .iter()
            .find(|s| s.anchor == "cleat, port")
            .expect("a strap at the cleat");
        assert!((at.top.x - 2.0).abs() < 0.01 && at.led == 0.0);
        assert!(
            (at.length - 2.0 * 8.0 * 0.0254).abs() < 2e-3,
            "{}",
            at.length
        );
        for strap in straps
            .iter()
            .filter(|s| s.hand == Some(Hand::Port) && s.led > 0.0 && s.top.x < 3.9)
        {
            // On the straight side the way along the edge is the difference of stations.
            let led = (strap.top.x - 2.0).abs();
            assert!((strap.led - led).abs() < 0.01, "{strap:?}");
            assert!(
                (strap.length - led - 2.0 * 8.0 * 0.0254).abs() < 0.02,
                "{strap:?}"
            );
        }
    }

    #[test]
    fn a_boat_without_anchors_says_so() {
        let (mut boat, plan) = planned("open-runabout-18");
        for keep in [0, 1] {
            // The bow eye alone is as good as none.
            boat.anchors.truncate(keep);
            let straps = straps(&boat, &plan);
            assert!(straps.iter().all(|s| s.anchor == NOTHING && s.led == 0.0));
            let even = (plan.hull.edge.length() / plan.rules.drop_strap_spacing).ceil();
            assert!(
                (straps.len() as f64 - even).abs() <= 1.0,
                "{}",
                straps.len()
            );
        }
    }
}
