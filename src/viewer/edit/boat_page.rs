//! The page "boat": its dimensions, its boxes, its rules, the units.

use super::fields::{Drafts, complaint, field};
use super::specs::{BOX, BOX_KINDS, FORM, Kind, MAIN, MONO, RULES, Spec};
use crate::boat::{Boat, BoxKind, DeckBox, HullForm, Problem, SupportKind, revise};
use crate::units::UnitSystem;
use crate::viewer::canvas::{Canvas, Layout};
use crate::viewer::history::{Act, History};
use crate::viewer::look::{self, Look};
use crate::viewer::model::Model;
use crate::viewer::page::{self, Page};
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};
use egui::RichText;

/// Draws the page.
pub struct BoatPagePlugin;

impl Plugin for BoatPagePlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Drafts>()
            .add_systems(EguiPrimaryContextPass, draw.in_set(Layout::Panels));
    }
}

/// What a field makes of the boat.
type Wish = Result<Boat, String>;

/// Collects what is wished on the page, and what for.
struct Form<'a> {
    drafts: &'a mut Drafts,
    boat: &'a Boat,
    units: UnitSystem,
    /// Name of the field that was used, its text, what was done, the boat that it makes.
    wish: Option<(String, String, String, Wish)>,
}

impl Form<'_> {
    fn wish(&mut self, field: &str, text: String, what: String, boat: Wish) {
        self.wish = Some((field.to_owned(), text, what, boat));
    }

    /// A row of a grid: a name and a field for a number.
    fn number(
        &mut self,
        ui: &mut egui::Ui,
        group: &str,
        name: &str,
        kind: Kind,
        value: f64,
        write: impl FnOnce(&mut Boat, f64),
    ) {
        let id = format!("{group} {name}");
        ui.label(name);
        ui.vertical(|ui| {
            let shown = kind.format(value, self.units);
            let width = ui.available_width().min(130.0);
            if let Some(text) = field(ui, self.drafts, &id, &shown, width) {
                let wish = kind.parse(&text).map(|value| {
                    let mut boat = self.boat.clone();
                    write(&mut boat, value);
                    boat
                });
                self.wish(&id, text, format!("{name} of {group}"), wish);
            }
            complaint(ui, self.drafts, &id);
        });
        ui.end_row();
    }

    fn specs<T>(
        &mut self,
        ui: &mut egui::Ui,
        group: &str,
        specs: &[Spec<T>],
        owner: &T,
        reach: fn(&mut Boat) -> Option<&mut T>,
    ) {
        grid(ui, group, |ui| {
            for spec in specs {
                let set = spec.set;
                self.number(
                    ui,
                    group,
                    spec.name,
                    spec.kind,
                    (spec.get)(owner),
                    |boat, value| {
                        if let Some(owner) = reach(boat) {
                            set(owner, value);
                        }
                    },
                );
            }
        });
    }
}

fn grid(ui: &mut egui::Ui, name: &str, rows: impl FnOnce(&mut egui::Ui)) {
    egui::Grid::new(name).num_columns(2).show(ui, rows);
}

#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
fn draw(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    look: Res<Look>,
    page: Res<Page>,
    history: Res<History>,
    mut model: ResMut<Model>,
    mut drafts: ResMut<Drafts>,
    mut acts: MessageWriter<Act>,
) -> Result {
    if *page != Page::Boat {
        return Ok(());
    }
    let Some(boat) = history.boat().cloned() else {
        return Ok(());
    };
    let mut form = Form {
        drafts: &mut drafts,
        boat: &boat,
        units: model.units,
        wish: None,
    };
    let mut units = model.units;
    let context = contexts.ctx_mut()?;
    page::show(context, &mut canvas, &look, Page::Boat, |ui| {
        contents(ui, &mut form, &mut units);
    });
    let wish = form.wish;
    if units != model.units {
        model.units = units;
    }
    if let Some((field, text, what, wish)) = wish {
        match wish.and_then(|boat| revised(&boat)) {
            Ok(boat) => {
                acts.write(Act::change(boat, what));
            }
            Err(why) => drafts.complain(&field, text, why),
        }
    }
    Ok(())
}

/// The boat as a boat file would have it, or all that is wrong with it.
fn revised(boat: &Boat) -> Result<Boat, String> {
    revise(boat).map_err(|problems| {
        problems
            .list
            .iter()
            .map(told)
            .collect::<Vec<_>>()
            .join("\n")
    })
}

fn told(problem: &Problem) -> String {
    let Problem {
        path, what, hint, ..
    } = problem;
    if path.is_empty() {
        format!("{what}; {hint}")
    } else {
        format!("{path}: {what}; {hint}")
    }
}

fn contents(ui: &mut egui::Ui, form: &mut Form, units: &mut UnitSystem) {
    let boat = form.boat;
    ui.horizontal(|ui| {
        ui.label(RichText::new("units").color(look::FADED));
        for each in [UnitSystem::FeetInches, UnitSystem::Metric] {
            ui.selectable_value(units, each, each.to_string());
        }
    });
    ui.horizontal(|ui| {
        ui.label("name");
        if let Some(text) = field(ui, form.drafts, "name", &boat.name, 190.0) {
            let named = Boat {
                name: text.trim().to_owned(),
                ..boat.clone()
            };
            form.wish("name", text, "name of the boat".to_owned(), Ok(named));
        }
    });
    complaint(ui, form.drafts, "name");
    part(ui, "Dimensions", true, |ui| {
        form.specs(ui, "boat", MAIN, boat, |boat| Some(boat));
        stored_on(ui, form);
    });
    part(ui, "Hull under the sheer", false, |ui| hull(ui, form));
    let boxes = format!("Boxes ({})", boat.boxes.len());
    part(ui, &boxes, false, |ui| deck_boxes(ui, form));
    part(ui, "Rules", false, |ui| {
        for (group, specs) in RULES {
            ui.add_space(4.0);
            ui.label(RichText::new(*group).color(look::FADED));
            form.specs(ui, group, specs, &boat.rules, |boat| Some(&mut boat.rules));
        }
    });
    ui.add_space(6.0);
    ui.label(
        RichText::new(
            "Stations count forward from the transom, heights from the hull's lowest point. \
             Type a length with its unit: 18 ft 6 in, 18'6, 5.64 m. Enter takes it, Esc leaves it.",
        )
        .small()
        .color(look::FADED),
    );
}

fn part(ui: &mut egui::Ui, name: &str, open: bool, contents: impl FnOnce(&mut egui::Ui)) {
    egui::CollapsingHeader::new(RichText::new(name).strong())
        .id_salt(name.split(" (").next())
        .default_open(open)
        .show(ui, contents);
}

fn stored_on(ui: &mut egui::Ui, form: &mut Form) {
    let now = form.boat.stored_on.kind;
    ui.horizontal(|ui| {
        ui.label("stored on");
        for (kind, word) in [
            (SupportKind::Trailer, "trailer"),
            (SupportKind::Cradle, "cradle"),
            (SupportKind::Stands, "stands"),
        ] {
            if ui.selectable_label(now == kind, word).clicked() && now != kind {
                let mut boat = form.boat.clone();
                boat.stored_on.kind = kind;
                form.wish(
                    "stored on",
                    String::new(),
                    format!("store on {word}"),
                    Ok(boat),
                );
            }
        }
    });
    complaint(ui, form.drafts, "stored on");
}

fn hull(ui: &mut egui::Ui, form: &mut Form) {
    let boat = form.boat;
    let mut now = boat.hull.clone();
    let kind = match &now {
        HullForm::Mono(_) => "one hull",
        HullForm::Tubes { .. } => "tubes under a deck",
        HullForm::Catamaran { .. } => "two hulls",
        HullForm::Offsets { .. } => "a table of offsets: change it in its own file",
    };
    ui.label(RichText::new(kind).color(look::FADED));
    grid(ui, "form", |ui| {
        for spec in FORM {
            if let Some(value) = (spec.find)(&mut now).copied() {
                let find = spec.find;
                form.number(ui, "hull", spec.name, spec.kind, value, |boat, value| {
                    if let Some(number) = find(&mut boat.hull) {
                        *number = value;
                    }
                });
            }
        }
    });
    if let HullForm::Mono(mono) = &boat.hull {
        form.specs(ui, "the hull", MONO, mono, |boat| match &mut boat.hull {
            HullForm::Mono(mono) => Some(mono),
            _ => None,
        });
    }
}

fn deck_boxes(ui: &mut egui::Ui, form: &mut Form) {
    let boat = form.boat;
    for (index, each) in boat.boxes.iter().enumerate() {
        let group = format!("box {}", index + 1);
        egui::CollapsingHeader::new(&each.name)
            .id_salt(&group)
            .show(ui, |ui| deck_box(ui, form, index, each, &group));
    }
    if ui.button("add a box").clicked() {
        let mut changed = boat.clone();
        changed.boxes.push(new_box(boat));
        form.wish(
            "add a box",
            String::new(),
            "add a box".to_owned(),
            Ok(changed),
        );
    }
    complaint(ui, form.drafts, "add a box");
}

/// Length and height of a new box, m: to be seen, and then to be measured.
const NEW_BOX: [f64; 2] = [0.6, 0.5];

fn new_box(boat: &Boat) -> DeckBox {
    let middle = 0.5 * boat.length;
    let width = 0.3 * boat.beam;
    let top = boat.sole + NEW_BOX[1];
    DeckBox {
        name: format!("box {}", boat.boxes.len() + 1),
        kind: BoxKind::Other,
        from: middle - 0.5 * NEW_BOX[0],
        to: middle + 0.5 * NEW_BOX[0],
        width,
        width_fore: width,
        offset: 0.0,
        base: boat.sole,
        top,
        top_fore: top,
        rakes: [0.0; 3],
        film_may_rest: true,
        post_may_stand: false,
        film_goes_round: false,
        clearance: None,
        bears: None,
    }
}

fn deck_box(ui: &mut egui::Ui, form: &mut Form, index: usize, each: &DeckBox, group: &str) {
    let boat = form.boat;
    let mut changed = each.clone();
    let field_name = format!("{group} name");
    ui.horizontal(|ui| {
        ui.label("name");
        if let Some(text) = field(ui, form.drafts, &field_name, &each.name, 150.0) {
            changed.name = text.trim().to_owned();
        }
    });
    egui::ComboBox::from_id_salt((group, "kind"))
        .selected_text(
            BOX_KINDS
                .iter()
                .find(|(kind, _)| *kind == each.kind)
                .map_or("other", |(_, word)| word),
        )
        .show_ui(ui, |ui| {
            for (kind, word) in BOX_KINDS {
                ui.selectable_value(&mut changed.kind, kind, word);
            }
        });
    if changed.kind != each.kind {
        // What may touch it goes with what it is.
        [changed.film_may_rest, changed.post_may_stand] = changed.kind.allows();
    }
    ui.checkbox(&mut changed.film_may_rest, "film may rest on it");
    ui.checkbox(&mut changed.post_may_stand, "a post may stand on it");
    grid(ui, group, |ui| {
        for spec in BOX {
            let set = spec.set;
            form.number(
                ui,
                group,
                spec.name,
                spec.kind,
                (spec.get)(each),
                |boat, value| {
                    if let Some(each) = boat.boxes.get_mut(index) {
                        set(each, value);
                    }
                },
            );
        }
    });
    if ui.button("remove this box").clicked() {
        let mut less = boat.clone();
        less.boxes.remove(index);
        let what = format!("remove {}", each.name);
        form.wish(&field_name, String::new(), what, Ok(less));
    } else if changed != *each {
        let mut other = boat.clone();
        let text = changed.name.clone();
        if let Some(slot) = other.boxes.get_mut(index) {
            *slot = changed;
        }
        form.wish(
            &field_name,
            text,
            format!("change {}", each.name),
            Ok(other),
        );
    }
    complaint(ui, form.drafts, &field_name);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;

    /// The page with what was typed into one of its fields, and what it wishes then.
    fn typed(name: &str, text: &str) -> Option<Wish> {
        let boat = preset("open-runabout-18").unwrap().boat().unwrap();
        let context = egui::Context::default();
        let mut drafts = Drafts::default();
        let field = egui::Id::new(("field", name));
        let mut wish = None;
        let select = egui::Event::Key {
            key: egui::Key::A,
            physical_key: None,
            pressed: true,
            repeat: false,
            modifiers: egui::Modifiers::COMMAND,
        };
        let enter = egui::Event::Key {
            key: egui::Key::Enter,
            physical_key: None,
            pressed: true,
            repeat: false,
            modifiers: egui::Modifiers::NONE,
        };
        let frames = [
            vec![],
            vec![],
            vec![],
            vec![select, egui::Event::Text(text.to_owned())],
            vec![enter],
        ];
        for (frame, events) in frames.into_iter().enumerate() {
            let input = egui::RawInput {
                events,
                screen_rect: Some(egui::Rect::from_min_size(
                    egui::Pos2::ZERO,
                    egui::vec2(400.0, 2000.0),
                )),
                ..egui::RawInput::default()
            };
            let mut form = Form {
                drafts: &mut drafts,
                boat: &boat,
                units: UnitSystem::FeetInches,
                wish: None,
            };
            let mut units = UnitSystem::FeetInches;
            let mut output = context.run_ui(input, |ui| {
                if frame == 1 {
                    ui.memory_mut(|memory| memory.request_focus(field));
                }
                contents(ui, &mut form, &mut units);
            });
            output.textures_delta.clear();
            wish = wish.or(form.wish.map(|(_, _, _, wish)| wish));
        }
        wish
    }

    #[test]
    fn a_typed_dimension_is_the_boats() {
        let wish = typed("boat length", "19 ft 6 in").unwrap().unwrap();
        assert!((wish.length - 19.5 * 0.3048).abs() < 1e-9);
        let wish = typed("boat sheer at bow", "1.2 m").unwrap().unwrap();
        assert!((wish.sheer[2] - 1.2).abs() < 1e-9);
        assert!(
            typed("boat length", "18'0\"").is_none(),
            "nothing has changed"
        );
        for text in ["19 fx", " ", "long", "-"] {
            let why = typed("boat length", text).unwrap().unwrap_err();
            assert!(why.contains("; "), "{text}: the reason and a hint: {why}");
        }
    }

    #[test]
    fn what_no_boat_file_may_say_is_refused_with_a_hint() {
        let boat = preset("open-runabout-18").unwrap().boat().unwrap();
        for (what, change) in [
            ("length", (|boat| boat.length = 200.0) as fn(&mut Boat)),
            ("beam", |boat| boat.beam = 0.0),
            ("boxes[0]", |boat| {
                boat.boxes[0].to = boat.boxes[0].from - 1.0
            }),
        ] {
            let mut boat = boat.clone();
            change(&mut boat);
            let why = revised(&boat).unwrap_err();
            assert!(why.contains(what) && why.contains("; "), "{what}: {why}");
        }
        assert_eq!(revised(&boat).unwrap(), boat);
    }
}
