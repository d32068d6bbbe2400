//! What is printed: nothing to cut comes out short, and both units tell of the same pairs.

use super::boats;
use hulltent::plan::Plan;
use hulltent::sheet::{Block, plan_sheet};
use hulltent::units::{UnitSystem, parse_length};

const INCH: f64 = 0.0254;

/// A tape's quarter inch and a millimeter.
fn step(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::FeetInches => 0.25 * INCH,
        UnitSystem::Metric => 1e-3,
    }
}

/// Rows of the table whose first column has a heading.
fn rows(plan: &Plan, units: UnitSystem, first: &str) -> Vec<Vec<String>> {
    let sheet = plan_sheet(plan, units);
    let mut found = Vec::new();
    for block in &sheet.blocks {
        if let Block::Table(table) = block
            && table
                .columns
                .first()
                .is_some_and(|column| column.heading == first)
        {
            found.extend(table.rows.clone());
        }
    }
    found
}

#[test]
fn nothing_is_cut_short() {
    for name in ["open-runabout-18", "center-console-24", "skiff"] {
        let (_, plan) = boats::planned(name);
        for units in [UnitSystem::FeetInches, UnitSystem::Metric] {
            let cut_of = |first: &str, cell: usize, id: &str| {
                let rows = rows(&plan, units, first);
                let row = rows
                    .iter()
                    .find(|row| row[0].split(", ").any(|name| name == id));
                parse_length(&row.unwrap_or_else(|| panic!("{name}: no {id}"))[cell]).unwrap()
            };
            let check = |id: &str, printed: f64, wanted: f64| {
                let over = printed - wanted;
                assert!(
                    over > -1e-6 && over < 2.0 * step(units),
                    "{name}: {id} printed {printed}, wanted {wanted}"
                );
            };
            for (strap, cut) in plan.frame.straps.iter().zip(&plan.takeoff.straps) {
                check(&strap.id, cut_of("Strap", 4, &strap.id), cut.cut);
            }
            for strap in &plan.fittings.drop_straps {
                check(&strap.id, cut_of("Drop strap", 4, &strap.id), strap.cut);
            }
            for band in &plan.fittings.belly_bands {
                check(&band.id, cut_of("Belly band", 4, &band.id), band.cut);
            }
            // Posts go to the nearest: within the half inch of cap height that a verdict allows for.
            for (post, cut) in plan.frame.posts.iter().zip(&plan.takeoff.posts) {
                let off = cut_of("Post", 7, &post.id) - cut.cut;
                assert!(off.abs() <= 0.5 * step(units) + 1e-6, "{name}: {}", post.id);
            }
        }
    }
}

#[test]
fn meters_pair_what_feet_pair() {
    let (_, plan) = boats::planned("center-console-24");
    for first in ["Vent", "Pad", "Drop strap"] {
        let [feet, meters] = [UnitSystem::FeetInches, UnitSystem::Metric].map(|units| {
            rows(&plan, units, first)
                .into_iter()
                .map(|row| row[0].clone())
                .collect::<Vec<_>>()
        });
        assert_eq!(feet, meters, "{first}");
    }
}

#[test]
fn both_masses_and_both_depths_are_told() {
    for name in ["sailboat-30-mast-up", "lopsided"] {
        let (_, plan) = boats::planned(name);
        let film = &plan.film;
        let cut = &film.cut;
        // The same film: what is trimmed off and what stays make the whole.
        let part = (cut.taken - cut.trim) / cut.taken;
        assert!(
            (film.mass_on_boat - part * film.mass).abs() < 1e-6 * film.mass,
            "{name}"
        );
        for pleat in &film.pleats {
            assert!(pleat.max_depth >= pleat.depth, "{name}: {pleat:?}");
        }
    }
}
