//! The one place where points change between nalgebra and the vectors of parry.

use nalgebra::{Point3, Vector3};
use parry3d_f64::bounding_volume::Aabb;
use parry3d_f64::math::Vector;
use parry3d_f64::shape::{TriMesh, TriMeshFlags};

use crate::geom::mesh::{Mesh, MeshFault};

/// A point as parry's vector.
pub fn to_vector(point: &Point3<f64>) -> Vector {
    Vector::new(point.x, point.y, point.z)
}

/// A direction as parry's vector.
pub fn to_direction(direction: &Vector3<f64>) -> Vector {
    Vector::new(direction.x, direction.y, direction.z)
}

/// parry's vector as a point.
pub fn to_point(vector: Vector) -> Point3<f64> {
    Point3::new(vector.x, vector.y, vector.z)
}

/// The upright box round some points.
pub fn bounding_box(points: &[Point3<f64>]) -> Aabb {
    let mut bounds = Aabb::new_invalid();
    for point in points {
        bounds.take_point(to_vector(point));
    }
    bounds
}

impl Mesh {
    /// The mesh as a shape for ray casts and closest points, as a bare surface.
    ///
    /// # Errors
    /// An empty mesh, an index out of range, a coordinate that is not finite.
    pub fn to_parry(&self) -> Result<TriMesh, MeshFault> {
        self.to_parry_with(TriMeshFlags::empty())
    }

    /// The same with parry's `ORIENTED` flag, so that it can tell inside from outside; for
    /// closed meshes.
    ///
    /// # Errors
    /// As `to_parry`.
    pub fn to_parry_solid(&self) -> Result<TriMesh, MeshFault> {
        self.to_parry_with(TriMeshFlags::ORIENTED)
    }

    fn to_parry_with(&self, flags: TriMeshFlags) -> Result<TriMesh, MeshFault> {
        self.check_indices()?;
        let points = self.vertices.iter().map(to_vector).collect();
        TriMesh::with_flags(points, self.triangles.clone(), flags).map_err(|_| MeshFault::Empty)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use parry3d_f64::query::{PointQuery, Ray, RayCast};

    #[test]
    fn parry_sees_the_same_body() {
        let unit = Mesh::cuboid(Point3::origin(), Point3::new(1.0, 1.0, 1.0));
        let solid = unit.to_parry_solid().unwrap();
        // A ray straight down from 3 over a unit cube meets its top after 2.
        let ray = Ray::new(Vector::new(0.4, 0.3, 3.0), Vector::new(0.0, 0.0, -1.0));
        let hit = solid.cast_local_ray(&ray, 10.0, false).unwrap();
        assert!((hit - 2.0).abs() < 1e-12);
        assert!(
            solid
                .project_local_point(Vector::new(0.5, 0.4, 0.9), false)
                .is_inside
        );
        assert!(
            !solid
                .project_local_point(Vector::new(0.5, 0.4, 1.1), false)
                .is_inside
        );
        let down = Vector3::new(0.0, 0.0, -1.0);
        assert_eq!(to_direction(&down), to_vector(&Point3::from(down)));
        assert_eq!(
            to_point(Vector::new(1.0, 2.0, 3.0)),
            Point3::new(1.0, 2.0, 3.0)
        );
    }

    #[test]
    fn a_broken_mesh_is_refused() {
        assert!(Mesh::default().to_parry().is_err());
        let broken = Mesh {
            vertices: vec![Point3::origin()],
            triangles: vec![[0, 1, 2]],
        };
        assert_eq!(
            broken.to_parry().map(|_| ()),
            Err(MeshFault::IndexOutOfRange {
                triangle: 0,
                index: 1
            })
        );
    }
}
