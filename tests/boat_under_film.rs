//! No box or tube of a preset stands through the film: the meshes that are handed out against each other, by code that
//! knows nothing of the solver. Random boats: `tests/invariants.rs`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first thing that is not as it should be"
)]

#[path = "support/film.rs"]
mod film;
#[path = "support/through.rs"]
mod through;

use film::Film;
use hulltent::boat::presets;
use hulltent::plan::plan;
use rayon::prelude::*;

/// 1/2 in: what nobody sees, m.
const SEEN: f64 = 0.0127;

#[test]
fn no_preset_stands_through_its_film() {
    let found: Vec<String> = presets()
        .par_iter()
        .filter_map(|preset| {
            let boat = preset.boat().unwrap();
            let plan = plan(&boat, &boat.rules).unwrap();
            let (depth, name, at) = through::deepest(&plan, &Film::of(&plan));
            println!("{:24} {:4.1} mm {name}", preset.name, 1e3 * depth);
            (depth > SEEN).then(|| {
                format!(
                    "{}: the {name} stands through the film by {depth} m at {at}",
                    preset.name
                )
            })
        })
        .collect();
    assert!(found.is_empty(), "\n{}", found.join("\n"));
}
