//! Heights of the caps of one layout: linear programs on what the film promises, decided by the film.

use super::pool::{Tried, Worth, beyond_reach};
use super::{REACH, Search, TINY};
use crate::boat::Rules;
use crate::cover::{Cover, Stretcher};
use crate::frame::{Frame, Layout};
use crate::num::linear::{Least, least};
use crate::plan::measures::{Measures, lacking};
use crate::plan::tolerance::lowered;
use std::cmp::Ordering;

/// Flat film is brought down to this part of what is tolerated, so that the finer film also holds.
const PART: f64 = 0.9;

/// Steps of the linear programs for one set of posts, and on the fine film.
const STEPS: usize = 8;
const FINE_STEPS: usize = 4;

/// A post more must save this part of what a cover costs: coarse films do not tell less.
const POST_MORE: f64 = 0.005;

/// Raising does not help where the film promises to lack more than this part of what it lacks.
const HOPELESS: f64 = 0.9;

/// A step that saves less than this ends the steps, in the price book's money.
const MIN_GAIN: f64 = 0.05;

/// First change of a cap that is trusted, and largest, m.
pub(super) const TRUSTED: [f64; 2] = [0.2, 0.4];

/// What a square meter of flat film too much weighs in money: more than any frame costs.
const FLAT: f64 = 1e4;

/// What a meter of a broken rule weighs beside a square meter of flat film.
pub(super) const BROKEN: f64 = 10.0;

/// What heights are settled by.
#[derive(Clone, Copy)]
pub(super) struct Aim<'a> {
    /// The rules of slope.
    rules: &'a Rules,
    /// Flat film is brought down to this part of what is tolerated.
    part: f64,
    /// Height over its footing that a post may have at most, m.
    reach: f64,
    /// Cells of the films, m.
    cell: f64,
    /// Most steps of the linear programs.
    steps: usize,
}

impl Aim<'_> {
    /// The same with posts as high as so much over their footings.
    fn within(self, reach: f64) -> Self {
        Aim { reach, ..self }
    }
}

impl Search<'_> {
    /// Coarse films that are wanted a little steeper and less flat than the rules say, so that the finer film also holds.
    pub(super) fn roughly(&self, reach: f64, steps: usize) -> Aim<'_> {
        Aim {
            rules: &self.strict,
            part: PART,
            reach,
            cell: self.coarse,
            steps,
        }
    }

    /// The same on the fine film, which only corrects the coarse one.
    pub(super) fn strictly(&self, reach: f64) -> Aim<'_> {
        Aim {
            cell: self.cell,
            ..self.roughly(reach, FINE_STEPS)
        }
    }

    /// Fine films as the rules say.
    pub(super) fn exactly(&self, reach: f64) -> Aim<'_> {
        Aim {
            rules: self.rules,
            part: 1.0,
            ..self.strictly(reach)
        }
    }

    /// A layout on the film with low caps; `before` differs from it in heights alone.
    pub(super) fn attempt(
        &self,
        stretcher: &mut Stretcher,
        ground: usize,
        layout: &Layout,
        aim: Aim,
        before: Option<&Tried>,
    ) -> Option<Tried> {
        let place = &self.grounds[ground];
        let frame = match before {
            Some(before) => place.raised(self.hull, &before.frame, layout),
            None => place.frame(self.hull, self.boat, self.rules, layout)?,
        };
        let low = lowered(stretcher, &frame, self.rules, aim.cell)?;
        let (broken, _) = place.broken(self.hull, layout);
        let lacking = lacking(self.hull, self.rules, &low.1, aim.part) + BROKEN * broken;
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

    /// What the film and the posts of a frame cost, as far as heights decide it.
    pub(super) fn by_heights(&self, frame: &Frame, cover: &Cover) -> f64 {
        let [film, post] = self.marginal();
        let heights: f64 = frame.posts.iter().map(|post| post.cap - post.base).sum();
        film * cover.area + post * heights
    }

    /// What a square meter of film and a meter of post cost.
    pub(super) fn marginal(&self) -> [f64; 2] {
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
    /// where that does not do and caps stand at what a hand reaches. The stretcher may know the layout's mesh; `near` is
    /// the frame that it is a change of.
    pub(super) fn settle(
        &self,
        ground: usize,
        layout: &Layout,
        near: Option<&Tried>,
        mut stretcher: Stretcher,
    ) -> Option<Tried> {
        let aim = self.roughly(REACH, STEPS);
        let mut settled = self.descend(&mut stretcher, ground, layout, aim)?;
        let place = &self.grounds[ground];
        let above = |layout: &Layout, by: f64| {
            let mut posts = layout.posts.iter();
            posts.any(|post| post.cap + by > place.base(post.site) + REACH)
        };
        let beyond = above(layout, -TINY);
        let at_reach = above(&settled.layout, self.rules.height_step);
        if settled.worth.lacking > 0.0 && (at_reach || beyond) {
            let from = if beyond { layout } else { &settled.layout }.clone();
            let higher = self.descend(&mut stretcher, ground, &from, aim.within(f64::INFINITY))?;
            // What is out of reach must be worth it.
            if higher.worth.lacking <= self.nothing_yet().min(0.5 * settled.worth.lacking) {
                settled = higher;
            }
        }
        // What may lack nothing on a fine film is as good as what lacks a little less.
        if settled.worth.lacking > 0.0 {
            settled.worth.lacking = settled.worth.lacking.max(self.nothing_yet());
        }
        settled.worth.cost = 0.0;
        let by_heights = |tried: &Tried| self.by_heights(&tried.frame, &tried.low.1);
        let hopeful = near.is_none_or(|near| {
            // With as many pieces, what is not cheaper by its heights is not cheaper by much.
            let dearer = settled.layout.posts.len() == near.layout.posts.len()
                && settled.layout.hips.len() == near.layout.hips.len()
                && by_heights(&settled) > by_heights(near) + MIN_GAIN;
            settled.worth.order(&near.worth) == Ordering::Less && !dearer
        });
        settled.worth.cost = if hopeful {
            let posts = settled.layout.posts.len() as f64;
            self.cost(&settled.frame, &settled.low.1, self.coarse) * (1.0 + POST_MORE * posts)
        } else {
            f64::INFINITY
        };
        Some(settled)
    }

    /// Linear programs in a trust region, from a layout downhill.
    pub(super) fn descend(
        &self,
        stretcher: &mut Stretcher,
        ground: usize,
        layout: &Layout,
        aim: Aim,
    ) -> Option<Tried> {
        let step = self.rules.height_step;
        let clamp = |layout: &Layout| self.within(ground, layout, aim.reach);
        let mut here = self.attempt(stretcher, ground, &clamp(layout), aim, None)?;
        let mut measures = self.measures(stretcher, &here, aim);
        let mut trusted = TRUSTED[0];
        for _ in 0..aim.steps {
            let Some(change) = measures
                .as_ref()
                .and_then(|measures| self.program(&here, measures, aim, trusted))
            else {
                break;
            };
            // Where raising does not help, no more is raised.
            if here.worth.lacking > 0.0 && change.over > HOPELESS * here.worth.lacking {
                break;
            }
            // Up to the next step where film asks for it or nothing is to spare, so that a promise of the film is kept.
            let up = here.worth.lacking > 0.0 || aim.part >= 1.0;
            let next = clamp(&self.changed(&here.layout, &change.at, up));
            if next == here.layout {
                break;
            }
            let tried = self.attempt(stretcher, ground, &next, aim, Some(&here))?;
            let gain = self.merit(&here) - self.merit(&tried);
            if gain > 0.0 {
                trusted = (1.5 * trusted).min(TRUSTED[1]);
                here = tried;
                if gain < MIN_GAIN {
                    break;
                }
                measures = self.measures(stretcher, &here, aim);
            } else {
                trusted *= 0.3;
                if trusted < step {
                    break;
                }
            }
        }
        Some(here)
    }

    /// The layouts with one cap a step lower, and with all.
    pub(super) fn lower_caps(&self, ground: usize, layout: &Layout) -> Vec<Layout> {
        let place = &self.grounds[ground];
        let lower = |layout: &mut Layout, index: usize| {
            let post = &mut layout.posts[index];
            let [low, high] = place.range(post.site, self.rules);
            post.cap = (post.cap - self.rules.height_step).clamp(low, high);
        };
        let count = layout.posts.len();
        let mut all = layout.clone();
        (0..count).for_each(|index| lower(&mut all, index));
        let each = (0..count).map(|index| {
            let mut one = layout.clone();
            lower(&mut one, index);
            one
        });
        let mut lower: Vec<Layout> = each.filter(|one| one != layout).collect();
        if !lower.contains(&all) && all != *layout {
            lower.push(all);
        }
        lower
    }

    /// A layout with its caps changed, to the nearest step or to the next above.
    pub(super) fn changed(&self, layout: &Layout, change: &[f64], up: bool) -> Layout {
        let step = self.rules.height_step;
        let mut next = layout.clone();
        for (post, by) in next.posts.iter_mut().zip(change) {
            let grid = (post.cap + by) / step;
            let rounded = if up {
                (grid - TINY).ceil()
            } else {
                grid.round()
            };
            if by.abs() > TINY {
                post.cap = rounded * step;
            }
        }
        next
    }

    /// A layout with its caps as low and high as they may be, and within reach of a hand.
    pub(super) fn within(&self, ground: usize, layout: &Layout, reach: f64) -> Layout {
        let place = &self.grounds[ground];
        let mut layout = layout.clone();
        for post in &mut layout.posts {
            let [low, high] = place.range(post.site, self.rules);
            let high = high.min(place.base(post.site) + reach).max(low);
            post.cap = post.cap.clamp(low, high);
        }
        layout
    }

    pub(super) fn merit(&self, tried: &Tried) -> f64 {
        FLAT * tried.worth.lacking + self.by_heights(&tried.frame, &tried.low.1)
    }

    /// Measures of the film that was solved last.
    pub(super) fn measures(
        &self,
        stretcher: &mut Stretcher,
        tried: &Tried,
        aim: Aim,
    ) -> Option<Measures> {
        let answers = stretcher.answers()?;
        Some(Measures::of(&tried.low.1, aim.rules, answers))
    }

    /// The cheapest change of the caps that the film promises to be enough.
    pub(super) fn program(
        &self,
        here: &Tried,
        measures: &Measures,
        aim: Aim,
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
                let high = high.min(ground.base(place.site) + aim.reach).max(low);
                let low = (low - place.cap).max(-trusted).min(0.0);
                [low, (high - place.cap).min(trusted).max(low)]
            })
            .collect();
        let room = aim.part * self.rules.holding_patch;
        let all = aim.part * self.rules.flat_part * here.low.1.plan_area;
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
}
