//! The typefaces of a format that carries its own, for its writer.

use super::ExportError;
use crate::sheet::{Face, Run};
use krilla::text::{Font, GlyphId, KrillaGlyph};

/// All typefaces of [`Face`]; the writer embeds the letters that were used.
pub(super) struct Typefaces {
    fonts: Vec<(Face, Font)>,
}

impl Typefaces {
    /// Reads them.
    pub fn read() -> Result<Typefaces, ExportError> {
        let font = |face: Face| {
            let font = Font::new(face.bytes().into(), 0)
                .ok_or_else(|| ExportError::new("PDF", "a typeface cannot be read"))?;
            Ok((face, font))
        };
        let fonts: Result<Vec<_>, ExportError> = Face::ALL.into_iter().map(font).collect();
        Ok(Typefaces { fonts: fonts? })
    }

    /// The font of a run, its glyphs and how wide they are together, both for a height of one.
    pub fn set(&self, run: &Run) -> Option<(Font, Vec<KrillaGlyph>, f64)> {
        let (_, font) = self.fonts.iter().find(|(face, _)| *face == run.face)?;
        let glyphs = run.glyphs.iter().map(|glyph| {
            let [right, up] = glyph.shift.map(|shift| shift as f32);
            let id = GlyphId::new(glyph.id);
            let range = glyph.range.clone();
            KrillaGlyph::new(id, glyph.advance as f32, right, up, 0.0, range, None)
        });
        let wide = run.glyphs.iter().map(|glyph| glyph.advance).sum();
        Some((font.clone(), glyphs.collect(), wide))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::{set_words, text_width};

    #[test]
    fn what_is_measured_is_what_is_set() {
        let typefaces = Typefaces::read().unwrap();
        for bold in [false, true] {
            for words in [
                "",
                "P1",
                "cut 4'2 1/4\"",
                "Größe 14.8° – ½",
                "海風 3",
                "طائر البحر",
                "שלום 12",
                "🚤 갈매기",
            ] {
                let mut wide = 0.0;
                for run in set_words(words, bold) {
                    let (_, glyphs, reach) = typefaces.set(&run).unwrap();
                    assert_eq!(glyphs.len(), run.glyphs.len());
                    wide += reach;
                }
                let wanted = text_width(words, 1.0, bold);
                assert!((wide - wanted).abs() < 1e-9, "{words}: {wide}");
            }
        }
    }
}
