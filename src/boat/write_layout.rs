//! The look of a written boat file: short values share a line, long ones are broken and indented.

/// Longest line that is not broken, in characters.
const WIDTH: usize = 110;

/// One step of indentation.
const STEP: usize = 4;

/// A value of the file.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Node {
    /// Written as it is.
    Word(String),
    /// Fields in parentheses, with or without a name in front.
    Struct(&'static str, Vec<(&'static str, Node)>),
    /// Values in parentheses.
    Tuple(Vec<Node>),
    /// Values in brackets.
    List(Vec<Node>),
}

impl Node {
    /// Text in quotes; marks that would end it or break the line are escaped.
    pub fn quoted(text: &str) -> Node {
        let mut quoted = String::from("\"");
        for c in text.chars() {
            match c {
                '"' => quoted.push_str("\\\""),
                '\\' => quoted.push_str("\\\\"),
                '\n' => quoted.push_str("\\n"),
                '\r' => quoted.push_str("\\r"),
                '\t' => quoted.push_str("\\t"),
                c if c.is_control() => quoted.push_str(&format!("\\u{{{:x}}}", u32::from(c))),
                c => quoted.push(c),
            }
        }
        quoted.push('"');
        Node::Word(quoted)
    }

    /// A list of things that each want a line.
    fn tall(&self) -> bool {
        match self {
            Node::Word(_) => false,
            Node::Struct(_, fields) => fields.iter().any(|(_, node)| node.tall()),
            Node::Tuple(items) => items.iter().any(Node::tall),
            Node::List(items) => items.iter().any(|item| !matches!(item, Node::Word(_))),
        }
    }

    fn flat(&self) -> String {
        let row = |items: &[Node]| {
            let items: Vec<String> = items.iter().map(Node::flat).collect();
            items.join(", ")
        };
        match self {
            Node::Word(word) => word.clone(),
            Node::Struct(name, fields) => {
                let fields: Vec<String> = fields
                    .iter()
                    .map(|(name, node)| format!("{name}: {}", node.flat()))
                    .collect();
                format!("{name}({})", fields.join(", "))
            }
            Node::Tuple(items) => format!("({})", row(items)),
            Node::List(items) => format!("[{}]", row(items)),
        }
    }

    /// Appends the value; the line so far is part of `out`, `indent` is that of the line it began on.
    fn lay(&self, indent: usize, out: &mut String) {
        let flat = self.flat();
        if !self.tall() && fits(out, &flat) {
            out.push_str(&flat);
            return;
        }
        match self {
            Node::Word(_) => out.push_str(&flat),
            Node::Struct(name, fields) => {
                out.push_str(name);
                out.push('(');
                let tall = fields.iter().filter(|(_, node)| node.tall()).count();
                let last_tall = fields.last().is_some_and(|(_, node)| node.tall());
                if tall == 0 || (tall == 1 && last_tall && fields.len() > 1) {
                    fill_fields(fields, indent, out);
                } else {
                    for (name, node) in fields {
                        begin_line(indent + STEP, out);
                        out.push_str(&format!("{name}: "));
                        node.lay(indent + STEP, out);
                        out.push(',');
                    }
                    begin_line(indent, out);
                }
                out.push(')');
            }
            Node::Tuple(items) => {
                out.push('(');
                fill(items, indent, out);
                out.push(')');
            }
            Node::List(items) if self.tall() => {
                out.push('[');
                for item in items {
                    begin_line(indent + STEP, out);
                    item.lay(indent + STEP, out);
                    out.push(',');
                }
                begin_line(indent, out);
                out.push(']');
            }
            Node::List(items) => {
                out.push('[');
                fill(items, indent, out);
                out.push(']');
            }
        }
    }
}

/// A file: one struct, a line or more for each of its fields.
pub(super) fn file(name: &str, fields: &[(&'static str, Node)]) -> String {
    let mut out = format!("{name}(");
    for (name, node) in fields {
        begin_line(STEP, &mut out);
        out.push_str(&format!("{name}: "));
        node.lay(STEP, &mut out);
        out.push(',');
    }
    out.push_str("\n)\n");
    out
}

fn begin_line(indent: usize, out: &mut String) {
    out.push('\n');
    out.push_str(&" ".repeat(indent));
}

/// Whether a piece, with a closing mark and a comma behind it, goes on the line that was begun.
fn fits(out: &str, piece: &str) -> bool {
    let line = out.rsplit('\n').next().unwrap_or(out);
    line.chars().count() + piece.chars().count() + 2 <= WIDTH
}

/// Fields one behind the other, on as many lines as they take; only the last may be tall.
fn fill_fields(fields: &[(&'static str, Node)], indent: usize, out: &mut String) {
    for (index, (name, node)) in fields.iter().enumerate() {
        let piece = if node.tall() {
            format!("{name}: [")
        } else {
            format!("{name}: {}", node.flat())
        };
        next_piece(index, &piece, indent, out);
        if node.tall() {
            out.push_str(&format!("{name}: "));
            node.lay(indent, out);
        } else {
            out.push_str(&piece);
        }
    }
}

fn fill(items: &[Node], indent: usize, out: &mut String) {
    for (index, item) in items.iter().enumerate() {
        let piece = item.flat();
        next_piece(index, &piece, indent, out);
        out.push_str(&piece);
    }
}

/// Makes room for a piece: on the same line, or on the next.
fn next_piece(index: usize, piece: &str, indent: usize, out: &mut String) {
    if index == 0 {
        return;
    }
    out.push(',');
    if fits(out, piece) {
        out.push(' ');
    } else {
        begin_line(indent + STEP, out);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn word(text: &str) -> Node {
        Node::Word(text.to_owned())
    }

    fn check(fields: &[(&'static str, Node)], wanted: &str) {
        assert_eq!(file("Boat", fields), wanted);
    }

    #[test]
    fn short_values_share_a_line_and_lists_of_things_do_not() {
        check(
            &[
                (
                    "sheer",
                    Node::Struct("", vec![("bow", word("1")), ("stern", word("2"))]),
                ),
                ("hull", Node::Struct("V", Vec::new())),
                ("rolls", Node::List(vec![word("1"), word("2")])),
                (
                    "posts",
                    Node::List(vec![Node::Struct("", vec![("at", word("3"))])]),
                ),
            ],
            "Boat(\n    sheer: (bow: 1, stern: 2),\n    hull: V(),\n    rolls: [1, 2],\n    posts: [\n        \
             (at: 3),\n    ],\n)\n",
        );
    }

    #[test]
    fn long_values_are_broken() {
        let long = "x".repeat(40);
        let pieces = || vec![("a", word(&long)), ("b", word(&long)), ("c", word(&long))];
        check(
            &[("box", Node::Struct("", pieces()))],
            &format!("Boat(\n    box: (a: {long}, b: {long},\n        c: {long}),\n)\n"),
        );
        let path = Node::List(vec![Node::Tuple(vec![word("1"), word("2")])]);
        check(
            &[(
                "tube",
                Node::Struct("", vec![("a", word("1")), ("path", path.clone())]),
            )],
            "Boat(\n    tube: (a: 1, path: [\n        (1, 2),\n    ]),\n)\n",
        );
        check(
            &[(
                "frame",
                Node::Struct("", vec![("posts", path.clone()), ("straps", path)]),
            )],
            "Boat(\n    frame: (\n        posts: [\n            (1, 2),\n        ],\n        straps: [\n            \
             (1, 2),\n        ],\n    ),\n)\n",
        );
    }

    #[test]
    fn quotes_and_line_ends_are_escaped() {
        let Node::Word(text) = Node::quoted("a \"b\" \\ c\nd\te\u{1}é") else {
            panic!("not a word");
        };
        assert_eq!(text, "\"a \\\"b\\\" \\\\ c\\nd\\te\\u{1}é\"");
        let read: String = ron::from_str(&text).unwrap();
        assert_eq!(read, "a \"b\" \\ c\nd\te\u{1}é");
    }
}
