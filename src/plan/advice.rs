//! What another post or strap would buy, by trying.

use super::variants::{Change, frame_changes, replanned, stocks};
use super::{Plan, plan_alone};
use crate::boat::Boat;
use crate::loads::{Kind, Site, SnowCapacity, snow_capacity};
use rayon::prelude::*;

/// What was tried for more snow.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// The frame as it is, on the same film as what was tried.
    pub now: SnowCapacity,
    /// What was tried, the best first.
    pub tried: Vec<Tried>,
}

/// One thing that was tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// What was changed.
    pub change: Change,
    /// The greatest snow with it.
    pub capacity: SnowCapacity,
}

/// Nodes of the film that changes are tried on, about: a capacity is then found in a second.
const NODES: f64 = 2000.0;

/// A change that buys less than this part is not worth telling apart.
pub(super) const WORTH: f64 = 0.01;

/// Tries one more post in each span, hip straps where there are none, and other lumber where posts give first; `None`
/// where the plan's site has no snow.
///
/// The film is coarser than the plan's own, for the frame as it is as well, so that gains are told rather than the
/// last inch of sag.
pub fn advise(from: &Plan) -> Option<Advice> {
    let site = &from.loads.as_ref()?.site;
    site.snow?;
    let coarse = coarser(from)?;
    let now = snow_capacity(&coarse.stage(), site)?;
    let mut changes = frame_changes(&coarse);
    let posts_give = now
        .governed_by
        .as_ref()
        .is_some_and(|check| matches!(check.kind, Kind::Post | Kind::BaseCap));
    if posts_give {
        changes.extend(next_stocks(&coarse, site));
    }
    let mut tried: Vec<Tried> = changes
        .into_par_iter()
        .filter_map(|change| {
            let capacity = match &change {
                Change::Stock { stock } => {
                    let mut other = site.clone();
                    other.gear.post = stock.as_ref().clone();
                    snow_capacity(&coarse.stage(), &other)
                }
                _ => snow_capacity(&replanned(&coarse, &change)?.stage(), site),
            }?;
            Some(Tried { change, capacity })
        })
        .collect();
    tried.sort_by(|a, b| b.capacity.ground.total_cmp(&a.capacity.ground));
    Some(Advice { now, tried })
}

/// The same frame under a coarser film.
pub(super) fn coarser(from: &Plan) -> Option<Plan> {
    let nodes = from.cover.mesh.vertices.len() as f64;
    let boat: Boat = from.pinned();
    let mut rules = from.rules.clone();
    rules.coarsen((nodes / NODES).sqrt().max(1.0));
    plan_alone(&boat, &rules).ok()
}

/// One more brace, and the next thicker lumber.
fn next_stocks(plan: &Plan, site: &Site) -> Vec<Change> {
    let own = &site.gear.post;
    let lengths: Vec<f64> = plan.takeoff.posts.iter().map(|post| post.cut).collect();
    let all = stocks(site, &lengths);
    let braced = all.iter().find(|(stock, _)| {
        stock.size == own.size && stock.pieces == own.pieces && stock.braces == own.braces + 1
    });
    let thicker = all.iter().find(|(stock, _)| {
        stock.size.thickness > own.size.thickness
            && stock.pieces == own.pieces
            && stock.braces == own.braces
    });
    [braced, thicker]
        .into_iter()
        .flatten()
        .map(|(stock, _)| Change::Stock {
            stock: Box::new(stock.clone()),
        })
        .collect()
}
