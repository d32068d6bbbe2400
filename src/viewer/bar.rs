//! The bar over the scene: pages, undo, views, film, color, labels. Everything in it has a key, which it names.

use super::camera::Go;
use super::canvas::{Canvas, Layout};
use super::display::{Display, FilmMode};
use super::history::{Act, History};
use super::look;
use super::page::Page;
use super::shown::Guest;
use crate::view::Vantage;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};
use egui::RichText;

/// Draws the bar.
pub struct BarPlugin;

impl Plugin for BarPlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(EguiPrimaryContextPass, bar.in_set(Layout::Bars));
    }
}

#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
fn bar(
    mut contexts: EguiContexts,
    history: Res<History>,
    guest: Option<Res<Guest>>,
    mut page: ResMut<Page>,
    mut acts: MessageWriter<Act>,
    mut canvas: ResMut<Canvas>,
    mut display: ResMut<Display>,
    mut go: MessageWriter<Go>,
) -> Result {
    let context = contexts.ctx_mut()?;
    let mut surface = canvas.surface(context, "bar");
    egui::Panel::top("view bar").show(&mut surface, |ui| {
        ui.horizontal_wrapped(|ui| {
            for (key, wanted) in Page::ALL.into_iter().enumerate() {
                let chosen = *page == wanted;
                let button = ui
                    .selectable_label(chosen, wanted.word())
                    .on_hover_text(format!("key F{}", key + 1));
                if button.clicked() {
                    *page = if chosen { Page::None } else { wanted };
                }
            }
            ui.separator();
            for (word, keys, step, act) in [
                ("undo", "Ctrl Z", history.undoes(), Act::Undo),
                ("redo", "Ctrl Y", history.redoes(), Act::Redo),
            ] {
                // The boat is out of sight, and stays as it is, while another's plan is shown.
                let step = step.filter(|_| guest.is_none());
                let button = ui.add_enabled(step.is_some(), egui::Button::new(word));
                let about = format!("{}, {keys}", step.unwrap_or("nothing"));
                if button.on_hover_text(about).clicked() {
                    acts.write(act);
                }
            }
            ui.separator();
            ui.label(RichText::new("From").color(look::FADED));
            for (key, vantage) in Vantage::ALL.into_iter().enumerate() {
                let button = ui
                    .button(vantage.word())
                    .on_hover_text(format!("key {}", key + 1));
                if button.clicked() {
                    go.write(Go::To(vantage));
                }
            }
            if ui.button("fit").on_hover_text("key F").clicked() {
                go.write(Go::Fit);
            }
            ui.separator();
            ui.label(RichText::new("Film").color(look::FADED));
            for mode in FilmMode::ALL {
                let chosen = display.film == mode;
                let button = ui
                    .selectable_label(chosen, mode.word())
                    .on_hover_text("key T goes through these");
                if button.clicked() && !chosen {
                    display.film = mode;
                }
            }
            ui.separator();
            let mut slope = display.slope;
            if ui
                .checkbox(&mut slope, "slope")
                .on_hover_text("key C: color the film by its slope")
                .changed()
            {
                display.slope = slope;
            }
            let mut labels = display.labels;
            if ui
                .checkbox(&mut labels, "labels")
                .on_hover_text("key L")
                .changed()
            {
                display.labels = labels;
            }
        });
    });
    canvas.leave(&surface);
    Ok(())
}
