//! A door in the film, where one is asked for and where it fits.

use super::obstacles::Obstacles;
use super::rim::Rim;
use super::vents::VENT_CLEAR;
use super::{Door, DoorFit};
use crate::boat::{DoorWish, Hand};
use crate::hull::Hull;
use nalgebra::{Point2, Point3};

/// Width of a door, m. 30 in, demo value.
pub const DOOR_WIDTH: f64 = 0.762;

/// Rise of its head over its foot on the edge, m; house rule, 30 in: one climbs in bent over the rail.
pub const DOOR_RISE: f64 = 0.762;

/// Length of the zip up the film that is to be had, m. 6 ft, demo value.
pub const DOOR_LENGTH: f64 = 1.8288;

/// What stands this high over the edge under a door bars the way, m; house rule, 18 in.
const SILL: f64 = 0.4572;

/// Lines on each side of the middle of a door along which it is looked for what crosses it.
const LINES: i32 = 2;

/// Step of the places that are looked at, m: 1 in up the film, 3 in along the boat.
const STEP: f64 = 0.0254;
const ALONG: f64 = 0.0762;

/// Where and whether the door that is asked for fits; where it does not, the nearest station where one does.
pub(super) fn door(
    hull: &Hull,
    rim: &Rim,
    obstacles: &Obstacles<'_>,
    wish: &DoorWish,
) -> Option<Door> {
    let mut door = try_at(hull, rim, obstacles, wish.station, wish.hand)?;
    if door.fit != DoorFit::Fits {
        let [aft, fore] = hull.edge.ends();
        door.nearest = (1..=((fore - aft) / ALONG) as usize)
            .flat_map(|k| [-1.0, 1.0].map(|side| wish.station + side * ALONG * k as f64))
            .filter(|station| (aft..=fore).contains(station))
            .find(|station| {
                try_at(hull, rim, obstacles, *station, wish.hand)
                    .is_some_and(|door| door.fit == DoorFit::Fits)
            });
    }
    Some(door)
}

fn try_at(
    hull: &Hull,
    rim: &Rim,
    obstacles: &Obstacles<'_>,
    station: f64,
    hand: Hand,
) -> Option<Door> {
    let foot = rim.at_station(hull, station, hand)?.top;
    let mut head = foot;
    let (mut last, mut length) = (foot, 0.0);
    let (mut rise, mut up) = (0.0, 0.0);
    let steps = (foot.y.abs() / STEP) as usize;
    for k in 1..=steps {
        let y = hand.sign() * (foot.y.abs() - STEP * k as f64);
        let Some(z) = obstacles.film_at(Point2::new(foot.x, y)) else {
            continue;
        };
        let p = Point3::new(foot.x, y, z);
        let longer = length + (p - last).norm();
        if longer > DOOR_LENGTH {
            break;
        }
        (last, length) = (p, longer);
        if z > head.z {
            head = p;
            (rise, up) = (z - foot.z, length);
        }
        if rise >= DOOR_RISE {
            break;
        }
    }
    let fit = if rise < DOOR_RISE {
        DoorFit::TooLow {
            rise,
            wanted: DOOR_RISE,
        }
    } else if let Some(what) = barred(hull, obstacles, &foot, &head) {
        DoorFit::InTheWay { what }
    } else {
        DoorFit::Fits
    };
    Some(Door {
        foot,
        head,
        width: DOOR_WIDTH,
        length: up,
        hand,
        fit,
        nearest: None,
    })
}

/// What lies across a door or stands behind it.
fn barred(
    hull: &Hull,
    obstacles: &Obstacles<'_>,
    foot: &Point3<f64>,
    head: &Point3<f64>,
) -> Option<String> {
    let half = 0.5 * DOOR_WIDTH;
    let corner = |end: &Point3<f64>, part: f64| Point2::new(end.x + part * half, end.y);
    // Upright lines no further apart than what is kept clear on both sides of each, then the head.
    let upright = (-LINES..=LINES).map(|k| {
        let part = f64::from(k) / f64::from(LINES);
        [corner(foot, part), corner(head, part)]
    });
    let across = [corner(head, -1.0), corner(head, 1.0)];
    for line in upright.chain([across]) {
        if let Some(obstacle) = obstacles.crossed(line, VENT_CLEAR) {
            return Some(obstacle.name.clone());
        }
    }
    let steps = ((head.y - foot.y).abs() / STEP).max(1.0) as usize;
    for k in 0..=steps {
        let y = foot.y + (head.y - foot.y) * k as f64 / steps as f64;
        for x in [foot.x - half, foot.x, foot.x + half] {
            if let Some((thing, top)) = hull.topmost(Point2::new(x, y))
                && top > foot.z + SILL
            {
                return hull.things.get(thing).map(|thing| thing.name.clone());
            }
        }
    }
    // Beyond the film at an end of the boat.
    let off = [-half, half].iter().any(|dx| {
        obstacles
            .film_at(Point2::new(head.x + dx, head.y))
            .is_none()
    });
    off.then(|| "the end of the film".to_owned())
}
