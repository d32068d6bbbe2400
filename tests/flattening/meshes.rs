//! Meshes by formula, the same as in tests/references/flattening.py, vertex by vertex.

use hulltent::geom::mesh::Mesh;
use nalgebra::{Point3, center};
use std::collections::BTreeMap;
use std::f64::consts::{FRAC_PI_2, TAU};

/// Widest latitude of the strip on the ball, rad.
pub const BAND: f64 = 1.2;

/// Rise of the saddle's slope athwart for each meter along, 1/m.
pub const TWIST: f64 = 0.25;

/// Slope athwart in the middle of the saddle.
pub const FALL: f64 = -0.6;

/// u forward, v to port; vertex (i, j) at i (nv + 1) + j.
pub fn grid([nu, nv]: [u32; 2], place: impl Fn(f64, f64) -> [f64; 3]) -> Mesh {
    let mut mesh = Mesh::default();
    for i in 0..=nu {
        for j in 0..=nv {
            let at = place(f64::from(i) / f64::from(nu), f64::from(j) / f64::from(nv));
            mesh.vertices.push(Point3::from(at));
        }
    }
    for i in 0..nu {
        for j in 0..nv {
            let (p, q) = (i * (nv + 1) + j, (i + 1) * (nv + 1) + j);
            mesh.triangles.extend([[p, q, q + 1], [p, q + 1, p + 1]]);
        }
    }
    mesh
}

/// Pole first, then ring by ring; `place` of the part of the way to the rim, and the angle.
pub fn polar(rings: u32, sectors: u32, place: impl Fn(f64, f64) -> [f64; 3]) -> Mesh {
    let mut mesh = Mesh::default();
    mesh.vertices.push(Point3::from(place(0.0, 0.0)));
    for i in 1..=rings {
        for j in 0..sectors {
            let angle = TAU * f64::from(j) / f64::from(sectors);
            let at = place(f64::from(i) / f64::from(rings), angle);
            mesh.vertices.push(Point3::from(at));
        }
    }
    for j in 0..sectors {
        mesh.triangles.push([0, 1 + j, 1 + (j + 1) % sectors]);
    }
    for i in 1..rings {
        for j in 0..sectors {
            let ring = 1 + (i - 1) * sectors;
            let (p, q) = (ring + j, ring + (j + 1) % sectors);
            let (s, r) = (p + sectors, q + sectors);
            mesh.triangles.extend([[p, s, r], [p, r, q]]);
        }
    }
    mesh
}

/// Each triangle into four at the middles of its edges, new vertices in the order in which they are met.
fn split(mut mesh: Mesh, times: usize) -> Mesh {
    for _ in 0..times {
        let mut middles: BTreeMap<[u32; 2], u32> = BTreeMap::new();
        let mut finer = Mesh {
            vertices: mesh.vertices.clone(),
            triangles: Vec::new(),
        };
        for &[a, b, c] in &mesh.triangles {
            let mut middle = |p: u32, q: u32| {
                *middles.entry([p.min(q), p.max(q)]).or_insert_with(|| {
                    let [from, to] = [p, q].map(|at| finer.vertices[at as usize]);
                    finer.vertices.push(center(&from, &to));
                    u32::try_from(finer.vertices.len() - 1).unwrap()
                })
            };
            let (d, e, f) = (middle(a, b), middle(b, c), middle(c, a));
            finer
                .triangles
                .extend([[a, d, f], [d, b, e], [f, e, c], [d, e, f]]);
        }
        mesh = finer;
    }
    mesh
}

/// Cap of the unit ball.
pub fn cap(half_angle: f64, rings: u32, sectors: u32) -> Mesh {
    let a = half_angle.to_radians();
    polar(rings, sectors, |part, angle| {
        let (sin, cos) = (a * part).sin_cos();
        [sin * angle.cos(), sin * angle.sin(), cos]
    })
}

/// Cone of height 1 and radius 1.
pub fn cone(rings: u32, sectors: u32) -> Mesh {
    polar(rings, sectors, |part, angle| {
        [part * angle.cos(), part * angle.sin(), 1.0 - part]
    })
}

/// Square pyramid of base 2 and height 1.
pub fn pyramid(times: usize) -> Mesh {
    let around = [
        [1.0, 0.0],
        [1.0, 1.0],
        [0.0, 1.0],
        [-1.0, 1.0],
        [-1.0, 0.0],
        [-1.0, -1.0],
        [0.0, -1.0],
        [1.0, -1.0],
    ];
    let mut mesh = Mesh::default();
    mesh.vertices.push(Point3::new(0.0, 0.0, 1.0));
    mesh.vertices
        .extend(around.map(|[x, y]| Point3::new(x, y, 0.0)));
    mesh.triangles = (0..8).map(|k| [0, 1 + k, 1 + (k + 1) % 8]).collect();
    split(mesh, times)
}

/// Roof of height 1 over 4 by 2, ridge from x = 1 to 3, two hips at either end.
pub fn hip_roof(times: usize) -> Mesh {
    let vertices = [
        [1.0, 0.0, 1.0],
        [3.0, 0.0, 1.0],
        [0.0, 0.0, 0.0],
        [0.0, -1.0, 0.0],
        [4.0, -1.0, 0.0],
        [4.0, 0.0, 0.0],
        [4.0, 1.0, 0.0],
        [0.0, 1.0, 0.0],
    ];
    let mesh = Mesh {
        vertices: vertices.into_iter().map(Point3::from).collect(),
        triangles: vec![
            [0, 2, 3],
            [0, 3, 4],
            [0, 4, 1],
            [1, 4, 5],
            [1, 5, 6],
            [1, 6, 7],
            [1, 7, 0],
            [0, 7, 2],
        ],
    };
    split(mesh, times)
}

/// Port side of a tent with a level ridge and negative curvature, ruled athwart: a hyperbolic paraboloid.
pub fn saddle(cells: [u32; 2]) -> Mesh {
    grid(cells, |u, v| {
        let (x, y) = (3.0 * u, 1.5 * v);
        [x, y, 2.0 + FALL * y + TWIST * (x - 1.5) * y]
    })
}

/// Port side of a half cylinder of radius 1.
pub fn half_cylinder(cells: [u32; 2]) -> Mesh {
    grid(cells, |u, v| {
        let (sin, cos) = (FRAC_PI_2 * v).sin_cos();
        [2.0 * u, sin, cos]
    })
}

/// Unit ball from a great circle, as a ridge, down to port.
pub fn band(cells: [u32; 2]) -> Mesh {
    grid(cells, |u, v| {
        let (sin, cos) = (BAND * v).sin_cos();
        let along = 1.5 * u - 0.75;
        [cos * along.sin(), sin, cos * along.cos()]
    })
}

/// The mesh of a row of the library's results.
pub fn of_row(name: &str) -> Option<Mesh> {
    Some(match name {
        "cap 30" => cap(30.0, 12, 40),
        "cap 45" => cap(45.0, 12, 40),
        "cap 60" => cap(60.0, 12, 40),
        "cone" => cone(8, 40),
        "pyramid" => pyramid(3),
        "hip roof" => hip_roof(3),
        "saddle 12 x 6" => saddle([12, 6]),
        "saddle 24 x 12" => saddle([24, 12]),
        "half cylinder" => half_cylinder([10, 12]),
        "band" => band([20, 16]),
        _ => return None,
    })
}
