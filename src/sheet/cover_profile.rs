//! The view of a cover from starboard: bow to the right.

use super::cover_drawing::View;
use super::drawing::{Align, Drawing, Fill, Item, Pen};
use super::labels::{Labels, width_of_lines};
use super::silhouette;
use crate::frame::{Post, StrapKind};
use crate::plan::Plan;
use crate::units::UnitSystem;
use nalgebra::Point3;

/// Rows that a post's label may be moved up by.
const STAGGER: usize = 6;
/// How far a mast or antenna is drawn over the film, mm.
const STUMP: f64 = 3.5;
/// White between two labels, over the height of their words.
const BETWEEN: f64 = 0.6;
/// White above and under the profile, mm.
const GAP: f64 = 4.0;

/// A view that was drawn.
pub(super) struct Drawn {
    /// Where it stands on the paper.
    pub view: View,
    /// Its bottom, mm.
    pub bottom: f64,
    /// Labels that found no room.
    pub missed: usize,
}

/// Draws it from `top` down.
pub(super) fn draw(
    drawing: &mut Drawing,
    plan: &Plan,
    units: UnitSystem,
    view: View,
    top: f64,
) -> Drawn {
    let row_height = view.row();
    let [lowest, highest] = heights(plan);
    let groups = groups(&plan.frame.posts);
    let mut labels = Labels::default();
    let rooms: Vec<_> = groups
        .iter()
        .map(|group| label(plan, units, group))
        .collect();
    // Labels are laid out over a level line first, to know how much room they take.
    let mut places = Vec::new();
    let (mut rows, mut missed) = (0, 0);
    for (group, lines) in groups.iter().zip(&rooms) {
        let [x, _] = view.at(group[0].1.station, 0.0);
        let wide = width_of_lines(lines, view.words);
        let wide = wide + BETWEEN * view.words;
        let size = [wide, row_height * lines.len() as f64];
        let found = labels.place(
            size,
            (0..STAGGER).map(|row| [x - 0.5 * wide, -row_height * (row + lines.len()) as f64]),
        );
        let found = found.map(|[x, y]| [x + 0.5 * BETWEEN * view.words, y]);
        if let Some([_, y]) = found {
            rows = rows.max((-y / row_height).round() as usize);
        } else {
            missed += 1;
        }
        places.push(found);
    }
    let above = GAP + row_height * rows as f64;
    let roof = top + above;
    let view = View {
        axis: roof + highest * view.scale,
        ..view
    };
    boat(drawing, plan, view);
    levels(drawing, plan, units, view);
    frame(drawing, plan, view);
    film(drawing, plan, view);
    for ((group, lines), place) in groups.iter().zip(&rooms).zip(places) {
        let Some([left, offset]) = place else {
            continue;
        };
        let cap = view.at(group[0].1.station, group[0].1.cap);
        let bottom = roof - GAP + offset + row_height * lines.len() as f64;
        drawing.line(
            vec![[cap[0], cap[1] - 1.5], [cap[0], bottom + 0.5]],
            Pen::DIMENSION,
        );
        let wide = width_of_lines(lines, view.words);
        for (row, line) in lines.iter().enumerate() {
            let baseline =
                roof - GAP + offset + row_height * (row as f64 + 1.0) - 0.25 * row_height;
            let middle = left + 0.5 * wide;
            drawing.words(
                [middle, baseline],
                line.clone(),
                view.words,
                Align::Middle,
                row == 0,
            );
        }
    }
    Drawn {
        bottom: view.axis - lowest * view.scale + GAP,
        view,
        missed,
    }
}

/// The lowest and the highest of all that is drawn, m.
pub(super) fn heights(plan: &Plan) -> [f64; 2] {
    let things = plan.hull.things.iter().map(|thing| &thing.mesh);
    let meshes = plan.hull.bodies.iter().chain(things);
    let all = meshes.chain([&plan.cover.mesh]);
    all.flat_map(|mesh| mesh.vertices.iter().map(|p| p.z))
        .fold([0.0, 0.0], |[low, high]: [f64; 2], z| {
            [low.min(z), high.max(z)]
        })
}

/// Draws boat and film alone, for somebody who wants to see what comes of it.
pub(super) fn covered(drawing: &mut Drawing, plan: &Plan, view: View) {
    things(drawing, plan, view);
    bodies(drawing, plan, view);
    let outline = silhouette::along_x(&[&plan.cover.mesh], 2);
    let points = outline.iter().map(|[x, z]| view.at(*x, *z)).collect();
    drawing.outline(points, Some(Fill::Paper), Pen::FILM);
    film(drawing, plan, view);
}

/// Posts that stand behind each other, with their places in the frame.
pub(super) fn groups(posts: &[Post]) -> Vec<Vec<(usize, &Post)>> {
    let mut groups: Vec<Vec<(usize, &Post)>> = Vec::new();
    for (index, post) in posts.iter().enumerate() {
        match groups.last_mut() {
            Some(group) if group[0].1.station == post.station && group[0].1.cap == post.cap => {
                group.push((index, post));
            }
            _ => groups.push(vec![(index, post)]),
        }
    }
    groups
}

fn label(plan: &Plan, units: UnitSystem, group: &[(usize, &Post)]) -> Vec<String> {
    let names: Vec<&str> = group.iter().map(|(_, post)| post.id.as_str()).collect();
    let mut lines = vec![names.join(", ")];
    if let Some(cut) = plan.takeoff.posts.get(group[0].0) {
        lines.push(format!(
            "cap {} over sole",
            units.format_length(cut.over_sole)
        ));
        lines.push(format!("cut {}", units.format_length(cut.cut)));
    }
    lines
}

fn boat(drawing: &mut Drawing, plan: &Plan, view: View) {
    bodies(drawing, plan, view);
    things(drawing, plan, view);
}

fn bodies(drawing: &mut Drawing, plan: &Plan, view: View) {
    for body in &plan.hull.bodies {
        let outline = silhouette::along_x(&[body], 2);
        if outline.len() > 2 {
            let points = outline.iter().map(|[x, z]| view.at(*x, *z)).collect();
            drawing.outline(points, Some(Fill::Gray(0.93)), Pen::OUTLINE);
        }
    }
}

fn things(drawing: &mut Drawing, plan: &Plan, view: View) {
    for thing in plan.hull.things.iter().take(plan.boat.boxes.len()) {
        let outline = silhouette::convex(&thing.mesh.vertices, 2);
        let points: Vec<_> = outline.iter().map(|[x, z]| view.at(*x, *z)).collect();
        drawing.outline(points, Some(Fill::Gray(0.8)), Pen::THING);
    }
    for tube in &plan.boat.tubes {
        let points = tube.path.iter().map(|[x, _, z]| view.at(*x, *z)).collect();
        let width = (tube.diameter * view.scale).max(Pen::OUTLINE.width);
        drawing.line(
            points,
            Pen {
                width,
                gray: 0.7,
                ..Pen::THING
            },
        );
    }
}

fn levels(drawing: &mut Drawing, plan: &Plan, units: UnitSystem, view: View) {
    let sole = plan.boat.sole;
    drawing.line(
        vec![view.at(0.0, sole), view.at(0.8 * plan.boat.length, sole)],
        Pen::LEVEL,
    );
    let [_, y] = view.at(0.0, sole);
    let beside = [view.left - 2.0, y + 0.32 * view.words];
    drawing.words(beside, "sole", view.words, Align::End, false);
    let x = view.left - 4.5 * view.words;
    let [_, keel] = view.at(0.0, 0.0);
    let [_, sheer] = view.at(0.0, plan.boat.sheer[0]);
    let words = |height: f64| format!("sheer {}", units.format_length(height));
    drawing.upright_dimension(x, keel, sheer, words(plan.boat.sheer[0]), view.words);
    let [x, _] = view.at(plan.hull.edge.ends()[1], 0.0);
    let [_, sheer] = view.at(0.0, plan.boat.sheer[2]);
    drawing.upright_dimension(x + 9.0, keel, sheer, words(plan.boat.sheer[2]), view.words);
}

fn frame(drawing: &mut Drawing, plan: &Plan, view: View) {
    for (strap, shape) in plan.frame.straps.iter().zip(&plan.cover.straps) {
        let far = strap.plan.last().is_some_and(|end| end.y > 0.0);
        let pen = match strap.kind {
            StrapKind::Ridge => Pen::RIDGE,
            // Those on the far side would lie on those on the near one.
            StrapKind::Side | StrapKind::Hip if far => continue,
            StrapKind::Side | StrapKind::Hip => Pen::STRAP,
        };
        let points = shape
            .nodes
            .iter()
            .filter_map(|node| plan.cover.mesh.vertices.get(*node as usize))
            .map(|p| view.at(p.x, p.z))
            .collect();
        drawing.line(points, pen);
    }
    for post in &plan.frame.posts {
        drawing.line(
            vec![
                view.at(post.station, post.base),
                view.at(post.station, post.cap),
            ],
            Pen::POST,
        );
        let half = 0.5 * plan.rules.cap_diameter;
        for z in [post.base, post.cap] {
            drawing.line(
                vec![
                    view.at(post.station - half, z),
                    view.at(post.station + half, z),
                ],
                Pen::POST,
            );
        }
    }
}

/// The film's outline, its edge on the near side, the band under it, and what stands through it.
fn film(drawing: &mut Drawing, plan: &Plan, view: View) {
    let outline = silhouette::along_x(&[&plan.cover.mesh], 2);
    let half = outline.len() / 2;
    let roof = outline.iter().skip(half).map(|[x, z]| view.at(*x, *z));
    drawing.line(roof.collect(), Pen::FILM);
    let mut edge: Vec<Point3<f64>> = plan
        .hull
        .edge
        .points()
        .iter()
        .filter(|p| p.y <= 0.0)
        .copied()
        .collect();
    edge.sort_by(|a, b| a.x.total_cmp(&b.x));
    drawing.line(edge.iter().map(|p| view.at(p.x, p.z)).collect(), Pen::FILM);
    let band = edge.iter().map(|p| {
        let band = plan.hull.band_point(p, plan.rules.band_drop);
        view.at(band.x, band.z)
    });
    drawing.line(band.collect(), Pen::BAND);
    for piercing in &plan.boat.piercings {
        let over = outline
            .iter()
            .skip(half)
            .min_by(|p, q| {
                let away = |p: &[f64; 2]| (p[0] - piercing.station).abs();
                away(p).total_cmp(&away(q))
            })
            .map_or(0.0, |[_, z]| *z);
        let [x, y] = view.at(piercing.station, over);
        drawing.items.push(Item::Line {
            points: vec![[x, y + 3.0], [x, y - STUMP]],
            closed: false,
            pen: Pen {
                width: (piercing.diameter * view.scale).max(Pen::OUTLINE.width),
                gray: 0.5,
                ..Pen::OUTLINE
            },
        });
    }
}
