//! Legend of slopes with the least slope marked, signs, scale bar.

use super::bands;
use super::cover_drawing::RIM;
use super::drawing::{Align, Drawing, Fill, Item, Pen, SMALL};
use crate::plan::Plan;
use crate::units::{METERS_PER_FOOT, UnitSystem};

/// Width and height of the bar of slopes, mm.
const BAR: [f64; 2] = [92.0, 5.0];
/// Steepest slope on the bar, rad: 65 deg, so that the class of all that is steep shows.
const STEEPEST: f64 = 65.0 * std::f64::consts::PI / 180.0;

/// Draws it from `top` down and returns its bottom.
pub(super) fn draw(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    scale: f64,
    top: f64,
) -> f64 {
    let least = plan.rules.min_slope;
    slopes(drawing, units, least, [RIM, top]);
    signs(drawing, [RIM + BAR[0] + 14.0, top + 1.0], least);
    let right = drawing.size[0] - RIM;
    scale_bar(drawing, units, scale, [right, top]);
    top + 19.0
}

pub(super) fn slopes(drawing: &mut Drawing, units: UnitSystem, least: f64, [left, top]: [f64; 2]) {
    let end = STEEPEST.max(least + 0.2);
    let x = |slope: f64| left + BAR[0] * (slope / end).min(1.0);
    let (bar_top, bar_bottom) = (top + 6.0, top + 6.0 + BAR[1]);
    for [from, to] in bands::classes(least) {
        if from >= end {
            continue;
        }
        drawing.items.push(Item::Area {
            loops: vec![vec![
                [x(from), bar_top],
                [x(to), bar_top],
                [x(to), bar_bottom],
                [x(from), bar_bottom],
            ]],
            fill: Fill::Slope {
                slope: 0.5 * (from + to.min(end)),
                least,
            },
        });
    }
    drawing.outline(
        vec![
            [x(0.0), bar_top],
            [x(end), bar_top],
            [x(end), bar_bottom],
            [x(0.0), bar_bottom],
        ],
        None,
        Pen::DIMENSION,
    );
    drawing.line(
        vec![[x(least), bar_top - 1.5], [x(least), bar_bottom + 1.0]],
        Pen::FILM,
    );
    drawing.words(
        [x(least), bar_top - 2.2],
        format!("least slope {}", units.format_angle(least)),
        SMALL,
        // Near the left end the words would leave the paper.
        if x(least) < left + 16.0 {
            Align::Start
        } else {
            Align::Middle
        },
        true,
    );
    for degrees in [0.0, 15.0, 30.0, 45.0, 60.0f64] {
        let slope = degrees.to_radians();
        if slope < end {
            drawing.line(
                vec![[x(slope), bar_bottom], [x(slope), bar_bottom + 1.0]],
                Pen::DIMENSION,
            );
            drawing.text(
                [x(slope), bar_bottom + 4.2],
                format!("{degrees:.0}°"),
                Align::Middle,
            );
        }
    }
}

fn signs(drawing: &mut Drawing, [left, top]: [f64; 2], least: f64) {
    let rows: [(&str, Sign); 6] = [
        ("ridge strap", Sign::Line(Pen::RIDGE)),
        ("side or hip strap", Sign::Line(Pen::STRAP)),
        ("perimeter band", Sign::Line(Pen::BAND)),
        ("holding patch", Sign::Patch(Fill::Hatch)),
        ("pond", Sign::Patch(Fill::Cross)),
        ("pad", Sign::Pad),
    ];
    for (index, (name, sign)) in rows.into_iter().enumerate() {
        let x = left + 44.0 * (index / 3) as f64;
        let y = top + 5.0 * (index % 3) as f64 + 2.5;
        match sign {
            Sign::Line(pen) => drawing.line(vec![[x, y - 1.0], [x + 8.0, y - 1.0]], pen),
            Sign::Patch(fill) => {
                let corners = vec![
                    [x, y - 2.8],
                    [x + 8.0, y - 2.8],
                    [x + 8.0, y + 0.8],
                    [x, y + 0.8],
                ];
                drawing.outline(
                    corners.clone(),
                    Some(Fill::Slope {
                        slope: 0.6 * least,
                        least,
                    }),
                    Pen::DIMENSION,
                );
                drawing.outline(corners, Some(fill), Pen::DIMENSION);
            }
            Sign::Pad => pad(drawing, [x + 4.0, y - 1.0]),
        }
        drawing.text([x + 10.0, y], name, Align::Start);
    }
}

enum Sign {
    Line(Pen),
    Patch(Fill),
    Pad,
}

/// The sign of a pad: a small square.
pub(super) fn pad(drawing: &mut Drawing, [x, y]: [f64; 2]) {
    let half = 1.2;
    drawing.outline(
        vec![
            [x - half, y - half],
            [x + half, y - half],
            [x + half, y + half],
            [x - half, y + half],
        ],
        Some(Fill::Paper),
        Pen::OUTLINE,
    );
}

/// A scale bar whose right end stands at a place; at most 62 mm long.
pub(super) fn scale_bar(
    drawing: &mut Drawing,
    units: UnitSystem,
    scale: f64,
    [right, top]: [f64; 2],
) {
    let (unit, name) = match units {
        UnitSystem::FeetInches => (METERS_PER_FOOT, "ft"),
        UnitSystem::Metric => (1.0, "m"),
    };
    // The longest round number whose bar has room.
    let room = 62.0;
    let length = [1.0, 2.0, 5.0, 10.0, 20.0]
        .into_iter()
        .rev()
        .find(|length| length * unit * scale <= room)
        .unwrap_or(1.0);
    let width = length * unit * scale;
    let left = right - width;
    let (bar_top, bar_bottom) = (top + 8.0, top + 10.0);
    let middle = 0.5 * (left + right);
    for (from, to, fill) in [
        (left, middle, Fill::Gray(0.0)),
        (middle, right, Fill::Paper),
    ] {
        drawing.outline(
            vec![
                [from, bar_top],
                [to, bar_top],
                [to, bar_bottom],
                [from, bar_bottom],
            ],
            Some(fill),
            Pen::DIMENSION,
        );
    }
    drawing.text([left, bar_bottom + 4.0], "0", Align::Middle);
    drawing.text(
        [right, bar_bottom + 4.0],
        format!("{length} {name}"),
        Align::End,
    );
}
