//! What is no store, or not one for this version, is refused and left as it is.

use super::*;
use std::fs;

/// Opens in every way; each must tell this and leave every byte of the folder alone.
fn refused(path: &Path, message: &str) {
    let folder = path.parent().unwrap();
    let before = lying(folder);
    for open in [Store::open, Store::open_or_create] {
        let error = open(path).unwrap_err();
        let told = error.to_string();
        assert!(told.contains(message), "{told}");
        assert!(told.contains(path.to_str().unwrap()), "{told}");
        assert!(!told.ends_with('.') && !error.hint().ends_with('.') && !error.hint().is_empty());
        assert!(lying(folder) == before, "{message}: something was changed");
    }
    let error = Store::create(path).unwrap_err();
    assert!(matches!(error, StoreError::Exists(_)), "{error}");
    assert!(lying(folder) == before, "{message}: something was changed");
}

#[test]
fn other_files_are_refused() {
    let (home, path) = fresh();
    let at = |name: &str| home.path().join(name);
    let sql = |path: &Path, change: &str| {
        Connection::open(path)
            .unwrap()
            .execute_batch(change)
            .unwrap()
    };
    drop(full(&path));
    let whole = fs::read(&path).unwrap();

    fs::write(at("list.csv"), "name,boat\n").unwrap();
    fs::write(at("long.csv"), "name,boat\n".repeat(1000)).unwrap();
    fs::write(at("one byte"), "S").unwrap();
    fs::write(at("empty"), "").unwrap();
    fs::write(at("head"), &whole[..16]).unwrap();
    fs::write(at("half a page"), &whole[..2000]).unwrap();
    fs::create_dir(at("folder")).unwrap();
    sql(&at("foreign"), "CREATE TABLE song (name TEXT)");
    sql(
        &at("marked"),
        "PRAGMA application_id = 17; CREATE TABLE job (name TEXT)",
    );
    sql(
        &at("logged"),
        "PRAGMA journal_mode = WAL; CREATE TABLE song (name TEXT)",
    );
    for (name, change) in [
        ("newer", "PRAGMA user_version = 7"),
        ("zero", "PRAGMA user_version = 0"),
        ("a table more", "CREATE TABLE song (name TEXT)"),
        (
            "a trigger more",
            "CREATE TRIGGER t AFTER INSERT ON plan BEGIN DELETE FROM job; END",
        ),
        ("a table less", "DROP TABLE plan"),
        ("a column more", "ALTER TABLE plan ADD COLUMN song TEXT"),
    ] {
        fs::write(at(name), &whole).unwrap();
        sql(&at(name), change);
    }
    for (name, message) in [
        ("list.csv", "is not a store of hulltent"),
        ("long.csv", "is not a store of hulltent"),
        ("one byte", "is not a store of hulltent"),
        ("empty", "is empty"),
        ("head", "is damaged"),
        ("half a page", "is damaged"),
        ("folder", "is a folder"),
        ("foreign", "belongs to another program"),
        ("marked", "belongs to another program"),
        ("logged", "belongs to another program"),
        (
            "newer",
            "was written by a newer hulltent (version 7 of the file; this one reads up to 1)",
        ),
        ("zero", "is damaged: there is no version 0"),
        ("a table more", "its tables are not those of a store"),
        ("a trigger more", "its tables are not those of a store"),
        ("a table less", "its tables are not those of a store"),
        ("a column more", "its tables are not those of a store"),
    ] {
        refused(&at(name), message);
        let sqlite = !matches!(
            name,
            "list.csv" | "long.csv" | "one byte" | "empty" | "folder"
        );
        assert_eq!(is_store(&at(name)), sqlite, "{name}");
    }
}

/// Somebody else's file whose program was stopped: its journal is theirs to roll back.
#[test]
fn the_journal_of_a_foreign_file_is_left_alone() {
    let (home, path) = fresh();
    let other = Connection::open(&path).unwrap();
    other
        .execute_batch("CREATE TABLE song (name TEXT); INSERT INTO song VALUES ('one')")
        .unwrap();
    other
        .execute_batch("BEGIN; UPDATE song SET name = 'two'")
        .unwrap();
    other.cache_flush().unwrap();
    let copy = home.path().join("copy");
    fs::create_dir(&copy).unwrap();
    for name in ["season.sqlite", "season.sqlite-journal"] {
        fs::copy(home.path().join(name), copy.join(name)).unwrap();
    }
    refused(&copy.join("season.sqlite"), "belongs to another program");
    // It was a journal that the next opening by its own program rolls back.
    let own = Connection::open(copy.join("season.sqlite")).unwrap();
    let name: String = own
        .query_row("SELECT name FROM song", [], |row| row.get(0))
        .unwrap();
    assert_eq!(name, "one");
}

#[test]
fn where_nothing_is() {
    let (home, path) = fresh();
    let error = Store::open(&path).unwrap_err();
    assert!(matches!(error, StoreError::Missing(_)), "{error}");
    assert!(!is_store(&path) && lying(home.path()).is_empty());
    let error = Store::open_or_create(&home.path().join("none").join("x.sqlite")).unwrap_err();
    assert!(matches!(error, StoreError::NoFolder(_)), "{error}");
    assert!(matches!(
        Store::open(Path::new("")),
        Err(StoreError::Missing(_))
    ));
    assert!(matches!(
        Store::open(Path::new(":memory:")),
        Err(StoreError::Missing(_))
    ));
    // A file on the way where a folder should be.
    fs::write(home.path().join("list.csv"), "").unwrap();
    let error = Store::open_or_create(&home.path().join("list.csv").join("x")).unwrap_err();
    assert!(matches!(error, StoreError::NoFolder(_)), "{error}");
}

#[cfg(unix)]
#[test]
fn what_is_no_plain_file_is_not_read() {
    // Reading a device or a pipe would take away from it, or wait for ever.
    assert!(!is_store(Path::new("/dev/zero")));
    assert!(matches!(
        Store::open(Path::new("/dev/zero")),
        Err(StoreError::NoStore(_))
    ));
}

#[cfg(unix)]
#[test]
fn a_link_leads_to_the_store() {
    let (home, path) = fresh();
    let link = home.path().join("link");
    std::os::unix::fs::symlink(&path, &link).unwrap();
    // Behind the link is nothing yet: neither a store in its place nor a loop.
    assert!(Store::open_or_create(&link).is_err());
    let store = full(&path);
    let by_link = Store::open(&link).unwrap();
    assert_eq!(by_link.dump().unwrap(), store.dump().unwrap());
    assert!(by_link.is_at(&path) && store.is_at(&link) && !store.is_at(home.path()));
}

#[test]
fn odd_names_are_names() {
    let (home, _) = fresh();
    for name in [
        "50% & more?x=1#2.sqlite",
        "ein Boot – Größe.sqlite",
        ":memory:",
        "file:x?mode=memory",
        "a'b\"c",
    ] {
        let path = home.path().join(name);
        drop(full(&path));
        assert!(is_store(&path), "{name}");
        assert_eq!(
            Store::open(&path).unwrap().notes().unwrap().len(),
            10,
            "{name}"
        );
    }
    assert_eq!(lying(home.path()).len(), 5);
}

#[test]
fn first_bytes_tell() {
    for (bytes, is) in [
        (&b"SQLite format 3\0"[..], true),
        (b"SQLite format 3\0 and more", true),
        (b"SQLite format 3", false),
        (b"SQLite format 3,boat", false),
        (b"name,boat\n", false),
        (b"", false),
    ] {
        assert_eq!(is_store_bytes(bytes), is, "{bytes:?}");
    }
}

/// Steps from version to version are taken all or none. There are none yet but the first: these are for trial.
#[test]
fn an_older_store_is_brought_up() {
    let (_home, path) = fresh();
    let mut store = full(&path);
    let before = store.dump().unwrap();
    let version = |store: &Store| -> i32 {
        store
            .connection
            .pragma_query_value(None, "user_version", |row| row.get(0))
            .unwrap()
    };
    let fails = ["", "CREATE TABLE trial (x)", "CREATE TABLE trial (x)"];
    let error = schema::bring_up(&mut store.connection, &path, &fails).unwrap_err();
    assert!(matches!(error, StoreError::Damaged { .. }), "{error}");
    assert_eq!(version(&store), 1);
    schema::ready(&mut store.connection, &path).unwrap();

    let good = [
        "",
        "CREATE TABLE trial (x)",
        "ALTER TABLE trial RENAME TO tried",
    ];
    for _ in 0..2 {
        schema::bring_up(&mut store.connection, &path, &good).unwrap();
        assert_eq!(version(&store), 3);
    }
    store
        .connection
        .execute("INSERT INTO tried VALUES (1)", [])
        .unwrap();
    assert_eq!(store.dump().unwrap(), before);
    // And for this program it is now a newer one.
    drop(store);
    assert!(matches!(
        Store::open(&path),
        Err(StoreError::Newer {
            found: 3,
            known: 1,
            ..
        })
    ));
}
