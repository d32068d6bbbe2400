//! Band, ridge strap and drop straps, by the hull's own mesh.

use super::{boats, meshes};
use hulltent::export::Record;
use hulltent::frame::StrapKind;
use nalgebra::{Point3, Vector2};

const INCH: f64 = 0.0254;

const NAMES: [&str; 7] = [
    "sailboat-30-mast-up",
    "jon-boat-16",
    "center-console-24",
    "flybridge-40",
    "open-runabout-18",
    "skiff",
    "lopsided",
];

/// The convex hull in plan, counter-clockwise.
fn convex(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let mut chains = Vec::new();
    for reversed in [false, true] {
        if reversed {
            points.reverse();
        }
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for p in &points {
            while let [.., a, b] = chain[..]
                && (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) <= 0.0
            {
                chain.pop();
            }
            chain.push(*p);
        }
        chain.pop();
        chains.extend(chain);
    }
    chains
}

/// How far a point lies inside a convex outline; negative outside.
fn inside(outline: &[[f64; 2]], p: &Point3<f64>) -> f64 {
    let next = outline.iter().cycle().skip(1);
    outline
        .iter()
        .zip(next)
        .map(|(a, b)| {
            let along = Vector2::new(b[0] - a[0], b[1] - a[1]);
            along.perp(&Vector2::new(p.x - a[0], p.y - a[1])) / along.norm().max(1e-12)
        })
        .fold(f64::INFINITY, f64::min)
}

/// The band lies nowhere inside the hull at its own height, bends nowhere inward as a tight one cannot, and is as long
/// as it says.
#[test]
fn the_band_goes_round_the_hull() {
    for name in NAMES {
        let (_, plan) = boats::planned(name);
        let band = meshes::band(&plan);
        let hull = meshes::hull(&plan);
        for p in &band {
            let outline = convex(meshes::level(&hull, p.z));
            // The bow flares: a tight band's level there is another at each place; aft of it the hull is convex.
            if p.x < 0.5 && outline.len() > 2 {
                let deep = inside(&outline, p);
                assert!(
                    deep < 0.5 * INCH,
                    "{name}: {p} is {} in inside",
                    deep / INCH
                );
            }
        }
        let tight = convex(band.iter().map(|p| [p.x, p.y]).collect());
        for p in &band {
            let slack = inside(&tight, p);
            assert!(
                slack < 0.05 * INCH,
                "{name}: bends in by {} in at {p}",
                slack / INCH
            );
        }
        let length = Record::new(&plan).band.length_m;
        assert!((length - meshes::round(&band)).abs() < 2e-3, "{name}");
    }
}

/// The ridge strap's way from the edge to the bow eye is the raked one.
#[test]
fn the_ridge_strap_follows_the_stem() {
    for (name, eye) in [
        ("flybridge-40", 48.0),
        ("open-runabout-18", 22.0),
        ("skiff", 20.0),
        ("lopsided", 24.0),
    ] {
        let (_, plan) = boats::planned(name);
        let hull = meshes::hull(&plan);
        let fore = |z: f64| {
            let there = meshes::level(&hull, z);
            let middle = there.iter().filter(|p| p[1].abs() < 0.05);
            middle.map(|p| p[0]).fold(f64::NEG_INFINITY, f64::max)
        };
        let ridge = plan
            .frame
            .straps
            .iter()
            .position(|s| s.kind == StrapKind::Ridge)
            .unwrap();
        let (strap, shape) = (&plan.frame.straps[ridge], &plan.cover.straps[ridge]);
        let end = plan.cover.mesh.vertices[*shape.nodes.last().unwrap() as usize];
        let bow = *[end, plan.cover.mesh.vertices[shape.nodes[0] as usize]]
            .iter()
            .max_by(|a, b| a.x.total_cmp(&b.x))
            .unwrap();
        let eye = eye * INCH;
        let straight = (bow.z - eye).hypot(bow.x - fore(eye));
        let fore_end = strap.ends.last().unwrap();
        assert_eq!(fore_end.to, "bow eye", "{name}");
        let found: f64 = fore_end
            .course
            .windows(2)
            .map(|pair| (pair[1] - pair[0]).norm())
            .sum();
        // A stem that is nearly straight: a strap over it is hardly longer than the straight line.
        assert!(
            found > straight - 0.25 * INCH && found < straight + 1.0 * INCH,
            "{name}: {strap:?}: {} in instead of {} in",
            found / INCH,
            straight / INCH
        );
    }
}

/// A strap that is led along the edge is a loop round the band and a single line from its anchor: no longer than that
/// with the way from the anchor to the edge, no shorter than without it. What hangs in the middle is on no side.
#[test]
fn drop_straps_are_looped_only_where_they_hang() {
    for name in NAMES {
        let (_, plan) = boats::planned(name);
        for strap in &Record::new(&plan).drop_straps {
            let [a, b] = [strap.top_m, strap.foot_m];
            let down = (0..3).map(|k| (a[k] - b[k]).powi(2)).sum::<f64>().sqrt();
            if strap.led_m > 0.0 {
                let least = strap.led_m + 2.0 * down;
                let to_edge = 0.5;
                assert!(
                    (least - 1e-3..least + to_edge).contains(&strap.length_m),
                    "{name}: {strap:?} wants {least}"
                );
            }
            if a[1].abs() < INCH {
                assert_eq!(strap.side, "center", "{name}: {strap:?}");
            }
        }
    }
}
