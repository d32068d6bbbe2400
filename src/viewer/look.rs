//! How panels, labels and legends look: our own colors, and a size of text that the user sets.

use crate::viewer::hands::control;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, egui};
use egui::{Color32, FontFamily, FontId, Stroke, TextStyle};

/// Words and lines.
pub const INK: Color32 = Color32::from_rgb(0x22, 0x2b, 0x33);
/// Words that matter less.
pub const FADED: Color32 = Color32::from_rgb(0x5c, 0x68, 0x70);
/// Panels.
pub const PAPER: Color32 = Color32::from_rgb(0xf6, 0xf4, 0xee);
/// Fields and buttons.
pub const FIELD: Color32 = Color32::from_rgb(0xe6, 0xe4, 0xdb);
/// The same under the pointer, and pressed.
pub const FIELD_HOT: Color32 = Color32::from_rgb(0xd6, 0xd9, 0xd3);
/// See [`FIELD_HOT`].
pub const FIELD_DOWN: Color32 = Color32::from_rgb(0xb9, 0xcd, 0xcc);
/// Rules between parts.
pub const RULE: Color32 = Color32::from_rgb(0xc9, 0xc8, 0xbf);
/// What is chosen, and what can be clicked.
pub const ACCENT: Color32 = Color32::from_rgb(0x1f, 0x6f, 0x78);
/// The cover sheds.
pub const GOOD: Color32 = Color32::from_rgb(0x1c, 0x6b, 0x5a);
/// It falls short; also holding patches. Never the only sign.
pub const BAD: Color32 = Color32::from_rgb(0xa3, 0x26, 0x1e);

/// Sizes of text before scaling, points.
pub const SMALL: f32 = 13.0;
/// See [`SMALL`].
pub const BODY: f32 = 15.0;
/// See [`SMALL`].
pub const HEADING: f32 = 20.0;

/// Least and greatest scale of the text, and a step of it.
const SCALES: [f32; 2] = [0.7, 2.0];
/// See [`SCALES`].
const STEP: f32 = 0.1;

/// What the user set of the look.
#[derive(Resource, Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// Size of all text over its usual size.
    pub scale: f32,
}

impl Default for Look {
    fn default() -> Look {
        Look { scale: 1.0 }
    }
}

/// Size of a picture whose text has its usual size, pixels, and bounds of the scale in others: so small that it can
/// just be read, so large that a poster has it.
const PICTURE: [f32; 2] = [1280.0, 800.0];
/// See [`PICTURE`].
const PICTURE_SCALES: [f32; 2] = [0.65, 6.0];

impl Look {
    /// The look of a picture: its text grows with it.
    ///
    /// # Units
    /// Pixels.
    pub fn for_picture([width, height]: [u32; 2]) -> Look {
        let scale = (width as f32 / PICTURE[0]).min(height as f32 / PICTURE[1]);
        Look {
            scale: scale.clamp(PICTURE_SCALES[0], PICTURE_SCALES[1]),
        }
    }

    /// A font of a size before scaling.
    pub fn font(&self, size: f32) -> FontId {
        FontId::new(size * self.scale, FontFamily::Proportional)
    }

    fn step(&mut self, steps: f32) {
        let scale = ((self.scale + steps * STEP) / STEP).round() * STEP;
        self.scale = scale.clamp(SCALES[0], SCALES[1]);
    }
}

/// Dresses the panels, and scales text by Ctrl and +, - or 0.
pub struct LookPlugin;

impl Plugin for LookPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Look>().add_systems(Update, keys);
    }
}

fn keys(keys: Res<ButtonInput<KeyCode>>, mut look: ResMut<Look>) {
    if !control(&keys) {
        return;
    }
    if keys.any_just_pressed([KeyCode::Equal, KeyCode::NumpadAdd]) {
        look.step(1.0);
    }
    if keys.any_just_pressed([KeyCode::Minus, KeyCode::NumpadSubtract]) {
        look.step(-1.0);
    }
    if keys.any_just_pressed([KeyCode::Digit0, KeyCode::Numpad0]) {
        *look = Look::default();
    }
}

/// Puts the look on the panels before they are drawn.
pub fn dress(
    mut contexts: EguiContexts,
    look: Res<Look>,
    mut dressed: Local<Option<Look>>,
) -> Result {
    if *dressed == Some(*look) {
        return Ok(());
    }
    *dressed = Some(*look);
    let context = contexts.ctx_mut()?;
    context.set_theme(egui::Theme::Light);
    context.all_styles_mut(|style| wear(style, &look));
    Ok(())
}

fn wear(style: &mut egui::Style, look: &Look) {
    style.text_styles = [
        (TextStyle::Small, SMALL),
        (TextStyle::Body, BODY),
        (TextStyle::Button, BODY),
        (TextStyle::Heading, HEADING),
    ]
    .map(|(text, size)| (text, look.font(size)))
    .into_iter()
    .chain([(
        TextStyle::Monospace,
        FontId::new(BODY * look.scale, FontFamily::Monospace),
    )])
    .collect();
    style.spacing.item_spacing = egui::vec2(8.0, 5.0) * look.scale;
    style.spacing.button_padding = egui::vec2(8.0, 4.0) * look.scale;
    let visuals = &mut style.visuals;
    *visuals = egui::Visuals::light();
    visuals.override_text_color = None;
    visuals.panel_fill = PAPER;
    visuals.window_fill = PAPER;
    visuals.window_stroke = Stroke::new(1.0, RULE);
    visuals.extreme_bg_color = Color32::WHITE;
    visuals.faint_bg_color = FIELD;
    visuals.hyperlink_color = ACCENT;
    visuals.warn_fg_color = BAD;
    visuals.error_fg_color = BAD;
    visuals.selection.bg_fill = FIELD_DOWN;
    visuals.selection.stroke = Stroke::new(1.0, INK);
    let widgets = &mut visuals.widgets;
    for (widget, fill) in [
        (&mut widgets.noninteractive, PAPER),
        (&mut widgets.inactive, FIELD),
        (&mut widgets.hovered, FIELD_HOT),
        (&mut widgets.active, FIELD_DOWN),
        (&mut widgets.open, FIELD_HOT),
    ] {
        widget.bg_fill = fill;
        widget.weak_bg_fill = fill;
        widget.bg_stroke = Stroke::new(1.0, RULE);
        widget.fg_stroke = Stroke::new(1.0, INK);
        widget.corner_radius = 3.into();
    }
    // Whoever goes by keys must see where they are.
    widgets.hovered.bg_stroke = Stroke::new(1.5, ACCENT);
    widgets.active.bg_stroke = Stroke::new(1.5, ACCENT);
}

#[cfg(test)]
mod tests {
    use super::*;
    use bevy::input::{ButtonState, InputPlugin, keyboard::KeyboardInput};

    #[test]
    fn text_is_scaled_by_keys_within_bounds() {
        let mut app = App::new();
        app.add_plugins((MinimalPlugins, InputPlugin, LookPlugin));
        let mut press = |key: KeyCode, state: ButtonState| {
            app.world_mut().write_message(KeyboardInput {
                key_code: key,
                logical_key: bevy::input::keyboard::Key::Unidentified(
                    bevy::input::keyboard::NativeKey::Unidentified,
                ),
                state,
                text: None,
                repeat: false,
                window: Entity::PLACEHOLDER,
            });
            app.update();
            app.world().resource::<Look>().scale
        };
        let (down, up) = (ButtonState::Pressed, ButtonState::Released);
        assert_eq!(press(KeyCode::Equal, down), 1.0, "without Ctrl nothing");
        press(KeyCode::Equal, up);
        press(KeyCode::ControlLeft, down);
        assert!((press(KeyCode::Equal, down) - 1.1).abs() < 1e-6);
        press(KeyCode::Equal, up);
        for _ in 0..20 {
            press(KeyCode::Minus, down);
            press(KeyCode::Minus, up);
        }
        assert!((press(KeyCode::KeyA, down) - SCALES[0]).abs() < 1e-6);
        assert_eq!(press(KeyCode::Digit0, down), 1.0);
    }

    /// Contrast of two colors (WCAG 2.1, relative luminance).
    fn contrast(a: Color32, b: Color32) -> f32 {
        let luminance = |c: Color32| {
            let [r, g, b, _] = egui::Rgba::from(c).to_array();
            0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05
        };
        let (a, b) = (luminance(a), luminance(b));
        (a / b).max(b / a)
    }

    #[test]
    fn words_can_be_read_on_all_grounds() {
        for ground in [PAPER, FIELD, FIELD_HOT, FIELD_DOWN] {
            assert!(contrast(INK, ground) > 7.0, "{ground:?}");
        }
        for words in [FADED, ACCENT, GOOD, BAD] {
            assert!(contrast(words, PAPER) > 4.5, "{words:?}");
        }
    }
}
