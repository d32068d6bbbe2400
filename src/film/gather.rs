//! Where a sheet has to be gathered: the fewest pleats that leave no row with more shrink than the film has.
//!
//! In a row at distance t from the ridge the sheet may slip along the boat by its skew times t, and by what a hand
//! smooths out, from where its threads would lie. Between two neighboring threads there must be at least as much sheet as boat (film does not
//! stretch), and at most so much more as shrinks away. That is a chain of difference constraints: going forward,
//! the slip that is still possible is an interval. Where it closes, a pleat must stand before; a pleat opens the
//! interval to its full width again. A later pleat leaves an interval that is nowhere narrower, so the greedy
//! choice, always as late as possible, takes the fewest.

use super::rows::{Row, Span};

/// How a sheet may be laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Limits {
    /// Part of its length by which film may shrink.
    pub shrink: f64,
    /// How far it may be laid out of square, rad.
    pub skew: f64,
    /// How far it may slip along the ridge itself, m: what a hand smooths out without a fold.
    pub smooth: f64,
    /// Part by which the sheet is laid longer than the ridge, all along.
    pub ease: f64,
}

impl Limits {
    /// How far the sheet may slip along the boat at a distance from the ridge, m.
    pub fn slip(&self, run: f64) -> f64 {
        self.smooth + self.skew.tan() * run
    }

    /// The most ease that still shrinks away on the ridge itself.
    fn most_ease(&self) -> f64 {
        self.shrink / (1.0 - self.shrink)
    }
}

/// Rounding that a closed interval may have, m.
const ROUNDING: f64 = 1e-9;

/// Bisections of the ease: to a millionth of the length.
const BISECTIONS: usize = 20;

/// A row's span as a chain: sheet between neighbors, boat between neighbors, greatest slip.
struct Chain<'a> {
    span: &'a Span,
    sheet: Vec<f64>,
    slip: f64,
    /// Least slip at each thread that no stretch allows.
    least: Vec<f64>,
    shrink: f64,
}

impl<'a> Chain<'a> {
    fn new(along: &[f64], run: f64, span: &'a Span, limits: Limits) -> Chain<'a> {
        let sheet: Vec<f64> = span
            .threads
            .windows(2)
            .map(|pair| (1.0 + limits.ease) * (along[pair[1]] - along[pair[0]]))
            .collect();
        let slip = limits.slip(run);
        let mut least = vec![-slip];
        for (sheet, boat) in sheet.iter().zip(&span.widths) {
            let last = least.last().copied().unwrap_or(-slip);
            // Where even the greatest slip cannot keep it from stretching, it is taken as it is.
            least.push((last + boat - sheet).clamp(-slip, slip));
        }
        Chain {
            span,
            sheet,
            slip,
            least,
            shrink: limits.shrink,
        }
    }

    /// By how much slip may change over a gap at most.
    fn rise(&self, gap: usize) -> f64 {
        self.span.widths[gap] / (1.0 - self.shrink) - self.sheet[gap]
    }

    fn gaps(&self) -> usize {
        self.sheet.len()
    }

    /// The gap that a pleat at a thread's forward side falls in.
    fn gap_of(&self, pleat: usize) -> Option<usize> {
        let after = self.span.threads.partition_point(|thread| *thread <= pleat);
        (after > 0 && after < self.span.threads.len()).then(|| after - 1)
    }

    /// Greatest slip at each thread, with pleats.
    fn most(&self, pleats: &[usize]) -> Vec<f64> {
        let gaps: Vec<usize> = pleats.iter().filter_map(|p| self.gap_of(*p)).collect();
        let mut most = vec![self.slip];
        for gap in 0..self.gaps() {
            let last = most.last().copied().unwrap_or(self.slip);
            most.push(if gaps.contains(&gap) {
                self.slip
            } else {
                (last + self.rise(gap)).min(self.slip)
            });
        }
        most
    }

    /// Latest place of the next pleat after one at `last`; `None` where no more is needed.
    fn latest(&self, last: Option<usize>) -> Option<usize> {
        let start = last.map_or(0, |pleat| {
            self.span.threads.partition_point(|thread| *thread <= pleat)
        });
        let mut most = self.slip;
        for gap in start..self.gaps() {
            most = (most + self.rise(gap)).min(self.slip);
            if most < self.least[gap + 1] - ROUNDING {
                return Some(self.span.threads[gap + 1] - 1);
            }
        }
        None
    }

    /// Earliest place of the last pleat before one at `next`; `None` where no more is needed.
    fn earliest(&self, next: Option<usize>) -> Option<usize> {
        let end = match next {
            None => self.gaps(),
            Some(pleat) => self
                .span
                .threads
                .partition_point(|thread| *thread <= pleat)
                .saturating_sub(1),
        };
        let mut need = *self.least.get(end)?;
        for gap in (0..end).rev() {
            need = (need - self.rise(gap)).max(self.least[gap]);
            if need > self.slip + ROUNDING {
                return Some(self.span.threads[gap]);
            }
        }
        None
    }
}

/// Where pleats stand (each just forward of a thread), and how much film each takes in each span of each row.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Gathers {
    /// Threads, from aft.
    pub pleats: Vec<usize>,
    /// Film taken by each pleat, for each row and span: `depths[row][span][pleat]`, m.
    pub depths: Vec<Vec<Vec<f64>>>,
}

/// Least ease with which no row has to stretch, and whether there is one at all up to the film's shrink.
pub(super) fn least_ease(along: &[f64], rows: &[Row], limits: Limits) -> (f64, bool) {
    let stretches = |ease: f64| {
        let limits = Limits { ease, ..limits };
        chains(along, rows, limits).any(|chain| {
            let mut least = -chain.slip;
            chain
                .sheet
                .iter()
                .zip(&chain.span.widths)
                .any(|(sheet, boat)| {
                    least = (least + boat - sheet).max(-chain.slip);
                    least > chain.slip + ROUNDING
                })
        })
    };
    if !stretches(0.0) {
        return (0.0, true);
    }
    let most = limits.most_ease();
    if stretches(most) {
        return (most, false);
    }
    let (mut low, mut high) = (0.0, most);
    for _ in 0..BISECTIONS {
        let middle = 0.5 * (low + high);
        if stretches(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    (high, true)
}

fn chains<'a>(
    along: &'a [f64],
    rows: &'a [Row],
    limits: Limits,
) -> impl Iterator<Item = Chain<'a>> {
    rows.iter().flat_map(move |row| {
        row.spans
            .iter()
            .map(move |span| Chain::new(along, row.run, span, limits))
    })
}

/// The fewest pleats, each where most film is in the way within the room that the others leave it.
///
/// `along` is where each thread leaves the ridge, m.
pub(super) fn gather(along: &[f64], rows: &[Row], limits: Limits) -> Gathers {
    let all: Vec<Chain> = chains(along, rows, limits).collect();
    let latest = |last: Option<usize>| all.iter().filter_map(|c| c.latest(last)).min();
    let earliest = |next: Option<usize>| all.iter().filter_map(|c| c.earliest(next)).max();
    // From the bow: the earliest places that leave the rest feasible.
    let mut floors = Vec::new();
    while let Some(place) = earliest(floors.last().copied()) {
        if floors.last().is_some_and(|last| *last <= place) {
            break;
        }
        floors.push(place);
    }
    floors.reverse();
    let surplus = surplus(&all, along.len());
    let mut pleats: Vec<usize> = Vec::new();
    while let Some(most) = latest(pleats.last().copied()) {
        let from = pleats.last().map_or(0, |last| last + 1);
        let floor = floors
            .get(pleats.len())
            .copied()
            .unwrap_or(most)
            .clamp(from.min(most), most);
        let best = (floor..=most)
            .max_by(|a, b| surplus[*a].total_cmp(&surplus[*b]))
            .unwrap_or(most);
        if pleats.last().is_some_and(|last| *last >= best) {
            break;
        }
        pleats.push(best);
    }
    let mut depths: Vec<Vec<Vec<f64>>> = rows
        .iter()
        .map(|row| {
            row.spans
                .iter()
                .map(|span| depths(&Chain::new(along, row.run, span, limits), &pleats))
                .collect()
        })
        .collect();
    deepen(&mut depths, pleats.len(), limits.smooth);
    Gathers { pleats, depths }
}

/// Film that each pleat takes where the sheet hangs square to the ridge and does not slip: all that does not shrink
/// away in the gaps nearest to it, in the row where that is most, m.
pub(super) fn unslipped(along: &[f64], rows: &[Row], limits: Limits, pleats: &[usize]) -> Vec<f64> {
    let place = |thread: usize| along.get(thread).copied().unwrap_or(0.0);
    let mut most = vec![0.0f64; pleats.len()];
    for row in rows {
        let mut taken = vec![0.0; pleats.len()];
        for chain in row
            .spans
            .iter()
            .map(|span| Chain::new(along, row.run, span, limits))
        {
            for gap in 0..chain.gaps() {
                let &[a, b] = &chain.span.threads[gap..gap + 2] else {
                    continue;
                };
                let middle = 0.5 * (place(a) + place(b));
                let nearest = (0..pleats.len()).min_by(|p, q| {
                    let away = |pleat: usize| (place(pleats[pleat]) - middle).abs();
                    away(*p).total_cmp(&away(*q))
                });
                if let Some(pleat) = nearest {
                    taken[pleat] += (-chain.rise(gap)).max(0.0);
                }
            }
        }
        for (most, taken) in most.iter_mut().zip(taken) {
            *most = most.max(taken);
        }
    }
    most
}

/// A pleat that is needed at all is folded at least as deep as what a hand would smooth out.
fn deepen(depths: &mut [Vec<Vec<f64>>], pleats: usize, least: f64) {
    for pleat in 0..pleats {
        let all = depths.iter().flatten().filter_map(|taken| taken.get(pleat));
        let deepest = all.copied().fold(0.0, f64::max);
        if deepest > 0.0 && deepest < least {
            for taken in depths.iter_mut().flatten() {
                if let Some(taken) = taken.get_mut(pleat) {
                    *taken *= least / deepest;
                }
            }
        }
    }
}

/// For each thread, the film that is in the way just forward of it in the row where that is most; within one
/// gap the middle counts a little more, so that a pleat stands in the middle of what it takes.
fn surplus(chains: &[Chain], threads: usize) -> Vec<f64> {
    let mut surplus = vec![0.0f64; threads];
    for chain in chains {
        for gap in 0..chain.gaps() {
            let (from, to) = (chain.span.threads[gap], chain.span.threads[gap + 1]);
            let excess = chain.sheet[gap] - chain.span.widths[gap];
            let middle = 0.5 * (from + to - 1) as f64;
            for (thread, surplus) in surplus.iter_mut().enumerate().take(to).skip(from) {
                let aside = (thread as f64 - middle).abs() / (to - from) as f64;
                *surplus = surplus.max(excess * (1.0 - MIDDLE * aside));
            }
        }
    }
    surplus
}

/// How much less the rim of a gap counts than its middle.
const MIDDLE: f64 = 0.1;

/// The least film that each pleat has to take in one span.
fn depths(chain: &Chain, pleats: &[usize]) -> Vec<f64> {
    let most = chain.most(pleats);
    let gaps: Vec<Option<usize>> = pleats.iter().map(|p| chain.gap_of(*p)).collect();
    let mut taken = vec![0.0; pleats.len()];
    let mut need = chain.least.last().copied().unwrap_or(0.0);
    for gap in (0..chain.gaps()).rev() {
        let without = need - chain.rise(gap);
        let here = gaps.iter().position(|g| *g == Some(gap));
        need = match here {
            Some(pleat) => {
                // Two pleats in one gap share: the first takes all.
                taken[pleat] = (without - most[gap]).max(0.0);
                without.min(most[gap])
            }
            None => without,
        }
        .max(chain.least[gap]);
    }
    taken
}
