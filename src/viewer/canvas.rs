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
    /// Strips of words over and under the scene take theirs.
    Strips,
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
    pub taken: [Option<egui::Rect>; 8],
    /// Height at the top of each camera's part that words about the whole of it have taken.
    pub head: f32,
}

/// Two pictures stand side by side where what is left is at least so many times as wide as it is high, else one over
/// the other: boats are longer than high.
const BESIDE: f32 = 0.95;

impl Default for Canvas {
    fn default() -> Canvas {
        Canvas {
            rest: egui::Rect::ZERO,
            taken: [None; 8],
            head: 0.0,
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

    /// The part of the camera at a place among so many side by side, or one over the other.
    pub fn part(&self, place: usize, of: usize) -> egui::Rect {
        let part = 1.0 / of.max(1) as f32;
        let (size, step) = if self.rest.width() >= BESIDE * self.rest.height() {
            let size = self.rest.size() * egui::vec2(part, 1.0);
            (size, egui::vec2(size.x, 0.0))
        } else {
            let size = self.rest.size() * egui::vec2(1.0, part);
            (size, egui::vec2(0.0, size.y))
        };
        egui::Rect::from_min_size(self.rest.min + step * place as f32, size)
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
                    Layout::Strips,
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
    let count = cameras.iter().count();
    let size = (canvas.part(0, count) * scale).size();
    if size.x < 1.0 || size.y < 1.0 {
        return Ok(());
    }
    for (mut camera, SceneCamera { place }) in &mut cameras {
        let part = canvas.part(*place, count) * scale;
        let mut viewport = Viewport {
            physical_position: Vec2::new(part.left(), part.top()).round().as_uvec2(),
            physical_size: Vec2::new(size.x, size.y).round().max(Vec2::ONE).as_uvec2(),
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
    let aspect = size.x / size.y;
    if (aperture.aspect - aspect).abs() > 1e-3 {
        aperture.aspect = aspect;
    }
    Ok(())
}
