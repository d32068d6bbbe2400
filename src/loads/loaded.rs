//! A cover as it hangs under a load, and what can be read off it.

use super::case::Case;
use super::elastic::LoadedShape;
use super::law::State;
use super::rig::Rig;
use crate::boat::Rules;
use crate::cover::Rest;
use crate::geom::mesh::Mesh;
use crate::geom::surface::{Patch, Pond, area, edge_neighbors, patches, ponds, slope};
use crate::num::bounded::Status;
use nalgebra::{Point2, Point3, Vector3};
use serde::Serialize;
use std::collections::BTreeMap;

/// How loading a cover ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// It hangs still under its load.
    Settles,
    /// Water makes its hollows deeper, and they take more water, until the film yields.
    RunsAway,
    /// The solution was not found; the figures are those of its last step.
    Unsolved,
}

/// Something that carries film, pressed by it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pressed {
    /// Thing on the boat, by its place in the hull.
    pub thing: usize,
    /// Force of film and straps on it, N.
    pub force: f64,
    /// Greatest pressure on it, Pa.
    pub pressure: f64,
}

/// What pulls at one point of the edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeForce {
    /// Pull of the film across the edge, N/m.
    pub across: f64,
    /// Part of it that goes down the skirt and pulls the band up, N/m: friction over the rail is left out.
    pub lifts_band: f64,
    /// Length of the edge that it stands for, m.
    pub length: f64,
}

/// A cover under a load.
#[derive(Debug, Clone)]
pub struct Loaded {
    /// The case.
    pub case: Case,
    /// The film above the edge line as it hangs; triangles as in the taut cover's mesh.
    pub mesh: Mesh,
    /// Slope of each triangle, rad.
    pub slopes: Vec<f64>,
    /// Greatest stress in each triangle, Pa.
    pub stresses: Vec<f64>,
    /// What the film does in each triangle.
    pub states: Vec<State>,
    /// Greatest stress farther than [`BESIDE_CAP`] from caps, Pa: a mean over squares of [`HAND`], since a triangle's own
    /// depends on the mesh.
    pub max_stress: f64,
    /// Where that is, m.
    pub max_stress_at: Point3<f64>,
    /// Stress about each cap in the frame's order, Pa: mean over a ring as wide as the cap's radius.
    pub cap_stresses: Vec<f64>,
    /// How far the film hangs lower than taut at most, m.
    pub max_sag: f64,
    /// Where that is, m.
    pub max_sag_at: Point3<f64>,
    /// Least slope of any triangle that does not lie on a cap, rad.
    pub least_slope: f64,
    /// Connected film flatter than the least slope wanted, the largest first.
    pub patches: Vec<Patch>,
    /// Hollows that hold water, the largest first.
    pub ponds: Vec<Pond>,
    /// Tension of each strap in the frame's order, N.
    pub strap_tensions: Vec<f64>,
    /// Load of each post in the frame's order, N.
    pub post_loads: Vec<f64>,
    /// Things of the boat that carry film.
    pub pressed: Vec<Pressed>,
    /// What pulls at each node of the edge, in the cover's order.
    pub edge: Vec<EdgeForce>,
    /// Whole load, N, positive downward.
    pub total: f64,
    /// What is left of all forces together, N: zero up to rounding.
    pub left_over: f64,
    /// How it ended.
    pub outcome: Outcome,
    /// Times that the film was solved.
    pub rounds: usize,
    /// Largest force left over at a free node, N.
    pub residual: f64,
}

impl Loaded {
    /// Area of all film flatter than the least slope, m2.
    pub fn holding_area(&self) -> f64 {
        self.patches.iter().fold(0.0, |sum, patch| sum + patch.area)
    }

    /// Water in all hollows, m3.
    pub fn pond_volume(&self) -> f64 {
        // A sum of none would be a negative zero.
        self.ponds.iter().fold(0.0, |sum, pond| sum + pond.volume)
    }
}

/// Side of the squares of the plan that stress is averaged over, m; house rule, 4 in: a hand.
pub const HAND: f64 = 0.1016;

/// Film nearer than this to the middle of a cap is looked at by itself, m; house rule, 12 in.
pub const BESIDE_CAP: f64 = 0.3048;

/// Density of water, kg/m3, times standard gravity, m/s2.
pub const WATER_WEIGHT: f64 = 1000.0 * 9.806_65;

/// Hollows shallower than this run off or dry up before they matter, m.
const FILM_OF_WATER: f64 = 0.001;

/// Water that comes to less than this part more in a round has settled.
const SETTLED: f64 = 0.01;

/// Water under this is none, m3: a cupful.
const CUPFUL: f64 = 2.5e-4;

/// Rounds of filling at most.
const MAX_FILLINGS: usize = 30;

/// What a case needs beside the rig.
pub(super) struct Loading<'a> {
    pub rules: &'a Rules,
    /// Thickness of the film, m.
    pub thickness: f64,
    /// Stress at which film yields, Pa: hollows that pass it while they still grow run away.
    pub yields_at: f64,
}

/// Hangs a cover under forces on its nodes.
pub(super) fn hang(
    rig: &mut Rig,
    loading: &Loading,
    case: Case,
    load: &[Vector3<f64>],
    from: Option<&[Point3<f64>]>,
) -> Loaded {
    let shape = rig.load(load, from);
    read(rig, loading, case, load, &shape)
}

/// Fills the hollows of a loaded cover until they settle or run away.
pub(super) fn fill(
    rig: &mut Rig,
    loading: &Loading,
    load: &[Vector3<f64>],
    dry: &Loaded,
) -> Loaded {
    let mut hung = dry.clone();
    hung.case = Case::RainOnSnow;
    if dry.outcome == Outcome::Unsolved {
        return hung;
    }
    let mut volume = 0.0;
    for round in 1..=MAX_FILLINGS {
        let hollows = ponds(&hung.mesh, FILM_OF_WATER);
        let held: f64 = hollows.iter().map(|pond| pond.volume).sum();
        if held - volume <= (SETTLED * held).max(CUPFUL) {
            return hung;
        }
        if hung.max_stress > loading.yields_at {
            break;
        }
        volume = held;
        let mut wet = load.to_vec();
        for pond in &hollows {
            pour(&hung.mesh, pond, &mut wet);
        }
        let from = std::mem::take(&mut hung.mesh.vertices);
        hung = hang(rig, loading, Case::RainOnSnow, &wet, Some(&from));
        hung.rounds = dry.rounds + round;
        if hung.outcome == Outcome::Unsolved {
            return hung;
        }
    }
    hung.outcome = Outcome::RunsAway;
    hung
}

/// Adds the weight of a pond's water to the nodes under it: each carries the column over its part of the plan.
fn pour(mesh: &Mesh, pond: &Pond, load: &mut [Vector3<f64>]) {
    let mut wet = vec![false; mesh.vertices.len()];
    for vertex in &pond.vertices {
        wet[*vertex as usize] = true;
    }
    let mut columns: Vec<(u32, f64)> = Vec::new();
    for triangle in &mesh.triangles {
        if !triangle.iter().any(|node| wet[*node as usize]) {
            continue;
        }
        let corners = triangle.map(|node| mesh.vertices[node as usize]);
        let third = ((corners[1] - corners[0])
            .xy()
            .perp(&(corners[2] - corners[0]).xy())
            / 6.0)
            .abs();
        for node in triangle.iter().filter(|node| wet[**node as usize]) {
            columns.push((
                *node,
                third * (pond.level - mesh.vertices[*node as usize].z),
            ));
        }
    }
    // Columns by nodes are a little off the water between the triangles: the sum is made to be that.
    let sum: f64 = columns.iter().map(|(_, volume)| volume).sum();
    if sum > 0.0 {
        for (node, volume) in columns {
            load[node as usize].z -= WATER_WEIGHT * volume * pond.volume / sum;
        }
    }
}

fn read(
    rig: &Rig,
    loading: &Loading,
    case: Case,
    load: &[Vector3<f64>],
    shape: &LoadedShape,
) -> Loaded {
    let taut = &rig.cover.mesh;
    let mesh = Mesh {
        vertices: shape.points.clone(),
        triangles: taut.triangles.clone(),
    };
    let count = mesh.triangles.len();
    let slopes: Vec<f64> = (0..count).map(|t| slope(&mesh, t)).collect();
    let on_cap = |node: &u32| matches!(rig.cover.under[*node as usize], Some(Rest::Cap(_)));
    let off_caps: Vec<bool> = mesh
        .triangles
        .iter()
        .map(|triangle| !triangle.iter().all(on_cap))
        .collect();
    let least_slope = slopes
        .iter()
        .zip(&off_caps)
        .filter(|(_, off)| **off)
        .map(|(slope, _)| *slope)
        .fold(f64::INFINITY, f64::min);
    let stresses: Vec<f64> = shape
        .pulls
        .iter()
        .map(|pulls| pulls[0] / loading.thickness)
        .collect();
    let tops: Vec<Point2<f64>> = rig.frame.posts.iter().map(|post| post.top().xy()).collect();
    let middles: Vec<Point2<f64>> = (0..count)
        .map(|t| {
            let [a, b, c] = taut.triangle(t);
            Point2::from((a.coords + b.coords + c.coords).xy() / 3.0)
        })
        .collect();
    let away: Vec<bool> = middles
        .iter()
        .map(|middle| tops.iter().all(|top| (middle - top).norm() > BESIDE_CAP))
        .collect();
    let (max_stress, max_stress_at) = greatest_stress(taut, &mesh, &stresses, &away);
    let cap_stresses = tops
        .iter()
        .map(|top| {
            let ring =
                |t: &usize| off_caps[*t] && (middles[*t] - top).norm() < loading.rules.cap_diameter;
            let (area, moment) = (0..count)
                .filter(ring)
                .map(|t| (area(&mesh, t), stresses[t]))
                .fold((0.0, 0.0), |sum, (area, stress)| {
                    (sum.0 + area, sum.1 + area * stress)
                });
            if area > 0.0 { moment / area } else { 0.0 }
        })
        .collect();
    let (max_sag, max_sag_at) = taut
        .vertices
        .iter()
        .zip(&mesh.vertices)
        .map(|(rest, hung)| (rest.z - hung.z, *hung))
        .fold((0.0, Point3::origin()), |most, here| {
            if here.0 > most.0 { here } else { most }
        });
    let neighbors = edge_neighbors(&mesh);
    let total: Vector3<f64> = load.iter().sum();
    let held: Vector3<f64> = shape.reactions.iter().chain(&shape.grips).sum();
    let pushed: f64 = shape.pushes.iter().sum();
    Loaded {
        case,
        patches: patches(&mesh, &neighbors, |t| slopes[t] < loading.rules.min_slope),
        ponds: ponds(&mesh, loading.rules.pond_depth),
        slopes,
        stresses,
        states: shape.states.clone(),
        max_stress,
        max_stress_at,
        cap_stresses,
        max_sag,
        max_sag_at,
        least_slope,
        strap_tensions: shape.cable_tensions.clone(),
        post_loads: rig.post_loads(shape),
        pressed: rig.pressed_things(shape),
        edge: rig.edge_forces(shape),
        total: -total.z,
        left_over: (total + held + Vector3::z() * pushed).norm(),
        outcome: match shape.status {
            Status::Converged => Outcome::Settles,
            Status::IterationLimit | Status::Stalled => Outcome::Unsolved,
        },
        rounds: 1,
        residual: shape.residual,
        mesh,
    }
}

/// The greatest mean stress of a square of the plan, and the middle of what lies in it; only triangles that count do. The squares
/// lie alike on both sides of the centerline.
fn greatest_stress(
    taut: &Mesh,
    mesh: &Mesh,
    stresses: &[f64],
    counts: &[bool],
) -> (f64, Point3<f64>) {
    let mut squares: BTreeMap<(i64, i64), (f64, f64, Vector3<f64>)> = BTreeMap::new();
    for t in (0..stresses.len()).filter(|t| counts[*t]) {
        let middle = |mesh: &Mesh| -> Vector3<f64> {
            mesh.triangle(t)
                .iter()
                .map(|p| p.coords)
                .sum::<Vector3<f64>>()
                / 3.0
        };
        let at = middle(taut);
        let square = (
            (at.x / HAND).floor() as i64,
            // Mirror images get numbers that are each other's negatives.
            (at.y.abs() / HAND).floor() as i64 * 2 * at.y.signum() as i64 + at.y.signum() as i64,
        );
        let area = area(mesh, t);
        let sum = squares
            .entry(square)
            .or_insert((0.0, 0.0, Vector3::zeros()));
        sum.0 += area;
        sum.1 += area * stresses[t];
        sum.2 += middle(mesh) * area;
    }
    squares
        .values()
        .filter(|(area, ..)| *area > FULL_SQUARE * HAND * HAND)
        .map(|(area, moment, middle)| (moment / area, Point3::from(middle / *area)))
        .fold((0.0, Point3::origin()), |most, here| {
            if here.0 > most.0 { here } else { most }
        })
}

/// A square counts if film fills so much of it: the mean over a sliver is no mean.
const FULL_SQUARE: f64 = 0.4;
