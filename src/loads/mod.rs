//! Loads: will the cover stand the winter. A planning check, not a design.
//!
//! A [`site::Site`] says what falls and blows, and what the yard builds with. [`weigh()`] hangs the cover under each case
//! and holds what that asks of film, posts, straps and bands against what they can do; it also finds the greatest snow
//! that the cover stands. `elastic` and `law` are the loaded film itself and know no boat, `rig` makes it from a plan,
//! `loaded` reads it. `snow`, `wind` and `level` are the codes; `column`, `strap`, `lumber` and `road` the capacities.

mod asked;
mod capacity;
mod case;
mod check;
pub mod column;
mod elastic;
mod law;
pub mod level;
mod loaded;
pub mod lumber;
mod on_road;
mod rig;
pub mod road;
pub mod site;
pub mod snow;
mod sources;
mod stage;
pub mod strap;
mod weigh;
pub mod wind;

pub use capacity::{MAX_SNOW, SnowCapacity, snow_capacity};
pub use case::Case;
pub use check::{Check, Kind, Quantity, governing};
pub use elastic::{Cable, ElasticFilm, Grip, LoadedShape, Parts, Support};
pub use law::{FilmLaw, State};
pub use loaded::{BESIDE_CAP, EdgeForce, HAND, Loaded, Outcome, Pressed, WATER_WEIGHT};
pub use rig::Materials;
pub use site::Site;
pub use sources::sources;
pub use stage::Stage;
pub use weigh::{Loads, under_snow, weigh, weigh_at_site};

/// What stands beside every load that is shown.
pub const CAUTION: &str = "Loads are a planning check, not a design: local building and fire codes, the makers' \
instructions and licensed engineers decide. Nobody under a loaded cover.";

/// What the loaded film leaves out; to be told wherever its figures are.
pub const LEAVES_OUT: &str = "The loaded film leaves out: slip of film over rail and caps, snow that slides off, creep and cold \
of the film, tears at pleats and welds, a deck or sole that it may come to lie on, gusts that shake it, wind that pushes down. The edge is held where it is; friction over the \
rail, which would spare the band, is not counted on; posts are hinged at the foot, and stand upright under their caps.";
