//! Where a post's foot stands: the whole base cap on one footing, and the post clear of all that is on the boat.

use super::Hull;
use crate::boat::{Boat, Rules, Zone};
use nalgebra::{Point2, Vector2};

/// Why a post cannot stand at a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FootFault {
    /// No footing is named there.
    NoFooting,
    /// No post may stand on what is there.
    NotOn {
        /// The thing.
        thing: String,
    },
    /// The base cap reaches into a place where no post may stand.
    NoPost {
        /// The place.
        zone: String,
    },
    /// A mast or antenna stands there.
    Mast {
        /// The mast.
        piercing: String,
    },
    /// The base cap reaches over the footing's edge.
    OverEdge {
        /// The footing.
        footing: String,
    },
    /// The footing is not level enough.
    NotLevel {
        /// The footing.
        footing: String,
    },
    /// A thing, or a higher footing, is in the way of base cap or post.
    InTheWay {
        /// The thing.
        thing: String,
    },
}

/// Width of a post, m. 3 1/2 in: the wide face of a two-by-four, which is turned as fits.
pub const POST_WIDTH: f64 = 0.0889;

/// A footing may rise by this across a base cap, m; house rule, 1/2 in: the post's foot is cut to it.
const MAX_RISE: f64 = 0.0127;

/// A base cap keeps this far off a mast or antenna, m; house rule, 1 in.
const MAST_GAP: f64 = 0.0254;

/// Lengths that differ by less are the same, m: a tenth of a millimeter.
const SAME: f64 = 1e-4;

impl Hull {
    /// What a post at a point of the plan stands on: its height, m, and its name.
    ///
    /// # Units
    /// Meters.
    ///
    /// # Errors
    /// Why no post can stand there.
    pub fn foot(
        &self,
        boat: &Boat,
        rules: &Rules,
        p: Point2<f64>,
    ) -> Result<(f64, String), FootFault> {
        let half = 0.5 * rules.base_cap_width;
        if let Some(zone) = boat.no_post.iter().find(|zone| overlaps(zone, p, half)) {
            return Err(FootFault::NoPost {
                zone: zone.name.clone(),
            });
        }
        let beside = |at: Point2<f64>| {
            let outside = (at - p).abs() - Vector2::repeat(half);
            outside.sup(&Vector2::zeros()).norm()
        };
        let mast = boat.piercings.iter().find(|mast| {
            beside(Point2::new(mast.station, mast.offset)) < 0.5 * mast.diameter + MAST_GAP
        });
        if let Some(mast) = mast {
            return Err(FootFault::Mast {
                piercing: mast.name.clone(),
            });
        }
        let (height, name, on) = match self.topmost(p) {
            Some((index, _)) => {
                let (height, name) = self.on_thing(index, p, half)?;
                (height, name, Some(index))
            }
            None => {
                let (height, name) = on_footing(boat, p, half)?;
                (height, name, None)
            }
        };
        let in_the_way = self
            .solids
            .in_column(p, 2.0 * half, [height, height + rules.base_cap], on)
            .or_else(|| {
                let width = POST_WIDTH.min(2.0 * half);
                self.solids.in_column(p, width, [height, f64::MAX], on)
            });
        match in_the_way.and_then(|index| self.things.get(index)) {
            Some(thing) => Err(FootFault::InTheWay {
                thing: thing.name.clone(),
            }),
            None => Ok((height, name)),
        }
    }

    fn on_thing(
        &self,
        index: usize,
        p: Point2<f64>,
        half: f64,
    ) -> Result<(f64, String), FootFault> {
        let thing = self.things.get(index).ok_or(FootFault::NoFooting)?;
        let name = thing.name.clone();
        let (true, Some(height)) = (thing.post_may_stand, thing.level_top_at(p)) else {
            return Err(FootFault::NotOn { thing: name });
        };
        let reach = half - SAME;
        let mut heights = [height; 2];
        for (x, y) in [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)] {
            let Some(z) = thing.level_top_at(p + Vector2::new(x, y) * reach) else {
                return Err(FootFault::OverEdge { footing: name });
            };
            heights = [heights[0].min(z), heights[1].max(z)];
        }
        if heights[1] - heights[0] > MAX_RISE {
            return Err(FootFault::NotLevel { footing: name });
        }
        Ok((height, name))
    }
}

/// The highest footing under the whole base cap.
fn on_footing(boat: &Boat, p: Point2<f64>, half: f64) -> Result<(f64, String), FootFault> {
    let under = |margin: f64| {
        boat.footings
            .iter()
            .filter(move |footing| inside(&footing.zone, p, margin))
            .max_by(|a, b| a.height.total_cmp(&b.height))
    };
    let Some(footing) = under(half) else {
        return Err(
            under(0.0).map_or(FootFault::NoFooting, |footing| FootFault::OverEdge {
                footing: footing.zone.name.clone(),
            }),
        );
    };
    let step = boat
        .footings
        .iter()
        .find(|other| other.height > footing.height + SAME && overlaps(&other.zone, p, half));
    match step {
        Some(step) => Err(FootFault::InTheWay {
            thing: step.zone.name.clone(),
        }),
        None => Ok((footing.height, footing.zone.name.clone())),
    }
}

/// Whether a square about a point lies in a zone.
fn inside(zone: &Zone, p: Point2<f64>, half: f64) -> bool {
    p.x - half >= zone.from - SAME
        && p.x + half <= zone.to + SAME
        && (p.y - zone.offset).abs() + half <= 0.5 * zone.width + SAME
}

/// Whether a square about a point reaches into a zone.
fn overlaps(zone: &Zone, p: Point2<f64>, half: f64) -> bool {
    p.x + half > zone.from + SAME
        && p.x - half < zone.to - SAME
        && (p.y - zone.offset).abs() - half < 0.5 * zone.width - SAME
}
