//! What loads do to whole boats.

use hulltent::boat::{Boat, preset};
use hulltent::frame::StrapKind;
use hulltent::loads::site::{SiteOptions, from_options};
use hulltent::loads::{Case, Kind, Loads, Outcome, Site, snow_capacity, weigh_at_site};
use hulltent::plan::{Plan, advise, plan, plan_at, strengthen};
use hulltent::units::UnitSystem;

/// Cells of these tests over the rules' own: films are solved unoptimised here.
const COARSER: f64 = 3.0;

fn boat(name: &str) -> Boat {
    let mut boat = preset(name).unwrap().boat().unwrap();
    boat.rules.coarsen(COARSER);
    boat
}

fn planned(boat: &Boat) -> Plan {
    plan(boat, &boat.rules).unwrap()
}

fn site(snow: &str) -> Site {
    from_options(&SiteOptions {
        code: Some("asce7-16".to_owned()),
        snow: Some(snow.to_owned()),
        ..SiteOptions::default()
    })
    .unwrap()
}

fn ratio(loads: &Loads, kind: Kind) -> f64 {
    let of_kind = loads.checks.iter().filter(|check| check.kind == kind);
    of_kind.map(|check| check.ratio()).fold(0.0, f64::max)
}

#[test]
fn forces_balance_in_every_case() {
    for name in ["open-runabout-18", "pontoon-24"] {
        let plan = planned(&boat(name));
        let site = from_options(&SiteOptions {
            wind: Some("100 mph".to_owned()),
            snow: Some("15 psf".to_owned()),
            code: Some("asce7-16".to_owned()),
            ..SiteOptions::default()
        })
        .unwrap();
        let loads = weigh_at_site(&plan.stage(), &site);
        assert_eq!(loads.cases.len(), 5, "{name}");
        for case in &loads.cases {
            assert_ne!(case.outcome, Outcome::Unsolved, "{name} {:?}", case.case);
            assert!(
                case.left_over <= 1e-6 * case.total.abs(),
                "{name} {:?}: {}",
                case.case,
                case.left_over
            );
            assert!(case.post_loads.iter().all(|load| *load >= 0.0));
            assert!(case.strap_tensions.iter().all(|tension| *tension >= 0.0));
        }
    }
}

#[test]
fn a_symmetric_boat_answers_symmetrically() {
    let plan = planned(&boat("open-runabout-18"));
    let loads = weigh_at_site(&plan.stage(), &site("20 psf"));
    let [port, starboard] =
        [Case::SnowToPort, Case::SnowToStarboard].map(|case| loads.under(case).unwrap());
    // The mesh is not quite the same on both sides.
    let near = |a: f64, b: f64| (a - b).abs() <= 0.02 * a.abs().max(b.abs());
    for (a, b) in port.post_loads.iter().zip(&starboard.post_loads) {
        assert!(near(*a, *b), "{a} {b}");
    }
    assert!(near(port.max_sag, starboard.max_sag));
    let sides: Vec<usize> = (0..plan.frame.straps.len())
        .filter(|k| plan.frame.straps[*k].kind != StrapKind::Ridge)
        .collect();
    for pair in sides.chunks(2) {
        let &[a, b] = pair else {
            panic!("straps come in pairs")
        };
        assert!(
            near(port.strap_tensions[a], starboard.strap_tensions[b]),
            "{a} {b}"
        );
        assert!(
            near(port.strap_tensions[b], starboard.strap_tensions[a]),
            "{a} {b}"
        );
    }
}

#[test]
fn little_snow_and_much_tell_a_sensible_story() {
    let plan = planned(&boat("open-runabout-18"));
    let [light, middling, heavy] =
        ["5 psf", "20 psf", "60 psf"].map(|snow| weigh_at_site(&plan.stage(), &site(snow)));
    assert!(light.stands());
    assert!(!heavy.stands());
    let failing = |loads: &Loads| loads.checks.iter().filter(|check| !check.passes()).count();
    assert!(failing(&middling) >= failing(&light) && failing(&heavy) > failing(&middling));
    // The film gives before the posts do, and everything is asked more of the more snow there is.
    let worst = heavy.governing().unwrap();
    assert!(matches!(worst.kind, Kind::Film | Kind::Pond), "{worst:?}");
    for kind in [
        Kind::Film,
        Kind::Post,
        Kind::BaseCap,
        Kind::Sole,
        Kind::Strap,
    ] {
        assert!(ratio(&light, kind) < ratio(&middling, kind), "{kind:?}");
        assert!(ratio(&middling, kind) < ratio(&heavy, kind), "{kind:?}");
    }
    for (a, b) in [(&light, &middling), (&middling, &heavy)] {
        let sag = |loads: &Loads| loads.under(Case::BalancedSnow).unwrap().max_sag;
        assert!(sag(a) < sag(b));
    }
}

/// The frame of a plan, changed by hand: what is left in it is pinned.
fn by_hand(plan: &Plan, change: impl Fn(&mut Boat)) -> Plan {
    let mut boat = plan.pinned();
    change(&mut boat);
    planned(&boat)
}

#[test]
fn a_post_less_takes_less_snow() {
    let whole = planned(&boat("open-runabout-18"));
    let site = site("20 psf");
    let capacity = |plan: &Plan| snow_capacity(&plan.stage(), &site).unwrap().ground;
    let with = capacity(&whole);
    let without: Vec<f64> = (0..whole.frame.posts.len())
        .map(|post| {
            let less = by_hand(&whole, |boat| {
                let gone = boat.wishes.posts.remove(post);
                boat.wishes
                    .straps
                    .retain(|strap| (strap.post - gone.station).abs() > 1e-6);
            });
            assert_eq!(less.frame.posts.len() + 1, whole.frame.posts.len());
            capacity(&less)
        })
        .collect();
    // Where the same piece gives first with a post and without it, that post changes little either way.
    assert!(
        without.iter().any(|less| *less < 0.95 * with),
        "{without:?}, with all {with}"
    );
    assert!(
        without.iter().all(|less| *less < 1.02 * with),
        "{without:?}, with all {with}"
    );
}

#[test]
fn without_hip_straps_more_film_holds_snow() {
    // On the runabout the side straps of the aft post run to the stern corners and are its hips; the pontoon boat has hip
    // straps besides.
    for name in ["open-runabout-18", "pontoon-24"] {
        let whole = planned(&boat(name));
        let hips: Vec<_> = whole
            .frame
            .straps
            .iter()
            .filter(|strap| strap.kind == StrapKind::Hip)
            .filter_map(|strap| whole.pin_of(strap))
            .collect();
        let aft = whole.frame.posts[0].station;
        let less = by_hand(&whole, |boat| {
            boat.wishes.straps.retain(|strap| {
                let hip = if hips.is_empty() {
                    (strap.post - aft).abs() < 1e-6
                } else {
                    hips.contains(strap)
                };
                !hip
            });
        });
        assert!(less.frame.straps.len() < whole.frame.straps.len(), "{name}");
        let site = site("2 psf");
        let holds = |plan: &Plan| {
            let loads = weigh_at_site(&plan.stage(), &site);
            loads.under(Case::BalancedSnow).unwrap().holding_area()
        };
        let (without, with) = (holds(&less), holds(&whole));
        assert!(without > with, "{name}: {without} without, {with} with");
        assert!(
            less.cover.holding_area() > whole.cover.holding_area(),
            "{name}"
        );
    }
}

#[test]
fn what_is_tried_is_told_and_buys_something() {
    let boat = boat("open-runabout-18");
    let plan = plan_at(&boat, &site("20 psf"), &boat.rules).unwrap();
    let advice = advise(&plan).unwrap();
    assert!(!advice.tried.is_empty());
    assert!(
        advice
            .tried
            .windows(2)
            .all(|pair| pair[0].capacity.ground >= pair[1].capacity.ground)
    );
    assert!(advice.tried[0].capacity.ground > advice.now.ground);
}

#[test]
fn a_frame_is_strengthened_until_it_stands() {
    let boat = boat("open-runabout-18");
    let site = site("16 psf");
    let first = plan_at(&boat, &site, &boat.rules).unwrap();
    assert!(!first.is_good());
    let strong = strengthen(&boat, &site, &boat.rules).unwrap();
    let loads = strong.loads.as_ref().unwrap();
    let worst = |loads: &Loads| loads.governing().unwrap().ratio();
    assert!(worst(loads) < worst(first.loads.as_ref().unwrap()));
    let strengthening = strong.strengthening.as_ref().unwrap();
    assert!(!strengthening.changes.is_empty());
    assert!(strengthening.cost[1] > strengthening.cost[0]);
    assert!(strong.frame.posts.len() > first.frame.posts.len());
    // Nobody pinned anything, and the posts are numbered from the stern.
    for (index, post) in strong.frame.posts.iter().enumerate() {
        assert_eq!(post.id, format!("P{}", index + 1));
        let sentence = post.reason.sentence(UnitSystem::FeetInches);
        assert!(!sentence.contains("pinned by"), "{sentence}");
    }
    for strap in &strong.frame.straps {
        let sentence = strap.reason.sentence(UnitSystem::FeetInches);
        assert!(!sentence.contains("pinned by"), "{sentence}");
    }
}

#[test]
fn under_a_roof_nothing_is_asked() {
    let plan = planned(&boat("open-runabout-18"));
    let roofed = from_options(&SiteOptions {
        stored: Some("roof".to_owned()),
        ..SiteOptions::default()
    })
    .unwrap();
    let loads = weigh_at_site(&plan.stage(), &roofed);
    assert!(loads.cases.is_empty() && loads.checks.is_empty() && loads.stands());
}

#[test]
fn on_the_road_width_height_and_bands_are_checked() {
    let plan = planned(&boat("open-runabout-18"));
    let hauled = |speed: &str| {
        from_options(&SiteOptions {
            stored: Some("hauled".to_owned()),
            speed: Some(speed.to_owned()),
            ..SiteOptions::default()
        })
        .unwrap()
    };
    let [slow, fast] =
        ["55 mph", "75 mph"].map(|speed| weigh_at_site(&plan.stage(), &hauled(speed)));
    for loads in [&slow, &fast] {
        let road: Vec<_> = loads
            .checks
            .iter()
            .filter(|check| check.kind == Kind::Road)
            .collect();
        assert_eq!(road.len(), 2);
        // 102 in: 23 CFR 658.15; 13 ft 6 in: most US states, memory.
        assert!(
            (road[0].capacity - 2.5908).abs() < 1e-9 && (road[1].capacity - 4.1148).abs() < 1e-9
        );
        assert!(loads.under(Case::Road).unwrap().total < 0.0);
    }
    assert!(ratio(&fast, Kind::BellyBand) > ratio(&slow, Kind::BellyBand));
    assert!(ratio(&fast, Kind::Film) > ratio(&slow, Kind::Film));
}

#[test]
fn film_weighs_what_its_thickness_makes_it() {
    // Low-density polyethylene of 0.92 g/cm3 at 7 mil: 163.576 g/m2 (computed).
    let film = planned(&boat("open-runabout-18")).film;
    assert!((film.mass / film.cut.taken - 0.163_576).abs() < 5e-7);
}
