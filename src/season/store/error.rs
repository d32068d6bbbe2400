//! Why a store cannot be read or written, for a planner.

use rusqlite::ErrorCode;
use std::path::{Path, PathBuf};

/// What is wrong with a store.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// There is no such file.
    #[error("there is no store {}", .0.display())]
    Missing(PathBuf),
    /// It is some other file.
    #[error("{} is not a store of hulltent", .0.display())]
    NoStore(PathBuf),
    /// It was written by a newer hulltent.
    #[error("{} was written by a newer hulltent", .0.display())]
    Newer(PathBuf),
    /// Its pages do not fit together.
    #[error("{} is damaged", .0.display())]
    Damaged(PathBuf),
    /// Another program writes into it.
    #[error("{} is being written by another program", .0.display())]
    Locked(PathBuf),
    /// There is no room left.
    #[error("{} cannot be written: the disk is full", .0.display())]
    Full(PathBuf),
    /// It may not be written.
    #[error("{} may not be written", .0.display())]
    ReadOnly(PathBuf),
    /// Anything else, in SQLite's words.
    #[error("{} cannot be used: {}", .0.display(), .1)]
    Other(PathBuf, rusqlite::Error),
}

impl StoreError {
    /// What SQLite says, as what it means to a planner.
    pub(super) fn of(path: &Path, error: rusqlite::Error) -> StoreError {
        let path = path.to_owned();
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => StoreError::Locked(path),
            Some(ErrorCode::DiskFull) => StoreError::Full(path),
            Some(ErrorCode::DatabaseCorrupt) => StoreError::Damaged(path),
            Some(ErrorCode::NotADatabase) => StoreError::NoStore(path),
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => StoreError::ReadOnly(path),
            _ => StoreError::Other(path, error),
        }
    }

    /// What mends it.
    #[must_use]
    pub fn hint(&self) -> &'static str {
        match self {
            StoreError::Missing(_) => {
                "check the name: `hulltent season` writes season.sqlite among its files"
            }
            StoreError::NoStore(_) => {
                "name another file, or a job list as CSV; nothing was changed in this one"
            }
            StoreError::Newer(_) => {
                "use the hulltent that wrote it, or export it there and import it here"
            }
            StoreError::Damaged(_) => {
                "take the last copy of it; from the job list `hulltent season` makes a new one, but what was recorded is \
                 only in the store"
            }
            StoreError::Locked(_) => {
                "wait until that has ended, or close it, and run the same command again"
            }
            StoreError::Full(_) => {
                "make room and run the same command again: what was kept before is still there"
            }
            StoreError::ReadOnly(_) => {
                "check your rights in its folder, or copy it to where you may write"
            }
            StoreError::Other(..) => "check the file and its folder",
        }
    }
}
