//! Bundles of straight lines: from a ridge at right angles to port, or from a pole in every direction.

use hulltent::geom::geodesic::{Walk, Walker};
use hulltent::geom::mesh::Mesh;
use nalgebra::{Point3, Rotation3, Unit, Vector3};

/// Longer than any line over the meshes here, m.
pub const FAR: f64 = 10.0;

/// Vertices nearer to the ridge plane than this are on the ridge, m: meshes are by formula, up to rounding.
const ON_RIDGE: f64 = 1e-12;

/// A bundle, by the place of each line: its distance along the ridge, m, or its angle about the pole, rad.
pub struct Bundle<'a> {
    walker: Walker<'a>,
    pieces: Vec<Piece>,
    /// Greatest place.
    pub reach: f64,
    /// Turn of each line out of the right angle, rad; for twins that must fail.
    pub skew: f64,
}

/// Where lines start.
struct Piece {
    triangle: u32,
    start: f64,
    reach: f64,
    from: Point3<f64>,
    /// Along the ridge, or from the pole along the triangle's first edge.
    along: Vector3<f64>,
    normal: Vector3<f64>,
    pole: bool,
}

impl<'a> Bundle<'a> {
    /// Lines to port from the edges in the plane y = 0, from aft.
    pub fn of_ridge(mesh: &'a Mesh) -> Bundle<'a> {
        let mut pieces = Vec::new();
        for (triangle, corners) in (0..).zip(mesh.corners()) {
            for k in 0..3 {
                let (a, b, c) = (corners[k], corners[(k + 1) % 3], corners[(k + 2) % 3]);
                if a.y.abs() < ON_RIDGE && b.y.abs() < ON_RIDGE && c.y > ON_RIDGE {
                    pieces.push(Piece {
                        triangle,
                        start: 0.0,
                        reach: (b - a).norm(),
                        from: a,
                        along: (b - a).normalize(),
                        normal: (b - a).cross(&(c - a)).normalize(),
                        pole: false,
                    });
                }
            }
        }
        pieces.sort_by(|a, b| a.from.x.total_cmp(&b.from.x));
        Bundle::new(mesh, pieces)
    }

    /// Lines from vertex 0, about which the first triangles stand in order.
    pub fn of_pole(mesh: &'a Mesh) -> Bundle<'a> {
        let pieces = (0u32..)
            .zip(&mesh.triangles)
            .zip(mesh.corners())
            .filter(|((_, nodes), _)| nodes[0] == 0)
            .map(|((triangle, _), [pole, a, b])| Piece {
                triangle,
                start: 0.0,
                reach: (a - pole).angle(&(b - pole)),
                from: pole,
                along: (a - pole).normalize(),
                normal: (a - pole).cross(&(b - pole)).normalize(),
                pole: true,
            })
            .collect();
        Bundle::new(mesh, pieces)
    }

    fn new(mesh: &'a Mesh, mut pieces: Vec<Piece>) -> Bundle<'a> {
        let mut reach = 0.0;
        for piece in &mut pieces {
            piece.start = reach;
            reach += piece.reach;
        }
        Bundle {
            walker: Walker::new(mesh),
            pieces,
            reach,
            skew: 0.0,
        }
    }

    /// The line at a place.
    pub fn walk(&self, place: f64) -> Option<Walk> {
        let after = self.pieces.partition_point(|piece| piece.start <= place);
        let piece = self.pieces.get(after.checked_sub(1)?)?;
        let into = place - piece.start;
        let turned = |angle: f64| {
            Rotation3::from_axis_angle(&Unit::new_normalize(piece.normal), angle) * piece.along
        };
        let (from, heading) = if piece.pole {
            (piece.from, turned(into + self.skew))
        } else {
            let right_angle = std::f64::consts::FRAC_PI_2;
            (
                piece.from + piece.along * into,
                turned(right_angle + self.skew),
            )
        };
        self.walker.walk(piece.triangle, from, heading, FAR)
    }
}
