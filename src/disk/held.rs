//! A file that one process keeps writing and nobody else touches: work that is not saved yet.
//!
//! Each process has a file of its own, numbered, and holds a lock on it; the machine lets go of the lock when the
//! process ends, however it ends. A file whose lock is free has therefore been left behind. New bytes get their lock
//! before they take the place of the old ones, so that there is no moment without.

use super::Fault;
use super::write::unwritten;
use std::fs::{self, File, TryLockError};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};
use tempfile::{Builder, NamedTempFile};

/// A file held by this process.
#[derive(Debug)]
pub struct Held {
    path: PathBuf,
    /// Keeps the lock.
    file: File,
}

/// A file that was left behind, held from now on.
#[derive(Debug)]
pub struct Left {
    /// The file.
    pub held: Held,
    /// What is in it.
    pub bytes: Vec<u8>,
    /// When it was written.
    pub when: SystemTime,
}

/// What files that are not ready yet begin with, behind the point that hides them.
const PART: &str = "hulltent-part-";

/// A part that is older than this was left by a process that was stopped: writing takes far less.
const LONGEST_WRITING: Duration = Duration::from_secs(600);

/// Most numbers that are tried: so many windows on one boat nobody has.
const MOST: usize = 1000;

impl Held {
    /// Writes a new file, whole or not at all, under the first of its numbered names (from 1) that is free.
    ///
    /// # Errors
    /// The folder cannot be written into.
    pub fn create(
        folder: &Path,
        name: impl Fn(usize) -> String,
        bytes: &[u8],
    ) -> Result<Held, Fault> {
        let mut ready = ready(folder, bytes)?;
        for number in 1..=MOST {
            let path = folder.join(name(number));
            match ready.persist_noclobber(&path) {
                Ok(file) => return Ok(Held { path, file }),
                Err(error) if error.error.kind() == std::io::ErrorKind::AlreadyExists => {
                    ready = error.file;
                }
                Err(error) => return Err(unwritten(&path, &error.error)),
            }
        }
        Err(unwritten(folder, &"too many files of its kind are there"))
    }

    /// Where it lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Puts other bytes in its place, whole or not at all.
    ///
    /// # Errors
    /// The folder cannot be written into any more.
    pub fn replace(&mut self, bytes: &[u8]) -> Result<(), Fault> {
        let folder = super::read::folder_of(&self.path);
        self.file = ready(folder, bytes)?
            .persist(&self.path)
            .map_err(|error| unwritten(&self.path, &error.error))?;
        Ok(())
    }

    /// Takes it away.
    ///
    /// # Errors
    /// It cannot be removed.
    pub fn remove(self) -> Result<(), Fault> {
        match fs::remove_file(&self.path) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => Err(Fault::new(
                format!("{} cannot be removed: {error}", self.path.display()),
                "remove it by hand",
            )),
            _ => Ok(()),
        }
    }
}

/// Written, on the disk, and locked.
fn ready(folder: &Path, bytes: &[u8]) -> Result<NamedTempFile, Fault> {
    let prefix = format!(".{PART}");
    let failed = |error: &std::io::Error| unwritten(folder, error);
    let mut file = Builder::new()
        .prefix(&prefix)
        .tempfile_in(folder)
        .map_err(|error| failed(&error))?;
    // Where the file system has no locks, files are told apart by their numbers alone.
    let _ = file.as_file().try_lock();
    file.write_all(bytes)
        .and_then(|()| file.as_file().sync_data())
        .map_err(|error| failed(&error))?;
    Ok(file)
}

/// The files in a folder whose names begin so and that no process holds, the newest first. What a process that was
/// stopped left half written is cleared away on the way.
pub fn left_behind(folder: &Path, prefix: &str) -> Vec<Left> {
    let mut left = Vec::new();
    let Ok(entries) = fs::read_dir(folder) else {
        return left;
    };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let name = name.to_string_lossy();
        if name.starts_with(prefix) {
            left.extend(take(&entry.path()));
        } else if name
            .strip_prefix('.')
            .is_some_and(|name| name.starts_with(PART))
        {
            clear(&entry.path());
        }
    }
    left.sort_by(|a, b| {
        b.when
            .cmp(&a.when)
            .then_with(|| a.held.path.cmp(&b.held.path))
    });
    left
}

fn take(path: &Path) -> Option<Left> {
    let mut file = File::open(path).ok()?;
    if !free(&file) || !still_there(&file, path) {
        return None;
    }
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes).ok()?;
    let when = file.metadata().and_then(|data| data.modified()).ok()?;
    Some(Left {
        held: Held {
            path: path.to_owned(),
            file,
        },
        bytes,
        when,
    })
}

fn free(file: &File) -> bool {
    !matches!(file.try_lock(), Err(TryLockError::WouldBlock))
}

/// Whether the file that was opened is not one whose place another took before it was locked.
#[cfg(unix)]
fn still_there(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (file.metadata(), fs::metadata(path)) {
        (Ok(file), Ok(path)) => (file.dev(), file.ino()) == (path.dev(), path.ino()),
        _ => false,
    }
}

#[cfg(not(unix))]
fn still_there(_: &File, path: &Path) -> bool {
    path.exists()
}

fn clear(path: &Path) {
    let old = fs::metadata(path)
        .and_then(|data| data.modified())
        .is_ok_and(|when| when.elapsed().is_ok_and(|age| age > LONGEST_WRITING));
    if old && File::open(path).is_ok_and(|file| free(&file)) {
        // It is nobody's; if it cannot be removed, it does no harm.
        let _ = fs::remove_file(path);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(number: usize) -> String {
        format!(".boat.ron.unsaved-{number}")
    }

    fn left(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
        left_behind(folder, ".boat.ron.unsaved-")
            .into_iter()
            .map(|left| (left.held.path.clone(), left.bytes))
            .collect()
    }

    #[test]
    fn what_is_held_is_nobody_elses() {
        let home = tempfile::tempdir().unwrap();
        let folder = home.path();
        let mut first = Held::create(folder, name, b"one").unwrap();
        let second = Held::create(folder, name, b"two").unwrap();
        assert_eq!(second.path(), folder.join(name(2)));
        for round in 0..20 {
            first.replace(format!("one {round}").as_bytes()).unwrap();
            assert_eq!(left(folder), []);
        }
        drop(second);
        assert_eq!(left(folder), [(folder.join(name(2)), b"two".to_vec())]);
        // A third window neither takes nor destroys what was left.
        let third = Held::create(folder, name, b"three").unwrap();
        assert_eq!(third.path(), folder.join(name(3)));
        let found = left_behind(folder, ".boat.ron.unsaved-").remove(0);
        // Whoever found it holds it: a fourth window is not offered the same.
        assert_eq!(left(folder), []);
        found.held.remove().unwrap();
        first.remove().unwrap();
        third.remove().unwrap();
        assert_eq!(fs::read_dir(folder).unwrap().count(), 0);
    }

    #[test]
    fn half_written_parts_are_cleared_when_they_are_old() {
        let home = tempfile::tempdir().unwrap();
        let (young, old) = (
            home.path().join(".hulltent-part-a"),
            home.path().join(".hulltent-part-b"),
        );
        fs::write(&young, "half").unwrap();
        fs::write(&old, "half").unwrap();
        let long_ago = SystemTime::now() - 2 * LONGEST_WRITING;
        File::options()
            .write(true)
            .open(&old)
            .unwrap()
            .set_modified(long_ago)
            .unwrap();
        assert_eq!(left(home.path()), []);
        assert!(young.exists() && !old.exists());
    }

    #[test]
    fn a_folder_that_is_not_there_is_said() {
        let home = tempfile::tempdir().unwrap();
        let none = home.path().join("none");
        let fault = Held::create(&none, name, b"x").unwrap_err();
        assert!(fault.what.contains("cannot be written"), "{fault}");
        assert_eq!(left(&none), []);
    }
}
