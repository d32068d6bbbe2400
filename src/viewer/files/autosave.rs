//! Keeps unsaved work on disk: after each step, in a background task, newest wins; at once when the window closes.

use super::aside::{Found, Kept, Place, state_folder};
use super::on_disk::OnDisk;
use crate::disk::{Fault, Held};
use crate::viewer::history::History;
use crate::viewer::model::{Model, Waker};
use bevy::app::AppExit;
use bevy::prelude::*;
use bevy::tasks::{IoTaskPool, Task, block_on, poll_once};
use std::path::{Path, PathBuf};

/// Where boats without a file of their own keep unsaved work; none keeps it for such boats nowhere.
#[derive(Resource, Debug, Clone)]
pub struct StateFolder(pub Option<PathBuf>);

impl Default for StateFolder {
    fn default() -> StateFolder {
        StateFolder(Some(state_folder()))
    }
}

/// The unsaved work on disk.
#[derive(Resource, Default)]
pub struct Autosave {
    place: Option<Place>,
    held: Option<Held>,
    /// Serial number of the state that is on disk, where one is.
    written: Option<u64>,
    /// That of the state that was written or tried last.
    tried: Option<u64>,
    running: Option<(u64, Task<Kept>)>,
    /// Work that was taken up again: it goes once what became of it is on disk.
    taken_up: Vec<Found>,
    /// Why it cannot be kept.
    pub fault: Option<Fault>,
}

impl Autosave {
    /// Whether the newest state is on disk, in the boat's file or beside it.
    pub fn is_kept(&self, history: &History) -> bool {
        history.is_saved() || self.written == Some(history.serial())
    }

    /// Where it lies.
    pub fn path(&self) -> Option<&Path> {
        self.held.as_ref().map(Held::path)
    }

    /// Nothing is kept, and nothing is being written.
    pub fn is_empty(&self) -> bool {
        self.held.is_none() && self.running.is_none()
    }

    /// Work that was taken up again is kept on disk until its successor is there.
    pub fn take_up(&mut self, found: Found) {
        self.taken_up.push(found);
    }

    /// Begins with another boat, whose unsaved work has its own place; that of the boat before goes.
    pub fn begin(&mut self, place: Place) {
        self.forget();
        *self = Autosave {
            place: Some(place),
            ..Autosave::default()
        };
    }

    /// Takes away all that was kept: the work is saved, or not wanted.
    pub fn forget(&mut self) {
        self.drop_own();
        for found in std::mem::take(&mut self.taken_up) {
            self.fault = found.held.remove().err().or(self.fault.take());
        }
    }

    /// Takes away what this window wrote.
    fn drop_own(&mut self) {
        self.wait();
        self.written = None;
        self.tried = None;
        self.fault = self.held.take().and_then(|held| held.remove().err());
    }

    fn wait(&mut self) {
        if let Some((serial, task)) = self.running.take() {
            self.arrived(serial, block_on(task));
        }
    }

    fn arrived(&mut self, serial: u64, kept: Kept) {
        self.held = kept.held;
        self.fault = kept.fault;
        self.tried = Some(serial);
        if self.fault.is_none() {
            self.written = Some(serial);
            for found in self.taken_up.drain(..) {
                // It would be offered again, which is a nuisance and no loss.
                let _ = found.held.remove();
            }
        }
    }

    /// Writes the newest state here and now, if it is not on disk yet.
    pub fn finish(&mut self, history: &History, model: &Model) {
        self.wait();
        if self.is_kept(history) {
            return;
        }
        if let (Some(place), Some(boat)) = (&self.place, history.boat()) {
            let bytes = place.bytes(boat, model.units);
            let kept = place.keep(self.held.take(), &bytes);
            self.arrived(history.serial(), kept);
        }
    }
}

/// Sets the place for the boat that the window opens with.
pub fn begin(on_disk: Res<OnDisk>, state: Res<StateFolder>, mut autosave: ResMut<Autosave>) {
    autosave.begin(Place::of(&on_disk, state.0.clone()));
}

/// Collects what was written and starts on the newest state.
pub fn keep(
    history: Res<History>,
    model: Res<Model>,
    waker: Option<Res<Waker>>,
    mut autosave: ResMut<Autosave>,
) {
    // Looking at it does not change it: what depends on changes would never rest.
    if let Some((serial, task)) = &mut autosave.bypass_change_detection().running {
        let serial = *serial;
        let Some(kept) = block_on(poll_once(task)) else {
            return;
        };
        autosave.running = None;
        autosave.arrived(serial, kept);
    }
    if history.is_saved() {
        // Undone back to what is saved: nothing is left to be kept. Work of an earlier day that was taken up and undone
        // stays, until the boat is saved.
        if autosave.held.is_some() {
            autosave.drop_own();
        }
        return;
    }
    // What failed is not tried again until there is something newer: a full disk would be asked for ever.
    if autosave.tried == Some(history.serial()) {
        return;
    }
    let (Some(place), Some(boat)) = (autosave.place.clone(), history.boat().cloned()) else {
        return;
    };
    let (units, held) = (model.units, autosave.held.take());
    let waker = waker.map(|waker| waker.clone());
    let task = IoTaskPool::get().spawn(async move {
        let kept = place.keep(held, &place.bytes(&boat, units));
        if let Some(Waker(wake)) = waker {
            wake();
        }
        kept
    });
    autosave.running = Some((history.serial(), task));
}

/// When the window closes, what is not saved is beside the boat at once.
pub fn finish(
    mut exits: MessageReader<AppExit>,
    history: Res<History>,
    model: Res<Model>,
    mut autosave: ResMut<Autosave>,
) {
    if exits.read().next().is_some() {
        autosave.finish(&history, &model);
    }
}
