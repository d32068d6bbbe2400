//! Laws of the flat sheet.

use super::*;

/// The film that is laid flat is followed over a mesh: its girths and areas are that much off, as a part.
const MESHED: f64 = 0.01;

/// A pleat's line runs between two threads that may stand a hand apart, and cuts the film's bend between them, m.
const BETWEEN_THREADS: f64 = 0.15;

/// The sheet is wide enough on either side to come from the ridge to every point of the band: no way over the
/// film is shorter than the straight one.
pub(super) fn width_reaches_the_band(plan: &Plan, faults: &mut Faults) {
    let rules = &plan.rules;
    let [aft, fore] = plan.hull.edge.ends();
    let ridge: Vec<f64> = (0..=400)
        .map(|i| aft + (fore - aft) * f64::from(i) / 400.0)
        .collect();
    let farthest = |sign: f64| {
        let side = plan.cover.band.iter().filter(|p| p.y * sign > 0.0);
        side.map(|p| {
            // The level part of the way alone.
            let ways = ridge.iter().map(|x| (p.x - x).hypot(p.y));
            ways.fold(f64::INFINITY, f64::min)
        })
        .fold(0.0, f64::max)
    };
    let needed = farthest(1.0) + farthest(-1.0) + 2.0 * rules.film_tuck;
    let cut = &plan.film.cut;
    if cut.width < needed * (1.0 - MESHED) {
        faults.push(format!(
            "the sheet is {} wide, the band needs {needed}",
            cut.width
        ));
    }
    let laid = cut.roll * cut.sheets as f64 - rules.seam_lap * (cut.sheets as f64 - 1.0);
    if laid < cut.width - ROUNDING {
        faults.push(format!(
            "{} sheets of {} do not make {}",
            cut.sheets, cut.roll, cut.width
        ));
    }
    let straight = fore - aft + 2.0 * rules.film_end;
    if cut.length < straight - ROUNDING {
        faults.push(format!(
            "the sheet is {} long, the boat {straight}",
            cut.length
        ));
    }
}

/// Between the bands the flat sheet has at least the film's area, since film does not stretch; and no shrink is
/// over the limit.
pub(super) fn film_only_shrinks(plan: &Plan, faults: &mut Faults) {
    let film = &plan.film;
    if film.max_shrink > plan.rules.film_shrink + ROUNDING {
        faults.push(format!("the film shrinks by {}", film.max_shrink));
    }
    let outline: Vec<[f64; 2]> = film.pattern.band[0]
        .iter()
        .chain(film.pattern.band[1].iter().rev())
        .copied()
        .collect();
    let doubled: f64 = (0..outline.len())
        .map(|i| {
            let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
            a[0] * b[1] - b[0] * a[1]
        })
        .sum();
    let flat = 0.5 * doubled.abs();
    let stretched = 1.0 + film.stretch;
    if flat * stretched < plan.cover.area * (1.0 - MESHED) {
        faults.push(format!(
            "{flat} m2 of sheet between the bands for {} m2 of film",
            plan.cover.area
        ));
    }
    if film.cut.taken - film.cut.trim > film.cut.taken + ROUNDING {
        faults.push("more film is used than is taken off the roll".to_owned());
    }
}

/// Every pleat takes film, runs up from the band, and lies on the film.
pub(super) fn pleats_lie_on_the_film(plan: &Plan, film: &Film, faults: &mut Faults) {
    for pleat in &plan.film.pleats {
        if pleat.depth <= 0.0 || pleat.run <= 0.0 || pleat.folds == 0 || pleat.line.len() < 2 {
            faults.push(format!("{} folds nothing: {pleat:?}", pleat.id));
        }
        let Some(foot) = pleat.line.first() else {
            continue;
        };
        let to_band = plan.cover.band.iter().map(|p| (p - foot).norm());
        if to_band.fold(f64::INFINITY, f64::min) > BETWEEN_THREADS {
            faults.push(format!("{} does not start at the band: {foot}", pleat.id));
        }
        for p in &pleat.line {
            let over = film.height(p.x, p.y);
            // Outside the edge the line lies on the skirt. Where film is steep, upright says little; and what a pleat
            // folds up stands to half its depth on either side of its line.
            let off = BETWEEN_THREADS.max(0.5 * pleat.max_depth);
            if over.is_some_and(|z| p.z > z) && film.distance(p) > off {
                faults.push(format!("{} leaves the film at {p}: {over:?}", pleat.id));
            }
        }
    }
}
