//! Frames that were tried, what they are worth, and which is looked at next.

use super::{REACH, TINY};
use crate::cover::Cover;
use crate::frame::{Frame, Layout};
use crate::plan::tolerance::Deviation;
use std::cmp::Ordering;

/// Frames about which single changes are tried while none sheds within reach, and again since.
const EXPANSIONS: usize = 2;

/// A frame with another number of posts that costs no more than this part more may yet become the cheapest.
const RIVAL: f64 = 0.02;

/// A frame that was tried on a film.
#[derive(Clone)]
pub struct Tried {
    pub ground: usize,
    pub layout: Layout,
    pub frame: Frame,
    pub low: (Deviation, Cover),
    pub worth: Worth,
}

/// What a frame is worth: less is better. What sheds comes first, then what is within reach, then what is cheaper; of what
/// does not shed what is nearest to that.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worth {
    /// Flat film too much, hollows, broken rules, m2.
    pub lacking: f64,
    /// Posts higher than a hand reaches.
    pub beyond_reach: usize,
    /// In the money of the price book.
    pub cost: f64,
}

impl Worth {
    /// Of a frame that nobody weighed.
    pub const UNKNOWN: Worth = Worth {
        lacking: f64::INFINITY,
        beyond_reach: usize::MAX,
        cost: f64::INFINITY,
    };

    /// How far a frame is from shedding within reach, m2.
    fn distance(&self) -> f64 {
        self.lacking + OUT_OF_REACH * self.beyond_reach as f64
    }

    pub fn order(&self, other: &Worth) -> Ordering {
        let sheds = |worth: &Worth| worth.lacking <= 0.0;
        match (sheds(self), sheds(other)) {
            (true, false) => Ordering::Less,
            (false, true) => Ordering::Greater,
            (false, false) => self.distance().total_cmp(&other.distance()),
            (true, true) => self.beyond_reach.cmp(&other.beyond_reach),
        }
        .then(self.cost.total_cmp(&other.cost))
    }
}

/// A post out of reach is as far from a good frame as so much flat film, m2.
const OUT_OF_REACH: f64 = 0.5;

/// Posts higher than a hand reaches.
pub(super) fn beyond_reach(frame: &Frame) -> usize {
    let high = |post: &&crate::frame::Post| post.cap - post.base > REACH + TINY;
    frame.posts.iter().filter(high).count()
}

/// The best frame of each number of posts, and whether the changes about it were tried.
#[derive(Default)]
pub(super) struct Pool {
    frames: Vec<(Tried, bool)>,
    /// How often changes were tried: while no frame shed within reach, and since.
    expanded: [usize; 2],
}

impl Pool {
    /// Keeps a frame where it is the best of its number of posts.
    pub fn put(&mut self, tried: Tried) {
        let count = tried.layout.posts.len();
        let same = |(other, _): &&mut (Tried, bool)| other.layout.posts.len() == count;
        match self.frames.iter_mut().find(same) {
            Some(other) if tried.worth.order(&other.0.worth) == Ordering::Less => {
                *other = (tried, false);
            }
            Some(_) => {}
            None => self.frames.push((tried, false)),
        }
    }

    fn best(&self) -> Option<&Tried> {
        self.by_worth().into_iter().next()
    }

    /// All frames, the best first.
    pub fn by_worth(&self) -> Vec<&Tried> {
        let mut frames: Vec<&Tried> = self.frames.iter().map(|(tried, _)| tried).collect();
        frames.sort_by(|a, b| a.worth.order(&b.worth));
        frames
    }

    /// The best frame with fewer posts than so many.
    pub fn best_under(&self, posts: usize) -> Option<&Tried> {
        let fewer = |tried: &&Tried| tried.layout.posts.len() < posts;
        self.by_worth().into_iter().find(fewer)
    }

    /// The next frame about which changes are tried: the best, then what comes near it with more or fewer posts.
    pub fn next(&mut self) -> Option<Tried> {
        let best = self.best()?.worth;
        let good = best.lacking <= 0.0 && best.beyond_reach == 0;
        let near = |tried: &Tried| {
            !good
                || tried.worth.order(&best) != Ordering::Greater
                || (tried.worth.lacking <= best.lacking
                    && tried.worth.beyond_reach <= best.beyond_reach
                    && tried.worth.cost <= best.cost * (1.0 + RIVAL))
        };
        let expanded = &mut self.expanded[usize::from(good)];
        if *expanded == EXPANSIONS {
            return None;
        }
        let open = self
            .frames
            .iter_mut()
            .filter(|(tried, done)| !done && near(tried));
        let next = open.min_by(|(Tried { worth: a, .. }, _), (Tried { worth: b, .. }, _)| {
            a.distance().total_cmp(&b.distance()).then(a.order(b))
        })?;
        next.1 = true;
        *expanded += 1;
        Some(next.0.clone())
    }
}
