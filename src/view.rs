//! What the `view` command asks for, as data: the command line makes it, the viewer takes it, and neither
//! knows the other.

use crate::boat::Boat;
use crate::loads::site::Stored;
use crate::loads::{Case, Site};
use crate::units::UnitSystem;
use std::path::PathBuf;

/// A boat to be looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct ViewRequest {
    /// The boat as it was read.
    pub boat: Boat,
    /// What the boat came from, in words: a file, a preset, standard input.
    pub source: String,
    /// Its boat file, where it has one.
    pub file: Option<PathBuf>,
    /// Units of everything that is shown.
    pub units: UnitSystem,
    /// What is shown first.
    pub show: Show,
    /// Posts, straps and pleats are labeled at first.
    pub labels: bool,
    /// Where it is first seen from.
    pub from: Vantage,
    /// A picture shows the window's panels, too.
    pub panels: bool,
    /// A lesson to begin with, by its short name; a picture is then of both its covers after the storm.
    pub lesson: Option<String>,
    /// Where the boat stands, for its loads; `None` where nothing is said about it.
    pub site: Option<Site>,
    /// A load case to begin with; only with a site that [has](has_case) it.
    pub load: Option<Case>,
    /// A picture to write instead of opening a window.
    pub shot: Option<Shot>,
}

/// A load case's word, as the command line takes it.
pub fn case_word(case: Case) -> &'static str {
    match case {
        Case::BalancedSnow => "balanced",
        Case::SnowToPort => "port",
        Case::SnowToStarboard => "starboard",
        Case::RainOnSnow => "rain",
        Case::WindUplift => "wind",
        Case::Road => "road",
    }
}

/// Whether a cover is loaded by a case at a site.
pub fn has_case(site: &Site, case: Case) -> bool {
    match case {
        Case::WindUplift => site.wind.is_some(),
        Case::Road => matches!(site.stored, Stored::Hauled { .. }),
        _ => site.snow.is_some(),
    }
}

/// A picture that is made without a window.
#[derive(Debug, Clone, PartialEq)]
pub struct Shot {
    /// The PNG file to write.
    pub file: PathBuf,
    /// Width and height, pixels.
    pub size: [u32; 2],
    /// Frames to time besides; none where it is 0.
    pub frames: usize,
}

/// Where a boat is seen from.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Vantage {
    /// From ahead.
    Bow,
    /// From astern.
    Stern,
    /// From the port side.
    Port,
    /// From the starboard side.
    Starboard,
    /// From straight above, bow to the right.
    Above,
    /// From ahead to port and above.
    #[default]
    Quarter,
}

impl Vantage {
    /// All of them, in the order of their keys.
    pub const ALL: [Vantage; 6] = [
        Vantage::Bow,
        Vantage::Stern,
        Vantage::Port,
        Vantage::Starboard,
        Vantage::Above,
        Vantage::Quarter,
    ];

    /// Its word, as the command line takes it.
    pub fn word(self) -> &'static str {
        match self {
            Vantage::Bow => "bow",
            Vantage::Stern => "stern",
            Vantage::Port => "port",
            Vantage::Starboard => "starboard",
            Vantage::Above => "above",
            Vantage::Quarter => "quarter",
        }
    }

    /// Another word that the command line takes for it.
    pub fn other_word(self) -> Option<&'static str> {
        (self == Vantage::Port).then_some("side")
    }

    /// The vantage of a word or of its other word.
    pub fn named(word: &str) -> Option<Vantage> {
        Vantage::ALL
            .into_iter()
            .find(|vantage| vantage.word() == word || vantage.other_word() == Some(word))
    }
}

/// What a picture of a cover is about.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Show {
    /// The slope of the film, by color.
    #[default]
    Slope,
    /// The film as it looks, with its pleats.
    Film,
    /// The frame without the film.
    Frame,
}

impl Show {
    /// All of them.
    pub const ALL: [Show; 3] = [Show::Slope, Show::Film, Show::Frame];

    /// Its word, as the command line takes it.
    pub fn word(self) -> &'static str {
        match self {
            Show::Slope => "slope",
            Show::Film => "film",
            Show::Frame => "frame",
        }
    }
}

/// Why a view could not be had, and what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{what}; {hint}")]
pub struct Refusal {
    /// What is in the way, as a sentence without its stop.
    pub what: String,
    /// What to do about it.
    pub hint: String,
}

impl Refusal {
    /// This program was built without the viewer.
    pub fn not_built() -> Refusal {
        Refusal {
            what: "this hulltent was built without its viewer".to_owned(),
            hint: "build it with `cargo install --path . --features viewer`, or run \
                   `cargo run --release --features viewer -- view BOAT`"
                .to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_has_its_vantage() {
        for vantage in Vantage::ALL {
            assert_eq!(Vantage::named(vantage.word()), Some(vantage));
        }
        for (word, wanted) in [("side", Some(Vantage::Port)), ("below", None), ("", None)] {
            assert_eq!(Vantage::named(word), wanted, "{word}");
        }
    }
}
