//! The way of a band that is drawn tight under a hull.

use crate::geom::mesh::Mesh;
use nalgebra::{Point2, Point3};

/// Pieces of a section's outline: (offset, height), m.
pub(super) type Outline = Vec<[Point2<f64>; 2]>;

/// Where the meshes' surfaces cross the planes of some stations, ascending.
pub(super) fn outlines(bodies: &[Mesh], stations: &[f64]) -> Vec<Outline> {
    let mut found = vec![Outline::new(); stations.len()];
    for corners in bodies.iter().flat_map(Mesh::corners) {
        let [low, high] = [f64::min, f64::max]
            .map(|pick| corners[1..].iter().fold(corners[0].x, |x, p| pick(x, p.x)));
        let from = stations.partition_point(|station| *station < low);
        let to = stations.partition_point(|station| *station < high);
        for (station, outline) in stations.iter().zip(&mut found).take(to).skip(from) {
            let mut ends = [(0, 1), (1, 2), (2, 0)].into_iter().filter_map(|(i, j)| {
                let (a, b) = (corners[i], corners[j]);
                ((a.x <= *station) != (b.x <= *station))
                    .then(|| (a + (b - a) * ((station - a.x) / (b.x - a.x))).yz())
            });
            if let (Some(a), Some(b)) = (ends.next(), ends.next()) {
                outline.push([a, b]);
            }
        }
    }
    found
}

/// Length of a tight band from one side to the other under everything in a section that hangs below both
/// ends: the lower side of the convex hull, across hollows and between hulls.
///
/// # Units
/// Meters.
pub(super) fn under(
    section: &[[Point2<f64>; 2]],
    port: Point3<f64>,
    starboard: Point3<f64>,
) -> f64 {
    let (p, s) = (port.yz(), starboard.yz());
    let hull = wrapped(section, p, s);
    let round: f64 = hull
        .iter()
        .zip(hull.iter().cycle().skip(1))
        .map(|(a, b)| (b - a).norm())
        .sum();
    // The ends' chord is the hull's upper side, since all else lies under it. Ends that stand at different
    // stations lengthen the way along the boat.
    (round - (p - s).norm()).hypot(port.x - starboard.x)
}

/// The convex hull of both ends and of everything in a section that hangs below them.
fn wrapped(section: &[[Point2<f64>; 2]], p: Point2<f64>, s: Point2<f64>) -> Vec<Point2<f64>> {
    let level = |y: f64| {
        let span = p.x - s.x;
        if span.abs() > 0.0 {
            s.y + (p.y - s.y) * ((y - s.x) / span).clamp(0.0, 1.0)
        } else {
            s.y.min(p.y)
        }
    };
    let mut points: Vec<Point2<f64>> = section
        .iter()
        .flatten()
        .filter(|q| q.y < level(q.x))
        .copied()
        .collect();
    points.extend([p, s]);
    convex(points)
}

/// The course of that band, from port to starboard: round the section at its own station, to ends that may stand
/// beside it.
///
/// # Units
/// Meters.
pub(super) fn course(
    section: &[[Point2<f64>; 2]],
    station: f64,
    port: Point3<f64>,
    starboard: Point3<f64>,
) -> Vec<Point3<f64>> {
    let (p, s) = (port.yz(), starboard.yz());
    let mut hull = wrapped(section, p, s);
    let mut course = vec![port];
    // Counter-clockwise from the starboard end the hull runs under the boat to the port end.
    if let Some(start) = hull.iter().position(|q| *q == s) {
        hull.rotate_left(start);
        if let Some(end) = hull.iter().position(|q| *q == p) {
            let between = hull.get(1..end).unwrap_or_default().iter().rev();
            course.extend(between.map(|q| Point3::new(station, q.x, q.y)));
        }
    }
    course.push(starboard);
    course
}

/// Convex hull, counter-clockwise (Andrew's chain, from memory).
fn convex(mut points: Vec<Point2<f64>>) -> Vec<Point2<f64>> {
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup();
    let chain = |points: &mut dyn Iterator<Item = Point2<f64>>| {
        let mut chain: Vec<Point2<f64>> = Vec::new();
        for p in points {
            while let [.., a, b] = chain[..] {
                if (b - a).perp(&(p - a)) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut hull = chain(&mut points.iter().copied());
    hull.extend(chain(&mut points.iter().rev().copied()));
    hull
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Vector3;

    fn under(section: &[[Point2<f64>; 2]], port: Point3<f64>, starboard: Point3<f64>) -> f64 {
        let length = super::under(section, port, starboard);
        // The course is as long as the band, and starts and ends where that does.
        let course = course(section, 2.0, port, starboard);
        assert_eq!([course[0], course[course.len() - 1]], [port, starboard]);
        let along: f64 = course.windows(2).map(|p| (p[1] - p[0]).yz().norm()).sum();
        check("course", along.hypot(port.x - starboard.x), length);
        length
    }

    fn check(name: &str, got: f64, wanted: f64) {
        assert!(
            (got - wanted).abs() < 1e-9,
            "{name}: {got} instead of {wanted}"
        );
    }

    fn outline(bodies: &[Mesh], station: f64) -> Outline {
        outlines(bodies, &[station]).remove(0)
    }

    fn box_at(y: f64) -> Mesh {
        Mesh::cuboid(Point3::new(0.0, y, 0.0), Point3::new(4.0, y + 1.0, 2.0))
    }

    /// Worked by hand on boxes.
    #[test]
    fn bands_under_boxes() {
        let ends = |y: f64, z: f64| (Point3::new(2.0, y, z), Point3::new(2.0, -y, z));
        let (port, starboard) = ends(0.5, 1.5);
        let one = outline(&[box_at(-0.5)], 2.0);
        check("one box", under(&one, port, starboard), 1.5 + 1.0 + 1.5);
        // Two hulls: straight across from keel to keel, not up between them.
        let two = outline(&[box_at(-2.0), box_at(1.0)], 2.0);
        let (port, starboard) = ends(2.0, 1.5);
        check("two boxes", under(&two, port, starboard), 1.5 + 4.0 + 1.5);
        // Ends that stand off the hull come in to its lower corners.
        let (port, starboard) = ends(1.5, 1.5);
        check(
            "stand-off",
            under(&one, port, starboard),
            1.0 + 2.0 * 1f64.hypot(1.5),
        );
        // Ends at different stations.
        check(
            "aslant",
            under(&one, port + Vector3::x() * 0.3, starboard),
            (1.0 + 2.0 * 1f64.hypot(1.5)).hypot(0.3),
        );
        // Nothing below the ends: straight across.
        let (port, starboard) = ends(0.5, -1.0);
        check("nothing", under(&one, port, starboard), 1.0);
        check(
            "no section",
            under(&outline(&[box_at(-0.5)], 9.0), port, starboard),
            1.0,
        );
    }

    /// Prism of deadrise 20 deg, chine beam 2.0, topsides 0.9 high to a sheer beam of 2.4: the girth from sheer to
    /// sheer is 3.972264 (computed independently).
    #[test]
    fn the_girth_of_a_prism() {
        let rise = 20f64.to_radians().tan();
        let corners = [
            (0.0, 0.0),
            (1.0, rise),
            (1.2, rise + 0.9),
            (-1.2, rise + 0.9),
            (-1.0, rise),
        ];
        let ring = |x: f64| corners.map(|(y, z)| Point3::new(x, y, z)).to_vec();
        let mesh = Mesh::rings(&[ring(0.0), ring(6.0)]);
        let (port, starboard) = (
            Point3::new(3.0, 1.2, rise + 0.9),
            Point3::new(3.0, -1.2, rise + 0.9),
        );
        let girth = under(&outline(&[mesh], 3.0), port, starboard);
        assert!((girth - 3.972264).abs() < 1e-6, "{girth}");
    }
}
