//! Crews and their days: which crew is at which boat when.
//!
//! A boat is done by one crew without another in between; what does not end in a day goes on the next. First come boats with
//! a due date, so that few are late and not by much (`order.rs`); among them, and as far as no boat becomes late or later by
//! it, harder ones come early, while crews are fresh and the weather is kind (`hardest.rs`). Boats without a due date fill
//! up behind, the hardest first.
//!
//! What is exact: one crew, and no rest of a day too short to begin in, has as few late boats as can be. Several crews, and
//! the days by which boats are late where some must be, are left to rules of thumb: the best of a few. Whatever the case,
//! [`Rota::fewest`] bounds the number of late boats from below, and the status says whether it was reached.

mod days;
mod hardest;
mod order;
#[cfg(test)]
mod tests;
mod yard;

use days::Calendar;
use jiff::civil::{Date, Time, time};
use yard::Yard;

/// A boat to be covered.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    /// What it is called.
    pub name: String,
    /// Hours of a crew.
    pub hours: f64,
    /// When it must be covered: on that day at the latest.
    pub due: Option<Date>,
    /// The greater the harder.
    pub hardness: f64,
}

/// Who works when.
#[derive(Debug, Clone, PartialEq)]
pub struct Crews {
    /// Crews side by side.
    pub count: usize,
    /// Hours of a working day.
    pub hours_a_day: f64,
    /// Working days of a week, Monday first.
    pub weekdays: [bool; 7],
    /// The first day that may be worked on.
    pub start: Date,
    /// Days off.
    pub off: Vec<Date>,
    /// When a working day begins.
    pub begin: Time,
}

/// A crew's stretch of a day at a boat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shift {
    /// Which crew, from 0.
    pub crew: usize,
    /// The day.
    pub date: Date,
    /// Hours from the day's begin to its own.
    pub begins: f64,
    /// Its hours.
    pub hours: f64,
    /// The boat, by its place in the list.
    pub work: usize,
    /// Which of the boat's stretches, from 1.
    pub part: usize,
    /// How many the boat has.
    pub of: usize,
}

/// How a rota stands to the due dates.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RotaStatus {
    /// No boat is late.
    InTime,
    /// Boats are late, and no rota has fewer late ones.
    FewestLate,
    /// Boats are late; whether there could be fewer is not known.
    Late,
}

/// Who is where when.
#[derive(Debug, Clone, PartialEq)]
pub struct Rota {
    /// Stretches by day, crew and hour.
    pub shifts: Vec<Shift>,
    /// Boats that are late, by their place in the list, with the days; in the order of the list.
    pub late: Vec<(usize, i64)>,
    /// No rota has fewer late boats than this.
    pub fewest: usize,
    /// What is known of the late ones.
    pub status: RotaStatus,
    /// The last day that is worked on; none where there is no boat.
    pub last_day: Option<Date>,
    /// When a working day begins.
    pub begin: Time,
}

/// What is wrong with crews or boats.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CrewError {
    /// Nobody works.
    #[error("there is no crew")]
    NoCrew,
    /// More crews than a yard has.
    #[error("{0} crews are more than {MAX_CREWS}")]
    ManyCrews(usize),
    /// No day of the week is worked on.
    #[error("no day of the week is a working day")]
    NoDay,
    /// A day's hours make no sense.
    #[error(
        "a working day of {0} hours from {1} on is shorter than {MIN_DAY} h or does not end before midnight"
    )]
    Day(f64, Time),
    /// A boat's hours make no sense.
    #[error("'{name}' takes {hours} hours")]
    Hours {
        /// The boat.
        name: String,
        /// Its hours.
        hours: f64,
    },
    /// A boat's hardness is no number.
    #[error("'{name}' has the hardness {hardness}")]
    Hardness {
        /// The boat.
        name: String,
        /// Its hardness.
        hardness: f64,
    },
    /// The season would go on for ever, or beyond the last day of the calendar.
    #[error(
        "the work does not end within {MAX_DAYS} days from {0}: too few working days, or too many days off"
    )]
    Endless(Date),
}

/// A rest of a day that is shorter is not begun on a boat that does not end in it, h; house rule: tools are out and away
/// again in that time.
pub const MIN_START: f64 = 0.5;

/// The shortest working day, h: well over [`MIN_START`], so that a day is never all rest.
const MIN_DAY: f64 = 1.0;

/// The longest that a boat may take, h: beyond any, and far within what is counted exactly.
const MAX_HOURS: f64 = 1e5;

/// More are a slip of the pen.
const MAX_CREWS: usize = 1000;

/// Days from the start that are looked at.
const MAX_DAYS: i32 = 3660;

/// Ticks of an hour: time is counted in whole milliseconds, so that sums are exact in any order.
const TICKS: f64 = 3_600_000.0;

/// Minutes to which times of day are told.
const STEP: f64 = 1.0;

/// Ticks of so many hours; not none.
fn ticks(hours: f64) -> u64 {
    (hours * TICKS).round().max(1.0) as u64
}

impl Rota {
    /// The time of day so many hours after a working day's begin, to the minute.
    #[must_use]
    pub fn time(&self, hours: f64) -> Time {
        let begin = f64::from(self.begin.hour()) * 60.0 + f64::from(self.begin.minute());
        let minutes = ((begin + 60.0 * hours) / STEP).round() * STEP;
        let minutes = minutes.clamp(0.0, 24.0 * 60.0 - STEP) as i32;
        time((minutes / 60) as i8, (minutes % 60) as i8, 0, 0)
    }
}

/// Makes the rota. The order of the list only tells boats apart that are alike in all else.
///
/// # Errors
/// All that is wrong with crews and boats.
pub fn schedule(list: &[Work], crews: &Crews) -> Result<Rota, Vec<CrewError>> {
    check(list, crews)?;
    let hours: f64 = list.iter().map(|work| work.hours).sum();
    let Some(calendar) = Calendar::new(crews, hours) else {
        return Err(vec![CrewError::Endless(crews.start)]);
    };
    let yard = Yard::new(list, crews, &calendar);
    let mut rows = order::fewest_late(&yard);
    for row in &mut rows {
        hardest::forward(&yard, row);
    }
    yard.fill_up(&mut rows);
    yard.rota(&rows)
        .ok_or_else(|| vec![CrewError::Endless(crews.start)])
}

fn check(list: &[Work], crews: &Crews) -> Result<(), Vec<CrewError>> {
    let mut errors = Vec::new();
    match crews.count {
        0 => errors.push(CrewError::NoCrew),
        1..=MAX_CREWS => (),
        many => errors.push(CrewError::ManyCrews(many)),
    }
    if !crews.weekdays.contains(&true) {
        errors.push(CrewError::NoDay);
    }
    let begin = f64::from(crews.begin.hour()) + f64::from(crews.begin.minute()) / 60.0;
    let day = crews.hours_a_day;
    if !(day >= MIN_DAY && begin + day < 24.0) {
        errors.push(CrewError::Day(day, crews.begin));
    }
    for work in list {
        if !(work.hours > 0.0 && work.hours <= MAX_HOURS) {
            errors.push(CrewError::Hours {
                name: work.name.clone(),
                hours: work.hours,
            });
        }
        if !work.hardness.is_finite() {
            errors.push(CrewError::Hardness {
                name: work.name.clone(),
                hardness: work.hardness,
            });
        }
    }
    if errors.is_empty() {
        Ok(())
    } else {
        Err(errors)
    }
}
