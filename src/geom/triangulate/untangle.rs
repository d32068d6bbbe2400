//! Makes lines share a node wherever they meet, so that no two kept edges cross.

use super::{Builder, SAME};
use nalgebra::{Point2, Vector2};

/// A node of a line that need not be exact, this part of the size from an exact one, moves onto it.
const ABSORB: f64 = 0.25;

/// A line that need not be exact bends through a node this part of the size from a crossing.
const BEND: f64 = 0.3;

/// Rounds in which crossings are looked for: a node put in at a crossing can bend a line over another.
const ROUNDS: usize = 4;

/// A piece of a line.
#[derive(Clone, Copy)]
struct Piece {
    chain: usize,
    place: usize,
    ends: [u32; 2],
}

pub(super) fn untangle(builder: &mut Builder, chains: &mut [Vec<u32>], exact: &[bool]) {
    absorb(builder, chains, exact);
    bend_through(builder, chains, exact);
    for _ in 0..ROUNDS {
        if !split_crossings(builder, chains, exact) {
            break;
        }
    }
}

fn pieces(chains: &[Vec<u32>], wanted: impl Fn(usize) -> bool) -> Vec<Piece> {
    let mut found = Vec::new();
    for (chain, nodes) in chains.iter().enumerate() {
        if !wanted(chain) {
            continue;
        }
        for (place, pair) in nodes.windows(2).enumerate() {
            if let &[a, b] = pair {
                found.push(Piece {
                    chain,
                    place,
                    ends: [a, b],
                });
            }
        }
    }
    found
}

/// Puts nodes that lie on or near an exact line into it.
fn absorb(builder: &mut Builder, chains: &mut [Vec<u32>], exact: &[bool]) {
    let is_exact = |chain: usize| exact.get(chain).copied().unwrap_or(false);
    let mut on_exact = vec![false; builder.points.len()];
    for (chain, nodes) in chains.iter().enumerate() {
        if is_exact(chain) {
            for node in nodes {
                on_exact[*node as usize] = true;
            }
        }
    }
    let mut loose = vec![false; builder.points.len()];
    for (chain, nodes) in chains.iter().enumerate() {
        if !is_exact(chain) {
            for node in nodes {
                loose[*node as usize] = !on_exact[*node as usize];
            }
        }
    }
    let mut insertions: Vec<(usize, usize, f64, u32)> = Vec::new();
    for piece in pieces(chains, is_exact) {
        let [a, b] = piece.ends.map(|node| builder.points[node as usize]);
        let along = b - a;
        let length = along.norm();
        let margin = Vector2::repeat(ABSORB * builder.size);
        let mut here: Vec<(f64, u32, f64)> = Vec::new();
        for node in builder
            .buckets
            .within(a.inf(&b) - margin, a.sup(&b) + margin)
        {
            // Exact nodes of other lines count only when they truly lie on this one.
            let reach = match (loose[node as usize], on_exact[node as usize]) {
                (true, _) => ABSORB * builder.size,
                (_, true) => SAME * builder.size,
                _ => continue,
            };
            if piece.ends.contains(&node) {
                continue;
            }
            let p = builder.points[node as usize];
            let s = (p - a).dot(&along) / (length * length);
            let aside = (along.perp(&(p - a)) / length).abs();
            if s > 0.0 && s < 1.0 && aside <= reach {
                here.push((s, node, aside));
            }
        }
        for (s, node, aside) in here {
            if aside > 0.0 && !on_exact[node as usize] {
                builder.points[node as usize] = a + along * s;
            }
            insertions.push((piece.chain, piece.place, s, node));
        }
    }
    insert(chains, insertions);
}

/// Leads lines that need not be exact through the nodes that lie on or near them.
fn bend_through(builder: &Builder, chains: &mut [Vec<u32>], exact: &[bool]) {
    let is_exact = |chain: usize| exact.get(chain).copied().unwrap_or(false);
    let reach = ABSORB * builder.size;
    let mut insertions: Vec<(usize, usize, f64, u32)> = Vec::new();
    for piece in pieces(chains, |chain| !is_exact(chain)) {
        let [a, b] = piece.ends.map(|node| builder.points[node as usize]);
        let along = b - a;
        let length = along.norm();
        let margin = Vector2::repeat(reach);
        for node in builder
            .buckets
            .within(a.inf(&b) - margin, a.sup(&b) + margin)
        {
            if piece.ends.contains(&node) {
                continue;
            }
            let p = builder.points[node as usize];
            let s = (p - a).dot(&along) / (length * length);
            let aside = (along.perp(&(p - a)) / length).abs();
            if s > 0.0 && s < 1.0 && aside <= reach {
                insertions.push((piece.chain, piece.place, s, node));
            }
        }
    }
    insert(chains, insertions);
}

/// Puts a node in where two pieces properly cross; `true` if there was one.
fn split_crossings(builder: &mut Builder, chains: &mut [Vec<u32>], exact: &[bool]) -> bool {
    let is_exact = |chain: usize| exact.get(chain).copied().unwrap_or(false);
    let all = pieces(chains, |_| true);
    let mut insertions: Vec<(usize, usize, f64, u32)> = Vec::new();
    let boxes: Vec<[Point2<f64>; 2]> = all
        .iter()
        .map(|piece| {
            let [a, b] = piece.ends.map(|node| builder.points[node as usize]);
            [a.inf(&b), a.sup(&b)]
        })
        .collect();
    for (i, first) in all.iter().enumerate() {
        for (j, second) in all.iter().enumerate().skip(i + 1) {
            let ([low, high], [other_low, other_high]) = (boxes[i], boxes[j]);
            let apart = low.x > other_high.x
                || high.x < other_low.x
                || low.y > other_high.y
                || high.y < other_low.y;
            if apart || first.ends.iter().any(|end| second.ends.contains(end)) {
                continue;
            }
            let [a, b] = first.ends.map(|node| builder.points[node as usize]);
            let [c, d] = second.ends.map(|node| builder.points[node as usize]);
            let (u, v) = (b - a, d - c);
            let turn = u.perp(&v);
            if turn.abs() <= f64::EPSILON * u.norm() * v.norm() {
                continue;
            }
            let s = (c - a).perp(&v) / turn;
            let t = (c - a).perp(&u) / turn;
            if s > 0.0 && s < 1.0 && t > 0.0 && t < 1.0 {
                let node = crossing(
                    builder,
                    first,
                    second,
                    a + u * s,
                    [is_exact(first.chain), is_exact(second.chain)],
                );
                for (piece, at) in [(first, s), (second, t)] {
                    if !piece.ends.contains(&node) {
                        insertions.push((piece.chain, piece.place, at, node));
                    }
                }
            }
        }
    }
    let any = !insertions.is_empty();
    insert(chains, insertions);
    any
}

/// The node at a crossing: an end that is near, if the other line may bend through it, else a new one.
fn crossing(
    builder: &mut Builder,
    first: &Piece,
    second: &Piece,
    at: Point2<f64>,
    exact: [bool; 2],
) -> u32 {
    let near = |ends: &[u32; 2]| {
        ends.iter()
            .map(|node| ((builder.points[*node as usize] - at).norm(), *node))
            .filter(|(distance, _)| *distance < BEND * builder.size)
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, node)| node)
    };
    let [first_exact, second_exact] = exact;
    let end = if second_exact {
        None
    } else {
        near(&first.ends)
    };
    let other_end = if first_exact {
        None
    } else {
        near(&second.ends)
    };
    match end.or(other_end) {
        Some(node) => node,
        None => builder.add(at, SAME),
    }
}

/// Inserts nodes into chains: (chain, piece, part of the way along it, node).
fn insert(chains: &mut [Vec<u32>], mut insertions: Vec<(usize, usize, f64, u32)>) {
    insertions.sort_by(|a, b| {
        (a.0, a.1)
            .cmp(&(b.0, b.1))
            .then(a.2.total_cmp(&b.2))
            .then(a.3.cmp(&b.3))
    });
    for &(chain, place, _, node) in insertions.iter().rev() {
        if let Some(nodes) = chains.get_mut(chain) {
            nodes.insert(place + 1, node);
        }
    }
    for nodes in chains {
        nodes.dedup();
    }
}
