//! What was recorded at boats: appended, never changed.

use super::error::StoreError;
use super::records::StoredNote;
use super::seal::seal;
use super::view::View;
use rusqlite::{Row, params};

/// A note's seal. Its serial number is in it, so that no note takes another's place.
fn sealed(serial: i64, job: &str, text: &str) -> i64 {
    seal(["note", &serial.to_string(), job, text])
}

/// Appends a note; returns its serial number.
pub(super) fn append(view: &View, job: &str, text: &str) -> Result<i64, StoreError> {
    // A number that was given once is not given again.
    let query = "SELECT max(ifnull((SELECT seq FROM sqlite_sequence WHERE name = 'note'), 0),
                            ifnull((SELECT max(serial) FROM note), 0))";
    let last: Vec<i64> = view.rows(query, [], |row| row.get(0))?;
    let serial = last.first().copied().unwrap_or(0).saturating_add(1);
    insert(view, serial, job, text)?;
    Ok(serial)
}

/// Puts a note in under a serial number that is free.
pub(super) fn insert(view: &View, serial: i64, job: &str, text: &str) -> Result<(), StoreError> {
    view.run(
        "INSERT INTO note (serial, job, text, seal) VALUES (?1, ?2, ?3, ?4)",
        params![serial, job, text, sealed(serial, job, text)],
    )
    .map(drop)
}

/// All notes, in the order in which they were recorded.
pub(super) fn all(view: &View) -> Result<Vec<StoredNote>, StoreError> {
    let rows = view.rows(
        "SELECT serial, job, text, seal FROM note ORDER BY serial",
        [],
        read,
    )?;
    whole(view, rows)
}

/// The notes of a job, in the order in which they were recorded.
pub(super) fn of(view: &View, job: &str) -> Result<Vec<StoredNote>, StoreError> {
    let query = "SELECT serial, job, text, seal FROM note WHERE job = ?1 ORDER BY serial";
    let rows = view.rows(query, [job], read)?;
    whole(view, rows)
}

fn read(row: &Row) -> rusqlite::Result<(StoredNote, i64)> {
    let note = StoredNote {
        serial: row.get(0)?,
        job: row.get(1)?,
        text: row.get(2)?,
    };
    Ok((note, row.get(3)?))
}

fn whole(view: &View, rows: Vec<(StoredNote, i64)>) -> Result<Vec<StoredNote>, StoreError> {
    let one = |(note, kept): (StoredNote, i64)| {
        if sealed(note.serial, &note.job, &note.text) == kept {
            Ok(note)
        } else {
            Err(view.damaged(format!("note {} is not what was written", note.serial)))
        }
    };
    rows.into_iter().map(one).collect()
}
