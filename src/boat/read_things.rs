//! Boxes, tubes, masts and antennas from the file.

use super::check::Checker;
use super::file::*;
use super::limits;
use super::plausible;
use super::quantity::Quantity;
use super::{Boat, BoxKind, DeckBox, Piercing, Tube, TubeKind};

/// Greatest height of anything over the datum, m.
pub(super) const HIGHEST: f64 = 25.0;

/// How far from the middle a tube may run, as a part of the beam; two numbers of a point swapped run farther.
const TUBE_REACH: f64 = 0.75;

/// How far a rail may lean out over the rub rail, m; 6 in. Common practice: rails stand inside it, so that docks do not bend them.
const RAIL_LEAN: f64 = 0.1524;

/// Loads that a thing may be said to bear, N.
const BEARS: std::ops::RangeInclusive<f64> = 1.0..=1e6;

/// How far a thing may reach past the hull's ends as a part of the length.
const OVERHANG: f64 = 0.3;

pub(super) fn stations(boat: &Boat) -> std::ops::RangeInclusive<f64> {
    -OVERHANG * boat.length..=(1.0 + OVERHANG) * boat.length
}

pub(super) fn on_deck(boat: &Boat) -> std::ops::RangeInclusive<f64> {
    0.0..=boat.length
}

pub(super) fn offsets(boat: &Boat) -> std::ops::RangeInclusive<f64> {
    -0.6 * boat.beam..=0.6 * boat.beam
}

/// Two stations in order; `None` and one problem where they are not.
pub(super) fn from_to(
    check: &mut Checker,
    path: &str,
    from: &Option<Quantity>,
    to: &Option<Quantity>,
    range: std::ops::RangeInclusive<f64>,
) -> Option<(f64, f64)> {
    let at = |field: &str| format!("{path}.{field}");
    if from.is_none() || to.is_none() {
        check.required_length(&at("from"), from, range.clone(), 0.0);
        check.required_length(&at("to"), to, range, 0.0);
        return None;
    }
    // Both are read before either is judged, since one slip may put both beyond the boat.
    let ends = (
        check.any_length(&at("from"), from),
        check.any_length(&at("to"), to),
    );
    let (Some(aft), Some(fore)) = ends else {
        return None;
    };
    if fore <= aft {
        check.problem(
            &at("to"),
            "the fore end does not lie forward of the aft end",
            "stations are measured forward from the transom: 'from' is the aft end, 'to' the fore end",
        );
        return None;
    }
    if !range.contains(&aft) || !range.contains(&fore) {
        let written = |end: &Option<Quantity>| end.as_ref().map_or(String::new(), Quantity::text);
        let (start, end) = (check.typed(*range.start()), check.typed(*range.end()));
        let worst = if range.contains(&aft) { "to" } else { "from" };
        check.problem(
            &at(worst),
            format!(
                "from {} to {} lies beyond the boat",
                written(from),
                written(to)
            ),
            format!(
                "stations are measured forward from the transom, here between {start} and {end}"
            ),
        );
        return None;
    }
    Some((aft, fore))
}

/// The name of a thing that has none of its own: its kind.
pub(super) fn kind_name(kind: impl std::fmt::Debug) -> String {
    format!("{kind:?}").to_lowercase()
}

/// What may touch a box of a kind unless the file says otherwise.
pub(super) struct KindDefaults {
    pub film_may_rest: bool,
    pub post_may_stand: bool,
    pub film_goes_round: bool,
}

pub(super) fn kind_defaults(kind: BoxKind) -> KindDefaults {
    let (film_may_rest, post_may_stand, film_goes_round) = match kind {
        BoxKind::Windshield | BoxKind::Console => (true, false, false),
        BoxKind::Cabin | BoxKind::Hardtop | BoxKind::Flybridge => (true, true, true),
        BoxKind::Seat => (false, false, false),
        BoxKind::Motor | BoxKind::Pulpit | BoxKind::Other => (true, false, true),
        BoxKind::Platform => (true, false, false),
    };
    KindDefaults {
        film_may_rest,
        post_may_stand,
        film_goes_round,
    }
}

impl BoxKind {
    /// Whether film may rest on a thing of this kind, and whether a post may stand on it, unless its file says
    /// otherwise.
    pub fn allows(self) -> [bool; 2] {
        let defaults = kind_defaults(self);
        [defaults.film_may_rest, defaults.post_may_stand]
    }
}

pub(super) fn boxes(
    files: &[BoxFile],
    check: &mut Checker,
    boat: &Boat,
    datum: f64,
) -> Vec<DeckBox> {
    check
        .at_most("boxes", files, limits::MAX_THINGS)
        .iter()
        .enumerate()
        .map(|(index, file)| deck_box(file, check, boat, datum, index))
        .collect()
}

fn deck_box(file: &BoxFile, check: &mut Checker, boat: &Boat, datum: f64, index: usize) -> DeckBox {
    let path = format!("boxes[{index}]");
    let ends = from_to(check, &path, &file.from, &file.to, stations(boat));
    let (from, to) = ends.unwrap_or((0.0, 1.0));
    let at = |field: &str| format!("{path}.{field}");
    let wide = 0.02..=1.2 * boat.beam;
    let width = check.required_length(&at("width"), &file.width, wide.clone(), 0.5);
    let width_fore = check
        .length(&at("width_fore"), &file.width_fore, wide)
        .unwrap_or(width);
    let offset = check
        .length(&at("offset"), &file.offset, offsets(boat))
        .unwrap_or(0.0);
    let heights = datum - 1.0..=datum + HIGHEST;
    let top = check.required_length(&at("top"), &file.top, heights.clone(), datum + 2.0) - datum;
    let top_fore = check
        .length(&at("top_fore"), &file.top_fore, heights.clone())
        .map_or(top, |top| top - datum);
    let lowest_top = top.min(top_fore);
    let base = check
        .length(&at("base"), &file.base, heights)
        .map_or_else(|| box_base(boat.sole, lowest_top), |base| base - datum);
    if base >= lowest_top {
        check.problem(
            &at("top"),
            "the top does not lie above the base",
            "heights are measured from the level that 'heights_from' names, the hull's lowest point by default",
        );
    }
    let defaults = kind_defaults(file.kind);
    let film_goes_round = file.film_goes_round.unwrap_or(defaults.film_goes_round);
    let name = file.name.clone().unwrap_or_else(|| kind_name(file.kind));
    let thing = DeckBox {
        name,
        kind: file.kind,
        from,
        to,
        width,
        width_fore,
        offset,
        base,
        top,
        top_fore,
        rakes: [0.0; 3],
        film_may_rest: file.film_may_rest.unwrap_or(defaults.film_may_rest),
        post_may_stand: file.post_may_stand.unwrap_or(defaults.post_may_stand),
        film_goes_round,
        clearance: check.length(&at("clearance"), &file.clearance, 0.0..=2.0),
        bears: check.force(&at("bears"), &file.bears, BEARS),
    };
    if ends.is_none() {
        return thing;
    }
    plausible::stands_on_hull(check, &path, boat, &thing);
    // Without a top none of these heights is the file's.
    if file.top.is_none() || !plausible::top(check, &at("top"), boat, &thing) {
        return thing;
    }
    let height = lowest_top - base;
    let mut rake = |field: &str, quantity, depth: f64| {
        let rake = check
            .angle(&at(field), quantity, -10.0..=80.0)
            .unwrap_or(0.0);
        if rake.tan() * height > 0.95 * depth {
            check.problem(
                &at(field),
                format!("with this rake nothing is left of the top, {} over the foot", check.typed(height)),
                "check the height of top and base first, then the rake (from the vertical) and the length of the foot",
            );
            return 0.0;
        }
        rake
    };
    let half_width = 0.5 * width.min(width_fore);
    let rakes = [
        rake("rake_aft", &file.rake_aft, 0.5 * (to - from)),
        rake("rake_fore", &file.rake_fore, to - from),
        rake("rake_side", &file.rake_side, half_width),
    ];
    let leaning: f64 = (rakes[0].tan() + rakes[1].tan()) * height;
    if leaning > 0.98 * (to - from) {
        check.problem(
            &at("rake_fore"),
            "the aft and fore rakes together leave nothing of the top",
            "give smaller rakes or a longer foot",
        );
    }
    DeckBox { rakes, ..thing }
}

/// Diameter of a tube where the file has none, m; common practice.
pub(super) fn tube_diameter(kind: TubeKind) -> f64 {
    match kind {
        TubeKind::Buoyancy => 0.45,
        _ => 0.04,
    }
}

/// Diameter of a mast where the file has none, m; house rule.
pub(super) const MAST_DIAMETER: f64 = 0.15;

/// Diameters that a mast may have, m.
pub(super) const MAST_DIAMETERS: std::ops::RangeInclusive<f64> = 0.02..=0.6;

/// Diameter of an antenna where the file has none, m; house rule.
pub(super) const ANTENNA_DIAMETER: f64 = 0.03;

/// The name of a mast.
pub(super) const MAST: &str = "mast";

/// How low the base of a box may come to its top where the base is the sole, m.
const MIN_BOX: f64 = 0.05;

/// Height of the foot of a box where the file has none: the sole, but under the box's top, m.
pub(super) fn box_base(sole: f64, lowest_top: f64) -> f64 {
    sole.min(lowest_top - MIN_BOX)
}

pub(super) fn tubes(files: &[TubeFile], check: &mut Checker, boat: &Boat, datum: f64) -> Vec<Tube> {
    let mut tubes = Vec::new();
    let files = check.at_most("tubes", files, limits::MAX_THINGS);
    for (index, file) in files.iter().enumerate() {
        let at = format!("tubes[{index}]");
        let diameter = check
            .length(&format!("{at}.diameter"), &file.diameter, 0.01..=1.0)
            .unwrap_or(tube_diameter(file.kind));
        if file.path.len() < 2 {
            check.problem(
                &format!("{at}.path"),
                "a tube needs at least two points",
                "path: [(station, offset, height), ...]",
            );
            continue;
        }
        let reach = match file.kind {
            TubeKind::Rail => 0.5 * boat.beam + RAIL_LEAN,
            _ => TUBE_REACH * boat.beam,
        };
        let mut path = Vec::new();
        let points = check.at_most(&format!("{at}.path"), &file.path, limits::MAX_POINTS);
        for (number, (station, offset, height)) in points.iter().enumerate() {
            let mut read = |place: usize, quantity: &Quantity, range, subtract: f64| {
                let path = format!("{at}.path[{number}][{place}]");
                let range: std::ops::RangeInclusive<f64> = range;
                let Some(value) = check.any_length(&path, &Some(quantity.clone())) else {
                    return 0.0;
                };
                if !range.contains(&value) {
                    let (start, end) = (check.typed(*range.start()), check.typed(*range.end()));
                    check.problem(
                        &path,
                        format!("{} is out of range", quantity.text().trim()),
                        format!(
                            "it must lie between {start} and {end}; a point is (station, offset, height): are two of \
                             its numbers swapped?"
                        ),
                    );
                    return 0.0;
                }
                value - subtract
            };
            path.push([
                read(0, station, stations(boat), 0.0),
                read(1, offset, -reach..=reach, 0.0),
                read(2, height, datum - 1.0..=datum + HIGHEST, datum),
            ]);
        }
        path.dedup();
        if path.len() < 2 {
            check.problem(
                &format!("{at}.path"),
                "all points of the tube are the same",
                "path: [(station, offset, height), ...]",
            );
            continue;
        }
        let name = file.name.clone().unwrap_or_else(|| kind_name(file.kind));
        let tube = Tube {
            name,
            kind: file.kind,
            diameter,
            path,
            film_may_rest: file.film_may_rest.unwrap_or(true),
            bears: check.force(&format!("{at}.bears"), &file.bears, BEARS),
        };
        if file.mirrored {
            let mirror = |[x, y, z]: &[f64; 3]| [*x, -*y, *z];
            tubes.push(Tube {
                name: format!("{}, starboard", tube.name),
                path: tube.path.iter().map(mirror).collect(),
                ..tube.clone()
            });
            tubes.push(Tube {
                name: format!("{}, port", tube.name),
                ..tube
            });
        } else {
            tubes.push(tube);
        }
    }
    tubes
}

pub(super) fn mast(file: Option<&MastFile>, check: &mut Checker, boat: &mut Boat, datum: f64) {
    match file {
        None => {}
        Some(MastFile::Up(file)) => {
            let station = check.required_length("mast.station", &file.station, on_deck(boat), 1.0);
            let diameter = check
                .length("mast.diameter", &file.diameter, MAST_DIAMETERS)
                .unwrap_or(MAST_DIAMETER);
            boat.piercings.push(Piercing {
                name: MAST.to_owned(),
                station,
                offset: 0.0,
                diameter,
            });
        }
        Some(MastFile::LaidDown(file)) => {
            let (from, to) =
                from_to(check, "mast", &file.from, &file.to, stations(boat)).unwrap_or((0.0, 1.0));
            let heights = datum..=datum + HIGHEST;
            let aft =
                check.required_length("mast.height", &file.height, heights.clone(), 2.0) - datum;
            let fore = check
                .length("mast.height_fore", &file.height_fore, heights)
                .map_or(aft, |height| height - datum);
            let diameter = check
                .length("mast.diameter", &file.diameter, MAST_DIAMETERS)
                .unwrap_or(MAST_DIAMETER);
            boat.tubes.push(Tube {
                name: MAST.to_owned(),
                kind: TubeKind::Mast,
                diameter,
                path: vec![[from, 0.0, aft], [to, 0.0, fore]],
                film_may_rest: true,
                bears: check.force("mast.bears", &file.bears, BEARS),
            });
        }
    }
}

pub(super) fn antennas(files: &[AntennaFile], check: &mut Checker, boat: &mut Boat) {
    let files = check.at_most("antennas", files, limits::MAX_THINGS);
    for (index, file) in files.iter().enumerate() {
        let at = format!("antennas[{index}]");
        let station =
            check.required_length(&format!("{at}.station"), &file.station, on_deck(boat), 1.0);
        let offset = check
            .length(&format!("{at}.offset"), &file.offset, offsets(boat))
            .unwrap_or(0.0);
        let diameter = check
            .length(&format!("{at}.diameter"), &file.diameter, 0.005..=0.3)
            .unwrap_or(ANTENNA_DIAMETER);
        boat.piercings.push(Piercing {
            name: file.name.clone().unwrap_or_else(|| "antenna".to_owned()),
            station,
            offset,
            diameter,
        });
    }
}
