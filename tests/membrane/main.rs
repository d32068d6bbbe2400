//! Outside checks of the taut film: closed forms, independent computations, laws that hold for any film.
//!
//! Each check is a row of a table with its source beside it. "Computed" marks a number that was computed
//! independently for this project; "memory" a source that was not seen again when the row was written.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test stops at the first thing that is not as it should be"
)]

mod balance;
mod contact;
mod discrete;
mod films;
mod linear;
mod measure;
mod posts;
mod sheet;
mod starts;
mod surfaces;
