//! The frame against its single changes, on the verdict's own film.

use super::pool::beyond_reach;
use super::{Search, TINY};
use crate::boat::End;
use crate::cover::{Cover, Stretcher};
use crate::frame::{Frame, Layout};
use crate::plan::measures::lacking;
use crate::plan::rounds::Mended;
use crate::plan::tolerance::{Deviation, lowered};
use rayon::prelude::*;
use serde::Serialize;

/// What is known of a frame that was searched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Certificate {
    /// Frames that were tried on coarser films while it was searched.
    pub searched: usize,
    /// Single changes of it that were tried on the verdict's own film, or that break a rule of the ridge.
    pub changes: usize,
    /// None of them sheds within the same reach and is cheaper.
    pub holds: bool,
}

/// Times that a frame gives way to a cheaper one among its single changes.
const MAX_GIVEN_WAY: usize = 12;

/// A film on the search's cells that lacks so many tolerated patches sheds on no others.
const BY_FAR: f64 = 5.0;

/// A frame with as many posts whose film and lumber are dearer by this part of its cost on the search's cells is not
/// cheaper on others.
const DEARER: f64 = 0.01;

/// Less is no saving, in the price book's money.
const SAVING: f64 = 1e-6;

/// A changed frame that may cost less than the one that it changes.
struct Cheaper {
    layout: Layout,
    frame: Frame,
    /// What it costs, or what of that its heights decide.
    cost: f64,
}

impl Search<'_> {
    /// Tries every single change of a frame that sheds: a post left out or moved by one step, one cap or all a step lower,
    /// the hip straps of a corner left out. Where one sheds, too, and is cheaper, it takes the frame's place.
    pub(super) fn certified(
        &self,
        ground: usize,
        mut layout: Layout,
        mut mended: Mended,
        searched: usize,
    ) -> (Mended, Certificate) {
        let mut cost = self.cost_of(&mended);
        let mut given_way = 0;
        loop {
            let [lower, others] = [
                self.lower_caps(ground, &layout),
                self.single_changes(ground, &layout),
            ];
            let certificate = |holds| Certificate {
                searched,
                changes: lower.len() + others.len(),
                holds,
            };
            // Lower caps first: they ask for no mesh of their own.
            let shedding = self.that_shed(ground, &lower, &mended);
            let better = self.first_better(shedding, &mended, cost).or_else(|| {
                let changed = self.cheaper_of(ground, &others, &mended, cost);
                self.first_better(changed, &mended, cost)
            });
            let Some((other, next, less)) = better else {
                return (mended, certificate(true));
            };
            if given_way == MAX_GIVEN_WAY {
                return (mended, certificate(false));
            }
            given_way += 1;
            (layout, mended, cost) = (other, next, less);
        }
    }

    /// The cheapest of some frames that is sound on all its films and costs less.
    fn first_better(
        &self,
        mut frames: Vec<Cheaper>,
        than: &Mended,
        cost: f64,
    ) -> Option<(Layout, Mended, f64)> {
        frames.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        frames.into_iter().find_map(|cheaper| {
            let mut stretcher = Stretcher::near(self.hull, self.rules, &than.low.1);
            let low = lowered(&mut stretcher, &cheaper.frame, self.rules, self.cell)?;
            let (next, sound) = self.filmed(cheaper.frame, low, &mut stretcher)?;
            let less = self.cost_of(&next);
            (sound && less < cost - SAVING).then_some((cheaper.layout, next, less))
        })
    }

    /// Frames with caps lower, which take less film and lumber: those that shed however they may be built.
    fn that_shed(&self, ground: usize, lower: &[Layout], than: &Mended) -> Vec<Cheaper> {
        let (hull, rules) = (self.hull, self.rules);
        let place = &self.grounds[ground];
        let kept = lower
            .iter()
            .filter(|layout| place.broken(hull, layout).0 <= 0.0);
        let kept: Vec<&Layout> = kept.collect();
        let raised = |layout: &Layout| place.raised(hull, &than.frame, layout);
        let built: Vec<&(Deviation, Cover)> = than.built().collect();
        // Each way of building on a mesh of its own, from one film to the next.
        let sheds = built.par_iter().map(|(deviation, near)| {
            let mut stretcher = Stretcher::near(hull, rules, near).roughly();
            let from = stretcher.stretch(&deviation.of(&than.frame), self.cell);
            let can_tell = from.is_some() && stretcher.answers().is_some();
            let sheds = |layout: &&Layout| {
                can_tell
                    && stretcher
                        .stretch(&deviation.of(&raised(layout)), self.cell)
                        .is_some_and(|cover| lacking(hull, rules, &cover, 1.0) <= 0.0)
            };
            kept.iter().map(sheds).collect::<Vec<bool>>()
        });
        let sheds: Vec<Vec<bool>> = sheds.collect();
        let all = |index: usize| sheds.iter().all(|way| way.get(index) == Some(&true));
        let shed = (0..kept.len()).filter(|index| all(*index));
        shed.filter_map(|index| {
            let layout = kept[index];
            let frame = place.frame(hull, self.boat, rules, layout)?;
            let cost = self.by_heights(&frame, &than.low.1);
            Some(Cheaper {
                layout: layout.clone(),
                frame,
                cost,
            })
        })
        .collect()
    }

    /// Changed frames that with their caps low shed within the same reach and cost less.
    fn cheaper_of(
        &self,
        ground: usize,
        changes: &[Layout],
        than: &Mended,
        cost: f64,
    ) -> Vec<Cheaper> {
        let (hull, rules) = (self.hull, self.rules);
        let place = &self.grounds[ground];
        let coarse = |frame: &Frame| -> Option<(Stretcher, Cover)> {
            let mut stretcher = Stretcher::near(hull, rules, &than.low.1).roughly();
            let (_, cover) = lowered(&mut stretcher, frame, rules, self.coarse)?;
            Some((stretcher, cover))
        };
        let Some((_, own)) = coarse(&than.frame) else {
            return Vec::new();
        };
        let cheaper = |layout: &Layout| -> Option<Cheaper> {
            if place.broken(hull, layout).0 > 0.0 {
                return None;
            }
            let frame = place.frame(hull, self.boat, rules, layout)?;
            if beyond_reach(&frame) > beyond_reach(&than.frame) {
                return None;
            }
            let (mut stretcher, cover) = coarse(&frame)?;
            let dearer = self.by_heights(&frame, &cover) - self.by_heights(&than.frame, &own);
            let as_many = frame.posts.len() == than.frame.posts.len();
            if lacking(hull, rules, &cover, 1.0) > BY_FAR * rules.holding_patch
                || (as_many && dearer > DEARER * cost)
            {
                return None;
            }
            let (_, cover) = lowered(&mut stretcher, &frame, rules, self.cell)?;
            if lacking(hull, rules, &cover, 1.0) > 0.0 {
                return None;
            }
            let costs = self.cost(&frame, &cover, self.cell);
            (costs < cost - SAVING).then(|| Cheaper {
                layout: layout.clone(),
                frame,
                cost: costs,
            })
        };
        changes.par_iter().filter_map(cheaper).collect()
    }

    /// The single changes of a layout but lower caps.
    fn single_changes(&self, ground: usize, layout: &Layout) -> Vec<Layout> {
        let place = &self.grounds[ground];
        let mut changes = Vec::new();
        for index in 0..layout.posts.len() {
            if place.is_pinned(layout.posts[index].site) {
                continue;
            }
            let mut fewer = layout.clone();
            fewer.posts.remove(index);
            changes.push(fewer);
            for step in [-1, 1] {
                let mut moved = layout.clone();
                let site = moved.posts[index].site.checked_add_signed(step);
                let Some(site) = site.filter(|site| *site < place.sites()) else {
                    continue;
                };
                moved.posts[index].site = site;
                let [low, high] = place.range(site, self.rules);
                moved.posts[index].cap = moved.posts[index].cap.clamp(low, high);
                let gap = self.rules.least_post_gap - TINY;
                let mut pairs = moved.posts.windows(2);
                if pairs.all(|p| place.station(p[1].site) - place.station(p[0].site) >= gap) {
                    changes.push(moved);
                }
            }
        }
        for end in [End::Aft, End::Fore] {
            let mut fewer = layout.clone();
            fewer.hips.retain(|hip| hip.end != end);
            if fewer != *layout {
                changes.push(fewer);
            }
        }
        changes
    }
}
