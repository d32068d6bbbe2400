//! The invented boats that come with hulltent, embedded in the program.

use super::{Boat, Problems, read};

/// An invented boat.
#[derive(Debug, Clone, Copy)]
pub struct Preset {
    /// Name on the command line.
    pub name: &'static str,
    /// Its boat file.
    pub text: &'static str,
}

macro_rules! preset_files {
    ($($name:literal),* $(,)?) => {
        &[$(Preset {
            name: $name,
            text: include_str!(concat!("../../hull-presets/", $name, ".ron")),
        }),*]
    };
}

static PRESETS: &[Preset] = preset_files![
    "open-runabout-18",
];

/// Tables of offsets that presets refer to, by file name.
static TABLES: &[(&str, &str)] = &[];

impl Preset {
    /// The validated boat.
    ///
    /// # Errors
    /// Never for the presets in the program: a test reads them all.
    pub fn boat(&self) -> Result<Boat, Problems> {
        read(self.text, &|name| {
            TABLES
                .iter()
                .find(|(table, _)| *table == name)
                .map(|(_, text)| (*text).to_owned())
                .ok_or_else(|| format!("no table '{name}'"))
        })
    }
}

/// All presets, in the order in which they are listed.
pub fn presets() -> &'static [Preset] {
    PRESETS
}

/// The preset of a name.
pub fn preset(name: &str) -> Option<&'static Preset> {
    PRESETS.iter().find(|preset| preset.name == name)
}
