//! A boat from five numbers of the tape: the usual runabout of that size, good enough for film and lumber, to be looked
//! at again when the boat comes.

use super::job::Tape;
use std::fmt::Write;

/// Says on every sheet of such a boat what it is.
pub const NOTE: &str =
    "usual shape from five tape numbers: check windshield, anchors and footings at the boat";

/// Where a windshield stands, parts of the length; common practice for open runabouts.
const WINDSHIELD: [f64; 2] = [0.57, 0.64];

/// Rake of its front from the vertical, deg; demo value.
const RAKE: f64 = 40.0;

/// The boat file of a usual boat: V hull, open sole, cleats at the corners and amidships, footings fore and aft.
///
/// # Units
/// `tape` in m.
#[must_use]
pub fn boat_file(name: &str, tape: &Tape) -> String {
    let Tape {
        length,
        beam,
        bow,
        stern,
        windshield,
    } = *tape;
    // The sheer is hollow: amidships it lies nearer to the stern's height.
    let middle = stern + 0.3 * (bow - stern);
    let sole = 0.45 * stern;
    let m = |meters: f64| format!("\"{meters:.4} m\"");
    let mut text = String::new();
    // Writing to a text does not fail.
    let _ = writeln!(text, "Boat(\n    name: {name:?},\n    note: {NOTE:?},");
    let _ = writeln!(text, "    length: {}, beam: {},", m(length), m(beam));
    let _ = writeln!(
        text,
        "    sheer: (bow: {}, middle: {}, stern: {}),",
        m(bow),
        m(middle),
        m(stern)
    );
    let _ = writeln!(
        text,
        "    hull: V(transom_deadrise: \"18 deg\", entry_deadrise: \"42 deg\", chine_beam: {}, fullness: 0.35),",
        m(0.83 * beam)
    );
    let _ = writeln!(text, "    rub_rail: \"2 in\", sole: {},", m(sole));
    if let Some(top) = windshield {
        let [from, to] = WINDSHIELD.map(|part| part * length);
        // A high one on a short foot stands steeper, so that something is left of its top.
        let rake = (0.75 * (to - from) / (top - middle).max(0.01)).atan();
        let rake = rake.to_degrees().min(RAKE);
        let _ = writeln!(
            text,
            "    boxes: [(name: \"windshield\", kind: Windshield, from: {}, to: {}, width: {}, width_fore: {}, \
             base: {}, top: {}, rake_fore: \"{rake:.1} deg\", rake_side: \"8 deg\")],",
            m(from),
            m(to),
            m(0.76 * beam),
            m(0.67 * beam),
            m(middle),
            m(top)
        );
    }
    let _ = writeln!(
        text,
        "    anchors: [BowEye(height: {}), Cleat(name: \"stern cleat\", station: {}), Cleat(name: \"midship cleat\", \
         station: {}), Cleat(name: \"bow cleat\", station: {})],",
        m(0.5 * bow),
        m(0.02 * length),
        m(0.47 * length),
        m(0.86 * length)
    );
    // Forward of a windshield lies a deck, else the sole goes on.
    let (fore, deck) = match windshield {
        Some(_) => (WINDSHIELD[0] - 0.005, true),
        None => (0.78, false),
    };
    let _ = writeln!(
        text,
        "    footings: [(name: \"sole\", from: {}, to: {}, width: {}, height: {}),",
        m(0.02 * length),
        m(fore * length),
        m(0.39 * beam),
        m(sole)
    );
    if deck {
        let _ = writeln!(
            text,
            "        (name: \"foredeck\", from: {}, to: {}, width: {}, height: {}),",
            m((WINDSHIELD[1] + 0.01) * length),
            m(0.85 * length),
            m(0.2 * beam),
            m(middle + 0.3 * (bow - middle))
        );
    }
    text.push_str("    ],\n)\n");
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::read;
    use crate::plan::plan;

    #[test]
    fn usual_boats_can_be_planned() {
        for (length, beam, bow, stern, windshield) in [
            (4.2, 1.7, 0.9, 0.7, None),
            (5.5, 2.3, 1.1, 0.9, Some(1.35)),
            (7.3, 2.5, 1.4, 1.1, Some(1.9)),
            (4.4, 1.8, 1.0, 0.8, Some(1.5)),
        ] {
            let tape = Tape {
                length,
                beam,
                bow,
                stern,
                windshield,
            };
            let text = boat_file("a \"quoted\" name", &tape);
            let none = |_: &str| Err(String::new());
            let mut boat =
                read(&text, &none).unwrap_or_else(|problems| panic!("{text}\n{problems}"));
            assert_eq!(boat.name, "a \"quoted\" name");
            boat.rules.coarsen(3.0);
            let plan = plan(&boat, &boat.rules).expect("a plan");
            assert!(plan.sheds(), "{length} m: {:?}", plan.shortfalls);
        }
    }
}
