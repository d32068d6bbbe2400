//! Demand against capacity, one row a check.

use super::case::Case;
use nalgebra::Point3;
use serde::Serialize;

/// What a check measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Quantity {
    /// N.
    Force,
    /// Pa, in a material.
    Stress,
    /// Pa, on a surface.
    Pressure,
    /// m.
    Length,
    /// m3.
    Volume,
}

impl Quantity {
    /// Its SI unit.
    pub fn unit(self) -> &'static str {
        match self {
            Quantity::Force => "N",
            Quantity::Stress | Quantity::Pressure => "Pa",
            Quantity::Length => "m",
            Quantity::Volume => "m3",
        }
    }
}

/// What a check is about: checks of one kind may be told together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Stress of the film.
    Film,
    /// Water that gathers.
    Pond,
    /// A post as a column.
    Post,
    /// The end of a post on its base cap.
    BaseCap,
    /// The sole under a base cap.
    Sole,
    /// A strap of the frame with its buckle.
    Strap,
    /// The perimeter band.
    Band,
    /// A belly band.
    BellyBand,
    /// A drop strap.
    DropStrap,
    /// Width or height on the road.
    Road,
}

impl Kind {
    /// All kinds, in the order of lists.
    pub const ALL: [Kind; 10] = [
        Kind::Film,
        Kind::Pond,
        Kind::Post,
        Kind::BaseCap,
        Kind::Sole,
        Kind::Strap,
        Kind::Band,
        Kind::BellyBand,
        Kind::DropStrap,
        Kind::Road,
    ];
}

/// One check.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// What it is about.
    pub kind: Kind,
    /// What is checked, in words: `post P1`.
    pub name: String,
    /// The case that asks most of it; `None` where no load is in it.
    pub case: Option<Case>,
    /// What is asked of it.
    pub demand: f64,
    /// What it can do; zero where nothing may be asked of it.
    pub capacity: f64,
    /// What both are.
    pub quantity: Quantity,
    /// Where the capacity is from.
    pub source: String,
    /// Where on the boat, m.
    pub at: Option<Point3<f64>>,
}

impl Check {
    /// Demand over capacity; infinite where something is asked that nothing may be asked of.
    pub fn ratio(&self) -> f64 {
        if self.demand <= 0.0 {
            0.0
        } else if self.capacity <= 0.0 {
            f64::INFINITY
        } else {
            self.demand / self.capacity
        }
    }

    /// Whether it holds.
    pub fn passes(&self) -> bool {
        self.ratio() <= 1.0
    }
}

/// Of all cases, for each thing that is checked, the one that asks most of it; in the order of kinds.
pub(super) fn worst_of_each(checks: Vec<Check>) -> Vec<Check> {
    let mut kept: Vec<Check> = Vec::new();
    for check in checks {
        match kept
            .iter_mut()
            .find(|other| other.kind == check.kind && other.name == check.name)
        {
            Some(other) if check.ratio() > other.ratio() => *other = check,
            Some(_) => {}
            None => kept.push(check),
        }
    }
    kept.sort_by_key(|check| check.kind);
    kept
}

/// The check that is nearest to failing, or fails by most.
pub fn governing(checks: &[Check]) -> Option<&Check> {
    let mut worst: Option<&Check> = None;
    for check in checks {
        if worst.is_none_or(|worst| check.ratio() > worst.ratio()) {
            worst = Some(check);
        }
    }
    worst
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(name: &str, case: Case, demand: f64, capacity: f64) -> Check {
        Check {
            kind: Kind::Post,
            name: name.to_owned(),
            case: Some(case),
            demand,
            capacity,
            quantity: Quantity::Force,
            source: String::new(),
            at: None,
        }
    }

    #[test]
    fn ratios_by_hand() {
        for (demand, capacity, ratio, passes) in [
            (50.0, 100.0, 0.5, true),
            (100.0, 100.0, 1.0, true),
            (101.0, 100.0, 1.01, false),
            (0.0, 0.0, 0.0, true),
            (1.0, 0.0, f64::INFINITY, false),
        ] {
            let check = check("P1", Case::Road, demand, capacity);
            assert_eq!(check.ratio(), ratio);
            assert_eq!(check.passes(), passes);
        }
    }

    #[test]
    fn the_worst_case_of_each_is_kept() {
        let kept = worst_of_each(vec![
            check("P1", Case::BalancedSnow, 50.0, 100.0),
            check("P2", Case::BalancedSnow, 70.0, 100.0),
            check("P1", Case::SnowToPort, 60.0, 100.0),
            check("P2", Case::SnowToPort, 10.0, 100.0),
        ]);
        let told: Vec<_> = kept.iter().map(|c| (c.name.as_str(), c.case)).collect();
        assert_eq!(
            told,
            [
                ("P1", Some(Case::SnowToPort)),
                ("P2", Some(Case::BalancedSnow))
            ]
        );
        assert_eq!(governing(&kept).map(|c| c.name.as_str()), Some("P2"));
    }
}
