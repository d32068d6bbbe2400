//! The caption of a picture: whose boat it is, and the verdict. A window has panels for that.

use super::canvas::{Canvas, Layout, painter};
use super::headline::{LoadsKnown, headline, ink, is_good};
use super::load::burden::Burden;
use super::load::words as load;
use super::look::{self, Look};
use super::scene::Stage;
use super::shown::Shown;
use super::verdict::draw_mark;
use super::words;
use crate::loads::CAUTION;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};
use egui::{Rect, Stroke};
use std::sync::Arc;

/// White round the words, points.
const AROUND: f32 = 10.0;

/// Follows the verdict where the film is drawn under a load.
const SHEDS_TAUT: &str = "; shedding is that of the taut film";

/// The most of the picture's width that words take.
const MOST: f32 = 0.62;

/// Draws the caption.
pub struct CaptionPlugin;

impl Plugin for CaptionPlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(
            EguiPrimaryContextPass,
            draw.in_set(Layout::Overlay).before(super::legend::draw),
        );
    }
}

/// The load case that is drawn: what the film does, whether the cover stands, and the caution.
fn under_load(shown: &Shown) -> Vec<(String, f32, egui::Color32)> {
    let (Some(hanging), units) = (shown.hanging(), shown.units()) else {
        return Vec::new();
    };
    let case = load::case(hanging.case, &hanging.loads.site, units);
    let mut lines = vec![(format!("Drawn under {case}"), look::BODY, look::ACCENT)];
    if let Some(loaded) = hanging.loaded() {
        let words = load::film(loaded, hanging.plan.rules.min_slope, units).join("; ");
        lines.push((words, look::SMALL, look::INK));
    }
    if let Some(words) = load::standing(&hanging.loads) {
        let stands = hanging.loads.stands();
        let ink = if stands { look::GOOD } else { look::BAD };
        let words = format!("Loads of all cases, a planning check: {words}");
        lines.push((words, look::SMALL, ink));
    }
    lines.push((CAUTION.to_owned(), look::SMALL, look::BAD));
    lines
}

fn draw(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    shown: Shown,
    burden: Option<Res<Burden>>,
    stages: Query<&Stage>,
    look: Res<Look>,
) -> Result {
    // Two that are compared have captions of their own.
    let Some(plan) = shown.plan().filter(|_| stages.iter().count() < 2) else {
        return Ok(());
    };
    let context = contexts.ctx_mut()?;
    let painter = painter(context, &canvas);
    let units = shown.units();
    let loads = LoadsKnown::of_shown(burden.as_deref(), &shown);
    let good = is_good(plan, loads);
    let holding = plan.cover.holding_over(plan.rules.holding_patch);
    let facts = format!(
        "{}; {}",
        words::count(plan.frame.posts.len(), "post"),
        if holding > 0.0 {
            format!(
                "holding area {}, film flatter than {}",
                units.format_area(holding),
                units.format_angle(plan.rules.min_slope)
            )
        } else {
            format!(
                "no film flatter than {} over more than {}",
                units.format_angle(plan.rules.min_slope),
                units.format_area(plan.rules.holding_patch)
            )
        }
    );
    let mut headline = headline(plan, loads);
    if shown.hanging().is_some() {
        headline.push_str(SHEDS_TAUT);
    }
    let mut lines = vec![
        (plan.boat.name.clone(), look::HEADING, look::INK),
        (headline, look::BODY, ink(good)),
        (facts, look::SMALL, look::INK),
    ];
    let plain = lines.len();
    lines.extend(under_load(&shown));
    let most = MOST * canvas.rest.width();
    let lines: Vec<_> = lines
        .into_iter()
        .enumerate()
        .map(|(row, (words, size, ink))| {
            let width = if row < plain { f32::INFINITY } else { most };
            painter.layout(words, look.font(size), ink, width)
        })
        .collect();
    let indent = 1.5 * look::BODY * look.scale;
    let width = lines
        .iter()
        .enumerate()
        .map(|(row, line)| line.size().x + if row == 1 { indent } else { 0.0 })
        .fold(0.0, f32::max);
    let heights =
        |lines: &[Arc<egui::Galley>]| -> f32 { lines.iter().map(|line| line.size().y + 2.0).sum() };
    let height = heights(&lines);
    // The boat is fitted under what a load adds.
    canvas.head = canvas
        .head
        .max(heights(lines.get(plain..).unwrap_or_default()));
    let place = Rect::from_min_size(
        canvas.rest.min + egui::vec2(12.0, 12.0),
        egui::vec2(width, height) + egui::Vec2::splat(2.0 * AROUND),
    );
    painter.rect(
        place,
        4.0,
        look::PAPER.gamma_multiply(0.94),
        Stroke::new(1.0, look::RULE),
        egui::StrokeKind::Inside,
    );
    let mut at = place.min + egui::Vec2::splat(AROUND);
    for (row, line) in lines.into_iter().enumerate() {
        let size = line.size();
        let mut left = at;
        if row == 1 {
            if let Some(good) = good {
                let mark = Rect::from_min_size(at, egui::Vec2::splat(size.y)).shrink(1.5);
                draw_mark(&painter, mark, good);
            }
            left.x += indent;
        }
        painter.galley(left, line, look::INK);
        at.y += size.y + 2.0;
    }
    canvas.take(place);
    Ok(())
}
