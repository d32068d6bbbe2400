//! What the ridge search answers.

use std::ops::RangeInclusive;

/// Whether the ridge holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// No segment violates anything.
    Holds,
    /// Something is violated; [`RidgeAnswer::shortfall`] says what.
    Short,
}

/// A support post of the answer.
///
/// # Units
/// Meters.
#[derive(Debug, Clone, PartialEq)]
pub struct ChosenPost {
    /// Place in the problem's list of sites.
    pub site: usize,
    /// The site's footing mark.
    pub footing: u32,
    /// Distance forward of the transom.
    pub station: f64,
    /// Height of the footing.
    pub base: f64,
    /// Height of the cap.
    pub cap: f64,
    /// What decides the height of the cap.
    pub governs: Governs,
}

/// What decides the height of a cap: what would break first, were it one step of the height
/// grid lower and all else as it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Governs {
    /// The user pinned the height.
    Pinned,
    /// The cap is at the lowest height allowed at its site.
    LowestAllowed,
    /// A section in a neighboring segment would fall short.
    Need(Tight),
    /// The strap would no longer bear on the cap: it would run straight over it between the
    /// supports at these stations (m).
    Bearing {
        /// Station of the support aft.
        aft: f64,
        /// Station of the support forward.
        fore: f64,
    },
    /// A neighboring segment, between these stations (m), would be flatter lengthwise than the
    /// minimum slope.
    Flat {
        /// Station of its aft end.
        from: f64,
        /// Station of its fore end.
        to: f64,
    },
}

/// What a point of the chain is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChainKind {
    /// The stern anchor.
    SternAnchor,
    /// A post: its place in [`RidgeAnswer::posts`].
    Post(usize),
    /// A free support: its place in the problem's list.
    Free(usize),
    /// The bow anchor.
    BowAnchor,
}

/// One support of the strap, anchors included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChainPoint {
    /// Distance forward of the transom (m).
    pub station: f64,
    /// Height of the strap there (m).
    pub height: f64,
    /// What holds it.
    pub kind: ChainKind,
}

/// The section of a segment with the least to spare.
///
/// # Units
/// Meters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tight {
    /// Distance forward of the transom.
    pub station: f64,
    /// Height that the ridge needs there.
    pub need: f64,
    /// Height of the straight line between the supports there.
    pub chord: f64,
    /// How far the strap hangs below that line there.
    pub sag: f64,
    /// Mark of the thing that needs it.
    pub thing: u32,
    /// `chord - sag - need`: negative where the ridge is too low.
    pub margin: f64,
}

/// One segment of the ridge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SegmentReport {
    /// Aft end: place in [`RidgeAnswer::chain`].
    pub from: usize,
    /// Fore end: place in [`RidgeAnswer::chain`].
    pub to: usize,
    /// Rise over run, toward the bow (no unit).
    pub slope: f64,
    /// All that it violates, as the search counts it (m).
    pub violation_m: f64,
    /// How far the span is over the limit (m).
    pub span_excess_m: f64,
    /// Twin ridges only: how far it is too flat lengthwise (m, at its middle).
    pub flat_m: f64,
    /// The section with the least to spare, if there is any on it.
    pub tightest: Option<Tight>,
}

/// Why a stretch falls short.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cause {
    /// The span is longer than the limit (m), though a post could stand inside it.
    Span {
        /// Its length.
        span: f64,
        /// The limit.
        limit: f64,
    },
    /// The ridge is too low over a thing, though higher caps are allowed about it.
    Need {
        /// Mark of the thing.
        thing: u32,
        /// Where (m).
        station: f64,
        /// By how much (m).
        short_by: f64,
    },
    /// Twin ridges: the segment is flatter lengthwise than the minimum slope (rise over run).
    Flat {
        /// Its slope.
        slope: f64,
        /// The least slope either way.
        least: f64,
    },
    /// No post that is not yet used may stand inside the stretch, and its ends cannot be raised
    /// so that it holds.
    NoFooting {
        /// How far it falls short (m, as the search counts it).
        short_by: f64,
    },
    /// No cap in the stretch, its ends included, may be as high as the ridge must be.
    TooHigh {
        /// Mark of the thing that needs it.
        thing: u32,
        /// Where (m).
        station: f64,
        /// Height needed (m).
        need: f64,
        /// Highest cap allowed in the stretch (m).
        highest: f64,
    },
    /// The pinned posts leave no concave ridge: the strap would lift off the support here.
    Lift {
        /// Station of the support (m).
        station: f64,
        /// How far the support lies under the straight line between its neighbors (m).
        by: f64,
    },
}

/// The stretch of the boat that forbids a ridge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shortfall {
    /// Aft end of the stretch (m).
    pub from: f64,
    /// Fore end of the stretch (m).
    pub to: f64,
    /// How far its worst segment falls short (m, as the search counts it).
    pub violation_m: f64,
    /// Why.
    pub cause: Cause,
}

/// The best ridge for one number of posts.
#[derive(Debug, Clone, PartialEq)]
pub struct RidgeAnswer {
    /// Whether it holds.
    pub status: Status,
    /// Its posts, from the stern.
    pub posts: Vec<ChosenPost>,
    /// Its supports, anchors included, from the stern.
    pub chain: Vec<ChainPoint>,
    /// Its segments, from the stern.
    pub segments: Vec<SegmentReport>,
    /// All violations together (m); 0 where it holds.
    pub violation_m: f64,
    /// All post heights together, cap above footing (m).
    pub post_height_m: f64,
    /// The worst stretch, unless it holds.
    pub shortfall: Option<Shortfall>,
    /// The numbers of posts tried. None of them under that of a ridge that holds can hold.
    pub posts_tried: RangeInclusive<usize>,
}
