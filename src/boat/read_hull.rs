//! The hull's shape from the file.

use super::check::Checker;
use super::file::{CatamaranFile, HullFile, OffsetsFile, SectionFile, TubesFile};
use super::plausible;
use super::{HullForm, MonoForm, OffsetSection, Section};

/// Part of the sheer height that a chine may reach at most: above it no topside is left.
const HIGHEST_CHINE: f64 = 0.9;

/// What a hull has that the file says nothing of: middling boats of each kind, house rules. Angles in degrees.
pub(super) mod defaults {
    pub const TRANSOM_BEAM: f64 = 0.94;
    pub const FULLNESS: f64 = 0.35;
    pub const STEM_RAKE: f64 = 35.0;
    pub const TRANSOM_RAKE: f64 = 8.0;
    pub const TRANSOM_DEADRISE: f64 = 16.0;
    pub const ENTRY_DEADRISE: f64 = 40.0;
    pub const CHINE_OF_V: f64 = 0.84;
    pub const CHINE_OF_FLAT: f64 = 0.8;
    pub const BILGE: f64 = 0.5;
    pub const BILGE_DEADRISE: f64 = 12.0;
    pub const TUBES: u32 = 2;
    pub const TUBE_DIAMETER: f64 = 0.6;
    /// Of the beam.
    pub const CATAMARAN_HULL: f64 = 0.25;
    pub const CATAMARAN_DEADRISE: f64 = 25.0;
    /// Of the lowest sheer.
    pub const CATAMARAN_DECK: f64 = 0.2;
    pub const CATAMARAN_STEM_RAKE: f64 = 10.0;
}

/// Most stations of a table of offsets.
const MAX_SECTIONS: usize = 500;

/// Most points at one station.
const MAX_SECTION_POINTS: usize = 300;

type Companion<'a> = &'a dyn Fn(&str) -> Result<String, String>;

pub(super) fn hull(
    file: Option<HullFile>,
    check: &mut Checker,
    length: f64,
    beam: f64,
    sheer: [f64; 3],
    companion: Companion,
) -> HullForm {
    match file.unwrap_or_else(|| HullFile::V(SectionFile::default())) {
        HullFile::V(file) => v(&file, check, beam, sheer),
        HullFile::RoundBilge(file) => round_bilge(&file, check, beam),
        HullFile::Flat(file) => flat(&file, check, beam),
        HullFile::Tubes(file) => tubes(&file, check, beam, sheer),
        HullFile::Catamaran(file) => catamaran(&file, check, beam, sheer),
        HullFile::Offsets(file) => offsets(&file, check, length, beam, sheer, companion),
    }
}

fn mono(file: &SectionFile, check: &mut Checker, beam: f64, section: Section) -> HullForm {
    let transom_beam = check.length("hull.transom_beam", &file.transom_beam, 0.05..=beam);
    HullForm::Mono(MonoForm {
        section,
        transom_beam_fraction: transom_beam.map_or(defaults::TRANSOM_BEAM, |b| b / beam),
        fullness: check
            .fraction("hull.fullness", file.fullness, 0.0..=1.0)
            .unwrap_or(defaults::FULLNESS),
        stem_rake: check
            .angle("hull.stem_rake", &file.stem_rake, 0.0..=65.0)
            .unwrap_or(defaults::STEM_RAKE.to_radians()),
        transom_rake: check
            .angle("hull.transom_rake", &file.transom_rake, -30.0..=40.0)
            .unwrap_or(defaults::TRANSOM_RAKE.to_radians()),
    })
}

fn chine(file: &SectionFile, check: &mut Checker, beam: f64, default: f64) -> f64 {
    check
        .length("hull.chine_beam", &file.chine_beam, 0.3 * beam..=beam)
        .map_or(default, |chine| chine / beam)
}

fn v(file: &SectionFile, check: &mut Checker, beam: f64, sheer: [f64; 3]) -> HullForm {
    let section = Section::V {
        transom_deadrise: check
            .angle("hull.transom_deadrise", &file.transom_deadrise, 0.0..=60.0)
            .unwrap_or(defaults::TRANSOM_DEADRISE.to_radians()),
        entry_deadrise: check
            .angle("hull.entry_deadrise", &file.entry_deadrise, 0.0..=75.0)
            .unwrap_or(defaults::ENTRY_DEADRISE.to_radians()),
        chine_beam_fraction: chine(file, check, beam, defaults::CHINE_OF_V),
    };
    if let Section::V {
        transom_deadrise,
        entry_deadrise,
        chine_beam_fraction,
    } = section
    {
        let half = 0.5 * beam * chine_beam_fraction;
        let chine_height = half * transom_deadrise.tan();
        if chine_height > HIGHEST_CHINE * sheer[0].min(sheer[1]) {
            let chine_height = check.typed(chine_height);
            check.problem(
                "hull.transom_deadrise",
                format!(
                    "the hull crosses itself: with this deadrise the chine lies {} up, at or above the sheer",
                    chine_height
                ),
                "give a smaller deadrise, a smaller chine_beam or a higher sheer",
            );
        }
        if entry_deadrise + EVEN < transom_deadrise {
            check.problem(
                "hull.entry_deadrise",
                "the deadrise at the entry is less than at the transom",
                "a V bottom steepens forward: check which is which",
            );
        }
    }
    no_field(check, "hull.bilge", file.bilge.is_some(), "RoundBilge");
    mono(file, check, beam, section)
}

/// Two deadrises closer than this are one, rad.
const EVEN: f64 = 1e-6;

fn no_field(check: &mut Checker, path: &str, present: bool, belongs_to: &str) {
    if present {
        check.problem(
            path,
            "this field means nothing for this shape of hull",
            format!("remove it, or make the hull a {belongs_to}"),
        );
    }
}

fn round_bilge(file: &SectionFile, check: &mut Checker, beam: f64) -> HullForm {
    let section = Section::RoundBilge {
        bilge: check
            .fraction("hull.bilge", file.bilge, 0.0..=1.0)
            .unwrap_or(defaults::BILGE),
        deadrise: check
            .angle("hull.transom_deadrise", &file.transom_deadrise, 0.0..=45.0)
            .unwrap_or(defaults::BILGE_DEADRISE.to_radians()),
    };
    no_field(check, "hull.chine_beam", file.chine_beam.is_some(), "V");
    no_field(
        check,
        "hull.entry_deadrise",
        file.entry_deadrise.is_some(),
        "V",
    );
    mono(file, check, beam, section)
}

fn flat(file: &SectionFile, check: &mut Checker, beam: f64) -> HullForm {
    let section = Section::Flat {
        chine_beam_fraction: chine(file, check, beam, defaults::CHINE_OF_FLAT),
    };
    for (path, present) in [
        ("hull.transom_deadrise", file.transom_deadrise.is_some()),
        ("hull.entry_deadrise", file.entry_deadrise.is_some()),
        ("hull.bilge", file.bilge.is_some()),
    ] {
        no_field(check, path, present, "V or RoundBilge");
    }
    mono(file, check, beam, section)
}

fn tubes(file: &TubesFile, check: &mut Checker, beam: f64, sheer: [f64; 3]) -> HullForm {
    let count = file.count.unwrap_or(defaults::TUBES);
    if !(2..=3).contains(&count) {
        check.problem(
            "hull.count",
            format!("{count} tubes"),
            "a tube hull has 2 or 3",
        );
    }
    let count = count.clamp(2, 3);
    let diameter = check
        .length("hull.diameter", &file.diameter, 0.2..=1.5)
        .unwrap_or(defaults::TUBE_DIAMETER);
    if f64::from(count) * diameter > 0.95 * beam {
        check.problem(
            "hull.diameter",
            format!("{count} tubes of this diameter do not fit side by side in the beam"),
            "check the tubes' diameter and the beam",
        );
    }
    let lowest = sheer.iter().copied().fold(f64::INFINITY, f64::min);
    if diameter + THINNEST_DECK > lowest {
        check.problem(
            "hull.diameter",
            "the tubes are as high as the sheer",
            "the sheer of a tube boat is its deck's edge, which lies over the tubes",
        );
    }
    level_deck(check, sheer);
    HullForm::Tubes { count, diameter }
}

/// A deck over tubes or narrow hulls is at least this thick, m.
const THINNEST_DECK: f64 = 0.03;

/// A deck counts as level within this, m.
const LEVEL: f64 = 0.05;

/// Boats with a deck over tubes or narrow hulls have one sheer height.
fn level_deck(check: &mut Checker, sheer: [f64; 3]) {
    let [stern, middle, bow] = sheer;
    if (middle - stern).abs() > LEVEL || (bow - stern).abs() > LEVEL {
        check.problem(
            "sheer",
            "the deck over tubes or twin hulls is level, but the sheer heights differ",
            "give the height of the deck's edge for all three; rails and bulwarks are tubes or boxes",
        );
    }
}

fn catamaran(file: &CatamaranFile, check: &mut Checker, beam: f64, sheer: [f64; 3]) -> HullForm {
    let lowest = sheer.iter().copied().fold(f64::INFINITY, f64::min);
    level_deck(check, sheer);
    HullForm::Catamaran {
        hull_beam: check
            .length("hull.hull_beam", &file.hull_beam, 0.1 * beam..=0.45 * beam)
            .unwrap_or(defaults::CATAMARAN_HULL * beam),
        deadrise: check
            .angle("hull.deadrise", &file.deadrise, 0.0..=60.0)
            .unwrap_or(defaults::CATAMARAN_DEADRISE.to_radians()),
        deck_thickness: check
            .length(
                "hull.deck_thickness",
                &file.deck_thickness,
                0.02..=0.6 * lowest,
            )
            .unwrap_or(defaults::CATAMARAN_DECK * lowest),
        stem_rake: check
            .angle("hull.stem_rake", &file.stem_rake, 0.0..=60.0)
            .unwrap_or(defaults::CATAMARAN_STEM_RAKE.to_radians()),
    }
}

/// A table of offsets: rows of station, half breadth, height, in meters, keel to sheer, with or without a
/// heading line.
fn offsets(
    file: &OffsetsFile,
    check: &mut Checker,
    length: f64,
    beam: f64,
    sheer: [f64; 3],
    companion: Companion,
) -> HullForm {
    let Some(name) = &file.file else {
        check.problem(
            "hull",
            "a table of offsets needs its file",
            "add Offsets(file: \"name.csv\"), a CSV beside the boat file: station, half breadth, height in m",
        );
        return HullForm::Offsets {
            file: String::new(),
            sections: Vec::new(),
        };
    };
    if name.contains(['/', '\\']) || name.contains("..") {
        check.problem(
            "hull.file",
            "the table must lie beside the boat file",
            "give a bare file name",
        );
        return HullForm::Offsets {
            file: String::new(),
            sections: Vec::new(),
        };
    }
    let mut sections: Vec<OffsetSection> = Vec::new();
    match companion(name) {
        Err(error) => check.problem("hull.file", error, "put the CSV beside the boat file"),
        Ok(text) => read_table(name, &text, check, &mut sections),
    }
    if let (Some(first), Some(last)) = (sections.first(), sections.last()) {
        let span = last.station - first.station;
        if (span - length).abs() > 0.02 * length {
            check.problem(
                "length",
                format!(
                    "the table of offsets runs over {span:.3} m, the length says {length:.3} m"
                ),
                plausible::slip(span / length)
                    .unwrap_or("make both say the same; the table is in meters"),
            );
        } else {
            plausible::table(check, name, &sections, beam, sheer);
        }
    }
    HullForm::Offsets {
        file: name.clone(),
        sections,
    }
}

fn read_table(name: &str, text: &str, check: &mut Checker, sections: &mut Vec<OffsetSection>) {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    for (index, line) in text.lines().enumerate() {
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        let fields: Vec<Option<f64>> = line
            .split(',')
            .map(|field| field.trim().parse().ok().filter(|v: &f64| v.is_finite()))
            .collect();
        match fields.as_slice() {
            [Some(station), Some(half), Some(height)] => match sections.last_mut() {
                Some(section) if section.station == *station => {
                    section.points.push((*half, *height));
                }
                _ => sections.push(OffsetSection {
                    station: *station,
                    points: vec![(*half, *height)],
                }),
            },
            [None, None, None] if sections.is_empty() => {}
            _ => {
                check.problem(
                    "hull.file",
                    format!("{name}, line {}: not three numbers: '{line}'", index + 1),
                    "each row is station, half breadth, height in m",
                );
                return;
            }
        }
    }
    let points = sections.iter().map(|section| section.points.len());
    if sections.len() > MAX_SECTIONS || points.max().unwrap_or(0) > MAX_SECTION_POINTS {
        check.problem(
            "hull.file",
            format!(
                "{name}: too many rows: {MAX_SECTIONS} stations of {MAX_SECTION_POINTS} points are the most"
            ),
            "leave rows out; a hull is smooth between its stations",
        );
        return;
    }
    if sections.len() < 3 || sections.iter().any(|section| section.points.len() < 2) {
        check.problem(
            "hull.file",
            format!("{name}: too few rows"),
            "give at least three stations with two or more points each, keel to sheer",
        );
    }
    for section in sections.iter() {
        if section.points.iter().any(|(half, _)| *half < 0.0) {
            check.problem(
                "hull.file",
                format!(
                    "{name}: negative half breadth at station {}",
                    section.station
                ),
                "half breadths are measured from the middle, never below zero",
            );
        }
        if crosses_itself(&section.points) {
            check.problem(
                "hull.file",
                format!("{name}: the section at {} crosses itself", section.station),
                "give its points in order from the keel to the sheer",
            );
        }
    }
    if sections.windows(2).any(|pair| match pair {
        [aft, fore] => fore.station <= aft.station,
        _ => false,
    }) {
        check.problem(
            "hull.file",
            format!("{name}: stations do not run forward"),
            "order the rows from the transom to the stem",
        );
    }
}

/// Whether any two pieces of a polyline that do not share a point cross.
fn crosses_itself(points: &[(f64, f64)]) -> bool {
    let side = |a: (f64, f64), b: (f64, f64), c: (f64, f64)| {
        (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
    };
    let pieces: Vec<[(f64, f64); 2]> = points.windows(2).map(|w| [w[0], w[1]]).collect();
    pieces.iter().enumerate().any(|(i, [a, b])| {
        pieces.iter().skip(i + 2).any(|[c, d]| {
            side(*a, *b, *c) * side(*a, *b, *d) < 0.0 && side(*c, *d, *a) * side(*c, *d, *b) < 0.0
        })
    })
}
