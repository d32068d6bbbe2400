//! The pipeline: boat to hull to frame to cover, and the [`Plan`] that everything downstream reads.

mod mend;
mod shortfall;

pub use shortfall::Shortfall;

use crate::boat::{Boat, Problem, Rules};
use crate::cover::{Cover, stretch};
use crate::frame::{Demand, Frame, HipWish, Reason, design};
use crate::hull::Hull;
use crate::takeoff::{Takeoff, take_off};

/// A boat's whole plan.
#[derive(Debug, Clone)]
pub struct Plan {
    /// The boat as it was read.
    pub boat: Boat,
    /// The rules that it was planned by.
    pub rules: Rules,
    /// Hull, edge line, things above the deck.
    pub hull: Hull,
    /// Posts and straps.
    pub frame: Frame,
    /// The taut film over them.
    pub cover: Cover,
    /// What one post less would do.
    pub fewer: FewerPosts,
    /// Lengths to cut.
    pub takeoff: Takeoff,
    /// What is wrong with the cover; empty where it sheds.
    pub shortfalls: Vec<Shortfall>,
    /// Times that the frame was designed and the film solved over it.
    pub rounds: usize,
}

/// What one post less would do, as it was solved.
#[derive(Debug, Clone, PartialEq)]
pub struct FewerPosts {
    /// Whether one post less would also do. `false` is proved within the section model.
    pub possible: bool,
    /// Number of posts tried.
    pub posts: usize,
    /// The stretch of the boat that forbids it, stations, m.
    pub stretch: [f64; 2],
    /// Why it does not do; `None` where no post is needed at all, or none can be left out.
    pub cause: Option<Reason>,
    /// Area that the film over the best frame with one post less would hold, m2.
    pub holding_area: Option<f64>,
}

impl Plan {
    /// Whether the cover sheds everywhere.
    pub fn sheds(&self) -> bool {
        self.shortfalls.is_empty()
    }
}

/// Rounds of frame and film at most: more than the slowest preset takes twice over.
const MOST_ROUNDS: usize = 12;

/// While the frame is still being mended, the film is solved this much coarser.
const COARSER: f64 = 2.0;

/// Most nodes, roughly, that a film is meshed with; a larger boat gets larger cells. Keeps memory bounded.
const MOST_NODES: f64 = 60_000.0;

/// Plans a boat.
///
/// # Errors
/// What is impossible about its hull, each with the field of the boat file.
pub fn plan(boat: &Boat, rules: &Rules) -> Result<Plan, Vec<Problem>> {
    let hull = Hull::build(boat)?;
    let cell = rules.cell.max((hull.edge.plan_area() / MOST_NODES).sqrt());
    let impossible = |what: String| {
        vec![Problem {
            path: String::new(),
            place: None,
            what,
            hint: "check length, beam, boxes and the spacing of twin ridges".to_owned(),
        }]
    };
    let no_mesh = || impossible("the plan of this boat cannot be meshed".to_owned());
    let mut demands: Vec<Demand> = Vec::new();
    let mut hips: Vec<HipWish> = Vec::new();
    let mut best: Option<(f64, Frame, Cover)> = None;
    let mut rounds = 0;
    let mut coarse = true;
    let mut moves = 0;
    let first = design(&hull, boat, rules, &demands, &hips, None).map_err(impossible)?;
    let mut frame = first.clone();
    while rounds < MOST_ROUNDS {
        rounds += 1;
        let size = if coarse { COARSER * cell } else { cell };
        let cover = stretch(&hull, &frame, rules, size).ok_or_else(no_mesh)?;
        let wanted = mend::wanted(&hull, boat, rules, &frame, &cover, &mut demands, &mut hips);
        if coarse {
            if !wanted {
                coarse = false;
                continue;
            }
        } else {
            let badness = mend::badness(rules, &frame, &cover);
            if best.as_ref().is_none_or(|(least, _, _)| badness < *least) {
                best = Some((badness, frame.clone(), cover));
            }
            if !wanted {
                break;
            }
        }
        let Some(next) = redesign(&hull, boat, rules, &mut demands, &hips, &frame, &mut moves)
        else {
            break;
        };
        let asks_too_much = next.shortage.is_some() && frame.shortage.is_none();
        if asks_too_much || same_shape(&next, &frame) {
            if !coarse {
                break;
            }
            coarse = false;
            if asks_too_much {
                continue;
            }
        }
        frame = next;
    }
    let (_, frame, cover) = match best {
        Some(best) => best,
        None => {
            let cover = stretch(&hull, &frame, rules, cell).ok_or_else(no_mesh)?;
            (0.0, frame, cover)
        }
    };
    let fewer = fewer_posts(&hull, rules, &first, &frame, cell);
    let shortfalls = shortfall::shortfalls(&hull, boat, rules, &frame, &cover);
    let takeoff = take_off(&hull, boat, rules, &frame, &cover);
    Ok(Plan {
        boat: boat.clone(),
        rules: rules.clone(),
        hull,
        frame,
        cover,
        fewer,
        takeoff,
        shortfalls,
        rounds,
    })
}

/// The frame under the film's demands: first with the posts where they are, raised; where that does not do,
/// with posts moved or added, a few times at most; then without the demands that cannot be met.
fn redesign(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    demands: &mut Vec<Demand>,
    hips: &[HipWish],
    frame: &Frame,
    moves: &mut usize,
) -> Option<Frame> {
    let raised = design(hull, boat, rules, demands, hips, Some(frame)).ok();
    if raised
        .as_ref()
        .is_some_and(|raised| raised.shortage.is_none())
        || *moves >= MOST_MOVES
    {
        return raised;
    }
    *moves += 1;
    let moved = design(hull, boat, rules, demands, hips, None).ok();
    if moved.as_ref().is_some_and(|moved| moved.shortage.is_none()) {
        return moved;
    }
    // What cannot be had is given up, so that the rest is still mended.
    if let Some(shortage) = raised.as_ref().and_then(|raised| raised.shortage.as_ref()) {
        let [from, to] = shortage.stretch;
        demands.retain(|demand| demand.station < from || demand.station > to);
    }
    design(hull, boat, rules, demands, hips, Some(frame)).ok()
}

/// Times that posts are moved or added for the film's sake.
const MOST_MOVES: usize = 2;

/// Whether two frames would give the same film.
fn same_shape(a: &Frame, b: &Frame) -> bool {
    let posts = |frame: &Frame| -> Vec<_> {
        frame
            .posts
            .iter()
            .map(|post| (post.station, post.offset, post.cap))
            .collect()
    };
    let straps = |frame: &Frame| -> Vec<_> {
        frame
            .straps
            .iter()
            .map(|strap| strap.plan.clone())
            .collect()
    };
    posts(a) == posts(b) && straps(a) == straps(b)
}

/// Solves the film over the best frame with one post less. Where the film asked for more posts than the
/// section model did, that is the section model's own frame.
fn fewer_posts(hull: &Hull, rules: &Rules, first: &Frame, last: &Frame, cell: f64) -> FewerPosts {
    let holding = |frame: &Frame| {
        stretch(hull, frame, rules, COARSER * cell).map(|cover| {
            (
                cover.holding_area(),
                cover.patches.first().map(|p| p.centroid.x),
            )
        })
    };
    if last.posts.len() > first.posts.len() {
        let (area, at) = holding(first).unwrap_or((0.0, None));
        let at = at.unwrap_or(0.0);
        return FewerPosts {
            possible: false,
            posts: first.posts.len(),
            stretch: stretch_about(first, at),
            cause: Some(Reason::Holds { area }),
            holding_area: Some(area),
        };
    }
    match &first.fewer {
        Some(fewer) => FewerPosts {
            possible: false,
            posts: fewer.frame.posts.len(),
            stretch: fewer.stretch,
            cause: Some(fewer.cause.clone()),
            holding_area: holding(&fewer.frame).map(|(area, _)| area),
        },
        None => FewerPosts {
            possible: false,
            posts: last.posts.len(),
            stretch: hull.edge.ends(),
            cause: None,
            holding_area: None,
        },
    }
}

/// The span of the ridge that a station lies in.
fn stretch_about(frame: &Frame, station: f64) -> [f64; 2] {
    let mut stretch = [f64::NEG_INFINITY, f64::INFINITY];
    for (x, _) in &frame.profile {
        if *x <= station {
            stretch[0] = stretch[0].max(*x);
        }
        if *x > station {
            stretch[1] = stretch[1].min(*x);
        }
    }
    stretch
}
