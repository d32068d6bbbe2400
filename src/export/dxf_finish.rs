//! What the DXF writer leaves open: it stamps times and random ids, gives the tables no handles, no layer its
//! line width, puts a polyline's extended data at the end of its corners, where readers do not look for it,
//! and writes references that refer to nothing.

/// Header variables with times and random ids, each with one value.
const STAMPS: [&str; 6] = [
    "$TDCREATE",
    "$TDUCREATE",
    "$TDUPDATE",
    "$TDUUPDATE",
    "$FINGERPRINTGUID",
    "$VERSIONGUID",
];

/// References of layers and entities to material, plot style, named color, transparency and shadow, which
/// none of them has.
const EMPTY: [(&str, &str); 5] = [
    ("347", "0"),
    ("390", "0"),
    ("430", ""),
    ("440", "0"),
    ("284", "0"),
];

/// Line width of a layer or an entity.
const WIDTH: &str = "370";

/// Handles that are added at most: one for each table, two for the dictionaries.
const ADDED: u64 = 16;

/// A DXF text with all that settled. `widths` are the layers' line widths, mm. Handles are counted on from the
/// writer's next free one.
pub(super) fn finished(text: &str, widths: &[(&str, f64)]) -> String {
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let pairs = named_first(
        lines
            .chunks_exact(2)
            .map(|pair| (pair[0], pair[1]))
            .collect(),
    );
    let seed = pairs
        .iter()
        .position(|pair| *pair == ("9", "$HANDSEED"))
        .and_then(|at| pairs.get(at + 1))
        .and_then(|(_, value)| u64::from_str_radix(value, 16).ok())
        .unwrap_or(u64::from(u32::MAX));
    let mut free = seed;
    let mut handle = || {
        free += 1;
        format!("{:X}", free - 1)
    };
    let mut out = String::with_capacity(text.len());
    let mut write = |code: &str, value: &str| {
        out.push_str(code);
        out.push('\n');
        out.push_str(value);
        out.push('\n');
    };
    let mut section = "";
    let mut entry = "";
    let mut width = None;
    let mut before = ("", "");
    let mut rest = pairs.into_iter();
    while let Some((code, value)) = rest.next() {
        match (code, value) {
            ("9", stamp) if STAMPS.contains(&stamp) => {
                rest.next();
                continue;
            }
            ("9", "$HANDSEED") => {
                rest.next();
                write(code, value);
                write("5", &format!("{:X}", seed + ADDED));
                continue;
            }
            ("0", kind) => (entry, width) = (kind, None),
            _ => {}
        }
        if matches!(section, "TABLES" | "ENTITIES") {
            if EMPTY.contains(&(code, value)) {
                continue;
            }
            match (entry, code) {
                ("LAYER", "2") => width = widths.iter().find(|(name, _)| *name == value),
                ("LAYER", WIDTH) => {
                    if let Some((_, width)) = width {
                        // In hundredths of a millimeter; without it a layer has the reader's default.
                        write(WIDTH, &format!("{:.0}", 100.0 * width));
                    }
                    continue;
                }
                (_, WIDTH) => continue,
                _ => {}
            }
        }
        write(code, value);
        match (before, code) {
            (("0", "SECTION"), "2") => {
                section = value;
                if section == "OBJECTS" {
                    root(&handle(), &handle(), &mut write);
                }
            }
            (("0", "TABLE"), "2") => write("5", &handle()),
            _ => {}
        }
        before = (code, value);
    }
    out
}

/// A group code and its value.
type Pair<'a> = (&'a str, &'a str);

/// Moves the extended data of each polyline from behind its corners to its head.
fn named_first(mut pairs: Vec<Pair>) -> Vec<Pair> {
    let mut at = 0;
    let next = |pairs: &[Pair], from: usize, wanted: &dyn Fn(&Pair) -> bool| {
        (from..pairs.len()).find(|at| wanted(&pairs[*at]))
    };
    while let Some(start) = next(&pairs, at, &|pair| *pair == ("0", "POLYLINE")) {
        let head = next(&pairs, start + 1, &|pair| pair.0 == "0");
        let end = next(&pairs, start, &|pair| *pair == ("0", "SEQEND"));
        let (Some(head), Some(end)) = (head, end) else {
            break;
        };
        let after = next(&pairs, end + 1, &|pair| pair.0 == "0").unwrap_or(pairs.len());
        if let Some(data) = next(&pairs[..after], end, &|pair| pair.0 == "1001") {
            pairs[head..after].rotate_right(after - data);
        }
        at = after;
    }
    pairs
}

/// The dictionary that every drawing starts from, with the one entry that it must have.
fn root(root: &str, groups: &str, write: &mut impl FnMut(&str, &str)) {
    for (handle, owner) in [(root, "0"), (groups, root)] {
        write("0", "DICTIONARY");
        write("5", handle);
        write("330", owner);
        write("100", "AcDbDictionary");
        write("281", "1");
        if handle == root {
            write("3", "ACAD_GROUP");
            write("350", groups);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(pairs: &str) -> String {
        pairs
            .split_whitespace()
            .map(|part| format!("{part}\n"))
            .collect()
    }

    #[test]
    fn what_is_open_is_settled() {
        let check = |before: &str, after: &str| {
            let found = finished(&text(before), &[("POSTS", 0.7)]);
            assert_eq!(found, text(after), "{before}");
        };
        check("9 $TDCREATE 40 2461370.5 9 $LUNITS 70 2", "9 $LUNITS 70 2");
        check("9 $HANDSEED 5 1B", "9 $HANDSEED 5 2B");
        check(
            "9 $HANDSEED 5 FF 0 SECTION 2 TABLES 0 TABLE 2 LAYER 70 0 0 LAYER 5 7 2 POSTS 370 0 390 0 0 LAYER \
             2 0 370 0",
            "9 $HANDSEED 5 10F 0 SECTION 2 TABLES 0 TABLE 2 LAYER 5 FF 70 0 0 LAYER 5 7 2 POSTS 370 70 0 LAYER 2 0",
        );
        check(
            "9 $HANDSEED 5 20 0 SECTION 2 ENTITIES 0 LINE 5 12 347 0 370 0 440 0 390 0 10 347",
            "9 $HANDSEED 5 30 0 SECTION 2 ENTITIES 0 LINE 5 12 10 347",
        );
        check(
            "9 $HANDSEED 5 20 0 POLYLINE 8 POSTS 0 VERTEX 10 1 0 SEQEND 5 21 1001 US 1000 S1 0 POLYLINE 8 \
             HULL 0 VERTEX 10 2 0 SEQEND 5 22 0 LINE",
            "9 $HANDSEED 5 30 0 POLYLINE 8 POSTS 1001 US 1000 S1 0 VERTEX 10 1 0 SEQEND 5 21 0 POLYLINE 8 \
             HULL 0 VERTEX 10 2 0 SEQEND 5 22 0 LINE",
        );
        check(
            "9 $HANDSEED 5 20 0 SECTION 2 OBJECTS 0 ENDSEC",
            "9 $HANDSEED 5 30 0 SECTION 2 OBJECTS 0 DICTIONARY 5 20 330 0 100 AcDbDictionary 281 1 \
             3 ACAD_GROUP 350 21 0 DICTIONARY 5 21 330 20 100 AcDbDictionary 281 1 0 ENDSEC",
        );
    }
}
