//! The legend over the scene: the scale of slopes with the least slope marked, and the signs.

use super::camera::{Aperture, Room, SceneCamera};
use super::canvas::{Canvas, Layout, painter};
use super::display::Display;
use super::look::{self, Look};
use super::scale::{BAR, Scale, row};
use super::scene::Lying;
use super::shown::Shown;
use crate::export::slope_color;
use crate::plan::Plan;
use crate::view::Show;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};
use egui::{Align2, Color32, Rect, Stroke};

/// White round the legend, points.
const AROUND: f32 = 10.0;
/// Rows of text that the label of a post takes over its cap, with its leader; the caption of a picture is as high.
const LABEL_ROWS: f32 = 6.3;
/// The same for a short one.
const SHORT_LABEL_ROWS: f32 = 3.2;
/// Most of the picture that is kept free for words on one side.
const MAX_MARGIN: f32 = 0.3;

/// Draws the legend.
pub struct LegendPlugin;

impl Plugin for LegendPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Strip>()
            .add_systems(EguiPrimaryContextPass, set_aside.in_set(Layout::Strips))
            .add_systems(EguiPrimaryContextPass, draw.in_set(Layout::Overlay));
    }
}

/// The strip under two covers that stand beside each other, where the legend is that of both, and whether there is room
/// for the signs in it.
#[derive(Resource, Default)]
pub struct Strip(Option<(Rect, bool)>);

/// The most of the height of two covers that a strip with the signs may take.
const MAX_STRIP: f32 = 0.2;

/// How the legend is laid out.
struct Shape {
    /// Whether it has the bar of slopes.
    has_bar: bool,
    bar: egui::Vec2,
    /// The signs stand beside the bar, else under it.
    beside: bool,
    /// Rows of signs.
    rows: usize,
    /// Width of a column of signs.
    column: f32,
    /// Space between bar and signs.
    gap: f32,
    signs: egui::Vec2,
    size: egui::Vec2,
    listed: Vec<Listed>,
}

/// A sign and what it means.
type Listed = (Sign, &'static str);

fn shape(display: &Display, listed: Vec<Listed>, look: &Look, width: f32) -> Shape {
    let row = row(look);
    let has_bar = display.show() == Show::Slope;
    let bar = if has_bar {
        egui::vec2(BAR[0] * look.scale, 4.2 * row)
    } else {
        egui::Vec2::ZERO
    };
    let column = 136.0 * look.scale;
    // The signs stand beside the bar where there is room, else under it.
    let beside = width > bar.x + 3.0 * column + 80.0;
    let count = listed.len();
    let rows = if has_bar && beside {
        3
    } else {
        // Two rows, or as many as a narrow scene asks for.
        let most = ((width - 24.0 - 2.0 * AROUND) / column).max(1.0) as usize;
        count.div_ceil(most).max(2)
    };
    let columns = count.div_ceil(rows);
    let high = if listed.is_empty() { 0 } else { rows };
    let signs = egui::vec2(column * columns as f32, row * high as f32);
    let gap = if has_bar && beside {
        24.0 * look.scale
    } else {
        0.0
    };
    let size = if beside {
        egui::vec2(bar.x + gap + signs.x, bar.y.max(signs.y))
    } else {
        egui::vec2(bar.x.max(signs.x), bar.y + signs.y)
    } + egui::Vec2::splat(2.0 * AROUND);
    Shape {
        has_bar,
        bar,
        beside,
        rows,
        column,
        gap,
        signs,
        size,
        listed,
    }
}

/// Sets a strip aside while two covers are compared.
pub fn set_aside(
    mut canvas: ResMut<Canvas>,
    mut strip: ResMut<Strip>,
    shown: Shown,
    cameras: Query<&SceneCamera>,
    lying: Query<(), With<Lying>>,
    display: Res<Display>,
    look: Res<Look>,
) {
    let snow = !lying.is_empty();
    let plan = shown.plan().filter(|_| cameras.iter().count() > 1);
    strip.0 = plan.map(|plan| {
        let rest = canvas.rest;
        let height = |listed| shape(&display, listed, &look, rest.width()).size.y;
        let whole = height(listed(&display, plan, snow));
        let room = display.show() != Show::Slope || whole < MAX_STRIP * rest.height();
        let mut strip = rest;
        strip.min.y = strip.max.y - if room { whole } else { height(Vec::new()) };
        canvas.rest.max.y = strip.min.y;
        (strip, room)
    });
}

/// Draws it at the lower left of the scene.
#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
pub fn draw(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    shown: Shown,
    strip: Res<Strip>,
    cameras: Query<&SceneCamera>,
    lying: Query<(), With<Lying>>,
    display: Res<Display>,
    look: Res<Look>,
    mut aperture: ResMut<Aperture>,
) -> Result {
    let Some(plan) = shown.plan() else {
        return Ok(());
    };
    let context = contexts.ctx_mut()?;
    let rest = canvas.rest;
    let snow = !lying.is_empty();
    let (width, listed) = match strip.0 {
        Some((strip, false)) if display.show() == Show::Slope => (strip.width(), Vec::new()),
        Some((strip, _)) => (strip.width(), listed(&display, plan, snow)),
        None => (rest.width(), listed(&display, plan, snow)),
    };
    let shape = shape(&display, listed, &look, width);
    let (place, painter) = match strip.0 {
        Some((strip, _)) => {
            let painter = context
                .layer_painter(egui::LayerId::background())
                .with_clip_rect(strip);
            painter.rect_filled(strip, 0.0, look::PAPER);
            (Rect::from_min_size(strip.min, shape.size), painter)
        }
        None => {
            let painter = painter(context, &canvas);
            let place = Rect::from_min_size(
                egui::pos2(rest.left() + 12.0, rest.bottom() - 12.0 - shape.size.y),
                shape.size,
            );
            painter.rect(
                place,
                4.0,
                look::PAPER.gamma_multiply(0.94),
                Stroke::new(1.0, look::RULE),
                egui::StrokeKind::Inside,
            );
            canvas.take(place);
            (place, painter)
        }
    };
    let scale = Scale::of(&shown, plan);
    fill(&painter, place, &shape, &look, &scale);
    // The boat is fitted over the legend, and under what is said of the whole and the labels of its posts.
    let count = cameras.iter().count();
    let height = canvas.part(0, count).height().max(1.0);
    let share = |points: f32| (points / height).clamp(0.0, MAX_MARGIN);
    // Words over the whole always are kept off; labels find another place where there is little.
    let over = |points: f32| ((canvas.head / height) + share(points)).min(MAX_HEAD);
    let (labels, below) = match strip.0 {
        Some(_) => {
            let labels = SHORT_LABEL_ROWS * row(&look);
            (labels.min(MAX_LABELS * height), UNDER)
        }
        None => (LABEL_ROWS * row(&look), shape.size.y + UNDER),
    };
    let room = Room {
        top: over(labels),
        bottom: share(below),
        ..Room::default()
    };
    if aperture.room != room {
        aperture.room = room;
    }
    Ok(())
}

/// Most of a picture beside another that labels are kept free over the boat, and that is kept free there in all.
const MAX_LABELS: f32 = 0.16;
/// See [`MAX_LABELS`].
const MAX_HEAD: f32 = 0.6;

/// Space under the boat, points.
const UNDER: f32 = 24.0;

/// Bar and signs in their place.
fn fill(painter: &egui::Painter, place: Rect, shape: &Shape, look: &Look, scale: &Scale) {
    let inside = place.shrink(AROUND);
    let row = row(look);
    if shape.has_bar {
        scale.draw(painter, look, inside.min);
    }
    let first = if shape.beside {
        egui::pos2(
            inside.left() + shape.bar.x + shape.gap,
            inside.center().y - 0.5 * shape.signs.y,
        )
    } else {
        egui::pos2(inside.left(), inside.top() + shape.bar.y)
    };
    for (index, (sign, words)) in shape.listed.iter().enumerate() {
        let at = first
            + egui::vec2(
                shape.column * (index / shape.rows) as f32,
                row * ((index % shape.rows) as f32 + 0.5),
            );
        let mark = Rect::from_center_size(
            at + egui::vec2(13.0 * look.scale, 0.0),
            egui::vec2(26.0, 11.0) * look.scale,
        );
        sign.draw(painter, mark);
        painter.text(
            egui::pos2(mark.right() + 7.0, at.y),
            Align2::LEFT_CENTER,
            words,
            look.font(look::SMALL),
            look::INK,
        );
    }
}

/// A sign of the legend.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Sign {
    Line(Color32, f32),
    Hatch,
    Outline,
    Water,
    Pleat,
    Box(Color32),
    Cross,
    Vent,
    Door,
}

/// The signs of what is drawn, and of the snow of a storm.
fn listed(display: &Display, plan: &Plan, snow: bool) -> Vec<Listed> {
    let mut listed = signs(display, plan);
    if snow && display.has_film() {
        listed.push((Sign::Box(Color32::WHITE), "snow"));
    }
    listed
}

fn signs(display: &Display, plan: &Plan) -> Vec<(Sign, &'static str)> {
    let strap = Sign::Line(Color32::from_rgb(0x2b, 0x2b, 0x33), 3.0);
    let band = Sign::Line(Color32::from_rgb(0x8a, 0x3b, 0x60), 3.0);
    let post = Sign::Box(Color32::from_rgb(0xc7, 0x8d, 0x4f));
    let pad = Sign::Box(Color32::from_rgb(0xd9, 0x77, 0x2b));
    let drop_strap = Sign::Line(Color32::from_rgb(0x8a, 0x3b, 0x60), 1.6);
    let belly_band = Sign::Line(Color32::from_rgb(0x35, 0x5f, 0x75), 3.0);
    let mut signs = match display.show() {
        Show::Slope => vec![
            (Sign::Hatch, "holding patch"),
            (Sign::Outline, "tolerated patch"),
            (Sign::Water, "pond"),
            (Sign::Pleat, "pleat, opens aft"),
            (pad, "pad"),
            (Sign::Vent, "vent"),
            (band, "perimeter band"),
            (belly_band, "belly band"),
        ],
        Show::Film => vec![
            (Sign::Pleat, "pleat, opens aft"),
            (band, "perimeter band"),
            (Sign::Hatch, "holding patch"),
            (Sign::Water, "pond"),
            (strap, "strap"),
            (pad, "pad"),
            (Sign::Vent, "vent"),
            (belly_band, "belly band"),
        ],
        Show::Frame => vec![
            (post, "support post"),
            (strap, "strap"),
            (band, "perimeter band"),
            (drop_strap, "drop strap"),
            (belly_band, "belly band"),
            (Sign::Box(Color32::from_rgb(0xc4, 0xb3, 0x94)), "footing"),
            (Sign::Cross, "no post"),
        ],
    };
    if display.has_film() && plan.fittings.door.is_some() {
        signs.push((Sign::Door, "door"));
    }
    signs
}

impl Sign {
    fn draw(self, painter: &egui::Painter, mark: Rect) {
        match self {
            Sign::Line(color, width) => {
                painter.line_segment(
                    [mark.left_center(), mark.right_center()],
                    Stroke::new(width, color),
                );
            }
            Sign::Box(color) => {
                painter.rect(
                    mark.shrink2(egui::vec2(7.0, 0.0)),
                    1.0,
                    color,
                    Stroke::new(1.0, look::INK),
                    egui::StrokeKind::Inside,
                );
            }
            Sign::Hatch => {
                let red = Color32::from_rgb(0x9a, 0x14, 0x14);
                let [r, g, b, _] = slope_color(0.5, 1.0);
                painter.rect(
                    mark,
                    0.0,
                    Color32::from(egui::Rgba::from_rgb(r, g, b)),
                    Stroke::new(1.5, red),
                    egui::StrokeKind::Inside,
                );
                let clipped = painter.with_clip_rect(mark.intersect(painter.clip_rect()));
                let mut x = mark.left() - mark.height();
                while x < mark.right() {
                    clipped.line_segment(
                        [
                            egui::pos2(x, mark.bottom()),
                            egui::pos2(x + mark.height(), mark.top()),
                        ],
                        Stroke::new(1.2, red),
                    );
                    x += 6.0;
                }
            }
            Sign::Outline => {
                let [r, g, b, _] = slope_color(0.5, 1.0);
                painter.rect(
                    mark,
                    0.0,
                    Color32::from(egui::Rgba::from_rgb(r, g, b)),
                    Stroke::new(1.0, Color32::from_rgb(0x5c, 0x4c, 0x14)),
                    egui::StrokeKind::Inside,
                );
            }
            Sign::Water => {
                painter.rect(
                    mark,
                    4.0,
                    Color32::from_rgb(0x2e, 0x8f, 0xd0),
                    Stroke::new(1.5, Color32::from_rgb(0x10, 0x48, 0x80)),
                    egui::StrokeKind::Inside,
                );
            }
            Sign::Pleat => {
                let gray = Color32::from_rgb(0x40, 0x48, 0x5c);
                let stroke = Stroke::new(1.6, gray);
                let [a, b] = [mark.left_center(), mark.right_center()];
                painter.line_segment([a, b], stroke);
                for part in [0.15, 0.4, 0.65, 0.9] {
                    let p = a + (b - a) * part;
                    painter.line_segment([p, p + egui::vec2(-3.0, 4.5)], stroke);
                }
            }
            Sign::Vent => {
                painter.circle(
                    mark.center(),
                    0.5 * mark.height(),
                    Color32::from_rgb(0xf4, 0xf0, 0xe2),
                    Stroke::new(1.4, look::INK),
                );
            }
            Sign::Door => {
                let mark = mark.shrink2(egui::vec2(5.0, 0.0));
                let stroke = Stroke::new(1.8, look::INK);
                painter.rect_stroke(mark, 0.0, stroke, egui::StrokeKind::Inside);
                painter.line_segment([mark.center_top(), mark.center_bottom()], stroke);
            }
            Sign::Cross => {
                let stroke = Stroke::new(1.4, Color32::from_rgb(0x9e, 0x33, 0x29));
                let mark = mark.shrink2(egui::vec2(4.0, 0.0));
                painter.rect_stroke(mark, 0.0, stroke, egui::StrokeKind::Inside);
                painter.line_segment([mark.left_top(), mark.right_bottom()], stroke);
                painter.line_segment([mark.left_bottom(), mark.right_top()], stroke);
            }
        }
    }
}
