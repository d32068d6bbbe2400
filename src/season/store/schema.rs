//! The store's tables and its version.

use super::StoreError;
use rusqlite::{Connection, TransactionBehavior};
use std::path::Path;

/// Marks an SQLite file as a store of hulltent: `hull` in ASCII.
const APPLICATION: i32 = 0x6875_6c6c;

/// The version of the tables that this program writes.
const VERSION: i32 = 1;

/// The tables of version 1.
const TABLES: &str = "
CREATE TABLE file (name TEXT PRIMARY KEY NOT NULL, text TEXT NOT NULL);
CREATE TABLE companion (
    file TEXT NOT NULL REFERENCES file (name), name TEXT NOT NULL, text TEXT NOT NULL, PRIMARY KEY (file, name)
);
CREATE TABLE job (name TEXT PRIMARY KEY NOT NULL, place INTEGER NOT NULL UNIQUE);
CREATE TABLE cell (
    job TEXT NOT NULL REFERENCES job (name), heading TEXT NOT NULL, text TEXT NOT NULL, PRIMARY KEY (job, heading)
);
CREATE TABLE plan (made_of TEXT PRIMARY KEY NOT NULL, text TEXT NOT NULL);
CREATE TABLE note (serial INTEGER PRIMARY KEY AUTOINCREMENT, job TEXT NOT NULL, text TEXT NOT NULL);
";

/// Makes the tables, unless another process just did.
pub(super) fn create(connection: &mut Connection) -> rusqlite::Result<()> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    if pragma(&transaction, "user_version")? == 0 {
        transaction.execute_batch(TABLES)?;
        transaction.pragma_update(None, "application_id", APPLICATION)?;
        transaction.pragma_update(None, "user_version", VERSION)?;
    }
    transaction.commit()
}

fn pragma(connection: &Connection, name: &str) -> rusqlite::Result<i32> {
    connection.pragma_query_value(None, name, |row| row.get(0))
}

/// Looks whether a file is a store of a version that is known.
pub(super) fn check(connection: &Connection, path: &Path) -> Result<(), StoreError> {
    let read = |name| pragma(connection, name).map_err(|error| StoreError::of(path, error));
    if read("application_id")? != APPLICATION {
        return Err(StoreError::NoStore(path.to_owned()));
    }
    match read("user_version")? {
        VERSION => Ok(()),
        newer if newer > VERSION => Err(StoreError::Newer(path.to_owned())),
        _ => Err(StoreError::NoStore(path.to_owned())),
    }
}
