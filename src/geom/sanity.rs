//! The check that a mesh is a closed, oriented body.

use nalgebra::Point3;

use crate::geom::mesh::{Mesh, thickness};

/// Height of a triangle over its longest edge below which it counts as having no area:
/// far above rounding (1e-16), far below any triangle a shape is drawn with.
pub const SLIVER: f64 = 1e-9;

/// Why a mesh is not a closed, oriented body.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MeshFault {
    /// There are no triangles.
    #[error("the mesh has no triangles")]
    Empty,
    /// A triangle names a vertex that does not exist.
    #[error("triangle {triangle} names vertex {index}, which does not exist")]
    IndexOutOfRange {
        /// Number of the triangle.
        triangle: usize,
        /// The index that it names.
        index: u32,
    },
    /// A coordinate is infinite or not a number.
    #[error("vertex {vertex} is not finite")]
    NotFinite {
        /// Number of the vertex.
        vertex: usize,
    },
    /// A triangle has no area.
    #[error("triangle {triangle} has no area")]
    ZeroArea {
        /// Number of the triangle.
        triangle: usize,
    },
    /// An edge has only one triangle: there is a hole.
    #[error("the edge between vertices {from} and {to} has one triangle only")]
    OpenEdge {
        /// Lower end of the edge.
        from: u32,
        /// Higher end of the edge.
        to: u32,
    },
    /// More than two triangles meet at an edge.
    #[error("{count} triangles meet at the edge between vertices {from} and {to}")]
    CrowdedEdge {
        /// Lower end of the edge.
        from: u32,
        /// Higher end of the edge.
        to: u32,
        /// How many triangles meet there.
        count: usize,
    },
    /// Two neighbors turn opposite ways.
    #[error("the triangles at the edge between vertices {from} and {to} turn opposite ways")]
    Flipped {
        /// Lower end of the edge.
        from: u32,
        /// Higher end of the edge.
        to: u32,
    },
    /// The whole mesh is inside out or encloses nothing.
    #[error("the enclosed volume {volume} m3 is not positive")]
    NotPositive {
        /// The signed volume (m3).
        volume: f64,
    },
}

impl Mesh {
    /// Whether the mesh is a closed, oriented body: indices in range, coordinates finite, no
    /// triangle without area, each edge shared by exactly two triangles that run along it in
    /// opposite directions, positive volume. Crossing is another question: see `crossings`.
    ///
    /// # Errors
    /// The first fault found.
    pub fn sanity_check(&self) -> Result<(), MeshFault> {
        if self.triangles.is_empty() {
            return Err(MeshFault::Empty);
        }
        self.check_indices()?;
        let thin = self
            .corners()
            .position(|corners| thickness(&corners) <= SLIVER);
        if let Some(triangle) = thin {
            return Err(MeshFault::ZeroArea { triangle });
        }
        self.check_edges()?;
        let volume = self.volume();
        if volume > 0.0 {
            Ok(())
        } else {
            Err(MeshFault::NotPositive { volume })
        }
    }

    /// Whether all indices are in range and all coordinates finite.
    ///
    /// # Errors
    /// The first index or vertex that is not.
    pub fn check_indices(&self) -> Result<(), MeshFault> {
        let unfinite = |p: &Point3<f64>| !p.coords.iter().all(|c| c.is_finite());
        if let Some(vertex) = self.vertices.iter().position(unfinite) {
            return Err(MeshFault::NotFinite { vertex });
        }
        for (triangle, corners) in self.triangles.iter().enumerate() {
            if let Some(&index) = corners
                .iter()
                .find(|&&at| at as usize >= self.vertices.len())
            {
                return Err(MeshFault::IndexOutOfRange { triangle, index });
            }
        }
        Ok(())
    }

    fn check_edges(&self) -> Result<(), MeshFault> {
        let mut edges: Vec<(u32, u32, bool)> = self
            .triangles
            .iter()
            .flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)])
            .map(|(from, to)| (from.min(to), from.max(to), from < to))
            .collect();
        edges.sort_unstable();
        for group in edges.chunk_by(|e, f| (e.0, e.1) == (f.0, f.1)) {
            match *group {
                [(_, _, false), (_, _, true)] => {}
                [(from, to, _)] => return Err(MeshFault::OpenEdge { from, to }),
                [(from, to, _), _] => return Err(MeshFault::Flipped { from, to }),
                [(from, to, _), ..] => {
                    return Err(MeshFault::CrowdedEdge {
                        from,
                        to,
                        count: group.len(),
                    });
                }
                [] => {}
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit_cube() -> Mesh {
        Mesh::cuboid(Point3::origin(), Point3::new(1.0, 1.0, 1.0))
    }

    #[test]
    fn broken_twins_are_found() {
        let broken = |change: fn(&mut Mesh)| {
            let mut mesh = unit_cube();
            change(&mut mesh);
            mesh.sanity_check()
        };
        assert_eq!(broken(|_| ()), Ok(()));
        assert!(matches!(
            broken(|m| m.triangles[3].swap(0, 1)),
            Err(MeshFault::Flipped { .. })
        ));
        assert!(matches!(
            broken(|m| m.triangles.truncate(11)),
            Err(MeshFault::OpenEdge { .. })
        ));
        let twice = broken(|m| m.triangles.push(m.triangles[0]));
        assert!(matches!(
            twice,
            Err(MeshFault::CrowdedEdge { count: 3, .. })
        ));
        let far = broken(|m| m.triangles[2][1] = 99);
        assert_eq!(
            far,
            Err(MeshFault::IndexOutOfRange {
                triangle: 2,
                index: 99
            })
        );
        let lost = broken(|m| m.vertices[4].y = f64::NAN);
        assert_eq!(lost, Err(MeshFault::NotFinite { vertex: 4 }));
        let flat = broken(|m| m.vertices.iter_mut().for_each(|p| p.z = 0.0));
        assert!(matches!(flat, Err(MeshFault::ZeroArea { .. })));
        let inside_out = broken(|m| m.triangles.iter_mut().for_each(|t| t.swap(0, 1)));
        assert!(matches!(inside_out, Err(MeshFault::NotPositive { volume }) if volume < 0.0));
        assert_eq!(Mesh::default().sanity_check(), Err(MeshFault::Empty));
        assert!(Mesh::default().triangle(0)[0].x.is_nan());
    }
}
