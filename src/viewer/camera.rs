//! The camera: it circles the boat, pans, zooms, flies to fixed views, and fits the boat into its picture.

use super::hands::Hands;
use super::pose::{DISTANCES, POLE};
pub use super::pose::{FIELD, NEAREST, Pose, Room};
use super::scene::extent;
use super::shown::Shown;
use crate::view::Vantage;
use crate::viewer::hands::{control, shift};
use bevy::input::mouse::{AccumulatedMouseMotion, AccumulatedMouseScroll};
use bevy::prelude::*;
use std::f32::consts::{FRAC_PI_2, PI, TAU};

/// Time of a flight between two views, s.
const FLIGHT: f32 = 0.35;

/// Turn for each pixel that the mouse is drawn, rad.
const TURN: f32 = 0.006;

/// Turn, and part of the picture, for each second that a key is held.
const KEY_TURN: f32 = 1.2;
/// See [`KEY_TURN`].
const KEY_PAN: f32 = 0.6;

/// Part by which one notch of the wheel brings the boat nearer.
const ZOOM: f32 = 0.12;

/// Where the camera is, and where it flies to.
#[derive(Resource, Debug, Clone, PartialEq)]
pub struct Orbit {
    /// Where it is.
    pub pose: Pose,
    flight: Option<Flight>,
    /// The view of the whole boat that it has not left since.
    kept: Option<Vantage>,
    /// The boat has still to be fitted into the picture.
    unfitted: bool,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Flight {
    from: Pose,
    to: Pose,
    /// Part of it that is done.
    done: f32,
}

impl Orbit {
    /// A camera that takes its place as soon as there is a boat.
    pub fn new(vantage: Vantage) -> Orbit {
        Orbit {
            pose: Pose {
                target: Vec3::ZERO,
                yaw: 0.0,
                pitch: 0.0,
                distance: 20.0,
            }
            .turned(vantage),
            flight: None,
            kept: Some(vantage),
            unfitted: true,
        }
    }

    /// Flies to a place.
    pub fn fly(&mut self, mut to: Pose) {
        // The short way round.
        to.yaw = self.pose.yaw + (to.yaw - self.pose.yaw + PI).rem_euclid(TAU) - PI;
        self.flight = Some(Flight {
            from: self.pose,
            to,
            done: 0.0,
        });
    }

    /// Fits the boat into the picture, in the direction it looks in, as soon as it does not fly any more.
    pub fn refit(&mut self) {
        self.unfitted = true;
    }

    /// Leaves whatever it was bound to.
    fn free(&mut self) {
        self.flight = None;
        self.kept = None;
        self.unfitted = false;
    }

    /// Whether it is on its way.
    pub fn flies(&self) -> bool {
        self.flight.is_some()
    }

    fn advance(&mut self, seconds: f32) {
        let Some(mut flight) = self.flight else {
            return;
        };
        flight.done = (flight.done + seconds / FLIGHT).min(1.0);
        // Soft at both ends.
        let s = flight.done * flight.done * (3.0 - 2.0 * flight.done);
        let (a, b) = (flight.from, flight.to);
        self.pose = Pose {
            target: a.target.lerp(b.target, s),
            yaw: a.yaw + s * (b.yaw - a.yaw),
            pitch: a.pitch + s * (b.pitch - a.pitch),
            distance: a.distance * (b.distance / a.distance).powf(s),
        };
        self.flight = (flight.done < 1.0).then_some(flight);
    }
}

/// Asks the camera to go somewhere.
#[derive(Message, Debug, Clone, Copy, PartialEq)]
pub enum Go {
    /// To a view of the whole boat.
    To(Vantage),
    /// Nearer to a place, from where it looks now.
    At(Vec3),
    /// Where the whole boat is seen, in the same direction.
    Fit,
}

/// A camera of the scene. Several stand side by side and are linked by the one [`Orbit`].
#[derive(Component, Debug, Clone, Copy, Default)]
pub struct SceneCamera {
    /// Its place from the left.
    pub place: usize,
}

/// Width over height of a scene camera's picture, and what is kept free in it.
#[derive(Resource, Debug, Clone, Copy, PartialEq)]
pub struct Aperture {
    /// Width over height.
    pub aspect: f32,
    /// What is kept free.
    pub room: Room,
}

impl Default for Aperture {
    fn default() -> Aperture {
        Aperture {
            aspect: 1.6,
            room: Room::default(),
        }
    }
}

/// When the camera moves.
#[derive(SystemSet, Debug, Clone, PartialEq, Eq, Hash)]
pub struct CameraMoves;

/// Moves the camera.
pub struct CameraPlugin;

impl Plugin for CameraPlugin {
    fn build(&self, app: &mut App) {
        app.add_message::<Go>()
            .init_resource::<Aperture>()
            .add_systems(Update, (keys, drag, go, place).chain().in_set(CameraMoves));
    }
}

/// Keys of the views, in the order of [`Vantage::ALL`].
pub const VIEW_KEYS: [KeyCode; 6] = [
    KeyCode::Digit1,
    KeyCode::Digit2,
    KeyCode::Digit3,
    KeyCode::Digit4,
    KeyCode::Digit5,
    KeyCode::Digit6,
];

fn keys(
    keys: Res<ButtonInput<KeyCode>>,
    hands: Res<Hands>,
    time: Res<Time>,
    mut orbit: ResMut<Orbit>,
    mut go: MessageWriter<Go>,
) {
    if !hands.keys_free || control(&keys) {
        return;
    }
    for (key, vantage) in VIEW_KEYS.into_iter().zip(Vantage::ALL) {
        if keys.just_pressed(key) {
            go.write(Go::To(vantage));
        }
    }
    if keys.any_just_pressed([KeyCode::KeyF, KeyCode::Home]) {
        go.write(Go::Fit);
    }
    let held = |key: KeyCode| f32::from(u8::from(keys.pressed(key)));
    let step = time.delta_secs();
    let way = Vec2::new(
        held(KeyCode::ArrowRight) - held(KeyCode::ArrowLeft),
        held(KeyCode::ArrowUp) - held(KeyCode::ArrowDown),
    ) * step;
    let nearer = held(KeyCode::PageUp) - held(KeyCode::PageDown);
    if way == Vec2::ZERO && nearer == 0.0 {
        return;
    }
    if shift(&keys) {
        pan(&mut orbit, way * KEY_PAN);
    } else {
        turn(&mut orbit, way * KEY_TURN);
    }
    zoom(&mut orbit, nearer * step / ZOOM);
}

fn drag(
    buttons: Res<ButtonInput<MouseButton>>,
    keys: Option<Res<ButtonInput<KeyCode>>>,
    motion: Res<AccumulatedMouseMotion>,
    scroll: Res<AccumulatedMouseScroll>,
    hands: Res<Hands>,
    cameras: Query<&Camera, With<SceneCamera>>,
    mut orbit: ResMut<Orbit>,
) {
    if !hands.pointer_free || hands.at_work {
        return;
    }
    if scroll.delta.y != 0.0 {
        zoom(&mut orbit, scroll.delta.y.clamp(-3.0, 3.0));
    }
    let by = Vec2::new(motion.delta.x, -motion.delta.y);
    if by == Vec2::ZERO {
        return;
    }
    let shifted = keys.is_some_and(|keys| shift(&keys));
    let pans = buttons.any_pressed([MouseButton::Right, MouseButton::Middle])
        || (shifted && buttons.pressed(MouseButton::Left));
    if pans {
        let height = cameras
            .iter()
            .find_map(Camera::logical_viewport_size)
            .map_or(800.0, |size| size.y);
        pan(&mut orbit, -by / height);
    } else if buttons.pressed(MouseButton::Left) {
        turn(&mut orbit, -by * TURN);
    }
}

/// To the right and up, rad.
fn turn(orbit: &mut Orbit, by: Vec2) {
    orbit.free();
    let pose = &mut orbit.pose;
    pose.yaw = (pose.yaw + by.x).rem_euclid(TAU);
    pose.pitch = (pose.pitch + by.y).clamp(POLE - FRAC_PI_2, FRAC_PI_2 - POLE);
}

/// To the right and up, in heights of the picture.
fn pan(orbit: &mut Orbit, by: Vec2) {
    orbit.free();
    let [_, right, up] = orbit.pose.axes();
    let height = 2.0 * orbit.pose.distance * (0.5 * FIELD).tan();
    orbit.pose.target += (right * by.x + up * by.y) * height;
}

/// Nearer by notches.
fn zoom(orbit: &mut Orbit, notches: f32) {
    if notches != 0.0 {
        orbit.free();
        let distance = orbit.pose.distance * (-ZOOM * notches).exp();
        orbit.pose.distance = distance.clamp(DISTANCES[0], DISTANCES[1]);
    }
}

/// How near the camera goes to a place that it is sent to, m.
const NEAR: f32 = 6.0;

fn go(
    mut wishes: MessageReader<Go>,
    shown: Shown,
    aperture: Res<Aperture>,
    mut orbit: ResMut<Orbit>,
) {
    let Some(plan) = shown.plan() else {
        wishes.clear();
        return;
    };
    let fitted = |pose: Pose| pose.fitting(&extent(plan), aperture.aspect, aperture.room);
    if aperture.is_changed() && orbit.kept.is_some() {
        orbit.unfitted = true;
    }
    if orbit.unfitted && !orbit.flies() {
        let pose = orbit.pose;
        orbit.pose = fitted(orbit.kept.map_or(pose, |vantage| pose.turned(vantage)));
        orbit.unfitted = false;
    }
    for wish in wishes.read() {
        let pose = orbit.pose;
        let (to, kept) = match wish {
            Go::To(vantage) => (fitted(pose.turned(*vantage)), Some(*vantage)),
            Go::Fit => (fitted(pose), None),
            Go::At(target) => {
                let distance = pose.distance.min(NEAR);
                let target = *target;
                (
                    Pose {
                        target,
                        distance,
                        ..pose
                    },
                    None,
                )
            }
        };
        orbit.kept = kept;
        orbit.fly(to);
    }
}

/// Sets the cameras where the orbit says.
fn place(
    time: Res<Time>,
    mut orbit: ResMut<Orbit>,
    mut cameras: Query<&mut Transform, With<SceneCamera>>,
) {
    if orbit.flies() {
        orbit.advance(time.delta_secs());
    }
    let wanted = orbit.pose.transform();
    for mut transform in &mut cameras {
        if *transform != wanted {
            *transform = wanted;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use crate::plan::plan;
    use crate::units::UnitSystem;
    use crate::viewer::model::Model;
    use bevy::input::InputPlugin;
    use bevy::input::mouse::{MouseButtonInput, MouseMotion};
    use bevy::input::{ButtonState, keyboard::KeyboardInput};
    use bevy::time::TimeUpdateStrategy;
    use std::time::Duration;

    fn app() -> App {
        let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
        boat.rules.coarsen(3.0);
        let plan = plan(&boat, &boat.rules).unwrap();
        let mut app = App::new();
        app.add_plugins((MinimalPlugins, InputPlugin, CameraPlugin))
            .init_resource::<Hands>()
            .insert_resource(Orbit::new(Vantage::Quarter))
            .insert_resource(Model::new(boat, UnitSystem::default()).planned(plan))
            .insert_resource(TimeUpdateStrategy::ManualDuration(Duration::from_millis(
                50,
            )));
        app.world_mut()
            .spawn((SceneCamera::default(), Transform::default()));
        app.update();
        app
    }

    fn pose(app: &App) -> Pose {
        app.world().resource::<Orbit>().pose
    }

    fn press(app: &mut App, key: KeyCode, state: ButtonState) {
        app.world_mut().write_message(KeyboardInput {
            key_code: key,
            logical_key: bevy::input::keyboard::Key::Unidentified(
                bevy::input::keyboard::NativeKey::Unidentified,
            ),
            state,
            text: None,
            repeat: false,
            window: Entity::PLACEHOLDER,
        });
    }

    fn mouse(app: &mut App, button: MouseButton, by: Vec2) {
        let window = Entity::PLACEHOLDER;
        app.world_mut().write_message(MouseButtonInput {
            button,
            state: ButtonState::Pressed,
            window,
        });
        app.world_mut().write_message(MouseMotion { delta: by });
        app.update();
        app.world_mut().write_message(MouseButtonInput {
            button,
            state: ButtonState::Released,
            window,
        });
        app.update();
    }

    #[test]
    fn a_key_flies_to_its_view_quickly_and_softly() {
        let mut app = app();
        for (key, vantage) in VIEW_KEYS.into_iter().zip(Vantage::ALL) {
            press(&mut app, key, ButtonState::Pressed);
            let mut poses = vec![pose(&app)];
            for _ in 0..9 {
                app.update();
                poses.push(pose(&app));
            }
            press(&mut app, key, ButtonState::Released);
            app.update();
            assert!(!app.world().resource::<Orbit>().flies(), "{vantage:?}");
            let wanted = Orbit::new(vantage).pose;
            let turn = (pose(&app).yaw - wanted.yaw).rem_euclid(TAU);
            assert!(turn.min(TAU - turn) < 1e-4, "{vantage:?}: {turn}");
            assert!((pose(&app).pitch - wanted.pitch).abs() < 1e-4);
            let steps: Vec<f32> = poses
                .windows(2)
                .map(|pair| {
                    let [a, b] = [pair[0], pair[1]].map(|pose| pose.transform().translation);
                    a.distance(b)
                })
                .collect();
            let whole: f32 = steps.iter().sum();
            assert!(
                steps.iter().all(|step| *step <= 0.45 * whole + 1e-3),
                "{vantage:?}: {steps:?}"
            );
        }
    }

    #[test]
    fn the_mouse_turns_pans_and_zooms_unless_a_panel_has_it() {
        let mut app = app();
        let start = pose(&app);
        mouse(&mut app, MouseButton::Left, Vec2::new(40.0, 0.0));
        let turned = pose(&app);
        assert!(turned.yaw < start.yaw && turned.target == start.target);
        mouse(&mut app, MouseButton::Right, Vec2::new(0.0, 30.0));
        let panned = pose(&app);
        assert!(
            panned.target.y > turned.target.y,
            "the scene follows the hand"
        );
        assert_eq!(panned.yaw, turned.yaw);
        app.world_mut()
            .write_message(bevy::input::mouse::MouseWheel {
                unit: bevy::input::mouse::MouseScrollUnit::Line,
                x: 0.0,
                y: 1.0,
                window: Entity::PLACEHOLDER,
                phase: bevy::input::touch::TouchPhase::Moved,
            });
        app.update();
        let near = pose(&app);
        assert!(near.distance < panned.distance);
        app.world_mut().resource_mut::<Hands>().pointer_free = false;
        mouse(&mut app, MouseButton::Left, Vec2::new(40.0, 20.0));
        assert_eq!(pose(&app), near);
    }

    #[test]
    fn the_camera_flies_to_a_place_that_is_named() {
        let mut app = app();
        let place = Vec3::new(1.0, 1.2, 0.3);
        app.world_mut().write_message(Go::At(place));
        for _ in 0..10 {
            app.update();
        }
        assert!((pose(&app).target - place).length() < 1e-4);
        let camera = app
            .world_mut()
            .query_filtered::<&Transform, With<SceneCamera>>()
            .single(app.world())
            .unwrap();
        assert_eq!(*camera, pose(&app).transform());
    }
}
