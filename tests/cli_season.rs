//! The commands of the planner as they are called: quote, season, record, spring, store; runs that are killed.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first thing that is not as it should be"
)]

use assert_cmd::Command;
use hulltent::season::store::Store;
use std::fs;
use std::path::Path;
use std::process::{Child, Stdio};
use std::thread;
use std::time::Duration;

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/assets/demo-season");

/// Small boats, so that many runs take little time.
const JOBS: &str = "name,boat,length,beam,bow,stern,windshield,count,due,posts\n\
    Wren,rowing-dinghy-12,,,,,,2,2026-10-23,\n\
    Teal,open-aluminium-14,,,,,,,2026-10-20,adjustable\n\
    Auk,,13 ft,5'6\",2'8\",2'1\",,,2026-10-20,\n\
    Knot,launch.ron,,,,,,,,\n";

fn hulltent() -> Command {
    Command::new(env!("CARGO_BIN_EXE_hulltent"))
}

/// A folder with a job list and a boat file.
fn yard(jobs: &str) -> tempfile::TempDir {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("jobs.csv"), jobs).unwrap();
    fs::copy(
        format!("{DEMO}/launch-20.ron"),
        home.path().join("launch.ron"),
    )
    .unwrap();
    home
}

/// Runs a command; its exit code, what it prints and what it says.
fn run(home: &Path, arguments: &[&str]) -> (i32, String, String) {
    let output = hulltent()
        .current_dir(home)
        .args(arguments)
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (
        output.status.code().unwrap(),
        text(output.stdout),
        text(output.stderr),
    )
}

fn has(text: &str, parts: &[&str]) {
    for part in parts {
        assert!(text.contains(part), "'{part}' is not in {text}");
    }
}

/// Every file of a folder but the store and the list of what hulltent wrote, by name.
fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<(String, Vec<u8>)> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap())
        .map(|entry| (entry.file_name().into_string().unwrap(), entry.path()))
        .filter(|(name, _)| !name.starts_with("season.sqlite") && name != ".hulltent.written")
        .map(|(name, path)| (name, fs::read(path).unwrap()))
        .collect();
    files.sort();
    files
}

#[test]
fn a_quote_for_the_customer_has_no_inner_costs() {
    let home = tempfile::tempdir().unwrap();
    let boat = "open-aluminium-14";
    let (code, yard, _) = run(home.path(), &["quote", boat, "--out", "out"]);
    assert_eq!(code, 0);
    has(
        &yard,
        &["mark-up", "labour", "propane", "invented", "extinguisher"],
    );
    let (_, customer, _) = run(home.path(), &["quote", boat, "--for", "customer"]);
    has(
        &customer,
        &["to pay", "tax, 7 %", "licensed engineers decide"],
    );
    for inner in ["mark-up", "labour", "materials", "propane", "waste"] {
        assert!(!customer.contains(inner), "{inner}");
    }
    let names: Vec<String> = files(&home.path().join("out"))
        .into_iter()
        .map(|(name, _)| name)
        .collect();
    assert_eq!(
        names,
        ["quote-yard.pdf", "quote.csv", "quote.json", "quote.pdf"]
    );
    let (_, json, _) = run(home.path(), &["quote", boat, "--format", "json"]);
    let read: serde_json::Value = serde_json::from_str(&json).unwrap();
    let net = read["net"].as_f64().unwrap();
    assert!((read["total"].as_f64().unwrap() - net - read["tax"].as_f64().unwrap()).abs() < 1e-9);
    fs::write(
        home.path().join("p.ron"),
        "PriceBook(mark_up: 0.3, taxx: 0)",
    )
    .unwrap();
    let (code, _, said) = run(home.path(), &["quote", boat, "--prices", "p.ron"]);
    assert_eq!(code, 2);
    has(
        &said,
        &["unknown field 'taxx'", "did you mean 'tax'", "p.ron"],
    );
}

#[test]
fn a_broken_row_costs_no_other() {
    let broken = format!(
        "{JOBS}Wren,jon-boat-16,,,,,,,,\nSmew,no-such-boat,,,,,,,,\nRuff,jon-boat-16,,,,,,many,,\n\
         Coot,bad.ron,,,,,,,,\n"
    );
    let home = yard(&broken);
    fs::write(
        home.path().join("bad.ron"),
        "Boat(name: \"Coot\", beam: \"7 fot\")",
    )
    .unwrap();
    let (code, text, said) = run(home.path(), &["season", "jobs.csv", "--out", "out"]);
    assert_eq!(code, 1, "{said}");
    has(
        &said,
        &[
            "row 6, column A (name)",
            "row 8, column H (count)",
            "'many' is no number of boats",
        ],
    );
    has(
        &text,
        &[
            "boats to cover",
            "Not planned",
            "row 7",
            "no-such-boat",
            "row 9",
            "bad.ron: line 1",
        ],
    );
    let names: Vec<String> = files(&home.path().join("out"))
        .into_iter()
        .map(|(name, _)| name)
        .collect();
    assert_eq!(
        names,
        [
            "boats.csv",
            "calendar.csv",
            "calendar.ics",
            "calendar.pdf",
            "cautions.txt",
            "film.csv",
            "film.pdf",
            "posts.csv",
            "posts.pdf",
            "purchase.csv",
            "purchase.pdf",
            "spring.csv",
            "spring.pdf",
            "summary.pdf",
            "summary.txt"
        ]
    );
    // Every sheet of film is cut once, counted from the list alone.
    let film = fs::read_to_string(home.path().join("out/film.csv")).unwrap();
    let mut pieces: Vec<String> = csv::Reader::from_reader(film.as_bytes())
        .records()
        .map(|record| record.unwrap()[4].to_owned())
        .collect();
    pieces.sort();
    assert_eq!(pieces, ["Auk", "Knot", "Teal", "Wren 1/2", "Wren 2/2"]);
    // What is no list, no folder, no store.
    for (arguments, part) in [
        (vec!["season", "none.csv", "--out", "o"], "cannot be read"),
        (
            vec!["season", "launch.ron", "--out", "o"],
            "this is no job list",
        ),
        (
            vec!["season", "jobs.csv", "--out", "jobs.csv"],
            "cannot be written",
        ),
        (
            vec!["season", "jobs.csv", "--out", "o", "--start", "5.10.26"],
            "2026-10-05",
        ),
        (
            vec!["season", "jobs.csv", "--out", "o", "--days", "moon"],
            "is no day",
        ),
    ] {
        let (code, _, said) = run(home.path(), &arguments);
        assert_eq!(code, 2, "{arguments:?}: {said}");
        has(&said, &[part]);
    }
}

#[test]
fn what_crews_record_comes_back() {
    let home = yard(JOBS);
    assert_eq!(
        run(home.path(), &["season", "jobs.csv", "--out", "out"]).0,
        0
    );
    let store = "out/season.sqlite";
    let (_, text, _) = run(home.path(), &["record", store, "Auk", "--note", "dry day"]);
    has(
        &text,
        &[
            "As built: Auk",
            "P1",
            "not measured",
            "sheds everywhere",
            "extinguisher",
        ],
    );
    // Half as much again as the price book says, three times.
    let (_, quote, _) = run(
        home.path(),
        &["quote", "open-aluminium-14", "--format", "json"],
    );
    let by_book = |json: &str| {
        let read: serde_json::Value = serde_json::from_str(json).unwrap();
        read["hours"].as_f64().unwrap()
    };
    for (job, hours) in [("Teal", "1.4"), ("Auk", "1.3"), ("Knot", "1.7")] {
        let frame = format!("frame={hours}");
        let (code, _, said) = run(home.path(), &["record", store, job, "--hours", &frame]);
        assert_eq!(code, 0, "{said}");
    }
    let (_, taught, _) = run(
        home.path(),
        &[
            "quote",
            "open-aluminium-14",
            "--format",
            "json",
            "--learned",
            store,
        ],
    );
    assert!(by_book(&taught) > by_book(&quote) + 0.1, "{taught}");
    let read: serde_json::Value = serde_json::from_str(&taught).unwrap();
    assert_eq!(read["learned_from"], 3);
    assert!(
        read["hours_spread"]
            .as_f64()
            .is_some_and(|spread| spread > 0.0)
    );
    // A post that was cut far too short.
    let (code, text, _) = run(home.path(), &["record", store, "Teal", "--post", "P1=8 in"]);
    assert_eq!(code, 1);
    has(&text, &["falls short", "8\"", "Difference"]);
    for (arguments, part) in [
        (
            vec!["record", store, "Teel", "--note", "x"],
            "did you mean 'Teal'",
        ),
        (
            vec!["record", store, "Teal", "--post", "P9=3 ft"],
            "its posts are P1",
        ),
        (
            vec!["record", store, "Teal", "--boat", "2", "--note", "x"],
            "count them from 1",
        ),
        (vec!["record", store, "Teal"], "nothing to record"),
        (
            vec!["record", "jobs.csv", "Teal", "--note", "x"],
            "is not the store",
        ),
    ] {
        let (code, _, said) = run(home.path(), &arguments);
        assert_eq!(code, 2, "{arguments:?}: {said}");
        has(&said, &[part]);
    }
}

#[test]
fn spring_makes_the_next_stock_list() {
    let home = yard(JOBS);
    assert_eq!(
        run(home.path(), &["season", "jobs.csv", "--out", "out"]).0,
        0
    );
    let list = fs::read_to_string(home.path().join("out/spring.csv")).unwrap();
    // All came back but the last post of Auk.
    let rows: Vec<&str> = list.lines().collect();
    let last = rows
        .iter()
        .rposition(|row| row.starts_with("post,Auk "))
        .unwrap();
    let filled: Vec<String> = rows
        .iter()
        .enumerate()
        .map(|(index, row)| match index {
            0 => (*row).to_owned(),
            _ if index == last => format!("{row}0"),
            _ => {
                let amount = row.rsplit(',').nth(1).unwrap();
                format!("{row}{amount}")
            }
        })
        .collect();
    fs::write(home.path().join("back.csv"), filled.join("\n")).unwrap();
    let (code, text, _) = run(home.path(), &["spring", "back.csv", "--out", "next"]);
    assert_eq!(code, 1);
    has(&text, &["Auk P", "Together"]);
    let (_, text, said) = run(
        home.path(),
        &[
            "season",
            "jobs.csv",
            "--out",
            "out",
            "--stock",
            "next/stock.csv",
        ],
    );
    assert!(!said.contains("row"), "{said}");
    let posts = fs::read_to_string(home.path().join("out/posts.csv")).unwrap();
    let again = posts
        .lines()
        .filter(|line| line.contains("stands again"))
        .count();
    assert!(again >= 2, "{posts}");
    has(&text, &["Posts", "Proved"]);
}

#[test]
fn a_store_gives_back_what_was_put_in() {
    let home = yard(JOBS);
    assert_eq!(
        run(home.path(), &["store", "import", "a.sqlite", "jobs.csv"]).0,
        0
    );
    assert_eq!(
        run(home.path(), &["store", "export", "a.sqlite", "--out", "b"]).0,
        0
    );
    assert_eq!(
        run(home.path(), &["store", "import", "c.sqlite", "b/jobs.csv"]).0,
        0
    );
    let dump = |name: &str| {
        Store::open(&home.path().join(name))
            .unwrap()
            .dump()
            .unwrap()
    };
    assert_eq!(dump("a.sqlite"), dump("c.sqlite"));
    assert_eq!(run(home.path(), &["store", "check", "a.sqlite"]).0, 0);
    // A season comes out the same from the list, from a store, from a folder's store.
    for (jobs, out) in [("jobs.csv", "one"), ("a.sqlite", "two"), ("b", "three")] {
        let (code, _, said) = run(home.path(), &["season", jobs, "--out", out]);
        assert!(code <= 1, "{said}");
    }
    assert_eq!(
        files(&home.path().join("one")),
        files(&home.path().join("two"))
    );
    fs::write(
        home.path().join("d.sqlite"),
        b"SQLite format 3\0 and nothing else",
    )
    .unwrap();
    let (code, _, said) = run(home.path(), &["store", "check", "d.sqlite"]);
    assert_eq!(code, 2);
    has(&said, &["d.sqlite"]);
}

/// Starts a season that is going to be killed.
fn started(home: &Path, out: &str) -> Child {
    std::process::Command::new(env!("CARGO_BIN_EXE_hulltent"))
        .current_dir(home)
        .args(["season", "jobs.csv", "--out", out])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// Killed fifty times at moments spread over a run, in ten folders: each is then completed and equal to an unbroken one.
#[test]
fn a_killed_season_goes_on() {
    let home = yard(JOBS);
    let begin = std::time::Instant::now();
    assert_eq!(
        run(home.path(), &["season", "jobs.csv", "--out", "whole"]).0,
        0
    );
    let whole = begin.elapsed();
    let dump = |out: &str| {
        Store::open(&home.path().join(out).join("season.sqlite"))
            .unwrap()
            .dump()
            .unwrap()
    };
    let mut seed = 20_261_126_u64;
    let mut broken = 0;
    for round in 0..10 {
        let out = format!("killed {round}");
        for _ in 0..5 {
            // Park and Miller's generator (1988): the same parts of a run every time.
            seed = seed * 48_271 % 2_147_483_647;
            let part = seed as f64 / 2_147_483_647.0;
            let mut child = started(home.path(), &out);
            thread::sleep(Duration::from_secs_f64(1.1 * part * whole.as_secs_f64()));
            broken += usize::from(child.try_wait().unwrap().is_none());
            child.kill().unwrap();
            child.wait().unwrap();
        }
        let (code, _, said) = run(home.path(), &["season", "jobs.csv", "--out", &out]);
        assert_eq!(code, 0, "{said}");
        assert_eq!(
            files(&home.path().join(&out)),
            files(&home.path().join("whole")),
            "{out}"
        );
        assert_eq!(dump(&out), dump("whole"), "{out}");
    }
    // A machine that was busy while the whole run was timed ends many of the others early.
    assert!(broken >= 5, "only {broken} runs were broken off");
}
