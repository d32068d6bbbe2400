//! The calendar: which crew is at which boat on which day.

use crate::season::Season;
use crate::sheet::{Block, Column, Point, Sheet, Table, cautions, cautions_heading};

/// What a crew is called: `crew A` to `crew Z`, then by number.
#[must_use]
pub fn crew_name(crew: usize) -> String {
    match u8::try_from(crew) {
        Ok(place) if place < 26 => format!("crew {}", char::from(b'A' + place)),
        _ => format!("crew {}", crew + 1),
    }
}

/// The calendar as a list by day; `None` where the season has none.
#[must_use]
pub fn calendar_sheet(season: &Season) -> Option<Sheet> {
    let rota = season.rota.as_ref()?;
    let rows = rota.shifts.iter().filter_map(|shift| {
        let (job, copy) = season.works.get(shift.work)?;
        let covered = season.covered.get(*job)?;
        let part = if shift.of > 1 {
            format!("{} of {}", shift.part, shift.of)
        } else {
            String::new()
        };
        Some(vec![
            format!("{} {}", weekday(shift.date), shift.date),
            crew_name(shift.crew),
            clock(rota.time(shift.begins)),
            clock(rota.time(shift.begins + shift.hours)),
            crate::season::boat_label(&covered.job, *copy),
            part,
            covered
                .job
                .due
                .map_or_else(String::new, |due| due.to_string()),
        ])
    });
    let table = Table {
        columns: vec![
            Column::words("Day"),
            Column::words("Crew"),
            Column::numbers("From"),
            Column::numbers("To"),
            Column::words("Boat"),
            Column::numbers("Part"),
            Column::words("Due"),
        ],
        rows: rows.collect(),
        by_hand: false,
    };
    let late: Vec<Point> = late(season).into_iter().map(Point::dashed).collect();
    let mut blocks = Vec::new();
    if !late.is_empty() {
        blocks.push(Block::Heading("Late".to_owned()));
        blocks.push(Block::Points(late));
    }
    blocks.push(Block::Heading("Days".to_owned()));
    blocks.push(Block::Table(table));
    blocks.push(cautions_heading());
    blocks.push(cautions());
    Some(Sheet {
        title: "Calendar".to_owned(),
        blocks,
    })
}

/// A sentence for each boat that is late.
pub(super) fn late(season: &Season) -> Vec<String> {
    let Some(rota) = &season.rota else {
        return Vec::new();
    };
    rota.late
        .iter()
        .filter_map(|(work, days)| {
            let (job, copy) = season.works.get(*work)?;
            let job = &season.covered.get(*job)?.job;
            Some(format!(
                "{} is {days} {} late",
                crate::season::boat_label(job, *copy),
                if *days == 1 { "day" } else { "days" }
            ))
        })
        .collect()
}

fn weekday(date: jiff::civil::Date) -> &'static str {
    const NAMES: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
    let day = date.weekday().to_monday_zero_offset();
    usize::try_from(day)
        .ok()
        .and_then(|day| NAMES.get(day).copied())
        .unwrap_or("")
}

fn clock(time: jiff::civil::Time) -> String {
    time.strftime("%H:%M").to_string()
}
