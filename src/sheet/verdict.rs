//! The verdict in words: does it shed, and if not, where and what would mend it.

use super::{Block, Point, words};
use crate::loads::Loads;
use crate::num::bounded::Status;
use crate::plan::Plan;
use crate::units::UnitSystem;

/// The verdict in one line, on shedding and, where loads are checked, on them, too: `the cover sheds, but does NOT
/// stand its loads (3 of 21 checks fail)`.
pub fn verdict_line(plan: &Plan, loads: Option<&Loads>) -> String {
    let sheds = if plan.sheds() {
        "the cover sheds".to_owned()
    } else {
        format!(
            "falls short in {}",
            words::count(plan.shortfalls.len(), "place")
        )
    };
    let mut line = sheds;
    let mut is_good = plan.sheds();
    let told = loads.and_then(loads_phrase);
    let over = overload_phrase(plan).map(|phrase| (false, phrase));
    for (passes, phrase) in told.into_iter().chain(over) {
        let joint = if passes == is_good { " and" } else { ", but" };
        line = format!("{line}{joint} {phrase}");
        is_good &= passes;
    }
    line
}

/// How many things bear more of the cover than a house rule allows; `None` where none does. What passes a limit that the
/// boat file states is a shortfall of its own.
fn overload_phrase(plan: &Plan) -> Option<String> {
    let over = plan.bearings.iter();
    let over = over.filter(|bearing| bearing.is_exceeded() && !bearing.bears.stated);
    match over.count() {
        0 => None,
        count => Some(format!(
            "loads {} of the boat more than a house rule allows",
            words::count(count, "part")
        )),
    }
}

/// Whether a cover stands its loads, and that in words; `None` where nothing is checked.
fn loads_phrase(loads: &Loads) -> Option<(bool, String)> {
    loads.governing()?;
    let failing = loads.checks.iter().filter(|check| !check.passes()).count();
    Some(if failing == 0 {
        (true, "stands its loads".to_owned())
    } else {
        let verb = if failing == 1 { "fails" } else { "fail" };
        let checks = words::count(loads.checks.len(), "check");
        (
            false,
            format!("does NOT stand its loads ({failing} of {checks} {verb})"),
        )
    })
}

/// Film that is flatter than wanted under a cover that sheds, and why that is allowed; `None` where there is none,
/// or where the cover falls short by it.
pub fn allowed_flat_sentence(plan: &Plan, units: UnitSystem) -> Option<String> {
    let area = allowed_flat(plan, units)?;
    Some(format!(
        "{area} is flatter than {} and allowed: no flat spot is over {}",
        units.format_angle(plan.rules.min_slope),
        units.format_area(plan.rules.holding_patch)
    ))
}

/// How much of the film is flatter than wanted and yet allowed.
pub(super) fn allowed_flat(plan: &Plan, units: UnitSystem) -> Option<String> {
    let flat = plan.cover.holding_area();
    if flat <= 0.0 || plan.cover.holding_over(plan.rules.holding_patch) > 0.0 {
        return None;
    }
    let area = units.format_area(flat);
    Some(if area == units.format_area(0.0) {
        "a speck of film".to_owned()
    } else {
        area
    })
}

/// What the boat is and how the plan came out.
pub(super) fn summary(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let boat = &plan.boat;
    let mut facts = vec![
        Point {
            mark: "Boat".to_owned(),
            text: format!(
                "{} overall, beam {}, sole {} over the keel",
                units.format_length(plan.hull.length_overall),
                units.format_length(boat.beam),
                units.format_length(boat.sole)
            ),
        },
        Point {
            mark: "Frame".to_owned(),
            text: format!(
                "{}, {}, {}",
                match plan.frame.ridges.len() {
                    1 => "one ridge",
                    _ => "twin ridges",
                },
                words::count(plan.frame.posts.len(), "support post"),
                words::count(plan.frame.straps.len(), "strap")
            ),
        },
        Point {
            mark: "Measured".to_owned(),
            text:
                "stations forward from the transom, offsets from the centerline, heights of caps \
                   over the sole and over the rub rail beside them"
                    .to_owned(),
        },
    ];
    if !boat.note.is_empty() {
        facts.insert(
            0,
            Point {
                mark: "Note".to_owned(),
                text: boat.note.clone(),
            },
        );
    }
    let mut blocks = vec![Block::Points(facts)];
    blocks.extend(verdict(plan, units));
    let point = |mark: &str, text: String| Point {
        mark: mark.to_owned(),
        text,
    };
    if plan.sheds() {
        let changes = words::certificate_sentence(plan, units);
        blocks.push(Block::Points(vec![
            one_post_less(plan, units),
            point("Changes", changes),
        ]));
    }
    blocks
}

/// Whether the cover sheds, and if not, where and what would mend it; whether it stands its loads.
pub(super) fn verdict(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let mut blocks = vec![Block::Heading("Verdict".to_owned())];
    if plan.sheds() {
        let flat = allowed_flat_sentence(plan, units);
        blocks.push(Block::Paragraph(format!(
            "The cover sheds: no film flatter than {} hangs together over more than {}, and no hollow \
             holds water.{}",
            units.format_angle(plan.rules.min_slope),
            units.format_area(plan.rules.holding_patch),
            flat.map_or_else(String::new, |flat| format!(" {}.", words::capitalized(&flat)))
        )));
    } else {
        blocks.push(Block::Paragraph(format!(
            "The cover falls short in {}:",
            words::count(plan.shortfalls.len(), "place")
        )));
        blocks.push(Block::Points(
            plan.shortfalls
                .iter()
                .map(|shortfall| Point::dashed(shortfall.sentence(units)))
                .collect(),
        ));
        blocks.extend(plan.remedy.iter().map(|sought| {
            Block::Points(vec![Point {
                mark: "What mends it".to_owned(),
                text: sought.sentence(units),
            }])
        }));
    }
    if let Some(phrase) = overload_phrase(plan) {
        blocks.push(Block::Paragraph(format!(
            "The cover {phrase}: see What the boat bears."
        )));
    }
    if let Some((_, phrase)) = plan.loads.as_ref().and_then(loads_phrase) {
        blocks.push(Block::Paragraph(format!(
            "The cover {phrase}, by this planning check: see Loads."
        )));
    }
    blocks
}

fn one_post_less(plan: &Plan, units: UnitSystem) -> Point {
    let sentence = words::fewer_posts_sentence(plan, units);
    let fails = plan.fewer.cause.is_some() || plan.fewer.shortfall.is_some();
    let text = match (plan.fewer.possible, fails) {
        (true, _) if plan.fewer.against.is_some() => format!("is no better: {sentence}"),
        (true, _) => format!("would do too: {sentence}"),
        (false, true) => format!("does not do: {sentence}"),
        (false, false) => sentence,
    };
    Point {
        mark: "One post less".to_owned(),
        text,
    }
}

/// What the film does: areas, slopes, patches, ponds.
pub(super) fn cover(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let cover = &plan.cover;
    let mut points = vec![
        Point {
            mark: "Film".to_owned(),
            text: format!(
                "{} down to the band, {} of it over the edge line, {} in plan",
                units.format_area(cover.area),
                units.format_area(cover.spanned_area),
                units.format_area(cover.plan_area)
            ),
        },
        Point {
            mark: "Least slope".to_owned(),
            text: format!(
                "{} at {}{}",
                units.format_angle(cover.least_slope),
                words::place(&cover.least_slope_at, units),
                allowed_flat_sentence(plan, units)
                    .map_or_else(String::new, |flat| format!("; {flat}"))
            ),
        },
        Point {
            mark: "Wanted".to_owned(),
            text: format!(
                "{} or steeper. That is a house rule, --min-slope changes it: snow slides off film at \
                 angles that scatter from about 11° to 26° with the temperature",
                units.format_angle(plan.rules.min_slope)
            ),
        },
    ];
    points.push(Point {
        mark: "Flat spots".to_owned(),
        text: match cover.patches.first() {
            None => "none".to_owned(),
            Some(largest) => format!(
                "{}, together {}; the largest has {} at {}",
                cover.patches.len(),
                units.format_area(cover.holding_area()),
                units.format_area(largest.area),
                words::place(&largest.centroid, units)
            ),
        },
    });
    points.push(Point {
        mark: "Ponds".to_owned(),
        text: match cover.ponds.first() {
            None => "none".to_owned(),
            Some(largest) => format!(
                "{}; the largest holds {} at {}",
                cover.ponds.len(),
                units.format_volume(largest.volume),
                words::place(&largest.deepest, units)
            ),
        },
    });
    points.push(Point {
        mark: "Solution".to_owned(),
        text: format!(
            "{} in {}, {:.0e} N left over, {} triangles",
            match cover.status {
                Status::Converged => "converged",
                Status::IterationLimit => "NOT CONVERGED, steps ran out",
                Status::Stalled => "NOT CONVERGED, stalled",
            },
            words::count(cover.iterations, "step"),
            cover.residual,
            cover.mesh.triangles.len()
        ),
    });
    vec![Block::Heading("Cover".to_owned()), Block::Points(points)]
}

/// What the boat itself bears of the cover; nothing where the film bears on nothing.
pub(super) fn bearings(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    if plan.bearings.is_empty() {
        return Vec::new();
    }
    let points = plan
        .bearings
        .iter()
        .map(|bearing| Point {
            mark: if bearing.is_exceeded() {
                "TOO MUCH"
            } else {
                "within"
            }
            .to_owned(),
            text: bearing.sentence(units),
        })
        .collect();
    vec![
        Block::Heading("What the boat bears".to_owned()),
        Block::Points(points),
    ]
}
