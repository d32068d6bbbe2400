//! The page of loads without a window: what it says.

use super::{UNITS, model, planned, site};
use crate::loads::{CAUTION, Case, LEAVES_OUT, weigh_at_site};
use crate::viewer::load::burden::{Burden, Weighed, ready};
use crate::viewer::load::form::Form;
use crate::viewer::load::page::{Told, contents};
use crate::viewer::load::words::worst_first;
use bevy::prelude::*;
use bevy_egui::egui;
use std::sync::Arc;

/// All words of the page.
pub fn text(app: &App) -> String {
    let model = model(app);
    text_of(&Told {
        burden: app.world().resource::<Burden>(),
        plan: model.plan.as_ref(),
        ready: ready(model).is_some(),
        beside: false,
        units: UNITS,
    })
}

fn text_of(told: &Told) -> String {
    fn collect(shape: &egui::Shape, words: &mut String) {
        match shape {
            egui::Shape::Text(text) => {
                words.push_str(text.galley.text());
                words.push('\n');
            }
            egui::Shape::Vec(shapes) => shapes.iter().for_each(|shape| collect(shape, words)),
            _ => {}
        }
    }
    let context = egui::Context::default();
    let input = || egui::RawInput {
        screen_rect: Some(egui::Rect::from_min_size(
            egui::Pos2::ZERO,
            egui::vec2(320.0, 6000.0),
        )),
        ..egui::RawInput::default()
    };
    let mut words = String::new();
    // What was laid out in the first frame is drawn in the second.
    for _ in 0..2 {
        let mut output = context.run_ui(input(), |ui| {
            contents(ui, told, &mut Form::default());
        });
        output.textures_delta.clear();
        words.clear();
        for shape in &output.shapes {
            collect(&shape.shape, &mut words);
        }
    }
    words
}

#[test]
fn the_page_tells_the_librarys_figures_and_always_the_caution() {
    let plan = Arc::new(planned());
    let site = site("20 psf");
    let loads = Arc::new(weigh_at_site(&plan.stage(), &site));
    let mut weighed = Burden::new(Some(site.clone()), Some(Case::BalancedSnow));
    weighed.take(Weighed {
        plan: plan.clone(),
        loads: Some(loads.clone()),
        capacity: None,
    });
    let mut gave_up = weighed.clone();
    gave_up.take(Weighed {
        plan: plan.clone(),
        loads: None,
        capacity: None,
    });
    let pending = Burden::new(Some(site), None);
    for (burden, ready, wanted) in [
        (
            Burden::default(),
            true,
            vec!["ground snow", "load the cover"],
        ),
        (pending.clone(), true, vec!["loading the cover", LEAVES_OUT]),
        (pending, false, vec!["taut film is shown", "balanced snow"]),
        (gave_up, true, vec!["could not be loaded"]),
        (
            weighed,
            true,
            vec!["snow to starboard", "looking for the greatest snow"],
        ),
    ] {
        let told = text_of(&Told {
            burden: &burden,
            plan: Some(&plan),
            ready,
            beside: false,
            units: UNITS,
        });
        assert!(told.contains(CAUTION), "{told}");
        for words in wanted {
            assert!(told.contains(words), "{words} is not in\n{told}");
        }
        if burden.loads(&plan).is_none() {
            let verdicts = told
                .lines()
                .filter(|line| ["FAILS", "holds"].contains(line));
            assert_eq!(verdicts.count(), 0, "{told}");
            continue;
        }
        for loaded in &loads.cases {
            let sag = UNITS.format_length(loaded.max_sag);
            assert!(told.contains(&format!("sags {sag}")), "{told}");
        }
        // Every check, the worst one first.
        let places: Vec<usize> = worst_first(&loads)
            .iter()
            .map(|check| {
                told.find(&format!("\n{}\n", check.name))
                    .unwrap_or(usize::MAX)
            })
            .collect();
        assert!(
            places.iter().all(|place| *place < told.len()),
            "{places:?}\n{told}"
        );
        assert!(places.is_sorted(), "{places:?}\n{told}");
    }
}
