//! Small random chains, and whether a sheet can be laid on them, by an independent method: difference constraints for
//! all rows at once in one graph, which hold together where it has no negative cycle (Bellman 1958, Ford 1956, from
//! memory).

use crate::film::gather::{Limits, least_ease};
use crate::film::rows::{Row, Span};

/// Sheet and boat of a case.
#[derive(Debug, Clone)]
pub struct Case {
    pub along: Vec<f64>,
    pub rows: Vec<Row>,
    pub limits: Limits,
}

/// What pleats do in the gaps of a row: nothing is known of their depth, or it is given by row, span and pleat.
#[derive(Clone, Copy)]
pub enum Depths<'a> {
    Free,
    Given(&'a [Vec<Vec<f64>>]),
}

/// Constraints give way by this, m: more than rounding, less than any random difference.
const SLACK: f64 = 1e-8;

/// A source of numbers that are the same on every run (splitmix64, Steele, Lea and Flood 2014, from memory).
pub struct Numbers(pub u64);

impl Numbers {
    /// A number in a range.
    pub fn within(&mut self, from: f64, to: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        let unit = ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64;
        from + unit * (to - from)
    }

    pub fn below(&mut self, count: usize) -> usize {
        (self.within(0.0, count as f64) as usize).min(count - 1)
    }
}

impl Case {
    /// A random case: up to eight threads, up to three rows in which some have met and the rest may stand in two
    /// spans. The sheet is eased until no row has to stretch; `None` where no ease does.
    pub fn random(numbers: &mut Numbers, smooth: bool) -> Option<Case> {
        let mut along = vec![0.0];
        for _ in 0..3 + numbers.below(5) {
            along.push(along[along.len() - 1] + numbers.within(0.2, 0.6));
        }
        let (narrow, wide) = (numbers.within(0.4, 0.95), numbers.within(1.0, 1.2));
        let rows: Vec<Row> = (0..1 + numbers.below(3))
            .map(|number| Row {
                run: 0.5 * (number as f64 + 1.0),
                spans: spans(numbers, &along, [narrow, wide]),
            })
            .filter(|row| !row.spans.is_empty())
            .collect();
        let mut limits = Limits {
            shrink: numbers.within(0.0, 0.25),
            skew: numbers.within(0.0, 0.1),
            smooth: if smooth {
                numbers.within(0.0, 0.08)
            } else {
                0.0
            },
            ease: 0.0,
        };
        let (ease, holds) = least_ease(&along, &rows, limits);
        limits.ease = ease;
        holds.then_some(Case {
            along,
            rows,
            limits,
        })
    }

    /// Whether a sheet with these pleats can be laid so that it nowhere stretches, nor shrinks over the limit.
    pub fn holds(&self, pleats: &[usize], depths: Depths) -> bool {
        // Node 0 stands still; every thread of every span of every row has one that slips.
        let mut nodes = 1;
        let mut edges: Vec<(usize, usize, f64)> = Vec::new();
        for (number, row) in self.rows.iter().enumerate() {
            let slip = self.limits.smooth + self.limits.skew.tan() * row.run;
            for (place, span) in row.spans.iter().enumerate() {
                for (k, thread) in span.threads.iter().enumerate() {
                    let node = nodes;
                    nodes += 1;
                    edges.extend([(0, node, slip), (node, 0, slip)]);
                    let Some(width) = span.widths.get(k) else {
                        continue;
                    };
                    let next = span.threads[k + 1];
                    let sheet = (1.0 + self.limits.ease) * (self.along[next] - self.along[*thread]);
                    let inside: Vec<usize> = (0..pleats.len())
                        .filter(|p| (*thread..next).contains(&pleats[*p]))
                        .collect();
                    let taken: f64 = match depths {
                        Depths::Free => 0.0,
                        Depths::Given(all) => inside.iter().map(|p| all[number][place][*p]).sum(),
                    };
                    // slip here - slip there <= sheet - taken - boat
                    edges.push((node + 1, node, sheet - taken - width));
                    let free = matches!(depths, Depths::Free) && !inside.is_empty();
                    if !free {
                        // slip there - slip here <= boat / (1 - shrink) - sheet + taken
                        let most = width / (1.0 - self.limits.shrink) - sheet + taken;
                        edges.push((node, node + 1, most));
                    }
                }
            }
        }
        let mut far = vec![0.0f64; nodes];
        for _ in 0..=nodes {
            let mut changed = false;
            for (from, to, most) in &edges {
                let through = far[*from] + most + SLACK;
                if through < far[*to] - 1e-15 {
                    far[*to] = through;
                    changed = true;
                }
            }
            if !changed {
                return true;
            }
        }
        false
    }

    /// The same boat with bow and stern changed.
    pub fn turned(&self) -> Case {
        let last = self.along.len() - 1;
        let length = self.along[last];
        let rows = self.rows.iter().map(|row| Row {
            run: row.run,
            spans: row
                .spans
                .iter()
                .rev()
                .map(|span| Span {
                    threads: span.threads.iter().rev().map(|t| last - t).collect(),
                    widths: span.widths.iter().rev().copied().collect(),
                })
                .collect(),
        });
        Case {
            along: self.along.iter().rev().map(|at| length - at).collect(),
            rows: rows.collect(),
            limits: self.limits,
        }
    }
}

fn spans(numbers: &mut Numbers, along: &[f64], [narrow, wide]: [f64; 2]) -> Vec<Span> {
    let left: Vec<usize> = (0..along.len())
        .filter(|_| numbers.within(0.0, 1.0) < 0.85)
        .collect();
    let cut = if numbers.within(0.0, 1.0) < 0.3 {
        numbers.below(left.len().max(1))
    } else {
        0
    };
    let (aft, fore) = left.split_at(cut);
    [aft, fore]
        .into_iter()
        .filter(|threads| threads.len() > 1)
        .map(|threads| Span {
            threads: threads.to_vec(),
            widths: threads
                .windows(2)
                .map(|pair| (along[pair[1]] - along[pair[0]]) * numbers.within(narrow, wide))
                .collect(),
        })
        .collect()
}
