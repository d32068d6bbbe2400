//! Opening and saving: what is asked for, what is asked back, what is said about it.

use super::aside::{Found, Place};
use super::autosave::{Autosave, StateFolder};
use super::on_disk::{Agreed, Loss, OnDisk, Unsaved, save};
use crate::boat::{Preset, Problem, preset};
use crate::disk::{self, Fault, Unread};
use crate::viewer::history::{Act, History};
use crate::viewer::model::Model;
use crate::viewer::page::Page;
use bevy::prelude::*;
use std::path::{Path, PathBuf};

/// Where a boat is opened from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Which {
    /// A boat file.
    File(PathBuf),
    /// A preset, by its name.
    Preset(String),
}

impl Which {
    fn word(&self) -> String {
        match self {
            Which::File(path) => path.display().to_string(),
            Which::Preset(name) => name.clone(),
        }
    }
}

/// Saving, with what is to be done after it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Saving {
    /// Another file than the boat's own.
    pub other: Option<PathBuf>,
    /// What the user has agreed to.
    pub agreed: Agreed,
    /// What is opened once the boat is saved.
    pub then: Option<Which>,
}

/// Something to do with files, from a key, a button or a file that was dropped.
#[derive(Message, Debug, Clone, PartialEq, Eq)]
pub enum FileAct {
    /// Save into the boat's own file, or ask for a name.
    Save,
    /// Ask for a name to save under.
    AskName,
    /// Save into a file.
    SaveAs(PathBuf),
    /// Ask for a boat to open.
    AskBoat,
    /// Open another boat.
    Open(Which),
    /// Yes to the question: save, overwrite.
    Yes,
    /// No to saving: discard the changes.
    Discard,
    /// Leave all as it is.
    Stay,
    /// Take up the unsaved work that was found.
    TakeUp,
    /// Throw it away.
    ThrowAway,
}

/// A question that stands on the page until it is answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Question {
    /// Another boat is to be opened, and this one has unsaved changes.
    Unsaved(Which),
    /// Saving loses something.
    Loses {
        /// What.
        loss: Loss,
        /// Of which file.
        path: PathBuf,
        /// What is done if the user agrees.
        saving: Saving,
    },
}

/// What is said about the last thing that was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Says {
    /// In words, one sentence a line.
    pub words: String,
    /// What to do; empty where nothing is wrong.
    pub hint: String,
    /// Something is wrong.
    pub wrong: bool,
}

impl Says {
    /// It went well.
    pub fn well(words: impl Into<String>) -> Says {
        Says {
            words: words.into(),
            hint: String::new(),
            wrong: false,
        }
    }

    /// It did not.
    pub fn wrong(words: impl Into<String>, hint: impl Into<String>) -> Says {
        Says {
            words: words.into(),
            hint: hint.into(),
            wrong: true,
        }
    }

    /// Problems of a boat, as many as fit on a page.
    pub fn problems(what: &str, list: &[Problem]) -> Says {
        const MOST: usize = 6;
        let mut words = format!("{what}:");
        for problem in list.iter().take(MOST) {
            words.push_str(&format!("\n{problem}"));
        }
        if list.len() > MOST {
            words.push_str(&format!("\nand {} more", list.len() - MOST));
        }
        Says::wrong(words, "mend it; the boat here is as it was")
    }
}

impl From<Fault> for Says {
    fn from(fault: Fault) -> Says {
        Says::wrong(fault.what, fault.hint)
    }
}

/// What the field for a path on the page is for.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Field {
    /// A boat to open.
    #[default]
    Open,
    /// A name to save under.
    SaveAs,
}

/// What lies on the page.
#[derive(Resource, Debug, Default)]
pub struct Desk {
    /// The question that waits for its answer.
    pub asks: Option<Question>,
    /// What became of the last thing that was done.
    pub says: Option<Says>,
    /// Unsaved work that was found, the newest first.
    pub found: Vec<Found>,
    /// What the field for a path is for.
    pub field: Field,
    /// What is written in it.
    pub path: String,
    /// The field wants the keys.
    pub focus: bool,
    /// What is opened once the boat has a name and is saved.
    after: Option<Which>,
}

/// What is done is done to these.
#[derive(bevy::ecs::system::SystemParam)]
pub struct Office<'w> {
    desk: ResMut<'w, Desk>,
    on_disk: ResMut<'w, OnDisk>,
    autosave: ResMut<'w, Autosave>,
    history: ResMut<'w, History>,
    model: Res<'w, Model>,
    state: Res<'w, StateFolder>,
    page: ResMut<'w, Page>,
    acts: MessageWriter<'w, Act>,
}

/// Does what was asked for.
pub fn work(mut asked: MessageReader<FileAct>, mut office: Office) {
    for act in asked.read() {
        office.act(act);
    }
}

/// Looks for unsaved work on the boat that the window opens with.
pub fn look_for_work(mut office: Office) {
    office.look_for_work();
}

impl Office<'_> {
    fn act(&mut self, act: &FileAct) {
        let asked = match act {
            FileAct::TakeUp | FileAct::ThrowAway => None,
            _ => self.desk.asks.take(),
        };
        match act {
            FileAct::Save => self.save(Saving::default()),
            FileAct::AskName => self.ask_name(),
            FileAct::SaveAs(path) => {
                let then = self.desk.after.take();
                self.save(Saving {
                    other: Some(with_ending(path)),
                    then,
                    ..Saving::default()
                });
            }
            FileAct::AskBoat => {
                self.desk.after = None;
                self.show(Field::Open, String::new());
            }
            FileAct::Open(which) => {
                self.desk.after = None;
                if self.history.is_saved() {
                    self.open(which);
                } else {
                    self.ask(Question::Unsaved(which.clone()));
                }
            }
            FileAct::Yes => match asked {
                Some(Question::Unsaved(which)) => self.save(Saving {
                    then: Some(which),
                    ..Saving::default()
                }),
                Some(Question::Loses { loss, saving, .. }) => self.save(Saving {
                    agreed: loss.agree(saving.agreed),
                    ..saving
                }),
                None => {}
            },
            FileAct::Discard => {
                if let Some(Question::Unsaved(which)) = asked {
                    self.open(&which);
                }
            }
            FileAct::Stay => self.desk.after = None,
            FileAct::TakeUp => self.take_up(),
            FileAct::ThrowAway => self.throw_away(),
        }
    }

    fn show(&mut self, field: Field, path: String) {
        *self.page = Page::Files;
        self.desk.field = field;
        self.desk.path = path;
        self.desk.focus = true;
    }

    fn say(&mut self, says: Says) {
        // What is wrong must be seen; what is well is seen by the title.
        if says.wrong {
            *self.page = Page::Files;
        }
        self.desk.says = Some(says);
    }

    fn ask(&mut self, question: Question) {
        *self.page = Page::Files;
        self.desk.says = None;
        self.desk.asks = Some(question);
    }

    fn ask_name(&mut self) {
        let folder = self.on_disk.folder();
        let name = format!("{}.ron", self.on_disk.stem());
        let path = if folder == Path::new(".") {
            PathBuf::from(name)
        } else {
            folder.join(name)
        };
        self.show(Field::SaveAs, path.display().to_string());
    }

    fn save(&mut self, saving: Saving) {
        let Some(boat) = self.history.boat().cloned() else {
            return;
        };
        let serial = self.history.serial();
        let units = self.model.units;
        let other = saving.other.as_deref();
        match save(&mut self.on_disk, &boat, units, other, saving.agreed) {
            Ok(path) => {
                self.history.mark_saved(serial);
                self.autosave
                    .begin(Place::of(&self.on_disk, self.state.0.clone()));
                self.desk.field = Field::Open;
                self.desk.path.clear();
                self.say(Says::well(format!("saved {}", path.display())));
                if let Some(which) = saving.then {
                    self.open(&which);
                }
            }
            Err(Unsaved::NoName) => {
                self.ask_name();
                let then = match &saving.then {
                    Some(which) => format!("; after that open {}", which.word()),
                    None => String::new(),
                };
                self.desk.says = Some(Says::well(format!(
                    "{} has no file yet: give it a name{then}",
                    self.on_disk.title()
                )));
                self.desk.after = saving.then;
            }
            Err(Unsaved::Loses(loss)) => {
                let path = other
                    .or(self.on_disk.file.as_deref())
                    .unwrap_or(Path::new(""))
                    .to_owned();
                self.ask(Question::Loses { loss, path, saving });
            }
            Err(Unsaved::Fault(fault)) => self.say(fault.into()),
            Err(Unsaved::Problems(list)) => {
                self.say(Says::problems("it cannot be saved as it is", &list));
            }
        }
    }

    fn open(&mut self, which: &Which) {
        let read = match which {
            Which::File(path) => disk::read_file(path),
            Which::Preset(name) => match preset(name) {
                Some(preset) => disk::read_preset(preset),
                None => Err(Unread::Fault(Fault {
                    what: format!("there is no preset '{name}'"),
                    hint: "choose one of the list".to_owned(),
                })),
            },
        };
        match read {
            Ok(source) => {
                *self.on_disk = OnDisk::opened(&source);
                self.autosave
                    .begin(Place::of(&self.on_disk, self.state.0.clone()));
                self.desk.path.clear();
                self.say(Says::well(format!("opened {}", source.name)));
                self.acts.write(Act::Open {
                    boat: Box::new(source.boat.clone()),
                });
                self.desk.found = self.left(&source.boat);
            }
            Err(Unread::Fault(fault)) => self.say(fault.into()),
            Err(Unread::Problems { name, list, .. }) => {
                self.say(Says::problems(
                    &format!("{name} is no valid boat file"),
                    &list,
                ));
            }
        }
    }

    fn look_for_work(&mut self) {
        if let Some(boat) = self.history.boat().cloned() {
            self.desk.found = self.left(&boat);
        }
    }

    /// Work that was left behind and is not what the boat already is.
    fn left(&self, boat: &crate::boat::Boat) -> Vec<Found> {
        let left = Place::of(&self.on_disk, self.state.0.clone()).left();
        let (same, other): (Vec<Found>, Vec<Found>) =
            left.into_iter().partition(|found| *found.boat == *boat);
        for found in same {
            // It would be found again, which is no loss.
            let _ = found.held.remove();
        }
        other
    }

    fn take_up(&mut self) {
        if self.desk.found.is_empty() {
            return;
        }
        let found = self.desk.found.remove(0);
        self.acts.write(Act::change(
            (*found.boat).clone(),
            "take up unsaved work again",
        ));
        self.autosave.take_up(found);
        self.desk.says = Some(Says::well(
            "took up the unsaved work; undo goes back to what was saved",
        ));
    }

    fn throw_away(&mut self) {
        if self.desk.found.is_empty() {
            return;
        }
        match self.desk.found.remove(0).held.remove() {
            Ok(()) => self.desk.says = Some(Says::well("threw the unsaved work away")),
            Err(fault) => self.say(fault.into()),
        }
    }
}

/// A boat file's name has an ending.
fn with_ending(path: &Path) -> PathBuf {
    match path.extension() {
        Some(_) => path.to_owned(),
        None => path.with_extension("ron"),
    }
}

/// Reads what was typed into the field: a preset where no file has that name.
pub fn typed(text: &str) -> Option<Which> {
    let text = text.trim();
    if text.is_empty() {
        return None;
    }
    let path = Path::new(text);
    match preset(text) {
        Some(Preset { name, .. }) if !path.is_file() => Some(Which::Preset((*name).to_owned())),
        _ => Some(Which::File(path.to_owned())),
    }
}
