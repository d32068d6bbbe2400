//! One side of the sheet, laid: threads, rows, pleats, slip and the shrink that is left.

use super::gather::{Gathers, Limits, gather, least_ease, unslipped};
use super::rows::{Row, Span, rows};
use super::threads::{Centerline, Thread};
use crate::boat::Hand;
use crate::geom::geodesic::Walker;
use crate::geom::mesh::Mesh;
use crate::num::taut_string::taut_string;
use nalgebra::Point3;

/// One side of the ridge.
pub(super) struct Side {
    pub hand: Hand,
    pub threads: Vec<Thread>,
    /// Where each thread leaves the ridge, m.
    pub along: Vec<f64>,
    /// Threads that have met another before the band.
    pub met: Vec<bool>,
    pub rows: Vec<Row>,
}

/// A side with the sheet on it.
pub(super) struct Laid {
    pub gathers: Gathers,
    /// Film that each pleat takes where the sheet does not slip, m.
    pub unslipped: Vec<f64>,
    /// For each row and span: place on the sheet along the ridge of what lies on each thread, m.
    pub places: Vec<Vec<Vec<f64>>>,
    /// For each row and span: shrink left between each thread and the next.
    pub shrinks: Vec<Vec<Vec<f64>>>,
}

/// Spacing of threads along the ridge, in cells of the film's mesh.
const SPACING: f64 = 0.75;

/// Threads of mirrored sides whose lengths differ by less than this are alike, m: the mesh alone makes such
/// differences, a tape does not see them.
const ALIKE: f64 = 0.01;

/// Spacing of rows, in cells.
const ROWS: f64 = 1.0;

impl Side {
    /// Lays threads over one side.
    ///
    /// # Units
    /// `cell` in m.
    pub fn new(walker: &Walker, film: &Mesh, skin: &Mesh, hand: Hand, cell: f64) -> Side {
        let line = Centerline::new(film, hand);
        let count = (line.length / (SPACING * cell)).ceil().max(1.0) as usize;
        let threads: Vec<Thread> = (0..count)
            .filter_map(|i| {
                let along = line.length * (i as f64 + 0.5) / count as f64;
                line.thread(walker, skin, along)
            })
            .filter(|thread| thread.walk.at_rim)
            .collect();
        let (rows, met) = rows(&threads, hand, ROWS * cell);
        Side {
            hand,
            along: threads.iter().map(|thread| thread.along).collect(),
            threads,
            met,
            rows,
        }
    }

    /// Its mirror image on the other side.
    pub fn mirrored(&self) -> Side {
        let threads = self.threads.iter().map(Thread::mirrored).collect();
        Side {
            hand: self.hand.other(),
            threads,
            along: self.along.clone(),
            met: self.met.clone(),
            rows: self.rows.clone(),
        }
    }

    /// Whether another side is its mirror image but for the mesh: nine in ten of the threads that reach the band
    /// on both are as long on one as on the other.
    pub fn mirrors(&self, other: &Side) -> bool {
        if self.threads.len() != other.threads.len() {
            return false;
        }
        let pairs = self.threads.iter().zip(&other.threads);
        let mut differences: Vec<f64> = pairs
            .zip(self.met.iter().zip(&other.met))
            .filter(|(_, (a, b))| !**a && !**b)
            .map(|((a, b), _)| (a.walk.length() - b.walk.length()).abs())
            .collect();
        differences.sort_by(f64::total_cmp);
        differences
            .get(differences.len() * 9 / 10)
            .is_some_and(|difference| *difference < ALIKE)
    }

    /// Least ease of this side; see [`least_ease`].
    pub fn least_ease(&self, limits: Limits) -> (f64, bool) {
        least_ease(&self.along, &self.rows, limits)
    }

    /// Lays the sheet: fewest pleats, then as evenly as it goes.
    pub fn lay(&self, limits: Limits) -> Laid {
        let gathers = gather(&self.along, &self.rows, limits);
        let mut places = Vec::new();
        let mut shrinks = Vec::new();
        for (row, depths) in self.rows.iter().zip(&gathers.depths) {
            let mut row_places = Vec::new();
            let mut row_shrinks = Vec::new();
            for (span, depths) in row.spans.iter().zip(depths) {
                let sheet = self.sheet(span, limits.ease);
                let taken = taken(span, &gathers.pleats, depths);
                let net: Vec<f64> = sheet.iter().zip(&taken).map(|(s, t)| s - t).collect();
                let slip = limits.slip(row.run);
                let path = evenly(&net, &span.widths, slip, limits.shrink);
                let start = span
                    .threads
                    .first()
                    .and_then(|t| self.along.get(*t))
                    .map_or(0.0, |along| (1.0 + limits.ease) * along);
                let mut folded = 0.0;
                let mut on_sheet = Vec::with_capacity(path.len());
                for (k, place) in path.iter().enumerate() {
                    on_sheet.push(start + place + folded);
                    folded += taken.get(k).copied().unwrap_or(0.0);
                }
                row_shrinks.push(
                    path.windows(2)
                        .zip(&span.widths)
                        .map(|(pair, width)| 1.0 - width / (pair[1] - pair[0]))
                        .collect(),
                );
                row_places.push(on_sheet);
            }
            places.push(row_places);
            shrinks.push(row_shrinks);
        }
        Laid {
            unslipped: unslipped(&self.along, &self.rows, limits, &gathers.pleats),
            gathers,
            places,
            shrinks,
        }
    }

    fn sheet(&self, span: &Span, ease: f64) -> Vec<f64> {
        span.threads
            .windows(2)
            .map(|pair| (1.0 + ease) * (self.along[pair[1]] - self.along[pair[0]]))
            .collect()
    }

    /// The point of a thread at a run.
    ///
    /// # Units
    /// Meters.
    pub fn point(&self, thread: usize, run: f64) -> Option<Point3<f64>> {
        Some(self.threads.get(thread)?.at(self.hand, run)?.0)
    }
}

/// Film that pleats take in each gap of a span.
fn taken(span: &Span, pleats: &[usize], depths: &[f64]) -> Vec<f64> {
    let mut taken = vec![0.0; span.widths.len()];
    for (pleat, depth) in pleats.iter().zip(depths) {
        let after = span.threads.partition_point(|thread| thread <= pleat);
        if after > 0
            && let Some(taken) = taken.get_mut(after - 1)
        {
            *taken += depth;
        }
    }
    taken
}

/// The sheet's places at each thread, from zero at the first one's own, laid as evenly as the slip allows.
fn evenly(sheet: &[f64], widths: &[f64], slip: f64, shrink: f64) -> Vec<f64> {
    let mut center = vec![0.0];
    let mut stops = vec![0.0];
    for (sheet, width) in sheet.iter().zip(widths) {
        center.push(center.last().copied().unwrap_or(0.0) + sheet);
        stops.push(stops.last().copied().unwrap_or(0.0) + width);
    }
    // The slip at the ends that is nearest to none and still lets film neither stretch nor shrink too far.
    let (mut least, mut most) = (-slip, slip);
    for (sheet, width) in sheet.iter().zip(widths) {
        least = (least + width - sheet).clamp(-slip, slip);
        most = (most + width / (1.0 - shrink) - sheet).clamp(-slip, slip);
    }
    let end = 0.0f64.clamp(least.min(most), most.max(least));
    let (mut least, mut most) = (end, end);
    for (sheet, width) in sheet.iter().zip(widths).rev() {
        most = (most - (width - sheet)).clamp(-slip, slip);
        least = (least - (width / (1.0 - shrink) - sheet)).clamp(-slip, slip);
    }
    let start = 0.0f64.clamp(least.min(most), most.max(least));
    let lower: Vec<f64> = center.iter().map(|c| c - slip).collect();
    let upper: Vec<f64> = center.iter().map(|c| c + slip).collect();
    let last = center.last().copied().unwrap_or(0.0);
    taut_string(&stops, &lower, &upper, start, last + end).unwrap_or(center)
}
