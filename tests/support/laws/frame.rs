//! Laws of posts and ridge.

use super::*;

/// Every post that the user did not pin stands on the top of a box that takes posts, or on a footing with
/// nothing over it, out of the places where none may stand, and its foot is at the height of what it stands on.
pub(super) fn posts_stand(plan: &Plan, faults: &mut Faults) {
    for post in plan.frame.posts.iter().filter(|post| !post.pinned) {
        let p = Point2::new(post.station, post.offset);
        let mut wrong = |what: String| faults.push(format!("{} at {p}: {what}", post.id));
        if plan
            .boat
            .no_post
            .iter()
            .any(|zone| in_zone(zone, p, -TENTH))
        {
            wrong("stands where no post may".to_owned());
        }
        for piercing in &plan.boat.piercings {
            let apart = (p - Point2::new(piercing.station, piercing.offset)).norm();
            if apart < 0.5 * piercing.diameter {
                wrong(format!("stands in the {}", piercing.name));
            }
        }
        let tops = covered(plan).filter_map(|b| {
            let solid = Solid::of(b);
            within(&solid.top, p, ROUNDING).then(|| (solid.plane(p.x), b))
        });
        let highest = tops.max_by(|a, b| a.0.total_cmp(&b.0));
        let over = highest
            .as_ref()
            .map_or(f64::NEG_INFINITY, |(height, _)| *height);
        for tube in &plan.boat.tubes {
            if tube_top(&tube.path, 0.5 * tube.diameter, p).is_some_and(|top| top > over) {
                wrong(format!("stands under the {}", tube.name));
            }
        }
        let beside = covered(plan).find(|b| {
            let solid = Solid::of(b);
            within(&solid.foot, p, -TENTH) && !within(&solid.top, p, TENTH)
        });
        let foot = match (highest, beside) {
            (Some((height, b)), _) => {
                if !b.post_may_stand {
                    wrong(format!("stands on the {}", b.name));
                }
                Some(height)
            }
            (None, Some(b)) => {
                wrong(format!("stands on the raked side of the {}", b.name));
                None
            }
            (None, None) => {
                let heights = plan
                    .boat
                    .footings
                    .iter()
                    .filter(|footing| in_zone(&footing.zone, p, TENTH))
                    .map(|footing| footing.height);
                let highest = heights.fold(f64::NEG_INFINITY, f64::max);
                if highest.is_infinite() {
                    wrong("stands on no footing".to_owned());
                    None
                } else {
                    Some(highest)
                }
            }
        };
        if let Some(foot) = foot
            && (foot - post.base).abs() > TENTH
        {
            wrong(format!(
                "its foot is at {}, what it stands on at {foot}",
                post.base
            ));
        }
    }
}

/// Posts stand in order, are no longer than allowed, and are cut to what is left between the caps; ridge straps
/// run over them.
pub(super) fn posts_measure(plan: &Plan, faults: &mut Faults) {
    let frame = &plan.frame;
    if frame
        .posts
        .windows(2)
        .any(|pair| pair[1].station < pair[0].station)
    {
        faults.push("posts are not in order".to_owned());
    }
    for (post, cut) in frame.posts.iter().zip(&plan.takeoff.posts) {
        let height = post.cap - post.base;
        if !post.pinned && height > plan.rules.max_post + ROUNDING {
            faults.push(format!("{} is {height} high", post.id));
        }
        let length = height - plan.rules.top_cap - plan.rules.base_cap;
        if (cut.cut - length).abs() > ROUNDING || (!post.pinned && length <= 0.0) {
            faults.push(format!("{} is cut to {}, needs {length}", post.id, cut.cut));
        }
    }
    let counts = [
        (frame.posts.len(), plan.takeoff.posts.len()),
        (frame.posts.len(), plan.cover.post_loads.len()),
        (frame.straps.len(), plan.takeoff.straps.len()),
        (frame.straps.len(), plan.cover.straps.len()),
    ];
    if counts.iter().any(|(a, b)| a != b) {
        faults.push(format!("lists of different length: {counts:?}"));
    }
    let ridges = frame
        .straps
        .iter()
        .filter(|s| s.kind == StrapKind::Ridge)
        .count();
    if ridges != frame.ridges.len() {
        faults.push(format!(
            "{ridges} ridge straps for {} ridges",
            frame.ridges.len()
        ));
    }
}

/// Height of a line of rising stations.
fn on_line(line: &[(f64, f64)], station: f64) -> Option<f64> {
    line.windows(2).find_map(|pair| {
        let ((xa, za), (xb, zb)) = (pair[0], pair[1]);
        (xa <= station && station <= xb && xb > xa)
            .then(|| za + (zb - za) * (station - xa) / (xb - xa))
    })
}

/// Where the frame reports no shortage, the ridge clears every box under it by the box's clearance, clears every
/// tube, spans no more than allowed, and only pushes down on its supports.
pub(super) fn ridge(plan: &Plan, faults: &mut Faults) {
    let frame = &plan.frame;
    if frame.shortage.is_some() {
        return;
    }
    let line = &frame.profile;
    for pair in line.windows(2) {
        let span = pair[1].0 - pair[0].0;
        if span > plan.rules.max_span + TENTH {
            faults.push(format!("span of {span} at station {}", pair[0].0));
        }
        if span < -ROUNDING {
            faults.push(format!("the ridge runs back at {}", pair[0].0));
        }
    }
    for three in line.windows(3) {
        let [(xa, za), (x, z), (xb, zb)] = [three[0], three[1], three[2]];
        let chord = za + (zb - za) * (x - xa) / (xb - xa);
        if z < chord - TENTH {
            faults.push(format!(
                "the ridge lifts off at station {x} by {}",
                chord - z
            ));
        }
    }
    for &offset in &frame.ridges {
        for b in covered(plan) {
            let solid = Solid::of(b);
            let clearance = b.ridge_clearance(&plan.rules);
            let lies_on = if b.film_may_rest && clearance <= 0.0 {
                LIES_ON
            } else {
                TENTH
            };
            for p in solid.samples() {
                let under = solid
                    .breadth(p.x)
                    .is_some_and(|[a, b]| a <= offset && offset <= b);
                let Some(height) = on_line(line, p.x).filter(|_| under) else {
                    continue;
                };
                let short = p.z + clearance - height;
                if short > lies_on {
                    faults.push(format!(
                        "the ridge at {offset} is {short} too low over the {} at station {}",
                        b.name, p.x
                    ));
                    break;
                }
            }
        }
        for tube in &plan.boat.tubes {
            for (x, height) in stations(line) {
                // Its cut ends are not round: only what lies on its axis counts.
                let along = tube.path.iter().map(|p| p[0]);
                let ends = along.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], x| {
                    [low.min(x), high.max(x)]
                });
                let top = tube_top(&tube.path, 0.5 * tube.diameter, Point2::new(x, offset))
                    .filter(|_| ends[0] <= x && x <= ends[1]);
                if let Some(top) = top
                    && height < top - LIES_ON
                {
                    faults.push(format!(
                        "the ridge at {offset} is {} under the {} at station {x}",
                        top - height,
                        tube.name
                    ));
                    break;
                }
            }
        }
    }
}

/// The line every few centimeters.
fn stations(line: &[(f64, f64)]) -> impl Iterator<Item = (f64, f64)> + '_ {
    const STEPS: i32 = 400;
    let (first, last) = (line[0].0, line[line.len() - 1].0);
    (0..=STEPS).filter_map(move |i| {
        let x = first + (last - first) * f64::from(i) / f64::from(STEPS);
        Some((x, on_line(line, x)?))
    })
}
