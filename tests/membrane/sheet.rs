//! A film with its bounds and its start, and the meshes that the checks use.

use hulltent::cover::{StrapEdge, TautFilm};
use hulltent::geom::triangulate::{Disc, Line, PlanMesh, Region, triangulate};
use hulltent::num::bounded::{Energy, Minimum, Newton, Settings, Status, minimise};
use nalgebra::{Point2, Point3, Vector3};
use std::f64::consts::TAU;

/// Two lengths nearer than this are one: rounding of coordinates about 1 m.
pub const SAME: f64 = 1e-9;

/// Force left on a free node, as a part of tension times edge length. Tighter than the film's own, so that
/// the checks see the discrete answer and not where the solver left off.
const RESIDUAL: f64 = 1e-11;

/// Newton steps given; some tens are used.
const STEPS: usize = 300;

/// A film ready to be solved. Nothing is under it and no node is fixed until that is said.
#[derive(Clone)]
pub struct Sheet {
    pub points: Vec<Point2<f64>>,
    pub triangles: Vec<[u32; 3]>,
    pub straps: Vec<StrapEdge>,
    pub fixed: Vec<bool>,
    pub start: Vec<f64>,
    pub lower: Vec<f64>,
    pub tension: f64,
    pub load: f64,
}

impl Sheet {
    /// A film of unit tension over a mesh, level at zero.
    pub fn new(points: Vec<Point2<f64>>, triangles: Vec<[u32; 3]>) -> Sheet {
        let nodes = points.len();
        Sheet {
            points,
            triangles,
            straps: Vec::new(),
            fixed: vec![false; nodes],
            start: vec![0.0; nodes],
            lower: vec![f64::NEG_INFINITY; nodes],
            tension: 1.0,
            load: 0.0,
        }
    }

    /// Fixes the chosen nodes at the given heights.
    pub fn fix(
        mut self,
        choose: impl Fn(Point2<f64>) -> bool,
        height: impl Fn(Point2<f64>) -> f64,
    ) -> Sheet {
        for (node, p) in self.points.iter().enumerate() {
            if choose(*p) {
                self.fixed[node] = true;
                self.start[node] = height(*p);
            }
        }
        self
    }

    /// Puts something under the nodes where `height` names it.
    pub fn rest_on(mut self, height: impl Fn(Point2<f64>) -> Option<f64>) -> Sheet {
        for (node, p) in self.points.iter().enumerate() {
            if let Some(height) = height(*p).filter(|_| !self.fixed[node]) {
                self.lower[node] = height;
            }
        }
        self
    }

    pub fn film(&self) -> TautFilm {
        TautFilm::new(
            &self.points,
            &self.triangles,
            &self.straps,
            &self.fixed,
            self.tension,
            self.load,
        )
    }

    /// The solved film; it must have converged.
    pub fn solve(&self) -> Minimum {
        self.least(&self.film())
    }

    /// Where some other energy over the same nodes is least; it must have converged.
    pub fn least(&self, energy: &impl Energy) -> Minimum {
        let settings = Settings {
            tolerance: RESIDUAL * self.tension * self.shortest_edge(),
            most_iterations: STEPS,
        };
        let minimum = minimise(
            energy,
            &self.start,
            &self.lower,
            settings,
            &mut Newton::default(),
        );
        assert_eq!(
            minimum.status,
            Status::Converged,
            "residual {:e} after {} steps",
            minimum.residual,
            minimum.iterations
        );
        minimum
    }

    pub fn shortest_edge(&self) -> f64 {
        let strap_edges = self.straps.iter().map(|strap| strap.nodes);
        self.triangles
            .iter()
            .flat_map(|&[a, b, c]| [[a, b], [b, c], [c, a]])
            .chain(strap_edges)
            .map(|[a, b]| (self.points[b as usize] - self.points[a as usize]).norm())
            .fold(f64::INFINITY, f64::min)
    }

    /// Corners of a triangle of the film at the heights `z`.
    pub fn corners(&self, triangle: [u32; 3], z: &[f64]) -> [Point3<f64>; 3] {
        triangle.map(|node| {
            let p = self.points[node as usize];
            Point3::new(p.x, p.y, z[node as usize])
        })
    }

    /// Area of the triangles that `select` accepts by their nodes.
    pub fn area(&self, z: &[f64], select: impl Fn([u32; 3]) -> bool) -> f64 {
        self.triangles
            .iter()
            .filter(|triangle| select(**triangle))
            .map(|triangle| 0.5 * doubled_normal(self.corners(*triangle, z)).norm())
            .sum()
    }

    /// The node at a place.
    pub fn node_at(&self, x: f64, y: f64) -> usize {
        let place = Point2::new(x, y);
        let found = self.points.iter().position(|p| (p - place).norm() < SAME);
        found.expect("a node stands there")
    }
}

/// Upward normal of twice the area.
pub fn doubled_normal([a, b, c]: [Point3<f64>; 3]) -> Vector3<f64> {
    (b - a).cross(&(c - a))
}

/// Sum of the forces of what the film rests on.
pub fn contact_force(minimum: &Minimum) -> f64 {
    let held = minimum.held.iter().zip(&minimum.gradient);
    held.filter(|(held, _)| **held)
        .map(|(_, force)| force)
        .sum()
}

/// Sum of the forces at the fixed nodes.
pub fn edge_force(sheet: &Sheet, minimum: &Minimum) -> f64 {
    let fixed = sheet.fixed.iter().zip(&minimum.gradient);
    fixed
        .filter(|(fixed, _)| **fixed)
        .map(|(_, force)| force)
        .sum()
}

/// A rectangle about the origin in `nx` by `ny` cells: node `i * (ny + 1) + j` with `i` along x, each cell
/// split into (a, b, c), (a, c, d) counter-clockwise from its lower left node a.
pub fn grid([half_x, half_y]: [f64; 2], [nx, ny]: [u32; 2]) -> Sheet {
    let place = |half: f64, i: u32, n: u32| half * (2.0 * f64::from(i) / f64::from(n) - 1.0);
    let mut points = Vec::new();
    let mut triangles = Vec::new();
    for i in 0..=nx {
        for j in 0..=ny {
            points.push(Point2::new(place(half_x, i, nx), place(half_y, j, ny)));
            if i < nx && j < ny {
                let a = i * (ny + 1) + j;
                let [b, c, d] = [a + ny + 1, a + ny + 2, a + 1];
                triangles.extend([[a, b, c], [a, c, d]]);
            }
        }
    }
    Sheet::new(points, triangles)
}

/// Whether a point lies on the border of the rectangle of [`grid`].
pub fn on_border(half: [f64; 2]) -> impl Fn(Point2<f64>) -> bool {
    move |p| p.x.abs() > half[0] - SAME || p.y.abs() > half[1] - SAME
}

/// A disc in `rings` rings of six times as many sectors, all rings alike; the center is node 0.
pub fn polar(radius: f64, rings: u32) -> Sheet {
    let sectors = 6 * rings;
    let mut points = vec![Point2::origin()];
    let mut triangles = Vec::new();
    for ring in 0..rings {
        let r = radius * f64::from(ring + 1) / f64::from(rings);
        let first = 1 + ring * sectors;
        for s in 0..sectors {
            let angle = TAU * f64::from(s) / f64::from(sectors);
            points.push(Point2::new(r * angle.cos(), r * angle.sin()));
            let [c, d] = [first + s, first + (s + 1) % sectors];
            if ring == 0 {
                triangles.push([0, c, d]);
            } else {
                let [b, a] = [c - sectors, d - sectors];
                triangles.extend([[b, c, d], [b, d, a]]);
            }
        }
    }
    Sheet::new(points, triangles)
}

/// The ring between two radii, its cells about as long as wide, so that they grow with the radius.
pub fn annulus([inner, outer]: [f64; 2], rings: u32) -> Sheet {
    let growth = (outer / inner).ln() / f64::from(rings);
    let sectors = (TAU / growth).round() as u32;
    let mut points = Vec::new();
    let mut triangles = Vec::new();
    for ring in 0..=rings {
        let r = inner * (growth * f64::from(ring)).exp();
        for s in 0..sectors {
            let angle = TAU * f64::from(s) / f64::from(sectors);
            points.push(Point2::new(r * angle.cos(), r * angle.sin()));
            if ring < rings {
                let [a, d] = [s, (s + 1) % sectors].map(|s| ring * sectors + s);
                let [b, c] = [a, d].map(|node| node + sectors);
                triangles.extend([[a, b, c], [a, c, d]]);
            }
        }
    }
    Sheet::new(points, triangles)
}

/// Whether a point lies at this radius or farther out.
pub fn beyond(radius: f64) -> impl Fn(Point2<f64>) -> bool {
    move |p| p.coords.norm() > radius - SAME
}

/// A ring about the origin, its points at most one size apart, the first on the x axis.
pub fn ring(radius: f64, size: f64) -> Vec<Point2<f64>> {
    let count = (TAU * radius / size - SAME).ceil() as u32;
    let turn = |k: u32| TAU * f64::from(k) / f64::from(count);
    let place = |angle: f64| Point2::new(radius * angle.cos(), radius * angle.sin());
    (0..count).map(|k| place(turn(k))).collect()
}

/// A disc as the planner meshes it, with a cap in its middle if its radius is given, and circles about the
/// middle as lines.
pub fn meshed_disc(radius: f64, cap: Option<f64>, circles: &[f64], size: f64) -> Sheet {
    let discs: Vec<Disc> = cap
        .iter()
        .map(|&radius| Disc {
            center: Point2::origin(),
            radius,
        })
        .collect();
    // The cap's ring as a line too: of itself it has some two dozen nodes at most. The nodes are the same
    // where the ring is a whole number of sizes long.
    let lines: Vec<Line> = cap
        .iter()
        .chain(circles)
        .map(|&radius| {
            let mut points = ring(radius, size);
            points.push(points[0]);
            Line {
                points,
                exact: true,
            }
        })
        .collect();
    let region = Region {
        outline: &ring(radius, size),
        discs: &discs,
        lines: &lines,
        size,
    };
    let PlanMesh {
        points, triangles, ..
    } = triangulate(&region).expect("a round region is meshed");
    Sheet::new(points, triangles)
}
