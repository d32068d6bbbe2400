//! The table of lumber: as it is written, and how it is read with all its problems at once.

use super::{Grade, Lumber, Size, Strength};
use crate::boat::{Checker, Problems, Quantity, read_file};
use serde::Deserialize;
use serde_aux::prelude::serde_introspect;
use std::ops::RangeInclusive;

type Q = Option<Quantity>;

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename = "Lumber")]
struct LumberFile {
    note: Option<String>,
    sizes: Vec<SizeFile>,
    grades: Vec<GradeFile>,
    brace: Option<f64>,
    post: Option<f64>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct SizeFile {
    name: Option<String>,
    thickness: Q,
    width: Q,
    price_per_meter: Option<f64>,
    source: Option<String>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct GradeFile {
    name: Option<String>,
    strength: Option<StrengthFile>,
    source: Option<String>,
}

#[derive(Debug, Deserialize)]
enum StrengthFile {
    Reference(ReferenceFile),
    Characteristic(CharacteristicFile),
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct ReferenceFile {
    compression: Q,
    size_factors: Vec<SizeFactorFile>,
    buckling_modulus: Q,
    modulus: Q,
    across: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct SizeFactorFile {
    up_to: Q,
    factor: Option<f64>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct CharacteristicFile {
    compression: Q,
    buckling_modulus: Q,
    modulus: Q,
    across: Q,
}

/// Where to see how such a table looks.
const EXAMPLE: &str = "see lumber.ron among the assets of hulltent";

/// Sides of a section, m.
const SIDES: RangeInclusive<f64> = 0.01..=0.4;
/// Strengths, Pa: from soft wood across the grain to the hardest along it.
const STRENGTHS: RangeInclusive<f64> = 0.5e6..=100e6;
/// Moduli, Pa.
const MODULI: RangeInclusive<f64> = 1e9..=40e9;
/// How a price is written.
const PRICE: &str = "2.5, in whatever currency all the others are";
/// Prices and costs, in no currency.
const PRICES: RangeInclusive<f64> = 0.0..=1e6;

/// Reads a table of lumber.
///
/// # Errors
/// Every problem found, each with its place and a hint. Text that is not RON, or a value of a wrong kind, ends the
/// reading there.
pub fn read(text: &str) -> Result<Lumber, Problems> {
    read_file::<LumberFile, _>(text, known_fields, EXAMPLE, |file, check, _| {
        interpret(file, check)
    })
}

fn known_fields(place: &str) -> Vec<&'static str> {
    match place {
        "" => serde_introspect::<LumberFile>().to_vec(),
        "sizes" => serde_introspect::<SizeFile>().to_vec(),
        "grades" => serde_introspect::<GradeFile>().to_vec(),
        "grades.strength" => [
            serde_introspect::<ReferenceFile>(),
            serde_introspect::<CharacteristicFile>(),
        ]
        .concat(),
        "grades.strength.size_factors" => serde_introspect::<SizeFactorFile>().to_vec(),
        _ => Vec::new(),
    }
}

fn interpret(file: LumberFile, check: &mut Checker) -> Lumber {
    let mut sizes: Vec<Size> = Vec::new();
    for (index, size) in file.sizes.into_iter().enumerate() {
        let at = |field: &str| format!("sizes[{index}].{field}");
        let taken = |name: &str| sizes.iter().any(|other: &Size| other.name == name);
        let name = named(check, &at("name"), size.name, taken);
        let thickness = check.required_length(&at("thickness"), &size.thickness, SIDES, 0.04);
        let width = check.required_length(&at("width"), &size.width, SIDES, 0.09);
        if size.thickness.is_some() && size.width.is_some() && width < thickness {
            check.problem(
                &at("width"),
                "the width is less than the thickness",
                "the thickness is the lesser side",
            );
        }
        sizes.push(Size {
            name,
            thickness,
            width,
            price_per_meter: check.number(
                &at("price_per_meter"),
                size.price_per_meter,
                PRICES,
                PRICE,
            ),
            source: check.words(&at("source"), size.source),
        });
    }
    let widest = sizes.iter().map(|size| size.width).fold(0.0, f64::max);
    let mut grades: Vec<Grade> = Vec::new();
    for (index, grade) in file.grades.into_iter().enumerate() {
        let at = |field: &str| format!("grades[{index}].{field}");
        let taken = |name: &str| grades.iter().any(|other: &Grade| other.name == name);
        let name = named(check, &at("name"), grade.name, taken);
        let source = check.words(&at("source"), grade.source);
        let Some(strength) = strength(check, &at("strength"), grade.strength, widest) else {
            continue;
        };
        grades.push(Grade {
            name,
            strength,
            source,
        });
    }
    for (path, empty) in [("sizes", sizes.is_empty()), ("grades", grades.is_empty())] {
        if empty {
            check.problem(path, format!("there are no {path}"), EXAMPLE);
        }
    }
    Lumber {
        note: check.words("note", file.note),
        sizes,
        grades,
        brace: check.number("brace", file.brace, PRICES, PRICE),
        post: check.number("post", file.post, PRICES, PRICE),
    }
}

fn strength(
    check: &mut Checker,
    path: &str,
    file: Option<StrengthFile>,
    widest: f64,
) -> Option<Strength> {
    let Some(file) = file else {
        check.missing(path, "Reference(...) or Characteristic(...)");
        return None;
    };
    let mut stress = |field: &str, value: &Q, range: RangeInclusive<f64>| {
        let path = format!("{path}.{field}");
        if value.is_none() {
            check.missing(&path, "\"...\" as the standard gives it");
        }
        // The stand-in is never seen: the problem is returned instead.
        let stand_in = *range.end();
        check.stress(&path, value, range).unwrap_or(stand_in)
    };
    match file {
        StrengthFile::Characteristic(file) => Some(Strength::Characteristic {
            compression: stress("compression", &file.compression, STRENGTHS),
            buckling_modulus: stress("buckling_modulus", &file.buckling_modulus, MODULI),
            modulus: stress("modulus", &file.modulus, MODULI),
            across: stress("across", &file.across, STRENGTHS),
        }),
        StrengthFile::Reference(file) => {
            let compression = stress("compression", &file.compression, STRENGTHS);
            let buckling_modulus = stress("buckling_modulus", &file.buckling_modulus, MODULI);
            let modulus = stress("modulus", &file.modulus, MODULI);
            let across = stress("across", &file.across, STRENGTHS);
            let mut size_factors: Vec<(f64, f64)> = Vec::new();
            for (index, item) in file.size_factors.into_iter().enumerate() {
                let at = |field: &str| format!("{path}.size_factors[{index}].{field}");
                let up_to = check.required_length(&at("up_to"), &item.up_to, SIDES, 0.09);
                if item.up_to.is_some() && size_factors.last().is_some_and(|last| up_to <= last.0) {
                    check.problem(
                        &at("up_to"),
                        "the widths of the size factors must rise",
                        "order them from the least to the greatest",
                    );
                }
                if item.factor.is_none() {
                    check.missing(&at("factor"), "1.15, as the standard gives it");
                }
                let factor = check.fraction(&at("factor"), item.factor, 0.5..=2.0);
                size_factors.push((up_to, factor.unwrap_or(1.0)));
            }
            if size_factors.last().is_none_or(|(up_to, _)| *up_to < widest) {
                check.problem(
                    &format!("{path}.size_factors"),
                    "the size factors do not reach the widest size",
                    "add the factor for the widest size, or 1.0 if it has none",
                );
            }
            Some(Strength::Reference {
                compression,
                size_factors,
                buckling_modulus,
                modulus,
                across,
            })
        }
    }
}

/// A name that the file must give and that no other has.
fn named(
    check: &mut Checker,
    path: &str,
    text: Option<String>,
    taken: impl Fn(&str) -> bool,
) -> String {
    let name = check.words(path, text);
    if taken(&name) {
        check.problem(
            path,
            format!("there are two '{name}'"),
            "rename one of them",
        );
    }
    name
}

#[cfg(test)]
mod tests {
    use super::super::TABLE;
    use super::*;

    /// Changes the table that comes with hulltent; the problem must be told, at its path, with its hint.
    fn check(from: &str, to: &str, path: &str, what: &str, hint: &str) {
        assert!(TABLE.contains(from), "{from}");
        let problems = read(&TABLE.replacen(from, to, 1)).expect_err(to);
        let found = problems.list.iter().find(|problem| {
            problem.path == path && problem.what.contains(what) && problem.hint.contains(hint)
        });
        assert!(found.is_some(), "{to}: {problems}");
        assert!(found.is_some_and(|problem| problem.place.is_some()));
    }

    #[test]
    fn slips_are_told() {
        check(
            "thickness: \"1.5 in\"",
            "thicknes: \"1.5 in\"",
            "sizes[0].thicknes",
            "thicknes",
            "thickness",
        );
        check(
            "\"1150 psi\"",
            "\"1150\"",
            "grades[0].strength.compression",
            "no unit",
            "1150 psi",
        );
        check(
            "\"1150 psi\"",
            "\"11 psi\"",
            "grades[0].strength.compression",
            "out of range",
            "between",
        );
        check(
            "name: \"2x3\"",
            "name: \"2x2\"",
            "sizes[1].name",
            "two '2x2'",
            "rename",
        );
        check("brace: 6,", "", "brace", "missing", "add brace");
        check(
            ", (up_to: \"5.5 in\", factor: 1.1)",
            "",
            "grades[0].strength.size_factors",
            "widest",
            "add the factor",
        );
        check(
            "width: \"2.5 in\"",
            "width: \"1 in\"",
            "sizes[1].width",
            "less than the thickness",
            "lesser",
        );
        check(
            "factor: 1.15",
            "factor: 11.5",
            "grades[0].strength.size_factors[0].factor",
            "range",
            "between",
        );
    }

    #[test]
    fn what_is_no_table_is_told() {
        for text in ["", "Lumber(", "posts, please", "Lumber()"] {
            let problems = read(text).expect_err(text);
            assert!(!problems.list.is_empty(), "{text}");
        }
    }
}
