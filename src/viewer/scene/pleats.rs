//! Lines of the pleats, with the way that their folds open.

use super::Part;
use super::builder::{Builder, Strokes};
use super::film::{LIFT, SKIRT_OUT};
use crate::film::{Pleat, PleatKind};
use crate::plan::Plan;
use crate::viewer::display::Display;
use bevy::color::Color;
use nalgebra::{Point3, Vector3};

/// Color of a pleat's line.
const PLEAT: Color = Color::srgb(0.25, 0.28, 0.36);
/// See [`PLEAT`]; on film colored by its slope.
const PLEAT_PALE: Color = Color::srgb(0.80, 0.84, 0.90);

/// Distance between two marks of a pleat's fold, and their length, m.
const MARKS: [f64; 2] = [0.12, 0.05];

/// Lines of the pleats, with marks on the side to which the fold opens: aft.
pub fn draw(builder: &mut Builder, plan: &Plan, display: &Display) {
    let over = if display.slope { PLEAT_PALE } else { PLEAT };
    for (index, pleat) in plan.film.pleats.iter().enumerate() {
        let mut strokes = Strokes::default();
        let outer: Vec<Point3<f64>> = pleat.line.iter().map(|p| outward(plan, p)).collect();
        // The skirt is never colored: what lies on it is dark.
        for pair in outer.windows(2) {
            let &[a, b] = pair else { continue };
            strokes.line([a, b], on(plan, &a, over));
        }
        for mark in fold_marks(pleat) {
            let ends = mark.map(|p| outward(plan, &p));
            strokes.line(ends, on(plan, &ends[0], over));
        }
        builder.lines(Part::Pleat(index), &strokes, 1.8);
    }
}

/// The color of a line at a point: one over the edge line, dark under it.
fn on(plan: &Plan, p: &Point3<f64>, over: Color) -> Color {
    let edge = plan.hull.edge.at(plan.hull.edge.nearest(p.xy()));
    if p.z < edge.z + 0.5 * SKIRT_OUT {
        PLEAT
    } else {
        over
    }
}

/// A point on the film or the skirt, moved out by a little.
fn outward(plan: &Plan, p: &Point3<f64>) -> Point3<f64> {
    let middle = 0.5 * (plan.hull.edge.ends()[0] + plan.hull.edge.ends()[1]);
    let aside = Vector3::new(0.2 * (p.x - middle), p.y, 0.0);
    let aside = aside.try_normalize(1e-9).unwrap_or_else(Vector3::zeros);
    p + (aside + Vector3::z()) * LIFT
}

/// Short strokes from a pleat's line aft and down, as barbs: the free lip of the fold looks aft.
fn fold_marks(pleat: &Pleat) -> Vec<[Point3<f64>; 2]> {
    // A closure at the stem folds to both sides alike.
    if pleat.kind == PleatKind::Stem || pleat.hand.is_none() {
        return Vec::new();
    }
    let [every, length] = MARKS;
    let mut marks = Vec::new();
    let mut next = 0.5 * every;
    for pair in pleat.line.windows(2) {
        let &[a, b] = pair else { continue };
        let along = b - a;
        let piece = along.norm();
        while next <= piece && piece > 0.0 {
            let p = a + along * (next / piece);
            // In the plane of the line and the boat's length, square to the line, toward the stern.
            let way = along / piece;
            let aft = -Vector3::x() + way * way.x;
            if let Some(aft) = aft.try_normalize(1e-6) {
                marks.push([p, p + (aft - way * 0.6) * length]);
            }
            next += every;
        }
        next -= piece;
    }
    marks
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use crate::plan::plan;

    #[test]
    fn folds_open_aft() {
        for name in ["open-runabout-18", "center-console-24"] {
            let mut boat = preset(name).unwrap().boat().unwrap();
            boat.rules.coarsen(2.0);
            let plan = plan(&boat, &boat.rules).unwrap();
            let [every, length] = MARKS;
            for pleat in &plan.film.pleats {
                let marks = fold_marks(pleat);
                for [root, tip] in &marks {
                    assert!(tip.x < root.x, "{name} {}: {root} {tip}", pleat.id);
                    assert!((tip - root).norm() < 2.0 * length);
                }
                // One mark for each stretch of a fold that has a side, none for one that has not.
                let course: f64 = pleat
                    .line
                    .windows(2)
                    .map(|pair| (pair[1] - pair[0]).norm())
                    .sum();
                let sided = pleat.hand.is_some() && pleat.kind != PleatKind::Stem;
                let wanted = if sided { (course / every).floor() } else { 0.0 };
                let off = (marks.len() as f64 - wanted).abs();
                assert!(off <= 1.0, "{name} {}: {} marks", pleat.id, marks.len());
            }
            assert!(plan.film.pleats.iter().any(|pleat| pleat.hand.is_some()));
        }
    }
}
