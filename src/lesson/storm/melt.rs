//! How melt water fills hollows.

use super::slide::Ways;
use crate::geom::mesh::Mesh;
use crate::geom::surface::{Pond, edge_neighbors, rim_vertices};
use std::cmp::{Ordering, Reverse};
use std::collections::{BinaryHeap, VecDeque};

/// Density of water, kg/m3.
const WATER: f64 = 1000.0;

/// The way of water over a height field: down the triangles to the foot of a slope, and from hollow to hollow vertex
/// by vertex, from the last flooded to the rim.
#[derive(Debug, Clone, Default)]
pub(super) struct Hollows {
    /// What each pond holds, kg.
    holds: Vec<f64>,
    /// Down the triangles.
    ways: Ways,
    /// The lowest vertex of each triangle.
    lowest: Vec<usize>,
    /// Vertices, each after all those that drain to it.
    order: Vec<usize>,
    /// The vertex that each drains to; `None` on the rim.
    drains_to: Vec<Option<usize>>,
    /// The pond that each vertex lies in.
    pond: Vec<Option<usize>>,
}

impl Hollows {
    /// Nothing is looked at where there are no ponds: then all water runs off.
    pub fn new(mesh: &Mesh, ponds: &[Pond]) -> Hollows {
        if ponds.is_empty() {
            return Hollows::default();
        }
        let mut pond = vec![None; mesh.vertices.len()];
        for (number, here) in ponds.iter().enumerate() {
            for v in &here.vertices {
                pond[*v as usize] = Some(number);
            }
        }
        let lowest = mesh
            .triangles
            .iter()
            .map(|corners| {
                let z = |v: &u32| mesh.vertices[*v as usize].z;
                let lowest = corners.iter().min_by(|a, b| z(a).total_cmp(&z(b)));
                lowest.map_or(0, |v| *v as usize)
            })
            .collect();
        let (mut order, drains_to) = drainage(mesh);
        order.reverse();
        Hollows {
            holds: ponds.iter().map(|pond| WATER * pond.volume).collect(),
            ways: Ways::new(mesh, 0.0),
            lowest,
            order,
            drains_to,
            pond,
        }
    }

    /// What each pond holds, kg.
    pub fn holds(&self) -> impl Iterator<Item = f64> + '_ {
        self.holds.iter().copied()
    }

    /// Lets water that comes from each triangle run into the ponds, from a full one on to the next; what they do not
    /// take runs off and is returned.
    ///
    /// # Units
    /// Kilograms.
    pub fn fill(&self, water: &[f64], ponds: &mut [f64]) -> f64 {
        if self.holds.is_empty() {
            return water.iter().sum();
        }
        let mut here = vec![0.0; self.drains_to.len()];
        let carried = self.ways.carry(water, &[]);
        for (water, v) in carried.stays.iter().zip(&self.lowest) {
            here[*v] += water;
        }
        let mut ran_off = carried.over_edge;
        for &v in &self.order {
            let mut water = here[v];
            if let Some(pond) = self.pond[v] {
                // A pond takes from whatever comes to any of its vertices until it is full; the rest goes on through
                // its other vertices to where it overflows.
                let taken = water.min(self.holds[pond] - ponds[pond]).max(0.0);
                ponds[pond] += taken;
                water -= taken;
            }
            match self.drains_to[v] {
                Some(next) => here[next] += water,
                None => ran_off += water,
            }
        }
        ran_off
    }
}

/// A vertex waiting to be flooded, by level, then by number.
#[derive(PartialEq)]
struct Shore {
    level: f64,
    vertex: usize,
}

impl Eq for Shore {}

impl Ord for Shore {
    fn cmp(&self, other: &Self) -> Ordering {
        let by_level = self.level.total_cmp(&other.level);
        by_level.then(self.vertex.cmp(&other.vertex))
    }
}

impl PartialOrd for Shore {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// The order in which a rising flood reaches the vertices from the rim, and for each the vertex that its water goes
/// to: the steepest lower one that was reached before, else the one that it was reached from (priority flood; Barnes,
/// Lehman and Mulla 2014, from memory).
fn drainage(mesh: &Mesh) -> (Vec<usize>, Vec<Option<usize>>) {
    let count = mesh.vertices.len();
    let mut links: Vec<Vec<usize>> = vec![Vec::new(); count];
    for corners in &mesh.triangles {
        for k in 0..3 {
            let [a, b] = [corners[k], corners[(k + 1) % 3]].map(|v| v as usize);
            links[a].push(b);
            links[b].push(a);
        }
    }
    for near in &mut links {
        near.sort_unstable();
        near.dedup();
    }
    let mut place = vec![usize::MAX; count];
    let mut seen = vec![false; count];
    let mut from = vec![None; count];
    let mut order = Vec::with_capacity(count);
    let mut shores = BinaryHeap::new();
    let mut pit = VecDeque::new();
    for v in rim_vertices(mesh, &edge_neighbors(mesh)) {
        let vertex = v as usize;
        seen[vertex] = true;
        let level = mesh.vertices[vertex].z;
        shores.push(Reverse(Shore { level, vertex }));
    }
    while let Some(shore) = pit.pop_front().or_else(|| shores.pop().map(|s| s.0)) {
        let Shore { level, vertex } = shore;
        place[vertex] = order.len();
        order.push(vertex);
        for &next in &links[vertex] {
            if std::mem::replace(&mut seen[next], true) {
                continue;
            }
            from[next] = Some(vertex);
            let z = mesh.vertices[next].z;
            if z <= level {
                let vertex = next;
                pit.push_back(Shore { level, vertex });
            } else {
                let (level, vertex) = (z, next);
                shores.push(Reverse(Shore { level, vertex }));
            }
        }
    }
    let drains_to = (0..count)
        .map(|v| {
            let parent = from[v]?;
            let fall = |w: usize| {
                let (high, low) = (mesh.vertices[v], mesh.vertices[w]);
                (high.z - low.z) / (high - low).xy().norm()
            };
            let steepest = links[v]
                .iter()
                .copied()
                .filter(|w| place[*w] < place[v] && fall(*w) > 0.0)
                .max_by(|a, b| fall(*a).total_cmp(&fall(*b)));
            Some(steepest.unwrap_or(parent))
        })
        .collect();
    (order, drains_to)
}
