//! From the ridge search's answer to a frame.

use super::ridge::{Cause, ChainKind, Governs, RidgeAnswer, Shortfall, solve_ridge};
use super::sections::{Sites, need_reason, ridge_problem, stands_on, thing_name};
use super::straps::{cap_straps, number, ridge_strap};
use super::{Frame, Post, Reason, Shortage};
use crate::boat::{Boat, End, Hand, RidgeWish, Rules};
use crate::hull::Hull;
use nalgebra::Point2;

/// A height that the solved film asks of the ridge at a station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Demand {
    /// Station, m.
    pub station: f64,
    /// Least height of the ridge there, m.
    pub height: f64,
}

/// A corner that would hold snow without a hip strap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HipWish {
    /// End of the boat.
    pub end: End,
    /// Side of the boat.
    pub hand: Hand,
    /// Area of the holding patch that asks for it, m2.
    pub area: f64,
    /// Station of that patch, m.
    pub station: f64,
}

/// Spacing of twin ridges as a part of the beam, where the user names none; house rule.
const TWIN_SPACING: f64 = 0.5;

/// Designs the frame: the fewest and lowest posts that the section model allows under the film's demands,
/// and straps from their caps.
///
/// With [`RidgeWish::Free`] a single ridge is taken where it holds, else a twin one if that holds.
///
/// With `keep` the ridges and the stations of the posts stay as that frame has them, and only heights and
/// straps are found: far less to search.
///
/// # Errors
/// Why no ridge can be laid at all: its line misses the boat, or the ridge search was asked nonsense.
pub fn design(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    demands: &[Demand],
    hips: &[HipWish],
    keep: Option<&Frame>,
) -> Result<Frame, String> {
    let misses = || "the ridge line misses the boat".to_owned();
    let solve = |half_spacing: f64| {
        let (problem, sites) =
            ridge_problem(hull, boat, rules, half_spacing, demands, keep).ok_or_else(misses)?;
        let answer = solve_ridge(&problem).map_err(|error| error.to_string())?;
        frame_of(hull, boat, rules, half_spacing, &answer, &sites, hips).ok_or_else(misses)
    };
    if let Some(frame) = keep {
        return solve(frame.ridges.iter().copied().fold(0.0, f64::max));
    }
    match boat.wishes.ridge {
        RidgeWish::Single => solve(0.0),
        RidgeWish::Twin(spacing) => solve(0.5 * spacing),
        RidgeWish::Free => {
            let single = solve(0.0)?;
            if single.shortage.is_none() {
                return Ok(single);
            }
            match solve(0.5 * TWIN_SPACING * boat.beam) {
                Ok(twin) if twin.shortage.is_none() => Ok(twin),
                _ => Ok(single),
            }
        }
    }
}

pub(super) fn frame_of(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    half_spacing: f64,
    answer: &RidgeAnswer,
    sites: &Sites,
    hips: &[HipWish],
) -> Option<Frame> {
    let ridges = if half_spacing > 0.0 {
        vec![-half_spacing, half_spacing]
    } else {
        vec![0.0]
    };
    let mut posts = Vec::new();
    for chosen in &answer.posts {
        let pins = boat.wishes.posts.iter();
        let pin = pins.clone().find(|pin| pin.station == chosen.station);
        let kept = pin.and_then(|pin| pin.kept.as_ref());
        let reason = match (&chosen.governs, kept) {
            (Governs::Pinned, Some(kept)) => Reason::Kept(kept.clone()),
            (governs, _) => governs_reason(hull, governs),
        };
        for (index, &offset) in ridges.iter().enumerate() {
            let name = pin.and_then(|pin| [&pin.name, &pin.name_port][index.min(1)].clone());
            // The feet of twin posts may stand at different heights.
            let foot = Point2::new(chosen.station, offset);
            let (base, footing) =
                stands_on(hull, boat, rules, foot, pin.is_some()).unwrap_or_else(|| {
                    let name = sites.footings.get(chosen.footing as usize).cloned();
                    (chosen.base, name.unwrap_or_default())
                });
            posts.push(Post {
                id: name.unwrap_or_default(),
                station: chosen.station,
                offset,
                footing,
                base,
                cap: chosen.cap,
                pinned: pin.is_some(),
                kept: kept.is_some(),
                reason: reason.clone(),
            });
        }
    }
    name_posts(&mut posts);
    let supports = answer
        .chain
        .iter()
        .filter(|point| matches!(point.kind, ChainKind::Post(_) | ChainKind::Free(_)))
        .count();
    let profile: Vec<(f64, f64)> = answer
        .chain
        .iter()
        .map(|point| (point.station, point.height))
        .collect();
    let mut straps = Vec::new();
    for &offset in &ridges {
        straps.push(ridge_strap(
            hull, boat, rules, offset, &posts, &profile, supports,
        )?);
    }
    straps.extend(cap_straps(hull, boat, rules, &posts, hips));
    number(&mut straps);
    Some(Frame {
        posts,
        straps,
        ridges,
        profile,
        shortage: answer
            .shortfall
            .as_ref()
            .map(|shortfall| shortage(hull, shortfall)),
    })
}

/// Gives posts without a name the lowest numbers that no other post has, from the stern.
fn name_posts(posts: &mut [Post]) {
    let taken: Vec<String> = posts.iter().map(|post| post.id.clone()).collect();
    let mut free = (1..)
        .map(|number| format!("P{number}"))
        .filter(|name| !taken.contains(name));
    for post in posts.iter_mut().filter(|post| post.id.is_empty()) {
        post.id = free.next().unwrap_or_default();
    }
}

fn shortage(hull: &Hull, shortfall: &Shortfall) -> Shortage {
    Shortage {
        stretch: [shortfall.from, shortfall.to],
        cause: cause_reason(hull, &shortfall.cause),
    }
}

fn governs_reason(hull: &Hull, governs: &Governs) -> Reason {
    match *governs {
        Governs::Pinned => Reason::Pinned,
        Governs::LowestAllowed => Reason::LowestAllowed,
        Governs::Need(tight) => {
            need_reason(hull, tight.thing, tight.station, tight.need, tight.margin)
        }
        Governs::Bearing { aft, fore } => Reason::Bearing { aft, fore },
        Governs::Flat { from, to } => Reason::Slope { from, to },
    }
}

fn cause_reason(hull: &Hull, cause: &Cause) -> Reason {
    match *cause {
        Cause::Span { span, limit } => Reason::Span { span, limit },
        Cause::Need {
            thing,
            station,
            short_by,
        } => Reason::TooLow {
            thing: thing_name(hull, thing),
            station,
            short_by,
        },
        Cause::Flat { slope, least } => Reason::TooLow {
            thing: "middle between the twin ridges".to_owned(),
            station: 0.0,
            short_by: (least - slope.abs()).max(0.0),
        },
        Cause::NoFooting { short_by } => Reason::NoFooting { short_by },
        Cause::TooHigh {
            thing,
            station,
            need,
            highest,
        } => Reason::TooHigh {
            thing: thing_name(hull, thing),
            station,
            need,
            highest,
        },
        Cause::Lift { station, by } => Reason::Lift { station, by },
    }
}
