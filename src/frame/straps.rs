//! Where straps may be tied, and which ones a frame gets.

use super::ends::Ridge;
use super::{HipWish, Post, Reason, Strap, StrapKind};
use crate::boat::{Anchor, Boat, End, Hand, KeptReason, Rules};
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

/// Anchors nearer to each other are in one place, m; a hundredth of an inch.
const ONE_PLACE: f64 = 2.54e-4;

/// Two spots nearer than this are one, m.
const SAME_SPOT: f64 = 0.05;

/// A hip strap stands at least this far from the side strap of its cap in plan, rad: nearer, the side
/// strap is the hip.
const HIP_APART: f64 = 0.2;

/// The spots of one side; a rail offers the point nearest to `station`.
fn spots(hull: &Hull, boat: &Boat, hand: Hand, station: f64) -> Vec<Spot> {
    let mut found = Vec::new();
    for anchor in &boat.anchors {
        let (name, side, at, lead) = match anchor {
            Anchor::BowEye { .. } | Anchor::SternEye { .. } | Anchor::SamsonPost { .. } => continue,
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
        if side.includes(hand)
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
        ends: Vec::new(),
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

/// The ridge strap over the caps of one ridge, with its profile (station, height).
pub(super) fn ridge_strap(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    offset: f64,
    posts: &[Post],
    profile: &[(f64, f64)],
    supports: usize,
) -> Option<Strap> {
    let [stern, bow] = hull.edge.at_offset(offset)?;
    let stations: Vec<f64> = posts
        .iter()
        .filter(|post| post.offset == offset)
        .map(|post| post.station)
        .collect();
    let mut plan = vec![stern.xy()];
    plan.extend(stations.iter().map(|x| Point2::new(*x, offset)));
    plan.push(bow.xy());
    let ridge = Ridge {
        hull,
        boat,
        rules,
        offset,
        profile,
        posts: &stations,
    };
    let (aft, over_aft) = ridge.fasten(End::Aft)?;
    let (fore, over_fore) = ridge.fasten(End::Fore)?;
    Some(Strap {
        id: String::new(),
        kind: StrapKind::Ridge,
        from: aft.to.clone(),
        to: fore.to.clone(),
        plan,
        tension: rules.ridge_tension,
        lead: over_aft + over_fore,
        ends: vec![aft, fore],
        pinned: false,
        reason: Reason::Ridge { supports },
    })
}

/// The spot to which a cap is tied: of those that hold it about as square as any, the nearest along the boat; of two as
/// near, the one aft, so that no strap is led forward past an anchor.
fn squarest(hull: &Hull, post: &Post, spots: Vec<Spot>) -> Option<Spot> {
    let is_clear = |spot: &Spot| {
        let end = hull.edge.at(hull.edge.nearest(spot.plan));
        let met = hull.solids.on_line(&post.top(), &end, TOUCHED);
        let thing = met.and_then(|(thing, _)| hull.things.get(thing));
        // What film may rest on lifts the strap with it.
        thing.is_none_or(|thing| thing.film_may_rest || thing.left_out)
    };
    let least = |spots: &[Spot]| {
        let angles = spots.iter().map(|spot| askew(post, spot.plan));
        angles.fold(f64::INFINITY, f64::min)
    };
    let clear: Vec<Spot> = spots
        .iter()
        .filter(|spot| is_clear(spot))
        .cloned()
        .collect();
    let spots = if clear.is_empty() || least(&clear) > least(&spots) + MAX_TURNED {
        spots
    } else {
        clear
    };
    let most = least(&spots) + AS_SQUARE;
    let away = |spot: &Spot| {
        let run = to_place(spot.plan.x - post.station);
        run.abs() + if run > 0.0 { AS_NEAR } else { 0.0 }
    };
    spots
        .into_iter()
        .filter(|spot| askew(post, spot.plan) <= most)
        .min_by(|a, b| away(a).total_cmp(&away(b)))
}

/// A distance to whole places, so that of two anchors in one place the first is meant, with pins and without, m.
fn to_place(distance: f64) -> f64 {
    (distance / ONE_PLACE).round() * ONE_PLACE
}

/// Straps whose angles from straight athwart differ by less hold a cap about as square, rad; house rule, 10 deg.
const AS_SQUARE: f64 = 0.1745;

/// Anchors whose distances along the boat differ by less are as near, m; house rule, 6 in.
const AS_NEAR: f64 = 0.1524;

/// A strap is turned by no more than this to keep clear of a thing that film may not touch, rad; house rule, 25 deg.
const MAX_TURNED: f64 = 0.4363;

/// A strap may touch such a thing by this, m.
const TOUCHED: f64 = 0.005;

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
                let spots = spots(hull, boat, hand, post.station);
                if let Some(spot) = squarest(hull, post, spots) {
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
                && pin.side.includes(hand)
                && let Some(plan) = edge_point(hull, hand, pin.station)
            {
                // An anchor's own spot where one is meant, with its name and what leads down to it.
                let off = |spot: &Spot| to_place((spot.plan - plan).norm());
                let spot = spots(hull, boat, hand, pin.station)
                    .into_iter()
                    .filter(|spot| off(spot) < SAME_SPOT)
                    .min_by(|a, b| off(a).total_cmp(&off(b)))
                    .unwrap_or(Spot {
                        name: format!("pinned place, {}", hand.word()),
                        plan,
                        lead: 0.0,
                    });
                if let Some(same) = straps.iter_mut().find(|s| same_course(s, post, &spot)) {
                    same.pinned = true;
                    continue;
                }
                let aslant = askew(post, plan) > HIP_APART * 2.0;
                let kind = match pin.kept {
                    Some(KeptReason::HoldsCap) => StrapKind::Side,
                    Some(KeptReason::Corner { .. }) => StrapKind::Hip,
                    _ if aslant => StrapKind::Hip,
                    _ => StrapKind::Side,
                };
                let reason = match &pin.kept {
                    None => Reason::Pinned,
                    Some(KeptReason::HoldsCap) => Reason::HoldsCap {
                        post: post.id.clone(),
                        askew: askew(post, plan),
                    },
                    Some(kept) => Reason::Kept(kept.clone()),
                };
                let mut pinned = strap(post, &spot, kind, rules, reason);
                pinned.pinned = true;
                straps.push(pinned);
            }
        }
    }
    // By post, whatever order the pins came in: a pinned plan numbers its straps as the plan did.
    straps.sort_by_key(|strap| {
        let post = |id: &str| posts.iter().position(|post| post.id == id);
        let across = post(&strap.to).is_some();
        (post(&strap.from), strap.kind == StrapKind::Hip, across)
    });
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
