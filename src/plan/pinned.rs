//! A plan's frame as wishes: every piece pinned where it is.

use super::Plan;
use crate::boat::{Boat, FrameWishes, Hand, PinnedPost, PinnedStrap, RidgeWish, Side};
use crate::frame::{Post, Strap, StrapKind};

/// Posts nearer to each other along the boat share one pin, m: fellows under twin ridges.
const SAME_STATION: f64 = 1e-6;

impl Plan {
    /// The boat whose plan is this one, piece by piece: all posts and straps are pinned where they are, with the names and
    /// reasons that they have, none may be added, and the rules are those of the plan. What is then changed in its wishes
    /// is a frame by hand. A frame without posts has nothing to pin: it is what planning the boat anew gives.
    pub fn pinned(&self) -> Boat {
        let frame = &self.frame;
        let mut posts: Vec<PinnedPost> = Vec::new();
        for post in &frame.posts {
            let fellow = posts
                .iter_mut()
                .find(|other| (other.station - post.station).abs() < SAME_STATION);
            match fellow {
                Some(fellow) => fellow.name_port = Some(post.id.clone()),
                None => posts.push(PinnedPost {
                    name: Some(post.id.clone()),
                    name_port: None,
                    station: post.station,
                    cap: Some(post.cap),
                    kept: post.reason.kept(),
                }),
            }
        }
        posts.sort_by(|a, b| a.station.total_cmp(&b.station));
        Boat {
            wishes: FrameWishes {
                ridge: match frame.ridges.as_slice() {
                    [starboard, .., port] => RidgeWish::Twin((port - starboard).abs()),
                    _ => RidgeWish::Single,
                },
                only_pinned: !posts.is_empty(),
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
        kept: strap.reason.kept(),
    })
}

#[cfg(test)]
mod tests {
    use crate::boat::{self, presets};
    use crate::frame::StrapKind;
    use crate::plan::{Plan, plan_alone};
    use crate::units::UnitSystem;

    fn pieces(plan: &Plan) -> Vec<String> {
        let inch = |meters: f64| (meters / 0.0254 * 100.0).round() / 100.0;
        let posts = plan.frame.posts.iter().zip(&plan.takeoff.posts);
        let posts = posts.map(|(post, cut)| {
            let at = [post.station, post.offset, post.cap, cut.cut].map(inch);
            format!("{} {at:?}", post.id)
        });
        let straps = plan.frame.straps.iter().zip(&plan.takeoff.straps);
        let straps = straps.map(|(strap, cut)| {
            let ends = [strap.plan.first(), strap.plan.last()]
                .map(|end| end.map(|p| [inch(p.x), inch(p.y)]));
            let (from, to, cut) = (&strap.from, &strap.to, inch(cut.cut));
            format!("{} from {from} to {to}: {ends:?} {cut}", strap.id)
        });
        posts.chain(straps).collect()
    }

    /// Every preset's plan, pinned, written as a file and read again, is the same plan: pieces, names, lengths, verdict.
    /// Nothing in it claims to be the user's own.
    #[test]
    fn a_pinned_plan_is_written_read_and_planned_as_it_is() {
        for preset in presets() {
            let mut boat = preset.boat().unwrap();
            boat.rules.coarsen(3.0);
            let first = plan_alone(&boat, &boat.rules).unwrap();
            let written = boat::write(&first.pinned(), UnitSystem::FeetInches).text;
            let companion = |name: &str| {
                let written = boat::write(&boat, UnitSystem::FeetInches);
                let mut companions = written.companions.into_iter();
                let found = companions.find(|(companion, _)| companion == name);
                found.map(|(_, text)| text).ok_or(String::new())
            };
            let read =
                boat::read(&written, &companion).unwrap_or_else(|e| panic!("{}: {e}", preset.name));
            let again = plan_alone(&read, &read.rules).unwrap();
            assert_eq!(pieces(&again), pieces(&first), "{}", preset.name);
            let verdict = |plan: &Plan| -> Vec<String> {
                let units = UnitSystem::FeetInches;
                plan.shortfalls.iter().map(|s| s.sentence(units)).collect()
            };
            assert_eq!(verdict(&again), verdict(&first), "{}", preset.name);
            let reasons = again.frame.posts.iter().map(|post| &post.reason);
            let straps = again.frame.straps.iter().map(|strap| &strap.reason);
            for reason in reasons.chain(straps) {
                let sentence = reason.sentence(UnitSystem::FeetInches);
                assert!(!sentence.contains("user"), "{}: {sentence}", preset.name);
            }
            // A plan of a plan keeps the first one's reasons.
            assert_eq!(again.pinned().wishes, read.wishes, "{}", preset.name);
            let hips = |plan: &Plan| {
                let straps = plan.frame.straps.iter();
                straps.filter(|s| s.kind == StrapKind::Hip).count()
            };
            assert_eq!(hips(&again), hips(&first), "{}", preset.name);
        }
    }
}
