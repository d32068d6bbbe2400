//! How wide the film must be: by the hand rule, and by true girth.

use super::Widths;
use super::side::Side;
use super::threads::Thread;
use crate::boat::{Boat, Rules};
use crate::frame::Frame;
use crate::hull::Hull;
use nalgebra::Point3;

/// Distance between the places of the band whose distance from the ridge is read, in cells: far under a tape's quarter inch.
const SAMPLE: f64 = 0.02;

/// Between two threads the way to the band may be longer than both by so much, m: found against exact ways.
const BETWEEN: f64 = 2e-3;

/// The place of the band that is farthest from the ridge on one side.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Farthest {
    /// The shortest way to it over the film and down the skirt, m; too long by the distance between places at most.
    pub length: f64,
    /// Station where that way leaves the ridge, m.
    pub station: f64,
}

/// The place of the band that is farthest from the ridge on a side. Film does not stretch: the sheet must be as wide as
/// the shortest way there.
///
/// A shortest way leaves the ridge at a right angle or from one of its ends, so threads and `fans` hold it. A place is
/// reached by the shortest of the threads that come there, also where threads cross before the band. Between
/// neighboring threads the length is taken as linear: behind a hollow corner, which threads pass on either side, the
/// true way bends round the corner and is no longer, since the distance from a point to the places of a line is convex.
///
/// # Units
/// `cell` and the rest in m.
pub(super) fn farthest(
    side: &Side,
    fans: &[Vec<Thread>; 2],
    band: &[Point3<f64>],
    cell: f64,
) -> Farthest {
    let sample = SAMPLE * cell;
    let mut runs = vec![0.0];
    for (a, b) in band.iter().zip(band.iter().cycle().skip(1)) {
        runs.push(runs.last().copied().unwrap_or(0.0) + (b - a).norm());
    }
    let total = runs.last().copied().unwrap_or(0.0);
    let count = (total / sample).ceil() as usize;
    let mut least = vec![
        Farthest {
            length: f64::INFINITY,
            station: 0.0
        };
        count
    ];
    let [stern, bow] = fans;
    let landings: Vec<(f64, Farthest)> = stern
        .iter()
        .chain(&side.threads)
        .chain(bow)
        .filter_map(|thread| {
            let way = Farthest {
                length: thread.walk.length(),
                station: thread.walk.points.first()?.x,
            };
            Some((run_along(band, &runs, thread.walk.end()?)?, way))
        })
        .collect();
    for pair in landings.windows(2) {
        let &[(from, a), (to, b)] = pair else {
            continue;
        };
        // The shorter way round from one to the other.
        let gap = (to - from + 0.5 * total).rem_euclid(total) - 0.5 * total;
        let steps = (gap.abs() / sample).ceil().max(1.0) as usize;
        for step in 0..=steps {
            let part = step as f64 / steps as f64;
            let place = ((from + gap * part).rem_euclid(total) / sample) as usize;
            let length = a.length + (b.length - a.length) * part;
            if let Some(least) = least.get_mut(place)
                && length < least.length
            {
                *least = Farthest {
                    length,
                    station: a.station + (b.station - a.station) * part,
                };
            }
        }
    }
    // From one place of the band to the next the shortest way grows by no more than the way between them. This also
    // keeps out places that only a line gone astray came to.
    for way in [1, count.saturating_sub(1)] {
        let mut place = 0;
        for _ in 0..2 * count {
            let next = (place + way) % count;
            if let (Some(here), Some(there)) = (least.get(place).copied(), least.get_mut(next))
                && here.length + sample < there.length
            {
                *there = Farthest {
                    length: here.length + sample,
                    ..here
                };
            }
            place = next;
        }
    }
    // Lines that stray to the other side say nothing of it: it has its own.
    let own = |place: usize| {
        let run = (place as f64 + 0.5) * sample;
        let piece = runs.partition_point(|r| *r <= run).saturating_sub(1);
        let ends = (band.get(piece), band.get((piece + 1) % band.len()));
        matches!(ends, (Some(a), Some(b)) if (a.y + b.y) * side.hand.sign() > 0.0)
    };
    let reached = least
        .into_iter()
        .enumerate()
        .filter(|(place, way)| way.length.is_finite() && own(*place))
        .map(|(_, way)| way);
    let most = reached.max_by(|a, b| a.length.total_cmp(&b.length));
    most.map_or_else(Farthest::default, |way| Farthest {
        length: way.length + sample + BETWEEN,
        ..way
    })
}

/// Length along a closed line, with its runs, of its point nearest to a point.
fn run_along(line: &[Point3<f64>], runs: &[f64], p: Point3<f64>) -> Option<f64> {
    let pieces = line.iter().zip(line.iter().cycle().skip(1)).zip(runs);
    pieces
        .map(|((a, b), run)| {
            let along = b - a;
            let long = along.norm_squared().max(f64::MIN_POSITIVE);
            let part = ((p - a).dot(&along) / long).clamp(0.0, 1.0);
            (
                (a + along * part - p).norm_squared(),
                run + part * along.norm(),
            )
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, run)| run)
}

/// Stations at which the widest part of the boat is looked for.
const STATIONS: usize = 64;

/// Width by hand and by girth; `farthest` is that of port and starboard.
pub(super) fn widths(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    frame: &Frame,
    sides: &[Side; 2],
    farthest: [Farthest; 2],
) -> Widths {
    let (hand, hand_post, hand_widest) = by_hand(hull, boat, rules, frame);
    let [port, starboard] = farthest;
    let most = if port.length < starboard.length {
        starboard
    } else {
        port
    };
    Widths {
        hand,
        hand_post,
        hand_widest,
        // The sheet's centerline lies on the ridge: the wider side decides for both.
        girth: 2.0 * (most.length + rules.film_tuck),
        girth_station: most.station,
        girths: girths(sides),
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
