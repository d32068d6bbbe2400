//! Where the boat lies on disk, and saving it there without destroying what somebody else wrote.

use crate::boat::{self, Boat, Problem, Problems};
use crate::disk::{self, Fault, Source};
use crate::units::UnitSystem;
use crate::view::ViewRequest;
use bevy::prelude::*;
use std::fs;
use std::path::{Path, PathBuf};

/// The boat's file, as it was when it was last read or written by this window.
#[derive(Resource, Debug, Clone, Default)]
pub struct OnDisk {
    /// The boat file; presets and standard input have none.
    pub file: Option<PathBuf>,
    /// What the boat came from: the file, a preset, standard input.
    pub source: String,
    /// The file's bytes; none where they are not those of the boat that was read.
    seen: Option<Vec<u8>>,
}

impl OnDisk {
    /// Where a boat came from that the command line read.
    pub fn of(request: &ViewRequest) -> OnDisk {
        let source = OnDisk {
            file: request.file.clone(),
            source: request.source.clone(),
            seen: None,
        };
        // What changed since the command line read it counts as changed by somebody else.
        match request.file.as_deref().map(disk::read_file) {
            Some(Ok(read)) if read.boat == request.boat => OnDisk {
                seen: Some(read.text.into_bytes()),
                ..source
            },
            _ => source,
        }
    }

    /// A boat that came from somewhere.
    #[cfg(test)]
    pub fn new(file: Option<PathBuf>, source: &str) -> OnDisk {
        OnDisk {
            file,
            source: source.to_owned(),
            seen: None,
        }
    }

    /// Where a boat came from that was opened.
    pub fn opened(source: &Source) -> OnDisk {
        OnDisk {
            file: source.file.clone(),
            source: source.name.clone(),
            seen: source
                .file
                .as_ref()
                .map(|_| source.text.clone().into_bytes()),
        }
    }

    /// The folder in which the boat's things are kept; that in which the program runs where it has no file.
    pub fn folder(&self) -> PathBuf {
        let folder = self.file.as_deref().and_then(Path::parent);
        match folder {
            Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
            _ => PathBuf::from("."),
        }
    }

    /// The file's name without its ending, or a preset's name, as the first part of other names.
    pub fn stem(&self) -> String {
        let stem = match &self.file {
            Some(file) => file
                .file_stem()
                .map(|stem| stem.to_string_lossy().into_owned()),
            None => None,
        };
        let stem = stem.unwrap_or_else(|| self.source.clone());
        let plain: String = stem
            .chars()
            .map(|c| {
                if c.is_alphanumeric() || "-_.".contains(c) {
                    c
                } else {
                    '-'
                }
            })
            .collect();
        match plain.trim_matches(['-', '.']) {
            "" => "boat".to_owned(),
            plain => plain.to_owned(),
        }
    }

    /// The name on the window and the page.
    pub fn title(&self) -> String {
        match self.file.as_deref().and_then(Path::file_name) {
            Some(name) => name.to_string_lossy().into_owned(),
            None => self.source.clone(),
        }
    }
}

/// What the user has agreed to.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Agreed {
    /// The comments of the file may go.
    pub comments: bool,
    /// Somebody else's change of the file may go.
    pub change: bool,
    /// Another file that has the name may go.
    pub other: bool,
    /// Another table of offsets beside it may go.
    pub table: bool,
}

/// What must be agreed to before a file is overwritten.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Loss {
    /// Its comments are not kept.
    Comments,
    /// It was changed on disk since it was read.
    Change,
    /// It is another file.
    Other,
    /// Another table of offsets of this name lies beside it.
    Table(String),
}

impl Loss {
    /// The question about a file, in words.
    pub fn question(&self, path: &Path) -> String {
        let name = path.file_name().map_or_else(
            || path.display().to_string(),
            |name| name.to_string_lossy().into_owned(),
        );
        match self {
            Loss::Comments => format!(
                "{name} has comments. hulltent writes the whole file anew: comments and the order of its lines are \
                 not kept."
            ),
            Loss::Change => format!(
                "{name} was changed on disk since it was read here. Saving overwrites that change."
            ),
            Loss::Other => format!("There is a file {name} already."),
            Loss::Table(table) => format!(
                "Another table {table} lies beside {name}. Saving overwrites it with this boat's."
            ),
        }
    }

    /// What the button says that agrees.
    pub fn yes(&self) -> &'static str {
        match self {
            Loss::Comments => "save without them",
            Loss::Change | Loss::Other | Loss::Table(_) => "overwrite",
        }
    }

    /// The same agreement with this loss in it.
    pub fn agree(&self, agreed: Agreed) -> Agreed {
        match self {
            Loss::Comments => Agreed {
                comments: true,
                ..agreed
            },
            Loss::Change => Agreed {
                change: true,
                ..agreed
            },
            Loss::Other => Agreed {
                other: true,
                ..agreed
            },
            Loss::Table(_) => Agreed {
                table: true,
                ..agreed
            },
        }
    }
}

/// Why a boat was not saved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unsaved {
    /// It has no file yet.
    NoName,
    /// Something would be lost.
    Loses(Loss),
    /// The machine refused.
    Fault(Fault),
    /// No boat file can say what the boat has become.
    Problems(Vec<Problem>),
}

impl From<Fault> for Unsaved {
    fn from(fault: Fault) -> Unsaved {
        Unsaved::Fault(fault)
    }
}

/// Saves a boat into its file or another, whole or not at all; nothing is overwritten that was not agreed to.
///
/// # Errors
/// See [`Unsaved`].
pub fn save(
    on_disk: &mut OnDisk,
    boat: &Boat,
    units: UnitSystem,
    other: Option<&Path>,
    agreed: Agreed,
) -> Result<PathBuf, Unsaved> {
    let Some(path) = other.or(on_disk.file.as_deref()).map(Path::to_owned) else {
        return Err(Unsaved::NoName);
    };
    if let Err(Problems { list }) = boat::revise(boat) {
        return Err(Unsaved::Problems(list));
    }
    let own = on_disk
        .file
        .as_deref()
        .is_some_and(|file| same_file(file, &path));
    let before = fs::read(&path).ok();
    if let Some(before) = &before {
        if own && on_disk.seen.as_ref() != Some(before) {
            if !agreed.change {
                return Err(Unsaved::Loses(Loss::Change));
            }
        } else if own && !agreed.comments && has_comments(&String::from_utf8_lossy(before)) {
            return Err(Unsaved::Loses(Loss::Comments));
        } else if !own && !agreed.other {
            return Err(Unsaved::Loses(Loss::Other));
        }
    }
    let written = boat::write(boat, units);
    let folder = path.parent().unwrap_or(Path::new("."));
    for (name, text) in &written.companions {
        let beside = folder.join(name);
        match fs::read(&beside) {
            Ok(bytes) if bytes == text.as_bytes() || reads_the_same(boat, &bytes, units) => {
                continue;
            }
            Ok(_) if !agreed.table => return Err(Unsaved::Loses(Loss::Table(name.clone()))),
            _ => disk::write_file(&beside, text.as_bytes())?,
        }
    }
    disk::write_file(&path, written.text.as_bytes())?;
    *on_disk = OnDisk {
        source: path.display().to_string(),
        file: Some(path.clone()),
        seen: Some(written.text.into_bytes()),
    };
    Ok(path)
}

/// Whether a table on disk gives the boat that is being saved: then its own comments stay.
fn reads_the_same(boat: &Boat, table: &[u8], units: UnitSystem) -> bool {
    let Ok(table) = std::str::from_utf8(table) else {
        return false;
    };
    let written = boat::write(boat, units);
    boat::read(&written.text, &|_| Ok(table.to_owned()))
        .is_ok_and(|read| boat::write(&read, units) == written)
}

fn same_file(a: &Path, b: &Path) -> bool {
    match (fs::canonicalize(a), fs::canonicalize(b)) {
        (Ok(a), Ok(b)) => a == b,
        _ => a == b,
    }
}

/// Whether a boat file has comments of its own, beside the line with which hulltent begins what it writes.
pub fn has_comments(text: &str) -> bool {
    let text = text.strip_prefix(boat::HEADING).unwrap_or(text);
    let mut rest = text.chars().peekable();
    let mut quoted = false;
    while let Some(letter) = rest.next() {
        match (letter, quoted) {
            ('\\', true) => {
                rest.next();
            }
            ('"', _) => quoted = !quoted,
            ('/', false) if matches!(rest.peek(), Some('/' | '*')) => return true,
            _ => {}
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;

    const UNITS: UnitSystem = UnitSystem::FeetInches;

    fn runabout() -> Boat {
        preset("open-runabout-18").unwrap().boat().unwrap()
    }

    fn open(path: &Path) -> (OnDisk, Boat) {
        let source = disk::read_file(path).unwrap();
        (OnDisk::opened(&source), source.boat)
    }

    #[test]
    fn a_saved_boat_is_read_back() {
        let home = tempfile::tempdir().unwrap();
        for name in ["open-runabout-18", "rowing-dinghy-12"] {
            let mut boat = preset(name).unwrap().boat().unwrap();
            boat.rules.clearance = 0.3;
            let mut on_disk = OnDisk {
                source: name.to_owned(),
                ..OnDisk::default()
            };
            let none = Agreed::default();
            assert_eq!(
                save(&mut on_disk, &boat, UNITS, None, none),
                Err(Unsaved::NoName)
            );
            let path = home.path().join(format!("{name}.ron"));
            let saved = save(&mut on_disk, &boat, UNITS, Some(&path), none).unwrap();
            assert_eq!(saved, path);
            assert_eq!(open(&path).1, boat);
            // A second time, into its own file, nothing has to be agreed to.
            boat.rules.clearance = 0.4;
            save(&mut on_disk, &boat, UNITS, None, none).unwrap();
            assert_eq!(open(&path).1, boat);
        }
    }

    #[test]
    fn nothing_is_overwritten_unasked() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("boat.ron");
        let text = preset("open-runabout-18").unwrap().text;
        fs::write(&path, text).unwrap();
        let (mut on_disk, mut boat) = open(&path);
        boat.rules.clearance = 0.3;
        let check = |on_disk: &mut OnDisk, other: Option<&Path>, loss: Loss, agreed: Agreed| {
            let before = fs::read(other.unwrap_or(&path)).unwrap();
            let refused = save(on_disk, &boat, UNITS, other, agreed);
            assert_eq!(refused, Err(Unsaved::Loses(loss.clone())));
            assert_eq!(fs::read(other.unwrap_or(&path)).unwrap(), before);
            assert!(!loss.question(&path).is_empty() && !loss.yes().is_empty());
            loss.agree(agreed)
        };
        let agreed = check(&mut on_disk, None, Loss::Comments, Agreed::default());
        // Somebody else changes it meanwhile: agreeing to lose comments is not enough.
        fs::write(&path, text.replace("18 ft", "17 ft")).unwrap();
        let agreed = check(&mut on_disk, None, Loss::Change, agreed);
        let another = home.path().join("another.ron");
        fs::write(&another, "mine").unwrap();
        check(&mut on_disk, Some(&another), Loss::Other, agreed);
        save(&mut on_disk, &boat, UNITS, None, agreed).unwrap();
        assert_eq!(open(&path).1, boat);
        // A file that went away is written again.
        fs::remove_file(&path).unwrap();
        save(&mut on_disk, &boat, UNITS, None, Agreed::default()).unwrap();
        assert_eq!(open(&path).1, boat);
    }

    #[test]
    fn tables_beside_the_file_are_kept_or_asked_about() {
        let home = tempfile::tempdir().unwrap();
        let boat = preset("rowing-dinghy-12").unwrap().boat().unwrap();
        let table = &boat::write(&boat, UNITS).companions[0];
        let path = home.path().join("dinghy.ron");
        let beside = home.path().join(&table.0);
        let commented = format!("# taken off by hand\n{}", table.1);
        fs::write(&beside, &commented).unwrap();
        let mut on_disk = OnDisk::default();
        save(&mut on_disk, &boat, UNITS, Some(&path), Agreed::default()).unwrap();
        assert_eq!(fs::read_to_string(&beside).unwrap(), commented);
        fs::write(&beside, "0, 1, 2\n").unwrap();
        let refused = save(&mut on_disk, &boat, UNITS, None, Agreed::default());
        let loss = Loss::Table(table.0.clone());
        assert_eq!(refused, Err(Unsaved::Loses(loss.clone())));
        let agreed = loss.agree(Agreed::default());
        save(&mut on_disk, &boat, UNITS, None, agreed).unwrap();
        assert_eq!(open(&path).1, boat);
    }

    #[test]
    fn what_no_file_can_say_is_not_saved() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("boat.ron");
        let mut boat = runabout();
        boat.length = -1.0;
        let refused = save(
            &mut OnDisk::default(),
            &boat,
            UNITS,
            Some(&path),
            Agreed::default(),
        );
        assert!(
            matches!(refused, Err(Unsaved::Problems(list)) if list.iter().any(|problem| problem.path == "length"))
        );
        let none = home.path().join("none/boat.ron");
        let refused = save(
            &mut OnDisk::default(),
            &runabout(),
            UNITS,
            Some(&none),
            Agreed::default(),
        );
        assert!(matches!(refused, Err(Unsaved::Fault(fault)) if fault.what.contains("no folder")));
        assert!(!path.exists());
    }

    #[test]
    fn comments_are_told_from_words() {
        for (text, wanted) in [
            ("Boat(name: \"a\")", false),
            ("Boat(name: \"a // b /* c\")", false),
            ("Boat(name: \"a \\\" // b\")", false),
            ("Boat(name: \"a\") // mine", true),
            ("/* mine */ Boat()", true),
            ("Boat(name: \"a\\\\\") // mine", true),
        ] {
            assert_eq!(has_comments(text), wanted, "{text}");
        }
        let text = boat::write(&runabout(), UNITS).text;
        assert!(!has_comments(&text));
        assert!(has_comments(&format!("{text}// mine\n")));
    }

    #[test]
    fn names_are_made_of_files_and_presets() {
        for (file, source, stem, title) in [
            (
                Some("/a/my boat.ron"),
                "/a/my boat.ron",
                "my-boat",
                "my boat.ron",
            ),
            (
                None,
                "open-runabout-18",
                "open-runabout-18",
                "open-runabout-18",
            ),
            (None, "standard input", "standard-input", "standard input"),
            (None, "..", "boat", ".."),
        ] {
            let on_disk = OnDisk {
                file: file.map(PathBuf::from),
                source: source.to_owned(),
                seen: None,
            };
            assert_eq!(on_disk.stem(), stem);
            assert_eq!(on_disk.title(), title);
        }
    }
}
