//! Reads a boat file: text in, a validated [`Boat`] or all its problems out.

use super::check::Checker;
use super::file::{BoatFile, SheerFile};
use super::places::Places;
use super::problem::{Problem, Problems};
use super::suggest::suggest;
use super::{Boat, HeightsFrom, limits, plausible, quotes};
use super::{
    read_anchors, read_hull, read_rules, read_storage, read_things, read_wishes, read_zones,
};
use ron::extensions::Extensions;
use serde::de::DeserializeOwned;
use serde_aux::prelude::serde_introspect;

/// A boat file is a page of text; anything larger is something else, bytes.
pub const LARGEST_FILE: usize = 1 << 20;

/// Deepest nesting that is read; real files need seven.
const DEEPEST: usize = 32;

/// Shortest and longest boat that hulltent plans, m.
const LENGTHS: std::ops::RangeInclusive<f64> = 1.5..=40.0;

/// Reads the bytes of a boat file; see [`read`].
///
/// # Errors
/// Also when the bytes are too many or not UTF-8.
pub fn read_bytes(
    bytes: &[u8],
    companion: &dyn Fn(&str) -> Result<String, String>,
) -> Result<Boat, Problems> {
    if bytes.len() > LARGEST_FILE {
        return Err(whole_file(
            format!(
                "the file is too large for a boat file: {} bytes",
                bytes.len()
            ),
            format!("a boat file is text of at most {LARGEST_FILE} bytes; check the name"),
        ));
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => read(text, companion),
        Err(error) => Err(whole_file(
            format!(
                "not UTF-8 text: byte {} cannot be read",
                error.valid_up_to()
            ),
            "save the file as plain UTF-8 text",
        )),
    }
}

fn whole_file(what: impl Into<String>, hint: impl Into<String>) -> Problems {
    Problems {
        list: vec![Problem {
            path: String::new(),
            place: None,
            what: what.into(),
            hint: hint.into(),
        }],
    }
}

/// Reads the text of a boat file. `companion` returns the text of a file beside it by name (a table of
/// offsets); the core itself opens no file.
///
/// # Errors
/// Every problem found, each with its place and a hint. Text that is not RON, or a value of a wrong
/// kind, ends the reading there, so such a file shows that problem together with misspelt fields before it.
pub fn read(
    text: &str,
    companion: &dyn Fn(&str) -> Result<String, String>,
) -> Result<Boat, Problems> {
    read_file::<BoatFile, _>(text, known_fields, BOAT_FILES, |file, check, _| {
        interpret(file, check, companion)
    })
}

/// Reads the text of a file in the language of boat files: `T` is the file as it is written, `interpret` makes what is
/// wanted of it and notes what is wrong. `known` gives the fields that the struct or list at a path may have, `example`
/// says where to see how such a file looks.
///
/// # Errors
/// Every problem found, each with its place and a hint. Text that is not RON, or a value of a wrong kind, ends the
/// reading there, so such a file shows that problem together with misspelt fields before it.
pub(crate) fn read_file<T: DeserializeOwned, V>(
    text: &str,
    known: fn(&str) -> Vec<&'static str>,
    example: &str,
    interpret: impl FnOnce(T, &mut Checker, &Places) -> V,
) -> Result<V, Problems> {
    // Some editors begin a file with a byte order mark.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let places = Places::scan(text);
    let mut check = Checker::new(&places);
    match parse::<T>(text, &mut check, known, example) {
        Ok(file) => {
            let value = interpret(file, &mut check, &places);
            check.finish(value)
        }
        Err(problem) => {
            let mut list = match check.finish(()) {
                Ok(()) => Vec::new(),
                Err(problems) => problems.list,
            };
            list.push(*problem);
            Err(Problems { list })
        }
    }
}

/// Where to see how a boat file looks.
const BOAT_FILES: &str = "see `hulltent presets --show open-runabout-18` for how a boat file looks";

/// RON to a file's schema; fields that it does not know are noted as problems. `known` gives the fields that the
/// struct or list at a path may have, `example` says where to see how such a file looks.
fn parse<T: DeserializeOwned>(
    text: &str,
    check: &mut Checker,
    known: fn(&str) -> Vec<&'static str>,
    example: &str,
) -> Result<T, Box<Problem>> {
    let options = ron::Options::default()
        .with_default_extension(
            Extensions::IMPLICIT_SOME
                | Extensions::UNWRAP_NEWTYPES
                | Extensions::UNWRAP_VARIANT_NEWTYPES,
        )
        .with_recursion_limit(DEEPEST);
    let syntax = |error: &ron::error::Error, line: usize, column: usize| {
        let what = error.to_string();
        let hint = match error {
            ron::error::Error::NoSuchEnumVariant {
                expected, found, ..
            } => match suggest(found, expected.iter().copied()) {
                Some(near) => format!("did you mean '{near}'?"),
                None => format!("one of {}", expected.join(", ")),
            },
            ron::error::Error::Eof | ron::error::Error::ExpectedStringEnd => {
                "the file ends too early: it may be cut off".to_owned()
            }
            _ => example.to_owned(),
        };
        Box::new(Problem {
            path: String::new(),
            place: Some((line, column)),
            what,
            hint,
        })
    };
    let syntax = |error: &ron::error::Error, line: usize, column: usize| {
        let reread = |text: &str| {
            options
                .from_str::<T>(text)
                .err()
                .map(|error| error.span.start)
        };
        quotes_problem(text, line, column, |text| {
            reread(text).map(|place| (place.line, place.col))
        })
        .unwrap_or_else(|| syntax(error, line, column))
    };
    let mut deserializer = ron::Deserializer::from_str_with_options(text, &options)
        .map_err(|error| syntax(&error.code, error.span.start.line, error.span.start.col))?;
    let mut unknown = Vec::new();
    let file: Result<T, _> = serde_ignored::deserialize(&mut deserializer, |path| {
        unknown.push(field_path(&path.to_string()));
    });
    for path in &unknown {
        unknown_field(path, check, known);
    }
    file.and_then(|file| deserializer.end().map(|()| file))
        .map_err(|error| {
            let error = deserializer.span_error(error);
            syntax(&error.code, error.span.start.line, error.span.start.col)
        })
}

/// Lines that are tried with their quotes in order.
const MENDED_LINES: usize = 20;

/// Where quotes that are not in order keep a file from being read: the first line that is read further once its quotes
/// are put right. `reread` gives the line and column at which a text cannot be read on.
fn quotes_problem(
    text: &str,
    line: usize,
    column: usize,
    reread: impl Fn(&str) -> Option<(usize, usize)>,
) -> Option<Box<Problem>> {
    let mended = quotes::mended_lines(text, line, MENDED_LINES)
        .into_iter()
        .find(|mended| reread(&mended.file).is_none_or(|place| place > (line, column)))?;
    Some(Box::new(Problem {
        path: String::new(),
        place: Some((mended.line, mended.column)),
        what: "the quotes are not in order here: an inch mark ends a text in quotes, curly quotes do not begin one, \
               and a length needs them"
            .to_owned(),
        hint: format!("write the line so: {}", mended.text),
    }))
}

/// From serde_ignored's dotted path to ours: list items in brackets, no marks for options.
fn field_path(dotted: &str) -> String {
    let mut path = String::new();
    for piece in dotted.split('.').filter(|piece| *piece != "?") {
        if piece.chars().all(|c| c.is_ascii_digit()) {
            path.push_str(&format!("[{piece}]"));
        } else {
            if !path.is_empty() {
                path.push('.');
            }
            path.push_str(piece);
        }
    }
    path
}

/// The fields that the struct or list at a path may have, as serde knows them.
fn known_fields(place: &str) -> Vec<&'static str> {
    use super::file::*;
    use super::kept::{CornerFile, NeedFile, StretchFile};
    match place {
        "" => serde_introspect::<BoatFile>().to_vec(),
        "sheer" => serde_introspect::<SheerFile>().to_vec(),
        "hull" => [
            serde_introspect::<SectionFile>(),
            serde_introspect::<TubesFile>(),
            serde_introspect::<CatamaranFile>(),
            serde_introspect::<OffsetsFile>(),
        ]
        .concat(),
        "boxes" => serde_introspect::<BoxFile>().to_vec(),
        "tubes" => serde_introspect::<TubeFile>().to_vec(),
        "mast" => [
            serde_introspect::<MastUpFile>(),
            serde_introspect::<MastDownFile>(),
        ]
        .concat(),
        "antennas" => serde_introspect::<AntennaFile>().to_vec(),
        "anchors" => [
            serde_introspect::<BowEyeFile>(),
            serde_introspect::<SternEyeFile>(),
            serde_introspect::<SamsonPostFile>(),
            serde_introspect::<CleatFile>(),
            serde_introspect::<RailFile>(),
        ]
        .concat(),
        "footings" => serde_introspect::<FootingFile>().to_vec(),
        "no_post" => serde_introspect::<ZoneFile>().to_vec(),
        "stored_on" => serde_introspect::<SupportFile>().to_vec(),
        "door" => serde_introspect::<DoorFile>().to_vec(),
        "frame" => serde_introspect::<FrameFile>().to_vec(),
        "frame.ridge" => serde_introspect::<TwinFile>().to_vec(),
        "frame.posts" => serde_introspect::<PostFile>().to_vec(),
        "frame.straps" => serde_introspect::<StrapFile>().to_vec(),
        "frame.posts.kept" | "frame.straps.kept" => [
            serde_introspect::<NeedFile>(),
            serde_introspect::<StretchFile>(),
            serde_introspect::<CornerFile>(),
        ]
        .concat(),
        "rules" => serde_introspect::<RulesFile>().to_vec(),
        _ => Vec::new(),
    }
}

fn unknown_field(path: &str, check: &mut Checker, known: fn(&str) -> Vec<&'static str>) {
    let (parent, field) = path.rsplit_once('.').unwrap_or(("", path));
    let place: String = parent
        .split('[')
        .map(|piece| piece.split_once(']').map_or(piece, |(_, rest)| rest))
        .collect();
    let known = known(&place);
    let hint = match suggest(field, known.iter().copied()) {
        Some(near) => format!("did you mean '{near}'?"),
        None if known.is_empty() => "remove it".to_owned(),
        None => format!("known here: {}", known.join(", ")),
    };
    check.problem(path, format!("unknown field '{field}'"), hint);
}

fn interpret(
    file: BoatFile,
    check: &mut Checker,
    companion: &dyn Fn(&str) -> Result<String, String>,
) -> Boat {
    let length = check.required_length("length", &file.length, LENGTHS, 6.0);
    let beam = check.required_length("beam", &file.beam, 0.5..=15.0, (0.4 * length).min(2.4));
    if beam > length {
        check.problem(
            "beam",
            "the beam is greater than the length",
            "check which is which, and the units of both",
        );
    }
    check.units_of(&file.length);
    let datum = datum(&file, check);
    check.datum = datum;
    let sheer = sheer(file.sheer.as_ref(), check, datum);
    let least_sheer = sheer.iter().copied().fold(f64::INFINITY, f64::min);
    let rub_rail = check
        .length("rub_rail", &file.rub_rail, 0.0..=0.6 * least_sheer)
        .unwrap_or(0.0);
    let sole = check
        .length("sole", &file.sole, datum..=datum + 6.0)
        .map_or(DEFAULT_SOLE * sheer[0], |sole| sole - datum);
    let hull = read_hull::hull(file.hull, check, length, beam, sheer, companion);
    if file.heights_from.is_none() {
        plausible::level(check, &hull, beam, sheer);
    }
    let rules = read_rules::rules(&file.rules, check);
    let name = file.name.unwrap_or_else(|| UNNAMED.to_owned());
    if name.chars().any(char::is_control) || name.chars().count() > LONGEST_NAME {
        check.problem(
            "name",
            "the name does not fit on a sheet",
            format!("use at most {LONGEST_NAME} plain characters on one line"),
        );
    }
    let mut boat = Boat {
        name,
        note: file.note.unwrap_or_default(),
        length,
        beam,
        sheer,
        hull,
        rub_rail,
        sole,
        boxes: Vec::new(),
        tubes: Vec::new(),
        piercings: Vec::new(),
        anchors: Vec::new(),
        footings: Vec::new(),
        no_post: Vec::new(),
        stored_on: read_storage::stored_on(file.stored_on.as_ref(), check, length),
        door: None,
        wishes: Default::default(),
        rules,
    };
    boat.boxes = read_things::boxes(&file.boxes, check, &boat, datum);
    boat.tubes = read_things::tubes(&file.tubes, check, &boat, datum);
    read_things::mast(file.mast.as_ref(), check, &mut boat, datum);
    read_things::antennas(&file.antennas, check, &mut boat);
    boat.anchors = read_anchors::anchors(&file.anchors, check, &boat, datum);
    boat.footings = read_zones::footings(&file.footings, check, &boat, datum);
    boat.no_post = read_zones::zones(&file.no_post, check, &boat);
    boat.door = file
        .door
        .as_ref()
        .and_then(|door| read_storage::door(door, check, length));
    boat.wishes = read_wishes::wishes(&file.frame, check, &boat, datum);
    limits::mesh_size(check, &boat);
    boat
}

/// The name of a boat that has none.
pub(super) const UNNAMED: &str = "unnamed boat";

/// Longest name that fits on a sheet's title line.
const LONGEST_NAME: usize = 60;

/// Sole over the keel as a part of the sheer height at the stern, where the file has none; common
/// practice for open boats.
pub(super) const DEFAULT_SOLE: f64 = 0.45;

/// What is subtracted from each height in the file, m.
fn datum(file: &BoatFile, check: &mut Checker) -> f64 {
    if file.heights_from.unwrap_or_default() == HeightsFrom::Keel {
        return 0.0;
    }
    let keel = file.stored_on.as_ref().and_then(|s| s.keel_height.clone());
    if keel.is_none() {
        check.problem(
            "heights_from",
            "heights from the ground need the keel's own height",
            "add stored_on: (keel_height: \"...\"), measured from the ground to the hull's lowest point",
        );
    }
    check
        .length("stored_on.keel_height", &keel, 0.0..=6.0)
        .unwrap_or(0.0)
}

fn sheer(file: Option<&SheerFile>, check: &mut Checker, datum: f64) -> [f64; 3] {
    let Some(file) = file else {
        check.problem(
            "sheer",
            "'sheer' is missing",
            "add sheer: (bow: \"...\", middle: \"...\", stern: \"...\"), the heights of the sheer",
        );
        return [1.0; 3];
    };
    let range = datum + 0.15..=datum + 6.0;
    let mut read = |name: &str, quantity| {
        let path = format!("sheer.{name}");
        check.required_length(&path, quantity, range.clone(), datum + 1.0) - datum
    };
    [
        read("stern", &file.stern),
        read("middle", &file.middle),
        read("bow", &file.bow),
    ]
}
