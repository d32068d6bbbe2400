//! Numerics without a word of boats: sparse symmetric matrices the minimiser under bounds, the taut string.

pub mod bounded;
pub mod sparse;
pub mod taut_string;
