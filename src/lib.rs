//! hulltent plans the winter cover of a boat: from the tape to the dimensioned frame list.
//!
//! The one way in is [`plan::plan`]: a validated [`boat::Boat`] and its [`boat::Rules`] give a
//! [`plan::Plan`] with hull, frame, taut cover and verdict. Data flows one way, and the modules stand in
//! that order; DEVELOPERS.md has the map.

#![forbid(unsafe_code)]

pub mod units;

pub mod num;

pub mod geom;

pub mod boat;

pub mod hull;

pub mod frame;

pub mod cover;

pub mod film;

pub mod fittings;

pub mod loads;

pub mod takeoff;

pub mod plan;

pub mod lesson;

pub mod season;

pub mod sheet;

pub mod export;

pub mod view;

pub mod disk;

pub mod cli;

#[cfg(feature = "viewer")]
pub mod viewer;
