//! Hours kept, nobody at two boats at once, lateness against all orders tried.

use super::*;
use jiff::ToSpan;
use jiff::civil::date;
use proptest::prelude::*;

fn crews(count: usize) -> Crews {
    Crews {
        count,
        hours_a_day: 8.0,
        weekdays: [true, true, true, true, true, false, false],
        // A Monday.
        start: date(2026, 10, 5),
        off: vec![date(2026, 10, 7)],
        begin: time(8, 0, 0, 0),
    }
}

fn work(name: &str, hours: f64, due: Option<i8>, hardness: f64) -> Work {
    Work {
        name: name.to_owned(),
        hours,
        due: due.map(|day| date(2026, 10, day)),
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
        assert!((hours - work.hours).abs() < 1e-3, "{}: {hours}", work.name);
        assert!(
            own.iter()
                .all(|shift| shift.crew == own[0].crew && shift.of == own.len())
        );
        let parts: Vec<usize> = own.iter().map(|shift| shift.part).collect();
        assert_eq!(parts, (1..=own.len()).collect::<Vec<_>>());
        // Without another boat in between.
        let crew: Vec<usize> = rota
            .shifts
            .iter()
            .filter(|shift| shift.crew == own[0].crew)
            .map(|shift| shift.work)
            .collect();
        let first = crew.iter().position(|other| *other == index).unwrap();
        assert!(
            crew[first..first + own.len()]
                .iter()
                .all(|other| *other == index)
        );
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
    let mut before: Option<&Shift> = None;
    let mut sorted: Vec<&Shift> = rota.shifts.iter().collect();
    sorted.sort_by(|a, b| {
        (a.crew, a.date)
            .cmp(&(b.crew, b.date))
            .then(a.begins.total_cmp(&b.begins))
    });
    for shift in sorted {
        assert!(shift.begins >= 0.0 && shift.begins + shift.hours <= crews.hours_a_day + 1e-3);
        assert!(shift.crew < crews.count && shift.date >= crews.start);
        assert!(!crews.off.contains(&shift.date));
        let weekday = usize::try_from(shift.date.weekday().to_monday_zero_offset()).unwrap();
        assert!(crews.weekdays[weekday]);
        if let Some(before) = before.filter(|b| b.crew == shift.crew && b.date == shift.date) {
            assert!(before.begins + before.hours <= shift.begins + 1e-3);
        }
        before = Some(shift);
    }
}

#[test]
fn a_week_by_hand() {
    // Monday: the due one, then three hours of the long one; Wednesday is off.
    let list = [
        work("long", 12.0, None, 1.0),
        work("due", 5.0, Some(5), 0.5),
        work("short", 2.0, None, 0.1),
    ];
    let rota = schedule(&list, &crews(1)).unwrap();
    sound(&list, &crews(1), &rota);
    let told: Vec<(usize, i8, f64, f64)> = rota
        .shifts
        .iter()
        .map(|shift| (shift.work, shift.date.day(), shift.begins, shift.hours))
        .collect();
    let wanted = [
        (1, 5, 0.0, 5.0),
        (0, 5, 5.0, 3.0),
        (0, 6, 0.0, 8.0),
        (0, 8, 0.0, 1.0),
        (2, 8, 1.0, 2.0),
    ];
    assert_eq!(told, wanted);
    assert_eq!(rota.time(5.25), time(13, 15, 0, 0));
}

#[test]
fn hardest_boats_come_early_where_nobody_pays() {
    let list = [
        work("easy, due late", 4.0, Some(30), 0.1),
        work("hard, due later", 4.0, Some(31), 0.9),
        work("due first", 8.0, Some(5), 0.2),
    ];
    let rota = schedule(&list, &crews(1)).unwrap();
    let order: Vec<usize> = rota.shifts.iter().map(|shift| shift.work).collect();
    assert_eq!(order, [2, 1, 0]);
    assert!(rota.late.is_empty());
}

#[test]
fn a_short_rest_of_a_day_is_not_begun() {
    let list = [work("a", 7.7, None, 1.0), work("b", 3.0, None, 0.5)];
    let rota = schedule(&list, &crews(1)).unwrap();
    assert_eq!((rota.shifts[1].date.day(), rota.shifts[1].begins), (6, 0.0));
    // One that ends in it is.
    let list = [work("a", 7.7, None, 1.0), work("b", 0.3, None, 0.5)];
    let rota = schedule(&list, &crews(1)).unwrap();
    assert_eq!(rota.shifts[1].date.day(), 5);
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
    ];
    assert_eq!(schedule(&list, &broken).unwrap_err().len(), 5);
    let long = [work("endless", 1e6, None, 1.0)];
    assert_eq!(
        schedule(&long, &crews(1)).unwrap_err(),
        [CrewError::Endless]
    );
    assert!(schedule(&[], &crews(1)).unwrap().shifts.is_empty());
}

fn greatest(rota: &Rota) -> i64 {
    rota.late.iter().map(|(_, days)| *days).max().unwrap_or(0)
}

/// All orders of so many things (Heap's algorithm).
fn orders(count: usize) -> Vec<Vec<usize>> {
    fn go(k: usize, order: &mut Vec<usize>, all: &mut Vec<Vec<usize>>) {
        if k <= 1 {
            all.push(order.clone());
            return;
        }
        for i in 0..k {
            go(k - 1, order, all);
            let other = if k.is_multiple_of(2) { i } else { 0 };
            order.swap(other, k - 1);
        }
    }
    let mut all = Vec::new();
    go(count, &mut (0..count).collect(), &mut all);
    all
}

/// The greatest lateness of one crew that takes up boats in an order, counted day by day without the planner. Hours are
/// whole, so that no rest of a day is too short to begin in.
fn by_hand(list: &[Work], order: &[usize], crews: &Crews) -> i64 {
    let mut date = crews.start;
    let works = |date: Date| {
        let weekday = usize::try_from(date.weekday().to_monday_zero_offset()).unwrap();
        crews.weekdays[weekday] && !crews.off.contains(&date)
    };
    let (mut hour, mut worst) = (0, 0);
    for work in order {
        for _ in 0..list[*work].hours as usize {
            if hour == 8 {
                (hour, date) = (0, date + 1.day());
            }
            while !works(date) {
                date = date + 1.day();
            }
            hour += 1;
        }
        if let Some(due) = list[*work].due {
            worst = worst.max(i64::from((date - due).get_days()));
        }
    }
    worst
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn rotas_are_sound(
        boats in prop::collection::vec((0.2..20.0_f64, prop::option::of(5_i8..31), 0.0..3.0_f64), 1..30),
        count in 1_usize..5,
    ) {
        let list: Vec<Work> = boats.iter().enumerate()
            .map(|(k, (hours, due, hardness))| work(&format!("boat {k}"), *hours, *due, *hardness))
            .collect();
        let crews = crews(count);
        let rota = schedule(&list, &crews).unwrap();
        sound(&list, &crews, &rota);
    }

    /// One crew: no order of all has a smaller greatest lateness.
    #[test]
    fn one_crew_is_as_early_as_can_be(
        boats in prop::collection::vec((1_u8..16, 5_i8..15, 0.0..3.0_f64), 1..6),
    ) {
        let list: Vec<Work> = boats.iter().enumerate()
            .map(|(k, (hours, due, hardness))| work(&format!("boat {k}"), f64::from(*hours), Some(*due), *hardness))
            .collect();
        let crews = crews(1);
        let found = greatest(&schedule(&list, &crews).unwrap());
        let best = orders(list.len()).iter().map(|order| by_hand(&list, order, &crews)).min().unwrap();
        prop_assert_eq!(found, best.max(0));
    }
}
