//! Papers from outside: names in any script, cautions on all that reaches a crew, invented money told.

// Helpers of tests may fail loudly; the lints look at functions marked as tests only.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use assert_cmd::Command;
use std::fs;
use std::path::Path;

/// Exit code, standard output, standard error.
fn run(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_hulltent"));
    let output = command
        .current_dir(folder)
        .args(arguments)
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    let code = output.status.code().expect("ended by itself");
    (code, text(output.stdout), text(output.stderr))
}

fn has(text: &str, parts: &[&str]) {
    for part in parts {
        assert!(text.contains(part), "'{part}' is not in {text}");
    }
}

/// A preset under another name.
fn named(folder: &Path, name: &str) -> String {
    let (_, text, _) = run(folder, &["presets", "--show", "open-runabout-18"]);
    let start = text.find("name: \"").unwrap() + "name: \"".len();
    let end = start + text[start..].find('"').unwrap();
    format!("{}{name}{}", &text[..start], &text[end..])
}

#[test]
fn names_are_set_or_told() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    for (name, told) in [("海風 طائر 🚤", None), ("เรือ", Some("U+0E40"))] {
        fs::write(home.join("boat.ron"), named(home, name)).unwrap();
        for (command, file) in [("sheet", "sheet.pdf"), ("quote", "quote.pdf")] {
            let (code, _, talk) = run(home, &[command, "boat.ron", "--out", "out"]);
            match told {
                None => assert_eq!((code, talk.contains("U+")), (0, false), "{name}: {talk}"),
                Some(letter) => {
                    assert_eq!(code, 1, "{name}: {talk}");
                    has(&talk, &[file, name, letter]);
                }
            }
        }
    }
}

#[test]
fn every_paper_of_a_crew_has_cautions() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    for command in ["plan", "sheet"] {
        run(home, &[command, "open-runabout-18", "--out", "."]);
    }
    let parts = ["Fuel vapor", "Carbon monoxide", "licensed"];
    for file in ["cover.svg", "cautions.txt", "frame.dxf"] {
        has(&fs::read_to_string(home.join(file)).unwrap(), &parts);
    }
    for format in ["text", "svg"] {
        let (_, text, _) = run(home, &["survey", "--format", format]);
        has(&text, &parts);
    }
    let (_, text, _) = run(home, &["plan", "open-runabout-18"]);
    has(&text, &["common practice"]);
}

#[test]
fn invented_money_is_told_beside_every_sum() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    fs::write(home.join("jobs.csv"), "name,boat\nWren,open-aluminium-14\n").unwrap();
    let (_, summary, _) = run(home, &["season", "jobs.csv", "--out", "season"]);
    for line in summary.lines().filter(|line| line.contains("USD")) {
        has(line, &["(invented)"]);
    }
    let (_, yard, _) = run(home, &["quote", "open-aluminium-14", "--out", "quote"]);
    has(&yard, &["Cost", "(invented)"]);
    for file in ["season/boats.csv", "season/purchase.csv", "quote/quote.csv"] {
        let text = fs::read_to_string(home.join(file)).unwrap();
        let mut rows = csv::Reader::from_reader(text.as_bytes());
        assert_eq!(rows.headers().unwrap().iter().next_back(), Some("prices"));
        for row in rows.records() {
            has(row.unwrap().iter().next_back().unwrap(), &["invented"]);
        }
    }
    has(
        &fs::read_to_string(home.join("season/cautions.txt")).unwrap(),
        &["Carbon monoxide"],
    );
    let stock = include_str!("../assets/demo-season/stock.csv");
    has(stock, &["invented"]);
}
