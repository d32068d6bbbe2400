//! The verdict, always in sight: whether the cover sheds, the numbers behind it, what each post is there for. A
//! line that is about a place takes the camera there.

use super::camera::Go;
use super::canvas::{Canvas, Layout};
use super::convert;
use super::load::words as load;
use super::look::{self, Look};
use super::model::{Model, Quality, Status};
use super::shown::{Hanging, Shown};
use super::why::{Why, question};
use super::words;
use crate::plan::Plan;
use crate::sheet::fewer_posts_sentence;
use crate::units::UnitSystem;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};
use egui::RichText;
use nalgebra::Point3;

/// A line of the verdict.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// What it is about.
    pub about: String,
    /// What it says.
    pub says: String,
    /// Where that is.
    pub at: Option<Point3<f64>>,
    /// It speaks against the cover.
    pub against: bool,
}

impl Finding {
    fn new(about: &str, says: String) -> Finding {
        Finding {
            about: about.to_owned(),
            says,
            at: None,
            against: false,
        }
    }

    fn at(mut self, at: Point3<f64>) -> Finding {
        self.at = Some(at);
        self
    }

    fn against(mut self, against: bool) -> Finding {
        self.against = against;
        self
    }
}

/// The verdict of a plan in a few words.
pub fn headline(plan: &Plan) -> String {
    if plan.sheds() {
        "The cover sheds".to_owned()
    } else {
        format!(
            "Falls short in {}",
            words::count(plan.shortfalls.len(), "place")
        )
    }
}

/// The numbers of a plan.
pub fn findings(plan: &Plan, units: UnitSystem) -> Vec<Finding> {
    let cover = &plan.cover;
    let film = &plan.film;
    let holding = cover.holding_over(plan.rules.holding_patch);
    let mut found = vec![
        Finding::new("Posts", plan.frame.posts.len().to_string()),
        Finding::new(
            "Least slope",
            format!(
                "{} at {}; wanted {}",
                units.format_angle(cover.least_slope),
                words::place(&cover.least_slope_at, units),
                units.format_angle(plan.rules.min_slope)
            ),
        )
        .at(cover.least_slope_at),
    ];
    let mut patches = Finding::new(
        "Holding area",
        if holding > 0.0 {
            units.format_area(holding)
        } else {
            format!("none over {}", units.format_area(plan.rules.holding_patch))
        },
    )
    .against(holding > 0.0);
    if let Some(largest) = cover.patches.first().filter(|_| holding > 0.0) {
        patches = patches.at(largest.centroid);
    }
    found.push(patches);
    let ponds = match cover.ponds.first() {
        None => Finding::new("Ponds", "none".to_owned()),
        Some(largest) => Finding::new(
            "Ponds",
            format!(
                "{}, the largest holds {}",
                cover.ponds.len(),
                units.format_volume(largest.volume)
            ),
        )
        .at(largest.deepest)
        .against(true),
    };
    found.push(ponds);
    found.push(Finding::new("Film", units.format_area(cover.area)));
    found.push(Finding::new(
        "Width to cut",
        format!(
            "{} from a roll of {}, {} long",
            units.format_length_up(film.cut.width),
            units.format_length_short(film.cut.roll),
            units.format_length_up(film.cut.length)
        ),
    ));
    found.push(Finding::new("Pleats", film.pleats.len().to_string()));
    found
}

/// What is wrong, one finding each.
pub fn shortfalls(plan: &Plan, units: UnitSystem) -> Vec<Finding> {
    use crate::plan::Shortfall;
    plan.shortfalls
        .iter()
        .map(|shortfall| {
            let finding = Finding::new("", shortfall.sentence(units)).against(true);
            match shortfall {
                Shortfall::HoldingPatch { at, .. }
                | Shortfall::Pond { at, .. }
                | Shortfall::Touches { at, .. } => finding.at(*at),
                Shortfall::Frame { stretch, .. } => {
                    let station = 0.5 * (stretch[0] + stretch[1]);
                    let height = plan.frame.profile_at(station);
                    finding.at(Point3::new(station, 0.0, height))
                }
                Shortfall::IdlePost { post } | Shortfall::NoAnchor { post, .. } => {
                    match plan.frame.posts.iter().find(|other| other.id == *post) {
                        Some(post) => finding.at(post.top()),
                        None => finding,
                    }
                }
                Shortfall::NoFooting { post, .. } => {
                    match plan.frame.posts.iter().find(|other| other.id == *post) {
                        Some(post) => finding.at(Point3::new(post.station, post.offset, post.base)),
                        None => finding,
                    }
                }
                Shortfall::NotSolved { .. } => finding,
            }
        })
        .collect()
}

/// What each post is there for.
pub fn posts(plan: &Plan, units: UnitSystem) -> Vec<Finding> {
    plan.frame
        .posts
        .iter()
        .zip(&plan.cover.post_loads)
        .map(|(post, load)| {
            Finding::new(
                &post.id,
                format!(
                    "{}; carries {}",
                    post.reason.sentence(units),
                    units.format_force(*load)
                ),
            )
            .at(post.top())
            .against(*load <= 0.0)
        })
        .collect()
}

/// Draws the panel.
pub struct VerdictPlugin;

impl Plugin for VerdictPlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(EguiPrimaryContextPass, panel.in_set(Layout::Panels));
    }
}

/// Width of the panel, points before scaling.
const WIDTH: f32 = 300.0;

fn panel(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    shown: Shown,
    look: Res<Look>,
    mut why: ResMut<Why>,
    mut go: MessageWriter<Go>,
) -> Result {
    let context = contexts.ctx_mut()?;
    let mut asked = why.0;
    let mut surface = canvas.surface(context, "verdict");
    egui::Panel::right("verdict panel")
        .resizable(false)
        .exact_size(WIDTH * look.scale)
        .show(&mut surface, |ui| {
            ui.add_space(6.0);
            head(ui, &shown);
            egui::ScrollArea::vertical()
                .auto_shrink([false, false])
                .show(ui, |ui| {
                    if let Some(plan) = shown.plan() {
                        body(ui, plan, shown.units(), &mut asked, &mut go);
                    }
                });
        });
    canvas.leave(&surface);
    why.set_if_neq(Why(asked));
    Ok(())
}

/// The verdict itself, and whether it is that of the boat as it is.
fn head(ui: &mut egui::Ui, shown: &Shown) {
    if let Some(plan) = shown.plan() {
        ui.horizontal(|ui| {
            mark(ui, plan.sheds());
            let ink = if plan.sheds() { look::GOOD } else { look::BAD };
            ui.label(RichText::new(headline(plan)).heading().color(ink));
        });
    }
    if let Some(name) = shown.guest() {
        ui.label(RichText::new(name).color(look::ACCENT));
        return;
    }
    if let Some(hanging) = shown.hanging() {
        under_load(ui, hanging, shown.units());
    }
    state(ui, shown.model());
}

/// The case that the film is drawn under, and whether the cover stands.
fn under_load(ui: &mut egui::Ui, hanging: &Hanging, units: UnitSystem) {
    let case = load::case(hanging.case, &hanging.loads.site, units);
    let drawn = format!("Film drawn under {case}; verdict and figures here are of the taut film");
    ui.label(RichText::new(drawn).color(look::ACCENT));
    if let Some(words) = load::standing(&hanging.loads) {
        let ink = if hanging.loads.stands() {
            look::GOOD
        } else {
            look::BAD
        };
        let words = format!("Loads, a planning check: {words}");
        ui.label(RichText::new(words).color(ink));
    }
}

fn state(ui: &mut egui::Ui, model: &Model) {
    let (words, ink) = match (&model.status, model.quality) {
        (Status::Planning, _) => ("planning ...".to_owned(), look::FADED),
        (Status::Current, Quality::Fine) => (String::new(), look::FADED),
        (Status::Current, Quality::Held) => ("coarse while you hold it".to_owned(), look::FADED),
        (Status::Impossible(problems), _) => (
            problems
                .iter()
                .map(|problem| format!("Cannot be planned: {}; {}", problem.what, problem.hint))
                .collect::<Vec<_>>()
                .join("\n"),
            look::BAD,
        ),
    };
    ui.label(RichText::new(words).small().color(ink));
}

/// A tick for a cover that sheds, a warning triangle for one that does not: read without colour.
pub fn mark(ui: &mut egui::Ui, sheds: bool) {
    let size = 0.9 * ui.text_style_height(&egui::TextStyle::Heading);
    let (place, _) = ui.allocate_exact_size(egui::Vec2::splat(size), egui::Sense::hover());
    draw_mark(ui.painter(), place, sheds);
}

/// See [`mark`].
pub fn draw_mark(painter: &egui::Painter, place: egui::Rect, sheds: bool) {
    let at = |x: f32, y: f32| place.min + egui::vec2(x, y) * place.size();
    if sheds {
        let stroke = egui::Stroke::new(0.15 * place.width(), look::GOOD);
        painter.line(vec![at(0.08, 0.55), at(0.38, 0.85), at(0.92, 0.18)], stroke);
    } else {
        painter.add(egui::Shape::convex_polygon(
            vec![at(0.5, 0.05), at(0.98, 0.92), at(0.02, 0.92)],
            look::BAD,
            egui::Stroke::NONE,
        ));
        let stroke = egui::Stroke::new(0.12 * place.width(), look::PAPER);
        painter.line_segment([at(0.5, 0.36), at(0.5, 0.64)], stroke);
        painter.circle_filled(at(0.5, 0.79), 0.07 * place.width(), look::PAPER);
    }
}

fn body(
    ui: &mut egui::Ui,
    plan: &Plan,
    units: UnitSystem,
    asked: &mut bool,
    go: &mut MessageWriter<Go>,
) {
    for finding in findings(plan, units) {
        line(ui, &finding, go);
    }
    if !plan.sheds() {
        part(ui, "What falls short");
        for finding in shortfalls(plan, units) {
            line(ui, &finding, go);
        }
    }
    part(ui, "What each post is there for");
    for finding in posts(plan, units) {
        line(ui, &finding, go);
    }
    part(ui, "One post less");
    ui.toggle_value(asked, question(plan))
        .on_hover_text("key W: show the stretch that one post less cannot serve");
    line(ui, &Finding::new("", fewer_posts_sentence(plan, units)), go);
    ui.add_space(8.0);
    ui.label(
        RichText::new(
            "A planning check: local codes, the makers' instructions and licensed engineers decide.",
        )
        .small()
        .color(look::FADED),
    );
}

fn part(ui: &mut egui::Ui, name: &str) {
    ui.add_space(8.0);
    ui.separator();
    ui.label(RichText::new(name).strong());
}

/// One line; a click, or Enter when it has the focus, flies to its place.
fn line(ui: &mut egui::Ui, finding: &Finding, go: &mut MessageWriter<Go>) {
    ui.horizontal_wrapped(|ui| {
        if !finding.about.is_empty() {
            ui.label(RichText::new(&finding.about).color(look::FADED));
        }
        let ink = if finding.against {
            look::BAD
        } else {
            look::INK
        };
        match finding.at {
            None => {
                ui.label(RichText::new(&finding.says).color(ink));
            }
            Some(at) => {
                let ink = if finding.against {
                    look::BAD
                } else {
                    look::ACCENT
                };
                let words = RichText::new(&finding.says).color(ink).underline();
                let answer = ui
                    .add(egui::Label::new(words).sense(egui::Sense::click()))
                    .on_hover_cursor(egui::CursorIcon::PointingHand)
                    .on_hover_text("show me");
                if answer.clicked() {
                    go.write(Go::At(convert::point(&at)));
                }
            }
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::{PinnedPost, preset};
    use crate::plan::plan;

    fn runabout(posts: &[(f64, f64)]) -> Plan {
        let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
        boat.wishes.only_pinned = !posts.is_empty();
        boat.wishes.posts = posts
            .iter()
            .map(|(station, cap)| PinnedPost {
                station: *station,
                cap: Some(*cap),
            })
            .collect();
        plan(&boat, &boat.rules).unwrap()
    }

    #[test]
    fn the_verdict_says_the_plans_own_numbers() {
        let units = UnitSystem::Metric;
        for (posts, sheds) in [(&[][..], true), (&[(0.9, 1.0), (3.0, 1.35)][..], false)] {
            let plan = runabout(posts);
            assert_eq!(plan.sheds(), sheds);
            let found = findings(&plan, units);
            let of = |about: &str| {
                found
                    .iter()
                    .find(|finding| finding.about == about)
                    .unwrap_or_else(|| panic!("{about}"))
            };
            assert_eq!(of("Posts").says, plan.frame.posts.len().to_string());
            let least = of("Least slope");
            assert_eq!(least.at, Some(plan.cover.least_slope_at));
            assert!(
                least
                    .says
                    .starts_with(&units.format_angle(plan.cover.least_slope))
            );
            let holding = of("Holding area");
            assert_eq!(holding.against, !sheds);
            if !sheds {
                let area = plan.cover.holding_over(plan.rules.holding_patch);
                assert_eq!(holding.says, units.format_area(area));
                assert_eq!(holding.at, Some(plan.cover.patches[0].centroid));
            }
            assert_eq!(of("Film").says, units.format_area(plan.cover.area));
            assert!(
                of("Width to cut")
                    .says
                    .contains(&units.format_length_up(plan.film.cut.width))
            );
            assert_eq!(of("Pleats").says, plan.film.pleats.len().to_string());
            assert_eq!(super::shortfalls(&plan, units).len(), plan.shortfalls.len());
            assert_eq!(super::posts(&plan, units).len(), plan.frame.posts.len());
        }
    }
}
