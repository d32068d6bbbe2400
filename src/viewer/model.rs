//! The boat under the viewer's hands and its plan. Plans are made in background tasks; the newest wins.

use crate::boat::{Boat, Problem};
use crate::plan::{Plan, plan, plan_alone};
use crate::units::UnitSystem;
use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};
use std::sync::Arc;

/// How finely a plan is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quality {
    /// Coarsely, while something is held and moved.
    Held,
    /// By the boat's own rules.
    Fine,
}

/// How much larger the film's cells are while something is held: a third of the work or less.
const HELD_COARSER: f64 = 2.0;

/// Plans that may be under way at once: a coarse one need not wait for a fine one that nobody wants any more.
const MAX_RUNNING: usize = 2;

/// What is the matter with the plan that is shown.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Status {
    /// Nothing has been planned yet, or a newer plan is under way.
    #[default]
    Planning,
    /// The plan is that of the boat.
    Current,
    /// The boat cannot be planned; the plan that is shown is the last one that could.
    Impossible(Vec<Problem>),
}

/// The boat and its plan.
#[derive(Resource)]
pub struct Model {
    /// The boat as it is now, its rules with it.
    pub boat: Boat,
    /// The newest plan there is, perhaps of an earlier boat.
    pub plan: Option<Arc<Plan>>,
    /// Counts the requests: that of the boat as it is now.
    pub generation: u64,
    /// That of the boat which the plan shows.
    pub shown: u64,
    /// How finely the plan was made.
    pub quality: Quality,
    /// What is the matter with the plan.
    pub status: Status,
    /// Units of everything that is shown.
    pub units: UnitSystem,
}

impl Model {
    /// A boat that has not been planned yet.
    pub fn new(boat: Boat, units: UnitSystem) -> Model {
        Model {
            boat,
            plan: None,
            generation: 0,
            shown: 0,
            quality: Quality::Fine,
            status: Status::Planning,
            units,
        }
    }

    /// Takes a plan that was made by somebody else, such as a picture's.
    pub fn planned(mut self, plan: Plan) -> Model {
        self.plan = Some(Arc::new(plan));
        self.status = Status::Current;
        self
    }
}

/// Asks for a plan of a boat, which becomes the boat of the [`Model`].
#[derive(Message, Debug, Clone)]
pub struct SolveRequest {
    /// The boat, its rules with it.
    pub boat: Boat,
    /// How finely it is wanted.
    pub quality: Quality,
}

/// A plan has arrived in the [`Model`], or the news that there is none.
#[derive(Message, Debug, Clone, Copy, PartialEq, Eq)]
pub struct Solved {
    /// The request that it answers.
    pub generation: u64,
    /// How finely it was made.
    pub quality: Quality,
}

/// Wakes the window when a plan arrives, since it sleeps while nothing happens.
#[derive(Resource, Clone)]
pub struct Waker(pub Arc<dyn Fn() + Send + Sync>);

type Answer = Result<Plan, Vec<Problem>>;

struct Running {
    generation: u64,
    quality: Quality,
    task: Task<Answer>,
}

/// What is under way, and what waits.
#[derive(Resource, Default)]
struct Work {
    running: Vec<Running>,
    waiting: Option<(u64, SolveRequest)>,
}

/// Plans boats in the background.
pub struct ModelPlugin;

impl Plugin for ModelPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Work>()
            .add_message::<SolveRequest>()
            .add_message::<Solved>()
            .add_systems(PreUpdate, (take_requests, collect, start).chain());
    }
}

/// The newest request replaces whatever waits.
fn take_requests(
    mut requests: MessageReader<SolveRequest>,
    mut model: ResMut<Model>,
    mut work: ResMut<Work>,
) {
    for request in requests.read() {
        model.generation += 1;
        model.boat = request.boat.clone();
        model.status = Status::Planning;
        work.waiting = Some((model.generation, request.clone()));
    }
}

fn start(mut work: ResMut<Work>, waker: Option<Res<Waker>>) {
    if work.running.len() >= MAX_RUNNING {
        return;
    }
    let Some((generation, request)) = work.waiting.take() else {
        return;
    };
    let waker = waker.map(|waker| waker.clone());
    let SolveRequest { boat, quality } = request;
    let task = AsyncComputeTaskPool::get().spawn(async move {
        let answer = answer(&boat, quality);
        if let Some(Waker(wake)) = waker {
            wake();
        }
        answer
    });
    work.running.push(Running {
        generation,
        quality,
        task,
    });
}

fn answer(boat: &Boat, quality: Quality) -> Answer {
    let mut rules = boat.rules.clone();
    if quality == Quality::Held {
        rules.coarsen(HELD_COARSER);
        (rules.cap_tolerance, rules.station_tolerance) = (0.0, 0.0);
    }
    // A fault of the planner must not take the window, and unsaved work, with it.
    let solve = match quality {
        Quality::Held => plan_alone,
        _ => plan,
    };
    std::panic::catch_unwind(|| solve(boat, &rules)).unwrap_or_else(|_| {
        Err(vec![Problem {
            path: String::new(),
            place: None,
            what: "the planner gave up on this boat".to_owned(),
            hint: "undo the last change".to_owned(),
        }])
    })
}

/// Takes what is done; what is older than what is shown is dropped.
fn collect(mut work: ResMut<Work>, mut model: ResMut<Model>, mut solved: MessageWriter<Solved>) {
    let mut still = Vec::new();
    for mut running in std::mem::take(&mut work.running) {
        let Some(answer) = block_on(poll_once(&mut running.task)) else {
            still.push(running);
            continue;
        };
        let Running {
            generation,
            quality,
            ..
        } = running;
        let current = generation == model.generation;
        match answer {
            Ok(plan) if generation > model.shown => {
                model.plan = Some(Arc::new(plan));
                model.shown = generation;
                model.quality = quality;
                if current {
                    model.status = Status::Current;
                }
                solved.write(Solved {
                    generation,
                    quality,
                });
            }
            Err(problems) if current => {
                model.status = Status::Impossible(problems);
                solved.write(Solved {
                    generation,
                    quality,
                });
            }
            _ => {}
        }
    }
    work.running = still;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use std::time::{Duration, Instant};

    fn app(boat: &Boat) -> App {
        let mut app = App::new();
        app.add_plugins((MinimalPlugins, ModelPlugin))
            .insert_resource(Model::new(boat.clone(), UnitSystem::default()));
        app
    }

    fn ask(app: &mut App, boat: &Boat, quality: Quality) {
        app.world_mut().write_message(SolveRequest {
            boat: boat.clone(),
            quality,
        });
    }

    /// Updates until nothing is under way; every single update must be short.
    fn settle(app: &mut App) {
        let end = Instant::now() + Duration::from_secs(120);
        loop {
            app.update();
            let work = app.world().resource::<Work>();
            if work.running.is_empty() && work.waiting.is_none() {
                return;
            }
            assert!(Instant::now() < end, "no plan came");
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    #[test]
    fn the_newest_request_wins() {
        let boat = preset("open-runabout-18").unwrap().boat().unwrap();
        let mut app = app(&boat);
        let mut last = boat.clone();
        for k in 0..6 {
            last.rules.clearance = 0.2 + 0.02 * f64::from(k);
            let quality = if k < 5 { Quality::Held } else { Quality::Fine };
            ask(&mut app, &last, quality);
            app.update();
        }
        settle(&mut app);
        let model = app.world().resource::<Model>();
        assert_eq!(model.status, Status::Current);
        assert_eq!((model.generation, model.shown), (6, 6));
        let plan = model.plan.as_ref().unwrap();
        assert_eq!(plan.boat, last);
        assert_eq!(plan.rules.cell, last.rules.cell, "fine at the end");
    }

    #[test]
    fn a_held_plan_is_coarser_and_an_impossible_boat_keeps_the_last_plan() {
        let boat = preset("open-runabout-18").unwrap().boat().unwrap();
        let mut app = app(&boat);
        ask(&mut app, &boat, Quality::Held);
        settle(&mut app);
        let model = app.world().resource::<Model>();
        let plan = model.plan.clone().unwrap();
        assert_eq!(plan.rules.cell, HELD_COARSER * boat.rules.cell);
        let mut broken = boat;
        broken.length = -1.0;
        ask(&mut app, &broken, Quality::Fine);
        settle(&mut app);
        let model = app.world().resource::<Model>();
        assert!(
            matches!(&model.status, Status::Impossible(problems) if !problems.is_empty()),
            "{:?}",
            model.status
        );
        assert!(Arc::ptr_eq(&plan, model.plan.as_ref().unwrap()));
    }
}
