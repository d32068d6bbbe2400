//! Hours by step: what the price book says, times what a yard's own crews have shown.

use super::materials::{Materials, StrapUse};
use super::prices::{Labour, Per, Step};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Hours of one person by step, in the order of the work.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Hours(pub BTreeMap<Step, f64>);

/// What recorded jobs say about the hours of the price book.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Learned {
    /// By step; a step that was never recorded is missing.
    pub steps: BTreeMap<Step, LearnedStep>,
}

/// What was learned about a step.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LearnedStep {
    /// Hours taken over hours by the price book.
    pub factor: f64,
    /// Standard error of that factor.
    pub error: f64,
    /// Spread of a single job about it, h.
    pub spread: f64,
    /// Jobs that it was learned from.
    pub jobs: usize,
}

impl Hours {
    /// Hours by the price book's times.
    #[must_use]
    pub fn by_book(materials: &Materials, labour: &Labour) -> Hours {
        let steps = labour.steps.iter().map(|time| {
            let each = time.each.iter();
            let minutes: f64 = each.map(|(per, each)| each * amount(materials, *per)).sum();
            (time.step, (time.start + minutes) / 60.0)
        });
        Hours(steps.collect())
    }

    /// The same with what was learned.
    #[must_use]
    pub fn learned(&self, learned: &Learned) -> Hours {
        let factor = |step: &Step| learned.steps.get(step).map_or(1.0, |found| found.factor);
        let steps = self
            .0
            .iter()
            .map(|(step, hours)| (*step, hours * factor(step)));
        Hours(steps.collect())
    }

    /// Hours of a step; zero where the price book has none.
    #[must_use]
    pub fn of(&self, step: Step) -> f64 {
        self.0.get(&step).copied().unwrap_or(0.0)
    }

    /// Hours of all steps.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.0.values().sum()
    }

    /// Hours at the boat in autumn.
    #[must_use]
    pub fn autumn(&self) -> f64 {
        Step::AUTUMN.iter().map(|step| self.of(*step)).sum()
    }
}

impl Learned {
    /// Spread of the hours of one job, h: the steps' own, taken as independent. `None` where nothing was learned.
    #[must_use]
    pub fn spread(&self) -> Option<f64> {
        if self.steps.is_empty() {
            return None;
        }
        let squares = self.steps.values().map(|step| step.spread * step.spread);
        Some(squares.sum::<f64>().sqrt())
    }
}

/// How much a cover has of what time goes by.
fn amount(materials: &Materials, per: Per) -> f64 {
    let count = |used_as| materials.straps_of(used_as).0 as f64;
    let length = |used_as| materials.straps_of(used_as).1;
    match per {
        Per::Post => materials.posts.len() as f64,
        Per::FrameStrap => count(StrapUse::Ridge) + count(StrapUse::Side) + count(StrapUse::Hip),
        Per::DropStrap => count(StrapUse::Drop),
        Per::BandMeter => length(StrapUse::Band),
        Per::BellyBand => count(StrapUse::Belly),
        Per::FilmSquareMeter => materials.covered,
        Per::SeamMeter => materials.film.seams,
        Per::Pleat => materials.pleats as f64,
        Per::Closure => materials.closures as f64,
        Per::TapeMeter => materials.tape,
        Per::Vent => materials.vents as f64,
        Per::Door => materials.doors as f64,
        Per::Pad => materials.pad_count() as f64,
    }
}
