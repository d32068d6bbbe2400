//! What is compared between a plan and its rival.

use super::storm::{Storm, StormRules};
use crate::frame::StrapKind;
use crate::plan::Plan;
use crate::units::{NEWTONS_PER_POUND, UnitSystem};

/// A number read off a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// Area of all film flatter than the least slope, m2.
    HoldingArea,
    /// Snow that lies on the cover after the lesson's snowfall, kg.
    SnowHeld,
    /// Melt water that stands in hollows when that snow has melted, kg.
    MeltWater,
    /// Least slope of the film off the caps, rad.
    LeastSlope,
    /// Greatest sag of the ridge strap between its supports, m.
    Sag,
}

impl Measure {
    /// All of them.
    pub const ALL: [Measure; 5] = [
        Measure::HoldingArea,
        Measure::SnowHeld,
        Measure::MeltWater,
        Measure::LeastSlope,
        Measure::Sag,
    ];

    /// Its name in a lesson's text.
    pub fn name(self) -> &'static str {
        match self {
            Measure::HoldingArea => "holding_area",
            Measure::SnowHeld => "snow_held",
            Measure::MeltWater => "melt_water",
            Measure::LeastSlope => "least_slope",
            Measure::Sag => "sag",
        }
    }

    /// What it is, in words.
    pub fn words(self) -> &'static str {
        match self {
            Measure::HoldingArea => "film flatter than the least slope",
            Measure::SnowHeld => "snow held",
            Measure::MeltWater => "melt water in hollows",
            Measure::LeastSlope => "least slope",
            Measure::Sag => "sag of the ridge strap",
        }
    }

    /// A value of it in the reader's units. Pounds of snow are given in kilograms too.
    ///
    /// # Units
    /// `value` in square meters, kilograms, radians or meters, as the measure is.
    pub fn format(self, value: f64, units: UnitSystem) -> String {
        match self {
            Measure::HoldingArea => units.format_area(value),
            Measure::SnowHeld | Measure::MeltWater => match units {
                UnitSystem::FeetInches => {
                    format!(
                        "{} lb ({} kg)",
                        plain(value / KILOGRAMS_PER_POUND),
                        plain(value)
                    )
                }
                UnitSystem::Metric => format!("{} kg", plain(value)),
            },
            Measure::LeastSlope => units.format_angle(value),
            Measure::Sag => units.format_length(value),
        }
    }
}

/// Standard gravity, m/s2 (exact by definition).
const GRAVITY: f64 = 9.80665;
const KILOGRAMS_PER_POUND: f64 = NEWTONS_PER_POUND / GRAVITY;

/// From here on a weight is given in whole pounds or kilograms.
const WHOLE: f64 = 10.0;

fn plain(value: f64) -> String {
    if value < WHOLE {
        format!("{value:.1}")
    } else {
        format!("{value:.0}")
    }
}

/// All measures of one plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured([f64; Measure::ALL.len()]);

impl Measured {
    /// Reads them off a plan under a snowfall.
    ///
    /// # Units
    /// `snow` is the depth of fresh snow that falls on level ground, m.
    pub fn of(plan: &Plan, snow: f64) -> Measured {
        let rules = StormRules::of(&plan.rules);
        let mut storm = Storm::new(&plan.cover, rules);
        storm.step(rules.hours(snow));
        let held = storm.totals().held;
        storm.thaw(1.0);
        let sag = plan
            .frame
            .straps
            .iter()
            .zip(&plan.cover.straps)
            .filter(|(strap, _)| strap.kind == StrapKind::Ridge)
            .map(|(_, shape)| shape.sag)
            .fold(0.0, f64::max);
        Measured(Measure::ALL.map(|measure| match measure {
            Measure::HoldingArea => plan.cover.holding_area(),
            Measure::SnowHeld => held,
            Measure::MeltWater => storm.totals().in_hollows,
            Measure::LeastSlope => plan.cover.least_slope,
            Measure::Sag => sag,
        }))
    }

    /// One of them, in its SI unit.
    pub fn get(&self, measure: Measure) -> f64 {
        Measure::ALL
            .iter()
            .zip(&self.0)
            .find(|(other, _)| **other == measure)
            .map_or(0.0, |(_, value)| *value)
    }
}

/// How many times a number another one is; without end over nothing, and one for nothing over nothing.
pub(super) fn times(number: f64, of: f64) -> f64 {
    if of > 0.0 {
        number / of
    } else if number > 0.0 {
        f64::INFINITY
    } else {
        1.0
    }
}
