//! What lies under the pointer: a ray from the eye onto what is shown of a plan.

use super::convert;
use super::display::Display;
use super::pose::{FIELD, Pose};
use super::scene::{Part, ground_level, open};
use crate::geom::mesh::Mesh;
use crate::geom::parry::{to_direction, to_point, to_vector};
use crate::plan::Plan;
use bevy::math::Vec2;
use nalgebra::{Point3, Vector3};
use parry3d_f64::query::RayCast;
use parry3d_f64::shape::TriMesh;

/// A line of sight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ray {
    /// The eye, m.
    pub from: Point3<f64>,
    /// The way that it looks, of unit length.
    pub way: Vector3<f64>,
}

impl Ray {
    /// The ray through a place of a picture: the other way round from [`Pose::seen`].
    ///
    /// # Units
    /// `seen` right and up of the picture's middle, in heights of the picture.
    pub fn through(pose: &Pose, seen: Vec2) -> Ray {
        let [ahead, right, up] = pose.axes();
        let height = 2.0 * (0.5 * FIELD).tan();
        let eye = pose.target - ahead * pose.distance;
        let way = ahead + (right * seen.x + up * seen.y) * height;
        let way = convert::back(way).coords;
        Ray {
            from: convert::back(eye),
            way: way.try_normalize(0.0).unwrap_or_else(Vector3::x),
        }
    }

    /// The place at a distance along it.
    ///
    /// # Units
    /// Meters.
    pub fn at(&self, distance: f64) -> Point3<f64> {
        self.from + self.way * distance
    }
}

/// What a ray meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// Where, m.
    pub at: Point3<f64>,
    /// Distance from the eye, m.
    pub distance: f64,
    /// What it is.
    pub part: Part,
}

/// What is shown of a plan, sorted so that rays find it quickly.
pub struct Solids {
    parts: Vec<(Part, TriMesh)>,
    ground: f64,
}

/// Farther than this nothing is looked for, m: well beyond the farthest camera.
const FARTHEST: f64 = 1000.0;

/// Width of a post where it is picked, m: that of a square post of 3 1/2 in.
const POST: f64 = 0.089;

impl Solids {
    /// The solids of a plan for what is shown of it.
    pub fn of(plan: &Plan, display: &Display) -> Solids {
        let mut parts = Vec::new();
        let mut add = |part: Part, mesh: &Mesh| {
            // What has no triangles cannot be met.
            if let Ok(shape) = mesh.to_parry() {
                parts.push((part, shape));
            }
        };
        if display.has_film() {
            add(Part::Film, &plan.cover.mesh);
            add(Part::Skirt, &plan.cover.skirt(&crate::cover::PLAIN));
        }
        match open(&plan.hull, &plan.boat) {
            Some(open) => {
                add(Part::Hull, &open.skin);
                add(Part::Hull, &open.deck);
                add(Part::Hull, &open.walls);
                add(Part::Footing, &open.floors);
            }
            None => {
                for body in &plan.hull.bodies {
                    add(Part::Hull, body);
                }
            }
        }
        for (index, thing) in plan.hull.things.iter().enumerate() {
            add(Part::Thing(index), &thing.mesh);
        }
        for (index, post) in plan.frame.posts.iter().enumerate() {
            let upright = |width: f64, from: f64, to: f64| {
                let half = Vector3::new(0.5 * width, 0.5 * width, 0.0);
                let at = |z: f64| Point3::new(post.station, post.offset, z);
                Mesh::cuboid(at(from) - half, at(to) + half)
            };
            let cap = post.cap - plan.rules.top_cap;
            add(Part::Post(index), &upright(POST, post.base, cap));
            let width = plan.rules.cap_diameter;
            add(Part::Cap(index), &upright(width, cap, post.cap));
        }
        Solids {
            parts,
            ground: ground_level(plan),
        }
    }

    /// The first thing that a ray meets; the ground goes on for ever.
    pub fn hit(&self, ray: &Ray) -> Option<Hit> {
        let line = parry3d_f64::query::Ray::new(to_vector(&ray.from), to_direction(&ray.way));
        let mut nearest: Option<(f64, Part)> = None;
        let fall = (self.ground - ray.from.z) / ray.way.z;
        if fall.is_finite() && fall > 0.0 && fall < FARTHEST {
            nearest = Some((fall, Part::Ground));
        }
        for (part, shape) in &self.parts {
            let most = nearest.map_or(FARTHEST, |(distance, _)| distance);
            let met = shape.cast_local_ray(&line, most, true);
            if let Some(distance) = met.filter(|distance| *distance < most) {
                nearest = Some((distance, *part));
            }
        }
        let (distance, part) = nearest?;
        Some(Hit {
            at: to_point(line.point_at(distance)),
            distance,
            part,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use crate::geom::sample::HeightField;
    use crate::plan::plan;
    use crate::view::{Show, Vantage};
    use bevy::math::Vec3;
    use std::time::Instant;

    const POSE: Pose = Pose {
        target: Vec3::new(2.5, 1.0, 0.2),
        yaw: 0.7,
        pitch: 0.5,
        distance: 15.0,
    };

    fn planned(name: &str, cell: f64) -> Plan {
        let mut boat = preset(name).unwrap().boat().unwrap();
        boat.rules.coarsen(cell);
        plan(&boat, &boat.rules).unwrap()
    }

    #[test]
    fn a_ray_goes_through_what_is_seen_there() {
        for vantage in Vantage::ALL {
            let pose = POSE.turned(vantage);
            for p in [[1.0, 0.5, 2.0], [4.0, -1.5, 0.3], [2.0, 0.0, -1.0]] {
                let p = Point3::from(p);
                let ray = Ray::through(&pose, pose.seen(convert::point(&p)).unwrap());
                let off = (p - ray.from).cross(&ray.way).norm();
                assert!(off < 1e-4, "{vantage:?}: {off}");
                assert!((p - ray.from).dot(&ray.way) > 0.0, "ahead");
            }
        }
    }

    /// Straight down: on the film where there is film, else on what lies highest, else on the ground.
    #[test]
    fn straight_down_meets_what_is_highest() {
        let plan = planned("open-runabout-18", 2.0);
        let slope = Display::of(Show::Slope);
        let frame = Display::of(Show::Frame);
        let film = HeightField::new(&plan.cover.mesh);
        let down = |x: f64, y: f64| Ray {
            from: Point3::new(x, y, 30.0),
            way: -Vector3::z(),
        };
        let [covered, bare] = [slope, frame].map(|display| Solids::of(&plan, &display));
        for (x, y) in [(1.0, 0.3), (2.5, -0.8), (4.0, 0.0)] {
            let hit = covered.hit(&down(x, y)).unwrap();
            let z = film.at([x, y].into()).unwrap();
            assert_eq!(hit.part, Part::Film, "{x} {y}");
            assert!((hit.at.z - z).abs() < 1e-9, "{x} {y}: {} {z}", hit.at.z);
            let hit = bare.hit(&down(x, y)).unwrap();
            assert!(hit.at.z < z && hit.part != Part::Film, "{x} {y}");
        }
        for (index, post) in plan.frame.posts.iter().enumerate() {
            let hit = bare.hit(&down(post.station, post.offset)).unwrap();
            assert_eq!(hit.part, Part::Cap(index));
            assert!((hit.at.z - post.cap).abs() < 1e-9);
        }
        let sole = plan.boat.footings.iter().find_map(|footing| {
            let hit = bare.hit(&down(
                0.5 * (footing.zone.from + footing.zone.to),
                footing.zone.offset,
            ))?;
            (hit.part == Part::Footing).then(|| (hit.at.z - footing.height).abs())
        });
        assert!(sole.is_some_and(|off| off < 1e-9), "{sole:?}");
        let beside = covered.hit(&down(2.0, 9.0)).unwrap();
        assert_eq!(beside.part, Part::Ground);
        assert!((beside.at.z - ground_level(&plan)).abs() < 1e-9);
        let up = Ray {
            from: Point3::new(2.0, 9.0, 5.0),
            way: Vector3::z(),
        };
        assert_eq!(covered.hit(&up), None);
    }

    /// The 40 ft class at its own cell: each move of the mouse must find its place well within a frame.
    #[test]
    fn rays_are_quick_on_a_large_boat() {
        let plan = planned("flybridge-40", 1.0);
        let solids = Solids::of(&plan, &Display::of(Show::Slope));
        let pose = POSE.turned(Vantage::Quarter);
        let start = Instant::now();
        let count = 200;
        let met = (0..count)
            .filter(|k| {
                let part = f64::from(*k) / f64::from(count) - 0.5;
                let seen = Vec2::new(0.8 * part as f32, 0.3 * (9.0 * part).sin() as f32);
                solids.hit(&Ray::through(&pose, seen)).is_some()
            })
            .count();
        let each = start.elapsed().as_secs_f64() / f64::from(count);
        assert!(met > 0);
        // A tenth of a frame at 60 frames a second would be 1.7 ms; unoptimised builds on busy machines get more.
        assert!(each < 0.01, "{each} s");
    }
}
