//! Anchors from the file: what a strap may be tied to.

use super::check::Checker;
use super::file::*;
use super::limits;
use super::quantity::Quantity;
use super::read_things::{HIGHEST, from_to, offsets, on_deck};
use super::{Anchor, Boat, Side};

/// Part of the bow's sheer height at which the bow eye sits where the file does not say; common practice.
pub(super) const BOW_EYE: f64 = 0.55;

/// Part of the beam that each of a pair of stern eyes lies off the middle where the file does not say.
pub(super) const STERN_EYE_OFFSET: f64 = 0.3;

/// Name of a samson post that the file does not name.
pub(super) const SAMSON_POST: &str = "samson post";

/// Height of a samson post over the sheer at the bow where the file does not say, m; 8 in.
pub(super) const SAMSON_POST_RISE: f64 = 0.2032;

pub(super) fn anchors(
    files: &[AnchorFile],
    check: &mut Checker,
    boat: &Boat,
    datum: f64,
) -> Vec<Anchor> {
    if files.is_empty() {
        return default_anchors(boat.length, boat.sheer[2]);
    }
    let below = 0.0..=1.5;
    let mut anchors = Vec::new();
    let files = check.at_most("anchors", files, limits::MAX_PLACES);
    for (index, file) in files.iter().enumerate() {
        let at = format!("anchors[{index}]");
        anchors.push(match file {
            AnchorFile::BowEye(file) => Anchor::BowEye {
                height: bow_eye(check, &format!("{at}.height"), &file.height, boat, datum),
            },
            AnchorFile::SternEye(file) => {
                let half = 0.5 * boat.beam;
                let top = datum + boat.sheer[0];
                Anchor::SternEye {
                    height: check
                        .length(&format!("{at}.height"), &file.height, datum..=top)
                        .map_or(BOW_EYE * boat.sheer[0], |height| height - datum),
                    offset: check
                        .length(&format!("{at}.offset"), &file.offset, 0.0..=half)
                        .unwrap_or(STERN_EYE_OFFSET * boat.beam),
                }
            }
            AnchorFile::SamsonPost(file) => Anchor::SamsonPost {
                name: file.name.clone().unwrap_or_else(|| SAMSON_POST.to_owned()),
                station: check.required_length(
                    &format!("{at}.station"),
                    &file.station,
                    on_deck(boat),
                    1.0,
                ),
                offset: check
                    .length(&format!("{at}.offset"), &file.offset, offsets(boat))
                    .unwrap_or(0.0),
                height: check
                    .length(
                        &format!("{at}.height"),
                        &file.height,
                        datum..=datum + HIGHEST,
                    )
                    .map_or(boat.sheer[2] + SAMSON_POST_RISE, |height| height - datum),
            },
            AnchorFile::Cleat(file) => Anchor::Cleat {
                name: file.name.clone().unwrap_or_else(|| "cleat".to_owned()),
                station: check.required_length(
                    &format!("{at}.station"),
                    &file.station,
                    on_deck(boat),
                    1.0,
                ),
                side: file.side,
                below_sheer: check
                    .length(
                        &format!("{at}.below_sheer"),
                        &file.below_sheer,
                        below.clone(),
                    )
                    .unwrap_or(0.0),
            },
            AnchorFile::Rail(file) => {
                let (from, to) =
                    from_to(check, &at, &file.from, &file.to, on_deck(boat)).unwrap_or((0.0, 1.0));
                Anchor::Rail {
                    name: file.name.clone().unwrap_or_else(|| "rail".to_owned()),
                    from,
                    to,
                    side: file.side,
                    below_sheer: check
                        .length(
                            &format!("{at}.below_sheer"),
                            &file.below_sheer,
                            below.clone(),
                        )
                        .unwrap_or(0.0),
                }
            }
        });
    }
    if !anchors
        .iter()
        .any(|anchor| matches!(anchor, Anchor::Cleat { .. } | Anchor::Rail { .. }))
    {
        check.problem(
            "anchors",
            "no anchor for a side strap",
            "add the cleats or rails that a strap can be tied to, as Cleat(station: \"2 ft\") or Rail(from: \"1 ft\", to: \"17 ft\")",
        );
    }
    anchors
}

/// Height of the bow eye, m; it sits in the stem, under the sheer.
fn bow_eye(
    check: &mut Checker,
    path: &str,
    height: &Option<Quantity>,
    boat: &Boat,
    datum: f64,
) -> f64 {
    let default = BOW_EYE * boat.sheer[2];
    let Some(height) = check.length(path, height, datum..=datum + 6.0) else {
        return default;
    };
    if height - datum > boat.sheer[2] + TAPE {
        let what = format!(
            "the bow eye lies {} above the bow's sheer",
            check.typed(height - datum - boat.sheer[2])
        );
        check.problem(
            path,
            what,
            "the eye sits in the stem under the sheer: check its height and sheer.bow, and that both are measured from \
             one level; a strong point on deck is a Cleat",
        );
        return default;
    }
    height - datum
}

/// Error of a tape, m.
const TAPE: f64 = 0.03;

/// A bow eye and three pairs of cleats; common practice on small boats.
pub(super) fn default_anchors(length: f64, bow: f64) -> Vec<Anchor> {
    let cleat = |name: &str, part: f64| Anchor::Cleat {
        name: name.to_owned(),
        station: part * length,
        side: Side::Both,
        below_sheer: 0.0,
    };
    vec![
        Anchor::BowEye {
            height: BOW_EYE * bow,
        },
        cleat("stern cleat", 0.02),
        cleat("midship cleat", 0.45),
        cleat("bow cleat", 0.88),
    ]
}
