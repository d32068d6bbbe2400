//! The file that keeps a season: boats and sites, jobs, plans, what crews recorded. SQLite, one file that can be mailed.
//!
//! A rollback journal, not a write-ahead log: a yard's file may lie on a network drive, where the shared memory of a log
//! does not work, and a log is a second file that has to go along by mail. While something is written, a journal lies
//! beside the store; if the machine stops just then, the next opening brings the store back to what it was before, so
//! the two stay together until then. `synchronous = EXTRA` lets a committed transaction outlive a power cut: with `FULL`
//! the end of the journal is not yet sure to be on the disk, and the journal would take the transaction back (SQLite,
//! "PRAGMA synchronous"). Every write is one `BEGIN IMMEDIATE` transaction, so that two writers wait for each other.
//!
//! Every record carries a seal over its texts, since SQLite does not see a letter that changes within a text.
//!
//! A [`Store`] serves one thread at a time and can be sent to others: behind a `Mutex`, many threads keep plans by one.

mod create;
mod error;
mod files;
mod jobs;
mod notes;
mod plans;
mod probe;
mod records;
mod schema;
mod seal;
#[cfg(test)]
mod tests;
mod view;

pub use error::{Kind, StoreError};
pub use probe::{is_store, is_store_bytes};
pub use records::{Contents, StoredFile, StoredJob, StoredNote, StoredPlan};

use records::unique;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};
use std::path::{Path, PathBuf};
use std::time::Duration;
use view::View;

/// How long a writer waits for another. Writing a whole season takes less than a second.
const PATIENCE: Duration = Duration::from_secs(10);

/// How SQLite treats the file. The journal's mode brings a store that another program gave a write-ahead log back to one
/// file; a schema that came by mail is not trusted with functions. Bytes that nothing uses are zeros, so that a file tells
/// what it holds alone.
const SETTINGS: &str = "
PRAGMA journal_mode = DELETE;
PRAGMA synchronous = EXTRA;
PRAGMA fullfsync = ON;
PRAGMA foreign_keys = ON;
PRAGMA cell_size_check = ON;
PRAGMA secure_delete = ON;
PRAGMA trusted_schema = OFF;
";

/// An open store.
#[derive(Debug)]
pub struct Store {
    path: PathBuf,
    connection: Connection,
}

impl Store {
    /// Makes a store where nothing is.
    ///
    /// # Errors
    /// Something is there already; its folder is not there or may not be written into; the disk is full.
    pub fn create(path: &Path) -> Result<Store, StoreError> {
        create::create(path)?;
        Store::open(path)
    }

    /// Opens a store that is there. One that may not be written can be read. What is refused is left as it is.
    ///
    /// # Errors
    /// There is none, it is no store of hulltent, it is damaged, of a newer version, or locked.
    pub fn open(path: &Path) -> Result<Store, StoreError> {
        probe::look(path)?;
        let mut store = Store::connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        schema::ready(&mut store.connection, path)?;
        Ok(store)
    }

    /// Opens a store, or makes one where nothing is.
    ///
    /// # Errors
    /// As [`Store::open`] and [`Store::create`].
    pub fn open_or_create(path: &Path) -> Result<Store, StoreError> {
        match Store::open(path) {
            Err(StoreError::Missing(_)) => match Store::create(path) {
                // Another program was quicker.
                Err(StoreError::Exists(_)) => Store::open(path),
                made => made,
            },
            opened => opened,
        }
    }

    fn connect(path: &Path, flags: OpenFlags) -> Result<Store, StoreError> {
        let refuse = |error| StoreError::of(path, &error);
        let flags = flags | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = Connection::open_with_flags(probe::plain(path), flags).map_err(refuse)?;
        connection.busy_timeout(PATIENCE).map_err(refuse)?;
        connection.execute_batch(SETTINGS).map_err(refuse)?;
        Ok(Store {
            path: path.to_owned(),
            connection,
        })
    }

    /// Where it lies.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Whether it is the file at a place.
    #[must_use]
    pub fn is_at(&self, place: &Path) -> bool {
        let real = |path: &Path| path.canonicalize().ok();
        real(&self.path).is_some_and(|own| real(place) == Some(own))
    }

    /// Reads in one transaction: nothing changes in between.
    fn read<T>(&self, work: impl FnOnce(&View) -> Result<T, StoreError>) -> Result<T, StoreError> {
        let refuse = |error| StoreError::of(&self.path, &error);
        let transaction = self.connection.unchecked_transaction().map_err(refuse)?;
        let value = work(&View::new(&transaction, &self.path))?;
        transaction.commit().map_err(refuse)?;
        Ok(value)
    }

    /// Writes in one transaction: all of it is kept, or nothing.
    fn write<T>(
        &mut self,
        work: impl FnOnce(&View) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let refuse = |error| StoreError::of(&self.path, &error);
        let transaction = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(refuse)?;
        let value = work(&View::new(&transaction, &self.path))?;
        transaction.commit().map_err(refuse)?;
        Ok(value)
    }

    /// Puts files and jobs in place of those that are there, in one transaction. Plans and notes stay.
    ///
    /// # Errors
    /// Two jobs or files of one name; the disk is full, the store locked or damaged. Nothing is changed then.
    pub fn put_season(
        &mut self,
        files: &[StoredFile],
        jobs: &[StoredJob],
    ) -> Result<(), StoreError> {
        unique(Kind::File, files.iter().map(|file| file.name.as_str()))?;
        self.write(|view| {
            files::clear(view)?;
            files.iter().try_for_each(|file| files::put(view, file))?;
            jobs::clear(view)?;
            jobs::append(view, jobs)
        })
    }

    /// Files and jobs of one moment: files by name, jobs in the order of their list.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn season(&self) -> Result<(Vec<StoredFile>, Vec<StoredJob>), StoreError> {
        self.read(|view| Ok((files::all(view)?, jobs::all(view)?)))
    }

    /// Puts a file in, in place of one of its name.
    ///
    /// # Errors
    /// Two files beside it of one name; the disk is full, the store locked or damaged. Nothing is changed then.
    pub fn put_file(&mut self, file: &StoredFile) -> Result<(), StoreError> {
        self.write(|view| files::put(view, file))
    }

    /// A file by its name.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn file(&self, name: &str) -> Result<Option<StoredFile>, StoreError> {
        self.read(|view| files::one(view, name))
    }

    /// All files, by name.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn files(&self) -> Result<Vec<StoredFile>, StoreError> {
        self.read(files::all)
    }

    /// Puts a job list in place of the one that is there.
    ///
    /// # Errors
    /// Two jobs of one name; the disk is full, the store locked or damaged. Nothing is changed then.
    pub fn put_jobs(&mut self, jobs: &[StoredJob]) -> Result<(), StoreError> {
        self.write(|view| {
            jobs::clear(view)?;
            jobs::append(view, jobs)
        })
    }

    /// Puts jobs behind those that are there.
    ///
    /// # Errors
    /// A job of that name is there; the disk is full, the store locked or damaged. Nothing is changed then.
    pub fn add_jobs(&mut self, jobs: &[StoredJob]) -> Result<(), StoreError> {
        self.write(|view| jobs::append(view, jobs))
    }

    /// All jobs, in the order of their list.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn jobs(&self) -> Result<Vec<StoredJob>, StoreError> {
        self.read(jobs::all)
    }

    /// A plan by what it was made of.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn plan(&self, key: &str) -> Result<Option<String>, StoreError> {
        self.read(|view| plans::one(view, key))
    }

    /// How many plans are kept.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn plan_count(&self) -> Result<usize, StoreError> {
        self.read(|view| {
            let rows: Vec<i64> = view.rows("SELECT count(*) FROM plan", [], |row| row.get(0))?;
            Ok(rows.first().map_or(0, |count| *count as usize))
        })
    }

    /// Keeps a plan; one that was made of the same is replaced.
    ///
    /// # Errors
    /// The disk is full, the store locked or damaged.
    pub fn keep_plan(&mut self, key: &str, text: &str) -> Result<(), StoreError> {
        self.keep_plans(&[(key, text)])
    }

    /// Keeps plans, each by its key, in one transaction: one wait for the disk instead of one a plan.
    ///
    /// # Errors
    /// The disk is full, the store locked or damaged. None is kept then.
    pub fn keep_plans<K: AsRef<str>, T: AsRef<str>>(
        &mut self,
        plans: &[(K, T)],
    ) -> Result<(), StoreError> {
        self.write(|view| {
            let mut plans = plans.iter();
            plans.try_for_each(|(key, text)| plans::keep(view, key.as_ref(), text.as_ref()))
        })
    }

    /// Takes out the plans whose keys are not among these; returns how many. The file does not get smaller: the room is
    /// used again.
    ///
    /// # Errors
    /// The disk is full, the store locked or damaged. Nothing is changed then.
    pub fn forget_plans_but<K: AsRef<str>>(&mut self, keys: &[K]) -> Result<usize, StoreError> {
        self.write(|view| plans::forget_but(view, keys))
    }

    /// Lays the file out anew with its plans by key: its bytes then do not tell in which order plans were kept.
    ///
    /// # Errors
    /// The disk is full, the store locked or damaged. What it holds is kept.
    pub fn compact(&mut self) -> Result<(), StoreError> {
        self.write(plans::sort)?;
        let refuse = |error| StoreError::of(&self.path, &error);
        self.connection.execute_batch("VACUUM").map_err(refuse)
    }

    /// Appends what was recorded at a job's boat; returns its serial number. The job need not be in the list any more.
    ///
    /// # Errors
    /// The disk is full, the store locked or damaged.
    pub fn note(&mut self, job: &str, text: &str) -> Result<i64, StoreError> {
        self.write(|view| notes::append(view, job, text))
    }

    /// All notes, in the order in which they were recorded.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn notes(&self) -> Result<Vec<StoredNote>, StoreError> {
        self.read(notes::all)
    }

    /// The notes of a job, in the order in which they were recorded.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn notes_of(&self, job: &str) -> Result<Vec<StoredNote>, StoreError> {
        self.read(|view| notes::of(view, job))
    }

    /// All that it holds, of one moment.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn contents(&self) -> Result<Contents, StoreError> {
        self.read(contents)
    }

    /// Puts in what another store held: files and jobs take the place of those that are there, plans and notes come to
    /// those that are there. Notes keep their serial numbers where these are free for all of them, else all get new ones.
    ///
    /// # Errors
    /// Two jobs or files of one name; the disk is full, the store locked or damaged. Nothing is changed then.
    pub fn put_contents(&mut self, from: &Contents) -> Result<(), StoreError> {
        unique(Kind::File, from.files.iter().map(|file| file.name.as_str()))?;
        self.write(|view| {
            files::clear(view)?;
            from.files
                .iter()
                .try_for_each(|file| files::put(view, file))?;
            jobs::clear(view)?;
            jobs::append(view, &from.jobs)?;
            from.plans
                .iter()
                .try_for_each(|plan| plans::keep(view, &plan.key, &plan.text))?;
            let none_there = notes::all(view)?.is_empty();
            let rising = from.notes.is_sorted_by(|a, b| a.serial < b.serial);
            let from_one = from.notes.first().is_none_or(|note| note.serial >= 1);
            for note in &from.notes {
                if none_there && rising && from_one {
                    notes::insert(view, note.serial, &note.job, &note.text)?;
                } else {
                    notes::append(view, &note.job, &note.text)?;
                }
            }
            Ok(())
        })
    }

    /// All that it holds as text: the same for two stores that hold the same.
    ///
    /// # Errors
    /// The store is damaged or locked.
    pub fn dump(&self) -> Result<String, StoreError> {
        Ok(self.contents()?.to_string())
    }

    /// Looks whether every page of the file and every record is whole.
    ///
    /// # Errors
    /// It is not.
    pub fn check(&self) -> Result<(), StoreError> {
        self.read(|view| {
            let told: Vec<String> = view.rows("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
            if told != ["ok"] {
                return Err(view.damaged(told.join("; ")));
            }
            let strays = view.rows("PRAGMA foreign_key_check", [], |row| {
                row.get::<_, String>(0)
            })?;
            if let Some(table) = strays.first() {
                return Err(view.damaged(format!(
                    "the table '{table}' has rows that belong to nothing"
                )));
            }
            schema::check_meta(view)?;
            contents(view).map(drop)
        })
    }
}

fn contents(view: &View) -> Result<Contents, StoreError> {
    Ok(Contents {
        files: files::all(view)?,
        jobs: jobs::all(view)?,
        plans: plans::all(view)?,
        notes: notes::all(view)?,
    })
}
