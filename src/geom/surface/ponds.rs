//! Hollows of a height field that would hold water.

use super::{edge_neighbors, plan_area, rim_vertices};
use crate::geom::mesh::Mesh;
use nalgebra::Point3;
use std::cmp::{Ordering, Reverse};
use std::collections::{BinaryHeap, VecDeque};

/// A hollow, full to the brim.
///
/// # Units
/// Meters, square meters and cubic meters, for coordinates in meters.
#[derive(Debug, Clone, PartialEq)]
pub struct Pond {
    /// The vertices under water, ascending.
    pub vertices: Vec<u32>,
    /// Height of the water surface: the lowest way out.
    pub level: f64,
    /// Water over the deepest vertex.
    pub depth: f64,
    /// The deepest vertex; the first of several.
    pub deepest: Point3<f64>,
    /// Area of the water surface.
    pub plan_area: f64,
    /// Water between the surface and the triangles.
    pub volume: f64,
}

/// Whether water runs off from every vertex: each has a lower neighbor, or an equal one from which it runs
/// off, or lies on the rim. Then there is no pond, and [`ponds`], which costs more, need not be asked.
pub fn drains_everywhere(mesh: &Mesh, rim: &[bool]) -> bool {
    let mut drains = rim.to_vec();
    drains.resize(mesh.vertices.len(), false);
    let edges = || {
        mesh.triangles.iter().flat_map(|corners| {
            [0, 1, 2].map(|k| (corners[k] as usize, corners[(k + 1) % 3] as usize))
        })
    };
    for (a, b) in edges() {
        let (za, zb) = (mesh.vertices[a].z, mesh.vertices[b].z);
        drains[a] |= zb < za;
        drains[b] |= za < zb;
    }
    // Level places drain from their borders inward.
    loop {
        let mut changed = false;
        for (a, b) in edges() {
            if drains[a] != drains[b] && mesh.vertices[a].z == mesh.vertices[b].z {
                drains[a] = true;
                drains[b] = true;
                changed = true;
            }
        }
        if !changed {
            return drains.iter().all(|drains| *drains);
        }
    }
}

/// The ponds of a height field that are deeper than `least_depth` at their deepest: largest volume
/// first, equal volumes by their first vertex.
///
/// Water leaves over the rim. A pond is all the water that hangs together, shallow parts included, so
/// that two deep places under one sheet of water are one pond and its volume is whole. Volume and area
/// are exact for the triangles as they are, also where the water's edge cuts through one. The fill
/// level is found by priority flood with a queue for the pits (Barnes, Lehman and Mulla 2014, from
/// memory) over the vertices; on linear triangles the lowest way out always runs along edges, so nothing
/// is lost by looking at vertices alone. Cost grows as n log n.
///
/// # Units
/// `least_depth` in the length of the coordinates, meters.
pub fn ponds(mesh: &Mesh, least_depth: f64) -> Vec<Pond> {
    let links = Links::new(mesh);
    let levels = fill_levels(mesh, &links);
    let wet = |v: usize| levels[v] > mesh.vertices[v].z;

    let mut found: Vec<Pond> = Vec::new();
    let mut pond_of = vec![None; mesh.vertices.len()];
    for (first, v) in (0_u32..).zip(0..mesh.vertices.len()) {
        if pond_of[v].is_some() || !wet(v) {
            continue;
        }
        pond_of[v] = Some(found.len());
        let mut vertices = vec![first];
        let mut reached = 0;
        while let Some(&u) = vertices.get(reached) {
            for &next in links.of(u as usize) {
                let n = next as usize;
                if pond_of[n].is_none() && wet(n) {
                    pond_of[n] = Some(found.len());
                    vertices.push(next);
                }
            }
            reached += 1;
        }
        vertices.sort_unstable();
        found.push(brim_full(mesh, vertices, levels[v]));
    }

    for (t, corners) in mesh.triangles.iter().enumerate() {
        // Wet neighbors share one level and a dry neighbor stands at it or above, so a triangle
        // holds water of one pond at most.
        let pond = corners.iter().find_map(|&v| pond_of[v as usize]);
        if let Some(pond) = pond.and_then(|p| found.get_mut(p)) {
            let depths = corners.map(|v| pond.level - mesh.vertices[v as usize].z);
            let (area, volume) = water(depths, plan_area(mesh, t));
            pond.plan_area += area;
            pond.volume += volume;
        }
    }
    found.retain(|pond| pond.depth > least_depth);
    found.sort_by(|p, q| q.volume.total_cmp(&p.volume));
    found
}

fn brim_full(mesh: &Mesh, vertices: Vec<u32>, level: f64) -> Pond {
    let deepest = vertices
        .iter()
        .map(|&v| mesh.vertices[v as usize])
        .min_by(|p, q| p.z.total_cmp(&q.z))
        .unwrap_or_default();
    Pond {
        vertices,
        level,
        depth: level - deepest.z,
        deepest,
        plan_area: 0.0,
        volume: 0.0,
    }
}

/// Wet plan area and volume of a triangle of the given plan area, from the depths at its corners
/// (negative where a corner stands above the water).
fn water(mut depths: [f64; 3], plan_area: f64) -> (f64, f64) {
    depths.sort_by(|p, q| q.total_cmp(p));
    let [deep, middle, shallow] = depths;
    let mean = (deep + middle + shallow) / 3.0;
    // A level plane cuts off a corner similar to the triangle along each of the two edges that leave it.
    if shallow >= 0.0 {
        (plan_area, plan_area * mean)
    } else if middle > 0.0 {
        let dry = plan_area * (shallow / (shallow - deep)) * (shallow / (shallow - middle));
        (plan_area - dry, plan_area * mean - dry * shallow / 3.0)
    } else if deep > 0.0 {
        let wet = plan_area * (deep / (deep - middle)) * (deep / (deep - shallow));
        (wet, wet * deep / 3.0)
    } else {
        (0.0, 0.0)
    }
}

/// A vertex waiting to be flooded, ordered by level, then by number, so that the order never depends
/// on anything but the heights.
#[derive(PartialEq)]
struct Shore {
    level: f64,
    vertex: u32,
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

/// For each vertex, the height to which water would stand: its own if it drains to the rim.
fn fill_levels(mesh: &Mesh, links: &Links) -> Vec<f64> {
    let mut levels: Vec<f64> = mesh.vertices.iter().map(|p| p.z).collect();
    let mut seen = vec![false; levels.len()];
    let mut shores = BinaryHeap::new();
    for vertex in rim_vertices(mesh, &edge_neighbors(mesh)) {
        seen[vertex as usize] = true;
        shores.push(Reverse(Shore {
            level: levels[vertex as usize],
            vertex,
        }));
    }
    let mut pit = VecDeque::new();
    while let Some(shore) = pit.pop_front().or_else(|| shores.pop().map(|s| s.0)) {
        for &vertex in links.of(shore.vertex as usize) {
            let v = vertex as usize;
            if std::mem::replace(&mut seen[v], true) {
                continue;
            }
            if levels[v] <= shore.level {
                levels[v] = shore.level;
                let level = shore.level;
                pit.push_back(Shore { level, vertex });
            } else {
                let level = levels[v];
                shores.push(Reverse(Shore { level, vertex }));
            }
        }
    }
    levels
}

/// The vertices joined to each vertex by an edge, ascending, in one list.
struct Links {
    starts: Vec<usize>,
    ends: Vec<u32>,
}

impl Links {
    fn new(mesh: &Mesh) -> Self {
        let mut pairs: Vec<(u32, u32)> = Vec::with_capacity(6 * mesh.triangles.len());
        for &[a, b, c] in &mesh.triangles {
            pairs.extend([(a, b), (b, a), (b, c), (c, b), (c, a), (a, c)]);
        }
        pairs.sort_unstable();
        pairs.dedup();
        let mut starts = vec![0; mesh.vertices.len() + 1];
        for &(from, _) in &pairs {
            starts[from as usize + 1] += 1;
        }
        for v in 1..starts.len() {
            starts[v] += starts[v - 1];
        }
        let ends = pairs.into_iter().map(|(_, to)| to).collect();
        Self { starts, ends }
    }

    fn of(&self, v: usize) -> &[u32] {
        &self.ends[self.starts[v]..self.starts[v + 1]]
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{disk, grid, pyramid};
    use super::*;
    use std::f64::consts::PI;

    /// Rounding of a few hundred sums of numbers near one.
    const ROUNDING: f64 = 1e-12;

    /// level, depth, plan area, volume
    type Measures = [f64; 4];

    fn check(mesh: &Mesh, least_depth: f64, want: &[Measures], source: &str) {
        let found = ponds(mesh, least_depth);
        assert_eq!(found.len(), want.len(), "{found:?}: {source}");
        for (pond, want) in found.iter().zip(want) {
            let got = [pond.level, pond.depth, pond.plan_area, pond.volume];
            for (got, want) in got.into_iter().zip(want) {
                assert!((got - want).abs() < ROUNDING, "{got} for {want}: {source}");
            }
            assert_eq!(pond.deepest.z, pond.level - pond.depth, "{source}");
        }
    }

    /// Cuts the line y = 0 down to z between two places, both included.
    fn cut(mut mesh: Mesh, from: f64, to: f64, z: f64) -> Mesh {
        for p in &mut mesh.vertices {
            if p.y.abs() < ROUNDING && p.x > from - ROUNDING && p.x < to + ROUNDING {
                p.z = p.z.min(z);
            }
        }
        mesh
    }

    /// A hollow upside-down pyramid of base 2 s and depth s: area (2 s)^2, volume (2 s)^2 s / 3.
    fn hollow(level: f64, s: f64) -> Measures {
        [level, s, 4.0 * s * s, 4.0 * s * s * s / 3.0]
    }

    #[test]
    fn fills_pyramids() {
        let square = |n| grid([1.0, 1.0], [n, n], |x, y| x.abs().max(y.abs()) - 1.0);
        check(&Mesh::default(), 0.0, &[], "nothing");
        check(&pyramid(1.0), 0.0, &[], "a roof holds nothing");
        check(
            &pyramid(-1.0),
            0.0,
            &[hollow(0.0, 1.0)],
            "base x height / 3",
        );
        check(
            &square(10),
            0.0,
            &[hollow(0.0, 1.0)],
            "the same in 200 triangles",
        );
        check(&square(10), 1.0, &[], "not deeper than the least depth");
        // Cells are 0.2 wide, so the water's edge keeps to cell edges and the cut stays dry.
        check(
            &cut(square(10), 0.0, 1.0, -0.6),
            0.0,
            &[hollow(-0.6, 0.4)],
            "spills through a cut in the rim",
        );
        // One corner of the base lowered by half the depth: water stands over the kite through it and
        // the middles of the other three hips, area 1.5; a third of that times the depth.
        let mut lowered = pyramid(-1.0);
        lowered.vertices[1].z = -0.5;
        check(
            &lowered,
            0.0,
            &[[-0.5, 0.5, 1.5, 0.25]],
            "cuts through its triangles",
        );
    }

    #[test]
    fn keeps_hollows_apart_at_their_saddle() {
        // Two pyramid hollows side by side; between them and all round, the rim stands at 0.
        let both = || {
            grid([2.0, 1.0], [20, 10], |x, y| {
                (x.abs() - 1.0).abs().max(y.abs()) - 1.0
            })
        };
        let spilling = || cut(both(), 1.0, 2.0, -0.6);
        let full = hollow(0.0, 1.0);
        check(&both(), 0.0, &[full, full], "saddle as high as the rim");
        check(
            &spilling(),
            0.0,
            &[full, hollow(-0.6, 0.4)],
            "one spills at -0.6, the other into it over the saddle at 0",
        );
        let cascade = cut(spilling(), -0.4, 0.4, -0.4);
        let upper = hollow(-0.4, 0.6);
        check(
            &cascade,
            0.0,
            &[upper, hollow(-0.6, 0.4)],
            "one spills at -0.6, the other into it over the saddle at -0.4",
        );
        check(&cascade, 0.5, &[upper], "only one is deeper than 0.5");
        // The sunk saddle joins them: twice 4/3, and a third of 0.5 over the star of the sunk vertex.
        check(
            &cut(both(), 0.0, 0.0, -0.5),
            0.0,
            &[[0.0, 1.0, 8.0, 8.0 / 3.0 + 0.5 * star_of_middle() / 3.0]],
            "a saddle under water joins two hollows",
        );
    }

    /// Plan area of the triangles about the middle vertex of the grid used above.
    fn star_of_middle() -> f64 {
        let mesh = grid([2.0, 1.0], [20, 10], |_, _| 0.0);
        let middle = 5 * 21 + 10;
        (0..mesh.triangles.len())
            .filter(|&t| mesh.triangles[t].contains(&middle))
            .map(|t| plan_area(&mesh, t))
            .sum()
    }

    #[test]
    fn cone_holds_nothing_and_bowl_its_cap() {
        check(&disk(1.0, 8, |r| -r), 0.0, &[], "a cone sheds");
        check(&disk(1.0, 8, |_| 0.0), 0.0, &[], "a level plate is dry");

        // Ball of radius 1.25 cut at radius 1, sagitta 0.5: pi h^2 (3 R - h) / 3.
        let exact = PI * 0.25 * (3.75 - 0.5) / 3.0;
        let error = |rings| {
            let bowl = disk(1.0, rings, |r| 0.75 - (1.5625 - r * r).sqrt());
            let found = ponds(&bowl, 0.01);
            assert_eq!(found.len(), 1);
            assert!((found[0].depth - 0.5).abs() < ROUNDING, "sagitta");
            assert!(found[0].deepest.coords.xy().norm() < ROUNDING, "middle");
            exact - found[0].volume
        };
        let (coarse, fine) = (error(8), error(16));
        assert!(fine > 0.0 && fine < 0.01 * exact, "{fine}");
        // Linear triangles on a smooth bowl: halving their size quarters the error.
        assert!((coarse / fine - 4.0).abs() < 0.2, "order: {coarse} {fine}");
    }

    #[test]
    fn water_in_a_triangle_is_cut_exactly() {
        // One corner of unit depth over a level line at half the edges: area 1/4, volume 1/4 x 1/3.
        // Its complement adds up to the integral of the linear depth.
        let [wet, dry] = [[1.0, -1.0, -1.0], [-1.0, 1.0, 1.0]].map(|d| water(d, 1.0));
        for (got, want) in [
            (wet, (0.25, 0.25 / 3.0)),
            (dry, (0.75, 0.25 / 3.0 + 1.0 / 3.0)),
        ] {
            assert!((got.0 - want.0).abs() < ROUNDING, "{got:?}");
            assert!((got.1 - want.1).abs() < ROUNDING, "{got:?}");
        }
        assert_eq!(water([1.0, 2.0, 3.0], 2.0), (2.0, 4.0));
        assert_eq!(water([0.0, -1.0, -2.0], 2.0), (0.0, 0.0));
    }
}
