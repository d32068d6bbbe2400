//! What the open library found on the meshes: tests/references/flattening.json.

use crate::meshes::of_row;
use hulltent::geom::mesh::Mesh;
use nalgebra::{Point3, Vector3};
use serde::Deserialize;

/// All results.
#[derive(Deserialize)]
pub struct Library {
    pub rows: Vec<Row>,
}

/// Results on one mesh.
#[derive(Deserialize)]
pub struct Row {
    pub name: String,
    vertices: usize,
    triangles: usize,
    area: f64,
    check: f64,
    pub lengths: Lengths,
    pub flat: Flat,
}

/// Exact distances.
#[derive(Deserialize)]
pub struct Lengths {
    /// Longest piece between points of the source line, m; nothing for a pole.
    pub source_piece: f64,
    pub targets: Vec<Target>,
}

/// A point of the rim and its distance from ridge or pole, m.
#[derive(Deserialize)]
pub struct Target {
    pub point: [f64; 3],
    pub distance: f64,
}

/// Flat sheets.
#[derive(Deserialize)]
pub struct Flat {
    pub mesh_area: f64,
    pub lscm: Sheet,
    pub arap: Sheet,
    /// Angle that the sheet fills at the top, deg.
    pub sector: Option<f64>,
}

/// One flat sheet: see tests/references/flattening.py.
#[derive(Deserialize)]
pub struct Sheet {
    pub area: f64,
    pub energy: f64,
    /// Sum over triangles of area (s1 - 1) (s2 - 1).
    pub product: f64,
    pub least_scale: f64,
    pub greatest_scale: f64,
    pub folded_triangles: usize,
}

/// Sums of the same numbers in another order, and sines of another library, differ by less than this part.
const SAME: f64 = 1e-12;

/// The library's results, each with the mesh, which is seen to be the same.
pub fn rows() -> Vec<(Row, Mesh)> {
    let library: Library =
        serde_json::from_str(include_str!("../references/flattening.json")).unwrap();
    library
        .rows
        .into_iter()
        .map(|row| {
            let mesh = of_row(&row.name).expect("a mesh of that name");
            assert_eq!(mesh.vertices.len(), row.vertices, "{}", row.name);
            assert_eq!(mesh.triangles.len(), row.triangles, "{}", row.name);
            assert!((mesh.area() / row.area - 1.0).abs() < SAME, "{}", row.name);
            let weights = || (1..).map(f64::from);
            let sum: f64 = weights()
                .zip(&mesh.vertices)
                .map(|(weight, p)| weight * p.coords.dot(&Vector3::new(1.0, 2.0, 3.0)))
                .sum();
            let all: f64 = weights().take(mesh.vertices.len()).sum();
            assert!((sum / all - row.check).abs() < SAME, "{}", row.name);
            (row, mesh)
        })
        .collect()
}

impl Target {
    pub fn at(&self) -> Point3<f64> {
        Point3::from(self.point)
    }
}
