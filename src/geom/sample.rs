//! Heights of a triangulated field at any point of the plan.

use super::mesh::Mesh;
use nalgebra::Point2;

/// A height field with its triangles sorted into square buckets.
pub struct HeightField<'a> {
    mesh: &'a Mesh,
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

/// A point this far outside a triangle, as a part of its size, still takes its height: rounding.
const OUTSIDE: f64 = 1e-9;

impl<'a> HeightField<'a> {
    /// Sorts a mesh whose triangles do not overlap in plan.
    pub fn new(mesh: &'a Mesh) -> HeightField<'a> {
        let (low, high) = mesh
            .bounds()
            .map_or((Point2::origin(), Point2::origin()), |(low, high)| {
                (low.xy(), high.xy())
            });
        let span = high - low;
        let area = (span.x * span.y).max(f64::MIN_POSITIVE);
        let width = (PER_BUCKET * area / mesh.triangles.len().max(1) as f64).sqrt();
        let count = |span: f64| (span / width) as usize + 1;
        let mut field = HeightField {
            mesh,
            low,
            width,
            columns: count(span.x),
            rows: count(span.y),
            starts: Vec::new(),
            members: Vec::new(),
        };
        field.sort();
        field
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

    fn sort(&mut self) {
        let spans: Vec<[(usize, usize); 2]> = self
            .mesh
            .corners()
            .map(|[a, b, c]| {
                let (a, b, c) = (a.xy(), b.xy(), c.xy());
                [self.cell(a.inf(&b).inf(&c)), self.cell(a.sup(&b).sup(&c))]
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

    /// The height over a point of the plan; `None` beside the mesh.
    pub fn at(&self, p: Point2<f64>) -> Option<f64> {
        let (column, row) = self.cell(p);
        let bucket = row * self.columns + column;
        let range = *self.starts.get(bucket)? as usize..*self.starts.get(bucket + 1)? as usize;
        self.members.get(range)?.iter().find_map(|triangle| {
            let [a, b, c] = self.mesh.triangle(*triangle as usize);
            let whole = (b - a).xy().perp(&(c - a).xy());
            let part = |u: Point2<f64>, v: Point2<f64>| (u - p).perp(&(v - p)) / whole;
            let weights = [
                part(b.xy(), c.xy()),
                part(c.xy(), a.xy()),
                part(a.xy(), b.xy()),
            ];
            weights
                .iter()
                .all(|weight| *weight >= -OUTSIDE)
                .then(|| weights[0] * a.z + weights[1] * b.z + weights[2] * c.z)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Point3;

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
}
