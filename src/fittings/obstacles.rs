//! What is in the way of vents and door: straps, pleats, caps, collars, and whatever the film rests on.

use crate::boat::{Boat, Rules};
use crate::film::Pleat;
use crate::frame::Frame;
use crate::geom::sample::HeightField;
use crate::hull::Hull;
use nalgebra::Point2;

/// Film nearer than this to what is under it rests on it, m; house rule, 1 in.
pub(super) const RESTS: f64 = 0.0254;

/// Points of a circle that are looked at.
const ROUND: usize = 12;

/// A line or a disc in plan.
pub(super) struct Obstacle {
    pub name: String,
    line: [Point2<f64>; 2],
    radius: f64,
}

/// All that is in the way on a film.
pub(super) struct Obstacles<'a> {
    hull: &'a Hull,
    film: &'a HeightField<'a>,
    list: Vec<Obstacle>,
}

impl<'a> Obstacles<'a> {
    pub fn new(
        hull: &'a Hull,
        boat: &Boat,
        rules: &Rules,
        frame: &Frame,
        film: &'a HeightField<'a>,
        pleats: &[Pleat],
    ) -> Obstacles<'a> {
        let mut list = Vec::new();
        let mut add = |name: &str, line: &[Point2<f64>]| {
            for pair in line.windows(2) {
                if let [a, b] = *pair {
                    list.push(Obstacle {
                        name: name.to_owned(),
                        line: [a, b],
                        radius: 0.0,
                    });
                }
            }
        };
        for strap in &frame.straps {
            add(&strap.id, &strap.plan);
        }
        for pleat in pleats {
            let line: Vec<Point2<f64>> = pleat.line.iter().map(|p| p.xy()).collect();
            add(&pleat.id, &line);
        }
        let discs = frame
            .posts
            .iter()
            .map(|post| (post.id.clone(), post.top().xy(), 0.5 * rules.cap_diameter))
            .chain(boat.piercings.iter().map(|p| {
                let middle = Point2::new(p.station, p.offset);
                (p.name.clone(), middle, 0.5 * p.diameter)
            }));
        list.extend(discs.map(|(name, middle, radius)| Obstacle {
            name,
            line: [middle, middle],
            radius,
        }));
        Obstacles { hull, film, list }
    }

    /// Adds a line that is in the way, as wide as twice the radius.
    pub fn add(&mut self, name: &str, line: [Point2<f64>; 2], radius: f64) {
        self.list.push(Obstacle {
            name: name.to_owned(),
            line,
            radius,
        });
    }

    /// Height of the film, m.
    pub fn film_at(&self, p: Point2<f64>) -> Option<f64> {
        self.film.at(p)
    }

    /// The first obstacle nearer than `clear` to a point of the plan.
    pub fn near(&self, p: Point2<f64>, clear: f64) -> Option<&Obstacle> {
        self.list
            .iter()
            .find(|obstacle| distance(p, obstacle.line) < clear + obstacle.radius)
    }

    /// The first obstacle that comes nearer than `clear` to a line in plan.
    pub fn crossed(&self, line: [Point2<f64>; 2], clear: f64) -> Option<&Obstacle> {
        self.list
            .iter()
            .find(|obstacle| apart(line, obstacle.line) < clear + obstacle.radius)
    }

    /// Whether a disc of film hangs free: inside the film's edge, which is convex, and resting on nothing.
    pub fn hangs_free(&self, p: Point2<f64>, radius: f64) -> bool {
        self.gap(p).is_some_and(|gap| gap >= RESTS)
            && (0..ROUND).all(|k| {
                let turn = std::f64::consts::TAU * k as f64 / ROUND as f64;
                let q = p + nalgebra::Vector2::new(turn.cos(), turn.sin()) * radius;
                self.gap(q).is_some_and(|gap| gap >= RESTS)
            })
    }

    /// Height of the film over what is under it, m; infinite over open deck, `None` beside the film.
    fn gap(&self, p: Point2<f64>) -> Option<f64> {
        let film = self.film.at(p)?;
        Some(match self.hull.topmost(p) {
            Some((_, top)) => film - top,
            None => f64::INFINITY,
        })
    }
}

/// Distance of a point from a line in plan.
fn distance(p: Point2<f64>, [a, b]: [Point2<f64>; 2]) -> f64 {
    let along = b - a;
    let s = ((p - a).dot(&along) / along.norm_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    (a + along * s - p).norm()
}

/// Least distance of two lines in plan.
fn apart(a: [Point2<f64>; 2], b: [Point2<f64>; 2]) -> f64 {
    let side = |line: [Point2<f64>; 2], p: Point2<f64>| (line[1] - line[0]).perp(&(p - line[0]));
    let parts = |line, other: [Point2<f64>; 2]| side(line, other[0]) * side(line, other[1]) < 0.0;
    if parts(a, b) && parts(b, a) {
        return 0.0;
    }
    [
        distance(a[0], b),
        distance(a[1], b),
        distance(b[0], a),
        distance(b[1], a),
    ]
    .into_iter()
    .fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_of_lines() {
        // By hand on a square grid.
        let line = |a: [f64; 2], b: [f64; 2]| [Point2::from(a), Point2::from(b)];
        let x_axis = line([0.0, 0.0], [4.0, 0.0]);
        for (other, wanted) in [
            (line([2.0, -1.0], [2.0, 1.0]), 0.0),
            (line([2.0, 1.0], [2.0, 3.0]), 1.0),
            (line([7.0, 4.0], [7.0, 4.0]), 5.0),
            (line([0.0, 2.0], [4.0, 2.0]), 2.0),
            (line([-3.0, 0.0], [-1.0, 0.0]), 1.0),
        ] {
            assert!((apart(x_axis, other) - wanted).abs() < 1e-12, "{other:?}");
            assert!((apart(other, x_axis) - wanted).abs() < 1e-12, "{other:?}");
        }
    }
}
