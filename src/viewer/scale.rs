//! The scale that colored film is read by: a bar with its limit marked, and what lies on both sides of it.

use super::load::stress;
use super::look::{self, Look};
use super::shown::Shown;
use crate::export::slope_color;
use crate::plan::Plan;
use bevy_egui::egui;
use egui::{Align2, Color32, Pos2, Rect, Stroke};

/// Width and height of the bar, points before scaling.
pub const BAR: [f32; 2] = [300.0, 14.0];
/// Strips that the bar is drawn in.
const STRIPS: u32 = 150;
/// Steepest slope on the bar, rad: 65 deg, so that what is steep shows.
const STEEPEST: f64 = 65.0 * std::f64::consts::PI / 180.0;

/// Height of a row of words.
pub fn row(look: &Look) -> f32 {
    1.5 * look::SMALL * look.scale
}

/// A scale of colors.
pub struct Scale {
    title: String,
    /// The limit, and the end of the bar.
    limit: f64,
    end: f64,
    /// What lies under the limit and over it.
    sides: [&'static str; 2],
    ticks: Vec<(f64, String)>,
    color: Box<dyn Fn(f64) -> [f32; 4]>,
}

impl Scale {
    /// The scale of what is shown: of slopes, or of stress where loaded film is colored by that.
    pub fn of(shown: &Shown, plan: &Plan) -> Scale {
        let hanging = shown.hanging();
        if let Some(hanging) = hanging.filter(|hanging| hanging.tint.is_some()) {
            let under = hanging.under();
            return Scale {
                title: format!("Stress{under}, of what film may bear"),
                limit: 1.0,
                end: stress::MOST,
                sides: ["holds", "too much"],
                ticks: [0.0, 0.5, 1.0, 1.5]
                    .map(|share| (share, format!("{:.0} %", 100.0 * share)))
                    .to_vec(),
                color: Box::new(stress::color),
            };
        }
        let limit = plan.rules.min_slope;
        let under = hanging.map_or_else(|| " of the film".to_owned(), |hanging| hanging.under());
        Scale {
            title: format!(
                "Slope{under}; at least {} is wanted",
                shown.units().format_angle(limit)
            ),
            limit,
            end: STEEPEST.max(limit + 0.2),
            sides: ["holds snow", "sheds"],
            ticks: [0.0, 15.0, 30.0, 45.0, 60.0f64]
                .map(|degrees| (degrees.to_radians(), format!("{degrees:.0}°")))
                .to_vec(),
            color: Box::new(move |slope| slope_color(slope, limit)),
        }
    }

    /// Draws it.
    pub fn draw(&self, painter: &egui::Painter, look: &Look, at: Pos2) {
        let row = row(look);
        let font = look.font(look::SMALL);
        let bar = Rect::from_min_size(
            at + egui::vec2(0.0, 1.9 * row),
            egui::vec2(BAR[0], BAR[1]) * look.scale,
        );
        let x = |value: f64| bar.left() + bar.width() * (value / self.end) as f32;
        // As one mesh: strips of their own would be feathered at their edges, and pale where they are narrow.
        let mut strips = egui::Mesh::default();
        for strip in 0..STRIPS {
            let edge = |k: u32| self.end * f64::from(k) / f64::from(STRIPS);
            let [red, green, blue, _] = (self.color)(0.5 * (edge(strip) + edge(strip + 1)));
            strips.add_colored_rect(
                Rect::from_x_y_ranges(x(edge(strip))..=x(edge(strip + 1)), bar.y_range()),
                Color32::from(egui::Rgba::from_rgb(red, green, blue)),
            );
        }
        painter.add(egui::Shape::mesh(strips));
        painter.rect_stroke(
            bar,
            0.0,
            Stroke::new(1.0, look::INK),
            egui::StrokeKind::Outside,
        );
        // The limit: a line through the bar with a pointer, and what lies on both sides of it.
        let mark = x(self.limit);
        painter.line_segment(
            [
                egui::pos2(mark, bar.top() - 0.55 * row),
                egui::pos2(mark, bar.bottom() + 3.0),
            ],
            Stroke::new(2.0, look::INK),
        );
        let middle = bar.top() - 0.42 * row;
        for (words, aside, align) in [
            (self.sides[0], -6.0, Align2::RIGHT_CENTER),
            (self.sides[1], 6.0, Align2::LEFT_CENTER),
        ] {
            let place = egui::pos2(mark + aside, middle);
            painter.text(place, align, words, font.clone(), look::INK);
        }
        painter.text(
            egui::pos2(bar.left(), at.y + 0.4 * row),
            Align2::LEFT_CENTER,
            &self.title,
            font.clone(),
            look::INK,
        );
        for (value, words) in &self.ticks {
            let place = x(*value);
            painter.line_segment(
                [
                    egui::pos2(place, bar.bottom()),
                    egui::pos2(place, bar.bottom() + 4.0),
                ],
                Stroke::new(1.0, look::INK),
            );
            let align = if *value == 0.0 {
                Align2::LEFT_TOP
            } else {
                Align2::CENTER_TOP
            };
            painter.text(
                egui::pos2(place, bar.bottom() + 4.0),
                align,
                words,
                font.clone(),
                look::FADED,
            );
        }
    }
}
