//! Labels in the scene: what a piece is, where it stands, how long it is cut. None lies on another.

use super::camera::{Orbit, Pose, SceneCamera};
use super::canvas::{Canvas, Layout, painter};
use super::convert;
use super::display::Display;
use super::look::{self, Look};
use super::scene::{PERSON, Stage, person_at, strap_points};
use super::shown::Hanging;
use crate::film::PleatKind;
use crate::frame::StrapKind;
use crate::plan::Plan;
use crate::units::UnitSystem;
use crate::view::Show;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};
use egui::{Pos2, Rect};
use nalgebra::Point3;
use std::sync::Arc;

/// What a label says, and what about.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// What it points at, m: the nearest of these places.
    pub at: Vec<Point3<f64>>,
    /// Its lines; the first names the thing.
    pub lines: Vec<String>,
    /// What it is about.
    pub kind: Kind,
}

/// What a label is about; labels of earlier kinds get the better places.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A post.
    Post,
    /// Film that holds snow or water.
    Fault,
    /// Where loaded film has sagged most.
    Sag,
    /// The flattest film.
    Flattest,
    /// A strap.
    Strap,
    /// A pleat.
    Pleat,
    /// A measure of comparison.
    Scale,
}

/// The labels of a plan for what is shown of it.
pub fn labels(plan: &Plan, display: &Display, units: UnitSystem) -> Vec<Label> {
    let mut labels = posts(plan, units);
    if display.has_film() {
        labels.extend(faults(plan, units));
    }
    match display.show() {
        Show::Slope => labels.push(Label {
            at: vec![plan.cover.least_slope_at],
            lines: flattest(plan, units),
            kind: Kind::Flattest,
        }),
        Show::Film => labels.extend(pleats(plan, units)),
        Show::Frame => labels.extend(straps(plan, units)),
    }
    let mut middle = person_at(plan);
    middle.z += PERSON;
    labels.push(Label {
        at: vec![middle],
        lines: vec![units.format_length_short(PERSON)],
        kind: Kind::Scale,
    });
    labels
}

/// Fewer and shorter ones, for a plan that stands beside another: how high the posts are, and what holds.
pub fn short_labels(plan: &Plan, display: &Display, units: UnitSystem) -> Vec<Label> {
    let mut labels = posts(plan, units);
    for label in &mut labels {
        // Name and cap.
        label.lines.truncate(3);
        if label.lines.len() == 3 {
            label.lines.remove(1);
        }
    }
    if display.has_film() {
        labels.extend(faults(plan, units).into_iter().map(|mut label| {
            // What it is, and how much.
            label.lines.truncate(2);
            label
        }));
    }
    labels
}

fn posts(plan: &Plan, units: UnitSystem) -> Vec<Label> {
    let length = |meters: f64| units.format_length(meters);
    plan.frame
        .posts
        .iter()
        .zip(&plan.takeoff.posts)
        .map(|(post, cut)| Label {
            at: vec![post.top()],
            lines: vec![
                post.id.clone(),
                format!("station {}", length(post.station)),
                format!("cap {} over sole", length(cut.over_sole)),
                format!("cut {}", length(cut.cut)),
            ],
            kind: Kind::Post,
        })
        .collect()
}

/// What a load adds: what each post carries, in place of where it stands, and the greatest sag.
fn add_load(labels: &mut Vec<Label>, hanging: &Hanging, units: UnitSystem) {
    let Some(loaded) = hanging.loaded() else {
        return;
    };
    let posts = labels.iter_mut().filter(|label| label.kind == Kind::Post);
    for (post, load) in posts.zip(&loaded.post_loads) {
        post.lines.truncate(1);
        post.lines
            .push(format!("carries {}", units.format_force(*load)));
    }
    if loaded.max_sag > MIN_SAG {
        labels.push(Label {
            at: vec![loaded.max_sag_at],
            lines: vec![
                format!("sags {}", units.format_length(loaded.max_sag)),
                format!("under {}", loaded.case.words()),
            ],
            kind: Kind::Sag,
        });
    }
}

/// Less sag is not labeled, m: nobody sees it.
const MIN_SAG: f64 = 0.005;

fn faults(plan: &Plan, units: UnitSystem) -> Vec<Label> {
    let patches = plan.cover.patches.iter();
    let mut labels: Vec<Label> = patches
        .filter(|patch| patch.area > plan.rules.holding_patch)
        .map(|patch| Label {
            at: vec![patch.centroid],
            lines: vec![
                "holding patch".to_owned(),
                units.format_area(patch.area),
                format!("down to {}", units.format_angle(patch.least_slope)),
            ],
            kind: Kind::Fault,
        })
        .collect();
    labels.extend(plan.cover.ponds.iter().map(|pond| Label {
        at: vec![pond.deepest],
        lines: vec![
            "pond".to_owned(),
            format!(
                "{}, {} deep",
                units.format_volume(pond.volume),
                units.format_length(pond.depth)
            ),
        ],
        kind: Kind::Fault,
    }));
    labels
}

/// The flattest film, and how much of it hangs together: a plan may well shed with a flat place smaller than is
/// tolerated.
fn flattest(plan: &Plan, units: UnitSystem) -> Vec<String> {
    let least = plan.cover.least_slope;
    let mut lines = vec![format!("least slope {}", units.format_angle(least))];
    // The patch whose flattest triangle it is.
    if let Some(patch) = plan
        .cover
        .patches
        .iter()
        .find(|patch| patch.least_slope == least)
    {
        lines.push(format!("on {}", units.format_area(patch.area)));
    }
    lines
}

/// One label for a strap, or for a pair of the same cut.
fn straps(plan: &Plan, units: UnitSystem) -> Vec<Label> {
    let mut labels: Vec<Label> = Vec::new();
    let mut from: Option<String> = None;
    for (index, (strap, cut)) in plan
        .frame
        .straps
        .iter()
        .zip(&plan.takeoff.straps)
        .enumerate()
    {
        let points = strap_points(plan, index);
        // Where it is clear of its cap; the ridge between its first two supports.
        let part = match strap.kind {
            StrapKind::Ridge => 0.12,
            StrapKind::Side | StrapKind::Hip => 0.6,
        };
        let at = points
            .get((part * points.len() as f64) as usize)
            .copied()
            .unwrap_or_else(Point3::origin);
        let cut = format!("cut {}", units.format_length_up(cut.cut));
        // Fellows on both sides from one cap, cut alike, share a label.
        match labels.last_mut() {
            Some(Label {
                at: places, lines, ..
            }) if from.as_deref() == Some(&strap.from) && lines.get(1) == Some(&cut) => {
                places.push(at);
                if let Some(names) = lines.first_mut() {
                    *names = format!("{names}, {}", strap.id);
                }
            }
            _ => labels.push(Label {
                at: vec![at],
                lines: vec![strap.id.clone(), cut],
                kind: Kind::Strap,
            }),
        }
        from = Some(strap.from.clone());
    }
    labels
}

/// One label for a pleat, or for fellows on both sides.
fn pleats(plan: &Plan, units: UnitSystem) -> Vec<Label> {
    let mut labels: Vec<Label> = Vec::new();
    for pleat in &plan.film.pleats {
        let Some(at) = pleat.line.get(pleat.line.len() / 2) else {
            continue;
        };
        let depth = format!("{} deep", units.format_length(pleat.depth));
        let noun = match pleat.kind {
            PleatKind::Pleat => "pleat",
            PleatKind::SternCorner | PleatKind::BowCorner | PleatKind::Stem => "closure",
        };
        let fellow = labels.iter_mut().find(|label| {
            label.lines.get(1) == Some(&depth)
                && label
                    .at
                    .first()
                    .is_some_and(|other| (other.x - at.x).abs() < SAME_STATION)
        });
        match fellow {
            Some(label) => {
                label.at.push(*at);
                if let Some(names) = label.lines.first_mut() {
                    *names = format!("{names}, {}", pleat.id);
                }
            }
            None => labels.push(Label {
                at: vec![*at],
                lines: vec![format!("{noun} {}", pleat.id), depth],
                kind: Kind::Pleat,
            }),
        }
    }
    labels
}

/// Pleats nearer to each other along the boat stand at one station, m.
const SAME_STATION: f64 = 0.05;

/// Draws the labels.
pub struct LabelsPlugin;

impl Plugin for LabelsPlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(
            EguiPrimaryContextPass,
            draw.in_set(Layout::Overlay).after(super::legend::draw),
        );
    }
}

/// White round the words of a label, points.
const AROUND: f32 = 4.0;

/// Draws the labels over the scene.
#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
pub fn draw(
    mut contexts: EguiContexts,
    canvas: Res<Canvas>,
    display: Res<Display>,
    look: Res<Look>,
    orbit: Res<Orbit>,
    cameras: Query<&SceneCamera>,
    stages: Query<&Stage>,
    hanging: Option<Res<Hanging>>,
) -> Result {
    if !display.labels {
        return Ok(());
    }
    let painter = painter(contexts.ctx_mut()?, &canvas);
    let count = cameras.iter().count();
    for stage in &stages {
        if !cameras.iter().any(|camera| camera.place == stage.layer) {
            continue;
        }
        let bounds = canvas.part(stage.layer, count);
        let mut labels = if count > 1 {
            short_labels(&stage.plan, &display, stage.units)
        } else {
            labels(&stage.plan, &display, stage.units)
        };
        if let Some(hanging) = &hanging
            && Arc::ptr_eq(&hanging.plan, &stage.plan)
        {
            add_load(&mut labels, hanging, stage.units);
        }
        if bounds.height() - canvas.head < TIGHT * look.scale {
            let posts = labels.iter_mut().filter(|label| label.kind == Kind::Post);
            posts.for_each(|post| post.lines.truncate(1));
        }
        let taken: Vec<Rect> = canvas.taken.iter().flatten().copied().collect();
        let painter = painter.with_clip_rect(bounds.intersect(painter.clip_rect()));
        draw_in(&painter, bounds, &taken, &look, &orbit.pose, labels);
    }
    Ok(())
}

/// Where less than this is left under the words over a cover, posts have their names alone, points before scaling.
const TIGHT: f32 = 220.0;

/// Draws the labels of one plan in its part of the canvas.
fn draw_in(
    painter: &egui::Painter,
    bounds: Rect,
    taken: &[Rect],
    look: &Look,
    pose: &Pose,
    mut labels: Vec<Label>,
) {
    labels.sort_by_key(|label| label.kind);
    let mut seen = Vec::new();
    let mut galleys = Vec::new();
    for label in &labels {
        let Some(anchor) = nearest(pose, &label.at, bounds) else {
            continue;
        };
        let lines: Vec<_> = label
            .lines
            .iter()
            .enumerate()
            .map(|(row, line)| {
                let (size, ink) = match (row, label.kind) {
                    (0, Kind::Fault) => (look::BODY, look::BAD),
                    (0, Kind::Post) => (look::BODY, look::INK),
                    (_, Kind::Scale) => (look::SMALL, look::FADED),
                    _ => (look::SMALL, look::INK),
                };
                painter.layout_no_wrap(line.clone(), look.font(size), ink)
            })
            .collect();
        let width = lines.iter().map(|line| line.size().x).fold(0.0, f32::max);
        let height: f32 = lines.iter().map(|line| line.size().y).sum();
        seen.push(Wanted {
            anchor,
            size: egui::vec2(width, height) + 2.0 * egui::Vec2::splat(AROUND),
        });
        galleys.push((lines, label.kind));
    }
    let places = arrange(&seen, taken, bounds.shrink(6.0));
    for ((wanted, place), (_, kind)) in seen.iter().zip(&places).zip(&galleys) {
        if let Some(place) = place {
            leader(painter, wanted.anchor, *place, *kind);
        }
    }
    for (place, (lines, kind)) in places.iter().zip(galleys) {
        let Some(place) = place else { continue };
        let rim = match kind {
            Kind::Fault => egui::Stroke::new(1.5, look::BAD),
            _ => egui::Stroke::new(1.0, look::RULE),
        };
        painter.rect(
            *place,
            3.0,
            look::PAPER.gamma_multiply(0.94),
            rim,
            egui::StrokeKind::Inside,
        );
        let mut at = place.min + egui::Vec2::splat(AROUND);
        for line in lines {
            let height = line.size().y;
            painter.galley(at, line, look::INK);
            at.y += height;
        }
    }
}

/// Where the nearest of some places is on the screen.
fn nearest(pose: &Pose, places: &[Point3<f64>], bounds: Rect) -> Option<Pos2> {
    let eye = pose.transform().translation;
    let at = places
        .iter()
        .map(convert::point)
        .min_by(|a, b| a.distance(eye).total_cmp(&b.distance(eye)))?;
    let seen = pose.seen(at)?;
    let place = bounds.center() + egui::vec2(seen.x, -seen.y) * bounds.height();
    bounds.contains(place).then_some(place)
}

fn leader(painter: &egui::Painter, anchor: Pos2, place: Rect, kind: Kind) {
    let ink = match kind {
        Kind::Fault => look::BAD,
        _ => look::INK,
    };
    let end = place.clamp(anchor);
    painter.line_segment(
        [anchor, end],
        egui::Stroke::new(3.0, look::PAPER.gamma_multiply(0.7)),
    );
    painter.line_segment([anchor, end], egui::Stroke::new(1.2, ink));
    painter.circle(anchor, 3.0, ink, egui::Stroke::new(1.0, look::PAPER));
}

/// A label that wants a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    /// What it points at.
    pub anchor: Pos2,
    /// Its size.
    pub size: egui::Vec2,
}

/// Distances of a label from what it points at that are tried, points.
const DISTANCES: [f32; 9] = [18.0, 30.0, 46.0, 66.0, 92.0, 124.0, 160.0, 210.0, 270.0];
/// Directions that are tried.
const DIRECTIONS: usize = 24;
/// Space kept between labels, points.
const APART: f32 = 3.0;
/// What it costs to lie on what another label points at, to cross its leader, and to turn from straight up;
/// against one point of distance.
const ON_ANCHOR: f32 = 120.0;
/// See [`ON_ANCHOR`].
const ACROSS: f32 = 200.0;
/// See [`ON_ANCHOR`].
const ASIDE: f32 = 26.0;

/// Places for labels, in their order: each free of all before it, of what is taken, and within bounds; `None`
/// where there is no room.
pub fn arrange(wanted: &[Wanted], taken: &[Rect], bounds: Rect) -> Vec<Option<Rect>> {
    let mut placed: Vec<Option<Rect>> = Vec::new();
    for (index, label) in wanted.iter().enumerate() {
        let mut best: Option<(f32, Rect)> = None;
        for candidate in candidates(label) {
            let cost = candidate.0;
            if best.is_some_and(|(least, _)| cost >= least) {
                continue;
            }
            let place = candidate.1;
            let free = bounds.contains_rect(place)
                && placed
                    .iter()
                    .flatten()
                    .chain(taken)
                    .all(|other| !other.expand(APART).intersects(place));
            if !free {
                continue;
            }
            let leader = [label.anchor, place.clamp(label.anchor)];
            let mut cost = cost;
            for (other, others) in wanted.iter().enumerate() {
                if other != index && place.expand(4.0).contains(others.anchor) {
                    cost += ON_ANCHOR;
                }
                if let Some(Some(theirs)) = placed.get(other) {
                    if crosses(leader, [others.anchor, theirs.clamp(others.anchor)])
                        || cuts(leader, *theirs)
                    {
                        cost += ACROSS;
                    }
                    if cuts([others.anchor, theirs.clamp(others.anchor)], place) {
                        cost += ACROSS;
                    }
                }
            }
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, place));
            }
        }
        placed.push(best.map(|(_, place)| place));
    }
    placed
}

fn candidates(label: &Wanted) -> impl Iterator<Item = (f32, Rect)> + '_ {
    DISTANCES.iter().flat_map(move |distance| {
        (0..DIRECTIONS).map(move |k| {
            // 0 is straight up; to both sides in turn.
            let step = k.div_ceil(2) as f32;
            let side = if k % 2 == 0 { 1.0 } else { -1.0 };
            let turn = side * step * std::f32::consts::TAU / DIRECTIONS as f32;
            let way = egui::vec2(turn.sin(), -turn.cos());
            let center = label.anchor + way * *distance + way * label.size * 0.5;
            let place = Rect::from_center_size(center, label.size);
            (distance + ASIDE * turn.abs(), place)
        })
    })
}

fn crosses([a, b]: [Pos2; 2], [c, d]: [Pos2; 2]) -> bool {
    let side = |p: Pos2, q: Pos2, r: Pos2| (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

fn cuts(line: [Pos2; 2], place: Rect) -> bool {
    let corners = [
        place.left_top(),
        place.right_top(),
        place.right_bottom(),
        place.left_bottom(),
    ];
    line.iter().any(|p| place.contains(*p))
        || (0..4).any(|k| crosses(line, [corners[k], corners[(k + 1) % 4]]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::presets;
    use crate::plan::plan;
    use proptest::prelude::*;

    #[test]
    fn every_post_has_its_station_height_and_cut() {
        for preset in presets() {
            let mut boat = preset.boat().unwrap();
            boat.rules.coarsen(3.0);
            let plan = plan(&boat, &boat.rules).unwrap();
            let units = UnitSystem::FeetInches;
            for show in Show::ALL {
                let labels = labels(&plan, &Display::of(show), units);
                for (post, cut) in plan.frame.posts.iter().zip(&plan.takeoff.posts) {
                    let label = labels
                        .iter()
                        .find(|label| label.lines[0] == post.id)
                        .unwrap_or_else(|| panic!("{}: {}", preset.name, post.id));
                    let words = label.lines.join(" ");
                    for meters in [post.station, cut.over_sole, cut.cut] {
                        assert!(words.contains(&units.format_length(meters)), "{words}");
                    }
                    assert_eq!(label.at, [post.top()]);
                }
            }
        }
    }

    proptest! {
        #[test]
        fn no_label_lies_on_another(
            places in prop::collection::vec((0.0f32..900.0, 0.0f32..600.0, 20.0f32..140.0, 14.0f32..70.0), 1..24)
        ) {
            let bounds = Rect::from_min_max(Pos2::ZERO, egui::pos2(900.0, 600.0));
            let taken = [Rect::from_min_max(egui::pos2(0.0, 520.0), egui::pos2(500.0, 600.0))];
            let wanted: Vec<Wanted> = places
                .iter()
                .map(|(x, y, width, height)| Wanted {
                    anchor: egui::pos2(*x, *y),
                    size: egui::vec2(*width, *height),
                })
                .collect();
            let placed = arrange(&wanted, &taken, bounds);
            prop_assert_eq!(placed.len(), wanted.len());
            let found: Vec<Rect> = placed.iter().flatten().copied().collect();
            // The first has all the room there is.
            prop_assert!(placed[0].is_some());
            for (k, place) in found.iter().enumerate() {
                prop_assert!(bounds.contains_rect(*place));
                for other in found[k + 1..].iter().chain(&taken) {
                    prop_assert!(!place.intersects(*other), "{place:?} {other:?}");
                }
            }
        }
    }
}
