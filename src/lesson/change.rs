//! What a rival plan does otherwise: the plan's own frame with every piece pinned, then changed.

use crate::boat::{
    Boat, BoxKind, DeckBox, FrameWishes, Hand, PinnedPost, PinnedStrap, Problem, RidgeWish, Rules,
    Side,
};
use crate::frame::{Strap, StrapKind};
use crate::plan::{Plan, plan};

/// One thing that the rival does otherwise. Posts go by their names in the plan.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// A post is cut shorter, m.
    LowerPost {
        /// Which.
        post: String,
        /// By how much, m.
        by: f64,
    },
    /// A post stands elsewhere; its cap keeps its height, its straps their anchors.
    MovePost {
        /// Which.
        post: String,
        /// How far forward, m; negative for aft.
        forward: f64,
    },
    /// A post and its straps are left out.
    RemovePost {
        /// Which.
        post: String,
    },
    /// All hip straps are left out.
    RemoveHipStraps,
    /// The ridge strap is drawn otherwise.
    RidgeTension {
        /// Part of the plan's tension.
        factor: f64,
    },
    /// A flat hardtop on the boat's centreline.
    FlatHardtop {
        /// Aft end, m.
        from: f64,
        /// Fore end, m.
        to: f64,
        /// Width, m.
        width: f64,
        /// Height of its top, m.
        top: f64,
    },
}

impl Change {
    /// By how much a post is lowered or moved, m.
    pub fn by(&self) -> Option<f64> {
        match self {
            Change::LowerPost { by, .. } => Some(*by),
            Change::MovePost { forward, .. } => Some(forward.abs()),
            _ => None,
        }
    }
}

/// Thickness of a flat hardtop, m; demo value, 3 in.
const HARDTOP: f64 = 0.0762;

/// The rival's plan: nothing in it is mended, since all its posts and straps are pinned. `places` says where each
/// change stands in its file.
///
/// # Errors
/// Changes that do not fit the plan, and whatever keeps the rival from being planned.
pub(super) fn rival(
    first: &Plan,
    changes: &[Change],
    places: &[Option<(usize, usize)>],
) -> Result<Plan, Vec<Problem>> {
    let (boat, rules) = changed(first, changes, places)?;
    plan(&boat, &rules)
}

/// A boat and rules whose plan is the given one, piece by piece, with the changes made to it.
fn changed(
    first: &Plan,
    changes: &[Change],
    places: &[Option<(usize, usize)>],
) -> Result<(Boat, Rules), Vec<Problem>> {
    let mut problems = Vec::new();
    let mut problem = |index: usize, what: String, hint: String| {
        problems.push(Problem {
            path: format!("change[{index}]"),
            place: places.get(index).copied().flatten(),
            what,
            hint,
        });
    };
    if first.frame.ridges.len() > 1 {
        problem(
            0,
            "the plan of this boat has twin ridges".to_owned(),
            "take a boat with a single ridge".to_owned(),
        );
    }
    let mut boat = first.boat.clone();
    let mut rules = first.rules.clone();
    let mut posts: Vec<(String, PinnedPost)> = first
        .frame
        .posts
        .iter()
        .map(|post| {
            let pin = PinnedPost {
                station: post.station,
                cap: Some(post.cap),
            };
            (post.id.clone(), pin)
        })
        .collect();
    let mut straps: Vec<(&Strap, Option<PinnedStrap>)> = first
        .frame
        .straps
        .iter()
        .map(|strap| (strap, pinned(strap)))
        .collect();
    for (index, change) in changes.iter().enumerate() {
        let named = match change {
            Change::LowerPost { post, .. }
            | Change::MovePost { post, .. }
            | Change::RemovePost { post } => Some(post),
            _ => None,
        };
        let at = named.and_then(|name| posts.iter().position(|(id, _)| id == name));
        if let (Some(name), None) = (named, at) {
            let names: Vec<&str> = posts.iter().map(|(id, _)| id.as_str()).collect();
            problem(
                index,
                format!("no post '{name}' is left in this plan"),
                format!("one of {}", names.join(", ")),
            );
            continue;
        }
        let pin = at.and_then(|at| posts.get_mut(at)).map(|(_, pin)| pin);
        match (change, pin) {
            (Change::LowerPost { post, by }, Some(pin)) => {
                pin.cap = pin.cap.map(|cap| cap - by);
                let base = base_of(first, post);
                if pin.cap.is_some_and(|cap| cap <= base) {
                    problem(
                        index,
                        format!("post '{post}' would be lower than what it stands on"),
                        "lower it by less".to_owned(),
                    );
                }
            }
            (Change::MovePost { post, forward }, Some(pin)) => {
                pin.station += forward;
                let [aft, fore] = first.hull.edge.ends();
                if !(aft..=fore).contains(&pin.station) {
                    problem(
                        index,
                        format!("post '{post}' would stand off the boat"),
                        "move it less far".to_owned(),
                    );
                }
                for (strap, pinned) in &mut straps {
                    if let Some(pinned) = pinned.as_mut().filter(|_| strap.from == *post) {
                        pinned.post = pin.station;
                    }
                }
            }
            (Change::RemovePost { post }, _) => {
                posts.retain(|(id, _)| id != post);
                straps.retain(|(strap, _)| strap.from != *post);
            }
            (Change::RemoveHipStraps, _) => {
                let before = straps.len();
                straps.retain(|(strap, _)| strap.kind != StrapKind::Hip);
                if straps.len() == before {
                    problem(
                        index,
                        "this plan has no hip straps".to_owned(),
                        "take a boat whose corners want them".to_owned(),
                    );
                }
            }
            (Change::RidgeTension { factor }, _) => rules.ridge_tension *= factor,
            (
                &Change::FlatHardtop {
                    from,
                    to,
                    width,
                    top,
                },
                _,
            ) => boat.boxes.push(hardtop(from, to, width, top)),
            _ => {}
        }
    }
    let straps: Vec<PinnedStrap> = straps.into_iter().filter_map(|(_, pin)| pin).collect();
    if problems.is_empty() && (posts.is_empty() || straps.is_empty()) {
        problems.push(Problem {
            path: "change".to_owned(),
            place: None,
            what: "nothing is left of the frame".to_owned(),
            hint: "leave a post with its straps".to_owned(),
        });
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    boat.wishes = FrameWishes {
        ridge: RidgeWish::Single,
        only_pinned: true,
        posts: posts.into_iter().map(|(_, pin)| pin).collect(),
        straps,
    };
    boat.wishes
        .posts
        .sort_by(|a, b| a.station.total_cmp(&b.station));
    boat.rules = rules.clone();
    Ok((boat, rules))
}

fn base_of(plan: &Plan, post: &str) -> f64 {
    let post = plan.frame.posts.iter().find(|other| other.id == post);
    post.map_or(0.0, |post| post.base)
}

/// A strap from a cap, as a pin; `None` for the ridge strap, which follows the posts.
fn pinned(strap: &Strap) -> Option<PinnedStrap> {
    let (cap, end) = (strap.plan.first()?, strap.plan.last()?);
    let hand = if end.y >= cap.y {
        Hand::Port
    } else {
        Hand::Starboard
    };
    (strap.kind != StrapKind::Ridge).then_some(PinnedStrap {
        post: cap.x,
        station: end.x,
        side: match hand {
            Hand::Port => Side::Port,
            Hand::Starboard => Side::Starboard,
        },
    })
}

fn hardtop(from: f64, to: f64, width: f64, top: f64) -> DeckBox {
    DeckBox {
        name: "flat hardtop".to_owned(),
        kind: BoxKind::Hardtop,
        from,
        to,
        width,
        width_fore: width,
        offset: 0.0,
        base: top - HARDTOP,
        top,
        top_fore: top,
        rakes: [0.0; 3],
        film_may_rest: true,
        post_may_stand: true,
        film_goes_round: false,
        clearance: None,
    }
}
