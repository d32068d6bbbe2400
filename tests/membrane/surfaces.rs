//! Least surfaces in closed form: the catenoid and Scherk's surface, and how fast the film gets there.

use crate::measure::{extrapolated, integral, order};
use crate::sheet::{Sheet, grid, on_border};
use nalgebra::Point2;

/// A measured order may differ from two by this.
const ORDER: f64 = 0.15;

/// Half of the last digit of the rows.
const ROW: f64 = 5e-7;

/// Waist of the wider catenoid between two unit rings the given distance apart; none where they are too
/// far apart. The distance 2 c acosh(1/c) has its maximum in between, found by bisection of its slope.
fn waist(apart: f64) -> Option<f64> {
    let distance = |c: f64| 2.0 * c * (1.0 / c).acosh();
    let slope = |c: f64| (1.0 / c).acosh() - 1.0 / (1.0 - c * c).sqrt();
    let widest = bisect([0.1, 0.9], |c| slope(c) < 0.0);
    (distance(widest) >= apart).then(|| bisect([widest, 1.0], |c| distance(c) < apart))
}

/// Where a condition turns true; false at the lower end, true at the upper.
fn bisect([mut low, mut high]: [f64; 2], turned: impl Fn(f64) -> bool) -> f64 {
    // Halvings until the ends are neighboring numbers.
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if turned(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    0.5 * (low + high)
}

#[test]
fn catenoid_rows() {
    fn check(apart: f64, area: f64) {
        let c = waist(apart).expect("the rings are near enough");
        let got = std::f64::consts::PI * c * (apart + c * (apart / c).sinh());
        assert!((got - area).abs() < ROW, "{got} for {area}");
    }
    // Closed form, radius c cosh(x/c); computed.
    check(0.5, 3.108_112);
    check(1.0, 5.991_797);
    check(1.2, 6.999_643);
    // None beyond H/R = 1.325487; computed.
    assert!(waist(1.325_486).is_some());
    assert!(waist(1.325_488).is_none());
}

/// A surface in closed form over a rectangle.
struct Surface<'a> {
    half: [f64; 2],
    height: &'a dyn Fn(Point2<f64>) -> f64,
    area: f64,
}

/// Heights and area of the film over four meshes, each of half the cells of the one before: the greatest
/// error of the heights and the error of the area at each, then the area extrapolated.
fn refine(
    surface: &Surface,
    edge: &dyn Fn(Point2<f64>) -> f64,
    cells: [u32; 2],
) -> ([Vec<f64>; 2], f64) {
    let mut heights = Vec::new();
    let mut areas = Vec::new();
    for halving in 0..4 {
        let cells = cells.map(|count| count << halving);
        let sheet: Sheet = grid(surface.half, cells).fix(on_border(surface.half), edge);
        let minimum = sheet.solve();
        let error = sheet
            .points
            .iter()
            .zip(&minimum.z)
            .map(|(p, z)| (z - (surface.height)(*p)).abs())
            .fold(0.0, f64::max);
        heights.push(error);
        areas.push(minimum.energy);
    }
    let limit = extrapolated(&areas);
    let errors = areas.iter().map(|area| (area - surface.area).abs());
    ([heights, errors.collect()], limit)
}

/// What is wrong with the convergence to a surface, if anything.
fn faults(
    surface: &Surface,
    edge: &dyn Fn(Point2<f64>) -> f64,
    cells: [u32; 2],
) -> Result<(), String> {
    let (errors, limit) = refine(surface, edge, cells);
    for (what, errors) in ["heights", "area"].into_iter().zip(errors) {
        let order = order(&errors);
        println!("{what}: order {order:.4}, errors {errors:?}");
        if (order - 2.0).abs() > ORDER {
            return Err(format!("{what} of order {order}: {errors:?}"));
        }
    }
    println!("area {limit:.9} for {:.9}", surface.area);
    // Extrapolation takes off the second order; what is left is of the fourth.
    if (limit - surface.area).abs() > 1e-5 * surface.area {
        return Err(format!("area {limit} for {}", surface.area));
    }
    Ok(())
}

/// The part of a catenoid about the x axis that lies over |y| below a part of the waist; the rest is too
/// steep or overhangs and is no height field.
fn catenoid_piece(apart: f64, part: f64, check: impl Fn(&Surface)) {
    let c = waist(apart).expect("the rings are near enough");
    let radius = |x: f64| c * (x / c).cosh();
    let half = [0.5 * apart, part * c];
    let height = |p: Point2<f64>| (radius(p.x).powi(2) - p.y * p.y).sqrt();
    // A strip dx of the surface is r sqrt(1 + r'^2) dx wide per radian, and spans 2 asin(y / r).
    let strip = |x: f64| radius(x) * (x / c).cosh() * 2.0 * (half[1] / radius(x)).asin();
    check(&Surface {
        half,
        height: &height,
        area: integral([-half[0], half[0]], strip),
    });
}

#[test]
fn film_on_a_catenoid() {
    for (apart, cells) in [(0.5, [4, 8]), (1.0, [8, 8]), (1.2, [8, 8])] {
        catenoid_piece(apart, 0.6, |surface| {
            assert_eq!(faults(surface, surface.height, cells), Ok(()));
        });
    }
}

/// Twin that must fail: an edge that hangs 6 mm low at the ends of one side.
#[test]
fn film_on_a_wrong_edge() {
    catenoid_piece(1.0, 0.6, |surface| {
        let edge = |p: Point2<f64>| {
            let side = if p.x > 0.49 { p.y.cos() - 1.0 } else { 0.0 };
            (surface.height)(p) + 0.05 * side
        };
        assert!(faults(surface, &edge, [8, 8]).is_err());
    });
}

/// Twin that must fail: the height of the same rings' other surface, the narrow catenoid, is no least one
/// for the wide one's edge.
#[test]
fn film_on_the_other_catenoid() {
    catenoid_piece(1.0, 0.3, |surface| {
        let c = bisect([0.1, 0.5], |c| 2.0 * c * (1.0 / c).acosh() > 1.0);
        let narrow = Surface {
            half: surface.half,
            height: &|p| ((c * (p.x / c).cosh()).powi(2) - p.y * p.y).sqrt(),
            area: surface.area,
        };
        assert!(faults(&narrow, surface.height, [8, 8]).is_err());
    });
}

#[test]
fn film_on_scherks_surface() {
    fn check(half: f64, area: f64, cells: u32) {
        let height = |p: Point2<f64>| (p.x.cos() / p.y.cos()).ln();
        // Area of a strip at x: sqrt(1 + tan^2 x + tan^2 y) over y.
        let strip = |x: f64| {
            let across = |y: f64| (1.0 + x.tan().powi(2) + y.tan().powi(2)).sqrt();
            integral([-half, half], across)
        };
        let exact = integral([-half, half], strip);
        assert!((exact - area).abs() < ROW, "{exact} for {area}");
        let surface = Surface {
            half: [half, half],
            height: &height,
            area: exact,
        };
        assert_eq!(faults(&surface, &height, [cells, cells]), Ok(()));
    }
    // z = ln(cos x / cos y), Scherk 1835 (memory); areas computed.
    check(0.5, 1.087_246, 8);
    check(1.0, 5.697_512, 8);
}
