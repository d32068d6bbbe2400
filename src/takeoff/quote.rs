//! The price of a cover: materials and hours at the price book's prices, mark-up, least price, tax.

use super::materials::{Materials, StrapUse};
use super::prices::{PriceBook, Step, Unit, Use};
use super::work::{Hours, Learned};
use super::{Currency, Money};

/// What posts are made of.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum PostKind {
    /// Lumber, cut to length.
    #[default]
    Lumber,
    /// Posts that are set to their height.
    Adjustable,
}

/// A cover with its price.
#[derive(Debug, Clone, PartialEq)]
pub struct Quote {
    /// What the price book says about itself.
    pub note: String,
    /// What amounts are in.
    pub currency: Currency,
    /// Width of the roll that the film is priced from, m.
    pub roll: f64,
    /// What goes on the boat and what it costs, waste included.
    pub materials: Vec<Line>,
    /// Hours by step and what they cost.
    pub labour: Vec<Line>,
    /// Costs of the materials together.
    pub materials_cost: Money,
    /// Costs of the hours together.
    pub labour_cost: Money,
    /// What is added to all costs.
    pub mark_up: Money,
    /// What is added to reach the least price.
    pub to_minimum: Money,
    /// The price before tax.
    pub net: Money,
    /// The tax on it.
    pub tax: Money,
    /// The part that the tax is of the price before it.
    pub tax_rate: f64,
    /// The price.
    pub total: Money,
    /// Hours of one person, all steps.
    pub hours: f64,
    /// Spread of the hours of one such job by what was recorded, h; `None` where nothing was.
    pub spread: Option<f64>,
    /// Jobs that the hours were learned from: the most of any step.
    pub learned_from: usize,
    /// People in a crew.
    pub people: u32,
}

/// One line of a quote.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What.
    pub what: String,
    /// How much goes on the boat, in its unit, without waste.
    pub amount: f64,
    /// What it is counted in.
    pub unit: Unit,
    /// What is lost beside it, part of the amount.
    pub waste: f64,
    /// Winters among which its cost is shared.
    pub winters: u32,
    /// What it costs this winter.
    pub cost: Money,
}

/// Why a cover cannot be priced.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Unpriced {
    /// No roll in the price book is as wide as the film.
    #[error("no roll in the price book is as wide as the film")]
    NoRoll {
        /// Width wanted, m.
        width: f64,
        /// Widest in the price book, m.
        widest: f64,
    },
    /// No lumber in the price book is as long as a post.
    #[error("no lumber in the price book is as long as post {post}")]
    NoLumber {
        /// The post.
        post: String,
        /// Its length to cut, m.
        length: f64,
        /// Longest in the price book, m.
        longest: f64,
    },
}

impl Quote {
    /// Prices a cover.
    ///
    /// # Errors
    /// Film wider than any roll, a post longer than any lumber of the price book.
    pub fn new(
        materials: &Materials,
        posts: PostKind,
        book: &PriceBook,
        learned: &Learned,
    ) -> Result<Quote, Unpriced> {
        let (film, roll) = film(materials, book)?;
        let mut lines = vec![film];
        lines.extend(post_lines(materials, posts, book)?);
        lines.extend(
            Use::ALL
                .iter()
                .filter_map(|used_for| supply(materials, *used_for, book)),
        );
        let hours = Hours::by_book(materials, &book.labour).learned(learned);
        let labour: Vec<Line> = Step::ALL
            .iter()
            .filter(|step| hours.of(**step) > 0.0)
            .map(|step| hours_line(*step, hours.of(*step), book))
            .collect();
        let sum = |lines: &[Line]| lines.iter().map(|line| line.cost).sum::<Money>();
        let (materials_cost, labour_cost) = (sum(&lines), sum(&labour));
        let mark_up = (materials_cost + labour_cost).part(book.mark_up);
        let priced = materials_cost + labour_cost + mark_up;
        let net = priced.max(book.minimum);
        let tax = net.part(book.tax);
        let jobs = learned.steps.values().map(|step| step.jobs);
        Ok(Quote {
            note: book.note.clone(),
            currency: book.currency.clone(),
            roll,
            materials: lines,
            labour,
            materials_cost,
            labour_cost,
            mark_up,
            to_minimum: net - priced,
            net,
            tax,
            tax_rate: book.tax,
            total: net + tax,
            hours: hours.total(),
            spread: learned.spread(),
            learned_from: jobs.max().unwrap_or(0),
            people: book.labour.people,
        })
    }
}

/// An amount at a price for so much of it, waste and winters counted.
fn line(
    what: String,
    (amount, unit): (f64, Unit),
    (price, per): (Money, f64),
    waste: f64,
    winters: u32,
) -> Line {
    let share = amount * (1.0 + waste) / per / f64::from(winters.max(1));
    Line {
        what,
        amount,
        unit,
        waste,
        winters,
        cost: price.part(share),
    }
}

/// The film with the width of its roll, m.
fn film(materials: &Materials, book: &PriceBook) -> Result<(Line, f64), Unpriced> {
    let film = &materials.film;
    let Some(roll) = book.cheapest_roll(film.width) else {
        return Err(Unpriced::NoRoll {
            width: film.width,
            widest: book.rolls.iter().map(|roll| roll.width).fold(0.0, f64::max),
        });
    };
    let line = line(
        "film".to_owned(),
        (film.length * film.sheets as f64, Unit::Meters),
        (roll.price, roll.length),
        book.film_waste,
        1,
    );
    Ok((line, roll.width))
}

/// Posts by what they are made of: lumber where none can be set to its height.
fn post_lines(
    materials: &Materials,
    kind: PostKind,
    book: &PriceBook,
) -> Result<Vec<Line>, Unpriced> {
    let mut cut = Vec::new();
    let mut set = Vec::new();
    for post in &materials.posts {
        match book
            .adjustable(post.cut)
            .filter(|_| kind == PostKind::Adjustable)
        {
            Some(adjustable) => set.push(adjustable),
            None => cut.push(post),
        }
    }
    let mut lines = Vec::new();
    if !set.is_empty() {
        // Of several sizes, each at its own share.
        let cost = set
            .iter()
            .map(|post| post.price.part(1.0 / f64::from(post.winters)));
        lines.push(Line {
            what: "posts that are set to height".to_owned(),
            amount: set.len() as f64,
            unit: Unit::Pieces,
            waste: 0.0,
            winters: set.iter().map(|post| post.winters).min().unwrap_or(1),
            cost: cost.sum(),
        });
    }
    let mut length = 0.0;
    let mut cost = 0.0;
    for post in cut {
        let longest = |found: f64, stick: &super::prices::Stick| found.max(stick.length);
        let stick = book
            .cheapest_stick(post.cut)
            .ok_or_else(|| Unpriced::NoLumber {
                post: post.id.clone(),
                length: post.cut,
                longest: book.posts.stock.iter().fold(0.0, longest),
            })?;
        length += post.cut;
        cost += (post.cut + book.posts.kerf) / stick.length * stick.price.0 as f64;
    }
    if length > 0.0 {
        let share = (1.0 + book.posts.waste) / f64::from(book.posts.winters);
        lines.push(Line {
            what: format!("posts of {}", book.posts.size),
            amount: length,
            unit: Unit::Meters,
            waste: book.posts.waste,
            winters: book.posts.winters,
            cost: Money((cost * share).round() as i64),
        });
    }
    Ok(lines)
}

/// How much of a use a cover takes, in its unit.
///
/// # Units
/// Pieces, m or kg. Gas by its net heating value.
#[must_use]
pub fn amount(materials: &Materials, used_for: Use, book: &PriceBook) -> f64 {
    let strap = |used_as| materials.straps_of(used_as).1;
    match used_for {
        Use::TopCap | Use::BaseCap => materials.posts.len() as f64,
        Use::RidgeStrap => strap(StrapUse::Ridge),
        Use::SideStrap => strap(StrapUse::Side),
        Use::HipStrap => strap(StrapUse::Hip),
        Use::DropStrap => strap(StrapUse::Drop),
        Use::PerimeterBand => strap(StrapUse::Band),
        Use::BellyBand => strap(StrapUse::Belly),
        Use::Buckle => materials.buckles as f64,
        Use::Tape => materials.tape,
        Use::Vent => materials.vents as f64,
        Use::Door => materials.doors as f64,
        Use::Pad => materials.pad_count() as f64,
        Use::Gas => materials.heat / book.gas_efficiency / NET_HEATING_VALUE,
    }
}

/// Net heating value of propane, J/kg; the gross one, 50.32 MJ/kg, counts the steam that leaves. *Seen*.
const NET_HEATING_VALUE: f64 = 46.33e6;

/// What a use is called on a quote.
#[must_use]
pub fn use_words(used_for: Use) -> &'static str {
    match used_for {
        Use::TopCap => "top caps",
        Use::BaseCap => "base caps",
        Use::RidgeStrap => "ridge strap",
        Use::SideStrap => "side straps",
        Use::HipStrap => "hip straps",
        Use::DropStrap => "drop straps",
        Use::PerimeterBand => "perimeter band",
        Use::BellyBand => "belly bands",
        Use::Buckle => "buckles",
        Use::Tape => "tape",
        Use::Vent => "vents",
        Use::Door => "door",
        Use::Pad => "pads",
        Use::Gas => "propane",
    }
}

fn supply(materials: &Materials, used_for: Use, book: &PriceBook) -> Option<Line> {
    let amount = amount(materials, used_for, book);
    let supply = book.supply(used_for).filter(|_| amount > 0.0)?;
    Some(line(
        use_words(used_for).to_owned(),
        (amount, used_for.unit()),
        (supply.price, supply.pack),
        supply.waste,
        supply.winters,
    ))
}

fn hours_line(step: Step, hours: f64, book: &PriceBook) -> Line {
    line(
        step.word().to_owned(),
        (hours, Unit::Hours),
        (book.labour.rate, 1.0),
        0.0,
        1,
    )
}
