//! The boat, its frame and its cover as meshes: one binary glTF, or STL files.

use super::{Paint, Part, glb, slope_color, stl};
use crate::cover::PLAIN;
use crate::frame::{Strap, StrapKind};
use crate::geom::mesh::Mesh;
use crate::geom::surface::area;
use crate::plan::Plan;
use nalgebra::{Point3, Vector3};

/// Radius of a drawn post, m: half of a square post of 3 1/2 in.
const POST_RADIUS: f64 = 0.044;
/// Sides of a drawn post or cap.
const POST_SIDES: usize = 12;
/// Radii of drawn straps, m: thicker than a strap is, so that it is seen.
const RIDGE_RADIUS: f64 = 0.012;
/// See [`RIDGE_RADIUS`].
const SIDE_RADIUS: f64 = 0.008;
/// Sides of a drawn strap.
const STRAP_SIDES: usize = 6;
/// Thickness of a drawn cap where the rules give it none, m.
const MIN_CAP: f64 = 0.005;

/// Colors as linear red, green, blue, alpha.
const HULL: [f32; 4] = [0.72, 0.74, 0.76, 1.0];
/// See [`HULL`].
const THINGS: [f32; 4] = [0.45, 0.47, 0.5, 1.0];
/// See [`HULL`].
const POSTS: [f32; 4] = [0.55, 0.36, 0.17, 1.0];
/// See [`HULL`].
const STRAPS: [f32; 4] = [0.02, 0.02, 0.02, 1.0];
/// See [`HULL`]; see-through, so that the hull's side shows.
const SKIRT: [f32; 4] = [0.9, 0.92, 0.95, 0.5];

/// The hull with all that stands on it as binary STL.
///
/// # Units
/// Meters.
pub fn hull_stl(plan: &Plan) -> Vec<u8> {
    let mut mesh = joined(&plan.hull.bodies);
    mesh.append(&things(plan));
    stl(&mesh)
}

/// Posts, caps and straps as binary STL.
///
/// # Units
/// Meters.
pub fn frame_stl(plan: &Plan) -> Vec<u8> {
    stl(&frame_mesh(plan))
}

/// The film over the edge line as binary STL: the triangles that the verdict was read from.
///
/// # Units
/// Meters.
pub fn cover_stl(plan: &Plan) -> Vec<u8> {
    stl(&plan.cover.mesh)
}

/// Hull, things on it, posts, straps, cover and skirt as one binary glTF. The cover's vertices carry
/// the color of the slope about them.
///
/// # Units
/// Meters.
pub fn boat_glb(plan: &Plan) -> Vec<u8> {
    let hull = joined(&plan.hull.bodies);
    let things = things(plan);
    let posts = posts(plan);
    let straps = straps(plan);
    let skirt = plan.cover.skirt(&PLAIN);
    let colors = slope_colors(plan);
    let solid = |name, mesh, color| Part {
        name,
        mesh,
        color: Paint::Solid(color),
    };
    glb(&[
        solid("hull", &hull, HULL),
        solid("things on the boat", &things, THINGS),
        solid("posts", &posts, POSTS),
        solid("straps", &straps, STRAPS),
        Part {
            name: "cover",
            mesh: &plan.cover.mesh,
            color: Paint::PerVertex(&colors),
        },
        solid("skirt", &skirt, SKIRT),
    ])
}

/// Posts, caps and straps as one mesh: closed bodies that may reach into each other.
///
/// # Units
/// Meters.
pub fn frame_mesh(plan: &Plan) -> Mesh {
    let mut mesh = posts(plan);
    mesh.append(&straps(plan));
    mesh
}

fn joined(meshes: &[Mesh]) -> Mesh {
    let mut all = Mesh::default();
    for mesh in meshes {
        all.append(mesh);
    }
    all
}

fn things(plan: &Plan) -> Mesh {
    let mut all = Mesh::default();
    for thing in &plan.hull.things {
        all.append(&thing.mesh);
    }
    all
}

fn posts(plan: &Plan) -> Mesh {
    let mut all = Mesh::default();
    let mut add = |from: Point3<f64>, rise: f64, radius: f64| {
        if rise > 0.0
            && let Ok(tube) =
                Mesh::swept_tube(&[from, from + Vector3::z() * rise], radius, POST_SIDES)
        {
            all.append(&tube);
        }
    };
    for post in &plan.frame.posts {
        let foot = Point3::new(post.station, post.offset, post.base);
        let cap = plan.rules.top_cap.max(MIN_CAP);
        add(foot, post.cap - post.base - cap, POST_RADIUS);
        add(
            post.top() - Vector3::z() * cap,
            cap,
            0.5 * plan.rules.cap_diameter,
        );
    }
    all
}

fn straps(plan: &Plan) -> Mesh {
    let mut all = Mesh::default();
    for (strap, shape) in plan.frame.straps.iter().zip(&plan.cover.straps) {
        let points: Vec<Point3<f64>> = shape
            .nodes
            .iter()
            .filter_map(|node| plan.cover.mesh.vertices.get(*node as usize).copied())
            .collect();
        all.append(&strap_tube(strap, &points));
    }
    all
}

/// One tube along the strap, or a short one for each piece where it bends too sharply for that.
fn strap_tube(strap: &Strap, points: &[Point3<f64>]) -> Mesh {
    let radius = match strap.kind {
        StrapKind::Ridge => RIDGE_RADIUS,
        StrapKind::Side | StrapKind::Hip => SIDE_RADIUS,
    };
    if let Ok(tube) = Mesh::swept_tube(points, radius, STRAP_SIDES) {
        return tube;
    }
    let mut all = Mesh::default();
    for pair in points.windows(2) {
        if let Ok(tube) = Mesh::swept_tube(pair, radius, STRAP_SIDES) {
            all.append(&tube);
        }
    }
    all
}

/// For each vertex of the cover the color of the mean slope about it, weighted by area: linear red, green, blue, alpha.
pub fn slope_colors(plan: &Plan) -> Vec<[f32; 4]> {
    let mesh = &plan.cover.mesh;
    let mut sums = vec![(0.0, 0.0); mesh.vertices.len()];
    for (t, (corners, slope)) in mesh.triangles.iter().zip(&plan.cover.slopes).enumerate() {
        let weight = area(mesh, t);
        for corner in corners {
            if let Some((weights, slopes)) = sums.get_mut(*corner as usize) {
                *weights += weight;
                *slopes += weight * slope;
            }
        }
    }
    sums.into_iter()
        .map(|(weight, slope)| {
            let mean = if weight > 0.0 { slope / weight } else { 0.0 };
            slope_color(mean, plan.rules.min_slope)
        })
        .collect()
}
