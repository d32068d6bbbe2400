//! Two plans side by side: a second stage on a layer of its own, with a camera and a sun of its own.

use super::Teaches;
use crate::lesson::{Change, Measure, Rival};
use crate::plan::Plan;
use crate::units::UnitSystem;
use crate::viewer::camera::{Orbit, SceneCamera};
use crate::viewer::scene::{Detail, RIVAL_LAYER, Stage, sun};
use crate::viewer::shot::Target;
use crate::viewer::shown::Shown;
use crate::viewer::spawn_scene_camera;
use bevy::prelude::*;
use std::sync::Arc;

/// What a rival does otherwise than the plan.
#[derive(Debug, Clone, PartialEq)]
pub enum Otherwise {
    /// A rival of any plan.
    Rival(Rival),
    /// That of a lesson.
    Changes(Vec<Change>),
}

impl Otherwise {
    /// In words that follow "the rival: ".
    pub fn words(&self, units: UnitSystem) -> String {
        match self {
            Otherwise::Rival(rival) => rival.words(units),
            Otherwise::Changes(changes) => changes
                .iter()
                .map(|change| change.words(units))
                .collect::<Vec<_>>()
                .join(", "),
        }
    }
}

/// Two plans that are compared. The plan itself is on the main stage.
#[derive(Resource, Debug, Clone)]
pub struct Comparison {
    /// The plan and its rival.
    pub plans: [Arc<Plan>; 2],
    /// What the rival does otherwise.
    pub otherwise: Otherwise,
    /// What a lesson compares, with the values of both, in its SI unit; told when the storm is over.
    pub measured: Option<(Measure, [f64; 2])>,
}

/// What stands there for the rival alone: stage, camera, sun.
#[derive(Component)]
pub struct OfRival;

/// Sets the rival beside the plan, and takes it away again.
pub struct ComparisonPlugin;

impl Plugin for ComparisonPlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(
            Update,
            (
                refit.run_if(resource_exists::<Orbit>),
                clear.run_if(not(resource_exists::<Comparison>)),
                stand.run_if(resource_exists::<Comparison>),
            )
                .chain()
                .in_set(Teaches),
        );
    }
}

fn clear(mut commands: Commands, rivals: Query<Entity, With<OfRival>>) {
    for rival in &rivals {
        commands.entity(rival).despawn();
    }
}

/// Sets the rival up, or shows another one.
pub(super) fn stand(
    mut commands: Commands,
    comparison: Res<Comparison>,
    shown: Shown,
    mut stages: Query<&mut Stage, With<OfRival>>,
    target: Option<Res<Target>>,
    detail: Option<Res<Detail>>,
) {
    let [_, rival] = &comparison.plans;
    let units = shown.units();
    if let Some(mut stage) = stages.iter_mut().next() {
        if !Arc::ptr_eq(&stage.plan, rival) || stage.units != units {
            stage.plan = rival.clone();
            stage.units = units;
        }
        return;
    }
    commands.spawn((
        OfRival,
        Stage {
            plan: rival.clone(),
            layer: RIVAL_LAYER,
            units,
        },
    ));
    let camera = spawn_scene_camera(&mut commands, RIVAL_LAYER, target.as_deref());
    commands.entity(camera).insert(OfRival);
    let detail = detail.map_or(Detail::Light, |detail| *detail);
    commands.spawn((OfRival, sun(&[RIVAL_LAYER], detail)));
}

/// Fits the boat into its picture when that has become one of two, or the only one again: a frame later, since the
/// panels share the window out after the stages are set up.
pub(super) fn refit(
    mut orbit: ResMut<Orbit>,
    cameras: Query<&SceneCamera>,
    mut seen: Local<Option<usize>>,
) {
    let count = cameras.iter().count();
    if seen.is_some_and(|seen| seen != count) {
        orbit.refit();
    }
    *seen = Some(count);
}
