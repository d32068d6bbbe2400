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

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
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

const LONGEST_FILE: usize = 800;

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

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A source file: its path under `src` without the ending, and its text with comments, quoted text and
/// test modules blanked, so that places still count right.
struct Source {
    path: String,
    code: String,
    lines: usize,
}

impl Source {
    fn room(&self) -> &str {
        self.path.split('/').next().unwrap()
    }

    /// How many `super::` lead out of the room to the crate's root.
    fn depth(&self) -> usize {
        let steps = self.path.split('/').count();
        steps - usize::from(self.path.ends_with("/mod"))
    }

    fn place(&self, at: usize) -> String {
        let line = self.code[..at].matches('\n').count() + 1;
        format!("src/{}.rs:{line}", self.path)
    }
}

/// All sources but test modules.
fn sources() -> Vec<Source> {
    let mut files = Vec::new();
    collect(&root().join("src"), &mut files);
    files.sort();
    let mut tests = BTreeSet::new();
    let mut found = Vec::new();
    for file in files {
        let text = std::fs::read_to_string(&file).unwrap();
        let relative = file.strip_prefix(root().join("src")).unwrap();
        let path = relative
            .with_extension("")
            .to_string_lossy()
            .replace('\\', "/");
        let (code, modules) = without_tests(&without_words(&text));
        let home = path.strip_suffix("/mod").unwrap_or(&path);
        tests.extend(modules.iter().map(|module| format!("{home}/{module}")));
        found.push(Source {
            path,
            code,
            lines: text.lines().count(),
        });
    }
    found.retain(|source| {
        !tests
            .iter()
            .any(|test| source.path == *test || source.path.starts_with(&format!("{test}/")))
    });
    assert!(found.len() > 20, "the sources are not where they should be");
    found
}

fn collect(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            collect(&path, files);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            files.push(path);
        }
    }
}

/// Blanks comments, strings and characters; keeps line breaks and length.
fn without_words(text: &str) -> String {
    let bytes = text.as_bytes();
    let mut code = bytes.to_vec();
    let mut at = 0;
    while at < bytes.len() {
        let end = match &bytes[at..] {
            [b'/', b'/', ..] => at + text[at..].find('\n').unwrap_or(text.len() - at),
            [b'/', b'*', ..] => block_end(bytes, at),
            [b'"', ..] => quoted_end(bytes, at + 1),
            [b'r', b'"' | b'#', ..] if !is_name(bytes, at) => raw_end(text, at),
            [b'\'', b'\\', ..] => at + 3 + text[at + 3..].find('\'').unwrap_or(0) + 1,
            [b'\'', ..] => {
                let inside = text[at + 1..].chars().next().map_or(1, char::len_utf8);
                // Else it is a lifetime.
                if bytes.get(at + 1 + inside) == Some(&b'\'') {
                    at + 2 + inside
                } else {
                    at + 1
                }
            }
            _ => {
                at += 1;
                continue;
            }
        };
        for byte in &mut code[at..end] {
            if *byte != b'\n' {
                *byte = b' ';
            }
        }
        at = end.max(at + 1);
    }
    String::from_utf8(code).unwrap()
}

fn is_name(bytes: &[u8], at: usize) -> bool {
    at > 0 && (bytes[at - 1].is_ascii_alphanumeric() || bytes[at - 1] == b'_')
}

fn block_end(bytes: &[u8], start: usize) -> usize {
    let mut depth = 0;
    let mut at = start;
    while at < bytes.len() {
        match &bytes[at..] {
            [b'/', b'*', ..] => {
                depth += 1;
                at += 2;
            }
            [b'*', b'/', ..] => {
                depth -= 1;
                at += 2;
                if depth == 0 {
                    return at;
                }
            }
            _ => at += 1,
        }
    }
    at
}

fn quoted_end(bytes: &[u8], mut at: usize) -> usize {
    while at < bytes.len() && bytes[at] != b'"' {
        at += 1 + usize::from(bytes[at] == b'\\');
    }
    (at + 1).min(bytes.len())
}

/// End of a raw string, or just past the letter of a raw name such as `r#type`.
fn raw_end(text: &str, start: usize) -> usize {
    let hashes = text[start + 1..].bytes().take_while(|b| *b == b'#').count();
    let open = start + 1 + hashes;
    if text.as_bytes().get(open) != Some(&b'"') {
        return start + 1;
    }
    let close = format!("\"{}", "#".repeat(hashes));
    text[open + 1..]
        .find(&close)
        .map_or(text.len(), |inside| open + 1 + inside + close.len())
}

/// Blanks whatever stands under `#[cfg(test)]`; also the names of test modules in files of their own.
fn without_tests(code: &str) -> (String, Vec<String>) {
    const MARK: &str = "#[cfg(test)]";
    let mut code = code.to_owned();
    let mut modules = Vec::new();
    while let Some(start) = code.find(MARK) {
        let rest = &code[start + MARK.len()..];
        let stop = rest.find(['{', ';']).unwrap_or(rest.len());
        let end = if rest.as_bytes().get(stop) == Some(&b'{') {
            stop + group_end(&rest[stop..])
        } else {
            if let Some(name) = rest[..stop].trim().strip_prefix("mod ") {
                modules.push(name.trim().to_owned());
            }
            (stop + 1).min(rest.len())
        };
        let end = start + MARK.len() + end;
        let blank: String = code[start..end]
            .chars()
            .map(|c| if c == '\n' { '\n' } else { ' ' })
            .collect();
        code.replace_range(start..end, &blank);
    }
    (code, modules)
}

/// Length of a group in braces at the start of a text, its braces included.
fn group_end(text: &str) -> usize {
    let mut depth = 0;
    for (at, c) in text.char_indices() {
        match c {
            '{' => depth += 1,
            '}' => {
                depth -= 1;
                if depth == 0 {
                    return at + 1;
                }
            }
            _ => {}
        }
    }
    text.len()
}

/// All full paths that begin with `root::`, groups in braces opened, each with its place in the code.
fn paths(code: &str, root: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    let head = format!("{root}::");
    for (at, _) in code.match_indices(&head) {
        let inside_name = is_name(code.as_bytes(), at);
        let deeper = code[..at].ends_with("::");
        if !inside_name && !deeper {
            open(&code[at + head.len()..], &head, at, &mut found);
        }
    }
    found
}

fn open(text: &str, head: &str, at: usize, found: &mut Vec<(usize, String)>) {
    let text = text.trim_start();
    if let Some(inside) = text.strip_prefix('{') {
        let inside = &inside[..group_end(text) - 2];
        let mut depth = 0;
        let mut start = 0;
        for (place, c) in inside.char_indices() {
            match c {
                '{' => depth += 1,
                '}' => depth -= 1,
                ',' if depth == 0 => {
                    open(&inside[start..place], head, at, found);
                    start = place + 1;
                }
                _ => {}
            }
        }
        open(&inside[start..], head, at, found);
        return;
    }
    let name: String = text
        .chars()
        .take_while(|c| c.is_alphanumeric() || *c == '_')
        .collect();
    if name.is_empty() {
        return;
    }
    let path = format!("{head}{name}");
    match text[name.len()..].strip_prefix("::") {
        Some(rest) if !rest.starts_with('<') => open(rest, &format!("{path}::"), at, found),
        _ => found.push((at, path)),
    }
}

/// The rooms that a file uses, each with its place.
fn arrows(source: &Source) -> Vec<(usize, String)> {
    let first = |path: &str, head: &str| {
        let rest = path.strip_prefix(head).unwrap();
        rest.split("::").next().unwrap().to_owned()
    };
    let mut arrows: Vec<(usize, String)> = paths(&source.code, "crate")
        .into_iter()
        .map(|(at, path)| (at, first(&path, "crate::")))
        .collect();
    // A way out by `super` counts too.
    let out = "super::".repeat(source.depth());
    for (at, path) in paths(&source.code, "super") {
        if path.starts_with(&out) {
            arrows.push((at, first(&path, &out)));
        }
    }
    arrows
}

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
