//! Laws of the taut film.

use super::*;

/// The film lies nowhere under the top of a box or of a cap, and reaches over all that it goes round. Between
/// its nodes it may cut the rim of a top by about a cell.
pub(super) fn film_over_boat(plan: &Plan, film: &Film, faults: &mut Faults) {
    for b in covered(plan) {
        let solid = Solid::of(b);
        let inset = RIM_CUT * plan.rules.cell;
        let mut deepest = (TENTH, Point3::origin());
        for p in solid.samples() {
            if film.height(p.x, p.y).is_none() && b.film_goes_round {
                faults.push(format!(
                    "the film does not reach over the {} at {p}",
                    b.name
                ));
                break;
            }
            let x = inside(p.x, [solid.top[0].x, solid.top[1].x], inset);
            let Some(breadth) = solid.breadth(x) else {
                continue;
            };
            if let Some(z) = film.height(x, inside(p.y, breadth, inset))
                && solid.plane(x) - z > deepest.0
            {
                deepest = (solid.plane(x) - z, p);
            }
        }
        let (under, p) = deepest;
        if under > UNDER * plan.rules.cell {
            faults.push(format!(
                "the film is {under} under the top of the {} near {p}",
                b.name
            ));
        }
    }
    let (depth, name, at) = through::deepest(plan, film);
    if depth > SEEN.max(UNDER * plan.rules.cell) {
        faults.push(format!(
            "the {name} stands through the film by {depth} at {at}"
        ));
    }
    for post in &plan.frame.posts {
        let z = film.height(post.station, post.offset);
        if z.is_none_or(|z| z < post.cap - TENTH) {
            faults.push(format!(
                "the film is at {z:?} over {}, its cap at {}",
                post.id, post.cap
            ));
        }
    }
}

/// What nobody sees, m; 1/2 in.
const SEEN: f64 = 0.0127;

/// Film may cut the rim of a box this far inside it, as a part of the cell.
const RIM_CUT: f64 = 1.0;

/// And that much under what is farther inside.
const UNDER: f64 = 0.25;

/// The nearest place to a value that lies well between two others; the middle where there is none.
fn inside(value: f64, [low, high]: [f64; 2], inset: f64) -> f64 {
    let inset = inset.min(0.5 * (high - low));
    value.max(low + inset).min(high - inset)
}

/// The film ends on the edge line, all of it, and is nowhere lower than the edge's lowest point.
pub(super) fn film_on_edge(plan: &Plan, film: &Film, faults: &mut Faults) {
    let edge = plan.hull.edge.points();
    let mut lowest = f64::INFINITY;
    let mut worst = 0.0f64;
    for &node in rim(film).keys() {
        let p = film.points[node as usize];
        lowest = lowest.min(p.z);
        let off = (0..edge.len())
            .map(|i| {
                let (a, b) = (edge[i], edge[(i + 1) % edge.len()]);
                let along = b - a;
                let s = (p - a).dot(&along) / along.norm_squared();
                (p - (a + along * s.clamp(0.0, 1.0))).norm()
            })
            .fold(f64::INFINITY, f64::min);
        worst = worst.max(off);
    }
    if worst > TENTH {
        faults.push(format!("the film's rim is {worst} off the edge line"));
    }
    let least = film
        .points
        .iter()
        .map(|p| p.z)
        .fold(f64::INFINITY, f64::min);
    if least < lowest - TENTH {
        faults.push(format!(
            "the film comes down to {least}, the edge to {lowest}"
        ));
    }
    let plan_area: f64 = film.triangles.iter().map(|t| 0.5 * normal(film, t).z).sum();
    let inside: f64 = (0..edge.len())
        .map(|i| {
            0.5 * edge[i]
                .xy()
                .coords
                .perp(&edge[(i + 1) % edge.len()].xy().coords)
        })
        .sum();
    // Between two nodes of the rim the edge line may bend a little.
    if (plan_area - inside).abs() > 0.01 * inside {
        faults.push(format!(
            "the film spans {plan_area}, the edge line {inside}"
        ));
    }
}

/// Nodes of the film's rim: those of edges that belong to one triangle.
fn rim(film: &Film) -> BTreeMap<u32, ()> {
    let mut edges: BTreeMap<(u32, u32), u32> = BTreeMap::new();
    for t in &film.triangles {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            *edges.entry((a.min(b), a.max(b))).or_default() += 1;
        }
    }
    edges
        .into_iter()
        .filter(|(_, count)| *count == 1)
        .flat_map(|((a, b), _)| [(a, ()), (b, ())])
        .collect()
}

/// Twice a triangle's area, as a vector that points up.
fn normal(film: &Film, t: &[u32; 3]) -> Vector3<f64> {
    let [a, b, c] = t.map(|v| film.points[v as usize]);
    (b - a).cross(&(c - a))
}

/// A triangle's slope, and how far single precision may have turned it; rad.
fn slope(film: &Film, t: &[u32; 3]) -> (f64, f64) {
    let [a, b, c] = t.map(|v| film.points[v as usize]);
    let up = normal(film, t);
    let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
    let size = [a, b, c]
        .iter()
        .map(|p| p.coords.amax())
        .fold(0.0, f64::max);
    let turned = 4.0 * SINGLE * size * longest / up.norm();
    (up.xy().norm().atan2(up.z.abs()), turned + ROUNDING)
}

/// Slopes read from the STL are those of the plan; so are the least one, the areas, and what lies flatter than
/// the least slope allowed.
pub(super) fn slopes(plan: &Plan, film: &Film, faults: &mut Faults) {
    let cover = &plan.cover;
    if film.triangles.len() != cover.slopes.len() {
        faults.push("the STL has another number of triangles".to_owned());
        return;
    }
    let radius = 0.5 * plan.rules.cap_diameter + TENTH;
    let on_cap = |t: &[u32; 3]| {
        plan.frame.posts.iter().any(|post| {
            t.iter()
                .all(|v| (film.points[*v as usize].xy() - post.top().xy()).norm() < radius)
        })
    };
    let (mut area, mut flat, mut unsure) = (0.0, 0.0, 0.0);
    let mut pieces: Vec<(Point2<f64>, f64, f64, f64, bool)> = Vec::new();
    for (t, told) in film.triangles.iter().zip(&cover.slopes) {
        let (slope, turned) = slope(film, t);
        if (slope - told).abs() > turned {
            faults.push(format!("a slope of {slope} is told as {told}"));
        }
        let piece = 0.5 * normal(film, t).norm();
        area += piece;
        if slope < plan.rules.min_slope {
            flat += piece;
        }
        if (slope - plan.rules.min_slope).abs() < turned {
            unsure += piece;
        }
        pieces.push((middle(film, t), slope, piece, turned, on_cap(t)));
        if normal(film, t).z <= 0.0 {
            faults.push("a triangle of the film does not face up".to_owned());
        }
    }
    let near = |a: f64, b: f64, more: f64| (a - b).abs() <= more + 1e-5 * b.abs().max(1.0);
    if !near(area, cover.spanned_area, 0.0) {
        faults.push(format!("area {area} is told as {}", cover.spanned_area));
    }
    if !near(flat, cover.holding_area(), unsure) {
        faults.push(format!(
            "holding area {flat} is told as {}",
            cover.holding_area()
        ));
    }
    // Least as a mean over a hand's breadth, off the caps, whose tops are flat by nature.
    let mean = |at: Point2<f64>| {
        let near = || {
            pieces.iter().filter(move |(middle, _, _, _, on_cap)| {
                !on_cap && (middle - at).norm() <= 0.5 * HAND_BREADTH
            })
        };
        let whole: f64 = near().map(|(_, _, piece, _, _)| piece).sum();
        let slope: f64 = near().map(|(_, slope, piece, _, _)| slope * piece).sum();
        let turned: f64 = near().map(|(_, _, piece, turned, _)| turned * piece).sum();
        (slope / whole, turned / whole)
    };
    let (told, turned) = mean(cover.least_slope_at.xy());
    if (told - cover.least_slope).abs() > turned + MEAN_OFF {
        faults.push(format!(
            "least slope {told} is told as {}",
            cover.least_slope
        ));
    }
    let flattest = pieces
        .iter()
        .filter(|(_, slope, _, _, on_cap)| !on_cap && *slope < cover.least_slope)
        .map(|(middle, _, _, _, _)| mean(*middle).0)
        .fold(f64::INFINITY, f64::min);
    if flattest < cover.least_slope - MEAN_OFF {
        faults.push(format!(
            "a slope of {flattest} is flatter than {}",
            cover.least_slope
        ));
    }
}

/// Slopes are told as means over so much, m; 4 in.
const HAND_BREADTH: f64 = 0.1016;

/// Triangles whose middles lie just within half of that in one place and just beyond in single precision, rad.
const MEAN_OFF: f64 = 0.02;

fn middle(film: &Film, t: &[u32; 3]) -> Point2<f64> {
    let sum = t.iter().fold(Vector2::zeros(), |sum, v| {
        sum + film.points[*v as usize].xy().coords
    });
    Point2::from(sum / 3.0)
}

/// Connected film flatter than allowed, counted anew: the verdict names every patch over the tolerated size.
pub(super) fn patches(plan: &Plan, film: &Film, faults: &mut Faults) {
    let low: Vec<bool> = film
        .triangles
        .iter()
        .map(|t| slope(film, t).0 < plan.rules.min_slope)
        .collect();
    let mut group: Vec<usize> = (0..low.len()).collect();
    fn root(group: &mut [usize], mut at: usize) -> usize {
        while group[at] != at {
            group[at] = group[group[at]];
            at = group[at];
        }
        at
    }
    let mut sides: BTreeMap<(u32, u32), usize> = BTreeMap::new();
    for (i, t) in film.triangles.iter().enumerate().filter(|(i, _)| low[*i]) {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            if let Some(other) = sides.insert((a.min(b), a.max(b)), i) {
                let (p, q) = (root(&mut group, i), root(&mut group, other));
                group[p] = q;
            }
        }
    }
    let mut areas: BTreeMap<usize, f64> = BTreeMap::new();
    for (i, t) in film.triangles.iter().enumerate().filter(|(i, _)| low[*i]) {
        *areas.entry(root(&mut group, i)).or_default() += 0.5 * normal(film, t).norm();
    }
    let sure = |area: &&f64| **area > 1.01 * plan.rules.holding_patch;
    let maybe = |area: &&f64| **area > 0.99 * plan.rules.holding_patch;
    let told = plan
        .shortfalls
        .iter()
        .filter(|shortfall| matches!(shortfall, Shortfall::HoldingPatch { .. }))
        .count();
    let range = areas.values().filter(sure).count()..=areas.values().filter(maybe).count();
    if !range.contains(&told) {
        faults.push(format!("{range:?} holding patches, {told} told"));
    }
}

/// Water that rises until it runs off over the rim, found anew from the STL: the verdict names a pond if and only
/// if some hollow is deeper than the rules let pass.
pub(super) fn hollows(plan: &Plan, film: &Film, faults: &mut Faults) {
    let count = film.points.len();
    let mut beside: Vec<Vec<u32>> = vec![Vec::new(); count];
    for t in &film.triangles {
        for k in 0..3 {
            beside[t[k] as usize].extend([t[(k + 1) % 3], t[(k + 2) % 3]]);
        }
    }
    // Heights in whole tenths of micrometers, so that they have an order.
    let whole = |node: u32| (film.points[node as usize].z * 1e7) as i64;
    let mut level: Vec<Option<i64>> = vec![None; count];
    let mut open: BinaryHeap<Reverse<(i64, u32)>> = rim(film)
        .keys()
        .map(|node| Reverse((whole(*node), *node)))
        .collect();
    while let Some(Reverse((height, node))) = open.pop() {
        if level[node as usize].is_some() {
            continue;
        }
        level[node as usize] = Some(height);
        for &next in &beside[node as usize] {
            if level[next as usize].is_none() {
                open.push(Reverse((height.max(whole(next)), next)));
            }
        }
    }
    let depth = (0..)
        .zip(&level)
        .map(|(node, level)| level.map_or(0.0, |level| (level - whole(node)) as f64 * 1e-7))
        .fold(0.0, f64::max);
    let told = plan
        .shortfalls
        .iter()
        .any(|s| matches!(s, Shortfall::Pond { .. }));
    let limit = plan.rules.pond_depth;
    if (depth > limit + TENTH && !told) || (depth < limit - TENTH && told) {
        faults.push(format!("the deepest hollow is {depth}, told: {told}"));
    }
}

/// The forces of film and straps, worked out anew at every node: none is left over where the film hangs free,
/// supports only push, each post's load is what its cap carries, and all of them balance.
pub(super) fn forces(plan: &Plan, faults: &mut Faults) {
    let cover = &plan.cover;
    let mesh = &cover.mesh;
    let mut pull = vec![0.0; mesh.vertices.len()];
    for t in &mesh.triangles {
        let [a, b, c] = t.map(|v| mesh.vertices[v as usize]);
        let up = (b - a).cross(&(c - a));
        // The film pulls each corner away from the opposite side, in the triangle's own plane.
        for (k, [from, to]) in [[b, c], [c, a], [a, b]].into_iter().enumerate() {
            let inward = up.cross(&(to - from)) / up.norm();
            pull[t[k] as usize] += 0.5 * plan.rules.film_tension * inward.z;
        }
    }
    for (strap, shape) in plan.frame.straps.iter().zip(&cover.straps) {
        for pair in shape.nodes.windows(2) {
            let [a, b] = [pair[0], pair[1]].map(|v| mesh.vertices[v as usize]);
            let rise = strap.tension * (b.z - a.z) / (b - a).norm();
            pull[pair[0] as usize] -= rise;
            pull[pair[1] as usize] += rise;
        }
    }
    let film = Film::of(plan);
    let rim: Vec<Point2<f64>> = rim(&film)
        .keys()
        .map(|v| film.points[*v as usize].xy())
        .collect();
    let on_rim = |p: Point2<f64>| rim.iter().any(|q| (q - p).norm() < TENTH);
    let unfelt = UNFELT.max(10.0 * cover.residual);
    let radius = 0.5 * plan.rules.cap_diameter + ROUNDING;
    // Film that cuts over a thing between two nodes is held by them, beside the thing.
    let beside = plan.rules.cell;
    let mut loads = vec![0.0; plan.frame.posts.len()];
    let (mut edge, mut on_things, mut free) = (0.0, 0.0, 0.0f64);
    for (p, force) in mesh.vertices.iter().zip(&pull) {
        let under = covered(plan).any(|b| {
            let solid = Solid::of(b);
            within(&solid.foot, p.xy(), beside) || within(&solid.top, p.xy(), beside)
        }) || plan
            .boat
            .tubes
            .iter()
            .any(|tube| tube_top(&tube.path, 0.5 * tube.diameter + beside, p.xy()).is_some());
        let cap = plan.frame.posts.iter().position(|post| {
            (p.xy() - post.top().xy()).norm() < radius && (p.z - post.cap).abs() < ROUNDING
        });
        if force.abs() <= unfelt {
            // Free, or resting without weight.
        } else if on_rim(p.xy()) {
            edge += force;
            continue;
        } else if *force < 0.0 {
            faults.push(format!("the film is pulled down at {p} with {force} N"));
        } else if cap.is_none() && !under {
            free = free.max(force.abs());
        }
        match cap {
            Some(post) => loads[post] += force,
            None if under => on_things += force,
            None => {}
        }
    }
    if free > 0.0 {
        faults.push(format!("{free} N are left over where the film hangs free"));
    }
    let scale = 1.0 + loads.iter().sum::<f64>() + on_things.abs();
    let near = |a: f64, b: f64| (a - b).abs() < 10.0 * unfelt + 1e-6 * scale;
    for ((post, load), told) in plan.frame.posts.iter().zip(&loads).zip(&cover.post_loads) {
        if !near(*load, *told) || *told < -unfelt {
            faults.push(format!("{} carries {load}, told {told}", post.id));
        }
    }
    let told: f64 = cover.contacts.iter().map(|contact| contact.force).sum();
    if !near(on_things, told) {
        faults.push(format!("the boat carries {on_things}, told {told}"));
    }
    if !near(edge, cover.edge_pull) {
        faults.push(format!("the edge pulls {edge}, told {}", cover.edge_pull));
    }
    if !near(cover.vertical, 0.0) {
        faults.push(format!("{} N are left over", cover.vertical));
    }
}

/// What a further halving of the cell may change, as a part of the halving before: a half is first order.
const SETTLING: f64 = 0.7;

/// The film stands off rails and boxes that it goes round by 3 in; cells larger than that smear the steep film
/// there.
const STAND_OFF: f64 = 0.0762;

/// Cells of half the size change the film's area by less than one part in a hundred. Where the cell is coarser than the
/// film's stand-off, or the film changes less with every further halving, three parts may be.
pub(super) fn finer(plan: &Plan, faults: &mut Faults) {
    let area = |part: f64| {
        stretch(&plan.hull, &plan.frame, &plan.rules, part * plan.rules.cell)
            .map(|cover| cover.spanned_area)
    };
    let Some(half) = area(0.5) else {
        return faults.push("half the cell cannot be meshed".to_owned());
    };
    let whole = plan.cover.spanned_area;
    let change = (whole - half).abs();
    let settles = || area(0.25).is_some_and(|quarter| (half - quarter).abs() <= SETTLING * change);
    let small = change <= 0.01 * half;
    let bounded = change <= 0.03 * half && (plan.rules.cell > STAND_OFF || settles());
    if !small && !bounded {
        faults.push(format!("area {whole} with cells half the size is {half}"));
    }
}
