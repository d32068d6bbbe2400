//! The rules of the house that no compiler checks: who may use whom, what the core must not do, how long
//! a file may be, what stands at the top level, what the default build must not carry.
//!
//! `unwrap`, `expect` and `panic!` outside tests, and `unsafe`, are kept out by the lint list in Cargo.toml;
//! `.ci/run` lets clippy look.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first thing that is not as it should be"
)]

#[path = "support/sources.rs"]
mod sources;

use sources::{Source, arrows, is_name, paths, root, sources, without_tests, without_words};
use std::collections::BTreeSet;
use std::process::Command;

/// Which room may use which. The rows stand in the order in which data flows, and a row names only rooms
/// above it, so that there is no way back.
const MAY_USE: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("num", &[]),
    ("geom", &["num"]),
    ("boat", &["units"]),
    ("hull", &["geom", "boat"]),
    ("frame", &["units", "num", "geom", "boat", "hull"]),
    ("cover", &["num", "geom", "boat", "hull", "frame"]),
    ("film", &["num", "geom", "boat", "hull", "frame", "cover"]),
    (
        "fittings",
        &[
            "units", "num", "geom", "boat", "hull", "frame", "cover", "film",
        ],
    ),
    (
        "loads",
        &[
            "units", "num", "geom", "boat", "hull", "frame", "cover", "film", "fittings",
        ],
    ),
    (
        "takeoff",
        &[
            "units", "boat", "hull", "frame", "cover", "film", "fittings", "loads",
        ],
    ),
    (
        "plan",
        &[
            "units", "num", "geom", "boat", "hull", "frame", "cover", "film", "fittings", "loads",
            "takeoff",
        ],
    ),
    // What a rival plan would do, for apprentices.
    (
        "lesson",
        &[
            "units", "num", "geom", "boat", "hull", "frame", "cover", "film", "plan",
        ],
    ),
    (
        "season",
        &[
            "units", "num", "boat", "hull", "frame", "cover", "loads", "takeoff", "plan",
        ],
    ),
    // Drawings and tables of a plan: they read all of it, and decide nothing.
    (
        "sheet",
        &[
            "units", "num", "geom", "boat", "hull", "frame", "cover", "film", "fittings", "loads",
            "takeoff", "plan", "season",
        ],
    ),
    (
        "export",
        &[
            "units", "num", "geom", "boat", "hull", "frame", "cover", "film", "fittings", "loads",
            "takeoff", "plan", "season", "sheet",
        ],
    ),
    // What `hulltent view` asks for: cli makes it, the viewer takes it, main hands it over.
    ("view", &["units", "boat", "loads"]),
    // Boat files on disk, for both of them.
    ("disk", &["boat"]),
    (
        "cli",
        &[
            "units", "boat", "hull", "frame", "cover", "film", "fittings", "loads", "takeoff",
            "plan", "lesson", "season", "sheet", "export", "view", "disk",
        ],
    ),
    // Never cli, as cli never uses the viewer.
    (
        "viewer",
        &[
            "units", "geom", "boat", "hull", "frame", "cover", "film", "fittings", "loads",
            "takeoff", "plan", "lesson", "season", "sheet", "export", "view", "disk",
        ],
    ),
];

/// Writers of drawings: they see the sheet and never the model behind it.
const DRAWN_FROM_SHEET: &[&str] = &["export/svg", "export/pdf", "export/dxf", "export/html"];

/// What touches the machine: files, environment, clock, streams.
const MACHINE: &[&str] = &[
    "std::env",
    "std::fs",
    "std::net",
    "std::process",
    "std::time",
    "std::io::stdin",
    "std::io::stdout",
    "std::io::stderr",
];
const PRINTING: &[&str] = &["print!", "println!", "eprint!", "eprintln!"];

/// Rooms that may touch the machine; `main` only starts `cli`.
const AT_THE_DOOR: &[&str] = &["cli", "viewer", "disk", "season/store", "main"];

/// Where the order of a hash would come out: same input, same bytes.
const UNORDERED: &[&str] = &["HashMap", "HashSet"];

const LONGEST_FILE: usize = 600;

/// All that stands at the top level, beside dot-files.
const TOP_LEVEL: &[&str] = &[
    "CHANGELOG.md",
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE-APACHE",
    "LICENSE-MIT",
    "README.md",
    "assets",
    "benches",
    "hull-presets",
    "src",
    "tests",
];

fn report(faults: &[String]) {
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn rooms_use_only_the_rooms_that_the_table_allows() {
    let mut faults = Vec::new();
    for source in sources() {
        if ["lib", "main"].contains(&source.room()) {
            continue;
        }
        let Some((room, may_use)) = MAY_USE.iter().find(|(room, _)| *room == source.room()) else {
            faults.push(format!("src/{}.rs: no such room in the table", source.path));
            continue;
        };
        let drawing = DRAWN_FROM_SHEET.contains(&source.path.as_str());
        for (at, used) in arrows(&source) {
            let allowed = if drawing {
                ["units", "sheet", "export"].contains(&used.as_str())
            } else {
                used == *room || may_use.contains(&used.as_str())
            };
            if !allowed {
                let place = source.place(at);
                faults.push(format!("{place}: {} must not use {used}", source.path));
            }
        }
    }
    report(&faults);
}

#[test]
fn the_table_has_no_way_back() {
    for (row, (room, may_use)) in MAY_USE.iter().enumerate() {
        for used in *may_use {
            let above = MAY_USE[..row].iter().any(|(name, _)| name == used);
            assert!(above, "{room} uses {used}, which does not stand above it");
        }
    }
}

#[test]
fn the_core_leaves_the_machine_alone() {
    let mut faults = Vec::new();
    for source in sources() {
        let at_the_door = AT_THE_DOOR
            .iter()
            .any(|door| source.path == *door || source.path.starts_with(&format!("{door}/")));
        if at_the_door {
            continue;
        }
        for (at, path) in paths(&source.code, "std") {
            let touches = MACHINE
                .iter()
                .any(|part| path == *part || path.starts_with(&format!("{part}::")));
            if touches {
                faults.push(format!("{}: {path}", source.place(at)));
            }
        }
        for print in PRINTING {
            for (at, _) in source.code.match_indices(print) {
                if !is_name(source.code.as_bytes(), at) {
                    faults.push(format!("{}: {print}", source.place(at)));
                }
            }
        }
    }
    report(&faults);
}

#[test]
fn nothing_depends_on_the_order_of_a_hash() {
    let mut faults = Vec::new();
    for source in sources() {
        for name in UNORDERED {
            for (at, _) in source.code.match_indices(name) {
                faults.push(format!("{}: {name}", source.place(at)));
            }
        }
    }
    report(&faults);
}

#[test]
fn files_are_short() {
    let faults: Vec<String> = sources()
        .iter()
        .filter(|source| source.lines > LONGEST_FILE)
        .map(|source| format!("src/{}.rs: {} lines", source.path, source.lines))
        .collect();
    report(&faults);
}

#[test]
fn the_top_level_holds_nothing_else() {
    // What git knows, so that a user's own plans may lie about; all there is where there is no git.
    let git = Command::new("git")
        .args(["ls-files", "-z"])
        .current_dir(root())
        .output();
    let names: BTreeSet<String> = match git {
        Ok(output) if output.status.success() && !output.stdout.is_empty() => {
            String::from_utf8_lossy(&output.stdout)
                .split('\0')
                .filter_map(|path| path.split('/').next())
                .filter(|name| !name.is_empty())
                .map(str::to_owned)
                .collect()
        }
        _ => std::fs::read_dir(root())
            .unwrap()
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .filter(|name| name != "target")
            .collect(),
    };
    let faults: Vec<String> = names
        .iter()
        .filter(|name| !name.starts_with('.') && !TOP_LEVEL.contains(&name.as_str()))
        .map(|name| format!("{name} does not belong at the top level"))
        .collect();
    report(&faults);
}

/// What only the viewer brings.
const OF_THE_VIEWER: [&str; 5] = ["bevy", "wgpu", "winit", "egui", "naga"];

#[test]
fn the_default_build_carries_no_game_engine() {
    // As `cargo build` takes the features, so that a default that brings the viewer is seen.
    let tree = Command::new(env!("CARGO"))
        .args(["tree", "--offline", "-e", "normal", "--prefix", "none"])
        .current_dir(root())
        .output()
        .unwrap();
    let text = String::from_utf8_lossy(&tree.stdout);
    assert!(
        tree.status.success(),
        "cargo tree: {}",
        String::from_utf8_lossy(&tree.stderr)
    );
    let carries = |wanted: &str| text.lines().any(|line| line.starts_with(wanted));
    // The list is that of this crate with its dependencies, and theirs.
    for wanted in ["hulltent v", "clap v", "clap_builder v", "faer v"] {
        assert!(carries(wanted), "{wanted} is not among\n{text}");
    }
    let faults: Vec<String> = OF_THE_VIEWER
        .iter()
        .filter(|name| carries(name))
        .map(|name| format!("the default build carries {name}"))
        .collect();
    report(&faults);
    // What is looked for is what the viewer would bring, by the lock file.
    let lock = std::fs::read_to_string(root().join("Cargo.lock")).unwrap();
    for name in OF_THE_VIEWER {
        assert!(lock.contains(&format!("\nname = \"{name}")), "{name}");
    }
}

#[test]
fn this_test_reads_code_as_it_should() {
    let check = |code: &str, path: &str, want: &[&str]| {
        let (code, _) = without_tests(&without_words(code));
        let source = Source {
            path: path.to_owned(),
            lines: 0,
            code,
        };
        let got: Vec<String> = arrows(&source).into_iter().map(|(_, used)| used).collect();
        assert_eq!(got, want, "{path}");
    };
    check("use crate::geom::mesh::Mesh;", "hull/a", &["geom"]);
    check(
        "use crate::{\n a::{B, c}, d,\n};",
        "hull/a",
        &["a", "a", "d"],
    );
    check("let x = crate::boat::read(1);", "hull/a", &["boat"]);
    check("pub(crate) fn a() {}", "hull/a", &[]);
    check(
        "use super::Mesh; use super::super::boat;",
        "hull/a",
        &["boat"],
    );
    check("use super::boat;", "hull/mod", &["boat"]);
    check("use super::super::a::b;", "hull/deep/c", &[]);
    check("// crate::a\n/* crate::b /* crate::c */ */", "hull/a", &[]);
    check(
        "\"crate::a \\\" crate::b\"; r#\"\"crate::c\"#; '\"'; crate::d::e",
        "hull/a",
        &["d"],
    );
    check(
        "fn a<'a>(x: &'a str) -> crate::b::C<'a> {}",
        "hull/a",
        &["b"],
    );
    check(
        "#[cfg(test)]\nmod tests { use crate::a::B; fn c() { {} } }\nuse crate::d::E;",
        "hull/a",
        &["d"],
    );
    let (_, modules) = without_tests("#[cfg(test)]\nmod tests;\n");
    assert_eq!(modules, ["tests"]);
}
