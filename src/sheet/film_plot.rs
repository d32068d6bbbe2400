//! The flat film on a plot: where it is cut, what runs where on it, where it is pleated.

use super::Align;
use super::plot::{LETTERS, Layer, Plot, Shape, Spot};
use crate::film::Film;
use crate::units::UnitSystem;

/// Radius of a cap's mark on the sheet, m: a palm, to aim the middle of the sheet by.
const CAP: f64 = 0.06;

/// Adds the flat film to a plot in true size, its upper (port) edge at an offset and its stern end at station
/// zero.
///
/// # Units
/// `top` in meters.
pub(super) fn add_film(plot: &mut Plot, film: &Film, top: f64, units: UnitSystem) {
    let pattern = &film.pattern;
    let [length, width] = pattern.size;
    let middle = top - 0.5 * width;
    let at = |[along, across]: [f64; 2]| -> Spot { [along, middle + across, 0.0] };
    let half = 0.5 * width;
    let corners = [[0.0, -half], [length, -half], [length, half], [0.0, half]];
    plot.line(Layer::FilmCut, corners.map(at).to_vec(), true);
    for side in &pattern.trim {
        plot.line(
            Layer::FilmCut,
            side.iter().copied().map(at).collect(),
            false,
        );
    }
    for side in pattern.edge.iter().chain(&pattern.band) {
        plot.line(
            Layer::FilmMarks,
            side.iter().copied().map(at).collect(),
            false,
        );
    }
    let ridge = pattern.ridge.map(|along| at([along, 0.0]));
    plot.line(Layer::FilmMarks, ridge.to_vec(), false);
    for seam in &film.cut.seams {
        let ends = [[0.0, *seam], [length, *seam]].map(at);
        plot.line(Layer::FilmMarks, ends.to_vec(), false);
    }
    for cap in &pattern.caps {
        let circle = Shape::Circle {
            center: at(*cap),
            radius: CAP,
        };
        plot.add(Layer::FilmMarks, None, circle);
    }
    for (pleat, fold) in film.pleats.iter().zip(&pattern.folds) {
        for line in fold {
            plot.line(Layer::Pleats, line.iter().copied().map(at).collect(), false);
        }
        let foot = fold.iter().find_map(|line| line.first());
        if let Some(foot) = foot {
            let [x, y, _] = at(*foot);
            let text = format!("{} {}", pleat.id, units.format_length(pleat.depth));
            plot.words(Layer::Labels, [x, y + LETTERS, 0.0], text, Align::Start);
        }
    }
    let below = top - width - 4.0 * LETTERS;
    plot.dimension(
        [0.0, below],
        [length, below],
        format!("film, cut {}", units.format_length(length)),
    );
    let aft = -4.0 * LETTERS;
    plot.dimension([aft, top - width], [aft, top], units.format_length(width));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::Hand;
    use crate::film::{Cut, Pattern, Pleat, PleatKind, Widths};
    use nalgebra::Point3;

    /// A sheet of 6 by 4 m with one seam and one pleat.
    fn film() -> Film {
        let sides = |across: f64| [across, -across].map(|y| vec![[0.1, y], [5.9, y]]);
        Film {
            widths: Widths {
                hand: 4.0,
                hand_post: 2.0,
                hand_widest: 3.0,
                girth: 4.0,
                girth_station: 3.0,
                girths: Vec::new(),
            },
            cut: Cut {
                width: 4.0,
                length: 6.0,
                roll: 4.3,
                sheets: 2,
                seams: vec![0.5],
                taken: 25.8,
                trim: 1.8,
            },
            pleats: vec![Pleat {
                id: "F1".to_owned(),
                kind: PleatKind::Pleat,
                station: 3.0,
                hand: Some(Hand::Port),
                line: Vec::new(),
                run: 0.5,
                depth: 0.2,
                max_depth: 0.2,
                folds: 1,
            }],
            pattern: Pattern {
                size: [6.0, 4.0],
                ridge: [0.2, 5.8],
                edge: sides(1.2),
                band: sides(1.6),
                trim: sides(1.8),
                caps: vec![[2.0, 0.0]],
                folds: vec![[vec![[2.9, 1.6], [3.0, 1.1]], vec![[3.1, 1.6], [3.0, 1.1]]]],
                cells: Vec::new(),
            },
            max_shrink: 0.1,
            max_shrink_at: Point3::origin(),
            ease: 0.0,
            stretch: 0.0,
            mass: 4.0,
            mass_on_boat: 4.0,
        }
    }

    #[test]
    fn the_sheet_is_drawn_in_true_size() {
        let mut plot = Plot {
            title: String::new(),
            marks: Vec::new(),
        };
        add_film(&mut plot, &film(), -2.0, UnitSystem::Metric);
        let count = |layer| plot.marks.iter().filter(|mark| mark.layer == layer).count();
        // Sheet and two trims; two edges, two bands, ridge, seam, cap; both edges of the fold.
        for (layer, wanted) in [
            (Layer::FilmCut, 3),
            (Layer::FilmMarks, 7),
            (Layer::Pleats, 2),
            (Layer::Labels, 1),
        ] {
            assert_eq!(count(layer), wanted, "{layer:?}");
        }
        let Shape::Line { points, closed } = &plot.marks[0].shape else {
            panic!("the sheet comes first");
        };
        assert!(closed);
        let wanted = [[0.0, -6.0], [6.0, -6.0], [6.0, -2.0], [0.0, -2.0]];
        assert_eq!(*points, wanted.map(|[x, y]| [x, y, 0.0]));
    }
}
