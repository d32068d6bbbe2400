//! The verdict, always in sight: whether the cover sheds, the numbers behind it, what each post is there for. A
//! line that is about a place takes the camera there.

use super::camera::Go;
use super::canvas::{Canvas, Layout};
use super::convert;
use super::headline::{LoadsKnown, headline, ink, is_good};
use super::load::burden::Burden;
use super::load::words as load;
use super::look::{self, Look};
use super::model::{Model, Quality, Status};
use super::shown::{Hanging, Shown};
use super::why::{Why, question};
use super::words;
use crate::plan::Plan;
use crate::sheet::{allowed_flat_sentence, fewer_posts_sentence};
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
                "{} at {}; wanted {}{}",
                units.format_angle(cover.least_slope),
                words::place(&cover.least_slope_at, units),
                units.format_angle(plan.rules.min_slope),
                allowed_flat_sentence(plan, units)
                    .map_or_else(String::new, |flat| format!("; {flat}"))
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
            let what = match shortfall {
                Shortfall::AsBuilt { lack, .. } => lack.as_ref(),
                other => other,
            };
            match what {
                Shortfall::HoldingPatch { at, .. }
                | Shortfall::FlatInAll { at, .. }
                | Shortfall::Pond { at, .. }
                | Shortfall::Touches { at, .. }
                | Shortfall::StrapThrough { at, .. } => finding.at(*at),
                Shortfall::Frame { stretch, .. } => {
                    let station = 0.5 * (stretch[0] + stretch[1]);
                    let height = plan.frame.profile_at(station);
                    finding.at(Point3::new(station, 0.0, height))
                }
                Shortfall::Overloaded { bearing } => finding.at(bearing.at),
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
                Shortfall::LeftOut { .. }
                | Shortfall::NotSolved { .. }
                | Shortfall::AsBuilt { .. } => finding,
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
    burden: Option<Res<Burden>>,
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
            head(ui, &shown, LoadsKnown::of_shown(burden.as_deref(), &shown));
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
fn head(ui: &mut egui::Ui, shown: &Shown, loads: LoadsKnown) {
    if let Some(plan) = shown.plan() {
        let good = is_good(plan, loads);
        ui.horizontal_top(|ui| {
            if let Some(good) = good {
                mark(ui, good);
            }
            let words = RichText::new(headline(plan, loads))
                .heading()
                .color(ink(good));
            ui.add(egui::Label::new(words).wrap());
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

/// A tick for a good verdict, a warning triangle for a bad one: read without color.
pub fn mark(ui: &mut egui::Ui, good: bool) {
    let size = 0.9 * ui.text_style_height(&egui::TextStyle::Heading);
    let (place, _) = ui.allocate_exact_size(egui::Vec2::splat(size), egui::Sense::hover());
    draw_mark(ui.painter(), place, good);
}

/// See [`mark`].
pub fn draw_mark(painter: &egui::Painter, place: egui::Rect, good: bool) {
    let at = |x: f32, y: f32| place.min + egui::vec2(x, y) * place.size();
    if good {
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
                ..PinnedPost::default()
            })
            .collect();
        plan(&boat, &boat.rules).unwrap()
    }

    /// The number that a text starts with.
    fn number(text: &str) -> f64 {
        let end = text.find(|c: char| !c.is_ascii_digit() && c != '.');
        text[..end.unwrap_or(text.len())].parse().unwrap()
    }

    #[test]
    fn the_verdict_says_the_plans_own_numbers() {
        let units = UnitSystem::Metric;
        for (posts, sheds) in [(&[][..], true), (&[(0.9, 1.0), (3.0, 1.35)][..], false)] {
            let plan = runabout(posts);
            let found = findings(&plan, units);
            let of = |about: &str| {
                found
                    .iter()
                    .find(|finding| finding.about == about)
                    .unwrap_or_else(|| panic!("{about}"))
            };
            // Practice gives this boat two posts, and two were pinned.
            assert_eq!(of("Posts").says, "2");
            // By the triangles: slope from the horizontal, area in space, which is flat or not.
            let mesh = &plan.cover.mesh;
            let triangles: Vec<(f64, f64, Point3<f64>)> = (0..mesh.triangles.len())
                .map(|t| {
                    let [a, b, c] = mesh.triangle(t);
                    let normal = (b - a).cross(&(c - a));
                    let slope = (normal.z.abs() / normal.norm()).min(1.0).acos();
                    let middle = Point3::from((a.coords + b.coords + c.coords) / 3.0);
                    (slope.to_degrees(), 0.5 * normal.norm(), middle)
                })
                .collect();
            let least = of("Least slope");
            let at = least.at.unwrap();
            let there = triangles
                .iter()
                .min_by(|a, b| (a.2 - at).norm().total_cmp(&(b.2 - at).norm()))
                .unwrap();
            assert!(
                (number(&least.says) - there.0).abs() < 0.06,
                "{}",
                least.says
            );
            assert!(least.says.contains("wanted 15.0°"), "{}", least.says);
            let flat: f64 = triangles
                .iter()
                .filter(|(slope, ..)| *slope < 15.0)
                .map(|(_, area, _)| area)
                .sum();
            let holding = of("Holding area");
            assert_eq!(holding.against, !sheds);
            if sheds {
                // What is flat and allowed is told beside the slope, with how much of it there is.
                assert!(holding.says.starts_with("none over"), "{}", holding.says);
                assert_eq!(flat > 0.0, least.says.contains("allowed"), "{}", least.says);
            } else {
                let told = number(&holding.says);
                assert!(told > 0.09 && told <= flat + 0.006, "{told} of {flat}");
                let at = holding.at.unwrap();
                let near = triangles
                    .iter()
                    .any(|(slope, _, middle)| *slope < 15.0 && (middle - at).norm() < 0.3);
                assert!(near, "no flat film at {at}");
                assert!(!least.says.contains("allowed"), "{}", least.says);
            }
            // The skirt comes on top of what spans the boat: under the rub rail, a hand deep, all round.
            let spanned: f64 = triangles.iter().map(|(_, area, _)| area).sum();
            let skirt = number(&of("Film").says) - spanned;
            assert!(
                (0.5..8.0).contains(&skirt),
                "{skirt} of skirt, {spanned} spanned"
            );
            // A sheet is as wide at least as the film is over the widest section, beam and more.
            assert!(number(&of("Width to cut").says) > plan.boat.beam);
            let told = super::shortfalls(&plan, units);
            assert_eq!(told.is_empty(), sheds);
            assert!(
                told.iter()
                    .all(|finding| finding.against && finding.at.is_some())
            );
            let told = super::posts(&plan, units);
            let stations: Vec<f64> = told.iter().map(|post| post.at.unwrap().x).collect();
            if !sheds {
                assert_eq!(stations.len(), 2);
                assert!((stations[0] - 0.9).abs() < 0.06 && (stations[1] - 3.0).abs() < 0.06);
            }
        }
    }
}
