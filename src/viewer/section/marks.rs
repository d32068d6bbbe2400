//! The cutting plane in the scene: a thin pane with its outline, and the film where it is cut, on every stage.

use super::Sectioning;
use super::cut::{Plane, cut};
use crate::plan::Plan;
use crate::viewer::convert;
use crate::viewer::scene::{Stage, ground_level};
use bevy::asset::RenderAssetUsages;
use bevy::camera::visibility::RenderLayers;
use bevy::gizmos::config::GizmoLineConfig;
use bevy::gizmos::retained::Gizmo;
use bevy::light::{NotShadowCaster, NotShadowReceiver};
use bevy::mesh::{Indices, PrimitiveTopology};
use bevy::prelude::*;

/// A part of the mark of the plane.
#[derive(Component)]
pub struct Mark;

/// How far the pane reaches past the cover, m.
const BEYOND: f64 = 0.35;

/// Colors of the pane, its outline, the film where it is cut.
const PANE: Color = Color::srgba(0.12, 0.44, 0.47, 0.13);
/// See [`PANE`].
const RIM: Color = Color::srgb(0.12, 0.44, 0.47);
/// See [`PANE`].
const FILM: Color = Color::srgb(0.82, 0.20, 0.52);

/// How much nearer to the eye the lines are drawn than they are.
const NEARER: f32 = -0.0010;

/// Draws the marks anew when the plane or a plan has changed.
#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
pub(super) fn draw(
    mut commands: Commands,
    sectioning: Res<Sectioning>,
    stages: Query<Ref<Stage>>,
    gone: RemovedComponents<Stage>,
    marks: Query<Entity, With<Mark>>,
    mut meshes: ResMut<Assets<Mesh>>,
    mut materials: ResMut<Assets<StandardMaterial>>,
    mut lines: ResMut<Assets<GizmoAsset>>,
    mut pane: Local<Option<Handle<StandardMaterial>>>,
    mut shown: Local<Option<Plane>>,
) {
    let restaged = !gone.is_empty() || stages.iter().any(|stage| stage.is_changed());
    if *shown == sectioning.plane && !restaged {
        return;
    }
    *shown = sectioning.plane;
    for mark in &marks {
        commands.entity(mark).despawn();
    }
    let Some(plane) = sectioning.plane else {
        return;
    };
    let pane = pane.get_or_insert_with(|| {
        materials.add(StandardMaterial {
            base_color: PANE,
            unlit: true,
            double_sided: true,
            cull_mode: None,
            alpha_mode: AlphaMode::Blend,
            ..StandardMaterial::default()
        })
    });
    for stage in &stages {
        let layer = RenderLayers::layer(stage.layer);
        let corners = corners(&stage.plan, plane);
        commands.spawn((
            Mark,
            Mesh3d(meshes.add(quad(corners))),
            MeshMaterial3d(pane.clone()),
            NotShadowCaster,
            NotShadowReceiver,
            layer.clone(),
        ));
        let mut asset = GizmoAsset::new();
        asset.linestrip(corners.into_iter().chain([corners[0]]), RIM);
        commands.spawn((
            Mark,
            Gizmo {
                handle: lines.add(asset),
                line_config: GizmoLineConfig {
                    width: 1.5,
                    ..GizmoLineConfig::default()
                },
                depth_bias: NEARER,
            },
            layer.clone(),
        ));
        let section = cut(&stage.plan, plane);
        let mut asset = GizmoAsset::new();
        let film = section.film.iter().map(|cut| &cut.points);
        for line in film.chain(&section.skirt) {
            asset.linestrip(line.iter().map(|p| convert::point(&plane.point(*p))), FILM);
        }
        commands.spawn((
            Mark,
            Gizmo {
                handle: lines.add(asset),
                line_config: GizmoLineConfig {
                    width: 3.0,
                    ..GizmoLineConfig::default()
                },
                depth_bias: NEARER,
            },
            layer,
        ));
    }
}

/// Corners of the pane: from the ground to over the cover, a little wider than it.
fn corners(plan: &Plan, plane: Plane) -> [Vec3; 4] {
    let other = match plane {
        Plane::Across(_) => Plane::Along(0.0),
        Plane::Along(_) => Plane::Across(0.0),
    };
    let [low, high] = other.reach(plan);
    let mesh_top = plan.cover.mesh.vertices.iter().map(|p| p.z);
    let top = mesh_top.fold(f64::NEG_INFINITY, f64::max) + BEYOND;
    let ground = ground_level(plan);
    [
        [low - BEYOND, ground],
        [high + BEYOND, ground],
        [high + BEYOND, top],
        [low - BEYOND, top],
    ]
    .map(|p| convert::point(&plane.point(p)))
}

fn quad(corners: [Vec3; 4]) -> Mesh {
    let normal = (corners[1] - corners[0])
        .cross(corners[3] - corners[0])
        .normalize_or_zero();
    Mesh::new(
        PrimitiveTopology::TriangleList,
        RenderAssetUsages::RENDER_WORLD,
    )
    .with_inserted_attribute(
        Mesh::ATTRIBUTE_POSITION,
        corners.map(|p| p.to_array()).to_vec(),
    )
    .with_inserted_attribute(Mesh::ATTRIBUTE_NORMAL, vec![normal.to_array(); 4])
    .with_inserted_indices(Indices::U32(vec![0, 1, 2, 0, 2, 3]))
}
