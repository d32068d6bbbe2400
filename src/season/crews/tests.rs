//! Hours kept, nobody at two boats at once, lateness against every rota tried.

use super::*;
use jiff::ToSpan;
use jiff::civil::date;
use proptest::prelude::*;

/// A Monday.
const START: Date = date(2026, 10, 5);

fn crews(count: usize) -> Crews {
    Crews {
        count,
        hours_a_day: 8.0,
        weekdays: [true, true, true, true, true, false, false],
        start: START,
        off: vec![date(2026, 10, 7)],
        begin: time(8, 0, 0, 0),
    }
}

/// A boat, due so many days after the start.
fn work(name: &str, hours: f64, due: Option<i64>, hardness: f64) -> Work {
    Work {
        name: name.to_owned(),
        hours,
        due: due.map(|days| START + days.days()),
        hardness,
    }
}

/// The laws that every rota keeps.
fn sound(list: &[Work], crews: &Crews, rota: &Rota) {
    for (index, work) in list.iter().enumerate() {
        let own: Vec<&Shift> = rota
            .shifts
            .iter()
            .filter(|shift| shift.work == index)
            .collect();
        let hours: f64 = own.iter().map(|shift| shift.hours).sum();
        assert!((hours - work.hours).abs() < 1e-6, "{}: {hours}", work.name);
        assert!(
            own.iter().all(|shift| shift.crew == own[0].crew
                && shift.of == own.len()
                && shift.hours > 0.0)
        );
        let parts: Vec<usize> = own.iter().map(|shift| shift.part).collect();
        assert_eq!(parts, (1..=own.len()).collect::<Vec<_>>());
        // It is begun late in a day only where it ends in it.
        let begins_late = own[0].begins > crews.hours_a_day - MIN_START + 1e-6;
        assert!(!begins_late || own.len() == 1, "{}", work.name);
        // Without another boat in between, and on the next working day.
        let of_crew: Vec<&Shift> = rota
            .shifts
            .iter()
            .filter(|shift| shift.crew == own[0].crew)
            .collect();
        let first = of_crew
            .iter()
            .position(|shift| shift.work == index)
            .unwrap();
        assert!(
            of_crew[first..first + own.len()]
                .iter()
                .all(|shift| shift.work == index)
        );
        for pair in own.windows(2) {
            assert_eq!(
                next_working_day(pair[0].date, crews),
                pair[1].date,
                "{}",
                work.name
            );
            assert!(pair[1].begins == 0.0);
            assert!((pair[0].begins + pair[0].hours - crews.hours_a_day).abs() < 1e-6);
        }
        let last = own.iter().map(|shift| shift.date).max().unwrap();
        let late = rota
            .late
            .iter()
            .find(|(work, _)| *work == index)
            .map_or(0, |(_, days)| *days);
        let wanted = work
            .due
            .map_or(0, |due| i64::from((last - due).get_days()).max(0));
        assert_eq!(late, wanted, "{}", work.name);
    }
    let mut sorted: Vec<&Shift> = rota.shifts.iter().collect();
    sorted.sort_by(|a, b| {
        (a.crew, a.date)
            .cmp(&(b.crew, b.date))
            .then(a.begins.total_cmp(&b.begins))
    });
    for shift in &sorted {
        assert!(shift.begins >= 0.0 && shift.begins + shift.hours <= crews.hours_a_day + 1e-6);
        assert!(shift.crew < crews.count && shift.date >= crews.start && works(shift.date, crews));
    }
    for pair in sorted
        .windows(2)
        .filter(|pair| (pair[0].crew, pair[0].date) == (pair[1].crew, pair[1].date))
    {
        assert!(pair[0].begins + pair[0].hours <= pair[1].begins + 1e-6);
    }
    assert_eq!(
        rota.last_day,
        rota.shifts.iter().map(|shift| shift.date).max()
    );
    assert!(rota.fewest <= rota.late.len());
    assert_eq!(rota.late.is_empty(), rota.status == RotaStatus::InTime);
}

fn works(date: Date, crews: &Crews) -> bool {
    let weekday = usize::try_from(date.weekday().to_monday_zero_offset()).unwrap();
    crews.weekdays[weekday] && !crews.off.contains(&date)
}

fn next_working_day(date: Date, crews: &Crews) -> Date {
    let mut date = date + 1.day();
    while !works(date, crews) {
        date += 1.day();
    }
    date
}

#[test]
fn a_week_by_hand() {
    // Monday: the due one, then three hours of the long one; Wednesday is off.
    let list = [
        work("long", 12.0, None, 1.0),
        work("due", 5.0, Some(0), 0.5),
        work("short", 2.0, None, 0.1),
    ];
    let rota = schedule(&list, &crews(1)).unwrap();
    sound(&list, &crews(1), &rota);
    let told = rota
        .shifts
        .iter()
        .map(|shift| (shift.work, shift.date.day(), shift.begins, shift.hours));
    let wanted = [
        (1, 5, 0.0, 5.0),
        (0, 5, 5.0, 3.0),
        (0, 6, 0.0, 8.0),
        (0, 8, 0.0, 1.0),
        (2, 8, 1.0, 2.0),
    ];
    assert_eq!(told.collect::<Vec<_>>(), wanted);
    assert_eq!(rota.time(5.25), time(13, 15, 0, 0));
    assert_eq!(
        (rota.status, rota.last_day),
        (RotaStatus::InTime, Some(date(2026, 10, 8)))
    );
}

/// The names in the order in which the one crew takes them up, and the late ones with their days.
fn check(list: &[Work], wanted: &[&str], late: &[(&str, i64)]) {
    let rota = schedule(list, &crews(1)).unwrap();
    sound(list, &crews(1), &rota);
    let first = rota.shifts.iter().filter(|shift| shift.part == 1);
    assert_eq!(
        first
            .map(|shift| list[shift.work].name.as_str())
            .collect::<Vec<_>>(),
        wanted
    );
    let told = rota
        .late
        .iter()
        .map(|(work, days)| (list[*work].name.as_str(), *days));
    assert_eq!(told.collect::<Vec<_>>(), late);
}

#[test]
fn who_comes_when() {
    let (easy, hard) = (
        work("easy", 4.0, Some(20), 0.1),
        work("hard", 4.0, Some(25), 0.9),
    );
    let first = work("due first", 8.0, Some(0), 0.2);
    // Harder boats come early where nobody pays.
    check(
        &[easy.clone(), hard, first.clone()],
        &["due first", "hard", "easy"],
        &[],
    );
    // Not where somebody would.
    let long = work("long", 8.0, Some(25), 0.9);
    let tight = work("tight", 8.0, Some(1), 0.1);
    check(
        &[long, tight, first.clone()],
        &["due first", "tight", "long"],
        &[],
    );
    // Boats without a due date fill up behind, the hardest first.
    let (hardest, soft) = (
        work("hardest", 3.0, None, 5.0),
        work("soft", 3.0, None, 0.0),
    );
    check(
        &[soft, hardest, easy, first.clone()],
        &["due first", "easy", "hardest", "soft"],
        &[],
    );
    // One long boat is late, or two short ones would be: from Friday to Monday are three days.
    let (a, b) = (work("a", 8.0, Some(1), 0.0), work("b", 8.0, Some(3), 0.0));
    let long = work("long", 16.0, Some(1), 9.0);
    check(
        &[long, a, b, first],
        &["due first", "a", "b", "long"],
        &[("long", 6)],
    );
}

#[test]
fn a_short_rest_of_a_day_is_not_begun() {
    let begins = |hours: f64| {
        let list = [work("a", 7.7, None, 1.0), work("b", hours, None, 0.5)];
        let rota = schedule(&list, &crews(1)).unwrap();
        sound(&list, &crews(1), &rota);
        rota.shifts[1].date.day()
    };
    assert_eq!(begins(3.0), 6);
    // One that ends in it is.
    assert_eq!(begins(0.3), 5);
}

#[test]
fn what_is_wrong_is_told_all_at_once() {
    let broken = Crews {
        count: 0,
        weekdays: [false; 7],
        hours_a_day: 17.0,
        ..crews(1)
    };
    let list = [
        work("none", 0.0, None, 1.0),
        work("odd", f64::NAN, None, 1.0),
        work("soft", 1.0, None, f64::INFINITY),
        work("sound", 1.0, None, 1.0),
    ];
    assert_eq!(schedule(&list, &broken).unwrap_err().len(), 6);
    let sound = [work("sound", 8.0, Some(3), 1.0)];
    let days = (0..4000)
        .map(|days| START + i64::from(days).days())
        .collect();
    let last = date(9999, 12, 31);
    let endless = [
        (work("long", 9e4, None, 1.0), crews(1)),
        (
            sound[0].clone(),
            Crews {
                off: days,
                ..crews(1)
            },
        ),
        (
            work("two days", 9.0, None, 1.0),
            Crews {
                start: last,
                ..crews(1)
            },
        ),
    ];
    for (work, crews) in endless {
        assert_eq!(
            schedule(&[work], &crews).unwrap_err(),
            [CrewError::Endless(crews.start)]
        );
    }
    let short = Crews {
        hours_a_day: 0.5,
        ..crews(1)
    };
    assert!(matches!(
        schedule(&sound, &short).unwrap_err()[..],
        [CrewError::Day(..)]
    ));
    let none = schedule(&[], &crews(1)).unwrap();
    assert_eq!(
        (none.shifts.len(), none.last_day, none.status),
        (0, None, RotaStatus::InTime)
    );
}

/// Calls `found` with every way in which crews can do boats: rows.
fn every_rota(boats: usize, count: usize, found: &mut impl FnMut(&[Vec<usize>])) {
    fn go(
        next: usize,
        boats: usize,
        rows: &mut [Vec<usize>],
        found: &mut impl FnMut(&[Vec<usize>]),
    ) {
        if next == boats {
            found(rows);
            return;
        }
        for crew in 0..rows.len() {
            for place in 0..=rows[crew].len() {
                rows[crew].insert(place, next);
                go(next + 1, boats, rows, found);
                rows[crew].remove(place);
            }
        }
    }
    go(0, boats, &mut vec![Vec::new(); count], found);
}

/// Days late of each boat, counted quarter hour by quarter hour without the planner.
fn by_hand(list: &[Work], rows: &[Vec<usize>], crews: &Crews) -> Vec<i64> {
    let mut late = vec![0; list.len()];
    for row in rows {
        let (mut date, mut quarters) = (crews.start, 32);
        while !works(date, crews) {
            date += 1.day();
        }
        for index in row {
            let mut left = (4.0 * list[*index].hours).round() as i32;
            if quarters < 2 && quarters < left {
                quarters = 0;
            }
            while left > 0 {
                if quarters == 0 {
                    (date, quarters) = (next_working_day(date, crews), 32);
                }
                left -= 1;
                quarters -= 1;
            }
            late[*index] = list[*index]
                .due
                .map_or(0, |due| i64::from((date - due).get_days()).max(0));
        }
    }
    late
}

/// Late boats, days in all, days of the worst: as few as in any rota.
fn least(list: &[Work], crews: &Crews) -> (usize, i64, i64) {
    let mut least = (usize::MAX, 0, 0);
    every_rota(list.len(), crews.count, &mut |rows| {
        least = least.min(sums(&by_hand(list, rows, crews)))
    });
    least
}

fn sums(late: &[i64]) -> (usize, i64, i64) {
    let boats = late.iter().filter(|days| **days > 0).count();
    (
        boats,
        late.iter().sum(),
        late.iter().copied().max().unwrap_or(0),
    )
}

fn told(list: &[Work], rota: &Rota) -> (usize, i64, i64) {
    let mut late = vec![0; list.len()];
    for (work, days) in &rota.late {
        late[*work] = *days;
    }
    sums(&late)
}

/// A generator of numbers that are the same every time (Lehmer's, from memory).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, most: u64) -> u64 {
        self.0 = self.0 * 48271 % 2_147_483_647;
        self.0 / 7 % most
    }
}

fn season(numbers: &mut Numbers, boats: usize, longest: u64, days: u64) -> Vec<Work> {
    let boat = |index: usize| {
        let hours = 0.25 * (1 + numbers.below(4 * longest)) as f64;
        let due = (numbers.below(8) > 0).then(|| numbers.below(days) as i64);
        work(
            &format!("boat {index}"),
            hours,
            due,
            numbers.below(100) as f64,
        )
    };
    (0..boats).map(boat).collect()
}

/// Against every rota of small seasons: how often the rules of thumb are best, and by how much they miss.
#[test]
fn several_crews_are_nearly_as_early_as_can_be() {
    let mut numbers = Numbers(20_261_126);
    for (count, boats, longest, days) in
        [(1, 6, 12, 8), (2, 6, 16, 8), (2, 6, 10, 5), (3, 5, 20, 6)]
    {
        let (mut as_few, mut best, mut worst, mut proved) = (0, 0, 0, 0);
        const SEASONS: usize = 60;
        for _ in 0..SEASONS {
            let list = season(&mut numbers, boats, longest, days);
            let crews = crews(count);
            let rota = schedule(&list, &crews).unwrap();
            sound(&list, &crews, &rota);
            let (found, wanted) = (told(&list, &rota), least(&list, &crews));
            assert!(rota.fewest <= wanted.0 && wanted <= found);
            as_few += usize::from(found.0 == wanted.0);
            best += usize::from(found == wanted);
            worst = worst.max(found.0 - wanted.0);
            proved += usize::from(rota.status != RotaStatus::Late);
        }
        println!(
            "{count} crews, {boats} boats: of {SEASONS} {as_few} as few late, {best} best, {proved} proved, worst {worst}"
        );
        assert!(
            worst <= 1 && 10 * as_few >= 9 * SEASONS,
            "{count} crews: {as_few} of {SEASONS}, {worst}"
        );
    }
}

/// A season of its length: seconds for so many boats.
fn seconds(boats: usize, count: usize, days: u64) -> (f64, Rota) {
    let list = season(&mut Numbers(7), boats, 12, days);
    let crews = crews(count);
    let begun = std::time::Instant::now();
    let rota = schedule(&list, &crews).unwrap();
    (begun.elapsed().as_secs_f64(), rota)
}

/// cargo test --release growth -- --ignored --nocapture
#[test]
#[ignore = "takes time to measure time"]
fn growth() {
    for boats in [200, 1000, 2000, 4000, 8000, 16000] {
        // Enough days, and too few: then every rule is tried.
        for days in [80, 40] {
            let (time, rota) = seconds(boats, boats / 50, days);
            println!(
                "{boats} boats, {days} days: {:.1} ms, {} late, not under {}",
                1e3 * time,
                rota.late.len(),
                rota.fewest
            );
        }
    }
}

/// Hardness times the place in the row, in all: less is better. Nearly every row of a full season has room for that, those
/// with idle rests of days as well.
#[test]
fn harder_boats_come_early_in_full_seasons() {
    let (mut rows, mut moved) = (0, 0);
    for seed in 1..40 {
        let list = season(
            &mut Numbers(seed * 1000),
            200,
            12,
            if seed % 2 == 0 { 80 } else { 45 },
        );
        let crews = crews(4);
        let calendar = Calendar::new(&crews, list.iter().map(|work| work.hours).sum()).unwrap();
        let yard = Yard::new(&list, &crews, &calendar);
        let place = |row: &[usize]| -> f64 {
            let places = row.iter().enumerate();
            places
                .map(|(place, work)| place as f64 * list[*work].hardness)
                .sum()
        };
        for mut row in order::fewest_late(&yard) {
            let before = place(&row);
            hardest::forward(&yard, &mut row);
            rows += 1;
            moved += usize::from(place(&row) < before);
        }
    }
    println!("harder boats come earlier in {moved} of {rows} rows");
    assert!(100 * moved >= 95 * rows, "{moved} of {rows}");
}

prop_compose! {
    fn boats(most: usize)(
        boats in prop::collection::vec((1_u32..80, prop::option::weighted(0.8, 0_i64..25), 0_u8..6), 1..most),
    ) -> Vec<Work> {
        let boat = |(index, (hours, due, hardness)): (usize, &(u32, Option<i64>, u8))| {
            work(&format!("boat {index}"), f64::from(*hours) / 3.9, *due, f64::from(*hardness))
        };
        boats.iter().enumerate().map(boat).collect()
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn rotas_are_sound(list in boats(40), count in 1_usize..5) {
        let rota = schedule(&list, &crews(count)).unwrap();
        sound(&list, &crews(count), &rota);
    }

    /// Nobody pays for the harder boats that come early.
    #[test]
    fn harder_boats_make_nobody_later(list in boats(40), count in 1_usize..4) {
        let crews = crews(count);
        let calendar = Calendar::new(&crews, list.iter().map(|work| work.hours).sum()).unwrap();
        let yard = Yard::new(&list, &crews, &calendar);
        let rows = order::fewest_late(&yard);
        for row in rows {
            let late = |row: &[usize]| {
                let ends = row.iter().zip(yard.ends(row));
                let mut late: Vec<_> = ends.map(|(work, (end, _))| (*work, yard.late(*work, end))).collect();
                late.sort_unstable();
                late
            };
            let before = late(&row);
            let mut after = row.clone();
            hardest::forward(&yard, &mut after);
            for (before, after) in before.iter().zip(late(&after)) {
                prop_assert_eq!(before.0, after.0);
                prop_assert!(after.1 <= before.1);
            }
        }
    }

    #[test]
    fn the_order_of_the_list_changes_nothing(list in boats(25), count in 1_usize..4, turn in 0_usize..25) {
        let mut turned = list.clone();
        turned.rotate_left(turn % list.len());
        turned.reverse();
        let named = |list: &[Work]| {
            let rota = schedule(list, &crews(count)).unwrap();
            let name = |shift: &Shift| (list[shift.work].name.clone(), shift.crew, shift.date, shift.part);
            rota.shifts.iter().map(name).collect::<Vec<_>>()
        };
        prop_assert_eq!(named(&list), named(&turned));
    }

    /// One crew and whole hours: as few late boats as in any order, none idle, and of the orders that make nobody later
    /// none has easier boats at its end.
    #[test]
    fn one_crew_is_exact(
        boats in prop::collection::vec((1_u8..16, 0_i64..9, 0_u8..20), 1..7),
    ) {
        // No two are as hard.
        let hardness: Vec<usize> = boats.iter().enumerate().map(|(k, (_, _, hardness))| usize::from(*hardness) * 8 + k).collect();
        let list: Vec<Work> = boats.iter().enumerate()
            .map(|(k, (hours, due, _))| work(&format!("boat {k}"), f64::from(*hours), Some(*due), hardness[k] as f64))
            .collect();
        let crews = crews(1);
        let rota = schedule(&list, &crews).unwrap();
        prop_assert_eq!(rota.late.len(), least(&list, &crews).0);
        prop_assert!(rota.status != RotaStatus::Late);
        let calendar = Calendar::new(&crews, list.iter().map(|work| work.hours).sum()).unwrap();
        let yard = Yard::new(&list, &crews, &calendar);
        let bounds = by_hand(&list, &order::fewest_late(&yard), &crews);
        let backward = |row: &[usize]| row.iter().rev().map(|work| hardness[*work]).collect::<Vec<_>>();
        let mut easiest = vec![usize::MAX];
        every_rota(list.len(), 1, &mut |rows| {
            let late = by_hand(&list, rows, &crews);
            if late.iter().zip(&bounds).all(|(late, bound)| late <= bound) {
                easiest = easiest.clone().min(backward(&rows[0]));
            }
        });
        let row: Vec<usize> = rota.shifts.iter().filter(|shift| shift.part == 1).map(|shift| shift.work).collect();
        prop_assert_eq!(backward(&row), easiest);
    }
}

/// The twin that must fail: the hardest first, whoever is due, makes boats late that need not be.
#[test]
fn hardness_alone_makes_boats_late() {
    let list = season(&mut Numbers(5), 60, 12, 60);
    let crews = crews(2);
    assert_eq!(schedule(&list, &crews).unwrap().status, RotaStatus::InTime);
    let alone: Vec<Work> = list
        .iter()
        .map(|work| Work {
            due: None,
            ..work.clone()
        })
        .collect();
    let rota = schedule(&alone, &crews).unwrap();
    let late = rota.shifts.iter().filter(|shift| {
        shift.part == shift.of && list[shift.work].due.is_some_and(|due| due < shift.date)
    });
    assert!(late.count() >= 5);
}
