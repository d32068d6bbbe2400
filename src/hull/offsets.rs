//! A hull measured point by point: a table of offsets.

use nalgebra::{Point2, Point3};

use crate::boat::OffsetSection;
use crate::geom::build::WELD;
use crate::hull::form::{Form, at_shares, resampled, shares_of};
use crate::hull::loft::{HullMesh, Loft, LoftFault};

/// Points of each section when the rows of a table have unequal numbers of them.
const EVEN_GIRTH: usize = 17;

/// What is wrong with a table of offsets. Sections and points count from 0 here and from 1 in
/// the message.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum OffsetFault {
    /// Fewer than two sections.
    #[error("a hull needs two sections at least")]
    TooFewSections,
    /// A section of fewer than two points.
    #[error("section {} needs two points at least", .section + 1)]
    TooFewPoints {
        /// Number of the section.
        section: usize,
    },
    /// A number is infinite or not a number.
    #[error("section {} has a value that is not a finite number", .section + 1)]
    NotFinite {
        /// Number of the section.
        section: usize,
    },
    /// A station that is not forward of the one before.
    #[error("section {} must stand forward of the one before it", .section + 1)]
    StationNotForward {
        /// Number of the section.
        section: usize,
    },
    /// A half breadth under zero.
    #[error("section {}, point {}: a half breadth cannot be negative", .section + 1, .point + 1)]
    NegativeHalfBreadth {
        /// Number of the section.
        section: usize,
        /// Number of the point.
        point: usize,
    },
    /// A section that crosses, touches or folds back on itself.
    #[error("section {} crosses itself: are its points in order from keel to sheer?", .section + 1)]
    CrossesItself {
        /// Number of the section.
        section: usize,
    },
    /// A section whose last point is not its highest one, so that the deck would cut it.
    #[error("section {} must end at the sheer, its highest point", .section + 1)]
    SheerNotHighest {
        /// Number of the section.
        section: usize,
    },
    /// Every half breadth is zero.
    #[error("all half breadths are zero")]
    NoBreadth,
}

/// A hull form between measured sections: straight from each section to the next, with the
/// aftmost station at 0 and the lowest point at height 0.
#[derive(Debug, Clone, PartialEq)]
pub struct Offsets {
    /// Half sections of equal count from aft to fore.
    sections: Vec<Vec<Point3<f64>>>,
    chine: usize,
}

impl Offsets {
    /// Takes a table. Sections of equal count are joined point by point, so that a chine stays
    /// a chine; otherwise all are cut anew into even lengths of girth. A section wholly on the
    /// centerline (a stem) may have any count.
    ///
    /// # Units
    /// Meters.
    ///
    /// # Errors
    /// Everything wrong with the table at once.
    pub fn new(table: &[OffsetSection]) -> Result<Self, Vec<OffsetFault>> {
        let faults = faults(table);
        if !faults.is_empty() {
            return Err(faults);
        }
        let aft = table.first().map_or(0.0, |row| row.station);
        let heights = table.iter().flat_map(|row| row.points.iter().map(|p| p.1));
        let low = heights.fold(f64::INFINITY, f64::min);
        let lines: Vec<Vec<Point3<f64>>> = table
            .iter()
            .map(|row| {
                let flat = half_section(row);
                flat.iter()
                    .map(|p| Point3::new(row.station - aft, p.x, p.y - low))
                    .collect()
            })
            .collect();
        let central = |line: &Vec<Point3<f64>>| line.iter().all(|p| p.y == 0.0);
        let mut counts: Vec<usize> = lines.iter().filter(|l| !central(l)).map(Vec::len).collect();
        counts.sort_unstable();
        counts.dedup();
        let sections: Vec<_> = if counts.len() == 1 {
            // A stem takes its points at the same shares of girth as the nearest full section.
            let full: Vec<usize> = (0..lines.len())
                .filter(|&k| !lines.get(k).is_some_and(central))
                .collect();
            let near = |k: usize| {
                full.iter()
                    .min_by_key(|&&f| f.abs_diff(k))
                    .and_then(|&f| lines.get(f))
            };
            let row =
                |(k, line): (usize, &Vec<Point3<f64>>)| match near(k).filter(|_| central(line)) {
                    Some(full) => at_shares(line, &shares_of(full)),
                    None => line.clone(),
                };
            lines.iter().enumerate().map(row).collect()
        } else {
            let count = counts
                .last()
                .map_or(EVEN_GIRTH, |&most| most.max(EVEN_GIRTH));
            lines.iter().map(|line| resampled(line, count)).collect()
        };
        let chine = sharpest(&sections);
        Ok(Self { sections, chine })
    }

    /// Number of the girth point that parts bottom from topside: the one where the sections turn
    /// most on average.
    pub fn chine_point(&self) -> usize {
        self.chine
    }

    /// The closed hull through the measured sections.
    ///
    /// # Errors
    /// An end section that cannot be closed.
    pub fn mesh(&self) -> Result<HullMesh, LoftFault> {
        Loft::new(self.sections.clone(), self.chine)?.mesh()
    }
}

impl Form for Offsets {
    fn length(&self) -> f64 {
        self.sections
            .last()
            .and_then(|line| line.first())
            .map_or(0.0, |p| p.x)
    }

    /// The points of the table, or those between two of its sections; `girth` is not needed.
    fn section(&self, station: f64, _girth: usize) -> Vec<Point3<f64>> {
        let at = |line: &[Point3<f64>]| line.first().map_or(0.0, |p| p.x);
        let x = station.clamp(0.0, self.length());
        let pairs = self.sections.iter().zip(self.sections.iter().skip(1));
        for (aft, fore) in pairs {
            if x <= at(fore) {
                let share = (x - at(aft)) / (at(fore) - at(aft));
                return aft
                    .iter()
                    .zip(fore)
                    .map(|(p, q)| p + (q - p) * share)
                    .collect();
            }
        }
        Vec::new()
    }
}

/// A row as points without repeats, led to the centerline.
fn half_section(row: &OffsetSection) -> Vec<Point2<f64>> {
    let snapped = |y: f64| if y <= WELD { 0.0 } else { y };
    let mut points: Vec<_> = row
        .points
        .iter()
        .map(|&(y, z)| Point2::new(snapped(y), z))
        .collect();
    if let Some(first) = points.first().filter(|p| p.x > 0.0).copied() {
        points.insert(0, Point2::new(0.0, first.y));
    }
    points
}

/// Number of the inner point with the greatest turn, summed over the sections.
fn sharpest(sections: &[Vec<Point3<f64>>]) -> usize {
    let count = sections.first().map_or(0, Vec::len);
    let turn = |j: usize| -> f64 {
        let corners = sections.iter().filter_map(|line| line.get(j - 1..=j + 1));
        corners
            .map(|c| match c {
                [a, b, c] => (b - a).angle(&(c - b)),
                _ => 0.0,
            })
            .sum()
    };
    let inner = 1..count.saturating_sub(1);
    inner
        .max_by(|&i, &j| turn(i).total_cmp(&turn(j)))
        .unwrap_or(count)
}

fn faults(table: &[OffsetSection]) -> Vec<OffsetFault> {
    let mut faults = Vec::new();
    if table.len() < 2 {
        faults.push(OffsetFault::TooFewSections);
    }
    for (section, row) in table.iter().enumerate() {
        let finite = |v: &f64| v.is_finite();
        let all_finite =
            finite(&row.station) && row.points.iter().all(|(y, z)| finite(y) && finite(z));
        if !all_finite {
            faults.push(OffsetFault::NotFinite { section });
            continue;
        }
        let before = section.checked_sub(1).and_then(|k| table.get(k));
        if before.is_some_and(|before| row.station - before.station <= WELD) {
            faults.push(OffsetFault::StationNotForward { section });
        }
        if row.points.len() < 2 {
            faults.push(OffsetFault::TooFewPoints { section });
            continue;
        }
        let negative = row.points.iter().enumerate().filter(|(_, p)| p.0 < -WELD);
        faults
            .extend(negative.map(|(point, _)| OffsetFault::NegativeHalfBreadth { section, point }));
        let line = half_section(row);
        if crosses_itself(&line) {
            faults.push(OffsetFault::CrossesItself { section });
        }
        if line
            .last()
            .is_some_and(|sheer| line.iter().any(|p| p.y > sheer.y + WELD))
        {
            faults.push(OffsetFault::SheerNotHighest { section });
        }
    }
    let breadth = table
        .iter()
        .any(|row| row.points.iter().any(|p| p.0 > WELD));
    if faults.is_empty() && !breadth {
        faults.push(OffsetFault::NoBreadth);
    }
    faults
}

/// Whether pieces of a line touch that are not neighbors, or neighbors fold back.
fn crosses_itself(line: &[Point2<f64>]) -> bool {
    let pieces: Vec<_> = line
        .iter()
        .zip(line.iter().skip(1))
        .filter(|(p, q)| (*q - *p).norm() > WELD)
        .collect();
    let folds = |(a, b): &(&Point2<f64>, &Point2<f64>), (_, c): &(&Point2<f64>, &Point2<f64>)| {
        let (u, v) = (*b - *a, *c - *b);
        u.dot(&v) < 0.0 && u.perp(&v).abs() <= WELD * u.norm().max(v.norm())
    };
    pieces.iter().enumerate().any(|(i, first)| {
        pieces.iter().enumerate().skip(i + 1).any(|(j, second)| {
            if j == i + 1 {
                folds(first, second)
            } else {
                touch(*first, *second)
            }
        })
    })
}

/// Whether two pieces of line have a point in common.
fn touch((a, b): (&Point2<f64>, &Point2<f64>), (c, d): (&Point2<f64>, &Point2<f64>)) -> bool {
    // Boxes first: two pieces of one straight line are told apart by them.
    let apart = (0..2)
        .any(|k| a[k].max(b[k]) < c[k].min(d[k]) - WELD || c[k].max(d[k]) < a[k].min(b[k]) - WELD);
    let side = |p: &Point2<f64>, q: &Point2<f64>, r: &Point2<f64>| (q - p).perp(&(r - p));
    !apart && side(a, b, c) * side(a, b, d) <= 0.0 && side(c, d, a) * side(c, d, b) <= 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hull::loft::Face;

    fn row(station: f64, points: &[(f64, f64)]) -> OffsetSection {
        OffsetSection {
            station,
            points: points.to_vec(),
        }
    }

    fn check(name: &str, table: &[OffsetSection], volume: f64, tolerance: f64) -> HullMesh {
        let hull = Offsets::new(table).unwrap().mesh().unwrap();
        assert_eq!(hull.mesh.sanity_check(), Ok(()), "{name}");
        assert_eq!(hull.mesh.crossings(), 0, "{name}");
        let got = hull.mesh.volume();
        assert!(
            (got - volume).abs() <= tolerance,
            "{name}: {got} instead of {volume}"
        );
        hull
    }

    #[test]
    fn tables_become_hulls() {
        // The prism: L 6, chine beam 2.0, deadrise 20 deg, topside 0.9 high to a sheer beam of
        // 2.4: V 14.063821, bottom 12.770133, topsides 11.063453; computed independently.
        let rise = 20f64.to_radians().tan();
        let prism = [(0.0, 5.0), (1.0, 5.0 + rise), (1.2, 5.9 + rise)];
        let hull = check(
            "prism",
            &[row(2.0, &prism), row(8.0, &prism)],
            14.063821,
            1e-6,
        );
        assert!((hull.area_of(Face::Bottom) - 12.770133).abs() < 1e-6);
        assert!((hull.area_of(Face::Topside) - 11.063453).abs() < 1e-6);
        let (low, high) = hull.mesh.bounds().unwrap();
        assert_eq!((low.x, high.x), (0.0, 6.0));
        assert_eq!(low.z, 0.0);
        // A box without its keel point, 2 x 1 x 4.
        let barge = [(1.0, 0.0), (1.0, 1.0)];
        check("barge", &[row(0.0, &barge), row(4.0, &barge)], 8.0, 1e-12);
        // The box with a stem of two points 3 in front. Girth point by girth point the chine runs
        // to the middle of the stem: at a share s of the way the half section holds
        // (1 - s)(1 - s / 4), over the length 2 x 3 x (1/2 - 1/24) = 2.75. Halved into flat
        // triangles the one wide strip comes out at 3.
        let stem = row(7.0, &[(0.0, 0.0), (0.0, 1.0)]);
        let bow = [row(0.0, &barge), row(4.0, &barge), stem.clone()];
        check("wedge bow", &bow, 8.0 + 3.0, 1e-12);
        // Unequal counts: the girth of 2 cut into 32 pieces, so that the chine stays a point.
        let many: Vec<_> = (0..=32)
            .map(|k| f64::from(k) / 16.0)
            .map(|s| if s <= 1.0 { (s, 0.0) } else { (1.0, s - 1.0) })
            .collect();
        check(
            "unequal",
            &[row(0.0, &barge), row(4.0, &many), stem],
            8.0 + 2.75,
            0.02,
        );
        // A stem between full sections and unequal girth: shares 1/4 and 3/4.
        let low = [(0.0, 0.0), (1.0, 0.0), (1.0, 3.0)];
        let form = Offsets::new(&[row(0.0, &low), row(1.0, &[(0.0, 0.0), (0.0, 2.0)])]).unwrap();
        assert_eq!(form.section(1.0, 3)[1], Point3::new(1.0, 0.0, 0.5));
    }

    #[test]
    fn wigley_from_a_table() {
        // V = 4LBT/9 (formula and identity seen in an open test suite), L 8, B 0.8, T 0.5.
        let table: Vec<_> = (0..=60)
            .map(|i| {
                let u = f64::from(i) / 30.0 - 1.0;
                let points: Vec<_> = (0..=30)
                    .map(|j| f64::from(j) / 30.0 - 1.0)
                    .map(|w| (0.4 * (1.0 - u * u) * (1.0 - w * w), 0.5 * w))
                    .collect();
                row(4.0 * u, &points)
            })
            .collect();
        check("wigley", &table, 4.0 * 8.0 * 0.8 * 0.5 / 9.0, 1.5e-3);
    }

    #[test]
    fn girth_between_sections() {
        // Halfway between a box of breadth 1 and its stem the half breadth is 0.5.
        let table = [
            row(0.0, &[(0., 0.), (1., 0.), (1., 1.)]),
            row(4.0, &[(0., 0.), (0., 0.5), (0., 1.)]),
        ];
        let form = Offsets::new(&table).unwrap();
        assert_eq!(form.length(), 4.0);
        assert_eq!(form.chine_point(), 1);
        assert_eq!(form.girth_point(0.0, 0.2), Some(Point3::new(0.0, 1.0, 0.8)));
        assert_eq!(
            form.girth_point(-1.0, 1.2),
            Some(Point3::new(0.0, 0.8, 0.0))
        );
        assert_eq!(form.section(2.0, 3)[1], Point3::new(2.0, 0.5, 0.25));
        assert_eq!(form.girth_point(9.0, 1.5), None);
    }

    #[test]
    fn all_faults_are_told_at_once() {
        let good = [(0.0, 0.0), (1.0, 0.2), (1.2, 1.0)];
        let table = [
            row(0.0, &good),
            row(0.0, &[(0.0, 0.0), (-1.0, 0.2), (1.2, 1.0)]),
            row(1.0, &[(0.0, 0.0)]),
            row(2.0, &[(0.0, 0.0), (f64::NAN, 1.0)]),
            row(3.0, &[(0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.2, 1.0)]),
            row(4.0, &[(0.0, 0.0), (1.0, 0.0), (0.5, 0.0), (1.0, 1.0)]),
            row(5.0, &[(0.0, 0.0), (1.0, 1.0), (1.2, 0.5)]),
        ];
        assert_eq!(
            Offsets::new(&table),
            Err(vec![
                OffsetFault::StationNotForward { section: 1 },
                OffsetFault::NegativeHalfBreadth {
                    section: 1,
                    point: 1
                },
                OffsetFault::TooFewPoints { section: 2 },
                OffsetFault::NotFinite { section: 3 },
                OffsetFault::CrossesItself { section: 4 },
                OffsetFault::CrossesItself { section: 5 },
                OffsetFault::SheerNotHighest { section: 6 },
            ])
        );
        assert_eq!(
            Offsets::new(&table[..1]),
            Err(vec![OffsetFault::TooFewSections])
        );
        let line = [(0.0, 0.0), (0.0, 1.0)];
        assert_eq!(
            Offsets::new(&[row(0.0, &line), row(1.0, &line)]),
            Err(vec![OffsetFault::NoBreadth])
        );
        assert!(
            OffsetFault::CrossesItself { section: 4 }
                .to_string()
                .starts_with("section 5 ")
        );
    }
}
