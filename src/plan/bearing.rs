//! What the cover at rest puts on each thing above the deck, against what that thing is to bear.

use crate::boat::{Bears, Boat};
use crate::cover::Cover;
use crate::hull::Hull;
use crate::units::UnitSystem;
use nalgebra::{Point3, Vector3};

/// The load of film and straps on one thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Bearing {
    /// On what.
    pub thing: String,
    /// The middle of the load, m.
    pub at: Point3<f64>,
    /// All contacts with it together, N, without snow and wind.
    pub force: f64,
    /// What it is to bear.
    pub bears: Bears,
}

impl Bearing {
    /// Whether it bears more than it is to.
    pub fn is_exceeded(&self) -> bool {
        self.force > self.bears.limit
    }

    /// The load beside its limit, and what would mend it where that is exceeded, in the user's units.
    pub fn sentence(&self, units: UnitSystem) -> String {
        let sentence = format!(
            "the {} bears {} of the cover at rest; {} {}",
            self.thing,
            units.format_force(self.force),
            if self.bears.stated {
                "the boat file allows"
            } else {
                "a house rule for its kind (unverified) allows"
            },
            units.format_force(self.bears.limit)
        );
        if !self.is_exceeded() {
            return sentence;
        }
        let state = if self.bears.stated {
            ""
        } else {
            ", or state what it bears in the boat file (bears: \"...\")"
        };
        format!(
            "{sentence}: carry the ridge over it on a post beside it, shore it up from below, or take it down{state}"
        )
    }
}

/// The loads on all things that the film bears on, the greatest part of a limit first.
pub(super) fn bearings(hull: &Hull, boat: &Boat, cover: &Cover) -> Vec<Bearing> {
    // The hull's things are the boat's boxes, then its tubes.
    let limits = boat
        .boxes
        .iter()
        .map(|thing| thing.bearing_limit())
        .chain(boat.tubes.iter().map(|tube| tube.bearing_limit()));
    let mut found: Vec<Bearing> = hull
        .things
        .iter()
        .zip(limits)
        .enumerate()
        .filter_map(|(index, (thing, bears))| {
            let (mut force, mut moment) = (0.0, Vector3::zeros());
            for contact in cover.contacts.iter().filter(|c| c.thing == index) {
                force += contact.force;
                moment += contact.at.coords * contact.force;
            }
            (force > 0.0).then(|| Bearing {
                thing: thing.name.clone(),
                at: Point3::from(moment / force),
                force,
                bears,
            })
        })
        .collect();
    found.sort_by(|a, b| (b.force / b.bears.limit).total_cmp(&(a.force / a.bears.limit)));
    found
}

#[cfg(test)]
mod tests {
    use crate::boat::preset;
    use crate::plan::{Shortfall, plan};

    #[test]
    fn a_stated_limit_is_held_and_a_house_rule_only_warns() {
        let mut boat = preset("open-aluminium-14").unwrap().boat().unwrap();
        boat.rules.coarsen(2.0);
        let free = plan(&boat, &boat.rules).unwrap();
        let motor = free
            .bearings
            .iter()
            .find(|bearing| bearing.thing == "motor")
            .unwrap();
        // The load is what its contacts carry, and they balance the film: a few hundred newtons.
        let contacts: f64 = free.cover.contacts.iter().map(|c| c.force).sum();
        assert!((motor.force - contacts).abs() < 1e-9 && contacts > 100.0);
        assert!(!motor.bears.stated);
        assert!(
            free.sheds(),
            "a house rule that nobody verified decides nothing"
        );
        for (part, sheds) in [(0.9, false), (1.1, true)] {
            let mut stated = boat.clone();
            for thing in stated.boxes.iter_mut().filter(|b| b.name == "motor") {
                thing.bears = Some(part * motor.force);
            }
            let plan = plan(&stated, &stated.rules).unwrap();
            assert_eq!(plan.sheds(), sheds, "{part}");
            let found = plan.shortfalls.iter().any(
                |s| matches!(s, Shortfall::Overloaded { bearing } if bearing.thing == "motor"),
            );
            assert_eq!(found, !sheds, "{part}");
        }
    }
}
