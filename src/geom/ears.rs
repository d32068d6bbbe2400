//! Triangulation of a plain outline by cutting ears, best ear first.

use nalgebra::Point2;

/// Height of an ear over its longest edge, as a share of that edge, below which it is not
/// cut: straight runs of an outline must not become triangles without area.
const THIN: f64 = 1e-7;

/// Share of the squared outline size up to which a corner counts as lying on an edge.
const ON_EDGE: f64 = 1e-13;

fn turn(a: &Point2<f64>, b: &Point2<f64>, c: &Point2<f64>) -> f64 {
    (b - a).perp(&(c - a))
}

/// Cuts an outline without crossings, given counterclockwise, into triangles of its own
/// corners, also counterclockwise. Straight runs of corners are allowed, repeated corners are
/// not. None when it cannot be done: the outline crosses itself, runs clockwise or has no area.
///
/// Two ears: Meisters 1975, from memory.
pub fn triangulate(outline: &[Point2<f64>]) -> Option<Vec<[usize; 3]>> {
    let mut left: Vec<(usize, Point2<f64>)> = outline.iter().copied().enumerate().collect();
    let origin = outline.first()?;
    let size = outline
        .iter()
        .map(|p| (p - origin).norm_squared())
        .fold(0.0, f64::max);
    let mut triangles = Vec::with_capacity(outline.len().saturating_sub(2));
    while left.len() >= 3 {
        let (at, triangle) = best_ear(&left, size * ON_EDGE)?;
        triangles.push(triangle);
        left.remove(at);
    }
    (!triangles.is_empty()).then_some(triangles)
}

/// Place of the thickest ear among the corners left, and its triangle.
fn best_ear(left: &[(usize, Point2<f64>)], slack: f64) -> Option<(usize, [usize; 3])> {
    let count = left.len();
    let mut best: Option<(f64, usize, [usize; 3])> = None;
    for (at, (own, b)) in left.iter().enumerate() {
        let (before, a) = left.get((at + count - 1) % count)?;
        let (after, c) = left.get((at + 1) % count)?;
        let longest = (b - a)
            .norm_squared()
            .max((c - b).norm_squared())
            .max((a - c).norm_squared());
        let doubled = turn(a, b, c);
        let thickness = if longest > 0.0 {
            doubled / longest
        } else {
            0.0
        };
        if thickness <= THIN || best.is_some_and(|(t, _, _)| thickness <= t) {
            continue;
        }
        let free = left.iter().all(|(other, p)| {
            [before, own, after].contains(&other)
                || turn(a, b, p) < -slack
                || turn(b, c, p) < -slack
                || turn(c, a, p) < -slack
        });
        if free {
            best = Some((thickness, at, [*before, *own, *after]));
        }
    }
    best.map(|(_, at, triangle)| (at, triangle))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(name: &str, outline: &[(f64, f64)], area: Option<f64>) {
        let points: Vec<_> = outline.iter().map(|&(x, y)| Point2::new(x, y)).collect();
        let cut = triangulate(&points);
        assert_eq!(cut.is_some(), area.is_some(), "{name}");
        if let (Some(cut), Some(area)) = (cut, area) {
            assert_eq!(cut.len(), points.len() - 2, "{name}");
            let parts: Vec<f64> = cut
                .iter()
                .map(|&[a, b, c]| turn(&points[a], &points[b], &points[c]) / 2.0)
                .collect();
            assert!(parts.iter().all(|p| *p > 0.0), "{name}: {parts:?}");
            assert!((parts.iter().sum::<f64>() - area).abs() < 1e-12, "{name}");
        }
    }

    #[test]
    fn areas_are_kept() {
        // Areas by hand.
        check(
            "square",
            &[(0., 0.), (1., 0.), (1., 1.), (0., 1.)],
            Some(1.0),
        );
        check(
            "straight run",
            &[(0., 0.), (1., 0.), (2., 0.), (3., 0.), (1.5, 2.)],
            Some(3.0),
        );
        check(
            "notch",
            &[(0., 0.), (4., 0.), (4., 3.), (2., 1.), (0., 3.)],
            Some(8.0),
        );
        check("clockwise", &[(0., 0.), (0., 1.), (1., 1.), (1., 0.)], None);
        check("bow tie", &[(0., 0.), (2., 2.), (2., 0.), (0., 2.)], None);
        check("line", &[(0., 0.), (1., 0.), (2., 0.)], None);
        check("nothing", &[], None);
    }
}
