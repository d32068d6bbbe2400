//! Pads where the film bears on the boat.

use super::Pad;
use crate::boat::{Boat, BoxKind, Rules, TubeKind};
use crate::cover::{Contact, Cover};
use crate::hull::{Hull, Thing};
use nalgebra::Point2;

/// A contact this near to the rim of a flat top bears on its edge, this near to two sides of it on a corner, m: the
/// width of a hand, 4 in.
const AT_RIM: f64 = 0.1016;

/// Pads of a cover, the greatest force first: every contact from the rules' least force on, also on things that
/// film should not touch, since it does touch them there. Top caps carry the film too; they are made for it and get
/// no pad.
pub(super) fn pads(hull: &Hull, boat: &Boat, rules: &Rules, cover: &Cover) -> Vec<Pad> {
    cover
        .contacts
        .iter()
        .filter(|contact| contact.force >= rules.pad_force)
        .map(|contact| Pad {
            on: hull
                .things
                .get(contact.thing)
                .map_or("boat", |thing| thing.name.as_str())
                .to_owned(),
            at: contact.at,
            force: contact.force,
            kind: kind(hull, boat, contact),
        })
        .collect()
}

/// What kind of pad. The hull's things are the boat's boxes, then its tubes.
fn kind(hull: &Hull, boat: &Boat, contact: &Contact) -> &'static str {
    if let Some(deck_box) = boat.boxes.get(contact.thing) {
        return match deck_box.kind {
            BoxKind::Windshield => "over the frame of the glass",
            BoxKind::Motor => "over the motor's head",
            _ => match hull.things.get(contact.thing) {
                Some(thing) => on_top(thing, contact.at.xy()),
                None => OVER_TOP,
            },
        };
    }
    let tube = contact
        .thing
        .checked_sub(boat.boxes.len())
        .and_then(|index| boat.tubes.get(index));
    match tube.map(|tube| tube.kind) {
        Some(TubeKind::Rail) => "round the rail",
        Some(TubeKind::Mast) => "round the mast",
        _ => "round the tube",
    }
}

const OVER_TOP: &str = "over the top";

/// Where on a box a contact's middle lies.
fn on_top(thing: &Thing, p: Point2<f64>) -> &'static str {
    let near = thing
        .fold_lines()
        .iter()
        .flat_map(|rim| {
            rim.windows(2)
                .map(|pair| distance(p, pair))
                .collect::<Vec<_>>()
        })
        .filter(|distance| *distance < AT_RIM)
        .count();
    match near {
        0 => OVER_TOP,
        1 => "along the edge",
        _ => "over the corner",
    }
}

fn distance(p: Point2<f64>, pair: &[Point2<f64>]) -> f64 {
    let &[a, b] = pair else {
        return f64::INFINITY;
    };
    let along = b - a;
    let s = ((p - a).dot(&along) / along.norm_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    (a + along * s - p).norm()
}

#[cfg(test)]
mod tests {
    use super::super::tests::planned;
    use super::*;
    use crate::boat::presets;
    use nalgebra::Point3;

    /// Pads carry what the film leaves on the boat, all but what is under the least force.
    #[test]
    fn every_contact_of_force_gets_a_pad() {
        let mut kinds = std::collections::BTreeSet::new();
        for preset in presets() {
            let (boat, plan) = planned(preset.name);
            let pads = pads(&plan.hull, &boat, &plan.rules, &plan.cover);
            assert!(pads.windows(2).all(|pair| pair[0].force >= pair[1].force));
            let all: f64 = plan.cover.contacts.iter().map(|c| c.force).sum();
            let padded: f64 = pads.iter().map(|pad| pad.force).sum();
            let left = (plan.cover.contacts.len() - pads.len()) as f64 * plan.rules.pad_force;
            assert!(all - padded <= left + 1e-9, "{}", preset.name);
            for pad in &pads {
                kinds.insert(pad.kind);
                let motor = boat
                    .boxes
                    .iter()
                    .any(|b| b.name == pad.on && b.kind == BoxKind::Motor);
                assert_eq!(
                    pad.kind == "over the motor's head",
                    motor,
                    "{}: {pad:?}",
                    preset.name
                );
            }
        }
        for kind in [
            "over the motor's head",
            "over the frame of the glass",
            "round the rail",
            "round the tube",
            "round the mast",
        ] {
            assert!(kinds.contains(kind), "{kind}: {kinds:?}");
        }
    }

    #[test]
    fn places_on_a_top() {
        let (boat, plan) = planned("pilothouse-25");
        let house = boat
            .boxes
            .iter()
            .position(|b| b.name == "pilothouse")
            .unwrap();
        let deck_box = &boat.boxes[house];
        let (aft, half) = (
            deck_box.from - 4f64.to_radians().tan() * (deck_box.top - deck_box.base),
            0.5 * deck_box.width,
        );
        let side = half - 5f64.to_radians().tan() * (deck_box.top - deck_box.base);
        let check = |x: f64, y: f64, wanted: &str| {
            let contact = Contact {
                thing: house,
                at: Point3::new(x, y, deck_box.top),
                force: 9.0,
                over_a_foot: 9.0,
            };
            assert_eq!(kind(&plan.hull, &boat, &contact), wanted, "{x} {y}");
        };
        check(aft + 0.8, 0.0, "over the top");
        check(aft + 0.01, 0.0, "along the edge");
        check(aft + 0.8, side - 0.02, "along the edge");
        check(aft + 0.02, -side + 0.02, "over the corner");
    }
}
