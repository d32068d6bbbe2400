//! The store's tables, their version, and how an older one is brought up.

use super::error::StoreError;
use super::view::View;
use rusqlite::{Connection, TransactionBehavior};
use std::path::Path;

/// Marks an SQLite file as a store of hulltent: `hull` in ASCII.
pub(super) const APPLICATION: i32 = 0x6875_6c6c;

/// The tables of version 1. Names are compared byte by byte. Every table that has no other index gets one, so that a
/// lost row shows: SQLite then has each row twice.
const FIRST: &str = "
CREATE TABLE meta (name TEXT PRIMARY KEY NOT NULL, text TEXT NOT NULL) STRICT;
CREATE TABLE file (name TEXT PRIMARY KEY NOT NULL, text TEXT NOT NULL, seal INTEGER NOT NULL) STRICT;
CREATE TABLE companion (
    file TEXT NOT NULL REFERENCES file (name), name TEXT NOT NULL, text TEXT NOT NULL, PRIMARY KEY (file, name)
) STRICT;
CREATE TABLE job (name TEXT PRIMARY KEY NOT NULL, place INTEGER NOT NULL UNIQUE, seal INTEGER NOT NULL) STRICT;
CREATE TABLE cell (
    job TEXT NOT NULL REFERENCES job (name), place INTEGER NOT NULL, heading TEXT NOT NULL, text TEXT NOT NULL,
    PRIMARY KEY (job, place)
) STRICT;
CREATE TABLE plan (made_of TEXT PRIMARY KEY NOT NULL, text TEXT NOT NULL, seal INTEGER NOT NULL) STRICT;
CREATE TABLE note (
    serial INTEGER PRIMARY KEY AUTOINCREMENT, job TEXT NOT NULL, text TEXT NOT NULL, seal INTEGER NOT NULL
) STRICT;
CREATE INDEX note_by_job ON note (job);
CREATE TRIGGER meta_stays BEFORE UPDATE ON meta BEGIN SELECT RAISE(ABORT, 'meta is written once'); END;
CREATE TRIGGER meta_is_kept BEFORE DELETE ON meta BEGIN SELECT RAISE(ABORT, 'meta is written once'); END;
CREATE TRIGGER note_stays BEFORE UPDATE ON note BEGIN SELECT RAISE(ABORT, 'notes are appended only'); END;
CREATE TRIGGER note_is_kept BEFORE DELETE ON note BEGIN SELECT RAISE(ABORT, 'notes are appended only'); END;
";

/// What makes each version out of the one before it; the first out of nothing.
const STEPS: &[&str] = &[FIRST];

/// The version of the tables that this program writes.
pub(super) const VERSION: i32 = STEPS.len() as i32;

/// Makes the tables in an empty file.
pub(super) fn make(connection: &mut Connection) -> rusqlite::Result<()> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    for step in STEPS {
        transaction.execute_batch(step)?;
    }
    transaction.execute(
        "INSERT INTO meta (name, text) VALUES ('made as version', ?1)",
        [VERSION.to_string()],
    )?;
    transaction.pragma_update(None, "application_id", APPLICATION)?;
    transaction.pragma_update(None, "user_version", VERSION)?;
    transaction.commit()
}

/// Brings an older store up to this version and looks whether the tables are those that it should have.
pub(super) fn ready(connection: &mut Connection, path: &Path) -> Result<(), StoreError> {
    bring_up(connection, path, STEPS)?;
    right_tables(&View::new(connection, path))
}

/// Takes the steps that a store lacks, in one transaction: it is of the old version or of the new, never between.
pub(super) fn bring_up(
    connection: &mut Connection,
    path: &Path,
    steps: &[&str],
) -> Result<(), StoreError> {
    let refuse = |error| StoreError::of(path, &error);
    if lacking(connection, path, steps)?.is_empty() {
        return Ok(());
    }
    let transaction = connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(refuse)?;
    // Another program may have taken them while this one waited.
    for step in lacking(&transaction, path, steps)? {
        transaction.execute_batch(step).map_err(refuse)?;
    }
    transaction
        .pragma_update(None, "user_version", steps.len() as i32)
        .map_err(refuse)?;
    transaction.commit().map_err(refuse)
}

fn lacking<'a>(
    connection: &Connection,
    path: &Path,
    steps: &'a [&'a str],
) -> Result<&'a [&'a str], StoreError> {
    let found: i32 = connection
        .pragma_query_value(None, "user_version", |row| row.get(0))
        .map_err(|error| StoreError::of(path, &error))?;
    if found < 1 {
        let what = format!("there is no version {found}");
        return Err(StoreError::Damaged {
            path: path.to_owned(),
            what,
        });
    }
    steps
        .get(found as usize..)
        .ok_or_else(|| StoreError::Newer {
            path: path.to_owned(),
            found,
            known: steps.len() as i32,
        })
}

/// Looks whether the tables are those of this version: a file that was sent by mail may bring other ones.
fn right_tables(view: &View) -> Result<(), StoreError> {
    let memory = Connection::open_in_memory().and_then(|connection| {
        STEPS
            .iter()
            .try_for_each(|step| connection.execute_batch(step))
            .map(|()| connection)
    });
    let right = tables(&View::new(&view.told(memory)?, view.path))?;
    if tables(view)? == right {
        Ok(())
    } else {
        Err(view.damaged("its tables are not those of a store"))
    }
}

fn tables(view: &View) -> Result<Vec<(String, String, Option<String>)>, StoreError> {
    view.rows(
        "SELECT type, name, sql FROM sqlite_schema WHERE name NOT GLOB 'sqlite_stat*' ORDER BY type, name",
        [],
        |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)),
    )
}

/// Looks whether the file says which version it was made as.
pub(super) fn check_meta(view: &View) -> Result<(), StoreError> {
    let rows: Vec<(String, String)> =
        view.rows("SELECT name, text FROM meta ORDER BY name", [], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })?;
    match rows.as_slice() {
        [(name, text)]
            if name == "made as version"
                && text
                    .parse()
                    .is_ok_and(|version| (1..=VERSION).contains(&version)) =>
        {
            Ok(())
        }
        _ => Err(view.damaged("it does not say which version it was made as")),
    }
}
