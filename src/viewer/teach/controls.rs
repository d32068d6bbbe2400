//! The storm's buttons on a page.

use super::snowfall::{Snowfall, Weather};
use crate::lesson::storm::LEAVES_OUT;
use crate::viewer::look;
use bevy::prelude::*;
use bevy_egui::egui;
use egui::RichText;

/// The storm: run and stop, speed, to the end, melt; how far it is; what it leaves out. What it did to each cover stands
/// over that cover.
pub fn storm(ui: &mut egui::Ui, snowfall: &Snowfall, weather: &mut MessageWriter<Weather>) {
    ui.label(RichText::new("The storm").strong());
    ui.horizontal_wrapped(|ui| {
        let run = match (snowfall.runs(), snowfall.is_over(), snowfall.melted()) {
            (true, ..) => "stop",
            (_, true, None | Some(1.0)) => "again",
            _ => "run",
        };
        let ended = match snowfall.melted() {
            None => snowfall.is_over(),
            Some(melted) => melted >= 1.0,
        };
        let melts = snowfall.is_over() && snowfall.melted().is_none();
        for (word, keys, able, what) in [
            (run, "Space", true, Weather::RunOrStop),
            ("to the end", "", !ended, Weather::ToEnd),
            ("let it melt", "", melts, Weather::Thaw),
        ] {
            let mut button = ui.add_enabled(able, egui::Button::new(word));
            if !keys.is_empty() {
                button = button.on_hover_text(format!("key {keys}"));
            }
            if button.clicked() {
                weather.write(what);
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        for (word, key, what) in [
            ("slower", "comma", Weather::Slower),
            ("faster", "period", Weather::Faster),
        ] {
            if ui
                .button(word)
                .on_hover_text(format!("key {key}"))
                .clicked()
            {
                weather.write(what);
            }
        }
        ui.label(format!("{}x", snowfall.speed()));
    });
    let part = (snowfall.hours() / snowfall.end().max(f64::MIN_POSITIVE)) as f32;
    ui.add(
        egui::ProgressBar::new(part)
            .fill(look::ACCENT.gamma_multiply(0.5))
            .text(
                RichText::new(format!(
                    "{:.1} of {:.1} h",
                    snowfall.hours(),
                    snowfall.end()
                ))
                .color(look::INK),
            ),
    );
    leaves_out(ui);
}

/// What the storm leaves out, in words.
pub fn leaves_out(ui: &mut egui::Ui) {
    egui::CollapsingHeader::new("What this storm leaves out")
        .default_open(true)
        .show(ui, |ui| {
            ui.label(RichText::new(LEAVES_OUT).small().color(look::FADED));
        });
}
