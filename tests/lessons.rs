//! Lessons: each answer is worked out again here from the plans' public data, by other code; what is wrong
//! in a lesson file is told with its place.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first thing that is not as it should be"
)]

#[path = "support/snow.rs"]
mod snow;

use hulltent::frame::StrapKind;
use hulltent::lesson::storm::{LEAVES_OUT, Storm, StormRules};
use hulltent::lesson::{Change, Lesson, Measure, Played, lessons, read};
use hulltent::plan::Plan;
use hulltent::units::UnitSystem;
use rayon::prelude::*;
use snow::Walker;
use std::sync::LazyLock;

/// Snow walked down in short steps from a few thousand points against snow shared out from cell to cell, which widens
/// a stream by about a cell: the parts of what is held and of what falls by which they may differ.
const WALKED: f64 = 0.04;
const BESIDE: f64 = 0.005;

/// Sums in another order.
const ROUNDING: f64 = 1e-9;

/// All lessons, played once for all tests.
static PLAYED: LazyLock<Vec<Played>> = LazyLock::new(|| {
    lessons()
        .unwrap()
        .par_iter()
        .map(|lesson| {
            lesson
                .play()
                .unwrap_or_else(|problems| panic!("{}: {problems:?}", lesson.name))
        })
        .collect()
});

/// A measure from the plan's mesh, straps and rules alone.
fn again(plan: &Plan, measure: Measure, snow: f64) -> f64 {
    let mesh = &plan.cover.mesh;
    match measure {
        Measure::HoldingArea => (0..mesh.triangles.len())
            .filter_map(|t| {
                let [a, b, c] = mesh.triangle(t);
                let doubled = (b - a).cross(&(c - a));
                let flat = doubled.z > doubled.norm() * plan.rules.min_slope.cos();
                flat.then(|| 0.5 * doubled.norm())
            })
            .sum(),
        // Ten of snow to one of water.
        Measure::SnowHeld => Walker::new(mesh, plan.rules.min_slope).held(100.0 * snow, 100.0, 1.0),
        // Between neighboring caps, or cap and end, the lowest point under the straight line. The film rests on no box
        // under the ridge of the lesson that asks for this.
        Measure::Sag => {
            let ridge = (0..plan.frame.straps.len())
                .find(|s| plan.frame.straps[*s].kind == StrapKind::Ridge)
                .unwrap();
            let nodes = &plan.cover.straps[ridge].nodes;
            let points: Vec<_> = nodes.iter().map(|v| mesh.vertices[*v as usize]).collect();
            let mut supports = vec![points[0], *points.last().unwrap()];
            for post in &plan.frame.posts {
                for side in [-0.5, 0.5] {
                    let mut rim = post.top();
                    rim.x += side * plan.rules.cap_diameter;
                    supports.push(rim);
                }
            }
            supports.sort_by(|a, b| a.x.total_cmp(&b.x));
            let mut sag = 0.0_f64;
            for pair in supports.windows(2) {
                for p in points
                    .iter()
                    .filter(|p| (pair[0].x..pair[1].x).contains(&p.x))
                {
                    let s = (p.x - pair[0].x) / (pair[1].x - pair[0].x);
                    sag = sag.max(pair[0].z + s * (pair[1].z - pair[0].z) - p.z);
                }
            }
            sag
        }
        Measure::MeltWater | Measure::LeastSlope => panic!("no lesson asks for {measure:?}"),
    }
}

#[test]
fn every_answer_is_worked_out_again() {
    let mut rights = Vec::new();
    for played in PLAYED.iter() {
        let lesson = played.lesson();
        let name = &lesson.name;
        let check = |plan: &Plan, told: f64| {
            let found = again(plan, lesson.measure, lesson.snow);
            let within = match lesson.measure {
                Measure::SnowHeld => {
                    WALKED * told + BESIDE * 100.0 * lesson.snow * plan.cover.plan_area
                }
                // The rim of a cap is a polygon.
                Measure::Sag => 0.02 * told,
                _ => ROUNDING * told,
            };
            assert!(
                (found - told).abs() <= within,
                "{name}: {told} told, {found} found"
            );
            found
        };
        let told = [&played.plan_measured, &played.rival_measured].map(|m| m.get(lesson.measure));
        let plan = check(&played.plan, told[0]);
        let rival = check(&played.rival, told[1]);
        let right = lesson
            .choices
            .iter()
            .position(|choice| rival / plan < choice.below)
            .unwrap();
        assert_eq!(right, played.right, "{name}");
        // Not a close thing: a choice that another compiler's rounding may turn over teaches nothing.
        let limits = lesson.choices.iter().map(|choice| choice.below);
        for limit in limits.filter(|limit| limit.is_finite()) {
            let apart = (played.times() / limit).ln().abs();
            assert!(apart > 0.2, "{name}: {} at {limit}", played.times());
        }
        rights.push(played.right as f64 / (lesson.choices.len() - 1) as f64);
        assert!(!played.watch.is_empty(), "{name}");
        assert!(played.plan.sheds() && !played.rival.sheds(), "{name}");
        assert!(played.rival.frame.posts.iter().all(|post| post.pinned));
    }
    assert_eq!(rights.len(), 6);
    // The last choice is not always right.
    assert!(rights.iter().filter(|right| **right < 1.0).count() >= 2);
}

#[test]
fn the_low_post_holds_more_snow_in_kilograms() {
    let low = &PLAYED[0];
    assert_eq!(low.lesson().name, "low-post");
    // The storm as it is watched, in small steps, ends with the lesson's own figure.
    for (plan, measured) in [
        (&low.plan, &low.plan_measured),
        (&low.rival, &low.rival_measured),
    ] {
        let rules = StormRules::of(&plan.rules);
        let mut storm = Storm::new(&plan.cover, rules);
        for _ in 0..60 {
            storm.step(rules.hours(low.lesson().snow) / 60.0);
        }
        let held = storm.totals().held;
        let told = measured.get(Measure::SnowHeld);
        assert!((held - told).abs() < ROUNDING * told, "{held}, {told}");
    }
    let [plan, rival] = [&low.plan_measured, &low.rival_measured].map(|m| m.get(Measure::SnowHeld));
    assert!(rival > plan + 50.0, "{plan} kg and {rival} kg");
    let said = low.explanation(UnitSystem::Metric);
    for kilograms in [plan, rival] {
        let words = Measure::SnowHeld.format(kilograms, UnitSystem::Metric);
        assert!(said.contains(&words), "{words}: {said}");
    }
}

#[test]
fn texts_are_whole_in_both_units() {
    for played in PLAYED.iter() {
        let lesson = played.lesson();
        for units in [UnitSystem::FeetInches, UnitSystem::Metric] {
            let told = [
                played.story(units),
                played.explanation(units),
                lesson.question.clone(),
                lesson.watch.clone(),
                lesson.caution.clone(),
            ];
            for text in &told {
                let whole =
                    !text.contains(['{', '}']) && !text.contains("n/a") && !text.contains("  ");
                assert!(whole, "{}: {text}", lesson.name);
            }
            for measured in [&played.plan_measured, &played.rival_measured] {
                let number = lesson.measure.format(measured.get(lesson.measure), units);
                assert!(told[1].contains(&number), "{}: {number}", lesson.name);
            }
        }
    }
    for word in [
        "simplification",
        "scatter",
        "wind",
        "refreezing",
        "under the load",
    ] {
        assert!(LEAVES_OUT.contains(word), "{word}");
    }
}

fn lesson(boat: &str, change: &str) -> Lesson {
    let text = format!(
        "(title: \"T\", boat: \"{boat}\", change: [{change}], snow: \"10 in\", story: \"S\", \
         watch: (at: SternCorners, words: \"W\"), measure: SnowHeld, question: \"Q\", \
         choices: [(text: \"a\", below: 2), (text: \"b\")], explanation: \"{{times}}\", caution: \"C\")"
    );
    read(&text).unwrap_or_else(|problems| panic!("{problems}"))
}

#[test]
fn a_rival_with_nothing_changed_is_the_plan() {
    let check = |boat: &str| {
        let played = lesson(boat, "RidgeTension(factor: 1)").play().unwrap();
        let (plan, rival) = (&played.plan, &played.rival);
        let posts = |plan: &Plan| -> Vec<_> {
            let posts = plan.frame.posts.iter();
            posts.map(|p| (p.station, p.offset, p.cap)).collect()
        };
        assert_eq!(posts(plan), posts(rival), "{boat}");
        assert_eq!(plan.frame.straps.len(), rival.frame.straps.len(), "{boat}");
        for strap in &plan.frame.straps {
            let same = rival.frame.straps.iter().any(|other| {
                let mut points = strap.plan.iter().zip(&other.plan);
                strap.plan.len() == other.plan.len() && points.all(|(a, b)| (a - b).norm() < 1e-9)
            });
            assert!(same, "{boat}: {} is not in the rival", strap.id);
        }
        // Straps in another order number the mesh otherwise.
        assert!(
            (played.times() - 1.0).abs() < 0.02,
            "{boat}: {}",
            played.times()
        );
        assert_eq!(played.right, 0);
        assert_eq!(played.explanation(UnitSystem::Metric), "1.0 times");
    };
    for boat in [
        "open-runabout-18",
        "pontoon-24",
        "center-console-24",
        "cuddy-21",
        "double-console-20",
        // Twin ridges: fellows abreast share their pins.
        "catamaran-38",
    ] {
        check(boat);
    }
}

#[test]
fn changes_are_made_and_nothing_is_mended() {
    let played = |boat, change| lesson(boat, change).play().unwrap();
    let low = played("open-runabout-18", r#"LowerPost(post: "P2", by: "5 in")"#);
    let [before, after] = [&low.plan, &low.rival].map(|plan| plan.frame.posts[1].cap);
    assert!((before - after - 0.127).abs() < ROUNDING);
    assert_eq!(low.plan.frame.posts[0].cap, low.rival.frame.posts[0].cap);

    let moved = played("cuddy-21", r#"MovePost(post: "P1", forward: "-1 ft")"#);
    let [before, after] = [&moved.plan, &moved.rival].map(|plan| plan.frame.posts[0].station);
    assert!((before - after - 0.3048).abs() < ROUNDING);
    for strap in moved.rival.frame.straps.iter().filter(|s| s.from == "P1") {
        assert_eq!(strap.plan[0].x, after);
    }

    let gone = played("open-runabout-18", r#"RemovePost(post: "P1")"#);
    assert_eq!(gone.rival.frame.posts.len(), 1);
    assert_eq!(
        gone.rival.frame.posts[0].station,
        gone.plan.frame.posts[1].station
    );
    assert!(gone.rival.frame.straps.len() < gone.plan.frame.straps.len());

    let hips = played("pontoon-24", "RemoveHipStraps");
    let hips_of = |plan: &Plan| {
        let straps = plan.frame.straps.iter();
        straps.filter(|s| s.kind == StrapKind::Hip).count()
    };
    assert!(hips_of(&hips.plan) > 0);
    assert_eq!(hips_of(&hips.rival), 0);

    let slack = played("open-runabout-18", "RidgeTension(factor: 0.25)");
    assert_eq!(slack.rival.frame.straps[0].tension, 200.0);
    assert_eq!(slack.rival.frame.straps[1].tension, 400.0);

    let top = r#"FlatHardtop(from: "5 ft", to: "9 ft", width: "5 ft", top: "6 ft")"#;
    let roofed = played("open-runabout-18", top);
    let area = 4.0 * 5.0 * 0.3048 * 0.3048;
    assert!(roofed.rival.cover.patches[0].area > 0.8 * area);
    assert_eq!(
        roofed.plan.frame.posts.len(),
        roofed.rival.frame.posts.len()
    );
}

#[test]
fn both_sides_of_a_symmetric_boat_hold_alike() {
    for played in PLAYED.iter() {
        if played.plan.boat.boxes.iter().any(|b| b.offset != 0.0) {
            continue;
        }
        for plan in [&played.plan, &played.rival] {
            let mesh = &plan.cover.mesh;
            let mut storm = Storm::new(&plan.cover, StormRules::of(&plan.rules));
            storm.step(5.0);
            let (mut port, mut starboard) = (0.0, 0.0);
            for (t, mass) in storm.masses().iter().enumerate() {
                let y: f64 = mesh.triangle(t).iter().map(|p| p.y).sum();
                *(if y > 0.0 { &mut port } else { &mut starboard }) += mass;
            }
            // The mesh is symmetric but for ties; a triangle on the centerline belongs to one side.
            assert!(
                (port - starboard).abs() < 0.1 * (port + starboard),
                "{}: {port} kg to port, {starboard} kg to starboard",
                played.lesson().name
            );
        }
    }
}

#[test]
fn a_storm_over_a_cover_is_walked_again_and_loses_nothing() {
    let held = |plan: &Plan, degrees: f64, walked: bool| {
        let rules = StormRules {
            sliding_angle: degrees.to_radians(),
            fall: 1.0,
            density: 100.0,
            // No heap is ever full.
            heap: std::f64::consts::FRAC_PI_2,
        };
        let mut storm = Storm::new(&plan.cover, rules);
        storm.step(1.0);
        let totals = storm.totals();
        let lost = totals.fallen - totals.held - totals.slid_off;
        assert!(lost.abs() < ROUNDING * totals.fallen);
        assert!((totals.fallen - plan.cover.plan_area).abs() < ROUNDING * totals.fallen);
        if walked {
            let walker = Walker::new(&plan.cover.mesh, rules.sliding_angle);
            let walked = walker.held(1.0, 100.0, f64::INFINITY);
            assert!(
                (walked - totals.held).abs() < WALKED * totals.held + BESIDE * totals.fallen,
                "{} at {degrees}: {} held, {walked} walked, of {}",
                plan.boat.name,
                totals.held,
                totals.fallen
            );
        }
        totals.held
    };
    for (index, played) in PLAYED.iter().enumerate() {
        for plan in [&played.plan, &played.rival] {
            let rising = [5.0, 11.0, 15.0, 19.0, 26.0, 40.0, 89.0].map(|degrees| {
                // Walking is slow: two boats at two angles.
                held(
                    plan,
                    degrees,
                    [0, 3].contains(&index) && [11.0, 19.0].contains(&degrees),
                )
            });
            assert!(rising.is_sorted(), "{rising:?}");
        }
    }
}

#[test]
fn what_does_not_fit_the_boat_is_told_with_its_place() {
    let check = |boat: &str, change: &str, what: &str, hint: &str| {
        let problems = lesson(boat, change).play().unwrap_err();
        let found = problems
            .iter()
            .find(|problem| problem.what.contains(what) && problem.hint.contains(hint))
            .unwrap_or_else(|| panic!("{change}: {problems:?}"));
        assert_eq!(found.path, "change[0]");
        assert_eq!(found.place.unwrap().0, 1);
    };
    let boat = "open-runabout-18";
    check(boat, r#"RemovePost(post: "P9")"#, "no post 'P9'", "P1, P2");
    check(
        boat,
        r#"LowerPost(post: "P1", by: "3 ft")"#,
        "lower than what it stands on",
        "less",
    );
    check(
        boat,
        r#"MovePost(post: "P1", forward: "-6 ft")"#,
        "off the boat",
        "less far",
    );
    check(boat, "RemoveHipStraps", "no hip straps", "corners");
}

#[test]
fn all_that_is_wrong_in_a_file_is_told() {
    fn check(text: &str, wanted: &[(&str, usize, &str, &str)]) {
        let problems = read(text).expect_err(text).list;
        for (path, line, what, hint) in wanted {
            let found = problems.iter().any(|problem| {
                problem.path == *path
                    && problem.place.map(|place| place.0) == Some(*line)
                    && problem.what.contains(what)
                    && problem.hint.contains(hint)
            });
            assert!(found, "{path}: {what}: {hint}: not in {problems:#?}");
        }
        assert_eq!(problems.len(), wanted.len(), "{problems:#?}");
    }
    check(
        r#"Lesson(
    titel: "T",
    boat: "open-runabout-19",
    change: [
        LowerPost(post: "P1", bye: "8 in"),
        MovePost(post: "P1", forward: "2 parsec"),
        RidgeTension(factor: 0),
        FlatHardtop(from: "9 ft", to: "5 ft", width: "5 ft", top: "6 ft"),
    ],
    snow: "10 ft",
    story: "It is {buy} too low.",
    watch: (words: "W"),
    question: "",
    choices: [
        (text: "a"),
        (text: "b", below: 2),
    ],
    explanation: "{rivals} and {plan",
)"#,
        &[
            ("titel", 2, "unknown field", "did you mean 'title'"),
            ("title", 1, "missing", "add title"),
            ("boat", 3, "no preset", "did you mean 'open-runabout-18'"),
            ("change[0].bye", 5, "unknown field", "did you mean 'by'"),
            ("change[0].by", 5, "missing", "add by"),
            ("change[1].forward", 6, "unknown unit", ""),
            ("change[2].factor", 7, "out of range", "between 0.01 and 10"),
            ("change[3].to", 8, "ends before it begins", "run forward"),
            ("snow", 10, "out of range", "between"),
            ("story", 11, "'{buy}'", "did you mean '{by}'"),
            ("watch.at", 12, "missing", "SternCorners"),
            ("measure", 1, "missing", "SnowHeld"),
            ("question", 13, "does not fit", "plain characters"),
            ("choices[0].below", 15, "without a limit", "add below"),
            ("choices[1].below", 16, "last choice", "leave 'below' out"),
            ("explanation", 18, "'{rivals}'", "did you mean '{rival}'"),
            ("explanation", 18, "not closed", "braces"),
            ("caution", 1, "missing", "add caution"),
        ],
    );
    check(
        "(change: [LowerPots(post: \"P1\")])",
        &[("", 1, "LowerPots", "did you mean 'LowerPost'")],
    );
    check(
        "(measure: SnowHold)",
        &[("", 1, "SnowHold", "did you mean 'SnowHeld'")],
    );
    check("(title: \"T\"", &[("", 1, "", "")]);
    // One thing wrong in a lesson that is right otherwise.
    let right = r#"(title: "T", boat: "cuddy-21", change: [RemoveHipStraps], snow: "1 ft", story: "S",
        watch: (at: Post("P1"), words: "W"), measure: Sag, question: "Q", explanation: "E", caution: "C",
        choices: [(text: "a", below: 2), (text: "b", below: 2.5), (text: "c")])"#;
    assert!(read(right).is_ok());
    let wrong = |from: &str, to: &str| right.replace(from, to);
    check(
        &wrong("2.5", "1.5"),
        &[("choices[1].below", 3, "must rise", "order")],
    );
    check(
        &wrong("[RemoveHipStraps]", "[]"),
        &[("change", 1, "nothing is changed", "LowerPost")],
    );
    check(
        &wrong(r#", below: 2), (text: "b", below: 2.5), (text: "c")"#, ")"),
        &[("choices", 3, "nothing to choose from", "below")],
    );
    check(
        &wrong(r#""E""#, r#""{by}""#),
        &[("explanation", 2, "'{by}'", "numbers are named")],
    );
    check(
        &wrong(r#""T""#, &format!("\"{}\"", "T".repeat(41))),
        &[("title", 1, "does not fit", "1 to 40")],
    );
}

#[test]
fn a_lesson_says_which_change_gives_its_length() {
    let lesson = lesson("open-runabout-18", r#"LowerPost(post: "P2", by: "5 in")"#);
    assert_eq!(lesson.changes.len(), 1);
    assert_eq!(lesson.changes[0].by(), Some(0.127));
    assert_eq!(Change::RemoveHipStraps.by(), None);
}
