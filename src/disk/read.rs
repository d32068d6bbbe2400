//! A boat from a file with what lies beside it, from a preset, from bytes.

use super::Fault;
use crate::boat::{self, Boat, LARGEST_FILE, Preset, Problem};
use std::cell::RefCell;
use std::fs::File;
use std::io::{self, Read};
use std::path::{Component, Path, PathBuf};

/// A boat that was read, with all that it was read from.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// What the input is called in messages.
    pub name: String,
    /// The file that it came from, where it came from one.
    pub file: Option<PathBuf>,
    /// The boat file.
    pub text: String,
    /// Name and text of the files beside it that were read for it.
    pub companions: Vec<(String, String)>,
    /// The boat in it.
    pub boat: Boat,
}

/// Why no boat could be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unread {
    /// The machine refused.
    Fault(Fault),
    /// The file is no valid boat file.
    Problems {
        /// What the input is called.
        name: String,
        /// Its text, where it is text.
        text: Option<String>,
        /// All that is wrong with it.
        list: Vec<Problem>,
    },
}

impl From<Fault> for Unread {
    fn from(fault: Fault) -> Unread {
        Unread::Fault(fault)
    }
}

/// Reads a boat file and the files beside it that it names.
///
/// # Errors
/// There is no such file, it cannot be read, it is too large, or it is not a valid boat file.
pub fn read_file(path: &Path) -> Result<Source, Unread> {
    let name = path.display().to_string();
    if path.is_dir() {
        return Err(Fault::new(
            format!("{name} is a folder, not a boat file"),
            "name the boat file in it",
        )
        .into());
    }
    let unreadable = |error: io::Error| -> Unread { unreadable(&name, &error).into() };
    let file = File::open(path).map_err(unreadable)?;
    let size = file.metadata().map_or(0, |data| data.len());
    if size > LARGEST_FILE as u64 {
        return Err(Unread::Problems {
            name,
            text: None,
            list: vec![Problem {
                path: String::new(),
                place: None,
                what: format!("the file is too large for a boat file: {size} bytes"),
                hint: format!(
                    "a boat file is text of at most {LARGEST_FILE} bytes; check the name"
                ),
            }],
        });
    }
    let bytes = bytes_of(file).map_err(unreadable)?;
    let source = read_bytes(&name, &bytes, folder_of(path))?;
    Ok(Source {
        file: Some(path.to_owned()),
        ..source
    })
}

/// Reads a text file of the kind of boat files: plain UTF-8 of no great size.
///
/// # Errors
/// There is no such file, it cannot be read, it is too large or no text.
pub fn read_text(path: &Path) -> Result<String, Fault> {
    let name = path.display().to_string();
    if path.is_dir() {
        return Err(Fault::new(
            format!("{name} is a folder, not a file"),
            "name the file in it",
        ));
    }
    let bytes = File::open(path)
        .and_then(bytes_of)
        .map_err(|error| unreadable(&name, &error))?;
    if bytes.len() > LARGEST_FILE {
        return Err(Fault::new(
            format!("{name} is larger than {LARGEST_FILE} bytes"),
            "check the name",
        ));
    }
    String::from_utf8(bytes).map_err(|_| {
        Fault::new(
            format!("{name} is not UTF-8 text"),
            "save the file as plain UTF-8 text",
        )
    })
}

/// The folder that a file lies in; the one that the program runs in where its path names none.
pub(super) fn folder_of(path: &Path) -> &Path {
    path.parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .unwrap_or(Path::new("."))
}

/// Reads the boat of a preset.
///
/// # Errors
/// Never for the presets in the program: a test reads them all.
pub fn read_preset(preset: &Preset) -> Result<Source, Unread> {
    match preset.boat() {
        Ok(boat) => Ok(Source {
            name: preset.name.to_owned(),
            file: None,
            text: preset.text.to_owned(),
            companions: Vec::new(),
            boat,
        }),
        Err(problems) => Err(Unread::Problems {
            name: preset.name.to_owned(),
            text: Some(preset.text.to_owned()),
            list: problems.list,
        }),
    }
}

/// Reads the bytes of a boat file that belongs into a folder; files beside it are looked for there. `name` is what
/// the input is called in messages.
///
/// # Errors
/// The bytes are not a valid boat file.
pub fn read_bytes(name: &str, bytes: &[u8], folder: &Path) -> Result<Source, Unread> {
    let companions = RefCell::new(Vec::new());
    let read = boat::read_bytes(bytes, &|companion| {
        let text = beside(folder, companion)?;
        companions
            .borrow_mut()
            .push((companion.to_owned(), text.clone()));
        Ok(text)
    });
    let text = std::str::from_utf8(bytes).ok().map(str::to_owned);
    match read {
        Ok(boat) => Ok(Source {
            name: name.to_owned(),
            file: None,
            text: text.unwrap_or_default(),
            companions: companions.into_inner(),
            boat,
        }),
        Err(problems) => Err(Unread::Problems {
            name: name.to_owned(),
            text,
            list: problems.list,
        }),
    }
}

/// The place of a file that a list in a folder names: in that folder or below it, so that a list from elsewhere cannot
/// reach out. `None` where there is no such file.
///
/// # Errors
/// The name leads out of the folder.
pub fn below(folder: &Path, name: &str) -> Result<Option<PathBuf>, Fault> {
    let outside = || {
        Fault::new(
            format!("'{name}' lies outside of the list's folder"),
            "copy the file beside the list, or into a folder there",
        )
    };
    let parts = Path::new(name).components();
    let mut plain = parts.map(|part| matches!(part, Component::Normal(_) | Component::CurDir));
    if !plain.all(|is_plain| is_plain) {
        return Err(outside());
    }
    let folder = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    let path = folder.join(name);
    if !path.is_file() {
        return Ok(None);
    }
    match (path.canonicalize(), folder.canonicalize()) {
        (Ok(real), Ok(home)) if real.starts_with(&home) => Ok(Some(path)),
        _ => Err(outside()),
    }
}

/// At most one byte more than a boat file may have, so that a larger one is told by its length.
///
/// # Errors
/// The input cannot be read.
pub fn bytes_of(input: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    input
        .take(LARGEST_FILE as u64 + 1)
        .read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn unreadable(name: &str, error: &io::Error) -> Fault {
    Fault::new(
        format!("{name} cannot be read: {error}"),
        "check the name and whether you may read it",
    )
}

/// The text of a file beside the boat file; a boat file from elsewhere cannot reach out of its folder.
fn beside(folder: &Path, name: &str) -> Result<String, String> {
    if Path::new(name).file_name() != Some(name.as_ref()) {
        return Err(format!(
            "'{name}' is not the plain name of a file beside the boat file"
        ));
    }
    let path = folder.join(name);
    if !path.is_file() {
        return Err(format!("there is no file '{name}' beside the boat file"));
    }
    let bytes = File::open(&path)
        .and_then(bytes_of)
        .map_err(|error| format!("'{name}' cannot be read: {error}"))?;
    if bytes.len() > LARGEST_FILE {
        return Err(format!("'{name}' is larger than {LARGEST_FILE} bytes"));
    }
    String::from_utf8(bytes).map_err(|_| format!("'{name}' is not UTF-8 text"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use crate::units::UnitSystem;
    use std::fs;

    #[test]
    fn a_boat_comes_with_what_lies_beside_it() {
        let home = tempfile::tempdir().unwrap();
        let boat = preset("rowing-dinghy-12").unwrap().boat().unwrap();
        let written = boat::write(&boat, UnitSystem::Metric);
        let path = home.path().join("dinghy.ron");
        fs::write(&path, &written.text).unwrap();
        for (name, text) in &written.companions {
            fs::write(home.path().join(name), text).unwrap();
        }
        let source = read_file(&path).unwrap();
        assert_eq!(source.file.as_ref(), Some(&path));
        assert_eq!(source.companions, written.companions);
        assert_eq!(source.text, written.text);
        fs::remove_file(home.path().join(&written.companions[0].0)).unwrap();
        let Err(Unread::Problems { list, .. }) = read_file(&path) else {
            panic!("read without its table");
        };
        assert_eq!(list[0].path, "hull.file");
    }

    #[test]
    fn what_is_no_boat_file_is_said() {
        let home = tempfile::tempdir().unwrap();
        let fault = |path: &Path| match read_file(path) {
            Err(Unread::Fault(fault)) => fault,
            other => panic!("{other:?}"),
        };
        assert!(fault(home.path()).what.contains("is a folder"));
        let none = fault(&home.path().join("none.ron"));
        assert!(none.what.contains("cannot be read") && !none.hint.is_empty());
        let path = home.path().join("bad.ron");
        for (bytes, part) in [
            (&b"\xff\xfe"[..], "UTF-8"),
            (b"Boat(", "end"),
            (&vec![b' '; LARGEST_FILE + 1], "too large"),
        ] {
            fs::write(&path, bytes).unwrap();
            let Err(Unread::Problems { list, .. }) = read_file(&path) else {
                panic!("read {part}");
            };
            let all = list
                .iter()
                .map(|problem| format!("{} {}", problem.what, problem.hint));
            assert!(all.clone().any(|words| words.contains(part)), "{list:?}");
        }
    }
}
