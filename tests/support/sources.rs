//! The project's own sources, read as text: code without words and tests, and the paths that it names.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A source file: its path under `src` without the ending, and its text with comments, quoted text and
/// test modules blanked, so that places still count right.
pub struct Source {
    pub path: String,
    pub code: String,
    pub lines: usize,
}

impl Source {
    pub fn room(&self) -> &str {
        self.path.split('/').next().unwrap()
    }

    /// How many `super::` lead out of the room to the crate's root.
    fn depth(&self) -> usize {
        let steps = self.path.split('/').count();
        steps - usize::from(self.path.ends_with("/mod"))
    }

    pub fn place(&self, at: usize) -> String {
        let line = self.code[..at].matches('\n').count() + 1;
        format!("src/{}.rs:{line}", self.path)
    }
}

/// All sources but test modules.
pub fn sources() -> Vec<Source> {
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
pub fn without_words(text: &str) -> String {
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

pub fn is_name(bytes: &[u8], at: usize) -> bool {
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
pub fn without_tests(code: &str) -> (String, Vec<String>) {
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
pub fn paths(code: &str, root: &str) -> Vec<(usize, String)> {
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
pub fn arrows(source: &Source) -> Vec<(usize, String)> {
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
