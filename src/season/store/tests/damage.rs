//! Bytes that changed or are missing are told, or made no difference.

use super::*;
use std::fs;

/// What opening, looking and reading say of damaged bytes; panics where something was lost in silence. Gives whether it
/// was told.
fn told(path: &Path, bytes: &[u8], contents: &Contents, what: &str) -> bool {
    fs::write(path, bytes).unwrap();
    let read = || -> Result<Contents, StoreError> {
        let store = Store::open(path)?;
        store.check()?;
        store.contents()
    };
    match read() {
        Ok(found) => {
            assert!(found == *contents, "{what}: something was lost in silence");
            false
        }
        Err(error) => {
            let told = error.to_string();
            assert!(
                told.contains("season.sqlite") && !error.hint().is_empty(),
                "{what}: {told}"
            );
            assert!(
                matches!(
                    error,
                    StoreError::Damaged { .. }
                        | StoreError::Foreign(_)
                        | StoreError::Newer { .. }
                        | StoreError::NoStore(_)
                        | StoreError::Empty(_)
                ),
                "{what}: {error:?}"
            );
            // Nor does it stop a reader that does not look first.
            if let Ok(store) = Store::open(path) {
                let _ = (
                    store.contents(),
                    store.plan("key 1"),
                    store.file("a.ron"),
                    store.notes_of("boat 1"),
                );
            }
            true
        }
    }
}

fn whole() -> (TempDir, PathBuf, Vec<u8>, Contents) {
    let (home, path) = fresh();
    let contents = full(&path).contents().unwrap();
    let bytes = fs::read(&path).unwrap();
    (home, path, bytes, contents)
}

/// How far apart single flips are. A prime, so that they come to every place within a page.
const STRIDE: usize = 61;

/// Whether at least as many changes were told as fell on texts, but for chance: bytes that nothing uses make no
/// difference, texts do.
fn enough(seen: usize, count: usize, length: usize, contents: &Contents) {
    let text = |file: &StoredFile| file.text.len();
    let texts = contents.files.iter().map(text).sum::<usize>()
        + contents
            .plans
            .iter()
            .map(|plan| plan.text.len())
            .sum::<usize>()
        + contents
            .jobs
            .iter()
            .flat_map(|job| &job.cells)
            .map(|(heading, text)| heading.len() + text.len())
            .sum::<usize>();
    let (share, on_texts) = (seen as f64 / count as f64, texts as f64 / length as f64);
    assert!(
        share > 0.9 * on_texts,
        "{seen} of {count} were told, {texts} of {length} bytes are texts"
    );
}

#[test]
fn single_bits() {
    let (_home, path, bytes, contents) = whole();
    let (mut count, mut seen) = (0, 0);
    for (turn, place) in (0..bytes.len()).step_by(STRIDE).enumerate() {
        let mut bad = bytes.clone();
        bad[place] ^= 1 << (turn % 8);
        count += 1;
        seen += usize::from(told(&path, &bad, &contents, &format!("byte {place}")));
    }
    enough(seen, count, bytes.len(), &contents);
}

#[test]
fn blocks_of_zeros_and_strange_bytes() {
    let (_home, path, bytes, contents) = whole();
    let (mut count, mut seen) = (0, 0);
    for start in (0..bytes.len()).step_by(512) {
        for fill in [0u8, 0xff] {
            let mut bad = bytes.clone();
            bad[start..]
                .iter_mut()
                .take(512)
                .for_each(|byte| *byte = fill);
            count += 1;
            seen += usize::from(told(
                &path,
                &bad,
                &contents,
                &format!("{fill} from {start}"),
            ));
        }
    }
    enough(seen, count, bytes.len(), &contents);
}

#[test]
fn cut_short() {
    let (_home, path, bytes, contents) = whole();
    for length in (0..bytes.len())
        .step_by(509)
        .chain([1, 15, 16, 99, 100, 4096, bytes.len() - 1])
    {
        let was = told(
            &path,
            &bytes[..length],
            &contents,
            &format!("{length} bytes"),
        );
        assert!(
            was,
            "{length} of {} bytes were taken for the whole",
            bytes.len()
        );
    }
}

/// The seals see what SQLite does not: a letter within a text.
#[test]
fn a_changed_letter_is_named() {
    let (_home, path, bytes, contents) = whole();
    for (old, new, message) in [
        (
            "{\"hours\":7}",
            "{\"hours\":8}",
            "note 8 is not what was written",
        ),
        ("Vorschiff", "Vorschifg", "the file"),
        ("by 'noon'", "by 'moon'", "the job"),
        ("{\"film\":3}", "{\"film\":4}", "the plan 'key 3'"),
    ] {
        // Wherever it stands: SQLite leaves old texts lying in pages that it will use again.
        let mut bad = bytes.clone();
        for place in 0..bytes.len() - old.len() {
            if bytes[place..].starts_with(old.as_bytes()) {
                bad[place..place + old.len()].copy_from_slice(new.as_bytes());
            }
        }
        assert!(told(&path, &bad, &contents, old));
        let store = Store::open(&path).unwrap();
        let pages: String = store
            .connection
            .query_row("PRAGMA integrity_check", [], |row| row.get(0))
            .unwrap();
        assert_eq!(pages, "ok", "SQLite alone does not see it");
        let error = store.check().unwrap_err().to_string();
        assert!(error.contains(message), "{error}");
    }
}
