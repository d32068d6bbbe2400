//! The order of the work with this boat's numbers.

use crate::boat::SupportKind;
use crate::film::PleatKind;
use crate::frame::StrapKind;
use crate::plan::Plan;
use crate::sheet::film_list::folded_away;
use crate::sheet::{Block, Point, words};
use crate::units::UnitSystem;

/// The steps, numbered.
pub(super) fn blocks(plan: &Plan, units: UnitSystem) -> Vec<Block> {
    let steps = [
        survey(plan, units),
        quote(plan, units),
        frame(plan),
        band(plan, units),
        film(plan, units),
        belly_bands(plan),
        pleats(plan, units),
        shrink(plan, units),
        finish(plan),
        "Winter. Look after it after every storm; brush off what holds, from outside; draw slack straps \
         tight again."
            .to_owned(),
        "Spring. Cut the film off, sort out straps, vents and tape, bale the clean film for recycling; tie \
         posts and caps together and mark them with the boat's name."
            .to_owned(),
    ];
    let points = steps
        .into_iter()
        .enumerate()
        .map(|(index, text)| Point {
            mark: (index + 1).to_string(),
            text,
        })
        .collect();
    vec![
        Block::Heading("Order of the work".to_owned()),
        Block::Points(points),
    ]
}

fn survey(plan: &Plan, units: UnitSystem) -> String {
    let boat = &plan.boat;
    let stays: Vec<&str> = boat
        .piercings
        .iter()
        .map(|piercing| piercing.name.as_str())
        .collect();
    let stays = if stays.is_empty() {
        String::new()
    } else {
        format!(" What stays up gets a collar: {}.", stays.join(", "))
    };
    format!(
        "Survey. Hold the tape to the plan: {} overall, beam {}, sheer {} at the stern and {} at the bow. On {}. \
         Antennas, outriggers, rods and canvas come down first.{stays}",
        units.format_length(plan.hull.length_overall),
        units.format_length(boat.beam),
        units.format_length(boat.sheer[0]),
        units.format_length(boat.sheer[2]),
        match boat.stored_on.kind {
            SupportKind::Trailer => "a trailer",
            SupportKind::Cradle => "a cradle",
            SupportKind::Stands => "stands: tie nothing to them",
        }
    )
}

fn quote(plan: &Plan, units: UnitSystem) -> String {
    let (cut, fittings) = (&plan.film.cut, &plan.fittings);
    let door = if fittings.door_fits() { ", a door" } else { "" };
    format!(
        "Quote. Load what was sold, by the take-off: {} of {} film, {}, {}, {}{door}, {} of tape.",
        units.format_length(cut.length * cut.sheets as f64),
        units.format_length(cut.roll),
        words::count(plan.frame.posts.len(), "post"),
        words::count(plan.frame.straps.len(), "strap"),
        words::count(fittings.vents.len(), "vent"),
        units.format_length(fittings.tape)
    )
}

/// Straps of one kind by their names.
fn named(plan: &Plan, kind: StrapKind) -> String {
    let straps = plan.frame.straps.iter().filter(|strap| strap.kind == kind);
    let names: Vec<&str> = straps.map(|strap| strap.id.as_str()).collect();
    words::row(&names)
}

fn frame(plan: &Plan) -> String {
    let posts = &plan.frame.posts;
    let mut text = "Frame. ".to_owned();
    let names: Vec<&str> = posts.iter().map(|post| post.id.as_str()).collect();
    text.push_str(&match names.as_slice() {
        [] => "No posts. ".to_owned(),
        [only] => format!("Stand {only} on its base cap. "),
        _ => format!("Stand {} on their base caps. ", words::row(&names)),
    });
    let ridge = plan
        .frame
        .straps
        .iter()
        .find(|strap| strap.kind == StrapKind::Ridge);
    if let Some(strap) = ridge {
        let over = if posts.is_empty() {
            ""
        } else {
            " through the top caps"
        };
        text.push_str(&format!(
            "Draw {} from the {} to the {}{over}",
            named(plan, StrapKind::Ridge),
            strap.to,
            strap.from
        ));
    }
    for kind in [StrapKind::Side, StrapKind::Hip] {
        let names = named(plan, kind);
        if !names.is_empty() {
            text.push_str(&format!(", then {}s {names}", kind.word()));
        }
    }
    let buckles: usize = plan.takeoff.straps.iter().map(|strap| strap.buckles).sum();
    text.push_str(&format!(". Tape {}.", words::count(buckles, "buckle")));
    if !plan.fittings.pads.is_empty() {
        text.push_str(&format!(
            " Pad {} before the film goes over.",
            words::count(plan.fittings.pads.len(), "place")
        ));
    }
    text
}

fn band(plan: &Plan, units: UnitSystem) -> String {
    let fittings = &plan.fittings;
    format!(
        "Perimeter band. Hang {}, run the band ({}) through them from the stern round the bow and back, {} below \
         the rub rail; close it with its buckle at the stern and draw it tight.",
        words::count(fittings.drop_straps.len(), "drop strap"),
        units.format_length_up(fittings.band.cut),
        units.format_length(plan.rules.band_drop)
    )
}

fn film(plan: &Plan, units: UnitSystem) -> String {
    let cut = &plan.film.cut;
    let first = if cut.sheets > 1 {
        format!(
            "Weld {} of the {} roll side by side, {} over each other. ",
            words::count(cut.sheets, "sheet"),
            units.format_length(cut.roll),
            units.format_length(plan.rules.seam_lap)
        )
    } else {
        String::new()
    };
    format!(
        "Film. {first}Off the rack roll {} from stern to bow, its middle on the ridge; trim it {} under the band, \
         tuck that behind the band and weld it to itself all round.",
        units.format_length(cut.length),
        units.format_length(plan.rules.film_tuck)
    )
}

fn belly_bands(plan: &Plan) -> String {
    let bands = &plan.fittings.belly_bands;
    let Some(first) = bands.first() else {
        return "Belly bands. None.".to_owned();
    };
    let names: Vec<&str> = bands.iter().map(|band| band.id.as_str()).collect();
    format!(
        "Belly bands. {}: through a small slit above the band on both sides, {}. They keep the shrinking film from \
         pulling the band up.",
        words::row(&names),
        first.goes
    )
}

fn pleats(plan: &Plan, units: UnitSystem) -> String {
    let pleats = &plan.film.pleats;
    let sides = || pleats.iter().filter(|p| p.kind == PleatKind::Pleat);
    let closures = pleats.len() - sides().count();
    let Some(deepest) = sides().max_by(|a, b| a.depth.total_cmp(&b.depth)) else {
        return format!(
            "Pleats. None on the sides; weld and tape {}.",
            words::count(closures, "closure")
        );
    };
    format!(
        "Pleats. Gather {} and fold them to open aft; the deepest is {} with {} at station {}. Then {}. Weld and \
         tape them.",
        words::count(sides().count(), "pleat"),
        deepest.id,
        folded_away(deepest, units),
        units.format_length(deepest.station),
        words::count(closures, "closure")
    )
}

fn shrink(plan: &Plan, units: UnitSystem) -> String {
    format!(
        "Shrink. The lower quarters first, then the top, in sections and at an even pace. Most is left to shrink \
         ({}) at {}.",
        units.format_share(plan.film.max_shrink),
        words::place(&plan.film.max_shrink_at, units)
    )
}

fn finish(plan: &Plan) -> String {
    let door = if plan.fittings.door_fits() {
        " Cut in the door."
    } else {
        ""
    };
    format!(
        "Finish. Tape pleats and burn holes. Cut in {}, high up, clear of straps and pleats.{door}",
        words::count(plan.fittings.vents.len(), "vent")
    )
}
