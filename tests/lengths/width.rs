//! The film reaches the band from the ridge, everywhere.

use super::{boats, distance, meshes};
use rayon::prelude::*;

const INCH: f64 = 0.0254;

/// The width asked for is the exact one or more, and not idly more.
#[test]
fn the_film_is_as_wide_as_the_farthest_place_of_the_band_asks() {
    let names = [
        "open-runabout-18",
        "sailboat-30-mast-up",
        "tow-boat-22",
        "cuddy-21",
        "skiff",
        "lopsided",
    ];
    let faults: Vec<String> = names
        .par_iter()
        .filter_map(|name| {
            let (_, plan) = boats::planned(name);
            let (film, skirt) = (meshes::cover(&plan), meshes::skirt(&plan));
            let one = [1.0, -1.0].map(|sign| distance::farthest(&film, &skirt, sign));
            let exact = 2.0 * (one[0].max(one[1]) + plan.rules.film_tuck);
            let over = (plan.film.cut.width - exact) / INCH;
            println!(
                "{name}: width {:.2} in, exact {:.2} in",
                plan.film.cut.width / INCH,
                exact / INCH
            );
            // The mesh in single precision is a thousandth of an inch off at most.
            (!(-0.01..=0.75).contains(&over))
                .then(|| format!("{name}: {over} in over the exact width"))
        })
        .collect();
    assert!(faults.is_empty(), "{faults:#?}");
}
