//! The season's store against other programs: writers that are killed, writers that meet, a reader without rights. The
//! other program is this one, started again with one test and an order in the environment.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first thing that is not as it should be"
)]

use hulltent::season::store::{Store, StoreError, StoredFile, StoredJob, is_store};
use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};
use std::thread;
use std::time::Duration;

const ORDER: &str = "HULLTENT_STORE_ORDER";
const PLACE: &str = "HULLTENT_STORE_PLACE";

/// Begins the lines that the other program says; the test harness has lines of its own.
const SAYS: &str = "says ";

/// Jobs and files of a generation.
const JOBS: usize = 30;

fn say(what: impl std::fmt::Display) {
    let mut out = std::io::stdout().lock();
    writeln!(out, "{SAYS}{what}")
        .and_then(|()| out.flush())
        .unwrap();
}

/// The other program.
#[test]
#[ignore = "the tests beside it start it, with an order"]
fn other_program() {
    let (Ok(order), Ok(place)) = (std::env::var(ORDER), std::env::var(PLACE)) else {
        return;
    };
    let path = Path::new(&place);
    let told = |error: StoreError| format!("{error}; {}", error.hint());
    match order.split_once(' ').unwrap_or((&order, "")) {
        ("write", from) => {
            let mut store = Store::open_or_create(path).unwrap();
            for number in from.parse().unwrap().. {
                write(&mut store, number);
                say(number);
            }
        }
        ("make", _) => {
            say("ready");
            drop(Store::open_or_create(path).unwrap());
        }
        ("notes", name) => {
            let mut store = Store::open(path).unwrap();
            for number in 0..200 {
                store.note(name, &number.to_string()).unwrap();
            }
        }
        ("note", _) => {
            let noted = Store::open(path).and_then(|mut store| store.note("Wren", "[]"));
            say(noted.map_or_else(told, |serial| serial.to_string()));
        }
        ("read", _) => say(Store::open(path)
            .and_then(|store| store.dump())
            .map_or_else(told, |dump| dump.len().to_string())),
        // Without the patience of a store.
        ("try", _) => {
            let connection = rusqlite::Connection::open(path).unwrap();
            connection.busy_timeout(Duration::ZERO).unwrap();
            let free = connection.execute_batch("BEGIN IMMEDIATE; ROLLBACK");
            say(free.map_or("locked", |()| "free"));
        }
        ("create", _) => say(Store::create(path).map_or_else(told, |_| "made".to_owned())),
        (other, _) => panic!("no order {other}"),
    }
}

fn program(order: &str, path: &Path) -> Command {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command
        .args([
            "--exact",
            "other_program",
            "--ignored",
            "--nocapture",
            "--test-threads=1",
        ])
        .env(ORDER, order)
        .env(PLACE, path)
        .stdout(Stdio::piped());
    command
}

fn start(order: &str, path: &Path) -> (Child, BufReader<ChildStdout>) {
    let mut child = program(order, path).spawn().unwrap();
    let out = BufReader::new(child.stdout.take().unwrap());
    (child, out)
}

/// What a line of the other program says. The harness's own words may stand before it on the line.
fn said(line: &str) -> Option<&str> {
    line.split_once(SAYS).map(|(_, what)| what.trim_end())
}

/// Waits for the next thing that is said.
fn next(out: &mut BufReader<ChildStdout>) -> Option<String> {
    loop {
        let mut line = String::new();
        if out.read_line(&mut line).unwrap() == 0 {
            return None;
        }
        // A line that the kill cut off says nothing.
        if let Some(what) = said(&line).filter(|_| line.ends_with('\n')) {
            return Some(what.to_owned());
        }
    }
}

/// The order's answer.
fn answer(order: &str, path: &Path) -> String {
    let (mut child, mut out) = start(order, path);
    let answer = next(&mut out).unwrap();
    let mut rest = String::new();
    out.read_to_string(&mut rest).unwrap();
    assert!(child.wait().unwrap().success(), "{rest}");
    answer
}

/// Text by which half of it would be known.
fn text_of(number: usize) -> String {
    let body = format!("{number},").repeat(200 + number * 37 % 900);
    format!("[{body}{number}]")
}

fn season_of(number: usize) -> (Vec<StoredFile>, Vec<StoredJob>) {
    let files = (0..3).map(|file| StoredFile {
        name: format!("{file}.ron"),
        text: text_of(number),
        companions: vec![("table.csv".to_owned(), number.to_string())],
    });
    let jobs = (0..JOBS).map(|job| StoredJob {
        name: format!("boat {job}"),
        cells: vec![
            ("name".to_owned(), format!("boat {job}")),
            ("generation".to_owned(), number.to_string()),
        ],
    });
    (files.collect(), jobs.collect())
}

fn plans_of(number: usize) -> Vec<(String, String)> {
    (0..4)
        .map(|part| (format!("{number:06} {part}"), text_of(number)))
        .collect()
}

/// The writer's step of a number: one transaction.
fn write(store: &mut Store, number: usize) {
    match number % 3 {
        0 => {
            let (files, jobs) = season_of(number);
            store.put_season(&files, &jobs).unwrap();
        }
        1 => store.keep_plans(&plans_of(number)).unwrap(),
        _ => store
            .note(&format!("boat {number}"), &text_of(number))
            .map(drop)
            .unwrap(),
    }
}

/// What a store holds after all steps under `steps` and nothing else.
fn is_after(store: &Store, steps: usize) -> Result<(), String> {
    let contents = store.contents().map_err(|error| error.to_string())?;
    let of_kind = |kind: usize| (0..steps).filter(move |number| number % 3 == kind);
    let last_season = of_kind(0).next_back().map(season_of).unwrap_or_default();
    if (contents.files, contents.jobs) != last_season {
        return Err(format!(
            "files and jobs are not those of step {:?}",
            of_kind(0).next_back()
        ));
    }
    let plans: Vec<(String, String)> = contents
        .plans
        .into_iter()
        .map(|plan| (plan.key, plan.text))
        .collect();
    if plans != of_kind(1).flat_map(plans_of).collect::<Vec<_>>() {
        return Err(format!(
            "{} plans are kept, not those of {steps} steps",
            plans.len()
        ));
    }
    let notes: Vec<(String, String)> = contents
        .notes
        .into_iter()
        .map(|note| (note.job, note.text))
        .collect();
    if notes
        != of_kind(2)
            .map(|number| (format!("boat {number}"), text_of(number)))
            .collect::<Vec<_>>()
    {
        return Err(format!(
            "{} notes are kept, not those of {steps} steps",
            notes.len()
        ));
    }
    Ok(())
}

/// Moments, the same in every run: a linear congruential generator (Knuth's constants).
struct Moments(u64);

impl Moments {
    fn next(&mut self, under: Duration) -> Duration {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        Duration::from_nanos((self.0 >> 33) * under.as_nanos() as u64 / (1 << 31))
    }
}

/// Whether a journal holds pages to put back: it begins so (SQLite, "Database File Format", the rollback journal).
fn is_hot(journal: &Path) -> bool {
    const MAGIC: [u8; 8] = [0xd9, 0xd5, 0x05, 0xf9, 0x20, 0xa1, 0x63, 0xd7];
    std::fs::read(journal).is_ok_and(|bytes| bytes.starts_with(&MAGIC))
}

/// Fifty times a writer is killed in its work. What it had said to be kept is there, at most the step after it as well,
/// and never a part of a step.
#[test]
fn a_killed_writer_leaves_a_whole_store() {
    const KILLS: usize = 50;
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("season.sqlite");
    let journal = path.with_extension("sqlite-journal");
    let mut moments = Moments(1);
    let mut done = 0;
    let (mut in_the_middle, mut one_more) = (0, 0);
    for kill in 0..KILLS {
        let (mut child, mut out) = start(&format!("write {done}"), &path);
        // The moments begin when it is at work: starting takes longer than a step.
        let first: usize = next(&mut out).unwrap().parse().unwrap();
        assert_eq!(first, done);
        thread::sleep(moments.next(Duration::from_millis(30)));
        child.kill().unwrap();
        child.wait().unwrap();
        done += 1;
        while let Some(number) = next(&mut out) {
            assert_eq!(number.parse::<usize>().unwrap(), done);
            done += 1;
        }
        in_the_middle += usize::from(is_hot(&journal));
        let store = Store::open(&path).unwrap();
        store.check().unwrap();
        assert!(
            !is_hot(&journal),
            "kill {kill}: the journal is still to be rolled back"
        );
        if let Err(what) = is_after(&store, done) {
            // It was kept, and the kill came before it was said.
            is_after(&store, done + 1)
                .unwrap_or_else(|_| panic!("kill {kill}, {done} steps: {what}"));
            done += 1;
            one_more += 1;
        }
    }
    println!(
        "{KILLS} kills, {done} steps, {in_the_middle} in the middle of one, {one_more} kept but not yet said"
    );
    assert!(in_the_middle > 0, "no kill came in the middle of a step");
    // A journal that had not begun is left lying by readers; the next writer takes it away.
    write(&mut Store::open(&path).unwrap(), done);
    assert!(!journal.exists());
}

/// The same while the store is made: it is there and whole, or not there.
#[test]
fn a_killed_maker_leaves_a_whole_store_or_none() {
    let mut moments = Moments(2);
    let (mut made, mut not_made) = (0, 0);
    for _ in 0..30 {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("season.sqlite");
        let (mut child, mut out) = start("make", &path);
        assert_eq!(next(&mut out).unwrap(), "ready");
        thread::sleep(moments.next(Duration::from_millis(12)));
        child.kill().unwrap();
        child.wait().unwrap();
        if path.exists() {
            Store::open(&path).unwrap().check().unwrap();
            made += 1;
        } else {
            not_made += 1;
        }
        // What was left behind is in nobody's way.
        let mut store = Store::open_or_create(&path).unwrap();
        store.note("Wren", "[]").unwrap();
        store.check().unwrap();
    }
    println!("{made} made, {not_made} not");
}

#[test]
fn two_programs_wait_for_each_other() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("season.sqlite");
    drop(Store::create(&path).unwrap());
    let children = ["Wren", "Auk"].map(|name| start(&format!("notes {name}"), &path));
    for (mut child, mut out) in children {
        let mut rest = String::new();
        out.read_to_string(&mut rest).unwrap();
        assert!(child.wait().unwrap().success(), "{rest}");
    }
    let store = Store::open(&path).unwrap();
    store.check().unwrap();
    assert_eq!(store.notes().unwrap().len(), 400);
    for name in ["Wren", "Auk"] {
        let numbers: Vec<usize> = store
            .notes_of(name)
            .unwrap()
            .iter()
            .map(|note| note.text.parse().unwrap())
            .collect();
        assert_eq!(numbers, (0..200).collect::<Vec<_>>());
    }
}

/// Looking at a store, or opening it once more, while it is written keeps other programs out as before: a second handle
/// that is closed must not give up the lock.
#[test]
fn looking_lets_no_other_writer_in() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("season.sqlite");
    drop(Store::create(&path).unwrap());
    let holder = rusqlite::Connection::open(&path).unwrap();
    holder.execute_batch("BEGIN IMMEDIATE").unwrap();
    for _ in 0..3 {
        assert!(is_store(&path));
        assert_eq!(Store::open(&path).unwrap().notes().unwrap().len(), 0);
        assert!(matches!(Store::create(&path), Err(StoreError::Exists(_))));
    }
    assert_eq!(answer("try", &path), "locked");
    holder.execute_batch("COMMIT").unwrap();
    assert_eq!(answer("try", &path), "free");
}

/// A program without rights. Where this one is an all-powerful user the other is started as a powerless one.
#[cfg(unix)]
#[test]
fn a_program_without_rights_is_told() {
    use std::fs::{Permissions, set_permissions};
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    use std::os::unix::process::CommandExt;
    // `nobody` by custom.
    const POWERLESS: u32 = 65_534;
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("yard");
    std::fs::create_dir(&folder).unwrap();
    let path = folder.join("season.sqlite");
    let mut store = Store::create(&path).unwrap();
    store.note("Wren", "[]").unwrap();
    let length = store.dump().unwrap().len().to_string();
    drop(store);
    // The program lies where the powerless may not go: a copy does not.
    let own = std::fs::metadata(&path).unwrap().uid();
    let copy = home.path().join("program");
    std::fs::copy(std::env::current_exe().unwrap(), &copy).unwrap();
    let rights = |path: &Path, mode| set_permissions(path, Permissions::from_mode(mode)).unwrap();
    rights(home.path(), 0o755);
    let answer = |order: &str, path: &Path| {
        let mut command = Command::new(&copy);
        command
            .args([
                "--exact",
                "other_program",
                "--ignored",
                "--nocapture",
                "--test-threads=1",
            ])
            .env(ORDER, order)
            .env(PLACE, path)
            .current_dir(home.path());
        if own == 0 {
            command.uid(POWERLESS).gid(POWERLESS);
        }
        let output = command.output().unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        text.lines()
            .find_map(said)
            .map(str::to_owned)
            .unwrap_or_else(|| panic!("{text}"))
    };
    let bytes = std::fs::read(&path).unwrap();
    for (of_folder, of_file, order, name, message) in [
        (0o555, 0o444, "read", "season.sqlite", length.as_str()),
        (
            0o555,
            0o444,
            "note",
            "season.sqlite",
            "season.sqlite may not be written; check that you may write",
        ),
        (
            0o555,
            0o666,
            "note",
            "season.sqlite",
            "season.sqlite may not be written; check that you may write",
        ),
        (
            0o777,
            0o444,
            "note",
            "season.sqlite",
            "season.sqlite may not be written; check that you may write",
        ),
        (
            0o777,
            0o000,
            "read",
            "season.sqlite",
            "season.sqlite may not be read; check your rights",
        ),
        (
            0o000,
            0o666,
            "read",
            "season.sqlite",
            "season.sqlite may not be read; check your rights",
        ),
        (
            0o555,
            0o666,
            "create",
            "new.sqlite",
            "new.sqlite may not be written; check that you may write",
        ),
    ] {
        rights(&path, of_file);
        rights(&folder, of_folder);
        let told = answer(order, &folder.join(name));
        rights(&folder, 0o755);
        assert!(
            told.contains(message),
            "{of_folder:o} {of_file:o} {order}: {told}"
        );
        rights(&path, 0o644);
        assert_eq!(std::fs::read(&path).unwrap(), bytes);
        assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 1);
    }
    // With both rights it is written.
    rights(&path, 0o666);
    rights(&folder, 0o777);
    assert_eq!(answer("note", &path), "2");
}
