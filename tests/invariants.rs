//! Random valid boats, planned; what must hold for every plan is checked by code that knows nothing of the
//! solver (`support/laws`).
//!
//! `cargo test` draws the same few boats on every machine. `PROPTEST_CASES=1000 cargo test --release --test
//! invariants` draws so many new ones. A boat that breaks a law is shrunk towards the plainest one that still
//! does; put it in `tests/boats/`, where it stays.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first thing that is not as it should be"
)]

#[path = "support/boats.rs"]
mod boats;
#[path = "support/film.rs"]
mod film;
#[path = "support/laws/mod.rs"]
mod laws;
#[path = "support/through.rs"]
mod through;

use hulltent::boat::{self, Boat, BoxKind, DeckBox};
use hulltent::export::{Record, cover_stl, frame_stl, hull_stl, json};
use hulltent::plan::{Plan, plan};
use proptest::test_runner::{Config, RngAlgorithm, TestCaseError, TestError, TestRng, TestRunner};

/// Boats that `cargo test` draws.
const FEW: u32 = 32;

/// Steps by which a broken boat is made plainer.
const SHRINKING: u32 = 100;

fn read(text: &str, table: &str) -> Result<Boat, String> {
    boat::read(text, &|_| Ok(table.to_owned())).map_err(|problems| problems.to_string())
}

fn planned(boat: &Boat) -> Result<Plan, String> {
    plan(boat, &boat.rules).map_err(|problems| format!("it cannot be planned: {problems:?}"))
}

/// All that is handed out about a plan.
fn bytes(plan: &Plan) -> [Vec<u8>; 4] {
    [
        json(&Record::new(plan)).unwrap().into_bytes(),
        hull_stl(plan),
        frame_stl(plan),
        cover_stl(plan),
    ]
}

/// Plans a boat and checks every law; the same boat on one thread must give the same bytes.
fn check(text: &str, table: &str) -> Result<(), String> {
    let boat = read(text, table)?;
    let first = planned(&boat)?;
    let mut faults = laws::all(&first);
    let alone = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .build()
        .unwrap();
    let second = alone.install(|| planned(&boat))?;
    if bytes(&first) != bytes(&second) {
        faults.push("the same boat gives another plan on one thread".to_owned());
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults.join("\n"))
    }
}

#[test]
fn the_laws_hold_for_random_boats() {
    let many = std::env::var_os("PROPTEST_CASES").is_some();
    let mut config = Config {
        failure_persistence: None,
        max_shrink_iters: SHRINKING,
        ..Config::default()
    };
    let mut runner = if many {
        TestRunner::new(config)
    } else {
        config.cases = FEW;
        TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha))
    };
    let numbers = proptest::collection::vec(0.0..1.0, boats::DECISIONS);
    let outcome = runner.run(&numbers, |numbers| {
        let drawn = boats::boat(&numbers);
        check(&drawn.text, &drawn.table)
            .map_err(|faults| TestCaseError::fail(format!("{faults}\n{}", drawn.text)))
    });
    match outcome {
        Ok(()) => {}
        Err(TestError::Fail(faults, _)) => panic!("\n{faults}"),
        Err(TestError::Abort(reason)) => panic!("{reason}"),
    }
}

#[test]
fn boats_that_once_broke_a_law_keep_it_now() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/boats");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    assert!(!files.is_empty());
    let faults: Vec<String> = files
        .iter()
        .filter_map(|file| {
            let text = std::fs::read_to_string(file).unwrap();
            let faults = check(&text, "").err()?;
            Some(format!("{}:\n{faults}", file.display()))
        })
        .collect();
    assert!(faults.is_empty(), "\n{}", faults.join("\n\n"));
}

#[test]
fn feet_stand_and_ridges_are_tied_on_every_preset() {
    let faults: Vec<String> = boat::presets()
        .iter()
        .flat_map(|preset| {
            let boat = preset.boat().unwrap();
            let plan = planned(&boat).unwrap();
            let faults = laws::feet_and_ends(&plan);
            faults
                .into_iter()
                .map(|fault| format!("{}: {fault}", preset.name))
        })
        .collect();
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn a_broken_plan_breaks_the_laws() {
    // The twin that must fail: each law notices when what it guards is spoilt.
    let boat = read(boats::boat(&[0.3; boats::DECISIONS]).text.as_str(), "").unwrap();
    let good = planned(&boat).unwrap();
    assert_eq!(laws::all(&good), laws::Faults::new());
    assert!(!good.frame.posts.is_empty());
    let check = |what: &str, spoil: &dyn Fn(&mut Plan)| {
        let mut plan = good.clone();
        spoil(&mut plan);
        assert!(!laws::all(&plan).is_empty(), "nothing noticed: {what}");
    };
    check("a node of the film lifted by an inch", &|plan| {
        let middle = plan.cover.mesh.vertices.len() / 2;
        plan.cover.mesh.vertices[middle].z += 0.0254;
    });
    check("the whole film lowered by an inch", &|plan| {
        for p in &mut plan.cover.mesh.vertices {
            p.z -= 0.0254;
        }
    });
    check("a slope told wrong", &|plan| plan.cover.slopes[0] += 1e-3);
    check("a load told wrong", &|plan| plan.cover.post_loads[0] += 1.0);
    check("a post off its footing", &|plan| {
        plan.frame.posts[0].base += 0.01
    });
    check("a ridge strap that ends in the air", &|plan| {
        for end in plan.frame.straps.iter_mut().flat_map(|s| &mut s.ends) {
            let legs = end.legs.iter_mut().flat_map(|leg| leg.last_mut());
            for p in legs.chain(end.course.last_mut()) {
                p.z += 0.3;
            }
        }
    });
    check("a base cap larger than what it stands on", &|plan| {
        plan.rules.base_cap_width = 30.0;
    });
    check("a seat in a post", &|plan| {
        let post = &plan.frame.posts[0];
        let top = post.base + 0.2;
        plan.boat.boxes.push(DeckBox {
            bears: None,
            name: "seat".to_owned(),
            kind: BoxKind::Seat,
            from: post.station + 0.03,
            to: post.station + 0.5,
            width: 1.0,
            width_fore: 1.0,
            offset: post.offset,
            base: post.base,
            top,
            top_fore: top,
            rakes: [0.0; 3],
            film_may_rest: false,
            post_may_stand: false,
            film_goes_round: false,
            clearance: None,
        });
    });
    check("a post beside the boat", &|plan| {
        plan.frame.posts[0].offset += 9.0
    });
    check("a cap told too high", &|plan| {
        plan.frame.posts[0].cap += 0.01
    });
    check("a cut told wrong", &|plan| {
        plan.takeoff.posts[0].cut += 0.01
    });
    check("a hole in the hull", &|plan| {
        plan.hull.bodies[0].triangles.pop();
    });
    check("a number lost", &|plan| {
        plan.fittings.band.length = f64::NAN
    });
    check("the ridge lower than the boxes", &|plan| {
        for (_, height) in &mut plan.frame.profile {
            *height -= 1.0;
        }
    });
}
