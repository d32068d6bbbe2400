//! Where snow that slides comes to rest.
//!
//! All that falls on a steep triangle slides in the direction of steepest descent. The lower edges take from it in
//! proportion to their width across that direction, which is exact for snow that lies evenly. What has slid onto a
//! triangle is taken to lie evenly on it, so a stream of snow widens by about a cell on its way, and small patches far
//! down catch a few hundredths too much. Where two steep
//! triangles slide into the same edge, that edge is a valley: the snow runs down it to its lower end, and on down the
//! steepest way from there; a valley flatter than the sliding angle keeps it.
//!
//! A holding patch keeps what slides onto it until its heap is full. Then as much leaves it as comes, over all of its
//! border from which the film falls away.

use crate::geom::mesh::Mesh;
use crate::geom::surface::{edge_neighbors, patches, plan_area, rim_vertices, slope};
use nalgebra::{Point3, Vector2};

/// A part of a triangle's snow smaller than this is rounding: its edge runs along the fall.
const MIN_SHARE: f64 = 1e-9;

/// Sweeps over all triangles from high to low. One does where lower triangles are never uphill of higher ones by their
/// middles; long thin triangles and full patches need more.
const MAX_SWEEPS: usize = 200;

/// When so little of the load is still on its way, it stays where it is: far under a snowflake.
const AT_REST: f64 = 1e-14;

/// What slides where, on one mesh.
#[derive(Debug, Clone, Default)]
pub(super) struct Ways {
    /// The holding patch that each triangle belongs to.
    patch: Vec<Option<usize>>,
    /// Where the load of each steep triangle goes.
    ways: Vec<Vec<(Way, f64)>>,
    /// Triangles by the height of their middles, the highest first.
    order: Vec<usize>,
    /// The holding patches.
    pub heaps: Vec<Heap>,
}

/// A holding patch, as what a heap of snow may lie on.
#[derive(Debug, Clone)]
pub(super) struct Heap {
    /// Its triangles, each with its part of the plan area.
    pub parts: Vec<(usize, f64)>,
    /// Its plan area, m2.
    pub area: f64,
    /// Its triangle that comes last from high to low.
    lowest: usize,
    /// Where what does not fit goes; nowhere for a hollow.
    exits: Vec<(Way, f64)>,
}

/// Where a load ended.
#[derive(Debug, Clone)]
pub(super) struct Carried {
    /// On each triangle where it fell, and in valleys and hollows.
    pub stays: Vec<f64>,
    /// On each holding patch, having slid there.
    pub slid: Vec<f64>,
    /// Off the cover.
    pub over_edge: f64,
}

/// Where a part of a triangle's snow goes next.
#[derive(Debug, Clone, Copy)]
enum Way {
    /// Off the cover.
    Over,
    /// To a triangle: it gathers there or slides on, as that triangle is.
    To(usize),
    /// It stays on a triangle, whatever that is: a flat valley or a hollow between steep triangles.
    Stays(usize),
}

/// The way down from an edge's lower end.
enum Onward {
    Edge { ends: [u32; 2], beside: [usize; 2] },
    Triangle(usize),
    Rim,
    Nowhere,
}

impl Ways {
    /// With a sliding angle of zero these are the ways of water.
    pub fn new(mesh: &Mesh, sliding_angle: f64) -> Ways {
        let ground = Ground::new(mesh, sliding_angle);
        let order = from_high_to_low(mesh);
        let mut place = vec![0; order.len()];
        for (at, t) in order.iter().enumerate() {
            place[*t] = at;
        }
        let mut patch = vec![None; order.len()];
        let mut heaps = Vec::new();
        for found in patches(mesh, &ground.neighbors, |t| ground.flat[t]) {
            let triangles: Vec<usize> = found.triangles.iter().map(|t| *t as usize).collect();
            for t in &triangles {
                patch[*t] = Some(heaps.len());
            }
            let area: f64 = triangles.iter().map(|t| plan_area(mesh, *t)).sum();
            let part = |t: usize| {
                if area > 0.0 {
                    plan_area(mesh, t) / area
                } else {
                    1.0 / triangles.len() as f64
                }
            };
            heaps.push(Heap {
                parts: triangles.iter().map(|t| (*t, part(*t))).collect(),
                area,
                lowest: triangles
                    .iter()
                    .copied()
                    .max_by_key(|t| place[*t])
                    .unwrap_or_default(),
                exits: ground.exits(&triangles),
            });
        }
        Ways {
            patch,
            ways: (0..order.len()).map(|t| ground.ways(t)).collect(),
            order,
            heaps,
        }
    }

    /// Lets a load on each triangle slide until it rests. `full` says which holding patches take no more of what
    /// slides; what falls on a patch stays there in any case.
    pub fn carry(&self, load: &[f64], full: &[bool]) -> Carried {
        let mut at = Carried {
            stays: vec![0.0; load.len()],
            slid: vec![0.0; self.heaps.len()],
            over_edge: 0.0,
        };
        let mut moving = load.to_vec();
        let mut arrived = vec![0.0; self.heaps.len()];
        for (t, patch) in self.patch.iter().enumerate() {
            if patch.is_some() {
                at.stays[t] = std::mem::take(&mut moving[t]);
            }
        }
        let rest = AT_REST * load.iter().sum::<f64>();
        for _ in 0..MAX_SWEEPS {
            for &t in &self.order {
                let (load, ways) = match self.patch[t] {
                    None => (std::mem::take(&mut moving[t]), &self.ways[t]),
                    Some(p) if self.heaps[p].lowest == t => {
                        let load = std::mem::take(&mut arrived[p]);
                        let exits = &self.heaps[p].exits;
                        if !full.get(p).is_some_and(|full| *full) || exits.is_empty() {
                            at.slid[p] += load;
                            continue;
                        }
                        (load, exits)
                    }
                    Some(_) => continue,
                };
                if load == 0.0 {
                    continue;
                }
                for &(way, share) in ways {
                    match way {
                        Way::Over => at.over_edge += share * load,
                        Way::Stays(u) => at.stays[u] += share * load,
                        Way::To(u) => match self.patch[u] {
                            Some(p) => arrived[p] += share * load,
                            None => moving[u] += share * load,
                        },
                    }
                }
            }
            if moving.iter().chain(&arrived).sum::<f64>() <= rest {
                break;
            }
        }
        for (t, moving) in moving.iter().enumerate() {
            at.stays[t] += moving;
        }
        for (p, arrived) in arrived.iter().enumerate() {
            at.slid[p] += arrived;
        }
        at
    }
}

/// Triangles by the height of their middles, the highest first.
fn from_high_to_low(mesh: &Mesh) -> Vec<usize> {
    let heights: Vec<f64> = mesh
        .corners()
        .map(|corners| corners.iter().map(|p| p.z).sum())
        .collect();
    let mut order: Vec<usize> = (0..heights.len()).collect();
    order.sort_by(|a, b| heights[*b].total_cmp(&heights[*a]));
    order
}

struct Ground<'a> {
    mesh: &'a Mesh,
    neighbors: Vec<[Option<u32>; 3]>,
    sliding_angle: f64,
    /// Whether each triangle holds snow.
    flat: Vec<bool>,
    /// Share of its snow that each triangle would send over each edge.
    shares: Vec<[f64; 3]>,
    on_rim: Vec<bool>,
    /// Triangles about each vertex, from `first[v]` on.
    first: Vec<usize>,
    about: Vec<usize>,
}

impl<'a> Ground<'a> {
    fn new(mesh: &'a Mesh, sliding_angle: f64) -> Ground<'a> {
        let neighbors = edge_neighbors(mesh);
        let count = mesh.triangles.len();
        let mut on_rim = vec![false; mesh.vertices.len()];
        for v in rim_vertices(mesh, &neighbors) {
            on_rim[v as usize] = true;
        }
        let mut first = vec![0; mesh.vertices.len() + 1];
        for v in mesh.triangles.iter().flatten() {
            first[*v as usize + 1] += 1;
        }
        for v in 0..mesh.vertices.len() {
            first[v + 1] += first[v];
        }
        let mut next = first.clone();
        let mut about = vec![0; 3 * count];
        for (t, corners) in mesh.triangles.iter().enumerate() {
            for v in corners {
                about[next[*v as usize]] = t;
                next[*v as usize] += 1;
            }
        }
        Ground {
            flat: (0..count).map(|t| slope(mesh, t) < sliding_angle).collect(),
            shares: mesh.corners().map(|corners| shares(&corners)).collect(),
            mesh,
            neighbors,
            sliding_angle,
            on_rim,
            first,
            about,
        }
    }

    /// Where the snow of a steep triangle goes, in shares of one.
    fn ways(&self, t: usize) -> Vec<(Way, f64)> {
        if self.flat[t] {
            return Vec::new();
        }
        let mut ways = Vec::with_capacity(2);
        for (k, &share) in self.shares[t].iter().enumerate() {
            if share == 0.0 {
                continue;
            }
            let Some(u) = self.neighbors[t][k].map(|u| u as usize) else {
                ways.push((Way::Over, share));
                continue;
            };
            let ends = [k, (k + 1) % 3].map(|k| self.mesh.triangles[t][k]);
            if self.flat[u] || !self.slides_into(u, t) {
                ways.push((Way::To(u), share));
            } else {
                let [a, b] = self.down_a_valley(ends, [t, u]);
                ways.extend([(a, 0.5 * share), (b, 0.5 * share)]);
            }
        }
        if ways.is_empty() {
            ways.push((Way::Stays(t), 1.0));
        }
        ways
    }

    /// Over which of its border a full patch lets go, and how much of it: as wide as the border is across the fall of
    /// what lies beyond.
    fn exits(&self, patch: &[usize]) -> Vec<(Way, f64)> {
        let mut exits = Vec::new();
        for &t in patch {
            let corners = self.mesh.triangle(t);
            for k in 0..3 {
                let along = (corners[(k + 1) % 3] - corners[k]).xy();
                let (way, down) = match self.neighbors[t][k].map(|u| u as usize) {
                    None => (Way::Over, downhill(&corners)),
                    Some(u) if self.flat[u] => continue,
                    Some(u) => (Way::To(u), downhill(&self.mesh.triangle(u))),
                };
                let width = match down.try_normalize(0.0) {
                    Some(down) => -along.perp(&down),
                    None => along.norm(),
                };
                if width > MIN_SHARE * along.norm() {
                    exits.push((way, width));
                }
            }
        }
        let all: f64 = exits.iter().map(|(_, width)| width).sum();
        for (_, width) in &mut exits {
            *width /= all;
        }
        exits
    }

    /// Whether a triangle sends snow over the edge that it shares with another.
    fn slides_into(&self, t: usize, other: usize) -> bool {
        let edge = self.neighbors[t]
            .iter()
            .position(|u| *u == Some(other as u32));
        edge.is_some_and(|k| self.shares[t][k] > 0.0)
    }

    /// Where snow in a valley ends, in two halves. Each turn goes to a lower vertex, so it ends.
    fn down_a_valley(&self, ends: [u32; 2], beside: [usize; 2]) -> [Way; 2] {
        let (mut ends, mut beside) = (ends, beside);
        loop {
            let [a, b] = ends.map(|v| self.mesh.vertices[v as usize]);
            let run = (b - a).xy().norm();
            let stays = beside.map(Way::Stays);
            if (b.z - a.z).abs().atan2(run) < self.sliding_angle {
                return stays;
            }
            let lower = if a.z < b.z { ends[0] } else { ends[1] };
            match self.onward(lower) {
                Onward::Rim => return [Way::Over; 2],
                Onward::Triangle(t) => return [Way::To(t); 2],
                Onward::Nowhere => return stays,
                Onward::Edge {
                    ends: next,
                    beside: triangles,
                } => (ends, beside) = (next, triangles),
            }
        }
    }

    /// The steepest way down from a vertex; of equal ones the first in the order of the mesh.
    fn onward(&self, vertex: u32) -> Onward {
        let v = vertex as usize;
        if self.on_rim[v] {
            return Onward::Rim;
        }
        let mut steepest = 0.0;
        let mut way = Onward::Nowhere;
        let here = self.mesh.vertices[v];
        for &t in &self.about[self.first[v]..self.first[v + 1]] {
            let corners = self.mesh.triangles[t];
            let Some(k) = corners.iter().position(|c| *c == vertex) else {
                continue;
            };
            let [next, last] = [(k + 1) % 3, (k + 2) % 3];
            let [p, q] = [next, last].map(|k| self.mesh.vertices[corners[k] as usize]);
            let fall = (here.z - p.z) / (p - here).xy().norm();
            if let Some(u) = self.neighbors[t][k]
                && fall > steepest
            {
                steepest = fall;
                way = Onward::Edge {
                    ends: [vertex, corners[next]],
                    beside: [t, u as usize],
                };
            }
            let down = downhill(&[here, p, q]);
            let between = (p - here).xy().perp(&down) > 0.0 && down.perp(&(q - here).xy()) > 0.0;
            let fall = slope(self.mesh, t).tan();
            if between && fall > steepest {
                steepest = fall;
                way = Onward::Triangle(t);
            }
        }
        way
    }
}

/// Direction of steepest descent in plan, as long as the rise of the normal makes it.
fn downhill(corners: &[Point3<f64>; 3]) -> Vector2<f64> {
    let [a, b, c] = corners;
    (b - a).cross(&(c - a)).xy()
}

/// Share of evenly lying snow that leaves a triangle over each of its edges.
fn shares(corners: &[Point3<f64>; 3]) -> [f64; 3] {
    let down = downhill(corners);
    let widths = [0, 1, 2].map(|k| {
        let along = (corners[(k + 1) % 3] - corners[k]).xy();
        // Outward of an edge is to its right, as the corners run counter-clockwise.
        (down.x * along.y - down.y * along.x).max(0.0)
    });
    let all: f64 = widths.iter().sum();
    let kept = widths.map(|width| if width > MIN_SHARE * all { width } else { 0.0 });
    let all: f64 = kept.iter().sum();
    if all > 0.0 {
        kept.map(|width| width / all)
    } else {
        [0.0; 3]
    }
}
