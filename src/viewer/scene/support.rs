//! What the boat stands on, and the ground: drawn in likeness, not to anybody's measure.

use super::builder::{Builder, Strokes};
use super::paint::Paint;
use super::shape::{bar, block, underside};
use super::{Part, SIDES};
use crate::boat::SupportKind;
use crate::geom::mesh::Mesh as Solid;
use crate::plan::Plan;
use crate::units::{METERS_PER_FOOT, UnitSystem};
use crate::viewer::convert;
use bevy::asset::RenderAssetUsages;
use bevy::color::Color;
use bevy::mesh::{Indices, Mesh, PrimitiveTopology};
use nalgebra::{Point3, Vector3};
use std::f64::consts::TAU;

/// Height of the person who stands beside the boat, m: a grown person, 5 ft 9 in.
pub const PERSON: f64 = 1.7526;

/// Where the person stands: this far astern of the boat, m.
const ASTERN: f64 = 0.5;

/// How far to port of the boat, m, and for each meter of its length: from ahead what stands astern seems nearer to the
/// middle, and a long boat would hide the person.
const ASIDE: [f64; 2] = [0.5, 0.15];

/// The ground reaches this many lengths of the boat.
const GROUND: f64 = 1.6;

/// Ground, support and person.
pub fn draw(builder: &mut Builder, plan: &Plan, units: UnitSystem) {
    ground(builder, plan, units);
    let solids = match plan.boat.stored_on.kind {
        SupportKind::Trailer => trailer(plan),
        SupportKind::Cradle => cradle(plan),
        SupportKind::Stands => stands(plan),
    };
    for (mesh, paint) in solids {
        builder.solid(Part::Support, &mesh, paint);
    }
    builder.solid(Part::Person, &person(person_at(plan)), Paint::Person);
}

/// What reaches out from under the boat: a trailer's tongue.
pub fn reach(plan: &Plan) -> Option<Point3<f64>> {
    let out = plan.boat.length + TONGUE;
    (plan.boat.stored_on.kind == SupportKind::Trailer)
        .then(|| Point3::new(out, 0.0, ground_level(plan)))
}

/// How far a trailer's tongue reaches out before the bow, m.
const TONGUE: f64 = 0.6;

/// Height of the ground, m.
pub fn ground_level(plan: &Plan) -> f64 {
    -plan.boat.stored_on.keel_height
}

/// Where the person stands: astern, to port of the hull, so that no straight view has them before the boat.
pub fn person_at(plan: &Plan) -> Point3<f64> {
    let [aft, _] = plan.hull.edge.ends();
    let port = plan.hull.edge.points().iter().map(|p| p.y);
    let aside = ASIDE[0] + ASIDE[1] * plan.boat.length;
    Point3::new(
        aft - ASTERN,
        port.fold(0.0, f64::max) + aside,
        ground_level(plan),
    )
}

fn ground(builder: &mut Builder, plan: &Plan, units: UnitSystem) {
    let [aft, fore] = plan.hull.edge.ends();
    let middle = Point3::new(0.5 * (aft + fore), 0.0, ground_level(plan));
    let reach = GROUND * (fore - aft);
    builder.mesh(Part::Ground, disc(&middle, reach), Paint::Ground);
    // A grid to judge lengths by, from the transom forward.
    let step = match units {
        UnitSystem::FeetInches => 5.0 * METERS_PER_FOOT,
        UnitSystem::Metric => 1.0,
    };
    let mut grid = Strokes::default();
    let color = Color::srgba(0.45, 0.48, 0.48, 0.35);
    let lift = Vector3::z() * 0.004;
    let (from, to) = (aft - 0.35 * (fore - aft), fore + 0.35 * (fore - aft));
    let half = (0.8 * plan.boat.beam / step).ceil() * step;
    let first = (from / step).floor() as i32;
    let last = (to / step).ceil() as i32;
    for k in first..=last {
        let x = f64::from(k) * step;
        let at = |y: f64| Point3::new(x, y, middle.z) + lift;
        grid.line([at(-half), at(half)], color);
    }
    let across = (half / step).round() as i32;
    for k in -across..=across {
        let y = f64::from(k) * step;
        let at = |k: i32| Point3::new(f64::from(k) * step, y, middle.z) + lift;
        grid.line([at(first), at(last)], color);
    }
    builder.lines_below(Part::Ground, &grid, 1.0);
}

/// A disc that fades out at its rim.
fn disc(middle: &Point3<f64>, reach: f64) -> Mesh {
    const RINGS: [(f64, f32); 4] = [(0.0, 1.0), (0.45, 1.0), (0.75, 0.5), (1.0, 0.0)];
    const SPOKES: u32 = 48;
    let (mut places, mut colors, mut indices) = (Vec::new(), Vec::new(), Vec::new());
    for (part, alpha) in RINGS {
        for spoke in 0..SPOKES {
            let (sin, cos) = (TAU * f64::from(spoke) / f64::from(SPOKES)).sin_cos();
            let p = middle + Vector3::new(cos, sin, 0.0) * reach * part;
            places.push(convert::point(&p).to_array());
            colors.push([1.0, 1.0, 1.0, alpha]);
        }
    }
    for ring in 1..RINGS.len() as u32 {
        for spoke in 0..SPOKES {
            let next = (spoke + 1) % SPOKES;
            let [a, b, c, d] = [
                (ring - 1) * SPOKES + spoke,
                (ring - 1) * SPOKES + next,
                ring * SPOKES + spoke,
                ring * SPOKES + next,
            ];
            indices.extend([a, c, d, a, d, b]);
        }
    }
    let normals = vec![[0.0, 1.0, 0.0]; places.len()];
    Mesh::new(
        PrimitiveTopology::TriangleList,
        RenderAssetUsages::RENDER_WORLD | RenderAssetUsages::MAIN_WORLD,
    )
    .with_inserted_attribute(Mesh::ATTRIBUTE_POSITION, places)
    .with_inserted_attribute(Mesh::ATTRIBUTE_NORMAL, normals)
    .with_inserted_attribute(Mesh::ATTRIBUTE_COLOR, colors)
    .with_inserted_indices(Indices::U32(indices))
}

type Painted = Vec<(Solid, Paint)>;

/// Offsets of the keels at a station: where the underside is lowest, one for each hull or tube.
fn keels(plan: &Plan, x: f64) -> Vec<f64> {
    const STEPS: i32 = 60;
    let half = 0.5 * plan.boat.beam;
    let heights: Vec<(f64, f64)> = (-STEPS..=STEPS)
        .filter_map(|k| {
            let y = half * f64::from(k) / f64::from(STEPS);
            Some((y, underside(&plan.hull.bodies, x, y)?))
        })
        .collect();
    let lowest = heights
        .iter()
        .map(|(_, z)| *z)
        .fold(f64::INFINITY, f64::min);
    // Runs of the lowest places, each by its middle.
    let mut runs: Vec<[f64; 2]> = Vec::new();
    for (y, z) in heights {
        if z > lowest + 0.02 {
            continue;
        }
        match runs.last_mut() {
            Some([_, end]) if y - *end < 0.25 * half => *end = y,
            _ => runs.push([y, y]),
        }
    }
    runs.iter().map(|[from, to]| 0.5 * (from + to)).collect()
}

/// Offsets at which bunks and pads bear: beside the keel of one hull, under each of several.
fn bearings(plan: &Plan, x: f64) -> Vec<f64> {
    let keels = keels(plan, x);
    match keels.as_slice() {
        [_] | [] => [-0.24, 0.24].map(|part| part * plan.boat.beam).to_vec(),
        _ => keels,
    }
}

fn under(plan: &Plan, x: f64, y: f64) -> f64 {
    underside(&plan.hull.bodies, x, y).unwrap_or(0.0)
}

/// Width of steel beams, m.
const BEAM: f64 = 0.08;

fn trailer(plan: &Plan) -> Painted {
    let ground = ground_level(plan);
    let length = plan.boat.length;
    let rails = ground + 0.45 * plan.boat.stored_on.keel_height;
    let half = 0.3 * plan.boat.beam;
    let (from, to) = (0.04 * length, 0.78 * length);
    let mut steel = Solid::default();
    let mut timber = Solid::default();
    let mut tyres = Solid::default();
    for y in [-half, half] {
        steel.append(&block(
            [from, y - 0.5 * BEAM, rails - BEAM],
            [to, y + 0.5 * BEAM, rails],
        ));
        // From the rails to the coupling.
        let path = [
            Point3::new(to - 0.05, y, rails - 0.5 * BEAM),
            Point3::new(length + TONGUE, 0.0, rails - 0.5 * BEAM),
        ];
        steel.append(&bar(&path, 0.5 * BEAM, 4));
    }
    for part in [0.08, 0.4, 0.74] {
        let x = part * length;
        steel.append(&block(
            [x - 0.5 * BEAM, -half, rails - BEAM],
            [x + 0.5 * BEAM, half, rails],
        ));
        let keel = under(plan, x, 0.0);
        if keels(plan, x).len() == 1 && keel > rails + 0.04 {
            steel.append(&block(
                [x - 0.03, -0.05, rails],
                [x + 0.03, 0.05, keel - 0.02],
            ));
            timber.append(&block(
                [x - 0.05, -0.12, keel - 0.03],
                [x + 0.05, 0.12, keel],
            ));
        }
    }
    for y in bearings(plan, 0.35 * length) {
        let (a, b) = (0.06 * length, 0.6 * length);
        let bunk: Vec<Point3<f64>> = (0..=12)
            .map(|k| {
                let x = a + (b - a) * f64::from(k) / 12.0;
                Point3::new(x, y, under(plan, x, y) - 0.045)
            })
            .collect();
        timber.append(&bar(&bunk, 0.045, 4));
        for x in [0.09 * length, 0.4 * length, 0.56 * length] {
            let top = under(plan, x, y) - 0.06;
            if top > rails {
                steel.append(&block(
                    [x - 0.03, y - 0.03, rails - BEAM],
                    [x + 0.03, y + 0.03, top],
                ));
            }
        }
        // Outside the rails the crossbeams reach out to the bunks.
        if y.abs() > half {
            for x in [0.09 * length, 0.56 * length] {
                steel.append(&block([x - 0.03, 0.0, rails - BEAM], [x + 0.03, y, rails]));
            }
        }
    }
    // Wheels outside the beam, two to a side under long boats.
    let radius = (0.6 * plan.boat.stored_on.keel_height).clamp(0.24, 0.36);
    let out = 0.5 * plan.boat.beam + 0.02;
    let axles: &[f64] = if length > 6.4 { &[0.26, 0.26] } else { &[0.3] };
    for (k, part) in axles.iter().enumerate() {
        let x = part * length + 2.15 * radius * k as f64;
        let hub = ground + radius;
        for y in [-out, out] {
            tyres.append(&wheel(Point3::new(x, y, hub), radius, 0.18));
            steel.append(&wheel(Point3::new(x, y, hub), 0.45 * radius, 0.2));
        }
        steel.append(&block(
            [x - 0.03, -out, hub - 0.03],
            [x + 0.03, out, hub + 0.03],
        ));
    }
    // A jack stand under the coupling, so that it stands by itself.
    let x = length + TONGUE - 0.12;
    steel.append(&bar(
        &[
            Point3::new(x, 0.0, ground),
            Point3::new(x, 0.0, rails + 0.25),
        ],
        0.03,
        8,
    ));
    steel.append(&block(
        [x - 0.1, -0.1, ground],
        [x + 0.1, 0.1, ground + 0.02],
    ));
    vec![
        (steel, Paint::Steel),
        (timber, Paint::Timber),
        (tyres, Paint::Tyre),
    ]
}

fn wheel(hub: Point3<f64>, radius: f64, width: f64) -> Solid {
    let half = Vector3::y() * 0.5 * width;
    bar(&[hub - half, hub + half], radius, SIDES)
}

/// Stations at which stands and cradles bear, parts of the length.
const BEARS_AT: [f64; 3] = [0.12, 0.42, 0.7];

/// Blocks stacked under the keels.
fn blocks(plan: &Plan) -> Solid {
    let ground = ground_level(plan);
    let mut timber = Solid::default();
    for part in BEARS_AT {
        let x = part * plan.boat.length;
        for y in keels(plan, x) {
            let top = under(plan, x, y);
            let layers = ((top - ground) / 0.15).round().max(1.0) as i32;
            for layer in 0..layers {
                let at = |k: i32| ground + (top - ground) * f64::from(k) / f64::from(layers);
                // Crosswise, layer on layer, with a shadow between.
                let (a, b) = if layer % 2 == 0 {
                    (0.1, 0.28)
                } else {
                    (0.28, 0.1)
                };
                timber.append(&block(
                    [x - a, y - b, at(layer)],
                    [x + a, y + b, at(layer + 1) - 0.006],
                ));
            }
        }
    }
    timber
}

fn stands(plan: &Plan) -> Painted {
    let ground = ground_level(plan);
    let mut steel = Solid::default();
    let mut pads = Solid::default();
    for part in BEARS_AT {
        let x = part * plan.boat.length;
        for hand in [-1.0, 1.0] {
            let y = hand * 0.31 * plan.boat.beam;
            let Some(top) = underside(&plan.hull.bodies, x, y) else {
                continue;
            };
            let head = top - 0.04;
            let neck = ground + 0.62 * (head - ground);
            steel.append(&bar(
                &[
                    Point3::new(x, y, ground + 0.45 * (head - ground)),
                    Point3::new(x, y, head),
                ],
                0.022,
                8,
            ));
            for leg in 0..3 {
                let (sin, cos) = (TAU * (f64::from(leg) / 3.0 + 0.08)).sin_cos();
                let spread = 0.34 * (head - ground).min(1.4);
                let foot = Point3::new(x + cos * spread, y + sin * spread, ground + 0.02);
                steel.append(&bar(&[foot, Point3::new(x, y, neck)], 0.02, 6));
            }
            // The pad lies along the bottom.
            let lean = |dy: f64| underside(&plan.hull.bodies, x, y + dy).unwrap_or(top);
            pads.append(&bar(
                &[
                    Point3::new(x, y - 0.13, lean(-0.13) - 0.03),
                    Point3::new(x, y + 0.13, lean(0.13) - 0.03),
                ],
                0.045,
                6,
            ));
        }
    }
    vec![
        (steel, Paint::Steel),
        (pads, Paint::Timber),
        (blocks(plan), Paint::Timber),
    ]
}

fn cradle(plan: &Plan) -> Painted {
    let ground = ground_level(plan);
    let (from, to) = (
        BEARS_AT[0] * plan.boat.length,
        BEARS_AT[2] * plan.boat.length,
    );
    let half = 0.36 * plan.boat.beam;
    let mut steel = Solid::default();
    let mut pads = Solid::default();
    for y in [-half, half] {
        steel.append(&block(
            [from - 0.3, y - BEAM, ground],
            [to + 0.3, y + BEAM, ground + 1.6 * BEAM],
        ));
    }
    for part in BEARS_AT {
        let x = part * plan.boat.length;
        steel.append(&block(
            [x - BEAM, -half, ground],
            [x + BEAM, half, ground + 1.6 * BEAM],
        ));
        for y in [-half, half] {
            let Some(top) = underside(&plan.hull.bodies, x, 0.85 * y) else {
                continue;
            };
            steel.append(&bar(
                &[
                    Point3::new(x, y, ground),
                    Point3::new(x, 0.85 * y, top - 0.04),
                ],
                0.05,
                4,
            ));
            pads.append(&bar(
                &[
                    Point3::new(x - 0.16, 0.85 * y, top - 0.03),
                    Point3::new(x + 0.16, 0.85 * y, top - 0.03),
                ],
                0.04,
                6,
            ));
        }
    }
    vec![
        (steel, Paint::Steel),
        (pads, Paint::Timber),
        (blocks(plan), Paint::Timber),
    ]
}

/// A plain figure that looks at the boat.
fn person(at: Point3<f64>) -> Solid {
    let limb = |from: [f64; 3], to: [f64; 3], radius: f64| {
        let [a, b] = [from, to].map(|p| at + Vector3::from(p) * PERSON);
        bar(&[a, b], radius * PERSON, 12)
    };
    let mut body = Solid::default();
    for hand in [-1.0, 1.0] {
        body.append(&limb(
            [0.0, hand * 0.055, 0.0],
            [0.0, hand * 0.05, 0.48],
            0.042,
        ));
        body.append(&limb(
            [0.03, hand * 0.125, 0.44],
            [0.0, hand * 0.108, 0.785],
            0.024,
        ));
    }
    // A trunk that is broad at the shoulders.
    let ring = |z: f64, half_width: f64, half_depth: f64| {
        (0..SIDES)
            .map(|k| {
                let (sin, cos) = (TAU * k as f64 / SIDES as f64).sin_cos();
                at + Vector3::new(half_depth * cos, half_width * sin, z) * PERSON
            })
            .collect::<Vec<_>>()
    };
    body.append(&Solid::rings(&[
        ring(0.45, 0.085, 0.06),
        ring(0.6, 0.08, 0.055),
        ring(0.78, 0.125, 0.065),
        ring(0.83, 0.09, 0.05),
        ring(0.87, 0.035, 0.032),
    ]));
    let head: Vec<Vec<Point3<f64>>> = (0..=8)
        .map(|k| {
            let (sin, cos) = (std::f64::consts::PI * f64::from(k) / 8.0).sin_cos();
            ring(0.932 - 0.068 * cos, 0.048 * sin, 0.056 * sin)
        })
        .collect();
    body.append(&Solid::rings(&head));
    body
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::presets;
    use crate::plan::plan;

    /// From ahead the whole person is seen beside every preset's cover.
    #[test]
    fn nobody_hides_the_person() {
        use crate::view::Vantage;
        use crate::viewer::pose::{Pose, Room};
        use bevy::math::Vec3;
        for preset in presets() {
            let mut boat = preset.boat().unwrap();
            boat.rules.coarsen(3.0);
            let plan = plan(&boat, &boat.rules).unwrap();
            let start = Pose {
                target: Vec3::ZERO,
                yaw: 0.0,
                pitch: 0.0,
                distance: 20.0,
            };
            for vantage in [Vantage::Bow, Vantage::Stern] {
                let extent = super::super::extent(&plan);
                let pose = start.turned(vantage).fitting(&extent, 1.6, Room::default());
                let seen = |p: &Point3<f64>| pose.seen(convert::point(p)).unwrap().x;
                let port = if vantage == Vantage::Bow { 1.0 } else { -1.0 };
                let shoulder = person_at(&plan) - Vector3::y() * 0.25;
                let edge = plan.hull.edge.points().iter().map(|p| port * seen(p));
                let widest = edge.fold(f32::NEG_INFINITY, f32::max);
                let shoulder = port * seen(&shoulder);
                assert!(
                    shoulder > widest,
                    "{} {vantage:?}: {shoulder} {widest}",
                    preset.name
                );
            }
        }
    }

    #[test]
    fn the_person_is_as_tall_as_they_say() {
        let body = person(Point3::new(1.0, 2.0, -0.5));
        let top = body
            .vertices
            .iter()
            .map(|p| p.z)
            .fold(f64::NEG_INFINITY, f64::max);
        assert!((top + 0.5 - PERSON).abs() < 0.001 * PERSON, "{top}");
    }

    #[test]
    fn supports_stand_on_the_ground_and_do_not_pierce_the_hull() {
        for name in [
            "open-runabout-18",
            "catamaran-38",
            "pontoon-24",
            "jon-boat-16",
        ] {
            let mut boat = presets()
                .iter()
                .find(|p| p.name == name)
                .unwrap()
                .boat()
                .unwrap();
            boat.rules.coarsen(3.0);
            for kind in [
                SupportKind::Trailer,
                SupportKind::Cradle,
                SupportKind::Stands,
            ] {
                boat.stored_on.kind = kind;
                let plan = plan(&boat, &boat.rules).unwrap();
                let solids = match kind {
                    SupportKind::Trailer => trailer(&plan),
                    SupportKind::Cradle => cradle(&plan),
                    SupportKind::Stands => stands(&plan),
                };
                for (mesh, _) in &solids {
                    for p in &mesh.vertices {
                        assert!(p.z > ground_level(&plan) - 0.06, "{name} {kind:?}: {p}");
                        if let Some(z) = underside(&plan.hull.bodies, p.x, p.y) {
                            // Pads and bunks are pressed in a little.
                            assert!(p.z < z + 0.09, "{name} {kind:?}: {p} over {z}");
                        }
                    }
                }
            }
        }
    }
}
