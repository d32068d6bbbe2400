//! The job list in a store.

use super::error::{Kind, StoreError};
use super::records::{StoredJob, unique};
use super::seal::seal;
use super::view::View;
use rusqlite::params;
use std::collections::BTreeMap;

/// What a job's seal is over: its place in the list, its name, its cells.
fn sealed(place: i64, name: &str, cells: &[(String, String)]) -> i64 {
    let place = place.to_string();
    let cells = cells
        .iter()
        .flat_map(|(heading, text)| [heading.as_str(), text.as_str()]);
    seal(["job", &place, name].into_iter().chain(cells))
}

/// Takes all jobs out.
pub(super) fn clear(view: &View) -> Result<(), StoreError> {
    view.run("DELETE FROM cell", [])?;
    view.run("DELETE FROM job", []).map(drop)
}

/// Puts jobs behind those that are there.
pub(super) fn append(view: &View, jobs: &[StoredJob]) -> Result<(), StoreError> {
    let there: Vec<String> =
        view.rows("SELECT name FROM job ORDER BY place", [], |row| row.get(0))?;
    let names = there.iter().chain(jobs.iter().map(|job| &job.name));
    unique(Kind::Job, names.map(String::as_str))?;
    for (place, job) in (there.len() as i64..).zip(jobs) {
        view.run(
            "INSERT INTO job (name, place, seal) VALUES (?1, ?2, ?3)",
            params![job.name, place, sealed(place, &job.name, &job.cells)],
        )?;
        for (column, (heading, text)) in (0i64..).zip(&job.cells) {
            view.run(
                "INSERT INTO cell (job, place, heading, text) VALUES (?1, ?2, ?3, ?4)",
                params![job.name, column, heading, text],
            )?;
        }
    }
    Ok(())
}

/// All jobs, in the order of their list.
pub(super) fn all(view: &View) -> Result<Vec<StoredJob>, StoreError> {
    let mut of: BTreeMap<String, Vec<(String, String)>> = BTreeMap::new();
    let query = "SELECT job, heading, text FROM cell ORDER BY job, place";
    let cells = view.rows(query, [], |row| {
        Ok((row.get(0)?, (row.get(1)?, row.get(2)?)))
    })?;
    for (job, cell) in cells {
        of.entry(job).or_default().push(cell);
    }
    let query = "SELECT name, place, seal FROM job ORDER BY place";
    let rows: Vec<(String, i64, i64)> =
        view.rows(query, [], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
    let mut jobs = Vec::new();
    for (expected, (name, place, kept)) in (0i64..).zip(rows) {
        let cells = of.remove(&name).unwrap_or_default();
        if place != expected || sealed(place, &name, &cells) != kept {
            return Err(view.damaged(format!("the job '{name}' is not what was written")));
        }
        jobs.push(StoredJob { name, cells });
    }
    match of.pop_first() {
        None => Ok(jobs),
        Some((name, _)) => Err(view.damaged(format!("the job '{name}' is gone"))),
    }
}
