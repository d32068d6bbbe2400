//! A section through a plan: what an upright plane cuts, and what is read off it. Plain geometry.

use super::read;
use crate::geom::slice::{Axis, Cut, slice_across};
use crate::plan::Plan;
use crate::viewer::scene::{ground_level, strap_points};
use nalgebra::Point3;

/// A cutting plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Plane {
    /// Across the boat at a station, m.
    Across(f64),
    /// Along the boat at an offset to port, m.
    Along(f64),
}

impl Plane {
    /// The coordinate that is constant in it.
    pub fn axis(self) -> Axis {
        match self {
            Plane::Across(_) => Axis::X,
            Plane::Along(_) => Axis::Y,
        }
    }

    /// Its station or offset, m.
    pub fn at(self) -> f64 {
        match self {
            Plane::Across(at) | Plane::Along(at) => at,
        }
    }

    /// The same kind of plane elsewhere.
    ///
    /// # Units
    /// Meters.
    pub fn moved_to(self, at: f64) -> Plane {
        match self {
            Plane::Across(_) => Plane::Across(at),
            Plane::Along(_) => Plane::Along(at),
        }
    }

    /// Stations or offsets between which it cuts the cover of a plan, m.
    pub fn reach(self, plan: &Plan) -> [f64; 2] {
        let coordinates = || plan.hull.edge.points().iter().map(|p| self.axis().along(p));
        [
            coordinates().fold(f64::INFINITY, f64::min) + HAIR,
            coordinates().fold(f64::NEG_INFINITY, f64::max) - HAIR,
        ]
    }

    /// The same plane, no farther out than it cuts the cover.
    pub fn held(self, plan: &Plan) -> Plane {
        let [low, high] = self.reach(plan);
        self.moved_to(self.at().min(high).max(low))
    }

    /// A place of the section in the boat's space: along the section, height, m.
    pub fn point(self, [along, height]: [f64; 2]) -> Point3<f64> {
        match self {
            Plane::Across(at) => Point3::new(at, along, height),
            Plane::Along(at) => Point3::new(along, at, height),
        }
    }
}

/// Corners of a line in a section: offset to port (across) or station (along), and height, m.
pub type Line = Vec<[f64; 2]>;

/// A piece of a strap in a section.
#[derive(Debug, Clone, PartialEq)]
pub struct StrapCut {
    /// Its place in the frame.
    pub strap: usize,
    /// One point where it crosses, or more where it lies in the plane.
    pub line: Line,
}

/// A nearly straight stretch of the film.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Its ends.
    pub ends: [[f64; 2]; 2],
    /// Its slope along the cut, rad: the film's own is as steep or steeper.
    pub slope: f64,
}

/// How far the film clears a box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clearance {
    /// The box, by its place among the hull's things.
    pub thing: usize,
    /// Where the film comes nearest over it: along the section, heights of its top and of the film, m.
    pub along: f64,
    /// See `along`.
    pub top: f64,
    /// See `along`.
    pub film: f64,
}

impl Clearance {
    /// The clearance, m.
    pub fn gap(&self) -> f64 {
        self.film - self.top
    }
}

/// What a plane cuts of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// The plane.
    pub plane: Plane,
    /// Height of the ground.
    pub ground: f64,
    /// Closed outlines of the hull's bodies.
    pub hull: Vec<Line>,
    /// Closed outlines of boxes and tubes, by their place in the hull.
    pub things: Vec<(usize, Line)>,
    /// Sole and other footings as far as the hull reaches.
    pub footings: Vec<[[f64; 2]; 2]>,
    /// The film over the edge line.
    pub film: Vec<Cut>,
    /// The film from the edge line down to the band.
    pub skirt: Vec<Line>,
    /// Posts that stand near the plane, by their place in the frame.
    pub posts: Vec<usize>,
    /// Straps that it meets.
    pub straps: Vec<StrapCut>,
    /// Where it crosses the perimeter band.
    pub band: Line,
    /// Where it crosses the edge line: the starboard and port ends, or the stern and bow ends.
    pub edge: Option<[[f64; 2]; 2]>,
    /// The film's highest place.
    pub ridge: Option<[f64; 2]>,
    /// Nearly straight stretches of the film, from starboard or the stern.
    pub stretches: Vec<Stretch>,
    /// The film's own least slope in the section, rad, and where, not counting film on caps.
    pub least: Option<(f64, [f64; 2])>,
    /// Stretches where the film's own slope is under the rule, likewise.
    pub flat: Vec<Line>,
    /// How far the film clears each box that is cut.
    pub clearances: Vec<Clearance>,
}

/// What is so near to a plane is in it, m.
pub(super) const HAIR: f64 = 2e-3;

/// Posts no farther from the plane than this are shown, m: 6 in.
pub const NEAR: f64 = 0.1524;

/// Cuts a plan.
pub fn cut(plan: &Plan, plane: Plane) -> Section {
    let (axis, at) = (plane.axis(), plane.at());
    let closed = |mesh| -> Vec<Line> {
        // A plane often stands right on the end of a box: what is within a hair of it counts too.
        [0.0, -HAIR, HAIR]
            .iter()
            .map(|by| slice_across(mesh, axis, at + by))
            .find(|cuts| !cuts.is_empty())
            .unwrap_or_default()
            .into_iter()
            .map(|cut| cut.points)
            .filter(|line| line.len() > 2)
            .collect()
    };
    let hull: Vec<Line> = plan.hull.bodies.iter().flat_map(closed).collect();
    let things: Vec<(usize, Line)> = plan
        .hull
        .things
        .iter()
        .enumerate()
        .flat_map(|(index, thing)| {
            closed(&thing.mesh)
                .into_iter()
                .map(move |line| (index, line))
        })
        .collect();
    let film: Vec<Cut> = slice_across(&plan.cover.mesh, axis, at)
        .into_iter()
        .map(rising)
        .collect();
    let posts = (0..plan.frame.posts.len())
        .filter(|index| {
            plan.frame
                .posts
                .get(*index)
                .is_some_and(|post| (axis.along(&post.top()) - at).abs() <= NEAR)
        })
        .collect();
    let edge = match plane {
        Plane::Across(station) => plan.hull.edge.at_station(station),
        Plane::Along(offset) => plan.hull.edge.at_offset(offset),
    };
    let (least, flat) = read::flattest(plan, &film);
    Section {
        plane,
        ground: ground_level(plan),
        footings: read::footings(plan, plane, &hull),
        clearances: read::clearances(plan, &things, &film),
        skirt: slice_across(&plan.cover.skirt(&crate::cover::PLAIN), axis, at)
            .into_iter()
            .map(|cut| cut.points)
            .collect(),
        straps: straps(plan, plane),
        band: crossings(&plan.cover.band, true, plane),
        edge: edge.map(|ends| ends.map(|p| axis.seen(&p))),
        ridge: film
            .iter()
            .flat_map(|cut| &cut.points)
            .copied()
            .max_by(|a, b| a[1].total_cmp(&b[1])),
        stretches: film
            .iter()
            .flat_map(|cut| read::stretches(&cut.points))
            .collect(),
        least,
        flat,
        posts,
        hull,
        things,
        film,
    }
}

/// A line that runs from starboard to port, or from the stern to the bow.
fn rising(mut cut: Cut) -> Cut {
    let ends = cut.points.first().zip(cut.points.last());
    if ends.is_some_and(|(first, last)| first[0] > last[0]) {
        cut.points.reverse();
        cut.triangles.reverse();
    }
    cut
}

/// Where a line in space crosses a plane.
fn crossings(line: &[Point3<f64>], closed: bool, plane: Plane) -> Line {
    let axis = plane.axis();
    let back = if closed { line.first() } else { None };
    let round: Vec<&Point3<f64>> = line.iter().chain(back).collect();
    let mut found = Line::new();
    for pair in round.windows(2) {
        let &[a, b] = pair else { continue };
        let (da, db) = (axis.along(a) - plane.at(), axis.along(b) - plane.at());
        // An end in the plane counts as behind it.
        if (da <= 0.0) != (db <= 0.0) {
            found.push(axis.seen(&(a + (b - a) * (da / (da - db)))));
        }
    }
    found
}

/// Straps that cross the plane, and those that lie in it.
fn straps(plan: &Plan, plane: Plane) -> Vec<StrapCut> {
    let axis = plane.axis();
    let mut found = Vec::new();
    for strap in 0..plan.frame.straps.len() {
        let points = strap_points(plan, strap);
        let inside = |p: &Point3<f64>| (axis.along(p) - plane.at()).abs() <= HAIR;
        let lying: Vec<Line> = points
            .chunk_by(|a, b| inside(a) && inside(b))
            .filter(|run| run.len() > 1)
            .map(|run| run.iter().map(|p| axis.seen(p)).collect())
            .collect();
        if lying.is_empty() {
            let crossed = crossings(&points, false, plane);
            found.extend(crossed.into_iter().map(|p| StrapCut {
                strap,
                line: vec![p],
            }));
        } else {
            found.extend(lying.into_iter().map(|line| StrapCut { strap, line }));
        }
    }
    found
}

#[cfg(test)]
mod tests;
