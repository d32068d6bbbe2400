//! Posts chosen and moved by keys: N the next post, Shift N the one before; Ctrl and arrows move its cap by the
//! marks of a tape; Delete leaves it out, Insert sets one midway to the next, P pins it.

use super::by_hand::{add_post, move_post, pin_post, remove_post, remove_strap};
use super::{Bench, Piece};
use crate::plan::Plan;
use crate::units::{METERS_PER_INCH, UnitSystem};
use crate::viewer::hands::Hands;
use crate::viewer::hands::{control, shift};
use crate::viewer::history::{Act, Acts, History};
use crate::viewer::model::Model;
use bevy::input::keyboard::KeyboardInput;
use bevy::prelude::*;

/// Reads the keys.
pub struct KeysPlugin;

impl Plugin for KeysPlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(Update, keys.before(Acts));
    }
}

/// How far one press of a key moves a post: an inch, or a centimeter.
fn step(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::FeetInches => METERS_PER_INCH,
        UnitSystem::Metric => 0.01,
    }
}

fn keys(
    mut presses: MessageReader<KeyboardInput>,
    keys: Res<ButtonInput<KeyCode>>,
    hands: Res<Hands>,
    model: Res<Model>,
    history: Res<History>,
    mut bench: ResMut<Bench>,
    mut acts: MessageWriter<Act>,
) {
    let (Some(plan), Some(boat)) = (&model.plan, history.boat()) else {
        presses.clear();
        return;
    };
    // A plan of an earlier boat says nothing about where this one's posts are.
    if !hands.keys_free || hands.at_work || plan.boat != **boat {
        presses.clear();
        return;
    }
    let control = control(&keys);
    let shift = shift(&keys);
    let by = step(model.units);
    // Held keys repeat, so that a post can be walked along.
    let pressed: Vec<KeyCode> = presses
        .read()
        .filter(|press| press.state.is_pressed())
        .map(|press| press.key_code)
        .collect();
    for key in pressed {
        match (key, bench.chosen) {
            (KeyCode::KeyN, chosen) if !control => {
                bench.chosen = next(plan, chosen, shift).map(Piece::Post);
            }
            (_, Some(Piece::Post(index))) => {
                let Some(post) = plan.frame.posts.get(index) else {
                    continue;
                };
                let [along, up] = match key {
                    KeyCode::ArrowUp => [0.0, by],
                    KeyCode::ArrowDown => [0.0, -by],
                    KeyCode::ArrowRight => [by, 0.0],
                    KeyCode::ArrowLeft => [-by, 0.0],
                    _ => [0.0; 2],
                };
                let others = bench.others;
                match key {
                    KeyCode::ArrowUp
                    | KeyCode::ArrowDown
                    | KeyCode::ArrowLeft
                    | KeyCode::ArrowRight
                        if control =>
                    {
                        let (station, cap) = (post.station + along, post.cap + up);
                        let changed = move_post(plan, boat, index, station, cap, others)
                            .ok_or("there is no such post");
                        bench.make(changed, format!("move {}", post.id), &mut acts);
                    }
                    KeyCode::Delete => {
                        let changed = remove_post(plan, boat, index, others);
                        bench.make(changed, format!("leave {} out", post.id), &mut acts);
                    }
                    KeyCode::Insert => {
                        let fore = plan.frame.posts.iter().map(|other| other.station);
                        let fore = fore.filter(|station| *station > post.station + 0.2);
                        let fore = fore.fold(plan.boat.length, f64::min);
                        let changed = add_post(plan, boat, 0.5 * (post.station + fore), others);
                        bench.make(changed, "add a post".to_owned(), &mut acts);
                    }
                    KeyCode::KeyP if !control && !boat.wishes.only_pinned => {
                        let changed = pin_post(plan, boat, index, !post.pinned)
                            .ok_or("there is no such post");
                        let word = if post.pinned { "unpin" } else { "pin" };
                        bench.make(changed, format!("{word} {}", post.id), &mut acts);
                    }
                    _ => {}
                }
            }
            (KeyCode::Delete, Some(Piece::Strap(index))) => {
                let name = plan.frame.straps.get(index).map(|strap| strap.id.clone());
                let changed = remove_strap(plan, boat, index);
                bench.make(
                    changed,
                    format!("leave {} out", name.unwrap_or_default()),
                    &mut acts,
                );
            }
            _ => {}
        }
    }
}

fn next(plan: &Plan, chosen: Option<Piece>, back: bool) -> Option<usize> {
    let count = plan.frame.posts.len();
    if count == 0 {
        return None;
    }
    Some(match chosen {
        Some(Piece::Post(index)) if back => (index + count - 1) % count,
        Some(Piece::Post(index)) => (index + 1) % count,
        _ if back => count - 1,
        _ => 0,
    })
}
