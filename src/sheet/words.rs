//! Places and sentences in the trade's words.

use crate::boat::Hand;
use crate::plan::{Against, Basis, Plan};
use crate::units::UnitSystem;
use nalgebra::Point3;

/// Offsets under this are called the centerline, m: less than a tape shows on a bent sole.
const ON_CENTERLINE: f64 = 0.02;

/// The side of what stands on the centerline.
pub(super) const CENTER: &str = "center";

/// An offset in words: `center`, `2'3" port`.
pub(super) fn offset(offset: f64, units: UnitSystem) -> String {
    if offset.abs() < ON_CENTERLINE {
        return CENTER.to_owned();
    }
    format!("{} {}", units.format_length(offset.abs()), side(offset))
}

/// The side of an offset: `port`, `starboard`, or `center`.
pub(super) fn side(offset: f64) -> &'static str {
    if offset.abs() < ON_CENTERLINE {
        CENTER
    } else if offset > 0.0 {
        Hand::Port.word()
    } else {
        Hand::Starboard.word()
    }
}

/// A place in words: `station 4'2", 1'3" port`.
pub(super) fn place(at: &Point3<f64>, units: UnitSystem) -> String {
    format!(
        "station {}, {}",
        units.format_length(at.x),
        offset(at.y, units)
    )
}

/// A number with its noun, in the plural where it is not one.
pub(super) fn count(number: usize, noun: &str) -> String {
    let plural = if number == 1 { "" } else { "s" };
    format!("{number} {noun}{plural}")
}

/// A sentence with a capital at its start.
pub fn capitalized(sentence: &str) -> String {
    let mut letters = sentence.chars();
    let first = letters.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(letters).collect()
}

/// Longest name in a drawing, letters.
const LONGEST_NAME: usize = 22;

/// A name for a drawing, shortened where it is long: it comes from the user's file, and the lists have it whole.
pub(super) fn short(name: &str) -> String {
    if name.chars().count() <= LONGEST_NAME {
        return name.to_owned();
    }
    let start: String = name.chars().take(LONGEST_NAME - 2).collect();
    format!("{}..", start.trim_end())
}

/// Some names in a row: `S1`, `H1 and H2`, `S1 to S6`; empty where there are none.
pub(super) fn row(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [one, other] => format!("{one} and {other}"),
        [first, .., last] => format!("{first} to {last}"),
    }
}

/// What is known of the frame's single changes, as one sentence.
pub(super) fn certificate_sentence(plan: &Plan, units: UnitSystem) -> String {
    let Some(certificate) = plan.certificate else {
        return "not certified: leaving out, moving and lowering its posts one by one was not tried (`--certify` does)".to_owned();
    };
    let step = units.format_length(plan.rules.height_step);
    let found = if certificate.holds {
        "none sheds and is cheaper"
    } else {
        "one may yet be cheaper"
    };
    format!(
        "certified: {} of this frame (a post left out or moved by {}, a cap or all caps {step} lower, hip straps left out) \
         were tried on the film; {found}, by the demo's invented prices",
        count(certificate.changes, "single change"),
        units.format_length(plan.rules.station_step),
    )
}

/// What fewer posts would do, as one sentence that says whether that was proved or tried.
pub fn fewer_posts_sentence(plan: &Plan, units: UnitSystem) -> String {
    let fewer = &plan.fewer;
    if plan.frame.posts.is_empty() {
        return match plan.frame.shortage {
            None => "the ridge needs no post at all".to_owned(),
            Some(_) => "there is none that could be left out".to_owned(),
        };
    }
    let without: Vec<&str> = fewer.without.iter().map(String::as_str).collect();
    let frame = if without.is_empty() {
        format!("with {}", count(fewer.posts, "post"))
    } else {
        format!("without {}", row(&without))
    };
    match fewer.against {
        Some(Against::BeyondReach(height)) => {
            return format!(
                "{frame} the cover sheds as well, but one of them stands {} over its footing, beyond a hand's reach; \
                 tried on the search's film",
                units.format_length(height)
            );
        }
        Some(Against::NoCheaper) => {
            return format!(
                "{frame} the cover sheds as well, but is no cheaper in materials and hours; tried on the search's film"
            );
        }
        None => {}
    }
    if fewer.possible {
        let pins = if without.is_empty() {
            " where nothing is pinned"
        } else {
            ""
        };
        let loads = if plan.loads.is_some() {
            ", but not under loads"
        } else {
            ""
        };
        return format!("{frame}{pins} the cover sheds as well; tried on the film{loads}");
    }
    let mut sentence = match (&fewer.cause, &fewer.shortfall) {
        (Some(cause), _) => format!(
            "{frame} the stretch from station {} to {} fails: {}",
            units.format_length(fewer.stretch[0]),
            units.format_length(fewer.stretch[1]),
            cause.sentence(units)
        ),
        (None, Some(shortfall)) => format!("{frame} it fails: {}", shortfall.sentence(units)),
        (None, None) => {
            return match fewer.basis {
                Basis::NotTried => "whether fewer posts would do was not tried".to_owned(),
                _ => "no frame with fewer posts was found; tried without each pinned post, and with nothing pinned"
                    .to_owned(),
            };
        }
    };
    sentence.push_str(match fewer.basis {
        Basis::Spans => "; proved: no frame with so few keeps its spans within the limit",
        Basis::TriedOnFilm if without.is_empty() => {
            "; the best of the frames with fewer posts that were tried on the film"
        }
        Basis::TriedOnFilm => {
            "; tried on the film, as was each other pinned post: this comes nearest"
        }
        Basis::NotTried => "",
    });
    sentence
}
