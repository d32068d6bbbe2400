//! The boat as it stands in the yard: hull, deck with its wells, footings, and what is above the deck.

use super::Part;
use super::builder::{Builder, Strokes};
use super::deck;
use super::paint::Paint;
use super::shape::underside;
use super::trim::trimmed;
use crate::boat::{BoxKind, Zone};
use crate::geom::sample::HeightField;
use crate::hull::Thing;
use crate::plan::Plan;
use bevy::color::Color;
use nalgebra::Point3;

/// Lines on a footing lie this much over it, m.
const LIFT: f64 = 0.008;

/// Colors of the rims of footings and of places where no post may stand.
const FOOTING: Color = Color::srgb(0.36, 0.30, 0.20);
/// See [`FOOTING`].
const NO_POST: Color = Color::srgb(0.62, 0.20, 0.16);

/// Hull, things, footings.
pub fn draw(builder: &mut Builder, plan: &Plan) {
    let open = deck::open(&plan.hull, &plan.boat);
    let opened = open.is_some();
    match open {
        Some(open) => {
            builder.solid(Part::Hull, &open.skin, Paint::Hull);
            builder.solid(Part::Footing, &open.floors, Paint::Footing);
            // The deck is for the eye only: loaded film that sags under the rail would else be hidden by it.
            builder.covered(Part::Hull, &open.deck, Paint::Deck);
            builder.covered(Part::Hull, &open.walls, Paint::Deck);
        }
        None => {
            for body in &plan.hull.bodies {
                builder.solid(Part::Hull, body, Paint::Hull);
            }
        }
    }
    let kinds = plan.boat.boxes.iter().map(|item| match item.kind {
        BoxKind::Windshield => Paint::Glass,
        BoxKind::Seat => Paint::Seat,
        BoxKind::Motor => Paint::Motor,
        _ => Paint::House,
    });
    let film = HeightField::new(&plan.cover.mesh);
    // Boxes come first among the hull's things, tubes after them.
    let paints = kinds.chain(std::iter::repeat(Paint::Metal));
    for (index, (thing, paint)) in plan.hull.things.iter().zip(paints).enumerate() {
        // A box given plainly would stick out through the side of a bow; motors and platforms stand outside.
        let inboard = opened && plan.boat.boxes.get(index).is_some_and(|b| b.from >= 0.0);
        let trimmed = inboard.then(|| trimmed(&plan.hull, &thing.mesh)).flatten();
        let mesh = trimmed.as_ref().unwrap_or(&thing.mesh);
        if lies_under(&film, thing) {
            builder.covered(Part::Thing(index), mesh, paint);
        } else {
            builder.solid(Part::Thing(index), mesh, paint);
        }
    }
    let mut rims = Strokes::default();
    for footing in &plan.boat.footings {
        for [a, b] in within(plan, &rim(&footing.zone, footing.height + LIFT)) {
            rims.line([a, b], FOOTING);
        }
    }
    for zone in &plan.boat.no_post {
        let height = zone_height(plan, zone) + LIFT;
        rims.line(rim(zone, height), NO_POST);
        let half = 0.5 * zone.width;
        let at = |x: f64, side: f64| Point3::new(x, zone.offset + side * half, height);
        rims.line([at(zone.from, -1.0), at(zone.to, 1.0)], NO_POST);
        rims.line([at(zone.from, 1.0), at(zone.to, -1.0)], NO_POST);
    }
    builder.lines_below(Part::Footing, &rims, 1.5);
}

/// What reaches no higher over the film than this lies under it, m: a rail's round side.
const OVER: f64 = 0.08;

/// Whether all of a thing lies under the film.
fn lies_under(film: &HeightField, thing: &Thing) -> bool {
    let under = |p: &Point3<f64>| film.at(p.xy()).is_some_and(|z| p.z < z + OVER);
    thing.mesh.vertices.iter().all(under)
}

/// Length of the pieces in which a rim is looked at, m.
const PIECE: f64 = 0.05;

/// The pieces of a level line that do not stick out under the hull.
fn within(plan: &Plan, line: &[Point3<f64>]) -> Vec<[Point3<f64>; 2]> {
    let over_bottom =
        |p: &Point3<f64>| underside(&plan.hull.bodies, p.x, p.y).is_some_and(|bottom| bottom < p.z);
    let mut kept = Vec::new();
    for pair in line.windows(2) {
        let &[a, b] = pair else { continue };
        let pieces = ((b - a).norm() / PIECE).ceil().max(1.0);
        for k in 0..pieces as usize {
            let at = |k: usize| a + (b - a) * (k as f64 / pieces);
            let ends = [at(k), at(k + 1)];
            if ends.iter().all(over_bottom) {
                kept.push(ends);
            }
        }
    }
    kept
}

fn rim(zone: &Zone, height: f64) -> Vec<Point3<f64>> {
    let half = 0.5 * zone.width;
    let at = |x: f64, side: f64| Point3::new(x, zone.offset + side * half, height);
    vec![
        at(zone.from, -1.0),
        at(zone.to, -1.0),
        at(zone.to, 1.0),
        at(zone.from, 1.0),
        at(zone.from, -1.0),
    ]
}

/// Height at which a place is marked: that of the box that stands there, else of the deck. What is laid over it, such
/// as a mast, counts for nothing.
fn zone_height(plan: &Plan, zone: &Zone) -> f64 {
    let middle = [0.5 * (zone.from + zone.to), zone.offset];
    let boxes = plan.hull.things.iter().take(plan.boat.boxes.len());
    boxes
        .filter_map(|thing| thing.top_at(middle.into()))
        .max_by(f64::total_cmp)
        .unwrap_or_else(|| plan.hull.sheer_at(middle[0]))
}
