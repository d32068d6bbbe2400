//! The search for a frame on the film itself: of what sheds and is within reach, the cheapest.
//!
//! First frames come from the section model and from the rounds of frame and film. For each, the heights of the caps are
//! settled: the solved film says how its flat areas answer to each cap, a linear program finds the cheapest change that
//! it promises to be enough within a trust region, and the film over the changed frame decides. Around the best, posts
//! are left out, added and moved by steps, hip straps added and left out, and heights settled again, until no single
//! change helps. The films are coarse until the end, and with their caps low, as hands may build them.

mod certify;
mod changes;
mod heights;
mod pool;

pub use certify::Certificate;

use super::fewer::FewerPosts;
use super::measures::{Measures, lacking};
use super::rounds::{Mended, Others};
use super::tolerance::lowered;
use super::{COARSER, shortfall, tolerance};
use crate::boat::{Boat, RidgeWish, Rules};
use crate::cover::{Cover, Stretcher};
use crate::film;
use crate::fittings;
use crate::frame::{Frame, Ground, Layout, design};
use crate::hull::Hull;
use crate::takeoff::{Learned, PostKind, PriceBook, Quote, take_off};
use heights::{BROKEN, TRUSTED};
pub use pool::Tried;
use pool::{Pool, Worth, beyond_reach};
use rayon::prelude::*;
use std::cmp::Ordering;

/// Posts up to this height over their footing are within a hand's reach from it, m; 6 ft.
const REACH: f64 = 1.8288;

/// Film is wanted so much steeper while frames are searched, rad; 0.3 deg.
const STEEPER: f64 = 0.00524;

/// Steps of the linear programs on the fine film, which only corrects the coarse one.
const FINE_STEPS: usize = 3;

/// A frame that sheds is looked at again on cells so much larger.
const OTHER_CELLS: f64 = 1.5;

/// Nodes, roughly, of the films that are searched on: a larger boat gets larger cells.
const COARSE_NODES: f64 = 1200.0;

/// What a search found.
pub(super) struct Found {
    pub mended: Mended,
    /// What it says of fewer posts; `None` where it tried none.
    pub fewer: Option<FewerPosts>,
    /// `None` where it was not asked for, or the frame does not shed.
    pub certificate: Option<Certificate>,
}

/// A layout settled on the fine film, its frame with its films, and their stretcher.
type Finished<'a> = (Layout, Mended, Stretcher<'a>);

/// What is searched.
pub(super) struct Search<'a> {
    hull: &'a Hull,
    boat: &'a Boat,
    rules: &'a Rules,
    /// The rules with film wanted a little steeper: what follows the mesh is kept off the verdict.
    strict: Rules,
    book: PriceBook,
    grounds: Vec<Ground>,
    cell: f64,
    coarse: f64,
}

impl<'a> Search<'a> {
    /// The search for a boat's frame on films of a cell; `None` where nothing is left to choose.
    pub fn new(
        hull: &'a Hull,
        boat: &'a Boat,
        rules: &'a Rules,
        first: &Frame,
        cell: f64,
    ) -> Option<Search<'a>> {
        let wishes = &boat.wishes;
        if wishes.only_pinned && wishes.posts.iter().all(|post| post.cap.is_some()) {
            return None;
        }
        let half_spacing = match wishes.ridge {
            RidgeWish::Single => 0.0,
            RidgeWish::Twin(spacing) => 0.5 * spacing,
            RidgeWish::Free => first.ridges.iter().copied().fold(0.0, f64::max),
        };
        let mut grounds = vec![Ground::new(hull, boat, rules, half_spacing)?];
        if wishes.ridge == RidgeWish::Free && half_spacing > 0.0 {
            grounds.extend(Ground::new(hull, boat, rules, 0.0));
        }
        Some(Search {
            hull,
            boat,
            rules,
            strict: Rules {
                min_slope: rules.min_slope + STEEPER,
                ..rules.clone()
            },
            book: PriceBook::demo().ok()?,
            grounds,
            cell,
            coarse: (COARSER * cell).max((hull.edge.plan_area() / COARSE_NODES).sqrt()),
        })
    }

    /// What a coarse film may lack of a frame that sheds on the fine one, m2.
    fn nothing_yet(&self) -> f64 {
        NOTHING_YET * self.rules.holding_patch
    }

    /// Whether a frame sheds on all its fine films.
    pub fn sheds(&self, mended: &Mended) -> bool {
        self.lacks(mended) <= 0.0
    }

    /// Whether it also sheds on other cells, as planned: a search runs into whatever one mesh forgives.
    fn is_sound(&self, mended: &Mended) -> bool {
        self.sheds(mended) && {
            let mut stretcher = Stretcher::near(self.hull, self.rules, &mended.others.planned);
            let cover = stretcher.stretch(&mended.frame, OTHER_CELLS * self.cell);
            cover.is_some_and(|cover| lacking(self.hull, self.rules, &cover, 1.0) <= 0.0)
        }
    }

    /// Whether one frame is worth more than another.
    pub fn prefers(&self, one: &Mended, other: &Mended) -> bool {
        self.worth_of(one).order(&self.worth_of(other)) == Ordering::Less
    }

    /// The best frame found from those given, with its films on the fine cells; where it sheds and is to be certified, its
    /// single changes were tried, too. `None` where there is none.
    pub fn best(&self, frames: &[&Frame], certify: bool) -> Option<Found> {
        let settled = self
            .starts(frames)
            .into_par_iter()
            .filter_map(|(ground, layout)| self.settle(ground, &layout, None))
            .collect::<Vec<_>>();
        let mut searched = settled.len();
        let mut pool = Pool::default();
        settled.into_iter().for_each(|tried| pool.put(tried));
        while let Some(here) = pool.next() {
            let (looked, promising) = self.promising(&here);
            let found: Vec<Tried> = promising
                .into_par_iter()
                .filter_map(|layout| self.settle(here.ground, &layout, Some(&here)))
                .collect();
            searched += looked;
            found.into_iter().for_each(|tried| pool.put(tried));
        }
        let (ground, (mut layout, mut mended, stretcher)) = self.first_sound(&pool)?;
        let mut certificate = None;
        if self.sheds(&mended) {
            if let Some(cheaper) = self.raised_a_little(ground, &layout, &mended, stretcher) {
                (layout, mended) = cheaper;
            }
            if certify {
                let (certified, told) = self.certified(ground, layout, mended, searched);
                (mended, certificate) = (certified, Some(told));
            }
        }
        let fewer = self.fewer_than(&mended.frame, &pool);
        Some(Found {
            mended,
            fewer,
            certificate,
        })
    }

    /// The best of the frames that also sheds on the fine film; where none of the first few does, what lacks least.
    fn first_sound<'b>(&'b self, pool: &'b Pool) -> Option<(usize, Finished<'b>)> {
        let mut least: Option<(Worth, usize, Finished)> = None;
        let frames = pool.by_worth();
        let hopeful = |tried: &&Tried| tried.worth.lacking <= self.nothing_yet();
        let count = frames.iter().copied().filter(hopeful).count();
        for tried in frames.into_iter().take(count.clamp(1, FINISHED)) {
            let Some(finished) = self.finished(tried) else {
                continue;
            };
            let worth = self.worth_of(&finished.1);
            let sheds = worth.lacking <= 0.0;
            let is_better =
                |(least, ..): &(Worth, usize, Finished)| worth.order(least) == Ordering::Less;
            if least.as_ref().is_none_or(is_better) {
                least = Some((worth, tried.ground, finished));
            }
            if sheds {
                break;
            }
        }
        least.map(|(_, ground, finished)| (ground, finished))
    }

    /// What the search can say of fewer posts than a frame has.
    fn fewer_than(&self, frame: &Frame, pool: &Pool) -> Option<FewerPosts> {
        let posts = frame.posts.len() / frame.ridges.len().max(1);
        let next = pool.best_under(posts)?;
        let fewest = self.grounds.iter().filter_map(Ground::fewest_posts).min();
        let proved = self.boat.wishes.posts.is_empty() && fewest >= Some(posts);
        Some(FewerPosts::of_search(self.hull, next, proved, frame))
    }

    /// First layouts: the frames given, and the section model's own within reach.
    fn starts(&self, frames: &[&Frame]) -> Vec<(usize, Layout)> {
        let mut rules = self.rules.clone();
        rules.max_post = rules.max_post.min(REACH);
        let reachable = design(self.hull, self.boat, &rules, &[], &[], None).ok();
        let mut starts: Vec<(usize, Layout)> = Vec::new();
        for frame in frames.iter().copied().chain(&reachable) {
            for (index, ground) in self.grounds.iter().enumerate() {
                let alike = (frame.ridges.len() > 1) == (ground.half_spacing() > 0.0);
                if let Some(layout) = ground.layout_of(frame).filter(|_| alike)
                    && !starts.contains(&(index, layout.clone()))
                {
                    starts.push((index, layout));
                }
            }
        }
        starts
    }

    /// Settles the best frame on the fine film as it may be built, or as near to that as raising its caps comes.
    /// The films' stretcher comes with it: it solved the frame as planned last.
    fn finished<'b>(&'b self, best: &'b Tried) -> Option<Finished<'b>> {
        let mut stretcher = Stretcher::near(self.hull, &self.strict, &best.low.1).roughly();
        let ground = best.ground;
        let hopeless = best.worth.lacking > self.nothing_yet();
        let reach = if best.worth.beyond_reach > 0 {
            f64::INFINITY
        } else {
            REACH
        };
        let mut layout = best.layout.clone();
        if !hopeless {
            let fine = self.descend(
                &mut stretcher,
                ground,
                &layout,
                reach,
                self.cell,
                FINE_STEPS,
            )?;
            let sheds = fine.worth.lacking <= 0.0;
            layout = fine.layout;
            stretcher = stretcher.by(self.rules);
            if sheds {
                layout = self.lower(&mut stretcher, ground, layout)?;
            }
        }
        let mut stretcher = stretcher.by(self.rules).finely();
        let mut least: Option<(f64, Layout, Mended)> = None;
        for _ in 0..=RAISES {
            let place = &self.grounds[ground];
            let frame = place.frame(self.hull, self.boat, self.rules, &layout)?;
            let mended = self.filmed(frame, &mut stretcher)?;
            if hopeless || self.is_sound(&mended) {
                return Some((layout, mended, stretcher));
            }
            // Built a little off it does not shed.
            let higher = self.raised(ground, layout.clone(), reach, &mended);
            let lacks = self.lacks(&mended);
            if least.as_ref().is_none_or(|(least, ..)| lacks < *least) {
                least = Some((lacks, layout, mended));
            }
            layout = higher;
        }
        let (_, layout, mended) = least?;
        stretcher.stretch(&mended.frame, self.cell)?;
        Some((layout, mended, stretcher))
    }

    /// A layout with its caps raised as the film that lacks most asks for, or all of them by a step.
    fn raised(&self, ground: usize, layout: Layout, reach: f64, mended: &Mended) -> Layout {
        let step = self.rules.height_step;
        let built = mended.built();
        let lacks = |cover: &Cover| lacking(self.hull, self.rules, cover, 1.0);
        let worst = built.max_by(|a, b| lacks(&a.1).total_cmp(&lacks(&b.1)));
        let asked = worst.and_then(|(deviation, cover)| {
            let mut stretcher = Stretcher::near(self.hull, &self.strict, cover).roughly();
            let cover = stretcher.stretch(&deviation.of(&mended.frame), self.cell)?;
            let measures = Measures::of(&cover, &self.strict, stretcher.answers()?);
            let here = Tried {
                ground,
                layout: layout.clone(),
                frame: mended.frame.clone(),
                low: (*deviation, cover),
                worth: self.worth_of(mended),
            };
            let change = self.program(&here, &measures, reach, TRUSTED[0])?.at;
            Some(self.within(ground, &self.changed(&layout, &change, true), reach))
        });
        asked.filter(|asked| *asked != layout).unwrap_or_else(|| {
            let all = vec![step; layout.posts.len()];
            self.within(ground, &self.changed(&layout, &all, true), f64::INFINITY)
        })
    }

    /// The frame with a cap or all a little higher, where that is cheaper: the film takes a pleat less now and then.
    fn raised_a_little(
        &self,
        ground: usize,
        layout: &Layout,
        mended: &Mended,
        stretcher: Stretcher,
    ) -> Option<(Layout, Mended)> {
        let (hull, rules, step) = (self.hull, self.rules, self.rules.height_step);
        let count = layout.posts.len();
        let one_by_one = if count > MAX_RAISED { 0 } else { count };
        let each = (0..one_by_one).map(|index| (0..count).map(|k| f64::from(k == index)).collect());
        let all = [1.0, 2.0, 4.0].map(|steps| vec![steps; count]);
        let rises: Vec<Vec<f64>> = each.chain(all).collect();
        let place = &self.grounds[ground];
        let cost = self.cost(&mended.frame, &mended.others.planned);
        let mut stretcher = stretcher.roughly();
        stretcher.answers()?;
        let reach = if beyond_reach(&mended.frame) > 0 {
            f64::INFINITY
        } else {
            REACH
        };
        let mut seen = vec![layout.clone()];
        let mut raised: Vec<(Layout, Frame, Cover)> = Vec::new();
        for rise in rises {
            let rise: Vec<f64> = rise.iter().map(|steps| steps * step).collect();
            let next = self.within(ground, &self.changed(layout, &rise, true), reach);
            if seen.contains(&next) || place.broken(hull, &next).0 > 0.0 {
                continue;
            }
            seen.push(next.clone());
            let frame = place.raised(hull, &mended.frame, &next);
            let cover = stretcher.stretch(&frame, self.cell)?;
            raised.push((next, frame, cover));
        }
        let costs = raised
            .into_par_iter()
            .map(|(layout, frame, cover)| (self.cost(&frame, &cover), layout));
        let (less, layout) = costs.min_by(|a, b| a.0.total_cmp(&b.0))?;
        if less >= cost {
            return None;
        }
        let frame = place.frame(hull, self.boat, rules, &layout)?;
        let next = self.filmed(frame, &mut stretcher.finely())?;
        let cheaper = self.is_sound(&next) && self.cost(&next.frame, &next.others.planned) < cost;
        cheaper.then_some((layout, next))
    }

    /// A frame with all its films.
    fn filmed(&self, frame: Frame, stretcher: &mut Stretcher) -> Option<Mended> {
        let (hull, rules, cell) = (self.hull, self.rules, self.cell);
        let low = lowered(stretcher, &frame, rules, cell)?;
        let others = Others::of(hull, &frame, rules, cell, &low.1, stretcher)?;
        Some(Mended {
            frame,
            low,
            others,
            rounds: 0,
        })
    }

    /// What a frame lacks on its fine films, as planned and as it may be built, m2.
    fn lacks(&self, mended: &Mended) -> f64 {
        let frame = &mended.frame;
        let planned = &mended.others.planned;
        let told = shortfall::shortfalls(self.hull, self.boat, self.rules, frame, planned);
        let built = tolerance::shortfalls(self.hull, self.rules, mended.built());
        if told.is_empty() && built.is_empty() {
            return 0.0;
        }
        let films = mended.built().map(|(_, cover)| cover).chain([planned]);
        let lacks = films.map(|cover| lacking(self.hull, self.rules, cover, 1.0));
        let broken = self.grounds.iter().find_map(|ground| {
            let alike = (frame.ridges.len() > 1) == (ground.half_spacing() > 0.0);
            let layout = ground.layout_of(frame).filter(|_| alike)?;
            Some(ground.broken(self.hull, &layout).0)
        });
        let lacks = lacks.fold(0.0, f64::max) + BROKEN * broken.unwrap_or(0.0);
        lacks.max(SOMETHING)
    }

    fn worth_of(&self, mended: &Mended) -> Worth {
        Worth {
            lacking: self.lacks(mended),
            beyond_reach: beyond_reach(&mended.frame),
            cost: self.cost(&mended.frame, &mended.others.planned),
        }
    }

    /// What a cover over a frame costs in materials and hours, in the price book's money.
    fn cost(&self, frame: &Frame, cover: &Cover) -> f64 {
        let (hull, boat, rules) = (self.hull, self.boat, self.rules);
        let film = film::lay(hull, boat, rules, frame, cover);
        let fittings = fittings::fit(hull, boat, rules, frame, cover, &film);
        let takeoff = take_off((hull, boat, rules), frame, cover, &film, &fittings);
        match Quote::new(
            &takeoff.materials,
            PostKind::default(),
            &self.book,
            &Learned::default(),
        ) {
            Ok(quote) => self
                .book
                .currency
                .amount(quote.materials_cost + quote.labour_cost),
            // No roll or lumber is large enough: dearer than all that can be priced.
            Err(_) => UNPRICED + cover.area,
        }
    }
}

/// What a coarse film lacks up to so many tolerated patches may lack nothing on a fine one.
const NOTHING_YET: f64 = 3.0;

/// Frames that are settled on the fine film, as long as none sheds there.
const FINISHED: usize = 3;

/// Times that caps are raised again where a frame built a little off does not shed.
const RAISES: usize = 6;

/// A cover that falls short by a rule and not by its film lacks at least this, m2.
const SOMETHING: f64 = 1e-3;

/// Where there are more posts than this, a pleat less is looked for with all caps together alone.
const MAX_RAISED: usize = 3;

/// Cost of a cover for which the price book has no roll or lumber.
const UNPRICED: f64 = 1e6;

/// Smaller changes of a cap are none, m.
const TINY: f64 = 1e-6;
