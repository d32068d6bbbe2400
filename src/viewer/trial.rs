//! What tests without a window share: keys, the pointer, and waiting for a plan.

use super::model::{Model, Status};
use bevy::input::ButtonState;
use bevy::input::keyboard::{Key, KeyboardInput, NativeKey};
use bevy::input::mouse::MouseButtonInput;
use bevy::prelude::*;
use bevy::window::PrimaryWindow;
use std::time::{Duration, Instant};

/// A key goes down or up, and the app is updated.
pub fn key(app: &mut App, key: KeyCode, state: ButtonState) {
    app.world_mut().write_message(KeyboardInput {
        key_code: key,
        logical_key: Key::Unidentified(NativeKey::Unidentified),
        state,
        text: None,
        repeat: false,
        window: Entity::PLACEHOLDER,
    });
    app.update();
}

/// A key is pressed and let go, with others held.
pub fn chord(app: &mut App, held: &[KeyCode], last: KeyCode) {
    for each in held {
        key(app, *each, ButtonState::Pressed);
    }
    key(app, last, ButtonState::Pressed);
    key(app, last, ButtonState::Released);
    for each in held {
        key(app, *each, ButtonState::Released);
    }
}

/// A button of the mouse goes down or up, and the app is updated.
pub fn button(app: &mut App, button: MouseButton, state: ButtonState) {
    app.world_mut().write_message(MouseButtonInput {
        button,
        state,
        window: Entity::PLACEHOLDER,
    });
    app.update();
}

/// The pointer is at a place of the window, which is made if there is none; the app is updated.
pub fn point(app: &mut App, at: Vec2) {
    let world = app.world_mut();
    let mut windows = world.query_filtered::<&mut Window, With<PrimaryWindow>>();
    if windows.single_mut(world).is_err() {
        world.spawn((Window::default(), PrimaryWindow));
    }
    if let Ok(mut window) = windows.single_mut(world) {
        window.set_cursor_position(Some(at));
    }
    app.update();
}

/// Updates until the newest boat is planned or found impossible; every update must be short.
pub fn settle(app: &mut App) {
    let end = Instant::now() + Duration::from_secs(120);
    loop {
        app.update();
        let model = app.world().resource::<Model>();
        if model.status != Status::Planning && model.generation > 0 {
            return;
        }
        assert!(Instant::now() < end, "no plan came");
        std::thread::sleep(Duration::from_millis(2));
    }
}
