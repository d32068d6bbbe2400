//! Reads RON text just far enough to tell names from values.

use std::str::Chars;

use super::{Children, Node, Place, Step};

/// Deepest nesting that is followed: no boat file comes near, and the scanner calls itself for each level.
const DEEPEST: usize = 64;

/// Finds the places in a text.
pub(super) fn scan(text: &str) -> Node {
    let mut scanner = Scanner {
        text,
        cursor: Cursor {
            rest: text.chars(),
            offset: 0,
            line: 1,
            column: 1,
        },
        stopped: false,
    };
    scanner.skip_blank();
    // Headers such as `#![enable(implicit_some)]`.
    while scanner.peek() == Some('#') {
        scanner.skip_while(|c| c != ']');
        scanner.eat(']');
        scanner.skip_blank();
    }
    scanner.value(0)
}

/// Where the scanner is. Cheap to copy, for looking ahead.
#[derive(Clone)]
struct Cursor<'a> {
    rest: Chars<'a>,
    offset: usize,
    line: usize,
    column: usize,
}

struct Scanner<'a> {
    text: &'a str,
    cursor: Cursor<'a>,
    /// Set at the first thing that can't be read: from then on nothing is found.
    stopped: bool,
}

impl Scanner<'_> {
    fn stop(&mut self) {
        self.stopped = true;
    }

    /// The next character; none once stopped.
    fn peek(&self) -> Option<char> {
        if self.stopped {
            return None;
        }
        self.cursor.rest.clone().next()
    }

    fn next_is(&self, text: &str) -> bool {
        !self.stopped && self.cursor.rest.as_str().starts_with(text)
    }

    /// Steps over a character. At the end of the text, stops: callers only bump inside something unfinished.
    fn bump(&mut self) -> Option<char> {
        let Some(c) = self.peek() else {
            self.stop();
            return None;
        };
        let cursor = &mut self.cursor;
        cursor.rest.next();
        cursor.offset += c.len_utf8();
        if c == '\n' {
            cursor.line += 1;
            cursor.column = 1;
        } else {
            cursor.column += 1;
        }
        Some(c)
    }

    fn eat(&mut self, wanted: char) -> bool {
        let found = self.peek() == Some(wanted);
        if found {
            self.bump();
        }
        found
    }

    fn skip_while(&mut self, wanted: impl Fn(char) -> bool) {
        while self.peek().is_some_and(&wanted) {
            self.bump();
        }
    }

    /// Steps over blanks and comments.
    fn skip_blank(&mut self) {
        loop {
            self.skip_while(is_blank);
            if self.next_is("//") {
                self.skip_while(|c| c != '\n');
            } else if self.next_is("/*") {
                self.block_comment();
            } else {
                return;
            }
        }
    }

    /// Steps over a block comment with the comments inside it.
    fn block_comment(&mut self) {
        let mut open = 0_usize;
        loop {
            if self.next_is("/*") {
                open += 1;
                self.bump();
            } else if self.next_is("*/") {
                open -= 1;
                self.bump();
            }
            self.bump();
            if open == 0 || self.stopped {
                return;
            }
        }
    }

    fn here(&self) -> Place {
        Place {
            line: self.cursor.line,
            column: self.cursor.column,
            offset: self.cursor.offset,
            length: 0,
        }
    }

    /// From an earlier place to here.
    fn since(&self, start: Place) -> Place {
        Place {
            length: self.cursor.offset - start.offset,
            ..start
        }
    }

    /// Reads one value of any kind.
    fn value(&mut self, depth: usize) -> Node {
        let start = self.here();
        let mut children = Children::new();
        match self.peek() {
            _ if depth > DEEPEST => self.stop(),
            Some('(') => (children, _) = self.parentheses(depth),
            Some('[') => children = self.list(depth),
            Some('{') => children = self.map(depth),
            Some('"') => self.string(),
            Some('\'') => self.character(),
            Some(c) if c.is_ascii_digit() || "+-.".contains(c) => {
                self.skip_while(|c| c.is_ascii_alphanumeric() || "+-._".contains(c));
            }
            Some(c) if starts_name(c) => children = self.named(depth),
            _ => self.stop(),
        }
        Node {
            place: self.since(start),
            children,
        }
    }

    /// Reads what begins with a letter: a prefixed string, a word, or a name with something in parentheses.
    fn named(&mut self, depth: usize) -> Children {
        if self.next_is("b'") {
            self.bump();
            self.character();
            return Children::new();
        }
        if self.next_is("b\"") {
            self.bump();
            self.string();
            return Children::new();
        }
        if let Some(hashes) = raw_string(self.cursor.rest.as_str()) {
            self.raw_string(hashes);
            return Children::new();
        }
        self.name();
        let word_end = self.cursor.clone();
        self.skip_blank();
        if self.peek() != Some('(') {
            // The value ends with the word, not with the blanks behind it.
            self.cursor = word_end;
            return Children::new();
        }
        let (mut children, items) = self.parentheses(depth);
        // `Some(x)` and `Name(x)` hold just x: its parts are theirs.
        if items == 1
            && children.len() == 1
            && let Some(only) = children.remove(&Step::Item(0))
        {
            return only.children;
        }
        children
    }

    /// Reads the fields of a struct or the items of a tuple; returns also the number of items.
    fn parentheses(&mut self, depth: usize) -> (Children, usize) {
        let mut children = Children::new();
        let mut items = 0;
        self.eat('(');
        self.skip_blank();
        while !self.eat(')') {
            if let Some((name, place)) = self.field() {
                let node = Node {
                    place,
                    children: self.value(depth + 1).children,
                };
                children.entry(Step::Name(name)).or_insert(node);
            } else {
                self.item(depth, &mut items, &mut children);
            }
            if self.ends(')') {
                break;
            }
        }
        (children, items)
    }

    fn list(&mut self, depth: usize) -> Children {
        let mut children = Children::new();
        let mut items = 0;
        self.eat('[');
        self.skip_blank();
        while !self.eat(']') {
            self.item(depth, &mut items, &mut children);
            if self.ends(']') {
                break;
            }
        }
        children
    }

    /// Reads a map; only entries whose key is a string can be found.
    fn map(&mut self, depth: usize) -> Children {
        let mut children = Children::new();
        self.eat('{');
        self.skip_blank();
        while !self.eat('}') {
            let place = self.value(depth + 1).place;
            let key = self
                .text
                .get(place.offset..place.offset + place.length)
                .and_then(key);
            self.skip_blank();
            if !self.eat(':') {
                self.stop();
            }
            self.skip_blank();
            if self.stopped {
                break;
            }
            let node = Node {
                place,
                children: self.value(depth + 1).children,
            };
            if let Some(key) = key {
                children.entry(Step::Name(key)).or_insert(node);
            }
            if self.ends('}') {
                break;
            }
        }
        children
    }

    fn item(&mut self, depth: usize, items: &mut usize, children: &mut Children) {
        let node = self.value(depth + 1);
        if node.place.length > 0 {
            children.insert(Step::Item(*items), node);
            *items += 1;
        }
    }

    /// Steps over the comma behind an entry; true if nothing follows it, the closing mark then being gone.
    fn ends(&mut self, close: char) -> bool {
        self.skip_blank();
        if self.eat(',') {
            self.skip_blank();
            return self.stopped;
        }
        if !self.eat(close) {
            self.stop();
        }
        true
    }

    /// Reads a field name and its colon, or nothing.
    fn field(&mut self) -> Option<(String, Place)> {
        let start = self.cursor.clone();
        let place = self.here();
        if self.peek().is_some_and(starts_name) {
            self.name();
            let place = self.since(place);
            let name = self.text.get(place.offset..place.offset + place.length);
            self.skip_blank();
            if self.eat(':') {
                self.skip_blank();
                let name = name?;
                return Some((name.strip_prefix("r#").unwrap_or(name).to_owned(), place));
            }
        }
        self.cursor = start;
        None
    }

    /// Steps over a name, plain or raw (`r#type`).
    fn name(&mut self) {
        if self.next_is("r#") {
            self.bump();
            self.bump();
            self.skip_while(|c| in_name(c) || "+-.".contains(c));
        } else {
            self.skip_while(in_name);
        }
    }

    fn string(&mut self) {
        self.eat('"');
        while let Some(c) = self.bump() {
            match c {
                '\\' => {
                    self.bump();
                }
                '"' => return,
                _ => {}
            }
        }
    }

    fn character(&mut self) {
        self.eat('\'');
        // The first one may itself be a quote, behind a backslash or bare.
        if self.bump() == Some('\\') {
            self.bump();
        }
        self.skip_while(|c| c != '\'' && c != '\n');
        if !self.eat('\'') {
            self.stop();
        }
    }

    fn raw_string(&mut self, hashes: usize) {
        self.skip_while(|c| c != '"');
        self.eat('"');
        while let Some(c) = self.bump() {
            if c != '"' {
                continue;
            }
            let mut found = 0;
            while found < hashes && self.eat('#') {
                found += 1;
            }
            if found == hashes {
                return;
            }
        }
    }
}

/// What RON takes for a blank: white space and the two marks of writing direction.
fn is_blank(c: char) -> bool {
    c.is_whitespace() || matches!(c, '\u{200e}' | '\u{200f}')
}

fn starts_name(c: char) -> bool {
    c.is_alphabetic() || c == '_'
}

fn in_name(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// If a raw string begins here, the number of its hash marks.
fn raw_string(rest: &str) -> Option<usize> {
    let marks = rest.strip_prefix('b').unwrap_or(rest).strip_prefix('r')?;
    let quoted = marks.trim_start_matches('#');
    quoted
        .starts_with('"')
        .then_some(marks.len() - quoted.len())
}

/// The text of a string literal, with the usual escapes undone; `None` for any other value.
fn key(literal: &str) -> Option<String> {
    if let Some(raw) = literal.strip_prefix('r') {
        let inside = raw.trim_matches('#').strip_prefix('"')?.strip_suffix('"')?;
        return Some(inside.to_owned());
    }
    let inside = literal.strip_prefix('"')?.strip_suffix('"')?;
    let mut text = String::with_capacity(inside.len());
    let mut chars = inside.chars();
    while let Some(c) = chars.next() {
        text.push(match c {
            '\\' => match chars.next()? {
                'n' => '\n',
                'r' => '\r',
                't' => '\t',
                '0' => '\0',
                // Numbered escapes are nothing that a path could be written with.
                'x' | 'u' => return None,
                other => other,
            },
            c => c,
        });
    }
    Some(text)
}
