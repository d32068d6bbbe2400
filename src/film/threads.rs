//! The sheet's threads on the cover: its centerline along the ridge, and straight lines from it athwart.
//!
//! A thread leaves the centerline at a right angle and runs straight over the film, round the edge and down the
//! skirt to the band. Where neighboring threads stand closer than they do on the flat sheet, the sheet has more
//! cloth than the shape. Their distance obeys Jacobi's equation J'' = -K J, with the bend of the ridge in the
//! film as its start (do Carmo, Differential Geometry of Curves and Surfaces, from memory).

use crate::boat::Hand;
use crate::geom::geodesic::{Walk, Walker};
use crate::geom::mesh::{Mesh, doubled_area};
use nalgebra::{Point3, Vector3};

/// The centerline is followed this far to either side of it, so that no thread starts on a node, m.
const ASIDE: f64 = 1e-4;

/// Pieces of the centerline shorter than this are left out, m.
const NO_PIECE: f64 = 1e-9;

/// Longest thread, m: no cover is so wide that its film runs farther to one side.
const LONGEST: f64 = 30.0;

/// The ridge's ends, from which lines fan out, lie this far inside the edge, m: so that they start in a triangle.
const NEAR_END: f64 = 1e-3;

/// Angles that a quarter turn at an end of the ridge is divided into.
const FAN: usize = 45;

/// The centerline of one side: where the plane beside the ridge cuts the film.
pub(super) struct Centerline {
    hand: Hand,
    pieces: Vec<Piece>,
    /// Length from stern edge to bow edge, m.
    pub length: f64,
}

/// A straight piece over one triangle.
struct Piece {
    triangle: u32,
    from: Point3<f64>,
    to: Point3<f64>,
    /// Length of the centerline up to its start, m.
    run: f64,
}

/// A thread of the sheet on one side of the ridge.
#[derive(Debug, Clone)]
pub(super) struct Thread {
    /// Where it leaves the centerline, from the stern edge, m.
    pub along: f64,
    /// Its course.
    pub walk: Walk,
}

impl Centerline {
    /// Cuts the film of a cover (without its skirt) beside the centerline.
    pub fn new(film: &Mesh, hand: Hand) -> Centerline {
        let y = ASIDE * hand.sign();
        let mut pieces: Vec<Piece> = (0u32..)
            .zip(film.corners())
            .filter_map(|(triangle, corners)| {
                let (from, to) = cut(&corners, y)?;
                Some(Piece {
                    triangle,
                    from,
                    to,
                    run: 0.0,
                })
            })
            .collect();
        pieces.sort_by(|a, b| a.from.x.total_cmp(&b.from.x));
        let mut length = 0.0;
        for piece in &mut pieces {
            piece.run = length;
            length += (piece.to - piece.from).norm();
        }
        Centerline {
            hand,
            pieces,
            length,
        }
    }

    /// The piece, and the point on it, at a length from the stern edge.
    fn at(&self, along: f64) -> Option<(&Piece, Point3<f64>)> {
        let after = self
            .pieces
            .partition_point(|piece| piece.run <= along)
            .max(1);
        let piece = self.pieces.get(after - 1)?;
        let span = piece.to - piece.from;
        let part = ((along - piece.run) / span.norm()).clamp(0.0, 1.0);
        Some((piece, piece.from + span * part))
    }

    /// The thread that leaves it at a length from the stern edge, over the film with its skirt.
    ///
    /// # Units
    /// Meters.
    pub fn thread(&self, walker: &Walker, skin: &Mesh, along: f64) -> Option<Thread> {
        let (piece, from) = self.at(along)?;
        let normal = doubled_area(&skin.triangle(piece.triangle as usize));
        let athwart = normal.cross(&(piece.to - piece.from)) * self.hand.sign();
        let walk = walker.walk(piece.triangle, from, athwart, LONGEST)?;
        Some(Thread { along, walk })
    }

    /// Straight lines from either end of the ridge, in order from straight aft to straight forward: stern, then bow.
    /// They come to the corners of the band that no thread reaches.
    pub fn fans(&self, walker: &Walker, skin: &Mesh) -> [Vec<Thread>; 2] {
        [(NEAR_END, -1.0), (self.length - NEAR_END, 1.0)].map(|(along, forward)| {
            let Some((piece, from)) = self.at(along) else {
                return Vec::new();
            };
            let normal = doubled_area(&skin.triangle(piece.triangle as usize));
            let ahead = (piece.to - piece.from).normalize();
            let athwart = normal.cross(&ahead).normalize() * self.hand.sign();
            (0..=FAN)
                .filter_map(|step| {
                    let part = step as f64 / FAN as f64;
                    // Straight aft first, or straight forward last.
                    let turn = if forward > 0.0 { part } else { 1.0 - part };
                    let (sine, cosine) = (std::f64::consts::FRAC_PI_2 * turn).sin_cos();
                    let heading = athwart * cosine + ahead * (forward * sine);
                    let walk = walker.walk(piece.triangle, from, heading, LONGEST)?;
                    walk.at_rim.then_some(Thread { along, walk })
                })
                .collect()
        })
    }
}

impl Thread {
    /// Its mirror image on the other side.
    pub fn mirrored(&self) -> Thread {
        let mut walk = self.walk.clone();
        for point in &mut walk.points {
            point.y = -point.y;
        }
        for right in &mut walk.rights {
            // What lay to the right of the line lies to its left in the mirror.
            *right = Vector3::new(-right.x, right.y, -right.z);
        }
        Thread {
            along: self.along,
            walk,
        }
    }

    /// A point after a run, and the direction toward the bow there.
    ///
    /// # Units
    /// Meters.
    pub fn at(&self, hand: Hand, run: f64) -> Option<(Point3<f64>, Vector3<f64>)> {
        let (point, right) = self.walk.at(run)?;
        // Forward lies to the right of a thread that runs to port.
        Some((point, right * hand.sign()))
    }
}

/// Where a plane of constant offset cuts a triangle, from aft to fore.
fn cut(corners: &[Point3<f64>; 3], y: f64) -> Option<(Point3<f64>, Point3<f64>)> {
    let mut ends: Vec<Point3<f64>> = Vec::new();
    for k in 0..3 {
        let (a, b) = (corners[k], corners[(k + 1) % 3]);
        if (a.y - y) * (b.y - y) < 0.0 {
            ends.push(a + (b - a) * ((y - a.y) / (b.y - a.y)));
        }
    }
    match ends.as_slice() {
        &[a, b] if (b.x - a.x).abs() > NO_PIECE => Some(if a.x < b.x { (a, b) } else { (b, a) }),
        _ => None,
    }
}
