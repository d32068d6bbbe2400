//! Why a plan had a piece of the frame where it is, kept with a pin that no hand set.

use super::check::Checker;
use super::quantity::Quantity;
use super::write::Pen;
use super::write_layout::Node;
use serde::{Deserialize, Serialize};

/// Where a pin comes from that a plan left and not the user, with the reason that the plan had.
///
/// # Units
/// Stations, heights and lengths in m over the keel, areas in m2.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub enum KeptReason {
    /// A plan had it so; no more is known.
    Planned,
    /// Added so that the cover stands its loads.
    ForLoads,
    /// The lowest cap that is allowed there.
    LowestAllowed,
    /// A section needs the ridge so high.
    Need {
        /// What is there.
        thing: String,
        /// Where.
        station: f64,
        /// Height that the ridge needs there.
        need: f64,
        /// What was left over.
        spare: f64,
    },
    /// The solved film needs the ridge so high.
    Film {
        /// Where.
        station: f64,
        /// Height that the ridge needs there.
        need: f64,
    },
    /// The ridge strap would not bear on a lower cap, between supports at these stations.
    Bearing {
        /// The support aft.
        aft: f64,
        /// The support forward.
        fore: f64,
    },
    /// The ridge itself must slope between these stations.
    Slope {
        /// Aft end.
        from: f64,
        /// Fore end.
        to: f64,
    },
    /// A strap that holds a cap athwart.
    HoldsCap,
    /// A hip strap for a corner that would hold snow.
    Corner {
        /// Area of the holding patch.
        area: f64,
        /// Where that was.
        station: f64,
    },
}

type Q = Option<Quantity>;

/// The same as it stands in the file.
#[derive(Debug, Deserialize)]
pub(super) enum KeptFile {
    Planned,
    ForLoads,
    LowestAllowed,
    Need(NeedFile),
    Film(NeedFile),
    Bearing(StretchFile),
    Slope(StretchFile),
    HoldsCap,
    Corner(CornerFile),
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct NeedFile {
    pub thing: Option<String>,
    pub station: Q,
    pub need: Q,
    pub spare: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct StretchFile {
    pub from: Q,
    pub to: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct CornerFile {
    pub area: Option<String>,
    pub station: Q,
}

/// Stations and heights that such a reason may name, m: it is shown and never planned by.
const ANYWHERE: std::ops::RangeInclusive<f64> = -500.0..=500.0;

/// Areas that it may name, m2.
const AREAS: std::ops::RangeInclusive<f64> = 0.0..=1e5;

/// Reads the reason at a path; heights are over the keel, as the plan had them.
pub(super) fn kept(file: Option<&KeptFile>, check: &mut Checker, path: &str) -> Option<KeptReason> {
    let at = |field: &str| format!("{path}.{field}");
    let length = |check: &mut Checker, field: &str, value: &Q| {
        check.required_length(&at(field), value, ANYWHERE, 0.0)
    };
    Some(match file? {
        KeptFile::Planned => KeptReason::Planned,
        KeptFile::ForLoads => KeptReason::ForLoads,
        KeptFile::LowestAllowed => KeptReason::LowestAllowed,
        KeptFile::HoldsCap => KeptReason::HoldsCap,
        KeptFile::Need(need) => KeptReason::Need {
            thing: check.words(&at("thing"), need.thing.clone()),
            station: length(check, "station", &need.station),
            need: length(check, "need", &need.need),
            spare: length(check, "spare", &need.spare),
        },
        KeptFile::Film(film) => KeptReason::Film {
            station: length(check, "station", &film.station),
            need: length(check, "need", &film.need),
        },
        KeptFile::Bearing(stretch) => KeptReason::Bearing {
            aft: length(check, "from", &stretch.from),
            fore: length(check, "to", &stretch.to),
        },
        KeptFile::Slope(stretch) => KeptReason::Slope {
            from: length(check, "from", &stretch.from),
            to: length(check, "to", &stretch.to),
        },
        KeptFile::Corner(corner) => {
            if corner.area.is_none() {
                check.missing(&at("area"), "\"2 sq ft\"");
            }
            KeptReason::Corner {
                area: check.area(&at("area"), &corner.area, AREAS).unwrap_or(0.0),
                station: length(check, "station", &corner.station),
            }
        }
    })
}

/// Writes it.
pub(super) fn node(pen: &Pen, kept: &KeptReason) -> Node {
    let lengths = |name: &'static str, values: &[(&'static str, f64)]| {
        let fields = values.iter().map(|(name, at)| (*name, pen.length(*at)));
        Node::Struct(name, fields.collect())
    };
    let word = |name: &str| Node::Word(name.to_owned());
    match kept {
        KeptReason::Planned => word("Planned"),
        KeptReason::ForLoads => word("ForLoads"),
        KeptReason::LowestAllowed => word("LowestAllowed"),
        KeptReason::HoldsCap => word("HoldsCap"),
        KeptReason::Need {
            thing,
            station,
            need,
            spare,
        } => Node::Struct(
            "Need",
            vec![
                ("thing", Node::quoted(thing)),
                ("station", pen.length(*station)),
                ("need", pen.length(*need)),
                ("spare", pen.length(*spare)),
            ],
        ),
        KeptReason::Film { station, need } => {
            lengths("Film", &[("station", *station), ("need", *need)])
        }
        KeptReason::Bearing { aft, fore } => lengths("Bearing", &[("from", *aft), ("to", *fore)]),
        KeptReason::Slope { from, to } => lengths("Slope", &[("from", *from), ("to", *to)]),
        KeptReason::Corner { area, station } => Node::Struct(
            "Corner",
            vec![("area", pen.area(*area)), ("station", pen.length(*station))],
        ),
    }
}
