//! A plan's frame as wishes: every piece pinned where it is.

use super::Plan;
use crate::boat::{Boat, FrameWishes, Hand, PinnedPost, PinnedStrap, RidgeWish, Side};
use crate::frame::{Post, Strap, StrapKind};

/// Posts nearer to each other along the boat share one pin, m: fellows under twin ridges.
const SAME_STATION: f64 = 1e-6;

impl Plan {
    /// The boat whose plan is this one, piece by piece: all posts and straps are pinned where they are, none may be
    /// added, and the rules are those of the plan. What is then changed in its wishes is a frame by hand.
    pub fn pinned(&self) -> Boat {
        let frame = &self.frame;
        let mut posts: Vec<PinnedPost> = Vec::new();
        for post in &frame.posts {
            let fellow = posts
                .iter()
                .any(|other| (other.station - post.station).abs() < SAME_STATION);
            if !fellow {
                posts.push(PinnedPost {
                    station: post.station,
                    cap: Some(post.cap),
                });
            }
        }
        posts.sort_by(|a, b| a.station.total_cmp(&b.station));
        Boat {
            wishes: FrameWishes {
                ridge: match frame.ridges.as_slice() {
                    [starboard, .., port] => RidgeWish::Twin((port - starboard).abs()),
                    _ => RidgeWish::Single,
                },
                only_pinned: true,
                posts,
                straps: frame
                    .straps
                    .iter()
                    .filter_map(|strap| self.pin_of(strap))
                    .collect(),
            },
            rules: self.rules.clone(),
            ..self.boat.clone()
        }
    }

    /// One of this plan's straps as a pin; `None` for those that follow the posts: along a ridge, and from cap to cap
    /// across twin ridges.
    pub fn pin_of(&self, strap: &Strap) -> Option<PinnedStrap> {
        pin_strap(strap, &self.frame.posts)
    }
}

/// See [`Plan::pin_of`].
fn pin_strap(strap: &Strap, posts: &[Post]) -> Option<PinnedStrap> {
    let (cap, end) = (strap.plan.first()?, strap.plan.last()?);
    let to_cap = |post: &Post| (post.top().xy() - end).norm() < SAME_STATION;
    if posts.iter().any(to_cap) {
        return None;
    }
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

#[cfg(test)]
mod tests {
    use crate::boat::presets;
    use crate::frame::StrapKind;
    use crate::plan::{Plan, plan};

    fn pieces(plan: &Plan) -> Vec<String> {
        let inch = |metres: f64| (metres / 0.0254 * 100.0).round() / 100.0;
        let posts = plan.frame.posts.iter().map(|post| {
            let at = [post.station, post.offset, post.cap].map(inch);
            format!("post {at:?}")
        });
        let straps = plan.frame.straps.iter().map(|strap| {
            let ends = [strap.plan.first(), strap.plan.last()]
                .map(|end| end.map(|p| [inch(p.x), inch(p.y)]));
            // A strap aslant is called a hip strap when it is pinned, whatever it was before.
            format!("ridge {}: {ends:?}", strap.kind == StrapKind::Ridge)
        });
        let mut pieces: Vec<String> = posts.chain(straps).collect();
        pieces.sort();
        pieces
    }

    #[test]
    fn a_pinned_plan_is_planned_as_it_is() {
        for preset in presets() {
            let mut boat = preset.boat().unwrap();
            boat.rules.coarsen(4.0);
            let first = plan(&boat, &boat.rules).unwrap();
            let pinned = first.pinned();
            let again = plan(&pinned, &pinned.rules).unwrap();
            assert_eq!(pieces(&again), pieces(&first), "{}", preset.name);
        }
    }
}
