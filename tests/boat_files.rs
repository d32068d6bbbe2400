//! What hulltent writes as a boat file reads back to the same boat: presets, random boats, boats that were changed
//! in every way that a file can tell.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first thing that is not as it should be"
)]

#[path = "support/boats.rs"]
mod boats;

use hulltent::boat::{
    self, Anchor, Boat, DoorWish, Hand, HullForm, KeptReason, Piercing, PinnedPost, PinnedStrap,
    Problems, RidgeWish, Side, Tube, TubeKind, Written,
};
use hulltent::units::UnitSystem;
use proptest::prelude::*;

const SYSTEMS: [UnitSystem; 2] = [UnitSystem::FeetInches, UnitSystem::Metric];

/// Two numbers nearer than this are the same: a nanometer, which no tape can tell.
const CLOSE: f64 = 1e-9;

fn read(written: &Written) -> Result<Boat, Problems> {
    boat::read(&written.text, &|name| {
        let mut companions = written.companions.iter();
        companions
            .find(|(companion, _)| companion == name)
            .map(|(_, text)| text.clone())
            .ok_or_else(|| format!("no file '{name}'"))
    })
}

/// All that a boat holds, numbers apart from the rest.
fn taken_apart(boat: &Boat) -> (String, Vec<f64>) {
    fn walk(value: &serde_json::Value, words: &mut String, numbers: &mut Vec<f64>) {
        match value {
            serde_json::Value::Number(number) => {
                numbers.push(number.as_f64().unwrap());
                words.push('#');
            }
            serde_json::Value::Array(list) => {
                words.push('[');
                for item in list {
                    walk(item, words, numbers);
                    words.push(',');
                }
                words.push(']');
            }
            serde_json::Value::Object(fields) => {
                for (name, field) in fields {
                    words.push_str(name);
                    words.push(':');
                    walk(field, words, numbers);
                    words.push(';');
                }
            }
            other => words.push_str(&other.to_string()),
        }
    }
    let (mut words, mut numbers) = (String::new(), Vec::new());
    walk(
        &serde_json::to_value(boat).unwrap(),
        &mut words,
        &mut numbers,
    );
    (words, numbers)
}

/// Writes, reads, writes again; how far any number is off at most.
fn check(boat: &Boat, units: UnitSystem) -> f64 {
    let written = boat::write(boat, units);
    assert_eq!(boat::write(boat, units), written, "written twice");
    let back = read(&written).unwrap_or_else(|problems| panic!("{problems}\n{}", written.text));
    let ((words, numbers), (words_back, numbers_back)) = (taken_apart(boat), taken_apart(&back));
    assert_eq!(words, words_back, "{}", written.text);
    let off = numbers
        .iter()
        .zip(&numbers_back)
        .fold(0.0, |off: f64, (a, b)| off.max((a - b).abs()));
    assert!(off <= CLOSE, "off by {off}\n{}", written.text);
    let again = boat::write(&back, units);
    assert_eq!(again.text, written.text);
    assert_eq!(again.companions, written.companions);
    off
}

#[test]
fn presets_come_back_to_the_bit() {
    for preset in boat::presets() {
        let boat = preset.boat().unwrap();
        for units in SYSTEMS {
            check(&boat, units);
        }
        let written = boat::write(&boat, UnitSystem::FeetInches);
        // Heights that were measured from the ground are off by the rounding of a difference.
        if !preset.text.contains("heights_from: Ground") {
            assert_eq!(read(&written).unwrap(), boat, "{}", preset.name);
            assert_eq!(boat::revise(&boat).unwrap(), boat, "{}", preset.name);
        }
    }
}

/// A preset was written by a person: hulltent writes its dimensions the same way.
#[test]
fn dimensions_are_written_as_people_write_them() {
    for preset in boat::presets() {
        let metric = preset.text.contains(" m\"");
        let units = SYSTEMS[usize::from(metric)];
        let written = boat::write(&preset.boat().unwrap(), units);
        // The other system, or more digits than anybody writes, would show.
        for text in written.text.split('"') {
            let digits = text.chars().filter(char::is_ascii_digit).count();
            let quantity = text.chars().next().is_some_and(|c| c.is_ascii_digit());
            assert!(!quantity || digits <= 5, "{}: {text}", preset.name);
            assert!(metric || !text.ends_with(" m"), "{}: {text}", preset.name);
        }
    }
    let runabout = boat::preset("open-runabout-18").unwrap().boat().unwrap();
    let text = boat::write(&runabout, UnitSystem::FeetInches).text;
    assert!(text.starts_with("// Written by hulltent"), "{text}");
    assert!(text.contains("\n    length: \"18 ft\",\n"), "{text}");
    assert!(
        text.lines().all(|line| line.chars().count() <= 120),
        "{text}"
    );
}

fn small() -> Boat {
    boat::preset("open-runabout-18").unwrap().boat().unwrap()
}

#[test]
fn words_of_any_kind_come_back() {
    for words in [
        "\"quoted\"",
        "back\\slash",
        "two\nlines\r\n\tand a tab",
        "Brise d'été ⛵ 船",
        "r#\"raw\"#",
        "/* no comment */ // none",
        "\u{85}\u{1}\u{7f}",
        "",
    ] {
        let mut boat = small();
        boat.note = words.to_owned();
        boat.boxes[0].name = words.to_owned();
        boat.footings[0].zone.name = words.to_owned();
        for units in SYSTEMS {
            check(&boat, units);
        }
    }
}

#[test]
fn spars_of_all_kinds_come_back() {
    let tube = |name: &str, kind, side: f64| Tube {
        name: name.to_owned(),
        kind,
        diameter: 0.04,
        path: vec![[1.0, 0.5 * side, 1.5], [2.0, 0.6 * side, 1.6]],
        film_may_rest: true,
        bears: None,
    };
    let mast = |height: f64| Tube {
        name: "mast".to_owned(),
        kind: TubeKind::Mast,
        diameter: 0.15,
        path: vec![[0.5, 0.0, height], [4.0, 0.0, height]],
        film_may_rest: true,
        bears: None,
    };
    let piercing = |name: &str, diameter| Piercing {
        name: name.to_owned(),
        station: 2.0,
        offset: 0.0,
        diameter,
    };
    let pair = || {
        [
            tube("rail, starboard", TubeKind::Rail, -1.0),
            tube("rail, port", TubeKind::Rail, 1.0),
        ]
    };
    let check = |tubes: Vec<Tube>, piercings: Vec<Piercing>, part: &str| {
        let mut boat = small();
        boat.tubes = tubes;
        boat.piercings = piercings;
        for units in SYSTEMS {
            check(&boat, units);
        }
        let text = boat::write(&boat, UnitSystem::Metric).text;
        assert!(text.contains(part), "no {part} in {text}");
    };
    check(pair().into(), vec![], "mirrored: true");
    let [starboard, port] = pair();
    // The wrong way round, alone, or unlike each other: two tubes.
    check(
        vec![port.clone(), starboard.clone()],
        vec![],
        "\"rail, port\"",
    );
    check(vec![starboard.clone()], vec![], "\"rail, starboard\"");
    let thick = Tube {
        diameter: 0.05,
        ..port.clone()
    };
    check(vec![starboard.clone(), thick], vec![], "\"rail, port\"");
    check(vec![mast(2.0)], vec![], "LaidDown");
    check(vec![mast(2.0), port.clone()], vec![], "kind: Mast");
    check(vec![mast(-0.2)], vec![], "kind: Mast");
    check(vec![mast(2.0)], vec![piercing("mast", 0.2)], "mast: Up");
    check(
        vec![],
        vec![piercing("mast", 0.2), piercing("mast", 0.2)],
        "antennas",
    );
    check(vec![], vec![piercing("antenna", 0.03)], "antennas");
}

#[test]
fn what_breaks_a_rule_is_named_by_its_field() {
    let refused = |change: &dyn Fn(&mut Boat), path: &str, part: &str| {
        let mut boat = small();
        change(&mut boat);
        let problems = boat::revise(&boat).expect_err(path);
        let problem = problems
            .list
            .iter()
            .find(|problem| problem.path == path)
            .unwrap_or_else(|| panic!("no {path} in {problems}"));
        assert!(problem.what.contains(part), "{problem}");
        assert!(!problem.hint.is_empty() && problem.place.is_none());
    };
    refused(&|boat| boat.length = 500.0, "length", "out of range");
    refused(&|boat| boat.length = f64::NAN, "length", "number");
    refused(
        &|boat| boat.boxes[0].to = boat.boxes[0].from,
        "boxes[0].to",
        "fore end",
    );
    refused(
        &|boat| boat.rules.humidity = f64::NAN,
        "rules.humidity",
        "not a number",
    );
    refused(
        &|boat| boat.rules.min_slope = 2.0,
        "rules.min_slope",
        "out of range",
    );
    refused(&|boat| boat.anchors.clear(), "anchors", "side strap");
    refused(&|boat| boat.footings.clear(), "footings", "post may stand");
    refused(&|boat| boat.rules.rolls.clear(), "rules.rolls", "width");
    refused(
        &|boat| boat.wishes.only_pinned = true,
        "frame.only_pinned",
        "none is pinned",
    );
    let named = |boat: &mut Boat, names: [&str; 2]| {
        boat.wishes.posts = [1.0, 3.0]
            .into_iter()
            .zip(names)
            .map(|(station, name)| PinnedPost {
                name: Some(name.to_owned()),
                station,
                ..PinnedPost::default()
            })
            .collect();
    };
    for names in [["P1", "S2"], ["P1", "P"], ["P1", "P02"], ["P1", "P1234"]] {
        refused(
            &|boat| named(boat, names),
            "frame.posts[1].name",
            "no name of a post",
        );
    }
    refused(
        &|boat| named(boat, ["P2", "P2"]),
        "frame.posts[1].name",
        "two posts",
    );
    refused(
        &|boat| boat.boxes[0].bears = Some(0.0),
        "boxes[0].bears",
        "out of range",
    );
    refused(&|boat| boat.name = "two\nlines".to_owned(), "name", "name");
    refused(
        &|boat| {
            boat.hull = HullForm::Offsets {
                file: "up/there.csv".to_owned(),
                sections: Vec::new(),
            }
        },
        "hull.file",
        "beside",
    );
}

/// A reason of each kind.
fn kept(number: f64) -> KeptReason {
    let (station, need) = (1.0 + number, 2.0 + number);
    match (number * 1e4) as usize % 8 {
        0 => KeptReason::Planned,
        1 => KeptReason::ForLoads,
        2 => KeptReason::LowestAllowed,
        3 => KeptReason::Need {
            thing: "glass, \"fore\"".to_owned(),
            station,
            need,
            spare: 0.1 * number,
        },
        4 => KeptReason::Film { station, need },
        5 => KeptReason::Bearing {
            aft: -0.1,
            fore: need,
        },
        6 => KeptReason::Slope {
            from: station,
            to: need,
        },
        _ => KeptReason::Corner {
            area: number,
            station,
        },
    }
}

/// Changes a boat in one of many ways, each as an editor may; numbers are from 0 to 1.
fn change(boat: &mut Boat, way: usize, number: f64) {
    let at = |part: f64| part * boat.length;
    let (station, length, sole) = (at(0.1 + 0.8 * number), boat.length, boat.sole);
    let [stern, ..] = boat.sheer;
    match way {
        0 => {
            let away = |post: &PinnedPost| (post.station - station).abs() > 0.15;
            if boat.wishes.posts.iter().all(away) && (0.31..length - 0.31).contains(&station) {
                boat.wishes.posts.push(PinnedPost {
                    station,
                    cap: (number > 0.4).then_some(sole + 1.0 + number),
                    name: (number > 0.5).then(|| format!("P{}", boat.wishes.posts.len() + 1)),
                    name_port: None,
                    kept: (number > 0.3).then(|| kept(number)),
                });
            }
        }
        1 => boat.wishes.straps.push(PinnedStrap {
            post: station,
            station: length - station,
            side: [Side::Port, Side::Starboard, Side::Both][(2.9 * number) as usize],
            kept: (number > 0.5).then_some(KeptReason::HoldsCap),
        }),
        2 => boat.wishes.only_pinned = !boat.wishes.posts.is_empty(),
        3 => boat.wishes.ridge = RidgeWish::Twin(boat.beam * (0.25 + 0.5 * number)),
        4 => boat.wishes.ridge = RidgeWish::Single,
        5 => {
            boat.door = Some(DoorWish {
                station,
                hand: Hand::BOTH[usize::from(number > 0.5)],
            })
        }
        6 => boat.rules.min_slope = 0.1 + 0.3 * number,
        7 => boat.rules.ridge_tension = 100.0 + 900.0 * number,
        8 => boat.rules.film_tension = 50.0 + 100.0 * number,
        9 => {
            boat.rules.holding_patch = number;
            boat.rules.sole_bearing = 1e4 + 5e5 * number;
        }
        10 => boat.rules.rolls = vec![5.0 + number, 3.0, 4.0 * number + 1.0],
        11 => boat.rules.air_temperature = 40.0 * number - 20.0,
        12 => boat.rules.humidity = 0.1 + 0.8 * number,
        13 => boat.rules.film_thickness = 1e-4 + 1e-4 * number,
        14 => boat.stored_on.supports = vec![station, 0.5 * station],
        15 => boat.stored_on.keel_height = number,
        16 => {
            for thing in &mut boat.boxes {
                thing.clearance = Some(0.3 * number);
                thing.bears = Some(500.0 * number + 1.0);
                thing.post_may_stand = number > 0.5;
                thing.top += 0.2 * number;
            }
        }
        17 => boat.rub_rail = 0.3 * number * stern,
        18 => boat.anchors.extend([
            Anchor::Cleat {
                name: "another".to_owned(),
                station,
                side: Side::Port,
                below_sheer: 0.3 * number,
            },
            Anchor::SternEye {
                height: 0.8 * number * stern,
                offset: 0.4 * number * boat.beam,
            },
            Anchor::SamsonPost {
                name: "bitt".to_owned(),
                station,
                offset: 0.1 * number,
                height: stern + number,
            },
        ]),
        19 => boat.piercings.push(Piercing {
            name: "whip".to_owned(),
            station,
            offset: 0.2 * number,
            diameter: 0.01 + 0.02 * number,
        }),
        20 => boat.rules.vent_area = 0.01 + 0.04 * number,
        // All at the sole but one: heights that are defaults now and are not then.
        _ => boat.sole = stern * (0.3 + 0.3 * number),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_boats_come_back(
        numbers in proptest::collection::vec(0.0..1.0_f64, boats::DECISIONS),
        changes in proptest::collection::vec((0..22_usize, 0.0..1.0_f64), 0..12),
        metric: bool,
    ) {
        let units = SYSTEMS[usize::from(metric)];
        let drawn = boats::boat(&numbers);
        let Ok(mut boat) = boat::read(&drawn.text, &|_| Ok(drawn.table.clone())) else {
            panic!("a drawn boat that is not valid:\n{}", drawn.text);
        };
        check(&boat, units);
        for (way, number) in changes {
            change(&mut boat, way, number);
        }
        // A change may break a rule; what holds is said of what does not.
        if let Ok(revised) = boat::revise(&boat) {
            check(&revised, units);
            // In the units in which it was revised it is written the same.
            let [own, _] = SYSTEMS;
            prop_assert_eq!(boat::write(&boat, own), boat::write(&revised, own));
        }
    }

    #[test]
    fn heights_from_the_ground_come_back_from_the_keel(
        numbers in proptest::collection::vec(0.0..1.0_f64, boats::DECISIONS), keel in 20..60_u32,
    ) {
        // The drawn boat's heights are taken for those over the ground, with the keel a little up.
        let drawn = boats::boat(&numbers);
        let text = drawn.text.replacen(
            "Boat(",
            &format!("Boat(heights_from: Ground, stored_on: (keel_height: \"{keel} mm\"),"),
            1,
        );
        if let Ok(boat) = boat::read(&text, &|_| Ok(drawn.table.clone())) {
            for units in SYSTEMS {
                check(&boat, units);
            }
        }
    }
}
