//! Other frames for the same boat: what a yard would try when a cover does not stand its loads.

use super::{Plan, plan_alone};
use crate::boat::{Boat, End, Hand, KeptReason, PinnedPost, PinnedStrap, Side};
use crate::frame::StrapKind;
use crate::loads::Site;
use crate::loads::lumber::{PostStock, stock};

/// A change of the frame or of what it is built from.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// One more post.
    MorePosts {
        /// Where, m.
        station: f64,
        /// The heights of all posts are found anew: with a post more they are shorter.
        heights_anew: bool,
    },
    /// A pair of hip straps from the last post to the corners.
    HipStraps {
        /// At which end of the boat.
        end: End,
    },
    /// Other lumber or more braces.
    Stock {
        /// What posts are then built from.
        stock: Box<PostStock>,
    },
}

/// Spans shorter than this get no post between, m: less than the rule's least gap on both sides of it.
fn least_span(plan: &Plan) -> f64 {
    2.0 * plan.rules.least_post_gap
}

/// The changes of the frame that can be tried: a post in each span, hip straps at each end.
pub(super) fn frame_changes(plan: &Plan) -> Vec<Change> {
    let mut stations: Vec<f64> = plan.frame.posts.iter().map(|post| post.station).collect();
    stations.extend(plan.hull.edge.ends());
    stations.sort_by(f64::total_cmp);
    let mut changes: Vec<Change> = stations
        .windows(2)
        .filter_map(|pair| match *pair {
            [from, to] if to - from >= least_span(plan) => standing_place(plan, from, to),
            _ => None,
        })
        .map(|station| Change::MorePosts {
            station,
            heights_anew: false,
        })
        .collect();
    for end in [End::Aft, End::Fore] {
        if hip_pin(plan, end).is_some() {
            changes.push(Change::HipStraps { end });
        }
    }
    changes
}

/// The same posts with all heights found anew, which makes them shorter.
pub(super) fn with_heights_anew(changes: &[Change]) -> Vec<Change> {
    let anew = |change: &Change| match change {
        Change::MorePosts { station, .. } => Some(Change::MorePosts {
            station: *station,
            heights_anew: true,
        }),
        _ => None,
    };
    changes.iter().filter_map(anew).collect()
}

/// The place nearest to the middle of a span where a post may stand, m.
fn standing_place(plan: &Plan, from: f64, to: f64) -> Option<f64> {
    let middle = 0.5 * (from + to);
    let step = plan.rules.station_step;
    let reach = 0.5 * (to - from) - plan.rules.least_post_gap;
    let offset = plan.frame.ridges.first().copied().unwrap_or(0.0);
    (0..=(reach / step).max(0.0) as usize)
        .flat_map(|k| [middle + step * k as f64, middle - step * k as f64])
        .find(|station| {
            let place = nalgebra::Point2::new(*station, offset);
            plan.hull.foot(&plan.boat, &plan.rules, place).is_ok()
        })
}

/// The hip straps of an end as a pin; `None` where they are there already or the boat has no such post.
fn hip_pin(plan: &Plan, end: End) -> Option<PinnedStrap> {
    let stations = plan.frame.posts.iter().map(|post| post.station);
    let last = match end {
        End::Aft => stations.reduce(f64::min),
        End::Fore => stations.reduce(f64::max),
    }?;
    let corner = plan.hull.corner(end, Hand::Port)?;
    let there = plan.frame.straps.iter().any(|strap| {
        let ends = (strap.plan.first(), strap.plan.last());
        strap.kind == StrapKind::Hip
            && matches!(ends, (Some(from), Some(to)) if (from.x - last).abs() < SAME_STATION
                && (to.x - from.x) * (corner.x - last) > 0.0)
    });
    (!there).then_some(PinnedStrap {
        post: last,
        station: corner.x,
        side: Side::Both,
        kept: Some(KeptReason::ForLoads),
    })
}

/// Stations nearer to each other are one, m.
const SAME_STATION: f64 = 1e-6;

/// The boat with a change of its frame; all other posts and straps stay where they are. `None` where the change is none
/// of the frame.
pub(super) fn changed(plan: &Plan, change: &Change) -> Option<Boat> {
    let mut boat = plan.pinned();
    boat.wishes.only_pinned = false;
    match change {
        Change::MorePosts {
            station,
            heights_anew,
        } => {
            if *heights_anew {
                for post in &mut boat.wishes.posts {
                    post.cap = None;
                }
            }
            boat.wishes.posts.push(PinnedPost {
                station: *station,
                kept: Some(KeptReason::ForLoads),
                ..PinnedPost::default()
            });
            boat.wishes
                .posts
                .sort_by(|a, b| a.station.total_cmp(&b.station));
        }
        Change::HipStraps { end } => boat.wishes.straps.push(hip_pin(plan, *end)?),
        Change::Stock { .. } => return None,
    }
    Some(boat)
}

/// The plan with a change of its frame, on a film of the same cells; `None` where it cannot be planned or the new post
/// found no place.
pub(super) fn replanned(from: &Plan, change: &Change) -> Option<Plan> {
    let boat = changed(from, change)?;
    let next = plan_alone(&boat, &from.rules).ok()?;
    let grew = match change {
        Change::MorePosts { .. } => next.frame.posts.len() > from.frame.posts.len(),
        Change::HipStraps { .. } => next.frame.straps.len() > from.frame.straps.len(),
        Change::Stock { .. } => true,
    };
    grew.then_some(next)
}

/// All lumber of the site's own grade with up to two pieces and up to two braces, each with its cost over posts of some
/// lengths, the cheapest first.
///
/// # Units
/// Lengths in m; cost in the table's own invented unit.
pub(super) fn stocks(site: &Site, lengths: &[f64]) -> Vec<(PostStock, f64)> {
    let Ok(lumber) = stock() else {
        return Vec::new();
    };
    let own = &site.gear.post;
    let posts = lengths.len() as f64;
    let together: f64 = lengths.iter().sum();
    let mut found = Vec::new();
    for size in &lumber.sizes {
        // A yard buys in inches or in millimeters.
        if size.is_metric() != own.size.is_metric() {
            continue;
        }
        for pieces in 1..=MAX_PIECES {
            for braces in 0..=MAX_BRACES {
                let cost = posts * (lumber.post + f64::from(braces) * lumber.brace)
                    + together * f64::from(pieces) * size.price_per_meter;
                let stock = PostStock {
                    size: size.clone(),
                    grade: own.grade.clone(),
                    pieces,
                    braces,
                };
                found.push((stock, cost));
            }
        }
    }
    found.sort_by(|a, b| a.1.total_cmp(&b.1));
    found
}

/// Pieces and braces of a post that are tried.
const MAX_PIECES: u32 = 2;
const MAX_BRACES: u32 = 2;
