//! Where each value of a boat file stands, so that a message about a value can point at it.
//!
//! The scanner knows just enough of RON to tell names from values. It checks nothing: the reader of the file
//! does that, and wants places most of all when the file is broken, so whatever comes before the first thing that
//! cannot be read is kept.

use std::collections::BTreeMap;

mod scanner;

/// A stretch of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// Line, from 1.
    pub line: usize,
    /// Character in the line, from 1.
    pub column: usize,
    /// Bytes from the start of the text.
    pub offset: usize,
    /// Length in bytes.
    pub length: usize,
}

/// The places of all values in one RON text, found by path.
///
/// A path is made of field names, map keys and list places: `hull.shape.transom_deadrise`, `boxes[2].height`.
/// Names of structs and variants, `Some(...)` and the parentheses of a named single value add nothing to
/// it: in `hull: V(entry_deadrise: "40 deg")` the path is `hull.entry_deadrise`. Items of tuples count like
/// those of lists. The empty path is the whole value. Two spellings from error paths are also understood:
/// `boxes.2.height`, and `?` for a step that adds nothing. Keys with a point or a bracket can't be asked
/// for; [`Places::nearest`] then gives their map.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Places {
    root: Node,
}

/// A value: where it, or the name in front of it, stands, and what it holds.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Node {
    place: Place,
    children: Children,
}

type Children = BTreeMap<Step, Node>;

/// One step down from a value to a part of it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Step {
    Name(String),
    Item(usize),
}

impl Places {
    /// Scans a RON text, in a time that grows with its length. Stops quietly at the first thing that it can't
    /// read and at values nested deeper than 64.
    #[must_use]
    pub fn scan(text: &str) -> Self {
        Self {
            root: scanner::scan(text),
        }
    }

    /// The place of a value: of its field name or map key if the path ends in one, else of the value itself.
    /// `None` if the text has no such value.
    #[must_use]
    pub fn find(&self, path: &str) -> Option<Place> {
        let (place, complete) = self.walk(path);
        (complete && place.length > 0).then_some(place)
    }

    /// The place of the longest front part of a path that exists, such as the struct in which a field is missing.
    /// `None` only for a text without a value.
    #[must_use]
    pub fn nearest(&self, path: &str) -> Option<Place> {
        let (place, _) = self.walk(path);
        (place.length > 0).then_some(place)
    }

    /// Goes as far along the path as the text does; true if that is the whole path.
    fn walk(&self, path: &str) -> (Place, bool) {
        let mut node = &self.root;
        let mut rest = path;
        while let Some((piece, after)) = split_piece(rest, rest.len() == path.len()) {
            let child = match piece {
                Piece::Nothing => Some(node),
                Piece::Item(item) => node.children.get(&Step::Item(item)),
                Piece::Name(name) => {
                    let named = node.children.get(&Step::Name(name.to_owned()));
                    named.or_else(|| node.children.get(&Step::Item(name.parse().ok()?)))
                }
            };
            let Some(child) = child else {
                return (node.place, false);
            };
            node = child;
            rest = after;
        }
        (node.place, rest.is_empty())
    }
}

enum Piece<'a> {
    Name(&'a str),
    Item(usize),
    Nothing,
}

/// The first piece of a path and what is left; `None` if there is none or it can't be read.
fn split_piece(path: &str, first: bool) -> Option<(Piece<'_>, &str)> {
    if let Some(inside) = path.strip_prefix('[') {
        let (item, after) = inside.split_once(']')?;
        return Some((Piece::Item(item.parse().ok()?), after));
    }
    let path = if first { path } else { path.strip_prefix('.')? };
    let end = path.find(['.', '[']).unwrap_or(path.len());
    match path.split_at_checked(end)? {
        ("", _) => None,
        ("?", after) => Some((Piece::Nothing, after)),
        (name, after) => Some((Piece::Name(name), after)),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Finds a path and compares the text that stands there, line and column.
    fn check(text: &str, path: &str, wanted: Option<(&str, usize, usize)>) {
        let found = Places::scan(text).find(path).map(|place| {
            let end = place.offset + place.length;
            (&text[place.offset..end], place.line, place.column)
        });
        assert_eq!(found, wanted, "{path} in {text}");
    }

    fn check_nearest(text: &str, path: &str, wanted: (&str, usize, usize)) {
        let place = Places::scan(text).nearest(path).expect(path);
        let end = place.offset + place.length;
        let found = (&text[place.offset..end], place.line, place.column);
        assert_eq!(found, wanted, "{path} in {text}");
    }

    const BOAT: &str = r##"#![enable(implicit_some)]
// An open boat. ( [ { "
Boat(
    name: "Tern \"2\" ) 🚤", hull: V(
        entry_deadrise: "40 deg", /* nested /* ( */ too */
        shape: (transom_deadrise: "15 deg", r#type: Round),
    ),
    sheer: (bow: 1.2, middle: -1.0e-1, stern: +.9),
    boxes: [
        (height: "18 in", kind: Console),
        Box(height: '"',), (
            height: r#"a ) " b"#,
        ),
    ],
    tower: Some((top: Some("7'4\"" ), legs: (1, (2, foot: 3)))),
    mast: None,
    notes: { "bow eye": (size: 'x'), "a\"b": [1, 2], 3: "c", r"raw": b"\"", },
    pair: ("5 m", Up(3, 4)), after: '\'', last: b'\\',
)
"##;

    #[test]
    fn values_are_found() {
        check(BOAT, "name", Some(("name", 4, 5)));
        // The small boat is one character, though four bytes.
        check(BOAT, "hull", Some(("hull", 4, 29)));
        check(BOAT, "hull.entry_deadrise", Some(("entry_deadrise", 5, 9)));
        check(
            BOAT,
            "hull.shape.transom_deadrise",
            Some(("transom_deadrise", 6, 17)),
        );
        check(BOAT, "hull.shape.type", Some(("r#type", 6, 45)));
        check(BOAT, "sheer.bow", Some(("bow", 8, 13)));
        check(BOAT, "sheer.stern", Some(("stern", 8, 40)));
        check(
            BOAT,
            "boxes[0]",
            Some(("(height: \"18 in\", kind: Console)", 10, 9)),
        );
        check(BOAT, "boxes[1]", Some(("Box(height: '\"',)", 11, 9)));
        check(BOAT, "boxes[1].height", Some(("height", 11, 13)));
        check(BOAT, "boxes[2].height", Some(("height", 12, 13)));
        check(BOAT, "boxes.2.height", Some(("height", 12, 13)));
        check(BOAT, "tower.top", Some(("top", 15, 18)));
        check(BOAT, "tower.?.top.?", Some(("top", 15, 18)));
        check(BOAT, "tower.legs[0]", Some(("1", 15, 46)));
        check(BOAT, "tower.legs[1].foot", Some(("foot", 15, 53)));
        check(BOAT, "mast", Some(("mast", 16, 5)));
        check(BOAT, "notes.bow eye.size", Some(("size", 17, 26)));
        check(BOAT, "notes.a\"b[1]", Some(("2", 17, 50)));
        check(BOAT, "notes.raw", Some(("r\"raw\"", 17, 62)));
        check(BOAT, "pair[0]", Some(("\"5 m\"", 18, 12)));
        check(BOAT, "pair[1][1]", Some(("4", 18, 25)));
        check(BOAT, "after", Some(("after", 18, 30)));
        check(BOAT, "last", Some(("last", 18, 43)));
        for path in [
            "hull.x",
            "boxes[3]",
            "boxes[-1]",
            "boxes[",
            "boxes[0",
            "hull..shape",
            ".hull",
            "hull.",
            "[0]",
            "sheer.bow.x",
            "notes.3",
            "[99999999999999999999]",
        ] {
            check(BOAT, path, None);
        }
    }

    #[test]
    fn small_texts_are_scanned() {
        check("", "", None);
        check("  // only talk", "", None);
        check(" 5 ", "", Some(("5", 1, 2)));
        check("(1)", "[0]", Some(("1", 1, 2)));
        check("N(1)", "[0]", None);
        check("N([7, 8])", "[1]", Some(("8", 1, 7)));
        check("N(1, 2)", "[1]", Some(("2", 1, 6)));
        check("Some(Some((a: 1)))", "a", Some(("a", 1, 12)));
        check("(a /* : */ : 1)", "a", Some(("a", 1, 2)));
        check("(a: X /* ( */, b: 1)", "b", Some(("b", 1, 16)));
        check("[X  ]", "[0]", Some(("X", 1, 2)));
        check("[X /* late */ (a: 1)]", "[0].a", Some(("a", 1, 16)));
        check("(a: 1, a: 2)", "a", Some(("a", 1, 2)));
        check("(a: 1,\r\n\tb: 2)", "b", Some(("b", 2, 2)));
        check("(a: \"x\ny\", b: 2)", "b", Some(("b", 2, 5)));
        check("(a: r##\"\"#\"##, b: 2)", "b", Some(("b", 1, 16)));
        check(
            "(a: br#\"\"\"#, b: '\\u{41}', c: inf)",
            "c",
            Some(("c", 1, 27)),
        );
        check("(breite: 1, größe: 2)", "größe", Some(("größe", 1, 13)));
        check("(rest: r, r: b, b: br)", "b", Some(("b", 1, 17)));
        check("{}", "", Some(("{}", 1, 1)));
        check("()", "", Some(("()", 1, 1)));
    }

    #[test]
    fn scanning_stops_quietly() {
        // What stands before the break is kept.
        check("(a: 1, b: @, c: 2)", "b", Some(("b", 1, 8)));
        check("(a: 1, b: @, c: 2)", "c", None);
        check("(a: [1, 2", "a[1]", Some(("2", 1, 9)));
        check("(a: [1, 2 3]", "a[2]", None);
        check("(a: \"open, b: 2)", "a", Some(("a", 1, 2)));
        check("(a: \"open, b: 2)", "b", None);
        check("(a: 1, /* open", "a", Some(("a", 1, 2)));
        check("(a: V(b: 1, c: [", "a.c", Some(("c", 1, 13)));
        check("(a: 1 b: 2)", "b", None);
        check("{\"k\" 1}", "k", None);
        check("(a: 1], b: 2)", "b", None);
        check("#![enable(", "", None);
    }

    #[test]
    fn the_nearest_place_is_given() {
        check_nearest(BOAT, "hull.shape.missing.deep", ("shape", 6, 9));
        check_nearest(BOAT, "boxes[7].height", ("boxes", 9, 5));
        check_nearest(BOAT, "hull..x", ("hull", 4, 29));
        check_nearest("(a: 1)", "b", ("(a: 1)", 1, 1));
        check_nearest("(a: 1)", "", ("(a: 1)", 1, 1));
        assert_eq!(Places::scan(" \n").nearest("a"), None);
    }

    #[test]
    fn nesting_has_a_limit() {
        let nest = |levels: usize| format!("{}7{}", "[".repeat(levels), "]".repeat(levels));
        let steps = |levels: usize| "[0]".repeat(levels);
        check(&nest(64), &steps(64), Some(("7", 1, 65)));
        check(&nest(65), &steps(65), None);
        check(&nest(65), &steps(64), Some(("[", 1, 65)));
        for open in [
            "[", "(", "{", "Some(", "(a:", "{\"a\":", "/*", "[[1],", "r#", "V(/**/",
        ] {
            // Far more than the stack would bear.
            let text = open.repeat(200_000);
            assert_eq!(Places::scan(&text).find("x"), None, "{open}");
        }
    }

    /// Texts that are RON to the reader of boat files are scanned to their end.
    #[test]
    fn the_scanner_agrees_with_ron() {
        for text in [
            "(a: [1, 2.5e-3], b: {\"k\": Some('x')}, c: r#\"q\"#)",
            "[0x1F, 1_000, -inf, NaN, true, (), b'a', \"\\u{41}\"]",
            "/* a /* b */ c */ [ '\\'', '\"', ] // end",
        ] {
            assert!(ron::from_str::<ron::Value>(text).is_ok(), "{text}");
            let place = Places::scan(text).nearest("").expect(text);
            assert!(
                matches!(
                    text.as_bytes().get(place.offset + place.length - 1),
                    Some(b')' | b']')
                ),
                "{text}"
            );
        }
    }

    proptest! {
        #[test]
        fn any_text_is_survived(text in any::<String>(), path in any::<String>()) {
            let place = Places::scan(&text).nearest(&path);
            prop_assert!(place.is_none_or(|place| text.get(place.offset..place.offset + place.length).is_some()));
        }

        #[test]
        fn near_ron_is_survived(text in "[()\\[\\]{}:,\"'#!rba1 /*\\\\\n]{0,60}", path in "[a.\\[\\]0?]{0,12}") {
            let place = Places::scan(&text).nearest(&path);
            prop_assert!(place.is_none_or(|place| text.get(place.offset..place.offset + place.length).is_some()));
        }
    }
}
