//! A store within one transaction: what is read of it fits together, what is written is kept together.

use super::error::StoreError;
use super::seal::seal;
use rusqlite::{Connection, Params, Row};
use std::path::Path;

/// A connection with the path that errors name.
pub(super) struct View<'a> {
    pub(super) connection: &'a Connection,
    pub(super) path: &'a Path,
}

impl<'a> View<'a> {
    pub(super) fn new(connection: &'a Connection, path: &'a Path) -> View<'a> {
        View { connection, path }
    }

    pub(super) fn told<T>(&self, result: rusqlite::Result<T>) -> Result<T, StoreError> {
        result.map_err(|error| StoreError::of(self.path, &error))
    }

    pub(super) fn damaged(&self, what: impl Into<String>) -> StoreError {
        StoreError::Damaged {
            path: self.path.to_owned(),
            what: what.into(),
        }
    }

    /// All rows of a query.
    pub(super) fn rows<T>(
        &self,
        query: &str,
        params: impl Params,
        read: impl FnMut(&Row) -> rusqlite::Result<T>,
    ) -> Result<Vec<T>, StoreError> {
        let all = || {
            self.connection
                .prepare_cached(query)?
                .query_map(params, read)?
                .collect()
        };
        self.told(all())
    }

    /// Changes rows; returns how many.
    pub(super) fn run(&self, change: &str, params: impl Params) -> Result<usize, StoreError> {
        let run = || self.connection.prepare_cached(change)?.execute(params);
        self.told(run())
    }

    /// Looks whether a record is what was written.
    pub(super) fn sealed<'b>(
        &self,
        kept: i64,
        texts: impl IntoIterator<Item = &'b str>,
        what: impl FnOnce() -> String,
    ) -> Result<(), StoreError> {
        if seal(texts) == kept {
            Ok(())
        } else {
            Err(self.damaged(format!("{} is not what was written", what())))
        }
    }
}
