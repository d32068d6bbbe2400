//! A place to look from, and the nearest one from which all of a boat is seen.

use crate::view::Vantage;
use bevy::prelude::*;
use std::f32::consts::{FRAC_PI_2, PI};

/// Height of the picture as an angle, rad: a long lens, so that straight views are nearly to scale.
pub const FIELD: f32 = 0.42;

/// Nearest and farthest, m.
pub const DISTANCES: [f32; 2] = [0.4, 200.0];

/// What is nearer than this is not drawn, m.
pub const NEAREST: f32 = 0.1;

/// Straight up and straight down the picture would lose its upright: short of that by this, rad.
pub const POLE: f32 = 1e-3;

/// Part of the picture that is left free about the boat, for words.
const MARGIN: f32 = 0.12;

/// A place to look from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// What is looked at.
    pub target: Vec3,
    /// Direction of the camera from the target, turning from ahead over port, rad.
    pub yaw: f32,
    /// Height of the camera over the target, rad.
    pub pitch: f32,
    /// Distance from the target, m.
    pub distance: f32,
}

impl Pose {
    /// The way that the camera looks, its right and its up.
    pub fn axes(&self) -> [Vec3; 3] {
        let (sin, cos) = self.yaw.sin_cos();
        let ahead = -self.outward();
        // Perpendicular to the look and level.
        let right = Vec3::new(-sin, 0.0, -cos);
        [ahead, right, right.cross(ahead)]
    }

    fn outward(&self) -> Vec3 {
        let (sin, cos) = self.yaw.sin_cos();
        let (rise, run) = self.pitch.sin_cos();
        Vec3::new(run * cos, rise, -run * sin)
    }

    /// Where the camera stands and how it is turned.
    pub fn transform(&self) -> Transform {
        let [ahead, _, up] = self.axes();
        Transform::from_translation(self.target - ahead * self.distance).looking_to(ahead, up)
    }

    /// Where a point is in a picture of this shape: right and up of its middle, in heights of the picture; `None`
    /// behind the camera.
    pub fn seen(&self, p: Vec3) -> Option<Vec2> {
        let [ahead, right, up] = self.axes();
        let way = p - (self.target - ahead * self.distance);
        let depth = way.dot(ahead);
        let height = 2.0 * depth * (0.5 * FIELD).tan();
        (depth > NEAREST).then(|| Vec2::new(way.dot(right), way.dot(up)) / height)
    }

    /// The ray from the eye through a place of the picture, given as [`Pose::seen`] gives it.
    pub fn ray(&self, seen: Vec2) -> Ray3d {
        let [ahead, right, up] = self.axes();
        let way = ahead + (right * seen.x + up * seen.y) * 2.0 * (0.5 * FIELD).tan();
        Ray3d {
            origin: self.target - ahead * self.distance,
            direction: Dir3::new(way).unwrap_or(Dir3::NEG_Z),
        }
    }

    /// The directions of a vantage; target and distance are left as they are.
    pub fn turned(self, vantage: Vantage) -> Pose {
        let (yaw, pitch) = match vantage {
            Vantage::Bow => (0.0, 0.06),
            Vantage::Stern => (PI, 0.06),
            Vantage::Port => (FRAC_PI_2, 0.06),
            Vantage::Starboard => (-FRAC_PI_2, 0.06),
            // Seen with the bow to the right, port up: the camera leans over the starboard side.
            Vantage::Above => (-FRAC_PI_2, FRAC_PI_2 - POLE),
            Vantage::Quarter => (0.9, 0.42),
        };
        Pose { yaw, pitch, ..self }
    }

    /// The nearest place in this direction from which all points lie in a picture of this shape, exactly: each
    /// side of the picture asks for a distance, which is linear in the place of the target.
    ///
    /// # Units
    /// `aspect` is width over height; points in meters.
    pub fn fitting(self, points: &[Vec3], aspect: f32, room: Room) -> Pose {
        let [ahead, right, up] = self.axes();
        let half = (0.5 * FIELD).tan();
        // Tangents of the four sides of what is left of the picture.
        let [left_side, right_side, top_side, bottom_side] = [
            half * aspect * (1.0 - 2.0 * room.left),
            half * aspect * (1.0 - 2.0 * room.right),
            half * (1.0 - 2.0 * room.top),
            half * (1.0 - 2.0 * room.bottom),
        ];
        let most = |of: &dyn Fn(Vec3) -> f32| {
            points
                .iter()
                .map(|p| of(*p))
                .fold(f32::NEG_INFINITY, f32::max)
        };
        // A point at depth a along the look and b to a side is inside where b - t <= (d + a) k.
        let solve = |axis: Vec3, low: f32, high: f32| {
            let upper = most(&|p| p.dot(axis) - p.dot(ahead) * high);
            let lower = most(&|p| -p.dot(axis) - p.dot(ahead) * low);
            let distance = (upper + lower) / (low + high);
            (distance, upper, lower, low, high)
        };
        let across = solve(right, left_side, right_side);
        let along = solve(up, bottom_side, top_side);
        let distance = across.0.max(along.0);
        if points.is_empty() || !distance.is_finite() {
            return self;
        }
        // Where one pair of sides has room to spare, the spare is halved.
        let middle = |(_, upper, lower, low, high): (f32, f32, f32, f32, f32)| {
            0.5 * ((upper - distance * high) + (distance * low - lower))
        };
        // The target lies in the middle depth of the points, so that the camera circles the boat.
        let depth = 0.5 * (most(&|p| p.dot(ahead)) - most(&|p| -p.dot(ahead)));
        Pose {
            target: right * middle(across) + up * middle(along) + ahead * depth,
            distance: (distance + depth).clamp(DISTANCES[0], DISTANCES[1]),
            ..self
        }
    }
}

/// Parts of the picture that are kept free at its sides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// At the left.
    pub left: f32,
    /// At the right.
    pub right: f32,
    /// At the top, where the labels of the posts go.
    pub top: f32,
    /// At the bottom, where the legend lies.
    pub bottom: f32,
}

impl Default for Room {
    fn default() -> Room {
        Room {
            left: 0.5 * MARGIN,
            right: 0.5 * MARGIN,
            top: MARGIN,
            bottom: MARGIN,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use crate::plan::plan;
    use crate::viewer::scene::extent;

    const START: Pose = Pose {
        target: Vec3::ZERO,
        yaw: 0.0,
        pitch: 0.0,
        distance: 20.0,
    };

    #[test]
    fn every_vantage_holds_the_boat_in_its_picture_and_no_farther_than_need_be() {
        let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
        boat.rules.coarsen(3.0);
        let plan = plan(&boat, &boat.rules).unwrap();
        let points = extent(&plan);
        for vantage in Vantage::ALL {
            for aspect in [0.8, 1.6, 2.4] {
                let room = Room::default();
                let pose = START.turned(vantage).fitting(&points, aspect, room);
                let [ahead, right, up] = pose.axes();
                let eye = pose.transform().translation;
                let half = (0.5 * FIELD).tan();
                let mut most = f32::NEG_INFINITY;
                for p in &points {
                    let d = *p - eye;
                    let depth = d.dot(ahead);
                    // Place in the picture from -1 to 1, over what may be used of it.
                    let x = d.dot(right) / (depth * half * aspect);
                    let y = d.dot(up) / (depth * half);
                    for (at, free) in [
                        (x, room.right),
                        (-x, room.left),
                        (y, room.top),
                        (-y, room.bottom),
                    ] {
                        let used = at / (1.0 - 2.0 * free);
                        assert!(used < 1.001, "{vantage:?} {aspect}: {p} at {used}");
                        most = most.max(used);
                    }
                }
                assert!(most > 0.999, "{vantage:?} {aspect}: only {most} used");
            }
        }
    }

    #[test]
    fn what_is_seen_is_where_the_transform_puts_it() {
        for vantage in Vantage::ALL {
            let pose = START.turned(vantage);
            let view = pose.transform().compute_affine().inverse();
            for p in [
                Vec3::new(1.0, 0.5, -0.7),
                Vec3::new(-2.0, 1.5, 0.3),
                Vec3::ZERO,
            ] {
                let q = view.transform_point3(p);
                let height = -2.0 * q.z * (0.5 * FIELD).tan();
                let wanted = Vec2::new(q.x, q.y) / height;
                let found = pose.seen(p).unwrap();
                assert!(
                    found.distance(wanted) < 1e-4,
                    "{vantage:?}: {found} {wanted}"
                );
                // And the ray through it meets the point again.
                let ray = pose.ray(found);
                let along = (p - ray.origin).dot(*ray.direction);
                assert!(ray.get_point(along).distance(p) < 1e-3, "{vantage:?}: {p}");
            }
            let behind = pose.transform().translation - pose.axes()[0];
            assert_eq!(pose.seen(behind), None);
        }
    }
}
