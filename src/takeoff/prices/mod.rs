//! The price book: what a yard pays for film, lumber, supplies and hours, and what it adds.
//!
//! The one that comes with hulltent is invented and says so.

mod read;

pub use read::read;

use super::materials::StrapUse;
use super::{Currency, Money};
use crate::boat::Problems;
use serde::{Deserialize, Serialize};

/// The price book that comes with hulltent.
static DEMO: &str = include_str!("../../../assets/demo-prices.ron");

/// A yard's prices.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceBook {
    /// Says where the prices are from; the demo says that they are invented.
    pub note: String,
    /// What amounts are in.
    pub currency: Currency,
    /// Film on rolls.
    pub rolls: Vec<Roll>,
    /// Part of the film that is lost beside what is cut for the boat.
    pub film_waste: f64,
    /// Length of a roll that each cut across it takes: hands cut no straight line, m.
    pub cut_loss: f64,
    /// Offcuts of a roll that are shorter are thrown away, m.
    pub least_offcut: f64,
    /// What posts are made of.
    pub posts: PostPrices,
    /// Everything else that is bought; every [`Use`] stands in one of them.
    pub supplies: Vec<Supply>,
    /// Part of the gas's heat that goes into the film.
    pub gas_efficiency: f64,
    /// Hours and what they cost.
    pub labour: Labour,
    /// What is added to all costs, part of them.
    pub mark_up: f64,
    /// Tax on the price, part of it.
    pub tax: f64,
    /// Least price before tax.
    pub minimum: Money,
}

/// Whether a price book's note says that its prices are invented.
#[must_use]
pub fn is_invented(note: &str) -> bool {
    note.to_lowercase().contains("invented")
}

/// An amount of money in words, with `(invented)` where the note of its price book says so.
#[must_use]
pub fn money_words(currency: &Currency, note: &str, money: Money) -> String {
    let words = currency.format(money);
    if is_invented(note) {
        format!("{words} (invented)")
    } else {
        words
    }
}

/// Film on a roll.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Roll {
    /// Width, m.
    pub width: f64,
    /// Length, m.
    pub length: f64,
    /// Price of the roll.
    pub price: Money,
}

/// What posts are made of.
#[derive(Debug, Clone, PartialEq)]
pub struct PostPrices {
    /// What the trade calls the lumber, `2x4`.
    pub size: String,
    /// Stock lengths.
    pub stock: Vec<Stick>,
    /// What the saw takes at each cut, m.
    pub kerf: f64,
    /// Part of the lumber that is lost beside that.
    pub waste: f64,
    /// Winters that a post lasts.
    pub winters: u32,
    /// Posts that are set to their height, by the heights that they reach.
    pub adjustable: Vec<Adjustable>,
}

/// Lumber of a stock length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stick {
    /// Length, m.
    pub length: f64,
    /// Price of one.
    pub price: Money,
}

/// A post that is set to its height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Adjustable {
    /// Least length, m.
    pub from: f64,
    /// Greatest length, m.
    pub to: f64,
    /// Price of one.
    pub price: Money,
    /// Winters that it lasts.
    pub winters: u32,
}

/// Something that is bought in packs.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    /// What the yard calls it.
    pub name: String,
    /// What it is used for; all are counted in one unit.
    pub uses: Vec<Use>,
    /// How much is in a pack, in its unit.
    pub pack: f64,
    /// Price of a pack.
    pub price: Money,
    /// Part that is lost beside what goes on the boat.
    pub waste: f64,
    /// Winters that it lasts.
    pub winters: u32,
}

/// What something is used for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Use {
    /// On top of a post.
    TopCap,
    /// Under a post.
    BaseCap,
    /// Over the posts.
    RidgeStrap,
    /// From a cap athwart.
    SideStrap,
    /// From a cap to a corner.
    HipStrap,
    /// Loops that carry the band.
    DropStrap,
    /// Round the boat.
    PerimeterBand,
    /// Under the hull.
    BellyBand,
    /// Closes a strap.
    Buckle,
    /// Over buckles, pleats and slits.
    Tape,
    /// Lets it breathe.
    Vent,
    /// Where someone must get in.
    Door,
    /// Where film bears on the boat.
    Pad,
    /// Shrinks the film.
    Gas,
}

/// What amounts are counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Unit {
    /// One by one.
    Pieces,
    /// By length, m.
    Meters,
    /// By mass, kg.
    Kilograms,
    /// By time, h.
    Hours,
}

impl Unit {
    /// Its sign in files, SI where there is one.
    #[must_use]
    pub fn sign(self) -> &'static str {
        match self {
            Unit::Pieces => "pieces",
            Unit::Meters => "m",
            Unit::Kilograms => "kg",
            Unit::Hours => "h",
        }
    }
}

impl Use {
    /// All, in the order of the lists.
    pub const ALL: [Use; 14] = [
        Use::TopCap,
        Use::BaseCap,
        Use::RidgeStrap,
        Use::SideStrap,
        Use::HipStrap,
        Use::DropStrap,
        Use::PerimeterBand,
        Use::BellyBand,
        Use::Buckle,
        Use::Tape,
        Use::Vent,
        Use::Door,
        Use::Pad,
        Use::Gas,
    ];

    /// What it is counted in.
    #[must_use]
    pub fn unit(self) -> Unit {
        match self {
            Use::TopCap | Use::BaseCap | Use::Buckle | Use::Vent | Use::Door | Use::Pad => {
                Unit::Pieces
            }
            Use::Gas => Unit::Kilograms,
            _ => Unit::Meters,
        }
    }

    /// The use of a strap.
    #[must_use]
    pub fn of_strap(strap: StrapUse) -> Use {
        match strap {
            StrapUse::Ridge => Use::RidgeStrap,
            StrapUse::Side => Use::SideStrap,
            StrapUse::Hip => Use::HipStrap,
            StrapUse::Drop => Use::DropStrap,
            StrapUse::Band => Use::PerimeterBand,
            StrapUse::Belly => Use::BellyBand,
        }
    }
}

impl Supply {
    /// What it is counted in.
    #[must_use]
    pub fn unit(&self) -> Unit {
        self.uses.first().map_or(Unit::Pieces, |first| first.unit())
    }
}

/// Hours and what they cost.
#[derive(Debug, Clone, PartialEq)]
pub struct Labour {
    /// Cost of an hour of one person.
    pub rate: Money,
    /// People in a crew.
    pub people: u32,
    /// Hours that a crew works in a day.
    pub day: f64,
    /// Times of the steps, in the order of the work.
    pub steps: Vec<StepTime>,
}

/// What a step of the work takes one person.
#[derive(Debug, Clone, PartialEq)]
pub struct StepTime {
    /// Which step.
    pub step: Step,
    /// Whatever the boat, min.
    pub start: f64,
    /// For each of what it goes by, min.
    pub each: Vec<(Per, f64)>,
}

/// A step of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Step {
    /// The tape goes round the boat.
    Survey,
    /// Posts and straps.
    Frame,
    /// Drop straps, perimeter band, belly bands.
    Band,
    /// The film is laid, tucked, welded, pleated.
    Film,
    /// The heat tool goes over it.
    Shrink,
    /// Tape, vents, door.
    Finish,
    /// Cut off, sorted, baled, stored.
    Spring,
}

impl Step {
    /// All, in the order of the work.
    pub const ALL: [Step; 7] = [
        Step::Survey,
        Step::Frame,
        Step::Band,
        Step::Film,
        Step::Shrink,
        Step::Finish,
        Step::Spring,
    ];

    /// Those that are done in autumn, at the boat.
    pub const AUTUMN: [Step; 5] = [
        Step::Frame,
        Step::Band,
        Step::Film,
        Step::Shrink,
        Step::Finish,
    ];

    /// Its word, as in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Step::Survey => "survey",
            Step::Frame => "frame",
            Step::Band => "band",
            Step::Film => "film",
            Step::Shrink => "shrink",
            Step::Finish => "finish",
            Step::Spring => "spring",
        }
    }
}

/// What time goes by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Per {
    /// A support post.
    Post,
    /// A ridge, side or hip strap.
    FrameStrap,
    /// A drop strap.
    DropStrap,
    /// A meter of perimeter band.
    BandMeter,
    /// A belly band.
    BellyBand,
    /// A square meter of film over the boat.
    FilmSquareMeter,
    /// A meter of seam.
    SeamMeter,
    /// A gather.
    Pleat,
    /// A closure.
    Closure,
    /// A meter of tape.
    TapeMeter,
    /// A vent.
    Vent,
    /// A door.
    Door,
    /// A pad.
    Pad,
}

impl PriceBook {
    /// The price book that comes with hulltent: invented.
    ///
    /// # Errors
    /// Never: a test reads it.
    pub fn demo() -> Result<PriceBook, Problems> {
        read(DEMO)
    }

    /// An amount of money in words; beside it, where they are, that the prices are invented.
    #[must_use]
    pub fn money(&self, money: Money) -> String {
        money_words(&self.currency, &self.note, money)
    }

    /// The supply for a use. The reader sees to it that there is one.
    #[must_use]
    pub fn supply(&self, used_for: Use) -> Option<&Supply> {
        self.supplies
            .iter()
            .find(|supply| supply.uses.contains(&used_for))
    }

    /// The roll with the cheapest meter among those at least so wide, m; `None` where none is.
    #[must_use]
    pub fn cheapest_roll(&self, width: f64) -> Option<&Roll> {
        let per_meter = |roll: &Roll| roll.price.0 as f64 / roll.length;
        self.rolls
            .iter()
            .filter(|roll| roll.width + TAPE >= width)
            .min_by(|a, b| per_meter(a).total_cmp(&per_meter(b)))
    }

    /// The lumber with the cheapest meter among that at least so long, m; `None` where none is.
    #[must_use]
    pub fn cheapest_stick(&self, length: f64) -> Option<&Stick> {
        let per_meter = |stick: &Stick| stick.price.0 as f64 / stick.length;
        self.posts
            .stock
            .iter()
            .filter(|stick| stick.length + TAPE >= length)
            .min_by(|a, b| per_meter(a).total_cmp(&per_meter(b)))
    }

    /// The cheapest post that can be set to a length, m, for a winter; `None` where there is none.
    #[must_use]
    pub fn adjustable(&self, length: f64) -> Option<&Adjustable> {
        let each_winter = |post: &Adjustable| post.price.0 as f64 / f64::from(post.winters);
        self.posts
            .adjustable
            .iter()
            .filter(|post| post.from <= length + TAPE && post.to + TAPE >= length)
            .min_by(|a, b| each_winter(a).total_cmp(&each_winter(b)))
    }
}

/// Lengths that differ by less are the same, m: no tape shows it, and it is more than rounding of inches.
pub const TAPE: f64 = 1e-6;
