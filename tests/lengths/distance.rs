//! Shortest ways over a mesh from its plane of symmetry: Dijkstra's algorithm over places inside the mesh's edges,
//! then the way is drawn straight through the triangles that it crosses.

use super::meshes::{Joined, Triangle};
use nalgebra::Point3;
use std::cmp::Ordering;
use std::collections::{BinaryHeap, HashMap};

/// Places inside each edge.
const PLACES: usize = 5;

/// Sweeps that draw a way straight: it then moves by less than a thousandth of an inch.
const SWEEPS: usize = 4000;

#[derive(PartialEq)]
struct Entry(f64, usize);
impl Eq for Entry {}
impl PartialOrd for Entry {
    fn partial_cmp(&self, other: &Entry) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Entry {
    fn cmp(&self, other: &Entry) -> Ordering {
        other.0.total_cmp(&self.0)
    }
}

/// A straight piece on which one point of a way slides.
type Slide = [Point3<f64>; 2];

/// Greatest of the shortest distances from the plane y = 0 of the film to the rim, over film and skirt, on one side.
pub fn farthest(film: &[Triangle], skirt: &[Triangle], sign: f64) -> f64 {
    let all: Vec<Triangle> = film.iter().chain(skirt).copied().collect();
    let mesh = Joined::of(&all);
    let at = |k: usize| mesh.points[k];
    let mut edges: Vec<[usize; 2]> = Vec::new();
    let mut numbers: HashMap<[usize; 2], usize> = HashMap::new();
    let mut owners: Vec<usize> = Vec::new();
    let sides: Vec<[usize; 3]> = mesh
        .triangles
        .iter()
        .map(|t| {
            [0, 1, 2].map(|k| {
                let (a, b) = (t[k], t[(k + 1) % 3]);
                let key = [a.min(b), a.max(b)];
                let number = *numbers.entry(key).or_insert_with(|| {
                    edges.push(key);
                    owners.push(0);
                    edges.len() - 1
                });
                owners[number] += 1;
                number
            })
        })
        .collect();
    let mut around: Vec<Vec<usize>> = vec![Vec::new(); edges.len()];
    for (t, three) in sides.iter().enumerate() {
        three.iter().for_each(|e| around[*e].push(t));
    }
    let slide = |edge: usize| edges[edge].map(at);
    let place = |node: usize| {
        let [a, b] = slide(node / PLACES);
        a + (b - a) * ((node % PLACES) as f64 + 0.5) / PLACES as f64
    };
    // The ridge in each triangle that it crosses: film alone, which comes first.
    let mut ridge: HashMap<usize, Slide> = HashMap::new();
    let in_film = Joined::of(film).triangles.len();
    for (t, corners) in mesh.triangles.iter().enumerate().take(in_film) {
        let corners = corners.map(at);
        let mut ends: Vec<Point3<f64>> = Vec::new();
        for k in 0..3 {
            let (a, b) = (corners[k], corners[(k + 1) % 3]);
            if a.y.abs() < 1e-6 {
                ends.push(a);
            }
            if a.y * b.y < 0.0 && a.y.abs() >= 1e-6 && b.y.abs() >= 1e-6 {
                ends.push(a + (b - a) * (a.y / (a.y - b.y)));
            }
        }
        if let &[a, b] = ends.as_slice() {
            ridge.insert(t, [a, b]);
        }
    }
    let mut best = vec![f64::INFINITY; edges.len() * PLACES];
    let mut from: Vec<Option<usize>> = vec![None; best.len()];
    let mut start: Vec<Option<usize>> = vec![None; best.len()];
    let mut heap = BinaryHeap::new();
    for (t, line) in &ridge {
        for edge in sides[*t] {
            for k in 0..PLACES {
                let node = edge * PLACES + k;
                let far = (nearest(line, place(node)) - place(node)).norm();
                if far < best[node] {
                    (best[node], start[node]) = (far, Some(*t));
                    heap.push(Entry(far, node));
                }
            }
        }
    }
    while let Some(Entry(far, node)) = heap.pop() {
        if far > best[node] {
            continue;
        }
        let here = place(node);
        for t in &around[node / PLACES] {
            for edge in sides[*t] {
                if edge == node / PLACES {
                    continue;
                }
                for k in 0..PLACES {
                    let to = edge * PLACES + k;
                    let length = far + (place(to) - here).norm();
                    if length < best[to] {
                        (best[to], from[to], start[to]) = (length, Some(node), None);
                        heap.push(Entry(length, to));
                    }
                }
            }
        }
    }
    let mut rim: Vec<usize> = (0..best.len())
        .filter(|node| owners[node / PLACES] == 1 && best[*node].is_finite())
        .filter(|node| place(*node).y * sign > 0.0)
        .collect();
    rim.sort_by(|a, b| best[*b].total_cmp(&best[*a]));
    // What is drawn straight only becomes shorter: once the best is over all others, it stays.
    let mut most = 0.0f64;
    for node in rim {
        if best[node] <= most {
            break;
        }
        let mut way: Vec<Slide> = vec![[place(node); 2]];
        let mut last = node;
        while let Some(before) = from[last] {
            way.push(slide(before / PLACES));
            last = before;
        }
        way.push(ridge[&start[last].unwrap()]);
        most = most.max(straight(&way, best[node]));
    }
    most
}

/// The nearest point of a straight piece.
fn nearest(line: &Slide, p: Point3<f64>) -> Point3<f64> {
    let along = line[1] - line[0];
    let long = along.norm_squared().max(1e-18);
    line[0] + along * ((p - line[0]).dot(&along) / long).clamp(0.0, 1.0)
}

/// Length of the shortest line through the pieces in their order; never more than `bound`.
fn straight(way: &[Slide], bound: f64) -> f64 {
    let mut points: Vec<Point3<f64>> = way.iter().map(|[a, b]| a + (b - a) * 0.5).collect();
    let last = points.len() - 1;
    for _ in 0..SWEEPS {
        for k in 1..last {
            let [a, b] = way[k];
            let along = b - a;
            let long = along.norm();
            let unit = along / long.max(1e-12);
            // Both neighbors laid into one plane about the piece: the straight line between them crosses it.
            let lay = |p: Point3<f64>| {
                let run = (p - a).dot(&unit);
                (run, (p - a - unit * run).norm())
            };
            let ((s, h), (t, g)) = (lay(points[k - 1]), lay(points[k + 1]));
            let part = if h + g > 1e-12 { h / (h + g) } else { 0.5 };
            points[k] = a + unit * (s + (t - s) * part).clamp(0.0, long);
        }
        points[last] = nearest(&way[last], points[last - 1]);
    }
    let length = points.windows(2).map(|pair| (pair[1] - pair[0]).norm());
    length.sum::<f64>().min(bound)
}

/// On a roof of two slopes with a skirt straight down, the way is that on the unfolded roof.
#[test]
fn the_way_over_a_roof() {
    let p = |x: f64, y: f64, z: f64| Point3::new(x, y, z);
    let mut film = Vec::new();
    let mut skirt = Vec::new();
    for k in 0..12 {
        let (a, b) = (0.25 * f64::from(k), 0.25 * f64::from(k + 1));
        for side in [1.0, -1.0] {
            let (w, x, y, z) = (
                p(a, 0.0, 1.0),
                p(b, 0.0, 1.0),
                p(a, 1.2 * side, 0.5),
                p(b, 1.2 * side, 0.5),
            );
            film.extend([[w, x, y], [x, z, y]]);
            let (c, d) = (p(a, 1.2 * side, 0.0), p(b, 1.2 * side, 0.0));
            skirt.extend([[y, z, c], [z, d, c]]);
        }
    }
    let found = farthest(&film, &skirt, 1.0);
    assert!((found - (1.3 + 0.5)).abs() < 1e-6, "{found}");
}
