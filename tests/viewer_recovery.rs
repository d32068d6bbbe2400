//! Unsaved work outlives a process that is killed: a child changes a boat step by step and is killed at odd moments; what
//! it left is a whole boat, and no earlier than the last step that it knew to be on disk.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first thing that is not as it should be"
)]

use bevy::input::InputPlugin;
use bevy::prelude::*;
use hulltent::boat::{Boat, preset, revise};
use hulltent::disk;
use hulltent::units::UnitSystem;
use hulltent::view::{Show, Vantage, ViewRequest};
use hulltent::viewer::files::{Autosave, Desk, FileAct, FilesPlugin};
use hulltent::viewer::hands::Hands;
use hulltent::viewer::history::{Act, History, HistoryPlugin};
use hulltent::viewer::model::{Model, SolveRequest};
use hulltent::viewer::page::Page;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

/// Names the boat file to the child.
const CHILD: &str = "HULLTENT_RECOVERY_CHILD";

/// Times that a child is killed.
const KILLS: u64 = 15;

/// What tells the steps apart, m.
const STEP: f64 = 0.0001;

fn boat(step: u32) -> Boat {
    let mut boat = preset("rowing-dinghy-12").unwrap().boat().unwrap();
    boat.rules.clearance = STEP * f64::from(step);
    // To the number that a file can say.
    revise(&boat).unwrap()
}

fn step_of(boat: &Boat) -> u32 {
    (boat.rules.clearance / STEP).round() as u32
}

fn window(file: &Path) -> App {
    let request = ViewRequest {
        boat: disk::read_file(file)
            .unwrap_or_else(|error| panic!("{error:?}"))
            .boat,
        source: file.display().to_string(),
        file: Some(file.to_owned()),
        units: UnitSystem::FeetInches,
        show: Show::Slope,
        labels: true,
        from: Vantage::Quarter,
        panels: false,
        lesson: None,
        site: None,
        load: None,
        shot: None,
    };
    let mut app = App::new();
    app.add_plugins((MinimalPlugins, InputPlugin, HistoryPlugin))
        .add_plugins(FilesPlugin::of(&request).with_state(None))
        .add_message::<SolveRequest>()
        .init_resource::<Hands>()
        .init_resource::<Page>()
        .insert_resource(History::new(request.boat.clone()))
        .insert_resource(Model::new(request.boat, request.units));
    app.update();
    app
}

/// Not a test by itself: it is run in a process of its own, and killed.
#[test]
fn child() {
    let Some(file) = std::env::var_os(CHILD) else {
        return;
    };
    let mut app = window(Path::new(&file));
    let mut out = std::io::stdout();
    for step in 1.. {
        writeln!(out, "did {step}").unwrap();
        out.flush().unwrap();
        app.world_mut()
            .write_message(Act::change(boat(step), "clearance"));
        for pause in 0..step % 5 {
            app.update();
            std::thread::sleep(Duration::from_micros(300 * u64::from(pause)));
            let world = app.world();
            let kept = world.resource::<Autosave>();
            if kept.is_kept(world.resource::<History>()) && kept.path().is_some() {
                let now = world.resource::<History>().boat().unwrap();
                writeln!(out, "kept {}", step_of(now)).unwrap();
                out.flush().unwrap();
            }
        }
    }
}

#[test]
fn work_outlives_a_killed_process() {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("boat.ron");
    let written = hulltent::boat::write(&boat(0), UnitSystem::FeetInches);
    std::fs::write(&file, &written.text).unwrap();
    for (name, text) in &written.companions {
        std::fs::write(home.path().join(name), text).unwrap();
    }
    let mut latest = 0;
    for kill in 0..KILLS {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["child", "--exact", "--nocapture"])
            .env(CHILD, &file)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let reader = std::thread::spawn(move || {
            let (mut did, mut kept) = (0, 0);
            for line in lines.map_while(Result::ok) {
                // What was being written when it was killed may be cut off.
                match line
                    .split_once(' ')
                    .map(|(word, step)| (word, step.parse()))
                {
                    Some(("did", Ok(step))) => did = did.max(step),
                    Some(("kept", Ok(step))) => kept = kept.max(step),
                    _ => {}
                }
            }
            (did, kept)
        });
        // Spread over starting, the first writing and many later ones.
        std::thread::sleep(Duration::from_millis(60 + kill * kill * 7 % 900));
        child.kill().unwrap();
        child.wait().unwrap();
        let (did, kept): (u32, u32) = reader.join().unwrap();

        let mut app = window(&file);
        let found = &app.world().resource::<Desk>().found;
        assert!(found.len() <= 1, "one child, one file");
        match found.first() {
            None => assert_eq!(kept, 0, "step {kept} was on disk"),
            Some(found) => {
                let step = step_of(&found.boat);
                assert_eq!(*found.boat, boat(step), "a torn boat");
                // The number is cut where its line was: a shorter one is smaller.
                assert!(kept <= step, "kept {kept}, found {step}");
                assert!(step <= did.max(kept) + 1, "did {did}, found {step}");
                latest = latest.max(step);
                app.world_mut().write_message(FileAct::TakeUp);
                app.update();
                let history = app.world().resource::<History>();
                assert_eq!(step_of(history.boat().unwrap()), step);
                assert!(!history.is_saved());
                app.world_mut().write_message(FileAct::Save);
                app.update();
                assert!(app.world().resource::<History>().is_saved());
                let read = disk::read_file(&file).unwrap_or_else(|error| panic!("{error:?}"));
                assert_eq!(read.boat, boat(step));
            }
        }
        drop(app);
        // The boat as it was, for the next child.
        std::fs::write(&file, &written.text).unwrap();
    }
    assert!(
        latest > 3,
        "the children were killed too early to tell anything"
    );
    // Nothing is left but parts that were half written when the process was killed.
    for entry in std::fs::read_dir(home.path()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let part = name.starts_with(".hulltent-part-");
        let own = name == "boat.ron" || written.companions.iter().any(|(other, _)| *other == name);
        assert!(part || own, "{name} was left behind");
    }
}
