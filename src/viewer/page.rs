//! The page at the left: one of several, each drawn by the plugin that it belongs to, or none.

use super::canvas::Canvas;
use super::hands::Hands;
use super::look::Look;
use bevy::prelude::*;
use bevy_egui::egui;

/// What the page at the left is about.
#[derive(Resource, Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Page {
    /// No page: the scene has its place.
    #[default]
    None,
    /// Dimensions, boxes, rules.
    Boat,
    /// Posts and straps.
    Frame,
    /// Section and tape.
    Measure,
    /// Lessons, rivals, the storm.
    Lessons,
    /// Opening, saving, pictures, sheets.
    Files,
    /// Snow, wind and road.
    Loads,
}

impl Page {
    /// All that can be shown, in the order of their keys.
    pub const ALL: [Page; 6] = [
        Page::Boat,
        Page::Frame,
        Page::Measure,
        Page::Lessons,
        Page::Files,
        Page::Loads,
    ];

    /// Its word on the screen.
    pub fn word(self) -> &'static str {
        match self {
            Page::None => "none",
            Page::Boat => "boat",
            Page::Frame => "frame",
            Page::Measure => "measure",
            Page::Lessons => "lessons",
            Page::Files => "files",
            Page::Loads => "loads",
        }
    }
}

/// Keys of the pages, in the order of [`Page::ALL`].
pub const PAGE_KEYS: [KeyCode; 6] = [
    KeyCode::F1,
    KeyCode::F2,
    KeyCode::F3,
    KeyCode::F4,
    KeyCode::F5,
    KeyCode::F6,
];

/// Turns pages by their keys; a page's own key closes it again.
pub struct PagePlugin;

impl Plugin for PagePlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Page>().add_systems(Update, keys);
    }
}

fn keys(keys: Res<ButtonInput<KeyCode>>, hands: Res<Hands>, mut page: ResMut<Page>) {
    for (key, wanted) in PAGE_KEYS.into_iter().zip(Page::ALL) {
        if keys.just_pressed(key) {
            *page = if *page == wanted { Page::None } else { wanted };
        }
    }
    if keys.just_pressed(KeyCode::Escape) && hands.keys_free && !hands.at_work {
        page.set_if_neq(Page::None);
    }
}

/// Width of a page, points before scaling, and the most of the window that it takes.
const WIDTH: f32 = 310.0;
/// See [`WIDTH`].
const MOST: f32 = 0.34;

/// Draws a page at the left of what is left of the window; call it in [`super::canvas::Layout::Panels`], and only
/// while the page is the chosen one.
pub fn show(
    context: &egui::Context,
    canvas: &mut Canvas,
    look: &Look,
    page: Page,
    contents: impl FnOnce(&mut egui::Ui),
) {
    let mut surface = canvas.surface(context, page.word());
    let width = (WIDTH * look.scale).min(MOST * context.viewport_rect().width());
    egui::Panel::left(egui::Id::new(("page", page.word())))
        .resizable(false)
        .exact_size(width)
        .show(&mut surface, |ui| {
            egui::ScrollArea::vertical()
                .auto_shrink([false, false])
                .show(ui, |ui| {
                    ui.add_space(6.0);
                    contents(ui);
                    ui.add_space(12.0);
                });
        });
    canvas.leave(&surface);
}
