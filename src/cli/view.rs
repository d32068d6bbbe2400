//! `hulltent view`: a boat, its frame and its cover in a window, or as a picture without one.

use super::report::Failure;
use super::siting::Siting;
use super::source::read_boat;
use super::{Outcome, talk, values};
use crate::boat::suggest;
use crate::disk;
use crate::lesson::names;
use crate::loads::{Case, Site};
use crate::units::UnitSystem;
use crate::view::{Refusal, Shot, Show, Vantage, ViewRequest, case_word, has_case};
use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Boat file, name of a preset, or - for a boat file on standard input
    #[arg(default_value = "open-runabout-18")]
    boat: String,
    /// Write a picture into this PNG file and open no window; a software Vulkan driver is enough
    #[arg(long, value_name = "FILE.png")]
    shot: Option<PathBuf>,
    /// Size of that picture
    #[arg(long, value_name = "WxH", default_value = "1280x800", value_parser = values::picture_size, requires = "shot")]
    size: [u32; 2],
    /// Where the boat is seen from; side is the same as port
    #[arg(long, default_value = Vantage::default().word(), value_parser = vantages())]
    from: Vantage,
    /// What is shown: the film by its slope, the film as it looks, or the frame without the film
    #[arg(long, default_value = Show::default().word(), value_parser = shows())]
    show: Show,
    /// Begin with a lesson; a picture shows both its covers after the storm, and the boat is not looked at
    #[arg(long, value_name = "NAME", value_parser = lesson)]
    lesson: Option<String>,
    /// Leave the labels of posts, straps and pleats out
    #[arg(long)]
    no_labels: bool,
    /// Also draw so many frames without a window, and say how long one takes on this machine
    #[arg(
        long,
        value_name = "N",
        default_value_t = 0,
        requires = "shot",
        hide_default_value = true
    )]
    frames: usize,
    /// Draw the window's bar and panels into the picture, too
    #[arg(long, requires = "shot")]
    panels: bool,
    /// Units: ft (feet, inches, quarters) or m
    #[arg(long, value_name = "ft|m", default_value = "ft", value_parser = values::units)]
    units: UnitSystem,
    /// Begin with the film as it hangs under a load case; needs a site that has the case
    #[arg(long, value_name = "CASE", value_parser = cases(), conflicts_with = "lesson")]
    load: Option<Case>,
    #[command(flatten)]
    siting: Siting,
}

/// The short name of a lesson.
fn lesson(name: &str) -> Result<String, String> {
    if names().any(|known| known == name) {
        return Ok(name.to_owned());
    }
    Err(match suggest(name, names()) {
        Some(near) => format!("no lesson is called '{name}'; did you mean '{near}'?"),
        None => format!(
            "no lesson is called '{name}'; there are {}",
            names().collect::<Vec<_>>().join(", ")
        ),
    })
}

fn vantages() -> impl TypedValueParser<Value = Vantage> {
    // The other words are taken too; help names them in its sentence.
    let values = Vantage::ALL
        .map(|vantage| PossibleValue::new(vantage.word()).aliases(vantage.other_word()));
    PossibleValuesParser::new(values).map(|word| Vantage::named(&word).unwrap_or_default())
}

fn shows() -> impl TypedValueParser<Value = Show> {
    PossibleValuesParser::new(Show::ALL.map(Show::word)).map(|word| {
        Show::ALL
            .into_iter()
            .find(|show| show.word() == word)
            .unwrap_or_default()
    })
}

fn cases() -> impl TypedValueParser<Value = Case> {
    PossibleValuesParser::new(Case::ALL.map(case_word)).map(|word| {
        Case::ALL
            .into_iter()
            .find(|case| case_word(*case) == word)
            .unwrap_or(Case::BalancedSnow)
    })
}

/// A case to begin with needs a site that has it.
fn check_case(load: Option<Case>, site: Option<&Site>) -> Result<(), Failure> {
    let Some(case) = load else { return Ok(()) };
    let word = case_word(case);
    let Some(site) = site else {
        return Err(Failure::plain(
            format!("--load {word} needs a site to load the cover by"),
            "give snow or wind with its code, as --snow 20psf --code asce7-16, or --site FILE"
                .to_owned(),
        ));
    };
    if has_case(site, case) {
        return Ok(());
    }
    let others: Vec<&str> = Case::ALL
        .into_iter()
        .filter(|other| has_case(site, *other))
        .map(case_word)
        .collect();
    Err(Failure::plain(
        format!("this site has no load case '{word}'"),
        if others.is_empty() {
            "give it snow or wind, or a speed on the road".to_owned()
        } else {
            format!("it has {}", others.join(", "))
        },
    ))
}

pub(super) fn run(
    arguments: &Arguments,
    view: impl FnOnce(ViewRequest) -> Result<Option<String>, Refusal>,
) -> Result<Outcome, Failure> {
    let source = read_boat(&arguments.boat)?;
    let file = Path::new(&arguments.boat);
    let site = arguments.siting.site()?;
    check_case(arguments.load, site.as_ref())?;
    if let Some(shot) = &arguments.shot {
        let boat = file.is_file().then(|| file.to_owned());
        let inputs: Vec<PathBuf> = boat.into_iter().chain(arguments.siting.input()).collect();
        disk::check_picture(shot, &inputs)?;
    }
    let request = ViewRequest {
        boat: source.boat,
        source: source.name,
        file: file.is_file().then(|| file.to_owned()),
        units: arguments.units,
        show: arguments.show,
        labels: !arguments.no_labels,
        from: arguments.from,
        panels: arguments.panels,
        lesson: arguments.lesson.clone(),
        site,
        load: arguments.load,
        shot: arguments.shot.as_ref().map(|file| Shot {
            file: file.clone(),
            size: arguments.size,
            frames: arguments.frames,
        }),
    };
    let told = view(request).map_err(|refusal| Failure::plain(refusal.what, refusal.hint))?;
    if let Some(told) = told {
        talk::say(&told);
    }
    if let Some(file) = &arguments.shot {
        talk::say(&format!("wrote {}", file.display()));
    }
    Ok(Outcome::Good)
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::Parser;

    #[derive(Debug, Parser)]
    struct Line {
        #[command(flatten)]
        arguments: Arguments,
    }

    /// What is asked of the viewer, or the refusal in words.
    fn check(line: &str) -> Result<(Option<Case>, bool), String> {
        let words = std::iter::once("view").chain(line.split_whitespace());
        let line = Line::try_parse_from(words).map_err(|error| error.to_string())?;
        let mut asked = None;
        run(&line.arguments, |request| {
            asked = Some((request.load, request.site.is_some()));
            Ok(None)
        })
        .map_err(|failure| format!("{failure:?}"))?;
        asked.ok_or_else(|| "nothing was asked for".to_owned())
    }

    #[test]
    fn a_load_case_needs_a_site_that_has_it() {
        let snow = "--snow 20psf --code asce7-16";
        for (line, wanted) in [
            (String::new(), Ok((None, false))),
            (snow.to_owned(), Ok((None, true))),
            (
                format!("--load balanced {snow}"),
                Ok((Some(Case::BalancedSnow), true)),
            ),
            (
                format!("--load rain {snow}"),
                Ok((Some(Case::RainOnSnow), true)),
            ),
            (
                "--load road --stored hauled --speed 60mph".to_owned(),
                Ok((Some(Case::Road), true)),
            ),
            ("--load balanced".to_owned(), Err("needs a site")),
            (
                format!("--load wind {snow}"),
                Err("it has balanced, port, starboard, rain"),
            ),
            (format!("--load heavy {snow}"), Err("balanced")),
            (
                format!("--load balanced --lesson low-post {snow}"),
                Err("cannot be used with"),
            ),
        ] {
            match (check(&line), wanted) {
                (Ok(asked), Ok(wanted)) => assert_eq!(asked, wanted, "{line}"),
                (Err(words), Err(wanted)) => assert!(words.contains(wanted), "{line}: {words}"),
                (asked, wanted) => panic!("{line}: {asked:?} {wanted:?}"),
            }
        }
    }
}
