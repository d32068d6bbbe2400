//! The film: how a flat sheet takes the cover's shape, and how wide and long it must be.
//!
//! [`lay`] lays the sheet's centerline along the ridge and follows its threads athwart over the cover and down
//! the skirt. Where neighboring threads draw together the sheet has more cloth than the shape; the surplus
//! shrinks away up to the film's limit, and what is beyond it is gathered in pleats.

mod closures;
mod cut;
mod gather;
mod lay;
mod pattern;
mod rows;
mod side;
#[cfg(test)]
mod tests;
mod threads;
mod widths;

pub use lay::lay;

use crate::boat::Hand;
use nalgebra::Point3;
use serde::Serialize;

/// A flat sheet on a cover.
#[derive(Debug, Clone, PartialEq)]
pub struct Film {
    /// Width by hand and by girth.
    pub widths: Widths,
    /// What is cut from the roll.
    pub cut: Cut,
    /// Pleats from the stern, then closures.
    pub pleats: Vec<Pleat>,
    /// The sheet laid flat.
    pub pattern: Pattern,
    /// Greatest shrink that is left to the film anywhere, part of its length.
    pub max_shrink: f64,
    /// Where that is, m.
    pub max_shrink_at: Point3<f64>,
    /// Part by which the sheet is laid longer than the ridge, since the film between the posts lies longer beside
    /// the ridge than on it and cannot stretch.
    pub ease: f64,
    /// Greatest stretch that even so would be needed somewhere, part of the sheet's length; film does not
    /// stretch, so anything over a few thousandths asks for a relief cut with a patch there.
    pub stretch: f64,
    /// Mass of the whole sheet as it is cut off the roll, kg.
    pub mass: f64,
    /// Mass of what stays on the boat once the sheet is trimmed, tucks included, kg.
    pub mass_on_boat: f64,
}

/// The film's width by the hand rule and by true girth.
#[derive(Debug, Clone, PartialEq)]
pub struct Widths {
    /// By hand: 2 x (top of the middle post, over the widest part, to the rub rail + 8 in + 6 in), m.
    pub hand: f64,
    /// Station of the post that the tape starts from, m.
    pub hand_post: f64,
    /// Station of the widest part, m.
    pub hand_widest: f64,
    /// Twice the shortest way over the film from the ridge to the place of the band that is farthest from it, with the
    /// tucks, m.
    pub girth: f64,
    /// Station where that way leaves the ridge, m.
    pub girth_station: f64,
    /// True girth from band to band without the tucks: (station, girth), m.
    pub girths: Vec<[f64; 2]>,
}

/// What is cut from the roll.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Least width that covers the boat, m.
    pub width: f64,
    /// Length to cut, m.
    pub length: f64,
    /// Width of the roll chosen, m; the widest there is where a seam is needed.
    pub roll: f64,
    /// Sheets side by side: one, or more with seams between them.
    pub sheets: usize,
    /// Distances of the seams from the centerline, to port, m; empty without a seam.
    pub seams: Vec<f64>,
    /// Area taken off the roll, m2.
    pub taken: f64,
    /// Area that is trimmed off, m2.
    pub trim: f64,
}

/// Kind of a pleat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PleatKind {
    /// A gather on the side.
    Pleat,
    /// The closure at a corner of the stern.
    SternCorner,
    /// The closure at a corner of a square bow.
    BowCorner,
    /// The closure at the stem.
    Stem,
}

/// Film that is gathered, folded and welded.
#[derive(Debug, Clone, PartialEq)]
pub struct Pleat {
    /// `F1` ... from the stern, closures `C1` ...
    pub id: String,
    /// Kind.
    pub kind: PleatKind,
    /// Station of its foot at the band, m.
    pub station: f64,
    /// On which side; `None` on the centerline.
    pub hand: Option<Hand>,
    /// Its line over the film from the foot at the band up to its top, m.
    pub line: Vec<Point3<f64>>,
    /// How far up it runs, m.
    pub run: f64,
    /// Least film that has to be folded away at the band, with all the slip that the rules allow, m.
    pub depth: f64,
    /// Film folded away where the sheet hangs square to the ridge and does not slip at all, m; never less than
    /// [`Pleat::depth`].
    pub max_depth: f64,
    /// Folds side by side that it is laid in, none deeper than the rules' deepest.
    pub folds: usize,
}

/// The sheet laid flat: places are `[along, across]`, along from the sheet's stern end forward, across from its
/// centerline to port, m.
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// Length and width of the sheet, m.
    pub size: [f64; 2],
    /// Along, where the ridge crosses the edge at stern and bow, m.
    pub ridge: [f64; 2],
    /// The edge line on the sheet, port then starboard, each from stern to bow.
    pub edge: [Vec<[f64; 2]>; 2],
    /// Where the band runs on the sheet, port then starboard, each from stern to bow.
    pub band: [Vec<[f64; 2]>; 2],
    /// Where the sheet is trimmed after tucking, port then starboard, each from stern to bow.
    pub trim: [Vec<[f64; 2]>; 2],
    /// Caps of the posts on the sheet, in the frame's order.
    pub caps: Vec<[f64; 2]>,
    /// Pleats on the sheet, in the order of [`Film::pleats`]: both edges of the fold from the band to its top.
    pub folds: Vec<[Vec<[f64; 2]>; 2]>,
    /// Shrink that is left to the film: cells with their corners in order, and the shrink.
    pub cells: Vec<ShrinkCell>,
}

/// A cell of the shrink map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShrinkCell {
    /// Corners on the flat sheet, in order round it.
    pub sheet: [[f64; 2]; 4],
    /// The same corners on the boat, m.
    pub boat: [Point3<f64>; 4],
    /// Shrink, part of the sheet's length.
    pub shrink: f64,
}

/// Pleats nearer to each other along the boat stand at one station, m.
const SAME_STATION: f64 = 0.05;

/// The order of pleats: from the stern, fellows on both sides together, port first.
fn by_place(a: &Pleat, b: &Pleat) -> std::cmp::Ordering {
    let row = |pleat: &Pleat| (pleat.station / SAME_STATION).round();
    let starboard = |pleat: &Pleat| pleat.hand == Some(Hand::Starboard);
    row(a)
        .total_cmp(&row(b))
        .then(starboard(a).cmp(&starboard(b)))
}

/// Times that a pleat's line is smoothed: threads end in pairs on either side of it, and it steps with them.
const SMOOTHINGS: usize = 12;

/// Draws a line fair, its ends kept; `mean` is the weighted mean of a point and its neighbors.
fn smooth<P: Copy>(line: &mut [P], mean: impl Fn(P, P, P) -> P) {
    for _ in 0..SMOOTHINGS {
        let before = line.to_vec();
        for (place, three) in line.iter_mut().skip(1).zip(before.windows(3)) {
            if let &[a, b, c] = three {
                *place = mean(a, b, c);
            }
        }
    }
}
