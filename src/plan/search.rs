//! The search for a frame on the film itself: of what sheds and is within reach, the cheapest.
//!
//! First frames come from the section model and from the rounds of frame and film. For each, the heights of the caps are
//! settled: the solved film says how its flat areas answer to each cap, a linear program finds the cheapest change that
//! it promises to be enough within a trust region, and the film over the changed frame decides. Around the best, posts
//! are left out, added and moved by steps, hip straps added and left out, and heights settled again, until no single
//! change helps. The films are coarse until the end, and with their caps low, as hands may build them.

use super::measures::{Measures, lacking};
use super::rounds::{Mended, Others};
use super::tolerance::{Deviation, lowered};
use super::{COARSER, shortfall, tolerance};
use crate::boat::{Boat, End, Hand, RidgeWish, Rules};
use crate::cover::{Cover, Stretcher};
use crate::film;
use crate::fittings;
use crate::frame::{Frame, Ground, HipWish, Layout, Place, design};
use crate::hull::Hull;
use crate::num::linear::{Least, least};
use crate::takeoff::{Learned, PostKind, PriceBook, Quote, take_off};
use rayon::prelude::*;
use std::cmp::Ordering;

/// Posts up to this height over their footing are within a hand's reach from it, m; 6 ft.
const REACH: f64 = 1.8288;

/// Flat film is brought down to this part of what is tolerated, so that the finer film also holds.
const PART: f64 = 0.9;

/// Steps of the linear programs for one set of posts.
const STEPS: usize = 8;

/// The same on the fine film, which only corrects the coarse one.
const FINE_STEPS: usize = 3;

/// Raising does not help where the film promises to lack more than this part of what it lacks.
const HOPELESS: f64 = 0.9;

/// A step that saves less than this ends the steps, in the price book's money.
const LEAST_GAIN: f64 = 0.05;

/// Nodes, roughly, of the films that are searched on: a larger boat gets larger cells.
const COARSE_NODES: f64 = 1200.0;

/// Frames about which single changes are tried.
const EXPANSIONS: usize = 3;

/// A frame with another number of posts that costs no more than this part more may yet become the cheapest.
const RIVAL: f64 = 0.03;

/// First change of a cap that is trusted, and largest, m.
const TRUSTED: [f64; 2] = [0.2, 0.4];

/// What a square metre of flat film too much weighs in money: more than any frame costs.
const FLAT: f64 = 1e4;

/// What a metre of a broken rule weighs beside a square metre of flat film.
const BROKEN: f64 = 10.0;

/// Sites by which a post is moved: one step, and a foot on the default grid.
const SHIFTS: [isize; 4] = [-4, -1, 1, 4];

/// Steps by which changes are looked over.
const LOOKS: usize = 2;

/// Posts moved that are followed further; of the other kinds of change the best one.
const SHIFTS_EACH: usize = 2;

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

/// A frame that was tried on a film.
#[derive(Clone)]
struct Tried {
    ground: usize,
    layout: Layout,
    frame: Frame,
    low: (Deviation, Cover),
    worth: Worth,
}

/// What a frame is worth: less is better, the first that differs decides.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Worth {
    /// Flat film too much, hollows, broken rules, m2.
    lacking: f64,
    /// Posts higher than a hand reaches.
    beyond_reach: usize,
    /// In the money of the price book.
    cost: f64,
}

impl Worth {
    fn order(&self, other: &Worth) -> Ordering {
        self.lacking
            .total_cmp(&other.lacking)
            .then(self.beyond_reach.cmp(&other.beyond_reach))
            .then(self.cost.total_cmp(&other.cost))
    }
}

/// What is searched.
pub(super) struct Search<'a> {
    hull: &'a Hull,
    boat: &'a Boat,
    rules: &'a Rules,
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
            book: PriceBook::demo().ok()?,
            grounds,
            cell,
            coarse: (COARSER * cell).max((hull.edge.plan_area() / COARSE_NODES).sqrt()),
        })
    }

    /// The best frame found from those given, with its films on the fine cells; `None` where none was found that is better
    /// than the one that the rounds have ended with.
    pub fn best(&self, first: &Frame, mended: &Mended) -> Option<Mended> {
        let starts = self.starts(&[first, &mended.frame]);
        let settled = starts
            .into_par_iter()
            .filter_map(|(ground, layout)| self.settle(ground, &layout, None))
            .collect::<Vec<_>>();
        let mut pool = Pool::default();
        settled.into_iter().for_each(|tried| pool.put(tried));
        while let Some(here) = pool.next() {
            let found: Vec<Tried> = self
                .promising(&here)
                .into_par_iter()
                .filter_map(|layout| self.settle(here.ground, &layout, Some(&here)))
                .collect();
            found.into_iter().for_each(|tried| pool.put(tried));
        }
        let best = pool.best()?.clone();
        let before = self.worth_of(mended);
        let found = self.finished(best)?;
        (self.worth_of(&found).order(&before) == Ordering::Less).then_some(found)
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

    /// A layout on the film with low caps; `before` differs from it in heights alone.
    fn attempt(
        &self,
        stretcher: &mut Stretcher,
        ground: usize,
        layout: &Layout,
        cell: f64,
        before: Option<&Tried>,
    ) -> Option<Tried> {
        let place = &self.grounds[ground];
        let frame = match before {
            Some(before) => place.raised(self.hull, &before.frame, layout),
            None => place.frame(self.hull, self.boat, self.rules, layout)?,
        };
        let low = lowered(stretcher, &frame, self.rules, cell)?;
        let (broken, _) = self.grounds[ground].broken(self.hull, layout);
        let lacking = lacking(self.hull, self.rules, &low.1, PART) + BROKEN * broken;
        Some(Tried {
            ground,
            layout: layout.clone(),
            worth: Worth {
                lacking,
                beyond_reach: beyond_reach(&frame),
                cost: f64::INFINITY,
            },
            frame,
            low,
        })
    }

    /// What the film and the posts of a layout cost, as far as heights decide it.
    fn by_heights(&self, tried: &Tried) -> f64 {
        let [film, post] = self.marginal();
        let heights: f64 = tried
            .frame
            .posts
            .iter()
            .map(|post| post.cap - post.base)
            .sum();
        film * tried.low.1.area + post * heights
    }

    /// What a square metre of film and a metre of post cost.
    fn marginal(&self) -> [f64; 2] {
        let book = &self.book;
        let amount = |money| book.currency.amount(money);
        let film = book
            .rolls
            .iter()
            .map(|roll| amount(roll.price) / (roll.width * roll.length));
        let sticks = book.posts.stock.iter();
        let post = sticks.map(|stick| amount(stick.price) / stick.length);
        [
            film.fold(f64::INFINITY, f64::min) * (1.0 + book.film_waste),
            post.fold(f64::INFINITY, f64::min) * (1.0 + book.posts.waste)
                / f64::from(book.posts.winters.max(1)),
        ]
    }

    /// The heights of a layout's caps settled on the coarse film: first within reach, then as high as the rules allow
    /// where that does not do and caps stand at what a hand reaches.
    fn settle(&self, ground: usize, layout: &Layout, near: Option<&Tried>) -> Option<Tried> {
        let mut stretcher = match near {
            Some(near) => Stretcher::near(self.hull, self.rules, &near.low.1),
            None => Stretcher::new(self.hull, self.rules),
        }
        .roughly();
        let mut settled =
            self.descend(&mut stretcher, ground, layout, REACH, self.coarse, STEPS)?;
        let place = &self.grounds[ground];
        let at_reach = settled
            .layout
            .posts
            .iter()
            .any(|post| post.cap + self.rules.height_step > place.base(post.site) + REACH);
        if settled.worth.lacking > 0.0 && at_reach {
            let from = settled.layout.clone();
            let higher = self.descend(
                &mut stretcher,
                ground,
                &from,
                f64::INFINITY,
                self.coarse,
                STEPS,
            )?;
            // What is out of reach must be worth it.
            if higher.worth.lacking <= 0.0 {
                settled = higher;
            }
        }
        settled.worth.cost = 0.0;
        let hopeful = near.is_none_or(|near| {
            // With as many pieces, what is not cheaper by its heights is not cheaper by much.
            let dearer = settled.layout.posts.len() == near.layout.posts.len()
                && settled.layout.hips.len() == near.layout.hips.len()
                && self.by_heights(&settled) > self.by_heights(near) + LEAST_GAIN;
            settled.worth.order(&near.worth) == Ordering::Less && !dearer
        });
        if hopeful {
            settled.worth.cost = self.cost(&settled.frame, &settled.low.1);
        } else {
            settled.worth.cost = f64::INFINITY;
        }
        Some(settled)
    }

    /// Linear programs in a trust region, from a layout downhill: at most so many.
    fn descend(
        &self,
        stretcher: &mut Stretcher,
        ground: usize,
        layout: &Layout,
        reach: f64,
        cell: f64,
        steps: usize,
    ) -> Option<Tried> {
        let step = self.rules.height_step;
        let clamp = |layout: &Layout| self.within(ground, layout, reach);
        let mut here = self.attempt(stretcher, ground, &clamp(layout), cell, None)?;
        let mut measures = self.measures(stretcher, &here);
        let mut trusted = TRUSTED[0];
        for _ in 0..steps {
            let Some(change) = measures
                .as_ref()
                .and_then(|measures| self.program(&here, measures, reach, trusted))
            else {
                break;
            };
            // Where raising does not help, no more is raised.
            if here.worth.lacking > 0.0 && change.over > HOPELESS * here.worth.lacking {
                break;
            }
            let mut next = here.layout.clone();
            for (post, by) in next.posts.iter_mut().zip(&change.at) {
                let grid = (post.cap + by) / step;
                // Up to the next step where film asks for it, so that a promise of the film is kept.
                let rounded = if here.worth.lacking > 0.0 {
                    (grid - TINY).ceil()
                } else {
                    grid.round()
                };
                if by.abs() > TINY {
                    post.cap = rounded * step;
                }
            }
            let next = clamp(&next);
            if next == here.layout {
                break;
            }
            let tried = self.attempt(stretcher, ground, &next, cell, Some(&here))?;
            let gain = self.merit(&here) - self.merit(&tried);
            if gain > 0.0 {
                trusted = (1.5 * trusted).min(TRUSTED[1]);
                here = tried;
                if gain < LEAST_GAIN {
                    break;
                }
                measures = self.measures(stretcher, &here);
            } else {
                trusted *= 0.3;
                if trusted < step {
                    break;
                }
            }
        }
        Some(here)
    }

    /// A layout with its caps as low and high as they may be, and within reach of a hand.
    fn within(&self, ground: usize, layout: &Layout, reach: f64) -> Layout {
        let place = &self.grounds[ground];
        let mut layout = layout.clone();
        for post in &mut layout.posts {
            let [low, high] = place.range(post.site, self.rules);
            let high = high.min(place.base(post.site) + reach).max(low);
            post.cap = post.cap.clamp(low, high);
        }
        layout
    }

    fn merit(&self, tried: &Tried) -> f64 {
        FLAT * tried.worth.lacking + self.by_heights(tried)
    }

    /// Measures of the film that was solved last.
    fn measures(&self, stretcher: &mut Stretcher, tried: &Tried) -> Option<Measures> {
        let answers = stretcher.answers()?;
        Some(Measures::of(&tried.low.1, self.rules, &answers))
    }

    /// The cheapest change of the caps that the film promises to be enough.
    fn program(
        &self,
        here: &Tried,
        measures: &Measures,
        reach: f64,
        trusted: f64,
    ) -> Option<Least> {
        let ground = &self.grounds[here.ground];
        let count = here.layout.posts.len();
        if count == 0 {
            return None;
        }
        let ridges = here.frame.posts.len() / count;
        // Posts abreast go up and down together.
        let together = |answers: &[f64]| -> Vec<f64> {
            answers
                .chunks(ridges)
                .map(|pair| pair.iter().sum())
                .collect()
        };
        let [film, post] = self.marginal();
        let cost: Vec<f64> = together(&measures.film)
            .iter()
            .map(|answer| film * answer + post * ridges as f64)
            .collect();
        let bounds: Vec<[f64; 2]> = here
            .layout
            .posts
            .iter()
            .map(|place| {
                let [low, high] = ground.range(place.site, self.rules);
                let high = high.min(ground.base(place.site) + reach).max(low);
                let low = (low - place.cap).max(-trusted).min(0.0);
                [low, (high - place.cap).min(trusted).max(low)]
            })
            .collect();
        let room = PART * self.rules.holding_patch;
        let all = PART * self.rules.flat_part * here.low.1.plan_area;
        let mut soft: Vec<(Vec<f64>, f64)> = Vec::new();
        let mut whole = (vec![0.0; count], all);
        for zone in &measures.zones {
            let answers = together(&zone.answers);
            for (sum, answer) in whole.0.iter_mut().zip(&answers) {
                *sum += answer;
            }
            whole.1 -= zone.flat;
            soft.push((answers, room - zone.patch));
        }
        soft.push(whole);
        // Film on what it must not touch, and hollows: the ridge goes up there.
        let cover = &here.low.1;
        let touched = cover.contacts.iter().filter(|contact| {
            self.hull
                .things
                .get(contact.thing)
                .is_some_and(|thing| !thing.film_may_rest)
        });
        let lows = touched
            .map(|contact| (contact.at.x, self.rules.height_step))
            .chain(
                cover
                    .ponds
                    .iter()
                    .map(|pond| (pond.deepest.x, pond.depth + self.rules.height_step)),
            );
        for (station, rise) in lows {
            soft.push((
                ground
                    .lift(&here.layout, station)
                    .iter()
                    .map(|part| -part)
                    .collect(),
                -rise,
            ));
        }
        let mut hard = Vec::new();
        for (row, limit) in ground.rows(&here.layout) {
            if limit >= 0.0 {
                hard.push((row, limit));
            } else {
                soft.push((row, limit));
            }
        }
        least(&cost, &bounds, &hard, &soft, FLAT)
    }

    /// The changes that a step or two make look best, a few of each kind.
    fn promising(&self, here: &Tried) -> Vec<Layout> {
        let mut looked: Vec<(Kind, Tried)> = self
            .changes(here)
            .into_par_iter()
            .filter_map(|(kind, layout)| {
                let near = Stretcher::near(self.hull, self.rules, &here.low.1);
                let mut stretcher = near.roughly();
                let reach = if here.worth.beyond_reach > 0 {
                    f64::INFINITY
                } else {
                    REACH
                };
                let looked = self.descend(
                    &mut stretcher,
                    here.ground,
                    &layout,
                    reach,
                    self.coarse,
                    LOOKS,
                )?;
                Some((kind, looked))
            })
            .collect();
        looked.sort_by(|(_, a), (_, b)| a.worth.order(&b.worth));
        let mut taken = [0; 5];
        looked.retain(|(kind, _)| {
            taken[*kind as usize] += 1;
            taken[*kind as usize] <= if *kind == Kind::Shift { SHIFTS_EACH } else { 1 }
        });
        looked.into_iter().map(|(_, tried)| tried.layout).collect()
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
                    for hand in Hand::BOTH {
                        let Some(corner) = self.hull.corner(end, hand) else {
                            continue;
                        };
                        layout.hips.push(HipWish {
                            end,
                            hand,
                            area,
                            station: corner.x,
                        });
                    }
                }
                found.push((Kind::Hips, layout));
            }
        }
        found
    }

    /// Settles the best frame on the fine film, and proves it as it may be built; `None` where that cannot be had.
    fn finished(&self, best: Tried) -> Option<Mended> {
        let cell = self.cell;
        let near = best.low.1.clone();
        let mut stretcher = Stretcher::near(self.hull, self.rules, &near);
        let ground = best.ground;
        let mut fine = if best.worth.lacking > 0.0 {
            self.attempt(&mut stretcher, ground, &best.layout, cell, None)?
        } else {
            let reach = if best.worth.beyond_reach > 0 {
                f64::INFINITY
            } else {
                REACH
            };
            let steps = FINE_STEPS;
            let fine = self.descend(&mut stretcher, ground, &best.layout, reach, cell, steps)?;
            if fine.worth.lacking > 0.0 {
                fine
            } else {
                self.lower(&mut stretcher, fine)?
            }
        };
        for _ in 0..RAISES {
            fine.frame =
                self.grounds[ground].frame(self.hull, self.boat, self.rules, &fine.layout)?;
            let others = Others::of(
                self.hull,
                &fine.frame,
                self.rules,
                cell,
                &fine.low.1,
                &mut stretcher,
            )?;
            let mended = Mended {
                frame: fine.frame.clone(),
                low: fine.low.clone(),
                others,
                rounds: 0,
            };
            if fine.worth.lacking > 0.0 || self.lacks(&mended) <= 0.0 {
                return Some(mended);
            }
            // Built a little off it does not shed: all caps that are free go up a step.
            let mut layout = fine.layout.clone();
            let place = &self.grounds[ground];
            for post in &mut layout.posts {
                let [low, high] = place.range(post.site, self.rules);
                post.cap = (post.cap + self.rules.height_step).clamp(low, high);
            }
            fine = self.attempt(&mut stretcher, ground, &layout, cell, Some(&fine))?;
        }
        None
    }

    /// Lowers caps a step at a time, each and all, while the film holds and it is cheaper.
    fn lower(&self, stretcher: &mut Stretcher, mut here: Tried) -> Option<Tried> {
        let ground = &self.grounds[here.ground];
        loop {
            let count = here.layout.posts.len();
            let all: Vec<usize> = (0..count).collect();
            let sets = (0..count)
                .map(|index| vec![index])
                .chain((count > 1).then_some(all));
            let mut found = None;
            for set in sets {
                let mut layout = here.layout.clone();
                for index in set {
                    let post = &mut layout.posts[index];
                    let [low, high] = ground.range(post.site, self.rules);
                    post.cap = (post.cap - self.rules.height_step).clamp(low, high);
                }
                if layout == here.layout {
                    continue;
                }
                let tried =
                    self.attempt(stretcher, here.ground, &layout, self.cell, Some(&here))?;
                if tried.worth.lacking <= 0.0 {
                    found = Some(tried);
                    break;
                }
            }
            match found {
                Some(tried) => here = tried,
                None => return Some(here),
            }
        }
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
        lacks.fold(0.0, f64::max).max(SOMETHING)
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

/// Times that caps are raised together where a frame built a little off does not shed.
const RAISES: usize = 4;

/// A cover that falls short by a rule and not by its film lacks at least this, m2.
const SOMETHING: f64 = 1e-3;

/// Cost of a cover for which the price book has no roll or lumber.
const UNPRICED: f64 = 1e6;

/// Smaller changes of a cap are none, m.
const TINY: f64 = 1e-6;

fn beyond_reach(frame: &Frame) -> usize {
    let high = |post: &&crate::frame::Post| post.cap - post.base > REACH + TINY;
    frame.posts.iter().filter(high).count()
}

/// The best frame of each number of posts, and whether the changes about it were tried.
#[derive(Default)]
struct Pool {
    frames: Vec<(Tried, bool)>,
    tried: usize,
}

impl Pool {
    /// Keeps a frame where it is the best of its number of posts.
    fn put(&mut self, tried: Tried) {
        let count = tried.layout.posts.len();
        let same = |(other, _): &&mut (Tried, bool)| other.layout.posts.len() == count;
        match self.frames.iter_mut().find(same) {
            Some(other) if tried.worth.order(&other.0.worth) == Ordering::Less => {
                *other = (tried, false);
            }
            Some(_) => {}
            None => self.frames.push((tried, false)),
        }
    }

    fn best(&self) -> Option<&Tried> {
        let frames = self.frames.iter().map(|(tried, _)| tried);
        frames.min_by(|a, b| a.worth.order(&b.worth))
    }

    /// The next frame about which changes are tried: the best, then what comes near it with more or fewer posts.
    fn next(&mut self) -> Option<Tried> {
        let best = self.best()?.worth;
        let near = |tried: &Tried| {
            tried.worth.order(&best) != Ordering::Greater
                || (tried.worth.lacking <= best.lacking
                    && tried.worth.beyond_reach <= best.beyond_reach
                    && tried.worth.cost <= best.cost * (1.0 + RIVAL))
        };
        if self.tried == EXPANSIONS {
            return None;
        }
        let open = self
            .frames
            .iter_mut()
            .filter(|(tried, done)| !done && near(tried));
        let next = open.min_by(|(a, _), (b, _)| a.worth.order(&b.worth))?;
        next.1 = true;
        self.tried += 1;
        Some(next.0.clone())
    }
}
