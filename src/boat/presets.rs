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
    "rowing-dinghy-12",
    "open-aluminium-14",
    "jon-boat-16",
    "open-runabout-18",
    "rigid-inflatable-19",
    "double-console-20",
    "cuddy-21",
    "tow-boat-22",
    "center-console-24",
    "pontoon-24",
    "pilothouse-25",
    "tritoon-26",
    "express-cruiser-28",
    "sailboat-30-mast-up",
    "sailboat-30-mast-down",
    "trawler-36",
    "catamaran-38",
    "flybridge-40",
];

/// Tables of offsets that presets refer to, by file name.
static TABLES: &[(&str, &str)] = &[(
    "rowing-dinghy-12.csv",
    include_str!("../../hull-presets/rowing-dinghy-12.csv"),
)];

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_preset_reads_and_says_that_it_is_invented() {
        for preset in presets() {
            let boat = preset
                .boat()
                .unwrap_or_else(|problems| panic!("{}: {problems}", preset.name));
            assert!(
                boat.note.starts_with("invented demo boat: "),
                "{}",
                preset.name
            );
        }
    }

    #[test]
    fn names_are_those_of_the_files_and_single() {
        for preset in presets() {
            assert!(!preset.text.is_empty());
            let same = presets().iter().filter(|other| other.name == preset.name);
            assert_eq!(same.count(), 1, "{}", preset.name);
        }
        assert!(preset("open-runabout-18").is_some());
        assert!(preset("no such boat").is_none());
    }
}
