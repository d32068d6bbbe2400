//! What stands over and under a picture of two covers: what it is of, and what its storm leaves out.

use crate::lesson::Played;
use crate::lesson::storm::LEAVES_OUT;
use crate::units::UnitSystem;
use crate::viewer::canvas::{Canvas, Layout};
use crate::viewer::legend;
use crate::viewer::look::{self, Look};
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};

/// What the picture is of.
#[derive(Resource, Debug, Clone, PartialEq, Eq)]
pub struct Headline {
    /// Of what.
    pub title: String,
    /// A line about it.
    pub about: String,
}

impl Headline {
    /// Of a lesson whose storm is over.
    pub fn of(played: &Played, units: UnitSystem) -> Headline {
        let lesson = played.lesson();
        Headline {
            title: format!("{}, on {}", lesson.title, played.plan.boat.name),
            about: played.story(units),
        }
    }
}

/// Draws the words.
pub struct PaperPlugin;

impl Plugin for PaperPlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(
            EguiPrimaryContextPass,
            draw.in_set(Layout::Strips).before(legend::set_aside),
        );
    }
}

/// White round the words, points.
const AROUND: f32 = 10.0;

fn draw(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    headline: Res<Headline>,
    look: Res<Look>,
) -> Result {
    let painter = contexts
        .ctx_mut()?
        .layer_painter(egui::LayerId::background());
    let width = canvas.rest.width() - 2.0 * AROUND;
    let lay =
        |words: &str, size: f32, ink| painter.layout(words.to_owned(), look.font(size), ink, width);
    let over = [
        lay(&headline.title, look::HEADING, look::INK),
        lay(&headline.about, look::SMALL, look::INK),
    ];
    let under = [lay(LEAVES_OUT, 0.85 * look::SMALL, look::FADED)];
    let rest = canvas.rest;
    let tall = |rows: &[std::sync::Arc<egui::Galley>]| {
        rows.iter().map(|row| row.size().y).sum::<f32>() + AROUND
    };
    let (head, foot) = (tall(&over), tall(&under));
    let [top, bottom] = [rest.top() + head, rest.bottom() - foot];
    for (rows, from, to) in [
        (over.as_slice(), rest.top(), top),
        (under.as_slice(), bottom, rest.bottom()),
    ] {
        let strip = egui::Rect::from_x_y_ranges(rest.x_range(), from..=to);
        painter.rect_filled(strip, 0.0, look::PAPER);
        let mut at = strip.min + egui::vec2(AROUND, 0.5 * AROUND);
        for row in rows {
            painter.galley(at, row.clone(), look::INK);
            at.y += row.size().y;
        }
    }
    canvas.rest.min.y = top;
    canvas.rest.max.y = bottom;
    Ok(())
}
