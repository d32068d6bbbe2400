//! Binary STL of a mesh.

use crate::geom::mesh::Mesh;
use nalgebra::Vector3;
use stl_io::{Normal, Triangle, Vertex};

/// What the header says; the rest of its 80 bytes is zero, so that the same mesh gives the same bytes.
/// It must not begin with "solid", which would pass for a text file.
const HEADER: &[u8] = b"hulltent";

/// The mesh as binary STL: an 80-byte header, the count of triangles, 50 bytes for each.
///
/// Coordinates are written as they are, in single precision; x, y and z keep their meaning. Normals
/// follow the order of the corners and have unit length, or none for a triangle without area.
///
/// # Units
/// STL has none; meters go in and come out.
pub fn stl(mesh: &Mesh) -> Vec<u8> {
    let triangles: Vec<Triangle> = mesh
        .triangles
        .iter()
        .map(|corners| {
            let [a, b, c] = corners.map(|v| mesh.vertices[v as usize]);
            let normal = (b - a).cross(&(c - a));
            let normal = normal.try_normalize(0.0).unwrap_or_else(Vector3::zeros);
            Triangle {
                normal: Normal::new(normal.map(|x| x as f32).into()),
                vertices: [a, b, c].map(|p| Vertex::new(p.coords.map(|x| x as f32).into())),
            }
        })
        .collect();
    let mut bytes = Vec::with_capacity(84 + 50 * triangles.len());
    // Writing into memory does not fail; the type of the writer only allows for files.
    if stl_io::write_stl(&mut bytes, triangles.iter()).is_ok() {
        for (byte, &named) in bytes.iter_mut().zip(HEADER) {
            *byte = named;
        }
    }
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Point3;
    use std::io::Cursor;

    fn check(vertices: &[[f64; 3]], triangles: &[[u32; 3]], normals: &[[f32; 3]], source: &str) {
        let mesh = Mesh {
            vertices: vertices.iter().map(|&p| Point3::from(p)).collect(),
            triangles: triangles.to_vec(),
        };
        let bytes = stl(&mesh);
        assert_eq!(bytes.len(), 84 + 50 * triangles.len(), "{source}");
        assert_eq!(&bytes[..8], b"hulltent", "{source}");
        assert!(bytes[8..80].iter().all(|&b| b == 0), "{source}");
        assert_eq!(bytes, stl(&mesh.clone()), "same mesh, same bytes: {source}");

        let mut reader = Cursor::new(bytes);
        let read: Vec<_> = stl_io::create_stl_reader(&mut reader)
            .unwrap()
            .map(|t| t.unwrap())
            .collect();
        assert_eq!(read.len(), triangles.len(), "{source}");
        for ((read, corners), normal) in read.iter().zip(triangles).zip(normals) {
            let want = corners.map(|v| vertices[v as usize].map(|x| x as f32));
            assert_eq!(read.vertices.map(|v| v.0), want, "{source}");
            assert_eq!(read.normal.0, *normal, "{source}");
        }
    }

    #[test]
    fn writes_what_a_reader_reads() {
        check(
            &[],
            &[],
            &[],
            "nothing: 84 bytes, by the layout of the format",
        );
        check(
            &[[0.0, 0.0, 0.1], [2.0, 0.0, 0.1], [0.0, 3.0, 0.1]],
            &[[0, 1, 2], [0, 2, 1], [1, 1, 2]],
            &[[0.0, 0.0, 1.0], [0.0, 0.0, -1.0], [0.0; 3]],
            "right-hand rule; no normal without area",
        );
        check(
            &[[0.0; 3], [0.0, 4.0, 3.0], [-1.0, 0.0, 0.0]],
            &[[0, 1, 2]],
            &[[0.0, -0.6, 0.8]],
            "3-4-5 slope",
        );
    }
}
