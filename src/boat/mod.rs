//! The boat: what the tape measured, validated, in SI units.
//!
//! One frame of reference everywhere: x is the *station*, forward from the transom; y the *offset*,
//! to port; z up from the hull's lowest point. A [`Boat`] is made from a boat file by [`read`]; nothing
//! in here reads files, and nobody downstream checks a dimension again.

mod bears;
mod check;
mod file;
mod hand;
mod kept;
mod limits;
mod outline;
mod places;
mod plausible;
mod presets;
mod problem;
mod quantity;
mod quotes;
mod read;
mod read_anchors;
mod read_hull;
mod read_rules;
mod read_storage;
mod read_things;
mod read_wishes;
mod read_zones;
mod rules;
mod suggest;
mod write;
mod write_hull;
mod write_layout;
mod write_rules;
mod write_text;
mod write_things;

pub use bears::Bears;
pub use hand::{End, Hand};
pub use kept::KeptReason;
pub use places::{Place, Places};
pub use presets::{Preset, preset, presets};
pub use problem::{Problem, Problems};
pub use read::{LARGEST_FILE, read, read_bytes};
pub use rules::Rules;
pub use suggest::suggest;
pub use write::{HEADING, Written, revise, write};

// For other files of the same kind.
pub(crate) use check::Checker;
pub(crate) use outline::{half_breadth_share, sheer_height};
pub(crate) use quantity::Quantity;
pub(crate) use read::read_file;

use serde::{Deserialize, Serialize};

/// A validated boat.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Boat {
    /// What the crew calls it.
    pub name: String,
    /// Free words about the boat; for a preset they say that it is invented.
    pub note: String,
    /// Hull length at the sheer, transom to stem head, m.
    pub length: f64,
    /// Greatest beam, m.
    pub beam: f64,
    /// Heights of the sheer at stern, middle and bow, m.
    pub sheer: [f64; 3],
    /// Shape under the sheer.
    pub hull: HullForm,
    /// How far the rub rail lies under the sheer, m.
    pub rub_rail: f64,
    /// Height of the sole, m.
    pub sole: f64,
    /// Everything box-shaped above the deck.
    pub boxes: Vec<DeckBox>,
    /// Rails, arches, towers and a mast that is laid down.
    pub tubes: Vec<Tube>,
    /// What stands through the film at a collar: a mast that is up, an antenna.
    pub piercings: Vec<Piercing>,
    /// What a strap may be tied to.
    pub anchors: Vec<Anchor>,
    /// Where a post may stand.
    pub footings: Vec<Footing>,
    /// Where a post must not stand (glass, hatches, upholstery).
    pub no_post: Vec<Zone>,
    /// What the boat is stored on.
    pub stored_on: Support,
    /// A door in the film, where one is asked for.
    pub door: Option<DoorWish>,
    /// What the user decided about the frame beforehand.
    pub wishes: FrameWishes,
    /// The rules by which this boat is planned: the file's own over the defaults.
    pub rules: Rules,
}

/// The level that the file's heights are measured from.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum HeightsFrom {
    /// The hull's lowest point.
    #[default]
    Keel,
    /// The ground under the trailer or stands; `stored_on.keel_height` is then needed.
    Ground,
}

/// Shape of the hull under the sheer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub enum HullForm {
    /// One hull.
    Mono(MonoForm),
    /// Two or three tubes of one diameter under a deck.
    Tubes {
        /// Two or three.
        count: u32,
        /// Diameter of a tube, m.
        diameter: f64,
    },
    /// Two narrow hulls under a deck.
    Catamaran {
        /// Beam of one hull, m.
        hull_beam: f64,
        /// Deadrise of each hull, rad.
        deadrise: f64,
        /// Thickness of the deck between the hulls, m.
        deck_thickness: f64,
        /// Rake of the stems from the vertical, rad.
        stem_rake: f64,
    },
    /// A table of offsets.
    Offsets {
        /// Name of its CSV beside the boat file.
        file: String,
        /// Sections from aft to fore.
        sections: Vec<OffsetSection>,
    },
}

/// One station of a table of offsets.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OffsetSection {
    /// Station, m.
    pub station: f64,
    /// (half breadth, height) from keel to sheer, m.
    pub points: Vec<(f64, f64)>,
}

/// A single hull by its parameters.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MonoForm {
    /// Kind of section.
    pub section: Section,
    /// Sheer breadth at the transom over the beam.
    pub transom_beam_fraction: f64,
    /// Fullness of the plan form at the bow, 0 (fine) to 1 (full).
    pub fullness: f64,
    /// Rake of the stem from the vertical, rad.
    pub stem_rake: f64,
    /// Rake of the transom from the vertical, top aft, rad.
    pub transom_rake: f64,
}

/// Kind of section of a single hull.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub enum Section {
    /// Straight bottom, hard chine.
    V {
        /// Deadrise at the transom, rad.
        transom_deadrise: f64,
        /// Deadrise at the entry, rad.
        entry_deadrise: f64,
        /// Chine beam over sheer beam.
        chine_beam_fraction: f64,
    },
    /// Round bilge.
    RoundBilge {
        /// Fullness of the bilge, 0 (slack) to 1 (hard).
        bilge: f64,
        /// Deadrise at the keel, rad.
        deadrise: f64,
    },
    /// Flat bottom.
    Flat {
        /// Chine beam over sheer beam.
        chine_beam_fraction: f64,
    },
}

/// What a box above the deck is; decides what may touch it unless the file says otherwise.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum BoxKind {
    /// Glass in a frame: film may rest on the frame over a pad, no post on it.
    Windshield,
    /// Helm console.
    Console,
    /// Cabin or trunk: film and posts may bear on it.
    Cabin,
    /// Hardtop: film and posts may bear on it.
    Hardtop,
    /// Flybridge coaming or deck.
    Flybridge,
    /// Seat, sunpad: neither film nor post.
    Seat,
    /// Outboard motor: film may rest on its head over a pad.
    Motor,
    /// Pulpit or bow platform.
    Pulpit,
    /// Swim platform: low, left outside the film.
    Platform,
    /// Anything else: film may rest, no post.
    #[default]
    Other,
}

/// A box with raked sides above the deck.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DeckBox {
    /// What the crew calls it.
    pub name: String,
    /// What it is.
    pub kind: BoxKind,
    /// Aft and fore end of its foot, m.
    pub from: f64,
    /// Fore end of its foot, m.
    pub to: f64,
    /// Width of its foot at the aft end, m.
    pub width: f64,
    /// Width of its foot at the fore end, m.
    pub width_fore: f64,
    /// Offset of its middle to port, m.
    pub offset: f64,
    /// Height of its foot, m.
    pub base: f64,
    /// Height of its top at the aft end, m.
    pub top: f64,
    /// Height of its top at the fore end, m.
    pub top_fore: f64,
    /// Rakes from the vertical, leaning inward: aft, fore, side, rad.
    pub rakes: [f64; 3],
    /// Film may rest on it.
    pub film_may_rest: bool,
    /// A post may stand on it.
    pub post_may_stand: bool,
    /// The film's edge goes round it where it reaches past the hull.
    pub film_goes_round: bool,
    /// Clearance of the ridge over its top, m, where the file gives one of its own; see
    /// [`DeckBox::ridge_clearance`].
    pub clearance: Option<f64>,
    /// Greatest load of the cover that it is to bear, N, where the file states one; see [`DeckBox::bearing_limit`].
    pub bears: Option<f64>,
}

/// Clearance under the ridge of things that neither film nor post may touch, m; house rule, 2 in.
const UNTOUCHED: f64 = 0.0508;

impl DeckBox {
    /// Clearance of the ridge over its top: its own, else the rules' for windshields and consoles, a little
    /// for seats, and none for what the ridge may lie on, m.
    pub fn ridge_clearance(&self, rules: &Rules) -> f64 {
        self.clearance.unwrap_or(match self.kind {
            BoxKind::Windshield | BoxKind::Console => rules.clearance,
            BoxKind::Seat => UNTOUCHED,
            _ => 0.0,
        })
    }
}

/// What a swept tube is.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum TubeKind {
    /// Rail along the deck's edge.
    #[default]
    Rail,
    /// Arch across the boat.
    Arch,
    /// Tow tower.
    Tower,
    /// Buoyancy tube of a rigid inflatable.
    Buoyancy,
    /// A mast laid down along the boat: the ridge itself.
    Mast,
}

/// A round tube swept along a polyline.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Tube {
    /// What the crew calls it.
    pub name: String,
    /// What it is.
    pub kind: TubeKind,
    /// Diameter, m.
    pub diameter: f64,
    /// Axis: (station, offset, height), m; at least two points.
    pub path: Vec<[f64; 3]>,
    /// Film may rest on it.
    pub film_may_rest: bool,
    /// Greatest load of the cover that it is to bear, N, where the file states one; see [`Tube::bearing_limit`].
    pub bears: Option<f64>,
}

/// What stands through the film at a collar.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Piercing {
    /// What the crew calls it.
    pub name: String,
    /// Station, m.
    pub station: f64,
    /// Offset to port, m.
    pub offset: f64,
    /// Diameter of the collar, m.
    pub diameter: f64,
}

/// A side of the boat, or both.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Side {
    /// Left, looking forward.
    Port,
    /// Right, looking forward.
    Starboard,
    /// Both.
    #[default]
    Both,
}

impl Side {
    /// Whether it is a side, or both.
    pub fn includes(self, hand: Hand) -> bool {
        matches!(
            (self, hand),
            (Side::Both, _) | (Side::Port, Hand::Port) | (Side::Starboard, Hand::Starboard)
        )
    }
}

/// What a strap may be tied to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub enum Anchor {
    /// Eye in the stem: the ridge strap's forward end.
    BowEye {
        /// Height, m.
        height: f64,
    },
    /// Eyes in the transom: the ridge strap's after end.
    SternEye {
        /// Height, m.
        height: f64,
        /// A pair, so far to either side of the middle, m; zero for one in the middle.
        offset: f64,
    },
    /// Samson post or bitt on deck: an end of the ridge strap.
    SamsonPost {
        /// What the crew calls it.
        name: String,
        /// Station, m.
        station: f64,
        /// Offset to port, m.
        offset: f64,
        /// Height of its head, m.
        height: f64,
    },
    /// Cleat, or any one strong point, at the sheer.
    Cleat {
        /// What the crew calls it.
        name: String,
        /// Station, m.
        station: f64,
        /// Side.
        side: Side,
        /// How far under the sheer, m.
        below_sheer: f64,
    },
    /// Rail: a strap may be tied anywhere along it.
    Rail {
        /// What the crew calls it.
        name: String,
        /// Aft end, m.
        from: f64,
        /// Fore end, m.
        to: f64,
        /// Side.
        side: Side,
        /// How far under the sheer, m.
        below_sheer: f64,
    },
}

/// A rectangle in plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Zone {
    /// What the crew calls it.
    pub name: String,
    /// Aft end, m.
    pub from: f64,
    /// Fore end, m.
    pub to: f64,
    /// Width, m.
    pub width: f64,
    /// Offset of its middle to port, m.
    pub offset: f64,
}

impl Zone {
    /// Whether a point of the plan lies in the rectangle, its rim included.
    ///
    /// # Units
    /// Meters.
    pub fn contains(&self, station: f64, offset: f64) -> bool {
        station >= self.from - WITHIN
            && station <= self.to + WITHIN
            && (offset - self.offset).abs() <= 0.5 * self.width + WITHIN
    }
}

/// A tape cannot tell a tenth of a millimeter: points this near a rim count as on it, m.
const WITHIN: f64 = 1e-4;

/// A place where a post may stand.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Footing {
    /// Where it lies.
    pub zone: Zone,
    /// Height of its surface, m.
    pub height: f64,
}

/// What a boat stands on in winter.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum SupportKind {
    /// Trailer.
    #[default]
    Trailer,
    /// Cradle.
    Cradle,
    /// Separate stands: never tie a cover to them.
    Stands,
}

/// The support under the hull.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Support {
    /// What it is.
    pub kind: SupportKind,
    /// Height of the hull's lowest point over the ground, m.
    pub keel_height: f64,
    /// Stations where it bears on the hull or crosses under it (cross-members of the bunks, arms of the cradle,
    /// stands), m, ascending; empty where the file does not give them.
    pub supports: Vec<f64>,
}

/// A door that the user asks for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DoorWish {
    /// Station of its middle, m.
    pub station: f64,
    /// On which side.
    pub hand: Hand,
}

/// Plan of the ridge.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub enum RidgeWish {
    /// Hulltent decides: single where it holds, else twin.
    #[default]
    Free,
    /// One ridge on the centerline.
    Single,
    /// Two ridges, this far apart, m.
    Twin(f64),
}

/// What the user decided about the frame beforehand.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct FrameWishes {
    /// Plan of the ridge.
    pub ridge: RidgeWish,
    /// No posts or straps but the pinned ones: a check of a crew's own frame.
    pub only_pinned: bool,
    /// Posts that must stand where they are.
    pub posts: Vec<PinnedPost>,
    /// Straps that must run where they are.
    pub straps: Vec<PinnedStrap>,
}

/// A post that stays where it is.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct PinnedPost {
    /// Its name, `P2`: what is marked on its stick. With twin ridges that of the one to starboard.
    pub name: Option<String>,
    /// With twin ridges the name of its fellow to port.
    pub name_port: Option<String>,
    /// Station, m.
    pub station: f64,
    /// Height of the cap, m; `None` leaves the height to the solver.
    pub cap: Option<f64>,
    /// Why a plan had it there; `None` where the user pinned it.
    pub kept: Option<KeptReason>,
}

/// A side or hip strap that stays where it is.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct PinnedStrap {
    /// Station of the post whose cap it starts from (the nearest post is meant), m.
    pub post: f64,
    /// Station where it goes over the edge, m.
    pub station: f64,
    /// Side, or both.
    pub side: Side,
    /// Why a plan had it there; `None` where the user pinned it.
    pub kept: Option<KeptReason>,
}
