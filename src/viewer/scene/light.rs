//! The light of the yard, and how much of it the machine can afford.

use super::RIVAL_LAYER;
use super::paint::{Paint, Paints};
use crate::viewer::door::Drawer;
use bevy::camera::visibility::RenderLayers;
use bevy::light::{CascadeShadowConfigBuilder, GlobalAmbientLight};
use bevy::prelude::*;

/// How much the pictures may cost.
#[derive(Resource, Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Detail {
    /// Shadows.
    #[default]
    Full,
    /// No shadows: for windows that are drawn without a GPU.
    Light,
}

impl Detail {
    /// What a window asks of whatever draws it.
    pub fn of(drawer: Drawer) -> Detail {
        match drawer {
            Drawer::Card => Detail::Full,
            Drawer::Software => Detail::Light,
        }
    }
}

/// The sun of the yard.
#[derive(Component)]
pub struct YardLight;

/// Light from the sun, lx, and from all round, cd/m2: with the camera's exposure they add up to white.
const SUN: f32 = 1700.0;
/// See [`SUN`].
const SKY: f32 = 800.0;

/// Color of sky and far ground.
pub const BACKDROP: Color = Color::srgb(0.875, 0.89, 0.885);

/// Stages are drawn on layers below this; the yard's sun shines on all of them but the rival's.
pub const LAYERS: usize = 4;

/// Places the sun.
pub struct LightPlugin;

impl Plugin for LightPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Detail>()
            .insert_resource(ClearColor(BACKDROP))
            .insert_resource(GlobalAmbientLight {
                color: Color::srgb(0.95, 0.98, 1.0),
                brightness: SKY,
                ..GlobalAmbientLight::default()
            })
            .add_systems(Startup, shine)
            .add_systems(Update, afford.run_if(resource_changed::<Detail>))
            .add_systems(Update, plain.run_if(resource_equals(Detail::Light)));
    }
}

/// A rival has a sun of its own, or each would throw its shadow on the other, who stands in the same place.
fn shine(mut commands: Commands, quality: Res<Detail>) {
    let layers: Vec<usize> = (0..LAYERS).filter(|l| *l != RIVAL_LAYER).collect();
    commands.spawn(sun(&layers, *quality));
}

/// A sun over some layers.
pub fn sun(layers: &[usize], quality: Detail) -> impl Bundle {
    (
        YardLight,
        DirectionalLight {
            color: Color::srgb(1.0, 0.98, 0.94),
            illuminance: SUN,
            shadow_maps_enabled: quality == Detail::Full,
            ..DirectionalLight::default()
        },
        // High, from ahead to port: it falls on what the quarter view shows.
        Transform::from_xyz(5.0, 8.0, -6.0).looking_at(Vec3::ZERO, Vec3::Y),
        CascadeShadowConfigBuilder {
            num_cascades: 2,
            maximum_distance: 90.0,
            first_cascade_far_bound: 35.0,
            ..CascadeShadowConfigBuilder::default()
        }
        .build(),
        RenderLayers::from_layers(layers),
    )
}

fn afford(quality: Res<Detail>, mut lights: Query<&mut DirectionalLight, With<YardLight>>) {
    for mut light in &mut lights {
        light.shadow_maps_enabled = *quality == Detail::Full;
    }
}

/// Without a GPU every sample of a pixel and every lit one costs: edges are left jagged, and the ground, which fills most
/// of the window and then has no shadow to show, has its color without being lit.
fn plain(
    mut commands: Commands,
    cameras: Query<Entity, Added<Camera>>,
    paints: Res<Paints>,
    mut materials: ResMut<Assets<StandardMaterial>>,
    mut done: Local<bool>,
) {
    for camera in &cameras {
        commands.entity(camera).insert(Msaa::Off);
    }
    if !*done && let Some(mut ground) = materials.get_mut(&paints.of(Paint::Ground)) {
        ground.unlit = true;
        *done = true;
    }
}
