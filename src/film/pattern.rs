//! The sheet laid flat, and the map of the shrink that is left to it.

use super::side::{Laid, Side};
use super::{Pattern, Pleat, ShrinkCell, smooth};
use crate::boat::Rules;
use crate::cover::Cover;
use crate::frame::Frame;
use nalgebra::Point3;

/// Distance between the corners of the shrink map's cells, m: about a hand's breadth, fine enough to see.
const MAP: f64 = 0.12;

/// What the sheet does beyond the ridge's ends.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ends {
    /// Place of the ridge's stern end on the sheet, m.
    pub stern: f64,
    /// Place of its bow end, m.
    pub bow: f64,
    /// Length of the sheet, m.
    pub length: f64,
}

/// A side with its lay, and how to find places on the sheet.
pub(super) struct Sheet<'a> {
    pub side: &'a Side,
    pub laid: &'a Laid,
    pub ease: f64,
    pub ends: Ends,
}

impl Sheet<'_> {
    /// Place along the sheet of what lies on a thread at a run, m.
    fn along(&self, thread: usize, run: f64) -> f64 {
        let start = (1.0 + self.ease) * self.side.along.get(thread).copied().unwrap_or(0.0);
        let mut before = (0.0, start);
        for (row, places) in self.side.rows.iter().zip(&self.laid.places) {
            let place = row.spans.iter().zip(places).find_map(|(span, places)| {
                let k = span.threads.binary_search(&thread).ok()?;
                places.get(k).copied()
            });
            let Some(place) = place else { continue };
            if row.run >= run {
                let part = (run - before.0) / (row.run - before.0);
                return self.ends.stern + before.1 + part * (place - before.1);
            }
            before = (row.run, place);
        }
        self.ends.stern + before.1
    }

    fn on_sheet(&self, thread: usize, run: f64) -> [f64; 2] {
        [self.along(thread, run), self.side.hand.sign() * run]
    }

    /// Threads that come to the band, with the run at which each goes over the edge.
    fn reaching<'b>(&'b self, cover: &'b Cover) -> impl Iterator<Item = (usize, f64, f64)> + 'b {
        let film = cover.mesh.triangles.len();
        self.side
            .threads
            .iter()
            .enumerate()
            .filter(|(thread, _)| !self.side.met[*thread])
            .filter_map(move |(thread, line)| {
                let over = line
                    .walk
                    .triangles
                    .iter()
                    .position(|t| *t as usize >= film)?;
                let run = line.walk.runs.get(over.checked_sub(1)?)?;
                Some((thread, *run, line.walk.length()))
            })
    }

    fn cells(&self) -> Vec<ShrinkCell> {
        let mut cells = Vec::new();
        let rows = &self.side.rows;
        let pitch = rows.first().map_or(MAP, |row| row.run);
        let step = (MAP / pitch).round().max(1.0) as usize;
        let numbers: Vec<usize> = (0..rows.len()).step_by(step).collect();
        for pair in numbers.windows(2) {
            let &[near, far] = pair else { continue };
            for (span, places) in rows[far].spans.iter().zip(&self.laid.places[far]) {
                let shrinks = |a: usize, b: usize| -> f64 {
                    let first = span.threads.binary_search(&a).unwrap_or(0);
                    let last = span.threads.binary_search(&b).unwrap_or(first);
                    let row = &self.shrinks_of(far, span.threads[0])[first..last];
                    let widths = &span.widths[first..last];
                    let boat: f64 = widths.iter().sum();
                    let sheet: f64 = widths.iter().zip(row).map(|(w, s)| w / (1.0 - s)).sum();
                    1.0 - boat / sheet
                };
                let mut last: Option<usize> = None;
                for (thread, place) in span.threads.iter().zip(places) {
                    let Some(before) = last else {
                        last = Some(*thread);
                        continue;
                    };
                    let is_end = Some(thread) == span.threads.last();
                    if place - self.along(before, rows[far].run) + self.ends.stern < MAP && !is_end
                    {
                        continue;
                    }
                    let corners = [
                        (before, rows[near].run),
                        (*thread, rows[near].run),
                        (*thread, rows[far].run),
                        (before, rows[far].run),
                    ];
                    let boat: Vec<Point3<f64>> = corners
                        .iter()
                        .filter_map(|(t, run)| self.side.point(*t, *run))
                        .collect();
                    if let &[a, b, c, d] = boat.as_slice() {
                        cells.push(ShrinkCell {
                            sheet: corners.map(|(t, run)| self.on_sheet(t, run)),
                            boat: [a, b, c, d],
                            shrink: shrinks(before, *thread),
                        });
                    }
                    last = Some(*thread);
                }
            }
        }
        cells
    }

    /// Shrinks of the span of a row that starts with a thread.
    fn shrinks_of(&self, row: usize, first: usize) -> &[f64] {
        self.side.rows[row]
            .spans
            .iter()
            .zip(&self.laid.shrinks[row])
            .find(|(span, _)| span.threads.first() == Some(&first))
            .map_or(&[], |(_, shrinks)| shrinks.as_slice())
    }
}

/// The whole sheet. `pleats` are those of port and starboard by their place in either side's lay.
pub(super) fn pattern(
    rules: &Rules,
    frame: &Frame,
    cover: &Cover,
    sheets: &[Sheet; 2],
    width: f64,
    pleats: &[(Pleat, Option<(usize, usize)>)],
) -> Pattern {
    let ends = sheets[0].ends;
    let mut edge: [Vec<[f64; 2]>; 2] = Default::default();
    let mut band: [Vec<[f64; 2]>; 2] = Default::default();
    let mut trim: [Vec<[f64; 2]>; 2] = Default::default();
    for (number, sheet) in sheets.iter().enumerate() {
        let sign = sheet.side.hand.sign();
        edge[number].push([ends.stern, 0.0]);
        band[number].push([rules.film_end, 0.0]);
        trim[number].push([0.0, 0.0]);
        let mut last = 0.0;
        for (thread, over, run) in sheet.reaching(cover) {
            let at = sheet.on_sheet(thread, run);
            if band[number].len() == 1 {
                // The parcel's corner at the stern: across at the edge's breadth, then down the side.
                let out = sign * over;
                edge[number].push([ends.stern, out]);
                band[number].push([rules.film_end, out]);
                trim[number].push([0.0, out]);
                trim[number].push([0.0, at[1] + sign * rules.film_tuck]);
            }
            edge[number].push(sheet.on_sheet(thread, over));
            band[number].push(at);
            trim[number].push([at[0], at[1] + sign * rules.film_tuck]);
            last = over;
        }
        let out = sign * last;
        edge[number].push([ends.bow, out]);
        edge[number].push([ends.bow, 0.0]);
        band[number].push([ends.length - rules.film_end, out]);
        band[number].push([ends.length - rules.film_end, 0.0]);
        trim[number].push([ends.length, out + sign * rules.film_tuck]);
        trim[number].push([ends.length, 0.0]);
    }
    let caps = frame
        .posts
        .iter()
        .map(|post| {
            let sheet = &sheets[usize::from(post.offset < 0.0)];
            let along = sheet
                .side
                .threads
                .iter()
                .min_by(|a, b| {
                    let away = |t: &super::threads::Thread| {
                        t.walk
                            .points
                            .first()
                            .map_or(f64::INFINITY, |p| (p.x - post.station).abs())
                    };
                    away(a).total_cmp(&away(b))
                })
                .map_or(0.0, |thread| (1.0 + sheet.ease) * thread.along);
            [ends.stern + along, post.offset]
        })
        .collect();
    Pattern {
        size: [ends.length, width],
        ridge: [ends.stern, ends.bow],
        edge,
        band,
        trim,
        caps,
        folds: pleats
            .iter()
            .map(|(pleat, place)| match place {
                Some((side, pleat)) => fold(&sheets[*side], *pleat),
                None => corner_fold(pleat, sheets, rules),
            })
            .collect(),
        cells: sheets.iter().flat_map(Sheet::cells).collect(),
    }
}

/// Both edges of a pleat's fold on the sheet, from the band to its top.
fn fold(sheet: &Sheet, pleat: usize) -> [Vec<[f64; 2]>; 2] {
    let Some(thread) = sheet.laid.gathers.pleats.get(pleat) else {
        return Default::default();
    };
    // Along, across, and the film taken there.
    let mut middles: Vec<[f64; 3]> = Vec::new();
    let sign = sheet.side.hand.sign();
    for (number, row) in sheet.side.rows.iter().enumerate() {
        for (k, span) in row.spans.iter().enumerate() {
            let after = span.threads.partition_point(|t| t <= thread);
            if after == 0 || after >= span.threads.len() {
                continue;
            }
            let depth = sheet.laid.gathers.depths[number][k][pleat];
            if depth <= 0.0 {
                continue;
            }
            let places = &sheet.laid.places[number][k];
            let middle = sheet.ends.stern + 0.5 * (places[after - 1] + places[after]);
            middles.push([middle, sign * row.run, depth]);
        }
    }
    middles.reverse();
    smooth(&mut middles, |a, b, c| {
        [0, 1, 2].map(|k| 0.25 * (a[k] + 2.0 * b[k] + c[k]))
    });
    [-0.5, 0.5].map(|half| {
        let edge = middles.iter();
        edge.map(|[along, across, depth]| [along + half * depth, *across])
            .collect()
    })
}

/// The folds of a closure on the sheet: from the corner of the edge out to the corner of the sheet.
fn corner_fold(pleat: &Pleat, sheets: &[Sheet; 2], rules: &Rules) -> [Vec<[f64; 2]>; 2] {
    let ends = sheets[0].ends;
    let forward = pleat.kind != super::PleatKind::SternCorner;
    let (edge, end) = if forward {
        (ends.bow, ends.length - rules.film_end)
    } else {
        (ends.stern, rules.film_end)
    };
    let across = match pleat.hand {
        Some(hand) => {
            let sheet = &sheets[usize::from(hand.sign() < 0.0)];
            let mut over = sheet
                .side
                .threads
                .iter()
                .zip(&sheet.side.met)
                .filter(|(_, met)| !**met)
                .map(|(thread, _)| thread.walk.length() - pleat.run);
            let out = if forward {
                over.next_back()
            } else {
                over.next()
            };
            hand.sign() * out.unwrap_or(0.0)
        }
        None => 0.0,
    };
    let corner = [edge, across];
    let Some(hand) = pleat.hand else {
        let half = 0.5 * pleat.depth;
        return [vec![[end, -half], corner], vec![[end, half], corner]];
    };
    let sign = hand.sign();
    [
        vec![[end, across], corner],
        vec![[edge, across + sign * pleat.run], corner],
    ]
}
