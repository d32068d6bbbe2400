//! Which crew does which boats, so that few are late.
//!
//! For one crew the boats are taken by due date, and whenever one would end late, the longest of those taken is put off:
//! that leaves as few late as can be (J. M. Moore 1968, memory). If all can be in time, the order by due date alone has them
//! so (J. R. Jackson 1955, memory). For several crews this is done with the crews side by side, in several orders and by
//! several ways to choose a crew, and the best is kept: fewest late boats, then fewest days late in all, then the least
//! lateness of a single boat. No proof there: to share boats between crews is hard however one goes about it.

use super::yard::{Rows, Yard};
use std::collections::{BTreeSet, BinaryHeap};

/// Which crew takes the next boat.
#[derive(Debug, Clone, Copy)]
enum Choice {
    /// The first to be free.
    Free,
    /// The busiest that still ends it in time, else the first to be free: long boats to come find a free crew.
    Busiest,
}

/// Boats with a due date, shared among crews.
pub(super) fn fewest_late(yard: &Yard) -> Rows {
    let mut due: Vec<usize> = (0..yard.boats.len())
        .filter(|work| yard.boat(*work).due.is_some())
        .collect();
    due.sort_by(|a, b| yard.by_due(*a, *b));
    let mut longest = due.clone();
    longest.sort_by_key(|work| {
        let boat = yard.boat(*work);
        (boat.due, std::cmp::Reverse(boat.ticks), boat.rank)
    });
    // By the last moment at which a boat can be begun.
    let mut latest = due.clone();
    latest.sort_by_key(|work| {
        let boat = yard.boat(*work);
        (
            boat.due.map(|due| due as i64 - boat.ticks as i64),
            std::cmp::Reverse(boat.ticks),
            boat.rank,
        )
    });
    let mut best: Option<(Lateness, Rows)> = None;
    for order in [&due, &longest, &latest] {
        for choice in [Choice::Free, Choice::Busiest] {
            for put_off in [false, true] {
                let rows = share(yard, order, choice, put_off);
                let lateness = lateness(yard, &rows);
                let none = lateness.boats == 0;
                if best.as_ref().is_none_or(|(least, _)| lateness < *least) {
                    best = Some((lateness, rows));
                }
                // Rules that come later pack crews tighter, for nothing where nobody is late.
                if none {
                    return best.map(|(_, rows)| rows).unwrap_or_default();
                }
            }
        }
    }
    best.map(|(_, rows)| rows).unwrap_or_default()
}

/// How late boats are, the worse part first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Lateness {
    /// Late boats.
    pub boats: usize,
    /// Their days in all.
    pub days: i64,
    /// The days of the worst.
    pub worst: i64,
}

/// How late the boats of rows are.
pub(super) fn lateness(yard: &Yard, rows: &Rows) -> Lateness {
    let mut found = Lateness {
        boats: 0,
        days: 0,
        worst: 0,
    };
    for row in rows {
        for (work, (end, _)) in row.iter().zip(yard.ends(row)) {
            let days = yard.late(*work, end);
            found.boats += usize::from(days > 0);
            found.days += days;
            found.worst = found.worst.max(days);
        }
    }
    found
}

/// Shares boats among crews in an order. With `put_off`, those that would make others late come behind all the rest, the
/// shortest first.
fn share(yard: &Yard, order: &[usize], choice: Choice, put_off: bool) -> Rows {
    let mut rows: Rows = vec![Vec::new(); yard.crews.count];
    // Longest on top.
    let mut taken: Vec<BinaryHeap<(u64, usize, usize)>> = vec![BinaryHeap::new(); yard.crews.count];
    let mut free: BTreeSet<(u64, usize)> = (0..yard.crews.count).map(|crew| (0, crew)).collect();
    let mut late = Vec::new();
    let mut is_late = vec![false; yard.boats.len()];
    for work in order {
        let boat = yard.boat(*work);
        let due = boat.due.unwrap_or(u64::MAX);
        let in_time = due.checked_sub(boat.ticks).and_then(|latest| {
            let mut upto = free.range(..=(latest, usize::MAX)).rev();
            upto.find(|(clock, _)| yard.place(*clock, boat.ticks).1 <= due)
                .copied()
        });
        let chosen = match (choice, in_time) {
            (Choice::Busiest, Some(crew)) => Some(crew),
            _ => free.first().copied(),
        };
        let Some((clock, crew)) = chosen else {
            continue;
        };
        let (Some(row), Some(heap)) = (rows.get_mut(crew), taken.get_mut(crew)) else {
            continue;
        };
        free.remove(&(clock, crew));
        let (_, mut end) = yard.place(clock, boat.ticks);
        row.push(*work);
        heap.push((boat.ticks, boat.rank, *work));
        if put_off
            && end > due
            && let Some((ticks, _, other)) = heap.pop()
        {
            // A rest of a day that was not begun stays in the sum here: the rows are timed anew in the end.
            end = end.saturating_sub(ticks);
            late.push(other);
            if let Some(slot) = is_late.get_mut(other) {
                *slot = true;
            }
        }
        free.insert((end, crew));
    }
    for row in &mut rows {
        row.retain(|work| is_late.get(*work) != Some(&true));
    }
    late.sort_by_key(|work| {
        (
            yard.boat(*work).ticks,
            yard.boat(*work).due,
            yard.boat(*work).rank,
        )
    });
    let mut free: BTreeSet<(u64, usize)> = rows
        .iter()
        .enumerate()
        .map(|(crew, row)| (yard.ends(row).last().map_or(0, |(end, _)| *end), crew))
        .collect();
    for work in late {
        let Some((clock, crew)) = free.pop_first() else {
            continue;
        };
        if let Some(row) = rows.get_mut(crew) {
            row.push(work);
        }
        free.insert((yard.place(clock, yard.boat(work).ticks).1, crew));
    }
    rows
}

/// No rota has fewer late boats: what crews do in time, one crew as fast as all of them together does in time as well, and
/// for one the fewest are known.
pub(super) fn bound(yard: &Yard) -> usize {
    let crews = yard.crews.count as u128;
    let mut order: Vec<(u64, u64)> = yard
        .boats
        .iter()
        .filter_map(|boat| Some((boat.due?, boat.ticks)))
        .collect();
    order.sort_unstable();
    let (mut sum, mut late) = (0u128, 0);
    let mut taken = BinaryHeap::new();
    for (due, ticks) in order {
        // Too long even for a crew that does nothing else.
        if ticks > due {
            late += 1;
            continue;
        }
        sum += u128::from(ticks);
        taken.push(ticks);
        if sum > crews * u128::from(due) {
            sum -= u128::from(taken.pop().unwrap_or(0));
            late += 1;
        }
    }
    late
}
