//! Sets words of any script in the typefaces that pages carry: right order, joined letters, and which typeface has them.
//!
//! What the Latin tables of `text_width` hold is set letter by letter without kerning. All else is put into order by
//! the Unicode bidirectional algorithm (a line reads from left to right, as in SVG) and shaped as HarfBuzz does.

use super::text_width::is_plain_latin;
use harfrust::{Direction, ShapeOptions, ShaperData, UnicodeBuffer};
use skrifa::charmap::Charmap;
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::{FontRef, MetadataProvider};
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::LazyLock;
use unicode_bidi::{BidiInfo, Level};
use unicode_script::{Script, UnicodeScript};

/// A typeface that pages carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Face {
    /// DejaVu Sans: Latin, Greek, Cyrillic, Hebrew, Arabic and others.
    Plain,
    /// DejaVu Sans Bold.
    Bold,
    /// Chinese characters of GB 2312, Big5 level 1 and JIS level 1, kana: part of Droid Sans Fallback.
    Han,
    /// Korean syllables: part of Droid Sans Fallback.
    Hangul,
    /// Emoji in outline: Noto Emoji.
    Emoji,
}

impl Face {
    /// All of them.
    pub const ALL: [Face; 5] = [
        Face::Plain,
        Face::Bold,
        Face::Han,
        Face::Hangul,
        Face::Emoji,
    ];

    /// The font file.
    #[must_use]
    pub fn bytes(self) -> &'static [u8] {
        match self {
            Face::Plain => dejavu::sans::regular(),
            Face::Bold => dejavu::sans::bold(),
            Face::Han => include_bytes!("../../assets/fonts/droid-sans-fallback-han.ttf"),
            Face::Hangul => include_bytes!("../../assets/fonts/droid-sans-fallback-hangul.ttf"),
            Face::Emoji => include_bytes!("../../assets/fonts/noto-emoji.ttf"),
        }
    }

    fn font(self) -> Option<&'static Font> {
        static FONTS: LazyLock<[Option<Font>; 5]> =
            LazyLock::new(|| Face::ALL.map(|face| Font::read(face.bytes())));
        FONTS.get(self as usize)?.as_ref()
    }

    fn has(self, letter: char) -> bool {
        self.font()
            .is_some_and(|font| font.letters.map(letter).is_some())
    }
}

/// A font file, read.
struct Font {
    letters: Charmap<'static>,
    widths: GlyphMetrics<'static>,
    shaped: harfrust::FontRef<'static>,
    data: ShaperData,
    em: f64,
}

impl Font {
    fn read(bytes: &'static [u8]) -> Option<Font> {
        let face = FontRef::new(bytes).ok()?;
        let shaped = harfrust::FontRef::new(bytes).ok()?;
        let metrics = face.metrics(Size::unscaled(), LocationRef::default());
        Some(Font {
            letters: face.charmap(),
            widths: face.glyph_metrics(Size::unscaled(), LocationRef::default()),
            data: ShaperData::new(&shaped),
            shaped,
            em: f64::from(metrics.units_per_em),
        })
    }
}

/// A glyph in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Glyph {
    /// Its number in the font; 0 is the box of what the font lacks.
    pub id: u32,
    /// How far the next one stands from it, in heights of the words.
    pub advance: f64,
    /// How far it is moved to the right and up, in heights of the words.
    pub shift: [f64; 2],
    /// The bytes of the words that it stands for.
    pub range: Range<usize>,
}

/// Glyphs of one typeface, from left to right.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// The typeface.
    pub face: Face,
    /// The glyphs.
    pub glyphs: Vec<Glyph>,
}

/// Sets some words on one line: runs of glyphs from left to right. A letter that no typeface has is glyph 0.
///
/// # Units
/// Advances and shifts are in heights of the words.
#[must_use]
pub fn set_words(words: &str, bold: bool) -> Vec<Run> {
    let main = if bold { Face::Bold } else { Face::Plain };
    if words.chars().all(is_plain_latin) {
        return vec![Run {
            face: main,
            glyphs: one_by_one(words, main),
        }];
    }
    let mut runs = Vec::new();
    let bidi = BidiInfo::new(words, Some(Level::ltr()));
    for paragraph in &bidi.paragraphs {
        let (levels, ranges) = bidi.visual_runs(paragraph, paragraph.range.clone());
        for range in ranges {
            let backwards = levels.get(range.start).is_some_and(Level::is_rtl);
            let mut items = items(words, range, main);
            if backwards {
                items.reverse();
            }
            runs.extend(items.into_iter().map(|(face, range)| Run {
                face,
                glyphs: shape(words, range, face, backwards),
            }));
        }
    }
    runs
}

/// The letters of some words that no typeface of the pages has, in the order of Unicode.
#[must_use]
pub fn missing_letters(words: &str) -> BTreeSet<char> {
    if words.chars().all(is_plain_latin) {
        return BTreeSet::new();
    }
    let runs = set_words(words, false);
    let glyphs = runs.iter().flat_map(|run| &run.glyphs);
    glyphs
        .filter(|glyph| glyph.id == 0)
        .filter_map(|glyph| words.get(glyph.range.clone()))
        .flat_map(str::chars)
        .filter(|letter| !is_unseen(*letter))
        .collect()
}

fn one_by_one(words: &str, face: Face) -> Vec<Glyph> {
    let Some(font) = face.font() else {
        return Vec::new();
    };
    let glyph = |(at, letter): (usize, char)| {
        let id = font.letters.map(letter).unwrap_or_default();
        Glyph {
            id: id.to_u32(),
            advance: f64::from(font.widths.advance_width(id).unwrap_or(0.0)) / font.em,
            shift: [0.0; 2],
            range: at..at + letter.len_utf8(),
        }
    };
    words.char_indices().map(glyph).collect()
}

/// Parts a stretch of words of one direction where typeface or script change.
fn items(words: &str, range: Range<usize>, main: Face) -> Vec<(Face, Range<usize>)> {
    let mut items: Vec<(Face, Range<usize>)> = Vec::new();
    let mut script = Script::Common;
    let text = words.get(range.clone()).unwrap_or_default();
    let mut letters = text.char_indices().peekable();
    while let Some((at, letter)) = letters.next() {
        let at = range.start + at;
        let next = letters.peek().map(|(_, next)| *next);
        let end = at + letter.len_utf8();
        let own = letter.script();
        let goes_on = matches!(own, Script::Common | Script::Inherited);
        let last = items.last_mut();
        let face = face_of(letter, next, last.as_ref().map(|(face, _)| *face), main);
        match last {
            Some((before, reach))
                if *before == face && (goes_on || script == Script::Common || own == script) =>
            {
                reach.end = end;
                if !goes_on {
                    script = own;
                }
            }
            _ => {
                items.push((face, at..end));
                script = if goes_on { Script::Common } else { own };
            }
        }
    }
    items
}

/// The first typeface that has a letter. Marks and joiners stay with the letter before them.
fn face_of(letter: char, next: Option<char>, before: Option<Face>, main: Face) -> Face {
    let clings = is_unseen(letter) || letter.script() == Script::Inherited;
    if let Some(before) =
        before.filter(|before| clings && (is_unseen(letter) || before.has(letter)))
    {
        return before;
    }
    let emoji_first = letter >= '\u{1f000}' || matches!(next, Some('\u{fe0f}' | '\u{200d}'));
    let order = if emoji_first {
        [Face::Emoji, main, Face::Han, Face::Hangul]
    } else {
        [main, Face::Han, Face::Hangul, Face::Emoji]
    };
    order
        .into_iter()
        .find(|face| face.has(letter))
        .unwrap_or(main)
}

/// Signs that steer the setting and are never seen: joiners, directions, selectors of variants.
fn is_unseen(letter: char) -> bool {
    matches!(letter, '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
        | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{e0000}'..='\u{e0fff}')
}

fn shape(words: &str, range: Range<usize>, face: Face, backwards: bool) -> Vec<Glyph> {
    let (Some(font), Some(text)) = (face.font(), words.get(range.clone())) else {
        return Vec::new();
    };
    let mut buffer = UnicodeBuffer::new();
    let mut starts = BTreeSet::from([range.end]);
    for (at, letter) in text.char_indices() {
        // Lines of a page are short: where they are not, what does not count is the order of clusters.
        buffer.add(letter, u32::try_from(range.start + at).unwrap_or(u32::MAX));
    }
    buffer.guess_segment_properties();
    buffer.set_direction(if backwards {
        Direction::RightToLeft
    } else {
        Direction::LeftToRight
    });
    let shaper = font.data.shaper(&font.shaped).build();
    let set = shaper.shape(buffer, ShapeOptions::default());
    starts.extend(set.glyph_infos().iter().map(|info| info.cluster as usize));
    let em = |units: i32| f64::from(units) / font.em;
    let glyphs = set.glyph_infos().iter().zip(set.glyph_positions());
    glyphs
        .map(|(info, place)| {
            let start = info.cluster as usize;
            let end = starts.range(start + 1..).next().copied();
            Glyph {
                id: info.glyph_id,
                advance: em(place.x_advance),
                shift: [em(place.x_offset), em(place.y_offset)],
                range: start..end.unwrap_or(range.end),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn glyph(face: Face, letter: char) -> u32 {
        let id = face.font().unwrap().letters.map(letter);
        id.map_or(0, |id| id.to_u32())
    }

    /// Glyphs from left to right, runs after each other.
    fn ids(words: &str) -> Vec<u32> {
        let runs = set_words(words, false);
        runs.iter()
            .flat_map(|run| run.glyphs.iter().map(|glyph| glyph.id))
            .collect()
    }

    #[test]
    fn every_script_of_the_typefaces_is_set() {
        for (words, faces) in [
            ("Wanderer", vec![Face::Plain]),
            ("Чайка", vec![Face::Plain]),
            ("海風", vec![Face::Han]),
            ("海の風 II", vec![Face::Han, Face::Plain]),
            ("갈매기", vec![Face::Hangul]),
            ("Sea 🚤", vec![Face::Plain, Face::Emoji]),
            ("👨‍👩‍👧", vec![Face::Emoji]),
            ("⚓️", vec![Face::Emoji]),
            ("طائر", vec![Face::Plain]),
        ] {
            let runs = set_words(words, false);
            let mut found: Vec<Face> = runs.iter().map(|run| run.face).collect();
            found.dedup();
            assert_eq!(found, faces, "{words}");
            assert!(missing_letters(words).is_empty(), "{words}");
        }
    }

    #[test]
    fn hebrew_runs_from_right_to_left_and_numbers_within_do_not() {
        let wanted: Vec<u32> = "12 םולש"
            .chars()
            .map(|letter| glyph(Face::Plain, letter))
            .collect();
        // Seen from the left: the number, a blank, the last letter first.
        assert_eq!(ids("שלום 12"), wanted);
        let mixed = ids("A שלום B");
        assert_eq!(mixed.first(), Some(&glyph(Face::Plain, 'A')));
        assert_eq!(mixed.last(), Some(&glyph(Face::Plain, 'B')));
        assert_eq!(mixed.get(2), Some(&glyph(Face::Plain, 'ם')));
    }

    #[test]
    fn arabic_is_joined() {
        // The presentation forms of beh, by the Unicode chart of Arabic Presentation Forms-B: at the end, in the
        // middle, at the start. DejaVu maps them to the glyphs that joining chooses.
        let wanted = ['\u{fe90}', '\u{fe92}', '\u{fe91}'].map(|form| glyph(Face::Plain, form));
        assert_eq!(ids("\u{628}\u{628}\u{628}"), wanted);
        // Lam and alef are one glyph, U+FEFB.
        assert_eq!(ids("\u{644}\u{627}"), [glyph(Face::Plain, '\u{fefb}')]);
    }

    #[test]
    fn a_family_is_one_glyph() {
        let runs = set_words("👨‍👩‍👧", false);
        let seen = runs
            .iter()
            .flat_map(|run| &run.glyphs)
            .filter(|glyph| glyph.advance > 0.0);
        assert_eq!(seen.count(), 1);
    }

    #[test]
    fn what_no_typeface_has_is_told() {
        for (words, wanted) in [
            ("Größe 3", ""),
            ("ሀገር x", "ሀር\u{1308}"),
            ("เรือ", "เรือ"),
            ("a\u{200d}\u{2066}b\u{2069}", ""),
        ] {
            let wanted: BTreeSet<char> = wanted.chars().collect();
            assert_eq!(missing_letters(words), wanted, "{words}");
        }
    }
}
