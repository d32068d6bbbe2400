//! The page of lessons and rivals.

use super::class::{Ask, Class, On, SNOWS, Sitting};
use super::controls;
use super::snowfall::{Snowfall, Weather};
use crate::lesson::Rival;
use crate::units::UnitSystem;
use crate::viewer::camera::Go;
use crate::viewer::canvas::{Canvas, Layout};
use crate::viewer::convert;
use crate::viewer::look::{self, Look};
use crate::viewer::page::{Page, show};
use crate::viewer::shown::Shown;
use crate::viewer::verdict::mark;
use bevy::ecs::system::SystemParam;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};
use egui::RichText;

/// Draws the page.
pub struct LessonsPlugin;

impl Plugin for LessonsPlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(
            EguiPrimaryContextPass,
            page.in_set(Layout::Panels)
                .run_if(resource_equals(Page::Lessons)),
        );
    }
}

/// What the page can ask for.
#[derive(SystemParam)]
struct Wishes<'w> {
    asks: MessageWriter<'w, Ask>,
    weather: MessageWriter<'w, Weather>,
    go: MessageWriter<'w, Go>,
}

#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
fn page(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    look: Res<Look>,
    class: Res<Class>,
    snowfall: Option<Res<Snowfall>>,
    shown: Shown,
    mut wishes: Wishes,
) -> Result {
    let context = contexts.ctx_mut()?;
    let storm = snowfall.as_deref();
    show(context, &mut canvas, &look, Page::Lessons, |ui| {
        if let Some(words) = &class.coming {
            ui.label(RichText::new(format!("planning {words} ...")).color(look::FADED));
        }
        for problem in &class.problems {
            let words = format!("Cannot be planned: {}; {}", problem.what, problem.hint);
            ui.label(RichText::new(words).color(look::BAD));
        }
        match &class.on {
            On::Lesson(sitting) => lesson(ui, sitting, storm, shown.units(), &mut wishes),
            _ => {
                list(ui, &class, &mut wishes);
                rivals(ui, &class, storm, &shown, &mut wishes);
            }
        }
    });
    Ok(())
}

fn list(ui: &mut egui::Ui, class: &Class, wishes: &mut Wishes) {
    ui.heading("Lessons");
    ui.label("Predict, then see. Your boat stays as it is.");
    for lesson in &class.lessons {
        if ui.button(&lesson.title).clicked() {
            wishes.asks.write(Ask::Lesson(lesson.name.clone()));
        }
    }
}

fn rivals(
    ui: &mut egui::Ui,
    class: &Class,
    storm: Option<&Snowfall>,
    shown: &Shown,
    wishes: &mut Wishes,
) {
    let units = shown.units();
    ui.add_space(10.0);
    ui.heading("Compare");
    let Some(plan) = &shown.model().plan else {
        ui.label("as soon as there is a plan");
        return;
    };
    ui.label("This boat's plan beside a rival:");
    for rival in Rival::of(plan) {
        let chosen = matches!(&class.on, On::Rival { rival: on, .. } if *on == rival);
        let button = egui::Button::new(rival.words(units)).selected(chosen);
        if ui.add(button).clicked() {
            wishes.asks.write(if chosen {
                Ask::Leave
            } else {
                Ask::Rival(rival)
            });
        }
    }
    let On::Rival { .. } = &class.on else { return };
    if ui.button("end the comparison").clicked() {
        wishes.asks.write(Ask::Leave);
    }
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new("Fresh snow").color(look::FADED));
        for snow in SNOWS {
            let chosen = class.snow == snow;
            let words = units.format_length_short(snow);
            if ui.selectable_label(chosen, words).clicked() && !chosen {
                wishes.asks.write(Ask::Snow(snow));
            }
        }
    });
    if let Some(snowfall) = storm {
        ui.separator();
        controls::storm(ui, snowfall, &mut wishes.weather);
    }
}

fn lesson(
    ui: &mut egui::Ui,
    sitting: &Sitting,
    storm: Option<&Snowfall>,
    units: UnitSystem,
    wishes: &mut Wishes,
) {
    let played = &sitting.played;
    let lesson = played.lesson();
    if ui.button("leave the lesson").clicked() {
        wishes.asks.write(Ask::Leave);
    }
    ui.heading(&lesson.title);
    let about = format!(
        "On a boat of the lesson, {}. Yours waits as you left it.",
        played.plan.boat.name
    );
    ui.label(RichText::new(about).small().color(look::FADED));
    ui.label(played.story(units));
    ui.label(RichText::new("Watch").color(look::FADED));
    ui.horizontal_wrapped(|ui| {
        ui.label(&lesson.watch);
        for (index, at) in played.watch.iter().enumerate() {
            let word = if played.watch.len() > 1 {
                format!("show me {}", index + 1)
            } else {
                "show me".to_owned()
            };
            if ui.button(word).clicked() {
                wishes.go.write(Go::At(convert::point(at)));
            }
        }
    });
    ui.separator();
    ui.label(RichText::new(&lesson.question).strong());
    for (index, choice) in lesson.choices.iter().enumerate() {
        let picked = sitting.choice == Some(index);
        let answer = ui.add_enabled(
            !sitting.seen || picked,
            egui::RadioButton::new(picked, &choice.text),
        );
        if answer.clicked() {
            wishes.asks.write(Ask::Choose(index));
        }
    }
    if !sitting.seen {
        let able = sitting.choice.is_some();
        let see = ui.add_enabled(able, egui::Button::new("See"));
        if see.clicked() {
            wishes.asks.write(Ask::See);
        }
        if !able {
            ui.label(
                RichText::new("Predict first, then see.")
                    .small()
                    .color(look::FADED),
            );
        }
        return;
    }
    ui.separator();
    if sitting.answered {
        answer(ui, sitting, units);
        ui.separator();
    } else {
        ui.label("The answer comes when the storm is over.");
    }
    if let Some(snowfall) = storm {
        controls::storm(ui, snowfall, &mut wishes.weather);
    }
}

/// Whether the prediction was right, why the answer is what it is, and the caution that goes with it.
fn answer(ui: &mut egui::Ui, sitting: &Sitting, units: UnitSystem) {
    let played = &sitting.played;
    let lesson = played.lesson();
    let right = sitting.choice == Some(played.right);
    ui.horizontal(|ui| {
        mark(ui, right);
        let (words, ink) = if right {
            ("Your prediction was right", look::GOOD)
        } else {
            ("It comes out otherwise", look::BAD)
        };
        ui.label(RichText::new(words).strong().color(ink));
    });
    if let Some(choice) = lesson.choices.get(played.right).filter(|_| !right) {
        ui.label(format!("Right is: {}", choice.text));
    }
    ui.label(played.explanation(units));
    ui.label(RichText::new("Caution").strong().color(look::BAD));
    ui.label(&lesson.caution);
}
