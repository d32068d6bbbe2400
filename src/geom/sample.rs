//! Heights over the plan: of a triangulated field, and of the upper side of a closed mesh.

use super::mesh::Mesh;
use nalgebra::{Point2, Point3, Vector2};

/// A height field with its triangles sorted into square buckets.
pub struct HeightField<'a> {
    mesh: &'a Mesh,
    grid: Grid,
}

/// A place on a height field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FieldPlace {
    /// Triangle that lies there.
    pub triangle: u32,
    /// How much each of its corners counts; they add up to one.
    pub weights: [f64; 3],
}

/// A point this far outside a triangle, as a part of its size, still takes its height: rounding.
const OUTSIDE: f64 = 1e-9;

impl<'a> HeightField<'a> {
    /// Sorts a mesh whose triangles do not overlap in plan.
    pub fn new(mesh: &'a Mesh) -> HeightField<'a> {
        HeightField {
            mesh,
            grid: Grid::new(mesh),
        }
    }

    /// The triangle over a point of the plan; `None` beside the mesh.
    pub fn place(&self, p: Point2<f64>) -> Option<FieldPlace> {
        self.grid.bucket(p).iter().find_map(|triangle| {
            let [a, b, c] = self.mesh.triangle(*triangle as usize).map(|v| v.xy());
            let whole = (b - a).perp(&(c - a));
            let part = |u: Point2<f64>, v: Point2<f64>| (u - p).perp(&(v - p)) / whole;
            let weights = [part(b, c), part(c, a), part(a, b)];
            weights
                .iter()
                .all(|weight| *weight >= -OUTSIDE)
                .then_some(FieldPlace {
                    triangle: *triangle,
                    weights,
                })
        })
    }

    /// The height over a point of the plan; `None` beside the mesh.
    pub fn at(&self, p: Point2<f64>) -> Option<f64> {
        let place = self.place(p)?;
        let corners = self.mesh.triangle(place.triangle as usize);
        Some(
            corners
                .iter()
                .zip(place.weights)
                .map(|(corner, weight)| weight * corner.z)
                .sum(),
        )
    }
}

/// The upper side of a closed mesh as heights over the plan.
#[derive(Debug, Clone)]
pub struct UpperSide {
    /// The triangles that face up.
    mesh: Mesh,
    grid: Grid,
}

/// A triangle whose normal rises less than this part of its length is upright, and gives no height.
const UPRIGHT: f64 = 1e-9;

impl UpperSide {
    /// Takes the triangles of a mesh that face up.
    pub fn of(mesh: &Mesh) -> UpperSide {
        let faces_up = |triangle: &&[u32; 3]| {
            let [a, b, c] =
                triangle.map(|v| mesh.vertices.get(v as usize).copied().unwrap_or_default());
            let normal = (b - a).cross(&(c - a));
            normal.z > UPRIGHT * normal.norm()
        };
        let mesh = Mesh {
            vertices: mesh.vertices.clone(),
            triangles: mesh.triangles.iter().filter(faces_up).copied().collect(),
        };
        UpperSide {
            grid: Grid::new(&mesh),
            mesh,
        }
    }

    /// The greatest height over a point of the plan; `None` beside the mesh.
    ///
    /// # Units
    /// Meters.
    pub fn at(&self, p: Point2<f64>) -> Option<f64> {
        self.grid
            .bucket(p)
            .iter()
            .filter_map(|triangle| {
                let [a, b, c] = self.mesh.triangle(*triangle as usize);
                let beside = |u: Point3<f64>, v: Point3<f64>| {
                    let edge = v.xy() - u.xy();
                    edge.perp(&(p - u.xy())) < -NEAR * edge.norm()
                };
                if beside(a, b) || beside(b, c) || beside(c, a) {
                    return None;
                }
                let normal = (b - a).cross(&(c - a));
                let drop = normal.x * (p.x - a.x) + normal.y * (p.y - a.y);
                let z = a.z - drop / normal.z;
                // Just beside a steep triangle its plane runs on upward: the triangle itself does not.
                Some(z.clamp(a.z.min(b.z).min(c.z), a.z.max(b.z).max(c.z)))
            })
            .reduce(f64::max)
    }
}

/// A point this near to a triangle in plan still counts as on it, m: a node that lies on a rim must not slip off it
/// by rounding.
const NEAR: f64 = 1e-7;

/// Triangles of a mesh sorted into square buckets by where they lie in plan.
#[derive(Debug, Clone)]
struct Grid {
    low: Point2<f64>,
    width: f64,
    columns: usize,
    rows: usize,
    /// Triangles whose bounding box meets each bucket, one bucket after the other.
    starts: Vec<u32>,
    members: Vec<u32>,
}

/// Triangles per bucket aimed at.
const PER_BUCKET: f64 = 2.0;

impl Grid {
    fn new(mesh: &Mesh) -> Grid {
        let (low, high) = mesh
            .bounds()
            .map_or((Point2::origin(), Point2::origin()), |(low, high)| {
                (low.xy(), high.xy())
            });
        let span = high - low;
        let area = (span.x * span.y).max(f64::MIN_POSITIVE);
        let width = (PER_BUCKET * area / mesh.triangles.len().max(1) as f64)
            .sqrt()
            .max(NEAR);
        let count = |span: f64| (span / width) as usize + 1;
        let mut grid = Grid {
            low,
            width,
            columns: count(span.x),
            rows: count(span.y),
            starts: Vec::new(),
            members: Vec::new(),
        };
        grid.sort(mesh);
        grid
    }

    fn cell(&self, p: Point2<f64>) -> (usize, usize) {
        let place = |value: f64, low: f64, count: usize| {
            (((value - low) / self.width).max(0.0) as usize).min(count - 1)
        };
        (
            place(p.x, self.low.x, self.columns),
            place(p.y, self.low.y, self.rows),
        )
    }

    fn sort(&mut self, mesh: &Mesh) {
        let near = Vector2::repeat(NEAR);
        let spans: Vec<[(usize, usize); 2]> = mesh
            .corners()
            .map(|[a, b, c]| {
                let (a, b, c) = (a.xy(), b.xy(), c.xy());
                [
                    self.cell(a.inf(&b).inf(&c) - near),
                    self.cell(a.sup(&b).sup(&c) + near),
                ]
            })
            .collect();
        let columns = self.columns;
        let buckets = |[low, high]: &[(usize, usize); 2]| {
            let (low, high) = (*low, *high);
            (low.1..=high.1).flat_map(move |row| (low.0..=high.0).map(move |c| row * columns + c))
        };
        let mut starts = vec![0u32; self.columns * self.rows + 1];
        for span in &spans {
            for bucket in buckets(span) {
                starts[bucket + 1] += 1;
            }
        }
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        let mut next = starts.clone();
        let mut members = vec![0u32; starts.last().copied().unwrap_or(0) as usize];
        for (triangle, span) in spans.iter().enumerate() {
            for bucket in buckets(span) {
                members[next[bucket] as usize] = triangle as u32;
                next[bucket] += 1;
            }
        }
        self.starts = starts;
        self.members = members;
    }

    /// Triangles that may lie over a point of the plan.
    fn bucket(&self, p: Point2<f64>) -> &[u32] {
        let (column, row) = self.cell(p);
        let bucket = row * self.columns + column;
        match (self.starts.get(bucket), self.starts.get(bucket + 1)) {
            (Some(from), Some(to)) => self
                .members
                .get(*from as usize..*to as usize)
                .unwrap_or_default(),
            _ => &[],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A plane is read back exactly, inside and on the rim, and nothing beside it.
    #[test]
    fn a_plane_is_read_back() {
        let plane = |x: f64, y: f64| 1.0 + 0.5 * x - 0.25 * y;
        let mut mesh = Mesh::default();
        for i in 0..5 {
            for j in 0..4 {
                let (x, y) = (f64::from(i), f64::from(j) * 0.7);
                mesh.vertices.push(Point3::new(x, y, plane(x, y)));
            }
        }
        for i in 0..4u32 {
            for j in 0..3u32 {
                let a = 4 * i + j;
                mesh.triangles.push([a, a + 4, a + 5]);
                mesh.triangles.push([a, a + 5, a + 1]);
            }
        }
        let field = HeightField::new(&mesh);
        for (x, y, inside) in [
            (0.3, 0.4, true),
            (4.0, 2.1, true),
            (0.0, 0.0, true),
            (3.999, 0.001, true),
            (4.1, 1.0, false),
            (-0.1, 1.0, false),
        ] {
            let found = field.at(Point2::new(x, y));
            assert_eq!(found.is_some(), inside, "{x} {y}");
            if let Some(z) = found {
                assert!((z - plane(x, y)).abs() < 1e-12);
            }
        }
    }

    /// A wedge leaning over its foot: the greater of two heights counts, rims count as on it, beside it is nothing.
    #[test]
    fn the_upper_side_of_a_body_is_its_highest_point() {
        let corner = |x: f64, y: f64, z: f64| Point3::new(x, y, z);
        let foot = [
            corner(0.0, -1.0, 0.0),
            corner(2.0, -1.0, 0.0),
            corner(2.0, 1.0, 0.0),
            corner(0.0, 1.0, 0.0),
        ];
        // The top stands 0.5 m further forward: the front overhangs, the back is raked.
        let top = foot.map(|p| p + nalgebra::Vector3::new(0.5, 0.0, 1.0));
        let side = UpperSide::of(&Mesh::frustum(foot, top));
        for (x, y, height) in [
            (1.0, 0.0, Some(1.0)),
            (0.25, 0.3, Some(0.5)),
            (2.4, 0.0, Some(1.0)),
            (2.5, -1.0, Some(1.0)),
            (2.5 + 0.5 * NEAR, 0.0, Some(1.0)),
            (0.0, 0.0, Some(0.0)),
            (2.6, 0.0, None),
            (1.0, 1.1, None),
        ] {
            let found = side.at(Point2::new(x, y));
            match (found, height) {
                (Some(a), Some(b)) => assert!((a - b).abs() < 1e-6, "{x} {y}: {a}"),
                (a, b) => assert_eq!(a.is_some(), b.is_some(), "{x} {y}"),
            }
        }
    }
}
