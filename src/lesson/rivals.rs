//! Rivals of any plan, to set beside it.

use super::change::Change;
use crate::plan::Plan;
use crate::units::{METERS_PER_INCH, UnitSystem};

/// What a rival of any plan does otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rival {
    /// A post and its straps are left out.
    OnePostFewer {
        /// Which.
        post: String,
    },
    /// All posts are cut shorter.
    PostsLower,
    /// The ridge strap was closed by hand.
    SlackRidge,
}

/// By how much posts are cut shorter, m: 8 in, the slip of the lesson of the low post.
const LOWER: f64 = 8.0 * METERS_PER_INCH;

/// A short post is cut by no more than this part of its height, so that something is left of it.
const MAX_LOWER: f64 = 0.5;

/// Tension of a ridge strap that was closed by hand, as a part of the plan's: that of the lesson of the slack strap.
const SLACK: f64 = 0.2;

impl Rival {
    /// Those that a plan can have: one for each post that may be left out, then the others. Under twin ridges fellows
    /// abreast of each other are left out together, and named by the first of them.
    pub fn of(plan: &Plan) -> Vec<Rival> {
        let posts = one_for_each_station(plan).map(|(post, _)| Rival::OnePostFewer { post });
        posts
            .chain([Rival::PostsLower, Rival::SlackRidge])
            .collect()
    }

    /// What it does otherwise than this plan.
    pub fn changes(&self, plan: &Plan) -> Vec<Change> {
        match self {
            Rival::OnePostFewer { post } => vec![Change::RemovePost { post: post.clone() }],
            Rival::PostsLower => one_for_each_station(plan)
                .map(|(post, height)| Change::LowerPost {
                    post,
                    by: LOWER.min(MAX_LOWER * height),
                })
                .collect(),
            Rival::SlackRidge => vec![Change::RidgeTension { factor: SLACK }],
        }
    }

    /// The rival in a few words that follow "the rival: ".
    pub fn words(&self, units: UnitSystem) -> String {
        match self {
            Rival::OnePostFewer { post } => Change::RemovePost { post: post.clone() }.words(units),
            Rival::PostsLower => format!("all posts lower by {}", units.format_length_short(LOWER)),
            Rival::SlackRidge => "slack ridge strap".to_owned(),
        }
    }
}

/// The first post of each station with the least height of its fellows, m.
fn one_for_each_station(plan: &Plan) -> impl Iterator<Item = (String, f64)> + '_ {
    let posts = &plan.frame.posts;
    posts.iter().enumerate().filter_map(|(index, post)| {
        let fellow = |other: &&crate::frame::Post| other.station == post.station;
        let first = !posts.iter().take(index).any(|other| fellow(&other));
        let heights = posts.iter().filter(fellow).map(|p| p.cap - p.base);
        first.then(|| (post.id.clone(), heights.fold(f64::INFINITY, f64::min)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use crate::lesson::rival;
    use crate::plan::plan;

    /// Every rival of a boat can be planned, differs from the plan by what it says, and has nothing mended.
    fn check(name: &str, fellows: usize) {
        let mut boat = preset(name).unwrap().boat().unwrap();
        boat.rules.coarsen(3.0);
        let plan = plan(&boat, &boat.rules).unwrap();
        let posts = plan.frame.posts.len();
        let rivals = Rival::of(&plan);
        assert_eq!(rivals.len(), posts / fellows + 2, "{name}");
        for kind in rivals {
            let changes = kind.changes(&plan);
            let found = rival(&plan, &changes).unwrap_or_else(|e| panic!("{name} {kind:?}: {e:?}"));
            let found_posts = &found.frame.posts;
            assert!(found_posts.iter().all(|post| post.pinned), "{name}");
            match &kind {
                Rival::OnePostFewer { post } => {
                    let gone = plan.frame.posts.iter().find(|p| p.id == *post).unwrap();
                    assert_eq!(found_posts.len(), posts - fellows, "{name} {post}");
                    let stands = found_posts.iter().any(|p| p.station == gone.station);
                    assert!(!stands, "{name} {post}");
                }
                Rival::PostsLower => {
                    for (before, after) in plan.frame.posts.iter().zip(found_posts) {
                        let by = LOWER.min(MAX_LOWER * (before.cap - before.base));
                        let lower = before.cap - after.cap;
                        assert!((lower - by).abs() < 1e-9, "{name} {}: {lower}", before.id);
                    }
                }
                Rival::SlackRidge => {
                    let ratio = found.rules.ridge_tension / plan.rules.ridge_tension;
                    assert!((ratio - SLACK).abs() < 1e-12, "{name}");
                    assert_eq!(found_posts.len(), posts, "{name}");
                }
            }
            assert!(!kind.words(UnitSystem::Metric).is_empty());
        }
    }

    #[test]
    fn rivals_do_what_they_say() {
        for (name, fellows) in [
            ("open-runabout-18", 1),
            ("center-console-24", 1),
            ("catamaran-38", 2),
        ] {
            check(name, fellows);
        }
    }
}
