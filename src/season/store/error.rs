//! Why a store cannot be read or written, for a planner.

use rusqlite::{Error, ErrorCode};
use std::io;
use std::path::{Path, PathBuf};

/// What is wrong with a store.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// There is no such file.
    #[error("there is no store {}", .0.display())]
    Missing(PathBuf),
    /// A new store would take the place of a file.
    #[error("{} is already there", .0.display())]
    Exists(PathBuf),
    /// It is a folder.
    #[error("{} is a folder, not a store", .0.display())]
    Folder(PathBuf),
    /// It has no bytes.
    #[error("{} is empty", .0.display())]
    Empty(PathBuf),
    /// It is some other file.
    #[error("{} is not a store of hulltent", .0.display())]
    NoStore(PathBuf),
    /// It is an SQLite file, but not one of hulltent's.
    #[error("{} belongs to another program", .0.display())]
    Foreign(PathBuf),
    /// It was written by a newer hulltent.
    #[error("{} was written by a newer hulltent (version {found} of the file; this one reads up to {known})", .path.display())]
    Newer {
        /// The file.
        path: PathBuf,
        /// Its version.
        found: i32,
        /// The newest version that is known.
        known: i32,
    },
    /// It does not hold what was written into it.
    #[error("{} is damaged: {what}", .path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What does not fit.
        what: String,
    },
    /// Another program writes into it.
    #[error("{} is being written by another program", .0.display())]
    Locked(PathBuf),
    /// There is no room left.
    #[error("{} cannot be written: the disk is full", .0.display())]
    Full(PathBuf),
    /// It may not be written.
    #[error("{} may not be written", .0.display())]
    ReadOnly(PathBuf),
    /// It may not be read.
    #[error("{} may not be read", .0.display())]
    Unreadable(PathBuf),
    /// The folder that it would lie in is not there.
    #[error("{} cannot be made: its folder is not there", .0.display())]
    NoFolder(PathBuf),
    /// The drive failed.
    #[error("{} cannot be reached: {what}", .path.display())]
    Drive {
        /// The file.
        path: PathBuf,
        /// What the machine says.
        what: String,
    },
    /// Two things of one kind have one name.
    #[error("{kind} '{name}' comes twice", kind = .kind.word())]
    Twice {
        /// What they are.
        kind: Kind,
        /// Their name.
        name: String,
    },
    /// Anything else, in SQLite's words.
    #[error("{} cannot be used: {what}", .path.display())]
    Other {
        /// The file.
        path: PathBuf,
        /// What SQLite says.
        what: String,
    },
}

/// What has a name in a store.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A boat or site file.
    File,
    /// A file that lies beside a boat file.
    Companion,
    /// A job.
    Job,
}

impl Kind {
    fn word(self) -> &'static str {
        match self {
            Kind::File => "the file",
            Kind::Companion => "the file beside a boat file",
            Kind::Job => "the job",
        }
    }
}

impl StoreError {
    /// What SQLite says, as what it means to a planner.
    pub(super) fn of(path: &Path, error: &Error) -> StoreError {
        let path = path.to_owned();
        match error {
            // What was written was text and numbers, and the statements are fixed: they fail as such only where the file is
            // not what it should be.
            Error::FromSqlConversionFailure(..)
            | Error::InvalidColumnType(..)
            | Error::SqlInputError { .. }
            | Error::IntegralValueOutOfRange(..)
            | Error::Utf8Error(..) => {
                return StoreError::Damaged {
                    path,
                    what: error.to_string(),
                };
            }
            _ => {}
        }
        let what = error.to_string();
        match error.sqlite_error_code() {
            Some(
                ErrorCode::DatabaseBusy
                | ErrorCode::DatabaseLocked
                | ErrorCode::FileLockingProtocolFailed,
            ) => StoreError::Locked(path),
            Some(ErrorCode::DiskFull) => StoreError::Full(path),
            // The first bytes were looked at before: it is a store, or was one.
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
                StoreError::Damaged { path, what }
            }
            // The journal cannot be made where the folder may not be written into.
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied | ErrorCode::CannotOpen) => {
                StoreError::ReadOnly(path)
            }
            Some(ErrorCode::Unknown) => StoreError::Damaged { path, what },
            Some(ErrorCode::SystemIoFailure) => StoreError::Drive { path, what },
            _ => StoreError::Other { path, what },
        }
    }

    /// What the machine says, as what it means to a planner: of a file that is read.
    pub(super) fn reading(path: &Path, error: &io::Error) -> StoreError {
        let owned = path.to_owned();
        match error.kind() {
            io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => StoreError::Missing(owned),
            io::ErrorKind::PermissionDenied => StoreError::Unreadable(owned),
            io::ErrorKind::IsADirectory => StoreError::Folder(owned),
            _ => StoreError::Drive {
                path: owned,
                what: error.to_string(),
            },
        }
    }

    /// The same, of a file that is made.
    pub(super) fn making(path: &Path, error: &io::Error) -> StoreError {
        let owned = path.to_owned();
        match error.kind() {
            io::ErrorKind::AlreadyExists => StoreError::Exists(owned),
            io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => StoreError::NoFolder(owned),
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                StoreError::ReadOnly(owned)
            }
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => StoreError::Full(owned),
            _ => StoreError::Drive {
                path: owned,
                what: error.to_string(),
            },
        }
    }

    /// The same of the file at another path: a store is made under another name at first.
    pub(super) fn at(self, path: &Path) -> StoreError {
        let path = path.to_owned();
        match self {
            StoreError::Locked(_) => StoreError::Locked(path),
            StoreError::Full(_) => StoreError::Full(path),
            StoreError::ReadOnly(_) => StoreError::ReadOnly(path),
            StoreError::Damaged { what, .. }
            | StoreError::Drive { what, .. }
            | StoreError::Other { what, .. } => StoreError::Drive { path, what },
            other => other,
        }
    }

    /// What mends it.
    #[must_use]
    pub fn hint(&self) -> &'static str {
        match self {
            StoreError::Missing(_) => "check the name and the folder",
            StoreError::Exists(_) => "give another name, or open the one that is there",
            StoreError::Folder(_) => "give the name of a file in it",
            StoreError::Empty(_) => {
                "copying it may have broken off: take another copy; if nobody needs it, remove it and a new store can be made"
            }
            StoreError::NoStore(_) => "name another file; nothing was changed in this one",
            StoreError::Foreign(_) => {
                "name another file; this one is SQLite, but no season, and nothing was changed in it"
            }
            StoreError::Newer { .. } => {
                "use the hulltent that wrote it, or export it there and import it here; nothing was changed"
            }
            StoreError::Damaged { .. } => {
                "keep it as it is and take the last good copy; a new store can be made from the job list, but what was \
                 recorded at the boats is only in this one"
            }
            StoreError::Locked(_) => "wait until it has ended, or close it, and try again",
            StoreError::Full(_) => "make room and try again; what was kept before is still there",
            StoreError::ReadOnly(_) => {
                "check that you may write to the file and to its folder, or copy it to where you may"
            }
            StoreError::Unreadable(_) => "check your rights, or ask whoever owns the file",
            StoreError::NoFolder(_) => "make the folder first, or check its name",
            StoreError::Drive { .. } => {
                "check that the drive or network is there and try again; what was kept before is still there"
            }
            StoreError::Twice { .. } => "give each its own name; nothing was changed",
            StoreError::Other { .. } => "check the file and its folder",
        }
    }
}
