//! Laws of feet: the whole base cap and the whole post, against every box and tube.

use super::*;

/// A two-by-four's wide face, m.
const POST: f64 = 0.0889;

/// A footing may rise by half an inch across a base cap, m.
const MAX_RISE: f64 = 0.0127;

/// Steps in which a prism is looked through.
const STEPS: i32 = 8;

/// An upright prism on a square.
struct Prism {
    middle: Point2<f64>,
    half: f64,
    /// From, to.
    heights: [f64; 2],
}

impl Prism {
    fn points(&self) -> impl Iterator<Item = Point3<f64>> + '_ {
        let [bottom, top] = self.heights;
        let levels = ((top - bottom) / 0.01).ceil().max(1.0) as i32;
        let part = |i: i32| 2.0 * f64::from(i) / f64::from(STEPS) - 1.0;
        (0..=levels).flat_map(move |k| {
            let z = bottom + (top - bottom) * f64::from(k) / f64::from(levels);
            (0..=STEPS).flat_map(move |i| {
                (0..=STEPS).map(move |j| {
                    let (x, y) = (part(i) * self.half, part(j) * self.half);
                    Point3::new(self.middle.x + x, self.middle.y + y, z)
                })
            })
        })
    }

    /// Distance of a point from it.
    fn away(&self, p: &Point3<f64>) -> f64 {
        let x = ((p.x - self.middle.x).abs() - self.half).max(0.0);
        let y = ((p.y - self.middle.y).abs() - self.half).max(0.0);
        let z = (self.heights[0] - p.z).max(p.z - self.heights[1]).max(0.0);
        (x * x + y * y + z * z).sqrt()
    }
}

/// Points along a box's edges.
fn rim(solid: &Solid) -> Vec<Point3<f64>> {
    let mut lines = Vec::new();
    for i in 0..4 {
        let j = (i + 1) % 4;
        lines.push([solid.top[i], solid.top[j]]);
        lines.push([solid.foot[i], solid.foot[j]]);
        lines.push([solid.foot[i], solid.top[i]]);
    }
    let along = |[a, b]: [Point3<f64>; 2]| {
        let steps = ((b - a).norm() / 0.005).ceil().max(1.0) as i32;
        (0..=steps).map(move |k| a + (b - a) * (f64::from(k) / f64::from(steps)))
    };
    lines.into_iter().flat_map(along).collect()
}

/// The base cap of every post that the user did not pin lies wholly on one footing, and nothing reaches into it or into
/// the post up to its cap; a pinned post that does not stand is told.
pub(super) fn whole_feet_stand(plan: &Plan, faults: &mut Faults) {
    for post in &plan.frame.posts {
        let found = faults_of(plan, post);
        let told = plan.shortfalls.iter().any(
            |shortfall| matches!(shortfall, Shortfall::NoFooting { post: of, .. } if *of == post.id),
        );
        if !post.pinned {
            faults.extend(found);
        } else if !found.is_empty() && !told {
            faults.push(format!("not told of pinned {}: {found:?}", post.id));
        }
    }
}

fn faults_of(plan: &Plan, post: &hulltent::frame::Post) -> Vec<String> {
    let mut found = Vec::new();
    let middle = Point2::new(post.station, post.offset);
    let half = 0.5 * plan.rules.base_cap_width - TENTH;
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
        .map(|(x, y)| middle + Vector2::new(x, y) * half);
    let on_box = |b: &&DeckBox| {
        let solid = Solid::of(b);
        b.post_may_stand
            && corners.iter().all(|p| {
                within(&solid.top, *p, TENTH) && (solid.plane(p.x) - post.base).abs() <= MAX_RISE
            })
    };
    let under = covered(plan).find(on_box);
    let on_zone = plan.boat.footings.iter().any(|footing| {
        (footing.height - post.base).abs() < TENTH
            && corners.iter().all(|p| in_zone(&footing.zone, *p, TENTH))
    });
    if under.is_none() && !on_zone {
        found.push(format!("{}'s base cap does not lie on a footing", post.id));
    }
    let spread = |i: i32| 2.0 * f64::from(i) / f64::from(STEPS) - 1.0;
    for zone in &plan.boat.no_post {
        let reaches = (0..=STEPS).any(|i| {
            (0..=STEPS).any(|j| {
                let p = middle + Vector2::new(spread(i), spread(j)) * half;
                in_zone(zone, p, -2.0 * TENTH)
            })
        });
        if reaches {
            found.push(format!("{}'s base cap reaches into {}", post.id, zone.name));
        }
    }
    let width = POST.min(plan.rules.base_cap_width);
    let prisms = [
        Prism {
            middle,
            half,
            heights: [
                post.base + TENTH,
                post.base + plan.rules.base_cap.max(2.0 * TENTH),
            ],
        },
        Prism {
            middle,
            half: 0.5 * width - TENTH,
            heights: [post.base + TENTH, post.cap.max(post.base + 2.0 * TENTH)],
        },
    ];
    for prism in prisms {
        for b in &plan.boat.boxes {
            // What it stands on may rise under its foot.
            if under.is_some_and(|under| under == b) {
                continue;
            }
            let solid = Solid::of(b);
            let inside = prism.points().any(|p| solid.holds(&p, TENTH))
                || rim(&solid).iter().any(|p| prism.away(p) <= 0.0);
            if inside {
                found.push(format!("the {} reaches into {}", b.name, post.id));
            }
        }
        for tube in &plan.boat.tubes {
            let inside = tube.path.windows(2).any(|pair| {
                let (a, b) = (Point3::from(pair[0]), Point3::from(pair[1]));
                let steps = ((b - a).norm() / 0.005).ceil().max(1.0) as i32;
                (0..=steps).any(|k| {
                    let p = a + (b - a) * (f64::from(k) / f64::from(steps));
                    prism.away(&p) < 0.5 * tube.diameter - TENTH
                })
            });
            if inside {
                found.push(format!("the {} reaches into {}", tube.name, post.id));
            }
        }
    }
    found
}
