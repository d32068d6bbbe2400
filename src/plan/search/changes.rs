//! Single changes of a layout: posts left out, added, split and moved, hip straps added and left out.

use super::pool::Tried;
use super::{REACH, Search, TINY};
use crate::boat::{End, Hand};
use crate::cover::Stretcher;
use crate::frame::{HipWish, Layout, Place};
use rayon::prelude::*;

/// Sites by which a post is moved: one step, and a foot on the default grid.
const SHIFTS: [isize; 4] = [-4, -1, 1, 4];

/// Steps by which changes are looked over.
const LOOKS: usize = 2;

/// Posts moved that are followed further; of the other kinds of change the best one.
const SHIFTS_EACH: usize = 3;

/// Two posts for one stand at this part of the way to its neighbors, and are lower by this part of its height.
const SPLIT: f64 = 0.4;
const LOWERED: f64 = 0.3;

/// Kinds of change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Drop,
    Shift,
    Add,
    Split,
    Hips,
}

impl Search<'_> {
    /// How many changes were looked at, and those that a step or two make look best, a few of each kind: each with the
    /// stretcher that knows its mesh.
    pub(super) fn promising<'b>(
        &'b self,
        here: &'b Tried,
    ) -> (usize, Vec<(Layout, Stretcher<'b>)>) {
        let mut looked: Vec<(Kind, Tried, Stretcher)> = self
            .changes(here)
            .into_par_iter()
            .filter_map(|(kind, layout)| {
                let near = Stretcher::near(self.hull, &self.strict, &here.low.1);
                let mut stretcher = near.roughly();
                let tried = self.look(here, &layout, &mut stretcher)?;
                Some((kind, tried, stretcher))
            })
            .collect();
        let count = looked.len();
        looked.sort_by(|(_, a, _), (_, b, _)| a.worth.order(&b.worth));
        let mut taken = [0; 5];
        looked.retain(|(kind, ..)| {
            taken[*kind as usize] += 1;
            taken[*kind as usize] <= if *kind == Kind::Shift { SHIFTS_EACH } else { 1 }
        });
        let promising = looked
            .into_iter()
            .map(|(_, tried, stretcher)| (tried.layout, stretcher));
        (count, promising.collect())
    }

    /// A step or two from a changed layout downhill.
    fn look(&self, here: &Tried, layout: &Layout, stretcher: &mut Stretcher) -> Option<Tried> {
        let mut look =
            |reach| self.descend(stretcher, here.ground, layout, self.roughly(reach, LOOKS));
        if here.worth.beyond_reach > 0 {
            return look(f64::INFINITY);
        }
        let looked = look(REACH)?;
        // As long as none sheds, one that does so out of reach is better.
        if here.worth.lacking > 0.0 && looked.worth.lacking > 0.0 {
            let higher = look(f64::INFINITY)?;
            if higher.worth.lacking <= 0.0 {
                return Some(higher);
            }
        }
        Some(looked)
    }

    /// Layouts that differ by one change.
    fn changes(&self, here: &Tried) -> Vec<(Kind, Layout)> {
        let ground = &self.grounds[here.ground];
        let posts = &here.layout.posts;
        let gap = self.rules.least_post_gap;
        let mut found = Vec::new();
        let mut with = |kind: Kind, posts: Vec<Place>| {
            let apart = posts.windows(2).all(|pair| {
                ground.station(pair[1].site) - ground.station(pair[0].site) >= gap - TINY
            });
            if apart {
                let hips = here.layout.hips.clone();
                found.push((kind, Layout { posts, hips }));
            }
        };
        for (index, post) in posts.iter().enumerate() {
            if ground.is_pinned(post.site) {
                continue;
            }
            let mut fewer = posts.clone();
            fewer.remove(index);
            with(Kind::Drop, fewer);
            for shift in SHIFTS {
                let Some(site) = post
                    .site
                    .checked_add_signed(shift)
                    .filter(|site| *site < ground.sites())
                else {
                    continue;
                };
                let taken = posts.iter().any(|other| other.site == site);
                let passed = posts.iter().enumerate().any(|(other, place)| {
                    (other < index && place.site >= site) || (other > index && place.site <= site)
                });
                if !taken && !passed {
                    let mut moved = posts.clone();
                    let height = post.cap - ground.base(post.site);
                    moved[index] = Place {
                        site,
                        cap: post.cap.max(ground.base(site) + height.min(0.1)),
                    };
                    with(Kind::Shift, moved);
                }
            }
        }
        if !self.boat.wishes.only_pinned {
            let [aft, fore] = self.hull.edge.ends();
            let mut stations = vec![aft];
            stations.extend(posts.iter().map(|post| ground.station(post.site)));
            stations.push(fore);
            for pair in stations.windows(2) {
                let middle = 0.5 * (pair[0] + pair[1]);
                let off = |site: &usize| (ground.station(*site) - middle).abs();
                let site = (0..ground.sites())
                    .filter(|site| (pair[0] + gap..=pair[1] - gap).contains(&ground.station(*site)))
                    .min_by(|a, b| off(a).total_cmp(&off(b)));
                if let Some(site) = site {
                    let mut more = posts.clone();
                    let cap = here.frame.profile_at(ground.station(site)) + self.rules.height_step;
                    more.push(Place { site, cap });
                    more.sort_by_key(|place| place.site);
                    with(Kind::Add, more);
                }
            }
            for (index, post) in posts.iter().enumerate() {
                if ground.is_pinned(post.site) {
                    continue;
                }
                let (at, base) = (ground.station(post.site), ground.base(post.site));
                let halves = [stations[index], stations[index + 2]].map(|end| {
                    let wanted = at + SPLIT * (end - at);
                    let off = |site: &usize| (ground.station(*site) - wanted).abs();
                    (0..ground.sites()).min_by(|a, b| off(a).total_cmp(&off(b)))
                });
                if let [Some(aft), Some(fore)] = halves {
                    let lower = |site| Place {
                        site,
                        cap: ground.base(site) + (1.0 - LOWERED) * (post.cap - base),
                    };
                    let mut two = posts.clone();
                    two.splice(index..=index, [lower(aft), lower(fore)]);
                    with(Kind::Split, two);
                }
            }
            for end in [End::Aft, End::Fore] {
                let mut layout = here.layout.clone();
                if layout.hips.iter().any(|hip| hip.end == end) {
                    layout.hips.retain(|hip| hip.end != end);
                } else {
                    let area = here.low.1.patches.first().map_or(0.0, |patch| patch.area);
                    layout.hips.extend(self.hips_at(end, area));
                }
                found.push((Kind::Hips, layout));
            }
        }
        found
    }

    /// Hip straps to both corners of an end, which take so much flat film away.
    pub(super) fn hips_at(&self, end: End, area: f64) -> impl Iterator<Item = HipWish> {
        let corner = move |hand| {
            let station = self.hull.corner(end, hand)?.x;
            Some(HipWish {
                end,
                hand,
                area,
                station,
            })
        };
        Hand::BOTH.into_iter().filter_map(corner)
    }
}
