//! The cover: the taut film over a frame, and what it does with snow and water.
//!
//! [`stretch`] meshes the plan with straps, caps and boxes as edges, finds the film's shape of least energy
//! above the boat, and reads off the verdict: slopes, holding patches, ponds, loads and contacts.

mod problem;
mod skirt;
mod taut;
mod verdict;

pub use taut::{Precision, StrapEdge, TautFilm};

use crate::boat::Rules;
use crate::frame::{Frame, Strap};
use crate::geom::mesh::Mesh;
use crate::geom::surface::{Patch, Pond, area};
use crate::hull::Hull;
use crate::num::bounded::Status;
use nalgebra::Point3;

/// What a node of the film rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rest {
    /// A post's cap, by its place in the frame.
    Cap(usize),
    /// A thing on the boat, by its place in the hull.
    Thing(usize),
}

/// A strap as it hangs under the film.
#[derive(Debug, Clone, PartialEq)]
pub struct StrapShape {
    /// Nodes along it.
    pub nodes: Vec<u32>,
    /// Length between its ends over the film's support, m.
    pub length: f64,
    /// Greatest sag under the straight line between neighboring supports, m.
    pub sag: f64,
}

/// A place where the film bears on the boat.
#[derive(Debug, Clone, PartialEq)]
pub struct Contact {
    /// Thing on the boat, by its place in the hull.
    pub thing: usize,
    /// Middle of the contact, weighted by force, m.
    pub at: Point3<f64>,
    /// Force of film and straps on it, N.
    pub force: f64,
    /// The most that the thing bears over a foot of length about a point of the contact, N.
    pub over_a_foot: f64,
}

/// The taut film over a frame.
#[derive(Debug, Clone)]
pub struct Cover {
    /// The film above the edge line; triangles counter-clockwise from above.
    pub mesh: Mesh,
    /// What is under each node; `None` where it hangs over open deck, and on the edge.
    pub under: Vec<Option<Rest>>,
    /// Height of that, m; minus infinity where there is none.
    pub floor: Vec<f64>,
    /// What presses each node up, N: zero where it hangs free and on the edge.
    pub pushes: Vec<f64>,
    /// Slope of each triangle, rad.
    pub slopes: Vec<f64>,
    /// Straps in the frame's order.
    pub straps: Vec<StrapShape>,
    /// Load of each post in the frame's order, N.
    pub post_loads: Vec<f64>,
    /// Where the film bears on the boat, the greatest force first.
    pub contacts: Vec<Contact>,
    /// Connected film flatter than the least slope, the largest first.
    pub patches: Vec<Patch>,
    /// Hollows that would hold water, the largest first.
    pub ponds: Vec<Pond>,
    /// Least slope off the caps, as a mean over a hand's breadth (4 in), rad.
    pub least_slope: f64,
    /// Where that is.
    pub least_slope_at: Point3<f64>,
    /// Area above the edge line, m2.
    pub spanned_area: f64,
    /// Area with the skirt down to the band, m2.
    pub area: f64,
    /// Area inside the edge line in plan, m2.
    pub plan_area: f64,
    /// The mesh's nodes along the edge line, counter-clockwise from above.
    pub edge: Vec<u32>,
    /// The point of the perimeter band under each of them, m.
    pub band: Vec<Point3<f64>>,
    /// Length of the perimeter band, m.
    pub band_length: f64,
    /// Vertical pull of the edge on the film, N; negative where it holds the film down.
    pub edge_pull: f64,
    /// Sum of all vertical forces on the film, N: zero up to the residual.
    pub vertical: f64,
    /// How the solution ended.
    pub status: Status,
    /// Newton steps.
    pub iterations: usize,
    /// Largest force left over at a free node, N.
    pub residual: f64,
}

impl Cover {
    /// The film down to the band: the mesh with the skirt's strip of triangles round it.
    pub fn with_skirt(&self) -> Mesh {
        let mut mesh = self.mesh.clone();
        let first = mesh.vertices.len() as u32;
        let band = first..first + self.band.len() as u32;
        mesh.vertices.extend(&self.band);
        mesh.triangles.extend(skirt::strip(
            &mesh.vertices,
            &self.edge,
            &band.collect::<Vec<_>>(),
        ));
        mesh
    }

    /// The skirt alone, in rows one under the other: each a part of the way from the edge line down to the band, and
    /// how far it stands off outward in plan. Drawn sheets stand off the hull's flat faces a little; [`PLAIN`] is the
    /// ruled strip itself.
    ///
    /// # Units
    /// `rows` as (part of one, meters).
    pub fn skirt(&self, rows: &[(f64, f64)]) -> Mesh {
        let tops = self
            .edge
            .iter()
            .filter_map(|node| self.mesh.vertices.get(*node as usize));
        let ends: Vec<[Point3<f64>; 2]> = tops.zip(&self.band).map(|(a, b)| [*a, *b]).collect();
        skirt::in_rows(&ends, rows)
    }

    /// Area of all film flatter than the least slope but for the tops of caps, which are flat by nature, m2.
    pub fn flat_area(&self) -> f64 {
        let on_cap = |node: u32| matches!(self.under.get(node as usize), Some(Some(Rest::Cap(_))));
        self.patches
            .iter()
            .flat_map(|patch| &patch.triangles)
            .map(|t| *t as usize)
            .filter(|t| {
                self.mesh
                    .triangles
                    .get(*t)
                    .is_some_and(|nodes| !nodes.iter().all(|node| on_cap(*node)))
            })
            .map(|t| area(&self.mesh, t))
            .sum()
    }

    /// Area of all film flatter than the least slope, m2.
    pub fn holding_area(&self) -> f64 {
        self.patches.iter().map(|patch| patch.area).sum()
    }

    /// Area of the patches larger than what is tolerated, m2.
    ///
    /// # Units
    /// Square meters.
    pub fn holding_over(&self, tolerance: f64) -> f64 {
        self.patches
            .iter()
            .map(|patch| patch.area)
            .filter(|area| *area > tolerance)
            .sum()
    }
}

/// Rows of the skirt as it is: straight from the edge line to the band.
pub const PLAIN: [(f64, f64); 2] = [(0.0, 0.0), (1.0, 0.0)];

/// From this many nodes a film is first solved on a coarser mesh, whose answer is a start near to the fine
/// one: below it the coarse mesh costs more than it saves.
const NESTED: usize = 1500;

/// How much coarser that mesh is.
const NESTING: f64 = 2.0;

/// Times that a film is lifted over what it cuts through between its nodes. Each costs about as
/// much as the first solution, and the second finds little.
const MAX_LIFTS: usize = 2;

/// Halvings of a cell that is too coarse for a boat's details.
const MAX_HALVINGS: i32 = 4;

/// Solves the film over a frame; `None` where the plan cannot be meshed. Where the cell is too coarse to mesh
/// the boat's details, it is halved.
///
/// # Units
/// `cell` is the size of the mesh at straps, caps and edge, m.
pub fn stretch(hull: &Hull, frame: &Frame, rules: &Rules, cell: f64) -> Option<Cover> {
    Stretcher::new(hull, rules).stretch(frame, cell)
}

/// Films of one boat, solved one after the other: each starts from the one before, and keeps its mesh where only caps
/// have gone up or down.
pub struct Stretcher<'a> {
    hull: &'a Hull,
    rules: &'a Rules,
    near: Option<&'a Cover>,
    precision: Precision,
    last: Option<Last>,
}

/// The film before.
struct Last {
    problem: problem::Problem,
    frame: Frame,
    cell: f64,
    precision: Precision,
    told: Option<Told>,
}

impl Last {
    /// Whether it is the film over a frame already.
    fn is_solved(&self, frame: &Frame, cell: f64, precision: Precision) -> bool {
        let caps =
            |frame: &Frame| -> Vec<f64> { frame.posts.iter().map(|post| post.cap).collect() };
        (self.cell, self.precision) == (cell, precision)
            && same_plan(&self.frame, frame)
            && caps(&self.frame) == caps(frame)
    }
}

/// How the heights of a film answer to its caps.
struct Told {
    caps: Vec<f64>,
    heights: Vec<f64>,
    answers: Vec<Vec<f64>>,
}

impl Told {
    /// The heights that the film promises under a frame with other caps.
    fn heights(&self, frame: &Frame) -> Vec<f64> {
        let mut heights = self.heights.clone();
        for ((cap, answer), post) in self.caps.iter().zip(&self.answers).zip(&frame.posts) {
            let by = post.cap - cap;
            if by != 0.0 {
                for (height, answer) in heights.iter_mut().zip(answer) {
                    *height += by * answer;
                }
            }
        }
        heights
    }
}

impl<'a> Stretcher<'a> {
    /// A boat without any film yet.
    pub fn new(hull: &'a Hull, rules: &'a Rules) -> Stretcher<'a> {
        Stretcher {
            hull,
            rules,
            near: None,
            precision: Precision::Fine,
            last: None,
        }
    }

    /// The same with a film over nearly the same frame, from which the first one starts.
    pub fn near(hull: &'a Hull, rules: &'a Rules, cover: &'a Cover) -> Stretcher<'a> {
        Stretcher {
            near: Some(cover),
            ..Stretcher::new(hull, rules)
        }
    }

    /// The same, solved roughly, and kept over the things that the film before was lifted over: to choose among frames.
    #[must_use]
    pub fn roughly(self) -> Stretcher<'a> {
        Stretcher {
            precision: Precision::Rough,
            ..self
        }
    }

    /// The same again, solved to be read.
    #[must_use]
    pub fn finely(self) -> Stretcher<'a> {
        Stretcher {
            precision: Precision::Fine,
            ..self
        }
    }

    /// The same by other rules of slope.
    #[must_use]
    pub fn by(self, rules: &'a Rules) -> Stretcher<'a> {
        Stretcher { rules, ..self }
    }

    /// The film over a frame; `None` where the plan cannot be meshed.
    ///
    /// # Units
    /// As [`stretch`].
    pub fn stretch(&mut self, frame: &Frame, cell: f64) -> Option<Cover> {
        let (hull, rules) = (self.hull, self.rules);
        let mut told = None;
        let mut known = false;
        let mut problem = match self.last.take() {
            Some(last) if last.is_solved(frame, cell, self.precision) => {
                (told, known) = (last.told, true);
                last.problem
            }
            Some(mut last) if last.cell == cell && same_plan(&last.frame, frame) => {
                last.problem
                    .lay_caps(frame, self.precision == Precision::Rough);
                if let Some(told) = &last.told {
                    last.problem.start = told.heights(frame);
                }
                told = last.told;
                last.problem
            }
            Some(last) => {
                let mut problem = meshed(hull, frame, rules, cell)?;
                problem.start_from(&last.problem.mesh(&last.problem.start));
                problem
            }
            None => {
                let mut problem = meshed(hull, frame, rules, cell)?;
                match self.near {
                    Some(cover) => problem.start_from(&cover.mesh),
                    None => start_near(hull, frame, rules, &mut problem),
                }
                problem
            }
        };
        if !known {
            lift(rules, &mut problem);
        }
        let minimum = problem.solve(rules, self.precision);
        let cover = verdict::read(hull, frame, rules, &problem, minimum);
        self.last = Some(Last {
            problem,
            frame: frame.clone(),
            cell,
            precision: self.precision,
            told,
        });
        Some(cover)
    }
}

impl Stretcher<'_> {
    /// How the heights of the last film answer to the height of each post's cap, one field over its nodes for each post:
    /// m for each m that the cap rises, while contacts stay as they are. `None` where there is no film yet.
    pub fn answers(&mut self) -> Option<&[Vec<f64>]> {
        let last = self.last.as_mut()?;
        let told = Told {
            caps: last.frame.posts.iter().map(|post| post.cap).collect(),
            heights: last.problem.start.clone(),
            answers: last.problem.answers(last.frame.posts.len())?,
        };
        Some(&last.told.insert(told).answers)
    }
}

/// Whether two frames of a boat have the same mesh: all but their caps' heights is the same.
fn same_plan(a: &Frame, b: &Frame) -> bool {
    let posts =
        |frame: &Frame| -> Vec<_> { frame.posts.iter().map(|post| post.top().xy()).collect() };
    let same_strap = |(a, b): (&Strap, &Strap)| a.plan == b.plan && a.tension == b.tension;
    posts(a) == posts(b)
        && a.straps.len() == b.straps.len()
        && a.straps.iter().zip(&b.straps).all(same_strap)
}

fn meshed(hull: &Hull, frame: &Frame, rules: &Rules, cell: f64) -> Option<problem::Problem> {
    (0..=MAX_HALVINGS).find_map(|halvings| {
        problem::Problem::new(hull, frame, rules, cell * 0.5f64.powi(halvings))
    })
}

/// Solves roughly from the problem's start while the film still cuts through what is under it.
fn lift(rules: &Rules, problem: &mut problem::Problem) {
    for _ in 0..MAX_LIFTS {
        problem.solve(rules, Precision::Rough);
        if !problem.lift_over() {
            break;
        }
    }
}

/// Starts a large film from a coarser one, that from a coarser one again.
fn start_near(hull: &Hull, frame: &Frame, rules: &Rules, problem: &mut problem::Problem) {
    if problem.plan.points.len() <= NESTED {
        return;
    }
    if let Some(mut coarse) = problem::Problem::new(hull, frame, rules, NESTING * problem.cell) {
        start_near(hull, frame, rules, &mut coarse);
        coarse.solve(rules, Precision::Rough);
        problem.start_from(&coarse.mesh(&coarse.start));
    }
}
