//! Numerics without a word of boats: sparse symmetric matrices and the minimiser under bounds.

pub mod bounded;
pub mod sparse;
