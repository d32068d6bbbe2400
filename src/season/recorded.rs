//! As built: what the crew measured comes back, the cover is checked again with it.

use crate::boat::Problem;
use crate::plan::{Plan, plan};
use crate::takeoff::Hours;
use crate::takeoff::prices::Step;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What a crew noted at a boat.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct AsBuilt {
    /// Which of the job's boats, from 1.
    pub boat: u32,
    /// Measured heights of caps over their footings by post, m.
    pub posts: BTreeMap<String, f64>,
    /// Hours of one person by step as they were taken.
    pub taken: BTreeMap<Step, f64>,
    /// Hours of one person by the price book, without what was learned.
    pub by_book: Hours,
    /// Free words.
    pub note: String,
}

/// A cover checked again with the heights that were measured.
#[derive(Debug, Clone)]
pub struct CheckedAgain {
    /// Posts with their planned and their measured heights, m; `None` where it was not measured.
    pub posts: Vec<(String, f64, Option<f64>)>,
    /// The cover as it was planned.
    pub planned: Plan,
    /// The cover as it was built; the planned one where no height differs.
    pub built: Plan,
}

/// Why a cover cannot be checked again.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NotChecked {
    /// A height is told of a post that is not in the plan.
    #[error("the plan has no post '{post}'")]
    NoSuchPost {
        /// The name that was given.
        post: String,
        /// The posts that there are.
        posts: Vec<String>,
    },
    /// The boat cannot be planned with these heights.
    #[error("the cover cannot be solved with these heights")]
    Unplanned(Vec<Problem>),
}

/// Heights that differ by less are as planned, m: no tape on a deck tells them apart.
const SAME_HEIGHT: f64 = 1e-3;

/// Stations nearer to each other are one, m.
const SAME_STATION: f64 = 1e-6;

/// Solves the film over the frame as it was built: every piece where it was planned, caps at their measured heights.
/// Under twin ridges a post and its fellow abreast share a height: the lower one counts.
///
/// # Errors
/// A post that is not in the plan; a boat that cannot be planned so.
pub fn check_again(
    planned: Plan,
    measured: &BTreeMap<String, f64>,
) -> Result<CheckedAgain, NotChecked> {
    let known: Vec<String> = planned
        .frame
        .posts
        .iter()
        .map(|post| post.id.clone())
        .collect();
    if let Some(post) = measured.keys().find(|post| !known.contains(post)) {
        return Err(NotChecked::NoSuchPost {
            post: post.clone(),
            posts: known,
        });
    }
    let posts: Vec<(String, f64, Option<f64>)> = planned
        .frame
        .posts
        .iter()
        .map(|post| {
            let height = post.cap - post.base;
            (post.id.clone(), height, measured.get(&post.id).copied())
        })
        .collect();
    let differs = |(_, height, found): &(String, f64, Option<f64>)| {
        found.is_some_and(|found| (found - height).abs() > SAME_HEIGHT)
    };
    if !posts.iter().any(differs) {
        return Ok(CheckedAgain {
            posts,
            built: planned.clone(),
            planned,
        });
    }
    let mut boat = planned.pinned();
    for pin in &mut boat.wishes.posts {
        let here = planned
            .frame
            .posts
            .iter()
            .filter(|post| (post.station - pin.station).abs() < SAME_STATION);
        let caps = here.filter_map(|post| Some(post.base + measured.get(&post.id)?));
        pin.cap = caps.reduce(f64::min).or(pin.cap);
    }
    let built = plan(&boat, &boat.rules).map_err(NotChecked::Unplanned)?;
    Ok(CheckedAgain {
        posts,
        planned,
        built,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;

    fn planned() -> Plan {
        let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
        boat.rules.coarsen(3.0);
        plan(&boat, &boat.rules).unwrap()
    }

    #[test]
    fn a_post_cut_short_shows_in_the_cover() {
        let first = planned();
        let post = &first.frame.posts[0];
        let (id, height) = (post.id.clone(), post.cap - post.base);
        let least = first.cover.least_slope;
        let lower = BTreeMap::from([(id.clone(), height - 0.25)]);
        let again = check_again(first.clone(), &lower).unwrap();
        let cap = again.built.frame.posts[0].cap;
        assert!((cap - (post.cap - 0.25)).abs() < 1e-9);
        assert_eq!(again.built.frame.posts.len(), first.frame.posts.len());
        assert_eq!(again.built.frame.straps.len(), first.frame.straps.len());
        let held = |plan: &Plan| {
            plan.cover
                .patches
                .iter()
                .map(|patch| patch.area)
                .sum::<f64>()
        };
        assert!(held(&again.built) > held(&first));
        // As planned: nothing is solved anew.
        let same = BTreeMap::from([(id, height + 0.0005)]);
        let again = check_again(first.clone(), &same).unwrap();
        assert_eq!(again.built.cover.least_slope, least);
        let unknown = BTreeMap::from([("P9".to_owned(), 1.0)]);
        let error = check_again(first, &unknown).unwrap_err();
        assert!(
            matches!(error, NotChecked::NoSuchPost { post, posts } if post == "P9" && posts[0] == "P1")
        );
    }
}
