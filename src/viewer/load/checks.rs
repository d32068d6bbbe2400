//! The table of checks on the page: what, how near to its limit, whether it holds; a click flies to its place.

use super::words;
use crate::loads::Loads;
use crate::units::UnitSystem;
use crate::viewer::look;
use bevy_egui::egui;
use egui::{Color32, RichText};
use nalgebra::Point3;

/// Height of a row's bar, points, and the ratio at its end.
const BAR: f32 = 4.0;
/// See [`BAR`].
const END: f64 = 1.5;

/// Color of a bar up to its limit, and over it.
const WITHIN: Color32 = look::GOOD;
/// See [`WITHIN`].
const OVER: Color32 = look::BAD;

/// Draws the checks, worst first; gives the place that was clicked.
pub fn table(ui: &mut egui::Ui, loads: &Loads, units: UnitSystem) -> Option<Point3<f64>> {
    let mut clicked = None;
    let width = ui.available_width();
    for check in words::worst_first(loads) {
        let ink = if check.passes() { look::INK } else { look::BAD };
        let about = words::about(check, units);
        ui.horizontal(|ui| {
            let name = RichText::new(&check.name).color(if check.at.is_some() && check.passes() {
                look::ACCENT
            } else {
                ink
            });
            let name = match check.at {
                Some(at) => {
                    let label = egui::Label::new(name.underline()).sense(egui::Sense::click());
                    let label = ui
                        .add(label)
                        .on_hover_cursor(egui::CursorIcon::PointingHand);
                    if label.clicked() {
                        clicked = Some(at);
                    }
                    label
                }
                None => ui.label(name),
            };
            name.on_hover_text(&about);
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let verdict = if check.passes() { "holds" } else { "FAILS" };
                ui.label(RichText::new(verdict).strong().color(ink));
                ui.label(RichText::new(words::ratio(check)).color(ink))
                    .on_hover_text(&about);
            });
        });
        bar(ui, width, check.ratio());
    }
    clicked
}

/// How much of what it may is asked: a bar with its limit marked.
fn bar(ui: &mut egui::Ui, width: f32, ratio: f64) {
    let (place, _) = ui.allocate_exact_size(egui::vec2(width, BAR), egui::Sense::hover());
    let painter = ui.painter();
    let x = |ratio: f64| place.left() + place.width() * (ratio.min(END) / END) as f32;
    painter.rect_filled(place, 1.0, look::FIELD);
    let end = x(if ratio.is_finite() { ratio } else { END });
    let inks = if ratio > 1.0 { OVER } else { WITHIN };
    painter.rect_filled(
        egui::Rect::from_x_y_ranges(place.left()..=end, place.y_range()),
        1.0,
        inks,
    );
    let limit = x(1.0);
    painter.line_segment(
        [
            egui::pos2(limit, place.top() - 1.0),
            egui::pos2(limit, place.bottom() + 1.0),
        ],
        egui::Stroke::new(1.5, look::INK),
    );
}
