//! Boxes, tubes, masts, antennas, anchors and footings of a boat, as a file has them.

use super::read_anchors::{
    BOW_EYE, SAMSON_POST, SAMSON_POST_RISE, STERN_EYE_OFFSET, default_anchors,
};
use super::read_things::{
    ANTENNA_DIAMETER, MAST, MAST_DIAMETER, MAST_DIAMETERS, box_base, kind_defaults, kind_name,
    tube_diameter,
};
use super::read_zones::{ZONE_WIDTH, default_footing};
use super::write::{Fields, Pen};
use super::write_layout::Node;
use super::write_text::Kind::{Angle, Length};
use super::{Anchor, Boat, BoxKind, DeckBox, Footing, Piercing, Side, Tube, TubeKind, Zone};

/// The boat's dimensions by which defaults are filled in, as they will be read back.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ground {
    pub length: f64,
    pub beam: f64,
    pub sheer: [f64; 3],
    pub sole: f64,
}

pub(super) fn word(value: impl std::fmt::Debug) -> Node {
    Node::Word(format!("{value:?}"))
}

fn flag(fields: &mut Fields, name: &'static str, value: bool, default: bool) {
    if value != default {
        fields.put(name, word(value));
    }
}

fn bears(pen: &Pen, fields: &mut Fields, limit: Option<f64>) {
    if let Some(limit) = limit {
        fields.put("bears", pen.force(limit));
    }
}

fn named(fields: &mut Fields, name: &str, default: &str) {
    if name != default {
        fields.put("name", Node::quoted(name));
    }
}

pub(super) fn deck_box(pen: &Pen, thing: &DeckBox, ground: &Ground) -> Node {
    let mut fields = pen.fields();
    named(&mut fields, &thing.name, &kind_name(thing.kind));
    if thing.kind != BoxKind::default() {
        fields.put("kind", word(thing.kind));
    }
    fields.put("from", pen.length(thing.from));
    fields.put("to", pen.length(thing.to));
    fields.put("width", pen.length(thing.width));
    let width = pen.read_back(thing.width);
    fields.unless(Length, "width_fore", thing.width_fore, width);
    fields.unless(Length, "offset", thing.offset, 0.0);
    let (top, top_fore) = (pen.read_back(thing.top), pen.read_back(thing.top_fore));
    let base = box_base(ground.sole, top.min(top_fore));
    fields.unless(Length, "base", thing.base, base);
    fields.put("top", pen.length(thing.top));
    fields.unless(Length, "top_fore", thing.top_fore, top);
    let [aft, fore, side] = thing.rakes;
    fields.unless(Angle, "rake_aft", aft, 0.0);
    fields.unless(Angle, "rake_fore", fore, 0.0);
    fields.unless(Angle, "rake_side", side, 0.0);
    let kind = kind_defaults(thing.kind);
    flag(
        &mut fields,
        "film_may_rest",
        thing.film_may_rest,
        kind.film_may_rest,
    );
    flag(
        &mut fields,
        "post_may_stand",
        thing.post_may_stand,
        kind.post_may_stand,
    );
    flag(
        &mut fields,
        "film_goes_round",
        thing.film_goes_round,
        kind.film_goes_round,
    );
    if let Some(clearance) = thing.clearance {
        fields.put("clearance", pen.length(clearance));
    }
    bears(pen, &mut fields, thing.bears);
    Node::Struct("", fields.list)
}

/// What of a boat becomes `tubes`, `mast` and `antennas`.
pub(super) struct Spars<'a> {
    pub tubes: &'a [Tube],
    pub mast: Option<Node>,
    pub antennas: &'a [Piercing],
}

/// Finds the mast among tubes and piercings: reading puts one that is laid down behind the tubes, one that is up
/// before the antennas. A file has one mast at most.
pub(super) fn spars<'a>(pen: &Pen, boat: &'a Boat) -> Spars<'a> {
    let (mut tubes, mut antennas, mut mast) = (&boat.tubes[..], &boat.piercings[..], None);
    if let Some((first, rest)) = boat.piercings.split_first()
        && let Some(node) = mast_up(pen, first)
    {
        antennas = rest;
        mast = Some(node);
    } else if let Some((last, rest)) = boat.tubes.split_last()
        && let Some(node) = mast_laid_down(pen, last)
    {
        tubes = rest;
        mast = Some(node);
    }
    Spars {
        tubes,
        mast,
        antennas,
    }
}

fn mast_up(pen: &Pen, piercing: &Piercing) -> Option<Node> {
    let mast = piercing.name == MAST && piercing.offset == 0.0;
    if !mast || !MAST_DIAMETERS.contains(&pen.read_back(piercing.diameter)) {
        return None;
    }
    let mut fields = pen.fields();
    fields.put("station", pen.length(piercing.station));
    fields.unless(Length, "diameter", piercing.diameter, MAST_DIAMETER);
    Some(Node::Struct("Up", fields.list))
}

fn mast_laid_down(pen: &Pen, tube: &Tube) -> Option<Node> {
    let [[from, port, aft], [to, starboard, fore]] = tube.path[..] else {
        return None;
    };
    let mast = tube.kind == TubeKind::Mast
        && tube.name == MAST
        && tube.film_may_rest
        && port == 0.0
        && starboard == 0.0
        && pen.read_back(from) < pen.read_back(to)
        && pen.read_back(aft) >= 0.0
        && pen.read_back(fore) >= 0.0;
    if !mast || !MAST_DIAMETERS.contains(&pen.read_back(tube.diameter)) {
        return None;
    }
    let mut fields = pen.fields();
    fields.put("from", pen.length(from));
    fields.put("to", pen.length(to));
    fields.put("height", pen.length(aft));
    fields.unless(Length, "height_fore", fore, pen.read_back(aft));
    fields.unless(Length, "diameter", tube.diameter, MAST_DIAMETER);
    bears(pen, &mut fields, tube.bears);
    Some(Node::Struct("LaidDown", fields.list))
}

pub(super) fn tubes(pen: &Pen, tubes: &[Tube]) -> Vec<Node> {
    let mut nodes = Vec::new();
    let mut rest = tubes;
    while let Some((first, after)) = rest.split_first() {
        rest = after;
        if let Some((second, behind)) = after.split_first()
            && let Some(name) = mirrored(pen, first, second)
        {
            nodes.push(tube(pen, second, name, true));
            rest = behind;
        } else {
            nodes.push(tube(pen, first, &first.name, false));
        }
    }
    nodes
}

/// The name of the one tube of the file that both come from, where they are each other's mirror.
fn mirrored<'a>(pen: &Pen, starboard: &'a Tube, port: &'a Tube) -> Option<&'a str> {
    let name = starboard.name.strip_suffix(", starboard")?;
    let same = port.name.strip_suffix(", port") == Some(name)
        && starboard.kind == port.kind
        && starboard.film_may_rest == port.film_may_rest
        && starboard.bears == port.bears
        && pen.length(starboard.diameter) == pen.length(port.diameter)
        && path(pen, &starboard.path, -1.0) == path(pen, &port.path, 1.0);
    same.then_some(name)
}

fn tube(pen: &Pen, tube: &Tube, name: &str, mirrored: bool) -> Node {
    let mut fields = pen.fields();
    named(&mut fields, name, &kind_name(tube.kind));
    if tube.kind != TubeKind::default() {
        fields.put("kind", word(tube.kind));
    }
    fields.unless(Length, "diameter", tube.diameter, tube_diameter(tube.kind));
    flag(&mut fields, "mirrored", mirrored, false);
    flag(&mut fields, "film_may_rest", tube.film_may_rest, true);
    bears(pen, &mut fields, tube.bears);
    // Behind the others, since it takes the most lines.
    fields.put("path", Node::List(path(pen, &tube.path, 1.0)));
    Node::Struct("", fields.list)
}

fn path(pen: &Pen, points: &[[f64; 3]], side: f64) -> Vec<Node> {
    let mut path: Vec<Node> = points
        .iter()
        .map(|[station, offset, height]| {
            // No minus before nothing.
            let offset = if *offset == 0.0 { 0.0 } else { side * offset };
            Node::Tuple([*station, offset, *height].map(|at| pen.length(at)).into())
        })
        .collect();
    path.dedup();
    path
}

pub(super) fn antenna(pen: &Pen, piercing: &Piercing) -> Node {
    let mut fields = pen.fields();
    named(&mut fields, &piercing.name, "antenna");
    fields.put("station", pen.length(piercing.station));
    fields.unless(Length, "offset", piercing.offset, 0.0);
    fields.unless(Length, "diameter", piercing.diameter, ANTENNA_DIAMETER);
    Node::Struct("", fields.list)
}

/// The anchors; none where they are those that a file without any has.
pub(super) fn anchors(pen: &Pen, anchors: &[Anchor], ground: &Ground) -> Vec<Node> {
    let default = default_anchors(ground.length, ground.sheer[2]);
    let same = anchors.len() == default.len()
        && anchors
            .iter()
            .zip(&default)
            .all(|(anchor, default)| same_anchor(pen, anchor, default));
    if same {
        return Vec::new();
    }
    anchors
        .iter()
        .map(|anchor| {
            let mut fields = pen.fields();
            let name = match anchor {
                Anchor::BowEye { height } => {
                    fields.unless(Length, "height", *height, BOW_EYE * ground.sheer[2]);
                    "BowEye"
                }
                Anchor::SternEye { height, offset } => {
                    fields.unless(Length, "height", *height, BOW_EYE * ground.sheer[0]);
                    fields.unless(Length, "offset", *offset, STERN_EYE_OFFSET * ground.beam);
                    "SternEye"
                }
                Anchor::SamsonPost {
                    name,
                    station,
                    offset,
                    height,
                } => {
                    named(&mut fields, name, SAMSON_POST);
                    fields.put("station", pen.length(*station));
                    fields.unless(Length, "offset", *offset, 0.0);
                    let usual = ground.sheer[2] + SAMSON_POST_RISE;
                    fields.unless(Length, "height", *height, usual);
                    "SamsonPost"
                }
                Anchor::Cleat {
                    name,
                    station,
                    side,
                    below_sheer,
                } => {
                    named(&mut fields, name, "cleat");
                    fields.put("station", pen.length(*station));
                    one_side(&mut fields, *side);
                    fields.unless(Length, "below_sheer", *below_sheer, 0.0);
                    "Cleat"
                }
                Anchor::Rail {
                    name,
                    from,
                    to,
                    side,
                    below_sheer,
                } => {
                    named(&mut fields, name, "rail");
                    fields.put("from", pen.length(*from));
                    fields.put("to", pen.length(*to));
                    one_side(&mut fields, *side);
                    fields.unless(Length, "below_sheer", *below_sheer, 0.0);
                    "Rail"
                }
            };
            Node::Struct(name, fields.list)
        })
        .collect()
}

pub(super) fn one_side(fields: &mut Fields, side: Side) {
    if side != Side::default() {
        fields.put("side", word(side));
    }
}

fn same_anchor(pen: &Pen, anchor: &Anchor, default: &Anchor) -> bool {
    match (anchor, default) {
        (Anchor::BowEye { height }, Anchor::BowEye { height: default }) => {
            pen.same(Length, *height, *default)
        }
        (
            Anchor::Cleat {
                name,
                station,
                side,
                below_sheer,
            },
            Anchor::Cleat {
                name: default_name,
                station: default_station,
                side: default_side,
                below_sheer: default_below,
            },
        ) => {
            name == default_name
                && side == default_side
                && pen.same(Length, *station, *default_station)
                && pen.same(Length, *below_sheer, *default_below)
        }
        _ => false,
    }
}

/// The footings; none where there is but the one that a file without any has.
pub(super) fn footings(pen: &Pen, footings: &[Footing], ground: &Ground) -> Vec<Node> {
    let default = default_footing(ground.length, ground.beam, ground.sole);
    if let [footing] = footings
        && same_zone(pen, &footing.zone, &default.zone)
        && pen.same(Length, footing.height, default.height)
    {
        return Vec::new();
    }
    footings
        .iter()
        .map(|footing| {
            let mut fields = zone_fields(pen, &footing.zone, "sole", ground);
            fields.unless(Length, "height", footing.height, ground.sole);
            Node::Struct("", fields.list)
        })
        .collect()
}

fn same_zone(pen: &Pen, zone: &Zone, default: &Zone) -> bool {
    zone.name == default.name
        && pen.same(Length, zone.from, default.from)
        && pen.same(Length, zone.to, default.to)
        && pen.same(Length, zone.width, default.width)
        && pen.same(Length, zone.offset, default.offset)
}

pub(super) fn no_post(pen: &Pen, zone: &Zone, ground: &Ground) -> Node {
    Node::Struct("", zone_fields(pen, zone, "no post", ground).list)
}

fn zone_fields<'a>(pen: &'a Pen, zone: &Zone, default_name: &str, ground: &Ground) -> Fields<'a> {
    let mut fields = pen.fields();
    named(&mut fields, &zone.name, default_name);
    fields.put("from", pen.length(zone.from));
    fields.put("to", pen.length(zone.to));
    fields.unless(Length, "width", zone.width, ZONE_WIDTH * ground.beam);
    fields.unless(Length, "offset", zone.offset, 0.0);
    fields
}
