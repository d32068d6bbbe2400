//! What a rival plan does otherwise: the plan's own frame with every piece pinned, then changed.

use crate::boat::{Boat, BoxKind, DeckBox, PinnedPost, PinnedStrap, Problem};
use crate::frame::StrapKind;
use crate::plan::{Plan, plan};
use crate::units::UnitSystem;

/// One thing that the rival does otherwise. Posts go by their names in the plan; under twin ridges a post and its
/// fellow abreast of it share a pin, and what is done to one is done to both.
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
    /// A flat hardtop on the boat's centerline.
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

    /// The change in a few words that follow "the rival: ".
    pub fn words(&self, units: UnitSystem) -> String {
        let length = |meters: f64| units.format_length_short(meters);
        match self {
            Change::LowerPost { post, by } => format!("{post} lower by {}", length(*by)),
            Change::MovePost { post, forward } if *forward < 0.0 => {
                format!("{post} further aft by {}", length(-forward))
            }
            Change::MovePost { post, forward } => {
                format!("{post} further forward by {}", length(*forward))
            }
            Change::RemovePost { post } => format!("one post fewer, without the plan's {post}"),
            Change::RemoveHipStraps => "no hip straps".to_owned(),
            Change::RidgeTension { factor } => {
                format!(
                    "ridge strap at {} of its tension",
                    units.format_share(*factor)
                )
            }
            Change::FlatHardtop { .. } => "a flat hardtop".to_owned(),
        }
    }
}

/// Thickness of a flat hardtop, m; demo value, 3 in.
const HARDTOP: f64 = 0.0762;

/// The plan with some changes: nothing in it is mended, since all its posts and straps are pinned.
///
/// # Errors
/// Changes that do not fit the plan, and whatever keeps the rival from being planned.
pub fn rival(first: &Plan, changes: &[Change]) -> Result<Plan, Vec<Problem>> {
    rival_at(first, changes, &[])
}

/// The same; `places` says where each change stands in its file.
pub(super) fn rival_at(
    first: &Plan,
    changes: &[Change],
    places: &[Option<(usize, usize)>],
) -> Result<Plan, Vec<Problem>> {
    let boat = changed(first, changes, places)?;
    plan(&boat, &boat.rules)
}

/// A pin of the plan, the posts that share it and the straps from their caps.
struct Piece {
    posts: Vec<String>,
    /// Height of the highest thing that one of them stands on, m.
    base: f64,
    pin: PinnedPost,
    straps: Vec<PinnedStrap>,
}

/// The pieces of a boat whose plan is pinned. Straps that start at no post come second.
fn pieces(first: &Plan, boat: &Boat) -> (Vec<Piece>, Vec<PinnedStrap>) {
    let mut loose = boat.wishes.straps.clone();
    let mut pieces = Vec::new();
    for pin in &boat.wishes.posts {
        let here = |station: f64| (station - pin.station).abs() < SAME_STATION;
        let posts = || first.frame.posts.iter().filter(|p| here(p.station));
        pieces.push(Piece {
            posts: posts().map(|post| post.id.clone()).collect(),
            base: posts().map(|post| post.base).fold(0.0, f64::max),
            pin: pin.clone(),
            straps: loose.iter().filter(|s| here(s.post)).cloned().collect(),
        });
        loose.retain(|strap| !here(strap.post));
    }
    (pieces, loose)
}

/// Stations nearer to each other are one, m: far under what anybody measures.
const SAME_STATION: f64 = 1e-6;

/// A boat whose plan is the given one, piece by piece, with the changes made to it and to its rules.
fn changed(
    first: &Plan,
    changes: &[Change],
    places: &[Option<(usize, usize)>],
) -> Result<Boat, Vec<Problem>> {
    let mut problems = Vec::new();
    let mut problem = |index: usize, what: String, hint: String| {
        problems.push(Problem {
            path: format!("change[{index}]"),
            place: places.get(index).copied().flatten(),
            what,
            hint,
        });
    };
    let mut boat = first.pinned();
    let (mut pieces, mut loose) = pieces(first, &boat);
    for (index, change) in changes.iter().enumerate() {
        let named = match change {
            Change::LowerPost { post, .. }
            | Change::MovePost { post, .. }
            | Change::RemovePost { post } => Some(post),
            _ => None,
        };
        let at = named.and_then(|name| pieces.iter().position(|piece| piece.posts.contains(name)));
        if let (Some(name), None) = (named, at) {
            let names: Vec<&str> = pieces
                .iter()
                .flat_map(|piece| piece.posts.iter().map(String::as_str))
                .collect();
            problem(
                index,
                format!("no post '{name}' is left in this plan"),
                format!("one of {}", names.join(", ")),
            );
            continue;
        }
        match (change, at.and_then(|at| pieces.get_mut(at))) {
            (Change::LowerPost { post, by }, Some(piece)) => {
                piece.pin.cap = piece.pin.cap.map(|cap| cap - by);
                if piece.pin.cap.is_some_and(|cap| cap <= piece.base) {
                    problem(
                        index,
                        format!("post '{post}' would be lower than what it stands on"),
                        "lower it by less".to_owned(),
                    );
                }
            }
            (Change::MovePost { post, forward }, Some(piece)) => {
                piece.pin.station += forward;
                let [aft, fore] = first.hull.edge.ends();
                if !(aft..=fore).contains(&piece.pin.station) {
                    problem(
                        index,
                        format!("post '{post}' would stand off the boat"),
                        "move it less far".to_owned(),
                    );
                }
                for strap in &mut piece.straps {
                    strap.post = piece.pin.station;
                }
            }
            (Change::RemovePost { .. }, _) => {
                if let Some(at) = at {
                    pieces.remove(at);
                }
            }
            (Change::RemoveHipStraps, _) => {
                let straps = first.frame.straps.iter();
                let hips: Vec<PinnedStrap> = straps
                    .filter(|strap| strap.kind == StrapKind::Hip)
                    .filter_map(|strap| first.pin_of(strap))
                    .collect();
                if hips.is_empty() {
                    problem(
                        index,
                        "this plan has no hip straps".to_owned(),
                        "take a boat whose corners want them".to_owned(),
                    );
                }
                // A post that was moved before took its straps along: they are known by where they end.
                let is_hip = |strap: &PinnedStrap| {
                    hips.iter()
                        .any(|hip| hip.station == strap.station && hip.side == strap.side)
                };
                loose.retain(|strap| !is_hip(strap));
                for piece in &mut pieces {
                    piece.straps.retain(|strap| !is_hip(strap));
                }
            }
            (Change::RidgeTension { factor }, _) => boat.rules.ridge_tension *= factor,
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
    let straps = pieces.iter().flat_map(|piece| &piece.straps);
    boat.wishes.straps = straps.chain(&loose).cloned().collect();
    boat.wishes.posts = pieces.iter().map(|piece| piece.pin.clone()).collect();
    boat.wishes
        .posts
        .sort_by(|a, b| a.station.total_cmp(&b.station));
    if problems.is_empty() && (boat.wishes.posts.is_empty() || boat.wishes.straps.is_empty()) {
        problems.push(Problem {
            path: "change".to_owned(),
            place: None,
            what: "nothing is left of the frame".to_owned(),
            hint: "leave a post with its straps".to_owned(),
        });
    }
    if problems.is_empty() {
        Ok(boat)
    } else {
        Err(problems)
    }
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
        bears: None,
    }
}
