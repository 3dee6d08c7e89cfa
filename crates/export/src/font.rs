//! Noto Sans, the one typeface of screen and paper, and the widths of words set in it.
//!
//! The files are under the SIL Open Font License 1.1, whose text stands beside them in `fonts/OFL.txt`. They have
//! eighths, primes and the degree sign, but no arrows and no diameter sign: draw those. No shaping is done: write
//! 23 3/8 in plain digits.

use kurbo::{Affine, BezPath, Point};
use ttf_parser::{Face, GlyphId};

/// Noto Sans Regular, a TrueType file.
pub const REGULAR: &[u8] = include_bytes!("../fonts/NotoSans-Regular.ttf");
/// Noto Sans Bold, a TrueType file.
pub const BOLD: &[u8] = include_bytes!("../fonts/NotoSans-Bold.ttf");

/// Height of a capital in parts of the type size.
pub const CAP_EM: f64 = 0.714;
/// How far accented capitals rise above the baseline, in parts of the type size.
pub const ASCENT_EM: f64 = 0.95;
/// How far letters hang below the baseline, in parts of the type size.
pub const DESCENT_EM: f64 = 0.25;

/// The type size in millimetres.
pub fn em_mm(height_pt: f64) -> f64 {
    height_pt * 25.4 / 72.0
}

/// The width of one line of words in mm: the sum of the advance widths, without kerning, as every writer here sets
/// them. Control characters count as spaces.
///
/// ```
/// let regular = coldwright_export::font::text_width_mm("Hull 3 b", 24.0, false);
/// let bold = coldwright_export::font::text_width_mm("Hull 3 b", 24.0, true);
/// assert!(25.0 < regular && regular < bold && bold < 45.0);
/// ```
pub fn text_width_mm(words: &str, height_pt: f64, bold: bool) -> f64 {
    let Some(face) = face(bold) else { return 0.0 };
    let units: f64 = words.chars().map(|c| f64::from(advance(&face, c))).sum();
    units / f64::from(face.units_per_em()) * em_mm(height_pt)
}

/// The characters the typeface lacks, each once, in the order they occur. They are drawn as an empty box.
pub fn lacking(words: &str, bold: bool) -> Vec<char> {
    let mut out = Vec::new();
    if let Some(face) = face(bold) {
        for c in words.chars().filter(|c| !c.is_control()) {
            if face.glyph_index(c).is_none() && !out.contains(&c) {
                out.push(c);
            }
        }
    }
    out
}

/// The outlines of one line of words in mm, the baseline's start at the origin, running along x.
pub(crate) fn outlines(words: &str, height_pt: f64, bold: bool) -> BezPath {
    let Some(face) = face(bold) else { return BezPath::new() };
    let scale = em_mm(height_pt) / f64::from(face.units_per_em());
    let mut pen = Pen { path: BezPath::new() };
    let mut all = BezPath::new();
    let mut x = 0.0;
    for c in words.chars() {
        face.outline_glyph(glyph(&face, c), &mut pen);
        all.extend(Affine::new([scale, 0.0, 0.0, scale, x * scale, 0.0]) * std::mem::take(&mut pen.path));
        x += f64::from(advance(&face, c));
    }
    all
}

/// The parsed font file.
pub(crate) fn face(bold: bool) -> Option<Face<'static>> {
    Face::parse(if bold { BOLD } else { REGULAR }, 0).ok()
}

/// The glyph of a character; the empty box where the typeface has none, a space for a control character.
pub(crate) fn glyph(face: &Face<'_>, c: char) -> GlyphId {
    face.glyph_index(if c.is_control() { ' ' } else { c }).unwrap_or(GlyphId(0))
}

fn advance(face: &Face<'_>, c: char) -> u16 {
    face.glyph_hor_advance(glyph(face, c)).unwrap_or(0)
}

struct Pen {
    path: BezPath,
}

impl ttf_parser::OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.path.move_to(point(x, y));
    }
    fn line_to(&mut self, x: f32, y: f32) {
        self.path.line_to(point(x, y));
    }
    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.path.quad_to(point(x1, y1), point(x, y));
    }
    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.path.curve_to(point(x1, y1), point(x2, y2), point(x, y));
    }
    fn close(&mut self) {
        self.path.close_path();
    }
}

fn point(x: f32, y: f32) -> Point {
    Point::new(f64::from(x), f64::from(y))
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape;

    #[test]
    fn both_files_parse_and_have_what_papers_write() {
        for bold in [false, true] {
            let face = face(bold).expect("the font file parses");
            assert_eq!(face.units_per_em(), 1000);
            assert!((f64::from(face.capital_height().unwrap()) / 1000.0 - CAP_EM).abs() < 1e-9);
            assert_eq!(
                lacking("23 3/8 in ± 0.3 mm · 12.5° ½⅛⅜⅝⅞ ′″ é ø ñ Ж Ω … – 1\u{202f}030.4\u{a0}mm", bold),
                []
            );
            assert_eq!(lacking("a→b→⌀", bold), ['→', '⌀']);
        }
    }

    #[test]
    fn a_capital_is_as_tall_as_said_and_outlines_are_as_wide_as_measured() {
        let ink = outlines("HH", 72.0, false).bounding_box();
        assert!((ink.height() - CAP_EM * 25.4).abs() < 1e-6, "{ink:?}");
        let width = text_width_mm("HH", 72.0, false);
        assert!(ink.x0 > 0.0 && ink.x1 < width && ink.width() > 0.8 * width);
    }

    #[test]
    fn known_advance() {
        // The digits of Noto Sans are all 572 units of 1000 wide (read from the font's own table with another program).
        assert!((text_width_mm("0123456789", 72.0, false) - 25.4 * 5.72).abs() < 1e-9);
    }
}
