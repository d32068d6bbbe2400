//! A post's cap of radius a at height h in a unit ring: z = c (acosh(R/c) - acosh(r/c)), force 2 pi c T.

use crate::measure::{extrapolated, order};
use crate::sheet::{SAME, Sheet, annulus, contact_force, doubled_normal, edge_force, meshed_disc};
use nalgebra::Point2;
use std::f64::consts::{LN_2, TAU};

/// The film over a unit disc, its middle resting on a level cap; unit tension.
fn tent(sheet: Sheet, cap: f64, height: f64) -> Sheet {
    sheet
        .fix(|p| p.coords.norm() > 1.0 - SAME, |_| 0.0)
        .rest_on(|p| (p.coords.norm() < cap + SAME).then_some(height))
}

/// Area of the film beside the cap, force of the post and slope at the cap.
struct Tent {
    area: f64,
    force: f64,
    slope: f64,
}

fn pitch(cap: f64, height: f64, size: f64) -> Tent {
    let sheet = tent(meshed_disc(1.0, Some(cap), &[], size), cap, height);
    let minimum = sheet.solve();
    let force = contact_force(&minimum);
    let edge = edge_force(&sheet, &minimum);
    assert!((force + edge).abs() < 1e-9 * force, "{force} and {edge}");
    let on_cap = |node: u32| sheet.points[node as usize].coords.norm() < cap + SAME;
    let beside = |nodes: [u32; 3]| !nodes.into_iter().all(on_cap);
    // Pull across a circle is the same at any radius, so a triangle's slope, which is the film's half-way
    // up it, leads to the slope at its foot on the ring: r sin(slope) is constant.
    let (mut total, mut feet) = (0.0, 0.0);
    for nodes in sheet.triangles.iter().filter(|nodes| beside(**nodes)) {
        let [on, off]: [Vec<u32>; 2] = [true, false].map(|side| {
            let nodes = nodes.iter().copied();
            nodes.filter(|node| on_cap(*node) == side).collect()
        });
        let (&[a, b], &[apex]) = (on.as_slice(), off.as_slice()) else {
            continue;
        };
        let [a, b, apex] = [a, b, apex].map(|node| sheet.points[node as usize]);
        let foot = (b - a).norm();
        let radius = 0.5 * (cap + apex.coords.norm());
        let normal = doubled_normal(sheet.corners(*nodes, &minimum.z)).normalize();
        total += foot * normal.xy().norm() * radius / cap;
        feet += foot;
    }
    Tent {
        area: sheet.area(&minimum.z, beside),
        force,
        slope: (total / feet).asin().to_degrees(),
    }
}

/// A row: cap, height, the constant c, area beside the cap, slope at it in degrees.
struct Row {
    cap: f64,
    height: f64,
    c: f64,
    area: f64,
    slope: f64,
}

/// Closed form; computed.
#[rustfmt::skip]
const ROWS: [Row; 3] = [
    Row { cap: 0.10, height: 0.1, c: 0.042_538_9, area: 3.123_681, slope: 25.175 },
    Row { cap: 0.10, height: 0.2, c: 0.079_391_9, area: 3.162_458, slope: 52.553 },
    Row { cap: 0.25, height: 0.3, c: 0.190_850_9, area: 3.136_893, slope: 49.765 },
];

#[test]
fn rows_by_closed_form() {
    for row in ROWS {
        let reached = row.c * ((1.0 / row.c).acosh() - (row.cap / row.c).acosh());
        assert!((reached - row.height).abs() < 1e-6, "{reached}");
        let slope = (row.c / row.cap).asin().to_degrees();
        assert!((slope - row.slope).abs() < 1e-3, "{slope}");
    }
}

/// The planner's own meshes, the cap as something under the film: its forces sum to the post's.
#[test]
fn post_under_a_meshed_ring() {
    for row in ROWS {
        let tents =
            [20.0, 40.0, 80.0].map(|nodes| pitch(row.cap, row.height, TAU * row.cap / nodes));
        let errors = |value: fn(&Tent) -> f64, want: f64| {
            let errors = tents
                .each_ref()
                .map(|tent| (value(tent) / want - 1.0).abs());
            assert!(errors[0] > errors[1] && errors[1] > errors[2], "{errors:?}");
            errors
        };
        let forces = errors(|tent| tent.force, TAU * row.c);
        let areas = errors(|tent| tent.area, row.area);
        let slopes = errors(|tent| tent.slope, row.slope);
        println!("a {} h {}", row.cap, row.height);
        for (what, errors) in [("force", forces), ("area", areas), ("slope", slopes)] {
            println!("  {what}: order {:.2}, {errors:?}", order(&errors));
        }
        // The mesh grows coarse a fixed number of cells beside the cap, so the order stays under two.
        assert!(forces[2] < 2e-3 && order(&forces) > 1.2, "{forces:?}");
        assert!(areas[2] < 1e-4 && order(&areas) > 1.2, "{areas:?}");
        assert!(slopes[2] < 0.015, "{slopes:?}");
        let sine = tents[2].force / (TAU * row.cap);
        assert!((sine.asin().to_degrees() - row.slope).abs() < 0.1, "{sine}");
    }
}

/// On cells that grow with the radius, fixed at both rings: second order, and the rows' digits.
#[test]
fn post_in_an_even_ring() {
    for row in ROWS {
        let on_cap = |p: Point2<f64>| p.coords.norm() < row.cap + SAME;
        let solved = [8, 16, 32, 64].map(|rings| {
            let sheet = annulus([row.cap, 1.0], rings)
                .fix(|p| p.coords.norm() > 1.0 - SAME, |_| 0.0)
                .fix(on_cap, |_| row.height);
            let minimum = sheet.solve();
            let forces = sheet.points.iter().zip(&minimum.gradient);
            let force: f64 = forces
                .filter(|(p, _)| on_cap(**p))
                .map(|(_, force)| force)
                .sum();
            [force / TAU, minimum.energy]
        });
        for (k, (what, want)) in [("c", row.c), ("area", row.area)].into_iter().enumerate() {
            let values = solved.map(|pair| pair[k]);
            let errors = values.map(|value| (value / want - 1.0).abs());
            let limit = extrapolated(&values);
            println!(
                "a {} h {} {what}: order {:.3}, {errors:?}, limit {limit:.8}",
                row.cap,
                row.height,
                order(&errors)
            );
            assert!((order(&errors) - 2.0).abs() < 0.15, "{what}: {errors:?}");
            assert!((limit / want - 1.0).abs() < 5e-6, "{what}: {limit}");
        }
    }
}

/// On a finite cap the force hardly changes with the mesh. On a single node it falls with each halving:
/// a node of a mesh of size s acts as a cap of some part of s, so that 2 pi h T / F grows by ln 2.
#[test]
fn a_single_node_is_no_cap() {
    const HEIGHT: f64 = 0.02;
    const CAP: f64 = 0.1;
    let sizes = [8.0, 16.0, 32.0].map(|nodes| TAU * CAP / nodes);
    let force = |cap: Option<f64>, size: f64| {
        let sheet = meshed_disc(1.0, cap, &[], size);
        contact_force(&tent(sheet, cap.unwrap_or(0.0), HEIGHT).solve())
    };
    let on_cap = sizes.map(|size| force(Some(CAP), size));
    let on_node = sizes.map(|size| force(None, size));
    println!("{on_cap:?} {on_node:?}");
    for pair in on_cap.windows(2) {
        assert!((pair[1] / pair[0] - 1.0).abs() < 0.02, "{on_cap:?}");
    }
    for pair in on_node.windows(2) {
        let growth = TAU * HEIGHT * (1.0 / pair[1] - 1.0 / pair[0]);
        assert!((growth / LN_2 - 1.0).abs() < 0.1, "{on_node:?}");
    }
}
