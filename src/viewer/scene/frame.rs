//! Posts with their caps, straps, the perimeter band.

use super::Part;
use super::builder::Builder;
use super::paint::Paint;
use super::shape::{bar, block};
use crate::frame::{Post, StrapKind};
use crate::geom::mesh::Mesh as Solid;
use crate::plan::Plan;
use crate::view::Show;
use crate::viewer::display::Display;
use nalgebra::{Point3, Vector3};

/// Width of a drawn post, m: a square post of 3 1/2 in.
const POST: f64 = 0.089;

/// Radii of drawn straps, m: thicker than a strap is, so that it is seen.
const RIDGE: f64 = 0.013;
/// See [`RIDGE`].
const SIDE: f64 = 0.009;
/// Radius of the drawn band, m.
const BAND: f64 = 0.011;

/// Sides of a drawn strap, of a cap.
const STRAP_SIDES: usize = 6;
/// See [`STRAP_SIDES`].
const CAP_SIDES: usize = 24;

/// Thickness of a drawn cap where the rules give it less, m.
const MIN_CAP: f64 = 0.012;

/// Posts, straps, band.
pub fn draw(builder: &mut Builder, plan: &Plan, display: &Display) {
    for (index, post) in plan.frame.posts.iter().enumerate() {
        let (timber, caps) = post_solids(plan, post);
        builder.solid(Part::Post(index), &timber, Paint::Post);
        builder.solid(Part::Cap(index), &caps, Paint::Cap);
    }
    for (index, strap) in plan.frame.straps.iter().enumerate() {
        let radius = match strap.kind {
            StrapKind::Ridge => RIDGE,
            StrapKind::Side | StrapKind::Hip => SIDE,
        };
        let mesh = bar(&strap_points(plan, index), radius, STRAP_SIDES);
        let paint = match display.show() {
            Show::Slope => Paint::StrapPale,
            Show::Film | Show::Frame => Paint::Strap,
        };
        builder.solid(Part::Strap(index), &mesh, paint);
    }
    band(builder, plan);
}

/// The course of a strap under the film, from its start.
pub fn strap_points(plan: &Plan, strap: usize) -> Vec<Point3<f64>> {
    plan.cover
        .straps
        .get(strap)
        .into_iter()
        .flat_map(|shape| &shape.nodes)
        .filter_map(|node| plan.cover.mesh.vertices.get(*node as usize).copied())
        .collect()
}

/// The timber of a post, and its top and base caps.
fn post_solids(plan: &Plan, post: &Post) -> (Solid, Solid) {
    let (top_cap, base_cap) = (
        plan.rules.top_cap.max(MIN_CAP),
        plan.rules.base_cap.max(MIN_CAP),
    );
    let (x, y, half) = (post.station, post.offset, 0.5 * POST);
    let timber = block(
        [x - half, y - half, post.base + base_cap],
        [
            x + half,
            y + half,
            (post.cap - top_cap).max(post.base + base_cap),
        ],
    );
    let disc = |from: f64, to: f64, radius: f64| {
        bar(
            &[Point3::new(x, y, from), Point3::new(x, y, to)],
            radius,
            CAP_SIDES,
        )
    };
    let mut caps = disc(post.cap - top_cap, post.cap, 0.5 * plan.rules.cap_diameter);
    // A collar grips the post under the cap.
    caps.append(&disc(
        post.cap - top_cap - 0.05,
        post.cap - top_cap,
        0.78 * POST,
    ));
    caps.append(&disc(post.base, post.base + base_cap, 1.1 * POST));
    (timber, caps)
}

/// The perimeter band: where the cover's edge is led down to.
fn band(builder: &mut Builder, plan: &Plan) {
    let mut course = plan.cover.band.clone();
    if let Some(first) = course.first().copied() {
        course.push(first);
    }
    // Just outside the film that is tucked behind it.
    let middle = 0.5 * (plan.hull.edge.ends()[0] + plan.hull.edge.ends()[1]);
    for p in &mut course {
        let out = Vector3::new(p.x - middle, p.y, 0.0).normalize() * BAND;
        *p += out;
    }
    builder.solid(Part::Band, &bar(&course, BAND, STRAP_SIDES), Paint::Band);
}
