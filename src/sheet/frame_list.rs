//! The dimensioned list: posts and straps, and what governs each.

use super::{Block, Column, Point, Table, words};
use crate::frame::{Strap, StrapKind};
use crate::plan::Plan;
use crate::takeoff::{CutBridle, CutStrap};
use crate::units::UnitSystem;

/// Posts and straps with what governs each, and collars.
pub(super) fn blocks(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let mut blocks = post_list(plan, units);
    blocks.push(Block::Points(post_reasons(plan, units)));
    blocks.extend(strap_list(plan, units));
    blocks.push(Block::Points(strap_reasons(plan, units)));
    blocks.extend(collars(plan, units));
    blocks
}

/// Posts as they are cut.
pub(super) fn post_list(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let mut blocks = vec![Block::Heading("Support posts".to_owned())];
    if plan.frame.posts.is_empty() {
        blocks.push(Block::Paragraph(
            match plan.frame.shortage {
                None => "None: the ridge strap rests on the boat itself.",
                Some(_) => "None: no frame was found, see the verdict.",
            }
            .to_owned(),
        ));
    } else {
        blocks.push(Block::Table(posts(plan, units)));
        blocks.push(Block::Paragraph(format!(
            "Lengths to cut are from footing to cap top, less {} for the top cap and {} for the base cap.",
            units.format_length(plan.rules.top_cap),
            units.format_length(plan.rules.base_cap)
        )));
    }
    blocks
}

/// Straps as they are cut.
pub(super) fn strap_list(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    vec![
        Block::Heading("Straps: R ridge, S side, H hip".to_owned()),
        Block::Table(straps(plan, units)),
        Block::Paragraph(format!(
            "Lengths to cut have a tail of {} at each end. Tape the buckles, so that hot film does not burn on \
             them.",
            units.format_length(plan.rules.strap_tail)
        )),
    ]
}

fn posts(plan: &Plan, units: UnitSystem) -> Table {
    let rows = plan
        .frame
        .posts
        .iter()
        .zip(&plan.takeoff.posts)
        .map(|(post, cut)| {
            vec![
                post.id.clone(),
                units.format_length(post.station),
                units.format_length(cut.from_bow),
                words::offset(post.offset, units),
                post.footing.clone(),
                units.format_length(cut.over_sole),
                units.format_length(cut.over_rub_rail),
                units.format_length(cut.cut),
            ]
        })
        .collect();
    Table {
        columns: vec![
            Column::words("Post"),
            Column::numbers("Station"),
            Column::numbers("From bow"),
            Column::words("Offset"),
            Column::words("Stands on"),
            Column::numbers("Cap over sole"),
            Column::numbers("Cap over rub rail"),
            Column::numbers("Cut"),
        ],
        rows,
        by_hand: false,
    }
}

fn post_reasons(plan: &Plan, units: UnitSystem) -> Vec<Point> {
    let loads = plan.cover.post_loads.iter();
    plan.frame
        .posts
        .iter()
        .zip(loads)
        .map(|(post, load)| Point {
            mark: post.id.clone(),
            text: format!(
                "{}; carries {} from film and straps",
                post.reason.sentence(units),
                units.format_force(*load)
            ),
        })
        .collect()
}

fn straps(plan: &Plan, units: UnitSystem) -> Table {
    let rows = plan
        .frame
        .straps
        .iter()
        .zip(&plan.takeoff.straps)
        .zip(&plan.cover.straps)
        .flat_map(|((strap, cut), shape)| {
            let mut rows = vec![vec![
                strap.id.clone(),
                strap.from.clone(),
                ends_at(plan, strap, units),
                units.format_length(cut.length),
                units.format_length_up(cut.cut),
                cut.buckles.to_string(),
                units.format_force(strap.tension),
                units.format_length(shape.sag),
            ]];
            rows.extend(bridles(strap, cut, units));
            rows
        })
        .collect();
    Table {
        columns: vec![
            Column::words("Strap"),
            Column::words("From"),
            Column::words("To"),
            Column::numbers("Length"),
            Column::numbers("Cut"),
            Column::numbers("Buckles"),
            Column::numbers("Tension"),
            Column::numbers("Sag"),
        ],
        rows,
        by_hand: false,
    }
}

/// A row for each bridle of a ridge strap.
fn bridles(strap: &Strap, cut: &CutStrap, units: UnitSystem) -> Vec<Vec<String>> {
    let row = |bridle: &CutBridle| {
        let end = strap.ends.iter().find(|end| end.end == bridle.end);
        vec![
            bridle.id.clone(),
            format!("knot of {}", strap.id),
            end.map_or_else(String::new, |end| end.to.clone()),
            units.format_length(bridle.length),
            units.format_length(bridle.cut),
            "0".to_owned(),
            end.map_or_else(String::new, |end| units.format_force(end.tension)),
            String::new(),
        ]
    };
    cut.bridles.iter().map(row).collect()
}

/// Where a strap ends, with the station where it goes over the edge: a rail is long.
fn ends_at(plan: &Plan, strap: &Strap, units: UnitSystem) -> String {
    let over_edge =
        strap.kind != StrapKind::Ridge && !plan.frame.posts.iter().any(|post| post.id == strap.to);
    match strap.plan.last().filter(|_| over_edge) {
        Some(end) => format!("{} at {}", strap.to, units.format_length(end.x)),
        None => strap.to.clone(),
    }
}

/// One point for each run of straps with the same reason: a pair athwart has one.
fn strap_reasons(plan: &Plan, units: UnitSystem) -> Vec<Point> {
    let mut points: Vec<Point> = Vec::new();
    for strap in &plan.frame.straps {
        let mut text = strap.reason.sentence(units);
        for end in &strap.ends {
            text.push_str("; ");
            text.push_str(&end.sentence(units));
        }
        match points.last_mut() {
            Some(last) if last.text == text => {
                last.mark.push_str(", ");
                last.mark.push_str(&strap.id);
            }
            _ => points.push(Point {
                mark: strap.id.clone(),
                text,
            }),
        }
    }
    points
}

/// What stands through the film.
pub(super) fn collars(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    if plan.boat.piercings.is_empty() {
        return Vec::new();
    }
    let points = plan.boat.piercings.iter().map(|piercing| Point {
        mark: piercing.name.clone(),
        text: format!(
            "stands through the film at station {}, {}, {} across",
            units.format_length(piercing.station),
            words::offset(piercing.offset, units),
            units.format_length(piercing.diameter)
        ),
    });
    vec![
        Block::Heading("Collars".to_owned()),
        Block::Points(points.collect()),
    ]
}
