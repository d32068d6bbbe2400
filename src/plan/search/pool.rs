//! Frames that were tried, what they are worth, and which is looked at next.

use super::{REACH, TINY};
use crate::cover::Cover;
use crate::frame::{Frame, Layout};
use crate::plan::tolerance::Deviation;
use std::cmp::Ordering;

/// Frames about which single changes are tried.
const EXPANSIONS: usize = 3;

/// A frame with another number of posts that costs no more than this part more may yet become the cheapest.
const RIVAL: f64 = 0.03;

/// A frame that was tried on a film.
#[derive(Clone)]
pub struct Tried {
    pub ground: usize,
    pub layout: Layout,
    pub frame: Frame,
    pub low: (Deviation, Cover),
    pub worth: Worth,
}

/// What a frame is worth: less is better, the first that differs decides.
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
    pub fn order(&self, other: &Worth) -> Ordering {
        self.lacking
            .total_cmp(&other.lacking)
            .then(self.beyond_reach.cmp(&other.beyond_reach))
            .then(self.cost.total_cmp(&other.cost))
    }
}

/// Posts higher than a hand reaches.
pub(super) fn beyond_reach(frame: &Frame) -> usize {
    let high = |post: &&crate::frame::Post| post.cap - post.base > REACH + TINY;
    frame.posts.iter().filter(high).count()
}

/// The best frame of each number of posts, and whether the changes about it were tried.
#[derive(Default)]
pub(super) struct Pool {
    frames: Vec<(Tried, bool)>,
    expanded: usize,
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

    pub fn best(&self) -> Option<&Tried> {
        self.best_under(usize::MAX)
    }

    /// The best frame with fewer posts than so many.
    pub fn best_under(&self, posts: usize) -> Option<&Tried> {
        let frames = self.frames.iter().map(|(tried, _)| tried);
        frames
            .filter(|tried| tried.layout.posts.len() < posts)
            .min_by(|a, b| a.worth.order(&b.worth))
    }

    /// The next frame about which changes are tried: the best, then what comes near it with more or fewer posts.
    pub fn next(&mut self) -> Option<Tried> {
        let best = self.best()?.worth;
        let near = |tried: &Tried| {
            tried.worth.order(&best) != Ordering::Greater
                || (tried.worth.lacking <= best.lacking
                    && tried.worth.beyond_reach <= best.beyond_reach
                    && tried.worth.cost <= best.cost * (1.0 + RIVAL))
        };
        if self.expanded == EXPANSIONS {
            return None;
        }
        let open = self
            .frames
            .iter_mut()
            .filter(|(tried, done)| !done && near(tried));
        let next = open.min_by(|(a, _), (b, _)| a.worth.order(&b.worth))?;
        next.1 = true;
        self.expanded += 1;
        Some(next.0.clone())
    }
}
