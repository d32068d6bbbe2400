//! Loads from outside: tables with sources and cautions, sites that are wrong, other formats.

// Helpers of tests may fail loudly; the lints look at functions marked as tests only.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use assert_cmd::Command;
use std::fs;

/// Coarse, so that films are loaded in no time; no advice but where it is looked at.
const QUICK: [&str; 2] = ["--cell", "6 in"];

/// Exit code, standard output, standard error.
fn run(arguments: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_hulltent"))
        .args(arguments)
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    let talk = text(output.stderr);
    assert!(!talk.contains("panicked"), "{talk}");
    (
        output.status.code().expect("ended by itself"),
        text(output.stdout),
        talk,
    )
}

/// Words without regard to where lines are broken.
fn plain(text: &str) -> String {
    let kept = text
        .chars()
        .filter(|c| !c.is_whitespace() && !"│·╰╭─".contains(*c));
    kept.collect()
}

fn check_told(text: &str, parts: &[&str]) {
    for part in parts {
        assert!(
            plain(text).contains(&plain(part)),
            "'{part}' is not in {text}"
        );
    }
}

#[test]
fn a_table_of_checks_with_sources_and_cautions() {
    let arguments = [
        &[
            "loads",
            "open-runabout-18",
            "--snow",
            "20psf",
            "--code",
            "asce7-16",
        ],
        &QUICK[..],
    ];
    let (code, data, talk) = run(&arguments.concat());
    assert_eq!(code, 1, "{talk}");
    check_told(
        &data,
        &[
            "film over P2",
            "NDS 2018 eq. 3.7-1",
            "Snow by ASCE 7-16: ground snow pg 20.0 psf",
            "The greatest ground snow that it stands is",
            "What would take more snow",
            "one more post at station",
            "FAILS",
            "planning check, not a design: local building and fire codes",
            "licensed engineers decide",
            "Carbon monoxide",
        ],
    );
    assert!(talk.lines().last().unwrap().starts_with("next: "), "{talk}");
}

#[test]
fn plan_and_record_carry_the_checks() {
    let site = ["--snow", "3 psf", "--code", "asce7-16", "--wind", "60 mph"];
    let boat = ["plan", "open-runabout-18"];
    let (code, data, talk) = run(&[&boat[..], &site, &QUICK].concat());
    assert_eq!(code, 0, "{data}{talk}");
    check_told(
        &data,
        &[
            "The cover stands by this check",
            "licensed engineers decide",
        ],
    );
    let (_, json, _) = run(&[&boat[..], &site, &QUICK, &["--format", "json"]].concat());
    let record: serde_json::Value = serde_json::from_str(&json).unwrap();
    let checks = record["checks"].as_array().unwrap();
    assert!(checks.len() > 10);
    for check in checks {
        for field in [
            "name", "case", "demand", "capacity", "unit", "ratio", "passes", "source",
        ] {
            assert!(check.get(field).is_some(), "{field}: {check}");
        }
        assert_eq!(check["passes"], true, "{check}");
        let (demand, capacity) = (
            check["demand"].as_f64().unwrap(),
            check["capacity"].as_f64().unwrap(),
        );
        assert!((check["ratio"].as_f64().unwrap() - demand / capacity).abs() < 1e-3);
    }
    let loaded = &record["loaded"];
    for field in [
        "case",
        "max_sag_m",
        "min_slope_deg",
        "holding_area_m2",
        "pond_volume_m3",
        "max_film_stress_pa",
        "status",
    ] {
        assert!(loaded.get(field).is_some(), "{field}");
    }
    assert!(record["snow_capacity"]["ground_pa"].as_f64().unwrap() > 143.0);
    assert!(record["snow_capacity"]["governed_by"].is_string());
    assert!(
        record["load_caution"]
            .as_str()
            .unwrap()
            .contains("licensed engineers")
    );
    // Without a site there are none, and nothing else changes.
    let (_, json, _) = run(&[&boat[..], &QUICK, &["--format", "json"]].concat());
    let bare: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(bare["checks"].as_array().unwrap().len(), 0);
    assert!(bare["loaded"].is_null() && bare["snow_capacity"].is_null());
    assert_eq!(bare["posts"], record["posts"]);
}

#[test]
fn a_good_verdict_is_never_alone_while_loads_fail() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().to_str().unwrap();
    let site = ["--snow", "60 psf", "--code", "asce7-16"];
    let boat = ["plan", "open-runabout-18", "--out", out];
    let (code, data, talk) = run(&[&boat[..], &site, &QUICK].concat());
    assert_eq!(code, 1, "{talk}");
    let first: Vec<&str> = data.lines().take(24).collect();
    check_told(
        &first.join("\n"),
        &[
            "The cover sheds",
            "The cover does NOT stand its loads",
            "checks fail",
        ],
    );
    // What is flat and yet allowed is told where the slope is.
    let record = std::fs::read_to_string(folder.path().join("plan.json")).unwrap();
    let record: serde_json::Value = serde_json::from_str(&record).unwrap();
    let cover = &record["cover"];
    assert!(cover["min_slope_deg"].as_f64() < cover["wanted_slope_deg"].as_f64());
    let flat = cover["holding_area_m2"].as_f64().unwrap() / 0.3048_f64.powi(2);
    let told = format!(
        "{flat:.1} sq ft is flatter than 15.0° and allowed: no flat spot is over 1.0 sq ft"
    );
    check_told(&data, &[&told]);
    let failing = record["checks"].as_array().unwrap().iter();
    let failing = failing.filter(|check| check["passes"] == false).count();
    assert!(failing > 0);
    check_told(&data, &[&format!("({failing} of ")]);
    assert_eq!(record["verdict"]["sheds"], true);
    assert_eq!(record["verdict"]["stands"], false);
    assert_eq!(record["verdict"]["good"], false);
    let drawing = std::fs::read_to_string(folder.path().join("cover.svg")).unwrap();
    check_told(&drawing, &["the cover sheds, but does NOT stand its loads"]);
    check_told(
        &talk,
        &[
            "does not stand its loads",
            "hulltent loads open-runabout-18",
        ],
    );
    assert!(!talk.contains("cut by"), "{talk}");
}

#[test]
fn sites_that_are_wrong() {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("site.ron");
    let path = file.to_str().unwrap();
    let check = |text: &str, more: &[&str], parts: &[&str]| {
        fs::write(&file, text).unwrap();
        let base = ["loads", "open-runabout-18", "--site", path];
        let (code, data, talk) = run(&[&base[..], more, &QUICK].concat());
        assert_eq!((code, data.as_str()), (2, ""), "{talk}");
        check_told(&talk, parts);
    };
    check(
        "(code: \"asce7-15\", snow: \"20 psf\")",
        &[],
        &["site.ron", "asce7-1"],
    );
    check(
        "(code: \"asce7-16\", snow: \"20\")",
        &[],
        &["site.ron", "psf"],
    );
    check(
        "(code: \"asce7-16\", snwo: \"20 psf\")",
        &[],
        &["did you mean 'snow'?"],
    );
    check(
        "(code: \"asce7-16\", snow: \"-5 psf\")",
        &[],
        &["out of range"],
    );
    // Values of two editions are never mixed.
    check(
        "(snow: (code: \"asce7-16\", ground: \"20 psf\"), wind: (code: \"asce7-22\", speed: \"110 mph\"))",
        &[],
        &["7-22"],
    );
    check(
        "(code: \"asce7-16\", snow: \"20 psf\")",
        &["--code", "asce7-22"],
        &["7-22"],
    );
    check(
        "(code: \"asce7-22\", snow: \"20 psf\", importance: 0.8)",
        &[],
        &["importance"],
    );
    check("(stored: \"hauled\")", &[], &["speed"]);
    check("", &[], &["site.ron"]);
    for (arguments, part) in [
        (
            &["loads", "open-runabout-18"][..],
            "nothing is said about the site",
        ),
        (
            &[
                "loads",
                "open-runabout-18",
                "--snow",
                "20 pfs",
                "--code",
                "asce7-16",
            ],
            "psf",
        ),
        (
            &["loads", "open-runabout-18", "--site", "none.ron"],
            "none.ron",
        ),
        (&["plan", "open-runabout-18", "--code", "asce7"], "asce7"),
    ] {
        let (code, data, talk) = run(arguments);
        assert_eq!((code, data.as_str()), (2, ""), "{talk}");
        check_told(&talk, &[part]);
    }
}

#[test]
fn the_demo_site_is_read_and_used() {
    let site = concat!(env!("CARGO_MANIFEST_DIR"), "/assets/demo-site.ron");
    let arguments = [
        &[
            "loads",
            "open-runabout-18",
            "--no-advice",
            "--units",
            "m",
            "--site",
            site,
        ],
        &QUICK[..],
    ];
    let (code, data, talk) = run(&arguments.concat());
    assert!(code == 0 || code == 1, "{talk}");
    check_told(
        &data,
        &["Loads of Open runabout 18", "licensed engineers decide"],
    );
}
