//! What the ridge search is asked: anchors, sections, places for posts, rules.

use thiserror::Error;

/// Longest ridge, and largest height in size, that the search takes (m). Costs are packed
/// into whole numbers with so many bits for each part; this keeps every sum inside its bits.
pub const LARGEST: f64 = 500.0;
/// Most posts the search may be asked for; see [`LARGEST`].
pub const MAX_POSTS: usize = 64;
/// Most free supports the search takes; see [`LARGEST`].
pub const MAX_FREE: usize = 100;
/// Steepest minimum slope the search takes (rad, 80 degrees): its tangent stays tame.
pub const STEEPEST: f64 = 1.396_263_401_595_463_6;
/// Finest height grid the search takes (m): heights are summed in whole micrometers.
pub const FINEST_STEP: f64 = 1e-4;
/// Stations nearer than this count as the same place (m): well under any tape, well over rounding.
pub const STATION_EPS: f64 = 1e-6;

/// One end of the ridge strap, at a single exact height.
///
/// # Units
/// Meters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Anchor {
    /// Distance forward of the transom.
    pub station: f64,
    /// Height above the hull's lowest point.
    pub height: f64,
}

/// One thing at a section that the film must clear.
///
/// # Units
/// Meters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Touch {
    /// Horizontal distance from the ridge line to the point, 0 or more.
    pub across: f64,
    /// Height above which the film must stay there, clearance included.
    pub height: f64,
    /// The caller's mark for what the thing is; handed back with the reason.
    pub thing: u32,
}

/// All that the film must clear at one station. Sections need no order; those beyond the
/// anchors bear on no part of the ridge.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Distance forward of the transom (m).
    pub station: f64,
    /// The points to clear; may be empty.
    pub points: Vec<Touch>,
}

/// What the user fixed about a post.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pin {
    /// A post must stand here, at any allowed height.
    Place,
    /// A post must stand here with its cap at this height (m), which need not be on the grid.
    Height(f64),
}

/// A place where a support post may stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PostSite {
    /// Distance forward of the transom (m).
    pub station: f64,
    /// Height of the footing (m).
    pub base: f64,
    /// Lowest cap height allowed, in steps of [`RidgeRules::height_step`] from zero.
    pub lowest: i64,
    /// Highest cap height allowed, in the same steps. Under `lowest`: no post can stand here.
    pub highest: i64,
    /// The caller's mark for the footing.
    pub footing: u32,
    /// What the user fixed here.
    pub pinned: Option<Pin>,
}

/// A place where the strap may rest on the boat itself, at a single exact height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FreeSupport {
    /// Distance forward of the transom (m).
    pub station: f64,
    /// Height of the strap there (m).
    pub height: f64,
    /// The caller's mark for what it rests on.
    pub thing: u32,
}

/// The rules of the search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RidgeRules {
    /// Minimum slope of the film (rad).
    pub min_slope: f64,
    /// Downward pull of the film on the strap (N/m).
    pub pull: f64,
    /// Tension of the ridge strap (N).
    pub tension: f64,
    /// Longest span between neighboring supports (m).
    pub max_span: f64,
    /// Least distance between neighboring posts (m). Two pinned posts may be nearer: they stay.
    pub least_gap: f64,
    /// Step of the height grid (m).
    pub height_step: f64,
    /// Most posts to try.
    pub most_posts: usize,
    /// No post may be added to the pinned ones.
    pub only_pinned: bool,
    /// Twin ridges: each segment itself must have the minimum slope lengthwise.
    pub twin: bool,
}

/// One ridge strap to be carried on the fewest posts.
#[derive(Debug, Clone, PartialEq)]
pub struct RidgeProblem {
    /// Where the strap is made fast at the stern.
    pub stern: Anchor,
    /// Where the strap is made fast at the bow.
    pub bow: Anchor,
    /// What the film must clear, along the boat.
    pub sections: Vec<Section>,
    /// Where posts may stand.
    pub sites: Vec<PostSite>,
    /// Where the strap may rest on the boat.
    pub free: Vec<FreeSupport>,
    /// The rules.
    pub rules: RidgeRules,
}

/// One thing wrong with a [`RidgeProblem`].
#[derive(Debug, Clone, PartialEq, Error)]
pub enum RidgeFault {
    /// A number is missing, infinite or out of all proportion.
    #[error("{what} {index} has a number that is not finite or larger than {LARGEST} m")]
    BadNumber {
        /// Which list: anchor, section, post site, free support.
        what: &'static str,
        /// Its place in that list.
        index: usize,
    },
    /// The bow anchor does not lie forward of the stern anchor.
    #[error("the bow anchor must lie forward of the stern anchor")]
    AnchorsReversed,
    /// A rule is out of range.
    #[error("rule {rule} is out of range: {value}")]
    BadRule {
        /// Name of the field.
        rule: &'static str,
        /// Its value.
        value: f64,
    },
    /// A support does not lie between the anchors.
    #[error("{what} {index} at station {station} does not lie between the anchors")]
    Outside {
        /// Post site or free support.
        what: &'static str,
        /// Its place in that list.
        index: usize,
        /// Its station (m).
        station: f64,
    },
    /// A cap may be lower than its own footing.
    #[error("post site {index} allows a cap under its own footing")]
    CapUnderFooting {
        /// Place in the list of sites.
        index: usize,
    },
    /// A pinned post has no allowed height.
    #[error("pinned post site {index} has no allowed height")]
    PinnedWithoutHeight {
        /// Place in the list of sites.
        index: usize,
    },
    /// Two pinned posts stand at one station.
    #[error("pinned post sites {first} and {second} stand at the same station")]
    PinnedTwice {
        /// Place of the first in the list of sites.
        first: usize,
        /// Place of the second.
        second: usize,
    },
    /// More than the search can count.
    #[error("{what}: at most {most}")]
    TooMany {
        /// What there is too much of.
        what: &'static str,
        /// The limit.
        most: usize,
    },
}

/// Everything wrong with a [`RidgeProblem`], at once.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{}", .faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
pub struct BadRidge {
    /// The faults, in the order of the problem's fields.
    pub faults: Vec<RidgeFault>,
}

fn sound(values: &[f64]) -> bool {
    values.iter().all(|v| v.is_finite() && v.abs() <= LARGEST)
}

impl RidgeProblem {
    /// Checks the problem as a whole.
    ///
    /// # Errors
    /// [`BadRidge`] with every fault found.
    pub fn check(&self) -> Result<(), BadRidge> {
        let mut faults = Vec::new();
        for (index, anchor) in [self.stern, self.bow].iter().enumerate() {
            if !sound(&[anchor.station, anchor.height]) {
                faults.push(RidgeFault::BadNumber {
                    what: "anchor",
                    index,
                });
            }
        }
        let length = self.bow.station - self.stern.station;
        if length <= STATION_EPS {
            faults.push(RidgeFault::AnchorsReversed);
        } else if length > LARGEST {
            faults.push(RidgeFault::BadNumber {
                what: "anchor",
                index: 1,
            });
        }
        for (index, section) in self.sections.iter().enumerate() {
            let good = |p: &Touch| sound(&[p.across, p.height]) && p.across >= 0.0;
            if !sound(&[section.station]) || !section.points.iter().all(good) {
                faults.push(RidgeFault::BadNumber {
                    what: "section",
                    index,
                });
            }
        }
        self.check_sites(&mut faults);
        for (index, free) in self.free.iter().enumerate() {
            if !sound(&[free.station, free.height]) {
                faults.push(RidgeFault::BadNumber {
                    what: "free support",
                    index,
                });
            }
            self.check_between("free support", index, free.station, &mut faults);
        }
        if self.free.len() > MAX_FREE {
            faults.push(RidgeFault::TooMany {
                what: "free supports",
                most: MAX_FREE,
            });
        }
        self.check_rules(&mut faults);
        if faults.is_empty() {
            Ok(())
        } else {
            Err(BadRidge { faults })
        }
    }

    fn check_between(
        &self,
        what: &'static str,
        index: usize,
        station: f64,
        faults: &mut Vec<RidgeFault>,
    ) {
        if station <= self.stern.station + STATION_EPS || station >= self.bow.station - STATION_EPS
        {
            faults.push(RidgeFault::Outside {
                what,
                index,
                station,
            });
        }
    }

    fn check_sites(&self, faults: &mut Vec<RidgeFault>) {
        let step = self.rules.height_step;
        let mut pinned: Vec<(f64, usize)> = Vec::new();
        for (index, site) in self.sites.iter().enumerate() {
            let usable = site.lowest <= site.highest;
            let (low, high) = match site.pinned {
                Some(Pin::Height(height)) => (height, height),
                _ if usable => (site.lowest as f64 * step, site.highest as f64 * step),
                _ => (site.base, site.base),
            };
            if !sound(&[site.station, site.base, low, high]) {
                faults.push(RidgeFault::BadNumber {
                    what: "post site",
                    index,
                });
            }
            self.check_between("post site", index, site.station, faults);
            if low < site.base {
                faults.push(RidgeFault::CapUnderFooting { index });
            }
            if site.pinned == Some(Pin::Place) && !usable {
                faults.push(RidgeFault::PinnedWithoutHeight { index });
            }
            if site.pinned.is_some() {
                pinned.push((site.station, index));
            }
        }
        pinned.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for pair in pinned.windows(2) {
            if pair[1].0 - pair[0].0 <= STATION_EPS {
                faults.push(RidgeFault::PinnedTwice {
                    first: pair[0].1,
                    second: pair[1].1,
                });
            }
        }
        if pinned.len() > MAX_POSTS {
            faults.push(RidgeFault::TooMany {
                what: "pinned posts",
                most: MAX_POSTS,
            });
        }
    }

    fn check_rules(&self, faults: &mut Vec<RidgeFault>) {
        let rules = &self.rules;
        let positive = |v: f64| v.is_finite() && v > 0.0;
        for (rule, value, good) in [
            (
                "min_slope",
                rules.min_slope,
                (0.0..=STEEPEST).contains(&rules.min_slope),
            ),
            (
                "pull",
                rules.pull,
                rules.pull.is_finite() && rules.pull >= 0.0,
            ),
            ("tension", rules.tension, positive(rules.tension)),
            ("max_span", rules.max_span, positive(rules.max_span)),
            (
                "least_gap",
                rules.least_gap,
                rules.least_gap.is_finite() && rules.least_gap >= 0.0,
            ),
            (
                "height_step",
                rules.height_step,
                positive(rules.height_step) && rules.height_step >= FINEST_STEP,
            ),
            (
                "most_posts",
                rules.most_posts as f64,
                rules.most_posts <= MAX_POSTS,
            ),
        ] {
            if !good {
                faults.push(RidgeFault::BadRule { rule, value });
            }
        }
    }
}
