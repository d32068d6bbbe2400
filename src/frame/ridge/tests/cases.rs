//! Cases worked by hand.

use super::*;

/// Closed forms, each worked by hand beside it.
#[test]
fn closed_forms() {
    let check = |name: &str, problem: &RidgeProblem, posts: usize, caps: &[f64]| {
        let answer = solve_ridge(problem).unwrap();
        assert_eq!(answer.status, Status::Holds, "{name}");
        assert_eq!(answer.posts.len(), posts, "{name}");
        for (post, cap) in answer.posts.iter().zip(caps) {
            assert!(
                (post.cap - cap).abs() < 1e-9,
                "{name}: {} for {cap}",
                post.cap
            );
        }
        answer
    };
    // Flat edges exactly at the minimum slope below the anchors: the straight strap holds.
    check("bare", &low_boat(6.0, 1.0), 0, &[]);
    // One box 1.48 high midship, a ridge that may be as steep as it likes: one post at 1.5,
    // the first height of the grid over it, where the box is.
    let mut boxed = low_boat(6.0, 1.0);
    boxed.sections.push(section(3.0, &[(0.0, 1.48)]));
    let answer = check("box midship", &boxed, 1, &[1.5]);
    assert_eq!(answer.posts[0].station, 3.0);
    assert!(matches!(answer.posts[0].governs, Governs::Need(t) if t.station == 3.0));
    // Without a post the strap lies on the box.
    let mut bare = boxed.clone();
    bare.rules.most_posts = 0;
    let cause = solve_ridge(&bare).unwrap().shortfall.unwrap().cause;
    assert!(matches!(cause, Cause::Need { station, short_by, .. }
            if station == 3.0 && (short_by - 0.48).abs() < 1e-6));
    // Wedge: a box 1.5 high from 2 to 4 of 6, posts only at 3: the lines from (0, 1) and (6, 1)
    // over its corners meet at 1.75.
    let mut wedge = low_boat(6.0, 0.0);
    wedge.sections = vec![section(2.0, &[(0.0, 1.5)]), section(4.0, &[(0.0, 1.5)])];
    wedge.sites = vec![site(3.0, 20, 60)];
    check("wedge", &wedge, 1, &[1.75]);
    // The same with posts at the corners too: one post at either corner must be 2.0 to
    // clear the other (1 + 1.0 * 2/4 there), so the middle stays best.
    wedge.sites.extend([site(2.0, 20, 60), site(4.0, 20, 60)]);
    check("wedge, free choice", &wedge, 1, &[1.75]);
    // Total gradient: an edge 1 m out at height 1.0; ridge from 1 at both ends to z at the
    // middle of 6. At the middle z - 1 >= sqrt(tan^2 15 - ((z-1)/3)^2), so
    // z - 1 = tan 15 / sqrt(1 + 1/9) = 0.2542: 0.3 by the grid.
    let mut slope = low_boat(6.0, 1.0);
    slope.sections = vec![section(3.0, &[(1.0, 1.0)])];
    check("total gradient", &slope, 1, &[1.3]);
    // Sag: 100 N/m on 800 N over 3 m spans is 0.140625 at quarter points; straight
    // line to the post is at 1.1 there when the post is at 1.2.
    let mut sag = low_boat(6.0, 0.0);
    sag.rules.pull = 100.0;
    sag.sites = vec![site(3.0, 20, 60)];
    sag.sections = vec![section(1.5, &[(0.0, 1.0)])];
    sag.rules.height_step = 0.01;
    sag.sites = vec![site(3.0, 100, 200)];
    // (z - 1) / 2 >= 0.140625: z = 1.28125, 1.29 by the grid.
    check("sag", &sag, 1, &[1.29]);
    // A free support does what a post would.
    let mut rest = boxed.clone();
    rest.free = vec![FreeSupport {
        station: 3.0,
        height: 1.5,
        thing: 4,
    }];
    check("free support", &rest, 0, &[]);
    // One on the straight strap does nothing, so it is not used.
    let mut idle = low_boat(6.0, 1.0);
    idle.free = vec![FreeSupport {
        height: 1.0,
        ..rest.free[0]
    }];
    assert_eq!(check("idle free support", &idle, 0, &[]).chain.len(), 2);
    // Behind a free support the last post counts: the post at 2.5 (with a high footing, and under
    // the line from the post at 1 to the free support at 3) comes in there both steeper and
    // cheaper, but is nearer than the least gap to the post that must stand at 3.2.
    let mut near = low_boat(5.7, 0.0);
    near.rules.height_step = 0.01;
    near.rules.max_span = 2.6;
    near.rules.least_gap = 1.0;
    near.sections = vec![section(3.0, &[(0.0, 1.5)])];
    near.free = vec![FreeSupport {
        height: 1.5,
        ..rest.free[0]
    }];
    near.sites = vec![
        site(1.0, 120, 120),
        site(2.5, 142, 142),
        site(3.2, 147, 147),
    ];
    near.sites[1].base = 1.3;
    assert_eq!(check("gap", &near, 2, &[1.2, 1.47]).chain.len(), 5);
    // Two pinned posts; the one at 2 sets the slope, the other follows lowest.
    let mut pinned = low_boat(6.0, 0.0);
    pinned.sections.clear();
    pinned.sites = vec![site(2.0, 20, 60), site(4.0, 20, 60)];
    pinned.sites[0].pinned = Some(Pin::Height(1.333));
    pinned.sites[1].pinned = Some(Pin::Place);
    // Concave at 4: z >= (1.333 + 1) / 2 = 1.1665: 1.2 by the grid.
    let answer = check("pinned", &pinned, 2, &[1.333, 1.2]);
    assert_eq!(answer.posts[0].governs, Governs::Pinned);
    assert!(matches!(answer.posts[1].governs, Governs::Bearing { .. }));
    // Twin: film between the ridges needs 15 deg lengthwise: 3 tan 15 = 0.8038, 0.85 by the grid.
    let mut twin = low_boat(6.0, 0.0);
    twin.rules.twin = true;
    twin.sites = vec![site(3.0, 20, 60)];
    let answer = check("twin", &twin, 1, &[1.85]);
    assert!(matches!(answer.posts[0].governs, Governs::Flat { .. }));
}

/// On a low boat the span limit alone decides: the fewest posts are ceil(L / max_span) - 1.
#[test]
fn span_limit_gives_the_count() {
    for (length, max_span) in [
        (6.0, 2.0),
        (6.0, 2.1),
        (6.0, 1.9),
        (7.25, 2.5),
        (5.0, 5.0),
        (5.0, 4.9),
    ] {
        let mut boat = low_boat(length, 1.0);
        boat.rules.max_span = max_span;
        // Sites every 0.25 m: the usable limit is the one rounded down to them.
        let usable = (max_span / 0.25f64).floor() * 0.25;
        let posts = (length / usable).ceil() as usize - 1;
        let answer = solve_ridge(&boat).unwrap();
        assert_eq!(answer.status, Status::Holds, "{length} {max_span}");
        assert_eq!(answer.posts.len(), posts, "{length} {max_span}");
        assert!(
            answer
                .posts
                .iter()
                .all(|p| p.governs == Governs::LowestAllowed)
        );
        if posts > 0 {
            boat.rules.most_posts = posts - 1;
            let fewer = solve_ridge(&boat).unwrap();
            let cause = fewer.shortfall.unwrap().cause;
            assert!(matches!(cause, Cause::Span { limit, .. } if limit == max_span));
            // One post less leaves at least this much over the limit in all.
            let over = length - posts as f64 * max_span;
            assert!(
                (fewer.violation_m - over).abs() < 1e-6,
                "{length} {max_span}"
            );
        }
    }
}

/// Why a ridge cannot be carried at all.
#[test]
fn short_ridges_say_why() {
    let check = |name: &str, problem: &RidgeProblem, right: fn(Cause) -> bool| {
        let answer = solve_ridge(problem).unwrap();
        assert_eq!(answer.status, Status::Short, "{name}");
        let shortfall = answer.shortfall.unwrap();
        assert!(right(shortfall.cause), "{name}: {shortfall:?}");
        assert!(shortfall.violation_m > 0.0, "{name}");
    };
    let mut bare = low_boat(6.0, 0.0);
    bare.rules.max_span = 2.0;
    bare.sites.retain(|s| s.station < 3.0);
    check("no footing forward", &bare, |c| {
        matches!(c, Cause::NoFooting { .. })
    });
    let mut tower = low_boat(6.0, 0.0);
    tower.sections.push(section(3.0, &[(0.0, 3.5)]));
    check(
        "tower",
        &tower,
        |c| matches!(c, Cause::TooHigh { highest, .. } if highest == 3.0),
    );
    let mut lift = low_boat(6.0, 0.0);
    lift.sites = vec![site(3.0, 20, 60)];
    lift.sites[0].pinned = Some(Pin::Height(0.9));
    check(
        "lift",
        &lift,
        |c| matches!(c, Cause::Lift { by, .. } if (by - 0.1).abs() < 1e-9),
    );
    let mut two = low_boat(6.0, 0.0);
    two.rules.max_span = 1.5;
    two.rules.most_posts = 2;
    check("too few allowed", &two, |c| matches!(c, Cause::Span { .. }));
    // Where posts cannot help, none are used: the stern anchor itself is too low.
    let mut stern = low_boat(6.0, 0.0);
    stern.sections.push(section(0.0, &[(0.0, 1.2)]));
    check(
        "stern anchor too low",
        &stern,
        |c| matches!(c, Cause::Need { station, .. } if station == 0.0),
    );
    assert!(solve_ridge(&stern).unwrap().posts.is_empty());
    let mut only = two.clone();
    only.rules.only_pinned = true;
    check("none may be added", &only, |c| {
        matches!(c, Cause::NoFooting { .. })
    });
}

/// Every fault is told at once.
#[test]
fn faults_are_told_together() {
    let mut bad = low_boat(6.0, 1.0);
    bad.rules.max_span = 0.0;
    bad.sites[2].station = 9.0;
    bad.sites[3].base = 2.0;
    bad.sites[4].pinned = Some(Pin::Place);
    bad.sites[4].highest = 0;
    bad.sections[0].points[0].across = f64::NAN;
    let faults = solve_ridge(&bad).unwrap_err().faults;
    let expected = [
        RidgeFault::BadNumber {
            what: "section",
            index: 0,
        },
        RidgeFault::Outside {
            what: "post site",
            index: 2,
            station: 9.0,
        },
        RidgeFault::CapUnderFooting { index: 3 },
        RidgeFault::PinnedWithoutHeight { index: 4 },
        RidgeFault::BadRule {
            rule: "max_span",
            value: 0.0,
        },
    ];
    assert_eq!(faults, expected);
}
