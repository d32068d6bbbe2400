//! 'Did you mean': the known word nearest to a misspelt one.

/// A slip is forgiven for every this many letters: with fewer, `bow` would be offered for any word of
/// three letters; with more, long field names with two swaps would find nothing.
const LETTERS_PER_SLIP: usize = 3;

/// The known word that is fewest slips (letters swapped, wrong, missing or too many; capitals do not
/// count) away from `word`, or `None` if all are too far. The first of equals wins, so the order of `known`
/// decides and the answer is always the same.
///
/// Damerau-Levenshtein distance (Damerau 1964, from memory).
pub fn suggest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let lowered = word.to_lowercase();
    let letters = lowered.chars().count();
    known
        .into_iter()
        .filter(|candidate| *candidate != word)
        .filter_map(|candidate| {
            let other = candidate.to_lowercase();
            let other_letters = other.chars().count();
            let longest = letters.max(other_letters);
            let allowed = (longest / LETTERS_PER_SLIP).max(1);
            // The difference in length is a lower bound of the distance: it spares long foreign text the
            // full comparison. Words with no letter in common are no help even when short.
            if letters.abs_diff(other_letters) > allowed {
                return None;
            }
            let distance = strsim::damerau_levenshtein(&lowered, &other);
            (distance <= allowed && distance < letters).then_some((distance, candidate))
        })
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const KNOWN: [&str; 8] = [
        "bow",
        "beam",
        "boxes",
        "height",
        "transom_deadrise",
        "entry_deadrise",
        "sheer",
        "x",
    ];

    fn check(word: &str, wanted: Option<&str>) {
        assert_eq!(suggest(word, KNOWN), wanted, "{word}");
    }

    #[test]
    fn slips_find_their_word() {
        check("bwo", Some("bow"));
        check("baem", Some("beam"));
        check("Beam", Some("beam"));
        check("heigth", Some("height"));
        check("hieght", Some("height"));
        check("box", Some("bow")); // one letter wrong is nearer than two missing
        check("boxs", Some("boxes"));
        check("transom_deadrize", Some("transom_deadrise"));
        check("transomdedrise", Some("transom_deadrise"));
        check("entry_dedrise", Some("entry_deadrise"));
        check("color", None);
        check("y", None);
        check("", None);
        check("bow", None); // nothing else is near
        check("length_overall", None);
    }

    proptest! {
        #[test]
        fn any_word_is_survived(word in any::<String>()) {
            let found = suggest(&word, KNOWN);
            prop_assert!(found.is_none_or(|found| KNOWN.contains(&found)));
        }
    }
}
