//! The loaded film: elastic film of large displacement over elastic straps, above whatever it rests on.
//!
//! Each node may move in all three directions from where it hangs at rest. Energy: film as in [`FilmLaw`], straps by their
//! whole length (so that they slide without friction through whatever they are led over), rests that only push up, less the work
//! of the load, whose direction does not change. Every term is convex: one answer, whatever the start and the order of loading.

use super::law::{FilmLaw, State};
use crate::num::bounded::Status;
use crate::num::newton::{RankOne, Settings, Smooth, descend};
use crate::num::sparse::{Factor, SymmetricMatrix};
use nalgebra::{Matrix3, Point3, Vector2, Vector3};

/// A strap that slides through what it is led over.
#[derive(Debug, Clone, PartialEq)]
pub struct Cable {
    /// Nodes along it.
    pub nodes: Vec<u32>,
    /// Modulus times cross-section, N.
    pub stiffness: f64,
    /// Tension at rest, N.
    pub tension: f64,
    /// What it has beyond its ends to its anchors, m.
    pub lead: f64,
}

/// Something under a node that pushes up when it is pressed down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Support {
    /// The node.
    pub node: u32,
    /// Height of the node from which on it pushes, m.
    pub height: f64,
    /// Force for each metre under it, N/m.
    pub stiffness: f64,
}

/// What an elastic film is made from.
///
/// # Units
/// Metres and newtons; see [`FilmLaw`], [`Cable`], [`Support`].
#[derive(Debug, Clone, Copy)]
pub struct Parts<'a> {
    /// Where the film hangs at rest.
    pub points: &'a [Point3<f64>],
    /// Its triangles.
    pub triangles: &'a [[u32; 3]],
    /// Nodes that do not move.
    pub fixed: &'a [bool],
    /// Stiff pieces in it, each with its nodes and its grip: caps of posts, which move without turning.
    pub caps: &'a [(Vec<u32>, Grip)],
    /// Straps.
    pub cables: &'a [Cable],
    /// What it may rest on.
    pub supports: &'a [Support],
}

/// What holds a cap sideways besides the straps that are tied to it: a strap that is threaded through it.
///
/// At rest it holds whatever pulls the cap sideways, since a frame stands before its film is on.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Grip {
    /// Force for each metre that the cap moves along x and along y, N/m.
    pub stiffness: [f64; 2],
}

/// An elastic film, ready to be loaded.
pub struct ElasticFilm {
    points: Vec<Point3<f64>>,
    law: FilmLaw,
    facets: Vec<Facet>,
    cables: Vec<SlidingCable>,
    supports: Vec<Support>,
    caps: Vec<Cap>,
    /// The unknowns of each node: how far it moves along x, y, z.
    unknowns_at: Vec<[u32; 3]>,
    unknowns: usize,
    pattern: SymmetricMatrix,
    factor: Option<Factor>,
    tolerance: f64,
}

struct Cap {
    node: u32,
    stiffness: Vector3<f64>,
    at_rest: Vector3<f64>,
}

/// A triangle: gradients of its hat functions over the unstressed film, its unstressed area, how far it is stretched at
/// rest, and where its couplings stand in the matrix.
struct Facet {
    nodes: [u32; 3],
    hats: [Vector2<f64>; 3],
    area: f64,
    /// It lies on a cap and is never stretched further.
    stiff: bool,
    places: Box<[Places; 6]>,
}

struct SlidingCable {
    nodes: Vec<u32>,
    stiffness: f64,
    lead: f64,
    /// Length and tension at rest.
    drawn: f64,
    tension: f64,
    places: Vec<[Places; 3]>,
}

/// A film as it hangs under its load.
#[derive(Debug, Clone)]
pub struct LoadedShape {
    /// Where each node is, m.
    pub points: Vec<Point3<f64>>,
    /// Pull of each triangle along its principal directions per unstressed width, the greater first, N/m.
    pub pulls: Vec<[f64; 2]>,
    /// What the film does in each triangle.
    pub states: Vec<State>,
    /// Tension of each strap, N.
    pub cable_tensions: Vec<f64>,
    /// Push of each support, N.
    pub pushes: Vec<f64>,
    /// Force of each cap's grip on it, N.
    pub grips: Vec<Vector3<f64>>,
    /// Force that holds each fixed node, N; zero at the others.
    pub reactions: Vec<Vector3<f64>>,
    /// Energy at the start and after each step, J.
    pub energies: Vec<f64>,
    /// How the solution ended.
    pub status: Status,
    /// Largest force left over at a free node, N.
    pub residual: f64,
}

/// Stands for a coupling with a fixed node.
const NONE: u32 = u32::MAX;

/// Local node pairs of the six couplings of a triangle.
const COUPLINGS: [(usize, usize); 6] = [(0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (2, 0)];

/// Residual force at which a film is solved, as a part of tension at rest times the length of an edge.
const RESIDUAL: f64 = 1e-7;

/// Newton steps given to a film; several times what a film needs.
const MOST_ITERATIONS: usize = 120;

/// Farthest that a node moves in one step, m: film under heavy load starts soft, and its first step would go through the floor.
const LONGEST_STEP: f64 = 0.3;

/// A stretch under this is none.
const NO_STRETCH: f64 = 1e-9;

impl ElasticFilm {
    /// Prepares a film.
    pub fn new(parts: Parts, law: FilmLaw) -> ElasticFilm {
        let points = parts.points;
        let (unknowns_at, unknowns) = number_unknowns(&parts);
        let pattern = pattern(&unknowns_at, unknowns, &parts);
        let blocks = Blocks {
            unknowns_at: &unknowns_at,
            pattern: &pattern,
        };
        let shrink = 1.0 / law.rest_stretch();
        let facets: Vec<Facet> = parts
            .triangles
            .iter()
            .filter_map(|nodes| {
                let [a, b, c] = nodes.map(|node| points[node as usize]);
                let (hats, area) = flat_facet([a, b, c], shrink)?;
                let moves = nodes.map(|node| unknowns_at[node as usize]);
                Some(Facet {
                    nodes: *nodes,
                    hats,
                    area,
                    stiff: moves[0] == moves[1] && moves[1] == moves[2],
                    places: Box::new(COUPLINGS.map(|(i, j)| blocks.places(nodes[i], nodes[j]))),
                })
            })
            .collect();
        let cables = parts
            .cables
            .iter()
            .map(|cable| SlidingCable::new(cable, points, &blocks))
            .collect();
        let (pull, edge) = scale(&parts, &law);
        let mut film = ElasticFilm {
            points: points.to_vec(),
            law,
            facets,
            cables,
            supports: parts.supports.to_vec(),
            caps: Vec::new(),
            unknowns_at,
            unknowns,
            pattern,
            factor: None,
            tolerance: RESIDUAL * pull * edge,
        };
        film.caps = film.grip(parts.caps);
        film
    }

    /// The caps' grips, which hold at rest what pulls them sideways.
    fn grip(&self, caps: &[(Vec<u32>, Grip)]) -> Vec<Cap> {
        let mut forces = vec![Vector3::zeros(); self.points.len()];
        self.pull_on_nodes(&self.points, &mut forces);
        caps.iter()
            .filter_map(|(nodes, grip)| {
                let pull: Vector3<f64> = nodes.iter().map(|node| forces[*node as usize]).sum();
                let [x, y] = grip.stiffness;
                Some(Cap {
                    node: *nodes.first()?,
                    stiffness: Vector3::new(x, y, 0.0),
                    at_rest: Vector3::new(pull.x, pull.y, 0.0),
                })
            })
            .collect()
    }

    /// Where the film hangs at rest.
    pub fn points(&self) -> &[Point3<f64>] {
        &self.points
    }

    /// What each triangle pulls along its principal directions per unstressed width, the greater first, and what the film does
    /// there, when the nodes are at some places.
    ///
    /// # Units
    /// Points m, pulls N/m.
    pub fn pulls(&self, points: &[Point3<f64>]) -> Vec<([f64; 2], State)> {
        self.facets
            .iter()
            .map(|facet| {
                let response = self.law.respond(Stretched::of(facet, points).stretches);
                (response.pull, response.state)
            })
            .collect()
    }

    /// Solves the film under forces on its nodes, from rest or from a shape that it had under another load.
    ///
    /// # Units
    /// `load` in N.
    pub fn solve(&mut self, load: &[Vector3<f64>], from: Option<&[Point3<f64>]>) -> LoadedShape {
        let start = self.unknowns_of(from.unwrap_or(&self.points));
        let settings = Settings {
            tolerance: self.tolerance,
            most_iterations: MOST_ITERATIONS,
            longest_step: LONGEST_STEP,
        };
        let mut factor = self.factor.take();
        let lowest = descend(&Loaded { film: self, load }, &start, settings, &mut factor);
        self.factor = factor;
        let points = self.positions(&lowest.x);
        let mut forces = vec![Vector3::zeros(); points.len()];
        self.pull_on_nodes(&points, &mut forces);
        let reactions = forces
            .iter()
            .zip(load)
            .zip(&self.unknowns_at)
            .map(|((force, load), unknowns)| match unknowns {
                [NONE, ..] => force - load,
                _ => Vector3::zeros(),
            })
            .collect();
        let (pulls, states) = self.pulls(&points).into_iter().unzip();
        LoadedShape {
            pulls,
            states,
            cable_tensions: self
                .cables
                .iter()
                .map(|cable| cable.tension(cable.length(&points)))
                .collect(),
            pushes: self
                .supports
                .iter()
                .map(|support| support.push(&points))
                .collect(),
            grips: self
                .caps
                .iter()
                .map(|cap| cap.grip(self, &points))
                .collect(),
            reactions,
            energies: lowest.energies,
            status: lowest.status,
            residual: lowest.residual,
            points,
        }
    }

    fn unknowns_of(&self, points: &[Point3<f64>]) -> Vec<f64> {
        let mut x = vec![0.0; self.unknowns];
        for ((point, rest), unknowns) in points.iter().zip(&self.points).zip(&self.unknowns_at) {
            for (unknown, moved) in unknowns.iter().zip((point - rest).iter()) {
                if *unknown != NONE {
                    x[*unknown as usize] = *moved;
                }
            }
        }
        x
    }

    fn positions(&self, x: &[f64]) -> Vec<Point3<f64>> {
        self.points
            .iter()
            .zip(&self.unknowns_at)
            .map(|(rest, unknowns)| match *unknowns {
                [NONE, ..] => *rest,
                unknowns => rest + Vector3::from(unknowns.map(|unknown| x[unknown as usize])),
            })
            .collect()
    }

    /// The gradient of the energy without the load, at every node.
    fn pull_on_nodes(&self, points: &[Point3<f64>], forces: &mut [Vector3<f64>]) {
        for facet in self.facets.iter().filter(|facet| !facet.stiff) {
            let stretched = Stretched::of(facet, points);
            let pull = self.law.respond(stretched.stretches).pull;
            for (k, node) in facet.nodes.iter().enumerate() {
                forces[*node as usize] +=
                    stretched.force(facet, pull, k) + self.left_over(facet, points, k);
            }
        }
        for cable in &self.cables {
            let tension = cable.tension(cable.length(points));
            for pair in cable.nodes.windows(2) {
                if let [a, b] = *pair {
                    let (a, b) = (a as usize, b as usize);
                    let run = points[b] - points[a];
                    let along = run * (tension / thick(run));
                    forces[a] -= along;
                    forces[b] += along;
                }
            }
        }
        for support in &self.supports {
            forces[support.node as usize].z -= support.push(points);
        }
        for cap in &self.caps {
            forces[cap.node as usize] -= cap.grip(self, points);
        }
    }

    /// Force on a corner of a facet from the stiffness that is left over.
    fn left_over(&self, facet: &Facet, points: &[Point3<f64>], corner: usize) -> Vector3<f64> {
        let weight = self.law.left_over * self.law.stiffness * facet.area;
        let mut force = Vector3::zeros();
        for (k, node) in facet.nodes.iter().enumerate() {
            let moved = points[*node as usize] - self.points[*node as usize];
            force += moved * (weight * facet.hats[k].dot(&facet.hats[corner]));
        }
        force
    }
}

impl Cap {
    fn grip(&self, film: &ElasticFilm, points: &[Point3<f64>]) -> Vector3<f64> {
        let moved = points[self.node as usize] - film.points[self.node as usize];
        self.at_rest - self.stiffness.component_mul(&moved)
    }
}

impl Support {
    fn push(&self, points: &[Point3<f64>]) -> f64 {
        let under = self.height - points[self.node as usize].z;
        self.stiffness * under.max(0.0)
    }
}

impl SlidingCable {
    fn new(cable: &Cable, points: &[Point3<f64>], blocks: &Blocks) -> SlidingCable {
        let length = length_along(points, &cable.nodes) + cable.lead;
        SlidingCable {
            nodes: cable.nodes.clone(),
            stiffness: cable.stiffness,
            lead: cable.lead,
            drawn: length,
            tension: cable.tension,
            places: cable
                .nodes
                .windows(2)
                .filter_map(|pair| match *pair {
                    [a, b] => Some([(a, a), (b, b), (a, b)].map(|(a, b)| blocks.places(a, b))),
                    _ => None,
                })
                .collect(),
        }
    }

    fn length(&self, points: &[Point3<f64>]) -> f64 {
        length_along(points, &self.nodes) + self.lead
    }

    fn tension(&self, length: f64) -> f64 {
        (self.tension + self.stiffness * (length / self.drawn - 1.0)).max(0.0)
    }
}

fn length_along(points: &[Point3<f64>], nodes: &[u32]) -> f64 {
    let steps = nodes.windows(2).map(|pair| match *pair {
        [a, b] => thick(points[b as usize] - points[a as usize]),
        _ => 0.0,
    });
    steps.sum()
}

/// Length of a piece of strap whose nodes may slide into each other where film has gone slack: never under its own
/// thickness, so that it has a direction.
fn thick(run: Vector3<f64>) -> f64 {
    /// m; it makes a strap of 2 in pieces longer by two parts in ten thousand.
    const THICKNESS: f64 = 1e-3;
    (run.norm_squared() + THICKNESS * THICKNESS).sqrt()
}

/// A pull and a length that are usual in a film and its straps: what residuals are held against.
fn scale(parts: &Parts, law: &FilmLaw) -> (f64, f64) {
    let sides = parts.triangles.iter().map(|[a, b, _]| [*a, *b]);
    let pieces = parts.cables.iter().flat_map(|cable| {
        let pairs = cable.nodes.windows(2);
        pairs.filter_map(|pair| <[u32; 2]>::try_from(pair).ok())
    });
    let (count, sum) = sides
        .chain(pieces)
        .map(|[a, b]| (parts.points[b as usize] - parts.points[a as usize]).norm())
        .fold((0.0, 0.0), |(count, sum), length| {
            (count + 1.0, sum + length)
        });
    let pull = law.tension.max(LEAST_STRAIN * law.stiffness);
    (pull, sum / f64::max(count, 1.0))
}

/// Film without tension at rest counts as if it had this strain.
const LEAST_STRAIN: f64 = 1e-3;

/// Hat gradients and area of the unstressed triangle; `None` where it has no area.
fn flat_facet([a, b, c]: [Point3<f64>; 3], shrink: f64) -> Option<([Vector2<f64>; 3], f64)> {
    let (ab, ac) = ((b - a) * shrink, (c - a) * shrink);
    let base = ab.norm();
    let along = ac.dot(&ab) / base;
    let doubled = ab.cross(&ac).norm();
    if doubled.is_nan() || doubled <= 0.0 {
        return None;
    }
    let high = doubled / base;
    let [p, q, r] = [
        Vector2::zeros(),
        Vector2::new(base, 0.0),
        Vector2::new(along, high),
    ];
    let hat = |p: Vector2<f64>, q: Vector2<f64>| Vector2::new(p.y - q.y, q.x - p.x) / doubled;
    Some(([hat(q, r), hat(r, p), hat(p, q)], 0.5 * doubled))
}

/// Numbers what may move: three unknowns for each free node, three for each cap.
fn number_unknowns(parts: &Parts) -> (Vec<[u32; 3]>, usize) {
    let mut leader: Vec<u32> = (0..parts.points.len() as u32).collect();
    for (nodes, _) in parts.caps {
        if let Some(first) = nodes.first() {
            for node in nodes {
                leader[*node as usize] = *first;
            }
        }
    }
    let mut unknowns_at = vec![[NONE; 3]; parts.points.len()];
    let mut unknowns = 0u32;
    let free = |node: &usize| !parts.fixed.get(*node).is_some_and(|fixed| *fixed);
    for node in (0..leader.len()).filter(free) {
        if leader[node] as usize == node {
            unknowns_at[node] = [unknowns, unknowns + 1, unknowns + 2];
            unknowns += 3;
        }
    }
    for node in (0..leader.len()).filter(free) {
        unknowns_at[node] = unknowns_at[leader[node] as usize];
    }
    (unknowns_at, unknowns as usize)
}

fn pattern(unknowns_at: &[[u32; 3]], unknowns: usize, parts: &Parts) -> SymmetricMatrix {
    let along = |cable: &Cable| -> Vec<[u32; 2]> {
        let pairs = cable.nodes.windows(2);
        pairs.filter_map(|pair| pair.try_into().ok()).collect()
    };
    let mut couplings: Vec<[[u32; 3]; 2]> = parts
        .triangles
        .iter()
        .flat_map(|[a, b, c]| [[*a, *b], [*b, *c], [*c, *a]])
        .chain(parts.cables.iter().flat_map(along))
        .chain((0..unknowns_at.len() as u32).map(|node| [node, node]))
        .map(|pair| pair.map(|node| unknowns_at[node as usize]))
        .filter(|[a, b]| a[0] != NONE && b[0] != NONE)
        .map(|[a, b]| if a[0] <= b[0] { [a, b] } else { [b, a] })
        .collect();
    couplings.sort_unstable();
    couplings.dedup();
    let mut pairs = Vec::with_capacity(9 * couplings.len());
    for [a, b] in couplings {
        let all = a.iter().flat_map(|p| b.iter().map(move |q| [*p, *q]));
        pairs.extend(all.filter(|[p, q]| p != q));
    }
    SymmetricMatrix::with_pattern(unknowns, &pairs)
}

/// Where a block of three by three stands in the matrix, by rows. Of a node's own block the upper half is left out: it
/// is the lower one.
#[derive(Clone, Copy)]
struct Places {
    entries: [u32; 9],
    /// Two nodes of one cap share their unknowns: the block and its mirror image then fall on each other.
    twice: bool,
}

/// Finds where blocks stand in a matrix.
struct Blocks<'a> {
    unknowns_at: &'a [[u32; 3]],
    pattern: &'a SymmetricMatrix,
}

impl Blocks<'_> {
    fn places(&self, a: u32, b: u32) -> Places {
        let (rows, columns) = (self.unknowns_at[a as usize], self.unknowns_at[b as usize]);
        let entries = std::array::from_fn(|k| {
            let (row, column) = (rows[k / 3], columns[k % 3]);
            if row == NONE || column == NONE || (a == b && k % 3 > k / 3) {
                return NONE;
            }
            let place = self.pattern.entry(row, column);
            place.map_or(NONE, |place| place as u32)
        });
        Places {
            entries,
            twice: a != b && rows == columns && rows[0] != NONE,
        }
    }
}

fn add(values: &mut [f64], places: &Places, block: &Matrix3<f64>) {
    for (k, place) in places.entries.iter().enumerate() {
        if *place != NONE {
            let (row, column) = (k / 3, k % 3);
            let on_itself = places.twice && row == column;
            values[*place as usize] += block[(row, column)] * if on_itself { 2.0 } else { 1.0 };
        }
    }
}

/// A facet as it is stretched: its principal stretches, and their directions in space and on the unstressed film.
struct Stretched {
    stretches: [f64; 2],
    /// First, second, upright on both.
    space: [Vector3<f64>; 3],
    film: [Vector2<f64>; 2],
}

impl Stretched {
    fn of(facet: &Facet, points: &[Point3<f64>]) -> Stretched {
        let mut sides = [Vector3::zeros(); 2];
        for (node, hat) in facet.nodes.iter().zip(&facet.hats) {
            let point = points[*node as usize].coords;
            sides[0] += point * hat.x;
            sides[1] += point * hat.y;
        }
        let [p, q] = sides;
        let (a, b, c) = (p.norm_squared(), p.dot(&q), q.norm_squared());
        let (mean, half) = (0.5 * (a + c), 0.5 * (a - c));
        let radius = half.hypot(b);
        let turn = 0.5 * b.atan2(half);
        let film = [
            Vector2::new(turn.cos(), turn.sin()),
            Vector2::new(-turn.sin(), turn.cos()),
        ];
        let stretches = [(mean + radius).sqrt(), (mean - radius).max(0.0).sqrt()];
        let image = |v: Vector2<f64>| p * v.x + q * v.y;
        let first = image(film[0]) / stretches[0].max(NO_STRETCH);
        let second = if stretches[1] > NO_STRETCH {
            image(film[1]) / stretches[1]
        } else {
            // Crushed to a line: any direction square to it.
            let other = if first.z.abs() < 0.9 {
                Vector3::z()
            } else {
                Vector3::x()
            };
            first.cross(&other).normalize()
        };
        Stretched {
            stretches,
            space: [first, second, first.cross(&second)],
            film,
        }
    }

    /// Force on a corner, as the energy's gradient there.
    fn force(&self, facet: &Facet, pull: [f64; 2], corner: usize) -> Vector3<f64> {
        let hat = facet.hats[corner];
        (self.space[0] * (pull[0] * self.film[0].dot(&hat))
            + self.space[1] * (pull[1] * self.film[1].dot(&hat)))
            * facet.area
    }
}

/// A film with a load.
struct Loaded<'a> {
    film: &'a ElasticFilm,
    load: &'a [Vector3<f64>],
}

impl Loaded<'_> {
    /// Everything but the film's own energy; small sums.
    fn rest_of_energy(&self, points: &[Point3<f64>]) -> f64 {
        let film = self.film;
        let cables: f64 = film
            .cables
            .iter()
            .map(|cable| {
                let tension = cable.tension(cable.length(points));
                0.5 * tension * tension * cable.drawn / cable.stiffness
            })
            .sum();
        let supports: f64 = film
            .supports
            .iter()
            .map(|support| 0.5 * support.push(points).powi(2) / support.stiffness)
            .sum();
        let grips: f64 = film
            .caps
            .iter()
            .map(|cap| {
                let moved = points[cap.node as usize] - film.points[cap.node as usize];
                let square = moved.component_mul(&moved);
                0.5 * cap.stiffness.dot(&square) - cap.at_rest.dot(&moved)
            })
            .sum();
        let work: f64 = points
            .iter()
            .zip(&film.points)
            .zip(self.load)
            .map(|((point, rest), load)| load.dot(&(point - rest)))
            .sum();
        cables + supports + grips - work
    }

    fn left_over_energy(&self, facet: &Facet, points: &[Point3<f64>]) -> f64 {
        let film = self.film;
        let mut sides = [Vector3::zeros(); 2];
        for (node, hat) in facet.nodes.iter().zip(&facet.hats) {
            let moved = points[*node as usize] - film.points[*node as usize];
            sides[0] += moved * hat.x;
            sides[1] += moved * hat.y;
        }
        0.5 * film.law.left_over
            * film.law.stiffness
            * facet.area
            * (sides[0].norm_squared() + sides[1].norm_squared())
    }
}

impl Smooth for Loaded<'_> {
    fn unknowns(&self) -> usize {
        self.film.unknowns
    }

    fn pattern(&self) -> SymmetricMatrix {
        self.film.pattern.clone()
    }

    fn value(&self, x: &[f64]) -> f64 {
        let points = self.film.positions(x);
        let film: f64 = self
            .film
            .facets
            .iter()
            .filter(|facet| !facet.stiff)
            .map(|facet| {
                let stretched = Stretched::of(facet, &points);
                facet.area * self.film.law.respond(stretched.stretches).energy
                    + self.left_over_energy(facet, &points)
            })
            .sum();
        film + self.rest_of_energy(&points)
    }

    fn derivatives(
        &self,
        x: &[f64],
        gradient: &mut [f64],
        hessian: &mut SymmetricMatrix,
        terms: &mut Vec<RankOne>,
    ) -> f64 {
        let film = self.film;
        let points = film.positions(x);
        hessian.values.fill(0.0);
        terms.clear();
        let mut energy = self.rest_of_energy(&points);
        let mut forces: Vec<Vector3<f64>> = self.load.iter().map(|load| -load).collect();
        for facet in film.facets.iter().filter(|facet| !facet.stiff) {
            let stretched = Stretched::of(facet, &points);
            let response = film.law.respond(stretched.stretches);
            energy += facet.area * response.energy + self.left_over_energy(facet, &points);
            for (k, node) in facet.nodes.iter().enumerate() {
                forces[*node as usize] +=
                    stretched.force(facet, response.pull, k) + film.left_over(facet, &points, k);
            }
            let tangent = Tangent::of(&stretched, &response);
            for (places, (i, j)) in facet.places.iter().zip(COUPLINGS) {
                let block = tangent.block(&stretched, facet.hats[i], facet.hats[j]) * facet.area;
                let left = film.law.left_over
                    * film.law.stiffness
                    * facet.area
                    * facet.hats[i].dot(&facet.hats[j]);
                add(
                    &mut hessian.values,
                    places,
                    &(block + Matrix3::from_diagonal_element(left)),
                );
            }
        }
        for cable in &film.cables {
            self.cable(cable, &points, &mut forces, hessian, terms);
        }
        for support in &film.supports {
            let push = support.push(&points);
            forces[support.node as usize].z -= push;
            let row = film.unknowns_at[support.node as usize][2];
            if push > 0.0
                && row != NONE
                && let Some(place) = hessian.entry(row, row)
            {
                hessian.values[place] += support.stiffness;
            }
        }
        for cap in &film.caps {
            forces[cap.node as usize] -= cap.grip(film, &points);
            for (row, stiffness) in film.unknowns_at[cap.node as usize]
                .iter()
                .zip(cap.stiffness.iter())
            {
                if *row != NONE
                    && let Some(place) = hessian.entry(*row, *row)
                {
                    hessian.values[place] += stiffness;
                }
            }
        }
        gradient.fill(0.0);
        for (force, unknowns) in forces.iter().zip(&film.unknowns_at) {
            for (unknown, part) in unknowns.iter().zip(force.iter()) {
                if *unknown != NONE {
                    gradient[*unknown as usize] += part;
                }
            }
        }
        energy
    }
}

impl Loaded<'_> {
    fn cable(
        &self,
        cable: &SlidingCable,
        points: &[Point3<f64>],
        forces: &mut [Vector3<f64>],
        hessian: &mut SymmetricMatrix,
        terms: &mut Vec<RankOne>,
    ) {
        let tension = cable.tension(cable.length(points));
        if tension <= 0.0 {
            return;
        }
        let mut term = RankOne {
            weight: cable.stiffness / cable.drawn,
            entries: Vec::with_capacity(6 * cable.nodes.len()),
        };
        for (pair, places) in cable.nodes.windows(2).zip(&cable.places) {
            let &[a, b] = pair else { continue };
            let run = points[b as usize] - points[a as usize];
            let length = thick(run);
            let along = run / length;
            forces[a as usize] -= along * tension;
            forces[b as usize] += along * tension;
            let block = (Matrix3::identity() - along * along.transpose()) * (tension / length);
            for (places, sign) in places.iter().zip([1.0, 1.0, -1.0]) {
                add(&mut hessian.values, places, &(block * sign));
            }
            for (node, sign) in [(a, -1.0), (b, 1.0)] {
                let unknowns = self.film.unknowns_at[node as usize];
                if unknowns[0] != NONE {
                    let entries = unknowns.iter().zip(along.iter());
                    term.entries
                        .extend(entries.map(|(row, part)| (*row, sign * part)));
                }
            }
        }
        terms.push(term);
    }
}

/// Second derivatives of a facet's energy by its deformation, in the frame of its principal directions: stretching
/// along each, their coupling, shear within the film, turning out of it.
struct Tangent {
    along: [f64; 2],
    mixed: f64,
    /// Of a corner's shift along the one direction with the other's gradient: with itself, and crosswise.
    shear: [f64; 2],
    out: [f64; 2],
}

impl Tangent {
    fn of(stretched: &Stretched, response: &super::law::Response) -> Tangent {
        let [first, second] = stretched.stretches;
        let [p, q] = response.pull;
        let [along, across, mixed] = response.stiffness;
        // Half of what pulls differ by over half of what stretches differ by; at equal stretches its limit.
        let apart = first - second;
        let differ = if apart > SAME_STRETCH {
            (p - q) / apart
        } else {
            along - mixed
        };
        let together = (p + q) / (first + second).max(NO_STRETCH);
        Tangent {
            along: [along, across],
            mixed,
            shear: [0.5 * (differ + together), 0.5 * (differ - together)],
            out: [p / first.max(NO_STRETCH), q / second.max(NO_STRETCH)],
        }
    }

    fn block(&self, stretched: &Stretched, i: Vector2<f64>, j: Vector2<f64>) -> Matrix3<f64> {
        let [u, v, n] = stretched.space;
        let (a, b) = (stretched.film[0].dot(&i), stretched.film[1].dot(&i));
        let (c, d) = (stretched.film[0].dot(&j), stretched.film[1].dot(&j));
        let uu = self.along[0] * a * c + self.shear[0] * b * d;
        let vv = self.along[1] * b * d + self.shear[0] * a * c;
        let uv = self.mixed * a * d + self.shear[1] * b * c;
        let vu = self.mixed * b * c + self.shear[1] * a * d;
        let nn = self.out[0] * a * c + self.out[1] * b * d;
        u * (u.transpose() * uu + v.transpose() * uv)
            + v * (v.transpose() * vv + u.transpose() * vu)
            + n * (n.transpose() * nn)
    }
}

/// Stretches nearer to each other than this are taken as equal.
const SAME_STRETCH: f64 = 1e-9;

#[cfg(test)]
mod tests {
    use super::*;

    const LAW: FilmLaw = FilmLaw {
        stiffness: 35_600.0,
        poisson: 0.4,
        tension: 100.0,
        left_over: FilmLaw::LEFT_OVER,
    };

    /// Two by two squares, 0.4 m each, bent like a saddle, with a strap over the middle and a support under it.
    fn saddle() -> ElasticFilm {
        let mut points = Vec::new();
        for j in 0..5 {
            for i in 0..5 {
                let (x, y) = (
                    0.2 * f64::from(i),
                    0.2 * f64::from(j) + 0.01 * f64::from(i * j),
                );
                points.push(Point3::new(x, y, 0.3 * (x - 0.4) * (y - 0.3)));
            }
        }
        let mut triangles = Vec::new();
        for j in 0..4u32 {
            for i in 0..4u32 {
                let a = 5 * j + i;
                triangles.extend([[a, a + 1, a + 6], [a, a + 6, a + 5]]);
            }
        }
        let fixed: Vec<bool> = (0..25)
            .map(|k| k % 5 == 0 || k % 5 == 4 || k < 5 || k >= 20)
            .collect();
        let cable = Cable {
            nodes: vec![10, 11, 12, 13, 14],
            stiffness: 40_000.0,
            tension: 400.0,
            lead: 0.3,
        };
        let support = Support {
            node: 12,
            height: 0.05,
            stiffness: 20_000.0,
        };
        let grip = Grip {
            stiffness: [3000.0, 500.0],
        };
        let parts = Parts {
            points: &points,
            triangles: &triangles,
            fixed: &fixed,
            caps: &[(vec![12, 13, 18], grip)],
            cables: &[cable],
            supports: &[support],
        };
        ElasticFilm::new(parts, LAW)
    }

    fn loads(film: &ElasticFilm, down: f64) -> Vec<Vector3<f64>> {
        vec![Vector3::new(0.0, 0.0, -down); film.points().len()]
    }

    #[test]
    fn gradient_and_hessian_are_the_derivatives_of_the_energy() {
        let film = saddle();
        let load = loads(&film, 3.0);
        let loaded = Loaded {
            film: &film,
            load: &load,
        };
        let mut x = film.unknowns_of(&film.points);
        // Taut in some places, wrinkled in others.
        for (k, x) in x.iter_mut().enumerate() {
            *x += 0.01 * ((k * k) as f64).sin();
        }
        let size = x.len();
        let (mut gradient, mut other) = (vec![0.0; size], vec![0.0; size]);
        let mut hessian = film.pattern.clone();
        let mut terms = Vec::new();
        loaded.derivatives(&x, &mut gradient, &mut hessian, &mut terms);
        let (kept, kept_terms) = (hessian.clone(), terms.clone());
        let step = 1e-7;
        for k in 0..size {
            let mut moved = x.clone();
            moved[k] += step;
            let up = loaded.derivatives(&moved, &mut other, &mut hessian, &mut terms);
            let plus = other.clone();
            moved[k] -= 2.0 * step;
            let down = loaded.derivatives(&moved, &mut other, &mut hessian, &mut terms);
            let slope = (up - down) / (2.0 * step);
            assert!(
                (slope - gradient[k]).abs() < 1e-4 * (1.0 + slope.abs()),
                "{k}"
            );
            let mut unit = vec![0.0; size];
            unit[k] = 1.0;
            let mut row = vec![0.0; size];
            kept.multiply(&unit, &mut row);
            for term in &kept_terms {
                let along: f64 = term
                    .entries
                    .iter()
                    .map(|(i, v)| v * unit[*i as usize])
                    .sum();
                for (i, v) in &term.entries {
                    row[*i as usize] += term.weight * along * v;
                }
            }
            for l in 0..size {
                let wanted = (plus[l] - other[l]) / (2.0 * step);
                assert!(
                    (row[l] - wanted).abs() < 2e-3 * (1.0 + wanted.abs()),
                    "{k} {l}: {} {wanted}",
                    row[l]
                );
            }
        }
    }

    #[test]
    fn forces_balance_and_energy_falls() {
        for down in [0.1, 5.0, 60.0] {
            let mut film = saddle();
            let load = loads(&film, down);
            let shape = film.solve(&load, None);
            assert_eq!(shape.status, Status::Converged);
            let held: Vector3<f64> = shape.reactions.iter().sum();
            let total: Vector3<f64> = load.iter().sum();
            let push: f64 = shape.pushes.iter().sum();
            let grips: Vector3<f64> = shape.grips.iter().sum();
            let left = held + total + grips + Vector3::z() * push;
            assert!(
                left.norm() < 1e-6 * total.norm().max(1.0),
                "{down}: {left:?}"
            );
            let rounding = 1e-9;
            assert!(
                shape
                    .energies
                    .windows(2)
                    .all(|pair| pair[1] <= pair[0] + rounding)
            );
        }
    }

    #[test]
    fn the_answer_does_not_depend_on_the_start() {
        let mut film = saddle();
        let heavy = film.solve(&loads(&film, 60.0), None).points;
        let load = loads(&film, 8.0);
        let (straight, back) = (film.solve(&load, None), film.solve(&load, Some(&heavy)));
        let apart = straight.points.iter().zip(&back.points);
        let most = apart.map(|(a, b)| (a - b).norm()).fold(0.0, f64::max);
        assert!(most < 1e-6, "{most}");
    }
}
