//! Shapes whose pleats follow from unfolding them.
//!
//! A corner on the ridge that misses the angle d of a full turn misses d/2 on either side. Cut the side open along
//! the line on which the threads from aft and from fore meet, and lay it flat: the half turn of the sheet is short by
//! d/2 there. The line halves what is left, so it leaves the aft ridge at (pi - d/2)/2, a quarter turn less d/4, and
//! so does its image from fore. On the sheet both images are t / cos(d/4) long down to the row at distance t, and
//! t tan(d/4) aside of the square through the corner: between them lie 2 t tan(d/4). With no shrink and no skew a
//! pleat takes all of it, and there is no other.
//!
//! Rows are measured by chords between neighboring threads. Where a row bends between two of them, over a hip or
//! where threads from two sides come together, the chord is shorter than the row, and the rest counts as film in the
//! way: at most spacing (1 - cos(bend/2)), so less and less with the cell. A thirtieth of the cell is left to the
//! hand, which takes up what hips add.

use super::lay::sums;
use crate::boat::Hand;
use crate::film::gather::Limits;
use crate::film::side::{Laid, Side};
use crate::geom::geodesic::Walker;
use crate::geom::mesh::Mesh;
use nalgebra::Point3;
use std::f64::consts::{PI, TAU};

/// Nothing is left to film or hand.
const NOTHING: Limits = Limits {
    shrink: 0.0,
    skew: 0.0,
    smooth: 0.0,
    ease: 0.0,
};

fn mesh(vertices: &[[f64; 3]], triangles: &[[u32; 3]]) -> Mesh {
    Mesh {
        vertices: vertices.iter().copied().map(Point3::from).collect(),
        triangles: triangles.to_vec(),
    }
}

/// Square pyramid of base 2 and height 1, or a cone of many sides.
fn cone(outline: &[[f64; 2]]) -> Mesh {
    let mut vertices = vec![[0.0, 0.0, 1.0]];
    vertices.extend(outline.iter().map(|[x, y]| [*x, *y, 0.0]));
    let count = u32::try_from(outline.len()).unwrap();
    let triangles: Vec<[u32; 3]> = (0..count)
        .map(|k| [0, 1 + k, 1 + (k + 1) % count])
        .collect();
    mesh(&vertices, &triangles)
}

fn pyramid() -> Mesh {
    cone(&[
        [1.0, 0.0],
        [1.0, 1.0],
        [0.0, 1.0],
        [-1.0, 1.0],
        [-1.0, 0.0],
        [-1.0, -1.0],
        [0.0, -1.0],
        [1.0, -1.0],
    ])
}

/// Roof over 4 by `port` + `starboard`, ridge from x = 1 to 3.
fn roof(port: f64, starboard: f64) -> Mesh {
    mesh(
        &[
            [1.0, 0.0, 1.0],
            [3.0, 0.0, 1.0],
            [0.0, 0.0, 0.0],
            [0.0, -starboard, 0.0],
            [4.0, -starboard, 0.0],
            [4.0, 0.0, 0.0],
            [4.0, port, 0.0],
            [0.0, port, 0.0],
        ],
        &[
            [0, 2, 3],
            [0, 3, 4],
            [0, 4, 1],
            [1, 4, 5],
            [1, 5, 6],
            [1, 6, 7],
            [1, 7, 0],
            [0, 7, 2],
        ],
    )
}

fn laid(mesh: &Mesh, hand: Hand, cell: f64, limits: Limits) -> (Side, Laid) {
    let walker = Walker::new(mesh);
    let side = Side::new(&walker, mesh, mesh, hand, cell);
    let laid = side.lay(limits);
    (side, laid)
}

fn mirrored(mesh: &Mesh) -> Mesh {
    Mesh {
        vertices: mesh
            .vertices
            .iter()
            .map(|p| Point3::new(p.x, -p.y, p.z))
            .collect(),
        triangles: mesh
            .triangles
            .iter()
            .map(|[a, b, c]| [*a, *c, *b])
            .collect(),
    }
}

/// Angle that is missing to a half turn on one side of a vertex of the ridge.
fn missing(mesh: &Mesh, vertex: u32, hand: Hand) -> f64 {
    let mut left = PI;
    for (nodes, corners) in mesh.triangles.iter().zip(mesh.corners()) {
        let on_side = corners.iter().map(|p| p.y).sum::<f64>() * hand.sign() > 0.0;
        if let Some(k) = nodes.iter().position(|node| *node == vertex)
            && on_side
        {
            let at = corners[k];
            left -= (corners[(k + 1) % 3] - at).angle(&(corners[(k + 2) % 3] - at));
        }
    }
    left
}

/// Threads start a hair beside the ridge: rows and corners are off by about so much, m.
const ASIDE: f64 = 3e-4;

/// Part of the cell that the hand smooths out either way, for a fold of up to 60 degrees and for the top of a cone.
const SMOOTH: [f64; 2] = [1.0 / 30.0, 0.1];

/// Part of the cell that chords may add to a pleat, beyond what the hand smooths out: where threads come together two
/// spacings of 0.75 cells are one gap, and 1 - cos of half the bend, 27 deg on the cone, is 0.1. They may take off
/// as much, where one of two threads has just passed the line on which they meet.
const CHORDS: f64 = 1.5 * 0.1;

/// What is wrong with the pleats of a side, if anything: one at each corner (its place along the ridge, what is
/// missing there), which takes at every distance from `near` on what the unfolded corner says, less what the hand
/// smooths out, and up to what chords add.
fn corners_take_it_all(
    mesh: &Mesh,
    hand: Hand,
    cell: f64,
    smooth: f64,
    corners: &[(f64, f64)],
    near: f64,
) -> Result<(), String> {
    let limits = Limits {
        smooth: smooth * cell,
        ..NOTHING
    };
    let (side, laid) = laid(mesh, hand, cell, limits);
    let pleats = &laid.gathers.pleats;
    let places: Vec<f64> = pleats.iter().map(|p| side.along[*p]).collect();
    if pleats.len() != corners.len() {
        return Err(format!("pleats at {places:?} for {corners:?}"));
    }
    sums(&side, &laid, limits)?;
    for (place, corner) in places.iter().zip(corners) {
        if (place - corner.0).abs() > 2.0 * cell {
            return Err(format!("pleats at {places:?} for {corners:?}"));
        }
    }
    for (row, depths) in side.rows.iter().zip(&laid.gathers.depths) {
        if row.run < near {
            continue;
        }
        let ([span], [depths]) = (row.spans.as_slice(), depths.as_slice()) else {
            continue;
        };
        for ((depth, (_, missing)), pleat) in depths.iter().zip(corners).zip(pleats) {
            // Near the rim the threads on one side may have ended.
            if !(span.threads[0]..span.threads[span.widths.len()]).contains(pleat) {
                continue;
            }
            let wanted = 2.0 * row.run * (0.5 * missing).tan() - 2.0 * limits.smooth;
            // The hand that hips take up is not there for the pleat.
            let over = depth - wanted.max(0.0);
            if over < -CHORDS * cell - ASIDE || over > CHORDS * cell + 2.0 * limits.smooth + ASIDE {
                return Err(format!("{depth} for {wanted} at {}", row.run));
            }
        }
    }
    Ok(())
}

#[test]
fn pleats_of_unfolded_corners() {
    let slope = 2f64.sqrt();
    let pyramid = pyramid();
    // Computed: the square pyramid misses 77.8849 deg, 38.9424 on either side.
    let of_pyramid = missing(&pyramid, 0, Hand::Port);
    assert!((of_pyramid.to_degrees() - 38.9424).abs() < 5e-5);
    for hand in Hand::BOTH {
        // To first order in the cell: half of it, half of what chords may add. Cells are such that no thread starts at
        // the corner itself and parts what is in the way in two.
        for cell in [0.08, 0.05, 0.03, 0.0125] {
            let check = |mesh: &Mesh, corners: &[(f64, f64)]| {
                let found = corners_take_it_all(mesh, hand, cell, SMOOTH[0], corners, 0.0);
                assert_eq!(found, Ok(()), "cell {cell}");
            };
            check(&pyramid, &[(slope, of_pyramid)]);
            for roof in [roof(1.0, 1.0), roof(1.4, 0.8)] {
                let ends = [0, 1].map(|vertex| missing(&roof, vertex, hand));
                check(&roof, &[(slope, ends[0]), (slope + 2.0, ends[1])]);
            }
        }
        // Twins that must fail: another angle, no pleat, one too many.
        let wrong = |corners: &[(f64, f64)]| {
            assert!(corners_take_it_all(&pyramid, hand, 0.03, SMOOTH[0], corners, 0.0).is_err());
        };
        wrong(&[(slope, of_pyramid + 1e-2)]);
        wrong(&[(slope, of_pyramid - 1e-2)]);
        wrong(&[]);
        wrong(&[(slope, of_pyramid), (slope, of_pyramid)]);
    }
}

#[test]
fn pleats_of_a_cone_take_it_all() {
    // h = r = 1 misses 105.4416 deg (computed), less on a mesh of 90 sides. Its creases run together at the top,
    // several between two threads, and a row sees but one bend there: only farther down is it looked at.
    const NEAR: f64 = 0.25;
    let outline: Vec<[f64; 2]> = (0..90)
        .map(|k| {
            let (sin, cos) = (TAU * f64::from(k) / 90.0).sin_cos();
            [cos, sin]
        })
        .collect();
    let cone = cone(&outline);
    for hand in Hand::BOTH {
        let angle = missing(&cone, 0, hand);
        assert!((2.0 * angle.to_degrees() - 105.4416).abs() < 0.1, "{angle}");
        let corners = [(2f64.sqrt(), angle)];
        assert_eq!(
            corners_take_it_all(&cone, hand, 0.05, SMOOTH[1], &corners, NEAR),
            Ok(())
        );
    }
}

/// Grid over 3 by 1.5 to port.
fn tent(place: impl Fn(f64, f64) -> [f64; 3]) -> Mesh {
    let (nu, nv) = (15, 16);
    let mut vertices = Vec::new();
    let mut triangles = Vec::new();
    for i in 0..=nu {
        for j in 0..=nv {
            let (u, v) = (f64::from(i) / f64::from(nu), f64::from(j) / f64::from(nv));
            vertices.push(place(3.0 * u, 1.5 * v));
            if i < nu && j < nv {
                let p = i * (nv + 1) + j;
                let q = p + nv + 1;
                triangles.extend([[p, q, q + 1], [p, q + 1, p + 1]]);
            }
        }
    }
    mesh(&vertices, &triangles)
}

#[test]
fn developable_tents_need_no_pleat() {
    let plane = tent(|x, y| [x, y, 2.0 - 0.6 * y]);
    let cylinder = tent(|x, y| [x, y.sin(), y.cos()]);
    for mesh in [&plane, &cylinder] {
        let (side, laid) = laid(mesh, Hand::Port, 0.05, NOTHING);
        assert!(laid.gathers.pleats.is_empty(), "{:?}", laid.gathers.pleats);
        assert_eq!(side.least_ease(NOTHING), (0.0, true));
        assert!(side.rows.len() > 20);
        let most = laid
            .shrinks
            .iter()
            .flatten()
            .flatten()
            .fold(0.0, |most: f64, s| most.max(s.abs()));
        assert!(most < 1e-8, "{most}");
    }
    // Twins that must fail: a ball has film to gather, a saddle has too little.
    let ball = tent(|x, y| {
        let x = x - 1.5;
        [y.cos() * x.sin(), y.sin(), y.cos() * x.cos()]
    });
    assert!(
        !laid(&ball, Hand::Port, 0.05, NOTHING)
            .1
            .gathers
            .pleats
            .is_empty()
    );
    let saddle = tent(|x, y| [x, y, 2.0 - 0.6 * y + 0.25 * (x - 1.5) * y]);
    let (side, _) = laid(&saddle, Hand::Port, 0.05, NOTHING);
    assert!(!side.least_ease(NOTHING).1);
}

#[test]
fn mirrored_boats_have_mirrored_pleats() {
    let boat = roof(1.4, 0.8);
    let limits = Limits {
        shrink: 0.1,
        skew: 0.05,
        smooth: 0.01,
        ease: 0.0,
    };
    let image = mirrored(&boat);
    for hand in Hand::BOTH {
        let (side, of_side) = laid(&boat, hand, 0.05, limits);
        let (other, of_other) = laid(&image, hand.other(), 0.05, limits);
        assert!(!of_side.gathers.pleats.is_empty());
        assert_eq!(of_side.gathers.pleats, of_other.gathers.pleats);
        let flat = |laid: &Laid| -> Vec<f64> {
            let depths = laid.gathers.depths.iter().flatten().flatten();
            depths
                .chain(laid.places.iter().flatten().flatten())
                .copied()
                .collect()
        };
        let (ours, theirs) = (flat(&of_side), flat(&of_other));
        assert_eq!(ours.len(), theirs.len());
        for (a, b) in ours.iter().zip(&theirs) {
            assert!((a - b).abs() < 1e-9, "{a} {b}");
        }
        // The mirror image that the lay makes of a side is that of the boat.
        let made = side.mirrored();
        assert!(made.mirrors(&other) && other.mirrors(&side.mirrored()));
        assert_eq!(made.hand, other.hand);
        for pleat in &of_side.gathers.pleats {
            for run in [0.1, 0.4, 0.8] {
                let (p, q) = (made.point(*pleat, run), other.point(*pleat, run));
                assert!((p.unwrap() - q.unwrap()).norm() < 1e-9);
            }
        }
        // Twin that must fail: the other side of the same boat is no image.
        let (across, of_across) = laid(&boat, hand.other(), 0.05, limits);
        assert!(!side.mirrors(&across));
        assert_ne!(flat(&of_across).len(), ours.len());
    }
}
