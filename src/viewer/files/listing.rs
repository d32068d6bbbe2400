//! What can be opened: boat files and folders that a typed path may go on with.

use std::fs;
use std::path::{Path, PathBuf};

/// Most names that are offered: a folder with more wants more typing.
const MOST: usize = 30;

/// The boat files and folders whose names begin as what was typed ends, folders with a stroke behind, sorted.
/// Hidden ones are only offered to who types their point.
pub fn listing(typed: &str) -> Vec<String> {
    let (folder, begun) = match typed.rfind(['/', std::path::MAIN_SEPARATOR]) {
        Some(at) => typed.split_at(at + 1),
        None => ("", typed),
    };
    let place = if folder.is_empty() {
        PathBuf::from(".")
    } else {
        PathBuf::from(folder)
    };
    let mut found: Vec<String> = fs::read_dir(place)
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|entry| {
            let name = entry.file_name().into_string().ok()?;
            let hidden = name.starts_with('.') && !begun.starts_with('.');
            let goes_on = name.to_lowercase().starts_with(&begun.to_lowercase());
            if hidden || !goes_on {
                return None;
            }
            // Through a link, too.
            let is_folder = entry.path().is_dir();
            let is_boat = Path::new(&name).extension().is_some_and(|end| end == "ron");
            (is_folder || is_boat).then(|| {
                let stroke = if is_folder { "/" } else { "" };
                format!("{folder}{name}{stroke}")
            })
        })
        .collect();
    found.sort();
    found.truncate(MOST);
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boat_files_and_folders_are_offered() {
        let home = tempfile::tempdir().unwrap();
        for name in ["a.ron", "Another.ron", "b.ron", "a.csv", ".hidden.ron"] {
            fs::write(home.path().join(name), "").unwrap();
        }
        fs::create_dir(home.path().join("aft")).unwrap();
        let base = format!("{}/", home.path().display());
        for (typed, wanted) in [
            ("", &["Another.ron", "a.ron", "aft/", "b.ron"][..]),
            ("a", &["Another.ron", "a.ron", "aft/"]),
            ("b", &["b.ron"]),
            (".h", &[".hidden.ron"]),
            ("z", &[]),
            ("none/", &[]),
        ] {
            let found = listing(&format!("{base}{typed}"));
            let wanted: Vec<String> = wanted.iter().map(|name| format!("{base}{name}")).collect();
            assert_eq!(found, wanted, "{typed}");
        }
    }
}
