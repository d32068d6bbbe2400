//! Where a boat comes from: a file, a preset, standard input.

use super::report::Failure;
use crate::boat::{preset, presets, suggest};
use crate::disk::{self, Source};
use std::io;
use std::path::Path;

/// Reads a boat: `-` is standard input, then comes a file of that name, then a preset.
pub(super) fn read_boat(name: &str) -> Result<Source, Failure> {
    if name == "-" {
        let name = "standard input";
        let bytes = disk::bytes_of(io::stdin().lock()).map_err(|error| {
            Failure::plain(
                format!("{name} cannot be read: {error}"),
                "check what is piped into it",
            )
        })?;
        return Ok(disk::read_bytes(name, &bytes, Path::new("."))?);
    }
    let path = Path::new(name);
    let preset = preset(name);
    // A preset comes before a folder of its name, and after a file.
    if path.exists() && (preset.is_none() || !path.is_dir()) {
        return Ok(disk::read_file(path)?);
    }
    match preset {
        Some(preset) => Ok(disk::read_preset(preset)?),
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
