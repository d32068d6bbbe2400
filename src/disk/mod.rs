//! Boat files on disk: read with what lies beside them, written whole or not at all.
//!
//! Command line and viewer share it; what is wrong is said in words, with what mends it, and each shows it in its own
//! way.

mod held;
mod manifest;
mod read;
mod write;

pub use held::{Held, Left, left_behind};
pub use read::{Source, Unread, below, bytes_of, read_bytes, read_file, read_preset, read_text};
pub use write::{
    Bytes, check_outputs, check_picture, claim, clear_parts, make_folder, remove_from, write_all,
    write_file, write_new,
};

/// What the machine refused, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what}; {hint}")]
pub struct Fault {
    /// What went wrong, as a sentence without its stop.
    pub what: String,
    /// What to do about it.
    pub hint: String,
}

impl Fault {
    fn new(what: impl Into<String>, hint: impl Into<String>) -> Fault {
        Fault {
            what: what.into(),
            hint: hint.into(),
        }
    }
}
