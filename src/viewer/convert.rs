//! From the boat's frame to the screen's: f64 to f32, height up along y. The one place where this is done.
//!
//! The boat has x forward, y to port, z up; the screen's world has x forward, y up, z to starboard. The turn is
//! about x, so that handedness is kept.

use bevy::math::Vec3;
use nalgebra::{Point3, Vector3};

/// A point of the boat in the screen's world.
///
/// # Units
/// Meters on both sides.
pub fn point(p: &Point3<f64>) -> Vec3 {
    vector(&p.coords)
}

/// A direction or a way of the boat in the screen's world.
pub fn vector(v: &Vector3<f64>) -> Vec3 {
    Vec3::new(v.x as f32, v.z as f32, -v.y as f32)
}

/// A point of the screen's world on the boat.
///
/// # Units
/// Meters on both sides.
pub fn back(p: Vec3) -> Point3<f64> {
    Point3::new(f64::from(p.x), -f64::from(p.z), f64::from(p.y))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn port_is_to_the_left_of_forward_and_up_is_up() {
        let [forward, port, up] = [Vector3::x(), Vector3::y(), Vector3::z()].map(|v| vector(&v));
        assert_eq!(up, Vec3::Y);
        assert_eq!(up.cross(forward), port);
        let p = Point3::new(1.5, -2.25, 0.5);
        assert_eq!(back(point(&p)), p);
    }
}
