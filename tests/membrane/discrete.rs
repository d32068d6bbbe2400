//! The same triangles must give the same numbers as an independent program.

use crate::linear::Dirichlet;
use crate::measure::extrapolated;
use crate::sheet::{Sheet, contact_force, edge_force, grid, on_border};
use serde_json::Value;

/// Two independent methods agree to some 2e-9 in the fixtures' heights.
const HEIGHTS: f64 = 1e-8;

/// Least energy is flat about its minimum, so areas agree far better than heights.
const AREAS: f64 = 1e-12;

fn fixtures() -> Value {
    let text = include_str!("../references/membrane-fixtures.json");
    serde_json::from_str(text).expect("the fixture is JSON")
}

fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().expect("a list");
    list.iter().map(number).collect()
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// The fixtures' film: rim of the square at zero, a pad at half a meter about the middle.
fn pad(reach: f64) -> Sheet {
    let half = [1.0, 1.0];
    let border = on_border(half);
    grid(half, [8, 8]).fix(
        |p| border(p) || p.coords.amax() < reach,
        |p| if border(p) { 0.0 } else { 0.5 },
    )
}

/// How far the film is from a fixture: heights, area and forces.
fn misfit(sheet: &Sheet, fixture: &Value) -> [f64; 3] {
    let minimum = sheet.solve();
    let row = numbers(&fixture["z_row_j4"]);
    let diagonal = numbers(&fixture["z_diag"]);
    assert_eq!([row.len(), diagonal.len()], [9, 9]);
    let heights = (0..9)
        .flat_map(|i| [(9 * i + 4, row[i]), (10 * i, diagonal[i])])
        .map(|(node, want)| (minimum.z[node] - want).abs())
        .fold(0.0, f64::max);
    let border = on_border([1.0, 1.0]);
    let force = |rim: bool| -> f64 {
        (0..sheet.points.len())
            .filter(|node| sheet.fixed[*node] && border(sheet.points[*node]) == rim)
            .map(|node| minimum.gradient[node])
            .sum()
    };
    let forces = [
        force(false) - number(&fixture["pad_force_per_tension"]),
        force(true) - number(&fixture["rim_force"]),
    ];
    [
        heights,
        (minimum.energy - number(&fixture["area"])).abs(),
        forces[0].abs().max(forces[1].abs()),
    ]
}

#[test]
fn fixtures_on_given_triangles() {
    fn check(name: &str, reach: f64) {
        let got = misfit(&pad(reach), &fixtures()[name]);
        for (got, limit) in got.into_iter().zip([HEIGHTS, AREAS, HEIGHTS]) {
            assert!(got < limit, "{name}: {got:e} over {limit:e}");
        }
    }
    // references/membrane-fixtures.json; computed.
    check("F1_center_node", 0.1);
    check("F2_pad3x3", 0.3);
}

#[test]
fn a_pad_held_from_below_is_a_pad_fixed() {
    let sheet = pad(0.3);
    let border = on_border([1.0, 1.0]);
    let mut resting = grid([1.0, 1.0], [8, 8])
        .fix(&border, |_| 0.0)
        .rest_on(|p| (p.coords.amax() < 0.3).then_some(0.5));
    let (fixed, rested) = (sheet.solve(), resting.solve());
    let apart = fixed
        .z
        .iter()
        .zip(&rested.z)
        .map(|(a, b)| (a - b).abs())
        .fold(0.0, f64::max);
    assert!(apart < HEIGHTS, "{apart:e}");
    let want = number(&fixtures()["F2_pad3x3"]["pad_force_per_tension"]);
    assert!((contact_force(&rested) - want).abs() < HEIGHTS);
    assert!((edge_force(&resting, &rested) + want).abs() < HEIGHTS);

    // Force goes with tension, shape does not.
    resting.tension = 137.0;
    let tighter = resting.solve();
    assert!((contact_force(&tighter) - 137.0 * want).abs() < 137.0 * HEIGHTS);
    let moved = tighter
        .z
        .iter()
        .zip(&rested.z)
        .map(|(a, b)| (a - b).abs())
        .fold(0.0, f64::max);
    assert!(moved < HEIGHTS, "{moved:e}");
}

/// Twin that must fail: another diagonal in each cell is another film.
#[test]
fn other_triangles_do_not_fit() {
    let mut sheet = pad(0.3);
    for pair in sheet.triangles.chunks_mut(2) {
        let &mut [[a, b, c], [_, _, d]] = pair else {
            unreachable!("two triangles a cell");
        };
        pair.copy_from_slice(&[[a, b, d], [b, c, d]]);
    }
    let [heights, area, _] = misfit(&sheet, &fixtures()["F2_pad3x3"]);
    assert!(heights > 1e3 * HEIGHTS, "{heights:e}");
    // Mirrored triangles: the area cannot tell them apart, the diagonal's heights can.
    assert!(area < AREAS, "{area:e}");
}

#[test]
fn unit_load_on_a_square() {
    let fixture = &fixtures()["F5_square_pressure_P1"];
    let mut centers = Vec::new();
    for cells in [8_u32, 16, 32, 64] {
        let half = [0.5, 0.5];
        let sheet = grid(half, [cells, cells]).fix(on_border(half), |_| 0.0);
        let minimum = sheet.least(&Dirichlet::new(&sheet, 1.0));
        let center = minimum.z[sheet.node_at(0.0, 0.0)];
        // references/membrane-fixtures.json; computed.
        let want = number(&fixture[cells.to_string()]);
        assert!((center - want).abs() < 1e-9, "{cells} cells: {center}");
        centers.push(center);
    }
    // Timoshenko's torsion analogy (memory), computed: 0.0736714.
    let limit = extrapolated(&centers);
    assert!((limit - 0.073_671_4).abs() < 1e-7, "{limit}");
}

/// The film's own load is the linear one while it is small: w T / (q a^2) by the film.
#[test]
fn a_light_load_sags_as_the_linear_film() {
    let half = [0.5, 0.5];
    let mut sheet = grid(half, [32, 32]).fix(on_border(half), |_| 0.0);
    (sheet.tension, sheet.load) = (100.0, 0.1);
    let minimum = sheet.solve();
    let center = minimum.z[sheet.node_at(0.0, 0.0)];
    let want = number(&fixtures()["F5_square_pressure_P1"]["32"]);
    let got = -center * sheet.tension / sheet.load;
    assert!((got - want).abs() < 1e-6, "{got} for {want}");
}
