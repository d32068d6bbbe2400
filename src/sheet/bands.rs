//! A surface cut up by slope: the outlines of all that lies in one class of slopes.

use crate::geom::mesh::Mesh;
use std::collections::BTreeMap;

/// Step between classes above the least slope, rad: 5 deg.
const STEP: f64 = 5.0 * std::f64::consts::PI / 180.0;

/// Classes under the least slope.
const TOO_FLAT: usize = 3;

/// From here on all is one class, rad: 60 deg, where the color no longer changes.
const STEEP: f64 = std::f64::consts::FRAC_PI_3;

/// A class of slopes: from, to, rad.
pub(super) type Class = [f64; 2];

/// The classes of slopes for a least slope: some under it, then steps of 5 deg, then all that is steep.
pub(super) fn classes(least: f64) -> Vec<Class> {
    let mut edges: Vec<f64> = (0..TOO_FLAT)
        .map(|k| least * k as f64 / TOO_FLAT as f64)
        .collect();
    let steps = ((STEEP - least) / STEP).round().max(1.0) as usize;
    let top = STEEP.max(least + STEP);
    edges.extend((0..=steps).map(|k| least + (top - least) * k as f64 / steps as f64));
    edges.push(std::f64::consts::FRAC_PI_2.max(top));
    edges.windows(2).map(|pair| [pair[0], pair[1]]).collect()
}

/// The triangles of each class.
pub(super) fn sorted(slopes: &[f64], classes: &[Class]) -> Vec<Vec<u32>> {
    let mut found = vec![Vec::new(); classes.len()];
    for (t, slope) in (0u32..).zip(slopes) {
        let class = classes
            .iter()
            .position(|[_, to]| slope < to)
            .unwrap_or(classes.len() - 1);
        if let Some(list) = found.get_mut(class) {
            list.push(t);
        }
    }
    found
}

/// The closed outlines of some triangles of a mesh, as vertices: outer ones in the sense of the triangles,
/// holes against it.
pub(super) fn outlines(mesh: &Mesh, triangles: &[u32]) -> Vec<Vec<u32>> {
    outlines_of(
        triangles
            .iter()
            .filter_map(|t| Some(mesh.triangles.get(*t as usize)?.as_slice())),
    )
}

/// The closed outlines of some faces, each by its vertices in order round it: outer ones in the sense of the
/// faces, holes against it.
pub(super) fn outlines_of<'a>(faces: impl Iterator<Item = &'a [u32]>) -> Vec<Vec<u32>> {
    let mut edges: BTreeMap<(u32, u32), ()> = BTreeMap::new();
    for face in faces {
        for (&from, &to) in face.iter().zip(face.iter().cycle().skip(1)) {
            if edges.remove(&(to, from)).is_none() {
                edges.insert((from, to), ());
            }
        }
    }
    let mut next: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    for &(from, to) in edges.keys() {
        next.entry(from).or_default().push(to);
    }
    let mut loops = Vec::new();
    while let Some((&start, _)) = next.iter().next() {
        let mut outline = vec![start];
        let mut at = start;
        while let Some(ways) = next.get_mut(&at) {
            let way = ways.pop();
            if ways.is_empty() {
                next.remove(&at);
            }
            match way {
                Some(to) if to != start => {
                    outline.push(to);
                    at = to;
                }
                _ => break,
            }
        }
        if outline.len() > 2 {
            loops.push(outline);
        }
    }
    loops
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Point3;

    #[test]
    fn a_strip_with_a_hole_has_two_outlines() {
        // Four by four points, nine cells of two triangles; the middle cell is left out.
        let vertices = (0..16)
            .map(|i| Point3::new(f64::from(i % 4), f64::from(i / 4), 0.0))
            .collect();
        let mut triangles = Vec::new();
        for cell in 0..9u32 {
            let a = cell % 3 + 4 * (cell / 3);
            triangles.push([a, a + 1, a + 5]);
            triangles.push([a, a + 5, a + 4]);
        }
        let mesh = Mesh {
            vertices,
            triangles,
        };
        let all: Vec<u32> = (0..18).collect();
        assert_eq!(outlines(&mesh, &all).len(), 1);
        assert_eq!(outlines(&mesh, &all)[0].len(), 12);
        let ring: Vec<u32> = (0..18).filter(|t| t / 2 != 4).collect();
        let mut lengths: Vec<usize> = outlines(&mesh, &ring).iter().map(Vec::len).collect();
        lengths.sort_unstable();
        assert_eq!(lengths, [4, 12]);
    }

    #[test]
    fn classes_meet_at_the_least_slope() {
        for least in [5f64, 15.0, 26.565, 59.0, 70.0] {
            let least = least.to_radians();
            let classes = classes(least);
            assert!(classes.iter().any(|[from, _]| *from == least), "{least}");
            assert!(classes.windows(2).all(|pair| pair[0][1] == pair[1][0]));
            assert!(classes.iter().all(|[from, to]| from < to), "{classes:?}");
            let sorted = sorted(&[0.0, least, 1.57, 9.0], &classes);
            assert_eq!(sorted.iter().map(Vec::len).sum::<usize>(), 4);
        }
    }
}
