//! What is fitted to the film: band, straps that hold it down, vents, air, door, pads.

use super::film_list::{ALIKE, heading, point, table};
use super::twins::{ALIKE_FORCE, Row, TWIN, offsets, paired};
use super::{Block, Column, Point, words};
use crate::fittings::{Door, DoorFit, VentRule};
use crate::plan::Plan;
use crate::units::UnitSystem;

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
