//! Straps without film: closed forms, a net by force densities, a strap that slides.

use super::{close, number, reference};
use hulltent::loads::{Cable, ElasticFilm, FilmLaw, LoadedShape, Parts};
use hulltent::num::bounded::Status;
use nalgebra::{Point3, Vector3};
use serde_json::Value;

const NO_FILM: FilmLaw = FilmLaw {
    stiffness: 1.0,
    poisson: 0.0,
    tension: 0.0,
    left_over: 0.0,
};

fn solve(
    points: &[Point3<f64>],
    fixed: &[bool],
    cables: &[Cable],
    load: &[Vector3<f64>],
    from: &[Point3<f64>],
) -> LoadedShape {
    let parts = Parts {
        points,
        triangles: &[],
        fixed,
        caps: &[],
        cables,
        supports: &[],
    };
    let shape = ElasticFilm::new(parts, NO_FILM).solve(load, Some(from));
    assert_eq!(shape.status, Status::Converged, "{}", shape.residual);
    let held: Vector3<f64> = shape.reactions.iter().sum();
    let total: Vector3<f64> = load.iter().sum();
    assert!((held + total).norm() < 1e-6 * total.norm().max(1.0));
    shape
}

#[test]
fn a_strap_with_a_load_in_its_middle() {
    // 200 N at midspan, L 3 m, EA 40 kN, T0 500 N: sag 0.186829 m, T 809.075 N (computed).
    let points = [0.0, 1.5, 3.0].map(|x| Point3::new(x, 0.0, 0.0));
    let strap = Cable {
        nodes: vec![0, 1, 2],
        stiffness: 40_000.0,
        tension: 500.0,
        lead: 0.0,
    };
    let load = [
        Vector3::zeros(),
        Vector3::new(0.0, 0.0, -200.0),
        Vector3::zeros(),
    ];
    let shape = solve(&points, &[true, false, true], &[strap], &load, &points);
    // A strap has a thickness of a millimeter: a part in a million.
    close("sag", -shape.points[1].z, 0.186_829, 1e-5);
    close("tension", shape.cable_tensions[0], 809.075, 1e-5);
}

fn points_of(value: &Value) -> Vec<Point3<f64>> {
    let list = value.as_array().unwrap();
    list.iter()
        .map(|p| {
            let at = |k: usize| p[k].as_f64().unwrap();
            Point3::new(at(0), at(1), at(2))
        })
        .collect()
}

#[test]
fn a_net_hangs_as_by_force_densities() {
    // compas_fd 0.5.4: positions and forces from given force densities. Here each member is an elastic strap that would
    // have that force at that length, let go from elsewhere.
    let net = &reference()["net"];
    let found = points_of(&net["found_nodes_m"]);
    let mut fixed = vec![false; found.len()];
    for node in net["fixed"].as_array().unwrap() {
        fixed[node.as_u64().unwrap() as usize] = true;
    }
    let cables: Vec<Cable> = net["edges"]
        .as_array()
        .unwrap()
        .iter()
        .zip(net["forces_N"].as_array().unwrap())
        .map(|(edge, force)| Cable {
            nodes: [0, 1].map(|k| edge[k].as_u64().unwrap() as u32).to_vec(),
            stiffness: number(net, "stiffness_N"),
            tension: force.as_f64().unwrap(),
            lead: 0.0,
        })
        .collect();
    let load: Vec<Vector3<f64>> = points_of(&net["load_N"]).iter().map(|p| p.coords).collect();
    let from: Vec<Point3<f64>> = found
        .iter()
        .zip(&fixed)
        .map(|(p, fixed)| {
            if *fixed {
                *p
            } else {
                p + Vector3::new(0.01, -0.02, -0.05)
            }
        })
        .collect();
    let shape = solve(&found, &fixed, &cables, &load, &from);
    for (node, wanted) in shape.points.iter().zip(&found) {
        assert!((node - wanted).norm() < 2e-6, "{node} {wanted}");
    }
    for (tension, force) in shape
        .cable_tensions
        .iter()
        .zip(net["forces_N"].as_array().unwrap())
    {
        close("force", *tension, force.as_f64().unwrap(), 1e-5);
    }
}

#[test]
fn a_strap_slides_through_caps_and_under_loads() {
    // scipy: least energy of a strap of one tension over fixed caps, loads free to slide along it.
    let rows = reference();
    let strap = rows["strap"]
        .as_array()
        .unwrap()
        .iter()
        .find(|row| row["name"] == "one tension, loads slide, gentle")
        .unwrap()
        .clone();
    let upright = |value: &Value| -> Vec<Point3<f64>> {
        let list = value.as_array().unwrap();
        list.iter()
            .map(|p| Point3::new(p[0].as_f64().unwrap(), 0.0, p[1].as_f64().unwrap()))
            .collect()
    };
    let held = upright(&strap["held_m"]);
    let wanted = upright(&strap["points_m"]);
    let middle = |k: usize| Point3::from((held[k].coords + held[k + 1].coords) / 2.0);
    let rest = [
        held[0],
        middle(0),
        held[1],
        middle(1),
        held[2],
        middle(2),
        held[3],
    ];
    let mut load = vec![Vector3::zeros(); 7];
    for (k, force) in strap["downward_loads_N"]
        .as_array()
        .unwrap()
        .iter()
        .enumerate()
    {
        load[2 * k + 1].z = -force.as_f64().unwrap();
    }
    let cable = Cable {
        nodes: (0..7).collect(),
        stiffness: number(&strap, "stiffness_N"),
        // The natural length is the drawn one over 1 + T0/EA there; here the strap gives EA for each of its drawn lengths.
        tension: number(&strap, "rest_tension_N"),
        lead: 0.0,
    };
    let fixed = [true, false, true, false, true, false, true];
    let shape = solve(&rest, &fixed, &[cable], &load, &rest);
    for (node, wanted) in shape.points.iter().zip(&wanted) {
        assert!((node - wanted).norm() < 5e-3, "{node} {wanted}");
    }
    close(
        "tension",
        shape.cable_tensions[0],
        strap["segment_tensions_N"][0].as_f64().unwrap(),
        5e-3,
    );
}
