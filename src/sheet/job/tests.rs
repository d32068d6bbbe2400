use super::super::drawing::Item;
use super::super::labels::Rectangle;
use super::super::part::bounds_of;

use super::*;
use crate::boat::presets;
use crate::plan::plan;
use rayon::prelude::*;

/// Margin that the pages promise, mm.
const PROMISED: f64 = 10.0;

/// Room between two words that counts as overlapping, mm: what is drawn apart is at least this far apart.
const TOUCH: f64 = 0.05;

fn read(item: &Item) -> Option<(&str, Rectangle)> {
    match item {
        Item::Text { text, .. } => Some((text.as_str(), bounds_of(item)?)),
        _ => None,
    }
}

fn overlap(a: &Rectangle, b: &Rectangle) -> bool {
    a[0] + TOUCH < b[2] && b[0] + TOUCH < a[2] && a[1] + TOUCH < b[3] && b[1] + TOUCH < a[3]
}

pub(super) fn faults(page: &Drawing, name: &str) -> Vec<String> {
    let mut faults = Vec::new();
    let [wide, high] = page.size;
    for item in &page.items {
        let Some(b) = bounds_of(item) else { continue };
        let inside = b[0] >= PROMISED
            && b[1] >= PROMISED
            && b[2] <= wide - PROMISED
            && b[3] <= high - PROMISED;
        if !inside {
            let what = read(item).map_or("a shape", |(text, _)| text);
            faults.push(format!("{name}: '{what}' leaves the margin, {b:?}"));
        }
    }
    let words: Vec<_> = page.items.iter().filter_map(read).collect();
    for (index, (text, a)) in words.iter().enumerate() {
        for (other, b) in words.iter().skip(index + 1) {
            if overlap(a, b) {
                faults.push(format!("{name}: '{text}' lies on '{other}', {a:?} {b:?}"));
            }
        }
    }
    faults
}

/// What the checks must find.
#[test]
fn faults_are_found() {
    let page = |places: &[[f64; 2]]| {
        let mut drawing = Drawing::part();
        drawing.size = [100.0, 80.0];
        for at in places {
            drawing.words(*at, "word", 3.0, super::super::Align::Start, false);
        }
        faults(&drawing, "page").len()
    };
    for (places, count) in [
        (&[[20.0, 20.0], [20.0, 23.0]][..], 0),
        (&[[20.0, 20.0], [20.0, 22.5]], 1),
        (&[[20.0, 20.0], [25.0, 20.0]], 1),
        (&[[9.0, 20.0]], 1),
        (&[[20.0, 12.0]], 1),
        (&[[85.0, 20.0], [20.0, 69.8]], 2),
    ] {
        assert_eq!(page(places), count, "{places:?}");
    }
}

#[test]
fn nothing_overlaps_or_leaves_the_margin() {
    let found: Vec<String> = presets()
        .par_iter()
        .flat_map(|preset| {
            let boat = preset.boat().unwrap();
            let plan = plan(&boat, &boat.rules).unwrap();
            let mut found = Vec::new();
            for (units, paper) in [
                (UnitSystem::FeetInches, Paper::Letter),
                (UnitSystem::FeetInches, Paper::A4),
                (UnitSystem::Metric, Paper::Letter),
                (UnitSystem::Metric, Paper::A4),
            ] {
                let name = format!("{} {units} {paper:?}", preset.name);
                let pages = job_sheet(&plan, units, paper);
                if !(1..=4).contains(&pages.len()) {
                    found.push(format!("{name}: {} pages", pages.len()));
                }
                for (number, page) in pages.iter().enumerate() {
                    let name = format!("{name} page {}", number + 1);
                    found.extend(faults(page, &name));
                    let [short, long] = paper.size_mm();
                    if page.size != [long, short] {
                        found.push(format!("{name}: {:?}", page.size));
                    }
                }
                let words = |pages: &[Drawing]| -> String {
                    let items = pages.iter().flat_map(|page| &page.items);
                    items
                        .filter_map(read)
                        .map(|(text, _)| format!("{text} "))
                        .collect()
                };
                for (what, wanted, found_in) in [
                    ("sheet", wanted(&plan, units), words(&pages)),
                    ("first page", on_first(&plan, units), words(&pages[..1])),
                ] {
                    found.extend(
                        wanted
                            .iter()
                            .filter(|wanted| !found_in.contains(wanted.as_str()))
                            .map(|wanted| format!("{name}: no '{wanted}' on the {what}")),
                    );
                }
            }
            found
        })
        .collect();
    assert!(found.is_empty(), "{}\n{}", found.len(), found.join("\n"));
}

#[test]
fn long_names_stay_on_the_paper() {
    let long = "W".repeat(70);
    let mut boat = crate::boat::preset("sailboat-30-mast-up")
        .unwrap()
        .boat()
        .unwrap();
    boat.name = format!("{long} {long}");
    for deck_box in &mut boat.boxes {
        deck_box.name = format!("{} {long}", deck_box.name);
    }
    for piercing in &mut boat.piercings {
        piercing.name = long.clone();
    }
    for anchor in &mut boat.anchors {
        if let crate::boat::Anchor::Cleat { name, .. } | crate::boat::Anchor::Rail { name, .. } =
            anchor
        {
            name.push_str(&format!(" {long}"));
        }
    }
    let plan = plan(&boat, &boat.rules).unwrap();
    for units in [UnitSystem::FeetInches, UnitSystem::Metric] {
        let pages = job_sheet(&plan, units, Paper::Letter);
        assert_eq!(pages.len(), 4);
        for (number, page) in pages.iter().enumerate() {
            let found = faults(page, &format!("{units} page {}", number + 1));
            assert!(found.is_empty(), "{}", found.join("\n"));
        }
    }
}

/// What a crew must find on the paper.
fn wanted(plan: &Plan, units: UnitSystem) -> Vec<String> {
    let mut wanted = on_first(plan, units);
    wanted.extend(plan.film.pleats.iter().map(|pleat| pleat.id.clone()));
    wanted.extend(plan.fittings.vents.iter().map(|vent| vent.id.clone()));
    wanted.extend(plan.fittings.drop_straps.iter().map(|s| s.id.clone()));
    wanted.extend(plan.fittings.belly_bands.iter().map(|b| b.id.clone()));
    wanted.push(units.format_length_up(plan.film.cut.length));
    wanted.push(units.format_length(plan.film.widths.hand));
    wanted.push(units.format_length(plan.film.widths.girth));
    wanted.push(units.format_length_up(plan.fittings.band.cut));
    for word in [
        "Cautions",
        "Survey.",
        "Spring.",
        "engineers decide",
        "open aft",
    ] {
        wanted.push(word.to_owned());
    }
    wanted
}

/// What it must find on the first page.
fn on_first(plan: &Plan, units: UnitSystem) -> Vec<String> {
    let mut wanted = Vec::new();
    for (post, cut) in plan.frame.posts.iter().zip(&plan.takeoff.posts) {
        wanted.push(post.id.clone());
        wanted.push(format!("cut {}", units.format_length(cut.cut)));
        wanted.push(format!(
            "cap {} over sole",
            units.format_length(cut.over_sole)
        ));
        wanted.push(units.format_length(post.station));
    }
    for (strap, cut) in plan.frame.straps.iter().zip(&plan.takeoff.straps) {
        wanted.push(format!("{} ", strap.id));
        wanted.push(format!("cut {}", units.format_length_up(cut.cut)));
    }
    wanted.push(format!("beam {}", units.format_length(plan.boat.beam)));
    wanted.push(format!("sheer {}", units.format_length(plan.boat.sheer[0])));
    wanted
}
