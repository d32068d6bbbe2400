//! Boxes and tubes as solids: what a post's foot, a post and a strap must keep clear of.

use crate::boat::{Boat, Tube};
use crate::geom::parry::{bounding_box, to_vector};
use nalgebra::{Point2, Point3};
use parry3d_f64::bounding_volume::{Aabb, BoundingVolume};
use parry3d_f64::math::{Pose, Vector};
use parry3d_f64::query::{PointQuery, distance};
use parry3d_f64::shape::{ConvexPolyhedron, Cuboid, Segment, Shape, SharedShape};

use super::Thing;

/// All boxes and tubes of a boat, in the order of the hull's things.
#[derive(Clone)]
pub struct Solids {
    solids: Vec<Solid>,
}

impl std::fmt::Debug for Solids {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Solids({})", self.solids.len())
    }
}

#[derive(Clone)]
struct Solid {
    thing: usize,
    bounds: Aabb,
    form: Form,
}

#[derive(Clone)]
enum Form {
    Box(SharedShape),
    /// Axis and radius.
    Tube(Vec<Segment>, f64),
}

/// Nearer than this to a solid a foot or a strap still only touches it, m: a tenth of a millimeter.
const TOUCH: f64 = 1e-4;

/// A tube's mesh lies inside the round tube by less than this, and ends flat where its axis does, m.
const LOOSE: f64 = 0.1;

/// Over anything that stands on a boat, m.
const SKY: f64 = 50.0;

impl Solids {
    /// The solids of a boat whose things are given.
    pub(super) fn new(boat: &Boat, things: &[Thing]) -> Solids {
        let boxes = boat.boxes.len();
        let box_of = |thing: &Thing| {
            let points = thing
                .mesh
                .vertices
                .iter()
                .map(to_vector)
                .collect::<Vec<_>>();
            let shape = match ConvexPolyhedron::from_convex_hull(&points) {
                Some(convex) => SharedShape::new(convex),
                None => SharedShape::new(thing.mesh.to_parry_solid().ok()?),
            };
            Some(Form::Box(shape))
        };
        let tube_of = |tube: &Tube| {
            let axis: Vec<Vector> = tube
                .path
                .iter()
                .map(|p| Vector::new(p[0], p[1], p[2]))
                .collect();
            let pieces = axis.windows(2).filter_map(|pair| match pair {
                &[a, b] => Some(Segment::new(a, b)),
                _ => None,
            });
            Form::Tube(pieces.collect(), 0.5 * tube.diameter)
        };
        let solids = things.iter().enumerate().filter_map(|(index, thing)| {
            let form = if index < boxes {
                box_of(thing)?
            } else {
                tube_of(boat.tubes.get(index - boxes)?)
            };
            let mut bounds = bounding_box(&thing.mesh.vertices);
            bounds.loosen(LOOSE);
            Some(Solid {
                thing: index,
                bounds,
                form,
            })
        });
        Solids {
            solids: solids.collect(),
        }
    }

    /// The first thing that reaches into an upright square column over a point of the plan, from a height up to
    /// another, or to the sky.
    ///
    /// # Units
    /// `side` of the square and heights, m.
    pub fn in_column(
        &self,
        middle: Point2<f64>,
        side: f64,
        [bottom, top]: [f64; 2],
        except: Option<usize>,
    ) -> Option<usize> {
        let (low, high) = (bottom + TOUCH, top.min(SKY));
        if high - low < TOUCH {
            return None;
        }
        let half = 0.5 * (high - low);
        let pose = Pose::translation(middle.x, middle.y, low + half);
        let column = Cuboid::new(Vector::new(0.5 * side - TOUCH, 0.5 * side - TOUCH, half));
        let bounds = column.compute_aabb(&pose);
        self.near(&bounds)
            .filter(|solid| Some(solid.thing) != except)
            .find(|solid| solid.reaches(&pose, &column))
            .map(|solid| solid.thing)
    }

    /// The first thing that a straight piece of strap runs through, and where; it may press into a thing by a depth, or
    /// by half a tube's radius where that is less, as a strap does that lies on it.
    ///
    /// # Units
    /// Meters.
    pub fn on_line(
        &self,
        from: &Point3<f64>,
        to: &Point3<f64>,
        pressed: f64,
    ) -> Option<(usize, Point3<f64>)> {
        let mut bounds = bounding_box(&[*from, *to]);
        bounds.loosen(TOUCH);
        self.near(&bounds)
            .find_map(|solid| Some((solid.thing, solid.pierced(from, to, pressed)?)))
    }

    fn near<'a>(&'a self, bounds: &'a Aabb) -> impl Iterator<Item = &'a Solid> {
        self.solids
            .iter()
            .filter(|solid| solid.bounds.intersects(bounds))
    }
}

/// A strap is looked at in steps of this, m.
const STEP: f64 = 0.02;

impl Solid {
    /// Whether a shape reaches into it.
    fn reaches(&self, pose: &Pose, shape: &dyn Shape) -> bool {
        let here = Pose::identity();
        let apart = |other: &dyn Shape| {
            distance(pose, shape, &here, other).map_or(f64::MAX, |found| found.distance)
        };
        match &self.form {
            Form::Box(solid) => apart(&*solid.0) < 0.5 * TOUCH,
            Form::Tube(axis, radius) => axis.iter().any(|piece| apart(piece) < *radius),
        }
    }

    /// Where a line runs through it.
    fn pierced(&self, from: &Point3<f64>, to: &Point3<f64>, pressed: f64) -> Option<Point3<f64>> {
        let pieces = ((to - from).norm() / STEP).ceil().max(1.0);
        let mut stops = (0..=pieces as usize).map(|i| from + (to - from) * (i as f64 / pieces));
        match &self.form {
            Form::Box(solid) => stops.find(|p| {
                let p = to_vector(p);
                self.bounds.contains_local_point(p) && {
                    let found = solid.project_local_point(p, false);
                    found.is_inside && (found.point - p).length() > pressed
                }
            }),
            Form::Tube(axis, radius) => {
                let line = Segment::new(to_vector(from), to_vector(to));
                let most = radius - pressed.min(0.5 * radius);
                let here = Pose::identity();
                let piece = axis.iter().find(|piece| {
                    distance(&here, &line, &here, *piece).is_ok_and(|found| found.distance < most)
                })?;
                stops.min_by(|a, b| {
                    let away = |p: &Point3<f64>| piece.distance_to_local_point(to_vector(p), true);
                    away(a).total_cmp(&away(b))
                })
            }
        }
    }
}
