//! Whose plan the main stage and all words beside it are about: the boat's own, or for a while a guest's.

use super::model::Model;
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

/// What is shown. Whoever draws or tells of "the plan" reads it here; whoever changes the boat reads the [`Model`].
#[derive(SystemParam)]
pub struct Shown<'w> {
    model: Res<'w, Model>,
    guest: Option<Res<'w, Guest>>,
}

impl Shown<'_> {
    /// The plan on the main stage; `None` before there is one.
    pub fn plan(&self) -> Option<&Arc<Plan>> {
        match &self.guest {
            Some(guest) => Some(&guest.plan),
            None => self.model.plan.as_ref(),
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
