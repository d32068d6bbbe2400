//! The storm over surfaces whose answer is known, and laws that hold over any.

use super::*;
use crate::geom::surface::ponds;
use nalgebra::Point3;
use proptest::prelude::*;

/// Rounding of some thousand sums, as a part of the whole.
const ROUNDING: f64 = 1e-11;

/// Depth from which a hollow counts here, m: all but rounding.
const POND_DEPTH: f64 = 1e-6;

/// A heap so steep that no patch is ever full, rad.
const BOUNDLESS: f64 = std::f64::consts::FRAC_PI_2;

/// Disk of 60 sectors, heights over a list of radii.
fn disk(rings: &[(f64, f64)], top: f64) -> Mesh {
    let sectors = 60_u32;
    let mut mesh = Mesh {
        vertices: vec![Point3::new(0.0, 0.0, top)],
        triangles: Vec::new(),
    };
    for (ring, &(r, z)) in (0_u32..).zip(rings) {
        for s in 0..sectors {
            let angle = std::f64::consts::TAU * f64::from(s) / f64::from(sectors);
            mesh.vertices
                .push(Point3::new(r * angle.cos(), r * angle.sin(), z));
            let [b, c] = [s, (s + 1) % sectors].map(|s| 1 + ring * sectors + s);
            if ring == 0 {
                mesh.triangles.push([0, b, c]);
            } else {
                let [a, d] = [b - sectors, c - sectors];
                mesh.triangles.extend([[a, b, c], [a, c, d]]);
            }
        }
    }
    mesh
}

/// Cone of zones: outer radius and fall in degrees of each, from the middle out.
fn cone(zones: &[(f64, f64)]) -> Mesh {
    let (mut r, mut z) = (0.0, 5.0);
    let rings: Vec<_> = zones
        .iter()
        .map(|&(radius, fall)| {
            z -= (radius - r) * fall.to_radians().tan();
            r = radius;
            (r, z)
        })
        .collect();
    disk(&rings, 5.0)
}

/// Grid over [0, 2] x [-1, 1], cells cut so that both sides of y = 0 are alike.
fn grid(cells: u32, z: impl Fn(f64, f64) -> f64) -> Mesh {
    let mut mesh = Mesh::default();
    for j in 0..=cells {
        for i in 0..=cells {
            let [x, y] = [i, j].map(|k| 2.0 * f64::from(k) / f64::from(cells));
            mesh.vertices.push(Point3::new(x, y - 1.0, z(x, y - 1.0)));
        }
    }
    for j in 0..cells {
        for i in 0..cells {
            let a = j * (cells + 1) + i;
            let [b, c, d] = [a + 1, a + cells + 2, a + cells + 1];
            mesh.triangles.extend(if j < cells / 2 {
                [[a, b, c], [a, c, d]]
            } else {
                [[a, b, d], [b, c, d]]
            });
        }
    }
    mesh
}

fn bumps(x: f64, y: f64) -> f64 {
    0.2 * (3.0 * x + 1.0).sin() * (2.5 * y).cos() + 0.1 * (7.0 * x * y).sin() - 0.2 * x
}

fn snowed(mesh: &Mesh, degrees: f64) -> Storm {
    let rules = StormRules {
        sliding_angle: degrees.to_radians(),
        fall: 2.0,
        density: 100.0,
        heap: BOUNDLESS,
    };
    let mut storm = Storm::over(mesh, &ponds(mesh, POND_DEPTH), rules);
    storm.step(3.0);
    storm
}

fn held_share(mesh: &Mesh, degrees: f64) -> f64 {
    let totals = snowed(mesh, degrees).totals();
    totals.held / totals.fallen
}

fn near(got: f64, wanted: f64, what: &str) {
    assert!(
        (got - wanted).abs() <= ROUNDING * wanted.abs().max(1.0),
        "{what}: {got} instead of {wanted}"
    );
}

#[test]
fn what_is_held_is_known_by_angle() {
    let check = |mesh: &Mesh, degrees: f64, wanted: f64, source: &str| {
        near(held_share(mesh, degrees), wanted, source);
    };
    let flat = grid(8, |_, _| 1.0);
    check(&flat, 15.0, 1.0, "a flat square holds all");
    let steep = cone(&[(1.0, 40.0), (2.0, 40.0)]);
    check(&steep, 15.0, 0.0, "a steep cone holds nothing");
    check(&steep, 45.0, 1.0, "unless it slides at more than its slope");
    let capped = cone(&[(0.7, 10.0), (2.0, 30.0)]);
    check(&capped, 15.0, 0.49 / 4.0, "only the flat top, by plan area");
    check(&capped, 5.0, 0.0, "both zones slide");
    let brim = cone(&[(1.0, 30.0), (2.0, 10.0)]);
    check(&brim, 15.0, 1.0, "the flat brim takes what slides to it");
    let terrace = cone(&[(0.5, 10.0), (1.0, 30.0), (1.4, 12.0), (2.0, 30.0)]);
    check(
        &terrace,
        15.0,
        1.96 / 4.0,
        "a terrace takes the steep zone over it, not that under it",
    );
    check(&terrace, 11.0, 0.25 / 4.0, "the terrace slides too");
}

#[test]
fn valleys_carry_snow_as_they_fall() {
    // Sides at 35 degrees athwart down to a valley along y = 0 that falls forward. Over a valley that lies as steeply
    // as snow slides all leaves by its lower end; a flatter one keeps it.
    let valley = |degrees: f64| {
        grid(8, move |x, y| {
            0.7 * y.abs() - x * f64::tan(degrees.to_radians())
        })
    };
    let check = |degrees: f64, wanted: f64| {
        near(
            held_share(&valley(degrees), 15.0),
            wanted,
            &format!("valley of {degrees} degrees"),
        );
    };
    check(20.0, 0.0);
    check(16.0, 0.0);
    assert!(held_share(&valley(10.0), 15.0) > 0.5);
    check(0.0, 1.0);
}

#[test]
fn snow_lies_evenly_on_a_terrace() {
    let terrace = cone(&[(1.0, 30.0), (2.0, 5.0)]);
    let storm = snowed(&terrace, 15.0);
    // 6 kg/m2 over the whole disk, on three quarters of it.
    for t in 0..terrace.triangles.len() {
        let inner = t < 60;
        let wanted = if inner { 0.0 } else { 8.0 };
        near(storm.mass_per_area(t), wanted, "load");
        near(storm.depth(t), wanted / 100.0, "depth");
    }
    near(storm.deepest(), 0.08, "deepest");
    near(storm.hours(), 3.0, "hours");
    assert_eq!(storm.mass_per_area(9999), 0.0);
}

#[test]
fn a_full_patch_lets_slide_on() {
    // A terrace under a cone and over a steep brim: all that slides from the cone stays, until the heap is full.
    let terrace = cone(&[(1.0, 30.0), (1.4, 12.0), (2.0, 30.0)]);
    let rules = StormRules {
        sliding_angle: 15f64.to_radians(),
        fall: 1.0,
        density: 100.0,
        heap: 20f64.to_radians(),
    };
    let disk: f64 = (0..terrace.triangles.len())
        .map(|t| plan_area(&terrace, t))
        .sum();
    let [cone, flat] = [0.25 * disk, 0.24 * disk];
    let heap = 100.0 * flat * (flat / std::f64::consts::PI).sqrt() * 20f64.to_radians().tan() / 3.0;
    let check = |steps: &[f64]| {
        let mut storm = Storm::over(&terrace, &[], rules);
        for hours in steps {
            storm.step(*hours);
        }
        let fall: f64 = steps.iter().sum();
        let wanted = fall * flat + f64::min(fall * cone, heap);
        near(storm.totals().held, wanted, &format!("{steps:?}"));
        near(storm.totals().fallen, fall * disk, "fallen");
        near(storm.totals().slid_off, fall * disk - wanted, "slid off");
    };
    check(&[1.0]);
    check(&[5.0]);
    check(&[20.0]);
    check(&[50.0]);
    check(&[10.0; 5]);
    check(&[0.1, 30.0, 0.7]);
    // What has melted makes room.
    let mut storm = Storm::over(&terrace, &[], rules);
    storm.step(50.0);
    storm.thaw(1.0);
    storm.step(1.0);
    near(storm.totals().held, flat + cone, "after a thaw");
    // A level patch that ends at steep film lets go there.
    let top = self::cone(&[(0.5, 40.0), (1.0, 0.0), (2.0, 30.0)]);
    let mut storm = Storm::over(&top, &[], rules);
    storm.step(500.0);
    let level = 0.75 / 4.0 * disk;
    near(
        storm.totals().held,
        500.0 * level + rules.heap_mass(level),
        "level terrace",
    );
}

#[test]
fn hollows_fill_and_overflow() {
    // Funnel of 30 degrees, 1 deep under its rim: the cone of 60 sectors, a third of its plan area times its depth.
    let depth = 2.0 * 30_f64.to_radians().tan();
    let funnel = disk(&[(2.0, depth)], 0.0);
    let area: f64 = (0..60).map(|t| plan_area(&funnel, t)).sum();
    let holds = 1000.0 * area * depth / 3.0;
    let mut storm = snowed(&funnel, 15.0);
    near(storm.totals().held / area, 6.0, "no snow leaves a funnel");
    storm.thaw(0.5);
    near(storm.totals().held / area, 3.0, "half is melted");
    near(storm.totals().in_hollows / area, 3.0, "and stands in it");
    storm.thaw(1.0);
    near(storm.totals().in_hollows / area, 6.0, "all of it");
    assert_eq!(storm.totals().held, 0.0);
    near(storm.fill().sum(), 6.0 * area / holds, "part filled");
    storm.step(500.0);
    storm.thaw(1.0);
    near(storm.totals().in_hollows, holds, "brim full");
    near(
        storm.totals().ran_off,
        1006.0 * area - holds,
        "the rest runs off",
    );
    near(storm.fill().sum(), 1.0, "full");
}

/// A channel along x with side walls, closed at x = 0: two hollows with their crests at x = 0.75 and 1.5, open at 2.
fn channel() -> Mesh {
    grid(8, |x, y| {
        let along = [2.0, 1.0, 0.5, 1.2, 0.4, 0.1, 0.6, 0.2, -0.5];
        let floor = along[(4.0 * x).round() as usize];
        floor + 4.0 * (y.abs() - 0.25).max(0.0)
    })
}

#[test]
fn a_full_hollow_overflows_into_the_next() {
    let mesh = channel();
    let found = ponds(&mesh, POND_DEPTH);
    assert_eq!(found.len(), 2);
    let upper = usize::from(found[1].level > found[0].level);
    let [high, low] = [upper, 1 - upper].map(|p| 1000.0 * found[p].volume);
    let rules = StormRules {
        sliding_angle: 1.5,
        fall: 1.0,
        density: 100.0,
        heap: BOUNDLESS,
    };
    let check = |fall: f64| {
        let mut storm = Storm::over(&mesh, &found, rules);
        storm.step(fall);
        storm.thaw(1.0);
        // What falls aft of a crest comes to its hollow: 0.75 and 0.75 long, 2 wide.
        let first = f64::min(1.5 * fall, high);
        let second = f64::min(1.5 * fall + (1.5 * fall - first), low);
        near(storm.water()[upper], first, &format!("upper at {fall}"));
        near(
            storm.water()[1 - upper],
            second,
            &format!("lower at {fall}"),
        );
        let totals = storm.totals();
        near(totals.ran_off, 4.0 * fall - first - second, "off");
    };
    for fall in [1.0, 20.0, 60.0, 100.0, 200.0, 1000.0] {
        check(fall);
    }
}

#[test]
fn both_sides_of_a_symmetric_surface_hold_alike() {
    let mesh = grid(24, |x, y| bumps(x, y.abs()) - 0.3 * y.abs());
    let storm = snowed(&mesh, 15.0);
    let side = |sign: f64| -> f64 {
        (0..mesh.triangles.len())
            .filter(|t| sign * mesh.triangle(*t).iter().map(|p| p.y).sum::<f64>() > 0.0)
            .map(|t| storm.masses()[t])
            .sum()
    };
    assert!(side(1.0) > 0.1 * storm.totals().fallen);
    near(side(1.0), side(-1.0), "port and starboard");
}

#[test]
fn the_same_storm_gives_the_same_bits() {
    let mesh = grid(24, bumps);
    let (a, b) = (snowed(&mesh, 15.0), snowed(&mesh, 15.0));
    assert_eq!(a.masses(), b.masses());
    assert_eq!(a.totals(), b.totals());
    let mut still = a.clone();
    for hours in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        still.step(hours);
        still.thaw(-hours.abs());
    }
    assert_eq!(still.totals(), a.totals());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn no_snow_is_lost_and_less_is_held_where_it_slides_sooner(
        heights in prop::collection::vec(0.0..0.5_f64, 169),
        tilt in 0.0..1.0_f64,
        degrees in 1.0..40.0_f64,
        steeper in 0.0..20.0_f64,
        heap in 0.1..1.5_f64,
    ) {
        let mut mesh = grid(12, |x, _| -tilt * x);
        for (vertex, rough) in mesh.vertices.iter_mut().zip(&heights) {
            vertex.z += 0.5 * rough;
        }
        let rules = StormRules {
            sliding_angle: degrees.to_radians(),
            fall: 2.0,
            density: 100.0,
            heap,
        };
        let mut storm = Storm::over(&mesh, &ponds(&mesh, POND_DEPTH), rules);
        storm.step(3.0);
        let mut once = storm.clone();
        once.step(0.7);
        for _ in 0..7 {
            storm.step(0.1);
        }
        for (a, b) in storm.masses().iter().zip(once.masses()) {
            prop_assert!((a - b).abs() < ROUNDING * (1.0 + a), "{a} and {b}");
        }
        storm.thaw(0.3);
        storm.step(2.0);
        let t = storm.totals();
        let sum = t.held + t.slid_off + t.in_hollows + t.ran_off;
        prop_assert!((sum - t.fallen).abs() < ROUNDING * t.fallen, "{t:?}");
        prop_assert!((t.fallen - 4.0 * 2.0 * 5.7).abs() < ROUNDING * t.fallen);
        prop_assert!(storm.masses().iter().all(|mass| *mass >= 0.0));
        prop_assert!(storm.fill().all(|part| (0.0..=1.0 + ROUNDING).contains(&part)));
        let [sooner, later] = [degrees, degrees + steeper].map(|angle| held_share(&mesh, angle));
        prop_assert!(sooner <= later + ROUNDING, "{sooner} and {later}");
    }
}
