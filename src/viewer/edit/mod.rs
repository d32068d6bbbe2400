//! Changing the boat and its frame: by the pointer, by keys, on the pages "boat" and "frame".
//!
//! [`by_hand`] says what a change makes of the boat; [`grab`] takes a post by the pointer, [`keys`] by the keyboard,
//! the pages by fields and buttons. All of them end in a [`super::history::Act`].

pub mod boat_page;
pub mod by_hand;
pub mod fields;
pub mod frame_page;
pub mod grab;
pub mod keys;
mod specs;

use super::history::Act;
use super::model::Model;
use bevy::prelude::*;
use by_hand::Others;

/// A piece of the frame, by its place in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Piece {
    /// A post.
    Post(usize),
    /// A strap.
    Strap(usize),
}

/// What is chosen, and what becomes of the rest when it is changed.
#[derive(Resource, Debug, Clone, Default, PartialEq)]
pub struct Bench {
    /// The chosen piece.
    pub chosen: Option<Piece>,
    /// The piece under the pointer.
    pub under: Option<Piece>,
    /// What becomes of the other pieces.
    pub others: Others,
    /// Why the last change was not made, in words.
    pub refused: Option<String>,
}

impl Bench {
    /// Makes a change, or notes why not.
    pub fn make(
        &mut self,
        changed: Result<crate::boat::Boat, &str>,
        what: String,
        acts: &mut MessageWriter<Act>,
    ) {
        match changed {
            Ok(boat) => {
                self.refused = None;
                acts.write(Act::change(boat, what));
            }
            Err(why) => self.refused = Some(why.to_owned()),
        }
    }
}

/// Changes the boat.
pub struct EditPlugin;

impl Plugin for EditPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Bench>()
            .add_systems(Update, forget_what_is_gone)
            .add_plugins((
                grab::GrabPlugin,
                keys::KeysPlugin,
                boat_page::BoatPagePlugin,
                frame_page::FramePagePlugin,
            ));
    }
}

/// A piece that the newest plan does not have is not chosen.
fn forget_what_is_gone(model: Res<Model>, mut bench: ResMut<Bench>) {
    let Some(plan) = &model.plan else { return };
    let there = |piece: Piece| match piece {
        Piece::Post(index) => index < plan.frame.posts.len(),
        Piece::Strap(index) => index < plan.frame.straps.len(),
    };
    if bench.chosen.is_some_and(|piece| !there(piece)) {
        bench.chosen = None;
    }
    if bench.under.is_some_and(|piece| !there(piece)) {
        bench.under = None;
    }
}
