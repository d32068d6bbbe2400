//! The cover's slopes from above: shaded, holding patches hatched, with numbers for a print without color.

use crate::geom::mesh::Mesh;
use crate::plan::Plan;
use crate::sheet::cover_drawing::View;
use crate::sheet::cover_plan;
use crate::sheet::drawing::{Align, Drawing};
use crate::sheet::labels::Labels;
use crate::sheet::text_width;
use crate::units::UnitSystem;
use nalgebra::Point2;

/// Stations of numbers are this far apart on the paper, mm.
const APART: f64 = 11.0;
/// Offsets of numbers, as parts of the way from the centerline to the edge.
const ACROSS: [f64; 6] = [0.3, 0.55, 0.8, -0.3, -0.55, -0.8];
/// Height of the numbers over that of other words.
const SMALLER: f64 = 0.85;

/// Draws it with the centerline at the view's axis. How many labels found no room.
pub(super) fn draw(drawing: &mut Drawing, plan: &Plan, units: UnitSystem, view: View) -> usize {
    let mut labels = Labels::default();
    cover_plan::film(drawing, plan, view, &mut labels);
    cover_plan::straps(drawing, plan, view, &mut labels);
    cover_plan::posts(drawing, plan, view, &mut labels);
    let missed = cover_plan::patches(drawing, plan, units, view, &mut labels)
        + cover_plan::ponds(drawing, plan, units, view, &mut labels);
    let [aft, fore] = plan.hull.edge.ends();
    let count = ((fore - aft) * view.scale / APART).floor() as usize;
    let height = SMALLER * view.words;
    for k in 0..count {
        let station = aft + (fore - aft) * (k as f64 + 0.5) / count as f64;
        let Some([starboard, port]) = plan.hull.edge.at_station(station) else {
            continue;
        };
        for part in ACROSS {
            let reach = if part > 0.0 { port.y } else { -starboard.y };
            let at = Point2::new(station, part * reach);
            let Some(slope) = slope_at(&plan.cover.mesh, &plan.cover.slopes, at) else {
                continue;
            };
            let text = format!("{:.0}°", slope.to_degrees());
            let size = [text_width(&text, height, false), height];
            let [x, y] = view.at(at.x, at.y);
            let corner = [x - 0.5 * size[0], y - 0.5 * size[1]];
            if labels.place_off_lines(size, corner).is_some() {
                let base = [x, corner[1] + 0.77 * size[1]];
                drawing.words(base, text, height, Align::Middle, false);
            }
        }
    }
    missed
}

/// Slope of the film over a point of the plan, rad.
fn slope_at(mesh: &Mesh, slopes: &[f64], p: Point2<f64>) -> Option<f64> {
    let over = |[a, b, c]: [nalgebra::Point3<f64>; 3]| {
        [(a, b), (b, c), (c, a)]
            .iter()
            .all(|(from, to)| (to.xy() - from.xy()).perp(&(p - from.xy())) >= 0.0)
    };
    let found = mesh.corners().position(over)?;
    slopes.get(found).copied()
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Point3;

    #[test]
    fn the_slope_is_that_of_the_triangle_there() {
        let mesh = Mesh {
            vertices: vec![
                Point3::new(0.0, 0.0, 0.0),
                Point3::new(2.0, 0.0, 0.0),
                Point3::new(2.0, 2.0, 0.0),
                Point3::new(0.0, 2.0, 0.0),
            ],
            triangles: vec![[0, 1, 2], [0, 2, 3]],
        };
        for (x, y, wanted) in [
            (1.5, 0.5, Some(0.1)),
            (0.5, 1.5, Some(0.2)),
            (2.5, 1.0, None),
        ] {
            assert_eq!(slope_at(&mesh, &[0.1, 0.2], Point2::new(x, y)), wanted);
        }
    }
}
