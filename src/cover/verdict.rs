//! Reads the solved film: slopes, patches, ponds, loads, contacts.

use super::problem::Problem;
use super::{Contact, Cover, Rest, StrapShape};
use crate::boat::Rules;
use crate::frame::Frame;
use crate::geom::mesh::Mesh;
use crate::geom::surface::{area, drains_everywhere, patches, plan_area, ponds, slope};
use crate::hull::Hull;
use crate::num::bounded::Minimum;
use nalgebra::{Point3, Vector3};
use std::collections::BTreeMap;

/// The length over which a thing's load is read, m.
const FOOT: f64 = 0.3048;

pub(super) fn read(
    hull: &Hull,
    frame: &Frame,
    rules: &Rules,
    problem: &Problem,
    minimum: Minimum,
) -> Cover {
    let mesh = problem.mesh(&minimum.z);
    let count = mesh.triangles.len();
    let slopes: Vec<f64> = (0..count).map(|t| slope(&mesh, t)).collect();
    let neighbors = problem.neighbors();
    let mut means = MeanSlopes::new(problem, &mesh, &slopes, neighbors);
    let mut holding = patches(&mesh, neighbors, |t| {
        slopes.get(t).is_some_and(|slope| *slope < rules.min_slope)
    });
    for patch in &mut holding {
        if let Some((least, _)) = means.least(patch.triangles.iter().map(|t| *t as usize)) {
            patch.least_slope = least;
        }
    }
    let (least_slope, least_slope_at) = means.least_of_all(rules.min_slope);
    let spanned_area: f64 = (0..count).map(|t| area(&mesh, t)).sum();
    let skirt = problem.skirt(hull, rules);
    let (post_loads, contacts) = rests(frame, problem, &minimum, &mesh);
    let edge_pull: f64 = sum_where(&minimum.gradient, &problem.fixed);
    let held: f64 = sum_where(&minimum.gradient, &minimum.held);
    Cover {
        under: problem.under.clone(),
        floor: problem.lower.clone(),
        pushes: minimum
            .gradient
            .iter()
            .zip(&minimum.held)
            .map(|(force, held)| if *held { *force } else { 0.0 })
            .collect(),
        straps: straps(frame, problem, &minimum, &mesh),
        ponds: if drains_everywhere(&mesh, &problem.fixed) {
            Vec::new()
        } else {
            ponds(&mesh, rules.pond_depth)
        },
        patches: holding,
        slopes,
        post_loads,
        contacts,
        least_slope,
        least_slope_at,
        spanned_area,
        area: spanned_area + skirt.area,
        plan_area: (0..count).map(|t| plan_area(&mesh, t)).sum(),
        band_length: skirt.band_length,
        edge: problem.plan.outline.clone(),
        band: skirt.band.clone(),
        edge_pull,
        vertical: edge_pull + held,
        status: minimum.status,
        iterations: minimum.iterations,
        residual: minimum.residual,
        mesh,
    }
}

fn sum_where(values: &[f64], chosen: &[bool]) -> f64 {
    values
        .iter()
        .zip(chosen)
        .filter(|(_, chosen)| **chosen)
        .map(|(value, _)| value)
        .sum()
}

/// Slopes are told as means over a hand's breadth, m; 4 in. What a single triangle has follows the mesh.
const HAND_BREADTH: f64 = 0.1016;

/// The flattest triangles among which the least mean is looked for where none is flatter than the rules want.
const FLATTEST: usize = 64;

/// Film whose slopes are read as means over a hand's breadth.
struct MeanSlopes<'a> {
    mesh: &'a Mesh,
    slopes: &'a [f64],
    neighbors: &'a [[Option<u32>; 3]],
    /// Whether a triangle lies on a cap, whose top is flat by nature.
    on_cap: Vec<bool>,
    /// Middle of each triangle.
    middles: Vec<Point3<f64>>,
    /// The means that were asked for.
    known: Vec<Option<f64>>,
}

impl<'a> MeanSlopes<'a> {
    fn new(
        problem: &Problem,
        mesh: &'a Mesh,
        slopes: &'a [f64],
        neighbors: &'a [[Option<u32>; 3]],
    ) -> MeanSlopes<'a> {
        let on_cap =
            |node: &u32| matches!(problem.under.get(*node as usize), Some(Some(Rest::Cap(_))));
        MeanSlopes {
            on_cap: mesh
                .triangles
                .iter()
                .map(|nodes| nodes.iter().all(on_cap))
                .collect(),
            middles: mesh
                .corners()
                .map(|[a, b, c]| Point3::from((a.coords + b.coords + c.coords) / 3.0))
                .collect(),
            known: vec![None; mesh.triangles.len()],
            mesh,
            slopes,
            neighbors,
        }
    }

    /// Mean slope by area of the film off the caps within half a hand's breadth of a triangle's middle in plan, rad.
    fn about(&mut self, t: usize) -> f64 {
        if let Some(known) = self.known[t] {
            return known;
        }
        let middle = self.middles[t].xy();
        let mut seen = vec![t];
        let (mut sum, mut whole) = (0.0, 0.0);
        let mut next = 0;
        while let Some(&u) = seen.get(next) {
            next += 1;
            if !self.on_cap[u] {
                let piece = area(self.mesh, u);
                sum += self.slopes[u] * piece;
                whole += piece;
            }
            for v in self.neighbors[u].into_iter().flatten() {
                let v = v as usize;
                let near = (self.middles[v].xy() - middle).norm() <= 0.5 * HAND_BREADTH;
                if near && !seen.contains(&v) {
                    seen.push(v);
                }
            }
        }
        let mean = if whole > 0.0 {
            sum / whole
        } else {
            self.slopes[t]
        };
        self.known[t] = Some(mean);
        mean
    }

    /// The least of some triangles off the caps, and where it is.
    fn least(&mut self, triangles: impl Iterator<Item = usize>) -> Option<(f64, Point3<f64>)> {
        let mut least: Option<(f64, Point3<f64>)> = None;
        for t in triangles {
            if self.on_cap[t] {
                continue;
            }
            let mean = self.about(t);
            if least.is_none_or(|(before, _)| mean < before) {
                least = Some((mean, self.middles[t]));
            }
        }
        least
    }

    /// The least of the whole film: among what is flatter than wanted, else among the flattest triangles.
    fn least_of_all(&mut self, wanted: f64) -> (f64, Point3<f64>) {
        let mut order: Vec<usize> = (0..self.slopes.len())
            .filter(|t| !self.on_cap[*t])
            .collect();
        order.sort_by(|a, b| self.slopes[*a].total_cmp(&self.slopes[*b]));
        let flat = order.partition_point(|t| self.slopes[*t] < wanted);
        order.truncate(flat.max(FLATTEST));
        self.least(order.into_iter())
            .unwrap_or((0.0, Point3::origin()))
    }
}

/// Load of each post, and contacts with things: connected held nodes, their force and middle.
fn rests(
    frame: &Frame,
    problem: &Problem,
    minimum: &Minimum,
    mesh: &Mesh,
) -> (Vec<f64>, Vec<Contact>) {
    let mut loads = vec![0.0; frame.posts.len()];
    let mut thing_of: Vec<Option<usize>> = vec![None; mesh.vertices.len()];
    for (node, under) in problem.under.iter().enumerate() {
        if !minimum.held[node] {
            continue;
        }
        match under {
            Some(Rest::Cap(post)) => loads[*post] += minimum.gradient[node],
            Some(Rest::Thing(thing)) => thing_of[node] = Some(*thing),
            None => {}
        }
    }
    let mut group: Vec<usize> = (0..mesh.vertices.len()).collect();
    for triangle in &mesh.triangles {
        for k in 0..3 {
            let (a, b) = (triangle[k] as usize, triangle[(k + 1) % 3] as usize);
            if thing_of[a].is_some() && thing_of[a] == thing_of[b] {
                let (ra, rb) = (root(&mut group, a), root(&mut group, b));
                group[ra.max(rb)] = ra.min(rb);
            }
        }
    }
    let bearing: Vec<(usize, usize)> = thing_of
        .iter()
        .enumerate()
        .filter_map(|(node, thing)| Some((node, (*thing)?)))
        .filter(|(node, _)| minimum.gradient[*node] > 0.0)
        .collect();
    let mut nodes_of: BTreeMap<usize, (usize, Vec<usize>)> = BTreeMap::new();
    for (node, thing) in &bearing {
        let contact = nodes_of.entry(root(&mut group, *node));
        contact.or_insert((*thing, Vec::new())).1.push(*node);
    }
    let force = |nodes: &[usize]| -> f64 { nodes.iter().map(|n| minimum.gradient[*n]).sum() };
    let about = |node: usize, thing: usize| -> f64 {
        let near = |other: usize| (mesh.vertices[other] - mesh.vertices[node]).norm() <= 0.5 * FOOT;
        let nodes = bearing.iter().filter(|(n, on)| *on == thing && near(*n));
        nodes.map(|(n, _)| minimum.gradient[*n]).sum()
    };
    let mut contacts: Vec<Contact> = nodes_of
        .into_values()
        .map(|(thing, nodes)| {
            let force = force(&nodes);
            let moment: Vector3<f64> = nodes
                .iter()
                .map(|n| mesh.vertices[*n].coords * minimum.gradient[*n])
                .sum();
            Contact {
                thing,
                at: Point3::from(moment / force),
                force,
                over_a_foot: nodes.iter().map(|n| about(*n, thing)).fold(0.0, f64::max),
            }
        })
        .collect();
    contacts.sort_by(|a, b| b.force.total_cmp(&a.force));
    (loads, contacts)
}

fn root(group: &mut [usize], mut node: usize) -> usize {
    while group[node] != node {
        group[node] = group[group[node]];
        node = group[node];
    }
    node
}

fn straps(frame: &Frame, problem: &Problem, minimum: &Minimum, mesh: &Mesh) -> Vec<StrapShape> {
    frame
        .straps
        .iter()
        .zip(&problem.plan.lines)
        .map(|(_, nodes)| {
            let points: Vec<Point3<f64>> = nodes
                .iter()
                .filter_map(|node| mesh.vertices.get(*node as usize).copied())
                .collect();
            let length = points
                .iter()
                .zip(points.iter().skip(1))
                .map(|(a, b)| (b - a).norm())
                .sum();
            StrapShape {
                length,
                sag: sag(&points, nodes, minimum),
                nodes: nodes.clone(),
            }
        })
        .collect()
}

/// Greatest height of the chords between neighboring supports (ends and held nodes) over the strap, m.
fn sag(points: &[Point3<f64>], nodes: &[u32], minimum: &Minimum) -> f64 {
    let mut sag = 0.0f64;
    let mut from = 0;
    for to in 1..points.len() {
        let supported = minimum.held[nodes[to] as usize] || to + 1 == points.len();
        if !supported {
            continue;
        }
        let (a, b) = (points[from], points[to]);
        let span = (b.xy() - a.xy()).norm();
        for p in &points[from..to] {
            if span > 0.0 {
                let s = (p.xy() - a.xy()).norm() / span;
                sag = sag.max(a.z + (b.z - a.z) * s - p.z);
            }
        }
        from = to;
    }
    sag
}
