//! No room, no right, another writer.

use super::*;
use std::fs;

/// Leaves no more pages than the file has and a few: SQLite then says that the disk is full.
fn limit(store: &Store, more: i64) {
    let pages: i64 = store
        .connection
        .pragma_query_value(None, "page_count", |row| row.get(0))
        .unwrap();
    store
        .connection
        .execute_batch(&format!("PRAGMA max_page_count = {}", pages + more))
        .unwrap();
}

#[test]
fn a_full_disk_loses_nothing() {
    let long = "x".repeat(100_000);
    type Attempt<'a> = &'a dyn Fn(&mut Store) -> Result<(), StoreError>;
    let many: Vec<StoredJob> = (0..2000).map(|number| job(&number.to_string())).collect();
    let attempts: [(&str, Attempt); 5] = [
        ("a plan", &|store| store.keep_plan("long", &long)),
        ("plans, of which the first finds room", &|store| {
            store.keep_plans(&[("short", "{}"), ("long", &long)])
        }),
        ("a note", &|store| store.note("boat 1", &long).map(drop)),
        ("a list in place of another", &|store| {
            store.put_season(&[], &many)
        }),
        ("contents", &|store| {
            let jobs = many.clone();
            store.put_contents(&Contents {
                jobs,
                ..Contents::default()
            })
        }),
    ];
    let (_home, path) = fresh();
    drop(full(&path));
    for (what, attempt) in attempts {
        for more in [0, 2] {
            let mut store = Store::open(&path).unwrap();
            let before = store.dump().unwrap();
            limit(&store, more);
            let error = attempt(&mut store).unwrap_err();
            assert!(matches!(error, StoreError::Full(_)), "{what}: {error}");
            assert!(
                error.to_string().contains("disk is full") && error.hint().contains("make room")
            );
            // Still in hand, and opened anew.
            assert_eq!(store.dump().unwrap(), before, "{what}");
            drop(store);
            let store = Store::open(&path).unwrap();
            store.check().unwrap();
            assert_eq!(store.dump().unwrap(), before, "{what}");
        }
    }
    // Once there is room again, it works.
    for (what, attempt) in attempts {
        let (_home, path) = fresh();
        let mut store = full(&path);
        limit(&store, 0);
        assert!(attempt(&mut store).is_err(), "{what}");
        limit(&store, 10_000);
        attempt(&mut store).unwrap();
        store.check().unwrap();
    }
}

#[test]
fn a_locked_store_is_told() {
    let (_home, path) = fresh();
    let mut store = full(&path);
    let other = Connection::open(&path).unwrap();
    for (lock, reads) in [("BEGIN IMMEDIATE", true), ("BEGIN EXCLUSIVE", false)] {
        other.execute_batch(lock).unwrap();
        store
            .connection
            .busy_timeout(Duration::from_millis(30))
            .unwrap();
        let error = store.note("Wren", "[]").unwrap_err();
        assert!(matches!(error, StoreError::Locked(_)), "{error}");
        let told = format!("{} is being written by another program", path.display());
        assert_eq!(error.to_string(), told);
        assert!(error.hint().contains("wait"));
        assert_eq!(store.notes().is_ok(), reads, "{lock}");
        other.execute_batch("COMMIT").unwrap();
    }
    assert_eq!(store.note("Wren", "[]").unwrap(), 11);
    // It is waited for: the other ends while this one waits.
    store.connection.busy_timeout(PATIENCE).unwrap();
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    thread::scope(|scope| {
        let waiting = scope.spawn(|| store.note("Wren", "[]"));
        thread::sleep(Duration::from_millis(100));
        other.execute_batch("COMMIT").unwrap();
        assert_eq!(waiting.join().unwrap().unwrap(), 12);
    });
}

#[test]
fn two_writers_wait_for_each_other() {
    const EACH: usize = 200;
    let (_home, path) = fresh();
    drop(Store::create(&path).unwrap());
    thread::scope(|scope| {
        for name in ["Wren", "Auk"] {
            let path = &path;
            scope.spawn(move || {
                let mut store = Store::open(path).unwrap();
                for number in 0..EACH {
                    store.note(name, &number.to_string()).unwrap();
                }
            });
        }
    });
    let store = Store::open(&path).unwrap();
    let notes = store.notes().unwrap();
    let serials: Vec<i64> = notes.iter().map(|note| note.serial).collect();
    assert_eq!(serials, (1..=2 * EACH as i64).collect::<Vec<_>>());
    for name in ["Wren", "Auk"] {
        let numbers: Vec<usize> = store
            .notes_of(name)
            .unwrap()
            .iter()
            .map(|note| note.text.parse().unwrap())
            .collect();
        assert_eq!(numbers, (0..EACH).collect::<Vec<_>>());
    }
    store.check().unwrap();
}

/// Many programs that start at once make one store.
#[test]
fn many_make_one_store() {
    let (home, path) = fresh();
    thread::scope(|scope| {
        for number in 0..8 {
            let path = &path;
            scope.spawn(move || {
                Store::open_or_create(path)
                    .unwrap()
                    .note("Wren", &number.to_string())
                    .unwrap();
            });
        }
    });
    assert_eq!(Store::open(&path).unwrap().notes().unwrap().len(), 8);
    assert_eq!(lying(home.path()).len(), 1);
}

/// A store that may not be written is read and tells who wants to write.
#[test]
fn a_store_that_may_not_be_written_is_read() {
    let (_home, path) = fresh();
    let before = full(&path).dump().unwrap();
    // As SQLite opens a file without the right to write; rights themselves do not hold back everybody.
    let mut store = Store::connect(&path, OpenFlags::SQLITE_OPEN_READ_ONLY).unwrap();
    schema::ready(&mut store.connection, &path).unwrap();
    let bytes = fs::read(&path).unwrap();
    assert_eq!(store.dump().unwrap(), before);
    store.check().unwrap();
    let error = store.note("Wren", "[]").unwrap_err();
    assert_eq!(
        error.to_string(),
        format!("{} may not be written", path.display())
    );
    assert!(error.hint().contains("folder"));
    assert_eq!(fs::read(&path).unwrap(), bytes);
}

#[cfg(unix)]
#[test]
fn a_new_store_is_not_for_one_person_alone() {
    use std::os::unix::fs::PermissionsExt;
    let (home, path) = fresh();
    drop(Store::create(&path).unwrap());
    let plain = home.path().join("plain");
    fs::write(&plain, "").unwrap();
    let rights = |path: &Path| fs::metadata(path).unwrap().permissions().mode();
    assert_eq!(rights(&path), rights(&plain));
}
