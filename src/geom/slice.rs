//! A mesh cut by an upright plane athwart.

use crate::geom::mesh::Mesh;
use std::collections::BTreeMap;

/// Where a mesh is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Corners (y, z) of the line of the cut, m.
    pub points: Vec<[f64; 2]>,
    /// Whether it goes back to its start.
    pub closed: bool,
}

/// The cut of a mesh at a constant x: closed loops through a closed mesh, open lines through a surface. A vertex
/// in the plane counts as behind it, so that every cut edge is cut once.
///
/// # Units
/// Metres.
pub fn slice(mesh: &Mesh, x: f64) -> Vec<Cut> {
    type Edge = (u32, u32);
    let mut next: BTreeMap<Edge, Edge> = BTreeMap::new();
    let mut before: BTreeMap<Edge, Edge> = BTreeMap::new();
    let behind = |v: u32| mesh.vertices.get(v as usize).is_none_or(|p| p.x <= x);
    for &[a, b, c] in &mesh.triangles {
        let (mut out, mut into) = (None, None);
        for (from, to) in [(a, b), (b, c), (c, a)] {
            let edge = (from.min(to), from.max(to));
            match (behind(from), behind(to)) {
                (true, false) => out = Some(edge),
                (false, true) => into = Some(edge),
                _ => {}
            }
        }
        if let (Some(out), Some(into)) = (out, into) {
            next.insert(out, into);
            before.insert(into, out);
        }
    }
    let point = |&(a, b): &Edge| {
        let (p, q) = (
            mesh.vertices.get(a as usize)?,
            mesh.vertices.get(b as usize)?,
        );
        let s = (x - p.x) / (q.x - p.x);
        Some([p.y + s * (q.y - p.y), p.z + s * (q.z - p.z)])
    };
    let mut cuts = Vec::new();
    while let Some(&first) = next
        .keys()
        .find(|edge| !before.contains_key(edge))
        .or(next.keys().next())
    {
        let mut edges = vec![first];
        let mut at = first;
        let mut closed = false;
        while let Some(to) = next.remove(&at) {
            before.remove(&to);
            if to == first {
                closed = true;
                break;
            }
            edges.push(to);
            at = to;
        }
        cuts.push(Cut {
            points: edges.iter().filter_map(point).collect(),
            closed,
        });
    }
    cuts
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Point3;

    #[test]
    fn cuts_of_a_box_and_of_a_surface() {
        let solid = Mesh::cuboid(Point3::new(0.0, -1.0, 0.0), Point3::new(2.0, 1.0, 3.0));
        let mut open = solid.clone();
        // Without its floor: a surface whose cut does not come back.
        open.triangles.retain(|triangle| {
            let floor = |v: &u32| open.vertices[*v as usize].z == 0.0;
            !triangle.iter().all(floor)
        });
        for (mesh, x, closed, length) in [
            (&solid, 0.7, Some(true), 10.0),
            (&solid, 0.0, Some(true), 10.0),
            (&open, 0.7, Some(false), 8.0),
            (&solid, 2.0, None, 0.0),
            (&solid, -0.1, None, 0.0),
        ] {
            let cuts = slice(mesh, x);
            assert_eq!(cuts.first().map(|cut| cut.closed), closed, "{x}");
            assert!(cuts.len() < 2, "{x}: {cuts:?}");
            let found: f64 = cuts
                .iter()
                .map(|cut| {
                    let back = cut.closed.then_some(&cut.points[0]);
                    let round: Vec<_> = cut.points.iter().chain(back).collect();
                    round
                        .windows(2)
                        .map(|p| (p[1][0] - p[0][0]).hypot(p[1][1] - p[0][1]))
                        .sum::<f64>()
                })
                .sum();
            assert!((found - length).abs() < 1e-12, "{x}: {found}");
        }
    }
}
