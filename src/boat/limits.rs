//! Bounds on what one boat costs to plan: how many things it may have, how many cells its film.

use super::Boat;
use super::check::Checker;

/// Most boxes, tubes or antennas of a boat; the busiest preset has twelve.
pub(super) const MAX_THINGS: usize = 60;

/// Most anchors, footings or places without posts.
pub(super) const MAX_PLACES: usize = 120;

/// Most points of one tube.
pub(super) const MAX_POINTS: usize = 100;

/// Most triangles that the film may be estimated to have. A film of 100,000 takes about a minute.
const MAX_TRIANGLES: f64 = 200_000.0;

/// Cells beside a line are fine for this many of their sizes, both sides together; see `geom::triangulate`.
const FINE_BAND: f64 = 4.8;

/// Area of a triangle of the lattice over the square of its side.
const TRIANGLE: f64 = 0.433;

/// Refuses a boat whose film would have too many cells, and names what asks for most of them.
pub(super) fn mesh_size(check: &mut Checker, boat: &Boat) {
    let cell = boat.rules.cell;
    let (mut reach, mut aft, mut fore) = (0.5 * boat.beam, 0.0_f64, boat.length);
    let mut things: Vec<(&str, f64)> = Vec::new();
    for thing in &boat.boxes {
        let width = thing.width.max(thing.width_fore);
        things.push((&thing.name, 2.0 * (thing.to - thing.from + width)));
        if thing.film_goes_round {
            reach = reach.max(thing.offset.abs() + 0.5 * width);
            (aft, fore) = (aft.min(thing.from), fore.max(thing.to));
        }
    }
    for tube in &boat.tubes {
        let length = tube
            .path
            .windows(2)
            .map(|pair| match pair {
                [a, b] => (b[0] - a[0]).hypot(b[1] - a[1]),
                _ => 0.0,
            })
            .sum();
        things.push((&tube.name, length));
        for point in &tube.path {
            reach = reach.max(point[1].abs());
            (aft, fore) = (aft.min(point[0]), fore.max(point[0]));
        }
    }
    let area = 2.0 * reach * (fore - aft);
    let fine: f64 = FINE_BAND * cell * things.iter().map(|(_, length)| length).sum::<f64>();
    let fine = fine.min(area);
    let triangles = (fine + 0.25 * (area - fine)) / (TRIANGLE * cell * cell);
    if triangles <= MAX_TRIANGLES {
        return;
    }
    let most = things
        .iter()
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|(_, length)| FINE_BAND * cell * length > 0.1 * fine.max(cell))
        .map(|(name, length)| {
            format!(
                "; '{name}' asks for most, {} of lines",
                check.typed(*length)
            )
        })
        .unwrap_or_default();
    let what = format!(
        "cells of {} over this boat make about {:.0},000 triangles, and {:.0},000 are the most{most}",
        check.typed(cell),
        triangles / 1000.0,
        MAX_TRIANGLES / 1000.0
    );
    check.problem(
        "rules.cell",
        what,
        "give a larger cell (2 in by default); if a rail or a box is far too long, two of its numbers may be swapped",
    );
}
