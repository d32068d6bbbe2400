//! Supports as nodes, heights as states, and the violation of every possible segment.

use super::envelope::{Envelope, athwart, envelopes};
use super::problem::{Pin, RidgeProblem, STATION_EPS};

/// A cap takes the strap when it runs on no steeper than it came, up to this much
/// (slope, no unit): rounding of heights of meters over spans of meters is a millionth of it.
pub const SLOPE_EPS: f64 = 1e-9;
/// A segment that falls short by no more than this holds (m): one unit of the whole-number costs.
pub const VIOLATION_TOL: f64 = 1e-9;
/// Meters of violation that count for each meter of span over the limit.
pub const SPAN_WEIGHT: f64 = 1.0;
/// Nanometers in a meter: violations are compared as whole nanometers.
pub(super) const NANO: f64 = 1e9;
/// Micrometers in a meter: post heights are compared as whole micrometers.
const MICRO: f64 = 1e6;
/// Beyond this (nm, 50 m) a violation grows no further, so that sums keep inside their bits.
const MAX_VIOLATION: f64 = 5e10;

/// Cost of a chain, packed so that plain comparison is the order of the search and plain
/// addition adds every part: violation (44 bits, nm), post height (36 bits, um), free supports
/// (12 bits), stations of the posts (36 bits, um from the stern anchor).
pub(super) type Cost = u128;
const HEIGHT_AT: u32 = 48;
const FREE_AT: u32 = 36;
const VIOLATION_AT: u32 = 84;

/// Violation in a cost (nm).
pub(super) fn violation_of(cost: Cost) -> f64 {
    (cost >> VIOLATION_AT) as u64 as f64
}

/// Post height in a cost that has no violation (um).
pub(super) fn height_of(cost: Cost) -> f64 {
    (cost >> HEIGHT_AT) as u64 as f64
}

/// The cost of a violation (nm, whole).
pub(super) fn cost_of_violation(violation: f64) -> Cost {
    Cost::from(violation as u64) << VIOLATION_AT
}

/// What a node is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Stern,
    Post(usize),
    Free(usize),
    Bow,
}

/// One place where the strap may be held.
#[derive(Debug, Clone, Copy)]
pub(super) struct Node {
    pub kind: Kind,
    pub station: f64,
    pub pinned: bool,
    /// First of its states; heights rise from there.
    pub first: usize,
    /// How many heights it has.
    pub count: usize,
}

impl Node {
    pub fn is_post(&self) -> bool {
        matches!(self.kind, Kind::Post(_))
    }
}

/// Two nodes that a segment may join. Its slope depends only on
/// `e = level of the aft node + levels of the fore node above the one used`,
/// and falls as `e` grows.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pair {
    pub from: usize,
    pub to: usize,
    pub length: f64,
    /// Rise at `e = 0` (m).
    rise: f64,
    /// The values of `e` that can be part of a concave chain.
    low: usize,
    high: usize,
    /// Where `e = low` stands in the flat arrays.
    start: usize,
    /// The span alone breaks the rule.
    pub too_long: bool,
}

/// All nodes, states and segments of a problem.
pub(super) struct Table {
    pub nodes: Vec<Node>,
    pub envelopes: Vec<Envelope>,
    /// Height of each state (m), and in whole nanometers.
    pub height: Vec<f64>,
    pub height_nm: Vec<f64>,
    /// What using the state costs.
    pub use_cost: Vec<Cost>,
    /// Highest and lowest slope with which a concave chain can come into a state: the chords
    /// from the stern anchor and to the bow anchor.
    pub in_most: Vec<f64>,
    pub in_least: Vec<f64>,
    pub pairs: Vec<Pair>,
    /// Pairs by their fore node, aft node rising.
    pub into: Vec<Vec<usize>>,
    pair_of: Vec<usize>,
    /// By pair and `e`: slope; height of the aft end that just clears all (nm); what is
    /// violated at any height (nm).
    pub slope: Vec<f64>,
    pub threshold: Vec<f64>,
    pub extra: Vec<f64>,
    step: f64,
    pub tan_min: f64,
    pub least_gap: f64,
}

impl Table {
    /// Lays out a problem that has passed its check.
    pub fn new(problem: &RidgeProblem) -> Self {
        let tan_min = problem.rules.min_slope.tan();
        let mut table = Self {
            nodes: Vec::new(),
            envelopes: envelopes(&problem.sections, tan_min),
            height: Vec::new(),
            height_nm: Vec::new(),
            use_cost: Vec::new(),
            in_most: Vec::new(),
            in_least: Vec::new(),
            pairs: Vec::new(),
            into: Vec::new(),
            pair_of: Vec::new(),
            slope: Vec::new(),
            threshold: Vec::new(),
            extra: Vec::new(),
            step: problem.rules.height_step,
            tan_min,
            least_gap: problem.rules.least_gap,
        };
        table.lay_nodes(problem);
        table.lay_pairs(problem);
        table
    }

    fn lay_nodes(&mut self, problem: &RidgeProblem) {
        let rules = &problem.rules;
        let (stern, bow) = (problem.stern, problem.bow);
        // Node, its base, its heights.
        let mut found: Vec<(Kind, f64, bool, f64, Vec<f64>)> = Vec::new();
        for (index, site) in problem.sites.iter().enumerate() {
            let heights: Vec<f64> = match site.pinned {
                Some(Pin::Height(height)) => vec![height],
                None if rules.only_pinned => Vec::new(),
                _ => (site.lowest..=site.highest)
                    .map(|k| k as f64 * rules.height_step)
                    .collect(),
            };
            if !heights.is_empty() {
                let pinned = site.pinned.is_some();
                found.push((Kind::Post(index), site.station, pinned, site.base, heights));
            }
        }
        for (index, free) in problem.free.iter().enumerate() {
            let heights = vec![free.height];
            found.push((Kind::Free(index), free.station, false, free.height, heights));
        }
        found.sort_by(|a, b| a.1.total_cmp(&b.1));
        let anchor = |kind, a: super::Anchor| (kind, a.station, false, a.height, vec![a.height]);
        found.insert(0, anchor(Kind::Stern, stern));
        found.push(anchor(Kind::Bow, bow));
        for (kind, station, pinned, base, heights) in found {
            self.nodes.push(Node {
                kind,
                station,
                pinned,
                first: self.height.len(),
                count: heights.len(),
            });
            let place = Cost::from(((station - stern.station) * MICRO).round() as u64);
            for height in heights {
                self.use_cost.push(match kind {
                    Kind::Post(_) => {
                        let tall = Cost::from(((height - base) * MICRO).round() as u64);
                        (tall << HEIGHT_AT) + place
                    }
                    Kind::Free(_) => 1 << FREE_AT,
                    Kind::Stern | Kind::Bow => 0,
                });
                self.height.push(height);
                self.height_nm.push((height * NANO).round());
                self.in_most.push(match kind {
                    Kind::Stern => f64::INFINITY,
                    _ => (height - stern.height) / (station - stern.station),
                });
                self.in_least.push(match kind {
                    Kind::Bow => f64::NEG_INFINITY,
                    _ => (bow.height - height) / (bow.station - station),
                });
            }
        }
    }

    fn lay_pairs(&mut self, problem: &RidgeProblem) {
        let count = self.nodes.len();
        self.into = vec![Vec::new(); count];
        self.pair_of = vec![usize::MAX; count * count];
        let slack = self.chord_slack();
        for from in 0..count {
            for to in from + 1..count {
                if to > from + 1 && self.nodes[to - 1].pinned {
                    break;
                }
                let (a, b) = (self.nodes[from], self.nodes[to]);
                let length = b.station - a.station;
                if length <= STATION_EPS || !self.gap_is_enough(from, to) {
                    continue;
                }
                let rise = self.height[b.first + b.count - 1] - self.height[a.first];
                let mut pair = Pair {
                    from,
                    to,
                    length,
                    rise,
                    low: 0,
                    high: a.count + b.count - 1,
                    start: self.slope.len(),
                    too_long: length - problem.rules.max_span > VIOLATION_TOL,
                };
                let most = self.in_most[a.first + a.count - 1] + slack;
                let least = self.in_least[b.first + b.count - 1] - slack;
                let slope = |e: usize| (rise - e as f64 * self.step) / length;
                while pair.low < pair.high && slope(pair.low) > most {
                    pair.low += 1;
                }
                while pair.low < pair.high && slope(pair.high - 1) < least {
                    pair.high -= 1;
                }
                if pair.low == pair.high {
                    continue;
                }
                self.slope.extend((pair.low..pair.high).map(slope));
                self.fill(problem, &pair);
                self.pair_of[from * count + to] = self.pairs.len();
                self.into[to].push(self.pairs.len());
                self.pairs.push(pair);
            }
        }
    }

    /// Thresholds of one pair. The loops run over the slopes inside, so that they are
    /// straight runs over arrays.
    fn fill(&mut self, problem: &RidgeProblem, pair: &Pair) {
        let rules = &problem.rules;
        let (aft, length) = (self.nodes[pair.from], pair.length);
        let slopes = &self.slope[pair.start..];
        let across: Vec<f64> = slopes.iter().map(|m| athwart(self.tan_min, *m)).collect();
        let mut worst = vec![f64::NEG_INFINITY; slopes.len()];
        let begin = self
            .envelopes
            .partition_point(|s| s.station < aft.station - STATION_EPS);
        for section in &self.envelopes[begin..] {
            let ahead = section.station - aft.station;
            if ahead > length + STATION_EPS {
                break;
            }
            let sag = sag_at(rules.pull, rules.tension, length, ahead);
            for point in &section.points {
                let high = point.height + sag;
                for ((worst, t), m) in worst.iter_mut().zip(&across).zip(slopes) {
                    let start = high + point.across * t - m * ahead;
                    *worst = if start > *worst { start } else { *worst };
                }
            }
        }
        let limit = self.height_nm[aft.first] + MAX_VIOLATION;
        let tolerance = VIOLATION_TOL * NANO;
        let nothing = -MAX_VIOLATION * NANO;
        self.threshold.extend(
            worst
                .iter()
                .map(|w| ((w * NANO).round() - tolerance).clamp(nothing, limit)),
        );
        let span = span_excess(length, rules.max_span) * SPAN_WEIGHT;
        self.extra.extend(slopes.iter().map(|m| {
            let flat = if rules.twin {
                flat_shortfall(self.tan_min, *m, length)
            } else {
                0.0
            };
            let whole = |v: f64| ((v * NANO).round() - tolerance).max(0.0);
            (whole(span) + whole(flat)).min(MAX_VIOLATION)
        }));
    }

    /// How far rounding within [`SLOPE_EPS`] at every support can bring a chain over its chord.
    pub fn chord_slack(&self) -> f64 {
        SLOPE_EPS * self.nodes.len() as f64
    }

    /// Posts keep their distance; two pinned ones stay where they are.
    pub fn gap_is_enough(&self, from: usize, to: usize) -> bool {
        let (a, b) = (&self.nodes[from], &self.nodes[to]);
        let apply = a.is_post() && b.is_post() && !(a.pinned && b.pinned);
        !apply || b.station - a.station >= self.least_gap - STATION_EPS
    }

    /// How many posts are pinned.
    pub fn pinned(&self) -> usize {
        self.nodes.iter().filter(|n| n.pinned).count()
    }

    /// Slope and violation (nm) of the segment from level `h` of `from` to level `g` of `to`;
    /// none where no concave chain can use it.
    #[cfg(test)]
    pub fn segment(&self, from: usize, h: usize, to: usize, g: usize) -> Option<(f64, f64)> {
        let pair = self.pairs.get(self.pair_of[from * self.nodes.len() + to])?;
        let e = h + self.nodes[to].count - 1 - g;
        if e < pair.low || e >= pair.high {
            return None;
        }
        let at = pair.start + e - pair.low;
        let z = self.height_nm[self.nodes[from].first + h];
        Some((
            self.slope[at],
            (self.threshold[at] - z).max(0.0) + self.extra[at],
        ))
    }

    /// For level `g` of the pair's fore node: the levels of the aft node from which the slope
    /// lies in `[least, most]`, and where the first of them stands in the flat arrays.
    pub fn window(
        &self,
        pair: &Pair,
        g: usize,
        least: f64,
        most: f64,
    ) -> (std::ops::Range<usize>, usize) {
        let turn = self.nodes[pair.to].count - 1 - g;
        let low = turn.max(pair.low);
        let high = (turn + self.nodes[pair.from].count).min(pair.high);
        if low >= high {
            return (0..0, 0);
        }
        let slope = |e: usize| self.slope[pair.start + e - pair.low];
        // A cast from f64 saturates, so that infinite limits fall on the ends of the range.
        let guess = |m: f64| ((pair.rise - m * pair.length) / self.step) as usize;
        let mut begin = guess(most).clamp(low, high);
        while begin > low && slope(begin - 1) <= most {
            begin -= 1;
        }
        while begin < high && slope(begin) > most {
            begin += 1;
        }
        let mut end = guess(least).clamp(begin, high);
        while end > begin && slope(end - 1) < least {
            end -= 1;
        }
        while end < high && slope(end) >= least {
            end += 1;
        }
        (begin - turn..end - turn, pair.start + begin - pair.low)
    }
}

/// How far the strap hangs below its chord, `ahead` of the aft end of a span (m).
pub(super) fn sag_at(pull: f64, tension: f64, length: f64, ahead: f64) -> f64 {
    let middle = pull * length * length / (8.0 * tension);
    let u = (ahead / length).clamp(0.0, 1.0);
    4.0 * middle * u * (1.0 - u)
}

/// How far a span is over the limit (m).
pub(super) fn span_excess(length: f64, max_span: f64) -> f64 {
    (length - max_span).max(0.0)
}

/// How far a segment of slope `m` is too flat lengthwise: the height by which its middle
/// differs from that of a segment steep enough (m).
pub(super) fn flat_shortfall(tan_min: f64, m: f64, length: f64) -> f64 {
    (tan_min - m.abs()).max(0.0) * length / 2.0
}
