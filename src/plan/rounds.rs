//! Frame and film in turn: the film says what it lacks, the frame is designed anew, until it holds.
//!
//! The film is that over the frame as it may be built, with its caps low: what holds there holds as planned, too.

use super::tolerance::{Deviation, as_built, lowered, moved};
use super::{COARSER, mend};
use crate::boat::{Boat, Rules};
use crate::cover::Cover;
use crate::frame::{Demand, Frame, HipWish, design};
use crate::hull::Hull;

/// The best frame found, and the films over it as it may be built.
pub(super) struct Mended {
    pub frame: Frame,
    pub built: Vec<(Deviation, Cover)>,
    /// Times that the film was solved.
    pub rounds: usize,
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
) -> Option<Mended> {
    let mut demands: Vec<Demand> = Vec::new();
    let mut hips: Vec<HipWish> = Vec::new();
    let mut best: Option<(f64, Mended)> = None;
    let mut rounds = 0;
    let mut coarse = true;
    let mut moves = 0;
    let mut frame = first.clone();
    while rounds < MOST_ROUNDS {
        rounds += 1;
        let size = if coarse { COARSER * cell } else { cell };
        let mut built = vec![lowered(hull, &frame, rules, size)?];
        let mut ask = |frame: &Frame, built: &[(Deviation, Cover)]| {
            built.iter().any(|(_, cover)| {
                mend::wanted(hull, boat, rules, frame, cover, &mut demands, &mut hips)
            })
        };
        let mut wanted = ask(&frame, &built);
        if coarse && !wanted {
            coarse = false;
            continue;
        }
        if !coarse {
            if !wanted {
                built.extend(moved(hull, &frame, rules, cell));
                wanted = ask(&frame, &built[1..]);
            }
            let penalty = built
                .iter()
                .map(|(_, cover)| mend::penalty(rules, &frame, cover))
                .fold(0.0, f64::max);
            if best.as_ref().is_none_or(|(least, _)| penalty < *least) {
                let frame = frame.clone();
                let mended = Mended {
                    frame,
                    built,
                    rounds,
                };
                best = Some((penalty, mended));
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
    let (frame, built) = match best {
        Some((
            _,
            Mended {
                frame, mut built, ..
            },
        )) => {
            if built.len() == 1 {
                built.extend(moved(hull, &frame, rules, cell));
            }
            (frame, built)
        }
        None => {
            let built = as_built(hull, &frame, rules, cell)?;
            (frame, built)
        }
    };
    Some(Mended {
        frame,
        built,
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
