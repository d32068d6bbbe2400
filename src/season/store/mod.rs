//! The file that keeps a season: boats and sites, jobs, plans, what crews recorded. SQLite, one file that can be mailed.
//!
//! A rollback journal, not a write-ahead log: a yard's file may lie on a network drive, where the shared memory of a log
//! does not work, and a log is a second file beside the first. `synchronous = FULL` lets a committed transaction outlive
//! a power cut; every write is one `BEGIN IMMEDIATE` transaction, so that two writers wait for each other.

mod error;
mod schema;
#[cfg(test)]
mod tests;

pub use error::StoreError;

use rusqlite::{Connection, OpenFlags, OptionalExtension, TransactionBehavior, params};
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How long a writer waits for another.
const PATIENCE: Duration = Duration::from_secs(10);

/// What every SQLite file begins with.
const MAGIC: &[u8; 16] = b"SQLite format 3\0";

/// An open store.
#[derive(Debug)]
pub struct Store {
    path: PathBuf,
    connection: Connection,
}

/// A boat or site file with the files that lie beside it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredFile {
    /// Its name.
    pub name: String,
    /// Its text.
    pub text: String,
    /// Name and text of the files beside it.
    pub companions: Vec<(String, String)>,
}

/// A job: the cells of its row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredJob {
    /// Its name.
    pub name: String,
    /// Column and text.
    pub cells: Vec<(String, String)>,
}

/// Something recorded at a boat.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredNote {
    /// The job.
    pub job: String,
    /// Counts up over all notes.
    pub serial: i64,
    /// JSON.
    pub text: String,
}

/// Whether a file is an SQLite file by its first bytes.
#[must_use]
pub fn is_store(path: &Path) -> bool {
    let mut head = [0; MAGIC.len()];
    let read = File::open(path).and_then(|mut file| file.read_exact(&mut head));
    read.is_ok() && head == *MAGIC
}

impl Store {
    /// Opens a store that is there.
    ///
    /// # Errors
    /// There is none, it is no store of hulltent, it is damaged, of a newer version, or locked.
    pub fn open(path: &Path) -> Result<Store, StoreError> {
        if !path.exists() {
            return Err(StoreError::Missing(path.to_owned()));
        }
        if path.is_dir() || !is_store(path) {
            return Err(StoreError::NoStore(path.to_owned()));
        }
        let store = Store::connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        schema::check(&store.connection, path)?;
        Ok(store)
    }

    /// Opens a store, or makes one where nothing is.
    ///
    /// # Errors
    /// As [`Store::open`]; the folder may not be written into.
    pub fn open_or_create(path: &Path) -> Result<Store, StoreError> {
        // One that another process is just making has no size yet.
        let empty = std::fs::metadata(path).is_ok_and(|data| data.is_file() && data.len() == 0);
        if path.exists() && !empty {
            return Store::open(path);
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
        let mut store = Store::connect(path, flags)?;
        schema::create(&mut store.connection).map_err(|error| StoreError::of(path, error))?;
        schema::check(&store.connection, path)?;
        Ok(store)
    }

    fn connect(path: &Path, flags: OpenFlags) -> Result<Store, StoreError> {
        let refuse = |error| StoreError::of(path, error);
        let flags = flags | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = Connection::open_with_flags(path, flags).map_err(refuse)?;
        connection.busy_timeout(PATIENCE).map_err(refuse)?;
        connection
            .execute_batch("PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;")
            .map_err(refuse)?;
        Ok(Store {
            path: path.to_owned(),
            connection,
        })
    }

    /// Whether it is the file at a place.
    #[must_use]
    pub fn is_at(&self, place: &Path) -> bool {
        let real = |path: &Path| path.canonicalize().ok();
        real(&self.path).is_some() && real(&self.path) == real(place)
    }

    fn told<T>(&self, result: rusqlite::Result<T>) -> Result<T, StoreError> {
        result.map_err(|error| StoreError::of(&self.path, error))
    }

    /// Runs something in one transaction: all of it is kept, or nothing.
    fn written<T>(
        &mut self,
        work: impl FnOnce(&Connection) -> rusqlite::Result<T>,
    ) -> Result<T, StoreError> {
        let result = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .and_then(|transaction| {
                let value = work(&transaction)?;
                transaction.commit()?;
                Ok(value)
            });
        self.told(result)
    }

    /// Puts files and jobs in place of those that are there, in one transaction. Plans and notes stay.
    ///
    /// # Errors
    /// The disk is full, the store locked or damaged; two jobs or files of one name. Nothing is changed then.
    pub fn put_season(
        &mut self,
        files: &[StoredFile],
        jobs: &[StoredJob],
    ) -> Result<(), StoreError> {
        self.written(|connection| {
            connection.execute_batch(
                "DELETE FROM companion; DELETE FROM file; DELETE FROM cell; DELETE FROM job;",
            )?;
            for file in files {
                connection.execute(
                    "INSERT INTO file (name, text) VALUES (?1, ?2)",
                    params![file.name, file.text],
                )?;
                for (name, text) in &file.companions {
                    connection.execute(
                        "INSERT INTO companion (file, name, text) VALUES (?1, ?2, ?3)",
                        params![file.name, name, text],
                    )?;
                }
            }
            for (place, job) in jobs.iter().enumerate() {
                connection.execute(
                    "INSERT INTO job (name, place) VALUES (?1, ?2)",
                    params![job.name, place as i64],
                )?;
                for (column, text) in &job.cells {
                    connection.execute(
                        "INSERT INTO cell (job, heading, text) VALUES (?1, ?2, ?3)",
                        params![job.name, column, text],
                    )?;
                }
            }
            Ok(())
        })
    }

    /// All files, by name.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn files(&self) -> Result<Vec<StoredFile>, StoreError> {
        let names: Vec<String> = self.told(self.column("SELECT name FROM file ORDER BY name"))?;
        let mut files = Vec::new();
        for name in names {
            files.extend(self.file(&name)?);
        }
        Ok(files)
    }

    fn column(&self, query: &str) -> rusqlite::Result<Vec<String>> {
        let mut statement = self.connection.prepare(query)?;
        let rows = statement.query_map([], |row| row.get(0))?;
        rows.collect()
    }

    /// A file by its name.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn file(&self, name: &str) -> Result<Option<StoredFile>, StoreError> {
        let text: Option<String> = self.told(
            self.connection
                .query_row("SELECT text FROM file WHERE name = ?1", [name], |row| {
                    row.get(0)
                })
                .optional(),
        )?;
        let Some(text) = text else {
            return Ok(None);
        };
        let query = "SELECT name, text FROM companion WHERE file = ?1 ORDER BY name";
        Ok(Some(StoredFile {
            name: name.to_owned(),
            text,
            companions: self.told(self.pairs(query, name))?,
        }))
    }

    fn pairs(&self, query: &str, of: &str) -> rusqlite::Result<Vec<(String, String)>> {
        let mut statement = self.connection.prepare(query)?;
        let rows = statement.query_map([of], |row| Ok((row.get(0)?, row.get(1)?)))?;
        rows.collect()
    }

    /// All jobs, in the order of their list.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn jobs(&self) -> Result<Vec<StoredJob>, StoreError> {
        let names: Vec<String> = self.told(self.column("SELECT name FROM job ORDER BY place"))?;
        let mut jobs = Vec::new();
        for name in names {
            let query = "SELECT heading, text FROM cell WHERE job = ?1 ORDER BY rowid";
            let cells = self.told(self.pairs(query, &name))?;
            jobs.push(StoredJob { name, cells });
        }
        Ok(jobs)
    }

    /// A plan by what it was made of.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn plan(&self, key: &str) -> Result<Option<String>, StoreError> {
        self.told(
            self.connection
                .query_row("SELECT text FROM plan WHERE made_of = ?1", [key], |row| {
                    row.get(0)
                })
                .optional(),
        )
    }

    /// Keeps a plan; one that was made of the same is replaced.
    ///
    /// # Errors
    /// The disk is full, the store locked or damaged.
    pub fn keep_plan(&mut self, key: &str, text: &str) -> Result<(), StoreError> {
        self.written(|connection| {
            connection
                .execute(
                    "INSERT INTO plan (made_of, text) VALUES (?1, ?2) ON CONFLICT (made_of) DO UPDATE SET text = ?2",
                    params![key, text],
                )
                .map(|_| ())
        })
    }

    /// Appends what was recorded at a job's boat; returns its serial number.
    ///
    /// # Errors
    /// The disk is full, the store locked or damaged.
    pub fn note(&mut self, job: &str, text: &str) -> Result<i64, StoreError> {
        self.written(|connection| {
            connection.execute(
                "INSERT INTO note (job, text) VALUES (?1, ?2)",
                params![job, text],
            )?;
            Ok(connection.last_insert_rowid())
        })
    }

    /// All notes, in the order in which they were recorded.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn notes(&self) -> Result<Vec<StoredNote>, StoreError> {
        let read = || -> rusqlite::Result<Vec<StoredNote>> {
            let mut statement = self
                .connection
                .prepare("SELECT job, serial, text FROM note ORDER BY serial")?;
            let rows = statement.query_map([], |row| {
                Ok(StoredNote {
                    job: row.get(0)?,
                    serial: row.get(1)?,
                    text: row.get(2)?,
                })
            })?;
            rows.collect()
        };
        self.told(read())
    }

    /// Looks whether every page of the file is whole.
    ///
    /// # Errors
    /// It is not.
    pub fn check(&self) -> Result<(), StoreError> {
        let told = self.told(self.column("PRAGMA integrity_check"))?;
        match told.as_slice() {
            [only] if only == "ok" => Ok(()),
            _ => Err(StoreError::Damaged(self.path.clone())),
        }
    }

    /// All that is in it as text, in a fixed order: the same for two stores that hold the same.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn dump(&self) -> Result<String, StoreError> {
        let plans = self
            .told(self.column("SELECT made_of || char(10) || text FROM plan ORDER BY made_of"))?;
        let (files, jobs, notes) = (self.files()?, self.jobs()?, self.notes()?);
        Ok(format!("{files:#?}\n{jobs:#?}\n{plans:#?}\n{notes:#?}\n"))
    }
}
