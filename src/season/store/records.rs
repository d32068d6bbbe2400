//! What a store holds, as plain data.

use super::error::{Kind, StoreError};
use std::collections::BTreeSet;
use std::fmt;

/// A boat or site file with the files that lie beside it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredFile {
    /// Its name, unique.
    pub name: String,
    /// Its text.
    pub text: String,
    /// Name and text of the files beside it; they come out of the store by name.
    pub companions: Vec<(String, String)>,
}

/// A job: the cells of its row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredJob {
    /// Its name, unique.
    pub name: String,
    /// Column and text, in the order of the list's columns.
    pub cells: Vec<(String, String)>,
}

/// A plan that was kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredPlan {
    /// What it was made of, as text that stands for it.
    pub key: String,
    /// JSON.
    pub text: String,
}

/// Something recorded at a boat.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredNote {
    /// The job.
    pub job: String,
    /// Counts up over all notes, from 1.
    pub serial: i64,
    /// JSON.
    pub text: String,
}

/// All that a store holds, in a fixed order: two stores that hold the same give the same.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Contents {
    /// Files, by name.
    pub files: Vec<StoredFile>,
    /// Jobs, in the order of their list.
    pub jobs: Vec<StoredJob>,
    /// Plans, by key.
    pub plans: Vec<StoredPlan>,
    /// Notes, by serial number.
    pub notes: Vec<StoredNote>,
}

impl fmt::Display for Contents {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for file in &self.files {
            head(f, "file", &file.name)?;
            body(f, &file.text)?;
            for (name, text) in &file.companions {
                head(f, "  beside it", name)?;
                body(f, text)?;
            }
        }
        for job in &self.jobs {
            head(f, "job", &job.name)?;
            for (heading, text) in &job.cells {
                writeln!(
                    f,
                    "    '{}' '{}'",
                    heading.escape_default(),
                    text.escape_default()
                )?;
            }
        }
        for plan in &self.plans {
            head(f, "plan", &plan.key)?;
            body(f, &plan.text)?;
        }
        for note in &self.notes {
            head(f, &format!("note {}", note.serial), &note.job)?;
            body(f, &note.text)?;
        }
        Ok(())
    }
}

fn head(f: &mut fmt::Formatter<'_>, what: &str, name: &str) -> fmt::Result {
    writeln!(f, "{what} '{}'", name.escape_default())
}

/// A text line by line, so that two dumps can be compared line by line.
fn body(f: &mut fmt::Formatter<'_>, text: &str) -> fmt::Result {
    text.split('\n')
        .try_for_each(|line| writeln!(f, "    | {}", line.escape_default()))
}

/// Looks whether names are unique.
pub(super) fn unique<'a>(
    kind: Kind,
    names: impl IntoIterator<Item = &'a str>,
) -> Result<(), StoreError> {
    let mut seen = BTreeSet::new();
    match names.into_iter().find(|name| !seen.insert(*name)) {
        None => Ok(()),
        Some(name) => Err(StoreError::Twice {
            kind,
            name: name.to_owned(),
        }),
    }
}
