//! Lessons, rivals and the storm without a window: messages go in, time passes.

use super::caption::captions;
use super::class::{Ask, Class, On};
use super::comparison::{Comparison, OfRival, Otherwise};
use super::snowfall::{SPEEDS, Snowfall, Weather};
use super::work::{Pair, Work};
use super::{ClassAndStorm, class};
use crate::boat::{Boat, preset};
use crate::lesson::{Measure, Rival, lessons};
use crate::plan::plan;
use crate::units::UnitSystem;
use crate::view::Vantage;
use crate::viewer::camera::{Orbit, SceneCamera};
use crate::viewer::hands::Hands;
use crate::viewer::history::{Act, History, HistoryPlugin};
use crate::viewer::model::{Model, ModelPlugin, SolveRequest};
use crate::viewer::page::Page;
use crate::viewer::scene::{Lying, MainStage, Stage, YardLight, follow};
use crate::viewer::shown::{Guest, Shown};
use crate::viewer::spawn_scene_camera;
use bevy::ecs::system::RunSystemOnce;
use bevy::input::keyboard::{Key, KeyboardInput, NativeKey};
use bevy::input::{ButtonState, InputPlugin};
use bevy::prelude::*;
use bevy::time::TimeUpdateStrategy;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// Sums in another order.
const ROUNDING: f64 = 1e-9;

fn runabout() -> Boat {
    let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
    boat.rules.coarsen(3.0);
    boat
}

/// A window's teaching without the window, with a frame of so many milliseconds.
fn app(frame: u64) -> App {
    let boat = runabout();
    let planned = plan(&boat, &boat.rules).unwrap();
    let mut app = App::new();
    app.add_plugins((
        MinimalPlugins,
        InputPlugin,
        ModelPlugin,
        HistoryPlugin,
        ClassAndStorm,
    ))
    .init_resource::<Hands>()
    .init_resource::<Page>()
    .insert_resource(History::new(boat.clone()))
    .insert_resource(Orbit::new(Vantage::Bow))
    .insert_resource(Model::new(boat, UnitSystem::default()).planned(planned))
    .insert_resource(TimeUpdateStrategy::ManualDuration(Duration::from_millis(
        frame,
    )))
    .add_systems(Update, follow.after(super::Teaches))
    .add_systems(Startup, |mut commands: Commands| {
        spawn_scene_camera(&mut commands, 0, None);
    });
    app.update();
    app
}

fn ask(app: &mut App, ask: Ask) {
    app.world_mut().write_message(ask);
    app.update();
}

/// Updates until nothing is planned any more.
fn settle(app: &mut App) {
    settle_and_look(app, |_| {});
}

/// The same, with a look after every update.
fn settle_and_look(app: &mut App, look: impl Fn(&App)) {
    let end = Instant::now() + Duration::from_secs(300);
    while !app.world().resource::<Work>().is_idle()
        || app.world().resource::<Class>().coming.is_some()
    {
        app.update();
        look(app);
        assert!(Instant::now() < end, "no plan came");
        std::thread::sleep(Duration::from_millis(2));
    }
    // What was taken is hung up.
    app.update();
    app.update();
}

fn count<T: Component>(app: &mut App) -> usize {
    app.world_mut().query::<&T>().iter(app.world()).count()
}

fn press(app: &mut App, key: KeyCode) {
    for state in [ButtonState::Pressed, ButtonState::Released] {
        app.world_mut().write_message(KeyboardInput {
            key_code: key,
            logical_key: Key::Unidentified(NativeKey::Unidentified),
            state,
            text: None,
            repeat: false,
            window: Entity::PLACEHOLDER,
        });
        app.update();
    }
}

fn shown(app: &mut App) -> Arc<crate::plan::Plan> {
    app.world_mut()
        .run_system_once(|shown: Shown| shown.plan().unwrap().clone())
        .unwrap()
}

#[test]
fn answers_on_the_screen_are_the_librarys() {
    for (index, lesson) in lessons().unwrap().iter().enumerate() {
        let name = &lesson.name;
        let library = lesson.play().unwrap();
        let mut app = app(40 + 30 * index as u64);
        ask(&mut app, Ask::Lesson(name.clone()));
        settle(&mut app);
        // Without a prediction there is nothing to see, and no key starts the storm.
        ask(&mut app, Ask::See);
        press(&mut app, KeyCode::Space);
        app.world_mut().write_message(Weather::ToEnd);
        app.update();
        assert!(!app.world().contains_resource::<Snowfall>(), "{name}");
        assert_eq!(count::<SceneCamera>(&mut app), 1, "{name}");
        ask(&mut app, Ask::Choose(99));
        ask(&mut app, Ask::See);
        assert!(!app.world().contains_resource::<Snowfall>(), "{name}");
        ask(&mut app, Ask::Choose(library.right));
        ask(&mut app, Ask::See);
        // A prediction stands.
        ask(
            &mut app,
            Ask::Choose((library.right + 1) % lesson.choices.len()),
        );
        let class = app.world().resource::<Class>();
        assert_eq!(class.sitting().unwrap().choice, Some(library.right));
        // It runs by itself, faster by the key.
        for _ in 0..index {
            press(&mut app, KeyCode::Period);
        }
        let speed = SPEEDS[index.min(SPEEDS.len() - 1)];
        assert_eq!(app.world().resource::<Snowfall>().speed(), speed, "{name}");
        let mut frames = 0;
        while !app.world().resource::<Snowfall>().is_over() {
            let told = app.world().resource::<Class>().sitting().unwrap().answered;
            assert!(!told, "{name}: the answer before the end");
            app.update();
            frames += 1;
            assert!(frames < 1000, "{name}: it does not end");
        }
        app.update();
        let world = app.world();
        let class = world.resource::<Class>();
        let sitting = class.sitting().unwrap();
        assert!(sitting.answered);
        assert_eq!(sitting.played.right, library.right, "{name}");
        let snowfall = world.resource::<Snowfall>();
        let comparison = world.resource::<Comparison>();
        let measured = [&library.plan_measured, &library.rival_measured];
        let mut held = Vec::new();
        for units in [UnitSystem::FeetInches, UnitSystem::Metric] {
            let captions = captions(comparison, Some(snowfall), None, units);
            for (k, caption) in captions.iter().enumerate() {
                let told = measured[k].get(Measure::SnowHeld);
                let found = snowfall.storms()[k].totals().held;
                assert!(
                    (found - told).abs() <= ROUNDING * told,
                    "{name}: {found} for {told}"
                );
                held.push(found);
                for measure in [Measure::SnowHeld, lesson.measure] {
                    let words = measure.format(measured[k].get(measure), units);
                    let said = caption.storm.iter().any(|line| line.contains(&words));
                    assert!(said, "{name}: {words} not in {caption:?}");
                }
            }
            assert_eq!(
                sitting.played.explanation(units),
                library.explanation(units)
            );
        }
        if name == "low-post" {
            assert!(held[1] > held[0] + 50.0, "{held:?}");
        }
        // What melts fills the same hollows as all at once.
        app.world_mut().write_message(Weather::Thaw);
        for _ in 0..2000 {
            app.update();
        }
        let snowfall = app.world().resource::<Snowfall>();
        assert_eq!(snowfall.melted(), Some(1.0), "{name}");
        for (storm, measured) in snowfall.storms().iter().zip(measured) {
            let totals = storm.totals();
            assert_eq!(totals.held, 0.0, "{name}");
            let told = measured.get(Measure::MeltWater);
            let off = (totals.in_hollows - told).abs();
            assert!(
                off <= ROUNDING * (1.0 + told),
                "{name}: {totals:?} for {told}"
            );
        }
    }
}

#[test]
fn the_storm_ends_alike_at_every_speed() {
    let boat = runabout();
    let first = Arc::new(plan(&boat, &boat.rules).unwrap());
    let changes = Rival::PostsLower.changes(&first);
    let rival = Arc::new(crate::lesson::rival(&first, &changes).unwrap());
    let pair = Pair::new([first, rival]);
    let run = |frame: f64, faster: usize, stops: bool| {
        let mut snowfall = Snowfall::new(&pair, class::SNOWS[1]);
        snowfall.go_on(100.0);
        assert_eq!(snowfall.hours(), 0.0, "it waits to be started");
        snowfall.turn(Weather::RunOrStop);
        for _ in 0..faster {
            snowfall.turn(Weather::Faster);
        }
        for step in 0..100_000 {
            if snowfall.is_over() {
                break;
            }
            if stops && step % 7 == 3 {
                snowfall.turn(Weather::RunOrStop);
                let before = snowfall.hours();
                snowfall.go_on(5.0);
                assert_eq!(snowfall.hours(), before, "stopped");
                snowfall.turn(Weather::RunOrStop);
            }
            snowfall.go_on(frame);
        }
        assert!(snowfall.is_over() && !snowfall.runs());
        assert!((snowfall.hours() - snowfall.end()).abs() < ROUNDING);
        [0, 1].map(|k| {
            let totals = snowfall.storms()[k].totals();
            [totals.fallen, totals.held, totals.slid_off]
        })
    };
    let mut all_at_once = Snowfall::new(&pair, class::SNOWS[1]);
    all_at_once.turn(Weather::ToEnd);
    let wanted = [0, 1].map(|k| {
        let totals = all_at_once.storms()[k].totals();
        [totals.fallen, totals.held, totals.slid_off]
    });
    assert!(wanted[1][1] > wanted[0][1]);
    for (frame, faster, stops) in [
        (0.016, 0, false),
        (0.016, 4, true),
        (0.25, 1, false),
        (0.033, 9, true),
    ] {
        let found = run(frame, faster, stops);
        for (found, wanted) in found.iter().flatten().zip(wanted.iter().flatten()) {
            let off = (found - wanted).abs();
            assert!(
                off <= ROUNDING * wanted,
                "{frame} {faster}: {found} for {wanted}"
            );
        }
    }
    // A second of the lowest speed is an hour; the next one's are two.
    let mut snowfall = Snowfall::new(&pair, class::SNOWS[1]);
    snowfall.turn(Weather::RunOrStop);
    snowfall.go_on(1.0);
    assert!((snowfall.hours() - 1.0).abs() < ROUNDING);
    snowfall.turn(Weather::Faster);
    snowfall.go_on(1.0);
    assert!((snowfall.hours() - 3.0).abs() < ROUNDING);
    snowfall.turn(Weather::Slower);
    snowfall.turn(Weather::Slower);
    assert_eq!(snowfall.speed(), 1);
    snowfall.turn(Weather::Again);
    assert_eq!((snowfall.hours(), snowfall.runs()), (0.0, false));
}

#[test]
fn leaving_a_lesson_brings_the_own_boat_back_untouched() {
    // By the button, by turning to a page where the boat is changed, by opening another boat.
    for way in 0..3 {
        let mut app = app(50);
        let own = app.world().resource::<Model>().plan.clone().unwrap();
        let boat = app.world().resource::<History>().boat().unwrap().clone();
        let orbit = app.world().resource::<Orbit>().clone();
        ask(&mut app, Ask::Lesson("low-post".to_owned()));
        settle(&mut app);
        let lesson = shown(&mut app);
        assert!(!Arc::ptr_eq(&lesson, &own));
        assert!(
            app.world()
                .resource::<Guest>()
                .name
                .contains("The low post")
        );
        ask(&mut app, Ask::Choose(0));
        ask(&mut app, Ask::See);
        app.update();
        app.update();
        // What is done to the boat meanwhile is not done.
        let mut other = (*boat).clone();
        other.length += 1.0;
        app.world_mut().write_message(Act::hold(other.clone()));
        app.world_mut()
            .write_message(Act::change(other.clone(), "length"));
        app.world_mut().write_message(Act::Undo);
        app.update();
        app.update();
        let main = app
            .world_mut()
            .query_filtered::<(&Stage, &Lying), With<MainStage>>()
            .single(app.world())
            .map(|(stage, lying)| (stage.plan.clone(), lying.snow.len()))
            .unwrap();
        assert!(Arc::ptr_eq(&main.0, &lesson));
        assert_eq!(main.1, lesson.cover.mesh.triangles.len());
        assert_eq!(count::<Stage>(&mut app), 2);
        match way {
            0 => ask(&mut app, Ask::Leave),
            1 => *app.world_mut().resource_mut::<Page>() = Page::Frame,
            _ => {
                app.world_mut().write_message(Act::Open {
                    boat: Box::new(other.clone()),
                });
            }
        }
        for _ in 0..4 {
            app.update();
        }
        let world = app.world();
        assert!(matches!(world.resource::<Class>().on, On::Nothing), "{way}");
        assert!(!world.contains_resource::<Guest>());
        assert!(!world.contains_resource::<Comparison>());
        assert!(!world.contains_resource::<Snowfall>());
        if way < 2 {
            assert!(Arc::ptr_eq(
                world.resource::<Model>().plan.as_ref().unwrap(),
                &own
            ));
            assert_eq!(**world.resource::<History>().boat().unwrap(), *boat);
            assert!(world.resource::<History>().undoes().is_none());
            assert_eq!(world.resource::<Orbit>().pose, orbit.pose);
            assert!(Arc::ptr_eq(&shown(&mut app), &own));
        } else {
            assert_eq!(**world.resource::<History>().boat().unwrap(), other);
        }
        assert_eq!(count::<Stage>(&mut app), 1);
        assert_eq!(count::<Lying>(&mut app), 0);
        assert_eq!(count::<SceneCamera>(&mut app), 1);
    }
}

#[test]
fn a_rival_has_a_stage_a_camera_and_a_sun_and_takes_them_with_it() {
    let mut app = app(50);
    let check = |app: &mut App, rivals: usize| {
        assert_eq!(count::<Stage>(app), 1 + rivals);
        assert_eq!(count::<SceneCamera>(app), 1 + rivals);
        assert_eq!(count::<YardLight>(app), rivals);
        assert_eq!(count::<OfRival>(app), 3 * rivals);
    };
    check(&mut app, 0);
    ask(&mut app, Ask::Rival(Rival::PostsLower));
    settle(&mut app);
    check(&mut app, 1);
    // Another rival takes the same stage.
    ask(&mut app, Ask::Rival(Rival::SlackRidge));
    settle(&mut app);
    check(&mut app, 1);
    let rival = app.world().resource::<Comparison>().plans[1].clone();
    let mut cameras = app.world_mut().query::<(&SceneCamera, &Camera)>();
    let mut orders: Vec<_> = cameras
        .iter(app.world())
        .map(|(scene, camera)| (scene.place, camera.order))
        .collect();
    orders.sort_unstable();
    assert_eq!(orders, [(0, 0), (1, 1)]);
    let mut stages = app.world_mut().query_filtered::<&Stage, With<OfRival>>();
    let stage = stages.single(app.world()).unwrap();
    assert!(stage.layer == 1 && Arc::ptr_eq(&stage.plan, &rival));
    ask(&mut app, Ask::Leave);
    app.update();
    check(&mut app, 0);
}

#[test]
fn the_newest_rival_wins_and_follows_the_boat() {
    let mut app = app(50);
    let rivals = [
        Rival::PostsLower,
        Rival::OnePostFewer {
            post: "P1".to_owned(),
        },
        Rival::OnePostFewer {
            post: "P2".to_owned(),
        },
        Rival::SlackRidge,
    ];
    for rival in &rivals {
        ask(&mut app, Ask::Rival(rival.clone()));
    }
    let before = app.world().resource::<Model>().plan.clone().unwrap();
    let newest = Otherwise::Rival(Rival::SlackRidge);
    settle_and_look(&mut app, |app| {
        // None of the others ever stands there.
        let comparison = app.world().get_resource::<Comparison>();
        assert!(comparison.is_none_or(|comparison| comparison.otherwise == newest));
    });
    let comparison = app.world().resource::<Comparison>();
    assert_eq!(comparison.otherwise, Otherwise::Rival(Rival::SlackRidge));
    assert!(Arc::ptr_eq(&comparison.plans[0], &before));
    let tension = before.rules.ridge_tension;
    assert!(comparison.plans[1].rules.ridge_tension < 0.5 * tension);
    // The boat is changed: a rival of its new plan.
    let mut boat = runabout();
    boat.rules.clearance += 0.15;
    let quality = crate::viewer::model::Quality::Fine;
    app.world_mut()
        .write_message(SolveRequest { boat, quality });
    let end = Instant::now() + Duration::from_secs(120);
    loop {
        app.update();
        let plan = app.world().resource::<Model>().plan.clone().unwrap();
        if !Arc::ptr_eq(&plan, &before) {
            break;
        }
        assert!(Instant::now() < end);
        std::thread::sleep(Duration::from_millis(2));
    }
    settle(&mut app);
    let world = app.world();
    let now = world.resource::<Model>().plan.clone().unwrap();
    let comparison = world.resource::<Comparison>();
    assert!(Arc::ptr_eq(&comparison.plans[0], &now));
    assert_eq!(comparison.plans[1].rules.clearance, now.rules.clearance);
    // One that cannot be had says why, and nothing stands beside the plan.
    ask(
        &mut app,
        Ask::Rival(Rival::OnePostFewer {
            post: "P9".to_owned(),
        }),
    );
    settle(&mut app);
    let class = app.world().resource::<Class>();
    assert!(
        class.problems[0].what.contains("P9"),
        "{:?}",
        class.problems
    );
    assert!(!app.world().contains_resource::<Comparison>());
}
