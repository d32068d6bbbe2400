//! No part of the boat stands through the film: the boat's written STL against the film's, by code that knows nothing
//! of the solver.

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

use hulltent::boat::presets;
use hulltent::plan::plan;
use rayon::prelude::*;

/// 1/2 in: what nobody sees, m.
const SEEN: f64 = 0.0127;

#[test]
fn no_preset_stands_through_its_film() {
    let cells: Vec<f64> = std::env::var("CELLS").map_or(vec![2.0], |t| {
        t.split(',').map(|c| c.parse().unwrap()).collect()
    });
    let found: Vec<String> = presets()
        .par_iter()
        .flat_map(|preset| {
            let cells = cells.clone();
            cells.into_iter().filter_map(|cell| {
            let mut boat = preset.boat().unwrap();
            boat.rules.cell = cell * 0.0254;
            let t0 = std::time::Instant::now();
            let plan = plan(&boat, &boat.rules).unwrap();
            let t = t0.elapsed();
            let (depth, name, at) = through::deepest(&plan);
            println!("{:24} {cell} sheds {:5} posts {} through {:6.1} mm {name} {:.2?} {:?} it {} res {:.1e} {:?} area {:.3} patches {:?} total {:.2} loads {:.0?} {:?}", preset.name, plan.sheds(), plan.frame.posts.len(), 1e3*depth, at, plan.cover.status, plan.cover.iterations, plan.cover.residual, t, plan.cover.area, plan.cover.patches.iter().take(3).map(|p| (p.area/0.0929*100.0).round()/100.0).collect::<Vec<_>>(), plan.cover.holding_area()/0.0929, plan.cover.post_loads, plan.frame.posts.iter().map(|p| (p.cap*1e3).round()).collect::<Vec<_>>());
            (depth > SEEN).then(|| format!("{}: the {name} stands through by {depth} m at {at}", preset.name))
            }).collect::<Vec<_>>()
        })
        .collect();
    assert!(found.is_empty(), "\n{}", found.join("\n"));
}
