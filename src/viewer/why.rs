//! "Why two posts?": the stretch of the boat that one post less cannot serve, shown on the film.

use super::camera::{Orbit, SceneCamera};
use super::canvas::{Canvas, Layout, painter};
use super::convert;
use super::hands::Hands;
use super::look::{self, Look};
use super::shown::Shown;
use crate::cover::Cover;
use crate::plan::Plan;
use crate::sheet::fewer_posts_sentence;
use crate::viewer::hands::control;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};
use nalgebra::Point3;

/// Whether it is shown.
#[derive(Resource, Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Why(pub bool);

/// Shows the stretch; key W.
pub struct WhyPlugin;

impl Plugin for WhyPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Why>()
            .add_systems(Startup, lines_over_film)
            .add_systems(Update, (key, mark).chain())
            .add_systems(
                EguiPrimaryContextPass,
                say.in_set(Layout::Overlay)
                    .after(super::legend::draw)
                    .before(super::labels::draw),
            );
    }
}

fn key(keys: Res<ButtonInput<KeyCode>>, hands: Res<Hands>, mut why: ResMut<Why>) {
    let control = control(&keys);
    if hands.keys_free && !control && keys.just_pressed(KeyCode::KeyW) {
        why.0 = !why.0;
    }
}

/// The question, by how many posts there are.
pub fn question(plan: &Plan) -> String {
    const WORDS: [&str; 9] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight",
    ];
    let count = plan.frame.posts.len();
    let number = WORDS
        .get(count)
        .map_or_else(|| count.to_string(), |word| (*word).to_owned());
    let noun = if count == 1 { "post" } else { "posts" };
    format!("Why {number} {noun}?")
}

/// The stretch that one post less cannot serve, stations, m; `None` where nothing forbids it, or where no post can
/// be left out at all.
pub fn stretch(plan: &Plan) -> Option<[f64; 2]> {
    plan.fewer.cause.as_ref()?;
    let [aft, fore] = plan.hull.edge.ends();
    let [from, to] = plan.fewer.stretch;
    Some([from.clamp(aft, fore), to.clamp(aft, fore)])
}

/// Points of a hoop, and of the ridge in the stretch.
const POINTS: usize = 49;

/// Lines are drawn this much over the film, m.
const LIFT: f64 = 0.015;

/// The lines that show a stretch: along the top of the film, and a hoop across it at either end.
pub fn course(plan: &Plan, [from, to]: [f64; 2]) -> Vec<Vec<Point3<f64>>> {
    let part = |k: usize| k as f64 / (POINTS - 1) as f64;
    let over = |x: f64, y: f64| {
        let z = height(&plan.cover, x, y)?;
        Some(Point3::new(x, y, z + LIFT))
    };
    let hoop = |x: f64| {
        let [starboard, port] = plan.hull.edge.at_station(x)?;
        let points =
            (0..POINTS).filter_map(|k| over(x, starboard.y + (port.y - starboard.y) * part(k)));
        Some(points.collect::<Vec<_>>())
    };
    let mut lines: Vec<Vec<Point3<f64>>> = plan
        .frame
        .ridges
        .iter()
        .map(|offset| {
            (0..POINTS)
                .filter_map(|k| over(from + (to - from) * part(k), *offset))
                .collect()
        })
        .collect();
    lines.extend([from, to].into_iter().filter_map(hoop));
    lines
}

/// Height of the film over a point of the plan, m.
fn height(cover: &Cover, x: f64, y: f64) -> Option<f64> {
    super::scene::underside(std::slice::from_ref(&cover.mesh), x, y)
}

fn lines_over_film(mut store: ResMut<GizmoConfigStore>) {
    let (config, _) = store.config_mut::<DefaultGizmoConfigGroup>();
    config.depth_bias = -0.002;
    config.line.width = 5.0;
}

/// What was drawn last, for which plan.
type Drawn = Option<(std::sync::Arc<Plan>, Vec<Vec<Vec3>>)>;

fn mark(why: Res<Why>, shown: Shown, mut drawn: Local<Drawn>, mut gizmos: Gizmos) {
    let Some(plan) = shown.plan().filter(|_| why.0) else {
        return;
    };
    if drawn
        .as_ref()
        .is_none_or(|(old, _)| !std::sync::Arc::ptr_eq(old, plan))
    {
        let lines = stretch(plan).map_or_else(Vec::new, |stretch| course(plan, stretch));
        let lines = lines
            .iter()
            .map(|line| line.iter().map(convert::point).collect())
            .collect();
        *drawn = Some((plan.clone(), lines));
    }
    let [red, green, blue, _] = look::BAD.to_array();
    for (_, lines) in drawn.iter() {
        for line in lines {
            gizmos.linestrip(line.iter().copied(), Color::srgb_u8(red, green, blue));
        }
    }
}

/// Width of the words, points before scaling, and space about them.
const WIDTH: f32 = 300.0;
/// See [`WIDTH`].
const AROUND: f32 = 7.0;

fn say(
    mut contexts: EguiContexts,
    mut canvas: ResMut<Canvas>,
    why: Res<Why>,
    shown: Shown,
    look: Res<Look>,
    orbit: Res<Orbit>,
    cameras: Query<&SceneCamera>,
) -> Result {
    let Some(plan) = shown.plan().filter(|_| why.0) else {
        return Ok(());
    };
    let painter = painter(contexts.ctx_mut()?, &canvas);
    let bounds = canvas.part(0, cameras.iter().count());
    let words = fewer_posts_sentence(plan, shown.units());
    let width = (WIDTH * look.scale).min(0.6 * bounds.width());
    let words = painter.layout(words, look.font(look::SMALL), look::INK, width);
    let title = painter.layout_no_wrap(question(plan), look.font(look::BODY), look::BAD);
    let size = egui::vec2(
        words.size().x.max(title.size().x),
        words.size().y + title.size().y,
    ) + egui::Vec2::splat(2.0 * AROUND);
    // At the top of the scene, where film seldom is; from there a line to the stretch.
    let place =
        egui::Rect::from_min_size(bounds.center_top() + egui::vec2(-0.5 * size.x, 10.0), size);
    let anchor = stretch(plan).and_then(|[from, to]| {
        let x = 0.5 * (from + to);
        let y = plan.frame.ridges.first().copied().unwrap_or(0.0);
        let at = Point3::new(x, y, height(&plan.cover, x, y)?);
        let seen = orbit.pose.seen(convert::point(&at))?;
        Some(bounds.center() + egui::vec2(seen.x, -seen.y) * bounds.height())
    });
    if let Some(anchor) = anchor {
        let line = egui::Stroke::new(2.0, look::BAD);
        painter.line_segment([place.clamp(anchor), anchor], line);
    }
    let rim = egui::Stroke::new(1.5, look::BAD);
    painter.rect(place, 4.0, look::PAPER, rim, egui::StrokeKind::Inside);
    let mut at = place.min + egui::Vec2::splat(AROUND);
    let below = title.size().y;
    painter.galley(at, title, look::INK);
    at.y += below;
    painter.galley(at, words, look::INK);
    canvas.take(place);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::{preset, presets};
    use crate::plan::plan;

    #[test]
    fn the_question_counts_the_posts() {
        let boat = preset("open-runabout-18").unwrap().boat().unwrap();
        let mut rules = boat.rules.clone();
        rules.coarsen(4.0);
        let mut plan = plan(&boat, &rules).unwrap();
        let post = plan.frame.posts[0].clone();
        for (count, words) in [
            (0, "Why no posts?"),
            (1, "Why one post?"),
            (2, "Why two posts?"),
            (3, "Why three posts?"),
            (8, "Why eight posts?"),
            (9, "Why 9 posts?"),
            (12, "Why 12 posts?"),
        ] {
            plan.frame.posts.clear();
            plan.frame.posts.resize(count, post.clone());
            assert_eq!(question(&plan), words);
        }
    }

    /// Height of the film over a place, the highest of the triangles that hold it in plan; by barycentric coordinates.
    fn film_over(plan: &Plan, x: f64, y: f64) -> Option<f64> {
        let mesh = &plan.cover.mesh;
        let over = mesh.triangles.iter().filter_map(|nodes| {
            let [a, b, c] = nodes.map(|node| mesh.vertices[node as usize]);
            let cross = |p: &Point3<f64>, q: &Point3<f64>, x: f64, y: f64| {
                (q.x - p.x) * (y - p.y) - (q.y - p.y) * (x - p.x)
            };
            let whole = cross(&a, &b, c.x, c.y);
            let parts = [
                cross(&b, &c, x, y),
                cross(&c, &a, x, y),
                cross(&a, &b, x, y),
            ];
            let parts = parts.map(|part| part / whole);
            (whole != 0.0 && parts.iter().all(|part| *part >= -1e-6))
                .then(|| parts[0] * a.z + parts[1] * b.z + parts[2] * c.z)
        });
        over.max_by(f64::total_cmp)
    }

    #[test]
    fn the_stretch_is_drawn_on_the_film() {
        let mut drawn = 0;
        for preset in presets() {
            let mut boat = preset.boat().unwrap();
            boat.rules.coarsen(4.0);
            let plan = plan(&boat, &boat.rules).unwrap();
            let name = preset.name;
            let Some([from, to]) = stretch(&plan) else {
                continue;
            };
            drawn += 1;
            let [aft, fore] = plan.hull.edge.ends();
            assert!(aft <= from && from < to && to <= fore, "{name}");
            let lines = course(&plan, [from, to]);
            assert_eq!(lines.len(), plan.frame.ridges.len() + 2, "{name}");
            for line in &lines {
                assert!(line.len() > POINTS / 2, "{name}: {}", line.len());
                for point in line {
                    let film = film_over(&plan, point.x, point.y).expect("film under the line");
                    let over = point.z - film;
                    assert!((over - 0.015).abs() < 1e-6, "{name}: {over} over the film");
                }
            }
            // The ridges from end to end, the hoops from edge to edge; at the very bow a hoop has no width.
            let ends = |line: &[Point3<f64>], of: fn(&Point3<f64>) -> f64| {
                let values = || line.iter().map(of);
                values().fold(f64::NEG_INFINITY, f64::max) - values().fold(f64::INFINITY, f64::min)
            };
            for (k, line) in lines.iter().enumerate() {
                let (reach, whole) = if k < plan.frame.ridges.len() {
                    (ends(line, |p| p.x), to - from)
                } else {
                    let [starboard, port] = plan.hull.edge.at_station(line[0].x).unwrap();
                    (ends(line, |p| p.y), port.y - starboard.y)
                };
                assert!(reach >= 0.8 * whole, "{name}: {reach} of {whole}");
            }
        }
        assert!(drawn > presets().len() / 2, "{drawn} have a stretch");
    }

    #[test]
    fn one_post_cannot_serve_a_stretch_of_the_runabout() {
        let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
        boat.rules.coarsen(2.0);
        let plan = plan(&boat, &boat.rules).unwrap();
        assert_eq!(question(&plan), "Why two posts?");
        assert_eq!(stretch(&plan), Some(plan.fewer.stretch));
    }
}
