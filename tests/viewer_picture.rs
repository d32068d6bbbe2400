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
use hulltent::export::slope_colour_hex;
use hulltent::units::UnitSystem;
use hulltent::view::{Show, Vantage, ViewRequest};
use hulltent::viewer::door::drawer;
use hulltent::viewer::shot::{picture, pixel};

const SIZE: [u32; 2] = [640, 400];

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

fn draw(boat: Boat, from: Vantage, show: Show) -> Vec<[u8; 3]> {
    let request = ViewRequest {
        boat,
        source: "test".to_owned(),
        file: None,
        units: UnitSystem::FeetInches,
        show,
        from,
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

/// Part of a picture whose pixels are near to a colour but for the light on it.
fn part_of(pixels: &[[u8; 3]], hex: &str) -> f64 {
    let channel = |k: usize| f64::from(u8::from_str_radix(&hex[1 + 2 * k..3 + 2 * k], 16).unwrap());
    let wanted = [channel(0), channel(1), channel(2)];
    let like = |pixel: &&[u8; 3]| {
        // The film's own light leaves between 0.85 and 1.0 of a colour.
        (0..=6).any(|k| {
            let shade = 0.85 + 0.025 * f64::from(k);
            pixel
                .iter()
                .zip(wanted)
                .all(|(have, want)| (f64::from(*have) - shade * want).abs() < 10.0)
        })
    };
    pixels.iter().filter(like).count() as f64 / pixels.len() as f64
}

/// All in one test: an app that draws wants the machine to itself.
#[test]
fn pictures_show_what_they_are_about() {
    if !can_draw() {
        return;
    }
    let least = 15f64.to_radians();
    let flat = slope_colour_hex(0.75 * least, least);
    // From above the whole film is seen: a low frame shows film that holds snow, the plan's own next to none.
    let good = draw(runabout(2.0), Vantage::Above, Show::Slope);
    let mut low = runabout(2.0);
    low.wishes.only_pinned = true;
    low.wishes.posts = [(0.9, 1.0), (3.0, 1.35)]
        .map(|(station, cap)| PinnedPost {
            station,
            cap: Some(cap),
        })
        .to_vec();
    let bad = draw(low, Vantage::Above, Show::Slope);
    let [in_good, in_bad] = [&good, &bad].map(|pixels| part_of(pixels, &flat));
    assert!(in_good < 0.01, "{in_good} of the good cover looks flat");
    assert!(in_bad > in_good + 0.01, "{in_bad} against {in_good}");
    // Seen from ahead the upper corner is sky, the middle is the boat.
    let [width, height] = SIZE;
    let bow = draw(runabout(2.0), Vantage::Bow, Show::Slope);
    let at = |x: u32, y: u32| bow[(y * width + x) as usize];
    let sky = at(width - 2, 1);
    assert!(sky.iter().all(|part| *part > 200), "{sky:?}");
    let apart = |a: [u8; 3], b: [u8; 3]| a.iter().zip(b).any(|(a, b)| a.abs_diff(b) > 40);
    assert!(apart(at(width / 2, height / 2), sky));
    // Same boat, same picture.
    assert!(good == draw(runabout(2.0), Vantage::Above, Show::Slope));
    // What is shown, and from where, makes a difference.
    let mut seen = vec![good, bow];
    for (from, show) in [
        (Vantage::Above, Show::Film),
        (Vantage::Above, Show::Frame),
        (Vantage::Port, Show::Slope),
    ] {
        let next = draw(runabout(2.0), from, show);
        for other in &seen {
            let differ = next.iter().zip(other).filter(|(a, b)| a != b).count();
            assert!(differ > next.len() / 50, "{from:?} {show:?}");
        }
        seen.push(next);
    }
}
