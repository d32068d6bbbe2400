//! The materials of the scene. Colors are our own: a yard in flat winter light.

use bevy::color::Color;
use bevy::prelude::*;

/// What a thing of the scene is painted with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paint {
    /// Hull.
    Hull,
    /// Deck.
    Deck,
    /// Sole and other footings.
    Footing,
    /// Cabins, hardtops and other boxes.
    House,
    /// Windshields.
    Glass,
    /// Seats.
    Seat,
    /// Motors.
    Motor,
    /// Rails, arches and towers.
    Metal,
    /// Support posts.
    Post,
    /// Top and base caps.
    Cap,
    /// Straps.
    Strap,
    /// Straps on film that is colored by its slope, whose steep end is dark.
    StrapPale,
    /// Perimeter band and drop straps.
    Band,
    /// Belly bands.
    Belly,
    /// Film colored at its vertices.
    Slope,
    /// The same, see-through.
    SlopeClear,
    /// Film as it looks.
    Film,
    /// The same, see-through.
    FilmClear,
    /// Water.
    Pond,
    /// Pads between film and boat.
    Pad,
    /// Vents.
    Vent,
    /// The ground.
    Ground,
    /// Trailer, cradle, stands.
    Steel,
    /// Blocks and bunks.
    Timber,
    /// Tyres.
    Tyre,
    /// The person.
    Person,
    /// Snow.
    Snow,
}

impl Paint {
    const ALL: [Paint; 27] = [
        Paint::Hull,
        Paint::Deck,
        Paint::Footing,
        Paint::House,
        Paint::Glass,
        Paint::Seat,
        Paint::Motor,
        Paint::Metal,
        Paint::Post,
        Paint::Cap,
        Paint::Strap,
        Paint::StrapPale,
        Paint::Band,
        Paint::Belly,
        Paint::Slope,
        Paint::SlopeClear,
        Paint::Film,
        Paint::FilmClear,
        Paint::Pond,
        Paint::Pad,
        Paint::Vent,
        Paint::Ground,
        Paint::Steel,
        Paint::Timber,
        Paint::Tyre,
        Paint::Person,
        Paint::Snow,
    ];

    /// Red, green, blue in sRGB and the part of light that it stops.
    fn color(self) -> ([u8; 3], f32) {
        match self {
            Paint::Hull => ([0xb4, 0xc3, 0xc9], 1.0),
            Paint::Deck => ([0xdc, 0xdd, 0xd6], 1.0),
            Paint::Footing => ([0xc4, 0xb3, 0x94], 1.0),
            Paint::House => ([0xe3, 0xe2, 0xdc], 1.0),
            Paint::Glass => ([0x6f, 0x98, 0xa6], 0.55),
            Paint::Seat => ([0x9c, 0x7b, 0x6a], 1.0),
            Paint::Motor => ([0x4a, 0x50, 0x55], 1.0),
            Paint::Metal => ([0x9a, 0xa1, 0xa6], 1.0),
            Paint::Post => ([0xc7, 0x8d, 0x4f], 1.0),
            Paint::Cap => ([0xb4, 0x3e, 0x2c], 1.0),
            Paint::Strap => ([0x2b, 0x2b, 0x33], 1.0),
            Paint::StrapPale => ([0xef, 0xe9, 0xdc], 1.0),
            Paint::Band => ([0x8a, 0x3b, 0x60], 1.0),
            Paint::Belly => ([0x35, 0x5f, 0x75], 1.0),
            Paint::Slope => ([0xff, 0xff, 0xff], 1.0),
            Paint::SlopeClear => ([0xff, 0xff, 0xff], 0.5),
            Paint::Film => ([0xf3, 0xf5, 0xf6], 1.0),
            Paint::FilmClear => ([0xf3, 0xf5, 0xf6], 0.38),
            Paint::Pond => ([0x2e, 0x8f, 0xd0], 0.85),
            Paint::Pad => ([0xd9, 0x77, 0x2b], 1.0),
            Paint::Vent => ([0xf4, 0xf0, 0xe2], 1.0),
            Paint::Ground => ([0xc6, 0xc8, 0xc2], 1.0),
            Paint::Steel => ([0x6e, 0x78, 0x7e], 1.0),
            Paint::Timber => ([0xa5, 0x8a, 0x66], 1.0),
            Paint::Tyre => ([0x33, 0x35, 0x38], 1.0),
            Paint::Person => ([0x5b, 0x6f, 0x86], 1.0),
            // It lets through a little of what it lies on, so that it is told from film.
            Paint::Snow => ([0xff, 0xff, 0xff], 1.0),
        }
    }

    /// How much nearer it counts than it is, in units of the depth buffer: some 14 000 are a six-hundredth of
    /// the distance. Film lies on rails and roofs, whose roundness its cells cut short; straps lie in the film.
    fn nearer(self) -> f32 {
        match self {
            Paint::Slope | Paint::SlopeClear | Paint::Film | Paint::FilmClear => 14_000.0,
            Paint::Strap
            | Paint::StrapPale
            | Paint::Band
            | Paint::Pad
            | Paint::Pond
            | Paint::Vent => 22_000.0,
            _ => 0.0,
        }
    }

    fn material(self) -> StandardMaterial {
        let ([red, green, blue], alpha) = self.color();
        let unlit = matches!(self, Paint::Slope | Paint::SlopeClear);
        StandardMaterial {
            base_color: Color::srgb_u8(red, green, blue).with_alpha(alpha),
            // Dull, so that no highlight hides a color.
            perceptual_roughness: 0.9,
            reflectance: 0.2,
            // Its light is in its colors, so that they stay those of the legend.
            unlit,
            depth_bias: self.nearer(),
            double_sided: true,
            cull_mode: None,
            // The ground fades out at its rim.
            alpha_mode: if alpha < 1.0 || self == Paint::Ground {
                AlphaMode::Blend
            } else {
                AlphaMode::Opaque
            },
            ..StandardMaterial::default()
        }
    }
}

/// The materials, made once.
#[derive(Resource)]
pub struct Paints(Vec<Handle<StandardMaterial>>);

impl FromWorld for Paints {
    fn from_world(world: &mut World) -> Paints {
        let mut materials = world.resource_mut::<Assets<StandardMaterial>>();
        Paints(
            Paint::ALL
                .iter()
                .map(|paint| materials.add(paint.material()))
                .collect(),
        )
    }
}

impl Paints {
    /// The material of a paint.
    pub fn of(&self, paint: Paint) -> Handle<StandardMaterial> {
        let at = Paint::ALL.iter().position(|other| *other == paint);
        at.and_then(|at| self.0.get(at))
            .cloned()
            .unwrap_or_default()
    }
}
