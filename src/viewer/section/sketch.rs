//! The section as a sketch to scale: where everything stands on the paper, and labels that keep off each other.
//! Plain geometry; [`super::view`] paints it.

use super::cut::{Clearance, HAIR, Plane, Section};
use crate::frame::Post;
use crate::plan::Plan;
use crate::units::{METERS_PER_FOOT, UnitSystem};
use crate::viewer::labels::{Wanted, arrange};
use bevy_egui::egui::{Pos2, Rect, Vec2, pos2, vec2};

/// White round the words of a label, points.
pub const AROUND: f32 = 3.0;
/// Space between the section and its dimensions, points.
const GAP: f32 = 16.0;
/// Labels keep this far off the film's line, points.
const OFF_FILM: f32 = 4.0;
/// Widths that the outermost lines of a section need at least, m, so that a point is not blown up.
const LEAST: f64 = 0.5;

/// From meters of the section to points of the screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Points in a meter.
    pub points: f32,
    middle: [f64; 2],
    center: Pos2,
    /// Seen from astern port is at the left; along the boat the bow is at the right.
    mirrored: bool,
}

impl Scale {
    /// Where a place of the section is on the screen.
    pub fn at(&self, p: [f64; 2]) -> Pos2 {
        let side = if self.mirrored { -1.0 } else { 1.0 };
        let x = (p[0] - self.middle[0]) as f32 * side;
        let y = (p[1] - self.middle[1]) as f32;
        self.center + vec2(x, -y) * self.points
    }
}

/// A label in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// What it points at.
    pub anchor: Pos2,
    /// Where it lies.
    pub place: Rect,
    /// Its lines.
    pub lines: Vec<String>,
    /// It speaks of film under the rule.
    pub fault: bool,
}

/// A dimension: a line with its ends, and words beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct Dimension {
    /// The ends.
    pub ends: [Pos2; 2],
    /// Where its words lie.
    pub place: Rect,
    /// Its words.
    pub words: String,
}

/// A section laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch {
    /// From meters to points.
    pub scale: Scale,
    /// Labels that found room.
    pub labels: Vec<Placed>,
    /// Labels that found none.
    pub missed: usize,
    /// Dimensions at the rim.
    pub dimensions: Vec<Dimension>,
    /// Where a bar to judge lengths by is drawn, and its words.
    pub bar: (Rect, &'static str),
}

/// Lays a section out in a rectangle. `measure` says how large words are.
pub fn lay_out(
    section: &Section,
    plan: &Plan,
    units: UnitSystem,
    room: Rect,
    measure: &dyn Fn(&str) -> Vec2,
) -> Sketch {
    let heights = heights(section, plan, units);
    let row = measure("0").y;
    let widest = heights
        .iter()
        .map(|(_, words)| measure(words).x)
        .fold(0.0, f32::max);
    let inner = Rect::from_min_max(
        room.min + vec2(widest + 2.0 * GAP, 2.6 * row),
        room.max - vec2(widest + 2.0 * GAP, 2.2 * row),
    );
    let scale = scale(section, inner);
    let mut dimensions = Vec::new();
    let extent = extent(section);
    let [left, right] = {
        let ends = [extent[0][0], extent[1][0]].map(|u| scale.at([u, 0.0]).x);
        [ends[0].min(ends[1]), ends[0].max(ends[1])]
    };
    // Heights of the ridge: over the ground at the left, over the sole at the right.
    for (k, ([low, high], words)) in heights.into_iter().enumerate() {
        let x = if k == 0 { left - GAP } else { right + GAP };
        let ends = [low, high].map(|z| pos2(x, scale.at([0.0, z]).y));
        let size = measure(&words);
        let middle = 0.5 * (ends[0].y + ends[1].y);
        let start = if k == 0 { x - 5.0 - size.x } else { x + 5.0 };
        let place = Rect::from_min_size(pos2(start, middle - 0.5 * size.y), size);
        dimensions.push(Dimension { ends, place, words });
    }
    let floor = scale.at([0.0, section.ground]).y + 0.6 * row;
    dimensions.extend(breadths(section, units, &scale, floor, measure));
    let said = said(section, plan, units);
    let wanted: Vec<Wanted> = said
        .iter()
        .map(|(at, lines, _)| {
            let sizes = || lines.iter().map(|line| measure(line));
            let wide = sizes().map(|size| size.x).fold(0.0, f32::max);
            let high: f32 = sizes().map(|size| size.y).sum();
            Wanted {
                anchor: scale.at(*at),
                size: vec2(wide, high) + Vec2::splat(2.0 * AROUND),
            }
        })
        .collect();
    let bar = bar(&scale, units, room, measure);
    let mut taken: Vec<Rect> = vec![bar.0];
    for dimension in &dimensions {
        taken.push(dimension.place.expand(2.0));
        taken.push(Rect::from_two_pos(dimension.ends[0], dimension.ends[1]).expand(2.0));
    }
    taken.extend(along_film(section, &scale));
    // Beside the hull and over it there is room enough.
    for line in &section.hull {
        let corners: Vec<Pos2> = line.iter().map(|p| scale.at(*p)).collect();
        taken.push(Rect::from_points(&corners));
    }
    let places = arrange(&wanted, &taken, room);
    let mut labels = Vec::new();
    let mut missed = 0;
    for (((_, lines, fault), wanted), place) in said.into_iter().zip(&wanted).zip(places) {
        match place {
            Some(place) => labels.push(Placed {
                anchor: wanted.anchor,
                place,
                lines,
                fault,
            }),
            None => missed += 1,
        }
    }
    Sketch {
        scale,
        labels,
        missed,
        dimensions,
        bar,
    }
}

/// A bar to judge lengths by at the lower right: the line is the lower side of its place.
fn bar(
    scale: &Scale,
    units: UnitSystem,
    room: Rect,
    measure: &dyn Fn(&str) -> Vec2,
) -> (Rect, &'static str) {
    let (length, words) = match units {
        UnitSystem::FeetInches => (METERS_PER_FOOT, "1 ft"),
        UnitSystem::Metric => (0.5, "0.5 m"),
    };
    let size = measure(words);
    let corner = room.max - vec2(10.0, 4.0);
    let wide = length as f32 * scale.points;
    (
        Rect::from_min_max(corner - vec2(wide, size.y + 3.0), corner),
        words,
    )
}

/// Lowest and highest places of all that is cut.
fn extent(section: &Section) -> [[f64; 2]; 2] {
    let lines = section
        .hull
        .iter()
        .chain(section.things.iter().map(|(_, line)| line))
        .chain(section.film.iter().map(|cut| &cut.points))
        .chain(&section.skirt);
    let mut low = [f64::INFINITY, section.ground];
    let mut high = [f64::NEG_INFINITY, section.ground + LEAST];
    for p in lines.flatten() {
        for k in 0..2 {
            low[k] = low[k].min(p[k]);
            high[k] = high[k].max(p[k]);
        }
    }
    if high[0] < low[0] + LEAST {
        let middle = if high[0] < low[0] {
            0.0
        } else {
            0.5 * (low[0] + high[0])
        };
        low[0] = middle - 0.5 * LEAST;
        high[0] = middle + 0.5 * LEAST;
    }
    [low, high]
}

fn scale(section: &Section, inner: Rect) -> Scale {
    let [low, high] = extent(section);
    let across = f64::from(inner.width().max(1.0)) / (high[0] - low[0]);
    let up = f64::from(inner.height().max(1.0)) / (high[1] - low[1]);
    Scale {
        points: across.min(up) as f32,
        middle: [0, 1].map(|k| 0.5 * (low[k] + high[k])),
        center: inner.center(),
        mirrored: matches!(section.plane, Plane::Across(_)),
    }
}

/// Heights of the ridge over ground and sole, with their words.
fn heights(section: &Section, plan: &Plan, units: UnitSystem) -> Vec<([f64; 2], String)> {
    let Some([_, ridge]) = section.ridge else {
        return Vec::new();
    };
    [(section.ground, "ground"), (plan.boat.sole, "sole")]
        .into_iter()
        .map(|(foot, over)| {
            let words = format!("{} over {over}", units.format_length(ridge - foot));
            ([foot, ridge], words)
        })
        .collect()
}

/// Half widths at the edge line under a section across, the length under one along.
fn breadths(
    section: &Section,
    units: UnitSystem,
    scale: &Scale,
    y: f32,
    measure: &dyn Fn(&str) -> Vec2,
) -> Vec<Dimension> {
    let Some([from, to]) = section.edge else {
        return Vec::new();
    };
    let line = |a: f64, b: f64, words: String, lower: bool| {
        let ends = [a, b].map(|u| pos2(scale.at([u, 0.0]).x, y));
        let size = measure(&words);
        let drop = if lower { size.y } else { 0.0 };
        let middle = pos2(0.5 * (ends[0].x + ends[1].x), y + 2.0 + drop + 0.5 * size.y);
        Dimension {
            ends,
            place: Rect::from_center_size(middle, size),
            words,
        }
    };
    match section.plane {
        Plane::Across(_) => {
            let half = |u: f64| units.format_length(u.abs());
            let halves = [
                line(from[0], 0.0, half(from[0]), false),
                line(0.0, to[0], half(to[0]), false),
            ];
            // Where the words have no room side by side they are said together.
            let [a, b] = &halves;
            if a.place.expand(3.0).intersects(b.place) {
                let words = format!("{} + {}", half(to[0]), half(from[0]));
                vec![line(from[0], to[0], words, false)]
            } else {
                halves.to_vec()
            }
        }
        Plane::Along(_) => {
            let words = units.format_length(to[0] - from[0]);
            vec![line(from[0], to[0], words, false)]
        }
    }
}

/// What labels say and what they point at, the weightiest first.
fn said(section: &Section, plan: &Plan, units: UnitSystem) -> Vec<([f64; 2], Vec<String>, bool)> {
    let mut said = Vec::new();
    if let Some((least, at)) = section.least {
        let under = least < plan.rules.min_slope;
        let mut lines = vec![format!("least slope {}", units.format_angle(least))];
        if under {
            lines.push(format!(
                "under {}",
                units.format_angle(plan.rules.min_slope)
            ));
        }
        said.push((at, lines, under));
    }
    let mut stretches = section.stretches.clone();
    let length = |ends: &[[f64; 2]; 2]| (ends[1][0] - ends[0][0]).hypot(ends[1][1] - ends[0][1]);
    stretches.sort_by(|a, b| length(&b.ends).total_cmp(&length(&a.ends)));
    for stretch in stretches {
        let [a, b] = stretch.ends;
        let middle = [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])];
        said.push((middle, vec![slope_words(stretch.slope, units)], false));
    }
    for clearance in &section.clearances {
        let at = [clearance.along, clearance.top];
        said.push((at, vec![clearance_words(clearance, plan, units)], false));
    }
    for post in section
        .posts
        .iter()
        .filter_map(|k| plan.frame.posts.get(*k))
    {
        let at = section.plane.axis().seen(&post.top());
        said.push((at, vec![post_words(post, section.plane, units)], false));
    }
    for strap in &section.straps {
        let name = plan.frame.straps.get(strap.strap).map(|s| s.id.clone());
        let at = strap.line.get(strap.line.len() / 2);
        if let Some((name, at)) = name.zip(at) {
            said.push((*at, vec![name], false));
        }
    }
    if let Some(first) = section.band.first() {
        said.push((*first, vec!["band".to_owned()], false));
    }
    said
}

/// A slope as pitch and degrees.
pub fn slope_words(slope: f64, units: UnitSystem) -> String {
    format!(
        "{}, {}",
        units.format_pitch(slope),
        units.format_angle(slope)
    )
}

/// How far the film clears a box, in words.
pub fn clearance_words(clearance: &Clearance, plan: &Plan, units: UnitSystem) -> String {
    let name = plan
        .hull
        .things
        .get(clearance.thing)
        .map_or("box", |thing| thing.name.as_str());
    if clearance.gap() < HAIR {
        format!("on {name}")
    } else {
        format!("{} over {name}", units.format_length(clearance.gap()))
    }
}

/// A post near the plane, in words.
pub fn post_words(post: &Post, plane: Plane, units: UnitSystem) -> String {
    let off = plane.axis().along(&post.top()) - plane.at();
    if off.abs() <= HAIR {
        return post.id.clone();
    }
    let way = match (plane, off > 0.0) {
        (Plane::Across(_), true) => "forward",
        (Plane::Across(_), false) => "aft",
        (Plane::Along(_), true) => "to port",
        (Plane::Along(_), false) => "to starboard",
    };
    format!("{}, {} {way}", post.id, units.format_length(off.abs()))
}

/// Small squares along the film, off which labels keep.
fn along_film(section: &Section, scale: &Scale) -> Vec<Rect> {
    let mut squares: Vec<Rect> = Vec::new();
    for cut in &section.film {
        for pair in cut.points.windows(2) {
            let &[a, b] = pair else { continue };
            let (a, b) = (scale.at(a), scale.at(b));
            let pieces = ((b - a).length() / (2.0 * OFF_FILM)).ceil().max(1.0) as usize;
            for k in 0..pieces {
                let p = a + (b - a) * (k as f32 / pieces as f32);
                let square = Rect::from_center_size(p, Vec2::splat(2.0 * OFF_FILM));
                let crowded = squares
                    .last()
                    .is_some_and(|last| (last.center() - p).length() < OFF_FILM);
                if !crowded {
                    squares.push(square);
                }
            }
        }
    }
    squares
}

#[cfg(test)]
mod tests {
    use super::super::cut::cut;
    use super::*;
    use crate::boat::presets;
    use crate::plan::plan;

    /// Words some 7 points wide a letter, 16 high.
    fn measure(words: &str) -> Vec2 {
        vec2(7.0 * words.chars().count() as f32, 16.0)
    }

    #[test]
    fn sections_are_to_scale_and_nothing_lies_on_anything() {
        let room = Rect::from_min_max(pos2(170.0, 30.0), pos2(1020.0, 260.0));
        for preset in presets() {
            let mut boat = preset.boat().unwrap();
            boat.rules.coarsen(3.0);
            let plan = plan(&boat, &boat.rules).unwrap();
            let posts = plan.frame.posts.iter();
            let mut planes: Vec<Plane> = posts.map(|post| Plane::Across(post.station)).collect();
            planes.extend([0.1, 0.5, 0.9].map(|part| Plane::Across(part * boat.length)));
            planes.extend([Plane::Along(0.0), Plane::Along(0.3 * boat.beam)]);
            for plane in planes {
                let section = cut(&plan, plane);
                let sketch = lay_out(&section, &plan, UnitSystem::FeetInches, room, &measure);
                let told = format!("{} {plane:?}", preset.name);
                // To scale: the same points in a meter both ways, and all of it in the room.
                let at = |p: [f64; 2]| sketch.scale.at(p);
                let (a, b) = (at([0.0, 0.0]), at([1.0, 1.0]));
                assert!(((b.x - a.x).abs() - (a.y - b.y)).abs() < 1e-2, "{told}");
                for line in section.hull.iter().chain(&section.skirt) {
                    for p in line {
                        assert!(room.contains(at(*p)), "{told}: {p:?}");
                    }
                }
                if let Some(edge) = section.edge {
                    let port_left = at(edge[1]).x < at(edge[0]).x;
                    assert_eq!(port_left, matches!(plane, Plane::Across(_)), "{told}");
                }
                let mut places: Vec<Rect> = sketch.labels.iter().map(|l| l.place).collect();
                places.extend(sketch.dimensions.iter().map(|d| d.place));
                places.push(sketch.bar.0);
                for (k, place) in places.iter().enumerate() {
                    assert!(room.expand(1.0).contains_rect(*place), "{told}: {place:?}");
                    for other in &places[k + 1..] {
                        assert!(!place.intersects(*other), "{told}: {place:?} {other:?}");
                    }
                }
                // The weightiest always find room.
                assert!(
                    sketch.labels.len() > sketch.missed,
                    "{told}: {}",
                    sketch.missed
                );
            }
        }
    }
}
