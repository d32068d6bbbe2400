//! The program from outside: what is wrong with an input is told with its place and a hint, the exit code
//! says how it went, and nothing is left behind.

// Helpers of tests may fail loudly; the lints look at functions marked as tests only.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use assert_cmd::Command;
use std::fs;
use std::path::Path;

fn hulltent() -> Command {
    Command::new(env!("CARGO_BIN_EXE_hulltent"))
}

/// Exit code, standard output, standard error.
fn run(command: &mut Command) -> (i32, String, String) {
    let output = command.output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    let code = output.status.code().expect("ended by itself");
    let (data, talk) = (text(output.stdout), text(output.stderr));
    assert!(!talk.contains("panicked"), "{talk}");
    (code, data, talk)
}

/// The files of a folder but the list of what hulltent wrote there.
fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name != ".hulltent.written")
        .collect();
    names.sort();
    names
}

/// Plans a file that is wrong: exit code 2, its parts in the message, the file's name too, no output, no
/// file written.
fn check_bytes(bytes: &[u8], parts: &[&str]) {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("odd-boat.ron");
    fs::write(&file, bytes).unwrap();
    let out = home.path().join("out");
    let (code, data, talk) = run(hulltent().arg("plan").arg(&file).arg("--out").arg(&out));
    assert_eq!(code, 2, "{talk}");
    assert_eq!(data, "", "{talk}");
    assert!(talk.contains("odd-boat.ron"), "no name in {talk}");
    assert!(talk.contains("next: "), "no next step in {talk}");
    // The report is broken into lines, so parts are looked for without regard to blanks.
    let plain = |text: &str| -> String {
        text.chars()
            .filter(|letter| !letter.is_whitespace() && !"│·╰╭─".contains(*letter))
            .collect()
    };
    for part in parts {
        assert!(
            plain(&talk).contains(&plain(part)),
            "'{part}' is not in {talk}"
        );
    }
    assert_eq!(names(home.path()), ["odd-boat.ron"], "{talk}");
}

fn check(text: &str, parts: &[&str]) {
    check_bytes(text.as_bytes(), parts);
}

/// A good boat with something put in the place of something in it.
fn with(old: &str, new: &str) -> String {
    let text = include_str!("../hull-presets/open-runabout-18.ron");
    assert!(text.contains(old), "the preset has no {old}");
    text.replacen(old, new, 1)
}

/// A boat of the five numbers that make one.
fn five(extra: &str) -> String {
    format!(
        "(length: \"18 ft\", beam: \"7 ft\",\n sheer: (bow: \"4 ft\", middle: \"3 ft\", stern: \"3 ft\"),\n {extra})"
    )
}

#[test]
fn lengths_that_are_wrong() {
    let beam = "beam: \"7'8\"";
    // Wrong units, no unit, negative, zero, not a number, out of range: each with its place.
    check(
        &with(beam, "beam: \"7.6 fot\""),
        &[":7:", "beam", "unknown unit 'fot'", "did you mean"],
    );
    check(
        &with(beam, "beam: \"18 deg\""),
        &["beam", "unknown unit 'deg' for a length"],
    );
    check(
        &with(beam, "beam: 7.6"),
        &["beam", "no unit after '7.6'", "7.6 ft"],
    );
    check(
        &with(beam, "beam: \"-7 ft\""),
        &["beam", "out of range", "between"],
    );
    check(
        &with(beam, "beam: \"0 ft\""),
        &["beam", "out of range", "between"],
    );
    check(
        &with(beam, "beam: NaN"),
        &["beam", "not a number", "measured"],
    );
    check(&with(beam, "beam: inf"), &["beam", "not a number"]);
    check(
        &with(beam, "beam: \"nan ft\""),
        &["beam", "not a finite number"],
    );
    check(&with(beam, "beam: \"7,6 ft\""), &["beam", "comma"]);
    check(
        &with(&format!("{beam},"), ""),
        &["'beam' is missing", "add beam"],
    );
    check(
        &with(beam, "beam: \"20 ft\""),
        &["beam", "greater than the length", "check which is which"],
    );
    check(
        &with("length: \"18 ft\"", "length: \"180 ft\""),
        &["length", "out of range"],
    );
}

#[test]
fn all_problems_in_one_go() {
    let text =
        "(length: \"18 fot\", baem: \"7 ft\",\n sheer: (bow: \"4 ft\", middle: \"-3 ft\"),\n)";
    check(
        text,
        &[
            ":1:",
            ":2:",
            "unknown unit 'fot'",
            "'baem'",
            "did you mean 'beam'?",
            "'beam' is missing",
            "sheer.middle",
            "'stern' is missing",
            "problems in",
        ],
    );
}

#[test]
fn things_that_are_wrong() {
    check(
        &five(
            "boxes: [(name: \"console\", kind: Console, from: \"6 ft\", to: \"8 ft\", width: \"3 ft\", offset: \"3 ft\", top: \"5 ft\")]",
        ),
        &["boxes[0]", "'console' reaches 1'0", "check its stations"],
    );
    check(
        &five("boxes: [(from: \"30 ft\", to: \"31 ft\", width: \"3 ft\", top: \"5 ft\")]"),
        &["boxes[0]"],
    );
    check(
        &five("boxes: [(from: \"8 ft\", to: \"6 ft\", width: \"3 ft\", top: \"5 ft\")]"),
        &["boxes[0].to", "fore end", "aft end"],
    );
    check(
        &five("anchors: [BowEye(height: \"2 ft\")]"),
        &[
            "anchors",
            "no anchor for a side strap",
            "add the cleats or rails",
        ],
    );
    check(
        &five("footings: [(from: \"3 ft\", to: \"3 ft\")]"),
        &["footings[0].to", "fore end"],
    );
    check(
        &five("footings: [(from: \"3 ft\", to: \"30 ft\")]"),
        &["footings[0].to", "lies beyond the boat", "between"],
    );
    check(
        &five("frame: (only_pinned: true)"),
        &["frame.only_pinned", "none is pinned", "add frame"],
    );
    check(
        &with("rub_rail", "rub_rial"),
        &["'rub_rial'", "did you mean 'rub_rail'?"],
    );
    check(
        &five(
            "boxes: [(kind: Windsheild, from: \"6 ft\", to: \"7 ft\", width: \"3 ft\", top: \"5 ft\")]",
        ),
        &["Windsheild", "did you mean 'Windshield'?"],
    );
}

#[test]
fn hulls_that_are_wrong() {
    check(
        &five("hull: V(transom_deadrise: \"60 deg\", entry_deadrise: \"70 deg\")"),
        &["hull", "deadrise"],
    );
    check(
        &five("hull: Tubes(count: 7, diameter: \"2 ft\")"),
        &["hull.count"],
    );
    check(
        &five("hull: Offsets(file: \"none.csv\")"),
        &["none.csv", "beside the boat file"],
    );
    check(
        &five("hull: Offsets(file: \"../odd-boat.ron\")"),
        &["hull.file", "beside", "bare file name"],
    );
}

#[test]
fn a_hull_that_crosses_itself() {
    let home = tempfile::tempdir().unwrap();
    let table = "station,half_breadth,height\n\
                 0 ft,0 ft,0 ft\n0 ft,3 ft,1 ft\n0 ft,1 ft,2 ft\n0 ft,3.5 ft,0.5 ft\n0 ft,3 ft,3 ft\n\
                 9 ft,0 ft,0 ft\n9 ft,3 ft,1 ft\n9 ft,3.5 ft,3 ft\n\
                 18 ft,0 ft,0 ft\n18 ft,0.1 ft,4 ft\n";
    fs::write(home.path().join("table.csv"), table).unwrap();
    let file = home.path().join("boat.ron");
    fs::write(&file, five("hull: Offsets(file: \"table.csv\")")).unwrap();
    let (code, data, talk) = run(hulltent().arg("plan").arg(&file));
    assert_eq!((code, data.as_str()), (2, ""), "{talk}");
    assert!(talk.contains("hull"), "{talk}");
    assert_eq!(names(home.path()), ["boat.ron", "table.csv"]);
}

#[test]
fn files_that_are_no_boat_files() {
    let good = include_str!("../hull-presets/open-runabout-18.ron");
    for part in [1, 3, 5, 7] {
        let cut = &good[..good.len() * part / 8];
        check(cut, &["help"]);
    }
    let within_a_name = good.find("idship cleat").unwrap();
    check(&good[..within_a_name], &["ends too early"]);
    check("", &["help"]);
    check("hello", &["help"]);
    check(&"(".repeat(100_000), &["help"]);
    check(&format!("(name: \"{}", "x".repeat(900_000)), &["help"]);
    check("(name: \"\u{1b}[2J\u{7}\")", &["'length' is missing"]);
    check_bytes(
        b"(name: \"\xff\xfe\")",
        &["not UTF-8", "byte 8", "save the file"],
    );
    check_bytes(&[0; 4096], &["help"]);
}

#[test]
fn a_file_that_is_too_large() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("huge.ron");
    let file = fs::File::create(&path).unwrap();
    // Sparse: takes no room on the disk.
    file.set_len(100 << 20).unwrap();
    let (code, data, talk) = run(hulltent().arg("plan").arg(&path));
    assert_eq!((code, data.as_str()), (2, ""), "{talk}");
    for part in ["huge.ron", "too large", "104857600 bytes", "check the name"] {
        assert!(talk.contains(part), "{talk}");
    }
    let (code, _, talk) = run(hulltent()
        .args(["plan", "-"])
        .write_stdin(vec![b' '; 3 << 20]));
    assert_eq!(code, 2);
    assert!(
        talk.contains("standard input") && talk.contains("too large"),
        "{talk}"
    );
}

#[test]
fn names_that_nothing_has() {
    let home = tempfile::tempdir().unwrap();
    for (arguments, parts) in [
        (
            &["plan", "open-runabuot-18"][..],
            &["did you mean the preset 'open-runabout-18'?"][..],
        ),
        (
            &["plan", "no/such/boat.ron"],
            &["no file and no preset", "no/such/boat.ron"],
        ),
        (&["plan", "."], &["is a folder"]),
        (&["presets", "--show", "zzz"], &["zzz", "hulltent presets"]),
        (
            &["plan", "open-runabout-18", "--min-slope", "15 ft"],
            &["--min-slope", "unknown unit 'ft'"],
        ),
        (
            &["plan", "open-runabout-18", "--min-slope", "80 deg"],
            &["--min-slope", "between"],
        ),
        (
            &["plan", "open-runabout-18", "--max-span", "0 ft"],
            &["--max-span", "between"],
        ),
        (
            &["plan", "open-runabout-18", "--cell", "1 mm"],
            &["--cell", "between"],
        ),
        (
            &["plan", "open-runabout-18", "--units", "yd"],
            &["--units", "write ft or m"],
        ),
        (
            &["plan", "open-runabout-18", "--threads", "0"],
            &["--threads"],
        ),
        (
            &["plan", "open-runabout-18", "--format", "xml"],
            &["--format", "json"],
        ),
        (&["plann", "open-runabout-18"], &["'plan'"]),
        (&["sheet", "open-runabout-18"], &["--out"]),
        (
            &["sheet", "open-runabuot-18", "--out", "out"],
            &["did you mean the preset 'open-runabout-18'?"],
        ),
        (
            &[
                "sheet",
                "open-runabout-18",
                "--out",
                "out",
                "--paper",
                "legal",
            ],
            &["--paper", "letter", "a4"],
        ),
        (
            &[
                "sheet",
                "open-runabout-18",
                "--out",
                "out",
                "--min-slope",
                "80 deg",
            ],
            &["--min-slope", "between"],
        ),
    ] {
        let (code, data, talk) = run(hulltent().current_dir(home.path()).args(arguments));
        assert_eq!((code, data.as_str()), (2, ""), "{arguments:?}: {talk}");
        for part in parts {
            assert!(
                talk.contains(part),
                "{arguments:?}: '{part}' is not in {talk}"
            );
        }
        assert!(names(home.path()).is_empty(), "{arguments:?}");
    }
}

#[test]
fn a_boat_that_no_frame_satisfies_is_planned_with_an_account() {
    // Its only footing lies at the stern, so that no span reaches the bow.
    let text = five("footings: [(from: \"1 ft\", to: \"2 ft\")]");
    let (code, data, talk) = run(hulltent()
        .args(["plan", "-", "--cell", "6 in"])
        .write_stdin(text.clone()));
    assert_eq!(code, 1, "{data}{talk}");
    assert!(data.contains("falls short"), "{data}");
    assert!(data.contains("no frame satisfies stations"), "{data}");
    assert!(talk.contains("next: "), "{talk}");
    let (code, data, _) = run(hulltent()
        .args(["plan", "-", "--cell", "6 in", "--format", "json"])
        .write_stdin(text));
    assert_eq!(code, 1);
    let record: serde_json::Value = serde_json::from_str(&data).unwrap();
    assert_eq!(record["verdict"]["sheds"], false);
    assert!(
        !record["verdict"]["shortfalls"]
            .as_array()
            .unwrap()
            .is_empty()
    );
}

const FILES: [&str; 9] = [
    "boat.glb",
    "cautions.txt",
    "cover.stl",
    "cover.svg",
    "frame.csv",
    "frame.stl",
    "hull.stl",
    "plan.json",
    "plan.ron",
];

#[test]
fn a_plan_is_written_whole_and_the_same_each_time() {
    let home = tempfile::tempdir().unwrap();
    let plan = |out: &str| {
        let out = home.path().join(out);
        let (code, data, talk) = run(hulltent()
            .args(["plan", "open-runabout-18", "--cell", "3 in", "--out"])
            .arg(&out));
        assert!(code == 0 || code == 1, "{talk}");
        assert!(
            data.contains("Support posts") && talk.contains("next: "),
            "{data}{talk}"
        );
        assert_eq!(names(&out), FILES);
        FILES.map(|name| fs::read(out.join(name)).unwrap())
    };
    let first = plan("made/on/the/way");
    assert_eq!(first, plan("second"), "same boat, same bytes");
    assert_eq!(first, plan("second"), "written over");
    assert!(first[0].starts_with(b"glTF"));
    assert!(first[3].starts_with(b"<svg"));
    // A file where the folder should be: nothing is printed, nothing changes.
    fs::write(home.path().join("taken"), "mine").unwrap();
    let (code, data, talk) = run(hulltent()
        .args(["plan", "open-runabout-18", "--cell", "6 in", "--out"])
        .arg(home.path().join("taken")));
    assert_eq!((code, data.as_str()), (2, ""), "{talk}");
    assert!(talk.contains("taken") && talk.contains("help: "), "{talk}");
    assert_eq!(fs::read(home.path().join("taken")).unwrap(), b"mine");
}

#[test]
fn a_job_sheet_is_written_whole_and_the_same_each_time() {
    let home = tempfile::tempdir().unwrap();
    let sheet = |out: &str, more: &[&str]| {
        let out = home.path().join(out);
        let (code, data, talk) = run(hulltent()
            .args(["sheet", "open-runabout-18", "--cell", "3 in", "--out"])
            .arg(&out)
            .args(more));
        assert!(code == 0 || code == 1, "{talk}");
        assert!(talk.lines().last().unwrap().starts_with("next: "), "{talk}");
        let written = names(&out);
        for name in &written {
            assert!(data.contains(name.as_str()), "{name} is not told: {data}");
        }
        for name in ["frame.dxf", "sheet-1.svg", "sheet.html", "sheet.pdf"] {
            assert!(written.contains(&name.to_owned()), "{name}: {written:?}");
        }
        let bytes = |name: &String| fs::read(out.join(name)).unwrap();
        let files: Vec<Vec<u8>> = written.iter().map(bytes).collect();
        (written, files, talk)
    };
    let (written, first, _) = sheet("made/on/the/way", &[]);
    assert_eq!(first, sheet("second", &[]).1, "same boat, same bytes");
    let of = |files: &[Vec<u8>], name: &str| {
        let at = written.iter().position(|written| written == name).unwrap();
        files[at].clone()
    };
    assert!(of(&first, "sheet.pdf").starts_with(b"%PDF-"));
    assert!(of(&first, "sheet.html").starts_with(b"<!DOCTYPE html>"));
    assert!(of(&first, "sheet-1.svg").starts_with(b"<svg"));
    assert!(of(&first, "frame.dxf").ends_with(b"EOF\n"));
    // Pages that a longer sheet left are taken away, nothing else is.
    let second = home.path().join("second");
    let pages = written.iter().filter(|name| name.ends_with(".svg")).count();
    let [stale, own] = [pages + 1, pages + 5].map(|number| format!("sheet-{number}.svg"));
    let site = ["--snow", "20 psf", "--code", "asce7-16"];
    let (longer, _, _) = sheet("second", &site);
    assert!(longer.contains(&stale), "{longer:?}");
    fs::write(second.join(&own), "mine").unwrap();
    let (code, data, talk) = run(hulltent()
        .args(["sheet", "open-runabout-18", "--cell", "3 in", "--out"])
        .arg(&second));
    assert!(code == 0 || code == 1, "{talk}");
    assert!(talk.contains(&stale) && !data.contains(&stale), "{talk}");
    assert!(!second.join(&stale).exists() && second.join(&own).exists());
    // The reader's units reach every format.
    let (_, metric, _) = sheet("metric", &["--units", "m", "--paper", "a4"]);
    for name in ["sheet.html", "sheet-1.svg", "frame.dxf"] {
        let text = String::from_utf8(of(&metric, name)).unwrap();
        assert!(text.contains(" m<") || text.contains(" m\n"), "{name}");
        assert_ne!(of(&metric, name), of(&first, name), "{name}");
    }
    // A file where the folder should be, a folder where a file should be: nothing changes.
    fs::write(home.path().join("taken"), "mine").unwrap();
    let blocked = home.path().join("blocked");
    fs::create_dir_all(blocked.join("frame.dxf")).unwrap();
    for out in [&home.path().join("taken"), &blocked] {
        let (code, data, talk) = run(hulltent()
            .args(["sheet", "open-runabout-18", "--cell", "6 in", "--out"])
            .arg(out));
        assert_eq!((code, data.as_str()), (2, ""), "{talk}");
        assert!(talk.contains("help: "), "{talk}");
    }
    assert_eq!(fs::read(home.path().join("taken")).unwrap(), b"mine");
    assert_eq!(names(&blocked), ["frame.dxf"]);
}

#[test]
fn formats_and_units() {
    let plan = |arguments: &[&str]| {
        let (_, data, _) = run(hulltent()
            .args(["plan", "open-runabout-18", "--cell", "6 in"])
            .args(arguments));
        data
    };
    assert!(plan(&[]).contains('\''));
    assert!(plan(&["--units", "m"]).contains(" m "));
    assert!(plan(&["--format", "csv", "--units", "m"]).contains("cut_length_m"));
    assert!(plan(&["--format", "json"]).starts_with('{'));
    assert!(plan(&["--format", "ron"]).starts_with('('));
    // Options reach the rules: a steeper least slope is the one that is told.
    assert!(plan(&["--min-slope", "3:12"]).contains("14.0°"));
    assert_eq!(plan(&["--threads", "1"]), plan(&["--threads", "2"]));
}

#[test]
fn small_commands() {
    let (code, data, talk) = run(hulltent().arg("presets"));
    assert_eq!(code, 0);
    for preset in hulltent::boat::presets() {
        assert!(
            data.contains(preset.name),
            "{} is not in {data}",
            preset.name
        );
    }
    assert!(talk.contains("next: "));
    let (code, data, _) = run(hulltent().args(["presets", "--show", "open-runabout-18"]));
    assert_eq!(code, 0);
    assert_eq!(data, include_str!("../hull-presets/open-runabout-18.ron"));
    let (code, data, _) = run(hulltent().arg("survey"));
    assert_eq!(code, 0);
    for field in [
        "length",
        "beam",
        "sheer.bow",
        "sheer.middle",
        "sheer.stern",
        "footings",
    ] {
        assert!(data.contains(field), "{field}");
    }
    assert!(
        data.lines().all(|line| line.chars().count() <= 80),
        "{data}"
    );
    let (code, data, _) = run(hulltent().args(["survey", "--format", "svg"]));
    assert!(code == 0 && data.starts_with("<svg"));
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let (code, data, _) = run(hulltent().args(["completions", shell]));
        assert!(code == 0 && data.contains("hulltent"), "{shell}");
    }
    let (code, data, _) = run(hulltent().arg("--version"));
    assert!(code == 0 && data.contains(env!("CARGO_PKG_VERSION")));
}

#[cfg(unix)]
#[test]
fn a_reader_who_goes_away_is_no_trouble() {
    use std::process::{Command, Stdio};
    let mut child = Command::new(env!("CARGO_BIN_EXE_hulltent"))
        .arg("presets")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    drop(child.stderr.take());
    assert_eq!(child.wait().unwrap().code(), Some(0));
}

#[test]
fn a_misspelt_lesson_is_told_before_anything_is_drawn() {
    let check = |lesson: &str, hint: &str| {
        let (code, data, talk) = run(hulltent().args(["view", "--lesson", lesson]));
        assert_eq!((code, data.as_str()), (2, ""), "{talk}");
        assert!(talk.contains(lesson) && talk.contains(hint), "{talk}");
    };
    check("low-pots", "did you mean 'low-post'?");
    check("thunder", "stern-corners");
}
