//! From hull and rules to the question that the ridge search answers.

use super::ridge::{Anchor, FreeSupport, Pin, PostSite, RidgeProblem, RidgeRules, Section, Touch};
use super::{Demand, Frame, Reason};
use crate::boat::{Boat, Rules};
use crate::hull::Hull;
use crate::hull::thing::REST_SPACING;
use nalgebra::Point2;

/// Mark of the edge among the things that a section touches; things follow in the hull's order.
const EDGE: u32 = 0;
/// Mark of what the solved film demands.
pub(super) const FILM: u32 = u32::MAX;

/// Shortest post that makes sense, m; house rule, 4 in.
const SHORTEST_POST: f64 = 0.1016;

/// Film must stay this far off a thing that it may not touch, over straight falls, m; house rule, 2 in.
const UNTOUCHED_GAP: f64 = 0.0508;

/// Nearest that a post site may lie to the ridge's ends, m: nearer, a post is no more than the edge.
const END_GAP: f64 = 0.1;

/// A cap keeps this far inside the edge, m; house rule, 1 in.
const EDGE_GAP: f64 = 0.0254;

/// How much steeper than the least slope the film falls from the ridge when its pull on the strap is
/// estimated, rad; house rule. The solved film then tells the true sag.
const STEEPER: f64 = 0.0873;

/// Posts are tried up to this many times the number of spans that the span limit asks for.
const MAX_POSTS: f64 = 2.0;

/// Name of a footing that only the user's pin vouches for.
pub(super) const PINNED_PLACE: &str = "pinned place";

/// Sections are taken this near on both sides of an abrupt change, m.
const BESIDE: f64 = 1e-3;

/// Name of what a touch's mark stands for.
pub(super) fn thing_name(hull: &Hull, mark: u32) -> String {
    match mark {
        EDGE => "edge".to_owned(),
        FILM => "film".to_owned(),
        mark => hull
            .things
            .get(mark as usize - 1)
            .map_or_else(|| "boat".to_owned(), |thing| thing.name.clone()),
    }
}

/// The reason that a need gives.
pub(super) fn need_reason(hull: &Hull, thing: u32, station: f64, need: f64, spare: f64) -> Reason {
    if thing == FILM {
        Reason::Film { station, need }
    } else {
        Reason::Need {
            thing: thing_name(hull, thing),
            station,
            need,
            spare,
        }
    }
}

/// The places where a post under a ridge may stand, and on what.
pub(super) struct Sites {
    /// For the search.
    pub sites: Vec<PostSite>,
    /// Name of each site's footing.
    pub footings: Vec<String>,
}

/// Downward pull of the film per length of ridge strap, N/m: from both sides of a single ridge, from outboard
/// of a twin one.
fn pull(rules: &Rules, half_spacing: f64) -> f64 {
    let sides = if half_spacing > 0.0 { 1.0 } else { 2.0 };
    sides * rules.film_tension * (rules.min_slope + STEEPER).sin()
}

/// How much coarser than the rules say a long boat's posts are first searched: in proportion to its length.
fn coarseness(boat: &Boat) -> f64 {
    (boat.length / FINE_LENGTH).ceil().max(1.0)
}

/// Boats up to this length are searched on the rules' own grid, m.
const FINE_LENGTH: f64 = 7.5;

impl Sites {
    /// Leaves only the places where a frame has its posts, and makes each of them count.
    fn keep(&mut self, frame: &Frame) {
        let kept = |site: &PostSite| {
            frame
                .posts
                .iter()
                .any(|post| (post.station - site.station).abs() < BESIDE)
        };
        self.sites.retain(kept);
        for site in &mut self.sites {
            site.pinned = site.pinned.or(Some(Pin::Place));
        }
    }
}

/// The question for one ridge, or for two alike at `+-half_spacing`; `None` where the ridge line
/// misses the boat. With `keep` the posts stay where that frame has them.
pub(super) fn ridge_problem(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    half_spacing: f64,
    demands: &[Demand],
    keep: Option<&Frame>,
) -> Option<(RidgeProblem, Sites)> {
    let [stern, bow] = hull.edge.at_offset(half_spacing)?;
    let twin = half_spacing > 0.0;
    // With the posts kept there is little to search, so their heights are found on the fine grid.
    let coarse = if keep.is_some() {
        1.0
    } else {
        coarseness(boat)
    };
    let steps = [coarse * rules.station_step, coarse * rules.height_step];
    let ends = [stern.x, bow.x];
    let mut sites = post_sites(hull, boat, rules, half_spacing, ends, steps);
    if let Some(frame) = keep {
        sites.keep(frame);
    }
    let free = hull
        .things
        .iter()
        .enumerate()
        .flat_map(|(index, thing)| {
            thing
                .ridge_rests(half_spacing)
                .into_iter()
                .map(move |(station, height)| FreeSupport {
                    station,
                    height,
                    thing: index as u32 + 1,
                })
        })
        .filter(|free| free.station > stern.x + BESIDE && free.station < bow.x - BESIDE)
        .collect();
    let problem = RidgeProblem {
        stern: Anchor {
            station: stern.x,
            height: stern.z,
        },
        bow: Anchor {
            station: bow.x,
            height: bow.z,
        },
        sections: sections(hull, rules, half_spacing, ends, steps[0], demands),
        sites: sites.sites.clone(),
        free,
        rules: RidgeRules {
            min_slope: rules.min_slope,
            pull: pull(rules, half_spacing),
            tension: rules.ridge_tension,
            max_span: rules.max_span,
            least_gap: rules.least_post_gap,
            height_step: steps[1],
            most_posts: (MAX_POSTS * (bow.x - stern.x) / rules.max_span).ceil() as usize
                + boat.wishes.posts.len(),
            only_pinned: boat.wishes.only_pinned,
            twin,
        },
    };
    Some((problem, sites))
}

fn sections(
    hull: &Hull,
    rules: &Rules,
    half_spacing: f64,
    ends: [f64; 2],
    step: f64,
    demands: &[Demand],
) -> Vec<Section> {
    let pull = pull(rules, half_spacing);
    let rest_sag = pull * REST_SPACING * REST_SPACING / (8.0 * rules.ridge_tension);
    let [aft, fore] = ends;
    let count = ((fore - aft) / step).ceil().max(2.0) as usize;
    let mut stations: Vec<f64> = (0..=count)
        .map(|i| aft + (fore - aft) * i as f64 / count as f64)
        .collect();
    for key in hull.things.iter().flat_map(|thing| thing.key_stations()) {
        stations.extend([key - BESIDE, key, key + BESIDE]);
    }
    stations.retain(|x| (aft..=fore).contains(x));
    stations.sort_by(f64::total_cmp);
    stations.dedup();
    let mut sections: Vec<Section> = stations
        .into_iter()
        .map(|station| Section {
            station,
            points: touches(hull, rules, half_spacing, rest_sag, station),
        })
        .collect();
    sections.extend(
        demands
            .iter()
            .filter(|demand| demand.station > aft && demand.station < fore)
            .map(|demand| Section {
                station: demand.station,
                points: vec![Touch {
                    across: 0.0,
                    height: demand.height,
                    thing: FILM,
                }],
            }),
    );
    sections.sort_by(|a, b| a.station.total_cmp(&b.station));
    sections
}

fn touches(
    hull: &Hull,
    rules: &Rules,
    half_spacing: f64,
    rest_sag: f64,
    station: f64,
) -> Vec<Touch> {
    let across = |offset: f64| {
        if half_spacing > 0.0 {
            (offset.abs() - half_spacing).abs()
        } else {
            offset.abs()
        }
    };
    let mut points = Vec::new();
    for p in hull.edge.at_station(station).into_iter().flatten() {
        points.push(Touch {
            across: across(p.y),
            height: p.z,
            thing: EDGE,
        });
    }
    for (index, thing) in hull.things.iter().enumerate() {
        if thing.left_out {
            continue;
        }
        let mark = index as u32 + 1;
        // A strap that lies on a thing does not sag into it between the places where it may rest.
        let gap = match (thing.film_may_rest, thing.carries_ridge) {
            (false, _) => UNTOUCHED_GAP,
            (true, false) => 0.0,
            (true, true) => -rest_sag,
        };
        let section = thing.section(station);
        let reaches = |hand: f64| {
            let line = hand * half_spacing;
            section.iter().any(|(y, _)| *y <= line) && section.iter().any(|(y, _)| *y >= line)
        };
        let under_ridge = reaches(1.0) || reaches(-1.0);
        // On a top smaller than a tolerated patch, or along a tube, film may lie level: it falls off fore
        // and aft. Such a thing under the ridge only has to be cleared.
        let small = under_ridge && thing.top_area() <= rules.holding_patch;
        for &(offset, height) in section.iter().filter(|_| !small) {
            // The rim of a roof under the ridge is level whatever the ridge does, and so is the film along it:
            // there the slope along the ridge is no help, and the film needs the whole least slope athwart.
            let (across, level) = if thing.post_may_stand {
                (0.0, across(offset) * rules.min_slope.tan())
            } else {
                (across(offset), 0.0)
            };
            points.push(Touch {
                across,
                height: height + gap + level,
                thing: mark,
            });
        }
        if under_ridge {
            let top = section.iter().map(|(_, z)| *z).fold(f64::MIN, f64::max);
            points.push(Touch {
                across: 0.0,
                height: top + thing.clearance + gap.min(0.0),
                thing: mark,
            });
        }
    }
    points
}

/// What a post at a point of the plan would stand on: its height and name; none beside a mast or antenna.
fn footing_at(hull: &Hull, boat: &Boat, p: Point2<f64>) -> Option<(f64, String)> {
    let beside = boat.piercings.iter().any(|piercing| {
        let at = Point2::new(piercing.station, piercing.offset);
        (at - p).norm() <= 0.5 * piercing.diameter + END_GAP
    });
    if beside {
        return None;
    }
    hull.footing_at(boat, p)
}

/// What a post stands on with its whole foot, or, where the user pinned it, with its middle.
pub(super) fn stands_on(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    p: Point2<f64>,
    pinned: bool,
) -> Option<(f64, String)> {
    let whole = hull.foot(boat, rules, p).ok();
    whole.or_else(|| footing_at(hull, boat, p).filter(|_| pinned))
}

fn post_sites(
    hull: &Hull,
    boat: &Boat,
    rules: &Rules,
    half_spacing: f64,
    ends: [f64; 2],
    steps: [f64; 2],
) -> Sites {
    let [station_step, step] = steps;
    let [aft, fore] = [ends[0] + END_GAP, ends[1] - END_GAP];
    let mut wanted: Vec<(f64, Option<Option<f64>>)> = boat
        .wishes
        .posts
        .iter()
        .map(|pin| (pin.station, Some(pin.cap)))
        .collect();
    let (first, last) = (
        (aft / station_step).ceil() as i64,
        (fore / station_step).floor() as i64,
    );
    for place in first..=last {
        let station = place as f64 * station_step;
        if wanted.iter().all(|(x, _)| (x - station).abs() > BESIDE) {
            wanted.push((station, None));
        }
    }
    wanted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found = Sites {
        sites: Vec::new(),
        footings: Vec::new(),
    };
    for (station, pin) in wanted {
        if station <= ends[0] + BESIDE || station >= ends[1] - BESIDE {
            continue;
        }
        // The whole cap must lie inside the edge.
        let foot = Point2::new(station, half_spacing);
        let to_edge = (hull.edge.at(hull.edge.nearest(foot)).xy() - foot).norm();
        if to_edge < 0.5 * rules.cap_diameter + EDGE_GAP {
            continue;
        }
        let [port, starboard] = [half_spacing, -half_spacing].map(|offset| {
            let foot = Point2::new(station, offset);
            stands_on(hull, boat, rules, foot, pin.is_some())
        });
        let (low, base, name) = match (port, starboard, pin) {
            (Some(a), Some(b), _) if a.0 >= b.0 => (b.0, a.0, a.1),
            (Some(a), Some(b), _) => (a.0, b.0, b.1),
            // A crew's own post is checked where it stands, even where hulltent would put none.
            (_, _, Some(_)) => (boat.sole, boat.sole, PINNED_PLACE.to_owned()),
            _ => continue,
        };
        let pinned = pin.map(|cap| match cap {
            Some(height) => Pin::Height(height.max(base)),
            None => Pin::Place,
        });
        found.sites.push(PostSite {
            station,
            base,
            lowest: ((base + SHORTEST_POST) / step).ceil() as i64,
            highest: ((low + rules.max_post) / step).floor() as i64,
            footing: found.footings.len() as u32,
            pinned,
        });
        found.footings.push(name);
    }
    found
}
