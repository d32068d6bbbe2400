//! Working time and the calendar.

use super::{Crews, MAX_DAYS, MIN_START, ticks};
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Working days, in order.
pub(super) struct Calendar {
    /// Ticks of a working day.
    pub day: u64,
    dates: Vec<Date>,
}

impl Calendar {
    /// As many working days as so many hours of crews can take; `None` where there are not enough.
    pub fn new(crews: &Crews, hours: f64) -> Option<Calendar> {
        // One crew that does all loses the rest of each day at most; one of several does no more.
        let most = (hours / (crews.hours_a_day - MIN_START)).ceil() + 2.0;
        let wanted = most.min(f64::from(MAX_DAYS)) as usize;
        let off: BTreeSet<Date> = crews.off.iter().copied().collect();
        let mut dates = Vec::with_capacity(wanted);
        let mut date = crews.start;
        for _ in 0..MAX_DAYS {
            let weekday = usize::try_from(date.weekday().to_monday_zero_offset()).unwrap_or(0);
            if crews.weekdays.get(weekday) == Some(&true) && !off.contains(&date) {
                dates.push(date);
            }
            if dates.len() >= wanted {
                break;
            }
            let Ok(next) = date.checked_add(1.day()) else {
                break;
            };
            date = next;
        }
        let day = ticks(crews.hours_a_day);
        (!dates.is_empty() || hours <= 0.0).then_some(Calendar { day, dates })
    }

    /// Working time until the end of a day.
    pub fn until(&self, date: Date) -> u64 {
        self.dates.partition_point(|day| *day <= date) as u64 * self.day
    }

    /// The day of a moment of working time, and the ticks since its begin; `None` where the days do not suffice.
    pub fn date(&self, moment: u64) -> Option<(Date, u64)> {
        let number = usize::try_from(moment / self.day).ok()?;
        Some((*self.dates.get(number)?, moment % self.day))
    }
}
