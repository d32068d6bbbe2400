//! The film laid flat: what is cut, where it is trimmed, where the band, the edge and the pleats come to lie.

use super::signs;
use crate::film::PleatKind;
use crate::plan::Plan;
use crate::sheet::bands::outlines_of;
use crate::sheet::drawing::{Align, Drawing, Fill, Item, Pen, Place};
use crate::sheet::labels::Labels;
use crate::sheet::text_width;
use crate::sheet::ticks::{Tick, ticks};
use crate::sheet::words;
use crate::units::UnitSystem;
use std::collections::BTreeMap;

/// Step of the classes of shrink, part of the film's length.
const STEP: f64 = 0.05;
/// Gray of no shrink and of the most that the film takes: black lines must show on both.
const LIGHT: f64 = 1.0;
const DARK: f64 = 0.62;
/// Corners of cells nearer than this are one, m.
const SAME: f64 = 1e-4;
/// Least radius of a cap, mm.
const MIN_CAP: f64 = 1.3;
/// Height of a row of words over that of the words.
const ROW: f64 = 1.29;
/// Steps along a seam at which its name is tried.
const SEAM_PLACES: u32 = 8;
/// White between the sheet and what stands beside it, mm: pleats have their names there.
const GAP: f64 = 5.5;

/// From sheet to paper: the stern end on the left, port up.
#[derive(Clone, Copy)]
struct Flat {
    scale: f64,
    words: f64,
}

impl Flat {
    fn at(self, [along, across]: [f64; 2]) -> Place {
        [along * self.scale, -across * self.scale]
    }

    fn line(self, points: &[[f64; 2]]) -> Vec<Place> {
        points.iter().map(|p| self.at(*p)).collect()
    }
}

/// Draws it with the stern end of its ridge line at the origin. How many labels found no room.
pub(super) fn draw(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    scale: f64,
    words: f64,
) -> usize {
    let view = Flat { scale, words };
    let pattern = &plan.film.pattern;
    let mut labels = Labels::default();
    shrink(drawing, plan, view);
    let [length, width] = pattern.size;
    let half = 0.5 * width;
    let sheet = [[0.0, half], [length, half], [length, -half], [0.0, -half]].map(|p| view.at(p));
    drawing.outline(sheet.to_vec(), None, Pen::OUTLINE);
    labels.keep_off(&sheet);
    labels.keep_off(&[sheet[3], sheet[0]]);
    for (lines, pen) in [
        (&pattern.trim, signs::TRIM),
        (&pattern.band, Pen::BAND),
        (&pattern.edge, Pen::FILM),
    ] {
        for line in lines {
            let line = view.line(line);
            labels.keep_off(&line);
            drawing.line(line, pen);
        }
        // Across the ends, from port to starboard.
        for ends in [
            [lines[0].first(), lines[1].first()],
            [lines[0].last(), lines[1].last()],
        ] {
            if let [Some(port), Some(starboard)] = ends {
                drawing.line(view.line(&[*port, *starboard]), pen);
            }
        }
    }
    let [stern, bow] = pattern.ridge;
    let ridge = view.line(&[[stern, 0.0], [bow, 0.0]]);
    labels.keep_off(&ridge);
    drawing.line(ridge, signs::RIDGE_LINE);
    dimensions(drawing, plan, units, view, &mut labels);
    let mut missed = seams(drawing, plan, units, view, &mut labels);
    missed += folds(drawing, plan, view, &mut labels);
    missed + caps(drawing, plan, view, &mut labels)
}

/// Film at its limit is not over it: less than this more is rounding.
const AT_LIMIT: f64 = 1e-6;

/// Shrink in steps of gray: the more, the darker; what is over the film's limit hatched.
fn shrink(drawing: &mut Drawing, plan: &Plan, view: Flat) {
    let mut numbers: BTreeMap<(i64, i64), u32> = BTreeMap::new();
    let mut corners: Vec<[f64; 2]> = Vec::new();
    let mut number = |p: [f64; 2]| -> u32 {
        let key = p.map(|v| (v / SAME).round() as i64);
        *numbers.entry((key[0], key[1])).or_insert_with(|| {
            corners.push(p);
            corners.len() as u32 - 1
        })
    };
    let classes = classes(plan.rules.film_shrink);
    let mut faces: Vec<Vec<[u32; 4]>> = vec![Vec::new(); classes.len() + 1];
    for cell in &plan.film.pattern.cells {
        let class = classes
            .iter()
            .position(|[_, to]| cell.shrink <= *to + AT_LIMIT)
            .unwrap_or(classes.len());
        if let Some(list) = faces.get_mut(class) {
            list.push(cell.sheet.map(&mut number));
        }
    }
    for (class, faces) in faces.iter().enumerate().skip(1) {
        if faces.is_empty() {
            continue;
        }
        let loops = outlines_of(faces.iter().map(<[u32; 4]>::as_slice))
            .into_iter()
            .map(|outline| {
                outline
                    .iter()
                    .filter_map(|v| corners.get(*v as usize))
                    .map(|p| view.at(*p))
                    .collect()
            })
            .collect();
        drawing.items.push(Item::Area {
            loops,
            fill: fill(class, classes.len()),
        });
    }
}

/// Classes of shrink up to what the film takes.
fn classes(limit: f64) -> Vec<[f64; 2]> {
    let count = (limit / STEP).round().max(1.0) as usize;
    let at = |k: usize| limit * k as f64 / count as f64;
    (0..count).map(|k| [at(k), at(k + 1)]).collect()
}

fn fill(class: usize, count: usize) -> Fill {
    if class >= count {
        return Fill::Hatch;
    }
    let part = class as f64 / (count.max(2) - 1) as f64;
    Fill::Gray(LIGHT + part * (DARK - LIGHT))
}

fn seams(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    view: Flat,
    labels: &mut Labels,
) -> usize {
    let mut missed = 0;
    for across in &plan.film.cut.seams {
        let line = view.line(&[[0.0, *across], [plan.film.pattern.size[0], *across]]);
        labels.keep_off(&line);
        let text = format!("seam, {}", words::offset(*across, units));
        let size = [text_width(&text, view.words, false), view.words];
        let from = line.first().copied().unwrap_or_default();
        drawing.line(line, signs::SEAM);
        let room = (plan.film.pattern.size[0] * view.scale - size[0] - 4.0).max(0.0);
        let places = (0..=SEAM_PLACES).flat_map(|k| {
            let x = from[0] + 2.0 + room * f64::from(k) / f64::from(SEAM_PLACES);
            [[x, from[1] - size[1] - 1.0], [x, from[1] + 1.0]]
        });
        match labels.place(size, places) {
            Some([x, y]) => {
                let base = [x + 0.5 * size[0], y + 0.77 * size[1]];
                drawing.words(base, text, view.words, Align::Middle, false);
            }
            None => missed += 1,
        }
    }
    missed
}

/// Both edges of each fold, barbed as it opens, and its name off the band.
fn folds(drawing: &mut Drawing, plan: &Plan, view: Flat, labels: &mut Labels) -> usize {
    let mut missed = 0;
    for (pleat, [aft, fore]) in plan.film.pleats.iter().zip(&plan.film.pattern.folds) {
        let (aft, fore) = (view.line(aft), view.line(fore));
        let mut outline = aft.clone();
        outline.extend(fore.iter().rev());
        drawing.items.push(Item::Area {
            loops: vec![outline],
            fill: Fill::Paper,
        });
        labels.keep_off(&aft);
        labels.keep_off(&fore);
        drawing.line(aft, Pen::DIMENSION);
        match pleat.kind {
            PleatKind::Stem => drawing.line(fore.clone(), Pen::DIMENSION),
            PleatKind::Pleat | PleatKind::SternCorner | PleatKind::BowCorner => {
                signs::pleat(drawing, &fore)
            }
        }
        let Some([x, y]) = fore.first().copied() else {
            continue;
        };
        let size = [text_width(&pleat.id, view.words, true), view.words];
        // Off the band, to the outside of the sheet; on the centerline before the bow.
        let out = if y < 0.0 { -1.0 } else { 1.0 };
        let places = [1.2, 3.0, 5.0, 8.0].into_iter().flat_map(|away| {
            let top = if out > 0.0 {
                y + away
            } else {
                y - away - size[1]
            };
            [0.0, 3.0, -3.0, 6.0, -6.0].map(|aside| [x - 0.5 * size[0] + aside, top])
        });
        match labels.place(size, places) {
            Some([x, y]) => {
                let base = [x + 0.5 * size[0], y + 0.77 * size[1]];
                drawing.words(base, pleat.id.clone(), view.words, Align::Middle, true);
            }
            None => missed += 1,
        }
    }
    missed
}

fn caps(drawing: &mut Drawing, plan: &Plan, view: Flat, labels: &mut Labels) -> usize {
    let radius = (0.5 * plan.rules.cap_diameter * view.scale).max(MIN_CAP);
    let mut missed = 0;
    for (post, cap) in plan.frame.posts.iter().zip(&plan.film.pattern.caps) {
        let [x, y] = view.at(*cap);
        drawing.items.push(Item::Disc {
            center: [x, y],
            radius,
            fill: Fill::Paper,
            pen: Pen::OUTLINE,
        });
        labels.take([x - radius, y - radius, x + radius, y + radius]);
        let size = [text_width(&post.id, view.words, true), view.words];
        let near = radius + 0.6;
        let places = [
            [x + near, y - near - size[1]],
            [x + near, y + near],
            [x - near - size[0], y - near - size[1]],
            [x - near - size[0], y + near],
        ];
        match labels.place(size, places) {
            Some([x, y]) => {
                let base = [x + 0.5 * size[0], y + 0.77 * size[1]];
                drawing.words(base, post.id.clone(), view.words, Align::Middle, true);
            }
            None => missed += 1,
        }
    }
    missed
}

/// Length over the sheet, width beside it, under it how far along caps and ends of the boat come to lie.
fn dimensions(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    view: Flat,
    labels: &mut Labels,
) {
    let cut = &plan.film.cut;
    let [length, width] = plan.film.pattern.size;
    let [right, top] = view.at([length, 0.5 * width]);
    let bottom = -top;
    let words = view.words;
    let text = format!("cut length {}", units.format_length_up(cut.length));
    drawing.level_dimension(top - GAP, [0.0, right], text, words);
    let text = if cut.sheets > 1 {
        format!("{} sheets, {}", cut.sheets, units.format_length(width))
    } else {
        format!("roll {}", units.format_length(cut.roll))
    };
    let half = 0.5 * cut.width * view.scale;
    let least = format!("least width {}", units.format_length_up(cut.width));
    for (x, half, text) in [(-GAP, bottom, text), (right + GAP + words, half, least)] {
        // Small sheets get small words: they must not reach past the dimension.
        let height = words.min(words * 2.0 * half / text_width(&text, words, false));
        drawing.upright_dimension(x, -half, half, text, height);
        labels.take([x - 1.2 - words, -half, x + 1.2, half]);
    }
    labels.take([0.0, top - GAP - 1.2 - words, right, top - GAP + 1.2]);
    along(drawing, plan, units, view, bottom + GAP);
}

fn along(drawing: &mut Drawing, plan: &Plan, units: UnitSystem, view: Flat, line: f64) {
    let pattern = &plan.film.pattern;
    let mut stops: Vec<(f64, String)> = vec![
        (pattern.ridge[0], "stern edge".to_owned()),
        (pattern.ridge[1], "bow edge".to_owned()),
    ];
    for (post, [along, _]) in plan.frame.posts.iter().zip(&pattern.caps) {
        match stops
            .iter_mut()
            .find(|(at, name)| (at - along).abs() < SAME && name.starts_with('P'))
        {
            Some((_, name)) => {
                name.push_str(", ");
                name.push_str(&post.id);
            }
            None => stops.push((*along, post.id.clone())),
        }
    }
    let all = stops
        .into_iter()
        .map(|(along, name)| Tick {
            x: along * view.scale,
            name,
            length: units.format_length(along),
        })
        .collect();
    ticks(
        drawing,
        all,
        [0.0, pattern.size[0] * view.scale],
        line,
        view.words,
    );
}

/// The classes of shrink in a row from a place to the right; returns its bottom.
pub(super) fn legend(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    [left, top]: Place,
    wide: f64,
    words: f64,
) -> f64 {
    let limit = plan.rules.film_shrink;
    let classes = classes(limit);
    let base = [left, top + 0.8 * words];
    drawing.words(
        base,
        "shrink that is left to the film",
        words,
        Align::Start,
        false,
    );
    let box_wide = wide / (classes.len() + 1) as f64;
    let (box_top, box_bottom) = (top + 1.3 * words, top + 1.3 * words + 4.0);
    for class in 0..=classes.len() {
        let x = left + box_wide * class as f64;
        drawing.outline(
            vec![
                [x, box_top],
                [x + box_wide, box_top],
                [x + box_wide, box_bottom],
                [x, box_bottom],
            ],
            Some(fill(class, classes.len())),
            Pen::DIMENSION,
        );
        let text = match classes.get(class) {
            Some([_, to]) => format!("to {}", units.format_share(*to)),
            None => "over".to_owned(),
        };
        let height = words.min(words * box_wide / (1.1 * text_width("to 25 %", words, false)));
        let base = [x + 0.5 * box_wide, box_bottom + words];
        drawing.words(base, text, height, Align::Middle, false);
    }
    box_bottom + ROW * words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_of_shrink_end_at_the_limit() {
        for (limit, count) in [(0.25, 5), (0.2, 4), (0.01, 1), (0.33, 7)] {
            let classes = classes(limit);
            assert_eq!(classes.len(), count, "{limit}");
            assert_eq!(classes[0][0], 0.0);
            assert!((classes[count - 1][1] - limit).abs() < 1e-12);
            assert_eq!(fill(count, count), Fill::Hatch);
            assert_eq!(fill(0, count), Fill::Gray(LIGHT));
        }
    }
}
