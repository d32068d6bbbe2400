//! All fittings of the invented boats, and what the tests of the room share.

use super::*;
use crate::boat::{DoorWish, presets, read};
use crate::film::PleatKind;
use crate::plan::{Plan, plan};
use nalgebra::Point2;
use std::sync::OnceLock;

/// Cells of the tests' films, m: fittings do not depend on finer ones.
const CELL: f64 = 0.15;

fn plan_of(boat: Boat) -> (Boat, Plan) {
    let mut rules = boat.rules.clone();
    (rules.cell, rules.search_cell) = (CELL, CELL);
    let plan = plan(&boat, &rules).unwrap();
    (boat, plan)
}

/// Room for the plans of all presets, each made once for all tests.
static PLANS: [OnceLock<(Boat, Plan)>; 32] = [const { OnceLock::new() }; 32];

/// A preset and its plan on a coarse film.
pub(super) fn planned(name: &str) -> (Boat, Plan) {
    let index = presets()
        .iter()
        .position(|preset| preset.name == name)
        .unwrap();
    PLANS[index]
        .get_or_init(|| plan_of(presets()[index].boat().unwrap()))
        .clone()
}

/// A boat file, its table of offsets, and its plan.
pub(super) fn planned_text(text: &[String; 2]) -> (Boat, Plan) {
    let [text, table] = text;
    plan_of(read(text, &|_| Ok(table.clone())).unwrap())
}

/// A scow 4 m long: flat bottom 2 m wide, sides 1 m high flaring to 2.4 m, both ends upright; one pair of cleats.
pub(super) fn boxy(cleats: &str) -> [String; 2] {
    let text = format!(
        "Boat(name: \"scow\", length: \"4 m\", beam: \"2.4 m\", \
         sheer: (stern: \"1 m\", middle: \"1 m\", bow: \"1 m\"), \
         hull: Offsets(file: \"scow.csv\"), sole: \"0.2 m\", anchors: [Cleat(station: \"{cleats}\")], \
         footings: [(from: \"1 m\", to: \"3 m\", width: \"1 m\", height: \"0.2 m\")])"
    );
    let mut table = String::new();
    for station in ["0", "2", "4"] {
        for (y, z) in [("0", "0"), ("1", "0"), ("1.2", "1")] {
            table.push_str(&format!("{station},{y},{z}\n"));
        }
    }
    [text, table]
}

/// Whether a boat is the same on both sides.
pub(super) fn mirrored(boat: &Boat) -> bool {
    boat.boxes.iter().all(|b| b.offset == 0.0)
        && boat.piercings.iter().all(|p| p.offset == 0.0)
        && boat.door.is_none()
}

fn fitted(boat: &Boat, plan: &Plan, pleats: &[Pleat]) -> Fittings {
    fit_round(
        &plan.hull,
        boat,
        &plan.rules,
        &plan.frame,
        &plan.cover,
        pleats,
    )
}

/// Least distance of a place on the film from the straps as solved, m.
fn from_straps(plan: &Plan, at: &Point3<f64>) -> f64 {
    plan.cover
        .straps
        .iter()
        .flat_map(|strap| strap.nodes.windows(2))
        .map(|pair| {
            let [a, b] = [pair[0], pair[1]].map(|node| plan.cover.mesh.vertices[node as usize]);
            let along = b - a;
            let s = ((at - a).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
            (a + along * s - at).norm()
        })
        .fold(f64::INFINITY, f64::min)
}

fn check_vents(name: &str, boat: &Boat, plan: &Plan, fittings: &Fittings) {
    let ventilation = &fittings.ventilation;
    assert_eq!(
        fittings.vents.len(),
        ventilation.wanted,
        "{name}: all find room"
    );
    assert!(
        ventilation.provided >= ventilation.required - 1e-9,
        "{name}"
    );
    // 1/150 of the plan area (IRC R806.2, by analogy); never fewer than a pair on 9 ft.
    assert!((ventilation.required * 150.0 - plan.cover.plan_area).abs() < 1e-9);
    assert!(fittings.vents.len() as f64 >= 2.0 * (boat.length / (9.0 * 0.3048) - 1e-9).ceil());
    assert!(
        ventilation.volume > 0.0 && ventilation.changes >= 0.0,
        "{name}"
    );
    let side = plan.rules.vent_area.sqrt();
    for vent in &fittings.vents {
        assert_eq!(vent.at.y > 0.0, vent.hand == Hand::Port, "{name}: {vent:?}");
        let clear = from_straps(plan, &vent.at) - 0.5 * side;
        assert!(clear > VENT_CLEAR - 1e-9, "{name}: {vent:?} {clear}");
        for post in &plan.frame.posts {
            let clear =
                (post.top().xy() - vent.at.xy()).norm() - 0.5 * (plan.rules.cap_diameter + side);
            assert!(clear > VENT_CLEAR, "{name}: {vent:?} {clear}");
        }
        for piercing in &boat.piercings {
            let middle = Point2::new(piercing.station, piercing.offset);
            let clear = (middle - vent.at.xy()).norm() - 0.5 * (piercing.diameter + side);
            assert!(clear > VENT_CLEAR, "{name}: {vent:?} {clear}");
        }
        for contact in &plan.cover.contacts {
            assert!(
                (contact.at - vent.at).norm() > 0.5 * side,
                "{name}: {vent:?}"
            );
        }
        let rests = plan
            .hull
            .topmost(vent.at.xy())
            .is_some_and(|(_, top)| vent.at.z - top < 0.02);
        assert!(!rests, "{name}: {vent:?}");
        // High: nearer to the ridge than to the edge.
        let edge = plan.hull.edge.at_station(vent.at.x).unwrap()[1].z;
        let ridge = plan.frame.profile_at(vent.at.x);
        assert!(vent.at.z > edge, "{name}: {vent:?} {edge} {ridge}");
    }
    for (i, vent) in fittings.vents.iter().enumerate() {
        assert_eq!(vent.id, format!("V{}", i + 1));
        for other in &fittings.vents[i + 1..] {
            assert!(
                (other.at - vent.at).norm() > side + VENT_CLEAR,
                "{name}: {vent:?} {other:?}"
            );
        }
    }
}

#[test]
fn every_preset_is_fitted() {
    for preset in presets() {
        let (boat, plan) = planned(preset.name);
        let fittings = fitted(&boat, &plan, &[]);
        assert_eq!(
            fittings,
            fitted(&boat, &plan, &[]),
            "{}: the same again",
            preset.name
        );
        check_vents(preset.name, &boat, &plan, &fittings);
        if mirrored(&boat) {
            for vent in &fittings.vents {
                let twin = fittings.vents.iter().any(|other| {
                    other.hand != vent.hand
                        && (other.at.x - vent.at.x).abs() < 1e-9
                        && (other.at.y + vent.at.y).abs() < 1e-9
                });
                assert!(twin, "{}: {vent:?}", preset.name);
            }
        }
        assert!(fittings.tape > 0.0 && fittings.tape.is_finite());
    }
}

#[test]
fn an_open_runabout_of_18_ft_has_four_vents() {
    // Common practice.
    let (boat, plan) = planned("open-runabout-18");
    let fittings = fitted(&boat, &plan, &[]);
    assert_eq!(fittings.vents.len(), 4);
    assert_eq!(fittings.ventilation.governed_by, VentRule::Practice);
}

/// A pleat up one side where a vent would stand, and a door where another would: both give way.
#[test]
fn vents_give_way() {
    let (mut boat, plan) = planned("open-runabout-18");
    let free = fitted(&boat, &plan, &[]);
    let at = free.vents[0].at;
    let pleat = Pleat {
        id: "F1".to_owned(),
        kind: PleatKind::Pleat,
        station: at.x,
        hand: Some(Hand::Port),
        line: vec![Point3::new(at.x, 1.2, 0.7), Point3::new(at.x, 0.05, 1.4)],
        run: 1.5,
        depth: 0.1,
        max_depth: 0.1,
        folds: 1,
    };
    let round = fitted(&boat, &plan, std::slice::from_ref(&pleat));
    assert_eq!(round.vents.len(), free.vents.len());
    for vent in &round.vents {
        let side = plan.rules.vent_area.sqrt();
        let off = (vent.at.x - at.x).abs() - 0.5 * side;
        assert!(off > VENT_CLEAR || vent.at.y < 0.0, "{vent:?}");
    }
    // The pleat's own tape, and its foot keeps belly bands off.
    assert!((round.tape - free.tape - pleat.run).abs() < 1e-9);
    boat.door = Some(DoorWish {
        station: at.x,
        hand: Hand::Port,
    });
    let door = fitted(&boat, &plan, &[]).door.unwrap();
    assert!(matches!(door.fit, DoorFit::TooLow { .. }), "{door:?}");
    assert_eq!(
        door.nearest, None,
        "an open runabout is too low for a door anywhere"
    );
}

#[test]
fn a_door_fits_where_the_film_is_high() {
    let (mut boat, plan) = planned("pilothouse-25");
    let heights = HeightField::new(&plan.cover.mesh);
    let obstacles = Obstacles::new(&plan.hull, &boat, &plan.rules, &plan.frame, &heights, &[]);
    let rim = Rim::of(&plan.hull, &plan.cover).unwrap();
    let at = |station: f64, hand: Hand| {
        let wish = DoorWish { station, hand };
        (
            wish,
            door::door(&plan.hull, &rim, &obstacles, &wish).unwrap(),
        )
    };
    let mut fits = Vec::new();
    for station in 0..25 {
        for hand in Hand::BOTH {
            let (wish, door) = at(0.3048 * f64::from(station), hand);
            assert_eq!(door.hand, hand);
            assert!(door.foot.y * hand.sign() >= 0.0 && door.foot.y.abs() >= door.head.y.abs());
            match &door.fit {
                DoorFit::Fits => {
                    assert!(door.head.z - door.foot.z >= DOOR_RISE);
                    let chord = (door.head - door.foot).norm();
                    assert!(
                        door.length >= chord - 1e-9 && door.length <= DOOR_LENGTH,
                        "{door:?}"
                    );
                    assert_eq!(door.nearest, None);
                    fits.push(wish);
                }
                DoorFit::TooLow { rise, wanted } => assert!(rise < wanted, "{door:?}"),
                DoorFit::InTheWay { what } => assert!(!what.is_empty()),
            }
            if let Some(station) = door.nearest {
                assert_eq!(at(station, hand).1.fit, DoorFit::Fits);
            }
        }
    }
    // Common sense: into the cockpit before the house, and not through the house.
    assert!(
        fits.iter().any(|wish| (1.2..3.0).contains(&wish.station)),
        "{fits:?}"
    );
    boat.door = fits.first().copied();
    let fittings = fitted(&boat, &plan, &[]);
    let door = fittings.door.unwrap();
    for vent in &fittings.vents {
        let inside = (vent.at.x - door.foot.x).abs() < 0.5 * DOOR_WIDTH
            && vent.at.y * door.hand.sign() > door.head.y.abs();
        assert!(!inside, "{vent:?} {door:?}");
    }
    let none = fitted(&Boat { door: None, ..boat }, &plan, &[]);
    assert!(none.door.is_none() && none.tape < fittings.tape);
}

/// Side by side with the hull mirrored: what stands to port then stands to starboard.
#[test]
fn a_mirrored_boat_is_fitted_in_the_mirror() {
    let (boat, plan) = planned("pilothouse-25");
    let mut other = boat.clone();
    other
        .piercings
        .iter_mut()
        .for_each(|p| p.offset = -p.offset);
    let (other, mirror) = plan_of(other);
    let (here, there) = (fitted(&boat, &plan, &[]), fitted(&other, &mirror, &[]));
    assert_eq!(here.vents.len(), there.vents.len());
    assert!((here.band.length - there.band.length).abs() < 1e-3);
    assert_eq!(here.drop_straps.len(), there.drop_straps.len());
    for (a, b) in here.belly_bands.iter().zip(&there.belly_bands) {
        assert!((a.station - b.station).abs() < 1e-6 && (a.length - b.length).abs() < 1e-3);
    }
}
