//! The meshes that are handed out, read back.

use hulltent::export::{boat_glb, cover_stl, hull_stl};
use hulltent::plan::Plan;
use nalgebra::Point3;
use std::collections::HashMap;
use std::io::Cursor;

/// Corners nearer than this are one, m: single precision.
const SAME: f64 = 1e-4;

pub type Triangle = [Point3<f64>; 3];

/// Triangles of an STL file.
fn read_stl(bytes: Vec<u8>) -> Vec<Triangle> {
    let mut bytes = Cursor::new(bytes);
    let reader = stl_io::create_stl_reader(&mut bytes).unwrap();
    reader
        .map(|face| {
            face.unwrap()
                .vertices
                .map(|v| Point3::from(v.0.map(f64::from)))
        })
        .collect()
}

pub fn cover(plan: &Plan) -> Vec<Triangle> {
    read_stl(cover_stl(plan))
}

pub fn hull(plan: &Plan) -> Vec<Triangle> {
    read_stl(hull_stl(plan))
}

/// The film below the edge line, off `boat.glb`: y is up there.
pub fn skirt(plan: &Plan) -> Vec<Triangle> {
    let (file, buffers, _) = gltf::import_slice(boat_glb(plan)).unwrap();
    let mesh = file.meshes().find(|mesh| mesh.name() == Some("skirt"));
    let node = file.nodes().find(|node| node.name() == Some("skirt"));
    let mesh = mesh.or_else(|| node.unwrap().mesh()).unwrap();
    let primitive = mesh.primitives().next().unwrap();
    let reader = primitive.reader(|buffer| Some(&buffers[buffer.index()]));
    let points: Vec<Point3<f64>> = reader
        .read_positions()
        .unwrap()
        .map(|[x, y, z]| Point3::new(f64::from(x), -f64::from(z), f64::from(y)))
        .collect();
    let corners: Vec<u32> = reader.read_indices().unwrap().into_u32().collect();
    corners
        .chunks_exact(3)
        .map(|t| [0, 1, 2].map(|k| points[t[k] as usize]))
        .collect()
}

/// A mesh whose corners at one place are joined.
pub struct Joined {
    pub points: Vec<Point3<f64>>,
    pub triangles: Vec<[usize; 3]>,
}

impl Joined {
    pub fn of(triangles: &[Triangle]) -> Joined {
        let mut cells: HashMap<[i64; 3], Vec<usize>> = HashMap::new();
        let mut points: Vec<Point3<f64>> = Vec::new();
        let mut number = |p: Point3<f64>| {
            let cell = [0, 1, 2].map(|k| (p[k] / (10.0 * SAME)).floor() as i64);
            for n in 0..27i64 {
                let beside = [
                    cell[0] + n % 3 - 1,
                    cell[1] + n / 3 % 3 - 1,
                    cell[2] + n / 9 - 1,
                ];
                let near = cells.get(&beside).into_iter().flatten();
                if let Some(found) = near.copied().find(|k| (points[*k] - p).norm() < SAME) {
                    return found;
                }
            }
            points.push(p);
            cells.entry(cell).or_default().push(points.len() - 1);
            points.len() - 1
        };
        let triangles = triangles
            .iter()
            .map(|t| t.map(&mut number))
            .filter(|[a, b, c]| a != b && b != c && c != a)
            .collect();
        Joined { points, triangles }
    }

    /// Closed loops of the edges with one triangle.
    pub fn rims(&self) -> Vec<Vec<usize>> {
        let mut next: HashMap<usize, usize> = HashMap::new();
        let mut edges: HashMap<(usize, usize), ()> = HashMap::new();
        for t in &self.triangles {
            for k in 0..3 {
                edges.insert((t[k], t[(k + 1) % 3]), ());
            }
        }
        for (a, b) in edges.keys() {
            if !edges.contains_key(&(*b, *a)) {
                next.insert(*a, *b);
            }
        }
        let mut starts: Vec<usize> = next.keys().copied().collect();
        starts.sort_unstable();
        let mut rims = Vec::new();
        for start in starts {
            let mut rim = Vec::new();
            let mut at = start;
            while let Some(to) = next.remove(&at) {
                rim.push(at);
                at = to;
            }
            if rim.len() > 2 {
                rims.push(rim);
            }
        }
        rims
    }
}

/// The perimeter band: the lower rim of the skirt, closed.
pub fn band(plan: &Plan) -> Vec<Point3<f64>> {
    let skirt = Joined::of(&skirt(plan));
    let mean =
        |rim: &Vec<usize>| rim.iter().map(|k| skirt.points[*k].z).sum::<f64>() / rim.len() as f64;
    let rims = skirt.rims();
    assert_eq!(rims.len(), 2, "a skirt has two rims");
    let lower = rims.iter().min_by(|a, b| mean(a).total_cmp(&mean(b)));
    lower.unwrap().iter().map(|k| skirt.points[*k]).collect()
}

/// Length of a closed line.
pub fn round(line: &[Point3<f64>]) -> f64 {
    let next = line.iter().cycle().skip(1);
    line.iter().zip(next).map(|(a, b)| (b - a).norm()).sum()
}

/// Where triangles cross a level, in plan.
pub fn level(triangles: &[Triangle], z: f64) -> Vec<[f64; 2]> {
    let mut found = Vec::new();
    for t in triangles {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            if (a.z - z) * (b.z - z) < 0.0 {
                let p = a + (b - a) * ((z - a.z) / (b.z - a.z));
                found.push([p.x, p.y]);
            }
        }
    }
    found
}
