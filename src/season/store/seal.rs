//! A number over a record, kept beside it: SQLite sees broken pages, but not a letter that changed within a text.

/// Start and factor of the 64-bit FNV-1a hash (Fowler, Noll, Vo).
const OFFSET: u64 = 0xcbf2_9ce4_8422_2325;
const PRIME: u64 = 0x0000_0100_0000_01b3;

fn add(hash: u64, bytes: &[u8]) -> u64 {
    let mix = |hash: u64, byte: &u8| (hash ^ u64::from(*byte)).wrapping_mul(PRIME);
    bytes.iter().fold(hash, mix)
}

/// The seal of a record's texts, in their order. Each step is one to one, so that one changed byte always shows; more
/// changes show but for one in 2^64.
pub(super) fn seal<'a>(texts: impl IntoIterator<Item = &'a str>) -> i64 {
    let hash = texts.into_iter().fold(OFFSET, |hash, text| {
        // With the length first, no letter can move from one text to the next.
        let length = (text.len() as u64).to_le_bytes();
        add(add(hash, &length), text.as_bytes())
    });
    hash.cast_signed()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Test vectors from the authors' reference source (fnv test suite, 64-bit FNV-1a).
    #[test]
    fn published_vectors() {
        for (text, hash) in [
            ("", 0xcbf2_9ce4_8422_2325),
            ("a", 0xaf63_dc4c_8601_ec8c),
            ("foobar", 0x8594_4171_f739_67e8),
        ] {
            assert_eq!(add(OFFSET, text.as_bytes()), hash, "{text}");
        }
    }

    #[test]
    fn texts_do_not_run_together() {
        let seals = [
            seal(["ab", "c"]),
            seal(["a", "bc"]),
            seal(["abc"]),
            seal(["abc", ""]),
            seal(["c", "ab"]),
        ];
        for (place, one) in seals.iter().enumerate() {
            assert!(
                !seals.iter().skip(place + 1).any(|other| other == one),
                "{place}"
            );
        }
    }
}
