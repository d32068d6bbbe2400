//! A section athwart at a post, seen from astern: port is on the left.

use super::signs;
use crate::boat::Hand;
use crate::frame::{Post, StrapKind};
use crate::geom::mesh::Mesh;
use crate::geom::slice::{Cut, slice};
use crate::plan::Plan;
use crate::sheet::drawing::{Align, Drawing, Fill, Pen, Place};
use crate::sheet::flow::wrapped;
use crate::sheet::labels::{Labels, width_of_lines};
use crate::sheet::text_width;
use crate::sheet::words;
use crate::units::{METERS_PER_FOOT, UnitSystem};

/// The slope at the edge is read over this breadth of film inside it, m: a foot.
pub(super) const OUTER: f64 = METERS_PER_FOOT;
/// White between parts of the drawing, mm.
const GAP: f64 = 2.0;
/// Height of a row of words over that of the words.
const ROW: f64 = 1.29;
/// Least width of the words over a section, mm.
const TITLE: f64 = 46.0;
/// What is so near to a station is at it, m.
const HAIR: f64 = 2e-3;
/// Half of a band's mark, mm.
const MARK: f64 = 0.8;

/// Posts at one station.
pub(super) struct Stop<'a> {
    /// Station, m.
    pub station: f64,
    /// Posts there with their places in the frame; none where the ridge needs none.
    pub posts: Vec<(usize, &'a Post)>,
}

/// Stations of the posts from the stern; the middle of the boat where there are none.
pub(super) fn stops(plan: &Plan) -> Vec<Stop<'_>> {
    let mut stops: Vec<Stop> = Vec::new();
    for (index, post) in plan.frame.posts.iter().enumerate() {
        match stops.iter_mut().find(|stop| stop.station == post.station) {
            Some(stop) => stop.posts.push((index, post)),
            None => stops.push(Stop {
                station: post.station,
                posts: vec![(index, post)],
            }),
        }
    }
    if stops.is_empty() {
        stops.push(Stop {
            station: 0.5 * plan.boat.length,
            posts: Vec::new(),
        });
    }
    stops
}

/// From boat to paper: port to the left.
#[derive(Clone, Copy)]
struct Athwart {
    scale: f64,
    words: f64,
}

impl Athwart {
    fn at(self, offset: f64, height: f64) -> Place {
        [-offset * self.scale, -height * self.scale]
    }
}

/// Draws the section about its own origin. How many labels found no room.
pub(super) fn section(
    plan: &Plan,
    skirted: &Mesh,
    units: UnitSystem,
    stop: &Stop,
    scale: f64,
    words: f64,
) -> (Drawing, usize) {
    let room = text_width("99.9:12", words, true);
    let (part, missed) = drawn(plan, skirted, units, stop, scale, words, 0.0);
    if missed == 0 {
        return (part, 0);
    }
    // Room for the slopes between film and dimensions.
    drawn(plan, skirted, units, stop, scale, words, room)
}

/// The same with some more white beside the hull, mm.
fn drawn(
    plan: &Plan,
    skirted: &Mesh,
    units: UnitSystem,
    stop: &Stop,
    scale: f64,
    words: f64,
    beside: f64,
) -> (Drawing, usize) {
    let mut part = Drawing::part();
    let view = Athwart { scale, words };
    let mut labels = Labels::default();
    let under = boat(&mut part, plan, stop.station, view);
    sole(&mut part, plan, stop.station, view);
    let straps = side_straps(&mut part, plan, stop, view);
    let film = cover(&mut part, plan, skirted, stop.station, view, &mut labels);
    posts(&mut part, plan, stop, view, &mut labels);
    heights(
        &mut part,
        plan,
        units,
        stop,
        &film,
        (view, beside),
        &mut labels,
    );
    breadth(&mut part, plan, units, stop.station, view);
    let mut missed = 0;
    for hand in Hand::BOTH {
        missed += usize::from(!slope(
            &mut part,
            [&film, &straps],
            units,
            hand,
            view,
            &mut labels,
        ));
    }
    title(&mut part, plan, units, stop, &under, words);
    (part, missed)
}

/// The hull and what stands on it; the names of the latter.
fn boat(part: &mut Drawing, plan: &Plan, station: f64, view: Athwart) -> Vec<String> {
    let areas = |part: &mut Drawing, mesh: &Mesh, fill: Fill, pen: Pen| {
        // A post often stands right on the end of a box: what is within a hair of it counts too.
        let cuts = [0.0, -HAIR, HAIR]
            .iter()
            .map(|by| slice(mesh, station + by))
            .find(|cuts| !cuts.is_empty())
            .unwrap_or_default();
        let mut any = false;
        for cut in cuts.iter().filter(|cut| cut.points.len() > 2) {
            let points = cut.points.iter().map(|[y, z]| view.at(*y, *z)).collect();
            part.outline(points, Some(fill), pen);
            any = true;
        }
        any
    };
    for body in &plan.hull.bodies {
        areas(part, body, Fill::Gray(0.93), Pen::OUTLINE);
    }
    let mut names = Vec::new();
    for thing in &plan.hull.things {
        if areas(part, &thing.mesh, Fill::Gray(0.8), Pen::THING) {
            let name = ["port", "starboard"]
                .iter()
                .find_map(|side| thing.name.strip_suffix(&format!(", {side}")))
                .unwrap_or(&thing.name);
            let name = words::short(name);
            if !names.contains(&name) {
                names.push(name);
            }
        }
    }
    names
}

/// The sole, as far as the hull reaches at its height.
fn sole(part: &mut Drawing, plan: &Plan, station: f64, view: Athwart) {
    let height = plan.boat.sole;
    let mut reach: Option<[f64; 2]> = None;
    for cut in plan
        .hull
        .bodies
        .iter()
        .flat_map(|body| slice(body, station))
    {
        let round = cut.points.iter().zip(cut.points.iter().cycle().skip(1));
        for ([ya, za], [yb, zb]) in round {
            if (za - height) * (zb - height) < 0.0 {
                let y = ya + (height - za) / (zb - za) * (yb - ya);
                reach = Some(reach.map_or([y, y], |[low, high]| [low.min(y), high.max(y)]));
            }
        }
    }
    if let Some([low, high]) = reach {
        part.line(
            vec![view.at(low, height), view.at(high, height)],
            Pen::LEVEL,
        );
    }
}

/// The film down to the band on both sides, its ends marked; the film over the edge alone.
fn cover(
    part: &mut Drawing,
    plan: &Plan,
    skirted: &Mesh,
    station: f64,
    view: Athwart,
    labels: &mut Labels,
) -> Vec<[f64; 2]> {
    for cut in slice(skirted, station) {
        let points: Vec<Place> = cut.points.iter().map(|[y, z]| view.at(*y, *z)).collect();
        labels.keep_off(&points);
        for [x, y] in [points.first(), points.last()]
            .into_iter()
            .flatten()
            .copied()
        {
            if !cut.closed {
                signs::square(part, [x, y], MARK);
            }
        }
        part.line(points, Pen::FILM);
    }
    let breadth = |cut: &Cut| {
        let y = || cut.points.iter().map(|p| p[0]);
        y().fold(f64::NEG_INFINITY, f64::max) - y().fold(f64::INFINITY, f64::min)
    };
    let widest = slice(&plan.cover.mesh, station)
        .into_iter()
        .max_by(|a, b| breadth(a).total_cmp(&breadth(b)));
    widest.map_or_else(Vec::new, |cut| cut.points)
}

/// Side straps of the posts, as they fall athwart, one behind the other.
fn side_straps(part: &mut Drawing, plan: &Plan, stop: &Stop, view: Athwart) -> Vec<Place> {
    let mut outline = Vec::new();
    for (strap, shape) in plan.frame.straps.iter().zip(&plan.cover.straps) {
        let here = stop.posts.iter().any(|(_, post)| post.id == strap.from);
        if strap.kind != StrapKind::Side || !here {
            continue;
        }
        let points: Vec<Place> = shape
            .nodes
            .iter()
            .filter_map(|node| plan.cover.mesh.vertices.get(*node as usize))
            .map(|p| view.at(p.y, p.z))
            .collect();
        outline.extend(&points);
        part.line(points, STRAP);
    }
    outline
}

/// Side straps lie right under the film, so they are a broad gray line under its black one.
pub(super) const STRAP: Pen = Pen {
    width: 1.4,
    gray: 0.7,
    ..Pen::OUTLINE
};

fn posts(part: &mut Drawing, plan: &Plan, stop: &Stop, view: Athwart, labels: &mut Labels) {
    let half = 0.5 * plan.rules.cap_diameter;
    for (_, post) in &stop.posts {
        let line = [post.base, post.cap].map(|z| view.at(post.offset, z));
        labels.keep_off(&line);
        part.line(line.to_vec(), Pen::POST);
        for z in [post.base, post.cap] {
            let ends = [-half, half].map(|y| view.at(post.offset + y, z));
            part.line(ends.to_vec(), Pen::POST);
        }
    }
}

/// Heights of the cap: over the sole on the left, over the rub rail on the right.
fn heights(
    part: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    stop: &Stop,
    film: &[[f64; 2]],
    (view, beside): (Athwart, f64),
    labels: &mut Labels,
) {
    let bounds = part.bounds();
    let top = film.iter().map(|p| p[1]).fold(f64::NEG_INFINITY, f64::max);
    let (cap, over_rail) = match stop.posts.first() {
        Some((index, post)) => {
            let cut = plan.takeoff.posts.get(*index);
            (post.cap, cut.map(|cut| cut.over_rub_rail))
        }
        None if top.is_finite() => (top, None),
        None => return,
    };
    let sides = [
        (bounds[0] - GAP - beside, plan.boat.sole, "over sole"),
        (
            bounds[2] + GAP + view.words + beside,
            cap - over_rail.unwrap_or(0.0),
            "over rub rail",
        ),
    ];
    for (index, (x, foot, what)) in sides.into_iter().enumerate() {
        if index == 1 && over_rail.is_none() {
            continue;
        }
        let [high, low] = [cap, foot].map(|z| view.at(0.0, z)[1]);
        let text = format!("{} {what}", units.format_length(cap - foot));
        // Words that are longer than the line reach past it at its foot, where there is nothing.
        let reach = text_width(&text, view.words, false);
        let middle = if reach > low - high {
            high + 0.5 * reach
        } else {
            0.5 * (high + low)
        };
        part.line(vec![[x, high], [x, low]], Pen::DIMENSION);
        for y in [high, low] {
            part.line(vec![[x - 1.2, y], [x + 1.2, y]], Pen::DIMENSION);
        }
        part.items.push(crate::sheet::Item::Text {
            at: [x - 1.2, middle],
            text,
            height: view.words,
            align: Align::Middle,
            bold: false,
            upright: true,
        });
        labels.take([x - 1.2 - view.words, high, x + 1.2, low.max(high + reach)]);
    }
}

/// Breadth at the edge, under the section.
fn breadth(part: &mut Drawing, plan: &Plan, units: UnitSystem, station: f64, view: Athwart) {
    let Some([starboard, port]) = plan.hull.edge.at_station(station) else {
        return;
    };
    let y = part.bounds()[3] + GAP + ROW * view.words;
    let ends = [port, starboard].map(|p| view.at(p.y, 0.0)[0]);
    let text = units.format_length(port.y - starboard.y);
    part.level_dimension(y, ends, text, view.words);
}

/// Slope of the film athwart at the edge on one side, rad.
fn slope_at_edge(film: &[[f64; 2]], hand: Hand) -> Option<(f64, [f64; 2])> {
    let outward = |p: &[f64; 2]| hand.sign() * p[0];
    let mut line: Vec<[f64; 2]> = film.to_vec();
    if outward(line.first()?) < outward(line.last()?) {
        line.reverse();
    }
    let edge = *line.first()?;
    let inside = |p: &&[f64; 2]| outward(&edge) - outward(p) >= OUTER;
    let far = line.iter().position(|p| inside(&p))?;
    let (a, b) = (line.get(far.checked_sub(1)?)?, line.get(far)?);
    // The point exactly that far in.
    let part = (outward(&edge) - outward(a) - OUTER) / (outward(b) - outward(a));
    let z = a[1] + part * (b[1] - a[1]);
    let rise = z - edge[1];
    Some((
        rise.atan2(OUTER),
        [edge[0] - hand.sign() * 0.5 * OUTER, 0.5 * (edge[1] + z)],
    ))
}

/// Steps up the film at which its slope may stand.
const STEPS_UP: u8 = 12;
/// White between the film and its slope, mm.
const BESIDE_FILM: f64 = 1.2;

/// How far a line reaches to a side (the sign of x) between two heights of the paper.
fn outermost(line: &[Place], side: f64, [top, bottom]: [f64; 2]) -> Option<f64> {
    let mut found: Option<f64> = None;
    for pair in line.windows(2) {
        let &[a, b] = pair else { continue };
        let (low, high) = (a[1].min(b[1]).max(top), a[1].max(b[1]).min(bottom));
        if low > high {
            continue;
        }
        for y in [low, high] {
            let part = if a[1] == b[1] {
                0.0
            } else {
                (y - a[1]) / (b[1] - a[1])
            };
            let x = a[0] + part * (b[0] - a[0]);
            found = Some(found.map_or(x, |known| {
                if side > 0.0 {
                    known.max(x)
                } else {
                    known.min(x)
                }
            }));
        }
    }
    found
}

/// Writes it as pitch and degrees outside the film. Whether it found room.
fn slope(
    part: &mut Drawing,
    [film, straps]: [&[[f64; 2]]; 2],
    units: UnitSystem,
    hand: Hand,
    view: Athwart,
    labels: &mut Labels,
) -> bool {
    let Some((slope, [y, z])) = slope_at_edge(film, hand) else {
        return true;
    };
    let lines = [units.format_pitch(slope), units.format_angle(slope)];
    let wide = width_of_lines(&lines, view.words);
    let size = [wide, 2.0 * ROW * view.words];
    let [_, level] = view.at(y, z);
    // Port is on the left.
    let side = -hand.sign();
    let outline: Vec<Place> = film.iter().map(|[y, z]| view.at(*y, *z)).collect();
    // Right outside film and straps, wherever up the film there is room for it; else over a strap.
    let outside = |lines: &[&[Place]]| -> Vec<Place> {
        (0..STEPS_UP)
            .filter_map(|step| {
                let top = level - size[1] - 1.5 * f64::from(step);
                let reach = |line: &&[Place]| outermost(line, side, [top, top + size[1]]);
                // Without film beside it there is nothing that it would belong to.
                outermost(lines.first()?, side, [top, top + size[1]])?;
                let near = lines
                    .iter()
                    .filter_map(reach)
                    .max_by(|a, b| (side * a).total_cmp(&(side * b)))?
                    + BESIDE_FILM * side;
                let left = if side > 0.0 { near } else { near - wide };
                Some([left, top])
            })
            .collect()
    };
    let mut places = outside(&[&outline, straps]);
    places.extend(outside(&[&outline]));
    let Some([left, top]) = labels.place(size, places) else {
        return false;
    };
    for (row, line) in lines.into_iter().enumerate() {
        let base = [
            left + 0.5 * wide,
            top + ROW * view.words * (row as f64 + 0.75),
        ];
        part.words(base, line, view.words, Align::Middle, row == 0);
    }
    true
}

/// Names, footings and lengths to cut over the section.
fn title(
    part: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    stop: &Stop,
    under: &[String],
    height: f64,
) {
    let bounds = part.bounds();
    let room = (bounds[2] - bounds[0]).max(TITLE);
    let names: Vec<&str> = stop
        .posts
        .iter()
        .map(|(_, post)| post.id.as_str())
        .collect();
    let name = if names.is_empty() {
        "no post".to_owned()
    } else {
        names.join(", ")
    };
    let mut lines = vec![format!(
        "{name}: station {}",
        units.format_length(stop.station)
    )];
    let mut said: Vec<String> = Vec::new();
    for (index, post) in &stop.posts {
        let cut = plan.takeoff.posts.get(*index).map_or(0.0, |cut| cut.cut);
        let text = format!(
            "on {}, cut {}",
            words::short(&post.footing),
            units.format_length(cut)
        );
        if !said.contains(&text) {
            said.push(text);
        }
    }
    if !under.is_empty() {
        said.push(format!("there: {}", under.join(", ")));
    }
    lines.extend(
        said.iter()
            .flat_map(|text| wrapped(text, room, height, false)),
    );
    let high = ROW * height * lines.len() as f64;
    let middle = 0.5 * (bounds[0] + bounds[2]);
    for (row, line) in lines.into_iter().enumerate() {
        let y = bounds[1] - GAP - high + ROW * height * (row as f64 + 0.75);
        part.words([middle, y], line, height, Align::Middle, row == 0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slopes_at_the_edge_of_a_roof() {
        // A roof of 6:12 to port, 12:12 to starboard, its ridge at 2 m.
        let roof = [[-1.0, 1.0], [0.0, 2.0], [0.5, 1.75], [2.0, 1.0]];
        let reversed: Vec<[f64; 2]> = roof.iter().rev().copied().collect();
        for line in [&roof[..], &reversed] {
            for (hand, wanted) in [(Hand::Port, 0.5f64), (Hand::Starboard, 1.0)] {
                let (slope, _) = slope_at_edge(line, hand).unwrap();
                assert!((slope.tan() - wanted).abs() < 1e-12, "{hand:?} {slope}");
            }
        }
        assert!(slope_at_edge(&[], Hand::Port).is_none());
        assert!(slope_at_edge(&[[0.0, 1.0], [0.1, 1.0]], Hand::Port).is_none());
    }
}
