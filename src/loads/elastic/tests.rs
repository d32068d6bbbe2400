use super::*;
use crate::num::bounded::Status;
use crate::num::newton::Smooth;

const LAW: FilmLaw = FilmLaw {
    stiffness: 35_600.0,
    poisson: 0.4,
    tension: 100.0,
    left_over: FilmLaw::LEFT_OVER,
};

/// Two by two squares, 0.4 m each, bent like a saddle, with a strap over the middle and a support under it.
fn saddle() -> ElasticFilm {
    let mut points = Vec::new();
    for j in 0..5 {
        for i in 0..5 {
            let (x, y) = (
                0.2 * f64::from(i),
                0.2 * f64::from(j) + 0.01 * f64::from(i * j),
            );
            points.push(Point3::new(x, y, 0.3 * (x - 0.4) * (y - 0.3)));
        }
    }
    let mut triangles = Vec::new();
    for j in 0..4u32 {
        for i in 0..4u32 {
            let a = 5 * j + i;
            triangles.extend([[a, a + 1, a + 6], [a, a + 6, a + 5]]);
        }
    }
    let fixed: Vec<bool> = (0..25)
        .map(|k| k % 5 == 0 || k % 5 == 4 || !(5..20).contains(&k))
        .collect();
    let cable = Cable {
        nodes: vec![10, 11, 12, 13, 14],
        stiffness: 40_000.0,
        tension: 400.0,
        lead: 0.3,
    };
    let support = Support {
        node: 12,
        height: 0.05,
        stiffness: 20_000.0,
    };
    let grip = Grip {
        stiffness: [3000.0, 500.0],
    };
    let parts = Parts {
        points: &points,
        triangles: &triangles,
        fixed: &fixed,
        caps: &[(vec![12, 13, 18], grip)],
        cables: &[cable],
        supports: &[support],
    };
    ElasticFilm::new(parts, LAW)
}

fn loads(film: &ElasticFilm, down: f64) -> Vec<Vector3<f64>> {
    vec![Vector3::new(0.0, 0.0, -down); film.points().len()]
}

#[test]
fn gradient_and_hessian_are_the_derivatives_of_the_energy() {
    let film = saddle();
    let load = loads(&film, 3.0);
    let loaded = Loaded {
        film: &film,
        load: &load,
    };
    let mut x = film.unknowns_of(&film.points);
    // Taut in some places, wrinkled in others.
    for (k, x) in x.iter_mut().enumerate() {
        *x += 0.01 * ((k * k) as f64).sin();
    }
    let size = x.len();
    let (mut gradient, mut other) = (vec![0.0; size], vec![0.0; size]);
    let mut hessian = film.pattern.clone();
    let mut terms = Vec::new();
    loaded.derivatives(&x, &mut gradient, &mut hessian, &mut terms);
    let (kept, kept_terms) = (hessian.clone(), terms.clone());
    let step = 1e-7;
    for k in 0..size {
        let mut moved = x.clone();
        moved[k] += step;
        let up = loaded.derivatives(&moved, &mut other, &mut hessian, &mut terms);
        let plus = other.clone();
        moved[k] -= 2.0 * step;
        let down = loaded.derivatives(&moved, &mut other, &mut hessian, &mut terms);
        let slope = (up - down) / (2.0 * step);
        assert!(
            (slope - gradient[k]).abs() < 1e-4 * (1.0 + slope.abs()),
            "{k}"
        );
        let mut unit = vec![0.0; size];
        unit[k] = 1.0;
        let mut row = vec![0.0; size];
        kept.multiply(&unit, &mut row);
        for term in &kept_terms {
            let along: f64 = term
                .entries
                .iter()
                .map(|(i, v)| v * unit[*i as usize])
                .sum();
            for (i, v) in &term.entries {
                row[*i as usize] += term.weight * along * v;
            }
        }
        for l in 0..size {
            let wanted = (plus[l] - other[l]) / (2.0 * step);
            assert!(
                (row[l] - wanted).abs() < 2e-3 * (1.0 + wanted.abs()),
                "{k} {l}: {} {wanted}",
                row[l]
            );
        }
    }
}

#[test]
fn forces_balance_and_energy_falls() {
    for down in [0.1, 5.0, 60.0] {
        let mut film = saddle();
        let load = loads(&film, down);
        let shape = film.solve(&load, None);
        assert_eq!(shape.status, Status::Converged);
        let held: Vector3<f64> = shape.reactions.iter().sum();
        let total: Vector3<f64> = load.iter().sum();
        let push: f64 = shape.pushes.iter().sum();
        let grips: Vector3<f64> = shape.grips.iter().sum();
        let left = held + total + grips + Vector3::z() * push;
        assert!(
            left.norm() < 1e-6 * total.norm().max(1.0),
            "{down}: {left:?}"
        );
        let rounding = 1e-9;
        assert!(
            shape
                .energies
                .windows(2)
                .all(|pair| pair[1] <= pair[0] + rounding)
        );
    }
}

#[test]
fn the_answer_does_not_depend_on_the_start() {
    let mut film = saddle();
    let heavy = film.solve(&loads(&film, 60.0), None).points;
    let load = loads(&film, 8.0);
    let (straight, back) = (film.solve(&load, None), film.solve(&load, Some(&heavy)));
    let apart = straight.points.iter().zip(&back.points);
    let most = apart.map(|(a, b)| (a - b).norm()).fold(0.0, f64::max);
    assert!(most < 1e-6, "{most}");
}
