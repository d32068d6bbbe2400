//! The deck of a hull that is open where people stand: wells down to footings and to what is set into the boat.
//!
//! A boat file knows no deck; the hull's mesh is closed by a lid at the sheer. Here the lid is taken off and laid
//! anew round wells, for the eye only.

use super::shape::underside;
use crate::boat::{Boat, HullForm};
use crate::geom::mesh::Mesh;
use crate::hull::Hull;
use nalgebra::Point3;

/// A well this shallow is not cut, m.
const MIN_DEPTH: f64 = 0.05;

/// Depth of a box's well under its top or the deck, m: a little more than the least.
const SEEN: f64 = 0.06;

/// Width of the deck that is always left beside a well, m.
const SIDE_DECK: f64 = 0.06;

/// Vertices this near to the sheer's height are the lid's, m.
const ON_SHEER: f64 = 1e-6;

/// Widest column of deck, m: fine enough for the bend of the bow.
const COLUMN: f64 = 0.08;

/// A rectangle in plan that is cut out of the deck down to a floor.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Well {
    from: f64,
    to: f64,
    starboard: f64,
    port: f64,
    floor: f64,
}

/// What the hull looks like: its skin without the lid, the deck, the floors and walls of the wells. `None` for
/// hulls whose deck is a body of its own.
pub struct Open {
    /// The skin.
    pub skin: Mesh,
    /// The deck at the sheer.
    pub deck: Mesh,
    /// Floors of wells.
    pub floors: Mesh,
    /// Their walls.
    pub walls: Mesh,
}

/// Opens a hull.
pub fn open(hull: &Hull, boat: &Boat) -> Option<Open> {
    match &boat.hull {
        HullForm::Mono(_) | HullForm::Offsets { .. } => {}
        HullForm::Tubes { .. } | HullForm::Catamaran { .. } => return None,
    }
    let body = hull.bodies.first()?;
    let [aft, fore] = [hull.sheer.first()?.x, hull.sheer.last()?.x];
    let wells = wells(hull, boat, [aft, fore]);
    let mut stops: Vec<f64> = hull.sheer.iter().map(|p| p.x).collect();
    stops.extend(wells.iter().flat_map(|well| [well.from, well.to]));
    stops.sort_by(f64::total_cmp);
    stops.dedup_by(|a, b| (*a - *b).abs() < ON_SHEER);
    let mut open = Open {
        skin: without_lid(hull, body),
        deck: Mesh::default(),
        floors: Mesh::default(),
        walls: Mesh::default(),
    };
    let mut before: Option<Column> = None;
    for pair in stops.windows(2) {
        let &[from, to] = pair else { continue };
        let pieces = ((to - from) / COLUMN).ceil().max(1.0) as usize;
        for piece in 0..pieces {
            let at = |k: usize| from + (to - from) * k as f64 / pieces as f64;
            let column = Column::new(hull, body, &wells, [at(piece), at(piece + 1)]);
            column.draw(&mut open);
            wall_between(before.as_ref(), &column, &mut open.walls);
            before = Some(column);
        }
    }
    Some(open)
}

fn wells(hull: &Hull, boat: &Boat, [aft, fore]: [f64; 2]) -> Vec<Well> {
    let well = |from: f64, to: f64, width: f64, offset: f64, floor: f64| {
        let (from, to) = (from.max(aft + SIDE_DECK), to.min(fore));
        let deck = hull.sheer_at(0.5 * (from + to));
        (to > from && deck - floor > MIN_DEPTH).then_some(Well {
            from,
            to,
            starboard: offset - 0.5 * width,
            port: offset + 0.5 * width,
            floor,
        })
    };
    let footings = boat.footings.iter().filter_map(|footing| {
        let zone = &footing.zone;
        well(zone.from, zone.to, zone.width, zone.offset, footing.height)
    });
    // A box fills its well, so that this need be no deeper than the box is seen: a bench may stand on the bottom of a
    // boat that is narrower there than the bench.
    let boxes = boat.boxes.iter().filter_map(|item| {
        let width = item.width.max(item.width_fore);
        let deck = hull.sheer_at(0.5 * (item.from + item.to));
        let floor = item.base.max(item.top.min(deck) - SEEN);
        well(item.from, item.to, width, item.offset, floor)
    });
    footings.chain(boxes).collect()
}

/// The mesh without the faces that look up and lie on the sheer.
fn without_lid(hull: &Hull, body: &Mesh) -> Mesh {
    let on_sheer = |p: &Point3<f64>| (p.z - hull.sheer_at(p.x)).abs() < LID;
    let mut skin = body.clone();
    skin.triangles = (0..body.triangles.len())
        .filter(|t| {
            let [a, b, c] = body.triangle(*t);
            let normal = (b - a).cross(&(c - a));
            let looks_up = normal.z > 0.7 * normal.norm();
            !(looks_up && [a, b, c].iter().all(on_sheer))
        })
        .filter_map(|t| body.triangles.get(t).copied())
        .collect();
    skin
}

/// The hull's mesh and the sheer line are sampled at different stations: they differ by less than this, m.
const LID: f64 = 0.01;

/// A strip of the boat between two stations near to each other.
struct Column {
    /// Stations.
    ends: [f64; 2],
    /// Half breadths of the deck at them.
    half: [f64; 2],
    /// Heights of the deck at them.
    height: [f64; 2],
    /// Stretches across from starboard to port: from, to, floor; the deck where there is none.
    stretches: Vec<(f64, f64, Option<f64>)>,
}

impl Column {
    fn new(hull: &Hull, body: &Mesh, wells: &[Well], ends: [f64; 2]) -> Column {
        let half = ends.map(|x| half_breadth(hull, x));
        let room = half[0].min(half[1]) - SIDE_DECK;
        let middle = 0.5 * (ends[0] + ends[1]);
        // A well is no wider than the hull at its floor, and there is none where the hull is shallower.
        let here: Vec<Well> = wells
            .iter()
            .filter(|well| well.from < middle && middle < well.to)
            .filter_map(|well| {
                let rooms = ends.map(|x| room_at(body, x, well.floor, room));
                let room = rooms[0]?.min(rooms[1]?);
                Some(Well {
                    starboard: well.starboard.max(-room),
                    port: well.port.min(room),
                    ..*well
                })
            })
            .collect();
        let mut cuts: Vec<f64> = here
            .iter()
            .flat_map(|well| [well.starboard, well.port])
            .map(|cut| cut.clamp(-room.max(0.0), room.max(0.0)))
            .collect();
        cuts.sort_by(f64::total_cmp);
        cuts.dedup();
        let stretches = cuts
            .windows(2)
            .filter_map(|pair| {
                let &[from, to] = pair else { return None };
                let y = 0.5 * (from + to);
                let floor = here
                    .iter()
                    .filter(|well| well.starboard <= y && y <= well.port)
                    .map(|well| well.floor)
                    .min_by(f64::total_cmp);
                Some((from, to, floor))
            })
            .collect();
        Column {
            ends,
            half,
            height: ends.map(|x| hull.sheer_at(x)),
            stretches,
        }
    }

    /// Level of a stretch at one of the ends.
    fn level(&self, floor: Option<f64>, end: usize) -> f64 {
        let deck = if end == 0 {
            self.height[0]
        } else {
            self.height[1]
        };
        floor.map_or(deck, |floor| floor.min(deck))
    }

    fn draw(&self, open: &mut Open) {
        let [a, b] = self.ends;
        let first = self.stretches.first().map_or(0.0, |stretch| stretch.0);
        let last = self.stretches.last().map_or(0.0, |stretch| stretch.1);
        let [za, zb] = self.height;
        // Outside the wells the deck goes to the hull's side.
        for (side, inner) in [(-1.0, first), (1.0, last)] {
            quad(
                &mut open.deck,
                [
                    Point3::new(a, side * self.half[0], za),
                    Point3::new(b, side * self.half[1], zb),
                    Point3::new(b, inner, zb),
                    Point3::new(a, inner, za),
                ],
                side < 0.0,
            );
        }
        for (from, to, floor) in &self.stretches {
            let (la, lb) = (self.level(*floor, 0), self.level(*floor, 1));
            let mesh = match floor {
                Some(_) => &mut open.floors,
                None => &mut open.deck,
            };
            quad(
                mesh,
                [
                    Point3::new(a, *from, la),
                    Point3::new(b, *from, lb),
                    Point3::new(b, *to, lb),
                    Point3::new(a, *to, la),
                ],
                true,
            );
        }
        // Walls along the boat, where neighboring stretches differ.
        let mut below = None;
        let ends = self
            .stretches
            .iter()
            .map(|(from, _, floor)| (*from, *floor))
            .chain([(last, None)]);
        for (y, floor) in ends {
            if below != floor {
                let ends = [0, 1].map(|end| (self.level(below, end), self.level(floor, end)));
                quad(
                    &mut open.walls,
                    [
                        Point3::new(a, y, ends[0].0),
                        Point3::new(b, y, ends[1].0),
                        Point3::new(b, y, ends[1].1),
                        Point3::new(a, y, ends[0].1),
                    ],
                    true,
                );
            }
            below = floor;
        }
    }

    /// Level across at an offset, at the given end.
    fn level_at(&self, y: f64, end: usize) -> f64 {
        let floor = self
            .stretches
            .iter()
            .find(|(from, to, _)| *from <= y && y <= *to)
            .and_then(|(_, _, floor)| *floor);
        self.level(floor, end)
    }
}

/// Half the breadth within a hull at a station and a height, at most `most`, m; `None` where the hull's bottom lies
/// over it.
fn room_at(body: &Mesh, x: f64, height: f64, most: f64) -> Option<f64> {
    let bodies = std::slice::from_ref(body);
    let inside = |y: f64| underside(bodies, x, y).is_some_and(|z| z < height - MIN_DEPTH);
    if !inside(0.0) {
        return None;
    }
    if inside(most) {
        return Some(most);
    }
    let (mut low, mut high) = (0.0, most);
    for _ in 0..8 {
        let middle = 0.5 * (low + high);
        if inside(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(low)
}

/// Walls athwart between two columns.
fn wall_between(before: Option<&Column>, after: &Column, walls: &mut Mesh) {
    let Some(before) = before else { return };
    let mut cuts: Vec<f64> = before
        .stretches
        .iter()
        .chain(&after.stretches)
        .flat_map(|(from, to, _)| [*from, *to])
        .collect();
    cuts.sort_by(f64::total_cmp);
    for pair in cuts.windows(2) {
        let &[from, to] = pair else { continue };
        let middle = 0.5 * (from + to);
        let (low, high) = (before.level_at(middle, 1), after.level_at(middle, 0));
        if to > from && (low - high).abs() > ON_SHEER {
            let x = after.ends[0];
            quad(
                walls,
                [
                    Point3::new(x, from, low),
                    Point3::new(x, to, low),
                    Point3::new(x, to, high),
                    Point3::new(x, from, high),
                ],
                true,
            );
        }
    }
}

/// Half breadth of the sheer at a station.
fn half_breadth(hull: &Hull, x: f64) -> f64 {
    let after = hull.sheer.partition_point(|p| p.x <= x);
    let last = hull.sheer.len().saturating_sub(1);
    match (
        hull.sheer.get(after.saturating_sub(1)),
        hull.sheer.get(after.min(last)),
    ) {
        (Some(a), Some(b)) if b.x > a.x => {
            a.y + (b.y - a.y) * ((x - a.x) / (b.x - a.x)).clamp(0.0, 1.0)
        }
        (Some(a), _) => a.y,
        _ => 0.0,
    }
}

fn quad(mesh: &mut Mesh, corners: [Point3<f64>; 4], turn: bool) {
    let start = u32::try_from(mesh.vertices.len()).unwrap_or(u32::MAX);
    mesh.vertices.extend(corners);
    let faces = if turn {
        [[0, 1, 2], [0, 2, 3]]
    } else {
        [[0, 2, 1], [0, 3, 2]]
    };
    mesh.triangles
        .extend(faces.map(|face| face.map(|k| start + k)));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::presets;

    #[test]
    fn deck_and_floors_cover_the_hull_in_plan_once() {
        for preset in presets() {
            let boat = preset.boat().unwrap();
            let hull = Hull::build(&boat, &boat.rules).unwrap();
            let Some(open) = open(&hull, &boat) else {
                continue;
            };
            let plan = |mesh: &Mesh| -> f64 {
                mesh.corners()
                    .map(|[a, b, c]| 0.5 * (b - a).xy().perp(&(c - a).xy()))
                    .sum()
            };
            let outline: f64 = hull
                .sheer
                .windows(2)
                .map(|pair| (pair[1].x - pair[0].x) * (pair[0].y + pair[1].y))
                .sum();
            let covered = plan(&open.deck) + plan(&open.floors);
            assert!(
                (covered - outline).abs() < 1e-9 * outline,
                "{}: {covered} of {outline}",
                preset.name
            );
            assert!(
                open.skin.triangles.len() < hull.bodies[0].triangles.len(),
                "{}: no lid",
                preset.name
            );
        }
    }
}
