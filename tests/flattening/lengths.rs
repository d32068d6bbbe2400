//! Threads are shortest: their lengths against exact distances (libigl 2.6.3, `exact_geodesic`).

use crate::bundle::Bundle;
use crate::library::{Lengths, Target, rows};
use hulltent::geom::geodesic::Walk;
use hulltent::geom::mesh::Mesh;
use nalgebra::{Point3, Vector3};

/// Lines among which those that end on either side of a target are sought.
const LINES: usize = 2000;

/// Lines that end farther from the target than this are not looked at, m.
const NEAR: f64 = 0.2;

/// A line that ends this near to its target ends there, m.
const HIT: f64 = 1e-9;

/// Bisections to a hit: to the last digit of a place.
const BISECTIONS: usize = 60;

/// Rounding of both programs, m.
const ROUNDING: f64 = 1e-9;

/// Direction of the rim at a point of it.
fn rim(mesh: &Mesh, at: Point3<f64>) -> Vector3<f64> {
    let off = |a: Point3<f64>, b: Point3<f64>| (at - a).norm() + (b - at).norm() - (b - a).norm();
    mesh.corners()
        .flat_map(|[a, b, c]| [(a, b), (b, c), (c, a)])
        .min_by(|p, q| off(p.0, p.1).total_cmp(&off(q.0, q.1)))
        .map(|(a, b)| (b - a).normalize())
        .expect("an edge")
}

/// The lengths of all threads that end at a target.
fn lengths(bundle: &Bundle, target: Point3<f64>, rim: Vector3<f64>) -> Vec<f64> {
    let past = |walk: &Walk| {
        let end = walk.end()?;
        (walk.at_rim && (end - target).norm() < NEAR).then(|| (end - target).dot(&rim))
    };
    let mut found = Vec::new();
    let mut last: Option<(f64, f64)> = None;
    for line in 0..LINES {
        let place = bundle.reach * (line as f64 + 0.5) / LINES as f64;
        let here = bundle.walk(place).and_then(|walk| past(&walk));
        if let (Some((before, was)), Some(now)) = (last, here)
            && was.signum() != now.signum()
        {
            let (mut low, mut high) = (before, place);
            for _ in 0..BISECTIONS {
                let middle = 0.5 * (low + high);
                match bundle.walk(middle).and_then(|walk| past(&walk)) {
                    Some(at) if at.signum() == was.signum() => low = middle,
                    _ => high = middle,
                }
            }
            // Where threads part at a node, the sign turns without a hit.
            let walk = bundle.walk(low).unwrap();
            if (walk.end().unwrap() - target).norm() < HIT {
                found.push(walk.length());
            }
        }
        last = here.map(|now| (place, now));
    }
    found
}

/// What is wrong with the distance of a target, if anything. Points of the source line stand a piece apart: the
/// nearest lies up to half a piece from the thread's start, and is farther than the line by piece^2 / 8 distance;
/// negative curvature adds less than a third to that on these meshes.
fn fault(mesh: &Mesh, bundle: &Bundle, target: &Target, piece: f64) -> Result<f64, String> {
    let shortest = lengths(bundle, target.at(), rim(mesh, target.at()))
        .into_iter()
        .fold(f64::INFINITY, f64::min);
    let over = target.distance - shortest;
    let most = piece * piece / (6.0 * target.distance) + ROUNDING;
    if over < -ROUNDING || over > most {
        return Err(format!(
            "{:?}: thread {shortest}, distance {}, up to {most} over it",
            target.point, target.distance
        ));
    }
    Ok(over)
}

fn faults(name: &str, mesh: &Mesh, lengths: &Lengths, skew: f64) -> Vec<String> {
    let mut bundle = if name.starts_with("cap") {
        Bundle::of_pole(mesh)
    } else {
        Bundle::of_ridge(mesh)
    };
    bundle.skew = skew;
    let found = lengths
        .targets
        .iter()
        .map(|target| fault(mesh, &bundle, target, lengths.source_piece));
    found
        .filter_map(|fault| {
            println!("{name}: {fault:?}");
            fault.err().map(|text| format!("{name}: {text}"))
        })
        .collect()
}

#[test]
fn threads_are_as_long_as_the_shortest_way() {
    let mut all = Vec::new();
    for (row, mesh) in rows() {
        all.extend(faults(&row.name, &mesh, &row.lengths, 0.0));
    }
    assert!(all.is_empty(), "\n{}", all.join("\n"));
}

/// Twin that must fail: threads that leave the ridge one degree out of the right angle are longer.
#[test]
fn skew_threads_are_not() {
    for (row, mesh) in rows() {
        // From a pole there is no right angle to miss.
        if row.name.starts_with("cap") {
            continue;
        }
        let wrong = faults(&row.name, &mesh, &row.lengths, 1f64.to_radians());
        assert_eq!(wrong.len(), row.lengths.targets.len(), "{}", row.name);
    }
}

/// Twin that must fail: a mesh whose rim hangs a hundredth lower than the library's.
#[test]
fn threads_on_another_mesh_are_not() {
    for (row, mesh) in rows() {
        let mut lower = mesh.clone();
        for p in &mut lower.vertices {
            p.z *= 1.01;
        }
        let heights: Vec<f64> = row.lengths.targets.iter().map(|t| t.point[2]).collect();
        let lengths = Lengths {
            source_piece: row.lengths.source_piece,
            targets: row
                .lengths
                .targets
                .iter()
                .zip(heights)
                .map(|(t, z)| Target {
                    point: [t.point[0], t.point[1], 1.01 * z],
                    distance: t.distance,
                })
                .collect(),
        };
        assert!(
            !faults(&row.name, &lower, &lengths, 0.0).is_empty(),
            "{}",
            row.name
        );
    }
}
