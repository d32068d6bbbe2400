//! The small view at the bottom of the window: the section to scale, with its dimensions, and a key of the boat from
//! above in which the plane is dragged.

use super::Sectioning;
use super::cut::{Plane, Section};
use super::sketch::{AROUND, Dimension, Placed, Scale, lay_out};
use crate::boat::BoxKind;
use crate::frame::Post;
use crate::geom::ears::triangulate;
use crate::plan::Plan;
use crate::units::UnitSystem;
use crate::viewer::canvas::Canvas;
use crate::viewer::look::{self, Look};
use crate::viewer::model::Model;
use crate::viewer::shown::{Hanging, own_drawn};
use crate::viewer::words;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, egui};
use egui::{Align2, Color32, Pos2, Rect, RichText, Sense, Shape, Stroke};
use nalgebra::Point2;

/// Height of the view at first, least, and the most of the window that it takes; points before scaling.
const HEIGHT: [f32; 2] = [250.0, 150.0];
/// See [`HEIGHT`].
const MOST: f32 = 0.6;
/// Width of the key, points before scaling.
const KEY: f32 = 170.0;

/// Fills and lines of the section.
const HULL: Color32 = Color32::from_rgb(0xc3, 0xd0, 0xd5);
/// See [`HULL`].
const THING: Color32 = Color32::from_rgb(0xde, 0xdb, 0xce);
/// See [`HULL`].
const GLASS: Color32 = Color32::from_rgb(0x9d, 0xbd, 0xc8);
/// See [`HULL`].
const POST: Color32 = Color32::from_rgb(0xc7, 0x8d, 0x4f);
/// See [`HULL`].
const CAP: Color32 = Color32::from_rgb(0xb4, 0x3e, 0x2c);
/// See [`HULL`].
const STRAP: Color32 = Color32::from_rgb(0x2b, 0x2b, 0x33);
/// See [`HULL`].
const BAND: Color32 = Color32::from_rgb(0x8a, 0x3b, 0x60);
/// See [`HULL`].
const SOLE: Color32 = Color32::from_rgb(0x86, 0x6c, 0x40);

/// Width of a drawn post, m: a square post of 3 1/2 in.
const POST_WIDTH: f64 = 0.089;

/// Draws the view while something is cut.
pub(super) fn panel(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    model: Res<Model>,
    hanging: Option<Res<Hanging>>,
    look: Res<Look>,
    mut sectioning: ResMut<Sectioning>,
) -> Result {
    let drawn = own_drawn(&model, hanging.as_deref());
    let (Some(plan), Some(section)) = (drawn, sectioning.section().cloned()) else {
        return Ok(());
    };
    let under = hanging.as_deref().map(Hanging::under).unwrap_or_default();
    let context = contexts.ctx_mut()?;
    let mut surface = canvas.surface(context, "section");
    let window = context.viewport_rect().height();
    let mut moved: Option<Plane> = None;
    let mut closed = false;
    egui::Panel::bottom("section view")
        .resizable(true)
        .default_size((HEIGHT[0] * look.scale).min(0.4 * window))
        .min_size((HEIGHT[1] * look.scale).min(0.4 * window))
        .max_size(MOST * window)
        .show(&mut surface, |ui| {
            ui.horizontal(|ui| {
                let heading = format!("{}{under}", heading(section.plane, model.units));
                ui.label(RichText::new(heading).strong());
                ui.label(RichText::new(seen_from(section.plane)).color(look::FADED));
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                    let key = key_of(section.plane);
                    closed = ui
                        .button("close")
                        .on_hover_text(format!("key {key}"))
                        .clicked();
                });
            });
            let whole = ui.available_rect_before_wrap();
            let key_width = (KEY * look.scale).min(0.25 * whole.width());
            let key = Rect::from_min_size(whole.min, egui::vec2(key_width, whole.height()));
            let room = Rect::from_min_max(egui::pos2(key.right() + 8.0, whole.top()), whole.max);
            let answer = ui.allocate_rect(key, Sense::click_and_drag());
            let answer = answer.on_hover_text("drag the plane, or use [ and ]");
            let painter = ui.painter().with_clip_rect(whole);
            let map = key_map(plan, key);
            draw_key(&painter, &look, plan, section.plane, &map, key);
            if let Some(at) = answer.interact_pointer_pos()
                && (answer.dragged() || answer.clicked())
            {
                moved = Some(map.plane_at(section.plane, at));
            }
            ui.allocate_rect(room, Sense::hover());
            draw_section(&painter, &look, plan, &section, model.units, room);
        });
    canvas.leave(&surface);
    if let Some(plane) = moved {
        sectioning.put(plane, plan);
    }
    if closed {
        sectioning.clear();
    }
    Ok(())
}

/// What is cut, in words.
pub fn heading(plane: Plane, units: UnitSystem) -> String {
    match plane {
        Plane::Across(station) => {
            format!("Section across at station {}", units.format_length(station))
        }
        Plane::Along(offset) if offset.abs() < words::ON_CENTERLINE => {
            "Section along the centerline".to_owned()
        }
        Plane::Along(offset) => format!(
            "Section along, {} {}",
            units.format_length(offset.abs()),
            if offset > 0.0 { "port" } else { "starboard" }
        ),
    }
}

fn seen_from(plane: Plane) -> &'static str {
    match plane {
        Plane::Across(_) => {
            "seen from astern, port on the left; slopes along the cut, rise to 12 and degrees"
        }
        Plane::Along(_) => "bow on the right; slopes along the cut, rise to 12 and degrees",
    }
}

/// The key that takes a plane away.
fn key_of(plane: Plane) -> char {
    match plane {
        Plane::Across(_) => 'X',
        Plane::Along(_) => 'Y',
    }
}

/// The boat from above, bow to the right.
struct KeyMap {
    points: f32,
    middle: Point2<f64>,
    center: Pos2,
}

impl KeyMap {
    fn at(&self, station: f64, offset: f64) -> Pos2 {
        let x = (station - self.middle.x) as f32;
        let y = (offset - self.middle.y) as f32;
        self.center + egui::vec2(x, -y) * self.points
    }

    fn plane_at(&self, plane: Plane, at: Pos2) -> Plane {
        let way = (at - self.center) / self.points;
        match plane {
            Plane::Across(_) => Plane::Across(self.middle.x + f64::from(way.x)),
            Plane::Along(_) => Plane::Along(self.middle.y - f64::from(way.y)),
        }
    }
}

fn key_map(plan: &Plan, room: Rect) -> KeyMap {
    let [aft, fore] = Plane::Across(0.0).reach(plan);
    let [starboard, port] = Plane::Along(0.0).reach(plan);
    let room = room.shrink(10.0);
    let across = f64::from(room.width().max(1.0)) / (fore - aft).max(0.1);
    let up = f64::from(room.height().max(1.0)) / (port - starboard).max(0.1);
    KeyMap {
        points: across.min(up) as f32,
        middle: Point2::new(0.5 * (aft + fore), 0.5 * (starboard + port)),
        center: room.center(),
    }
}

fn draw_key(
    painter: &egui::Painter,
    look: &Look,
    plan: &Plan,
    plane: Plane,
    map: &KeyMap,
    room: Rect,
) {
    painter.rect(
        room.shrink(2.0),
        3.0,
        look::FIELD,
        Stroke::new(1.0, look::RULE),
        egui::StrokeKind::Inside,
    );
    let outline: Vec<Pos2> = plan
        .hull
        .edge
        .points()
        .iter()
        .map(|p| map.at(p.x, p.y))
        .collect();
    painter.add(Shape::convex_polygon(
        outline,
        HULL,
        Stroke::new(1.0, look::INK),
    ));
    for post in &plan.frame.posts {
        painter.circle_filled(map.at(post.station, post.offset), 2.5, CAP);
    }
    let [aft, fore] = Plane::Across(0.0).reach(plan);
    let [starboard, port] = Plane::Along(0.0).reach(plan);
    let beyond = f64::from(6.0 / map.points);
    let ends = match plane {
        Plane::Across(at) => [map.at(at, starboard - beyond), map.at(at, port + beyond)],
        Plane::Along(at) => [map.at(aft - beyond, at), map.at(fore + beyond, at)],
    };
    painter.line_segment(ends, Stroke::new(2.5, look::ACCENT));
    painter.text(
        egui::pos2(room.center().x, room.bottom() - 5.0),
        Align2::CENTER_BOTTOM,
        "drag the plane",
        look.font(look::SMALL),
        look::FADED,
    );
}

fn draw_section(
    painter: &egui::Painter,
    look: &Look,
    plan: &Plan,
    section: &Section,
    units: UnitSystem,
    room: Rect,
) {
    let font = look.font(look::SMALL);
    let measure = |words: &str| {
        painter
            .layout_no_wrap(words.to_owned(), font.clone(), look::INK)
            .size()
    };
    let sketch = lay_out(section, plan, units, room, &measure);
    let scale = sketch.scale;
    ground(painter, section, &scale, room);
    for line in &section.hull {
        area(painter, line, &scale, HULL);
    }
    for [a, b] in &section.footings {
        let ends = [scale.at(*a), scale.at(*b)];
        painter.line_segment(ends, Stroke::new(2.0, SOLE));
    }
    for (index, line) in &section.things {
        let glass = plan
            .boat
            .boxes
            .get(*index)
            .is_some_and(|item| item.kind == BoxKind::Windshield);
        area(painter, line, &scale, if glass { GLASS } else { THING });
    }
    for post in section
        .posts
        .iter()
        .filter_map(|k| plan.frame.posts.get(*k))
    {
        draw_post(painter, plan, post, section.plane, &scale);
    }
    film(painter, section, &scale);
    for strap in &section.straps {
        let points: Vec<Pos2> = strap.line.iter().map(|p| scale.at(*p)).collect();
        if let [p] = points[..] {
            painter.circle_filled(p, 3.0, STRAP);
        }
        painter.add(Shape::line(points, Stroke::new(2.0, STRAP)));
    }
    for p in &section.band {
        let mark = Rect::from_center_size(scale.at(*p), egui::Vec2::splat(6.0));
        painter.rect_filled(mark, 0.0, BAND);
    }
    for dimension in &sketch.dimensions {
        draw_dimension(painter, dimension, &font);
    }
    for label in &sketch.labels {
        leader(painter, label);
    }
    for label in &sketch.labels {
        draw_label(painter, label, &font);
    }
    scale_bar(painter, sketch.bar, &font);
}

fn ground(painter: &egui::Painter, section: &Section, scale: &Scale, room: Rect) {
    let y = scale.at([0.0, section.ground]).y;
    painter.line_segment(
        [egui::pos2(room.left(), y), egui::pos2(room.right(), y)],
        Stroke::new(1.5, look::FADED),
    );
    let mut x = room.left() + 4.0;
    while x < room.right() {
        painter.line_segment(
            [egui::pos2(x, y), egui::pos2(x - 4.0, y + 4.0)],
            Stroke::new(1.0, look::RULE),
        );
        x += 9.0;
    }
}

/// A closed outline, filled.
fn area(painter: &egui::Painter, line: &[[f64; 2]], scale: &Scale, fill: Color32) {
    let mut outline: Vec<Point2<f64>> = line.iter().map(|p| Point2::new(p[0], p[1])).collect();
    let round = outline.iter().zip(outline.iter().cycle().skip(1));
    let doubled: f64 = round.map(|(a, b)| a.coords.perp(&b.coords)).sum();
    if doubled < 0.0 {
        outline.reverse();
    }
    let points: Vec<Pos2> = outline.iter().map(|p| scale.at([p.x, p.y])).collect();
    if let Some(triangles) = triangulate(&outline) {
        let mut mesh = egui::Mesh::default();
        for p in &points {
            mesh.colored_vertex(*p, fill);
        }
        for [a, b, c] in triangles {
            let index = |k: usize| u32::try_from(k).unwrap_or(0);
            mesh.add_triangle(index(a), index(b), index(c));
        }
        painter.add(Shape::mesh(mesh));
    }
    painter.add(Shape::closed_line(points, Stroke::new(1.0, look::INK)));
}

/// A post with its caps; dashed where it stands beside the plane.
fn draw_post(painter: &egui::Painter, plan: &Plan, post: &Post, plane: Plane, scale: &Scale) {
    let along = plane.axis().seen(&post.top())[0];
    let half = 0.5 * POST_WIDTH;
    let corner = |side: f64, z: f64| scale.at([along + side * half, z]);
    let in_plane = (plane.axis().along(&post.top()) - plane.at()).abs() <= half;
    if in_plane {
        let place = Rect::from_two_pos(corner(-1.0, post.base), corner(1.0, post.cap));
        painter.rect(
            place,
            0.0,
            POST,
            Stroke::new(1.0, look::INK),
            egui::StrokeKind::Inside,
        );
    } else {
        for side in [-1.0, 1.0] {
            let ends = [corner(side, post.base), corner(side, post.cap)];
            painter.extend(Shape::dashed_line(&ends, Stroke::new(1.2, POST), 5.0, 4.0));
        }
    }
    let reach = 0.5 * plan.rules.cap_diameter;
    for z in [post.base, post.cap] {
        let ends = [-reach, reach].map(|off| scale.at([along + off, z]));
        painter.line_segment(ends, Stroke::new(2.5, CAP));
    }
}

/// The film, thick and hatched where it is flatter than the rule.
fn film(painter: &egui::Painter, section: &Section, scale: &Scale) {
    let on_screen =
        |line: &[[f64; 2]]| -> Vec<Pos2> { line.iter().map(|p| scale.at(*p)).collect() };
    for line in &section.skirt {
        painter.add(Shape::line(on_screen(line), Stroke::new(1.4, look::FADED)));
    }
    for cut in &section.film {
        let line = on_screen(&cut.points);
        painter.add(Shape::line(line, Stroke::new(2.2, look::INK)));
    }
    for run in &section.flat {
        let line = on_screen(run);
        painter.add(Shape::line(line.clone(), Stroke::new(4.0, look::BAD)));
        // Ticks over it, so that it is seen without color.
        let mut next = 2.0;
        for pair in line.windows(2) {
            let &[a, b] = pair else { continue };
            let length = (b - a).length();
            while next <= length && length > 0.0 {
                let p = a + (b - a) * (next / length);
                painter.line_segment([p, p + egui::vec2(3.0, -8.0)], Stroke::new(1.4, look::BAD));
                next += 6.0;
            }
            next -= length;
        }
    }
}

fn draw_dimension(painter: &egui::Painter, dimension: &Dimension, font: &egui::FontId) {
    let stroke = Stroke::new(1.0, look::INK);
    let [a, b] = dimension.ends;
    painter.line_segment([a, b], stroke);
    let along = (b - a).normalized();
    let tick = egui::vec2(-along.y, along.x) * 4.0;
    for end in [a, b] {
        painter.line_segment([end - tick, end + tick], stroke);
    }
    painter.rect_filled(dimension.place, 0.0, look::PAPER);
    painter.text(
        dimension.place.center(),
        Align2::CENTER_CENTER,
        &dimension.words,
        font.clone(),
        look::INK,
    );
}

fn leader(painter: &egui::Painter, label: &Placed) {
    let ink = if label.fault { look::BAD } else { look::FADED };
    let end = label.place.clamp(label.anchor);
    painter.line_segment([label.anchor, end], Stroke::new(1.0, ink));
    painter.circle_filled(label.anchor, 2.0, ink);
}

fn draw_label(painter: &egui::Painter, label: &Placed, font: &egui::FontId) {
    let ink = if label.fault { look::BAD } else { look::INK };
    let rim = if label.fault { look::BAD } else { look::RULE };
    painter.rect(
        label.place,
        3.0,
        look::PAPER,
        Stroke::new(1.0, rim),
        egui::StrokeKind::Inside,
    );
    let mut at = label.place.min + egui::Vec2::splat(AROUND);
    for line in &label.lines {
        let galley = painter.layout_no_wrap(line.clone(), font.clone(), ink);
        let height = galley.size().y;
        painter.galley(at, galley, ink);
        at.y += height;
    }
}

/// A bar to judge lengths by.
fn scale_bar(painter: &egui::Painter, (place, words): (Rect, &str), font: &egui::FontId) {
    let ends = [place.left_bottom(), place.right_bottom()];
    painter.line_segment(ends, Stroke::new(3.0, look::INK));
    painter.text(
        place.center_bottom() - egui::vec2(0.0, 2.0),
        Align2::CENTER_BOTTOM,
        words,
        font.clone(),
        look::INK,
    );
}
