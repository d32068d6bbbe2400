//! Loads: will the cover stand the winter. A planning check, not a design.

mod elastic;
mod law;

pub use elastic::{Cable, ElasticFilm, LoadedShape, Support};
pub use law::{FilmLaw, State};
