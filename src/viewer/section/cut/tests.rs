use super::*;
use crate::boat::preset;
use crate::geom::mesh::Mesh;
use crate::geom::sample::HeightField;
use crate::geom::surface::slope;
use crate::plan::plan;
use nalgebra::Point2;

fn runabout() -> Plan {
    let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
    boat.rules.coarsen(2.0);
    plan(&boat, &boat.rules).unwrap()
}

/// A plan whose film is a roof over a rectangle: its ridge at an offset, its sides of two pitches.
fn roofed(mut plan: Plan, ridge: f64, [starboard, port]: [f64; 2]) -> Plan {
    let z = |y: f64| 3.0 - if y < ridge { starboard } else { port } * (y - ridge).abs();
    let mut mesh = Mesh::default();
    let stops = [-1.2, -0.6, ridge, 0.5, 1.2];
    for x in [0.0, 5.0] {
        for y in stops {
            mesh.vertices.push(Point3::new(x, y, z(y)));
        }
    }
    for k in 0..4u32 {
        mesh.triangles.push([k, k + 5, k + 6]);
        mesh.triangles.push([k, k + 6, k + 1]);
    }
    plan.cover.slopes = (0..mesh.triangles.len()).map(|t| slope(&mesh, t)).collect();
    plan.cover.mesh = mesh;
    plan.frame.posts.clear();
    plan
}

/// A roof of 6:12 to starboard and 2:12 to port: its slopes are arc tangents of a half and of a sixth, its ridge is
/// where it was put, and the port side, 9.46 deg, is under the rule of 15 deg.
#[test]
fn a_roof_is_read_as_it_was_made() {
    let plan = roofed(runabout(), 0.1, [0.5, 1.0 / 6.0]);
    for station in [0.7, 2.0, 4.9] {
        let section = cut(&plan, Plane::Across(station));
        let slopes: Vec<f64> = section.stretches.iter().map(|s| s.slope.tan()).collect();
        assert_eq!(slopes.len(), 2, "{slopes:?}");
        for (found, wanted) in slopes.iter().zip([0.5, 1.0 / 6.0]) {
            assert!((found - wanted).abs() < 1e-12, "{station}: {found}");
        }
        let [along, height] = section.ridge.unwrap();
        assert!((along - 0.1).abs() < 1e-12 && (height - 3.0).abs() < 1e-12);
        let (least, at) = section.least.unwrap();
        assert!((least.tan() - 1.0 / 6.0).abs() < 1e-12);
        assert!(at[0] > 0.1, "to port: {at:?}");
        // One run from the ridge to the port end.
        assert_eq!(section.flat.len(), 1, "{:?}", section.flat);
        let run = &section.flat[0];
        assert!((run[0][0] - 0.1).abs() < 1e-12 && (run[run.len() - 1][0] - 1.2).abs() < 1e-12);
    }
    // Along the boat the roof is level, but its own slope is what snow feels.
    for (offset, own) in [(-0.3, 0.5), (0.8, 1.0 / 6.0)] {
        let section = cut(&plan, Plane::Along(offset));
        assert_eq!(section.stretches.len(), 1);
        assert!(section.stretches[0].slope.abs() < 1e-12);
        assert!((section.least.unwrap().0.tan() - own).abs() < 1e-12);
        assert_eq!(section.flat.is_empty(), own > 0.3);
    }
}

/// The film over a box: a roof over the runabout's own windshield, cleared least where box and film say.
#[test]
fn clearances_are_heights_of_film_over_tops() {
    let plan = roofed(runabout(), 0.0, [0.5, 0.5]);
    let mut boxes = 0;
    for (index, deck_box) in plan.boat.boxes.iter().enumerate() {
        let station = 0.5 * (deck_box.from + deck_box.to);
        let section = cut(&plan, Plane::Across(station));
        let Some(found) = section.clearances.iter().find(|c| c.thing == index) else {
            continue;
        };
        boxes += 1;
        // Independently: over a fine row of places.
        let field = HeightField::new(&plan.cover.mesh);
        let wanted = (-600..=600)
            .filter_map(|k| {
                let p = Point2::new(station, f64::from(k) * 0.002);
                Some(field.at(p)? - plan.hull.things[index].top_at(p)?)
            })
            .fold(f64::INFINITY, f64::min);
        // The row may miss the nearest place by a step on a slope of one half.
        assert!(
            (found.gap() - wanted).abs() < 0.002,
            "{}: {} {wanted}",
            deck_box.name,
            found.gap()
        );
    }
    assert!(boxes > 0);
}

/// In a real plan the cut lies on the film's mesh and the hull's edge.
#[test]
fn a_cut_is_as_high_as_its_film_and_as_wide_as_its_edge() {
    let plan = runabout();
    let field = HeightField::new(&plan.cover.mesh);
    for plane in [
        Plane::Across(0.8),
        Plane::Across(2.9),
        Plane::Across(4.4),
        Plane::Along(0.0),
        Plane::Along(-0.6),
    ] {
        let section = cut(&plan, plane);
        let film = &section.film[0];
        assert_eq!(section.film.len(), 1, "{plane:?}");
        assert_eq!(film.triangles.len() + 1, film.points.len());
        for pair in film.points.windows(2) {
            assert!(pair[1][0] >= pair[0][0], "{plane:?}");
            let middle = [0, 1].map(|k| 0.5 * (pair[0][k] + pair[1][k]));
            let p = plane.point(middle);
            let z = field.at(p.xy()).unwrap();
            assert!((z - p.z).abs() < 1e-9, "{plane:?} {p}");
        }
        let edge = section.edge.unwrap();
        for (end, edge) in [film.points[0], film.points[film.points.len() - 1]]
            .iter()
            .zip(edge)
        {
            // The mesh cuts the edge line's bends short by less than a cell's sagitta.
            assert!(
                (end[0] - edge[0]).abs() < 0.01,
                "{plane:?} {end:?} {edge:?}"
            );
        }
        if let Plane::Across(station) = plane {
            // Where nothing reaches past it, the edge is the sheer: half the hull's breadth there.
            let half = section.hull[0].iter().map(|p| p[0]).fold(0.0, f64::max);
            assert!(
                (edge[1][0] - half).abs() < 0.02,
                "{station}: {} {half}",
                edge[1][0]
            );
            assert_eq!(section.band.len(), 2);
            assert!(section.ridge.unwrap()[1] > plan.boat.sole);
            assert!(!section.footings.is_empty());
        }
        // Film's own slopes are never under the verdict's least.
        assert!(section.least.unwrap().0 >= plan.cover.least_slope - 1e-12);
    }
    for post in &plan.frame.posts {
        let section = cut(&plan, Plane::Across(post.station));
        assert!(
            section
                .posts
                .iter()
                .any(|index| plan.frame.posts[*index].id == post.id)
        );
        // Straps that run athwart from it lie in the plane, whole; the ridge strap crosses it.
        for strap in section.straps.iter().filter(|s| s.line.len() > 1) {
            let points = strap_points(&plan, strap.strap);
            assert!(points.iter().all(|p| (p.x - post.station).abs() <= HAIR));
            assert_eq!(points.len(), strap.line.len());
        }
        assert!(section.straps.iter().any(|s| s.line.len() == 1));
    }
}

#[test]
fn planes_are_held_within_the_cover() {
    let plan = runabout();
    let [aft, fore] = plan.hull.edge.ends();
    for (plane, wanted) in [
        (Plane::Across(-5.0), aft),
        (Plane::Across(50.0), fore),
        (Plane::Along(9.0), 0.5 * plan.boat.beam),
        (Plane::Along(-9.0), -0.5 * plan.boat.beam),
    ] {
        let held = plane.held(&plan);
        assert!((held.at() - wanted).abs() < 0.02, "{held:?} {wanted}");
        assert!(!cut(&plan, held).film.is_empty(), "{held:?}");
    }
}

/// Straps that are laid by hand: one in the plane, one through it, one beside it.
#[test]
fn straps_cross_or_lie() {
    let mut plan = runabout();
    let first = plan.cover.mesh.vertices.len() as u32;
    let mut lay = |points: &[[f64; 3]]| {
        let start = plan.cover.mesh.vertices.len() as u32;
        let added = points.iter().map(|p| Point3::from(*p));
        plan.cover.mesh.vertices.extend(added);
        (start..start + points.len() as u32).collect::<Vec<u32>>()
    };
    let lines = [
        lay(&[[2.0, 0.0, 3.0], [2.0, 0.5, 2.5], [2.0, 1.0, 2.0]]),
        lay(&[[1.0, 0.2, 3.0], [3.0, 0.4, 2.0]]),
        lay(&[[3.0, 0.0, 3.0], [3.5, 1.0, 2.0]]),
    ];
    assert!(first > 0);
    plan.frame.straps.truncate(3);
    plan.cover.straps.truncate(3);
    for (shape, nodes) in plan.cover.straps.iter_mut().zip(lines) {
        shape.nodes = nodes;
    }
    let section = cut(&plan, Plane::Across(2.0));
    let found: Vec<(usize, Line)> = section
        .straps
        .iter()
        .map(|strap| (strap.strap, strap.line.clone()))
        .collect();
    assert_eq!(found.len(), 2, "{found:?}");
    assert_eq!(found[0], (0, vec![[0.0, 3.0], [0.5, 2.5], [1.0, 2.0]]));
    assert_eq!(found[1].0, 1);
    let [y, z] = found[1].1[0];
    assert!(
        (y - 0.3).abs() < 1e-12 && (z - 2.5).abs() < 1e-12,
        "half way: {y} {z}"
    );
}
