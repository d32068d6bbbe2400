//! A hull drawn from a few measures: length, beam, three heights of the sheer and a section.

use nalgebra::{Point2, Point3};

use crate::boat::{half_breadth_share, sheer_height};
use crate::hull::form::{Form, ShapeFault, resampled};
use crate::hull::loft::{HullMesh, Loft};
pub use crate::hull::section::SectionShape;
use crate::hull::section::conic;

/// Where the keel begins to rise towards the stem, as a share of the length.
const FOREFOOT: f64 = 0.55;

/// How far up the stem the keel has risen at its foot, as a share of the bow's height.
const FOREFOOT_RISE: f64 = 0.4;

/// Up to here, as a share of the length, the bottom keeps the deadrise of the transom.
const EVEN_RUN: f64 = 0.25;

/// How much closer stations stand at the bow than on average.
const CROWDING: f64 = 0.6;

/// The lines of a hull with one keel and a pointed bow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lines {
    /// From the transom to the stem head at the sheer (m).
    pub length: f64,
    /// Greatest beam at the sheer (m).
    pub beam: f64,
    /// Heights of the sheer over the hull's lowest point at stern, middle and bow (m).
    pub sheer: [f64; 3],
    /// Fullness of the bow in plan, 0 fine to 1 bluff.
    pub fullness: f64,
    /// Beam at the transom over the greatest beam.
    pub transom_beam_fraction: f64,
    /// Rake of the stem from the vertical (rad), positive with the stem head foremost.
    pub stem_rake: f64,
    /// Rake of the transom from the vertical (rad), positive with its top aftmost.
    pub transom_rake: f64,
    /// The section.
    pub section: SectionShape,
}

/// The even curve that runs from 0 to 1 with level ends.
fn smooth(share: f64) -> f64 {
    let s = share.clamp(0.0, 1.0);
    s * s * (3.0 - 2.0 * s)
}

impl Lines {
    /// A station as a share of the length, inside the hull.
    fn share(&self, station: f64) -> f64 {
        (station / self.length).clamp(0.0, 1.0)
    }

    /// Half the beam at the sheer at a station.
    ///
    /// # Units
    /// Meters.
    pub fn half_breadth(&self, station: f64) -> f64 {
        let u = self.share(station);
        self.beam / 2.0 * half_breadth_share(u, self.transom_beam_fraction, self.fullness)
    }

    /// Height of the sheer at a station: the parabola through its three heights.
    ///
    /// # Units
    /// Meters.
    pub fn sheer_height(&self, station: f64) -> f64 {
        sheer_height(self.sheer, self.share(station))
    }

    /// Height of the keel at a station: level, then rising to the stem in the forefoot.
    ///
    /// # Units
    /// Meters.
    pub fn keel_height(&self, station: f64) -> f64 {
        let rise = ((self.share(station) - FOREFOOT) / (1.0 - FOREFOOT)).max(0.0);
        self.sheer[2] * FOREFOOT_RISE * rise * rise
    }

    /// Deadrise of the bottom at a station.
    ///
    /// # Units
    /// Radians.
    pub fn deadrise(&self, station: f64) -> f64 {
        match self.section {
            SectionShape::V {
                transom_deadrise,
                entry_deadrise,
                ..
            } => {
                let blend = smooth((self.share(station) - EVEN_RUN) / (1.0 - EVEN_RUN));
                transom_deadrise + (entry_deadrise - transom_deadrise) * blend
            }
            SectionShape::RoundBilge { deadrise, .. } => deadrise,
            SectionShape::Flat { .. } => 0.0,
        }
    }

    /// The chine at a station as half breadth and height; of a round bilge the corner of its two
    /// tangents, which lies outside the hull.
    ///
    /// # Units
    /// Meters.
    pub fn chine(&self, station: f64) -> Point2<f64> {
        let fraction = match self.section {
            SectionShape::V {
                chine_beam_fraction,
                ..
            }
            | SectionShape::Flat {
                chine_beam_fraction,
            } => chine_beam_fraction,
            SectionShape::RoundBilge { .. } => 1.0,
        };
        let out = self.half_breadth(station) * fraction;
        Point2::new(
            out,
            self.keel_height(station) + out * self.deadrise(station).tan(),
        )
    }

    /// Flare of the topside at a station: its lean outward from the vertical.
    ///
    /// # Units
    /// Radians.
    pub fn flare(&self, station: f64) -> f64 {
        let chine = self.chine(station);
        (self.half_breadth(station) - chine.x).atan2(self.sheer_height(station) - chine.y)
    }

    /// How far forward a point moves for each meter that it lies below the sheer: the rake of
    /// the transom fades into that of the stem.
    pub(super) fn lean(&self, u: f64) -> f64 {
        (1.0 - u) * self.transom_rake.tan() - u * self.stem_rake.tan()
    }

    /// Number of the girth point that parts bottom from topside in a section of so many points.
    pub fn chine_point(girth: usize) -> usize {
        (girth.max(3) - 1) / 2
    }

    /// Half sections from aft to fore for the loft, three at least and closer together at the
    /// bow, each of `girth` points (three at least) with the chine at [`Lines::chine_point`]. Girth lines lean with the rakes: the
    /// station of a section is where it meets the sheer.
    ///
    /// # Units
    /// Meters.
    pub fn sections(&self, stations: usize, girth: usize) -> Vec<Vec<Point3<f64>>> {
        // Two stations would leave a hull pointed at both ends without any breadth.
        let last = stations.max(3) - 1;
        (0..=last)
            .map(|k| {
                let even = k as f64 / last as f64;
                let crowded =
                    even + CROWDING / std::f64::consts::PI * (std::f64::consts::PI * even).sin();
                self.section(self.length * if k == last { 1.0 } else { crowded }, girth)
            })
            .collect()
    }

    /// The closed hull with its deck, of so many sections and points in each half section.
    ///
    /// # Errors
    /// Everything that [`Lines::faults`] finds.
    pub fn mesh(&self, stations: usize, girth: usize) -> Result<HullMesh, Vec<ShapeFault>> {
        let faults = self.faults();
        if !faults.is_empty() {
            return Err(faults);
        }
        let sections = self.sections(stations, girth);
        Loft::new(sections, Self::chine_point(girth))
            .and_then(|loft| loft.mesh())
            .map_err(|fault| vec![ShapeFault::new("section", fault.to_string())])
    }

    /// The upright half section as half breadth and height, in two runs that meet at the chine.
    fn runs(&self, station: f64) -> [Vec<Point2<f64>>; 2] {
        let keel = Point2::new(0.0, self.keel_height(station));
        let sheer = Point2::new(self.half_breadth(station), self.sheer_height(station));
        let corner = self.chine(station);
        let SectionShape::RoundBilge { bilge, .. } = self.section else {
            return [vec![keel, corner], vec![corner, sheer]];
        };
        conic(keel, corner, sheer, bilge)
    }
}

impl Form for Lines {
    fn length(&self) -> f64 {
        self.length
    }

    fn section(&self, station: f64, girth: usize) -> Vec<Point3<f64>> {
        let girth = girth.max(3);
        let u = self.share(station);
        let (at, lean, top) = (u * self.length, self.lean(u), self.sheer_height(station));
        let [bottom, topside] = self.runs(at).map(|run| {
            let flat: Vec<_> = run.iter().map(|p| Point3::new(0.0, p.x, p.y)).collect();
            flat
        });
        let chine = Self::chine_point(girth);
        let mut points = resampled(&bottom, chine + 1);
        points.pop();
        points.extend(resampled(&topside, girth - chine));
        for p in &mut points {
            p.x = at + lean * (top - p.z);
        }
        points
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::hull::loft::Face;

    /// An open boat of 18 ft by 8 ft, demo data.
    pub(in crate::hull) fn runabout() -> Lines {
        Lines {
            length: 5.5,
            beam: 2.4,
            sheer: [0.9, 0.95, 1.15],
            fullness: 0.4,
            transom_beam_fraction: 0.9,
            stem_rake: 0.5,
            transom_rake: -0.2,
            section: SectionShape::V {
                transom_deadrise: 20f64.to_radians(),
                entry_deadrise: 45f64.to_radians(),
                chine_beam_fraction: 0.85,
            },
        }
    }

    fn with(section: SectionShape) -> Lines {
        Lines {
            section,
            ..runabout()
        }
    }

    fn flat() -> Lines {
        with(SectionShape::Flat {
            chine_beam_fraction: 0.8,
        })
    }

    fn round() -> Lines {
        with(SectionShape::RoundBilge {
            bilge: 0.55,
            deadrise: 0.15,
        })
    }

    fn close(name: &str, got: f64, wanted: f64, tolerance: f64) {
        assert!(
            (got - wanted).abs() <= tolerance,
            "{name}: {got} instead of {wanted}"
        );
    }

    fn check(name: &str, lines: &Lines, stations: usize, girth: usize) -> HullMesh {
        let hull = lines
            .mesh(stations, girth)
            .unwrap_or_else(|f| panic!("{name}: {f:?}"));
        assert_eq!(hull.mesh.sanity_check(), Ok(()), "{name}");
        assert_eq!(hull.mesh.crossings(), 0, "{name}");
        hull
    }

    #[test]
    fn all_sections_close() {
        let bluff = Lines {
            fullness: 1.0,
            transom_beam_fraction: 1.0,
            ..runabout()
        };
        let canoe = Lines {
            transom_beam_fraction: 0.0,
            transom_rake: 0.4,
            beam: 0.9,
            ..round()
        };
        let line = with(SectionShape::RoundBilge {
            bilge: 0.0,
            deadrise: 0.0,
        });
        let hard = with(SectionShape::RoundBilge {
            bilge: 0.95,
            deadrise: 0.0,
        });
        let wall = with(SectionShape::Flat {
            chine_beam_fraction: 1.0,
        });
        let upright = Lines {
            stem_rake: 0.0,
            transom_rake: 0.0,
            ..flat()
        };
        let back = Lines {
            stem_rake: -0.4,
            ..runabout()
        };
        for (name, lines) in [
            ("V", runabout()),
            ("flat", flat()),
            ("round", round()),
            ("bluff", bluff),
            ("canoe", canoe),
            ("straight section", line),
            ("hard bilge", hard),
            ("wall sided", wall),
            ("upright ends", upright),
            ("stem leaning back", back),
        ] {
            for (stations, girth) in [(3, 3), (9, 4), (24, 9), (41, 25)] {
                check(name, &lines, stations, girth);
            }
        }
    }

    #[test]
    fn the_outline_meets_its_measures() {
        let lines = runabout();
        let hull = check("runabout", &lines, 41, 13);
        let (low, high) = hull.mesh.bounds().unwrap();
        close("lowest point", low.z, 0.0, 1e-12);
        close("bow height", high.z, 1.15, 1e-12);
        close("stem head", high.x, 5.5, 1e-12);
        // The transom leans forward at its top: its foot stands 0.9 tan 0.2 aft of it.
        close("transom foot", low.x, -0.9 * 0.2f64.tan(), 1e-12);
        close("beam", lines.half_breadth(0.4 * 5.5), 1.2, 1e-12);
        close("transom beam", lines.half_breadth(0.0), 0.9 * 1.2, 1e-12);
        close("stem beam", lines.half_breadth(5.5), 0.0, 0.0);
        for (station, height) in [(0.0, 0.9), (2.75, 0.95), (5.5, 1.15)] {
            close("sheer", lines.sheer_height(station), height, 1e-12);
        }
        let section = lines.section(0.0, 9);
        let chine = section[Lines::chine_point(9)];
        close("chine breadth", chine.y, 0.85 * 0.9 * 1.2, 1e-12);
        close(
            "deadrise",
            (chine.z / chine.y).atan(),
            20f64.to_radians(),
            1e-12,
        );
        close("entry", lines.deadrise(5.5), 45f64.to_radians(), 1e-12);
        let flare = (0.15f64 * 0.9 * 1.2).atan2(0.9 - chine.z);
        close("flare", lines.flare(0.0), flare, 1e-12);
        // Stem: from its head back and down at the rake.
        let stem = lines.section(9.0, 9);
        let (foot, head) = (stem[0], stem[8]);
        close(
            "stem rake",
            (head.x - foot.x).atan2(head.z - foot.z),
            0.5,
            1e-12,
        );
        close("stem foot", foot.z, FOREFOOT_RISE * 1.15, 1e-12);
    }

    #[test]
    fn girth_below_the_rub_rail() {
        // Upright ends, so that the section at the transom is flat: topside from (0.918, 0.334)
        // up to (1.08, 0.9), bottom at 20 deg; lengths by Pythagoras.
        let lines = Lines {
            stem_rake: 0.0,
            transom_rake: 0.0,
            ..runabout()
        };
        let chine = Point2::new(0.918, 0.918 * 20f64.to_radians().tan());
        let sheer = Point2::new(1.08, 0.9);
        let side = (sheer - chine).norm();
        let bottom = chine.coords.norm();
        close("half girth", lines.half_girth(0.0), side + bottom, 1e-12);
        let eight_inches = 0.2032;
        let p = lines.girth_point(0.0, eight_inches).unwrap();
        let wanted = sheer + (chine - sheer) * (eight_inches / side);
        close(
            "8 in",
            (p - Point3::new(0.0, wanted.x, wanted.y)).norm(),
            0.0,
            1e-12,
        );
        let p = lines.girth_point(0.0, side + 0.1).unwrap();
        let wanted = chine * (1.0 - 0.1 / bottom);
        close(
            "under",
            (p - Point3::new(0.0, wanted.x, wanted.y)).norm(),
            0.0,
            1e-12,
        );
        assert_eq!(lines.girth_point(0.0, side + bottom + 0.01), None);
        // At the stem the girth runs down the stem itself.
        let p = lines.girth_point(5.5, eight_inches).unwrap();
        close(
            "stem",
            (p - Point3::new(5.5, 0.0, 1.15 - eight_inches)).norm(),
            0.0,
            1e-12,
        );
    }

    #[test]
    fn volume_converges_with_second_order() {
        for (name, lines) in [("V", runabout()), ("round", round())] {
            let volumes =
                [1, 2, 4, 8].map(|k| check(name, &lines, 12 * k + 1, 8 * k + 1).mesh.volume());
            let steps: Vec<f64> = volumes.windows(2).map(|w| w[1] - w[0]).collect();
            close(name, (steps[1] / steps[2]).log2(), 2.0, 0.35);
            assert!(steps[2].abs() < 1e-3 * volumes[3], "{name}: {volumes:?}");
        }
    }

    #[test]
    fn faces_are_where_they_belong() {
        let hull = check("flat", &flat(), 21, 9);
        let parts = [
            Face::Bottom,
            Face::Topside,
            Face::Deck,
            Face::Transom,
            Face::Bow,
        ];
        let areas = parts.map(|face| hull.area_of(face));
        close("all", areas.iter().sum(), hull.mesh.area(), 1e-9);
        assert_eq!(areas[4], 0.0, "a pointed bow has no face of its own");
        // Transom: a trapezium of the chine and sheer breadths, leaning by 0.2 rad.
        close("transom", areas[3], 0.9 * 1.08 * 1.8 / 0.2f64.cos(), 1e-9);
    }
}
