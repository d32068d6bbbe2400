//! What lies on the disk when the machine stops in the middle of writing.

use super::*;
use std::fs;

/// Copies a store, with or without its journal, as it lies on the disk.
fn as_it_lies(path: &Path, to: &Path, with_journal: bool) -> PathBuf {
    fs::create_dir(to).unwrap();
    let copy = to.join("season.sqlite");
    fs::copy(path, &copy).unwrap();
    let journal = path.with_extension("sqlite-journal");
    if with_journal {
        fs::copy(journal, copy.with_extension("sqlite-journal")).unwrap();
    }
    copy
}

/// The pages of a transaction are on the disk, its end is not: as if the power went away just then.
#[test]
fn half_a_transaction_is_taken_back() {
    let (home, path) = fresh();
    let mut store = full(&path);
    let before = store.dump().unwrap();
    let (all, alone) = store
        .write(|view| {
            jobs::clear(view)?;
            let many: Vec<StoredJob> = (0..500)
                .map(|number| job(&format!("new {number}")))
                .collect();
            jobs::append(view, &many)?;
            plans::keep(view, "key 1", "new")?;
            notes::append(view, "Wren", "new")?;
            view.connection.cache_flush().unwrap();
            let all = as_it_lies(&path, &home.path().join("all"), true);
            Ok((all, as_it_lies(&path, &home.path().join("alone"), false)))
        })
        .unwrap();
    let found = Store::open(&all).unwrap();
    found.check().unwrap();
    assert_eq!(found.dump().unwrap(), before);
    assert_eq!(lying(all.parent().unwrap()).len(), 1, "the journal is gone");
    // Without the journal the same bytes are not the old ones: there was something to take back.
    let without = Store::open(&alone).and_then(|store| store.dump());
    assert!(without.is_err() || without.unwrap() != before);
}

/// The first page is on the disk, those behind the old end are not: it then tells of more pages than there are. Only the
/// journal knows that this is no damage.
#[test]
fn a_file_that_had_not_grown_yet_is_taken_back() {
    // Bytes 28 to 31 of the file: its pages (SQLite, "Database File Format").
    const PAGES: std::ops::Range<usize> = 28..32;
    let (home, path) = fresh();
    let mut store = full(&path);
    let before = store.dump().unwrap();
    let mut bytes = fs::read(&path).unwrap();
    let copy = store
        .write(|view| {
            plans::keep(view, "long", &"x".repeat(100_000))?;
            view.connection.cache_flush().unwrap();
            Ok(as_it_lies(&path, &home.path().join("copy"), true))
        })
        .unwrap();
    let pages = u32::from_be_bytes(bytes[PAGES].try_into().unwrap());
    bytes[PAGES].copy_from_slice(&(pages + 4).to_be_bytes());
    fs::write(&copy, &bytes).unwrap();
    assert!(is_store(&copy));
    let found = Store::open(&copy).unwrap();
    found.check().unwrap();
    assert_eq!(found.dump().unwrap(), before);
    // Without its journal the same file is damaged.
    let alone = home.path().join("alone.sqlite");
    fs::write(&alone, &bytes).unwrap();
    let error = Store::open(&alone)
        .and_then(|store| store.check())
        .unwrap_err();
    assert!(matches!(error, StoreError::Damaged { .. }), "{error}");
    assert_eq!(fs::read(&alone).unwrap(), bytes);
}

/// The journal is cut off anywhere, as when its end did not come to the disk: SQLite writes no page before its journal is
/// safe, so the store's own pages are still the old ones.
#[test]
fn half_a_journal_changes_nothing() {
    let (home, path) = fresh();
    let mut store = full(&path);
    let before = store.dump().unwrap();
    let old = fs::read(&path).unwrap();
    let journal = store
        .write(|view| {
            jobs::clear(view)?;
            view.connection.cache_flush().unwrap();
            Ok(fs::read(path.with_extension("sqlite-journal")).unwrap())
        })
        .unwrap();
    let copy = home.path().join("copy.sqlite");
    for length in (0..journal.len()).step_by(997) {
        fs::write(&copy, &old).unwrap();
        fs::write(copy.with_extension("sqlite-journal"), &journal[..length]).unwrap();
        let found = Store::open(&copy).unwrap();
        found.check().unwrap();
        assert_eq!(
            found.dump().unwrap(),
            before,
            "{length} of {}",
            journal.len()
        );
    }
}

/// A store that another program gave a write-ahead log becomes one file again.
#[test]
fn a_log_is_folded_in() {
    let (home, path) = fresh();
    let before = full(&path).dump().unwrap();
    let other = Connection::open(&path).unwrap();
    let mode: String = other
        .query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0))
        .unwrap();
    assert_eq!(mode, "wal");
    drop(other);
    let mut store = Store::open(&path).unwrap();
    assert_eq!(store.dump().unwrap(), before);
    store.note("Wren", "[]").unwrap();
    assert_eq!(lying(home.path()).len(), 1, "neither log nor shared memory");
    // Bytes 18 and 19 of the file tell the way of writing: 1 is a rollback journal (SQLite, "Database File Format").
    assert_eq!(fs::read(&path).unwrap().get(18..20), Some(&[1, 1][..]));
}

#[test]
fn the_settings_hold() {
    let (_home, path) = fresh();
    let store = full(&path);
    for (name, value) in [
        ("synchronous", "3"),
        ("journal_mode", "delete"),
        ("foreign_keys", "1"),
        ("trusted_schema", "0"),
    ] {
        let found = store.connection.pragma_query_value(None, name, |row| {
            Ok(row
                .get::<_, String>(0)
                .or_else(|_| row.get::<_, i64>(0).map(|number| number.to_string())))
        });
        assert_eq!(found.unwrap().unwrap(), value, "{name}");
    }
}
