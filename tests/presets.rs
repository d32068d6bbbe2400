//! The invented boats that come with the program: all of them are planned as a user would plan them.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first thing that is not as it should be"
)]

#[path = "support/film.rs"]
mod film;

use film::Film;
use hulltent::boat::{BoxKind, Hand, preset, presets};
use hulltent::export::Record;
use hulltent::film::PleatKind;
use hulltent::plan::{Plan, Shortfall, plan};
use nalgebra::{Point3, Vector3};
use rayon::prelude::*;
use std::collections::BTreeMap;

const INCH: f64 = 0.0254;

/// Areas that differ by less than this part are the same: corners are read back in single precision.
const NEAR: f64 = 0.01;

/// Areas in plan and middles of connected film that is flatter than the rule, largest first: by the triangles that
/// are handed out, their normals and the edges that they share.
fn flat_spots(plan: &Plan) -> Vec<(f64, Point3<f64>)> {
    let film = Film::of(plan);
    let flat: Vec<(&[u32; 3], f64, Point3<f64>)> = film
        .triangles
        .iter()
        .filter_map(|corners| {
            let [a, b, c] = corners.map(|corner| film.points[corner as usize]);
            let normal = (b - a).cross(&(c - a));
            let slope = (normal.z.abs() / normal.norm()).min(1.0).acos();
            let middle = Point3::from((a.coords + b.coords + c.coords) / 3.0);
            (slope < plan.rules.min_slope).then_some((corners, 0.5 * normal.norm(), middle))
        })
        .collect();
    let mut at_edge: BTreeMap<[u32; 2], Vec<usize>> = BTreeMap::new();
    for (k, ([a, b, c], _, _)) in flat.iter().enumerate() {
        for [from, to] in [[a, b], [b, c], [c, a]] {
            at_edge
                .entry([*from.min(to), *from.max(to)])
                .or_default()
                .push(k);
        }
    }
    let mut seen = vec![false; flat.len()];
    let mut spots = Vec::new();
    for start in 0..flat.len() {
        let (mut open, mut area, mut moment) = (vec![start], 0.0, Vector3::zeros());
        while let Some(k) = open.pop() {
            if std::mem::replace(&mut seen[k], true) {
                continue;
            }
            let ([a, b, c], part, middle) = &flat[k];
            area += part;
            moment += middle.coords * *part;
            for [from, to] in [[a, b], [b, c], [c, a]] {
                open.extend(&at_edge[&[*from.min(to), *from.max(to)]]);
            }
        }
        if area > 0.0 {
            spots.push((area, Point3::from(moment / area)));
        }
    }
    spots.sort_by(|(a, _), (b, _)| b.total_cmp(a));
    spots
}

fn planned(name: &str) -> Plan {
    let boat = preset(name).unwrap().boat().unwrap();
    plan(&boat, &boat.rules).unwrap_or_else(|problems| panic!("{name}: {problems:?}"))
}

/// What is wrong with a preset's plan.
fn faults(name: &str) -> Vec<String> {
    let plan = planned(name);
    let mut faults = Vec::new();
    let things = plan.hull.things.iter().map(|thing| &thing.mesh);
    for mesh in plan.hull.bodies.iter().chain(things) {
        if let Err(fault) = mesh.sanity_check() {
            faults.push(format!("{name}: {fault}"));
        }
        if mesh.crossings() > 0 {
            faults.push(format!("{name}: a mesh crosses itself"));
        }
    }
    for shortfall in &plan.shortfalls {
        faults.push(format!("{name}: {shortfall:?}"));
    }
    // The same by the film as others read it. Spots that touch the limit within rounding may fall on either side.
    let limit = plan.rules.holding_patch;
    let spots = flat_spots(&plan);
    let large: Vec<_> = spots.iter().filter(|(area, _)| *area > limit).collect();
    let near = spots
        .iter()
        .any(|(area, _)| (area / limit - 1.0).abs() < NEAR);
    if !near && !large.is_empty() {
        faults.push(format!("{name}: flat spots over {limit} m2: {large:?}"));
    }
    faults
}

#[test]
fn every_preset_sheds() {
    assert!(presets().len() >= 14);
    let found: Vec<String> = presets()
        .par_iter()
        .flat_map(|preset| faults(preset.name))
        .collect();
    assert!(found.is_empty(), "\n{}", found.join("\n"));
}

#[test]
fn the_open_runabout_gets_what_practice_gives_it() {
    // Common practice: an 18 ft open runabout gets two posts, one just aft of the windshield with its cap about
    // 10 in over the windshield's top (8 to 15 in here), and one toward the stern (in the aft third).
    let plan = planned("open-runabout-18");
    let windshield = plan
        .boat
        .boxes
        .iter()
        .find(|b| b.kind == BoxKind::Windshield)
        .unwrap();
    let [stern, middle] = plan.frame.posts.as_slice() else {
        panic!("{} posts", plan.frame.posts.len());
    };
    let aft_of = windshield.from - middle.station;
    assert!(
        (0.0..=0.6).contains(&aft_of),
        "{aft_of} m aft of the windshield"
    );
    let over = (middle.cap - windshield.top.max(windshield.top_fore)) / INCH;
    assert!(
        (8.0..=15.0).contains(&over),
        "{over} in over the windshield"
    );
    assert!(stern.station < plan.boat.length / 3.0, "{}", stern.station);
}

#[test]
fn the_open_runabouts_post_stands_clear_of_the_seat() {
    // The post cut 19 mm into the stern seat once: the seat's front stands at 2'8".
    let plan = planned("open-runabout-18");
    let seat = plan
        .boat
        .boxes
        .iter()
        .find(|b| b.kind == BoxKind::Seat)
        .unwrap();
    for post in &plan.frame.posts {
        let half = 2.5 * INCH;
        let clear = post.station - half >= seat.to || post.station + half <= seat.from;
        assert!(clear, "{} at {}", post.id, post.station);
    }
}

#[test]
fn a_side_strap_is_not_led_forward_past_a_nearer_cleat() {
    // The aftmost post of the center console was tied to the spring cleat four feet forward, with a stern cleat as near.
    let plan = planned("center-console-24");
    let straps: Vec<_> = plan
        .frame
        .straps
        .iter()
        .filter(|strap| strap.from == "P1" && strap.to.contains("cleat"))
        .collect();
    assert_eq!(straps.len(), 2);
    for strap in straps {
        assert!(
            strap.to.starts_with("stern cleat"),
            "{}: {}",
            strap.id,
            strap.to
        );
    }
}

#[test]
fn ridges_end_where_there_is_something_to_tie_to() {
    let ends = |name: &str| {
        let plan = planned(name);
        let ridges = plan
            .frame
            .straps
            .iter()
            .filter(|strap| !strap.ends.is_empty());
        ridges
            .map(|s| (s.from.clone(), s.to.clone()))
            .collect::<Vec<_>>()
    };
    // Both were told to end at a "bow" that has no anchor, and at a transom two feet behind which the strap ended.
    for name in ["pontoon-24", "tritoon-26"] {
        for (from, to) in ends(name) {
            assert!(from != "transom" && to != "bow", "{name}: {from} {to}");
        }
    }
    assert_eq!(
        ends("center-console-24"),
        [("stern eyes".to_owned(), "bow eye".to_owned())]
    );
}

#[test]
fn a_pinned_post_over_an_edge_is_told() {
    // The sole begins at 2'9": a post pinned at 2'10" stands with its middle on it and its cap over the edge, in the
    // way of the seat.
    let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
    boat.wishes.posts.push(hulltent::boat::PinnedPost {
        station: 34.0 * INCH,
        ..hulltent::boat::PinnedPost::default()
    });
    let plan = plan(&boat, &boat.rules).unwrap();
    assert!(
        plan.frame
            .posts
            .iter()
            .any(|post| post.station == 34.0 * INCH)
    );
    let told = plan
        .shortfalls
        .iter()
        .find(|s| matches!(s, Shortfall::NoFooting { .. }))
        .unwrap_or_else(|| panic!("{:?}", plan.shortfalls));
    let words = told.sentence(hulltent::units::UnitSystem::FeetInches);
    assert!(
        words.contains("base cap reaches over the edge of the sole"),
        "{words}"
    );
}

#[test]
fn the_open_runabout_is_fitted_as_practice_fits_it() {
    // Common practice: four vents on an 18 ft open runabout, belly bands every 6 ft, film gathered first of all
    // about the widest part, in pleats that open aft.
    const SIX_FEET: f64 = 72.0 * INCH;
    let plan = planned("open-runabout-18");
    let fittings = &plan.fittings;
    assert_eq!(fittings.vents.len(), 4, "{:?}", fittings.vents);
    assert!(fittings.ventilation.provided >= fittings.ventilation.required);
    let stations: Vec<f64> = fittings
        .belly_bands
        .iter()
        .map(|band| band.station)
        .collect();
    assert!(stations.len() >= 3, "{stations:?}");
    let [stern, bow] = plan.hull.edge.ends();
    let stops: Vec<f64> = [stern].into_iter().chain(stations).chain([bow]).collect();
    for pair in stops.windows(2) {
        assert!(pair[1] - pair[0] <= SIX_FEET + 1e-9, "{stops:?}");
    }
    let widest = plan
        .cover
        .band
        .iter()
        .map(|p| p.y)
        .fold(f64::NEG_INFINITY, f64::max);
    for hand in Hand::BOTH {
        let pleats: Vec<_> = plan
            .film
            .pleats
            .iter()
            .filter(|p| p.kind == PleatKind::Pleat && p.hand == Some(hand))
            .collect();
        let [pleat] = pleats.as_slice() else {
            panic!("{} pleats on the {} side", pleats.len(), hand.word());
        };
        // Near the widest part: where the boat has nine tenths of its greatest breadth at the band.
        let foot = pleat.line.first().unwrap();
        assert!(foot.y.abs() > 0.9 * widest, "{foot}, widest {widest}");
    }
    for pleat in &Record::new(&plan).pleats {
        assert_eq!(pleat.opens, "aft", "{}", pleat.id);
    }
}

#[test]
fn the_hand_rule_is_worked_out_from_the_boats_own_numbers() {
    // Common practice: 2 x (top of the middle post, over the widest part, to the rub rail + 8 in + 6 in). Worked
    // out by hand for the open runabout: its middle post stands at 10'0" with its cap 5'5" over the keel; the tape
    // meets nothing on the way to the rub rail 2 in under the sheer.
    let plan = planned("open-runabout-18");
    let post = plan.frame.posts.last().unwrap();
    let widest = plan
        .hull
        .edge
        .points()
        .iter()
        .map(|p| p.y)
        .fold(0.0, f64::max);
    let sheer = plan.hull.sheer_at(plan.film.widths.hand_widest);
    let tape = widest.hypot(post.cap - sheer) + 2.0 * INCH;
    let by_hand = 2.0 * (tape + 8.0 * INCH + 6.0 * INCH);
    let found = plan.film.widths.hand;
    assert!((found - by_hand).abs() < 0.02, "{found} is not {by_hand}");
    // The true girth of an open boat without a tower is within a few inches of it.
    assert!((plan.film.widths.girth / found - 1.0).abs() < 0.06);
}

#[test]
fn symmetric_boats_get_symmetric_films() {
    // Within a part of a cell: the mesh is symmetric but for ties.
    const NEAR: f64 = 0.01;
    let check = |name: &str| {
        let plan = planned(name);
        assert!(
            plan.boat.boxes.iter().all(|b| b.offset == 0.0),
            "{name} is lopsided"
        );
        let film = Film::of(&plan);
        assert!(film.triangles.len() > 1000, "{name}");
        let mut reached = 0;
        for p in &film.points {
            // On the rim a ray may just miss.
            let Some(other) = film.height(p.x, -p.y) else {
                continue;
            };
            assert!(
                (other - p.z).abs() < NEAR,
                "{name}: {} at {p}, {other} on the other side",
                p.z
            );
            reached += 1;
        }
        assert!(
            10 * reached > 8 * film.points.len(),
            "{name}: {reached} places"
        );
        for post in &plan.frame.posts {
            let twin = plan.frame.posts.iter().any(|other| {
                other.station == post.station && (other.offset + post.offset).abs() < 1e-9
            });
            assert!(twin, "{name}: {} has no twin", post.id);
        }
    };
    for name in [
        "open-runabout-18",
        "cuddy-21",
        "catamaran-38",
        "rowing-dinghy-12",
    ] {
        check(name);
    }
}
