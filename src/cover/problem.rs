//! From hull and frame to a meshed film with its bounds and its start.

use super::skirt::{Skirt, skirt};
use super::{Precision, Rest, StrapEdge, TautFilm};
use crate::boat::Rules;
use crate::frame::Frame;
use crate::geom::mesh::Mesh;
use crate::geom::sample::HeightField;
use crate::geom::surface::edge_neighbors;
use crate::geom::triangulate::{Disc, Line, PlanMesh, Region, triangulate};
use crate::hull::Hull;
use crate::num::bounded::{Energy, Minimum, Newton};
use nalgebra::{Point2, Point3};
use std::array;
use std::cell::OnceCell;

/// A film ready to be solved.
pub(super) struct Problem {
    pub plan: PlanMesh,
    pub cell: f64,
    /// Start, the answer once it is solved, and on the rim always that.
    pub start: Vec<f64>,
    /// Height of what is under each node.
    pub lower: Vec<f64>,
    /// What is under each node.
    pub under: Vec<Option<Rest>>,
    /// The two without caps.
    bare: Vec<(f64, Option<Rest>)>,
    /// Nodes raised over a thing that film cut through: node, height, and the thing.
    lifts: Vec<(usize, f64, usize)>,
    /// The rim.
    pub fixed: Vec<bool>,
    /// The edge line's points as meshed, and the node of each.
    pub edge: Vec<Point3<f64>>,
    skirt: OnceCell<Skirt>,
    neighbors: OnceCell<Vec<[Option<u32>; 3]>>,
    crests: Vec<Crest>,
    film: TautFilm,
    newton: Newton,
}

/// Stations of the table from which the start is interpolated.
const START_STATIONS: usize = 48;

/// Fold lines nearer to the edge than this part of a cell are left out: they would only make slivers.
const AT_EDGE: f64 = 0.3;

/// A line of the mesh along which film may fold over a thing.
struct Fold {
    /// The thing, by its place in the hull.
    thing: usize,
    /// Place among the mesh's lines.
    chain: usize,
    /// Its course.
    line: Vec<Point3<f64>>,
}

/// A point of a thing's upper side, and the triangle of film over it.
struct Crest {
    /// The thing, by its place in the hull.
    thing: usize,
    height: f64,
    /// The triangle's nodes, and how much each counts.
    corners: [(usize, f64); 3],
    /// How far the film there rises where each free node rises by its weight.
    answer: f64,
}

/// A node of a thing's line lies at most this part of a cell off it: what the mesher leads such lines aside.
const LED_ASIDE: f64 = 0.36;

/// Film may cut through a thing between two nodes by so much, m; 1/4 in.
const CUTS: f64 = 0.00635;

/// Nodes are lifted at most this far over a thing that film cuts through, m; 1 in.
const SPIKE: f64 = 0.0254;

/// A point whose triangle hangs on fixed nodes by more than this leaves its free ones no say.
const MIN_ANSWER: f64 = 1e-3;

impl Problem {
    pub fn new(hull: &Hull, frame: &Frame, rules: &Rules, cell: f64) -> Option<Problem> {
        let discs: Vec<Disc> = frame
            .posts
            .iter()
            .map(|post| Disc {
                center: post.top().xy(),
                radius: 0.5 * rules.cap_diameter,
            })
            .collect();
        let strap_ends = frame
            .straps
            .iter()
            .flat_map(|strap| [strap.plan.first(), strap.plan.last()])
            .flatten()
            .filter(|end| !discs.iter().any(|disc| disc.center == **end))
            .map(|end| hull.edge.nearest(*end))
            .collect::<Vec<_>>();
        let edge = hull.edge.resample(cell, &strap_ends);
        let outline: Vec<Point2<f64>> = edge.iter().map(|p| p.xy()).collect();
        let mut lines: Vec<Line> = frame
            .straps
            .iter()
            .map(|strap| Line {
                points: strap.plan.clone(),
                exact: true,
            })
            .collect();
        let mut folds: Vec<Fold> = Vec::new();
        for (thing, shape) in hull.things.iter().enumerate() {
            if shape.left_out {
                continue;
            }
            for points in shape.contact_lines(|p| hull.edge.at(hull.edge.nearest(p))) {
                for run in runs_inside(&points, &outline, AT_EDGE * cell) {
                    lines.push(Line {
                        points: run.iter().map(|p| p.xy()).collect(),
                        exact: true,
                    });
                    folds.push(Fold {
                        thing,
                        chain: lines.len() - 1,
                        line: run,
                    });
                }
            }
        }
        let mesh = |lines: &[Line]| {
            triangulate(&Region {
                outline: &outline,
                discs: &discs,
                lines,
                size: cell,
            })
        };
        // Where things' lines cannot all keep their course, they are led aside a little.
        let plan = mesh(&lines).or_else(|| {
            for fold in &folds {
                lines[fold.chain].exact = false;
            }
            mesh(&lines)
        })?;
        let mut fixed = vec![false; plan.points.len()];
        for node in &plan.outline {
            *fixed.get_mut(*node as usize)? = true;
        }
        let straps: Vec<StrapEdge> = frame
            .straps
            .iter()
            .zip(&plan.lines)
            .flat_map(|(strap, nodes)| {
                nodes.windows(2).filter_map(|pair| match pair {
                    &[a, b] => Some(StrapEdge {
                        nodes: [a, b],
                        tension: strap.tension,
                    }),
                    _ => None,
                })
            })
            .collect();
        let film = TautFilm::new(
            &plan.points,
            &plan.triangles,
            &straps,
            &fixed,
            rules.film_tension,
            0.0,
        );
        let mut problem = Problem {
            start: start(hull, frame, &plan.points),
            lower: vec![f64::NEG_INFINITY; plan.points.len()],
            under: vec![None; plan.points.len()],
            bare: Vec::new(),
            lifts: Vec::new(),
            plan,
            cell,
            fixed,
            edge,
            skirt: OnceCell::new(),
            neighbors: OnceCell::new(),
            crests: Vec::new(),
            film,
            newton: Newton::default(),
        };
        for (node, p) in problem.plan.outline.iter().zip(&problem.edge) {
            problem.start[*node as usize] = p.z;
        }
        problem.lay_things(hull);
        problem.lay_folds(&folds);
        problem.bare = problem
            .lower
            .iter()
            .copied()
            .zip(problem.under.iter().copied())
            .collect();
        problem.lay_caps(frame, false);
        problem.crests = problem.crests(hull);
        Some(problem)
    }

    /// Lays the things' own lines under their nodes: a node on a rim or beside a thin tube sees little of it from above.
    fn lay_folds(&mut self, folds: &[Fold]) {
        for fold in folds {
            let Some(nodes) = self.plan.lines.get(fold.chain) else {
                continue;
            };
            for node in nodes.iter().map(|node| *node as usize) {
                let top = highest_near(&fold.line, self.plan.points[node], LED_ASIDE * self.cell);
                if let Some(top) = top
                    && !self.fixed[node]
                    && top > self.lower[node]
                {
                    self.lower[node] = top;
                    self.under[node] = Some(Rest::Thing(fold.thing));
                }
            }
        }
    }

    /// Raises what is under the nodes where the solved film cuts through a thing between them; `false` where it cuts
    /// through none by more than [`CUTS`].
    pub fn lift_over(&mut self) -> bool {
        let mut lifted = false;
        for crest in &self.crests {
            let film: f64 = crest
                .corners
                .iter()
                .map(|(node, weight)| weight * self.start[*node])
                .sum();
            let lack = crest.height - film;
            if lack <= CUTS {
                continue;
            }
            // The least rise of the corners that brings the film over the point, but never much higher than the
            // thing itself: beside the edge that would be a spike.
            for (node, weight) in crest.corners.iter().filter(|(node, _)| !self.fixed[*node]) {
                let height = (self.start[*node] + lack * weight.max(0.0) / crest.answer)
                    .min(crest.height + lack.min(SPIKE));
                if height > self.lower[*node] {
                    self.lower[*node] = height;
                    self.under[*node] = Some(Rest::Thing(crest.thing));
                    self.lifts.push((*node, height, crest.thing));
                    lifted = true;
                }
            }
        }
        lifted
    }

    /// Finds the points of things that film could cut through, each in the triangle over it.
    fn crests(&self, hull: &Hull) -> Vec<Crest> {
        let mesh = self.mesh(&self.start);
        let field = HeightField::new(&mesh);
        let things = hull
            .things
            .iter()
            .enumerate()
            .filter(|(_, shape)| !shape.left_out);
        things
            .flat_map(|(thing, shape)| shape.crest().iter().map(move |p| (thing, p)))
            .filter_map(|(thing, p)| {
                let place = field.place(p.xy())?;
                let nodes = mesh.triangles.get(place.triangle as usize)?;
                let corners: [(usize, f64); 3] =
                    array::from_fn(|k| (nodes[k] as usize, place.weights[k]));
                let answer = corners
                    .iter()
                    .filter(|(node, _)| !self.fixed[*node])
                    .map(|(_, weight)| weight * weight)
                    .sum();
                (answer >= MIN_ANSWER).then_some(Crest {
                    thing,
                    height: p.z,
                    corners,
                    answer,
                })
            })
            .collect()
    }

    /// The skirt under the edge, which is the same whatever the film above does.
    pub fn skirt(&self, hull: &Hull, rules: &Rules) -> &Skirt {
        self.skirt.get_or_init(|| skirt(hull, rules, &self.edge))
    }

    /// The triangles next to each, whatever the film's heights.
    pub fn neighbors(&self) -> &[[Option<u32>; 3]] {
        self.neighbors
            .get_or_init(|| edge_neighbors(&self.mesh(&self.start)))
    }

    /// Lays the things under the nodes.
    fn lay_things(&mut self, hull: &Hull) {
        for (node, p) in self.plan.points.iter().enumerate() {
            if self.fixed[node] {
                continue;
            }
            if let Some((thing, top)) = hull.topmost(*p) {
                self.lower[node] = top;
                self.under[node] = Some(Rest::Thing(thing));
            }
        }
    }

    /// Lays caps over the things, and what the film before was lifted to where that is to be kept.
    pub fn lay_caps(&mut self, frame: &Frame, keep_lifts: bool) {
        for (node, (lower, under)) in self.bare.iter().enumerate() {
            (self.lower[node], self.under[node]) = (*lower, *under);
        }
        if !keep_lifts {
            self.lifts.clear();
        }
        for (node, height, thing) in &self.lifts {
            if *height > self.lower[*node] {
                (self.lower[*node], self.under[*node]) = (*height, Some(Rest::Thing(*thing)));
            }
        }
        for (post, nodes) in self.plan.discs.iter().enumerate() {
            let Some(cap) = frame.posts.get(post).map(|post| post.cap) else {
                continue;
            };
            for node in nodes {
                let node = *node as usize;
                if !self.fixed[node] && cap >= self.lower[node] {
                    self.lower[node] = cap;
                    self.under[node] = Some(Rest::Cap(post));
                }
            }
        }
    }

    /// Takes its start from a film that is already solved, where that reaches.
    pub fn start_from(&mut self, solved: &Mesh) {
        let field = HeightField::new(solved);
        for (node, p) in self.plan.points.iter().enumerate() {
            if !self.fixed[node]
                && let Some(z) = field.at(*p)
            {
                self.start[node] = z;
            }
        }
    }

    /// The film as a mesh of given heights.
    pub fn mesh(&self, heights: &[f64]) -> Mesh {
        Mesh {
            vertices: self
                .plan
                .points
                .iter()
                .zip(heights)
                .map(|(p, z)| Point3::new(p.x, p.y, *z))
                .collect(),
            triangles: self.plan.triangles.clone(),
        }
    }

    /// How the solved heights answer to the height of each of so many caps, one field for each: unit by unit, while what
    /// is held stays held. `None` where the film has no stable shape.
    ///
    /// With H the Hessian of the film's energy, the free nodes f answer to the nodes c that lie on a cap by
    /// H_ff dz_f = -H_fc: one solution with the factor for each cap.
    pub fn answers(&mut self, caps: usize) -> Option<Vec<Vec<f64>>> {
        let unknowns = self.film.unknowns();
        let mut hessian = self.film.pattern();
        let mut gradient = vec![0.0; self.start.len()];
        self.film
            .derivatives(&self.start, &mut gradient, &mut hessian);
        let is_held = |node: usize| self.start[node] <= self.lower[node] && gradient[node] > 0.0;
        let held: Vec<bool> = unknowns
            .iter()
            .map(|node| is_held(*node as usize))
            .collect();
        let factor = self.newton.factor(&hessian, &held)?;
        let mut side = vec![0.0; unknowns.len()];
        let answers = (0..caps).map(|cap| {
            let moved: Vec<f64> = unknowns
                .iter()
                .zip(&held)
                .map(|(node, held)| {
                    let on_cap = self.under[*node as usize] == Some(Rest::Cap(cap));
                    f64::from(*held && on_cap)
                })
                .collect();
            hessian.multiply(&moved, &mut side);
            for (side, held) in side.iter_mut().zip(&held) {
                *side = if *held { 0.0 } else { -*side };
            }
            factor.solve(&mut side);
            let mut answer = vec![0.0; self.start.len()];
            for (row, node) in unknowns.iter().enumerate() {
                answer[*node as usize] = if held[row] { moved[row] } else { side[row] };
            }
            answer
        });
        Some(answers.collect())
    }

    /// Solves from the start, which becomes the answer.
    pub fn solve(&mut self, rules: &Rules, precision: Precision) -> Minimum {
        let minimum = self.film.solve_again(
            &self.start,
            &self.lower,
            rules.film_tension * self.cell,
            precision,
            &mut self.newton,
        );
        self.start.copy_from_slice(&minimum.z);
        minimum
    }
}

/// A tent over the ridge's profile, straight down to the edge: near the film, so that few steps are left.
fn start(hull: &Hull, frame: &Frame, points: &[Point2<f64>]) -> Vec<f64> {
    let [aft, fore] = hull.edge.ends();
    let half_spacing = frame.ridges.iter().copied().fold(0.0, f64::max);
    let table: Vec<[f64; 5]> = (0..=START_STATIONS)
        .map(|i| {
            let x = aft + (fore - aft) * i as f64 / START_STATIONS as f64;
            match hull.edge.at_station(x) {
                Some([starboard, port]) => [
                    starboard.y,
                    starboard.z,
                    port.y,
                    port.z,
                    frame.profile_at(x),
                ],
                None => [0.0; 5],
            }
        })
        .collect();
    points
        .iter()
        .map(|p| {
            let place = ((p.x - aft) / (fore - aft)).clamp(0.0, 1.0) * START_STATIONS as f64;
            let row = (place as usize).min(START_STATIONS - 1);
            let s = place - row as f64;
            let [yl, zl, yr, zr, ridge] =
                std::array::from_fn(|k| table[row][k] * (1.0 - s) + table[row + 1][k] * s);
            let (reach, edge) = if p.y < 0.0 { (-yl, zl) } else { (yr, zr) };
            let room = (reach - half_spacing).max(f64::EPSILON);
            let part = ((p.y.abs() - half_spacing) / room).clamp(0.0, 1.0);
            ridge + (edge - ridge) * part
        })
        .collect()
}

/// The runs of a polyline whose corners lie inside a convex outline in plan by a margin.
fn runs_inside(
    points: &[Point3<f64>],
    outline: &[Point2<f64>],
    margin: f64,
) -> Vec<Vec<Point3<f64>>> {
    let inside = |p: &Point3<f64>| {
        outline.iter().enumerate().all(|(i, a)| {
            let along = outline[(i + 1) % outline.len()] - a;
            along.perp(&(p.xy() - a)) >= margin * along.norm()
        })
    };
    points
        .split(|p| !inside(p))
        .filter(|run| run.len() > 1)
        .map(<[_]>::to_vec)
        .collect()
}

/// The greatest height of a polyline within a reach in plan of a point; `None` where it is farther off. Of each piece the
/// nearest point and the ends count.
fn highest_near(line: &[Point3<f64>], p: Point2<f64>, reach: f64) -> Option<f64> {
    line.windows(2)
        .flat_map(|pair| {
            let (a, b) = (pair[0], pair[1]);
            let along = b - a;
            let run = along.xy().norm_squared().max(f64::MIN_POSITIVE);
            let s = ((p - a.xy()).dot(&along.xy()) / run).clamp(0.0, 1.0);
            [a, b, a + along * s]
        })
        .filter(|q| (q.xy() - p).norm() <= reach)
        .map(|q| q.z)
        .reduce(f64::max)
}
