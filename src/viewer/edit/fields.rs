//! Fields to type numbers into: what is typed counts when Enter is pressed or the field is left; what cannot be read
//! stays, with the reason under it.

use crate::viewer::look;
use bevy::prelude::*;
use bevy_egui::egui;
use egui::{Response, RichText};
use std::collections::BTreeMap;

/// What is being typed, by the name of its field.
#[derive(Resource, Debug, Default)]
pub struct Drafts(BTreeMap<String, Draft>);

#[derive(Debug, Default)]
struct Draft {
    text: String,
    complaint: Option<String>,
}

impl Drafts {
    /// What is typed there was not taken; it stays with the reason.
    pub fn complain(&mut self, field: &str, text: String, complaint: String) {
        self.0.insert(
            field.to_owned(),
            Draft {
                text,
                complaint: Some(complaint),
            },
        );
    }

    /// Forgets all that was typed, as when another boat is opened.
    pub fn clear(&mut self) {
        self.0.clear();
    }
}

/// A field that shows a value, and what was typed once it counts.
pub fn field(
    ui: &mut egui::Ui,
    drafts: &mut Drafts,
    name: &str,
    shown: &str,
    width: f32,
) -> Option<String> {
    let draft = drafts.0.get(name);
    let mut text = draft.map_or_else(|| shown.to_owned(), |draft| draft.text.clone());
    let complaint = draft.and_then(|draft| draft.complaint.clone());
    let mut edit = egui::TextEdit::singleline(&mut text)
        .id(egui::Id::new(("field", name)))
        .desired_width(width);
    if complaint.is_some() {
        edit = edit.text_color(look::BAD);
    }
    let mut answer = ui.add(edit);
    if let Some(complaint) = &complaint {
        answer = answer.on_hover_text(complaint);
    }
    settle(drafts, name, shown, text, &answer, ui)
}

fn settle(
    drafts: &mut Drafts,
    name: &str,
    shown: &str,
    text: String,
    answer: &Response,
    ui: &egui::Ui,
) -> Option<String> {
    if answer.changed() {
        drafts.0.insert(
            name.to_owned(),
            Draft {
                text: text.clone(),
                complaint: None,
            },
        );
    }
    if !answer.lost_focus() {
        return None;
    }
    // Escape takes back what was typed.
    let draft = drafts.0.remove(name)?;
    if ui.input(|input| input.key_pressed(egui::Key::Escape)) || text.trim() == shown {
        return None;
    }
    if draft.complaint.is_some() {
        // Left as it was: it stays as it is, with its reason.
        drafts.0.insert(name.to_owned(), draft);
        return None;
    }
    Some(text)
}

/// The reason why what is typed in a field was not taken, under it.
pub fn complaint(ui: &mut egui::Ui, drafts: &Drafts, name: &str) {
    if let Some(complaint) = drafts
        .0
        .get(name)
        .and_then(|draft| draft.complaint.as_ref())
    {
        ui.label(RichText::new(complaint).small().color(look::BAD));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Runs one frame of a panel with one field and gives what counts.
    fn frame(
        context: &egui::Context,
        drafts: &mut Drafts,
        shown: &str,
        events: Vec<egui::Event>,
        focus: bool,
    ) -> Option<String> {
        let mut taken = None;
        let input = egui::RawInput {
            events,
            screen_rect: Some(egui::Rect::from_min_size(
                egui::Pos2::ZERO,
                egui::vec2(400.0, 300.0),
            )),
            ..egui::RawInput::default()
        };
        let mut output = context.run_ui(input, |ui| {
            if focus {
                ui.memory_mut(|memory| memory.request_focus(egui::Id::new(("field", "beam"))));
            }
            taken = field(ui, drafts, "beam", shown, 120.0);
        });
        output.textures_delta.clear();
        taken
    }

    fn key(key: egui::Key) -> egui::Event {
        egui::Event::Key {
            key,
            physical_key: None,
            pressed: true,
            repeat: false,
            modifiers: egui::Modifiers::NONE,
        }
    }

    #[test]
    fn what_is_typed_counts_on_enter_and_not_before() {
        let context = egui::Context::default();
        let mut drafts = Drafts::default();
        frame(&context, &mut drafts, "8 ft", vec![], true);
        frame(&context, &mut drafts, "8 ft", vec![], false);
        let typed = vec![egui::Event::Text(" 6 in".to_owned())];
        assert_eq!(frame(&context, &mut drafts, "8 ft", typed, false), None);
        let enter = vec![key(egui::Key::Enter)];
        let taken = frame(&context, &mut drafts, "8 ft", enter, false);
        assert_eq!(taken.as_deref(), Some("8 ft 6 in"));
        // A refused text stays, and is not offered again until it is changed.
        drafts.complain("beam", "8 fx".to_owned(), "no such unit".to_owned());
        frame(&context, &mut drafts, "8 ft", vec![], true);
        let enter = vec![key(egui::Key::Enter)];
        assert_eq!(frame(&context, &mut drafts, "8 ft", enter, false), None);
        assert_eq!(drafts.0["beam"].text, "8 fx");
    }
}
