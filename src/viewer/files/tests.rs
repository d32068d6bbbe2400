//! The systems without a window: keys and messages in, files and the desk out.

use super::*;
use crate::boat::{self, Boat, preset};
use crate::disk;
use crate::export;
use crate::plan::plan;
use crate::sheet::Paper;
use crate::units::UnitSystem;
use crate::view::{Show, Vantage};
use crate::viewer::hands::Hands;
use crate::viewer::history::{Act, HistoryPlugin};
use crate::viewer::model::{Quality, SolveRequest, Status};
use crate::viewer::page::Page;
use bevy::input::keyboard::{Key, KeyboardInput, NativeKey};
use bevy::input::{ButtonState, InputPlugin};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

const UNITS: UnitSystem = UnitSystem::FeetInches;

/// How soon unsaved work must be on disk, s.
const SOON: u64 = 2;

fn request(file: Option<&Path>) -> ViewRequest {
    let (boat, source) = match file {
        Some(path) => (
            disk::read_file(path).unwrap().boat,
            path.display().to_string(),
        ),
        None => (runabout(), "open-runabout-18".to_owned()),
    };
    ViewRequest {
        boat,
        source,
        file: file.map(Path::to_owned),
        units: UNITS,
        show: Show::Slope,
        labels: true,
        from: Vantage::Quarter,
        panels: false,
        lesson: None,
        site: None,
        load: None,
        shot: None,
    }
}

fn runabout() -> Boat {
    preset("open-runabout-18").unwrap().boat().unwrap()
}

/// The boat with one number that tells the steps apart.
fn step(boat: &Boat, number: u32) -> Boat {
    let mut boat = boat.clone();
    boat.rules.clearance = 0.001 * f64::from(number);
    // To the number that a file can say.
    boat::revise(&boat).unwrap()
}

struct Desktop {
    app: App,
    home: tempfile::TempDir,
}

impl Desktop {
    /// A window on a boat file with comments, or on a preset.
    fn new(with_file: bool) -> Desktop {
        let home = tempfile::tempdir().unwrap();
        let file = home.path().join("boat.ron");
        fs::write(&file, preset("open-runabout-18").unwrap().text).unwrap();
        let app = window(home.path(), &request(with_file.then_some(&*file)));
        Desktop { app, home }
    }

    /// The process ends, however it does, and another one begins.
    fn reopen(&mut self, request: &ViewRequest) {
        drop(std::mem::replace(&mut self.app, App::empty()));
        self.app = window(self.home.path(), request);
    }

    fn path(&self, name: &str) -> PathBuf {
        self.home.path().join(name)
    }

    fn desk(&self) -> &Desk {
        self.app.world().resource()
    }

    fn history(&self) -> &History {
        self.app.world().resource()
    }

    fn boat(&self) -> Boat {
        (**self.history().boat().unwrap()).clone()
    }

    fn send(&mut self, act: FileAct) {
        self.app.world_mut().write_message(act);
        self.app.update();
    }

    fn change(&mut self, number: u32) {
        let boat = step(&self.boat(), number);
        self.app
            .world_mut()
            .write_message(Act::change(boat, "clearance"));
        self.app.update();
    }

    fn press(&mut self, keys: &[KeyCode]) {
        for state in [ButtonState::Pressed, ButtonState::Released] {
            for key in keys {
                self.app.world_mut().write_message(KeyboardInput {
                    key_code: *key,
                    logical_key: Key::Unidentified(NativeKey::Unidentified),
                    state,
                    text: None,
                    repeat: false,
                    window: Entity::PLACEHOLDER,
                });
            }
            self.app.update();
        }
    }

    /// Updates until something holds.
    fn until(&mut self, what: &str, holds: impl Fn(&App) -> bool) {
        let end = Instant::now() + Duration::from_secs(60);
        while !holds(&self.app) {
            assert!(Instant::now() < end, "{what}: {:?}", self.desk().says);
            std::thread::sleep(Duration::from_millis(1));
            self.app.update();
        }
    }

    fn settle(&mut self) {
        self.until("kept", |app| {
            let autosave: &Autosave = app.world().resource();
            autosave.is_kept(app.world().resource())
        });
    }

    fn hidden(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.home.path())
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .filter(|name| name.starts_with('.'))
            .collect();
        names.sort();
        names
    }

    fn said(&self) -> String {
        let says = self.desk().says.as_ref().unwrap();
        assert_eq!(says.wrong, !says.hint.is_empty(), "{says:?}");
        says.words.clone()
    }
}

fn window(home: &Path, request: &ViewRequest) -> App {
    let mut app = App::new();
    app.add_plugins((MinimalPlugins, InputPlugin, HistoryPlugin))
        .add_plugins(FilesPlugin::of(request).with_state(Some(home.join("state"))))
        .add_message::<SolveRequest>()
        .init_resource::<Hands>()
        .init_resource::<Page>()
        .insert_resource(History::new(request.boat.clone()))
        .insert_resource(Model::new(request.boat.clone(), request.units));
    app.world_mut().spawn((Window::default(), PrimaryWindow));
    app.update();
    app
}

fn title_of(app: &mut App) -> String {
    let mut windows = app.world_mut().query::<&Window>();
    windows.single(app.world()).unwrap().title.clone()
}

#[test]
fn ctrl_s_saves_after_saying_that_comments_go() {
    let mut desktop = Desktop::new(true);
    let file = desktop.path("boat.ron");
    desktop.change(300);
    assert!(title_of(&mut desktop.app).contains("(boat.ron, changed)"));
    desktop.settle();
    assert_eq!(desktop.hidden(), [".boat.ron.unsaved-1"]);
    desktop.press(&[KeyCode::ControlLeft, KeyCode::KeyS]);
    assert!(matches!(desktop.desk().asks, Some(Question::Loses { .. })));
    assert_eq!(*desktop.app.world().resource::<Page>(), Page::Files);
    assert!(!desktop.history().is_saved());
    desktop.send(FileAct::Yes);
    assert!(desktop.said().starts_with("saved"), "{}", desktop.said());
    assert_eq!(disk::read_file(&file).unwrap().boat, desktop.boat());
    assert!(desktop.history().is_saved());
    assert_eq!(desktop.hidden(), [""; 0]);
    desktop.app.update();
    assert!(title_of(&mut desktop.app).contains("(boat.ron)"));
    // The second time nothing is asked, and undo makes it unsaved again.
    desktop.change(301);
    desktop.press(&[KeyCode::ControlLeft, KeyCode::KeyS]);
    assert_eq!(desktop.desk().asks, None);
    assert_eq!(disk::read_file(&file).unwrap().boat, desktop.boat());
    desktop.app.world_mut().write_message(Act::Undo);
    desktop.app.update();
    assert!(!desktop.history().is_saved());
}

#[test]
fn a_change_by_somebody_else_is_not_overwritten_unasked() {
    let mut desktop = Desktop::new(true);
    let file = desktop.path("boat.ron");
    desktop.change(300);
    let theirs = boat::write(&step(&runabout(), 111), UNITS).text;
    fs::write(&file, &theirs).unwrap();
    desktop.send(FileAct::Save);
    desktop.send(FileAct::Stay);
    assert_eq!(fs::read_to_string(&file).unwrap(), theirs);
    desktop.send(FileAct::Yes);
    assert_eq!(
        fs::read_to_string(&file).unwrap(),
        theirs,
        "asked nothing any more"
    );
    desktop.send(FileAct::Save);
    desktop.send(FileAct::Yes);
    assert_eq!(disk::read_file(&file).unwrap().boat, desktop.boat());
}

#[test]
fn a_preset_asks_for_a_name() {
    let mut desktop = Desktop::new(false);
    desktop.change(300);
    desktop.press(&[KeyCode::ControlLeft, KeyCode::KeyS]);
    assert_eq!(desktop.desk().field, Field::SaveAs);
    assert!(desktop.desk().path.ends_with("open-runabout-18.ron"));
    assert!(desktop.desk().focus);
    desktop.send(FileAct::SaveAs(desktop.path("mine")));
    let file = desktop.path("mine.ron");
    assert_eq!(disk::read_file(&file).unwrap().boat, desktop.boat());
    assert_eq!(desktop.app.world().resource::<OnDisk>().file, Some(file));
    assert!(desktop.history().is_saved());
    // Save as, onto another file, asks.
    desktop.press(&[KeyCode::ControlLeft, KeyCode::ShiftLeft, KeyCode::KeyS]);
    assert_eq!(desktop.desk().field, Field::SaveAs);
    desktop.send(FileAct::SaveAs(desktop.path("boat.ron")));
    assert!(matches!(desktop.desk().asks, Some(Question::Loses { .. })));
}

#[test]
fn another_boat_is_opened_and_unsaved_changes_are_asked_about() {
    let mut desktop = Desktop::new(true);
    let other = desktop.path("other.ron");
    fs::write(&other, preset("cuddy-21").unwrap().text).unwrap();
    let open = FileAct::Open(Which::File(other.clone()));
    desktop.change(300);
    desktop.settle();
    let mine = desktop.boat();
    desktop.send(open.clone());
    assert!(matches!(desktop.desk().asks, Some(Question::Unsaved(_))));
    desktop.send(FileAct::Stay);
    assert_eq!(desktop.boat(), mine);
    desktop.send(open.clone());
    // Save, which loses comments: agreed, and then the other is opened.
    desktop.send(FileAct::Yes);
    desktop.send(FileAct::Yes);
    assert_eq!(desktop.boat().name, "Cuddy 21");
    assert!(desktop.history().is_saved());
    assert_eq!(
        disk::read_file(&desktop.path("boat.ron")).unwrap().boat,
        mine
    );
    desktop.change(302);
    desktop.settle();
    assert_eq!(desktop.hidden(), [".other.ron.unsaved-1"]);
    desktop.send(FileAct::Open(Which::Preset("trawler-36".to_owned())));
    desktop.send(FileAct::Discard);
    assert_eq!(desktop.boat().name, "Trawler 36");
    assert_eq!(desktop.hidden(), [""; 0]);
    assert_eq!(desktop.app.world().resource::<OnDisk>().file, None);
    // An unnamed boat that is saved on the way: it gets its name, then the other is opened.
    desktop.change(303);
    desktop.send(open);
    desktop.send(FileAct::Yes);
    assert_eq!(desktop.desk().field, Field::SaveAs);
    desktop.send(FileAct::SaveAs(desktop.path("trawler.ron")));
    assert_eq!(desktop.boat().name, "Cuddy 21");
    assert!(desktop.path("trawler.ron").is_file());
}

#[test]
fn a_dropped_file_is_opened_and_a_bad_one_leaves_the_boat() {
    let mut desktop = Desktop::new(true);
    let before = desktop.boat();
    let (good, bad) = (desktop.path("good.ron"), desktop.path("bad.ron"));
    fs::write(&good, preset("cuddy-21").unwrap().text).unwrap();
    fs::write(&bad, "Boat(lenght: \"18 ft\", beam: \"7 fot\")").unwrap();
    let drop = |desktop: &mut Desktop, path: &Path| {
        desktop
            .app
            .world_mut()
            .write_message(FileDragAndDrop::DroppedFile {
                window: Entity::PLACEHOLDER,
                path_buf: path.to_owned(),
            });
        desktop.app.update();
    };
    for (path, part) in [
        (bad, "did you mean"),
        (desktop.path("none.ron"), "cannot be read"),
        (desktop.home.path().to_owned(), "is a folder"),
    ] {
        drop(&mut desktop, &path);
        assert!(desktop.said().contains(part), "{}", desktop.said());
        assert_eq!(desktop.boat(), before);
        assert_eq!(*desktop.app.world().resource::<Page>(), Page::Files);
    }
    drop(&mut desktop, &good);
    assert_eq!(desktop.boat().name, "Cuddy 21");
}

#[test]
fn unsaved_work_is_soon_on_disk_and_goes_when_undone() {
    let mut desktop = Desktop::new(true);
    for number in 1..=40 {
        desktop.change(number);
    }
    let start = Instant::now();
    desktop.settle();
    assert!(start.elapsed() < Duration::from_secs(SOON));
    for _ in 0..40 {
        desktop.app.world_mut().write_message(Act::Undo);
        desktop.app.update();
    }
    assert!(desktop.history().is_saved());
    desktop.until("gone", |app| app.world().resource::<Autosave>().is_empty());
    assert_eq!(desktop.hidden(), [""; 0]);
}

#[test]
fn closing_keeps_the_work_and_opening_offers_it() {
    let mut desktop = Desktop::new(true);
    let file = desktop.path("boat.ron");
    let boat = step(&desktop.boat(), 77);
    desktop
        .app
        .world_mut()
        .write_message(Act::change(boat.clone(), "clearance"));
    // In one and the same update.
    desktop.app.world_mut().write_message(AppExit::Success);
    desktop.app.update();
    assert_eq!(desktop.hidden(), [".boat.ron.unsaved-1"]);
    // While the window is there, a second one is neither offered the work nor does it destroy it.
    let mut second = Desktop {
        app: window(desktop.home.path(), &request(Some(&file))),
        home: tempfile::tempdir().unwrap(),
    };
    assert_eq!(second.desk().found.len(), 0);
    second.change(5);
    second.settle();
    assert_eq!(
        desktop.hidden(),
        [".boat.ron.unsaved-1", ".boat.ron.unsaved-2"]
    );
    drop(second);
    desktop.reopen(&request(Some(&file)));
    assert_eq!(desktop.desk().found.len(), 2);
    // The newest first; it is thrown away, the other taken up.
    assert_eq!(*desktop.desk().found[0].boat, step(&runabout(), 5));
    desktop.send(FileAct::ThrowAway);
    desktop.send(FileAct::TakeUp);
    assert_eq!(desktop.boat(), boat);
    assert!(!desktop.history().is_saved());
    desktop.settle();
    desktop.app.update();
    // What was taken up is kept under a name of its own, and nothing else is left.
    assert_eq!(desktop.hidden().len(), 1);
    desktop.app.world_mut().write_message(Act::Undo);
    desktop.app.update();
    assert_eq!(desktop.boat(), runabout());
    desktop.reopen(&request(Some(&file)));
    assert_eq!(desktop.desk().found.len(), 0);
}

#[test]
fn work_on_a_preset_is_kept_where_the_system_keeps_such_things() {
    let mut desktop = Desktop::new(false);
    desktop.change(9);
    desktop.settle();
    let kept = desktop
        .app
        .world()
        .resource::<Autosave>()
        .path()
        .unwrap()
        .to_owned();
    assert_eq!(kept.parent(), Some(&*desktop.path("state")));
    desktop.reopen(&request(None));
    assert_eq!(desktop.desk().found.len(), 1);
    desktop.send(FileAct::ThrowAway);
    assert!(!kept.exists());
}

#[test]
fn what_cannot_be_kept_or_saved_is_said() {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("a/boat.ron");
    fs::create_dir(home.path().join("a")).unwrap();
    fs::write(&file, preset("open-runabout-18").unwrap().text).unwrap();
    let mut app = window(home.path(), &request(Some(&file)));
    app.insert_resource(StateFolder(None));
    let mut desktop = Desktop { app, home };
    fs::remove_dir_all(desktop.path("a")).unwrap();
    // The state folder takes the unsaved work, saving says what is missing.
    desktop.change(3);
    desktop.settle();
    let kept = desktop
        .app
        .world()
        .resource::<Autosave>()
        .path()
        .unwrap()
        .to_owned();
    assert_eq!(kept.parent(), Some(&*desktop.path("state")));
    desktop.send(FileAct::Save);
    assert!(desktop.said().contains("no folder"), "{}", desktop.said());
    assert!(!desktop.history().is_saved());
    // The folder where it is kept goes, too: that is said, and the earlier step is not claimed to be there.
    fs::remove_dir_all(desktop.path("state")).unwrap();
    desktop.change(4);
    desktop.until("said", |app| {
        app.world().resource::<Autosave>().fault.is_some()
    });
    let autosave: &Autosave = desktop.app.world().resource();
    assert!(!autosave.is_kept(desktop.history()));
}

#[test]
fn sheets_and_lists_are_those_of_the_exporters() {
    let mut desktop = Desktop::new(true);
    desktop.press(&[KeyCode::ControlLeft, KeyCode::KeyE]);
    assert!(desktop.said().contains("no plan"), "{}", desktop.said());
    let mut boat = desktop.boat();
    // Coarse: only the bytes are compared.
    (boat.rules.cell, boat.rules.search_cell) = (0.15, 0.15);
    let planned = plan(&boat, &boat.rules).unwrap();
    let model = Model::new(boat, UNITS).planned(planned.clone());
    assert_eq!(
        (&model.status, model.quality),
        (&Status::Current, Quality::Fine)
    );
    desktop.app.insert_resource(model);
    desktop.app.world_mut().resource_mut::<Press>().paper = Paper::A4;
    let folder = desktop.path("boat-sheet");
    let wanted = export::sheet_files(&planned, UNITS, Paper::A4)
        .unwrap()
        .files;
    let name = export::sheet_page_name(export::sheet_pages(&wanted) + 1);
    let stale = folder.join(&name);
    disk::write_all(&folder, &[(name, b"old".to_vec())], &[]).unwrap();
    let idle = |app: &App| !app.world().resource::<Press>().busy();
    desktop.press(&[KeyCode::ControlLeft, KeyCode::KeyE]);
    desktop.until("sheet", idle);
    assert!(desktop.said().contains("removed"), "{}", desktop.said());
    assert!(!stale.exists());
    desktop.app.world_mut().resource_mut::<Press>().folder =
        desktop.path("plan").display().to_string();
    desktop.app.world_mut().write_message(OutAct::Plan);
    desktop.app.update();
    desktop.until("plan", idle);
    let plan_files = export::plan_files(&planned, UNITS).unwrap();
    for (folder, files) in [(folder, wanted), (desktop.path("plan"), plan_files)] {
        // One more lists what was written.
        assert_eq!(fs::read_dir(&folder).unwrap().count(), files.len() + 1);
        for (name, bytes) in files {
            assert!(fs::read(folder.join(&name)).unwrap() == bytes, "{name}");
        }
    }
    // A file where the folder should be.
    desktop.app.world_mut().resource_mut::<Press>().folder =
        desktop.path("boat.ron").display().to_string();
    desktop.app.world_mut().write_message(OutAct::Sheet);
    desktop.app.update();
    desktop.until("refused", idle);
    assert!(
        desktop.said().contains("cannot be written"),
        "{}",
        desktop.said()
    );
    // The list: as many cells in each row as in the headings, the plan's own ids.
    desktop.press(&[KeyCode::ControlLeft, KeyCode::ShiftLeft, KeyCode::KeyC]);
    let clip = desktop
        .app
        .world_mut()
        .resource_mut::<Press>()
        .clip
        .take()
        .unwrap();
    let columns = clip.lines().next().unwrap().split('\t').count();
    assert!(columns > 10);
    assert!(clip.lines().all(|line| line.split('\t').count() == columns));
    for post in &planned.frame.posts {
        let row = clip
            .lines()
            .find(|line| line.split('\t').nth(1) == Some(&*post.id));
        assert!(row.unwrap().contains(&UNITS.format_length(post.station)));
    }
}

#[test]
fn pictures_are_numbered_and_replace_none() {
    use bevy::asset::RenderAssetUsages;
    use bevy::render::render_resource::{Extent3d, TextureDimension, TextureFormat};
    let home = tempfile::tempdir().unwrap();
    let image = || {
        Image::new_fill(
            Extent3d {
                width: 2,
                height: 2,
                depth_or_array_layers: 1,
            },
            TextureDimension::D2,
            &[1, 2, 3, 255],
            TextureFormat::Rgba8UnormSrgb,
            RenderAssetUsages::default(),
        )
    };
    for number in 1..=2 {
        let says = out::picture(image(), home.path(), "boat");
        let name = format!("boat-{number}.png");
        assert!(!says.wrong && says.words.contains(&name), "{says:?}");
        let bytes = fs::read(home.path().join(name)).unwrap();
        assert!(bytes.starts_with(b"\x89PNG"));
    }
    let says = out::picture(image(), &home.path().join("none"), "boat");
    assert!(says.wrong && !says.hint.is_empty(), "{says:?}");
}
