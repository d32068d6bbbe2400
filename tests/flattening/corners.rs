//! Missing angles: what straight lines on either side of a corner turn toward each other (Gauss and Bonnet; Descartes
//! for closed bodies; do Carmo, from memory).

use crate::bundle::FAR;
use crate::library::rows;
use crate::meshes::{cone, grid, hip_roof, pyramid};
use hulltent::geom::geodesic::Walker;
use hulltent::geom::mesh::Mesh;
use nalgebra::{Point3, Vector3};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Half of the last digit of the rows, deg.
const ROW: f64 = 5e-5;

/// Rounding, rad or m2.
const ROUNDING: f64 = 1e-9;

fn check(name: &str, got: f64, wanted: f64, tolerance: f64) {
    assert!(
        (got - wanted).abs() <= tolerance,
        "{name}: {got} instead of {wanted}"
    );
}

/// Angle at which a line that runs forward past the top, a hair to port, comes to the plane y = 0 beyond it: half of
/// what is missing at the top of a body that is its own mirror image.
fn turned(mesh: &Mesh) -> Option<f64> {
    let walker = Walker::new(mesh);
    let from = Point3::new(-0.51, 1e-3, 0.0);
    let (triangle, height) = (0u32..).zip(mesh.corners()).find_map(|(t, [a, b, c])| {
        let normal = (b - a).cross(&(c - a));
        let z = a.z - (normal.x * (from.x - a.x) + normal.y * (from.y - a.y)) / normal.z;
        let p = Point3::new(from.x, from.y, z);
        let inside = [(a, b), (b, c), (c, a)]
            .iter()
            .all(|(a, b)| (b - a).cross(&(p - a)).dot(&normal) > 0.0);
        inside.then_some((t, z))
    })?;
    let from = Point3::new(from.x, from.y, height);
    // Level with the plane of the mirror, so that its fellow to starboard is its image.
    let walk = walker.walk(triangle, from, Vector3::new(0.5, 0.0, 0.5), FAR)?;
    let at = walk.points.iter().skip(1).position(|p| p.y < 1e-12)? + 1;
    let heading = (walk.points[at] - walk.points[at - 1]).normalize();
    let down = Vector3::new(1.0, 0.0, -1.0).normalize();
    Some(heading.angle(&down))
}

#[test]
fn cone_is_short_of_a_turn() {
    // h = r = 1: generator sqrt 2, sector 2 pi / sqrt 2; computed.
    let missing = TAU - TAU / 2f64.sqrt();
    check("sector", (TAU - missing).to_degrees(), 254.5584, ROW);
    check("missing", missing.to_degrees(), 105.4416, ROW);
    let mut errors = Vec::new();
    for halving in 0..4 {
        let mesh = cone(4 << halving, 20 << halving);
        let top = mesh.angle_deficits()[0];
        // Both lines turn by half of it toward each other, whatever the mesh.
        check("turn", turned(&mesh).unwrap(), 0.5 * top, ROUNDING);
        errors.push(top - missing);
    }
    for pair in errors.windows(2) {
        check("order", (pair[0] / pair[1]).log2(), 2.0, 0.02);
    }
    let last = errors[3];
    assert!(last > 0.0 && last < 1e-3, "{errors:?}");
}

#[test]
fn square_pyramid() {
    let mesh = pyramid(3);
    check("area", mesh.area(), 5.656_854, 5e-7);
    let top = mesh.angle_deficits()[0];
    check("missing", top.to_degrees(), 77.8849, ROW);
    check("turn", turned(&mesh).unwrap(), 0.5 * top, ROUNDING);
    let up = Vector3::z();
    let [a, b, c] = mesh.triangle(0);
    let face = (b - a).cross(&(c - a)).angle(&up);
    check("face", face.to_degrees(), 45.0, ROW);
    let hip = (Point3::new(1.0, 1.0, 0.0) - mesh.vertices[0]).angle(&-up);
    check("hip", 90.0 - hip.to_degrees(), 35.2644, ROW);
    // Twin that must fail: a lower one misses less.
    let mut lower = mesh.clone();
    for p in &mut lower.vertices {
        p.z *= 0.99;
    }
    assert!((lower.angle_deficits()[0].to_degrees() - 77.8849).abs() > ROW);
    assert!(turned(&lower).unwrap() < 0.5 * top - 1e-3);
}

#[test]
fn hip_roof_misses_angle_at_its_corners_alone() {
    let mesh = hip_roof(3);
    // Half of what a pyramid of the same faces misses, at either end of the ridge.
    let corner = 0.5 * 77.884_882_5f64.to_radians();
    for (p, deficit) in mesh.vertices.iter().zip(mesh.angle_deficits()) {
        if p.z < 1e-12 {
            continue;
        }
        let wanted =
            if p.z > 1.0 - 1e-12 && ((p.x - 1.0).abs() < 1e-12 || (p.x - 3.0).abs() < 1e-12) {
                corner
            } else {
                0.0
            };
        check("deficit", deficit, wanted, 1e-8);
    }
}

#[test]
fn the_library_fills_the_same_sector() {
    // libigl 2.6.3, as-rigid-as-possible sheets of the bodies cut open from top to rim.
    let mut seen = 0;
    for (row, mesh) in rows() {
        let Some(sector) = row.flat.sector else {
            continue;
        };
        let filled = TAU - mesh.angle_deficits()[0];
        check(&row.name, filled.to_degrees(), sector, 1e-7);
        seen += 1;
    }
    assert_eq!(seen, 2);
}

/// Ball in latitudes and longitudes, welded.
fn ball(cells: u32) -> Mesh {
    let mut mesh = grid([2 * cells, cells], |u, v| {
        let ((east, north), (out, z)) = ((TAU * u).sin_cos(), (PI * v).sin_cos());
        [out * north, out * east, -z]
    });
    mesh.weld(1e-9);
    mesh
}

#[test]
fn closed_bodies_miss_two_turns() {
    for cells in [6, 12, 24] {
        let deficits = ball(cells).angle_deficits();
        check("ball", deficits.iter().sum(), 4.0 * PI, ROUNDING);
    }
    let cube = Mesh::cuboid(Point3::origin(), Point3::new(1.0, 1.0, 1.0));
    let deficits = cube.angle_deficits();
    assert_eq!(deficits.len(), 8);
    for deficit in deficits {
        check("cube", deficit, FRAC_PI_2, ROUNDING);
    }
    // Twin that must fail: a ball with a triangle left out.
    let mut open = ball(12);
    open.triangles.pop();
    let sum: f64 = open.angle_deficits().iter().sum();
    assert!((sum - 4.0 * PI).abs() > 0.1, "{sum}");
}
