//! What a tape says of two points. Plain geometry.

use crate::geom::mesh::Mesh;
use crate::geom::sample::HeightField;
use crate::geom::slice::{Axis, slice_across};
use crate::plan::Plan;
use crate::units::UnitSystem;
use nalgebra::{Point2, Point3, Vector3};

/// What a tape says of two points.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// Straight from one to the other, m.
    pub straight: f64,
    /// Level distance, m.
    pub run: f64,
    /// How much higher the second is, m.
    pub rise: f64,
    /// The way over the film, where both lie on it.
    pub over_film: Option<OverFilm>,
}

/// A way over the film: in the upright plane through both ends, as a tape lies that is not drawn aside. The shortest
/// way may be a little shorter.
#[derive(Debug, Clone, PartialEq)]
pub struct OverFilm {
    /// Its length, m.
    pub length: f64,
    /// Its course, m.
    pub course: Vec<Point3<f64>>,
}

impl Measure {
    /// Slope of the straight line, rad, upward positive.
    ///
    /// # Units
    /// Radians.
    pub fn slope(&self) -> f64 {
        self.rise.atan2(self.run)
    }

    /// Slope in words, pitch and degrees; a line that stands all but upright has no pitch.
    pub fn slope_words(&self, units: UnitSystem) -> String {
        let slope = self.slope();
        let degrees = units.format_angle(slope);
        if self.run < UPRIGHT * self.straight {
            degrees
        } else {
            format!("{}, {degrees}", units.format_pitch(slope))
        }
    }
}

/// A line with less run than this part of its length is upright: 89 deg and more.
const UPRIGHT: f64 = 0.0175;

/// Points nearer than this in plan have no plane through them, m.
const SAME: f64 = 1e-6;

/// Measures two points; over the film where both lie on it or on its skirt.
///
/// # Units
/// Meters.
pub fn measure(plan: &Plan, a: &Point3<f64>, b: &Point3<f64>, on_film: bool) -> Measure {
    let way = b - a;
    Measure {
        straight: way.norm(),
        run: way.xy().norm(),
        rise: way.z,
        over_film: on_film
            .then(|| over(&plan.cover.with_skirt(), a, b))
            .flatten(),
    }
}

/// The way over a surface in the upright plane through two points of it; `None` where the surface does not hang
/// together between them, or they stand one over the other.
///
/// # Units
/// Meters.
pub fn over(surface: &Mesh, a: &Point3<f64>, b: &Point3<f64>) -> Option<OverFilm> {
    let along = (b - a).xy().try_normalize(SAME)?;
    // Turned about the upright through the start, so that the plane is one of constant y.
    let turn = |p: &Point3<f64>| {
        let way = p - a;
        Point3::new(way.xy().dot(&along), along.perp(&way.xy()), p.z)
    };
    let turned = Mesh {
        vertices: surface.vertices.iter().map(turn).collect(),
        triangles: surface.triangles.clone(),
    };
    let ends = [[0.0, a.z], [(b - a).xy().norm(), b.z]];
    let mut best: Option<(f64, Vec<[f64; 2]>)> = None;
    for cut in slice_across(&turned, Axis::Y, 0.0) {
        let [Some(from), Some(to)] = ends.map(|end| nearest(&cut.points, end)) else {
            continue;
        };
        let off = from.off + to.off;
        if best.as_ref().is_none_or(|(least, _)| off < *least) {
            best = Some((off, between(&cut.points, from, to)));
        }
    }
    let (_, course) = best.filter(|(off, _)| *off < OFF)?;
    let length = course
        .windows(2)
        .map(|pair| (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1]))
        .sum();
    let back = |p: &[f64; 2]| {
        let flat = a.xy() + along * p[0];
        Point3::new(flat.x, flat.y, p[1])
    };
    Some(OverFilm {
        length,
        course: course.iter().map(back).collect(),
    })
}

/// Ends that lie farther off the surface than this, both together, are not on it, m: pads and caps are thicker than
/// nothing, a drawn sheet stands off a little.
const OFF: f64 = 0.08;

/// A place on a line: after how many of its corners, and how far a point is off it.
#[derive(Clone, Copy)]
struct Spot {
    after: usize,
    part: f64,
    at: [f64; 2],
    off: f64,
}

fn nearest(line: &[[f64; 2]], p: [f64; 2]) -> Option<Spot> {
    let mut best: Option<Spot> = None;
    for (after, pair) in line.windows(2).enumerate() {
        let &[a, b] = pair else { continue };
        let way = [b[0] - a[0], b[1] - a[1]];
        let square = (way[0] * way[0] + way[1] * way[1]).max(f64::MIN_POSITIVE);
        let part = ((p[0] - a[0]) * way[0] + (p[1] - a[1]) * way[1]) / square;
        let part = part.clamp(0.0, 1.0);
        let at = [a[0] + way[0] * part, a[1] + way[1] * part];
        let off = (p[0] - at[0]).hypot(p[1] - at[1]);
        if best.is_none_or(|known| off < known.off) {
            best = Some(Spot {
                after,
                part,
                at,
                off,
            });
        }
    }
    best
}

fn between(line: &[[f64; 2]], from: Spot, to: Spot) -> Vec<[f64; 2]> {
    let turned = (to.after, to.part) < (from.after, from.part);
    let (first, last) = if turned { (to, from) } else { (from, to) };
    let mut course = vec![first.at];
    let inner = line.get(first.after + 1..last.after + 1);
    course.extend(inner.unwrap_or_default());
    course.push(last.at);
    if turned {
        course.reverse();
    }
    course
}

/// Height of the film over a point of the plan, m; `None` beside it.
pub fn film_at(plan: &Plan, p: Point2<f64>) -> Option<f64> {
    HeightField::new(&plan.cover.mesh).at(p)
}

/// Places that a tape is held to.
pub fn holds(plan: &Plan) -> Vec<(Point3<f64>, String)> {
    let mut holds = Vec::new();
    for post in &plan.frame.posts {
        let foot = Point3::new(post.station, post.offset, post.base);
        holds.push((post.top(), format!("cap of {}", post.id)));
        holds.push((foot, format!("foot of {}", post.id)));
    }
    for (index, strap) in plan.frame.straps.iter().enumerate() {
        let points = crate::viewer::scene::strap_points(plan, index);
        for end in [points.first(), points.last()].into_iter().flatten() {
            let near = |p: &Point3<f64>| (p - end).norm() < 0.02;
            // Most straps start at a cap.
            if !holds.iter().any(|(p, _)| near(p)) {
                holds.push((*end, format!("end of {}", strap.id)));
            }
        }
    }
    for run in plan.hull.edge.corners() {
        holds.push((plan.hull.edge.at(run), "corner of the edge".to_owned()));
    }
    holds
}

/// The surface's upward lift that lines on it are drawn with, m.
pub const LIFT: Vector3<f64> = Vector3::new(0.0, 0.0, 0.01);

#[cfg(test)]
mod tests {
    use super::*;

    /// A gable: ridge along x at height 1, eaves at y = -2 and 2, 3 m long.
    fn gable() -> Mesh {
        let mut mesh = Mesh::default();
        for x in [0.0, 3.0] {
            for (y, z) in [(-2.0, 0.0), (0.0, 1.0), (2.0, 0.0)] {
                mesh.vertices.push(Point3::new(x, y, z));
            }
        }
        for k in 0..2u32 {
            mesh.triangles.push([k, k + 3, k + 4]);
            mesh.triangles.push([k, k + 4, k + 1]);
        }
        mesh
    }

    /// By hand: over the ridge a tape athwart is twice as long as each side; on one side it is straight.
    #[test]
    fn the_way_over_a_gable() {
        let p = |x: f64, y: f64| Point3::new(x, y, 1.0 - 0.5 * y.abs());
        let side = |half: f64| half * 1.25f64.sqrt();
        for (a, b, wanted) in [
            (p(1.0, -2.0), p(1.0, 2.0), 2.0 * side(2.0)),
            (p(1.0, 1.5), p(1.0, -0.5), side(1.5) + side(0.5)),
            (p(0.5, 0.5), p(2.5, 0.5), 2.0),
            (p(0.5, 0.2), p(2.5, 1.8), (4.0f64 + 2.56 + 0.64).sqrt()),
            // Aslant over the ridge: halves of equal run, each straight.
            (
                p(0.5, -1.0),
                p(2.5, 1.0),
                2.0 * (1.0f64 + 1.0 + 0.25).sqrt(),
            ),
        ] {
            for (from, to) in [(a, b), (b, a)] {
                let over = over(&gable(), &from, &to).unwrap();
                assert!(
                    (over.length - wanted).abs() < 1e-12,
                    "{from} {to}: {}",
                    over.length
                );
                let ends = [over.course[0], over.course[over.course.len() - 1]];
                assert!((ends[0] - from).norm() < 1e-12 && (ends[1] - to).norm() < 1e-12);
            }
        }
        let above = Point3::new(1.0, 0.5, 3.0);
        assert!(
            over(&gable(), &p(1.0, -1.0), &above).is_none(),
            "off the film"
        );
        assert!(over(&gable(), &p(1.0, 1.0), &p(1.0, 1.0)).is_none());
    }

    /// 3, 4, 12 and 13: a box's own diagonal.
    #[test]
    fn straight_run_rise_and_slope() {
        let units = UnitSystem::FeetInches;
        let plan = crate::boat::preset("jon-boat-16").unwrap().boat().unwrap();
        let plan = crate::plan::plan(&plan, &plan.rules).unwrap();
        for (rise, slope, words) in [
            (12.0, (12.0f64 / 5.0).atan(), "28.8:12, 67.4°"),
            (-12.0, -(12.0f64 / 5.0).atan(), "-28.8:12, -67.4°"),
        ] {
            let a = Point3::new(1.0, 1.0, 1.0);
            let b = a + Vector3::new(3.0, 4.0, rise);
            let found = measure(&plan, &a, &b, false);
            assert!((found.straight - 13.0).abs() < 1e-12 && (found.run - 5.0).abs() < 1e-12);
            assert_eq!(found.rise, rise);
            assert!((found.slope() - slope).abs() < 1e-12);
            assert_eq!(found.slope_words(units), words);
            assert_eq!(found.over_film, None);
        }
        let a = Point3::new(1.0, 0.0, 1.0);
        let up = measure(&plan, &a, &(a + Vector3::z()), false);
        assert_eq!(up.slope_words(units), "90.0°");
        // From band to band over the film a tape is as long as the cover's own section there.
        let station = 0.5 * plan.boat.length;
        let skin = plan.cover.with_skirt();
        let cuts = crate::geom::slice::slice(&skin, station);
        let line = &cuts[0].points;
        let girth: f64 = line
            .windows(2)
            .map(|p| (p[1][0] - p[0][0]).hypot(p[1][1] - p[0][1]))
            .sum();
        let end = |p: &[f64; 2]| Point3::new(station, p[0], p[1]);
        let found = measure(&plan, &end(&line[0]), &end(&line[line.len() - 1]), true);
        let over = found.over_film.unwrap();
        assert!(
            (over.length - girth).abs() < 1e-9,
            "{} {girth}",
            over.length
        );
        assert!(over.length > found.straight);
    }

    #[test]
    fn a_tape_is_held_to_caps_feet_ends_and_corners() {
        let boat = crate::boat::preset("open-runabout-18")
            .unwrap()
            .boat()
            .unwrap();
        let plan = crate::plan::plan(&boat, &boat.rules).unwrap();
        let holds = holds(&plan);
        for word in ["cap of P1", "foot of P2", "end of R1", "corner of the edge"] {
            assert!(holds.iter().any(|(_, name)| name == word), "{word}");
        }
        for (k, (p, _)) in holds.iter().enumerate() {
            assert!(p.coords.iter().all(|part| part.is_finite()), "{k}");
        }
    }
}
