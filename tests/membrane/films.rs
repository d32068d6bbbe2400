//! Films that have everything: straps, caps, boxes under the film, load.

use crate::sheet::{Sheet, grid, on_border, ring};
use hulltent::cover::StrapEdge;
use hulltent::geom::triangulate::{Disc, Line, Region, triangulate};
use nalgebra::Point2;

/// A film and what it is.
pub struct Film {
    pub name: &'static str,
    pub sheet: Sheet,
}

pub fn films() -> Vec<Film> {
    vec![
        Film {
            name: "square over a box, crossed straps, load",
            sheet: square(),
        },
        Film {
            name: "round over a cap, three straps",
            sheet: round(),
        },
    ]
}

/// Four meters square, 100 N/m and 5 N/m2, straps of 400 N along both middles, over a box out of the middle
/// and a ball top.
fn square() -> Sheet {
    const CELLS: u32 = 20;
    let half = [2.0, 2.0];
    let mut sheet = grid(half, [CELLS, CELLS])
        .fix(on_border(half), |p| 0.1 * p.x)
        .rest_on(|p| {
            let on_box = (p.x - 0.9).abs() < 0.45 && (p.y + 0.5).abs() < 0.35;
            let ball = 0.8 - 0.5 * (p - Point2::new(-0.8, 0.4)).norm_squared();
            let height = if on_box { ball.max(0.7) } else { ball };
            (height > 0.0).then_some(height)
        });
    let node = |i: u32, j: u32| i * (CELLS + 1) + j;
    sheet.straps = (0..CELLS)
        .flat_map(|k| {
            [
                [node(k, CELLS / 2), node(k + 1, CELLS / 2)],
                [node(CELLS / 2, k), node(CELLS / 2, k + 1)],
            ]
        })
        .map(|nodes| StrapEdge {
            nodes,
            tension: 400.0,
        })
        .collect();
    (sheet.tension, sheet.load) = (100.0, 5.0);
    sheet
}

/// A round of 1.5 m radius with a cap out of its middle and three straps from it to the edge.
fn round() -> Sheet {
    const SIZE: f64 = 0.12;
    let center = Point2::new(0.2, 0.1);
    let outline = ring(1.5, SIZE);
    let lines: Vec<Line> = [1, 4, 7]
        .into_iter()
        .map(|ninth| Line {
            points: vec![center, outline[ninth * outline.len() / 9]],
            exact: true,
        })
        .collect();
    let plan = triangulate(&Region {
        outline: &outline,
        discs: &[Disc {
            center,
            radius: 0.15,
        }],
        lines: &lines,
        size: SIZE,
    })
    .expect("a round region is meshed");
    let mut sheet = Sheet::new(plan.points, plan.triangles);
    for node in plan.outline {
        sheet.fixed[node as usize] = true;
    }
    for node in &plan.discs[0] {
        sheet.lower[*node as usize] = 0.6;
    }
    sheet.straps = plan
        .lines
        .iter()
        .zip([800.0, 400.0, 400.0])
        .flat_map(|(nodes, tension)| nodes.windows(2).map(move |pair| (pair, tension)))
        .map(|(pair, tension)| StrapEdge {
            nodes: [pair[0], pair[1]],
            tension,
        })
        .collect();
    sheet.tension = 100.0;
    sheet
}
