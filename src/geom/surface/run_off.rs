//! The way that water takes down a height field.

use super::corners;
use super::place::{Place, Plan, SNAP, Spot};
use crate::geom::mesh::Mesh;
use nalgebra::{Point2, Point3};
use std::ops::ControlFlow::{self, Break, Continue};

/// Fall (height over length) under which a triangle or an edge counts as level: a billionth is a
/// thousandth of a hair over any surface that is built, and far above the rounding of heights.
const LEVEL_FALL: f64 = 1e-9;

/// Crossings for each triangle of the mesh after which the line keeps to the edges. Steepest descent
/// crosses a triangle once or twice; more is rounding going round in a circle.
const CROSSINGS_FOR_EACH_TRIANGLE: usize = 8;

/// How a run-off line ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RunOffEnd {
    /// It left the surface over the rim.
    Rim,
    /// It reached a vertex with higher ground all round.
    Hollow,
    /// It reached a level place, from which nothing runs further by itself.
    Level,
}

/// A line of steepest descent.
///
/// # Units
/// Meters, for coordinates in meters.
#[derive(Debug, Clone, PartialEq)]
pub struct RunOff {
    /// From the start to the end, one point for each edge crossed and each vertex met.
    pub points: Vec<Point3<f64>>,
    /// How it ended.
    pub end: RunOffEnd,
}

/// The line of steepest descent from the place over `start`, to the rim or to where it stands; `None`
/// if `start` is not over the mesh.
///
/// The line follows each triangle's own gradient, a valley edge down to its lower end, and from a
/// vertex the steepest triangle or edge; at a fork of equal falls the first in the order of the mesh.
/// A start on the rim has run off already. It always ends: after more crossings than descent can have,
/// the line keeps to falling edges, of which each vertex is met once. `neighbors` comes from
/// [`super::edge_neighbors`]. Cost: one look at every triangle to find the start, then the line.
///
/// # Units
/// `start` in the length of the coordinates, meters.
pub fn run_off(mesh: &Mesh, neighbors: &[[Option<u32>; 3]], start: Point2<f64>) -> Option<RunOff> {
    let ground = Ground { mesh, neighbors };
    let crossings = CROSSINGS_FOR_EACH_TRIANGLE * mesh.triangles.len();
    ground.locate(start).map(|at| ground.descend(at, crossings))
}

struct Ground<'a> {
    mesh: &'a Mesh,
    neighbors: &'a [[Option<u32>; 3]],
}

impl Ground<'_> {
    fn locate(&self, start: Point2<f64>) -> Option<Place> {
        (0..self.mesh.triangles.len()).find_map(|t| {
            let plan = Plan::of(self.mesh, t)?;
            let weights = plan.weights(start);
            let over = weights.iter().all(|&w| w >= -SNAP);
            over.then(|| Place::snapped(t, weights))
        })
    }

    fn descend(&self, start: Place, crossings: usize) -> RunOff {
        let mut at = start;
        let mut points = vec![self.point(&at)];
        let mut made = 0;
        loop {
            let step = if made < crossings {
                self.step(&at)
            } else {
                self.step_by_edges(&at)
            };
            match step {
                Break(end) => return RunOff { points, end },
                Continue(next) => at = next,
            }
            let point = self.point(&at);
            if points.last() != Some(&point) {
                points.push(point);
            }
            made += 1;
        }
    }

    fn point(&self, place: &Place) -> Point3<f64> {
        let [a, b, c] = corners(self.mesh, place.t);
        match place.spot() {
            // Corners are handed on as they are, free of the rounding of weights.
            Spot::Corner(k) => [a, b, c][k],
            _ => {
                let [p, q, r] = place.weights;
                Point3::from(a.coords * p + b.coords * q + c.coords * r)
            }
        }
    }

    fn step(&self, at: &Place) -> ControlFlow<RunOffEnd, Place> {
        match at.spot() {
            Spot::Inside => self
                .across(at)
                .map_or(Break(RunOffEnd::Level), |(_, next)| Continue(next)),
            Spot::Edge(k) => self.step_from_edge(at, k),
            Spot::Corner(k) => self.step_from_corner(at.t, k, true),
        }
    }

    /// As [`Self::step`], along edges only: each step ends at a vertex lower than anything before.
    fn step_by_edges(&self, at: &Place) -> ControlFlow<RunOffEnd, Place> {
        let beyond = match at.spot() {
            Spot::Corner(k) => return self.step_from_corner(at.t, k, false),
            Spot::Edge(k) => match self.neighbors[at.t][k] {
                None => return Break(RunOffEnd::Rim),
                other => other.map(|u| u as usize),
            },
            Spot::Inside => None,
        };
        let ways = [Some(at.t), beyond].into_iter().flatten();
        let lowest = ways
            .flat_map(|t| [0, 1, 2].map(|k| (t, k, corners(self.mesh, t)[k].z)))
            .min_by(|p, q| p.2.total_cmp(&q.2));
        match lowest {
            Some((t, k, z)) if z < self.point(at).z => Continue(Place::corner(t, k)),
            _ => Break(RunOffEnd::Level),
        }
    }

    fn step_from_edge(&self, at: &Place, k: usize) -> ControlFlow<RunOffEnd, Place> {
        let Some(other) = self.neighbors[at.t][k] else {
            return Break(RunOffEnd::Rim);
        };
        let other = other as usize;
        let ids = self.mesh.triangles[at.t];
        let weights = self.mesh.triangles[other].map(|v| {
            let shared = ids.iter().position(|&id| id == v);
            shared.map_or(0.0, |m| at.weights[m])
        });
        let beyond = Place { t: other, weights };
        let here = self.across(at);
        let there = self.across(&beyond);
        // A triangle's own fall is never less than that of its edge, so the edge comes last.
        if let Some((_, next)) = steeper(here, there) {
            return Continue(next);
        }
        let (m, all) = ((k + 1) % 3, corners(self.mesh, at.t));
        let fall = fall_between(&all[k], &all[m]);
        if fall > LEVEL_FALL {
            Continue(Place::corner(at.t, m))
        } else if fall < -LEVEL_FALL {
            Continue(Place::corner(at.t, k))
        } else {
            Break(RunOffEnd::Level)
        }
    }

    fn step_from_corner(
        &self,
        t: usize,
        k: usize,
        through_triangles: bool,
    ) -> ControlFlow<RunOffEnd, Place> {
        let Some(star) = self.star(t, k) else {
            return Break(RunOffEnd::Rim);
        };
        let mut best = None;
        let mut all_rise = true;
        for (t, k) in star {
            let next = (k + 1) % 3;
            let all = corners(self.mesh, t);
            let fall = fall_between(&all[k], &all[next]);
            all_rise &= fall < -LEVEL_FALL;
            if fall > LEVEL_FALL {
                best = steeper(best, Some((fall, Place::corner(t, next))));
            }
            if through_triangles {
                best = steeper(best, self.across(&Place::corner(t, k)));
            }
        }
        match best {
            Some((_, next)) => Continue(next),
            None if all_rise => Break(RunOffEnd::Hollow),
            None => Break(RunOffEnd::Level),
        }
    }

    /// The triangles about a corner with the number of that corner in each, counter-clockwise from the
    /// given one; `None` if the corner is on the rim.
    fn star(&self, t: usize, k: usize) -> Option<Vec<(usize, usize)>> {
        let vertex = self.mesh.triangles[t][k];
        let mut star = vec![(t, k)];
        let (mut t, mut k) = (t, k);
        // Bounded, so that neighbors that do not fit the mesh cannot hold it for ever.
        for _ in 0..self.mesh.triangles.len() {
            t = self.neighbors[t][(k + 2) % 3]? as usize;
            k = self.mesh.triangles[t].iter().position(|&v| v == vertex)?;
            if star.first() == Some(&(t, k)) {
                return Some(star);
            }
            star.push((t, k));
        }
        None
    }

    /// The fall of the triangle and the place where its steepest line from here leaves it; `None` if
    /// the triangle is level or the line would leave it at once.
    fn across(&self, at: &Place) -> Option<(f64, Place)> {
        let plan = Plan::of(self.mesh, at.t)?;
        let z = corners(self.mesh, at.t).map(|p| p.z);
        let gradient = plan.gradient(z);
        let fall = gradient.norm();
        if fall <= LEVEL_FALL {
            return None;
        }
        let rates = plan.rates(-gradient / fall);
        let mut exit: Option<(f64, usize)> = None;
        for (k, (&weight, &rate)) in at.weights.iter().zip(&rates).enumerate() {
            if weight == 0.0 && rate <= 0.0 {
                return None;
            }
            if weight > 0.0 && rate < 0.0 {
                let length = weight / -rate;
                if exit.is_none_or(|(least, _)| length < least) {
                    exit = Some((length, k));
                }
            }
        }
        let (length, gone) = exit?;
        let mut weights = [0, 1, 2].map(|k| at.weights[k] + length * rates[k]);
        weights[gone] = 0.0;
        Some((fall, Place::snapped(at.t, weights)))
    }
}

/// The steeper of two ways; the first if they fall alike.
fn steeper(first: Option<(f64, Place)>, second: Option<(f64, Place)>) -> Option<(f64, Place)> {
    match (&first, &second) {
        (Some((f, _)), Some((s, _))) if s > f => second,
        (Some(_), _) => first,
        _ => second,
    }
}

/// Fall from p to q: height over length in plan. Endless along an upright edge, 0 along none.
fn fall_between(p: &Point3<f64>, q: &Point3<f64>) -> f64 {
    let drop = p.z - q.z;
    if drop == 0.0 {
        0.0
    } else {
        drop / (q - p).xy().norm()
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{disk, grid, pyramid};
    use super::super::{edge_neighbors, rim_vertices};
    use super::RunOffEnd::{Hollow, Level, Rim};
    use super::*;
    use nalgebra::Vector2;
    use proptest::prelude::*;

    /// Rounding and snapping over a line of some dozen crossings.
    const CLOSE: f64 = 1e-7;

    fn run(mesh: &Mesh, start: [f64; 2]) -> Option<RunOff> {
        run_off(mesh, &edge_neighbors(mesh), Point2::from(start))
    }

    fn sane(line: &RunOff) {
        for pair in line.points.windows(2) {
            assert!(pair[1].z <= pair[0].z + CLOSE, "runs uphill: {line:?}");
        }
    }

    /// Runs straight in plan from start to end, for `end` there is one.
    fn check(mesh: &Mesh, start: [f64; 2], end: Option<([f64; 2], RunOffEnd)>, source: &str) {
        let line = run(mesh, start);
        let (Some(line), Some((last, how))) = (&line, end) else {
            assert!(line.is_none() && end.is_none(), "{line:?}: {source}");
            return;
        };
        sane(line);
        assert_eq!(line.end, how, "{line:?}: {source}");
        let [from, to] = [Point2::from(start), Point2::from(last)];
        let got = [line.points[0], line.points[line.points.len() - 1]];
        assert!((got[0].xy() - from).norm() < CLOSE, "{got:?}: {source}");
        assert!((got[1].xy() - to).norm() < CLOSE, "{got:?}: {source}");
        for p in &line.points {
            let aside = (to - from).perp(&(p.xy() - from));
            assert!(aside.abs() < CLOSE, "{p} is off the line: {source}");
        }
    }

    #[test]
    fn runs_straight_down_a_plane() {
        let down_x = grid([1.0, 1.0], [7, 5], |x, _| 2.0 - 0.3 * x);
        check(&down_x, [-0.4, 0.13], Some(([1.0, 0.13], Rim)), "along x");
        check(&down_x, [1.0, 0.13], Some(([1.0, 0.13], Rim)), "on the rim");
        check(&down_x, [1.1, 0.0], None, "beside the mesh");
        let slant = grid([1.0, 1.0], [6, 6], |x, y| x + 2.0 * y);
        check(
            &slant,
            [0.0, 0.0],
            Some(([-0.5, -1.0], Rim)),
            "from a vertex",
        );
        check(
            &slant,
            [0.1, 0.3],
            Some(([-0.55, -1.0], Rim)),
            "down (1, 2)",
        );
        check(
            &slant,
            [0.45, 0.9],
            Some(([-0.5, -1.0], Rim)),
            "over a vertex",
        );
        let tilted = grid([1.0, 1.0], [4, 4], |x, y| x + y);
        check(
            &tilted,
            [0.25, 0.25],
            Some(([-1.0, -1.0], Rim)),
            "along diagonals",
        );
        let flat = grid([1.0, 1.0], [4, 4], |_, _| 1.0);
        check(&flat, [0.2, 0.3], Some(([0.2, 0.3], Level)), "level inside");
        check(
            &flat,
            [0.0, 0.0],
            Some(([0.0, 0.0], Level)),
            "level at a vertex",
        );
        check(
            &flat,
            [0.0, 0.2],
            Some(([0.0, 0.2], Level)),
            "level on an edge",
        );
        check(&Mesh::default(), [0.0, 0.0], None, "nothing");
    }

    #[test]
    fn runs_off_a_roof_and_into_a_hollow() {
        let roof = pyramid(1.0);
        check(
            &roof,
            [0.5, 0.2],
            Some(([1.0, 0.2], Rim)),
            "down the east face",
        );
        check(
            &roof,
            [-0.1, -0.6],
            Some(([-0.1, -1.0], Rim)),
            "down the south face",
        );
        check(
            &roof,
            [0.0, 0.0],
            Some(([0.0, -1.0], Rim)),
            "from the top, first face",
        );
        check(
            &roof,
            [0.5, 0.5],
            Some(([1.0, 0.5], Rim)),
            "from a hip, first face",
        );
        let pit = pyramid(-1.0);
        check(
            &pit,
            [0.5, 0.5],
            Some(([0.0, 0.0], Hollow)),
            "down a valley edge",
        );
        check(
            &pit,
            [0.5, 0.0],
            Some(([0.0, 0.0], Hollow)),
            "down the middle of a face",
        );
        // From (0.6, 0.2) west to the valley at (0.2, 0.2), then down it.
        let bent = run(&pit, [0.6, 0.2]).unwrap();
        sane(&bent);
        assert_eq!((bent.end, bent.points.len()), (Hollow, 3));
        assert!((bent.points[1] - Point3::new(0.2, 0.2, -0.8)).norm() < CLOSE);
        assert_eq!(bent.points[2], Point3::new(0.0, 0.0, -1.0));
        let trough = grid([1.0, 1.0], [4, 4], |_, y| y.abs());
        check(
            &trough,
            [0.3, 0.7],
            Some(([0.3, 0.0], Level)),
            "a level valley holds it",
        );
    }

    #[test]
    fn bowl_leads_to_its_bottom_and_dome_to_its_rim() {
        for (height, end) in [(1.0, Hollow), (-1.0, Rim)] {
            let mesh = disk(1.0, 12, |r| height * r * r);
            for start in [[0.31, 0.2], [-0.5, 0.77], [0.01, -0.63], [-0.4, -0.4]] {
                let line = run(&mesh, start).unwrap();
                sane(&line);
                assert_eq!(line.end, end);
                let last = line.points.last().unwrap().coords.xy();
                // Round symmetry: to the middle, or out within half a sector of the start's bearing.
                let start = Vector2::from(start);
                match end {
                    Hollow => assert_eq!(last.norm(), 0.0),
                    _ => assert!(start.angle(&last) < std::f64::consts::PI / 72.0),
                }
            }
        }
    }

    #[test]
    fn keeps_to_edges_once_crossings_are_spent() {
        let mesh = disk(1.0, 12, |r| r * r);
        let neighbors = edge_neighbors(&mesh);
        let ground = Ground {
            mesh: &mesh,
            neighbors: &neighbors,
        };
        for crossings in 0..6 {
            let start = ground.locate(Point2::new(0.31, 0.2)).unwrap();
            let line = ground.descend(start, crossings);
            sane(&line);
            assert_eq!(line.end, Hollow);
            assert_eq!(line.points.last(), Some(&Point3::origin()));
        }
    }

    proptest! {
        #[test]
        fn always_ends_where_it_says(
            heights in prop::collection::vec(0.0..1.0_f64, 64),
            steps in 0_u32..8,
            x in -1.0..1.0_f64,
            y in -1.0..1.0_f64,
        ) {
            let mut mesh = grid([1.0, 1.0], [7, 7], |_, _| 0.0);
            for (p, h) in mesh.vertices.iter_mut().zip(&heights) {
                // Rounded to a few steps there are terraces, level edges and exact ties.
                let n = f64::from(steps);
                p.z = if steps == 0 { *h } else { (h * n).round() / n };
            }
            let neighbors = edge_neighbors(&mesh);
            let line = run_off(&mesh, &neighbors, Point2::new(x, y)).unwrap();
            sane(&line);
            let last = *line.points.last().unwrap();
            match line.end {
                Rim => prop_assert!(last.x.abs().max(last.y.abs()) > 1.0 - CLOSE),
                Hollow => {
                    let v = mesh.vertices.iter().position(|p| *p == last).unwrap() as u32;
                    prop_assert!(!rim_vertices(&mesh, &neighbors).contains(&v));
                    for other in mesh.triangles.iter().filter(|t| t.contains(&v)).flatten() {
                        prop_assert!(*other == v || mesh.vertices[*other as usize].z > last.z);
                    }
                }
                Level => prop_assert!(steps > 0),
            }
        }
    }
}
