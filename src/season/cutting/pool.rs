//! Patterns that are known.

use super::instance::{Instance, Pattern};
use std::collections::BTreeSet;

/// Patterns that are known, each once.
#[derive(Debug, Clone)]
pub(super) struct Pool {
    patterns: Vec<Pattern>,
    known: BTreeSet<Pattern>,
    /// How many were ever found.
    pub found: usize,
}

impl Pool {
    /// Some patterns, and each kind of piece alone.
    pub fn new(instance: &Instance, start: &[Pattern]) -> Pool {
        let mut pool = Pool {
            patterns: Vec::new(),
            known: BTreeSet::new(),
            found: 0,
        };
        for pattern in start {
            pool.add(pattern.clone());
        }
        for (index, kind) in instance.kinds.iter().enumerate() {
            let alone = instance
                .stock
                .iter()
                .enumerate()
                .filter(|(_, stock)| stock.width >= kind.width && stock.length >= kind.length)
                .map(|(place, stock)| {
                    (
                        place,
                        stock,
                        (stock.length / kind.length.max(1)).min(kind.count),
                    )
                })
                // What never ends comes first: the program must always have a way out.
                .min_by_key(|(_, stock, count)| {
                    (
                        stock.at_most.is_some(),
                        stock.price / u64::from((*count).max(1)),
                    )
                });
            if let Some((stock, _, count)) = alone {
                pool.add(Pattern {
                    stock,
                    pieces: vec![(index, count)],
                });
            }
        }
        pool
    }

    /// Adds a pattern.
    pub fn add(&mut self, pattern: Pattern) {
        if !pattern.pieces.is_empty() && self.known.insert(pattern.clone()) {
            self.patterns.push(pattern);
            self.found += 1;
        }
    }

    /// Forgets all but some patterns.
    pub fn keep(&mut self, kept: &[Pattern]) {
        self.patterns.clear();
        self.known.clear();
        let found = self.found;
        for pattern in kept {
            self.add(pattern.clone());
        }
        self.found = found;
    }

    /// The patterns cut down to what is wanted, each once.
    pub fn for_demand(&self, demand: &[u32], limits: &[Option<u32>]) -> Vec<Pattern> {
        let mut seen = BTreeSet::new();
        let mut found = Vec::new();
        for pattern in &self.patterns {
            if limits.get(pattern.stock).copied().flatten() == Some(0) {
                continue;
            }
            let wanted = |kind: &usize| demand.get(*kind).copied().unwrap_or(0);
            let pieces = pattern
                .pieces
                .iter()
                .map(|(kind, count)| (*kind, wanted(kind).min(*count)));
            let pattern = Pattern {
                stock: pattern.stock,
                pieces: pieces.filter(|(_, count)| *count > 0).collect(),
            };
            if !pattern.pieces.is_empty() && seen.insert(pattern.clone()) {
                found.push(pattern);
            }
        }
        found
    }
}
