//! Films under load: Hencky's circle, and squares and saddles of an open finite-element library.

use super::mesh::{Flat, Laden, NOTHING, disk, square};
use super::{close, number, reference};
use hulltent::cover::TautFilm;
use hulltent::loads::{FilmLaw, State};
use hulltent::num::bounded::Status;
use nalgebra::Point2;
use serde_json::Value;

const STIFFNESS: f64 = 35_600.0;

/// Coefficient of Hencky's circle at a load at which its middle goes down by about a fiftieth of the radius.
fn hencky(poisson: f64, rings: u32) -> f64 {
    let law = FilmLaw {
        stiffness: STIFFNESS,
        poisson,
        tension: 0.0,
        left_over: NOTHING,
    };
    let scale: f64 = 0.03;
    let laden = Laden::new(&disk(rings), |_| 0.0, law, STIFFNESS * scale.powi(3));
    assert!(laden.left_over() < 1e-6 * laden.load.iter().map(|f| f.norm()).sum::<f64>());
    laden.down(Point2::origin()) / scale
}

#[test]
fn hencky_circle_with_its_order_of_convergence() {
    // The equations of Foppl and Hencky solved by shooting and by collocation to nine digits (loaded_film.py).
    for row in reference()["hencky"].as_array().unwrap() {
        let (poisson, wanted) = (number(row, "poisson"), number(row, "coefficient_w0"));
        let errors: Vec<f64> = [4, 8, 16]
            .iter()
            .map(|rings| (hencky(poisson, *rings) - wanted).abs())
            .collect();
        let order = (errors[1] / errors[2]).log2();
        // What is left at the finest is the film's own steepness, a thousandth: it does not count in the order.
        assert!(errors[2] < 0.004 * wanted, "{poisson}: {errors:?}");
        assert!(order > 1.6, "{poisson}: {order} {errors:?}");
    }
    // 0.662 at Poisson's ratio 0.25: Timoshenko and Woinowsky-Krieger, memory; a series cut short.
    close("Timoshenko's number", hencky(0.25, 16), 0.662, 0.01);
}

/// Heights of a film at rest over the square's edge: flat, or the hypar's taut film over its four straight sides.
fn at_rest(flat: &Flat, cells: u32, hypar: bool) -> Vec<f64> {
    if !hypar {
        return vec![0.0; flat.points.len()];
    }
    let start: Vec<f64> = flat.points.iter().map(|p| 0.2 + 0.2 * p.x * p.y).collect();
    let film = TautFilm::new(&flat.points, &flat.triangles, &[], &flat.rim, 100.0, 0.0);
    let nothing_under = vec![f64::NEG_INFINITY; start.len()];
    let minimum = film.solve(&start, &nothing_under, 100.0, 2.0 / f64::from(cells));
    assert_eq!(minimum.status, Status::Converged);
    minimum.z
}

/// How far the middle goes down and what it pulls, on a square of so many cells.
fn middle(case: &Value, cells: u32) -> (f64, [f64; 2]) {
    let flat = square(cells);
    let heights = at_rest(&flat, cells, case["name"] == "hypar");
    let law = FilmLaw {
        stiffness: number(case, "stiffness_N_per_m"),
        poisson: number(case, "poisson"),
        tension: number(case, "prestress_N_per_m"),
        left_over: NOTHING,
    };
    let height = |p: Point2<f64>| {
        let node = flat.points.iter().position(|q| *q == p);
        node.map_or(0.0, |node| heights[node])
    };
    let laden = Laden::new(&flat, height, law, number(case, "load_Pa"));
    let total: f64 = laden.load.iter().map(|force| force.norm()).sum();
    assert!(laden.left_over() < 1e-6 * total, "{}", laden.left_over());
    (
        laden.down(Point2::origin()),
        laden.pulls(&flat, Point2::origin()),
    )
}

#[test]
fn squares_and_saddles_as_by_finite_elements() {
    // scikit-fem, quadratic triangles, and polynomials by another program: see `trust` in the file.
    let mut seen = [0; 2];
    for case in reference()["films"]["cases"].as_array().unwrap() {
        let (pressure, tension) = (number(case, "load_Pa"), number(case, "prestress_N_per_m"));
        // Green's law is another one than the film's; what is slack at rest or wrinkles is in other tests.
        if case["law"] != "stretch" || pressure == 0.0 || tension < 50.0 {
            continue;
        }
        let hypar = case["name"] == "hypar";
        seen[usize::from(hypar)] += 1;
        let about = format!("{} {pressure} Pa {tension} N/m", case["name"]);
        let limit = |key: &str| number(&case["limits"][key], "limit");
        let (coarse, _) = middle(case, 12);
        let (fine, [greater, lesser]) = middle(case, 24);
        let wanted = limit("center_deflection_m");
        // Flat triangles are too stiff on a saddle; what they are off falls to a third with the cell halved.
        let (off, less) = ((coarse - wanted).abs(), (fine - wanted).abs());
        assert!(
            less < 0.5 * off || less < 0.003 * wanted,
            "{about}: {coarse} {fine} {wanted}"
        );
        let limit_found = fine + (fine - coarse) / 3.0;
        close(
            &about,
            limit_found,
            wanted,
            if hypar { 0.015 } else { 0.006 },
        );
        close(
            &format!("{about}: pull"),
            greater,
            limit("center_greater_N_per_m"),
            0.012,
        );
        let wanted = limit("center_lesser_N_per_m");
        assert!(
            (lesser - wanted).abs() < 0.012 * greater,
            "{about}: {lesser} {wanted}"
        );
    }
    assert!(seen[0] >= 3 && seen[1] >= 4, "{seen:?}");
}

#[test]
fn wrinkled_sheets_pull_one_way() {
    // All edges moved evenly, or sideways: by hand, see `formula` in the file.
    let flat = square(4);
    let mut seen = 0;
    for strip in reference()["strips"].as_array().unwrap() {
        let (Some(along), Some(across)) = (
            strip["strain_along"].as_f64(),
            strip["strain_across"].as_f64(),
        ) else {
            continue;
        };
        let tension = number(strip, "prestress_N_per_m");
        let law = FilmLaw {
            stiffness: number(strip, "stiffness_N_per_m"),
            poisson: number(strip, "poisson"),
            tension,
            left_over: NOTHING,
        };
        let rest: Vec<_> = flat
            .points
            .iter()
            .map(|p| nalgebra::Point3::new(p.x, p.y, 0.0))
            .collect();
        let moved: Vec<_> = rest
            .iter()
            .map(|p| nalgebra::Point3::new(p.x * (1.0 + along), p.y * (1.0 + across), 0.0))
            .collect();
        // All nodes are fixed where they were moved to: what the triangles pull is the law's alone.
        let fixed = vec![true; rest.len()];
        let parts = hulltent::loads::Parts {
            points: &rest,
            triangles: &flat.triangles,
            fixed: &fixed,
            caps: &[],
            cables: &[],
            supports: &[],
        };
        let film = hulltent::loads::ElasticFilm::new(parts, law);
        for (pulls, state) in film.pulls(&moved) {
            // Per start width there, per unstressed width here: half a per cent apart where the film is tight.
            let room = 0.006 * pulls[0].max(1.0) + 0.006 * tension;
            assert!(
                (pulls[0] - number(strip, "N_along_N_per_m")).abs() < room,
                "{strip} {pulls:?}"
            );
            assert!(
                (pulls[1] - number(strip, "N_across_N_per_m")).abs() < room,
                "{strip} {pulls:?}"
            );
            match strip["state"].as_str() {
                Some("taut") => assert_eq!(state, State::Taut),
                Some("wrinkled") => assert_eq!(state, State::Wrinkled),
                Some("slack") => assert_eq!(state, State::Slack),
                _ => {}
            }
            seen += 1;
        }
    }
    assert!(seen > 200, "{seen}");
}
