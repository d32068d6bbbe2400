//! Pictures without a window: what must be seen in them is there, and legible parts do not lie on each other.
//!
//! They need a Vulkan driver; `.ci/run` installs Mesa's and sets `HULLTENT_MUST_DRAW`, so that a machine where
//! nothing can draw cannot pass for one where all is well.
//!
//! Some are compared with those kept in `tests/references/pictures`. After a change that is meant to be seen, renew
//! them with `HULLTENT_KEEP_PICTURES=1 cargo test --features viewer --test viewer_picture`, and look at each before it
//! is committed.
//!
//! `HULLTENT_PICTURES=FOLDER cargo test --features viewer --test viewer_picture -- --ignored` writes pictures of every
//! preset from all sides into a folder, to be looked at after a change of the scene.

#![cfg(feature = "viewer")]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first thing that is not as it should be"
)]

#[path = "support/kept_pictures.rs"]
mod kept_pictures;

use bevy::asset::RenderAssetUsages;
use bevy::image::{CompressedImageFormats, Image, ImageSampler, ImageType};
use hulltent::boat::{Boat, PinnedPost, preset, presets};
use hulltent::geom::surface::plan_area;
use hulltent::plan::plan;
use hulltent::units::UnitSystem;
use hulltent::view::{Shot, Show, Vantage, ViewRequest};
use hulltent::viewer::door::drawer;
use hulltent::viewer::shot::{picture, picture_of, pixel, png, take};
use kept_pictures::Picture;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

const SIZE: [u32; 2] = [960, 600];

/// An app that draws wants the machine to itself.
static MACHINE: Mutex<()> = Mutex::new(());

/// Whether anything can draw here.
fn can_draw() -> bool {
    match drawer() {
        Ok(_) => true,
        Err(refusal) => {
            assert!(
                std::env::var_os("HULLTENT_MUST_DRAW").is_none(),
                "{refusal}"
            );
            eprintln!("skipped: {refusal}");
            false
        }
    }
}

fn request(boat: Boat, from: Vantage, show: Show, labels: bool) -> ViewRequest {
    ViewRequest {
        boat,
        source: "test".to_owned(),
        file: None,
        units: UnitSystem::FeetInches,
        show,
        labels,
        from,
        panels: false,
        lesson: None,
        site: None,
        load: None,
        shot: None,
    }
}

fn pixels(image: &Image) -> Vec<[u8; 3]> {
    (0..image.height())
        .flat_map(|y| (0..image.width()).map(move |x| (x, y)))
        .map(|(x, y)| pixel(image, x, y).unwrap())
        .collect()
}

fn draw(boat: Boat, from: Vantage, show: Show, labels: bool) -> Vec<[u8; 3]> {
    let image = picture(request(boat, from, show, labels), SIZE).unwrap();
    assert_eq!([image.width(), image.height()], SIZE);
    pixels(&image)
}

fn draw_lesson(
    boat: Boat,
    from: Vantage,
    show: Show,
    labels: bool,
    lesson: Option<&str>,
) -> Vec<[u8; 3]> {
    let request = ViewRequest {
        lesson: lesson.map(str::to_owned),
        ..request(boat, from, show, labels)
    };
    pixels(&picture(request, SIZE).unwrap())
}

fn runabout(cell: f64) -> Boat {
    let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
    boat.rules.coarsen(cell);
    boat
}

/// Part of the film that looks flatter than the least slope: yellow, or the red of a hatch, among those, slate and
/// blue. Only rows between
/// caption and legend count, which are drawn in the same colors.
fn flat_part(pixels: &[[u8; 3]]) -> f64 {
    let [width, height] = SIZE;
    let (mut flat, mut film) = (0.0, 0.0);
    for y in 80..height - 100 {
        for x in 0..width {
            let [red, green, blue] = pixels[(y * width + x) as usize].map(f64::from);
            // Pads are orange: far redder than green. Shadows are all but gray.
            let yellow = red > blue + 40.0 && green > blue + 30.0 && red - green < 50.0;
            let hatch = red > 110.0 && green < 0.7 * red && blue < 0.6 * red;
            if yellow || hatch {
                flat += 1.0;
                film += 1.0;
            } else if blue > red + 6.0 {
                film += 1.0;
            }
        }
    }
    flat / film
}

/// The same by the plan: seen from above.
fn flat_part_of(boat: &Boat) -> f64 {
    let cover = plan(boat, &boat.rules).unwrap().cover;
    let flat: f64 = cover
        .patches
        .iter()
        .flat_map(|patch| &patch.triangles)
        .map(|t| plan_area(&cover.mesh, *t as usize))
        .sum();
    flat / cover.plan_area
}

/// Parts of the left and of the right half of a picture of a lesson, seen from above, that look like snow: paler than
/// ground, grid and film, between the captions and the legend.
fn snow_parts(pixels: &[[u8; 3]]) -> [f64; 2] {
    let [width, height] = SIZE;
    [0, width / 2].map(|from| {
        let (mut snow, mut all) = (0.0, 0.0);
        for y in 130..height - 160 {
            for x in from + 4..from + width / 2 - 4 {
                let color = pixels[(y * width + x) as usize];
                all += 1.0;
                if color.iter().all(|part| *part > 205) {
                    snow += 1.0;
                }
            }
        }
        snow / all
    })
}

#[test]
fn pictures_show_what_they_are_about() {
    let _machine = MACHINE.lock();
    if !can_draw() {
        return;
    }
    // From above as much of the film looks flat as the plan says: next to none of the runabout's own, a good part
    // over two low posts.
    let good = draw(runabout(2.0), Vantage::Above, Show::Slope, false);
    let mut low = runabout(2.0);
    low.wishes.only_pinned = true;
    low.wishes.posts = [(0.9, 1.0), (3.0, 1.35)]
        .map(|(station, cap)| PinnedPost {
            station,
            cap: Some(cap),
            ..PinnedPost::default()
        })
        .to_vec();
    let bad = draw(low.clone(), Vantage::Above, Show::Slope, false);
    let planned = [&runabout(2.0), &low].map(flat_part_of);
    assert!(planned[1] > planned[0] + 0.1, "{planned:?}");
    let seen = [&good, &bad].map(|pixels| flat_part(pixels));
    for (seen, planned) in seen.iter().zip(planned) {
        // The person is blue, and edges and lines blend.
        assert!((seen - planned).abs() < 0.04, "{seen} for {planned}");
    }
    // After the storm of a lesson more snow lies on the rival, at the right, than on the plan.
    let none = draw(runabout(2.0), Vantage::Above, Show::Slope, false);
    assert!(snow_parts(&none).iter().all(|part| *part < 1e-3));
    let after = draw_lesson(
        runabout(2.0),
        Vantage::Above,
        Show::Slope,
        false,
        Some("low-post"),
    );
    let [plan, rival] = snow_parts(&after);
    assert!(plan > 1e-3 && rival > 3.0 * plan, "{plan} and {rival}");
    // Seen from ahead the upper corner is sky, the middle is the boat.
    let [width, height] = SIZE;
    let bow = draw(runabout(2.0), Vantage::Bow, Show::Slope, true);
    let at = |x: u32, y: u32| bow[(y * width + x) as usize];
    let sky = at(width - 2, 1);
    assert!(sky.iter().all(|part| *part > 200), "{sky:?}");
    let apart = |a: [u8; 3], b: [u8; 3]| a.iter().zip(b).any(|(a, b)| a.abs_diff(b) > 40);
    assert!(apart(at(width / 2, height / 2), sky));
    // Same boat, same picture.
    assert!(good == draw(runabout(2.0), Vantage::Above, Show::Slope, false));
    // What is shown, and from where, makes a difference.
    let mut seen = vec![good, bow];
    for (from, show) in [
        (Vantage::Above, Show::Film),
        (Vantage::Above, Show::Frame),
        (Vantage::Port, Show::Slope),
    ] {
        let next = draw(runabout(2.0), from, show, true);
        for other in &seen {
            let differ = next.iter().zip(other).filter(|(a, b)| a != b).count();
            assert!(differ > next.len() / 50, "{from:?} {show:?}");
        }
        seen.push(next);
    }
}

/// Size of a kept picture: small, so that many can be kept.
const KEPT: [u32; 2] = [480, 300];

fn kept_file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/references/pictures")
        .join(format!("{name}.png"))
}

fn kept(name: &str) -> Picture {
    let file = kept_file(name);
    let bytes = std::fs::read(&file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    let image = Image::from_buffer(
        &bytes,
        ImageType::Extension("png"),
        CompressedImageFormats::NONE,
        true,
        ImageSampler::Default,
        RenderAssetUsages::MAIN_WORLD,
    )
    .unwrap();
    Picture {
        width: image.width() as usize,
        pixels: pixels(&image),
    }
}

fn small(boat: &str, from: Vantage, show: Show, labels: bool) -> ViewRequest {
    let mut boat = preset(boat).unwrap().boat().unwrap();
    boat.rules.coarsen(2.0);
    request(boat, from, show, labels)
}

fn drawn(request: ViewRequest) -> Picture {
    let image = picture(request, KEPT).unwrap();
    Picture {
        width: KEPT[0] as usize,
        pixels: pixels(&image),
    }
}

#[test]
fn pictures_look_like_those_that_were_kept() {
    kept_pictures::check_colors();
    let _machine = MACHINE.lock();
    if !can_draw() {
        return;
    }
    const RUNABOUT: &str = "open-runabout-18";
    let cases = [
        ("slope-quarter", Vantage::Quarter, Show::Slope, true),
        ("film-quarter", Vantage::Quarter, Show::Film, true),
        ("frame-side", Vantage::Port, Show::Frame, true),
        ("slope-above-bare", Vantage::Above, Show::Slope, false),
    ];
    if std::env::var_os("HULLTENT_KEEP_PICTURES").is_some() {
        for (name, from, show, labels) in cases {
            let file = kept_file(name);
            std::fs::create_dir_all(file.parent().unwrap()).unwrap();
            let shot = Shot {
                file,
                size: KEPT,
                frames: 0,
            };
            take(small(RUNABOUT, from, show, labels), &shot).unwrap();
        }
    }
    for (name, from, show, labels) in cases {
        let kept = kept(name);
        let apart = kept.apart(&drawn(small(RUNABOUT, from, show, labels)));
        assert!(apart.same(), "{name}: {apart:?}");
        let apart = kept.apart(&kept.as_elsewhere());
        assert!(apart.same(), "{name} as drawn elsewhere: {apart:?}");
    }
    // Twins that must not pass: labels missing or there, the film missing, another side, another boat.
    for (name, boat, from, show, labels) in [
        ("frame-side", RUNABOUT, Vantage::Port, Show::Frame, false),
        (
            "slope-quarter",
            RUNABOUT,
            Vantage::Quarter,
            Show::Slope,
            false,
        ),
        (
            "film-quarter",
            RUNABOUT,
            Vantage::Quarter,
            Show::Frame,
            true,
        ),
        (
            "slope-quarter",
            RUNABOUT,
            Vantage::Quarter,
            Show::Film,
            true,
        ),
        (
            "slope-above-bare",
            RUNABOUT,
            Vantage::Above,
            Show::Slope,
            true,
        ),
        (
            "frame-side",
            RUNABOUT,
            Vantage::Starboard,
            Show::Frame,
            true,
        ),
        (
            "slope-quarter",
            "double-console-20",
            Vantage::Quarter,
            Show::Slope,
            true,
        ),
    ] {
        let apart = kept(name).apart(&drawn(small(boat, from, show, labels)));
        assert!(
            !apart.same(),
            "{name} and {boat} {from:?} {show:?} {labels}: {apart:?}"
        );
    }
}

/// For eyes: nothing may overlap, be cut off, or be hard to read. `HULLTENT_BOATS` names some of the presets.
#[test]
#[ignore = "takes half an hour without a GPU; its pictures are to be looked at"]
fn every_preset_from_all_sides() {
    let _machine = MACHINE.lock();
    let (Some(folder), true) = (std::env::var_os("HULLTENT_PICTURES"), can_draw()) else {
        panic!(
            "HULLTENT_PICTURES names the folder to write into, and something must be able to draw"
        );
    };
    let folder = PathBuf::from(folder);
    std::fs::create_dir_all(&folder).unwrap();
    let wanted = std::env::var("HULLTENT_BOATS").unwrap_or_default();
    let wanted: Vec<&str> = wanted.split(',').filter(|name| !name.is_empty()).collect();
    for preset in presets() {
        if !wanted.is_empty() && !wanted.contains(&preset.name) {
            continue;
        }
        let boat = preset.boat().unwrap();
        let planned = plan(&boat, &boat.rules).unwrap();
        let slopes = [
            Vantage::Quarter,
            Vantage::Bow,
            Vantage::Port,
            Vantage::Above,
            Vantage::Stern,
        ];
        let shots = slopes.map(|from| (from, Show::Slope)).into_iter().chain([
            (Vantage::Quarter, Show::Film),
            (Vantage::Quarter, Show::Frame),
        ]);
        for (from, show) in shots {
            let request = request(boat.clone(), from, show, true);
            let image = picture_of(request, planned.clone(), SIZE).unwrap();
            let file = format!("{}-{}-{}.png", preset.name, from.word(), show.word());
            std::fs::write(folder.join(file), png(image).unwrap()).unwrap();
        }
    }
}
