//! Closures: the corners of the cover at stern and bow, where the sheet is folded like the end of a parcel.

use super::side::Side;
use super::{Pleat, PleatKind, by_place};
use crate::boat::Hand;
use crate::cover::Cover;
use crate::geom::mesh::Mesh;
use nalgebra::Point3;

/// Missing angles under this need no closure, rad: 10 deg.
const MIN_ANGLE: f64 = 10.0 * std::f64::consts::PI / 180.0;

/// A corner within this part of the beam from the centerline is the stem, or the middle of the stern.
const MIDDLE: f64 = 0.1;

/// A corner that no thread crosses.
struct Corner {
    kind: PleatKind,
    hand: Option<Hand>,
    /// Angle that is missing to a flat sheet, rad.
    angle: f64,
    /// Its sharpest point on the edge line, by its place in the edge, and the angle there.
    sharpest: (usize, f64),
}

/// The closures of a cover: the angle that is missing at the edge nodes that the threads of neither side cross,
/// gathered by corner. `skin` is the film with its skirt.
pub(super) fn closures(cover: &Cover, skin: &Mesh, sides: &[Side; 2]) -> Vec<Pleat> {
    let deficits = skin.angle_deficits();
    let edge: Vec<Point3<f64>> = cover
        .edge
        .iter()
        .filter_map(|node| skin.vertices.get(*node as usize).copied())
        .collect();
    let half_beam = edge.iter().map(|p| p.y.abs()).fold(0.0, f64::max);
    let stations = || edge.iter().map(|p| p.x);
    let middle = 0.5
        * (stations().fold(f64::INFINITY, f64::min) + stations().fold(f64::NEG_INFINITY, f64::max));
    let film = cover.mesh.triangles.len();
    let crossed: Vec<Option<[f64; 2]>> = sides
        .iter()
        .map(|side| {
            let stations = side
                .threads
                .iter()
                .zip(&side.met)
                .filter(|(_, met)| !**met)
                .filter_map(|(thread, _)| {
                    let at = thread
                        .walk
                        .triangles
                        .iter()
                        .position(|t| *t as usize >= film)?;
                    Some(thread.walk.points.get(at.checked_sub(1)?)?.x)
                });
            stations.fold(None, |range, x| {
                Some(range.map_or([x, x], |[low, high]: [f64; 2]| [low.min(x), high.max(x)]))
            })
        })
        .collect();
    let mut corners: Vec<Corner> = Vec::new();
    for (place, (p, node)) in edge.iter().zip(&cover.edge).enumerate() {
        let hand = if p.y.abs() < MIDDLE * half_beam {
            None
        } else if p.y > 0.0 {
            Some(Hand::Port)
        } else {
            Some(Hand::Starboard)
        };
        let side = match hand {
            Some(Hand::Starboard) => 1,
            _ => 0,
        };
        if let Some(Some([low, high])) = crossed.get(side)
            && p.x > *low
            && p.x < *high
        {
            continue;
        }
        let forward = p.x > middle;
        let kind = match (forward, hand) {
            (false, _) => PleatKind::SternCorner,
            (true, None) => PleatKind::Stem,
            (true, Some(_)) => PleatKind::BowCorner,
        };
        let angle = deficits.get(*node as usize).copied().unwrap_or(0.0);
        match corners
            .iter_mut()
            .find(|c| c.kind == kind && c.hand == hand)
        {
            Some(corner) => {
                corner.angle += angle;
                if angle > corner.sharpest.1 {
                    corner.sharpest = (place, angle);
                }
            }
            None => corners.push(Corner {
                kind,
                hand,
                angle,
                sharpest: (place, angle),
            }),
        }
    }
    let mut closures: Vec<Pleat> = settled(corners)
        .iter()
        .filter(|corner| corner.angle > MIN_ANGLE)
        .filter_map(|corner| {
            let top = *edge.get(corner.sharpest.0)?;
            let foot = *cover.band.get(corner.sharpest.0)?;
            let run = (top - foot).norm();
            Some(Pleat {
                id: String::new(),
                kind: corner.kind,
                station: foot.x,
                hand: corner.hand,
                line: vec![foot, top],
                run,
                depth: folded(corner.angle, run),
                max_depth: folded(corner.angle, run),
                folds: 1,
            })
        })
        .collect();
    closures.sort_by(by_place);
    closures
}

/// At either end the corners and the middle are one closure or a pair: the side that has more of the angle takes
/// the other's.
fn settled(corners: Vec<Corner>) -> Vec<Corner> {
    let (forward, aft): (Vec<Corner>, Vec<Corner>) = corners
        .into_iter()
        .partition(|corner| corner.kind != PleatKind::SternCorner);
    [aft, forward].into_iter().flat_map(settle_end).collect()
}

fn settle_end(corners: Vec<Corner>) -> Vec<Corner> {
    let (middle, mut pair): (Vec<Corner>, Vec<Corner>) = corners
        .into_iter()
        .partition(|corner| corner.hand.is_none());
    let of_pair: f64 = pair.iter().map(|corner| corner.angle).sum();
    let Some(mut middle) = middle.into_iter().next() else {
        return pair;
    };
    if middle.angle > of_pair {
        middle.angle += of_pair;
        return vec![middle];
    }
    let share = middle.angle / pair.len().max(1) as f64;
    for corner in &mut pair {
        corner.angle += share;
    }
    pair
}

/// Film folded away along the band at a corner with a missing angle, whose skirt hangs down by `skirt`: two
/// mitres, twice the skirt at the right angle of a box. A sharper corner is folded twice.
fn folded(angle: f64, skirt: f64) -> f64 {
    let folds = (angle / std::f64::consts::FRAC_PI_2).ceil().max(1.0);
    2.0 * skirt * folds * (0.5 * angle / folds).tan()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_2, PI};

    #[test]
    fn a_box_folds_twice_its_skirt() {
        // A sheet over a box: the square between the two flaps at a corner is folded away.
        for (angle, skirt, wanted) in [
            (FRAC_PI_2, 0.3, 0.6),
            (PI, 0.3, 1.2),
            (0.0, 1.0, 0.0),
            // A cone's missing angle of 60 degrees, by hand: 2 tan 30.
            (PI / 3.0, 1.0, 1.154_700_538),
        ] {
            assert!((folded(angle, skirt) - wanted).abs() < 1e-9, "{angle}");
        }
    }
}
