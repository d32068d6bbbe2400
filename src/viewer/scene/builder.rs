//! Hangs meshes and lines into the scene as parts that can be found again.

use super::paint::{Paint, Paints};
use super::{Part, shape};
use crate::geom::mesh::Mesh as Solid;
use crate::viewer::convert;
use bevy::camera::visibility::RenderLayers;
use bevy::gizmos::config::GizmoLineConfig;
use bevy::gizmos::retained::Gizmo;
use bevy::light::NotShadowCaster;
use bevy::prelude::*;
use nalgebra::Point3;

/// How much nearer to the eye lines are drawn than they are, so that the sheet on which they lie does not
/// hide them: some centimeters from across the yard.
const NEARER: f32 = -0.0008;
/// See [`NEARER`]; under the film.
const NEARER_BELOW: f32 = -0.0001;

/// Marks what lies under the film. Film that rests on a rail is drawn along its axis, and the rail's round side would
/// show through steep film.
#[derive(Component)]
pub struct UnderFilm;

/// Adds parts to one stage.
pub struct Builder<'a, 'w, 's> {
    /// Spawns.
    pub commands: &'a mut Commands<'w, 's>,
    /// Takes meshes.
    pub meshes: &'a mut Assets<Mesh>,
    /// Takes lines.
    pub lines: &'a mut Assets<GizmoAsset>,
    /// The materials.
    pub paints: &'a Paints,
    /// What the parts hang under.
    pub root: Entity,
    /// Which cameras see them.
    pub layer: usize,
}

impl Builder<'_, '_, '_> {
    /// A mesh of the boat with soft faces and sharp edges.
    pub fn solid(&mut self, part: Part, mesh: &Solid, paint: Paint) {
        if !mesh.triangles.is_empty() {
            self.mesh(part, shape::solid(mesh), paint);
        }
    }

    /// A solid that lies under the film: not drawn while that hides it.
    pub fn covered(&mut self, part: Part, mesh: &Solid, paint: Paint) {
        if !mesh.triangles.is_empty() {
            let entity = self.spawn(part, shape::solid(mesh), paint);
            self.commands.entity(entity).insert(UnderFilm);
        }
    }

    /// A mesh of the screen.
    pub fn mesh(&mut self, part: Part, mesh: Mesh, paint: Paint) {
        self.spawn(part, mesh, paint);
    }

    fn spawn(&mut self, part: Part, mesh: Mesh, paint: Paint) -> Entity {
        let mut entity = self.commands.spawn((
            part,
            Mesh3d(self.meshes.add(mesh)),
            MeshMaterial3d(self.paints.of(paint)),
            RenderLayers::layer(self.layer),
            ChildOf(self.root),
        ));
        // What light goes through casts no shadow, and the ground has nothing to cast one on.
        if matches!(
            paint,
            Paint::Glass | Paint::SlopeClear | Paint::FilmClear | Paint::Pond | Paint::Ground
        ) {
            entity.insert(NotShadowCaster);
        }
        entity.id()
    }

    /// Lines of a width in pixels on film.
    pub fn lines(&mut self, part: Part, strokes: &Strokes, width: f32) {
        self.lines_nearer(part, strokes, width, NEARER);
    }

    /// Lines of a width in pixels on the boat or the ground, which film hides.
    pub fn lines_below(&mut self, part: Part, strokes: &Strokes, width: f32) {
        self.lines_nearer(part, strokes, width, NEARER_BELOW);
    }

    fn lines_nearer(&mut self, part: Part, strokes: &Strokes, width: f32, nearer: f32) {
        if strokes.is_empty() {
            return;
        }
        let mut asset = GizmoAsset::new();
        for (points, color) in &strokes.0 {
            asset.linestrip(points.iter().copied(), *color);
        }
        self.commands.spawn((
            part,
            Gizmo {
                handle: self.lines.add(asset),
                line_config: GizmoLineConfig {
                    width,
                    ..GizmoLineConfig::default()
                },
                depth_bias: nearer,
            },
            RenderLayers::layer(self.layer),
            ChildOf(self.root),
        ));
    }
}

/// Lines with their colors.
#[derive(Default)]
pub struct Strokes(Vec<(Vec<Vec3>, Color)>);

impl Strokes {
    /// A line through points of the boat.
    pub fn line(&mut self, points: impl IntoIterator<Item = Point3<f64>>, color: Color) {
        let points: Vec<Vec3> = points.into_iter().map(|p| convert::point(&p)).collect();
        if points.len() > 1 {
            self.0.push((points, color));
        }
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}
