//! What other programs read: the record of every preset has every field of the schema with its kind, text
//! fits its columns in both systems of units, CSV has whole rows.

// Helpers of tests may fail loudly; the lints look at functions marked as tests only.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use hulltent::boat::presets;
use hulltent::export::{self, Record};
use hulltent::loads::site::{SiteOptions, from_options};
use hulltent::plan::{Plan, plan, plan_at};
use hulltent::sheet::{cover_drawing, plan_sheet};
use hulltent::units::UnitSystem;
use serde_json::Value;

/// Coarser cells than the presets': the shape of the output does not depend on them.
const CELL: f64 = 0.15;

/// Columns that text is wrapped to, and the most that it may have.
const COLUMNS: [usize; 2] = [80, 100];

fn plans() -> Vec<(&'static str, Plan)> {
    presets()
        .iter()
        .map(|preset| {
            let boat = preset.boat().unwrap();
            let mut rules = boat.rules.clone();
            (rules.cell, rules.search_cell) = (CELL, CELL);
            (preset.name, plan(&boat, &rules).unwrap())
        })
        .collect()
}

/// Kinds of values in the schema.
#[derive(Clone, Copy)]
enum Kind {
    Words,
    Number,
    Count,
    Truth,
    Place,
    NumberOrNull,
    TruthOrNull,
    WordsOrNull,
    Numbers,
    Places,
    ListOfPlaces,
    ListOf(&'static [(&'static str, Kind)]),
    StructOrNull(&'static [(&'static str, Kind)]),
    Struct(&'static [(&'static str, Kind)]),
    ListOfWords,
}

use Kind::*;

/// This only ever grows.
const SCHEMA: &[(&str, Kind)] = &[
    (
        "boat",
        Struct(&[
            ("name", Words),
            ("length_overall_m", Number),
            ("hull_length_m", Number),
            ("beam_m", Number),
        ]),
    ),
    (
        "posts",
        ListOf(&[
            ("id", Words),
            ("station_m", Number),
            ("from_bow_m", Number),
            ("offset_m", Number),
            ("footing", Words),
            ("base_z_m", Number),
            ("cap_z_m", Number),
            ("cap_over_sole_m", Number),
            ("cap_over_rub_rail_m", Number),
            ("cut_length_m", Number),
            ("load_n", Number),
            ("pinned", Truth),
            ("kept", Truth),
            ("governed_by", Words),
        ]),
    ),
    (
        "fewer_posts",
        Struct(&[
            ("possible", Truth),
            ("basis", Words),
            ("without", ListOfWords),
            ("posts", Count),
            ("reason", Words),
            ("from_m", Number),
            ("to_m", Number),
            ("holding_area_m2", NumberOrNull),
        ]),
    ),
    (
        "certificate",
        StructOrNull(&[("searched", Count), ("changes", Count), ("holds", Truth)]),
    ),
    ("remedy", WordsOrNull),
    (
        "bearings",
        ListOf(&[
            ("on", Words),
            ("at_m", Place),
            ("force_n", Number),
            ("limit_n", Number),
            ("force_over_a_foot_n", Number),
            ("limit_over_a_foot_n", Number),
            ("limit_stated", Truth),
            ("exceeded", Truth),
        ]),
    ),
    (
        "straps",
        ListOf(&[
            ("id", Words),
            ("kind", Words),
            ("from", Words),
            ("to", Words),
            ("length_m", Number),
            ("cut_length_m", Number),
            ("buckles", Count),
            ("tension_n", Number),
            ("sag_m", Number),
            ("governed_by", Words),
            (
                "ends",
                ListOf(&[
                    ("end", Words),
                    ("to", Words),
                    ("anchored", Truth),
                    ("course_m", Places),
                    ("legs_m", ListOfPlaces),
                    ("bridle_cut_length_m", Number),
                    ("tension_n", Number),
                ]),
            ),
        ]),
    ),
    (
        "drop_straps",
        ListOf(&[
            ("id", Words),
            ("anchor", Words),
            ("led_m", Number),
            ("top_m", Place),
            ("foot_m", Place),
            ("side", Words),
            ("length_m", Number),
            ("cut_length_m", Number),
        ]),
    ),
    (
        "band",
        Struct(&[
            ("length_m", Number),
            ("cut_length_m", Number),
            ("buckles", Count),
        ]),
    ),
    (
        "cover",
        Struct(&[
            ("area_m2", Number),
            ("spanned_area_m2", Number),
            ("plan_area_m2", Number),
            ("min_slope_deg", Number),
            ("min_slope_at_m", Place),
            ("wanted_slope_deg", Number),
            ("holding_area_m2", Number),
            (
                "holding_patches",
                ListOf(&[
                    ("area_m2", Number),
                    ("at_m", Place),
                    ("min_slope_deg", Number),
                ]),
            ),
            (
                "ponds",
                ListOf(&[("depth_m", Number), ("volume_m3", Number), ("at_m", Place)]),
            ),
            ("triangles", Count),
            ("residual", Number),
            ("iterations", Count),
            ("status", Words),
        ]),
    ),
    (
        "film",
        Struct(&[
            ("hand_width_m", Number),
            ("girth_width_m", Number),
            ("girth_station_m", Number),
            ("cut_width_m", Number),
            ("cut_length_m", Number),
            ("roll_width_m", Number),
            ("sheets", Count),
            ("seams_m", Numbers),
            ("trim_fraction", Number),
            ("max_shrink", Number),
            ("ease", Number),
            ("stretch", Number),
            ("mass_kg", Number),
            ("mass_on_boat_kg", Number),
        ]),
    ),
    (
        "pleats",
        ListOf(&[
            ("id", Words),
            ("kind", Words),
            ("station_m", Number),
            ("side", Words),
            ("run_m", Number),
            ("depth_m", Number),
            ("max_depth_m", Number),
            ("folds", Count),
            ("opens", Words),
        ]),
    ),
    (
        "belly_bands",
        ListOf(&[
            ("id", Words),
            ("station_m", Number),
            ("length_m", Number),
            ("cut_length_m", Number),
            ("slits_m", Places),
            ("goes", Words),
            ("supports", Words),
            ("buckles", Count),
        ]),
    ),
    (
        "vents",
        ListOf(&[
            ("id", Words),
            ("station_m", Number),
            ("side", Words),
            ("z_m", Number),
            ("offset_m", Number),
        ]),
    ),
    (
        "ventilation",
        Struct(&[
            ("required_m2", Number),
            ("provided_m2", Number),
            ("governed_by", Words),
            ("volume_m3", Number),
            ("flow_m3_per_s", Number),
            ("difference_k", Number),
            ("changes_per_hour", Number),
        ]),
    ),
    (
        "condensation",
        Struct(&[
            ("air_c", Number),
            ("humidity", Number),
            ("dew_point_c", Number),
            ("film_c", Number),
            ("wet_from", Number),
        ]),
    ),
    (
        "door",
        StructOrNull(&[
            ("foot_m", Place),
            ("head_m", Place),
            ("width_m", Number),
            ("length_m", Number),
            ("side", Words),
            ("fits", Truth),
            ("nearest_m", NumberOrNull),
        ]),
    ),
    (
        "pads",
        ListOf(&[
            ("at_m", Place),
            ("on", Words),
            ("force_n", Number),
            ("kind", Words),
        ]),
    ),
    ("equilibrium", Struct(&[("vertical_n", Number)])),
    (
        "verdict",
        Struct(&[
            ("sheds", Truth),
            ("stands", TruthOrNull),
            ("good", Truth),
            ("shortfalls", ListOfWords),
        ]),
    ),
    (
        "checks",
        ListOf(&[
            ("name", Words),
            ("case", WordsOrNull),
            ("demand", Number),
            ("capacity", Number),
            ("unit", Words),
            ("ratio", NumberOrNull),
            ("passes", Truth),
            ("source", Words),
        ]),
    ),
    ("loaded", StructOrNull(LOADED)),
    ("load_cases", ListOf(LOADED)),
    (
        "snow_capacity",
        StructOrNull(&[
            ("ground_pa", Number),
            ("governed_by", WordsOrNull),
            ("case", WordsOrNull),
        ]),
    ),
    ("site", ListOfWords),
    ("load_caution", Words),
];

/// The cover under one case.
const LOADED: &[(&str, Kind)] = &[
    ("case", Words),
    ("max_sag_m", Number),
    ("min_slope_deg", Number),
    ("holding_area_m2", Number),
    ("pond_volume_m3", Number),
    ("max_film_stress_pa", Number),
    ("post_loads_n", Numbers),
    ("strap_tensions_n", Numbers),
    ("max_edge_pull_n_per_m", Number),
    ("total_n", Number),
    ("left_over_n", Number),
    ("status", Words),
];

fn check(at: &str, value: &Value, kind: Kind) {
    let number = |value: &Value| value.as_f64().is_some_and(f64::is_finite);
    let words = |value: &Value| value.as_str().is_some_and(|words| !words.is_empty());
    let place = |value: &Value| {
        value
            .as_array()
            .is_some_and(|place| place.len() == 3 && place.iter().all(number))
    };
    let places = |value: &Value| value.as_array().is_some_and(|list| list.iter().all(place));
    let good = match kind {
        Words => words(value),
        Number => number(value),
        Count => value.as_u64().is_some(),
        Truth => value.is_boolean(),
        TruthOrNull => value.is_null() || value.is_boolean(),
        NumberOrNull => value.is_null() || number(value),
        WordsOrNull => value.is_null() || words(value),
        Place => place(value),
        Numbers => value.as_array().is_some_and(|list| list.iter().all(number)),
        Places => places(value),
        ListOfPlaces => value.as_array().is_some_and(|list| list.iter().all(places)),
        ListOfWords => value.as_array().is_some_and(|list| list.iter().all(words)),
        ListOf(fields) => value.as_array().is_some_and(|list| {
            for (index, item) in list.iter().enumerate() {
                check_fields(&format!("{at}[{index}]"), item, fields);
            }
            true
        }),
        StructOrNull(_) if value.is_null() => true,
        Struct(fields) | StructOrNull(fields) => {
            check_fields(at, value, fields);
            true
        }
    };
    assert!(good, "{at}: {value}");
}

fn check_fields(at: &str, value: &Value, fields: &[(&str, Kind)]) {
    let found = value.as_object().unwrap_or_else(|| panic!("{at}: {value}"));
    for (name, kind) in fields {
        let field = found
            .get(*name)
            .unwrap_or_else(|| panic!("{at} has no {name}"));
        check(&format!("{at}.{name}"), field, *kind);
    }
    for name in found.keys() {
        assert!(
            fields.iter().any(|(known, _)| known == name),
            "{at}.{name} is not in the schema"
        );
    }
}

#[test]
fn a_record_with_loads_has_its_schema() {
    let boat = hulltent::boat::preset("open-runabout-18")
        .unwrap()
        .boat()
        .unwrap();
    let mut rules = boat.rules.clone();
    (rules.cell, rules.search_cell) = (CELL, CELL);
    let options = SiteOptions {
        code: Some("asce7-16".to_owned()),
        snow: Some("25 psf".to_owned()),
        wind: Some("110 mph".to_owned()),
        ..SiteOptions::default()
    };
    let plan = plan_at(&boat, &from_options(&options).unwrap(), &rules).unwrap();
    check_record("with loads", &plan);
    let json = export::json(&Record::new(&plan)).unwrap();
    let value: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(value["load_cases"].as_array().unwrap().len(), 5);
    assert!(value["checks"].as_array().unwrap().len() > 15);
}

fn check_record(name: &str, plan: &Plan) {
    let record = Record::new(plan);
    let json = export::json(&record).unwrap();
    assert_eq!(json, export::json(&Record::new(plan)).unwrap(), "{name}");
    let value: Value = serde_json::from_str(&json).unwrap();
    check_fields(name, &value, SCHEMA);
    assert_eq!(value["verdict"]["sheds"], plan.sheds(), "{name}");
    let sheds = value["verdict"]["shortfalls"]
        .as_array()
        .unwrap()
        .is_empty();
    assert_eq!(value["verdict"]["sheds"], sheds, "{name}");
    let checks = value["checks"].as_array().unwrap();
    let failing = checks.iter().any(|check| check["passes"] == false);
    let stands = match checks.is_empty() {
        true => Value::Null,
        false => Value::Bool(!failing),
    };
    assert_eq!(value["verdict"]["stands"], stands, "{name}");
    assert_eq!(value["verdict"]["good"], sheds && !failing, "{name}");
    for strap in value["straps"].as_array().unwrap() {
        let kind = strap["kind"].as_str().unwrap();
        assert!(["ridge", "side", "hip"].contains(&kind), "{name}: {kind}");
    }
    // What the record says of itself holds together.
    for post in value["posts"].as_array().unwrap() {
        let of = |field: &str| post[field].as_f64().unwrap();
        let caps = plan.rules.top_cap + plan.rules.base_cap;
        let cut = of("cap_z_m") - of("base_z_m") - caps;
        assert!((of("cut_length_m") - cut).abs() < 1e-5, "{name}: {post}");
    }
    let cover = &value["cover"];
    let area = |field: &str| cover[field].as_f64().unwrap();
    assert!(area("area_m2") > area("spanned_area_m2"), "{name}");
    assert!(area("spanned_area_m2") > area("plan_area_m2"), "{name}");
    let ron = export::ron(&record).unwrap();
    assert!(
        !ron.contains("NaN") && !ron.contains("inf,"),
        "{name}: {ron}"
    );
    assert!(ron::from_str::<ron::Value>(&ron).is_ok(), "{name}: {ron}");
}

fn check_text(name: &str, plan: &Plan, units: UnitSystem) {
    for columns in COLUMNS {
        let text = export::text(&plan_sheet(plan, units), columns);
        for line in text.lines() {
            assert!(line.chars().count() <= columns, "{name}: {line}");
            assert!(!line.ends_with(' '), "{name}: '{line}'");
        }
        for part in ["Verdict", "Support posts", "Straps", "Cautions", "licensed"] {
            assert!(text.contains(part), "{name} has no {part}:\n{text}");
        }
        assert!(!text.contains("n/a"), "{name}:\n{text}");
    }
}

fn check_csv(name: &str, plan: &Plan, units: UnitSystem) {
    let text = export::csv(plan, units).unwrap();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headings = reader.headers().unwrap().clone();
    let rows: Vec<csv::StringRecord> = reader.records().map(|row| row.unwrap()).collect();
    // Posts, straps and their bridles, drop straps, band, belly bands.
    let fittings = &plan.fittings;
    let wanted = plan.frame.posts.len()
        + plan.frame.straps.len()
        + plan
            .takeoff
            .straps
            .iter()
            .map(|strap| strap.bridles.len())
            .sum::<usize>()
        + fittings.drop_straps.len()
        + 1
        + fittings.belly_bands.len();
    assert_eq!(rows.len(), wanted, "{name}");
    let cut = headings
        .iter()
        .position(|heading| heading.starts_with("cut_length"))
        .unwrap();
    for row in &rows {
        assert!(
            !row[0].is_empty() && !row[1].is_empty() && !row[cut].is_empty(),
            "{name}: {row:?}"
        );
        let meters = match units {
            UnitSystem::Metric => row[cut].parse().unwrap(),
            UnitSystem::FeetInches => hulltent::units::parse_length(&row[cut]).unwrap(),
        };
        assert!(meters > 0.0, "{name}: {row:?}");
    }
}

fn check_drawing(name: &str, plan: &Plan, units: UnitSystem) {
    let drawing = cover_drawing(plan, units);
    let svg = export::svg(&drawing);
    assert_eq!(
        svg,
        export::svg(&cover_drawing(plan, units)),
        "{name}: same plan, same bytes"
    );
    assert!(!svg.contains("NaN"), "{name}");
    for post in &plan.frame.posts {
        assert!(svg.contains(&post.id), "{name}: {}", post.id);
    }
    for strap in &plan.frame.straps {
        assert!(
            svg.contains(&format!(">{} ", strap.id)),
            "{name}: {} has no label",
            strap.id
        );
    }
}

fn check_meshes(name: &str, plan: &Plan) {
    for (part, bytes) in [
        ("hull", export::hull_stl(plan)),
        ("frame", export::frame_stl(plan)),
        ("cover", export::cover_stl(plan)),
    ] {
        assert!(
            bytes.len() > 84 && (bytes.len() - 84).is_multiple_of(50),
            "{name}: {part}"
        );
    }
    let triangles = (export::cover_stl(plan).len() - 84) / 50;
    assert_eq!(triangles, plan.cover.mesh.triangles.len(), "{name}");
    let bytes = export::boat_glb(plan);
    let (document, _, _) = gltf::import_slice(&bytes).unwrap();
    let nodes: Vec<String> = document
        .nodes()
        .filter_map(|node| node.name().map(str::to_owned))
        .collect();
    let wanted = [
        "hull",
        "things on the boat",
        "posts",
        "straps",
        "cover",
        "skirt",
    ];
    assert_eq!(nodes, wanted, "{name}");
    let cover = document
        .nodes()
        .find(|node| node.name() == Some("cover"))
        .unwrap();
    let primitive = cover.mesh().unwrap().primitives().next().unwrap();
    assert!(
        primitive.get(&gltf::Semantic::Colors(0)).is_some(),
        "{name}"
    );
}

#[test]
fn every_preset_is_written_whole() {
    for (name, plan) in plans() {
        check_record(name, &plan);
        check_meshes(name, &plan);
        for units in [UnitSystem::FeetInches, UnitSystem::Metric] {
            check_text(name, &plan, units);
            check_csv(name, &plan, units);
            check_drawing(name, &plan, units);
        }
    }
}
