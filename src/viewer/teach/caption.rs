//! Words over each of two covers: which it is, its verdict, and what the storm has laid on it.

use super::comparison::Comparison;
use super::snowfall::Snowfall;
use crate::lesson::Measure;
use crate::lesson::storm::Storm;
use crate::plan::Plan;
use crate::units::UnitSystem;
use crate::viewer::camera::SceneCamera;
use crate::viewer::canvas::{Canvas, Layout, painter};
use crate::viewer::headline::{self, LoadsKnown, headline, is_good};
use crate::viewer::legend;
use crate::viewer::load::burden::Burden;
use crate::viewer::look::{self, Look};
use crate::viewer::shown::Shown;
use crate::viewer::verdict::draw_mark;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};
use egui::{Color32, Rect, Stroke};

/// What is said over one of the two.
#[derive(Debug, Clone, PartialEq)]
pub struct Caption {
    /// Which it is.
    pub title: String,
    /// Its verdict.
    pub verdict: String,
    /// Whether that is good; `None` where loads were not checked.
    pub good: Option<bool>,
    /// What the storm did, line by line.
    pub storm: Vec<String>,
}

/// The captions of the plan and its rival; `burden` where they are of the boat's own site.
pub fn captions(
    comparison: &Comparison,
    snowfall: Option<&Snowfall>,
    burden: Option<&Burden>,
    units: UnitSystem,
) -> [Caption; 2] {
    let rival = format!("The rival: {}", comparison.otherwise.words(units));
    let titles = ["The plan".to_owned(), rival];
    let mut number = 0..2;
    titles.map(|title| {
        let k = number.next().unwrap_or_default();
        let plan = &comparison.plans[k];
        let mut storm = snowfall.map_or_else(Vec::new, |snowfall| {
            counters(&snowfall.storms()[k], snowfall, units)
        });
        if let Some((measure, values)) = comparison.measured
            && snowfall.is_some_and(Snowfall::is_over)
        {
            storm.push(format!(
                "{}: {}",
                measure.words(),
                measure.format(values[k], units)
            ));
        }
        let loads = LoadsKnown::of(burden, plan);
        Caption {
            title,
            verdict: verdict(plan, loads, units),
            good: is_good(plan, loads),
            storm,
        }
    })
}

fn verdict(plan: &Plan, loads: LoadsKnown, units: UnitSystem) -> String {
    let holding = plan.cover.holding_over(plan.rules.holding_patch);
    if holding > 0.0 {
        format!(
            "{}; holding area {}",
            headline(plan, loads),
            units.format_area(holding)
        )
    } else {
        headline(plan, loads)
    }
}

/// What a storm did so far, in two lines.
fn counters(storm: &Storm, snowfall: &Snowfall, units: UnitSystem) -> Vec<String> {
    let totals = storm.totals();
    let mass = |kilograms: f64| units.format_mass(kilograms);
    let held = format!(
        "snow held {}, up to {} deep",
        Measure::SnowHeld.format(totals.held, units),
        units.format_length_short(storm.deepest())
    );
    let mut rest = format!(
        "{:.1} h: {} fallen, {} slid off, {} in hollows",
        snowfall.hours(),
        mass(totals.fallen),
        mass(totals.slid_off),
        mass(totals.in_hollows)
    );
    if snowfall.melted().is_some() {
        rest.push_str(&format!(", {} ran off", mass(totals.ran_off)));
    }
    vec![held, rest]
}

/// Draws the captions.
pub struct CaptionPlugin;

impl Plugin for CaptionPlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(
            EguiPrimaryContextPass,
            draw.in_set(Layout::Overlay)
                .before(legend::draw)
                .run_if(resource_exists::<Comparison>),
        );
    }
}

/// White round the words, points.
const AROUND: f32 = 8.0;

#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
fn draw(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    comparison: Res<Comparison>,
    snowfall: Option<Res<Snowfall>>,
    shown: Shown,
    burden: Option<Res<Burden>>,
    look: Res<Look>,
    cameras: Query<&SceneCamera>,
) -> Result {
    let painter = painter(contexts.ctx_mut()?, &canvas);
    let count = cameras.iter().count();
    if count < 2 {
        return Ok(());
    }
    // A lesson's covers have no site.
    let burden = burden.as_deref().filter(|_| shown.guest().is_none());
    let captions = captions(&comparison, snowfall.as_deref(), burden, shown.units());
    let parts = [0, 1].map(|place| canvas.part(place, count));
    let laid = [0, 1].map(|k| lay_out(&painter, &captions[k], &look, parts[k].width()));
    // Of one height, so that the boats below stand level.
    let height = laid.iter().map(|rows| rows.height).fold(0.0, f32::max);
    for (part, rows) in parts.iter().zip(laid) {
        let strip = Rect::from_min_size(part.min, egui::vec2(part.width(), height));
        rows.draw(&painter, strip);
        canvas.take(strip);
    }
    // Between the two.
    let [first, second] = parts;
    let line = if second.left() > first.left() {
        [second.left_top(), second.left_bottom()]
    } else {
        [second.left_top(), second.right_top()]
    };
    painter.line_segment(line, Stroke::new(2.0, look::RULE));
    canvas.head = height;
    Ok(())
}

struct Rows {
    galleys: Vec<std::sync::Arc<egui::Galley>>,
    indent: f32,
    good: Option<bool>,
    height: f32,
}

fn lay_out(painter: &egui::Painter, caption: &Caption, look: &Look, width: f32) -> Rows {
    let ink = headline::ink(caption.good);
    let indent = 1.4 * look::BODY * look.scale;
    let width = width - 2.0 * AROUND;
    let row = |words: &str, size: f32, ink: Color32, width: f32| {
        painter.layout(words.to_owned(), look.font(size), ink, width)
    };
    let mut galleys = vec![
        row(&caption.title, look::BODY, look::INK, width),
        row(&caption.verdict, look::SMALL, ink, width - indent),
    ];
    galleys.extend(
        caption
            .storm
            .iter()
            .map(|line| row(line, look::SMALL, look::INK, width)),
    );
    let height = galleys
        .iter()
        .map(|galley| galley.size().y + 2.0)
        .sum::<f32>()
        + 2.0 * AROUND;
    Rows {
        galleys,
        indent,
        good: caption.good,
        height,
    }
}

impl Rows {
    fn draw(self, painter: &egui::Painter, strip: Rect) {
        painter.rect_filled(strip, 0.0, look::PAPER.gamma_multiply(0.94));
        painter.line_segment(
            [strip.left_bottom(), strip.right_bottom()],
            Stroke::new(1.0, look::RULE),
        );
        let mut at = strip.min + egui::Vec2::splat(AROUND);
        for (row, galley) in self.galleys.into_iter().enumerate() {
            let size = galley.size();
            let mut left = at;
            if row == 1 {
                if let Some(good) = self.good {
                    let side = 0.9 * self.indent.min(size.y);
                    let mark = Rect::from_min_size(at, egui::Vec2::splat(side)).shrink(1.0);
                    draw_mark(painter, mark, good);
                }
                left.x += self.indent;
            }
            painter.galley(left, galley, look::INK);
            at.y += size.y + 2.0;
        }
    }
}
