//! The search: backward bounds, then exact labels forward.

use super::table::{Cost, Kind, SLOPE_EPS, Table, cost_of_violation, height_of, violation_of};

/// A chain as the search sees it: node and level of each support, anchors included.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Found {
    pub cost: Cost,
    pub steps: Vec<(usize, usize)>,
}

/// What the search found.
pub(super) struct Outcome {
    /// The best chain; none where the pinned posts leave no concave chain.
    pub best: Option<Found>,
    /// Most posts tried.
    pub most_tried: usize,
}

/// Whether violations are forbidden or counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mode {
    /// Only segments without violation; bounds are on post height.
    Hard,
    /// Any segment; bounds are on violation.
    Soft,
}

impl Mode {
    /// The part of a cost that the bounds of this mode are about.
    fn measure(self, cost: Cost) -> f64 {
        match self {
            Self::Hard => height_of(cost),
            Self::Soft => violation_of(cost),
        }
    }

    /// Least first limit over a bound: 5 mm of violation, 50 mm of height.
    fn first_over(self) -> f64 {
        match self {
            Self::Hard => 5e4,
            Self::Soft => 5e6,
        }
    }
}

/// First limit of the exact search over the bound at the stern, as a share of it. Any share is
/// right; a small one is quick where the bound is close, as it mostly is.
const FIRST_OVER: f64 = 0.01;
/// By how much the limit grows over the bound when nothing was found under it.
const OVER_GROWS: f64 = 4.0;
/// No measure of a chain is larger than this: the parts of a cost have no more bits.
const MAX_OVER: f64 = 2e13;

/// What is still to come, for each number of posts still to be placed and each state.
struct Tail {
    mode: Mode,
    /// Largest violation of one segment looked at (nm).
    cap: f64,
    /// Least slope with which a chain must come in to be able to go on concave.
    slope: Vec<Vec<f64>>,
    /// A lower bound of [`Mode::measure`] of what follows, the state's own use left out.
    bound: Vec<Vec<f64>>,
}

impl Tail {
    fn new(mode: Mode, cap: f64) -> Self {
        Self {
            mode,
            cap,
            slope: Vec::new(),
            bound: Vec::new(),
        }
    }

    /// Adds the layer with one post more to come.
    fn deepen(&mut self, table: &Table) {
        let posts = self.slope.len();
        let states = table.height.len();
        let mut slope = vec![f64::INFINITY; states];
        let mut bound = vec![f64::INFINITY; states];
        let slack = table.chord_slack();
        for (to, fore) in table.nodes.iter().enumerate().rev() {
            // Everything ahead of `to` is settled in this layer when `to` is taken up.
            for g in 0..fore.count {
                let state = fore.first + g;
                let (on_slope, on_bound) = match (fore.kind, posts) {
                    (Kind::Bow, 0) => (f64::NEG_INFINITY, 0.0),
                    (Kind::Bow | Kind::Stern, _) | (Kind::Post(_), 0) => continue,
                    (Kind::Post(_), _) => {
                        (self.slope[posts - 1][state], self.bound[posts - 1][state])
                    }
                    (Kind::Free(_), _) => (slope[state], bound[state]),
                };
                if on_bound > self.cap && self.mode == Mode::Soft || !on_bound.is_finite() {
                    continue;
                }
                let rest = match self.mode {
                    Mode::Hard => on_bound + height_of(table.use_cost[state]),
                    Mode::Soft => on_bound,
                };
                let least = (on_slope - SLOPE_EPS).max(table.in_least[state] - slack);
                let most = table.in_most[state] + slack;
                for &index in &table.into[to] {
                    let pair = &table.pairs[index];
                    if self.mode == Mode::Hard && pair.too_long {
                        continue;
                    }
                    let (levels, at) = table.window(pair, g, least, most);
                    let aft = table.nodes[pair.from].first;
                    let (from, count) = (aft + levels.start, levels.len());
                    relax(
                        self.cap,
                        rest,
                        [
                            &table.slope[at..at + count],
                            &table.threshold[at..at + count],
                            &table.extra[at..at + count],
                            &table.height_nm[from..from + count],
                        ],
                        &mut slope[from..from + count],
                        &mut bound[from..from + count],
                    );
                }
            }
        }
        self.slope.push(slope);
        self.bound.push(bound);
    }
}

/// One straight run over the levels of an aft node, all going to one state ahead.
fn relax(cap: f64, rest: f64, table: [&[f64]; 4], slope: &mut [f64], bound: &mut [f64]) {
    let [slopes, thresholds, extras, heights] = table;
    let given = slopes.iter().zip(thresholds).zip(extras).zip(heights);
    for ((((m, threshold), extra), height), (slope, bound)) in
        given.zip(slope.iter_mut().zip(bound))
    {
        let short = threshold - height;
        let violation = if short > 0.0 { short } else { 0.0 } + extra;
        let total = violation + rest;
        let good = violation <= cap;
        *bound = if good & (total < *bound) {
            total
        } else {
            *bound
        };
        *slope = if good & (*m < *slope) { *m } else { *slope };
    }
}

/// A chain as far as one state.
#[derive(Debug, Clone, Copy)]
struct Label {
    /// Slope with which it comes in.
    slope: f64,
    cost: Cost,
    parent: u32,
    node: u32,
    level: u32,
    /// The last post at or before this node; the stern anchor before the first.
    last_post: u32,
}

/// The labels of one layer: for each state a run of the arena, slope falling, cost falling.
struct Layer {
    runs: Vec<(u32, u32)>,
    /// Whether a node has any label.
    alive: Vec<bool>,
}

/// One pass of labels: the best chain with exactly `posts` posts whose measure is at most `limit`.
fn exact(table: &Table, tail: &Tail, posts: usize, limit: f64) -> Option<Found> {
    let mut labels = vec![Label {
        slope: f64::INFINITY,
        cost: 0,
        parent: u32::MAX,
        node: 0,
        level: 0,
        last_post: 0,
    }];
    let mut layers: Vec<Layer> = (0..=posts)
        .map(|_| Layer {
            runs: vec![(0, 0); table.height.len()],
            alive: vec![false; table.nodes.len()],
        })
        .collect();
    layers[0].runs[0] = (0, 1);
    layers[0].alive[0] = true;
    let mut fresh: Vec<Label> = Vec::new();
    for (to, node) in table.nodes.iter().enumerate().skip(1) {
        let counts = match node.kind {
            Kind::Bow => posts..=posts,
            Kind::Post(_) => 1..=posts,
            Kind::Free(_) | Kind::Stern => 0..=posts,
        };
        for count in counts {
            let source = count - usize::from(node.is_post());
            for level in 0..node.count {
                fresh.clear();
                gather(
                    table,
                    tail,
                    limit,
                    posts - count,
                    (to, level),
                    &layers[source],
                    &labels,
                    &mut fresh,
                );
                let start = labels.len() as u32;
                keep_best(&mut fresh, !matches!(node.kind, Kind::Free(_)), table);
                labels.extend_from_slice(&fresh);
                layers[count].runs[node.first + level] = (start, labels.len() as u32);
                layers[count].alive[to] |= !fresh.is_empty();
            }
        }
    }
    let (start, end) = *layers[posts].runs.last()?;
    let mut at = (start..end).min_by_key(|k| (labels[*k as usize].cost, *k))?;
    let cost = labels[at as usize].cost;
    let mut steps = Vec::new();
    while let Some(label) = labels.get(at as usize) {
        steps.push((label.node as usize, label.level as usize));
        at = label.parent;
    }
    steps.reverse();
    Some(Found { cost, steps })
}

/// All ways into one state that can still be completed within the limit.
#[allow(clippy::too_many_arguments)] // The inner loop of the search: one call site, plain parts.
fn gather(
    table: &Table,
    tail: &Tail,
    limit: f64,
    to_come: usize,
    (to, level): (usize, usize),
    source: &Layer,
    labels: &[Label],
    fresh: &mut Vec<Label>,
) {
    let node = &table.nodes[to];
    let state = node.first + level;
    let (on_slope, on_bound) = if node.kind == Kind::Bow {
        (f64::NEG_INFINITY, 0.0)
    } else {
        (tail.slope[to_come][state], tail.bound[to_come][state])
    };
    if !on_bound.is_finite() || on_bound > limit {
        return;
    }
    let slack = table.chord_slack();
    let least = (on_slope - SLOPE_EPS).max(table.in_least[state] - slack);
    let most = table.in_most[state] + slack;
    for &index in &table.into[to] {
        let pair = &table.pairs[index];
        if !source.alive[pair.from] || tail.mode == Mode::Hard && pair.too_long {
            continue;
        }
        let aft = &table.nodes[pair.from];
        // Behind a free support the last post must be looked at too.
        let mixed = matches!(aft.kind, Kind::Free(_));
        let (levels, at) = table.window(pair, level, least, most);
        for (h, at) in levels.zip(at..) {
            let (start, end) = source.runs[aft.first + h];
            if start == end {
                continue;
            }
            let short = table.threshold[at] - table.height_nm[aft.first + h];
            let violation = short.max(0.0) + table.extra[at];
            if violation > tail.cap {
                continue;
            }
            let slope = table.slope[at];
            let step = cost_of_violation(violation) + table.use_cost[state];
            // Labels stand with slope and cost falling: the last one steep enough is cheapest.
            for k in (start..end).rev() {
                let label = &labels[k as usize];
                if label.slope + SLOPE_EPS < slope {
                    continue;
                }
                if mixed && !table.gap_is_enough(label.last_post as usize, to) {
                    continue;
                }
                let cost = label.cost + step;
                if tail.mode.measure(cost) + on_bound <= limit {
                    fresh.push(Label {
                        slope,
                        cost,
                        parent: k,
                        node: to as u32,
                        level: level as u32,
                        last_post: if node.is_post() {
                            to as u32
                        } else {
                            label.last_post
                        },
                    });
                }
                if !mixed {
                    break;
                }
            }
        }
    }
}

/// Drops every label that another beats in slope, cost and, at a free support, in how far
/// back its last post stands.
fn keep_best(labels: &mut Vec<Label>, plain: bool, table: &Table) {
    labels.sort_unstable_by(|a, b| {
        b.slope
            .total_cmp(&a.slope)
            .then(a.cost.cmp(&b.cost))
            .then(a.parent.cmp(&b.parent))
    });
    let mut kept: Vec<Label> = Vec::new();
    labels.retain(|label| {
        let beaten = if plain {
            kept.last().is_some_and(|best| best.cost <= label.cost)
        } else {
            // One whose last post stands further back lets all posts ahead that the other lets.
            // A pinned last post, which pinned posts may come near, is no exception: no chain
            // leaves it out, so none here has its last post further back.
            let back = |label: &Label| table.nodes[label.last_post as usize].station;
            kept.iter()
                .any(|best| best.cost <= label.cost && back(best) <= back(label))
        };
        if !beaten {
            kept.push(*label);
        }
        !beaten
    });
}

/// The best chain with exactly `posts` posts whose measure is at most `limit`, if there is one.
/// The bound at the stern is mostly close, so limits little over it are tried first: they
/// leave few labels, and what is found under any of them is the best there is.
fn exact_within(table: &Table, tail: &Tail, posts: usize, limit: f64) -> Option<Found> {
    let bound = tail.bound[posts][0];
    if !bound.is_finite() || bound > limit {
        return None;
    }
    let mut over = (bound * FIRST_OVER).max(tail.mode.first_over());
    loop {
        // Beyond the largest measure there is, no limit says anything.
        let limit_now = if over > MAX_OVER {
            limit
        } else {
            limit.min(bound + over)
        };
        let found = exact(table, tail, posts, limit_now);
        if found.is_some() || limit_now >= limit {
            return found;
        }
        over *= OVER_GROWS;
    }
}

/// Runs the search: the fewest posts without violation, or the least violation.
pub(super) fn search(table: &Table, most_posts: usize) -> Outcome {
    let least = table.pinned();
    let most = most_posts
        .min(table.nodes.iter().filter(|n| n.is_post()).count())
        .max(least);
    let mut hard = Tail::new(Mode::Hard, 0.0);
    for posts in 0..=most {
        hard.deepen(table);
        if posts < least {
            continue;
        }
        if let Some(best) = exact_within(table, &hard, posts, f64::INFINITY) {
            return Outcome {
                best: Some(best),
                most_tried: posts,
            };
        }
    }
    least_violation(table, least, most)
}

/// No number of posts does without violation: the number that violates least.
fn least_violation(table: &Table, least: usize, most: usize) -> Outcome {
    let mut soft = Tail::new(Mode::Soft, f64::INFINITY);
    for _ in 0..=most {
        soft.deepen(table);
    }
    // The most promising first, so that the others have a limit.
    let mut order: Vec<usize> = (least..=most).collect();
    order.sort_by(|a, b| {
        soft.bound[*a][0]
            .total_cmp(&soft.bound[*b][0])
            .then(a.cmp(b))
    });
    let mut best: Option<(usize, Found)> = None;
    for posts in order {
        let limit = best
            .as_ref()
            .map_or(f64::INFINITY, |(_, found)| violation_of(found.cost));
        if let Some(found) = exact_within(table, &soft, posts, limit)
            && best
                .as_ref()
                .is_none_or(|(most, _)| (violation_of(found.cost), posts) < (limit, *most))
        {
            best = Some((posts, found));
        }
    }
    Outcome {
        best: best.map(|(_, found)| found),
        most_tried: most,
    }
}
