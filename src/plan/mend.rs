//! What the solved film asks of the frame: a higher ridge here, a hip strap there.

use crate::boat::{Boat, End, Hand, Rules};
use crate::cover::Cover;
use crate::frame::{Demand, Frame, HipWish};
use crate::geom::surface::Patch;
use crate::hull::Hull;

/// Patches are mended down to this part of what is tolerated, so that the finer film also holds.
const MARGIN: f64 = 0.9;

/// How much the ridge must rise for the slope that is lacking over a half breadth: a taut film answers a
/// higher ridge with about three quarters of it at the edge, found on the presets.
const ANSWER: f64 = 1.3;

/// Least rise in one round, as a slope: less would not be felt at the edge.
const MIN_RISE: f64 = 0.02;

/// Largest rise in one round, m: the film answers a large one out of proportion.
const LARGEST_RISE: f64 = 0.15;

/// Nearest to the ridge's ends that a rise is asked for, m: nearer, no ridge can follow.
const FROM_END: f64 = 0.25;

/// A patch reaches a corner when its middle lies beyond the last post by this part of the way to the end.
const CORNER_PART: f64 = 0.25;

/// Rise asked for where film touches what it must not, m; 1 in.
const TOUCH_RISE: f64 = 0.0254;

/// What a frame that the section model itself refuses weighs: more than any boat's area, m2.
const SHORTAGE: f64 = 1e4;

/// How far a cover is from shedding: area that holds too much snow, hollows, and little for high posts, m2.
pub(super) fn penalty(rules: &Rules, frame: &Frame, cover: &Cover) -> f64 {
    let ponds: f64 = cover.ponds.iter().map(|pond| pond.plan_area).sum();
    let low: f64 = cover
        .patches
        .iter()
        .map(|patch| (patch.area - rules.holding_patch).max(0.0))
        .sum();
    let flat = (cover.flat_area() - rules.flat_part * cover.plan_area).max(0.0);
    let heights: f64 = frame.posts.iter().map(|post| post.cap - post.base).sum();
    // Among frames that hold alike, the lower one is better; a meter of post weighs a square centimeter.
    let short = if frame.shortage.is_some() {
        SHORTAGE
    } else {
        0.0
    };
    short + low + flat + ponds + 1e-4 * heights
}

/// Adds to the demands and hips what the film lacks; `false` where nothing is lacking.
pub(super) fn wanted(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    frame: &Frame,
    cover: &Cover,
    demands: &mut Vec<Demand>,
    hips: &mut Vec<HipWish>,
) -> bool {
    let mut any = false;
    let before = hips.len();
    // Where the flat film in all is too much, the largest patches go first until the rest may stay.
    let mut excess = cover.flat_area() - MARGIN * rules.flat_part * cover.plan_area;
    for patch in &cover.patches {
        if patch.area <= MARGIN * rules.holding_patch && excess <= 0.0 {
            continue;
        }
        excess -= patch.area;
        any = true;
        let corner = (!boat.wishes.only_pinned)
            .then(|| corner_of(hull, frame, patch))
            .flatten();
        let has_hip = |hips: &[HipWish], (end, hand)| {
            hips.iter().any(|hip| hip.end == end && hip.hand == hand)
        };
        match corner {
            // A hip of this round may mend it: see first.
            Some(corner) if has_hip(&hips[before..], corner) => {}
            Some(corner @ (end, _)) if !has_hip(hips, corner) => {
                // Both sides, so that a symmetric boat keeps a symmetric frame.
                for hand in Hand::BOTH {
                    hips.push(HipWish {
                        end,
                        hand,
                        area: patch.area,
                        station: patch.centroid.x,
                    });
                }
            }
            _ => raise_over(hull, rules, frame, cover, patch, demands),
        }
    }
    for pond in &cover.ponds {
        any = true;
        demand(
            hull,
            frame,
            pond.deepest.x,
            pond.depth + rules.height_step,
            demands,
        );
    }
    for contact in &cover.contacts {
        let forbidden = hull
            .things
            .get(contact.thing)
            .is_some_and(|thing| !thing.film_may_rest);
        if forbidden {
            any = true;
            demand(hull, frame, contact.at.x, TOUCH_RISE, demands);
        }
    }
    any
}

/// The corner that a patch lies at: beyond the aftmost or foremost post, off the middle.
fn corner_of(hull: &Hull, frame: &Frame, patch: &Patch) -> Option<(End, Hand)> {
    let stations = || frame.posts.iter().map(|post| post.station);
    let (first, last) = (
        stations().fold(f64::INFINITY, f64::min),
        stations().fold(f64::NEG_INFINITY, f64::max),
    );
    let [aft, fore] = hull.edge.ends();
    let at = patch.centroid;
    let end = if at.x < first - CORNER_PART * (first - aft) {
        End::Aft
    } else if at.x > last + CORNER_PART * (fore - last) {
        End::Fore
    } else {
        return None;
    };
    let hand = if at.y >= 0.0 {
        Hand::Port
    } else {
        Hand::Starboard
    };
    Some((end, hand))
}

fn raise_over(
    hull: &Hull,
    rules: &Rules,
    frame: &Frame,
    cover: &Cover,
    patch: &Patch,
    demands: &mut Vec<Demand>,
) {
    let mut slope_area = 0.0;
    let mut area = 0.0;
    let (mut aft, mut fore) = (f64::INFINITY, f64::NEG_INFINITY);
    for &t in &patch.triangles {
        let t = t as usize;
        let Some(slope) = cover.slopes.get(t) else {
            continue;
        };
        let piece = crate::geom::surface::area(&cover.mesh, t);
        slope_area += slope.tan() * piece;
        area += piece;
        for corner in cover.mesh.triangle(t) {
            aft = aft.min(corner.x);
            fore = fore.max(corner.x);
        }
    }
    let lacking = rules.min_slope.tan() - slope_area / area;
    let half_breadth = hull
        .edge
        .at_station(patch.centroid.x)
        .map_or(0.0, |[starboard, port]| 0.5 * (port.y - starboard.y));
    let [stern, bow] = hull.edge.ends();
    for station in [aft, patch.centroid.x, fore] {
        // Near an end of the ridge film falls lengthwise, over the distance that is left to that end.
        let to_end = (station - stern).min(bow - station).max(FROM_END);
        let arm = half_breadth.min(to_end);
        let rise = (ANSWER * lacking * arm).clamp(MIN_RISE * arm, LARGEST_RISE);
        demand(hull, frame, station, rise, demands);
    }
}

/// Nearest to a fixed point of the ridge that a rise is asked for, as a part of its span: nearer, the far
/// post would have to rise by a multiple.
const LEVER: f64 = 0.5;

/// The same between two fixed points, where only a new post can help.
const BETWEEN_FIXED: f64 = 0.25;

/// Moves a station off the ends of its span that no post holds: edge, rail, arch.
fn off_fixed_points(frame: &Frame, station: f64) -> f64 {
    let movable = |x: f64| frame.posts.iter().any(|post| post.station == x);
    for pair in frame.profile.windows(2) {
        if let &[(aft, _), (fore, _)] = pair
            && (aft..=fore).contains(&station)
        {
            let span = fore - aft;
            return match (movable(aft), movable(fore)) {
                (true, true) => station,
                (false, true) => station.max(aft + LEVER * span),
                (true, false) => station.min(fore - LEVER * span),
                (false, false) => {
                    station.clamp(aft + BETWEEN_FIXED * span, fore - BETWEEN_FIXED * span)
                }
            };
        }
    }
    station
}

fn demand(hull: &Hull, frame: &Frame, station: f64, rise: f64, demands: &mut Vec<Demand>) {
    let [aft, fore] = hull.edge.ends();
    let station = off_fixed_points(frame, station.clamp(aft + FROM_END, fore - FROM_END));
    demands.push(Demand {
        station,
        height: frame.profile_at(station) + rise,
    });
}
