//! Boat files as tired people write them: what cannot be true is refused with its likely cause, what is only
//! misspelt comes back ready to paste, and what is legitimate is let through.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first thing that is not as it should be"
)]

use hulltent::boat::{self, Boat, Problems};

fn runabout() -> String {
    preset("open-runabout-18")
}

fn preset(name: &str) -> String {
    boat::preset(name).expect(name).text.to_owned()
}

fn with(text: &str, old: &str, new: &str) -> String {
    assert!(text.contains(old), "no {old} in {text}");
    text.replacen(old, new, 1)
}

fn read(text: &str) -> Result<Boat, Problems> {
    boat::read(text, &|name| Err(format!("no file '{name}'")))
}

/// One problem and no more, at a path, with these words in its text or hint.
fn check(text: &str, path: &str, parts: &[&str]) {
    let problems = read(text).expect_err(text);
    assert_eq!(problems.list.len(), 1, "{problems}");
    let problem = &problems.list[0];
    assert_eq!(problem.path, path, "{problem}");
    assert!(
        problem.place.is_some() && !problem.hint.is_empty(),
        "{problem}"
    );
    let told = problem.to_string();
    for part in parts {
        assert!(told.contains(part), "no '{part}' in {told}");
    }
}

fn check_change(old: &str, new: &str, path: &str, parts: &[&str]) {
    check(&with(&runabout(), old, new), path, parts);
}

#[test]
fn a_footing_lies_on_the_boat_and_on_something() {
    let sole = "from: \"2'9\", to: \"10'3\", width: \"3 ft\", height: \"1'4\"";
    let changed = |to: &str| format!("from: \"2'9\", to: \"10'3\", {to}");
    check_change(
        sole,
        &changed("width: \"3 ft\", height: \"5 ft\""),
        "footings[0].height",
        &[
            "above the sheer",
            "no deck, box or roof",
            "add that as a box",
        ],
    );
    check_change(
        sole,
        &changed("width: \"9 ft\", height: \"1'4\""),
        "footings[0].width",
        &["wider than the boat", "4'6"],
    );
    // Beyond the boat: one message, not one for each number or for what follows from them.
    for ends in [
        "from: \"30 ft\", to: \"32 ft\"",
        "from: \"9 ft\", to: \"32 ft\"",
    ] {
        let text = with(&runabout(), "from: \"2'9\", to: \"10'3\"", ends);
        let problems = read(&text).expect_err(ends);
        assert_eq!(problems.list.len(), 1, "{problems}");
        assert!(
            problems.to_string().contains("32 ft lies beyond the boat"),
            "{problems}"
        );
    }
    // The twin: with a roof under it, the high footing is good.
    let high = with(
        &runabout(),
        sole,
        &changed("width: \"3 ft\", height: \"5 ft\""),
    );
    let roof = "(name: \"cabin\", kind: Cabin, from: \"3 ft\", to: \"10 ft\", width: \"5 ft\", top: \"5 ft\"),\n        (name: \"stern seat\"";
    assert_eq!(
        read(&with(&high, "(name: \"stern seat\"", roof)).map(|_| ()),
        Ok(())
    );
}

#[test]
fn tops_are_not_measured_from_the_deck() {
    let top = "base: \"3'1\", top: \"4'5\"";
    check_change(
        top,
        "top: \"1'3\"",
        "boxes[0].top",
        &["under the sole", "1'4", "measured from the deck"],
    );
    check_change(
        top,
        "top: \"2'2\"",
        "boxes[0].top",
        &["under the sheer", "measured from the deck"],
    );
    // Ten feet too many are no fault of the rake.
    check_change(
        top,
        "base: \"3'1\", top: \"14'5\"",
        "boxes[0].top",
        &["11'4", "tall"],
    );
}

#[test]
fn a_bow_eye_sits_under_the_sheer() {
    check_change(
        "BowEye(height: \"1'10\")",
        "BowEye(height: \"5'6\")",
        "anchors[0].height",
        &["1'10 above the bow's sheer", "Cleat"],
    );
}

#[test]
fn a_table_of_offsets_is_in_meters() {
    let boat = preset("rowing-dinghy-12");
    let table = include_str!("../hull-presets/rowing-dinghy-12.csv");
    let scaled = |factors: [f64; 3]| -> String {
        table
            .lines()
            .filter_map(|line| {
                let cells: Vec<f64> = line.split(',').filter_map(|c| c.parse().ok()).collect();
                let [a, b, c] = cells[..] else { return None };
                let [p, q, r] = factors;
                Some(format!("{},{},{}\n", a * p, b * q, c * r))
            })
            .collect()
    };
    let told = |factors: [f64; 3]| {
        let table = scaled(factors);
        boat::read(&boat, &|_| Ok(table.clone())).map_err(|problems| {
            assert_eq!(problems.list.len(), 1, "{problems}");
            problems.to_string()
        })
    };
    assert!(told([1.0, 1.0, 1.0]).is_ok());
    // A byte order mark before the first number is skipped.
    let marked = format!("\u{feff}{}", scaled([1.0, 1.0, 1.0]));
    assert!(boat::read(&boat, &|_| Ok(marked.clone())).is_ok());
    for (factors, cause) in [
        ([1.0, 100.0, 1.0], "centimeters"),
        ([1.0, 100.0, 100.0], "centimeters"),
        ([100.0, 100.0, 100.0], "centimeters"),
        ([1000.0, 1000.0, 1000.0], "millimeters"),
        ([1.0, 2.0, 1.0], "full breadths"),
        ([1.0, 1.0, 39.37], "inches"),
    ] {
        let told = told(factors).expect_err(cause);
        assert!(told.contains(cause), "{told}");
    }
}

/// The heights of a runabout from the ground: 1'10 more than over the keel.
fn from_ground() -> String {
    let mut text = runabout();
    for (old, new) in [
        (
            "bow: \"3'8\", middle: \"3'1\", stern: \"2'11\"",
            "bow: \"5'6\", middle: \"4'11\", stern: \"4'9\"",
        ),
        ("sole: \"1'4\"", "sole: \"3'2\""),
        (
            "base: \"3'1\", top: \"4'5\"",
            "base: \"4'11\", top: \"6'3\"",
        ),
        ("base: \"1'4\", top: \"2'9\"", "base: \"3'2\", top: \"4'7\""),
        ("height: \"1'10\"", "height: \"3'8\""),
        ("height: \"1'4\"", "height: \"3'2\""),
        ("height: \"2'2\"", "height: \"4 ft\""),
        ("height: \"1'5\"", "height: \"3'3\""),
    ] {
        text = with(&text, old, new);
    }
    text
}

#[test]
fn heights_from_the_ground_are_asked_about() {
    let text = from_ground();
    check(
        &text,
        "sheer",
        &[
            "measured from the ground",
            "heights_from: Ground",
            "heights_from: Keel",
        ],
    );
    for level in ["Ground", "Keel"] {
        let told = with(
            &text,
            "    beam:",
            &format!("    heights_from: {level},\n    beam:"),
        );
        let boat = read(&told).unwrap_or_else(|problems| panic!("{problems}"));
        // What is written is not asked about again.
        assert!(boat::revise(&boat).is_ok());
    }
}

#[test]
fn a_box_stands_within_the_outline() {
    let seat = "from: \"1'2\", to: \"2'8\", width: \"5'4\"";
    // Within length and beam, but the bow is narrow there.
    let text = with(
        &runabout(),
        seat,
        "from: \"15'6\", to: \"17'6\", width: \"5'4\"",
    );
    check(
        &text,
        "boxes[1]",
        &["outside the sheer where it stands", "width_fore"],
    );
    // Beside the bow, where no part of it meets the hull; the film could not go round it either.
    let apart =
        "from: \"17'2\", to: \"17'8\", width: \"6 in\", offset: \"3'3\", film_goes_round: true";
    check(
        &with(&runabout(), seat, apart),
        "boxes[1]",
        &["does not touch it"],
    );
    // The twin: farther aft the same width is good.
    let aft = with(
        &runabout(),
        seat,
        "from: \"3 ft\", to: \"5 ft\", width: \"5'4\"",
    );
    assert_eq!(read(&aft).map(|_| ()), Ok(()));
}

#[test]
fn legitimate_boats_are_let_through() {
    for preset in boat::presets() {
        assert!(
            preset.boat().is_ok(),
            "{}: {:?}",
            preset.name,
            preset.boat().err()
        );
        // At half the default cell, too.
        let fine = match preset.text.contains("rules:") {
            true => continue,
            false => {
                preset.text.trim_end().trim_end_matches(')').to_owned()
                    + "    rules: (cell: \"1 in\"),\n)\n"
            }
        };
        let offsets = include_str!("../hull-presets/rowing-dinghy-12.csv");
        let read = boat::read(&fine, &|_| Ok(offsets.to_owned()));
        assert!(read.is_ok(), "{}: {:?}", preset.name, read.err());
    }
    for (name, text) in [
        (
            "runabout-low-post",
            include_str!("../assets/runabout-low-post.ron"),
        ),
        (
            "hardtop-23",
            include_str!("../assets/demo-season/hardtop-23.ron"),
        ),
        (
            "launch-20",
            include_str!("../assets/demo-season/launch-20.ron"),
        ),
        ("box-and-rail", include_str!("boats/box-and-rail.ron")),
        (
            "post-on-raked-side",
            include_str!("boats/post-on-raked-side.ron"),
        ),
        (
            "twin-posts-uneven",
            include_str!("boats/twin-posts-uneven.ron"),
        ),
    ] {
        let read = read(text);
        assert!(read.is_ok(), "{name}: {:?}", read.err());
    }
    for thing in [
        "(kind: Motor, from: \"-2'6\", to: \"-10 in\", width: \"2 ft\", base: \"1 ft\", top: \"4 ft\")",
        "(kind: Platform, from: \"-3 ft\", to: \"0 in\", width: \"7'8\", base: \"8 in\", top: \"11 in\")",
        "(kind: Pulpit, from: \"17'6\", to: \"20 ft\", width: \"1'8\", base: \"3'7\", top: \"3'10\")",
    ] {
        let more = format!("{thing},\n        (name: \"stern seat\"");
        let read = read(&with(&runabout(), "(name: \"stern seat\"", &more));
        assert!(read.is_ok(), "{thing}: {:?}", read.err());
    }
}

#[test]
fn quotes_out_of_order_come_back_ready_to_paste() {
    let beam = "beam: \"7'8\"";
    let pasted = "write the line so: beam: \"7'8\",";
    for wrong in [
        "beam: \"7'8\"\"",
        "beam: “7'8”",
        "beam: “7’8””",
        "beam: 7'8\"",
        "beam: 7'8",
        "beam: \"7'8\\\"",
    ] {
        let problems = read(&with(&runabout(), beam, wrong)).expect_err(wrong);
        let told = problems.to_string();
        assert!(
            told.contains(pasted) && told.contains("line 7"),
            "{wrong}: {told}"
        );
    }
    for wrong in ["beam: 7 ft 8 in", "beam: “7 ft 8 in”"] {
        let told = read(&with(&runabout(), beam, wrong))
            .expect_err(wrong)
            .to_string();
        assert!(
            told.contains("write the line so: beam: \"7 ft 8 in\","),
            "{wrong}: {told}"
        );
    }
    let sheer = "bow: \"3'8\", middle: \"3'1\", stern: \"2'11\"";
    let wrong = "bow: \"3'8\"\", middle: \"3'1\"\", stern: \"2'11\"\"";
    let told = read(&with(&runabout(), sheer, wrong))
        .expect_err(wrong)
        .to_string();
    assert!(told.contains(sheer) && told.contains("line 8"), "{told}");
    // Read as they stand: no inch mark needed, one escaped, curly ones inside straight quotes.
    for right in [
        "beam: \"7'8\"",
        "beam: \"7'8\\\"\"",
        "beam: \"7’8”\"",
        "beam: \"7 ft 8 in\"",
    ] {
        let boat = read(&with(&runabout(), beam, right)).unwrap_or_else(|told| panic!("{told}"));
        assert!((boat.beam - 92.0 * 0.0254).abs() < 1e-9, "{right}");
    }
}

#[test]
fn lengths_are_told_as_typed() {
    check_change(
        "rub_rail: \"2 in\"",
        "rub_rail: \"9'3\"",
        "rub_rail",
        &["9'3 is out of range", "and 1'9"],
    );
    check_change(
        "rub_rail: \"2 in\"",
        "rub_rail: \"280 cm\"",
        "rub_rail",
        &["280 cm is out of range", "and 0.533 m"],
    );
}

#[test]
fn a_byte_order_mark_is_skipped() {
    let marked = |text: &str| format!("\u{feff}{text}");
    assert!(read(&marked(&runabout())).is_ok());
    // Places are those that an editor shows.
    let wrong = with(&runabout(), "rub_rail", "rub_rial");
    assert_eq!(read(&marked(&wrong)).map(|_| ()), read(&wrong).map(|_| ()));
    let site = include_str!("../assets/demo-site.ron");
    let here = hulltent::loads::site::read(&marked(site));
    assert!(here.is_ok(), "{here:?}");
}

#[test]
fn no_input_takes_forever() {
    let boxes = |count: usize| {
        let one = "(from: \"4 ft\", to: \"5 ft\", width: \"1 ft\", top: \"2'6\"),\n";
        with(
            &runabout(),
            "    boxes: [",
            &format!("    boxes: [{}", one.repeat(count)),
        )
    };
    check(&boxes(59), "boxes", &["61 entries", "60 are the most"]);
    assert!(read(&boxes(58)).is_ok());
    let rail = |point: &str| {
        let rail = format!(
            "tubes: [(name: \"bow rail\", mirrored: true, path: [(\"9 ft\", \"3 ft\", \"4 ft\"), {point}])],\n    anchors:"
        );
        with(&runabout(), "anchors:", &rail)
    };
    assert!(read(&rail("(\"15 ft\", \"2'3\", \"4'6\")")).is_ok());
    // Offset before station.
    check(
        &rail("(\"2'3\", \"15 ft\", \"4'6\")"),
        "tubes[0].path[1][1]",
        &["15 ft is out of range", "swapped"],
    );
    // Offset after height: on a beam of 7'8" a rail 4'4" off the middle leans out as far as one may.
    assert!(read(&rail("(\"15 ft\", \"4'3\", \"2'3\")")).is_ok());
    check(
        &rail("(\"15 ft\", \"4'5\", \"2'3\")"),
        "tubes[0].path[1][1]",
        &["4'5 is out of range", "-4'4", "swapped"],
    );
    let zigzag: String = (0..99)
        .map(|k| {
            format!(
                "(\"{} in\", \"{} in\", \"4 ft\"),",
                20 + k,
                if k % 2 == 0 { 40 } else { -40 }
            )
        })
        .collect();
    let many = with(
        &rail(&zigzag),
        "anchors:",
        "rules: (cell: \"0.4 in\"),\n    anchors:",
    );
    check(
        &many,
        "rules.cell",
        &["triangles", "'bow rail", "asks for most", "swapped"],
    );
}
