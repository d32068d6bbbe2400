//! What would mend a cover that falls short: changes that no frame can make, each tried.

use super::{Plan, Shortfall, plan_alone};
use crate::boat::{Boat, BoxKind, Footing, RidgeWish, Rules, Tube, TubeKind, Zone};
use crate::frame::{Post, Reason};
use crate::hull::Hull;
use crate::units::UnitSystem;
use rayon::prelude::*;

/// A change of boat or rules with which a cover sheds that else falls short.
#[derive(Debug, Clone, PartialEq)]
pub struct Remedy {
    /// What is changed, all together.
    pub changes: Vec<Mend>,
    /// The posts of the frame that then sheds, m.
    pub posts: Vec<Post>,
}

/// What came of the search for a remedy.
#[derive(Debug, Clone, PartialEq)]
pub enum Sought {
    /// The simplest change with which the cover sheds.
    Remedy(Remedy),
    /// Nothing that was tried does, alone or together.
    Nothing {
        /// What was tried, each once.
        tried: Vec<Mend>,
    },
}

/// One change.
#[derive(Debug, Clone, PartialEq)]
pub enum Mend {
    /// Something to stand on where there is nothing: a beam or planks from side to side.
    Footing {
        /// Stations between which posts may then stand, m.
        from: f64,
        /// The fore one, m.
        to: f64,
        /// Height over the keel, m.
        height: f64,
    },
    /// Posts on things that carry none so far.
    PostsOn {
        /// Their names.
        things: Vec<String>,
    },
    /// A longer span of the ridge strap.
    Span {
        /// The limit, m.
        limit: f64,
    },
    /// A thing that is taken off the boat for the winter.
    Without {
        /// Its name.
        thing: String,
    },
    /// A laid mast on higher crutches.
    Raised {
        /// Its name.
        thing: String,
        /// What its aft end and its fore end are raised by, m.
        by: [f64; 2],
    },
    /// Twin ridges.
    Twin {
        /// Between the two, m.
        spacing: f64,
    },
}

/// A span limit is raised by this part at most, and to whole steps, m (1 ft).
const LONGER: f64 = 1.4;
const SPAN_STEP: f64 = 0.3048;

/// Breadth of what is laid for posts to stand on, m; 4 ft, or as much of the boat's as that is.
const BREADTH: f64 = 1.2192;

/// It is laid so far inside the edge, m; 6 in.
const INSIDE: f64 = 0.1524;

/// What the crutches of a laid mast are raised by, aft and fore, m; 6 in and 1 ft, 2 ft at most.
const RAISED: [[f64; 2]; 5] = [
    [0.1524, 0.0],
    [0.1524, 0.1524],
    [0.3048, 0.0],
    [0.3048, 0.3048],
    [0.6096, 0.6096],
];

/// Twin ridges stand apart by this part of the beam, as those of a plan's own.
const TWIN_SPACING: f64 = 0.5;

/// Tries what would mend a cover that falls short, the simplest first; `None` where it sheds.
///
/// Each try is a plan of its own: the search for a frame under changed limits, or on a changed boat.
pub fn remedy(plan: &Plan) -> Option<Sought> {
    if plan.sheds() {
        return None;
    }
    let stretches = failing(plan);
    let over = |[from, to]: &[f64; 2]| footing(plan, *from, *to);
    let here: Vec<Mend> = stretches.iter().filter_map(over).collect();
    let whole = plan.hull.edge.ends();
    let everywhere: Vec<Mend> = over(&whole).into_iter().collect();
    let on = |stretches: &[[f64; 2]]| -> Vec<Mend> {
        let things = standable(&plan.boat, stretches);
        let some = !things.is_empty();
        some.then_some(Mend::PostsOn { things })
            .into_iter()
            .collect()
    };
    let (on_here, on_all) = (on(&stretches), on(&[whole]));
    let without: Vec<Mend> = touched(plan);
    let span: Vec<Mend> = longer_span(plan).into_iter().collect();
    let spacing = TWIN_SPACING * plan.boat.beam;
    let twin = if plan.frame.ridges.len() > 1 {
        Vec::new()
    } else {
        vec![Mend::Twin { spacing }]
    };
    let raised: Vec<Vec<Mend>> = carrying_mast(plan)
        .map(|mast| RAISED.map(|by| vec![raised(mast, by)]).to_vec())
        .unwrap_or_default();
    let changed = [
        here.clone(),
        on_here.clone(),
        span,
        twin,
        without.clone(),
        [here, on_here].concat(),
        [everywhere.clone(), on_all.clone()].concat(),
        [everywhere, on_all, without].concat(),
    ];
    let tries = [raised, changed.to_vec()].concat();
    let mut tried: Vec<&Vec<Mend>> = Vec::new();
    for changes in &tries {
        if !changes.is_empty() && !tried.contains(&changes) {
            tried.push(changes);
        }
    }
    let found = tried
        .par_iter()
        .find_map_first(|changes| with(plan, changes));
    Some(match found {
        Some(remedy) => Sought::Remedy(remedy),
        None => {
            let mut each: Vec<Mend> = Vec::new();
            for change in tried.into_iter().flatten() {
                if !each.contains(change) {
                    each.push(change.clone());
                }
            }
            Sought::Nothing { tried: each }
        }
    })
}

/// The plan's boat with some changes, where it sheds.
fn with(plan: &Plan, changes: &[Mend]) -> Option<Remedy> {
    let (mut boat, mut rules) = (plan.boat.clone(), plan.rules.clone());
    for change in changes {
        apply(change, &mut boat, &mut rules);
    }
    let mended = plan_alone(&boat, &rules).ok().filter(Plan::sheds)?;
    Some(Remedy {
        changes: changes.to_vec(),
        posts: mended.frame.posts,
    })
}

fn apply(change: &Mend, boat: &mut Boat, rules: &mut Rules) {
    match change {
        Mend::Footing { from, to, height } => boat.footings.push(Footing {
            zone: Zone {
                name: "laid footing".to_owned(),
                from: *from,
                to: *to,
                width: BREADTH.min(0.9 * boat.beam),
                offset: 0.0,
            },
            height: *height,
        }),
        Mend::PostsOn { things } => {
            for thing in &mut boat.boxes {
                thing.post_may_stand |= things.contains(&thing.name);
            }
        }
        Mend::Span { limit } => rules.max_span = *limit,
        Mend::Without { thing } => {
            boat.boxes.retain(|other| other.name != *thing);
            boat.tubes.retain(|other| other.name != *thing);
        }
        Mend::Raised { thing, by } => {
            for tube in boat.tubes.iter_mut().filter(|tube| tube.name == *thing) {
                if let [aft, .., fore] = tube.path.as_mut_slice() {
                    aft[2] += by[0];
                    fore[2] += by[1];
                }
            }
        }
        Mend::Twin { spacing } => boat.wishes.ridge = RidgeWish::Twin(*spacing),
    }
}

/// The stretches of the ridge in which the cover falls short, stations, m.
fn failing(plan: &Plan) -> Vec<[f64; 2]> {
    let mut stretches: Vec<[f64; 2]> = Vec::new();
    for shortfall in &plan.shortfalls {
        let stretch = stretch_of(plan, shortfall);
        if let Some(stretch) = stretch.filter(|stretch| !stretches.contains(stretch)) {
            stretches.push(stretch);
        }
    }
    stretches.sort_by(|a, b| a[0].total_cmp(&b[0]));
    stretches
}

fn stretch_of(plan: &Plan, shortfall: &Shortfall) -> Option<[f64; 2]> {
    let about = |at: &nalgebra::Point3<f64>| super::fewer::stretch_about(&plan.frame, at.x);
    match shortfall {
        Shortfall::Frame { stretch, .. } => Some(*stretch),
        Shortfall::HoldingPatch { at, .. }
        | Shortfall::FlatInAll { at, .. }
        | Shortfall::Touches { at, .. } => Some(about(at)),
        Shortfall::Pond { at, .. } => Some(about(at)),
        Shortfall::AsBuilt { lack, .. } => stretch_of(plan, lack),
        _ => None,
    }
}

/// A footing in a stretch, level with the lowest of the sheer in it; `None` where the stretch is too short.
fn footing(plan: &Plan, from: f64, to: f64) -> Option<Mend> {
    let [aft, fore] = plan.hull.edge.ends();
    let (from, to) = (from.max(aft) + INSIDE, to.min(fore) - INSIDE);
    (from < to).then(|| Mend::Footing {
        from,
        to,
        height: lowest_sheer(&plan.hull, from, to),
    })
}

fn lowest_sheer(hull: &Hull, from: f64, to: f64) -> f64 {
    let stations = (0..=8).map(|i| from + (to - from) * f64::from(i) / 8.0);
    stations
        .filter_map(|station| hull.edge.at_station(station))
        .map(|[starboard, port]| starboard.z.min(port.z))
        .fold(f64::INFINITY, f64::min)
}

/// Things in some stretches that could carry a post and may not so far.
fn standable(boat: &Boat, stretches: &[[f64; 2]]) -> Vec<String> {
    let carries = |kind: BoxKind| {
        matches!(
            kind,
            BoxKind::Cabin | BoxKind::Hardtop | BoxKind::Flybridge | BoxKind::Other
        )
    };
    boat.boxes
        .iter()
        .filter(|thing| !thing.post_may_stand && carries(thing.kind))
        .filter(|thing| {
            stretches
                .iter()
                .any(|[from, to]| thing.from < *to && thing.to > *from)
        })
        .map(|thing| thing.name.clone())
        .collect()
}

/// Things that film touches and must not, that the ridge does not clear, or a mast that alone carries it.
fn touched(plan: &Plan) -> Vec<Mend> {
    let mut things: Vec<String> = Vec::new();
    for shortfall in &plan.shortfalls {
        let thing = match shortfall {
            Shortfall::Touches { thing, .. } | Shortfall::StrapThrough { thing, .. } => thing,
            Shortfall::Frame {
                cause: Reason::TooLow { thing, .. },
                ..
            } => thing,
            _ => continue,
        };
        let named = plan.boat.boxes.iter().map(|thing| &thing.name);
        let mut named = named.chain(plan.boat.tubes.iter().map(|tube| &tube.name));
        if named.any(|name| name == thing) && !things.contains(thing) {
            things.push(thing.clone());
        }
    }
    things.extend(carrying_mast(plan).map(|mast| mast.name.clone()));
    things
        .into_iter()
        .map(|thing| Mend::Without { thing })
        .collect()
}

/// The laid mast where the ridge lies on it alone: nothing lifts the film beside it.
fn carrying_mast(plan: &Plan) -> Option<&Tube> {
    let mut tubes = plan.boat.tubes.iter();
    let mast = tubes.find(|tube| tube.kind == TubeKind::Mast)?;
    plan.frame.posts.is_empty().then_some(mast)
}

fn raised(mast: &Tube, by: [f64; 2]) -> Mend {
    let thing = mast.name.clone();
    Mend::Raised { thing, by }
}

/// The limit that a span which is too long keeps, where that is not much longer.
fn longer_span(plan: &Plan) -> Option<Mend> {
    let spans = plan
        .shortfalls
        .iter()
        .filter_map(|shortfall| match shortfall {
            Shortfall::Frame {
                cause: Reason::Span { span, .. },
                ..
            } => Some(*span),
            _ => None,
        });
    let longest = spans.reduce(f64::max)?;
    let limit = (longest / SPAN_STEP).ceil() * SPAN_STEP;
    (limit <= LONGER * plan.rules.max_span).then_some(Mend::Span { limit })
}

impl Sought {
    /// What mends the cover, or what was tried in vain, in the user's units.
    pub fn sentence(&self, units: UnitSystem) -> String {
        match self {
            Sought::Remedy(remedy) => remedy.sentence(units),
            Sought::Nothing { tried } => {
                let tried: Vec<String> = tried
                    .iter()
                    .map(|change| phrase(change, &[], units))
                    .collect();
                format!("nothing that was tried: {}", tried.join("; "))
            }
        }
    }
}

impl Remedy {
    /// What would mend the cover, and the frame with which it then sheds, in the user's units.
    pub fn sentence(&self, units: UnitSystem) -> String {
        let changes = self.changes.iter();
        let changes: Vec<String> = changes.map(|c| phrase(c, &self.posts, units)).collect();
        let posts: Vec<String> = self
            .posts
            .iter()
            .map(|post| {
                format!(
                    "{} over the {} at station {}",
                    units.format_length(post.cap - post.base),
                    post.footing,
                    units.format_length(post.station)
                )
            })
            .collect();
        let frame = match posts.as_slice() {
            [] => "without a post".to_owned(),
            [only] => format!("all posts set anew: one cap, {only}"),
            all => format!("all posts set anew: caps {}", all.join(", ")),
        };
        format!(
            "with {} it sheds, {frame}; tried on the film",
            changes.join(" and ")
        )
    }
}

/// A change in words; `posts` are those of the frame that then sheds.
fn phrase(change: &Mend, posts: &[Post], units: UnitSystem) -> String {
    let length = |meters: f64| units.format_length(meters);
    match change {
        Mend::Footing { from, to, height } => {
            // Where a post then stands on it.
            let used = posts
                .iter()
                .filter(|post| (*from..=*to).contains(&post.station))
                .filter(|post| (post.base - height).abs() < SAME_HEIGHT);
            let mut stations: Vec<String> = Vec::new();
            for post in used {
                let station = length(post.station);
                if !stations.contains(&station) {
                    stations.push(station);
                }
            }
            let place = if stations.is_empty() {
                format!("between stations {} and {}", length(*from), length(*to))
            } else {
                format!("at station {}", stations.join(" and "))
            };
            format!(
                "something to stand on {place}, {} over the keel (planks from side to side, say)",
                length(*height)
            )
        }
        Mend::PostsOn { things } => {
            format!("posts allowed on the {}", things.join(" and the "))
        }
        Mend::Span { limit } => format!("a span of up to {}", length(*limit)),
        Mend::Without { thing } => format!("the {thing} taken off"),
        Mend::Raised { thing, by } if by[0] == by[1] => {
            format!("the {thing} raised by {}", length(by[0]))
        }
        Mend::Raised { thing, by } => {
            format!("the aft end of the {thing} raised by {}", length(by[0]))
        }
        Mend::Twin { spacing } => format!("twin ridges {} apart", length(*spacing)),
    }
}

/// Heights nearer to each other are one, m.
const SAME_HEIGHT: f64 = 1e-6;
