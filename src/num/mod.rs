//! Numerics without a word of boats: sparse symmetric matrices, minimisers with and without bounds, the taut string,
//! robust regression.

pub mod bounded;
pub mod linear;
pub mod newton;
pub mod robust;
pub mod sparse;
pub mod taut_string;
