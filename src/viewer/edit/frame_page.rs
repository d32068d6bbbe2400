//! The page "frame": each post and strap with its numbers, its pin, and what adds or removes one.

use super::by_hand::{
    Others, add_post, add_strap, move_post, pin_post, pin_strap, plan_anew, plan_the_rest,
    remove_post, remove_strap,
};
use super::fields::{Drafts, complaint, field};
use super::specs::Kind;
use super::{Bench, Piece};
use crate::boat::{Boat, Side};
use crate::frame::StrapKind;
use crate::plan::Plan;
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
pub struct FramePagePlugin;

impl Plugin for FramePagePlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<NewStrap>()
            .add_systems(EguiPrimaryContextPass, draw.in_set(Layout::Panels));
    }
}

/// The strap that may be added next.
#[derive(Resource, Debug, Clone, Copy, Default)]
struct NewStrap {
    post: usize,
    side: Side,
}

/// A change that is wished for, what it is called, and the field that it came from.
struct Wish {
    changed: Result<Boat, String>,
    what: String,
    field: Option<(String, String)>,
}

/// What the rows of the page share.
struct Rows<'a> {
    plan: &'a Plan,
    boat: &'a Boat,
    units: UnitSystem,
    drafts: &'a mut Drafts,
    bench: &'a mut Bench,
    wish: Option<Wish>,
}

impl Rows<'_> {
    fn wish(&mut self, changed: Result<Boat, &str>, what: String) {
        self.wish = Some(Wish {
            changed: changed.map_err(str::to_owned),
            what,
            field: None,
        });
    }

    /// A field for a length; what is typed becomes a wish.
    fn length(
        &mut self,
        ui: &mut egui::Ui,
        name: &str,
        value: f64,
        what: String,
        change: impl FnOnce(&Rows, f64) -> Result<Boat, &'static str>,
    ) {
        let shown = self.units.format_length(value);
        if let Some(text) = field(ui, self.drafts, name, &shown, 78.0) {
            let changed = Kind::Length
                .parse(&text)
                .and_then(|value| change(self, value).map_err(str::to_owned));
            self.wish = Some(Wish {
                changed,
                what,
                field: Some((name.to_owned(), text)),
            });
        }
    }
}

#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
fn draw(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    look: Res<Look>,
    page: Res<Page>,
    history: Res<History>,
    model: Res<Model>,
    mut bench: ResMut<Bench>,
    mut new_strap: ResMut<NewStrap>,
    mut drafts: ResMut<Drafts>,
    mut acts: MessageWriter<Act>,
) -> Result {
    if *page != Page::Frame {
        return Ok(());
    }
    let context = contexts.ctx_mut()?;
    let (Some(boat), Some(plan)) = (history.boat().cloned(), model.plan.clone()) else {
        return Ok(());
    };
    // While a newer plan is under way the rows would speak of pieces that are gone.
    let current = plan.boat == *boat;
    let mut rows = Rows {
        plan: &plan,
        boat: &boat,
        units: model.units,
        drafts: &mut drafts,
        bench: &mut bench,
        wish: None,
    };
    page::show(context, &mut canvas, &look, Page::Frame, |ui| {
        head(ui, &mut rows);
        ui.add_enabled_ui(current, |ui| {
            posts(ui, &mut rows);
            straps(ui, &mut rows);
            add(ui, &mut rows, &mut new_strap);
        });
        help(ui);
    });
    let wish = rows.wish;
    let Some(Wish {
        changed,
        what,
        field,
    }) = wish
    else {
        return Ok(());
    };
    match (changed, field) {
        (Ok(boat), _) => {
            bench.refused = None;
            acts.write(Act::change(boat, what));
        }
        (Err(why), Some((field, text))) => drafts.complain(&field, text, why),
        (Err(why), None) => bench.refused = Some(why),
    }
    Ok(())
}

fn head(ui: &mut egui::Ui, rows: &mut Rows) {
    let by_hand = rows.boat.wishes.only_pinned;
    let pins = rows.boat.wishes.posts.len() + rows.boat.wishes.straps.len();
    let words = if by_hand {
        "A frame by hand: nothing is added to it."
    } else if pins > 0 {
        "Planned about what is pinned."
    } else {
        "Planned by hulltent."
    };
    ui.label(RichText::new(words).strong());
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new("when one is moved, the others").color(look::FADED));
        for (others, word) in [
            (Others::Stay, "stay"),
            (Others::Replanned, "are planned anew"),
        ] {
            if ui
                .selectable_label(rows.bench.others == others, word)
                .clicked()
            {
                rows.bench.others = others;
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        if ui
            .add_enabled(by_hand || pins > 0, egui::Button::new("plan anew"))
            .on_hover_text("takes all pins out")
            .clicked()
        {
            rows.wish(Ok(plan_anew(rows.boat)), "plan the frame anew".to_owned());
        }
        if ui
            .add_enabled(by_hand, egui::Button::new("plan the rest"))
            .on_hover_text("the posts stay, straps and what lacks are planned about them")
            .clicked()
        {
            rows.wish(Ok(plan_the_rest(rows.boat)), "plan the rest".to_owned());
        }
    });
    if let Some(why) = &rows.bench.refused {
        ui.label(RichText::new(why).color(look::BAD));
    }
}

fn posts(ui: &mut egui::Ui, rows: &mut Rows) {
    ui.separator();
    ui.label(RichText::new("Posts").strong());
    egui::Grid::new("posts").num_columns(5).show(ui, |ui| {
        for word in ["", "station", "cap over sole", "", ""] {
            ui.label(RichText::new(word).small().color(look::FADED));
        }
        ui.end_row();
        let plan = rows.plan;
        for (index, post) in plan.frame.posts.iter().enumerate() {
            let piece = Piece::Post(index);
            if ui
                .selectable_label(rows.bench.chosen == Some(piece), &post.id)
                .clicked()
            {
                rows.bench.chosen = Some(piece);
            }
            let (station, cap) = (post.station, post.cap);
            let what = format!("move {}", post.id);
            let name = format!("{} station", post.id);
            rows.length(ui, &name, station, what.clone(), |rows, value| {
                let others = rows.bench.others;
                move_post(rows.plan, rows.boat, index, value, cap, others)
                    .ok_or("there is no such post")
            });
            let sole = plan.boat.sole;
            let name = format!("{} cap", post.id);
            rows.length(ui, &name, cap - sole, what, |rows, value| {
                let others = rows.bench.others;
                if sole + value <= post.base {
                    return Err("the cap would be under what the post stands on");
                }
                move_post(rows.plan, rows.boat, index, station, sole + value, others)
                    .ok_or("there is no such post")
            });
            pin(ui, rows, piece, &post.id, post.pinned);
            if ui
                .button("x")
                .on_hover_text("leave it out (Delete)")
                .clicked()
            {
                let changed = remove_post(plan, rows.boat, index, rows.bench.others);
                rows.wish(changed, format!("leave {} out", post.id));
            }
            ui.end_row();
        }
    });
    for post in &rows.plan.frame.posts {
        complaint(ui, rows.drafts, &format!("{} station", post.id));
        complaint(ui, rows.drafts, &format!("{} cap", post.id));
    }
}

/// A pin goes in and out, unless the whole frame is by hand.
fn pin(ui: &mut egui::Ui, rows: &mut Rows, piece: Piece, name: &str, pinned: bool) {
    let mut now = pinned;
    let by_hand = rows.boat.wishes.only_pinned;
    let answer = ui
        .add_enabled(!by_hand, egui::Checkbox::new(&mut now, "pin"))
        .on_disabled_hover_text("all pieces of a frame by hand stay where they are");
    if answer.changed() {
        let changed = match piece {
            Piece::Post(index) => pin_post(rows.plan, rows.boat, index, now),
            Piece::Strap(index) => pin_strap(rows.plan, rows.boat, index, now),
        };
        let word = if now { "pin" } else { "unpin" };
        rows.wish(
            changed.ok_or("that piece is gone"),
            format!("{word} {name}"),
        );
    }
}

/// Width of the words on a strap, points before scaling, where items stand so far apart.
const COURSE: f32 = 130.0;
/// See [`COURSE`].
const SPACE: f32 = 8.0;

fn straps(ui: &mut egui::Ui, rows: &mut Rows) {
    ui.separator();
    ui.label(RichText::new("Straps").strong());
    let plan = rows.plan;
    egui::Grid::new("straps").num_columns(4).show(ui, |ui| {
        for (index, (strap, cut)) in plan
            .frame
            .straps
            .iter()
            .zip(&plan.takeoff.straps)
            .enumerate()
        {
            let piece = Piece::Strap(index);
            if ui
                .selectable_label(rows.bench.chosen == Some(piece), &strap.id)
                .on_hover_text(strap.reason.sentence(rows.units))
                .clicked()
            {
                rows.bench.chosen = Some(piece);
            }
            let course = format!(
                "from {} to {}, cut {}",
                strap.from,
                strap.to,
                rows.units.format_length_up(cut.cut)
            );
            ui.scope(|ui| {
                ui.set_width(COURSE * ui.spacing().item_spacing.x / SPACE);
                ui.label(RichText::new(course).small());
            });
            if strap.kind == StrapKind::Ridge {
                ui.label("");
                ui.label("");
            } else {
                pin(ui, rows, piece, &strap.id, strap.pinned);
                if ui
                    .button("x")
                    .on_hover_text("leave it out (Delete)")
                    .clicked()
                {
                    let changed = remove_strap(plan, rows.boat, index);
                    rows.wish(changed, format!("leave {} out", strap.id));
                }
            }
            ui.end_row();
        }
    });
}

fn add(ui: &mut egui::Ui, rows: &mut Rows, new: &mut NewStrap) {
    ui.separator();
    ui.label(RichText::new("Add").strong());
    let plan = rows.plan;
    ui.horizontal(|ui| {
        ui.label("a post at station");
        let others = rows.bench.others;
        let middle = 0.5 * plan.boat.length;
        rows.length(
            ui,
            "new post",
            middle,
            "add a post".to_owned(),
            |rows, station| add_post(rows.plan, rows.boat, station, others),
        );
    });
    complaint(ui, rows.drafts, "new post");
    ui.horizontal_wrapped(|ui| {
        ui.label("a strap from");
        new.post = new.post.min(plan.frame.posts.len().saturating_sub(1));
        let name = plan.frame.posts.get(new.post).map_or("", |post| &post.id);
        egui::ComboBox::from_id_salt("new strap post")
            .width(52.0)
            .selected_text(name)
            .show_ui(ui, |ui| {
                for (index, post) in plan.frame.posts.iter().enumerate() {
                    ui.selectable_value(&mut new.post, index, &post.id);
                }
            });
        for (side, word) in [
            (Side::Both, "both sides"),
            (Side::Port, "port"),
            (Side::Starboard, "starboard"),
        ] {
            ui.selectable_value(&mut new.side, side, word);
        }
    });
    ui.horizontal(|ui| {
        ui.label("over the edge at station");
        let (post, side, others) = (new.post, new.side, rows.bench.others);
        let at = plan.frame.posts.get(post).map_or(0.0, |post| post.station);
        rows.length(
            ui,
            "new strap",
            at,
            "add a strap".to_owned(),
            |rows, station| add_strap(rows.plan, rows.boat, post, station, side, others),
        );
    });
    complaint(ui, rows.drafts, "new strap");
    ui.label(
        RichText::new("Type a station and press Enter.")
            .small()
            .color(look::FADED),
    );
}

fn help(ui: &mut egui::Ui) {
    ui.separator();
    ui.label(
        RichText::new(
            "Draw a cap up or down, or along the boat, with the pointer; Shift for both ways at once, \
             Esc puts it back. Keys: N the next post, Shift N the one before, Ctrl and arrows move its \
             cap, Insert sets one midway to the next, Delete leaves it out, P pins it.",
        )
        .small()
        .color(look::FADED),
    );
}
