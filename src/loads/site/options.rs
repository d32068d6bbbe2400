//! Options of the command line, laid over a site file before it is interpreted, so that mixing codes is refused however
//! they come in.

use super::Code;
use super::read::{Brief, SiteFile, code_of};
use crate::boat::{Checker, Quantity};
use crate::units::parse_pressure;
use std::collections::BTreeMap;

/// What the command line says about the site, each as typed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SiteOptions {
    /// `--code asce7-16`
    pub code: Option<String>,
    /// `--snow 20psf`
    pub snow: Option<String>,
    /// `--rain 0.4kPa`
    pub rain: Option<String>,
    /// `--wind 110mph`, for the NBCC `--wind 0.45kPa`
    pub wind: Option<String>,
    /// `--exposure partial`
    pub exposure: Option<String>,
    /// `--terrain C`
    pub terrain: Option<String>,
    /// `--stored outdoors|roof|hauled`
    pub stored: Option<String>,
    /// `--speed 60mph`
    pub speed: Option<String>,
}

/// Where fields come from, by their path in a site file.
#[derive(Debug, Default)]
pub(super) struct Origins(BTreeMap<&'static str, &'static str>);

impl Origins {
    /// The path to name in a problem: the option if the field came from one.
    pub fn of(&self, field: &'static str) -> &'static str {
        self.0.get(field).copied().unwrap_or(field)
    }

    pub fn set(&mut self, field: &'static str, origin: &'static str) {
        self.0.insert(field, origin);
    }
}

/// Lays the options over what the file says.
pub(super) fn lay_over(file: &mut SiteFile, options: &SiteOptions, check: &mut Checker) -> Origins {
    let mut origins = Origins::default();
    let text = |text: &Option<String>| text.clone().map(Quantity::Text);
    if let Some(snow) = &options.snow {
        file.snow.get_or_insert_default().ground = Some(Quantity::Text(snow.clone()));
        origins.set("snow.ground", "--snow");
    }
    if let Some(rain) = &options.rain {
        file.snow.get_or_insert_default().rain = Some(Quantity::Text(rain.clone()));
        origins.set("snow.rain", "--rain");
    }
    if let Some(wind) = &options.wind {
        let fields = file.wind.get_or_insert_default();
        (fields.speed, fields.pressure) = (None, None);
        fields.brief(Quantity::Text(wind.clone()));
        origins.set("wind.speed", "--wind");
        origins.set("wind.pressure", "--wind");
    }
    for (given, field, path, origin) in [
        (
            &options.exposure,
            &mut file.exposure,
            "exposure",
            "--exposure",
        ),
        (&options.terrain, &mut file.terrain, "terrain", "--terrain"),
        (&options.speed, &mut file.speed, "speed", "--speed"),
    ] {
        if given.is_some() {
            *field = text(given);
            origins.set(path, origin);
        }
    }
    if let Some(stored) = &options.stored {
        file.stored = Some(stored.clone());
        origins.set("stored", "--stored");
        if options.speed.is_none() && !stored.trim().eq_ignore_ascii_case("hauled") {
            // The file's speed belongs to the drive that the option calls off.
            file.speed = None;
        }
    }
    lay_code(file, options, check, &mut origins);
    origins
}

/// Lays the option's code over the file's, unless values by the file's code would be left under it.
fn lay_code(
    file: &mut SiteFile,
    options: &SiteOptions,
    check: &mut Checker,
    origins: &mut Origins,
) {
    let Some(wanted) = &options.code else {
        return;
    };
    let snow = file.snow.as_ref();
    let wind = file.wind.as_ref();
    let by_file: Option<Code> = [
        file.code.as_deref(),
        snow.and_then(|snow| snow.code.as_deref()),
        wind.and_then(|wind| wind.code.as_deref()),
    ]
    .into_iter()
    .flatten()
    .find_map(code_of);
    let left: Vec<&str> = [
        (
            "snow",
            options.snow.is_none() && snow.is_some_and(|snow| snow.ground.is_some()),
        ),
        (
            "rain",
            options.rain.is_none() && snow.is_some_and(|snow| snow.rain.is_some()),
        ),
        (
            "wind",
            options.wind.is_none()
                && wind.is_some_and(|wind| wind.speed.is_some() || wind.pressure.is_some()),
        ),
        ("importance", file.importance.is_some()),
    ]
    .into_iter()
    .filter_map(|(name, left)| left.then_some(name))
    .collect();
    if let (Some(by_file), Some(code)) = (by_file, code_of(wanted))
        && by_file != code
        && !left.is_empty()
    {
        check.problem(
            "--code",
            format!(
                "--code asks for {}, but the site file's {} by {}",
                code.name(),
                match left.as_slice() {
                    [one] => format!("{one} is"),
                    many => format!("{} are", many.join(" and ")),
                },
                by_file.name()
            ),
            "values of one code mean nothing in another: give all of them by one code, or leave --code out",
        );
        return;
    }
    file.code = Some(wanted.clone());
    origins.set("code", "--code");
    if let Some(snow) = &mut file.snow {
        snow.code = None;
    }
    if let Some(wind) = &mut file.wind {
        wind.code = None;
    }
}

/// A wind of one value: a pressure if it has the unit of one, else a speed.
pub(super) fn is_pressure(wind: &Quantity) -> bool {
    parse_pressure(&wind.text()).is_ok()
}
