//! Ends and sides of a boat.

use serde::Serialize;

/// Which end of the boat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum End {
    /// Toward the transom.
    Aft,
    /// Toward the bow.
    Fore,
}

/// Port or starboard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Hand {
    /// Left, looking forward: positive offsets.
    Port,
    /// Right: negative offsets.
    Starboard,
}

impl Hand {
    /// Both sides, port first.
    pub const BOTH: [Hand; 2] = [Hand::Port, Hand::Starboard];

    /// Sign of its offsets.
    pub fn sign(self) -> f64 {
        match self {
            Hand::Port => 1.0,
            Hand::Starboard => -1.0,
        }
    }

    /// The other side.
    pub fn other(self) -> Hand {
        match self {
            Hand::Port => Hand::Starboard,
            Hand::Starboard => Hand::Port,
        }
    }

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Hand::Port => "port",
            Hand::Starboard => "starboard",
        }
    }
}
