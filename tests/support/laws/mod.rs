//! What holds for every plan of every valid boat, checked from the boat's own data, from the numbers of the
//! plan and from the film as it is handed out, never by the code that made them. Each law adds what it finds
//! wrong to a list.

mod cover;
mod ends;
mod feet;
mod frame;
mod sheet;

use super::film::Film;
use super::through;
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

/// A tape's tenth of a millimeter, m: places and heights that are computed twice agree much better.
const TENTH: f64 = 1e-4;

/// Rounding of sums and differences of meters, m.
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
    frame::posts_stand(plan, &mut faults);
    frame::posts_measure(plan, &mut faults);
    faults.extend(feet_and_ends(plan));
    frame::ridge(plan, &mut faults);
    cover::film_over_boat(plan, &film, &mut faults);
    cover::film_on_edge(plan, &film, &mut faults);
    cover::slopes(plan, &film, &mut faults);
    cover::patches(plan, &film, &mut faults);
    cover::hollows(plan, &film, &mut faults);
    cover::forces(plan, &mut faults);
    sheet::width_reaches_the_band(plan, &mut faults);
    sheet::film_only_shrinks(plan, &mut faults);
    sheet::pleats_lie_on_the_film(plan, &film, &mut faults);
    finite(plan, &mut faults);
    cover::finer(plan, &mut faults);
    faults
}

/// The laws of feet and ends alone.
pub fn feet_and_ends(plan: &Plan) -> Faults {
    let mut faults = Faults::new();
    feet::whole_feet_stand(plan, &mut faults);
    ends::ridges_are_tied(plan, &mut faults);
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

    /// Whether a point lies in it, deeper than a distance from its sides and top as far as they are upright and level.
    fn holds(&self, p: &Point3<f64>, depth: f64) -> bool {
        let corner = |i: usize| {
            let (foot, top) = (self.foot[i], self.top[i]);
            foot + (top - foot) * ((p.z - foot.z) / (top.z - foot.z))
        };
        p.z > self.foot[0].z + depth
            && p.z < self.plane(p.x) - depth
            && within(&[0, 1, 2, 3].map(corner), p.xy(), -depth)
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

/// The record that other programs read has a number wherever it should.
fn finite(plan: &Plan, faults: &mut Faults) {
    let record = Record::new(plan);
    let text = json(&record).unwrap();
    // What there need not be: no certificate, no remedy, no such frame, no door asked for, no place for one, no site.
    const MAY_BE_NULL: [&str; 8] = [
        ".certificate",
        ".remedy",
        ".verdict.stands",
        ".fewer_posts.holding_area_m2",
        ".door",
        ".door.nearest_m",
        ".loaded",
        ".snow_capacity",
    ];
    fn walk(path: &str, value: &serde_json::Value, faults: &mut Faults) {
        match value {
            // JSON writes what is not a number as null.
            serde_json::Value::Null if !MAY_BE_NULL.contains(&path) => {
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
    let told = format!(
        "{:?} {:?} {:?} {:?} {:?}",
        plan.frame, plan.film, plan.fittings, plan.takeoff, plan.shortfalls
    );
    let lost = |word: &str| ["NaN", "inf"].contains(&word);
    if told.split(|c: char| !c.is_alphanumeric()).any(lost) {
        faults.push("frame, film, fittings, take-off or verdict hold what is no number".to_owned());
    }
    let finite = |p: &Point3<f64>| p.coords.iter().all(|c| c.is_finite());
    if !plan.cover.mesh.vertices.iter().all(finite) {
        faults.push("the film has a corner that is no number".to_owned());
    }
}
