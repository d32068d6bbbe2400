//! The shapes a hull's section may have.

use nalgebra::Point2;

/// Points on the drawn curve of a round bilge before it is cut into even steps.
const CURVE: u32 = 96;

/// The section of a hull from the keel to the sheer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SectionShape {
    /// A V bottom to a chine, then a straight topside.
    V {
        /// Deadrise at the transom (rad).
        transom_deadrise: f64,
        /// Deadrise reached at the stem (rad).
        entry_deadrise: f64,
        /// Chine beam over sheer beam.
        chine_beam_fraction: f64,
    },
    /// One curve that leaves the keel at the deadrise and meets the sheer upright.
    RoundBilge {
        /// Fullness of the bilge, 0 a straight line from keel to sheer, 1 a hard corner.
        bilge: f64,
        /// Angle of the bottom at the keel (rad).
        deadrise: f64,
    },
    /// A flat bottom to a chine, then a straight topside.
    Flat {
        /// Chine beam over sheer beam.
        chine_beam_fraction: f64,
    },
}

/// The two runs of a round bilge: a conic through keel and sheer by the corner of its tangents.
/// The fullness is the lofter's rho, 0.5 a parabola (Liming 1944, from memory); the middle of
/// the curve parts bottom from topside.
pub(super) fn conic(
    keel: Point2<f64>,
    corner: Point2<f64>,
    sheer: Point2<f64>,
    fullness: f64,
) -> [Vec<Point2<f64>>; 2] {
    let weight = fullness / (1.0 - fullness);
    let at = |t: f64| {
        let (a, b, c) = ((1.0 - t) * (1.0 - t), 2.0 * weight * t * (1.0 - t), t * t);
        Point2::from((keel.coords * a + corner.coords * b + sheer.coords * c) / (a + b + c))
    };
    let run = |from: f64| {
        (0..=CURVE)
            .map(|k| at(from + 0.5 * f64::from(k) / f64::from(CURVE)))
            .collect()
    };
    [run(0.0), run(0.5)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::SQRT_2;

    fn check(name: &str, got: f64, wanted: f64) {
        assert!(
            (got - wanted).abs() <= 1e-12,
            "{name}: {got} instead of {wanted}"
        );
    }

    #[test]
    fn round_bilges_of_known_form() {
        let (keel, corner, sheer) = (
            Point2::origin(),
            Point2::new(1.2, 0.3),
            Point2::new(1.2, 1.2),
        );
        // rho is the share of the way from the chord to the corner at which the curve passes:
        // 0 the chord itself, 0.5 a parabola.
        for rho in [0.0, 0.3, 0.5, 0.9] {
            let [bottom, topside] = conic(keel, corner, sheer, rho);
            let chord = nalgebra::center(&keel, &sheer);
            let wanted = chord + (corner - chord) * rho;
            check("shoulder", (bottom[CURVE as usize] - wanted).norm(), 0.0);
            assert_eq!(bottom[CURVE as usize], topside[0]);
            assert_eq!((bottom[0], topside[CURVE as usize]), (keel, sheer));
        }
        // rho = sqrt 2 - 1 on square tangents of equal length is a quarter of a circle.
        let runs = conic(keel, Point2::new(1.2, 0.0), sheer, SQRT_2 - 1.0);
        for p in runs.iter().flatten() {
            check("radius", (p - Point2::new(0.0, 1.2)).norm(), 1.2);
        }
    }
}
