use super::*;
use crate::units::PASCALS_PER_PSF;

/// The file must show the problem, at its path, with its hint; and no more problems than that.
fn refused(text: &str, path: &str, what: &str, hint: &str) {
    refused_with(text, &SiteOptions::default(), path, what, hint);
}

fn refused_with(text: &str, options: &SiteOptions, path: &str, what: &str, hint: &str) {
    let problems = match read_with(text, options) {
        Ok(site) => panic!("{text} {options:?} is read as {site:?}"),
        Err(problems) => problems,
    };
    let [problem] = problems.list.as_slice() else {
        panic!("{text}: not one problem but\n{problems}");
    };
    assert_eq!(problem.path, path, "{problems}");
    assert!(problem.what.contains(what), "{what}: {problems}");
    assert!(problem.hint.contains(hint), "{hint}: {problems}");
    assert_eq!(
        problem.place.is_none(),
        path.starts_with("--"),
        "{problems}"
    );
}

fn options(pairs: &[(&str, &str)]) -> SiteOptions {
    let mut options = SiteOptions::default();
    for (name, value) in pairs {
        let field = match *name {
            "code" => &mut options.code,
            "snow" => &mut options.snow,
            "rain" => &mut options.rain,
            "wind" => &mut options.wind,
            "exposure" => &mut options.exposure,
            "terrain" => &mut options.terrain,
            "stored" => &mut options.stored,
            "speed" => &mut options.speed,
            other => panic!("no option {other}"),
        };
        *field = Some((*value).to_owned());
    }
    options
}

fn good(text: &str, pairs: &[(&str, &str)]) -> Site {
    match read_with(text, &options(pairs)) {
        Ok(site) => site,
        Err(problems) => panic!("{text} {pairs:?}: {problems}"),
    }
}

#[test]
fn the_demo_site_is_read() {
    let text = include_str!("../../../../assets/demo-site.ron");
    assert!(text.contains("invented"), "it says what it is");
    let site = good(text, &[]);
    assert_eq!(site.code, Code::Asce716);
    assert!(site.snow.is_some() && site.wind.is_some());
    assert_eq!(site.defaulted, Vec::<&str>::new(), "it shows every field");
}

#[test]
fn fields_are_read() {
    let site = good(
        r#"Site(
            code: "ASCE 7-16", snow: (ground: "40 psf"), wind: "115 mph", importance: 1.0, exposure: "Sheltered",
            terrain: "b", uplift: 1.2,
            gear: (
                post: (size: "2x6", grade: "hem-fir no.2", pieces: 2, braces: 1), base_cap: "1 sq ft",
                strap: (rating: "3 kN"), film: (modulus: "200 MPa", margin: 2),
                belly_band_pull: "50 lbf", footing_stiffness: "300 kN/m",
            ),
        )"#,
        &[],
    );
    let near = |got: f64, wanted: f64| assert!((got / wanted - 1.0).abs() < 1e-9, "{got} {wanted}");
    near(site.snow.expect("snow").load, 40.0 * PASCALS_PER_PSF);
    assert!(matches!(site.wind, Some(BasicWind::Speed(speed)) if (speed - 51.4096).abs() < 1e-9));
    assert_eq!((site.importance, site.uplift), (1.0, 1.2));
    assert_eq!(
        (site.exposure, site.terrain),
        (Exposure::Sheltered, Terrain::B)
    );
    assert_eq!(site.defaulted, ["stored"]);
    let gear = &site.gear;
    assert_eq!((gear.post.pieces, gear.post.braces), (2, 1));
    assert_eq!(gear.post.grade.name, "Hem-Fir No.2");
    near(gear.base_cap, 0.3048 * 0.3048);
    near(gear.strap.rating, 3000.0);
    // The band is rated as the strap is.
    near(gear.strap.band, 3000.0);
    near(gear.film.allowable(), 4.5e6);
    near(gear.footing_stiffness, 300e3);
    let en = good(r#"(code: "EN1991", snow: "0.65 kPa", terrain: 0)"#, &[]);
    assert_eq!((en.terrain, en.importance), (Terrain::Sea, 1.0));
    let nbcc = good(
        r#"(snow: (code: "nbcc", ground: "2 kPa", rain: "0.4 kPa"), wind: "0.45 kPa")"#,
        &[],
    );
    assert_eq!(nbcc.code, Code::Nbcc);
    assert!(matches!(nbcc.wind, Some(BasicWind::Pressure(_))));
    // Zero is a value; nothing given is none.
    let none = good(r#"(code: "asce7-16", snow: "0 psf")"#, &[]);
    assert_eq!(
        none.snow,
        Some(GroundSnow {
            load: 0.0,
            rain: 0.0
        })
    );
    assert_eq!(good("()", &[]).snow, None);
}

#[test]
fn stored_boats_have_their_loads() {
    let file =
        r#"(code: "asce7-16", snow: "20 psf", wind: "110 mph", stored: "hauled", speed: "60 mph")"#;
    let hauled = good(file, &[]);
    assert!(matches!(hauled.stored, Stored::Hauled { speed } if (speed - 26.8224).abs() < 1e-9));
    assert_eq!((hauled.snow, hauled.wind), (None, None));
    let roof = good(file, &[("stored", "roof")]);
    assert_eq!((roof.stored, roof.snow), (Stored::UnderRoof, None));
    let outdoors = good(file, &[("stored", "Outdoors")]);
    assert!(outdoors.snow.is_some() && outdoors.wind.is_some());
}

#[test]
fn slips_are_told() {
    for (text, path, what, hint) in [
        (
            r#"(cod: "asce7-16")"#,
            "cod",
            "unknown field 'cod'",
            "did you mean 'code'?",
        ),
        (
            r#"(code: "asce7-16", snow: (grund: "20 psf", ground: "20 psf"))"#,
            "snow.grund",
            "unknown field",
            "did you mean 'ground'?",
        ),
        (
            r#"(gear: (pst: ()))"#,
            "gear.pst",
            "unknown field",
            "did you mean 'post'?",
        ),
        (
            r#"(gear: (strap: (rate: "2 kN")))"#,
            "gear.strap.rate",
            "unknown field",
            "rating",
        ),
        (
            r#"(code: "asce7-16", snow: "20")"#,
            "snow.ground",
            "no unit after '20'",
            "20 psf",
        ),
        (
            r#"(code: "asce7-16", snow: 20)"#,
            "snow.ground",
            "no unit after '20'",
            "20 psf",
        ),
        (
            r#"(code: "asce7-16", snow: "20 pfs")"#,
            "snow.ground",
            "unknown unit",
            "'psf'",
        ),
        (
            r#"(code: "asce7-16", snow: "-5 psf")"#,
            "snow.ground",
            "-5 psf",
            "between",
        ),
        (
            r#"(code: "asce7-16", wind: "110 mhp")"#,
            "wind.speed",
            "unknown unit",
            "'mph'",
        ),
        (
            r#"(code: "asce7-16", wind: "1100 mph")"#,
            "wind.speed",
            "out of range",
            "between",
        ),
        (
            r#"(code: "asce7-61", snow: "20 psf")"#,
            "code",
            "unknown code 'asce7-61'",
            "'asce7-16'",
        ),
        (
            r#"(code: "bs6399", snow: "1 kPa")"#,
            "code",
            "unknown code",
            "one of asce7-16, asce7-22",
        ),
        (
            r#"(snow: "20 psf")"#,
            "snow.ground",
            "code is missing",
            "add code",
        ),
        (
            r#"(wind: "20 m/s")"#,
            "wind.speed",
            "code is missing",
            "add code",
        ),
        (
            r#"(code: "asce7-16", exposure: "partail")"#,
            "exposure",
            "unknown exposure",
            "'partial'",
        ),
        (
            r#"(code: "asce7-16", terrain: "II")"#,
            "terrain",
            "no terrain 'II'",
            "one of B, C, D",
        ),
        (
            r#"(code: "en1991", terrain: "C")"#,
            "terrain",
            "no terrain 'C'",
            "one of 0, I, II",
        ),
        (
            r#"(stored: "outdors")"#,
            "stored",
            "unknown way",
            "'outdoors'",
        ),
        (
            r#"(stored: "hauled")"#,
            "stored",
            "it is missing",
            "speed: \"60 mph\"",
        ),
        (
            r#"(stored: "hauled", speed: "60")"#,
            "speed",
            "no unit",
            "60 mph",
        ),
        (
            r#"(speed: "60 mph")"#,
            "speed",
            "not hauled",
            "stored: \"hauled\"",
        ),
        (
            r#"(code: "asce7-16", importance: 8)"#,
            "importance",
            "out of range",
            "between",
        ),
        (
            r#"(code: "asce7-22", importance: 1.0)"#,
            "importance",
            "no importance",
            "already carry",
        ),
        (
            r#"(code: "en1991", importance: 1.0)"#,
            "importance",
            "no importance",
            "partial factors",
        ),
        (
            r#"(code: "nbcc", snow: "2 kPa")"#,
            "snow.ground",
            "rain is missing",
            "rain: \"0.4 kPa\"",
        ),
        (
            r#"(code: "asce7-16", snow: (ground: "20 psf", rain: "5 psf"))"#,
            "snow.rain",
            "no rain",
            "NBCC",
        ),
        (
            r#"(code: "nbcc", wind: "26 m/s")"#,
            "wind.speed",
            "as a pressure",
            "0.45 kPa",
        ),
        (
            r#"(code: "asce7-16", wind: "0.45 kPa")"#,
            "wind.pressure",
            "as a speed",
            "110 mph",
        ),
        (
            r#"(code: "asce7-16", wind: ())"#,
            "wind",
            "no speed",
            "add speed",
        ),
        (
            r#"(gear: (post: (size: "2x44")))"#,
            "gear.post.size",
            "no lumber '2x44'",
            "'2x4'",
        ),
        (
            r#"(gear: (post: (grade: "SPF No2")))"#,
            "gear.post.grade",
            "no grade",
            "'SPF No.2'",
        ),
        (
            r#"(gear: (post: (pieces: 4)))"#,
            "gear.post.pieces",
            "out of range",
            "between 1 and 3",
        ),
        (
            r#"(gear: (post: (braces: 1.5)))"#,
            "gear.post.braces",
            "whole number",
            "write",
        ),
        (
            r#"(gear: (film: (poisson: 0.5)))"#,
            "gear.film.poisson",
            "out of range",
            "0.49",
        ),
        (
            r#"(gear: (film: (modulus: "150")))"#,
            "gear.film.modulus",
            "no unit",
            "150 MPa",
        ),
        (r#"(uplift: 0.0)"#, "uplift", "out of range", "between"),
    ] {
        refused(text, path, what, hint);
    }
}

#[test]
fn what_is_no_site_file_is_told() {
    for text in [
        "",
        "   ",
        "posts, please",
        "Site(",
        "Boat(length: 3",
        "[1, 2]",
        "(snow: true)",
    ] {
        let problems = read(text).expect_err(text);
        assert!(!problems.list.is_empty(), "{text}");
        assert!(problems.list.iter().all(|problem| !problem.hint.is_empty()));
    }
}

#[test]
fn codes_are_not_mixed() {
    let editions = "one edition";
    refused(
        r#"(snow: (code: "asce7-16", ground: "20 psf"), wind: (code: "asce7-22", speed: "110 mph"))"#,
        "wind.code",
        "ASCE 7-22 here, but ASCE 7-16 in 'snow.code'",
        editions,
    );
    refused(
        r#"(code: "asce7-22", snow: (code: "asce7-16", ground: "20 psf"))"#,
        "snow.code",
        "ASCE 7-16 here, but ASCE 7-22 in 'code'",
        editions,
    );
    refused(
        r#"(code: "en1991", wind: (code: "asce7-16", speed: "110 mph"))"#,
        "wind.code",
        "but EN 1991",
        "take both from one",
    );
    let file = r#"(code: "asce7-16", snow: "20 psf", wind: "110 mph")"#;
    let later = [("code", "asce7-22")];
    refused_with(
        file,
        &options(&later),
        "--code",
        "ASCE 7-22, but the site file's snow and wind are by ASCE 7-16",
        "one code",
    );
    refused_with(
        file,
        &options(&[("code", "asce7-22"), ("snow", "50 psf")]),
        "--code",
        "wind is by ASCE 7-16",
        "leave --code out",
    );
    refused_with(
        r#"(code: "asce7-16", importance: 0.8)"#,
        &options(&[("code", "asce7-22"), ("snow", "50 psf")]),
        "--code",
        "importance is by ASCE 7-16",
        "one code",
    );
    refused_with(
        "(importance: 0.8)",
        &options(&[("code", "asce7-22"), ("snow", "50 psf")]),
        "importance",
        "no importance factor",
        "leave importance out",
    );
    // All values by the option's code: nothing is mixed. The same code again is no change.
    let all = good(
        file,
        &[
            ("code", "asce7-22"),
            ("snow", "50 psf"),
            ("wind", "120 mph"),
        ],
    );
    assert_eq!(all.code, Code::Asce722);
    assert_eq!(good(file, &[("code", "ASCE7-16")]).code, Code::Asce716);
    // A file without a code has values by whatever code the option names.
    assert_eq!(
        good(r#"(snow: "20 psf")"#, &[("code", "asce7-22")]).code,
        Code::Asce722
    );
}

#[test]
fn options_are_told_by_their_names() {
    let base = [("code", "asce7-16"), ("snow", "20psf")];
    assert!(from_options(&options(&base)).is_ok());
    for (option, value, path, what) in [
        ("snow", "20", "--snow", "no unit"),
        ("snow", "-1 psf", "--snow", "out of range"),
        ("code", "asce7-17", "--code", "unknown code"),
        ("wind", "110", "--wind", "no unit"),
        ("exposure", "none", "--exposure", "unknown exposure"),
        ("terrain", "E", "--terrain", "no terrain 'E'"),
        ("stored", "shed", "--stored", "unknown way"),
        ("stored", "hauled", "--stored", "speed; it is missing"),
        ("speed", "60mph", "--speed", "not hauled"),
        ("rain", "5psf", "--rain", "no rain"),
    ] {
        let mut given = options(&base);
        let other = options(&[(option, value)]);
        for (field, over) in [
            (&mut given.snow, other.snow),
            (&mut given.code, other.code),
            (&mut given.wind, other.wind),
            (&mut given.exposure, other.exposure),
            (&mut given.terrain, other.terrain),
            (&mut given.stored, other.stored),
            (&mut given.speed, other.speed),
            (&mut given.rain, other.rain),
        ] {
            if over.is_some() {
                *field = over;
            }
        }
        refused_with("()", &given, path, what, "");
    }
    refused_with(
        "()",
        &options(&[("snow", "20psf")]),
        "--snow",
        "code is missing",
        "--code",
    );
    refused_with(
        "()",
        &options(&[("rain", "5psf"), ("code", "nbcc")]),
        "--rain",
        "no ground",
        "--snow",
    );
}

#[test]
fn every_problem_is_told_at_once() {
    let problems = read(
        r#"(
            code: "asce7-22", importance: 0.8, snow: "20", exposure: "half",
            gear: (post: (size: "3x3"), film: (margin: 0.5)),
        )"#,
    )
    .expect_err("bad");
    let paths: Vec<&str> = problems
        .list
        .iter()
        .map(|problem| problem.path.as_str())
        .collect();
    assert_eq!(
        paths,
        [
            "importance",
            "snow.ground",
            "exposure",
            "gear.post.size",
            "gear.film.margin"
        ],
        "{problems}"
    );
}
