//! What lies at a path, found without changing it.
//!
//! SQLite itself reads the first page, as of a file that cannot change: it then takes no lock, rolls no journal back and
//! writes nothing, whosever file it is. Reading the bytes by other means would be wrong where this process has the file
//! open as a store: on Unix, closing any handle of a file gives up all locks that the process holds on it.

use super::error::StoreError;
use super::schema;
use rusqlite::{Connection, OpenFlags};
use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};

/// What every SQLite file begins with.
const MAGIC: &[u8; 16] = b"SQLite format 3\0";

/// A file of fewer bytes passes SQLite for a database that is still to be written: an empty one everywhere, one of a
/// single byte on Unix.
const LEAST: u64 = 2;

/// The numbers in the head of an SQLite file that say whose it is.
#[derive(Debug, Clone, Copy)]
struct Head {
    application: i32,
    version: i32,
}

/// Whether bytes are the beginning of an SQLite file.
#[must_use]
pub fn is_store_bytes(bytes: &[u8]) -> bool {
    bytes.starts_with(MAGIC)
}

/// Whether a file is an SQLite file by its first bytes, be it a store, somebody else's or damaged: [`super::Store::open`]
/// tells. What is no plain file is not read, since a pipe can be read only once.
#[must_use]
pub fn is_store(path: &Path) -> bool {
    let plain = fs::metadata(path).is_ok_and(|data| data.is_file() && data.len() >= LEAST);
    plain && (head(path).is_ok() || has_magic(path).is_ok_and(|is| is))
}

/// Looks whether a store lies at a path that this program may open.
pub(super) fn look(path: &Path) -> Result<(), StoreError> {
    let reading = |error| StoreError::reading(path, &error);
    let data = fs::metadata(path).map_err(reading)?;
    if data.is_dir() {
        return Err(StoreError::Folder(path.to_owned()));
    }
    if !data.is_file() || (1..LEAST).contains(&data.len()) {
        return Err(StoreError::NoStore(path.to_owned()));
    }
    if data.len() == 0 {
        return Err(StoreError::Empty(path.to_owned()));
    }
    match head(path) {
        Ok(head) if head.application != schema::APPLICATION => {
            Err(StoreError::Foreign(path.to_owned()))
        }
        Ok(head) if head.version > schema::VERSION => Err(StoreError::Newer {
            path: path.to_owned(),
            found: head.version,
            known: schema::VERSION,
        }),
        Ok(_) => Ok(()),
        // SQLite cannot read it, so no store of this process has it open.
        Err(error) => match has_magic(path).map_err(reading)? {
            true => Err(StoreError::Damaged {
                path: path.to_owned(),
                what: error.to_string(),
            }),
            false => Err(StoreError::NoStore(path.to_owned())),
        },
    }
}

fn head(path: &Path) -> rusqlite::Result<Head> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
        | OpenFlags::SQLITE_OPEN_URI
        | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(unchanging(path), flags)?;
    // Between two writes the first page tells of more pages than there are, which SQLite takes for damage in a file that
    // cannot change. What a journal mends is seen when the store is opened; so are files that were cut short.
    connection.execute_batch("PRAGMA writable_schema = ON")?;
    let read = |name| connection.pragma_query_value(None, name, |row| row.get(0));
    Ok(Head {
        application: read("application_id")?,
        version: read("user_version")?,
    })
}

fn has_magic(path: &Path) -> std::io::Result<bool> {
    let mut bytes = Vec::new();
    File::open(path)?
        .take(MAGIC.len() as u64)
        .read_to_end(&mut bytes)?;
    Ok(is_store_bytes(&bytes))
}

/// A path as SQLite's address of a file that does not change.
fn unchanging(path: &Path) -> String {
    let mut address = String::from("file:");
    let mut bytes = path.as_os_str().as_encoded_bytes().to_vec();
    if cfg!(windows) {
        bytes
            .iter_mut()
            .filter(|byte| **byte == b'\\')
            .for_each(|byte| *byte = b'/');
    }
    if path.is_absolute() {
        // Else a path of two slashes names another machine.
        address.push_str(if cfg!(windows) { "///" } else { "//" });
    }
    for byte in bytes {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'/' | b'-' | b'.' | b'_' => {
                address.push(char::from(byte));
            }
            b':' if cfg!(windows) => address.push(':'),
            _ => address.push_str(&format!("%{byte:02X}")),
        }
    }
    address.push_str("?immutable=1");
    address
}

/// A path that SQLite does not take for one of its special names.
pub(super) fn plain(path: &Path) -> PathBuf {
    if path.is_absolute() {
        path.to_owned()
    } else {
        Path::new(".").join(path)
    }
}
