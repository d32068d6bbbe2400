//! Frames at heights that somebody else has chosen: what a search on the film tries.

use super::ridge::{
    ChainKind, ChainPoint, ChosenPost, Governs, Pin, RidgeAnswer, RidgeProblem, Status, Tight,
};
use super::sections::{FILM, Sites, ridge_problem, thing_name};
use super::{Frame, HipWish, Reason, Shortage};
use crate::boat::{Boat, End, Hand, Rules};
use crate::hull::Hull;

/// Where posts may stand under one ridge, or two alike, and what their heights must keep whatever the film does.
pub struct Ground {
    half_spacing: f64,
    problem: RidgeProblem,
    sites: Sites,
    /// Heights that the ridge must clear: station, height, and the thing's mark.
    clearances: Vec<(f64, f64, u32)>,
}

/// Posts by their sites, and corners with hip straps.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// From the stern.
    pub posts: Vec<Place>,
    /// Corners with a hip strap.
    pub hips: Vec<HipWish>,
}

/// A post of a layout; with twin ridges, a pair.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Its site, by its place in the [`Ground`].
    pub site: usize,
    /// Height of the cap, m.
    pub cap: f64,
}

/// Stations nearer to each other are one, m.
const SAME_STATION: f64 = 1e-6;

impl Ground {
    /// The places under the ridges at `+-half_spacing`; `None` where that line misses the boat.
    pub fn new(hull: &Hull, boat: &Boat, rules: &Rules, half_spacing: f64) -> Option<Ground> {
        let (problem, sites) = ridge_problem(hull, boat, rules, half_spacing, &[], None)?;
        let mut clearances = Vec::new();
        for section in &problem.sections {
            // Where a roof's rim is level, the film itself tells what slope it needs.
            let cleared = |point: &super::ridge::Touch| {
                let thing = hull.things.get((point.thing as usize).checked_sub(1)?)?;
                let outline = thing.section(section.station);
                let highest = outline.iter().map(|(_, z)| *z).fold(f64::MIN, f64::max);
                let height = point.height.min(highest + thing.clearance);
                Some((section.station, height, point.thing))
            };
            let under = section.points.iter().filter(|point| point.across == 0.0);
            clearances.extend(under.filter_map(cleared).max_by(|a, b| a.1.total_cmp(&b.1)));
        }
        Some(Ground {
            half_spacing,
            problem,
            sites,
            clearances,
        })
    }

    /// Half the distance between twin ridges, m; zero under one ridge.
    pub fn half_spacing(&self) -> f64 {
        self.half_spacing
    }

    /// How the ridge at a station rises with each cap of a layout: the parts add up to at most one.
    pub fn lift(&self, layout: &Layout, station: f64) -> Vec<f64> {
        let mut parts = vec![0.0; layout.posts.len()];
        for pair in self.chain(layout).windows(2) {
            let (a, b) = (&pair[0], &pair[1]);
            if (a.station..=b.station).contains(&station) {
                let part = (station - a.station) / (b.station - a.station);
                for (end, share) in [(a, 1.0 - part), (b, part)] {
                    if let ChainKind::Post(index) = end.kind
                        && let Some(sum) = parts.get_mut(index)
                    {
                        *sum = share;
                    }
                }
                break;
            }
        }
        parts
    }

    /// How many sites there are; they are counted from the stern.
    pub fn sites(&self) -> usize {
        self.sites.sites.len()
    }

    /// Station of a site, m.
    pub fn station(&self, site: usize) -> f64 {
        self.sites.sites[site].station
    }

    /// Height of a site's footing, m.
    pub fn base(&self, site: usize) -> f64 {
        self.sites.sites[site].base
    }

    /// Lowest and highest cap of a site, m; a pinned height is both.
    pub fn range(&self, site: usize, rules: &Rules) -> [f64; 2] {
        let post = &self.sites.sites[site];
        match post.pinned {
            Some(Pin::Height(height)) => [height, height],
            _ => {
                // The search for first frames may step coarser on a long boat.
                let step = self.problem.rules.height_step;
                let grid = rules.height_step;
                [
                    ((post.lowest as f64 * step) / grid).floor() * grid,
                    ((post.highest as f64 * step) / grid).floor() * grid,
                ]
                .map(|height| height.max(post.base))
            }
        }
    }

    /// Whether a post must stand at a site.
    pub fn is_pinned(&self, site: usize) -> bool {
        self.sites.sites[site].pinned.is_some()
    }

    /// A frame's layout; `None` where one of its posts stands at none of the sites.
    pub fn layout_of(&self, frame: &Frame) -> Option<Layout> {
        let mut posts: Vec<Place> = Vec::new();
        for post in &frame.posts {
            let same =
                |site: &super::ridge::PostSite| (site.station - post.station).abs() < SAME_STATION;
            let site = self.sites.sites.iter().position(same)?;
            if posts.iter().all(|place| place.site != site) {
                posts.push(Place {
                    site,
                    cap: post.cap,
                });
            }
        }
        posts.sort_by_key(|place| place.site);
        Some(Layout {
            posts,
            hips: frame.hips(),
        })
    }

    /// The supports of the ridge over a layout, anchors included: (station, height, kind), from the stern. What lies
    /// under the line between its neighbors carries nothing and is left out.
    fn chain(&self, layout: &Layout) -> Vec<ChainPoint> {
        let point = |station: f64, height: f64, kind| ChainPoint {
            station,
            height,
            kind,
        };
        let (stern, bow) = (&self.problem.stern, &self.problem.bow);
        let mut supports = vec![
            point(stern.station, stern.height, ChainKind::SternAnchor),
            point(bow.station, bow.height, ChainKind::BowAnchor),
        ];
        for (index, place) in layout.posts.iter().enumerate() {
            supports.push(point(
                self.station(place.site),
                place.cap,
                ChainKind::Post(index),
            ));
        }
        for (index, free) in self.problem.free.iter().enumerate() {
            supports.push(point(free.station, free.height, ChainKind::Free(index)));
        }
        supports.sort_by(|a, b| {
            a.station
                .total_cmp(&b.station)
                .then(b.height.total_cmp(&a.height))
        });
        let mut chain: Vec<ChainPoint> = Vec::new();
        for next in supports {
            if chain
                .last()
                .is_some_and(|last| next.station - last.station < SAME_STATION)
            {
                continue;
            }
            while let [.., before, last] = chain.as_slice() {
                let rise = (next.height - before.height) / (next.station - before.station);
                if last.height < before.height + rise * (last.station - before.station) - LEVEL {
                    chain.pop();
                } else {
                    break;
                }
            }
            chain.push(next);
        }
        chain
    }

    /// The fewest posts with which no span between supports passes the limit, whatever else: no frame under these ridges has
    /// fewer. `None` where no number does. Every place where the ridge may rest on the boat counts as a support.
    pub fn fewest_posts(&self) -> Option<usize> {
        let (stern, bow) = (self.problem.stern.station, self.problem.bow.station);
        let free = self.problem.free.iter().map(|free| (free.station, 0));
        let posts = self.sites.sites.iter().map(|site| (site.station, 1));
        let mut supports: Vec<(f64, usize)> = free.chain(posts).chain([(bow, 0)]).collect();
        supports.retain(|(station, _)| *station > stern);
        supports.sort_by(|a, b| a.0.total_cmp(&b.0));
        // From the stern, the fewest posts on the way to each support.
        let mut reached = vec![(stern, 0)];
        for (station, costs) in supports {
            let near = reached
                .iter()
                .filter(|(before, _)| station - before <= self.problem.rules.max_span + LEVEL);
            if let Some(fewest) = near.map(|(_, posts)| *posts).min() {
                reached.push((station, fewest + costs));
            }
        }
        let last = reached.last().filter(|(station, _)| *station >= bow)?;
        Some(last.1)
    }

    /// What a layout breaks whatever its film does: spans too long, things too near under the ridge, caps that carry
    /// nothing; all together in m, zero where it breaks nothing. The worst is told with it.
    pub fn broken(&self, hull: &Hull, layout: &Layout) -> (f64, Option<Shortage>) {
        let chain = self.chain(layout);
        let rules = &self.problem.rules;
        let mut sum = 0.0;
        let mut worst: Option<(f64, Shortage)> = None;
        let mut add = |by: f64, stretch: [f64; 2], cause: Reason| {
            sum += by;
            if worst.as_ref().is_none_or(|(most, _)| by > *most) {
                worst = Some((by, Shortage { stretch, cause }));
            }
        };
        for pair in chain.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let span = b.station - a.station;
            if span > rules.max_span + LEVEL {
                let cause = Reason::Span {
                    span,
                    limit: rules.max_span,
                };
                add(span - rules.max_span, [a.station, b.station], cause);
            }
            for tight in self.short_of(pair) {
                let short_by = -tight.margin;
                let cause = Reason::TooLow {
                    thing: thing_name(hull, tight.thing),
                    station: tight.station,
                    short_by,
                };
                add(short_by, [a.station, b.station], cause);
            }
        }
        for (index, place) in layout.posts.iter().enumerate() {
            let carries = chain
                .iter()
                .any(|point| point.kind == ChainKind::Post(index));
            if !carries && !self.is_pinned(place.site) {
                let station = self.station(place.site);
                add(IDLE, [station, station], Reason::Lift { station, by: 0.0 });
            }
        }
        (sum, worst.map(|(_, shortage)| shortage))
    }

    /// What governs the cap at a site, where a layout with that cap lower breaks a rule of the ridge.
    fn breaks(&self, lower: &Layout, site: usize) -> Option<Governs> {
        let chain = self.chain(lower);
        let station = self.station(site);
        let carried = chain
            .iter()
            .any(|point| (point.station - station).abs() < SAME_STATION);
        if !carried {
            let before = |point: &&ChainPoint| point.station < station;
            let aft = chain.iter().rfind(before)?.station;
            let fore = chain.iter().find(|point| point.station > station)?.station;
            return Some(Governs::Bearing { aft, fore });
        }
        chain.windows(2).find_map(|pair| {
            let near = pair
                .iter()
                .any(|p| (p.station - station).abs() < SAME_STATION);
            self.short_of(pair)
                .filter(|_| near)
                .min_by(|a, b| a.margin.total_cmp(&b.margin))
                .map(Governs::Need)
        })
    }

    /// Where a piece of the ridge does not clear what is under it.
    fn short_of(&self, pair: &[ChainPoint]) -> impl Iterator<Item = Tight> {
        let (a, b) = (pair[0], pair[1]);
        let (span, rules) = (b.station - a.station, &self.problem.rules);
        let over = self
            .clearances
            .iter()
            .filter(move |(station, ..)| (a.station..=b.station).contains(station));
        over.map(move |&(station, need, thing)| {
            let part = (station - a.station) / span;
            let sag = rules.pull * span * span / (2.0 * rules.tension) * part * (1.0 - part);
            let chord = a.height + (b.height - a.height) * part;
            Tight {
                station,
                need,
                chord,
                sag,
                thing,
                margin: chord - sag - need,
            }
        })
        .filter(|tight| tight.margin < -CLEARED)
    }

    /// Linear bounds of the heights of a layout's caps: each row of factors times the changes is at most its right
    /// side. Caps bear between their neighbors, and the ridge clears what is under it.
    pub fn rows(&self, layout: &Layout) -> Vec<(Vec<f64>, f64)> {
        let chain = self.chain(layout);
        let rules = &self.problem.rules;
        let count = layout.posts.len();
        let mut rows = Vec::new();
        let post = |point: &ChainPoint| match point.kind {
            ChainKind::Post(index) => Some(index),
            _ => None,
        };
        for three in chain.windows(3) {
            let (a, b, c) = (&three[0], &three[1], &three[2]);
            let Some(middle) = post(b) else { continue };
            let part = (b.station - a.station) / (c.station - a.station);
            let mut row = vec![0.0; count];
            row[middle] = -1.0;
            for (end, share) in [(a, 1.0 - part), (c, part)] {
                if let Some(index) = post(end) {
                    row[index] += share;
                }
            }
            rows.push((
                row,
                b.height - (a.height * (1.0 - part) + c.height * part) - BEARS,
            ));
        }
        for pair in chain.windows(2) {
            let (a, b) = (&pair[0], &pair[1]);
            let span = b.station - a.station;
            for (station, height, _) in &self.clearances {
                if !(a.station..=b.station).contains(station) {
                    continue;
                }
                let part = (station - a.station) / span;
                let sag = rules.pull * span * span / (2.0 * rules.tension) * part * (1.0 - part);
                let mut row = vec![0.0; count];
                for (end, share) in [(a, 1.0 - part), (b, part)] {
                    if let Some(index) = post(end) {
                        row[index] -= share;
                    }
                }
                if row.iter().all(|factor| *factor == 0.0) {
                    continue;
                }
                let chord = a.height + (b.height - a.height) * part;
                rows.push((row, chord - sag - height));
            }
        }
        rows
    }

    /// The frame of a layout; `None` where its ridge misses the boat.
    pub fn frame(&self, hull: &Hull, boat: &Boat, rules: &Rules, layout: &Layout) -> Option<Frame> {
        let step = rules.height_step;
        let governs = |(index, place): (usize, &Place)| {
            let [lowest, _] = self.range(place.site, rules);
            match self.sites.sites[place.site].pinned {
                Some(Pin::Height(_)) => return Governs::Pinned,
                _ if place.cap <= lowest + LEVEL => return Governs::LowestAllowed,
                _ => {}
            }
            // What a step less would break; where that is nothing, the film asks for the height.
            let mut lower = layout.clone();
            lower.posts[index].cap -= step;
            self.breaks(&lower, place.site)
                .unwrap_or(Governs::Need(Tight {
                    station: self.station(place.site),
                    need: place.cap,
                    chord: place.cap,
                    sag: 0.0,
                    thing: FILM,
                    margin: 0.0,
                }))
        };
        let posts: Vec<ChosenPost> = layout
            .posts
            .iter()
            .enumerate()
            .map(|(index, place)| {
                let site = &self.sites.sites[place.site];
                ChosenPost {
                    site: place.site,
                    footing: site.footing,
                    station: site.station,
                    base: site.base,
                    cap: place.cap,
                    governs: governs((index, place)),
                }
            })
            .collect();
        let answer = RidgeAnswer {
            status: Status::Holds,
            post_height_m: posts.iter().map(|post| post.cap - post.base).sum(),
            posts_tried: posts.len()..=posts.len(),
            posts,
            chain: self.chain(layout),
            segments: Vec::new(),
            violation_m: 0.0,
            shortfall: None,
        };
        let half = self.half_spacing;
        let mut frame =
            super::design::frame_of(hull, boat, rules, half, &answer, &self.sites, &layout.hips)?;
        frame.shortage = self.broken(hull, layout).1;
        Some(frame)
    }
}

impl Ground {
    /// A frame over the same posts with other heights, as far as the film needs it: ends and reasons stay as they were.
    pub fn raised(&self, hull: &Hull, frame: &Frame, layout: &Layout) -> Frame {
        let mut raised = frame.clone();
        for post in &mut raised.posts {
            let same =
                |place: &&Place| (self.station(place.site) - post.station).abs() < SAME_STATION;
            if let Some(place) = layout.posts.iter().find(same) {
                post.cap = place.cap;
            }
        }
        let chain = self.chain(layout);
        raised.profile = chain.iter().map(|p| (p.station, p.height)).collect();
        raised.shortage = self.broken(hull, layout).1;
        raised
    }
}

/// Heights that differ by less are level, m.
const LEVEL: f64 = 1e-6;

/// A thing under the ridge is cleared where no more than this is lacking, m.
const CLEARED: f64 = 1e-4;

/// What a cap that carries nothing weighs, m.
const IDLE: f64 = 0.1;

/// A cap stands at least this far over the line between its neighbors, m: a quarter of an inch.
const BEARS: f64 = 0.00635;

impl Frame {
    /// The corners that have hip straps of the plan's own.
    pub fn hips(&self) -> Vec<HipWish> {
        let own = self.straps.iter().filter(|strap| !strap.pinned);
        own.filter_map(|strap| {
            let Reason::Corner { area, station } = strap.reason else {
                return None;
            };
            let (from, to) = (strap.plan.first()?, strap.plan.last()?);
            Some(HipWish {
                end: if to.x < from.x { End::Aft } else { End::Fore },
                hand: if to.y >= from.y {
                    Hand::Port
                } else {
                    Hand::Starboard
                },
                area,
                station,
            })
        })
        .collect()
    }
}
