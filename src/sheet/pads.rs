//! Places where film bears on the boat hard enough to want a pad.

use crate::plan::Plan;
use nalgebra::Point3;

/// A place that wants a pad.
#[derive(Debug, Clone, PartialEq)]
pub struct Pad<'a> {
    /// What the film bears on.
    pub on: &'a str,
    /// Middle of the contact, m.
    pub at: Point3<f64>,
    /// Force on it, N.
    pub force: f64,
}

/// The pads of a plan, the greatest force first: every contact from the rules' least force on, also on
/// things that film should not touch, since it does touch them there.
pub fn pads(plan: &Plan) -> Vec<Pad<'_>> {
    plan.cover
        .contacts
        .iter()
        .filter(|contact| contact.force >= plan.rules.pad_force)
        .map(|contact| Pad {
            on: plan
                .hull
                .things
                .get(contact.thing)
                .map_or("boat", |thing| thing.name.as_str()),
            at: contact.at,
            force: contact.force,
        })
        .collect()
}
