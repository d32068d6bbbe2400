//! What hulltent itself wrote into a folder, so that nothing else is ever replaced.
//!
//! A file beside the outputs holds a checksum of each. An existing file whose bytes have no checksum there is a person's:
//! it was edited, or came from elsewhere. Where the list is missing, as in a folder of an earlier version, only files that
//! would not change may be written again.

use super::Fault;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Name of the list of checksums in an output folder.
pub(super) const NAME: &str = ".hulltent.written";

/// The first line of the list.
const HEAD: &str = "# Checksums of the files that hulltent wrote here (64-bit FNV-1a). A file that differs was edited and is never replaced.\n";

/// The checksums of the files that hulltent wrote into a folder, by name.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Manifest(BTreeMap<String, BTreeSet<u64>>);

impl Manifest {
    /// Reads the list of a folder; empty where there is none. Lines that are no checksums are passed over.
    pub fn read(folder: &Path) -> Manifest {
        let text = fs::read_to_string(folder.join(NAME)).unwrap_or_default();
        let mut manifest = Manifest::default();
        for line in text.lines() {
            if let Some((sum, name)) = line.split_once("  ")
                && let Ok(sum) = u64::from_str_radix(sum, 16)
            {
                manifest.0.entry(name.to_owned()).or_default().insert(sum);
            }
        }
        manifest
    }

    /// Whether a file of that name and these bytes was written by hulltent.
    pub fn has(&self, name: &str, bytes: &[u8]) -> bool {
        let sums = self.0.get(&on_one_line(name));
        sums.is_some_and(|sums| sums.contains(&checksum(bytes)))
    }

    /// Adds a file that is about to be written.
    pub fn add(&mut self, name: &str, bytes: &[u8]) {
        let sums = self.0.entry(on_one_line(name)).or_default();
        sums.insert(checksum(bytes));
    }

    /// Forgets a file.
    pub fn remove(&mut self, name: &str) {
        self.0.remove(&on_one_line(name));
    }

    /// The list as text.
    pub fn text(&self) -> String {
        let mut text = HEAD.to_owned();
        for (name, sums) in &self.0 {
            for sum in sums {
                text.push_str(&format!("{sum:016x}  {name}\n"));
            }
        }
        text
    }
}

/// A name may hold a line break.
fn on_one_line(name: &str) -> String {
    name.escape_debug().to_string()
}

/// The 64-bit FNV-1a hash (Fowler, Noll, Vo). It tells edits, not forgeries.
fn checksum(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

/// An output that is to be written: its name, and its bytes where they are known already.
pub(super) type Wanted<'a> = (&'a str, Option<&'a [u8]>);

/// What to do about a file that is in the way.
const HINT: &str =
    "write into another folder (--out DIR), or move the file away first; nothing was written";

/// Looks whether an output would take the place of an input of the run.
///
/// # Errors
/// It would.
pub(super) fn check_input(output: &Path, inputs: &[PathBuf]) -> Result<(), Fault> {
    let Some(input) = inputs.iter().find(|input| is_same_file(input, output)) else {
        return Ok(());
    };
    Err(Fault::new(
        format!(
            "the output {} would replace the input {}",
            output.display(),
            input.display()
        ),
        HINT,
    ))
}

/// Looks whether outputs may be written into a folder: none may take the place of an input of the run, nor of a file that
/// hulltent did not write or that was edited since.
///
/// # Errors
/// One of them would; all that would are named.
pub(super) fn check<'a>(
    folder: &Path,
    outputs: impl IntoIterator<Item = Wanted<'a>>,
    inputs: &[PathBuf],
) -> Result<(), Fault> {
    let manifest = Manifest::read(folder);
    let mut foreign = Vec::new();
    for (name, bytes) in outputs {
        let path = folder.join(name);
        // A folder in the way is told by the writer.
        if path.is_dir() || path.symlink_metadata().is_err() {
            continue;
        }
        check_input(&path, inputs)?;
        let there = fs::read(&path).ok();
        let is_own = there.is_some_and(|there| {
            manifest.has(name, &there) || bytes.is_some_and(|bytes| bytes == there)
        });
        if !is_own {
            foreign.push(path.display().to_string());
        }
    }
    match foreign.len() {
        0 => Ok(()),
        count => Err(Fault::new(
            format!(
                "{} would be replaced, and {} not as hulltent wrote {}: edited, or from elsewhere",
                foreign.join(", "),
                if count == 1 { "is" } else { "are" },
                if count == 1 { "it" } else { "them" },
            ),
            HINT,
        )),
    }
}

/// Whether two paths lead to one file, through links of either kind.
fn is_same_file(a: &Path, b: &Path) -> bool {
    let real = |path: &Path| path.canonicalize().ok();
    (real(a).is_some() && real(a) == real(b)) || has_same_inode(a, b)
}

#[cfg(unix)]
fn has_same_inode(a: &Path, b: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (fs::metadata(a), fs::metadata(b)) {
        (Ok(a), Ok(b)) => (a.dev(), a.ino()) == (b.dev(), b.ino()),
        _ => false,
    }
}

#[cfg(not(unix))]
fn has_same_inode(_: &Path, _: &Path) -> bool {
    false
}

#[cfg(test)]
mod tests {
    use super::super::{check_outputs, remove_from, write_all};
    use super::*;

    fn files(text: &str) -> Vec<(String, Vec<u8>)> {
        vec![("film.csv".to_owned(), text.as_bytes().to_vec())]
    }

    #[test]
    fn only_own_files_are_replaced() {
        let home = tempfile::tempdir().unwrap();
        let (folder, path) = (home.path(), home.path().join("film.csv"));
        write_all(folder, &files("one"), &[]).unwrap();
        write_all(folder, &files("two"), &[]).unwrap();
        check_outputs(folder, ["film.csv"], &[]).unwrap();
        for (there, is_refused) in [("edited", true), ("three", false), ("one", true)] {
            fs::write(&path, there).unwrap();
            let written = write_all(folder, &files("three"), &[]);
            assert_eq!(written.is_err(), is_refused, "{there}");
            if let Err(fault) = written {
                assert!(fault.what.contains("film.csv"), "{fault}");
                assert!(fault.hint.contains("--out"), "{fault}");
                assert_eq!(fs::read_to_string(&path).unwrap(), there);
                assert_eq!(check_outputs(folder, ["film.csv"], &[]), Err(fault));
            }
        }
        // A folder of an earlier version: what would not change is taken over.
        fs::remove_file(folder.join(NAME)).unwrap();
        fs::write(&path, "four").unwrap();
        assert!(write_all(folder, &files("five"), &[]).is_err());
        write_all(folder, &files("four"), &[]).unwrap();
        write_all(folder, &files("five"), &[]).unwrap();
    }

    #[test]
    fn an_input_is_never_replaced_however_it_is_called() {
        let home = tempfile::tempdir().unwrap();
        let folder = home.path();
        // Written by hulltent and untouched: still the input of this run.
        write_all(folder, &files("one"), &[]).unwrap();
        let mut names = vec![folder.join("film.csv"), folder.join("./film.csv")];
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink(folder.join("film.csv"), folder.join("link")).unwrap();
            fs::hard_link(folder.join("film.csv"), folder.join("twin")).unwrap();
            names.extend([folder.join("link"), folder.join("twin")]);
        }
        for input in names {
            let fault = write_all(folder, &files("two"), std::slice::from_ref(&input)).unwrap_err();
            let named = input.display().to_string();
            assert!(fault.what.contains("would replace the input"), "{fault}");
            assert!(fault.what.contains(&named), "{fault}");
        }
        assert_eq!(fs::read(folder.join("film.csv")).unwrap(), b"one");
    }

    #[test]
    fn edited_pages_of_a_longer_run_stay() {
        let home = tempfile::tempdir().unwrap();
        let page = |number| format!("page-{number}.svg");
        let pages: Vec<_> = (1..=4).map(|n| (page(n), vec![b'x'])).collect();
        write_all(home.path(), &pages, &[]).unwrap();
        fs::write(home.path().join(page(3)), "mine").unwrap();
        assert_eq!(remove_from(home.path(), page, 2).unwrap(), [page(2)]);
        assert!(home.path().join(page(3)).exists() && home.path().join(page(4)).exists());
    }

    /// Test vectors from the authors' reference source (fnv test suite, 64-bit FNV-1a).
    #[test]
    fn published_vectors() {
        for (text, hash) in [
            ("", 0xcbf2_9ce4_8422_2325),
            ("foobar", 0x8594_4171_f739_67e8),
        ] {
            assert_eq!(checksum(text.as_bytes()), hash, "{text}");
        }
    }
}
