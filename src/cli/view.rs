//! `hulltent view`: a boat, its frame and its cover in a window, or as a picture without one.

use super::report::Failure;
use super::source::read_boat;
use super::{Outcome, talk, values};
use crate::boat::suggest;
use crate::lesson::names;
use crate::units::UnitSystem;
use crate::view::{Refusal, Shot, Show, Vantage, ViewRequest};
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

pub(super) fn run(
    arguments: &Arguments,
    view: impl FnOnce(ViewRequest) -> Result<Option<String>, Refusal>,
) -> Result<Outcome, Failure> {
    let source = read_boat(&arguments.boat)?;
    let file = Path::new(&arguments.boat);
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
