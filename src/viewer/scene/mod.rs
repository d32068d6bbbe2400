//! The scene: a boat under its cover in the yard.
//!
//! A [`Stage`] holds a plan and is drawn anew when it changes; the main stage follows what is shown. A second one on
//! another layer, with a camera of its own, shows a rival beside it. What lies on the film of a stage is [`Lying`].

mod boat;
mod builder;
mod deck;
mod film;
mod fittings;
mod frame;
mod light;
mod lying;
mod paint;
mod patches;
mod pleats;
mod shape;
mod support;
mod trim;

pub use builder::Strokes;
pub use deck::{Open, open};
pub use frame::strap_points;
pub use light::{Detail, LAYERS, YardLight, sun};
pub use lying::Lying;
pub use shape::underside;
pub use support::{PERSON, ground_level, person_at};

use super::convert;
use super::display::{Display, DisplayKeys, FilmMode};
use super::shown::{Hanging, Shown};
use crate::boat::{Boat, FrameWishes};
use crate::plan::Plan;
use crate::units::UnitSystem;
use bevy::prelude::*;
use builder::Builder;
use nalgebra::{Point3, Vector3};
use paint::Paints;
use std::sync::Arc;

/// A plan that is shown.
#[derive(Component)]
#[require(Transform, Visibility)]
pub struct Stage {
    /// The plan.
    pub plan: Arc<Plan>,
    /// Render layer of its parts, and the place from the left of the camera that sees it.
    pub layer: usize,
    /// Units of the grid on the ground.
    pub units: UnitSystem,
}

/// The stage that follows what is shown.
#[derive(Component)]
pub struct MainStage;

/// Sides of round things.
const SIDES: usize = 20;

/// Layer of the main stage.
pub const MAIN_LAYER: usize = 0;

/// Layer of a rival beside it.
pub const RIVAL_LAYER: usize = 1;

/// What a thing in the scene is, so that it can be found and picked.
#[derive(Component, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Hull and deck.
    Hull,
    /// Box or tube, by its place in the hull.
    Thing(usize),
    /// Soles and other footings.
    Footing,
    /// Timber of a post, by its place in the frame.
    Post(usize),
    /// Caps of a post.
    Cap(usize),
    /// Strap, by its place in the frame.
    Strap(usize),
    /// Perimeter band.
    Band,
    /// Drop strap, by its place in the fittings.
    DropStrap(usize),
    /// Belly band, by its place in the fittings.
    BellyBand(usize),
    /// Film over the edge line.
    Film,
    /// Film from the edge line down to the band.
    Skirt,
    /// Holding patch, by its place in the cover.
    Patch(usize),
    /// Pond, by its place in the cover.
    Pond(usize),
    /// Pleat, by its place in the film.
    Pleat(usize),
    /// Pad, the greatest force first.
    Pad(usize),
    /// Vent, by its place in the fittings.
    Vent(usize),
    /// Door.
    Door,
    /// Collar and what stands through it.
    Collar,
    /// Ground.
    Ground,
    /// Trailer, cradle or stands.
    Support,
    /// Person.
    Person,
    /// Snow on the film.
    Snow,
    /// Water in a pond, by its place in the cover, while a storm fills it.
    Water(usize),
}

/// What hangs under a stage: what stays while the frame changes, and what does not.
#[derive(Component, Debug, Clone, Copy, PartialEq, Eq)]
enum Half {
    Boat,
    Cover,
    Lying,
}

/// The boat that a stage's parts were drawn for, so that they are left as they are while only the frame changes.
#[derive(Component)]
struct Drawn(Box<Boat>);

/// When stages are drawn: whoever changes them does so before.
#[derive(SystemSet, Debug, Clone, PartialEq, Eq, Hash)]
pub struct Draws;

/// Draws the stages.
pub struct ScenePlugin;

impl Plugin for ScenePlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Paints>()
            .add_plugins(light::LightPlugin)
            .add_systems(
                Update,
                (follow, draw, cover, lying::draw)
                    .chain()
                    .in_set(Draws)
                    .after(DisplayKeys),
            );
    }
}

/// Puts on the main stage what is shown.
pub fn follow(
    mut commands: Commands,
    shown: Shown,
    mut stages: Query<&mut Stage, With<MainStage>>,
) {
    let Some(plan) = shown.drawn() else { return };
    let units = shown.units();
    match stages.iter_mut().next() {
        None => {
            commands.spawn((
                MainStage,
                Stage {
                    plan: plan.clone(),
                    layer: MAIN_LAYER,
                    units,
                },
            ));
        }
        Some(mut stage) => {
            if !Arc::ptr_eq(&stage.plan, plan) || stage.units != units {
                stage.plan = plan.clone();
                stage.units = units;
            }
        }
    }
}

#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
fn draw(
    mut commands: Commands,
    stages: Query<(
        Entity,
        Ref<Stage>,
        Option<&Drawn>,
        Option<&Children>,
        Option<Ref<Lying>>,
    )>,
    mut cleared: RemovedComponents<Lying>,
    (halves, hanging): (Query<&Half>, Option<Res<Hanging>>),
    display: Res<Display>,
    paints: Res<Paints>,
    mut meshes: ResMut<Assets<Mesh>>,
    mut lines: ResMut<Assets<GizmoAsset>>,
) {
    let cleared: Vec<Entity> = cleared.read().collect();
    for (entity, stage, drawn, children, lying) in &stages {
        // Ponds are drawn full, but for those that a storm has still to fill.
        let ponds = !stage.plan.cover.ponds.is_empty()
            && (cleared.contains(&entity) || lying.as_ref().is_some_and(|lying| lying.is_added()));
        if !stage.is_changed() && !display.is_changed() && !ponds {
            continue;
        }
        let boat = without_wishes(&stage.plan);
        let same_boat = drawn.is_some_and(|drawn| *drawn.0 == boat);
        for child in children.into_iter().flatten() {
            let stays = match halves.get(*child) {
                Ok(Half::Boat) => same_boat,
                // Its own system sees to it.
                Ok(Half::Lying) => true,
                _ => false,
            };
            if !stays {
                commands.entity(*child).despawn();
            }
        }
        let half = |commands: &mut Commands, half: Half| {
            commands
                .spawn((
                    half,
                    Transform::default(),
                    Visibility::default(),
                    ChildOf(entity),
                ))
                .id()
        };
        if !same_boat {
            let root = half(&mut commands, Half::Boat);
            let mut builder = Builder {
                commands: &mut commands,
                meshes: &mut meshes,
                lines: &mut lines,
                paints: &paints,
                root,
                layer: stage.layer,
            };
            support::draw(&mut builder, &stage.plan, stage.units);
            boat::draw(&mut builder, &stage.plan);
            commands.entity(entity).insert(Drawn(Box::new(boat)));
        }
        let root = half(&mut commands, Half::Cover);
        let mut builder = Builder {
            commands: &mut commands,
            meshes: &mut meshes,
            lines: &mut lines,
            paints: &paints,
            root,
            layer: stage.layer,
        };
        frame::draw(&mut builder, &stage.plan, &display);
        let tint = hanging
            .as_deref()
            .filter(|hanging| Arc::ptr_eq(&hanging.plan, &stage.plan))
            .and_then(|hanging| hanging.tint.as_deref());
        film::draw(&mut builder, &stage.plan, &display, lying.is_none(), tint);
    }
}

/// What lies under the film is not drawn while the film is solid.
fn cover(display: Res<Display>, mut covered: Query<&mut Visibility, With<builder::UnderFilm>>) {
    let wanted = match display.film {
        FilmMode::Opaque => Visibility::Hidden,
        FilmMode::Clear | FilmMode::Off => Visibility::Inherited,
    };
    for mut visibility in &mut covered {
        visibility.set_if_neq(wanted);
    }
}

/// The boat without what the user wishes of its frame and rules: what the yard shows of it.
fn without_wishes(plan: &Plan) -> Boat {
    let mut boat = plan.boat.clone();
    boat.wishes = FrameWishes::default();
    boat.rules = crate::boat::Rules::default();
    boat
}

/// Half the breadth of a person, m.
const BREADTH: f64 = 0.3;

/// Points that bound all that is worth seeing: boat, cover, what it stands on, the person.
pub fn extent(plan: &Plan) -> Vec<Vec3> {
    let ground = ground_level(plan);
    let mut points: Vec<Point3<f64>> = Vec::new();
    for p in plan.hull.edge.points() {
        points.push(*p);
        // Wheels and stands reach down as wide as the boat.
        points.push(Point3::new(p.x, 0.9 * p.y, ground));
    }
    points.extend(plan.hull.bodies.iter().flat_map(|body| &body.vertices));
    points.extend(plan.hull.things.iter().flat_map(|thing| thing.extent()));
    points.extend(plan.frame.posts.iter().map(|post| post.top()));
    points.extend(support::reach(plan));
    points.extend(fittings::reach(plan));
    let person = person_at(plan);
    points.push(Point3::new(person.x, person.y, person.z + PERSON));
    for (dx, dy) in [(0.0, 0.0), (-BREADTH, 0.0), (0.0, BREADTH)] {
        points.push(person + Vector3::new(dx, dy, 0.0));
    }
    points.iter().map(convert::point).collect()
}
