//! A bar that shows how many boats are planned.

use indicatif::{ProgressBar, ProgressStyle};

/// Where the bar stands; on standard error, and nowhere where that is no terminal.
#[derive(Debug)]
pub(super) struct Bar(ProgressBar);

impl Bar {
    /// A bar for so many boats.
    pub fn new(boats: usize) -> Bar {
        let bar = ProgressBar::new(boats as u64);
        // The template is a constant: where it does not parse the plain bar is shown.
        if let Ok(style) =
            ProgressStyle::with_template("planning {bar:32} {pos}/{len} boats, {eta} left")
        {
            bar.set_style(style);
        }
        Bar(bar)
    }

    /// One more is done.
    pub fn step(&self) {
        self.0.inc(1);
    }

    /// All are done.
    pub fn done(&self) {
        self.0.finish_and_clear();
    }
}
