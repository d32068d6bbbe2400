//! Boats and crews in working time: ticks that are worked, from the first day's begin on, nights and days off left out.

use super::days::Calendar;
use super::{Crews, MIN_START, Rota, RotaStatus, Shift, TICKS, Work, order, ticks};
use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

/// Boats in the order in which each crew does them.
pub(super) type Rows = Vec<Vec<usize>>;

/// A boat.
#[derive(Debug, Clone, Copy)]
pub(super) struct Boat {
    /// Its work.
    pub ticks: u64,
    /// By when it must end; `None` where it has no due date.
    pub due: Option<u64>,
    /// The greater the harder.
    pub hardness: f64,
    /// Its place among all when these are put in order by their names.
    pub rank: usize,
}

/// What the planning needs of boats and crews.
pub(super) struct Yard<'a> {
    list: &'a [Work],
    pub crews: &'a Crews,
    pub calendar: &'a Calendar,
    pub boats: Vec<Boat>,
}

impl<'a> Yard<'a> {
    pub fn new(list: &'a [Work], crews: &'a Crews, calendar: &'a Calendar) -> Yard<'a> {
        let mut named: Vec<(usize, &Work)> = list.iter().enumerate().collect();
        named.sort_by(|(_, a), (_, b)| a.name.cmp(&b.name));
        let mut ranks = vec![0; list.len()];
        for (rank, (index, _)) in named.into_iter().enumerate() {
            if let Some(slot) = ranks.get_mut(index) {
                *slot = rank;
            }
        }
        let boat = |(work, rank): (&Work, usize)| Boat {
            ticks: ticks(work.hours),
            due: work.due.map(|due| calendar.until(due)),
            hardness: work.hardness,
            rank,
        };
        let boats = list.iter().zip(ranks).map(boat).collect();
        Yard {
            list,
            crews,
            calendar,
            boats,
        }
    }

    pub fn boat(&self, index: usize) -> Boat {
        let nothing = Boat {
            ticks: 1,
            due: None,
            hardness: 0.0,
            rank: index,
        };
        self.boats.get(index).copied().unwrap_or(nothing)
    }

    /// Where a crew that is free begins a boat, and where it ends.
    pub fn place(&self, free: u64, work: u64) -> (u64, u64) {
        let day = self.calendar.day;
        let into = free % day;
        let rest = day - into;
        let short = into > 0 && rest < work && rest < ticks(MIN_START);
        let begin = if short { free + rest } else { free };
        (begin, begin + work)
    }

    /// When each boat of a row ends, and how long its crew stood idle before it, in all.
    pub fn ends(&self, row: &[usize]) -> Vec<(u64, u64)> {
        let (mut free, mut idle) = (0, 0);
        let end = |work: &usize| {
            let (begin, end) = self.place(free, self.boat(*work).ticks);
            idle += begin - free;
            free = end;
            (end, idle)
        };
        row.iter().map(end).collect()
    }

    /// Which of two boats comes first by due date, then hardness, then work: the longer one, whose day is harder to find.
    pub fn by_due(&self, a: usize, b: usize) -> Ordering {
        let (x, y) = (self.boat(a), self.boat(b));
        let due = (x.due.is_none(), x.due).cmp(&(y.due.is_none(), y.due));
        due.then(self.by_hardness(a, b))
    }

    /// Which of two boats comes first by hardness.
    pub fn by_hardness(&self, a: usize, b: usize) -> Ordering {
        let (x, y) = (self.boat(a), self.boat(b));
        let hardness = y.hardness.total_cmp(&x.hardness);
        hardness
            .then(y.ticks.cmp(&x.ticks))
            .then(x.rank.cmp(&y.rank))
    }

    /// Days from a boat's due date to the day on which it ends, where that is later.
    pub fn late(&self, work: usize, end: u64) -> i64 {
        let due = self.list.get(work).and_then(|work| work.due);
        let (Some(due), Some((last, _))) = (due, self.calendar.date(end.saturating_sub(1))) else {
            return 0;
        };
        i64::from((last - due).get_days()).max(0)
    }

    /// Lets boats without a due date be taken up, the hardest first, by whichever crew is free first.
    pub fn fill_up(&self, rows: &mut Rows) {
        let mut rest: Vec<usize> = (0..self.boats.len())
            .filter(|work| self.boat(*work).due.is_none())
            .collect();
        rest.sort_by(|a, b| self.by_hardness(*a, *b));
        let free = |row: &Vec<usize>| self.ends(row).last().map_or(0, |(end, _)| *end);
        let mut heap: BinaryHeap<Reverse<(u64, usize)>> = rows
            .iter()
            .enumerate()
            .map(|(crew, row)| Reverse((free(row), crew)))
            .collect();
        for work in rest {
            let Some(Reverse((free, crew))) = heap.pop() else {
                return;
            };
            let (_, end) = self.place(free, self.boat(work).ticks);
            if let Some(row) = rows.get_mut(crew) {
                row.push(work);
            }
            heap.push(Reverse((end, crew)));
        }
    }

    /// The rota of rows; `None` where the days do not suffice.
    pub fn rota(&self, rows: &Rows) -> Option<Rota> {
        let mut shifts = Vec::new();
        let mut late = Vec::new();
        let day = self.calendar.day;
        for (crew, row) in rows.iter().enumerate() {
            for (work, (end, _)) in row.iter().zip(self.ends(row)) {
                let begin = end - self.boat(*work).ticks;
                let (first, last) = (begin / day, (end - 1) / day);
                for number in first..=last {
                    let from = begin.max(number * day);
                    let (date, into) = self.calendar.date(from)?;
                    shifts.push(Shift {
                        crew,
                        date,
                        begins: into as f64 / TICKS,
                        hours: (end.min((number + 1) * day) - from) as f64 / TICKS,
                        work: *work,
                        part: (number - first + 1) as usize,
                        of: (last - first + 1) as usize,
                    });
                }
                let days = self.late(*work, end);
                if days > 0 {
                    late.push((*work, days));
                }
            }
        }
        let key = |shift: &Shift| (shift.date, shift.crew);
        shifts.sort_by(|a, b| key(a).cmp(&key(b)).then(a.begins.total_cmp(&b.begins)));
        late.sort_unstable();
        let fewest = order::bound(self);
        let status = match late.len() {
            0 => RotaStatus::InTime,
            found if found == fewest => RotaStatus::FewestLate,
            _ => RotaStatus::Late,
        };
        Some(Rota {
            last_day: shifts.last().map(|shift| shift.date),
            shifts,
            late,
            fewest,
            status,
            begin: self.crews.begin,
        })
    }
}
