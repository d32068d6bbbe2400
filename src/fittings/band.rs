//! The perimeter band.

use super::Band;
use super::rim::Rim;
use crate::boat::Rules;

/// Buckles that close it: one, at the stern.
const BUCKLES: usize = 1;

/// The band along the rim, with a tail at each end.
pub(super) fn band(rim: &Rim, rules: &Rules) -> Band {
    let course = rim.course();
    let length = course
        .iter()
        .zip(course.iter().cycle().skip(1))
        .map(|(a, b)| (b - a).norm())
        .sum();
    Band {
        length,
        cut: length + 2.0 * rules.strap_tail,
        buckles: BUCKLES,
        course,
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{boxy, planned, planned_text};
    use super::*;
    use crate::hull::Hull;

    const INCH: f64 = 0.0254;

    /// A flat-bottomed scow with upright ends: sheer beam 2.4 m, chine beam 2 m, 1 m deep, so that its sides
    /// flare by 0.2 m in 1 m. The band, 8 in down the side, runs round a rectangle.
    #[test]
    fn the_band_of_a_scow_is_a_rectangle() {
        let (_, plan) = planned_text(&boxy("2 m"));
        let band = band(&Rim::of(&plan.hull, &plan.cover).unwrap(), &plan.rules);
        // Down the side by 8 in of girth: 0.2 m out in sqrt(1.04) m of side.
        let inward = 8.0 * INCH * 0.2 / 1.04f64.sqrt();
        let middle: Vec<_> = band
            .course
            .iter()
            .filter(|p| (1.0..3.0).contains(&p.x))
            .collect();
        assert!(middle.len() > 20);
        for p in middle {
            assert!((p.y.abs() - (1.2 - inward)).abs() < 2e-3, "{p}");
            assert!(
                (p.z - (1.0 - 8.0 * INCH / 1.04f64.sqrt())).abs() < 2e-3,
                "{p}"
            );
        }
        // Across the transom it runs level, from side to side.
        let stern: Vec<_> = band.course.iter().filter(|p| p.x < 0.01).collect();
        assert!(stern.len() > 5);
        for p in stern {
            assert!(p.y.abs() < 1.2 - inward + 2e-3, "{p}");
            assert!(
                (p.z - (1.0 - 8.0 * INCH / 1.04f64.sqrt())).abs() < 2e-3,
                "{p}"
            );
        }
        assert!((band.cut - band.length - 2.0 * plan.rules.strap_tail).abs() < 1e-12);
    }

    #[test]
    fn its_length_is_that_of_a_finer_curve() {
        // Twice as many points along the edge: chords of a curve fall short by little.
        for name in ["open-runabout-18", "sailboat-30-mast-up", "jon-boat-16"] {
            let (boat, plan) = planned(name);
            let band = band(&Rim::of(&plan.hull, &plan.cover).unwrap(), &plan.rules);
            let hull = Hull::build(&boat, &boat.rules).unwrap();
            let fine: Vec<_> = hull
                .edge
                .resample(0.01, &[])
                .iter()
                .map(|p| hull.band_point(p, boat.rules.band_drop))
                .collect();
            let length: f64 = (0..fine.len())
                .map(|i| (fine[(i + 1) % fine.len()] - fine[i]).norm())
                .sum();
            assert!(
                (band.length - length).abs() < 0.02 * length,
                "{name}: {} {length}",
                band.length
            );
            assert!(band.length < plan.hull.edge.length() * 1.05, "{name}");
        }
    }

    /// Where the edge goes round the motor the band hangs 8 in below the height of the rub rail, 3 in under the
    /// sheer; across a transom it runs on from both sides without a step.
    #[test]
    fn the_band_keeps_its_height_off_the_sides() {
        let (boat, plan) = planned("pilothouse-25");
        let rim = Rim::of(&plan.hull, &plan.cover).unwrap();
        let behind: Vec<_> = (0..200)
            .map(|k| rim.at(rim.length() * f64::from(k) / 200.0))
            .filter(|spot| spot.top.x < -0.2)
            .collect();
        assert!(behind.len() > 5 && boat.rub_rail > 0.07);
        for spot in behind {
            assert!(
                (spot.top.z - spot.foot.z - 11.0 * INCH).abs() < 1e-9,
                "{spot:?}"
            );
        }
        let (_, plan) = planned("open-runabout-18");
        let rim = Rim::of(&plan.hull, &plan.cover).unwrap();
        for k in 0..40 {
            let [a, b] = [0.0, 0.05].map(|step| rim.at(0.05 * f64::from(k) + step).foot);
            assert!((a.z - b.z).abs() < 0.01 && (a - b).norm() < 0.08, "{a} {b}");
        }
    }
}
