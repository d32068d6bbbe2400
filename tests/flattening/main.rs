//! Outside checks of the sheet's threads: closed forms, and an independent open library on the same meshes.
//!
//! A thread of the sheet is a straight line over the film that leaves the ridge at a right angle. That it is the
//! shortest way to the ridge is held against the library's exact distances, that neighbors draw together as they
//! should against closed forms, what the sheet takes against the library's flat sheets. Each check returns what is
//! wrong, so that its twin, a case in which something is wrong, can be seen to fail.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test stops at the first thing that is not as it should be"
)]

mod bundle;
mod corners;
mod lengths;
mod library;
mod meshes;
mod sheets;
mod spacing;
