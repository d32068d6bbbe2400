//! Measures words: how wide they come out in the typefaces that drawings are set in.

use super::glyphs::set_words;

/// Advance widths of DejaVu Sans and DejaVu Sans Bold 2.37, in [`EM`]ths of the height of the words, read from
/// the fonts' own tables. Words of these letters are set one by one, without kerning, so that what is
/// measured is what is drawn; other words are measured by setting them.
const EM: f64 = 2048.0;

/// From the blank to the tilde.
const ASCII: [[u16; 2]; 95] = [
    [651, 713],
    [821, 934],
    [942, 1067],
    [1716, 1716],
    [1303, 1425],
    [1946, 2052],
    [1597, 1786],
    [563, 627],
    [799, 936],
    [799, 936],
    [1024, 1071],
    [1716, 1716],
    [651, 778],
    [739, 850],
    [651, 778],
    [690, 748],
    [1303, 1425],
    [1303, 1425],
    [1303, 1425],
    [1303, 1425],
    [1303, 1425],
    [1303, 1425],
    [1303, 1425],
    [1303, 1425],
    [1303, 1425],
    [1303, 1425],
    [690, 819],
    [690, 819],
    [1716, 1716],
    [1716, 1716],
    [1716, 1716],
    [1087, 1188],
    [2048, 2048],
    [1401, 1585],
    [1405, 1561],
    [1430, 1503],
    [1577, 1700],
    [1294, 1399],
    [1178, 1399],
    [1587, 1681],
    [1540, 1714],
    [604, 762],
    [604, 762],
    [1343, 1587],
    [1141, 1305],
    [1767, 2038],
    [1532, 1714],
    [1612, 1741],
    [1235, 1501],
    [1612, 1741],
    [1423, 1577],
    [1300, 1475],
    [1251, 1397],
    [1499, 1663],
    [1401, 1585],
    [2025, 2259],
    [1403, 1579],
    [1251, 1483],
    [1403, 1485],
    [799, 936],
    [690, 748],
    [799, 936],
    [1716, 1716],
    [1024, 1024],
    [1024, 1024],
    [1255, 1382],
    [1300, 1466],
    [1126, 1214],
    [1300, 1466],
    [1260, 1389],
    [721, 891],
    [1300, 1466],
    [1298, 1458],
    [569, 702],
    [569, 702],
    [1186, 1362],
    [569, 702],
    [1995, 2134],
    [1298, 1458],
    [1253, 1407],
    [1300, 1466],
    [1300, 1466],
    [842, 1010],
    [1067, 1219],
    [803, 979],
    [1298, 1458],
    [1212, 1335],
    [1675, 1892],
    [1212, 1321],
    [1212, 1335],
    [1075, 1192],
    [1303, 1458],
    [690, 748],
    [1303, 1458],
    [1716, 1716],
];

/// From U+00A0 to U+00FF: accents, signs, fractions.
const LATIN: [[u16; 2]; 96] = [
    [651, 713],
    [821, 934],
    [1303, 1425],
    [1303, 1425],
    [1303, 1303],
    [1303, 1425],
    [690, 748],
    [1024, 1024],
    [1024, 1024],
    [2048, 2048],
    [965, 1155],
    [1253, 1323],
    [1716, 1716],
    [739, 850],
    [2048, 2048],
    [1024, 1024],
    [1024, 1024],
    [1716, 1716],
    [821, 897],
    [821, 897],
    [1024, 1024],
    [1303, 1507],
    [1303, 1303],
    [651, 778],
    [1024, 1024],
    [821, 897],
    [965, 1155],
    [1253, 1323],
    [1985, 2120],
    [1985, 2120],
    [1985, 2120],
    [1087, 1188],
    [1401, 1585],
    [1401, 1585],
    [1401, 1585],
    [1401, 1585],
    [1401, 1585],
    [1401, 1585],
    [1995, 2222],
    [1430, 1503],
    [1294, 1399],
    [1294, 1399],
    [1294, 1399],
    [1294, 1399],
    [604, 762],
    [604, 762],
    [604, 762],
    [604, 762],
    [1587, 1716],
    [1532, 1714],
    [1612, 1741],
    [1612, 1741],
    [1612, 1741],
    [1612, 1741],
    [1612, 1741],
    [1716, 1716],
    [1612, 1741],
    [1499, 1663],
    [1499, 1663],
    [1499, 1663],
    [1499, 1663],
    [1251, 1483],
    [1239, 1511],
    [1290, 1473],
    [1255, 1382],
    [1255, 1382],
    [1255, 1382],
    [1255, 1382],
    [1255, 1382],
    [1255, 1382],
    [2011, 2146],
    [1126, 1214],
    [1260, 1389],
    [1260, 1389],
    [1260, 1389],
    [1260, 1389],
    [569, 702],
    [569, 702],
    [569, 702],
    [569, 702],
    [1253, 1407],
    [1298, 1458],
    [1253, 1407],
    [1253, 1407],
    [1253, 1407],
    [1253, 1407],
    [1253, 1407],
    [1716, 1716],
    [1253, 1407],
    [1298, 1458],
    [1298, 1458],
    [1298, 1458],
    [1298, 1458],
    [1212, 1335],
    [1300, 1466],
    [1212, 1335],
];

/// A few signs more.
const SIGNS: [(char, [u16; 2]); 12] = [
    ('–', [1024, 1024]),
    ('—', [2048, 2048]),
    ('‘', [651, 778]),
    ('’', [651, 778]),
    ('“', [1061, 1346]),
    ('”', [1061, 1346]),
    ('•', [1208, 1309]),
    ('…', [2048, 2048]),
    ('→', [1716, 1716]),
    ('≈', [1716, 1716]),
    ('≤', [1716, 1716]),
    ('≥', [1716, 1716]),
];

/// Width of some words on one line, of any script: as they are set by [`set_words`].
///
/// # Units
/// `height` of the words in any unit (mm on paper, m on the boat); the width comes in the same.
pub fn text_width(text: &str, height: f64, bold: bool) -> f64 {
    let letters = text.chars().map(|letter| advance(letter, bold));
    let units: Option<u32> = letters.map(|units| units.map(u32::from)).sum();
    match units {
        Some(units) => f64::from(units) / EM * height,
        None => {
            let runs = set_words(text, bold);
            let glyphs = runs.iter().flat_map(|run| &run.glyphs);
            glyphs.map(|glyph| glyph.advance).sum::<f64>() * height
        }
    }
}

/// Whether a letter is one of the tables, set by itself without shaping.
pub(super) fn is_plain_latin(letter: char) -> bool {
    advance(letter, false).is_some()
}

fn advance(letter: char, bold: bool) -> Option<u16> {
    let within = |table: &[[u16; 2]], first: char| {
        let index = u32::from(letter).checked_sub(u32::from(first))?;
        table.get(usize::try_from(index).ok()?).copied()
    };
    let sign = || SIGNS.iter().find(|(sign, _)| *sign == letter);
    let [plain, strong] = within(&ASCII, ' ')
        .or_else(|| within(&LATIN, '\u{a0}'))
        .or_else(|| sign().map(|(_, widths)| *widths))?;
    Some(if bold { strong } else { plain })
}

#[cfg(test)]
mod tests {
    use super::*;
    use skrifa::instance::{LocationRef, Size};
    use skrifa::{FontRef, MetadataProvider};

    #[test]
    fn widths_are_the_fonts_own() {
        for (bytes, bold) in [
            (dejavu::sans::regular(), false),
            (dejavu::sans::bold(), true),
        ] {
            let font = FontRef::new(bytes).unwrap();
            let metrics = font.glyph_metrics(Size::unscaled(), LocationRef::default());
            let letters = (' '..='~').chain('\u{a0}'..='\u{ff}');
            for letter in letters.chain(SIGNS.iter().map(|(sign, _)| *sign)) {
                let glyph = font.charmap().map(letter).unwrap();
                let wanted = metrics.advance_width(glyph).unwrap();
                assert_eq!(
                    advance(letter, bold).map(f32::from),
                    Some(wanted),
                    "{letter}"
                );
            }
        }
    }

    #[test]
    fn words_are_as_wide_as_their_letters() {
        // H is 1540, i is 569 units wide; a Chinese character is a square.
        for (text, wanted) in [("", 0.0), ("Hi", 2109.0 / 2048.0), ("\u{6f22}", 1.0)] {
            assert!(
                (text_width(text, 3.0, false) - 3.0 * wanted).abs() < 1e-12,
                "{text}"
            );
        }
        assert!(text_width("P1", 3.0, true) > text_width("P1", 3.0, false));
    }
}
