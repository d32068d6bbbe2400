//! The hull's shape, and its table of offsets.

use super::read_hull::defaults;
use super::write::Pen;
use super::write_layout::Node;
use super::write_text::{Kind, part_text};
use super::{Boat, HullForm, MonoForm, OffsetSection, Section};

/// The name of a table of offsets that has none.
const TABLE: &str = "offsets.csv";

/// Two parts of the beam nearer than this are one: a part of a nanometer on the widest boat.
const SAME_PART: f64 = 1e-12;

/// The `hull` of the file; `None` for the shape that a file without one has.
pub(super) fn hull(pen: &Pen, boat: &Boat) -> Option<Node> {
    match &boat.hull {
        HullForm::Mono(form) => {
            let node = mono(pen, form, pen.read_back(boat.beam));
            let plain = matches!(&node, Node::Struct("V", fields) if fields.is_empty());
            (!plain).then_some(node)
        }
        HullForm::Tubes { count, diameter } => {
            let mut fields = pen.fields();
            if *count != defaults::TUBES {
                fields.put("count", Node::Word(count.to_string()));
            }
            fields.unless(Kind::Length, "diameter", *diameter, defaults::TUBE_DIAMETER);
            Some(Node::Struct("Tubes", fields.list))
        }
        HullForm::Catamaran {
            hull_beam,
            deadrise,
            deck_thickness,
            stem_rake,
        } => {
            let beam = pen.read_back(boat.beam);
            let lowest = boat.sheer.iter().fold(f64::INFINITY, |lowest, sheer| {
                lowest.min(pen.read_back(*sheer))
            });
            let mut fields = pen.fields();
            fields.unless(
                Kind::Length,
                "hull_beam",
                *hull_beam,
                defaults::CATAMARAN_HULL * beam,
            );
            fields.unless(
                Kind::Angle,
                "deadrise",
                *deadrise,
                defaults::CATAMARAN_DEADRISE.to_radians(),
            );
            fields.unless(
                Kind::Length,
                "deck_thickness",
                *deck_thickness,
                defaults::CATAMARAN_DECK * lowest,
            );
            fields.unless(
                Kind::Angle,
                "stem_rake",
                *stem_rake,
                defaults::CATAMARAN_STEM_RAKE.to_radians(),
            );
            Some(Node::Struct("Catamaran", fields.list))
        }
        HullForm::Offsets { file, .. } => Some(Node::Struct(
            "Offsets",
            vec![("file", Node::quoted(table_name(file)))],
        )),
    }
}

fn table_name(file: &str) -> &str {
    if file.is_empty() { TABLE } else { file }
}

fn mono(pen: &Pen, form: &MonoForm, beam: f64) -> Node {
    let mut fields = pen.fields();
    let part = |fields: &mut super::write::Fields, name, part: f64, default: f64| {
        if (part - default).abs() > SAME_PART {
            fields.put(name, Node::quoted(&part_text(part, beam, pen.units)));
        }
    };
    let name = match form.section {
        Section::V {
            transom_deadrise,
            entry_deadrise,
            chine_beam_fraction,
        } => {
            fields.unless(
                Kind::Angle,
                "transom_deadrise",
                transom_deadrise,
                defaults::TRANSOM_DEADRISE.to_radians(),
            );
            fields.unless(
                Kind::Angle,
                "entry_deadrise",
                entry_deadrise,
                defaults::ENTRY_DEADRISE.to_radians(),
            );
            part(
                &mut fields,
                "chine_beam",
                chine_beam_fraction,
                defaults::CHINE_OF_V,
            );
            "V"
        }
        Section::RoundBilge { deadrise, .. } => {
            fields.unless(
                Kind::Angle,
                "transom_deadrise",
                deadrise,
                defaults::BILGE_DEADRISE.to_radians(),
            );
            "RoundBilge"
        }
        Section::Flat {
            chine_beam_fraction,
        } => {
            part(
                &mut fields,
                "chine_beam",
                chine_beam_fraction,
                defaults::CHINE_OF_FLAT,
            );
            "Flat"
        }
    };
    part(
        &mut fields,
        "transom_beam",
        form.transom_beam_fraction,
        defaults::TRANSOM_BEAM,
    );
    fields.unless(
        Kind::Fraction,
        "fullness",
        form.fullness,
        defaults::FULLNESS,
    );
    if let Section::RoundBilge { bilge, .. } = form.section {
        fields.unless(Kind::Fraction, "bilge", bilge, defaults::BILGE);
    }
    fields.unless(
        Kind::Angle,
        "stem_rake",
        form.stem_rake,
        defaults::STEM_RAKE.to_radians(),
    );
    fields.unless(
        Kind::Angle,
        "transom_rake",
        form.transom_rake,
        defaults::TRANSOM_RAKE.to_radians(),
    );
    Node::Struct(name, fields.list)
}

/// The name and the text of the table of offsets beside the boat file, where the hull has one.
pub(super) fn table(hull: &HullForm) -> Option<(String, String)> {
    let HullForm::Offsets { file, sections } = hull else {
        return None;
    };
    let mut text = String::from("station, half breadth, height\n");
    for OffsetSection { station, points } in sections {
        for (half, height) in points {
            text.push_str(&format!("{station}, {half}, {height}\n"));
        }
    }
    Some((table_name(file).to_owned(), text))
}
