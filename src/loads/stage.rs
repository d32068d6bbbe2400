//! A planned boat as the loads look at it.

use crate::boat::{Boat, Rules};
use crate::cover::Cover;
use crate::fittings::Fittings;
use crate::frame::Frame;
use crate::hull::Hull;

/// A planned boat. The cover may be coarser than the plan's own: a search then goes faster.
#[derive(Debug, Clone, Copy)]
pub struct Stage<'a> {
    /// Hull and things above the deck.
    pub hull: &'a Hull,
    /// The boat.
    pub boat: &'a Boat,
    /// The rules that it was planned by.
    pub rules: &'a Rules,
    /// Posts and straps.
    pub frame: &'a Frame,
    /// The taut film over them.
    pub cover: &'a Cover,
    /// Bands and drop straps.
    pub fittings: &'a Fittings,
}
