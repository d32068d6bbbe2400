//! The dimensions that can be changed on the page "boat": a name, a kind of number, how it is read and written.

use crate::boat::{Boat, BoxKind, DeckBox, HullForm, MonoForm, Rules, Section};
use crate::units::{
    METERS_PER_INCH, UnitError, UnitSystem, parse_angle, parse_area, parse_force, parse_length,
    parse_pressure, parse_temperature, parse_tension,
};

/// A number is shown as on a sheet where no more than this part of it is rounded away.
const ROUNDED: f64 = 0.02;

/// Four decimals without the zeros at their end.
fn trimmed(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Kind of a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Length,
    Angle,
    Area,
    Force,
    Tension,
    Pressure,
    Temperature,
    /// Without a unit.
    Plain,
}

impl Kind {
    /// As a person writes it: as on a sheet where that is near enough, else with as many digits as it takes.
    pub fn format(self, value: f64, units: UnitSystem) -> String {
        let text = self.on_a_sheet(value, units);
        let near = |back: f64| (back - value).abs() <= ROUNDED * value.abs();
        if self.parse(&text).is_ok_and(near) {
            return text;
        }
        match (self, units) {
            (Kind::Length, UnitSystem::FeetInches) => {
                format!("{} in", trimmed(value / METERS_PER_INCH))
            }
            (Kind::Length, UnitSystem::Metric) => format!("{} mm", trimmed(value * 1000.0)),
            (Kind::Area, UnitSystem::FeetInches) => {
                format!("{} sq in", trimmed(value / METERS_PER_INCH.powi(2)))
            }
            (Kind::Area, UnitSystem::Metric) => format!("{} m2", trimmed(value)),
            (Kind::Force, _) => format!("{} N", trimmed(value)),
            (Kind::Tension, _) => format!("{} N/m", trimmed(value)),
            (Kind::Pressure, _) => format!("{} kPa", trimmed(value / 1000.0)),
            (Kind::Angle, _) => format!("{} deg", trimmed(value.to_degrees())),
            _ => text,
        }
    }

    fn on_a_sheet(self, value: f64, units: UnitSystem) -> String {
        match self {
            Kind::Length => units.format_length(value),
            Kind::Angle => units.format_angle(value),
            Kind::Area => units.format_area(value),
            Kind::Force => units.format_force(value),
            Kind::Tension => units.format_tension(value),
            Kind::Pressure => units.format_stress(value),
            Kind::Temperature => units.format_temperature(value),
            Kind::Plain => format!("{value}"),
        }
    }

    /// What a person wrote, in SI.
    ///
    /// # Errors
    /// What is wrong with it and how it should be, in words.
    pub fn parse(self, text: &str) -> Result<f64, String> {
        let told = |error: UnitError| format!("{error}; {}", error.hint());
        match self {
            Kind::Length => parse_length(text).map_err(told),
            Kind::Angle => parse_angle(text).map_err(told),
            Kind::Area => parse_area(text).map_err(told),
            Kind::Force => parse_force(text).map_err(told),
            Kind::Tension => parse_tension(text).map_err(told),
            Kind::Pressure => parse_pressure(text).map_err(told),
            Kind::Temperature => parse_temperature(text).map_err(told),
            Kind::Plain => text
                .trim()
                .parse()
                .ok()
                .filter(|value: &f64| value.is_finite())
                .ok_or_else(|| "a plain number is wanted, as 0.35".to_owned()),
        }
    }
}

/// One number of something.
pub struct Spec<T> {
    /// Its name on the screen.
    pub name: &'static str,
    /// What kind of number.
    pub kind: Kind,
    /// Reads it, SI.
    pub get: fn(&T) -> f64,
    /// Writes it, SI.
    pub set: fn(&mut T, f64),
}

macro_rules! specs {
    ($owner:ty: $($name:literal $kind:ident $($path:ident).+ $([$index:literal])?;)*) => {
        &[$(Spec {
            name: $name,
            kind: Kind::$kind,
            get: |it: &$owner| it.$($path).+ $([$index])?,
            set: |it: &mut $owner, value| it.$($path).+ $([$index])? = value,
        }),*]
    };
}

/// Main dimensions.
pub const MAIN: &[Spec<Boat>] = specs![Boat:
    "length" Length length;
    "beam" Length beam;
    "sheer at bow" Length sheer[2];
    "sheer at middle" Length sheer[1];
    "sheer at stern" Length sheer[0];
    "rub rail under sheer" Length rub_rail;
    "sole" Length sole;
    "keel over ground" Length stored_on.keel_height;
];

/// A single hull.
pub const MONO: &[Spec<MonoForm>] = specs![MonoForm:
    "transom beam, part" Plain transom_beam_fraction;
    "fullness at bow" Plain fullness;
    "stem rake" Angle stem_rake;
    "transom rake" Angle transom_rake;
];

/// A box above the deck.
pub const BOX: &[Spec<DeckBox>] = specs![DeckBox:
    "from" Length from;
    "to" Length to;
    "width aft" Length width;
    "width fore" Length width_fore;
    "offset to port" Length offset;
    "foot" Length base;
    "top aft" Length top;
    "top fore" Length top_fore;
    "rake aft" Angle rakes[0];
    "rake fore" Angle rakes[1];
    "rake at sides" Angle rakes[2];
];

/// The rules, in groups.
pub const RULES: &[(&str, &[Spec<Rules>])] = &[
    (
        "Slope and frame",
        specs![Rules:
            "least slope" Angle min_slope;
            "clearance over glass" Length clearance;
            "longest span" Length max_span;
            "highest post" Length max_post;
            "least gap of posts" Length least_post_gap;
            "step of stations" Length station_step;
            "step of heights" Length height_step;
        ],
    ),
    (
        "What counts",
        specs![Rules:
            "holding patch from" Area holding_patch;
            "flat in all, part" Plain flat_part;
            "pond from" Length pond_depth;
            "pad from" Force pad_force;
            "caps may be low by" Length cap_tolerance;
            "posts may be off by" Length station_tolerance;
            "cell of the film" Length cell;
            "cell of the search" Length search_cell;
        ],
    ),
    (
        "Tension",
        specs![Rules:
            "film" Tension film_tension;
            "ridge strap" Force ridge_tension;
            "side strap" Force side_tension;
        ],
    ),
    (
        "Posts and straps",
        specs![Rules:
            "cap across" Length cap_diameter;
            "top cap adds" Length top_cap;
            "base cap adds" Length base_cap;
            "base cap across" Length base_cap_width;
            "sole bears" Pressure sole_bearing;
            "strap tail" Length strap_tail;
            "drop strap spacing" Length drop_strap_spacing;
            "drop strap tail" Length drop_strap_tail;
            "belly band spacing" Length belly_band_spacing;
            "band under rub rail" Length band_drop;
        ],
    ),
    (
        "Film",
        specs![Rules:
            "thickness" Length film_thickness;
            "most shrink, part" Plain film_shrink;
            "out of square" Angle film_skew;
            "tuck behind band" Length film_tuck;
            "spare at ends" Length film_end;
            "lap of a seam" Length seam_lap;
            "least pleat" Length least_pleat;
            "deepest fold" Length deepest_fold;
        ],
    ),
    (
        "Air",
        specs![Rules:
            "vent opens" Area vent_area;
            "boat for two vents" Length vent_spacing;
            "air outside" Temperature air_temperature;
            "humidity, part" Plain humidity;
        ],
    ),
];

/// A number of the hull's section or of another form, where the form has one.
pub struct FormSpec {
    /// Its name on the screen.
    pub name: &'static str,
    /// What kind of number.
    pub kind: Kind,
    /// Finds it in a form.
    pub find: fn(&mut HullForm) -> Option<&mut f64>,
}

/// Numbers that only some hull forms have.
pub const FORM: &[FormSpec] = &[
    FormSpec {
        name: "deadrise at transom",
        kind: Kind::Angle,
        find: |form| match form {
            HullForm::Mono(MonoForm {
                section: Section::V {
                    transom_deadrise, ..
                },
                ..
            }) => Some(transom_deadrise),
            _ => None,
        },
    },
    FormSpec {
        name: "deadrise at entry",
        kind: Kind::Angle,
        find: |form| match form {
            HullForm::Mono(MonoForm {
                section: Section::V { entry_deadrise, .. },
                ..
            }) => Some(entry_deadrise),
            _ => None,
        },
    },
    FormSpec {
        name: "chine beam, part",
        kind: Kind::Plain,
        find: |form| match form {
            HullForm::Mono(MonoForm {
                section:
                    Section::V {
                        chine_beam_fraction,
                        ..
                    }
                    | Section::Flat {
                        chine_beam_fraction,
                    },
                ..
            }) => Some(chine_beam_fraction),
            _ => None,
        },
    },
    FormSpec {
        name: "deadrise",
        kind: Kind::Angle,
        find: |form| match form {
            HullForm::Mono(MonoForm {
                section: Section::RoundBilge { deadrise, .. },
                ..
            })
            | HullForm::Catamaran { deadrise, .. } => Some(deadrise),
            _ => None,
        },
    },
    FormSpec {
        name: "fullness of bilge",
        kind: Kind::Plain,
        find: |form| match form {
            HullForm::Mono(MonoForm {
                section: Section::RoundBilge { bilge, .. },
                ..
            }) => Some(bilge),
            _ => None,
        },
    },
    FormSpec {
        name: "tube diameter",
        kind: Kind::Length,
        find: |form| match form {
            HullForm::Tubes { diameter, .. } => Some(diameter),
            _ => None,
        },
    },
    FormSpec {
        name: "beam of a hull",
        kind: Kind::Length,
        find: |form| match form {
            HullForm::Catamaran { hull_beam, .. } => Some(hull_beam),
            _ => None,
        },
    },
];

/// Kinds of boxes with their words.
pub const BOX_KINDS: [(BoxKind, &str); 10] = [
    (BoxKind::Windshield, "windshield"),
    (BoxKind::Console, "console"),
    (BoxKind::Cabin, "cabin"),
    (BoxKind::Hardtop, "hardtop"),
    (BoxKind::Flybridge, "flybridge"),
    (BoxKind::Seat, "seat"),
    (BoxKind::Motor, "motor"),
    (BoxKind::Pulpit, "pulpit"),
    (BoxKind::Platform, "platform"),
    (BoxKind::Other, "other"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::presets;
    use serde::Serialize;
    use serde_json::Value;
    use std::collections::{BTreeMap, BTreeSet};

    #[test]
    fn what_is_shown_can_be_typed_again() {
        for preset in presets() {
            let boat = preset.boat().unwrap();
            for units in [UnitSystem::FeetInches, UnitSystem::Metric] {
                let check = |name: &str, kind: Kind, value: f64| {
                    let text = kind.format(value, units);
                    let back = kind
                        .parse(&text)
                        .unwrap_or_else(|why| panic!("{} {name} {text}: {why}", preset.name));
                    let near = (back - value).abs() <= ROUNDED * value.abs() + 1e-6;
                    assert!(
                        near,
                        "{} {name}: {text} is {back}, not {value}",
                        preset.name
                    );
                };
                for spec in MAIN {
                    check(spec.name, spec.kind, (spec.get)(&boat));
                }
                for spec in RULES.iter().flat_map(|(_, specs)| *specs) {
                    check(spec.name, spec.kind, (spec.get)(&boat.rules));
                }
                for each in &boat.boxes {
                    for spec in BOX {
                        check(spec.name, spec.kind, (spec.get)(each));
                    }
                }
                let mut hull = boat.hull.clone();
                for spec in FORM {
                    if let Some(value) = (spec.find)(&mut hull) {
                        check(spec.name, spec.kind, *value);
                    }
                }
            }
        }
    }

    /// What each name on the screen is in the data, by hand; of hull forms the last part of it.
    const FIELDS: &[(&str, &str)] = &[
        ("length", "/length"),
        ("beam", "/beam"),
        ("sheer at bow", "/sheer/2"),
        ("sheer at middle", "/sheer/1"),
        ("sheer at stern", "/sheer/0"),
        ("rub rail under sheer", "/rub_rail"),
        ("sole", "/sole"),
        ("keel over ground", "/stored_on/keel_height"),
        ("transom beam, part", "/transom_beam_fraction"),
        ("fullness at bow", "/fullness"),
        ("stem rake", "/stem_rake"),
        ("transom rake", "/transom_rake"),
        ("from", "/from"),
        ("to", "/to"),
        ("width aft", "/width"),
        ("width fore", "/width_fore"),
        ("offset to port", "/offset"),
        ("foot", "/base"),
        ("top aft", "/top"),
        ("top fore", "/top_fore"),
        ("rake aft", "/rakes/0"),
        ("rake fore", "/rakes/1"),
        ("rake at sides", "/rakes/2"),
        ("least slope", "/min_slope"),
        ("clearance over glass", "/clearance"),
        ("longest span", "/max_span"),
        ("highest post", "/max_post"),
        ("least gap of posts", "/least_post_gap"),
        ("step of stations", "/station_step"),
        ("step of heights", "/height_step"),
        ("holding patch from", "/holding_patch"),
        ("flat in all, part", "/flat_part"),
        ("pond from", "/pond_depth"),
        ("pad from", "/pad_force"),
        ("caps may be low by", "/cap_tolerance"),
        ("posts may be off by", "/station_tolerance"),
        ("cell of the film", "/cell"),
        ("cell of the search", "/search_cell"),
        ("film", "/film_tension"),
        ("ridge strap", "/ridge_tension"),
        ("side strap", "/side_tension"),
        ("cap across", "/cap_diameter"),
        ("top cap adds", "/top_cap"),
        ("base cap adds", "/base_cap"),
        ("base cap across", "/base_cap_width"),
        ("sole bears", "/sole_bearing"),
        ("strap tail", "/strap_tail"),
        ("drop strap spacing", "/drop_strap_spacing"),
        ("drop strap tail", "/drop_strap_tail"),
        ("belly band spacing", "/belly_band_spacing"),
        ("band under rub rail", "/band_drop"),
        ("thickness", "/film_thickness"),
        ("most shrink, part", "/film_shrink"),
        ("out of square", "/film_skew"),
        ("tuck behind band", "/film_tuck"),
        ("spare at ends", "/film_end"),
        ("lap of a seam", "/seam_lap"),
        ("least pleat", "/least_pleat"),
        ("deepest fold", "/deepest_fold"),
        ("vent opens", "/vent_area"),
        ("boat for two vents", "/vent_spacing"),
        ("air outside", "/air_temperature"),
        ("humidity, part", "/humidity"),
        ("deadrise at transom", "/transom_deadrise"),
        ("deadrise at entry", "/entry_deadrise"),
        ("chine beam, part", "/chine_beam_fraction"),
        ("deadrise", "/deadrise"),
        ("fullness of bilge", "/bilge"),
        ("tube diameter", "/diameter"),
        ("beam of a hull", "/hull_beam"),
    ];

    /// All numbers of something, each with where it is.
    fn numbers(value: &Value, at: &str, found: &mut BTreeMap<String, f64>) {
        match value {
            Value::Number(number) => {
                found.insert(at.to_owned(), number.as_f64().unwrap());
            }
            Value::Array(list) => {
                for (k, item) in list.iter().enumerate() {
                    numbers(item, &format!("{at}/{k}"), found);
                }
            }
            Value::Object(fields) => {
                for (name, item) in fields {
                    numbers(item, &format!("{at}/{name}"), found);
                }
            }
            _ => {}
        }
    }

    /// Changes one number, and holds what has changed against [`FIELDS`].
    fn check_field<T: Serialize + Clone>(it: &T, name: &str, set: impl Fn(&mut T)) -> f64 {
        let found = |it: &T| {
            let mut found = BTreeMap::new();
            numbers(&serde_json::to_value(it).unwrap(), "", &mut found);
            found
        };
        let mut other = it.clone();
        set(&mut other);
        let (before, after) = (found(it), found(&other));
        let changed: Vec<&String> = before
            .keys()
            .filter(|at| before.get(*at) != after.get(*at))
            .collect();
        let (_, wanted) = FIELDS
            .iter()
            .find(|(known, _)| *known == name)
            .unwrap_or_else(|| panic!("{name}"));
        assert!(
            changed.len() == 1 && changed[0].ends_with(wanted),
            "{name}: {changed:?}"
        );
        before[changed[0]]
    }

    fn check_specs<T: Serialize + Clone>(it: &T, specs: &[Spec<T>], seen: &mut BTreeSet<String>) {
        for spec in specs {
            let value = check_field(it, spec.name, |other| {
                (spec.set)(other, (spec.get)(it) + 0.0625);
            });
            assert_eq!((spec.get)(it), value, "{}", spec.name);
            seen.insert(spec.name.to_owned());
        }
    }

    #[test]
    fn every_spec_is_the_number_that_its_name_says() {
        let mut seen = BTreeSet::new();
        for preset in presets() {
            let boat = preset.boat().unwrap();
            check_specs(&boat, MAIN, &mut seen);
            for (_, specs) in RULES {
                check_specs(&boat.rules, specs, &mut seen);
            }
            for each in &boat.boxes {
                check_specs(each, BOX, &mut seen);
            }
            if let HullForm::Mono(form) = &boat.hull {
                check_specs(form, MONO, &mut seen);
            }
            for spec in FORM {
                if (spec.find)(&mut boat.hull.clone()).is_none() {
                    continue;
                }
                check_field(&boat.hull, spec.name, |form| {
                    if let Some(number) = (spec.find)(form) {
                        *number += 0.0625;
                    }
                });
                seen.insert(spec.name.to_owned());
            }
        }
        // Some preset has each.
        let all: BTreeSet<String> = FIELDS.iter().map(|(name, _)| (*name).to_owned()).collect();
        assert_eq!(seen, all);
    }
}
