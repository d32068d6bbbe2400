//! A post taken by its cap with the pointer: up and down, and along the boat.

use super::by_hand::move_post;
use super::{Bench, Piece};
use crate::boat::Boat;
use crate::plan::Plan;
use crate::units::{METERS_PER_INCH, UnitSystem};
use crate::viewer::camera::{Orbit, Pose, SceneCamera};
use crate::viewer::canvas::{Canvas, Layout, painter};
use crate::viewer::convert;
use crate::viewer::hands::shift;
use crate::viewer::hands::{Hands, Tools};
use crate::viewer::history::{Act, Acts};
use crate::viewer::look;
use crate::viewer::model::Model;
use crate::viewer::shown::Shown;
use bevy::prelude::*;
use bevy::window::{CursorIcon, PrimaryWindow, SystemCursorIcon};
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};
use std::sync::Arc;

/// How near the pointer must be to a cap and to the timber of a post, points.
const REACH: [f32; 2] = [16.0, 7.0];

/// A press that moves less than this is a click, points.
const CLICK: f32 = 4.0;

/// A view along the boat within this cosine cannot tell stations apart.
const ALONG: f32 = 0.9;

/// A view within this cosine of straight down cannot tell heights apart.
const DOWN: f32 = 0.95;

/// A post in the hand.
#[derive(Debug, Clone)]
struct Held {
    post: usize,
    /// Plan and boat when it was taken: all is reckoned from there, so that nothing drifts.
    plan: Arc<Plan>,
    boat: Arc<Boat>,
    /// Pointer when it was taken, points.
    from: Vec2,
    /// Which ways it moves: decided by the first way that the hand takes.
    ways: Option<Ways>,
}

/// Which ways a held post moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Ways {
    up: bool,
    along: bool,
}

/// What is in the hand.
#[derive(Resource, Debug, Default)]
pub struct Grab(Option<Held>);

impl Grab {
    /// Whether a post is being moved.
    pub fn holds(&self) -> bool {
        self.0.is_some()
    }
}

/// Takes posts by the pointer.
pub struct GrabPlugin;

impl Plugin for GrabPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Grab>()
            .add_systems(Update, grab.in_set(Tools).before(Acts))
            .add_systems(
                EguiPrimaryContextPass,
                draw.in_set(Layout::Overlay)
                    .before(crate::viewer::legend::draw),
            );
    }
}

/// The part of the window in which the boat that can be changed is seen; `None` while two are compared.
fn stage(canvas: &Canvas, cameras: usize) -> Option<egui::Rect> {
    (cameras == 1).then(|| canvas.part(0, 1))
}

/// A place of the window as [`Pose::seen`] has it.
fn in_picture(at: Vec2, bounds: egui::Rect) -> Vec2 {
    let way = egui::pos2(at.x, at.y) - bounds.center();
    Vec2::new(way.x, -way.y) / bounds.height()
}

/// The post under the pointer: its cap first, then its timber; the nearest to the eye where several are.
fn under(plan: &Plan, pose: &Pose, bounds: egui::Rect, at: Vec2) -> Option<usize> {
    let on_screen = |p: nalgebra::Point3<f64>| {
        let seen = pose.seen(convert::point(&p))?;
        let place = bounds.center() + egui::vec2(seen.x, -seen.y) * bounds.height();
        Some(Vec2::new(place.x, place.y))
    };
    let mut best: Option<(f32, usize)> = None;
    for (index, post) in plan.frame.posts.iter().enumerate() {
        let mut base = post.top();
        base.z = post.base;
        let (Some(top), Some(foot)) = (on_screen(post.top()), on_screen(base)) else {
            continue;
        };
        let way = foot - top;
        let part = ((at - top).dot(way) / way.length_squared().max(1e-6)).clamp(0.0, 1.0);
        let (to_cap, to_timber) = (at.distance(top), at.distance(top + way * part));
        let score = if to_cap <= REACH[0] {
            to_cap
        } else if to_timber <= REACH[1] {
            REACH[0] + to_timber
        } else {
            continue;
        };
        if best.is_none_or(|(least, _)| score < least) {
            best = Some((score, index));
        }
    }
    best.map(|(_, index)| index)
}

/// How far the hand has moved a cap: along the boat and up, m; a way that the view cannot tell is left at nothing.
fn moved(pose: &Pose, cap: Vec3, from: Vec2, to: Vec2) -> [f64; 2] {
    let [ahead, _, _] = pose.axes();
    // The plane in which the cap moves: upright along the boat, unless that is seen on edge.
    let normal = if ahead.y.abs() > DOWN {
        Vec3::Y
    } else if ahead.x.abs() > ALONG {
        Vec3::new(ahead.x, 0.0, ahead.z).normalize_or(Vec3::X)
    } else {
        Vec3::Z
    };
    let meet = |seen: Vec2| {
        let ray = pose.ray(seen);
        let slant = ray.direction.dot(normal);
        let along = (cap - ray.origin).dot(normal) / slant;
        (slant.abs() > 1e-3 && along > 0.0).then(|| ray.get_point(along))
    };
    let (Some(a), Some(b)) = (meet(from), meet(to)) else {
        return [0.0; 2];
    };
    let way = convert::back(b) - convert::back(a);
    [
        if normal.x.abs() > 0.5 { 0.0 } else { way.x },
        if normal == Vec3::Y { 0.0 } else { way.z },
    ]
}

/// To the marks of a tape: a quarter of an inch up, an inch along; half a centimeter, and one.
fn snapped(value: f64, up: bool, units: UnitSystem) -> f64 {
    let step = match (units, up) {
        (UnitSystem::FeetInches, true) => 0.25 * METERS_PER_INCH,
        (UnitSystem::FeetInches, false) => METERS_PER_INCH,
        (UnitSystem::Metric, true) => 0.005,
        (UnitSystem::Metric, false) => 0.01,
    };
    (value / step).round() * step
}

#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
fn grab(
    buttons: Res<ButtonInput<MouseButton>>,
    keys: Res<ButtonInput<KeyCode>>,
    windows: Query<(Entity, &Window), With<PrimaryWindow>>,
    cameras: Query<&SceneCamera>,
    (canvas, orbit, model, history): (
        Res<Canvas>,
        Res<Orbit>,
        Res<Model>,
        Res<crate::viewer::history::History>,
    ),
    mut commands: Commands,
    mut hands: ResMut<Hands>,
    mut bench: ResMut<Bench>,
    mut grab: ResMut<Grab>,
    mut acts: MessageWriter<Act>,
) {
    let Ok((window, pointer)) = windows.single() else {
        return;
    };
    let pointer = pointer.cursor_position();
    let Some(bounds) = stage(&canvas, cameras.iter().count()) else {
        bench.under = None;
        return;
    };
    if let Some(held) = grab.0.take() {
        if keys.just_pressed(KeyCode::Escape) || buttons.just_pressed(MouseButton::Right) {
            acts.write(Act::LetGo);
            hands.at_work = false;
            return;
        }
        let held = match pointer {
            Some(at) => follow(
                held,
                at,
                bounds,
                &keys,
                &orbit.pose,
                model.units,
                &bench,
                &mut acts,
            ),
            None => held,
        };
        if buttons.pressed(MouseButton::Left) {
            grab.0 = Some(held);
        } else {
            hands.at_work = false;
            if held.ways.is_some() {
                let name = held.plan.frame.posts.get(held.post);
                let name = name.map_or("a post", |post| post.id.as_str());
                acts.write(Act::Release {
                    what: format!("move {name}"),
                });
            }
        }
        return;
    }
    // Only what is shown of the boat as it is can be taken.
    let plan = model
        .plan
        .as_ref()
        .filter(|plan| history.boat().is_some_and(|boat| **boat == plan.boat));
    let found = match (plan, pointer) {
        (Some(plan), Some(at)) if hands.pointer_free && !hands.at_work => {
            under(plan, &orbit.pose, bounds, at)
        }
        _ => None,
    };
    let found = found.map(Piece::Post);
    if bench.under != found {
        bench.under = found;
        commands
            .entity(window)
            .insert(CursorIcon::System(match found {
                Some(_) => SystemCursorIcon::Grab,
                None => SystemCursorIcon::Default,
            }));
    }
    if !buttons.just_pressed(MouseButton::Left) {
        return;
    }
    if let (Some(Piece::Post(post)), Some(plan), Some(boat), Some(from)) =
        (found, plan, history.boat(), pointer)
    {
        bench.chosen = found;
        hands.at_work = true;
        grab.0 = Some(Held {
            post,
            plan: plan.clone(),
            boat: boat.clone(),
            from,
            ways: None,
        });
    }
}

/// The held post follows the hand.
#[allow(clippy::too_many_arguments, reason = "all that a hand depends on")]
fn follow(
    mut held: Held,
    at: Vec2,
    bounds: egui::Rect,
    keys: &ButtonInput<KeyCode>,
    pose: &Pose,
    units: UnitSystem,
    bench: &Bench,
    acts: &mut MessageWriter<Act>,
) -> Held {
    let by = at - held.from;
    if held.ways.is_none() && by.length() < CLICK {
        return held;
    }
    let upward = by.y.abs() >= by.x.abs();
    let ways = *held.ways.get_or_insert(Ways {
        up: upward,
        along: !upward,
    });
    let both = shift(keys);
    let Some(post) = held.plan.frame.posts.get(held.post) else {
        return held;
    };
    let [along, up] = moved(
        pose,
        convert::point(&post.top()),
        in_picture(held.from, bounds),
        in_picture(at, bounds),
    );
    let station = if ways.along || both {
        snapped(post.station + along, false, units)
    } else {
        post.station
    };
    let cap = if ways.up || both {
        snapped(post.cap + up, true, units)
    } else {
        post.cap
    };
    if let Some(boat) = move_post(
        &held.plan,
        &held.boat,
        held.post,
        station,
        cap,
        bench.others,
    ) {
        acts.write(Act::hold(boat));
    }
    held
}

/// The plan that is shown, where it is that of the boat which can be changed.
fn own_plan<'a>(shown: &'a Shown) -> Option<&'a Arc<Plan>> {
    shown.plan().filter(|_| shown.guest().is_none())
}

/// Rings about the chosen cap and the one under the pointer.
fn draw(
    mut contexts: EguiContexts,
    canvas: Res<Canvas>,
    orbit: Res<Orbit>,
    shown: Shown,
    bench: Res<Bench>,
    cameras: Query<&SceneCamera>,
) -> Result {
    let (Some(plan), Some(bounds)) = (own_plan(&shown), stage(&canvas, cameras.iter().count()))
    else {
        return Ok(());
    };
    let painter = painter(contexts.ctx_mut()?, &canvas);
    for (piece, width) in [(bench.chosen, 3.0), (bench.under, 1.5)] {
        let Some(Piece::Post(index)) = piece else {
            continue;
        };
        let seen = plan
            .frame
            .posts
            .get(index)
            .and_then(|post| orbit.pose.seen(convert::point(&post.top())));
        if let Some(seen) = seen {
            let place = bounds.center() + egui::vec2(seen.x, -seen.y) * bounds.height();
            painter.circle_stroke(place, 11.0, egui::Stroke::new(width + 2.0, look::PAPER));
            painter.circle_stroke(place, 11.0, egui::Stroke::new(width, look::ACCENT));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use crate::plan::plan;
    use crate::view::Vantage;
    use crate::viewer::camera::{Aperture, CameraPlugin};
    use crate::viewer::edit::by_hand::Others;
    use crate::viewer::edit::keys::KeysPlugin;
    use crate::viewer::hands::HandsPlugin;
    use crate::viewer::history::{History, HistoryPlugin};
    use crate::viewer::model::{ModelPlugin, Quality};
    use crate::viewer::pose::FIELD;
    use crate::viewer::trial::{button, chord, key, point, settle};
    use crate::viewer::verdict::findings;
    use bevy::input::{ButtonState, InputPlugin};

    const WINDOW: [f32; 2] = [1000.0, 625.0];

    fn app(from: Vantage) -> App {
        let boat = preset("open-runabout-18").unwrap().boat().unwrap();
        let plan = plan(&boat, &boat.rules).unwrap();
        let mut app = App::new();
        app.add_plugins((
            MinimalPlugins,
            InputPlugin,
            CameraPlugin,
            HandsPlugin,
            HistoryPlugin,
            ModelPlugin,
            GrabPlugin,
            KeysPlugin,
        ))
        .init_resource::<Bench>()
        .insert_resource(Orbit::new(from))
        .insert_resource(Aperture {
            aspect: WINDOW[0] / WINDOW[1],
            ..Aperture::default()
        })
        .insert_resource(Canvas {
            rest: egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(WINDOW[0], WINDOW[1])),
            ..Canvas::default()
        })
        .insert_resource(History::new(boat.clone()))
        .insert_resource(Model::new(boat, UnitSystem::FeetInches).planned(plan));
        app.world_mut()
            .spawn((SceneCamera::default(), Transform::default()));
        app.update();
        app
    }

    fn shown(app: &App) -> Arc<Plan> {
        app.world().resource::<Model>().plan.clone().unwrap()
    }

    /// Where a cap is in the window, and how many points a meter there is.
    fn on_screen(app: &App, post: usize) -> (Vec2, f32) {
        let pose = app.world().resource::<Orbit>().pose;
        let top = convert::point(&shown(app).frame.posts[post].top());
        let seen = pose.seen(top).unwrap();
        let depth = (top - pose.transform().translation).dot(pose.axes()[0]);
        let scale = WINDOW[1] / (2.0 * depth * (0.5 * FIELD).tan());
        let at = Vec2::new(0.5 * WINDOW[0], 0.5 * WINDOW[1]);
        (at + Vec2::new(seen.x, -seen.y) * WINDOW[1], scale)
    }

    #[test]
    fn a_cap_drawn_down_makes_a_holding_patch_and_undo_takes_it_back() {
        let mut app = app(Vantage::Port);
        let before = shown(&app);
        assert!(before.sheds());
        let (cap, scale) = on_screen(&app, 0);
        point(&mut app, cap);
        button(&mut app, MouseButton::Left, ButtonState::Pressed);
        assert!(app.world().resource::<Hands>().at_work);
        // Down by a foot and a half, in steps, as a hand does.
        for part in 1..=6 {
            point(
                &mut app,
                cap + Vec2::new(1.0, 0.4572 * scale * part as f32 / 6.0),
            );
        }
        settle(&mut app);
        let model = app.world().resource::<Model>();
        assert_eq!(model.quality, Quality::Held, "coarse while it is held");
        assert!(
            app.world().resource::<History>().undoes().is_none(),
            "not yet a step"
        );
        button(&mut app, MouseButton::Left, ButtonState::Released);
        settle(&mut app);
        let after = shown(&app);
        assert_eq!(app.world().resource::<Model>().quality, Quality::Fine);
        let [was, now] = [&before, &after].map(|plan| plan.frame.posts[0].clone());
        assert!(
            (was.cap - now.cap - 0.4572).abs() < 0.01,
            "{} {}",
            was.cap,
            now.cap
        );
        assert_eq!(
            was.station, now.station,
            "a hand that goes down moves nothing along"
        );
        assert_eq!(before.frame.posts[1].cap, after.frame.posts[1].cap);
        let found = findings(&after, UnitSystem::FeetInches);
        let holding = found
            .iter()
            .find(|finding| finding.about == "Holding area")
            .unwrap();
        assert!(holding.against, "{holding:?}");
        let area = after.cover.holding_over(after.rules.holding_patch);
        assert_eq!(holding.says, UnitSystem::FeetInches.format_area(area));
        assert!(!app.world().resource::<Hands>().at_work);
        assert_eq!(app.world().resource::<History>().undoes(), Some("move P1"));
        chord(&mut app, &[KeyCode::ControlLeft], KeyCode::KeyZ);
        settle(&mut app);
        assert!(shown(&app).sheds());
        assert_eq!(shown(&app).boat, before.boat);
    }

    #[test]
    fn a_hand_along_the_boat_moves_the_station_and_escape_lets_go() {
        let mut app = app(Vantage::Port);
        let before = shown(&app);
        let (cap, scale) = on_screen(&app, 0);
        point(&mut app, cap);
        button(&mut app, MouseButton::Left, ButtonState::Pressed);
        // From port the bow is to the left.
        point(&mut app, cap + Vec2::new(-0.3 * scale, 4.0));
        settle(&mut app);
        let held = shown(&app).frame.posts[0].clone();
        assert!((held.station - before.frame.posts[0].station - 0.3).abs() < 0.02);
        assert_eq!(held.cap, before.frame.posts[0].cap);
        key(&mut app, KeyCode::Escape, ButtonState::Pressed);
        settle(&mut app);
        assert_eq!(shown(&app).boat, before.boat);
        assert!(app.world().resource::<History>().undoes().is_none());
    }

    #[test]
    fn the_view_decides_what_a_hand_can_tell() {
        for (from, along, up) in [
            (Vantage::Bow, false, true),
            (Vantage::Stern, false, true),
            (Vantage::Above, true, false),
            (Vantage::Quarter, true, true),
            (Vantage::Starboard, true, true),
        ] {
            let app = app(from);
            let pose = app.world().resource::<Orbit>().pose;
            let cap = convert::point(&shown(&app).frame.posts[0].top());
            let seen = pose.seen(cap).unwrap();
            let [x, _] = moved(&pose, cap, seen, seen + Vec2::new(0.1, 0.0));
            let [_, z] = moved(&pose, cap, seen, seen + Vec2::new(0.0, 0.1));
            assert_eq!([x != 0.0, z > 0.0], [along, up], "{from:?}");
        }
    }

    #[test]
    fn a_panel_keeps_its_pointer_and_keys_move_the_chosen_post() {
        let mut app = app(Vantage::Port);
        let before = shown(&app);
        let (cap, _) = on_screen(&app, 0);
        app.world_mut().resource_mut::<Hands>().pointer_free = false;
        point(&mut app, cap);
        button(&mut app, MouseButton::Left, ButtonState::Pressed);
        assert!(!app.world().resource::<Grab>().holds());
        button(&mut app, MouseButton::Left, ButtonState::Released);
        // By keys: the second post, an inch up and two forward.
        chord(&mut app, &[], KeyCode::KeyN);
        chord(&mut app, &[], KeyCode::KeyN);
        assert_eq!(app.world().resource::<Bench>().chosen, Some(Piece::Post(1)));
        for arrow in [KeyCode::ArrowUp, KeyCode::ArrowRight, KeyCode::ArrowRight] {
            chord(&mut app, &[KeyCode::ControlLeft], arrow);
            settle(&mut app);
        }
        let [was, now] = [&before, &shown(&app)].map(|plan| plan.frame.posts[1].clone());
        assert!((now.cap - was.cap - METERS_PER_INCH).abs() < 1e-9);
        assert!((now.station - was.station - 2.0 * METERS_PER_INCH).abs() < 1e-9);
        chord(&mut app, &[], KeyCode::Insert);
        settle(&mut app);
        assert_eq!(shown(&app).frame.posts.len(), 3);
        chord(&mut app, &[], KeyCode::Delete);
        settle(&mut app);
        assert_eq!(shown(&app).frame.posts.len(), 2);
        // Pins: only where the frame is not all by hand.
        app.world_mut().resource_mut::<Bench>().others = Others::Replanned;
        for _ in 0..5 {
            chord(&mut app, &[KeyCode::ControlLeft], KeyCode::KeyZ);
            settle(&mut app);
        }
        assert_eq!(shown(&app).boat, before.boat);
        app.world_mut().resource_mut::<Bench>().chosen = Some(Piece::Post(0));
        chord(&mut app, &[], KeyCode::KeyP);
        settle(&mut app);
        let pinned: Vec<bool> = shown(&app)
            .frame
            .posts
            .iter()
            .map(|post| post.pinned)
            .collect();
        assert_eq!(pinned, [true, false]);
    }
}
