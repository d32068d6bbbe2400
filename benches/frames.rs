//! What a frame of the viewer costs on the graphics card of this machine, without a window:
//! `cargo bench --features viewer --bench frames`.

// A bench that cannot set up its boat has nothing to measure: let it stop there.
#![allow(clippy::expect_used)]

use hulltent::boat::preset;
use hulltent::units::UnitSystem;
use hulltent::view::{Show, Vantage, ViewRequest};
use hulltent::viewer::door::drawer;
use hulltent::viewer::shot::{Motion, frames};
use std::time::Duration;

/// The 18 ft class, and the 40 ft class.
const BOATS: [&str; 2] = ["open-runabout-18", "flybridge-40"];

/// Pixels of a frame: a small window, and a common screen.
const SIZES: [[u32; 2]; 2] = [[1280, 800], [1920, 1080]];

/// Frames that are timed, and as many before them that are not, for compiling and warming up.
const FRAMES: usize = 60;

fn request(name: &str) -> ViewRequest {
    ViewRequest {
        boat: preset(name)
            .expect("a preset")
            .boat()
            .expect("a preset that reads"),
        source: name.to_owned(),
        file: None,
        units: UnitSystem::FeetInches,
        show: Show::Slope,
        labels: true,
        from: Vantage::Quarter,
        panels: false,
        lesson: None,
        shot: None,
    }
}

/// The time under which this part of all frames stay.
fn quantile(times: &mut [Duration], part: f64) -> f64 {
    times.sort();
    let at = (part * (times.len() - 1) as f64).round() as usize;
    times
        .get(at)
        .map_or(f64::NAN, |time| time.as_secs_f64() * 1e3)
}

fn main() {
    let drawer = drawer().expect("something that draws");
    println!("drawn by: {drawer:?}");
    println!("boat               pixels     what       median ms   95 % ms   frames/s");
    for name in BOATS {
        for size in SIZES {
            for motion in [Motion::Turning, Motion::Following] {
                let mut times = frames(request(name), size, motion, 2 * FRAMES)
                    .expect("frames")
                    .split_off(FRAMES);
                let [median, most] = [0.5, 0.95].map(|part| quantile(&mut times, part));
                let [width, height] = size;
                let what = format!("{motion:?}").to_lowercase();
                println!(
                    "{name:<18} {width}x{height:<5} {what:<10} {median:>9.2} {most:>9.2} {:>10.0}",
                    1e3 / median
                );
            }
        }
    }
}
