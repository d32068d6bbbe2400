//! The cases that a cover is loaded by.

use crate::boat::Hand;
use serde::Serialize;

/// A case of loading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Case {
    /// Snow over all of the cover.
    BalancedSnow,
    /// Snow drifted to the port side.
    SnowToPort,
    /// Snow drifted to the starboard side.
    SnowToStarboard,
    /// Snow over all of it, with rain or melt in whatever hollows it has made.
    RainOnSnow,
    /// Wind that lifts the film.
    WindUplift,
    /// Still air, at the speed of the road.
    Road,
}

impl Case {
    /// All of them, in the order of lists.
    pub const ALL: [Case; 6] = [
        Case::BalancedSnow,
        Case::SnowToPort,
        Case::SnowToStarboard,
        Case::RainOnSnow,
        Case::WindUplift,
        Case::Road,
    ];

    /// In the trade's words.
    pub fn words(self) -> &'static str {
        match self {
            Case::BalancedSnow => "balanced snow",
            Case::SnowToPort => "snow to port",
            Case::SnowToStarboard => "snow to starboard",
            Case::RainOnSnow => "rain on snow",
            Case::WindUplift => "wind uplift",
            Case::Road => "road",
        }
    }

    /// The side that snow has drifted to.
    pub fn drifted(self) -> Option<Hand> {
        match self {
            Case::SnowToPort => Some(Hand::Port),
            Case::SnowToStarboard => Some(Hand::Starboard),
            _ => None,
        }
    }

    /// Whether it is a case of snow.
    pub fn is_snow(self) -> bool {
        !matches!(self, Case::WindUplift | Case::Road)
    }
}
