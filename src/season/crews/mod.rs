//! Crews and their days: which crew is at which boat when.
//!
//! A boat is done by one crew without another in between; what does not end in a day goes on the next. Boats are taken up
//! in the order of their due dates by whichever crew is free first: for one crew that makes the greatest lateness least
//! (J. R. Jackson 1955, memory), for several it is a good rule and no proof. Then harder boats are moved forward as far
//! as no boat becomes late or later by it: crews are fresh and the weather is kind early in the season.

#[cfg(test)]
mod tests;

use jiff::civil::{Date, Time, time};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

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
    /// When a day begins.
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

/// Who is where when.
#[derive(Debug, Clone, PartialEq)]
pub struct Rota {
    /// Stretches by day, crew and hour.
    pub shifts: Vec<Shift>,
    /// Boats that are late, by their place in the list, with the days; the order of the list.
    pub late: Vec<(usize, i64)>,
    /// When a day begins.
    pub begin: Time,
}

/// What is wrong with crews or boats.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CrewError {
    /// Nobody works.
    #[error("there is no crew")]
    NoCrew,
    /// No day of the week is worked on.
    #[error("no day of the week is a working day")]
    NoDay,
    /// A day's hours make no sense.
    #[error("a day of {0} hours from {1} on does not fit into a day")]
    Day(f64, String),
    /// A boat's hours make no sense.
    #[error("'{name}' takes {hours} hours")]
    Hours {
        /// The boat.
        name: String,
        /// Its hours.
        hours: f64,
    },
    /// The season would go on for ever.
    #[error("the work does not end within {MOST_DAYS} days")]
    Endless,
}

/// A rest of a day that is shorter is not begun on a boat that does not end in it, h; house rule.
const LEAST_START: f64 = 0.5;

/// Sums of hours are rounded: less than a second is nothing, h.
const HAIR: f64 = 1e-6;

/// Days that are looked at from the start on.
const MOST_DAYS: usize = 3660;

/// Minutes to which times of day are told.
const STEP: f64 = 5.0;

impl Rota {
    /// The time of day so many hours after a day's begin, to five minutes.
    #[must_use]
    pub fn time(&self, hours: f64) -> Time {
        let begin = f64::from(self.begin.hour()) * 60.0 + f64::from(self.begin.minute());
        let minutes = ((begin + 60.0 * hours) / STEP).round() * STEP;
        let minutes = minutes.clamp(0.0, 24.0 * 60.0 - STEP) as i32;
        time((minutes / 60) as i8, (minutes % 60) as i8, 0, 0)
    }
}

/// Makes the rota.
///
/// # Errors
/// All that is wrong with crews and boats.
pub fn schedule(list: &[Work], crews: &Crews) -> Result<Rota, Vec<CrewError>> {
    check(list, crews)?;
    let days = working_days(crews);
    let planner = Planner { list, crews, days };
    let mut order: Vec<usize> = (0..list.len()).collect();
    order.sort_by(|a, b| planner.by_due(*a, *b));
    let ends = planner
        .ends(&order)
        .ok_or_else(|| vec![CrewError::Endless])?;
    let bound: Vec<i64> = ends
        .iter()
        .enumerate()
        .map(|(work, day)| planner.late(work, *day))
        .collect();
    planner.hardest_forward(&mut order, &bound);
    let shifts = planner
        .shifts(&order)
        .ok_or_else(|| vec![CrewError::Endless])?;
    let mut last = vec![0; list.len()];
    for (work, day) in planner.ends(&order).unwrap_or(ends).into_iter().enumerate() {
        if let Some(slot) = last.get_mut(work) {
            *slot = planner.late(work, day);
        }
    }
    Ok(Rota {
        shifts,
        late: last
            .into_iter()
            .enumerate()
            .filter(|(_, days)| *days > 0)
            .collect(),
        begin: crews.begin,
    })
}

fn check(list: &[Work], crews: &Crews) -> Result<(), Vec<CrewError>> {
    let mut errors = Vec::new();
    if crews.count == 0 {
        errors.push(CrewError::NoCrew);
    }
    if !crews.weekdays.contains(&true) {
        errors.push(CrewError::NoDay);
    }
    let begin = f64::from(crews.begin.hour()) + f64::from(crews.begin.minute()) / 60.0;
    let day = crews.hours_a_day;
    if !(day > LEAST_START && begin + day < 24.0) {
        errors.push(CrewError::Day(
            day,
            crews.begin.strftime("%H:%M").to_string(),
        ));
    }
    for work in list {
        if !(work.hours > 0.0 && work.hours.is_finite()) {
            errors.push(CrewError::Hours {
                name: work.name.clone(),
                hours: work.hours,
            });
        }
    }
    if errors.is_empty() {
        Ok(())
    } else {
        Err(errors)
    }
}

/// The days that are worked on, from the start on.
fn working_days(crews: &Crews) -> Vec<Date> {
    let mut days = Vec::new();
    let mut date = crews.start;
    for _ in 0..MOST_DAYS {
        let weekday = usize::try_from(date.weekday().to_monday_zero_offset()).unwrap_or(0);
        let works = crews.weekdays.get(weekday).copied().unwrap_or(false);
        if works && !crews.off.contains(&date) {
            days.push(date);
        }
        match date.tomorrow() {
            Ok(next) => date = next,
            Err(_) => break,
        }
    }
    days
}

struct Planner<'a> {
    list: &'a [Work],
    crews: &'a Crews,
    days: Vec<Date>,
}

/// Where a crew is: working day, and hours into it.
#[derive(Debug, Clone, Copy)]
struct Clock {
    day: usize,
    hours: f64,
}

impl Planner<'_> {
    /// Boats by due date, the harder first among those due on one day; those without one come last.
    fn by_due(&self, a: usize, b: usize) -> std::cmp::Ordering {
        let key = |work: usize| {
            self.list
                .get(work)
                .map(|work| (work.due.is_none(), work.due))
        };
        let hardness = |work: usize| self.list.get(work).map_or(0.0, |work| work.hardness);
        key(a)
            .cmp(&key(b))
            .then(hardness(b).total_cmp(&hardness(a)))
            .then(a.cmp(&b))
    }

    /// Days that a boat is late where it ends on a working day.
    fn late(&self, work: usize, day: usize) -> i64 {
        let due = self.list.get(work).and_then(|work| work.due);
        let (Some(due), Some(end)) = (due, self.days.get(day)) else {
            return 0;
        };
        let days = due.until(*end).map_or(0, |span| i64::from(span.get_days()));
        days.max(0)
    }

    /// Lets a crew work on a boat: `done` is told of each stretch; the clock after it.
    fn work(&self, mut clock: Clock, hours: f64, mut done: impl FnMut(usize, f64, f64)) -> Clock {
        let day = self.crews.hours_a_day;
        let rest = day - clock.hours;
        if rest < hours - HAIR && rest < LEAST_START {
            clock = Clock {
                day: clock.day + 1,
                hours: 0.0,
            };
        }
        let mut left = hours;
        while left > HAIR {
            let now = left.min(day - clock.hours);
            done(clock.day, clock.hours, now);
            left -= now;
            clock.hours += now;
            // A day that is full ends only when there is more to do: an end at closing time is on that day.
            if left > HAIR {
                clock = Clock {
                    day: clock.day + 1,
                    hours: 0.0,
                };
            }
        }
        if clock.hours >= day - HAIR {
            clock = Clock {
                day: clock.day + 1,
                hours: 0.0,
            };
        }
        clock
    }

    /// Lets crews take up boats in an order; `done` is told boat, crew, day, hour and hours of each stretch.
    fn run(&self, order: &[usize], mut done: impl FnMut(usize, usize, usize, f64, f64)) {
        // Whoever is free first takes the next boat; of several the first crew. Hours compare as whole millionths.
        let ticks = |hours: f64| (hours / HAIR).round() as i64;
        let mut free: BinaryHeap<Reverse<(usize, i64, usize)>> = (0..self.crews.count)
            .map(|crew| Reverse((0, 0, crew)))
            .collect();
        for work in order {
            let (Some(Reverse((day, into, crew))), Some(boat)) = (free.pop(), self.list.get(*work))
            else {
                continue;
            };
            let clock = Clock {
                day,
                hours: into as f64 * HAIR,
            };
            let after = self.work(clock, boat.hours, |day, begins, hours| {
                done(*work, crew, day, begins, hours);
            });
            free.push(Reverse((after.day, ticks(after.hours), crew)));
        }
    }

    /// The working day on which each boat ends; `None` where the days do not suffice.
    fn ends(&self, order: &[usize]) -> Option<Vec<usize>> {
        let mut ends = vec![0; self.list.len()];
        self.run(order, |work, _, day, _, _| {
            if let Some(end) = ends.get_mut(work) {
                *end = day;
            }
        });
        ends.iter()
            .all(|day| *day < self.days.len())
            .then_some(ends)
    }

    /// Whether no boat is later than it may be.
    fn holds(&self, order: &[usize], bound: &[i64]) -> bool {
        self.ends(order).is_some_and(|ends| {
            let ends = ends.iter().enumerate();
            ends.zip(bound)
                .all(|((work, day), most)| self.late(work, *day) <= *most)
        })
    }

    /// Moves boats forward, the hardest first, each as far as no boat becomes later than it may be.
    fn hardest_forward(&self, order: &mut Vec<usize>, bound: &[i64]) {
        let hardness = |work: &usize| self.list.get(*work).map_or(0.0, |work| work.hardness);
        let mut hardest = order.clone();
        hardest.sort_by(|a, b| hardness(b).total_cmp(&hardness(a)).then(a.cmp(b)));
        for work in hardest {
            let Some(now) = order.iter().position(|other| *other == work) else {
                continue;
            };
            // Not before a boat that is as hard.
            let first = order
                .iter()
                .take(now)
                .rposition(|other| hardness(other) >= hardness(&work))
                .map_or(0, |place| place + 1);
            let moved = |place: usize| {
                let mut trial = order.clone();
                trial.remove(now);
                trial.insert(place, work);
                trial
            };
            // The further forward, the more boats wait: the foremost place that holds is sought by halves.
            let (mut from, mut to) = (first, now);
            while from < to {
                let middle = from + (to - from) / 2;
                if self.holds(&moved(middle), bound) {
                    to = middle;
                } else {
                    from = middle + 1;
                }
            }
            if to < now {
                let trial = moved(to);
                if self.holds(&trial, bound) {
                    *order = trial;
                }
            }
        }
    }

    /// The stretches of an order by day, crew and hour; `None` where the days do not suffice.
    fn shifts(&self, order: &[usize]) -> Option<Vec<Shift>> {
        let mut found: Vec<(usize, Shift)> = Vec::new();
        let mut parts = vec![0; self.list.len()];
        let mut fits = true;
        self.run(order, |work, crew, day, begins, hours| {
            let Some(date) = self.days.get(day) else {
                fits = false;
                return;
            };
            let part = parts.get_mut(work).map_or(1, |parts| {
                *parts += 1;
                *parts
            });
            found.push((
                day,
                Shift {
                    crew,
                    date: *date,
                    begins,
                    hours,
                    work,
                    part,
                    of: 0,
                },
            ));
        });
        for (_, shift) in &mut found {
            shift.of = parts.get(shift.work).copied().unwrap_or(1);
        }
        found.sort_by(|(a, x), (b, y)| {
            a.cmp(b)
                .then(x.crew.cmp(&y.crew))
                .then(x.begins.total_cmp(&y.begins))
        });
        fits.then(|| found.into_iter().map(|(_, shift)| shift).collect())
    }
}
