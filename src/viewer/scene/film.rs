//! The film: colored by its slope or as it looks, and its edge.

use super::builder::{Builder, Strokes};
use super::paint::Paint;
use super::{Part, fittings, patches, pleats, shape};
use crate::export::slope_colors;
use crate::geom::mesh::Mesh as Solid;
use crate::plan::Plan;
use crate::viewer::convert;
use crate::viewer::display::{Display, FilmMode};
use bevy::color::Color;
use bevy::math::Vec3;
use nalgebra::{Point3, Vector3};

/// Where the light comes from that is worked into the film's own colors: ahead, above, to starboard.
const LIGHT: Vec3 = Vec3::new(0.35, 0.8, 0.5);

/// Darkest and lightest that the light makes a color of the film: little enough to leave it as in the legend.
const SHADE: [f32; 2] = [0.78, 1.0];

/// Lines on the film lie this much over it, m.
pub(super) const LIFT: f64 = 0.006;

/// Color of the film's edge.
const EDGE: Color = Color::srgb(0.20, 0.22, 0.26);

/// The film and all on it; `full` ponds with the water that they can hold, colored film by its slope unless it has a
/// `tint` of its own.
pub fn draw(
    builder: &mut Builder,
    plan: &Plan,
    display: &Display,
    full: bool,
    tint: Option<&[[f32; 4]]>,
) {
    if display.has_film() {
        sheet(builder, plan, display, tint);
        edge(builder, plan);
        patches::draw(builder, plan, full);
        pleats::draw(builder, plan, display);
    }
    fittings::draw(builder, plan, display);
}

fn sheet(builder: &mut Builder, plan: &Plan, display: &Display, tint: Option<&[[f32; 4]]>) {
    let clear = display.film == FilmMode::Clear;
    let mesh = &plan.cover.mesh;
    if display.slope {
        let paint = if clear {
            Paint::SlopeClear
        } else {
            Paint::Slope
        };
        let colors = tint.map_or_else(|| slope_colors(plan), <[_]>::to_vec);
        let colors = shaded(mesh, colors);
        builder.mesh(Part::Film, shape::sheet(mesh, Some(colors)), paint);
    } else {
        let paint = if clear { Paint::FilmClear } else { Paint::Film };
        builder.mesh(Part::Film, shape::sheet(mesh, None), paint);
    }
    let paint = if clear { Paint::FilmClear } else { Paint::Film };
    builder.mesh(
        Part::Skirt,
        shape::sheet(&plan.cover.skirt(&SKIRT_ROWS), None),
        paint,
    );
}

/// How far the drawn skirt stands off its strip in the middle, m: the hull's side, which it follows, is round and
/// drawn with flat faces of its own.
pub(super) const SKIRT_OUT: f64 = 0.02;

/// Rows of the drawn skirt: part of the way down, stand-off, m.
const SKIRT_ROWS: [(f64, f64); 4] = [
    (0.0, 0.1 * SKIRT_OUT),
    (0.3, SKIRT_OUT),
    (0.7, SKIRT_OUT),
    (1.0, 0.5 * SKIRT_OUT),
];

/// Works a soft light into colors.
fn shaded(mesh: &Solid, mut colors: Vec<[f32; 4]>) -> Vec<[f32; 4]> {
    let light = LIGHT.normalize();
    for (color, normal) in colors.iter_mut().zip(shape::vertex_normals(mesh)) {
        let towards = convert::vector(&normal).dot(light).max(0.0);
        let shade = SHADE[0] + (SHADE[1] - SHADE[0]) * towards;
        for part in color.iter_mut().take(3) {
            *part *= shade;
        }
    }
    colors
}

/// A point of the film a little over it, so that what is drawn there is seen.
pub(super) fn lifted(p: &Point3<f64>) -> Point3<f64> {
    p + Vector3::z() * LIFT
}

fn edge(builder: &mut Builder, plan: &Plan) {
    let mut strokes = Strokes::default();
    let points = plan.cover.edge.iter().chain(plan.cover.edge.first());
    strokes.line(
        points
            .filter_map(|node| plan.cover.mesh.vertices.get(*node as usize))
            .map(lifted),
        EDGE,
    );
    builder.lines(Part::Film, &strokes, 1.2);
}
