//! What is loaded for the job, in numbers.

use crate::frame::StrapKind;
use crate::plan::Plan;
use crate::sheet::{Block, Column, Table};
use crate::units::UnitSystem;
use std::collections::BTreeMap;

/// The take-off in totals.
pub(super) fn blocks(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let length = |meters: f64| units.format_length(meters);
    let (cut, fittings) = (&plan.film.cut, &plan.fittings);
    let mut rows: Vec<[String; 3]> = Vec::new();
    let mut row = |what: &str, count: usize, total: String| {
        if count > 0 {
            rows.push([what.to_owned(), count.to_string(), total]);
        }
    };
    row(
        &format!("film off the {} roll", length(cut.roll)),
        cut.sheets,
        length(cut.length * cut.sheets as f64),
    );
    let posts = &plan.takeoff.posts;
    let total: f64 = posts.iter().map(|post| post.cut).sum();
    row("support posts", posts.len(), length(total));
    row("top caps", posts.len(), String::new());
    row("base caps", posts.len(), String::new());
    for (kind, what) in [
        (StrapKind::Ridge, "ridge strap"),
        (StrapKind::Side, "side straps"),
        (StrapKind::Hip, "hip straps"),
    ] {
        let cuts: Vec<f64> = plan
            .frame
            .straps
            .iter()
            .zip(&plan.takeoff.straps)
            .filter(|(strap, _)| strap.kind == kind)
            .map(|(_, cut)| cut.cut)
            .collect();
        row(what, cuts.len(), units.format_length_up(cuts.iter().sum()));
    }
    row(
        "perimeter band",
        1,
        units.format_length_up(fittings.band.cut),
    );
    let drops = &fittings.drop_straps;
    let total: f64 = drops.iter().map(|strap| strap.cut).sum();
    row("drop straps", drops.len(), units.format_length_up(total));
    let bellies = &fittings.belly_bands;
    let total: f64 = bellies.iter().map(|band| band.cut).sum();
    row("belly bands", bellies.len(), units.format_length_up(total));
    let straps: usize = plan.takeoff.straps.iter().map(|strap| strap.buckles).sum();
    let on_bellies: usize = bellies.iter().map(|band| band.buckles).sum();
    let buckles = straps + fittings.band.buckles + on_bellies;
    row("buckles", buckles, String::new());
    row("vents", fittings.vents.len(), String::new());
    row("door", usize::from(fittings.door_fits()), String::new());
    let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
    for pad in &fittings.pads {
        *kinds.entry(pad.kind).or_default() += 1;
    }
    for (kind, count) in kinds {
        row(&format!("pads: {kind}"), count, String::new());
    }
    rows.push(["tape".to_owned(), String::new(), length(fittings.tape)]);
    vec![
        Block::Heading("Take-off".to_owned()),
        Block::Table(Table {
            columns: vec![
                Column::words("What"),
                Column::numbers("How many"),
                Column::numbers("Together"),
            ],
            rows: rows.into_iter().map(Vec::from).collect(),
            by_hand: false,
        }),
    ]
}
