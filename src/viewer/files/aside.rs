//! Work that is not saved yet, written beside the boat file as it is done and offered back after a crash.
//!
//! The file is called `.NAME.unsaved-1` (the next free number where another window works on the same boat) and lies
//! beside the boat file; for presets, standard input and folders that cannot be written it lies in the folder that the
//! system keeps for such things. It is a boat file itself: what it belongs to, and the table of offsets, stand in
//! comments. See [`crate::disk::Held`] for why two windows cannot destroy each other's.

use super::on_disk::OnDisk;
use crate::boat::{self, Boat};
use crate::disk::{self, Held};
use crate::units::UnitSystem;
use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// What the unsaved work belongs to and where it may lie.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The boat file, or the name of what the boat came from.
    of: String,
    /// What the name of the file begins with.
    prefix: String,
    /// The folder of the boat file: there it lies if it can.
    beside: Option<PathBuf>,
    /// The folder that the system keeps for such things; it is made where it is not there yet.
    state: Option<PathBuf>,
}

/// Begins the line that says what the work belongs to.
const OF: &str = "// Unsaved work, kept by hulltent in case it is stopped, on: ";
/// Begins the line that names a file beside the boat file.
const BESIDE: &str = "// Beside it lies: ";
/// Begins each line of such a file.
const LINE: &str = "//| ";

impl Place {
    /// Where unsaved work on a boat is kept. `state` is the folder for boats without a file of their own.
    pub fn of(on_disk: &OnDisk, state: Option<PathBuf>) -> Place {
        let name = match on_disk.file.as_deref().and_then(Path::file_name) {
            Some(name) => name.to_string_lossy().into_owned(),
            None => on_disk.stem(),
        };
        let of = match &on_disk.file {
            Some(file) => fs::canonicalize(file)
                .unwrap_or_else(|_| file.clone())
                .display()
                .to_string(),
            None => on_disk.source.clone(),
        };
        Place {
            of: of.replace(['\n', '\r'], " "),
            prefix: format!(".{name}.unsaved-"),
            beside: on_disk.file.as_ref().map(|_| on_disk.folder()),
            state,
        }
    }

    /// The bytes of the file for a boat.
    pub fn bytes(&self, boat: &Boat, units: UnitSystem) -> Vec<u8> {
        let written = boat::write(boat, units);
        let mut text = format!("{OF}{}\n{}", self.of, written.text);
        for (name, companion) in &written.companions {
            text.push_str(&format!("{BESIDE}{name}\n"));
            for line in companion.lines() {
                text.push_str(&format!("{LINE}{line}\n"));
            }
        }
        text.into_bytes()
    }

    /// Folders for it, the best first.
    fn folders(&self) -> impl Iterator<Item = &PathBuf> {
        self.beside.iter().chain(&self.state)
    }

    /// Writes a boat in place of what is held, or into a new file. What is held stays where it cannot be replaced: an
    /// earlier step is better than none.
    pub fn keep(&self, held: Option<Held>, bytes: &[u8]) -> Kept {
        if let Some(mut held) = held {
            let fault = held.replace(bytes).err();
            return Kept {
                held: Some(held),
                fault,
            };
        }
        let mut refused = None;
        for folder in self.folders() {
            if self.state.as_ref() == Some(folder) {
                // Where it cannot be made, writing into it says so.
                let _ = fs::create_dir_all(folder);
            }
            match Held::create(folder, |number| format!("{}{number}", self.prefix), bytes) {
                Ok(held) => {
                    return Kept {
                        held: Some(held),
                        fault: None,
                    };
                }
                Err(fault) => refused = Some(fault),
            }
        }
        let nowhere = || disk::Fault {
            what: "there is no folder for unsaved work".to_owned(),
            hint: "save the boat under a name".to_owned(),
        };
        Kept {
            held: None,
            fault: Some(refused.unwrap_or_else(nowhere)),
        }
    }

    /// What was left behind of work on this boat, the newest first. What is no work on it stays where it is.
    pub fn left(&self) -> Vec<Found> {
        self.folders()
            .flat_map(|folder| disk::left_behind(folder, &self.prefix))
            .filter_map(|left| {
                let text = String::from_utf8(left.bytes).ok()?;
                let boat = read(&text, &self.of)?;
                Some(Found {
                    held: left.held,
                    boat: Box::new(boat),
                    when: left.when,
                })
            })
            .collect()
    }
}

/// What became of unsaved work that was to be written.
#[derive(Debug)]
pub struct Kept {
    /// The file, where there is one.
    pub held: Option<Held>,
    /// Why the work is not in it.
    pub fault: Option<disk::Fault>,
}

/// Unsaved work that was left behind; nobody else is offered it meanwhile.
#[derive(Debug)]
pub struct Found {
    /// Its file.
    pub held: Held,
    /// The boat as it was at the last step.
    pub boat: Box<Boat>,
    /// When it was written.
    pub when: SystemTime,
}

impl Found {
    /// How long ago it was written, in words.
    pub fn age(&self) -> String {
        let seconds = self.when.elapsed().map_or(0, |age| age.as_secs());
        let (number, noun) = match seconds {
            0..60 => return "less than a minute ago".to_owned(),
            60..3600 => (seconds / 60, "minute"),
            3600..86_400 => (seconds / 3600, "hour"),
            _ => (seconds / 86_400, "day"),
        };
        let plural = if number == 1 { "" } else { "s" };
        format!("{number} {noun}{plural} ago")
    }
}

/// The boat of a file of unsaved work, where it belongs to the right thing.
fn read(text: &str, of: &str) -> Option<Boat> {
    let (first, rest) = text.split_once('\n')?;
    if first.strip_prefix(OF)? != of {
        return None;
    }
    let mut companions: Vec<(&str, String)> = Vec::new();
    for line in rest.lines() {
        if let Some(name) = line.strip_prefix(BESIDE) {
            companions.push((name, String::new()));
        } else if let (Some(line), Some((_, text))) =
            (line.strip_prefix(LINE), companions.last_mut())
        {
            text.push_str(line);
            text.push('\n');
        }
    }
    boat::read(rest, &|wanted| {
        companions
            .iter()
            .find(|(name, _)| *name == wanted)
            .map(|(_, text)| text.clone())
            .ok_or_else(|| format!("no '{wanted}'"))
    })
    .ok()
}

/// The folder that the system keeps for what programs remember of a user: XDG_STATE_HOME, else its default under the
/// home folder (XDG Base Directory Specification, from memory); on Windows LOCALAPPDATA; else the one for temporary
/// files.
pub fn state_folder() -> PathBuf {
    let set = |name: &str| {
        env::var_os(name)
            .map(PathBuf::from)
            .filter(|folder| folder.is_absolute())
    };
    set("XDG_STATE_HOME")
        .or_else(|| set("LOCALAPPDATA"))
        .or_else(|| set("HOME").map(|home| home.join(".local/state")))
        .unwrap_or_else(env::temp_dir)
        .join("hulltent")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;

    fn boat(name: &str) -> Boat {
        preset(name).unwrap().boat().unwrap()
    }

    #[test]
    fn work_left_behind_is_found_again_by_what_it_belongs_to() {
        let home = tempfile::tempdir().unwrap();
        let state = home.path().join("state");
        let file = home.path().join("boat.ron");
        fs::write(&file, "").unwrap();
        for (on_disk, folder) in [
            (OnDisk::new(Some(file.clone()), "boat.ron"), home.path()),
            (OnDisk::new(None, "rowing-dinghy-12"), &*state),
            (OnDisk::new(None, "standard input"), &*state),
        ] {
            for name in ["open-runabout-18", "rowing-dinghy-12"] {
                let place = Place::of(&on_disk, Some(state.clone()));
                let bytes = place.bytes(&boat(name), UnitSystem::FeetInches);
                let held = place.keep(None, &bytes).held.unwrap();
                assert_eq!(held.path().parent(), Some(folder));
                // Another window on the same boat has its own, and is not offered this one.
                let other = place.keep(None, &bytes).held.unwrap();
                assert_ne!(other.path(), held.path());
                assert_eq!(place.left().len(), 0);
                other.remove().unwrap();
                drop(place.keep(Some(held), &bytes));
                let found = place.left();
                assert_eq!(found.len(), 1);
                assert_eq!(*found[0].boat, boat(name));
                assert_eq!(found[0].age(), "less than a minute ago");
                for found in found {
                    found.held.remove().unwrap();
                }
            }
        }
    }

    #[test]
    fn a_folder_that_cannot_be_written_gives_way_to_the_systems() {
        let home = tempfile::tempdir().unwrap();
        let state = home.path().join("a/state");
        let gone = OnDisk::new(Some(home.path().join("none/boat.ron")), "boat.ron");
        let place = Place::of(&gone, Some(state.clone()));
        let bytes = place.bytes(&boat("open-runabout-18"), UnitSystem::Metric);
        let held = place.keep(None, &bytes).held.unwrap();
        assert_eq!(held.path().parent(), Some(&*state));
        drop(held);
        assert_eq!(place.left().len(), 1);
        // The same name in another folder is another boat.
        let other = OnDisk::new(Some(home.path().join("other/boat.ron")), "boat.ron");
        assert_eq!(Place::of(&other, Some(state)).left().len(), 0);
        let fault = Place::of(&gone, None).keep(None, &bytes).fault.unwrap();
        assert!(!fault.what.is_empty() && !fault.hint.is_empty());
    }

    #[test]
    fn what_is_no_unsaved_work_is_not_offered() {
        let text = |of: &str| {
            let boat = boat("open-runabout-18");
            format!("{OF}{of}\n{}", boat::write(&boat, UnitSystem::Metric).text)
        };
        assert!(read(&text("here"), "here").is_some());
        let whole = text("here");
        for broken in [
            text("there"),
            String::new(),
            whole.replace(OF, "// "),
            whole[..whole.len() / 2].to_owned(),
        ] {
            assert!(read(&broken, "here").is_none());
        }
    }
}
