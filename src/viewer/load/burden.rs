//! What the cover is to bear, and which case of it is looked at.

use crate::loads::{Case, Loads, Site, SnowCapacity};
use crate::plan::Plan;
use crate::view::has_case;
use crate::viewer::hands::{Hands, control};
use crate::viewer::model::{Model, Quality, Status};
use crate::viewer::page::Page;
use bevy::prelude::*;
use std::sync::Arc;

/// Asks for another site, or to look at another case.
#[derive(Message, Debug, Clone, PartialEq)]
pub enum Ask {
    /// Load the cover by this site.
    Site(Box<Site>),
    /// Look at a case, or at the taut film.
    Case(Option<Case>),
    /// Look at the next case of the site; after the last one at the taut film.
    Next,
    /// Color loaded film by its stress, or by its slope.
    Stress(bool),
}

/// What a plan bears.
#[derive(Debug, Clone)]
pub struct Weighed {
    /// The plan.
    pub plan: Arc<Plan>,
    /// Its loads; `None` where weighing gave up.
    pub loads: Option<Arc<Loads>>,
    /// The greatest snow that it stands, once that was looked for; `None` inside where there is none to find.
    pub capacity: Option<Option<SnowCapacity>>,
}

/// The site and what was weighed for it.
#[derive(Resource, Debug, Clone, Default)]
pub struct Burden {
    /// Where the boat stands; `None` where nobody has said.
    pub site: Option<Arc<Site>>,
    /// The site came with the boat: it is not asked for on the page.
    pub given: bool,
    /// The case that is looked at; `None` for the taut film.
    pub case: Option<Case>,
    /// Loaded film is colored by its stress instead of its slope.
    pub by_stress: bool,
    weighed: Option<Weighed>,
}

impl Burden {
    /// The burden of a site, looked at under a case.
    pub fn new(site: Option<Site>, case: Option<Case>) -> Burden {
        Burden {
            given: site.is_some(),
            site: site.map(Arc::new),
            case,
            by_stress: false,
            weighed: None,
        }
    }

    /// What this very plan bears; `None` as long as it was not weighed.
    pub fn of(&self, plan: &Arc<Plan>) -> Option<&Weighed> {
        self.weighed
            .as_ref()
            .filter(|weighed| Arc::ptr_eq(&weighed.plan, plan))
    }

    /// The loads of this very plan.
    pub fn loads(&self, plan: &Arc<Plan>) -> Option<&Arc<Loads>> {
        self.of(plan)?.loads.as_ref()
    }

    /// Takes what was weighed.
    pub fn take(&mut self, weighed: Weighed) {
        self.weighed = Some(weighed);
    }

    /// The cases of the site, in the order of lists.
    pub fn cases(&self) -> Vec<Case> {
        let Some(site) = &self.site else {
            return Vec::new();
        };
        let all = Case::ALL.into_iter();
        all.filter(|case| has_case(site, *case)).collect()
    }

    fn turn(&mut self, ask: &Ask) {
        match ask {
            Ask::Site(site) => {
                self.site = Some(Arc::new((**site).clone()));
                self.weighed = None;
                let cases = self.cases();
                // What the new site lacks cannot be looked at; who asks for loads wants to see them.
                if self.case.is_none_or(|case| !cases.contains(&case)) {
                    self.case = cases.first().copied();
                }
            }
            Ask::Stress(by_stress) => self.by_stress = *by_stress,
            Ask::Case(case) => self.case = case.filter(|case| self.cases().contains(case)),
            Ask::Next => {
                let cases = self.cases();
                let at = self
                    .case
                    .and_then(|case| cases.iter().position(|other| *other == case));
                let next = at.map_or(0, |at| at + 1);
                self.case = cases.get(next).copied();
            }
        }
    }
}

/// The plan of the boat as it is, fine enough to be loaded.
pub fn ready(model: &Model) -> Option<&Arc<Plan>> {
    let fine = model.status == Status::Current && model.quality == Quality::Fine;
    model.plan.as_ref().filter(|_| fine)
}

/// U goes through the cases; without a site it opens the page that asks for one.
pub fn keys(
    keys: Res<ButtonInput<KeyCode>>,
    hands: Res<Hands>,
    burden: Res<Burden>,
    mut page: ResMut<Page>,
    mut asks: MessageWriter<Ask>,
) {
    if !hands.keys_free || control(&keys) || !keys.just_pressed(KeyCode::KeyU) {
        return;
    }
    if burden.site.is_some() {
        asks.write(Ask::Next);
    } else {
        page.set_if_neq(Page::Loads);
    }
}

/// Does what is asked.
pub fn answer(mut asks: MessageReader<Ask>, mut burden: ResMut<Burden>) {
    for ask in asks.read() {
        burden.turn(ask);
    }
}
