//! Signs of what is fitted to the film, and their legend: told apart by form, not by color.

use crate::sheet::drawing::{Align, Drawing, Fill, Item, Pen, Place};
use crate::sheet::labels::Rectangle;
use crate::sheet::legend;

/// The boat in plan.
pub(super) const BOAT: Fill = Fill::Gray(0.95);
/// A drop strap.
pub(super) const DROP: Pen = Pen {
    width: 0.8,
    ..Pen::OUTLINE
};
/// A belly band.
pub(super) const BELLY: Pen = Pen {
    width: 0.6,
    dash: Some([1.0, 0.9]),
    ..Pen::OUTLINE
};
/// The line of a pleat.
pub(super) const PLEAT: Pen = Pen {
    width: 0.3,
    rim: true,
    ..Pen::OUTLINE
};
/// Where the film is trimmed.
pub(super) const TRIM: Pen = Pen {
    width: 0.3,
    dash: Some([1.2, 1.2]),
    ..Pen::OUTLINE
};
/// A seam.
pub(super) const SEAM: Pen = Pen {
    width: 0.7,
    dash: Some([7.0, 1.5]),
    ..Pen::OUTLINE
};
/// The ridge line on the flat film.
pub(super) const RIDGE_LINE: Pen = Pen {
    width: 0.25,
    dash: Some([6.0, 1.2]),
    ..Pen::OUTLINE
};

/// Length of the barbs of a pleat and their spacing, mm.
const BARB: f64 = 1.3;
const BARBS_APART: f64 = 2.4;

/// A vent: a ring with a dot.
pub(super) fn vent(drawing: &mut Drawing, center: Place) {
    for (radius, fill) in [(VENT, Fill::Paper), (0.4, Fill::Gray(0.0))] {
        drawing.items.push(Item::Disc {
            center,
            radius,
            fill,
            pen: Pen::DIMENSION,
        });
    }
}

/// Radius of a vent's sign, mm.
pub(super) const VENT: f64 = 1.3;

/// A pleat: its line with barbs that point aft, to the left, as it opens.
pub(super) fn pleat(drawing: &mut Drawing, line: &[Place]) {
    drawing.line(line.to_vec(), PLEAT);
    for pair in line.windows(2) {
        let &[[ax, ay], [bx, by]] = pair else {
            continue;
        };
        let steps = ((bx - ax).hypot(by - ay) / BARBS_APART).floor() as usize;
        for k in 1..=steps {
            let part = (k as f64 - 0.5) / steps as f64;
            let [x, y] = [ax + part * (bx - ax), ay + part * (by - ay)];
            drawing.line(vec![[x, y], [x - BARB, y + 0.5 * BARB]], PLEAT_BARB);
            drawing.line(vec![[x, y], [x - BARB, y - 0.5 * BARB]], PLEAT_BARB);
        }
    }
}

const PLEAT_BARB: Pen = Pen {
    width: 0.25,
    ..Pen::OUTLINE
};

/// The buckle of the band.
pub(super) fn buckle(drawing: &mut Drawing, [x, y]: Place) {
    let [wide, high] = [1.2, 0.8];
    drawing.outline(
        vec![
            [x - wide, y - high],
            [x + wide, y - high],
            [x + wide, y + high],
            [x - wide, y + high],
        ],
        Some(Fill::Gray(0.0)),
        Pen::DIMENSION,
    );
}

/// A sign with its name.
pub(super) struct Sign {
    name: &'static str,
    look: Look,
}

enum Look {
    Line(Pen),
    Area(Fill),
    Boat,
    Post,
    Vent,
    Pad,
    Pleat,
    Buckle,
    Band,
    Slit,
}

const fn line(name: &'static str, pen: Pen) -> Sign {
    Sign {
        name,
        look: Look::Line(pen),
    }
}

/// Signs of the frame's plan and profile.
pub(super) const FRAME: &[Sign] = &[
    line("ridge strap", Pen::RIDGE),
    line("side or hip strap", Pen::STRAP),
    Sign {
        name: "boat within its edge",
        look: Look::Boat,
    },
    line("perimeter band", Pen::BAND),
    line("drop strap", DROP),
    line("belly band", BELLY),
    Sign {
        name: "its slit in the film",
        look: Look::Slit,
    },
    Sign {
        name: "pleat, opens aft",
        look: Look::Pleat,
    },
    Sign {
        name: "post and top cap",
        look: Look::Post,
    },
    Sign {
        name: "vent",
        look: Look::Vent,
    },
    Sign {
        name: "pad, by its number",
        look: Look::Pad,
    },
    Sign {
        name: "buckle of the band",
        look: Look::Buckle,
    },
];

/// Signs of the sections.
pub(super) const SECTION: &[Sign] = &[
    line("film", Pen::FILM),
    line("side strap under it", super::section::STRAP),
    line("post with its caps", Pen::POST),
    line("sole", Pen::LEVEL),
    Sign {
        name: "perimeter band",
        look: Look::Band,
    },
    Sign {
        name: "hull",
        look: Look::Area(Fill::Gray(0.93)),
    },
    Sign {
        name: "what is there",
        look: Look::Area(Fill::Gray(0.8)),
    },
];

/// Signs of the flat film.
pub(super) const FLAT: &[Sign] = &[
    line("sheet off the roll", Pen::OUTLINE),
    line("trim here", TRIM),
    line("perimeter band", Pen::BAND),
    line("edge of the boat", Pen::FILM),
    line("ridge line", RIDGE_LINE),
    line("seam", SEAM),
    Sign {
        name: "pleat, opens aft",
        look: Look::Pleat,
    },
    Sign {
        name: "top cap",
        look: Look::Post,
    },
];

/// Height of a row of a legend over that of its words.
const ROW: f64 = 1.55;

/// Length of a sign in a legend, mm.
const LENGTH: f64 = 9.0;

/// Draws signs from the top of a rectangle down in columns and returns their bottom.
pub(super) fn legend(
    drawing: &mut Drawing,
    signs: &[Sign],
    [left, top, right, _]: Rectangle,
    columns: usize,
    words: f64,
) -> f64 {
    let rows = signs.len().div_ceil(columns);
    let wide = (right - left) / columns as f64;
    for (index, sign) in signs.iter().enumerate() {
        let x = left + wide * (index / rows) as f64;
        let y = top + ROW * words * ((index % rows) as f64 + 0.5);
        show(drawing, &sign.look, [x, y]);
        let base = [x + LENGTH + 2.0, y + 0.35 * words];
        drawing.words(base, sign.name, words, Align::Start, false);
    }
    top + ROW * words * rows as f64
}

fn show(drawing: &mut Drawing, look: &Look, [x, y]: Place) {
    let middle = [x + 0.5 * LENGTH, y];
    let mut area = |[x, y]: Place, fill: Fill, pen: Pen| {
        drawing.outline(
            vec![
                [x, y - 1.4],
                [x + LENGTH, y - 1.4],
                [x + LENGTH, y + 1.4],
                [x, y + 1.4],
            ],
            Some(fill),
            pen,
        );
    };
    match look {
        Look::Line(pen) if *pen == DROP => {
            drawing.line(vec![[middle[0], y - 1.3], [middle[0], y + 1.3]], DROP);
        }
        Look::Line(pen) => drawing.line(vec![[x, y], [x + LENGTH, y]], *pen),
        Look::Area(fill) => area([x, y], *fill, Pen::DIMENSION),
        Look::Boat => area([x, y], BOAT, Pen::FILM),
        Look::Post => drawing.items.push(Item::Disc {
            center: middle,
            radius: 1.3,
            fill: Fill::Paper,
            pen: Pen::OUTLINE,
        }),
        Look::Vent => vent(drawing, middle),
        Look::Pad => legend::pad(drawing, middle),
        Look::Pleat => pleat(drawing, &[[x + LENGTH, y], [x + 1.0, y]]),
        Look::Buckle => buckle(drawing, middle),
        Look::Band => square(drawing, middle, 0.8),
        Look::Slit => slit(drawing, middle),
    }
}

/// The band in a section: a black square.
pub(super) fn square(drawing: &mut Drawing, [x, y]: Place, half: f64) {
    drawing.outline(
        vec![
            [x - half, y - half],
            [x + half, y - half],
            [x + half, y + half],
            [x - half, y + half],
        ],
        Some(Fill::Gray(0.0)),
        Pen::DIMENSION,
    );
}

/// A slit for a belly band: a small lying cross.
pub(super) fn slit(drawing: &mut Drawing, [x, y]: Place) {
    let half = 0.9;
    drawing.line(vec![[x - half, y - half], [x + half, y + half]], PLEAT_BARB);
    drawing.line(vec![[x - half, y + half], [x + half, y - half]], PLEAT_BARB);
}
