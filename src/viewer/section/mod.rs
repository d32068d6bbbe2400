//! The section: a cutting plane across or along the boat, shown in the scene and drawn to scale in a small view.
//!
//! [`cut`](cut::cut) is plain geometry. [`Sectioning`] holds where the plane is; [`SectionPlugin`] moves it by keys,
//! cuts the plan whenever plane or plan change, and marks the plane on every stage.

pub mod cut;
mod marks;
pub mod read;
pub mod sketch;
pub mod view;

use super::canvas::Layout;
use super::hands::Hands;
use super::model::Model;
use super::shown::{Hanging, own_drawn};
use crate::plan::Plan;
use crate::viewer::hands::{control, shift};
use bevy::prelude::*;
use bevy::window::RequestRedraw;
use bevy_egui::EguiPrimaryContextPass;
use cut::{Plane, Section};
use std::sync::Arc;

/// The cutting plane and what it cuts.
#[derive(Resource, Default)]
pub struct Sectioning {
    /// The plane; `None` while nothing is cut.
    pub plane: Option<Plane>,
    /// Where it last stood across and along, so that it comes back there.
    last: [Option<f64>; 2],
    /// What it cuts of a plan.
    made: Option<(Arc<Plan>, Arc<Section>)>,
}

impl Sectioning {
    /// What the plane cuts of the plan that is shown.
    pub fn section(&self) -> Option<&Arc<Section>> {
        let plane = self.plane?;
        let (_, section) = self.made.as_ref()?;
        (section.plane == plane).then_some(section)
    }

    /// Cuts across: where the plane last stood, else at the middle post.
    pub fn across(&mut self, plan: &Plan) {
        let posts = &plan.frame.posts;
        let middle = posts
            .get(posts.len() / 2)
            .map_or(0.5 * plan.boat.length, |post| post.station);
        self.put(Plane::Across(self.last[0].unwrap_or(middle)), plan);
    }

    /// Cuts along: where the plane last stood, else on the centerline.
    pub fn along(&mut self, plan: &Plan) {
        self.put(Plane::Along(self.last[1].unwrap_or(0.0)), plan);
    }

    /// Puts the plane somewhere, within the cover.
    pub fn put(&mut self, plane: Plane, plan: &Plan) {
        let plane = plane.held(plan);
        match plane {
            Plane::Across(at) => self.last[0] = Some(at),
            Plane::Along(at) => self.last[1] = Some(at),
        }
        self.plane = Some(plane);
    }

    /// Takes the plane away.
    pub fn clear(&mut self) {
        self.plane = None;
    }

    /// Moves the plane by a way, m.
    pub fn shift(&mut self, by: f64, plan: &Plan) {
        if let Some(plane) = self.plane {
            self.put(plane.moved_to(plane.at() + by), plan);
        }
    }
}

/// One press of a bracket moves the plane by this, m: 3 in, with Shift 1/4 in.
pub const STEP: f64 = 0.0762;
/// See [`STEP`].
pub const FINE_STEP: f64 = 0.00635;

/// A bracket that is held longer than this, s, moves the plane on evenly, m/s.
const HELD_AFTER: f32 = 0.35;
/// See [`HELD_AFTER`].
const HELD_SPEED: f64 = 0.8;

/// When plane and plan are cut.
#[derive(SystemSet, Debug, Clone, PartialEq, Eq, Hash)]
pub struct Cutting;

/// Moves and draws the section.
pub struct SectionPlugin;

impl Plugin for SectionPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Sectioning>()
            .add_message::<RequestRedraw>()
            .add_systems(
                Update,
                (keys, recut, marks::draw)
                    .chain()
                    .in_set(Cutting)
                    .after(super::scene::Draws),
            )
            .add_systems(EguiPrimaryContextPass, view::panel.in_set(Layout::Bars));
    }
}

/// X cuts across, Y along, each once more to take the plane away; brackets move it.
fn keys(
    keys: Res<ButtonInput<KeyCode>>,
    hands: Res<Hands>,
    time: Res<Time>,
    model: Res<Model>,
    mut held: Local<f32>,
    mut sectioning: ResMut<Sectioning>,
) {
    let Some(plan) = &model.plan else { return };
    if !hands.keys_free || control(&keys) {
        return;
    }
    if keys.just_pressed(KeyCode::KeyX) {
        match sectioning.plane {
            Some(Plane::Across(_)) => sectioning.clear(),
            _ => sectioning.across(plan),
        }
    }
    if keys.just_pressed(KeyCode::KeyY) {
        match sectioning.plane {
            Some(Plane::Along(_)) => sectioning.clear(),
            _ => sectioning.along(plan),
        }
    }
    if sectioning.plane.is_none() {
        return;
    }
    let of = |pressed: bool| f64::from(u8::from(pressed));
    let [back, forth] = [KeyCode::BracketLeft, KeyCode::BracketRight];
    let way = of(keys.pressed(forth)) - of(keys.pressed(back));
    let fine = shift(&keys);
    *held = if way == 0.0 {
        0.0
    } else {
        *held + time.delta_secs()
    };
    let step = if fine { FINE_STEP } else { STEP };
    let mut by = (of(keys.just_pressed(forth)) - of(keys.just_pressed(back))) * step;
    if *held > HELD_AFTER && !fine {
        by += way * HELD_SPEED * f64::from(time.delta_secs());
    }
    if by != 0.0 {
        sectioning.shift(by, plan);
    }
}

/// Cuts anew when plane or plan have changed.
fn recut(
    model: Res<Model>,
    hanging: Option<Res<Hanging>>,
    mut sectioning: ResMut<Sectioning>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    let drawn = own_drawn(&model, hanging.as_deref());
    let (Some(plane), Some(plan)) = (sectioning.plane, drawn) else {
        return;
    };
    let current = sectioning
        .made
        .as_ref()
        .is_some_and(|(of, section)| Arc::ptr_eq(of, plan) && section.plane == plane);
    if !current {
        // A smaller boat may no longer reach where the plane stood.
        let plane = plane.held(plan);
        sectioning.plane = Some(plane);
        sectioning.made = Some((plan.clone(), Arc::new(cut::cut(plan, plane))));
        redraw.write(RequestRedraw);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use crate::plan::plan;
    use crate::units::UnitSystem;
    use bevy::input::{ButtonState, InputPlugin, keyboard::KeyboardInput};

    fn app() -> App {
        let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
        boat.rules.coarsen(3.0);
        let plan = plan(&boat, &boat.rules).unwrap();
        let mut app = App::new();
        app.add_plugins((MinimalPlugins, InputPlugin))
            .init_resource::<Hands>()
            .init_resource::<Sectioning>()
            .add_message::<RequestRedraw>()
            .insert_resource(Model::new(boat, UnitSystem::default()).planned(plan))
            .add_systems(Update, (keys, recut).chain());
        app.update();
        app
    }

    fn tap(app: &mut App, key: KeyCode) {
        for state in [ButtonState::Pressed, ButtonState::Released] {
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
            app.update();
        }
    }

    fn plane(app: &App) -> Option<Plane> {
        app.world().resource::<Sectioning>().plane
    }

    #[test]
    fn keys_put_move_and_take_away_the_plane() {
        let mut app = app();
        tap(&mut app, KeyCode::BracketRight);
        assert_eq!(plane(&app), None, "nothing to move");
        tap(&mut app, KeyCode::KeyX);
        let Some(Plane::Across(start)) = plane(&app) else {
            panic!("{:?}", plane(&app));
        };
        let section = app.world().resource::<Sectioning>().section().cloned();
        assert!(!section.unwrap().film.is_empty());
        for _ in 0..3 {
            tap(&mut app, KeyCode::BracketRight);
        }
        tap(&mut app, KeyCode::BracketLeft);
        let moved = plane(&app).unwrap().at();
        assert!((moved - start - 2.0 * STEP).abs() < 1e-9, "{moved} {start}");
        let section = app.world().resource::<Sectioning>().section().cloned();
        assert_eq!(section.unwrap().plane.at(), moved, "cut where it stands");
        tap(&mut app, KeyCode::KeyY);
        assert_eq!(plane(&app), Some(Plane::Along(0.0)));
        tap(&mut app, KeyCode::KeyY);
        assert_eq!(plane(&app), None);
        tap(&mut app, KeyCode::KeyX);
        assert_eq!(plane(&app), Some(Plane::Across(moved)), "where it was");
        app.world_mut().resource_mut::<Hands>().keys_free = false;
        tap(&mut app, KeyCode::KeyX);
        assert!(plane(&app).is_some(), "a field has the keys");
    }

    #[test]
    fn the_plane_follows_the_plan() {
        let mut app = app();
        tap(&mut app, KeyCode::KeyX);
        {
            let world = app.world_mut();
            let model = world.resource::<Model>();
            let plan = model.plan.clone().unwrap();
            let far = plan.boat.length + 5.0;
            world
                .resource_mut::<Sectioning>()
                .put(Plane::Across(far), &plan);
        }
        app.update();
        let before = plane(&app).unwrap().at();
        // A shorter boat: the plane comes in with it.
        let mut boat = preset("rowing-dinghy-12").unwrap().boat().unwrap();
        boat.rules.coarsen(3.0);
        let plan = plan(&boat, &boat.rules).unwrap();
        app.world_mut().resource_mut::<Model>().plan = Some(Arc::new(plan));
        app.update();
        let after = plane(&app).unwrap().at();
        assert!(after < before && after < boat.length + 0.1, "{after}");
        let section = app.world().resource::<Sectioning>().section().cloned();
        assert_eq!(section.unwrap().plane.at(), after);
    }
}
