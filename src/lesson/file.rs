//! A lesson file: as it is written, and how it is read with all its problems at once.

use super::change::Change;
use super::measure::Measure;
use super::words::check_text;
use super::{Choice, Lesson, Place};
use crate::boat::{
    Checker, Places, Problem, Problems, Quantity, preset, presets, read_file, suggest,
};
use serde::Deserialize;
use serde_aux::prelude::serde_introspect;

type Q = Option<Quantity>;

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename = "Lesson")]
struct LessonFile {
    title: Option<String>,
    boat: Option<String>,
    change: Vec<ChangeFile>,
    snow: Q,
    story: Option<String>,
    watch: Option<WatchFile>,
    measure: Option<MeasureFile>,
    question: Option<String>,
    choices: Vec<ChoiceFile>,
    explanation: Option<String>,
    caution: Option<String>,
}

#[derive(Debug, Deserialize)]
enum ChangeFile {
    LowerPost(LowerPostFile),
    MovePost(MovePostFile),
    RemovePost(RemovePostFile),
    RemoveHipStraps,
    RidgeTension(RidgeTensionFile),
    FlatHardtop(FlatHardtopFile),
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct LowerPostFile {
    post: Option<String>,
    by: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct MovePostFile {
    post: Option<String>,
    forward: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct RemovePostFile {
    post: Option<String>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct RidgeTensionFile {
    factor: Option<f64>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct FlatHardtopFile {
    from: Q,
    to: Q,
    width: Q,
    top: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct WatchFile {
    at: Option<PlaceFile>,
    words: Option<String>,
}

#[derive(Debug, Deserialize)]
enum PlaceFile {
    Post(String),
    Between(String, String),
    Box(String),
    SternCorners,
    BowCorners,
}

#[derive(Debug, Deserialize)]
enum MeasureFile {
    HoldingArea,
    SnowHeld,
    MeltWater,
    LeastSlope,
    Sag,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct ChoiceFile {
    text: Option<String>,
    below: Option<f64>,
}

/// Where to see how a lesson file looks.
const EXAMPLE: &str = "see low-post.ron among the lessons that come with hulltent";

/// Longest texts, in characters: a title stands on one line, the others in a panel beside the covers.
const LONGEST_TITLE: usize = 40;
const LONGEST_TEXT: usize = 600;

/// Deepest snowfall of a lesson, m.
const DEEPEST_SNOW: f64 = 2.0;

/// Reads the text of a lesson file.
///
/// # Errors
/// Every problem found, each with its place and a hint. Text that is not RON, or a value of a wrong kind, ends the
/// reading there.
pub fn read(text: &str) -> Result<Lesson, Problems> {
    read_file::<LessonFile, _>(text, known_fields, EXAMPLE, interpret)
}

fn known_fields(place: &str) -> Vec<&'static str> {
    match place {
        "" => serde_introspect::<LessonFile>().to_vec(),
        "change" => [
            serde_introspect::<LowerPostFile>(),
            serde_introspect::<MovePostFile>(),
            serde_introspect::<RidgeTensionFile>(),
            serde_introspect::<FlatHardtopFile>(),
        ]
        .concat(),
        "watch" => serde_introspect::<WatchFile>().to_vec(),
        "choices" => serde_introspect::<ChoiceFile>().to_vec(),
        _ => Vec::new(),
    }
}

fn interpret(file: LessonFile, check: &mut Checker, places: &Places) -> Lesson {
    let title = words(check, "title", file.title, LONGEST_TITLE);
    let boat = words(check, "boat", file.boat, LONGEST_TITLE);
    if !boat.is_empty() && preset(&boat).is_none() {
        let names = || presets().iter().map(|preset| preset.name);
        let hint = match suggest(&boat, names()) {
            Some(near) => format!("did you mean '{near}'?"),
            None => format!("one of {}", names().collect::<Vec<_>>().join(", ")),
        };
        check.problem("boat", format!("no preset '{boat}'"), hint);
    }
    if file.change.is_empty() {
        check.problem(
            "change",
            "nothing is changed",
            "add change: [LowerPost(post: \"P1\", by: \"8 in\")] or another change",
        );
    }
    let mut changes = Vec::new();
    let mut change_places = Vec::new();
    for (index, change) in file.change.into_iter().enumerate() {
        let path = format!("change[{index}]");
        changes.extend(read_change(check, &path, change));
        let place = places.find(&path);
        change_places.push(place.map(|place| (place.line, place.column)));
    }
    let snow = check.required_length("snow", &file.snow, 0.005..=DEEPEST_SNOW, 0.25);
    let watch = file.watch.unwrap_or_default();
    let watch_words = words(check, "watch.words", watch.words, LONGEST_TEXT);
    let watch_at = watch.at.map(|at| match at {
        PlaceFile::Post(post) => Place::Post(post),
        PlaceFile::Between(aft, fore) => Place::Between(aft, fore),
        PlaceFile::Box(name) => Place::Box(name),
        PlaceFile::SternCorners => Place::SternCorners,
        PlaceFile::BowCorners => Place::BowCorners,
    });
    if watch_at.is_none() {
        check.problem(
            "watch.at",
            "'at' is missing",
            "add at: Between(\"P1\", \"P2\"), Post(\"P1\"), Box(\"hardtop\"), SternCorners or BowCorners",
        );
    }
    let measure = file.measure.map(|measure| match measure {
        MeasureFile::HoldingArea => Measure::HoldingArea,
        MeasureFile::SnowHeld => Measure::SnowHeld,
        MeasureFile::MeltWater => Measure::MeltWater,
        MeasureFile::LeastSlope => Measure::LeastSlope,
        MeasureFile::Sag => Measure::Sag,
    });
    if measure.is_none() {
        check.problem(
            "measure",
            "'measure' is missing",
            "add measure: SnowHeld, HoldingArea, MeltWater, LeastSlope or Sag",
        );
    }
    let question = words(check, "question", file.question, LONGEST_TEXT);
    let choices = read_choices(check, file.choices);
    let explanation = words(check, "explanation", file.explanation, LONGEST_TEXT);
    let story = words(check, "story", file.story, LONGEST_TEXT);
    for (path, text) in [("story", &story), ("explanation", &explanation)] {
        check_text(check, path, text, &changes);
    }
    let caution = words(check, "caution", file.caution, LONGEST_TEXT);
    Lesson {
        name: String::new(),
        title,
        boat,
        changes,
        change_places,
        snow,
        story,
        watch: watch_words,
        // The stand-ins are never seen: the problems noted above are returned instead.
        watch_at: watch_at.unwrap_or(Place::SternCorners),
        measure: measure.unwrap_or(Measure::SnowHeld),
        question,
        choices,
        explanation,
        caution,
    }
}

/// A text that the file must give.
fn words(check: &mut Checker, path: &str, text: Option<String>, longest: usize) -> String {
    let field = path.rsplit('.').next().unwrap_or(path);
    let Some(text) = text else {
        check.problem(
            path,
            format!("'{field}' is missing"),
            format!("add {field}: \"...\""),
        );
        return String::new();
    };
    let long = text.chars().count();
    if text.trim().is_empty() || text.chars().any(char::is_control) || long > longest {
        check.problem(
            path,
            format!("'{field}' does not fit its place"),
            format!("write 1 to {longest} plain characters on one line; it has {long}"),
        );
    }
    text
}

fn read_change(check: &mut Checker, path: &str, change: ChangeFile) -> Option<Change> {
    let at = |field: &str| format!("{path}.{field}");
    let post = |check: &mut Checker, name| words(check, &at("post"), name, LONGEST_TITLE);
    Some(match change {
        ChangeFile::LowerPost(file) => Change::LowerPost {
            post: post(check, file.post),
            by: check.required_length(&at("by"), &file.by, 0.01..=3.0, 0.1),
        },
        ChangeFile::MovePost(file) => Change::MovePost {
            post: post(check, file.post),
            forward: check.required_length(&at("forward"), &file.forward, -10.0..=10.0, 0.1),
        },
        ChangeFile::RemovePost(file) => Change::RemovePost {
            post: post(check, file.post),
        },
        ChangeFile::RemoveHipStraps => Change::RemoveHipStraps,
        ChangeFile::RidgeTension(file) => {
            if file.factor.is_none() {
                check.problem(
                    &at("factor"),
                    "'factor' is missing",
                    "add factor: 0.25 for a quarter of the tension",
                );
            }
            Change::RidgeTension {
                factor: check.fraction(&at("factor"), file.factor, 0.01..=10.0)?,
            }
        }
        ChangeFile::FlatHardtop(file) => {
            let mut length = |field: &str, quantity, range| {
                check.required_length(&at(field), quantity, range, 1.0)
            };
            let (from, to) = (
                length("from", &file.from, 0.0..=40.0),
                length("to", &file.to, 0.0..=40.0),
            );
            let (width, top) = (
                length("width", &file.width, 0.1..=10.0),
                length("top", &file.top, 0.3..=10.0),
            );
            if file.from.is_some() && file.to.is_some() && to <= from {
                check.problem(
                    &at("to"),
                    "the hardtop ends before it begins",
                    "stations run forward: from is the aft end, to the fore end",
                );
            }
            Change::FlatHardtop {
                from,
                to,
                width,
                top,
            }
        }
    })
}

/// The choices, by how many times the plan's number the rival's is: each holds below its own limit and from the limit
/// of the one before, the last without end. So one of them is right, whatever the answer.
fn read_choices(check: &mut Checker, file: Vec<ChoiceFile>) -> Vec<Choice> {
    if file.len() < 2 {
        check.problem(
            "choices",
            "there is nothing to choose from",
            "add choices: [(text: \"...\", below: 1.5), (text: \"...\")]",
        );
    }
    let last = file.len().saturating_sub(1);
    let mut choices: Vec<Choice> = Vec::new();
    for (index, choice) in file.into_iter().enumerate() {
        let path = format!("choices[{index}].below");
        let text = words(
            check,
            &format!("choices[{index}].text"),
            choice.text,
            LONGEST_TEXT,
        );
        let before = choices.last().map_or(0.0, |choice| choice.below);
        match choice.below {
            None if index < last => check.problem(
                &path,
                "only the last choice holds without a limit",
                "add below: how many times the plan's number this choice ends at",
            ),
            Some(_) if index == last => check.problem(
                &path,
                "the last choice must hold without a limit",
                "leave 'below' out, so that one choice is always right",
            ),
            Some(below) if !(below.is_finite() && below > before) => check.problem(
                &path,
                "the limits of the choices must rise",
                "order the choices from the least to the most",
            ),
            _ => {}
        }
        choices.push(Choice {
            text,
            below: choice.below.unwrap_or(f64::INFINITY),
        });
    }
    choices
}

/// A problem of a lesson that has no place in its text.
pub(super) fn problem(path: &str, what: String, hint: String) -> Problem {
    Problem {
        path: path.to_owned(),
        place: None,
        what,
        hint,
    }
}
