//! Two or three slender hulls under one deck: pontoon boats and catamarans.

use nalgebra::{Point3, Vector3};

use crate::geom::build::WELD;
use crate::geom::mesh::Mesh;
use crate::hull::form::{Form, ShapeFault, check_ranges};
use crate::hull::shape::Lines;

/// Room left between the hulls and the deck (m), so that separate closed bodies never touch.
pub const BODY_GAP: f64 = 0.005;

/// Rings that draw an upturned nose.
const NOSE_RINGS: u32 = 8;

/// Stations at which the height of a hull under its deck is looked at.
const LOOKS: u32 = 64;

/// The fore end of a pontoon.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Nose {
    /// A cone to a tip on the tube's axis.
    Cone {
        /// Length of the cone (m).
        length: f64,
    },
    /// The bottom curves up to a tip at the height of the tube's top.
    Upturned {
        /// Length of the curved part (m).
        length: f64,
    },
}

/// A pontoon: a level tube with a flat aft end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tube {
    /// From the aft end to the tip (m).
    pub length: f64,
    /// Diameter (m).
    pub diameter: f64,
    /// The fore end.
    pub nose: Nose,
}

/// One slender hull.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Body {
    /// A pontoon.
    Tube(Tube),
    /// A narrow hull with its own lines.
    Demihull(Lines),
}

/// The deck over the hulls: an even slab.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeckSlab {
    /// Station of its aft edge, forward of the hulls' transom or aft of it when negative (m).
    pub start: f64,
    /// Station of its fore edge (m).
    pub end: f64,
    /// Width (m).
    pub beam: f64,
    /// Thickness (m).
    pub thickness: f64,
}

/// Equal slender hulls side by side under a deck.
#[derive(Debug, Clone, PartialEq)]
pub struct MultiHull {
    /// The hull that is repeated.
    pub body: Body,
    /// Distance of each hull's middle from the centerline, positive to port (m), from starboard
    /// to port.
    pub offsets: Vec<f64>,
    /// The deck; its upper edge carries the rub rail.
    pub deck: DeckSlab,
}

impl Tube {
    fn nose_length(&self) -> f64 {
        match self.nose {
            Nose::Cone { length } | Nose::Upturned { length } => length,
        }
    }

    /// Radius and height of the axis at a station.
    ///
    /// # Units
    /// Meters.
    pub fn ring(&self, station: f64) -> (f64, f64) {
        let whole = self.diameter / 2.0;
        let start = self.length - self.nose_length();
        let share = ((station - start) / self.nose_length()).clamp(0.0, 1.0);
        match self.nose {
            Nose::Cone { .. } => (whole * (1.0 - share), whole),
            Nose::Upturned { .. } => {
                let radius = whole * (1.0 - share * share);
                (radius, self.diameter - radius)
            }
        }
    }

    /// The closed tube with its axis over the centerline, its lowest point at height 0, of
    /// `sides` flat sides.
    ///
    /// # Units
    /// Meters.
    pub fn mesh(&self, sides: usize) -> Mesh {
        let start = self.length - self.nose_length();
        let steps = match self.nose {
            Nose::Cone { .. } => 1,
            Nose::Upturned { .. } => NOSE_RINGS,
        };
        let nose = (0..=steps).map(|k| {
            // Exactly the length at the tip, or the last ring would not close to a point.
            let share = f64::from(k) / f64::from(steps);
            if k == steps {
                self.length
            } else {
                start + share * self.nose_length()
            }
        });
        let rings: Vec<Vec<Point3<f64>>> = std::iter::once(0.0)
            .chain(nose)
            .map(|station| {
                let (radius, height) = if station >= self.length {
                    (0.0, self.ring(self.length).1)
                } else {
                    self.ring(station)
                };
                (0..sides)
                    .map(|k| on_ring(station, radius, height, k as f64 / sides as f64))
                    .collect()
            })
            .collect();
        Mesh::rings(&rings)
    }

    fn faults(&self, faults: &mut Vec<ShapeFault>) {
        let some = f64::MIN_POSITIVE..=f64::MAX;
        check_ranges(
            faults,
            &[
                (
                    "tube.length",
                    self.length,
                    some.clone(),
                    "must be more than zero",
                ),
                (
                    "tube.diameter",
                    self.diameter,
                    some,
                    "must be more than zero",
                ),
                (
                    "tube.nose.length",
                    self.nose_length(),
                    f64::MIN_POSITIVE..=self.length * 0.999,
                    "must be more than zero and less than the tube's length",
                ),
            ],
        );
    }
}

/// A point of a circle that faces forward, a share of a turn from its lowest point to port.
fn on_ring(station: f64, radius: f64, height: f64, share: f64) -> Point3<f64> {
    let turn = std::f64::consts::TAU * share;
    Point3::new(station, radius * turn.sin(), height - radius * turn.cos())
}

impl Body {
    fn beam(&self) -> f64 {
        match self {
            Body::Tube(tube) => tube.diameter,
            Body::Demihull(lines) => lines.beam,
        }
    }

    fn length(&self) -> f64 {
        match self {
            Body::Tube(tube) => tube.length,
            Body::Demihull(lines) => lines.length,
        }
    }

    /// Half section on the outer side, about the hull's own middle.
    fn outer(&self, station: f64, girth: usize) -> Vec<Point3<f64>> {
        match self {
            Body::Demihull(lines) => lines.section(station, girth),
            Body::Tube(tube) => {
                let (radius, height) = tube.ring(station);
                let steps = girth.max(2) - 1;
                (0..=steps)
                    .map(|k| on_ring(station, radius, height, 0.25 * k as f64 / steps as f64))
                    .collect()
            }
        }
    }

    /// Greatest height between two stations.
    fn top(&self, start: f64, end: f64) -> f64 {
        match self {
            Body::Tube(tube) => tube.diameter,
            Body::Demihull(lines) => (0..=LOOKS)
                .map(|k| start + (end - start) * f64::from(k) / f64::from(LOOKS))
                .map(|station| lines.sheer_height(station))
                .fold(0.0, f64::max),
        }
    }
}

impl MultiHull {
    /// Height of the deck's underside over the hulls' lowest point.
    ///
    /// # Units
    /// Meters.
    pub fn deck_underside(&self) -> f64 {
        self.body.top(self.deck.start, self.deck.end) + BODY_GAP
    }

    /// Height of the deck's top over the hulls' lowest point.
    ///
    /// # Units
    /// Meters.
    pub fn deck_top(&self) -> f64 {
        self.deck_underside() + self.deck.thickness
    }

    /// Separate closed bodies that do not touch: the hulls in the order of their offsets, then
    /// the deck. `girth` is the number of points in half a hull's section.
    ///
    /// # Errors
    /// Everything that [`MultiHull::faults`] finds.
    pub fn meshes(&self, stations: usize, girth: usize) -> Result<Vec<Mesh>, Vec<ShapeFault>> {
        let faults = self.faults();
        if !faults.is_empty() {
            return Err(faults);
        }
        let hull = match &self.body {
            Body::Tube(tube) => tube.mesh(2 * (girth.max(4) - 1)),
            Body::Demihull(lines) => lines.mesh(stations, girth)?.mesh,
        };
        let half = self.deck.beam / 2.0;
        let slab = Mesh::cuboid(
            Point3::new(self.deck.start, -half, self.deck_underside()),
            Point3::new(self.deck.end, half, self.deck_top()),
        );
        let hulls = self
            .offsets
            .iter()
            .map(|&y| hull.moved(Vector3::new(0.0, y, 0.0)));
        Ok(hulls.chain(std::iter::once(slab)).collect())
    }

    /// Everything that is impossible about these hulls; empty when they can be built.
    pub fn faults(&self) -> Vec<ShapeFault> {
        let mut faults = Vec::new();
        match &self.body {
            Body::Tube(tube) => tube.faults(&mut faults),
            Body::Demihull(lines) => faults.extend(lines.faults()),
        }
        let some = f64::MIN_POSITIVE..=f64::MAX;
        let positive = "must be more than zero";
        check_ranges(
            &mut faults,
            &[
                ("deck.beam", self.deck.beam, some.clone(), positive),
                (
                    "deck.thickness",
                    self.deck.thickness,
                    some.clone(),
                    positive,
                ),
                (
                    "deck.start",
                    self.deck.start,
                    f64::MIN..=self.body.length(),
                    "must lie over the hulls",
                ),
                ("deck.end", self.deck.end, some, "must lie over the hulls"),
                (
                    "deck.end",
                    self.deck.end - self.deck.start,
                    WELD..=f64::MAX,
                    "must lie forward of the deck's start",
                ),
            ],
        );
        if self.offsets.is_empty() || !self.offsets.iter().all(|y| y.is_finite()) {
            faults.push(ShapeFault::new(
                "offsets",
                "needs one finite distance for each hull",
            ));
        }
        let near = |y: &[f64]| matches!(y, [a, b] if b - a < self.body.beam() + BODY_GAP);
        if self.offsets.windows(2).any(near) {
            let message =
                "hulls overlap: set them apart by more than their own beam, starboard first";
            faults.push(ShapeFault::new("offsets", message));
        }
        faults
    }
}

impl Form for MultiHull {
    fn length(&self) -> f64 {
        self.deck.end.max(self.body.length())
    }

    /// The outer side of the port hull up to its widest point, then across to the deck's edge and
    /// up it; of the two only what stands at that station. A hull that is wider there than the
    /// deck has its own sheer for a rub rail.
    fn section(&self, station: f64, girth: usize) -> Vec<Point3<f64>> {
        let aft = self.deck.start.min(0.0);
        let station = station.clamp(aft, self.length());
        let half = self.deck.beam / 2.0;
        let mut points = Vec::new();
        if (0.0..=self.body.length()).contains(&station) {
            let out = self
                .offsets
                .iter()
                .copied()
                .fold(f64::NEG_INFINITY, f64::max);
            let shift = Vector3::new(0.0, out, 0.0);
            points.extend(self.body.outer(station, girth).iter().map(|p| p + shift));
        }
        let widest = points.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
        if (self.deck.start..=self.deck.end).contains(&station) && half >= widest {
            points.push(Point3::new(station, half, self.deck_underside()));
            points.push(Point3::new(station, half, self.deck_top()));
        }
        points
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hull::shape::tests::runabout;
    use std::f64::consts::PI;

    type Change = fn(&mut MultiHull);

    fn pontoon(nose: Nose, offsets: &[f64]) -> MultiHull {
        MultiHull {
            body: Body::Tube(Tube {
                length: 6.0,
                diameter: 0.6,
                nose,
            }),
            offsets: offsets.to_vec(),
            deck: DeckSlab {
                start: -0.2,
                end: 5.8,
                beam: 2.6,
                thickness: 0.15,
            },
        }
    }

    fn catamaran() -> MultiHull {
        let narrow = Lines {
            length: 9.0,
            beam: 1.2,
            sheer: [1.1, 1.2, 1.5],
            ..runabout()
        };
        MultiHull {
            body: Body::Demihull(narrow),
            offsets: vec![-1.9, 1.9],
            deck: DeckSlab {
                start: 0.5,
                end: 6.0,
                beam: 4.6,
                thickness: 0.2,
            },
        }
    }

    fn check(name: &str, boat: &MultiHull, count: usize) -> Vec<Mesh> {
        let bodies = boat.meshes(21, 9).unwrap();
        assert_eq!(bodies.len(), count, "{name}");
        let mut all = Mesh::default();
        for body in &bodies {
            assert_eq!(body.sanity_check(), Ok(()), "{name}");
            all.append(body);
        }
        assert_eq!(all.crossings(), 0, "{name}");
        let sum: f64 = bodies.iter().map(Mesh::volume).sum();
        assert!((all.volume() - sum).abs() < 1e-9, "{name}");
        bodies
    }

    #[test]
    fn bodies_stand_apart() {
        let two = [-0.95, 0.95];
        let three = [-0.95, 0.0, 0.95];
        let cone = pontoon(Nose::Cone { length: 0.9 }, &three);
        let bodies = check("three cones", &cone, 4);
        // Sixteen flat sides: section n/2 r^2 sin(2 pi/n); a cone holds a third of its cylinder.
        let section = 8.0 * 0.09 * (PI / 8.0).sin();
        assert!((bodies[1].volume() - section * (5.1 + 0.3)).abs() < 1e-12);
        let up = pontoon(Nose::Upturned { length: 0.9 }, &two);
        let bodies = check("two upturned", &up, 3);
        let (low, high) = bodies[1].bounds().unwrap();
        assert_eq!((low.x, high.x), (0.0, 6.0));
        assert!(low.z.abs() < 1e-12 && (high.z - 0.6).abs() < 1e-12);
        // The nose holds the integral of (1 - s^2)^2 = 8/15 of its cylinder; eight rings of it
        // fall short by less than a hundredth.
        let nose = bodies[0].volume() / section - 5.1;
        assert!((nose / 0.9 - 8.0 / 15.0).abs() < 0.01, "{nose}");
        check("catamaran", &catamaran(), 3);
    }

    #[test]
    fn girth_runs_down_the_deck_edge_and_round_the_tube() {
        let boat = pontoon(Nose::Cone { length: 0.9 }, &[-0.95, 0.95]);
        // Deck underside 0.605, top 0.755; tube side at (1.25, 0.3).
        let near = |station, below, wanted: [f64; 3]| {
            let p = boat.girth_point(station, below).unwrap();
            assert!((p - Point3::from(wanted)).norm() < 1e-9, "{p}");
        };
        near(3.0, 0.1, [3.0, 1.3, 0.655]);
        near(3.0, 0.15 + 0.05f64.hypot(0.305), [3.0, 1.25, 0.3]);
        near(-0.1, 0.1, [-0.1, 1.3, 0.655]);
        assert_eq!(boat.girth_point(-0.1, 0.2), None);
        // Forward of the deck only the tip of the tube is left.
        assert!((boat.section(6.0, 9)[8] - Point3::new(6.0, 0.95, 0.3)).norm() < 1e-12);
        // A catamaran's hulls stand out from under its deck: their own sheer is the edge.
        let edge = catamaran().section(3.6, 9);
        assert!((edge[edge.len() - 1].y - (1.9 + 0.6)).abs() < 1e-12);
    }

    #[test]
    fn each_impossible_thing_names_its_field() {
        let cases: [(Change, &[&str]); 6] = [
            (|_| (), &[]),
            (|b| b.offsets = vec![-0.2, 0.2], &["offsets"]),
            (|b| b.offsets.clear(), &["offsets"]),
            (|b| (b.deck.start, b.deck.end) = (3.0, 2.0), &["deck.end"]),
            (
                |b| (b.deck.beam, b.deck.thickness) = (0.0, f64::NAN),
                &["deck.beam", "deck.thickness"],
            ),
            (
                |b| {
                    let nose = Nose::Cone { length: 7.0 };
                    b.body = Body::Tube(Tube {
                        length: 6.0,
                        diameter: -1.0,
                        nose,
                    });
                },
                &["tube.diameter", "tube.nose.length"],
            ),
        ];
        for (change, fields) in cases {
            let mut boat = pontoon(Nose::Cone { length: 0.9 }, &[-0.95, 0.95]);
            change(&mut boat);
            let found: Vec<_> = boat.faults().iter().map(|f| f.field).collect();
            assert_eq!(found, fields);
            assert_eq!(boat.meshes(9, 7).is_err(), !fields.is_empty());
        }
    }
}
