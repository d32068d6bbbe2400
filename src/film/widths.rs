//! How wide the film must be: by the hand rule, and by true girth.

use super::Widths;
use super::side::Side;
use crate::boat::{Boat, Rules};
use crate::frame::Frame;
use crate::hull::Hull;
use nalgebra::Point3;

/// Stations at which the widest part of the boat is looked for.
const STATIONS: usize = 64;

/// Width by hand and by girth.
pub(super) fn widths(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    frame: &Frame,
    sides: &[Side; 2],
) -> Widths {
    let (hand, hand_post, hand_widest) = by_hand(hull, boat, rules, frame);
    let girths = girths(sides);
    let farthest = |side: &Side| {
        side.threads
            .iter()
            .zip(&side.met)
            .filter(|(_, met)| !**met)
            .map(|(thread, _)| thread.walk.length())
            .fold(0.0, f64::max)
    };
    let girth_station = girths
        .iter()
        .max_by(|a, b| a[1].total_cmp(&b[1]))
        .map_or(0.0, |[station, _]| *station);
    Widths {
        hand,
        hand_post,
        hand_widest,
        // Each side by its own widest place: the sheet's centreline lies on the ridge.
        girth: farthest(&sides[0]) + farthest(&sides[1]) + 2.0 * rules.film_tuck,
        girth_station,
        girths,
    }
}

/// The hand rule (common practice): twice the taut tape from the top of the middle post over the widest part to
/// the rub rail, and on by the band's drop and the tuck. The tape lies in the section of the post, over whatever
/// stands out between cap and edge. Without posts it starts from the ridge amidships.
fn by_hand(hull: &Hull, boat: &Boat, rules: &Rules, frame: &Frame) -> (f64, f64, f64) {
    let [aft, fore] = hull.edge.ends();
    let middle = 0.5 * boat.length;
    let post = frame.posts.iter().min_by(|a, b| {
        (a.station - middle)
            .abs()
            .total_cmp(&(b.station - middle).abs())
    });
    let (station, offset, top) = post.map_or((middle, 0.0, frame.profile_at(middle)), |post| {
        (post.station, post.offset.abs(), post.cap)
    });
    let widest = (0..=STATIONS)
        .filter_map(|i| {
            let x = aft + (fore - aft) * i as f64 / STATIONS as f64;
            let [starboard, port] = hull.edge.at_station(x)?;
            let half = 0.5 * (port.y - starboard.y);
            Some((x, half, 0.5 * (port.z + starboard.z)))
        })
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((at, half, height)) = widest else {
        return (0.0, station, station);
    };
    let tape = taut_tape(hull, station, [offset, top], [half, height]);
    let one_side = offset + tape + boat.rub_rail + rules.band_drop + rules.film_tuck;
    (2.0 * one_side, station, at)
}

/// Length of a tape drawn taut in a section from one place to another, both `[offset, height]`, over the things
/// that stand out between them on the port side, m.
fn taut_tape(hull: &Hull, station: f64, from: [f64; 2], to: [f64; 2]) -> f64 {
    let mut points: Vec<[f64; 2]> = hull
        .things
        .iter()
        .filter(|thing| !thing.left_out)
        .flat_map(|thing| thing.section(station))
        .filter(|(y, _)| *y > from[0] && *y < to[0])
        .map(|(y, z)| [y, z])
        .collect();
    points.sort_by(|a, b| a[0].total_cmp(&b[0]));
    points.push(to);
    // The upper hull of the points: what a tape over them touches.
    let mut chain: Vec<[f64; 2]> = vec![from];
    for p in points {
        while let [.., o, last] = chain.as_slice()
            && (last[0] - o[0]) * (p[1] - o[1]) - (last[1] - o[1]) * (p[0] - o[0]) >= 0.0
        {
            chain.pop();
        }
        chain.push(p);
    }
    chain
        .windows(2)
        .map(|pair| (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1]))
        .sum()
}

/// Girth from band to band where a thread of either side comes through, by the station where it crosses the
/// ridge.
fn girths([port, starboard]: &[Side; 2]) -> Vec<[f64; 2]> {
    let reached = |side: &Side| -> Vec<[f64; 2]> {
        side.threads
            .iter()
            .zip(&side.met)
            .filter(|(_, met)| !**met)
            .filter_map(|(thread, _)| {
                let start: &Point3<f64> = thread.walk.points.first()?;
                Some([start.x, thread.walk.length()])
            })
            .collect()
    };
    let other = reached(starboard);
    reached(port)
        .into_iter()
        .filter_map(|[station, length]| {
            let nearest = other
                .iter()
                .min_by(|a, b| (a[0] - station).abs().total_cmp(&(b[0] - station).abs()))?;
            Some([station, length + nearest[1]])
        })
        .collect()
}
