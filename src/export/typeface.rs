//! The typeface that drawings are set in where the format carries its own: DejaVu Sans, plain and bold.

use super::ExportError;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use skrifa::charmap::Charmap;
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::{FontRef, MetadataProvider};

/// One weight of the typeface.
pub(super) struct Typeface {
    /// For the writer, which embeds the letters that were used.
    pub font: Font,
    letters: Charmap<'static>,
    widths: GlyphMetrics<'static>,
    em: f32,
}

impl Typeface {
    /// The plain weight.
    pub fn plain() -> Result<Typeface, ExportError> {
        Typeface::read(dejavu::sans::regular())
    }

    /// The bold weight.
    pub fn bold() -> Result<Typeface, ExportError> {
        Typeface::read(dejavu::sans::bold())
    }

    fn read(bytes: &'static [u8]) -> Result<Typeface, ExportError> {
        let face = FontRef::new(bytes).map_err(|error| ExportError::new("PDF", error))?;
        let font = Font::new(bytes.into(), 0)
            .ok_or_else(|| ExportError::new("PDF", "the typeface cannot be read"))?;
        Ok(Typeface {
            em: font.units_per_em(),
            letters: face.charmap(),
            widths: face.glyph_metrics(Size::unscaled(), LocationRef::default()),
            font,
        })
    }

    /// The letters of some words side by side, without kerning, and how wide they are together, both for a
    /// height of one. A letter that the typeface lacks becomes its empty box.
    pub fn set(&self, words: &str) -> (Vec<KrillaGlyph>, f32) {
        let mut wide = 0.0;
        let set = words.char_indices().map(|(at, letter)| {
            let glyph = self.letters.map(letter).unwrap_or_default();
            let advance = self.widths.advance_width(glyph).unwrap_or(0.0) / self.em;
            wide += advance;
            let range = at..at + letter.len_utf8();
            let glyph = GlyphId::new(glyph.to_u32());
            KrillaGlyph::new(glyph, advance, 0.0, 0.0, 0.0, range, None)
        });
        (set.collect(), wide)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::text_width;

    #[test]
    fn what_is_measured_is_what_is_set() {
        for bold in [false, true] {
            let typeface = if bold {
                Typeface::bold()
            } else {
                Typeface::plain()
            };
            let typeface = typeface.unwrap();
            for words in ["", "P1", "cut 4'2 1/4\"", "Größe 14.8° – ½"] {
                let (glyphs, wide) = typeface.set(words);
                assert_eq!(glyphs.len(), words.chars().count());
                let wanted = text_width(words, 1.0, bold);
                assert!((f64::from(wide) - wanted).abs() < 1e-5, "{words}: {wide}");
            }
        }
    }
}
