//! Fewest support posts, then least height, for one ridge strap: an exact search.
//!
//! # The model
//!
//! The ridge strap is a polyline over the stations of the boat, from the stern anchor over its
//! supports to the bow anchor. Supports are posts, which cost one post and their height, and
//! free supports, places where the strap may rest on the boat itself. A chain of supports is
//! allowed when
//!
//! * it is **concave**: at each support the strap runs on no steeper than it came (up to
//!   [`SLOPE_EPS`]), so that it pushes down on the cap;
//! * it leaves out no pinned post, and posts keep their least distance.
//!
//! An allowed chain **holds** when each of its segments
//!
//! * is **high enough** at each section on it, its ends included: the chord, less the strap's
//!   sag `4 s u (1 - u)` with `s = pull * span^2 / (8 * tension)` and `u` along the span from 0
//!   to 1, is no lower than `height + across * t` for every point of the section. Here
//!   `t = sqrt(tan(min_slope)^2 - m^2)` (0 where the ridge itself is steeper), `m` the slope of
//!   the segment: film falling straight from the ridge has the minimum slope when the slope
//!   along the ridge is counted in;
//! * is no longer than the span limit;
//! * for twin ridges, is itself as steep as the minimum slope, since the film between them lies
//!   along the ridge.
//!
//! What a segment falls short by is its violation in meters: the worst section, plus
//! [`SPAN_WEIGHT`] times the span over the limit, plus the height by which its middle is too
//! flat. Up to [`VIOLATION_TOL`] counts as none.
//!
//! # What is found
//!
//! For each number of posts, from that of the pinned ones up, the allowed chain that is least in
//! this order: sum of violations, sum of post heights, number of free supports used, sum of the
//! posts' stations (aft first). The first number without violation is the answer, and the
//! best chain with one post less stands beside it with what it violates, and where.
//!
//! # Why it is exact
//!
//! What can follow a support depends on its height and on the slope with which the strap comes
//! in, and a greater incoming slope allows all that a smaller one allows. So for each support,
//! height and number of posts used it is enough to keep the partial chains that no other
//! beats in both incoming slope and cost (behind a free support also in how far back the last post
//! stands). Labels are extended from the stern to the bow, all pairs of supports and heights
//! being looked at; what is skipped is only
//!
//! * what no concave chain can contain: a support of a concave chain lies above the chord from
//!   either anchor to its neighbor, and what comes after needs a least incoming slope, found by
//!   a pass from the bow;
//! * what cannot stay under a limit: the pass from the bow also gives a lower bound of all that is
//!   still to come, concavity left out. A limit under which nothing is found is raised, so in
//!   the end it is never less than the cost of the best chain.
//!
//! Violations are whole nanometers and heights whole micrometers, so comparisons are exact and the
//! same on every machine. A segment's violation depends on the height of its aft end only by a
//! threshold that is a function of the slope, so thresholds are worked out once for each pair
//! of supports and height difference.
//!
//! **The claim**: within this model, its height grid, sites and sections, no chain with fewer posts
//! than the answer's holds, and none with as many that holds is lower in sum. The model is one of
//! straight falls from the ridge; whether the taut film agrees is for others to solve.
//!
//! Where pinned posts leave no concave chain at all, the answer is the strap over the pinned
//! posts alone, at the lowest heights allowed, and says where it lifts.

mod answer;
mod envelope;
mod problem;
mod report;
mod search;
mod table;
#[cfg(test)]
mod tests;

pub use answer::{
    Cause, ChainKind, ChainPoint, ChosenPost, Governs, RidgeAnswer, SegmentReport, Shortfall,
    Status, Tight,
};
pub use problem::{
    Anchor, BadRidge, FINEST_STEP, FreeSupport, LARGEST, MAX_FREE, MAX_POSTS, Pin, PostSite,
    RidgeFault, RidgeProblem, RidgeRules, STATION_EPS, STEEPEST, Section, Touch,
};
pub use table::{SLOPE_EPS, SPAN_WEIGHT, VIOLATION_TOL};

use search::search;
use table::{Table, violation_of};

/// Finds the fewest posts, then the least total height, that carry the ridge; see the module's
/// description for the model and for what is claimed.
///
/// # Units
/// Meters, newtons, radians throughout.
///
/// # Errors
/// [`BadRidge`] where the problem makes no sense, with every fault. A ridge that cannot be
/// carried is no error: its status is [`Status::Short`].
pub fn solve_ridge(problem: &RidgeProblem) -> Result<RidgeAnswer, BadRidge> {
    problem.check()?;
    let table = Table::new(problem);
    let outcome = search(&table, problem.rules.most_posts);
    let tried = table.pinned()..=outcome.most_tried;
    let report = |steps: &[(usize, usize)], holds: bool| {
        let mut answer = report::answer(problem, &table, steps, holds);
        answer.posts_tried = tried.clone();
        answer
    };
    let Some(best) = outcome.best else {
        let last = table.nodes.len() - 1;
        let pinned: Vec<(usize, usize)> = (0..=last)
            .filter(|k| *k == 0 || *k == last || table.nodes[*k].pinned)
            .map(|k| (k, 0))
            .collect();
        return Ok(report(&pinned, false));
    };
    Ok(report(&best.steps, violation_of(best.cost) == 0.0))
}
