//! The cover under load without a window: what is asked for is weighed and hung, and let go while a hand holds a piece.

use super::burden::{Ask, Burden};
use super::hang::hung;
use super::work::Work;
use super::{HangPlugin, Scales};
use crate::boat::{Boat, preset};
use crate::geom::sample::HeightField;
use crate::loads::site::{SiteOptions, from_options};
use crate::loads::{Case, Site, weigh_at_site};
use crate::plan::{Plan, plan};
use crate::sheet::capacity_sentence;
use crate::units::UnitSystem;
use crate::viewer::hands::Hands;
use crate::viewer::history::{Act, History, HistoryPlugin};
use crate::viewer::model::{Model, ModelPlugin, Quality, Status};
use crate::viewer::page::Page;
use crate::viewer::scene::{MainStage, Stage, follow, strap_points};
use crate::viewer::shown::{Guest, Hanging};
use crate::viewer::trial::chord;
use bevy::input::InputPlugin;
use bevy::prelude::*;
use std::sync::Arc;
use std::time::{Duration, Instant};

mod page;

const UNITS: UnitSystem = UnitSystem::FeetInches;

fn runabout() -> Boat {
    let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
    boat.rules.coarsen(3.0);
    boat
}

fn site(snow: &str) -> Site {
    from_options(&SiteOptions {
        code: Some("asce7-16".to_owned()),
        snow: Some(snow.to_owned()),
        ..SiteOptions::default()
    })
    .unwrap()
}

fn planned() -> Plan {
    let boat = runabout();
    plan(&boat, &boat.rules).unwrap()
}

/// A window's loads without the window.
fn app(site: Option<Site>) -> App {
    let mut app = App::new();
    app.add_plugins((
        MinimalPlugins,
        InputPlugin,
        ModelPlugin,
        HistoryPlugin,
        Scales,
        HangPlugin,
    ))
    .init_resource::<Hands>()
    .init_resource::<Page>()
    .insert_resource(History::new(runabout()))
    .insert_resource(Model::new(runabout(), UNITS).planned(planned()))
    .insert_resource(Burden::new(site, None))
    .add_systems(Update, follow.after(super::hang::hang));
    app.update();
    app
}

fn ask(app: &mut App, ask: Ask) {
    app.world_mut().write_message(ask);
    app.update();
}

/// Updates until nothing is planned or weighed any more.
fn settle(app: &mut App) {
    let end = Instant::now() + Duration::from_secs(300);
    loop {
        app.update();
        let world = app.world();
        let planned = world.resource::<Model>().status == Status::Current;
        if planned && world.resource::<Work>().is_idle() {
            break;
        }
        assert!(Instant::now() < end, "nothing came");
        std::thread::sleep(Duration::from_millis(2));
    }
    app.update();
}

fn staged(app: &mut App) -> Arc<Plan> {
    let mut stages = app.world_mut().query_filtered::<&Stage, With<MainStage>>();
    stages.single(app.world()).unwrap().plan.clone()
}

fn model(app: &App) -> &Model {
    app.world().resource()
}

/// The case whose film is on the stage, with its very nodes; `None` for the taut one. (Without hollows rain changes nothing, so
/// that nodes alone do not tell the case.)
fn drawn(app: &mut App) -> Option<Case> {
    let staged = staged(app);
    let plan = model(app).plan.clone().unwrap();
    if Arc::ptr_eq(&staged, &plan) {
        return None;
    }
    let case = app.world().resource::<Hanging>().case;
    let burden = app.world().resource::<Burden>();
    let loads = burden.loads(&plan).expect("what hangs was weighed");
    let loaded = loads.under(case).expect("a case of the library");
    assert_eq!(loaded.mesh.vertices, staged.cover.mesh.vertices);
    Some(case)
}

#[test]
fn a_chosen_case_is_drawn_in_place_of_the_taut_film() {
    let mut app = app(Some(site("20 psf")));
    settle(&mut app);
    assert_eq!(drawn(&mut app), None, "taut until a case is chosen");
    for case in [Case::BalancedSnow, Case::SnowToPort] {
        ask(&mut app, Ask::Case(Some(case)));
        app.update();
        assert_eq!(drawn(&mut app), Some(case));
        let hanging = app.world().resource::<Hanging>();
        let loaded = hanging.loaded().unwrap();
        assert_eq!(hanging.plan.cover.slopes, loaded.slopes);
        assert!(loaded.max_sag > 0.0);
    }
    // Colored by stress it is the same film.
    ask(&mut app, Ask::Stress(true));
    app.update();
    let tint = app.world().resource::<Hanging>().tint.clone();
    let count = staged(&mut app).cover.mesh.vertices.len();
    assert_eq!(tint.map(|tint| tint.len()), Some(count));
    assert_eq!(drawn(&mut app), Some(Case::SnowToPort));
    // The site has no wind.
    ask(&mut app, Ask::Case(Some(Case::WindUplift)));
    app.update();
    assert_eq!(drawn(&mut app), None);
    // The key goes through all cases and comes back to the taut film.
    let mut seen = Vec::new();
    for _ in 0..5 {
        chord(&mut app, &[], KeyCode::KeyU);
        app.update();
        seen.push(drawn(&mut app));
    }
    let snow = [
        Case::BalancedSnow,
        Case::SnowToPort,
        Case::SnowToStarboard,
        Case::RainOnSnow,
    ];
    assert_eq!(seen[..4], snow.map(Some));
    assert_eq!(seen[4], None);
    // A guest's plan is not the boat's own.
    ask(&mut app, Ask::Case(Some(Case::BalancedSnow)));
    let plan = Arc::new(planned());
    app.insert_resource(Guest {
        plan: plan.clone(),
        name: "another".to_owned(),
    });
    app.update();
    app.update();
    assert!(Arc::ptr_eq(&staged(&mut app), &plan));
    assert!(app.world().get_resource::<Hanging>().is_none());
}

#[test]
fn a_hand_that_holds_a_piece_has_the_taut_film() {
    let mut app = app(Some(site("20 psf")));
    ask(&mut app, Ask::Case(Some(Case::BalancedSnow)));
    settle(&mut app);
    assert_eq!(drawn(&mut app), Some(Case::BalancedSnow));
    let mut boat = runabout();
    boat.rules.clearance += 0.05;
    app.world_mut().write_message(Act::hold(boat));
    app.update();
    settle(&mut app);
    assert_eq!(model(&app).quality, Quality::Held);
    assert_eq!(drawn(&mut app), None, "taut in the hand");
    for _ in 0..20 {
        app.update();
        assert!(
            app.world().resource::<Work>().is_idle(),
            "nothing is weighed"
        );
    }
    app.world_mut().write_message(Act::Release {
        what: "clearance".to_owned(),
    });
    app.update();
    app.update();
    settle(&mut app);
    assert_eq!(model(&app).quality, Quality::Fine);
    assert_eq!(drawn(&mut app), Some(Case::BalancedSnow), "let go");
}

#[test]
fn the_greatest_snow_is_looked_for_while_its_page_is_open() {
    let mut app = app(None);
    chord(&mut app, &[], KeyCode::KeyU);
    assert_eq!(*app.world().resource::<Page>(), Page::Loads, "no site yet");
    app.insert_resource(Page::None);
    ask(&mut app, Ask::Site(Box::new(site("20 psf"))));
    settle(&mut app);
    assert_eq!(drawn(&mut app), Some(Case::BalancedSnow), "shown at once");
    let capacity = |app: &App| {
        let plan = model(app).plan.clone().unwrap();
        let burden = app.world().resource::<Burden>();
        burden.of(&plan).unwrap().capacity.clone()
    };
    assert_eq!(capacity(&app), None);
    let before = staged(&mut app);
    app.insert_resource(Page::Loads);
    settle(&mut app);
    let found = capacity(&app).expect("looked for").expect("there is snow");
    assert!(found.ground > 0.0);
    assert!(
        Arc::ptr_eq(&before, &staged(&mut app)),
        "the scene stays as it is"
    );
    // Another site: what was weighed for the old one is forgotten.
    ask(&mut app, Ask::Site(Box::new(site("30 psf"))));
    let plan = model(&app).plan.clone().unwrap();
    assert!(app.world().resource::<Burden>().of(&plan).is_none());
    settle(&mut app);
    let told = page::text(&app);
    let burden = app.world().resource::<Burden>();
    let found = burden.of(&plan).unwrap().capacity.clone().unwrap().unwrap();
    assert!(told.contains(&capacity_sentence(&found, UNITS)));
}

#[test]
fn what_is_on_the_film_hangs_with_it() {
    let plan = planned();
    let loads = weigh_at_site(&plan.stage(), &site("20 psf"));
    let loaded = loads.under(Case::BalancedSnow).unwrap();
    let hung = hung(&plan, loaded);
    let [taut, film] = [&plan, &hung].map(|plan| HeightField::new(&plan.cover.mesh));
    // The edge is held.
    for node in &plan.cover.edge {
        let node = *node as usize;
        let moved = hung.cover.mesh.vertices[node] - plan.cover.mesh.vertices[node];
        assert!(moved.norm() < 1e-6, "{moved}");
    }
    // Straps go by the loaded film's nodes, and some hang lower.
    let mut lowered = 0.0f64;
    for strap in 0..plan.frame.straps.len() {
        let [before, after] = [&plan, &hung].map(|plan| strap_points(plan, strap));
        for p in &after {
            assert!(loaded.mesh.vertices.contains(p));
        }
        let down = before.iter().zip(&after).map(|(a, b)| a.z - b.z);
        lowered = down.fold(lowered, f64::max);
    }
    assert!(lowered > 0.0 && lowered <= loaded.max_sag, "{lowered}");
    // Vents and pleats are as high over the film as they were.
    let over = |field: &HeightField, p: &nalgebra::Point3<f64>| Some(p.z - field.at(p.xy())?);
    let vents = plan.fittings.vents.iter().zip(&hung.fittings.vents);
    let vents = vents.map(|(a, b)| (a.at, b.at));
    let pleats = plan.film.pleats.iter().zip(&hung.film.pleats);
    let pleats = pleats.flat_map(|(a, b)| a.line.iter().copied().zip(b.line.iter().copied()));
    let mut followed = 0;
    for (before, after) in vents.chain(pleats) {
        assert_eq!(before.xy(), after.xy());
        if let (Some(a), Some(b)) = (over(&taut, &before), over(&film, &after)) {
            assert!((a - b).abs() < 1e-9, "{a} {b}");
            followed += 1;
        }
    }
    assert!(followed > 0);
    // The flattest film is where its slope is.
    let at = hung.cover.least_slope_at;
    assert!((film.at(at.xy()).unwrap() - at.z).abs() < 1e-9);
    assert_eq!(hung.cover.least_slope, loaded.least_slope);
}
