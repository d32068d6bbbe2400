//! Mends values whose quotes are not in order: an inch mark that ends the text, curly quotes, no quotes at all.

use crate::units;

/// A value that was put right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Mended {
    /// Line, from 1.
    pub line: usize,
    /// Character in the line, from 1, where the value begins.
    pub column: usize,
    /// The line ready to paste, without its indentation.
    pub text: String,
    /// The whole file with that line.
    pub file: String,
}

/// The lines up to `last` (from 1) whose values can be put right, each alone; at most `max`.
pub(super) fn mended_lines(text: &str, last: usize, max: usize) -> Vec<Mended> {
    let lines: Vec<&str> = text.split('\n').collect();
    let mut found = Vec::new();
    for (place, line) in lines.iter().enumerate().take(last) {
        let Some((column, whole)) = mend_line(line) else {
            continue;
        };
        let mut all = lines.clone();
        if let Some(slot) = all.get_mut(place) {
            *slot = &whole;
        }
        found.push(Mended {
            line: place + 1,
            column,
            text: whole.trim().to_owned(),
            file: all.join("\n"),
        });
        if found.len() == max {
            break;
        }
    }
    found
}

/// Longer lines are nobody's tape numbers, bytes: they are not looked into.
const MAX_LINE: usize = 1000;

/// The line with all its values in order, and the column of the first that was not; `None` where nothing is to be done.
fn mend_line(line: &str) -> Option<(usize, String)> {
    if line.len() > MAX_LINE {
        return None;
    }
    let mut out = String::new();
    let mut first = None;
    let mut rest = line;
    // A value may begin behind one of these.
    let mut begins = true;
    while let Some(c) = rest.chars().next() {
        if rest.starts_with("//") {
            break;
        }
        if c.is_whitespace() {
            out.push(c);
            rest = rest.get(c.len_utf8()..).unwrap_or("");
            continue;
        }
        if let Some(end) = quoted(rest) {
            let (text, after) = rest.split_at_checked(end).unwrap_or((rest, ""));
            let next = after.trim_start();
            if next.is_empty() || next.starts_with([',', ')', ']', ':']) || next.starts_with("//") {
                out.push_str(text);
                rest = after;
                begins = false;
                continue;
            }
        }
        if begins {
            let end = rest.find([',', ')', ']']).unwrap_or(rest.len());
            let (raw, after) = rest.split_at_checked(end).unwrap_or((rest, ""));
            if let Some(value) = mend_value(raw.trim_end()) {
                first.get_or_insert(out.chars().count() + 1);
                out.push_str(&value);
                rest = after;
                begins = false;
                continue;
            }
        }
        begins = matches!(c, ':' | '(' | '[' | ',');
        out.push(c);
        rest = rest.get(c.len_utf8()..).unwrap_or("");
    }
    out.push_str(rest);
    first.map(|column| (column, out))
}

/// Where a text in straight quotes at the start of `text` ends, in bytes.
fn quoted(text: &str) -> Option<usize> {
    let inside = text.strip_prefix('"')?;
    let mut escaped = false;
    for (place, c) in inside.char_indices() {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return Some(place + 2),
            _ => {}
        }
    }
    None
}

/// A quantity in straight quotes and without an inch mark; `None` where the text is a bare number or no quantity.
fn mend_value(raw: &str) -> Option<String> {
    let mark = |c: char| matches!(c, '"' | '“' | '”' | '″' | '„' | '\\' | ' ');
    let front = raw.trim_start_matches(mark);
    let bare = front.trim_end_matches(mark);
    let marks = |text: &str| text.chars().filter(|c| !matches!(c, '\\' | ' ')).count();
    let opened = marks(raw.get(..raw.len() - front.len())?);
    let closed = marks(front.get(bare.len()..)?);
    let bare = bare.replace(['’', '‘', '′'], "'").replace("''", "");
    let escaped = raw.ends_with("\\\"");
    let inches = (closed > opened || escaped) && !bare.contains('\'');
    let text = if inches && bare.ends_with(|c: char| c.is_ascii_digit()) {
        format!("{bare} in")
    } else {
        bare
    };
    if text.contains('"') || !text.starts_with(|c: char| c.is_ascii_digit() || "-+.½¼¾".contains(c))
    {
        return None;
    }
    let angle = |text: &str| {
        // A number alone is read as degrees, but needs no quotes.
        text.contains(|c: char| !c.is_ascii_digit() && c != '.')
            .then(|| units::parse_angle(text).is_ok())
    };
    let known = units::parse_length(&text).is_ok()
        || angle(&text) == Some(true) && text.parse::<f64>().is_err()
        || units::parse_force(&text).is_ok()
        || units::parse_pressure(&text).is_ok()
        || units::parse_area(&text).is_ok();
    known.then(|| format!("\"{text}\""))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(line: &str, wanted: Option<&str>) {
        let found = mend_line(line).map(|(_, text)| text);
        assert_eq!(found.as_deref(), wanted, "{line}");
    }

    #[test]
    fn quotes_are_put_in_order() {
        let beam = Some("    beam: \"7'8\",");
        for value in [
            "\"7'8\"\"",
            "“7'8”",
            "“7’8””",
            "“7'8\"”",
            "7'8\"",
            "7'8",
            "\"7'8\\\"",
            "\"7'8\\\",",
        ] {
            check(&format!("    beam: {},", value.trim_end_matches(',')), beam);
        }
        check("beam: 7 ft 8 in,", Some("beam: \"7 ft 8 in\","));
        check("sole: \"8\"\",", Some("sole: \"8 in\","));
        check("sole: 8\",", Some("sole: \"8 in\","));
        check("sole: 1.2 m,", Some("sole: \"1.2 m\","));
        check(
            "sheer: (bow: \"3'8\"\", middle: \"3'1\", stern: \"2'11\"\"),",
            Some("sheer: (bow: \"3'8\", middle: \"3'1\", stern: \"2'11\"),"),
        );
        check("rake_fore: 44 deg)", Some("rake_fore: \"44 deg\")"));
        check(
            "Rail(from: \"1'4\"\", to: \"17 ft\"),",
            Some("Rail(from: \"1'4\", to: \"17 ft\"),"),
        );
    }

    #[test]
    fn what_is_in_order_is_left() {
        for line in [
            "    beam: \"7'8\",",
            "    beam: \"7'8\\\"\", // 7'8\"",
            "// beam: 7'8\",",
            "    fullness: 0.35, count: 2,",
            "    kind: Windshield, from: \"1 ft\",",
            "    name: \"the 18'6\\\" boat, (old)\",",
            "",
        ] {
            check(line, None);
        }
    }
}
