//! Two writers, a full disk, damaged files, files of others. Kills are in `tests/season_store.rs`.

use super::*;
use std::fs;
use std::thread;

fn file(name: &str) -> StoredFile {
    StoredFile {
        name: name.to_owned(),
        text: format!("Boat(name: \"{name}\")"),
        companions: vec![("table.csv".to_owned(), "1,2".to_owned())],
    }
}

fn job(name: &str) -> StoredJob {
    StoredJob {
        name: name.to_owned(),
        cells: vec![
            ("name".to_owned(), name.to_owned()),
            ("boat".to_owned(), "a.ron".to_owned()),
        ],
    }
}

fn fresh() -> (tempfile::TempDir, PathBuf) {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("season.sqlite");
    (home, path)
}

#[test]
fn what_is_put_in_comes_out() {
    let (_home, path) = fresh();
    assert!(!is_store(&path));
    let mut store = Store::open_or_create(&path).unwrap();
    store
        .put_season(&[file("a.ron"), file("b.ron")], &[job("Wren"), job("Auk")])
        .unwrap();
    store.keep_plan("key", "{}").unwrap();
    store.keep_plan("key", "{\"a\":1}").unwrap();
    assert_eq!(store.note("Wren", "[1]").unwrap(), 1);
    assert_eq!(store.note("Wren", "[2]").unwrap(), 2);
    let before = store.dump().unwrap();
    drop(store);
    assert!(is_store(&path));
    let mut store = Store::open(&path).unwrap();
    assert_eq!(store.dump().unwrap(), before);
    assert_eq!(store.files().unwrap(), [file("a.ron"), file("b.ron")]);
    assert_eq!(store.jobs().unwrap(), [job("Wren"), job("Auk")]);
    assert_eq!(store.plan("key").unwrap().as_deref(), Some("{\"a\":1}"));
    assert_eq!(store.plan("other").unwrap(), None);
    // Another list takes the place of the first; plans and notes stay.
    store.put_season(&[], &[job("Knot")]).unwrap();
    assert_eq!(
        (store.jobs().unwrap().len(), store.files().unwrap().len()),
        (1, 0)
    );
    assert_eq!(store.notes().unwrap().len(), 2);
    assert!(store.plan("key").unwrap().is_some());
    // Two of one name: nothing is changed.
    assert!(store.put_season(&[], &[job("Smew"), job("Smew")]).is_err());
    assert_eq!(store.jobs().unwrap(), [job("Knot")]);
    store.check().unwrap();
}

#[test]
fn two_writers_wait_for_each_other() {
    const EACH: usize = 100;
    let (_home, path) = fresh();
    drop(Store::open_or_create(&path).unwrap());
    let writer = |name: &'static str| {
        let path = path.clone();
        thread::spawn(move || {
            let mut store = Store::open(&path).unwrap();
            for number in 0..EACH {
                store.note(name, &number.to_string()).unwrap();
            }
        })
    };
    let writers = [writer("Wren"), writer("Auk")];
    for writer in writers {
        writer.join().unwrap();
    }
    let notes = Store::open(&path).unwrap().notes().unwrap();
    assert_eq!(notes.len(), 2 * EACH);
    for name in ["Wren", "Auk"] {
        let own = notes.iter().filter(|note| note.job == name);
        let numbers: Vec<usize> = own.map(|note| note.text.parse().unwrap()).collect();
        assert_eq!(numbers, (0..EACH).collect::<Vec<_>>());
    }
}

#[test]
fn a_locked_store_is_told() {
    let (_home, path) = fresh();
    let mut store = Store::open_or_create(&path).unwrap();
    let other = Connection::open(&path).unwrap();
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    store
        .connection
        .busy_timeout(Duration::from_millis(50))
        .unwrap();
    let error = store.note("Wren", "[]").unwrap_err();
    assert!(matches!(error, StoreError::Locked(_)), "{error}");
    assert!(error.to_string().contains("another program") && error.hint().contains("wait"));
    other.execute_batch("COMMIT").unwrap();
    store.note("Wren", "[]").unwrap();
}

#[test]
fn a_full_disk_loses_nothing() {
    let (_home, path) = fresh();
    let mut store = Store::open_or_create(&path).unwrap();
    store.note("Wren", "kept").unwrap();
    let pages: i64 = store
        .connection
        .pragma_query_value(None, "page_count", |row| row.get(0))
        .unwrap();
    store
        .connection
        .execute_batch(&format!("PRAGMA max_page_count = {}", pages + 2))
        .unwrap();
    let long = "x".repeat(100_000);
    let error = store.keep_plan("key", &long).unwrap_err();
    assert!(matches!(error, StoreError::Full(_)), "{error}");
    assert!(error.hint().contains("make room"));
    drop(store);
    let mut store = Store::open(&path).unwrap();
    store.check().unwrap();
    assert_eq!(store.notes().unwrap().len(), 1);
    assert_eq!(store.plan("key").unwrap(), None);
    store.keep_plan("key", &long).unwrap();
}

#[test]
fn files_of_others_are_refused_and_left_alone() {
    let (home, path) = fresh();
    let text = home.path().join("list.csv");
    fs::write(&text, "name,boat\n").unwrap();
    let foreign = home.path().join("foreign.sqlite");
    Connection::open(&foreign)
        .unwrap()
        .execute_batch("CREATE TABLE song (name TEXT)")
        .unwrap();
    let newer = home.path().join("newer.sqlite");
    drop(Store::open_or_create(&newer).unwrap());
    Connection::open(&newer)
        .unwrap()
        .execute_batch("PRAGMA user_version = 7")
        .unwrap();
    for (file, part) in [
        (&text, "not a store of hulltent"),
        (&foreign, "not a store of hulltent"),
        (&newer, "newer hulltent"),
    ] {
        let before = fs::read(file).unwrap();
        for open in [Store::open, Store::open_or_create] {
            let error = open(file).unwrap_err();
            assert!(error.to_string().contains(part), "{error}");
            assert!(!error.hint().is_empty());
        }
        assert_eq!(fs::read(file).unwrap(), before, "{}", file.display());
    }
    assert!(matches!(Store::open(&path), Err(StoreError::Missing(_))));
    assert!(matches!(
        Store::open(home.path()),
        Err(StoreError::NoStore(_))
    ));
    assert!(!path.exists());
}

#[test]
fn damage_is_told_and_never_a_panic() {
    let (home, path) = fresh();
    let mut store = Store::open_or_create(&path).unwrap();
    let jobs: Vec<StoredJob> = (0..200).map(|k| job(&format!("boat {k}"))).collect();
    store.put_season(&[file("a.ron")], &jobs).unwrap();
    drop(store);
    let whole = fs::read(&path).unwrap();
    let damaged = home.path().join("damaged.sqlite");
    let mut told = 0;
    let mut seed = 1u64;
    for round in 0..40 {
        let mut bytes = whole.clone();
        if round % 4 == 0 {
            bytes.truncate(bytes.len() * (round + 1) / 50);
        } else {
            for _ in 0..200 {
                // A linear congruential generator (Knuth), so that every run damages the same bytes.
                seed = seed
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1_442_695_040_888_963_407);
                let place = (seed >> 33) as usize % bytes.len();
                bytes[place] ^= 0x55;
            }
        }
        fs::write(&damaged, &bytes).unwrap();
        let read = || -> Result<bool, StoreError> {
            let store = Store::open(&damaged)?;
            store.check()?;
            Ok(store.jobs()? == jobs)
        };
        match read() {
            Ok(same) => assert!(same, "round {round} lost something and did not say so"),
            Err(error) => {
                told += 1;
                assert!(error.to_string().contains("damaged.sqlite"), "{error}");
            }
        }
    }
    assert!(told > 30, "{told} of 40 were told");
}
