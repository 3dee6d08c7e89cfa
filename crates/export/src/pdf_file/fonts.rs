//! The fonts of a PDF: the glyphs its words use, and nothing else of the typeface.

use std::collections::BTreeMap;

use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Name, Pdf, Ref, Str};
use subsetter::GlyphRemapper;
use ttf_parser::Face;

use super::{PdfPage, Streams, stream};
use crate::drawing::{Item, one_line};
use crate::error::ExportError;
use crate::font;

/// The name pages call the regular or the bold font by.
pub(super) fn name(bold: bool) -> &'static [u8] {
    if bold { b"Fb" } else { b"Fr" }
}

/// The subsets one document needs.
pub(super) struct Fonts {
    subsets: Vec<Subset>,
}

struct Subset {
    bold: bool,
    face: Face<'static>,
    mapper: GlyphRemapper,
    /// New glyph number to the first character that uses it; the empty box is left out.
    meaning: BTreeMap<u16, char>,
}

impl Fonts {
    /// Looks through all words; the order of glyphs is the order they occur in, so the same pages give the same font.
    pub fn collect(pages: &[PdfPage]) -> Result<Fonts, ExportError> {
        let mut subsets = Vec::new();
        for bold in [false, true] {
            let face = font::face(bold)
                .ok_or_else(|| ExportError::Font { reason: "the file is damaged".to_owned() })?;
            let mut subset = Subset { bold, face, mapper: GlyphRemapper::new(), meaning: BTreeMap::new() };
            let mut used = false;
            for item in pages.iter().flat_map(|page| &page.drawing.items) {
                if let Item::Text(text) = item
                    && text.bold == bold
                {
                    used = true;
                    subset.take(&one_line(&text.words));
                }
            }
            if used {
                subsets.push(subset);
            }
        }
        Ok(Fonts { subsets })
    }

    /// The words as the font's own two-byte codes.
    pub fn encode(&self, words: &str, bold: bool) -> Vec<u8> {
        let Some(subset) = self.subsets.iter().find(|subset| subset.bold == bold) else { return Vec::new() };
        words
            .chars()
            .flat_map(|c| subset.mapper.get(font::glyph(&subset.face, c).0).unwrap_or(0).to_be_bytes())
            .collect()
    }

    /// Writes the font objects; gives the name and object of each for the pages' resources.
    pub fn write(
        &self,
        file: &mut Pdf,
        next: &mut Ref,
        streams: Streams,
    ) -> Result<Vec<(&'static [u8], Ref)>, ExportError> {
        self.subsets
            .iter()
            .map(|subset| Ok((name(subset.bold), subset.write(file, next, streams)?)))
            .collect()
    }
}

impl Subset {
    fn take(&mut self, words: &str) {
        for c in words.chars() {
            let glyph = font::glyph(&self.face, c).0;
            let new = self.mapper.remap(glyph);
            if glyph != 0 {
                self.meaning.entry(new).or_insert(c);
            }
        }
    }

    fn write(&self, file: &mut Pdf, next: &mut Ref, streams: Streams) -> Result<Ref, ExportError> {
        let (font_ref, cid, descriptor, data, cmap) =
            (next.bump(), next.bump(), next.bump(), next.bump(), next.bump());
        // The six letters mark a subset; which ones does not matter within one file, as each style is there once.
        let base: &[u8] = if self.bold { b"COLDWB+NotoSans-Bold" } else { b"COLDWR+NotoSans-Regular" };
        let system = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

        file.type0_font(font_ref)
            .base_font(Name(base))
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(cid)
            .to_unicode(cmap);

        let mut font = file.cid_font(cid);
        font.subtype(CidFontType::Type2)
            .base_font(Name(base))
            .system_info(system)
            .font_descriptor(descriptor)
            .default_width(0.0)
            .cid_to_gid_map_predefined(Name(b"Identity"));
        let unit = 1000.0 / f32::from(self.face.units_per_em());
        let widths = self
            .mapper
            .remapped_gids()
            .map(|old| f32::from(self.face.glyph_hor_advance(ttf_parser::GlyphId(old)).unwrap_or(0)) * unit);
        font.widths().consecutive(0, widths.collect::<Vec<_>>());
        drop(font);

        let whole = self.face.global_bounding_box();
        let bounds = [whole.x_min, whole.y_min, whole.x_max, whole.y_max].map(|v| f32::from(v) * unit);
        file.font_descriptor(descriptor)
            .name(Name(base))
            .flags(FontFlags::SYMBOLIC)
            .bbox(pdf_writer::Rect::new(bounds[0], bounds[1], bounds[2], bounds[3]))
            .italic_angle(0.0)
            .ascent(f32::from(self.face.ascender()) * unit)
            .descent(f32::from(self.face.descender()) * unit)
            .cap_height(f32::from(self.face.capital_height().unwrap_or(714)) * unit)
            .stem_v(self.stem())
            .font_file2(data);

        let whole_file = if self.bold { font::BOLD } else { font::REGULAR };
        let subset = subsetter::subset(whole_file, 0, &self.mapper)
            .map_err(|e| ExportError::Font { reason: e.to_string() })?;
        let length = i32::try_from(subset.len()).unwrap_or(i32::MAX);
        stream(file, data, &subset, streams, |writer| {
            writer.pair(Name(b"Length1"), length);
        });

        let mut unicode = UnicodeCmap::<u16>::new(Name(b"Coldwright-words"), system);
        for (glyph, c) in &self.meaning {
            unicode.pair(*glyph, *c);
        }
        let bytes = unicode.finish();
        file.cmap(cmap, bytes.as_slice()).name(Name(b"Coldwright-words")).system_info(system);
        Ok(font_ref)
    }

    /// The width of an upright stem, which the font file does not state: that of the letter l.
    fn stem(&self) -> f32 {
        let l = self.face.glyph_bounding_box(font::glyph(&self.face, 'l'));
        l.map_or(90.0, |l| f32::from(l.width()) * 1000.0 / f32::from(self.face.units_per_em()))
    }
}
