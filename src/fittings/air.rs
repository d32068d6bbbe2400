//! Air under the cover: how much of it there is, and how much goes through the vents.
//!
//! All vents of a welded cover are high. Air comes in through the lower half of them and goes out through the
//! upper half, and the level of no pressure lies midway: that is the height which drives the flow, and on a level
//! ridge it is small. Wind, which does most of the work, is left out, so the flow is what is sure on a still day.

use super::girth::outlines;
use super::vents::Wanted;
use super::{Vent, Ventilation};
use crate::boat::{Boat, Rules};
use crate::cover::Cover;
use crate::geom::surface::plan_area;
use crate::hull::Hull;
use nalgebra::Point2;

/// Discharge coefficient of an opening for flow one way (ASHRAE Fundamentals 1997, quoted).
const DISCHARGE: f64 = 0.65;

/// Standard gravity, m/s2.
const GRAVITY: f64 = 9.80665;

/// Freezing point of water, K.
const FREEZING: f64 = 273.15;

/// By how much the air under a cover is warmer than outside when the stack flow is named, K; house rule.
pub const WARMER_INSIDE: f64 = 5.0;

/// Seconds in an hour.
const HOUR: f64 = 3600.0;

/// Slices along the boat by which the well under the sheer is summed.
const SLICES: usize = 40;

/// Heights by which a slice of it is summed.
const LAYERS: usize = 8;

/// Flow by the stack effect through openings of equal area, low and high:
/// `Cd A sqrt(2 g dH (Ti - To) / Ti)` (ASHRAE Fundamentals 1997, quoted); zero where the inside is not warmer.
///
/// # Units
/// `area` of the inlets in m2, `height` from the middle of the lower openings to the level of no pressure in m,
/// temperatures in deg C; m3/s.
pub(super) fn stack_flow(area: f64, height: f64, inside: f64, outside: f64) -> f64 {
    let drive = 2.0 * GRAVITY * height * (inside - outside) / (inside + FREEZING);
    DISCHARGE * area * drive.max(0.0).sqrt()
}

/// Half of the height between the lower and the upper half of the vents, m.
fn stack_height(vents: &[Vent]) -> f64 {
    let mut heights: Vec<f64> = vents.iter().map(|vent| vent.at.z).collect();
    heights.sort_by(f64::total_cmp);
    let half = heights.len() / 2;
    if half == 0 {
        return 0.0;
    }
    let mean = |part: &[f64]| part.iter().sum::<f64>() / part.len() as f64;
    let (low, high) = heights.split_at(half);
    0.5 * (mean(high) - mean(low))
}

/// What goes through the vents.
pub(super) fn ventilation(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    cover: &Cover,
    wanted: &Wanted,
    vents: &[Vent],
) -> Ventilation {
    let provided = vents.len() as f64 * rules.vent_area;
    let outside = rules.air_temperature;
    let height = stack_height(vents);
    let flow = stack_flow(0.5 * provided, height, outside + WARMER_INSIDE, outside);
    let volume = volume(hull, boat, cover);
    Ventilation {
        required: wanted.area,
        wanted: wanted.count,
        provided,
        governed_by: wanted.rule,
        volume,
        height,
        flow,
        difference: WARMER_INSIDE,
        changes: if volume > 0.0 {
            flow * HOUR / volume
        } else {
            0.0
        },
    }
}

/// Volume of air under the film, m3. Over the sheer: prisms under the film's triangles down to the level of the
/// sheer, or to the top of whatever stands over it there, which counts as solid. Under the sheer: the hull's whole
/// breadth over the stretches where footings lie lower than it. Closed rooms do not count.
pub(super) fn volume(hull: &Hull, boat: &Boat, cover: &Cover) -> f64 {
    let over: f64 = cover
        .mesh
        .corners()
        .enumerate()
        .map(|(t, [a, b, c])| {
            let middle = (a.coords + b.coords + c.coords) / 3.0;
            let sheer = hull.sheer_at(middle.x);
            let floor = hull
                .topmost(Point2::new(middle.x, middle.y))
                .map_or(sheer, |(_, top)| top.max(sheer));
            plan_area(&cover.mesh, t) * (middle.z - floor).max(0.0)
        })
        .sum();
    over + well(hull, boat)
}

/// Volume between footings and sheer.
fn well(hull: &Hull, boat: &Boat) -> f64 {
    let step = boat.length / SLICES as f64;
    let floor_at = |station: f64| {
        boat.footings
            .iter()
            .filter(|footing| (footing.zone.from..=footing.zone.to).contains(&station))
            .map(|footing| footing.height)
            .fold(f64::INFINITY, f64::min)
    };
    let stations: Vec<f64> = (0..SLICES)
        .map(|k| step * (k as f64 + 0.5))
        .filter(|station| floor_at(*station) < hull.sheer_at(*station))
        .collect();
    stations
        .iter()
        .zip(outlines(&hull.bodies, &stations))
        .map(|(station, section)| {
            let floor = floor_at(*station);
            let layer = (hull.sheer_at(*station) - floor) / LAYERS as f64;
            let breadths: f64 = (0..LAYERS)
                .map(|l| breadth(&section, floor + layer * (l as f64 + 0.5)))
                .sum();
            breadths * layer * step
        })
        .sum()
}

/// Breadth of a section at a height, m: from its outermost sides.
fn breadth(section: &[[Point2<f64>; 2]], height: f64) -> f64 {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for [a, b] in section {
        if (a.y <= height) != (b.y <= height) {
            let y = a.x + (b.x - a.x) * (height - a.y) / (b.y - a.y);
            (low, high) = (low.min(y), high.max(y));
        }
    }
    (high - low).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{boxy, planned, planned_text};
    use super::*;
    use crate::boat::Hand;
    use nalgebra::Point3;

    #[test]
    fn the_stack_effect() {
        // A .1, dH 1.5 m, 10/5 C, Cd .65: .0468502 m3/s (ASHRAE Fundamentals 1997, quoted).
        let flow = stack_flow(0.1, 1.5, 10.0, 5.0);
        assert!((flow - 0.046_850_2).abs() < 5e-8, "{flow}");
        // Nothing drives it without a height or a difference, and never backwards.
        for (height, inside) in [(0.0, 10.0), (1.5, 5.0), (1.5, 0.0)] {
            assert_eq!(stack_flow(0.1, height, inside, 5.0), 0.0);
        }
    }

    #[test]
    fn the_height_is_half_of_that_between_low_and_high() {
        let vent = |z: f64| Vent {
            id: String::new(),
            at: Point3::new(0.0, 0.0, z),
            hand: Hand::Port,
        };
        let check = |heights: &[f64], wanted: f64| {
            let vents: Vec<Vent> = heights.iter().map(|z| vent(*z)).collect();
            assert!((stack_height(&vents) - wanted).abs() < 1e-12, "{heights:?}");
        };
        check(&[], 0.0);
        check(&[2.0], 0.0);
        check(&[2.0, 2.0], 0.0);
        check(&[2.4, 2.0, 2.0, 2.4], 0.2);
        check(&[1.0, 2.0, 3.0], 0.75);
    }

    /// A scow 4 m long with its sole 0.2 m up: its well is a prism, 0.8 m of mean breadth 2.2 m (the side flares
    /// from 1.0 to 1.2 m in 1 m, so at half of 0.2 to 1.0 m the breadth is 2 x 1.12 m) over the footing's 2 m.
    #[test]
    fn the_well_of_a_scow() {
        let (boat, plan) = planned_text(&boxy("2 m"));
        let found = well(&plan.hull, &boat);
        assert!((found - 0.8 * 2.24 * 2.0).abs() < 0.02, "{found}");
    }

    /// Over the sheer: the same volume by columns on a plain grid, solid things taken off.
    #[test]
    fn the_volume_by_another_sum() {
        for name in ["open-runabout-18", "pilothouse-25"] {
            let (boat, plan) = planned(name);
            let field = crate::geom::sample::HeightField::new(&plan.cover.mesh);
            let (low, high) = plan.cover.mesh.bounds().unwrap();
            let step = 0.02;
            let mut sum = 0.0;
            let mut x = low.x + 0.5 * step;
            while x < high.x {
                let mut y = low.y + 0.5 * step;
                while y < high.y {
                    let p = Point2::new(x, y);
                    if let Some(z) = field.at(p) {
                        let sheer = plan.hull.sheer_at(x);
                        let floor = plan
                            .hull
                            .topmost(p)
                            .map_or(sheer, |(_, top)| top.max(sheer));
                        sum += (z - floor).max(0.0) * step * step;
                    }
                    y += step;
                }
                x += step;
            }
            let found = volume(&plan.hull, &boat, &plan.cover);
            let wanted = sum + well(&plan.hull, &boat);
            assert!(
                (found - wanted).abs() < 0.02 * wanted,
                "{name}: {found} {wanted}"
            );
        }
    }
}
