//! Lets the window sleep: what happens in no frame asks for no other.
//!
//! The bridge between bevy and the panels tells the panels in every frame which of Shift, Ctrl and Alt are held, and
//! the panels ask for another frame after whatever they are told. So it is told when it changes, and when the window
//! gets or loses the focus, at which the panels forget it.

use bevy::prelude::*;
use bevy_egui::{EguiInput, EguiPreUpdateSet, egui};
use egui::{Event, Modifiers};

/// Keeps the panels from asking for frames in which nothing happens.
pub struct SleepPlugin;

impl Plugin for SleepPlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(
            PreUpdate,
            hush.after(EguiPreUpdateSet::ProcessInput)
                .before(EguiPreUpdateSet::BeginPass),
        );
    }
}

fn hush(mut inputs: Query<&mut EguiInput>, mut told: Local<Option<Modifiers>>) {
    for mut input in &mut inputs {
        input.events.retain(|event| match event {
            Event::ModifiersChanged(held) => {
                let news = *told != Some(*held);
                *told = Some(*held);
                news
            }
            Event::WindowFocused(_) => {
                *told = None;
                true
            }
            _ => true,
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_held_is_told_when_it_changes() {
        let mut app = App::new();
        app.add_plugins(MinimalPlugins).add_systems(PreUpdate, hush);
        let panels = app.world_mut().spawn(EguiInput::default()).id();
        let mut check = |held: Modifiers, other: Event, others: usize, told: bool| {
            let mut input = app.world_mut().get_mut::<EguiInput>(panels).unwrap();
            input.events = vec![other.clone(); others];
            input.events.push(Event::ModifiersChanged(held));
            app.update();
            let input = app.world().get::<EguiInput>(panels).unwrap();
            let heard = input.events.contains(&Event::ModifiersChanged(held));
            assert_eq!(heard, told, "{held:?}");
            assert_eq!(input.events.len(), others + usize::from(told));
        };
        check(Modifiers::NONE, Event::Copy, 0, true);
        check(Modifiers::NONE, Event::Copy, 0, false);
        check(Modifiers::CTRL, Event::Copy, 1, true);
        check(Modifiers::CTRL, Event::Copy, 2, false);
        check(Modifiers::CTRL | Modifiers::SHIFT, Event::Copy, 0, true);
        check(Modifiers::NONE, Event::Copy, 0, true);
        check(Modifiers::NONE, Event::Copy, 1, false);
        check(Modifiers::NONE, Event::WindowFocused(false), 1, true);
    }
}
