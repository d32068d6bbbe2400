//! Frame and film in turn: the film says what it lacks, the frame is designed anew, until it holds.
//!
//! The film is that over the frame as it may be built, with its caps low: what holds there holds as planned, too.

use super::mend;
use super::tolerance::{Deviation, lowered, moved};
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
const MAX_ROUNDS: usize = 12;

/// Times that posts are moved or added for the film's sake.
const MAX_MOVES: usize = 2;

/// Rounds of frame and film over one boat.
pub(super) struct Rounds<'a> {
    hull: &'a Hull,
    boat: &'a Boat,
    rules: &'a Rules,
    /// The frame of the last round.
    pub frame: Frame,
    demands: Vec<Demand>,
    hips: Vec<HipWish>,
    moves: usize,
    /// How many there were.
    pub rounds: usize,
}

impl<'a> Rounds<'a> {
    /// Before the first round.
    pub fn new(hull: &'a Hull, boat: &'a Boat, rules: &'a Rules, first: &Frame) -> Rounds<'a> {
        Rounds {
            hull,
            boat,
            rules,
            frame: first.clone(),
            demands: Vec::new(),
            hips: Vec::new(),
            moves: 0,
            rounds: 0,
        }
    }

    /// Rounds on a coarse film, until it asks for nothing more or for what cannot be had. `None` where the plan cannot be
    /// meshed.
    pub fn roughly(mut self, stretcher: &mut Stretcher, cell: f64) -> Option<Self> {
        while self.rounds < MAX_ROUNDS {
            self.rounds += 1;
            let low = lowered(stretcher, &self.frame, self.rules, cell)?;
            if !(self.wants(slice::from_ref(&low)) && self.goes_on()) {
                break;
            }
        }
        Some(self)
    }

    /// Rounds on the fine film. Of the frames that were solved the best is taken. `None` where the plan cannot be meshed.
    pub fn finely(mut self, stretcher: &mut Stretcher, cell: f64) -> Option<Mended> {
        let (hull, rules) = (self.hull, self.rules);
        let mut best: Option<(f64, Candidate)> = None;
        while best.is_none() || self.rounds < MAX_ROUNDS {
            self.rounds += 1;
            let low = lowered(stretcher, &self.frame, rules, cell)?;
            let mut wanted = self.wants(slice::from_ref(&low));
            let others = if wanted {
                None
            } else {
                let others = Others::of(hull, &self.frame, rules, cell, &low.1, stretcher)?;
                wanted = self.wants(&others.moved);
                Some(others)
            };
            let candidate = Candidate {
                frame: self.frame.clone(),
                low,
                others,
            };
            let penalty = candidate.penalty(rules);
            if best.as_ref().is_none_or(|(least, _)| penalty < *least) {
                best = Some((penalty, candidate));
            }
            if !(wanted && self.goes_on()) {
                break;
            }
        }
        let (_, mut best) = best?;
        // What the section model wants of slopes is for the film to say: the ridge's own rules are what is left.
        let half_spacing = best.frame.ridges.iter().copied().fold(0.0, f64::max);
        if let Some(ground) = Ground::new(hull, self.boat, rules, half_spacing)
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
            rounds: self.rounds,
        })
    }

    /// Whether films over the frame ask for anything; what they ask for is kept.
    fn wants(&mut self, built: &[(Deviation, Cover)]) -> bool {
        built.iter().any(|(_, cover)| {
            let (demands, hips) = (&mut self.demands, &mut self.hips);
            mend::wanted(
                self.hull,
                self.boat,
                self.rules,
                &self.frame,
                cover,
                demands,
                hips,
            )
        })
    }

    /// Designs the frame anew by what was asked for; `false` where that is no other frame, or one that breaks more.
    fn goes_on(&mut self) -> bool {
        let Some(next) = self.redesigned() else {
            return false;
        };
        let asks_too_much = next.shortage.is_some() && self.frame.shortage.is_none();
        if asks_too_much || same_shape(&next, &self.frame) {
            return false;
        }
        self.frame = next;
        true
    }

    /// The frame under the film's demands: first with the posts where they are, raised; where that does not do,
    /// with posts moved or added, a few times at most; then without the demands that cannot be met.
    fn redesigned(&mut self) -> Option<Frame> {
        let design = |demands: &[Demand], near: Option<&Frame>| {
            design(self.hull, self.boat, self.rules, demands, &self.hips, near).ok()
        };
        let raised = design(&self.demands, Some(&self.frame));
        let holds = |frame: &Option<Frame>| frame.as_ref().is_some_and(|f| f.shortage.is_none());
        if holds(&raised) || self.moves >= MAX_MOVES {
            return raised;
        }
        self.moves += 1;
        let moved = design(&self.demands, None);
        if holds(&moved) {
            return moved;
        }
        // What cannot be had is given up, so that the rest is still mended.
        if let Some(shortage) = raised.as_ref().and_then(|raised| raised.shortage.as_ref()) {
            let [from, to] = shortage.stretch;
            self.demands
                .retain(|demand| demand.station < from || demand.station > to);
        }
        design(&self.demands, Some(&self.frame))
    }
}

/// Whether two frames would give the same film.
pub(super) fn same_shape(a: &Frame, b: &Frame) -> bool {
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
