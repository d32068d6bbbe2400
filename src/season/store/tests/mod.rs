//! What goes in comes out. Kills and other processes are in `tests/season_store.rs`.

mod damage;
mod journal;
mod others;
mod room;

use super::*;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread;
use tempfile::TempDir;

/// An invented boat file with two files beside it.
pub(super) fn file(name: &str) -> StoredFile {
    StoredFile {
        name: name.to_owned(),
        text: format!("Boat(\n  name: \"{name}\",\n  note: \"18'6\\\" – Vorschiff é\",\n)"),
        companions: vec![
            ("heights.csv".to_owned(), "1,2\r\n".to_owned()),
            ("offsets.csv".to_owned(), String::new()),
        ],
    }
}

pub(super) fn job(name: &str) -> StoredJob {
    let cells = [
        ("name", name),
        ("boat", "a.ron"),
        ("due", ""),
        ("Remarks", "by 'noon', \"wet\"\n"),
    ];
    StoredJob {
        name: name.to_owned(),
        cells: cells
            .map(|(heading, text)| (heading.to_owned(), text.to_owned()))
            .to_vec(),
    }
}

pub(super) fn fresh() -> (TempDir, PathBuf) {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("season.sqlite");
    (home, path)
}

/// A store with something of everything.
pub(super) fn full(path: &Path) -> Store {
    let mut store = Store::create(path).unwrap();
    let jobs: Vec<StoredJob> = (0..40)
        .map(|number| job(&format!("boat {number}")))
        .collect();
    store
        .put_season(&[file("a.ron"), file("b.ron")], &jobs)
        .unwrap();
    let plans: Vec<(String, String)> = (0..5)
        .map(|number| {
            (
                format!("key {number}"),
                format!("{{\"film\":{number}}}").repeat(300),
            )
        })
        .collect();
    store.keep_plans(&plans).unwrap();
    for number in 0..10 {
        store
            .note(
                &format!("boat {}", number % 3),
                &format!("{{\"hours\":{number}}}"),
            )
            .unwrap();
    }
    store
}

/// What lies in a folder, with every byte.
pub(super) fn lying(folder: &Path) -> Vec<(PathBuf, Option<Vec<u8>>)> {
    let entries = std::fs::read_dir(folder).unwrap();
    let mut found: Vec<_> = entries
        .map(|entry| entry.unwrap().path())
        .map(|path| (path.clone(), std::fs::read(path).ok()))
        .collect();
    found.sort();
    found
}

#[test]
fn what_is_put_in_comes_out() {
    let (home, path) = fresh();
    let mut store = Store::create(&path).unwrap();
    assert_eq!(store.contents().unwrap(), Contents::default());
    store
        .put_season(&[file("b.ron"), file("a.ron")], &[job("Wren"), job("Auk")])
        .unwrap();
    store.keep_plan("key", "{}").unwrap();
    store.keep_plan("key", "{\"a\":1}").unwrap();
    let serials: Vec<i64> = ["Wren", "Auk", "Wren"]
        .map(|job| store.note(job, "[1]").unwrap())
        .to_vec();
    assert_eq!(serials, [1, 2, 3]);
    let before = store.dump().unwrap();
    drop(store);
    assert!(lying(home.path()).len() == 1, "one file alone");

    let mut store = Store::open_or_create(&path).unwrap();
    assert_eq!(store.dump().unwrap(), before);
    assert_eq!(store.files().unwrap(), [file("a.ron"), file("b.ron")]);
    assert_eq!(store.file("b.ron").unwrap(), Some(file("b.ron")));
    assert_eq!(store.file("B.ron").unwrap(), None);
    assert_eq!(store.jobs().unwrap(), [job("Wren"), job("Auk")]);
    assert_eq!(store.plan("key").unwrap().as_deref(), Some("{\"a\":1}"));
    assert_eq!(
        (store.plan("other").unwrap(), store.plan_count().unwrap()),
        (None, 1)
    );
    let of_wren: Vec<i64> = store
        .notes_of("Wren")
        .unwrap()
        .iter()
        .map(|note| note.serial)
        .collect();
    assert_eq!(of_wren, [1, 3]);

    // Another list takes the place of the first; plans and notes stay.
    let changed = StoredFile {
        companions: Vec::new(),
        ..file("a.ron")
    };
    store.put_season(&[file("a.ron")], &[job("Knot")]).unwrap();
    store.put_file(&changed).unwrap();
    store.add_jobs(&[job("Smew")]).unwrap();
    assert_eq!(
        store.season().unwrap(),
        (vec![changed], vec![job("Knot"), job("Smew")])
    );
    assert_eq!(
        (store.notes().unwrap().len(), store.plan_count().unwrap()),
        (3, 1)
    );
    store.put_jobs(&[job("Teal")]).unwrap();
    assert_eq!(store.jobs().unwrap(), [job("Teal")]);
    store.check().unwrap();
}

#[test]
fn what_comes_twice_is_told_and_nothing_is_changed() {
    let (_home, path) = fresh();
    let mut store = full(&path);
    let before = store.dump().unwrap();
    let twice = StoredFile {
        companions: vec![("x".into(), "1".into()), ("x".into(), "2".into())],
        ..file("c")
    };
    type Attempt<'a> = &'a dyn Fn(&mut Store) -> Result<(), StoreError>;
    let attempts: [(&str, Attempt); 5] = [
        ("the job 'Smew' comes twice", &|store| {
            store.put_season(&[], &[job("Smew"), job("Smew")])
        }),
        ("the job 'Smew' comes twice", &|store| {
            store.put_jobs(&[job("Smew"), job("Smew")])
        }),
        ("the job 'boat 7' comes twice", &|store| {
            store.add_jobs(&[job("Smew"), job("boat 7")])
        }),
        ("the file 'd' comes twice", &|store| {
            store.put_season(&[file("d"), file("d")], &[])
        }),
        ("the file beside a boat file 'x' comes twice", &|store| {
            store.put_file(&twice)
        }),
    ];
    for (message, attempt) in attempts {
        let error = attempt(&mut store).unwrap_err();
        assert_eq!(error.to_string(), message);
        assert!(!error.hint().is_empty());
        assert_eq!(store.dump().unwrap(), before, "{message}");
    }
    // Names differ by case.
    store.add_jobs(&[job("Boat 7")]).unwrap();
}

#[test]
fn plans_that_are_not_wanted_any_more_go() {
    let (_home, path) = fresh();
    let mut store = full(&path);
    assert_eq!(
        store
            .forget_plans_but(&["key 3", "key 1", "none such"])
            .unwrap(),
        3
    );
    let left: Vec<String> = store
        .contents()
        .unwrap()
        .plans
        .into_iter()
        .map(|plan| plan.key)
        .collect();
    assert_eq!(left, ["key 1", "key 3"]);
    assert_eq!(store.forget_plans_but::<&str>(&[]).unwrap(), 2);
    assert_eq!(store.plan_count().unwrap(), 0);
    store.check().unwrap();
}

#[test]
fn notes_and_meta_cannot_be_changed_by_any_writer() {
    let (_home, path) = fresh();
    let store = full(&path);
    let before = store.dump().unwrap();
    for change in [
        "UPDATE note SET text = 'x'",
        "DELETE FROM note",
        "UPDATE meta SET text = '0'",
        "DELETE FROM meta",
    ] {
        let told = store
            .connection
            .execute(change, [])
            .unwrap_err()
            .to_string();
        assert!(
            told.contains("appended only") || told.contains("written once"),
            "{change}: {told}"
        );
    }
    assert_eq!(store.dump().unwrap(), before);
    store.check().unwrap();
}

#[test]
fn contents_go_from_store_to_store() {
    let (home, path) = fresh();
    let contents = full(&path).contents().unwrap();
    // The same by another way: things come in another order, and one is put in twice.
    let mut other = Store::create(&home.path().join("other.sqlite")).unwrap();
    for plan in contents.plans.iter().rev() {
        other.keep_plan(&plan.key, "old").unwrap();
        other.keep_plan(&plan.key, &plan.text).unwrap();
    }
    let files: Vec<StoredFile> = contents.files.iter().rev().cloned().collect();
    other.put_season(&files, &contents.jobs).unwrap();
    for note in &contents.notes {
        other.note(&note.job, &note.text).unwrap();
    }
    let mut copy = Store::create(&home.path().join("copy.sqlite")).unwrap();
    copy.put_contents(&contents).unwrap();
    let first = Store::open(&path).unwrap();
    for store in [&other, &copy] {
        assert_eq!(store.contents().unwrap(), contents);
        assert_eq!(store.dump().unwrap(), first.dump().unwrap());
        store.check().unwrap();
    }
    // Once more: notes are appended, under new numbers.
    copy.put_contents(&contents).unwrap();
    let serials: Vec<i64> = copy
        .notes()
        .unwrap()
        .iter()
        .map(|note| note.serial)
        .collect();
    assert_eq!(serials, (1..=20).collect::<Vec<_>>());
    // A dump tells what differs, however small.
    let dumps: Vec<String> = [
        |store: &mut Store| store.keep_plan("key 0", "{}"),
        |store: &mut Store| store.note("boat 0", "").map(drop),
        |store: &mut Store| {
            store.put_file(&StoredFile {
                companions: Vec::new(),
                ..file("a.ron")
            })
        },
        |store: &mut Store| store.add_jobs(&[job("Smew")]),
    ]
    .iter()
    .map(|change| {
        change(&mut other).unwrap();
        other.dump().unwrap()
    })
    .collect();
    for pair in dumps.windows(2) {
        assert_ne!(pair[0], pair[1]);
    }
    assert_ne!(dumps[0], first.dump().unwrap());
}

#[test]
fn many_threads_keep_plans_by_one_store() {
    const THREADS: usize = 8;
    const EACH: usize = 5;
    let (_home, path) = fresh();
    let store = Mutex::new(Store::create(&path).unwrap());
    thread::scope(|scope| {
        for thread in 0..THREADS {
            let store = &store;
            scope.spawn(move || {
                for number in 0..EACH {
                    let key = format!("{thread} {number}");
                    store
                        .lock()
                        .unwrap()
                        .keep_plan(&key, &key.repeat(1000))
                        .unwrap();
                }
            });
        }
    });
    let store = store.into_inner().unwrap();
    let plans = store.contents().unwrap().plans;
    assert_eq!(plans.len(), THREADS * EACH);
    assert!(plans.iter().all(|plan| plan.text == plan.key.repeat(1000)));
    store.check().unwrap();
}

/// Whoever reads while another writes sees one list or the other, never some of each.
#[test]
fn a_reader_sees_one_moment() {
    let (_home, path) = fresh();
    let list = |generation: usize| -> (Vec<StoredFile>, Vec<StoredJob>) {
        let name = |number| format!("{generation} {number}");
        // Lists of other lengths too.
        let numbers = 0..10 + generation % 5;
        (
            numbers.clone().map(|number| file(&name(number))).collect(),
            numbers.map(|number| job(&name(number))).collect(),
        )
    };
    let mut writer = Store::create(&path).unwrap();
    let (files, jobs) = list(0);
    writer.put_season(&files, &jobs).unwrap();
    let (done, seen) = (AtomicBool::new(false), AtomicUsize::new(0));
    thread::scope(|scope| {
        scope.spawn(|| {
            let store = Store::open(&path).unwrap();
            let mut last = None;
            while !done.load(Ordering::Relaxed) {
                let (files, jobs) = store.season().unwrap();
                let generation: usize = jobs[0].name.split(' ').next().unwrap().parse().unwrap();
                let (wanted_files, wanted_jobs) = list(generation);
                assert_eq!(jobs, wanted_jobs);
                assert_eq!(files.len(), wanted_files.len());
                assert!(wanted_files.iter().all(|file| files.contains(file)));
                if last.replace(generation) != Some(generation) {
                    seen.fetch_add(1, Ordering::Relaxed);
                }
            }
        });
        // Until the reader came in between often enough: who waits looks only now and then.
        let mut generation = 1;
        while generation < 50 || (generation < 2000 && seen.load(Ordering::Relaxed) < 20) {
            let (files, jobs) = list(generation);
            writer.put_season(&files, &jobs).unwrap();
            generation += 1;
            thread::sleep(Duration::from_millis(generation as u64 % 4));
        }
        done.store(true, Ordering::Relaxed);
    });
    let seen = seen.into_inner();
    assert!(seen >= 20, "the reader came in between {seen} times");
}
