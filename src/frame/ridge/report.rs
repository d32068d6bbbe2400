//! Turns a chain into an answer with reasons. Everything is worked out afresh from the
//! problem, not from the tables of the search, so that a slip in those would show.

use super::answer::{
    Cause, ChainKind, ChainPoint, ChosenPost, Governs, RidgeAnswer, SegmentReport, Shortfall,
    Status, Tight,
};
use super::envelope::{Envelope, athwart};
use super::problem::{Pin, PostSite, RidgeProblem, STATION_EPS};
use super::table::{
    Kind, SLOPE_EPS, SPAN_WEIGHT, Table, VIOLATION_TOL, flat_shortfall, sag_at, span_excess,
};

/// A point of the strap: station and height.
type Held = (f64, f64);

/// What a violation counts for: whole nanometers over the tolerance, as in the search.
fn counted(violation: f64) -> f64 {
    ((violation / VIOLATION_TOL).round() - 1.0).max(0.0) * VIOLATION_TOL
}

/// What being `start` too low at height `height` counts for, rounded as in the search.
fn counted_low(start: f64, height: f64) -> f64 {
    let whole = |v: f64| (v / VIOLATION_TOL).round();
    (whole(start) - 1.0 - whole(height)).max(0.0) * VIOLATION_TOL
}

/// What the tightest section of a segment starting at height `height` falls short by.
fn low_by(tightest: Option<Tight>, height: f64) -> f64 {
    tightest.map_or(0.0, |tight| counted_low(height - tight.margin, height))
}

/// What one section says of the segment from `a` to `b`.
fn tight(
    problem: &RidgeProblem,
    table: &Table,
    (a, b): (Held, Held),
    section: &Envelope,
) -> Option<Tight> {
    let rules = &problem.rules;
    let (length, ahead) = (b.0 - a.0, section.station - a.0);
    if ahead < -STATION_EPS || ahead > length + STATION_EPS {
        return None;
    }
    let slope = (b.1 - a.1) / length;
    let (need, thing) = section.need(athwart(table.tan_min, slope))?;
    let chord = a.1 + slope * ahead;
    let sag = sag_at(rules.pull, rules.tension, length, ahead);
    Some(Tight {
        station: section.station,
        need,
        chord,
        sag,
        thing,
        margin: chord - sag - need,
    })
}

/// Works out one segment.
fn segment(problem: &RidgeProblem, table: &Table, a: Held, b: Held) -> SegmentReport {
    let rules = &problem.rules;
    let length = b.0 - a.0;
    let slope = (b.1 - a.1) / length;
    let tightest = table
        .envelopes
        .iter()
        .filter_map(|section| tight(problem, table, (a, b), section))
        .min_by(|one, other| one.margin.total_cmp(&other.margin));
    let span_excess_m = counted(span_excess(length, rules.max_span));
    let flat_m = if rules.twin {
        counted(flat_shortfall(table.tan_min, slope, length))
    } else {
        0.0
    };
    let low = low_by(tightest, a.1);
    SegmentReport {
        from: 0,
        to: 0,
        slope,
        violation_m: low + span_excess_m * SPAN_WEIGHT + flat_m,
        span_excess_m,
        flat_m,
        tightest,
    }
}

/// The answer for one chain of node and level, of which the search says whether it holds.
pub(super) fn answer(
    problem: &RidgeProblem,
    table: &Table,
    steps: &[(usize, usize)],
    holds: bool,
) -> RidgeAnswer {
    let held: Vec<Held> = steps
        .iter()
        .map(|(node, level)| {
            let node = &table.nodes[*node];
            (node.station, table.height[node.first + level])
        })
        .collect();
    let mut posts = Vec::new();
    let mut chain = Vec::new();
    for (k, ((node, _), (station, height))) in steps.iter().zip(&held).enumerate() {
        let kind = match table.nodes[*node].kind {
            Kind::Stern => ChainKind::SternAnchor,
            Kind::Bow => ChainKind::BowAnchor,
            Kind::Free(index) => ChainKind::Free(index),
            Kind::Post(index) => {
                let site = &problem.sites[index];
                posts.push(ChosenPost {
                    site: index,
                    footing: site.footing,
                    station: *station,
                    base: site.base,
                    cap: *height,
                    governs: governs(problem, table, site, [held[k - 1], held[k], held[k + 1]]),
                });
                ChainKind::Post(posts.len() - 1)
            }
        };
        chain.push(ChainPoint {
            station: *station,
            height: *height,
            kind,
        });
    }
    let segments: Vec<SegmentReport> = held
        .windows(2)
        .enumerate()
        .map(|(k, ends)| SegmentReport {
            from: k,
            to: k + 1,
            ..segment(problem, table, ends[0], ends[1])
        })
        .collect();
    let violation_m: f64 = segments.iter().map(|s| s.violation_m).sum();
    let worst = segments.iter().max_by(|a, b| worse(a, b));
    let shortfall = match (holds, worst_lift(&held), worst) {
        (false, Some(lift), _) => Some(lift),
        (false, None, Some(worst)) => Some(shortfall(problem, table, steps, &held, worst)),
        _ => None,
    };
    RidgeAnswer {
        status: if holds { Status::Holds } else { Status::Short },
        post_height_m: posts.iter().map(|p| p.cap - p.base).sum(),
        posts,
        chain,
        segments,
        violation_m,
        shortfall,
        posts_tried: 0..=0,
    }
}

/// By violation; of two as bad the one further aft counts as worse.
fn worse(a: &SegmentReport, b: &SegmentReport) -> std::cmp::Ordering {
    a.violation_m
        .total_cmp(&b.violation_m)
        .then(b.from.cmp(&a.from))
}

/// What decides the height of the middle one of three supports.
fn governs(
    problem: &RidgeProblem,
    table: &Table,
    site: &PostSite,
    [aft, cap, fore]: [Held; 3],
) -> Governs {
    if matches!(site.pinned, Some(Pin::Height(_))) {
        return Governs::Pinned;
    }
    let step = problem.rules.height_step;
    if cap.1 < (site.lowest as f64 + 0.5) * step {
        return Governs::LowestAllowed;
    }
    let lower = (cap.0, cap.1 - step);
    let mut low: Option<(f64, Tight)> = None;
    let mut flat: Option<(f64, Governs)> = None;
    for (is, would, ends) in [
        ((aft, cap), (aft, lower), (aft.0, cap.0)),
        ((cap, fore), (lower, fore), (cap.0, fore.0)),
    ] {
        let now = segment(problem, table, is.0, is.1);
        let then = segment(problem, table, would.0, would.1);
        let loss = low_by(then.tightest, would.0.1) - low_by(now.tightest, is.0.1);
        if let Some(worst) = then.tightest
            && loss > 0.0
            && low.is_none_or(|(most, _)| loss > most)
        {
            // The place that would fall short, with the numbers of the ridge as it is.
            low = table
                .envelopes
                .iter()
                .filter(|section| section.station == worst.station)
                .find_map(|section| tight(problem, table, is, section))
                .map(|tight| (loss, tight));
        }
        let loss = then.flat_m - now.flat_m;
        if loss > 0.0 && flat.is_none_or(|(most, _)| loss > most) {
            let (from, to) = ends;
            flat = Some((loss, Governs::Flat { from, to }));
        }
    }
    match (low, flat) {
        (Some((low, tight)), flat) if flat.is_none_or(|(f, _)| low >= f) => Governs::Need(tight),
        (_, Some((_, flat))) => flat,
        // Nothing falls short: then only the strap's bearing keeps the cap up.
        _ => Governs::Bearing {
            aft: aft.0,
            fore: fore.0,
        },
    }
}

/// The support from which the strap lifts most, if it lifts from any.
fn worst_lift(held: &[Held]) -> Option<Shortfall> {
    let mut worst: Option<Shortfall> = None;
    for three in held.windows(3) {
        let [a, b, c] = [three[0], three[1], three[2]];
        let before = (b.1 - a.1) / (b.0 - a.0);
        let after = (c.1 - b.1) / (c.0 - b.0);
        let by = a.1 + (c.1 - a.1) * (b.0 - a.0) / (c.0 - a.0) - b.1;
        if after > before + SLOPE_EPS && worst.is_none_or(|w| by > w.violation_m) {
            worst = Some(Shortfall {
                from: a.0,
                to: c.0,
                violation_m: by,
                cause: Cause::Lift { station: b.0, by },
            });
        }
    }
    worst
}

/// Why the worst segment falls short.
fn shortfall(
    problem: &RidgeProblem,
    table: &Table,
    steps: &[(usize, usize)],
    held: &[Held],
    worst: &SegmentReport,
) -> Shortfall {
    let rules = &problem.rules;
    let (from, to) = (held[worst.from], held[worst.to]);
    let ends = [steps[worst.from], steps[worst.to]];
    let inside: Vec<usize> = (ends[0].0 + 1..ends[1].0)
        .filter(|k| {
            let station = table.nodes[*k].station;
            table.nodes[*k].is_post()
                && station > from.0 + STATION_EPS
                && station < to.0 - STATION_EPS
                && table.gap_is_enough(ends[0].0, *k)
                && table.gap_is_enough(*k, ends[1].0)
        })
        .collect();
    let at_top = ends
        .iter()
        .all(|(node, level)| level + 1 == table.nodes[*node].count);
    let low = low_by(worst.tightest, from.1);
    let span_by = worst.span_excess_m * SPAN_WEIGHT;
    let by_need = worst
        .tightest
        .filter(|_| low >= span_by && low >= worst.flat_m);
    let cause = if let Some(tight) = by_need {
        let highest = inside
            .iter()
            .chain(ends.iter().map(|(node, _)| node))
            .map(|k| table.height[table.nodes[*k].first + table.nodes[*k].count - 1])
            .fold(f64::NEG_INFINITY, f64::max);
        if highest < tight.need - VIOLATION_TOL {
            Cause::TooHigh {
                thing: tight.thing,
                station: tight.station,
                need: tight.need,
                highest,
            }
        } else if inside.is_empty() && at_top {
            Cause::NoFooting {
                short_by: worst.violation_m,
            }
        } else {
            Cause::Need {
                thing: tight.thing,
                station: tight.station,
                short_by: low,
            }
        }
    } else if worst.flat_m > span_by {
        Cause::Flat {
            slope: worst.slope,
            least: table.tan_min,
        }
    } else if inside.is_empty() {
        Cause::NoFooting {
            short_by: worst.violation_m,
        }
    } else {
        Cause::Span {
            span: to.0 - from.0,
            limit: rules.max_span,
        }
    };
    Shortfall {
        from: from.0,
        to: to.0,
        violation_m: worst.violation_m,
        cause,
    }
}
