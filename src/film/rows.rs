//! Rows across the threads: how far apart they stand at one distance from the ridge.
//!
//! Threads that meet end there: beyond, the film between them has nowhere to lie, and all of it is surplus.
//! What is left at one distance are the threads that are still straightest from the ridge, in their order.

use super::threads::Thread;
use crate::boat::Hand;

/// Threads at one distance from the ridge.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    /// The distance, m.
    pub run: f64,
    /// Runs of neighboring threads that all reach so far.
    pub spans: Vec<Span>,
}

/// Neighboring threads in a row.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Span {
    /// The threads, from aft.
    pub threads: Vec<usize>,
    /// Distance on the boat from each to the next, m; one less than there are threads.
    pub widths: Vec<f64>,
}

/// Neighbors nearer than this part of their distance on the flat sheet count as met.
const MET: f64 = 0.02;

/// A thread longer than the middle one by this factor has strayed along the boat, and is left out.
const STRAY: f64 = 1.6;

/// The rows of a bundle of threads, `step` apart, and which threads have met another before the band.
///
/// # Units
/// Meters.
pub(super) fn rows(threads: &[Thread], hand: Hand, step: f64) -> (Vec<Row>, Vec<bool>) {
    let mut met = vec![false; threads.len()];
    let mut lengths: Vec<f64> = threads.iter().map(|t| t.walk.length()).collect();
    lengths.sort_by(f64::total_cmp);
    let longest = STRAY * lengths.get(lengths.len() / 2).copied().unwrap_or(0.0);
    for (met, thread) in met.iter_mut().zip(threads) {
        *met = thread.walk.length() > longest;
    }
    let mut rows = Vec::new();
    let mut number = 1;
    loop {
        let run = step * f64::from(number);
        if run > longest {
            break;
        }
        let spans = spans(threads, hand, run, &mut met);
        if spans.is_empty() {
            // Only threads that have met go on from here.
            break;
        }
        rows.push(Row { run, spans });
        number += 1;
    }
    (rows, met)
}

fn spans(threads: &[Thread], hand: Hand, run: f64, met: &mut [bool]) -> Vec<Span> {
    let mut spans = Vec::new();
    let mut span: Vec<(usize, f64)> = Vec::new();
    for i in 0..threads.len() {
        if met[i] {
            continue;
        }
        if threads[i].walk.length() < run {
            close(&mut spans, &mut span);
            continue;
        }
        let width = span
            .last()
            .map_or(Some(f64::INFINITY), |(j, _)| {
                width(&threads[*j], &threads[i], hand, run)
            })
            .unwrap_or(0.0);
        let flat = span
            .last()
            .map_or(0.0, |(j, _)| threads[i].along - threads[*j].along);
        if width > MET * flat {
            span.push((i, width));
        } else if let Some((j, _)) = span.pop() {
            met[i] = true;
            met[j] = true;
        }
    }
    close(&mut spans, &mut span);
    spans
}

/// Ends a span; a thread alone says nothing.
fn close(spans: &mut Vec<Span>, span: &mut Vec<(usize, f64)>) {
    if span.len() > 1 {
        spans.push(Span {
            threads: span.iter().map(|(i, _)| *i).collect(),
            widths: span.iter().skip(1).map(|(_, width)| *width).collect(),
        });
    }
    span.clear();
}

/// How far the thread `b` lies forward of `a` after a run, m; negative where they have crossed.
fn width(a: &Thread, b: &Thread, hand: Hand, run: f64) -> Option<f64> {
    let (p, forward_a) = a.at(hand, run)?;
    let (q, forward_b) = b.at(hand, run)?;
    let apart = q - p;
    let ahead = apart.dot(&(forward_a + forward_b));
    Some(apart.norm() * ahead.signum())
}
