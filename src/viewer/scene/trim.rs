//! Boxes inside the hull as they are built: a seat that a boat file gives as a plain box follows the hull's side where
//! the box would stick out through it. For the eye only; the plan knows the box as it is given.

use crate::geom::mesh::Mesh;
use crate::geom::slice::slice;
use crate::hull::Hull;
use nalgebra::Point3;

/// Distance of the stations at which the hull's side is looked up, m.
const STATION: f64 = 0.05;

/// Largest pieces of a trimmed box, m: fine enough for the bend of the bow.
const PIECE: f64 = 0.09;

/// Most pieces along an edge, so that no box takes long.
const MAX_PIECES: usize = 40;

/// A trimmed box stays this far inside the hull, m: more than the hull's flat faces cut short.
const INSIDE: f64 = 0.02;

/// Outlines of a hull at even stations.
struct Sides {
    first: f64,
    outlines: Vec<Vec<[f64; 2]>>,
}

impl Sides {
    fn of(body: &Mesh) -> Option<Sides> {
        let (low, high) = body.bounds()?;
        let count = ((high.x - low.x) / STATION).max(1.0) as usize;
        let outlines = (0..=count)
            .map(|k| {
                let cuts = slice(body, low.x + STATION * k as f64);
                cuts.into_iter().flat_map(|cut| cut.points).collect()
            })
            .collect();
        Some(Sides {
            first: low.x,
            outlines,
        })
    }

    /// Half the breadth at a station of the row and a height; `None` over and under the hull.
    fn half_at(&self, k: usize, height: f64) -> Option<f64> {
        let outline = self.outlines.get(k)?;
        let round = outline.iter().zip(outline.iter().cycle().skip(1));
        round
            .filter(|(a, b)| (a[1] <= height) != (b[1] <= height))
            .map(|(a, b)| (a[0] + (b[0] - a[0]) * (height - a[1]) / (b[1] - a[1])).abs())
            .max_by(f64::total_cmp)
    }

    /// The point itself where it is inside, else a place just inside the hull beside or abaft it.
    fn inside(&self, p: &Point3<f64>) -> Point3<f64> {
        let place = ((p.x - self.first) / STATION).max(0.0);
        let (k, part) = (place as usize, place.fract());
        let here = match (self.half_at(k, p.z), self.half_at(k + 1, p.z)) {
            (Some(a), Some(b)) => Some(a + (b - a) * part),
            _ => None,
        };
        if let Some(half) = here.filter(|half| *half > INSIDE) {
            let most = half - INSIDE;
            return Point3::new(p.x, p.y.clamp(-most, most), p.z);
        }
        let last = self.outlines.len().saturating_sub(1);
        (0..=k.min(last))
            .rev()
            .find_map(|k| {
                let most = self.half_at(k, p.z).filter(|half| *half > INSIDE)? - INSIDE;
                let x = p.x.min(self.first + STATION * k as f64);
                Some(Point3::new(x, p.y.clamp(-most, most), p.z))
            })
            .unwrap_or(*p)
    }
}

/// A box with whatever sticks out through the hull's side drawn in; `None` where nothing does.
pub fn trimmed(hull: &Hull, solid: &Mesh) -> Option<Mesh> {
    let sides = Sides::of(hull.bodies.first()?)?;
    let mut trimmed = Mesh::default();
    let mut moved = false;
    for corners in solid.corners() {
        let longest = (0..3)
            .map(|k| (corners[(k + 1) % 3] - corners[k]).norm())
            .fold(0.0, f64::max);
        let pieces = ((longest / PIECE).ceil().max(1.0) as usize).min(MAX_PIECES);
        for piece in split(&corners, pieces) {
            let kept = piece.map(|p| {
                // Over the sheer it may well reach past the hull.
                if p.z >= hull.sheer_at(p.x) {
                    return p;
                }
                let inside = sides.inside(&p);
                moved |= (inside - p).norm() > INSIDE;
                inside
            });
            let start = u32::try_from(trimmed.vertices.len()).unwrap_or(u32::MAX - 2);
            trimmed.vertices.extend(kept);
            trimmed.triangles.push([start, start + 1, start + 2]);
        }
    }
    moved.then_some(trimmed)
}

/// A triangle in equal pieces, so many along each side.
fn split(corners: &[Point3<f64>; 3], pieces: usize) -> Vec<[Point3<f64>; 3]> {
    let [a, b, c] = corners;
    let (along, up) = ((b - a) / pieces as f64, (c - a) / pieces as f64);
    let at = |i: usize, j: usize| a + along * i as f64 + up * j as f64;
    let mut found = Vec::new();
    for j in 0..pieces {
        for i in 0..pieces - j {
            found.push([at(i, j), at(i + 1, j), at(i, j + 1)]);
            if i + j + 1 < pieces {
                found.push([at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)]);
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::shape::underside;
    use super::*;
    use crate::boat::{HullForm, presets};

    #[test]
    fn pieces_of_a_triangle_make_it_up() {
        let corners = [[0.0, 0.0, 0.0], [3.0, 0.0, 1.0], [0.0, 2.0, 0.0]].map(Point3::from);
        let whole = Mesh {
            vertices: corners.to_vec(),
            triangles: vec![[0, 1, 2]],
        };
        for pieces in [1, 2, 5] {
            let parts = split(&corners, pieces);
            assert_eq!(parts.len(), pieces * pieces);
            let area: f64 = parts
                .iter()
                .map(|[a, b, c]| 0.5 * (b - a).cross(&(c - a)).norm())
                .sum();
            assert!((area - whole.area()).abs() < 1e-12, "{pieces}: {area}");
        }
    }

    /// No box of a preset sticks out under the sheer once it is trimmed, and those well inside are left as they are.
    #[test]
    fn no_box_sticks_out_through_the_side() {
        let mut trims = 0;
        for preset in presets() {
            let boat = preset.boat().unwrap();
            let hull = Hull::build(&boat, &boat.rules).unwrap();
            if !matches!(boat.hull, HullForm::Mono(_) | HullForm::Offsets { .. }) {
                continue;
            }
            for (item, thing) in boat.boxes.iter().zip(&hull.things) {
                // Motors and platforms stand outside.
                if item.from < 0.0 {
                    continue;
                }
                let Some(mesh) = trimmed(&hull, &thing.mesh) else {
                    continue;
                };
                trims += 1;
                for p in mesh
                    .vertices
                    .iter()
                    .filter(|p| p.z < hull.sheer_at(p.x) - 0.05)
                {
                    // Over the hull's bottom, wherever it is at all over the hull.
                    let bottom = underside(&hull.bodies, p.x, p.y);
                    assert!(
                        bottom.is_some_and(|z| z < p.z + 0.05),
                        "{} {}: {p} {bottom:?}",
                        preset.name,
                        item.name
                    );
                }
            }
        }
        assert!(trims > 0, "the double console's bow seats at least");
    }
}
