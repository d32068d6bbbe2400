//! The film's rim: edge line and perimeter band side by side, with lengths along the edge from the stern round
//! by port.

use crate::boat::Hand;
use crate::cover::Cover;
use crate::hull::Hull;
use nalgebra::{Point2, Point3};

/// Edge and band as meshed, from the middle of the stern round by port and back to it.
pub(super) struct Rim {
    edge: Vec<Point3<f64>>,
    band: Vec<Point3<f64>>,
    /// Length along the edge from the first point to each, and round to the first again, m.
    run: Vec<f64>,
}

/// A place on the rim.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot {
    /// Length along the edge from the middle of the stern by port, m.
    pub run: f64,
    /// On the edge.
    pub top: Point3<f64>,
    /// On the band under it.
    pub foot: Point3<f64>,
}

impl Rim {
    /// The rim of a cover; `None` where that has no edge.
    pub fn of(hull: &Hull, cover: &Cover) -> Option<Rim> {
        let mut pairs: Vec<(Point3<f64>, Point3<f64>)> = cover
            .edge
            .iter()
            .zip(&cover.band)
            .filter_map(|(node, band)| Some((*cover.mesh.vertices.get(*node as usize)?, *band)))
            .collect();
        // The mesh goes round counter-clockwise from above; by port from the stern is against it.
        pairs.reverse();
        let stern = Point2::new(hull.edge.ends()[0], 0.0);
        let rim = Rim::through(&pairs)?;
        let start = rim.at(rim.nearest(stern));
        let after = rim.run.partition_point(|run| *run <= start.run) % pairs.len();
        pairs.rotate_left(after);
        // The middle itself becomes the first point, unless there is one.
        let at_start = |pair: Option<&(Point3<f64>, Point3<f64>)>| {
            pair.is_some_and(|(edge, _)| (edge - start.top).norm() < SAME)
        };
        if at_start(pairs.last()) {
            pairs.rotate_right(1);
        } else if !at_start(pairs.first()) {
            pairs.insert(0, (start.top, start.foot));
        }
        Rim::through(&pairs)
    }

    fn through(pairs: &[(Point3<f64>, Point3<f64>)]) -> Option<Rim> {
        if pairs.len() < 3 {
            return None;
        }
        let (edge, band): (Vec<_>, Vec<_>) = pairs.iter().copied().unzip();
        let mut run = vec![0.0];
        let mut total = 0.0;
        for (a, b) in edge.iter().zip(edge.iter().cycle().skip(1)) {
            total += (b - a).norm();
            run.push(total);
        }
        (total > 0.0).then_some(Rim { edge, band, run })
    }

    /// Length round the edge, m.
    pub fn length(&self) -> f64 {
        self.run.last().copied().unwrap_or(0.0)
    }

    /// The band, counter-clockwise from above.
    pub fn course(&self) -> Vec<Point3<f64>> {
        self.band.iter().rev().copied().collect()
    }

    /// The place at a length along the edge.
    pub fn at(&self, run: f64) -> Spot {
        let run = run.rem_euclid(self.length());
        let piece = self
            .run
            .partition_point(|r| *r <= run)
            .clamp(1, self.edge.len());
        let (i, j) = (piece - 1, piece % self.edge.len());
        let long = self.run[piece] - self.run[i];
        let s = if long > 0.0 {
            (run - self.run[i]) / long
        } else {
            0.0
        };
        Spot {
            run,
            top: self.edge[i] + (self.edge[j] - self.edge[i]) * s,
            foot: self.band[i] + (self.band[j] - self.band[i]) * s,
        }
    }

    /// Length along the edge of its point nearest in plan to a point.
    pub fn nearest(&self, p: Point2<f64>) -> f64 {
        let mut best = (f64::INFINITY, 0.0);
        for (i, a) in self.edge.iter().enumerate() {
            let along = self.edge[(i + 1) % self.edge.len()].xy() - a.xy();
            let long = along.norm_squared().max(f64::MIN_POSITIVE);
            let s = ((p - a.xy()).dot(&along) / long).clamp(0.0, 1.0);
            let distance = (a.xy() + along * s - p).norm_squared();
            if distance < best.0 {
                best = (distance, self.run[i] + s * (self.run[i + 1] - self.run[i]));
            }
        }
        best.1
    }

    /// The place on one side at a station, moved to the ends beyond them.
    pub fn at_station(&self, hull: &Hull, station: f64, hand: Hand) -> Option<Spot> {
        let [aft, fore] = hull.edge.ends();
        let [starboard, port] = hull.edge.at_station(station.clamp(aft, fore))?;
        let p = match hand {
            Hand::Port => port,
            Hand::Starboard => starboard,
        };
        Some(self.at(self.nearest(p.xy())))
    }

    /// The shorter way along the edge between two places, m.
    pub fn between(&self, a: f64, b: f64) -> f64 {
        let way = (a - b).rem_euclid(self.length());
        way.min(self.length() - way)
    }
}

/// Points of the edge nearer than this are one, m: far under a tape's quarter inch.
const SAME: f64 = 1e-6;

#[cfg(test)]
mod tests {
    use super::super::tests::planned;
    use super::*;

    #[test]
    fn the_rim_starts_at_the_stern_and_goes_by_port() {
        for name in ["open-runabout-18", "pilothouse-25", "sailboat-30-mast-up"] {
            let (_, plan) = planned(name);
            let rim = Rim::of(&plan.hull, &plan.cover).unwrap();
            let [aft, fore] = plan.hull.edge.ends();
            let start = rim.at(0.0).top;
            assert!(
                (start.x - aft).abs() < 0.01 && start.y.abs() < 0.01,
                "{name}: {start}"
            );
            assert!(rim.at(0.25 * rim.length()).top.y > 0.0, "{name}");
            assert!(rim.at(0.75 * rim.length()).top.y < 0.0, "{name}");
            assert!(
                (rim.at(0.5 * rim.length()).top.x - fore).abs() < 0.1,
                "{name}"
            );
            // Lengths of a closed curve do not depend on where it starts.
            let round: f64 = plan
                .cover
                .edge
                .iter()
                .zip(plan.cover.edge.iter().cycle().skip(1))
                .map(|(a, b)| {
                    let at = |node: &u32| plan.cover.mesh.vertices[*node as usize];
                    (at(b) - at(a)).norm()
                })
                .sum();
            assert!((rim.length() - round).abs() < 1e-6, "{name}");
            for k in 0..40 {
                let run = rim.length() * f64::from(k) / 40.0;
                let back = rim.nearest(rim.at(run).top.xy());
                assert!(rim.between(run, back) < 1e-6, "{name}: {run} {back}");
            }
        }
    }
}
