//! Lessons are played and rivals planned in the background; the newest wins.

use crate::boat::Problem;
use crate::lesson::storm::{Storm, StormRules};
use crate::lesson::{Lesson, Played, Rival, rival};
use crate::plan::Plan;
use crate::viewer::model::Waker;
use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};
use std::sync::Arc;

/// Something to be planned.
pub enum Job {
    /// Both plans of a lesson.
    Lesson(Box<Lesson>),
    /// A rival of a plan.
    Rival {
        /// The plan.
        plan: Arc<Plan>,
        /// What is done otherwise.
        rival: Rival,
    },
}

/// Two plans, and a storm over each that has not begun.
pub struct Pair {
    /// The plan and its rival.
    pub plans: [Arc<Plan>; 2],
    /// The storms over them.
    pub storms: [Storm; 2],
}

impl Pair {
    /// Two plans under one storm.
    pub fn new(plans: [Arc<Plan>; 2]) -> Pair {
        let storms = [0, 1].map(|k| {
            let plan: &Plan = &plans[k];
            Storm::new(&plan.cover, StormRules::of(&plan.rules))
        });
        Pair { plans, storms }
    }
}

/// What has been planned.
pub enum Done {
    /// A lesson with its answer.
    Lesson(Box<Played>, Pair),
    /// A plan and its rival.
    Rival(Rival, Pair),
}

/// What has been planned, or why it cannot be.
pub type Answer = Result<Done, Vec<Problem>>;

/// What is under way, and what waits. One job runs at a time; while it does, only the newest other one waits.
#[derive(Resource, Default)]
pub struct Work {
    /// That of the newest job.
    serial: u64,
    running: Option<(u64, Task<Answer>)>,
    waiting: Option<Job>,
}

impl Work {
    /// Asks for a job; those before it are forgotten.
    pub fn ask(&mut self, job: Job) {
        self.serial += 1;
        self.waiting = Some(job);
    }

    /// Forgets whatever was asked for.
    pub fn forget(&mut self) {
        if self.is_busy() {
            self.serial += 1;
            self.waiting = None;
        }
    }

    /// Whether an answer is still to come.
    pub fn is_busy(&self) -> bool {
        let running = self.running.as_ref();
        self.waiting.is_some() || running.is_some_and(|(serial, _)| *serial == self.serial)
    }

    /// Whether there is anything to look after.
    pub fn is_idle(&self) -> bool {
        self.waiting.is_none() && self.running.is_none()
    }

    /// Takes what is done, unless it is not wanted any more, and starts what waits.
    pub fn turn(&mut self, waker: Option<&Waker>) -> Option<Answer> {
        let mut answer = None;
        if let Some((serial, mut task)) = self.running.take() {
            match block_on(poll_once(&mut task)) {
                Some(done) => answer = Some(done).filter(|_| serial == self.serial),
                None => self.running = Some((serial, task)),
            }
        }
        if self.running.is_none()
            && let Some(job) = self.waiting.take()
        {
            let waker = waker.cloned();
            let task = AsyncComputeTaskPool::get().spawn(async move {
                let answer = work(job);
                if let Some(Waker(wake)) = waker {
                    wake();
                }
                answer
            });
            self.running = Some((self.serial, task));
        }
        answer
    }
}

fn work(job: Job) -> Answer {
    // A fault of the planner must not take the window, and unsaved work, with it.
    let done = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| match job {
        Job::Lesson(lesson) => {
            let played = lesson.play()?;
            let pair = Pair::new([played.plan.clone(), played.rival.clone()]);
            Ok(Done::Lesson(Box::new(played), pair))
        }
        Job::Rival { plan, rival: kind } => {
            let found = rival(&plan, &kind.changes(&plan))?;
            Ok(Done::Rival(kind, Pair::new([plan, Arc::new(found)])))
        }
    }));
    done.unwrap_or_else(|_| {
        Err(vec![Problem {
            path: String::new(),
            place: None,
            what: "the planner gave up on this rival".to_owned(),
            hint: "take another one".to_owned(),
        }])
    })
}
