//! What is wrong with a cover, as data, and as a sentence with a number and what would mend it.

use super::bearing::{Bearing, bearings};
use super::tolerance::Deviation;
use crate::boat::{Boat, Hand, Rules};
use crate::cover::Cover;
use crate::frame::{Frame, Reason, Strap, StrapKind};
use crate::hull::{FootFault, Hull};
use crate::num::bounded::Status;
use crate::units::UnitSystem;
use nalgebra::Point3;

/// Something that keeps the cover from being good.
#[derive(Debug, Clone, PartialEq)]
pub enum Shortfall {
    /// The section model itself cannot be satisfied.
    Frame {
        /// Stations of the stretch, m.
        stretch: [f64; 2],
        /// Why.
        cause: Reason,
    },
    /// Film flatter than the least slope.
    HoldingPatch {
        /// Its area, m2.
        area: f64,
        /// Its middle, m.
        at: Point3<f64>,
        /// Its least slope, rad.
        least_slope: f64,
    },
    /// No single patch is too large, but the flat film in all is.
    FlatInAll {
        /// Area of it, caps left out, m2.
        area: f64,
        /// What may be, m2.
        limit: f64,
        /// Middle of the largest patch, m.
        at: Point3<f64>,
    },
    /// The cover sheds as planned, and not with the frame a little off, as hands build it.
    AsBuilt {
        /// How it is off.
        deviation: Deviation,
        /// What is then wrong.
        lack: Box<Shortfall>,
    },
    /// A hollow that holds water.
    Pond {
        /// Depth, m.
        depth: f64,
        /// Volume, m3.
        volume: f64,
        /// Deepest place, m.
        at: Point3<f64>,
    },
    /// Film bears on something that it must not touch.
    Touches {
        /// What.
        thing: String,
        /// Where, m.
        at: Point3<f64>,
        /// Force, N.
        force: f64,
    },
    /// A thing bears more than the boat file says it is to.
    Overloaded {
        /// The load.
        bearing: Bearing,
    },
    /// A pinned post that no frame can have: its cap would not lie inside the film's edge.
    LeftOut {
        /// Its name, where it has one.
        post: Option<String>,
        /// Station, m.
        station: f64,
    },
    /// A post carries nothing: the film does not bear on its cap.
    IdlePost {
        /// Which.
        post: String,
    },
    /// Nothing to tie a cap to on one side.
    NoAnchor {
        /// Which post.
        post: String,
        /// On which side.
        hand: Hand,
    },
    /// A pinned post does not stand.
    NoFooting {
        /// Which.
        post: String,
        /// Station, m.
        station: f64,
        /// Why not.
        fault: FootFault,
    },
    /// A strap would run through a thing.
    StrapThrough {
        /// Which.
        strap: String,
        /// The thing.
        thing: String,
        /// Where, m.
        at: Point3<f64>,
    },
    /// The film's shape was not found to the wanted accuracy.
    NotSolved {
        /// Force left over, N.
        residual: f64,
    },
}

/// All that is wrong, the frame's own shortage first.
pub(super) fn shortfalls(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    frame: &Frame,
    cover: &Cover,
) -> Vec<Shortfall> {
    let mut found = Vec::new();
    if let Some(shortage) = &frame.shortage {
        found.push(Shortfall::Frame {
            stretch: shortage.stretch,
            cause: shortage.cause.clone(),
        });
    }
    found.extend(lacks(hull, rules, cover));
    let over = bearings(hull, boat, cover).into_iter();
    found.extend(
        over.filter(|bearing| bearing.bears.stated && bearing.is_exceeded())
            .map(|bearing| Shortfall::Overloaded { bearing }),
    );
    for pin in &boat.wishes.posts {
        if frame.posts.iter().all(|post| post.station != pin.station) {
            found.push(Shortfall::LeftOut {
                post: pin.name.clone(),
                station: pin.station,
            });
        }
    }
    for (post, load) in frame.posts.iter().zip(&cover.post_loads) {
        if *load <= 0.0 {
            found.push(Shortfall::IdlePost {
                post: post.id.clone(),
            });
        }
        for hand in Hand::BOTH {
            let wants = post.offset * hand.sign() >= 0.0;
            let has = frame.straps.iter().any(|strap| {
                strap.kind != StrapKind::Ridge
                    && strap.from == post.id
                    && strap
                        .plan
                        .last()
                        .is_some_and(|end| (end.y - post.offset) * hand.sign() > 0.0)
            });
            if wants && !has {
                found.push(Shortfall::NoAnchor {
                    post: post.id.clone(),
                    hand,
                });
            }
        }
        if post.pinned
            && let Err(fault) = hull.foot(boat, rules, post.top().xy())
        {
            found.push(Shortfall::NoFooting {
                post: post.id.clone(),
                station: post.station,
                fault,
            });
        }
    }
    found.extend(straps_through(hull, boat, rules, frame, cover));
    if cover.status != Status::Converged {
        found.push(Shortfall::NotSolved {
            residual: cover.residual,
        });
    }
    found
}

/// What keeps a film from shedding.
pub(super) fn lacks(hull: &Hull, rules: &Rules, cover: &Cover) -> Vec<Shortfall> {
    let mut found = Vec::new();
    for patch in &cover.patches {
        if patch.area > rules.holding_patch {
            found.push(Shortfall::HoldingPatch {
                area: patch.area,
                at: patch.centroid,
                least_slope: patch.least_slope,
            });
        }
    }
    let (flat, limit) = (cover.flat_area(), rules.flat_part * cover.plan_area);
    if found.is_empty() && flat > limit {
        found.push(Shortfall::FlatInAll {
            area: flat,
            limit,
            at: cover
                .patches
                .first()
                .map_or(cover.least_slope_at, |patch| patch.centroid),
        });
    }
    for pond in &cover.ponds {
        found.push(Shortfall::Pond {
            depth: pond.depth,
            volume: pond.volume,
            at: pond.deepest,
        });
    }
    for contact in &cover.contacts {
        if let Some(thing) = hull.things.get(contact.thing)
            && !thing.film_may_rest
        {
            found.push(Shortfall::Touches {
                thing: thing.name.clone(),
                at: contact.at,
                force: contact.force,
            });
        }
    }
    found
}

/// A strap that lies on the film may cut a corner by this part of a cell.
const CORNER_CUT: f64 = 0.5;

/// A strap outside the film may press so far into a thing, m.
const PRESSED: f64 = 0.005;

/// Straps that run through a thing, each where it first does. Tubes thinner than a cell are left to the film's contact.
fn straps_through(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    frame: &Frame,
    cover: &Cover,
) -> Vec<Shortfall> {
    let is_thin = |thing: usize| {
        let tube = thing.checked_sub(boat.boxes.len());
        tube.and_then(|tube| boat.tubes.get(tube))
            .is_some_and(|tube| tube.diameter < rules.cell)
    };
    // A ridge strap may lie on what carries it.
    let carries = |strap: &Strap, thing: usize| {
        strap.kind == StrapKind::Ridge
            && hull
                .things
                .get(thing)
                .is_some_and(|thing| thing.carries_ridge)
    };
    let through = |strap: &Strap, course: &[Point3<f64>], pressed: f64| {
        let pairs = course.iter().zip(course.iter().skip(1));
        pairs
            .filter_map(|(a, b)| hull.solids.on_line(a, b, pressed))
            .find(|(thing, _)| !is_thin(*thing) && !carries(strap, *thing))
    };
    let mut found = Vec::new();
    for (strap, shape) in frame.straps.iter().zip(&cover.straps) {
        let nodes = shape.nodes.iter();
        let over: Vec<Point3<f64>> = nodes
            .filter_map(|node| cover.mesh.vertices.get(*node as usize).copied())
            .collect();
        let mut beyond = strap
            .ends
            .iter()
            .flat_map(|end| std::iter::once(&end.course).chain(&end.legs));
        let met = through(strap, &over, CORNER_CUT * rules.cell)
            .or_else(|| beyond.find_map(|course| through(strap, course, PRESSED)));
        if let Some((thing, at)) = met {
            found.push(Shortfall::StrapThrough {
                strap: strap.id.clone(),
                thing: hull
                    .things
                    .get(thing)
                    .map_or_else(String::new, |t| t.name.clone()),
                at,
            });
        }
    }
    found
}

impl Shortfall {
    /// What is wrong and what would mend it, in the user's units.
    pub fn sentence(&self, units: UnitSystem) -> String {
        let length = |meters: f64| units.format_length(meters);
        let place = |p: &Point3<f64>| {
            let side = if p.y.abs() < ON_CENTERLINE {
                "on the centerline".to_owned()
            } else {
                let hand = if p.y > 0.0 {
                    Hand::Port
                } else {
                    Hand::Starboard
                };
                format!("{} to {}", length(p.y.abs()), hand.word())
            };
            format!("station {}, {side}", length(p.x))
        };
        match self {
            Shortfall::Frame { stretch, cause } => format!(
                "no frame satisfies stations {} to {}: {}",
                length(stretch[0]),
                length(stretch[1]),
                cause.sentence(units)
            ),
            Shortfall::HoldingPatch {
                area,
                at,
                least_slope,
            } => format!(
                "holding patch of {} at {}, down to {}: a higher cap or a strap under it may mend it",
                units.format_area(*area),
                place(at),
                units.format_angle(*least_slope)
            ),
            Shortfall::FlatInAll { area, limit, at } => format!(
                "{} of film is flat in all, {} may be; the largest spot is at {}: raise the caps a little",
                units.format_area(*area),
                units.format_area(*limit),
                place(at)
            ),
            Shortfall::AsBuilt { deviation, lack } => {
                format!("{}: {}", deviation.phrase(units), lack.sentence(units))
            }
            Shortfall::Pond { depth, volume, at } => format!(
                "pond {} deep, {}, at {}: lift the film there",
                length(*depth),
                units.format_volume(*volume),
                place(at)
            ),
            Shortfall::Touches { thing, at, force } => format!(
                "the film bears on the {thing} with {} at {}: raise the ridge there or take it down",
                units.format_force(*force),
                place(at)
            ),
            Shortfall::Overloaded { bearing } => {
                format!("{} ({})", bearing.sentence(units), place(&bearing.at))
            }
            Shortfall::LeftOut { post, station } => format!(
                "{} pinned at station {} is left out: its cap would not lie inside the film's edge; pin it nearer to \
                 the middle of the boat",
                post.as_deref().unwrap_or("the post"),
                length(*station)
            ),
            Shortfall::IdlePost { post } => {
                format!("post {post} carries nothing: it is too low or not needed")
            }
            Shortfall::NoAnchor { post, hand } => format!(
                "nothing to tie the cap of {post} to on the {} side: add a cleat or rail",
                hand.word()
            ),
            Shortfall::NoFooting {
                post,
                station,
                fault,
            } => format!(
                "post {post} is pinned at station {}, where {}",
                length(*station),
                foot_words(fault)
            ),
            Shortfall::StrapThrough { strap, thing, at } => format!(
                "strap {strap} would run through the {thing} at {}: tie it elsewhere, or pin it to another station",
                place(at)
            ),
            Shortfall::NotSolved { residual } => format!(
                "the film's shape was not found: {residual:.1e} N left over; try another cell size"
            ),
        }
    }
}

/// Why a post does not stand, to follow "where", and what would mend it.
fn foot_words(fault: &FootFault) -> String {
    match fault {
        FootFault::NoFooting => "no footing is named".to_owned(),
        FootFault::NotOn { thing } => format!("no post may stand on the {thing}"),
        FootFault::NoPost { zone } => {
            format!("its base cap reaches into the {zone}, where no post may stand: move it")
        }
        FootFault::Mast { piercing } => {
            format!("its base cap meets the {piercing}: move it")
        }
        FootFault::OverEdge { footing } => {
            format!("its base cap reaches over the edge of the {footing}: move it inward")
        }
        FootFault::NotLevel { footing } => {
            format!("the {footing} is too steep for a base cap: move it or level it")
        }
        FootFault::InTheWay { thing } => format!("the {thing} is in its way: move it"),
    }
}

/// Offsets under this are called the centerline, m.
const ON_CENTERLINE: f64 = 0.02;
