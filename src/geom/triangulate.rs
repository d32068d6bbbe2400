//! A graded triangulation of a plan region that keeps given lines as edges (constrained Delaunay, by spade).
//!
//! Points lie densely on the outline, the discs and the lines, in a hexagonal lattice of the same size near
//! them, and in the same lattice thinned to twice the size farther off. The lattice is symmetric about
//! y = 0, so a symmetric region gets a symmetric mesh (up to ties).

mod untangle;

use nalgebra::Point2;
use spade::handles::FixedVertexHandle;
use spade::{ConstrainedDelaunayTriangulation, HasPosition, Triangulation};
use untangle::untangle;

/// A disc that is meshed as a ring of nodes and its center.
#[derive(Debug, Clone, Copy)]
pub struct Disc {
    /// Center, m.
    pub center: Point2<f64>,
    /// Radius, m.
    pub radius: f64,
}

/// A line that becomes edges of the mesh.
#[derive(Debug, Clone)]
pub struct Line {
    /// Its corners, m. An end that is the center of a disc is led over the disc's ring.
    pub points: Vec<Point2<f64>>,
    /// Keep its course exactly; otherwise its points may snap to nodes that are already near.
    pub exact: bool,
}

/// What is to be meshed.
#[derive(Debug, Clone, Copy)]
pub struct Region<'a> {
    /// Convex outline, counter-clockwise; every point becomes a node.
    pub outline: &'a [Point2<f64>],
    /// Discs inside it.
    pub discs: &'a [Disc],
    /// Lines inside it, the more important first.
    pub lines: &'a [Line],
    /// Length of edges near outline, discs and lines, m.
    pub size: f64,
}

/// The mesh.
#[derive(Debug, Clone, Default)]
pub struct PlanMesh {
    /// Nodes.
    pub points: Vec<Point2<f64>>,
    /// Triangles, counter-clockwise.
    pub triangles: Vec<[u32; 3]>,
    /// Nodes of each line in its order.
    pub lines: Vec<Vec<u32>>,
    /// Nodes of each disc, the center first.
    pub discs: Vec<Vec<u32>>,
    /// For each point of the region's outline, in its order, the node.
    pub outline: Vec<u32>,
}

/// Nodes closer than this part of the size are one.
const SAME: f64 = 1e-6;
/// A line that need not be exact snaps to nodes within this part of the size.
const SNAP: f64 = 0.35;
/// Lattice nodes keep this part of the size away from all others: no slivers.
const APART: f64 = 0.62;
/// The lattice stays fine within this many sizes of outline, discs and lines.
const FINE: f64 = 2.4;
/// Fewest nodes on a ring.
const RING: usize = 8;
/// Ring nodes stand at least this far apart, rad; a line's own node takes the place of a near one.
const RING_GAP: f64 = 0.26;

#[derive(Clone, Copy)]
struct Node(Point2<f64>);

impl HasPosition for Node {
    type Scalar = f64;
    fn position(&self) -> spade::Point2<f64> {
        spade::Point2::new(self.0.x, self.0.y)
    }
}

/// Points in square buckets, to find near ones fast.
struct Buckets {
    low: Point2<f64>,
    width: f64,
    columns: usize,
    rows: usize,
    cells: Vec<Vec<u32>>,
}

impl Buckets {
    fn new(low: Point2<f64>, high: Point2<f64>, width: f64) -> Buckets {
        let count = |span: f64| (span / width).floor().max(0.0) as usize + 1;
        let (columns, rows) = (count(high.x - low.x), count(high.y - low.y));
        Buckets {
            low,
            width,
            columns,
            rows,
            cells: vec![Vec::new(); columns * rows],
        }
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

    fn insert(&mut self, p: Point2<f64>, node: u32) {
        let (column, row) = self.cell(p);
        self.cells[row * self.columns + column].push(node);
    }

    /// Nodes of the buckets that meet a rectangle.
    fn within(&self, low: Point2<f64>, high: Point2<f64>) -> impl Iterator<Item = u32> + '_ {
        let (left, bottom) = self.cell(low);
        let (right, top) = self.cell(high);
        (bottom..=top)
            .flat_map(move |row| (left..=right).map(move |column| row * self.columns + column))
            .flat_map(|cell| self.cells[cell].iter().copied())
    }

    /// Nearest node within a reach of at most one bucket's width.
    fn nearest(&self, p: Point2<f64>, points: &[Point2<f64>], reach: f64) -> Option<(u32, f64)> {
        let (column, row) = self.cell(p);
        let mut best: Option<(u32, f64)> = None;
        for r in row.saturating_sub(1)..=(row + 1).min(self.rows - 1) {
            for c in column.saturating_sub(1)..=(column + 1).min(self.columns - 1) {
                for &node in &self.cells[r * self.columns + c] {
                    let distance = (points[node as usize] - p).norm();
                    if distance <= reach && best.is_none_or(|(_, d)| distance < d) {
                        best = Some((node, distance));
                    }
                }
            }
        }
        best
    }
}

struct Builder {
    points: Vec<Point2<f64>>,
    /// Number of nodes on the outline, which come first.
    outline: u32,
    buckets: Buckets,
    size: f64,
}

impl Builder {
    fn add(&mut self, p: Point2<f64>, snap: f64) -> u32 {
        // A line never snaps to the outline: its nodes may be held, and would be lost there.
        let near = self.buckets.nearest(p, &self.points, snap * self.size);
        if let Some((node, distance)) = near
            && (node >= self.outline || distance <= SAME * self.size)
        {
            return node;
        }
        let node = self.points.len() as u32;
        self.points.push(p);
        self.buckets.insert(p, node);
        node
    }

    /// Nodes along a line, about one size apart, led over the rings of the discs at its corners.
    fn line(&mut self, line: &Line, discs: &[Disc]) -> Vec<u32> {
        let snap = if line.exact { SAME } else { SNAP };
        let mut chain: Vec<u32> = Vec::new();
        let mut push = |node: u32| {
            if chain.last() != Some(&node) {
                chain.push(node);
            }
        };
        for pair in line.points.windows(2) {
            let &[from, to] = pair else { continue };
            let along = to - from;
            let length = along.norm();
            if length <= SAME * self.size {
                continue;
            }
            let unit = along / length;
            let ring = |corner: Point2<f64>| {
                discs
                    .iter()
                    .find(|disc| (disc.center - corner).norm() <= SAME * self.size)
                    .map_or(0.0, |disc| disc.radius.min(0.49 * length))
            };
            let (start, end) = (ring(from), length - ring(to));
            push(self.add(from, snap));
            for (near, far) in [(0.0, start), (start, end), (end, length)] {
                // Never longer than the size, or lattice nodes could come to lie on the line.
                let pieces = ((far - near) / self.size - SAME).ceil().max(0.0) as usize;
                for piece in 1..=pieces {
                    let s = near + (far - near) * piece as f64 / pieces as f64;
                    push(self.add(from + unit * s, snap));
                }
            }
        }
        chain
    }

    /// The ring of a disc: nodes where lines leave it, and others evenly between.
    fn disc(&mut self, disc: &Disc, lines: &[Line]) -> Vec<u32> {
        let mut nodes = vec![self.add(disc.center, SAME)];
        let mut angles: Vec<f64> = Vec::new();
        let mut want = |direction: nalgebra::Vector2<f64>| {
            let angle = direction.y.atan2(direction.x);
            if !angles.iter().any(|&a| angle_between(a, angle) < SAME) {
                angles.push(angle);
            }
        };
        for line in lines {
            for pair in line.points.windows(2) {
                let &[from, to] = pair else { continue };
                for (here, there) in [(from, to), (to, from)] {
                    if (here - disc.center).norm() <= SAME * self.size && there != here {
                        want(there - here);
                    }
                }
            }
        }
        let led = angles.len();
        let count = RING.max((std::f64::consts::TAU * disc.radius / self.size).round() as usize);
        for k in 0..count {
            let angle = std::f64::consts::TAU * k as f64 / count as f64;
            let gap = RING_GAP.min(0.5 * std::f64::consts::TAU / count as f64);
            if angles[..led].iter().all(|&a| angle_between(a, angle) > gap) {
                angles.push(angle);
            }
        }
        for angle in angles {
            let p = disc.center + nalgebra::Vector2::new(angle.cos(), angle.sin()) * disc.radius;
            nodes.push(self.add(p, SAME));
        }
        nodes
    }

    /// Takes out the points that lie on or very near a line.
    fn clear_of(
        &self,
        chains: &[Vec<u32>],
        low: Point2<f64>,
        high: Point2<f64>,
        points: &mut Vec<Point2<f64>>,
    ) {
        let mut buckets = Buckets::new(low, high, self.size);
        for (place, p) in points.iter().enumerate() {
            buckets.insert(*p, place as u32);
        }
        let reach = CLEAR * self.size;
        let mut near = vec![false; points.len()];
        for pair in chains.iter().flat_map(|chain| chain.windows(2)) {
            let &[a, b] = pair else { continue };
            let (a, b) = (self.points[a as usize], self.points[b as usize]);
            let along = b - a;
            let margin = nalgebra::Vector2::repeat(reach);
            for place in buckets.within(a.inf(&b) - margin, a.sup(&b) + margin) {
                let p = points[place as usize];
                let s = ((p - a).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
                if (a + along * s - p).norm() < reach {
                    near[place as usize] = true;
                }
            }
        }
        let mut near = near.into_iter();
        points.retain(|_| !near.next().unwrap_or(false));
    }

    /// All nodes of a disc, those on its ring included.
    fn inside(&self, disc: &Disc) -> Vec<u32> {
        let reach = disc.radius + SAME * self.size;
        (0..self.points.len() as u32)
            .filter(|node| (self.points[*node as usize] - disc.center).norm() <= reach)
            .collect()
    }

    /// The lattice inside the outline, fine near what is already there and clear of the lines.
    fn lattice(
        &mut self,
        outline: &[Point2<f64>],
        low: Point2<f64>,
        high: Point2<f64>,
        chains: &[Vec<u32>],
    ) {
        let features = self.points.len();
        let pitch = self.size * 0.75f64.sqrt();
        let rows = (high.y.abs().max(low.y.abs()) / pitch).ceil() as i64;
        let mut inner: Vec<Point2<f64>> = Vec::new();
        for row in -rows..=rows {
            let y = row as f64 * pitch;
            let Some((left, right)) = chord(outline, y) else {
                continue;
            };
            let shift = 0.5 * row as f64 * self.size;
            let first = ((left - shift) / self.size).ceil() as i64;
            let last = ((right - shift) / self.size).floor() as i64;
            for column in first..=last {
                let p = Point2::new(shift + column as f64 * self.size, y);
                let reach = FINE * self.size;
                match self.buckets.nearest(p, &self.points[..features], reach) {
                    Some((_, distance)) if distance >= APART * self.size => inner.push(p),
                    Some(_) => {}
                    None if row % 2 == 0 && column % 2 == 0 => inner.push(p),
                    None => {}
                }
            }
        }
        self.clear_of(chains, low, high, &mut inner);
        self.points.append(&mut inner);
    }
}

/// Lattice nodes keep this part of the size away from the lines themselves.
const CLEAR: f64 = 0.3;

fn angle_between(a: f64, b: f64) -> f64 {
    let turn = (a - b).rem_euclid(std::f64::consts::TAU);
    turn.min(std::f64::consts::TAU - turn)
}

/// Where a horizontal line cuts a convex outline.
fn chord(outline: &[Point2<f64>], y: f64) -> Option<(f64, f64)> {
    let mut range: Option<(f64, f64)> = None;
    for (i, a) in outline.iter().enumerate() {
        let b = outline[(i + 1) % outline.len()];
        if (a.y - y) * (b.y - y) > 0.0 || a.y == b.y {
            continue;
        }
        let x = a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y);
        range = Some(range.map_or((x, x), |(low, high)| (low.min(x), high.max(x))));
    }
    range
}

/// Meshes a region; `None` where the outline is no region or its coordinates cannot be triangulated.
pub fn triangulate(region: &Region) -> Option<PlanMesh> {
    if region.outline.len() < 3 || region.size <= 0.0 {
        return None;
    }
    let mut low = region.outline[0];
    let mut high = low;
    for p in region.outline {
        low = low.inf(p);
        high = high.sup(p);
    }
    let mut builder = Builder {
        points: Vec::new(),
        outline: 0,
        buckets: Buckets::new(low, high, FINE * region.size),
        size: region.size,
    };
    let outline: Vec<u32> = region
        .outline
        .iter()
        .map(|p| builder.add(*p, SAME))
        .collect();
    builder.outline = builder.points.len() as u32;
    let rings: Vec<Vec<u32>> = region
        .discs
        .iter()
        .map(|disc| builder.disc(disc, region.lines))
        .collect();
    let mut chains: Vec<Vec<u32>> = region
        .lines
        .iter()
        .map(|line| builder.line(line, region.discs))
        .collect();
    let mut exact: Vec<bool> = region.lines.iter().map(|line| line.exact).collect();
    // The rings take part in the untangling: a line may run over a disc without ending there.
    for ring in &rings {
        chains.push(sorted_ring(ring, &builder.points));
        exact.push(true);
    }
    untangle(&mut builder, &mut chains, &exact);
    builder.lattice(region.outline, low, high, &chains);

    let nodes: Vec<Node> = builder.points.iter().map(|p| Node(*p)).collect();
    let mut cdt =
        ConstrainedDelaunayTriangulation::<Node>::bulk_load_cdt(nodes, Vec::new()).ok()?;
    if cdt.num_vertices() != builder.points.len() {
        return None;
    }
    // Lines that must be exact come first; of the others a piece that would cross is left out.
    let mut keep = |from: u32, to: u32| {
        let [from, to] = [from, to].map(|node| FixedVertexHandle::from_index(node as usize));
        let free = from != to && cdt.can_add_constraint(from, to);
        if free {
            cdt.add_constraint(from, to);
        }
        free
    };
    for (i, &from) in outline.iter().enumerate() {
        keep(from, outline[(i + 1) % outline.len()]);
    }
    for wanted in [true, false] {
        for (chain, exact) in chains.iter().zip(&exact) {
            if *exact != wanted {
                continue;
            }
            for pair in chain.windows(2) {
                if let &[from, to] = pair
                    && !keep(from, to)
                    && *exact
                {
                    return None;
                }
            }
        }
    }
    chains.truncate(region.lines.len());
    let discs = region
        .discs
        .iter()
        .map(|disc| builder.inside(disc))
        .collect();

    let outside = outer_faces(&cdt);
    let triangles = cdt
        .inner_faces()
        .filter(|face| !outside[face.fix().index()])
        .map(|face| face.vertices().map(|vertex| vertex.index() as u32))
        .collect();
    Some(PlanMesh {
        points: cdt.vertices().map(|vertex| vertex.data().0).collect(),
        triangles,
        lines: chains,
        discs,
        outline,
    })
}

/// The ring as a closed chain in order of its angle; the center, first in `ring`, is left out.
fn sorted_ring(ring: &[u32], points: &[Point2<f64>]) -> Vec<u32> {
    let Some((center, rest)) = ring.split_first() else {
        return Vec::new();
    };
    let middle = points[*center as usize];
    let mut spokes = rest.to_vec();
    spokes.sort_by(|a, b| {
        let angle = |node: &u32| {
            let arm = points[*node as usize] - middle;
            arm.y.atan2(arm.x)
        };
        angle(a).total_cmp(&angle(b))
    });
    spokes.extend(spokes.first().copied());
    spokes
}

/// Faces between the outline and the convex hull of its rounded points: reached from outside without
/// crossing a kept edge.
fn outer_faces(cdt: &ConstrainedDelaunayTriangulation<Node>) -> Vec<bool> {
    let mut outside = vec![false; cdt.num_all_faces()];
    let mut queue = vec![cdt.outer_face().fix()];
    while let Some(face) = queue.pop() {
        let edges: Vec<_> = if face == cdt.outer_face().fix() {
            cdt.convex_hull().map(|edge| edge.fix()).collect()
        } else {
            match cdt.face(face).as_inner() {
                Some(inner) => inner.adjacent_edges().map(|edge| edge.fix()).to_vec(),
                None => Vec::new(),
            }
        };
        for edge in edges {
            let edge = cdt.directed_edge(edge);
            if edge.is_constraint_edge() {
                continue;
            }
            for side in [edge.face(), edge.rev().face()] {
                if !side.is_outer() && !outside[side.fix().index()] {
                    outside[side.fix().index()] = true;
                    queue.push(side.fix());
                }
            }
        }
    }
    outside
}
