//! Where the cover stands: the code, the snow and wind of the place, how the boat is kept, what the yard builds with.
//!
//! A [`Site`] is read from a site file, from options of the command line, or from both; it is validated, and in SI. One
//! code gives snow and wind alike: values of one code mean nothing in another.

mod gear;
mod options;
mod read;
mod read_gear;

pub use gear::{FilmStock, Gear, StrapStock};
pub use options::SiteOptions;
pub use read::{from_options, read, read_with};

use crate::units::UnitSystem;
use serde::Serialize;

/// A standard for snow and wind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Code {
    /// ASCE 7-16.
    Asce716,
    /// ASCE 7-22.
    Asce722,
    /// EN 1991-1-3 and EN 1991-1-4.
    En1991,
    /// The National Building Code of Canada, 4.1.6 and 4.1.7.
    Nbcc,
}

impl Code {
    /// All of them.
    pub const ALL: [Code; 4] = [Code::Asce716, Code::Asce722, Code::En1991, Code::Nbcc];

    /// How files and options spell it.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Asce716 => "asce7-16",
            Self::Asce722 => "asce7-22",
            Self::En1991 => "en1991",
            Self::Nbcc => "nbcc",
        }
    }

    /// Its name, with the edition that is meant.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Asce716 => "ASCE 7-16",
            Self::Asce722 => "ASCE 7-22",
            Self::En1991 => "EN 1991-1-3:2003 and EN 1991-1-4:2005",
            Self::Nbcc => "NBCC 2015, 4.1.6 and 4.1.7",
        }
    }

    /// Its terrains.
    #[must_use]
    pub fn terrains(self) -> &'static [Terrain] {
        match self {
            Self::Asce716 | Self::Asce722 => &[Terrain::B, Terrain::C, Terrain::D],
            Self::En1991 => &[
                Terrain::Sea,
                Terrain::I,
                Terrain::II,
                Terrain::III,
                Terrain::IV,
            ],
            Self::Nbcc => &[Terrain::Open, Terrain::Rough],
        }
    }

    /// The terrain of a site that names none: open country; house rule.
    #[must_use]
    pub fn usual_terrain(self) -> Terrain {
        match self {
            Self::Asce716 | Self::Asce722 => Terrain::C,
            Self::En1991 => Terrain::II,
            Self::Nbcc => Terrain::Open,
        }
    }

    /// The importance factor of a site that names none: that of structures which endanger few (ASCE 7-16 risk category
    /// I, quoted; NBCC low importance, memory); house rule. `None` where the code has no such factor on snow: ASCE 7-22
    /// has its reliability in the ground values, EN 1991-1-3 in partial factors.
    #[must_use]
    pub fn usual_importance(self) -> Option<f64> {
        match self {
            Self::Asce716 | Self::Nbcc => Some(0.8),
            Self::Asce722 | Self::En1991 => None,
        }
    }
}

/// How wind reaches the cover.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Exposure {
    /// Among higher things on all sides.
    Sheltered,
    /// Between the two.
    Partial,
    /// Nothing near that is higher.
    Full,
}

impl Exposure {
    /// All of them.
    pub const ALL: [Exposure; 3] = [Exposure::Sheltered, Exposure::Partial, Exposure::Full];

    /// How files and options spell it.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Sheltered => "sheltered",
            Self::Partial => "partial",
            Self::Full => "full",
        }
    }
}

/// The country that wind comes over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Terrain {
    /// ASCE 7: towns, suburbs, woods.
    B,
    /// ASCE 7: open country.
    C,
    /// ASCE 7: flat land and water without anything on it.
    D,
    /// EN 1991-1-4, terrain 0: sea and coast.
    Sea,
    /// EN 1991-1-4: lakes and bare flat land.
    I,
    /// EN 1991-1-4: grass with single trees and houses.
    II,
    /// EN 1991-1-4: villages, suburbs, woods.
    III,
    /// EN 1991-1-4: towns.
    IV,
    /// NBCC: open.
    Open,
    /// NBCC: towns, suburbs, woods.
    Rough,
}

impl Terrain {
    /// How files and options spell it.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::B => "B",
            Self::C => "C",
            Self::D => "D",
            Self::Sea => "0",
            Self::I => "I",
            Self::II => "II",
            Self::III => "III",
            Self::IV => "IV",
            Self::Open => "open",
            Self::Rough => "rough",
        }
    }
}

/// Snow on the ground, as the code maps it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GroundSnow {
    /// pg, s_k or Ss, Pa.
    pub load: f64,
    /// Sr, the rain in it, Pa: NBCC alone, else zero.
    pub rain: f64,
}

/// Wind, as the code maps it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub enum BasicWind {
    /// m/s: ultimate 3-second gust (ASCE 7), 10-minute mean v_b (EN 1991-1-4).
    Speed(f64),
    /// Pa: hourly 1-in-50 pressure q (NBCC).
    Pressure(f64),
}

/// How the boat is kept.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub enum Stored {
    /// In the open: snow and wind.
    Outdoors,
    /// Neither snow nor wind.
    UnderRoof,
    /// On the road: no snow, the wind of the drive.
    Hauled {
        /// m/s.
        speed: f64,
    },
}

/// A validated site.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Site {
    /// Gives snow and wind. Where neither is given it is [`Code::Asce716`] and nobody asks.
    pub code: Code,
    /// `None`: not checked, since it was not given or cannot fall on a boat that is kept so.
    pub snow: Option<GroundSnow>,
    /// `None`: not checked, since it was not given or cannot blow on a boat that is kept so.
    pub wind: Option<BasicWind>,
    /// Is, for the NBCC also Iw; 1 where the code has none.
    pub importance: f64,
    /// Of the cover.
    pub exposure: Exposure,
    /// One of the code's.
    pub terrain: Terrain,
    /// Outdoors, under a roof or on the road.
    pub stored: Stored,
    /// Net pressure that lifts the cover, times the pressure of the stream; 1 by default: suction on a low gable is 0.9 to
    /// 1.3 over edges and 0.3 to 0.9 elsewhere, with some pressure inside (memory).
    pub uplift: f64,
    /// What the yard builds with.
    pub gear: Gear,
    /// Fields that were not given and have the house's value, in the order of this struct.
    pub defaulted: Vec<&'static str>,
}

/// Uplift coefficient of a site that names none.
pub const USUAL_UPLIFT: f64 = 1.0;

impl Site {
    /// The site in words, one sentence an item: for the head of a table.
    #[must_use]
    pub fn describe(&self, units: UnitSystem) -> Vec<String> {
        let mut words = vec![match self.stored {
            Stored::Outdoors => "Stored outdoors.".to_owned(),
            Stored::UnderRoof => "Stored under a roof: no snow, no wind.".to_owned(),
            Stored::Hauled { speed } => format!(
                "Hauled at {}: no snow, the wind of the road.",
                units.format_speed(speed)
            ),
        }];
        if self.stored == Stored::Outdoors {
            words.push(self.describe_snow(units));
            words.push(self.describe_wind(units));
            if self.snow.is_some() || self.wind.is_some() {
                words.extend(self.describe_place());
            }
        }
        words.extend(self.gear.describe(units));
        words
    }

    fn describe_snow(&self, units: UnitSystem) -> String {
        let Some(snow) = self.snow else {
            return "No ground snow is given: snow is not checked.".to_owned();
        };
        let load = units.format_pressure(snow.load);
        let symbol = match self.code {
            Code::Asce716 | Code::Asce722 => "pg",
            Code::En1991 => "s_k",
            Code::Nbcc => "Ss",
        };
        let rain = match self.code {
            Code::Nbcc => format!(", rain Sr {}", units.format_pressure(snow.rain)),
            _ => String::new(),
        };
        format!(
            "Snow by {}: ground snow {symbol} {load}{rain}, unheated.",
            self.code.name()
        )
    }

    fn describe_wind(&self, units: UnitSystem) -> String {
        let name = self.code.name();
        match self.wind {
            None => "No wind is given: wind is not checked.".to_owned(),
            Some(BasicWind::Speed(speed)) => {
                let kind = match self.code {
                    Code::En1991 => "10-minute mean",
                    _ => "3-second gust for strength",
                };
                let speed = units.format_speed(speed);
                format!("Wind by {name}: basic speed {speed}, {kind}.")
            }
            Some(BasicWind::Pressure(pressure)) => {
                let pressure = units.format_pressure(pressure);
                format!("Wind by {name}: 1-in-50 pressure q {pressure}.")
            }
        }
    }

    fn describe_place(&self) -> Vec<String> {
        let exposure = match self.exposure {
            Exposure::Sheltered => "sheltered",
            Exposure::Partial => "partly exposed",
            Exposure::Full => "fully exposed",
        };
        let importance = match self.code.usual_importance() {
            Some(_) => format!("importance {:.2}", self.importance),
            None => "no importance factor in this code".to_owned(),
        };
        let mut words = vec![format!(
            "The cover is {exposure}, terrain {}, {importance}, uplift coefficient {:.2}.",
            self.terrain.key(),
            self.uplift
        )];
        if !self.defaulted.is_empty() {
            words.push(format!(
                "Not given, so by house rule: {}.",
                self.defaulted.join(", ")
            ));
        }
        words
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn described(text: &str, units: UnitSystem) -> String {
        match read(text) {
            Ok(site) => site.describe(units).join("\n"),
            Err(problems) => panic!("{text}: {problems}"),
        }
    }

    fn check(text: &str, units: UnitSystem, wanted: &[&str], unwanted: &[&str]) {
        let words = described(text, units);
        for piece in wanted {
            assert!(words.contains(piece), "{piece} is not in\n{words}");
        }
        for piece in unwanted {
            assert!(!words.contains(piece), "{piece} is in\n{words}");
        }
    }

    #[test]
    fn sites_are_told_in_words() {
        check(
            r#"(code: "asce7-16", snow: "20 psf", wind: "110 mph", exposure: "full")"#,
            UnitSystem::FeetInches,
            &[
                "Stored outdoors.",
                "ASCE 7-16: ground snow pg 20.0 psf",
                "basic speed 110 mph, 3-second gust",
                "fully exposed, terrain C, importance 0.80",
                "by house rule: importance, terrain, stored, uplift, gear.",
            ],
            &["rain Sr"],
        );
        check(
            r#"(code: "nbcc", snow: (ground: "2 kPa", rain: "0.4 kPa"))"#,
            UnitSystem::Metric,
            &[
                "Ss 2.00 kPa, rain Sr 0.40 kPa",
                "No wind is given",
                "terrain open",
            ],
            &["3-second"],
        );
        check(
            r#"(code: "asce7-22", snow: "50 psf")"#,
            UnitSystem::FeetInches,
            &["no importance factor in this code"],
            &["importance,", "0.80"],
        );
        check(
            r#"(code: "en1991", wind: "26 m/s", stored: "roof")"#,
            UnitSystem::Metric,
            &["under a roof: no snow, no wind"],
            &["26", "not checked"],
        );
        check(
            r#"(stored: "hauled", speed: "60 mph")"#,
            UnitSystem::FeetInches,
            &["Hauled at 60 mph"],
            &["ASCE"],
        );
        check(
            "()",
            UnitSystem::Metric,
            &["No ground snow is given", "Posts of 2x4"],
            &[],
        );
    }
}
