//! Plans in a store: a cache by what each was made of.

use super::error::StoreError;
use super::records::StoredPlan;
use super::seal::seal;
use super::view::View;
use rusqlite::{Row, params};
use std::collections::BTreeSet;

/// What a plan's seal is over.
fn texts<'a>(key: &'a str, text: &'a str) -> [&'a str; 3] {
    ["plan", key, text]
}

/// Keeps a plan, in place of one that was made of the same.
pub(super) fn keep(view: &View, key: &str, text: &str) -> Result<(), StoreError> {
    view.run(
        "INSERT INTO plan (made_of, text, seal) VALUES (?1, ?2, ?3)
         ON CONFLICT (made_of) DO UPDATE SET text = ?2, seal = ?3",
        params![key, text, seal(texts(key, text))],
    )
    .map(drop)
}

/// A plan by what it was made of.
pub(super) fn one(view: &View, key: &str) -> Result<Option<String>, StoreError> {
    let rows = view.rows(
        "SELECT made_of, text, seal FROM plan WHERE made_of = ?1",
        [key],
        read,
    )?;
    Ok(whole(view, rows)?.pop().map(|plan| plan.text))
}

/// All plans, by key.
pub(super) fn all(view: &View) -> Result<Vec<StoredPlan>, StoreError> {
    let rows = view.rows(
        "SELECT made_of, text, seal FROM plan ORDER BY made_of",
        [],
        read,
    )?;
    whole(view, rows)
}

/// Writes all plans anew, by key.
pub(super) fn sort(view: &View) -> Result<(), StoreError> {
    let plans = all(view)?;
    view.run("DELETE FROM plan", [])?;
    plans
        .iter()
        .try_for_each(|plan| keep(view, &plan.key, &plan.text))
}

/// Takes out the plans whose keys are not named; returns how many.
pub(super) fn forget_but<S: AsRef<str>>(view: &View, keys: &[S]) -> Result<usize, StoreError> {
    let kept: BTreeSet<&str> = keys.iter().map(AsRef::as_ref).collect();
    let there: Vec<String> = view.rows("SELECT made_of FROM plan ORDER BY made_of", [], |row| {
        row.get(0)
    })?;
    let mut gone = 0;
    for key in there.iter().filter(|key| !kept.contains(key.as_str())) {
        gone += view.run("DELETE FROM plan WHERE made_of = ?1", [key])?;
    }
    Ok(gone)
}

fn read(row: &Row) -> rusqlite::Result<(String, String, i64)> {
    Ok((row.get(0)?, row.get(1)?, row.get(2)?))
}

fn whole(view: &View, rows: Vec<(String, String, i64)>) -> Result<Vec<StoredPlan>, StoreError> {
    let one = |(key, text, seal): (String, String, i64)| {
        view.sealed(seal, texts(&key, &text), || format!("the plan '{key}'"))?;
        Ok(StoredPlan { key, text })
    };
    rows.into_iter().map(one).collect()
}
