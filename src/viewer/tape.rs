//! The tape: from point to point, with straight length, level run, rise, slope, and the way over the film.
//!
//! With the tape in hand the first click sets its start and the second its end; either end can be drawn elsewhere. A
//! drag from anywhere else still turns the camera.

mod hand;
pub mod measure;
mod show;

use super::canvas::Layout;
use super::hands::Tools;
use super::shown::{Hanging, own_drawn};
use crate::plan::Plan;
use bevy::input::InputSystems;
use bevy::prelude::*;
use bevy::window::RequestRedraw;
use bevy_egui::EguiPrimaryContextPass;
use measure::{Measure, measure};
use nalgebra::Point3;
use std::sync::Arc;

/// An end of the tape.
#[derive(Debug, Clone, PartialEq)]
pub struct End {
    /// Where it is held, m.
    pub at: Point3<f64>,
    /// What it is held to, in words.
    pub on: String,
    /// Whether that is the film or its skirt.
    pub on_film: bool,
}

/// The tape.
#[derive(Resource, Default)]
pub struct Tape {
    /// It has the pointer.
    pub in_hand: bool,
    /// Its ends; an end without the other is not measured.
    pub ends: [Option<End>; 2],
    /// Where the next click would set an end.
    pub hover: Option<End>,
    /// The plan that the ends lie on.
    of: Option<Arc<Plan>>,
    made: Option<Made>,
}

/// What was measured, and of what.
struct Made {
    plan: Arc<Plan>,
    ends: [End; 2],
    measure: Measure,
}

impl Tape {
    /// What the tape says of its two ends.
    pub fn measure(&self) -> Option<&Measure> {
        let made = self.made.as_ref()?;
        let same = self
            .ends
            .iter()
            .zip(&made.ends)
            .all(|(end, of)| end.as_ref() == Some(of));
        same.then_some(&made.measure)
    }

    /// Takes it in hand, or lays it down; what was measured stays until the next start.
    pub fn take(&mut self, in_hand: bool) {
        self.in_hand = in_hand;
        self.hover = None;
    }

    /// Sets the next end: the start while there is none or both are set, else the end.
    pub fn set(&mut self, end: End) {
        self.ends = match std::mem::take(&mut self.ends) {
            [Some(start), None] => [Some(start), Some(end)],
            _ => [Some(end), None],
        };
    }

    /// Forgets both ends.
    pub fn clear(&mut self) {
        self.ends = [None, None];
    }
}

/// Takes, sets, measures and draws the tape.
pub struct TapePlugin;

impl Plugin for TapePlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Tape>()
            .init_resource::<hand::Sight>()
            .add_message::<RequestRedraw>()
            // Before all others, so that they see that the pointer is taken.
            .add_systems(
                PreUpdate,
                (hand::keys, hand::point).chain().after(InputSystems),
            )
            .add_systems(Update, (remeasure, show::draw).chain().after(Tools))
            .add_systems(
                EguiPrimaryContextPass,
                show::label
                    .in_set(Layout::Overlay)
                    .before(super::legend::draw),
            );
    }
}

/// Measures anew when ends or plan have changed.
fn remeasure(
    model: Res<super::model::Model>,
    hanging: Option<Res<Hanging>>,
    mut tape: ResMut<Tape>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    let Some(plan) = own_drawn(&model, hanging.as_deref()) else {
        return;
    };
    let same = |of: &Option<Arc<Plan>>| of.as_ref().is_some_and(|of| Arc::ptr_eq(of, plan));
    if !same(&tape.of) {
        if tape.of.is_some() && tape.ends.iter().any(Option::is_some) {
            follow(plan, &mut tape.ends);
        }
        tape.of = Some(plan.clone());
    }
    let made = tape.made.as_ref();
    let current = tape.measure().is_some() && made.is_some_and(|m| Arc::ptr_eq(&m.plan, plan));
    let [Some(start), Some(end)] = tape.ends.clone() else {
        return;
    };
    if current {
        return;
    }
    let both_on_film = start.on_film && end.on_film;
    let measure = measure(plan, &start.at, &end.at, both_on_film);
    tape.made = Some(Made {
        plan: plan.clone(),
        ends: [start, end],
        measure,
    });
    redraw.write(RequestRedraw);
}

/// Ends go with what they are held to: with a cap or a foot wherever it goes, with the film up and down.
fn follow(plan: &Plan, ends: &mut [Option<End>; 2]) {
    let holds = measure::holds(plan);
    for end in ends.iter_mut().flatten() {
        let nearest = holds
            .iter()
            .filter(|(_, name)| *name == end.on)
            .map(|(p, _)| *p)
            .min_by(|a, b| (a - end.at).norm().total_cmp(&(b - end.at).norm()));
        if let Some(place) = nearest {
            end.at = place;
        } else if let Some(z) = measure::film_at(plan, end.at.xy()).filter(|_| end.on_film) {
            end.at.z = z;
        }
    }
}
