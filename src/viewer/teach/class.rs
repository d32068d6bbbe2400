//! What is being taught: a lesson, or a rival of the boat that is open. Neither changes the boat.

use super::Teaches;
use super::comparison::{Comparison, Otherwise};
use super::snowfall::Snowfall;
use super::work::{Done, Job, Pair, Work};
use crate::boat::Problem;
use crate::lesson::{Lesson, Measure, Played, Rival, lessons};
use crate::plan::Plan;
use crate::units::METERS_PER_INCH;
use crate::view::Vantage;
use crate::viewer::camera::Orbit;
use crate::viewer::history::Act;
use crate::viewer::model::{Model, Waker};
use crate::viewer::page::Page;
use crate::viewer::shown::Guest;
use bevy::prelude::*;
use std::sync::Arc;

/// Asks for something of the class.
#[derive(Message, Debug, Clone, PartialEq)]
pub enum Ask {
    /// A lesson by its short name.
    Lesson(String),
    /// A choice of the lesson that is on, by its place: a prediction.
    Choose(usize),
    /// See what happens: not before a choice was taken.
    See,
    /// A rival of the boat that is open.
    Rival(Rival),
    /// How deep it snows on a rival, m.
    Snow(f64),
    /// Back to the boat alone.
    Leave,
}

/// A lesson that is on.
pub struct Sitting {
    /// The lesson with its answer.
    pub played: Played,
    /// What was predicted, by its place among the choices.
    pub choice: Option<usize>,
    /// The prediction stands, and the storm can be seen.
    pub seen: bool,
    /// The storm has been seen to its end: the answer is told.
    pub answered: bool,
    pair: Pair,
    /// Where the camera was before.
    before: Orbit,
}

/// What is on.
pub enum On {
    /// Nothing.
    Nothing,
    /// A lesson.
    Lesson(Box<Sitting>),
    /// A rival of the boat that is open.
    Rival {
        /// Which.
        rival: Rival,
        /// The plan that it was asked for.
        of: Arc<Plan>,
    },
}

/// The class.
#[derive(Resource)]
pub struct Class {
    /// All lessons.
    pub lessons: Vec<Lesson>,
    /// What is on.
    pub on: On,
    /// What is being planned, in words.
    pub coming: Option<String>,
    /// Why the last thing that was asked for cannot be had.
    pub problems: Vec<Problem>,
    /// How deep it snows on rivals, m.
    pub snow: f64,
}

/// How deep it may snow on rivals, m: 5, 10 and 20 in; the lessons have the middle one.
pub const SNOWS: [f64; 3] = [
    5.0 * METERS_PER_INCH,
    10.0 * METERS_PER_INCH,
    20.0 * METERS_PER_INCH,
];

impl Default for Class {
    fn default() -> Class {
        let (lessons, problems) = match lessons() {
            Ok(lessons) => (lessons, Vec::new()),
            Err(problems) => (Vec::new(), problems.list),
        };
        Class {
            lessons,
            on: On::Nothing,
            coming: None,
            problems,
            snow: SNOWS[1],
        }
    }
}

impl Class {
    /// The lesson that is on.
    pub fn sitting(&self) -> Option<&Sitting> {
        match &self.on {
            On::Lesson(sitting) => Some(sitting),
            _ => None,
        }
    }

    fn sitting_mut(&mut self) -> Option<&mut Sitting> {
        match &mut self.on {
            On::Lesson(sitting) => Some(sitting),
            _ => None,
        }
    }
}

/// Holds the class.
pub struct ClassPlugin;

impl Plugin for ClassPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Class>()
            .init_resource::<Work>()
            .add_message::<Ask>()
            .add_systems(
                Update,
                (turn_away, hear, take, follow, answer)
                    .chain()
                    .in_set(Teaches)
                    .before(super::comparison::refit),
            );
    }
}

/// A lesson is left when another page is turned to, where the boat can be changed, or when another boat is opened.
fn turn_away(
    page: Res<Page>,
    class: Res<Class>,
    mut acts: MessageReader<Act>,
    mut asks: MessageWriter<Ask>,
) {
    let opened = acts.read().any(|act| matches!(act, Act::Open { .. }));
    let elsewhere = page.is_changed() && !matches!(*page, Page::Lessons | Page::None);
    if (opened || elsewhere) && (class.sitting().is_some() || class.coming.is_some()) {
        asks.write(Ask::Leave);
    }
}

fn hear(
    mut commands: Commands,
    mut asks: MessageReader<Ask>,
    mut class: ResMut<Class>,
    mut work: ResMut<Work>,
    mut orbit: ResMut<Orbit>,
    model: Res<Model>,
) {
    for ask in asks.read() {
        match ask {
            Ask::Lesson(name) => {
                let Some(lesson) = class.lessons.iter().find(|lesson| lesson.name == *name) else {
                    continue;
                };
                let lesson = Box::new(lesson.clone());
                class.coming = Some(lesson.title.clone());
                class.problems.clear();
                work.ask(Job::Lesson(lesson));
                alone(&mut commands);
                // A lesson that is on stays until the next one is there.
                if matches!(class.on, On::Rival { .. }) {
                    class.on = On::Nothing;
                }
            }
            Ask::Rival(rival) => {
                let Some(plan) = &model.plan else { continue };
                leave(&mut commands, &mut class, &mut orbit);
                class.problems.clear();
                ask_for_rival(&mut class, &mut work, rival.clone(), plan);
            }
            Ask::Choose(choice) => {
                // A prediction is made before, not after.
                if let Some(sitting) = class.sitting_mut().filter(|sitting| !sitting.seen)
                    && *choice < sitting.played.lesson().choices.len()
                {
                    sitting.choice = Some(*choice);
                }
            }
            Ask::See => {
                if let Some(sitting) = class.sitting_mut()
                    && sitting.choice.is_some()
                    && !sitting.seen
                {
                    sitting.seen = true;
                    see(&mut commands, sitting);
                }
            }
            Ask::Snow(snow) => {
                class.snow = *snow;
                if let On::Rival { rival, of } = &class.on {
                    let (rival, of) = (rival.clone(), of.clone());
                    ask_for_rival(&mut class, &mut work, rival, &of);
                }
            }
            Ask::Leave => {
                work.forget();
                class.coming = None;
                class.problems.clear();
                leave(&mut commands, &mut class, &mut orbit);
            }
        }
    }
}

/// Takes the rival and the storm away.
fn alone(commands: &mut Commands) {
    commands.remove_resource::<Comparison>();
    commands.remove_resource::<Snowfall>();
}

/// Back to the boat alone, and the camera to where it was before a lesson.
fn leave(commands: &mut Commands, class: &mut Class, orbit: &mut Orbit) {
    alone(commands);
    commands.remove_resource::<Guest>();
    if let On::Lesson(sitting) = std::mem::replace(&mut class.on, On::Nothing) {
        *orbit = sitting.before;
    }
}

fn ask_for_rival(class: &mut Class, work: &mut Work, rival: Rival, of: &Arc<Plan>) {
    work.ask(Job::Rival {
        plan: of.clone(),
        rival: rival.clone(),
    });
    class.coming = Some("the rival".to_owned());
    class.on = On::Rival {
        rival,
        of: of.clone(),
    };
}

/// Shows a lesson's rival beside its plan, and lets it snow.
fn see(commands: &mut Commands, sitting: &Sitting) {
    let lesson = sitting.played.lesson();
    let mut snowfall = Snowfall::new(&sitting.pair, lesson.snow);
    snowfall.turn(super::snowfall::Weather::RunOrStop);
    commands.insert_resource(snowfall);
    commands.insert_resource(compared(&sitting.played));
}

/// A lesson as a comparison.
pub fn compared(played: &Played) -> Comparison {
    let lesson = played.lesson();
    let both = [&played.plan_measured, &played.rival_measured];
    Comparison {
        plans: [played.plan.clone(), played.rival.clone()],
        otherwise: Otherwise::Changes(lesson.changes.clone()),
        measured: (lesson.measure != Measure::SnowHeld)
            .then(|| (lesson.measure, both.map(|m| m.get(lesson.measure)))),
    }
}

/// Takes what has been planned.
fn take(
    mut commands: Commands,
    mut class: ResMut<Class>,
    mut work: ResMut<Work>,
    mut orbit: ResMut<Orbit>,
    waker: Option<Res<Waker>>,
) {
    if work.is_idle() {
        return;
    }
    // Waiting is no change: the window may sleep until the answer wakes it.
    let turned = work.bypass_change_detection().turn(waker.as_deref());
    let Some(answer) = turned else {
        return;
    };
    class.coming = None;
    match answer {
        Err(problems) => {
            class.problems = problems;
            alone(&mut commands);
        }
        Ok(Done::Lesson(played, pair)) => {
            let before = match &class.on {
                On::Lesson(sitting) => sitting.before.clone(),
                _ => orbit.clone(),
            };
            alone(&mut commands);
            commands.insert_resource(Guest {
                plan: played.plan.clone(),
                name: format!(
                    "Lesson: {}, on {}",
                    played.lesson().title,
                    played.plan.boat.name
                ),
            });
            *orbit = Orbit::new(Vantage::default());
            class.on = On::Lesson(Box::new(Sitting {
                played: *played,
                choice: None,
                seen: false,
                answered: false,
                pair,
                before,
            }));
        }
        Ok(Done::Rival(rival, pair)) => {
            class.problems.clear();
            commands.insert_resource(Snowfall::new(&pair, class.snow));
            commands.insert_resource(Comparison {
                plans: pair.plans,
                otherwise: Otherwise::Rival(rival),
                measured: None,
            });
        }
    }
}

/// The boat that is open has another plan: its rival is planned anew.
fn follow(mut class: ResMut<Class>, mut work: ResMut<Work>, model: Res<Model>) {
    let On::Rival { rival, of } = &class.on else {
        return;
    };
    let Some(plan) = &model.plan else { return };
    if Arc::ptr_eq(of, plan) {
        return;
    }
    let rival = rival.clone();
    ask_for_rival(&mut class, &mut work, rival, plan);
}

/// When the storm has been seen to its end, the answer is told.
fn answer(mut class: ResMut<Class>, snowfall: Option<Res<Snowfall>>) {
    let over = snowfall.is_some_and(|snowfall| snowfall.is_over());
    let waits = |sitting: &Sitting| sitting.seen && !sitting.answered;
    if over
        && class.sitting().is_some_and(waits)
        && let Some(sitting) = class.sitting_mut()
    {
        sitting.answered = true;
    }
}
