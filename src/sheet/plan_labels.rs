//! Names and lengths round the view of a cover from above: straps, ridge, stations, notes.

use super::cover_drawing::View;
use super::drawing::{Align, Drawing, Pen, Place};
use super::labels::{Labels, width, width_of_lines};
use super::ticks::{Tick, ticks};
use super::words;
use crate::boat::Hand;
use crate::frame::StrapKind;
use crate::plan::Plan;
use crate::units::UnitSystem;

/// A strap that ends farther from the edge than this ends at another post, m.
const AT_EDGE: f64 = 0.05;
/// How far a strap's label may stand aside of the strap's end, in widths of the label.
const ASIDE: [f64; 15] = [
    0.0, 0.25, -0.25, 0.5, -0.5, 0.75, -0.75, 1.0, -1.0, 1.3, -1.3, 1.6, -1.6, 2.0, -2.0,
];
/// How much worse a label stands for a millimeter out than for one aside.
const OUT: f64 = 2.0;
/// White between two labels, over the height of their words.
const BETWEEN: f64 = 0.5;
/// White between the edge and the nearest row of labels, mm.
const NEAREST: f64 = 2.5;
/// Where the edge's reach is looked for beyond its ends: this far inside them, m.
const INSIDE: f64 = 0.01;

/// A word beside a place: near it, if need be over a line, before farther off. Whether it found room.
pub(super) fn note(
    drawing: &mut Drawing,
    labels: &mut Labels,
    height: f64,
    [x, y]: Place,
    text: String,
) -> bool {
    let size = [width(&text, height), height];
    let around = |away: f64| {
        let (left, right) = (x - away - 0.8 - size[0], x + away + 0.8);
        let (above, below) = (y - away - size[1], y + away);
        [
            [right, above],
            [right, below],
            [left, above],
            [left, below],
            [right, y - 0.5 * size[1]],
            [left, y - 0.5 * size[1]],
            [x - 0.5 * size[0], above],
            [x - 0.5 * size[0], below],
        ]
    };
    let near = NEAR.into_iter().flat_map(around);
    let mut found = labels.place(size, near).map(|place| (place, None));
    if found.is_none() {
        // Farther off it needs a leader.
        let led = |[left, top]: Place| {
            let end = [x.clamp(left, left + size[0]), y.clamp(top, top + size[1])];
            // From the rim of the sign.
            let part = SIGN / (end[0] - x).hypot(end[1] - y).max(SIGN);
            let start = [x + part * (end[0] - x), y + part * (end[1] - y)];
            ([left, top], [start, end])
        };
        found = FAR.into_iter().find_map(|away| {
            let places = around(away).map(led);
            let (place, leader) = labels.place_led(size, places)?;
            Some((place, Some(leader)))
        });
    }
    let Some(([left, top], leader)) = found else {
        return false;
    };
    if let Some(leader) = leader {
        drawing.line(leader.to_vec(), Pen::DIMENSION);
    }
    let middle = [left + 0.5 * size[0], top + 0.77 * size[1]];
    drawing.words(middle, text, height, Align::Middle, false);
    true
}

/// How far notes stand off their place without a leader and with one, and the reach of a sign, mm.
const NEAR: [f64; 2] = [1.2, 3.0];
const FAR: [f64; 6] = [5.0, 7.0, 9.0, 11.0, 13.0, 16.0];
const SIGN: f64 = 1.6;

/// Number, anchor and length to cut of each strap on one side, outside the edge where it ends, in some rows. How
/// many found no room.
pub(super) fn strap_labels(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    view: View,
    (hand, rows): (Hand, usize),
    labels: &mut Labels,
) -> usize {
    let (sign, row_height) = (hand.sign(), view.row());
    let mut missed = 0;
    // How far the edge reaches between two places of the paper, m.
    let [aft, fore] = plan.hull.edge.ends();
    let reach = |left: f64, right: f64| {
        let station =
            |x: f64| (view.from + (x - view.left) / view.scale).clamp(aft + INSIDE, fore - INSIDE);
        (0..=4)
            .map(|k| station(left + (right - left) * f64::from(k) / 4.0))
            .filter_map(|x| plan.hull.edge.at_station(x))
            .map(|[starboard, port]| match hand {
                Hand::Port => port.y,
                Hand::Starboard => -starboard.y,
            })
            .fold(0.0, f64::max)
    };
    let straps = plan.frame.straps.iter().zip(&plan.takeoff.straps);
    for (strap, cut) in straps.filter(|(strap, _)| strap.kind != StrapKind::Ridge) {
        let (Some(start), Some(end)) = (strap.plan.first(), strap.plan.last()) else {
            continue;
        };
        if (end.y - start.y) * sign <= 0.0 {
            continue;
        }
        let rim = plan.hull.edge.at(plan.hull.edge.nearest(*end));
        if (rim.xy() - end).norm() > AT_EDGE {
            // From cap to cap: named beside its middle.
            let middle = start + 0.5 * (end - start);
            let text = format!("{} cut {}", strap.id, units.format_length_up(cut.cut));
            let at = view.at(middle.x, middle.y);
            if !note(drawing, labels, view.words, at, text) {
                missed += 1;
            }
            continue;
        }
        let anchor = strap.to.split(',').next().unwrap_or(&strap.to);
        let lines = [
            format!("{} {}", strap.id, words::short(anchor)),
            format!("cut {}", units.format_length_up(cut.cut)),
        ];
        let wide = width_of_lines(&lines, view.words) + BETWEEN * view.words;
        let size = [wide, 2.0 * row_height];
        let foot = view.at(end.x, end.y);
        // The nearest first.
        let mut aways: Vec<[f64; 2]> = (0..rows)
            .flat_map(|row| ASIDE.map(|aside| [2.0 * row_height * row as f64, aside * wide]))
            .collect();
        let far = |[away, aside]: &[f64; 2]| OUT * away + aside.abs();
        aways.sort_by(|a, b| far(a).total_cmp(&far(b)));
        let places = aways.into_iter().map(|[away, aside]| {
            let left = foot[0] + aside - 0.5 * wide;
            let edge = reach(left, left + wide) * view.scale + NEAREST + away;
            let top = view.axis - sign * edge - if sign > 0.0 { size[1] } else { 0.0 };
            let near = if sign > 0.0 { top + size[1] } else { top };
            let leader = [foot, [foot[0].clamp(left, left + wide), near]];
            ([left, top], leader)
        });
        let Some(([left, top], leader)) = labels.place_led(size, places) else {
            missed += 1;
            continue;
        };
        let middle = left + 0.5 * wide;
        drawing.line(leader.to_vec(), Pen::DIMENSION);
        for (row, line) in lines.into_iter().enumerate() {
            let baseline = top + row_height * (row as f64 + 0.75);
            drawing.words(
                [middle, baseline],
                line,
                view.words,
                Align::Middle,
                row == 0,
            );
        }
    }
    missed
}

/// Number, anchor and length to cut of the ridge straps, before the bow.
pub(super) fn ridge_labels(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    view: View,
    labels: &mut Labels,
) {
    let row_height = view.row();
    let straps = plan.frame.straps.iter().zip(&plan.takeoff.straps);
    for (strap, cut) in straps.filter(|(strap, _)| strap.kind == StrapKind::Ridge) {
        if let Some(end) = strap.plan.last() {
            let [_, y] = view.at(end.x, end.y);
            // Beside the foremost point, so that it stays clear of the edge of a blunt bow.
            let [x, _] = view.at(plan.hull.edge.ends()[1], 0.0);
            let x = x + 2.5;
            let name = format!("{} {}", strap.id, words::short(&strap.to));
            let cut = format!("cut {}", units.format_length_up(cut.cut));
            let wide = width_of_lines(&[name.clone(), cut.clone()], view.words);
            labels.take([x - 2.5, y - row_height, x + wide, y + row_height]);
            drawing.words([x, y - 0.6], name, view.words, Align::Start, true);
            let under = [x, y + row_height - 0.6];
            drawing.words(under, cut, view.words, Align::Start, false);
        }
    }
}

/// Stations of the posts from the transom, as ticks on one line.
pub(super) fn stations(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    view: View,
    top: f64,
) {
    let mut stops: Vec<(f64, String)> = vec![
        (0.0, "transom".to_owned()),
        (plan.boat.length, "bow".to_owned()),
    ];
    for post in &plan.frame.posts {
        match stops
            .iter_mut()
            .find(|(station, _)| *station == post.station)
        {
            Some((_, name)) => {
                name.push_str(", ");
                name.push_str(&post.id);
            }
            None => stops.push((post.station, post.id.clone())),
        }
    }
    let ends = [0.0, plan.boat.length].map(|station| view.at(station, 0.0)[0]);
    let all = stops
        .into_iter()
        .map(|(station, name)| Tick {
            x: view.at(station, 0.0)[0],
            name,
            length: units.format_length(station),
        })
        .collect();
    ticks(drawing, all, ends, top + 2.0, view.words);
}
