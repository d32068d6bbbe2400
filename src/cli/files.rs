//! Writes files whole or not at all.

use super::report::Failure;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use tempfile::{Builder, NamedTempFile};

/// A file to write: its name and its bytes.
pub(super) type Bytes = (String, Vec<u8>);

/// Writes all files into a folder, which is made if need be. All are first written beside their places,
/// then renamed, so that a full disk or a missing right leaves the folder as it was.
pub(super) fn write_all(folder: &Path, files: &[Bytes]) -> Result<(), Failure> {
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

fn write_into(folder: &Path, files: &[Bytes]) -> Result<(), Failure> {
    let failed = |path: &Path, error: &dyn std::fmt::Display| {
        Failure::plain(
            format!("{} cannot be written: {error}", path.display()),
            "check the folder after --out, the room on the disk and your rights; nothing was left behind",
        )
    };
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
        file.write_all(bytes)
            .and_then(|()| file.flush())
            .map_err(|error| failed(&path, &error))?;
        ready.push((file, path));
    }
    for (file, path) in ready {
        file.persist(&path)
            .map_err(|error| failed(&path, &error.error))?;
    }
    Ok(())
}

/// Removes the numbered files from a number on: what an earlier, longer run left would be taken for part of
/// this one. Only plain files that are called exactly so are touched. Returns their names.
pub(super) fn remove_from(
    folder: &Path,
    name: impl Fn(usize) -> String,
    first: usize,
) -> Result<Vec<String>, Failure> {
    let mut removed = Vec::new();
    // Numbers have no gaps, unless somebody took a page away: then what follows is theirs to keep.
    for name in (first..).map(name) {
        let path = folder.join(&name);
        if !path.is_file() {
            break;
        }
        fs::remove_file(&path).map_err(|error| {
            Failure::plain(
                format!(
                    "{} is of an earlier run and cannot be removed: {error}",
                    path.display()
                ),
                "remove it by hand; everything else was written",
            )
        })?;
        removed.push(name);
    }
    Ok(removed)
}

/// Temporary files that end up with the rights of any other file.
fn builder() -> Builder<'static, 'static> {
    let mut builder = Builder::new();
    builder.prefix(".hulltent-");
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
        for name in kept.iter().chain(&["page-2.svg", "page-3.svg"]) {
            fs::write(home.path().join(name), "x").unwrap();
        }
        fs::create_dir(home.path().join("page-4.svg")).unwrap();
        let removed = remove_from(home.path(), page, 2).unwrap();
        assert_eq!(removed, ["page-2.svg", "page-3.svg"]);
        assert_eq!(remove_from(home.path(), page, 2).unwrap().len(), 0);
        for name in kept.iter().chain(&["page-4.svg"]) {
            assert!(home.path().join(name).exists(), "{name}");
        }
    }

    #[test]
    fn all_files_or_none() {
        let home = tempfile::tempdir().unwrap();
        let folder = home.path().join("a/b");
        let files = [("one", "1"), ("two", "22")].map(bytes);
        write_all(&folder, &files).unwrap();
        assert_eq!(names(&folder), ["one", "two"]);
        // A folder in the way of the second file: the first keeps its old bytes, nothing is left over.
        fs::remove_file(folder.join("two")).unwrap();
        fs::create_dir(folder.join("two")).unwrap();
        let newer = [("one", "new"), ("two", "22")].map(bytes);
        let failure = write_all(&folder, &newer).unwrap_err().to_string();
        assert!(
            failure.contains("two") && failure.contains("in the way"),
            "{failure}"
        );
        assert_eq!(names(&folder), ["one", "two"]);
        assert_eq!(fs::read(folder.join("one")).unwrap(), b"1");
        // A file where a folder is wanted: no folder is made on the way.
        let failure = write_all(&folder.join("one/c"), &files)
            .unwrap_err()
            .to_string();
        assert!(failure.contains("cannot be written"), "{failure}");
    }
}
