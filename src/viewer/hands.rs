//! Whose the hands are: a panel's, while the pointer is over it or a field of it takes keys, else the scene's.

use super::canvas::{Canvas, Layout};
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};

/// Whether the scene may take pointer and keys.
#[derive(Resource, Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hands {
    /// The pointer is over the scene, or was when its button went down.
    pub pointer_free: bool,
    /// No field takes the keys.
    pub keys_free: bool,
    /// A tool of the scene has the pointer (it drags a post, say): the camera leaves it alone.
    pub at_work: bool,
}

impl Default for Hands {
    fn default() -> Hands {
        Hands {
            pointer_free: true,
            keys_free: true,
            at_work: false,
        }
    }
}

/// Whether Ctrl is held, or was within this frame: a short press may begin and end in one, where frames are slow.
pub fn control(keys: &ButtonInput<KeyCode>) -> bool {
    any(keys, [KeyCode::ControlLeft, KeyCode::ControlRight])
}

/// The same of Shift.
pub fn shift(keys: &ButtonInput<KeyCode>) -> bool {
    any(keys, [KeyCode::ShiftLeft, KeyCode::ShiftRight])
}

fn any(keys: &ButtonInput<KeyCode>, either: [KeyCode; 2]) -> bool {
    keys.any_pressed(either) || keys.any_just_released(either)
}

/// Tools that take the pointer do so in here, before the camera would.
#[derive(SystemSet, Debug, Clone, PartialEq, Eq, Hash)]
pub struct Tools;

/// Asks the panels every frame; without panels all is free.
pub struct HandsPlugin;

impl Plugin for HandsPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Hands>()
            .configure_sets(Update, Tools.before(super::camera::CameraMoves))
            .add_systems(EguiPrimaryContextPass, ask_panels.after(Layout::Cameras));
    }
}

fn ask_panels(
    mut contexts: EguiContexts,
    canvas: Res<Canvas>,
    buttons: Res<ButtonInput<MouseButton>>,
    mut hands: ResMut<Hands>,
) -> Result {
    let context = contexts.ctx_mut()?;
    let mut now = *hands;
    now.keys_free = !context.egui_wants_keyboard_input();
    // A drag that began in the scene stays the scene's, and one that began in a panel the panel's.
    if buttons.get_pressed().next().is_none() {
        let pointer = context.input(|input| input.pointer.latest_pos());
        now.pointer_free = !context.egui_is_using_pointer()
            && pointer.is_some_and(|at| {
                let above = context.layer_id_at(at);
                canvas.rest.contains(at)
                    && above.is_none_or(|layer| layer.order == egui::Order::Background)
            });
    }
    hands.set_if_neq(now);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chord_within_one_frame_is_a_chord() {
        let mut keys = ButtonInput::<KeyCode>::default();
        for key in [KeyCode::ControlLeft, KeyCode::KeyS] {
            keys.press(key);
        }
        for key in [KeyCode::KeyS, KeyCode::ControlLeft] {
            keys.release(key);
        }
        assert!(keys.just_pressed(KeyCode::KeyS));
        assert!(control(&keys) && !shift(&keys));
        keys.clear();
        assert!(!control(&keys), "in the next frame it is over");
    }
}
