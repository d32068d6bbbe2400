//! Files: opening, saving, what is kept of unsaved work, and what goes out.
//!
//! | key | does |
//! | --- | --- |
//! | Ctrl S | saves into the boat's file; asks for a name where it has none |
//! | Ctrl Shift S | saves under another name |
//! | Ctrl O | opens a boat; a file dropped on the window is opened too |
//! | Ctrl P | writes a picture of the window |
//! | Ctrl E | writes the job sheet |
//! | Ctrl Shift C | copies the frame list |
//!
//! Systems answer the messages [`FileAct`] and [`OutAct`] and leave what they have to say on the [`Desk`];
//! [`FilesPagePlugin`] draws it.

mod aside;
mod autosave;
mod desk;
mod listing;
mod on_disk;
mod out;
mod panel;

#[cfg(test)]
mod tests;

pub use autosave::{Autosave, StateFolder};
pub use desk::{Desk, Field, FileAct, Question, Says, Which};
pub use on_disk::OnDisk;
pub use out::{OutAct, Press};
pub use panel::FilesPagePlugin;

use super::history::{Acts, History};
use super::model::Model;
use crate::view::ViewRequest;
use crate::viewer::hands::{control, shift};
use bevy::prelude::*;
use bevy::window::{FileDragAndDrop, PrimaryWindow};

/// Does what is asked for; draws nothing.
pub struct FilesPlugin {
    on_disk: OnDisk,
    state: StateFolder,
}

impl FilesPlugin {
    /// For the boat that a window opens with.
    pub fn of(request: &ViewRequest) -> FilesPlugin {
        FilesPlugin {
            on_disk: OnDisk::of(request),
            state: StateFolder::default(),
        }
    }

    /// The same, with another folder for unsaved work on boats without a file, or none.
    pub fn with_state(self, folder: Option<std::path::PathBuf>) -> FilesPlugin {
        FilesPlugin {
            state: StateFolder(folder),
            ..self
        }
    }
}

impl Plugin for FilesPlugin {
    fn build(&self, app: &mut App) {
        app.insert_resource(self.on_disk.clone())
            .insert_resource(self.state.clone())
            .init_resource::<Autosave>()
            .init_resource::<Desk>()
            .init_resource::<Press>()
            .add_message::<FileAct>()
            .add_message::<OutAct>()
            .add_message::<FileDragAndDrop>()
            .add_systems(Startup, (autosave::begin, desk::look_for_work).chain())
            .add_systems(
                Update,
                (keys, dropped, desk::work, out::work, out::collect)
                    .chain()
                    .before(Acts),
            )
            .add_systems(Update, (autosave::keep, title).after(Acts))
            .add_systems(Last, autosave::finish);
    }
}

fn keys(
    keys: Res<ButtonInput<KeyCode>>,
    mut files: MessageWriter<FileAct>,
    mut out: MessageWriter<OutAct>,
) {
    if !control(&keys) {
        return;
    }
    let shifted = shift(&keys);
    for (key, shift, act) in [
        (KeyCode::KeyS, false, FileAct::Save),
        (KeyCode::KeyS, true, FileAct::AskName),
        (KeyCode::KeyO, false, FileAct::AskBoat),
    ] {
        if keys.just_pressed(key) && shifted == shift {
            files.write(act);
        }
    }
    for (key, shift, act) in [
        (KeyCode::KeyP, false, OutAct::Picture),
        (KeyCode::KeyE, false, OutAct::Sheet),
        (KeyCode::KeyC, true, OutAct::FrameList),
    ] {
        if keys.just_pressed(key) && shifted == shift {
            out.write(act);
        }
    }
}

/// A file that is dropped on the window is opened.
fn dropped(mut drops: MessageReader<FileDragAndDrop>, mut files: MessageWriter<FileAct>) {
    for drop in drops.read() {
        if let FileDragAndDrop::DroppedFile { path_buf, .. } = drop {
            files.write(FileAct::Open(Which::File(path_buf.clone())));
        }
    }
}

/// The window's title: the boat, its file, and whether it is saved.
fn title(
    history: Res<History>,
    on_disk: Res<OnDisk>,
    model: Res<Model>,
    mut windows: Query<&mut Window, With<PrimaryWindow>>,
) {
    let changed = if history.is_saved() { "" } else { ", changed" };
    let title = format!(
        "{} ({}{changed}) - hulltent",
        model.boat.name,
        on_disk.title()
    );
    for mut window in &mut windows {
        if window.title != title {
            window.title.clone_from(&title);
        }
    }
}
