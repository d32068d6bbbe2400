//! Pictures without a window: what must be seen in them is there, and legible parts do not lie on each other.
//!
//! They need a Vulkan driver; `.ci/run` installs Mesa's and sets `HULLTENT_MUST_DRAW`, so that a machine where
//! nothing can draw cannot pass for one where all is well.

#![cfg(feature = "viewer")]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first thing that is not as it should be"
)]

use hulltent::boat::{Boat, PinnedPost, preset};
use hulltent::geom::surface::plan_area;
use hulltent::plan::plan;
use hulltent::units::UnitSystem;
use hulltent::view::{Show, Vantage, ViewRequest};
use hulltent::viewer::door::drawer;
use hulltent::viewer::shot::{picture, pixel};

const SIZE: [u32; 2] = [960, 600];

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

fn draw(boat: Boat, from: Vantage, show: Show, labels: bool) -> Vec<[u8; 3]> {
    let request = ViewRequest {
        boat,
        source: "test".to_owned(),
        file: None,
        units: UnitSystem::FeetInches,
        show,
        labels,
        from,
        panels: false,
        lesson: None,
        shot: None,
    };
    let image = picture(request, SIZE).unwrap();
    assert_eq!([image.width(), image.height()], SIZE);
    let [width, height] = SIZE;
    (0..height)
        .flat_map(|y| (0..width).map(move |x| (x, y)))
        .map(|(x, y)| pixel(&image, x, y).unwrap())
        .collect()
}

fn runabout(cell: f64) -> Boat {
    let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
    boat.rules.cell *= cell;
    boat
}

/// Part of the film that looks flatter than the least slope: yellow, or the red of a hatch, among those, slate and
/// blue. Only rows between
/// caption and legend count, which are drawn in the same colours.
fn flat_part(pixels: &[[u8; 3]]) -> f64 {
    let [width, height] = SIZE;
    let (mut flat, mut film) = (0.0, 0.0);
    for y in 80..height - 100 {
        for x in 0..width {
            let [red, green, blue] = pixels[(y * width + x) as usize].map(f64::from);
            // Pads are orange: far redder than green. Shadows are all but grey.
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

/// All in one test: an app that draws wants the machine to itself.
#[test]
fn pictures_show_what_they_are_about() {
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
