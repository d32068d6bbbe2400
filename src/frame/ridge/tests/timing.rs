//! How long boats of full size take.

use super::super::table::height_of;
use super::*;

/// A boat-like problem: sheer, a windshield, a hardtop, gaps in the footings.
fn large(length: f64, sites: usize, heights: i64, max_span: f64) -> RidgeProblem {
    let count = 80;
    let sections = (0..count).map(|k| {
        let u = (f64::from(k) + 0.5) / f64::from(count);
        let half = 1.3 * (1.0 - u.powi(4)).sqrt();
        let sheer = 1.2 + 0.5 * u * u;
        let mut points = vec![
            (half, sheer),
            (half * 0.9, sheer + 0.05),
            (half * 0.5, sheer),
        ];
        if (0.4..0.62).contains(&u) {
            points.extend([(0.6, 1.9), (0.0, 2.0)]);
        }
        section(length * u, &points)
    });
    RidgeProblem {
        stern: Anchor {
            station: 0.0,
            height: 1.3,
        },
        bow: Anchor {
            station: length,
            height: 1.75,
        },
        sections: sections.collect(),
        sites: (0..sites)
            .map(|k| {
                let mut one = site(length * (k as f64 + 0.7) / (sites as f64 + 0.4), 0, 0);
                one.base = 0.6;
                one.lowest = (1.3 / 0.0254) as i64 + (k % 3) as i64;
                one.highest = one.lowest + heights - 1;
                one
            })
            .collect(),
        free: vec![FreeSupport {
            station: length * 0.5,
            height: 2.0,
            thing: 2,
        }],
        rules: RidgeRules {
            pull: 60.0,
            max_span,
            height_step: 0.0254,
            ..rules()
        },
    }
}

/// Prints how long the large cases take; `cargo test --release -- --nocapture timing`.
#[test]
fn timing() {
    for (length, sites, heights, max_span) in [
        (6.0, 60, 50, 2.4),
        (9.0, 60, 50, 2.4),
        (9.0, 60, 50, 9.0),
        (9.0, 60, 30, 2.0),
        (14.0, 110, 60, 2.0),
        (18.0, 110, 60, 2.4),
        (18.0, 110, 60, 5.0),
        (18.0, 110, 30, 2.4),
        // Heights too few to get over the cabin: nothing holds.
        (9.0, 60, 10, 2.4),
        (18.0, 110, 20, 2.4),
        (18.0, 110, 60, 1.2),
    ] {
        if cfg!(debug_assertions) && sites > 60 {
            continue;
        }
        let problem = large(length, sites, heights, max_span);
        let start = std::time::Instant::now();
        let table = Table::new(&problem);
        let laid = start.elapsed();
        let outcome = search(&table, problem.rules.most_posts);
        let all = start.elapsed();
        println!(
            "{sites} sites x {heights} heights, {length} m, span {max_span}: {:?} posts, {:.2} m; table {laid:?}, all {all:?}",
            outcome.best.as_ref().map(|b| b
                .steps
                .iter()
                .filter(|s| table.nodes[s.0].is_post())
                .count()),
            outcome
                .best
                .as_ref()
                .map_or(0.0, |b| height_of(b.cost & ((1 << 84) - 1)) * 1e-6),
        );
    }
}
