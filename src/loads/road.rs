//! How wide and high a load may usually be on the road.

use crate::units::{METERS_PER_FOOT, METERS_PER_INCH};

/// Usual limits of one part of the world.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoadLimit {
    /// Where it holds.
    pub name: &'static str,
    /// Greatest width, m.
    pub width: f64,
    /// Where the width is from.
    pub width_source: &'static str,
    /// Greatest height over the road, m.
    pub height: f64,
    /// Where the height is from.
    pub height_source: &'static str,
}

/// The United States.
pub const UNITED_STATES: RoadLimit = RoadLimit {
    name: "United States",
    width: 102.0 * METERS_PER_INCH,
    width_source: "23 CFR 658.15",
    height: 13.5 * METERS_PER_FOOT,
    height_source: "most states, memory",
};

/// The European Union.
pub const EUROPEAN_UNION: RoadLimit = RoadLimit {
    name: "European Union",
    width: 2.55,
    width_source: "Directive 96/53/EC, Annex I",
    height: 4.0,
    height_source: "Directive 96/53/EC, Annex I",
};

/// All that are known here. A state or a route may have its own; a permit may allow more.
pub const ROAD_LIMITS: [RoadLimit; 2] = [UNITED_STATES, EUROPEAN_UNION];

impl RoadLimit {
    /// By how much a load is wider and higher than allowed, zero where it is not.
    ///
    /// # Units
    /// m.
    #[must_use]
    pub fn excess(&self, width: f64, height: f64) -> (f64, f64) {
        (
            (width - self.width).max(0.0),
            (height - self.height).max(0.0),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(limit: &RoadLimit, width: f64, height: f64) {
        assert!((limit.width - width).abs() < 1e-12, "{}", limit.name);
        assert!((limit.height - height).abs() < 1e-12, "{}", limit.name);
        assert_eq!(limit.excess(width - 0.01, height - 0.01), (0.0, 0.0));
        let (wide, high) = limit.excess(width + 0.1, height + 0.2);
        assert!((wide - 0.1).abs() < 1e-9 && (high - 0.2).abs() < 1e-9);
    }

    #[test]
    fn limits_are_those_of_their_sources() {
        // 102 in: 23 CFR 658.15, seen; 13 ft 6 in: memory. In meters by 25.4 mm to the inch.
        check(&UNITED_STATES, 2.5908, 4.1148);
        // 96/53/EC, seen.
        check(&EUROPEAN_UNION, 2.55, 4.0);
    }
}
