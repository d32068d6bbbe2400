//! Checks of the lay from outside: fewest pleats against all sets of pleats, the even lay against the limits, shapes
//! whose pleats follow from unfolding them.

mod chains;
mod fewest;
mod lay;
mod rows;
mod shapes;
