//! Outlines of bodies seen from the side or from above.

use crate::geom::mesh::Mesh;
use nalgebra::Point3;

/// Steps along the boat at which an outline is taken: finer than a line on paper is wide.
const STEPS: usize = 160;

/// The lowest and the highest value of a coordinate along x: a closed outline of what the bodies cover,
/// seen along the third axis. `across` is 1 for the view from above, 2 for the view from the side.
pub(super) fn along_x(meshes: &[&Mesh], across: usize) -> Vec<[f64; 2]> {
    let stations = || {
        meshes
            .iter()
            .flat_map(|mesh| mesh.vertices.iter().map(|p| p.x))
    };
    let from = stations().fold(f64::INFINITY, f64::min);
    let to = stations().fold(f64::NEG_INFINITY, f64::max);
    if from >= to {
        return Vec::new();
    }
    let at = |step: usize| from + (to - from) * step as f64 / STEPS as f64;
    let mut ranges = [[f64::INFINITY, f64::NEG_INFINITY]; STEPS + 1];
    let mut widen = |step: usize, value: f64| {
        if let Some([low, high]) = ranges.get_mut(step) {
            *low = low.min(value);
            *high = high.max(value);
        }
    };
    for [a, b, c] in meshes.iter().flat_map(|mesh| mesh.corners()) {
        for (p, q) in [(a, b), (b, c), (c, a)] {
            let (p, q) = if p.x <= q.x { (p, q) } else { (q, p) };
            let scaled = |x: f64| (x - from) / (to - from) * STEPS as f64;
            let first = scaled(p.x).ceil().max(0.0) as usize;
            let last = scaled(q.x).floor().min(STEPS as f64) as usize;
            for step in first..=last {
                let part = if q.x > p.x {
                    ((at(step) - p.x) / (q.x - p.x)).clamp(0.0, 1.0)
                } else {
                    0.0
                };
                widen(step, p[across] + part * (q[across] - p[across]));
            }
            for p in [p, q] {
                // The very ends of the boat, which a step may miss by rounding.
                if p.x == from {
                    widen(0, p[across]);
                }
                if p.x == to {
                    widen(STEPS, p[across]);
                }
            }
        }
    }
    let covered = |range: &[f64; 2]| range[0] <= range[1];
    let low = (0..=STEPS)
        .filter(|step| covered(&ranges[*step]))
        .map(|step| [at(step), ranges[step][0]]);
    let high = (0..=STEPS)
        .rev()
        .filter(|step| covered(&ranges[*step]))
        .map(|step| [at(step), ranges[step][1]]);
    low.chain(high).collect()
}

/// The convex outline of points seen along an axis: the other two coordinates, counter-clockwise
/// (Andrew's monotone chain 1979, from memory).
pub(super) fn convex(points: &[Point3<f64>], across: usize) -> Vec<[f64; 2]> {
    let mut flat: Vec<[f64; 2]> = points.iter().map(|p| [p.x, p[across]]).collect();
    flat.sort_by(|p, q| p[0].total_cmp(&q[0]).then(p[1].total_cmp(&q[1])));
    flat.dedup();
    let turn = |o: &[f64; 2], p: &[f64; 2], q: &[f64; 2]| {
        (p[0] - o[0]) * (q[1] - o[1]) - (p[1] - o[1]) * (q[0] - o[0])
    };
    let half = |points: &mut dyn Iterator<Item = &[f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for p in points {
            while let [.., o, last] = chain.as_slice()
                && turn(o, last, p) <= 0.0
            {
                chain.pop();
            }
            chain.push(*p);
        }
        chain.pop();
        chain
    };
    let mut outline = half(&mut flat.iter());
    outline.extend(half(&mut flat.iter().rev()));
    outline
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outlines_of_a_box() {
        let mesh = Mesh::cuboid(Point3::new(1.0, -1.0, 0.5), Point3::new(3.0, 1.0, 2.5));
        for (across, low, high) in [(1, -1.0, 1.0), (2, 0.5, 2.5)] {
            let hull = convex(&mesh.vertices, across);
            assert_eq!(hull.len(), 4, "{hull:?}");
            let side = along_x(&[&mesh], across);
            assert!(side.iter().all(|[x, _]| (1.0..=3.0).contains(x)));
            assert!(side.iter().all(|[_, v]| *v == low || *v == high));
        }
        assert!(along_x(&[], 2).is_empty());
        assert!(convex(&[], 2).is_empty());
    }
}
