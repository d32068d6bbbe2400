//! A season on paper: summary, film and posts as they are cut, purchase list, calendar, spring list.

mod bars;
mod calendar;
mod charts;
mod cutting;
mod purchase;
mod spring;
mod summary;

pub use calendar::{calendar_sheet, crew_name};
pub use cutting::{film_pages, post_pages, source_words};
pub use purchase::{article_words, purchase_sheet};
pub use spring::{missing_sheet, spring_sheet};
pub use summary::{summary_pages, summary_sheet};
