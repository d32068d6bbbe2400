//! Where a boat comes from: a file, a preset, standard input.

use super::report::Failure;
use crate::boat::{Boat, LARGEST_FILE, preset, presets, read_bytes, suggest};
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// A boat that was read, with its text for messages that come later.
pub(super) struct Source {
    /// What the input is called in messages.
    pub name: String,
    /// The boat file.
    pub text: String,
    /// The boat in it.
    pub boat: Boat,
}

/// Reads a boat: `-` is standard input, then comes a file of that name, then a preset.
pub(super) fn read_boat(name: &str) -> Result<Source, Failure> {
    if name == "-" {
        let bytes =
            bytes_of(io::stdin().lock()).map_err(|error| unreadable("standard input", &error))?;
        return parse("standard input", &bytes, Path::new("."));
    }
    let path = Path::new(name);
    if path.is_dir() && preset(name).is_none() {
        return Err(Failure::plain(
            format!("{name} is a folder, not a boat file"),
            "name the boat file in it",
        ));
    }
    if path.is_file() || (path.exists() && !path.is_dir()) {
        let file = File::open(path).map_err(|error| unreadable(name, &error))?;
        let size = file.metadata().map_or(0, |data| data.len());
        if size > LARGEST_FILE as u64 {
            return Err(Failure::of_file(
                name,
                None,
                vec![crate::boat::Problem {
                    path: String::new(),
                    place: None,
                    what: format!("the file is too large for a boat file: {size} bytes"),
                    hint: format!(
                        "a boat file is text of at most {LARGEST_FILE} bytes; check the name"
                    ),
                }],
            ));
        }
        let bytes = bytes_of(file).map_err(|error| unreadable(name, &error))?;
        let folder = path
            .parent()
            .filter(|folder| !folder.as_os_str().is_empty());
        return parse(name, &bytes, folder.unwrap_or(Path::new(".")));
    }
    match preset(name) {
        Some(preset) => {
            let boat = preset.boat().map_err(|problems| {
                Failure::of_file(name, Some(preset.text.to_owned()), problems.list)
            })?;
            Ok(Source {
                name: name.to_owned(),
                text: preset.text.to_owned(),
                boat,
            })
        }
        None => Err(unknown(name)),
    }
}

/// Nothing has that name.
pub(super) fn unknown(name: &str) -> Failure {
    let known = presets().iter().map(|preset| preset.name);
    let hint = match suggest(name, known) {
        Some(near) => format!("did you mean the preset '{near}'?"),
        None => "`hulltent presets` lists the presets; - reads a boat file from standard input"
            .to_owned(),
    };
    Failure::plain(format!("no file and no preset is called '{name}'"), hint)
}

/// At most one byte more than a boat file may have, so that a larger one is told by its length.
fn bytes_of(input: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    input
        .take(LARGEST_FILE as u64 + 1)
        .read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn unreadable(name: &str, error: &io::Error) -> Failure {
    Failure::plain(
        format!("{name} cannot be read: {error}"),
        "check the name and whether you may read it",
    )
}

fn parse(name: &str, bytes: &[u8], folder: &Path) -> Result<Source, Failure> {
    let text = std::str::from_utf8(bytes).ok().map(str::to_owned);
    match read_bytes(bytes, &|table| beside(folder, table)) {
        Ok(boat) => Ok(Source {
            name: name.to_owned(),
            text: text.unwrap_or_default(),
            boat,
        }),
        Err(problems) => Err(Failure::of_file(name, text, problems.list)),
    }
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
