//! The frame with the loads as constraints: the cheapest of what was tried that stands them.
//!
//! In rounds: the frame as it is, one more post in each span (with the others as they are, or all shorter: heights found anew), hip
//! straps where there are none; for each the cheapest lumber, pieces and braces that its posts' loads allow. If some of
//! them stand, the cheapest is taken; if none does, the one that is nearest to standing is what the next round starts from.

use super::advice::{WORTH, coarser};
use super::variants::{Change, frame_changes, replanned, stocks, with_heights_anew};
use super::{Plan, plan_at};
use crate::boat::{Boat, Problem, Rules};
use crate::loads::lumber::PostStock;
use crate::loads::{Check, Kind, Loads, Site, weigh_at_site};
use rayon::prelude::*;

/// What was changed so that a cover stands its loads.
#[derive(Debug, Clone, PartialEq)]
pub struct Strengthening {
    /// Changes of frame and lumber, in order.
    pub changes: Vec<Change>,
    /// What posts, lumber and braces cost before, and after, in the lumber table's own invented unit.
    pub cost: [f64; 2],
    /// Frames that were tried.
    pub tried: usize,
}

/// Rounds at most: more posts than that are another frame.
const MAX_ROUNDS: usize = 4;

/// A frame that was tried, with the lumber that suits it.
struct Candidate {
    plan: Plan,
    change: Option<Change>,
    stock: PostStock,
    cost: f64,
    worst: f64,
}

/// Plans a boat for a site and strengthens its frame until it stands the loads, as far as that can be had.
///
/// # Errors
/// As [`super::plan`].
pub fn strengthen(boat: &Boat, site: &Site, rules: &Rules) -> Result<Plan, Vec<Problem>> {
    let first = plan_at(boat, site, rules)?;
    if first.loads.as_ref().is_none_or(Loads::stands) {
        return Ok(first);
    }
    let Some(mut here) = coarser(&first) else {
        return Ok(first);
    };
    let before = cost_of(&here, &site.gear.post);
    let mut changes = Vec::new();
    let mut tried = 0;
    let mut chosen: Option<Candidate> = None;
    for _ in 0..MAX_ROUNDS {
        let mut choices: Vec<Option<Change>> = vec![None];
        let frames = frame_changes(&here);
        choices.extend(with_heights_anew(&frames).into_iter().map(Some));
        choices.extend(frames.into_iter().map(Some));
        let mut found: Vec<Candidate> = choices
            .into_par_iter()
            .filter_map(|change| candidate(&here, site, change))
            .collect();
        tried += found.len();
        found.sort_by(|a, b| {
            let key = |c: &Candidate| {
                if c.worst <= 1.0 {
                    (0.0, c.cost)
                } else {
                    (c.worst, c.cost)
                }
            };
            key(a)
                .partial_cmp(&key(b))
                .unwrap_or(std::cmp::Ordering::Equal)
        });
        let Some(best) = found.into_iter().next() else {
            break;
        };
        let better = chosen
            .as_ref()
            .is_none_or(|chosen| best.worst < chosen.worst * (1.0 - WORTH));
        if !better {
            break;
        }
        let done = best.worst <= 1.0 || best.change.is_none();
        changes.extend(best.change.clone());
        here = best.plan.clone();
        chosen = Some(best);
        if done {
            break;
        }
    }
    let Some(chosen) = chosen else {
        return Ok(first);
    };
    let mut geared = site.clone();
    if chosen.stock != site.gear.post {
        geared.gear.post = chosen.stock.clone();
        changes.push(Change::Stock {
            stock: Box::new(chosen.stock.clone()),
        });
    }
    // The frame is settled: the plan's own film over it, and nothing of it moves any more.
    let settled = as_wished(chosen.plan.pinned(), boat);
    let mut last = plan_at(&settled, &geared, rules)?;
    last.boat = boat.clone();
    last.strengthening = Some(Strengthening {
        changes,
        cost: [before, chosen.cost],
        tried,
    });
    Ok(last)
}

/// A settled frame with the user's own names and pins: posts that had none are numbered from the stern, whatever round
/// they were added in, and what the user pinned is no more and no less than that.
fn as_wished(mut settled: Boat, boat: &Boat) -> Boat {
    for post in &mut settled.wishes.posts {
        let own = boat.wishes.posts.iter();
        match own.clone().find(|own| own.station == post.station) {
            Some(own) => {
                post.name.clone_from(&own.name);
                post.name_port.clone_from(&own.name_port);
                if own.cap == post.cap {
                    post.kept.clone_from(&own.kept);
                }
            }
            None => (post.name, post.name_port) = (None, None),
        }
    }
    settled
}

/// A change tried, with the cheapest lumber that its posts' loads allow; where none suffices, the one that comes nearest.
fn candidate(here: &Plan, site: &Site, change: Option<Change>) -> Option<Candidate> {
    let plan = match &change {
        None => here.clone(),
        Some(change) => replanned(here, change)?,
    };
    let lengths: Vec<f64> = plan.takeoff.posts.iter().map(|post| post.cut).collect();
    let loads = weigh_at_site(&plan.stage(), site);
    let others = loads
        .checks
        .iter()
        .filter(|check| !of_posts(check))
        .map(Check::ratio)
        .fold(0.0, f64::max);
    let posts_ask = |stock: &PostStock| -> f64 {
        let mut geared = site.clone();
        geared.gear.post = stock.clone();
        let checks = loads.checks_with(&plan.stage(), &geared);
        let of_posts = checks.iter().filter(|check| of_posts(check));
        of_posts.map(Check::ratio).fold(0.0, f64::max)
    };
    // The yard's own lumber where that does; else the list, which begins with the cheapest.
    let own = &site.gear.post;
    let mut best = (own.clone(), cost_of(&plan, own), posts_ask(own));
    if best.2 > 1.0 {
        for (stock, cost) in stocks(site, &lengths) {
            let asked = posts_ask(&stock);
            if asked < best.2 {
                best = (stock, cost, asked);
            }
            if best.2 <= 1.0 {
                break;
            }
        }
    }
    let (stock, cost, posts) = best;
    let worst = others.max(posts);
    Some(Candidate {
        plan,
        change,
        stock,
        cost,
        worst: if worst.is_finite() { worst } else { f64::MAX },
    })
}

fn of_posts(check: &Check) -> bool {
    matches!(check.kind, Kind::Post | Kind::BaseCap)
}

fn cost_of(plan: &Plan, stock: &PostStock) -> f64 {
    let lengths: Vec<f64> = plan.takeoff.posts.iter().map(|post| post.cut).collect();
    let Ok(lumber) = crate::loads::lumber::stock() else {
        return 0.0;
    };
    let together: f64 = lengths.iter().sum();
    lengths.len() as f64 * (lumber.post + f64::from(stock.braces) * lumber.brace)
        + together * f64::from(stock.pieces) * stock.size.price_per_meter
}
