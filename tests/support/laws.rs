//! What holds for every plan of every valid boat, checked from the boat's own data, from the numbers of the
//! plan and from the film as it is handed out, never by the code that made them. Each law adds what it finds
//! wrong to a list.

use super::film::Film;
use hulltent::boat::{BoxKind, DeckBox, Zone};
use hulltent::cover::stretch;
use hulltent::export::{Record, json};
use hulltent::frame::StrapKind;
use hulltent::plan::{Plan, Shortfall};
use nalgebra::{Point2, Point3, Vector2, Vector3};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// Faults found, in words.
pub type Faults = Vec<String>;

/// A tape's tenth of a millimetre, m: places and heights that are computed twice agree much better.
const TENTH: f64 = 1e-4;

/// Rounding of sums and differences of metres, m.
const ROUNDING: f64 = 1e-9;

/// Single precision, as STL has it.
const SINGLE: f64 = 6e-8;

/// Force that nobody feels, N; far over the solver's residual.
const UNFELT: f64 = 1e-3;

/// A strap that lies along a thing is given that much less height by the section model, since it cannot sag
/// through it, m.
const LIES_ON: f64 = 0.02;

/// All laws.
pub fn all(plan: &Plan) -> Faults {
    let film = Film::of(plan);
    let mut faults = Faults::new();
    bodies(plan, &mut faults);
    posts_stand(plan, &mut faults);
    posts_measure(plan, &mut faults);
    ridge(plan, &mut faults);
    film_over_boat(plan, &film, &mut faults);
    film_on_edge(plan, &film, &mut faults);
    slopes(plan, &film, &mut faults);
    patches(plan, &film, &mut faults);
    hollows(plan, &film, &mut faults);
    forces(plan, &mut faults);
    finite(plan, &mut faults);
    finer(plan, &mut faults);
    faults
}

/// A box as six planes' corners, worked out anew from the boat file's numbers.
struct Solid {
    foot: [Point3<f64>; 4],
    top: [Point3<f64>; 4],
}

impl Solid {
    fn of(deck_box: &DeckBox) -> Solid {
        let [lean_aft, lean_fore, lean_side] = deck_box.rakes.map(f64::tan);
        let half = |x: f64| {
            let s = (x - deck_box.from) / (deck_box.to - deck_box.from);
            0.5 * (deck_box.width * (1.0 - s) + deck_box.width_fore * s)
        };
        let corners = |aft: f64, fore: f64, za: f64, zf: f64, less: [f64; 2]| {
            let (ha, hf) = (half(aft) - less[0], half(fore) - less[1]);
            [
                (aft, -ha, za),
                (fore, -hf, zf),
                (fore, hf, zf),
                (aft, ha, za),
            ]
            .map(|(x, y, z)| Point3::new(x, deck_box.offset + y, z))
        };
        let (rise_aft, rise_fore) = (
            deck_box.top - deck_box.base,
            deck_box.top_fore - deck_box.base,
        );
        Solid {
            foot: corners(
                deck_box.from,
                deck_box.to,
                deck_box.base,
                deck_box.base,
                [0.0; 2],
            ),
            top: corners(
                deck_box.from + lean_aft * rise_aft,
                deck_box.to - lean_fore * rise_fore,
                deck_box.top,
                deck_box.top_fore,
                [lean_side * rise_aft, lean_side * rise_fore],
            ),
        }
    }

    /// Height of the top's plane, which does not change athwart.
    fn plane(&self, station: f64) -> f64 {
        let (aft, fore) = (self.top[0], self.top[1]);
        aft.z + (fore.z - aft.z) * (station - aft.x) / (fore.x - aft.x)
    }

    /// The top's port and starboard offsets at a station.
    fn breadth(&self, station: f64) -> Option<[f64; 2]> {
        let s = (station - self.top[0].x) / (self.top[1].x - self.top[0].x);
        let at = |a: f64, b: f64| a + (b - a) * s;
        (0.0..=1.0).contains(&s).then(|| {
            [
                at(self.top[0].y, self.top[1].y),
                at(self.top[3].y, self.top[2].y),
            ]
        })
    }

    fn samples(&self) -> impl Iterator<Item = Point3<f64>> + '_ {
        const STEPS: i32 = 6;
        (0..=STEPS).flat_map(move |i| {
            let s = f64::from(i) / f64::from(STEPS);
            let x = self.top[0].x + (self.top[1].x - self.top[0].x) * s;
            let a = self.top[0].y + (self.top[1].y - self.top[0].y) * s;
            let b = self.top[3].y + (self.top[2].y - self.top[3].y) * s;
            (0..=STEPS).map(move |j| {
                let y = a + (b - a) * f64::from(j) / f64::from(STEPS);
                Point3::new(x, y, self.plane(x))
            })
        })
    }
}

/// Whether a place lies in a quadrangle that runs counter-clockwise, or this near to it.
fn within(corners: &[Point3<f64>; 4], p: Point2<f64>, near: f64) -> bool {
    (0..4).all(|i| {
        let (a, b) = (corners[i].xy(), corners[(i + 1) % 4].xy());
        (b - a).perp(&(p - a)) >= -near * (b - a).norm()
    })
}

fn in_zone(zone: &Zone, p: Point2<f64>, margin: f64) -> bool {
    p.x >= zone.from - margin
        && p.x <= zone.to + margin
        && (p.y - zone.offset).abs() <= 0.5 * zone.width + margin
}

/// Boxes that the film covers.
fn covered(plan: &Plan) -> impl Iterator<Item = &DeckBox> {
    plan.boat
        .boxes
        .iter()
        .filter(|b| b.kind != BoxKind::Platform || b.film_goes_round)
}

/// Height of a tube's top over a place; the round ends of its pieces count too.
fn tube_top(path: &[[f64; 3]], radius: f64, p: Point2<f64>) -> Option<f64> {
    path.windows(2)
        .filter_map(|pair| {
            let (a, b) = (Point3::from(pair[0]), Point3::from(pair[1]));
            let along: Vector2<f64> = b.xy() - a.xy();
            let s = if along.norm() > 0.0 {
                ((p - a.xy()).dot(&along) / along.norm_squared()).clamp(0.0, 1.0)
            } else {
                0.0
            };
            let axis = a + (b - a) * s;
            let aside = (p - axis.xy()).norm();
            (aside < radius).then(|| axis.z + (radius * radius - aside * aside).sqrt())
        })
        .fold(None, |most: Option<f64>, z| {
            Some(most.map_or(z, |m| m.max(z)))
        })
}

/// Every mesh of hull and things is closed, oriented and does not run through itself.
fn bodies(plan: &Plan, faults: &mut Faults) {
    let hull = plan.hull.bodies.iter().map(|mesh| ("hull", mesh));
    let things = plan
        .hull
        .things
        .iter()
        .map(|thing| (thing.name.as_str(), &thing.mesh));
    for (name, mesh) in hull.chain(things) {
        if let Err(fault) = mesh.sanity_check() {
            faults.push(format!("mesh of {name}: {fault}"));
        }
        let crossings = mesh.crossings();
        if crossings > 0 {
            faults.push(format!("mesh of {name}: {crossings} crossings"));
        }
    }
}

/// Every post that the user did not pin stands on the top of a box that takes posts, or on a footing with
/// nothing over it, out of the places where none may stand, and its foot is at the height of what it stands on.
fn posts_stand(plan: &Plan, faults: &mut Faults) {
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
fn posts_measure(plan: &Plan, faults: &mut Faults) {
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
fn ridge(plan: &Plan, faults: &mut Faults) {
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

/// The line every few centimetres.
fn stations(line: &[(f64, f64)]) -> impl Iterator<Item = (f64, f64)> + '_ {
    const STEPS: i32 = 400;
    let (first, last) = (line[0].0, line[line.len() - 1].0);
    (0..=STEPS).filter_map(move |i| {
        let x = first + (last - first) * f64::from(i) / f64::from(STEPS);
        Some((x, on_line(line, x)?))
    })
}

/// The film lies nowhere under the top of a box or of a cap, and reaches over all that it goes round. Between
/// its nodes it may cut the rim of a top by about a cell.
fn film_over_boat(plan: &Plan, film: &Film, faults: &mut Faults) {
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
fn film_on_edge(plan: &Plan, film: &Film, faults: &mut Faults) {
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
fn slopes(plan: &Plan, film: &Film, faults: &mut Faults) {
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
    let mut least = (f64::INFINITY, 0.0);
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
        if slope < least.0 && !on_cap(t) {
            least = (slope, turned);
        }
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
    // A cap that a thing reaches over is not told as flat by nature, so that the least slope may lie there.
    let at = cover.least_slope_at.xy();
    let off_caps = plan
        .frame
        .posts
        .iter()
        .all(|post| (at - post.top().xy()).norm() > radius);
    if cover.least_slope > least.0 + least.1 || (off_caps && cover.least_slope < least.0 - least.1)
    {
        faults.push(format!(
            "least slope {} is told as {}",
            least.0, cover.least_slope
        ));
    }
}

/// Connected film flatter than allowed, counted anew: the verdict names every patch over the tolerated size.
fn patches(plan: &Plan, film: &Film, faults: &mut Faults) {
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
fn hollows(plan: &Plan, film: &Film, faults: &mut Faults) {
    let count = film.points.len();
    let mut beside: Vec<Vec<u32>> = vec![Vec::new(); count];
    for t in &film.triangles {
        for k in 0..3 {
            beside[t[k] as usize].extend([t[(k + 1) % 3], t[(k + 2) % 3]]);
        }
    }
    // Heights in whole tenths of micrometres, so that they have an order.
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
fn forces(plan: &Plan, faults: &mut Faults) {
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
    let mut loads = vec![0.0; plan.frame.posts.len()];
    let (mut edge, mut on_things, mut free) = (0.0, 0.0, 0.0f64);
    for (p, force) in mesh.vertices.iter().zip(&pull) {
        let under = covered(plan).any(|b| {
            let solid = Solid::of(b);
            within(&solid.foot, p.xy(), 1e-6) || within(&solid.top, p.xy(), 1e-6)
        }) || plan
            .boat
            .tubes
            .iter()
            .any(|tube| tube_top(&tube.path, 0.5 * tube.diameter + 1e-6, p.xy()).is_some());
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

/// The record that other programs read has a number wherever it should.
fn finite(plan: &Plan, faults: &mut Faults) {
    let record = Record::new(plan);
    let text = json(&record).unwrap();
    fn walk(path: &str, value: &serde_json::Value, faults: &mut Faults) {
        match value {
            // JSON writes what is not a number as null.
            serde_json::Value::Null if path != ".fewer_posts.holding_area_m2" => {
                faults.push(format!("{path} is null"));
            }
            serde_json::Value::Array(items) => {
                for (i, item) in items.iter().enumerate() {
                    walk(&format!("{path}[{i}]"), item, faults);
                }
            }
            serde_json::Value::Object(fields) => {
                for (name, field) in fields {
                    walk(&format!("{path}.{name}"), field, faults);
                }
            }
            _ => {}
        }
    }
    walk("", &serde_json::from_str(&text).unwrap(), faults);
    let told = format!("{:?} {:?} {:?}", plan.frame, plan.takeoff, plan.shortfalls);
    let lost = |word: &str| ["NaN", "inf"].contains(&word);
    if told.split(|c: char| !c.is_alphanumeric()).any(lost) {
        faults.push("frame, take-off or verdict hold what is no number".to_owned());
    }
    let finite = |p: &Point3<f64>| p.coords.iter().all(|c| c.is_finite());
    if !plan.cover.mesh.vertices.iter().all(finite) {
        faults.push("the film has a corner that is no number".to_owned());
    }
}

/// The film stands off rails and boxes that it goes round by 3 in; cells larger than that smear the steep film
/// there.
const STAND_OFF: f64 = 0.0762;

/// Cells of half the size change the film's area by less than one part in a hundred, or three where the cell
/// is coarser than the film's stand-off.
fn finer(plan: &Plan, faults: &mut Faults) {
    match stretch(&plan.hull, &plan.frame, &plan.rules, 0.5 * plan.rules.cell) {
        None => faults.push("half the cell cannot be meshed".to_owned()),
        Some(finer) => {
            let (a, b) = (plan.cover.spanned_area, finer.spanned_area);
            let tolerance = if plan.rules.cell <= STAND_OFF {
                0.01
            } else {
                0.03
            };
            if (a - b).abs() > tolerance * b {
                faults.push(format!("area {a} with cells half the size is {b}"));
            }
        }
    }
}
