//! Geometry that knows no word of boats: meshes, builders, triangulation, queries.

pub mod build;
pub mod crossing;
pub mod ears;
pub mod geodesic;
pub mod mesh;
pub mod parry;
pub mod sample;
mod sanity;
pub mod slice;
pub mod surface;
pub mod triangulate;
mod weld;
