//! The tape under pointer and keys.

use super::{End, Tape, measure};
use crate::plan::Plan;
use crate::viewer::camera::{Orbit, SceneCamera};
use crate::viewer::canvas::Canvas;
use crate::viewer::convert;
use crate::viewer::display::{Display, FilmMode};
use crate::viewer::hands::Hands;
use crate::viewer::hands::control;
use crate::viewer::look::Look;
use crate::viewer::model::Model;
use crate::viewer::pick::{Hit, Ray, Solids};
use crate::viewer::pose::Pose;
use crate::viewer::scene::Part;
use crate::viewer::shown::{Hanging, own_drawn};
use bevy::prelude::*;
use bevy::window::PrimaryWindow;
use bevy_egui::egui;
use nalgebra::Point3;
use std::sync::Arc;

/// The pointer is drawn to a hold that it is nearer to than this, points before scaling.
const DRAWN: f32 = 12.0;
/// An end of the tape that it is nearer to is taken by a drag.
const GRASP: f32 = 10.0;
/// A press that moves farther than this, points, is a drag.
const SLACK: f32 = 4.0;
/// A hold may lie this much behind the film, m: a cap lies right under it, a foot does not.
const BEHIND: f64 = 0.1;

/// What the pointer can meet, and what it has pressed.
#[derive(Resource, Default)]
pub struct Sight {
    solids: Option<(Arc<Plan>, Display, Solids)>,
    press: Option<Press>,
}

struct Press {
    at: egui::Pos2,
    grasps: Option<usize>,
    moved: bool,
}

/// M takes the tape or lays it down, Escape lays it down.
pub fn keys(mut keys: ResMut<ButtonInput<KeyCode>>, hands: Res<Hands>, mut tape: ResMut<Tape>) {
    if !hands.keys_free {
        return;
    }
    let control = control(&keys);
    if keys.just_pressed(KeyCode::KeyM) && !control {
        let take = !tape.in_hand;
        tape.take(take);
    }
    if tape.in_hand && keys.just_pressed(KeyCode::Escape) {
        tape.take(false);
        // It does not close the page as well.
        keys.clear_just_pressed(KeyCode::Escape);
    }
}

/// Clicks set ends, drags of an end move it, other drags are left to the camera.
#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
pub fn point(
    windows: Query<&Window, With<PrimaryWindow>>,
    buttons: Res<ButtonInput<MouseButton>>,
    canvas: Res<Canvas>,
    look: Res<Look>,
    (model, hanging): (Res<Model>, Option<Res<Hanging>>),
    display: Res<Display>,
    orbit: Res<Orbit>,
    cameras: Query<&SceneCamera>,
    mut hands: ResMut<Hands>,
    mut sight: ResMut<Sight>,
    mut tape: ResMut<Tape>,
) {
    let drawn = own_drawn(&model, hanging.as_deref());
    let (Some(plan), true) = (drawn, tape.in_hand) else {
        if sight.press.take().is_some() {
            hands.at_work = false;
        }
        return;
    };
    // Another tool has the pointer.
    if hands.at_work && sight.press.is_none() {
        return;
    }
    let bounds = canvas.part(0, cameras.iter().count());
    let pointer = windows.iter().next().and_then(Window::cursor_position);
    let pointer = pointer
        .map(|p| egui::pos2(p.x, p.y))
        .filter(|p| hands.pointer_free && bounds.contains(*p));
    let current = sight
        .solids
        .as_ref()
        .is_some_and(|(of, shown, _)| Arc::ptr_eq(of, plan) && *shown == *display);
    if !current {
        sight.solids = Some((plan.clone(), *display, Solids::of(plan, &display)));
    }
    let hover = pointer
        .zip(sight.solids.as_ref())
        .and_then(|(p, (_, _, solids))| {
            end_under(
                p,
                bounds,
                &orbit.pose,
                solids,
                plan,
                &display,
                DRAWN * look.scale,
            )
        });
    if tape.hover != hover {
        tape.hover.clone_from(&hover);
    }
    if buttons.just_pressed(MouseButton::Left)
        && let Some(at) = pointer
    {
        let grasps = tape.ends.iter().position(|end| {
            end.as_ref()
                .and_then(|end| on_screen(&orbit.pose, &end.at, bounds))
                .is_some_and(|p| (p - at).length() < GRASP * look.scale)
        });
        sight.press = Some(Press {
            at,
            grasps,
            moved: false,
        });
        hands.at_work = true;
    }
    if let (Some(press), Some(at)) = (&mut sight.press, pointer) {
        press.moved |= (at - press.at).length() > SLACK;
        match press.grasps {
            Some(index) if press.moved => {
                if let (Some(end), Some(hover)) = (tape.ends.get_mut(index), hover.clone()) {
                    *end = Some(hover);
                }
            }
            // The camera's.
            None if press.moved => hands.at_work = false,
            _ => {}
        }
    }
    if !buttons.pressed(MouseButton::Left)
        && let Some(press) = sight.press.take()
    {
        hands.at_work = false;
        // A click on the only end would measure nothing.
        let again = press.grasps.is_some() && tape.ends.iter().any(Option::is_none);
        if let (false, false, Some(end)) = (press.moved, again, hover) {
            tape.set(end);
        }
    }
}

/// Where a place is on the screen.
pub fn on_screen(pose: &Pose, p: &Point3<f64>, bounds: egui::Rect) -> Option<egui::Pos2> {
    let seen = pose.seen(convert::point(p))?;
    Some(bounds.center() + egui::vec2(seen.x, -seen.y) * bounds.height())
}

/// The end that a click at a place of the screen would set: drawn softly to caps, feet, ends of straps and corners.
fn end_under(
    at: egui::Pos2,
    bounds: egui::Rect,
    pose: &Pose,
    solids: &Solids,
    plan: &Plan,
    display: &Display,
    drawn: f32,
) -> Option<End> {
    let off = (at - bounds.center()) / bounds.height().max(1.0);
    let ray = Ray::through(pose, Vec2::new(off.x, -off.y));
    let hit = solids.hit(&ray)?;
    let seen_at = |p: &Point3<f64>| {
        // What the film hides cannot be meant.
        let hidden = display.film == FilmMode::Opaque
            && (p - ray.from).dot(&ray.way) > hit.distance + BEHIND;
        let place = on_screen(pose, p, bounds).filter(|_| !hidden)?;
        let off = (place - at).length();
        (off < drawn).then_some(off)
    };
    let hold = measure::holds(plan)
        .into_iter()
        .filter_map(|(p, name)| Some((seen_at(&p)?, p, name)))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    Some(match hold {
        Some((_, at, on)) => End {
            on_film: display.has_film() && lies_on_film(plan, &at),
            at,
            on,
        },
        None => End {
            at: hit.at,
            on: name_of(plan, &hit),
            on_film: matches!(hit.part, Part::Film | Part::Skirt),
        },
    })
}

/// A hold this near under the film counts as on it, m.
const AT_FILM: f64 = 0.02;

fn lies_on_film(plan: &Plan, p: &Point3<f64>) -> bool {
    measure::film_at(plan, p.xy()).is_some_and(|z| (z - p.z).abs() < AT_FILM)
}

fn name_of(plan: &Plan, hit: &Hit) -> String {
    let post = |index: usize| {
        let post = plan.frame.posts.get(index);
        post.map_or("post".to_owned(), |post| post.id.clone())
    };
    match hit.part {
        Part::Film | Part::Skirt => "film".to_owned(),
        Part::Thing(index) => plan
            .hull
            .things
            .get(index)
            .map_or("boat", |thing| thing.name.as_str())
            .to_owned(),
        Part::Footing => "footing".to_owned(),
        Part::Post(index) => post(index),
        Part::Cap(index) => format!("cap of {}", post(index)),
        Part::Ground => "ground".to_owned(),
        _ => "hull".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::remeasure;
    use super::*;
    use crate::boat::preset;
    use crate::plan::plan;
    use crate::units::UnitSystem;
    use crate::view::{Show, Vantage};
    use crate::viewer::camera::Go;
    use crate::viewer::hands::Tools;
    use bevy::input::mouse::MouseButtonInput;
    use bevy::input::{ButtonState, InputPlugin, InputSystems, keyboard::KeyboardInput};
    use bevy::window::RequestRedraw;

    const SIZE: [f32; 2] = [1000.0, 700.0];

    fn app() -> App {
        let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
        boat.rules.coarsen(3.0);
        let plan = plan(&boat, &boat.rules).unwrap();
        let mut orbit = Orbit::new(Vantage::Port);
        orbit.pose.target = Vec3::new(2.7, 0.9, 0.0);
        orbit.pose.distance = 18.0;
        let mut app = App::new();
        app.add_plugins((MinimalPlugins, InputPlugin))
            .init_resource::<Hands>()
            .init_resource::<Look>()
            .init_resource::<Tape>()
            .init_resource::<Sight>()
            .add_message::<Go>()
            .add_message::<RequestRedraw>()
            .insert_resource(Display::of(Show::Slope))
            .insert_resource(orbit)
            .insert_resource(Canvas {
                rest: bounds(),
                ..Canvas::default()
            })
            .insert_resource(Model::new(boat, UnitSystem::default()).planned(plan))
            .add_systems(PreUpdate, (keys, point).chain().after(InputSystems))
            .add_systems(Update, remeasure.after(Tools));
        app.world_mut().spawn((
            PrimaryWindow,
            Window {
                resolution: (SIZE[0] as u32, SIZE[1] as u32).into(),
                ..Window::default()
            },
        ));
        app.world_mut().spawn(SceneCamera::default());
        app.update();
        app
    }

    fn bounds() -> egui::Rect {
        egui::Rect::from_min_size(egui::Pos2::ZERO, SIZE.into())
    }

    fn key(app: &mut App, key_code: KeyCode) {
        for state in [ButtonState::Pressed, ButtonState::Released] {
            app.world_mut().write_message(KeyboardInput {
                key_code,
                logical_key: bevy::input::keyboard::Key::Unidentified(
                    bevy::input::keyboard::NativeKey::Unidentified,
                ),
                state,
                text: None,
                repeat: false,
                window: Entity::PLACEHOLDER,
            });
            app.update();
        }
    }

    fn move_to(app: &mut App, p: &Point3<f64>, off: f32) {
        let pose = app.world().resource::<Orbit>().pose;
        let at = on_screen(&pose, p, bounds()).unwrap();
        let mut windows = app.world_mut().query::<&mut Window>();
        let mut window = windows.single_mut(app.world_mut()).unwrap();
        window.set_cursor_position(Some(Vec2::new(at.x + off, at.y)));
        app.update();
    }

    fn button(app: &mut App, state: ButtonState) {
        app.world_mut().write_message(MouseButtonInput {
            button: MouseButton::Left,
            state,
            window: Entity::PLACEHOLDER,
        });
        app.update();
    }

    fn click(app: &mut App, p: &Point3<f64>, off: f32) {
        move_to(app, p, off);
        button(app, ButtonState::Pressed);
        button(app, ButtonState::Released);
    }

    fn tape(app: &App) -> &Tape {
        app.world().resource::<Tape>()
    }

    #[test]
    fn two_clicks_measure_from_cap_to_cap() {
        let mut app = app();
        let plan = app.world().resource::<Model>().plan.clone().unwrap();
        let caps: Vec<_> = plan.frame.posts.iter().map(|post| post.top()).collect();
        click(&mut app, &caps[0], 0.0);
        assert!(tape(&app).ends[0].is_none(), "it is not in hand");
        key(&mut app, KeyCode::KeyM);
        // A few points beside the cap it is drawn to it.
        click(&mut app, &caps[0], 5.0);
        click(&mut app, &caps[1], -5.0);
        let measure = tape(&app).measure().cloned().unwrap();
        let wanted = caps[1] - caps[0];
        assert!((measure.straight - wanted.norm()).abs() < 1e-9);
        assert!((measure.rise - wanted.z).abs() < 1e-9);
        let names = tape(&app).ends.iter().flatten().map(|end| end.on.clone());
        let names: Vec<_> = names.collect();
        assert_eq!(names, ["cap of P1", "cap of P2"]);
        // Between caps the film sags: the way over it is the longer.
        let over = measure.over_film.unwrap();
        assert!(over.length > measure.straight && over.length < 1.1 * measure.straight);
        // The third click starts anew.
        click(&mut app, &caps[0], 0.0);
        assert!(tape(&app).ends[1].is_none() && tape(&app).measure().is_none());
        assert!(!app.world().resource::<Hands>().at_work);
    }

    #[test]
    fn a_drag_of_an_end_moves_it_and_other_drags_are_the_cameras() {
        let mut app = app();
        let plan = app.world().resource::<Model>().plan.clone().unwrap();
        let caps: Vec<_> = plan.frame.posts.iter().map(|post| post.top()).collect();
        key(&mut app, KeyCode::KeyM);
        click(&mut app, &caps[0], 0.0);
        click(&mut app, &caps[1], 0.0);
        // Somewhere on the port side of the film.
        let z = measure::film_at(&plan, [2.0, 0.6].into()).unwrap();
        let place = Point3::new(2.0, 0.6, z);
        move_to(&mut app, &caps[1], 0.0);
        button(&mut app, ButtonState::Pressed);
        assert!(
            app.world().resource::<Hands>().at_work,
            "the camera must not turn"
        );
        move_to(&mut app, &place, 0.0);
        button(&mut app, ButtonState::Released);
        let end = tape(&app).ends[1].clone().unwrap();
        assert!((end.at - place).norm() < 0.01, "{} {place}", end.at);
        assert!(end.on_film && end.on == "film");
        let before = tape(&app).ends.clone();
        let beside = Point3::new(4.2, 0.2, 0.9);
        move_to(&mut app, &beside, 0.0);
        button(&mut app, ButtonState::Pressed);
        move_to(&mut app, &beside, 40.0);
        assert!(
            !app.world().resource::<Hands>().at_work,
            "left to the camera"
        );
        button(&mut app, ButtonState::Released);
        assert_eq!(tape(&app).ends, before);
        key(&mut app, KeyCode::Escape);
        assert!(!tape(&app).in_hand);
        assert_eq!(tape(&app).ends, before, "what was measured stays");
    }

    #[test]
    fn ends_follow_what_they_are_held_to() {
        let mut app = app();
        let first = app.world().resource::<Model>().plan.clone().unwrap();
        for x in [1.5, 3.5] {
            let z = measure::film_at(&first, [x, 0.5].into()).unwrap();
            app.world_mut().resource_mut::<Tape>().set(End {
                at: Point3::new(x, 0.5, z),
                on: "film".to_owned(),
                on_film: true,
            });
        }
        app.update();
        let before = tape(&app).measure().cloned().unwrap();
        let mut rules = first.rules.clone();
        rules.clearance += 0.3;
        let higher = plan(&first.boat, &rules).unwrap();
        app.world_mut().resource_mut::<Model>().plan = Some(Arc::new(higher));
        app.update();
        let plan = app.world().resource::<Model>().plan.clone().unwrap();
        for end in tape(&app).ends.iter().flatten() {
            let z = measure::film_at(&plan, end.at.xy()).unwrap();
            assert!((end.at.z - z).abs() < 1e-9);
        }
        assert_ne!(tape(&app).measure().unwrap().straight, before.straight);
        // An end that is held to a cap stays at the cap's height.
        app.world_mut().resource_mut::<Tape>().set(End {
            at: plan.frame.posts[0].top(),
            on: "cap of P1".to_owned(),
            on_film: true,
        });
        app.update();
        app.world_mut().resource_mut::<Model>().plan = Some(first.clone());
        app.update();
        let held = tape(&app).ends[0].clone().unwrap();
        assert_eq!(held.at, first.frame.posts[0].top());
    }
}
