//! What goes out: a picture of the window, the job sheet, the plan's files, the frame list on the clipboard. All that
//! takes time is made in background tasks.

use super::desk::{Desk, Says};
use super::on_disk::OnDisk;
use crate::disk::{self, Bytes};
use crate::export::{self, ExportError};
use crate::plan::Plan;
use crate::sheet::Paper;
use crate::units::UnitSystem;
use crate::viewer::model::{Model, Quality, Status, Waker};
use crate::viewer::page::Page;
use crate::viewer::shot;
use bevy::prelude::*;
use bevy::render::view::screenshot::{Screenshot, ScreenshotCaptured};
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Something that is to go out.
#[derive(Message, Debug, Clone, PartialEq, Eq)]
pub enum OutAct {
    /// A picture of the window, beside the boat file.
    Picture,
    /// The job sheet in all its formats, into the chosen folder.
    Sheet,
    /// The plan in all its formats, into the chosen folder.
    Plan,
    /// The frame list, to the clipboard.
    FrameList,
}

/// What is being made, and how.
#[derive(Resource, Default)]
pub struct Press {
    /// Folder for sheet and plan; empty for one beside the boat file.
    pub folder: String,
    /// Paper of the sheet.
    pub paper: Paper,
    /// Text for the clipboard, until the panels take it there.
    pub clip: Option<String>,
    /// A picture has been asked for and is not there yet.
    pub exposing: bool,
    jobs: Vec<Task<Says>>,
}

impl Press {
    /// Whether something is being made.
    pub fn busy(&self) -> bool {
        self.exposing || !self.jobs.is_empty()
    }

    /// The folder for sheet and plan.
    pub fn folder(&self, on_disk: &OnDisk) -> PathBuf {
        match self.folder.trim() {
            "" => {
                let name = format!("{}-sheet", on_disk.stem());
                match on_disk.folder() {
                    here if here == Path::new(".") => PathBuf::from(name),
                    folder => folder.join(name),
                }
            }
            folder => PathBuf::from(folder),
        }
    }

    fn start(&mut self, waker: Option<Waker>, work: impl FnOnce() -> Says + Send + 'static) {
        let task = AsyncComputeTaskPool::get().spawn(async move {
            // A fault in a writer must not take the window, and unsaved work, with it.
            let says = catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|_| {
                Says::wrong(
                    "it could not be made: a part of the program gave up",
                    "try `hulltent sheet` on the boat file",
                )
            });
            if let Some(Waker(wake)) = waker {
                wake();
            }
            says
        });
        self.jobs.push(task);
    }
}

/// The plan of the boat as it is, where there is one.
pub fn ready(model: &Model) -> Option<&Arc<Plan>> {
    let fine = model.status == Status::Current && model.quality == Quality::Fine;
    model.plan.as_ref().filter(|_| fine)
}

/// Starts what was asked for.
#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
pub fn work(
    mut asked: MessageReader<OutAct>,
    model: Res<Model>,
    on_disk: Res<OnDisk>,
    waker: Option<Res<Waker>>,
    mut press: ResMut<Press>,
    mut desk: ResMut<Desk>,
    mut page: ResMut<Page>,
    mut commands: Commands,
) {
    for act in asked.read() {
        if *act == OutAct::Picture {
            expose(&mut commands, &on_disk);
            press.exposing = true;
            continue;
        }
        let Some(plan) = ready(&model).cloned() else {
            *page = Page::Files;
            desk.says = Some(Says::wrong(
                "there is no plan of the boat as it is yet",
                "wait until it is planned, or mend what the verdict names",
            ));
            continue;
        };
        let (units, paper, folder) = (model.units, press.paper, press.folder(&on_disk));
        let waker = waker.as_deref().cloned();
        match act {
            OutAct::Picture => {}
            OutAct::Sheet => press.start(waker, move || sheet(&plan, units, paper, &folder)),
            OutAct::Plan => press.start(waker, move || plan_files(&plan, units, &folder)),
            OutAct::FrameList => match export::tabbed(&plan, units) {
                Ok(text) => {
                    let rows = text.lines().count().saturating_sub(1);
                    press.clip = Some(text);
                    desk.says = Some(Says::well(format!(
                        "the frame list is on the clipboard: {rows} rows, as a spreadsheet takes them"
                    )));
                }
                Err(error) => desk.says = Some(unmade(&error)),
            },
        }
    }
}

fn unmade(error: &ExportError) -> Says {
    Says::wrong(error.to_string(), "run `hulltent plan` for the text")
}

fn expose(commands: &mut Commands, on_disk: &OnDisk) {
    let (folder, stem) = (on_disk.folder(), on_disk.stem());
    commands.spawn(Screenshot::primary_window()).observe(
        move |captured: On<ScreenshotCaptured>,
              waker: Option<Res<Waker>>,
              mut press: ResMut<Press>| {
            let (image, folder, stem) = (captured.image.clone(), folder.clone(), stem.clone());
            press.exposing = false;
            press.start(waker.as_deref().cloned(), move || {
                picture(image, &folder, &stem)
            });
        },
    );
}

/// Writes a picture under the first number that is free.
pub fn picture(image: Image, folder: &Path, stem: &str) -> Says {
    let bytes = match shot::png(image) {
        Ok(bytes) => bytes,
        Err(refusal) => return Says::wrong(refusal.what, refusal.hint),
    };
    match disk::write_new(folder, |number| format!("{stem}-{number}.png"), &bytes) {
        Ok(path) => Says::well(format!("wrote the picture {}", shown(&path))),
        Err(fault) => fault.into(),
    }
}

fn shown(path: &Path) -> String {
    path.strip_prefix(".").unwrap_or(path).display().to_string()
}

/// Writes the job sheet in all its formats into a folder.
pub fn sheet(plan: &Plan, units: UnitSystem, paper: Paper, folder: &Path) -> Says {
    let export::FileSet { files, missing } = match export::sheet_files(plan, units, paper) {
        Ok(set) => set,
        Err(error) => return unmade(&error),
    };
    let pages = export::sheet_pages(&files);
    let removed = disk::write_all(folder, &files, &[])
        .and_then(|()| disk::remove_from(folder, export::sheet_page_name, pages + 1));
    match removed {
        Ok(removed) => {
            let mut says = wrote(folder, &files);
            for words in &missing {
                says.words.push_str(&format!("\n{words}"));
            }
            if !removed.is_empty() {
                let names = removed.join(", ");
                says.words
                    .push_str(&format!("\nremoved {names} of an earlier, longer sheet"));
            }
            says
        }
        Err(fault) => fault.into(),
    }
}

/// Writes the plan in all its formats into a folder.
pub fn plan_files(plan: &Plan, units: UnitSystem, folder: &Path) -> Says {
    match export::plan_files(plan, units) {
        Ok(files) => match disk::write_all(folder, &files, &[]) {
            Ok(()) => wrote(folder, &files),
            Err(fault) => fault.into(),
        },
        Err(error) => unmade(&error),
    }
}

fn wrote(folder: &Path, files: &[Bytes]) -> Says {
    let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
    Says::well(format!(
        "wrote into {}: {}",
        shown(folder),
        names.join(", ")
    ))
}

/// Says what became of what is done.
pub fn collect(mut press: ResMut<Press>, mut desk: ResMut<Desk>, mut page: ResMut<Page>) {
    if press.jobs.is_empty() {
        return;
    }
    let mut still = Vec::new();
    for mut task in std::mem::take(&mut press.bypass_change_detection().jobs) {
        match block_on(poll_once(&mut task)) {
            None => still.push(task),
            Some(says) => {
                if says.wrong {
                    *page = Page::Files;
                }
                desk.says = Some(says);
                press.set_changed();
            }
        }
    }
    press.bypass_change_detection().jobs = still;
}
