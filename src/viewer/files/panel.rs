//! The page of files, and the strip that offers unsaved work back.

use super::autosave::Autosave;
use super::desk::{Desk, Field, FileAct, Question, Says, Which, typed};
use super::listing::listing;
use super::on_disk::OnDisk;
use super::out::{OutAct, Press, ready};
use crate::boat::presets;
use crate::disk::Fault;
use crate::sheet::Paper;
use crate::viewer::canvas::{Canvas, Layout};
use crate::viewer::history::History;
use crate::viewer::look::{self, Look};
use crate::viewer::model::Model;
use crate::viewer::page::{self, Page};
use bevy::prelude::*;
use bevy::window::RequestRedraw;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};
use egui::RichText;
use std::path::{Path, PathBuf};

/// Draws page and strip, and takes what was copied to the clipboard.
pub struct FilesPagePlugin;

impl Plugin for FilesPagePlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(
            EguiPrimaryContextPass,
            (
                (copy, strip).chain().in_set(Layout::Bars),
                panel.in_set(Layout::Panels),
            ),
        )
        .add_systems(Last, stay_awake);
    }
}

/// What the page shows of the boat's file.
pub struct Facts<'a> {
    /// The file's name, or what the boat came from.
    pub title: String,
    /// The file.
    pub file: Option<&'a Path>,
    /// The boat is as it was saved.
    pub saved: bool,
    /// Where unsaved work lies, where it does.
    pub kept: Option<&'a Path>,
    /// Why it does not.
    pub fault: Option<&'a Fault>,
    /// There is a plan of the boat as it is.
    pub planned: bool,
    /// Something is being made.
    pub busy: bool,
    /// Where sheet and plan go.
    pub folder: PathBuf,
}

/// What the user wants of the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Wish {
    /// Something with the boat's file.
    File(FileAct),
    /// Something that goes out.
    Out(OutAct),
}

/// Names that go on with what was typed, until that changes.
#[derive(Default)]
struct Listed {
    of: Option<String>,
    names: Vec<String>,
}

#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
fn panel(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    look: Res<Look>,
    page: Res<Page>,
    history: Res<History>,
    model: Res<Model>,
    on_disk: Res<OnDisk>,
    autosave: Res<Autosave>,
    mut desk: ResMut<Desk>,
    mut press: ResMut<Press>,
    mut listed: Local<Listed>,
    mut files: MessageWriter<FileAct>,
    mut out: MessageWriter<OutAct>,
) -> Result {
    if *page != Page::Files {
        listed.of = None;
        return Ok(());
    }
    let context = contexts.ctx_mut()?;
    if listed.of.as_ref() != Some(&desk.path) {
        listed.names = listing(&desk.path);
        listed.of = Some(desk.path.clone());
    }
    let facts = Facts {
        title: on_disk.title(),
        file: on_disk.file.as_deref(),
        saved: history.is_saved(),
        kept: autosave.path(),
        fault: autosave.fault.as_ref(),
        planned: ready(&model).is_some(),
        busy: press.busy(),
        folder: press.folder(&on_disk),
    };
    // Drawing them changes nothing by itself.
    let (desk, press) = (
        desk.bypass_change_detection(),
        press.bypass_change_detection(),
    );
    let mut wishes = Vec::new();
    page::show(context, &mut canvas, &look, Page::Files, |ui| {
        wishes = draw(ui, &facts, desk, press, &listed.names);
    });
    for wish in wishes {
        match wish {
            Wish::File(act) => {
                files.write(act);
            }
            Wish::Out(act) => {
                out.write(act);
            }
        }
    }
    Ok(())
}

/// Draws the page; returns what the user wants.
pub fn draw(
    ui: &mut egui::Ui,
    facts: &Facts,
    desk: &mut Desk,
    press: &mut Press,
    names: &[String],
) -> Vec<Wish> {
    let mut wishes = Vec::new();
    ui.label(RichText::new(&facts.title).heading());
    let state = match (facts.saved, facts.file) {
        (true, Some(_)) => "saved",
        (true, None) => "as it was opened; it has no file yet",
        (false, _) => "changed since it was saved",
    };
    ui.label(RichText::new(state).color(look::FADED));
    if let (false, Some(kept)) = (facts.saved, facts.kept) {
        faded(ui, &format!("The changes are kept in {}", kept.display()));
    }
    if let Some(fault) = facts.fault {
        says(ui, &Says::from(fault.clone()));
    }
    if let Some(question) = &desk.asks {
        ask(ui, question, &mut wishes);
    }
    if let Some(said) = &desk.says {
        says(ui, said);
    }
    if facts.busy {
        ui.label(RichText::new("being made ...").color(look::FADED));
    }
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        for (word, key, act) in [
            ("save", "Ctrl S", FileAct::Save),
            ("save as", "Ctrl Shift S", FileAct::AskName),
            ("open", "Ctrl O", FileAct::AskBoat),
        ] {
            if ui
                .button(word)
                .on_hover_text(format!("key {key}"))
                .clicked()
            {
                wishes.push(Wish::File(act));
            }
        }
    });
    faded(
        ui,
        "Saving writes the whole file anew: comments in it are not kept.",
    );
    path(ui, desk, names, &mut wishes);
    out(ui, facts, press, &mut wishes);
    wishes
}

fn faded(ui: &mut egui::Ui, words: &str) {
    ui.label(RichText::new(words).small().color(look::FADED));
}

fn says(ui: &mut egui::Ui, said: &Says) {
    let ink = if said.wrong { look::BAD } else { look::GOOD };
    ui.label(RichText::new(&said.words).color(ink));
    if !said.hint.is_empty() {
        ui.label(RichText::new(format!("What to do: {}", said.hint)));
    }
}

fn ask(ui: &mut egui::Ui, question: &Question, wishes: &mut Vec<Wish>) {
    let (words, answers): (String, Vec<(&str, FileAct)>) = match question {
        Question::Unsaved(_) => (
            "The boat has changes that are not saved.".to_owned(),
            vec![
                ("save", FileAct::Yes),
                ("discard them", FileAct::Discard),
                ("stay", FileAct::Stay),
            ],
        ),
        Question::Loses { loss, path, .. } => (
            loss.question(path),
            vec![
                (loss.yes(), FileAct::Yes),
                ("save as", FileAct::AskName),
                ("stay", FileAct::Stay),
            ],
        ),
    };
    egui::Frame::new()
        .fill(look::FIELD)
        .stroke(egui::Stroke::new(1.0, look::ACCENT))
        .inner_margin(6.0)
        .show(ui, |ui| {
            ui.label(RichText::new(words).strong());
            ui.horizontal_wrapped(|ui| {
                for (word, act) in answers {
                    if ui.button(word).clicked() {
                        wishes.push(Wish::File(act));
                    }
                }
            });
        });
}

/// The field for a path, and what it may go on with.
fn path(ui: &mut egui::Ui, desk: &mut Desk, names: &[String], wishes: &mut Vec<Wish>) {
    ui.add_space(8.0);
    ui.separator();
    let (about, word) = match desk.field {
        Field::Open => ("Open a boat file", "open"),
        Field::SaveAs => ("Save under a name", "save here"),
    };
    let label = ui.label(RichText::new(about).strong());
    let field = egui::TextEdit::singleline(&mut desk.path)
        .hint_text("path, or name of a preset")
        .desired_width(f32::INFINITY);
    let answer = ui.add(field).labelled_by(label.id);
    if std::mem::take(&mut desk.focus) {
        answer.request_focus();
    }
    let entered = answer.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
    if ui.button(word).clicked() || entered {
        let wish = match (desk.field, typed(&desk.path)) {
            (_, None) => None,
            (Field::Open, Some(which)) => Some(FileAct::Open(which)),
            (Field::SaveAs, Some(_)) => Some(FileAct::SaveAs(PathBuf::from(desk.path.trim()))),
        };
        wishes.extend(wish.map(Wish::File));
    }
    for name in names {
        if ui.selectable_label(false, name).clicked() {
            if name.ends_with('/') || desk.field == Field::SaveAs {
                desk.path.clone_from(name);
                desk.focus = true;
            } else {
                let which = Which::File(PathBuf::from(name));
                wishes.push(Wish::File(FileAct::Open(which)));
            }
        }
    }
    if desk.field == Field::Open {
        egui::CollapsingHeader::new("presets").show(ui, |ui| {
            for preset in presets() {
                if ui.selectable_label(false, preset.name).clicked() {
                    let which = Which::Preset(preset.name.to_owned());
                    wishes.push(Wish::File(FileAct::Open(which)));
                }
            }
        });
    }
}

/// What goes out.
fn out(ui: &mut egui::Ui, facts: &Facts, press: &mut Press, wishes: &mut Vec<Wish>) {
    ui.add_space(8.0);
    ui.separator();
    ui.label(RichText::new("Out").strong());
    let mut button = |ui: &mut egui::Ui, word: &str, key: &str, on: bool, act: OutAct| {
        let answer = ui.add_enabled(on, egui::Button::new(word));
        let answer = if key.is_empty() {
            answer
        } else {
            answer.on_hover_text(format!("key {key}"))
        };
        if answer.clicked() {
            wishes.push(Wish::Out(act));
        }
    };
    button(ui, "picture of the window", "Ctrl P", true, OutAct::Picture);
    let label = ui.label("Folder for sheet and plan");
    ui.add(
        egui::TextEdit::singleline(&mut press.folder)
            .hint_text(facts.folder.display().to_string())
            .desired_width(f32::INFINITY),
    )
    .labelled_by(label.id);
    ui.horizontal(|ui| {
        for (paper, word) in [(Paper::Letter, "letter"), (Paper::A4, "A4")] {
            if ui.selectable_label(press.paper == paper, word).clicked() {
                press.paper = paper;
            }
        }
    });
    let on = facts.planned;
    button(
        ui,
        "job sheet: PDF, SVG, HTML, DXF",
        "Ctrl E",
        on,
        OutAct::Sheet,
    );
    button(
        ui,
        "plan: CSV, JSON, RON, SVG, STL, GLB",
        "",
        on,
        OutAct::Plan,
    );
    button(
        ui,
        "frame list to the clipboard",
        "Ctrl Shift C",
        on,
        OutAct::FrameList,
    );
}

/// Offers unsaved work back, over the scene, whatever page is shown.
fn strip(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    desk: Res<Desk>,
    mut files: MessageWriter<FileAct>,
) -> Result {
    let Some(found) = desk.found.first() else {
        return Ok(());
    };
    let context = contexts.ctx_mut()?;
    let mut surface = canvas.surface(context, "found strip");
    egui::Panel::top("unsaved work").show(&mut surface, |ui| {
        ui.horizontal_wrapped(|ui| {
            let words = format!(
                "Unsaved work on this boat was left behind {}: {}",
                found.age(),
                found.boat.name
            );
            ui.label(RichText::new(words).strong().color(look::INK));
            for (word, act) in [
                ("take it up again", FileAct::TakeUp),
                ("throw it away", FileAct::ThrowAway),
            ] {
                if ui.button(word).clicked() {
                    files.write(act);
                }
            }
        });
    });
    canvas.leave(&surface);
    Ok(())
}

/// What was copied goes to the clipboard with the panels' own output.
fn copy(mut contexts: EguiContexts, mut press: ResMut<Press>) -> Result {
    if press.clip.is_none() {
        return Ok(());
    }
    let context = contexts.ctx_mut()?;
    if let Some(text) = press.clip.take() {
        context.copy_text(text);
    }
    Ok(())
}

/// The window sleeps while nothing happens: what was asked for and what was answered are shown at once.
fn stay_awake(
    desk: Res<Desk>,
    press: Res<Press>,
    mut files: MessageReader<FileAct>,
    mut out: MessageReader<OutAct>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    let asked = files.read().count() + out.read().count() > 0;
    if asked || desk.is_changed() || press.exposing || press.clip.is_some() {
        redraw.write(RequestRedraw);
    }
}
