//! The film and what is fitted to it: width, pleats, band, straps that hold it down, vents, air, pads.

use super::words::CENTER;
use super::{Block, Column, Point, Table, words};
use crate::film::{Pleat, PleatKind};
use crate::fittings::{Door, DoorFit, VentRule};
use crate::plan::Plan;
use crate::units::{METERS_PER_INCH, UnitSystem};

/// Widths that differ by less come out alike, m: an inch on the tape.
const ALIKE: f64 = METERS_PER_INCH;

/// Ease or stretch under this part of the length is not worth a word.
const LEAST_PART: f64 = 0.005;

/// All of it.
pub(super) fn blocks(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let mut blocks = film(plan, units);
    blocks.extend(pleats(plan, units));
    blocks.extend(band(plan, units));
    blocks.extend(belly_bands(plan, units));
    blocks.extend(air(plan, units));
    blocks.extend(pads(plan, units));
    blocks
}

fn point(mark: &str, text: String) -> Point {
    Point {
        mark: mark.to_owned(),
        text,
    }
}

fn heading(text: &str) -> Block {
    Block::Heading(text.to_owned())
}

fn table(columns: Vec<Column>, rows: Vec<Vec<String>>) -> Block {
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
    if film.ease > LEAST_PART {
        points.push(point(
            "Ease",
            format!(
                "lay it {} longer than the ridge, all along: beside the ridge the cover is longer than on it, and \
                 film does not stretch",
                units.format_share(film.ease)
            ),
        ));
    }
    if film.stretch > LEAST_PART {
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

/// The perimeter band and the drop straps that carry it.
pub(super) fn band(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let fittings = &plan.fittings;
    let band = &fittings.band;
    let rows = fittings
        .drop_straps
        .iter()
        .map(|strap| {
            let cells = vec![
                strap.id.clone(),
                if strap.led > ALIKE {
                    let from = strap.anchor.trim_end_matches(", led along the edge");
                    format!("{from}, led {}", units.format_length(strap.led))
                } else {
                    strap.anchor.clone()
                },
                units.format_length(strap.top.x),
                strap.hand.map_or_else(
                    || words::offset(strap.top.y, units),
                    |hand| hand.word().to_owned(),
                ),
                units.format_length_up(strap.cut),
            ];
            Row {
                cells,
                at: vec![strap.top.x, strap.led, strap.top.y.abs()],
                cut: Some((4, strap.cut)),
            }
        })
        .collect();
    vec![
        heading("Perimeter band and drop straps"),
        Block::Paragraph(format!(
            "The band runs {} round the boat, {} below the rub rail; cut {}, {} at the stern. {}, looped \
             round the band, tail included; where one is led along the edge, that part is a single line:",
            units.format_length(band.length),
            units.format_length(plan.rules.band_drop),
            units.format_length_up(band.cut),
            words::count(band.buckles, "buckle"),
            words::count(fittings.drop_straps.len(), "drop strap")
        )),
        table(
            vec![
                Column::words("Drop strap"),
                Column::words("Hangs from"),
                Column::numbers("Station"),
                Column::words("Side"),
                Column::numbers("Cut"),
            ],
            paired(rows, 3, units),
        ),
    ]
}

/// Belly bands with their slits.
pub(super) fn belly_bands(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let bands = &plan.fittings.belly_bands;
    if bands.is_empty() {
        return Vec::new();
    }
    let rows = bands
        .iter()
        .map(|band| {
            vec![
                band.id.clone(),
                units.format_length(band.station),
                units.format_length(band.slits[0].z - plan.boat.sole),
                units.format_length(band.length),
                units.format_length_up(band.cut),
            ]
        })
        .collect();
    let mut ways: Vec<(Vec<&str>, String)> = Vec::new();
    for band in bands {
        let way = format!("{}; {}", band.goes, band.supports.sentence());
        match ways.last_mut() {
            Some((names, last)) if *last == way => names.push(&band.id),
            _ => ways.push((vec![&band.id], way)),
        }
    }
    let ways = ways
        .into_iter()
        .map(|(names, way)| point(&words::row(&names), way))
        .collect();
    vec![
        heading("Belly bands"),
        table(
            vec![
                Column::words("Belly band"),
                Column::numbers("Station"),
                Column::numbers("Slits over sole"),
                Column::numbers("Length"),
                Column::numbers("Cut"),
            ],
            rows,
        ),
        Block::Points(ways),
    ]
}

/// Vents and door, the air through them, and whether the film will be wet.
pub(super) fn air(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let rows = plan
        .fittings
        .vents
        .iter()
        .map(|vent| {
            let cells = vec![
                vent.id.clone(),
                units.format_length(vent.at.x),
                units.format_length(vent.at.y.abs()),
                vent.hand.word().to_owned(),
                units.format_length(vent.at.z - plan.boat.sole),
            ];
            Row {
                cells,
                at: vec![vent.at.x, vent.at.y.abs(), vent.at.z],
                cut: None,
            }
        })
        .collect();
    let air = &plan.fittings.ventilation;
    let wet = &plan.fittings.condensation;
    let mut points = vec![
        point(
            "Vents",
            format!(
                "{} of free area, {} wanted; {}",
                units.format_opening(air.provided),
                units.format_opening(air.required),
                match air.governed_by {
                    VentRule::Area => "the area decides how many",
                    VentRule::Practice =>
                        "practice decides how many, a pair for each stretch of boat",
                }
            ),
        ),
        point(
            "Air",
            format!(
                "{} under the film; {} through the vents where it is {} warmer inside, {:.1} changes an hour",
                units.format_room(air.volume),
                units.format_air_flow(air.flow),
                units.format_warmth(air.difference),
                air.changes
            ),
        ),
        point(
            "Drip",
            format!(
                "air of {} with {} humidity drips from film under {}; on a clear night the film has {} and is \
                 wet from {} humidity on",
                units.format_temperature(wet.air),
                units.format_share(wet.humidity),
                units.format_temperature(wet.dew_point),
                units.format_temperature(wet.film),
                units.format_share(wet.wet_from)
            ),
        ),
    ];
    if let Some(door) = &plan.fittings.door {
        points.push(point("Door", door_words(door, units)));
    }
    vec![
        heading("Vents and air"),
        table(
            vec![
                Column::words("Vent"),
                Column::numbers("Station"),
                Column::words("Offset"),
                Column::numbers("Over sole"),
            ],
            offsets(paired(rows, 3, units), 2),
        ),
        Block::Points(points),
    ]
}

fn door_words(door: &Door, units: UnitSystem) -> String {
    let length = |meters: f64| units.format_length(meters);
    let place = format!("{} side, station {}", door.hand.word(), length(door.foot.x));
    let other = match door.nearest {
        Some(station) => format!("; the nearest place for one is station {}", length(station)),
        None => "; there is no place for one on that side".to_owned(),
    };
    match &door.fit {
        DoorFit::Fits => format!(
            "{place}: {} wide, {} up the film",
            length(door.width),
            length(door.length)
        ),
        DoorFit::TooLow { rise, wanted } => format!(
            "{place}: NO ROOM, the film rises {} there and a door wants {}{other}",
            length(*rise),
            length(*wanted)
        ),
        DoorFit::InTheWay { what } => format!("{place}: NO ROOM, {what} in the way{other}"),
    }
}

/// Pads, numbered from the greatest force.
pub(super) fn pads(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let rows: Vec<_> = plan
        .fittings
        .pads
        .iter()
        .enumerate()
        .map(|(index, pad)| {
            let side = words::side(pad.at.y);
            let on = pad.on.strip_suffix(&format!(", {side}"));
            let cells = vec![
                (index + 1).to_string(),
                on.unwrap_or(&pad.on).to_owned(),
                units.format_length(pad.at.x),
                units.format_length(pad.at.y.abs()),
                side.to_owned(),
                units.format_force(pad.force),
                pad.kind.to_owned(),
            ];
            Row {
                cells,
                // Forces are alike within a part of themselves, as lengths are within a tolerance.
                at: vec![
                    pad.at.x,
                    pad.at.y.abs(),
                    pad.force.max(1.0).ln() * TWIN / ALIKE_FORCE,
                ],
                cut: None,
            }
        })
        .collect();
    let mut blocks = vec![heading("Pads")];
    if rows.is_empty() {
        blocks.push(Block::Paragraph(
            "None: the film bears on nothing hard enough.".to_owned(),
        ));
        return blocks;
    }
    blocks.push(table(
        vec![
            Column::words("Pad"),
            Column::words("On"),
            Column::numbers("Station"),
            Column::words("Offset"),
            Column::numbers("Force"),
            Column::words("Pad it with"),
        ],
        offsets(paired(rows, 4, units), 3),
    ));
    let over = plan.bearings.iter().filter(|b| b.is_exceeded());
    let over: Vec<Point> = over
        .map(|bearing| Point::dashed(bearing.sentence(units)))
        .collect();
    if !over.is_empty() {
        blocks.push(Block::Points(over));
    }
    blocks
}

/// Rows whose distance from the centerline and side, two cells from `at` on, are one: `2'11" port`, `2'11" both`.
fn offsets(rows: Vec<Vec<String>>, at: usize) -> Vec<Vec<String>> {
    let joined = |mut row: Vec<String>| {
        if at + 1 < row.len() {
            let side = row.remove(at + 1);
            if let Some(cell) = row.get_mut(at) {
                *cell = if side == CENTER {
                    side
                } else {
                    format!("{cell} {side}")
                };
            }
        }
        row
    };
    rows.into_iter().map(joined).collect()
}

/// Places across the boat that differ by less are twins, m: half of a tape's quarter inch, whatever the units.
const TWIN: f64 = 0.125 * METERS_PER_INCH;

/// Part by which forces of twins may differ.
const ALIKE_FORCE: f64 = 0.02;

/// A row of a table with the numbers that decide whether it has a twin across the boat.
struct Row {
    cells: Vec<String>,
    /// Numbers in which twins differ by [`TWIN`] at most.
    at: Vec<f64>,
    /// The column that holds a length to cut, and the length, m: of twins the longer is printed.
    cut: Option<(usize, f64)>,
}

impl Row {
    /// Whether another row tells of the same on the other side.
    fn is_twin(&self, other: &Row, side: usize) -> bool {
        let sides = (self.cells.get(side), other.cells.get(side));
        let across = matches!(
            (sides.0.map(String::as_str), sides.1.map(String::as_str)),
            (Some("port"), Some("starboard")) | (Some("starboard"), Some("port"))
        );
        let near = |a: f64, b: f64| (a - b).abs() <= TWIN;
        let cut = |row: &Row| row.cut.map_or(0.0, |(_, length)| length);
        across
            && self.at.len() == other.at.len()
            && self.at.iter().zip(&other.at).all(|(a, b)| near(*a, *b))
            && near(cut(self), cut(other))
            && self.words(side).eq(other.words(side))
    }

    /// Its cells that are words and not numbers, without its name and side.
    fn words(&self, side: usize) -> impl Iterator<Item = &str> {
        let name = 0;
        self.cells
            .iter()
            .enumerate()
            .filter(move |(k, _)| *k != name && *k != side)
            .map(|(_, cell)| cell.as_str())
            .filter(|cell| !cell.chars().any(|c| c.is_ascii_digit()))
    }
}

/// Rows of twins to port and to starboard become one: their names are joined, their side is `both`.
fn paired(rows: Vec<Row>, side: usize, units: UnitSystem) -> Vec<Vec<String>> {
    let mut found: Vec<Row> = Vec::new();
    for row in rows {
        match found.iter_mut().find(|other| other.is_twin(&row, side)) {
            Some(other) => {
                if let (Some(name), Some(more)) = (other.cells.first_mut(), row.cells.first()) {
                    name.push_str(", ");
                    name.push_str(more);
                }
                if let Some(cell) = other.cells.get_mut(side) {
                    "both".clone_into(cell);
                }
                if let (Some((column, a)), Some((_, b))) = (other.cut, row.cut)
                    && let Some(cell) = other.cells.get_mut(column)
                {
                    *cell = units.format_length_up(a.max(b));
                }
            }
            None => found.push(row),
        }
    }
    found.into_iter().map(|row| row.cells).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twins_across_the_boat_are_one_row() {
        let row = |cells: [&str; 3]| cells.map(str::to_owned).to_vec();
        let length = |meters: f64| UnitSystem::Metric.format_length(meters);
        let rows: Vec<Row> = [
            ("V1", "port", 1.2194),
            ("V2", "starboard", 1.2196),
            ("V3", "port", 2.74),
            ("V4", "starboard", 2.77),
            ("V5", "center", 2.74),
            ("V6", "starboard", 1.2194),
        ]
        .into_iter()
        .map(|(name, side, at)| Row {
            cells: row([name, side, &length(at)]),
            at: vec![at],
            cut: Some((2, at)),
        })
        .collect();
        let found = paired(rows, 1, UnitSystem::Metric);
        let names: Vec<&str> = found.iter().map(|row| row[0].as_str()).collect();
        assert_eq!(names, ["V1, V2", "V3", "V4", "V5", "V6"]);
        assert_eq!(found[0][1], "both");
        // They read otherwise in millimeters; the longer is cut.
        assert_eq!(found[0][2], "1.220 m");
        assert_eq!(found[1][1], "port");
        let joined = offsets(
            vec![row(["V1", "2'11\"", "both"]), row(["V2", "0\"", "center"])],
            1,
        );
        assert_eq!(joined, [["V1", "2'11\" both"], ["V2", "center"]]);
    }
}
