//! What fewer posts would do: what the spans prove, and what was tried on the film.

use super::rounds::Rounds;
use super::search::Tried;
use super::tolerance::{lowered, moved};
use super::{COARSER, Shortfall, shortfall, tolerance};
use crate::boat::{Boat, FrameWishes, Rules};
use crate::cover::{Cover, Stretcher};
use crate::frame::{Frame, Reason, design};
use crate::hull::Hull;
use rayon::prelude::*;
use serde::Serialize;

/// What a claim about fewer posts rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// Proved: no frame with so few posts keeps its spans within the limit.
    Spans,
    /// Tried on the film over one frame with so few posts, or some: others were not tried.
    TriedOnFilm,
    /// Neither proved nor tried.
    NotTried,
}

/// What speaks against a frame with fewer posts that sheds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Against {
    /// One of its posts stands so high over its footing, m: more than a hand reaches.
    BeyondReach(f64),
    /// It is no cheaper.
    NoCheaper,
}

/// What fewer posts would do, as it was proved or tried.
#[derive(Debug, Clone, PartialEq)]
pub struct FewerPosts {
    /// A frame with fewer posts sheds too: planned, with the film solved over it as finely as the plan's own.
    pub possible: bool,
    /// Why it is not the plan's own frame all the same.
    pub against: Option<Against>,
    /// Number of posts of the frame that is spoken of.
    pub posts: usize,
    /// The posts that it lacks, where one pin was left out and the others stayed.
    pub without: Vec<String>,
    /// What is claimed rests on this.
    pub basis: Basis,
    /// The stretch of the boat that forbids it, stations, m.
    pub stretch: [f64; 2],
    /// Why it does not do; `None` where it does, or where no frame with fewer posts was found.
    pub cause: Option<Reason>,
    /// What else is wrong with the frame that was tried, where its film holds no more snow than is tolerated.
    pub shortfall: Option<Shortfall>,
    /// Area that the film over that frame would hold, m2.
    pub holding_area: Option<f64>,
}

impl FewerPosts {
    /// Nothing is claimed.
    pub(super) fn not_tried(hull: &Hull, frame: &Frame) -> FewerPosts {
        FewerPosts {
            possible: false,
            against: None,
            posts: frame.posts.len(),
            without: Vec::new(),
            basis: Basis::NotTried,
            stretch: hull.edge.ends(),
            cause: None,
            shortfall: None,
            holding_area: None,
        }
    }

    /// What a search says of its best frame with fewer posts than the one that it chose.
    pub(super) fn of_search(hull: &Hull, next: &Tried, proved: bool, chosen: &Frame) -> FewerPosts {
        let (frame, cover) = (&next.frame, &next.low.1);
        let sheds = next.worth.lacking <= 0.0;
        let highest = frame.posts.iter().map(|post| post.cap - post.base);
        let highest = highest.fold(0.0, f64::max);
        let area = cover.holding_area();
        let shortage = frame.shortage.as_ref();
        let at = cover.patches.first().map(|patch| patch.centroid.x);
        FewerPosts {
            possible: sheds,
            against: sheds.then_some(if next.worth.beyond_reach > 0 {
                Against::BeyondReach(highest)
            } else {
                Against::NoCheaper
            }),
            posts: frame.posts.len(),
            basis: if proved {
                Basis::Spans
            } else {
                Basis::TriedOnFilm
            },
            stretch: match (shortage, at) {
                (Some(shortage), _) => shortage.stretch,
                (None, Some(at)) => stretch_about(frame, at),
                (None, None) => hull.edge.ends(),
            },
            cause: (!sheds).then(|| match shortage {
                Some(shortage) => shortage.cause.clone(),
                None => Reason::Holds { area },
            }),
            holding_area: Some(area),
            ..FewerPosts::not_tried(hull, chosen)
        }
    }
}

/// A frame that was planned with fewer pins.
pub(super) struct Trial {
    /// Station of the pin that was left out; `None` where all were.
    left_out: Option<f64>,
    frame: Frame,
    cover: Cover,
    shortfalls: Vec<Shortfall>,
}

/// Pins this near to a station are meant by a strap's, m.
const MEANT: f64 = 0.05;

/// Plans the boat without each of its pinned posts in turn, and without any pin. Nothing where none is pinned: there the
/// search has tried.
pub(super) fn trials(hull: &Hull, boat: &Boat, rules: &Rules, cell: f64) -> Vec<Trial> {
    let pins = &boat.wishes.posts;
    if pins.is_empty() {
        return Vec::new();
    }
    let mut boats: Vec<(Option<f64>, FrameWishes)> = pins
        .iter()
        .map(|pin| {
            let mut wishes = boat.wishes.clone();
            wishes.posts.retain(|other| other.station != pin.station);
            wishes
                .straps
                .retain(|strap| (strap.post - pin.station).abs() >= MEANT);
            (Some(pin.station), wishes)
        })
        .collect();
    boats.push((
        None,
        FrameWishes {
            ridge: boat.wishes.ridge,
            ..FrameWishes::default()
        },
    ));
    boats
        .into_par_iter()
        .filter_map(|(left_out, wishes)| {
            let boat = Boat {
                wishes,
                ..boat.clone()
            };
            trial(hull, &boat, rules, left_out, cell)
        })
        .collect()
}

/// Plans one of them on a coarser film, and looks again on the plan's own where that film sheds.
fn trial(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    left_out: Option<f64>,
    cell: f64,
) -> Option<Trial> {
    let first = design(hull, boat, rules, &[], &[], None).ok()?;
    let mut stretcher = Stretcher::new(hull, rules);
    let mended = Rounds::new(hull, boat, rules, &first)
        .roughly(&mut stretcher, COARSER * COARSER * cell)?
        .finely(&mut stretcher, COARSER * cell)?;
    let judge = |cover: &Cover| shortfall::shortfalls(hull, boat, rules, &mended.frame, cover);
    let mut cover = mended.others.planned;
    let mut shortfalls = judge(&cover);
    if shortfalls.is_empty() {
        cover = stretcher.stretch(&mended.frame, cell)?;
        shortfalls = judge(&cover);
        let mut built = vec![lowered(&mut stretcher, &mended.frame, rules, cell)?];
        built.extend(moved(hull, &mended.frame, rules, cell, &cover));
        shortfalls.extend(tolerance::shortfalls(hull, rules, &built));
    }
    Some(Trial {
        left_out,
        frame: mended.frame,
        cover,
        shortfalls,
    })
}

/// What can be claimed of a plan's frame: by pins that were left out, else by its search.
pub(super) fn claim(
    hull: &Hull,
    rules: &Rules,
    frame: &Frame,
    searched: Option<FewerPosts>,
    trials: &[Trial],
) -> FewerPosts {
    let count = frame.posts.len();
    let fewer = || {
        trials
            .iter()
            .filter(|trial| trial.frame.posts.len() < count)
    };
    if let Some(trial) = fewer().find(|trial| trial.shortfalls.is_empty()) {
        return of_trial(hull, rules, frame, trial);
    }
    if let Some(searched) = searched {
        return searched;
    }
    let best = fewer().min_by(|a, b| {
        let area = |trial: &Trial| trial.cover.holding_over(rules.holding_patch);
        area(a).total_cmp(&area(b))
    });
    match best {
        Some(trial) => of_trial(hull, rules, frame, trial),
        None if trials.is_empty() => FewerPosts::not_tried(hull, frame),
        None => FewerPosts {
            basis: Basis::TriedOnFilm,
            ..FewerPosts::not_tried(hull, frame)
        },
    }
}

fn of_trial(hull: &Hull, rules: &Rules, mended: &Frame, trial: &Trial) -> FewerPosts {
    let area = trial.cover.holding_area();
    let holds = trial.cover.holding_over(rules.holding_patch) > 0.0;
    let at = trial.cover.patches.first().map(|patch| patch.centroid.x);
    FewerPosts {
        possible: trial.shortfalls.is_empty(),
        against: None,
        posts: trial.frame.posts.len(),
        without: mended
            .posts
            .iter()
            .filter(|post| trial.left_out == Some(post.station))
            .map(|post| post.id.clone())
            .collect(),
        basis: Basis::TriedOnFilm,
        stretch: match at.filter(|_| holds) {
            Some(at) => stretch_about(&trial.frame, at),
            None => hull.edge.ends(),
        },
        cause: holds.then_some(Reason::Holds { area }),
        shortfall: trial.shortfalls.first().filter(|_| !holds).cloned(),
        holding_area: Some(area),
    }
}

/// The span of the ridge that a station lies in.
pub(super) fn stretch_about(frame: &Frame, station: f64) -> [f64; 2] {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::{PinnedPost, preset};
    use crate::plan::{Plan, Shortfall, plan};

    fn planned(boat: &Boat) -> Plan {
        plan(boat, &boat.rules).unwrap()
    }

    fn runabout() -> Boat {
        let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
        boat.rules.coarsen(2.0);
        boat
    }

    /// One post cannot keep two spans of 18 ft under 8 ft each.
    #[test]
    fn what_spans_prove_says_so() {
        let boat = runabout();
        let plan = planned(&boat);
        let fewer = &plan.fewer;
        assert_eq!((fewer.basis, fewer.posts), (Basis::Spans, 1));
        assert!(!fewer.possible);
        assert!(matches!(fewer.cause, Some(Reason::Span { span, limit }) if span > limit));
        let [aft, fore] = plan.hull.edge.ends();
        assert!(fore - aft > 2.0 * boat.rules.max_span);
    }

    /// Where spans allow fewer posts, frames with fewer were tried, and it is told what speaks against the best.
    #[test]
    fn frames_with_fewer_posts_were_tried() {
        let mut boat = preset("sailboat-30-mast-up").unwrap().boat().unwrap();
        boat.rules.coarsen(2.0);
        let plan = planned(&boat);
        let fewer = &plan.fewer;
        assert_eq!(fewer.basis, Basis::TriedOnFilm);
        assert!(fewer.posts < plan.frame.posts.len());
        assert_eq!(fewer.possible, fewer.against.is_some());
        assert_eq!(fewer.possible, fewer.cause.is_none());
    }

    /// The runabout sheds with two posts. With a third by hand, high enough to bear or too low to, the two still do.
    #[test]
    fn a_post_that_a_hand_added_can_be_left_out_again() {
        let free = planned(&runabout());
        assert!(free.sheds() && free.frame.posts.len() == 2);
        let [aft, fore] = [&free.frame.posts[0], &free.frame.posts[1]];
        let station = 0.5 * (aft.station + fore.station);
        let straight = free.frame.profile_at(station);
        for (cap, idle) in [(straight + 0.05, false), (straight - 0.3, true)] {
            let mut boat = free.pinned();
            boat.wishes.posts.insert(
                1,
                PinnedPost {
                    station,
                    cap: Some(cap),
                    ..PinnedPost::default()
                },
            );
            let by_hand = planned(&boat);
            assert_eq!(by_hand.frame.posts.len(), 3);
            let added = &by_hand.frame.posts[1].id;
            let carries_nothing = by_hand
                .shortfalls
                .iter()
                .any(|s| matches!(s, Shortfall::IdlePost { post } if post == added));
            assert_eq!(carries_nothing, idle);
            let fewer = &by_hand.fewer;
            assert!(fewer.possible, "{fewer:?}");
            assert_eq!(fewer.basis, Basis::TriedOnFilm);
            assert_eq!(
                (fewer.posts, fewer.without.as_slice()),
                (2, &[added.clone()][..])
            );
        }
    }

    /// Where each pinned post is needed, that was tried: the film over the frame without it holds snow, as planning that
    /// frame itself shows.
    #[test]
    fn a_frame_by_hand_without_a_needed_post_was_tried() {
        let by_hand = planned(&planned(&runabout()).pinned());
        let fewer = &by_hand.fewer;
        assert!(!fewer.possible && fewer.basis == Basis::TriedOnFilm);
        assert!(fewer.cause.is_some() || fewer.shortfall.is_some());
        let [without] = fewer.without.as_slice() else {
            panic!("{fewer:?}")
        };
        let mut boat = by_hand.pinned();
        let pin = |pin: &PinnedPost| pin.name.as_ref() == Some(without);
        let at = boat.wishes.posts.iter().position(pin).unwrap();
        let gone = boat.wishes.posts.remove(at);
        boat.wishes
            .straps
            .retain(|strap| (strap.post - gone.station).abs() > 1e-6);
        assert!(!planned(&boat).sheds());
    }
}
