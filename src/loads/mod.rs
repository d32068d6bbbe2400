//! Loads: will the cover stand the winter. A planning check, not a design.

mod case;
mod elastic;
mod law;
mod loaded;
mod rig;

pub use case::Case;
pub use elastic::{Cable, ElasticFilm, Grip, LoadedShape, Parts, Support};
pub use law::{FilmLaw, State};
pub use loaded::{EdgeForce, Loaded, Outcome, Pressed, WATER_WEIGHT};
pub use rig::Materials;
