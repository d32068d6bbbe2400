//! Boats whose lengths are checked: presets, and two that are written here.

use hulltent::boat::{Boat, preset, read};
use hulltent::plan::{Plan, plan};

/// A skiff whose transom leans out below, with a raked stem and an eye on it. Invented.
const SKIFF: &str = r#"Boat(
    name: "Skiff 16", length: "16 ft", beam: "6'6\"",
    sheer: (bow: "3'6\"", middle: "2'9\"", stern: "2'8\""),
    hull: V(transom_deadrise: "10 deg", entry_deadrise: "40 deg", chine_beam: "5'4\"", fullness: 0.4,
        transom_beam: "5'8\"", stem_rake: "40 deg", transom_rake: "-20 deg"),
    rub_rail: "2 in", sole: "10 in",
    boxes: [(name: "console", kind: Console, from: "6 ft", to: "7'6\"", width: "2 ft", base: "10 in", top: "4'2\"")],
    anchors: [BowEye(height: "1'8\""), Cleat(name: "stern cleat", station: "6 in"),
        Cleat(name: "bow cleat", station: "14 ft")],
    footings: [(name: "sole", from: "1 ft", to: "13 ft", width: "3 ft", height: "10 in")],
)"#;

/// A cruiser that is not the same on both sides: a tall locker to port. Invented.
const LOPSIDED: &str = r#"Boat(
    name: "Cruiser 22", length: "22 ft", beam: "8 ft",
    sheer: (bow: "4'6\"", middle: "3'8\"", stern: "3'6\""),
    hull: V(transom_deadrise: "18 deg", entry_deadrise: "45 deg", chine_beam: "6'8\"", fullness: 0.3),
    rub_rail: "3 in", sole: "1'4\"",
    boxes: [(name: "cabin", kind: Cabin, from: "11 ft", to: "16 ft", width: "5 ft", width_fore: "4 ft", base: "3'8\"",
            top: "5'4\"", rake_fore: "45 deg", rake_side: "10 deg"),
        (name: "locker", kind: Seat, from: "3 ft", to: "6 ft", width: "1'6\"", offset: "2'6\"", base: "1'4\"",
            top: "4'10\"")],
    anchors: [BowEye(height: "2 ft"), Cleat(name: "stern cleat", station: "8 in"),
        Cleat(name: "midship cleat", station: "10 ft"), Cleat(name: "bow cleat", station: "19 ft")],
    footings: [(name: "sole", from: "1 ft", to: "10'9\"", width: "3 ft", height: "1'4\"")],
)"#;

/// A boat by its name, planned as a user would plan it.
pub fn planned(name: &str) -> (Boat, Plan) {
    let boat = match name {
        "skiff" => written(SKIFF),
        "lopsided" => written(LOPSIDED),
        _ => preset(name).unwrap().boat().unwrap(),
    };
    let plan = plan(&boat, &boat.rules).unwrap_or_else(|problems| panic!("{name}: {problems:?}"));
    (boat, plan)
}

fn written(text: &str) -> Boat {
    read(text, &|_| {
        Err(std::io::Error::other("no other file").to_string())
    })
    .unwrap_or_else(|problems| panic!("{problems}"))
}
