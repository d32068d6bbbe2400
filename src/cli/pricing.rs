//! What every command that prices is told: the price book.

use super::report::Failure;
use super::talk;
use crate::disk;
use crate::takeoff::{PostKind, PriceBook, prices};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

#[derive(Debug, Args)]
pub(super) struct Pricing {
    /// Price book [default: the one that comes with hulltent, whose prices are all invented;
    /// assets/demo-prices.ron is an example to copy]
    #[arg(long, value_name = "FILE")]
    prices: Option<PathBuf>,
}

impl Pricing {
    /// The file that is read for it.
    pub fn input(&self) -> Option<PathBuf> {
        self.prices.clone()
    }

    /// Reads the price book; the invented one is told.
    pub fn book(&self) -> Result<PriceBook, Failure> {
        let Some(path) = &self.prices else {
            talk::say("no --prices: the demo price book is used, all its prices are invented");
            return PriceBook::demo()
                .map_err(|problems| Failure::of_file("demo-prices.ron", None, problems.list));
        };
        let text = disk::read_text(path)?;
        prices::read(&text).map_err(|problems| {
            Failure::of_file(&path.display().to_string(), Some(text), problems.list)
        })
    }
}

/// What posts are made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Posts {
    /// Cut from lumber
    Lumber,
    /// Set to their height
    Adjustable,
}

impl From<Posts> for PostKind {
    fn from(posts: Posts) -> PostKind {
        match posts {
            Posts::Lumber => PostKind::Lumber,
            Posts::Adjustable => PostKind::Adjustable,
        }
    }
}
