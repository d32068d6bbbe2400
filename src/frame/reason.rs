//! Reasons: what decides each piece of the frame, as data, and as a sentence with a number.

use crate::boat::KeptReason;
use crate::units::UnitSystem;

/// A strap that is led off square by less than this is straight athwart, rad; 1 deg.
const SQUARE: f64 = 0.01745;

/// Why a piece of the frame is as it is.
#[derive(Debug, Clone, PartialEq)]
pub enum Reason {
    /// The user pinned it.
    Pinned,
    /// A plan had it so, and it was left there.
    Kept(KeptReason),
    /// The lowest cap that is allowed there suffices.
    LowestAllowed,
    /// A section needs the ridge so high.
    Need {
        /// What is there.
        thing: String,
        /// Where, m.
        station: f64,
        /// Height that the ridge needs there, m.
        need: f64,
        /// What is left over, m.
        spare: f64,
    },
    /// The taut film, solved, needs more than straight falls.
    Film {
        /// Where, m.
        station: f64,
        /// Height that the ridge needs there, m.
        need: f64,
    },
    /// The strap would not bear on the cap if it were lower.
    Bearing {
        /// Station of the support aft, m.
        aft: f64,
        /// Station of the support forward, m.
        fore: f64,
    },
    /// The ridge must itself slope between two stations.
    Slope {
        /// Aft end, m.
        from: f64,
        /// Fore end, m.
        to: f64,
    },
    /// A span is longer than the limit.
    Span {
        /// Its length, m.
        span: f64,
        /// The limit, m.
        limit: f64,
    },
    /// The ridge is too low over a thing.
    TooLow {
        /// What is there.
        thing: String,
        /// Where, m.
        station: f64,
        /// By how much, m.
        short_by: f64,
    },
    /// No post may stand in the stretch.
    NoFooting {
        /// How far it falls short, m.
        short_by: f64,
    },
    /// No cap may be as high as is needed.
    TooHigh {
        /// What is there.
        thing: String,
        /// Where, m.
        station: f64,
        /// Height needed, m.
        need: f64,
        /// Highest cap allowed, m.
        highest: f64,
    },
    /// The strap would lift off a pinned post.
    Lift {
        /// Where, m.
        station: f64,
        /// By how much, m.
        by: f64,
    },
    /// The film over the frame holds snow.
    Holds {
        /// Area of its holding patches, m2.
        area: f64,
    },
    /// A ridge strap from end to end.
    Ridge {
        /// Number of caps and rests under it.
        supports: usize,
    },
    /// A cap is held athwart.
    HoldsCap {
        /// Which post.
        post: String,
        /// Angle of the strap in plan from straight athwart, rad.
        askew: f64,
    },
    /// A corner would hold snow.
    Corner {
        /// Area of the holding patch that it takes away, m2.
        area: f64,
        /// Where that was, m.
        station: f64,
    },
}

/// Something that the section model cannot satisfy, and where.
#[derive(Debug, Clone, PartialEq)]
pub struct Shortage {
    /// Stations of the stretch, m.
    pub stretch: [f64; 2],
    /// Why.
    pub cause: Reason,
}

impl Reason {
    /// The reason that a kept piece had in its plan; `None` where it is not known or follows from where the piece is.
    fn of_kept(kept: &KeptReason) -> Option<Reason> {
        Some(match kept {
            KeptReason::Planned | KeptReason::ForLoads | KeptReason::HoldsCap => return None,
            KeptReason::LowestAllowed => Reason::LowestAllowed,
            KeptReason::Need {
                thing,
                station,
                need,
                spare,
            } => Reason::Need {
                thing: thing.clone(),
                station: *station,
                need: *need,
                spare: *spare,
            },
            &KeptReason::Film { station, need } => Reason::Film { station, need },
            &KeptReason::Bearing { aft, fore } => Reason::Bearing { aft, fore },
            &KeptReason::Slope { from, to } => Reason::Slope { from, to },
            &KeptReason::Corner { area, station } => Reason::Corner { area, station },
        })
    }

    /// The reason as a pin keeps it; `None` where the user's own pin is the reason.
    pub fn kept(&self) -> Option<KeptReason> {
        Some(match self {
            Reason::Pinned => return None,
            Reason::Kept(kept) => kept.clone(),
            Reason::LowestAllowed => KeptReason::LowestAllowed,
            Reason::Need {
                thing,
                station,
                need,
                spare,
            } => KeptReason::Need {
                thing: thing.clone(),
                station: *station,
                need: *need,
                spare: *spare,
            },
            &Reason::Film { station, need } => KeptReason::Film { station, need },
            &Reason::Bearing { aft, fore } => KeptReason::Bearing { aft, fore },
            &Reason::Slope { from, to } => KeptReason::Slope { from, to },
            Reason::HoldsCap { .. } => KeptReason::HoldsCap,
            &Reason::Corner { area, station } => KeptReason::Corner { area, station },
            _ => KeptReason::Planned,
        })
    }

    /// The reason as a sentence in the user's units.
    pub fn sentence(&self, units: UnitSystem) -> String {
        let length = |meters: f64| units.format_length(meters);
        match self {
            Reason::Pinned => "pinned by the user".to_owned(),
            Reason::Kept(KeptReason::Planned) => "left where the plan had it".to_owned(),
            Reason::Kept(KeptReason::ForLoads) => {
                "added so that the cover stands its loads".to_owned()
            }
            Reason::Kept(kept) => match Reason::of_kept(kept) {
                Some(reason) => format!("left as planned: {}", reason.sentence(units)),
                None => "left as planned".to_owned(),
            },
            Reason::LowestAllowed => "the lowest cap allowed here suffices".to_owned(),
            Reason::Need {
                thing,
                station,
                need,
                spare,
            } => format!(
                "{thing} at station {}: the ridge needs {} over the keel there, {} to spare",
                length(*station),
                length(*need),
                length(spare.max(0.0))
            ),
            Reason::Film { station, need } => format!(
                "with a lower cap the film would lie too flat: at station {} it needs the ridge at {} over the keel",
                length(*station),
                length(*need)
            ),
            Reason::Bearing { aft, fore } => format!(
                "any lower and the strap would run straight from station {} to {} without bearing on it",
                length(*aft),
                length(*fore)
            ),
            Reason::Slope { from, to } => format!(
                "between stations {} and {} the ridge itself must have the least slope",
                length(*from),
                length(*to)
            ),
            Reason::Span { span, limit } => format!(
                "a span of {} is longer than the limit of {}",
                length(*span),
                length(*limit)
            ),
            Reason::TooLow {
                thing,
                station,
                short_by,
            } => format!(
                "at station {} the ridge would be {} too low over the {thing}",
                length(*station),
                length(*short_by)
            ),
            Reason::NoFooting { short_by } => format!(
                "no post may stand in it, and it falls short by {}",
                length(*short_by)
            ),
            Reason::TooHigh {
                thing,
                station,
                need,
                highest,
            } => format!(
                "over the {thing} at station {} the ridge needs {} over the keel, the highest cap allowed is {}",
                length(*station),
                length(*need),
                length(*highest)
            ),
            Reason::Lift { station, by } => format!(
                "the strap lifts off the post at station {}, whose cap is {} too low to bear",
                length(*station),
                length(*by)
            ),
            Reason::Holds { area } => format!(
                "the film over it would hold snow on {}",
                units.format_area(*area)
            ),
            Reason::Ridge { supports: 1 } => {
                "carries the film from bow to stern over one support".to_owned()
            }
            Reason::Ridge { supports } => {
                format!("carries the film from bow to stern over {supports} supports")
            }
            Reason::HoldsCap { post, askew } if *askew < SQUARE => {
                format!("holds the cap of {post} straight athwart")
            }
            Reason::HoldsCap { post, askew } => format!(
                "holds the cap of {post} athwart, led {} off square",
                units.format_angle(*askew)
            ),
            Reason::Corner { area, station } => format!(
                "without it the corner at station {} would hold snow on {}",
                length(*station),
                units.format_area(*area)
            ),
        }
    }
}
