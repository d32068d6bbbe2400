//! Reads a site file: text in, a validated [`Site`] or all its problems out.

use super::options::{Origins, is_pressure, lay_over};
use super::read_gear::{GearFile, PostFile, StrapFile, gear};
use super::{
    BasicWind, Code, Exposure, GroundSnow, Site, SiteOptions, Stored, Terrain, USUAL_UPLIFT,
};
use crate::boat::{Checker, Problems, Quantity, read_file, suggest};
use serde::de::value::MapAccessDeserializer;
use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};
use serde_aux::prelude::serde_introspect;
use std::fmt;
use std::marker::PhantomData;
use std::ops::RangeInclusive;

type Q = Option<Quantity>;

/// The whole file; every field optional.
#[derive(Debug, Default, serde::Deserialize)]
#[serde(default, rename = "Site")]
pub(super) struct SiteFile {
    /// Free words, for who reads the file.
    pub note: Option<String>,
    pub code: Option<String>,
    #[serde(deserialize_with = "in_brief")]
    pub snow: Option<SnowFile>,
    #[serde(deserialize_with = "in_brief")]
    pub wind: Option<WindFile>,
    pub importance: Option<f64>,
    pub exposure: Q,
    pub terrain: Q,
    pub stored: Option<String>,
    pub speed: Q,
    pub uplift: Option<f64>,
    pub gear: Option<GearFile>,
}

#[derive(Debug, Default, serde::Deserialize)]
#[serde(default)]
pub(super) struct SnowFile {
    pub code: Option<String>,
    pub ground: Q,
    pub rain: Q,
}

#[derive(Debug, Default, serde::Deserialize)]
#[serde(default)]
pub(super) struct WindFile {
    pub code: Option<String>,
    pub speed: Q,
    pub pressure: Q,
}

/// A group of fields that may also be written as one quantity: `snow: "20 psf"`.
pub(super) trait Brief {
    /// Takes the quantity for the field that it is.
    fn brief(&mut self, quantity: Quantity);
}

impl Brief for SnowFile {
    fn brief(&mut self, quantity: Quantity) {
        self.ground = Some(quantity);
    }
}

impl Brief for WindFile {
    fn brief(&mut self, quantity: Quantity) {
        if is_pressure(&quantity) {
            self.pressure = Some(quantity);
        } else {
            self.speed = Some(quantity);
        }
    }
}

struct BriefVisitor<T>(PhantomData<T>);

impl<T: Brief + Default> BriefVisitor<T> {
    fn brief(quantity: Quantity) -> Option<T> {
        let mut fields = T::default();
        fields.brief(quantity);
        Some(fields)
    }
}

impl<'de, T: Brief + Default + Deserialize<'de>> Visitor<'de> for BriefVisitor<T> {
    type Value = Option<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a quantity in quotes, as \"20 psf\", or named fields in parentheses")
    }

    fn visit_some<D: Deserializer<'de>>(self, deserializer: D) -> Result<Option<T>, D::Error> {
        deserializer.deserialize_any(self)
    }

    fn visit_none<E: serde::de::Error>(self) -> Result<Option<T>, E> {
        Ok(None)
    }

    // `()` is a group without fields, not nothing.
    fn visit_unit<E: serde::de::Error>(self) -> Result<Option<T>, E> {
        Ok(Some(T::default()))
    }

    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Option<T>, E> {
        Ok(Self::brief(Quantity::Text(text.to_owned())))
    }

    fn visit_f64<E: serde::de::Error>(self, number: f64) -> Result<Option<T>, E> {
        Ok(Self::brief(Quantity::Number(number)))
    }

    fn visit_i64<E: serde::de::Error>(self, number: i64) -> Result<Option<T>, E> {
        Ok(Self::brief(Quantity::Number(number as f64)))
    }

    fn visit_u64<E: serde::de::Error>(self, number: u64) -> Result<Option<T>, E> {
        Ok(Self::brief(Quantity::Number(number as f64)))
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Option<T>, A::Error> {
        T::deserialize(MapAccessDeserializer::new(map)).map(Some)
    }
}

fn in_brief<'de, D, T>(deserializer: D) -> Result<Option<T>, D::Error>
where
    D: Deserializer<'de>,
    T: Brief + Default + Deserialize<'de>,
{
    deserializer.deserialize_option(BriefVisitor(PhantomData))
}

/// Where to see how a site file looks.
const EXAMPLE: &str = "see demo-site.ron among the assets of hulltent";

/// Snow on the ground, Pa: to the deepest that is mapped.
const GROUND_SNOW: RangeInclusive<f64> = 0.0..=20e3;
/// Rain in it, Pa.
const RAIN: RangeInclusive<f64> = 0.0..=3e3;
/// Basic wind, m/s.
const WIND_SPEEDS: RangeInclusive<f64> = 5.0..=110.0;
/// Basic wind as a pressure, Pa.
const WIND_PRESSURES: RangeInclusive<f64> = 20.0..=3e3;
/// Of a tow, m/s.
const ROAD_SPEEDS: RangeInclusive<f64> = 1.0..=45.0;
const IMPORTANCES: RangeInclusive<f64> = 0.5..=1.5;
const UPLIFTS: RangeInclusive<f64> = 0.1..=3.0;

/// Reads the text of a site file.
///
/// # Errors
/// Every problem found, each with its place and a hint. Text that is not RON, or a value of a wrong kind, ends the
/// reading there.
pub fn read(text: &str) -> Result<Site, Problems> {
    read_with(text, &SiteOptions::default())
}

/// A site of options alone.
///
/// # Errors
/// Every problem found, each with the option as its path and a hint.
pub fn from_options(options: &SiteOptions) -> Result<Site, Problems> {
    read_with("()", options)
}

/// Reads the text of a site file with options laid over its fields before they are interpreted.
///
/// # Errors
/// As [`read`]; the path of a problem with an option is the option.
pub fn read_with(text: &str, options: &SiteOptions) -> Result<Site, Problems> {
    let read = read_file::<SiteFile, _>(text, known_fields, EXAMPLE, |mut file, check, _| {
        let origins = lay_over(&mut file, options, check);
        interpret(file, &origins, check)
    });
    let site = read.and_then(|site| site);
    site.map_err(|mut problems| {
        for problem in &mut problems.list {
            // An option stands nowhere in the file.
            if problem.path.starts_with("--") {
                problem.place = None;
            }
        }
        problems
    })
}

fn known_fields(place: &str) -> Vec<&'static str> {
    use super::read_gear::FilmFile;
    match place {
        "" => serde_introspect::<SiteFile>().to_vec(),
        "snow" => serde_introspect::<SnowFile>().to_vec(),
        "wind" => serde_introspect::<WindFile>().to_vec(),
        "gear" => serde_introspect::<GearFile>().to_vec(),
        "gear.post" => serde_introspect::<PostFile>().to_vec(),
        "gear.strap" => serde_introspect::<StrapFile>().to_vec(),
        "gear.film" => serde_introspect::<FilmFile>().to_vec(),
        _ => Vec::new(),
    }
}

/// The code of a spelling, if there is one.
pub(super) fn code_of(text: &str) -> Option<Code> {
    let plain = text
        .to_lowercase()
        .replace(|c: char| c.is_whitespace() || c == '_', "");
    match plain.as_str() {
        "en1991-1-3" | "en1991-1-4" => Some(Code::En1991),
        plain => Code::ALL.into_iter().find(|code| code.key() == plain),
    }
}

/// The value of a spelling, whatever its capitals; a problem otherwise.
fn choose<T: Copy>(
    check: &mut Checker,
    path: &str,
    what: &str,
    text: &str,
    known: &[(&'static str, T)],
) -> Option<T> {
    let text = text.trim();
    let found = known.iter().find(|(key, _)| key.eq_ignore_ascii_case(text));
    if found.is_none() {
        let names = || known.iter().map(|(key, _)| *key);
        let hint = match suggest(text, names()) {
            Some(near) => format!("did you mean '{near}'?"),
            None => format!("one of {}", names().collect::<Vec<_>>().join(", ")),
        };
        check.problem(path, format!("unknown {what} '{text}'"), hint);
    }
    found.map(|(_, value)| *value)
}

/// A code that was given, or a problem.
fn read_code(check: &mut Checker, path: &str, text: Option<&String>) -> Option<Code> {
    let text = text?;
    code_of(text).or_else(|| {
        let known = Code::ALL.map(|code| (code.key(), code));
        choose(check, path, "code", text, &known)
    })
}

/// The one code of the site; `None` where there is none or it cannot be read.
fn one_code(file: &SiteFile, origins: &Origins, check: &mut Checker) -> Option<Code> {
    let of_snow = file.snow.as_ref().and_then(|snow| snow.code.as_ref());
    let of_wind = file.wind.as_ref().and_then(|wind| wind.code.as_ref());
    let mut first: Option<(Code, &str)> = None;
    for (field, text) in [
        ("code", file.code.as_ref()),
        ("snow.code", of_snow),
        ("wind.code", of_wind),
    ] {
        let path = origins.of(field);
        let Some(code) = read_code(check, path, text) else {
            continue;
        };
        match first {
            None => first = Some((code, path)),
            Some((other, there)) if other != code => {
                let hint = match (other, code) {
                    (Code::Asce716, Code::Asce722) | (Code::Asce722, Code::Asce716) => {
                        "the two map other ground values at another reliability: take snow, wind and importance from \
                         one edition"
                    }
                    _ => "one code gives snow and wind alike: take both from one",
                };
                check.problem(
                    path,
                    format!("{} here, but {} in '{there}'", code.name(), other.name()),
                    hint,
                );
            }
            Some(_) => {}
        }
    }
    let given = file.code.is_some() || of_snow.is_some() || of_wind.is_some();
    if !given {
        let loads = [
            file.snow
                .as_ref()
                .and_then(|snow| snow.ground.as_ref().map(|_| "snow.ground")),
            file.wind
                .as_ref()
                .filter(|wind| wind.speed.is_some() || wind.pressure.is_some())
                .map(|_| "wind.speed"),
        ];
        if let Some(field) = loads.into_iter().flatten().next() {
            check.problem(
                origins.of(field),
                "the code is missing that this value is by",
                "add code: \"asce7-16\", \"asce7-22\", \"en1991\" or \"nbcc\" (--code on the command line)",
            );
        }
    }
    first.map(|(code, _)| code)
}

fn interpret(file: SiteFile, origins: &Origins, check: &mut Checker) -> Result<Site, Problems> {
    let mut defaulted = Vec::new();
    let by = one_code(&file, origins, check);
    // Where there is no code there are no loads, or a problem was noted.
    let code = by.unwrap_or(Code::Asce716);
    let snow = snow(&file, by, origins, check);
    let wind = wind(&file, by, origins, check);
    let importance = importance(file.importance, by, check);
    if importance.is_none() && code.usual_importance().is_some() {
        defaulted.push("importance");
    }
    let text = |quantity: &Q| quantity.as_ref().map(Quantity::text);
    let exposure = text(&file.exposure).and_then(|text| {
        let known = Exposure::ALL.map(|exposure| (exposure.key(), exposure));
        choose(check, origins.of("exposure"), "exposure", &text, &known)
    });
    if exposure.is_none() {
        defaulted.push("exposure");
    }
    let terrain =
        text(&file.terrain).and_then(|text| terrain(&text, by, origins.of("terrain"), check));
    if terrain.is_none() {
        defaulted.push("terrain");
    }
    let stored = stored(&file, origins, check);
    if stored.is_none() {
        defaulted.push("stored");
    }
    let stored = stored.unwrap_or(Stored::Outdoors);
    let uplift = check.fraction("uplift", file.uplift, UPLIFTS);
    if uplift.is_none() {
        defaulted.push("uplift");
    }
    if file.gear.is_none() {
        defaulted.push("gear");
    }
    let gear = gear(file.gear.unwrap_or_default(), check)?;
    let outdoors = stored == Stored::Outdoors;
    Ok(Site {
        code,
        snow: snow.filter(|_| outdoors),
        wind: wind.filter(|_| outdoors),
        importance: importance.or(code.usual_importance()).unwrap_or(1.0),
        exposure: exposure.unwrap_or(Exposure::Partial),
        terrain: terrain.unwrap_or(code.usual_terrain()),
        stored,
        uplift: uplift.unwrap_or(USUAL_UPLIFT),
        gear,
        defaulted,
    })
}

fn snow(
    file: &SiteFile,
    by: Option<Code>,
    origins: &Origins,
    check: &mut Checker,
) -> Option<GroundSnow> {
    let file = file.snow.as_ref()?;
    let load = check.pressure(origins.of("snow.ground"), &file.ground, GROUND_SNOW);
    let rain = check.pressure(origins.of("snow.rain"), &file.rain, RAIN);
    if file.ground.is_none() {
        check.problem(
            origins.of(if file.rain.is_some() { "snow.rain" } else { "snow" }),
            "snow has no ground load",
            "add ground: \"20 psf\" (--snow on the command line), by the code; leave snow out if none is to be checked",
        );
    }
    match by {
        Some(Code::Nbcc) if file.rain.is_none() && load.is_some_and(|load| load > 0.0) => {
            check.problem(
                origins.of("snow.ground"),
                "the NBCC gives snow Ss and the rain in it Sr; the rain is missing",
                "add it: snow: (ground: \"2 kPa\", rain: \"0.4 kPa\") (--rain on the command line)",
            );
        }
        Some(code) if code != Code::Nbcc && file.rain.is_some() => check.problem(
            origins.of("snow.rain"),
            format!("{} has no rain in its ground snow", code.name()),
            "leave rain out; it belongs to the NBCC",
        ),
        _ => {}
    }
    Some(GroundSnow {
        load: load?,
        rain: rain.unwrap_or(0.0),
    })
}

fn wind(
    file: &SiteFile,
    by: Option<Code>,
    origins: &Origins,
    check: &mut Checker,
) -> Option<BasicWind> {
    let file = file.wind.as_ref()?;
    let speed = check.speed(origins.of("wind.speed"), &file.speed, WIND_SPEEDS);
    let pressure = check.pressure(origins.of("wind.pressure"), &file.pressure, WIND_PRESSURES);
    match (by, file.speed.is_some(), file.pressure.is_some()) {
        (_, false, false) => check.problem(
            "wind",
            "wind has no speed",
            "add speed: \"110 mph\", for the NBCC pressure: \"0.45 kPa\"; leave wind out if none is to be checked",
        ),
        (_, true, true) => check.problem(
            "wind.pressure",
            "wind has a speed and a pressure",
            "the NBCC gives a pressure, all others a speed",
        ),
        // A speed that was not read has told its own problem.
        (Some(Code::Nbcc), true, _) if speed.is_some() => check.problem(
            origins.of("wind.speed"),
            "the NBCC gives wind as a pressure",
            "give the 1-in-50 hourly pressure q, as \"0.45 kPa\"",
        ),
        (Some(code), _, true) if code != Code::Nbcc => check.problem(
            origins.of("wind.pressure"),
            format!("{} gives wind as a speed", code.name()),
            "give the basic wind speed, as \"110 mph\" or \"26 m/s\"",
        ),
        _ => {}
    }
    speed
        .map(BasicWind::Speed)
        .or(pressure.map(BasicWind::Pressure))
}

fn importance(given: Option<f64>, by: Option<Code>, check: &mut Checker) -> Option<f64> {
    given?;
    match by {
        Some(Code::Asce722) => {
            check.problem(
                "importance",
                "ASCE 7-22 has no importance factor on snow",
                "its ground values already carry the reliability: leave importance out and take pg of the risk category",
            );
            None
        }
        Some(Code::En1991) => {
            check.problem(
                "importance",
                "EN 1991 has no importance factor on snow",
                "leave importance out: the reliability is in the partial factors",
            );
            None
        }
        _ => check.fraction("importance", given, IMPORTANCES),
    }
}

fn terrain(text: &str, by: Option<Code>, path: &str, check: &mut Checker) -> Option<Terrain> {
    let known: Vec<(&'static str, Terrain)> = Code::ALL
        .into_iter()
        .filter(|code| by.is_none_or(|by| by == *code))
        .flat_map(Code::terrains)
        .map(|terrain| (terrain.key(), *terrain))
        .collect();
    match by {
        // Terrains of one letter: a suggestion would be a guess.
        Some(code)
            if !known
                .iter()
                .any(|(key, _)| key.eq_ignore_ascii_case(text.trim())) =>
        {
            let names: Vec<&str> = known.iter().map(|(key, _)| *key).collect();
            check.problem(
                path,
                format!("{} has no terrain '{}'", code.name(), text.trim()),
                format!("one of {}", names.join(", ")),
            );
            None
        }
        _ => choose(check, path, "terrain", text, &known),
    }
}

/// How the boat is kept, with its speed on the road; `None` where the file does not say.
fn stored(file: &SiteFile, origins: &Origins, check: &mut Checker) -> Option<Stored> {
    #[derive(Clone, Copy, PartialEq)]
    enum Kept {
        Outdoors,
        Roof,
        Hauled,
    }
    let known = [
        ("outdoors", Kept::Outdoors),
        ("roof", Kept::Roof),
        ("hauled", Kept::Hauled),
    ];
    let kept = file.stored.as_ref().and_then(|text| {
        choose(
            check,
            origins.of("stored"),
            "way to be stored",
            text,
            &known,
        )
    });
    let speed = check.speed(origins.of("speed"), &file.speed, ROAD_SPEEDS);
    if kept == Some(Kept::Hauled) && file.speed.is_none() {
        check.problem(
            origins.of("stored"),
            "a boat that is hauled has a speed; it is missing",
            "add speed: \"60 mph\" (--speed on the command line), the fastest that is driven",
        );
    }
    let unread = file.stored.is_some() && kept.is_none();
    if kept != Some(Kept::Hauled) && !unread && file.speed.is_some() {
        check.problem(
            origins.of("speed"),
            "a speed, but the boat is not hauled",
            "add stored: \"hauled\" (--stored on the command line), or leave speed out",
        );
    }
    Some(match kept? {
        Kept::Outdoors => Stored::Outdoors,
        Kept::Roof => Stored::UnderRoof,
        Kept::Hauled => Stored::Hauled {
            // The stand-in is never seen: the problem noted above is returned instead.
            speed: speed.unwrap_or(*ROAD_SPEEDS.end()),
        },
    })
}

#[cfg(test)]
mod tests;
