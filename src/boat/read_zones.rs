//! Footings from the file, and zones without posts.

use super::check::Checker;
use super::file::*;
use super::limits;
use super::plausible;
use super::read_things::{HIGHEST, from_to, offsets, on_deck};
use super::{Boat, Footing, Zone};

/// Part of the beam that a footing or a zone is wide where the file has no width.
pub(super) const ZONE_WIDTH: f64 = 0.5;

/// The sole from near the transom to the foredeck; common practice on small open boats.
pub(super) fn default_footing(length: f64, beam: f64, sole: f64) -> Footing {
    Footing {
        zone: Zone {
            name: "sole".to_owned(),
            from: 0.06 * length,
            to: 0.75 * length,
            width: ZONE_WIDTH * beam,
            offset: 0.0,
        },
        height: sole,
    }
}

pub(super) fn footings(
    files: &[FootingFile],
    check: &mut Checker,
    boat: &Boat,
    datum: f64,
) -> Vec<Footing> {
    if files.is_empty() {
        return vec![default_footing(boat.length, boat.beam, boat.sole)];
    }
    let mut footings = Vec::new();
    for (index, file) in files.iter().enumerate() {
        let at = format!("footings[{index}]");
        let place = ZoneFile {
            name: file.name.clone(),
            from: file.from.clone(),
            to: file.to.clone(),
            width: file.width.clone(),
            offset: file.offset.clone(),
        };
        let zone = zone(check, &at, boat, &place, "sole");
        let height = check
            .length(
                &format!("{at}.height"),
                &file.height,
                datum - 0.5..=datum + HIGHEST,
            )
            .map_or(boat.sole, |height| height - datum);
        let Some(zone) = zone else { continue };
        let footing = Footing { zone, height };
        plausible::footing(check, &at, boat, &footing, file.width.is_some());
        footings.push(footing);
    }
    footings
}

pub(super) fn zones(files: &[ZoneFile], check: &mut Checker, boat: &Boat) -> Vec<Zone> {
    check
        .at_most("no_post", files, limits::MAX_PLACES)
        .iter()
        .enumerate()
        .filter_map(|(index, file)| {
            let at = format!("no_post[{index}]");
            zone(check, &at, boat, file, "no post")
        })
        .collect()
}

/// A zone of the plan; `default_name` where the file has none. `None` where its ends are wrong.
fn zone(
    check: &mut Checker,
    at: &str,
    boat: &Boat,
    file: &ZoneFile,
    default_name: &str,
) -> Option<Zone> {
    let (from, to) = from_to(check, at, &file.from, &file.to, on_deck(boat))?;
    Some(Zone {
        name: file.name.clone().unwrap_or_else(|| default_name.to_owned()),
        from,
        to,
        width: check
            .length(&format!("{at}.width"), &file.width, 0.02..=1.2 * boat.beam)
            .unwrap_or(ZONE_WIDTH * boat.beam),
        offset: check
            .length(&format!("{at}.offset"), &file.offset, offsets(boat))
            .unwrap_or(0.0),
    })
}
