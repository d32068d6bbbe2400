//! The page of loads: the site, the cases, the checks, the greatest snow, and the caution that goes with all of it.

use super::burden::{Ask, Burden, ready};
use super::checks;
use super::form::Form;
use super::words;
use crate::loads::{CAUTION, Case, LEAVES_OUT, Loads};
use crate::plan::Plan;
use crate::sheet::capacity_sentence;
use crate::units::UnitSystem;
use crate::viewer::camera::Go;
use crate::viewer::canvas::{Canvas, Layout};
use crate::viewer::convert;
use crate::viewer::look::{self, Look};
use crate::viewer::model::Model;
use crate::viewer::page::{Page, show};
use crate::viewer::shown::Guest;
use crate::viewer::teach::comparison::Comparison;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};
use egui::RichText;
use nalgebra::Point3;
use std::sync::Arc;

/// Draws the page.
pub struct LoadsPlugin;

impl Plugin for LoadsPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Form>().add_systems(
            EguiPrimaryContextPass,
            page.in_set(Layout::Panels)
                .run_if(resource_equals(Page::Loads)),
        );
    }
}

/// What is to be known of film that hangs low.
const NO_DECK: &str = "A boat file knows no deck: film that sags under the rail is drawn and reckoned as if nothing were \
there to carry it.";

/// What the page tells of.
pub struct Told<'a> {
    /// Site and loads.
    pub burden: &'a Burden,
    /// The boat's own plan.
    pub plan: Option<&'a Arc<Plan>>,
    /// It is that of the boat as it is, and fine.
    pub ready: bool,
    /// Another cover is shown in its place or beside it.
    pub beside: bool,
    /// Units of all figures.
    pub units: UnitSystem,
}

/// What was asked for on the page.
#[derive(Debug, Default, PartialEq)]
pub struct Wishes {
    /// Of the loads.
    pub ask: Option<Ask>,
    /// To be flown to.
    pub go: Option<Point3<f64>>,
}

#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
fn page(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    look: Res<Look>,
    model: Res<Model>,
    burden: Res<Burden>,
    (guest, comparison): (Option<Res<Guest>>, Option<Res<Comparison>>),
    mut form: ResMut<Form>,
    mut asks: MessageWriter<Ask>,
    mut go: MessageWriter<Go>,
) -> Result {
    let context = contexts.ctx_mut()?;
    let told = Told {
        burden: &burden,
        plan: model.plan.as_ref(),
        ready: ready(&model).is_some(),
        beside: guest.is_some() || comparison.is_some(),
        units: model.units,
    };
    let mut wishes = Wishes::default();
    show(context, &mut canvas, &look, Page::Loads, |ui| {
        wishes = contents(ui, &told, &mut form);
    });
    if let Some(ask) = wishes.ask {
        asks.write(ask);
    }
    if let Some(at) = wishes.go {
        go.write(Go::At(convert::point(&at)));
    }
    Ok(())
}

/// All of the page; what was asked for on it.
pub fn contents(ui: &mut egui::Ui, told: &Told, form: &mut Form) -> Wishes {
    let mut wishes = Wishes::default();
    ui.heading("Loads");
    ui.label(RichText::new(CAUTION).small().strong().color(look::BAD));
    if !told.burden.given
        && let Some(site) = form.draw(ui, told.units)
    {
        wishes.ask = Some(Ask::Site(Box::new(site)));
    }
    let Some(site) = &told.burden.site else {
        return wishes;
    };
    ui.separator();
    let weighed = told.plan.and_then(|plan| told.burden.of(plan));
    let loads = weighed.and_then(|weighed| weighed.loads.as_ref());
    if told.beside {
        ui.label("Another cover is shown: loads are drawn when it is put away.");
    }
    if let Some(words) = pending(told, weighed.is_some(), loads.is_some()) {
        ui.label(RichText::new(words).color(look::ACCENT));
    }
    if let Some(ask) = cases(ui, told, loads.map(Arc::as_ref)) {
        wishes.ask = Some(ask);
    }
    if let Some(loads) = loads {
        ui.separator();
        if let Some(words) = words::standing(loads) {
            let ink = if loads.stands() {
                look::GOOD
            } else {
                look::BAD
            };
            ui.label(RichText::new(format!("The cover {words}.")).color(ink));
        }
        ui.label(RichText::new("Share of what each may bear, worst first").strong());
        wishes.go = checks::table(ui, loads, told.units);
        ui.separator();
        match weighed.and_then(|weighed| weighed.capacity.as_ref()) {
            Some(Some(capacity)) => {
                ui.label(capacity_sentence(capacity, told.units));
            }
            Some(None) => {}
            None => {
                let words = "looking for the greatest snow that it stands ...";
                ui.label(RichText::new(words).color(look::FADED));
            }
        }
    }
    ui.separator();
    ui.label(RichText::new("Site").strong());
    for sentence in site.describe(told.units) {
        ui.label(RichText::new(sentence).small().color(look::FADED));
    }
    ui.label(RichText::new("What this is worth").strong());
    for sentence in [LEAVES_OUT, NO_DECK] {
        ui.label(RichText::new(sentence).small().color(look::FADED));
    }
    wishes
}

/// Why there are no loads yet.
fn pending(told: &Told, weighed: bool, loads: bool) -> Option<&'static str> {
    match (loads, weighed) {
        (true, _) => None,
        (false, true) => Some("This cover could not be loaded: the solver gave up on it."),
        _ if told.ready => Some("loading the cover ... the taut film is shown until then"),
        _ => Some("the taut film is shown; loads come once the plan stands still"),
    }
}

/// The taut film and each case of the site, to choose from; under each what the film does.
fn cases(ui: &mut egui::Ui, told: &Told, loads: Option<&Loads>) -> Option<Ask> {
    let mut ask = None;
    ui.label(RichText::new("Film drawn").strong())
        .on_hover_text("key U goes through these");
    let mut row = |ui: &mut egui::Ui, case: Option<Case>, words: &str| {
        let chosen = told.burden.case == case;
        if ui.radio(chosen, words).clicked() && !chosen {
            ask = Some(Ask::Case(case));
        }
    };
    row(ui, None, "taut, without load");
    for case in told.burden.cases() {
        row(ui, Some(case), case.words());
        let loaded = loads.and_then(|loads| loads.under(case));
        let (Some(loaded), Some(plan)) = (loaded, told.plan) else {
            continue;
        };
        let bad = loaded.outcome != crate::loads::Outcome::Settles;
        ui.indent(("case", case.words()), |ui| {
            for line in words::film(loaded, plan.rules.min_slope, told.units) {
                let ink = if bad { look::BAD } else { look::FADED };
                ui.label(RichText::new(line).small().color(ink));
            }
        });
    }
    if loads.is_some() && told.burden.case.is_some() {
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new("Colored by").color(look::FADED));
            for (by_stress, word) in [(false, "slope"), (true, "stress")] {
                let chosen = told.burden.by_stress == by_stress;
                if ui.selectable_label(chosen, word).clicked() && !chosen {
                    ask = Some(Ask::Stress(by_stress));
                }
            }
        });
    }
    ask
}
