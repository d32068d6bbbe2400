//! What holds the cover down and lets it breathe: pads, vents, door, collars, drop straps, belly bands.

use super::builder::{Builder, Strokes};
use super::film::{LIFT, lifted};
use super::paint::Paint;
use super::shape::{bar, block};
use super::{Part, SIDES};
use crate::boat::Piercing;
use crate::fittings::{Door, DoorFit};
use crate::geom::mesh::Mesh as Solid;
use crate::geom::sample::HeightField;
use crate::plan::Plan;
use crate::viewer::display::{Display, FilmMode};
use bevy::color::Color;
use nalgebra::{Point2, Point3, Vector3};
use std::f64::consts::{PI, TAU};

/// Radii of drawn drop straps and belly bands, m: thicker than they are, so that they are seen.
const DROP_STRAP: f64 = 0.006;
/// See [`DROP_STRAP`].
const BELLY_BAND: f64 = 0.010;
/// Sides of both.
const STRAP_SIDES: usize = 6;

/// Outline of a vent and of a door.
const RIM: Color = Color::srgb(0.13, 0.16, 0.20);
/// See [`RIM`]; on film that is colored by its slope, whose steep end is dark.
const RIM_PALE: Color = Color::srgb(0.93, 0.94, 0.96);
/// See [`RIM`]; of a door that does not fit.
const UNFIT: Color = Color::srgb(0.64, 0.15, 0.12);

/// Shape of a vent's low dome: height over the film, m, and part of its radius.
const DOME: [(f64, f64); 5] = [
    (-0.004, 1.0),
    (0.012, 1.0),
    (0.024, 0.8),
    (0.031, 0.45),
    (0.033, 0.0),
];

/// Over this distance the film's slope about a vent is read, m: across the crease beside it, not along a cell.
const ABOUT: f64 = 0.04;

/// Pieces that a line on the film is laid in, m.
const PIECE: f64 = 0.05;

/// All of them; what is fitted into the film only where the film is drawn.
pub fn draw(builder: &mut Builder, plan: &Plan, display: &Display) {
    let film = HeightField::new(&plan.cover.mesh);
    if display.has_film() {
        pads(builder, plan);
        vents(builder, plan, &film);
        door(builder, plan, &film, display);
    }
    collars(builder, plan, &film);
    // They hang under the film.
    if display.film != FilmMode::Opaque {
        drop_straps(builder, plan);
    }
    belly_bands(builder, plan);
}

/// Pads where the film bears on the boat.
fn pads(builder: &mut Builder, plan: &Plan) {
    for (index, pad) in plan.fittings.pads.iter().enumerate() {
        let at = pad.at + Vector3::z() * LIFT;
        let half = 0.05;
        let mesh = block(
            [at.x - half, at.y - half, at.z],
            [at.x + half, at.y + half, at.z + 0.012],
        );
        builder.solid(Part::Pad(index), &mesh, Paint::Pad);
    }
}

/// Vents as low domes on the film, as large as the opening under them.
fn vents(builder: &mut Builder, plan: &Plan, film: &HeightField) {
    let radius = (plan.rules.vent_area / PI).sqrt();
    for (index, vent) in plan.fittings.vents.iter().enumerate() {
        let (dome, rim) = vent_dome(&vent.at, normal(film, vent.at.xy()), radius);
        builder.solid(Part::Vent(index), &dome, Paint::Vent);
        let mut strokes = Strokes::default();
        strokes.line(rim, RIM);
        builder.lines(Part::Vent(index), &strokes, 1.4);
    }
}

/// The film's upward normal about a point of the plan; straight up beside it.
fn normal(film: &HeightField, p: Point2<f64>) -> Vector3<f64> {
    let rise = |dx: f64, dy: f64| {
        let [a, b] = [-1.0, 1.0].map(|side| {
            film.at(p + side * nalgebra::Vector2::new(dx, dy))
                .or_else(|| film.at(p))
        });
        a.zip(b).map_or(0.0, |(a, b)| 0.5 * (b - a) / ABOUT)
    };
    Vector3::new(-rise(ABOUT, 0.0), -rise(0.0, ABOUT), 1.0).normalize()
}

/// A dome on the film and the line round its foot.
fn vent_dome(at: &Point3<f64>, up: Vector3<f64>, radius: f64) -> (Solid, Vec<Point3<f64>>) {
    let across = up.cross(&Vector3::x());
    let across = across.try_normalize(1e-9).unwrap_or_else(Vector3::y);
    let along = across.cross(&up);
    let ring = |height: f64, part: f64| -> Vec<Point3<f64>> {
        (0..SIDES)
            .map(|k| {
                let (sin, cos) = (TAU * k as f64 / SIDES as f64).sin_cos();
                at + up * height + (along * cos + across * sin) * (radius * part)
            })
            .collect()
    };
    let rings: Vec<_> = DOME.map(|(height, part)| ring(height, part)).to_vec();
    let mut rim = ring(LIFT, 1.0);
    rim.extend(rim.first().copied());
    (Solid::rings(&rings), rim)
}

/// The outline of a door with its zip in the middle; one that does not fit is crossed out.
fn door(builder: &mut Builder, plan: &Plan, film: &HeightField, display: &Display) {
    let Some(door) = &plan.fittings.door else {
        return;
    };
    let fits = door.fit == DoorFit::Fits;
    let mut strokes = Strokes::default();
    for line in door_lines(door) {
        let color = match (fits, display.slope) {
            (false, _) => UNFIT,
            (true, true) => RIM_PALE,
            (true, false) => RIM,
        };
        strokes.line(laid(film, &line), color);
    }
    builder.lines(Part::Door, &strokes, 2.2);
}

/// Lines of a door in plan.
fn door_lines(door: &Door) -> Vec<Vec<Point3<f64>>> {
    let half = 0.5 * door.width;
    let at = |end: &Point3<f64>, part: f64| Point3::new(end.x + part * half, end.y, end.z);
    let (foot, head) = (&door.foot, &door.head);
    let mut lines = vec![vec![
        at(foot, -1.0),
        at(head, -1.0),
        at(head, 1.0),
        at(foot, 1.0),
        at(foot, -1.0),
    ]];
    if door.fit == DoorFit::Fits {
        lines.push(vec![*foot, *head]);
    } else {
        lines.push(vec![at(foot, -1.0), at(head, 1.0)]);
        lines.push(vec![at(foot, 1.0), at(head, -1.0)]);
    }
    lines
}

/// A line laid on the film.
fn laid(film: &HeightField, line: &[Point3<f64>]) -> Vec<Point3<f64>> {
    let mut points = Vec::new();
    for pair in line.windows(2) {
        let &[a, b] = pair else { continue };
        let pieces = ((b - a).norm() / PIECE).ceil().max(1.0) as usize;
        for k in 0..=pieces {
            let p = a + (b - a) * (k as f64 / pieces as f64);
            let z = film.at(p.xy()).unwrap_or(p.z);
            points.push(lifted(&Point3::new(p.x, p.y, z)));
        }
    }
    points
}

/// How far what stands through the film is drawn over it, m: its own height is nobody's measure.
const STUB: f64 = 0.6;

/// Tops of what stands through the film.
pub fn reach(plan: &Plan) -> Vec<Point3<f64>> {
    let film = HeightField::new(&plan.cover.mesh);
    let top = |piercing: &Piercing| {
        let p = Point2::new(piercing.station, piercing.offset);
        Some(Point3::new(p.x, p.y, film.at(p)? + STUB))
    };
    plan.boat.piercings.iter().filter_map(top).collect()
}

/// Collars round what stands through the film.
fn collars(builder: &mut Builder, plan: &Plan, film: &HeightField) {
    for piercing in &plan.boat.piercings {
        let (x, y) = (piercing.station, piercing.offset);
        let height = film
            .at(Point2::new(x, y))
            .unwrap_or_else(|| plan.hull.sheer_at(x));
        let foot = plan
            .hull
            .topmost([x, y].into())
            .map_or_else(|| plan.hull.sheer_at(x), |(_, z)| z);
        let at = |z: f64| Point3::new(x, y, z);
        let radius = 0.5 * piercing.diameter;
        let mast = bar(&[at(foot.min(height)), at(height + STUB)], radius, 16);
        builder.solid(Part::Collar, &mast, Paint::Metal);
        let collar = bar(&[at(height - 0.05), at(height + 0.12)], radius + 0.03, 16);
        builder.solid(Part::Collar, &collar, Paint::Cap);
    }
}

/// Drop straps from the edge down to the band, under the film.
fn drop_straps(builder: &mut Builder, plan: &Plan) {
    for (index, strap) in plan.fittings.drop_straps.iter().enumerate() {
        let out = outward(plan, &strap.top) * DROP_STRAP;
        let line = [strap.top + out, strap.foot + out];
        let mesh = bar(&line, DROP_STRAP, STRAP_SIDES);
        builder.solid(Part::DropStrap(index), &mesh, Paint::Band);
    }
}

/// Belly bands from slit to slit under the hull.
fn belly_bands(builder: &mut Builder, plan: &Plan) {
    for (index, band) in plan.fittings.belly_bands.iter().enumerate() {
        let middle = band.slits.iter().map(|slit| 0.5 * slit.z).sum::<f64>();
        // On the outside of the hull, away from its middle.
        let course: Vec<Point3<f64>> = band
            .course
            .iter()
            .map(|p| {
                let out = Vector3::new(0.0, p.y, p.z - middle);
                p + out.try_normalize(1e-9).unwrap_or_else(Vector3::zeros) * BELLY_BAND
            })
            .collect();
        let mesh = bar(&course, BELLY_BAND, STRAP_SIDES);
        builder.solid(Part::BellyBand(index), &mesh, Paint::Belly);
    }
}

/// Away from the middle of the boat in plan.
fn outward(plan: &Plan, p: &Point3<f64>) -> Vector3<f64> {
    let [aft, fore] = plan.hull.edge.ends();
    Vector3::new(p.x - 0.5 * (aft + fore), p.y, 0.0)
        .try_normalize(1e-9)
        .unwrap_or_else(Vector3::zeros)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::{DoorWish, Hand, preset};
    use crate::plan::plan;

    #[test]
    fn a_vent_lies_flat_on_its_film_and_is_as_large_as_its_opening() {
        for slope in [0.0, 0.5, -1.2] {
            let up = Vector3::new(0.0, -slope, 1.0).normalize();
            let at = Point3::new(1.0, 2.0, 3.0);
            let (dome, rim) = vent_dome(&at, up, 0.1);
            assert!(dome.volume() > 0.0, "it faces outward");
            for p in &rim {
                assert!(((p - at).dot(&up) - LIFT).abs() < 1e-12, "{p}");
                assert!(((p - at - up * LIFT).norm() - 0.1).abs() < 1e-12, "{p}");
            }
            let top = dome.vertices.iter().map(|p| (p - at).dot(&up));
            let top = top.fold(f64::NEG_INFINITY, f64::max);
            assert!((top - DOME[4].0).abs() < 1e-9, "{top}");
        }
    }

    #[test]
    fn what_is_drawn_of_the_fittings_lies_on_the_cover() {
        let mut boat = preset("pilothouse-25").unwrap().boat().unwrap();
        boat.rules.coarsen(2.0);
        boat.door = Some(DoorWish {
            station: 2.0,
            hand: Hand::Port,
        });
        let plan = plan(&boat, &boat.rules).unwrap();
        let film = HeightField::new(&plan.cover.mesh);
        let door = plan.fittings.door.as_ref().unwrap();
        for line in door_lines(door) {
            for p in laid(&film, &line) {
                if let Some(z) = film.at(p.xy()) {
                    assert!((p.z - z - LIFT).abs() < 1e-9, "{p}");
                }
            }
        }
        assert!(!plan.fittings.vents.is_empty());
        for vent in &plan.fittings.vents {
            let z = film.at(vent.at.xy()).unwrap();
            assert!((vent.at.z - z).abs() < 1e-6, "{}", vent.id);
            // A roof falls away from the ridge to its own side.
            assert!(normal(&film, vent.at.xy()).y * vent.hand.sign() > 0.0);
        }
        for band in &plan.fittings.belly_bands {
            let pieces = band.course.windows(2).map(|p| (p[1] - p[0]).yz().norm());
            let length: f64 = pieces.sum();
            assert!((length - band.length).abs() < 1e-6, "{}", band.id);
            assert_eq!(band.course.first(), band.slits.first());
            assert_eq!(band.course.last(), band.slits.last());
        }
    }
}
