//! The measure page: where the section is cut and what it says, the tape and what it says.

use super::canvas::{Canvas, Layout};
use super::look::{self, Look};
use super::model::Model;
use super::page::{self, Page};
use super::section::Sectioning;
use super::section::cut::{Plane, Section};
use super::section::sketch::{clearance_words, post_words, slope_words};
use super::section::view::heading;
use super::shown::{Hanging, own_drawn};
use super::tape::measure::film_at;
use super::tape::{End, Tape};
use super::words;
use crate::plan::Plan;
use crate::units::{UnitSystem, parse_length};
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};
use egui::RichText;
use nalgebra::Point3;

/// Draws the page.
pub struct MeasurePlugin;

impl Plugin for MeasurePlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(EguiPrimaryContextPass, draw.in_set(Layout::Panels));
    }
}

/// What is being written into the tape's fields: station and offset of both ends.
#[derive(Default)]
struct Fields {
    words: [[String; 2]; 2],
    /// The ends that the words were made from.
    of: [Option<Point3<f64>>; 2],
    units: Option<UnitSystem>,
    fault: Option<String>,
}

#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
fn draw(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    page: Res<Page>,
    look: Res<Look>,
    model: Res<Model>,
    hanging: Option<Res<Hanging>>,
    mut sectioning: ResMut<Sectioning>,
    mut tape: ResMut<Tape>,
    mut fields: Local<Fields>,
) -> Result {
    if *page != Page::Measure {
        return Ok(());
    }
    let context = contexts.ctx_mut()?.clone();
    let units = model.units;
    page::show(&context, &mut canvas, &look, Page::Measure, |ui| {
        let Some(plan) = own_drawn(&model, hanging.as_deref()) else {
            ui.label(RichText::new("planning ...").color(look::FADED));
            return;
        };
        if let Some(hanging) = &hanging {
            let words = format!("The film is cut and measured{}.", hanging.under());
            ui.label(RichText::new(words).color(look::ACCENT));
        }
        ui.heading("Section");
        section_controls(ui, plan, units, &mut sectioning);
        if let Some(section) = sectioning.section().cloned() {
            section_says(ui, plan, units, &section);
        }
        ui.add_space(10.0);
        ui.separator();
        ui.heading("Tape");
        tape_controls(ui, plan, units, &mut tape, &mut fields);
        tape_says(ui, units, &tape);
    });
    Ok(())
}

fn section_controls(
    ui: &mut egui::Ui,
    plan: &Plan,
    units: UnitSystem,
    sectioning: &mut Sectioning,
) {
    ui.horizontal_wrapped(|ui| {
        let now = sectioning.plane;
        let across = matches!(now, Some(Plane::Across(_)));
        let along = matches!(now, Some(Plane::Along(_)));
        for (chosen, word, key) in [
            (now.is_none(), "none", ""),
            (across, "across", "key X"),
            (along, "along", "key Y"),
        ] {
            let mut button = ui.selectable_label(chosen, word);
            if !key.is_empty() {
                button = button.on_hover_text(key);
            }
            if button.clicked() {
                match word {
                    "across" => sectioning.across(plan),
                    "along" => sectioning.along(plan),
                    _ => sectioning.clear(),
                }
            }
        }
    });
    let Some(plane) = sectioning.plane else {
        ui.label(
            RichText::new("X cuts across, Y along; [ and ] move the plane, with Shift finely")
                .small()
                .color(look::FADED),
        );
        return;
    };
    let [low, high] = plane.reach(plan);
    let mut at = plane.at();
    ui.spacing_mut().slider_width = (ui.available_width() - 16.0).max(60.0);
    let slider = egui::Slider::new(&mut at, low..=high)
        .smart_aim(false)
        .show_value(false);
    let changed = ui
        .add(slider)
        .on_hover_text("or keys [ and ], with Shift finely, or drag in the small view")
        .changed();
    let mut wanted = changed.then_some(at);
    ui.horizontal_wrapped(|ui| {
        let step = super::section::STEP;
        for (word, by) in [("[  back", -step), ("forth  ]", step)] {
            if ui.button(word).clicked() {
                wanted = Some(plane.at() + by);
            }
        }
        if let Plane::Across(station) = plane {
            // Straight to the posts.
            for post in &plan.frame.posts {
                let chosen = (post.station - station).abs() < 1e-9;
                if ui
                    .selectable_label(chosen, format!("at {}", post.id))
                    .clicked()
                {
                    wanted = Some(post.station);
                }
            }
        } else if ui
            .selectable_label(plane.at().abs() < 1e-9, "centerline")
            .clicked()
        {
            wanted = Some(0.0);
        }
    });
    if let Some(at) = wanted {
        sectioning.put(plane.moved_to(at), plan);
    }
    ui.label(RichText::new(heading(plane, units)).strong());
}

/// A line of the page: what, and its number.
fn row(ui: &mut egui::Ui, about: &str, says: &str, against: bool) {
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(about).color(look::FADED));
        let ink = if against { look::BAD } else { look::INK };
        ui.label(RichText::new(says).color(ink));
    });
}

fn section_says(ui: &mut egui::Ui, plan: &Plan, units: UnitSystem, section: &Section) {
    for (about, says, against) in section_rows(plan, units, section) {
        row(ui, &about, &says, against);
    }
}

/// What a section says: about what, what, whether it speaks against the cover.
pub fn section_rows(
    plan: &Plan,
    units: UnitSystem,
    section: &Section,
) -> Vec<(String, String, bool)> {
    let length = |meters: f64| units.format_length(meters);
    let mut rows = Vec::new();
    let mut add = |about: &str, says: String, against: bool| {
        rows.push((about.to_owned(), says, against));
    };
    if let Some([_, ridge]) = section.ridge {
        let says = format!(
            "{} over sole, {} over ground",
            length(ridge - plan.boat.sole),
            length(ridge - section.ground)
        );
        add("Highest film", says, false);
    }
    if let Some([from, to]) = section.edge {
        match section.plane {
            Plane::Across(_) => {
                let says = format!(
                    "{} port, {} starboard",
                    length(to[0].abs()),
                    length(from[0].abs())
                );
                add("Half widths", says, false);
            }
            Plane::Along(_) => add("Edge to edge", length(to[0] - from[0]), false),
        }
    }
    if let Some((least, at)) = section.least {
        let under = least < plan.rules.min_slope;
        let at = words::place(&section.plane.point(at), units);
        let says = format!(
            "{} at {at}{}",
            units.format_angle(least),
            if under {
                format!(", under {}", units.format_angle(plan.rules.min_slope))
            } else {
                String::new()
            }
        );
        add("Least slope of the film", says, under);
    }
    if !section.stretches.is_empty() {
        let slopes: Vec<String> = section
            .stretches
            .iter()
            .map(|stretch| slope_words(stretch.slope, units))
            .collect();
        let from = match section.plane {
            Plane::Across(_) => "Along the cut, from starboard",
            Plane::Along(_) => "Along the cut, from the stern",
        };
        add(from, slopes.join("; "), false);
    }
    for clearance in &section.clearances {
        add("Film", clearance_words(clearance, plan, units), false);
    }
    for post in section
        .posts
        .iter()
        .filter_map(|k| plan.frame.posts.get(*k))
    {
        add("Post", post_words(post, section.plane, units), false);
    }
    let mut names: Vec<&str> = Vec::new();
    for strap in &section.straps {
        if let Some(strap) = plan.frame.straps.get(strap.strap)
            && !names.contains(&strap.id.as_str())
        {
            names.push(&strap.id);
        }
    }
    if !names.is_empty() {
        add("Straps", names.join(", "), false);
    }
    rows
}

fn tape_controls(
    ui: &mut egui::Ui,
    plan: &Plan,
    units: UnitSystem,
    tape: &mut Tape,
    fields: &mut Fields,
) {
    ui.horizontal_wrapped(|ui| {
        let word = if tape.in_hand {
            "lay it down"
        } else {
            "take it in hand"
        };
        if ui
            .selectable_label(tape.in_hand, word)
            .on_hover_text("key M; Escape lays it down")
            .clicked()
        {
            let take = !tape.in_hand;
            tape.take(take);
        }
        let any = tape.ends.iter().any(Option::is_some);
        if ui.add_enabled(any, egui::Button::new("clear")).clicked() {
            tape.clear();
        }
    });
    let hint = match (&tape.ends, tape.in_hand) {
        (_, false) => "M takes the tape in hand; or write where its ends lie on the film",
        ([Some(_), None], true) => "click where it ends; Escape lays it down",
        _ => "click where it starts; draw an end to move it; Escape lays it down",
    };
    ui.label(RichText::new(hint).small().color(look::FADED));
    fields.follow(tape, units);
    for (index, name) in ["start", "end"].into_iter().enumerate() {
        let mut written = false;
        ui.horizontal(|ui| {
            ui.label(RichText::new(name).color(look::FADED));
            for (part, about) in [(0, "station"), (1, "offset to port")] {
                let Some(words) = fields
                    .words
                    .get_mut(index)
                    .and_then(|end| end.get_mut(part))
                else {
                    continue;
                };
                let field = egui::TextEdit::singleline(words)
                    .hint_text(about)
                    .desired_width(88.0);
                let answer = ui
                    .add(field)
                    .on_hover_text(format!("{about}; starboard is negative"));
                written |= answer.lost_focus() && answer.changed()
                    || answer.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
            }
        });
        if written {
            fields.put(index, plan, tape);
        }
        if let Some(Some(end)) = tape.ends.get(index) {
            ui.label(
                RichText::new(format!("on {}", end.on))
                    .small()
                    .color(look::FADED),
            );
        }
    }
    if let Some(fault) = &fields.fault {
        ui.label(RichText::new(fault).color(look::BAD));
    }
}

impl Fields {
    /// Takes the ends that were clicked.
    fn follow(&mut self, tape: &Tape, units: UnitSystem) {
        let same_units = self.units == Some(units);
        self.units = Some(units);
        for ((end, of), words) in tape.ends.iter().zip(&mut self.of).zip(&mut self.words) {
            let at = end.as_ref().map(|end| end.at);
            if at != *of || !same_units {
                *words = match at {
                    Some(p) => [p.x, p.y].map(|meters| units.format_length(meters)),
                    // What is half written stays.
                    None if of.is_none() => continue,
                    None => Default::default(),
                };
                *of = at;
            }
        }
    }

    /// Puts an end where its fields say, on the film.
    fn put(&mut self, index: usize, plan: &Plan, tape: &mut Tape) {
        let Some([station, offset]) = self.words.get(index).cloned() else {
            return;
        };
        self.fault = None;
        let blank = |words: &str| words.trim().is_empty();
        if blank(&station) {
            return;
        }
        let offset = if blank(&offset) {
            "0 ft".to_owned()
        } else {
            offset
        };
        match placed(plan, &station, &offset) {
            Ok(at) => {
                let end = End {
                    at,
                    on: "film".to_owned(),
                    on_film: true,
                };
                if let (Some(slot), Some(of)) = (tape.ends.get_mut(index), self.of.get_mut(index)) {
                    *slot = Some(end);
                    *of = Some(at);
                }
            }
            Err(fault) => self.fault = Some(fault),
        }
    }
}

/// The place on the film of a station and an offset as they are written.
fn placed(plan: &Plan, station: &str, offset: &str) -> Result<Point3<f64>, String> {
    let read =
        |words: &str| parse_length(words).map_err(|fault| format!("{fault}; {}", fault.hint()));
    let (x, y) = (read(station)?, read(offset)?);
    film_at(plan, [x, y].into())
        .map(|z| Point3::new(x, y, z))
        .ok_or_else(|| "there is no film over that place".to_owned())
}

fn tape_says(ui: &mut egui::Ui, units: UnitSystem, tape: &Tape) {
    for (about, says) in tape_rows(units, tape) {
        row(ui, about, &says, false);
    }
}

/// What the tape says: about what, and what.
pub fn tape_rows(units: UnitSystem, tape: &Tape) -> Vec<(&'static str, String)> {
    let Some(measure) = tape.measure() else {
        return Vec::new();
    };
    let mut rows = vec![
        ("Straight", units.format_length(measure.straight)),
        ("Level run", units.format_length(measure.run)),
        ("Rise", units.format_length(measure.rise)),
        ("Slope", measure.slope_words(units)),
    ];
    match &measure.over_film {
        Some(over) => rows.push((
            "Over the film",
            format!(
                "{}, in the upright plane through both ends",
                units.format_length(over.length)
            ),
        )),
        None => rows.push(("Over the film", "only between two places on it".to_owned())),
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use crate::plan::plan;
    use crate::viewer::section::cut::cut;

    fn runabout() -> Plan {
        let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
        boat.rules.coarsen(2.0);
        plan(&boat, &boat.rules).unwrap()
    }

    #[test]
    fn fields_put_an_end_on_the_film_or_say_why_not() {
        let plan = runabout();
        for (station, offset, wanted) in [
            ("6'", "1'", Ok((1.8288, 0.3048))),
            ("2 m", "-0.4 m", Ok((2.0, -0.4))),
            ("60 ft", "0 ft", Err("no film over")),
            ("six", "0 ft", Err("number")),
        ] {
            match (placed(&plan, station, offset), wanted) {
                (Ok(p), Ok((x, y))) => {
                    assert!((p.x - x).abs() < 1e-9 && (p.y - y).abs() < 1e-9, "{p}");
                    let z = film_at(&plan, p.xy()).unwrap();
                    assert_eq!(p.z, z);
                }
                (Err(fault), Err(part)) => assert!(fault.contains(part), "{fault}"),
                (found, wanted) => panic!("{station} {offset}: {found:?} {wanted:?}"),
            }
        }
    }

    #[test]
    fn the_page_says_the_sections_own_numbers() {
        let plan = runabout();
        let units = UnitSystem::FeetInches;
        let post = &plan.frame.posts[1];
        let section = cut(&plan, Plane::Across(post.station));
        let rows = section_rows(&plan, units, &section);
        let of = |about: &str| -> String {
            rows.iter()
                .filter(|row| row.0 == about)
                .map(|row| row.1.clone())
                .collect::<Vec<_>>()
                .join(" ")
        };
        let ridge = section.ridge.unwrap()[1];
        assert!(of("Highest film").contains(&units.format_length(ridge - plan.boat.sole)));
        assert!(of("Post").contains(&post.id));
        assert!(of("Straps").contains("R1"));
        let least = section.least.unwrap().0;
        assert!(of("Least slope of the film").contains(&units.format_angle(least)));
        for stretch in &section.stretches {
            let slopes = of("Along the cut, from starboard");
            assert!(
                slopes.contains(&units.format_pitch(stretch.slope)),
                "{slopes}"
            );
            assert!(
                slopes.contains(&units.format_angle(stretch.slope)),
                "{slopes}"
            );
        }
    }
}
