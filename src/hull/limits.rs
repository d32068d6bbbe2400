//! What makes the lines of a hull impossible.

use crate::hull::form::{ShapeFault, check_ranges};
use crate::hull::shape::{Lines, SectionShape};

/// Least height of the topside where it is checked, as a share of the section's height.
const MIN_TOPSIDE: f64 = 0.02;

/// Largest rake from the vertical (rad), just under 80 degrees: beyond it an end is a deck.
const LARGEST_RAKE: f64 = 1.39;

/// Largest deadrise (rad), just under 75 degrees: beyond it a bottom is a side.
const LARGEST_DEADRISE: f64 = 1.3;

/// Fullest bilge: at 1 the curve would be its two tangents.
const FULLEST_BILGE: f64 = 0.95;

/// Stations at which what holds for the whole length is checked.
const CHECKS: u32 = 60;

impl Lines {
    /// Everything that is impossible about these lines; empty when they can be built.
    pub fn faults(&self) -> Vec<ShapeFault> {
        let mut faults = Vec::new();
        let (some, share) = (f64::MIN_POSITIVE..=f64::MAX, 0.0..=1.0);
        let rake = -LARGEST_RAKE..=LARGEST_RAKE;
        let positive = "must be more than zero";
        check_ranges(
            &mut faults,
            &[
                ("length", self.length, some.clone(), positive),
                ("beam", self.beam, some.clone(), positive),
                ("sheer.stern", self.sheer[0], some.clone(), positive),
                ("sheer.middle", self.sheer[1], some.clone(), positive),
                ("sheer.bow", self.sheer[2], some, positive),
                (
                    "fullness",
                    self.fullness,
                    share.clone(),
                    "must lie from 0 (fine) to 1 (bluff)",
                ),
                (
                    "transom_beam_fraction",
                    self.transom_beam_fraction,
                    share,
                    "must lie from 0 to 1",
                ),
                (
                    "stem_rake",
                    self.stem_rake,
                    rake.clone(),
                    "must be under 80 deg from the vertical",
                ),
                (
                    "transom_rake",
                    self.transom_rake,
                    rake,
                    "must be under 80 deg from the vertical",
                ),
            ],
        );
        self.check_section(&mut faults);
        // What follows divides by these measures and would only repeat the same complaint.
        if faults.is_empty() {
            self.check_heights(&mut faults);
            self.check_rakes(&mut faults);
        }
        faults
    }

    fn check_section(&self, faults: &mut Vec<ShapeFault>) {
        let deadrise = 0.0..=LARGEST_DEADRISE;
        let steep = "must lie from 0 to under 75 deg";
        let chine = |fraction| {
            let inside = "must be more than 0 and no more than 1: the chine lies inside the sheer";
            (
                "section.chine_beam_fraction",
                fraction,
                f64::MIN_POSITIVE..=1.0,
                inside,
            )
        };
        match self.section {
            SectionShape::V {
                transom_deadrise,
                entry_deadrise,
                chine_beam_fraction,
            } => {
                check_ranges(
                    faults,
                    &[
                        (
                            "section.transom_deadrise",
                            transom_deadrise,
                            deadrise.clone(),
                            steep,
                        ),
                        ("section.entry_deadrise", entry_deadrise, deadrise, steep),
                        chine(chine_beam_fraction),
                    ],
                );
            }
            SectionShape::RoundBilge {
                bilge,
                deadrise: angle,
            } => check_ranges(
                faults,
                &[
                    (
                        "section.bilge",
                        bilge,
                        0.0..=FULLEST_BILGE,
                        "must lie from 0 to 0.95",
                    ),
                    ("section.deadrise", angle, deadrise, steep),
                ],
            ),
            SectionShape::Flat {
                chine_beam_fraction,
            } => {
                check_ranges(faults, &[chine(chine_beam_fraction)]);
            }
        }
    }

    /// The stations that are looked at, as shares of the length.
    fn looks() -> impl Iterator<Item = f64> {
        (0..=CHECKS).map(|k| f64::from(k) / f64::from(CHECKS))
    }

    /// The sheer stays over the keel, the chine under the sheer.
    fn check_heights(&self, faults: &mut Vec<ShapeFault>) {
        let height =
            |u: f64| self.sheer_height(u * self.length) - self.keel_height(u * self.length);
        let low = Self::looks().find(|&u| height(u) <= 0.0);
        if let Some(u) = low {
            let message = format!(
                "the sheer dips to the keel at {:.0} % of the length: raise its lowest height",
                100.0 * u
            );
            faults.push(ShapeFault::new("sheer", message));
            return;
        }
        let topside = |u: f64| {
            let top = self.sheer_height(u * self.length);
            (top - self.chine(u * self.length).y) - MIN_TOPSIDE * height(u)
        };
        let worst = Self::looks().min_by(|a, b| topside(*a).total_cmp(&topside(*b)));
        if let Some(u) = worst.filter(|&u| topside(u) < 0.0) {
            let field = match self.section {
                SectionShape::V {
                    transom_deadrise: aft,
                    entry_deadrise: fore,
                    ..
                } => {
                    // Blame the entry only where the transom's deadrise alone would do.
                    let out = self.chine(u * self.length).x;
                    let alone = height(u) * (1.0 - MIN_TOPSIDE) < out * aft.tan();
                    if alone || aft > fore {
                        "section.transom_deadrise"
                    } else {
                        "section.entry_deadrise"
                    }
                }
                SectionShape::RoundBilge { .. } => "section.deadrise",
                SectionShape::Flat { .. } => "sheer",
            };
            let message = format!(
                "the bottom, {:.1} deg there, reaches the sheer before the chine at {:.0} % of the length",
                self.deadrise(u * self.length).to_degrees(),
                100.0 * u
            );
            faults.push(ShapeFault::new(field, message));
        }
    }

    /// Sections that lean with the rakes must not run into one another between sheer and keel:
    /// each girth line goes forward all the way. The way forward is linear in the height, so
    /// that looking at the sheer and at the keel is enough.
    fn check_rakes(&self, faults: &mut Vec<ShapeFault>) {
        // Both rakes shorten the keel along the whole length: the larger one is to blame.
        let (field, rake) = if self.stem_rake > self.transom_rake {
            ("stem_rake", self.stem_rake)
        } else {
            ("transom_rake", self.transom_rake)
        };
        let step = 1.0 / f64::from(CHECKS);
        for u in Self::looks().take(CHECKS as usize) {
            let forward = |keel: bool| {
                let at = |u: f64, level: f64| {
                    u * self.length + self.lean(u) * (self.sheer_height(u * self.length) - level)
                };
                let middle = (u + step / 2.0) * self.length;
                let level = if keel {
                    self.keel_height(middle)
                } else {
                    self.sheer_height(middle)
                };
                at(u + step, level) - at(u, level)
            };
            if forward(false) <= 0.0 || forward(true) <= 0.0 {
                let message = format!(
                    "{:.1} deg leaves no length at the keel: sections run into one another at {:.0} % of the length",
                    rake.to_degrees(),
                    100.0 * u
                );
                faults.push(ShapeFault::new(field, message));
                return;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hull::loft::Loft;
    use crate::hull::shape::tests::runabout;
    use proptest::prelude::*;

    fn check(change: fn(&mut Lines), fields: &[&str]) {
        let mut lines = runabout();
        change(&mut lines);
        let found: Vec<_> = lines.faults().iter().map(|f| f.field).collect();
        assert_eq!(found, fields, "{:?}", lines.faults());
        assert_eq!(lines.mesh(9, 7).is_err(), !fields.is_empty());
    }

    fn v(lines: &mut Lines, transom: f64, entry: f64, chine: f64) {
        lines.section = SectionShape::V {
            transom_deadrise: transom,
            entry_deadrise: entry,
            chine_beam_fraction: chine,
        };
    }

    #[test]
    fn each_impossible_thing_names_its_field() {
        check(|_| (), &[]);
        check(|l| l.length = 0.0, &["length"]);
        check(|l| l.beam = f64::NAN, &["beam"]);
        check(
            |l| l.sheer = [-1.0, 0.0, f64::INFINITY],
            &["sheer.stern", "sheer.middle", "sheer.bow"],
        );
        check(
            |l| (l.fullness, l.transom_beam_fraction) = (1.5, -0.1),
            &["fullness", "transom_beam_fraction"],
        );
        check(|l| l.stem_rake = 1.5, &["stem_rake"]);
        check(|l| l.transom_rake = -1.5, &["transom_rake"]);
        check(
            |l| v(l, -0.1, 1.4, 0.0),
            &[
                "section.transom_deadrise",
                "section.entry_deadrise",
                "section.chine_beam_fraction",
            ],
        );
        check(|l| v(l, 0.3, 0.8, 1.1), &["section.chine_beam_fraction"]);
        // Keel to chine 1.0 x tan 50 deg = 1.19 over a sheer 0.9 high.
        check(|l| v(l, 0.87, 0.9, 0.9), &["section.transom_deadrise"]);
        check(|l| v(l, 0.1, 1.29, 0.9), &["section.entry_deadrise"]);
        check(
            |l| {
                l.section = SectionShape::RoundBilge {
                    bilge: 0.99,
                    deadrise: 0.1,
                }
            },
            &["section.bilge"],
        );
        check(
            |l| {
                l.section = SectionShape::RoundBilge {
                    bilge: 0.5,
                    deadrise: 0.8,
                }
            },
            &["section.deadrise"],
        );
        check(
            |l| {
                l.section = SectionShape::Flat {
                    chine_beam_fraction: -0.5,
                }
            },
            &["section.chine_beam_fraction"],
        );
        // A middle so low that the parabola through the three heights goes under the keel.
        check(|l| l.sheer = [2.0, 0.05, 0.6], &["sheer"]);
        // A hull 1.5 long with ends that lean 1.0 x tan 60 deg = 1.7 each.
        check(
            |l| (l.length, l.stem_rake, l.transom_rake) = (1.5, 1.05, 0.0),
            &["stem_rake"],
        );
        check(
            |l| (l.length, l.stem_rake, l.transom_rake) = (1.5, 0.0, 1.05),
            &["transom_rake"],
        );
    }

    #[test]
    fn what_is_refused_would_cross() {
        // The twin of the checks above: lofted all the same, leaning sections cut one another.
        let lines = Lines {
            length: 1.5,
            stem_rake: 1.3,
            transom_rake: 0.6,
            ..runabout()
        };
        assert!(!lines.faults().is_empty());
        let forced = Loft::new(lines.sections(21, 9), Lines::chine_point(9))
            .unwrap()
            .mesh()
            .unwrap();
        assert!(forced.mesh.crossings() > 0);
    }

    prop_compose! {
        fn sections()(
            kind in 0..3,
            (a, b, c) in (0.0..1.0f64, 0.0..1.0f64, 0.3..1.0f64),
        ) -> SectionShape {
            match kind {
                0 => SectionShape::V {
                    transom_deadrise: 0.5 * a,
                    entry_deadrise: b,
                    chine_beam_fraction: c,
                },
                1 => SectionShape::RoundBilge { bilge: 0.9 * a, deadrise: 0.4 * b },
                _ => SectionShape::Flat { chine_beam_fraction: c },
            }
        }
    }

    prop_compose! {
        fn any_lines()(
            section in sections(),
            length in 2.0..18.0f64,
            slender in 0.15..0.6f64,
            depth in 0.2..0.6f64,
            spring in [0.6..1.4f64, 0.7..1.2, 0.8..2.0],
            (fullness, transom_beam_fraction) in (0.0..=1.0f64, 0.0..=1.0f64),
            (stem_rake, transom_rake) in (-0.5..1.0f64, -0.6..0.6f64),
        ) -> Lines {
            let beam = length * slender;
            let sheer = spring.map(|s| s * depth * beam);
            Lines { length, beam, sheer, fullness, transom_beam_fraction, stem_rake, transom_rake, section }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn whatever_has_no_faults_is_a_closed_hull(lines in any_lines(), stations in 3..30usize, girth in 3..16usize) {
            prop_assume!(lines.faults().is_empty());
            let hull = lines.mesh(stations, girth).map_err(|f| TestCaseError::fail(format!("{f:?}")))?;
            prop_assert_eq!(hull.mesh.sanity_check(), Ok(()));
            prop_assert_eq!(hull.mesh.crossings(), 0);
        }
    }
}
