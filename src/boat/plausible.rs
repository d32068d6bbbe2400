//! What can be read but cannot be true: each check names the likeliest slip of the tape or the pen.

use super::check::Checker;
use super::{Boat, BoxKind, DeckBox, Footing, HullForm, OffsetSection};

/// A tape's error, and what a crowned deck rises over its edge, m.
const CROWN: f64 = 0.1;

/// What a sheer that is drawn from three heights and a fullness may miss of the real outline, as a part of the beam.
const OUTLINE: f64 = 0.05;

/// A box may pass the outline by the error of a tape, m.
const SLACK: f64 = 0.03;

/// Greatest depth of a single hull amidships over its beam: trawlers and sailing hulls without their fin come to 0.55,
/// boats measured from the ground under their trailer begin at 0.6. Common practice.
const MAX_DEPTH: f64 = 0.58;

/// A deck over tubes lies no higher over them, m. Common practice: joists and floor take 8 in.
const MAX_DECK: f64 = 0.35;

/// Tallest windshield from foot to top, m. Common practice: 2 to 4 ft.
const TALLEST_WINDSHIELD: f64 = 2.5;

/// How far a table of offsets and the tape may differ, as a part.
const TABLE: f64 = 0.1;

/// How much wider than the outline a thing may be, m.
pub(super) fn outline_slack(boat: &Boat) -> f64 {
    match boat.hull {
        HullForm::Mono(_) => OUTLINE * boat.beam + SLACK,
        _ => SLACK,
    }
}

/// Whether the sheer is so high over the hull's lowest point that its heights may have been measured from the ground.
pub(super) fn looks_high(hull: &HullForm, beam: f64, sheer: [f64; 3]) -> bool {
    let [stern, middle, bow] = sheer;
    let lowest = stern.min(middle).min(bow);
    match hull {
        HullForm::Tubes { diameter, .. } => lowest > diameter + MAX_DECK,
        _ => lowest > MAX_DEPTH * beam,
    }
}

/// Asks about heights that look measured from the ground where the file does not say which level they are from.
pub(super) fn level(check: &mut Checker, hull: &HullForm, beam: f64, sheer: [f64; 3]) {
    if looks_high(hull, beam, sheer) {
        let lowest = sheer.iter().copied().fold(f64::INFINITY, f64::min);
        let what = format!(
            "a sheer {} over the hull's lowest point is very high for a beam of {}: were the heights measured from \
             the ground?",
            check.typed(lowest),
            check.typed(beam)
        );
        check.problem(
            "sheer",
            what,
            "if so, add heights_from: Ground and stored_on: (keel_height: \"...\"), the hull's lowest point over the \
             ground; if not, add heights_from: Keel",
        );
    }
}

/// The unit or the habit that makes a number so many times too large.
pub(super) fn slip(ratio: f64) -> Option<&'static str> {
    [
        (
            100.0,
            "the table looks to be in centimeters: divide its numbers by 100",
        ),
        (
            1000.0,
            "the table looks to be in millimeters: divide its numbers by 1000",
        ),
        (
            3.2808,
            "the table looks to be in feet: multiply its numbers by 0.3048",
        ),
        (
            39.37,
            "the table looks to be in inches: multiply its numbers by 0.0254",
        ),
        (2.0, "the table looks to give full breadths: halve them"),
    ]
    .into_iter()
    .find(|(factor, _)| (ratio / factor - 1.0).abs() <= TABLE)
    .map(|(_, cause)| cause)
}

/// Checks a table of offsets against the tape: its beam, its heights.
pub(super) fn table(
    check: &mut Checker,
    name: &str,
    sections: &[OffsetSection],
    beam: f64,
    sheer: [f64; 3],
) {
    let points = || sections.iter().flat_map(|section| &section.points);
    let half = points().map(|p| p.0).fold(0.0, f64::max);
    let high = points().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
    let wanted = sheer.iter().copied().fold(0.0, f64::max);
    let pairs = [("beam", 2.0 * half, beam), ("sheer", high, wanted)];
    for (what, table, tape) in pairs {
        let ratio = table / tape;
        if (ratio - 1.0).abs() > TABLE {
            let text = format!(
                "{name}: its greatest {what} is {table:.3} m, the boat file says {tape:.3} m ({})",
                check.typed(tape)
            );
            let hint = slip(ratio).unwrap_or("make both say the same; the table is in meters");
            check.problem("hull.file", text, hint);
            return;
        }
    }
}

/// Checks that a box stands on the hull where its file says that it stands; `goes_round` is
/// whether the film's edge goes round it.
pub(super) fn stands_on_hull(check: &mut Checker, path: &str, boat: &Boat, thing: &DeckBox) {
    let (from, to, offset) = (thing.from, thing.to, thing.offset);
    let widths = [thing.width, thing.width_fore];
    let widest = 0.5 * widths[0].max(widths[1]);
    let slack = outline_slack(boat);
    let beyond = boat.outside(from, to, offset, widths);
    let apart = from > boat.length
        || to < -BRACKET
        || offset.abs() - widest > boat.widest_between(from, to) + slack;
    let past_ends = from < -SLACK || to > boat.length + SLACK;
    if apart {
        check.problem(
            path,
            format!(
                "the box '{}' lies outside the hull and does not touch it",
                thing.name
            ),
            "check its stations (forward from the transom), its width and its offset",
        );
    } else if !thing.film_goes_round
        && thing.kind != BoxKind::Platform
        && (past_ends || beyond > slack)
    {
        let what = if beyond > slack {
            format!(
                "the box '{}' reaches {} outside the sheer where it stands",
                thing.name,
                check.typed(beyond)
            )
        } else {
            format!("the box '{}' reaches past the end of the hull", thing.name)
        };
        check.problem(
            path,
            what,
            "check its stations, width, width_fore and offset; if the film is to go round it, say film_goes_round: true",
        );
    }
}

/// How far aft of the transom a thing on a bracket may begin, m.
const BRACKET: f64 = 0.35;

/// Checks the height of a box's top; false where it cannot be right, so that nothing else is blamed for it.
pub(super) fn top(check: &mut Checker, path: &str, boat: &Boat, thing: &DeckBox) -> bool {
    let top = thing.top.min(thing.top_fore);
    let highest = thing.top.max(thing.top_fore);
    let inside = matches!(
        thing.kind,
        BoxKind::Windshield
            | BoxKind::Console
            | BoxKind::Cabin
            | BoxKind::Hardtop
            | BoxKind::Flybridge
            | BoxKind::Seat
    );
    let over_deck = "heights are measured from the hull's lowest point (or the ground, with heights_from: Ground): was \
                     this one measured from the deck or the sole? Then add the height of that";
    if inside && highest <= boat.sole {
        let what = format!(
            "the top of '{}' lies under the sole, which is {} up",
            thing.name,
            check.typed(boat.sole + check.datum)
        );
        check.problem(path, what, over_deck);
        return false;
    }
    let [sheer, _] = boat.sheer_between(thing.from, thing.to);
    let above = matches!(
        thing.kind,
        BoxKind::Windshield | BoxKind::Hardtop | BoxKind::Flybridge
    );
    if above && highest <= sheer - CROWN {
        let what = format!(
            "the top of '{}' lies under the sheer, which is {} up there",
            thing.name,
            check.typed(sheer + check.datum)
        );
        check.problem(path, what, over_deck);
        return false;
    }
    if thing.kind == BoxKind::Windshield && top - thing.base > TALLEST_WINDSHIELD {
        let what = format!(
            "the windshield '{}' would be {} tall from foot to top",
            thing.name,
            check.typed(top - thing.base)
        );
        check.problem(
            path,
            what,
            "check its top: a digit too many, or feet for inches? If it stands on a roof, give its base",
        );
        return false;
    }
    true
}

/// Checks that a footing lies on the boat and on something that carries a post.
pub(super) fn footing(check: &mut Checker, at: &str, boat: &Boat, footing: &Footing, wide: bool) {
    let zone = &footing.zone;
    let reach = zone.offset.abs() + 0.5 * zone.width;
    let half = boat.widest_between(zone.from, zone.to) + outline_slack(boat);
    if wide && reach > half {
        let what = format!(
            "the footing '{}' is wider than the boat there: it reaches {} from the middle, the sheer {}",
            zone.name,
            check.typed(reach),
            check.typed(boat.widest_between(zone.from, zone.to))
        );
        check.problem(
            &format!("{at}.width"),
            what,
            "check width and offset: width is the whole width, offset that of its middle from the centerline",
        );
    }
    let [_, sheer] = boat.sheer_between(zone.from, zone.to);
    let under = |thing: &DeckBox| {
        thing.from < zone.to
            && thing.to > zone.from
            && (thing.offset - zone.offset).abs()
                < 0.5 * (thing.width.max(thing.width_fore) + zone.width)
            && thing.top.max(thing.top_fore) + CROWN >= footing.height
    };
    let tube = boat.tubes.iter().any(|tube| {
        let within = |p: &[f64; 3]| p[0] > zone.from - 1.0 && p[0] < zone.to + 1.0;
        let high = |p: &[f64; 3]| p[2] + tube.diameter + CROWN >= footing.height;
        tube.path.iter().any(|p| within(p) && high(p))
    });
    if footing.height > sheer + CROWN && !tube && !boat.boxes.iter().any(under) {
        let what = format!(
            "the footing '{}' lies {} above the sheer, and no deck, box or roof is under it",
            zone.name,
            check.typed(footing.height - sheer)
        );
        check.problem(
            &format!("{at}.height"),
            what,
            "check its height: it is measured from the hull's lowest point (or the ground, with heights_from: Ground); \
             if it is on a roof, add that as a box first",
        );
    }
}
