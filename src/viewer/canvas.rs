//! What the panels leave of the window, and the cameras that share it.

use super::camera::{self, SceneCamera};
use super::look;
use bevy::camera::Viewport;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};

/// The order in which a frame's panels and overlays are drawn.
#[derive(SystemSet, Debug, Clone, PartialEq, Eq, Hash)]
pub enum Layout {
    /// The whole window is free.
    Begin,
    /// Bars at top and bottom take their part.
    Bars,
    /// Panels at the sides take theirs.
    Panels,
    /// The cameras get the rest.
    Cameras,
    /// Legend, labels and captions are drawn over the scene.
    Overlay,
}

/// What is left of the window, in points.
#[derive(Resource, Debug, Clone, Copy, PartialEq)]
pub struct Canvas {
    /// What no panel has taken.
    pub rest: egui::Rect,
    /// What overlays have taken of it: labels keep off these.
    pub taken: [Option<egui::Rect>; 4],
}

impl Default for Canvas {
    fn default() -> Canvas {
        Canvas {
            rest: egui::Rect::ZERO,
            taken: [None; 4],
        }
    }
}

impl Canvas {
    /// A surface on which a panel can be shown at the rim of what is left; give it back with
    /// [`Canvas::leave`].
    pub fn surface(&self, context: &egui::Context, name: &str) -> egui::Ui {
        egui::Ui::new(
            context.clone(),
            egui::Id::new(name),
            egui::UiBuilder::new()
                .layer_id(egui::LayerId::background())
                .max_rect(self.rest),
        )
    }

    /// The part of the camera at a place among so many side by side.
    pub fn part(&self, place: usize, of: usize) -> egui::Rect {
        let width = self.rest.width() / of.max(1) as f32;
        egui::Rect::from_min_size(
            self.rest.min + egui::vec2(width * place as f32, 0.0),
            egui::vec2(width, self.rest.height()),
        )
    }

    /// What a panel has left of its surface.
    pub fn leave(&mut self, surface: &egui::Ui) {
        self.rest = surface.available_rect_before_wrap();
    }

    /// Keeps labels off a part of the scene.
    pub fn take(&mut self, part: egui::Rect) {
        if let Some(free) = self.taken.iter_mut().find(|taken| taken.is_none()) {
            *free = Some(part);
        }
    }
}

/// A painter over the scene and under the panels.
pub fn painter(context: &egui::Context, canvas: &Canvas) -> egui::Painter {
    context
        .layer_painter(egui::LayerId::background())
        .with_clip_rect(canvas.rest)
}

/// Shares out the window.
pub struct CanvasPlugin;

impl Plugin for CanvasPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Canvas>()
            .configure_sets(
                EguiPrimaryContextPass,
                (
                    Layout::Begin,
                    Layout::Bars,
                    Layout::Panels,
                    Layout::Cameras,
                    Layout::Overlay,
                )
                    .chain(),
            )
            .add_systems(
                EguiPrimaryContextPass,
                (
                    (look::dress, begin).chain().in_set(Layout::Begin),
                    share.in_set(Layout::Cameras),
                ),
            );
    }
}

fn begin(mut contexts: EguiContexts, mut canvas: ResMut<Canvas>) -> Result {
    *canvas = Canvas {
        rest: contexts.ctx_mut()?.viewport_rect(),
        ..Canvas::default()
    };
    Ok(())
}

/// Side by side, each scene camera gets its part of what is left.
fn share(
    mut contexts: EguiContexts,
    canvas: Res<Canvas>,
    mut cameras: Query<(&mut Camera, &SceneCamera)>,
    mut aperture: ResMut<camera::Aperture>,
) -> Result {
    let scale = contexts.ctx_mut()?.pixels_per_point();
    let count = cameras.iter().count().max(1) as f32;
    let whole = canvas.rest * scale;
    let width = whole.width() / count;
    if width < 1.0 || whole.height() < 1.0 {
        return Ok(());
    }
    for (mut camera, SceneCamera { place }) in &mut cameras {
        let position = Vec2::new(whole.left() + width * *place as f32, whole.top());
        let mut viewport = Viewport {
            physical_position: position.round().as_uvec2(),
            physical_size: Vec2::new(width, whole.height())
                .round()
                .max(Vec2::ONE)
                .as_uvec2(),
            ..Viewport::default()
        };
        if let Some(size) = camera.physical_target_size() {
            viewport.clamp_to_size(size);
        }
        let same = camera.viewport.as_ref().is_some_and(|old| {
            (old.physical_position, old.physical_size)
                == (viewport.physical_position, viewport.physical_size)
        });
        if !same {
            camera.viewport = Some(viewport);
        }
    }
    let aspect = width / whole.height();
    if (aperture.aspect - aspect).abs() > 1e-3 {
        aperture.aspect = aspect;
    }
    Ok(())
}
