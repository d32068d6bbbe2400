//! The film of a plan as others see it: read back from the STL that is handed out.

#![allow(
    dead_code,
    reason = "each test that includes this file uses a part of it"
)]

use hulltent::export::cover_stl;
use hulltent::plan::Plan;
use nalgebra::Point3;
use parry3d_f64::math::Vector;
use parry3d_f64::query::{PointQuery, Ray, RayCast};
use parry3d_f64::shape::TriMesh;
use std::io::Cursor;

/// Over anything that stands on a boat, m.
const SKY: f64 = 100.0;

/// Far under any cell, far over single precision, m.
const BESIDE: f64 = 3e-6;

/// The film.
pub struct Film {
    /// Corners, those at one place joined, m.
    pub points: Vec<Point3<f64>>,
    /// Three corners for each triangle.
    pub triangles: Vec<[u32; 3]>,
    shape: TriMesh,
}

impl Film {
    /// Writes the film of a plan and reads it back.
    pub fn of(plan: &Plan) -> Film {
        let mesh = stl_io::read_stl(&mut Cursor::new(cover_stl(plan))).unwrap();
        let points: Vec<Point3<f64>> = mesh
            .vertices
            .iter()
            .map(|vertex| Point3::from(vertex.0.map(f64::from)))
            .collect();
        let triangles: Vec<[u32; 3]> = mesh
            .faces
            .iter()
            .map(|face| face.vertices.map(|corner| u32::try_from(corner).unwrap()))
            .collect();
        let corners = points.iter().map(|p| Vector::new(p.x, p.y, p.z)).collect();
        Film {
            shape: TriMesh::new(corners, triangles.clone()).unwrap(),
            points,
            triangles,
        }
    }

    /// How far a point is from it, m.
    pub fn distance(&self, p: &Point3<f64>) -> f64 {
        self.shape
            .distance_to_local_point(Vector::new(p.x, p.y, p.z), true)
    }

    /// Its height at a place of the plan, by a ray from above; `None` outside it. Rays just beside it are sent
    /// too, since one along an edge of the mesh may slip through.
    pub fn height(&self, station: f64, offset: f64) -> Option<f64> {
        [
            (0.0, 0.0),
            (BESIDE, BESIDE),
            (-BESIDE, -BESIDE),
            (BESIDE, -BESIDE),
            (-BESIDE, BESIDE),
        ]
        .into_iter()
        .find_map(|(dx, dy)| {
            let from = Vector::new(station + dx, offset + dy, SKY);
            let ray = Ray::new(from, Vector::new(0.0, 0.0, -1.0));
            self.shape.cast_local_ray(&ray, 2.0 * SKY, false)
        })
        .map(|fall| SKY - fall)
    }
}
