//! Pages and drawings as data: tables, verdict, cautions, and pictures in millimeters of paper.
//!
//! Exporters turn what is in here into bytes and look into nothing else, so that every format shows the
//! same. Words and numbers are already in the reader's units.

mod advice_list;
mod as_built;
mod bands;
mod cautions;
mod cover_drawing;
mod cover_plan;
mod cover_profile;
mod drawing;
mod film_list;
mod film_plot;
mod fittings_list;
mod flow;
mod frame_list;
mod frame_plot;
mod glyphs;
mod job;
mod labels;
mod legend;
mod list_pages;
mod loads_list;
mod page_head;
mod paper;
mod part;
mod plan_labels;
mod plot;
mod presets_list;
mod quote_list;
mod quote_page;
mod season;
mod silhouette;
mod survey;
mod survey_drawing;
mod text_width;
mod ticks;
mod twins;
mod verdict;
mod words;

pub use advice_list::advice_sheet;
pub use as_built::as_built_sheet;
pub use cautions::{CAUTIONS, cautions_sheet};
pub use cover_drawing::cover_drawing;
pub use drawing::{Align, Drawing, Fill, Item, Pen};
pub use frame_plot::frame_plot;
pub use glyphs::{Face, Glyph, Run, missing_letters, set_words};
pub use job::job_sheet;
pub use list_pages::list_pages;
pub use loads_list::capacity_sentence;
pub use paper::Paper;
pub use plot::{Layer, Mark, Piece, Plot, Shape, Spot};
pub use presets_list::presets_sheet;
pub use quote_list::{Audience, quote_sheet};
pub use quote_page::quote_pages;
pub use season::{
    article_words, calendar_sheet, crew_name, film_pages, missing_sheet, post_pages,
    purchase_sheet, source_words, spring_sheet, summary_pages, summary_sheet,
};
pub use survey::survey;
pub use survey_drawing::survey_drawing;
pub use text_width::text_width;
pub use verdict::{allowed_flat_sentence, verdict_line};
pub use words::{capitalized, fewer_posts_sentence};

use crate::plan::Plan;
use crate::units::UnitSystem;

/// A page: a title and what follows it.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Its title.
    pub title: String,
    /// Its parts, in order.
    pub blocks: Vec<Block>,
}

/// A part of a page.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// The heading of what follows.
    Heading(String),
    /// Running text.
    Paragraph(String),
    /// A list of points, each with its mark.
    Points(Vec<Point>),
    /// A table.
    Table(Table),
    /// Lines to fill in by hand.
    Blanks(Vec<Blank>),
}

/// One point of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// What stands before it: `-`, or what it is about.
    pub mark: String,
    /// What it says.
    pub text: String,
}

/// A table; every row has as many cells as there are columns.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Columns from the left.
    pub columns: Vec<Column>,
    /// Rows from the top.
    pub rows: Vec<Vec<String>>,
    /// Whether it is filled in by hand and needs lines round its cells.
    pub by_hand: bool,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Its heading.
    pub heading: &'static str,
    /// Whether it holds numbers: flush right, never broken.
    pub numbers: bool,
}

/// A line to fill in by hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Blank {
    /// Letter of the dimension in the sketch; empty where it is in none.
    pub mark: &'static str,
    /// What to measure or to write down.
    pub what: &'static str,
    /// Field of the boat file that it goes to; empty where it goes to none.
    pub field: &'static str,
}

/// The whole plan as one page for the crew.
pub fn plan_sheet(plan: &Plan, units: UnitSystem) -> Sheet {
    let mut blocks = verdict::summary(plan, units);
    blocks.extend(frame_list::blocks(plan, units));
    blocks.extend(film_list::film(plan, units));
    blocks.extend(film_list::pleats(plan, units));
    blocks.extend(fittings_list::band(plan, units));
    blocks.extend(fittings_list::belly_bands(plan, units));
    blocks.extend(fittings_list::air(plan, units));
    blocks.extend(fittings_list::pads(plan, units));
    blocks.extend(verdict::bearings(plan, units));
    blocks.extend(verdict::cover(plan, units));
    blocks.extend(loads_list::short(plan, units));
    blocks.push(cautions_heading());
    blocks.push(cautions());
    Sheet {
        title: plan.boat.name.clone(),
        blocks,
    }
}

/// A plan's loads as one page, with the cautions.
pub fn loads_sheet(plan: &Plan, units: UnitSystem) -> Sheet {
    let mut blocks = loads_list::blocks(plan, units);
    blocks.push(cautions_heading());
    blocks.push(cautions());
    Sheet {
        title: format!("Loads of {}", plan.boat.name),
        blocks,
    }
}

fn cautions_heading() -> Block {
    Block::Heading("Cautions".to_owned())
}

fn cautions() -> Block {
    Block::Points(
        CAUTIONS
            .iter()
            .map(|caution| Point::dashed(*caution))
            .collect(),
    )
}

impl Point {
    fn dashed(text: impl Into<String>) -> Point {
        Point {
            mark: "-".to_owned(),
            text: text.into(),
        }
    }
}

impl Column {
    fn words(heading: &'static str) -> Column {
        Column {
            heading,
            numbers: false,
        }
    }

    fn numbers(heading: &'static str) -> Column {
        Column {
            heading,
            numbers: true,
        }
    }
}
