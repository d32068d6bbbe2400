//! Where unknowns and their couplings stand in the matrix: three unknowns for each free node, three for each cap.

use super::NONE;
use super::parts::{Cable, Parts};
use crate::num::sparse::SymmetricMatrix;
use nalgebra::Matrix3;

/// Numbers what may move: three unknowns for each free node, three for each cap.
pub(super) fn number_unknowns(parts: &Parts) -> (Vec<[u32; 3]>, usize) {
    let mut leader: Vec<u32> = (0..parts.points.len() as u32).collect();
    for (nodes, _) in parts.caps {
        if let Some(first) = nodes.first() {
            for node in nodes {
                leader[*node as usize] = *first;
            }
        }
    }
    let mut unknowns_at = vec![[NONE; 3]; parts.points.len()];
    let mut unknowns = 0u32;
    let free = |node: &usize| !parts.fixed.get(*node).is_some_and(|fixed| *fixed);
    for node in (0..leader.len()).filter(free) {
        if leader[node] as usize == node {
            unknowns_at[node] = [unknowns, unknowns + 1, unknowns + 2];
            unknowns += 3;
        }
    }
    for node in (0..leader.len()).filter(free) {
        unknowns_at[node] = unknowns_at[leader[node] as usize];
    }
    (unknowns_at, unknowns as usize)
}

pub(super) fn pattern(unknowns_at: &[[u32; 3]], unknowns: usize, parts: &Parts) -> SymmetricMatrix {
    let along = |cable: &Cable| -> Vec<[u32; 2]> {
        let pairs = cable.nodes.windows(2);
        pairs.filter_map(|pair| pair.try_into().ok()).collect()
    };
    let mut couplings: Vec<[[u32; 3]; 2]> = parts
        .triangles
        .iter()
        .flat_map(|[a, b, c]| [[*a, *b], [*b, *c], [*c, *a]])
        .chain(parts.cables.iter().flat_map(along))
        .chain((0..unknowns_at.len() as u32).map(|node| [node, node]))
        .map(|pair| pair.map(|node| unknowns_at[node as usize]))
        .filter(|[a, b]| a[0] != NONE && b[0] != NONE)
        .map(|[a, b]| if a[0] <= b[0] { [a, b] } else { [b, a] })
        .collect();
    couplings.sort_unstable();
    couplings.dedup();
    let mut pairs = Vec::with_capacity(9 * couplings.len());
    for [a, b] in couplings {
        let all = a.iter().flat_map(|p| b.iter().map(move |q| [*p, *q]));
        pairs.extend(all.filter(|[p, q]| p != q));
    }
    SymmetricMatrix::with_pattern(unknowns, &pairs)
}

/// Where a block of three by three stands in the matrix, by rows. Of a node's own block the upper half is left out: it
/// is the lower one.
#[derive(Clone, Copy)]
pub(super) struct Places {
    pub(super) entries: [u32; 9],
    /// Two nodes of one cap share their unknowns: the block and its mirror image then fall on each other.
    pub(super) twice: bool,
}

/// Finds where blocks stand in a matrix.
pub(super) struct Blocks<'a> {
    pub(super) unknowns_at: &'a [[u32; 3]],
    pub(super) pattern: &'a SymmetricMatrix,
}

impl Blocks<'_> {
    pub(super) fn places(&self, a: u32, b: u32) -> Places {
        let (rows, columns) = (self.unknowns_at[a as usize], self.unknowns_at[b as usize]);
        let entries = std::array::from_fn(|k| {
            let (row, column) = (rows[k / 3], columns[k % 3]);
            if row == NONE || column == NONE || (a == b && k % 3 > k / 3) {
                return NONE;
            }
            let place = self.pattern.entry(row, column);
            place.map_or(NONE, |place| place as u32)
        });
        Places {
            entries,
            twice: a != b && rows == columns && rows[0] != NONE,
        }
    }
}

pub(super) fn add(values: &mut [f64], places: &Places, block: &Matrix3<f64>) {
    for (k, place) in places.entries.iter().enumerate() {
        if *place != NONE {
            let (row, column) = (k / 3, k % 3);
            let on_itself = places.twice && row == column;
            values[*place as usize] += block[(row, column)] * if on_itself { 2.0 } else { 1.0 };
        }
    }
}
