//! Whose plan the main stage and all words beside it are about: the boat's own, or for a while a guest's.

use super::model::Model;
use crate::loads::{Case, Loaded, Loads};
use crate::plan::Plan;
use crate::units::UnitSystem;
use bevy::ecs::system::SystemParam;
use bevy::prelude::*;
use std::sync::Arc;

/// A plan that is shown in place of the boat's own, such as a lesson's. While it is there the boat is not changed:
/// what is asked of the [`super::history`] is dropped.
#[derive(Resource, Debug, Clone)]
pub struct Guest {
    /// The plan.
    pub plan: Arc<Plan>,
    /// Whose it is, in words.
    pub name: String,
}

/// The boat's own plan as it hangs under a load case, drawn in place of the taut one. Only what draws or measures the film
/// reads it: the verdict, the takeoff and every change are those of the plan itself.
#[derive(Resource, Debug, Clone)]
pub struct Hanging {
    /// The plan that hangs.
    pub of: Arc<Plan>,
    /// The same with its film under the load.
    pub plan: Arc<Plan>,
    /// What it bears.
    pub loads: Arc<Loads>,
    /// The case.
    pub case: Case,
    /// Colors of its film's vertices where they are not those of its slope.
    pub tint: Option<Vec<[f32; 4]>>,
}

impl Hanging {
    /// The cover under the case.
    pub fn loaded(&self) -> Option<&Loaded> {
        self.loads.under(self.case)
    }

    /// What follows the name of something that is drawn so: ` under balanced snow`.
    pub fn under(&self) -> String {
        format!(" under {}", self.case.words())
    }

    /// What is drawn in place of a plan; `None` where it does not hang.
    pub fn in_place_of(&self, plan: &Arc<Plan>) -> Option<&Arc<Plan>> {
        Arc::ptr_eq(&self.of, plan).then_some(&self.plan)
    }
}

/// The boat's own plan as it is drawn: under its load case where it hangs.
pub fn own_drawn<'a>(model: &'a Model, hanging: Option<&'a Hanging>) -> Option<&'a Arc<Plan>> {
    let plan = model.plan.as_ref()?;
    let hung = hanging.and_then(|hanging| hanging.in_place_of(plan));
    Some(hung.unwrap_or(plan))
}

/// What is shown. Whoever draws or tells of "the plan" reads it here; whoever changes the boat reads the [`Model`].
#[derive(SystemParam)]
pub struct Shown<'w> {
    model: Res<'w, Model>,
    guest: Option<Res<'w, Guest>>,
    hanging: Option<Res<'w, Hanging>>,
}

impl Shown<'_> {
    /// The plan on the main stage; `None` before there is one.
    pub fn plan(&self) -> Option<&Arc<Plan>> {
        match &self.guest {
            Some(guest) => Some(&guest.plan),
            None => self.model.plan.as_ref(),
        }
    }

    /// What hangs on the main stage in place of the taut plan, where a load case is shown.
    pub fn hanging(&self) -> Option<&Hanging> {
        let plan = self.plan()?;
        let hanging = self.hanging.as_deref();
        hanging.filter(|hanging| Arc::ptr_eq(&hanging.of, plan))
    }

    /// The plan as the main stage draws it: under its load case where one is shown.
    pub fn drawn(&self) -> Option<&Arc<Plan>> {
        match self.hanging() {
            Some(hanging) => Some(&hanging.plan),
            None => self.plan(),
        }
    }

    /// Whose plan it is, where it is not the boat's own.
    pub fn guest(&self) -> Option<&str> {
        self.guest.as_ref().map(|guest| guest.name.as_str())
    }

    /// Units of everything that is shown.
    pub fn units(&self) -> UnitSystem {
        self.model.units
    }

    /// The boat that is being worked on.
    pub fn model(&self) -> &Model {
        &self.model
    }
}
