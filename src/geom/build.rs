//! Builders of closed meshes: boxes with raked sides, prisms, stacks of rings, swept tubes.

use nalgebra::{Point2, Point3, Rotation3, Unit, Vector3};

use crate::geom::ears;
use crate::geom::mesh::{Mesh, index};

/// Corners nearer than this (m) are one corner: a hundredth of the width of a hair.
pub const WELD: f64 = 1e-7;

/// The sharpest turn (rad) that two straight pieces of a tube may make: beyond it the mitre
/// would reach out more than ten radii.
pub const SHARPEST_TURN: f64 = 2.94;

/// Why a tube cannot be swept along a path.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SweepFault {
    /// A path needs two points.
    #[error("a tube needs a path of two points at least")]
    ShortPath,
    /// Radius not positive or fewer than three sides.
    #[error("a tube needs a positive radius and three sides at least")]
    NoSection,
    /// Two successive points coincide or are not finite.
    #[error("points {from} and {} of the path coincide or are not finite", .from + 1)]
    NoDirection {
        /// Number of the first of them.
        from: usize,
    },
    /// The path turns back on itself.
    #[error("the path turns back too sharply at point {at}")]
    SharpTurn {
        /// Number of the point.
        at: usize,
    },
    /// The mitres at both ends of a piece would cross.
    #[error("the piece from point {from} is too short for its bends at this radius")]
    ShortPiece {
        /// Number of the piece's first point.
        from: usize,
    },
}

impl Mesh {
    /// The upright box between two opposite corners.
    ///
    /// # Units
    /// Meters.
    pub fn cuboid(low: Point3<f64>, high: Point3<f64>) -> Mesh {
        let ring = |z: f64| {
            [
                Point3::new(low.x, low.y, z),
                Point3::new(high.x, low.y, z),
                Point3::new(high.x, high.y, z),
                Point3::new(low.x, high.y, z),
            ]
        };
        Mesh::frustum(ring(low.z), ring(high.z))
    }

    /// A closed body between two four-cornered faces, both counterclockwise seen from above,
    /// corner under corner. Top corners may coincide: a wedge or a pyramid.
    ///
    /// # Units
    /// Meters.
    pub fn frustum(bottom: [Point3<f64>; 4], top: [Point3<f64>; 4]) -> Mesh {
        Mesh::rings(&[bottom.to_vec(), top.to_vec()])
    }

    /// A closed upright prism over an outline without crossings, counterclockwise from above.
    /// None when the outline crosses itself, runs clockwise or has no area.
    ///
    /// # Units
    /// Meters.
    pub fn prism(outline: &[Point2<f64>], bottom: f64, top: f64) -> Option<Mesh> {
        let lid = ears::triangulate(outline)?;
        let count = outline.len();
        let floor = outline.iter().map(|p| Point3::new(p.x, p.y, bottom));
        let vertices = floor
            .chain(outline.iter().map(|p| Point3::new(p.x, p.y, top)))
            .collect();
        let mut triangles = Vec::new();
        for k in 0..count {
            triangles.extend(quad([
                k,
                (k + 1) % count,
                count + (k + 1) % count,
                count + k,
            ]));
        }
        for [a, b, c] in lid {
            triangles.push([a, c, b].map(index));
            triangles.push([a + count, b + count, c + count].map(index));
        }
        Some(Mesh {
            vertices,
            triangles,
        })
    }

    /// A closed body through a stack of rings of equal count, each turning by the right hand
    /// about the way from the first ring to the last; the end rings must be convex. A ring may
    /// collapse to a point (a tip) or a line (an edge).
    ///
    /// # Units
    /// Meters.
    pub fn rings(rings: &[Vec<Point3<f64>>]) -> Mesh {
        let sides = rings.iter().map(Vec::len).min().unwrap_or(0);
        let vertices = rings
            .iter()
            .flat_map(|ring| ring.iter().take(sides).copied())
            .collect();
        let mut triangles = Vec::new();
        for ring in 1..rings.len() {
            let (low, high) = ((ring - 1) * sides, ring * sides);
            for k in 0..sides {
                let next = (k + 1) % sides;
                triangles.extend(quad([low + k, low + next, high + next, high + k]));
            }
        }
        let last = rings.len().saturating_sub(1) * sides;
        for k in 2..sides {
            triangles.push([0, k, k - 1].map(index));
            triangles.push([last, last + k - 1, last + k].map(index));
        }
        let mut mesh = Mesh {
            vertices,
            triangles,
        };
        mesh.weld(WELD);
        mesh
    }

    /// A closed tube of `sides` flat sides along an open path, capped square at both ends, with
    /// mitred joints. The section is carried straight along each piece onto the plane that
    /// halves the next bend, so it neither twists nor changes its size: the frame is the
    /// rotation-minimising one (Bishop 1975, from memory).
    ///
    /// # Units
    /// Meters; `radius` is that of the circle through the section's corners.
    ///
    /// # Errors
    /// See [`SweepFault`]: no section, a repeated point, a bend too sharp or pieces too short
    /// for their mitres. Far parts of one path that come near each other are not looked at.
    pub fn swept_tube(path: &[Point3<f64>], radius: f64, sides: usize) -> Result<Mesh, SweepFault> {
        let directions = directions(path)?;
        if !(radius.is_finite() && radius > WELD && sides >= 3) {
            return Err(SweepFault::NoSection);
        }
        check_bends(path, &directions, radius)?;
        let (Some(first), Some(start)) = (directions.first(), path.first()) else {
            return Err(SweepFault::ShortPath);
        };
        let mut ring = circle(start, first, radius, sides);
        let mut rings = vec![ring.clone()];
        for (k, (at, along)) in path.iter().skip(1).zip(&directions).enumerate() {
            let plane = along + directions.get(k + 1).unwrap_or(along);
            ring = ring
                .iter()
                .map(|p| p + along * (plane.dot(&(at - p)) / plane.dot(along)))
                .collect();
            rings.push(ring.clone());
        }
        Ok(Mesh::rings(&rings))
    }
}

fn quad([a, b, c, d]: [usize; 4]) -> [[u32; 3]; 2] {
    [[a, b, c].map(index), [a, c, d].map(index)]
}

fn directions(path: &[Point3<f64>]) -> Result<Vec<Vector3<f64>>, SweepFault> {
    if path.len() < 2 {
        return Err(SweepFault::ShortPath);
    }
    path.iter()
        .zip(path.iter().skip(1))
        .enumerate()
        .map(|(from, (p, q))| {
            (q - p)
                .try_normalize(WELD)
                .filter(|d| d.iter().all(|c| c.is_finite()))
                .ok_or(SweepFault::NoDirection { from })
        })
        .collect()
}

/// Each bend takes `radius tan(turn / 2)` off both its pieces on the inner side.
fn check_bends(
    path: &[Point3<f64>],
    directions: &[Vector3<f64>],
    radius: f64,
) -> Result<(), SweepFault> {
    let turns: Vec<f64> = directions
        .iter()
        .zip(directions.iter().skip(1))
        .map(|(u, v)| u.angle(v))
        .collect();
    if let Some(at) = turns.iter().position(|turn| *turn > SHARPEST_TURN) {
        return Err(SweepFault::SharpTurn { at: at + 1 });
    }
    let taken = |bend: Option<&f64>| bend.map_or(0.0, |turn| radius * (turn / 2.0).tan());
    for (from, (p, q)) in path.iter().zip(path.iter().skip(1)).enumerate() {
        let before = from.checked_sub(1).and_then(|k| turns.get(k));
        if (q - p).norm() <= taken(before) + taken(turns.get(from)) + WELD {
            return Err(SweepFault::ShortPiece { from });
        }
    }
    Ok(())
}

/// Corners of a regular polygon about `axis`, turning by the right hand.
fn circle(
    center: &Point3<f64>,
    axis: &Vector3<f64>,
    radius: f64,
    sides: usize,
) -> Vec<Point3<f64>> {
    // Any start square to the axis will do; the coordinate axis least along it is the safest.
    let least = Vector3::ith(axis.iamin(), 1.0);
    let spoke = axis.cross(&least).normalize() * radius;
    let axis = Unit::new_normalize(*axis);
    (0..sides)
        .map(|k| {
            let turn = std::f64::consts::TAU * k as f64 / sides as f64;
            center + Rotation3::from_axis_angle(&axis, turn) * spoke
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{PI, SQRT_2};

    fn close(name: &str, got: f64, wanted: f64) {
        assert!(
            (got - wanted).abs() < 1e-9,
            "{name}: {got} instead of {wanted}"
        );
    }

    fn check(name: &str, mesh: &Mesh, volume: f64, area: f64) {
        assert_eq!(mesh.sanity_check(), Ok(()), "{name}");
        assert_eq!(mesh.crossings(), 0, "{name}");
        close(name, mesh.volume(), volume);
        close(name, mesh.area(), area);
    }

    fn square(half: f64, z: f64) -> [Point3<f64>; 4] {
        [(-1., -1.), (1., -1.), (1., 1.), (-1., 1.)]
            .map(|(x, y)| Point3::new(x * half, y * half, z))
    }

    #[test]
    fn boxes_and_prisms() {
        check(
            "cube",
            &Mesh::frustum(square(1.0, 0.0), square(1.0, 2.0)),
            8.0,
            24.0,
        );
        // Square pyramid, base 2, height 1: side area 5.656854, missing angle at the top
        // 77.8849 deg; computed independently.
        let pyramid = Mesh::frustum(square(1.0, 0.0), square(0.0, 1.0));
        check("pyramid", &pyramid, 4.0 / 3.0, 4.0 + 4.0 * SQRT_2);
        assert!((pyramid.area() - 4.0 - 5.656854).abs() < 1e-6);
        assert!((pyramid.angle_deficits()[4].to_degrees() - 77.8849).abs() < 1e-4);
        // A wedge: half a brick of 2 x 2 x 1; ends 2 x 1 each, roof 2 x (2 sqrt 2), floor 4.
        let ridge = [(-1., 0.), (1., 0.), (1., 0.), (-1., 0.)].map(|(x, y)| Point3::new(x, y, 1.0));
        check(
            "wedge",
            &Mesh::frustum(square(1.0, 0.0), ridge),
            2.0,
            6.0 + 4.0 * SQRT_2,
        );
        // An L of three unit squares, 2 high: outline 8 long.
        let ell = [(0., 0.), (2., 0.), (2., 1.), (1., 1.), (1., 2.), (0., 2.)];
        let ell: Vec<_> = ell.iter().map(|&(x, y)| Point2::new(x, y)).collect();
        check(
            "L prism",
            &Mesh::prism(&ell, 1.0, 3.0).unwrap(),
            6.0,
            2.0 * 3.0 + 8.0 * 2.0,
        );
        let clockwise: Vec<_> = ell.iter().rev().copied().collect();
        assert_eq!(Mesh::prism(&clockwise, 0.0, 1.0), None);
    }

    /// A mitred tube has the volume of its section times the path's length, and its sides the
    /// area of the section's outline times that length: what a bend takes on one side it gives
    /// on the other.
    fn check_tube(name: &str, path: &[[f64; 3]], radius: f64, sides: usize) {
        let path: Vec<_> = path.iter().map(|&p| Point3::from(p)).collect();
        let tube = Mesh::swept_tube(&path, radius, sides).unwrap();
        let long: f64 = path.windows(2).map(|w| (w[1] - w[0]).norm()).sum();
        let n = sides as f64;
        let section = n / 2.0 * radius * radius * (2.0 * PI / n).sin();
        let outline = 2.0 * n * radius * (PI / n).sin();
        check(name, &tube, section * long, 2.0 * section + outline * long);
    }

    #[test]
    fn tubes() {
        check_tube("straight", &[[0., 0., 0.], [0., 0., 2.]], 0.05, 12);
        check_tube("down", &[[1., 1., 2.], [1., 1., 0.]], 0.05, 3);
        check_tube(
            "arch",
            &[[0., -1., 0.], [0., -1., 2.], [0., 1., 2.], [0., 1., 0.]],
            0.05,
            8,
        );
        check_tube(
            "stairs",
            &[[0., 0., 0.], [1., 0., 0.], [1., 1., 0.], [1., 1., 1.]],
            0.2,
            7,
        );
        check_tube(
            "fold",
            &[[0., 0., 0.], [1., 0., 0.], [0.3, 0.3, 0.1]],
            0.05,
            6,
        );
        let spiral: Vec<_> = (0..60)
            .map(|k| f64::from(k) * 0.2)
            .map(|t| [t.cos(), t.sin(), 0.2 * t])
            .collect();
        check_tube("spiral", &spiral, 0.05, 10);
    }

    #[test]
    fn tubes_that_cannot_be() {
        let sweep = |path: &[[f64; 3]], radius, sides| {
            let path: Vec<_> = path.iter().map(|&p| Point3::from(p)).collect();
            Mesh::swept_tube(&path, radius, sides).err()
        };
        let (o, x) = ([0., 0., 0.], [1., 0., 0.]);
        assert_eq!(sweep(&[o], 0.1, 8), Some(SweepFault::ShortPath));
        assert_eq!(sweep(&[o, x], 0.0, 8), Some(SweepFault::NoSection));
        assert_eq!(sweep(&[o, x], f64::NAN, 8), Some(SweepFault::NoSection));
        assert_eq!(sweep(&[o, x], 0.1, 2), Some(SweepFault::NoSection));
        assert_eq!(
            sweep(&[o, x, x], 0.1, 8),
            Some(SweepFault::NoDirection { from: 1 })
        );
        assert_eq!(
            sweep(&[o, x, o], 0.1, 8),
            Some(SweepFault::SharpTurn { at: 1 })
        );
        let hook = [o, x, [1., 0.15, 0.], [0., 0.15, 0.]];
        assert_eq!(
            sweep(&hook, 0.1, 8),
            Some(SweepFault::ShortPiece { from: 1 })
        );
        assert_eq!(sweep(&hook, 0.05, 8), None);
    }
}
