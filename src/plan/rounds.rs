//! Frame and film in turn: the film says what it lacks, the frame is designed anew, until it holds.
//!
//! The film is that over the frame as it may be built, with its caps low: what holds there holds as planned, too.

use super::tolerance::{Deviation, lowered, moved};
use super::{COARSER, mend};
use crate::boat::{Boat, Rules};
use crate::cover::{Cover, Stretcher};
use crate::frame::{Demand, Frame, Ground, HipWish, design};
use crate::hull::Hull;
use std::{iter, slice};

/// The best frame found, and the films over it.
pub(super) struct Mended {
    pub frame: Frame,
    /// The film with all caps low.
    pub low: (Deviation, Cover),
    pub others: Others,
    /// Times that the film was solved.
    pub rounds: usize,
}

/// The films over a frame besides that with low caps.
pub(super) struct Others {
    /// With all posts off their stations.
    pub moved: Vec<(Deviation, Cover)>,
    /// As planned.
    pub planned: Cover,
}

impl Others {
    /// Solves them side by side, each from the film with low caps; `None` where the plan cannot be meshed.
    pub fn of(
        hull: &Hull,
        frame: &Frame,
        rules: &Rules,
        cell: f64,
        low: &Cover,
        stretcher: &mut Stretcher,
    ) -> Option<Others> {
        let (moved, planned) = rayon::join(
            || moved(hull, frame, rules, cell, low),
            || stretcher.stretch(frame, cell),
        );
        let planned = planned?;
        Some(Others { moved, planned })
    }
}

impl Mended {
    /// The films over the frame as it may be built.
    pub fn built(&self) -> impl Iterator<Item = &(Deviation, Cover)> {
        iter::once(&self.low).chain(&self.others.moved)
    }
}

/// A frame that was tried on the fine film.
struct Candidate {
    frame: Frame,
    low: (Deviation, Cover),
    /// Solved where the film with low caps lacks nothing.
    others: Option<Others>,
}

impl Candidate {
    fn penalty(&self, rules: &Rules) -> f64 {
        let moved = self.others.iter().flat_map(|others| &others.moved);
        iter::once(&self.low)
            .chain(moved)
            .map(|(_, cover)| mend::penalty(rules, &self.frame, cover))
            .fold(0.0, f64::max)
    }
}

/// Rounds of frame and film at most: more than the slowest preset but one takes.
const MOST_ROUNDS: usize = 12;

/// Times that posts are moved or added for the film's sake.
const MOST_MOVES: usize = 2;

/// Mends a frame, on a coarser film while much is lacking, then on the fine one. Of the frames that were
/// solved finely the best is taken. `None` where the plan cannot be meshed.
pub(super) fn mend(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    first: &Frame,
    cell: f64,
    stretcher: &mut Stretcher,
) -> Option<Mended> {
    let mut demands: Vec<Demand> = Vec::new();
    let mut hips: Vec<HipWish> = Vec::new();
    let mut best: Option<(f64, Candidate)> = None;
    let mut rounds = 0;
    let mut coarse = true;
    let mut moves = 0;
    let mut frame = first.clone();
    while rounds < MOST_ROUNDS {
        rounds += 1;
        let size = if coarse { COARSER * cell } else { cell };
        let low = lowered(stretcher, &frame, rules, size)?;
        let mut ask = |built: &[(Deviation, Cover)]| {
            built.iter().any(|(_, cover)| {
                mend::wanted(hull, boat, rules, &frame, cover, &mut demands, &mut hips)
            })
        };
        let mut wanted = ask(slice::from_ref(&low));
        if coarse && !wanted {
            coarse = false;
            continue;
        }
        if !coarse {
            let others = if wanted {
                None
            } else {
                let others = Others::of(hull, &frame, rules, cell, &low.1, stretcher)?;
                wanted = ask(&others.moved);
                Some(others)
            };
            let candidate = Candidate {
                frame: frame.clone(),
                low,
                others,
            };
            let penalty = candidate.penalty(rules);
            if best.as_ref().is_none_or(|(least, _)| penalty < *least) {
                best = Some((penalty, candidate));
            }
            if !wanted {
                break;
            }
        }
        let Some(next) = redesign(hull, boat, rules, &mut demands, &hips, &frame, &mut moves)
        else {
            break;
        };
        let asks_too_much = next.shortage.is_some() && frame.shortage.is_none();
        let stuck = asks_too_much || same_shape(&next, &frame);
        if stuck && !coarse {
            break;
        }
        if stuck {
            coarse = false;
        }
        if !asks_too_much {
            frame = next;
        }
    }
    let mut best = match best {
        Some((_, candidate)) => candidate,
        None => Candidate {
            low: lowered(stretcher, &frame, rules, cell)?,
            frame,
            others: None,
        },
    };
    // What the section model wants of slopes is for the film to say: the ridge's own rules are what is left.
    let half_spacing = best.frame.ridges.iter().copied().fold(0.0, f64::max);
    if let Some(ground) = Ground::new(hull, boat, rules, half_spacing)
        && let Some(layout) = ground.layout_of(&best.frame)
    {
        best.frame.shortage = ground.broken(hull, &layout).1;
    }
    let others = match best.others {
        Some(others) => others,
        None => Others::of(hull, &best.frame, rules, cell, &best.low.1, stretcher)?,
    };
    Some(Mended {
        frame: best.frame,
        low: best.low,
        others,
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
