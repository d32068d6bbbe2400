//! The pipeline: boat to hull to frame to cover, and the [`Plan`] that everything downstream reads.

mod advice;
mod bearing;
mod fewer;
mod measures;
mod mend;
mod pinned;
mod remedy;
mod rounds;
mod search;
mod shortfall;
mod strengthen;
mod tolerance;
mod variants;

pub use advice::{Advice, Tried, advise};
pub use bearing::Bearing;
pub use fewer::{Against, Basis, FewerPosts};
pub use remedy::{Mend, Remedy, Sought, remedy};
pub use search::Certificate;
pub use shortfall::Shortfall;
pub use strengthen::{Strengthening, strengthen};
pub use tolerance::Deviation;
pub use variants::Change;

use crate::boat::{Boat, Problem, Rules};
use crate::cover::{Cover, Stretcher};
use crate::film::{self, Film};
use crate::fittings::{self, Fittings};
use crate::frame::{Frame, design};
use crate::hull::Hull;
use crate::loads::{Loads, Site, Stage, weigh};
use crate::takeoff::{Takeoff, take_off};
use rounds::{Mended, Rounds};
use search::{Found, Search};

/// A boat's whole plan.
#[derive(Debug, Clone)]
pub struct Plan {
    /// The boat as it was read.
    pub boat: Boat,
    /// The rules that it was planned by.
    pub rules: Rules,
    /// Hull, edge line, things above the deck.
    pub hull: Hull,
    /// Posts and straps.
    pub frame: Frame,
    /// The taut film over them.
    pub cover: Cover,
    /// The flat sheet on it: width, pleats, pattern.
    pub film: Film,
    /// Band, straps, vents, door and pads.
    pub fittings: Fittings,
    /// What fewer posts would do.
    pub fewer: FewerPosts,
    /// How the frame stands against its single changes; `None` where that was not asked for, all posts are pinned, or the
    /// cover falls short.
    pub certificate: Option<Certificate>,
    /// What the cover at rest puts on things above the deck, the greatest part of a limit first.
    pub bearings: Vec<Bearing>,
    /// Lengths to cut.
    pub takeoff: Takeoff,
    /// What is wrong with the cover; empty where it sheds.
    pub shortfalls: Vec<Shortfall>,
    /// What would mend it; `None` where it sheds, or nothing was tried.
    pub remedy: Option<Sought>,
    /// Times that the frame was designed and the film solved over it.
    pub rounds: usize,
    /// What snow, wind and road do to it; `None` where it was planned for no site.
    pub loads: Option<Loads>,
    /// What was changed for the loads' sake; `None` where nothing was asked for or needed.
    pub strengthening: Option<Strengthening>,
}

impl Plan {
    /// Whether the cover sheds everywhere.
    pub fn sheds(&self) -> bool {
        self.shortfalls.is_empty()
    }

    /// Whether the cover sheds, and stands its loads where it was planned for a site.
    pub fn is_good(&self) -> bool {
        self.sheds() && self.loads.as_ref().is_none_or(Loads::stands)
    }

    /// The same with what a site's snow, wind and road do to it.
    #[must_use]
    pub fn at(mut self, site: &Site) -> Plan {
        self.loads = Some(weigh(&self.stage(), site));
        self
    }

    /// The plan as the loads look at it.
    pub fn stage(&self) -> Stage<'_> {
        Stage {
            hull: &self.hull,
            boat: &self.boat,
            rules: &self.rules,
            frame: &self.frame,
            cover: &self.cover,
            fittings: &self.fittings,
        }
    }
}

/// While the frame is still being mended, the film is solved this much coarser.
const COARSER: f64 = 2.0;

/// Most nodes, roughly, that a film is meshed with; a larger boat gets larger cells. Keeps memory bounded.
const MAX_NODES: f64 = 60_000.0;

/// Plans a boat. The search for its frame runs on several threads (rayon); the answer does not depend on their number.
///
/// # Errors
/// What is impossible about its hull, each with the field of the boat file.
pub fn plan(boat: &Boat, rules: &Rules) -> Result<Plan, Vec<Problem>> {
    planned(boat, rules, Effort::Usual)
}

/// The same, and the frame is tried against each of its single changes.
///
/// # Errors
/// As [`plan`].
pub fn plan_certified(boat: &Boat, rules: &Rules) -> Result<Plan, Vec<Problem>> {
    planned(boat, rules, Effort::Certified)
}

/// The same as [`plan`], but no pinned post is left out to see whether it is needed, and no remedy is sought: for a plan
/// that is one of many, or under a hand that drags.
///
/// # Errors
/// As [`plan`].
pub fn plan_alone(boat: &Boat, rules: &Rules) -> Result<Plan, Vec<Problem>> {
    planned(boat, rules, Effort::Alone)
}

/// How much is found out about a frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Effort {
    /// The frame.
    Alone,
    /// And what fewer pins, or other limits, would do.
    Usual,
    /// And what each of its single changes would.
    Certified,
}

fn planned(boat: &Boat, rules: &Rules, effort: Effort) -> Result<Plan, Vec<Problem>> {
    let hull = Hull::build(boat, rules)?;
    let coarsest = (hull.edge.plan_area() / MAX_NODES).sqrt();
    let [cell, search_cell] = [rules.cell, rules.search_cell].map(|cell| cell.max(coarsest));
    let first = design(&hull, boat, rules, &[], &[], None).map_err(impossible)?;
    let mut stretcher = Stretcher::new(&hull, rules);
    let mut find = || {
        let (cell, certify) = (search_cell, effort == Effort::Certified);
        found(&hull, boat, rules, &first, cell, &mut stretcher, certify)
    };
    let (found, trials) = if effort != Effort::Alone {
        rayon::join(find, || fewer::trials(&hull, boat, rules, search_cell))
    } else {
        (find(), Vec::new())
    };
    let unmeshed = || impossible("the plan of this boat cannot be meshed".to_owned());
    let Found {
        mended,
        fewer,
        certificate,
    } = found.ok_or_else(unmeshed)?;
    let fewer = fewer::claim(&hull, rules, &mended.frame, fewer, &trials);
    let as_built = tolerance::shortfalls(&hull, rules, mended.built());
    let frame = mended.frame;
    let cover = if cell == search_cell {
        mended.others.planned
    } else {
        stretcher.stretch(&frame, cell).ok_or_else(unmeshed)?
    };
    let mut shortfalls = shortfall::shortfalls(&hull, boat, rules, &frame, &cover);
    if shortfalls.is_empty() {
        shortfalls = as_built;
    }
    let film = film::lay(&hull, boat, rules, &frame, &cover);
    let fittings = fittings::fit(&hull, boat, rules, &frame, &cover, &film);
    let mut plan = Plan {
        fewer,
        certificate,
        takeoff: take_off((&hull, boat, rules), &frame, &cover, &film, &fittings),
        shortfalls,
        bearings: bearing::bearings(&hull, boat, &cover),
        rounds: mended.rounds,
        loads: None,
        strengthening: None,
        boat: boat.clone(),
        rules: rules.clone(),
        hull,
        frame,
        cover,
        film,
        fittings,
        remedy: None,
    };
    if effort != Effort::Alone {
        plan.remedy = remedy(&plan);
    }
    Ok(plan)
}

/// The frame that is searched on the film, and where none sheds the one that the rounds of frame and film end with, if
/// that lacks less. `None` where the plan cannot be meshed.
fn found(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    first: &Frame,
    cell: f64,
    stretcher: &mut Stretcher,
    certify: bool,
) -> Option<Found> {
    let rounds = Rounds::new(hull, boat, rules, first);
    let only = |mended: Mended| Found {
        mended,
        fewer: None,
        certificate: None,
    };
    let Some(search) = Search::new(hull, boat, rules, first, cell) else {
        let rounds = rounds.roughly(stretcher, COARSER * cell)?;
        return rounds.finely(stretcher, cell).map(only);
    };
    let rounds = rounds.roughly(stretcher, search.coarse())?;
    let count = rounds.rounds;
    let found = search.best(&[first, &rounds.frame], certify);
    match found {
        Some(mut found) if search.sheds(&found.mended) => {
            found.mended.rounds = count;
            Some(found)
        }
        _ => {
            let mended = rounds.finely(stretcher, cell)?;
            // Where they end with a frame that sheds, the search goes on from there.
            let further = || search.best(&[&mended.frame], certify);
            let again = search.sheds(&mended).then(further).flatten();
            Some(match again.or(found) {
                Some(found) if search.prefers(&found.mended, &mended) => found,
                other => {
                    let fewer = other.and_then(|found| found.fewer);
                    let posts = mended.frame.posts.len();
                    Found {
                        fewer: fewer.filter(|fewer| fewer.posts < posts && !fewer.possible),
                        ..only(mended)
                    }
                }
            })
        }
    }
}

/// Plans a boat for a site: the plan, and what snow, wind and road do to it.
///
/// # Errors
/// As [`plan`].
pub fn plan_at(boat: &Boat, site: &Site, rules: &Rules) -> Result<Plan, Vec<Problem>> {
    Ok(plan(boat, rules)?.at(site))
}

fn impossible(what: String) -> Vec<Problem> {
    vec![Problem {
        path: String::new(),
        place: None,
        what,
        hint: "check length, beam, boxes and the spacing of twin ridges".to_owned(),
    }]
}
