//! The cover under load: cases of snow, wind and road, weighed in the background and drawn in place of the taut film.
//!
//! | file | holds | answers |
//! | --- | --- | --- |
//! | [`burden`] | [`burden::Burden`]: site, chosen case, what was weighed | [`burden::Ask`]; U |
//! | [`work`] | what is weighed in the background | |
//! | [`hang`] | [`super::shown::Hanging`]: the cover as it hangs under the chosen case | |
//!
//! [`stress`] colors film by what it bears; `form`, `page` and `words` only show and read. A picture has [`HangPlugin`] alone, and weighs before it draws.
//!
//! Nothing is weighed while a hand holds a piece: a coarse plan has no loads, so that the taut film follows the hand.

pub mod burden;
mod checks;
mod form;
pub mod hang;
mod page;
pub mod stress;
#[cfg(test)]
mod tests;
pub mod words;
pub mod work;

use super::scene::Draws;
use super::shown::Hanging;
use super::teach::Teaches;
use bevy::prelude::*;
use bevy::window::RequestRedraw;
use burden::{Ask, Burden};

/// Hangs the cover under the chosen case: all that a picture needs.
pub struct HangPlugin;

impl Plugin for HangPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Burden>()
            .add_systems(Update, hang::hang.after(Teaches).before(Draws));
    }
}

/// Chooses and weighs, without a screen.
struct Scales;

impl Plugin for Scales {
    fn build(&self, app: &mut App) {
        app.add_message::<Ask>()
            .init_resource::<work::Work>()
            .add_systems(
                Update,
                (burden::keys, burden::answer, work::turn)
                    .chain()
                    .before(hang::hang),
            );
    }
}

/// The cover under load in a window.
pub struct LoadPlugin;

impl Plugin for LoadPlugin {
    fn build(&self, app: &mut App) {
        app.add_plugins((Scales, page::LoadsPlugin))
            .add_systems(Last, stay_awake);
    }
}

/// Asks for the next frame after every change.
fn stay_awake(
    burden: Res<Burden>,
    hanging: Option<Res<Hanging>>,
    mut hung: Local<bool>,
    mut asks: MessageReader<Ask>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    let hangs = hanging.as_ref().is_some_and(|hanging| hanging.is_changed());
    let let_go = *hung && hanging.is_none();
    *hung = hanging.is_some();
    if burden.is_changed() || hangs || let_go || asks.read().count() > 0 {
        redraw.write(RequestRedraw);
    }
}
