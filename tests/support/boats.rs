//! Boat files of random boats that a yard could meet: all shapes of hull, with what fits on them.
//!
//! A boat is made from a row of numbers between 0 and 1, each standing for one decision, so that a boat that
//! fails a check can be shrunk towards the plainest one.

/// Numbers that decide about a boat.
pub const DECISIONS: usize = 200;

/// A boat file, and the table of offsets that it may name.
#[derive(Debug, Clone)]
pub struct Drawn {
    pub text: String,
    pub table: String,
}

/// The name of the table of offsets.
pub const TABLE: &str = "offsets.csv";

/// Hands out the numbers in order; when they run out, the middle.
struct Draw<'a> {
    numbers: &'a [f64],
    at: usize,
}

impl Draw<'_> {
    fn next(&mut self) -> f64 {
        self.at += 1;
        self.numbers.get(self.at - 1).copied().unwrap_or(0.5)
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }

    fn one_of(&mut self, count: usize) -> usize {
        ((self.next() * count as f64) as usize).min(count - 1)
    }

    /// True in this part of all cases, and never for the plainest boat.
    fn rarely(&mut self, part: f64) -> bool {
        self.next() > 1.0 - part
    }

    /// A length between two, as people write it; m.
    fn length_in(&mut self, low: f64, high: f64) -> String {
        let meters = self.between(low, high);
        self.length(meters)
    }

    /// A length as people write it, in one of their ways; m.
    fn length(&mut self, meters: f64) -> String {
        // Rounded first, so that no twelve inches are left over after the feet.
        let inches = (meters / 0.00254).round() / 10.0;
        let feet = (inches / 12.0).floor();
        let rest = inches - 12.0 * feet;
        match self.one_of(4) {
            0 => format!("\"{meters:.3} m\""),
            1 => format!("\"{inches:.1} in\""),
            2 if inches >= 0.0 => format!("\"{feet:.0} ft {rest:.1} in\""),
            3 if inches >= 0.0 => format!("\"{feet:.0}'{rest:.1}\\\"\""),
            _ => format!("\"{:.1} cm\"", 100.0 * meters),
        }
    }
}

fn angle(degrees: f64) -> String {
    format!("\"{degrees:.1} deg\"")
}

/// The five tape numbers, and what follows from them.
struct Size {
    length: f64,
    beam: f64,
    stern: f64,
    middle: f64,
    bow: f64,
    sole: f64,
}

/// Draws a boat.
///
/// # Units
/// Numbers from 0 to 1.
pub fn boat(numbers: &[f64]) -> Drawn {
    let mut draw = Draw { numbers, at: 0 };
    let shape = draw.one_of(7);
    let length = draw.between(2.5, 14.0);
    let beam = match shape {
        5 => length * draw.between(0.42, 0.55),
        _ => (0.75 + 0.24 * length) * draw.between(0.85, 1.15),
    };
    let stern = (0.35 + 0.09 * length) * draw.between(0.85, 1.15);
    let level = matches!(shape, 4 | 5);
    let middle = if level {
        stern
    } else {
        stern * draw.between(0.95, 1.1)
    };
    let bow = if level {
        stern
    } else {
        middle * draw.between(1.02, 1.4)
    };
    let sole = if level {
        stern
    } else {
        stern * draw.between(0.3, 0.6)
    };
    let size = Size {
        length,
        beam,
        stern,
        middle,
        bow,
        sole,
    };
    let mut text = String::from("Boat(\n    name: \"drawn\",\n    heights_from: Keel,\n");
    for (field, value) in [
        ("length", size.length),
        ("beam", size.beam),
        ("sole", size.sole),
    ] {
        text += &format!("    {field}: {},\n", draw.length(value));
    }
    text += &format!(
        "    sheer: (stern: {}, middle: {}, bow: {}),\n",
        draw.length(size.stern),
        draw.length(size.middle),
        draw.length(size.bow)
    );
    text += &hull(&mut draw, &size, shape);
    if draw.rarely(0.6) {
        text += &format!("    rub_rail: {},\n", draw.length(0.06 * size.stern));
    }
    text += &boxes(&mut draw, &size);
    text += &tubes(&mut draw, &size);
    text += &anchors(&mut draw, &size);
    text += &footings(&mut draw, &size);
    text += &frame(&mut draw, &size, shape);
    text += &rules(&mut draw, &size);
    text += ")\n";
    Drawn {
        text,
        table: table(&size),
    }
}

fn hull(draw: &mut Draw, size: &Size, shape: usize) -> String {
    let ends = format!(
        "fullness: {:.2}, stem_rake: {}, transom_rake: {}, transom_beam: {}",
        draw.between(0.1, 0.9),
        angle(draw.between(5.0, 50.0)),
        angle(draw.between(-12.0, 15.0)),
        draw.length_in(0.6 * size.beam, 0.98 * size.beam),
    );
    let chine = draw.between(0.7, 0.95) * size.beam;
    let deadrise = draw.between(4.0, 22.0);
    match shape {
        // The shape that a file without one gets.
        0 => String::new(),
        1 => format!(
            "    hull: V(transom_deadrise: {}, entry_deadrise: {}, chine_beam: {}, {ends}),\n",
            angle(deadrise),
            angle(deadrise + draw.between(5.0, 30.0)),
            draw.length(chine),
        ),
        2 => format!(
            "    hull: RoundBilge(bilge: {:.2}, transom_deadrise: {}, {ends}),\n",
            draw.between(0.1, 0.9),
            angle(deadrise),
        ),
        3 => format!(
            "    hull: Flat(chine_beam: {}, {ends}),\n",
            draw.length(chine)
        ),
        4 => {
            let diameter = draw.between(0.5, 0.8) * (0.9 * size.beam / 3.0).min(size.stern - 0.1);
            format!(
                "    hull: Tubes(count: {}, diameter: {}),\n",
                2 + draw.one_of(2),
                draw.length(diameter.max(0.21)),
            )
        }
        5 => format!(
            "    hull: Catamaran(hull_beam: {}, deadrise: {}, deck_thickness: {}, stem_rake: {}),\n",
            draw.length_in(0.2 * size.beam, 0.35 * size.beam),
            angle(draw.between(5.0, 35.0)),
            draw.length_in(0.15 * size.stern, 0.4 * size.stern),
            angle(draw.between(0.0, 25.0)),
        ),
        _ => format!("    hull: Offsets(file: \"{TABLE}\"),\n"),
    }
}

/// A table of offsets of a round-bilged hull with a raked stem.
fn table(size: &Size) -> String {
    let mut rows = String::from("station, half breadth, height\n");
    let stations = 12;
    for i in 0..=stations {
        let u = f64::from(i) / f64::from(stations);
        // Full aft, to a stem of a few millimeters.
        let half =
            0.5 * size.beam * (0.002 + 0.998 * (1.0 - u.powi(3)) * (0.85 + 0.15 * (1.0 - u)));
        let top = if u < 0.5 {
            size.stern + (size.middle - size.stern) * 2.0 * u
        } else {
            size.middle + (size.bow - size.middle) * (2.0 * u - 1.0)
        };
        let keel = 0.5 * size.middle * u.powi(6);
        for j in 0..=8 {
            let v = f64::from(j) / 8.0;
            let y = half * (1.0 - (1.0 - v).powi(2)).sqrt();
            let z = keel + (top - keel) * v.powf(1.5);
            rows += &format!("{:.4}, {y:.4}, {z:.4}\n", u * size.length);
        }
    }
    rows
}

/// Half breadth within which anything that stands on the boat is drawn: narrower toward the bow, m.
fn room(size: &Size, station: f64) -> f64 {
    let u = (station / size.length).clamp(0.0, 1.0);
    0.5 * size.beam * 0.55 * (1.0 - u.powi(3))
}

/// No box is as high over its base, m.
const MAX_RISE: f64 = 1.5;

/// Part of the length aft of which boxes stand.
const FOREMOST: f64 = 0.78;

fn boxes(draw: &mut Draw, size: &Size) -> String {
    let count = draw.one_of(5);
    if count == 0 {
        return String::new();
    }
    let mut text = String::from("    boxes: [\n");
    // One behind the other from the stern: boxes of a real boat do not run through each other.
    let share = FOREMOST * size.length / count as f64;
    for i in 0..count {
        let aft = share * i as f64 + share * draw.between(0.1, 0.3);
        let fore = share * i as f64 + share * draw.between(0.55, 0.95);
        let half = room(size, fore) * draw.between(0.3, 1.0);
        // A rake leaves more than half of the top.
        let lean =
            angle(draw.between(0.0, 0.4) * half.min(fore - aft).atan2(MAX_RISE).to_degrees());
        // What stands on the boat of a child or of a crew is no higher for that: heights are a person's.
        let person = (0.5 * size.stern + 0.4).min(1.0);
        let (kind, base, rise, more) = match draw.one_of(7) {
            0 => (
                "Windshield",
                size.middle,
                0.5 * person,
                format!("rake_fore: {lean}"),
            ),
            1 => (
                "Console",
                size.sole,
                size.middle - size.sole + 0.4 * person,
                String::new(),
            ),
            2 => (
                "Cabin",
                size.middle,
                draw.between(0.3, 1.2) * person,
                format!("rake_side: {lean}"),
            ),
            3 => ("Hardtop", size.sole + 1.9 * person, 0.1, String::new()),
            4 => (
                "Seat",
                size.sole,
                draw.between(0.4, 1.0) * person,
                String::new(),
            ),
            5 => (
                "Flybridge",
                size.middle,
                0.9 * person,
                format!("rake_aft: {lean}"),
            ),
            _ => (
                "Other",
                size.sole,
                draw.between(0.3, 1.3) * person,
                "post_may_stand: true".to_owned(),
            ),
        };
        let aside = if draw.rarely(0.2) {
            format!(", offset: {}", draw.length(0.3 * room(size, fore)))
        } else {
            String::new()
        };
        let slant = if draw.rarely(0.3) {
            draw.between(0.9, 1.1)
        } else {
            1.0
        };
        text += &format!(
            "        (name: \"box {i}\", kind: {kind}, from: {}, to: {}, width: {}, base: {}, top: {}, top_fore: {}{}{more}{aside}),\n",
            draw.length(aft),
            draw.length(fore),
            draw.length(2.0 * half),
            draw.length(base),
            draw.length(base + rise),
            draw.length(base + rise * slant),
            if more.is_empty() { "" } else { ", " },
        );
    }
    if draw.rarely(0.4) {
        text += &format!(
            "        (name: \"motor\", kind: Motor, from: {}, to: {}, width: {}, base: {}, top: {}),\n",
            draw.length(-0.09 * size.length),
            draw.length(0.0),
            draw.length(0.2 * size.beam),
            draw.length(0.4 * size.stern),
            draw.length_in(size.stern + 0.05, size.stern + 0.4),
        );
    }
    text + "    ],\n"
}

fn tubes(draw: &mut Draw, size: &Size) -> String {
    let mut text = String::new();
    if draw.rarely(0.25) {
        let (x, y) = (draw.between(0.15, 0.5) * size.length, 0.42 * size.beam);
        let z = size.stern + draw.between(0.6, 1.2);
        let point = |draw: &mut Draw, x: f64, y: f64, z: f64| {
            format!(
                "({}, {}, {})",
                draw.length(x),
                draw.length(y),
                draw.length(z)
            )
        };
        let feet = x + 0.3;
        let path = [
            point(draw, feet, y, size.stern),
            point(draw, x, 0.8 * y, z),
            point(draw, x, 0.0, z + 0.1),
            point(draw, x, -0.8 * y, z),
            point(draw, feet, -y, size.stern),
        ];
        text += &format!(
            "        (name: \"arch\", kind: Arch, diameter: \"2 in\", path: [{}]),\n",
            path.join(", ")
        );
    }
    if draw.rarely(0.25) {
        let path = [0.5, 0.65, 0.8].map(|u| {
            let (x, y) = (u * size.length, 1.5 * room(size, u * size.length));
            format!(
                "({}, {}, {})",
                draw.length(x),
                draw.length(y),
                draw.length(size.bow + 0.3)
            )
        });
        text += &format!(
            "        (name: \"rail\", kind: Rail, diameter: \"1 in\", mirrored: true, path: [{}]),\n",
            path.join(", ")
        );
    }
    let mut text = if text.is_empty() {
        text
    } else {
        format!("    tubes: [\n{text}    ],\n")
    };
    if draw.rarely(0.2) {
        text += &if draw.rarely(0.5) {
            format!(
                "    mast: LaidDown(from: {}, to: {}, height: {}, diameter: \"5 in\"),\n",
                draw.length(0.05 * size.length),
                draw.length(0.95 * size.length),
                draw.length_in(size.bow + 0.6, size.bow + 1.2),
            )
        } else {
            format!(
                "    mast: Up(station: {}, diameter: \"5 in\"),\n",
                draw.length(0.6 * size.length)
            )
        };
    }
    text
}

fn anchors(draw: &mut Draw, size: &Size) -> String {
    let cleats = draw.one_of(5);
    if cleats == 0 {
        // The defaults.
        return String::new();
    }
    let mut text = String::from("    anchors: [\n");
    if draw.rarely(0.7) {
        text += &format!("        BowEye(height: {}),\n", draw.length(0.5 * size.bow));
    }
    for i in 0..cleats {
        let part = (i as f64 + draw.between(0.1, 0.9)) / cleats as f64;
        text += &format!(
            "        Cleat(station: {}),\n",
            draw.length(0.95 * part * size.length)
        );
    }
    if draw.rarely(0.5) {
        text += &format!(
            "        Rail(from: {}, to: {}, below_sheer: {}),\n",
            draw.length(0.1 * size.length),
            draw.length(0.9 * size.length),
            draw.length(0.05),
        );
    }
    text + "    ],\n"
}

fn footings(draw: &mut Draw, size: &Size) -> String {
    let count = draw.one_of(4);
    if count == 0 {
        return String::new();
    }
    let mut text = String::from("    footings: [\n");
    for i in 0..count {
        let share = 0.9 * size.length / count as f64;
        text += &format!(
            "        (name: \"footing {i}\", from: {}, to: {}, width: {}, height: {}),\n",
            draw.length_in(share * (i as f64 + 0.05), share * (i as f64 + 0.3)),
            draw.length_in(share * (i as f64 + 0.7), share * (i as f64 + 1.0)),
            draw.length_in(0.15 * size.beam, 0.3 * size.beam),
            // No deck is drawn above the sheer.
            draw.length(
                (size.sole + 0.1 * i as f64).min(size.stern.min(size.middle).min(size.bow))
            ),
        );
    }
    text += "    ],\n";
    if draw.rarely(0.3) {
        let from = draw.between(0.1, 0.6) * size.length;
        text += &format!(
            "    no_post: [(from: {}, to: {}, width: {})],\n",
            draw.length(from),
            draw.length(from + 0.12 * size.length),
            draw.length(0.4 * size.beam),
        );
    }
    text
}

fn frame(draw: &mut Draw, size: &Size, shape: usize) -> String {
    let ridge = match (shape, draw.one_of(4)) {
        (5, 1..) => format!("ridge: Twin(spacing: {}), ", draw.length(0.45 * size.beam)),
        (_, 3) => "ridge: Single, ".to_owned(),
        _ => String::new(),
    };
    let posts = if draw.rarely(0.15) {
        let station = draw.between(0.2, 0.6) * size.length;
        format!("posts: [(station: {})]", draw.length(station))
    } else {
        String::new()
    };
    if ridge.is_empty() && posts.is_empty() {
        return String::new();
    }
    format!("    frame: ({ridge}{posts}),\n")
}

/// Cells along a boat, and the largest cell, m: coarse, since many boats are planned.
const CELLS: f64 = 70.0;
const LARGEST_CELL: f64 = 0.12;

fn rules(draw: &mut Draw, size: &Size) -> String {
    let cell = (size.length / CELLS).min(LARGEST_CELL);
    format!(
        "    rules: (cell: {0}, search_cell: {0}, min_slope: {1}, max_span: {2}, max_post: {3}),\n",
        draw.length(cell),
        angle(draw.between(8.0, 18.0)),
        draw.length_in(1.6, 3.2),
        draw.length_in(1.8, 3.2),
    )
}
