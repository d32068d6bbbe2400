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
use hulltent::boat::{BoxKind, preset, presets};
use hulltent::plan::{Plan, Shortfall, plan};
use rayon::prelude::*;

const INCH: f64 = 0.0254;

/// Presets whose cover falls short, and of what; all others shed. An honest shortfall is one that the boat forces,
/// for the reason given.
const FALL_SHORT: &[(&str, &[&str], &str)] = &[(
    "catamaran-38",
    &["holding patch"],
    "between its twin ridges the film falls lengthwise only, and the saloon's top is too long for that",
)];

fn planned(name: &str) -> Plan {
    let boat = preset(name).unwrap().boat().unwrap();
    plan(&boat, &boat.rules).unwrap_or_else(|problems| panic!("{name}: {problems:?}"))
}

fn kind(shortfall: &Shortfall) -> &'static str {
    match shortfall {
        Shortfall::Frame { .. } => "frame",
        Shortfall::HoldingPatch { .. } => "holding patch",
        Shortfall::Pond { .. } => "pond",
        Shortfall::Touches { .. } => "touches",
        Shortfall::IdlePost { .. } => "idle post",
        Shortfall::NoAnchor { .. } => "no anchor",
        Shortfall::NoFooting { .. } => "no footing",
        Shortfall::NotSolved { .. } => "not solved",
    }
}

/// What is wrong with a preset's plan, against the table.
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
    let mut kinds: Vec<&str> = plan.shortfalls.iter().map(kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let told = FALL_SHORT
        .iter()
        .find(|(preset, _, _)| *preset == name)
        .map_or(&[][..], |(_, kinds, _)| kinds);
    if kinds != told {
        faults.push(format!(
            "{name}: falls short of {kinds:?}, the table says {told:?}"
        ));
    }
    faults
}

#[test]
fn every_preset_is_planned_and_sheds_or_says_why_not() {
    assert!(presets().len() >= 14);
    let found: Vec<String> = presets()
        .par_iter()
        .flat_map(|preset| faults(preset.name))
        .collect();
    assert!(found.is_empty(), "\n{}", found.join("\n"));
    for (name, _, why) in FALL_SHORT {
        assert!(preset(name).is_some() && !why.is_empty(), "{name}");
    }
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
