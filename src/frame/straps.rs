//! Where straps may be tied, and which ones a frame gets.

use super::{HipWish, Post, Reason, Strap, StrapKind};
use crate::boat::{Anchor, Boat, End, Hand, Rules, Side};
use crate::hull::Hull;
use nalgebra::Point2;

/// A spot on the edge over which a strap is led to its anchor.
#[derive(Debug, Clone)]
struct Spot {
    name: String,
    plan: Point2<f64>,
    /// From the edge down to the anchor, m.
    lead: f64,
}

/// Two spots nearer than this are one, m.
const SAME_SPOT: f64 = 0.05;

/// A hip strap stands at least this far from the side strap of its cap in plan, rad: nearer, the side
/// strap is the hip.
const HIP_APART: f64 = 0.2;

fn on_side(side: Side, hand: Hand) -> bool {
    matches!(
        (side, hand),
        (Side::Both, _) | (Side::Port, Hand::Port) | (Side::Starboard, Hand::Starboard)
    )
}

/// The spots of one side; a rail offers the point nearest to `station`.
fn spots(hull: &Hull, boat: &Boat, hand: Hand, station: f64) -> Vec<Spot> {
    let mut found = Vec::new();
    for anchor in &boat.anchors {
        let (name, side, at, lead) = match anchor {
            Anchor::BowEye { .. } => continue,
            Anchor::Cleat {
                name,
                station,
                side,
                below_sheer,
            } => (name, *side, *station, *below_sheer),
            Anchor::Rail {
                name,
                from,
                to,
                side,
                below_sheer,
            } => (name, *side, station.clamp(*from, *to), *below_sheer),
        };
        if on_side(side, hand)
            && let Some(plan) = edge_point(hull, hand, at)
        {
            found.push(Spot {
                name: format!("{name}, {}", hand.word()),
                plan,
                lead,
            });
        }
    }
    found
}

fn edge_point(hull: &Hull, hand: Hand, station: f64) -> Option<Point2<f64>> {
    let [aft, fore] = hull.edge.ends();
    let [starboard, port] = hull.edge.at_station(station.clamp(aft, fore))?;
    Some(match hand {
        Hand::Port => port.xy(),
        Hand::Starboard => starboard.xy(),
    })
}

/// Angle in plan of a strap from straight athwart, rad.
fn askew(post: &Post, to: Point2<f64>) -> f64 {
    let run = to - Point2::new(post.station, post.offset);
    run.x.abs().atan2(run.y.abs())
}

fn strap(post: &Post, spot: &Spot, kind: StrapKind, rules: &Rules, reason: Reason) -> Strap {
    Strap {
        id: String::new(),
        kind,
        from: post.id.clone(),
        to: spot.name.clone(),
        plan: vec![Point2::new(post.station, post.offset), spot.plan],
        tension: rules.side_tension,
        lead: spot.lead,
        pinned: false,
        reason,
    }
}

/// Which hands of a post carry side straps: both, or with twin ridges only the outer one.
fn hands(post: &Post) -> Vec<Hand> {
    Hand::BOTH
        .into_iter()
        .filter(|hand| post.offset * hand.sign() >= 0.0)
        .collect()
}

/// The ridge strap over the caps of one ridge.
pub(super) fn ridge_strap(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    offset: f64,
    posts: &[Post],
    supports: usize,
) -> Option<Strap> {
    let [stern, bow] = hull.edge.at_offset(offset)?;
    let mut plan = vec![stern.xy()];
    plan.extend(
        posts
            .iter()
            .filter(|post| post.offset == offset)
            .map(|post| Point2::new(post.station, post.offset)),
    );
    plan.push(bow.xy());
    let eye = boat.anchors.iter().find_map(|anchor| match anchor {
        Anchor::BowEye { height } => Some(*height),
        _ => None,
    });
    Some(Strap {
        id: String::new(),
        kind: StrapKind::Ridge,
        from: "transom".to_owned(),
        to: if eye.is_some() { "bow eye" } else { "bow" }.to_owned(),
        plan,
        tension: rules.ridge_tension,
        lead: eye.map_or(0.0, |height| hull.down_to_bow_eye(&bow, height)),
        pinned: false,
        reason: Reason::Ridge { supports },
    })
}

/// One pair athwart for each cap, then the hips that are wished for, then what the user pinned.
pub(super) fn cap_straps(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    posts: &[Post],
    hips: &[HipWish],
) -> Vec<Strap> {
    let mut straps = Vec::new();
    let automatic = !boat.wishes.only_pinned || boat.wishes.straps.is_empty();
    for post in posts {
        if automatic {
            for hand in hands(post) {
                let nearest = spots(hull, boat, hand, post.station)
                    .into_iter()
                    .min_by(|a, b| askew(post, a.plan).total_cmp(&askew(post, b.plan)));
                if let Some(spot) = nearest {
                    let reason = Reason::HoldsCap {
                        post: post.id.clone(),
                        askew: askew(post, spot.plan),
                    };
                    straps.push(strap(post, &spot, StrapKind::Side, rules, reason));
                }
            }
        }
        if let Some(cross) = cross_strap(rules, posts, post) {
            straps.push(cross);
        }
        for hip in hips {
            if let Some(hip) = hip_strap(hull, boat, rules, posts, post, hip, &straps) {
                straps.push(hip);
            }
        }
    }
    for pin in &boat.wishes.straps {
        for hand in Hand::BOTH {
            // With twin ridges the nearest post of that side is meant.
            let nearest = posts
                .iter()
                .filter(|post| hands(post).contains(&hand))
                .min_by(|a, b| {
                    (a.station - pin.post)
                        .abs()
                        .total_cmp(&(b.station - pin.post).abs())
                });
            if let Some(post) = nearest
                && on_side(pin.side, hand)
                && let Some(plan) = edge_point(hull, hand, pin.station)
            {
                // An anchor's own spot where one is meant, with its name and what leads down to it.
                let spot = spots(hull, boat, hand, pin.station)
                    .into_iter()
                    .find(|spot| (spot.plan - plan).norm() < SAME_SPOT)
                    .unwrap_or(Spot {
                        name: format!("pinned place, {}", hand.word()),
                        plan,
                        lead: 0.0,
                    });
                if let Some(same) = straps.iter_mut().find(|s| same_course(s, post, &spot)) {
                    same.pinned = true;
                    continue;
                }
                let kind = if askew(post, plan) > HIP_APART * 2.0 {
                    StrapKind::Hip
                } else {
                    StrapKind::Side
                };
                let mut pinned = strap(post, &spot, kind, rules, Reason::Pinned);
                pinned.pinned = true;
                straps.push(pinned);
            }
        }
    }
    number(&mut straps);
    straps
}

/// With twin ridges, the strap from a starboard cap athwart to its port fellow: it holds both from inboard.
fn cross_strap(rules: &Rules, posts: &[Post], post: &Post) -> Option<Strap> {
    let fellow = posts
        .iter()
        .find(|other| other.station == post.station && other.offset > post.offset)?;
    let spot = Spot {
        name: fellow.id.clone(),
        plan: Point2::new(fellow.station, fellow.offset),
        lead: 0.0,
    };
    let reason = Reason::HoldsCap {
        post: post.id.clone(),
        askew: 0.0,
    };
    Some(strap(post, &spot, StrapKind::Side, rules, reason))
}

fn same_course(strap: &Strap, post: &Post, spot: &Spot) -> bool {
    strap.from == post.id
        && strap
            .plan
            .last()
            .is_some_and(|end| (end - spot.plan).norm() < SAME_SPOT)
}

fn hip_strap(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    posts: &[Post],
    post: &Post,
    hip: &HipWish,
    straps: &[Strap],
) -> Option<Strap> {
    let same_ridge = || posts.iter().filter(|other| other.offset == post.offset);
    let is_end = match hip.end {
        End::Aft => same_ridge().all(|other| other.station >= post.station),
        End::Fore => same_ridge().all(|other| other.station <= post.station),
    };
    if !is_end || !hands(post).contains(&hip.hand) {
        return None;
    }
    let corner = hull.corner(hip.end, hip.hand)?;
    let here = Point2::new(post.station, post.offset);
    let spot = spots(hull, boat, hip.hand, corner.x)
        .into_iter()
        .min_by(|a, b| {
            (a.plan - corner)
                .norm()
                .total_cmp(&(b.plan - corner).norm())
        })?;
    let run = spot.plan - here;
    let too_near = straps
        .iter()
        .filter(|strap| strap.from == post.id)
        .any(|strap| {
            strap.plan.last().is_some_and(|end| {
                let other = end - here;
                run.perp(&other).atan2(run.dot(&other)).abs() < HIP_APART
            })
        });
    if too_near {
        return None;
    }
    let reason = Reason::Corner {
        area: hip.area,
        station: hip.station,
    };
    Some(strap(post, &spot, StrapKind::Hip, rules, reason))
}

/// Numbers straps within their kinds, in their order.
pub(super) fn number(straps: &mut [Strap]) {
    let mut counts = [0usize; 3];
    for strap in straps {
        let (place, letter) = match strap.kind {
            StrapKind::Ridge => (0, 'R'),
            StrapKind::Side => (1, 'S'),
            StrapKind::Hip => (2, 'H'),
        };
        counts[place] += 1;
        strap.id = format!("{letter}{}", counts[place]);
    }
}
