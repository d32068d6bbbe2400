//! What the cover at rest puts on each thing above the deck, against what that thing is to bear.

use crate::boat::{Bears, Boat, Tube};
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
    /// The most of it over a foot of length, N.
    pub over_a_foot: f64,
    /// What it is to bear.
    pub bears: Bears,
}

impl Bearing {
    /// Whether it bears more than it is to.
    pub fn is_exceeded(&self) -> bool {
        self.used() > 1.0
    }

    /// The part of what it is to bear that it does, in all or over a foot, whichever is more.
    fn used(&self) -> f64 {
        let over_a_foot = self.over_a_foot / self.bears.over_a_foot;
        over_a_foot.max(self.force / self.bears.in_all)
    }

    /// The load beside its limit, and what would mend it where that is exceeded, in the user's units.
    pub fn sentence(&self, units: UnitSystem) -> String {
        let [force, over_a_foot, in_all, at_a_foot] = [
            self.force,
            self.over_a_foot,
            self.bears.in_all,
            self.bears.over_a_foot,
        ]
        .map(|force| units.format_force(force));
        let there = format!(
            "the load of the cover at rest on the {} is {force}",
            self.thing
        );
        let sentence = if self.bears.stated {
            format!("{there}; the boat file allows {in_all}")
        } else if self.bears.in_all > self.bears.over_a_foot {
            format!(
                "{there}, up to {over_a_foot} of it over one foot; a house rule for its kind (unverified) allows \
                 {in_all}, and {at_a_foot} over one foot"
            )
        } else {
            format!("{there}; a house rule for its kind (unverified) allows {in_all}")
        };
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

/// The loads on all things that the film bears on, the greatest part of a limit first. The halves of a mirrored rail that
/// meet on the centerline are one.
pub(super) fn bearings(hull: &Hull, boat: &Boat, cover: &Cover) -> Vec<Bearing> {
    // The hull's things are the boat's boxes, then its tubes.
    let boxes = boat.boxes.iter().enumerate();
    let boxes = boxes.map(|(k, thing)| (thing.name.as_str(), vec![k], thing.bearing_limit()));
    let (first, mut from) = (boat.boxes.len(), 0);
    let mut tubes = Vec::new();
    while let Some(tube) = boat.tubes.get(from) {
        let (index, limit) = (first + from, tube.bearing_limit());
        let pair = boat.tubes.get(from + 1).filter(|next| meet(tube, next));
        if let Some(next) = pair {
            let name = tube.name.strip_suffix(", starboard");
            let limit = limit.joined(next.bearing_limit());
            tubes.push((name.unwrap_or(&tube.name), vec![index, index + 1], limit));
        } else {
            tubes.push((tube.name.as_str(), vec![index], limit));
        }
        from += 1 + usize::from(pair.is_some());
    }
    let left_out = |index: &usize| hull.things.get(*index).is_none_or(|thing| thing.left_out);
    let mut found: Vec<Bearing> = boxes
        .chain(tubes)
        .filter(|(_, things, _)| !things.iter().any(left_out))
        .filter_map(|(name, things, bears)| {
            let (mut force, mut moment, mut over_a_foot) = (0.0, Vector3::zeros(), 0.0_f64);
            let contacts = cover.contacts.iter();
            for contact in contacts.filter(|contact| things.contains(&contact.thing)) {
                force += contact.force;
                over_a_foot = over_a_foot.max(contact.over_a_foot);
                moment += contact.at.coords * contact.force;
            }
            (force > 0.0).then(|| Bearing {
                thing: name.to_owned(),
                at: Point3::from(moment / force),
                force,
                over_a_foot,
                bears,
            })
        })
        .collect();
    found.sort_by(|a, b| b.used().total_cmp(&a.used()));
    found
}

/// Whether two tubes mirror each other and meet on the centerline.
fn meet(a: &Tube, b: &Tube) -> bool {
    let mirrored = |(p, q): (&[f64; 3], &[f64; 3])| p[0] == q[0] && p[1] == -q[1] && p[2] == q[2];
    let mut ends = [a.path.first(), a.path.last()].into_iter().flatten();
    a.path.len() == b.path.len()
        && a.path.iter().zip(&b.path).all(mirrored)
        && ends.any(|end| end[1].abs() < ON_CENTERLINE)
}

/// A rail's end that lies so near to the centerline meets the other half there, m; the error of a tape.
const ON_CENTERLINE: f64 = 0.03;

#[cfg(test)]
mod tests {
    use crate::boat::preset;
    use crate::plan::{Shortfall, plan};
    use nalgebra::Point3;

    /// By the contacts themselves: nothing is lost, halves that meet are one thing, and over a foot a thing bears no more
    /// than in all and, by pigeonhole, no less than its share of the half feet along it.
    #[test]
    fn loads_over_a_foot_are_parts_of_the_whole() {
        for (name, rail) in [
            ("pontoon-24", "fence"),
            ("sailboat-30-mast-up", "stern rail"),
        ] {
            let mut boat = preset(name).unwrap().boat().unwrap();
            boat.rules.coarsen(2.0);
            let plan = plan(&boat, &boat.rules).unwrap();
            let told: f64 = plan.bearings.iter().map(|bearing| bearing.force).sum();
            let contacts: f64 = plan.cover.contacts.iter().map(|c| c.force).sum();
            assert!((told - contacts).abs() < 1e-6 * contacts, "{name}");
            for bearing in &plan.bearings {
                let part = bearing.over_a_foot / bearing.force;
                assert!(part > 0.0 && part < 1.0 + 1e-9, "{name}: {bearing:?}");
            }
            let halves = boat.tubes.iter().filter(|tube| tube.name.starts_with(rail));
            let feet: f64 = halves
                .flat_map(|tube| tube.path.windows(2))
                .map(|ends| (Point3::from(ends[1]) - Point3::from(ends[0])).norm() / 0.3048)
                .sum();
            let whole = plan.bearings.iter().find(|bearing| bearing.thing == rail);
            let whole = whole.unwrap_or_else(|| panic!("{name}: {:?}", plan.bearings));
            assert!(
                whole.over_a_foot > whole.force / (2.0 * feet + 2.0),
                "{name}: {whole:?}"
            );
            // 50 lbf for each foot, as the house rule has it.
            let limit = 50.0 * 4.448_221_615_260_5 * feet;
            assert!((whole.bears.in_all - limit).abs() < 1e-6 * limit, "{name}");
        }
    }

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
        // A frame that loads it a little less may yet be found, none that leaves it all but free.
        for (part, sheds) in [(0.2, false), (1.1, true)] {
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
