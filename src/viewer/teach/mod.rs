//! Teaching: a rival beside the plan, a storm over both, lessons.
//!
//! | file | holds | answers |
//! | --- | --- | --- |
//! | [`class`] | [`class::Class`]: the lesson or the rival that is on | [`class::Ask`] |
//! | [`work`] | what is planned in the background | |
//! | [`comparison`] | [`comparison::Comparison`]: two plans side by side | |
//! | [`snowfall`] | [`snowfall::Snowfall`]: a storm over both | [`snowfall::Weather`]; Space, comma, period |
//!
//! `page`, `controls`, `caption` and `paper` only show. A picture has [`ComparePlugin`] alone.

pub mod caption;
pub mod class;
pub mod comparison;
mod controls;
mod page;
pub mod paper;
pub mod snowfall;
pub mod work;

use super::scene::Draws;
use bevy::prelude::*;
use bevy::window::RequestRedraw;
use class::{Ask, Class};
use comparison::Comparison;
use snowfall::{Snowfall, Weather};
use work::Work;

/// When lessons and rivals come and go, and the storm goes on.
#[derive(SystemSet, Debug, Clone, PartialEq, Eq, Hash)]
pub struct Teaches;

/// Two plans side by side with a storm over both: all that a picture needs.
pub struct ComparePlugin;

impl Plugin for ComparePlugin {
    fn build(&self, app: &mut App) {
        app.add_plugins((Side, caption::CaptionPlugin));
    }
}

/// Lessons and rivals in a window.
pub struct TeachPlugin;

impl Plugin for TeachPlugin {
    fn build(&self, app: &mut App) {
        app.add_plugins((ClassAndStorm, caption::CaptionPlugin, page::LessonsPlugin))
            .add_systems(Last, stay_awake);
    }
}

/// What needs no screen.
struct ClassAndStorm;

impl Plugin for ClassAndStorm {
    fn build(&self, app: &mut App) {
        app.add_plugins((Side, class::ClassPlugin));
    }
}

/// The rival and the storm.
struct Side;

impl Plugin for Side {
    fn build(&self, app: &mut App) {
        app.configure_sets(
            Update,
            Teaches
                .before(Draws)
                .before(super::camera::CameraMoves)
                .before(super::history::Acts),
        )
        .add_plugins((comparison::ComparisonPlugin, snowfall::SnowfallPlugin));
    }
}

/// Asks for the next frame while snow falls, and once after every change.
fn stay_awake(
    class: Res<Class>,
    work: Res<Work>,
    comparison: Option<Res<Comparison>>,
    snowfall: Option<Res<Snowfall>>,
    mut asks: MessageReader<Ask>,
    mut weather: MessageReader<Weather>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    let changed = class.is_changed()
        || work.is_changed()
        || comparison.is_some_and(|comparison| comparison.is_changed())
        || snowfall.is_some_and(|snowfall| snowfall.is_changed() || snowfall.runs());
    // What a page asks for is done in the next frame.
    let asked = asks.read().count() + weather.read().count() > 0;
    if changed || asked {
        redraw.write(RequestRedraw);
    }
}

#[cfg(test)]
mod tests;
