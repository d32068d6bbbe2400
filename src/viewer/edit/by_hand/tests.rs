//! What hands do to frames, on boats that are planned again.

use super::*;
use crate::boat::preset;
use crate::plan::plan;
use crate::viewer::history::{Act, History};
use proptest::prelude::*;

fn planned(name: &str) -> (Boat, Plan) {
    let mut boat = preset(name).unwrap().boat().unwrap();
    boat.rules.coarsen(3.0);
    let plan = plan(&boat, &boat.rules).unwrap();
    (boat, plan)
}

fn again(boat: &Boat) -> Plan {
    plan(boat, &boat.rules).unwrap()
}

fn caps(plan: &Plan) -> Vec<(f64, f64)> {
    plan.frame
        .posts
        .iter()
        .map(|post| (post.station, post.cap))
        .collect()
}

#[test]
fn a_moved_post_is_where_it_was_put_and_the_others_stay() {
    let (boat, first) = planned("open-runabout-18");
    let post = &first.frame.posts[0];
    let (station, cap) = (post.station + 0.2, post.cap - 0.3);
    let moved = move_post(&first, &boat, 0, station, cap, Others::Stay).unwrap();
    let second = again(&moved);
    let mut wanted = caps(&first);
    wanted[0] = (station, cap);
    assert_eq!(caps(&second), wanted);
    assert_eq!(second.frame.straps.len(), first.frame.straps.len());
    // Its straps have followed.
    let from = |plan: &Plan| {
        plan.frame
            .straps
            .iter()
            .filter(|strap| strap.from == post.id)
            .count()
    };
    assert_eq!(from(&second), from(&first));
    // Moved again, from the frame by hand that it is now.
    let third = again(&move_post(&second, &moved, 0, station, cap + 0.1, Others::Stay).unwrap());
    wanted[0].1 = cap + 0.1;
    assert_eq!(caps(&third), wanted);
    // Where the others are planned anew, that post alone is pinned.
    let free = move_post(&first, &boat, 0, station, cap, Others::Replanned).unwrap();
    assert_eq!(free.wishes.posts.len(), 1);
    assert!(!free.wishes.only_pinned);
    let free = again(&free);
    assert!(
        free.frame
            .posts
            .iter()
            .any(|post| post.pinned && (post.cap - cap).abs() < 1e-9)
    );
}

#[test]
fn posts_do_not_pass_each_other_nor_leave_the_boat() {
    let (boat, plan) = planned("open-runabout-18");
    for (post, wanted) in [(0, -3.0), (0, 5.0), (1, 0.0), (1, 50.0)] {
        let moved = move_post(&plan, &boat, post, wanted, 0.0, Others::Stay).unwrap();
        let [a, b] = [&moved.wishes.posts[0], &moved.wishes.posts[1]];
        assert!(b.station - a.station > APART - 1e-9, "{post} to {wanted}");
        assert!(a.station >= FROM_END && b.station <= boat.length - FROM_END);
        let own = &moved.wishes.posts[post];
        assert!(
            own.cap.unwrap() > plan.frame.posts[post].base,
            "never under its footing"
        );
        again(&moved);
    }
}

#[test]
fn a_frame_by_hand_is_cut_as_it_was() {
    for name in ["open-runabout-18", "center-console-24", "pontoon-24"] {
        let (boat, first) = planned(name);
        let post = &first.frame.posts[0];
        let moved = move_post(&first, &boat, 0, post.station, post.cap, Others::Stay).unwrap();
        let cuts = |plan: &Plan| {
            let mut cuts: Vec<i64> = plan
                .takeoff
                .straps
                .iter()
                .map(|strap| (strap.cut * 1000.0).round() as i64)
                .collect();
            cuts.sort_unstable();
            cuts
        };
        assert_eq!(cuts(&again(&moved)), cuts(&first), "{name}");
    }
}

/// The sticks are marked already: what stands keeps its name and its reason, whatever comes or goes beside it.
#[test]
fn posts_keep_their_names_and_reasons() {
    for name in ["center-console-24", "catamaran-38"] {
        let (boat, first) = planned(name);
        let ids = |plan: &Plan| -> Vec<(String, i64, i64)> {
            let place = |at: f64| (at * 1000.0).round() as i64;
            let posts = plan.frame.posts.iter();
            posts
                .map(|post| (post.id.clone(), place(post.station), place(post.offset)))
                .collect()
        };
        let twin = first.frame.ridges.len();
        let less = remove_post(&first, &boat, 0, Others::Stay).unwrap();
        let second = again(&less);
        assert_eq!(ids(&second), ids(&first)[twin..], "{name}");
        for post in &second.frame.posts {
            let sentence = post.reason.sentence(crate::units::UnitSystem::FeetInches);
            assert!(
                !sentence.contains("pinned by the user"),
                "{name}: {sentence}"
            );
        }
        // One more, where the first was: another stick.
        let station = first.frame.posts[0].station + 0.1;
        let more = add_post(&second, &less, station, Others::Stay).unwrap();
        let third = again(&more);
        assert_eq!(ids(&third)[twin..], ids(&first)[twin..], "{name}");
        let new = &third.frame.posts[0].id;
        assert!(
            first.frame.posts.iter().all(|post| post.id != *new),
            "{name} {new}"
        );
        // It was saved between, and the frame by hand has lost one more.
        let text = crate::boat::write(&more, crate::units::UnitSystem::FeetInches).text;
        let read = crate::boat::read(&text, &|_| Err(String::new())).unwrap();
        let last = remove_post(&again(&read), &read, twin, Others::Stay).unwrap();
        let mut wanted = ids(&third);
        wanted.drain(twin..2 * twin);
        assert_eq!(ids(&again(&last)), wanted, "{name}");
    }
}

#[test]
fn pieces_are_added_and_removed() {
    let (boat, first) = planned("open-runabout-18");
    let posts = first.frame.posts.len();
    let between = 0.5 * (first.frame.posts[0].station + first.frame.posts[1].station);
    let more = add_post(&first, &boat, between, Others::Stay).unwrap();
    let three = again(&more);
    assert_eq!(three.frame.posts.len(), posts + 1);
    let added = three
        .frame
        .posts
        .iter()
        .find(|post| same(post.station, between))
        .unwrap();
    let athwart = three
        .frame
        .straps
        .iter()
        .filter(|strap| strap.from == added.id)
        .count();
    assert_eq!(athwart, 2);
    assert!(
        add_post(&three, &more, between, Others::Stay).is_err(),
        "one stands there"
    );
    assert!(add_post(&three, &more, -1.0, Others::Stay).is_err());
    let index = three
        .frame
        .posts
        .iter()
        .position(|post| post.id == added.id)
        .unwrap();
    let back = remove_post(&three, &more, index, Others::Stay).unwrap();
    assert_eq!(caps(&again(&back)), caps(&first));
    // Down to one post, and no further.
    let one = remove_post(&first, &boat, 1, Others::Stay).unwrap();
    let last = again(&one);
    assert_eq!(last.frame.posts.len(), 1);
    assert!(remove_post(&last, &one, 0, Others::Stay).is_err());
    // Straps.
    let strap = first
        .frame
        .straps
        .iter()
        .position(|strap| run(strap).is_some())
        .unwrap();
    let less = remove_strap(&first, &boat, strap).unwrap();
    assert_eq!(
        again(&less).frame.straps.len(),
        first.frame.straps.len() - 1
    );
    assert!(
        remove_strap(&first, &boat, 0).is_err(),
        "the ridge strap stays"
    );
    let end = first.frame.posts[0].station + 1.0;
    let more = add_strap(&first, &boat, 0, end, Side::Both, Others::Stay).unwrap();
    let longer = again(&more);
    assert_eq!(longer.frame.straps.len(), first.frame.straps.len() + 2);
    assert!(
        longer
            .frame
            .straps
            .iter()
            .filter_map(run)
            .any(|(_, at, _)| (at - end).abs() < 0.5),
        "it ends near where it was asked for"
    );
}

#[test]
fn pins_go_in_and_out() {
    let (boat, first) = planned("open-runabout-18");
    let pinned = pin_post(&first, &boat, 0, true).unwrap();
    let second = again(&pinned);
    assert!(second.frame.posts[0].pinned && !second.frame.posts[1].pinned);
    assert_eq!(pin_post(&second, &pinned, 0, false).unwrap(), boat);
    let strap = first
        .frame
        .straps
        .iter()
        .position(|strap| run(strap).is_some())
        .unwrap();
    let pinned = pin_strap(&first, &boat, strap, true).unwrap();
    let second = again(&pinned);
    assert_eq!(
        second
            .frame
            .straps
            .iter()
            .filter(|strap| strap.pinned)
            .count(),
        1
    );
    let at = second
        .frame
        .straps
        .iter()
        .position(|strap| strap.pinned)
        .unwrap();
    assert_eq!(pin_strap(&second, &pinned, at, false).unwrap(), boat);
    let hand = move_post(&first, &boat, 0, 1.0, 1.5, Others::Stay).unwrap();
    assert_eq!(
        plan_anew(&hand).wishes,
        FrameWishes {
            ridge: hand.wishes.ridge,
            ..FrameWishes::default()
        }
    );
    let rest = again(&plan_the_rest(&hand));
    assert!(
        rest.frame
            .posts
            .iter()
            .any(|post| (post.cap - 1.5).abs() < 1e-9)
    );
}

/// Something that a hand may do.
#[derive(Debug, Clone)]
enum Deed {
    Move(usize, f64, f64),
    AddPost(f64),
    RemovePost(usize),
    Pin(usize, bool),
    AddStrap(usize, f64, Side),
    RemoveStrap(usize),
    PinStrap(usize, bool),
    Anew,
    TheRest,
}

fn deed() -> impl Strategy<Value = (Deed, Others)> {
    let index = || 0usize..12;
    let part = || 0.0..1.0f64;
    let side = prop_oneof![Just(Side::Both), Just(Side::Port), Just(Side::Starboard)];
    let deed = prop_oneof![
        4 => (index(), part(), part()).prop_map(|(i, a, b)| Deed::Move(i, a, b)),
        2 => part().prop_map(Deed::AddPost),
        1 => index().prop_map(Deed::RemovePost),
        1 => (index(), any::<bool>()).prop_map(|(i, on)| Deed::Pin(i, on)),
        1 => (index(), part(), side).prop_map(|(i, a, side)| Deed::AddStrap(i, a, side)),
        2 => index().prop_map(Deed::RemoveStrap),
        1 => (index(), any::<bool>()).prop_map(|(i, on)| Deed::PinStrap(i, on)),
        1 => Just(Deed::Anew),
        1 => Just(Deed::TheRest),
    ];
    (
        deed,
        prop_oneof![Just(Others::Stay), Just(Others::Replanned)],
    )
}

/// What a deed makes of a boat; `None` where it is refused.
fn done(now: &Plan, boat: &Boat, deed: &Deed, others: Others) -> Option<Boat> {
    let post = |index: usize| index % now.frame.posts.len();
    let strap = |index: usize| index % now.frame.straps.len();
    match deed {
        Deed::Move(index, along, up) => {
            let base = now.frame.posts[post(*index)].base;
            let (station, cap) = (along * boat.length, base + 0.2 + 1.8 * up);
            move_post(now, boat, post(*index), station, cap, others)
        }
        Deed::AddPost(along) => add_post(now, boat, along * boat.length, others).ok(),
        Deed::RemovePost(index) => remove_post(now, boat, post(*index), others).ok(),
        Deed::Pin(index, on) => pin_post(now, boat, post(*index), *on),
        Deed::AddStrap(index, along, side) => {
            add_strap(now, boat, post(*index), along * boat.length, *side, others).ok()
        }
        Deed::RemoveStrap(index) => remove_strap(now, boat, strap(*index)).ok(),
        Deed::PinStrap(index, on) => pin_strap(now, boat, strap(*index), *on),
        Deed::Anew => Some(plan_anew(boat)),
        Deed::TheRest => Some(plan_the_rest(boat)),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(8))]
    /// Whatever a hand does, the boat can still be planned, every pin is kept, a boat file says it again, and
    /// undo leads back to where it began.
    #[test]
    fn anything_may_be_done_and_undone(
        twin in any::<bool>(),
        deeds in proptest::collection::vec(deed(), 1..7),
    ) {
        let (first, mut now) = planned(if twin { "pontoon-24" } else { "open-runabout-18" });
        let mut history = History::new(first.clone());
        let mut steps = vec![first];
        for (deed, others) in deeds {
            let boat = history.boat().unwrap().clone();
            let Some(next) = done(&now, &boat, &deed, others) else { continue };
            // Taking a pin out of a frame by hand takes the piece itself: the page does not offer it.
            if next.wishes.only_pinned && next.wishes.posts.is_empty() { continue }
            now = again(&next);
            for pin in &next.wishes.posts {
                let kept = |post: &Post| {
                    (post.station - pin.station).abs() < 1e-9
                        && pin.cap.is_none_or(|cap| (post.cap - cap).abs() < 1e-9)
                };
                prop_assert!(now.frame.posts.iter().any(kept), "{deed:?}: {pin:?}");
            }
            history.act(&Act::change(next.clone(), "a deed"));
            if steps.last() != Some(&next) {
                steps.push(next);
            }
        }
        for step in steps.iter().rev() {
            prop_assert_eq!(&**history.boat().unwrap(), step);
            history.act(&Act::Undo);
        }
        for step in &steps {
            prop_assert_eq!(&**history.boat().unwrap(), step);
            history.act(&Act::Redo);
        }
    }
}
