//! Outside checks of the lengths that a crew cuts by: recomputed from the meshes that are handed out (`cover.stl`,
//! `hull.stl`, `boat.glb`), from the record and from the boat file, by code that knows nothing of the solver, the
//! sheet's threads or the fittings.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first thing that is not as it should be"
)]

mod boats;
mod distance;
mod meshes;
mod printed;
mod round_the_hull;
mod width;
