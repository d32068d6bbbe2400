//! What the sheet takes, by its threads, against the library's flat sheets (libigl 2.6.3: `lscm`, and `arap_solve`
//! by elements).
//!
//! An as-rigid-as-possible sheet may stretch as well as shrink. At its least energy E its size as a whole is best
//! too: scaling it by c, the energy's slope at c = 1 is nothing, so the sum of area (s1^2 + s2^2) is the sum of
//! area (s1 + s2), and with e = s - 1 the sheet's area is A - E + sum of area e1 e2. Since |e1 e2| is at most
//! (e1^2 + e2^2) / 2, that is at most A - E / 2: **such a sheet is never larger than the shape**. Film does not
//! stretch: where every s is 1 or more, **its sheet is never smaller**. On a ball the sheet by threads therefore
//! lies over the cap and the rigid sheet under it, and they meet where the shape can be laid flat. A conformal
//! sheet of a cap that stretches nowhere is larger still: it shrinks in both directions, up to 1 / cos^2(a/2) at the
//! rim (the ball's stereographic picture), where threads keep their length.

use crate::bundle::Bundle;
use crate::library::{Flat, rows};
use hulltent::geom::geodesic::Walk;
use hulltent::geom::mesh::Mesh;
use std::f64::consts::PI;

/// Lines of a bundle of which area is summed.
const LINES: usize = 400;

/// Lines of which strain is summed: about a cell of these meshes apart. Closer ones would see the curvature where it
/// sits, in the nodes, and none between.
const APART: usize = 30;

/// Rows of which strain is summed.
const ROWS: usize = 40;

/// Rounding of both programs, part.
const ROUNDING: f64 = 1e-9;

/// The rigid sheets' iteration rests this far from the least energy, m2.
const REST: f64 = 1e-7;

/// A sheet by threads.
struct Sheet {
    /// m2.
    area: f64,
    /// Sum of area (sheet / boat - 1)^2, m2; threads keep their length, so there is no other part.
    energy: f64,
}

/// Sums over a bundle: `flat` is the distance of neighbors on the sheet after a run, for a unit of place.
fn sheet(bundle: &Bundle, closed: bool, flat: impl Fn(f64) -> f64) -> Sheet {
    let parts = || (0..ROWS).map(|row| (row as f64 + 0.5) / ROWS as f64);
    let walks = |lines: usize| -> Vec<Walk> {
        let places = (0..lines).map(|line| bundle.reach * (line as f64 + 0.5) / lines as f64);
        places.map(|place| bundle.walk(place).unwrap()).collect()
    };
    let step = bundle.reach / LINES as f64;
    let areas = walks(LINES).into_iter().map(|walk| {
        let across = walk.length() / ROWS as f64;
        parts()
            .map(|part| flat(part * walk.length()) * step * across)
            .sum::<f64>()
    });
    let area = areas.sum();
    let step = bundle.reach / APART as f64;
    let walks = walks(APART);
    let mut energy = 0.0;
    for (k, a) in walks
        .iter()
        .enumerate()
        .take(if closed { APART } else { APART - 1 })
    {
        let b = &walks[(k + 1) % APART];
        for part in parts() {
            let far = a.length().min(b.length());
            let run = part * far;
            let boat = (b.at(run).unwrap().0 - a.at(run).unwrap().0).norm();
            energy += (flat(run) * step / boat - 1.0).powi(2) * boat * far / ROWS as f64;
        }
    }
    Sheet { area, energy }
}

fn by_name(name: &str) -> (Flat, Mesh) {
    let (row, mesh) = rows()
        .into_iter()
        .find(|(row, _)| row.name == name)
        .unwrap();
    (row.flat, mesh)
}

#[test]
fn rigid_sheets_are_at_their_least_energy() {
    for (row, mesh) in rows() {
        let Flat {
            mesh_area,
            arap,
            lscm,
            ..
        } = &row.flat;
        let half = row.name == "hip roof";
        let area = if half { 0.5 * mesh.area() } else { mesh.area() };
        assert!((mesh_area - area).abs() < ROUNDING, "{}", row.name);
        assert_eq!(
            arap.folded_triangles + lscm.folded_triangles,
            0,
            "{}",
            row.name
        );
        let wanted = area - arap.energy + arap.product;
        assert!(
            (arap.area - wanted).abs() < REST,
            "{}: {} for {wanted}",
            row.name,
            arap.area
        );
        assert!(arap.area <= area - 0.5 * arap.energy + REST, "{}", row.name);
        // The conformal sheet is scaled to shrink only, but not to its own least energy.
        assert!(lscm.area >= area * (1.0 - ROUNDING), "{}", row.name);
        let wanted = area - lscm.energy + lscm.product;
        let off = (lscm.area - wanted).abs();
        // Twin that must fail, where the shape cannot be laid flat.
        assert!(lscm.energy < 1e-15 || off > 1e-3, "{}: {off}", row.name);
    }
}

/// What says that a shape cannot be laid flat, if anything.
fn flat_fault(flat: &Flat) -> Result<(), String> {
    for sheet in [&flat.arap, &flat.lscm] {
        let off = (sheet.area / flat.mesh_area - 1.0)
            .abs()
            .max(1.0 - sheet.least_scale)
            .max(sheet.greatest_scale - 1.0);
        if off > ROUNDING || sheet.energy > ROUNDING * ROUNDING {
            return Err(format!("off by {off}, energy {}", sheet.energy));
        }
    }
    Ok(())
}

/// Area of the sheet to port of the ridge without its pleats: each thread up to the rim, or to where it meets the
/// one from the other side of a corner. The rest of the half turn about a corner that misses d, d/2 to port, is
/// halved by the line on which they meet.
fn without_pleats(mesh: &Mesh, corners: &[(usize, f64)]) -> f64 {
    let bundle = Bundle::of_ridge(mesh);
    let deficits = mesh.angle_deficits();
    // Enough that a kink between two lines does not matter.
    let lines = 4 * LINES;
    let step = bundle.reach / lines as f64;
    (0..lines)
        .map(|line| {
            let place = step * (line as f64 + 0.5);
            let met = corners.iter().map(|(vertex, at)| {
                (place - at).abs() * (0.5 * (PI - 0.5 * deficits[*vertex])).tan()
            });
            let length = bundle.walk(place).unwrap().length();
            met.fold(length, f64::min) * step
        })
        .sum()
}

#[test]
fn sheets_of_developable_shapes() {
    let slope = 2f64.sqrt();
    for (name, corners, share) in [
        ("half cylinder", &[][..], 1.0),
        ("cone", &[(0, slope)][..], 0.5),
        ("pyramid", &[(0, slope)][..], 0.5),
        ("hip roof", &[(0, slope), (1, slope + 2.0)][..], 0.5),
    ] {
        let (flat, mesh) = by_name(name);
        assert_eq!(flat_fault(&flat), Ok(()), "{name}");
        let area = without_pleats(&mesh, corners);
        let wanted = share * mesh.area();
        // Second order in the step: 2.8 / 1600, kinks of slope up to 3.
        assert!(
            (area / wanted - 1.0).abs() < 2e-5,
            "{name}: {area} for {wanted}"
        );
        // Twin that must fail: pleats left in.
        if !corners.is_empty() {
            assert!(without_pleats(&mesh, &[]) > 1.05 * wanted, "{name}");
        }
    }
    // Twins that must fail.
    for name in ["cap 30", "saddle 24 x 12", "band"] {
        assert!(flat_fault(&by_name(name).0).is_err(), "{name}");
    }
}

/// On positive curvature: rigid sheet < shape < sheet by threads.
fn bulging(flat: &Flat, sheet: &Sheet) -> Result<(), String> {
    let chain = [flat.arap.area, flat.mesh_area, sheet.area];
    let apart = |pair: &[f64]| pair[1] / pair[0] > 1.0 + 1e-5;
    if !chain.windows(2).all(apart) {
        return Err(format!("areas {chain:?}"));
    }
    least_of(flat, sheet)
}

/// On negative curvature: sheet by threads < rigid sheet < shape, so that film has to be laid with ease.
fn saddling(flat: &Flat, sheet: &Sheet) -> Result<(), String> {
    let chain = [sheet.area, flat.arap.area, flat.mesh_area];
    let apart = |pair: &[f64]| pair[1] / pair[0] > 1.0 + 1e-6;
    if !chain.windows(2).all(apart) {
        return Err(format!("areas {chain:?}"));
    }
    least_of(flat, sheet)
}

/// No sheet has less energy than the rigid one.
fn least_of(flat: &Flat, sheet: &Sheet) -> Result<(), String> {
    let by = sheet.energy / flat.arap.energy;
    println!(
        "energy by threads {}, {by} times the rigid sheet's",
        sheet.energy
    );
    if by > 1.0 {
        Ok(())
    } else {
        Err(format!("energy {by} times the least"))
    }
}

#[test]
fn sheets_of_bulging_and_saddle_shapes() {
    for half_angle in [30.0f64, 45.0, 60.0] {
        let (flat, mesh) = by_name(&format!("cap {half_angle}"));
        let sheet = sheet(&Bundle::of_pole(&mesh), true, |run| run);
        assert_eq!(bulging(&flat, &sheet), Ok(()), "{half_angle}");
        assert!(saddling(&flat, &sheet).is_err());
        // On a cap, but not on every shape, the conformal sheet takes more film than threads do.
        assert!(flat.lscm.area > 1.01 * sheet.area, "{half_angle}");
        // Strain of equal meridians, t / sin t - 1, summed over the ball's cap.
        let strain = |t: f64| (t / t.sin() - 1.0).powi(2) * 2.0 * PI * t.sin();
        let step = half_angle.to_radians() / 1000.0;
        let energy: f64 = (0..1000)
            .map(|k| strain(step * (f64::from(k) + 0.5)) * step)
            .sum();
        let got = sheet.energy / energy;
        assert!((0.9..1.2).contains(&got), "{} for {energy}", sheet.energy);
        // On this mesh the conformal sheet is within a hundredth of the ball's.
        let wanted = (0.5 * half_angle.to_radians()).cos().powi(-2);
        let got = flat.lscm.area / flat.mesh_area;
        assert!((got / wanted - 1.0).abs() < 0.01, "{got} for {wanted}");
    }
    let (flat, mesh) = by_name("band");
    let of_band = sheet(&Bundle::of_ridge(&mesh), false, |_| 1.0);
    assert_eq!(bulging(&flat, &of_band), Ok(()));
    for name in ["saddle 12 x 6", "saddle 24 x 12"] {
        let (flat, mesh) = by_name(name);
        let of_saddle = sheet(&Bundle::of_ridge(&mesh), false, |_| 1.0);
        assert_eq!(saddling(&flat, &of_saddle), Ok(()), "{name}");
        assert!(bulging(&flat, &of_saddle).is_err());
        // Twin that must fail: a sheet laid two hundredths longer.
        let longer = sheet(&Bundle::of_ridge(&mesh), false, |_| 1.02);
        assert!(saddling(&flat, &longer).is_err());
    }
}
