//! What one post less would do: the proof of the section model, and the film solved over it.

use super::COARSER;
use crate::boat::{Boat, FrameWishes, Rules};
use crate::cover::{Cover, stretch};
use crate::frame::{Frame, Reason, design};
use crate::hull::Hull;

/// What one post less would do, as it was solved.
#[derive(Debug, Clone, PartialEq)]
pub struct FewerPosts {
    /// Whether fewer posts would also do, by the section model and by the film over them. Only with pinned
    /// posts can that be; else the search has proved within its model that they would not.
    pub possible: bool,
    /// Number of posts tried.
    pub posts: usize,
    /// The stretch of the boat that forbids it, stations, m.
    pub stretch: [f64; 2],
    /// Why it does not do; `None` where it does, or where no post can be left out.
    pub cause: Option<Reason>,
    /// Area that the film over the best frame with so many posts would hold, m2.
    pub holding_area: Option<f64>,
}

/// Solves the film over the best frame with one post less than the section model needs. Where all posts are
/// pinned, over the frame that the search would choose freely.
pub(super) fn one_post_less(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    first: &Frame,
    cell: f64,
) -> FewerPosts {
    let solve = |frame: &Frame| stretch(hull, frame, rules, COARSER * cell);
    if let Some(fewer) = &first.fewer {
        return FewerPosts {
            possible: false,
            posts: fewer.frame.posts.len(),
            stretch: fewer.stretch,
            cause: Some(fewer.cause.clone()),
            holding_area: solve(&fewer.frame).map(|cover| cover.holding_area()),
        };
    }
    let whole = FewerPosts {
        possible: false,
        posts: first.posts.len(),
        stretch: hull.edge.ends(),
        cause: None,
        holding_area: None,
    };
    if boat.wishes.posts.is_empty() {
        return whole;
    }
    let mut unpinned = boat.clone();
    unpinned.wishes = FrameWishes {
        ridge: boat.wishes.ridge,
        ..FrameWishes::default()
    };
    let Ok(free) = design(hull, &unpinned, rules, &[], &[], None) else {
        return whole;
    };
    if free.posts.len() >= first.posts.len() {
        return FewerPosts {
            posts: free.posts.len(),
            ..whole
        };
    }
    let cover = solve(&free);
    let holds =
        |cover: &Cover| cover.holding_over(rules.holding_patch) == 0.0 && cover.ponds.is_empty();
    let area = cover.as_ref().map(Cover::holding_area);
    let possible = free.shortage.is_none() && cover.as_ref().is_some_and(holds);
    FewerPosts {
        possible,
        posts: free.posts.len(),
        cause: area
            .filter(|_| !possible)
            .map(|area| Reason::Holds { area }),
        holding_area: area,
        ..whole
    }
}

/// Where the film asked for more posts than the section model: the film over the section model's own frame.
pub(super) fn section_model_alone(
    hull: &Hull,
    rules: &Rules,
    first: &Frame,
    cell: f64,
) -> FewerPosts {
    let cover = stretch(hull, first, rules, COARSER * cell);
    let area = cover.as_ref().map_or(0.0, Cover::holding_area);
    let at = cover
        .and_then(|cover| Some(cover.patches.first()?.centroid.x))
        .unwrap_or(0.0);
    FewerPosts {
        possible: false,
        posts: first.posts.len(),
        stretch: stretch_about(first, at),
        cause: Some(Reason::Holds { area }),
        holding_area: Some(area),
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
