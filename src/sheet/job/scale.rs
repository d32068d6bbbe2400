//! The scales that drawings are named by.

use crate::units::UnitSystem;

/// A scale with a name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    /// Lengths on the boat over lengths on the paper.
    ratio: f64,
    /// Inches on the paper for a foot of boat; empty where none is usual.
    inches: &'static str,
}

const fn metric(ratio: f64) -> Scale {
    Scale { ratio, inches: "" }
}

const fn feet(ratio: f64, inches: &'static str) -> Scale {
    Scale { ratio, inches }
}

/// Usual scales, the largest first.
const METRIC: &[Scale] = &[
    metric(10.0),
    metric(15.0),
    metric(20.0),
    metric(25.0),
    metric(30.0),
    metric(40.0),
    metric(50.0),
    metric(60.0),
    metric(75.0),
    metric(100.0),
    metric(125.0),
    metric(150.0),
    metric(200.0),
    metric(250.0),
    metric(300.0),
    metric(400.0),
];
const FEET: &[Scale] = &[
    feet(12.0, "1\""),
    feet(16.0, "3/4\""),
    feet(24.0, "1/2\""),
    feet(32.0, "3/8\""),
    feet(48.0, "1/4\""),
    feet(64.0, "3/16\""),
    feet(96.0, "1/8\""),
    feet(128.0, "3/32\""),
    feet(192.0, "1/16\""),
    feet(384.0, "1/32\""),
];

impl Scale {
    /// Usual scales, the largest first.
    pub fn all(units: UnitSystem) -> &'static [Scale] {
        match units {
            UnitSystem::FeetInches => FEET,
            UnitSystem::Metric => METRIC,
        }
    }

    /// Millimeters on the paper for a meter of boat.
    pub fn paper(&self) -> f64 {
        1000.0 / self.ratio
    }

    /// Its name: `1:40`, or `1/4" = 1'0" (1:48)`.
    pub fn name(&self) -> String {
        if self.inches.is_empty() {
            format!("1:{}", self.ratio)
        } else {
            format!("{} = 1'0\" (1:{})", self.inches, self.ratio)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_say_what_scales_are() {
        // An inch to the foot is a twelfth.
        for (scale, name) in [
            (feet(48.0, "1/4\""), "1/4\" = 1'0\" (1:48)"),
            (metric(40.0), "1:40"),
        ] {
            assert_eq!(scale.name(), name);
        }
        for scale in FEET {
            let (top, under) = scale
                .inches
                .trim_end_matches('"')
                .split_once('/')
                .unwrap_or((scale.inches.trim_end_matches('"'), "1"));
            let number = |text: &str| text.parse::<f64>().unwrap();
            assert_eq!(12.0 * number(under) / number(top), scale.ratio);
        }
        for units in [UnitSystem::FeetInches, UnitSystem::Metric] {
            let all = Scale::all(units);
            assert!(all.windows(2).all(|pair| pair[0].ratio < pair[1].ratio));
        }
    }
}
