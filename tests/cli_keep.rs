//! What belongs to a person stays: inputs, edited outputs, rows behind a slip, other folders, a store that is damaged.

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

const HEAD: &str = "name,boat,count,due,site\n";

fn hulltent(home: &Path, arguments: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_hulltent"))
        .current_dir(home)
        .args(arguments)
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    let code = output.status.code().unwrap();
    (code, text(output.stdout), text(output.stderr))
}

fn home_with(files: &[(&str, &str)]) -> tempfile::TempDir {
    let home = tempfile::tempdir().unwrap();
    for (name, text) in files {
        fs::write(home.path().join(name), text).unwrap();
    }
    home
}

/// Names and bytes of all files of a folder.
fn all(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<(String, Vec<u8>)> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.path().is_file())
        .map(|entry| {
            let name = entry.file_name().into_string().unwrap();
            (name, fs::read(entry.path()).unwrap())
        })
        .collect();
    files.sort();
    files
}

/// Runs a command that must refuse to write: exit code 2, its words, and every file as it was.
fn refuses(home: &Path, arguments: &[&str], parts: &[&str]) {
    let before = all(home);
    let (code, _, said) = hulltent(home, arguments);
    assert_eq!(code, 2, "{arguments:?}: {said}");
    // A report breaks its lines.
    let plain = said
        .split_whitespace()
        .filter(|word| *word != "│")
        .collect::<Vec<_>>()
        .join(" ");
    for part in parts {
        assert!(
            plain.contains(part),
            "{arguments:?}: '{part}' is not in {plain}"
        );
    }
    assert!(all(home) == before, "{arguments:?} changed files");
}

fn preset() -> String {
    hulltent(Path::new("."), &["presets", "--show", "open-aluminium-14"]).1
}

#[test]
fn outputs_never_replace_inputs_or_edits() {
    let jobs = format!("{HEAD}Wren,rowing-dinghy-12,,,\n");
    let home = home_with(&[
        ("plan.ron", &preset()),
        ("boats.csv", &jobs),
        ("jobs.csv", &jobs),
        ("film.csv", "what,label,width,length,amount\n"),
    ]);
    let home = home.path();
    let again = &["another folder (--out DIR)", "nothing was written"];
    refuses(
        home,
        &["plan", "plan.ron", "--out", "."],
        &[
            &["would replace the input plan.ron", "./plan.ron"],
            &again[..],
        ]
        .concat(),
    );
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(home.join("plan.ron"), home.join("link.ron")).unwrap();
        fs::hard_link(home.join("plan.ron"), home.join("twin.ron")).unwrap();
        for name in ["link.ron", "twin.ron"] {
            refuses(
                home,
                &["plan", name, "--out", "."],
                &["would replace the input", name],
            );
        }
    }
    refuses(
        home,
        &["season", "boats.csv", "--out", "."],
        &["would replace the input boats.csv"],
    );
    refuses(
        home,
        &["season", "jobs.csv", "--stock", "film.csv", "--out", "."],
        &["would replace the input film.csv"],
    );
    let picture = "would be replaced, and is no PNG picture";
    for (shot, why) in [
        ("plan.ron", "would replace the input plan.ron"),
        ("jobs.csv", picture),
    ] {
        refuses(home, &["view", "plan.ron", "--shot", shot], &[why, shot]);
    }
    // What is no input but a person's.
    refuses(
        home,
        &["season", "jobs.csv", "--out", "."],
        &["boats.csv", "film.csv", "not as hulltent wrote them"],
    );
    for (command, name) in [
        ("sheet", "sheet.pdf"),
        ("quote", "quote.csv"),
        ("plan", "frame.csv"),
    ] {
        fs::write(home.join(name), "mine").unwrap();
        refuses(
            home,
            &[command, "rowing-dinghy-12", "--cell", "6 in", "--out", "."],
            &[name, "edited, or from elsewhere"],
        );
    }
    // What hulltent wrote is replaced as long as nobody changed it.
    let plan = ["plan", "rowing-dinghy-12", "--cell", "6 in", "--out", "own"];
    for units in ["ft", "m", "ft"] {
        assert!(hulltent(home, &[&plan[..], &["--units", units]].concat()).0 < 2);
    }
    let list = home.join("own/frame.csv");
    fs::write(
        &list,
        format!("{}edited\n", fs::read_to_string(&list).unwrap()),
    )
    .unwrap();
    let edited = all(&home.join("own"));
    refuses(home, &plan, &["own/frame.csv"]);
    assert!(all(&home.join("own")) == edited);
}

#[test]
fn spring_and_export_keep_what_was_edited() {
    let jobs = format!("{HEAD}Wren,boat.ron,,,\n");
    let home = home_with(&[("jobs.csv", &jobs), ("boat.ron", &preset())]);
    let home = home.path();
    assert!(hulltent(home, &["season", "jobs.csv", "--out", "out"]).0 < 2);
    fs::write(
        home.join("stock.csv"),
        "what,label,width,length,amount\nvent,counted by hand,,,7\n",
    )
    .unwrap();
    fs::copy(home.join("out/spring.csv"), home.join("spring.csv")).unwrap();
    refuses(
        home,
        &["spring", "spring.csv", "--out", "."],
        &["./stock.csv", "not as hulltent wrote it"],
    );
    // The same files again are no matter; an edited one is.
    let export = ["store", "export", "out/season.sqlite", "--out", "copy"];
    for _ in 0..2 {
        assert_eq!(hulltent(home, &export).0, 0);
    }
    fs::write(home.join("copy/boat.ron"), "edited").unwrap();
    refuses(home, &export, &["copy/boat.ron"]);
    assert_eq!(fs::read(home.join("copy/boat.ron")).unwrap(), b"edited");
}

#[test]
fn names_are_no_formulas_and_come_back() {
    let jobs =
        "name,boat,note\n=1+1,rowing-dinghy-12,\"+cmd|' /C calc'!A0\"\n@x,rowing-dinghy-12,-5\n";
    let home = home_with(&[("jobs.csv", jobs)]);
    let home = home.path();
    assert!(hulltent(home, &["season", "jobs.csv", "--out", "out"]).0 < 2);
    assert_eq!(
        hulltent(
            home,
            &["store", "export", "out/season.sqlite", "--out", "copy"]
        )
        .0,
        0
    );
    for folder in ["out", "copy"] {
        for (name, bytes) in all(&home.join(folder))
            .iter()
            .filter(|(name, _)| name.ends_with(".csv"))
        {
            for record in csv::Reader::from_reader(bytes.as_slice()).records() {
                for cell in &record.unwrap() {
                    let is_number = cell.parse::<f64>().is_ok();
                    assert!(
                        is_number || !cell.starts_with(['=', '+', '-', '@']),
                        "{name}: {cell}"
                    );
                }
            }
        }
    }
    let exported = fs::read_to_string(home.join("copy/jobs.csv")).unwrap();
    assert!(
        exported.contains("'=1+1") && exported.contains(",-5"),
        "{exported}"
    );
    assert_eq!(
        hulltent(home, &["store", "import", "back.sqlite", "copy/jobs.csv"]).0,
        0
    );
    let names = |store: &str| -> Vec<String> {
        let jobs = Store::open(&home.join(store)).unwrap().jobs().unwrap();
        jobs.into_iter().map(|job| job.name).collect()
    };
    assert_eq!(names("back.sqlite"), ["=1+1", "@x"]);
    assert_eq!(names("back.sqlite"), names("out/season.sqlite"));
}

#[test]
fn slips_in_a_list_cost_their_own_row_once() {
    let jobs = format!(
        "{HEAD}Wren,rowing-dinghy-12,,,\n\"Teal,rowing-dinghy-12,,,\nAuk,rowing-dinghy-12,,,\nKnot,rowing-dinghy-12,,,,extra\n"
    );
    let home = home_with(&[("jobs.csv", &jobs)]);
    let (code, text, said) = hulltent(home.path(), &["season", "jobs.csv", "--out", "out"]);
    assert_eq!(code, 1, "{said}");
    assert!(
        said.contains("row 3: a quote is opened and not closed"),
        "{said}"
    );
    assert!(said.contains("row 5: 'extra' stands beyond"), "{said}");
    assert!(text.contains("row 3") && text.contains("row 5"), "{text}");
    let boats = fs::read_to_string(home.path().join("out/boats.csv")).unwrap();
    let mut names: Vec<String> = csv::Reader::from_reader(boats.as_bytes())
        .records()
        .map(|record| record.unwrap()[1].to_owned())
        .collect();
    names.sort();
    assert_eq!(names, ["Auk", "Wren"]);
}

#[test]
fn a_job_list_reaches_nothing_outside_its_folder() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let list = home.join("yard/list");
    fs::create_dir_all(list.join("boats")).unwrap();
    fs::write(home.join("yard/secret.ron"), preset()).unwrap();
    fs::write(list.join("boats/own.ron"), preset()).unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink(home.join("yard/secret.ron"), list.join("link.ron")).unwrap();
    #[cfg(not(unix))]
    fs::write(list.join("link.ron"), "").unwrap();
    let secret = home.join("yard/secret.ron").display().to_string();
    let rows = [
        "boats/own.ron",
        "../secret.ron",
        secret.as_str(),
        "boats/../../secret.ron",
        "link.ron",
    ];
    let mut text = HEAD.to_owned();
    for (number, name) in rows.iter().enumerate() {
        text.push_str(&format!("B{number},{name},,,\n"));
    }
    text.push_str("S,boats/own.ron,,,../secret.ron\n");
    fs::write(list.join("jobs.csv"), text).unwrap();
    let (code, printed, said) = hulltent(&list, &["season", "jobs.csv", "--out", "out"]);
    assert_eq!(code, 1, "{said}");
    let plain = printed.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(plain.matches("lies outside").count(), 5, "{printed}");
    let store = Store::open(&list.join("out/season.sqlite")).unwrap();
    let kept: Vec<String> = store
        .files()
        .unwrap()
        .into_iter()
        .map(|file| file.name)
        .collect();
    assert_eq!(kept, ["boats/own.ron"]);
}

#[test]
fn a_damaged_store_is_told_before_it_is_used() {
    let home = home_with(&[("jobs.csv", &format!("{HEAD}Wren,rowing-dinghy-12,,,\n"))]);
    let home = home.path();
    assert!(hulltent(home, &["season", "jobs.csv", "--out", "out"]).0 < 2);
    let path = home.join("out/season.sqlite");
    let mut bytes = fs::read(&path).unwrap();
    // A letter within the plan that was kept: SQLite itself does not see it.
    let place = bytes
        .windows(11)
        .rposition(|part| part == b"\"materials\"")
        .unwrap();
    bytes[place + 1] = b'M';
    fs::write(&path, &bytes).unwrap();
    let before = all(&home.join("out"));
    for arguments in [
        ["season", "jobs.csv", "--out", "out"],
        ["season", "out/season.sqlite", "--out", "other"],
        ["store", "export", "out/season.sqlite", "--out=copy"],
        [
            "quote",
            "rowing-dinghy-12",
            "--learned",
            "out/season.sqlite",
        ],
    ] {
        refuses(home, &arguments, &["season.sqlite is damaged"]);
        assert!(all(&home.join("out")) == before, "{arguments:?}");
    }
}

fn started(home: &Path) -> Child {
    std::process::Command::new(env!("CARGO_BIN_EXE_hulltent"))
        .current_dir(home)
        .args(["season", "jobs.csv", "--out", "out"])
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

#[test]
fn of_two_seasons_in_a_fresh_folder_one_waits() {
    let jobs = format!("{HEAD}Wren,express-cruiser-28,,,\nTeal,open-runabout-18,,,\n");
    let home = home_with(&[("jobs.csv", &jobs)]);
    let both = [started(home.path()), started(home.path())];
    let ended = both.map(|child| child.wait_with_output().unwrap());
    let mut codes: Vec<i32> = ended.iter().map(|end| end.status.code().unwrap()).collect();
    codes.sort();
    assert!(codes[0] < 2 && codes[1] == 2, "{codes:?}");
    let refused = ended
        .iter()
        .find(|end| end.status.code() == Some(2))
        .unwrap();
    let said = String::from_utf8_lossy(&refused.stderr);
    assert!(said.contains("another run is writing into out"), "{said}");
}

#[test]
fn a_store_has_the_same_bytes_for_any_number_of_threads() {
    let names = [
        "rowing-dinghy-12",
        "open-aluminium-14",
        "jon-boat-16",
        "open-runabout-18",
    ];
    let rows = names.map(|name| format!("{name},{name},,,\n")).concat();
    let home = home_with(&[("jobs.csv", &format!("{HEAD}{rows}"))]);
    let stores = ["1", "2", "4", "4"].map(|threads| {
        let out = format!("out {threads}");
        let _ = fs::remove_dir_all(home.path().join(&out));
        let arguments = ["season", "jobs.csv", "--out", &out, "--threads", threads];
        assert!(hulltent(home.path(), &arguments).0 < 2);
        fs::read(home.path().join(out).join("season.sqlite")).unwrap()
    });
    for store in &stores[1..] {
        assert!(*store == stores[0], "the stores differ");
    }
}
