//! Laws of ends: a ridge strap ends at something that is on the boat, and no strap runs through a box.

use super::*;
use hulltent::boat::{Anchor, End};

/// An anchor is where its numbers say within this, m: rakes and the sheer are read off the plan's hull.
const NEAR: f64 = 0.03;

/// A leg may press into a box by this, m: it lies on it.
const PRESSED: f64 = 0.01;

/// Each end of each ridge strap ends at anchors of the boat's file, or says that there is none; legs of a bridle pull
/// outward and carry no more than the strap; nothing beyond the film runs through a box.
pub(super) fn ridges_are_tied(plan: &Plan, faults: &mut Faults) {
    for strap in plan
        .frame
        .straps
        .iter()
        .filter(|s| s.kind == StrapKind::Ridge)
    {
        let [aft, fore] = strap.ends.as_slice() else {
            faults.push(format!("{} has {} ends", strap.id, strap.ends.len()));
            continue;
        };
        if (aft.end, fore.end) != (End::Aft, End::Fore) {
            faults.push(format!("{}: ends in the wrong order", strap.id));
        }
        for end in [aft, fore] {
            let mut wrong = |what: String| {
                faults.push(format!("{} at its {:?} end: {what}", strap.id, end.end))
            };
            let last: Vec<Point3<f64>> = if end.legs.is_empty() {
                end.course.last().copied().into_iter().collect()
            } else {
                end.legs
                    .iter()
                    .filter_map(|leg| leg.last().copied())
                    .collect()
            };
            if last.is_empty() {
                wrong("it ends nowhere".to_owned());
            }
            for p in &last {
                if end.found && !is_anchor(plan, p) {
                    wrong(format!("nothing to tie to at {p}"));
                }
                if !end.found && p.z > ROUNDING {
                    wrong(format!("it ends in the air at {p}"));
                }
            }
            let eye = plan.boat.anchors.iter().any(|anchor| match anchor {
                Anchor::BowEye { .. } => end.end == End::Fore,
                Anchor::SternEye { .. } => end.end == End::Aft,
                _ => false,
            });
            if eye && !end.found {
                wrong("there is an eye, and it is not used".to_owned());
            }
            let told = if end.end == End::Aft {
                &strap.from
            } else {
                &strap.to
            };
            if *told != end.to {
                wrong(format!("told as {told}, is {}", end.to));
            }
            if end.tension > strap.tension * (1.0 + 1e-6) {
                wrong(format!("a leg carries {}", end.tension));
            }
            for course in std::iter::once(&end.course).chain(&end.legs) {
                for b in covered(plan) {
                    let solid = Solid::of(b);
                    if along(course).any(|p| solid.holds(&p, PRESSED)) {
                        let told = plan
                            .shortfalls
                            .iter()
                            .any(|s| matches!(s, Shortfall::StrapThrough { .. }));
                        if !told {
                            wrong(format!("it runs through the {}", b.name));
                        }
                    }
                }
            }
        }
        length(plan, &strap.id, faults);
    }
}

/// The length of a ridge strap is that of its course over the film up to where it leaves it, and on to its ends.
fn length(plan: &Plan, id: &str, faults: &mut Faults) {
    // Between the last support and the edge the film's strap sags where the true one runs straight.
    const SAG: f64 = 0.06;
    for ((strap, cut), shape) in plan
        .frame
        .straps
        .iter()
        .zip(&plan.takeoff.straps)
        .zip(&plan.cover.straps)
        .filter(|((strap, _), _)| strap.id == id)
    {
        let [aft, fore] = strap.ends.as_slice() else {
            continue;
        };
        let (from, to) = (aft.course[0].x, fore.course[0].x);
        let over: Vec<Point3<f64>> = shape
            .nodes
            .iter()
            .map(|node| plan.cover.mesh.vertices[*node as usize])
            .filter(|p| from - TENTH <= p.x && p.x <= to + TENTH)
            .collect();
        let run = |course: &[Point3<f64>]| -> f64 {
            course
                .windows(2)
                .map(|pair| (pair[1] - pair[0]).norm())
                .sum()
        };
        let whole = run(&over) + run(&aft.course) + run(&fore.course);
        // Over a span that is longer than the limit, which the plan tells, it sags by more: then it is cut too long.
        let sags_more = plan.frame.shortage.is_some() && cut.length > whole;
        if (whole - cut.length).abs() > SAG && !sags_more {
            faults.push(format!("{id} is {} long, runs {whole}", cut.length));
        }
        let legs: f64 = strap
            .ends
            .iter()
            .flat_map(|end| &end.legs)
            .map(|leg| run(leg))
            .sum();
        let bridles: f64 = cut.bridles.iter().map(|bridle| bridle.length).sum();
        if (legs - bridles).abs() > ROUNDING {
            faults.push(format!("bridles of {id}: {bridles}, legs {legs}"));
        }
    }
}

/// Points along a course, every centimeter.
fn along(course: &[Point3<f64>]) -> impl Iterator<Item = Point3<f64>> + '_ {
    course.windows(2).flat_map(|pair| {
        let (a, b) = (pair[0], pair[1]);
        let steps = ((b - a).norm() / 0.01).ceil().max(1.0) as i32;
        (0..=steps).map(move |k| a + (b - a) * (f64::from(k) / f64::from(steps)))
    })
}

/// Whether an anchor of the file is at a place.
fn is_anchor(plan: &Plan, p: &Point3<f64>) -> bool {
    let at_side = |station: f64, below: f64| {
        let [starboard, port] = plan.hull.edge.at_station(station).unwrap();
        let sheer = plan.hull.sheer_at(station) - below;
        (p.x - station).abs() < NEAR
            && (p.z - sheer).abs() < NEAR
            && p.y <= port.y + NEAR
            && p.y >= starboard.y - NEAR
            && p.y.abs() > 0.3 * port.y.abs()
    };
    plan.boat.anchors.iter().any(|anchor| match anchor {
        // On the stem, which rakes.
        Anchor::BowEye { height } => {
            p.y == 0.0 && (p.z - height).abs() < TENTH && p.x > 0.6 * plan.boat.length
        }
        Anchor::SternEye { height, offset } => {
            (p.y.abs() - offset).abs() < TENTH
                && (p.z - height).abs() < TENTH
                && p.x.abs() < 0.2 * plan.boat.length
        }
        Anchor::SamsonPost {
            station,
            offset,
            height,
            ..
        } => (p - Point3::new(*station, *offset, *height)).norm() < TENTH,
        Anchor::Cleat {
            station,
            below_sheer,
            ..
        } => at_side(*station, *below_sheer),
        Anchor::Rail {
            from,
            to,
            below_sheer,
            ..
        } => at_side(*from, *below_sheer) || at_side(*to, *below_sheer),
    })
}
