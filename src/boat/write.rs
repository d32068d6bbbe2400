//! Writes a boat file: the reverse of [`super::read`].

use super::plausible;
use super::read::{DEFAULT_SOLE, UNNAMED, read};
use super::read_storage::DEFAULT_KEEL_HEIGHT;
use super::read_wishes::DEFAULT_SPACING;
use super::write_layout::{Node, file};
use super::write_text::Kind;
use super::write_things::{self, Ground, word};
use super::{
    Boat, FrameWishes, Hand, Problem, Problems, RidgeWish, Support, SupportKind, kept, write_hull,
    write_rules,
};
use crate::units::UnitSystem;

/// A boat as files.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// The boat file.
    pub text: String,
    /// Name and text of each file that must lie beside it: a table of offsets.
    pub companions: Vec<(String, String)>,
}

/// The first line of each file that is written.
pub const HEADING: &str =
    "// Written by hulltent: comments and the order of an earlier boat file are not kept.\n";

/// Writes a boat as a boat file that [`read`] turns into the same boat. Heights are those over the keel. What
/// reading would fill in by itself is left out. Dimensions are written as people write them where that reads back to the
/// very number or within a nanometer of it (heights that were taken from the ground are off by a rounding), else
/// with all their digits. The same boat gives the same bytes, and so does the boat that is read from them.
///
/// A boat that breaks a rule of [`read`] is written all the same; see [`revise`]. Anchors and footings that are
/// empty, and rolls, come back as the defaults.
pub fn write(boat: &Boat, units: UnitSystem) -> Written {
    let pen = Pen { units };
    let mut text = HEADING.to_owned();
    text.push_str(&file("Boat", &fields(&pen, boat)));
    Written {
        text,
        companions: write_hull::table(&boat.hull).into_iter().collect(),
    }
}

/// Validates a boat that was changed in memory as if it had been read from a file. What comes back may differ by the
/// rounding of [`write()`], is sorted as a read boat is, and has nothing that no file can say.
///
/// # Errors
/// Every problem, each with the path that its field has in the written file and without a place.
pub fn revise(boat: &Boat) -> Result<Boat, Problems> {
    let mut list = Vec::new();
    // A file cannot say these: reading fills them in.
    for (path, empty, what, hint) in [
        (
            "anchors",
            boat.anchors.is_empty(),
            "no anchor for a side strap",
            "add the cleats or rails that a strap can be tied to",
        ),
        (
            "footings",
            boat.footings.is_empty(),
            "no place where a post may stand",
            "add a footing",
        ),
        (
            "rules.rolls",
            boat.rules.rolls.is_empty(),
            "no width of film",
            "add the widths of the rolls that the yard has",
        ),
    ] {
        if empty {
            list.push(Problem {
                path: path.to_owned(),
                place: None,
                what: what.to_owned(),
                hint: hint.to_owned(),
            });
        }
    }
    let written = write(boat, UnitSystem::default());
    let read = read(&written.text, &|name| {
        written
            .companions
            .iter()
            .find(|(companion, _)| companion == name)
            .map(|(_, text)| text.clone())
            .ok_or_else(|| format!("no file '{name}'"))
    });
    match read {
        Ok(boat) if list.is_empty() => Ok(boat),
        Ok(_) => Err(Problems { list }),
        Err(problems) => {
            list.extend(problems.list.into_iter().map(|problem| Problem {
                place: None,
                ..problem
            }));
            Err(Problems { list })
        }
    }
}

/// Writes quantities in one system of units.
pub(super) struct Pen {
    pub units: UnitSystem,
}

impl Pen {
    pub fn length(&self, meters: f64) -> Node {
        self.quantity(Kind::Length, meters)
    }

    pub fn area(&self, square_meters: f64) -> Node {
        self.quantity(Kind::Area, square_meters)
    }

    pub fn force(&self, newtons: f64) -> Node {
        self.quantity(Kind::Force, newtons)
    }

    fn quantity(&self, kind: Kind, value: f64) -> Node {
        let text = kind.text(value, self.units);
        match kind {
            Kind::Fraction => Node::Word(text),
            _ => Node::quoted(&text),
        }
    }

    /// The length that reading will find, m.
    pub fn read_back(&self, meters: f64) -> f64 {
        Kind::Length.read_back(meters, self.units)
    }

    /// Whether reading would find the default, if it were left out, for what it would find for the value. The default
    /// must be made of dimensions that were read back, so that a second writing finds the same.
    pub fn same(&self, kind: Kind, value: f64, default: f64) -> bool {
        (kind.read_back(value, self.units) - default).abs() <= kind.close()
    }

    pub fn fields(&self) -> Fields<'_> {
        Fields {
            pen: self,
            list: Vec::new(),
        }
    }
}

/// Fields of a struct, put one behind the other.
pub(super) struct Fields<'a> {
    pen: &'a Pen,
    pub list: Vec<(&'static str, Node)>,
}

impl Fields<'_> {
    pub fn put(&mut self, name: &'static str, node: Node) {
        self.list.push((name, node));
    }

    /// Puts a quantity unless it is what reading fills in.
    pub fn unless(&mut self, kind: Kind, name: &'static str, value: f64, default: f64) {
        if !self.pen.same(kind, value, default) {
            self.put(name, self.pen.quantity(kind, value));
        }
    }

    fn put_list(&mut self, name: &'static str, items: Vec<Node>) {
        if !items.is_empty() {
            self.put(name, Node::List(items));
        }
    }

    fn put_struct(&mut self, name: &'static str, fields: Vec<(&'static str, Node)>) {
        if !fields.is_empty() {
            self.put(name, Node::Struct("", fields));
        }
    }
}

fn fields(pen: &Pen, boat: &Boat) -> Vec<(&'static str, Node)> {
    let [stern, middle, bow] = boat.sheer;
    let mut fields = pen.fields();
    if boat.name != UNNAMED {
        fields.put("name", Node::quoted(&boat.name));
    }
    if !boat.note.is_empty() {
        fields.put("note", Node::quoted(&boat.note));
    }
    if plausible::looks_high(&boat.hull, boat.beam, boat.sheer) {
        // Reading asks about so high a sheer unless the file says what it is measured from.
        fields.put("heights_from", Node::Word("Keel".to_owned()));
    }
    fields.put("length", pen.length(boat.length));
    fields.put("beam", pen.length(boat.beam));
    fields.put_struct(
        "sheer",
        vec![
            ("bow", pen.length(bow)),
            ("middle", pen.length(middle)),
            ("stern", pen.length(stern)),
        ],
    );
    if let Some(hull) = write_hull::hull(pen, boat) {
        fields.put("hull", hull);
    }
    fields.unless(Kind::Length, "rub_rail", boat.rub_rail, 0.0);
    let default_sole = DEFAULT_SOLE * pen.read_back(stern);
    fields.unless(Kind::Length, "sole", boat.sole, default_sole);
    let ground = ground(pen, boat, default_sole);
    let things = |list: &[super::DeckBox]| {
        list.iter()
            .map(|thing| write_things::deck_box(pen, thing, &ground))
            .collect()
    };
    fields.put_list("boxes", things(&boat.boxes));
    let spars = write_things::spars(pen, boat);
    fields.put_list("tubes", write_things::tubes(pen, spars.tubes));
    if let Some(mast) = spars.mast {
        fields.put("mast", mast);
    }
    let antennas = spars.antennas.iter();
    fields.put_list(
        "antennas",
        antennas
            .map(|antenna| write_things::antenna(pen, antenna))
            .collect(),
    );
    fields.put_list(
        "anchors",
        write_things::anchors(pen, &boat.anchors, &ground),
    );
    fields.put_list(
        "footings",
        write_things::footings(pen, &boat.footings, &ground),
    );
    let zones = boat.no_post.iter();
    fields.put_list(
        "no_post",
        zones
            .map(|zone| write_things::no_post(pen, zone, &ground))
            .collect(),
    );
    fields.put_struct("stored_on", stored_on(pen, &boat.stored_on));
    if let Some(door) = boat.door {
        let side = match door.hand {
            Hand::Port => "Port",
            Hand::Starboard => "Starboard",
        };
        fields.put_struct(
            "door",
            vec![
                ("station", pen.length(door.station)),
                ("side", Node::Word(side.to_owned())),
            ],
        );
    }
    fields.put_struct("frame", frame(pen, &boat.wishes, &ground));
    fields.put_struct("rules", write_rules::rules(pen, &boat.rules));
    fields.list
}

/// The boat with those dimensions as read back that defaults are made of.
fn ground(pen: &Pen, boat: &Boat, default_sole: f64) -> Ground {
    let sole = if pen.same(Kind::Length, boat.sole, default_sole) {
        default_sole
    } else {
        pen.read_back(boat.sole)
    };
    Ground {
        length: pen.read_back(boat.length),
        beam: pen.read_back(boat.beam),
        sheer: boat.sheer.map(|height| pen.read_back(height)),
        sole,
    }
}

fn stored_on(pen: &Pen, support: &Support) -> Vec<(&'static str, Node)> {
    let mut fields = pen.fields();
    if support.kind != SupportKind::default() {
        fields.put("kind", word(support.kind));
    }
    fields.unless(
        Kind::Length,
        "keel_height",
        support.keel_height,
        DEFAULT_KEEL_HEIGHT,
    );
    let mut stations = support.supports.clone();
    stations.sort_by(f64::total_cmp);
    fields.put_list(
        "supports",
        stations
            .iter()
            .map(|station| pen.length(*station))
            .collect(),
    );
    fields.list
}

fn frame(pen: &Pen, wishes: &FrameWishes, ground: &Ground) -> Vec<(&'static str, Node)> {
    let mut fields = pen.fields();
    match wishes.ridge {
        RidgeWish::Free => {}
        RidgeWish::Single => fields.put("ridge", Node::Word("Single".to_owned())),
        RidgeWish::Twin(spacing) => {
            let mut twin = pen.fields();
            twin.unless(
                Kind::Length,
                "spacing",
                spacing,
                DEFAULT_SPACING * ground.beam,
            );
            fields.put("ridge", Node::Struct("Twin", twin.list));
        }
    }
    if wishes.only_pinned {
        fields.put("only_pinned", word(true));
    }
    let mut posts = wishes.posts.clone();
    posts.sort_by(|a, b| a.station.total_cmp(&b.station));
    let posts = posts.iter().map(|post| {
        let mut fields = pen.fields();
        for (field, name) in [("name", &post.name), ("name_port", &post.name_port)] {
            if let Some(name) = name {
                fields.put(field, Node::quoted(name));
            }
        }
        fields.put("station", pen.length(post.station));
        if let Some(cap) = post.cap {
            fields.put("cap", pen.length(cap));
        }
        if let Some(reason) = &post.kept {
            fields.put("kept", kept::node(pen, reason));
        }
        Node::Struct("", fields.list)
    });
    fields.put_list("posts", posts.collect());
    let straps = wishes.straps.iter().map(|strap| {
        let mut fields = pen.fields();
        fields.put("post", pen.length(strap.post));
        fields.put("station", pen.length(strap.station));
        write_things::one_side(&mut fields, strap.side);
        if let Some(reason) = &strap.kept {
            fields.put("kept", kept::node(pen, reason));
        }
        Node::Struct("", fields.list)
    });
    fields.put_list("straps", straps.collect());
    fields.list
}
