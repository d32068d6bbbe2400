//! Belly bands: where they run, clear of what the boat stands on, and how long they are.

use super::girth::{Outline, course, outlines, under};
use super::rim::{Rim, Spot};
use super::{BellyBand, SupportsClear};
use crate::boat::{Boat, Hand, Rules, SupportKind};
use crate::film::Pleat;
use crate::hull::Hull;
use nalgebra::Point3;

/// Height of a slit above the band, along the film, m; house rule, 2 in.
pub const SLIT_ABOVE_BAND: f64 = 0.0508;

/// Distance of a belly band from whatever the hull stands on, m; house rule, 6 in.
pub const SUPPORT_CLEAR: f64 = 0.1524;

/// Distance of a slit from the foot of a pleat, m; house rule, 4 in: the folds there are thick.
const PLEAT_CLEAR: f64 = 0.1016;

/// Distance from the ends of the hull within which a band would slip off, m; house rule, 12 in.
const FROM_END: f64 = 0.3048;

/// Buckles that draw a band tight.
const BUCKLES: usize = 1;

/// Step of the stations that are tried, m: 1 in.
const STEP: f64 = 0.0254;

/// Bands added at most to get round supports.
const MAX_ADDED: usize = 6;

/// A spacing over the rule by no more than this still keeps it, m: rounding.
const SLACK: f64 = 1e-9;

/// The bands from the stern.
pub(super) fn belly_bands(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    rim: &Rim,
    pleats: &[Pleat],
) -> Vec<BellyBand> {
    let [aft, fore] = reach(hull, rim);
    if fore <= aft {
        return Vec::new();
    }
    let supports = &boat.stored_on.supports;
    let off = |places: &[f64], clear: f64, x: f64| places.iter().all(|p| (p - x).abs() >= clear);
    let feet: Vec<f64> = pleats.iter().map(|pleat| pleat.station).collect();
    let allowed = [
        spread(aft, fore, rules.belly_band_spacing, &|x| {
            off(supports, SUPPORT_CLEAR, x) && off(&feet, PLEAT_CLEAR, x)
        }),
        spread(aft, fore, rules.belly_band_spacing, &|x| {
            off(supports, SUPPORT_CLEAR, x)
        }),
    ];
    let (stations, clear) = match allowed.into_iter().flatten().next() {
        Some(stations) if supports.is_empty() => (stations, SupportsClear::NotGiven),
        Some(stations) => (stations, SupportsClear::Kept),
        None => (
            spread(aft, fore, rules.belly_band_spacing, &|_| true).unwrap_or_default(),
            SupportsClear::Impossible,
        ),
    };
    let sections = outlines(&hull.bodies, &stations);
    stations
        .iter()
        .zip(&sections)
        .filter_map(|(station, section)| band(hull, boat, rules, rim, *station, section, clear))
        .enumerate()
        .map(|(index, band)| BellyBand {
            id: format!("B{}", index + 1),
            ..band
        })
        .collect()
}

/// The stretch of the boat that has both hull and band, stations.
fn reach(hull: &Hull, rim: &Rim) -> [f64; 2] {
    let course = rim.course();
    let stations = || course.iter().map(|p| p.x);
    let bounds: Vec<_> = hull
        .bodies
        .iter()
        .filter_map(|body| body.bounds())
        .collect();
    let low = bounds
        .iter()
        .map(|(low, _)| low.x)
        .fold(f64::INFINITY, f64::min);
    let high = bounds
        .iter()
        .map(|(_, high)| high.x)
        .fold(f64::NEG_INFINITY, f64::max);
    [
        stations().fold(f64::INFINITY, f64::min).max(low),
        stations().fold(f64::NEG_INFINITY, f64::max).min(high),
    ]
}

/// The fewest allowed stations with no gap over the spacing and half of it at most to the ends, as even as can
/// be: least sum of squares of what they are off an even spread. `None` where there are none.
fn spread(aft: f64, fore: f64, spacing: f64, allowed: &dyn Fn(f64) -> bool) -> Option<Vec<f64>> {
    let length = fore - aft;
    let fewest = ((length - SLACK) / spacing).ceil().max(1.0) as usize;
    (fewest..=fewest + MAX_ADDED).find_map(|count| {
        let pitch = length / count as f64;
        let ideal: Vec<f64> = (0..count).map(|i| aft + pitch * (i as f64 + 0.5)).collect();
        if ideal.iter().all(|x| allowed(*x)) {
            return Some(ideal);
        }
        let end = FROM_END.min(0.25 * length);
        let steps = ((length - 2.0 * end) / STEP) as usize;
        let tried: Vec<f64> = (0..=steps)
            .map(|k| aft + end + STEP * k as f64)
            .filter(|x| allowed(*x))
            .collect();
        best_chain(
            &tried,
            &ideal,
            spacing,
            [aft + 0.5 * spacing, fore - 0.5 * spacing],
        )
    })
}

/// One of the tried stations for each ideal one, ascending: the first at most at `ends[0]`, the last at least at
/// `ends[1]`, no gap over the spacing (dynamic programming).
fn best_chain(tried: &[f64], ideal: &[f64], spacing: f64, ends: [f64; 2]) -> Option<Vec<f64>> {
    let cost = |x: f64, i: usize| ideal.get(i).map_or(0.0, |ideal| (x - ideal).powi(2));
    let mut costs: Vec<f64> = tried
        .iter()
        .map(|x| {
            if *x <= ends[0] + SLACK {
                cost(*x, 0)
            } else {
                f64::INFINITY
            }
        })
        .collect();
    let mut from: Vec<Vec<usize>> = Vec::new();
    for i in 1..ideal.len() {
        let mut next = vec![f64::INFINITY; tried.len()];
        let mut links = vec![0; tried.len()];
        for (k, x) in tried.iter().enumerate() {
            for (j, y) in tried.iter().enumerate().take(k).rev() {
                if x - y > spacing + SLACK {
                    break;
                }
                let sum = costs[j] + cost(*x, i);
                if sum < next[k] {
                    (next[k], links[k]) = (sum, j);
                }
            }
        }
        costs = next;
        from.push(links);
    }
    let (mut at, least) = costs
        .iter()
        .enumerate()
        .filter(|(k, _)| tried[*k] >= ends[1] - SLACK)
        .min_by(|a, b| a.1.total_cmp(b.1))?;
    if !least.is_finite() {
        return None;
    }
    let mut stations = vec![tried[at]];
    for links in from.iter().rev() {
        at = links[at];
        stations.push(tried[at]);
    }
    stations.reverse();
    Some(stations)
}

fn band(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    rim: &Rim,
    station: f64,
    section: &Outline,
    supports: SupportsClear,
) -> Option<BellyBand> {
    let port = slit(&rim.at_station(hull, station, Hand::Port)?);
    let starboard = slit(&rim.at_station(hull, station, Hand::Starboard)?);
    let length = under(section, port, starboard);
    Some(BellyBand {
        id: String::new(),
        station,
        length,
        cut: length + 2.0 * rules.strap_tail,
        slits: [port, starboard],
        course: course(section, station, port, starboard),
        goes: match boat.stored_on.kind {
            SupportKind::Trailer => "under the hull, or to the trailer's frame on both sides",
            SupportKind::Cradle => "under the hull, never to the cradle",
            SupportKind::Stands => "under the hull, never to the stands",
        }
        .to_owned(),
        supports,
        buckles: BUCKLES,
    })
}

/// A slit in the film over the band.
fn slit(spot: &Spot) -> Point3<f64> {
    let up = spot.top - spot.foot;
    let long = up.norm();
    if long > SLIT_ABOVE_BAND {
        spot.foot + up * (SLIT_ABOVE_BAND / long)
    } else {
        spot.top
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{boxy, planned, planned_text};
    use super::*;
    use crate::boat::presets;

    fn bands(boat: &Boat, plan: &crate::plan::Plan) -> Vec<BellyBand> {
        let rim = Rim::of(&plan.hull, &plan.cover).unwrap();
        belly_bands(&plan.hull, boat, &plan.rules, &rim, &[])
    }

    const FOOT: f64 = 0.3048;

    #[test]
    fn bands_are_six_feet_apart_at_most() {
        // One every 6 ft: common practice.
        for preset in presets() {
            let (boat, plan) = planned(preset.name);
            let bands = bands(&boat, &plan);
            let mut at = vec![0.0 - 3.0 * FOOT];
            at.extend(bands.iter().map(|band| band.station));
            at.push(boat.length + 3.0 * FOOT);
            for pair in at.windows(2) {
                let gap = pair[1] - pair[0];
                assert!(
                    gap <= 6.0 * FOOT + 0.35 && gap > 0.1,
                    "{}: {gap}",
                    preset.name
                );
            }
            for pair in bands.windows(2) {
                assert!(
                    pair[1].station - pair[0].station <= 6.0 * FOOT + 1e-9,
                    "{}",
                    preset.name
                );
            }
            for band in &bands {
                let [port, starboard] = band.slits;
                // Never shorter than straight across, never longer than a box round the section.
                let depth = port.z.max(starboard.z);
                assert!(band.length > (port - starboard).norm(), "{}", preset.name);
                assert!(
                    band.length < boat.beam.max(port.y - starboard.y) + 2.0 * depth,
                    "{}: {band:?}",
                    preset.name
                );
                assert!(
                    port.y > 0.0 && (port.y + starboard.y).abs() < 0.02,
                    "{}: {band:?}",
                    preset.name
                );
                let stands = boat.stored_on.kind == SupportKind::Stands;
                assert_eq!(band.goes.contains("never to the stands"), stands);
                for support in &boat.stored_on.supports {
                    assert!(
                        (band.station - support).abs() >= SUPPORT_CLEAR - 1e-9,
                        "{}",
                        preset.name
                    );
                }
                assert_eq!(
                    band.supports == SupportsClear::NotGiven,
                    boat.stored_on.supports.is_empty()
                );
            }
        }
    }

    /// A scow of flat bottom 2 m wide, its sides 1 m high and flaring 0.2 m: from slits 6 in under the sheer (8 in
    /// to the band less 2) down the sides and across.
    #[test]
    fn the_length_under_a_scow() {
        let (boat, plan) = planned_text(&boxy("2 m"));
        let bands = bands(&boat, &plan);
        assert_eq!(bands.len(), 3); // 4 m at 6 ft
        for band in &bands {
            let length = 2.0 * (1.04f64.sqrt() - 6.0 * 0.0254) + 2.0;
            assert!(
                (band.length - length).abs() < 2e-3,
                "{} {length}",
                band.length
            );
            assert!((band.cut - band.length - 2.0 * plan.rules.strap_tail).abs() < 1e-12);
        }
    }

    fn check(supports: &[f64], count: usize, clear: bool) {
        let allowed = |x: f64| supports.iter().all(|s| (s - x).abs() >= SUPPORT_CLEAR);
        let found = spread(0.0, 5.4, 1.8, &allowed);
        assert_eq!(found.is_some(), clear, "{supports:?}");
        let Some(found) = found else { return };
        assert_eq!(found.len(), count, "{supports:?}: {found:?}");
        assert!(found.iter().all(|x| allowed(*x)), "{supports:?}: {found:?}");
        assert!(
            found[0] <= 0.9 + 1e-9 && found[found.len() - 1] >= 4.5 - 1e-9,
            "{found:?}"
        );
        for pair in found.windows(2) {
            assert!(pair[1] - pair[0] <= 1.8 + 1e-9, "{found:?}");
        }
    }

    #[test]
    fn bands_keep_clear_of_supports() {
        check(&[], 3, true);
        // Off the even places: nothing moves.
        check(&[1.5, 3.5], 3, true);
        // On an even place of three that leave no room to move: one more.
        check(&[2.7], 4, true);
        check(&[0.9, 2.7, 4.5], 4, true);
        // A wall of supports 0.2 m apart leaves no place at all.
        let wall: Vec<f64> = (0..30).map(|k| 0.2 * f64::from(k)).collect();
        check(&wall, 0, false);
    }
}
