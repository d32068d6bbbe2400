//! A season's files: lists to cut and to buy by, calendar, summary, spring list.

use super::missing::{FileSet, Missing, missing_in};
use super::{ExportError, csv_table, pdf, text};
use crate::export::ical::{Event, ical};
use crate::season::{CutList, SPRING_COLUMNS, Season, boat_label, is_kept, spring_list};
use crate::sheet::{
    Paper, Sheet, article_words, calendar_sheet, cautions_sheet, crew_name, film_pages, list_pages,
    post_pages, purchase_sheet, source_words, spring_sheet, summary_pages, summary_sheet,
};
use crate::takeoff::PriceBook;
use crate::units::UnitSystem;

type File = (String, Vec<u8>);

/// Columns of lines in text files.
const COLUMNS: usize = 80;

/// Names of a season's files, with a calendar or without: what [`season_files`] makes.
pub fn season_names(has_calendar: bool) -> impl Iterator<Item = &'static str> {
    const ALWAYS: [&str; 12] = [
        "summary.pdf",
        "summary.txt",
        "boats.csv",
        "film.pdf",
        "film.csv",
        "posts.pdf",
        "posts.csv",
        "cautions.txt",
        "purchase.pdf",
        "purchase.csv",
        "spring.pdf",
        "spring.csv",
    ];
    const CALENDAR: [&str; 3] = ["calendar.pdf", "calendar.csv", "calendar.ics"];
    let calendar = CALENDAR.into_iter().filter(move |_| has_calendar);
    ALWAYS.into_iter().chain(calendar)
}

/// Names and bytes of a season's files: `summary.pdf` and `.txt`, `boats.csv`, `film.pdf` and `.csv`, `posts.pdf` and
/// `.csv`, `cautions.txt`, `purchase.pdf` and `.csv`, `spring.pdf` and `.csv`, and where there is a calendar `calendar.pdf`, `.csv` and
/// `.ics`.
///
/// # Errors
/// When a format's writer refuses.
pub fn season_files(
    season: &Season,
    book: &PriceBook,
    units: UnitSystem,
    paper: Paper,
) -> Result<FileSet, ExportError> {
    let missing = &mut Vec::new();
    let summary = summary_sheet(season, book, units);
    let spring = spring_list(season, book);
    let mut files = vec![
        drawn(
            missing,
            "summary",
            &summary_pages(season, book, units, paper),
            &summary.title,
        )?,
        (
            "summary.txt".to_owned(),
            text(&summary, COLUMNS).into_bytes(),
        ),
        (
            "boats.csv".to_owned(),
            boats(season, book, units)?.into_bytes(),
        ),
        cautions_file(),
        drawn(
            missing,
            "film",
            &film_pages(season, book, units, paper),
            "Film as it is cut",
        )?,
        (
            "film.csv".to_owned(),
            cuts(&season.film, book, units)?.into_bytes(),
        ),
        drawn(
            missing,
            "posts",
            &post_pages(&season.posts, book, units, paper),
            "Posts as they are cut",
        )?,
        (
            "posts.csv".to_owned(),
            posts(season, book, units)?.into_bytes(),
        ),
        page(
            missing,
            "purchase",
            &purchase_sheet(season, book, units),
            "What is bought",
            paper,
        )?,
        (
            "purchase.csv".to_owned(),
            purchase(season, book, units)?.into_bytes(),
        ),
        page(
            missing,
            "spring",
            &spring_sheet(&spring, units),
            "What comes back",
            paper,
        )?,
        (
            "spring.csv".to_owned(),
            csv_table(&SPRING_COLUMNS, spring.cells(units))?.into_bytes(),
        ),
    ];
    if let Some(sheet) = calendar_sheet(season) {
        files.push(page(
            missing,
            "calendar",
            &sheet,
            "Who is where when",
            paper,
        )?);
        files.push((
            "calendar.csv".to_owned(),
            calendar(season, units)?.into_bytes(),
        ));
        files.push((
            "calendar.ics".to_owned(),
            calendar_file(&events(season, units))?.into_bytes(),
        ));
    }
    Ok(FileSet {
        files,
        missing: std::mem::take(missing),
    })
}

/// The cautions as a file, beside lists that have no room for them.
pub(super) fn cautions_file() -> File {
    let text = text(&cautions_sheet(), COLUMNS);
    ("cautions.txt".to_owned(), text.into_bytes())
}

fn page(
    missing: &mut Vec<Missing>,
    name: &str,
    sheet: &Sheet,
    shows: &str,
    paper: Paper,
) -> Result<File, ExportError> {
    drawn(
        missing,
        name,
        &list_pages(sheet, shows, paper),
        &sheet.title,
    )
}

fn drawn(
    missing: &mut Vec<Missing>,
    name: &str,
    pages: &[crate::sheet::Drawing],
    title: &str,
) -> Result<File, ExportError> {
    let name = format!("{name}.pdf");
    missing.extend(missing_in(&name, pages));
    let bytes = pdf(pages, title)?;
    Ok((name, bytes))
}

/// Every job with its plan and its price.
fn boats(season: &Season, book: &PriceBook, units: UnitSystem) -> Result<String, ExportError> {
    let rows = season.covered.iter().map(|covered| {
        let materials = &covered.planned.materials;
        let quote = covered.quote.as_ref().ok();
        let money = |of: fn(&crate::takeoff::Quote) -> crate::takeoff::Money| {
            quote.map_or_else(String::new, |quote| quote.currency.plain(of(quote)))
        };
        [
            covered.job.row.to_string(),
            covered.job.name.clone(),
            covered.job.count.to_string(),
            covered
                .job
                .due
                .map_or_else(String::new, |due| due.to_string()),
            units.format_length(covered.planned.length),
            units.format_length(covered.planned.beam),
            if covered.planned.lacks.is_empty() {
                "sheds"
            } else {
                "falls short"
            }
            .to_owned(),
            match &covered.planned.loads {
                None => "",
                Some(loads) if loads.stands => "stands",
                Some(_) => "does not stand",
            }
            .to_owned(),
            materials.posts.len().to_string(),
            units.format_length(materials.film.width),
            units.format_length(materials.film.length),
            materials.vents.to_string(),
            format!("{:.2}", covered.hours.autumn()),
            money(|quote| quote.net),
            money(|quote| quote.total),
            covered.quote.as_ref().err().cloned().unwrap_or_default(),
            book.note.clone(),
        ]
    });
    let headings = [
        "row",
        "name",
        "count",
        "due",
        "length",
        "beam",
        "cover",
        "loads",
        "posts",
        "film_width",
        "film_length",
        "vents",
        "person_hours",
        "net",
        "total",
        "problem",
        "prices",
    ];
    csv_table(&headings, rows)
}

const CUT_COLUMNS: [&str; 7] = [
    "number",
    "from",
    "width",
    "length",
    "piece",
    "piece_length",
    "rest",
];

/// One row a piece, by the roll or stick that it is cut from.
fn cuts(list: &CutList, book: &PriceBook, units: UnitSystem) -> Result<String, ExportError> {
    csv_table(&CUT_COLUMNS, cut_rows(list, book, units))
}

fn cut_rows(list: &CutList, book: &PriceBook, units: UnitSystem) -> Vec<[String; 7]> {
    let mut rows = Vec::new();
    for (index, cut) in list.cuts.iter().enumerate() {
        let Some(source) = list.sources.get(cut.source) else {
            continue;
        };
        let width = match source.width {
            0.0 => String::new(),
            width => units.format_length(width),
        };
        let kept = source.width > 0.0 && is_kept(cut, book);
        let rest = units.format_length(cut.rest);
        let rest = if kept { format!("{rest} kept") } else { rest };
        for piece in cut
            .pieces
            .iter()
            .filter_map(|piece| list.wanted.get(*piece))
        {
            rows.push([
                (index + 1).to_string(),
                source_words(source, units),
                width.clone(),
                units.format_length(source.length),
                piece.label.clone(),
                units.format_length(piece.length),
                rest.clone(),
            ]);
        }
    }
    rows
}

fn posts(season: &Season, book: &PriceBook, units: UnitSystem) -> Result<String, ExportError> {
    let again = season.posts.again.iter().map(|post| {
        [
            String::new(),
            "stands again".to_owned(),
            String::new(),
            units.format_length(post.length),
            post.label.clone(),
            units.format_length(post.wanted),
            String::new(),
        ]
    });
    csv_table(
        &CUT_COLUMNS,
        again.chain(cut_rows(&season.posts.cut, book, units)),
    )
}

fn purchase(season: &Season, book: &PriceBook, units: UnitSystem) -> Result<String, ExportError> {
    let rows = season.purchase.lines.iter().map(|line| {
        [
            article_words(&line.what, units),
            format!("{:.3}", line.needed),
            format!("{:.3}", line.there),
            line.unit.sign().to_owned(),
            format!("{:.3}", line.pack),
            line.packs.to_string(),
            book.currency.plain(line.price),
            book.currency.plain(line.cost),
            book.currency.code.clone(),
            book.note.clone(),
        ]
    });
    let headings = [
        "what", "needed", "there", "unit", "pack", "packs", "price", "cost", "currency", "prices",
    ];
    csv_table(&headings, rows)
}

fn calendar(season: &Season, units: UnitSystem) -> Result<String, ExportError> {
    let rows = events(season, units).into_iter().map(|event| {
        [
            event.date.to_string(),
            event.begins.strftime("%H:%M").to_string(),
            event.ends.strftime("%H:%M").to_string(),
            event.location,
            event.summary,
            event.description,
        ]
    });
    csv_table(&["date", "begins", "ends", "crew", "boat", "about"], rows)
}

/// The calendar for calendar programs. It says to be written at the begin of its first day: the same season gives the
/// same bytes whenever it is.
fn calendar_file(events: &[Event]) -> Result<String, ExportError> {
    let first = events.iter().map(|event| event.date).min();
    let stamp = first.unwrap_or(jiff::civil::Date::MIN).at(0, 0, 0, 0);
    ical(events, stamp).map_err(|errors| {
        let told: Vec<String> = errors.iter().map(ToString::to_string).collect();
        ExportError::new("iCalendar", told.join("; "))
    })
}

/// One event a crew's stretch of a day at a boat.
fn events(season: &Season, units: UnitSystem) -> Vec<Event> {
    let Some(rota) = &season.rota else {
        return Vec::new();
    };
    let event = |shift: &crate::season::crews::Shift| {
        let (job, copy) = season.works.get(shift.work)?;
        let covered = season.covered.get(*job)?;
        let materials = &covered.planned.materials;
        let mut about = vec![format!(
            "{} posts, {} straps, film {} x {}, {} vents",
            materials.posts.len(),
            materials.straps.len(),
            units.format_length(materials.film.width),
            units.format_length(materials.film.length),
            materials.vents
        )];
        if shift.of > 1 {
            about.push(format!("part {} of {}", shift.part, shift.of));
        }
        about.extend(covered.job.due.map(|due| format!("due {due}")));
        if !covered.planned.is_good() {
            about.push("the cover falls short: see the summary".to_owned());
        }
        about
            .push("cautions: see cautions.txt and the job sheet; a planning check only".to_owned());
        Some(Event {
            uid: format!("{}-{copy}-{}@hulltent", covered.job.name, shift.part),
            summary: boat_label(&covered.job, *copy),
            description: about.join("; "),
            location: crew_name(shift.crew),
            date: shift.date,
            begins: rota.time(shift.begins),
            ends: rota.time(shift.begins + shift.hours),
        })
    };
    rota.shifts.iter().filter_map(event).collect()
}
