//! The frame from starboard, with what is fitted to that side of the film.

use super::frame_plan::door_corners;
use super::signs;
use crate::boat::Hand;
use crate::plan::Plan;
use crate::sheet::cover_drawing::View;
use crate::sheet::cover_profile;
use crate::sheet::drawing::{Align, Drawing, Pen, Place};
use crate::units::UnitSystem;

/// How far a belly band is drawn under the hull, mm.
const UNDER: f64 = 1.5;

/// Draws it from a height of the paper down. How many labels found no room.
pub(super) fn draw(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    view: View,
    top: f64,
) -> usize {
    let drawn = cover_profile::draw(drawing, plan, units, view, top);
    let view = drawn.view;
    let fittings = &plan.fittings;
    for strap in &fittings.drop_straps {
        if strap.hand == Some(Hand::Starboard) {
            let ends = [strap.top, strap.foot].map(|p| view.at(p.x, p.z));
            drawing.line(ends.to_vec(), signs::DROP);
        }
    }
    let keel = view.at(0.0, 0.0)[1];
    for belly in &fittings.belly_bands {
        let [_, slit] = belly.slits;
        let [x, y] = view.at(slit.x, slit.z);
        drawing.line(vec![[x, y], [x, keel + UNDER]], signs::BELLY);
        signs::slit(drawing, [x, y]);
        let base = [x, keel + UNDER + view.row()];
        drawing.words(base, belly.id.clone(), view.words, Align::Middle, false);
    }
    for pleat in &plan.film.pleats {
        if pleat.hand != Some(Hand::Port) {
            let line: Vec<Place> = pleat.line.iter().map(|p| view.at(p.x, p.z)).collect();
            signs::pleat(drawing, &line);
        }
    }
    if let Some(door) = &fittings.door
        && door.hand == Hand::Starboard
    {
        let corners = door_corners(door).map(|p| view.at(p.x, p.z));
        drawing.outline(corners.to_vec(), None, Pen::STRAP);
    }
    for vent in &fittings.vents {
        if vent.hand == Hand::Starboard {
            signs::vent(drawing, view.at(vent.at.x, vent.at.z));
        }
    }
    drawn.missed
}
