//! Forces in balance.

use crate::films::{Film, films};
use crate::sheet::{Sheet, contact_force, doubled_normal, edge_force};
use hulltent::num::bounded::Minimum;
use nalgebra::{Point3, Vector3};

/// Rounding of sums of some thousand forces, as a part of all the forces summed without sign.
const ROUNDING: f64 = 1e-9;

/// The upward force that each node needs, read off the shape in space: a triangle draws a corner in with
/// half its tension times the opposite edge, square to that edge and in the triangle.
fn forces(sheet: &Sheet, minimum: &Minimum) -> Vec<f64> {
    let mut needed = vec![0.0; sheet.points.len()];
    let z = &minimum.z;
    for triangle in &sheet.triangles {
        let corners = sheet.corners(*triangle, z);
        let normal = doubled_normal(corners);
        for k in 0..3 {
            let [_, b, c]: [Point3<f64>; 3] = std::array::from_fn(|i| corners[(k + i) % 3]);
            let outward: Vector3<f64> = normal.normalize().cross(&(c - b));
            let node = triangle[k] as usize;
            needed[node] += 0.5 * sheet.tension * outward.z;
            needed[node] += sheet.load * normal.z / 6.0;
        }
    }
    for strap in &sheet.straps {
        let [a, b] = strap.nodes.map(|node| {
            let p = sheet.points[node as usize];
            Point3::new(p.x, p.y, z[node as usize])
        });
        let pull = (b - a).normalize().z * strap.tension;
        needed[strap.nodes[0] as usize] -= pull;
        needed[strap.nodes[1] as usize] += pull;
    }
    needed
}

#[test]
fn forces_are_those_of_the_shape() {
    for Film { name, sheet } in films() {
        let minimum = sheet.solve();
        for (node, (got, want)) in minimum
            .gradient
            .iter()
            .zip(forces(&sheet, &minimum))
            .enumerate()
        {
            let off = (got - want).abs();
            assert!(
                off < ROUNDING * sheet.tension,
                "{name}, node {node}: {off:e}"
            );
        }
    }
}

#[test]
fn contact_and_edge_carry_the_load() {
    for Film { name, sheet } in films() {
        let minimum = sheet.solve();
        let flat = vec![0.0; sheet.points.len()];
        let load = sheet.load * sheet.area(&flat, |_| true);
        let (contact, edge) = (contact_force(&minimum), edge_force(&sheet, &minimum));
        let touching = minimum.held.iter().filter(|held| **held).count();
        println!(
            "{name}: contact {contact:.3} N at {touching} nodes, edge {edge:.3} N, load {load:.3} N"
        );
        assert!(touching > 3 && contact > 0.0, "{name}: nothing rests");
        let sum = contact + edge - load;
        let all = contact + edge.abs() + load;
        assert!(sum.abs() < ROUNDING * all, "{name}: {sum:e} of {all}");
    }
}

/// A contact only pushes; the film never lies lower than what is under it.
#[test]
fn contacts_push_and_nothing_pokes_through() {
    for Film { name, sheet } in films() {
        let minimum = sheet.solve();
        for node in 0..sheet.points.len() {
            if minimum.held[node] {
                assert!(minimum.gradient[node] > 0.0, "{name}, node {node}");
                assert_eq!(minimum.z[node], sheet.lower[node], "{name}, node {node}");
            }
            let free = !sheet.fixed[node];
            assert!(!free || minimum.z[node] >= sheet.lower[node], "{name}");
        }
    }
}
