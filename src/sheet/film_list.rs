//! The film: width, cut, pleats.

use super::twins::{Row, paired};
use super::words::CENTER;
use super::{Block, Column, Point, Table, words};
use crate::film::{Pleat, PleatKind};
use crate::plan::Plan;
use crate::units::{METERS_PER_INCH, UnitSystem};

/// Widths that differ by less come out alike, m: an inch on the tape.
pub(super) const ALIKE: f64 = METERS_PER_INCH;

/// Ease or stretch under this part of the length is not worth a word.
const MIN_PART: f64 = 0.005;

pub(super) fn point(mark: &str, text: String) -> Point {
    Point {
        mark: mark.to_owned(),
        text,
    }
}

pub(super) fn heading(text: &str) -> Block {
    Block::Heading(text.to_owned())
}

pub(super) fn table(columns: Vec<Column>, rows: Vec<Vec<String>>) -> Block {
    Block::Table(Table {
        columns,
        rows,
        by_hand: false,
    })
}

/// Width by hand and by girth, why they differ, and what is cut from which roll.
pub(super) fn film(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let (widths, film) = (&plan.film.widths, &plan.film);
    let length = |meters: f64| units.format_length(meters);
    let mut points = vec![
        point("By hand", by_hand(plan, units)),
        point(
            "By girth",
            format!(
                "{}: 2 x (the shortest way over the film from the ridge to the place of the band that is farthest \
                 from it, leaving the ridge at station {}, + {} tucked behind the band)",
                units.format_length_up(widths.girth),
                length(widths.girth_station),
                length(plan.rules.film_tuck)
            ),
        ),
        point("Difference", why_they_differ(plan, units)),
        point("Cut", cut(plan, units)),
        point(
            "Shrink",
            format!(
                "at most {} of its length at {}; {} is what the film can take",
                units.format_share(film.max_shrink),
                words::place(&film.max_shrink_at, units),
                units.format_share(plan.rules.film_shrink)
            ),
        ),
    ];
    if film.ease > MIN_PART {
        points.push(point(
            "Ease",
            format!(
                "lay it {} longer than the ridge, all along: beside the ridge the cover is longer than on it, and \
                 film does not stretch",
                units.format_share(film.ease)
            ),
        ));
    }
    if film.stretch > MIN_PART {
        points.push(point(
            "Relief",
            format!(
                "even so the film would have to stretch by {} somewhere: cut it there and weld a patch in",
                units.format_share(film.stretch)
            ),
        ));
    }
    vec![heading("Film"), Block::Points(points)]
}

fn by_hand(plan: &Plan, units: UnitSystem) -> String {
    let widths = &plan.film.widths;
    let length = |meters: f64| units.format_length(meters);
    let start = match post_at(plan, widths.hand_post) {
        Some(id) => format!("{id} at station {}", length(widths.hand_post)),
        None => format!("the ridge at station {}", length(widths.hand_post)),
    };
    format!(
        "{} (common practice): 2 x (from the top of {start} over the widest part, at station {}, to the rub rail + {} + {})",
        length(widths.hand),
        length(widths.hand_widest),
        length(plan.rules.band_drop),
        length(plan.rules.film_tuck)
    )
}

/// The post at a station, if there is one.
fn post_at(plan: &Plan, station: f64) -> Option<&str> {
    let near = |post: &&crate::frame::Post| (post.station - station).abs() < ALIKE;
    plan.frame
        .posts
        .iter()
        .find(near)
        .map(|post| post.id.as_str())
}

/// One sentence on the two widths.
fn why_they_differ(plan: &Plan, units: UnitSystem) -> String {
    let widths = &plan.film.widths;
    let more = widths.girth - widths.hand;
    let by = units.format_length(more.abs());
    let girth_at = units.format_length(widths.girth_station);
    if more.abs() < ALIKE {
        return format!(
            "both come out alike: the section at station {girth_at} is about as high as the middle post and as \
             wide as the widest part"
        );
    }
    if more > 0.0 {
        format!(
            "the girth asks for {by} more: the hand's tape goes straight from one post to the widest part, the \
             girth at station {girth_at} follows the film over all that it lies on and down the side to the band"
        )
    } else if is_narrower(plan, widths.hand_post, widths.hand_widest) {
        format!(
            "the hand rule asks for {by} more: it puts the height of the middle post and the widest part into \
             one section, and no section of this boat has both; the greatest is at station {girth_at}"
        )
    } else {
        format!(
            "the hand rule asks for {by} more: the middle post stands at the widest part, but beside the post the \
             ridge is lower and nearer to the band; the greatest is at station {girth_at}"
        )
    }
}

/// Whether a boat is narrower at one station than at another, by more than a tape shows.
fn is_narrower(plan: &Plan, station: f64, than: f64) -> bool {
    let beam = |station: f64| {
        let [starboard, port] = plan.hull.edge.at_station(station)?;
        Some(port.y - starboard.y)
    };
    beam(station)
        .zip(beam(than))
        .is_none_or(|(here, there)| there - here > ALIKE)
}

fn cut(plan: &Plan, units: UnitSystem) -> String {
    let cut = &plan.film.cut;
    let length = |meters: f64| units.format_length(meters);
    let mut text = format!(
        "{} long, at least {} wide, off the {} roll: {} taken, {} trimmed off; the whole sheet weighs {}, what stays \
         on the boat {}",
        units.format_length_up(cut.length),
        units.format_length_up(cut.width),
        length(cut.roll),
        units.format_area(cut.taken),
        units.format_area(cut.trim),
        units.format_mass(plan.film.mass),
        units.format_mass(plan.film.mass_on_boat)
    );
    if cut.sheets > 1 {
        let seams: Vec<String> = cut
            .seams
            .iter()
            .map(|offset| words::offset(*offset, units))
            .collect();
        text.push_str(&format!(
            "; {} side by side, welded {} over each other, seam {}",
            words::count(cut.sheets, "sheet"),
            length(plan.rules.seam_lap),
            seams.join(" and ")
        ));
    }
    text
}

/// What a pleat is, in words.
pub(super) fn kind(pleat: &Pleat) -> &'static str {
    match pleat.kind {
        PleatKind::Pleat => "pleat",
        PleatKind::SternCorner => "stern corner",
        PleatKind::BowCorner => "bow corner",
        PleatKind::Stem => "stem",
    }
}

/// From the least that a pleat folds away to what it folds where the sheet does not slip.
pub(super) fn folded_away(pleat: &Pleat, units: UnitSystem) -> String {
    let [least, most] = [pleat.depth, pleat.max_depth].map(|depth| units.format_length(depth));
    if least == most {
        least
    } else {
        format!("from {least} to {most}")
    }
}

/// Pleats and closures.
pub(super) fn pleats(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let rows = plan
        .film
        .pleats
        .iter()
        .map(|pleat| {
            let cells = vec![
                pleat.id.clone(),
                kind(pleat).to_owned(),
                units.format_length(pleat.station),
                pleat.hand.map_or(CENTER, |hand| hand.word()).to_owned(),
                units.format_length(pleat.run),
                match pleat.folds {
                    1 => folded_away(pleat, units),
                    folds => format!("{} in {folds}", folded_away(pleat, units)),
                },
            ];
            Row {
                cells,
                at: vec![pleat.station, pleat.run, pleat.depth, pleat.max_depth],
                cut: None,
            }
        })
        .collect();
    let rows = paired(rows, 3, units);
    let mut blocks = vec![heading("Pleats")];
    if rows.is_empty() {
        blocks.push(Block::Paragraph(
            "None: the surplus shrinks away everywhere.".to_owned(),
        ));
        return blocks;
    }
    blocks.push(table(
        vec![
            Column::words("Pleat"),
            Column::words("Kind"),
            Column::numbers("Station"),
            Column::words("Side"),
            Column::numbers("Runs up"),
            Column::numbers("Folded away"),
        ],
        rows,
    ));
    blocks.push(Block::Paragraph(
        format!(
            "Folded away is measured at the band: from the least that will do, with the sheet slipped along the boat, \
             to what is there if it hangs square to the ridge. Fold what you find; what is deeper than {} is laid in \
             several folds. All of them open aft: a tow would tear a pleat that opens forward. Weld them, then tape \
             them.",
            units.format_length(plan.rules.deepest_fold)
        ),
    ));
    blocks
}
