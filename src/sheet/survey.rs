//! The blank survey sheet: every number that the tape must give, in the order of the walk round the boat.

use super::{Blank, Block, Column, Point, Sheet, Table, cautions, cautions_heading};

/// At the desk or on arrival.
const BOAT: &[Blank] = &[
    blank("", "Boat, as the crew calls it", "name"),
    blank("", "Stored on: trailer, cradle or stands", "stored_on.kind"),
    blank(
        "",
        "Heights measured from: keel (lowest point of the hull) or ground",
        "heights_from",
    ),
];

/// With the tape hooked on the transom.
const STERN: &[Blank] = &[
    blank(
        "A",
        "Keel over the ground, at the hull's lowest point",
        "stored_on.keel_height",
    ),
    blank("B", "Height of the sheer at the stern", "sheer.stern"),
    blank(
        "C",
        "Deadrise at the transom, from the horizontal",
        "hull.transom_deadrise",
    ),
    blank(
        "D",
        "Breadth at the transom, at the sheer",
        "hull.transom_beam",
    ),
    blank(
        "",
        "Stern eyes for the ridge strap: height, and offset from the middle",
        "anchors: SternEye",
    ),
];

/// Along one side to the bow.
const SIDE: &[Blank] = &[
    blank("E", "Length at the sheer, transom to stem head", "length"),
    blank("F", "Beam at the widest place", "beam"),
    blank("G", "Height of the sheer in the middle", "sheer.middle"),
    blank("H", "Rub rail below the sheer", "rub_rail"),
    blank("", "Chine beam, for a hard chine", "hull.chine_beam"),
    blank(
        "",
        "Shape: V, round bilge, flat, tubes, catamaran or a table of offsets",
        "hull",
    ),
];

/// At the bow.
const BOW: &[Blank] = &[
    blank("I", "Height of the sheer at the bow", "sheer.bow"),
    blank("J", "Height of the bow eye", "anchors: BowEye"),
    blank("K", "Rake of the stem, from the vertical", "hull.stem_rake"),
];

/// On board.
const ABOARD: &[Blank] = &[
    blank("L", "Height of the sole", "sole"),
    blank(
        "",
        "Mast: up at which station, or laid down from, to, height",
        "mast",
    ),
    blank(
        "",
        "Antennas: stations, and whatever else stands through the film",
        "antennas",
    ),
];

/// What comes down first, and what is dangerous.
const BEFORE: &[Blank] = &[
    blank(
        "",
        "Comes down first: antennas, outriggers, canvas, rods",
        "",
    ),
    blank(
        "",
        "Fuel: smell, leaks, bilge vents that must stay open",
        "",
    ),
    blank("", "Batteries off, shore power unplugged", ""),
    blank("", "Door wanted, and where", ""),
];

const fn blank(mark: &'static str, what: &'static str, field: &'static str) -> Blank {
    Blank { mark, what, field }
}

/// The blank survey sheet.
pub fn survey() -> Sheet {
    let mut blocks = vec![
        Block::Paragraph(
            "Stations are measured forward from the transom, offsets from the centerline, port and \
             starboard, heights from one level all round. A letter in front of a line is that of the \
             sketch; the field of the boat file stands behind it. E, F, B, G and I already make a boat."
                .to_owned(),
        ),
    ];
    for (heading, blanks) in [
        ("1 The boat", BOAT),
        ("2 At the stern, tape hooked on the transom", STERN),
        ("3 Along the side", SIDE),
        ("4 At the bow", BOW),
        ("5 On board", ABOARD),
    ] {
        blocks.push(Block::Heading(heading.to_owned()));
        blocks.push(Block::Blanks(blanks.to_vec()));
    }
    for (heading, columns, rows) in tables() {
        blocks.push(Block::Heading(heading.to_owned()));
        blocks.push(Block::Table(by_hand(columns, rows)));
    }
    blocks.push(Block::Heading("10 Before the crew comes".to_owned()));
    blocks.push(Block::Blanks(BEFORE.to_vec()));
    blocks.push(Block::Points(vec![Point::dashed(
        "Glass, hatches and upholstery carry no post: write them under 9.",
    )]));
    blocks.extend([cautions_heading(), cautions()]);
    Sheet {
        title: "Survey of a boat".to_owned(),
        blocks,
    }
}

/// A table to fill in: heading, columns, empty rows.
pub(super) type TableToFill = (&'static str, &'static [&'static str], usize);

/// The tables to fill in.
pub(super) fn tables() -> [TableToFill; 4] {
    [
        (
            "6 Boxes above the deck: windshield, console, cabin, hardtop, seats, motors (boxes)",
            &[
                "Name",
                "Kind",
                "From",
                "To",
                "Width",
                "Foot",
                "Top",
                "Rakes",
                "Film rests?",
                "Post stands?",
            ],
            6,
        ),
        (
            "7 Cleats and rails that take a strap (anchors)",
            &["Name", "Station, or from", "To", "Side", "Below sheer"],
            5,
        ),
        (
            "8 Where a post may stand (footings)",
            &["Name", "From", "To", "Width", "Offset", "Height"],
            3,
        ),
        (
            "9 Where no post may stand (no_post)",
            &["Name", "From", "To", "Width", "Offset"],
            3,
        ),
    ]
}

fn by_hand(columns: &[&'static str], rows: usize) -> Table {
    Table {
        columns: columns.iter().copied().map(Column::words).collect(),
        rows: vec![vec![String::new(); columns.len()]; rows],
        by_hand: true,
    }
}
