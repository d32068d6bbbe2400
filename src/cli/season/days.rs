//! What is told about the crews' days.

use crate::cli::report::Failure;
use crate::season::crews::Crews;
use crate::season::{Job, Planned};
use crate::takeoff::PriceBook;
use clap::Args;
use jiff::ToSpan;
use jiff::civil::{Date, Time, time};

#[derive(Debug, Args)]
#[command(next_help_heading = "Crews")]
pub(super) struct Days {
    /// First working day, as 2026-10-05 [default: the Monday six weeks before the last due date]
    #[arg(long, value_name = "DATE", value_parser = date)]
    start: Option<Date>,
    /// Crews that work side by side; how many people one has and how long its day is stands in the price book
    #[arg(long, value_name = "N", default_value_t = 2, value_parser = clap::value_parser!(u16).range(1..=200))]
    crews: u16,
    /// Days of the week on which they work
    #[arg(long, value_name = "DAYS", default_value = "mon,tue,wed,thu,fri", value_parser = weekdays)]
    days: Weekdays,
    /// Days off, as 2026-11-11, parted by commas
    #[arg(long, value_name = "DATES", value_delimiter = ',', value_parser = date)]
    off: Vec<Date>,
    /// When a day begins
    #[arg(long, value_name = "TIME", default_value = "08:00", value_parser = time_of_day)]
    begin: Time,
}

/// Days of the week, Monday first.
type Weekdays = [bool; 7];

/// A season lasts six weeks; common practice.
const WEEKS: i64 = 6;

impl Days {
    /// Whether a first day is given.
    pub fn has_start(&self) -> bool {
        self.start.is_some()
    }

    /// The crews; `None` where no day is known to start on.
    pub fn crews(
        &self,
        planned: &[(Job, Planned)],
        book: &PriceBook,
    ) -> Result<Option<Crews>, Failure> {
        let last = planned.iter().filter_map(|(job, _)| job.due).max();
        let start = match (self.start, last) {
            (Some(start), _) => start,
            (None, Some(last)) => monday_before(last).ok_or_else(|| {
                Failure::plain(
                    format!("no season ends on {last}"),
                    "check the due dates, or give --start",
                )
            })?,
            (None, None) => return Ok(None),
        };
        Ok(Some(Crews {
            count: usize::from(self.crews),
            hours_a_day: book.labour.day,
            weekdays: self.days,
            start,
            off: self.off.clone(),
            begin: self.begin,
        }))
    }
}

fn monday_before(last: Date) -> Option<Date> {
    let start = last.checked_sub(WEEKS.weeks()).ok()?;
    let since_monday = i64::from(start.weekday().to_monday_zero_offset());
    start.checked_sub(since_monday.days()).ok()
}

fn date(text: &str) -> Result<Date, String> {
    text.trim()
        .parse()
        .map_err(|_| "write year, month and day, as 2026-10-05".to_owned())
}

fn time_of_day(text: &str) -> Result<Time, String> {
    let read = text.split_once(':').and_then(|(hour, minute)| {
        let (hour, minute): (i8, i8) = (hour.trim().parse().ok()?, minute.trim().parse().ok()?);
        let possible = (0..24).contains(&hour) && (0..60).contains(&minute);
        possible.then(|| time(hour, minute, 0, 0))
    });
    read.ok_or_else(|| "write hours and minutes, as 07:30".to_owned())
}

fn weekdays(text: &str) -> Result<Weekdays, String> {
    const NAMES: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];
    let mut days = [false; 7];
    for name in text.split(',').map(|name| name.trim().to_lowercase()) {
        let place = NAMES.iter().position(|known| *known == name);
        let slot = place.and_then(|place| days.get_mut(place));
        match slot {
            Some(slot) => *slot = true,
            None => return Err(format!("'{name}' is no day: write {}", NAMES.join(","))),
        }
    }
    Ok(days)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_read() {
        assert_eq!(
            weekdays("mon, Sat"),
            Ok([true, false, false, false, false, true, false])
        );
        assert!(weekdays("mon,tuesday").is_err_and(|error| error.contains("'tuesday' is no day")));
        assert_eq!(date("2026-10-05"), Ok(jiff::civil::date(2026, 10, 5)));
        assert!(date("5.10.2026").is_err() && date("2026-13-01").is_err());
        assert_eq!(time_of_day("7:30"), Ok(time(7, 30, 0, 0)));
        assert!(time_of_day("25:00").is_err() && time_of_day("7").is_err());
        // 2026-11-20 is a Friday; six weeks before is 2026-10-09, whose Monday is the fifth.
        assert_eq!(
            monday_before(jiff::civil::date(2026, 11, 20)),
            Some(jiff::civil::date(2026, 10, 5))
        );
    }
}
