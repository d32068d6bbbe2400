//! Writes files whole or not at all.

use super::Fault;
use super::manifest::{self, Manifest};
use super::read::folder_of;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use tempfile::{Builder, NamedTempFile};

/// A file to write: its name and its bytes.
pub type Bytes = (String, Vec<u8>);

/// What to do about a file that cannot be written.
const HINT: &str =
    "check the folder, the room on the disk and your rights; nothing was left behind";

pub(super) fn unwritten(path: &Path, error: &dyn std::fmt::Display) -> Fault {
    Fault::new(
        format!("{} cannot be written: {error}", path.display()),
        HINT,
    )
}

/// Writes all files into a folder, which is made if need be. All are first written beside their places,
/// then renamed, so that a full disk or a missing right leaves the folder as it was. A list of checksums beside them tells
/// the next run what hulltent wrote here.
///
/// # Errors
/// A file would take the place of an input of the run, or of a file that is not as hulltent wrote it; the folder cannot
/// be made, or a file in it cannot be written. Nothing is written then.
pub fn write_all(folder: &Path, files: &[Bytes], inputs: &[PathBuf]) -> Result<(), Fault> {
    let outputs = files
        .iter()
        .map(|(name, bytes)| (name.as_str(), Some(bytes.as_slice())));
    manifest::check(folder, outputs, inputs)?;
    let made = made_folders(folder);
    let result = write_into(folder, files);
    if result.is_err() {
        // Folders made for nothing go away again; one that is not empty stays.
        for folder in made.iter().rev() {
            let _ = fs::remove_dir(folder);
        }
    }
    result
}

/// Looks before a long run whether [`write_all`] would refuse files of these names.
///
/// # Errors
/// It would.
pub fn check_outputs<'a>(
    folder: &Path,
    names: impl IntoIterator<Item = &'a str>,
    inputs: &[PathBuf],
) -> Result<(), Fault> {
    manifest::check(folder, names.into_iter().map(|name| (name, None)), inputs)
}

/// Looks whether a picture may be written under a name: in place of a PNG picture or of nothing.
///
/// # Errors
/// It would take the place of an input of the run, or of a file that is no PNG picture.
pub fn check_picture(path: &Path, inputs: &[PathBuf]) -> Result<(), Fault> {
    // Source: W3C, "Portable Network Graphics (PNG) Specification", 5.2, the signature (from memory; every picture of ours has it).
    const SIGNATURE: &[u8] = b"\x89PNG\r\n\x1a\n";
    let Ok(there) = fs::read(path) else {
        return Ok(());
    };
    manifest::check_input(path, inputs)?;
    if there.starts_with(SIGNATURE) {
        return Ok(());
    }
    Err(Fault::new(
        format!(
            "{} would be replaced, and is no PNG picture",
            path.display()
        ),
        "give the picture another name; nothing was written",
    ))
}

/// Makes a folder this run's own until what is returned is dropped or the process ends. `None` where the machine cannot
/// lock folders.
///
/// # Errors
/// Another run has it.
pub fn claim(folder: &Path) -> Result<Option<fs::File>, Fault> {
    let Ok(opened) = fs::File::open(folder) else {
        return Ok(None);
    };
    match opened.try_lock() {
        Ok(()) => Ok(Some(opened)),
        Err(fs::TryLockError::WouldBlock) => Err(Fault::new(
            format!("another run is writing into {}", folder.display()),
            "wait until it has ended, or write into another folder (--out DIR)",
        )),
        Err(fs::TryLockError::Error(_)) => Ok(None),
    }
}

/// The folders on the way that do not exist yet, the outermost first.
fn made_folders(folder: &Path) -> Vec<PathBuf> {
    let mut missing: Vec<PathBuf> = folder
        .ancestors()
        .take_while(|folder| !folder.as_os_str().is_empty() && !folder.exists())
        .map(Path::to_owned)
        .collect();
    missing.reverse();
    missing
}

fn write_into(folder: &Path, files: &[Bytes]) -> Result<(), Fault> {
    let failed = unwritten;
    fs::create_dir_all(folder).map_err(|error| failed(folder, &error))?;
    let mut ready: Vec<(NamedTempFile, PathBuf)> = Vec::new();
    for (name, bytes) in files {
        let path = folder.join(name);
        if path.is_dir() {
            return Err(failed(&path, &"a folder of that name is in the way"));
        }
        let mut file = builder()
            .tempfile_in(folder)
            .map_err(|error| failed(&path, &error))?;
        // The machine lets go of the lock when the process ends, however it ends: see `clear_parts`.
        let _ = file.as_file().try_lock();
        file.write_all(bytes)
            .and_then(|()| file.flush())
            .map_err(|error| failed(&path, &error))?;
        ready.push((file, path));
    }
    // Both what is there and what comes is known before anything is replaced: a run may be stopped at any point.
    let mut both = Manifest::read(folder);
    let mut after = both.clone();
    for (name, bytes) in files {
        after.remove(name);
        after.add(name, bytes);
        if let Ok(there) = fs::read(folder.join(name)) {
            both.remove(name);
            both.add(name, &there);
        }
        both.add(name, bytes);
    }
    keep(folder, &both)?;
    for (file, path) in ready {
        file.persist(&path)
            .map_err(|error| failed(&path, &error.error))?;
    }
    if both == after {
        Ok(())
    } else {
        keep(folder, &after)
    }
}

/// Writes the list of what hulltent wrote.
fn keep(folder: &Path, manifest: &Manifest) -> Result<(), Fault> {
    let path = folder.join(manifest::NAME);
    let failed = |error: &std::io::Error| unwritten(&path, error);
    let mut file = builder()
        .tempfile_in(folder)
        .map_err(|error| failed(&error))?;
    file.write_all(manifest.text().as_bytes())
        .map_err(|error| failed(&error))?;
    file.persist(&path).map_err(|error| failed(&error.error))?;
    Ok(())
}

/// Writes one file in place of what is there, or leaves that as it was. It is safe on the disk before it takes the
/// place, so that not even a machine that stops leaves half of it. The file behind a link is replaced, not the link,
/// and keeps its rights.
///
/// # Errors
/// The folder is not there, the file may not be written, or the disk is full.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), Fault> {
    let failed = |error: &dyn std::fmt::Display| unwritten(path, error);
    // What is no link, or not there yet, is its own place.
    let place = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    if place.is_dir() {
        return Err(failed(&"a folder of that name is in the way"));
    }
    let before = fs::metadata(&place).ok().map(|data| data.permissions());
    if before.as_ref().is_some_and(fs::Permissions::readonly) {
        return Err(Fault::new(
            format!("{} may not be written: it is read-only", path.display()),
            "write under another name, or make it writable",
        ));
    }
    let folder = folder_of(&place);
    if !folder.is_dir() {
        return Err(Fault::new(
            format!(
                "{} cannot be written: there is no folder {}",
                path.display(),
                folder.display()
            ),
            "make the folder first, or name another",
        ));
    }
    let mut file = builder()
        .tempfile_in(folder)
        .map_err(|error| failed(&error))?;
    file.write_all(bytes)
        .and_then(|()| match before {
            Some(rights) => file.as_file().set_permissions(rights),
            None => Ok(()),
        })
        .and_then(|()| file.as_file().sync_all())
        .map_err(|error| failed(&error))?;
    file.persist(&place).map_err(|error| failed(&error.error))?;
    Ok(())
}

/// Writes a file under the first of its numbered names (from 1) that is free; nothing is ever replaced. Returns where
/// it lies.
///
/// # Errors
/// The folder cannot be written into.
pub fn write_new(
    folder: &Path,
    name: impl Fn(usize) -> String,
    bytes: &[u8],
) -> Result<PathBuf, Fault> {
    let mut file = builder()
        .tempfile_in(folder)
        .map_err(|error| unwritten(&folder.join(name(1)), &error))?;
    file.write_all(bytes)
        .and_then(|()| file.flush())
        .map_err(|error| unwritten(&folder.join(name(1)), &error))?;
    for number in 1..=MAX_NUMBERS {
        let path = folder.join(name(number));
        match file.persist_noclobber(&path) {
            Ok(_) => return Ok(path),
            Err(error) if error.error.kind() == std::io::ErrorKind::AlreadyExists => {
                file = error.file;
            }
            Err(error) => return Err(unwritten(&path, &error.error)),
        }
    }
    Err(unwritten(folder, &"its numbers are all taken"))
}

/// Most numbers that are tried for a new file.
const MAX_NUMBERS: usize = 10_000;

/// Removes the numbered files from a number on: what an earlier, longer run left would be taken for part of
/// this one. Only plain files that are called exactly so, and are as hulltent wrote them, are touched. Returns their names.
///
/// # Errors
/// One of them cannot be removed.
pub fn remove_from(
    folder: &Path,
    name: impl Fn(usize) -> String,
    first: usize,
) -> Result<Vec<String>, Fault> {
    let mut removed = Vec::new();
    let mut manifest = Manifest::read(folder);
    // Numbers have no gaps, unless somebody took a page away: then what follows is theirs to keep.
    for name in (first..).map(name) {
        let path = folder.join(&name);
        let is_own = fs::read(&path).is_ok_and(|bytes| manifest.has(&name, &bytes));
        if !path.is_file() || !is_own {
            break;
        }
        fs::remove_file(&path).map_err(|error| {
            Fault::new(
                format!(
                    "{} is of an earlier run and cannot be removed: {error}",
                    path.display()
                ),
                "remove it by hand; everything else was written",
            )
        })?;
        manifest.remove(&name);
        removed.push(name);
    }
    if !removed.is_empty() {
        keep(folder, &manifest)?;
    }
    Ok(removed)
}

/// Makes a folder with those above it, where it is not there.
///
/// # Errors
/// It may not be made, or a file is in the way.
pub fn make_folder(folder: &Path) -> Result<(), Fault> {
    fs::create_dir_all(folder).map_err(|error| unwritten(folder, &error))
}

/// Removes what processes that were stopped while they wrote into a folder left there; what others write just now stays.
pub fn clear_parts(folder: &Path) {
    let Ok(entries) = folder.read_dir() else {
        return;
    };
    for path in entries.flatten().map(|entry| entry.path()) {
        let name = path
            .file_name()
            .map(|name| name.to_string_lossy().into_owned());
        let is_part = name.is_some_and(|name| name.starts_with(PART));
        let left = || fs::File::open(&path).is_ok_and(|file| file.try_lock().is_ok());
        if is_part && left() {
            // What cannot be removed harms nobody.
            let _ = fs::remove_file(&path);
        }
    }
}

/// What files that are not ready yet begin with.
const PART: &str = ".hulltent-";

/// Temporary files that end up with the rights of any other file.
fn builder() -> Builder<'static, 'static> {
    let mut builder = Builder::new();
    builder.prefix(PART);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    fn bytes((name, text): (&str, &str)) -> Bytes {
        (name.to_owned(), text.as_bytes().to_vec())
    }

    #[test]
    fn pages_of_a_longer_run_go_away() {
        let home = tempfile::tempdir().unwrap();
        let page = |number| format!("page-{number}.svg");
        let kept = ["page-1.svg", "page-6.svg", "page-x.svg", "mine"];
        let all = kept.iter().chain(&["page-2.svg", "page-3.svg"]);
        let all: Vec<Bytes> = all.map(|name| bytes((name, "x"))).collect();
        write_all(home.path(), &all, &[]).unwrap();
        fs::create_dir(home.path().join("page-4.svg")).unwrap();
        let removed = remove_from(home.path(), page, 2).unwrap();
        assert_eq!(removed, ["page-2.svg", "page-3.svg"]);
        assert_eq!(remove_from(home.path(), page, 2).unwrap().len(), 0);
        for name in kept.iter().chain(&["page-4.svg"]) {
            assert!(home.path().join(name).exists(), "{name}");
        }
    }

    #[test]
    fn one_file_takes_the_place_of_another_or_none_does() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("boat.ron");
        write_file(&path, b"one").unwrap();
        write_file(&path, b"two").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"two");
        let mut rights = fs::metadata(&path).unwrap().permissions();
        rights.set_readonly(true);
        fs::set_permissions(&path, rights).unwrap();
        fs::create_dir(home.path().join("folder")).unwrap();
        for (path, part) in [
            (path.clone(), "read-only"),
            (home.path().join("folder"), "in the way"),
            (home.path().join("none/boat.ron"), "no folder"),
            (path.join("boat.ron"), "no folder"),
        ] {
            let fault = write_file(&path, b"three").unwrap_err();
            assert!(fault.what.contains(part), "{fault}");
            assert!(!fault.hint.is_empty());
        }
        assert_eq!(fs::read(&path).unwrap(), b"two");
        assert_eq!(names(home.path()), ["boat.ron", "folder"]);
    }

    #[test]
    fn new_files_replace_none() {
        let home = tempfile::tempdir().unwrap();
        let name = |number| format!("boat-{number}.png");
        fs::write(home.path().join(name(2)), "mine").unwrap();
        for (bytes, wanted) in [(b"a", 1), (b"b", 3)] {
            let path = write_new(home.path(), name, bytes).unwrap();
            assert_eq!(path, home.path().join(name(wanted)));
            assert_eq!(fs::read(path).unwrap(), bytes);
        }
        assert_eq!(fs::read(home.path().join(name(2))).unwrap(), b"mine");
        let fault = write_new(&home.path().join("none"), name, b"x").unwrap_err();
        assert!(fault.what.contains("cannot be written"), "{fault}");
    }

    #[cfg(unix)]
    #[test]
    fn links_and_rights_stay() {
        use std::os::unix::fs::PermissionsExt;
        let home = tempfile::tempdir().unwrap();
        let (path, link) = (home.path().join("boat.ron"), home.path().join("link.ron"));
        fs::write(&path, b"one").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        std::os::unix::fs::symlink(&path, &link).unwrap();
        write_file(&link, b"two").unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(fs::read(&path).unwrap(), b"two");
        let mode = fs::metadata(&path).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o640);
    }

    #[test]
    fn all_files_or_none() {
        let home = tempfile::tempdir().unwrap();
        let folder = home.path().join("a/b");
        let files = [("one", "1"), ("two", "22")].map(bytes);
        write_all(&folder, &files, &[]).unwrap();
        assert_eq!(names(&folder), [manifest::NAME, "one", "two"]);
        // A folder in the way of the second file: the first keeps its old bytes, nothing is left over.
        fs::remove_file(folder.join("two")).unwrap();
        fs::create_dir(folder.join("two")).unwrap();
        let newer = [("one", "new"), ("two", "22")].map(bytes);
        let failure = write_all(&folder, &newer, &[]).unwrap_err().to_string();
        assert!(
            failure.contains("two") && failure.contains("in the way"),
            "{failure}"
        );
        assert_eq!(names(&folder), [manifest::NAME, "one", "two"]);
        assert_eq!(fs::read(folder.join("one")).unwrap(), b"1");
        // A file where a folder is wanted: no folder is made on the way.
        let failure = write_all(&folder.join("one/c"), &files, &[])
            .unwrap_err()
            .to_string();
        assert!(failure.contains("cannot be written"), "{failure}");
    }
}
