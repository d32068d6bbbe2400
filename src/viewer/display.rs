//! What is shown of a cover, and the keys that change it.

use super::hands::Hands;
use crate::view::Show;
use crate::viewer::hands::control;
use bevy::prelude::*;

/// How the film is drawn.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum FilmMode {
    /// As a solid sheet.
    #[default]
    Opaque,
    /// See-through.
    Clear,
    /// Not at all.
    Off,
}

impl FilmMode {
    /// All of them, in the order in which the key goes through them.
    pub const ALL: [FilmMode; 3] = [FilmMode::Opaque, FilmMode::Clear, FilmMode::Off];

    /// Its word on the screen.
    pub fn word(self) -> &'static str {
        match self {
            FilmMode::Opaque => "solid",
            FilmMode::Clear => "clear",
            FilmMode::Off => "off",
        }
    }

    fn next(self) -> FilmMode {
        match self {
            FilmMode::Opaque => FilmMode::Clear,
            FilmMode::Clear => FilmMode::Off,
            FilmMode::Off => FilmMode::Opaque,
        }
    }
}

/// What is shown of a cover.
#[derive(Resource, Debug, Clone, Copy, PartialEq, Eq)]
pub struct Display {
    /// How the film is drawn.
    pub film: FilmMode,
    /// The film is colored by its slope.
    pub slope: bool,
    /// Labels of posts, straps and pleats are shown.
    pub labels: bool,
}

impl Display {
    /// What a picture is about, as a display.
    pub fn of(show: Show) -> Display {
        Display {
            film: match show {
                Show::Slope | Show::Film => FilmMode::Opaque,
                Show::Frame => FilmMode::Off,
            },
            slope: show == Show::Slope,
            labels: true,
        }
    }

    /// What it is about.
    pub fn show(&self) -> Show {
        match (self.film, self.slope) {
            (FilmMode::Off, _) => Show::Frame,
            (_, true) => Show::Slope,
            (_, false) => Show::Film,
        }
    }

    /// The film is drawn.
    pub fn has_film(&self) -> bool {
        self.film != FilmMode::Off
    }
}

impl Default for Display {
    fn default() -> Display {
        Display::of(Show::default())
    }
}

/// When the keys are read.
#[derive(SystemSet, Debug, Clone, PartialEq, Eq, Hash)]
pub struct DisplayKeys;

/// Changes what is shown by keys: T film, C color, L labels.
pub struct DisplayPlugin;

impl Plugin for DisplayPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Display>()
            .add_systems(Update, keys.in_set(DisplayKeys));
    }
}

fn keys(keys: Res<ButtonInput<KeyCode>>, hands: Res<Hands>, mut display: ResMut<Display>) {
    if !hands.keys_free || control(&keys) {
        return;
    }
    if keys.just_pressed(KeyCode::KeyT) {
        display.film = display.film.next();
    }
    if keys.just_pressed(KeyCode::KeyC) {
        display.slope = !display.slope;
    }
    if keys.just_pressed(KeyCode::KeyL) {
        display.labels = !display.labels;
    }
}
