//! How neighboring threads draw together or apart: Jacobi's equation in closed form (do Carmo, Differential
//! Geometry of Curves and Surfaces, from memory), and that meshes get there.
//!
//! A straight line over a mesh turns where it passes a vertex on one side and not on the other (Polthier and
//! Schmies 1998, from memory), so the spacing of two lines counts the vertices between them. What two lines count
//! is out by the vertices of the rows that they just take in or leave out: an error of first order. It has no
//! preferred sign; the mean over pairs that stand everywhere on the mesh is of second order.

use crate::bundle::Bundle;
use crate::meshes::{BAND, FALL, TWIST, band, cap, half_cylinder, hip_roof, saddle};
use hulltent::geom::geodesic::Walk;
use hulltent::geom::mesh::Mesh;
use nalgebra::{Point3, Vector3};

/// Halvings of the mesh.
const HALVINGS: u32 = 3;

/// The spacing on flat pieces is exact up to this, m.
const ROUNDING: f64 = 1e-9;

/// A measured order may fall short of the one wanted by this.
const ORDER: f64 = 0.3;

/// Least order over the halvings; errors at each mesh.
fn order(errors: &[f64]) -> f64 {
    let halvings = errors.len() as f64 - 1.0;
    (errors[0] / errors[errors.len() - 1]).log2() / halvings
}

/// What is wrong with a quantity's convergence, if anything.
fn converges(name: &str, errors: &[f64], wanted: f64, last: f64) -> Result<(), String> {
    let order = order(errors);
    println!("{name}: order {order:.3}, errors {errors:?}");
    if order < wanted - ORDER || errors[errors.len() - 1] > last {
        return Err(format!("{name}: order {order}, errors {errors:?}"));
    }
    Ok(())
}

/// Distance between two lines after a run, m.
fn apart(a: &Walk, b: &Walk, run: f64) -> f64 {
    (b.at(run).unwrap().0 - a.at(run).unwrap().0).norm()
}

/// Pairs of lines of which the mean is taken, and a pair's part of the reach.
const PAIRS: u32 = 199;
const PAIR: f64 = 0.25;

/// Part of the reach left out at either end, lest a line leave the mesh.
const MARGIN: f64 = 0.1;

/// Errors of the spacing of pairs of lines, for runs up to `far`, against the distance that two lines
/// `between` (place, place, run) should have: the greatest of any pair, and the greatest of the mean.
fn worst(bundle: &Bundle, far: f64, between: impl Fn(f64, f64, f64) -> f64) -> [f64; 2] {
    let (mut single, mut mean) = (0.0f64, 0.0f64);
    let pairs: Vec<(f64, f64, Walk, Walk)> = (0..PAIRS)
        .map(|pair| {
            let part = (f64::from(pair) + 0.37) / f64::from(PAIRS);
            let a = bundle.reach * (MARGIN + part * (1.0 - PAIR - 2.0 * MARGIN));
            let b = a + bundle.reach * PAIR;
            (a, b, bundle.walk(a).unwrap(), bundle.walk(b).unwrap())
        })
        .collect();
    for step in 1..=8 {
        let run = far * f64::from(step) / 8.0;
        let errors = pairs
            .iter()
            .map(|(a, b, walk_a, walk_b)| apart(walk_a, walk_b, run) / between(*a, *b, run) - 1.0);
        single = errors.clone().map(f64::abs).fold(single, f64::max);
        mean = mean.max((errors.sum::<f64>() / f64::from(PAIRS)).abs());
    }
    [single, mean]
}

/// What is wrong with the convergence of the spacing, if anything.
fn settles(name: &str, errors: &[[f64; 2]]) -> Result<(), String> {
    for (which, (name, wanted)) in [
        (format!("{name}, any pair"), 1.0),
        (format!("{name}, mean"), 2.0),
    ]
    .into_iter()
    .enumerate()
    {
        let errors: Vec<f64> = errors.iter().map(|errors| errors[which]).collect();
        converges(&name, &errors, wanted, LAST[which])?;
    }
    Ok(())
}

/// Errors on the finest meshes are below these.
const LAST: [f64; 2] = [3e-2, 1e-3];

/// Spacing from a great circle against J = cos t: chords of circles of latitude.
fn great_circle(mesh: impl Fn(u32) -> Mesh) -> Result<(), String> {
    let errors: Vec<[f64; 2]> = (0..=HALVINGS)
        .map(|halving| {
            let mesh = mesh(halving);
            let bundle = Bundle::of_ridge(&mesh);
            // The mesh's ridge is of chords, and shorter than the circle.
            let stretch = 1.5 / bundle.reach;
            let chord =
                |a: f64, b: f64, run: f64| 2.0 * run.cos() * (0.5 * stretch * (b - a)).sin();
            worst(&bundle, 0.9 * BAND, chord)
        })
        .collect();
    settles("great circle", &errors)
}

#[test]
fn threads_from_a_great_circle_draw_together_as_the_cosine() {
    assert_eq!(
        great_circle(|halving| band([10 << halving, 8 << halving])),
        Ok(())
    );
}

/// Twins that must fail: no curvature, and the negative one of the saddle.
#[test]
fn threads_on_other_surfaces_do_not() {
    let flat = |halving: u32| half_cylinder([10 << halving, 8 << halving]);
    assert!(great_circle(flat).is_err());
    assert!(great_circle(|halving| saddle([12 << halving, 8 << halving])).is_err());
}

/// Place of the saddle's ruling after a run from x on the ridge: the rulings are straight and cross the ridge at
/// right angles, so they are its threads.
fn ruling(x: f64, run: f64) -> Point3<f64> {
    let fall = FALL + TWIST * (x - 1.5);
    let y = run / fall.hypot(1.0);
    Point3::new(x, y, 2.0 + fall * y)
}

fn saddle_spacing(mesh: impl Fn(u32) -> Mesh) -> Result<(), String> {
    let errors: Vec<[f64; 2]> = (0..=HALVINGS)
        .map(|halving| {
            let mesh = mesh(halving);
            let bundle = Bundle::of_ridge(&mesh);
            let between = |a: f64, b: f64, run: f64| (ruling(b, run) - ruling(a, run)).norm();
            worst(&bundle, 1.5, between)
        })
        .collect();
    settles("saddle", &errors)
}

#[test]
fn threads_on_a_saddle_draw_apart() {
    // J = sqrt(1 + (a t / (1 + m^2))^2) with a the twist and m the fall: from J'' = -K J with
    // K = -a^2 / (1 + m^2 + a^2 y^2)^2, t = y sqrt(1 + m^2).
    for (x, t) in [(0.5, 0.7), (2.2, 1.4)] {
        let fall = FALL + TWIST * (x - 1.5);
        let rate = TWIST / (1.0 + fall * fall);
        let jacobi = (1.0 + (rate * t).powi(2)).sqrt();
        let step = 1e-5;
        let along = ruling(x + step, t) - ruling(x - step, t);
        let down = (ruling(x, t + step) - ruling(x, t - step)).normalize();
        let wide = (along - down * along.dot(&down)).norm() / (2.0 * step);
        assert!(
            (wide - jacobi).abs() < 1e-8 && jacobi > 1.0,
            "{wide} for {jacobi}"
        );
    }
    assert_eq!(
        saddle_spacing(|halving| saddle([12 << halving, 6 << halving])),
        Ok(())
    );
    let mesh = saddle([48, 24]);
    let bundle = Bundle::of_ridge(&mesh);
    let walks: Vec<Walk> = [0.19, 0.62, 1.07, 1.8, 2.77]
        .map(|p| bundle.walk(p).unwrap())
        .to_vec();
    for pair in walks.windows(2) {
        let spacing = [0.0, 0.5, 1.0, 1.5].map(|run| apart(&pair[0], &pair[1], run));
        assert!(spacing.windows(2).all(|s| s[1] > s[0]), "{spacing:?}");
    }
}

/// Twin that must fail: the same tent without its twist.
#[test]
fn threads_on_a_plane_do_not() {
    let plane = |halving: u32| {
        let mut mesh = saddle([12 << halving, 6 << halving]);
        for p in &mut mesh.vertices {
            p.z = 2.0 + FALL * p.y;
        }
        mesh
    };
    assert!(saddle_spacing(plane).is_err());
}

/// Normal of the plane that a line is in after a run.
fn normal(mesh: &Mesh, walk: &Walk, run: f64) -> Vector3<f64> {
    let after = walk.runs.partition_point(|r| *r < run);
    let [a, b, c] = mesh.triangle(walk.triangles[after] as usize);
    (b - a).cross(&(c - a)).normalize()
}

/// Neighbors on flat pieces keep their distance: pairs that start on one straight piece of the ridge, at runs at
/// which both lie in one plane.
fn keeps(mesh: &Mesh, places: &[f64], runs: &[f64]) -> Result<usize, String> {
    let bundle = Bundle::of_ridge(mesh);
    let walks: Vec<Walk> = places.iter().map(|p| bundle.walk(*p).unwrap()).collect();
    let mut seen = 0;
    for (pair, places) in walks.windows(2).zip(places.windows(2)) {
        for run in runs {
            if *run > pair[0].length().min(pair[1].length())
                || normal(mesh, &pair[0], *run).dot(&normal(mesh, &pair[1], *run)) < 1.0 - 1e-12
            {
                continue;
            }
            seen += 1;
            let (wide, wanted) = (apart(&pair[0], &pair[1], *run), places[1] - places[0]);
            if (wide - wanted).abs() > ROUNDING {
                return Err(format!("{places:?} at {run}: {wide} for {wanted}"));
            }
        }
    }
    Ok(seen)
}

#[test]
fn threads_on_developable_roofs_keep_their_distance() {
    let runs: Vec<f64> = (1..30).map(|step| 0.05 * f64::from(step)).collect();
    // A plane, a half cylinder, a ruled roof between two straight hips: over one end, then beside the ridge.
    let mut plane = saddle([12, 6]);
    for p in &mut plane.vertices {
        p.z = 2.0 + FALL * p.y;
    }
    let cylinder = half_cylinder([10, 12]);
    let roof = hip_roof(3);
    let hip = 2f64.sqrt();
    let beside = [0.1, 0.4, 0.5, 0.9, 1.3, 1.8].map(|x| hip + x);
    let over = [0.2, 0.5, 0.6, 0.9, 1.2];
    for (mesh, places) in [
        (&plane, &[0.1, 0.6, 1.9, 2.8][..]),
        (&cylinder, &[0.1, 0.6, 1.2, 1.9][..]),
        (&roof, &beside[..]),
        (&roof, &over[..]),
    ] {
        let seen = keeps(mesh, places, &runs);
        assert!(
            seen.is_ok_and(|seen| seen > 40),
            "{:?}",
            keeps(mesh, places, &runs)
        );
    }
    // Twin that must fail: threads on either side of the corner at the end of the ridge.
    assert!(keeps(&roof, &[hip - 0.1, hip + 0.1], &runs).is_err());
}

/// What polar threads say of a cap: shrink at the rim, and flat sheet by area of the cap.
fn polar_sheet(mesh: &Mesh, half_angle: f64) -> [f64; 2] {
    let bundle = Bundle::of_pole(mesh);
    let turn = bundle.reach;
    // Lines that stand unevenly to the mesh's rows: 29 is prime to its sectors.
    let walks: Vec<Walk> = (0..29)
        .map(|line| bundle.walk(turn * (f64::from(line) + 0.41) / 29.0).unwrap())
        .collect();
    let between = turn / 29.0;
    let mut boat = 0.0;
    let mut flat = 0.0;
    let mut area = 0.0;
    for (k, a) in walks.iter().enumerate() {
        let b = &walks[(k + 1) % walks.len()];
        // Just short of the rim, which lines of chords come to a little early.
        let run = a.length().min(b.length());
        // The arc of the rim's circle over the chord.
        let radius = half_angle.sin();
        boat += 2.0 * radius * (0.5 * apart(a, b, run) / radius).asin();
        flat += run * between;
        area += 0.5 * a.length() * b.length() * between;
    }
    [1.0 - boat / flat, area / mesh.area()]
}

fn cap_row(
    half_angle: f64,
    area: f64,
    shrink: f64,
    mesh: impl Fn(u32) -> Mesh,
) -> Result<(), String> {
    let a = half_angle.to_radians();
    // Equal meridians: the disk of radius a over the cap 2 pi (1 - cos a); J = sin t beside t (computed).
    let exact = [1.0 - a.sin() / a, a * a / (2.0 * (1.0 - a.cos()))];
    for (exact, row) in exact.iter().zip([shrink / 100.0, area]) {
        if (exact - row).abs() > 5.1e-7 {
            return Err(format!("{half_angle}: {exact} for {row}"));
        }
    }
    let found: Vec<[f64; 2]> = (0..=HALVINGS)
        .map(|halving| polar_sheet(&mesh(halving), a))
        .collect();
    for (k, name) in ["shrink at the rim", "flat disk by cap"].iter().enumerate() {
        let errors: Vec<f64> = found
            .iter()
            .map(|found| (found[k] - exact[k]).abs())
            .collect();
        converges(&format!("{half_angle} {name}"), &errors, 2.0, 1e-4)?;
    }
    Ok(())
}

#[test]
fn ball_caps() {
    for (half_angle, area, shrink) in [
        (30.0, 1.023_163, 4.5070),
        (45.0, 1.053_029, 9.9684),
        (60.0, 1.096_623, 17.3007),
        (90.0, 1.233_701, 36.3380),
    ] {
        let mesh = |halving: u32| cap(half_angle, 8 << halving, 24 << halving);
        assert_eq!(cap_row(half_angle, area, shrink, mesh), Ok(()));
        // Twins that must fail: a wrong row, a cap of another height, a flat one.
        assert!(cap_row(half_angle, area + 1e-5, shrink, mesh).is_err());
        for squeeze in [0.9, 0.0] {
            let squeezed = |halving: u32| {
                let mut mesh = mesh(halving);
                for p in &mut mesh.vertices {
                    p.z *= squeeze;
                }
                mesh
            };
            assert!(cap_row(half_angle, area, shrink, squeezed).is_err());
        }
    }
}
