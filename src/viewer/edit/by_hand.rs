//! What a hand does to a frame, as a boat with other wishes: pure, so that it is tested without a window.
//!
//! A frame that hulltent planned becomes one by hand when a piece of it is moved and the others are to stay: every
//! piece is then pinned. Or only the moved piece is pinned and the rest is planned anew.

use crate::boat::{Boat, FrameWishes, Hand, PinnedPost, PinnedStrap, Side};
use crate::frame::{Post, Strap, StrapKind};
use crate::plan::Plan;

/// What happens to the other pieces when one is changed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Others {
    /// They stay where they are.
    #[default]
    Stay,
    /// They are planned anew about the changed piece.
    Replanned,
}

/// Nearer to an end of the boat no hand puts a post, m: a foot.
const FROM_END: f64 = 0.3;

/// Least distance of two posts, m, and of a cap over its footing: a hand's breadth.
const APART: f64 = 0.1;

/// Posts this near to a station are meant by it, m: half the least distance.
const MEANT: f64 = 0.5 * APART;

/// The boat to change: a frame by hand, or the wishes as they are.
fn base(plan: &Plan, boat: &Boat, others: Others) -> Boat {
    let mut boat = match others {
        Others::Stay if !boat.wishes.only_pinned => Boat {
            wishes: plan.pinned().wishes,
            ..boat.clone()
        },
        _ => boat.clone(),
    };
    // What stands keeps its name, whatever comes or goes beside it: its stick is marked already.
    for pin in &mut boat.wishes.posts {
        let [name, name_port] = names(plan, pin.station);
        pin.name = pin.name.take().or(name);
        pin.name_port = pin.name_port.take().or(name_port);
    }
    boat
}

/// The names of the post at a station, and of its fellow to port under twin ridges.
fn names(plan: &Plan, station: f64) -> [Option<String>; 2] {
    let mut here = plan
        .frame
        .posts
        .iter()
        .filter(|post| same(post.station, station))
        .map(|post| post.id.clone());
    [here.next(), here.next()]
}

/// A name for one post more under each ridge: over all numbers in use, so that no stick that was marked and left out is
/// taken for it.
fn new_names(plan: &Plan, boat: &Boat) -> [Option<String>; 2] {
    let pins = boat.wishes.posts.iter();
    let pinned = pins.flat_map(|pin| [&pin.name, &pin.name_port]).flatten();
    let taken = plan.frame.posts.iter().map(|post| &post.id).chain(pinned);
    let number = |name: &String| name.strip_prefix('P')?.parse::<u32>().ok();
    let most = taken.filter_map(number).max().unwrap_or(0);
    let twin = plan.frame.ridges.len() > 1;
    [
        Some(format!("P{}", most + 1)),
        twin.then(|| format!("P{}", most + 2)),
    ]
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < MEANT
}

/// Where a post may be moved along the boat: not onto another, nor off the ends.
fn free_station(plan: &Plan, post: usize, wanted: f64) -> f64 {
    let [aft, fore] = [FROM_END, plan.boat.length - FROM_END];
    let Some(own) = plan.frame.posts.get(post) else {
        return wanted.clamp(aft, fore);
    };
    // One that the plan itself put nearer may stay there.
    let (mut low, mut high) = (aft.min(own.station), fore.max(own.station));
    for other in &plan.frame.posts {
        if same(other.station, own.station) {
            continue;
        }
        if other.station < own.station {
            low = low.max(other.station + APART);
        } else {
            high = high.min(other.station - APART);
        }
    }
    if low < high {
        wanted.clamp(low, high)
    } else {
        own.station
    }
}

/// A post stands elsewhere and is as high as wanted; its straps go with it.
///
/// # Units
/// `station` and `cap` in meters.
pub fn move_post(
    plan: &Plan,
    boat: &Boat,
    post: usize,
    station: f64,
    cap: f64,
    others: Others,
) -> Option<Boat> {
    let own = plan.frame.posts.get(post)?;
    let mut boat = base(plan, boat, others);
    let station = free_station(plan, post, station);
    let [name, name_port] = names(plan, own.station);
    let pin = PinnedPost {
        name,
        name_port,
        station,
        cap: Some(cap.max(own.base + APART)),
        kept: None,
    };
    let wishes = &mut boat.wishes;
    wishes
        .posts
        .retain(|other| !same(other.station, own.station));
    wishes.posts.push(pin);
    wishes.posts.sort_by(|a, b| a.station.total_cmp(&b.station));
    for strap in &mut wishes.straps {
        if same(strap.post, own.station) {
            // One that runs straight athwart keeps doing so.
            if same(strap.station, own.station) {
                strap.station = station;
            }
            strap.post = station;
        }
    }
    Some(boat)
}

/// A post more; its height is left to the solver. In a frame by hand it gets a strap athwart to either side.
///
/// # Errors
/// Why none can stand there, in words.
///
/// # Units
/// `station` in meters.
pub fn add_post(
    plan: &Plan,
    boat: &Boat,
    station: f64,
    others: Others,
) -> Result<Boat, &'static str> {
    if !(FROM_END..=boat.length - FROM_END).contains(&station) {
        return Err("a post stands at least a foot from either end of the boat");
    }
    let near = |other: &Post| (other.station - station).abs() < APART;
    if plan.frame.posts.iter().any(near) {
        return Err("a post stands there already");
    }
    let mut boat = base(plan, boat, others);
    let by_hand = boat.wishes.only_pinned && !boat.wishes.straps.is_empty();
    let [name, name_port] = new_names(plan, &boat);
    let wishes = &mut boat.wishes;
    wishes.posts.push(PinnedPost {
        name,
        name_port,
        station,
        ..PinnedPost::default()
    });
    wishes.posts.sort_by(|a, b| a.station.total_cmp(&b.station));
    if by_hand {
        wishes.straps.push(PinnedStrap {
            post: station,
            station,
            side: Side::Both,
            kept: None,
        });
    }
    Ok(boat)
}

/// A post and its straps less.
///
/// # Errors
/// Why it cannot be left out, in words.
pub fn remove_post(
    plan: &Plan,
    boat: &Boat,
    post: usize,
    others: Others,
) -> Result<Boat, &'static str> {
    let own = plan.frame.posts.get(post).ok_or("there is no such post")?;
    let mut boat = base(plan, boat, others);
    let wishes = &mut boat.wishes;
    wishes
        .posts
        .retain(|other| !same(other.station, own.station));
    wishes.straps.retain(|strap| !same(strap.post, own.station));
    if wishes.only_pinned && wishes.posts.is_empty() {
        return Err("a frame needs a post: let hulltent plan it anew instead");
    }
    Ok(boat)
}

/// Pins a post where it stands, or takes its pin out again.
pub fn pin_post(plan: &Plan, boat: &Boat, post: usize, pinned: bool) -> Option<Boat> {
    let own = plan.frame.posts.get(post)?;
    let mut boat = boat.clone();
    let posts = &mut boat.wishes.posts;
    posts.retain(|other| !same(other.station, own.station));
    if pinned {
        let [name, name_port] = names(plan, own.station);
        posts.push(PinnedPost {
            name,
            name_port,
            station: own.station,
            cap: Some(own.cap),
            kept: None,
        });
        posts.sort_by(|a, b| a.station.total_cmp(&b.station));
    }
    Some(boat)
}

/// The side of the boat on which a strap from a cap goes over the edge, and where; `None` for a ridge strap.
fn run(strap: &Strap) -> Option<(f64, f64, Hand)> {
    let (cap, end) = (strap.plan.first()?, strap.plan.last()?);
    let hand = if end.y >= cap.y {
        Hand::Port
    } else {
        Hand::Starboard
    };
    (strap.kind != StrapKind::Ridge).then_some((cap.x, end.x, hand))
}

fn is_pin_of(pin: &PinnedStrap, (post, station, hand): (f64, f64, Hand)) -> bool {
    same(pin.post, post) && same(pin.station, station) && side_has(pin.side, hand)
}

fn side_has(side: Side, hand: Hand) -> bool {
    matches!(
        (side, hand),
        (Side::Both, _) | (Side::Port, Hand::Port) | (Side::Starboard, Hand::Starboard)
    )
}

/// Takes one side out of a list of pinned straps; a pair loses but that side.
fn drop_strap(straps: &mut Vec<PinnedStrap>, what: (f64, f64, Hand)) {
    let mut left = Vec::new();
    for pin in straps.drain(..) {
        if !is_pin_of(&pin, what) {
            left.push(pin);
        } else if pin.side == Side::Both {
            left.push(PinnedStrap {
                side: match what.2 {
                    Hand::Port => Side::Starboard,
                    Hand::Starboard => Side::Port,
                },
                ..pin
            });
        }
    }
    *straps = left;
}

/// A strap more, from a cap over the edge.
///
/// # Units
/// `station` in meters.
pub fn add_strap(
    plan: &Plan,
    boat: &Boat,
    post: usize,
    station: f64,
    side: Side,
    others: Others,
) -> Result<Boat, &'static str> {
    let own = plan.frame.posts.get(post).ok_or("there is no such post")?;
    let [aft, fore] = plan.hull.edge.ends();
    if !(aft..=fore).contains(&station) {
        return Err("a strap ends on the boat, between its stern and its bow");
    }
    let mut boat = base(plan, boat, others);
    let pin = PinnedStrap {
        post: own.station,
        station,
        side,
        kept: None,
    };
    let there = |hand: Hand| {
        let what = (own.station, station, hand);
        let runs = |strap: &Strap| {
            run(strap).is_some_and(|(p, s, h)| same(p, what.0) && same(s, what.1) && h == what.2)
        };
        plan.frame.straps.iter().any(runs)
    };
    if Hand::BOTH
        .into_iter()
        .filter(|hand| side_has(side, *hand))
        .all(there)
    {
        return Err("a strap runs there already");
    }
    boat.wishes.straps.push(pin);
    Ok(boat)
}

/// A strap less: all others become the frame's own, since only a frame by hand can lack what the planner would add.
///
/// # Errors
/// Why it cannot be left out, in words.
pub fn remove_strap(plan: &Plan, boat: &Boat, strap: usize) -> Result<Boat, &'static str> {
    let strap = plan
        .frame
        .straps
        .get(strap)
        .ok_or("there is no such strap")?;
    let what = run(strap).ok_or("the ridge strap cannot be left out: the film hangs over it")?;
    let mut boat = base(plan, boat, Others::Stay);
    if boat.wishes.straps.is_empty() {
        // Posts alone were pinned: their straps are the planner's until one is changed.
        boat.wishes.straps = plan.pinned().wishes.straps;
    }
    drop_strap(&mut boat.wishes.straps, what);
    if boat.wishes.straps.is_empty() {
        return Err("a frame needs a strap athwart");
    }
    Ok(boat)
}

/// Pins a strap where it runs, or takes its pin out again.
pub fn pin_strap(plan: &Plan, boat: &Boat, strap: usize, pinned: bool) -> Option<Boat> {
    let what = run(plan.frame.straps.get(strap)?)?;
    let mut boat = boat.clone();
    drop_strap(&mut boat.wishes.straps, what);
    if pinned {
        let (post, station, hand) = what;
        boat.wishes.straps.push(PinnedStrap {
            post,
            station,
            side: match hand {
                Hand::Port => Side::Port,
                Hand::Starboard => Side::Starboard,
            },
            kept: None,
        });
    }
    Some(boat)
}

/// All pins out: hulltent plans the frame.
pub fn plan_anew(boat: &Boat) -> Boat {
    Boat {
        wishes: FrameWishes {
            ridge: boat.wishes.ridge,
            ..FrameWishes::default()
        },
        ..boat.clone()
    }
}

/// The posts of a frame by hand stay, all else is planned about them.
pub fn plan_the_rest(boat: &Boat) -> Boat {
    let mut boat = boat.clone();
    boat.wishes.only_pinned = false;
    boat.wishes.straps.clear();
    boat
}

#[cfg(test)]
mod tests;
