//! Lays the sheet: both sides, pleats and closures, width, roll, pattern.

use super::closures::closures;
use super::cut::cut;
use super::gather::Limits;
use super::pattern::{Ends, Sheet, pattern};
use super::side::{Laid, Side};
use super::threads::Centerline;
use super::widths::{farthest, widths};
use super::{Film, Pleat, PleatKind, by_place, smooth};
use crate::boat::{Boat, Hand, Rules};
use crate::cover::Cover;
use crate::frame::Frame;
use crate::geom::geodesic::Walker;
use crate::hull::Hull;
use nalgebra::Point3;

/// Density of the film, kg/m3: low-density polyethylene, from memory.
const DENSITY: f64 = 920.0;

/// A pleat whose foot lies this near to a closure's along the boat is part of it, m; 18 in.
const AT_CLOSURE: f64 = 0.4572;

/// Threads are laid by cells no finer than this, m: finer ones would only follow the mesh's own corners.
const FINEST: f64 = 0.04;

/// Lays a flat sheet over a cover.
pub fn lay(hull: &Hull, boat: &Boat, rules: &Rules, frame: &Frame, cover: &Cover) -> Film {
    let skin = cover.with_skirt();
    let walker = Walker::new(&skin);
    let cell = rules.cell.max(FINEST);
    let mut sides = Hand::BOTH.map(|hand| Side::new(&walker, &cover.mesh, &skin, hand, cell));
    // Before one side's threads are taken for both: what is cut must reach on either.
    let farthest = sides.each_ref().map(|side| {
        let fans = Centerline::new(&cover.mesh, side.hand).fans(&walker, &skin);
        farthest(side, &fans, &cover.band, cell)
    });
    if sides[0].mirrors(&sides[1]) {
        sides[1] = sides[0].mirrored();
    }
    let mut limits = Limits {
        shrink: rules.film_shrink,
        skew: rules.film_skew,
        smooth: rules.least_pleat,
        ease: 0.0,
    };
    limits.ease = sides
        .iter()
        .map(|side| side.least_ease(limits).0)
        .fold(0.0, f64::max);
    let laid = [sides[0].lay(limits), sides[1].lay(limits)];

    let line = Centerline::new(&cover.mesh, Hand::Port);
    let [at_stern, at_bow] = skirts(cover);
    let stern = rules.film_end + at_stern;
    let bow = stern + (1.0 + limits.ease) * line.length;
    let ends = Ends {
        stern,
        bow,
        length: bow + at_bow + rules.film_end,
    };

    let pleats = pleats(rules, cover, &sides, &laid, closures(cover, &skin, &sides));
    let widths = widths(hull, boat, rules, frame, &sides, farthest);
    let covered = cover.area + rules.film_tuck * cover.band_length;
    let cut = cut(rules, widths.girth, ends.length, covered);
    let sheet = |side: usize| Sheet {
        side: &sides[side],
        laid: &laid[side],
        ease: limits.ease,
        ends,
    };
    let sheets = [sheet(0), sheet(1)];
    let pattern = pattern(rules, frame, cover, &sheets, widths.girth, &pleats);
    let extreme = |worst: f64, better: fn(f64, f64) -> bool| {
        let mut found = (worst, cover.least_slope_at);
        for (side, laid) in sides.iter().zip(&laid) {
            for (shrink, at) in shrinks(side, laid) {
                if better(shrink, found.0) {
                    found = (shrink, at);
                }
            }
        }
        found
    };
    let (max_shrink, max_shrink_at) = extreme(f64::NEG_INFINITY, |a, b| a > b);
    let (least, _) = extreme(f64::INFINITY, |a, b| a < b);
    Film {
        mass: cut.taken * rules.film_thickness * DENSITY,
        mass_on_boat: covered * rules.film_thickness * DENSITY,
        widths,
        cut,
        pleats: pleats.into_iter().map(|(pleat, _)| pleat).collect(),
        pattern,
        max_shrink,
        max_shrink_at,
        ease: limits.ease,
        stretch: (-least).max(0.0),
    }
}

/// How far the skirt hangs down on the centerline at stern and bow, m.
fn skirts(cover: &Cover) -> [f64; 2] {
    let edge: Vec<(Point3<f64>, Point3<f64>)> = cover
        .edge
        .iter()
        .zip(&cover.band)
        .filter_map(|(node, band)| Some((*cover.mesh.vertices.get(*node as usize)?, *band)))
        .collect();
    let middle = edge.iter().map(|(p, _)| p.x).sum::<f64>() / edge.len().max(1) as f64;
    [false, true].map(|forward| {
        edge.iter()
            .filter(|(p, _)| (p.x > middle) == forward)
            .min_by(|(a, _), (b, _)| a.y.abs().total_cmp(&b.y.abs()))
            .map_or(0.0, |(p, band)| (p - band).norm())
    })
}

/// Every shrink with its place.
fn shrinks<'a>(side: &'a Side, laid: &'a Laid) -> impl Iterator<Item = (f64, Point3<f64>)> + 'a {
    side.rows
        .iter()
        .zip(&laid.shrinks)
        .flat_map(move |(row, shrinks)| {
            row.spans
                .iter()
                .zip(shrinks)
                .flat_map(move |(span, shrinks)| {
                    span.threads
                        .iter()
                        .zip(shrinks)
                        .filter_map(move |(thread, shrink)| {
                            Some((*shrink, side.point(*thread, row.run)?))
                        })
                })
        })
}

/// Pleats of both sides and closures, numbered from the stern; each pleat with its side and place there.
fn pleats(
    rules: &Rules,
    cover: &Cover,
    sides: &[Side; 2],
    laid: &[Laid; 2],
    mut closures: Vec<Pleat>,
) -> Vec<(Pleat, Option<(usize, usize)>)> {
    let mut pleats = Vec::new();
    for (number, (side, laid)) in sides.iter().zip(laid).enumerate() {
        for place in 0..laid.gathers.pleats.len() {
            let Some(pleat) = pleat(cover, side, laid, place) else {
                continue;
            };
            let closure = closures.iter_mut().find(|closure| {
                closure.hand.is_none_or(|hand| hand == side.hand)
                    && (closure.station - pleat.station).abs() < AT_CLOSURE
            });
            match closure {
                // The closure takes it in: one fold for both.
                Some(closure) => {
                    closure.depth += pleat.depth;
                    closure.max_depth += pleat.max_depth;
                    if pleat.run > closure.run {
                        closure.run = pleat.run;
                        closure.line = pleat.line;
                    }
                }
                None => pleats.push((pleat, Some((number, place)))),
            }
        }
    }
    pleats.sort_by(|(a, _), (b, _)| by_place(a, b));
    let count = pleats.len();
    pleats.extend(closures.into_iter().map(|closure| (closure, None)));
    for (number, (pleat, _)) in pleats.iter_mut().enumerate() {
        pleat.id = if number < count {
            format!("F{}", number + 1)
        } else {
            format!("C{}", number + 1 - count)
        };
        pleat.folds = ((pleat.depth / rules.deepest_fold).ceil() as usize).max(1);
    }
    pleats
}

/// One pleat of a side: its line up the film along the gap between its neighbors.
fn pleat(cover: &Cover, side: &Side, laid: &Laid, place: usize) -> Option<Pleat> {
    let thread = *laid.gathers.pleats.get(place)?;
    let mut line: Vec<Point3<f64>> = Vec::new();
    let mut depth = 0.0f64;
    let mut last = None;
    let (mut top, mut foot_run) = (None, 0.0);
    for (row, depths) in side.rows.iter().zip(&laid.gathers.depths) {
        for (span, depths) in row.spans.iter().zip(depths) {
            let after = span.threads.partition_point(|t| *t <= thread);
            if after == 0 || after >= span.threads.len() {
                continue;
            }
            let (a, b) = (span.threads[after - 1], span.threads[after]);
            let taken = *depths.get(place)?;
            if taken > 0.0 || top.is_some() {
                let (p, q) = (side.point(a, row.run)?, side.point(b, row.run)?);
                line.push(p + (q - p) * 0.5);
                top.get_or_insert(row.run);
                foot_run = row.run;
                depth = depth.max(taken);
                last = Some((a, b));
            }
        }
    }
    // Down to the band between the last neighbors that come there.
    let (a, b) = last?;
    let (a, b) = (side.threads.get(a)?, side.threads.get(b)?);
    let foot = on_band(cover, a.walk.end()? + (b.walk.end()? - a.walk.end()?) * 0.5)?;
    let far = 0.5 * (a.walk.length() + b.walk.length());
    if far > foot_run {
        line.push(foot);
    }
    line.reverse();
    smooth(&mut line, |a, b, c| {
        Point3::from((a.coords + b.coords * 2.0 + c.coords) / 4.0)
    });
    Some(Pleat {
        id: String::new(),
        kind: PleatKind::Pleat,
        station: line.first()?.x,
        hand: Some(side.hand),
        run: far.max(foot_run) - top?,
        line,
        depth,
        max_depth: laid
            .unslipped
            .get(place)
            .map_or(depth, |most| most.max(depth)),
        folds: 1,
    })
}

/// The point of the band nearest to a point.
fn on_band(cover: &Cover, p: Point3<f64>) -> Option<Point3<f64>> {
    let next = cover.band.iter().cycle().skip(1);
    cover
        .band
        .iter()
        .zip(next)
        .map(|(a, b)| {
            let along = b - a;
            let part = (p - a).dot(&along) / along.norm_squared();
            // Two nodes in one place have no way between them.
            if part.is_finite() {
                a + along * part.clamp(0.0, 1.0)
            } else {
                *a
            }
        })
        .min_by(|a, b| (a - p).norm().total_cmp(&(b - p).norm()))
}
