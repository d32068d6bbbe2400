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
use super::measures::lacking;
use super::rounds::{Mended, Others, same_shape};
use super::tolerance::{Deviation, lowered};
use super::{COARSER, shortfall, tolerance};
use crate::boat::{Boat, End, RidgeWish, Rules};
use crate::cover::{Cover, Stretcher};
use crate::film;
use crate::fittings;
use crate::frame::{Frame, Ground, Layout, Place, design};
use crate::hull::Hull;
use crate::takeoff::{Learned, PostKind, PriceBook, Quote, take_off};
use heights::{BROKEN, TRUSTED};
pub use pool::Tried;
use pool::{Pool, Worth, beyond_reach};
use rayon::prelude::*;
use std::cmp::Ordering;

/// Posts up to this height over their footing are within a hand's reach from it, m; 6 ft.
const REACH: f64 = 1.8288;

/// Parts of a hand's reach, and of the longest span, under which the section model is asked for first frames.
const FIRST: [[f64; 2]; 4] = [[1.0, 1.0], [0.75, 1.0], [0.5, 1.0], [1.0, 0.75]];

/// Film is wanted so much steeper while frames are searched, rad; 0.3 deg.
const STEEPER: f64 = 0.00524;

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

/// The same with the ground that it stands on and what it is worth.
type Weighed<'a> = (Worth, usize, Finished<'a>);

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
        let coarse = (COARSER * cell).max((hull.edge.plan_area() / COARSE_NODES).sqrt());
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
            coarse,
        })
    }

    /// Cells of the films that are searched on, m.
    pub fn coarse(&self) -> f64 {
        self.coarse
    }

    /// What a coarse film may lack of a frame that sheds on the fine one, m2.
    fn nothing_yet(&self) -> f64 {
        NOTHING_YET * self.rules.holding_patch
    }

    /// Whether a frame sheds on all its fine films.
    pub fn sheds(&self, mended: &Mended) -> bool {
        self.lacks(mended) <= 0.0
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
            .filter_map(|(ground, layout)| {
                let stretcher = Stretcher::new(self.hull, &self.strict).roughly();
                self.settle(ground, &layout, None, stretcher)
            })
            .collect::<Vec<_>>();
        let mut searched = settled.len();
        let mut pool = Pool::default();
        settled.into_iter().for_each(|tried| pool.put(tried));
        while let Some(here) = pool.next() {
            let (looked, promising) = self.promising(&here);
            let found: Vec<Tried> = promising
                .into_par_iter()
                .filter_map(|(layout, stretcher)| {
                    self.settle(here.ground, &layout, Some(&here), stretcher)
                })
                .collect();
            searched += looked;
            found.into_iter().for_each(|tried| pool.put(tried));
        }
        let (worth, ground, (mut layout, mut mended, stretcher)) = self.first_sound(&pool)?;
        let mut certificate = None;
        if worth.lacking <= 0.0 {
            let cheaper = self.raised_a_little(ground, &layout, &mended, worth.cost, stretcher);
            if let Some(cheaper) = cheaper {
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
    fn first_sound<'b>(&'b self, pool: &'b Pool) -> Option<Weighed<'b>> {
        let mut least: Option<Weighed> = None;
        let frames = pool.by_worth();
        let hopeful = |tried: &&Tried| tried.worth.lacking <= self.nothing_yet();
        let count = frames.iter().copied().filter(hopeful).count();
        for tried in frames.into_iter().take(count.clamp(1, FINISHED)) {
            let Some(finished) = self.finished(tried) else {
                continue;
            };
            let worth = self.worth_of(&finished.1);
            let sheds = worth.lacking <= 0.0;
            let is_better = |(least, ..): &Weighed| worth.order(least) == Ordering::Less;
            if least.as_ref().is_none_or(is_better) {
                least = Some((worth, tried.ground, finished));
            }
            if sheds {
                break;
            }
        }
        least
    }

    /// What the search can say of fewer posts than a frame has.
    fn fewer_than(&self, frame: &Frame, pool: &Pool) -> Option<FewerPosts> {
        let posts = frame.posts.len() / frame.ridges.len().max(1);
        let next = pool.best_under(posts)?;
        let fewest = self.grounds.iter().filter_map(Ground::fewest_posts).min();
        let proved = self.boat.wishes.posts.is_empty() && fewest >= Some(posts);
        Some(FewerPosts::of_search(self.hull, next, proved, frame))
    }

    /// First layouts: the frames given, and the section model's own under posts and spans of several lengths: what is
    /// cheapest on the film may have more and lower posts than it asks for.
    fn starts(&self, frames: &[&Frame]) -> Vec<(usize, Layout)> {
        let designed: Vec<Frame> = FIRST
            .par_iter()
            .filter_map(|[post, span]| {
                let mut rules = self.rules.clone();
                rules.max_post = rules.max_post.min(post * REACH);
                rules.max_span *= span;
                design(self.hull, self.boat, &rules, &[], &[], None).ok()
            })
            .collect();
        let mut starts: Vec<(usize, Layout)> = Vec::new();
        for frame in frames.iter().copied().chain(&designed) {
            for (index, ground) in self.grounds.iter().enumerate() {
                let alike = (frame.ridges.len() > 1) == (ground.half_spacing() > 0.0);
                if let Some(layout) = ground.layout_of(frame).filter(|_| alike)
                    && !starts.contains(&(index, layout.clone()))
                {
                    starts.push((index, layout));
                }
            }
        }
        let least = starts.iter().min_by_key(|(_, layout)| layout.posts.len());
        if let Some((ground, fewest)) = least.cloned()
            && !self.boat.wishes.only_pinned
        {
            // The fewest posts may do with hip straps at every corner, or nearer to the ends.
            let mut hipped = fewest.clone();
            hipped.hips.clear();
            for end in [End::Aft, End::Fore] {
                hipped.hips.extend(self.hips_at(end, 0.0));
            }
            starts.push((ground, hipped));
            if let Some(first) = frames.first()
                && self.boat.wishes.posts.is_empty()
            {
                let spread = self.spread(ground, first, fewest.posts.len());
                starts.extend(spread.map(|layout| (ground, layout)));
            }
        }
        starts
    }

    /// So many posts, each in the middle of its part of the boat, with their caps at a frame's ridge; `None` where two of
    /// them would stand too near to each other.
    fn spread(&self, ground: usize, frame: &Frame, count: usize) -> Option<Layout> {
        let place = &self.grounds[ground];
        let [aft, fore] = self.hull.edge.ends();
        let posts: Option<Vec<Place>> = (0..count)
            .map(|index| {
                let wanted = aft + (fore - aft) * (index as f64 + 0.5) / count as f64;
                let off = |site: &usize| (place.station(*site) - wanted).abs();
                let site = (0..place.sites()).min_by(|a, b| off(a).total_cmp(&off(b)))?;
                let cap = frame.profile_at(place.station(site));
                Some(Place { site, cap })
            })
            .collect();
        let posts = posts?;
        let gap = self.rules.least_post_gap;
        let mut pairs = posts.windows(2);
        let apart = pairs.all(|p| place.station(p[1].site) - place.station(p[0].site) >= gap);
        apart.then_some(Layout {
            posts,
            hips: Vec::new(),
        })
    }

    /// Settles the best frame on the fine film as it may be built, or as near to that as raising its caps comes.
    /// The films' stretcher comes with it: it solved the frame as planned last.
    fn finished<'b>(&'b self, best: &'b Tried) -> Option<Finished<'b>> {
        let mut stretcher = Stretcher::near(self.hull, self.rules, &best.low.1);
        let ground = best.ground;
        let hopeless = best.worth.lacking > self.nothing_yet();
        let reach = if best.worth.beyond_reach > 0 {
            f64::INFINITY
        } else {
            REACH
        };
        let mut layout = best.layout.clone();
        let mut settled = None;
        if !hopeless {
            let fine = self.descend(&mut stretcher, ground, &layout, self.exactly(reach))?;
            layout = fine.layout;
            settled = Some((fine.frame, fine.low));
        }
        let mut least: Option<(f64, Layout, Frame)> = None;
        for _ in 0..=RAISES {
            let place = &self.grounds[ground];
            let frame = place.frame(self.hull, self.boat, self.rules, &layout)?;
            let low = match settled.take() {
                Some((settled, low)) if same_shape(&settled, &frame) => low,
                _ => lowered(&mut stretcher, &frame, self.rules, self.cell)?,
            };
            let lacks = lacking(self.hull, self.rules, &low.1, 1.0);
            let (lacks, worst) = if hopeless || lacks <= 0.0 {
                let (mended, sound) = self.filmed(frame.clone(), low, &mut stretcher)?;
                if hopeless || sound {
                    return Some((layout, mended, stretcher));
                }
                (self.lacks(&mended), self.worst(mended))
            } else {
                (lacks, low)
            };
            // Built a little off it does not shed.
            let higher = self.raised(ground, &layout, &frame, reach, worst);
            if least.as_ref().is_none_or(|(least, ..)| lacks < *least) {
                least = Some((lacks, layout, frame));
            }
            layout = higher;
        }
        let (_, layout, frame) = least?;
        let low = lowered(&mut stretcher, &frame, self.rules, self.cell)?;
        let (mended, _) = self.filmed(frame, low, &mut stretcher)?;
        Some((layout, mended, stretcher))
    }

    /// The film that lacks most of a frame as it may be built.
    fn worst(&self, mended: Mended) -> (Deviation, Cover) {
        let lacks = |built: &(Deviation, Cover)| lacking(self.hull, self.rules, &built.1, 1.0);
        let moved = mended.others.moved.into_iter();
        moved.fold(mended.low, |worst, built| {
            if lacks(&built) > lacks(&worst) {
                built
            } else {
                worst
            }
        })
    }

    /// A layout with its caps raised as a film over its frame asks for, or all of them by a step.
    fn raised(
        &self,
        ground: usize,
        layout: &Layout,
        frame: &Frame,
        reach: f64,
        (deviation, near): (Deviation, Cover),
    ) -> Layout {
        let ask = || {
            let mut stretcher = Stretcher::near(self.hull, &self.strict, &near);
            let cover = stretcher.stretch(&deviation.of(frame), self.cell)?;
            let aim = self.strictly(reach);
            let here = Tried {
                ground,
                layout: layout.clone(),
                frame: frame.clone(),
                low: (deviation, cover),
                worth: Worth::UNKNOWN,
            };
            let measures = self.measures(&mut stretcher, &here, aim)?;
            let change = self.program(&here, &measures, aim, TRUSTED[0])?.at;
            Some(self.within(ground, &self.changed(layout, &change, true), reach))
        };
        ask().filter(|asked| asked != layout).unwrap_or_else(|| {
            let all = vec![self.rules.height_step; layout.posts.len()];
            self.within(ground, &self.changed(layout, &all, true), f64::INFINITY)
        })
    }

    /// The frame with a cap or all a little higher, where that is cheaper: the film takes a pleat less now and then.
    fn raised_a_little(
        &self,
        ground: usize,
        layout: &Layout,
        mended: &Mended,
        cost: f64,
        stretcher: Stretcher,
    ) -> Option<(Layout, Mended)> {
        let (hull, rules, step) = (self.hull, self.rules, self.rules.height_step);
        let count = layout.posts.len();
        let one_by_one = if count > MAX_RAISED { 0 } else { count };
        let each = (0..one_by_one).map(|index| (0..count).map(|k| f64::from(k == index)).collect());
        let all = [1.0, 2.0, 4.0].map(|steps| vec![steps; count]);
        let rises: Vec<Vec<f64>> = each.chain(all).collect();
        let place = &self.grounds[ground];
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
            .map(|(layout, frame, cover)| (self.cost(&frame, &cover, self.cell), layout));
        let (less, layout) = costs.min_by(|a, b| a.0.total_cmp(&b.0))?;
        if less >= cost {
            return None;
        }
        let frame = place.frame(hull, self.boat, rules, &layout)?;
        let mut stretcher = stretcher.finely();
        let low = lowered(&mut stretcher, &frame, rules, self.cell)?;
        let (next, sound) = self.filmed(frame, low, &mut stretcher)?;
        (sound && self.cost_of(&next) < cost).then_some((layout, next))
    }

    /// A frame with all its films, and whether it sheds on them and, as planned, on other cells: a search runs into
    /// whatever one mesh forgives.
    fn filmed(
        &self,
        frame: Frame,
        low: (Deviation, Cover),
        stretcher: &mut Stretcher,
    ) -> Option<(Mended, bool)> {
        let (hull, rules, cell) = (self.hull, self.rules, self.cell);
        let (others, elsewhere) = rayon::join(
            || Others::of(hull, &frame, rules, cell, &low.1, stretcher),
            || Stretcher::near(hull, rules, &low.1).stretch(&frame, OTHER_CELLS * cell),
        );
        let mended = Mended {
            frame,
            low,
            others: others?,
            rounds: 0,
        };
        let holds = elsewhere.is_some_and(|cover| lacking(hull, rules, &cover, 1.0) <= 0.0);
        let sound = holds && self.sheds(&mended);
        Some((mended, sound))
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
            cost: self.cost_of(mended),
        }
    }

    fn cost_of(&self, mended: &Mended) -> f64 {
        self.cost(&mended.frame, &mended.others.planned, self.cell)
    }

    /// What a cover over a frame costs in materials and hours, in the price book's money; the sheet is laid as finely as
    /// the film is meshed, whatever the cells of the verdict's film.
    fn cost(&self, frame: &Frame, cover: &Cover, cell: f64) -> f64 {
        let (hull, boat) = (self.hull, self.boat);
        let rules = &Rules {
            cell,
            ..self.rules.clone()
        };
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
const MAX_RAISED: usize = 2;

/// Cost of a cover for which the price book has no roll or lumber.
const UNPRICED: f64 = 1e6;

/// Smaller changes of a cap are none, m.
const TINY: f64 = 1e-6;
