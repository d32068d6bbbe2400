//! Plans are weighed in a thread of their own: the planner's tasks must not wait behind it, since a hand may take a post
//! at any moment. One is weighed at a time; what is no longer wanted when it is done is dropped.

use super::burden::{Burden, Weighed, ready};
use crate::loads::{Loads, Site, SnowCapacity, snow_capacity, weigh_at_site};
use crate::plan::Plan;
use crate::viewer::model::{Model, Waker};
use crate::viewer::page::Page;
use bevy::prelude::*;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex};

/// What is to be found out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Job {
    /// The cover under each case, and the checks.
    Cases,
    /// The greatest snow, which takes as long as several cases.
    Capacity,
}

/// What was found out.
enum Answer {
    Cases(Arc<Loads>),
    Capacity(Option<SnowCapacity>),
    GaveUp(Job),
}

struct Running {
    plan: Arc<Plan>,
    site: Arc<Site>,
    answer: Arc<Mutex<Option<Answer>>>,
}

/// What is being weighed.
#[derive(Resource, Default)]
pub struct Work {
    running: Option<Running>,
}

impl Work {
    /// Whether nothing is being weighed.
    pub fn is_idle(&self) -> bool {
        self.running.is_none()
    }
}

/// Takes what was weighed, and weighs what lacks: the cases first, the greatest snow while its page is open.
pub fn turn(
    model: Res<Model>,
    page: Res<Page>,
    waker: Option<Res<Waker>>,
    mut burden: ResMut<Burden>,
    mut work: ResMut<Work>,
) {
    if let Some(running) = work.running.take_if(|running| is_done(running)) {
        let wanted = burden
            .site
            .as_ref()
            .is_some_and(|site| Arc::ptr_eq(site, &running.site));
        if wanted && let Some(answer) = running.answer.lock().ok().and_then(|mut a| a.take()) {
            let known = burden.of(&running.plan).cloned();
            burden.take(with(answer, known, running.plan));
        }
    }
    if work.running.is_some() {
        return;
    }
    let (Some(site), Some(plan)) = (&burden.site, ready(&model)) else {
        return;
    };
    let job = match burden.of(plan) {
        None => Job::Cases,
        Some(weighed)
            if weighed.loads.is_some() && weighed.capacity.is_none() && *page == Page::Loads =>
        {
            Job::Capacity
        }
        Some(_) => return,
    };
    work.running = Some(start(
        job,
        plan.clone(),
        site.clone(),
        waker.as_deref().cloned(),
    ));
}

fn is_done(running: &Running) -> bool {
    // A thread that broke while it wrote its answer will never write another.
    running
        .answer
        .lock()
        .map_or(true, |answer| answer.is_some())
}

/// What is known of a plan with an answer added.
fn with(answer: Answer, known: Option<Weighed>, plan: Arc<Plan>) -> Weighed {
    let mut weighed = known.unwrap_or(Weighed {
        plan,
        loads: None,
        capacity: None,
    });
    match answer {
        Answer::Cases(loads) => weighed.loads = Some(loads),
        Answer::Capacity(found) => weighed.capacity = Some(found),
        Answer::GaveUp(Job::Capacity) => weighed.capacity = Some(None),
        // Nothing is known: that it was tried is.
        Answer::GaveUp(Job::Cases) => {}
    }
    weighed
}

fn start(job: Job, plan: Arc<Plan>, site: Arc<Site>, waker: Option<Waker>) -> Running {
    let answer = Arc::new(Mutex::new(None));
    let running = Running {
        plan: plan.clone(),
        site: site.clone(),
        answer: answer.clone(),
    };
    let thread = std::thread::Builder::new().name("loads".to_owned());
    let started = thread.spawn(move || {
        // A fault of a solver must not take the window, and unsaved work, with it.
        let found = catch_unwind(AssertUnwindSafe(|| find(job, &plan, &site)));
        write(&answer, found.unwrap_or(Answer::GaveUp(job)));
        if let Some(Waker(wake)) = waker {
            wake();
        }
    });
    if started.is_err() {
        write(&running.answer, Answer::GaveUp(job));
    }
    running
}

fn find(job: Job, plan: &Plan, site: &Site) -> Answer {
    match job {
        Job::Cases => Answer::Cases(Arc::new(weigh_at_site(&plan.stage(), site))),
        Job::Capacity => Answer::Capacity(snow_capacity(&plan.stage(), site)),
    }
}

fn write(answer: &Mutex<Option<Answer>>, found: Answer) {
    if let Ok(mut answer) = answer.lock() {
        *answer = Some(found);
    }
}
