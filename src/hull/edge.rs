//! The edge line: the outline in plan of all that the film must go round.
//!
//! The film is drawn tight over it and over the perimeter band under it, so it bridges every inward bend:
//! the edge line is the convex hull in plan of the sheer and of whatever reaches past it.

use nalgebra::{Point2, Point3};
use spade::{DelaunayTriangulation, HasPosition, Triangulation};

/// A closed convex line round the boat, counter-clockwise from above, at the height where the film turns
/// down to the band.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeLine {
    points: Vec<Point3<f64>>,
    /// Arc length in plan from the first point to each, and round to the first again, m.
    run: Vec<f64>,
}

/// A bend in plan from which a point of the edge is a corner, rad: a mesh keeps it as a node.
const CORNER: f64 = 0.2;

/// Points of the plan nearer than this are one, m.
const SAME: f64 = 1e-6;

#[derive(Clone, Copy)]
struct Seed(Point3<f64>);

impl HasPosition for Seed {
    type Scalar = f64;
    fn position(&self) -> spade::Point2<f64> {
        spade::Point2::new(self.0.x, self.0.y)
    }
}

impl EdgeLine {
    /// The edge round the given points; `None` if they enclose nothing.
    ///
    /// # Units
    /// Meters.
    pub fn around(points: &[Point3<f64>]) -> Option<EdgeLine> {
        let seeds = points.iter().map(|p| Seed(*p)).collect();
        let plan = DelaunayTriangulation::<Seed>::bulk_load(seeds).ok()?;
        // spade walks its convex hull counter-clockwise seen from outside; the turn is settled by area.
        let mut hull: Vec<Point3<f64>> = plan
            .convex_hull()
            .map(|edge| edge.from().data().0)
            .collect();
        hull.dedup_by(|a, b| (a.xy() - b.xy()).norm() < SAME);
        if hull.len() < 3 {
            return None;
        }
        let area: f64 = pairs(&hull).map(|(a, b)| a.x * b.y - b.x * a.y).sum();
        if area.abs() < SAME {
            return None;
        }
        if area < 0.0 {
            hull.reverse();
        }
        Some(EdgeLine::through(hull))
    }

    fn through(points: Vec<Point3<f64>>) -> EdgeLine {
        let mut run = vec![0.0];
        let mut total = 0.0;
        for (a, b) in pairs(&points) {
            total += (b.xy() - a.xy()).norm();
            run.push(total);
        }
        EdgeLine { points, run }
    }

    /// Its corners, counter-clockwise.
    pub fn points(&self) -> &[Point3<f64>] {
        &self.points
    }

    /// Length round it in plan, m.
    pub fn length(&self) -> f64 {
        self.run.last().copied().unwrap_or(0.0)
    }

    /// Plan area inside it, m2.
    pub fn plan_area(&self) -> f64 {
        0.5 * pairs(&self.points)
            .map(|(a, b)| a.x * b.y - b.x * a.y)
            .sum::<f64>()
    }

    /// The point at an arc length in plan from the first one.
    pub fn at(&self, run: f64) -> Point3<f64> {
        let run = run.rem_euclid(self.length());
        let piece = self
            .run
            .partition_point(|r| *r <= run)
            .clamp(1, self.points.len());
        let (a, b) = (
            self.points[piece - 1],
            self.points[piece % self.points.len()],
        );
        let span = self.run[piece] - self.run[piece - 1];
        a + (b - a) * ((run - self.run[piece - 1]) / span)
    }

    /// Arc length of the point of the edge nearest to a point of the plan, m.
    pub fn nearest(&self, p: Point2<f64>) -> f64 {
        let mut best = (f64::INFINITY, 0.0);
        for (i, (a, b)) in pairs(&self.points).enumerate() {
            let along = b.xy() - a.xy();
            let s = ((p - a.xy()).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
            let distance = (a.xy() + along * s - p).norm();
            if distance < best.0 {
                best = (distance, self.run[i] + s * along.norm());
            }
        }
        best.1
    }

    /// Where a plan line of constant station (`axis` 0) or offset (`axis` 1) cuts it: the two points in
    /// order of the other coordinate.
    fn cut(&self, axis: usize, value: f64) -> Option<[Point3<f64>; 2]> {
        let other = 1 - axis;
        let mut found: Option<[Point3<f64>; 2]> = None;
        for (a, b) in pairs(&self.points) {
            let (da, db) = (a[axis] - value, b[axis] - value);
            if da * db > 0.0 {
                continue;
            }
            let ends = if da == db {
                [a, b]
            } else {
                let p = a + (b - a) * (da / (da - db));
                [p, p]
            };
            for p in ends {
                found = Some(found.map_or([p, p], |[low, high]| {
                    [
                        if p[other] < low[other] { p } else { low },
                        if p[other] > high[other] { p } else { high },
                    ]
                }));
            }
        }
        found
    }

    /// Its starboard and port points at a station; `None` beyond its ends.
    pub fn at_station(&self, station: f64) -> Option<[Point3<f64>; 2]> {
        self.cut(0, station)
    }

    /// Its stern and bow points at an offset; `None` beyond its sides.
    pub fn at_offset(&self, offset: f64) -> Option<[Point3<f64>; 2]> {
        self.cut(1, offset)
    }

    /// Stations of its aft and fore ends, m.
    pub fn ends(&self) -> [f64; 2] {
        let stations = || self.points.iter().map(|p| p.x);
        [
            stations().fold(f64::INFINITY, f64::min),
            stations().fold(f64::NEG_INFINITY, f64::max),
        ]
    }

    /// Arc lengths of its corners: where it bends sharply in plan.
    pub fn corners(&self) -> Vec<f64> {
        let count = self.points.len();
        (0..count)
            .filter(|&i| {
                let before = self.points[i].xy() - self.points[(i + count - 1) % count].xy();
                let after = self.points[(i + 1) % count].xy() - self.points[i].xy();
                before.perp(&after).atan2(before.dot(&after)).abs() > CORNER
            })
            .map(|i| self.run[i])
            .collect()
    }

    /// Points along it about `size` apart, with nodes at its corners and at the given arc lengths.
    ///
    /// # Units
    /// Meters.
    pub fn resample(&self, size: f64, keep: &[f64]) -> Vec<Point3<f64>> {
        let total = self.length();
        let mut stops: Vec<f64> = self.corners();
        stops.extend(keep.iter().map(|run| run.rem_euclid(total)));
        stops.sort_by(f64::total_cmp);
        stops.dedup_by(|a, b| (*a - *b).abs() < SAME);
        if let (Some(first), Some(last)) = (stops.first(), stops.last())
            && stops.len() > 1
            && first + total - last < SAME
        {
            stops.pop();
        }
        if stops.is_empty() {
            stops.push(0.0);
        }
        let mut points = Vec::new();
        for (i, &from) in stops.iter().enumerate() {
            let to = stops.get(i + 1).copied().unwrap_or(stops[0] + total);
            let pieces = ((to - from) / size - SAME).ceil().max(1.0) as usize;
            for piece in 0..pieces {
                points.push(self.at(from + (to - from) * piece as f64 / pieces as f64));
            }
        }
        points
    }
}

fn pairs(points: &[Point3<f64>]) -> impl Iterator<Item = (Point3<f64>, Point3<f64>)> + '_ {
    points
        .iter()
        .copied()
        .zip(points.iter().copied().cycle().skip(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rectangle() -> EdgeLine {
        let corners = [
            (0.0, -1.0, 1.0),
            (4.0, -1.0, 2.0),
            (4.0, 1.0, 2.0),
            (0.0, 1.0, 1.0),
            (2.0, 0.0, 5.0), // inside: left out
        ];
        EdgeLine::around(&corners.map(|(x, y, z)| Point3::new(x, y, z))).unwrap()
    }

    #[test]
    fn a_rectangle_keeps_its_numbers() {
        let edge = rectangle();
        assert_eq!(edge.points().len(), 4);
        assert!((edge.plan_area() - 8.0).abs() < 1e-12);
        assert!((edge.length() - 12.0).abs() < 1e-12);
        let [starboard, port] = edge.at_station(1.0).unwrap();
        assert_eq!((starboard.y, port.y), (-1.0, 1.0));
        assert!((port.z - 1.25).abs() < 1e-12);
        let [stern, bow] = edge.at_offset(0.5).unwrap();
        assert_eq!((stern.x, bow.x), (0.0, 4.0));
        assert!(edge.at_station(4.5).is_none());
        assert_eq!(edge.corners().len(), 4);
    }

    #[test]
    fn resampling_keeps_corners_and_wanted_points() {
        let edge = rectangle();
        let wanted = edge.nearest(Point2::new(1.03, 3.0));
        let points = edge.resample(0.5, &[wanted]);
        for p in edge.points().iter().chain([&edge.at(wanted)]) {
            assert!(points.iter().any(|q| (q - p).norm() < 1e-9));
        }
        let resampled = EdgeLine::around(&points).unwrap();
        assert!((resampled.plan_area() - 8.0).abs() < 1e-9);
    }

    #[test]
    fn points_on_a_line_enclose_nothing() {
        let line: Vec<_> = (0..5)
            .map(|i| Point3::new(f64::from(i), 0.0, 0.0))
            .collect();
        assert!(EdgeLine::around(&line).is_none());
    }
}
