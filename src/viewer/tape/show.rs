//! The tape in the scene, with its length.

use super::hand::on_screen;
use super::measure::LIFT;
use super::{End, Tape};
use crate::viewer::camera::{Orbit, SceneCamera};
use crate::viewer::canvas::{Canvas, painter};
use crate::viewer::convert;
use crate::viewer::look::{self, Look};
use crate::viewer::model::Model;
use crate::viewer::scene::MAIN_LAYER;
use bevy::camera::visibility::RenderLayers;
use bevy::gizmos::config::GizmoLineConfig;
use bevy::gizmos::retained::Gizmo;
use bevy::prelude::*;
use bevy::window::RequestRedraw;
use bevy_egui::{EguiContexts, egui};
use nalgebra::Point3;

/// A part of the drawn tape.
#[derive(Component)]
pub struct Ribbon;

/// Colors of the straight tape and of the way over the film.
const STRAIGHT: Color = Color::srgb(0.85, 0.16, 0.45);
/// See [`STRAIGHT`].
const OVER_FILM: Color = Color::srgb(0.98, 0.62, 0.25);
/// Drawn before everything: a tape is no use where it is not seen.
const BEFORE_ALL: f32 = -1.0;

/// The ends between which a line is drawn: both, or the start and where the second would be set.
fn between(tape: &Tape) -> Option<[&End; 2]> {
    let [start, end] = &tape.ends;
    let hover = tape.hover.as_ref().filter(|_| tape.in_hand);
    Some([start.as_ref()?, end.as_ref().or(hover)?])
}

/// What is drawn: the ends and the way over the film.
type Drawn = (Option<[Point3<f64>; 2]>, Option<f64>);

/// Draws the lines anew when they have changed.
pub(super) fn draw(
    mut commands: Commands,
    tape: Res<Tape>,
    mut drawn: Local<Drawn>,
    ribbons: Query<Entity, With<Ribbon>>,
    mut lines: ResMut<Assets<GizmoAsset>>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    // The page that shows the tape may change it: that it was asked for is no news.
    let over = tape.measure().and_then(|m| m.over_film.as_ref());
    let wanted = (
        between(&tape).map(|ends| ends.map(|end| end.at)),
        over.map(|over| over.length),
    );
    if *drawn == wanted {
        return;
    }
    *drawn = wanted;
    for ribbon in &ribbons {
        commands.entity(ribbon).despawn();
    }
    redraw.write(RequestRedraw);
    let Some([start, end]) = between(&tape) else {
        return;
    };
    let mut add = |points: &mut dyn Iterator<Item = Point3<f64>>, color, width, bias| {
        let mut asset = GizmoAsset::new();
        asset.linestrip(points.map(|p| convert::point(&p)), color);
        commands.spawn((
            Ribbon,
            Gizmo {
                handle: lines.add(asset),
                line_config: GizmoLineConfig {
                    width,
                    ..GizmoLineConfig::default()
                },
                depth_bias: bias,
            },
            RenderLayers::layer(MAIN_LAYER),
        ));
    };
    add(
        &mut [start.at, end.at].into_iter(),
        STRAIGHT,
        2.5,
        BEFORE_ALL,
    );
    if let Some(over) = over {
        let lifted = over.course.iter().map(|p| p + LIFT);
        add(&mut { lifted }, OVER_FILM, 3.0, NEARER);
    }
}

/// How much nearer to the eye the way over the film is drawn than it is.
const NEARER: f32 = -0.0010;

/// White round the words, points.
const AROUND: f32 = 5.0;

/// Marks the ends and says the length beside the line.
#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
pub(super) fn label(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    tape: Res<Tape>,
    model: Res<Model>,
    look: Res<Look>,
    orbit: Res<Orbit>,
    cameras: Query<&SceneCamera>,
) -> Result {
    let context = contexts.ctx_mut()?;
    let bounds = canvas.part(0, cameras.iter().count());
    let painter = painter(context, &canvas).with_clip_rect(bounds);
    let at = |p: &Point3<f64>| on_screen(&orbit.pose, p, bounds);
    for end in tape.ends.iter().flatten() {
        if let Some(p) = at(&end.at) {
            painter.circle(p, 5.0, look::PAPER, egui::Stroke::new(2.0, look::INK));
        }
    }
    if let Some(hover) = tape.hover.as_ref().filter(|_| tape.in_hand)
        && let Some(p) = at(&hover.at)
    {
        painter.circle_stroke(p, 7.0, egui::Stroke::new(2.0, look::ACCENT));
        context.set_cursor_icon(egui::CursorIcon::Crosshair);
        let next = if matches!(tape.ends, [Some(_), None]) {
            "end"
        } else {
            "start"
        };
        let words = format!("{next}: {}", hover.on);
        let place = p + egui::vec2(12.0, 12.0);
        // Over the labels, which would jump about if they made way for it.
        let layer = egui::LayerId::new(egui::Order::Tooltip, egui::Id::new("tape"));
        let over = context.layer_painter(layer).with_clip_rect(bounds);
        words_in_box(&over, &look, &[words], place, bounds);
    }
    let Some([start, end]) = between(&tape) else {
        return Ok(());
    };
    let units = model.units;
    let mut lines = vec![units.format_length((end.at - start.at).norm())];
    if let Some(over) = tape.measure().and_then(|m| m.over_film.as_ref()) {
        lines.push(format!(
            "over the film {}",
            units.format_length(over.length)
        ));
    }
    if let (Some(a), Some(b)) = (at(&start.at), at(&end.at)) {
        let high = 20.0 * look.scale * lines.len() as f32;
        let beside = a + 0.5 * (b - a) - egui::vec2(0.5 * high, high + 16.0);
        let place = words_in_box(&painter, &look, &lines, beside, bounds);
        canvas.take(place);
    }
    Ok(())
}

/// Words in a box that stays within bounds.
fn words_in_box(
    painter: &egui::Painter,
    look: &Look,
    lines: &[String],
    at: egui::Pos2,
    bounds: egui::Rect,
) -> egui::Rect {
    let galleys: Vec<_> = lines
        .iter()
        .map(|line| painter.layout_no_wrap(line.clone(), look.font(look::SMALL), look::INK))
        .collect();
    let wide = galleys.iter().map(|g| g.size().x).fold(0.0, f32::max);
    let high: f32 = galleys.iter().map(|g| g.size().y).sum();
    let size = egui::vec2(wide, high) + egui::Vec2::splat(2.0 * AROUND);
    let most = bounds.max - size;
    let at = egui::pos2(
        at.x.min(most.x).max(bounds.left()),
        at.y.min(most.y).max(bounds.top()),
    );
    let place = egui::Rect::from_min_size(at, size);
    painter.rect(
        place,
        3.0,
        look::PAPER,
        egui::Stroke::new(1.5, look::ACCENT),
        egui::StrokeKind::Inside,
    );
    let mut line_at = place.min + egui::Vec2::splat(AROUND);
    for galley in galleys {
        let height = galley.size().y;
        painter.galley(line_at, galley, look::INK);
        line_at.y += height;
    }
    place
}
