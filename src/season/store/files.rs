//! Boat and site files in a store.

use super::error::{Kind, StoreError};
use super::records::{StoredFile, unique};
use super::seal::seal;
use super::view::View;
use rusqlite::params;
use std::collections::BTreeMap;

/// What a file's seal is over: everything, companions by name.
fn texts<'a>(
    name: &'a str,
    text: &'a str,
    companions: &'a [(String, String)],
) -> impl Iterator<Item = &'a str> {
    let beside = companions
        .iter()
        .flat_map(|(name, text)| [name.as_str(), text.as_str()]);
    ["file", name, text].into_iter().chain(beside)
}

/// Takes all files out.
pub(super) fn clear(view: &View) -> Result<(), StoreError> {
    view.run("DELETE FROM companion", [])?;
    view.run("DELETE FROM file", []).map(drop)
}

/// Puts a file in, in place of one of its name.
pub(super) fn put(view: &View, file: &StoredFile) -> Result<(), StoreError> {
    let mut companions = file.companions.clone();
    companions.sort();
    unique(
        Kind::Companion,
        companions.iter().map(|(name, _)| name.as_str()),
    )?;
    let seal = seal(texts(&file.name, &file.text, &companions));
    view.run("DELETE FROM companion WHERE file = ?1", [&file.name])?;
    view.run(
        "INSERT INTO file (name, text, seal) VALUES (?1, ?2, ?3)
         ON CONFLICT (name) DO UPDATE SET text = ?2, seal = ?3",
        params![file.name, file.text, seal],
    )?;
    for (name, text) in &companions {
        view.run(
            "INSERT INTO companion (file, name, text) VALUES (?1, ?2, ?3)",
            params![file.name, name, text],
        )?;
    }
    Ok(())
}

/// A file by its name.
pub(super) fn one(view: &View, name: &str) -> Result<Option<StoredFile>, StoreError> {
    let query = "SELECT file, name, text FROM companion WHERE file = ?1 ORDER BY name";
    let beside = view.rows(query, [name], |row| {
        Ok((row.get(0)?, (row.get(1)?, row.get(2)?)))
    })?;
    let query = "SELECT name, text, seal FROM file WHERE name = ?1";
    let rows = view.rows(query, [name], |row| {
        Ok((row.get(0)?, row.get(1)?, row.get(2)?))
    })?;
    Ok(together(view, rows, beside)?.pop())
}

/// All files, by name.
pub(super) fn all(view: &View) -> Result<Vec<StoredFile>, StoreError> {
    let query = "SELECT file, name, text FROM companion ORDER BY file, name";
    let beside = view.rows(query, [], |row| {
        Ok((row.get(0)?, (row.get(1)?, row.get(2)?)))
    })?;
    let query = "SELECT name, text, seal FROM file ORDER BY name";
    let rows = view.rows(query, [], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
    together(view, rows, beside)
}

fn together(
    view: &View,
    rows: Vec<(String, String, i64)>,
    beside: Vec<(String, (String, String))>,
) -> Result<Vec<StoredFile>, StoreError> {
    let mut of: BTreeMap<String, Vec<(String, String)>> = BTreeMap::new();
    for (file, companion) in beside {
        of.entry(file).or_default().push(companion);
    }
    let mut files = Vec::new();
    for (name, text, seal) in rows {
        let companions = of.remove(&name).unwrap_or_default();
        view.sealed(seal, texts(&name, &text, &companions), || {
            format!("the file '{name}'")
        })?;
        files.push(StoredFile {
            name,
            text,
            companions,
        });
    }
    match of.pop_first() {
        None => Ok(files),
        Some((name, _)) => Err(view.damaged(format!("the file '{name}' is gone"))),
    }
}
